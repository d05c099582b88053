"""The plant as the day handles it: settings, things to do to it, readings, and its ledger."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from halfglass.plant import reading as r
from halfglass.plant import state as y
from halfglass.plant.assembly import rates
from halfglass.plant.burner import tank_air_volume
from halfglass.plant.compile import to_box, to_record
from halfglass.plant.engine import is_dead_centre
from halfglass.plant.engine_balance import CYLINDER_WATER_ENTHALPY
from halfglass.plant.feed import WATER_HEAT
from halfglass.plant.fire import BED_HEAT, CHAR_HEAT, REFERENCE_TEMPERATURE
from halfglass.plant.marcher import Marcher, march_for
from halfglass.plant.parameters import FuelCharge, InitialState, PlantParameters
from halfglass.plant.steam import (
    AIR_GAS_CONSTANT,
    AIR_HEAT_CAPACITY,
    FREEZING,
    saturation,
    saturation_pressure,
)

AT_REST = 1e-3
"""rev/s below which the engine stands still."""
RECORD_EVERY = 10.0
"""s between rows of the timeline; crossings and changes add rows of their own."""

_TOLERANCE = {
    y.BOILER_MASS: 1e-4, y.BOILER_ENERGY: 50.0, y.BOILER_AIR: 1e-6, y.STEAM_UNDER_SURFACE: 1e-6,
    y.GREEN_MOISTURE: 1e-4, y.GREEN_VOLATILE: 1e-4, y.GREEN_CHAR: 1e-4, y.BURNING_CHAR: 1e-4,
    y.FIRE_ENERGY: 200.0, y.CHIMNEY_TEMPERATURE: 0.05, y.VAPORISER_TEMPERATURE: 0.1,
    y.ENGINE_ENERGY: 50.0, y.CYLINDER_WATER: 1e-4, y.BOAT_SPEED: 1e-4, y.CONDENSER_ENERGY: 50.0,
    y.BACK_PRESSURE: 20.0, y.SEPARATOR_MASS: 1e-3, y.HOTWELL_MASS: 1e-3, y.HOTWELL_ENERGY: 200.0,
    y.CONDENSATE_HELD: 1e-3, y.CONDENSATE_ENERGY: 500.0,
}  # fmt: skip
"""Absolute tolerances of the states that steer the step; totals follow the same steps uncontrolled."""

Sides = dict[Literal["in", "out", "kept"], dict[str, float]]

_march = march_for(rates, "day")


class SteamPlant:
    """One boat's plant in time. Only `set` and the doing words change it from outside.

    Parameters: parameters; initial; tolerance_factor (1: production), step_cap [s]: for studies of accuracy.
    """

    def __init__(
        self,
        parameters: PlantParameters,
        initial: InitialState,
        *,
        tolerance_factor: float = 1.0,
        step_cap: float = 2.5,
        record_every: float = RECORD_EVERY,
    ) -> None:
        self.parameters = parameters
        self.controls = replace(initial.settings)
        start = initial_state(parameters, initial)
        tolerance = np.full(y.COUNT, math.inf)
        for place, value in _TOLERANCE.items():
            tolerance[place] = value * tolerance_factor
        settings = to_box(self.controls)
        self._settings = self.controls if settings[0] is self.controls else settings.view(np.recarray)[0]
        self.marcher = Marcher(
            _march, start, boxes(parameters), settings, r.NAMES, tolerance,
            relative_tolerance=1e-5 * tolerance_factor, step_cap=step_cap, record_every=record_every,
            state_names=y.NAMES,
        )  # fmt: skip
        self.start_state: NDArray[np.float64] = start.copy()
        self.heat_put_on = 0.0  # J of chemical heat and kindling given to the bed
        self.ash_heat_removed = 0.0  # J
        self.tank_fuel_taken = 0.0  # kg
        self.oil_let_in = 0.0  # kg, that did not come through the lubricator

    @property
    def time(self) -> float:
        """Seconds since the start."""
        return self.marcher.time

    def reading(self, name: str) -> float:
        """A reading by name, SI."""
        return float(self.marcher.readings[r.INDEX[name]])

    def state(self, name: str) -> float:
        """A state by name, SI."""
        return float(self.marcher.state[y.INDEX[name]])

    def set(self, **changes: float) -> tuple[int, ...]:
        """Move controls; returns the guards the change itself took over their thresholds."""
        starting = changes.get("throttle", 0.0) > 0.0 and self.controls.throttle <= 0.0
        if starting and self.is_on_dead_centre:
            changes["on_dead_centre"] = 1.0
        if all(getattr(self.controls, name) == value for name, value in changes.items()):
            return ()
        for name, value in changes.items():
            setattr(self.controls, name, float(value))
            if self._settings is not self.controls:
                setattr(self._settings, name, float(value))
        return self.marcher.changed()

    def put_on(self, charge: FuelCharge) -> tuple[int, ...]:
        """Throw one charge on the fire (from the bunker; less if it holds less)."""
        state = self.marcher.state
        share = min(1.0, max(0.0, state[y.BUNKER_FUEL]) / charge.mass)
        state[y.BUNKER_FUEL] -= charge.mass * share
        state[y.GREEN_MOISTURE] += charge.moisture * share
        state[y.GREEN_VOLATILE] += charge.volatile * share
        state[y.GREEN_VOLATILE_HEAT] += charge.volatile_heat * share
        state[y.GREEN_CHAR] += charge.char * share
        green = charge.moisture + charge.volatile + charge.char
        state[y.GREEN_LAG_MASS] += green * charge.ignition_lag * share
        state[y.GREEN_VOLUME] += max(0.0, charge.green_volume - charge.char_volume) * share
        state[y.GREEN_CHAR_VOLUME] += charge.char_volume * share
        state[y.ASH] += charge.ash * share
        # cold ash takes its part of the bed's capacity, not of its heat: FIRE_ENERGY stays
        riddled = charge.riddled * CHAR_HEAT * share
        self.heat_put_on += (charge.volatile_heat + charge.char * CHAR_HEAT) * share + riddled
        self.ash_heat_removed += riddled
        return self.marcher.changed()

    def light(self, charge: FuelCharge, kindling: FuelCharge, lit_temperature: float) -> tuple[int, ...]:
        """Light up: a first charge from the bunker on kindling that is already burning.

        Parameters: charge; kindling, from ashore and not from the bunker, half of its char alight at once;
        lit_temperature [K] to which paper, rag and the first sticks have brought bars and bed.
        """
        state = self.marcher.state
        state[y.BUNKER_FUEL] += kindling.mass
        self.put_on(kindling)
        lit = 0.5
        for green, burning in ((y.GREEN_CHAR, y.BURNING_CHAR), (y.GREEN_CHAR_VOLUME, y.CHAR_VOLUME)):
            state[burning] += state[green] * lit
            state[green] *= 1.0 - lit
        self.put_on(charge)
        capacity = self.parameters.fire.furnace_heat_capacity + BED_HEAT * (
            state[y.BURNING_CHAR] + state[y.ASH]
        )
        lighting_heat = max(0.0, capacity * (lit_temperature - REFERENCE_TEMPERATURE) - state[y.FIRE_ENERGY])
        state[y.FIRE_ENERGY] += lighting_heat
        state[y.CHIMNEY_TEMPERATURE] = max(state[y.CHIMNEY_TEMPERATURE], 340.0)
        self.heat_put_on += lighting_heat
        return self.marcher.changed()

    def clean_grate(self, share: float) -> tuple[int, ...]:
        """Rake out a share [0-1] of the ash, with the heat in it."""
        state = self.marcher.state
        gone = state[y.ASH] * share
        capacity = self.parameters.fire.furnace_heat_capacity + BED_HEAT * (
            state[y.BURNING_CHAR] + state[y.ASH]
        )
        heat = state[y.FIRE_ENERGY] * BED_HEAT * gone / capacity
        state[y.ASH] -= gone
        state[y.FIRE_ENERGY] -= heat
        self.ash_heat_removed += heat
        return self.marcher.changed()

    def draw_fire(self) -> tuple[int, ...]:
        """Take the fire out: the bed and what heat it holds leave the grate."""
        state = self.marcher.state
        chemical = bed_heat(state)
        capacity = self.parameters.fire.furnace_heat_capacity
        bed = BED_HEAT * (state[y.BURNING_CHAR] + state[y.ASH])
        heat = state[y.FIRE_ENERGY] * bed / (capacity + bed)
        for place in range(y.GREEN_MOISTURE, y.ASH + 1):
            state[place] = 0.0
        state[y.FIRE_ENERGY] -= heat
        self.ash_heat_removed += heat + chemical
        return self.marcher.changed()

    def take_fuel(self, mass: float) -> tuple[int, ...]:
        """Take fuel [kg] on: into the bunker, or into the tank as far as it holds, its air let out."""
        state, burner = self.marcher.state, self.parameters.burner
        if burner.fuel_rate <= 0.0:
            state[y.BUNKER_FUEL] += mass
        else:
            mass = min(mass, max(0.0, burner.tank_volume * burner.fuel_density - state[y.TANK_FUEL]))
            state[y.TANK_FUEL] += mass
            self.tank_fuel_taken += mass
            state[y.TANK_AIR] = self.controls.atmosphere_absolute * self.tank_air_volume
        state[y.TOTAL_FUEL_TAKEN] += mass
        return self.marcher.changed()

    @property
    def tank_air_volume(self) -> float:
        """Room above the fuel in the burner's tank [m³]."""
        return float(tank_air_volume(to_record(self.parameters.burner), self.marcher.state[y.TANK_FUEL]))

    def foul_with_oil(self, mass: float) -> tuple[int, ...]:
        """Oil [kg] that got into the boiler from somewhere."""
        self.marcher.state[y.BOILER_OIL] += mass
        self.oil_let_in += mass
        return self.marcher.changed()

    def pump_tank_air(self, pressure: float) -> tuple[int, ...]:
        """Pump the burner tank's air up to a pressure [Pa above atmosphere]."""
        absolute = pressure + self.controls.atmosphere_absolute
        self.marcher.state[y.TANK_AIR] = absolute * self.tank_air_volume
        return self.marcher.changed()

    @property
    def is_on_dead_centre(self) -> bool:
        """Whether the engine stands still where steam cannot start it."""
        dead = is_dead_centre(self.parameters.engine.dead_angle, self.marcher.state[y.CRANK_TURNS])
        return bool(dead) and abs(self.reading("shaft_speed")) < AT_REST

    def bar_over(self) -> tuple[int, ...]:
        """Turn the engine a quarter by hand, off its dead centre."""
        self.marcher.state[y.CRANK_TURNS] += 0.25
        return self.set(on_dead_centre=0.0)

    def change_cloth(self) -> tuple[int, ...]:
        """Put a clean cloth into the oil separator."""
        state = self.marcher.state
        state[y.TOTAL_OIL_OUT] += state[y.SEPARATOR_OIL]
        state[y.SEPARATOR_OIL] = 0.0
        return self.marcher.changed()

    def make_up_hotwell(self, mass: float) -> tuple[int, ...]:
        """Bale lake water [kg] into the hot well."""
        state = self.marcher.state
        heat = mass * WATER_HEAT * (self.controls.lake_temperature - FREEZING)
        state[y.HOTWELL_MASS] += mass
        state[y.HOTWELL_ENERGY] += heat
        state[y.TOTAL_LAKE_WATER] += mass
        state[y.TOTAL_LAKE_WATER_HEAT] += heat
        state[y.HOTWELL_SOLIDS] += mass * self.parameters.feed.lake_solids_fraction
        return self.marcher.changed()

    def refill_lubricator(self) -> tuple[int, ...]:
        """Fill the lubricator."""
        self.marcher.state[y.LUBRICATOR_OIL] = self.parameters.engine.lubricator_capacity
        return self.marcher.changed()

    def mass_sides(self) -> Sides:
        """Water and steam [kg]: in, out, kept. By construction in - out - kept is rounding only."""
        end = self.marcher.state
        gain = end - self.start_state
        return {
            "in": {"lake water taken": gain[y.TOTAL_LAKE_WATER]},
            "out": {
                "safety valves": gain[y.TOTAL_SAFETY_VALVE_STEAM],
                "whistle, blower, heating": gain[y.TOTAL_SERVICE_STEAM],
                "glands": gain[y.TOTAL_GLAND_STEAM],
                "exhaust not condensed": gain[y.TOTAL_EXHAUST_LOST],
                "cylinder drains": gain[y.TOTAL_DRAINED],
                "hot well overflow and leaks": gain[y.TOTAL_OVERFLOW],
                "blow-down": gain[y.TOTAL_BLOW_DOWN],
                "vent": gain[y.TOTAL_VENTED],
            },
            "kept": {
                "boiler": gain[y.BOILER_MASS],
                "cylinders": gain[y.CYLINDER_WATER],
                "condenser": gain[y.CONDENSATE_HELD],
                "oil separator": gain[y.SEPARATOR_MASS],
                "hot well": gain[y.HOTWELL_MASS],
            },
        }

    def energy_sides(self) -> Sides:
        """Heat and work [J]: in, out, kept. By construction in - out - kept is rounding only."""
        end = self.marcher.state
        gain = end - self.start_state
        oil_heat = (self.tank_fuel_taken - gain[y.TANK_FUEL]) * self.parameters.burner.net_heat
        return {
            "in": {
                "fuel and kindling put on": self.heat_put_on,
                "burner fuel": oil_heat,
                "lake water taken": gain[y.TOTAL_LAKE_WATER_HEAT],
                "work of the hand pumps": gain[y.TOTAL_HAND_WORK],
            },
            "out": {
                "unburnt gas": gain[y.TOTAL_UNBURNT_HEAT],
                "flue": gain[y.TOTAL_FLUE_HEAT],
                "furnace and ash-pit": gain[y.TOTAL_FURNACE_LOSS],
                "ash, riddlings and fire drawn": self.ash_heat_removed,
                "boiler casing": gain[y.TOTAL_CASING_LOSS],
                "engine casing": gain[y.TOTAL_ENGINE_LOSS],
                "engine work on screw and friction": gain[y.TOTAL_INDICATED_WORK]
                - gain[y.TOTAL_FEED_PUMP_WORK],
                "condenser to the lake": gain[y.TOTAL_CONDENSER_HEAT],
                "exhaust not condensed": gain[y.TOTAL_EXHAUST_LOST_HEAT],
                "steam lost elsewhere": gain[y.TOTAL_STEAM_LOST_HEAT],
                "water lost": gain[y.TOTAL_WATER_LOST_HEAT],
                "hot well cooling": gain[y.TOTAL_HOTWELL_LOSS],
            },
            "kept": {
                "boiler": gain[y.BOILER_ENERGY],
                "fire, heat": gain[y.FIRE_ENERGY],
                "fire, unburnt fuel": bed_heat(end) - bed_heat(self.start_state),
                "engine metal": gain[y.ENGINE_ENERGY],
                "cylinder water": gain[y.CYLINDER_WATER] * CYLINDER_WATER_ENTHALPY,
                "condenser metal": gain[y.CONDENSER_ENERGY],
                "condensate in the condenser": gain[y.CONDENSATE_ENERGY],
                "oil separator": gain[y.SEPARATOR_ENERGY],
                "hot well": gain[y.HOTWELL_ENERGY],
            },
        }


def bed_heat(state: NDArray[np.float64]) -> float:
    """Chemical heat left in the bed [J]."""
    char = state[y.GREEN_CHAR] + state[y.BURNING_CHAR]
    return float(state[y.GREEN_VOLATILE_HEAT] + char * CHAR_HEAT)


def boxes(parameters: PlantParameters) -> PlantParameters:
    """The parameters as `rates` takes them.

    Parameters: parameters [SI]. Returns: the same, each component in a box of one (`compile.to_box`).
    """
    return PlantParameters._make(to_box(component) for component in parameters)


def records(parameters: PlantParameters) -> PlantParameters:
    """The parameters as the kernels read them (numpy records, or the dataclasses in plain mode)."""
    return PlantParameters(*(to_record(component) for component in parameters))


def initial_state(parameters: PlantParameters, initial: InitialState) -> NDArray[np.float64]:
    """The state vector before lighting up: boiler filled, everything at rest."""
    state = np.zeros(y.COUNT)
    boiler, settings = parameters.boiler, initial.settings
    air = settings.air_temperature
    temperature = initial.boiler_temperature
    pressure = saturation_pressure(temperature)
    _, v_liquid, v_vapour, u_liquid, u_vapour, _, _ = saturation(pressure)
    liquid = initial.boiler_liquid_volume / v_liquid
    space = boiler.volume - initial.boiler_liquid_volume
    vapour = space / v_vapour
    state[y.BOILER_MASS] = liquid + vapour
    if initial.boiler_air:
        air_pressure = max(0.0, settings.atmosphere_absolute - pressure)
        state[y.BOILER_AIR] = air_pressure * space / (AIR_GAS_CONSTANT * temperature)
    metal = boiler.metal_heat_capacity + state[y.BOILER_AIR] * AIR_HEAT_CAPACITY
    state[y.BOILER_ENERGY] = liquid * u_liquid + vapour * u_vapour + metal * (temperature - FREEZING)
    state[y.CHIMNEY_TEMPERATURE] = air
    state[y.BUNKER_FUEL] = initial.fuel_mass
    state[y.TANK_FUEL] = initial.tank_fuel_mass
    if parameters.burner.fuel_rate > 0.0:
        volume = tank_air_volume(to_record(parameters.burner), initial.tank_fuel_mass)
        state[y.TANK_AIR] = (initial.tank_air_pressure + settings.atmosphere_absolute) * volume
    state[y.VAPORISER_TEMPERATURE] = air
    state[y.ENGINE_ENERGY] = parameters.engine.metal_heat_capacity * (air - FREEZING)
    state[y.LUBRICATOR_OIL] = parameters.engine.lubricator_capacity
    state[y.CONDENSER_ENERGY] = parameters.exhaust.condenser_heat_capacity * (
        settings.lake_temperature - FREEZING
    )
    state[y.BACK_PRESSURE] = settings.atmosphere_absolute
    state[y.SEPARATOR_MASS] = parameters.exhaust.separator_hold_up
    state[y.SEPARATOR_ENERGY] = state[y.SEPARATOR_MASS] * WATER_HEAT * (air - FREEZING)
    state[y.HOTWELL_MASS] = initial.hotwell_mass
    state[y.HOTWELL_ENERGY] = initial.hotwell_mass * WATER_HEAT * (air - FREEZING)
    state[y.HOTWELL_SOLIDS] = initial.hotwell_mass * parameters.feed.lake_solids_fraction
    state[y.BOILER_SOLIDS] = initial.boiler_solids_fraction * liquid
    state[y.SEPARATOR_OIL] = initial.separator_oil
    state[y.CRANK_TURNS] = initial.crank_turns
    return state
