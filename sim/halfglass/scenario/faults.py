"""Pydantic's errors as located faults in plain words.

Every error becomes a fault at its line and column.  Three things keep the list short and useful: a
misspelt key hides the "missing" fault of the key it was meant to be; a value that may be of several
types gets one fault naming them all; and where one of those types was entered and something inside
was refused, only that is reported.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from pydantic import ValidationError

from halfglass.scenario.toml_places import KeyPath
from halfglass.scenario.toml_text import Document
from halfglass.vocabulary.errors import Fault, listed, nearest, quoted

# Keys that choose between kinds of table; pydantic puts the choice into the location of an error.
DISCRIMINATORS = ("kind", "step")

_WANTED = {
    "string_type": "text in quotes",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "float_type": "a number",
    "bool_type": "true or false",
    "list_type": "a list [ … ]",
    "tuple_type": "a list [ … ]",
    "dict_type": "a table { … }",
    "model_type": "a table { … }",
    "model_attributes_type": "a table { … }",
    "time_type": "a time of day such as 08:15:00, without quotes",
    "date_type": "a date such as 2001-06-30, without quotes",
}
MOST_TOLD = 100
"""Faults told of one reading; how many more there are is said in one line."""
_LIMITS = {"greater_than_equal": ("ge", "at least"), "greater_than": ("gt", "more than"),
           "less_than_equal": ("le", "at most"), "less_than": ("lt", "less than")}


@dataclass(frozen=True)
class _Refusal:
    """One pydantic error with the path it is about resolved.

    wanted: the type it should have been, for a wrong type.  meant: for a misspelt key, the key it was
    probably meant to be.  yields: nothing is said if something inside is refused as well.
    """

    path: KeyPath
    message: str
    on: str = "value"
    second: KeyPath | None = None
    wanted: str = ""
    meant: KeyPath | None = None
    is_missing: bool = False
    yields: bool = False


def faults_from_validation(error: ValidationError, document: Document) -> tuple[Fault, ...]:
    """Every pydantic error as a fault with its place in the document, in file order."""
    lines = error.errors(include_url=False)
    refusals = [_refusal(line, document.values) for line in lines[:MOST_TOLD]]
    faults = [document.fault(r.path, r.message, r.on, r.second) for r in _tidied(refusals)]
    faults.sort(key=lambda f: (f.file != document.file, f.file, f.line, f.column, f.key))
    left = len(lines) - MOST_TOLD
    if left > 0:
        faults.append(Fault(document.file, 0, 0, "", f"there is more, {left} faults or so; mend these first"))
    return tuple(faults)


def message_of(error: ValidationError) -> str:
    """The first of pydantic's errors about one value, in plain words."""
    refusal = _refusal(error.errors(include_url=False)[0], {})
    return f"this wants {refusal.wanted}{refusal.message}" if refusal.wanted else refusal.message


def _tidied(refusals: list[_Refusal]) -> list[_Refusal]:
    """The refusals without those that another one explains, several about one value joined."""
    meant = {r.meant for r in refusals if r.meant is not None}
    kept = [r for r in refusals if not (r.is_missing and r.path in meant)]
    entered = {r.path[:length] for r in kept for length in range(len(r.path))}
    kept = [r for r in kept if not (r.yields and r.path in entered)]
    about: dict[KeyPath, list[_Refusal]] = {}
    for refusal in kept:
        about.setdefault(refusal.path, []).append(refusal)
    return [_joined(about_one) for about_one in about.values()]


def _joined(about_one: list[_Refusal]) -> _Refusal:
    """The refusals of one value as one: it may be of several types, and is of none of them."""
    wanted = list(dict.fromkeys(r.wanted for r in about_one if r.wanted))
    messages = list(dict.fromkeys(r.message for r in about_one if not r.wanted))
    if wanted:
        given = next(r.message for r in about_one if r.wanted)
        messages.append(f"this wants {' or '.join(wanted)}{given}")
    return replace(about_one[0], message="; or else ".join(messages))


def _refusal(line: Mapping[str, Any], values: Any) -> _Refusal:
    """What one pydantic error says, in plain words."""
    kind, known = line["type"], line.get("ctx", {})
    path = _resolved(line["loc"], values, keep_last=kind in ("missing", "extra_forbidden"))
    if kind == "extra_forbidden":
        return _unknown_key(path, known.get("allowed", ()), values)
    if kind == "missing":
        wants = known.get("wants", "")
        return _Refusal(path, "this is missing" + (f"; it wants {wants}" if wants else ""), is_missing=True)
    if kind == "complaint":
        about = [path + tuple(key) for key in known["keys"]] or [path]
        return _Refusal(about[0], known["message"], second=about[1] if len(about) > 1 else None)
    if kind in _WANTED:
        return _Refusal(path, f", not {_described(line['input'])}", wanted=_WANTED[kind], yields=True)
    if kind in ("union_tag_invalid", "union_tag_not_found"):
        return _unknown_choice(path, known, line["input"])
    if kind in ("literal_error", "enum"):
        choices = [a or b for a, b in re.findall(r"'([^']*)'|\"([^\"]*)\"", str(known.get("expected", "")))]
        return _Refusal(path, _not_a_choice(line["input"], choices))
    # A list whose every entry was refused is also reported as too short.
    return _Refusal(path, _other_words(kind, known, line), yields=kind == "too_short")


def _other_words(kind: str, known: Mapping[str, Any], line: Mapping[str, Any]) -> str:
    """Words for limits, lengths and rules written in the tables themselves."""
    if kind == "quantity":
        return str(known["message"])
    if kind in _LIMITS:
        limit, words = _LIMITS[kind]
        return f"{_described(line['input'])} is out of range; this must be {words} {known[limit]}"
    if kind == "string_too_short":
        return "this may not be empty"
    if kind == "string_too_long":
        return f"this is longer than {known['max_length']} characters"
    if kind in ("too_short", "too_long"):
        bound, words = ("min_length", "at least") if kind == "too_short" else ("max_length", "at most")
        entries = "entry" if known[bound] == 1 else "entries"
        return f"this list must have {words} {known[bound]} {entries}; it has {len(line['input'])}"
    if kind == "finite_number":
        return f"this must be an ordinary number, not {line['input']:g}"
    return re.sub(r"^(Value error|Assertion failed), ", "", str(line["msg"]))


def _unknown_key(path: KeyPath, allowed: tuple[str, ...], values: Any) -> _Refusal:
    table = _table_at(path[:-1], values)
    key = str(path[-1])
    likely = nearest(key, [name for name in allowed if name not in table]) or nearest(key, allowed)
    guess = f"; did you mean {quoted(likely)}?" if likely else "."
    names = ", ".join(quoted(name) for name in sorted(allowed))
    return _Refusal(path, f"there is no such key here{guess} Here may stand: {names}", on="key",
                    meant=(*path[:-1], likely) if likely else None)


def _unknown_choice(path: KeyPath, known: Mapping[str, Any], table: Any) -> _Refusal:
    key = str(known.get("discriminator", "")).strip("'")
    choices = list(known.get("choices", ()))
    if isinstance(table, dict) and key in table:
        return _Refusal((*path, key), _not_a_choice(table[key], choices))
    one_of = f"; it wants one of {', '.join(quoted(choice) for choice in choices)}" if choices else ""
    return _Refusal((*path, key), f"this is missing{one_of}", is_missing=True)


def _not_a_choice(given: Any, choices: list[str]) -> str:
    wants = f"one of {', '.join(quoted(c) for c in choices)}" if len(choices) > 1 else listed(choices)
    if not isinstance(given, str):
        return f"this wants {wants}, not {_described(given)}"
    likely = nearest(given, choices)
    guess = f"; did you mean {quoted(likely)}?" if likely and likely != given else ";"
    return f"{quoted(given)} is not known here{guess} {'T' if guess != ';' else 't'}his wants {wants}"


def _described(given: Any) -> str:
    """A value as a user would call it."""
    if isinstance(given, bool):
        return str(given).lower()
    if isinstance(given, int):
        return f"the number {given}" if given.bit_length() < 64 else "a huge number"
    if isinstance(given, float):
        return f"the number {given:g}"
    if isinstance(given, str):
        return f"the text {quoted(given)}"
    if isinstance(given, list | tuple):
        return "a list"
    if isinstance(given, dict):
        return "a table"
    if isinstance(given, datetime.time | datetime.date):
        return f"the {'time' if isinstance(given, datetime.time) else 'date'} {given.isoformat()}"
    return "this"


def _resolved(loc: tuple[Any, ...], values: Any, keep_last: bool) -> KeyPath:
    """The path in the file of a pydantic location, which also names the type or kind tried.

    keep_last: the last step is a key whether or not the file has it.
    """
    path: list[str | int] = []
    here, is_chosen = values, False
    for index, part in enumerate(loc):
        if isinstance(here, dict):
            if not is_chosen and index < len(loc) - keep_last and \
                    any(part == here.get(key) for key in DISCRIMINATORS):
                is_chosen = True
            elif part in here:
                path.append(part)
                here, is_chosen = here[part], False
            elif keep_last and index == len(loc) - 1:
                path.append(part)
        elif isinstance(here, list | tuple) and isinstance(part, int) and part < len(here):
            path.append(part)
            here, is_chosen = here[part], False
    return tuple(path)


def _table_at(path: KeyPath, values: Any) -> Mapping[str, Any]:
    for part in path:
        values = values[part]
    return values if isinstance(values, dict) else {}
