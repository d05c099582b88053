"""Screws in four quadrants, from published Fourier series, carried over to other pitches and blades.

Sources: Roddy, Hess & Faller, NSWCCD-50-TR-2006/004 [RHF], coefficients of the Wageningen B-series tests,
copied in ``data/four_quadrant.csv``; Oosterveld & van Oossanen 1975 (Univ. Michigan Report 237) [OO],
polynomials of the first quadrant, in ``data/b_series_polynomial.csv`` (from two transcriptions that agree).

Five screws were tested in four quadrants. Any other is made of one of them in two steps of our own: the
blade section at 0.7 of the radius and the water it meets are turned together by the difference of pitch
angle, and forces are scaled at standstill and locked by what [OO] and the blade area say. Turning both leaves
force times speed, the power lost in the water, as it was: a screw made so never gives more than it takes.
"""

from __future__ import annotations

import csv
from functools import cache
from importlib import resources

import numpy as np
from numpy.typing import ArrayLike, NDArray

from halfglass.plant.parameters import ANGLE_NODES

Coefficients = NDArray[np.float64]
Curve = NDArray[np.float64]

LOWEST_PITCH, HIGHEST_PITCH = 0.5, 2.0
"""Pitch ratios that can be asked for; [OO] holds from 0.5 to 1.4, beyond it bollard values are judgement."""
SCREWS: dict[str, tuple[int, float, str]] = {
    "B2-38": (2, 0.38, "B4-40"),
    "B3-35": (3, 0.35, "B4-40"),
    "B3-50": (3, 0.50, "B4-40"),
    "B3-65": (3, 0.65, "B3-65"),
    "B4-40": (4, 0.40, "B4-40"),
    "B4-55": (4, 0.55, "B4-40"),
    "B4-70": (4, 0.70, "B4-70"),
}
"""Blades, blade area ratio and the tested screw each is made from: the one nearest to [OO] of those tried."""
TIP_FACTOR = 0.7 * np.pi
"""Speed of the section at 0.7 of the radius over n D."""
LEVER = 0.35
"""That radius over the diameter: C_Q over it is the tangential force coefficient."""
SCALED_WITHIN = np.radians(6.0)
"""Width of the angles about standstill and locked that are scaled; fits the tested pitches (judgement)."""


@cache
def _series() -> dict[str, dict[float, Coefficients]]:
    """Coefficients by series and pitch ratio: rows k, columns a and b of thrust, a and b of torque."""
    made: dict[str, dict[float, list[list[float]]]] = {}
    for row in _rows("four_quadrant.csv"):
        pitches = made.setdefault(row["propeller"], {})
        pitches.setdefault(float(row["pitch_diameter_ratio"]), []).append(
            [float(row[name]) for name in ("a_thrust", "b_thrust", "a_torque", "b_torque")]
        )
    return {
        name: {pitch: np.array(rows) for pitch, rows in pitches.items()} for name, pitches in made.items()
    }


@cache
def _polynomial(of: str) -> Coefficients:
    """Terms of K_T or K_Q: value, then powers of advance, pitch ratio, area ratio and blades."""
    names = ("value", "advance_power", "pitch_power", "area_power", "blades_power")
    rows = _rows("b_series_polynomial.csv")
    return np.array([[float(row[name]) for name in names] for row in rows if row["coefficient_of"] == of])


def _rows(name: str) -> list[dict[str, str]]:
    data = resources.files("halfglass.scenario.catalogue.data").joinpath(name)
    return list(csv.DictReader(data.read_text(encoding="utf-8").splitlines()))


def open_water(series: str, pitch_ratio: float, advance: ArrayLike) -> tuple[Curve, Curve]:
    """Thrust and torque coefficients K_T = T/(ρn²D⁴), K_Q = Q/(ρn²D⁵) going ahead, by the polynomials [OO].

    Parameters: series [a name in `SCREWS`]; pitch_ratio [0.5-1.4]; advance [J = V_A/(nD), 0 to zero thrust].
    Notes: K = Σ C J^s (P/D)^t (A_E/A_0)^u z^v, at a Reynolds number of 2 million.

    >>> thrust, torque = open_water("B4-70", 1.0, 0.5)
    >>> round(float(thrust), 3), round(float(10 * torque), 3)
    (0.271, 0.434)
    """
    blades, area, _ = SCREWS[series]
    at = np.asarray(advance, dtype=float)
    made = [np.zeros_like(at), np.zeros_like(at)]
    for index, of in enumerate(("thrust", "torque")):
        for value, s, t, u, v in _polynomial(of):
            made[index] = made[index] + value * at**s * pitch_ratio**t * area**u * float(blades) ** v
    return made[0], made[1]


def tested_pitches(series: str) -> tuple[float, float]:
    """Lowest and highest pitch ratio of the four-quadrant tests a series rests on.

    >>> tested_pitches("B4-70"), tested_pitches("B3-50")
    ((1.0, 1.4), (1.0, 1.0))
    """
    parent = _series()[SCREWS[series][2]]
    return min(parent), max(parent)


def tables(series: str, pitch_ratio: float) -> tuple[Curve, Curve]:
    """Thrust and torque coefficients at every half degree of the advance angle, 0 to 360 inclusive.

    Parameters: series [a name in `SCREWS`]; pitch_ratio [0.5-2.0; linear between tested pitches].
    Returns: (C_T, C_Q). Notes: C_T = (1/100) Σ(a cos kβ + b sin kβ), C_Q = -(1/1000) Σ(...) [RHF]. Outside
    the tested pitches (1.0 to 1.4 of B4-70, else 1.0) and for untested blades as in the head of this file:
    our own extension. From P/D 1.0 it gives the tested 1.4 within 8 % (C_T) and 12 % (C_Q) of the root
    mean square.

    >>> thrust, torque = tables("B4-70", 1.0)
    >>> round(float(thrust[0]), 4), round(float(10 * torque[0]), 4)
    (0.2369, 0.3479)
    """
    if not LOWEST_PITCH <= pitch_ratio <= HIGHEST_PITCH:
        raise ValueError(f"pitch ratios are known from {LOWEST_PITCH} to {HIGHEST_PITCH}, not {pitch_ratio}")
    parent = SCREWS[series][2]
    low, high = tested_pitches(series)
    tested = min(max(pitch_ratio, low), high)
    thrust, torque = _summed(_interpolated(parent, tested))
    if tested != pitch_ratio:
        thrust, torque = at_other_pitch(parent, thrust, torque, tested, pitch_ratio)
    if parent != series:
        scale = _blade_scale(series, parent, pitch_ratio)
        thrust, torque = thrust * scale, torque * scale
    return thrust, torque


def at_other_pitch(
    series: str, thrust: Curve, torque: Curve, tested: float, wanted: float
) -> tuple[Curve, Curve]:
    """Coefficients of a screw at one pitch carried to another: our own extension (judgement).

    Parameters: thrust, torque [C_T, C_Q at ANGLE_NODES of the tested pitch ratio]; tested, wanted [P/D].
    Returns: the coefficients at the wanted pitch.
    Notes: with φ = atan(P/(0.7 π D)) and δ = φ' - φ, the force (C_T, C_Q/0.35) at β - δ, turned by δ, is the
    force at β. Near β = 0 and 180° it is scaled so that the bollard values change as by [OO], near 90 and
    270° (locked) so that the force follows the projected area, 1.067 - 0.229 P/D of the expanded (Taylor).
    """
    angle = np.linspace(0.0, 2.0 * np.pi, ANGLE_NODES)
    turn = float(np.arctan(wanted / TIP_FACTOR) - np.arctan(tested / TIP_FACTOR))
    old = (angle - turn) % (2.0 * np.pi)
    axial, tangential = np.interp(old, angle, thrust), np.interp(old, angle, torque / LEVER)
    cosine, sine = np.cos(turn), np.sin(turn)
    axial, tangential = axial * cosine - tangential * sine, axial * sine + tangential * cosine
    (thrust_then, torque_then), (thrust_now, torque_now) = _bollard(series, tested), _bollard(series, wanted)
    wanted_thrust = float(thrust[0]) * thrust_now / thrust_then
    wanted_torque = float(torque[0]) / LEVER * torque_now / torque_then
    bollard = np.sqrt(wanted_thrust / float(axial[0]) * wanted_torque / float(tangential[0]))
    logarithm = np.log(bollard) * (_near(angle, 0.0) + _near(angle, np.pi))
    projected = (1.067 - 0.229 * wanted) / (1.067 - 0.229 * tested)
    for quarter in (0.25, 0.75):
        node = round(quarter * (ANGLE_NODES - 1))
        was = float(np.hypot(thrust[node], torque[node] / LEVER))
        locked = was * projected / float(np.hypot(axial[node], tangential[node]))
        logarithm = logarithm + np.log(locked) * _near(angle, 2.0 * np.pi * quarter)
    scale = np.exp(logarithm)
    return axial * scale, tangential * LEVER * scale


def _near(angle: Curve, centre: float) -> Curve:
    """1 at the centre, falling away to 0 on both sides."""
    away = (angle - centre + np.pi) % (2.0 * np.pi) - np.pi
    return np.asarray(np.exp(-0.5 * (away / SCALED_WITHIN) ** 2))


def _bollard(series: str, pitch_ratio: float) -> tuple[float, float]:
    """K_T and K_Q at no speed [OO]; above P/D 1.4 in a straight line on (judgement)."""
    known = min(pitch_ratio, 1.4)
    made = [float(value) for value in open_water(series, known, 0.0)]
    if pitch_ratio > known:
        before = [float(value) for value in open_water(series, known - 0.2, 0.0)]
        further = (pitch_ratio - known) / 0.2
        made = [now + (now - then) * further for now, then in zip(made, before, strict=True)]
    return made[0], made[1]


def _blade_scale(series: str, parent: str, pitch_ratio: float) -> Curve:
    """Forces of an untested screw over those of its parent: bollard thrust by [OO], locked by blade area."""
    angle = np.linspace(0.0, 2.0 * np.pi, ANGLE_NODES)
    driving = _bollard(series, pitch_ratio)[0] / _bollard(parent, pitch_ratio)[0]
    locked = SCREWS[series][1] / SCREWS[parent][1]
    return np.asarray(driving * np.cos(angle) ** 2 + locked * np.sin(angle) ** 2)


def _summed(rows: Coefficients) -> tuple[Curve, Curve]:
    angle = np.linspace(0.0, 2 * np.pi, ANGLE_NODES)
    order = np.arange(len(rows))[:, None]
    cosines, sines = np.cos(order * angle), np.sin(order * angle)
    thrust = (rows[:, 0] @ cosines + rows[:, 1] @ sines) / 100.0
    torque = -(rows[:, 2] @ cosines + rows[:, 3] @ sines) / 1000.0
    return thrust, torque


def _interpolated(series: str, pitch_ratio: float) -> Coefficients:
    known = sorted(_series()[series].items())
    pitches = [pitch for pitch, _ in known]
    upper = min(int(np.searchsorted(pitches, pitch_ratio)), len(known) - 1)
    lower = max(upper - 1, 0)
    if upper == lower or pitches[upper] == pitch_ratio:
        return known[upper][1]
    share = (pitch_ratio - pitches[lower]) / (pitches[upper] - pitches[lower])
    return known[lower][1] * (1.0 - share) + known[upper][1] * share


def thrust_at(
    thrust: Curve, diameter: float, turns: float, advance_speed: float, water_density: float
) -> float:
    """Thrust of a screw from its table [N].

    Parameters: thrust [C_T at ANGLE_NODES]; diameter [m]; turns [rev/s]; advance_speed [V_A, m/s].
    Notes: as `plant.propeller.propeller_loads`, for use before a run, where nothing is compiled.
    """
    tip = TIP_FACTOR * turns * diameter
    angle = float(np.arctan2(advance_speed, tip)) % (2.0 * np.pi)
    coefficient = float(np.interp(angle, np.linspace(0.0, 2.0 * np.pi, ANGLE_NODES), thrust))
    return coefficient * 0.125 * np.pi * water_density * (advance_speed**2 + tip**2) * diameter**2
