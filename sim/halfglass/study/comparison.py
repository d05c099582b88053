"""Several outings side by side: their figures, what differs in their inputs, what the figures favour."""

from __future__ import annotations

from collections.abc import Sequence

from halfglass.result.comparison import Comparison
from halfglass.study.advice import Member, advise
from halfglass.study.figures import figures
from halfglass.study.input_differences import input_differences


def compare(members: Sequence[Member]) -> Comparison:
    """Outings in the order given, each with its letter and its day; all in the units of the first."""
    outings = tuple(member.outing for member in members)
    titles = {outing.marks.title for outing in outings}
    names = tuple(
        o.marks.plan_name if len(titles) == 1 else f"{o.marks.title}: {o.marks.plan_name}" for o in outings
    )
    return Comparison(
        letters=tuple(member.letter for member in members),
        names=names,
        outings=outings,
        rows=figures(outings),
        inputs=input_differences([member.day for member in members]),
        advice=advise(members),
    )
