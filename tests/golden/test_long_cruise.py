"""The cruise of scenario 07: what is asked of a long cruise is described shortly and answered."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from conftest import shipped_file

from halfglass.report.terminal import summary
from halfglass.result import events
from halfglass.result.records import Outing
from halfglass.scenario.load import Story
from halfglass.scenario.route_steps import Leg, Lock, NightHalt, TakeFuel

HOUR = 3600.0
WRITTEN, SHUT, PACKING = "as written", "Tollgate wharf is shut", "pump packing goes"
Shipped = Callable[..., Outing]


@pytest.fixture(params=[WRITTEN, SHUT, PACKING])
def cruise(request: pytest.FixtureRequest, shipped: Shipped) -> Outing:
    """The cruise under one of its plans."""
    return shipped("07", request.param)


def test_it_is_a_long_cruise_in_few_lines(story: Callable[[str], Story]) -> None:
    route = story("07").base.route
    assert len(shipped_file("07").read_text(encoding="utf-8").splitlines()) < 120
    assert sum(step.distance for step in route if isinstance(step, Leg)) == pytest.approx(60e3)
    counts = [sum(isinstance(step, kind) for step in route) for kind in (Lock, TakeFuel, NightHalt)]
    assert counts == [2, 2, 1]
    assert story("07").plan_names == (WRITTEN, SHUT, PACKING)


def test_arrivals_are_told_in_order(cruise: Outing) -> None:
    """Every place with its time, each leg's mean speed one a launch of 6.6 m can have."""
    told = cruise.log[cruise.log.event == events.REACHED]
    places = [text.split(":")[0] for text in told.text]
    assert places == [
        "Nether lock", "Gravel wharf", "Willow eyot", "Hallow quay",
        "Tollgate wharf", "Ferry meadow", "Nether lock", "Boathouse",
    ]  # fmt: skip
    times = told.time.tolist()
    assert times == sorted(times)
    assert times[3] < 8 * HOUR and times[4] > 23 * HOUR
    assert cruise.totals["distance_m"] == pytest.approx(60e3, rel=0.02)


def test_fuel_and_water_taken_on_are_told(cruise: Outing) -> None:
    taken = {name: cruise.log[cruise.log.event == event].text.tolist() for name, event in
             (("fuel", events.FUEL_TAKEN), ("water", events.WATER_TAKEN))}  # fmt: skip
    amounts = [float(text.split(" kg")[0]) for text in taken["fuel"]]
    assert amounts == ([30.0] if cruise.marks.plan_name == SHUT else [30.0, 25.0])
    assert cruise.totals["fuel_taken_kg"] == pytest.approx(sum(amounts))
    (water,) = (float(text.split(" kg")[0]) for text in taken["water"])
    assert 2.0 < water <= 10.0
    assert cruise.totals["lake_water_taken_kg"] > water


def test_hours_at_the_hand_pump_are_told(shipped: Shipped) -> None:
    """Filling up cold takes minutes; making good what a worn pump lacks takes over an hour."""
    hours = {plan: shipped("07", plan).totals["hand_pumping_s"] / HOUR for plan in (WRITTEN, SHUT, PACKING)}
    assert hours[WRITTEN] == hours[SHUT] < 0.25 < 1.0 < hours[PACKING] < 2.0
    totals = shipped("07", PACKING).totals
    assert totals["hand_pump_strokes"] / totals["hand_pumping_s"] * 60.0 == pytest.approx(30.0, abs=2.0)


def test_one_plan_runs_short(shipped: Shipped) -> None:
    """Without the coal of the second day the bunker is empty before home, and the summary says so."""
    short = {
        plan: [item.item for item in shipped("07", plan).verdict.critical if item.subject == "fuel"]
        for plan in (WRITTEN, SHUT, PACKING)
    }
    assert short == {WRITTEN: [], SHUT: ["none left on board", "into the reserve"], PACKING: []}
    told = re.sub(r"\s+", " ", summary([shipped("07", SHUT)]))
    assert "fuel: none left on board" in told and "day 2" in told


def test_every_plan_holds_the_water(cruise: Outing) -> None:
    assert cruise.verdict.holds_water
    assert cruise.verdict.outcome.kind == "arrived"
