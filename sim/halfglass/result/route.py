"""Where the boat was and when: the stops of an outing on the distance run, from its log and timeline."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from halfglass.result import events
from halfglass.result.records import LogEntry, Outing
from halfglass.result.timeline import log_entries

ALIKE = 0.01
"""Share of the distance run within which a place passed on two plans is one place (judgement)."""
STARTS = (events.UNDER_WAY, events.CAST_OFF, "next leg")
KINDS = {
    "in the lock": "lock", events.FUEL_TAKEN: "fuel", events.WATER_TAKEN: "water", "passengers": "people",
    "at anchor": "anchor", "fire banked": "fire banked", "lying": "lying", events.NIGHT: "night",
    "kettle": "kettle", "made fast": "alongside",
}  # fmt: skip
"""What the log's events say was done at a stop."""


@dataclass(frozen=True)
class Stop:
    """A place on the way: where [m run], from when to when [s], and what was done there.

    `left` is None where the day ended; without `kinds` the boat went past.
    """

    place: str
    distance: float
    arrived: float
    left: float | None
    kinds: tuple[str, ...]


def stops(outing: Outing) -> tuple[Stop, ...]:
    """The places of an outing in order, the first being where the fire was lit."""
    log = log_entries(outing.log)
    starts = [entry.time for entry in log if entry.event in STARTS]
    reached = [("start", 0.0), *((arrival.place, arrival.at) for arrival in outing.arrivals)]
    found = []
    for number, (place, at) in enumerate(reached):
        following = reached[number + 1][1] if number + 1 < len(reached) else float("inf")
        left = next((time for time in starts if at <= time < following), None)
        until = left if left is not None else following
        found.append(Stop(place, run_at(outing, at), at, left, _kinds(log, at, until)))
    return tuple(found)


def _kinds(log: Sequence[LogEntry], begins: float, ends: float) -> tuple[str, ...]:
    """What was done between two times [s], in the order of KINDS; nothing else counts as alongside."""
    seen = {entry.event for entry in log if begins <= entry.time <= ends}
    kinds = tuple(kind for event, kind in KINDS.items() if event in seen)
    return tuple(kind for kind in kinds if kind != "alongside") or kinds


def run_at(outing: Outing, at: float) -> float:
    """Distance run over the ground [m] at a time [s]."""
    time = outing.timeline["time"].to_numpy(dtype=float)
    return float(np.interp(at, time, outing.timeline["distance"].to_numpy(dtype=float)))
