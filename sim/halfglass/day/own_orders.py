"""The skipper's own standing orders: which hold at a look, and what that asks for. Pure functions.

Precedence: orders higher in the list go first; what one of them holds (a control, the feeding) is out of
reach for those below it and for the usual orders until it is undone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from halfglass.day.instruments import (
    DEPTH_DIVISION,
    GLASS_DIVISION,
    PRESSURE_DIVISION,
    TEMPERATURE_DIVISION,
    WELL_DIVISION,
    Observation,
)
from halfglass.scenario.order_models import Order, Seen

HOLDS = {
    "set throttle": "throttle",
    "stop the engine": "throttle",
    "set damper": "damper",
    "set blower": "blower",
    "set bypass": "bypass",
    "engine pump": "bypass",
    "set burner": "burner",
    "set condensate drain": "condensate drain",
    "injector": "injector",
    "hand pump on hot well": "hand pump",
    "hand pump on lake": "hand pump",
}
"""What an action keeps hold of while it lasts; an action not named here is done once and over."""


FEEDS = ("bypass", "injector", "hand pump")
"""Of these, what feeds the boiler."""
ROUNDING = 1e-9
"""Divisions by which a reading must be past a limit: what lies on it is not."""


@dataclass(frozen=True)
class Standing:
    """Where one order stands: since when its condition has been seen, and whether it is being obeyed."""

    seen_since: float | None = None
    active: bool = False


@dataclass(frozen=True)
class Asked:
    """What the own orders ask after a look: to begin, to do again, to undo, and what is held by them."""

    begin: tuple[Order, ...] = ()
    again: tuple[Order, ...] = ()
    undo: tuple[Order, ...] = ()
    held: frozenset[str] = frozenset()


def decide(
    orders: Sequence[Order], standing: Sequence[Standing], seen: Observation
) -> tuple[Asked, tuple[Standing, ...]]:
    """What the orders ask for after a look, and where each stands then.

    Parameters: orders, most pressing first; standing, one for each, from the look before; seen.
    Notes: an order begins when what it names, and not its `until`, has been seen at every look for at least
    its `for`. It is undone when its `until` is seen or, without one, when what it names is over by a clear
    division of the scale; also when an order above it takes what it holds. What holds nothing is done again
    at every look until its `until`.
    """
    begin: list[Order] = []
    again: list[Order] = []
    undo: list[Order] = []
    held: set[str] = set()
    after: list[Standing] = []
    for order, was in zip(orders, standing, strict=True):
        thing = HOLDS.get(order.do)
        is_taken = thing in held
        now = _stands(order, was, seen, is_taken)
        after.append(now)
        if was.active and not now.active:
            undo.append(order)
        elif was.active and thing is None and order.until is not None:
            again.append(order)
        elif now.active and not was.active:
            begin.append(order)
        if now.active and thing is not None:
            held.add(thing)
    return Asked(tuple(begin), tuple(again), tuple(undo), frozenset(held)), tuple(after)


def _stands(order: Order, was: Standing, seen: Observation, is_taken: bool) -> Standing:
    """Where an order stands after a look."""
    if was.active:
        if is_taken:
            return replace(was, active=False)
        is_over = holds(order.until, seen) if order.until is not None else not holds(order.when, seen, 1.0)
        return Standing() if is_over else was
    if not holds(order.when, seen) or (order.until is not None and holds(order.until, seen)):
        return Standing()
    since = was.seen_since if was.seen_since is not None else seen.time
    return Standing(since, active=seen.time - since >= order.for_ and not is_taken)


def holds(wanted: Seen, seen: Observation, slack: float = 0.0) -> bool:
    """Whether all that is wanted is seen, or but for so many divisions of each scale.

    A glass with no level in sight is below, or above, any level that can be named.
    """
    glass = seen.glass if seen.glass is not None else (-1.0 if seen.glass_empty else 2.0)
    well = seen.hotwell_fraction
    checks = (
        (wanted.glass_below, glass, -GLASS_DIVISION), (wanted.glass_above, glass, GLASS_DIVISION),
        (wanted.pressure_below, seen.pressure, -PRESSURE_DIVISION),
        (wanted.pressure_above, seen.pressure, PRESSURE_DIVISION),
        (wanted.bed_below, seen.bed_depth, -DEPTH_DIVISION),
        (wanted.hotwell_below, well, -WELL_DIVISION), (wanted.hotwell_above, well, WELL_DIVISION),
        (wanted.hotwell_hotter, seen.hotwell_temperature, TEMPERATURE_DIVISION),
    )  # fmt: skip
    for limit, value, division in checks:
        if limit is not None and (value - limit) / division + slack <= ROUNDING:
            return False
    return wanted.engine is None or (wanted.engine == "turning") == seen.engine_turning
