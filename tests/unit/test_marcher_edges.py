"""The marcher's own doings at their edges: first steps, rows beside changes, chatter, what a failure says."""

from __future__ import annotations

import math

import numpy as np
import pytest

from halfglass.plant.compile import kernel
from halfglass.plant.marcher import ChatterError, Marcher, MarchFailedError, march_for

NEVER = (math.inf, math.inf)


@kernel
def pushed(t, state, plant, settings, derivative_out, readings_out):
    """A push of settings[0], with plant[0] t² more for the first state; settings[1] is laid on the reading.

    The second state has no number between plant[1] and plant[2].
    """
    derivative_out[0] = settings[0] + plant[0] * t * t
    derivative_out[1] = settings[0]
    if plant[1] < t < plant[2]:
        derivative_out[1] = math.nan
    readings_out[0] = state[0] + settings[1]


PUSHED = march_for(pushed, "pushed")


def going_on(
    push: float = 1.0,
    *,
    curve: float = 0.0,
    hole: tuple[float, float] = NEVER,
    height: float = 0.0,
    tolerance: float = 1.0,
    **options: object,
) -> Marcher:
    state, allowed = np.array([height, 0.0]), np.array([tolerance, math.inf])
    options = {"relative_tolerance": 0.0, "step_cap": 50.0, **options}
    return Marcher(PUSHED, state, (curve, *hole), (push, 0.0), ["height"], allowed, **options)


def steps_to(going: Marcher, until: float) -> int:
    before = going.counters.steps
    assert going.advance(until) == ()
    return going.counters.steps - before


@pytest.mark.parametrize("changed", [False, True])
def test_a_quarter_of_a_second_comes_first_and_after_a_change(changed: bool) -> None:
    """Without any error each step is five times the last: 0.25 + 1.25 + 6.25 + 31.25 s is 39 s."""
    for until, steps in [(38.9, 4), (39.0, 4), (39.1, 5)]:
        going, since = going_on(), 0.0
        if changed:
            since = 100.0
            going.advance(since)
            going.changed()
        assert steps_to(going, since + until) == steps


def test_the_first_step_keeps_to_the_cap() -> None:
    assert steps_to(going_on(step_cap=0.125), 1.0) == 8


@pytest.mark.parametrize("changed", [False, True])
def test_no_error_is_remembered_over_a_change(changed: bool) -> None:
    """The pair misses 1/24 of the curve times the step cubed, wherever the step begins.

    A curve of 192 so makes an error of 1/8 in a quarter of a second. The step after it is longer by
    0.9 times 8 to 0.7/3, if the error before is forgotten (0.76 of that, if it was also 1/8).
    """
    second = 0.25 * 0.9 * 8.0 ** (0.7 / 3.0)
    for until, steps in [(0.25 + second - 1e-5, 2), (0.25 + second + 1e-5, 3)]:
        going, since = going_on(curve=192.0), 0.0
        if changed:
            since = 0.25
            assert steps_to(going, since) == 1
            going.changed()
        assert steps_to(going, since + until) == steps


def test_going_on_to_the_present_does_nothing() -> None:
    going = going_on()
    going.advance(3.0)
    work = going.counters
    assert going.advance(3.0) == () and going.counters == work


def test_rows_have_the_time_and_each_reading() -> None:
    going = going_on(record_every=0.5)
    assert going.rows().shape == (0, 2)
    going.advance(1.2)
    assert going.rows() == pytest.approx(np.array([[0.0, 0.0], [0.5, 0.5], [1.0, 1.0]]))


def test_rows_of_a_march_that_starts_late_lie_on_the_same_grid() -> None:
    going = going_on(record_every=0.25, start=1.125)
    assert going.time == 1.125
    going.advance(1.8)
    assert going.rows() == pytest.approx(np.array([[1.25, 0.125], [1.5, 0.375], [1.75, 0.625]]))


def test_what_is_looked_at_cannot_be_written_to() -> None:
    going = going_on()
    for seen in (going.readings, going.lowest, going.lowest_at, going.highest, going.highest_at):
        with pytest.raises(ValueError, match="read-only"):
            seen[0] = 1.0


def lay_on(going: Marcher, height: float) -> tuple[int, ...]:
    going.settings = (going.settings[0], height)
    return going.changed()


def extra(going: Marcher) -> list[list[float]]:
    return [list(row) for row in going.extra_rows]


def test_a_change_is_a_row_before_and_a_row_after() -> None:
    going = going_on(0.0, record_every=0.25, height=3.0)
    assert extra(going) == []  # nothing stood before the start
    going.advance(2.0)
    going.changed()
    assert extra(going) == []  # nothing changed
    lay_on(going, 4.0)
    assert extra(going) == [[2.0, 3.0], [2.0, 7.0]]


def test_without_rows_a_change_is_none_either() -> None:
    going = going_on(0.0)
    lay_on(going, 4.0)
    assert extra(going) == []


def test_a_snapshot_is_one_row_of_now() -> None:
    going = going_on(0.0, height=3.0)
    going.advance(2.0)
    going.snapshot()
    assert extra(going) == [[2.0, 3.0]]


def test_changes_taken_as_one_leave_nothing_between() -> None:
    """Laid on 9, then 5 below, then 4: from 3 it went to 7, and never was at 12 or -2."""
    going = going_on(0.0, record_every=10.0, height=3.0)
    going.advance(1.0)
    going.snapshot()
    mark = going.mark()
    for height in (9.0, -5.0, 4.0):
        lay_on(going, height)
    assert (going.lowest[0], going.highest[0]) == (-2.0, 12.0)
    going.as_one(mark)
    assert extra(going) == [[1.0, 3.0], [1.0, 3.0], [1.0, 7.0]]
    assert going.readings[0] == 7.0
    assert (going.lowest[0], going.highest[0], going.highest_at[0]) == (3.0, 7.0, 1.0)


def cross(going: Marcher, guard: int, times: int) -> None:
    """Take the reading over a guard at 8 and back, so many times at the present moment."""
    for _ in range(times):
        assert lay_on(going, 9.0) == (guard,)
        assert lay_on(going, 0.0) == ()


def test_fifty_crossings_in_a_second_are_borne_and_one_more_is_chatter() -> None:
    going = going_on(0.0)
    guard, _ = going.arm(0, 8.0, 1)
    going.advance(4.0)
    cross(going, guard, 1)
    going.advance(5.0)
    cross(going, guard, 49)
    with pytest.raises(ChatterError, match="^height crossed 8 more than 50 times within 1 s, up to 5 s$"):
        cross(going, guard, 1)


def test_crossings_more_than_a_second_back_are_not_counted() -> None:
    going = going_on(0.0)
    guard, _ = going.arm(0, 8.0, 1)
    going.advance(4.0)
    cross(going, guard, 1)
    going.advance(np.nextafter(5.0, 6.0))
    cross(going, guard, 50)
    with pytest.raises(ChatterError):
        cross(going, guard, 1)


def test_a_mark_is_taken_away_at_the_same_count_and_the_guard_beside_it_stays() -> None:
    going = going_on(0.0)
    mark, _ = going.arm(0, 8.0, 1, is_mark=True)
    guard, _ = going.arm(0, 10.0, 1)
    cross(going, mark, 51)
    assert lay_on(going, 9.0) == ()
    assert lay_on(going, 11.0) == (guard,)


def test_what_was_disarmed_is_silent_and_its_number_is_not_given_again() -> None:
    going = going_on(0.0)
    first, second = going.arm(0, 8.0, 1)[0], going.arm(0, 8.5, 1)[0]
    going.disarm(first)
    third, already = going.arm(0, 8.7, 1)
    assert len({first, second, third}) == 3 and not already
    assert lay_on(going, 9.0) == (second, third)


@pytest.mark.parametrize("names", [("water", "ledger"), ()])
@pytest.mark.parametrize(
    "hole",
    [
        pytest.param((0.2, math.inf), id="only at the end of the step"),
        pytest.param((0.1, 0.2), id="only within the step"),
    ],
)
def test_no_number_is_told_wherever_in_the_step_it_is_missing(
    hole: tuple[float, float], names: tuple[str, ...]
) -> None:
    """The first step, of 0.25 s, looks at 0.125 s, 0.1875 s and 0.25 s; a fifth of it is too small."""
    going = going_on(hole=hole, smallest_step=0.1, state_names=names)
    with pytest.raises(MarchFailedError) as failure:
        going.advance(1.0)
    assert str(failure.value) == f"the march stopped at 0 s: no number for {names[1] if names else 'state 1'}"


def test_a_number_near_the_largest_is_still_a_number() -> None:
    """State 1.5e308 with a slope of 1.2e308: each can be told, though not their sum."""
    going = going_on(1.2e308, height=1.2e308, curve=1e308, smallest_step=0.1)
    with pytest.raises(MarchFailedError, match="no step is small enough for the tolerance"):
        going.advance(1.0)


@pytest.mark.parametrize("tolerance", [-0.05, 0.0, math.nan])
def test_a_tolerance_is_more_than_nothing(tolerance: float) -> None:
    """A state with a tolerance below nothing would slip past the control of the step, unnoticed."""
    with pytest.raises(ValueError, match="no tolerance for state 0"):
        going_on(tolerance=tolerance)
