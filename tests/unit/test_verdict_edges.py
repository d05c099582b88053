"""The verdict at its edges: which of several spells is told, what counts as late, low, held or near."""

from __future__ import annotations

import numpy as np
import pytest
import synthetic
from test_verdict import ARRIVED, HOUR, LOW, QUIET, WAY, item, verdict

from halfglass.result import events, limits
from halfglass.result.nearest import arrivals, nearest_approaches, place
from halfglass.result.records import LogEntry, Nearest, Outcome
from halfglass.result.verdict import judge

TIME = np.arange(0.0, 7201.0, 300.0)


def quiet() -> dict[str, np.ndarray]:
    """The readings of a day on which nothing happens."""
    return {"time": TIME} | {name: np.full_like(TIME, value) for name, value in QUIET.items()}


def near(readings: dict[str, np.ndarray], name: str, log: list[LogEntry] = WAY) -> Nearest:
    """The nearest approach to the limit of that name."""
    (found,) = (n for n in nearest_approaches(readings, log, synthetic.MARKS) if n.item == name)
    return found


def test_the_worst_of_several_spells_is_told_with_its_time() -> None:
    """Down to 0.2 and then to 0.1; up to 11 and 12 % over; late for 90 s, then 200 s, then 30 s."""
    dips = [(1000.0, 0.5), (1500.0, 0.2), (2000.0, 0.5), (4000.0, 0.5), (4500.0, 0.1), (5000.0, 0.5)]
    low = item(verdict(glass_fraction=dips), LOW)
    assert (low.worst, low.worst_at) == (pytest.approx(0.1), 4500.0)
    top = 7.1e5
    peaks = [(1000.0, 6e5), (1500.0, 1.12 * top), (2000.0, 6e5), (4500.0, 1.11 * top), (5000.0, 6e5)]
    over = item(verdict(boiler_pressure=peaks), "10 % over the safety valves")
    assert (over.worst, over.worst_at, over.spells) == (pytest.approx(1.12 * top), 1500.0, 2)
    log = [*WAY]
    for begins, ends in ((2000.0, 2090.0), (3000.0, 3200.0), (4000.0, 4030.0)):
        log.append(LogEntry(begins, events.PLANT, "crew", events.TASK_OVERDUE, ""))
        log.append(LogEntry(ends, events.PLANT, "crew", events.OVERDUE_TASK_DONE, ""))
    late = item(verdict(log), "a task overdue")
    assert (late.worst, late.worst_at, late.first_at, late.lasted) == (200.0, 3200.0, 2000.0, 320.0)
    assert late.quantity == "time"


def test_of_one_gravity_the_earlier_comes_first() -> None:
    found = verdict(
        boiler_oil=[(3000.0, 20.0), (3100.0, 300.0)], glass_fraction=[(4000.0, 0.5), (4100.0, 0.2)],
        boiler_solids=[(1000.0, 300.0), (1100.0, 4000.0)], cylinder_water=[(5000.0, 0.01), (5100.0, 0.06)],
    )  # fmt: skip
    assert [i.item for i in found.critical] == [
        "water fills the clearance", "oil in the boiler", LOW, "blow-down due"
    ]  # fmt: skip


def test_the_lowest_glass_is_that_of_a_lit_boiler() -> None:
    """Blown down after the shut-down at 6000 s, the glass may well be lower."""
    glass = [(2000.0, 0.5), (3000.0, 0.4), (4000.0, 0.5), (6000.0, 0.5), (7000.0, 0.0)]
    found = verdict(glass_fraction=glass)
    assert (found.lowest_glass_fraction, found.lowest_glass_at) == (pytest.approx(0.4), 3000.0)
    assert found.critical == ()


def test_a_day_never_lit_is_judged_by_its_whole_glass() -> None:
    """Shut down before it began: no window is open, so the glass of all the day is told."""
    log = [
        LogEntry(0.0, events.DAY, "route", events.SHUT_DOWN, ""),
        LogEntry(0.0, events.DAY, "fire", events.LIGHT_UP, ""),
        LogEntry(0.0, events.DAY, "route", events.SHUT_DOWN, ""),
    ]
    found = verdict(log, glass_fraction=[(0.0, 0.5), (3000.0, 0.3)])
    assert found.lowest_glass_fraction == pytest.approx(0.3)


@pytest.mark.parametrize(
    ("lowest", "opening"),
    [
        (0.064, "Whether the plan holds the water is within the model's error: lowest glass 6 % at 09:05, "
         "give or take 7 %"),
        (0.069, "The plan holds the water but works low: lowest glass 7 % at 09:05, below a quarter for "),
        (0.249, "The plan holds the water but works low"),
        (0.251, "The plan holds the water: lowest glass 25 % at 09:05;"),
    ],
)  # fmt: skip
def test_water_is_held_from_the_models_error_on(lowest: float, opening: str) -> None:
    """10 mm of 150: 0.067 of the glass."""
    found = verdict(glass_fraction=[(2000.0, 0.5), (3000.0, lowest), (4000.0, 0.5)])
    assert found.sentence.startswith(opening)
    assert found.holds_water


def test_a_full_boiler_is_outside_the_model() -> None:
    log = [*WAY[:2], LogEntry(3000.0, events.PLANT, "water", events.BOILER_FULL, "")]
    found = verdict(log)
    opening = "The boiler is full to the top at 09:05: outside what this model can say;"
    assert found.sentence.startswith(opening)
    assert not found.holds_water


@pytest.mark.parametrize(
    ("due", "words"),
    [
        (7199.2, "arrives at 10:15, 1 s after it is due"),
        (7200.0, "arrives at 10:15, 0 s before it is due"),
        (7320.0, "arrives at 10:15, 2 min before it is due"),
    ],
)
def test_late_and_early(due: float, words: str) -> None:
    assert words in verdict(marks=synthetic.marks(arrival_due=due)).sentence


def test_only_an_arrival_is_late() -> None:
    broke = judge(quiet(), WAY, synthetic.MARKS, Outcome("crown bare", 2 * HOUR, ""))
    assert "arrives" not in broke.sentence
    no_time = judge(quiet(), WAY, synthetic.marks(arrival_due=None), ARRIVED)
    assert "arrives" not in no_time.sentence


def test_the_fault_that_is_named_is_the_one_asked_about() -> None:
    def fault(time: float, text: str) -> LogEntry:
        return LogEntry(time, events.DAY, "feed", events.FAULT, text)

    log = [*WAY, fault(1500.0, "The hot well leaks."), fault(2000.0, "The engine pump stops delivering.")]
    glass = [(2000.0, 0.5), (3000.0, 0.0), (4000.0, -0.5)]
    told = verdict(log, 2000.0, glass_fraction=glass).sentence
    assert told.startswith(
        "The water is below the bottom nut 17 min after the fault (the engine pump stops delivering), "
        "at 09:05;"
    )
    unnamed = verdict(log, 2500.0, glass_fraction=glass).sentence
    assert unnamed.startswith("The water is below the bottom nut 8 min 20 s after the fault, at 09:05;")


def test_what_counts_from_the_very_moment_of_a_fault() -> None:
    """The glass sinks below a quarter at 3000 s: at the fault itself is after it, a second before is not."""
    dip = [(2000.0, 0.5), (3000.0, 0.25), (4000.0, 0.0), (5000.0, 0.5)]
    assert item(verdict(glass_fraction=dip, fault_at=3000.0), LOW).after_fault == 0.0
    assert item(verdict(glass_fraction=dip, fault_at=3001.0), LOW).after_fault is None


def test_what_was_tried_counts_from_the_first_to_the_last_moment() -> None:
    """Below a quarter from 3000 s to 5000 s."""
    times = (2999.0, 3000.0, 5000.0, 5001.0)
    acts = [LogEntry(time, "hand", "feed", "pumps", f"{time:.0f}") for time in times]
    acts += [LogEntry(3500.0, who, "feed", "pumps", "not the crew") for who in (events.DAY, events.PLANT)]
    dip = [(2000.0, 0.5), (3000.0, 0.25), (4000.0, 0.0), (5000.0, 0.25), (6000.0, 0.5)]
    found = item(verdict([*WAY, *acts], glass_fraction=dip), LOW)
    assert [entry.text for entry in found.tried] == ["3000", "5000"]


def test_steam_and_fuel_are_told_of_the_way_and_of_the_end() -> None:
    told = verdict(fuel_on_board=[(0.0, 50.0), (7200.0, 14.0)]).sentence
    assert "pressure under way between 6.00 and 6.00 bar gauge; fuel left 14" in told
    ashore = [entry for entry in WAY if entry.event != events.UNDER_WAY]
    assert "under way" not in verdict(ashore).sentence


def test_margins_above_and_below_with_gaps_left_out() -> None:
    readings = quiet()
    readings["boiler_oil"][5], readings["hotwell_mass"][7] = 120.0, 11.0
    high, low = near(readings, "oil in the boiler"), near(readings, "low")
    assert (high.value, high.margin, high.margin_fraction, high.at) == (120.0, 80.0, 0.4, 1500.0)
    assert (low.value, low.margin, low.margin_fraction, low.at) == (11.0, 3.0, 0.075, 2100.0)
    assert (high.below, low.below) == (False, True)
    readings["boiler_oil"][:] = np.nan
    items = {n.item for n in nearest_approaches(readings, WAY, synthetic.MARKS)}
    assert "oil in the boiler" not in items and "low" in items
    readings["boiler_oil"][3:9] = (20.0, 30.0, np.nan, 25.0, 20.0, 20.0)
    assert near(readings, "oil in the boiler").at == 1200.0


def test_before_the_window_opens_nothing_comes_near() -> None:
    """Under way from 1000 s to 6000 s: what the hot well held before and after does not count."""
    readings = quiet()
    readings["hotwell_mass"][[0, 1, 2]] = 9.0
    readings["hotwell_mass"][-3:] = 8.5
    assert near(readings, "low").value == 20.0


def test_places_after_the_last_and_without_any() -> None:
    cast = LogEntry(1000.0, events.DAY, "route", events.CAST_OFF, "")
    there = LogEntry(2000.0, events.DAY, "route", events.REACHED, "Mill.")
    assert place([], 500.0) == "before casting off"
    assert place([cast], 999.0) == "before casting off"
    assert place([cast], 1000.0) == "after casting off"
    assert place([cast, there], 1999.0) == "before Mill"
    assert place([cast, there], 2000.0) == place([cast, there], 9000.0) == "at Mill"
    assert [(a.place, a.at) for a in arrivals([cast, there])] == [("Mill", 2000.0)]


def test_a_limit_measured_by_another_reading_needs_both() -> None:
    blowing = next(limit for limit in limits.LIMITS if limit.item == "safety valves blowing")
    assert blowing.measured(synthetic.marks(safety_valve_pressures=(7.3e5, 6.9e5))) == (
        "boiler_pressure", 6.9e5
    )  # fmt: skip
    over = next(limit for limit in limits.LIMITS if limit.item == "6 % over the safety valves")
    assert over.value(synthetic.marks(safety_valve_pressures=(7.3e5, 6.9e5))) == pytest.approx(1.06 * 7.3e5)


def test_only_a_danger_is_in_the_sentence() -> None:
    found = verdict(boiler_oil=[(3000.0, 20.0), (3100.0, 300.0)], fuel_on_board=[(0.0, 50.0), (5000.0, 5.0)])
    assert {i.item for i in found.critical} >= {"oil in the boiler", "into the reserve"}
    first = [clause.split(" ")[0] for clause in found.sentence.split("; ")]
    assert first == ["The", "pressure", "fuel", "arrives"]
