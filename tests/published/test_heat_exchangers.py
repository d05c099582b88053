"""Feed coil and condenser against the effectiveness method and the laws of heat."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scripted_day import sedge

from halfglass.plant import exhaust, feed, steam
from halfglass.plant.compile import to_record


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


def test_counterflow_row() -> None:
    # Counterflow, Cr 0.5, NTU 1: 0.56473, computed with `ht`, C; 1e-5. The coil is condensing (Cr = 0), which
    # lies above it: a check of the library the tests above lean on.
    ht = pytest.importorskip("ht")
    assert ht.effectiveness_from_NTU(1.0, 0.5, subtype="counterflow") == pytest.approx(0.56473, abs=1e-5)
    assert feed.coil_heat(feed.WATER_HEAT, 301.0, 1.0, 300.0) / feed.WATER_HEAT > 0.56473


def film_coefficients() -> tuple[float, float]:
    """Nusselt's film, 100 and 60 degrees C: plate 1 m high, lying tube of 12.7 mm [W/(m2 K)]."""
    condensation = pytest.importorskip("ht").condensation
    coolprop = pytest.importorskip("CoolProp.CoolProp")
    density, conductivity, viscosity = (coolprop.PropsSI(key, "T", 353.15, "Q", 0, "Water") for key in "DLV")
    vapour = 1.0 / steam.saturation(101418.0)[2]
    latent = steam.latent_heat(101418.0)
    plate = condensation.Nusselt_laminar(
        Tsat=373.15, Tw=333.15, rhog=vapour, rhol=density, kl=conductivity, mul=viscosity, Hvap=latent, L=1.0
    )
    weight = 9.80665 * density * (density - vapour) * conductivity**3 * latent
    tube: float = 0.729 * (weight / (viscosity * 0.0127 * 40.0)) ** 0.25
    return plate, tube


def test_film_condensation() -> None:
    # Nusselt's film theory: plate 4312, tube 9932 W/(m2 K), C; last digit, 0.1 % for the property library.
    assert film_coefficients() == pytest.approx((4312.0, 9932.0), rel=1e-3)


def test_steam_side_of_the_keel_condenser() -> None:
    # Nusselt, tube, as above: Sedge's steam side is 3-15 m of half-inch tube (judgement: what fits a keel).
    _, tube = film_coefficients()
    area = sedge().parameters.exhaust.steam_side_conductance / tube
    assert 3.0 <= area / (math.pi * 0.0127) <= 15.0


@pytest.mark.parametrize(("share", "celsius", "bar"), [(1.0, 60.0, 0.1995), (0.5, 105.0, 1.21)])
def test_half_the_condenser_flooded(share: float, celsius: float, bar: float) -> None:
    # Half the area flooded, same duty, lake 15 degrees C: 60 -> 105 degrees C, 1.21 bar abs, C; last digit.
    # Metal held at lake temperature, no air left, the drain valve shut under 2 bar outside.
    duty, latent = 45e3, 2.2e6
    made = replace(
        sedge().parameters.exhaust,
        steam_side_conductance=duty / 45.0,
        vacuum=1.0,
        air_pressure_absolute=0.0,
        pipe_resistance=0.0,
    )
    flow = duty / latent
    found = exhaust.settled_back_pressure(to_record(made), flow, flow, 288.15, latent, 5.0, 2e5, share, 0.0)
    assert found / 1e5 == pytest.approx(bar, abs=0.005)
    assert steam.saturation_temperature(found) - 273.15 == pytest.approx(celsius, abs=0.05)
