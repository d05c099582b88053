"""Numbers of a run: what is taken of a reading, and how it is read and shown."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from halfglass.classroom.branch import COLUMNS, Rows, like
from halfglass.classroom.lesson_models import DIFFERENCES, TIMES, Number
from halfglass.day.by_hand import TICK, ticks
from halfglass.scenario.uncertain import DIFFERENCE
from halfglass.vocabulary import quantities, units


def kind_of(reading: str, take: str = "start") -> str:
    """The kind of unit a number of a reading has: a difference, a time, or the reading's own."""
    if take in TIMES:
        return "time"
    kind = quantities.lookup(like(reading)).kind
    return DIFFERENCE.get(kind, kind) if take in DIFFERENCES else kind


def shown_as(number: Number) -> tuple[str, str]:
    """The reading a number is of, and what is taken of it: what another was taken off is a difference."""
    return number.reading, "change" if number.minus is not None and number.take not in TIMES else number.take


def value_of(number: Number, rows: Rows) -> float:
    """What a number comes to [SI] in the rows of a run, from its start; not a number if there are none."""
    last = len(rows) - 1 if number.until is None else min(ticks(number.until), len(rows) - 1)
    values = np.array([row[COLUMNS.index(number.reading)] for row in rows[ticks(number.since) : last + 1]])
    if values.size == 0:
        return math.nan
    if number.level is not None:
        return _first_past(number, values)
    first, highest, lowest = values[0], values.max(), values.min()
    taken = {
        "start": first,
        "end": values[-1],
        "highest": highest,
        "lowest": lowest,
        "mean": values.mean(),
        "change": values[-1] - first,
        "rise": highest - first,
        "fall": first - lowest,
        "time of highest": number.since + TICK * int(values.argmax()),
        "time of lowest": number.since + TICK * int(values.argmin()),
    }
    return float(taken[number.take])


def _first_past(number: Number, values: NDArray[np.float64]) -> float:
    """When a reading first passes the level [s after the run began]; not a number if it never does."""
    level = units.parse(str(number.level), kind_of(number.reading))
    past = np.flatnonzero(values > level if number.take == "first above" else values < level)
    return number.since + TICK * int(past[0]) if past.size else math.nan


def in_words(value: float, number: Number, system: str) -> str:
    """A number as the text tells it, with its unit."""
    value, unit = shown(value, *shown_as(number), system)
    if unit == "s":
        return units.show(value, "time", digits=2)
    digits = 3 if unit.endswith("gauge") else 2
    return read_out(value, digits, unit)


def read_out(value: float, digits: int, unit: str) -> str:
    """A number in its unit, with a minus sign that is one."""
    number = units.significant(value, digits).replace("-", "\N{MINUS SIGN}")
    return f"{number} {unit}".strip()


def shown(value: float, reading: str, take: str, system: str) -> tuple[float, str]:
    """A number in the unit it is shown in, and that unit."""
    kind = kind_of(reading, take)
    if kind == "time":
        return value, "s"
    own = quantities.shown_in(like(reading), system)
    if kind == "temperature_difference":
        return value, "K"
    if kind == "pressure_difference":
        unit = own.removesuffix(" gauge")
        return float(units.convert(value, "pressure_difference", unit)), unit
    return float(quantities.convert(value, like(reading), system)), own
