"""Puts other values into a TOML text and leaves every other character, comments too, as it stands."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from typing import Any

from halfglass.scenario.toml_places import KeyPath, Position, find_places, key_text

_VALUE = re.compile(r'"(?:[^"\\]|\\.)*"|\'[^\']*\'|[^\s,#\]}]+')
"""A basic or literal string, or a bare value; other strings and lists are never put in place of."""


class NoPlaceError(Exception):
    """A key for which the text has no place; the message says which."""


def with_values(text: str, values: Mapping[KeyPath, str]) -> str:
    """A text with values, given as they are to be written, in place of those there or beside their kin.

    A key that is not there is put before the first key of its table.
    Raises: NoPlaceError if its table is not there either, or is written in some other way.
    """
    places = find_places(text).places
    cuts = []
    for path, value in values.items():
        if path in places:
            start = _offset(text, places[path][1])
            found = _VALUE.match(text, start)
            cuts.append((start, found.end() if found else start, value))
        else:
            start, written = _beside(text, places, path, value)
            cuts.append((start, start, written))
    changed = text
    for start, end, value in sorted(cuts, reverse=True):
        changed = changed[:start] + value + changed[end:]
    if not _is_just_that(text, changed, values):
        raise NoPlaceError(
            f"cannot put {', '.join(key_text(path) for path in values)} into this file as it is written"
        )
    return changed


def _beside(
    text: str, places: Mapping[KeyPath, tuple[Position, Position]], path: KeyPath, value: str
) -> tuple[int, str]:
    """Where a new key goes, before the first one of its table, and what is written there."""
    kin = [key for other, (key, _) in places.items() if len(other) == len(path) and other[:-1] == path[:-1]]
    if not kin:
        raise NoPlaceError(f"this file has no table for {key_text(path)}; write the key into it first")
    start = _offset(text, min(kin))
    before = text[:start].rpartition("\n")[2]
    end = "\n" if not before.strip() else ", "
    return start, f"{path[-1]} = {value}{end}"


def _offset(text: str, place: Position) -> int:
    """Characters before a place counted from 1."""
    line, column = place
    return sum(len(one) + 1 for one in text.split("\n")[: line - 1]) + column - 1


def _is_just_that(before: str, after: str, values: Mapping[KeyPath, str]) -> bool:
    """Whether a changed text holds the new values, and all else as before."""
    try:
        wanted, found = tomllib.loads(before), tomllib.loads(after)
    except tomllib.TOMLDecodeError:
        return False
    for path, value in values.items():
        inside: Any = wanted
        for part in path[:-1]:
            inside = inside[part]
        inside[path[-1]] = tomllib.loads(f"x = {value}")["x"]
    return wanted == found
