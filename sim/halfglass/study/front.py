"""Which candidate is better: within the limits first, then by what is asked; and the front between aims."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from halfglass.result.proposed import Tried

SOONEST, LEAST_FUEL = "soonest", "least fuel"
OTHER = 0.01
"""Weight of the other aim (judgement): so that of plans that are level, the better in both is taken."""

Aim = Callable[[Tried], float]
"""How much of what is not wanted a candidate has: positive, the less the better."""


def _soonest(scale: tuple[float, float]) -> Aim:
    return lambda one: one.arrival / scale[0] + OTHER * one.fuel / scale[1]


def _least_fuel(scale: tuple[float, float]) -> Aim:
    return lambda one: one.fuel / scale[1] + OTHER * one.arrival / scale[0]


def _most_water(scale: tuple[float, float]) -> Aim:
    return lambda one: max(0.0, 2.0 - one.margin) + OTHER * (one.arrival / scale[0] + one.fuel / scale[1])


def _between(scale: tuple[float, float]) -> Aim:
    return lambda one: one.arrival / scale[0] + one.fuel / scale[1]


GOALS: dict[str, Callable[[tuple[float, float]], Aim]] = {SOONEST: _soonest, LEAST_FUEL: _least_fuel}
"""What may be asked for; scale is a time [s] and a mass of fuel [kg] that are usual on the day."""
BESIDES: tuple[Callable[[tuple[float, float]], Aim], ...] = (_between, _most_water)
"""What else is looked for, so that the front has a middle and a third side."""


def rank(one: Tried | None, aim: Aim) -> float:
    """The less the better: 0 to 1 within the limits, by the aim; above 1 outside, by how far.

    So a candidate that keeps to the limits is better than any that does not, whatever the aim.
    """
    if one is None:
        return math.inf
    if not one.holds:
        return 1.0 + one.shortfall
    amount = aim(one)
    return amount / (1.0 + amount) if math.isfinite(amount) else 1.0


def best(tried: Sequence[Tried], aim: Aim) -> list[Tried]:
    """Candidates, the best first; of equals, the one tried first."""
    return sorted(tried, key=lambda one: (rank(one, aim), one.number))


def front(tried: Sequence[Tried]) -> tuple[int, ...]:
    """Numbers of the candidates within the limits that no other betters, the soonest first.

    One betters another if it is no later, burns no more, leaves no less water, and is not the same in all.
    """
    sides = {
        one.number: (one.arrival, one.fuel, -one.margin)
        for one in tried
        if one.holds and math.isfinite(one.arrival)
    }
    kept: dict[tuple[float, float, float], int] = {}
    for number, side in sides.items():
        if not any(_betters(other, side) for other in sides.values()):
            kept.setdefault(side, number)
    return tuple(kept[side] for side in sorted(kept))


def _betters(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return one != other and all(a <= b for a, b in zip(one, other, strict=True))
