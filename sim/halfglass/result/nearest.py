"""How near each limit came, when, and at or after which place."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np

from halfglass.result import events, limits
from halfglass.result.records import Arrival, LogEntry, Marks, Nearest
from halfglass.result.spells import Array, cut

LEAVING = (events.UNDER_WAY, events.CAST_OFF, "next leg")
"""Log events with which the boat is no longer at a place."""

SPANS: dict[str, Callable[[Marks], float]] = {
    "glass_fraction": lambda m: 1.0,
    "water_level": lambda m: m.glass_length,
    "boiler_pressure": lambda m: m.working_pressure,
    "reversing_margin": lambda m: 1.0,
    "cylinder_water": lambda m: m.clearance_water,
    "lubricator_oil": lambda m: m.lubricator_capacity,
    "separator_load_fraction": lambda m: 1.0,
    "boiler_oil": lambda m: limits.MOST_OIL,
    "boiler_solids": lambda m: limits.MOST_SOLIDS,
    "fuel_on_board": lambda m: m.fuel_capacity,
    "hotwell_mass": lambda m: m.hotwell_capacity,
    "hotwell_temperature": lambda m: max(m.hotwell_hot - m.lake_temperature, 1.0),
}
"""What each reading spans between full and nothing, so that margins can be put in order (judgement); one not
named here spans the value of its limit."""


def nearest_approaches(
    readings: Mapping[str, Array], log: Sequence[LogEntry], marks: Marks
) -> tuple[Nearest, ...]:
    """The nearest approach to each limit that applied on the day, the nearest first."""
    found = []
    last = float(readings["time"][-1])
    for limit in limits.LIMITS:
        near = limit.measured(marks)
        if near is None:
            continue
        quantity, value = near
        parts = [cut(readings["time"], readings[quantity], span) for span in limit.while_.spans(log, last)]
        parts = [part for part in parts if part[0].size and np.isfinite(part[1]).any()]
        if not parts:
            continue
        time, values = (np.concatenate(both) for both in zip(*parts, strict=True))
        row = int(np.nanargmin(values) if limit.below else np.nanargmax(values))
        margin = float(values[row] - value) if limit.below else float(value - values[row])
        at = float(time[row])
        span = SPANS[quantity](marks) if quantity in SPANS else abs(value)
        share = margin / max(span, 1e-12)
        found.append(
            Nearest(
                limit.subject,
                limit.item,
                limit.severity,
                quantity,
                value,
                limit.below,
                float(values[row]),
                margin,
                share,
                at,
                place(log, at),
            )  # fmt: skip
        )
    return tuple(sorted(found, key=lambda near: near.margin_fraction))


def arrivals(log: Sequence[LogEntry]) -> tuple[Arrival, ...]:
    """Places reached, in order."""
    return tuple(Arrival(_place(entry), entry.time) for entry in log if entry.event == events.REACHED)


def place(log: Sequence[LogEntry], at: float) -> str:
    """Where the boat was at a moment [s], as the log tells.

    >>> way = [LogEntry(9.0, "day", "route", events.UNDER_WAY, ""),
    ...        LogEntry(60.0, "day", "route", events.REACHED, "Mill: 5 bar.")]
    >>> place(way, 5.0), place(way, 30.0), place(way, 60.0)
    ('before casting off', 'before Mill', 'at Mill')
    """
    told = [entry for entry in log if entry.event == events.REACHED or entry.event in LEAVING]
    past = [entry for entry in told if entry.time <= at]
    if not past:
        return "before casting off"
    reached = [entry for entry in past if entry.event == events.REACHED]
    if past[-1].event == events.REACHED:
        return f"at {_place(past[-1])}"
    if reached:
        return f"after {_place(reached[-1])}"
    ahead = [entry for entry in told if entry.event == events.REACHED]
    return f"before {_place(ahead[0])}" if ahead else "after casting off"


def _place(entry: LogEntry) -> str:
    """The name before the last colon: what follows it is the state of things."""
    return entry.text.rpartition(": ")[0] or entry.text.rstrip(".")
