"""A comparison in a terminal: what the figures favour, the table, what differs in the inputs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich.cells import cell_len

from halfglass.report.terminal import CAUTION, fold
from halfglass.result.comparison import Comparison, InputRow, Row

MARK = {"same": " ", "level": "~", "differs": "*"}
KEY = "* differs   ~ level within the model's uncertainty (judgement)"
_WIDEST = 140  # longer lines are hard to read
_NAME, _CELL = 24, 15  # cells for a row's name, and the least for a figure
_BOAT_KEYS_TOLD = 6  # more than these are counted only


def comparison_text(comparison: Comparison, width: int = 80) -> str:
    """The comparison, no line wider than `width` cells; text without its last line end."""
    return "\n".join(_lines(comparison, min(max(width, 8), _WIDEST)))


def _lines(comparison: Comparison, width: int) -> Iterator[str]:
    titles = dict.fromkeys(outing.marks.title for outing in comparison.outings)
    yield from fold(" and ".join(titles), width)
    for letter, name in zip(comparison.letters, comparison.names, strict=True):
        yield from fold(name, width, f"  {letter}  ")
    yield ""
    for advice in comparison.advice:
        yield from fold(advice.sentence, width)
        for reason in advice.reasons:
            yield from fold(reason, width, "  - ", "    ")
    yield ""
    yield from fold(KEY, width)
    yield from _table(comparison.letters, [row for row in comparison.rows if row.tells_most], width)
    yield ""
    yield from fold("What differs in the inputs" if comparison.inputs else "The inputs are the same", width)
    boat = [row for row in comparison.inputs if row.key.startswith("boat.")]
    if len(boat) > _BOAT_KEYS_TOLD:
        named = [row for row in boat if row.key == "boat.name"]
        yield from _inputs(comparison.letters, named, width)
        yield from fold(f"{len(boat)} keys of the boat in all: on the page and with --json.", width, "  ")
        boat = []
    others = [row for row in comparison.inputs if not row.key.startswith("boat.")]
    yield from _inputs(comparison.letters, [*boat, *others], width)
    yield ""
    yield from fold(CAUTION, width)


def _table(letters: Sequence[str], rows: Sequence[Row], width: int) -> Iterator[str]:
    """Columns where they fit, else a line a figure."""
    cell = (width - _NAME) // len(letters)
    is_wide = cell >= _CELL
    if is_wide:
        yield (" " * _NAME + "".join(f"{letter:<{cell}}" for letter in letters)).rstrip()
    group = ""
    for row in rows:
        if row.group != group:
            group = row.group
            yield from fold(group.upper(), width)
        mark = f"{MARK[row.difference]} "
        if is_wide:
            columns = [fold(row.name, _NAME - 1, mark, "  ")]
            columns += [fold(figure.text, cell - 1) for figure in row.cells]
            yield from _side_by_side(columns, [_NAME, *[cell] * len(letters)])
        else:
            yield from fold(row.name, width, mark)
            yield from _by_letter(letters, [figure.text for figure in row.cells], width)


def _side_by_side(columns: Sequence[Sequence[str]], widths: Sequence[int]) -> Iterator[str]:
    for number in range(max(len(column) for column in columns)):
        line = ""
        for column, room in zip(columns, widths, strict=True):
            text = column[number] if number < len(column) else ""
            line += text + " " * (room - cell_len(text))
        yield line.rstrip()


def _inputs(letters: Sequence[str], rows: Sequence[InputRow], width: int) -> Iterator[str]:
    for row in rows:
        yield from fold(row.key, width, "  ")
        yield from _by_letter(letters, row.cells, width)


def _by_letter(letters: Sequence[str], texts: Sequence[str], width: int) -> Iterator[str]:
    """Each text once, behind the letters of those that have it."""
    holders: dict[str, list[str]] = {}
    for letter, text in zip(letters, texts, strict=True):
        holders.setdefault(text, []).append(letter)
    for text, held_by in holders.items():
        yield from fold(f"{', '.join(held_by)}: {text}", width, "    ", "      ")
