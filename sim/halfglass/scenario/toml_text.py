"""A TOML file as values with places.

Values come from the standard library's `tomllib`.  Where each key and value stands is worked out
only when a fault needs it (`toml_places`).  `Document.grafted` lays one file's entries over another's
(a boat file into a scenario, a plan's changes over its base) while every entry keeps its own place.

Reading is bounded: size, line length and depth of nesting are limited, and anything that is not a
plain UTF-8 text file is refused with a fault rather than an exception from below.
"""

from __future__ import annotations

import re
import stat
import tomllib
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from halfglass.scenario.toml_places import KeyPath, find_places, key_text
from halfglass.scenario.toml_syntax import syntax_fault
from halfglass.vocabulary.errors import Fault, Place, ScenarioError, nearest, quoted

LARGEST_FILE = 1_000_000
LONGEST_LINE = 2_000
DEEPEST_NESTING = 24
MOST_ENTRIES = 20_000
_NO_TEXT = "this is not a text file; a scenario is plain text in TOML"
_CONTROL = re.compile(rb"[\x00-\x08\x0e-\x1f]")
# A dotted name deeper than that: refused before reading, since the reader slows with its square.
_TOO_DEEP = re.compile(
    rf"(?:^|[{{,\[])[ \t]*[\w\"'-]+(?:[ \t]*\.[ \t]*[\w\"'-]+){{{DEEPEST_NESTING}}}", re.MULTILINE)


@dataclass(frozen=True)
class Graft:
    """Entries of another document laid in at `path`; they stand in `document` at `origin`."""

    path: KeyPath
    document: Document
    origin: KeyPath


@dataclass(frozen=True)
class Document:
    """One read file: the name to show for it, its text, its values, and what was grafted in."""

    file: str
    text: str
    values: dict[str, Any]
    grafts: tuple[Graft, ...] = ()

    @cached_property
    def _places(self) -> dict[KeyPath, tuple[tuple[int, int], tuple[int, int]]]:
        return find_places(self.text).places

    @cached_property
    def _lines(self) -> list[str]:
        return self.text.split("\n")

    def position(self, path: KeyPath, on: str = "value") -> tuple[int, int]:
        """Line and column (from 1) of the entry at `path` in this file, or of its nearest ancestor.

        0, 0 stands for the file as a whole, where there is not even an ancestor.

        path: keys and list indices (from 0), such as ``("route", 2, "distance")``.
        on: ``"value"`` or ``"key"``.
        """
        for length in range(len(path), 0, -1):
            found = self._places.get(path[:length])
            if found is not None:
                return found[0] if on == "key" or length < len(path) else found[1]
        return 0, 0

    def place(self, path: KeyPath, on: str = "value") -> Place:
        """Where the entry at `path` stands: file, line, column and source line, through any graft."""
        for graft in reversed(self.grafts):
            depth = len(graft.path)
            if path[:depth] == graft.path:
                return graft.document.place(graft.origin + path[depth:], on)
        line, column = self.position(path, on)
        source = self._lines[line - 1] if 0 < line <= len(self._lines) else ""
        return Place(self.file, line, column, source)

    def fault(self, path: KeyPath, message: str, on: str = "value", second: KeyPath | None = None) -> Fault:
        """A fault at the entry at `path`; `second` is the other entry when two conflict."""
        at = self.place(path, on)
        other = self.place(second) if second is not None else None
        if other is not None and second is not None and other.line == 0:
            line, column = self.position(second)  # the boat as a whole: where this file names it
            other = Place(self.file, line, column, self._lines[line - 1]) if line else None
        return Fault(at.file, at.line, at.column, key_text(path), message, at.source_line, other)

    def grafted(self, path: KeyPath, document: Document, origin: KeyPath = ()) -> Document:
        """This document with the value at `origin` of `document` laid in at `path`, places kept.

        Tables on the way that do not exist yet are made; a list index must exist already.
        """
        value = _at(document.values, origin)
        values = _with(self.values, path, value)
        return Document(self.file, self.text, values, (*self.grafts, Graft(path, document, origin)))


def read(path: str | Path) -> Document:
    """Read a TOML file; anything wrong with it is a `ScenarioError` with one fault."""
    where = Path(path)
    shown = str(path)
    try:
        status = where.stat()
        if stat.S_ISDIR(status.st_mode):
            raise _refused(shown, f"this is a folder; give a file in it{_such_as(where, '')}")
        if not stat.S_ISREG(status.st_mode):
            raise _refused(shown, "this is not an ordinary file")
        with where.open("rb") as stream:
            data = stream.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        raise _refused(shown, _missing(where)) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "its name cannot be used"
        raise _refused(shown, f"this file cannot be read: {reason}") from None
    return from_bytes(data, shown)


def from_bytes(data: bytes, file: str) -> Document:
    """A document from the bytes of a file (or of standard input), shown under the name `file`."""
    if len(data) > LARGEST_FILE:
        raise _refused(file, f"this file is larger than {LARGEST_FILE // 1000} kB, too large for a scenario")
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise _refused(file, "this file is UTF-16 text; save it as UTF-8")
    if b"\x00" in data:
        raise _refused(file, _NO_TEXT)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise ScenarioError([_not_utf8(data, error.start, file)]) from None
    return from_text(text, file)


def from_text(text: str, file: str) -> Document:
    """A document from text, shown under the name `file`."""
    text = text.removeprefix("\ufeff").replace("\r\n", "\n")
    if "\r" in text and "\n" not in text:
        raise _refused(file, "its lines end in a carriage return alone; save it with the usual line ends")
    for number, line in enumerate(text.split("\n"), start=1):
        if len(line) > LONGEST_LINE:
            message = f"this line is longer than {LONGEST_LINE} characters; break it up"
            raise ScenarioError([Fault(file, number, LONGEST_LINE, "", message, line)])
    if _TOO_DEEP.search(text):
        raise _refused(file, "the entries are nested too deep")
    try:
        values = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise ScenarioError([syntax_fault(text, file, str(error))]) from None
    except RecursionError:
        raise _refused(file, "the entries are nested too deep") from None
    except ValueError:
        raise _refused(file, "a number in this file has too many digits") from None
    depth, entries = _measure(values)
    if depth > DEEPEST_NESTING:
        raise _refused(file, "the entries are nested too deep")
    if entries > MOST_ENTRIES:
        raise _refused(file, f"this file has more than {MOST_ENTRIES} entries, too many for a scenario")
    return Document(file, text, values)


def _refused(file: str, message: str) -> ScenarioError:
    return ScenarioError([Fault(file, 0, 0, "", message)])


def _not_utf8(data: bytes, start: int, file: str) -> Fault:
    """The fault for bytes that are no UTF-8 from `start` on; with control characters it is no text at all."""
    if _CONTROL.search(data):
        return Fault(file, 0, 0, "", _NO_TEXT)
    line = data.count(b"\n", 0, start) + 1
    before = data[data.rfind(b"\n", 0, start) + 1 : start].decode("utf-8-sig")
    after = data[start:].partition(b"\n")[0][:LONGEST_LINE].decode("utf-8", "replace").rstrip("\r")
    message = f"this is not UTF-8 text (byte 0x{data[start]:02x}); save the file as UTF-8"
    return Fault(file, line, len(before) + 1, "", message, before + after)


def _missing(where: Path) -> str:
    if not where.parent.is_dir():
        return f"there is no such file, nor a folder {quoted(str(where.parent))}"
    return f"there is no such file{_such_as(where.parent, where.name)}"


def _such_as(folder: Path, name: str) -> str:
    """A suggestion from the files of a folder: the nearest name, or with no name the first."""
    try:
        files = sorted(entry.name for entry in folder.iterdir() if entry.suffix == ".toml")
    except OSError:
        return ""
    likely = nearest(name, files) if name else next(iter(files), None)
    if likely is None:
        return ""
    return f"; did you mean {quoted(likely)}?" if name else f", such as {quoted(likely)}"


def _measure(values: object) -> tuple[int, int]:
    """How deep tables and lists are nested and how many entries there are, counted without recursion."""
    deepest, entries, waiting = 0, 0, [(values, 1)]
    while waiting:
        value, depth = waiting.pop()
        deepest, entries = max(deepest, depth), entries + 1
        if isinstance(value, dict):
            waiting += [(child, depth + 1) for child in value.values()]
        elif isinstance(value, list):
            waiting += [(child, depth + 1) for child in value]
    return deepest, entries


def _at(values: Any, path: KeyPath) -> Any:
    for part in path:
        values = values[part]
    return values


def _with(values: Any, path: KeyPath, value: Any) -> Any:
    """`values` with `value` at `path`, copied along the way, so that the original is untouched."""
    if not path:
        return value
    part, rest = path[0], path[1:]
    if isinstance(part, int):
        return [_with(old, rest, value) if i == part else old for i, old in enumerate(values)]
    inside = values.get(part, {}) if isinstance(values, dict) else {}
    return {**(values if isinstance(values, dict) else {}), part: _with(inside, rest, value)}
