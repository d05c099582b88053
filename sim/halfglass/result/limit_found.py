"""What a search for the edge of a criterion found. Plain frozen values."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Span = tuple[float, float]
"""From one value to another [SI], both included."""


@dataclass(frozen=True)
class Edge:
    """A change of the answer between two values [SI] that were both run; `holds_below` tells which way."""

    below: float
    above: float
    holds_below: bool

    @property
    def safe(self) -> float:
        """The value of the two at which the criterion held."""
        return self.below if self.holds_below else self.above


@dataclass(frozen=True)
class Limit:
    """All edges for one drawn day, every value tried with its answer in rising order, and the scan's step."""

    seed: int
    edges: tuple[Edge, ...]
    tried: tuple[tuple[float, bool], ...]
    step: float
    unfinished: tuple[float, ...] = ()  # values at which it held, but the boat did not arrive

    @property
    def runs(self) -> int:
        """Days that were run."""
        return len(self.tried)

    @property
    def spans(self) -> tuple[Span, ...]:
        """Where the criterion held, as far as it was looked for.

        >>> tried = ((0.0, True), (1.0, False))
        >>> Limit(0, (Edge(0.3, 0.4, True), Edge(0.7, 0.8, False)), tried, 0.1).spans
        ((0.0, 0.3), (0.8, 1.0))
        """
        start = self.tried[0][0] if self.tried[0][1] else None
        found: list[Span] = []
        for edge in self.edges:
            if start is not None:
                found.append((start, edge.below))
            start = None if edge.holds_below else edge.above
        return (*found, (start, self.tried[-1][0])) if start is not None else tuple(found)


def answers(limits: Sequence[Limit]) -> tuple[Array, NDArray[np.bool_]]:
    """What every day says: values [SI], rising, and whether it held there (a row a value, a column a day).

    The values are those at which an answer changes, and the middles between.
    """
    ends = {end for one in limits for span in one.spans for end in span}
    marks = np.array(sorted(ends | {limits[0].tried[0][0], limits[0].tried[-1][0]}))
    at = np.unique(np.concatenate((marks, 0.5 * (marks[1:] + marks[:-1]))))
    held = [np.any([(a <= at) & (at <= b) for a, b in one.spans] or [at < at], axis=0) for one in limits]
    return at, np.column_stack(held)


@dataclass(frozen=True)
class LimitAnswer:
    """The edges of a criterion over one number of a day, on one day or on many drawn ones.

    `held` is where it held on at least `share` (0-1) of the days; `firm` the interval of 90 % confidence of
    the one end of that, if it has one within the range. `kind` and `unit` are those of the number.
    """

    title: str
    plan: str
    key: str
    kind: str
    unit: str
    words: str
    low: float
    high: float
    share: float
    limits: tuple[Limit, ...]
    failed: int  # days drawn together that do not go together, or that the model could not finish
    held: tuple[Span, ...]
    firm: Span | None
    uncertain: tuple[tuple[str, str], ...]
    provenance: Mapping[str, object]

    @property
    def runs(self) -> int:
        """Days that were run."""
        return sum(limit.runs for limit in self.limits)
