"""Stretches of time: between two log events, and on the wrong side of a limit."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from halfglass.result.records import LogEntry

Array = NDArray[np.float64]


class Spell(NamedTuple):
    """From `start` to `end` [s], with the worst value met in between and when."""

    start: float
    end: float
    worst: float
    worst_at: float


def between(
    log: Iterable[LogEntry],
    begins: str,
    ends: str,
    last: float,
    open_at_start: bool = False,
    pauses: str | None = None,
) -> list[tuple[float, float]]:
    """Windows [s] from each `begins` event to its `ends` event; one still open ends at `last` [s].

    Begins that overlap (two tasks overdue at once) nest: the window closes with the last of them.
    An event `pauses` ends a window too. With `open_at_start` a log whose first such event is not a
    `begins` opens a window at second 0.
    """
    windows: list[tuple[float, float]] = []
    # at equal times the log's own order counts: begun and ended in one moment is closed
    told = [(e.time, e.event == begins) for e in log if e.event in (begins, ends, pauses)]
    marks = sorted(told, key=lambda mark: mark[0])
    depth = 1 if open_at_start and (not marks or not marks[0][1]) else 0
    start = 0.0
    for time, opens in marks:
        if opens:
            start = time if depth == 0 else start
            depth += 1
        elif depth:
            depth -= 1
            if depth == 0:
                windows.append((start, time))
    if depth:
        windows.append((start, max(last, start)))
    return windows


def cut(time: Array, value: Array, window: tuple[float, float]) -> tuple[Array, Array]:
    """The part of a reading inside a window, its ends filled in by straight lines."""
    start, end = max(window[0], time[0]), min(window[1], time[-1])
    if end <= start:
        return time[:0], value[:0]
    inside = (time >= start) & (time <= end)
    t, v = time[inside], value[inside]
    if not t.size or t[0] > start:
        t, v = np.insert(t, 0, start), np.insert(v, 0, np.interp(start, time, value))
    if t[-1] < end:
        t, v = np.append(t, end), np.append(v, np.interp(end, time, value))
    return t, v


def beyond(time: Array, value: Array, limit: float, below: bool) -> list[Spell]:
    """Every stretch a reading spends below (or above) `limit`.

    Between rows the reading is a straight line, so a row that lies exactly on the crossing makes the
    time exact. A reading that only touches the limit is not beyond it; NaN is never beyond.
    """
    past = (limit - value) if below else (value - limit)
    out = past > 0.0
    edges = np.flatnonzero(np.diff(np.concatenate(([False], out, [False])).astype(np.int8)))
    spells = []
    for first, after in zip(edges[::2], edges[1::2], strict=True):
        worst = first + int(np.argmax(past[first:after]))
        spells.append(
            Spell(
                _crossing(time, past, first - 1, first) if first else float(time[0]),
                _crossing(time, past, after, after - 1) if after < time.size else float(time[-1]),
                float(value[worst]),
                float(time[worst]),
            )
        )
    return spells


def _crossing(time: Array, past: Array, inside: int, outside: int) -> float:
    """Where the straight line from a row within the limit to a row beyond it crosses."""
    span = past[outside] - past[inside]
    if not np.isfinite(span):
        return float(time[outside])
    return float(time[inside] - past[inside] / span * (time[outside] - time[inside]))


def total(spells: Sequence[Spell]) -> float:
    """Length of all spells together [s]."""
    return float(sum(spell.end - spell.start for spell in spells))
