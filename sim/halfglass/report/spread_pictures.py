"""The pictures of a spread: bands over time, bars of chances, what drives an answer, times to critical."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from halfglass.report import drawing, style
from halfglass.report.spread_text import percent
from halfglass.result import shown
from halfglass.result.spread_records import ANSWERS, Chance, Driver, PlanSpread, SpreadResult
from halfglass.result.verdict import SEVERITIES
from halfglass.vocabulary import quantities

ROW = 26.0  # pt: height of a bar with its label
MOST_ITEMS = 12
"""Items drawn, the gravest: a picture of more cannot be read."""
MOST_RIGHT = 88.0
"""Days of a hundred beyond which the figure of a bar stands within it."""
NAMES = {
    "glass_fraction": "Water in the glass", "boiler_pressure": "Boiler pressure",
    "fuel_on_board": "Fuel on board", "hotwell_mass": "Water in the hot well",
}  # fmt: skip


def bands(plan: PlanSpread, result: SpreadResult, key: str) -> str:
    """Readings of one plan over the day: half the days lie in the dark band, nine of ten in the pale one."""
    with drawing.settings():
        drawn, panels = drawing.figure(len(plan.bands), 92.0)
        for axes, band in zip(panels, plan.bands, strict=True):
            rows = [quantities.convert(row, band.quantity, result.units) for row in band.rows]
            axes.fill_between(band.time, rows[0], rows[4], color=style.SWELL, linewidth=0)
            axes.fill_between(band.time, rows[1], rows[3], color=style.WATER, linewidth=0)
            axes.plot(band.time, rows[2], color=style.INK)
            unit = shown.unit(band.quantity, result.units)
            axes.set_title(f"{NAMES[band.quantity]} [{unit}]", loc="left", fontsize=10.0)
            if band.quantity == "glass_fraction":
                axes.axhline(0.0, color=style.RED_LEAD, linewidth=0.9)
                drawing.name_marks(axes, [(0.0, "bottom nut", style.RED_LEAD)])
        last = plan.bands[0].time[-1]
        drawing.clock_axis(panels[-1], result.started, float(last))
        told = f"Quantiles of the readings of {plan.days} days under {plan.name}."
        return drawing.svg(drawn, key, f"Bands over time: {plan.name}", told)


def chance_bars(result: SpreadResult, key: str) -> str:
    """How likely each item is under each plan, with the interval of each figure."""
    items = gravest(result)
    labels = [f"{severity} · {subject}: {name}" for severity, subject, name in items]
    with drawing.settings():
        drawn, axes = _bars(labels, len(result.plans))
        axes.set_xlim(0.0, 100.0)
        for place, plan in enumerate(result.plans):
            stroke = style.stroke(place)
            for row, wanted in enumerate(items):
                chance = next((one for one in plan.chances if _key(one) == wanted), None)
                height = _height(row, place, len(result.plans))
                if chance is None:
                    axes.text(0.6, height, f"{style.letter(place)} none", va="center", fontsize=8.0)
                    continue
                axes.barh(height, 100.0 * chance.share, height=6.0, color=stroke.colour)
                ends = [100.0 * chance.low, 100.0 * chance.high]
                axes.plot(ends, [height, height], color=style.INK, linewidth=0.9, marker="|", markersize=5)
                told = f"{style.letter(place)} {percent(chance.share)} %"
                if ends[1] < MOST_RIGHT:
                    axes.text(ends[1] + 1.5, height, told, va="center", fontsize=8.0)
                else:
                    axes.text(1.0, height, told, va="center", fontsize=8.0, color="white")
        axes.set_xlabel("days of a hundred on which it happens")
        told = "Share of the days on which each limit was crossed, with intervals of 90 % confidence."
        return drawing.svg(drawn, key, "How likely", told)


def tornado(plan: PlanSpread, name: str, key: str) -> str:
    """How far each uncertain key goes with one answer: rank correlations, the strongest on top."""
    found = [one for one in plan.drivers if one.answer == name and one.rank_correlation is not None]
    with drawing.settings():
        drawn, axes = _bars([_driver_label(one) for one in found], 1)
        axes.set_xlim(-1.0, 1.0)
        axes.axvline(0.0, color=style.FAINT, linewidth=0.6)
        for row, one in enumerate(found):
            colour = style.WATER if one.is_clear else style.RULE
            axes.barh(_height(row, 0, 1), one.rank_correlation or 0.0, height=7.0, color=colour)
        axes.set_xlabel("rank correlation: −1 less the more of it, 1 more the more of it")
        told = f"Rank correlation of each key with {ANSWERS[name][0]}; pale bars are not clear of chance."
        return drawing.svg(drawn, key, f"What goes with: {ANSWERS[name][0]}", told)


def _driver_label(one: Driver) -> str:
    told = f"{one.key}  {one.rank_correlation:+.2f}"
    return told + ("" if one.total is None else f"  (in all {percent(max(0.0, one.total))} % of the spread)")


def times_to_critical(result: SpreadResult, wanted: tuple[str, str, str], key: str) -> str:
    """Share of days on which an item has come by each time of the day, a curve a plan."""
    with drawing.settings():
        drawn, (axes,) = drawing.figure(1, 110.0)
        end = max(float(plan.bands[0].time[-1]) for plan in result.plans)
        for place, plan in enumerate(result.plans):
            stroke = style.stroke(place)
            chance = next((one for one in plan.chances if _key(one) == wanted), None)
            times = np.array([]) if chance is None else chance.first_at
            steps = 100.0 * np.arange(times.size + 1) / max(1, plan.days)
            dash = (0, stroke.dash) if stroke.dash else "-"
            x, y = np.concatenate(([0.0], times, [end])), np.append(steps, steps[-1])
            axes.step(x, y, where="post", color=stroke.colour, linestyle=dash)
            drawing.badge(axes, end, float(steps[-1]), style.letter(place), stroke.colour)
        axes.set_ylim(0.0, max(5.0, axes.get_ylim()[1]))
        axes.set_ylabel("days of a hundred")
        drawing.clock_axis(axes, result.started, end)
        told = f"Share of the days on which it has happened by each time: {wanted[2]}."
        return drawing.svg(drawn, key, f"{wanted[1]}: {wanted[2]}", told)


def gravest(result: SpreadResult) -> list[tuple[str, str, str]]:
    """The items crossed under any plan, gravest and likeliest first: severity, subject, item."""
    most: dict[tuple[str, str, str], float] = {}
    for plan in result.plans:
        for chance in plan.chances:
            most[_key(chance)] = max(most.get(_key(chance), 0.0), chance.share)
    return sorted(most, key=lambda one: (SEVERITIES.index(one[0]), -most[one], one))[:MOST_ITEMS]


def _key(chance: Chance) -> tuple[str, str, str]:
    return chance.severity, shown.subject(chance.subject), chance.item


def _height(row: int, place: int, plans: int) -> float:
    """Where the bar of a plan stands, points below the top of the picture."""
    return row * (ROW + 11.0 * (plans - 1)) + 18.0 + 11.0 * place


def _bars(labels: Sequence[str], plans: int) -> tuple[Figure, Axes]:
    """An empty picture for rows of bars, each row with its label above; heights run down, in points."""
    tall = max(1, len(labels)) * (ROW + 11.0 * (plans - 1)) + 4.0
    drawn, axes = drawing.bars(tall)
    axes.grid(axis="x")
    axes.set_axisbelow(True)
    for row, label in enumerate(labels):
        top = _height(row, 0, plans) - 11.0
        axes.text(0.0, top, label, transform=axes.get_yaxis_transform(), va="center", fontsize=8.5)
    return drawn, axes
