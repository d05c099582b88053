"""The report of a spread: one self-contained HTML page in the look of the day's report, without script."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from markupsafe import Markup

from halfglass.report import spread_pictures as pictures
from halfglass.report import spread_text as words
from halfglass.report import style
from halfglass.report.page import CAUTIONS, environment
from halfglass.report.page import style as style_sheet
from halfglass.result.spread_records import ANSWERS, PlanSpread, SpreadResult

CURVES = 4
"""Items whose times are drawn, the gravest."""
DRIVEN = ("lowest_glass", "lowest_pressure", "fuel_left", "arrival")
"""Answers whose drivers are drawn."""


def render(result: SpreadResult) -> str:
    """The whole page as text; the same answer gives the same text."""
    items = pictures.gravest(result)
    return environment().get_template("spread.html.j2").render(
        css=Markup(style_sheet()),
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
        cautions=CAUTIONS,
        provenance=[(name.replace("_", " "), _flat(value)) for name, value in result.provenance.items()],
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


def _flat(value: object) -> str:
    return ", ".join(f"{k} {v}" for k, v in value.items()) if isinstance(value, Mapping) else str(value)
