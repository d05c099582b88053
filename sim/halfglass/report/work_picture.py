"""The work of the engine beside the heat: the same picture some times as wide, from piston to wash."""

from __future__ import annotations

from typing import TYPE_CHECKING

from halfglass.report import style
from halfglass.report.bands import LINE, Sheet, bend, curve
from halfglass.result.energy_flow import ENGINE, FEED, OUTSIDE, SCREW, SHAFT

if TYPE_CHECKING:
    from halfglass.report.energy_picture import Flows

TALLEST = 84.0
TIMES = {10: "ten times as wide as", 5: "five times as wide as", 2: "twice as wide as", 1: "as wide as"}
BEGIN, SHAFT_AT, SCREW_AT, END = 92.0, 128.0, 222.0, 276.0
THICK = 6.0


def work(sheet: Sheet, flows: Flows, y: float) -> None:
    """Indicated work, friction, pump, thrust and wash, from left to right below a heading at y."""
    found = flows.links(ENGINE, SHAFT)
    if not found:
        return
    indicated = found[0]
    times = next(n for n in TIMES if n == 1 or flows.width(indicated.power) * n <= TALLEST)
    sheet.text(8.0, y, [f"The work, drawn {TIMES[times]} the heat"])
    top = y + 24.0
    tall = flows.width(indicated.power) * times
    middle = top + tall / 2
    sheet.text(BEGIN - 8.0, middle - 8.0, ["indicated", "work", *flows.told(indicated.power, 9)], "end")
    sheet.band(bend(BEGIN, middle, (SHAFT_AT + 2.0, middle), radius=0.0), tall, style.WORK)
    sheet.post(SHAFT_AT, top, THICK, tall, SHAFT)
    at = top
    for link in flows.links(SHAFT, SCREW):
        width = flows.width(link.power) * times
        sheet.band(
            bend(SHAFT_AT + 4.0, at + width / 2, (SCREW_AT + 2.0, at + width / 2), radius=0.0),
            width,
            style.WORK,
        )
        sheet.post(SCREW_AT, at, THICK, width, SCREW)
        lines = [link.name, *flows.told(link.power, 15)]
        _in_band(sheet, (SHAFT_AT + SCREW_AT + THICK) / 2, at + width / 2, width, lines)
        _screw(sheet, flows, times, at)
        at += width
    lost = [*flows.links(SHAFT, OUTSIDE), *flows.links(SHAFT, FEED)]
    slot = max(top + tall, sheet.lowest) + 10.0
    for number, link in enumerate(lost):
        width = flows.width(link.power) * times
        turn = SHAFT_AT + THICK + 12.0 + 16.0 * (len(lost) - number)
        path = bend(SHAFT_AT + 4.0, at + width / 2, (turn, at + width / 2), (turn, slot), radius=8.0)
        colour = style.LOSS if link.target == OUTSIDE else style.WORK
        sheet.band(path, width, colour)
        sheet.head(turn, slot, width, "down", colour)
        sheet.text(turn + width / 2 + 6.0, slot + 4.0, [f"{link.name}: {flows.told(link.power)[0]}"])
        slot += LINE + 6.0
        at += width


def _in_band(sheet: Sheet, x: float, y: float, width: float, lines: list[str]) -> None:
    """Words in the middle of a band."""
    if width >= LINE * len(lines):
        sheet.text(x, y - LINE * (len(lines) / 2 - 0.82), lines, "middle")


def _screw(sheet: Sheet, flows: Flows, times: int, top: float) -> None:
    """Thrust and wash, spread so that their names have room."""
    at = free = top
    for link in flows.links(SCREW, OUTSIDE):
        width = flows.width(link.power) * times
        lines = [link.name, *flows.told(link.power)]
        start, tall = at + width / 2, max(width, LINE * len(lines))
        middle = max(start, free + tall / 2)
        colour = style.WORK if link.name.startswith("thrust") else style.LOSS
        sheet.band(curve(SCREW_AT + 4.0, start, END, middle), width, colour)
        sheet.head(END, middle, width, "right", colour)
        sheet.text(END + 12.0, middle - LINE * (len(lines) / 2 - 0.82), lines)
        at, free = at + width, middle + tall / 2 + 4.0
