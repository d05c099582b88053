"""Condensation in the cylinder and Willans' line against Lineham, A Text-Book of Mechanical Engineering."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scripted_day import sedge

from halfglass.plant import engine, steam
from halfglass.plant.compile import to_record
from halfglass.plant.parameters import Engine

PSI = 6894.757
BOILER = 89.7 * PSI
BACK = 17.0 * PSI
HORSEPOWER = 745.69987


@pytest.mark.parametrize(("turns_per_minute", "share"), [(200.0, 0.01), (300.0, 0.01), (450.0, 0.01)])
def test_missing_quantity(turns_per_minute: float, share: float) -> None:
    # Lineham p. 884, missing/indicated = C ln r/(d sqrt N), d in feet, N in rev/min, S; within 1 %.
    made = replace(sedge().parameters.engine, bore=0.25 * 0.3048, missing_quantity_coefficient=7.0)
    c = made.clearance_fraction
    expected = 7.0 * math.log((1.0 + c) / (0.6 + c)) / (0.25 * math.sqrt(turns_per_minute))
    found = engine.missing_quantity_ratio(to_record(made), 0.6, turns_per_minute / 60.0)
    assert found == pytest.approx(expected, rel=share)


def test_coefficient_of_the_missing_quantity() -> None:
    # Lineham p. 884: C 6-8 for unjacketed simple engines, S (inferred).
    assert 6.0 <= sedge().parameters.engine.missing_quantity_coefficient <= 8.0


def running(made: Engine, throttle: float, speed: float = 5.0) -> tuple[float, float]:
    """An engine in full gear: indicated power [W] and steam [kg/s]."""
    volume = steam.saturation(BOILER)[2]
    latent = steam.latent_heat(BOILER)
    torque, _, flow, _ = engine.engine_at_speed(
        to_record(made), BOILER, volume, latent, BACK, throttle, 1.0, 0.0, 0.0, speed
    )
    return torque * 2.0 * math.pi * speed, flow


def test_willans_line() -> None:
    # Lineham p. 892: throttle-governed total steam is a straight line in power, intercept > 0, S.
    points = [running(sedge().parameters.engine, throttle) for throttle in np.geomspace(0.02, 1.0, 40)]
    power, flow = np.array([point for point in points if point[0] > 0.0]).T
    assert power.max() > 3.0 * power.min()
    slope, intercept = np.polyfit(power, flow, 1)
    assert intercept > 0.0
    assert np.abs(flow - slope * power - intercept).max() < 0.005 * flow.max()


@pytest.mark.parametrize(
    "turns_per_minute",
    [
        pytest.param(
            300.0, marks=pytest.mark.xfail(strict=True, reason="51.5 lb/ihp-h, row 41-50 (speed not stated)")
        ),
        400.0,
        600.0,
    ],
)
def test_water_rate_of_a_small_engine(turns_per_minute: float) -> None:
    # Lineham p. 884: a 3 in engine, 75 psig non-condensing, 41-50 lb/ihp-h, C; the row states no speed.
    made = replace(sedge().parameters.engine, bore=3.0 * 0.0254)
    power, flow = running(made, 1.0, turns_per_minute / 60.0)
    assert 41.0 <= flow / 0.45359237 * 3600.0 / (power / HORSEPOWER) <= 50.0
