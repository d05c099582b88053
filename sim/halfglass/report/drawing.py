"""What every picture shares: a lean deterministic SVG, the clock axis, marks and letters."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from contextlib import AbstractContextManager
from datetime import datetime, timedelta
from html import escape
from io import StringIO
from typing import Any

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch
from matplotlib.path import Path
from matplotlib.transforms import Affine2D, Transform

from halfglass.report.style import FAINT, INK, RULE
from halfglass.result.clock import since_midnight

WIDTH = 420.0  # pt: half the page; type stays readable when this is shrunk to a telephone or to A4
LEFT, RIGHT = 50.0, 92.0  # pt, kept free for the scale and for the names of marks
TOP, BOTTOM = 28.0, 30.0  # pt, kept free for names above and for the clock below
FONT = "DejaVu Sans, Verdana, sans-serif"

_SETTINGS: dict[Any, Any] = {
    "svg.hashsalt": "halfglass",
    "svg.fonttype": "none",
    "font.family": "DejaVu Sans",
    "font.size": 10.0,
    "axes.edgecolor": FAINT,
    "axes.labelcolor": INK,
    "axes.labelsize": 10.0,
    "axes.linewidth": 0.6,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "xtick.color": FAINT,
    "ytick.color": FAINT,
    "xtick.labelcolor": INK,
    "ytick.labelcolor": INK,
    "grid.color": RULE,
    "grid.linewidth": 0.5,
    "lines.linewidth": 1.5,
    "axes.ymargin": 0.09,
    "text.parse_math": False,
}


def settings() -> AbstractContextManager[None]:
    """The drawing settings, for the time of one picture."""
    return matplotlib.rc_context(_SETTINGS)


def figure(panels: int, height: float, width: float = WIDTH, top: float = TOP) -> tuple[Figure, list[Axes]]:
    """A figure of stacked panels that share the clock; every panel `height` pt high."""
    gap, bottom = 24.0, BOTTOM
    whole = top + bottom + panels * height + (panels - 1) * gap
    drawn = Figure(figsize=(width / 72, whole / 72))
    FigureCanvasSVG(drawn)
    axes: list[Axes] = []
    for panel in range(panels):
        base = bottom + (panels - 1 - panel) * (height + gap)
        box = (LEFT / width, base / whole, (width - LEFT - RIGHT) / width, height / whole)
        axes.append(drawn.add_axes(box, sharex=axes[0] if axes else None))
        axes[-1].grid(axis="y")
        axes[-1].set_axisbelow(True)
        if panel < panels - 1:
            axes[-1].tick_params(labelbottom=False)
    return drawn, axes


EDGE = 16.0  # pt kept free at the sides of rows of bars


def bars(tall: float, below: float = 34.0) -> tuple[Figure, Axes]:
    """An empty picture for rows of bars without a scale at the side; heights run down, in points.

    Parameters: tall, of all rows [pt]; below, kept free for the scale and its name [pt].
    """
    whole = tall + below
    drawn = Figure(figsize=(WIDTH / 72, whole / 72))
    FigureCanvasSVG(drawn)
    wide, base = 1.0 - 2.0 * EDGE / WIDTH, (below - 4.0) / whole
    axes = drawn.add_axes((EDGE / WIDTH, base, wide, tall / whole))
    axes.set_ylim(tall, 0.0)
    axes.set_yticks([])
    axes.spines["left"].set_visible(False)
    return drawn, axes


def clock_axis(
    axes: Axes, origin: datetime, end: float, wide: bool = False, begin: float = 0.0
) -> None:
    """Clock times along the bottom, at round hours or minutes; `begin` and `end` [s] after `origin`."""
    steps = [s * 60.0 for s in (1, 2, 5, 10, 15, 30, 60, 120, 180, 360, 720, 1440, 2880, 10080)]
    most = 11 if wide else 6
    span = end - begin
    step = next((s for s in steps if span / s <= most), steps[-1] * np.ceil(span / steps[-1] / most))
    past_midnight = since_midnight(origin)
    first = np.ceil((past_midnight + begin) / step) * step
    ticks, labels = [], []
    at = first - past_midnight
    while at <= end:
        moment = origin + timedelta(seconds=float(at))
        days = (moment.date() - origin.date()).days
        ticks.append(float(at))
        labels.append(f"{moment:%H:%M}" + (f"\nday {days + 1}" if days else ""))
        at += step
    axes.set_xticks(ticks, labels)
    axes.set_xlim(begin, max(end, begin + 1.0))
    axes.annotate(  # in the margin, clear of a last label and of a second line that counts days
        "clock time",
        (1, 0),
        xytext=(24, -5),
        xycoords="axes fraction",
        textcoords="offset points",
        va="top",
        fontsize=8.5,
        color=INK,
    )


def size(axes: Axes) -> tuple[float, float]:
    """Width and height of a panel [pt]."""
    whole = axes.get_figure(root=True)
    assert isinstance(whole, Figure)
    box = axes.get_position()
    return box.width * whole.get_figwidth() * 72, box.height * whole.get_figheight() * 72


def hatch(
    axes: Axes,
    inside: Path,
    slope: int,
    colour: str,
    gap: float = 5.0,
    zorder: float = 0.0,
    transform: Transform | None = None,
    box: tuple[float, float, float, float] | None = None,
) -> None:
    """Fine parallel lines within a shape: rising (slope 1), falling (-1) or level (0).

    Drawn as lines, because a browser prints a pattern fill as a coarse picture. `transform` is that of
    the shape (the data's unless given); `box` (left, bottom, right, top) [pt] limits the lines.
    """
    left, bottom, right, top = box or (0.0, 0.0, *size(axes))
    tall = top - bottom
    if slope == 0:
        ends = [((left, y), (right, y)) for y in np.arange(bottom + gap / 2, top, gap)]
    else:
        starts = np.arange(left - tall, right, gap * 1.4)
        ends = [
            ((x, bottom), (x + tall, top)) if slope > 0 else ((x, top), (x + tall, bottom)) for x in starts
        ]
    lines = Path([point for pair in ends for point in pair], [Path.MOVETO, Path.LINETO] * len(ends))
    points = Affine2D().scale(*(1.0 / length for length in size(axes))) + axes.transAxes
    drawn = PathPatch(lines, fill=False, edgecolor=colour, linewidth=0.5, transform=points, zorder=zorder)
    axes.add_artist(drawn)
    drawn.set_clip_path(inside, transform or axes.transData)


def name_marks(axes: Axes, marks: Iterable[tuple[float, str, str]], points: float = 8.5) -> None:
    """Names (height, text, colour) in the right margin, pushed apart so that none covers another."""
    low, high = axes.get_ylim()
    least = 1.15 * points / size(axes)[1]
    wanted = sorted(((y - low) / (high - low), text, colour) for y, text, colour in marks if low <= y <= high)
    for (_, text, colour), place in zip(wanted, spread([w[0] for w in wanted], least), strict=True):
        axes.annotate(
            text,
            (1.0, place),
            xytext=(4, 0),
            xycoords="axes fraction",
            textcoords="offset points",
            va="center",
            fontsize=points,
            color=colour,
            annotation_clip=False,
        )


def spread(places: Sequence[float], least: float) -> list[float]:
    """Move sorted places (0-1) apart by at least `least`, as little as possible and within 0 to 1.

    >>> [round(p, 2) for p in spread([0.5, 0.5, 0.9], 0.1)]
    [0.45, 0.55, 0.9]
    """
    groups: list[tuple[int, float]] = []  # members, and the sum of where each wants the group to begin
    for index, place in enumerate(places):
        members, wanted = 1, place - index * least
        while groups and wanted / members < groups[-1][1] / groups[-1][0]:
            members, wanted = members + groups[-1][0], wanted + groups[-1][1]
            groups.pop()
        groups.append((members, wanted))
    starts = [wanted / members for members, wanted in groups for _ in range(members)]
    moved = [start + index * least for index, start in enumerate(starts)]
    over = max(0.0, moved[-1] - 1.0) if moved else 0.0
    return [place - over for place in moved]


def badge(axes: Axes, x: float, y: float, text: str, colour: str) -> None:
    """A plan's letter sitting on its line."""
    axes.text(
        x,
        y,
        text,
        ha="center",
        va="center",
        fontsize=8.5,
        color=INK,
        clip_on=False,
        zorder=10,
        bbox={"boxstyle": "circle,pad=0.18", "facecolor": "white", "edgecolor": colour, "linewidth": 1.1},
    )


def svg(drawn: Figure, key: str, title: str, description: str) -> str:
    """The figure as an inline SVG with a name and a description, its ids its own on the page."""
    out = StringIO()
    drawn.savefig(out, format="svg", metadata={"Date": None, "Creator": None, "Format": None, "Type": None})
    text = out.getvalue()
    text = text[text.index("<svg") :]
    text = re.sub(r"<metadata>.*?</metadata>|<style.*?</style>|<!--.*?-->", "", text, flags=re.S)
    text = re.sub(r"(\d\.\d\d)\d+", r"\1", text)
    text = re.sub(r"font: ([\d.]+)px 'DejaVu Sans'", rf"font: \1px {FONT}", text)
    used = set(re.findall(r'(?:url\(|href=")#([\w-]+)', text))
    text = re.sub(r' id="([\w.-]+)"', lambda m: f' id="{key}-{m[1]}"' if m[1] in used else "", text)
    text = re.sub(r'(url\(|href=")#', rf"\1#{key}-", text)
    text = re.sub(r"\n\s*", "\n", text.replace("xlink:href", "href"))
    box = re.search(r'viewBox="([^"]+)"', text)
    assert box is not None, "matplotlib always writes a viewBox"
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box[1]}" role="img" '
        f'aria-labelledby="{key}-title {key}-desc">'
        f'<title id="{key}-title">{escape(title)}</title><desc id="{key}-desc">{escape(description)}</desc>'
    )
    return head + text[text.index(">", text.index("<svg")) + 1 :].strip()
