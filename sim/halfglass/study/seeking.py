"""How candidates are sought: a spread of first ones, differential evolution, then one lever at a time.

The optimiser is scipy's, on the places of the levers as whole numbers. It sees one number a candidate
(`front.rank`), and asks for a generation at a time, which is what is shared out between workers.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from halfglass.result.proposed import Tried
from halfglass.study.front import Aim, best, rank
from halfglass.study.settings import Lever
from halfglass.study.trials import Places, Trials

GENERATION = 12
"""Candidates in a generation (judgement): several for each worker, and many generations in few days."""
STALE = 4
"""Generations without a new candidate after which a search has nowhere to go."""
SAME = 5e-4
"""Change of rank not worth a change of plan (judgement): half a minute in five hours, 0.2 % of the fuel."""


def first_ones(trials: Trials, many: int, rng: np.random.Generator) -> None:
    """The plan as written, and candidates spread evenly over all levers.

    In every second one levers of the same sort (every leg's throttle, say) move together: what matters most
    is usually how hard she is driven, not where.
    """
    from scipy.stats import qmc

    levers = trials.bench.levers
    trials.of([trials.bench.as_written])
    points = qmc.LatinHypercube(d=len(levers), rng=rng).random(many)
    sorts = [lever.key.rpartition(".")[2] for lever in levers]
    alike = [sorts.index(sort) for sort in sorts]
    points[::2] = points[::2][:, alike]
    written = rng.random(points.shape) < 0.5  # half of the levers stay as written
    batch: list[Places] = []
    for point, stays in zip(points, written, strict=True):
        stays = stays[alike] if len(batch) % 2 == 0 else stays
        batch.append(tuple(
            lever.written if stay else min(int(share * len(lever.settings)), len(lever.settings) - 1)
            for lever, share, stay in zip(levers, point, stays, strict=True)
        ))  # fmt: skip
    trials.of(batch)


def evolve(trials: Trials, aim: Aim, most_days: int, rng: np.random.Generator) -> None:
    """Differential evolution from the best so far, until `most_days` more are used or it is stale."""
    from scipy.optimize import differential_evolution

    levers = trials.bench.levers
    start = [one.places for one in best(trials.tried, aim)[:GENERATION]]
    if len(start) < 5:  # scipy wants so many
        return
    end = min(trials.days + most_days, trials.most_days)
    stale, before = 0, len(trials.tried)

    def ranks(points: NDArray[np.float64]) -> NDArray[np.float64]:
        """Ranks of the candidates in the columns."""
        batch = [tuple(int(round(place)) for place in point) for point in points.T]
        return np.array([rank(one, aim) for one in trials.of(batch)])

    def is_over(intermediate_result: Any) -> bool:
        nonlocal stale, before
        stale = 0 if len(trials.tried) > before else stale + 1
        before = len(trials.tried)
        return trials.days >= end or stale >= STALE

    differential_evolution(
        ranks, [(0, len(lever.settings) - 1) for lever in levers], init=np.array(start, dtype=float),
        integrality=np.ones(len(levers), dtype=bool), vectorized=True, updating="deferred", polish=False,
        rng=rng, tol=0.0, atol=-1.0, maxiter=10_000, callback=is_over,
    )  # fmt: skip


def refine(trials: Trials, aim: Aim, one: Tried, most_days: int, stride: int) -> tuple[Tried, bool]:
    """Move one lever at a time while that pays, in strides that halve down to one setting.

    Returns the best found, and whether every single step from it was tried and did not pay.
    """
    end = min(trials.days + most_days, trials.most_days)
    while trials.days < end:
        found = trials.of(_neighbours(one, trials.bench.levers, stride))
        paying = [
            each
            for each in best([each for each in found if each is not None], aim)
            if rank(each, aim) < rank(one, aim) - SAME
        ]
        if paying:
            together = trials.of([_joined(one, paying)])[0]
            one = best([each for each in (together, *paying) if each is not None], aim)[0]
        elif None in found:
            break
        elif stride == 1:
            return one, True
        else:
            stride //= 2
    return one, False


def simplify(trials: Trials, aim: Aim, one: Tried) -> Tried:
    """Put every lever back as written that does not pay for being moved."""
    written = trials.bench.as_written
    while moved := [place for place, at in enumerate(one.places) if at != written[place]]:
        batch = [_at(one.places, place, written[place]) for place in moved]
        allowed = rank(one, aim) + SAME
        kept = [each for each in trials.of(batch) if each is not None and rank(each, aim) <= allowed]
        if not kept:
            break
        together = trials.of([_joined(one, kept)])[0]
        one = together if together is not None and rank(together, aim) <= allowed else best(kept, aim)[0]
    return one


def _neighbours(one: Tried, levers: Sequence[Lever], stride: int) -> list[Places]:
    """The candidate with one lever moved: by a stride either way, to any other choice, or as written."""
    found = []
    for place, lever in enumerate(levers):
        now, many = one.places[place], len(lever.settings)
        wanted = {now - stride, now + stride, lever.written} if lever.is_ordered else set(range(many))
        found += [_at(one.places, place, at) for at in sorted(wanted - {now}) if 0 <= at < many]
    return found


def _at(places: Places, place: int, at: int) -> Places:
    return (*places[:place], at, *places[place + 1 :])


def _joined(one: Tried, helpful: Sequence[Tried]) -> Places:
    """All changes that help, together; of two to the same lever the better, which comes first."""
    places = list(one.places)
    for each in reversed(helpful):
        for place, at in enumerate(each.places):
            if at != one.places[place]:
                places[place] = at
    return tuple(places)
