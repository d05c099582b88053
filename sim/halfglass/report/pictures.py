"""The pictures in which plans are laid over each other, and what all pictures are made of.

Each is a small SVG with a caption and a table of its lowest and highest. What stands in it is said once,
as panels; the SVG and the drawing that follows the cursor on screen are both made from these.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from halfglass.report import drawing, style
from halfglass.report.scene import Array, Plan, Scene
from halfglass.result import shown
from halfglass.result.clock import clock
from halfglass.result.records import Marks
from halfglass.result.timeline import thin
from halfglass.vocabulary import quantities

PIECES = 260  # stretches of time drawn with their lowest and highest: finer than a picture can show
NOUGHT = 1e-3  # of the largest value: what is smaller is told as none
FAULT_ROOM = 26.0  # pt the word "fault" takes
LETTERS_FROM = 0.42  # of the clock's span, where the first plan's letter stands
LETTER_ROOM = 0.07  # of it, what a letter takes in the narrowest picture
PANEL = 92.0  # pt
HALF_PANEL = 58.0  # pt


@dataclass(frozen=True)
class Extreme:
    """One line of a picture's table, ready to print."""

    letter: str
    reading: str
    unit: str
    low: str
    low_at: str
    high: str
    high_at: str


@dataclass(frozen=True)
class Mark:
    """A level line across a panel, in shown units; its name stands in the margin."""

    value: float
    text: str
    dash: style.Dash = ()


@dataclass(frozen=True)
class Panel:
    """One reading of every plan on one scale, in shown units; None leaves an end of the scale or shade open.

    `derived` gives the SI values of what the timeline tells only by the way; `name` is then that of a
    reading with the same unit. `words` (height, text) name a shade.
    """

    name: str
    text: str
    low: float | None = None
    high: float | None = None  # the scale reaches at least so far
    marks: tuple[Mark, ...] = ()
    shades: tuple[tuple[float | None, float | None], ...] = ()
    words: tuple[tuple[float, str], ...] = ()
    derived: Callable[[Plan], Array] | None = None

    def values(self, plan: Plan, units: str) -> Array:
        """What is drawn of a plan, in shown units."""
        in_si = plan.reading(self.name) if self.derived is None else self.derived(plan)
        converted: Array = quantities.convert(in_si, self.name, units)
        return converted


@dataclass(frozen=True)
class Picture:
    """A finished picture; `narrow` is its other form for paper and small screens, if it has one.

    `panels` are what the cursor tells on screen; `is_redrawn` says whether they are drawn there anew or the
    SVG stays, with the cursor over it. `frame` is the width of the SVGs (wide, narrow) [pt].
    """

    key: str
    title: str
    caption: str
    svg: str
    rows: tuple[Extreme, ...]
    narrow: str = ""
    panels: tuple[Panel, ...] = ()
    is_redrawn: bool = False
    frame: tuple[float, float] = (drawing.WIDTH, drawing.WIDTH)


def extremes(scene: Scene, readings: Sequence[tuple[str, str]]) -> tuple[Extreme, ...]:
    """Lowest and highest under way of each (reading, label), per plan."""
    rows = []
    for name, label in readings:
        for plan in scene.plans:
            started, system = plan.outing.marks.started, scene.units
            time, values = plan.under_way(name)
            if not np.isfinite(values).any():
                continue
            values = np.where(np.abs(values) < NOUGHT * np.nanmax(np.abs(values)), 0.0, values)
            low, high = int(np.nanargmin(values)), int(np.nanargmax(values))
            rows.append(
                Extreme(
                    plan.letter,
                    label,
                    shown.unit(name, system),
                    shown.bare(name, values[low], system),
                    clock(started, time[low]),
                    shown.bare(name, values[high], system),
                    clock(started, time[high]),
                )
            )
    return tuple(rows)


def describe(rows: Sequence[Extreme], several: bool) -> str:
    """The table of a picture as sentences, for those who hear it."""
    return " ".join(
        f"{f'Plan {r.letter}, ' if several else ''}{r.reading}: lowest {r.low} {r.unit} at {r.low_at}, "
        f"highest {r.high} {r.unit} at {r.high_at}."
        for r in rows
    )


def draw_lines(axes: Axes, scene: Scene, panel: Panel) -> None:
    """One reading of every plan."""
    for index, plan in enumerate(scene.plans):
        time, values = plan.reading("time") + plan.offset, panel.values(plan, scene.units)
        rows = thin(time, values, PIECES)
        colour, dash = plan.stroke
        axes.plot(
            time[rows],
            values[rows],
            color=colour,
            linestyle=(0, dash) if dash else "-",
            linewidth=2.0 - 0.15 * index,
        )  # so that a plan hidden under another shows at its edges


def letter_times(scene: Scene) -> dict[str, float]:
    """Where each plan's letter stands on its line [s on the scene's clock], clear of the others'.

    They follow one another in the later half; on a day that ends before its place, near its end.
    """
    spans = {
        plan.letter: (plan.offset, plan.offset + float(plan.reading("time")[-1])) for plan in scene.plans
    }
    shares = {letter: LETTERS_FROM + 0.5 * index / len(spans) for index, letter in enumerate(spans)}
    found = {
        letter: share * scene.end
        for letter, share in shares.items()
        if spans[letter][0] <= share * scene.end <= spans[letter][1]
    }
    for letter in [letter for letter in spans if letter not in found]:
        first, last = spans[letter]
        free = [
            at
            for at in np.linspace(last, first, 40)
            if all(abs(at - other) > LETTER_ROOM * scene.end for other in found.values())
        ]
        found[letter] = float(free[0] if free else last)
    return {letter: found[letter] for letter in spans}


def draw_letters(axes: Axes, scene: Scene, panel: Panel) -> None:
    """Each plan's letter on its line, or at the edge that the line has left."""
    low, high = axes.get_ylim()
    places = letter_times(scene)
    for plan in scene.plans:
        time, values = plan.reading("time") + plan.offset, panel.values(plan, scene.units)
        at = places[plan.letter]
        height = float(np.clip(np.interp(at, time, values), low, high))
        drawing.badge(axes, at, height, plan.letter, plan.stroke.colour)


def draw_panel(axes: Axes, scene: Scene, panel: Panel) -> None:
    """Lines, scale, shades and marks of one panel."""
    draw_lines(axes, scene, panel)
    low, high = axes.get_ylim()
    low = low if panel.low is None else panel.low
    high = high if panel.high is None else max(high, panel.high)
    axes.set_ylim(low, high)
    for bottom, top in panel.shades:
        shade = (low if bottom is None else bottom, high if top is None else top)
        axes.axhspan(*shade, facecolor=style.SHADE, zorder=-2)
    for mark in panel.marks:
        dash = (0, mark.dash) if mark.dash else "-"
        axes.axhline(mark.value, color=style.FAINT, linewidth=0.8, linestyle=dash, zorder=0)
    named = [*((mark.value, mark.text) for mark in panel.marks if mark.text), *panel.words]
    drawing.name_marks(axes, [(height, text, style.INK) for height, text in named])
    if len(scene.plans) > 1:
        draw_letters(axes, scene, panel)
    label(axes, panel.name, panel.text, scene)


def label(axes: Axes, name: str, text: str, scene: Scene) -> None:
    """What the scale measures and its unit, above its upper end."""
    unit = shown.unit(name, scene.units)
    axes.annotate(
        f"{text} [{unit}]" if unit else text,
        (0, 1),
        xytext=(6 - drawing.LEFT, 7),
        xycoords="axes fraction",
        textcoords="offset points",
        fontsize=9.5,
        color=style.INK,
        annotation_clip=False,
    )
    axes.locator_params(axis="y", nbins=5)


def draw_faults(axes: Axes, scene: Scene, named: bool = True, clear_of: float = 0.5) -> None:
    """A dotted upright where a fault struck; its name goes a line higher where `label` is in the way."""
    room, named_at = FAULT_ROOM / drawing.size(axes)[0] * scene.end, -np.inf
    for at in sorted({at for plan in scene.plans for at in plan.faults()}):
        axes.axvline(at, color=style.RED_LEAD, linewidth=0.9, linestyle=(0, (1, 2)))
        if named and at - named_at > room:
            named_at = at
            axes.annotate(
                "fault",
                (at, 1.0),
                xycoords=("data", "axes fraction"),
                xytext=(0, 4 if at > clear_of * scene.end else 18),
                textcoords="offset points",
                ha="center",
                fontsize=8.5,
                color=style.RED_LEAD,
            )


def pressure(scene: Scene) -> Picture:
    """Boiler pressure, with the marks it must keep between."""
    marks = scene.plans[0].outing.marks
    name = "boiler_pressure"
    lowest = _shown(name, marks.steaming_pressure, scene)
    lines = tuple(
        Mark(_shown(name, value, scene), text, dash) for value, text, dash in _pressure_marks(marks)
    )
    shades: list[tuple[float | None, float | None]] = [(None, lowest)]
    if marks.safety_valve_pressures:
        shades.append((_shown(name, min(marks.safety_valve_pressures), scene), None))
    highest = _shown(name, max((marks.working_pressure, *marks.safety_valve_pressures)), scene)
    panel = Panel(
        name,
        "boiler pressure",
        low=0.0,
        high=1.08 * highest,
        marks=lines,
        shades=tuple(shades),
        words=((lowest / 2, "too low to steam"),),
    )
    return draw(
        scene,
        "pressure",
        "Boiler pressure",
        "Gauge pressure in the boiler. Shaded: at and above the safety valves, and too low to steam.",
        (panel,),
    )


def fuel(scene: Scene) -> Picture:
    """Fuel on board, with the reserve."""
    name = "fuel_on_board"
    reserve = _shown(name, scene.plans[0].outing.marks.fuel_reserve, scene)
    panel = Panel(
        name, "fuel on board", 0.0, 1.06 * reserve, (Mark(reserve, "reserve"),), shades=((None, reserve),)
    )
    return draw(scene, "fuel", "Fuel", "Fuel in bunker or tank. Shaded: the reserve.", (panel,))


def hotwell(scene: Scene) -> Picture:
    """Hot well: how much, how hot, and what was baled in."""
    marks = scene.plans[0].outing.marks
    mass, heat = "hotwell_mass", "hotwell_temperature"
    low, full = _shown(mass, marks.hotwell_low, scene), _shown(mass, marks.hotwell_capacity, scene)
    hot, cold = (_shown(heat, value, scene) for value in (marks.hotwell_hot, marks.lake_temperature))
    panels = [
        Panel(
            mass,
            "water",
            0.0,
            1.06 * full,
            (Mark(full, "full"),),
            shades=((None, low),),
            words=((low / 2, "low"),),
        ),
        Panel(
            heat,
            "temperature",
            high=hot + 0.12 * (hot - cold),
            marks=(Mark(hot, "too hot to pump"),),
            shades=((hot, None),),
        ),
    ]
    caption = "Water in the hot well and its temperature. Shaded: low, and too hot to pump."
    if any(make_up(plan)[-1] > 0.0 for plan in scene.plans):
        panels.append(Panel(mass, "make-up in all", 0.0, derived=make_up))
        caption += " Make-up is the lake water put in since lighting up."
    return draw(scene, "hotwell", "Hot well and make-up", caption, tuple(panels))


def make_up(plan: Plan) -> Array:
    """Lake water put into the hot well since lighting up [kg], at each row of the timeline.

    It goes in at once, between two rows of the same moment; nothing else does.
    """
    time, mass = plan.reading("time"), plan.reading("hotwell_mass")
    put_in = np.where(np.diff(time) == 0.0, np.diff(mass), 0.0).clip(min=0.0)
    return np.concatenate(([0.0], np.cumsum(put_in)))


def speed(scene: Scene) -> Picture:
    """Speed of boat and shaft, and how far she has come."""
    still = Mark(0.0, "")
    return draw(
        scene,
        "speed",
        "Speed and distance",
        "Speed of the boat through the water and of the shaft, astern below the line; distance gone over the "
        "ground along the route.",
        (
            Panel("boat_speed", "boat", marks=(still,)),
            Panel("shaft_speed", "shaft", marks=(still,)),
            Panel("distance", "distance", low=0.0),
        ),
    )


def back_pressure(scene: Scene) -> Picture:
    """What the engine exhausts against."""
    return draw(
        scene,
        "back",
        "Back pressure",
        "Gauge pressure the engine exhausts against; below the line is vacuum.",
        (Panel("back_pressure", "back pressure", marks=(Mark(0.0, "atmosphere"),)),),
    )


OVERLAYS: tuple[Callable[[Scene], Picture], ...] = (pressure, fuel, hotwell, speed, back_pressure)


def draw(scene: Scene, key: str, title: str, caption: str, panels: tuple[Panel, ...]) -> Picture:
    """A picture of lines only: drawn here for paper, and on screen anew under the cursor."""
    with drawing.settings():
        drawn, axes = drawing.figure(len(panels), PANEL if len(panels) == 1 else HALF_PANEL)
        for part, panel in zip(axes, panels, strict=True):
            draw_panel(part, scene, panel)
        finished = finish(drawn, axes, scene, key, title, caption, panels)
    return replace(finished, is_redrawn=True)


def finish(
    drawn: Figure,
    axes: Sequence[Axes],
    scene: Scene,
    key: str,
    title: str,
    caption: str,
    panels: Sequence[Panel],
) -> Picture:
    """Faults, clock, table and description: what every picture ends with.

    The table has the readings of the panels, but nothing derived, which only grows or is a mean.
    """
    for index, part in enumerate(axes):
        draw_faults(part, scene, named=index == 0)
    drawing.clock_axis(axes[-1], scene.origin, scene.end)
    rows = extremes(scene, [(panel.name, panel.text) for panel in panels if panel.derived is None])
    key = f"{key}-{scene.plans[0].letter}".lower()
    text = f"{caption} {describe(rows, len(scene.plans) > 1)}".strip()
    return Picture(key, title, caption, drawing.svg(drawn, key, title, text), rows, panels=tuple(panels))


def _shown(name: str, value: float, scene: Scene) -> float:
    return float(quantities.convert(value, name, scene.units))


def _pressure_marks(marks: Marks) -> list[tuple[float, str, style.Dash]]:
    dotted, dashed = (1.0, 2.0), (4.0, 2.0)
    found: list[tuple[float | None, str, style.Dash]] = [
        (marks.working_pressure, "working", dashed),
        (marks.reversing_pressure, "to go astern", dotted),
        (marks.injector_lowest_pressure, "for the injector", dotted),
    ]
    valves = sorted(set(marks.safety_valve_pressures))
    texts = ("safety valve",) if len(valves) == 1 else ("first safety valve", "second safety valve")
    found += [(value, text, ()) for value, text in zip(valves, texts, strict=False)]
    return [(value, text, dash) for value, text, dash in found if value is not None]
