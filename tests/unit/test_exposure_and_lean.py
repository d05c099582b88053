"""Bare heating surface, a boat that leans, and a boiler full to the top."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from halfglass.day.machinery import FULL_STEAM_SPACE
from halfglass.day.outing import Day
from halfglass.day.record import draw_up, marks_of
from halfglass.plant import boiler as water_side
from halfglass.plant import reading as r
from halfglass.plant.compile import to_record
from halfglass.plant.parameters import Boiler
from halfglass.plant.steamplant import SteamPlant
from halfglass.result import events, limits
from halfglass.scenario.catalogue import boiler_shapes
from halfglass.scenario.catalogue.fuels import charge
from halfglass.scenario.catalogue.reduce import initial_state, plant_parameters
from halfglass.scenario.day_models import Scenario
from halfglass.scenario.load import load

SCENARIOS = Path(__file__).parents[2] / "scenarios"


def shipped(number: str) -> Scenario:
    (path,) = SCENARIOS.glob(f"{number}-*.toml")
    story = load(path)
    return story.for_plan(story.plan_names[0])


BOILERS = {
    name: shipped(number).boat.boiler
    for name, number in (
        ("sedge", "01"), ("dabchick", "03"), ("wigeon", "04"), ("goosander", "05"), ("pochard", "06"),
    )
}  # fmt: skip
EVERY = pytest.mark.parametrize("name", BOILERS)


def record(name: str) -> Boiler:
    made: Boiler = to_record(boiler_shapes.reduced(BOILERS[name]))
    return made


@EVERY
@pytest.mark.parametrize(("heel", "trim"), [(0.0, 0.0), (0.1, -0.05)])
def test_cover_falls_with_the_level_and_stays_a_share(name: str, heel: float, trim: float) -> None:
    made, top = record(name), boiler_shapes.formed(BOILERS[name]).top_height
    levels = np.linspace(-0.3, top + 0.3, 2001)
    radiant = [water_side.radiant_covered_fraction(made, h, heel, trim) for h in levels]
    convective = [water_side.convective_covered_fraction(made, h) for h in levels]
    for covered in (radiant, convective):
        assert np.all(np.diff(covered) >= -1e-12)
        assert covered[0] == 0.0
        assert covered[-1] == pytest.approx(1.0)


@EVERY
def test_nothing_radiant_is_bare_while_the_crown_is_covered(name: str) -> None:
    made = record(name)
    crown = boiler_shapes.formed(BOILERS[name]).crown_height
    assert water_side.radiant_covered_fraction(made, crown, 0.0, 0.0) == pytest.approx(1.0)


@pytest.mark.parametrize("name", ["sedge", "goosander"])
def test_a_bare_crown_stops_the_crown_at_once_and_the_walls_by_degrees(name: str) -> None:
    made, form = record(name), boiler_shapes.formed(BOILERS[name])
    below = form.crown_height - 0.011
    walls = (form.radiant_area - form.crown_area) * below / form.radiant_zone[1]
    covered = water_side.radiant_covered_fraction(made, below, 0.0, 0.0)
    assert covered * form.radiant_area == pytest.approx(walls)


def test_tubes_over_the_furnace_dry_before_the_furnace() -> None:
    made, form = record("pochard"), boiler_shapes.formed(BOILERS["pochard"])
    between = 0.5 * (form.radiant_zone[1] + form.convective_zone[0])
    assert water_side.convective_covered_fraction(made, between) == 0.0
    assert water_side.radiant_covered_fraction(made, between, 0.0, 0.0) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("athwartships", "fore_and_aft", "heel", "trim", "sign"),
    [
        (0.2, 0.0, 0.05, 0.0, +1),  # on the low side she shows more
        (0.2, 0.0, -0.05, 0.0, -1),
        (-0.2, 0.0, 0.05, 0.0, -1),
        (0.0, 0.5, 0.0, 0.05, +1),  # forward, down by the head
        (0.0, -0.5, 0.0, 0.05, -1),
        (0.0, 0.0, 0.05, 0.05, 0),
    ],
)
def test_the_glass_shows_more_on_the_low_side(
    athwartships: float, fore_and_aft: float, heel: float, trim: float, sign: int
) -> None:
    shift = water_side.height_at(0.5, athwartships, fore_and_aft, heel, trim) - 0.5
    offset = abs(athwartships) + abs(fore_and_aft)
    assert shift == pytest.approx(sign * offset * math.tan(0.05))


@EVERY
@settings(deadline=None)
@given(heel=st.floats(-0.3, 0.3), trim=st.floats(-0.3, 0.3))
def test_cover_is_that_of_the_least_covered_corner(name: str, heel: float, trim: float) -> None:
    made = record(name)
    corners = [
        water_side.height_at(
            0.6,
            side * made.crown_half_breadth,
            made.crown_fore_and_aft + end * made.crown_half_length,
            heel,
            trim,
        )
        for side in (-1, 1)
        for end in (-1, 1)
    ]
    cover = water_side.crown_cover(made, 0.6, heel, trim)
    assert cover == pytest.approx(min(corners) - made.crown_height)


def leaning(heel: float, trim: float) -> Scenario:
    """Goosander, her glass to starboard and aft, lying like this [rad]."""
    scenario = shipped("05")
    aboard = scenario.aboard.model_copy(update={"heel": heel, "trim": trim})
    return scenario.model_copy(update={"aboard": aboard})


@pytest.mark.parametrize(("heel", "trim"), [(0.0, 0.0), (0.06, 0.0), (0.0, -0.03), (-0.05, 0.04)])
def test_glass_before_lighting_up_is_read_as_she_lies(heel: float, trim: float) -> None:
    """The glass says what it should whatever the heel; what leans is how much water that is."""
    scenario = leaning(heel, trim)
    parameters = plant_parameters(scenario.boat)
    plant = SteamPlant(parameters, initial_state(scenario))
    boiler = parameters.boiler
    assert plant.reading("glass_fraction") == pytest.approx(scenario.aboard.glass, abs=0.01)
    shift = boiler.glass_athwartships * math.tan(heel) + boiler.glass_fore_and_aft * math.tan(trim)
    half = scenario.aboard.glass * (boiler.top_nut_height - boiler.bottom_nut_height)
    assert plant.reading("water_level") == pytest.approx(half - shift, abs=1e-4)


@pytest.mark.parametrize(("heel", "trim"), [(0.0, 0.0), (0.06, 0.0), (-0.06, 0.0), (0.0, 0.03), (0.0, -0.03)])
def test_the_crown_mark_is_the_level_at_which_its_first_corner_dries(heel: float, trim: float) -> None:
    """The least covered corner: breadth counts either way, and the crown lies aft of the middle."""
    day = Day(leaning(heel, trim))
    level = marks_of(day, "as written").crown_level
    boiler = day.parameters.boiler
    water = day.clock.reading(r.WATER_LEVEL)
    assert level == pytest.approx(water - day.clock.reading(r.CROWN_COVER))
    lean = boiler.crown_half_breadth * math.tan(abs(heel)) + boiler.crown_half_length * math.tan(abs(trim))
    lean -= boiler.crown_fore_and_aft * math.tan(trim)
    assert level == pytest.approx(boiler.crown_height - boiler.bottom_nut_height + lean)


def test_a_crown_bare_on_one_side_ends_the_day_at_once() -> None:
    """Heeled 20 degrees the crown's high side is out of the water that still stands over its middle."""
    day = Day(leaning(math.radians(20.0), 0.0))
    boiler = day.parameters.boiler
    assert day.clock.reading(r.WATER_LEVEL) + boiler.bottom_nut_height > boiler.crown_height
    day.run()
    assert day.outcome is not None
    assert (day.outcome.kind, day.outcome.at) == ("crown bare", 0.0)
    verdict = draw_up(day, "as written", 0, {}, None).verdict
    assert not verdict.holds_water
    assert any(item.item == limits.MODEL_ENDS for item in verdict.critical)


@pytest.mark.parametrize("number", ["01", "05"])
def test_heat_taken_falls_with_the_surface_left_in_the_water(number: str) -> None:
    """Just lit, all tubes dry: heat to the boiler goes with the radiant surface that has water behind it."""
    scenario = shipped(number)
    parameters = plant_parameters(scenario.boat)
    boiler, form = parameters.boiler, boiler_shapes.formed(scenario.boat.boiler)
    lowest_tube = form.convective_zone[0]
    heat, covered = [], []
    for share in (0.4, 0.9):
        height = share * lowest_tube
        volumes = np.linspace(0.0, boiler.volume, boiler.height_table.size)
        volume = float(np.interp(height, boiler.height_table, volumes))
        start = replace(initial_state(scenario), boiler_liquid_volume=volume)
        plant = SteamPlant(parameters, start)
        plant.light(charge("steam coal", 2.0), charge("air-dry wood", 2.0), 950.0)
        heat.append(plant.reading("heat_to_boiler_rate"))
        walls = form.radiant_area - form.crown_area
        covered.append(walls * height / form.radiant_zone[1])
    assert heat[0] > 0.0
    assert heat[1] / heat[0] == pytest.approx(covered[1] / covered[0], rel=0.01)


def test_a_boiler_full_to_the_top_ends_the_day() -> None:
    """Cold, vent open, the hand pump, with a long easy lever, worked without looking at the glass."""
    scenario = shipped("01")
    pump = scenario.boat.feed.hand_pump
    assert pump is not None
    feed = scenario.boat.feed.model_copy(
        update={"hand_pump": pump.model_copy(update={"lever_travel": 5.0})}
    )
    boat = scenario.boat.model_copy(update={"feed": feed})
    day = Day(scenario.model_copy(update={"boat": boat}))
    day.clock.set(hand_pump_lake_rate=2.0)
    day.run()
    outing = draw_up(day, "as written", 0, {}, None)
    full = outing.log.loc[outing.log.event == events.BOILER_FULL]
    assert len(full) == 1
    assert outing.verdict.outcome.kind == events.BOILER_FULL
    assert outing.verdict.outcome.sentence == "Boiler full to the top: outside what this model can say."
    assert outing.verdict.outcome.at == pytest.approx(float(full.time.iloc[0]))
    volume = day.parameters.boiler.volume
    assert day.clock.reading(r.STEAM_SPACE) == pytest.approx(FULL_STEAM_SPACE * volume, rel=0.02)
    assert not outing.verdict.holds_water
    # before the soft stop of a full vessel, which is no steam, shows as pressure and drives the engine
    assert day.clock.plant.marcher.highest[r.BOILER_PRESSURE] < 5e3
    item = next(i for i in outing.verdict.critical if i.item == limits.FULL)
    assert item.severity == "danger"
    assert outing.verdict.sentence.startswith("The boiler is full to the top at 08:")
    assert "outside what this model can say" in outing.verdict.sentence
    assert outing.ledger.mass_relative < 1e-6
    assert outing.ledger.energy_relative < 1e-6


def test_a_boat_with_one_safety_valve_logs_only_that_one() -> None:
    day = Day(shipped("03"))
    assert day.parameters.valves.second_area == 0.0
    day.run()
    told = [entry.text for entry in day.entries if entry.event == "safety valve lifted"]
    assert told
    assert all(text.startswith("First") for text in told)
