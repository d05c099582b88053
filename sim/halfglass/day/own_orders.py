"""The skipper's own standing orders: which hold at a look, and what that asks for. Pure functions.

Precedence: orders higher in the list go first; what one of them holds (a control, the feeding) is out of
reach for those below it and for the usual orders until it is undone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from halfglass.day.instruments import Observation
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


@dataclass(frozen=True)
class Standing:
    """Where one order stands: since when its condition has been seen, and whether it is being obeyed."""

    seen_since: float | None = None
    active: bool = False


@dataclass(frozen=True)
class Asked:
    """What the own orders ask after a look: orders to begin, to undo, and what is held by them."""

    begin: tuple[Order, ...] = ()
    undo: tuple[Order, ...] = ()
    held: frozenset[str] = frozenset()


def decide(
    orders: Sequence[Order], standing: Sequence[Standing], seen: Observation
) -> tuple[Asked, tuple[Standing, ...]]:
    """What the orders ask for after a look, and where each stands then.

    Parameters: orders, most pressing first; standing, one for each, from the look before; seen.
    Notes: an order begins when what it names has been seen at every look for at least its `for`; it is
    undone when its `until` is seen or, without one, when what it names is no longer seen.
    """
    begin: list[Order] = []
    undo: list[Order] = []
    held: set[str] = set()
    after: list[Standing] = []
    for order, was in zip(orders, standing, strict=True):
        thing = HOLDS.get(order.do)
        if was.active:
            is_over = holds(order.until, seen) if order.until is not None else not holds(order.when, seen)
            if is_over:
                undo.append(order)
                after.append(Standing())
                continue
            held |= {thing} if thing else set()
            after.append(was)
            continue
        if not holds(order.when, seen):
            after.append(Standing())
            continue
        since = was.seen_since if was.seen_since is not None else seen.time
        if seen.time - since < order.for_ or thing in held:
            after.append(replace(was, seen_since=since))
            continue
        begin.append(order)
        held |= {thing} if thing else set()
        after.append(Standing(since, active=True))
    return Asked(tuple(begin), tuple(undo), frozenset(held)), tuple(after)


def holds(wanted: Seen, seen: Observation) -> bool:
    """Whether all that is wanted is seen. A glass with no level in sight is empty or full."""
    glass = seen.glass if seen.glass is not None else (0.0 if seen.glass_empty else 1.0)
    checks = (
        (wanted.glass_below, glass, -1), (wanted.glass_above, glass, +1),
        (wanted.pressure_below, seen.pressure, -1), (wanted.pressure_above, seen.pressure, +1),
        (wanted.bed_below, seen.bed_depth, -1),
        (wanted.hotwell_below, seen.hotwell_fraction, -1), (wanted.hotwell_above, seen.hotwell_fraction, +1),
        (wanted.hotwell_hotter, seen.hotwell_temperature, +1),
    )  # fmt: skip
    for limit, value, side in checks:
        if limit is not None and (value - limit) * side <= 0.0:
            return False
    return wanted.engine is None or (wanted.engine == "turning") == seen.engine_turning
