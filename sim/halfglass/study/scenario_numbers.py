"""Any number of a checked day by its dotted key: read it, and write another in its place.

A list entry goes by its place counted from 1, as faults tell it (``route[3].throttle``), or by the `name` it
has (``fault.pump.at.plus``). A written value is held to the key's own range and to the rules between the
tables of a day; rules inside one table (such as a bunker's room) are those of the loaded day.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated, Any, get_args

from halfglass.scenario.day_checks import conflicts
from halfglass.scenario.day_models import Scenario
from halfglass.scenario.fields import QuantityText, Table
from halfglass.scenario.idle_keys import idle_keys
from halfglass.vocabulary import units
from halfglass.vocabulary.errors import listed, nearest, quoted

Path = tuple[str | int, ...]
_PART = re.compile(r"([^.\[\]]+)((?:\[\d+\])*)")


@dataclass(frozen=True)
class ScenarioNumber:
    """One number of a day: its key as asked for, where it stands, how it is written, and its unit."""

    key: str
    path: Path
    text: QuantityText
    unit: str

    def parse(self, text: str) -> float:
        """The SI value of text with a unit, held to the key's range; ValueError says why not."""
        try:
            return self.text.read(text)
        except ValueError as error:
            raise ValueError(f"{self.key}: {error}") from None

    def show(self, value: float, digits: int = 4) -> str:
        """A value [SI] as it is typed and told, with its unit."""
        return units.show(value, self.text.kind, self.unit, digits)


def find(day: Scenario, key: str, unit_of: str) -> ScenarioNumber:
    """The number at a dotted key; `unit_of` is a value whose unit the answers are told in."""
    path = _path(day, key)
    table, name = at(day, path[:-1]), str(path[-1])
    if not isinstance(table, Table):
        raise ValueError(f"{key}: this is no number of a table")
    known = {info.alias or field: (field, info) for field, info in type(table).model_fields.items()}
    if name not in known:
        near = nearest(name, known)
        raise ValueError(f"{key}: there is no {quoted(name)}; " + (
            f"did you mean {quoted(near)}?" if near else f"there are {listed(known)}"))  # fmt: skip
    field, info = known[name]
    marks = _marks(Annotated[(info.annotation, *info.metadata)] if info.metadata else info.annotation)
    text = next((mark for mark in marks if isinstance(mark, QuantityText)), None)
    if text is None:
        raise ValueError(f"{key}: this holds no number with a unit")
    if idle := idle_keys(day).get(path):
        raise ValueError(f"{key}: nothing uses this: {idle}")
    try:
        given = units.read(unit_of, text.kind, text.example).unit
    except units.UnitError as error:
        raise ValueError(f"{key}: {error.message}") from None
    return ScenarioNumber(key, (*path[:-1], field), text, given or units.display_unit(text.kind))


def written(day: Scenario, number: ScenarioNumber, value: float) -> Scenario:
    """The day with another value [SI] there; ValueError if it does not go with the rest of the day."""
    number.parse(f"{units.convert(value, number.text.kind, number.unit)!r} {number.unit}")
    changed: Scenario = _with(day, number.path, value)
    clash = next(iter(conflicts(changed)), None)
    if clash is not None:
        raise ValueError(f"{number.key} = {number.show(value)}: {clash.message}")
    return changed


def at(values: Any, path: Path) -> Any:
    """What stands at a path of a day."""
    for part in path:
        values = values[part] if isinstance(part, int) else getattr(values, part)
    return values


def _path(day: Scenario, key: str) -> Path:
    path: Path = ()
    parts = key.split(".")
    for number, part in enumerate(parts, start=1):
        match = _PART.fullmatch(part)
        if match is None:
            raise ValueError(f"{quoted(key)} is not a dotted key such as 'route[3].throttle'")
        here, name = at(day, path), match[1]
        if isinstance(here, tuple):
            named = [place for place, entry in enumerate(here) if getattr(entry, "name", None) == name]
            if not named:
                raise ValueError(f"{key}: nothing there is called {quoted(name)}")
            path = (*path, named[0])
        else:
            path = (*path, name)
        for place in re.findall(r"\d+", match[2]):
            path = (*path, int(place) - 1)
        if number < len(parts):
            _require(day, path, key)
    return path


def _require(day: Scenario, path: Path, key: str) -> None:
    try:
        found = None if path[-1] == -1 else at(day, path)
    except (AttributeError, IndexError, TypeError):
        found = None
    if found is None:
        raise ValueError(f"{key}: the day has nothing at this place (list entries count from 1)")


def _marks(annotation: Any) -> list[Any]:
    own = list(getattr(annotation, "__metadata__", ()))
    return own + [mark for part in get_args(annotation) if part not in own for mark in _marks(part)]


def _with(here: Any, path: Path, value: float) -> Any:
    if not path:
        return value
    part, rest = path[0], path[1:]
    if isinstance(part, int):
        return tuple(_with(old, rest, value) if i == part else old for i, old in enumerate(here))
    return here.model_copy(update={part: _with(getattr(here, part), rest, value)})
