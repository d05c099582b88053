"""Hull resistance against ITTC-57 and the Delft data, way lost against closed forms, wake by Harvald."""

from __future__ import annotations

import csv
import math
from dataclasses import replace
from importlib import resources

import numpy as np
import pytest
from numpy.typing import NDArray
from steaming import sedge

from halfglass.plant import reading as r
from halfglass.plant import state as y
from halfglass.plant.compile import to_record
from halfglass.plant.engine_balance import move_boat
from halfglass.plant.hull import water_resistance
from halfglass.plant.parameters import SPEED_NODES, Hull, PlantParameters, Settings
from halfglass.plant.steamplant import SteamPlant, records
from halfglass.scenario.catalogue import hulls
from halfglass.scenario.catalogue.reduce import initial_state, plant_parameters

FOOT = 0.3048
KNOT = 1852.0 / 3600.0


@pytest.mark.parametrize(
    ("reynolds", "thousandths"), [(1e5, 8.333), (1e6, 4.688), (1e7, 3.000), (1e9, 1.531)]
)
def test_friction_coefficient(reynolds: float, thousandths: float) -> None:
    # ITTC-57 in Tupper, table 8.3, S; last printed digit.
    assert 1000.0 * float(hulls.friction_coefficient(reynolds)) == pytest.approx(thousandths, abs=6e-4)


def test_residuary_curve_goes_through_its_points() -> None:
    # Delft data, S; every row of both models.
    data = resources.files("halfglass.scenario.catalogue.data").joinpath("residuary_resistance.csv")
    rows = list(csv.DictReader(data.read_text(encoding="utf-8").splitlines()))
    assert len(rows) == 28
    for row in rows:
        found = float(hulls.residuary_ratio(row["hull"], float(row["froude_number"])))
        assert found == pytest.approx(float(row["residuary_resistance_per_1000_displacement"]), rel=1e-9)


def model_a() -> Hull:
    """Model A at 7 m, 3.14 m3, wetted 12.4 m2."""
    top, friction, residuary = hulls.resistance_tables("A", 7.0, 3.14 * 999.1, 12.4, 1.0)
    return Hull(3137.0, 0.0, top, friction, residuary, 1.0, 0.0)


@pytest.mark.parametrize(
    ("froude", "knots", "newtons"), [(0.25, 4.03, 148), (0.325, 5.24, 351), (0.375, 6.04, 641)]
)
def test_resistance_of_hull_a(froude: float, knots: float, newtons: float) -> None:
    # Delft data and ITTC-57: LWL 7 m, 3.14 m3, wetted 12.4 m2, fresh water 15 degrees C, C; 1 %.
    speed = froude * math.sqrt(9.80665 * 7.0)
    assert speed / KNOT == pytest.approx(knots, abs=6e-3)
    assert water_resistance(to_record(model_a()), speed, 1.0) == pytest.approx(newtons, rel=0.01)


def power_law(hull: Hull, low: float, high: float) -> float:
    """The power of speed with which towing power grows between two speeds."""
    slow, fast = (speed * water_resistance(to_record(hull), speed, 1.0) for speed in (low, high))
    return math.log(fast / slow) / math.log(high / low)


def test_hull_speed() -> None:
    # 1.34 sqrt(LWL in feet) knots; power about the cube of speed below it, about the fifth power above
    # (common practice, no source): here 2.5-3.5 from a quarter to half of it, more than 5 at it, 5-6 above.
    hull_speed = 1.34 * math.sqrt(7.0 / FOOT) * KNOT
    assert hull_speed == pytest.approx(0.40 * math.sqrt(9.80665 * 7.0), rel=0.01)
    assert 2.5 < power_law(model_a(), 0.25 * hull_speed, 0.5 * hull_speed) < 3.5
    assert power_law(model_a(), 0.98 * hull_speed, 1.02 * hull_speed) > 5.0
    assert 5.0 < power_law(model_a(), 1.25 * hull_speed, 1.4 * hull_speed) < 6.0


def test_wetted_surface_of_hull_a() -> None:
    # Denny-Mumford (SNAME, Principles of Naval Architecture II) on the measured 12.4 m2, C; 3 %.
    beam = 7.0 / 3.15
    found = hulls.wetted_surface(7.0, 3.14 * 999.1, hulls.draught_of(beam))
    assert found == pytest.approx(12.4, rel=0.03)


@pytest.mark.parametrize(
    ("block", "wake", "deduction"), [(0.4, 0.15, 0.10), (0.5, 0.20, 0.13), (0.6, 0.25, 0.16)]
)
def test_wake_and_thrust_deduction(block: float, wake: float, deduction: float) -> None:
    # Harvald: 0.5 C_B - 0.05 and 0.6 w + 0.01, S; the formula itself.
    assert hulls.wake_of(block) == pytest.approx(wake)
    assert hulls.thrust_deduction_of(wake) == pytest.approx(deduction)


def square_hull(mass: float = 1800.0, factor: float = 32.0) -> Hull:
    """A hull whose resistance is a factor times the square of its speed."""
    nodes = np.linspace(0.0, 3.0, SPEED_NODES)
    return Hull(mass, 0.0, 3.0, factor * nodes**2, np.zeros(SPEED_NODES), 1.0, 0.0)


def losing_way(thrust: float, until: float) -> tuple[float, float]:
    """Seconds and metres from 2.5 m/s to a lower speed by the plant's own equation of motion."""
    plant = records(replace_hull(square_hull()))
    settings = to_record(Settings(moored=0.0))
    state, rate, reading = np.zeros(y.COUNT), np.zeros(y.COUNT), np.zeros(len(r.NAMES))

    def slowing(speed: float) -> float:
        state[y.BOAT_SPEED] = speed
        move_boat(state, plant, settings, rate, reading, thrust)
        return -float(rate[y.BOAT_SPEED])

    speeds: NDArray[np.float64] = np.linspace(until, 2.5, 4001)
    at = np.array([slowing(speed) for speed in speeds])
    return float(np.trapezoid(1.0 / at, speeds)), float(np.trapezoid(speeds / at, speeds))


def replace_hull(hull: Hull) -> PlantParameters:
    """Sedge's plant with another hull and no screw to speak of."""
    parameters = plant_parameters(sedge().boat)
    return parameters._replace(hull=hull, propeller=replace(parameters.propeller, diameter=1e-3))


@pytest.mark.parametrize(
    ("thrust", "until", "seconds", "metres"), [(0.0, 0.25, 202.5, 129.5), (-400.0, 0.0, 9.8, 11.4)]
)
def test_way_lost(thrust: float, until: float, seconds: float, metres: float) -> None:
    # Closed form, 1800 kg, R = 32 V^2, coasting and with 400 N astern, C; 0.1 % and half the last digit.
    found_seconds, found_metres = losing_way(thrust, until)
    assert found_seconds == pytest.approx(seconds, rel=1e-3, abs=0.05)
    assert found_metres == pytest.approx(metres, rel=1e-3, abs=0.05)


def test_coasting_in_the_march() -> None:
    """The same coasting through the whole plant in time, to where the closed form says 0.25 m/s."""
    # Closed form, C; 0.2 % (the march holds 0.0001 m/s a step).
    plant = SteamPlant(replace_hull(square_hull()), initial_state(sedge()))
    plant.set(moored=0.0)
    plant.marcher.state[y.BOAT_SPEED] = 2.5
    plant.marcher.changed()
    plant.marcher.advance(202.5)
    assert plant.reading("boat_speed") == pytest.approx(0.25, rel=2e-3)
    assert plant.reading("distance") == pytest.approx(129.5, rel=2e-3)
