"""Least squares with intervals that own up: noise read off the fit, errors that last, what is not told.

Each unknown is a number z that beforehand is taken to be normal about 0 with deviation 1. The data are some
series of errors (prediction less reading), each with its own noise. All in plain numbers; nothing of boats.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfglass.study.sampling import draw

Array = NDArray[np.float64]
Errors = Callable[[Array], Sequence[Array]]
"""The series of errors for given unknowns; infinite where the model has no answer."""

CONFIDENCE = 0.90
TOLD = 0.7
"""An unknown is told by the data if they leave no more than this of its deviation (judgement)."""
STEP = 0.05
"""Of z, for slopes: large beside the rounding of an integrated plant, small beside 1."""
STARTS, TRIED = 8, 2
"""Points a search begins from, and how many of the best are followed down."""
ROUGH, CLOSE = 3e-2, 1e-3
"""Share of the sum of squares by which a step must still better it, when searching and at the end."""
ROUNDS = 2
"""Times the noise is estimated anew from the fit; it no longer changes after that."""
LONGEST = 3
"""Part of a series beyond which correlations are not looked for."""
FAR = 50.0
"""Deviations an error counts as where the model has no answer."""
LEAST_NOISE = 0.1
"""Of the noise expected beforehand, below which the fit is not believed (judgement)."""
MOST_HIDDEN = 0.5
"""Share of the time errors last that a fit may have hidden (judgement)."""
LEAST_FREEDOM = 4.0


@dataclass(frozen=True)
class Noise:
    """One series: its readings, their deviation, how many an error lasts, and lags summed for that."""

    count: int
    deviation: float
    lasting: float
    lags: int

    @property
    def worth(self) -> float:
        """How many independent readings they are worth."""
        return self.count / self.lasting

    @property
    def freedom(self) -> float:
        """Degrees of freedom with which the variance of a mean of them is known.

        Notes: relative variance 2/worth of the deviation squared and 2 (2 lags + 1)/count of the time
        an error lasts (Madras and Sokal 1988; value from memory), together 2/freedom.
        """
        return 1.0 / (1.0 / self.worth + (2.0 * self.lags + 1.0) / self.count)

    @property
    def weight(self) -> float:
        """Square root of the weight of one reading, which takes both into account."""
        return math.sqrt(self.worth / self.count) / self.deviation


@dataclass(frozen=True)
class Estimate:
    """What the data say of the unknowns.

    `z` and `deviation` of each, and `alone`, what the deviation were with all others known; `told`, whether
    the data tell it; `put`, the best with those that are not told at 0; `correlation` of the unknowns;
    `strength`, the singular values of the weighted slopes in units of what was known beforehand, and
    `directions`, a row for each; `reach`, half of a 90 % interval over each deviation; `noise` of each
    series; `runs` of the model.
    """

    z: Array
    put: Array
    deviation: Array
    alone: Array
    told: NDArray[np.bool_]
    correlation: Array
    strength: Array
    directions: Array
    reach: Array
    noise: tuple[Noise, ...]
    runs: int


def estimate(
    errors: Errors, unknowns: int, expected: Sequence[float], seed: int = 0,
    shaken: Callable[[Array], Iterable[Sequence[Array]]] = lambda _z: (),
    progress: Callable[[int], None] = lambda _runs: None,
) -> Estimate:  # fmt: skip
    """Find the unknowns.

    Parameters: errors; unknowns [how many]; expected, the deviation of each series' noise as one would guess
    it; seed of the starting points; shaken, the errors at a point once more for each of some draws of what
    drives the model, within what is known of it; progress, called with the runs of the model so far.
    """
    from scipy.stats import t

    search = _Search(errors, unknowns, progress)
    counts = [series.size for series in search.at(np.zeros(unknowns))]
    search.noise = tuple(Noise(n, deviation, 1.0, 0) for n, deviation in zip(counts, expected, strict=True))
    z = search.from_many_starts(seed)
    draws = [[one - other for one, other in zip(shake, search.at(z), strict=True)] for shake in shaken(z)]
    for _ in range(ROUNDS):
        search.learn_noise(z, expected, draws)
        z = search.down(z)
    slopes = search.slopes(z)
    covariance = _covariance(slopes)
    deviation = np.sqrt(np.diag(covariance))
    alone = 1.0 / np.sqrt(1.0 + np.sum(slopes**2, axis=0))
    told = deviation < TOLD
    _, strength, directions = np.linalg.svd(slopes, full_matrices=False)
    freedom = max(LEAST_FREEDOM, sum(one.freedom for one in search.noise) - _given_up(slopes))
    # what was known beforehand is known with its deviation: only the share of the data is in doubt
    reach = np.asarray(t.ppf(0.5 + 0.5 * CONFIDENCE, freedom / np.maximum(1.0 - deviation**2, 1e-6) ** 2))
    return Estimate(
        z, search.down(np.where(told, z, 0.0), told), deviation, alone, told,
        covariance / np.outer(deviation, deviation), strength, directions,
        reach, search.noise, search.runs,
    )  # fmt: skip


class _Drift:
    """Errors that come from what drives the model, as far as some draws of it show, in deviations of noise.

    Notes: with M draws E (a row each) about the fit, errors have the covariance I + E'E/M; by the singular
    values s and vectors V of E over root M, that is undone by x - V (1 - 1/root(1 + s^2)) V'x, and of an
    error x the part V s^2/(1 + s^2) V'x is put down to drift (generalised least squares; value from memory).
    Few draws make the large parts look too well known, which is made good (Hartlap and others, Astronomy and
    Astrophysics 464, 2007; value from memory).
    """

    def __init__(self, draws: Array) -> None:
        count = len(draws)
        _, self.size, self.shape = np.linalg.svd(draws / math.sqrt(count), full_matrices=False)
        large = int(np.sum(self.size > 1.0))
        self.size *= math.sqrt((count - 1.0) / max(1.0, count - large - 2.0))

    def undone(self, errors: Array) -> Array:
        """Errors, or slopes a column each, as if all noise were independent."""
        shrink = 1.0 - 1.0 / np.sqrt(1.0 + self.size**2)
        return errors - self.shape.T @ ((self.shape @ errors).T * shrink).T

    def share(self) -> Array:
        """How much of each error is put down to drift: a matrix."""
        return np.asarray(self.shape.T * (self.size**2 / (1.0 + self.size**2)) @ self.shape)


class _Search:
    """Runs of the model, the last few kept."""

    def __init__(self, errors: Errors, unknowns: int, progress: Callable[[int], None]) -> None:
        self.errors, self.unknowns, self.progress = errors, unknowns, progress
        self.noise: tuple[Noise, ...] = ()
        self.drift: _Drift | None = None
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

    def joined(self, series: Sequence[Array]) -> Array:
        """Series of errors end to end, in deviations of their noise."""
        joined = np.concatenate([one.weight * error for one, error in zip(self.noise, series, strict=True)])
        return np.where(np.isfinite(joined), joined, FAR)

    def weighted(self, z: Array) -> Array:
        """All errors at a point, as if their noise were independent and of deviation 1."""
        errors = self.joined(self.at(z))
        return errors if self.drift is None else self.drift.undone(errors)

    def slopes(self, z: Array) -> Array:
        """How each weighted error changes with each unknown: a row an error, a column an unknown."""
        here = self.weighted(z)
        columns = []
        for place in range(self.unknowns):
            beside = z.copy()
            beside[place] += STEP
            columns.append((self.weighted(beside) - here) / STEP)
        return np.column_stack(columns)

    def down(self, start: Array, free: NDArray[np.bool_] | None = None, closeness: float = CLOSE) -> Array:
        """The least squares near a point, over the unknowns that are free; what was known counts as data."""
        from scipy.optimize import least_squares

        place = np.arange(self.unknowns) if free is None else np.flatnonzero(free)
        if place.size == 0:
            return start

        def whole(part: Array) -> Array:
            z = start.copy()
            z[place] = part
            return z

        def miss(part: Array) -> Array:
            return np.append(self.weighted(whole(part)), part)

        def slope(part: Array) -> Array:
            return np.vstack([self.slopes(whole(part))[:, place], np.eye(place.size)])

        found = least_squares(miss, start[place], jac=slope, ftol=closeness, xtol=1e-3, max_nfev=25)
        return whole(np.asarray(found.x))

    def from_many_starts(self, seed: int) -> Array:
        """The best of a few searches, begun from the best of a Latin hypercube and what was known before."""
        from scipy.special import ndtri

        points = [
            np.zeros(self.unknowns),
            *ndtri(draw(STARTS, self.unknowns, seed, "latin hypercube").points),
        ]
        points.sort(key=self._cost)
        return min((self.down(z, closeness=ROUGH) for z in points[:TRIED]), key=self._cost)

    def learn_noise(self, z: Array, expected: Sequence[float], draws: Sequence[Sequence[Array]]) -> None:
        """Take the noise of each series from what is left of its errors about a fit, less the drift."""
        given_up = _given_up(self.slopes(z)) / max(1, sum(one.count for one in self.noise))
        share = np.zeros((0, 0))
        left = errors = self.joined(self.at(z))
        if draws:
            share = _Drift(np.array([self.joined(one) for one in draws])).share()
            left = errors - share @ errors
        ends = np.cumsum([0, *(one.count for one in self.noise)])
        found = []
        for one, guess, first, last in zip(self.noise, expected, ends, ends[1:], strict=False):
            error = left[first:last] / one.weight
            drifted = float(np.trace(share[first:last, first:last]))
            freedom = max(1.0, one.count * (1.0 - given_up) - drifted)
            deviation = max(LEAST_NOISE * guess, math.sqrt(float(np.sum(error**2)) / freedom))
            found.append(Noise(one.count, deviation, *_lasting(error)))
        self.noise = tuple(found)
        self.drift = _Drift(np.array([self.joined(one) for one in draws])) if draws else None

    def _cost(self, z: Array) -> float:
        return float(np.sum(self.weighted(z) ** 2) + np.sum(z**2))


def _covariance(slopes: Array) -> Array:
    """Of the unknowns, by data and what was known beforehand together (Gauss and Newton)."""
    return np.asarray(np.linalg.inv(slopes.T @ slopes + np.eye(slopes.shape[1])))


def _given_up(slopes: Array) -> float:
    """How many unknowns' worth of freedom the data have given up to the fit."""
    return float(slopes.shape[1] - np.trace(_covariance(slopes)))


def _lasting(error: Array) -> tuple[float, int]:
    """How many readings long an error lasts, 1 if each is a new one; and the lags looked at for it.

    Notes: the integrated autocorrelation, 1 + 2 times the sum of the correlations at each lag, summed as long
    as those of two lags together are positive (Geyer's initial sequence, Statistical Science 7, 1992; value
    from memory), and made good for what a fit takes out of each, the time an error lasts over the length of
    the series. A correlation of neighbours alone would miss slow drifts under the noise of reading a scale.

    >>> _lasting(np.array([1.0, -1.0, 1.0, -1.0, 1.0, -1.0, 1.0, -1.0, 1.0]))
    (1.0, 0)
    """
    alone = float(np.sum(error**2))
    if error.size < 3 or alone <= 0.0:
        return 1.0, 0
    lags = [float(np.sum(error[lag:] * error[:-lag])) / alone for lag in range(1, error.size // LONGEST)]
    total, summed = 0.0, 0
    for one, other in zip(lags[::2], lags[1::2], strict=False):
        if one + other <= 0.0:
            break
        total, summed = total + one + other, summed + 2
    hidden = min(MOST_HIDDEN, 2.0 * summed / error.size)
    return max(1.0, (1.0 + 2.0 * total) / (1.0 - hidden)), summed
