"""The comparison as one self-contained HTML page, without script: advice, table, inputs, pictures."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from halfglass.report import glass, pictures
from halfglass.report.page import CAUTIONS
from halfglass.report.scene import Plan, Scene, scene
from halfglass.result.comparison import Comparison
from halfglass.result.records import Marks, Outing
from halfglass.result.timeline import write_whole

SIGNS = {"same": "", "level": "≈", "differs": "≠"}
_BANDS = (
    "glass_length",
    "working_pressure",
    "safety_valve_pressures",
    "steaming_pressure",
    "fuel_reserve",
    "hotwell_capacity",
    "hotwell_low",
    "hotwell_hot",
)
"""Marks that pictures draw as lines and bands."""


def write_comparison(comparison: Comparison, path: Path) -> None:
    """Write one HTML file; same comparison, same bytes."""
    write_whole(path, render(comparison).encode())


def render(comparison: Comparison) -> str:
    """The whole page as text; the same comparison gives the same text."""
    outings = comparison.outings
    whole = scene(on_one_date(outings))
    titles = list(dict.fromkeys(outing.marks.title for outing in outings))
    plans = [_plan(plan, name) for plan, name in zip(whole.plans, comparison.names, strict=True)]
    return (
        _environment()
        .get_template("comparison.html.j2")
        .render(
            css=Markup(_text("report.css") + _text("comparison.css")),
            title=" and ".join(titles),
            plans=plans,
            advice=comparison.advice,
            blocks=list(_blocks(comparison)),
            inputs=[(_breakable(row.key), row.cells) for row in comparison.inputs],
            groups=[_group(group, plans, _same_bands(outings)) for group in whole.groups()],
            cautions=CAUTIONS,
            provenance=[(plan.letter, _provenance(plan.outing)) for plan in whole.plans],
        )
    )  # fmt: skip


def _breakable(key: str) -> Markup:
    """A dotted name that a narrow column may break between its words."""
    return Markup("<wbr>").join(re.split(r"(?<=[._])", key))


def _provenance(outing: Outing) -> str:
    told = []
    for key, value in outing.provenance.items():
        parts = value.items() if isinstance(value, Mapping) else [(key.replace("_", " "), value)]
        told += [f"{name} {part}" for name, part in parts if name != "plan"]
    return ", ".join(told)


def on_one_date(outings: Sequence[Outing]) -> list[Outing]:
    """The outings with the date of the first, so that days lie over each other by their clocks."""
    date = outings[0].marks.started.date()
    return [
        replace(o, marks=replace(o.marks, started=datetime.combine(date, o.marks.started.time())))
        for o in outings
    ]


@cache
def _environment() -> Environment:
    return Environment(
        loader=PackageLoader("halfglass.report", "templates"), autoescape=True, undefined=StrictUndefined
    )


def _text(name: str) -> str:
    loader = _environment().loader
    assert loader is not None
    return loader.get_source(_environment(), name)[0]


def _plan(plan: Plan, name: str) -> dict[str, Any]:
    """A plan's letter on a piece of its line, its name and its verdict."""
    verdict = plan.outing.verdict
    gravest = next((item.severity for item in verdict.critical), None)
    width = 10 + 8 * max(1, len(plan.letter))
    return {
        "letter": plan.letter,
        "name": name,
        "colour": plan.stroke.colour,
        "dash": " ".join(f"{2.0 * part:g}" for part in plan.stroke.dash),
        "badge_width": width,
        "badge_x": 23 - width / 2,
        "severity": gravest or "clear",
        "severity_text": gravest or "no limit crossed",
        "sentence": verdict.sentence,
        "outcome": verdict.outcome.sentence,
    }


def _blocks(comparison: Comparison) -> Iterator[dict[str, Any]]:
    """The rows of the table by their groups, each with the sign of its difference."""
    for group in dict.fromkeys(row.group for row in comparison.rows):
        rows = [row for row in comparison.rows if row.group == group]
        yield {
            "group": group,
            "rows": [
                {"name": r.name, "sign": SIGNS[r.difference], "difference": r.difference,
                 "texts": [cell.text for cell in r.cells]}
                for r in rows
            ],
        }  # fmt: skip


def _same_bands(outings: Sequence[Outing]) -> bool:
    def of(marks: Marks) -> tuple[Any, ...]:
        return tuple(getattr(marks, name) for name in _BANDS)

    return len({of(outing.marks) for outing in outings}) == 1


def _group(group: Scene, plans: Sequence[dict[str, Any]], same_bands: bool) -> dict[str, Any]:
    """The plans that share pictures: all of them, or six at a time."""
    letters = [plan.letter for plan in group.plans]
    note = "" if same_bands else f" Marks and bands are those of {letters[0]}; the others' differ."
    return {
        "letters": ", ".join(letters),
        "plans": [plan for plan in plans if plan["letter"] in letters],
        "glass": _picture(glass.strip(group), ""),
        "pictures": [_picture(draw(group), note) for draw in pictures.OVERLAYS],
    }


def _picture(picture: pictures.Picture, note: str) -> dict[str, Any]:
    """A picture for the page; drawn by us with every name escaped, so its SVG goes in as it is."""
    return {
        "title": picture.title,
        "caption": picture.caption + note,
        "svg": Markup(picture.svg),
        "narrow": Markup(picture.narrow),
        "rows": picture.rows,
    }
