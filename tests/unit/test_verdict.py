"""The verdict: exact crossings, windows, what was tried, and one sentence that tells and never advises."""

from __future__ import annotations

import re

import numpy as np
import pytest
import synthetic
from hypothesis import given
from hypothesis import strategies as st

from halfglass.result import events, limits
from halfglass.result.clock import clock, duration, stamp
from halfglass.result.records import CriticalItem, IfNothingDone, LogEntry, Marks, Outcome, Verdict
from halfglass.result.spells import between, beyond, cut, total
from halfglass.result.verdict import if_nothing_done_sentence, judge

HOUR = 3600.0
ARRIVED = Outcome("arrived", 2 * HOUR, "Alongside.")
QUIET = {  # readings well inside every limit of the synthetic boat
    "glass_fraction": 0.5,
    "water_level": 0.075,
    "safety_valve_flow": 0.0,
    "boiler_pressure": 6e5,
    "reversing_margin": 2.0,
    "fuel_on_board": 50.0,
    "hotwell_mass": 20.0,
    "hotwell_temperature": 320.0,
    "cylinder_water": 0.01,
    "lubricator_oil": 0.1,
    "separator_load_fraction": 0.1,
    "boiler_oil": 20.0,
    "boiler_solids": 300.0,
}
WAY = [
    LogEntry(0.0, events.DAY, "fire", events.LIGHT_UP, ""),
    LogEntry(1000.0, events.DAY, "route", events.UNDER_WAY, ""),
    LogEntry(6000.0, events.DAY, "route", events.SHUT_DOWN, ""),
]


def verdict(
    log: list[LogEntry] | None = None,
    fault_at: float | None = None,
    marks: Marks = synthetic.MARKS,
    **curves: list[tuple[float, float]],
) -> Verdict:
    """Judge a day of 7200 s in which each named reading follows the given corners (time, value)."""
    time = np.unique(
        np.concatenate([np.arange(0.0, 7201.0, 300.0), *(np.array(c)[:, 0] for c in curves.values())])
    )
    readings = {"time": time} | {name: np.full_like(time, value) for name, value in QUIET.items()}
    for name, corners in curves.items():
        readings[name] = np.interp(time, *np.array(corners).T)
    return judge(readings, WAY if log is None else log, marks, ARRIVED, fault_at)


def item(found: Verdict, name: str) -> CriticalItem:
    return next(i for i in found.critical if i.item == name)


def names(found: Verdict) -> set[str]:
    return {i.item for i in found.critical}


LOW, EMPTY = "working low: below a quarter glass", "out of sight below the bottom nut"


def test_a_quiet_day_has_nothing_critical() -> None:
    found = verdict()
    assert found.critical == ()
    assert found.holds_water
    assert found.sentence.startswith("The plan holds the water: lowest glass 50 % at 08:15;")


def test_crossings_on_a_row_are_exact_and_between_rows_linear() -> None:
    # From 0.5 at 2000 s falling 1e-4 per second: 0.25 at 4500 s, and back up at 5450 s the same way.
    found = verdict(glass_fraction=[(2000.0, 0.5), (4975.0, 0.2025), (5950.0, 0.3)], fault_at=2000.0)
    low = item(found, LOW)
    assert low.first_at == pytest.approx(4500.0, abs=1e-9)
    assert low.lasted == pytest.approx(5450.0 - 4500.0, abs=1e-6)
    assert (low.worst, low.worst_at) == (pytest.approx(0.2025), 4975.0)
    assert low.after_fault == pytest.approx(2500.0)
    assert low.severity == "act"
    assert low.spells == 1


def test_touching_a_limit_is_not_crossing_it() -> None:
    assert LOW not in names(verdict(glass_fraction=[(2000.0, 0.5), (3000.0, 0.25), (4000.0, 0.5)]))


def test_two_spells_add_up_and_after_fault_counts_from_the_first_that_follows() -> None:
    dips = [(1000.0, 0.5), (1500.0, 0.2), (2000.0, 0.5), (4000.0, 0.5), (4500.0, 0.2), (5000.0, 0.5)]
    low = item(verdict(glass_fraction=dips, fault_at=3000.0), LOW)
    each = 1000.0 * (0.25 - 0.2) / 0.3
    assert low.spells == 2
    assert low.lasted == pytest.approx(2 * each)
    assert low.first_at < 3000.0
    assert low.after_fault == pytest.approx(4500.0 - each / 2 - 3000.0)


def test_empty_glass_then_bare_crown() -> None:
    crown = synthetic.MARKS.crown_level
    log = [*WAY, LogEntry(2000.0, events.DAY, "feed", events.FAULT, "The engine pump stops delivering.")]
    found = verdict(
        log,
        2000.0,
        glass_fraction=[(2000.0, 0.5), (3000.0, 0.0), (4000.0, -0.5), (5999.0, -0.5)],
        water_level=[(2000.0, 0.075), (3500.0, crown), (4000.0, crown - 0.02), (5999.0, crown - 0.02)],
    )
    assert not found.holds_water
    assert [i.severity for i in found.critical[:2]] == ["danger", "danger"]
    assert item(found, EMPTY).first_at == pytest.approx(3000.0)
    assert found.sentence.startswith(
        "The water is below the bottom nut 17 min after the fault (the engine pump stops delivering), "
        "at 09:05; "
        "the crown is bare at 09:13: outside what this model can say;"
    )


def test_a_day_that_ends_on_the_crossing_itself_still_tells_it() -> None:
    crown = synthetic.MARKS.crown_level
    log = [*WAY[:2], LogEntry(7200.0, events.PLANT, "water", events.CROWN_BARE, "")]
    found = verdict(log, water_level=[(3000.0, 0.075), (7200.0, crown)])
    bare = item(found, limits.MODEL_ENDS)
    assert (bare.first_at, bare.lasted, bare.worst) == (7200.0, 0.0, crown)
    assert not found.holds_water


def test_nothing_is_said_about_dealing_with_a_bare_crown() -> None:
    act = LogEntry(4500.0, "skipper", "feed", "starts pumping", "")
    found = verdict([*WAY, act], water_level=[(3000.0, 0.0), (4000.0, -0.1), (5000.0, -0.1)])
    assert item(found, limits.MODEL_ENDS).tried == ()


def test_tried_lists_acts_of_the_crew_on_the_subject_while_it_lasted() -> None:
    log = [
        *WAY,
        LogEntry(2000.0, "skipper", "feed", "shuts the bypass", "before it was critical"),
        LogEntry(3200.0, "hand", "water", events.LOOK, "a look is not an act"),
        LogEntry(3210.0, events.PLANT, "feed", "check valve shuts", "not the crew"),
        LogEntry(3220.0, "hand", "route", "casts off", "another subject"),
        LogEntry(3230.0, "hand", "feed", "starts pumping", "this one"),
        LogEntry(3240.0, "hand", "water", "reports low glass", "and this"),
        LogEntry(5900.0, "hand", "feed", "stops pumping", "after it was over"),
    ]
    low = item(verdict(log, glass_fraction=[(3000.0, 0.5), (3100.0, 0.1), (4000.0, 0.1), (4100.0, 0.5)]), LOW)
    assert [entry.text for entry in low.tried] == ["this one", "and this"]


def test_pressure_too_low_counts_only_from_under_way_to_shut_down() -> None:
    cold = [(0.0, 0.0), (900.0, 6e5), (6100.0, 6e5), (7200.0, 0.0)]
    assert not names(verdict(boiler_pressure=cold))
    sag = [(0.0, 0.0), (900.0, 6e5), (3000.0, 6e5), (3300.0, 1e5), (3600.0, 6e5)]
    found = names(verdict(boiler_pressure=sag))
    assert {"too low to steam", "too low for the injector"} <= found
    nowhere = [e for e in WAY if e.event != events.UNDER_WAY]
    assert not names(verdict(nowhere, boiler_pressure=sag))


def test_a_boat_without_an_injector_is_not_judged_on_it() -> None:
    sag = [(900.0, 6e5), (3000.0, 6e5), (3300.0, 1e5), (3600.0, 6e5)]
    marks = synthetic.marks(injector_lowest_pressure=None, safety_valve_pressures=())
    assert "too low for the injector" not in names(verdict(marks=marks, boiler_pressure=sag))


def test_accumulation_is_measured_from_the_highest_safety_valve() -> None:
    top = 7.1e5
    over = [(2000.0, 6e5), (3000.0, 1.11 * top), (4000.0, 6e5)]
    found = verdict(boiler_pressure=over, safety_valve_flow=[(2500.0, 0.0), (3000.0, 0.02), (3500.0, 0.0)])
    six, ten = item(found, "6 % over the safety valves"), item(found, "10 % over the safety valves")
    rise = (1.11 * top - 6e5) / 1000.0
    assert six.first_at == pytest.approx(2000.0 + (1.06 * top - 6e5) / rise)
    assert ten.first_at == pytest.approx(2000.0 + (1.10 * top - 6e5) / rise)
    assert (six.severity, ten.severity) == ("act", "danger")
    assert item(found, "safety valves blowing").worst == pytest.approx(0.02)


def test_reversing_matters_only_while_somebody_wants_it() -> None:
    weak = [(2000.0, 2.0), (2001.0, 0.5), (5000.0, 0.5), (5001.0, 2.0)]
    name = "too low to go astern when wanted"
    assert name not in names(verdict(reversing_margin=weak))
    log = [
        *WAY,
        LogEntry(4000.0, "skipper", "reversing", events.REVERSAL_WANTED, ""),
        LogEntry(4020.0, events.PLANT, "reversing", events.REVERSAL_DONE, ""),
    ]
    found = item(verdict(log, reversing_margin=weak), name)
    assert (found.subject, found.first_at, found.lasted, found.worst) == ("reversing", 4000.0, 20.0, 0.5)


@pytest.mark.parametrize(
    ("reading", "value", "expected"),
    [
        ("glass_fraction", 1.1, "out of sight above the top nut"),
        ("fuel_on_board", 11.0, "into the reserve"),
        ("fuel_on_board", 0.0, "none left on board"),
        ("hotwell_mass", 7.0, "low"),
        ("hotwell_mass", 0.1, "empty"),
        ("hotwell_mass", 40.0, "overflowing"),
        ("hotwell_temperature", 352.0, "too hot to pump"),
        ("cylinder_water", 0.06, "water fills the clearance"),
        ("lubricator_oil", 0.01, "lubricator nearly empty"),
        ("separator_load_fraction", 1.1, "cloth full: oil reaches the hot well"),
        ("boiler_oil", 250.0, "oil in the boiler"),
        ("boiler_solids", 3600.0, "blow-down due"),
    ],
)
def test_each_stock_has_its_limits(reading: str, value: float, expected: str) -> None:
    inside = QUIET[reading]
    found = verdict(**{reading: [(2000.0, inside), (3000.0, value), (4000.0, inside)]})
    assert expected in names(found)


@pytest.mark.parametrize("condition", limits.CONDITIONS, ids=lambda c: c.item)
def test_each_condition_of_the_log_is_told_with_its_length(condition: limits.Condition) -> None:
    log = [
        *WAY,
        LogEntry(2000.0, events.PLANT, condition.subject, condition.while_.begins, ""),
        LogEntry(2090.0, events.PLANT, condition.subject, condition.while_.ends, ""),
        LogEntry(7000.0, events.PLANT, condition.subject, condition.while_.begins, "never ends"),
    ]
    found = item(verdict(log), condition.item)
    assert (found.first_at, found.lasted, found.spells, found.worst) == (2000.0, 290.0, 2, 200.0)


def test_every_limit_can_be_crossed_and_none_is_crossed_on_a_quiet_day() -> None:
    for limit in limits.LIMITS:
        value = limit.value(synthetic.MARKS)
        assert value is not None
        assert (QUIET[limit.quantity] > value) == limit.below or QUIET[limit.quantity] == value


def test_gravest_first() -> None:
    found = verdict(
        glass_fraction=[(2000.0, 0.5), (5000.0, -0.1)], fuel_on_board=[(1500.0, 50.0), (1600.0, 5.0)]
    )
    assert [i.severity for i in found.critical] == ["danger", "act", "watch"]


def test_a_level_within_the_models_error_of_the_nut_is_not_called_held() -> None:
    found = verdict(glass_fraction=[(2000.0, 0.5), (3000.0, 0.05), (4000.0, 0.5)])
    assert found.sentence.startswith(
        "Whether the plan holds the water is within the model's error: lowest glass 5 % at 09:05"
    )


def test_arrival_is_told_against_the_time_due() -> None:
    marks = synthetic.marks(arrival_due=2 * HOUR - 600.0)
    assert "arrives at 10:15, 10 min after it is due" in verdict(marks=marks).sentence


def test_sentences_tell_and_never_advise() -> None:
    days = [synthetic.outing(), synthetic.outing(holds=False)]
    for told in [o.verdict.sentence for o in days]:
        assert not re.search(r"\b(should|must|need to|try|recommend|advise)\b", told)


def test_if_nothing_done_gives_the_time_with_its_spread() -> None:
    record = IfNothingDone("pump stops", 3.5 * HOUR, 600.0, 7200.0, 0.2)
    told = if_nothing_done_sentence(record, synthetic.MARKS)
    assert told == (
        "If nobody answered the fault at 11:45, the glass would be empty after 10 min "
        "(between 8 min and 12 min)."
    )
    never = IfNothingDone("pump stops", 3.5 * HOUR, None, 7200.0, 0.2)
    assert "still show in the glass 2 h later" in if_nothing_done_sentence(never, synthetic.MARKS)


def test_windows_nest_stay_open_and_open_at_the_start() -> None:
    def log(*marks: tuple[float, str]) -> list[LogEntry]:
        return [LogEntry(time, "plant", "x", event, "") for time, event in marks]

    assert between(log((1, "a"), (2, "a"), (3, "b"), (5, "b")), "a", "b", 9.0) == [(1, 5)]
    assert between(log((1, "a"), (3, "b"), (5, "a")), "a", "b", 9.0) == [(1, 3), (5, 9.0)]
    assert between(log((3, "b")), "a", "b", 9.0) == []
    assert between(log((3, "b"), (5, "a")), "a", "b", 9.0, open_at_start=True) == [(0.0, 3), (5, 9.0)]
    assert between([], "a", "b", 9.0, open_at_start=True) == [(0.0, 9.0)]


@given(st.lists(st.floats(-5, 5), min_size=2, max_size=40), st.floats(-4, 4))
def test_time_below_and_time_above_make_up_the_whole(values: list[float], limit: float) -> None:
    time, value = np.arange(float(len(values))), np.array(values)
    level = sum(1 for a, b in zip(values, values[1:], strict=False) if a == b == limit)
    spent = total(beyond(time, value, limit, True)) + total(beyond(time, value, limit, False))
    assert spent == pytest.approx(time[-1] - level, abs=1e-6)


@given(st.floats(0.0, 8.0), st.floats(0.0, 2.0))
def test_a_cut_keeps_the_line(start: float, length: float) -> None:
    time, value = np.arange(11.0), np.array([0, 3, -1, 2, 2, 5, 0, 1, 4, -2, 0.5])
    t, v = cut(time, value, (start, start + length))
    assert np.allclose(v, np.interp(t, time, value))
    if length > 1e-9:
        assert (t[0], t[-1]) == (start, start + length)


def test_gaps_are_never_beyond_a_limit() -> None:
    spells = beyond(np.arange(5.0), np.array([1.0, np.nan, -1.0, np.nan, 1.0]), 0.0, below=True)
    assert [(s.start, s.end) for s in spells] == [(2.0, 2.0)]


def test_clocks_do_not_round_up_and_later_days_say_so() -> None:
    start = synthetic.MARKS.started
    assert clock(start, 59.9) == "08:15"
    assert clock(start, 16 * HOUR) == "day 2, 00:15"
    assert clock(start, 3600.0 - 1e-9, with_seconds=True) == "09:15:00"
    assert stamp(start, 0.0004) == "2026-06-06T08:15:00.000"
    assert [duration(s) for s in (0.4, 59.6, 599.9, 600.0, 7170.0, 7199.0)] == [
        "0 s",
        "1 min",
        "10 min",
        "10 min",
        "2 h",
        "2 h",
    ]


def test_begun_and_ended_in_one_moment_is_closed() -> None:
    entries = [
        LogEntry(5.0, "crew", "reversing", e, "") for e in (events.REVERSAL_WANTED, events.REVERSAL_DONE)
    ]
    assert between(entries, events.REVERSAL_WANTED, events.REVERSAL_DONE, 100.0) == [(5.0, 5.0)]


def test_a_danger_that_is_not_of_the_water_is_in_the_sentence() -> None:
    found = verdict(cylinder_water=[(2000.0, 0.01), (2100.0, 0.06), (2200.0, 0.01)])
    assert "; engine: water fills the clearance at 08:49;" in found.sentence
    assert found.holds_water


TABLE = {
    "working low: below a quarter glass": ("glass_fraction", "below", 0.25, "act"),
    "out of sight below the bottom nut": ("glass_fraction", "below", 0.0, "danger"),
    "crown bare": ("water_level", "below", -0.06, "danger"),
    "out of sight above the top nut": ("glass_fraction", "above", 1.0, "act"),
    "safety valves blowing": ("safety_valve_flow", "above", 1e-3, "watch"),
    "6 % over the safety valves": ("boiler_pressure", "above", 1.06 * 7.1e5, "act"),
    "10 % over the safety valves": ("boiler_pressure", "above", 1.10 * 7.1e5, "danger"),
    "too low to steam": ("boiler_pressure", "below", 1.5e5, "act"),
    "too low for the injector": ("boiler_pressure", "below", 2.0e5, "watch"),
    "too low to go astern when wanted": ("reversing_margin", "below", 1.0, "act"),
    "water fills the clearance": ("cylinder_water", "above", 0.05, "danger"),
    "lubricator nearly empty": ("lubricator_oil", "below", 0.0125, "watch"),
    "cloth full: oil reaches the hot well": ("separator_load_fraction", "above", 1.0, "watch"),
    "oil in the boiler": ("boiler_oil", "above", 200.0, "act"),
    "blow-down due": ("boiler_solids", "above", 3500.0, "watch"),
    "into the reserve": ("fuel_on_board", "below", 12.0, "watch"),
    "none left on board": ("fuel_on_board", "below", 0.08, "act"),
    "low": ("hotwell_mass", "below", 8.0, "watch"),
    "empty": ("hotwell_mass", "below", 0.4, "act"),
    "overflowing": ("hotwell_mass", "above", 39.96, "watch"),
    "too hot to pump": ("hotwell_temperature", "above", 350.0, "act"),
}
"""Where every limit stands on the made-up boat, worked from her marks; reasons are in `limits.py`."""
UNDER_WAY = {
    "low", "empty", "overflowing", "too hot to pump", "too low to steam", "too low for the injector",
    "water fills the clearance", "lubricator nearly empty",
}  # fmt: skip


def test_every_limit_stands_where_it_should() -> None:
    found = {}
    for limit in limits.LIMITS:
        side = "below" if limit.below else "above"
        found[limit.item] = (limit.quantity, side, limit.value(synthetic.MARKS), limit.severity)
    assert found.keys() == TABLE.keys()
    for name, (quantity, side, value, severity) in TABLE.items():
        assert found[name] == (quantity, side, pytest.approx(value), severity), name
    none = synthetic.marks(safety_valve_pressures=(), injector_lowest_pressure=None)
    missing = {limit.item for limit in limits.LIMITS if limit.value(none) is None}
    over = {"6 % over the safety valves", "10 % over the safety valves"}
    assert missing == over | {"too low for the injector"}
    (blowing,) = (limit for limit in limits.LIMITS if limit.item == "safety valves blowing")
    assert blowing.measured(synthetic.MARKS) == ("boiler_pressure", 6.9e5)
    assert blowing.measured(none) is None


def test_a_limit_counts_in_its_own_time_only() -> None:
    """Lit: from lighting up; steaming: under way until the shut-down; going astern: while it is wanted."""
    windows = {limit.item: limit.while_ for limit in limits.LIMITS}
    for name, window in windows.items():
        spans = window.spans(WAY, 7200.0)
        if name == "too low to go astern when wanted":
            assert spans == []
        elif name in UNDER_WAY:
            assert spans == [(1000.0, 6000.0)], name
        else:
            assert spans == [(0.0, 6000.0)], name
    wanted = [
        LogEntry(2000.0, events.DAY, "reversing", events.REVERSAL_WANTED, ""),
        LogEntry(2060.0, events.DAY, "reversing", events.REVERSAL_DONE, ""),
    ]
    log = sorted([*WAY, *wanted], key=lambda entry: entry.time)
    assert limits.REVERSING.spans(log, 7200.0) == [(2000.0, 2060.0)]
    low = item(verdict(log, reversing_margin=[(0.0, 0.5)]), "too low to go astern when wanted")
    assert (low.first_at, low.lasted) == (2000.0, 60.0)
    assert limits.LIT.spans([], 7200.0) == [(0.0, 7200.0)]


def test_nothing_counts_as_again_where_nothing_was_before_the_fault() -> None:
    dip = [(2000.0, 0.5), (3000.0, 0.2), (4000.0, 0.5)]
    after = item(verdict(glass_fraction=dip, fault_at=1500.0), LOW)
    assert not after.is_again and after.after_fault is not None
    twice = [*dip, (5000.0, 0.2), (5900.0, 0.5)]
    again = item(verdict(glass_fraction=twice, fault_at=4000.0), LOW)
    assert again.is_again and again.spells == 2
    assert again.after_fault is not None and 0.0 < again.after_fault < 1000.0
    before = item(verdict(glass_fraction=dip, fault_at=4500.0), LOW)
    assert before.is_again and before.after_fault is None
    never = item(verdict(glass_fraction=dip), LOW)
    assert never.is_again and never.after_fault is None


def test_an_empty_glass_is_told_with_the_crown_still_covered_and_a_bare_crown_by_itself() -> None:
    empty = verdict(glass_fraction=[(2000.0, 0.5), (3000.0, -0.1), (4000.0, 0.5)])
    assert empty.sentence.startswith("The water is below the bottom nut at 09:")
    assert "crown" not in empty.sentence and not empty.holds_water
    bare = verdict(water_level=[(2000.0, 0.05), (3000.0, -0.1), (4000.0, 0.05)])
    # 0.11 m of 0.15 in 1000 s: 2733 s after 08:15
    assert bare.sentence.startswith("The crown is bare at 09:00: outside what this model can say")


def test_pressure_under_way_is_told_from_lowest_to_highest() -> None:
    found = verdict(boiler_pressure=[(0.0, 1e5), (900.0, 6e5), (3000.0, 5e5), (4000.0, 6.5e5), (7000.0, 0.0)])
    assert "pressure under way between 2." in found.sentence  # at the shut-down, 6000 s
    level = verdict(boiler_pressure=[(0.0, 6e5), (3000.0, 5e5), (4000.0, 6.5e5), (5000.0, 6e5)])
    assert "pressure under way between 5.00 and 6.50 bar gauge" in level.sentence
