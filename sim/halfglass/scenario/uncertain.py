"""Uncertain keys of a day: where they stand, whether their values may stand there, and laying them in."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any, get_args

from pydantic import BaseModel, TypeAdapter, ValidationError
from pydantic.fields import FieldInfo

from halfglass.scenario.checks import Conflict
from halfglass.scenario.faults import DISCRIMINATORS, message_of
from halfglass.scenario.fields import QuantityText
from halfglass.scenario.key_facts import facts, marks_of, quantity_kind
from halfglass.scenario.toml_places import KeyPath
from halfglass.scenario.uncertain_models import CUT, Normal, OneOf, Triangular, Uncertain, Uniform
from halfglass.vocabulary import units
from halfglass.vocabulary.errors import listed, nearest, quoted

DIFFERENCE = {
    "temperature": "temperature_difference",
    "gauge_pressure": "pressure_difference",
    "absolute_pressure": "pressure_difference",
    "barometer_pressure": "pressure_difference",
}
"""The kind a deviation is written in where it is not that of the value itself."""
CLOSED = ("title", "story", "units", "date", "light_up", "plan", "uncertain")
"""Keys of the top of a file that say nothing about what may happen."""


WORDED = ("text", "a time of day", "a date", "a table")
"""How the facts of a key begin that holds neither a number nor a choice."""


class UnknownKeyError(Exception):
    """A dotted key that leads nowhere; the message says where it stops."""


@dataclass(frozen=True)
class Spread:
    """One uncertain key, read: where it stands, and its values in SI (or words) in the order of the shape.

    `values` are (lowest, highest), (lowest, likeliest, highest), (mean, deviation) or the choices; `ends` are
    the values between which all draws lie, or the choices.
    """

    key: str
    shape: str
    values: tuple[Any, ...]
    ends: tuple[Any, ...]
    quantity: str | None  # kind of quantity; None for a plain number or a word


def read_spread(day: BaseModel, entry: Uncertain) -> Spread:
    """One entry with its values read by the field of its key; it must have passed `conflicts_of`."""
    info = _field(day, entry.key)
    parts = {name: _read(info, name, value) for name, value in _written(entry)}
    values = tuple(parts.values())
    ends = values
    if isinstance(entry, Normal):
        ends = (values[0] - CUT * values[1], values[0] + CUT * values[1])
    elif not isinstance(entry, OneOf):
        ends = (values[0], values[-1])
    return Spread(entry.key, entry.kind, values, ends, quantity_kind(info))


def paths(day: BaseModel, key: str) -> tuple[KeyPath, ...]:
    """Every place a dotted key stands for, as a path of names and numbers; `UnknownKeyError` if none."""
    found: list[tuple[KeyPath, Any]] = [((), day)]
    for part in key.split("."):
        found = [place for path, inside in found for place in _entered(path, inside, part, key)]
    return tuple(path for path, _ in found)


def laid_in(day: Any, key: str, value: Any) -> Any:
    """A day with a value at every place a dotted key stands for."""
    for path in paths(day, key):
        day = _with(day, path, value)
    return day


def conflicts_of(day: Any) -> Iterator[Conflict]:
    """What is wrong with the uncertain keys of a day: unknown, not a number, out of range, out of order."""
    seen: dict[str, int] = {}
    for index, entry in enumerate(day.uncertain):
        at: KeyPath = ("uncertain", index)
        if entry.key in seen:
            yield Conflict(
                (*at, "key"), "this key is uncertain already", ("uncertain", seen[entry.key], "key")
            )
        seen.setdefault(entry.key, index)
        try:
            info = _field(day, entry.key)
        except UnknownKeyError as error:
            yield Conflict((*at, "key"), str(error))
            continue
        yield from _wrong_values(day, entry, info, at)


def _wrong_values(day: Any, entry: Uncertain, info: FieldInfo, at: KeyPath) -> Iterator[Conflict]:
    wrong = False
    for name, written in _written(entry):
        try:
            value = _read(info, name, written)
        except ValueError as error:
            wrong = True
            yield Conflict((*at, *_place(entry, name)), str(error))
            continue
        if not isinstance(entry, OneOf) and (isinstance(value, bool | str) or _is_whole(info)):
            wrong = True
            yield Conflict(
                (*at, "kind"), f"{quoted(entry.key)} is chosen, not measured; only 'one of' suits it"
            )
            break
    if wrong:
        return
    spread = read_spread(day, entry)
    if isinstance(entry, Uniform | Triangular) and (
        list(spread.values) != sorted(spread.values) or spread.values[0] == spread.values[-1]
    ):
        yield Conflict(
            (*at, "highest"), "the values must go up from the lowest to the highest", (*at, "lowest")
        )
        return
    if isinstance(entry, Normal):
        yield from _deviation(info, spread, at)


def _deviation(info: FieldInfo, spread: Spread, at: KeyPath) -> Iterator[Conflict]:
    if spread.values[1] <= 0.0:
        yield Conflict((*at, "deviation"), "a deviation must be more than nothing")
        return
    for end in spread.ends:
        try:
            _allowed(info, end, spread.quantity)
        except ValueError as error:
            yield Conflict((*at, "deviation"), f"three deviations from the mean: {error}")
            return


def _written(entry: Uncertain) -> Iterator[tuple[str, Any]]:
    """The values of an entry with the names of their keys; those of a list by their number."""
    if isinstance(entry, OneOf):
        yield from ((str(number), value) for number, value in enumerate(entry.values))
    else:
        for name in ("lowest", "likeliest", "highest", "mean", "deviation"):
            if name in type(entry).model_fields:
                yield name, getattr(entry, name)


def _place(entry: Uncertain, name: str) -> KeyPath:
    return ("values", int(name)) if isinstance(entry, OneOf) else (name,)


def _read(info: FieldInfo, name: str, written: Any) -> Any:
    """One value as the field of the key reads it, in SI; ValueError says what is wrong with it."""
    kind = quantity_kind(info)
    if name == "deviation":
        if kind is not None:
            return units.parse(written, DIFFERENCE.get(kind, kind))
        if isinstance(written, bool | str):
            raise ValueError("this wants a number")
        return float(written)
    try:
        return _adapter(info).validate_python(written)
    except ValidationError as error:
        raise ValueError(message_of(error)) from None


def _allowed(info: FieldInfo, value: float, kind: str | None) -> None:
    """ValueError if a value in SI may not stand at the key."""
    if kind is None:
        _read(info, "", value)
        return
    mark = next(mark for mark in marks_of(info) if isinstance(mark, QuantityText))
    if not mark.allows(value):
        raise ValueError(
            f"{units.show(value, kind, digits=4)} is out of range; this must be {mark.range_text()}"
        )


def _adapter(info: FieldInfo) -> TypeAdapter[Any]:
    """A reader for one field alone."""
    annotation: Any = Annotated[(info.annotation, *info.metadata)] if info.metadata else info.annotation
    return TypeAdapter(annotation, config={"strict": True, "allow_inf_nan": False})


def _is_whole(info: FieldInfo) -> bool:
    """Whether a field holds a whole number."""
    return info.annotation is int or int in get_args(info.annotation)


def _field(day: BaseModel, key: str) -> FieldInfo:
    """The field a dotted key stands for: one that holds a number, a word of a few, or yes or no."""
    path = paths(day, key)[0]
    table: Any = day
    for part in path[:-1]:
        table = getattr(table, part) if isinstance(part, str) else table[part]
    if not isinstance(path[-1], str):
        raise UnknownKeyError(f"{quoted(key)} is a whole table; name a key of it")
    info: FieldInfo = type(table).model_fields[path[-1]]
    fact = next(fact for fact in facts(type(table)) if fact.key == (info.alias or path[-1]))
    if fact.tables or fact.is_list or path[-1] in DISCRIMINATORS or fact.holds.startswith(WORDED):
        raise UnknownKeyError(f"{quoted(key)} holds no number and no choice, so it cannot be uncertain")
    return info


def _entered(path: KeyPath, inside: Any, part: str, key: str) -> Iterator[tuple[KeyPath, Any]]:
    """The places one step further along a dotted key."""
    if isinstance(inside, tuple):
        yield from _entries(path, inside, part, key)
        return
    if not isinstance(inside, BaseModel):
        behind = ".".join(str(step) for step in path)
        told = "is left out on this boat or day" if inside is None else "holds nothing further"
        raise UnknownKeyError(f"{quoted(key)} leads nowhere: {quoted(behind)} {told}")
    names = {info.alias or name: name for name, info in type(inside).model_fields.items()}
    if not path:
        names = {shown: name for shown, name in names.items() if shown not in CLOSED}
    if part not in names:
        near = nearest(part, tuple(names))
        hint = f"did you mean {quoted(near)}?" if near else f"there are {listed(tuple(names))}"
        raise UnknownKeyError(f"nothing is called {quoted(part)} here; {hint}")
    yield (*path, names[part]), getattr(inside, names[part])


def _entries(path: KeyPath, entries: Sequence[Any], part: str, key: str) -> Iterator[tuple[KeyPath, Any]]:
    """The entries of a list that go by a name, or else all of a sort."""
    for is_called in (_name, _sort):
        found = [number for number, entry in enumerate(entries) if is_called(entry) == part]
        if found:
            yield from (((*path, number), entries[number]) for number in found)
            return
    known = tuple(dict.fromkeys(filter(None, (get(e) for get in (_name, _sort) for e in entries))))
    if not known:
        raise UnknownKeyError(
            f"{quoted(key)} leads nowhere: {quoted(str(path[-1]))} has no entries with a name"
        )
    near = nearest(part, known)
    hint = f"did you mean {quoted(near)}?" if near else f"there are {listed(known)}"
    raise UnknownKeyError(f"no entry is called {quoted(part)}; {hint}")


def _name(entry: Any) -> str:
    return str(getattr(entry, "name", None) or "")


def _sort(entry: Any) -> str:
    return str(getattr(entry, "step", None) or getattr(entry, "kind", None) or "")


def _with(inside: Any, path: KeyPath, value: Any) -> Any:
    """A table or list with the value at a path put in."""
    if not path:
        return value
    part, rest = path[0], path[1:]
    if isinstance(part, int):
        return (*inside[:part], _with(inside[part], rest, value), *inside[part + 1 :])
    return inside.model_copy(update={part: _with(getattr(inside, part), rest, value)})


def with_values(day: Any, values: Mapping[str, Any]) -> Any:
    """A day with each uncertain key at one value."""
    for key, value in values.items():
        day = laid_in(day, key, value)
    return day
