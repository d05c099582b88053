"""The numbers of a boat that a log may tell: those an owner cannot measure with rule and scale.

To add one: a row in `NUMBERS`. What is said here of a number beforehand is a judgement; the answer tells it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from halfglass.scenario.day_models import Scenario
from halfglass.scenario.dotted import UnknownKeyError, at, field, laid_in, paths, quantity_of
from halfglass.scenario.fields import QuantityText
from halfglass.scenario.toml_places import KeyPath
from halfglass.study.owner_log import Array
from halfglass.vocabulary import units

SPAN = 1.6449
"""Deviations of a normal spread that hold nine of ten."""


@dataclass(frozen=True)
class Number:
    """A number to be fitted: its key, how it is scaled, and how far off a boat file may be.

    With nine chances of ten the true number, or of a "share" its odds (share over rest), is between the boat
    file's divided by `factor` and multiplied by it.
    """

    key: str
    factor: float
    scale: Literal["size", "share"]
    about: str
    unit: str = ""  # it is told in if a boat file does not write it; empty: that of its key's example


NUMBERS = (
    Number("boat.fire.ash_pit_opening", 1.6, "size", "air under the fire: how hard it burns"),
    Number("boat.fire.over_fire_opening", 1.6, "size", "air over the fire: heat it carries off"),
    Number("boat.burner.fuel_rate", 1.3, "size", "fuel the burner takes"),
    Number("boat.boiler.lagging", 2.0, "size", "heat lost by the boiler's casing"),
    Number("boat.engine.throttle", 1.4, "size", "steam an open throttle passes"),
    Number("boat.engine.diagram_factor", 1.8, "share", "work the steam does in the cylinder"),
    Number("boat.engine.missing_quantity", 1.4, "size", "steam lost on the cylinder walls"),
    Number("boat.engine.friction", 1.5, "size", "friction of the engine", "kPa"),
    Number("boat.hull.residuary_factor", 1.3, "size", "waves the hull makes"),
    Number("boat.feed.engine_pump.delivery", 1.8, "share", "delivery of the engine pump, less slip"),
    Number("boat.feed.hand_pump.delivery", 2.0, "share", "delivery of the hand pump, less slip"),
)
MOST_SHARE = 0.999
"""Of a share that stands at all of one in the boat file, so that it has odds."""


@dataclass(frozen=True)
class Fitted:
    """A number of one boat: where it stands in her file, what it is there [SI], and how it is told."""

    number: Number
    written: float
    kind: str | None  # of its unit; None for a plain number
    unit: str  # it is told in; empty for a plain number

    @property
    def deviation(self) -> float:
        """Of the logarithm of its size or odds, beforehand."""
        return math.log(self.number.factor) / SPAN

    def value(self, z: float) -> float:
        """The number [SI] that lies `z` deviations from the boat file's.

        >>> delivery = Fitted(Number("k", 1.8, "share", ""), 0.8, None, "")
        >>> round(delivery.value(-SPAN), 3), round(delivery.value(0.0), 3)
        (0.69, 0.8)
        """
        if self.number.scale == "size":
            return self.written * math.exp(self.deviation * z)
        odds = _odds(self.written) * math.exp(self.deviation * z)
        return odds / (1.0 + odds)

    def z(self, value: float) -> float:
        """How many deviations a number [SI] lies from the boat file's."""
        if self.number.scale == "size":
            return math.log(value / self.written) / self.deviation
        return math.log(_odds(value) / _odds(self.written)) / self.deviation

    def show(self, value: float, digits: int = 3) -> str:
        """A value as it is written in a boat file and told."""
        return f"{value:.{digits}g}" if self.kind is None else units.show(value, self.kind, self.unit, digits)


def numbers_of(day: Scenario, boat: Mapping[str, Any]) -> tuple[Fitted, ...]:
    """The numbers a boat has, of those a log may tell; `boat` is her file as read, for the units it uses."""
    found = []
    for number in NUMBERS:
        try:
            path = paths(day, number.key)[0]
        except UnknownKeyError:
            continue
        if number.key == "boat.hull.residuary_factor" and day.boat.hull.measured:
            continue  # her measured speeds say it already
        mark = quantity_of(field(day, number.key))
        kind, unit = (mark.kind, _unit(boat, path[1:], mark, number.unit)) if mark else (None, "")
        found.append(Fitted(number, float(at(day, path)), kind, unit))
    return tuple(one for one in found if one.written > 0.0)


def with_numbers(day: Scenario, numbers: tuple[Fitted, ...], z: Sequence[float] | Array) -> Scenario:
    """The day with other numbers in its boat."""
    for one, place in zip(numbers, z, strict=True):
        day = laid_in(day, one.number.key, one.value(float(place)))
    return day


def _unit(boat: Mapping[str, Any], path: KeyPath, mark: QuantityText, otherwise: str) -> str:
    """The unit a key is written in, or else the one given, or that of its example."""
    inside: Any = boat
    for part in path:
        inside = inside.get(part) if isinstance(inside, Mapping) else None
    if otherwise and not isinstance(inside, str):
        return otherwise
    written = inside if isinstance(inside, str) else mark.example
    return units.read(written, mark.kind).unit or units.display_unit(mark.kind)


def _odds(share: float) -> float:
    share = min(share, MOST_SHARE)
    return share / (1.0 - share)
