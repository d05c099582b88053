"""A stretch of the day before a limit was crossed: amounts and means over it, and as they were before it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from halfglass.result import events
from halfglass.result.clock import clock, duration
from halfglass.result.records import LogEntry, Marks
from halfglass.result.spells import Array, cut
from halfglass.vocabulary import quantities, units

BEFORE = 1200.0
"""s before the stretch with which it is compared (judgement)."""
SHORTEST = 20.0
"""s below which a stretch says nothing (judgement)."""
WATER_DENSITY = 999.0
ROW = 15.0
"""s within which rows of the timeline stand."""
LEAST_MASS = 0.01
"""kg of water or steam below which nobody would speak of any (judgement)."""
NEAR_TOP = 0.05
"""A reading counts as still at its turn within this share of its way to the limit (judgement)."""


class Cause(NamedTuple):
    """One thing that brought it about: the share of the whole it explains (0-1, or more) and its words."""

    share: float
    text: str


@dataclass(frozen=True)
class Stretch:
    """Readings and log from `start` to `end` [s], where a limit was crossed."""

    readings: Mapping[str, Array]
    log: Sequence[LogEntry]
    marks: Marks
    start: float
    end: float

    @property
    def seconds(self) -> float:
        """Its length [s]."""
        return self.end - self.start

    @property
    def span(self) -> str:
        """Its length in words."""
        return duration(self.seconds)

    def reading(self, name: str) -> Array:
        """A column of the timeline; zero throughout where the day has no such reading."""
        found = self.readings.get(name)
        return np.zeros_like(self.readings["time"]) if found is None else found

    def at(self, name: str, time: float) -> float:
        """A reading at a moment."""
        return float(np.interp(time, self.readings["time"], self.reading(name)))

    def amount(self, name: str) -> float:
        """What a flow brought over the stretch [kg]."""
        return self.mean(name) * self.seconds

    def mean(self, name: str) -> float:
        """Mean of a reading over the stretch."""
        return self._mean(name, self.start, self.end)

    def usual(self, name: str) -> float:
        """Mean of a reading over the time before the stretch."""
        return self._mean(name, max(self.start - BEFORE, 0.0), self.start)

    def _mean(self, name: str, start: float, end: float) -> float:
        time, value = cut(self.readings["time"], self.reading(name), (start, end))
        if time.size < 2:
            return self.at(name, end)
        return float(np.trapezoid(value, time) / (time[-1] - time[0]))

    def longest_on(self, name: str) -> float:
        """Time from the first to the last moment of the stretch at which a flow ran [s]."""
        time, value = cut(self.readings["time"], self.reading(name), (self.start, self.end))
        on = time[value > 0.0]
        return float(on[-1] - on[0]) if on.size else 0.0

    def worst_after(self, name: str, within: float = 60.0) -> float:
        """When a reading was highest in the time just after the stretch [s]."""
        time = self.readings["time"]
        rows = np.flatnonzero((time >= self.end) & (time <= self.end + within))
        return float(time[rows[np.argmax(self.reading(name)[rows])]]) if rows.size else self.end

    def faults(self, *subjects: str, slack: float = 0.0) -> list[LogEntry]:
        """Faults on these subjects in force at some time of the stretch, or struck up to `slack` [s] after.

        What changes all at once crosses its limit on a straight line that begins a row before the fault.
        """
        found = []
        for entry in self.log:
            if entry.event != events.FAULT or entry.subject not in subjects or entry.time > self.end + slack:
                continue
            mended = f"Put right: {_inside(entry.text)}"
            ends = [
                e.time
                for e in self.log
                if e.event == events.FAULT_REPAIRED and e.time >= entry.time and e.text.rstrip(".") == mended
            ]
            if not ends or min(ends) > self.start:
                found.append(entry)
        return found

    def told(self, fault: LogEntry) -> str:
        """A fault as a cause by itself."""
        return f"{_inside(fault.text)} ({clock(self.marks.started, fault.time)})"

    def behind(self, faults: Sequence[LogEntry]) -> str:
        """The last of some faults, in brackets behind what it led to; nothing if there is none."""
        if not faults:
            return ""
        return f" ({_inside(faults[-1].text)}, {clock(self.marks.started, faults[-1].time)})"

    def since_fault(self, *subjects: str) -> Stretch:
        """The stretch from the last fault on these subjects on, if one struck within it."""
        struck = [f.time for f in self.faults(*subjects) if self.start < f.time < self.end - SHORTEST]
        return replace(self, start=max(struck)) if struck else self

    def say(self, value: float, kind: str, digits: int = 2) -> str:
        """A value of a kind in the units of the answers."""
        return units.show(value, kind, units.display_unit(kind, self.marks.units), digits)

    def mass(self, amount: float) -> str:
        """A mass in the units of the answers; less than can be told is nothing."""
        return self.say(amount, "mass") if amount > LEAST_MASS else "nothing"

    def water(self, mass: float) -> str:
        """Feed water as people measure it, by volume."""
        return self.say(mass / WATER_DENSITY, "volume")

    def show(self, name: str, value: float, digits: int = 3) -> str:
        """A reading in the unit it is shown in."""
        return quantities.show(value, name, self.marks.units, digits)


def _inside(sentence: str) -> str:
    return (sentence[:1].lower() + sentence[1:]).rstrip(".")


def before(
    readings: Mapping[str, Array],
    log: Sequence[LogEntry],
    marks: Marks,
    quantity: str,
    crossed: float,
    below: bool,
    look_back: float,
) -> Stretch:
    """The stretch that led to a crossing: from the last turn of the reading within `look_back` [s]."""
    time, value = readings["time"], readings[quantity]
    rows = np.flatnonzero((time >= crossed - look_back) & (time <= crossed))
    start = crossed
    if rows.size:
        part = value[rows] if below else -value[rows]
        way = np.nanmax(part) - part[-1]
        best = np.flatnonzero(part >= np.nanmax(part) - NEAR_TOP * way)[-1]
        start = float(time[rows[best]])
    return Stretch(readings, log, marks, start, crossed)
