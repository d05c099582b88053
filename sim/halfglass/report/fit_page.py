"""The report of a fit: one self-contained HTML page in the look of the day's report, without script."""

from __future__ import annotations

from typing import Any

from markupsafe import Markup

from halfglass.report import fit_pictures as pictures
from halfglass.report import fit_text as words
from halfglass.report import sheet
from halfglass.result.fitted import FitResult
from halfglass.vocabulary.units import significant

WEAK = 1.0
"""Strength below which a direction is told more by what was taken beforehand than by the log."""
LEADING = 0.3
"""Share of a number in a direction from which it is named."""


def render(result: FitResult) -> str:
    """The whole page as text; the same answer gives the same text."""
    return sheet.template("fit").render(
        css=Markup(sheet.style_sheet("report")),
        title=result.title,
        log_name=result.log_name,
        boat_name=result.boat_name,
        verdict=words.verdict(result),
        held_from=words.held_from(result),
        numbers=[_number(result, place) for place in range(len(result.numbers))],
        told=[one for one in result.numbers if one.is_told],
        misses=[_misses(result, place) for place in range(len(result.series))],
        against=Markup(pictures.against_the_log(result, "against")),
        intervals=Markup(pictures.intervals(result, "intervals")),
        together=[words.together(*pair) for pair in result.together],
        keys=[words.key(one) for one in result.numbers],
        correlation=[list(map(_correlation, row)) for row in result.correlation],
        directions=list(_directions(result)),
        notes=result.notes,
        cautions=sheet.CAUTIONS,
        provenance=sheet.provenance(result.provenance),
    )


def _correlation(value: float) -> str:
    return f"{value:+.2f}" if abs(value) >= 0.005 else "0"


def _number(result: FitResult, place: int) -> dict[str, Any]:
    """What the page says about one number."""
    one = result.numbers[place]
    return {"key": words.key(one), "about": one.about, "is_told": one.is_told, "why": one.why, **one.texts}


def _misses(result: FitResult, place: int) -> dict[str, Any]:
    """One quantity's row: readings used, and what it is missed by."""
    one = result.series[place]
    counts = one.is_fitted.sum(), one.is_held.sum(), (~(one.is_fitted | one.is_held)).sum()
    return {
        "name": words.NAMES[one.quantity],
        "counts": " / ".join(str(int(count)) for count in counts),
        **{
            f"{part}_{which}": words.miss(one, which, held, result.units)
            for part, held in (("fitted", False), ("held", True))
            for which in ("before", "after")
        },
        "lasting": significant(one.lasting, 2),
    }


def _directions(result: FitResult) -> list[tuple[str, str]]:
    """Combinations of numbers from the best told to the worst: strength, and what each is made of."""
    rows = []
    for strength, direction in zip(result.strength, result.directions, strict=True):
        leading = sorted(zip(direction, result.numbers, strict=True), key=lambda pair: -abs(pair[0]))
        named = [f"{words.key(one)} {share:+.2f}" for share, one in leading if abs(share) >= LEADING]
        weak = " (told by the file more than by the log)" if strength < WEAK else ""
        rows.append((significant(float(strength), 2), ", ".join(named) + weak))
    return rows
