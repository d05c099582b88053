"""The marcher: owns state, buffers and guards, and moves one march through time."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import numpy as np

from halfglass.plant import march as m
from halfglass.plant.march import Array, march_for

__all__ = ["ChatterError", "Counters", "MarchFailedError", "Marcher", "march_for"]

_FIRST_ROWS = 1024
_RESTART_STEP = 0.25  # s, the step after a change
_CHATTER_COUNT = 50
_CHATTER_TIME = 1.0  # s


class MarchFailedError(RuntimeError):
    """The equations gave no number, or no step was small enough for the tolerance."""


class ChatterError(RuntimeError):
    """A guard was crossed again and again in no time: the model lacks a mode, or a dead band."""


class Counters(NamedTuple):
    """The work done so far."""

    steps: int
    rejected: int
    rates_calls: int


class Marcher:
    """Moves a state through time, stopping at times asked for and at crossings of guards.

    Parameters: march, from `march_for`; state, start values; plant and settings, handed on to the
    equations; reading_names, one for each reading; absolute_tolerance, one for each state, in its
    unit, more than 0 (infinite: not controlled); relative_tolerance; step_cap [s]; record_every [s], 0 for no
    rows; crossing_width [s], how closely crossings are located; start [s]; state_names, for
    messages.
    Notes: `state` may be written to and `settings` replaced between advances; then call `changed`.
    """

    def __init__(
        self,
        march: Callable[..., int],
        state: Array,
        plant: Any,
        settings: Any,
        reading_names: Sequence[str],
        absolute_tolerance: Array,
        *,
        relative_tolerance: float = 1.0e-5,
        step_cap: float = 2.0,
        record_every: float = 0.0,
        crossing_width: float = 1.0e-4,
        smallest_step: float = 1.0e-9,
        start: float = 0.0,
        state_names: Sequence[str] = (),
    ) -> None:
        self.plant = plant
        self.settings = settings
        self.reading_names = tuple(reading_names)
        self.state_names = tuple(state_names) or tuple(f"state {i}" for i in range(len(state)))
        self._march = march
        self._vectors = np.zeros((9, len(state)))
        self._vectors[m.STATE] = state
        self._vectors[m.TOLERANCE] = absolute_tolerance
        loose = np.flatnonzero(~(self._vectors[m.TOLERANCE] > 0.0))
        if loose.size:  # below nothing would take a state out of the control of the step, unnoticed
            raise ValueError(f"no tolerance for {', '.join(self.state_names[i] for i in loose)}")
        self._readings = np.full((7, len(self.reading_names)), math.nan)
        self._limits = np.array(
            [relative_tolerance, step_cap, smallest_step, record_every, crossing_width], dtype=np.float64
        )
        self._clock = np.zeros(8)
        self._clock[m.TIME] = start
        self._clock[m.STEP] = min(_RESTART_STEP, step_cap)
        if record_every > 0.0:
            self._clock[m.NEXT_ROW] = math.ceil(start / record_every)
        self._rows = np.zeros((_FIRST_ROWS, len(self.reading_names) + 1))
        self._guards = np.zeros((0, 5))
        self._ids: list[int] = []
        self._marks: set[int] = set()
        self._next_id = 0
        self._crossing_times: dict[int, deque[float]] = {}
        self.extra_rows: list[Array] = []  # before and after each change from outside, and as asked for
        self.state: Array = self._vectors[m.STATE]
        self.readings = self._look_at(m.NOW)
        self.lowest, self.lowest_at = self._look_at(m.LOWEST), self._look_at(m.LOWEST_AT)
        self.highest, self.highest_at = self._look_at(m.HIGHEST), self._look_at(m.HIGHEST_AT)
        self.changed()

    def _look_at(self, row: int) -> Array:
        """Return a live view of one row of the readings that cannot be written to."""
        view: Array = self._readings[row]
        view.flags.writeable = False
        return view

    @property
    def time(self) -> float:
        """The present time [s]."""
        return float(self._clock[m.TIME])

    @property
    def counters(self) -> Counters:
        """Steps taken, steps rejected, calls of the equations."""
        return Counters(*(int(self._clock[i]) for i in (m.STEPS, m.REJECTED, m.CALLS)))

    def advance(self, until: float) -> tuple[int, ...]:
        """Go on to a time, or to the first crossing before or at it.

        Parameters: until [s], not before the present time.
        Returns: the guards crossed, in the order they were armed; () when `until` was reached, and
        then `time` is exactly `until`.
        """
        if not until >= self._clock[m.TIME]:
            raise ValueError(f"cannot go back from {self.time} s to {until} s")
        if until == self._clock[m.TIME]:
            return ()
        status = self._call(float(until))
        while status == m.BUFFER_FULL:
            self._rows = np.concatenate((self._rows, np.zeros_like(self._rows)))
            status = self._call(float(until))
        if status == m.FAILED:
            raise MarchFailedError(self._failure())
        return self._crossed() if status == m.CROSSED else ()

    def changed(self) -> tuple[int, ...]:
        """Take note that state, plant or settings were changed from outside.

        Returns: the guards that the change itself took beyond their thresholds; they are not
        reported again until they have been back.
        """
        self._clock[m.STEP] = min(self._clock[m.STEP], _RESTART_STEP)
        self._clock[m.LAST_ERROR] = 1.0
        before = self.readings.copy()
        status = self._call(self.time)
        self._record_change(before)
        return self._crossed() if status == m.CROSSED else ()

    def _record_change(self, before: Array) -> None:
        """Add a row either side of a change of the readings."""
        is_recorded = self._limits[m.EVERY] > 0.0 and bool(np.isfinite(before[0]))
        if is_recorded and not np.array_equal(before, self.readings):
            self.extra_rows += [np.append(self.time, before), np.append(self.time, self.readings)]

    def mark(self) -> tuple[Array, int]:
        """Return what `as_one` wants: how all stood before a change."""
        return self._readings.copy(), len(self.extra_rows)

    def as_one(self, since: tuple[Array, int]) -> None:
        """Count all changes since a mark as one: what stood between them is in no row and no extreme.

        Parameters: since, a mark of the present time. Only changes of settings that crossed no guard.
        """
        before, rows = since
        self._readings[:] = before  # what is solved for starts from what stood before
        self._call(self.time)
        del self.extra_rows[rows:]
        self._record_change(before[m.NOW])

    def arm(
        self, reading: int, threshold: float, direction: int, *, is_mark: bool = False
    ) -> tuple[int, bool]:
        """Set a guard on a reading.

        Parameters: reading, its index; threshold, in its unit; direction, +1 to stop when it rises
        above, -1 when it falls below; is_mark, nothing hangs on it, so it is no error if it chatters, as it
        may while a reading stays at it: it is taken away then.
        Returns: the guard's number, and whether it is already so (then it is reported here only,
        and by `advance` when it has been back and crosses again).
        """
        if direction not in (1, -1) or not 0 <= reading < len(self.reading_names):
            raise ValueError(f"no guard on reading {reading} in direction {direction}")
        already = bool(direction * (self.readings[reading] - threshold) > 0.0)
        row = np.array([[reading, threshold, direction, already, 0.0]], dtype=np.float64)
        self._guards = np.concatenate((self._guards, row))
        self._ids.append(self._next_id)
        if is_mark:
            self._marks.add(self._next_id)
        self._next_id += 1
        return self._ids[-1], already

    def disarm(self, guard: int) -> None:
        """Take a guard away."""
        place = self._ids.index(guard)
        del self._ids[place]
        self._guards = np.delete(self._guards, place, axis=0)
        self._crossing_times.pop(guard, None)

    def rows(self) -> Array:
        """Return the rows recorded so far: time [s], then each reading."""
        return self._rows[: int(self._clock[m.ROWS_USED])].copy()

    def snapshot(self) -> None:
        """Add a row at the present time: what stands in the readings now."""
        self.extra_rows.append(np.append(self.time, self.readings))

    def _call(self, until: float) -> int:
        """Call the march with everything owned here."""
        return self._march(
            until,
            self._clock,
            self._limits,
            self._vectors,
            self._readings,
            self._guards,
            self._rows,
            self.plant,
            self.settings,
        )

    def _crossed(self) -> tuple[int, ...]:
        """Return the flagged guards, refusing those that chatter."""
        crossed = tuple(self._ids[place] for place in np.flatnonzero(self._guards[:, m.FLAGGED]))
        for guard in crossed:
            times = self._crossing_times.setdefault(guard, deque(maxlen=_CHATTER_COUNT + 1))
            times.append(self.time)
            if len(times) <= _CHATTER_COUNT or self.time - times[0] > _CHATTER_TIME:
                continue
            if guard not in self._marks:
                raise ChatterError(self._chatter(guard))
            self.disarm(guard)
        return crossed

    def _chatter(self, guard: int) -> str:
        """Say which guard chatters."""
        row = self._guards[self._ids.index(guard)]
        return (
            f"{self.reading_names[int(row[m.READING])]} crossed {row[m.THRESHOLD]:g} more than "
            f"{_CHATTER_COUNT} times within {_CHATTER_TIME:g} s, up to {self.time:.6g} s"
        )

    def _failure(self) -> str:
        """Say where the march failed and in which state."""
        known = np.isfinite(self._vectors[[m.STATE_NEXT, m.SLOPE_NEXT]]).all(axis=0)
        wrong = [self.state_names[i] for i in np.flatnonzero(~known)]
        what = f"no number for {', '.join(wrong)}" if wrong else "no step is small enough for the tolerance"
        return f"the march stopped at {self.time:.6g} s: {what}"
