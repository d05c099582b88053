"""Scenario 02: the engine-driven pump stops under way, four ways of going on, cross-checked by hand."""

from __future__ import annotations

import math
import re
from collections.abc import Callable

import numpy as np
import pandas
import pytest

from halfglass.report.terminal import summary
from halfglass.result import events
from halfglass.result.records import Outing
from halfglass.scenario.catalogue.boiler_shapes import VerticalFireTube
from halfglass.scenario.load import Story

Shipped = Callable[..., Outing]
ALONE = "feed left alone"
INJECTOR = "injector"
BEFORE = 600.0
"""s before the fault over which the steaming rate is taken."""


def plan_of(shipped: Shipped, plan: str) -> Outing:
    return shipped("02", plan)


def fault_at(outing: Outing) -> float:
    (at,) = outing.log.loc[outing.log.event == events.FAULT, "time"]
    return float(at)


def mean_between(table: pandas.DataFrame, name: str, start: float, end: float) -> float:
    """Mean over time of a reading, rows being unevenly spaced."""
    rows = table[(table.time >= start) & (table.time <= end)]
    area = np.trapezoid(rows[name], rows.time)
    return float(area / (rows.time.iloc[-1] - rows.time.iloc[0]))


def reading_at(table: pandas.DataFrame, name: str, time: float) -> float:
    return float(np.interp(time, table.time, table[name]))


def test_time_to_the_nut_is_told_for_every_plan(shipped: Shipped, pump_plan: str) -> None:
    nothing = plan_of(shipped, pump_plan).if_nothing_done
    assert nothing is not None
    assert nothing.bottom_nut_after is not None
    assert nothing.fault == "The engine-driven pump stops delivering."
    assert 300.0 < nothing.bottom_nut_after < 7200.0
    assert 0.1 <= nothing.uncertainty_fraction <= 0.3


def test_time_to_the_nut_by_hand(shipped: Shipped, story: Callable[[str], Story], pump_plan: str) -> None:
    """Water above the nut over the steaming rate, from the boat's drawing, the glass and the engine alone.

    Area of the water surface: shell less tubes, from the boat file. Density of water at the boiler's
    temperature: 0.90-0.92 kg/L at 5-6 bar (IF97: v 1.0926e-3 at 500 kPa, 1.1148e-3 at 800 kPa).
    """
    boiler = story("02").for_plan(pump_plan).boat.boiler
    assert isinstance(boiler, VerticalFireTube)
    area = 0.25 * math.pi * (boiler.shell_diameter**2 - boiler.tubes * boiler.tube_diameter**2)
    outing = plan_of(shipped, pump_plan)
    table, at = outing.timeline, fault_at(outing)
    water_above_nut = reading_at(table, "glass_level", at) * area / 1.10e-3
    steaming = mean_between(table, "steam_flow_boiler_engine", at - BEFORE, at)
    nothing = outing.if_nothing_done
    assert nothing is not None
    assert nothing.bottom_nut_after == pytest.approx(water_above_nut / steaming, rel=0.2)


def test_time_to_the_nut_by_the_mass_in_the_boiler(shipped: Shipped) -> None:
    """The same by weight, with the feed left alone: what was lost is what the engine took."""
    outing = plan_of(shipped, ALONE)
    table, at = outing.timeline, fault_at(outing)
    empty = float(outing.log.loc[outing.log.event == events.BOTTOM_NUT, "time"].iloc[0])
    lost = reading_at(table, "boiler_water_mass", at) - reading_at(table, "boiler_water_mass", empty)
    steaming = mean_between(table, "steam_flow_boiler_engine", at, empty)
    nothing = outing.if_nothing_done
    assert nothing is not None and nothing.bottom_nut_after is not None
    assert nothing.bottom_nut_after == pytest.approx(empty - at, abs=1.0)
    assert lost / steaming == pytest.approx(empty - at, rel=0.05)


def test_no_feed_from_the_engine_pump_after_the_fault(shipped: Shipped, pump_plan: str) -> None:
    outing = plan_of(shipped, pump_plan)
    after = outing.timeline[outing.timeline.time > fault_at(outing) + 1.0]
    assert len(after) > 60
    assert after.feed_flow_engine_pump.max() == 0.0


def test_lowest_glass_and_when(shipped: Shipped, pump_plan: str) -> None:
    """The verdict's lowest glass is the lowest the timeline shows from lighting up to shutting down."""
    outing = plan_of(shipped, pump_plan)
    verdict, table = outing.verdict, outing.timeline
    assert verdict.lowest_glass_fraction == pytest.approx(float(table.glass_fraction.min()), abs=0.01)
    assert reading_at(table, "glass_fraction", verdict.lowest_glass_at) == pytest.approx(
        verdict.lowest_glass_fraction, abs=0.01
    )
    assert verdict.lowest_glass_at > fault_at(outing)


def test_whether_the_plan_holds_the_water(shipped: Shipped, pump_plan: str) -> None:
    outing = plan_of(shipped, pump_plan)
    emptied = bool((outing.timeline.glass_fraction < 0.0).any())
    drill = outing.verdict.outcome.kind == "low-water drill"
    assert outing.verdict.holds_water is not (emptied or drill)


def test_the_injector_holds_the_water_to_the_end(shipped: Shipped) -> None:
    outing = plan_of(shipped, INJECTOR)
    assert outing.verdict.holds_water
    assert outing.verdict.outcome.kind == "arrived"
    assert outing.verdict.lowest_glass_fraction > 0.15
    assert outing.totals["feed_injector_kg"] > 10.0


def test_feed_left_alone_ends_in_low_water(shipped: Shipped) -> None:
    outing = plan_of(shipped, ALONE)
    assert not outing.verdict.holds_water
    assert events.BOTTOM_NUT in set(outing.log.event)
    assert outing.verdict.outcome.kind == "low-water drill"
    extra = ("feed_hand_pump_hotwell_kg", "feed_hand_pump_lake_kg", "feed_injector_kg")
    after = outing.timeline[outing.timeline.time > fault_at(outing)]
    assert all(outing.totals[name] == 0.0 for name in extra[:2])
    assert after.feed_flow_injector.max() == 0.0


def test_looks_alone_do_not_save_the_water(shipped: Shipped) -> None:
    """The hands went on looking: the fire was tended after the fault, and the glass emptied all the same."""
    outing = plan_of(shipped, ALONE)
    after = outing.timeline[outing.timeline.time > fault_at(outing)]
    fired = np.diff(after.fuel_on_board.to_numpy()) < -0.1
    assert fired.any()


def test_every_way_of_feeding_buys_time(shipped: Shipped, story: Callable[[str], Story]) -> None:
    """Whoever feeds has the glass empty later than who does not, or never."""

    def lasted(plan: str) -> float:
        outing = plan_of(shipped, plan)
        empty = outing.log.loc[outing.log.event == events.BOTTOM_NUT, "time"]
        return float(empty.iloc[0]) - fault_at(outing) if len(empty) else math.inf

    feeding = [plan for plan in story("02").plan_names if plan != ALONE]
    assert len(feeding) >= 3
    assert min(lasted(plan) for plan in feeding) > 1.2 * lasted(ALONE)


def test_summary_tells_pressure_and_fuel(shipped: Shipped, pump_plan: str) -> None:
    """The plan's lines in the terminal hold the figures of its own timeline."""
    outing = plan_of(shipped, pump_plan)
    told = " ".join(summary([outing], width=110).split())
    pressure = re.search(r"pressure under way between ([\d.]+) and ([\d.]+) bar gauge", told)
    fuel = re.search(r"fuel left ([\d.]+) kg", told)
    assert pressure and fuel
    table = outing.timeline
    begins = float(outing.log.loc[outing.log.event == events.UNDER_WAY, "time"].iloc[0])
    under_way = table[table.time >= begins]
    low, high = (float(figure) * 1e5 for figure in pressure.groups())
    assert low == pytest.approx(float(under_way.boiler_pressure.min()), abs=0.01e5)
    assert 2.0e5 < low < high <= float(table.boiler_pressure.max()) + 0.01e5
    assert float(fuel.group(1)) == pytest.approx(float(table.fuel_on_board.iloc[-1]), abs=0.06)
    assert "If nobody answered the fault" in told
    assert "lowest glass" in told or "below the bottom nut" in told


def test_summary_sets_the_plans_side_by_side(shipped: Shipped, story: Callable[[str], Story]) -> None:
    names = story("02").plan_names
    told = " ".join(summary([plan_of(shipped, name) for name in names], width=110).split())
    assert all(name in told for name in names)
    assert told.count("fuel left") == len(names)
    assert told.count("pressure under way between") == len(names)


def test_cold_feed_costs_pressure(shipped: Shipped) -> None:
    """Sign only: the injector takes boiler steam and brings more feed than the engine draws."""
    outing = plan_of(shipped, INJECTOR)
    table = outing.timeline
    running = table[(table.feed_flow_injector > 0.0) & (table.time > fault_at(outing))]
    starts = running.time.to_numpy()[0]
    assert reading_at(table, "boiler_pressure", starts + 120.0) < reading_at(table, "boiler_pressure", starts)


def test_no_day_ends_as_planned_with_an_empty_glass(shipped: Shipped, pump_plan: str) -> None:
    """A last look comes before the boat is left: a glass found empty is a low-water drill at any hour."""
    outing = plan_of(shipped, pump_plan)
    if outing.verdict.outcome.kind == "arrived":
        assert float(outing.timeline.glass_fraction.iloc[-1]) >= 0.0
        assert outing.verdict.outcome.sentence.count("-") == 0
    else:
        assert outing.verdict.outcome.kind == "low-water drill"
