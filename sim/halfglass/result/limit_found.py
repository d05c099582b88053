"""What a search for the edge of a criterion found. Plain frozen values."""

from __future__ import annotations

from dataclasses import dataclass


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
    """All edges for one seed, every value tried with its answer in rising order, and the scan's step."""

    seed: int
    edges: tuple[Edge, ...]
    tried: tuple[tuple[float, bool], ...]
    step: float
    unfinished: tuple[float, ...] = ()  # values at which it held, but the boat did not arrive

    @property
    def runs(self) -> int:
        """Days that were run."""
        return len(self.tried)
