"""The glass strip: the water through the day as the gauge glass showed it, nuts, crown and swell marked."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Rectangle
from matplotlib.path import Path

from halfglass.report import drawing, style
from halfglass.report.pictures import PIECES, Panel, Picture, describe, draw_faults, extremes
from halfglass.report.scene import Plan, Scene
from halfglass.result import events, shown
from halfglass.result.timeline import thin
from halfglass.vocabulary import quantities

WIDE = 840.0  # pt: the whole page
TITLE = "The gauge glass through the day"
CAPTION = (
    "Water in the glass between bottom nut and top nut: solid to where it would stand without steam "
    "bubbles, pale for the swell, and the line is what the glass shows. Hatched: out of sight."
)


def strip(scene: Scene) -> Picture:
    """One glass per plan, one above the other, on the same clock."""
    rows = extremes(scene, [("glass_fraction", "glass")])
    text = f"{CAPTION} {describe(rows, len(scene.plans) > 1)}"
    key = f"glass-{scene.plans[0].letter}".lower()
    drawn = [_draw(scene, f"{key}-{form}", text, form == "wide") for form in ("wide", "narrow")]
    told = (Panel("glass_fraction", "glass"), Panel("swell", "swell"))
    frame = (WIDE, drawing.WIDTH)
    return Picture(key, TITLE, CAPTION, drawn[0], rows, drawn[1], told, frame=frame)


def _draw(scene: Scene, key: str, text: str, wide: bool) -> str:
    with drawing.settings():
        drawn, panels = drawing.figure(
            len(scene.plans),
            (128.0 if len(scene.plans) == 1 else 118.0) if wide else 104.0,
            WIDE if wide else drawing.WIDTH,
        )
        for plan, axes in zip(scene.plans, panels, strict=True):
            _glass(axes, plan, scene, 2 * PIECES if wide else PIECES)
            if len(scene.plans) > 1:
                axes.annotate(
                    plan.letter,
                    (0, 1),
                    xytext=(-38, 5),
                    xycoords="axes fraction",
                    textcoords="offset points",
                    ha="center",
                    va="center",
                    fontsize=10,
                    color=style.INK,
                    annotation_clip=False,
                    bbox={
                        "boxstyle": "circle,pad=0.2",
                        "facecolor": "white",
                        "edgecolor": plan.stroke.colour,
                    },
                )
        for index, axes in enumerate(panels):
            draw_faults(axes, scene, named=index == 0, clear_of=0.0)
        _name_events(panels[0], scene.plans[0], scene)
        drawing.clock_axis(panels[-1], scene.origin, scene.end, wide)
        return drawing.svg(drawn, key, TITLE, text)


def _glass(axes: Axes, plan: Plan, scene: Scene, pieces: int) -> None:
    """One glass. Heights are in the units of the answers; what is out of sight is hatched."""
    marks = plan.outing.marks
    nut, crown = (
        float(quantities.convert(v, "water_level", scene.units))
        for v in (marks.glass_length, marks.crown_level)
    )
    bottom, top = min(crown - 0.22 * nut, -0.3 * nut), 1.22 * nut
    time = plan.reading("time") + plan.offset
    level, swell, glass = (plan.shown(name) for name in ("water_level", "swell", "glass_level"))
    rows = np.unique(np.concatenate([thin(time, values, pieces) for values in (glass, level - swell)]))
    time, level, swell, glass = time[rows], level[rows], swell[rows], glass[rows]

    axes.grid(False)
    axes.set_ylim(bottom, top)
    for low, high in ((bottom, 0.0), (nut, top)):
        band = Path([(0, low), (scene.end, low), (scene.end, high), (0, high), (0, low)], closed=True)
        drawing.hatch(axes, band, 1, style.HIDDEN)
    axes.axhspan(0.0, nut, facecolor=style.GLASS, zorder=1)
    still = np.clip(level - swell, 0.0, nut)
    axes.fill_between(time, 0.0, still, facecolor=style.WATER, linewidth=0, zorder=2)
    axes.fill_between(time, still, np.clip(level, 0.0, nut), facecolor=style.SWELL, linewidth=0, zorder=2)
    seen = (glass >= 0.0) & (glass <= nut)
    axes.plot(time, np.where(seen, glass, np.nan), color=style.INK, linewidth=1.2, zorder=4)
    axes.plot(
        time,
        np.where(_grown(~seen), glass, np.nan),
        color=style.RED_LEAD,
        linewidth=1.4,
        linestyle=(0, (1, 1.3)),
        zorder=4,
    )
    axes.axhline(crown, color=style.RED_LEAD, linewidth=1.2, linestyle=(0, (7, 2)), zorder=3)
    for height in (0.0, nut):
        axes.axhline(height, color=style.INK, linewidth=0.9, zorder=5)
    for part in (0.25, 0.5, 0.75):
        axes.axhline(part * nut, color="white", linewidth=0.7, alpha=0.8, zorder=3)
    _nuts(axes, (0.0, nut))
    _scale(axes, nut, crown, scene)


def _grown(hidden: np.ndarray) -> np.ndarray:
    """Hidden rows and their neighbours, so that the dotted line meets the solid one."""
    grown = hidden.copy()
    grown[:-1] |= hidden[1:]
    grown[1:] |= hidden[:-1]
    return grown


def _nuts(axes: Axes, heights: Sequence[float]) -> None:
    """The gland nuts that hold the glass, at both ends of the strip."""
    tall = 0.075 * (axes.get_ylim()[1] - axes.get_ylim()[0])
    wide = 7.0 / drawing.size(axes)[0]
    across = axes.get_yaxis_transform()
    for height in heights:
        for left in (0.0, 1.0 - wide):
            axes.add_patch(
                Rectangle(
                    (left, height - tall / 2),
                    wide,
                    tall,
                    transform=across,
                    facecolor=style.BRASS,
                    edgecolor=style.INK,
                    linewidth=0.6,
                    zorder=6,
                )
            )


def _scale(axes: Axes, nut: float, crown: float, scene: Scene) -> None:
    """Height on the left, the names of the marks on the right."""
    heights = [0.0, 0.5 * nut, nut]
    unit = shown.unit("water_level", scene.units)
    axes.set_yticks(heights, [f"{height:.3g} {unit}" for height in heights])
    marks = [
        (nut, "top nut"),
        (0.75 * nut, "three quarters"),
        (0.5 * nut, "half glass"),
        (0.25 * nut, "quarter"),
        (0.0, "bottom nut"),
    ]
    drawing.name_marks(axes, [*((y, text, style.INK) for y, text in marks), (crown, "crown", style.RED_LEAD)])


def _name_events(axes: Axes, plan: Plan, scene: Scene) -> None:
    """Light up, under way and shut down along the top, left out where they would run into a name before."""
    taken = [at / scene.end for p in scene.plans for at in p.faults()]
    room = 62.0 / drawing.size(axes)[0]
    for entry in plan.log:
        if entry.event not in (events.LIGHT_UP, events.UNDER_WAY, events.SHUT_DOWN):
            continue
        at = (entry.time + plan.offset) / scene.end
        if any(abs(at - other) < room for other in taken):
            continue
        taken.append(at)
        axes.annotate(
            entry.event,
            (at, 1.0),
            xycoords="axes fraction",
            xytext=(0, 4),
            textcoords="offset points",
            ha="left" if at < 0.06 else "right" if at > 0.94 else "center",
            fontsize=8.5,
            color=style.FAINT,
        )
