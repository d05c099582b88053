"""The record of a day: marks, totals, solids, timeline and the outing as a whole, without a day being run."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from steaming import sedge

from halfglass.day import record
from halfglass.day.crew import Spell
from halfglass.day.outing import Day
from halfglass.plant import state as y
from halfglass.plant.compile import is_compiled
from halfglass.plant.feed import suction_margin
from halfglass.plant.steam import saturation
from halfglass.result import events
from halfglass.result.records import IfNothingDone


@pytest.fixture
def day() -> Day:
    """The lake day before anybody has done anything."""
    return Day(sedge())


def test_marks_of_the_boat_by_hand(day: Day) -> None:
    marks, boiler, scenario = record.marks_of(day, "as written"), day.parameters.boiler, day.scenario
    valves, exhaust = day.parameters.valves, day.parameters.exhaust
    assert marks.glass_length == pytest.approx(boiler.top_nut_height - boiler.bottom_nut_height)
    assert marks.level_uncertainty == 0.010
    assert marks.crown_level == pytest.approx(boiler.crown_height - boiler.bottom_nut_height, abs=0.02)
    assert marks.crown_level < 0.0
    assert marks.safety_valve_pressures == (valves.first_set_pressure, valves.second_set_pressure)
    assert marks.steaming_pressure == pytest.approx(0.25 * scenario.firing.working_pressure)
    assert marks.injector_lowest_pressure == day.parameters.feed.injector_starting_pressure
    assert marks.fuel_capacity == pytest.approx(scenario.aboard.fuel_mass)
    day.clock.plant.start_state[y.TANK_FUEL] += 2.5
    assert record.marks_of(day, "").fuel_capacity == pytest.approx(scenario.aboard.fuel_mass + 2.5)
    assert marks.hotwell_low == pytest.approx(0.2 * exhaust.hotwell_capacity)
    lift = day.parameters.feed.pump_suction_lift
    assert suction_margin(marks.hotwell_hot, lift, scenario.weather.barometer) == pytest.approx(0.0, abs=1e-6)
    assert record.hottest_pumped(-20.0, 101325.0) == pytest.approx(372.0, abs=1e-6)
    absolute = valves.first_set_pressure + scenario.weather.barometer
    flow = valves.first_area * valves.discharge_coefficient * 0.635462
    flow *= math.sqrt(absolute / saturation(absolute)[2])
    assert record.valve_flow(day) == pytest.approx(flow, rel=1e-9)
    assert marks.blowing_flow == pytest.approx(0.1 * flow, rel=1e-9)


def test_totals_and_solids_of_a_day_by_hand(day: Day) -> None:
    """Each total is given an amount of its own, so that none can stand for another."""
    plant = day.clock.plant
    state = plant.marcher.state
    given = {
        y.TOTAL_FUEL_TAKEN: 3.0, y.DISTANCE: 5000.0, y.TOTAL_ENGINE_STEAM: 71.0,
        y.TOTAL_FEED_ENGINE_PUMP: 40.0, y.TOTAL_FEED_HAND_PUMP_HOTWELL: 7.0,
        y.TOTAL_FEED_HAND_PUMP_LAKE: 11.0, y.TOTAL_FEED_INJECTOR: 22.0,
        y.TOTAL_LAKE_WATER: 50.0, y.TOTAL_SAFETY_VALVE_STEAM: 1.5, y.TOTAL_INDICATED_WORK: 9e6,
        y.TOTAL_HEAT_TO_BOILER: 2e8, y.TOTAL_BLOW_DOWN: 0.7, y.TOTAL_STROKES_HOTWELL: 130.0,
        y.TOTAL_STROKES_LAKE: 210.0, y.TOTAL_SOLIDS_OUT: 0.002,
    }  # fmt: skip
    for place, amount in given.items():
        state[place] = plant.start_state[place] + amount
    state[y.BUNKER_FUEL] -= 12.0
    state[y.BOILER_SOLIDS] += 0.006
    found = record.totals(day)
    wanted = {
        "fuel_used_kg": 15.0, "fuel_taken_kg": 3.0, "distance_m": 5000.0, "steam_used_by_engine_kg": 71.0,
        "feed_engine_pump_kg": 40.0, "feed_hand_pump_hotwell_kg": 7.0, "feed_hand_pump_lake_kg": 11.0,
        "feed_injector_kg": 22.0, "lake_water_taken_kg": 50.0, "steam_lost_safety_valves_kg": 1.5,
        "indicated_work_J": 9e6, "heat_to_boiler_J": 2e8, "blown_down_kg": 0.7, "hand_pump_strokes": 340.0,
        "hotwell_made_up_kg": 17.0 if day.parameters.feed.injector_from_hotwell <= 0.5 else 39.0,
        "hand_pumping_s": 0.0,
    }  # fmt: skip
    assert found == pytest.approx(wanted)
    solids = record.solids(day)
    assert solids is not None
    assert solids.feed == pytest.approx(100.0)  # 8 g in 80 kg of feed
    assert solids.limit == 3500.0
    # B = S Cf/(Cb - Cf): 1 kg blown down for 34 of steam, of 35 of feed
    assert solids.blow_down_fraction == pytest.approx(1.0 / 35.0)
    for place in given:
        state[place] = plant.start_state[place]
    assert record.solids(day) is None


def test_little_feed_tells_nothing_of_its_solids(day: Day) -> None:
    plant = day.clock.plant
    place = y.TOTAL_FEED_ENGINE_PUMP
    plant.marcher.state[place] = plant.start_state[place] + 0.09
    assert record.solids(day) is None
    plant.marcher.state[place] = plant.start_state[place] + 0.11
    solids = record.solids(day)
    assert solids is not None
    assert (solids.feed, solids.blow_down_fraction) == (0.0, 0.0)
    plant.marcher.state[y.BOILER_SOLIDS] += 0.11 * 4000e-6  # feed no purer than the limit
    foul = record.solids(day)
    assert foul is not None and foul.blow_down_fraction == 1.0


def test_solids_that_went_out_are_not_brought_and_pumping_is_summed(day: Day) -> None:
    """2 g of solids gone with nothing brought; 300 s at one pump and 60 s at the other, firing apart."""
    plant = day.clock.plant
    plant.marcher.state[y.TOTAL_FEED_INJECTOR] = plant.start_state[y.TOTAL_FEED_INJECTOR] + 10.0
    plant.marcher.state[y.BOILER_SOLIDS] -= 0.002
    solids = record.solids(day)
    assert solids is not None and solids.feed == 0.0
    day.crew.spells += [
        Spell("hand pump on hot well", 100.0, 400.0), Spell("firing", 400.0, 450.0),
        Spell("hand pump on lake", 500.0, 560.0),
    ]  # fmt: skip
    plant.marcher.state[y.TANK_FUEL] = plant.start_state[y.TANK_FUEL] - 2.5
    found = record.totals(day)
    assert (found["hand_pumping_s"], found["fuel_used_kg"]) == (360.0, 2.5)


@pytest.mark.parametrize(("from_hotwell", "made_up"), [(0.0, 17.0), (1.0, 39.0)])
def test_what_the_hot_well_was_made_up_with(
    day: Day, monkeypatch: pytest.MonkeyPatch, from_hotwell: float, made_up: float
) -> None:
    """50 kg from the lake, less 11 by hand pump and, where it draws on the lake, 22 by the injector."""
    plant = day.clock.plant
    feed = replace(day.parameters.feed, injector_from_hotwell=from_hotwell)
    monkeypatch.setattr(day, "parameters", day.parameters._replace(feed=feed))
    for place, mass in (
        (y.TOTAL_LAKE_WATER, 50.0), (y.TOTAL_FEED_HAND_PUMP_LAKE, 11.0), (y.TOTAL_FEED_INJECTOR, 22.0)
    ):  # fmt: skip
        plant.marcher.state[place] = plant.start_state[place] + mass
    assert record.totals(day)["hotwell_made_up_kg"] == pytest.approx(made_up)


def test_the_hottest_water_is_sought_between_freezing_and_boiling() -> None:
    assert record.hottest_pumped(20.0, 101325.0) == pytest.approx(275.0, abs=1e-6)
    middle = record.hottest_pumped(0.0, 101325.0)
    assert suction_margin(middle, 0.0, 101325.0) == pytest.approx(0.0, abs=1e-9)


def test_the_timeline_has_its_rows_in_order_and_who_was_busy(day: Day) -> None:
    """Rows either side of a change at 0 s and one at 50 s; two busy from 10 s, none from 50 s on."""
    marcher = day.clock.plant.marcher
    marcher.extra_rows.append(np.append(50.0, marcher.readings))
    marcher.extra_rows.append(np.append(10.0, marcher.readings))
    day.crew.busy[:] = [(0.0, 1), (10.0, 2), (50.0, 0)]
    found = record.columns(day)
    assert (np.diff(found["time"]) >= 0.0).all() and found["time"][-1] == 50.0
    assert dict(zip(found["time"], found["hands_busy"], strict=True)) == {0.0: 1.0, 10.0: 2.0, 50.0: 0.0}
    for name in ("boiler_pressure", "hotwell_mass", "fuel_on_board", "glass_fraction"):
        assert found[name][-1] == day.clock.plant.reading(name), name
    assert "time" in found and "hands_busy" in found


def test_an_outing_is_drawn_up_from_all_that_was_noted(day: Day) -> None:
    """Broken off before anything happened but a fault, a reached place and a minute's firing."""
    plant = day.clock.plant
    plant.marcher.state[y.TOTAL_LAKE_WATER] += 3.0
    day.crew.spells.append(Spell("firing", 0.0, 60.0))
    day.fault_at = 0.0
    day.log(events.DAY, "route", events.REACHED, "Mill: 5 bar.")
    day.finish("crown bare", "Bare.")
    nothing = IfNothingDone("pump stops", 0.0, 600.0, 7200.0, 0.2)
    outing = record.draw_up(day, "as written", 7, {"day.toml": b"x"}, nothing)
    assert (outing.marks.plan_name, outing.provenance["plan"], outing.provenance["seed"]) == (
        "as written", "as written", 7
    )  # fmt: skip
    assert (outing.provenance["plant"] == "compiled") == is_compiled()
    assert outing.verdict.outcome.kind == "crown bare"
    assert [(place.place, place.at) for place in outing.arrivals] == [("Mill", 0.0)]
    assert [(task.task, task.seconds) for task in outing.occupation.tasks] == [("firing", 60.0)]
    assert outing.occupation.busy_under_way == (0.0,) * day.scenario.crew.hands
    assert list(outing.log.event) == [entry.event for entry in day.entries]
    assert outing.if_nothing_done is nothing and outing.solids is None and outing.energy_flow is None
    assert outing.ledger.mass_error_kg == pytest.approx(3.0)  # taken, and put nowhere
    assert outing.ledger.energy_error_J == pytest.approx(0.0, abs=1e-6)
    assert outing.totals["lake_water_taken_kg"] == 3.0
    assert len(outing.timeline) == 1 and outing.timeline.time[0] == 0.0
    assert outing.sources == record.SOURCES and outing.assumptions == record.ASSUMPTIONS


def test_a_boat_that_leans_bares_her_crown_sooner(day: Day, monkeypatch: pytest.MonkeyPatch) -> None:
    """The level surface: half breadth by the tangent of heel, half length by that of trim."""
    aboard = day.scenario.aboard.model_copy(update={"heel": 0.05, "trim": 0.02})
    monkeypatch.setattr(day, "scenario", day.scenario.model_copy(update={"aboard": aboard}))
    boiler, heel, trim = day.parameters.boiler, math.tan(0.05), math.tan(0.02)
    boiler = replace(boiler, crown_half_breadth=0.2, crown_half_length=0.5, crown_fore_and_aft=0.1)
    monkeypatch.setattr(day, "parameters", day.parameters._replace(boiler=boiler))
    corner = boiler.crown_half_breadth * heel + boiler.crown_half_length * trim
    middle = boiler.crown_height - boiler.bottom_nut_height - boiler.crown_fore_and_aft * trim
    assert record.marks_of(day, "").crown_level == pytest.approx(middle + corner, abs=1e-12)
