"""Faults with a place, and the two exceptions the rest of the program raises.

A `Fault` is one thing wrong in one file: where, which key, and a plain sentence.  A `ScenarioError`
carries all faults found at once; a `HalfglassFailure` is ours, not the user's.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass

LONGEST_QUOTE = 40
WIDEST_SOURCE_LINE = 96


@dataclass(frozen=True)
class Place:
    """A position in a file: line and column counted from 1, with the text of that line."""

    file: str
    line: int
    column: int
    source_line: str = ""


@dataclass(frozen=True)
class Fault:
    """One refused entry.

    `line` and `column` count from 1; line 0 means the fault is about the file as a whole.  `key` is
    the dotted name of the entry (list items counted from 1), or empty.  `second_place` is the other
    entry when two conflict.
    """

    file: str
    line: int
    column: int
    key: str
    message: str
    source_line: str = ""
    second_place: Place | None = None

    def render(self) -> str:
        """The fault as printed: place, key and sentence, then the line with a caret under it.

        >>> print(Fault("lake.toml", 2, 8, "tank", "too small", 'tank = "1 L"').render())
        lake.toml:2:8: tank: too small
          tank = "1 L"
                 ^
        """
        where = f"{self.file}:{self.line}:{self.column}" if self.line else self.file
        subject = f"{self.key}: " if self.key else ""
        lines = [f"{printable(where)}: {printable(subject)}{printable(self.message)}"]
        if self.line:
            lines += _with_caret(self.source_line, self.column)
        if self.second_place is not None:
            other = self.second_place
            lines.append(f"  the other entry is at {printable(other.file)}:{other.line}:{other.column}:")
            lines += _with_caret(other.source_line, other.column)
        return "\n".join(lines)


class ScenarioError(Exception):
    """The scenario, boat or plan given cannot be used; `faults` says why, all at once."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__(self.faults)

    def render(self) -> str:
        """Every fault as printed, in order, one after another."""
        return "\n".join(fault.render() for fault in self.faults)

    def __str__(self) -> str:
        return self.render()

    def __reduce__(self) -> tuple[type[ScenarioError], tuple[tuple[Fault, ...]]]:
        return ScenarioError, (self.faults,)


class HalfglassFailure(Exception):
    """A failure of this program, not of the user's input.

    `what` says what went wrong, `simulating` what was being simulated at the time, `reproduce` the
    command or call (with its seed) that shows it again.
    """

    def __init__(self, what: str, simulating: str = "", reproduce: str = "") -> None:
        self.what, self.simulating, self.reproduce = what, simulating, reproduce
        super().__init__(what, simulating, reproduce)

    def render(self) -> str:
        """The failure as printed, with what was being simulated and how to see it again."""
        lines = [f"halfglass failed: {self.what}"]
        if self.simulating:
            lines.append(f"  while simulating: {self.simulating}")
        if self.reproduce:
            lines.append(f"  to reproduce: {self.reproduce}")
        lines.append("  This is a fault in the program, not in your files.")
        return "\n".join(lines)

    def __str__(self) -> str:
        return self.render()


def nearest(name: str, choices: Iterable[str]) -> str | None:
    """The choice most like `name`, or None when nothing is close.

    Case, spaces and underscores are overlooked; a choice that merely goes on where the name stops is nearest.

    >>> nearest("distence", ["distance", "throttle"])
    'distance'
    >>> nearest("engine pump stop", ["engine pump drops", "engine pump stops delivering"])
    'engine pump stops delivering'
    """
    plain: dict[str, str] = {}
    for choice in choices:
        plain.setdefault(_plainly(choice), choice)
    wanted = _plainly(name[:LONGEST_QUOTE])
    begun = [choice for choice in plain if len(wanted) >= 4 and choice.startswith(wanted)]
    if len(begun) == 1:
        return plain[begun[0]]
    found = difflib.get_close_matches(wanted, plain, n=1, cutoff=0.6)
    return plain[found[0]] if found else None


def quoted(text: str) -> str:
    """Text in single quotes for a message: cut short if long, control characters spelt out."""
    short = text if len(text) <= LONGEST_QUOTE else text[: LONGEST_QUOTE - 1] + "…"
    return f"'{printable(short)}'"


def printable(text: str) -> str:
    """Text safe to print on a terminal: control and other invisible characters spelt out."""
    if text.isprintable():
        return text
    return "".join(ch if ch.isprintable() else ch.encode("unicode_escape").decode("ascii") for ch in text)


def listed(names: Iterable[str]) -> str:
    """Names in quotes joined for a sentence: ``'a', 'b' or 'c'``."""
    words = [quoted(name) for name in names]
    return " or ".join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else "".join(words)


def _plainly(name: str) -> str:
    return name.lower().replace("_", " ").replace("-", " ").strip()


def _with_caret(source_line: str, column: int) -> list[str]:
    """The source line and a caret under the column, cut to a window when the line is long."""
    start = 0
    if len(source_line) > WIDEST_SOURCE_LINE:
        start = max(0, min(column - 1 - WIDEST_SOURCE_LINE // 2, len(source_line) - WIDEST_SOURCE_LINE))
    window = source_line[start : start + WIDEST_SOURCE_LINE].replace("\t", " ")
    before = printable(window[: max(0, column - 1 - start)])
    shown = before + printable(window[max(0, column - 1 - start) :])
    lead = "…" if start else ""
    return [f"  {lead}{shown}", f"  {' ' * (len(lead) + len(before))}^"]
