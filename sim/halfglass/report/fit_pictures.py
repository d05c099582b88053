"""The pictures of a fit: the log with the boat as written and as fitted, and how far each number is known."""

from __future__ import annotations

import math

import numpy as np

from halfglass.report import drawing, style
from halfglass.report.fit_text import NAMES, key
from halfglass.result import shown
from halfglass.result.fitted import FitResult, Series
from halfglass.vocabulary import quantities

ROW = 30.0  # pt: height of a bar with its label
BEFORE, AFTER = style.stroke(1), style.stroke(0)


def against_the_log(result: FitResult, picture_key: str) -> str:
    """Every quantity: what was read, and what the boat as written and as fitted would have shown."""
    with drawing.settings():
        drawn, panels = drawing.figure(len(result.series), 100.0)
        for axes, one in zip(panels, result.series, strict=True):
            axes.axvspan(result.held_from, result.ends, color=style.SHADE, linewidth=0, zorder=0)
            for values, stroke in ((one.before, BEFORE), (one.after, AFTER)):
                dash = (0, stroke.dash) if stroke.dash else "-"
                axes.plot(
                    one.time,
                    quantities.convert(values, one.quantity, result.units),
                    color=stroke.colour,
                    linestyle=dash,
                    linewidth=1.2,
                )
            _dots(axes, one, result)
            unit = shown.unit(one.quantity, result.units)
            axes.set_title(f"{NAMES[one.quantity].capitalize()} [{unit}]", loc="left", fontsize=10.0)
            ends = [(one.before, "as written", BEFORE), (one.after, "as fitted", AFTER)]
            marks = [
                (
                    float(quantities.convert(values, one.quantity, result.units)[np.isfinite(values)][-1]),
                    name,
                    stroke.colour,
                )
                for values, name, stroke in ends
                if np.isfinite(values).any()
            ]
            drawing.name_marks(axes, marks)
        drawing.clock_axis(panels[-1], result.started, result.ends)
        told = "Readings of the log as dots, with lines of the boat as written (dashed) and as fitted."
        return drawing.svg(drawn, picture_key, "The log, and the model before and after", told)


def _dots(axes: object, one: Series, result: FitResult) -> None:
    """Readings: full if fitted to or held back, open if left out."""
    used = one.is_fitted | one.is_held
    read = quantities.convert(one.read, one.quantity, result.units)
    for which, face in ((used, style.INK), (~used, "white")):
        axes.plot(  # type: ignore[attr-defined]
            one.time[which], read[which], linestyle="none", marker="o", markersize=2.6, color=style.INK,
            markerfacecolor=face, markeredgewidth=0.5,
        )  # fmt: skip


def intervals(result: FitResult, picture_key: str) -> str:
    """How far each number was known before (pale) and is known now (dark), over what the boat file says."""
    with drawing.settings():
        tall = max(1, len(result.numbers)) * ROW + 4.0
        drawn, axes = drawing.bars(tall, 42.0)
        axes.set_xscale("log")
        furthest = max(
            (max(one.most / one.written, one.written / one.least) for one in result.numbers), default=2.0
        )
        axes.set_xlim(1.0 / (1.1 * furthest), 1.1 * furthest)
        ticks = [
            tick
            for tick in (0.5, 0.7, 0.8, 0.9, 1.0, 1.1, 1.25, 1.5, 2.0)
            if 1 / furthest <= tick <= furthest
        ]
        axes.set_xticks(ticks, [f"{tick:g}" for tick in ticks])
        axes.minorticks_off()
        axes.axvline(1.0, color=style.FAINT, linewidth=0.6)
        for row, one in enumerate(result.numbers):
            top, height = row * ROW + 9.0, row * ROW + 20.0
            said = key(one) + ("" if one.is_told else " · not identifiable")
            axes.text(0.0, top, said, transform=axes.get_yaxis_transform(), va="center", fontsize=8.5)
            scale = 1.0 / one.written
            axes.barh(
                height, (one.most - one.least) * scale, left=one.least * scale, height=8.0, color=style.RULE
            )
            colour = style.WATER if one.is_told else style.HIDDEN
            axes.barh(height, (one.high - one.low) * scale, left=one.low * scale, height=4.0, color=colour)
            if one.is_told and math.isfinite(one.value):
                axes.plot([one.value * scale], [height], marker="|", color=style.INK, markersize=8)
        axes.set_xlabel("times what the boat file says")
        told = "Pale: taken to be beforehand. Dark: interval of 90 % from the log. Stroke: put into the file."
        return drawing.svg(drawn, picture_key, "How far each number is known", told)
