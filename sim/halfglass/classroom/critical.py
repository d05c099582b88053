"""What is critical now, and in how long what is not yet will be, at the present rates.

The limits are those of the verdict (`result/limits.py`). A rate is what has happened in the last seconds and
nothing more: any move changes it. For the water it is what goes in less what goes out, so that swell does not
pass for water.
"""

from __future__ import annotations

from typing import NamedTuple

from halfglass.classroom.memory import Memory
from halfglass.day.outing import UNCERTAINTY, Day
from halfglass.plant import reading as r
from halfglass.result.limits import LIMITS, REVERSING, STEAMING, Limit
from halfglass.result.records import Marks
from halfglass.result.verdict import SEVERITIES

LONGEST_LOOK = 4 * 3600.0
"""s ahead of which nothing is said."""
MOVING = 0.3
"""m/s from which going astern is a question."""
FEEDS = (
    r.FEED_FLOW_ENGINE_PUMP, r.FEED_FLOW_HAND_PUMP_HOTWELL, r.FEED_FLOW_HAND_PUMP_LAKE, r.FEED_FLOW_INJECTOR,
)  # fmt: skip
_OUT = (
    r.STEAM_FLOW_BOILER_ENGINE, r.SAFETY_VALVE_FLOW, r.SERVICE_FLOW, r.VENT_FLOW, r.BLOW_DOWN_FLOW,
    r.CHECK_LEAK_FLOW, r.STEAM_TO_HOTWELL_FLOW, r.INJECTOR_STEAM_FLOW,
)  # fmt: skip


class Critical(NamedTuple):
    """One limit: crossed now, or in so many seconds at the present rates, give or take a share of them."""

    subject: str
    item: str
    severity: str
    is_now: bool
    seconds: float | None
    uncertainty_fraction: float = UNCERTAINTY


def net_water(day: Day) -> float:
    """Water the boiler gains [kg/s]."""
    reading = day.clock.reading
    return sum(reading(place) for place in FEEDS) - sum(reading(place) for place in _OUT)


def level_rate(day: Day) -> float:
    """How fast that raises the level [m/s], swell left out."""
    reading = day.clock.reading
    return net_water(day) * reading(r.LIQUID_VOLUME) / max(reading(r.SURFACE_AREA), 1e-6)


def critical(day: Day, marks: Marks, memory: Memory) -> tuple[Critical, ...]:
    """Every limit that is crossed, or will be within hours at the present rates; now before later."""
    found = [item for limit in LIMITS if (item := _item(limit, day, marks, memory)) is not None]
    return tuple(sorted(found, key=lambda c: (not c.is_now, c.seconds or 0.0, SEVERITIES.index(c.severity))))


def _item(limit: Limit, day: Day, marks: Marks, memory: Memory) -> Critical | None:
    value = limit.value(marks)
    if value is None or not _applies(limit, day):
        return None
    now = day.clock.reading(r.INDEX[limit.quantity])
    if now < value if limit.below else now > value:
        return Critical(limit.subject, limit.item, limit.severity, True, None)
    measured = limit.measured(marks)
    assert measured is not None
    quantity, wanted = measured
    rate = _rate(quantity, day, marks, memory)
    gap = wanted - day.clock.reading(r.INDEX[quantity])
    if rate is None or gap == 0.0 or rate * gap <= 0.0 or gap / rate > LONGEST_LOOK:
        return None
    return Critical(limit.subject, limit.item, limit.severity, False, gap / rate)


def _applies(limit: Limit, day: Day) -> bool:
    if limit.while_ is STEAMING:
        return day.been_under_way
    return limit.while_ is not REVERSING or day.clock.reading(r.BOAT_SPEED) > MOVING


def _rate(quantity: str, day: Day, marks: Marks, memory: Memory) -> float | None:
    if quantity == "water_level":
        return level_rate(day)
    if quantity == "glass_fraction":
        return level_rate(day) / marks.glass_length
    if quantity == "fuel_on_board":
        return -day.clock.reading(r.BURNING_RATE)
    return memory.rate(r.INDEX[quantity])
