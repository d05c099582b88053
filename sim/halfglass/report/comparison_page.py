"""The comparison as one self-contained HTML page: advice, table, inputs, pictures; whole without script."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

from markupsafe import Markup

from halfglass.report import cursor, glass, pictures, sheet
from halfglass.report.scene import Scene, scene
from halfglass.result.comparison import Comparison, Row
from halfglass.result.records import Marks, Outing
from halfglass.result.whole import write_whole

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
    plans = [
        {**sheet.badge(plan), **sheet.verdict_of(plan), "name": name}
        for plan, name in zip(whole.plans, comparison.names, strict=True)
    ]
    note = "" if _same_bands(outings) else " Marks and bands are those of {}; the others' differ."
    groups = [(group, _drawn(group, note.format(group.plans[0].letter))) for group in whole.groups()]
    shown_on = [(picture, group) for group, drawn in groups for picture in drawn]
    return sheet.template("comparison").render(
        css=Markup(sheet.style_sheet("report") + sheet.style_sheet("comparison") + cursor.look()),
        policy=cursor.policy(),
        script=Markup(cursor.script()),
        data=cursor.as_json(cursor.data(whole, shown_on)),
        title=" and ".join(titles),
        plans=plans,
        advice=comparison.advice,
        blocks=list(blocks(comparison.rows)),
        inputs=[(_breakable(row.key), row.cells) for row in comparison.inputs],
        groups=[_group(group, plans, drawn) for group, drawn in groups],
        cautions=sheet.CAUTIONS,
        provenance=list(_provenances(whole)),
    )


def _breakable(key: str) -> Markup:
    """A dotted name that a narrow column may break between its words."""
    return Markup("<wbr>").join(re.split(r"(?<=[._])", key))


def _provenances(whole: Scene) -> Iterator[tuple[str, str]]:
    """Where the plans come from, those of one origin in one line: their letters, what is told."""
    told = {plan.letter: _provenance(plan.outing) for plan in whole.plans}
    for origin in dict.fromkeys(told.values()):
        yield ", ".join(letter for letter in told if told[letter] == origin), origin


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


def blocks(table: Sequence[Row]) -> Iterator[dict[str, Any]]:
    """The rows of the table by their groups, each with the sign of its difference."""
    for group in dict.fromkeys(row.group for row in table):
        rows = [row for row in table if row.group == group]
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


def _drawn(group: Scene, note: str) -> list[pictures.Picture]:
    """The glass and the overlaid pictures, these with a note to their captions."""
    overlaid = (draw(group) for draw in pictures.OVERLAYS)
    return [glass.strip(group), *(replace(one, caption=one.caption + note) for one in overlaid)]


def _group(
    group: Scene, plans: Sequence[dict[str, Any]], drawn: Sequence[pictures.Picture]
) -> dict[str, Any]:
    """The plans that share pictures: all of them, or six at a time."""
    letters = [plan.letter for plan in group.plans]
    return {
        "letters": ", ".join(letters),
        "plans": [plan for plan in plans if plan["letter"] in letters],
        "glass": sheet.drawn(drawn[0], several=True),
        "pictures": [sheet.drawn(picture, several=True) for picture in drawn[1:]],
    }
