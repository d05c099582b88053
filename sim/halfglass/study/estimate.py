"""Least squares with intervals that own up: noise read off the fit itself, errors that last, what is not told.

Each unknown is a number z that beforehand is taken to be normal about 0 with deviation 1. The data are some
series of errors (prediction less reading), each with its own noise. All in plain numbers; nothing of boats.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfglass.study.sampling import draw

Array = NDArray[np.float64]
Errors = Callable[[Array], Sequence[Array]]
"""The series of errors for given unknowns; infinite where the model has no answer."""

CONFIDENCE = 0.90
TOLD = 0.5
"""An unknown is told by the data if they at least halve its deviation (judgement)."""
STEP = 0.05
"""Of z, for slopes: large beside the rounding of an integrated plant, small beside 1."""
STARTS, TRIED = 12, 2
"""Points a search begins from, and how many of the best are followed down."""
ROUNDS = 3
"""Times the noise is estimated anew from the fit; it no longer changes after that."""
LASTS = 0.95
"""Greatest correlation of an error with the next that is believed."""
FAR = 50.0
"""Deviations an error counts as where the model has no answer."""
LEAST_NOISE = 0.1
"""Of the noise expected beforehand, below which the fit is not believed (judgement)."""
LEAST_FREEDOM = 4.0


@dataclass(frozen=True)
class Noise:
    """One series: readings, their deviation from the fit, and the correlation of one with the next."""

    count: int
    deviation: float
    lasting: float

    @property
    def worth(self) -> float:
        """How many independent readings they are worth.

        Notes: variance of the mean of a first-order autoregressive series, (1 + r)/(1 - r) times that of
        independent ones (standard result; value from memory).
        """
        return self.count * (1.0 - self.lasting) / (1.0 + self.lasting)

    @property
    def weight(self) -> float:
        """Square root of the weight of one reading, which takes both into account."""
        return math.sqrt(self.worth / self.count) / self.deviation


@dataclass(frozen=True)
class Estimate:
    """What the data say of the unknowns.

    `z` and `deviation` for each, and `alone`, what its deviation were with all others known; `told`, whether the data tell it (those that are not stand at 0, and the
    others' deviations allow for that); `correlation` of the unknowns; `strength`, the singular values of the
    weighted slopes in units of what was known beforehand, and `directions`, a row for each; `reach`, half of
    a 90 % interval over the deviation; `noise` of each series; `runs` of the model.
    """

    z: Array
    deviation: Array
    alone: Array
    told: NDArray[np.bool_]
    correlation: Array
    strength: Array
    directions: Array
    reach: float
    noise: tuple[Noise, ...]
    runs: int


def estimate(
    errors: Errors, unknowns: int, expected: Sequence[float], seed: int = 0,
    progress: Callable[[int], None] = lambda _runs: None,
) -> Estimate:  # fmt: skip
    """Find the unknowns.

    Parameters: errors; unknowns [how many]; expected, the deviation of each series' noise as one would guess
    it; seed of the starting points; progress, called with the runs of the model so far.
    """
    from scipy.stats import t

    search = _Search(errors, unknowns, progress)
    counts = [series.size for series in search.at(np.zeros(unknowns))]
    noise = tuple(Noise(n, deviation, 0.0) for n, deviation in zip(counts, expected, strict=True))
    free = np.ones(unknowns, dtype=bool)
    z = search.from_many_starts(noise, seed)
    for _ in range(ROUNDS):
        noise = _noise(search.at(z), noise, expected, _told_in_all(search.slopes(z, noise)))
        z = search.down(z, noise, free)
    slopes = search.slopes(z, noise)
    told = np.sqrt(np.diag(_covariance(slopes))) < TOLD
    if not told.all():
        z = search.down(np.where(told, z, 0.0), noise, told)
        slopes = search.slopes(z, noise)
    covariance = _covariance(slopes)
    deviation = np.sqrt(np.diag(covariance))
    alone = 1.0 / np.sqrt(1.0 + np.sum(slopes**2, axis=0))
    _, strength, directions = np.linalg.svd(slopes, full_matrices=False)
    freedom = max(LEAST_FREEDOM, sum(one.worth for one in noise) - _told_in_all(slopes))
    return Estimate(
        z, deviation, alone, told, covariance / np.outer(deviation, deviation), strength, directions,
        float(t.ppf(0.5 + 0.5 * CONFIDENCE, freedom)), noise, search.runs,
    )  # fmt: skip


class _Search:
    """Runs of the model, the last few kept."""

    def __init__(self, errors: Errors, unknowns: int, progress: Callable[[int], None]) -> None:
        self.errors, self.unknowns, self.progress = errors, unknowns, progress
        self.runs = 0
        self._kept: dict[bytes, Sequence[Array]] = {}

    def at(self, z: Array) -> Sequence[Array]:
        """The series of errors at a point."""
        key = z.tobytes()
        if key not in self._kept:
            self.runs += 1
            self.progress(self.runs)
            if len(self._kept) > 4 * self.unknowns:
                self._kept.clear()
            self._kept[key] = self.errors(z)
        return self._kept[key]

    def weighted(self, z: Array, noise: Sequence[Noise]) -> Array:
        """All errors in their own deviations."""
        series = [one.weight * error for one, error in zip(noise, self.at(z), strict=True)]
        joined = np.concatenate(series) if series else np.empty(0)
        return np.where(np.isfinite(joined), joined, FAR)

    def slopes(self, z: Array, noise: Sequence[Noise]) -> Array:
        """How each weighted error changes with each unknown: a row an error, a column an unknown."""
        here = self.weighted(z, noise)
        columns = []
        for place in range(self.unknowns):
            beside = z.copy()
            beside[place] += STEP
            columns.append((self.weighted(beside, noise) - here) / STEP)
        return np.column_stack(columns)

    def down(self, start: Array, noise: Sequence[Noise], free: NDArray[np.bool_]) -> Array:
        """The least squares near a point, over the unknowns that are free; what was known counts as data."""
        from scipy.optimize import least_squares

        if not free.any():
            return start
        place = np.flatnonzero(free)

        def whole(part: Array) -> Array:
            z = start.copy()
            z[place] = part
            return z

        def miss(part: Array) -> Array:
            return np.append(self.weighted(whole(part), noise), part)

        def slope(part: Array) -> Array:
            return np.vstack([self.slopes(whole(part), noise)[:, place], np.eye(place.size)])

        found = least_squares(miss, start[place], jac=slope, ftol=1e-4, xtol=1e-3, gtol=1e-4, max_nfev=25)
        return whole(np.asarray(found.x))

    def from_many_starts(self, noise: Sequence[Noise], seed: int) -> Array:
        """The best of a few searches, begun from the best of a Latin hypercube and what was known before."""
        from scipy.special import ndtri

        points = [np.zeros(self.unknowns), *ndtri(draw(STARTS, self.unknowns, seed, "latin hypercube").points)]
        free = np.ones(self.unknowns, dtype=bool)
        points.sort(key=lambda z: self._cost(z, noise))
        ends = [self.down(z, noise, free) for z in points[:TRIED]]
        return min(ends, key=lambda z: self._cost(z, noise))

    def _cost(self, z: Array, noise: Sequence[Noise]) -> float:
        return float(np.sum(self.weighted(z, noise) ** 2) + np.sum(z**2))


def _covariance(slopes: Array) -> Array:
    """Of the unknowns, by data and what was known beforehand together (Gauss and Newton)."""
    return np.asarray(np.linalg.inv(slopes.T @ slopes + np.eye(slopes.shape[1])))


def _told_in_all(slopes: Array) -> float:
    """How many unknowns' worth of freedom the data have given up to the fit."""
    return float(slopes.shape[1] - np.trace(_covariance(slopes)))


def _noise(
    series: Sequence[Array], before: Sequence[Noise], expected: Sequence[float], given_up: float
) -> tuple[Noise, ...]:
    """The noise of each series, from its errors about the fit."""
    whole = sum(one.count for one in before)
    found = []
    for error, one, guess in zip(series, before, expected, strict=True):
        error = error[np.isfinite(error)]
        freedom = max(1.0, error.size * (1.0 - given_up / max(whole, 1)))
        deviation = max(LEAST_NOISE * guess, math.sqrt(float(np.sum(error**2)) / freedom))
        found.append(Noise(one.count, deviation, _lasting(error)))
    return tuple(found)


def _lasting(error: Array) -> float:
    """Correlation of an error with the next, none below 0.

    >>> _lasting(np.array([1.0, -1.0, 1.0, -1.0])), round(_lasting(np.array([1.0, 1.0, 1.0, -1.0, -1.0])), 2)
    (0.0, 0.5)
    """
    if error.size < 3:
        return 0.0
    together = float(np.sum(error[1:] * error[:-1])) / (error.size - 1)
    alone = float(np.mean(error**2))
    return min(LASTS, max(0.0, together / alone)) if alone > 0.0 else 0.0
