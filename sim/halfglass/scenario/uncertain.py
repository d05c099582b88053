"""Uncertain keys of a day: whether their values may stand where they are, and laying them in."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, get_args

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from halfglass.scenario.checks import Conflict
from halfglass.scenario.dotted import NoNumberError, UnknownKeyError, field, laid_in, read, require_allowed
from halfglass.scenario.key_facts import quantity_kind
from halfglass.scenario.toml_places import KeyPath
from halfglass.scenario.uncertain_models import CUT, Normal, OneOf, Triangular, Uncertain, Uniform
from halfglass.vocabulary import units
from halfglass.vocabulary.errors import quoted

DIFFERENCE = {
    "temperature": "temperature_difference",
    "gauge_pressure": "pressure_difference",
    "absolute_pressure": "pressure_difference",
    "barometer_pressure": "pressure_difference",
}
"""The kind a deviation is written in where it is not that of the value itself."""


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
    info = field(day, entry.key)
    parts = {name: _read(info, name, value) for name, value in _written(entry)}
    values = tuple(parts.values())
    ends = values
    if isinstance(entry, Normal):
        ends = (values[0] - CUT * values[1], values[0] + CUT * values[1])
    elif not isinstance(entry, OneOf):
        ends = (values[0], values[-1])
    return Spread(entry.key, entry.kind, values, ends, quantity_kind(info))


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
            info = field(day, entry.key)
        except NoNumberError as error:
            yield Conflict((*at, "key"), f"{error}, so it cannot be uncertain")
            continue
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
            require_allowed(info, end)
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
    """One value of an entry, in SI; ValueError says what is wrong with it."""
    if name != "deviation":
        return read(info, written)
    kind = quantity_kind(info)
    if kind is not None:
        return units.parse(written, DIFFERENCE.get(kind, kind))
    if isinstance(written, bool | str):
        raise ValueError("this wants a number")
    return float(written)


def _is_whole(info: FieldInfo) -> bool:
    """Whether a field holds a whole number."""
    return info.annotation is int or int in get_args(info.annotation)


def with_values(day: Any, values: Mapping[str, Any]) -> Any:
    """A day with each uncertain key at one value."""
    for key, value in values.items():
        day = laid_in(day, key, value)
    return day
