"""What many days say: chances with their intervals, drivers, differences between plans, bands over time."""

from __future__ import annotations

import math
import warnings
from collections.abc import Callable, Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from halfglass.result import shown
from halfglass.result.spread_records import LEVEL, QUANTILES, Band, Chance, Difference, Driver
from halfglass.result.verdict import SEVERITIES
from halfglass.study.ensemble import GRID, ITEMS, Part

Array = NDArray[np.float64]
NORMAL = 1.6448536269514722
"""Deviations of a normal spread that hold `LEVEL` of it about the mean."""
CREW = "crew and chance"
"""How the seed of a day is called among the drivers."""
ROUNDING = 1e-6
"""Share of an answer below which a change of it is none."""
BLOCK = 50
"""Points of time of a band read at once."""


def wilson(days: int, of: int) -> tuple[float, float]:
    """Interval with confidence 90 % for a share.

    Parameters: days [0 to of] on which it happened, of how many [> 0].
    Returns: lowest and highest share.
    Notes: E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209-212: the shares p for which |days/of - p| is no
    more than z sqrt(p (1 - p)/of). For independent days; those of a Latin hypercube are spread more
    evenly, so that it is, if anything, too wide.

    >>> [round(end, 3) for end in wilson(10, 100)]
    [0.061, 0.16]
    """
    share, z2 = days / of, NORMAL**2
    middle = (share + z2 / (2.0 * of)) / (1.0 + z2 / of)
    half = NORMAL / (1.0 + z2 / of) * math.sqrt(share * (1.0 - share) / of + z2 / (4.0 * of**2))
    return (0.0 if days == 0 else middle - half), (1.0 if days == of else middle + half)


def chances(first_at: Array) -> tuple[Chance, ...]:
    """Every item that was crossed on some day, the gravest and likeliest first; `first_at` is (day, item)."""
    found = []
    for place, (subject, item, severity) in enumerate(ITEMS):
        times = np.sort(first_at[:, place][np.isfinite(first_at[:, place])])
        if times.size:
            low, high = wilson(times.size, len(first_at))
            found.append(Chance(subject, item, severity, times.size, len(first_at), low, high, times))
    return tuple(sorted(found, key=lambda one: (SEVERITIES.index(one.severity), -one.days, one.item)))


def quantiles(values: Array) -> Array:
    """The values below which the shares `QUANTILES` lie; not a number where there are none."""
    known = values[np.isfinite(values)]
    return np.quantile(known, QUANTILES) if known.size else np.full(len(QUANTILES), np.nan)


def rank_correlation(inputs: Array, answer: Array) -> tuple[float, bool]:
    """Spearman's rank correlation, and whether its interval leaves out nought.

    Notes: the interval is Fisher's, with the standard error 1.03/sqrt(n - 3) of ranks (value from memory).
    An answer or an input that is the same on every day goes with nothing.
    """
    from scipy.stats import spearmanr

    known = np.isfinite(answer)
    if known.sum() < 5 or np.ptp(answer[known]) == 0.0 or np.ptp(inputs[known]) == 0.0:
        return 0.0, False
    found = float(spearmanr(inputs[known], answer[known]).statistic)
    least = math.tanh(1.03 * NORMAL / math.sqrt(known.sum() - 3))
    return found, abs(found) > least


def sobol(answer: Array, half: int, inputs: int) -> tuple[Array, Array] | None:
    """First-order and total Sobol indices of each input from days drawn for them; None if any is unknown.

    Parameters: answer by day, samples A, B and then A with one input from B; half [days of A].
    Raises: nothing: an answer that never changes has no indices.
    """
    from scipy.stats import sobol_indices

    rows = answer.reshape(2 + inputs, 1, half)
    if not np.isfinite(rows).all() or np.ptp(rows[:2]) == 0.0:
        return None
    found = sobol_indices(func={"f_A": rows[0], "f_B": rows[1], "f_AB": rows[2:]}, n=half)
    return np.ravel(found.first_order), np.ravel(found.total_order)


def drivers(
    keys: Sequence[str], points: Array, answers: dict[str, Array], independent: int
) -> tuple[Driver, ...]:
    """What goes with each answer, the strongest first.

    Parameters: keys of the columns of `points`, which hold the draws in the unit cube by day; answers by
    name; independent [days of the sample; more are for Sobol indices].
    """
    found: list[Driver] = []
    for answer, value in answers.items():
        told = []
        has_indices = len(value) > independent
        indices = sobol(value, independent // 2, len(keys) + 1) if has_indices else None
        for place, key in enumerate((*keys, CREW)):
            if key == CREW and indices is None:
                continue
            rank = None if key == CREW else rank_correlation(points[:independent, place], value[:independent])
            shares = (None, None) if indices is None else (float(indices[0][place]), float(indices[1][place]))
            told.append(Driver(key, answer, rank and rank[0], bool(rank and rank[1]), *shares))
        found += sorted(told, key=lambda one: -(one.total or abs(one.rank_correlation or 0.0)))
    return tuple(found)


def paired_share(only_here: int, only_there: int, of: int) -> tuple[float, float, float]:
    """Difference of two shares on the same days, with its interval of 90 %.

    Parameters: days on which it happened under one plan only, under the other only, of how many.
    Notes: A. Agresti and Y. Min, Stat. Med. 24 (2005) 729-740: half a day is added to each of the four
    kinds of days (value from memory).

    >>> [round(value, 3) for value in paired_share(12, 2, 100)]
    [0.1, 0.038, 0.158]
    """
    b, c, n = only_here + 0.5, only_there + 0.5, of + 2.0
    middle = (b - c) / n
    half = NORMAL * math.sqrt(max(b + c - (b - c) ** 2 / n, 0.0)) / n
    return (only_here - only_there) / of, max(-1.0, middle - half), min(1.0, middle + half)


def differences(names: Sequence[str], firsts: Sequence[Array], answers: Sequence[dict[str, Array]],
                quantity_of: Callable[[str], str]) -> tuple[Difference, ...]:  # fmt: skip
    """Every other plan against the first, day by day: items whose share differs, and answers.

    Parameters: names of the plans; firsts, the time of each item by day; answers by day; quantity_of, the
    reading in whose unit an answer is told. A day unknown under either plan is left out of the pair.
    """
    return tuple(
        difference
        for place in range(1, len(names))
        for difference in (
            *_of_items(names[place], names[0], firsts[place], firsts[0]),
            *_of_answers(names[place], names[0], answers[place], answers[0], quantity_of),
        )
    )


def _of_items(plan: str, other: str, here: Array, there: Array) -> Iterable[Difference]:
    for place, (subject, item, _) in enumerate(ITEMS):
        a, b = np.isfinite(here[:, place]), np.isfinite(there[:, place])
        if (a != b).any():
            found = paired_share(int((a & ~b).sum()), int((b & ~a).sum()), len(a))
            yield Difference(plan, other, f"{shown.subject(subject)}: {item}", None, *found)


def _of_answers(plan: str, other: str, here: dict[str, Array], there: dict[str, Array],
                quantity_of: Callable[[str], str]) -> Iterable[Difference]:  # fmt: skip
    from scipy.stats import t

    for answer in here:
        change = here[answer] - there[answer]
        change = change[np.isfinite(change)]
        if change.size > 1 and np.abs(change).max() > ROUNDING * np.nanmax(np.abs(here[answer])):
            mean, deviation = float(change.mean()), float(change.std(ddof=1))
            half = float(t.ppf(0.5 + LEVEL / 2.0, change.size - 1)) * deviation / math.sqrt(change.size)
            yield Difference(plan, other, answer, quantity_of(answer), mean, mean - half, mean + half)


def band(quantity: str, parts: Callable[[], Iterable[Part]], independent: int, horizon: float) -> Band:
    """Quantiles of a reading over time, from parts read anew for each block of times: memory stays flat."""
    rows, going = np.full((len(QUANTILES), GRID), np.nan), np.zeros(GRID)
    for begin in range(0, GRID, BLOCK):
        block = slice(begin, begin + BLOCK)
        held = np.vstack([np.asarray(part[quantity][:, block], dtype=float) for part in parts()])[
            :independent
        ]
        going[block] = np.isfinite(held).sum(axis=0)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", RuntimeWarning)  # a time at which no day goes on has no quantiles
            rows[:, block] = np.nanquantile(held, QUANTILES, axis=0)
    return Band(quantity, np.linspace(0.0, horizon, GRID), rows, going)
