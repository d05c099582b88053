"""Keys of a checked day by their dotted names: where they stand, what may stand there, and laying it in.

``crew.strokes``, ``fault.pump.at.plus``, ``route.lock.wait``: an entry of a list goes by its name, or all of
a sort by their ``step`` or ``kind``. Where a person points at one day as it is written, and nothing is kept,
an entry may also go by its place counted from 1, as faults tell it: ``route[3].throttle``.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Annotated, Any

from pydantic import BaseModel, TypeAdapter, ValidationError
from pydantic.fields import FieldInfo

from halfglass.scenario.faults import DISCRIMINATORS, message_of
from halfglass.scenario.fields import QuantityText
from halfglass.scenario.key_facts import facts, marks_of
from halfglass.scenario.toml_places import KeyPath
from halfglass.vocabulary import units
from halfglass.vocabulary.errors import listed, nearest, quoted

CLOSED = ("title", "story", "units", "date", "light_up", "plan", "uncertain")
"""Keys of the top of a file that say nothing about what may happen."""
WORDED = ("text", "a time of day", "a date", "a table")
"""How the facts of a key begin that holds neither a number nor a choice."""


class UnknownKeyError(ValueError):
    """A dotted key that leads nowhere; the message says where it stops."""


class NoNumberError(UnknownKeyError):
    """A dotted key that leads to something that is no number and no choice."""


def paths(day: BaseModel, key: str, by_place: bool = False) -> tuple[KeyPath, ...]:
    """Every place a dotted key stands for, as a path of names and numbers; `UnknownKeyError` if none.

    `by_place` lets an entry of a list go by its place, counted from 1.
    """
    found: list[tuple[KeyPath, Any]] = [((), day)]
    for part in key.split("."):
        name, places = _parted(part) if by_place else (part, ())
        found = [place for path, inside in found for place in _entered(path, inside, name, key)]
        for number in places:
            found = [_counted(path, inside, number, key) for path, inside in found]
    return tuple(path for path, _ in found)


def field(day: BaseModel, key: str, by_place: bool = False) -> FieldInfo:
    """The field a dotted key stands for: one that holds a number, a word of a few, or yes or no."""
    path = paths(day, key, by_place)[0]
    table = at(day, path[:-1])
    if not isinstance(path[-1], str):
        raise UnknownKeyError(f"{quoted(key)} is a whole table; name a key of it")
    info: FieldInfo = type(table).model_fields[path[-1]]
    fact = next(fact for fact in facts(type(table)) if fact.key == (info.alias or path[-1]))
    if fact.tables or fact.is_list or path[-1] in DISCRIMINATORS or fact.holds.startswith(WORDED):
        raise NoNumberError(f"{quoted(key)} holds no number and no choice")
    return info


def quantity_of(info: FieldInfo) -> QuantityText | None:
    """How the quantity in a field is read; None if it holds none."""
    return next((mark for mark in marks_of(info) if isinstance(mark, QuantityText)), None)


def read(info: FieldInfo, written: Any) -> Any:
    """One value as a field reads it, in SI; ValueError says what is wrong with it."""
    annotation: Any = Annotated[(info.annotation, *info.metadata)] if info.metadata else info.annotation
    adapter: TypeAdapter[Any] = TypeAdapter(annotation, config={"strict": True, "allow_inf_nan": False})
    try:
        return adapter.validate_python(written)
    except ValidationError as error:
        raise ValueError(message_of(error)) from None


def require_allowed(info: FieldInfo, value: float) -> None:
    """ValueError if a value in SI may not stand in a field."""
    mark = quantity_of(info)
    if mark is None:
        read(info, value)
    elif not mark.allows(value):
        told = units.show(value, mark.kind, digits=4)
        raise ValueError(f"{told} is out of range; this must be {mark.range_text()}")


def at(values: Any, path: KeyPath) -> Any:
    """What stands at a path of a day."""
    for part in path:
        values = values[part] if isinstance(part, int) else getattr(values, part)
    return values


def put_in(inside: Any, path: KeyPath, value: Any) -> Any:
    """A table or list with a value put in at a path."""
    if not path:
        return value
    part, rest = path[0], path[1:]
    if isinstance(part, int):
        return (*inside[:part], put_in(inside[part], rest, value), *inside[part + 1 :])
    return inside.model_copy(update={part: put_in(getattr(inside, part), rest, value)})


def laid_in(day: Any, key: str, value: Any, by_place: bool = False) -> Any:
    """A day with a value at every place a dotted key stands for."""
    for path in paths(day, key, by_place):
        day = put_in(day, path, value)
    return day


def _parted(part: str) -> tuple[str, tuple[int, ...]]:
    """A part of a key and the places behind it.

    >>> _parted("route[3]"), _parted("crew")
    (('route', (3,)), ('crew', ()))
    """
    counted = re.fullmatch(r"([^\[\]]+)((?:\[\d+\])+)", part)
    if counted is None:
        return part, ()
    return counted[1], tuple(int(number) for number in re.findall(r"\d+", counted[2]))


def _counted(path: KeyPath, inside: Any, number: int, key: str) -> tuple[KeyPath, Any]:
    """The entry of a list at a place counted from 1."""
    if not isinstance(inside, tuple) or not 1 <= number <= len(inside):
        raise UnknownKeyError(f"{quoted(key)}: there is nothing at place {number}, counted from 1")
    return (*path, number - 1), inside[number - 1]


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
