"""The report of a spread: one self-contained HTML page in the look of the day's report, without script."""

from __future__ import annotations

from typing import Any

from markupsafe import Markup

from halfglass.report import sheet, style
from halfglass.report import spread_pictures as pictures
from halfglass.report import spread_text as words
from halfglass.result.spread_records import ANSWERS, PlanSpread, SpreadResult

CURVES = 4
"""Items whose times are drawn, the gravest."""
DRIVEN = ("lowest_glass", "lowest_pressure", "fuel_left", "arrival")
"""Answers whose drivers are drawn."""


def render(result: SpreadResult) -> str:
    """The whole page as text; the same answer gives the same text."""
    items = pictures.gravest(result)
    return sheet.template("spread").render(
        css=Markup(sheet.style_sheet("report")),
        title=result.title,
        members=result.members,
        sampling=result.sampling,
        uncertain=result.uncertain,
        plans=[_plan(number, plan, result) for number, plan in enumerate(result.plans)],
        differences=[words.difference(one, result) for one in result.differences if one.is_clear],
        chances=Markup(pictures.chance_bars(result, "chances")) if items else None,
        curves=[
            {
                "title": f"{wanted[1]}: {wanted[2]}",
                "svg": Markup(pictures.times_to_critical(result, wanted, f"curve{number}")),
            }
            for number, wanted in enumerate(items[:CURVES])
        ],
        notes=result.notes,
        cautions=sheet.CAUTIONS,
        provenance=sheet.provenance(result.provenance),
    )  # fmt: skip


def _plan(number: int, plan: PlanSpread, result: SpreadResult) -> dict[str, Any]:
    """What the page says about one plan."""
    return {
        "letter": style.letter(number),
        "name": plan.name,
        "outcomes": words.outcomes(plan),
        "answers": [(ANSWERS[name][0], words.answer(plan, name, result)) for name in ANSWERS],
        "chances": [
            (one.severity, words.item(one), words.share(one), words.first(one, result))
            for one in plan.chances
        ],
        "bands": Markup(pictures.bands(plan, result, f"bands{number}")),
        "drivers": [
            (ANSWERS[name][0], Markup(pictures.tornado(plan, name, f"drivers{number}-{name}")))
            for name in DRIVEN
            if result.uncertain
        ],
    }
