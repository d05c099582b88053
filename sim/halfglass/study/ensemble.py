"""Whole days with their crew, one after another, each boiled down to a row: the work of a spread."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfglass.day.outing import Day
from halfglass.day.record import columns, marks_of
from halfglass.plant.marcher import ChatterError, MarchFailedError
from halfglass.result import limits
from halfglass.result.records import Severity, Subject
from halfglass.result.spread_records import BANDS
from halfglass.result.verdict import critical_items
from halfglass.scenario.day_checks import conflicts
from halfglass.scenario.day_models import Scenario
from halfglass.scenario.uncertain import Spread, with_values
from halfglass.study.sampling import values

Array = NDArray[np.float64]
Part = dict[str, NDArray[np.generic]]
"""Rows of some days by column: numbers (day), times of items (day, item), bands (day, time), words (day)."""

GRID = 200
"""Points of time kept of each reading."""
FAILED = "failed"
"""Outcome of a day the model itself could not finish."""
_ROWS: tuple[limits.Limit | limits.Condition, ...] = (*limits.LIMITS, *limits.CONDITIONS)
ITEMS: tuple[tuple[Subject, str, Severity], ...] = tuple((r.subject, r.item, r.severity) for r in _ROWS)
"""Every critical item there is, in the order of its column."""
NUMBERS = ("lowest_glass", "lowest_pressure", "highest_pressure", "fuel_left", "arrival", "ended_at")


@dataclass(frozen=True)
class Task:
    """Some days of one plan, for one worker: `first` is the number of the first of them."""

    plan: int
    first: int
    day: Scenario
    spreads: tuple[Spread, ...]
    points: Array
    seeds: tuple[int, ...]
    horizon: float  # s, end of the grid of time

    @property
    def last(self) -> int:
        """Number of the day after the last."""
        return self.first + len(self.seeds)


def work(task: Task) -> tuple[int, int, Part]:
    """Run the days of a task; returns its plan, its first day and the rows."""
    grid = np.linspace(0.0, task.horizon, GRID)
    rows = []
    for point, seed in zip(task.points, task.seeds, strict=True):
        drawn = with_values(task.day, values(task.spreads, point))
        rows.append(row(drawn, seed, grid))
    return task.plan, task.first, {name: np.stack([one[name] for one in rows]) for name in rows[0]}


def row(scenario: Scenario, seed: int, grid: Array) -> Part:
    """One day as a row. A day that draws together what does not go together, or fails, says so."""
    if any(conflicts(scenario.model_copy(update={"uncertain": ()}))):
        return _failed(FAILED, grid)
    day = Day(scenario, seed)
    try:
        day.run()
    except (MarchFailedError, ChatterError):
        return _failed(FAILED, grid)
    assert day.outcome is not None
    readings, marks = columns(day), marks_of(day, "")
    time = readings["time"]
    lit = _within(readings, "glass_fraction", limits.LIT.spans(day.entries, time[-1]))
    steaming = _within(readings, "boiler_pressure", limits.STEAMING.spans(day.entries, time[-1]))
    arrived = day.outcome.at if day.outcome.kind == "arrived" else np.nan
    numbers = (
        np.min(lit, initial=np.inf), np.min(steaming, initial=np.inf), np.max(steaming, initial=-np.inf),
        readings["fuel_on_board"][-1], arrived, day.outcome.at,
    )  # fmt: skip
    made = _numbers(numbers) | {"outcome": np.array(day.outcome.kind, dtype="U40")}
    first, worst = np.full(len(ITEMS), np.nan), np.full(len(ITEMS), np.nan)
    for item in critical_items(readings, day.entries, marks, day.fault_at):
        place = ITEMS.index((item.subject, item.item, item.severity))
        first[place], worst[place] = item.first_at, item.worst
    bands = {name: _on_grid(time, readings[name], grid) for name in BANDS}
    return made | {"first_at": first, "worst": worst} | bands


def _numbers(numbers: Iterable[float]) -> Part:
    """Numbers by name; what no row gave is not a number."""
    told = (value if np.isfinite(value) else np.nan for value in numbers)
    return {name: np.array(value, dtype=float) for name, value in zip(NUMBERS, told, strict=True)}


def _failed(outcome: str, grid: Array) -> Part:
    nothing = np.full(len(ITEMS), np.nan)
    bands = {name: np.full(grid.size, np.nan, dtype=np.float32) for name in BANDS}
    unknown = _numbers([np.nan] * len(NUMBERS))
    return {
        **unknown,
        "outcome": np.array(outcome, dtype="U40"),
        "first_at": nothing,
        "worst": nothing,
        **bands,
    }


def _within(readings: dict[str, Array], name: str, spans: Sequence[tuple[float, float]]) -> Array:
    """Values of a reading within some spans of time."""
    time = readings["time"]
    inside = np.zeros(time.size, dtype=bool)
    for begin, end in spans:
        inside |= (time >= begin) & (time <= end)
    return readings[name][inside]


def _on_grid(time: Array, value: Array, grid: Array) -> NDArray[np.float32]:
    """A reading on the common grid; not a number once the day is over."""
    return np.interp(grid, time, value, right=np.nan).astype(np.float32)
