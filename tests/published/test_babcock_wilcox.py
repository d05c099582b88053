"""Steam flow, radiation, gas passes and draught against "Steam, its Generation and Use", 35th ed. 1919."""

from __future__ import annotations

import math
import re

import pytest
from scripted_day import SCENARIO, sedge

from halfglass.plant import fire, orifice, steam
from halfglass.plant.compile import to_record
from halfglass.scenario.catalogue.boiler_shapes import VerticalFireTube
from halfglass.scenario.load import load

PSI = 6894.757
POUND = 0.45359237
SQUARE_INCH = 0.0254**2
SQUARE_FOOT = 0.3048**2
BTU = 5.678
"""W/(m2 K) in one Btu/(h ft2 degree F)."""


def volume(pressure_absolute: float) -> float:
    return steam.saturation(pressure_absolute)[2]


@pytest.mark.parametrize(
    ("psia", "pounds_per_minute", "share"),
    [(40.0, 35.18, 0.026), (75.0, 65.30, 0.016), (100.0, 86.34, 0.016), (135.0, 115.61, 0.016)],
)
def test_choked_flow_against_clark(psia: float, pounds_per_minute: float, share: float) -> None:
    # Babcock & Wilcox 1919, table 68 (Clark), S; the share by which Napier's rule departs from it.
    flow = orifice.steam_flow(SQUARE_INCH, psia * PSI, 0.1 * psia * PSI, volume(psia * PSI))
    assert flow / POUND * 60.0 == pytest.approx(pounds_per_minute, rel=share)


@pytest.mark.parametrize("psia", [75.0, 100.0, 135.0])
def test_choked_flow_against_napier(psia: float) -> None:
    # Babcock & Wilcox 1919, eq. 49 (Napier, W = p a/70 lb/s), S; 1.6 %.
    flow = orifice.steam_flow(SQUARE_INCH, psia * PSI, 0.5 * psia * PSI, volume(psia * PSI))
    assert flow / POUND == pytest.approx(psia / 70.0, rel=0.016)


@pytest.mark.parametrize("ratio", [0.6, 0.7, 0.8, 0.9, 0.95, 0.99])
def test_unchoked_flow(ratio: float) -> None:
    # Babcock & Wilcox 1919, eq. 50 with K 0.93, W = 1.9 A K sqrt((P - d) d) lb/min, S; no tolerance printed:
    # 2 %, about the step of the two printed forms where they meet at 0.58.
    psia = 100.0
    lost = psia * (1.0 - ratio)
    expected = 1.9 * 0.93 * math.sqrt((psia - lost) * lost)
    flow = orifice.steam_flow(SQUARE_INCH, psia * PSI, ratio * psia * PSI, volume(psia * PSI))
    assert flow / POUND * 60.0 == pytest.approx(expected, rel=0.02)


def test_the_flow_is_still_whole_at_the_printed_critical_ratio() -> None:
    # Babcock & Wilcox 1919: choked below 0.58, S; the ellipse has lost no more than 0.3 % there.
    whole, there = (
        orifice.steam_flow(SQUARE_INCH, 100.0 * PSI, share * 100.0 * PSI, volume(100.0 * PSI))
        for share in (0.1, 0.58)
    )
    assert there == pytest.approx(whole, rel=0.003)


def test_discharge_coefficient_of_a_safety_valve() -> None:
    # Babcock & Wilcox 1919, eq. 50: K 0.63 for a thin plate or safety valve, 0.93 for a short pipe, to which
    # our flow is fitted, S; no tolerance printed, a twentieth.
    assert load(SCENARIO).base.boat.valve_discharge == pytest.approx(0.63 / 0.93, rel=0.05)


def water_enthalpy(fahrenheit: float) -> float:
    """Saturated water [J/kg]."""
    return steam.saturation(steam.saturation_pressure((fahrenheit - 32.0) / 1.8 + 273.15))[5]


@pytest.mark.parametrize(
    ("feed_fahrenheit", "gauge_psi", "factor"),
    [
        (60.0, 160.3, 1.2034),
        (100.0, 70.0, 1.1494),
        (40.0, 100.0, 1.2168),
        (100.0, 60.0, 1.1470),
        (150.0, 120.0, 1.1065),
        (200.0, 150.0, 1.0584),
    ],
)
def test_factor_of_evaporation(feed_fahrenheit: float, gauge_psi: float, factor: float) -> None:
    # Babcock & Wilcox 1919, F = (H - h)/970.4 Btu, table and examples, S; 0.002.
    h_vapour = steam.saturation((gauge_psi + 14.7) * PSI)[6]
    assert (h_vapour - water_enthalpy(feed_fahrenheit)) / (970.4 * 2326.0) == pytest.approx(factor, abs=2e-3)


def test_boiler_horsepower() -> None:
    # Babcock & Wilcox 1919: 30 lb/h from 100 degrees F at 70 psi is 34.5 lb/h from and at 212, S; last digit.
    factor = (steam.saturation(84.7 * PSI)[6] - water_enthalpy(100.0)) / (970.4 * 2326.0)
    assert 30.0 * factor == pytest.approx(34.5, abs=0.051)


@pytest.mark.parametrize(
    ("cold", "hot", "per_cent"), [(60.0, 120.0, 5.13), (60.0, 200.0, 11.97), (100.0, 200.0, 8.85)]
)
def test_fuel_saved_by_hot_feed(cold: float, hot: float, per_cent: float) -> None:
    # Babcock & Wilcox 1919, eq. 1, 100 (t - ti)/(H + 32 - ti) at 180 psig, S; 0.03 for the steam table.
    h_vapour = steam.saturation(194.7 * PSI)[6]
    saved = (water_enthalpy(hot) - water_enthalpy(cold)) / (h_vapour - water_enthalpy(cold))
    assert 100.0 * saved == pytest.approx(per_cent, abs=0.03)


def test_lagged_boiler_shell() -> None:
    # Babcock & Wilcox 1919, table 64, 160 psig steam in air at 60 degrees F, Btu/(h ft2 degree F), S; 15 %:
    # Sedge's lagging stands for 1 in of 85 % magnesia, a boat's that says nothing for 1 1/2 in.
    inch, inch_and_a_half = 0.439 * BTU, 0.335 * BTU
    assert load(SCENARIO).base.boat.boiler.lagging == pytest.approx(inch, rel=0.15)
    assert VerticalFireTube.model_fields["lagging"].default == pytest.approx(inch_and_a_half, rel=0.15)


def test_bare_boiler_shell() -> None:
    # Babcock & Wilcox 1919, table 64, bare 4 in pipe 2.970 Btu/(h ft2 degree F), S; 15 %: what the boat
    # file's key says of a bare shell.
    told = re.search(
        r"about (\d+) W/m2 K if bare", VerticalFireTube.model_fields["lagging"].description or ""
    )
    assert told is not None
    assert float(told.group(1)) == pytest.approx(2.970 * BTU, rel=0.15)


def test_bare_pipe_against_a_library() -> None:
    # The same row from free convection (`ht`, horizontal cylinder, air by CoolProp) and radiation of oxidised
    # iron, emissivity 0.9 (value from memory); 4 in pipe, 4.5 in outside; 15 %.
    ht = pytest.importorskip("ht")
    coolprop = pytest.importorskip("CoolProp.CoolProp")
    hot, air = steam.saturation_temperature(174.7 * PSI), (60.0 - 32.0) / 1.8 + 273.15
    film, diameter = 0.5 * (hot + air), 4.5 * 0.0254
    conductivity, viscosity, density, heat = (
        coolprop.PropsSI(key, "T", film, "P", 101325.0, "Air") for key in "LVDC"
    )
    grashof = 9.80665 * (hot - air) / film * diameter**3 / (viscosity / density) ** 2
    nusselt = ht.conv_free_immersed.Nu_horizontal_cylinder(viscosity * heat / conductivity, grashof)
    radiated = fire.radiation(1.0, 0.9, hot, air) / (hot - air)
    assert nusselt * conductivity / diameter + radiated == pytest.approx(2.970 * BTU, rel=0.15)


@pytest.mark.parametrize(("fire_rankine", "plate_rankine"), [(2500.0, 800.0), (1500.0, 750.0)])
def test_radiation(fire_rankine: float, plate_rankine: float) -> None:
    # Babcock & Wilcox 1919, 1600[(T/1000)^4 - (t/1000)^4] Btu/(h ft2), degrees R, S; emissivity 0.934.
    found = fire.radiation(SQUARE_FOOT, 0.934, fire_rankine / 1.8, plate_rankine / 1.8)
    expected = 1600.0 * ((fire_rankine / 1000.0) ** 4 - (plate_rankine / 1000.0) ** 4) * 0.2930711
    assert found == pytest.approx(expected, rel=2e-3)


@pytest.mark.parametrize("gas_flow", [0.005, 0.02, 0.05])
def test_gas_pass_conductance(gas_flow: float) -> None:
    # Babcock & Wilcox 1919, R = 2.00 + 0.0014 W/A Btu/(h ft2 degree F), S.
    boiler = sedge().parameters.boiler
    out = fire.gas_pass(to_record(boiler), gas_flow, 1200.0, 440.0, 1.0)
    # the same heat capacity as the function's: the mean over what the gas really cools through
    heat = (fire.gas_heat(1200.0) - fire.gas_heat(out)) / (1200.0 - out)
    conductance = -math.log((out - 440.0) / (1200.0 - 440.0)) * gas_flow * heat
    loading = gas_flow / POUND * 3600.0 / (boiler.gas_passage_area / SQUARE_FOOT)
    expected = 2.00 + 0.0014 * loading
    assert conductance / boiler.convective_area / 5.678 == pytest.approx(expected, rel=1e-3)


def test_draught_of_a_hundred_feet() -> None:
    # Babcock & Wilcox 1919: 100 ft, 60 to 500 degrees F, 14.7 psi: 0.67 in of water, S; without the 80 %.
    available = fire.stack_draught(30.48, (500.0 + 460.0) / 1.8, (60.0 + 460.0) / 1.8, 14.7 * PSI)
    assert available / 0.8 / 249.089 == pytest.approx(0.67, abs=0.005)
