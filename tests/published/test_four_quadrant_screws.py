"""Screws against Roddy, Hess & Faller, NSWCCD-50-TR-2006/004, and against the B-series polynomials."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from halfglass.plant.compile import to_record
from halfglass.plant.parameters import ANGLE_NODES, Propeller
from halfglass.plant.propeller import propeller_loads
from halfglass.scenario.catalogue import screws

ANGLE = np.linspace(0.0, 2.0 * np.pi, ANGLE_NODES)
TESTED = [("B4-70", 1.0), ("B4-70", 1.2), ("B4-70", 1.4), ("B3-65", 1.0), ("B4-40", 1.0)]


def at_advance(table: NDArray[np.float64], advance: Any) -> NDArray[np.float64]:
    """K_T or K_Q at an advance coefficient, from C_T or C_Q over the angle."""
    at = np.asarray(advance)
    angle = np.arctan2(at, screws.TIP_FACTOR)
    return np.asarray(np.interp(angle, ANGLE, table) * np.pi / 8.0 * (at**2 + screws.TIP_FACTOR**2))


def zero_advance(table: NDArray[np.float64]) -> float:
    """Advance coefficient at which a coefficient falls through zero."""
    place = int(np.argmax(table < 0.0))
    share = table[place - 1] / (table[place - 1] - table[place])
    return screws.TIP_FACTOR * math.tan(math.radians((place - 1 + share) / 2.0))


@pytest.mark.parametrize(
    ("series", "degrees", "thrust", "torque"),
    [
        ("B4-70", 0, 0.2369, 0.3479),
        ("B4-70", 90, -0.7719, -1.1553),
        ("B4-70", 150, -0.3826, -0.5893),
        ("B3-65", 0, 0.2182, 0.3402),
        ("B3-65", 90, -0.6660, -0.9619),
        ("B3-65", 180, -0.2095, -0.3506),
    ],
)
def test_coefficients(series: str, degrees: int, thrust: float, torque: float) -> None:
    # Roddy, Hess & Faller 2006, C_T and 10 C_Q summed from the published series, C; last printed digit.
    thrusts, torques = screws.tables(series, 1.0)
    assert thrusts[2 * degrees] == pytest.approx(thrust, abs=6e-5)
    assert 10.0 * torques[2 * degrees] == pytest.approx(torque, abs=6e-5)


@pytest.mark.parametrize(("series", "advance"), [("B4-70", 1.102), ("B3-65", 1.111)])
def test_zero_torque(series: str, advance: float) -> None:
    # Roddy, Hess & Faller 2006, advance coefficient of zero torque, C; 0.002.
    assert zero_advance(screws.tables(series, 1.0)[1]) == pytest.approx(advance, abs=2e-3)


def windmilling(turns_per_minute: float) -> tuple[float, float]:
    """Thrust and torque of the published example: 0.508 m, 2.5 m/s, fresh water, B3-65, pitch ratio 1.0."""
    thrusts, torques = screws.tables("B3-65", 1.0)
    screw = to_record(Propeller(0.508, thrusts, torques, 0.0, 0.0, 1.0))
    return propeller_loads(screw, turns_per_minute / 60.0, 2.5, 999.1)


@pytest.mark.parametrize(
    ("turns_per_minute", "thrust", "torque"), [(0.0, -422.0, 30.9), (-134.0, None, 58.3)]
)
def test_screw_dragged_ahead(turns_per_minute: float, thrust: float | None, torque: float) -> None:
    # Roddy, Hess & Faller 2006, C; 0.3 %.
    found_thrust, found_torque = windmilling(turns_per_minute)
    if thrust is not None:
        assert found_thrust == pytest.approx(thrust, rel=3e-3)
    # The water drives the screw ahead: the shaft must hold back, so its torque is negative.
    assert -found_torque == pytest.approx(torque, rel=3e-3)


def test_reversing_asks_more_than_holding_still() -> None:
    """Backing slowly with way on asks about 1.9 times the torque of holding still (the rows above)."""
    most = max(-windmilling(-turns)[1] for turns in range(0, 200, 2))
    assert -windmilling(-134.0)[1] / -windmilling(0.0)[1] == pytest.approx(58.3 / 30.9, rel=0.006)
    assert most >= 58.3 * 0.997


@pytest.mark.parametrize(("series", "pitch"), TESTED)
def test_locked_drag_on_blade_area(series: str, pitch: float) -> None:
    # UFC 4-159-03, S: about 1.0 on blade area; no tolerance is printed, 15 % (judgement).
    area = screws.SCREWS[series][1]
    assert -screws.tables(series, pitch)[0][180] / area == pytest.approx(1.0, abs=0.15)


def errors_against_polynomial(series: str, pitch: float, up_to: float) -> tuple[float, float]:
    """Greatest errors of K_T and K_Q from standstill to a share of the advance of zero thrust."""
    thrust, torque = screws.tables(series, pitch)
    advance = np.linspace(0.0, up_to * zero_advance(thrust), 60)
    wanted_thrust, wanted_torque = screws.open_water(series, pitch, advance)
    return (
        float(np.max(np.abs(at_advance(thrust, advance) / wanted_thrust - 1.0))),
        float(np.max(np.abs(at_advance(torque, advance) / wanted_torque - 1.0))),
    )


@pytest.mark.parametrize(("series", "pitch"), TESTED)
def test_first_quadrant_against_polynomial(series: str, pitch: float) -> None:
    # Oosterveld & van Oossanen 1975 (coefficients from two transcriptions that agree), S: K_T within 10 %,
    # K_Q within 20 %; up to 0.7 of the advance of zero thrust, where screws work.
    thrust, torque = errors_against_polynomial(series, pitch, 0.7)
    assert thrust < 0.10 and torque < 0.20


@pytest.mark.xfail(
    strict=True,
    reason="K_T goes to zero a little apart: errors of K_T 15 to 48 % (B4-40), of K_Q up to 39 % (B4-40)",
)
@pytest.mark.parametrize(("series", "pitch"), TESTED)
def test_first_quadrant_against_polynomial_to_the_end(series: str, pitch: float) -> None:
    thrust, torque = errors_against_polynomial(series, pitch, 0.95)
    assert thrust < 0.10 and torque < 0.20


@pytest.mark.parametrize(
    ("tested", "wanted", "rms_thrust", "rms_torque"),
    [(1.0, 1.2, 0.06, 0.07), (1.0, 1.4, 0.08, 0.12), (1.2, 1.4, 0.05, 0.07), (1.4, 1.0, 0.11, 0.12)],
)
def test_extension_gives_the_other_tested_pitches(
    tested: float, wanted: float, rms_thrust: float, rms_torque: float
) -> None:
    # Our own extension between screws that were both tested (Roddy, Hess & Faller 2006), over all angles;
    # errors as found, rounded up: there is no published figure for them.
    found = screws.at_other_pitch("B4-70", *screws.tables("B4-70", tested), tested, wanted)
    known = screws.tables("B4-70", wanted)
    for made, right, limit in zip(found, known, (rms_thrust, rms_torque), strict=True):
        assert np.sqrt(np.mean((made - right) ** 2) / np.mean(right**2)) < limit
        assert zero_advance(made) == pytest.approx(zero_advance(right), rel=0.03)


@pytest.mark.parametrize("series", sorted(screws.SCREWS))
@pytest.mark.parametrize(("pitch", "limit_torque"), [(0.6, 0.35), (0.8, 0.25), (1.2, 0.25), (1.4, 0.25)])
def test_other_screws_against_polynomial(series: str, pitch: float, limit_torque: float) -> None:
    # Oosterveld & van Oossanen 1975, S: our own extension, K_T 20 %, K_Q 25 % (0.6: 35 %), judgement.
    thrust, torque = errors_against_polynomial(series, pitch, 0.7)
    assert thrust < 0.20 and torque < limit_torque
