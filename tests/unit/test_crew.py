"""The hands: who is busy with what, who is called away, what is late, and who sleeps."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from trouble import DAY, ROUTE, Lived, fault, lived, orders, own

from halfglass.day.chores import CLEANING
from halfglass.day.outing import Day
from halfglass.result import events
from halfglass.scenario.load import load

SCENARIOS = Path(__file__).parents[2] / "scenarios"

ONE = DAY.replace("hands = 2", "hands = 1")
STOPPED = fault("engine pump stops delivering")
BY_HAND = orders('low_glass = ["hand pump on lake"]')
AT_THE_LINES = ("coming alongside", "lines", "manoeuvring")
LONG_LOCK = ROUTE.replace('wait = "10 min"', 'takes = "20 min"')


def spells(day: Lived, *tasks: str) -> list[tuple[float, float]]:
    return [(spell.start, spell.end) for spell in day.day.crew.spells if spell.task in tasks]


def overlap(one: list[tuple[float, float]], other: list[tuple[float, float]]) -> float:
    """Seconds during which both go on."""
    return sum(max(0.0, min(b, d) - max(a, c)) for a, b in one for c, d in other)


def test_alone_nobody_pumps_or_looks_while_at_the_lines() -> None:
    """One person coming alongside, or in the lock on the lines, does nothing else; of two the other does."""
    for day, shared in ((ONE, False), (DAY, True)):
        lived_so = lived(STOPPED, BY_HAND, day=day, route=LONG_LOCK)
        lines = spells(lived_so, *AT_THE_LINES)
        assert sum(end - start for start, end in lines) > 900.0
        done = [overlap(lines, spells(lived_so, task)) for task in ("looking", "hand pump on lake", "firing")]
        assert (sum(done) == 0.0) is not shared
        in_lock = (lived_so.at("in the lock") + 5.0, lived_so.at("through the lock") - 5.0)
        pumped = lived_so.between("hand_pump_stroke_rate", *in_lock).max()
        assert bool(pumped > 0.0) is shared


def test_alone_a_long_lock_makes_the_look_overdue() -> None:
    """Twenty minutes on the lines: the look due in them is a quarter of an hour late, and is made once
    she is cast off.
    """
    alone, two = (lived(day=day, route=LONG_LOCK) for day in (ONE, DAY))
    through = alone.at("through the lock")
    late = [
        entry.time
        for entry in alone.told(events.TASK_OVERDUE)
        if alone.at("in the lock") < entry.time < through
    ]
    made = [entry.time for entry in alone.told(events.OVERDUE_TASK_DONE) if entry.time >= through]
    assert len(late) == 1 and made[0] - through < 60.0
    in_lock = (two.at("in the lock"), two.at("through the lock"))
    assert not [entry for entry in two.told(events.TASK_OVERDUE) if in_lock[0] < entry.time < in_lock[1]]


@pytest.mark.parametrize("day", [ONE, DAY], ids=["one", "two"])
def test_nobody_does_two_things_at_once(day: str) -> None:
    """Never more spells at a time than hands, whatever goes wrong."""
    troubled = lived(
        STOPPED, BY_HAND, fault("clinkered grate"), fault("hot well water lost", rate="60 L/h"), day=day
    )
    hands = troubled.day.scenario.crew.hands
    moments = sorted({moment for spell in troubled.day.crew.spells for moment in (spell.start, spell.end)})
    for start, end in pairwise(moments):
        busy = sum(s.start <= start and s.end >= end for s in troubled.day.crew.spells)
        assert busy <= hands
    assert max(count for _, count in troubled.day.crew.busy) <= hands


def test_with_two_one_of_them_steers() -> None:
    two, one = lived(), lived(day=ONE)
    assert not spells(one, "steering")
    steered = sum(end - start for start, end in spells(two, "steering"))
    under_way = float(np.trapezoid((two.readings["boat_speed"] > 0.5).astype(float), two.time))
    assert steered == pytest.approx(under_way, rel=0.05)


def test_pumping_is_what_is_left_for_everything_else() -> None:
    """Firing, looking and baling call a hand from the pump; the pump goes on afterwards."""
    day = lived(STOPPED, BY_HAND)
    pumping = spells(day, "hand pump on lake")
    others = spells(day, "looking", "firing", "baling")
    assert len(pumping) > 5
    assert overlap(pumping, spells(day, "looking")) < overlap(pumping, pumping)
    first, last = pumping[0][0], day.at("waiting at the lock") - 60.0
    free = last - first - overlap([(first, last)], others)
    pumped = overlap([(first, last)], pumping)
    assert pumped == pytest.approx(free, rel=0.02)


def lengths(day: Lived, task: str) -> list[float]:
    return [end - start for start, end in spells(day, task)]


def test_times_of_a_task_vary_with_the_seed_and_no_further_than_they_may() -> None:
    """Firing takes 50 s in two parts of 20 and 30; ordinary hands within a fifth of it."""
    quiet, other = lived(seed=1), lived(seed=2)
    parts = lengths(quiet, "firing")
    assert len(parts) >= 10 and len(set(np.round(parts, 6))) == len(parts)
    whole = [part for part in parts if part > 15.9]
    assert all(0.8 * 20.0 - 1e-6 <= part <= 1.2 * 30.0 + 1e-6 for part in whole)
    assert np.std(whole) > 2.0
    assert lengths(other, "firing")[:3] != parts[:3]
    assert lengths(lived(seed=1), "firing") == parts
    steady = lived(day=DAY.replace("hands = 2", 'hands = 2\nvariation = "0 %"'))
    assert set(np.round(lengths(steady, "cleaning the grate"), 6)) <= {CLEANING}


@pytest.mark.parametrize(("skill", "factor"), [("learning", 1.5), ("ordinary", 1.0), ("practised", 0.8)])
def test_skill(skill: str, factor: float) -> None:
    """No variation: a look takes 8 s, by skill half as long again or a fifth less."""
    day = lived(day=DAY.replace("hands = 2", f'hands = 2\nvariation = "0 %"\nskill = "{skill}"'))
    looks = lengths(day, "looking")
    assert np.median(looks) == pytest.approx(8.0 * factor, abs=1e-6)


def test_learners_do_worse_in_trouble() -> None:
    """Alone with a stopped pump and three hundred strokes to make, the clumsy have less time to pump."""
    glass = {
        skill: lived(
            STOPPED, BY_HAND, day=ONE.replace("hands = 1", f'hands = 1\nvariation = "0 %"\nskill = "{skill}"')
        )
        for skill in ("learning", "practised")
    }
    pumped = {skill: sum(lengths(day, "hand pump on lake")) / day.time[-1] for skill, day in glass.items()}
    assert pumped["learning"] < pumped["practised"]


def test_how_often_they_look_changes_nothing_before_the_first_look() -> None:
    """The plant goes its way between looks: until the first of them the rows are the same, bit for bit."""
    often, seldom = (
        lived(day=DAY.replace("hands = 2", f'hands = 2\nlook_every = "{m} min"')) for m in (2, 7)
    )
    first = spells(often, "looking")[0][0]
    rows = [day.time < first for day in (often, seldom)]
    assert rows[0].sum() > 8
    for name in often.readings:
        assert np.array_equal(often.readings[name][rows[0]], seldom.readings[name][rows[1]]), name
    assert [e.event for e in often.day.entries] != [e.event for e in seldom.day.entries]


NIGHT = ROUTE.replace(
    '[[route]]\nstep = "lie"\nfor = "30 min"\n',
    '[[route]]\nstep = "night halt"\nuntil = 06:30:00\n'
    '[[route]]\nstep = "raise steam"\nuntil = "70 psi"\nat_most = "3 h"\n',
)


def test_nobody_looks_at_night() -> None:
    """From turning in to turning out no hand is at anything, and no order is obeyed; then the day goes on."""
    drain = own("drain", 'hotwell_above = "1 %"', "set condensate drain", to="50 %")
    night = lived(drain, route=NIGHT)
    evening, morning = night.at(events.NIGHT), night.at(events.MORNING)
    assert morning - evening > 8 * 3600.0
    assert not [s for s in night.day.crew.spells if s.end > evening + 1.0 and s.start < morning]
    told = [e.event for e in night.day.entries if evening + 1.0 < e.time < morning and e.who == "crew"]
    assert told == []
    again = [entry for entry in night.told("order obeyed") if entry.time > morning]
    assert again and night.outcome == "arrived"


def test_turned_in_while_a_look_is_waiting() -> None:
    """A look that was still to be made as the hand turned in is not acted on in their sleep."""
    for seed in range(6):
        night = lived(
            route=NIGHT.replace('step = "night halt"', 'step = "night halt"\nfire = "banked"'), seed=seed
        )
        evening, morning = night.at(events.NIGHT), night.at(events.MORNING)
        assert not [
            e
            for e in night.day.entries
            if evening < e.time < morning and e.who == "crew" and e.event != "fire banked"
        ]


@pytest.mark.parametrize("is_stuck", [False, True], ids=["true glass", "false glass"])
def test_blowing_down_stops_when_the_glass_is_seen_to_be_low(is_stuck: bool) -> None:
    """Half a minute through 60 mm2 takes some 60 kg if nobody stops it: the glass that shows the truth
    stops it.
    """
    blowing = ROUTE.replace('step = "come alongside"\nat = "Quay"', 'step = "blow down"\nfor = "25 s"')
    shut = fault("glass cock shut", '{ leaving = "Lock" }')
    day = lived(*((shut,) if is_stuck else ()), orders('try_glass_every = "24 h"'), route=blowing)
    at = day.at(events.BLOWN_DOWN)
    glass = day.reading("glass_fraction", at)
    assert (glass < 0.2) if is_stuck else glass == pytest.approx(0.3, abs=0.02)


def test_water_out_of_sight_at_the_top() -> None:
    """Fed too full by an order of their own the crew ease her, try the glass, and open up again once it
    shows.
    """
    fool = own("fill", 'glass_above = "1/4", engine = "turning"', "injector", until='glass_above = "100 %"')
    full = lived(fool, orders('try_glass_every = "24 h"'))
    assert full.told("throttle eased") and full.told("glass tried")
    eased = full.at("throttle eased")
    before, after = full.reading("throttle", eased - 20.0), full.reading("throttle", eased + 20.0)
    assert after == pytest.approx(0.5 * before)
    later = full.between("throttle", eased + 60.0, full.at("waiting at the lock") - 60.0)
    assert np.isclose(later, before).any()
    assert full.outcome == "arrived"


def test_steam_wanted_that_is_there_already_is_up_at_once() -> None:
    """The gauge shows it before anybody waits; two who wait for it are both told."""
    day = Day(load(SCENARIOS / "01-quiet-lake-day.toml").base)
    first, second = (day.instruments.when_gauge_shows(pressure) for pressure in (0.0, 5e5))
    third = day.instruments.when_gauge_shows(0.0)
    assert first.triggered and third.triggered and not second.triggered
