"""Choked steam through valves, against API 520, ISO 4126-1 and `fluids`."""

from __future__ import annotations

import math

import pytest

from halfglass.plant import orifice, steam

fluids = pytest.importorskip("fluids")


def choked_coefficient(k: float) -> float:
    return math.sqrt(k) * (2.0 / (k + 1.0)) ** ((k + 1.0) / (2.0 * (k - 1.0)))


def test_the_library_gives_the_api_example() -> None:
    # API 520 Part I, example as quoted in the documentation of `fluids`, S; last printed digit.
    area = fluids.API520_A_steam(
        m=69615 / 3600, T=592.5, P1=12236e3, Kd=0.975, Kb=1, Kc=1, edition="7E"
    )  # fmt: skip
    assert area == pytest.approx(1.103471242369e-3, rel=1e-12)


@pytest.mark.parametrize(("bar", "share"), [(2.76, 0.026), (5.0, 0.016), (8.0, 0.016), (12.0, 0.016)])
def test_choked_flow_against_api_520(bar: float, share: float) -> None:
    # API 520 Part I (Napier's rule in other units), from `fluids`; the shares by which Napier departs from
    # Clark's table: 2.6 % at 40 psia, 1.6 % above.
    temperature, _, volume, *_ = steam.saturation(bar * 1e5)
    flow = orifice.steam_flow(1e-4, bar * 1e5, 1e5, volume)
    area = fluids.API520_A_steam(
        m=flow, T=temperature, P1=bar * 1e5, Kd=1.0, Kb=1.0, Kc=1.0, edition="7E"
    )  # fmt: skip
    assert area == pytest.approx(1e-4, rel=share)


def test_choked_flux_at_8_bar() -> None:
    # ISO 4126-1 form, k = 1.135 (value from memory): 1159.4 kg/(s m2) at 8 bar abs, C; last digit.
    volume = steam.saturation(8e5)[2]
    assert orifice.choked_steam_flux(8e5, volume) == pytest.approx(1159.4, abs=0.06)
    by_form = choked_coefficient(orifice.CHOKED_COEFFICIENT) * math.sqrt(8e5 / volume)
    assert orifice.choked_steam_flux(8e5, volume) == pytest.approx(by_form, rel=5e-4)


def test_exponent_of_superheated_steam_reads_high() -> None:
    # ISO 4126-1 form: with k = 1.3 the flow reads 5 % high (value from memory), half a per cent printed.
    volume = steam.saturation(8e5)[2]
    high = choked_coefficient(1.3) * math.sqrt(8e5 / volume) / orifice.choked_steam_flux(8e5, volume)
    assert high == pytest.approx(1.05, abs=0.005)
