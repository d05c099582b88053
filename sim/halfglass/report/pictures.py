"""The pictures in which plans are laid over each other, and what all pictures are made of.

Each is a small SVG with a caption and a table of its lowest and highest.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from halfglass.report import drawing, style
from halfglass.report.scene import Scene
from halfglass.result import shown
from halfglass.result.clock import clock
from halfglass.result.records import Marks
from halfglass.result.timeline import thin
from halfglass.vocabulary import quantities

PIECES = 260  # stretches of time drawn with their lowest and highest: finer than a picture can show
PANEL = 108.0  # pt
HALF_PANEL = 72.0  # pt


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
class Picture:
    """A finished picture; `narrow` is its other form for paper and small screens, if it has one."""

    key: str
    title: str
    caption: str
    svg: str
    rows: tuple[Extreme, ...]
    narrow: str = ""


def extremes(scene: Scene, readings: Sequence[tuple[str, str]]) -> tuple[Extreme, ...]:
    """Lowest and highest under way of each (reading, label), per plan."""
    rows = []
    for plan in scene.plans:
        started, system = plan.outing.marks.started, scene.units
        for name, label in readings:
            time, values = plan.under_way(name)
            if not np.isfinite(values).any():
                continue
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


def draw_lines(axes: Axes, scene: Scene, name: str) -> None:
    """One reading of every plan, with its letter on the line where there are several."""
    for index, plan in enumerate(scene.plans):
        time, values = plan.reading("time") + plan.offset, plan.shown(name)
        rows = thin(time, values, PIECES)
        colour, dash = plan.stroke
        axes.plot(
            time[rows],
            values[rows],
            color=colour,
            linestyle=(0, dash) if dash else "-",
            linewidth=2.0 - 0.15 * index,
        )  # so that a plan hidden under another shows at its edges
        if len(scene.plans) > 1:
            at = scene.end * (0.42 + 0.5 * index / len(scene.plans))
            if time[0] <= at <= time[-1]:
                drawing.badge(axes, at, float(np.interp(at, time, values)), plan.letter, colour)


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
    for at in sorted({at for plan in scene.plans for at in plan.faults()}):
        axes.axvline(at, color=style.RED_LEAD, linewidth=0.9, linestyle=(0, (1, 2)))
        if named:
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
    with drawing.settings():
        drawn, (axes,) = drawing.figure(1, 1.3 * PANEL)
        draw_lines(axes, scene, name)
        axes.set_ylim(0, 1.08 * max(axes.get_ylim()[1], *(_shown(name, v, scene) for v in _pressures(marks))))
        names = []
        for value, text, dash in _pressure_marks(marks):
            height = _shown(name, value, scene)
            axes.axhline(height, color=style.FAINT, linewidth=0.8, linestyle=dash, zorder=0)
            names.append((height, text, style.INK))
        lowest, top = _shown(name, marks.steaming_pressure, scene), axes.get_ylim()[1]
        axes.axhspan(0, lowest, facecolor=style.SHADE, zorder=-2)
        if marks.safety_valve_pressures:
            axes.axhspan(
                _shown(name, min(marks.safety_valve_pressures), scene), top, facecolor=style.SHADE, zorder=-2
            )
        drawing.name_marks(axes, [*names, (lowest / 2, "too low to steam", style.INK)])
        label(axes, name, "boiler pressure", scene)
        return finish(
            drawn,
            [axes],
            scene,
            "pressure",
            "Boiler pressure",
            "Gauge pressure in the boiler. Shaded: at and above the safety valves, and too low to steam.",
            [(name, "boiler pressure")],
        )


def fuel(scene: Scene) -> Picture:
    """Fuel on board, with the reserve."""
    marks = scene.plans[0].outing.marks
    name = "fuel_on_board"
    with drawing.settings():
        drawn, (axes,) = drawing.figure(1, 1.3 * PANEL)
        draw_lines(axes, scene, name)
        reserve = _shown(name, marks.fuel_reserve, scene)
        axes.set_ylim(0, 1.06 * max(axes.get_ylim()[1], reserve))
        axes.axhline(reserve, color=style.FAINT, linewidth=0.8, zorder=0)
        axes.axhspan(0, reserve, facecolor=style.SHADE, zorder=-2)
        drawing.name_marks(axes, [(reserve, "reserve", style.INK)])
        label(axes, name, "fuel on board", scene)
        return finish(
            drawn,
            [axes],
            scene,
            "fuel",
            "Fuel",
            "Fuel in bunker or tank. Shaded: the reserve.",
            [(name, "fuel on board")],
        )


def hotwell(scene: Scene) -> Picture:
    """Hot well: how much, and how hot."""
    marks = scene.plans[0].outing.marks
    mass, heat = "hotwell_mass", "hotwell_temperature"
    with drawing.settings():
        drawn, (upper, lower) = drawing.figure(2, HALF_PANEL)
        draw_lines(upper, scene, mass)
        low, full = _shown(mass, marks.hotwell_low, scene), _shown(mass, marks.hotwell_capacity, scene)
        upper.set_ylim(0, 1.06 * full)
        upper.axhspan(0, low, facecolor=style.SHADE, zorder=-2)
        upper.axhline(full, color=style.FAINT, linewidth=0.8, zorder=0)
        drawing.name_marks(upper, [(low / 2, "low", style.INK), (full, "full", style.INK)])
        label(upper, mass, "water", scene)
        draw_lines(lower, scene, heat)
        hot = _shown(heat, marks.hotwell_hot, scene)
        lower.set_ylim(
            lower.get_ylim()[0], max(lower.get_ylim()[1], hot + 0.12 * (hot - lower.get_ylim()[0]))
        )
        lower.axhspan(hot, lower.get_ylim()[1], facecolor=style.SHADE, zorder=-2)
        drawing.name_marks(lower, [(hot, "too hot to pump", style.INK)])
        label(lower, heat, "temperature", scene)
        return finish(
            drawn,
            [upper, lower],
            scene,
            "hotwell",
            "Hot well",
            "Water in the hot well and its temperature. Shaded: low, and too hot to pump.",
            [(mass, "water"), (heat, "temperature")],
        )


def speed(scene: Scene) -> Picture:
    """Speed of boat and shaft."""
    boat, shaft = "boat_speed", "shaft_speed"
    with drawing.settings():
        drawn, panels = drawing.figure(2, HALF_PANEL)
        for axes, name, text in zip(panels, (boat, shaft), ("boat", "shaft"), strict=True):
            draw_lines(axes, scene, name)
            axes.axhline(0, color=style.FAINT, linewidth=0.6, zorder=0)
            label(axes, name, text, scene)
        return finish(
            drawn,
            panels,
            scene,
            "speed",
            "Speed",
            "Speed of the boat through the water and of the shaft; astern is below the line.",
            [(boat, "boat"), (shaft, "shaft")],
        )


OVERLAYS: tuple[Callable[[Scene], Picture], ...] = (pressure, fuel, hotwell, speed)


def finish(
    drawn: Figure,
    panels: Sequence[Axes],
    scene: Scene,
    key: str,
    title: str,
    caption: str,
    readings: Sequence[tuple[str, str]],
) -> Picture:
    """Faults, clock, table and description: what every picture ends with."""
    for index, axes in enumerate(panels):
        draw_faults(axes, scene, named=index == 0)
    drawing.clock_axis(panels[-1], scene.origin, scene.end)
    rows = extremes(scene, readings)
    key = f"{key}-{scene.plans[0].letter}".lower()
    text = f"{caption} {describe(rows, len(scene.plans) > 1)}".strip()
    return Picture(key, title, caption, drawing.svg(drawn, key, title, text), rows)


def _shown(name: str, value: float, scene: Scene) -> float:
    return float(quantities.convert(value, name, scene.units))


def _pressures(marks: Marks) -> tuple[float, ...]:
    return (marks.working_pressure, *marks.safety_valve_pressures)


def _pressure_marks(marks: Marks) -> list[tuple[float, str, object]]:
    dotted, dashed = (0, (1, 2)), (0, (4, 2))
    found: list[tuple[float | None, str, object]] = [
        (marks.working_pressure, "working", dashed),
        (marks.reversing_pressure, "to go astern", dotted),
        (marks.injector_lowest_pressure, "for the injector", dotted),
    ]
    valves = sorted(set(marks.safety_valve_pressures))
    texts = ("safety valve",) if len(valves) == 1 else ("first safety valve", "second safety valve")
    found += [(value, text, "-") for value, text in zip(valves, texts, strict=False)]
    return [(value, text, dash) for value, text, dash in found if value is not None]
