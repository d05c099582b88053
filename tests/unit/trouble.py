"""A day out on Sedge in which things go wrong: written as a scenario is, run, and asked questions.

The day is invented: steam, a leg to Stage, an hour to Lock, the lock, a leg to Quay, half an hour there with
the fire worked, a leg home.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from halfglass.day.outing import Day
from halfglass.plant import reading as r
from halfglass.result.records import LogEntry
from halfglass.scenario.day_models import Scenario
from halfglass.scenario.load import validated
from halfglass.scenario.toml_text import from_text
from halfglass.vocabulary.errors import Fault

BOATS = Path(__file__).parents[2] / "scenarios" / "boats"

DAY = """
title = "Trouble"
light_up = 08:00:00
[crew]
hands = 2
[aboard]
fuel = "steam coal"
fuel_mass = "80 kg"
hotwell = "15 L"
[firing]
working_pressure = "78 psi"
charge = "0.8 kg"
"""
ROUTE = """
[[route]]
step = "raise steam"
until = "70 psi"
at_most = "3 h"
[[route]]
step = "warm through"
for = "6 min"
[[route]]
step = "leg"
to = "Stage"
distance = "2 km"
throttle = "26 %"
[[route]]
step = "leg"
to = "Lock"
distance = "8 km"
throttle = "26 %"
[[route]]
step = "lock"
at = "Lock"
wait = "10 min"
[[route]]
step = "leg"
to = "Quay"
distance = "2 km"
throttle = "26 %"
[[route]]
step = "come alongside"
at = "Quay"
[[route]]
step = "lie"
for = "30 min"
[[route]]
step = "leg"
to = "Home"
distance = "6 km"
throttle = "26 %"
[[route]]
step = "come alongside"
at = "Home"
[[route]]
step = "shut down"
"""


@dataclass(frozen=True)
class Lived:
    """A day that has been run: its log, timeline and people."""

    day: Day
    readings: dict[str, NDArray[np.float64]]

    @property
    def time(self) -> NDArray[np.float64]:
        return self.readings["time"]

    @property
    def outcome(self) -> str:
        assert self.day.outcome is not None
        return self.day.outcome.kind

    @property
    def fault_at(self) -> float:
        assert self.day.fault_at is not None
        return self.day.fault_at

    def told(self, event: str) -> list[LogEntry]:
        """Every line of the log with this event."""
        return [entry for entry in self.day.entries if entry.event == event]

    def at(self, event: str) -> float:
        """When an event first came [s]."""
        return self.told(event)[0].time

    def order(self, *wanted: str) -> bool:
        """Whether the first of each of these events came in this order."""
        times = [self.at(event) for event in wanted]
        return times == sorted(times)

    def reading(self, name: str, time: float) -> float:
        return float(np.interp(time, self.time, self.readings[name]))

    def mean(self, name: str, start: float, end: float) -> float:
        """Mean over time between two moments [s]."""
        grid = np.linspace(start, end, 400)
        return float(np.mean(np.interp(grid, self.time, self.readings[name])))

    def between(self, name: str, start: float, end: float) -> NDArray[np.float64]:
        """Rows of a reading between two moments [s]."""
        return self.readings[name][(self.time >= start) & (self.time <= end)]


def written(*more: str, day: str = DAY, route: str = ROUTE, boat: str = "sedge") -> Scenario:
    """The scenario of the day with further tables, as the loader would have it."""
    document = from_text("".join((day, *more, route)), "trouble.toml")
    document = document.grafted(
        ("boat",), from_text((BOATS / f"{boat}.toml").read_text("utf-8"), "boat.toml")
    )
    faults: list[Fault] = []
    scenario = validated(document, faults)
    assert scenario is not None and not faults, [fault.render() for fault in faults]
    return scenario


@cache
def lived(*more: str, seed: int = 0, day: str = DAY, route: str = ROUTE, boat: str = "sedge") -> Lived:
    """The day with further tables, run; the same one is run once."""
    happened = Day(written(*more, day=day, route=route, boat=boat), seed)
    happened.run()
    return Lived(happened, every_reading(happened))


def every_reading(happened: Day) -> dict[str, NDArray[np.float64]]:
    """All readings of the plant over the day, also those the timeline leaves out."""
    rows = np.vstack([happened.clock.plant.marcher.rows(), *happened.clock.plant.marcher.extra_rows])
    rows = rows[np.argsort(rows[:, 0], kind="stable")]
    return {"time": rows[:, 0]} | {name: rows[:, place + 1] for place, name in enumerate(r.NAMES)}


def fault(kind: str, at: str = '{ leaving = "Stage", plus = "10 min" }', **keys: Any) -> str:
    """One fault, ten minutes out from Stage unless told otherwise."""
    lines = [
        f"{key} = {value!r}" if isinstance(value, str) else f"{key} = {value}" for key, value in keys.items()
    ]
    return "\n".join(["", "[[fault]]", f'kind = "{kind}"', f"at = {at}", *lines, ""])


def orders(text: str) -> str:
    """Keys of the usual orders."""
    return f"\n[orders]\n{text}\n"


def own(name: str, when: str, do: str, **keys: Any) -> str:
    """One of the skipper's own orders; `when` and `until` as they are written between the braces."""
    lines = ["", "[[order]]", f'name = "{name}"', f"when = {{ {when} }}", f'do = "{do}"']
    if "until" in keys:
        lines.append(f"until = {{ {keys.pop('until')} }}")
    if "for_" in keys:
        lines.append(f'for = "{keys.pop("for_")}"')
    return "\n".join([*lines, *(f"{key} = {value!r}" for key, value in keys.items()), ""])


def spells_of(day: Day, *tasks: str) -> Iterable[tuple[float, float]]:
    """When somebody was at one of these tasks [s]."""
    return [(spell.start, spell.end) for spell in day.crew.spells if spell.task in tasks]
