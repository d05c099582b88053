"""Shrink and swell of Sedge's boiler against the published shape of a drum boiler: sign and shape only.

Åström & Bell, Automatica 36 (2000) 363-378. Sizes, times and more cases: unit/test_level_responses.py.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from steaming import follow, sedge, steady, stoke

NAMES = ("glass_level", "boiler_pressure", "heat_to_boiler_rate")


def stepped(seconds: float, **changes: float) -> dict[str, NDArray[np.float64]]:
    """Readings less their course with hands off, at half-second steps after a step of the controls."""
    courses = []
    for moved in ({}, changes):
        plant = steady()
        plant.set(**moved)
        scenario = sedge()
        courses.append(follow(plant, seconds, NAMES, lambda p=plant, s=scenario: stoke(p, s), every=0.5))
    held, found = courses
    return {name: found[name] - held[name] for name in NAMES}


def test_more_steam_drawn() -> None:
    # Åström & Bell 2000: more steam drawn, level first up, then down; pressure falls throughout, S.
    found = stepped(600.0, throttle=0.6)
    level = found["glass_level"]
    assert (level[1:11] > 0.0).all()
    assert level.max() > 1e-3
    assert level[-1] < -1e-3
    assert (np.diff(found["boiler_pressure"][:121]) < 0.0).all()


def test_more_feed() -> None:
    # Åström & Bell 2000: more feed, level first slightly down, then up, S (cold water by hand).
    found = stepped(600.0, hand_pump_lake_rate=0.5)
    level = found["glass_level"]
    assert (level[2:11] < 0.0).all()
    assert level[:121].min() < -1e-4
    assert level[-1] > 5e-3
    assert abs(level[:121].min()) < 0.5 * level[-1]


def test_more_heat() -> None:
    # Åström & Bell 2000: more heat, level up at once, pressure a slow ramp, S. The damper thrown open gives
    # 0.7 kW more at once, and more as the fire brightens.
    found = stepped(240.0, damper=1.0)
    level, pressure, heat = found["glass_level"], found["boiler_pressure"], found["heat_to_boiler_rate"]
    assert heat[0] > 500.0
    assert (np.diff(level[:21]) > 0.0).all()
    assert level[20] > 0.1 * level[-1]
    assert (np.diff(pressure) > 0.0).all()
    assert 0.0 < pressure[20] < 0.03 * pressure[-1]
