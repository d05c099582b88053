"""The pictures of one plan by itself: feed by source, fire, crew."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import PathPatch
from matplotlib.path import Path
from matplotlib.transforms import Affine2D

from halfglass.report import drawing, style
from halfglass.report.pictures import PANEL, PIECES, Panel, Picture, draw, finish, label
from halfglass.report.scene import Array, Plan, Scene
from halfglass.result.timeline import thin


def feed(scene: Scene) -> Picture:
    """What each source put into the boiler, one on top of the other, against the steam made."""
    plan = scene.plans[0]
    time = plan.reading("time") + plan.offset
    used = [name for name in style.FEED if np.any(plan.reading(name) > 0.0)]
    steam = "evaporation_rate"
    with drawing.settings():
        drawn, (axes,) = drawing.figure(1, PANEL)
        rows = np.unique(
            np.concatenate([thin(time, plan.reading(name), PIECES // 2) for name in (*used, steam)])
        )
        floor = np.zeros(rows.size)
        for name in used:
            flow = plan.shown(name)[rows]
            on = flow > 0.0
            on[:-1] |= on[1:]
            _, colour, slope = style.FEED[name]
            drawn_fill = axes.fill_between(
                time[rows],
                floor,
                floor + flow,
                where=on,
                facecolor=colour,
                edgecolor=style.INK,
                linewidth=0.4,
            )
            if slope is not None:
                shape = Path.make_compound_path(*drawn_fill.get_paths())
                drawing.hatch(axes, shape, slope, style.FAINT, gap=3.0, zorder=drawn_fill.get_zorder())
            floor = floor + flow
        axes.plot(time[rows], plan.shown(steam)[rows], color=style.INK, linewidth=1.0)
        axes.set_ylim(bottom=0)
        _key(axes, used)
        label(axes, steam, "feed and steam", scene)
        return finish(
            drawn,
            [axes],
            scene,
            "feed",
            "Feed by source",
            "Water fed to the boiler, sources stacked; the line is the steam made.",
            [*(Panel(name, style.FEED[name].name) for name in used), Panel(steam, "steam made")],
        )


def fire(scene: Scene) -> Picture:
    """The fire: bed and burning rate, or the burner's setting and its rate."""
    plan = scene.plans[0]
    shown_here = [("burning_rate", "fuel burnt")]
    if np.any(plan.reading("burner_rate") > 0.0):
        shown_here.insert(0, ("burner_rate", "burner set"))
    if np.any(plan.reading("bed_fuel_mass") > 0.0):
        shown_here.insert(0, ("bed_fuel_mass", "fire bed"))
    caption = "The fire through the day: " + " and ".join(text for _, text in shown_here) + "."
    return draw(
        scene, "fire", "Fire", caption, tuple(Panel(name, text, low=0.0) for name, text in shown_here)
    )


def crew(scene: Scene) -> Picture:
    """How many hands were occupied, as the mean of each five minutes."""
    plan = scene.plans[0]
    edges, mean = _five_minutes(plan)
    hands = plan.outing.marks.hands
    with drawing.settings():
        drawn, (axes,) = drawing.figure(1, PANEL)
        axes.stairs(
            mean, edges + plan.offset, fill=True, facecolor=style.SWELL, edgecolor=style.INK, linewidth=0.5
        )
        axes.set_ylim(0, max(hands, 1) * 1.08)
        axes.set_yticks(range(hands + 1))
        axes.axhline(hands, color=style.FAINT, linewidth=0.8)
        drawing.name_marks(axes, [(hands, "all hands", style.INK)])
        label(axes, "hands_busy", "hands busy", scene)
        axes.set_yticks(range(hands + 1))
        return finish(
            drawn,
            [axes],
            scene,
            "crew",
            "Crew",
            f"Hands occupied out of {hands}, mean of each five minutes.",
            [Panel("hands_busy", "hands busy", derived=_mean_hands)],
        )


def _five_minutes(plan: Plan) -> tuple[Array, Array]:
    """Edges of five-minute steps [s] and the mean of hands occupied within each."""
    time, busy = plan.reading("time"), plan.reading("hands_busy")
    edges = np.append(np.arange(time[0], max(time[-1], time[0] + 1e-9), 300.0), time[-1])
    gone = np.concatenate(([0.0], np.cumsum(busy[:-1] * np.diff(time))))
    return edges, np.diff(np.interp(edges, time, gone)) / np.maximum(np.diff(edges), 1e-9)


def _mean_hands(plan: Plan) -> Array:
    """That mean at each row of the timeline."""
    edges, mean = _five_minutes(plan)
    step: Array = mean[
        (np.searchsorted(edges, plan.reading("time"), side="right") - 1).clip(0, mean.size - 1)
    ]
    return step


DETAILS: tuple[Callable[[Scene], Picture], ...] = (feed, fire, crew)


def _key(axes: Axes, used: Sequence[str]) -> None:
    """Which fill is which source, in the right margin."""
    width, height = drawing.size(axes)
    points = Affine2D().scale(1.0 / width, 1.0 / height) + axes.transAxes
    left, top = width + 6.0, height
    axes.plot(
        [left, left + 12], [top - 5, top - 5], color=style.INK, linewidth=1.0, transform=points, clip_on=False
    )
    axes.text(left + 16, top - 5, "steam made", fontsize=8.5, va="center", transform=points)
    top -= 17.0
    for name in reversed(used):
        text, colour, slope = style.FEED[name]
        box = (left, top - 10.0, left + 12.0, top)
        swatch = Path.unit_rectangle().transformed(Affine2D().scale(12, 10).translate(left, top - 10.0))
        axes.add_artist(
            PathPatch(
                swatch, facecolor=colour, edgecolor=style.INK, linewidth=0.4, transform=points, clip_on=False
            )
        )
        if slope is not None:
            drawing.hatch(axes, swatch, slope, style.FAINT, gap=3.0, zorder=2, transform=points, box=box)
        lines = text.replace(", ", "\n")
        axes.text(left + 16, top, lines, fontsize=8.5, va="top", linespacing=1.0, transform=points)
        top -= 17.0 + 10.0 * lines.count("\n")
