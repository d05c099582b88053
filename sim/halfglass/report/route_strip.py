"""The route strip: places, stops and critical moments on the distance run, a track for each plan."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from matplotlib.axes import Axes

from halfglass.report import drawing, style
from halfglass.report.scene import Plan, Scene, scene
from halfglass.result import events, shown
from halfglass.result.clock import clock
from halfglass.result.records import CriticalItem, Outing
from halfglass.result.route import ALIKE, Stop, run_at, stops
from halfglass.vocabulary import quantities

WIDE = 840.0  # pt: the whole page
TITLE = "Along the route"
LETTER = 0.62  # mean width of a letter of the pictures' type over its size
TYPE = 8.5  # pt
LINE = 11.0  # pt from one line of words to the next
MARK = 17.0  # pt from one severity mark to the next above it
NEAR = 20.0  # m run within which she is still where she began
GAP = 5.0  # pt kept free between words side by side
TRACK_ROOM = 16.0  # pt between the track and the words or marks nearest to it
CODES = {
    "lock": "L", "fuel": "F", "water": "W", "people": "P", "anchor": "A", "fire banked": "B",
    "lying": "S", "night": "N", "kettle": "K", "alongside": "•",
}  # fmt: skip
SHAPES = {"danger": "s", "act": "^", "watch": "o"}
STOPS = (
    "L lock, F fuel, W water, P people, A anchor, B fire banked, S lying with the fire kept up, "
    "K steam to the kettle, N night, • alongside"
)
LEGEND = f"{STOPS}; × fault; numbers: limits crossed."
"""What paper has room for."""
CAPTION = (
    "Along the bottom the distance run over the ground; each plan a line with its stops, clock times below. "
    f"At a stop: {STOPS}; a plain dot was passed. Numbers above the line are the "
    "limits crossed, in the table: in a filled square danger, in a triangle act, in an open circle watch; "
    "with ' the worst where it came elsewhere. A cross under the line is a fault; 2d is the second day."
)
WHITE = {"boxstyle": "square,pad=0.08", "facecolor": "white", "edgecolor": "none"}
STOP = {"boxstyle": "round,pad=0.22", "facecolor": "#f0e3c4", "edgecolor": style.BRASS, "linewidth": 1.0}


@dataclass(frozen=True)
class Row:
    """One line of a table of the strip, ready to print; `letter` is the plan's."""

    letter: str
    what: str
    where: str
    when: str
    remark: str


@dataclass(frozen=True)
class RouteStrip:
    """The finished picture in its wide and its narrow form, with a table of stops and one of limits."""

    key: str
    title: str
    caption: str
    svg: str
    narrow: str
    stops: tuple[Row, ...]
    moments: tuple[Row, ...]


@dataclass(frozen=True)
class Moment:
    """A critical item on the track: number as in the table, severity, [m] run; a worst one has a dash."""

    text: str
    severity: str
    distance: float


@dataclass(frozen=True)
class Track:
    """One plan as the strip draws it."""

    plan: Plan
    stops: tuple[Stop, ...]
    moments: tuple[Moment, ...]
    faults: tuple[float, ...]  # [m]
    length: float  # [m]


def route_strip_svg(outings: Sequence[Outing], narrow: bool = False) -> str:
    """The strip of these outings as one SVG; the same outings give the same text."""
    found = route_strip(scene(outings))
    return found.narrow if narrow else found.svg


def route_strip(whole: Scene) -> RouteStrip:
    """Places, stops and critical moments of every plan of a scene on one distance axis."""
    tracks = [_track(plan) for plan in whole.plans]
    key = f"route-{whole.plans[0].letter}".lower()
    moments = tuple(row for track in tracks for row in _moment_rows(track, whole.units))
    halts = tuple(row for track in tracks for row in _stop_rows(track, whole.units))
    told = " ".join(f"{row.what}: {row.where}, {row.when}." for row in halts)
    drawn = [_draw(tracks, whole, f"{key}-{form}", told, form == "wide") for form in ("wide", "narrow")]
    return RouteStrip(key, TITLE, CAPTION, drawn[0], drawn[1], halts, moments)


def _track(plan: Plan) -> Track:
    outing = plan.outing
    moments: list[Moment] = []
    for number, item in enumerate(_in_order(outing), start=1):
        first, worst = run_at(outing, item.first_at), run_at(outing, item.worst_at)
        moments.append(Moment(str(number), item.severity, first))
        if abs(first - worst) > ALIKE * _length(plan):
            moments.append(Moment(f"{number}'", item.severity, worst))
    faults = tuple(run_at(outing, e.time) for e in plan.log if e.event == events.FAULT)
    return Track(plan, stops(outing), tuple(moments), faults, _length(plan))


def _length(plan: Plan) -> float:
    return max(1.0, float(plan.reading("distance").max()))


def _in_order(outing: Outing) -> list[CriticalItem]:
    """Critical items as they came along the way."""
    return sorted(outing.verdict.critical, key=lambda item: item.first_at)


def _at(distance: float, system: str) -> str:
    """Where on the route; still at the beginning until clear of it."""
    return shown.text("distance", distance if abs(distance) > NEAR else 0.0, system)


def _moment_rows(track: Track, system: str) -> Iterable[Row]:
    outing = track.plan.outing
    marks = outing.marks
    for number, item in enumerate(_in_order(outing), start=1):
        worst = shown.text(item.quantity, item.worst, system)
        first = _at(run_at(outing, item.first_at), system), clock(marks.started, item.first_at)
        then = _at(run_at(outing, item.worst_at), system), clock(marks.started, item.worst_at)
        yield Row(
            track.plan.letter,
            f"{number} {item.severity}: {shown.subject(item.subject)}, {item.item}",
            *first,
            f"worst {worst} there and then" if then == first else f"worst {worst} at {', '.join(then)}",
        )


def _stop_rows(track: Track, system: str) -> Iterable[Row]:
    started = track.plan.outing.marks.started
    for stop in track.stops:
        left = f", left {clock(started, stop.left)}" if stop.left is not None else ""
        yield Row(
            track.plan.letter,
            stop.place,
            _at(stop.distance, system),
            f"{clock(started, stop.arrived)}{left}",
            ", ".join(stop.kinds) or ("" if stop is track.stops[0] else "passed"),
        )


@dataclass
class Label:
    """Words beside the track for a place at `at` [pt]: `left` is where they begin, `tier` how far out."""

    at: float
    lines: tuple[str, ...]
    left: float = 0.0
    tier: int = 0

    @property
    def width(self) -> float:
        """Of its longest line [pt]."""
        return LETTER * TYPE * max(len(line) for line in self.lines)


def tiers(labels: Sequence[Label], width: float) -> int:
    """Give each label, in order along the track, the nearest tier where it is clear of those before.

    Parameters: labels, given their tier and where they begin within 0 to `width` [pt]. Returns: tiers used.

    >>> words = [Label(10.0, ("Mill",)), Label(20.0, ("Lock",)), Label(90.0, ("Quay",))]
    >>> tiers(words, 100.0), [label.tier for label in words]
    (2, [0, 1, 0])
    """
    ends: list[float] = []
    for label in sorted(labels, key=lambda label: round(label.at)):  # to a point: not by rounding of the run
        label.left = min(max(0.0, label.at - label.width / 2), max(0.0, width - label.width))
        label.tier = next((t for t, end in enumerate(ends) if label.left >= end + GAP), len(ends))
        if label.tier == len(ends):
            ends.append(0.0)
        ends[label.tier] = label.left + label.width
    return len(ends)


def _draw(tracks: Sequence[Track], whole: Scene, key: str, told: str, wide: bool) -> str:
    width = WIDE if wide else drawing.WIDTH
    across = width - drawing.LEFT - 24.0
    length = max(track.length for track in tracks)
    names = _names(tracks, across / length)
    above = tiers(names, across) * LINE + TRACK_ROOM
    lanes = [_lane(track, across / length, across) for track in tracks]
    height = above + sum(lane.height for lane in lanes)
    with drawing.settings():
        drawn, (axes,) = drawing.figure(1, height, width, top=6.0)
        box = axes.get_position()
        axes.set_position((box.x0, box.y0, across / width, box.height))
        axes.set_ylim(-height, 0.0)
        shown_length = float(quantities.convert(length, "distance", whole.units))
        axes.set_xlim(0.0, shown_length)
        axes.set_yticks([])
        axes.spines["left"].set_visible(False)
        axes.grid(False)
        axes.set_xlabel(f"distance run [{shown.unit('distance', whole.units)}]", labelpad=0.0)
        scale = shown_length / across  # axis units a point
        lanes_at = _lanes_at(lanes, above)
        _draw_names(axes, names, above, scale, lanes_at[-1])
        for lane, y in zip(lanes, lanes_at, strict=True):
            _draw_lane(axes, lane, y, scale, across / length, len(tracks) > 1)
        return drawing.svg(drawn, key, TITLE, f"{CAPTION} {told}")


@dataclass(frozen=True)
class Lane:
    """A track with its words laid out: height [pt], of it `above` the track's line."""

    track: Track
    times: tuple[Label, ...]
    marks: tuple[tuple[Moment, Label], ...]
    above: float
    height: float


def _lane(track: Track, points: float, across: float) -> Lane:
    """Lay a track out. Parameters: points [pt/m] along the axis; across [pt], how long the axis is."""
    started = track.plan.outing.marks.started
    times = tuple(Label(stop.distance * points, _times(stop, started)) for stop in track.stops)
    below = tiers(times, across) * (2 * LINE + 3.0)
    marks = tuple((moment, Label(moment.distance * points, ("00'",))) for moment in track.moments)
    over = tiers([label for _, label in marks], across) * MARK
    above = over + TRACK_ROOM
    return Lane(track, times, marks, above, above + TRACK_ROOM + below + 6.0)


def _times(stop: Stop, started: datetime) -> tuple[str, ...]:
    """Clock times under a stop: arrived and left, or one time if it was passed; "2d" is the second day."""
    times = (stop.arrived,) if stop.left is None else (stop.arrived, stop.left)
    told = (clock(started, time).removeprefix("day ").replace(", ", "d ") for time in times)
    return tuple(dict.fromkeys(told))


def _lanes_at(lanes: Sequence[Lane], above: float) -> list[float]:
    """Where the line of each track lies, down from the top [pt]."""
    found, y = [], above
    for lane in lanes:
        found.append(y + lane.above)
        y += lane.height
    return found


def _names(tracks: Sequence[Track], points: float) -> list[Label]:
    """Every place once, where the first plan that goes there has it."""
    found: dict[str, list[float]] = {}
    least = ALIKE * max(track.length for track in tracks)
    for track in tracks:
        for stop in track.stops:
            at = found.setdefault(stop.place, [])
            if all(abs(stop.distance - other) > least for other in at):
                at.append(stop.distance)
    return [Label(at * points, (name,)) for name, places in found.items() for at in places]


def _draw_names(
    axes: Axes, names: Sequence[Label], above: float, scale: float, lowest: float
) -> None:  # fmt: skip
    """Names of places above all tracks, each with a fine upright down to the last track."""
    for label in names:
        base = -(above - TRACK_ROOM - label.tier * LINE)
        axes.text(
            label.left * scale, base, label.lines[0], fontsize=TYPE, color=style.INK, va="bottom", zorder=4,
            bbox=WHITE,
        )  # fmt: skip
        at = label.at * scale
        axes.plot([at, at], [base, -lowest], color=style.RULE, linewidth=0.6, zorder=1)


def _draw_lane(axes: Axes, lane: Lane, y: float, scale: float, points: float, several: bool) -> None:
    """One track: its line, stops, times, marks and faults. `scale` is axis units a point."""
    track = lane.track
    colour, dash = track.plan.stroke
    end = track.length * points * scale
    axes.plot(
        [0.0, end], [-y, -y], color=colour, linewidth=2.2, linestyle=(0, dash) if dash else "-", zorder=2
    )
    if several:
        drawing.badge(axes, -22.0 * scale, -y, track.plan.letter, colour)
    for stop in track.stops:
        _draw_stop(axes, stop.distance * points * scale, -y, stop.kinds)
    for label in lane.times:
        for number, line in enumerate(label.lines):
            base = -(y + TRACK_ROOM + label.tier * (2 * LINE + 3.0) + number * LINE)
            axes.text(
                label.left * scale, base, line, fontsize=TYPE, color=style.INK, va="top", zorder=4, bbox=WHITE
            )  # fmt: skip
    for moment, label in lane.marks:
        at = (moment.distance * points) * scale
        height = -(y - TRACK_ROOM - label.tier * MARK - LINE / 2)
        centre = (label.left + label.width / 2) * scale
        axes.plot([at, centre], [-y, height], color=style.RED_LEAD, linewidth=0.6, zorder=3)
        _draw_mark(axes, centre, height, moment)
    for fault in track.faults:
        at = fault * points * scale
        axes.plot(
            [at], [-y - 10.0], marker="x", color=style.RED_LEAD, markersize=7, markeredgewidth=2.0, zorder=8
        )


def _draw_mark(axes: Axes, x: float, y: float, moment: Moment) -> None:
    """A number in the shape of its severity."""
    filled = moment.severity == "danger"
    axes.plot(
        [x], [y], marker=SHAPES[moment.severity], markersize=15 if moment.severity == "act" else 12.5,
        markerfacecolor=style.RED_LEAD if filled else "white",
        markeredgecolor=style.FAINT if moment.severity == "watch" else style.RED_LEAD,
        markeredgewidth=1.1, clip_on=False, zorder=6,
    )  # fmt: skip
    axes.text(
        x, y, moment.text, fontsize=7.5, ha="center", va="center_baseline", zorder=7,
        color="white" if filled else style.INK,
    )  # fmt: skip


def _draw_stop(axes: Axes, x: float, y: float, kinds: Sequence[str]) -> None:
    """A brass disc with the letters of what was done there, or a dot for a place passed."""
    text = "".join(CODES[kind] for kind in kinds)
    if not text:
        axes.plot([x], [y], marker="o", markersize=4, color=style.INK, clip_on=False, zorder=5)
        return
    axes.text(
        x, y, text, fontsize=8.0, ha="center", va="center", color=style.INK, zorder=6, clip_on=False,
        bbox=STOP,
    )  # fmt: skip
