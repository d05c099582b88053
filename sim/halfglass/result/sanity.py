"""The sanity table of a boat: what it can do beside what is usual. Plain frozen values; nothing computes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, NamedTuple

Grade = Literal["in proportion", "small", "large", "out of proportion"]


class Line(NamedTuple):
    """One quantity of the boat: `value` as shown, `number` with its `unit`, what is usual and by whom."""

    key: str  # for programs: "safety_valve_capacity"
    quantity: str
    value: str
    number: float
    unit: str
    usual: str  # the published rate and its source, or "common practice, no source"
    grade: Grade
    remark: str  # in plain words, "" where there is nothing to say


class AtThrottle(NamedTuple):
    """The boat steaming steadily in still water, boiler at working pressure."""

    throttle: float  # 0-1
    shaft_speed: float  # rev/s
    boat_speed: float  # m/s
    steam: float  # kg/s
    indicated_power: float  # W
    water_rate: float  # lb of steam for each indicated horse-power and hour
    of_capacity: float  # steam used over what the fire can make


@dataclass(frozen=True)
class Sanity:
    """The whole table; `assumed` says in sentences what was taken where the files do not say."""

    boat: str
    units: str
    assumed: tuple[str, ...]
    speeds: tuple[AtThrottle, ...]
    lines: tuple[Line, ...]

    def line(self, key: str) -> Line:
        """The line of that key; KeyError if this boat has none."""
        found = {line.key: line for line in self.lines}
        return found[key]
