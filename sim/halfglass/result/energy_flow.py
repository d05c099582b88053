"""Where the fuel's heat went over one stretch of steady steaming: vessels, and what passed between them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

OUTSIDE = ""
"""The name that stands for everything beyond the boat: air, lake, fuel not yet put on, hands."""

FIRE, BOILER, ENGINE, SHAFT, SCREW = "fire", "boiler", "engine", "shaft", "screw"
EXHAUST, HOTWELL, FEED = "exhaust", "hot well", "feed"
"""The vessels; the condenser goes with the exhaust, the oil separator with the hot well."""
FUEL = "fuel burnt"
"""The link that brings the fuel's heat."""


class Link(NamedTuple):
    """Heat or work that passed: `name`, from vessel, to vessel (either may be `OUTSIDE`), mean power [W]."""

    name: str
    source: str
    target: str
    power: float


class Node(NamedTuple):
    """One vessel over the stretch, mean powers [W]: `error` is what came in and is neither out nor stored."""

    name: str
    inflow: float
    outflow: float
    stored: float  # negative where it gave up what it held
    error: float


@dataclass(frozen=True)
class EnergyFlow:
    """Mean powers [W] over a stretch of the day, from the plant's totals at its two ends.

    `began`, `ended` [s since lighting up]; `heading`, the place steamed for; `fuel_power` [W], heat of the
    fuel that burnt; `worst_error` and `total_error`: the largest failure of one vessel to close, and that
    of the boat as a whole, as fractions of the fuel's heat.
    """

    heading: str
    began: float
    ended: float
    fuel_power: float
    links: tuple[Link, ...]
    nodes: tuple[Node, ...]
    worst_error: float
    total_error: float

    def power(self, name: str) -> float:
        """Mean power [W] of the link of that name."""
        return next(link.power for link in self.links if link.name == name)

    def lost(self) -> tuple[Link, ...]:
        """What left the boat, largest first."""
        gone = [link for link in self.links if link.target == OUTSIDE]
        return tuple(sorted(gone, key=lambda link: -link.power))


def draw(
    heading: str, began: float, ended: float, fuel: str, links: Iterable[Link], stored: Mapping[str, float]
) -> EnergyFlow:
    """Balance every vessel.

    Parameters: heading; began, ended [s]; fuel, the name of the link that brings the fuel's heat; links,
    mean powers [W]; stored, the mean gain of each vessel [W], in the order they are to be listed.

    >>> links = [Link("f", "", "fire", 9.0), Link("l", "fire", "", 8.0)]
    >>> flow = draw("", 0.0, 1.0, "f", links, {"fire": 1.0})
    >>> flow.nodes[0]
    Node(name='fire', inflow=9.0, outflow=8.0, stored=1.0, error=0.0)
    >>> flow.total_error, flow.power("l"), flow.lost()[0].name
    (0.0, 8.0, 'l')
    >>> wrong = draw("", 0.0, 1.0, "f", links, {"fire": 0.1})
    >>> round(wrong.worst_error, 3), round(wrong.total_error, 3), round(wrong.nodes[0].error, 3)
    (0.1, 0.1, 0.9)
    """
    links = tuple(links)
    heat = next(link.power for link in links if link.name == fuel)
    nodes = tuple(_node(name, links, gain) for name, gain in stored.items())
    came = sum(link.power for link in links if link.source == OUTSIDE)
    went = sum(link.power for link in links if link.target == OUTSIDE)
    whole = came - went - sum(stored.values())
    scale = max(abs(heat), 1.0)  # W, so that a stretch without fire has figures too
    worst = max(abs(node.error) for node in nodes) / scale
    return EnergyFlow(heading, began, ended, heat, links, nodes, worst, abs(whole) / scale)


def _node(name: str, links: tuple[Link, ...], stored: float) -> Node:
    inflow = sum(link.power for link in links if link.target == name)
    outflow = sum(link.power for link in links if link.source == name)
    return Node(name, inflow, outflow, stored, inflow - outflow - stored)
