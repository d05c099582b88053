"""Hull resistance: ITTC-57 friction and a residuary curve by Froude number.

The residuary curves are those of two towing-tank models, copied in ``data/residuary_resistance.csv``.
"""

from __future__ import annotations

import csv
from functools import cache
from importlib import resources

import numpy as np
from numpy.typing import ArrayLike, NDArray

from halfglass.plant.parameters import SPEED_NODES

GRAVITY = 9.80665
WATER_DENSITY = 999.1
"""kg/m³, fresh water at 15 °C."""
KINEMATIC_VISCOSITY = 1.139e-6
"""m²/s, fresh water at 15 °C."""
TOP_FROUDE_NUMBER = 0.6
STEEP_POWER = 5.0
"""Above the last measured Froude number residuary resistance grows with at least this power of speed."""


@cache
def _curves() -> dict[str, tuple[NDArray[np.float64], NDArray[np.float64]]]:
    made: dict[str, list[tuple[float, float]]] = {}
    data = resources.files("halfglass.scenario.catalogue.data").joinpath("residuary_resistance.csv")
    for row in csv.DictReader(data.read_text(encoding="utf-8").splitlines()):
        made.setdefault(row["hull"], []).append(
            (float(row["froude_number"]), float(row["residuary_resistance_per_1000_displacement"]))
        )
    return {name: (np.array(points)[:, 0], np.array(points)[:, 1]) for name, points in made.items()}


def friction_coefficient(reynolds_number: ArrayLike) -> NDArray[np.float64]:
    """ITTC-57 line, 0.075/(log10 Re - 2)², levelled off below Re 1e4 where it has no meaning.

    >>> round(float(friction_coefficient(1e6)) * 1000, 3)
    4.688
    """
    return np.asarray(0.075 / (np.log10(np.maximum(reynolds_number, 1e4)) - 2.0) ** 2)


def residuary_ratio(series: str, froude_number: ArrayLike) -> NDArray[np.float64]:
    """Residuary resistance over a thousandth of the weight.

    Parameters: series [``A`` or ``B``]; froude_number [V/sqrt(g LWL), >= 0].
    Returns: linear between measured points in the logarithms; below the first with the slope there, which
    takes it smoothly to zero; above the last with a power of at least 5 of the speed.

    >>> round(float(residuary_ratio("A", 0.35)), 2)
    10.36
    """
    measured, values = _curves()[series]
    froude = np.maximum(np.asarray(froude_number, dtype=float), 1e-6)
    logs_x, logs_y = np.log(measured), np.log(values)
    inside = np.exp(np.interp(np.log(froude), logs_x, logs_y))
    first_power = max(2.0, float((logs_y[1] - logs_y[0]) / (logs_x[1] - logs_x[0])))
    below = values[0] * (froude / measured[0]) ** first_power
    last_power = max(STEEP_POWER, float((logs_y[-1] - logs_y[-2]) / (logs_x[-1] - logs_x[-2])))
    above = values[-1] * (froude / measured[-1]) ** last_power
    return np.asarray(np.where(froude < measured[0], below, np.where(froude > measured[-1], above, inside)))


def resistance_tables(
    series: str, waterline_length: float, displacement: float, wetted_surface: float, residuary_factor: float
) -> tuple[float, NDArray[np.float64], NDArray[np.float64]]:
    """Friction and residuary resistance at equal steps of speed.

    Parameters: waterline_length [m]; displacement [kg]; wetted_surface [m²]; residuary_factor [> 0].
    Returns: (speed at the last node [m/s], friction [N], residuary [N]). Notes: Reynolds number on 0.7 LWL.
    """
    top_speed = TOP_FROUDE_NUMBER * float(np.sqrt(GRAVITY * waterline_length))
    speed = np.linspace(0.0, top_speed, SPEED_NODES)
    reynolds = speed * 0.7 * waterline_length / KINEMATIC_VISCOSITY
    friction = 0.5 * WATER_DENSITY * wetted_surface * speed**2 * friction_coefficient(reynolds)
    ratio = residuary_ratio(series, speed / np.sqrt(GRAVITY * waterline_length))
    residuary = ratio / 1000.0 * displacement * GRAVITY * residuary_factor
    residuary[0] = 0.0
    return top_speed, friction, residuary
