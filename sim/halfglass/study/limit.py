"""Where a criterion stops holding as one scenario number is moved: a scan, then halving of each bracket.

A scan comes first because answers need not be monotone: the crew act at looks, and a look can fall well or
badly. Every change between neighbouring points is followed; changes that lie both between the same two points
go unseen, and the answer says how far apart those are.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from halfglass.day.outing import run
from halfglass.result.limit_found import Edge, Limit
from halfglass.scenario.load import Story
from halfglass.study.criteria import Criterion
from halfglass.study.scenario_numbers import ScenarioNumber, written

POINTS = 13
"""Points of the scan (judgement): an even twelfth of the range between them."""
WIDTH = 0.002
"""Width to which a bracket is halved, as a share of the range (judgement)."""


def edges_of(
    holds: Callable[[float], bool], low: float, high: float, seed: int = 0, points: int = POINTS,
    width: float = WIDTH,
) -> Limit:  # fmt: skip
    """Every edge of `holds` between two values, each closed in to `width` of the range (0-1).

    >>> [round(edge.below, 2) for edge in edges_of(lambda x: x < 0.3, 0.0, 1.0).edges]
    [0.3]
    """
    step = (high - low) / (points - 1)
    tried = {value: holds(value) for value in (low + i * step for i in range(points))}
    scan, edges = sorted(tried), []
    for below, above in zip(scan, scan[1:], strict=False):
        if tried[below] == tried[above]:
            continue
        while above - below > width * (high - low):
            middle = 0.5 * (below + above)
            tried[middle] = holds(middle)
            below, above = (middle, above) if tried[middle] == tried[below] else (below, middle)
        edges.append(Edge(below, above, tried[below]))
    return Limit(seed, tuple(edges), tuple(sorted(tried.items())), step)


def held_in(limits: list[Limit], share: float) -> list[float]:
    """The values of the scan at which at least a share (0-1) of the seeds held, in rising order."""
    scan = [limits[0].tried[0][0] + i * limits[0].step for i in range(POINTS)]
    answers = [dict(limit.tried) for limit in limits]
    return [value for value in scan if sum(one[value] for one in answers) >= share * len(answers)]


def limits(
    story: Story, plan: str, number: ScenarioNumber, low: float, high: float, words: Criterion, seeds: range
) -> list[Limit]:
    """The edges of a criterion over one number of a day, for each seed.

    Parameters: number as `scenario_numbers.find` gives it; low, high [SI] the range looked over; words the
    criterion; seeds of the crew's times. Raises ValueError for a value that does not go with the day.
    """
    day = story.for_plan(plan)
    for value in (low, high):
        written(day, number, value)  # refused before any work

    def one(seed: int) -> Limit:
        unfinished: list[float] = []

        def held(value: float) -> bool:
            outing = run(written(day, number, value), plan, seed, files=story.files)
            does = words.holds(outing)
            if does and outing.verdict.outcome.kind != "arrived":
                unfinished.append(value)
            return does

        return replace(edges_of(held, low, high, seed), unfinished=tuple(sorted(unfinished)))

    return [one(seed) for seed in seeds]
