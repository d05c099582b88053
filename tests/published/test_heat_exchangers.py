"""Feed coil and condenser against the effectiveness method and the laws of heat."""

from __future__ import annotations

import numpy as np
import pytest

from halfglass.plant import exhaust, feed, steam


@pytest.mark.parametrize(("units", "effectiveness"), [(0.5, 0.39347), (1.0, 0.63212)])
def test_effectiveness_of_the_coil(units: float, effectiveness: float) -> None:
    # Effectiveness-NTU with one side condensing (Cr = 0), C; 1e-5.
    capacity = 0.02 * feed.WATER_HEAT
    heat = feed.coil_heat(units * capacity, 373.15, 0.02, 288.15)
    assert heat / (capacity * 85.0) == pytest.approx(effectiveness, abs=1e-5)


def test_effectiveness_against_a_library() -> None:
    # `ht.effectiveness_from_NTU`, counterflow, Cr = 0, C.
    ht = pytest.importorskip("ht")
    for units in (0.1, 0.7, 2.0, 5.0):
        capacity = 0.01 * feed.WATER_HEAT
        heat = feed.coil_heat(units * capacity, 380.0, 0.01, 300.0)
        assert heat / (capacity * 80.0) == pytest.approx(ht.effectiveness_from_NTU(units, 0.0), rel=1e-9)


def test_feed_heating_against_latent_heat() -> None:
    # Computed with IAPWS R7-97(2012): feed 15 to 95 degrees C is 14.8 % of atmospheric latent heat, C.
    cold = steam.saturation(steam.saturation_pressure(288.15))[5]
    hot = steam.saturation(steam.saturation_pressure(368.15))[5]
    assert (hot - cold) / steam.latent_heat(101325.0) == pytest.approx(0.148, abs=5e-4)


@pytest.mark.parametrize("metal_celsius", [15.0, 60.0, 95.0])
def test_condenser_keeps_energy_and_the_second_law(metal_celsius: float) -> None:
    # First and second laws (no source needed): nothing leaves colder than the metal, no heat is lost.
    *_, liquid, vapour = steam.saturation(101325.0)
    coldest = steam.saturation(steam.saturation_pressure(metal_celsius + 273.15))[5]
    flow = 0.01
    for offered in np.linspace(0.0, 60e3, 61):
        condensed, heat, to_coil, to_keel = exhaust.condense(
            flow, vapour, liquid, coldest, coldest, 0.2 * offered, 0.8 * offered
        )
        taken = to_coil + to_keel
        assert 0.0 <= taken <= offered + 1e-9
        assert 0.0 <= condensed <= flow
        assert flow * vapour == pytest.approx(heat + (flow - condensed) * vapour + taken, rel=1e-9)
        if condensed > 0.0:
            assert coldest * (1 - 1e-9) <= heat / condensed <= liquid * (1 + 1e-9)
