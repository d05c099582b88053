"""Hull resistance: ITTC-57 friction and a residuary curve by Froude number; what follows from few dimensions.

The residuary curves are those of two towing-tank models [DELFT], copied in ``data/residuary_resistance.csv``.
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
"""Power of speed with which residuary resistance grows beyond the last measured Froude number: about the
fifth above hull speed (common practice, no source). The last measured piece is steeper: the foot of a hump.
"""
SLENDERNESS_OF_A = 4.78
BEAM_DRAUGHT_OF_A = 4.24
"""Length over the cube root of the volume, and beam over draught, of towing-tank model A."""
LENGTH_BEAM = 4.0
"""Of a boat whose beam is not given (judgement)."""
WINDAGE_HEIGHT = 0.5
"""Height of hull and people above the water times their drag coefficient, over the beam (judgement)."""
BLUNTEST, LEANEST = 3.5, 9.0
"""Slenderness beyond which the residuary resistance changes no more (judgement)."""


def draught_of(beam: float) -> float:
    """Draught of a hull shaped as model A [m]: beam / 4.24 [DELFT].

    >>> round(draught_of(2.2), 3)
    0.519
    """
    return beam / BEAM_DRAUGHT_OF_A


def wetted_surface(waterline_length: float, displacement: float, draught: float) -> float:
    """Wetted surface of a displacement hull [m²], Denny-Mumford: S = 1.7 L T + ∇/T [PNA].

    Parameters: waterline_length [m]; displacement [kg]; draught [m].
    Notes: model A at 7 m, measured 12.4 m², comes out 1.4 % less.

    >>> round(wetted_surface(7.0, 3.14 * 999.1, 7.0 / 3.15 / 4.24), 1)
    12.2
    """
    return 1.7 * waterline_length * draught + displacement / WATER_DENSITY / draught


def block_coefficient(waterline_length: float, beam: float, draught: float, displacement: float) -> float:
    """Volume over length times beam times draught, held to 0.25-0.65.

    >>> round(block_coefficient(7.0, 7.0 / 3.15, 7.0 / 3.15 / 4.24, 3.14 * 999.1), 3)
    0.385
    """
    block = displacement / WATER_DENSITY / (waterline_length * beam * draught)
    return min(0.65, max(0.25, block))


def wake_of(block: float) -> float:
    """Wake fraction of a single screw, 0.5 C_B - 0.05 [HARV].

    >>> round(wake_of(0.385), 4)
    0.1425
    """
    return 0.5 * block - 0.05


def thrust_deduction_of(wake: float) -> float:
    """Thrust deduction fraction of a single screw, 0.6 w + 0.01 [HARV].

    >>> round(thrust_deduction_of(0.1425), 4)
    0.0955
    """
    return 0.6 * wake + 0.01


def slenderness_factor(waterline_length: float, displacement: float) -> float:
    """Residuary resistance per weight over that of model A, by slenderness s = L/∇^⅓.

    Parameters: waterline_length [m]; displacement [kg].
    Returns: (4.78/s)² for a leaner hull, 4.78/s for a fuller one; no change beyond s = 3.5 and 9.
    Notes: models alike but for slenderness, 4.3 to 5.1 [DELFT], go with its first power or less; thin-ship
    theory says the third for lean ones (value from memory). The second is judgement, between the two; models
    A and B differ more in where their fullness lies than in slenderness, so they are no guide.

    >>> round(slenderness_factor(11.28, 6337.0), 3), round(slenderness_factor(7.0, 3.14 * 999.1), 2)
    (0.615, 1.0)
    """
    slenderness = waterline_length / (displacement / WATER_DENSITY) ** (1.0 / 3.0)
    ratio = SLENDERNESS_OF_A / min(LEANEST, max(BLUNTEST, slenderness))
    return float(ratio if ratio > 1.0 else ratio**2)


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
    takes it smoothly to zero; above the last with the fifth power of the speed.

    >>> round(float(residuary_ratio("A", 0.35)), 2)
    10.36
    """
    measured, values = _curves()[series]
    froude = np.maximum(np.asarray(froude_number, dtype=float), 1e-6)
    logs_x, logs_y = np.log(measured), np.log(values)
    inside = np.exp(np.interp(np.log(froude), logs_x, logs_y))
    first_power = max(2.0, float((logs_y[1] - logs_y[0]) / (logs_x[1] - logs_x[0])))
    below = values[0] * (froude / measured[0]) ** first_power
    above = values[-1] * (froude / measured[-1]) ** STEEP_POWER
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
