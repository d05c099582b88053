"""Boats described by hull and screw alone, and the speed at which the plant's own equations balance."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from halfglass.plant.compile import to_record
from halfglass.plant.hull import water_resistance, wind_force
from halfglass.plant.propeller import propeller_loads
from halfglass.scenario.catalogue import hull_and_screw
from halfglass.scenario.hull_models import Hull, Propeller

KNOT = 1852.0 / 3600.0
WATER_DENSITY = 999.0


@dataclass(frozen=True)
class Way:
    """A steady run: speed [m/s] and the power the screw takes [W]."""

    speed: float
    power: float

    @property
    def knots(self) -> float:
        return self.speed / KNOT


def hull(**keys: Any) -> Hull:
    """A hull from keys as a boat file writes them."""
    return Hull.model_validate(keys)


def screw(**keys: Any) -> Propeller:
    """A screw from keys as a boat file writes them."""
    return Propeller.model_validate(keys)


def steady(boat: Hull, turned: Propeller, turns_per_minute: float) -> Way:
    """Speed in still water and no wind at steady revolutions, by halving.

    The plant's kernels are asked for thrust, resistance and wind; the balance falls as the speed rises.
    """
    water = to_record(hull_and_screw.reduced_hull(boat, turned))
    plain = hull_and_screw.propeller(boat, turned)
    driven = to_record(plain)
    turns = turns_per_minute / 60.0
    low, high = 0.0, 20.0
    for _ in range(60):
        speed = 0.5 * (low + high)
        thrust, _ = propeller_loads(driven, turns, speed, WATER_DENSITY)
        left = thrust * (1.0 - plain.thrust_deduction_fraction)
        left -= water_resistance(water, speed, 1.0) + wind_force(water, speed, 0.0)
        low, high = (speed, high) if left > 0.0 else (low, speed)
    _, torque = propeller_loads(driven, turns, low, WATER_DENSITY)
    return Way(low, torque * 2.0 * math.pi * turns)
