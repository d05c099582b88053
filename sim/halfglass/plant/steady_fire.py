"""A coal or wood fire in its steady state, worked out without marching through time."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from halfglass.plant.compile import to_record
from halfglass.plant.fire import (
    AIR_HEAT,
    AIR_PER_CHAR,
    CHAR_HEAT,
    MOISTURE_HEAT,
    REFERENCE_TEMPERATURE,
    VOLATILE_AIR_PER_JOULE,
    air_flows,
    burning_above,
    char_burning,
    gas_heat,
    gas_pass,
    radiation,
)
from halfglass.plant.fire_balance import PLATE_EXCESS
from halfglass.plant.parameters import FuelCharge, PlantParameters

THICK_FIRE = 1.0e3
"""kg of glowing char: enough that its mass never limits the burning."""
HOTTEST = 2300.0
HIGHEST_DRAUGHT = 2.0e3


class SteadyFire(NamedTuple):
    """What a fire does at a given draught, all in SI."""

    fuel_rate: float  # kg/s as fired, what falls through the grate included
    heat_to_boiler: float  # W
    radiant_heat: float  # W, the part of it by radiation
    fire_temperature: float  # K, mean of the furnace
    flue_temperature: float  # K, after the tubes
    air_flow: float  # kg/s
    excess_air_fraction: float  # air over what the fuel needs to burn wholly, less 1
    unburnt_heat: float  # W leaving as gas that did not burn
    furnace_loss: float  # W
    flue_heat: float  # W, warm gas and fuel moisture, above the reference temperature
    net_heat_fired: float  # W, net heat of all that is fired
    draught: float  # Pa

    @property
    def efficiency(self) -> float:
        """Heat to the boiler over the net heat fired."""
        return self.heat_to_boiler / self.net_heat_fired


def steady_fire(
    plant: PlantParameters,
    fuel: FuelCharge,
    draught: float,
    water_temperature: float,
    *,
    bed_depth: float = 0.10,
    char_depth: float | None = None,
    covered: float = 1.0,
    damper: float = 1.0,
    fire_door: float = 0.0,
    ash_depth: float = 0.0,
    clinker: float = 0.0,
    air_temperature: float = REFERENCE_TEMPERATURE,
) -> SteadyFire:
    """The fire at one draught, fired little and often so that the bed keeps its depth.

    Parameters: plant [a boat with a grate]; fuel [what a charge of it is made of]; draught, of chimney,
    blower and blast together [Pa, > 0]; water_temperature, in the boiler [K]; bed_depth, ash_depth [m];
    char_depth, of the glowing part of the bed [m; left out: all of it]; covered [0-1 share of the tube
    surface with water behind]; damper, fire_door, clinker [0-1]; air_temperature [K].
    Notes: the equations of `fire.py`; fuel is fired as fast as its char burns, and the furnace temperature is
    that at which heat set free is heat radiated, carried off and lost (bisection; they balance to 0.01 K).
    """
    fire, boiler = to_record(plant.fire), to_record(plant.boiler)
    under, over = air_flows(fire, draught, damper, fire_door, bed_depth, ash_depth, clinker)
    plate = water_temperature + PLATE_EXCESS
    glowing = bed_depth if char_depth is None else char_depth

    def at(furnace: float) -> tuple[float, SteadyFire]:
        burnt, used, in_bed, monoxide = char_burning(THICK_FIRE, glowing, under, furnace)
        fired = burnt / fuel.char  # charges a second
        volatile = fired * fuel.volatile_heat
        above = burning_above(volatile, monoxide, over + under - used)
        moisture = fired * fuel.moisture * MOISTURE_HEAT
        gas = under + over + fired * (fuel.moisture + fuel.volatile + fuel.char)
        flue = gas_pass(boiler, gas, furnace, plate, covered)
        radiant = radiation(boiler.radiant_area, fire.emissivity, furnace, plate)
        convected = gas * (gas_heat(furnace) - gas_heat(flue))
        loss = fire.furnace_loss_conductance * (furnace - air_temperature)
        air_heat = (under + over) * AIR_HEAT * (air_temperature - REFERENCE_TEMPERATURE)
        flue_heat = gas * gas_heat(flue) + moisture - air_heat
        whole = fired * ((fuel.char + fuel.riddled) * CHAR_HEAT + fuel.volatile_heat)
        need = fired * (fuel.char * AIR_PER_CHAR + fuel.volatile_heat * VOLATILE_AIR_PER_JOULE)
        found = SteadyFire(
            fuel_rate=fired * fuel.mass,
            heat_to_boiler=radiant + convected,
            radiant_heat=radiant,
            fire_temperature=furnace,
            flue_temperature=flue,
            air_flow=under + over,
            excess_air_fraction=(under + over) / need - 1.0 if need > 0.0 else float("inf"),
            unburnt_heat=volatile + monoxide - above,
            furnace_loss=loss,
            flue_heat=flue_heat,
            net_heat_fired=whole - moisture,
            draught=draught,
        )
        return in_bed + above - radiant - convected - loss - flue_heat, found

    furnace = _root(lambda temperature: at(temperature)[0], HOTTEST, air_temperature + 1.0)
    return at(furnace)[1]


def steady_fire_at_rate(
    plant: PlantParameters,
    fuel: FuelCharge,
    fuel_rate: float,
    water_temperature: float,
    *,
    bed_depth: float = 0.10,
    damper: float = 1.0,
) -> SteadyFire:
    """The fire at one rate of firing, the draught being what that takes.

    Parameters: fuel_rate [kg/s as fired, > 0]; the rest as for `steady_fire`.
    """

    def short(draught: float) -> float:
        found = steady_fire(plant, fuel, draught, water_temperature, bed_depth=bed_depth, damper=damper)
        return found.fuel_rate - fuel_rate

    if short(HIGHEST_DRAUGHT) < 0.0:
        raise ValueError(
            f"no draught up to {HIGHEST_DRAUGHT:.0f} Pa burns {fuel_rate:.4f} kg/s on this grate"
        )
    draught = _root(short, 1e-3, HIGHEST_DRAUGHT)
    return steady_fire(plant, fuel, draught, water_temperature, bed_depth=bed_depth, damper=damper)


def _root(of: Callable[[float], float], negative: float, positive: float) -> float:
    """Where a function changes sign, between a place where it is negative and one where it is positive."""
    for _ in range(60):
        middle = 0.5 * (negative + positive)
        if of(middle) > 0.0:
            positive = middle
        else:
            negative = middle
    return 0.5 * (negative + positive)
