"""The verdict in a terminal: coloured with rich where colour is wanted, plain text otherwise."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import TextIO

from rich.cells import cell_len, set_cell_size

from halfglass.report import told
from halfglass.result import shown
from halfglass.result.clock import clock, duration
from halfglass.result.records import CriticalItem, Marks, Outing
from halfglass.result.verdict import if_nothing_done_sentence

CAUTION = "Model estimate, not operating instruction. Low water: act on the boat, never wait for a program."
_STYLES = {"danger": "bold white on red", "act": "bold red", "watch": "yellow"}
_COLUMNS = ("", "what", "first", "after fault", "lasted", "worst")
_WIDEST = 110  # longer lines are hard to read
_TABLE_WIDTH = 76  # narrower terminals get lines instead of a table


def wants_colour(stream: TextIO, environment: Mapping[str, str]) -> bool:
    """Whether a stream is a terminal whose owner has not asked for plain text."""
    return not environment.get("NO_COLOR") and environment.get("TERM") != "dumb" and stream.isatty()


def summary(outings: Sequence[Outing], width: int = 80, colour: bool = False) -> str:
    """The verdict on every plan, no line wider than `width` cells; text without its last line end."""
    width = min(max(width, 8), _WIDEST)
    return _rich(outings, width) if colour else "\n".join(_plain(outings, width))


def _plain(outings: Sequence[Outing], width: int) -> Iterable[str]:
    yield from fold(outings[0].marks.title, width)
    for head, lines, items, after in _parts(outings):
        yield ""
        yield from fold(head, width)
        for line in lines:
            yield from fold(line, width, "  ")
        for severity, what, *rest in items:
            spell = ", ".join(part for part in _spell(rest) if part)
            yield from fold(f"{severity}: {what} ({spell})", width, "  - ", "    ")
        for line in after:
            yield from fold(line, width, "  ", "    ")
    yield ""
    yield from fold(CAUTION, width)


def _rich(outings: Sequence[Outing], width: int) -> str:
    from io import StringIO

    from rich import box
    from rich.console import Console
    from rich.padding import Padding
    from rich.table import Table
    from rich.text import Text

    console = Console(
        file=StringIO(), width=width, force_terminal=True, color_system="standard", highlight=False
    )
    console.print(Text(_clean(outings[0].marks.title), style="bold"), overflow="fold")
    for head, lines, items, after in _parts(outings):
        console.print()
        console.print(Text(_clean(head), style="bold"), overflow="fold")
        for line in lines:
            console.print(Padding(Text(_clean(line), overflow="fold"), (0, 0, 0, 2)))
        if items and width >= _TABLE_WIDTH:
            table = Table(*_COLUMNS, box=box.SIMPLE_HEAD, padding=(0, 1), header_style="dim", pad_edge=False)
            for severity, *rest in items:
                table.add_row(Text(severity, style=_STYLES[severity]), *(Text(_clean(part)) for part in rest))
            console.print(table)
        else:
            for severity, what, *rest in items:
                spell = ", ".join(part for part in _spell(rest) if part)
                text = _clean(f"{what} ({spell})")
                styled = Text.assemble((severity, _STYLES[severity]), f" {text}", overflow="fold")
                console.print(Padding(styled, (0, 0, 0, 2)))
        for line in after:
            console.print(Padding(Text(_clean(line), overflow="fold"), (0, 0, 0, 2)))
    console.print()
    console.print(Text(CAUTION, style="dim", overflow="fold"))
    assert isinstance(console.file, StringIO)
    return console.file.getvalue().rstrip("\n")


def _parts(
    outings: Sequence[Outing],
) -> Iterable[tuple[str, list[str], list[tuple[str, ...]], list[str]]]:
    """Per plan: its head line, its sentences, its critical items, and what is told after them."""
    for index, outing in enumerate(outings):
        lines = [outing.verdict.sentence, outing.verdict.outcome.sentence, told.reached(outing)]
        if outing.if_nothing_done is not None:
            lines.insert(2, if_nothing_done_sentence(outing.if_nothing_done, outing.marks))
        items = [_item(item, outing.marks) for item in outing.verdict.critical]
        after = [
            *_reasons(outing.verdict.critical),
            *(f"near {line}." for line in told.closest(outing)),
            told.hands(outing),
            told.stores(outing),
            told.solids(outing),
        ]
        head = told.by_plan(index, outing, len(outings) > 1)
        yield head, [line for line in lines if line], items, [line for line in after if line]


def _reasons(critical: Sequence[CriticalItem]) -> list[str]:
    """Why, for the graver items: once for all that tell of the same; the report has every one."""
    found: dict[str, str] = {}
    for item in critical:
        if item.severity != "watch":
            opening = re.split(r" because |; ", item.because)[0]
            found.setdefault(opening, f"{item.because[:1].upper()}{item.because[1:]}.")
    return list(found.values())


def _item(item: CriticalItem, marks: Marks) -> tuple[str, ...]:
    after = told_after(item)
    worst = f"{shown.text(item.quantity, item.worst, marks.units)} at {clock(marks.started, item.worst_at)}"
    first, lasted = clock(marks.started, item.first_at), duration(item.lasted)
    return item.severity, f"{shown.subject(item.subject)}: {item.item}", first, after, lasted, worst


def told_after(item: CriticalItem) -> str:
    """How long after the fault, in words; "again" if it had been so before the fault."""
    if item.after_fault is None:
        return ""
    return f"{'again ' if item.is_again else ''}{duration(item.after_fault)} after the fault"


def _spell(rest: Sequence[str]) -> tuple[str, ...]:
    first, after, lasted, worst = rest
    return f"first {first}", after, f"for {lasted}", f"worst {worst}"


def _clean(text: str) -> str:
    """Text without characters that could steer a terminal."""
    return "".join(c if c.isprintable() else " " for c in text)


def fold(text: str, width: int, first: str = "", rest: str | None = None) -> list[str]:
    """Words in lines of at most `width` cells; a word longer than a line is cut."""
    rest = " " * len(first) if rest is None else rest
    lines, line, indent = [], "", first
    for word in _clean(text).split():
        while True:
            room = width - len(indent)
            joined = f"{line} {word}" if line else word
            if cell_len(joined) <= room:
                line = joined
                break
            if line:
                lines.append(indent + line)
            else:
                head = set_cell_size(word, room).rstrip() or word[:1]
                lines.append(indent + head)
                word = word[len(head) :]
            line, indent = "", rest
            if not word:
                break
    return [*lines, indent + line] if line else lines
