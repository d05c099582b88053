"""The march: landing, crossings, guards, rows, failures."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from halfglass.plant import march
from halfglass.plant.compile import kernel
from halfglass.plant.marcher import ChatterError, Marcher, MarchFailedError, march_for


@kernel
def turning(t, state, plant, settings, derivative_out, readings_out):
    """A circle of period 2 pi plant[0], a clock, and settings[0] as a reading."""
    derivative_out[0] = state[1] / plant[0]
    derivative_out[1] = -state[0] / plant[0]
    derivative_out[2] = 1.0
    readings_out[0] = state[0]
    readings_out[1] = state[1]
    readings_out[2] = t
    readings_out[3] = state[2]
    readings_out[4] = settings[0]


@kernel
def breaking(t, state, plant, settings, derivative_out, readings_out):
    """Straight ahead until plant[0], then no number in the state number plant[1]."""
    derivative_out[0] = 1.0
    derivative_out[1] = 1.0
    if t > plant[0]:
        derivative_out[int(plant[1])] = math.nan
    readings_out[0] = state[0]


@kernel
def blowing_up(t, state, plant, settings, derivative_out, readings_out):
    derivative_out[0] = state[0] * state[0]
    readings_out[0] = state[0]


@kernel
def dividing(t, state, plant, settings, derivative_out, readings_out):
    """A trial step beyond the zero of the state meets a division by zero or an overflow."""
    derivative_out[0] = -1.0 / (0.0 if state[0] <= 0.0 else 1.0)
    readings_out[0] = state[0]


@kernel
def driven(t, state, plant, settings, derivative_out, readings_out):
    derivative_out[0] = settings[0]
    readings_out[0] = state[0]


TURNING = march_for(turning, "turning")
BREAKING = march_for(breaking, "breaking")
BLOWING_UP = march_for(blowing_up, "blowing_up")
DRIVEN = march_for(driven, "driven")
DIVIDING = march_for(dividing, "dividing")
NAMES = ["sine", "cosine", "time", "clock", "setting"]
SINE, COSINE, TIME, CLOCK, SETTING = range(5)


def circle(slowness: float = 1.0, **options: float) -> Marcher:
    tolerance = np.array([1e-9, 1e-9, math.inf])
    options = {"relative_tolerance": 1e-9, **options}
    return Marcher(TURNING, np.array([0.0, 1.0, 0.0]), (slowness,), (7.0,), NAMES, tolerance, **options)


@settings(deadline=None, max_examples=50)
@given(st.lists(st.floats(1e-6, 50.0), min_size=1, max_size=20), st.floats(0.0, 1e5))
def test_lands_exactly_where_told(gaps: list[float], start: float) -> None:
    going = circle(20.0, start=start, relative_tolerance=1e-5)
    for gap in gaps:
        until = going.time + gap
        assert going.advance(until) == ()
        assert going.time == until and going.readings[TIME] == until
        assert going.state[2] == pytest.approx(until - start, rel=1e-9, abs=1e-9)
    assert going.advance(going.time) == ()


def test_time_does_not_go_back() -> None:
    going = circle()
    going.advance(1.0)
    with pytest.raises(ValueError, match="cannot go back"):
        going.advance(0.5)
    with pytest.raises(ValueError, match="cannot go back"):
        going.advance(math.nan)


@settings(deadline=None, max_examples=50)
@given(st.floats(0.05, 0.95))
def test_crossings_lie_where_the_closed_form_says(threshold: float) -> None:
    going = circle(30.0)
    up, _ = going.arm(SINE, threshold, 1)
    down, _ = going.arm(SINE, threshold, -1)
    angle = math.asin(threshold)
    turn = 2.0 * math.pi
    for guard, expected in [
        (up, angle),
        (down, math.pi - angle),
        (up, turn + angle),
        (down, turn + math.pi - angle),
    ]:
        assert going.advance(1e3) == (guard,)
        assert going.time == pytest.approx(30.0 * expected, abs=1e-3)
        # The stop is on the far side, and no more than the bracket's width late.
        excess = going.readings[SINE] - threshold
        assert excess > 0.0 if guard == up else excess < 0.0
        assert abs(excess) <= 1e-4 / 30.0 * 1.01


def test_production_tolerance_is_good_enough_for_crossings() -> None:
    going = circle(30.0, relative_tolerance=1e-5)
    going._vectors[8, :2] = 1e-5
    going.arm(SINE, 0.5, 1)
    for turn in range(10):
        going.advance(1e5)
        assert going.time == pytest.approx(30.0 * (math.asin(0.5) + 2.0 * math.pi * turn), abs=0.05)


def test_a_crossing_wins_over_the_end_at_the_same_time() -> None:
    going = circle()
    guard, _ = going.arm(TIME, 2.0, 1)
    assert going.advance(2.0) == ()  # at 2.0 it is not above 2.0
    assert going.advance(np.nextafter(2.0, 3.0)) == (guard,)
    assert going.advance(2.5) == ()


def test_several_at_once_come_in_declared_order_and_the_earliest_first() -> None:
    going = circle()
    late, _ = going.arm(CLOCK, 1.5, 1)
    first, _ = going.arm(CLOCK, 1.0, 1)
    second, _ = going.arm(TIME, 1.0, 1)
    third, _ = going.arm(CLOCK, 1.0, 1)
    assert going.advance(9.0) == (first, second, third)
    assert going.time == pytest.approx(1.0, abs=1e-4)
    assert going.advance(9.0) == (late,)


def test_already_so_is_told_when_arming_and_not_again() -> None:
    going = circle()
    guard, already = going.arm(COSINE, 0.5, 1)
    assert already
    assert going.advance(2.0) == ()
    assert going.advance(9.0) == (guard,)
    assert going.time == pytest.approx(2.0 * math.pi - math.acos(0.5), abs=1e-3)
    assert going.arm(COSINE, 0.9, 1)[1] is False


def test_on_the_threshold_is_not_yet_beyond_it() -> None:
    going = circle()
    guard, already = going.arm(SINE, 0.0, 1)
    assert not already
    assert going.advance(1.0) == (guard,)
    assert going.time <= 2e-4


def test_disarmed_guards_are_silent_and_the_others_keep_their_numbers() -> None:
    going = circle()
    first, _ = going.arm(TIME, 1.0, 1)
    second, _ = going.arm(TIME, 2.0, 1)
    going.disarm(first)
    third, _ = going.arm(TIME, 3.0, 1)
    assert going.advance(9.0) == (second,)
    assert going.advance(9.0) == (third,)
    assert len({first, second, third}) == 3


def test_a_guard_needs_a_reading_and_a_direction() -> None:
    for reading, direction in [(5, 1), (-1, 1), (0, 0)]:
        with pytest.raises(ValueError, match="no guard"):
            circle().arm(reading, 0.0, direction)


def test_a_change_from_outside_reports_what_it_took_beyond() -> None:
    going = circle()
    high, _ = going.arm(SETTING, 8.0, 1)
    low, _ = going.arm(SETTING, 6.0, -1)
    going.advance(1.0)
    going.settings = (9.0,)
    assert going.changed() == (high,)
    assert going.readings[SETTING] == 9.0
    assert going.advance(2.0) == ()
    going.settings = (5.0,)
    assert going.changed() == (low,)
    going.settings = (9.0,)
    assert going.changed() == (high,)


def test_a_change_of_state_is_integrated_from() -> None:
    going = circle()
    going.advance(1.0)
    going.state[:2] = (2.0, 0.0)
    going.changed()
    going.advance(1.0 + math.pi)
    assert going.state[:2] == pytest.approx([-2.0, 0.0], abs=1e-6)


def test_chatter_is_an_error_that_names_reading_and_threshold() -> None:
    going = Marcher(DRIVEN, np.array([0.5]), (0.0,), (-1.0,), ["level"], np.array([1e-6]))
    going.arm(0, 0.25, -1)
    going.arm(0, 0.25, 1)
    with pytest.raises(ChatterError, match=r"level crossed 0\.25 more than 50 times within 1 s"):
        for _ in range(1000):
            going.advance(10.0)
            going.settings = (-going.settings[0],)
            going.changed()
    assert going.time < 1.0


def test_a_mark_that_chatters_is_taken_away() -> None:
    """Nothing hangs on it: a reading that stays at a limit must not end the day."""
    guarded, marked = circle(0.002, step_cap=0.001), circle(0.002, step_cap=0.001)  # 80 crossings a second
    guarded.arm(SINE, 0.5, 1)
    with pytest.raises(ChatterError):
        while guarded.time < 2.0:
            guarded.advance(2.0)
    mark, _ = marked.arm(SINE, 0.5, 1, is_mark=True)
    crossed: list[int] = []
    while marked.time < 2.0:
        crossed += marked.advance(2.0)
    assert crossed == [mark] * 51


def test_slow_crossings_are_no_chatter() -> None:
    going = circle(0.02, step_cap=0.01)  # two crossings of each guard in 0.126 s: 8 a second
    going.arm(SINE, 0.5, 1)
    for _ in range(120):
        assert going.advance(100.0) == (0,)


def test_looking_does_not_disturb() -> None:
    plain, watched = circle(5.0), circle(5.0)
    plain.advance(40.0)
    counters = watched.counters
    for _ in range(5):
        assert np.isfinite([watched.readings[0], watched.lowest[0], watched.time]).all()
        assert len(watched.rows()) == 0
        guard, _ = watched.arm(SINE, 5.0, 1)
        watched.disarm(guard)
    assert watched.counters == counters
    watched.advance(40.0)
    assert (watched.state == plain.state).all()
    with pytest.raises(ValueError, match="read-only"):
        watched.readings[0] = 1.0


def test_rows_lie_on_the_grid_once_each() -> None:
    going = circle(3.0, record_every=0.25, start=1.1)
    going.arm(SINE, 0.5, 1)
    time = 1.1
    while going.time < 30.0:
        time += 0.7
        while going.advance(time):
            going.changed()
    rows = going.rows()
    assert (rows[:, 0] == np.arange(5, 5 + len(rows)) * 0.25).all()
    assert rows[-1, 0] <= going.time < rows[-1, 0] + 0.25
    assert rows[:, 1 + TIME] == pytest.approx(rows[:, 0], rel=1e-12)
    assert rows[:, 1 + SINE] == pytest.approx(np.sin((rows[:, 0] - 1.1) / 3.0), abs=1e-5)


def test_the_first_row_is_the_start_after_changes_at_the_start() -> None:
    going = circle(record_every=1.0)
    going.settings = (3.0,)
    going.changed()
    going.advance(2.0)
    assert list(going.rows()[:, 0]) == [0.0, 1.0, 2.0]
    assert going.rows()[0, 1 + SETTING] == 3.0


def test_no_rows_when_none_are_asked_for() -> None:
    going = circle()
    going.advance(50.0)
    assert going.rows().shape == (0, 6)


def test_a_growing_buffer_loses_and_doubles_nothing() -> None:
    small, large = circle(5.0, record_every=0.01), circle(5.0, record_every=0.01)
    small._rows = np.zeros((1, 6))
    large._rows = np.zeros((10000, 6))
    for going in (small, large):
        going.advance(60.0)
    assert len(small.rows()) == 6001
    assert (small.rows() == large.rows()).all()
    assert (small.state == large.state).all()
    assert small.counters.steps == large.counters.steps


@pytest.mark.parametrize("state", [0, 1])
def test_no_number_is_a_failure_that_says_where(state: int) -> None:
    # State 1 is not controlled: it must not slip through either.
    tolerance = np.array([1e-6, math.inf])
    going = Marcher(
        BREAKING, np.zeros(2), (3.0, state), (0.0,), ["x"], tolerance, state_names=["water", "ledger"]
    )
    with pytest.raises(MarchFailedError, match=f"no number for {['water', 'ledger'][state]}"):
        going.advance(10.0)
    assert going.time == pytest.approx(3.0, abs=1e-6)
    assert np.isfinite(going.state).all()


def test_a_pole_is_a_failure() -> None:
    going = Marcher(BLOWING_UP, np.ones(1), (0.0,), (0.0,), ["x"], np.array([1e-9]))
    with pytest.raises(MarchFailedError):
        going.advance(2.0)
    assert going.time == pytest.approx(1.0, abs=1e-3)


def test_a_division_by_zero_in_a_trial_step_rejects_that_step() -> None:
    going = Marcher(DIVIDING, np.ones(1), (0.0,), (0.0,), ["x"], np.array([1e-6]))
    guard, _ = going.arm(0, 0.01, -1)
    assert going.advance(2.0) == (guard,)
    assert going.counters.rejected > 0
    with pytest.raises(MarchFailedError):
        going.advance(2.0)
    assert going.time == pytest.approx(1.0, abs=1e-6)


def test_lowest_and_highest_with_their_times() -> None:
    going = circle(10.0, step_cap=0.1)
    going.advance(45.0)
    assert going.highest[SINE] == pytest.approx(1.0, abs=1e-4)
    assert going.highest_at[SINE] == pytest.approx(5.0 * math.pi, abs=0.1)
    assert going.lowest[COSINE] == pytest.approx(-1.0, abs=1e-4)
    assert going.lowest_at[COSINE] == pytest.approx(10.0 * math.pi, abs=0.1)
    assert going.lowest[TIME] == 0.0 and going.highest[TIME] == 45.0
    going.settings = (99.0,)
    going.changed()
    assert going.highest[SETTING] == 99.0 and going.highest_at[SETTING] == 45.0


def test_error_falls_with_tolerance() -> None:
    errors = []
    for relative in (1e-4, 1e-6, 1e-8):
        going = circle(3.0, relative_tolerance=relative)
        going.advance(30.0)
        errors.append(abs(going.state[0] - math.sin(10.0)))
    assert errors[0] > errors[1] > errors[2]
    assert errors[2] < 1e-6


def test_uncontrolled_states_do_not_shorten_the_step() -> None:
    loose = Marcher(
        TURNING, np.array([0.0, 1.0, 0.0]), (0.5,), (0.0,), NAMES, np.full(3, math.inf), step_cap=0.5
    )
    loose.advance(100.0)
    assert loose.counters.steps < 210 and loose.counters.rejected == 0


def test_the_step_cap_holds() -> None:
    going = circle(1e6, step_cap=0.5)
    going.advance(100.0)
    assert going.counters.steps >= 200


def test_the_step_is_remembered_over_segments() -> None:
    # Segments much shorter than the step cost one step each, and the long stride comes back at once.
    going = circle(1e6, step_cap=50.0)
    going.advance(500.0)
    steps = going.counters.steps
    going.advance(500.001)
    going.advance(1000.0)
    assert going.counters.steps - steps <= 12


def test_the_first_lowest_and_highest_is_kept() -> None:
    """A reading that comes back to the same value was there first when it was there first."""
    going = Marcher(DRIVEN, np.array([2.0]), (), (0.0,), ["held"], np.array([1e-6]))
    going.advance(10.0)
    assert (going.lowest_at[0], going.highest_at[0]) == (0.0, 0.0)


def test_the_work_is_counted() -> None:
    """Three evaluations a step tried, one for a look; rows and crossings add their own."""
    going = circle()
    at_start = going.counters
    assert at_start == (0, 0, 1)
    going.advance(5.0)
    steps, rejected, calls = going.counters
    assert calls == 1 + 3 * (steps + rejected)
    going.changed()
    assert going.counters.rates_calls == calls + 1


def test_error_and_length_of_a_step_by_hand() -> None:
    """Weights of the pair's two orders, 5/72, 1/12, 1/9, 1/8; 0.9 of what the cube root of the error asks."""
    vectors = np.zeros((9, 2))
    vectors[[march.SLOPE, march.SLOPE_2, march.SLOPE_3, march.SLOPE_NEXT], 0] = (72.0, 24.0, 18.0, 32.0)
    vectors[march.STATE], vectors[march.STATE_NEXT] = (3.0, 0.0), (-4.0, 0.0)
    vectors[march.TOLERANCE] = (0.1, math.inf)
    # -5 + 2 + 2 - 4 is -5; over 0.1 + 0.05 of the larger of 3 and 4
    assert march._error_of_step(0.5, 0.05, vectors) == pytest.approx(2.5 / 0.3)
    vectors[march.SLOPE_NEXT, 1] = math.nan
    assert math.isnan(march._error_of_step(0.5, 0.05, vectors))
    shrunk = [march._shrink(error) for error in (8.0, 1e4, 1e13, math.nan)]
    assert shrunk == pytest.approx([0.45, 0.2, 0.2, 0.2])
    assert march._stretch(1.0, 1.0) == pytest.approx(0.9)
    assert march._stretch(1e-3, 0.125) == pytest.approx(0.9 * 10.0**0.7 * 0.125 ** (0.4 / 3.0))
    assert (march._stretch(1e-9, 1.0), march._stretch(0.0, 1.0)) == (5.0, 5.0)
    assert march._stretch(0.5, 0.0) == march._stretch(0.5, 1e-3)


def test_a_step_below_the_smallest_is_a_failure() -> None:
    going = circle(smallest_step=0.2, relative_tolerance=1e-12)
    with pytest.raises(MarchFailedError, match="no step is small enough"):
        going.advance(5.0)
