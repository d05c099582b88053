"""Screws in four quadrants, from published Fourier series.

Source: Roddy, Hess & Faller, NSWCCD-50-TR-2006/004 (coefficients of the Wageningen B-series tests),
copied in ``data/four_quadrant.csv``.
"""

from __future__ import annotations

import csv
from functools import cache
from importlib import resources

import numpy as np
from numpy.typing import NDArray

from halfglass.plant.parameters import ANGLE_NODES

Coefficients = NDArray[np.float64]


@cache
def _series() -> dict[str, dict[float, Coefficients]]:
    """Coefficients by series and pitch ratio: rows k, columns a and b of thrust, a and b of torque."""
    made: dict[str, dict[float, list[list[float]]]] = {}
    data = resources.files("halfglass.scenario.catalogue.data").joinpath("four_quadrant.csv")
    for row in csv.DictReader(data.read_text(encoding="utf-8").splitlines()):
        pitches = made.setdefault(row["propeller"], {})
        pitches.setdefault(float(row["pitch_diameter_ratio"]), []).append(
            [float(row[name]) for name in ("a_thrust", "b_thrust", "a_torque", "b_torque")]
        )
    return {
        name: {pitch: np.array(rows) for pitch, rows in pitches.items()} for name, pitches in made.items()
    }


def pitch_range(series: str) -> tuple[float, float]:
    """Lowest and highest pitch ratio known of a series.

    >>> pitch_range("B4-70"), pitch_range("B3-65")
    ((1.0, 1.4), (1.0, 1.0))
    """
    return min(_series()[series]), max(_series()[series])


def tables(series: str, pitch_ratio: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Thrust and torque coefficients at every half degree of the advance angle, 0 to 360 inclusive.

    Parameters: series [name in the data]; pitch_ratio [within `pitch_range`; linear between tested pitches].
    Returns: (C_T, C_Q). Notes: C_T = (1/100) Σ(a cos kβ + b sin kβ), C_Q = -(1/1000) Σ(...).

    >>> thrust, torque = tables("B4-70", 1.0)
    >>> round(float(thrust[0]), 4), round(float(10 * torque[0]), 4)
    (0.2369, 0.3479)
    """
    rows = _interpolated(series, pitch_ratio)
    angle = np.linspace(0.0, 2 * np.pi, ANGLE_NODES)
    order = np.arange(len(rows))[:, None]
    cosines, sines = np.cos(order * angle), np.sin(order * angle)
    thrust = (rows[:, 0] @ cosines + rows[:, 1] @ sines) / 100.0
    torque = -(rows[:, 2] @ cosines + rows[:, 3] @ sines) / 1000.0
    return thrust, torque


def _interpolated(series: str, pitch_ratio: float) -> Coefficients:
    known = sorted(_series()[series].items())
    pitches = [pitch for pitch, _ in known]
    if not pitches[0] <= pitch_ratio <= pitches[-1]:
        raise ValueError(
            f"{series} screws are known for pitch ratios {pitches[0]} to {pitches[-1]}, not {pitch_ratio}"
        )
    upper = min(int(np.searchsorted(pitches, pitch_ratio)), len(known) - 1)
    lower = max(upper - 1, 0)
    if upper == lower or pitches[upper] == pitch_ratio:
        return known[upper][1]
    share = (pitch_ratio - pitches[lower]) / (pitches[upper] - pitches[lower])
    return known[lower][1] * (1.0 - share) + known[upper][1] * share
