"""The report of a limit: one self-contained HTML page in the look of the day's report, without script."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from markupsafe import Markup
from matplotlib.axes import Axes

from halfglass.report import drawing, sheet, style
from halfglass.report import limit_text as words
from halfglass.result.limit_found import LimitAnswer, answers
from halfglass.result.whole import write_whole
from halfglass.vocabulary import units

MOST_DAYS = 40
"""Days drawn as bars: more could not be told apart."""
BAR = 8.0  # pt from one day's bar to the next


def write_limit_report(answer: LimitAnswer, path: Path) -> None:
    """Write one HTML file; same answer, same bytes."""
    write_whole(path, render(answer).encode())


def render(answer: LimitAnswer) -> str:
    """The whole page as text; the same answer gives the same text."""
    several = len(answer.limits) > 1
    return sheet.template("limit").render(
        css=Markup(sheet.style_sheet("report")),
        title=answer.title,
        days=len(answer.limits),
        question=words.question(answer),
        sentences=list(words.sentences(answer)),
        share=Markup(_share_picture(answer)) if several else None,
        bars=Markup(_bars(answer)),
        shown=min(MOST_DAYS, len(answer.limits)),
        rows=[(limit.seed, words.edges(answer, limit), limit.runs) for limit in answer.limits],
        tried=[(words.value(answer, at), holds) for at, holds in answer.limits[0].tried],
        notes=list(words.notes(answer)),
        cautions=(words.CAUTION, *sheet.CAUTIONS),
        provenance=sheet.provenance(answer.provenance),
    )


def _shown(answer: LimitAnswer, in_si: float) -> float:
    return float(units.convert(in_si, answer.kind, answer.unit))


def _scale(axes: Axes, answer: LimitAnswer) -> None:
    """The number along the bottom."""
    axes.set_xlim(_shown(answer, answer.low), _shown(answer, answer.high))
    axes.set_xlabel(f"{answer.key} [{answer.unit}]" if answer.unit else answer.key, labelpad=2.0)


def _share_picture(answer: LimitAnswer) -> str:
    """On how many of a hundred days the criterion held, over the number."""
    at, held = answers(answer.limits)
    with drawing.settings():
        drawn, (axes,) = drawing.figure(1, 130.0)
        for low, high in answer.held:
            axes.axvspan(_shown(answer, low), _shown(answer, high), facecolor=style.SWELL, zorder=-2)
        axes.plot([_shown(answer, x) for x in at], 100.0 * np.mean(held, axis=1), color=style.INK)
        axes.axhline(100.0 * answer.share, color=style.RED_LEAD, linewidth=0.9, linestyle=(0, (4.0, 2.0)))
        axes.set_ylim(0.0, 104.0)
        drawing.name_marks(
            axes, [(100.0 * answer.share, f"{100 * answer.share:g} % of days", style.RED_LEAD)]
        )
        axes.set_title("days of a hundred on which it held", loc="left", fontsize=9.5)
        _scale(axes, answer)
        told = "Share of the days on which the criterion held, over the number."
        return drawing.svg(drawn, "limit-share", "How often it held", told)


def _bars(answer: LimitAnswer) -> str:
    """Each day's answer as a bar where it held, the longest on top; of one day every value tried."""
    places = np.linspace(0, len(answer.limits) - 1, min(MOST_DAYS, len(answer.limits))).round().astype(int)
    ordered = sorted(answer.limits, key=lambda one: -sum(high - low for low, high in one.spans))
    with drawing.settings():
        drawn, (axes,) = drawing.figure(1, max(34.0, BAR * len(places)), top=10.0)
        axes.grid(axis="x")
        axes.grid(visible=False, axis="y")
        for row, place in enumerate(places):
            for low, high in ordered[place].spans:
                ends = (_shown(answer, low), _shown(answer, high))
                axes.barh(row, ends[1] - ends[0], left=ends[0], height=0.6, color=style.WATER)
        if len(places) == 1:
            for at, holds in answer.limits[0].tried:
                mark, colour = ("o", style.INK) if holds else ("x", style.RED_LEAD)
                axes.plot(_shown(answer, at), 0.0, marker=mark, color=colour, markersize=4.5, clip_on=False)
        axes.set_ylim(len(places) - 0.4, -0.6)
        axes.set_yticks([])
        _scale(axes, answer)
        return drawing.svg(drawn, "limit-days", "Where it held", "A bar for each day, drawn where it held.")
