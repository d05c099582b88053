"""Screws in four quadrants against Roddy, Hess & Faller, NSWCCD-50-TR-2006/004."""

from __future__ import annotations

import math

import numpy as np
import pytest

from halfglass.plant.compile import to_record
from halfglass.plant.parameters import Propeller
from halfglass.plant.propeller import propeller_loads
from halfglass.scenario.catalogue import screws


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
    _, torques = screws.tables(series, 1.0)
    place = int(np.argmax(torques < 0.0))
    share = torques[place - 1] / (torques[place - 1] - torques[place])
    angle = math.radians((place - 1 + share) / 2.0)
    assert 0.7 * math.pi * math.tan(angle) == pytest.approx(advance, abs=2e-3)


@pytest.mark.parametrize(
    ("turns_per_minute", "thrust", "torque"), [(0.0, -422.0, 30.9), (-134.0, None, 58.3)]
)
def test_screw_dragged_ahead(turns_per_minute: float, thrust: float | None, torque: float) -> None:
    # Roddy, Hess & Faller 2006: 0.508 m, 2.5 m/s, fresh water, B3-65, pitch ratio 1.0, C; 0.3 %.
    thrusts, torques = screws.tables("B3-65", 1.0)
    screw = to_record(Propeller(0.508, thrusts, torques, 0.0, 0.0, 1.0))
    found_thrust, found_torque = propeller_loads(screw, turns_per_minute / 60.0, 2.5, 999.1)
    if thrust is not None:
        assert found_thrust == pytest.approx(thrust, rel=3e-3)
    # The water drives the screw ahead: the shaft must hold back, so its torque is negative.
    assert -found_torque == pytest.approx(torque, rel=3e-3)
