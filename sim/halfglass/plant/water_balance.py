"""Feed, exhaust, condenser, oil separator and hot well in the whole."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from halfglass.plant import reading as r
from halfglass.plant import state as y
from halfglass.plant.compile import kernel
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
from halfglass.plant.orifice import choked_steam_flux, water_flow
from halfglass.plant.parameters import PlantParameters, Settings
from halfglass.plant.steam import FREEZING, saturation

Vector = NDArray[np.float64]

SPECIFIC_WATER_VOLUME = 1.0e-3
"""m³/kg of cold water, for pump work."""


@kernel
def feed_now(
    state: Vector, plant: PlantParameters, settings: Settings, rate: Vector, reading: Vector
) -> None:
    """Every way water gets into the boiler, and back through a leaking check valve."""
    feed = plant.feed
    atmosphere = settings.atmosphere_absolute
    gauge = reading[r.BOILER_PRESSURE]
    pressure = max(gauge + atmosphere, 1e3)
    well = FREEZING + state[y.HOTWELL_ENERGY] / (max(state[y.HOTWELL_MASS], 1e-3) * WATER_HEAT)
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
    lake_enthalpy = WATER_HEAT * (settings.lake_temperature - FREEZING)
    well_enthalpy = WATER_HEAT * (well - FREEZING)
    hot_source = feed.injector_from_hotwell > 0.5
    flux = choked_steam_flux(pressure, reading[r.VAPOUR_VOLUME])
    steam, lifted = injector_flows(feed, pressure, flux, settings.injector, supply if hot_source else 1.0)
    source_temperature = well if hot_source else settings.lake_temperature
    lifted_enthalpy = WATER_HEAT * (source_temperature - FREEZING)
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
    rate[y.TOTAL_HOTWELL_DRAWN_HEAT] = reading[r.DRAWN_HOTWELL_FLOW] * well_enthalpy
    rate[y.TOTAL_CHECK_LEAK_HEAT] = leak * reading[r.LIQUID_ENTHALPY]
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
    metal = FREEZING + state[y.CONDENSER_ENERGY] / exhaust.condenser_heat_capacity
    coil_feed = reading[r.COIL_FEED_FLOW]
    entering = FREEZING + reading[r.COIL_FEED_HEAT_RATE] / max(coil_feed * WATER_HEAT, 1e-6)
    coil = coil_heat(exhaust.coil_conductance, steam_temperature, coil_feed, entering)
    keel = 0.0
    if exhaust.keel_conductance_moving > 0.0:
        keel = exhaust.steam_side_conductance * max(0.0, steam_temperature - metal)
    coldest = WATER_HEAT * (min(metal, steam_temperature) - FREEZING)
    condensed, heat, coil, keel = condense(flow, enthalpy, liquid_enthalpy, coldest, coil, keel)
    to_lake = keel_conductance(exhaust, state[y.BOAT_SPEED], settings.condenser_health)
    to_lake *= metal - settings.lake_temperature
    lost = flow - condensed
    reading[r.COIL_HEAT_RATE] = coil
    feed = reading[r.COIL_FEED_FLOW] + reading[r.FEED_FLOW_INJECTOR]
    reading[r.FEED_HEAT_RATE] += coil
    reading[r.FEED_TEMPERATURE] = settings.air_temperature
    if feed > 1e-9:
        reading[r.FEED_TEMPERATURE] = FREEZING + reading[r.FEED_HEAT_RATE] / (feed * WATER_HEAT)
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
    rate[y.TOTAL_COIL_HEAT] = coil
    rate[y.TOTAL_CONDENSATE_HEAT] = heat
    own_steam = reading[r.INJECTOR_STEAM_FLOW] * reading[r.STEAM_ENTHALPY]
    rate[y.TOTAL_FEED_HEAT] = reading[r.FEED_HEAT_RATE] - own_steam
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
