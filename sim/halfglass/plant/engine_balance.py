"""Engine, shaft, screw and hull in the whole, and where the engine's steam goes."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from halfglass.plant import boiler as water_side
from halfglass.plant import reading as r
from halfglass.plant import state as y
from halfglass.plant.compile import kernel
from halfglass.plant.drive import WATER_DENSITY, Running, reversing_margin, screw_at_engine, shaft_balance
from halfglass.plant.engine import engine_at_speed, friction_torque, oil_use
from halfglass.plant.feed import (
    WATER_HEAT,
    engine_pump_delivery,
    suction_fraction,
    suction_margin,
    supply_fraction,
)
from halfglass.plant.hull import load_factor, water_resistance, wind_force
from halfglass.plant.orifice import steam_flow
from halfglass.plant.parameters import PlantParameters, Settings
from halfglass.plant.propeller import propeller_loads
from halfglass.plant.steam import FREEZING, latent_heat, saturation_temperature

Vector = NDArray[np.float64]

CYLINDER_WATER_ENTHALPY = 419.1e3
"""J/kg: water lying in the cylinder is counted at 100 °C."""


@kernel
def pump_share(state: Vector, plant: PlantParameters, settings: Settings) -> float:
    """Share of the engine pump's displacement that goes into the boiler against its pressure [0-1]."""
    feed = plant.feed
    well = FREEZING + state[y.HOTWELL_ENERGY] / (max(state[y.HOTWELL_MASS], 1e-3) * WATER_HEAT)
    margin = suction_margin(well, feed.pump_suction_lift, settings.atmosphere_absolute)
    drawn = suction_fraction(margin) * supply_fraction(state[y.HOTWELL_MASS])
    one_turn = engine_pump_delivery(feed, 1.0, settings.engine_pump_health, state[y.ENGINE_PUMP_WEAR])
    return drawn * (1.0 - settings.bypass) * one_turn / max(feed.engine_pump_displacement, 1e-12)


@kernel
def drive_now(
    state: Vector, plant: PlantParameters, settings: Settings, rate: Vector, reading: Vector
) -> None:
    """Engine, shaft, screw and hull.

    Notes: cylinder metal 15 K below the boiler's temperature counts as warm in finding the throttle's flow
    (judgement), since chest steam is cooler than the boiler's.
    """
    engine = plant.engine
    pressure = max(reading[r.BOILER_PRESSURE] + settings.atmosphere_absolute, 1e3)
    volume = reading[r.VAPOUR_VOLUME]
    latent = reading[r.VAPOUR_ENTHALPY] - reading[r.LIQUID_ENTHALPY]
    back = state[y.BACK_PRESSURE]
    metal = FREEZING + state[y.ENGINE_ENERGY] / engine.metal_heat_capacity
    deficit = reading[r.BOILER_TEMPERATURE] - 15.0 - metal
    speed = 0.0 if settings.moored > 0.5 else state[y.BOAT_SPEED]
    dryness = 1.0 - min(1.0, max(0.0, state[y.LUBRICATOR_OIL] / 1e-3))
    pumped_share = pump_share(state, plant, settings)
    now = Running(pressure, volume, latent, back, deficit, speed, dryness, pumped_share)
    shaft = shaft_balance(engine, plant.propeller, plant.feed, settings, now, reading[r.SHAFT_SPEED])
    torque, chest, flow, idle_share = engine_at_speed(
        engine, pressure, volume, latent, back, settings.throttle, settings.reversing_gear,
        settings.cylinder_drains, deficit, shaft,
    )  # fmt: skip
    torque *= 1.0 - settings.on_dead_centre
    thrust, screw = propeller_loads(plant.propeller, shaft, speed, WATER_DENSITY)
    thrust *= 1.0 - plant.propeller.thrust_deduction_fraction
    turn = 2.0 * math.pi * shaft
    reading[r.SHAFT_SPEED] = shaft
    reading[r.CHEST_PRESSURE] = chest - settings.atmosphere_absolute
    reading[r.BACK_PRESSURE] = back - settings.atmosphere_absolute
    reading[r.INDICATED_POWER] = torque * turn
    reading[r.SHAFT_POWER] = screw * turn
    reading[r.THRUST] = thrust
    lost = friction_torque(engine, shaft, dryness) + screw_at_engine(plant.propeller, screw, shaft) - screw
    reading[r.FRICTION_POWER] = lost * turn
    reading[r.FEED_PUMP_POWER] = torque * turn - lost * turn - screw * turn
    if shaft == 0.0 or abs(shaft) >= engine.highest_speed:
        reading[r.FEED_PUMP_POWER] = 0.0
    reading[r.REVERSING_MARGIN] = reversing_margin(engine, plant.propeller, now)
    reading[r.CRANK_TURNS] = state[y.CRANK_TURNS]
    steam_balance_engine(state, plant, settings, rate, reading, flow, idle_share, chest, metal)
    move_boat(state, plant, settings, rate, reading, thrust)
    rate[y.TOTAL_INDICATED_WORK] = reading[r.INDICATED_POWER]
    rate[y.TOTAL_FRICTION_WORK] = reading[r.FRICTION_POWER]
    rate[y.TOTAL_SHAFT_WORK] = reading[r.SHAFT_POWER]
    rate[y.TOTAL_REVOLUTIONS] = abs(shaft)
    rate[y.CRANK_TURNS] = shaft
    rate[y.TOTAL_OIL_USED] = oil_use(engine, shaft, reading[r.CHEST_PRESSURE], state[y.LUBRICATOR_OIL])
    rate[y.LUBRICATOR_OIL] = -rate[y.TOTAL_OIL_USED]


@kernel
def steam_balance_engine(
    state: Vector, plant: PlantParameters, settings: Settings, rate: Vector, reading: Vector,
    dry_flow: float, idle_share: float, chest: float, metal: float,
) -> None:  # fmt: skip
    """Where the steam that enters the engine goes: work, warming, drains, glands, cylinder water, exhaust.

    Notes: of the steam that does no work warming takes at most 0.65, drains at most 0.3; drains empty the
    cylinder in 4 s, the turning engine in 20 s or more; exhaust carries 0.3 to 3.2 MJ/kg and what is beyond
    stays in the metal (all judgement). The rest is conservation of mass and heat.
    """
    engine = plant.engine
    # the published rule is for steady draws; a toot and a safety valve's puff of a few seconds are none
    drawn = dry_flow + reading[r.SERVICE_FLOW] - reading[r.WHISTLE_FLOW] + reading[r.STEAM_TO_HOTWELL_FLOW]
    room = water_side.steam_room_seconds(reading[r.STEAM_SPACE], drawn, reading[r.VAPOUR_VOLUME])
    carry = water_side.carry_over_fraction(
        reading[r.WATER_LEVEL], plant.boiler.top_nut_height - plant.boiler.bottom_nut_height, room,
        reading[r.BOILER_SOLIDS], reading[r.BOILER_OIL],
    )  # fmt: skip
    flow = dry_flow / (1.0 - carry)
    enthalpy = (1.0 - carry) * reading[r.VAPOUR_ENTHALPY] + carry * reading[r.LIQUID_ENTHALPY]
    latent = latent_heat(chest)
    warming = engine.warming_conductance * max(0.0, saturation_temperature(chest) - metal)
    gland = flow * engine.gland_flow_fraction
    # warming and drains together never take more than the dry steam that does no work
    spare = flow * idle_share * (1.0 - carry - engine.gland_flow_fraction)
    warming = min(warming, 0.65 * spare * latent)
    drained_steam = min(
        0.3 * spare,
        steam_flow(engine.drain_area * settings.cylinder_drains, chest, settings.atmosphere_absolute,
                   reading[r.VAPOUR_VOLUME] * reading[r.STEAM_PRESSURE_ABSOLUTE] / max(chest, 1.0)),
    )  # fmt: skip
    water = state[y.CYLINDER_WATER]
    condensed = warming / latent + flow * carry
    drained_water = water / 4.0 * settings.cylinder_drains
    swept_water = water / 20.0 * min(1.0, abs(reading[r.SHAFT_SPEED]))
    exhaust = flow - gland - drained_steam - condensed + swept_water
    heat = (
        flow * enthalpy
        - reading[r.INDICATED_POWER]
        - warming
        - (gland + drained_steam) * enthalpy
        - (condensed - swept_water) * CYLINDER_WATER_ENTHALPY
    )
    # heat that no exhaust is there to carry (engine driven by the screw, warming through) stays in the metal
    carried = min(max(heat, exhaust * 0.3e6), exhaust * 3.2e6) if exhaust > 1e-9 else 0.0
    casing = engine.casing_conductance * (metal - settings.air_temperature)
    reading[r.STEAM_FLOW_BOILER_ENGINE] = flow
    reading[r.STEAM_ENTHALPY] = enthalpy
    reading[r.STEAM_ROOM] = room
    reading[r.CARRY_OVER_FRACTION] = carry
    reading[r.GLAND_FLOW] = gland
    reading[r.DRAIN_FLOW] = drained_steam + drained_water
    reading[r.EXHAUST_FLOW] = exhaust
    reading[r.EXHAUST_ENTHALPY] = carried / exhaust if exhaust > 1e-9 else 0.0
    reading[r.CYLINDER_TEMPERATURE] = metal
    reading[r.CYLINDER_WATER] = water
    reading[r.ENGINE_HEAT_DEFICIT] = saturation_temperature(chest) - metal
    rate[y.ENGINE_ENERGY] = warming + heat - carried - casing
    rate[y.CYLINDER_WATER] = condensed - drained_water - swept_water
    rate[y.TOTAL_ENGINE_LOSS] = casing
    rate[y.TOTAL_ENGINE_STEAM] = flow
    rate[y.TOTAL_ENGINE_STEAM_HEAT] = flow * enthalpy
    rate[y.TOTAL_EXHAUST_HEAT] = carried
    rate[y.TOTAL_GLAND_HEAT] = (gland + drained_steam) * enthalpy
    rate[y.TOTAL_DRAIN_HEAT] = drained_water * CYLINDER_WATER_ENTHALPY
    rate[y.TOTAL_GLAND_STEAM] = gland
    rate[y.TOTAL_DRAINED] = reading[r.DRAIN_FLOW]
    rate[y.TOTAL_STEAM_LOST_HEAT] += (gland + drained_steam) * enthalpy
    rate[y.TOTAL_WATER_LOST_HEAT] += drained_water * CYLINDER_WATER_ENTHALPY


@kernel
def move_boat(
    state: Vector, plant: PlantParameters, settings: Settings, rate: Vector, reading: Vector, thrust: float
) -> None:
    """Speed through the water and way made over the ground.

    Notes: Newton's law of motion with the added mass; a boat lightened keeps at least a tenth of her mass;
    made fast her way dies in 2 s (judgement).
    """
    hull = plant.hull
    through = state[y.BOAT_SPEED]
    afloat = settings.moored <= 0.5
    ground = through + settings.stream if afloat else 0.0
    if afloat:
        force = thrust - water_resistance(hull, through, settings.hull_fouling) * load_factor(
            hull, settings.load
        )
        force -= wind_force(hull, ground, settings.headwind)
        mass = max(hull.displaced_mass + settings.load, 0.1 * hull.displaced_mass)
        rate[y.BOAT_SPEED] = force / (mass * (1.0 + hull.added_mass_fraction))
    else:
        rate[y.BOAT_SPEED] = -through / 2.0
    rate[y.DISTANCE] = ground
    rate[y.TOTAL_PROPULSIVE_WORK] = thrust * through * afloat
    reading[r.BOAT_SPEED] = through
    reading[r.GROUND_SPEED] = ground
    reading[r.DISTANCE] = state[y.DISTANCE]
