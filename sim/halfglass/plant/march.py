"""Marching a set of ordinary differential equations through time, stopping exactly at crossings.

Method: the embedded Runge-Kutta pair 3(2) of Bogacki & Shampine, Applied Mathematics Letters 2
(1989) 321-325, with its cubic Hermite dense output. A method is this one file: another can stand
beside it behind the same `march` call (`marcher.Marcher` owns the arrays and knows no method).

The equations are a kernel ``rates(t, state, plant, settings, derivative_out, readings_out)``. It
must not keep anything between calls: it is also called for rejected steps, for looking at rows and
while crossings are searched. Only accepted steps are searched, by the readings at their two ends;
so what comes and goes within one step is not seen, and the step cap says how long that can be.
"""

from __future__ import annotations

import hashlib
import inspect
import math
from collections.abc import Callable
from types import FunctionType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from halfglass.plant.compile import inlined, is_compiled, kernel

Array = NDArray[np.float64]

# What `march` returns.
REACHED, CROSSED, BUFFER_FULL, FAILED = 0, 1, 2, 3

# Rows of `vectors`, one column for each state.
STATE, SLOPE, SLOPE_2, SLOPE_3, SLOPE_NEXT, STATE_NEXT, STATE_PROBE, SLOPE_PROBE, TOLERANCE = range(9)
# Rows of `readings`, one column for each reading.
NOW, NEXT, PROBE, LOWEST, LOWEST_AT, HIGHEST, HIGHEST_AT = range(7)
# Columns of `guards`, one row for each armed guard in declared order.
READING, THRESHOLD, DIRECTION, BEYOND, FLAGGED = range(5)
# Places in `clock`.
TIME, STEP, LAST_ERROR, NEXT_ROW, ROWS_USED, STEPS, REJECTED, CALLS = range(8)
# Places in `limits`.
RELATIVE, CAP, SMALLEST, EVERY, WIDTH = range(5)

_SAFETY, _LEAST, _MOST = 0.9, 0.2, 5.0


@kernel
def _error_of_step(h: float, relative: float, vectors: Array) -> float:
    """Return the largest error of a step as a share of its tolerance; not a number if any state is."""
    worst = 0.0
    poison = 0.0
    for i in range(vectors.shape[1]):
        poison += 0.0 * vectors[STATE_NEXT, i] + 0.0 * vectors[SLOPE_NEXT, i]
        error = h * (
            -5.0 / 72.0 * vectors[SLOPE, i]
            + 1.0 / 12.0 * vectors[SLOPE_2, i]
            + 1.0 / 9.0 * vectors[SLOPE_3, i]
            - 1.0 / 8.0 * vectors[SLOPE_NEXT, i]
        )
        size = max(abs(vectors[STATE, i]), abs(vectors[STATE_NEXT, i]))
        worst = max(worst, abs(error) / (vectors[TOLERANCE, i] + relative * size))
    return worst + poison


@kernel
def _interpolate(s: float, h: float, vectors: Array) -> None:
    """Put the state at share s of the step into STATE_PROBE: cubic Hermite."""
    r = 1.0 - s
    from_state, to_state = r * r * (1.0 + 2.0 * s), s * s * (3.0 - 2.0 * s)
    from_slope, to_slope = h * s * r * r, -h * s * s * r
    for i in range(vectors.shape[1]):
        vectors[STATE_PROBE, i] = (
            from_state * vectors[STATE, i]
            + to_state * vectors[STATE_NEXT, i]
            + from_slope * vectors[SLOPE, i]
            + to_slope * vectors[SLOPE_NEXT, i]
        )


@kernel
def _any_crossed(guards: Array, values: Array) -> bool:
    """Tell whether a guard that was not beyond its threshold is so with these readings."""
    for g in range(guards.shape[0]):
        excess = values[int(guards[g, READING])] - guards[g, THRESHOLD]
        if guards[g, BEYOND] == 0.0 and guards[g, DIRECTION] * excess > 0.0:
            return True
    return False


@kernel
def _note_sides(guards: Array, values: Array) -> bool:
    """Flag the guards that these readings have newly taken beyond, and remember every side."""
    any_flagged = False
    for g in range(guards.shape[0]):
        excess = values[int(guards[g, READING])] - guards[g, THRESHOLD]
        beyond = guards[g, DIRECTION] * excess > 0.0
        flagged = beyond and guards[g, BEYOND] == 0.0
        guards[g, BEYOND] = 1.0 if beyond else 0.0
        guards[g, FLAGGED] = 1.0 if flagged else 0.0
        any_flagged = any_flagged or flagged
    return any_flagged


@kernel
def _note_extremes(t: float, readings: Array) -> None:
    """Keep the lowest and highest value of each reading and when it first was so."""
    for q in range(readings.shape[1]):
        value = readings[NOW, q]
        if not value >= readings[LOWEST, q]:
            readings[LOWEST, q] = value
            readings[LOWEST_AT, q] = t
        if not value <= readings[HIGHEST, q]:
            readings[HIGHEST, q] = value
            readings[HIGHEST_AT, q] = t


@kernel
def _take(state_row: int, slope_row: int, readings_row: int, vectors: Array, readings: Array) -> None:
    """Make a computed state the present one."""
    for i in range(vectors.shape[1]):
        vectors[STATE, i] = vectors[state_row, i]
        vectors[SLOPE, i] = vectors[slope_row, i]
    for q in range(readings.shape[1]):
        readings[NOW, q] = readings[readings_row, q]


@kernel
def _shrink(error: float) -> float:
    """Return by how much to shorten a rejected step, from its error as a share of the tolerance."""
    if not error <= 1.0e12:
        return _LEAST
    return float(max(_LEAST, _SAFETY * error ** (-1.0 / 3.0)))


@kernel
def _stretch(error: float, last_error: float) -> float:
    """Return by how much to change the step after an accepted one.

    Notes: proportional-integral control (Gustafsson, ACM Trans. Math. Softw. 17 (1991) 533-554): the
    memory of the last error keeps the step calm when stability limits it, not accuracy.
    """
    factor = _SAFETY * max(error, 1.0e-9) ** (-0.7 / 3.0) * max(last_error, 1.0e-3) ** (0.4 / 3.0)
    return float(min(_MOST, max(_LEAST, factor)))


@kernel
def _rows_due(t_stop: float, clock: Array, limits: Array) -> int:
    """Return how many recorded rows are due up to a time."""
    if limits[EVERY] <= 0.0:
        return 0
    count = 0
    while (clock[NEXT_ROW] + count) * limits[EVERY] <= t_stop:
        count += 1
    return count


@kernel
def _write_row(t: float, values: Array, clock: Array, rows: Array) -> None:
    """Append one row."""
    row = int(clock[ROWS_USED])
    rows[row, 0] = t
    for q in range(values.shape[0]):
        rows[row, q + 1] = values[q]
    clock[ROWS_USED] += 1.0
    clock[NEXT_ROW] += 1.0


def rates(t: float, state: Array, plant: Any, settings: Any, derivative: Array, readings: Array) -> None:
    """Hold the place of the equations; `march_for` copies the functions below with a kernel here."""
    raise TypeError("the march is not bound to equations: use march_for")


def _probe(
    s: float, t: float, h: float, clock: Array, vectors: Array, readings: Array, plant: Any, settings: Any
) -> None:
    """Evaluate the equations at share s of the step."""
    _interpolate(s, h, vectors)
    rates(t + s * h, vectors[STATE_PROBE], plant, settings, vectors[SLOPE_PROBE], readings[PROBE])
    clock[CALLS] += 1.0


def _try_step(
    t_next: float, h: float, clock: Array, vectors: Array, readings: Array, plant: Any, settings: Any
) -> None:
    """Compute a step of length h from the stored state: STATE_NEXT, its slope and its readings."""
    count = vectors.shape[1]
    probe = vectors[STATE_PROBE]
    for i in range(count):
        probe[i] = vectors[STATE, i] + 0.5 * h * vectors[SLOPE, i]
    rates(clock[TIME] + 0.5 * h, probe, plant, settings, vectors[SLOPE_2], readings[PROBE])
    for i in range(count):
        probe[i] = vectors[STATE, i] + 0.75 * h * vectors[SLOPE_2, i]
    rates(clock[TIME] + 0.75 * h, probe, plant, settings, vectors[SLOPE_3], readings[PROBE])
    for i in range(count):
        vectors[STATE_NEXT, i] = vectors[STATE, i] + h * (
            2.0 / 9.0 * vectors[SLOPE, i] + 1.0 / 3.0 * vectors[SLOPE_2, i] + 4.0 / 9.0 * vectors[SLOPE_3, i]
        )
    rates(t_next, vectors[STATE_NEXT], plant, settings, vectors[SLOPE_NEXT], readings[NEXT])
    clock[CALLS] += 3.0


def _locate(
    t_next: float,
    h: float,
    clock: Array,
    limits: Array,
    vectors: Array,
    readings: Array,
    guards: Array,
    plant: Any,
    settings: Any,
) -> float:
    """Return when the first guard crosses in this step: the far end of a bracket of width WIDTH.

    The search halves the bracket on "has any guard crossed", so several guards need no care, and
    stops on the bracket's width: a stop on the readings would depend on how steep they are.
    """
    low, high = clock[TIME], t_next
    while high - low > limits[WIDTH]:
        middle = 0.5 * (low + high)
        if not low < middle < high:
            break
        _probe((middle - clock[TIME]) / h, clock[TIME], h, clock, vectors, readings, plant, settings)
        if _any_crossed(guards, readings[PROBE]):
            high = middle
        else:
            low = middle
    return high


def _record(
    t_stop: float,
    t_next: float,
    h: float,
    clock: Array,
    limits: Array,
    vectors: Array,
    readings: Array,
    rows: Array,
    plant: Any,
    settings: Any,
) -> None:
    """Append the rows due in this step up to t_stop."""
    while clock[NEXT_ROW] * limits[EVERY] <= t_stop:
        row_time = clock[NEXT_ROW] * limits[EVERY]
        if row_time <= clock[TIME]:
            _write_row(row_time, readings[NOW], clock, rows)
        elif row_time == t_next:
            _write_row(row_time, readings[NEXT], clock, rows)
        else:
            _probe((row_time - clock[TIME]) / h, clock[TIME], h, clock, vectors, readings, plant, settings)
            _write_row(row_time, readings[PROBE], clock, rows)


def march(
    t_end: float,
    clock: Array,
    limits: Array,
    vectors: Array,
    readings: Array,
    guards: Array,
    rows: Array,
    plant: Any,
    settings: Any,
) -> int:
    """March to t_end or to the first crossing before or at it, whichever comes first.

    Parameters: t_end [s], equal to clock[TIME] to evaluate slope, readings and guards anew after a
    change without marching; the arrays as laid out at the top of this file, all changed in place.
    Returns: REACHED; CROSSED, with the guards flagged; BUFFER_FULL, to be called again with more
    rows, nothing lost; FAILED, when the smallest step still misses the tolerance or gives no number.
    """
    if t_end <= clock[TIME]:
        rates(clock[TIME], vectors[STATE], plant, settings, vectors[SLOPE], readings[NOW])
        clock[CALLS] += 1.0
        _note_extremes(clock[TIME], readings)
        return CROSSED if _note_sides(guards, readings[NOW]) else REACHED
    rejected = False
    while clock[TIME] < t_end:
        wanted = clock[STEP]
        h = wanted
        t_next = clock[TIME] + h
        # A hair's breadth before the end would be left for one more tiny step: take it along.
        if t_next >= t_end - 1.0e-9 * h:
            h = t_end - clock[TIME]
            t_next = t_end
        if clock[ROWS_USED] + _rows_due(t_next, clock, limits) > rows.shape[0]:
            return BUFFER_FULL
        _try_step(t_next, h, clock, vectors, readings, plant, settings)
        error = _error_of_step(h, limits[RELATIVE], vectors)
        if not error <= 1.0:  # also when it is not a number
            clock[REJECTED] += 1.0
            clock[STEP] = h * _shrink(error)
            if clock[STEP] < limits[SMALLEST] or clock[TIME] + clock[STEP] <= clock[TIME]:
                return FAILED
            rejected = True
            continue
        t_stop = t_next
        if _any_crossed(guards, readings[NEXT]):
            t_stop = _locate(t_next, h, clock, limits, vectors, readings, guards, plant, settings)
        if limits[EVERY] > 0.0:
            _record(t_stop, t_next, h, clock, limits, vectors, readings, rows, plant, settings)
        if t_stop < t_next:
            _probe((t_stop - clock[TIME]) / h, clock[TIME], h, clock, vectors, readings, plant, settings)
            _take(STATE_PROBE, SLOPE_PROBE, PROBE, vectors, readings)
        else:
            _take(STATE_NEXT, SLOPE_NEXT, NEXT, vectors, readings)
        clock[TIME] = t_stop
        clock[STEPS] += 1.0
        _note_extremes(t_stop, readings)
        factor = _stretch(error, clock[LAST_ERROR])
        proposed = h * (min(factor, 1.0) if rejected else factor)
        if h < wanted:  # cut short by t_end, which says nothing against the longer step
            proposed = max(proposed, wanted)
        else:
            clock[LAST_ERROR] = error
        clock[STEP] = min(proposed, limits[CAP])
        rejected = False
        if _note_sides(guards, readings[NOW]):
            return CROSSED
    return REACHED


def _as_compiled(rates: Callable[..., None]) -> Callable[..., None]:
    """Let plain equations answer a hopeless trial state as compiled ones do: with no number."""

    def answer(t: float, state: Array, plant: Any, settings: Any, derivative: Array, readings: Array) -> None:
        try:
            rates(t, state, plant, settings, derivative, readings)
        except (ArithmeticError, ValueError):
            derivative[:] = math.nan

    return answer


def march_for(rates: Callable[..., None], name: str) -> Callable[..., int]:
    """Bind the march to one set of equations.

    Parameters: rates, a kernel (see the top of this file); name, a word that tells it apart.
    Returns: a function like `march`, compiled if kernels are.
    Notes: numba cannot keep compiled code that takes a function as an argument; so the functions
    above are copied with the kernel among their globals. The copies' names carry a digest of the
    kernel's file, since numba's cache looks at the copied function only.
    """
    plain = getattr(rates, "py_func", rates)
    try:
        source = inspect.getsource(inspect.getmodule(plain) or plain).encode()
    except (OSError, TypeError):
        source = plain.__code__.co_code
    ending = f"{name}_{hashlib.sha256(source).hexdigest()[:8]}"
    names: dict[str, Any] = {**globals(), "rates": rates if is_compiled() else _as_compiled(rates)}
    for function in (_probe, _try_step, _locate, _record, march):
        decorate = kernel if function is march else inlined
        bound = FunctionType(function.__code__, names, function.__name__)
        bound.__qualname__ = f"{function.__name__}_{ending}"
        bound.__module__ = __name__
        bound.__doc__ = function.__doc__
        names[function.__name__] = decorate(bound)
    bound_march: Callable[..., int] = names["march"]
    return bound_march if is_compiled() else np.errstate(all="ignore")(bound_march)
