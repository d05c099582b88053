"""What the page's script knows: the lines of every picture, thinned, in the units shown; and the script.

The page works without it. With it the pictures of lines are drawn anew under one cursor, and every
picture tells the values of all plans at that time.
"""

from __future__ import annotations

import base64
import hashlib
import json
import math
from collections.abc import Iterable, Mapping
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np
from markupsafe import Markup

from halfglass.report import drawing, style
from halfglass.report.pictures import Panel, Picture, letter_times
from halfglass.report.scene import Array, Plan, Scene
from halfglass.result import shown, verdict
from halfglass.result.clock import since_midnight
from halfglass.result.timeline import thin

PIECES = 400  # stretches of the day drawn with lowest and highest: a picture is no more points wide
MOST_PIECES = 1200  # of a long day
PIECE = 90.0  # [s] a piece spans on a day that is not too long
VENDORED = "vendor/uPlot.iife.min.js"


def data(whole: Scene, shown_on: Iterable[tuple[Picture, Scene]]) -> dict[str, Any]:
    """The page's data: clock, plans, and for each picture the lines of its panels.

    Parameters: whole, all plans of the page; shown_on, each picture with the scene it was drawn from.
    """
    index = {plan.letter: place for place, plan in enumerate(whole.plans)}
    times: dict[tuple[float, ...], int] = {}  # lines of the same rows share one entry
    drawn = {picture.key: _picture(picture, scene, index, times) for picture, scene in shown_on}
    return {
        "origin": since_midnight(whole.origin),
        "end": whole.end,
        "start": _first_look(whole),
        "margins": [drawing.LEFT, drawing.RIGHT, drawing.TOP, drawing.BOTTOM],
        "ink": {"ink": style.INK, "faint": style.FAINT, "rule": style.RULE, "shade": style.SHADE,
                "fault": style.RED_LEAD},
        "plans": [{"letter": plan.letter, "name": plan.name} for plan in whole.plans],
        "pictures": drawn,
        "times": list(times),
    }  # fmt: skip


def as_json(record: Mapping[str, Any]) -> Markup:
    """Data for a script element: nothing in it can end the element, and NaN is null."""
    text = json.dumps(record, separators=(",", ":"), allow_nan=False, ensure_ascii=False)
    for sign in "<>&\u2028\u2029":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return Markup(text)


@cache
def script() -> str:
    """Everything that runs on the page, the vendored part first."""
    return "\n".join(_text(name) for name in (VENDORED, "report.js"))


@cache
def look() -> str:
    """The style sheet of what the script adds."""
    return _text("vendor/uPlot.min.css") + _text("live.css")


@cache
def policy() -> str:
    """The page's content security policy: no network, no script but our own, told by its hash."""
    digest = base64.b64encode(hashlib.sha256(script().encode()).digest()).decode()
    return f"default-src 'none'; style-src 'unsafe-inline'; script-src 'sha256-{digest}'"


def _text(name: str) -> str:
    return files("halfglass.report").joinpath("live", *name.split("/")).read_text(encoding="utf-8").strip()


def _first_look(whole: Scene) -> float:
    """Where the cursor stands when the page opens: at the worst of the gravest limit, else half way."""
    found = [
        (verdict.SEVERITIES.index(item.severity), item.worst_at + plan.offset)
        for plan in whole.plans
        for item in plan.outing.verdict.critical
    ]
    return round(min(found, default=(0, whole.end / 2))[1])


def _picture(
    picture: Picture, scene: Scene, index: Mapping[str, int], times: dict[tuple[float, ...], int]
) -> dict[str, Any]:
    letters = letter_times(scene)
    return {
        "redrawn": picture.is_redrawn,
        "letters": [round(letters[plan.letter]) for plan in scene.plans],
        "frame": picture.frame,
        "faults": sorted({at for plan in scene.plans for at in plan.faults()}),
        "panels": [_panel(panel, scene, index, times) for panel in picture.panels],
    }


def _panel(
    panel: Panel, scene: Scene, index: Mapping[str, int], times: dict[tuple[float, ...], int]
) -> dict[str, Any]:
    return {
        "name": panel.name,
        "label": panel.text,
        "unit": shown.unit(panel.name, scene.units),
        "low": panel.low,
        "high": panel.high,
        "marks": [[_number(mark.value), mark.text, mark.dash] for mark in panel.marks],
        "shades": [[_number(end) for end in shade] for shade in panel.shades],
        "words": [[_number(height), text] for height, text in panel.words],
        "lines": [
            {
                "plan": index[plan.letter],
                "colour": plan.stroke.colour,
                "dash": plan.stroke.dash,
                **_line(plan, panel, scene.units, times),
            }
            for plan in scene.plans
        ],
    }


def _line(plan: Plan, panel: Panel, units: str, times: dict[tuple[float, ...], int]) -> dict[str, Any]:
    """One line: which of `times` (steps [s] from row to row) and the values; rows as `thin` keeps them."""
    time = plan.reading("time")
    values = panel.values(plan, units)
    pieces = max(PIECES, min(MOST_PIECES, math.ceil(float(time[-1] - time[0]) / PIECE)))
    rows = thin(time, values, pieces)
    steps = times.setdefault(tuple(_steps(time[rows] + plan.offset)), len(times))
    return {"t": steps, "v": [_number(value) for value in values[rows]]}


def _steps(time: Array) -> list[float]:
    """Differences in milliseconds' resolution that add up without drift.

    >>> _steps(np.array([1.0, 7.0, 7.5004]))
    [1, 6, 0.5]
    """
    ticks = np.diff(np.round(time * 1000.0).astype(int), prepend=0)
    return [int(tick) // 1000 if tick % 1000 == 0 else int(tick) / 1000 for tick in ticks]


def _number(value: float | None) -> float | int | None:
    """Five figures, as short as JSON has them.

    >>> _number(6.123456), _number(float("nan")), _number(2.0)
    (6.1235, None, 2)
    """
    if value is None or not math.isfinite(value):
        return None
    rounded = float(f"{value:.5g}")
    return int(rounded) if rounded == int(rounded) and abs(rounded) < 1e15 else rounded
