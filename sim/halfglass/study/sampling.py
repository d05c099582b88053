"""Draws of the uncertain keys: points of the unit cube, spread by each key's shape, and a seed for each day.

The same draws serve every plan, so that plans differ by nothing but themselves. A draw depends on the master
seed, the sampling and the number of members alone, never on who works it out or when.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal, get_args

import numpy as np
from numpy.typing import NDArray

from halfglass.scenario.uncertain import Spread
from halfglass.scenario.uncertain_models import CUT

Array = NDArray[np.float64]
Sampling = Literal["latin hypercube", "sobol", "sobol indices"]
SAMPLINGS: tuple[str, ...] = get_args(Sampling)


class MembersError(Exception):
    """A number of members that does not suit the sampling; the message names one that does."""


@dataclass(frozen=True)
class Draws:
    """What is drawn: `points` in the unit cube (day, key), and the `seeds` of crew and breakage of each day.

    The first `independent` days are a sample of their own; the rest, if any, mix two of them for Sobol
    indices and take no part in other statistics.
    """

    points: Array
    seeds: tuple[int, ...]
    independent: int


def draw(members: int, keys: int, master: int, sampling: str) -> Draws:
    """The draws of a spread.

    Parameters: members [days, > 0; a power of 2 for Sobol sequences, twice one for Sobol indices]; keys
    [how many are uncertain]; master [seed].
    Raises: MembersError if the number of members does not suit the sampling.
    """
    if sampling == "sobol indices":
        return _for_indices(members, keys, master)
    if sampling == "sobol" and members & (members - 1):
        raise MembersError(
            f"Sobol sampling wants a power of 2 of members, as {_power(members)}, not {members}"
        )
    return Draws(_cube(members, keys, master, sampling), _seeds(master, members), members)


def _for_indices(members: int, keys: int, master: int) -> Draws:
    """Two samples A and B, and for each key, and for the crew, A with that one taken from B.

    Notes: A. Saltelli et al., Comput. Phys. Commun. 181 (2010) 259-270, as scipy.stats.sobol_indices wants it
    (value from memory). The crew's seed counts as one more uncertain thing.
    """
    half = members // 2
    if members % 2 or half & (half - 1) or half < 2:
        near = 2 * _power(half)
        raise MembersError(f"Sobol indices want twice a power of 2 of members, as {near}, not {members}")
    both = _cube(half, 2 * keys, master, "sobol")
    a, b = both[:, :keys], both[:, keys:]
    seeds = _seeds(master, members)
    points, numbers = [a, b], [*seeds]
    for key in range(keys):
        mixed = a.copy()
        mixed[:, key] = b[:, key]
        points.append(mixed)
        numbers += seeds[:half]
    points.append(a)
    numbers += seeds[half:]
    return Draws(np.vstack(points), tuple(numbers), members)


def _power(near: int) -> int:
    """The power of 2 next above."""
    return 1 << max(1, (near - 1).bit_length())


def _cube(members: int, keys: int, master: int, sampling: str) -> Array:
    from scipy.stats import qmc

    if keys == 0:
        return np.empty((members, 0))
    rng = np.random.default_rng(np.random.SeedSequence([master]))
    kind = qmc.LatinHypercube if sampling == "latin hypercube" else qmc.Sobol
    return np.asarray(kind(d=keys, rng=rng).random(members))


def _seeds(master: int, members: int) -> tuple[int, ...]:
    """A seed for each day, from the master seed and the day's number alone."""
    return tuple(int(np.random.SeedSequence([master, day]).generate_state(1)[0]) for day in range(members))


def values(spreads: Sequence[Spread], point: Array) -> dict[str, Any]:
    """The value of each uncertain key [SI, or a word] at one point of the unit cube."""
    return {spread.key: value_at(spread, float(u)) for spread, u in zip(spreads, point, strict=True)}


def value_at(spread: Spread, share: float) -> Any:
    """The value below which a share (0-1) of a spread lies.

    >>> value_at(Spread("k", "triangular", (0.0, 1.0, 2.0), (0.0, 2.0), None), 0.5)
    1.0
    """
    if spread.shape == "one of":
        return spread.values[min(int(share * len(spread.values)), len(spread.values) - 1)]
    low, high = spread.ends
    if spread.shape == "uniform":
        value = low + share * (high - low)
    elif spread.shape == "triangular":
        value = _triangular(share, *spread.values)
    else:
        from scipy.stats import truncnorm

        mean, deviation = spread.values
        value = mean + deviation * float(truncnorm.ppf(share, -CUT, CUT))
    return min(max(value, low), high)  # rounding must not leave the range


def _triangular(share: float, low: float, likeliest: float, high: float) -> float:
    below = (likeliest - low) / (high - low)
    if share < below:
        return float(low + np.sqrt(share * (high - low) * (likeliest - low)))
    return float(high - np.sqrt((1.0 - share) * (high - low) * (high - likeliest)))
