"""What is to be said of every key of a scenario or boat: what it holds, its range, default and effect.

Read off the tables themselves; the reference, the commented files of `new` and the JSON Schema all tell it
from here.
"""

from __future__ import annotations

import datetime
import types
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic.fields import FieldInfo

from halfglass.scenario.fields import QuantityText, Table
from halfglass.vocabulary import units
from halfglass.vocabulary.errors import listed
from halfglass.vocabulary.unit_table import KINDS

_PLAIN = {
    str: "text",
    int: "a whole number",
    float: "a plain number",
    bool: "true or false",
    datetime.time: "a time of day such as 08:15:00",
    datetime.date: "a date such as 2030-06-15",
}
_LIMITS = (("ge", "at least"), ("gt", "more than"), ("le", "at most"), ("lt", "less than"))


@dataclass(frozen=True)
class KeyFacts:
    """One key: its name, what it holds, the range, the default as it is typed, and what it does.

    `default` is None where the key must be given, empty where leaving it out has a meaning of its own, told
    in `effect`. `tables` are the tables it holds, if any; `is_list` tells whether several.
    """

    key: str
    holds: str
    limits: str
    default: str | None
    effect: str
    tables: tuple[type[Table], ...] = ()
    is_list: bool = False

    @property
    def rule(self) -> str:
        """What may be written, in one phrase: ``a mass, more than 0 kg``."""
        return ", ".join(filter(None, (self.holds, self.limits)))

    @property
    def told_default(self) -> str:
        """The default in words."""
        if self.default is None:
            return "must be given"
        if self.default:
            return f"default {self.default}"
        return "" if "left out" in self.effect.lower() else "may be left out"


def said(effect: str) -> str:
    """A description as a sentence of its own.

    >>> said("opening of the throttle, left alone; or")
    'Opening of the throttle, left alone.'
    """
    text = effect.removesuffix(" or").rstrip(".,; ")
    return f"{text[0].upper()}{text[1:]}." if text else ""


def choice_of(table: type[Table]) -> str:
    """What chooses a table among several: the value of its ``kind`` or ``step``; empty if nothing does."""
    field = table.model_fields.get("kind") or table.model_fields.get("step")
    choices = get_args(field.annotation) if field is not None else ()
    return str(choices[0]) if len(choices) == 1 else ""


def told_of(table: type[Table]) -> str:
    """What a table is, in a sentence."""
    return " ".join((table.__doc__ or "").split())


def facts(table: type[Table]) -> tuple[KeyFacts, ...]:
    """The facts of every key of a table, the one that chooses first."""
    return tuple(sorted(
        (_facts(name, info) for name, info in table.model_fields.items()),
        key=lambda fact: bool(fact.tables) or fact.key not in ("kind", "step"),
    ))  # fmt: skip


def _facts(name: str, info: FieldInfo) -> KeyFacts:
    annotation = Annotated[(info.annotation, *info.metadata)] if info.metadata else info.annotation
    told = list(_plain_types(annotation))
    tables = tuple(
        dict.fromkeys(kind for kind, _ in told if isinstance(kind, type) and issubclass(kind, Table))
    )
    is_list = any(get_origin(part) is tuple for part in _options(info.annotation))
    limits = "; ".join(dict.fromkeys(_limits(kind, marks, is_list) for kind, marks in told))
    holds = " or ".join(dict.fromkeys(_holds(kind, marks) for kind, marks in told if kind is not type(None)))
    if is_list:
        holds = (
            "a list of tables" if tables else f"a list of {'text' if holds == 'text' else f'any of {holds}'}"
        )
    return KeyFacts(
        info.alias or name, holds, limits.strip("; "), _default(info), info.description or "", tables, is_list
    )


def _options(annotation: Any) -> Iterator[Any]:
    """The types a field may have, annotations taken off."""
    if get_origin(annotation) is Annotated:
        yield from _options(get_args(annotation)[0])
    elif get_origin(annotation) in (Union, types.UnionType):
        for part in get_args(annotation):
            yield from _options(part)
    else:
        yield annotation


def _plain_types(annotation: Any, marks: tuple[Any, ...] = ()) -> Iterator[tuple[Any, tuple[Any, ...]]]:
    """Every plain type a field is made of, with the annotations about it."""
    origin, parts = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        yield from _plain_types(parts[0], (*marks, *parts[1:]))
    elif origin in (Union, types.UnionType):
        for part in parts:
            yield from _plain_types(part, marks)
    elif origin is tuple:
        yield from _plain_types(parts[0], marks)
    elif annotation is not type(None):
        yield annotation, marks


def _holds(kind: Any, marks: tuple[Any, ...]) -> str:
    for mark in marks:
        if isinstance(mark, QuantityText):
            return KINDS[mark.kind].noun
    if get_origin(kind) is Literal:
        return listed(get_args(kind)).replace("'", '"')
    if isinstance(kind, type) and issubclass(kind, Table):
        return "a table"
    return _PLAIN.get(kind, "a table")


def _limits(kind: Any, marks: tuple[Any, ...], is_list: bool) -> str:
    for mark in marks:
        if isinstance(mark, QuantityText):
            is_own = mark.example != KINDS[mark.kind].example
            return mark.range_text(units.read(mark.example, mark.kind).unit if is_own else None)
    inside = [part for mark in marks for part in (mark.metadata if isinstance(mark, FieldInfo) else [mark])]
    words = [
        f"{said} {getattr(part, name):g}"
        for part in inside
        for name, said in _LIMITS
        if kind in (int, float) and getattr(part, name, None) is not None
    ]
    longest = next((part.max_length for part in inside if getattr(part, "max_length", None)), None)
    if longest is not None and is_list and kind is not str:
        words.append(f"at most {longest} of them")
    return " and ".join(words)


def _default(info: FieldInfo) -> str | None:
    """The default as it is typed; None if the key must be given."""
    if info.is_required():
        return None
    return typed(info.get_default(call_default_factory=True), quantity_kind(info))


def quantity_kind(info: FieldInfo) -> str | None:
    """The kind of quantity a field holds; None for all else."""
    return next((mark.kind for mark in marks_of(info) if isinstance(mark, QuantityText)), None)


def marks_of(info: FieldInfo) -> list[Any]:
    """Every annotation about the plain types a field is made of."""
    annotation = Annotated[(info.annotation, *info.metadata)] if info.metadata else info.annotation
    return [mark for _, marks in _plain_types(annotation) for mark in marks]


def typed(value: Any, kind: str | None = None) -> str:
    """A value as it is typed in a file; empty for nothing, for a table and for a list without entries.

    >>> typed(120.0, "time"), typed(("a",)), typed(True), typed(25e3, "pressure_difference")
    ('"2 min"', '["a"]', 'true', '"25 kPa"')
    """
    if value is None or isinstance(value, Table | dict):
        return ""
    if isinstance(value, tuple | list):
        inside = [typed(item, kind) for item in value]
        return f"[{', '.join(inside)}]" if inside and all(inside) else ""
    if kind is not None:
        return f'"{_quantity(float(value), kind)}"'
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        escaped = value.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
        return f'"{escaped}"' if value else ""
    if isinstance(value, datetime.time | datetime.date):
        return value.isoformat()
    return f"{value:g}" if isinstance(value, int) else repr(float(value))


def _quantity(value: float, kind: str) -> str:
    """A default with its unit: the one in which its number is shortest and of a handy size."""
    if kind == "time":
        return units.show(value, kind, digits=6).replace(".0 s", " s")
    usual = units.display_unit(kind)
    symbols = [usual, *(unit.symbol for unit in KINDS[kind].units if unit.symbol != usual)]
    told = [(units.significant(units.convert(value, kind, symbol), 6), symbol) for symbol in symbols]
    told = [(trimmed(number), symbol) for number, symbol in told]
    is_handy = not value or _awkwardness(told[0]) <= 4
    number, symbol = told[0] if is_handy else min(told, key=_awkwardness)
    return f"{number} {symbol.removesuffix(' gauge')}".strip()


def _awkwardness(told: tuple[str, str]) -> int:
    """How far a number is from a short one between 0.1 and 10 000; few think in mercury."""
    number, unit = told
    return len(number.lstrip("-")) + 9 * (not 0.1 <= abs(float(number)) < 1e4) + 9 * ("Hg" in unit)


def trimmed(number: str) -> str:
    """A number as text without needless noughts behind the point."""
    return number.rstrip("0").rstrip(".") if "." in number else number
