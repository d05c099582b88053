"""The whole plant's right-hand side: every flow worked out once, then added up vessel by vessel.

Each step below reads the state and the readings written before it, writes its own readings and the rates of
its own states. The order is chosen so that nothing is needed before it is known: boiler, engine and screw,
feed, exhaust and hot well, fire, and last the boiler's balance, to which all of them have contributed.
"""

from __future__ import annotations

import math

from numpy.typing import NDArray

from halfglass.plant import boiler as water_side
from halfglass.plant import reading as r
from halfglass.plant import state as y
from halfglass.plant.burner import fuel_flow, tank_pressure
from halfglass.plant.compile import kernel
from halfglass.plant.drive import WATER_DENSITY, reversing_margin, screw_at_engine, shaft_balance
from halfglass.plant.engine import engine_at_speed, friction_torque
from halfglass.plant.exhaust import condense, keel_conductance, settled_back_pressure
from halfglass.plant.feed import (
    WATER_HEAT,
    coil_heat,
    injector_flows,
    injector_hottest_water,
    suction_fraction,
    suction_margin,
    supply_fraction,
)
from halfglass.plant.fire import (
    AIR_HEAT,
    AIR_PER_CHAR,
    BED_HEAT,
    CARBON_MONOXIDE_HEAT_SHARE,
    CHAR_HEAT,
    GAS_HEAT,
    MOISTURE_HEAT,
    REFERENCE_TEMPERATURE,
    VOLATILE_AIR_PER_JOULE,
    air_flows,
    char_burning,
    gas_pass,
    ignition_rate,
    radiation,
    stack_draught,
)
from halfglass.plant.hull import water_resistance, wind_force
from halfglass.plant.orifice import choked_steam_flux, steam_flow, water_flow
from halfglass.plant.parameters import PlantParameters, Settings
from halfglass.plant.propeller import propeller_loads
from halfglass.plant.steam import equilibrium, equilibrium_rates, latent_heat, saturation, saturation_temperature

Vector = NDArray

ZERO_CELSIUS = 273.15
CYLINDER_WATER_ENTHALPY = 419.1e3
"""J/kg: water lying in the cylinder is counted at 100 °C."""
SPECIFIC_WATER_VOLUME = 1.0e-3
"""m³/kg of cold water, for pump work."""
PLATE_EXCESS = 10.0
"""K by which the plate is hotter than the boiler water (value from memory)."""


@kernel
def rates(
    time: float, state: Vector, plant: PlantParameters, settings: Settings, rate: Vector, reading: Vector
) -> None:
    """Rates of change of the whole plant and its readings at one moment.

    Parameters: time [s]; state [see state.py]; plant, settings [see parameters.py]; rate and reading are
    filled in. Everything in SI.
    """
    for place in range(len(rate)):
        rate[place] = 0.0
    boiler_now(state, plant, settings, reading)
    drive_now(state, plant, settings, rate, reading)
    services_now(state, plant, settings, rate, reading)
    feed_now(state, plant, settings, rate, reading)
    exhaust_now(state, plant, settings, rate, reading)
    fire_now(state, plant, settings, rate, reading)
    boiler_balance(state, plant, settings, rate, reading)
    reading[r.THROTTLE] = settings.throttle
    reading[r.REVERSING_GEAR] = settings.reversing_gear
    reading[r.DAMPER] = settings.damper
    reading[r.BYPASS] = settings.bypass
    reading[r.BURNER_RATE] = settings.burner_rate


@kernel
def boiler_now(state: Vector, plant: PlantParameters, settings: Settings, reading: Vector) -> None:
    """Pressure, temperature, level and glass from mass, energy and volume."""
    boiler = plant.boiler
    found = equilibrium(
        state[y.BOILER_MASS], state[y.BOILER_ENERGY], boiler.volume, boiler.metal_heat_capacity,
        state[y.BOILER_AIR], reading[r.STEAM_PRESSURE_ABSOLUTE],
    )  # fmt: skip
    temperature, v_liquid, v_vapour, _, _, h_liquid, h_vapour = saturation(found.steam_pressure_absolute)
    total = found.steam_pressure_absolute + found.air_pressure + found.hydraulic_pressure
    bubbles = min(max(state[y.STEAM_UNDER_SURFACE], 0.0), found.vapour_volume)
    under = found.liquid_volume + bubbles
    height = water_side.surface_height(boiler, under)
    void = bubbles / max(under, 1e-9)
    shown = water_side.glass_level(boiler, height, void, v_liquid, temperature, settings.air_temperature)
    reading[r.STEAM_PRESSURE_ABSOLUTE] = found.steam_pressure_absolute
    reading[r.BOILER_PRESSURE] = total - settings.atmosphere_absolute
    reading[r.BOILER_TEMPERATURE] = temperature
    reading[r.BOILER_WATER_MASS] = found.liquid_mass
    reading[r.VAPOUR_MASS] = found.vapour_mass
    reading[r.LIQUID_VOLUME] = v_liquid
    reading[r.VAPOUR_VOLUME] = v_vapour
    reading[r.LIQUID_ENTHALPY] = h_liquid
    reading[r.VAPOUR_ENTHALPY] = h_vapour
    reading[r.STEAM_SPACE] = boiler.volume - under
    reading[r.SURFACE_AREA] = water_side.surface_area(boiler, under)
    reading[r.WATER_LEVEL] = height - boiler.bottom_nut_height
    reading[r.SWELL] = height - water_side.surface_height(boiler, found.liquid_volume)
    reading[r.CROWN_COVER] = height - boiler.crown_height
    reading[r.GLASS_LEVEL] = shown
    reading[r.GLASS_FRACTION] = shown / (boiler.top_nut_height - boiler.bottom_nut_height)
    reading[r.BOILER_SOLIDS] = state[y.BOILER_SOLIDS] / max(found.liquid_mass, 1e-6) * 1e6


@kernel
def drive_now(
    state: Vector, plant: PlantParameters, settings: Settings, rate: Vector, reading: Vector
) -> None:
    """Engine, shaft, screw and hull."""
    engine = plant.engine
    pressure = max(reading[r.BOILER_PRESSURE] + settings.atmosphere_absolute, 1e3)
    volume = reading[r.VAPOUR_VOLUME]
    latent = reading[r.VAPOUR_ENTHALPY] - reading[r.LIQUID_ENTHALPY]
    back = state[y.BACK_PRESSURE]
    metal = ZERO_CELSIUS + state[y.ENGINE_ENERGY] / engine.metal_heat_capacity
    deficit = reading[r.BOILER_TEMPERATURE] - 15.0 - metal
    speed = 0.0 if settings.moored > 0.5 else state[y.BOAT_SPEED]
    shaft = shaft_balance(
        engine, plant.propeller, plant.feed, settings, pressure, volume, latent, back, deficit, speed,
        reading[r.SHAFT_SPEED],
    )  # fmt: skip
    torque, chest, flow, idle_share = engine_at_speed(
        engine, pressure, volume, latent, back, settings.throttle, settings.reversing_gear,
        settings.cylinder_drains, deficit, shaft,
    )  # fmt: skip
    thrust, screw = propeller_loads(plant.propeller, shaft, speed, WATER_DENSITY)
    thrust *= 1.0 - plant.propeller.thrust_deduction_fraction
    turn = 2.0 * math.pi * shaft
    reading[r.SHAFT_SPEED] = shaft
    reading[r.CHEST_PRESSURE] = chest - settings.atmosphere_absolute
    reading[r.BACK_PRESSURE] = back - settings.atmosphere_absolute
    reading[r.INDICATED_POWER] = torque * turn
    reading[r.SHAFT_POWER] = screw * turn
    reading[r.THRUST] = thrust
    lost = friction_torque(engine, shaft) + screw_at_engine(plant.propeller, screw, shaft) - screw
    reading[r.FRICTION_POWER] = lost * turn
    reading[r.FEED_PUMP_POWER] = torque * turn - lost * turn - screw * turn
    if shaft == 0.0 or abs(shaft) >= engine.highest_speed:
        reading[r.FEED_PUMP_POWER] = 0.0
    reading[r.REVERSING_MARGIN] = reversing_margin(
        engine, plant.propeller, pressure, volume, latent, back, speed
    )
    steam_balance_engine(state, plant, settings, rate, reading, flow, idle_share, chest, metal)
    move_boat(state, plant, settings, rate, reading, thrust)
    rate[y.TOTAL_INDICATED_WORK] = reading[r.INDICATED_POWER]
    rate[y.TOTAL_FRICTION_WORK] = reading[r.FRICTION_POWER]
    rate[y.TOTAL_SHAFT_WORK] = reading[r.SHAFT_POWER]
    rate[y.TOTAL_REVOLUTIONS] = abs(shaft)
    rate[y.TOTAL_OIL_USED] = engine.oil_per_revolution * abs(shaft) * (state[y.LUBRICATOR_OIL] > 0.0)
    rate[y.LUBRICATOR_OIL] = -rate[y.TOTAL_OIL_USED]


@kernel
def steam_balance_engine(
    state: Vector, plant: PlantParameters, settings: Settings, rate: Vector, reading: Vector,
    dry_flow: float, idle_share: float, chest: float, metal: float,
) -> None:  # fmt: skip
    """Where the steam that enters the engine goes: work, warming, drains, glands, cylinder water, exhaust."""
    engine = plant.engine
    room = water_side.steam_room_seconds(reading[r.STEAM_SPACE], dry_flow, reading[r.VAPOUR_VOLUME])
    oil_ppm = 0.0
    carry = water_side.carry_over_fraction(
        reading[r.WATER_LEVEL], plant.boiler.top_nut_height - plant.boiler.bottom_nut_height, room,
        reading[r.BOILER_SOLIDS], oil_ppm,
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
                   reading[r.VAPOUR_VOLUME] * reading[r.STEAM_PRESSURE_ABSOLUTE] / chest),
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
    rate[y.TOTAL_GLAND_STEAM] = gland
    rate[y.TOTAL_DRAINED] = reading[r.DRAIN_FLOW]
    rate[y.TOTAL_STEAM_LOST_HEAT] += (gland + drained_steam) * enthalpy
    rate[y.TOTAL_WATER_LOST_HEAT] += drained_water * CYLINDER_WATER_ENTHALPY


@kernel
def move_boat(
    state: Vector, plant: PlantParameters, settings: Settings, rate: Vector, reading: Vector, thrust: float
) -> None:
    """Speed through the water and way made over the ground."""
    hull = plant.hull
    through = state[y.BOAT_SPEED]
    afloat = settings.moored <= 0.5
    ground = through + settings.stream if afloat else 0.0
    if afloat:
        force = thrust - water_resistance(hull, through, settings.hull_fouling)
        force -= wind_force(hull, ground, settings.headwind)
        rate[y.BOAT_SPEED] = force / (hull.displaced_mass * (1.0 + hull.added_mass_fraction))
    else:
        rate[y.BOAT_SPEED] = -through / 2.0
    rate[y.DISTANCE] = ground
    rate[y.TOTAL_PROPULSIVE_WORK] = thrust * through * afloat
    reading[r.BOAT_SPEED] = through
    reading[r.GROUND_SPEED] = ground
    reading[r.DISTANCE] = state[y.DISTANCE]


@kernel
def services_now(
    state: Vector, plant: PlantParameters, settings: Settings, rate: Vector, reading: Vector
) -> None:
    """Safety valves, whistle, blower, heating steam, vent and blow-down."""
    boiler, valves = plant.boiler, plant.valves
    atmosphere = settings.atmosphere_absolute
    gauge = reading[r.BOILER_PRESSURE]
    pressure = max(gauge + atmosphere, 1e3)
    volume = reading[r.VAPOUR_VOLUME]
    weep = settings.safety_valve_weep_fraction
    lift = valves.first_area * min(1.0, settings.first_safety_valve + weep)
    lift += valves.second_area * settings.second_safety_valve
    safety = steam_flow(lift * valves.discharge_coefficient, pressure, atmosphere, volume)
    area = settings.whistle_area + settings.heating_steam_area + plant.fire.blower_area * settings.blower
    service = steam_flow(area, pressure, atmosphere, volume)
    through_vent = steam_flow(boiler.vent_area * settings.vent, pressure, atmosphere, volume)
    blown = water_flow(boiler.blow_down_area * settings.blow_down, gauge, reading[r.LIQUID_VOLUME])
    blown *= supply_fraction(reading[r.BOILER_WATER_MASS])
    # air goes with whatever gas leaves the steam space, in proportion to its share there
    drawn = safety + service + through_vent + reading[r.STEAM_FLOW_BOILER_ENGINE]
    gas = reading[r.VAPOUR_MASS] + state[y.BOILER_AIR]
    air_share = min(1.0, max(0.0, state[y.BOILER_AIR] / gas))
    drawn_in = 0.0
    if gauge < 0.0 and settings.vent > 0.0:
        drawn_in = boiler.vent_area * settings.vent * math.sqrt(2.0 * 1.2 * -gauge)
    vent_steam = through_vent * (1.0 - air_share)
    reading[r.SAFETY_VALVE_FLOW] = safety
    reading[r.SERVICE_FLOW] = service
    reading[r.VENT_FLOW] = vent_steam
    reading[r.AIR_VENT_FLOW] = through_vent * air_share + (drawn - through_vent) * air_share - drawn_in
    reading[r.BLOW_DOWN_FLOW] = blown
    rate[y.TOTAL_SAFETY_VALVE_STEAM] = safety
    rate[y.TOTAL_SERVICE_STEAM] = service
    rate[y.TOTAL_VENTED] = vent_steam
    rate[y.TOTAL_BLOW_DOWN] = blown
    lost = (safety + service) * reading[r.STEAM_ENTHALPY] + vent_steam * reading[r.VAPOUR_ENTHALPY]
    lost += reading[r.AIR_VENT_FLOW] * 1005.0 * (reading[r.BOILER_TEMPERATURE] - ZERO_CELSIUS)
    rate[y.TOTAL_STEAM_LOST_HEAT] += lost
    rate[y.TOTAL_WATER_LOST_HEAT] += blown * reading[r.LIQUID_ENTHALPY]


@kernel
def feed_now(
    state: Vector, plant: PlantParameters, settings: Settings, rate: Vector, reading: Vector
) -> None:
    """Every way water gets into the boiler, and back through a leaking check valve."""
    feed = plant.feed
    atmosphere = settings.atmosphere_absolute
    gauge = reading[r.BOILER_PRESSURE]
    pressure = max(gauge + atmosphere, 1e3)
    well = ZERO_CELSIUS + state[y.HOTWELL_ENERGY] / (max(state[y.HOTWELL_MASS], 1e-3) * WATER_HEAT)
    margin = suction_margin(well, feed.pump_suction_lift, atmosphere)
    supply = supply_fraction(state[y.HOTWELL_MASS])
    drawn_share = suction_fraction(margin) * supply * 1000.0
    turning = abs(reading[r.SHAFT_SPEED])
    pumped = feed.engine_pump_displacement * turning * feed.engine_pump_delivery_fraction * drawn_share
    pumped *= settings.engine_pump_health
    to_boiler = pumped * (1.0 - settings.bypass)
    stroke = feed.hand_pump_displacement * feed.hand_pump_delivery_fraction * settings.hand_pump_health
    hand_hot = stroke * settings.hand_pump_hotwell_rate * drawn_share
    hand_lake = stroke * settings.hand_pump_lake_rate * 1000.0
    lake_enthalpy = WATER_HEAT * (settings.lake_temperature - ZERO_CELSIUS)
    well_enthalpy = WATER_HEAT * (well - ZERO_CELSIUS)
    hot_source = feed.injector_from_hotwell > 0.5
    flux = choked_steam_flux(pressure, reading[r.VAPOUR_VOLUME])
    steam, lifted = injector_flows(feed, pressure, flux, settings.injector, supply if hot_source else 1.0)
    source_temperature = well if hot_source else settings.lake_temperature
    lifted_enthalpy = WATER_HEAT * (source_temperature - ZERO_CELSIUS)
    push = max(0.0, gauge) * SPECIFIC_WATER_VOLUME
    hand_work = (hand_hot + hand_lake) * push
    coil_feed = to_boiler + hand_hot + hand_lake
    coil_heat_in = (to_boiler + hand_hot) * well_enthalpy + hand_lake * lake_enthalpy
    coil_heat_in += hand_work + reading[r.FEED_PUMP_POWER]
    leak = water_flow(settings.check_valve_leak_area, gauge, reading[r.LIQUID_VOLUME])
    leak *= supply_fraction(reading[r.BOILER_WATER_MASS])
    reading[r.FEED_FLOW_ENGINE_PUMP] = to_boiler
    reading[r.BYPASS_FLOW] = pumped - to_boiler
    reading[r.FEED_FLOW_HAND_PUMP_HOTWELL] = hand_hot
    reading[r.FEED_FLOW_HAND_PUMP_LAKE] = hand_lake
    reading[r.FEED_FLOW_INJECTOR] = steam + lifted
    reading[r.INJECTOR_STEAM_FLOW] = steam
    reading[r.INJECTOR_WATER_FLOW] = lifted
    reading[r.INJECTOR_MARGIN] = injector_hottest_water(gauge) - source_temperature
    reading[r.SUCTION_MARGIN] = margin
    reading[r.CHECK_LEAK_FLOW] = leak
    reading[r.DRAWN_HOTWELL_FLOW] = to_boiler + hand_hot + lifted * hot_source
    reading[r.COIL_FEED_FLOW] = coil_feed
    reading[r.COIL_FEED_HEAT_RATE] = coil_heat_in
    reading[r.FEED_HEAT_RATE] = coil_heat_in + lifted * lifted_enthalpy + steam * reading[r.STEAM_ENTHALPY]
    reading[r.HOTWELL_MASS] = state[y.HOTWELL_MASS]
    reading[r.HOTWELL_TEMPERATURE] = well
    lake_water = hand_lake + settings.makeup_rate + (0.0 if hot_source else lifted)
    rate[y.TOTAL_FEED_ENGINE_PUMP] = to_boiler
    rate[y.TOTAL_FEED_HAND_PUMP_HOTWELL] = hand_hot
    rate[y.TOTAL_FEED_HAND_PUMP_LAKE] = hand_lake
    rate[y.TOTAL_FEED_INJECTOR] = lifted
    rate[y.TOTAL_INJECTOR_STEAM] = steam
    rate[y.TOTAL_LAKE_WATER] = lake_water
    rate[y.TOTAL_LAKE_WATER_HEAT] = lake_water * lake_enthalpy
    rate[y.TOTAL_FEED_PUMP_WORK] = reading[r.FEED_PUMP_POWER]
    rate[y.TOTAL_HAND_WORK] = hand_work
    rate[y.TOTAL_STROKES_HOTWELL] = settings.hand_pump_hotwell_rate
    rate[y.TOTAL_STROKES_LAKE] = settings.hand_pump_lake_rate
    rate[y.HOTWELL_MASS] = settings.makeup_rate + leak - reading[r.DRAWN_HOTWELL_FLOW]
    rate[y.HOTWELL_ENERGY] = (
        settings.makeup_rate * lake_enthalpy
        + leak * reading[r.LIQUID_ENTHALPY]
        - reading[r.DRAWN_HOTWELL_FLOW] * well_enthalpy
    )
    solids = feed.lake_solids_fraction * (lake_water - settings.makeup_rate)
    rate[y.BOILER_SOLIDS] = solids


@kernel
def exhaust_now(
    state: Vector, plant: PlantParameters, settings: Settings, rate: Vector, reading: Vector
) -> None:
    """Feed coil, condenser, separator and hot well."""
    exhaust = plant.exhaust
    flow, enthalpy = reading[r.EXHAUST_FLOW], reading[r.EXHAUST_ENTHALPY]
    back = state[y.BACK_PRESSURE]
    steam_temperature, _, _, _, _, liquid_enthalpy, vapour_enthalpy = saturation(back)
    metal = ZERO_CELSIUS + state[y.CONDENSER_ENERGY] / exhaust.condenser_heat_capacity
    coil_feed = reading[r.COIL_FEED_FLOW]
    entering = ZERO_CELSIUS + reading[r.COIL_FEED_HEAT_RATE] / max(coil_feed * WATER_HEAT, 1e-6)
    coil = coil_heat(exhaust.coil_conductance, steam_temperature, coil_feed, entering)
    keel = 0.0
    if exhaust.keel_conductance_moving > 0.0:
        keel = exhaust.steam_side_conductance * max(0.0, steam_temperature - metal)
    coldest = WATER_HEAT * (min(metal, steam_temperature) - ZERO_CELSIUS)
    condensed, heat, coil, keel = condense(flow, enthalpy, liquid_enthalpy, coldest, coil, keel)
    to_lake = keel_conductance(exhaust, state[y.BOAT_SPEED], settings.condenser_health)
    to_lake *= metal - settings.lake_temperature
    lost = flow - condensed
    reading[r.COIL_HEAT_RATE] = coil
    feed = reading[r.COIL_FEED_FLOW] + reading[r.FEED_FLOW_INJECTOR]
    reading[r.FEED_HEAT_RATE] += coil
    reading[r.FEED_TEMPERATURE] = settings.air_temperature
    if feed > 1e-9:
        reading[r.FEED_TEMPERATURE] = ZERO_CELSIUS + reading[r.FEED_HEAT_RATE] / (feed * WATER_HEAT)
    reading[r.CONDENSER_TEMPERATURE] = metal
    reading[r.CONDENSATE_FLOW] = condensed
    reading[r.EXHAUST_LOST_FLOW] = lost
    settled = settled_back_pressure(
        exhaust, flow, metal, vapour_enthalpy - liquid_enthalpy, reading[r.SHAFT_SPEED],
        settings.atmosphere_absolute,
    )  # fmt: skip
    rate[y.BACK_PRESSURE] = (settled - back) / exhaust.back_pressure_lag
    rate[y.CONDENSER_ENERGY] = keel - to_lake
    rate[y.TOTAL_CONDENSER_HEAT] = to_lake
    rate[y.TOTAL_EXHAUST_LOST] = lost
    rate[y.TOTAL_EXHAUST_LOST_HEAT] = flow * enthalpy - coil - keel - heat
    separator_and_hotwell(state, plant, settings, rate, reading, condensed, heat)


@kernel
def separator_and_hotwell(
    state: Vector, plant: PlantParameters, settings: Settings, rate: Vector, reading: Vector,
    condensed: float, condensate_heat: float,
) -> None:  # fmt: skip
    """Condensate through the oil separator into the hot well; overflow, leak and cooling."""
    exhaust = plant.exhaust
    held = max(state[y.SEPARATOR_MASS], 1e-6)
    passed = max(0.0, held - exhaust.separator_hold_up) / exhaust.separator_lag
    passed_heat = passed * state[y.SEPARATOR_ENERGY] / held
    well_mass = max(state[y.HOTWELL_MASS], 1e-3)
    well = reading[r.HOTWELL_TEMPERATURE]
    specific = state[y.HOTWELL_ENERGY] / well_mass
    overflow = max(0.0, state[y.HOTWELL_MASS] - exhaust.hotwell_capacity) / 2.0
    leak = settings.hotwell_leak_rate * supply_fraction(state[y.HOTWELL_MASS])
    loss = exhaust.hotwell_conductance * (well - settings.air_temperature)
    loss *= supply_fraction(state[y.HOTWELL_MASS])
    oil = rate[y.TOTAL_OIL_USED]
    rate[y.SEPARATOR_MASS] = condensed - passed
    rate[y.SEPARATOR_ENERGY] = condensate_heat - passed_heat
    rate[y.SEPARATOR_OIL] = oil * exhaust.separator_catch_fraction
    rate[y.HOTWELL_OIL] = oil * (1.0 - exhaust.separator_catch_fraction)
    rate[y.HOTWELL_MASS] += passed - overflow - leak
    rate[y.HOTWELL_ENERGY] += passed_heat - (overflow + leak) * specific - loss
    rate[y.TOTAL_OVERFLOW] = overflow + leak
    rate[y.TOTAL_HOTWELL_LOSS] = loss
    rate[y.TOTAL_WATER_LOST_HEAT] += (overflow + leak) * specific


@kernel
def fire_now(
    state: Vector, plant: PlantParameters, settings: Settings, rate: Vector, reading: Vector
) -> None:
    """Draught, bed or burner, furnace, tubes and chimney."""
    fire, boiler = plant.fire, plant.boiler
    char, ash = state[y.BURNING_CHAR], state[y.ASH]
    capacity = fire.furnace_heat_capacity + BED_HEAT * (char + ash)
    furnace = REFERENCE_TEMPERATURE + state[y.FIRE_ENERGY] / capacity
    grate = max(fire.grate_area, 1e-6)
    depth = (state[y.GREEN_VOLUME] + state[y.GREEN_CHAR_VOLUME] + state[y.CHAR_VOLUME]) / grate
    char_depth = state[y.CHAR_VOLUME] / grate
    air, atmosphere = settings.air_temperature, settings.atmosphere_absolute
    draught = stack_draught(fire.chimney_height, state[y.CHIMNEY_TEMPERATURE], air, atmosphere)
    draught += stack_draught(fire.furnace_rise, furnace, air, atmosphere)
    steam_share = min(1.0, max(0.0, reading[r.BOILER_PRESSURE] / 4.0e5))
    draught += fire.blower_pressure * settings.blower * steam_share
    blast = reading[r.EXHAUST_LOST_FLOW] * plant.exhaust.up_chimney
    draught += fire.blast_coefficient * blast * blast
    under, over = air_flows(
        fire, draught, settings.damper, settings.fire_door, depth, ash / 700.0 / grate, settings.clinker_fraction
    )
    if fire.grate_area <= 0.0:
        under = 0.0
    gone, released, unburnt, gas, moisture_heat = burn(state, plant, rate, furnace, char_depth, under, over)
    oil, oil_air, tank_gauge = burn_oil(state, plant, settings, rate)
    released += oil * plant.burner.net_heat * plant.burner.burnt_fraction
    unburnt += oil * plant.burner.net_heat * (1.0 - plant.burner.burnt_fraction)
    gas += oil + oil_air
    plate = reading[r.BOILER_TEMPERATURE] + PLATE_EXCESS
    height = reading[r.WATER_LEVEL] + boiler.bottom_nut_height
    covered = water_side.covered_fraction(boiler, height)
    radiant = radiation(boiler.radiant_area, fire.emissivity, furnace, plate)
    flue = gas_pass(boiler, gas, furnace, plate, covered)
    convected = gas * GAS_HEAT * (furnace - flue)
    loss = fire.furnace_loss_conductance * (furnace - air)
    flue_heat = gas * GAS_HEAT * (flue - REFERENCE_TEMPERATURE) + moisture_heat
    air_heat = (under + over + oil_air) * AIR_HEAT * (air - REFERENCE_TEMPERATURE)
    rate[y.FIRE_ENERGY] = (
        released + air_heat - moisture_heat - gas * GAS_HEAT * (furnace - REFERENCE_TEMPERATURE) - radiant - loss
    )
    settled = flue if gas > 1e-6 else air
    rate[y.CHIMNEY_TEMPERATURE] = (settled - state[y.CHIMNEY_TEMPERATURE]) / fire.chimney_lag
    reading[r.FIRE_TEMPERATURE] = furnace
    reading[r.BED_DEPTH] = depth if fire.grate_area > 0.0 else 0.0
    reading[r.BED_FUEL_MASS] = char + state[y.GREEN_CHAR] + state[y.GREEN_VOLATILE] + state[y.GREEN_MOISTURE]
    reading[r.BURNING_RATE] = gone + oil
    reading[r.HEAT_RELEASE_RATE] = released
    reading[r.HEAT_TO_BOILER_RATE] = radiant + convected
    reading[r.FLUE_TEMPERATURE] = flue
    reading[r.DRAUGHT] = draught
    reading[r.AIR_FLOW] = under + over + oil_air
    reading[r.FUEL_ON_BOARD] = state[y.BUNKER_FUEL] + state[y.TANK_FUEL]
    reading[r.BURNER_TANK_PRESSURE] = tank_gauge
    reading[r.VAPORISER_TEMPERATURE] = state[y.VAPORISER_TEMPERATURE]
    reading[r.UNBURNT_HEAT_RATE] = unburnt
    reading[r.FLUE_HEAT_RATE] = flue_heat
    reading[r.LUBRICATOR_OIL] = state[y.LUBRICATOR_OIL]
    rate[y.TOTAL_FIRE_HEAT] = released
    rate[y.TOTAL_UNBURNT_HEAT] = unburnt
    # air below or above the reference temperature brings its own heat; the flue total is net of it
    rate[y.TOTAL_FLUE_HEAT] = flue_heat - air_heat
    rate[y.TOTAL_FURNACE_LOSS] = loss
    rate[y.TOTAL_HEAT_TO_BOILER] = radiant + convected
    rate[y.TOTAL_FUEL_BURNT] = gone + oil


@kernel
def burn(
    state: Vector, plant: PlantParameters, rate: Vector, furnace: float, char_depth: float, under: float,
    over: float,
) -> tuple[float, float, float, float, float]:  # fmt: skip
    """The bed: green fuel dries, gives off its volatiles and becomes char; char burns on the air it gets.

    Returns: (kg/s gone to gas, W released, W unburnt, kg/s of gas with its air, W taken by moisture).
    """
    moisture, volatile, char = state[y.GREEN_MOISTURE], state[y.GREEN_VOLATILE], state[y.GREEN_CHAR]
    green = moisture + volatile + char
    share = ignition_rate(green, state[y.GREEN_LAG_MASS], furnace)
    # volatiles wait for the charge to dry
    dryness = 1.0 / (1.0 + 6.0 * moisture / max(volatile + char, 1e-9))
    freed = share * dryness
    volatile_heat = state[y.GREEN_VOLATILE_HEAT] * freed
    burnt, whole_heat, monoxide_heat = char_burning(state[y.BURNING_CHAR], char_depth, under, furnace, 0.0)
    spare = over + max(0.0, under - burnt * AIR_PER_CHAR)
    need = volatile_heat * VOLATILE_AIR_PER_JOULE
    mixed = 1.0 - math.exp(-1.6 * spare / (need + 1e-9))
    left = max(0.0, spare - need * mixed)
    monoxide_need = monoxide_heat / (CHAR_HEAT * CARBON_MONOXIDE_HEAT_SHARE) * AIR_PER_CHAR * 0.5
    monoxide_mixed = (1.0 - math.exp(-1.6 * left / (monoxide_need + 1e-9))) * 0.9
    released = whole_heat + monoxide_heat * monoxide_mixed + volatile_heat * mixed
    unburnt = monoxide_heat * (1.0 - monoxide_mixed) + volatile_heat * (1.0 - mixed)
    dried = share * moisture
    rate[y.GREEN_MOISTURE] = -dried
    rate[y.GREEN_VOLATILE] = -freed * volatile
    rate[y.GREEN_VOLATILE_HEAT] = -volatile_heat
    rate[y.GREEN_CHAR] = -freed * char
    rate[y.GREEN_LAG_MASS] = -freed * state[y.GREEN_LAG_MASS]
    rate[y.GREEN_VOLUME] = -freed * state[y.GREEN_VOLUME]
    rate[y.GREEN_CHAR_VOLUME] = -freed * state[y.GREEN_CHAR_VOLUME]
    rate[y.BURNING_CHAR] = freed * char - burnt
    rate[y.CHAR_VOLUME] = (
        freed * state[y.GREEN_CHAR_VOLUME]
        - burnt * state[y.CHAR_VOLUME] / max(state[y.BURNING_CHAR], 1e-6)
    )
    gone = burnt + freed * volatile + dried
    return gone, released, unburnt, under + over + gone, dried * MOISTURE_HEAT


@kernel
def burn_oil(
    state: Vector, plant: PlantParameters, settings: Settings, rate: Vector
) -> tuple[float, float, float]:
    """The liquid burner. Returns: (kg/s of fuel, kg/s of its air, tank pressure above atmosphere [Pa])."""
    burner = plant.burner
    gauge = 0.0
    flow = 0.0
    if burner.fuel_rate > 0.0:
        gauge = tank_pressure(burner, state[y.TANK_FUEL], state[y.TANK_AIR]) - settings.atmosphere_absolute
        flow = fuel_flow(burner, settings.burner_rate, gauge, state[y.TANK_FUEL], state[y.VAPORISER_TEMPERATURE])
        target = settings.air_temperature
        if settings.burner_preheat > 0.0:
            target = 720.0
        if flow > 0.0:
            target = 850.0
        rate[y.VAPORISER_TEMPERATURE] = (target - state[y.VAPORISER_TEMPERATURE]) / burner.vaporiser_lag
    rate[y.TANK_FUEL] = -flow
    return flow, flow * burner.air_ratio, gauge


@kernel
def boiler_balance(
    state: Vector, plant: PlantParameters, settings: Settings, rate: Vector, reading: Vector
) -> None:
    """Add up what enters and leaves the boiler; then boiling, and the bubbles it leaves under the surface."""
    boiler = plant.boiler
    casing = boiler.casing_conductance * (reading[r.BOILER_TEMPERATURE] - settings.air_temperature)
    fed = reading[r.COIL_FEED_FLOW] + reading[r.FEED_FLOW_INJECTOR]
    steam = (
        reading[r.STEAM_FLOW_BOILER_ENGINE]
        + reading[r.SAFETY_VALVE_FLOW]
        + reading[r.SERVICE_FLOW]
        + reading[r.INJECTOR_STEAM_FLOW]
    )
    water = reading[r.BLOW_DOWN_FLOW] + reading[r.CHECK_LEAK_FLOW]
    mass_rate = fed - steam - reading[r.VENT_FLOW] - water
    air_heat = reading[r.AIR_VENT_FLOW] * 1005.0 * (reading[r.BOILER_TEMPERATURE] - ZERO_CELSIUS)
    energy_rate = (
        reading[r.FEED_HEAT_RATE]
        + reading[r.HEAT_TO_BOILER_RATE]
        - casing
        - steam * reading[r.STEAM_ENTHALPY]
        - reading[r.VENT_FLOW] * reading[r.VAPOUR_ENTHALPY]
        - water * reading[r.LIQUID_ENTHALPY]
        - air_heat
    )
    _, vapour_rate = equilibrium_rates(
        state[y.BOILER_MASS], boiler.volume, boiler.metal_heat_capacity, state[y.BOILER_AIR],
        reading[r.STEAM_PRESSURE_ABSOLUTE], mass_rate, energy_rate,
    )  # fmt: skip
    carry = reading[r.CARRY_OVER_FRACTION]
    boiled = vapour_rate + steam * (1.0 - carry) + reading[r.VENT_FLOW]
    rise = water_side.bubble_rise_speed(
        reading[r.BOILER_TEMPERATURE], reading[r.LIQUID_VOLUME], reading[r.VAPOUR_VOLUME]
    )
    liquid = reading[r.BOILER_WATER_MASS] * reading[r.LIQUID_VOLUME]
    settled = water_side.settled_bubble_volume(
        boiler, liquid, reading[r.SURFACE_AREA], boiled, rise, reading[r.VAPOUR_VOLUME]
    )
    rise_time = boiler.rise_depth / rise
    solids_lost = (steam * carry + water) * reading[r.BOILER_SOLIDS] * 1e-6
    reading[r.EVAPORATION_RATE] = boiled
    rate[y.BOILER_MASS] = mass_rate
    rate[y.BOILER_ENERGY] = energy_rate
    rate[y.BOILER_AIR] = -reading[r.AIR_VENT_FLOW]
    rate[y.STEAM_UNDER_SURFACE] = (settled - state[y.STEAM_UNDER_SURFACE]) / max(rise_time, 1.0)
    rate[y.BOILER_SOLIDS] -= solids_lost
    rate[y.TOTAL_SOLIDS_OUT] = solids_lost
    rate[y.TOTAL_CASING_LOSS] = casing
