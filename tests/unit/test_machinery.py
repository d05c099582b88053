"""What the machinery does by itself at a crossing, without a day being run."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from steaming import sedge

from halfglass.day import record
from halfglass.day.machinery import BARE, FULL, FULL_STEAM_SPACE, Machinery
from halfglass.day.outing import Day
from halfglass.plant import reading as r
from halfglass.plant import state as y
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


@pytest.mark.parametrize(("over", "is_up"), [(-1.0, 0.0), (0.0, 1.0)])
def test_a_valve_set_free_lifts_from_its_setting_on(
    day: Day, monkeypatch: pytest.MonkeyPatch, over: float, is_up: float
) -> None:
    setting = day.parameters.valves.first_set_pressure
    monkeypatch.setattr(day.clock, "reading", lambda place: {r.BOILER_PRESSURE: setting + over}[place])
    day.machinery.free_valve()
    assert day.clock.plant.controls.first_safety_valve == is_up


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
    assert (full.entries[0].who, full.entries[0].subject) == (events.PLANT, "water")
    assert full.outcome is not None and full.outcome.kind == events.BOILER_FULL


def test_an_emptied_glass_ends_a_day_left_alone(day: Day, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Day, "is_left_alone", True)
    day.machinery._glass_empty()
    assert day.outcome is not None and day.outcome.kind == "low-water drill"


def test_a_valve_that_lifts_again_within_five_minutes_gets_no_second_line(day: Day) -> None:
    machinery = day.machinery
    for since, lines in ((-299.0, 0), (-300.0, 1)):
        machinery._last_lift["second_safety_valve"] = since
        machinery._reseat("second_safety_valve")
        machinery._lift("second_safety_valve", "Second")
        assert machinery._last_lift["second_safety_valve"] == 0.0
        assert len(told(day, "safety valve lifted")) == lines
        assert day.clock.plant.controls.second_safety_valve == 1.0
    machinery._last_lift["second_safety_valve"] = -300.0
    machinery._lift("second_safety_valve", "Second")  # it is up already
    assert machinery._last_lift["second_safety_valve"] == -300.0
    assert len(told(day, "safety valve lifted")) == 1
    (entry,) = (entry for entry in day.entries if entry.event == "safety valve lifted")
    assert (entry.who, entry.subject) == (events.PLANT, "pressure")


def test_carry_over_is_watched_at_one_threshold_at_a_time(day: Day, monkeypatch: pytest.MonkeyPatch) -> None:
    """Priming from a twentieth of water in the steam, dry again below 4 %, over after three minutes so."""
    waits: list[Any] = []
    monkeypatch.setattr(day.clock, "when", lambda *guard: waits.append(guard))
    monkeypatch.setattr(day.clock, "timeout", lambda seconds: waits.append(seconds))
    monkeypatch.setattr(day.clock, "process", lambda process: waits.append(process))
    monkeypatch.setattr(day.clock, "guard", lambda *guard: None)
    monkeypatch.setattr(day.clock, "mark", lambda *mark: None)
    machinery = Machinery(day)
    watch = waits.pop()
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
