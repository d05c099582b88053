"""Hull resistance against ITTC-57 and the Delft data, and way lost against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest

from halfglass.plant.compile import to_record
from halfglass.plant.hull import water_resistance
from halfglass.plant.parameters import SPEED_NODES, Hull
from halfglass.scenario.catalogue import hulls


@pytest.mark.parametrize(
    ("reynolds", "thousandths"), [(1e5, 8.333), (1e6, 4.688), (1e7, 3.000), (1e9, 1.531)]
)
def test_friction_coefficient(reynolds: float, thousandths: float) -> None:
    # ITTC-57 in Tupper, table 8.3, S; last printed digit.
    assert 1000.0 * float(hulls.friction_coefficient(reynolds)) == pytest.approx(thousandths, abs=6e-4)


@pytest.mark.parametrize(
    ("froude", "knots", "newtons"), [(0.25, 4.03, 148), (0.325, 5.24, 351), (0.375, 6.04, 641)]
)
def test_resistance_of_hull_a(froude: float, knots: float, newtons: float) -> None:
    # Delft data and ITTC-57: LWL 7 m, 3.14 m3, wetted 12.4 m2, fresh water 15 degrees C, C; 1 %.
    speed = froude * math.sqrt(9.80665 * 7.0)
    assert speed * 3600.0 / 1852.0 == pytest.approx(knots, abs=6e-3)
    top, friction, residuary = hulls.resistance_tables("A", 7.0, 3.14 * 999.1, 12.4, 1.0)
    hull = to_record(Hull(3137.0, 0.0, top, friction, residuary, 1.0, 0.0))
    assert water_resistance(hull, speed, 1.0) == pytest.approx(newtons, rel=0.01)


def losing_way(thrust: float, until: float) -> tuple[float, float]:
    """Seconds and metres from 2.5 m/s to a lower speed: 1800 kg, R = 32 V^2."""
    nodes = np.linspace(0.0, 3.0, SPEED_NODES)
    hull = to_record(Hull(1800.0, 0.0, 3.0, 32.0 * nodes**2, np.zeros(SPEED_NODES), 1.0, 0.0))
    speeds = np.linspace(until, 2.5, 4001)
    slowing = np.array([(water_resistance(hull, speed, 1.0) + thrust) / 1800.0 for speed in speeds])
    return float(np.trapezoid(1.0 / slowing, speeds)), float(np.trapezoid(speeds / slowing, speeds))


@pytest.mark.parametrize(
    ("thrust", "until", "seconds", "metres"), [(0.0, 0.25, 202.5, 129.5), (400.0, 0.0, 9.8, 11.4)]
)
def test_way_lost(thrust: float, until: float, seconds: float, metres: float) -> None:
    # Closed form, R = k V^2, coasting and with 400 N astern, C; 0.1 % and half the last digit.
    found_seconds, found_metres = losing_way(thrust, until)
    assert found_seconds == pytest.approx(seconds, rel=1e-3, abs=0.05)
    assert found_metres == pytest.approx(metres, rel=1e-3, abs=0.05)
