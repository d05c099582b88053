"""Openings: nothing flows uphill, and more pressure never lets less out."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import boats, hot, share, shipped_days

from halfglass.plant import reading as r
from halfglass.plant.boiler_balance import valve_opening
from halfglass.plant.orifice import CRITICAL_RATIO, steam_flow, water_flow
from halfglass.plant.parameters import Settings
from halfglass.plant.steam import saturation
from halfglass.plant.steamplant import SteamPlant
from halfglass.scenario.boat import Boat
from halfglass.scenario.catalogue.reduce import initial_state, plant_parameters

absolute = st.floats(2e3, 2.4e6)
area = st.floats(0.0, 1e-2)
more = st.floats(1.0, 3.0)


def saturated_flow(opening: float, upstream: float, downstream: float) -> float:
    return float(steam_flow(opening, upstream, downstream, saturation(upstream)[2]))


@given(area, absolute, absolute)
def test_steam_never_flows_uphill(opening: float, upstream: float, downstream: float) -> None:
    flow = saturated_flow(opening, upstream, downstream)
    assert flow >= 0.0
    assert flow == 0.0 or upstream > downstream


@given(area, absolute, absolute, more)
def test_more_pressure_never_less_steam(opening: float, low: float, downstream: float, factor: float) -> None:
    high = min(low * factor, 2.4e6)
    assert saturated_flow(opening, high, downstream) >= saturated_flow(opening, low, downstream) * (1 - 1e-9)


@given(area, absolute, share, more)
def test_more_back_pressure_never_more_steam(
    opening: float, upstream: float, low: float, factor: float
) -> None:
    downstream = upstream * low
    less = saturated_flow(opening, upstream, downstream * factor)
    assert less <= saturated_flow(opening, upstream, downstream) * (1 + 1e-12)


@given(area, absolute, more)
def test_wider_never_less(opening: float, upstream: float, factor: float) -> None:
    assert saturated_flow(opening * factor, upstream, 1e3) >= saturated_flow(opening, upstream, 1e3)
    assert water_flow(opening * factor, upstream, 1.1e-3) >= water_flow(opening, upstream, 1.1e-3)


@given(absolute)
def test_no_jump_where_steam_chokes(upstream: float) -> None:
    below = saturated_flow(1e-4, upstream, upstream * (CRITICAL_RATIO - 1e-9))
    above = saturated_flow(1e-4, upstream, upstream * (CRITICAL_RATIO + 1e-9))
    assert above == pytest.approx(below, rel=1e-9)


@given(area, st.floats(-1e6, 2.4e6), more)
def test_water_only_downhill_and_more_with_more_pressure(opening: float, drop: float, factor: float) -> None:
    flow = water_flow(opening, drop, 1.1e-3)
    assert flow >= 0.0
    assert flow == 0.0 or drop > 0.0
    assert water_flow(opening, drop * factor if drop > 0.0 else drop / factor, 1.1e-3) >= flow


@given(st.floats(0.0, 2e6), more, st.floats(1e5, 1e6), share, st.sampled_from((0.0, 1.0)), share)
def test_a_safety_valve_opens_with_pressure(
    pressure: float, factor: float, set_pressure: float, simmer: float, lifted: float, weep: float
) -> None:
    opening = valve_opening(pressure, set_pressure, simmer, lifted, 0.0, weep)
    assert 0.0 <= opening <= 1.0
    assert valve_opening(pressure * factor, set_pressure, simmer, lifted, 0.0, weep) >= opening
    assert valve_opening(pressure, set_pressure, simmer, lifted, 1.0, weep) == 1.0
    assert valve_opening(pressure, set_pressure, simmer, lifted, -1.0, weep) == 0.0


OPEN = {
    "first_safety_valve": r.SAFETY_VALVE_FLOW, "second_safety_valve": r.SAFETY_VALVE_FLOW,
    "whistle_area": r.SERVICE_FLOW, "heating_steam_area": r.SERVICE_FLOW, "blower": r.SERVICE_FLOW,
    "blow_down": r.BLOW_DOWN_FLOW, "vent": r.VENT_FLOW, "check_valve_leak_area": r.CHECK_LEAK_FLOW,
}  # fmt: skip


def outflow(boat: Boat, pressure: float, settings: dict[str, float], flow: int) -> float:
    """What an opened fitting of a boat passes with steam up [kg/s]."""
    day = shipped_days()[0].model_copy(update={"boat": boat})
    start = hot(initial_state(day), pressure)
    plant = SteamPlant(plant_parameters(boat), replace(start, settings=replace(start.settings, **settings)))
    return float(plant.marcher.readings[flow])


@given(boats(), st.sampled_from(sorted(OPEN)), share, st.floats(1e3, 7e5), st.floats(1.0, 2.0))
def test_fittings_pass_no_less_at_more_pressure(
    boat: Boat, name: str, opening: float, low: float, factor: float
) -> None:
    amount = opening * 1e-5 if name.endswith("area") else round(opening) if "valve" in name else opening
    settings = {name: float(amount)}
    less, more_of_it = (outflow(boat, p, settings, OPEN[name]) for p in (low, low * factor))
    assert 0.0 <= less <= more_of_it * (1.0 + 1e-9)
    assert getattr(Settings(), name) == 0.0


@given(boats(), st.floats(1e3, 1e6))
def test_a_sound_check_valve_lets_nothing_back(boat: Boat, pressure: float) -> None:
    """Boiler under pressure, no pump at work: nothing comes back to the hot well, nothing goes in."""
    for flow in (r.CHECK_LEAK_FLOW, r.COIL_FEED_FLOW, r.DRAWN_HOTWELL_FLOW):
        assert outflow(boat, pressure, {}, flow) == 0.0
