"""The records a spread leaves behind: many days of one scenario under each plan. Plain frozen values, SI."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from halfglass.result.records import Severity, Subject

Array = NDArray[np.float64]

LEVEL = 0.90
"""Confidence of every interval stated."""
QUANTILES = (0.05, 0.25, 0.50, 0.75, 0.95)
"""What bands and tables show of a spread."""


@dataclass(frozen=True)
class Chance:
    """How often a limit was crossed, between `low` and `high` with confidence `LEVEL`, and when first.

    `first_at` holds the times [s since lighting up] of the days that crossed it, in order.
    """

    subject: Subject
    item: str
    severity: Severity
    days: int
    of: int
    low: float
    high: float
    first_at: Array

    @property
    def share(self) -> float:
        """Share of the days (0-1) on which it was crossed."""
        return self.days / self.of


@dataclass(frozen=True)
class Driver:
    """How far one uncertain key goes with one answer.

    `rank_correlation` -1 to 1, None for the crew, whose draws have no order; it `is_clear` if its interval
    leaves out nought. `first_order` and `total` are Sobol indices, None unless the sampling allows them.
    """

    key: str
    answer: str
    rank_correlation: float | None
    is_clear: bool
    first_order: float | None = None
    total: float | None = None


@dataclass(frozen=True)
class Band:
    """One reading over time: a row of values for each of `QUANTILES`, and how many days still go on."""

    quantity: str
    time: Array  # [s]
    rows: Array  # (quantile, time); not a number once no day goes on
    going: Array


@dataclass(frozen=True)
class PlanSpread:
    """All days under one plan."""

    name: str
    days: int
    failed: int  # days the model itself could not finish: in no figure
    outcomes: Mapping[str, int]  # by kind, the commonest first
    answers: Mapping[str, Array]  # a value of each of `QUANTILES`, by answer
    chances: tuple[Chance, ...]  # the gravest first
    drivers: tuple[Driver, ...]  # by answer, the strongest first
    bands: tuple[Band, ...]


@dataclass(frozen=True)
class Difference:
    """How much likelier an item, or how much more of an answer, under `plan` than under `other`.

    From the same days under both: `value` is a difference of shares or a mean difference [SI].
    """

    plan: str
    other: str
    what: str
    quantity: str | None  # reading or kind whose unit it has; None for a share
    value: float
    low: float
    high: float

    @property
    def is_clear(self) -> bool:
        """Whether the interval leaves out nought."""
        return self.low > 0.0 or self.high < 0.0


@dataclass(frozen=True)
class SpreadResult:
    """The answer of `spread`."""

    title: str
    started: datetime
    units: str
    sampling: str
    members: int  # days drawn, under every plan the same
    seed: int
    uncertain: tuple[tuple[str, str], ...]  # key, and its spread in words
    plans: tuple[PlanSpread, ...]
    differences: tuple[Difference, ...]
    notes: tuple[str, ...]
    provenance: Mapping[str, object]


ANSWERS: Mapping[str, tuple[str, str]] = {
    "lowest_glass": ("lowest glass", "glass_fraction"),
    "lowest_pressure": ("lowest pressure under way", "boiler_pressure"),
    "highest_pressure": ("highest pressure under way", "boiler_pressure"),
    "fuel_left": ("fuel left", "fuel_on_board"),
    "arrival": ("arrival", "time"),
}
"""Each answer of a day: what it is called, and the reading in whose unit it is shown. Arrival is a moment."""
BANDS = ("glass_fraction", "boiler_pressure", "fuel_on_board", "hotwell_mass")
"""Readings kept over time."""
