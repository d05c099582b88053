"""Text to SI and back, by a small closed grammar.

A value is a number and a unit: ``"25 L"``, ``"75 psi"``, ``"-2.5 °C"``, ``"1 1/2 in"``.  A few
kinds may be written in falling steps: ``"1 h 30 min"``, ``"22 ft 6 in"``, ``"3 cwt 56 lb"``; only the
last step may have decimals, and each must be smaller than one of the step before.  A fraction may be
written ``"60 %"`` or, as the trade reads a gauge glass, ``"1/2"``.  Nothing else is read: a bare
number, a decimal comma, an unlisted unit or a unit of another kind is refused with a sentence that
shows what would be accepted.  Text is at most `LONGEST_TEXT` characters and nothing is evaluated.

The units of each kind are in `unit_table`.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Any

from halfglass.vocabulary.errors import listed, nearest, quoted
from halfglass.vocabulary.unit_choice import chosen
from halfglass.vocabulary.unit_table import AMBIGUOUS, KINDS, LOOKALIKES, USES, Kind, Unit, find_unit

LONGEST_TEXT = 80
LARGEST_EXPONENT = 15

_SIGN = re.compile(r"\s*([+-]?)\s*")
_NUMBER = re.compile(
    r"(?:(\d+)\s+)?(\d+)\s*/\s*(\d+)|(\d+(?:\.\d*)?|\.\d+)(?:[eE]([+-]?\d+))?", re.ASCII)


class UnitError(ValueError):
    """A text that is not an acceptable value of its kind; `message` says why and shows one that is."""

    def __init__(self, message: str) -> None:
        self.message = message
        super().__init__(message)


@dataclass(frozen=True)
class Given:
    """A value as given: its SI number, and the unit it was written in (None when in several)."""

    value: float
    unit: str | None


@dataclass(frozen=True)
class _Number:
    value: float
    written: str
    is_whole: bool
    is_vulgar: bool


def parse(text: object, kind: str, example: str | None = None) -> float:
    """The SI value of a text such as ``"25 L"``.

    text: what was written, at most 80 characters.  kind: a name in `unit_table.KINDS`.
    example: shown in the refusal instead of the kind's own example.
    Raises `UnitError` for anything that is not a finite value of that kind.

    >>> parse("25 L", "volume")
    0.025
    >>> parse("1 h 30 min", "time")
    5400.0
    >>> parse("25 kg", "volume")
    Traceback (most recent call last):
    halfglass.vocabulary.units.UnitError: '25 kg' is a mass; this wants a volume such as '25 L'
    """
    return read(text, kind, example).value


def read(text: object, kind: str, example: str | None = None) -> Given:
    """As `parse`, but also says which unit was used, so that a range can be told in that unit."""
    wanted = KINDS[kind]
    wants = f"this wants {wanted.noun} such as {quoted(example or wanted.example)}"
    if not isinstance(text, str):
        raise UnitError(f"{_describe(text)}; {wants}, in quotes")
    _refuse_oddities(text, wants)
    tidy = " ".join(text.translate(LOOKALIKES).split())
    sign = _SIGN.match(tidy)
    start = sign.end() if sign else 0
    negative = -1.0 if sign and sign.group(1) == "-" else 1.0
    number, end = _read_number(tidy, start, text, wants)
    unit_text = tidy[end:].strip()
    if not unit_text and number.is_vulgar and kind == "fraction":
        return Given(negative * number.value, "%")
    unit = find_unit(wanted.name, unit_text)
    if unit is not None:
        return Given(_checked(to_si(negative * number.value, kind, unit_text), wanted, text), unit_text)
    if wanted.compound and any(ch.isdigit() for ch in unit_text):
        return Given(negative * _read_steps(tidy, start, wanted, text, wants), None)
    raise UnitError(_why_not(text, number, unit_text, wanted, wants))


def to_si(value: Any, kind: str, unit: str) -> Any:
    """A number (or numpy array) in `unit` as SI.

    >>> to_si(1.0, "length", "mile")
    1609.344
    """
    row = _unit(kind, unit)
    return value * row.factor + row.offset


def convert(value_si: Any, kind: str, unit: str) -> Any:
    """An SI number (or numpy array) in `unit`.

    >>> convert(1852.0 / 3600, "speed", "kn")
    1.0
    """
    row = _unit(kind, unit)
    return (value_si - row.offset) / row.factor


def display_unit(kind: str, system: str = "metric") -> str:
    """The unit a kind, or a use of one, is shown in under a choice of units (see `unit_choice`).

    >>> display_unit("gauge_pressure", "trade"), display_unit("level", "trade, level=mm")
    ('psi gauge', 'mm')
    """
    return chosen(system)[kind]


def kind_of(use: str) -> str:
    """The kind of a use such as ``"level"``; a kind is its own.

    >>> kind_of("level"), kind_of("mass")
    ('length', 'mass')
    """
    return USES[use][0] if use in USES else use


def show(value_si: float, kind: str, unit: str | None = None, digits: int = 3) -> str:
    """An SI value as text with its unit, to `digits` significant figures.

    Figures before the decimal point are never rounded away.  Without a unit the metric one is used,
    and a time is given in hours, minutes and seconds.

    >>> show(517106.8, "gauge_pressure", "psi"), show(0.0253, "volume"), show(5400.0, "time")
    ('75.0 psi', '25.3 L', '1 h 30 min')
    """
    if math.isnan(value_si):
        return "not known"
    if math.isinf(value_si):
        return "unlimited" if value_si > 0 else "-unlimited"
    if unit is None and kind == "time":
        return _show_time(value_si, digits)
    unit = display_unit(kind) if unit is None else unit
    return f"{significant(convert(value_si, kind, unit), digits)} {unit}".strip()


def significant(value: float, digits: int = 3) -> str:
    """A number to `digits` significant figures (12 decimals at most), written without an exponent.

    >>> significant(1234.56), significant(0.012345), significant(99.96), significant(-0.0)
    ('1235', '0.0123', '100', '0')
    """
    if value == 0:
        return "0"
    rounded = float(f"{value:.{digits - 1}e}")  # 99.96 is 100, a place longer
    decimals = min(12, max(0, digits - 1 - math.floor(math.log10(abs(rounded)))))
    text = f"{value:.{decimals}f}"
    return text if float(text) else "0"


def pattern(kind: str) -> str:
    """A regular expression for the values of a kind, for editors; `parse` is the judge."""
    number = r"[+-]?\s*(\d+\s+\d+/\d+|\d+/\d+|\d+(\.\d*)?([eE][+-]?\d+)?|\.\d+([eE][+-]?\d+)?)"
    row = KINDS[kind]
    spellings = sorted((s for unit in row.units for s in (unit.symbol, *unit.aliases)), key=len, reverse=True)
    units = "|".join(re.escape(s).replace(r"\ ", r"\s+").replace("2", "[2²]").replace("3", "[3³]")
                     for s in spellings)
    if kind == "fraction":
        return rf"^\s*({number}\s*({units})|\d+/\d+)\s*$"
    steps = rf"(\s*{number}\s*({units}))*" if row.compound else ""
    return rf"^\s*{number}\s*({units}){steps}\s*$"


def _refuse_oddities(text: str, wants: str) -> None:
    """Refuse text that is empty, over-long, not a number, or written with a comma or colon."""
    if len(text) > LONGEST_TEXT:
        raise UnitError(f"{quoted(text)} is too long to be a value with a unit; {wants}")
    if not text.strip():
        raise UnitError(f"there is nothing here; {wants}")
    if re.match(r"\s*[+-]?(nan|inf|infinity)\b", text, re.IGNORECASE):
        raise UnitError(f"{quoted(text)} is not a number that can be used; {wants}")
    if re.search(r"\d,\d", text, re.ASCII):
        raise UnitError(_comma(text.strip(), wants))
    if re.match(r"\s*\d+:\d", text, re.ASCII):
        raise UnitError(f"{quoted(text)} is a time of day or a clock reading; {wants}")


def _comma(text: str, wants: str) -> str:
    """The sentence for a number with commas, decimal or between thousands."""
    with_point, without = quoted(text.replace(",", ".")), quoted(text.replace(",", ""))
    is_single = text.count(",") == 1
    if re.match(r"[+-]?[1-9]\d{0,2}(,\d{3})+(?!\d)", text, re.ASCII):
        or_point = f", or {with_point} with a decimal point" if is_single else ""
        return f"{quoted(text)} has a comma; write {without} for thousands{or_point}"
    if is_single:
        return f"{quoted(text)} has a decimal comma; write it with a point, {with_point}"
    return f"{quoted(text)} has commas; {wants}"


def _read_number(tidy: str, start: int, text: str, wants: str) -> tuple[_Number, int]:
    """The number at `start` and where it ends."""
    found = _NUMBER.match(tidy, start)
    if found is None:
        raise UnitError(f"{quoted(text)} does not begin with a number; {wants}")
    whole, top, bottom, decimal, exponent = found.groups()
    if decimal is None:
        if int(bottom) == 0 or (whole is not None and int(top) >= int(bottom)):
            raise UnitError(f"{quoted(text)} has a fraction that makes no sense; {wants}")
        return _Number(int(whole or 0) + int(top) / int(bottom), found.group(), False, True), found.end()
    if exponent is not None and abs(int(exponent)) > LARGEST_EXPONENT:
        raise UnitError(f"{quoted(text)} has an exponent beyond all sense; {wants}")
    is_whole = decimal.isdigit() and exponent is None
    return _Number(float(found.group()), found.group(), is_whole, False), found.end()


def _read_steps(tidy: str, start: int, wanted: Kind, text: str, wants: str) -> float:
    """A value written in falling steps, such as ``1 h 30 min``, without its sign [SI]."""
    total, step_above, position = 0.0, "", start
    while position < len(tidy):
        number, after_number = _read_number(tidy, position, text, wants)
        position = after_number
        while position < len(tidy) and not tidy[position].isdigit() and tidy[position] not in "+-.":
            position += 1
        unit_text = tidy[after_number:position].strip()
        unit = find_unit(wanted.name, unit_text)
        if unit is None:
            raise UnitError(_why_not(text, number, unit_text, wanted, wants))
        if unit.symbol not in wanted.compound:
            raise UnitError(f"{quoted(text)} is not used in steps with {quoted(unit_text)}; {wants}")
        if step_above:
            room = _unit(wanted.name, step_above).factor / unit.factor
            if room <= 1.0 or number.value >= room - 1e-9:
                raise UnitError(f"{quoted(text)} does not go down in steps, each less than one "
                                f"{step_above}; {wants}")
        if position < len(tidy) and not number.is_whole:
            raise UnitError(f"{quoted(text)} has a fraction before its last part; {wants}")
        total += number.value * unit.factor
        step_above = unit.symbol
    return total


def _why_not(text: str, number: _Number, unit_text: str, wanted: Kind, wants: str) -> str:
    """The sentence for a number whose unit is missing, of another kind, ambiguous or unknown."""
    if not unit_text:
        return f"{quoted(text)} has no unit; {wants}"
    if unit_text in AMBIGUOUS:
        how = AMBIGUOUS[unit_text].replace("{n}", number.written)
        return f"{quoted(text)} can mean two things: {how}"
    if unit_text[0].isdigit():
        return f"{quoted(text)} has two numbers in a row; {wants}"
    others = [kind for kind in KINDS.values() if find_unit(kind.name, unit_text)]
    if others:
        noun = (others[0].family if len(others) > 1 else "") or others[0].noun
        hint = next((wanted.hints[kind.name] for kind in others if kind.name in wanted.hints), "")
        return f"{quoted(text)} is {noun}; {wants}" + (f" ({hint})" if hint else "")
    spellings = [s for unit in wanted.units for s in (unit.symbol, *unit.aliases) if s]
    likely = nearest(unit_text, spellings)
    if likely:
        return f"{quoted(text)} has an unknown unit {quoted(unit_text)}; did you mean {quoted(likely)}? " \
               f"T{wants[1:]}"
    symbols = listed(unit.symbol for unit in wanted.units if unit.symbol)
    known = f", in {symbols}" if symbols else ""
    return f"{quoted(text)} has an unknown unit {quoted(unit_text)}; {wants}{known}"


def _checked(value: float, wanted: Kind, text: str) -> float:
    if value < wanted.lowest:
        raise UnitError(f"{quoted(text)} is impossible: {wanted.lowest_means}")
    return value


def _describe(given: object) -> str:
    """What was given in place of text, in words."""
    if isinstance(given, bool):
        return f"{str(given).lower()} is not a value with a unit"
    if isinstance(given, int) and given.bit_length() > 50:
        return "a huge bare number has no unit"
    if isinstance(given, int | float):
        return f"{given:g} is a bare number" if isinstance(given, float) else f"{given} is a bare number"
    if isinstance(given, list | tuple):
        return "this is a list"
    if isinstance(given, dict):
        return "this is a table"
    return "this is not text"


def _unit(kind: str, unit_text: str) -> Unit:
    unit = find_unit(kind, unit_text)
    if unit is None:
        raise UnitError(f"{quoted(unit_text)} is not a unit of {kind.replace('_', ' ')}")
    return unit


def _show_time(seconds: float, digits: int) -> str:
    sign = "-" if seconds < 0 else ""
    size = abs(seconds)
    if size < 59.5:
        text = significant(size, min(digits, 2) if size >= 1 else digits)
        return f"{sign if float(text) else ''}{text} s"
    if size < 3599.5:
        minutes, rest = divmod(round(size), 60)
        return f"{sign}{minutes} min" + (f" {rest} s" if rest else "")
    hours, minutes = divmod(round(size / 60), 60)
    return f"{sign}{hours} h" + (f" {minutes} min" if minutes else "")
