"""Where a criterion stops holding as one scenario number is moved: a scan, then halving of each bracket.

A scan comes first because answers need not be monotone: the crew act at looks, and a look can fall well or
badly. Every change between neighbouring points is followed; changes that lie both between the same two points
go unseen, and the answer says how far apart those are.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from halfglass.day.outing import run
from halfglass.plant.compile import is_compiled
from halfglass.result import provenance
from halfglass.result.limit_found import Array, Edge, Limit, LimitAnswer, Span, answers
from halfglass.scenario.day_models import Scenario
from halfglass.scenario.load import Story
from halfglass.scenario.uncertain import Spread, with_values
from halfglass.study.criteria import criterion
from halfglass.study.executors import Progress, executor, results, silent
from halfglass.study.sampling import draw, values
from halfglass.study.scenario_numbers import UnfitValueError, find, written
from halfglass.study.spread import in_words, spreads_of
from halfglass.vocabulary.errors import HalfglassFailure

POINTS = 13
"""Points of the scan (judgement): an even twelfth of the range between them."""
WIDTH = 0.002
"""Width to which a bracket is halved, as a share of the range (judgement)."""
AGAIN = 400
"""Times the days are drawn anew from themselves to see how firm an end is (B. Efron's bootstrap)."""


@dataclass(frozen=True)
class Asked:
    """What is asked of a search: the ends as typed, whose unit the answer is told in; share of days (0-1)."""

    plan: str
    key: str
    low: str
    high: str
    words: str
    seed: int = 0
    days: int = 1
    share: float = 0.95


@dataclass(frozen=True)
class Task:
    """One drawn day, for one worker."""

    number: int
    seed: int
    day: Scenario
    asked: Asked


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


def limit(story: Story, asked: Asked, jobs: int = 1, progress: Progress = silent) -> LimitAnswer:
    """The edges of a criterion over one number of a day, or of days drawn as `spread` draws them.

    One day is the day as written, with the seed asked for. Parameters: jobs [processes, >= 1].
    Raises: ValueError for a key, value or criterion that will not do, UnfitValueError among them.
    """
    day = story.for_plan(asked.plan)
    criterion(asked.words)
    number = find(day, asked.key, asked.low)
    low, high = sorted((number.parse(asked.low), number.parse(asked.high)))
    if low == high:
        raise ValueError("the two ends are the same")
    for value in (low, high):
        written(day, number, value)  # refused before any work
    spreads = tuple(one for one in spreads_of(story, asked.plan) if one.key != asked.key)
    if asked.days == 1:
        spreads = ()
    work_to_do = tasks(day, asked, spreads)
    done: dict[int, Limit | None] = {}
    with executor(min(jobs, asked.days)) as (made, workers):
        for place, found in results(made, workers, work, iter(work_to_do)):
            done[place] = found
            progress(len(done), asked.days)
    searched = [done[task.number] for task in work_to_do]
    limits = tuple(one for one in searched if one is not None)
    if not limits:
        raise HalfglassFailure(f"none of the {asked.days} days drawn could be run at every value")
    held = held_in(limits, asked.share)
    origin = dict(provenance.gather(story.files, asked.plan, asked.seed, day.units, is_compiled()))
    return LimitAnswer(
        day.title, asked.plan, asked.key, number.text.kind, number.unit, criterion(asked.words).words,
        low, high, asked.share, limits, len(searched) - len(limits), held, firmness(limits, held, asked),
        tuple((one.key, in_words(one)) for one in spreads), origin,
    )  # fmt: skip


def tasks(day: Scenario, asked: Asked, spreads: Sequence[Spread]) -> list[Task]:
    """The days to search: the one as written, or as many drawn."""
    if asked.days == 1:
        return [Task(0, asked.seed, day, asked)]
    draws = draw(asked.days, len(spreads), asked.seed, "latin hypercube")
    return [
        Task(place, seed, with_values(day, values(spreads, point)), asked)
        for place, (point, seed) in enumerate(zip(draws.points, draws.seeds, strict=True))
    ]


def work(task: Task) -> tuple[int, Limit | None]:
    """Search one day; nothing if it is one of many and cannot be run at every value."""
    try:
        return task.number, _search(task)
    except (UnfitValueError, HalfglassFailure):
        if task.asked.days == 1:
            raise
        return task.number, None


def _search(task: Task) -> Limit:
    asked, unfinished = task.asked, []
    words, number = criterion(asked.words), find(task.day, asked.key, asked.low)

    def held(value: float) -> bool:
        outing = run(written(task.day, number, value), asked.plan, task.seed, asks_nothing_done=False)
        does = words.holds(outing)
        if does and outing.verdict.outcome.kind != "arrived":
            unfinished.append(value)
        return does

    low, high = sorted((number.parse(asked.low), number.parse(asked.high)))
    return replace(edges_of(held, low, high, task.seed), unfinished=tuple(sorted(unfinished)))


def held_in(limits: Sequence[Limit], share: float) -> tuple[Span, ...]:
    """Where the criterion held on at least a share (0-1) of the days."""
    points, holds = answers(limits)
    return _spans(points, holds.mean(axis=1) >= share - 1e-12)


def firmness(limits: Sequence[Limit], held: Sequence[Span], asked: Asked) -> Span | None:
    """The interval of 90 % confidence of the end of `held`, if it is one span with one end within the range.

    Notes: percentiles of the ends found on days drawn anew, with replacement, from those searched.
    """
    if len(limits) < 2 or len(held) != 1:
        return None
    points, holds = answers(limits)
    ends = [end for end, edge in zip(held[0], (points[0], points[-1]), strict=True) if end != edge]
    if len(ends) != 1:
        return None
    place = held[0].index(ends[0])
    rng = np.random.default_rng(np.random.SeedSequence([asked.seed, len(limits)]))
    found = []
    for chosen in rng.integers(len(limits), size=(AGAIN, len(limits))):
        spans = _spans(points, holds[:, chosen].mean(axis=1) >= asked.share - 1e-12)
        if spans:
            found.append(spans[0 if place == 0 else -1][place])
    low, high = np.quantile(found, [0.05, 0.95]) if found else (np.nan, np.nan)
    return (float(low), float(high)) if found else None


def _spans(points: Array, holds: NDArray[np.bool_]) -> tuple[Span, ...]:
    """The runs of points at which something holds."""
    found: list[Span] = []
    for place, point in enumerate(points.tolist()):
        if not holds[place]:
            continue
        is_new = place == 0 or not holds[place - 1]
        found.append((point, point) if is_new else (found.pop()[0], point))
    return tuple(found)
