"""One way a session has gone: the moves made, and the readings at every tick."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from halfglass.day.by_hand import TICK
from halfglass.result.timeline import thin

Written = dict[str, Any]
"""A move as it is written in a scenario."""
Rows = list[tuple[float, ...]]

COLUMNS = (
    "glass_shown", "glass_fraction", "boiler_pressure", "water_level", "swell", "boiler_water_mass",
    "steam_flow_boiler_engine", "feed", "feed_flow_engine_pump", "hotwell_mass", "hotwell_temperature",
    "feed_temperature", "fire_temperature", "bed_depth", "bed_fuel_mass",
    "burning_rate", "heat_to_boiler_rate", "air_flow",
    "evaporation_rate", "boat_speed", "shaft_speed", "chest_pressure", "fuel_on_board", "back_pressure",
    "reversing_margin", "cylinder_water", "carry_over_fraction", "safety_valve_flow",
    "throttle", "reversing_gear", "damper", "bypass", "burner_rate",
)  # fmt: skip
"""What is kept at every tick, SI."""


_ALIKE = {"glass_shown": "glass_fraction", "feed": "feed_flow_engine_pump"}


def like(column: str) -> str:
    """The reading of `quantities` a column is measured as."""
    return _ALIKE.get(column, column)


@dataclass
class Branch:
    """`number` from 0; it left branch `source` at `from_time` [s since the hand-over]."""

    number: int
    source: int | None = None
    from_time: float = 0.0
    moves: list[Written] = field(default_factory=list)
    rows: Rows = field(default_factory=list)

    @property
    def reached(self) -> float:
        """How far it got [s]."""
        return max(0, len(self.rows) - 1) * TICK


def as_columns(rows: Rows, first_tick: int = 0) -> dict[str, list[float]]:
    """Rows by column, with their times [s since the hand-over]."""
    found = {"time": [(first_tick + number) * TICK for number in range(len(rows))]}
    turned = zip(*rows, strict=True) if rows else ((),) * len(COLUMNS)
    return found | {name: list(values) for name, values in zip(COLUMNS, turned, strict=True)}


def thinned(rows: Rows, pieces: int) -> dict[str, list[float]]:
    """The same with fewer rows: of each of `pieces` stretches first, last, and what is lowest and highest."""
    columns = as_columns(rows)
    if len(rows) <= 4 * pieces:
        return columns
    time = np.array(columns["time"])
    kept: set[int] = set()
    for name in COLUMNS[:8]:
        kept.update(int(place) for place in thin(time, np.array(columns[name]), pieces))
    places = sorted(kept)
    return {name: [values[place] for place in places] for name, values in columns.items()}
