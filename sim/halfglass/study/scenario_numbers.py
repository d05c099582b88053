"""Any number of a checked day by its dotted key: read it, and write another in its place.

A written value is held to the key's own range and to the rules between the tables of a day; rules inside one
table (such as a bunker's room) are those of the loaded day.
"""

from __future__ import annotations

from dataclasses import dataclass

from pydantic.fields import FieldInfo

from halfglass.scenario.day_checks import conflicts
from halfglass.scenario.day_models import Scenario
from halfglass.scenario.dotted import field, laid_in, paths, quantity_of, read, require_allowed
from halfglass.scenario.fields import QuantityText
from halfglass.scenario.idle_keys import idle_keys
from halfglass.scenario.toml_places import KeyPath
from halfglass.vocabulary import units


class UnfitValueError(ValueError):
    """A value that does not go with the rest of the day."""


@dataclass(frozen=True)
class ScenarioNumber:
    """One number of a day: its key as asked for, its first place, how it is written, and its unit."""

    key: str
    path: KeyPath
    info: FieldInfo
    text: QuantityText
    unit: str

    def parse(self, text: str) -> float:
        """The SI value of text with a unit, held to the key's range; ValueError says why not."""
        try:
            return float(read(self.info, text))
        except ValueError as error:
            raise ValueError(f"{self.key}: {error}") from None

    def show(self, value: float, digits: int = 4) -> str:
        """A value [SI] as it is typed and told, with its unit."""
        return units.show(value, self.text.kind, self.unit, digits)


def find(day: Scenario, key: str, unit_of: str) -> ScenarioNumber:
    """The number at a dotted key; `unit_of` is a value whose unit the answers are told in."""
    places = paths(day, key, by_place=True)
    info = field(day, key, by_place=True)
    text = quantity_of(info)
    if text is None:
        raise ValueError(f"{key}: this holds no number with a unit")
    idle = idle_keys(day)
    for path in places:
        if path in idle:
            raise ValueError(f"{key}: nothing uses this: {idle[path]}")
    try:
        given = units.read(unit_of, text.kind, text.example).unit
    except units.UnitError as error:
        raise ValueError(f"{key}: {error.message}") from None
    return ScenarioNumber(key, places[0], info, text, given or units.display_unit(text.kind))


def written(day: Scenario, number: ScenarioNumber, value: float) -> Scenario:
    """The day with another value [SI] there; UnfitValueError if it does not go with the rest of the day."""
    try:
        require_allowed(number.info, value)
    except ValueError as error:
        raise UnfitValueError(f"{number.key}: {error}") from None
    changed: Scenario = laid_in(day, number.key, value, by_place=True)
    clash = next(iter(conflicts(changed)), None)
    if clash is not None:
        raise UnfitValueError(f"{number.key} = {number.show(value)}: {clash.message}")
    return changed
