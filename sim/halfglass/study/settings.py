"""The settings of a lever: round values of a key in the unit it is written in, as a person would set them."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any, Literal, get_args, get_origin

from pydantic.fields import FieldInfo

from halfglass.scenario.day_models import Scenario
from halfglass.scenario.dotted import at, field, quantity_of, read
from halfglass.scenario.key_facts import typed as as_typed
from halfglass.scenario.toml_places import KeyPath
from halfglass.scenario.written_plan import WrittenPlan
from halfglass.vocabulary import units

MOST_STEPS = 50
"""Steps a range is cut into at most (judgement)."""
FINEST = {"fraction": 0.01, "gauge_pressure": 5e3, "mass": 0.05}
"""Finest step by kind of quantity [SI]: nobody sets or reads finer (judgement)."""
AS_WRITTEN = "as written"


@dataclass(frozen=True)
class Setting:
    """One setting of a lever: as typed in a file, in the day's own value (SI, a word, a list), and in words.

    A step left out has the value None.
    """

    typed: Any
    value: Any
    text: str


@dataclass(frozen=True)
class Lever:
    """A key, what it is in words, every place it stands for, and its settings, the lowest first.

    `written` is the place of the setting as written; `is_ordered` tells whether neighbours are alike.
    """

    key: str
    name: str
    paths: tuple[KeyPath, ...]
    settings: tuple[Setting, ...]
    written: int
    is_ordered: bool = True


def ranged(
    day: Scenario, raw: WrittenPlan, key: str, name: str, places: tuple[KeyPath, ...],
    low: str | float, high: str | float,
) -> Lever:  # fmt: skip
    """A lever over a range, its ends in SI or as typed; ends that are typed are settings themselves.

    Parameters: raw, the plan as written, for units; key, name of the lever; places the key stands for.
    """
    info = field(day, key, by_place=True)
    text = quantity_of(info)
    if text is None and (get_origin(info.annotation) is Literal or info.annotation is bool):
        raise ValueError("this is chosen, not measured; give its values as KEY=VALUE|VALUE")
    typed = [_plain(info, end) if isinstance(end, str) else end for end in (low, high)]
    ends = [read(info, end) if isinstance(end, str) or text is None else end for end in typed]
    if ends[0] >= ends[1]:
        raise ValueError("the range must go up, as in LOW..HIGH")
    if text is None:
        is_whole = isinstance(at(day, places[0]), int)
        numbers = _round_numbers(float(ends[0]), float(ends[1]), 1.0 if is_whole else 0.0)
    else:
        unit = _unit(low, raw.value(places[0]), text.kind, day.units)
        low_end, high_end, finest = (
            float(units.convert(value, text.kind, unit)) for value in (*ends, FINEST.get(text.kind, 0.0))
        )
        numbers = [f"{number:.12g} {unit}".strip() for number in _round_numbers(low_end, high_end, finest)]
    if isinstance(low, str):
        numbers = [typed[0], *numbers, typed[1]]
    settings: list[Setting] = []
    for number in numbers:
        setting = _setting(info, number)
        if not settings or not _is_same(setting.value, settings[-1].value):
            settings.append(setting)
    return _with_written(Lever(key, name, places, tuple(settings), 0), info, day, raw)


def chosen(
    day: Scenario, raw: WrittenPlan, key: str, places: tuple[KeyPath, ...], values: list[str]
) -> Lever:
    """A lever over some values as typed on the command line, in no order."""
    info = field(day, key, by_place=True)
    settings = tuple(_setting(info, _plain(info, value)) for value in values)
    return _with_written(Lever(key, key, places, settings, 0, False), info, day, raw)


def _plain(info: FieldInfo, text: str) -> Any:
    """A value from the command line as it would stand in a file: there, only words have quotes."""
    if quantity_of(info) is not None:
        return text
    kinds = {info.annotation, *get_args(info.annotation)}
    if bool in kinds and text in ("true", "false"):
        return text == "true"
    for kind in (int, float):
        if kind in kinds:
            try:
                return kind(text)
            except ValueError:
                continue
    return text


def _setting(info: FieldInfo, typed: Any) -> Setting:
    text = ("yes" if typed else "no") if isinstance(typed, bool) else str(typed)
    return Setting(typed, read(info, typed), text)


def _with_written(lever: Lever, info: FieldInfo, day: Scenario, raw: WrittenPlan) -> Lever:
    """The lever with the setting as written put in where it belongs.

    Where the places are written differently, "as written" is a setting of its own.
    """
    values = [at(day, path) for path in lever.paths]
    are_alike = all(_is_same(value, values[0]) for value in values)
    if are_alike:
        found = next((n for n, s in enumerate(lever.settings) if _is_same(s.value, values[0])), None)
        if found is not None:
            return replace(lever, written=found)
    typed = raw.value(lever.paths[0])
    if typed is None:
        text = quantity_of(info)
        typed = as_typed(values[0], text.kind if text else None).strip('"')
    written = Setting(typed, values[0], str(typed) if are_alike else AS_WRITTEN)
    below = sum(s.value < values[0] for s in lever.settings) if lever.is_ordered else 0
    settings = (*lever.settings[:below], written, *lever.settings[below:])
    return replace(lever, settings=settings, written=below)


def _is_same(one: Any, other: Any) -> bool:
    if isinstance(one, bool) or isinstance(other, bool) or not isinstance(one, int | float):
        return bool(one == other)
    return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-12)


def _unit(low: str | float, written: Any, kind: str, choice: str) -> str:
    """The unit of the settings: that of the range asked for, else as written, else of the answers."""
    for text in (low, written):
        if isinstance(text, str):
            unit = units.read(text, kind).unit
            return "min" if unit is None else unit  # a time in steps, such as 1 h 15 min
    return units.display_unit("level" if kind == "length" else kind, choice).removesuffix(" gauge")


def _round_numbers(low: float, high: float, finest: float = 0.0) -> list[Any]:
    """Round numbers from low to high, in at most `MOST_STEPS` steps of 1, 2 or 5 times a power of ten.

    `finest` is the least step; one of 1 gives whole numbers.

    >>> _round_numbers(50.0, 55.0, 1.0), _round_numbers(0.05, 0.09)[:3]
    ([50, 51, 52, 53, 54, 55], [0.05, 0.051, 0.052])
    """
    least = max((high - low) / MOST_STEPS, finest)
    power = 10.0 ** math.floor(math.log10(least))
    step = next(step for step in (power, 2.0 * power, 5.0 * power, 10.0 * power) if step >= least * 0.999)
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    digits = max(0, -math.floor(math.log10(step)))
    numbers = [round(count * step, digits) for count in range(first, last + 1)]
    return [round(number) for number in numbers] if step >= 1.0 else numbers
