"""The picture of a search: every candidate by arrival, fuel and water, the front between them marked."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from matplotlib.axes import Axes
from matplotlib.colors import LinearSegmentedColormap, to_hex

from halfglass.report import drawing, style
from halfglass.report.propose_text import told_front
from halfglass.result import shown
from halfglass.result.proposed import Proposal, Tried
from halfglass.result.proposed_files import FUEL, WATER
from halfglass.vocabulary import quantities

PANEL = 132.0  # pt
ROOM = 0.12  # share of what is drawn kept free about it
LEAST_TIME, LEAST_FUEL, LEAST_WATER = 600.0, 1.0, 0.05  # s, kg, of the glass: spans drawn at least
LETTER, TALL = 5.4, 9.5  # pt: room a character of a number takes
FAR = 26.0  # pt from a mark to a name that has a leader
PALE, DARK = "#ffffff", "#24506b"
Box = tuple[float, float, float, float]


def front(found: Proposal, key: str) -> str:
    """Arrival against fuel burnt and against the lowest glass: the front, what is within limits, what not."""
    begin, end = _span([one.arrival for one in _wanted(found)], LEAST_TIME)
    fuels = _span([one.fuel for one in _wanted(found)], LEAST_FUEL)
    waters = _span([one.margin for one in _wanted(found)], LEAST_WATER)
    with drawing.settings():
        drawn, panels = drawing.figure(2, PANEL)
        for axes, quantity, ends in zip(panels, (FUEL, WATER), (fuels, waters), strict=True):
            axes.set_xlim(begin, end)  # before the numbers, which must know where they are
            axes.set_ylim(*(quantities.convert(value, quantity, found.units) for value in ends))
            _candidates(axes, found, quantity)
            _front(axes, found, quantity)
            unit = shown.unit(quantity, found.units)
            name = "Fuel burnt" if quantity == FUEL else "Lowest glass above the bottom nut"
            axes.set_title(f"{name} [{unit}]", loc="left", fontsize=10.0)
        drawing.clock_axis(panels[-1], found.started, end, begin=begin)
        told = "Time of arrival of every candidate against fuel burnt, and against the lowest glass."
        return drawing.svg(drawn, key, "The front between time, fuel and water", told)


def left_out(found: Proposal) -> int:
    """How many candidates that arrived lie beyond the edges of the picture."""
    begin, end = _span([one.arrival for one in _wanted(found)], LEAST_TIME)
    low, high = _span([one.fuel for one in _wanted(found)], LEAST_FUEL)
    arrived = [one for one in found.tried if math.isfinite(one.arrival)]
    return sum(not (begin <= one.arrival <= end and low <= one.fuel <= high) for one in arrived)


def _wanted(found: Proposal) -> list[Tried]:
    """What the picture must show: what it marks; without a front, all that arrived."""
    shown_ones = [found.tried[n] for n in _marked(found) if math.isfinite(found.tried[n].arrival)]
    return shown_ones or [one for one in found.tried if math.isfinite(one.arrival)]


def _marked(found: Proposal) -> tuple[int, ...]:
    """The front, the plan as written and the proposed one."""
    chosen = () if found.chosen is None else (found.chosen,)
    return tuple(dict.fromkeys((*found.front, 0, *chosen)))


def _span(values: Sequence[float], least: float) -> tuple[float, float]:
    """Ends of an axis: about the values, with room."""
    low, high = (min(values), max(values)) if values else (0.0, 0.0)
    wide = max(high - low, least)
    middle = 0.5 * (low + high)
    return middle - (0.5 + ROOM) * wide, middle + (0.5 + ROOM) * wide


def _of(one: Tried, quantity: str) -> float:
    return one.fuel if quantity == FUEL else one.margin


def _candidates(axes: Axes, found: Proposal, quantity: str) -> None:
    """All that arrived and is not on the front: crosses outside the limits, dots within."""
    marked = _marked(found)
    for holds, marker, colour in ((False, "x", style.HIDDEN), (True, ".", style.FAINT)):
        ones = [
            one for one in found.tried
            if one.holds is holds and one.number not in marked and math.isfinite(one.arrival)
        ]  # fmt: skip
        x = [one.arrival for one in ones]
        y = [quantities.convert(_of(one, quantity), quantity, found.units) for one in ones]
        axes.plot(x, y, marker=marker, linestyle="none", color=colour, markersize=4.0, markeredgewidth=0.8)


def _front(axes: Axes, found: Proposal, quantity: str) -> None:
    """The front, the darker the more water; the plan as written a square, the proposed one in a ring."""
    shades = LinearSegmentedColormap.from_list("water", [PALE, style.SWELL, style.WATER, DARK])
    margins = [found.tried[number].margin for number in found.front]
    points: dict[int, tuple[float, float]] = {}
    for number in _marked(found):
        one = found.tried[number]
        if not math.isfinite(one.arrival):
            continue
        points[number] = one.arrival, quantities.convert(_of(one, quantity), quantity, found.units)
        low, high = (min(margins), max(margins)) if margins else (0.0, 0.0)
        share = (one.margin - low) / (high - low) if high > low else 0.5
        fill = to_hex(shades(share)) if number in found.front else PALE
        marker = "s" if number == 0 else "o"
        axes.plot(*points[number], marker=marker, markersize=6.0, color=fill, markeredgecolor=style.INK,
                  markeredgewidth=0.9, zorder=6 if number == 0 else 5)  # fmt: skip
    if found.chosen in points:
        axes.plot(*points[found.chosen], marker="o", markersize=12.0, fillstyle="none",
                  color=style.RED_LEAD, markeredgewidth=1.4, zorder=6)  # fmt: skip
    _numbers(axes, found, points, quantity)


def _numbers(axes: Axes, found: Proposal, points: dict[int, tuple[float, float]], quantity: str) -> None:
    """The numbers of the candidates that are told, each where it covers no mark; without room, left out."""
    wide, tall = drawing.size(axes)
    (left, right), (bottom, top) = axes.get_xlim(), axes.get_ylim()

    def spot(x: float, y: float) -> tuple[float, float]:
        return wide * (x - left) / (right - left), tall * (y - bottom) / (top - bottom)

    spots = {number: spot(*point) for number, point in points.items()}
    others = [one for one in found.tried if one.number not in points and math.isfinite(one.arrival)]
    heights = (quantities.convert(_of(one, quantity), quantity, found.units) for one in others)
    dots = [spot(one.arrival, height) for one, height in zip(others, heights, strict=True)]
    small: list[Box] = [(x - 2.0, y - 2.0, x + 2.0, y + 2.0) for x, y in dots]
    taken: list[Box] = [(x - 5.0, y - 5.0, x + 5.0, y + 5.0) for x, y in spots.values()]
    names = {0: "as written"} | ({found.chosen: f"{found.chosen} proposed"} if found.chosen else {})
    first = [number for number in (found.chosen, 0) if number is not None]
    for number in dict.fromkeys((*first, *told_front(found))):
        if number not in spots:
            continue
        text = names.get(number, str(number))
        places = [
            box
            for box in _places(spots[number], LETTER * len(text), number == found.chosen, number in first)
            if box[0] >= 0.0 and box[2] <= wide + drawing.RIGHT and box[1] >= 0.0 and box[3] <= tall
            and not any(_overlap(box, other) for other in taken)
        ]  # fmt: skip
        clear = [box for box in places if not any(_overlap(box, other) for other in small)]
        for box in (clear or places)[:1]:
            taken.append(box)
            axes.annotate(
                text, (0.0, 0.0), xytext=(box[0], 0.5 * (box[1] + box[3])), xycoords="axes fraction",
                textcoords="offset points", va="center", fontsize=8.5, color=style.INK, zorder=7,
            )  # fmt: skip
            _leader(axes, spots[number], box)


def _places(spot: tuple[float, float], wide: float, is_ringed: bool, may_be_far: bool) -> Iterator[Box]:
    """Where a number may stand beside its mark, the likeliest first [pt]; far off, it wants a leader."""
    x, y = spot
    off = 9.0 if is_ringed else 6.0
    near = (
        (x + off, y - 0.5 * TALL), (x - off - wide, y - 0.5 * TALL), (x - 0.5 * wide, y + off),
        (x - 0.5 * wide, y - off - TALL), (x + off, y + 3.0), (x + off, y - 3.0 - TALL),
        (x - off - wide, y + 3.0), (x - off - wide, y - 3.0 - TALL),
    )  # fmt: skip
    far = (
        (x + side * away - (wide if side < 0 else 0.0), y + up - 0.5 * TALL)
        for away in (FAR, 2.0 * FAR)
        for up in (0.0, FAR, -FAR, 2.0 * FAR, -2.0 * FAR)
        for side in (1, -1)
    )
    for left, bottom in (*near, *(far if may_be_far else ())):
        yield left, bottom, left + wide, bottom + TALL


def _leader(axes: Axes, spot: tuple[float, float], box: Box) -> None:
    """A thin line from a mark to a name that stands far off."""
    x, y = spot
    end = (box[0] - 2.0 if box[0] > x else box[2] + 2.0, 0.5 * (box[1] + box[3]))
    if min(abs(box[0] - x), abs(box[2] - x)) < FAR - 1.0:
        return
    wide, tall = drawing.size(axes)
    ends = ([x / wide, end[0] / wide], [y / tall, end[1] / tall])
    axes.plot(*ends, transform=axes.transAxes, color=style.FAINT, linewidth=0.6, zorder=4, clip_on=False)


def _overlap(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
