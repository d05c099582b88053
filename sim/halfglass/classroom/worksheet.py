"""The worksheet of a lesson: one A4 page with the question, an empty axis to draw on, room for answers."""

from __future__ import annotations

import math
from functools import cache
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined, Template
from markupsafe import Markup

from halfglass.classroom.branch import like
from halfglass.classroom.lesson_told import Drawn, Lesson
from halfglass.report.sheet import CAUTIONS
from halfglass.vocabulary import quantities, units

WIDTH, HEIGHT = 640.0, 250.0
LEFT, RIGHT, TOP, BOTTOM = 62.0, 12.0, 12.0, 34.0
"""Of the axis in points of its own, with the room for its numbers."""


def page(lesson: Lesson) -> str:
    """The worksheet as one HTML page without script or anything fetched."""
    check = lesson.check
    return _template().render(
        lesson=lesson,
        happens=lesson.happens,
        asked=[_due(asked) for asked in lesson.asked],
        axis=Markup(axis_svg(lesson.axis, lesson.day.base.units)),
        axis_label=_axis_label(lesson.axis),
        check=check,
        boat=lesson.day.base.boat.name,
        lasts=units.show(lesson.duration, "time"),
        cautions=CAUTIONS,
    )


def _due(asked: dict[str, Any]) -> str:
    """What is asked, with when it is due."""
    after: float = asked["after"]
    return f"After {units.show(after, 'time')}: {asked['text']}" if after > 0.0 else str(asked["text"])


def axis_svg(axis: Drawn, system: str) -> str:
    """An empty axis with a grid: time along, the reading up, each with its numbers.

    Every text in it is a number or a unit of ours, so it needs no escaping.
    """
    low, high = (float(quantities.convert(end, like(axis.reading), system)) for end in (axis.low, axis.high))
    across, up = WIDTH - LEFT - RIGHT, HEIGHT - TOP - BOTTOM
    minutes = axis.duration > 180.0
    length = axis.duration / (60.0 if minutes else 1.0)
    lines, texts = [], []
    for value in ticks_of(low, high):
        y = TOP + up * (high - value) / (high - low)
        strong = ' class="zero"' if abs(value) < 1e-9 and low < 0.0 else ""
        lines.append(f'<line{strong} x1="{LEFT:g}" x2="{WIDTH - RIGHT:g}" y1="{y:.1f}" y2="{y:.1f}"/>')
        texts.append(f'<text x="{LEFT - 6:g}" y="{y + 4:.1f}" text-anchor="end">{value:g}</text>')
    for value in ticks_of(0.0, length):
        x = LEFT + across * value / length
        lines.append(f'<line x1="{x:.1f}" x2="{x:.1f}" y1="{TOP:g}" y2="{HEIGHT - BOTTOM:g}"/>')
        texts.append(f'<text x="{x:.1f}" y="{HEIGHT - BOTTOM + 15:g}" text-anchor="middle">{value:g}</text>')
    unit = "min" if minutes else "s"
    texts.append(
        f'<text x="{LEFT + across / 2:.1f}" y="{HEIGHT - 3:g}" text-anchor="middle">'
        f"time after the run begins [{unit}]</text>"
    )
    return (
        f'<svg viewBox="0 0 {WIDTH:g} {HEIGHT:g}" role="img" aria-labelledby="axis-label">'
        f"<g>{''.join(lines)}</g>{''.join(texts)}</svg>"
    )


def ticks_of(low: float, high: float) -> list[float]:
    """Round values from low to high, five to eleven or so.

    >>> ticks_of(0.0, 100.0)
    [0.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 90.0, 100.0]
    >>> ticks_of(4.0, 7.0)
    [4.0, 4.5, 5.0, 5.5, 6.0, 6.5, 7.0]
    """
    rough = (high - low) / 10.0
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(step * power for step in (1.0, 2.0, 5.0, 10.0) if step * power >= rough * (1.0 - 1e-9))
    first = math.ceil(low / step - 1e-9)
    last = math.floor(high / step + 1e-9)
    return [round(number * step, 12) for number in range(first, last + 1)]


def _axis_label(axis: Drawn) -> str:
    return f"{axis.label[:1].upper()}{axis.label[1:]}" + (f" [{axis.unit}]" if axis.unit else "")


@cache
def _template() -> Template:
    environment = Environment(
        loader=PackageLoader("halfglass.classroom", "templates"), autoescape=True, undefined=StrictUndefined
    )
    return environment.get_template("worksheet.html.j2")
