"""Pumps, injector and suction: limits that hold by themselves, and heat that runs downhill."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import boats, share

from halfglass.plant import feed
from halfglass.plant.compile import to_record
from halfglass.plant.human_power import TOO_HEAVY, hand_stroke_limit, sustained_human_power
from halfglass.plant.orifice import choked_steam_flux
from halfglass.plant.steam import saturation
from halfglass.plant.water_balance import wear_rate
from halfglass.scenario.boat import Boat
from halfglass.scenario.catalogue.reduce import _feed

ATMOSPHERE = 101325.0
temperature = st.floats(274.0, 372.0)
lift = st.floats(-5.0, 5.0)
more = st.floats(1.0, 3.0)
gauge = st.floats(0.0, 1.2e6)


@given(temperature, lift, st.floats(80e3, 105e3), st.floats(0.0, 50.0), share)
def test_hotter_or_lower_water_is_harder_to_draw(
    water: float, height: float, air: float, hotter: float, higher: float
) -> None:
    margin = feed.suction_margin(water, height, air)
    assert feed.suction_margin(min(water + hotter, 372.9), height, air) <= margin + 0.03
    assert feed.suction_margin(water, height + higher, air) == pytest.approx(margin - higher)
    assert feed.suction_margin(water, height, air * 1.05) > margin


@given(st.floats(-20.0, 20.0), share)
def test_suction_and_supply_are_shares(margin: float, step: float) -> None:
    assert 0.0 <= feed.suction_fraction(margin) <= feed.suction_fraction(margin + step) <= 1.0
    assert 0.0 <= feed.supply_fraction(margin) <= feed.supply_fraction(margin + step) <= 1.0
    if margin < -0.5:
        assert feed.suction_fraction(margin) == 0.0
    if margin <= 0.0:
        assert feed.supply_fraction(margin) == 0.0


@given(boats(), st.floats(-10.0, 10.0), share, share, more)
def test_engine_pump_gives_no_more_than_it_sweeps(
    boat: Boat, speed: float, health: float, wear: float, factor: float
) -> None:
    made = _feed(boat.feed)
    record = to_record(made)
    flow = feed.engine_pump_delivery(record, speed, health, wear)
    assert 0.0 <= flow <= made.engine_pump_displacement * abs(speed)
    assert feed.engine_pump_delivery(record, speed * factor, health, wear) >= flow
    assert feed.engine_pump_delivery(record, speed, health, min(1.0, wear * factor)) <= flow
    assert feed.engine_pump_delivery(record, 0.0, health, wear) == 0.0
    assert feed.engine_pump_delivery(record, speed, 0.0, wear) == 0.0
    assert feed.engine_pump_delivery(record, speed, health, 1.0) == 0.0


def injector(
    boat: Boat, pressure: float, source: float, running: float, supply: float
) -> tuple[float, float]:
    """Steam and water of a boat's injector at a boiler pressure [Pa above atmosphere]."""
    absolute = pressure + ATMOSPHERE
    flux = choked_steam_flux(absolute, saturation(absolute)[2])
    found: tuple[float, float] = feed.injector_flows(
        to_record(_feed(boat.feed)), pressure, absolute, flux, source, running, supply
    )
    return found


@given(boats(), gauge, temperature, share)
def test_injector_works_within_its_limits_only(
    boat: Boat, pressure: float, source: float, supply: float
) -> None:
    """Nothing below its pressures, above them, on water too hot for it, without water, or shut."""
    made = _feed(boat.feed)
    steam, water = injector(boat, pressure, source, 1.0, supply)
    assert steam >= 0.0
    assert 6.0 * steam - 1e-12 <= water <= 24.0 * steam + 1e-12
    hottest = feed.injector_hottest_water(pressure)
    if (
        pressure < 0.7 * made.injector_starting_pressure
        or pressure > 1.05 * made.injector_highest_pressure
        or source > hottest + 5.0
        or supply == 0.0
        or made.injector_steam_area == 0.0
    ):
        assert (steam, water) == (0.0, 0.0)
    elif made.injector_starting_pressure <= pressure <= made.injector_highest_pressure and source < hottest:
        assert steam > 0.0 or supply < 1e-300
    assert injector(boat, pressure, source, 0.0, supply) == (0.0, 0.0)


@given(gauge, st.floats(0.0, 1e6))
def test_injector_takes_less_at_more_pressure(pressure: float, extra: float) -> None:
    assert feed.injector_water_ratio(pressure + extra + ATMOSPHERE) <= feed.injector_water_ratio(
        pressure + ATMOSPHERE
    )
    assert feed.injector_hottest_water(pressure + extra) <= feed.injector_hottest_water(pressure)


@given(
    gauge, st.floats(1e-5, 2e-4), st.floats(0.1, 1.5), st.floats(0.0, 7200.0), more, st.floats(0.0, 3600.0)
)
def test_strokes_fall_with_pressure_and_weariness(
    pressure: float, volume: float, travel: float, tired: float, factor: float, longer: float
) -> None:
    strokes = hand_stroke_limit(pressure, volume, travel, tired)
    assert 0.0 <= strokes <= 50.0 / 60.0
    assert hand_stroke_limit(pressure * factor, volume, travel, tired) <= strokes + 1e-12
    assert hand_stroke_limit(pressure, volume * factor, travel, tired) <= strokes + 1e-12
    assert hand_stroke_limit(pressure, volume, travel, tired + longer) <= strokes + 1e-12
    assert hand_stroke_limit(pressure, volume, travel * factor, tired) >= strokes - 1e-12
    work = pressure * volume / 0.85
    assert strokes * work <= sustained_human_power(tired / 60.0) * (1.0 + 1e-9)
    if work / travel >= TOO_HEAVY:
        assert strokes == 0.0


@given(st.floats(0.0, 500.0), temperature, st.floats(0.0, 0.1), temperature, more)
def test_coil_heat_runs_downhill(
    conductance: float, steam: float, flow: float, water: float, factor: float
) -> None:
    """Never from colder to hotter, and the feed never leaves hotter than the steam."""
    heat = feed.coil_heat(conductance, steam, flow, water)
    assert heat >= 0.0
    assert heat == 0.0 or steam > water
    assert heat <= flow * feed.WATER_HEAT * max(0.0, steam - water) * (1.0 + 1e-12)
    assert feed.coil_heat(conductance * factor, steam, flow, water) >= heat * (1.0 - 1e-12)
    assert feed.coil_heat(conductance, steam, flow * factor, water) >= heat * (1.0 - 1e-9)


@given(share, st.floats(-0.1, 0.1))
def test_wear_stays_between_none_and_all(wear: float, asked: float) -> None:
    rate = wear_rate(wear, asked)
    assert rate * asked >= 0.0
    assert abs(rate) <= abs(asked)
    assert wear_rate(1.0, abs(asked)) == 0.0
    assert wear_rate(0.0, -abs(asked)) == 0.0
