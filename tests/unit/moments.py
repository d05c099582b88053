"""One moment of the whole plant, for `test_plant_rates.py` and `test_plant_flows.py`.

Every shipped boat stands with everything open and something in every stock, as no day would have it, so that
no flow is zero. No time passes: what is asked is asked of the rates of change themselves.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import numpy as np
from steaming import SCENARIOS

from halfglass.plant import reading as r
from halfglass.plant import state as y
from halfglass.plant.assembly import rates
from halfglass.plant.feed import WATER_HEAT
from halfglass.plant.parameters import PlantParameters, Settings
from halfglass.plant.steamplant import SteamPlant
from halfglass.scenario.catalogue.reduce import initial_state, plant_parameters
from halfglass.scenario.day_models import Scenario
from halfglass.scenario.load import load

BUSY: dict[str, float] = {
    "throttle": 0.5, "reversing_gear": 0.9, "damper": 0.7, "fire_door": 0.1, "blower": 0.3,
    "burner_rate": 0.8, "bypass": 0.2, "hand_pump_hotwell_rate": 0.2, "hand_pump_lake_rate": 0.1,
    "injector": 1.0,
    "cylinder_drains": 0.2, "condensate_drain": 0.6, "whistle_area": 3e-6, "heating_steam_area": 2e-6,
    "blow_down": 0.1, "vent": 0.1, "moored": 0.0, "first_safety_valve": 1.0, "stream": 0.3, "headwind": 3.0,
    "air_temperature": 283.0, "lake_temperature": 288.0, "atmosphere_absolute": 99e3,
    "engine_pump_health": 0.9, "hand_pump_health": 0.8, "check_valve_leak_area": 1e-6,
    "condenser_health": 0.9,
    "hotwell_leak_rate": 0.01, "hotwell_steam_area": 1e-6, "condensate_leak_fraction": 0.1, "load": 80.0,
    "engine_pump_wear_rate": 1e-5, "heel": 0.05, "trim": 0.02,
}  # fmt: skip


@cache
def days() -> dict[str, Scenario]:
    """The first day with each shipped boat."""
    found: dict[str, Scenario] = {}
    for path in sorted(SCENARIOS.glob("*.toml")):
        found.setdefault(load(path).base.boat.name, load(path).base)
    return found


@dataclass
class Moment:
    """A plant, its parameters, settings, and the rates of change and readings at one moment."""

    plant: SteamPlant
    state: Any
    rate: Any
    reading: Any

    @property
    def parameters(self) -> PlantParameters:
        return self.plant.parameters

    @property
    def settings(self) -> Settings:
        return self.plant.controls

    def __getitem__(self, name: str) -> float:
        return float(self.reading[r.INDEX[name]])


def moment(
    boat: str = "Sedge",
    states: dict[int, float] | None = None,
    parts: dict[str, Any] | None = None,
    **settings: float,
) -> Moment:
    """A boat with steam up, a fire in her, and something in every stock; other than that as given."""
    day = days()[boat]
    parameters = plant_parameters(day.boat)._replace(**(parts or {}))
    begun = replace(initial_state(day), boiler_temperature=430.0, boiler_air=False)
    plant = SteamPlant(parameters, begun)
    state = plant.marcher.state
    fire, exhaust, burner = parameters.fire, parameters.exhaust, parameters.burner
    state[y.BOILER_AIR] += 1e-4
    state[y.BOILER_SOLIDS], state[y.BOILER_OIL] = 0.05, 0.004
    state[y.STEAM_UNDER_SURFACE] = 1e-3
    if fire.grate_area > 0.0:
        state[y.GREEN_MOISTURE : y.ASH + 1] = (0.2, 0.6, 2e7, 1.2, 600.0, 0.002, 0.004, 4.0, 0.012, 0.5)
    state[y.FIRE_ENERGY] = (fire.furnace_heat_capacity + 1100.0 * 4.5) * 850.0
    state[y.CHIMNEY_TEMPERATURE] = 560.0
    if burner.fuel_rate > 0.0:
        state[y.TANK_FUEL] = 0.5 * burner.tank_volume * burner.fuel_density
        state[y.TANK_AIR] = 3.0e5 * plant.tank_air_volume
        state[y.VAPORISER_TEMPERATURE] = 830.0
    state[y.ENGINE_ENERGY] = parameters.engine.metal_heat_capacity * 95.0
    state[y.CYLINDER_WATER] = 0.03
    state[y.BOAT_SPEED] = 2.0
    state[y.CONDENSER_ENERGY] = exhaust.condenser_heat_capacity * 35.0
    state[y.CONDENSATE_HELD], state[y.CONDENSATE_ENERGY] = 0.4, 0.4 * WATER_HEAT * 70.0
    state[y.SEPARATOR_MASS] = exhaust.separator_hold_up + 0.5
    state[y.SEPARATOR_ENERGY] = state[y.SEPARATOR_MASS] * WATER_HEAT * 60.0
    state[y.SEPARATOR_OIL] = 0.3 * exhaust.separator_cloth_capacity
    state[y.HOTWELL_MASS] = exhaust.hotwell_capacity + 0.05
    state[y.HOTWELL_ENERGY] = state[y.HOTWELL_MASS] * WATER_HEAT * 35.0
    state[y.HOTWELL_OIL], state[y.HOTWELL_SOLIDS] = 0.002, 0.004
    state[y.ENGINE_PUMP_WEAR], state[y.PUMPING_TIME] = 0.1, 200.0
    for place, value in (states or {}).items():
        state[place] = value
    plant.start_state = state.copy()
    plant.set(**{**BUSY, **settings})
    marcher, rate = plant.marcher, np.zeros(y.COUNT)
    reading = marcher.readings.copy()
    rates(marcher.time, state, marcher.plant, marcher.settings, rate, reading)
    return Moment(plant, state.copy(), rate, reading)


def flooded() -> Moment:
    """Sedge with her condenser full of its own condensate: no surface is left, and the exhaust is lost."""
    return moment(
        states={y.CONDENSATE_HELD: 2.0 * plant_parameters(days()["Sedge"].boat).exhaust.condensate_capacity}
    )


BOATS = (*sorted(days()), "flooded")


def named(boat: str) -> Moment:
    """The moment of one of `BOATS`."""
    return flooded() if boat == "flooded" else moment(boat)
