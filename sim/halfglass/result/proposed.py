"""What a search for a plan found: every candidate tried, the front between them, the plan proposed."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from halfglass.result.comparison import Row


@dataclass(frozen=True)
class LeverTold:
    """One thing that could be chosen: its key, what it is, its ends and the setting as written, in words."""

    key: str
    name: str
    lowest: str
    highest: str
    written: str
    settings: int  # how many there were


@dataclass(frozen=True)
class DayTried:
    """One day of one candidate.

    `arrival` [s] is not a number for a day that did not arrive; `fuel` burnt [kg]; `margin`, the lowest glass
    above the bottom nut [share of the glass]; `shortfalls`, how far it fell short of each part of the limits
    (see `study.criteria`); `crossed`, the limits crossed, but those that are only watched.
    """

    outcome: str
    arrival: float
    fuel: float
    margin: float
    shortfalls: tuple[float, ...]
    crossed: tuple[str, ...] = ()

    @property
    def holds(self) -> bool:
        """Whether the day kept to the limits."""
        return not any(self.shortfalls)


@dataclass(frozen=True)
class Tried:
    """One candidate: the place of each lever, its settings in words, and its days, one a seed.

    A candidate that breaks a limit on one day is not tried on the others; one whose settings do not go
    together has no days.
    """

    number: int
    places: tuple[int, ...]
    settings: tuple[str, ...]
    days: tuple[DayTried, ...]

    @property
    def holds(self) -> bool:
        """Whether it kept to the limits on every day."""
        return bool(self.days) and all(day.holds for day in self.days)

    @property
    def shortfall(self) -> float:
        """How far it fell short of the limits on its worst day; without end if it could not be tried."""
        return max((sum(day.shortfalls) for day in self.days), default=math.inf)

    @property
    def arrival(self) -> float:
        """Mean time of arrival [s since lighting up]; not a number unless every day arrived."""
        return sum(day.arrival for day in self.days) / len(self.days) if self.days else math.nan

    @property
    def fuel(self) -> float:
        """Mean fuel burnt [kg]."""
        return sum(day.fuel for day in self.days) / len(self.days) if self.days else math.nan

    @property
    def margin(self) -> float:
        """Lowest glass above the bottom nut on the worst day [share of the glass]."""
        return min((day.margin for day in self.days), default=math.nan)


@dataclass(frozen=True)
class Check:
    """A candidate on further seeds, which had no part in finding it; on fewer if it was given up."""

    number: int
    days: tuple[DayTried, ...]

    @property
    def arrival(self) -> float:
        """Mean time of arrival [s] of the days that arrived; not a number if none did."""
        arrived = [day.arrival for day in self.days if math.isfinite(day.arrival)]
        return sum(arrived) / len(arrived) if arrived else math.nan

    @property
    def fuel(self) -> float:
        """Mean fuel burnt [kg]."""
        return sum(day.fuel for day in self.days) / len(self.days)

    @property
    def margin(self) -> float:
        """Lowest glass above the bottom nut of all days [share of the glass]."""
        return min(day.margin for day in self.days)

    @property
    def held(self) -> int:
        """On how many of the days it kept to the limits."""
        return sum(day.holds for day in self.days)

    @property
    def broke(self) -> tuple[int, ...]:
        """On how many days each part of the limits was not kept."""
        parts = zip(*(day.shortfalls for day in self.days), strict=True)
        return tuple(sum(short > 0.0 for short in part) for part in parts)


@dataclass(frozen=True)
class Proposal:
    """The answer of `propose`.

    `tried` has the plan as written first; `front` numbers the candidates within the limits that no other
    betters in time, fuel and margin at once, the soonest first; `chosen` is None if none kept to the limits,
    and `nearest` the one that came closest then. `checks` has the plan as written first. `at_ends` are the
    levers of the chosen plan that stand at an end of their range. `is_settled` tells whether every step of a
    single lever away from the chosen plan was tried and none was better. `rows` lay the plan as written and
    the proposed one side by side, on the first seed.
    """

    title: str
    plan: str
    started: datetime
    units: str
    goal: str
    parts: tuple[str, ...]  # of the limits
    levers: tuple[LeverTold, ...]
    tried: tuple[Tried, ...]
    front: tuple[int, ...]
    chosen: int | None
    nearest: int | None
    checks: tuple[Check, ...]
    at_ends: tuple[str, ...]
    is_settled: bool
    days: int  # simulated in all
    seeds: tuple[int, ...]
    further_seeds: tuple[int, ...]
    rows: tuple[Row, ...]
    name: str  # of the proposed plan
    toml: str  # the proposed plan as it would stand in the scenario; empty without one
    notes: tuple[str, ...]
    provenance: Mapping[str, object]

    def check(self, number: int) -> Check | None:
        """The further days of a candidate, if it had any."""
        return next((check for check in self.checks if check.number == number), None)

    def changes(self, number: int) -> tuple[tuple[LeverTold, str], ...]:
        """The levers a candidate sets otherwise than written, each with its setting."""
        written = self.tried[0].places
        return tuple(
            (lever, self.tried[number].settings[place])
            for place, lever in enumerate(self.levers)
            if self.tried[number].places[place] != written[place]
        )
