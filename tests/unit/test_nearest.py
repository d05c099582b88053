"""How near each limit came, where the boat was then, and what the hands were at."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import synthetic
from test_verdict import WAY, verdict

from halfglass.report import page, told
from halfglass.result import events, limits, shown
from halfglass.result.nearest import SPANS, arrivals, place
from halfglass.result.occupation import occupation, share_out
from halfglass.result.records import LogEntry, Nearest, Solids, TaskSpell, Verdict
from halfglass.result.verdict import solids_sentence

PLACES = [
    LogEntry(2500.0, events.DAY, "route", events.REACHED, "Mill: lower pool: 5 bar, glass 40 %."),
    LogEntry(3000.0, "crew", "route", events.CAST_OFF, "Cast off for Heron point."),
    LogEntry(5000.0, events.DAY, "route", events.REACHED, "Heron point: 5 bar."),
]


def near(found: Verdict, item: str) -> Nearest:
    return next(n for n in found.nearest if n.item == item)


def test_every_limit_that_applies_is_there_once_nearest_first() -> None:
    found = verdict()
    applying = {
        limit.item
        for limit in limits.LIMITS
        if limit.while_ is not limits.REVERSING and limit.value(synthetic.MARKS) is not None
    }
    assert {(n.subject, n.item) for n in found.nearest} == {
        (limit.subject, limit.item) for limit in limits.LIMITS if limit.item in applying
    }
    assert len(found.nearest) == len({(n.subject, n.item) for n in found.nearest})
    shares = [n.margin_fraction for n in found.nearest]
    assert shares == sorted(shares)


def test_value_margin_time_and_place_of_a_dip() -> None:
    dip = [(2000.0, 0.5), (4000.0, 0.3), (5500.0, 0.5)]
    found = near(verdict([*WAY, *PLACES], glass_fraction=dip), "working low: below a quarter glass")
    assert (found.value, found.at) == (pytest.approx(0.3), 4000.0)
    assert found.margin == pytest.approx(0.05)
    assert found.place == "after Mill: lower pool"


def test_a_crossed_limit_has_a_margin_below_nothing() -> None:
    found = near(verdict(fuel_on_board=[(1000.0, 50.0), (6000.0, 7.0)]), "into the reserve")
    assert found.margin == pytest.approx(-5.0)
    assert found.margin_fraction == pytest.approx(-5.0 / synthetic.MARKS.fuel_capacity)


def test_what_comes_all_at_once_is_measured_by_what_leads_there() -> None:
    found = near(
        verdict(boiler_pressure=[(1000.0, 5e5), (3000.0, 6.5e5), (5000.0, 5e5)]), "safety valves blowing"
    )
    assert found.quantity == "boiler_pressure"
    assert found.margin == pytest.approx(0.4e5)


def test_a_limit_of_steaming_rests_from_a_night_halt_until_casting_off() -> None:
    night = [
        LogEntry(2000.0, "crew", "route", events.NIGHT, ""),
        LogEntry(3000.0, "crew", "route", events.MORNING, ""),
        LogEntry(4000.0, "day", "route", events.UNDER_WAY, ""),
    ]
    log = sorted([*WAY, *night], key=lambda entry: entry.time)
    assert limits.STEAMING.spans(log, 7200.0) == [(1000.0, 2000.0), (4000.0, 6000.0)]
    cold = [(1900.0, 6e5), (2100.0, 0.0), (3500.0, 0.0), (3900.0, 6e5)]
    found = verdict(log, boiler_pressure=cold)
    assert "too low to steam" not in {item.item for item in found.critical}
    assert "too low to steam" in {item.item for item in verdict(boiler_pressure=cold).critical}


@pytest.mark.parametrize(
    ("at", "where"),
    [
        (500.0, "before casting off"),
        (1500.0, "before Mill: lower pool"),
        (2600.0, "at Mill: lower pool"),
        (3500.0, "after Mill: lower pool"),
        (5100.0, "at Heron point"),
    ],
)
def test_places(at: float, where: str) -> None:
    assert place(sorted([*WAY, *PLACES], key=lambda entry: entry.time), at) == where


def test_arrivals_come_from_the_log() -> None:
    assert [(a.place, a.at) for a in arrivals(PLACES)] == [
        ("Mill: lower pool", 2500.0),
        ("Heron point", 5000.0),
    ]


def test_every_limit_has_a_span_and_a_margin_with_its_unit() -> None:
    for limit in limits.LIMITS:
        measured = limit.measured(synthetic.MARKS)
        assert measured is not None
        assert SPANS[measured[0]](synthetic.MARKS) > 0.0
        assert "gauge" not in shown.margin(measured[0], 1.0, "metric")
    assert shown.margin("boiler_pressure", 1e5, "metric") == "1.0 bar"
    assert shown.margin("hotwell_temperature", 10.0, "metric") == "10 °C"


TIME = np.arange(0.0, 1001.0, 10.0)
SPEED = np.where((TIME >= 200.0) & (TIME <= 800.0), 2.0, 0.0)
SPELLS = [
    TaskSpell("steering", 100.0, 900.0),
    TaskSpell("firing", 300.0, 360.0),
    TaskSpell("hand pump on lake", 400.0, 600.0),
    TaskSpell("firing", 850.0, 900.0),
]


def test_hours_by_task_and_how_busy_each_hand_was() -> None:
    found = occupation(SPELLS, 2, TIME, SPEED, [])
    assert [(t.task, t.seconds, t.times) for t in found.tasks] == [
        ("steering", 800.0, 1),
        ("hand pump on lake", 200.0, 1),
        ("firing", 110.0, 2),
    ]
    assert found.under_way == pytest.approx(600.0, abs=20.0)
    assert found.tasks[2].under_way == 60.0
    assert found.busy_under_way == (pytest.approx(1.0), pytest.approx(260.0 / found.under_way))
    assert (found.overdue, found.worst_overdue) == (0, 0.0)


def test_overdue_tasks_are_counted_and_one_never_done_is_late_to_the_end() -> None:
    late = LogEntry(10.0, events.DAY, "crew", events.TASK_OVERDUE, "")
    done = LogEntry(40.0, events.DAY, "crew", events.OVERDUE_TASK_DONE, "")
    again = LogEntry(500.0, events.DAY, "crew", events.TASK_OVERDUE, "")
    end = LogEntry(900.0, events.DAY, "route", events.SHUT_DOWN, "")
    found = occupation(SPELLS, 2, TIME, SPEED, [late, done, again, end])
    assert (found.overdue, found.worst_overdue) == (2, 400.0)


def test_no_hand_does_two_things_at_once() -> None:
    for mine in share_out(SPELLS, 2):
        assert all(a.end <= b.start for a, b in zip(mine, mine[1:], strict=False))


def test_solids_are_told_as_a_fact_where_they_matter() -> None:
    told_text = solids_sentence(Solids(3700.0, 210.0, 3500.0, 0.06), synthetic.MARKS)
    assert told_text == (
        "Solids 3700 ppm at the end: to stay under 3500 ppm for good, about 6.0 % of the feed would have to "
        "be blown down (B = S·Cf/(Cb − Cf))."
    )
    outing = synthetic.outing()
    assert "Solids 2100 ppm" in told.solids(outing)


def test_sentences_of_terminal_and_page() -> None:
    outing = synthetic.outing()
    assert told.reached(outing) == "Reached Alder jetty 12:45."
    hands = told.hands(outing)
    assert hands.startswith("Hands: steering 4 h 06 min, hand pump on hot well 63 min")
    assert "late for a look once, at worst by 4 min" in hands
    lines = told.closest(outing)
    assert 0 < len(lines) <= told.CLOSEST
    assert all(" to spare at " in line for line in lines)


def test_a_limit_just_reached_is_not_told_in_millionths() -> None:
    outing = synthetic.outing()
    found = replace(outing.verdict.nearest[0], margin=-1e-3, margin_fraction=-1e-9)
    assert told.margin(found, outing) == "nothing: just reached"
    whole = replace(outing, verdict=replace(outing.verdict, nearest=(found,)))
    assert "crossed by" not in page.render([whole]) and told.closest(whole) == []


def test_what_each_reading_spans_on_the_made_up_boat() -> None:
    """Full to nothing, by her marks; the hot well from the lake's 288 K to where it is too hot to pump."""
    found = {name: of(synthetic.MARKS) for name, of in SPANS.items()}
    assert found == pytest.approx(
        {
            "glass_fraction": 1.0, "water_level": 0.15, "boiler_pressure": 6.5e5, "reversing_margin": 1.0,
            "cylinder_water": 0.05, "lubricator_oil": 0.25, "separator_load_fraction": 1.0,
            "boiler_oil": 200.0, "boiler_solids": 3500.0, "fuel_on_board": 80.0, "hotwell_mass": 40.0,
            "hotwell_temperature": 62.0,
        }  # fmt: skip
    )
    assert SPANS["hotwell_temperature"](synthetic.marks(hotwell_hot=280.0)) == 1.0
