"""The answer of `fit`: frozen records of what a log says of a boat, and the object `--json` prints."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import numpy as np
from numpy.typing import NDArray

from halfglass.result import shown
from halfglass.result.clock import stamp

Array = NDArray[np.float64]
SCHEMA_VERSION = 1
CONFIDENCE = 0.90
TOGETHER = 0.8
"""Correlation from which two numbers are said to be told only together (judgement)."""


@dataclass(frozen=True)
class FittedNumber:
    """One number of the boat. Values in SI; `show` tells one with its unit.

    `written` in the boat file; `value` found, with the ends of its 90 % interval `low` and `high`; taken
    beforehand to be from `least` to `most`, with nine chances of ten. One that is not `is_told` stands as
    written, and `why` says why.
    """

    key: str
    about: str
    unit: str
    written: float
    value: float
    low: float
    high: float
    least: float
    most: float
    is_told: bool
    why: str
    texts: Mapping[str, str]  # the values above by field, as one would write them in a boat file


@dataclass(frozen=True)
class Series:
    """One quantity of the log: what was read, and what the boat as written and as fitted would have shown.

    `is_fitted` and `is_held` say of each reading whether it was fitted to, or held back to check by; one that
    is neither was left out. All in SI.
    """

    quantity: str
    time: Array
    read: Array
    before: Array
    after: Array
    is_fitted: NDArray[np.bool_]
    is_held: NDArray[np.bool_]
    noise: float
    lasting: float

    def miss(self, which: str, held: bool) -> float:
        """Root mean square of what the model misses by; nan without readings.

        Parameters: which, "before" or "after"; held, of the readings held back or of those fitted to.
        """
        chosen = self.is_held if held else self.is_fitted
        error = (self.before if which == "before" else self.after)[chosen] - self.read[chosen]
        return float(np.sqrt(np.mean(error**2))) if error.size else math.nan


@dataclass(frozen=True)
class FitResult:
    """What `fit` found. Readings from `held_from` [s] on were held back; `boat` is the new file's text."""

    title: str
    log_name: str
    started: datetime
    units: str
    numbers: tuple[FittedNumber, ...]
    series: tuple[Series, ...]
    correlation: Array
    strength: Array
    directions: Array
    held_from: float
    ends: float
    boat_name: str
    boat: str
    runs: int
    notes: tuple[str, ...]
    provenance: Mapping[str, object]

    @property
    def together(self) -> tuple[tuple[str, str, float], ...]:
        """Pairs of numbers told only together: keys, and their correlation, the closest first."""
        found = [
            (one.key, other.key, float(self.correlation[i, j]))
            for i, one in enumerate(self.numbers)
            for j, other in enumerate(self.numbers[:i])
            if abs(self.correlation[i, j]) >= TOGETHER
        ]
        return tuple(sorted(found, key=lambda pair: -abs(pair[2])))

    def overall(self, which: str, held: bool) -> float:
        """What the model misses by in all, in units of each quantity's own noise: root mean square."""
        squares = [
            (one.miss(which, held) / one.noise) ** 2
            for one in self.series
            if math.isfinite(one.miss(which, held))
        ]
        return math.sqrt(sum(squares) / len(squares)) if squares else math.nan


def as_object(result: FitResult) -> dict[str, Any]:
    """The whole answer as one object, schema version 1. SI inside, units named; null where not known."""
    return {
        "schema_version": SCHEMA_VERSION,
        "scenario": result.title,
        "log": result.log_name,
        "held_back_from": stamp(result.started, result.held_from),
        "confidence": CONFIDENCE,
        "numbers": [_number_object(one) for one in result.numbers],
        "told_only_together": [
            {"key": one, "other": other, "correlation": how} for one, other, how in result.together
        ],
        "identifiability": {
            "keys": [one.key for one in result.numbers],
            "correlation": result.correlation.tolist(),
            "singular_values": result.strength.tolist(),
            "directions": result.directions.tolist(),
        },
        "readings": [_series_object(one) for one in result.series],
        "boat_file": result.boat_name,
        "notes": list(result.notes),
        "provenance": dict(result.provenance),
    }


def _number_object(one: FittedNumber) -> dict[str, Any]:
    values = ("written", "value", "low", "high", "least", "most")
    return {
        "key": one.key, "identifiable": one.is_told, "why_not": one.why or None,
        **{name: getattr(one, name) for name in values}, "as_written": dict(one.texts),
    }  # fmt: skip


def _series_object(one: Series) -> dict[str, Any]:
    misses = {
        f"{part}_{which}": (value if math.isfinite(value := one.miss(which, held)) else None)
        for part, held in (("fitted", False), ("held_back", True))
        for which in ("before", "after")
    }
    return {
        "quantity": one.quantity, "unit": shown.si_unit(one.quantity),
        "readings_fitted": int(one.is_fitted.sum()), "readings_held_back": int(one.is_held.sum()),
        "readings_left_out": int((~(one.is_fitted | one.is_held)).sum()), **misses,
        "noise": one.noise, "lasting": one.lasting,
    }  # fmt: skip
