"""What the machinery does by itself at a crossing, and the record of a day, without a day being run."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from steaming import sedge

from halfglass.day import record
from halfglass.day.crew import Spell
from halfglass.day.machinery import BARE, FULL, FULL_STEAM_SPACE, Machinery
from halfglass.day.outing import Day
from halfglass.plant import reading as r
from halfglass.plant import state as y
from halfglass.plant.feed import suction_margin
from halfglass.plant.steam import saturation
from halfglass.result import events, limits


@pytest.fixture
def day() -> Day:
    """The lake day before anybody has done anything."""
    return Day(sedge())


@pytest.fixture
def guards(day: Day, monkeypatch: pytest.MonkeyPatch) -> list[tuple[int, float, int, Any]]:
    """Every guard the machinery of this day arms."""
    armed: list[tuple[int, float, int, Any]] = []
    monkeypatch.setattr(day.clock, "guard", lambda *guard: armed.append(guard))
    monkeypatch.setattr(day.clock, "mark", lambda *mark: armed.append((*mark, None)))
    Machinery(day)
    return armed


def told(day: Day, event: str) -> list[str]:
    return [entry.text for entry in day.entries if entry.event == event]


def test_guards_stand_where_valves_water_and_injector_have_them(day: Day, guards: list[Any]) -> None:
    valves, feed, boiler = day.parameters.valves, day.parameters.feed, day.parameters.boiler
    placed = {(place, value, way) for place, value, way, _ in guards}
    pressure = r.BOILER_PRESSURE
    wanted = {
        (pressure, valves.first_set_pressure, +1), (pressure, valves.first_reseat_pressure, -1),
        (pressure, valves.second_set_pressure, +1), (pressure, valves.second_reseat_pressure, -1),
        (r.GLASS_FRACTION, 0.0, -1), (r.CROWN_COVER, 0.0, -1), (r.STEAM_SPACE, 0.015 * boiler.volume, -1),
        (r.INJECTOR_MARGIN, 0.0, -1),
        (pressure, 0.8 * feed.injector_starting_pressure, -1), (pressure, feed.injector_highest_pressure, +1),
    }  # fmt: skip
    assert wanted <= placed
    marks = record.marks_of(day, "")
    for limit in limits.LIMITS:
        value = limit.value(marks)
        if value is not None:
            both = {(r.INDEX[limit.quantity], value, way) for way in (+1, -1)}
            assert both <= placed, limit.item
            wanted |= both
    assert placed == wanted
    assert FULL_STEAM_SPACE == 0.015


def test_a_valve_lifts_once_in_the_log_and_not_when_stuck(day: Day) -> None:
    machinery, clock = day.machinery, day.clock
    machinery._lift("second_safety_valve", "Second")
    assert clock.plant.controls.second_safety_valve == 1.0
    machinery._reseat("second_safety_valve")
    assert clock.plant.controls.second_safety_valve == 0.0
    machinery._lift("second_safety_valve", "Second")  # at once again: no second line
    assert told(day, "safety valve lifted") == ["Second safety valve lifted."]
    machinery._last_lift["second_safety_valve"] = -300.0
    machinery._reseat("second_safety_valve")
    machinery._lift("second_safety_valve", "Second")
    assert len(told(day, "safety valve lifted")) == 2
    clock.set(first_safety_valve_stuck=-1.0)
    machinery._lift("first_safety_valve", "First")
    assert clock.plant.controls.first_safety_valve == 0.0
    clock.set(first_safety_valve_stuck=0.0)
    machinery.free_valve()  # no pressure: it stays shut
    assert clock.plant.controls.first_safety_valve == 0.0
    state = clock.plant.marcher.state
    state[y.BOILER_ENERGY] += 2.2 * state[y.BOILER_MASS] * 4.2e3 * 100.0
    clock.plant.marcher.changed()
    assert clock.reading(r.BOILER_PRESSURE) > day.parameters.valves.first_set_pressure
    machinery.free_valve()
    assert clock.plant.controls.first_safety_valve == 1.0


def test_an_injector_that_runs_knocks_off(day: Day) -> None:
    day.machinery._knock_off("the water is too hot for it")
    assert told(day, "injector knocked off") == []
    day.clock.set(injector=1.0)
    day.machinery._knock_off("the water is too hot for it")
    assert told(day, "injector knocked off") == ["Injector knocked off: the water is too hot for it."]
    assert day.clock.plant.controls.injector == 0.0


def test_where_the_model_ends_is_said_and_the_day_is_over(day: Day) -> None:
    day.machinery._glass_empty()
    assert day.entries[-1].who == events.PLANT and day.entries[-1].subject == "water"
    assert told(day, events.BOTTOM_NUT) == ["Water out of sight below the bottom nut."]
    assert day.outcome is None
    day.machinery._crown_bare()
    assert told(day, events.CROWN_BARE) == [BARE]
    assert day.outcome is not None and day.outcome.kind == "crown bare"
    full = Day(sedge())
    full.machinery._boiler_full()
    assert told(full, events.BOILER_FULL) == [FULL]
    assert full.outcome is not None and full.outcome.kind == events.BOILER_FULL


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


def test_an_emptied_glass_ends_a_day_left_alone(day: Day, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Day, "is_left_alone", True)
    day.machinery._glass_empty()
    assert day.outcome is not None and day.outcome.kind == "low-water drill"


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


def test_a_valve_that_lifts_again_within_five_minutes_gets_no_second_line(day: Day) -> None:
    machinery = day.machinery
    for since, lines in ((-299.0, 0), (-300.0, 1)):
        machinery._last_lift["second_safety_valve"] = since
        machinery._reseat("second_safety_valve")
        machinery._lift("second_safety_valve", "Second")
        assert machinery._last_lift["second_safety_valve"] == 0.0
        assert len(told(day, "safety valve lifted")) == lines
        assert day.clock.plant.controls.second_safety_valve == 1.0
    machinery._lift("second_safety_valve", "Second")  # it is up already
    assert len(told(day, "safety valve lifted")) == 1
    (entry,) = (entry for entry in day.entries if entry.event == "safety valve lifted")
    assert (entry.who, entry.subject) == (events.PLANT, "pressure")


def test_carry_over_is_watched_at_one_threshold_at_a_time(day: Day, monkeypatch: pytest.MonkeyPatch) -> None:
    """Priming from a twentieth of water in the steam, dry again below 4 %, over after three minutes so."""
    waits: list[Any] = []
    monkeypatch.setattr(day.clock, "when", lambda *guard: waits.append(guard))
    monkeypatch.setattr(day.clock, "timeout", lambda seconds: waits.append(seconds))
    monkeypatch.setattr(day.clock, "process", lambda process: waits.append(process))
    machinery = day.machinery
    watch = machinery._watch_carry_over()
    next(watch)
    assert waits == [(r.CARRY_OVER_FRACTION, 0.05, +1)] and told(day, events.PRIMING) == []
    next(watch)
    assert waits[1:] == [(r.CARRY_OVER_FRACTION, 0.04, -1)]
    assert told(day, events.PRIMING) == ["Water comes over with the steam."]
    next(watch)
    stay, again = waits[2:]
    assert again == (r.CARRY_OVER_FRACTION, 0.05, +1) and told(day, events.PRIMING_OVER) == []
    next(stay)
    assert waits[4:] == [180.0]
    with pytest.raises(StopIteration):
        next(stay)
    assert told(day, events.PRIMING_OVER) == ["Steam dry again."]
    machinery._priming()
    assert len(told(day, events.PRIMING)) == 2
    for entry in day.entries:
        assert (entry.who, entry.subject) == (events.PLANT, "water")


def test_a_spell_of_priming_that_goes_on_is_not_called_over(day: Day) -> None:
    """Dry for a moment and wet again before the three minutes are gone."""
    machinery = day.machinery
    machinery._priming()
    stay = machinery._stay_dry(0.0)
    machinery._dry_again()
    next(stay)
    machinery._priming()
    with pytest.raises(StopIteration):
        next(stay)
    assert told(day, events.PRIMING_OVER) == []
    assert len(told(day, events.PRIMING)) == 1


def test_a_boat_with_one_valve_and_no_injector_has_no_guards_for_more(
    day: Day, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = day.parameters
    monkeypatch.setattr(
        day, "parameters", made._replace(
            valves=replace(made.valves, second_area=0.0), feed=replace(made.feed, injector_steam_area=0.0)
        ),
    )  # fmt: skip
    armed: list[Any] = []
    monkeypatch.setattr(day.clock, "guard", lambda *guard: armed.append(guard[:3]))
    monkeypatch.setattr(day.clock, "mark", lambda *mark: None)
    Machinery(day)
    volume = made.boiler.volume
    assert sorted(armed) == sorted(
        [
            (r.BOILER_PRESSURE, made.valves.first_set_pressure, +1),
            (r.BOILER_PRESSURE, made.valves.first_reseat_pressure, -1),
            (r.GLASS_FRACTION, 0.0, -1), (r.CROWN_COVER, 0.0, -1), (r.STEAM_SPACE, 0.015 * volume, -1),
        ]  # fmt: skip
    )
    marks = record.marks_of(day, "")
    assert marks.safety_valve_pressures == (made.valves.first_set_pressure,)
    assert marks.injector_lowest_pressure is None


def test_every_guard_does_what_stands_at_it(day: Day, guards: list[Any]) -> None:
    """Each crossing in turn: valves lift and shut, the injector knocks off with its reason, the day ends."""
    does = {guard[:3]: guard[3] for guard in guards if guard[3] is not None}
    valves, feed, controls = day.parameters.valves, day.parameters.feed, day.clock.plant.controls
    pressure = r.BOILER_PRESSURE
    for name, popping, reseating in (
        ("first_safety_valve", valves.first_set_pressure, valves.first_reseat_pressure),
        ("second_safety_valve", valves.second_set_pressure, valves.second_reseat_pressure),
    ):
        does[pressure, popping, +1]()
        assert getattr(day.clock.plant.controls, name) == 1.0
        does[pressure, reseating, -1]()
        assert getattr(day.clock.plant.controls, name) == 0.0
    assert told(day, "safety valve lifted") == ["First safety valve lifted.", "Second safety valve lifted."]
    assert controls.injector == 0.0
    for guard, reason in (
        ((r.INJECTOR_MARGIN, 0.0, -1), "the water is too hot for it"),
        ((pressure, 0.8 * feed.injector_starting_pressure, -1), "the pressure is too low for it"),
        ((pressure, feed.injector_highest_pressure, +1), "the pressure is too high for it"),
    ):
        day.clock.set(injector=1.0)
        does[guard]()
        assert day.entries[-1].text == f"Injector knocked off: {reason}."
        assert (day.entries[-1].who, day.entries[-1].subject) == (events.PLANT, "feed")
    does[r.GLASS_FRACTION, 0.0, -1]()
    assert (day.entries[-1].event, day.outcome) == (events.BOTTOM_NUT, None)
    does[r.CROWN_COVER, 0.0, -1]()
    assert (day.entries[-1].who, day.entries[-1].subject) == (events.PLANT, "water")
    assert day.outcome is not None and day.outcome.kind == "crown bare"


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
