"""The plans that share one page or picture: their letters, their common clock, their units."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from halfglass.report import style
from halfglass.result import events, limits
from halfglass.result.records import LogEntry, Outing
from halfglass.result.spells import cut
from halfglass.result.timeline import log_entries
from halfglass.vocabulary import quantities

Array = NDArray[np.float64]


SHORTEST = 60.0
"""s that a picture spans, also when a day was over as it began."""


@dataclass(frozen=True)
class Plan:
    """One outing as the report knows it."""

    letter: str
    stroke: style.Stroke
    outing: Outing
    log: tuple[LogEntry, ...]
    offset: float  # [s] from the page's first moment to this outing's second 0

    @property
    def name(self) -> str:
        """The plan's name as the scenario gives it."""
        return self.outing.marks.plan_name

    def reading(self, name: str) -> Array:
        """A column of the timeline in SI."""
        return np.asarray(self.outing.timeline[name], dtype=float)

    def shown(self, name: str) -> Array:
        """A column of the timeline in the units of the answers."""
        converted: Array = quantities.convert(self.reading(name), name, self.outing.marks.units)
        return converted

    def faults(self) -> list[float]:
        """When each fault struck [s on the page's clock]."""
        return [e.time + self.offset for e in self.log if e.event == events.FAULT]

    def under_way(self, name: str) -> tuple[Array, Array]:
        """Times [s] and SI values of a reading between under way and shut down; all if never under way."""
        time, values = self.reading("time"), self.reading(name)
        spans = limits.STEAMING.spans(self.log, float(time[-1]))
        parts = [cut(time, values, span) for span in spans]
        parts = [part for part in parts if part[0].size] or [(time, values)]
        return np.concatenate([t for t, _ in parts]), np.concatenate([v for _, v in parts])


@dataclass(frozen=True)
class Scene:
    """The plans of one picture and the clock they share: `end` [s] after `origin`."""

    plans: tuple[Plan, ...]
    origin: datetime
    end: float
    units: str

    def alone(self, plan: Plan) -> Scene:
        """The same clock with a single plan, which then needs no dash to tell it from others."""
        solid = replace(plan, stroke=style.Stroke(plan.stroke.colour, ()))
        return Scene((solid,), self.origin, self.end, self.units)

    def groups(self) -> list[Scene]:
        """The plans in lots small enough for one picture, each with every line style at most once."""
        lots = [self.plans[i : i + style.OVERLAID] for i in range(0, len(self.plans), style.OVERLAID)]
        return [Scene(lot, self.origin, self.end, self.units) for lot in lots]


def scene(outings: Sequence[Outing]) -> Scene:
    """All plans of a scenario on one clock that begins with the earliest of them."""
    origin = min(outing.marks.started for outing in outings)
    plans = tuple(
        Plan(
            style.letter(index),
            style.stroke(index),
            outing,
            tuple(log_entries(outing.log)),
            (outing.marks.started - origin).total_seconds(),
        )
        for index, outing in enumerate(outings)
    )
    end = max(SHORTEST, *(float(plan.reading("time")[-1]) + plan.offset for plan in plans))
    return Scene(plans, origin, end, outings[0].marks.units)
