"""The edge of a criterion: closed forms by hand, answers that come and go, keys and words refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from halfglass.scenario.dotted import at
from halfglass.scenario.load import load
from halfglass.study.criteria import criterion
from halfglass.study.limit import edges_of, limits
from halfglass.study.scenario_numbers import find, written

PUMP_STOPS = Path(__file__).parents[2] / "scenarios/02-engine-pump-stops.toml"


def test_every_coming_and_going_is_found() -> None:
    limit = edges_of(lambda x: x < 0.21 or 0.55 < x < 0.8, 0.0, 1.0)
    assert [edge.safe for edge in limit.edges] == pytest.approx([0.21, 0.55, 0.8], abs=0.002)
    assert [edge.holds_below for edge in limit.edges] == [True, False, True]
    assert limit.runs == len({value for value, _ in limit.tried})


def test_nothing_is_told_where_nothing_changes() -> None:
    assert edges_of(lambda _: True, 0.0, 1.0).edges == ()


def test_a_number_is_read_and_written_by_its_key() -> None:
    day = load(PUMP_STOPS).base
    for key, text, value in [
        ("crew.strokes", "10 strokes/min", 26 / 60), ("fault[1].at.plus", "5 min", 600.0),
        ("route[3].throttle", "10 %", 0.26),
    ]:  # fmt: skip
        number = find(day, key, text)
        assert at(day, number.path) == pytest.approx(value)
        assert at(written(day, number, number.parse(text)), number.path) == pytest.approx(number.parse(text))


def test_a_key_nearly_right_is_offered() -> None:
    with pytest.raises(ValueError, match="did you mean .strokes"):
        find(load(PUMP_STOPS).base, "crew.strokez", "10 strokes/min")


@pytest.mark.parametrize("key", ["crew.strokez", "route[0].throttle", "route[99].throttle", "title", "a..b"])
def test_a_key_that_holds_no_number_is_refused(key: str) -> None:
    with pytest.raises(ValueError, match="key|there is no|nothing|no number"):
        find(load(PUMP_STOPS).base, key, "10 %")


@pytest.mark.parametrize("words", ["no dangr", "glass above 3 kg", "", "glass above", "no danger and"])
def test_words_that_are_no_criterion_are_refused(words: str) -> None:
    with pytest.raises(ValueError, match="criterion|wants|nothing here"):
        criterion(words)


def test_minutes_to_the_bottom_nut_at_constant_draw() -> None:
    """By hand: half of a 160 mm glass over 0.30 m2 is 24 L, 21.6 kg at 900 kg/m3; at 0.015 kg/s 24 min.

    The search alone is under test here, on a vessel of straight sides.
    """
    left = edges_of(lambda seconds: 0.08 - 0.015 * seconds / (900.0 * 0.30) > 0.0, 0.0, 3600.0)
    assert left.edges[0].safe / 60.0 == pytest.approx(24.0, rel=0.01)


def test_strokes_that_balance_steaming() -> None:
    """By hand: 0.012 kg/s of steam over 0.03 kg a stroke is 24 strokes a minute. The search alone again."""
    needed = edges_of(lambda strokes: 0.03 * strokes / 60.0 >= 0.012, 1.0, 60.0)
    assert needed.edges[0].safe == pytest.approx(24.0, rel=0.01)
    assert not needed.edges[0].holds_below


def test_a_day_given_up_is_told_and_is_no_arrival() -> None:
    """Looking every 20 min and more, nobody gets steam up in time: the water holds, since nothing is done."""
    story = load(PUMP_STOPS)
    number = find(story.for_plan("injector"), "crew.look_every", "1 min")
    found = limits(story, "injector", number, 1200.0, 2400.0, criterion("holds the water"), range(1))[0]
    assert found.edges == ()
    assert len(found.unfinished) == found.runs
    arriving = criterion("holds the water and arrives")
    assert limits(story, "injector", number, 1200.0, 2400.0, arriving, range(1))[0].unfinished == ()
