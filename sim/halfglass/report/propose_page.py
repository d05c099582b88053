"""The report of a search: one self-contained HTML page in the look of the day's report, without script."""

from __future__ import annotations

from typing import Any

from markupsafe import Markup

from halfglass.report import propose_pictures as pictures
from halfglass.report import propose_text as words
from halfglass.report import sheet
from halfglass.report.comparison_page import blocks
from halfglass.result.proposed import Proposal


def render(found: Proposal) -> str:
    """The whole page as text; the same answer gives the same text."""
    told = words.told_front(found)
    is_changed = found.chosen not in (None, 0)
    return sheet.template("propose").render(
        css=Markup(sheet.style_sheet("report") + sheet.style_sheet("comparison")),
        title=found.title,
        goal=found.goal,
        days=found.days,
        asked=words.asked(found),
        answer=list(words.answer(found)),
        cautions_here=list(words.cautions(found)),
        changes=_changes(found) if is_changed and found.chosen is not None else [],
        toml=found.toml,
        picture=Markup(pictures.front(found, "front")),
        left_out=pictures.left_out(found),
        front_said=words.front_said(found) if found.front else "No candidate kept to the limits.",
        heads=words.HEADS,
        front=[words.front_row(found, number) for number in told],
        setting_heads=[words.label(found, number) for number in dict.fromkeys((0, *told))],
        settings=_settings(found, tuple(dict.fromkeys((0, *told)))),
        blocks=list(blocks([row for row in found.rows if row.difference == "differs"])),
        levers=[
            (lever.name, lever.key, lever.lowest, lever.highest, str(lever.settings), lever.written)
            for lever in found.levers
        ],
        notes=found.notes,
        cautions=sheet.CAUTIONS,
        provenance=sheet.provenance(found.provenance),
    )  # fmt: skip


def _changes(found: Proposal) -> list[tuple[str, str, str]]:
    """Lever, setting as written and setting proposed."""
    assert found.chosen is not None
    return [(lever.name, lever.written, setting) for lever, setting in found.changes(found.chosen)]


def _settings(found: Proposal, numbers: tuple[int, ...]) -> list[dict[str, Any]]:
    """A row a lever: its setting in each candidate told, those other than written marked."""
    rows = []
    for place, lever in enumerate(found.levers):
        cells = [
            (found.tried[n].settings[place], found.tried[n].settings[place] != lever.written) for n in numbers
        ]
        rows.append({"name": lever.name, "cells": cells})
    return rows
