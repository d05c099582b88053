"""Colours and line styles of pictures and page: our own.

The six plan colours were searched for, not picked: among colours with a contrast of at least 3.3 to 1
on white they have the largest distance between any two (CIE76 of 31) as seen with normal sight and, in
the simulation of Machado, Oliveira and Fernandes (2009), without red, green or blue cones; and their
greys lie at least 6 lightness steps apart. Plans also differ by dash and by letter, so that nothing
hangs on colour alone. tests/unit/test_report.py repeats the measurement.
"""

from __future__ import annotations

from typing import NamedTuple

INK = "#17232b"
FAINT = "#55636b"  # 6.2 to 1 on white: small text may use it
RULE = "#c9d3d6"
WATER = "#4f93b8"
SWELL = "#b9d8e6"
GLASS = "#f2f8fa"
BRASS = "#9a7420"
RED_LEAD = "#a8321f"
SHADE = "#f3e3dc"
HIDDEN = "#9aa7ad"  # hatching over what cannot be seen

Dash = tuple[float, ...]


class Stroke(NamedTuple):
    """How one plan is drawn: a colour and a dash (on, off, ... in line widths; empty is solid)."""

    colour: str
    dash: Dash


STROKES = (
    Stroke("#185abb", ()),
    Stroke("#b58510", (4.5, 2)),
    Stroke("#d34a71", (2, 1.5)),
    Stroke("#0a250a", (7, 2, 1.6, 2)),
    Stroke("#700a5d", (1, 1.2)),
    Stroke("#5a4d0b", (5, 1.4, 1, 1.4, 1, 1.4)),
)
OVERLAID = len(STROKES)  # plans in one picture


class Fill(NamedTuple):
    """How one feed source is drawn in a stack: its name, a colour and the slope of its hatching."""

    name: str
    colour: str
    slope: int | None


# Pale enough that the hatching tells them apart in grey; each hatching runs another way.
FEED = {
    "feed_flow_engine_pump": Fill("engine pump", "#bcd4e4", None),
    "feed_flow_hand_pump_hotwell": Fill("hand pump, hot well", "#e6cf9c", 1),
    "feed_flow_hand_pump_lake": Fill("hand pump, lake", "#a9cdb4", -1),
    "feed_flow_injector": Fill("injector", "#dba9b8", 0),
}

# Bands of the energy flow: told apart in grey as well, and each has its name beside it.
HEAT, LOSS, WORK, STOCK = "#e3ab96", "#dde3e5", "#c79f3f", "#f6f4ea"
COOL = SWELL


def letter(index: int) -> str:
    """The letter of a plan: A to Z, then AA, AB ..."""
    text = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        text = chr(65 + rest) + text
    return text


def stroke(index: int) -> Stroke:
    """The line style of a plan within its picture."""
    return STROKES[index % OVERLAID]
