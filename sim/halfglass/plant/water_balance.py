"""Feed, exhaust, condenser, oil separator and hot well in the whole."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from halfglass.plant import reading as r
from halfglass.plant import state as y
from halfglass.plant.compile import kernel
from halfglass.plant.exhaust import (
    condensate_drain_flow,
    condense,
    flooded_fraction,
    keel_conductance,
    separator_catch,
    settled_back_pressure,
)
from halfglass.plant.feed import (
    WATER_HEAT,
    coil_heat,
    engine_pump_delivery,
    hotwell_leak,
    injector_flows,
    injector_hottest_water,
    suction_fraction,
    suction_margin,
    supply_fraction,
)
from halfglass.plant.human_power import RECOVERY_TIME, hand_stroke_limit
from halfglass.plant.orifice import choked_steam_flux, water_flow
from halfglass.plant.parameters import PlantParameters, Settings
from halfglass.plant.steam import FREEZING, saturation

Vector = NDArray[np.float64]

SPECIFIC_WATER_VOLUME = 1.0e-3
"""m³/kg of cold water, for pump work."""
OIL_DRAWN_SHARE = 0.5
"""Oil in the water the pumps draw over the mean of the hot well (judgement)."""


@kernel
def feed_now(
    state: Vector, plant: PlantParameters, settings: Settings, rate: Vector, reading: Vector
) -> None:
    """Every way water gets into the boiler, and back through a leaking check valve (conservation).

    Notes: water drawn counts 1000 kg/m³. A leaking check valve leaks whether or not a pump works against it.
    """
    feed = plant.feed
    atmosphere = settings.atmosphere_absolute
    gauge = reading[r.BOILER_PRESSURE]
    pressure = max(gauge + atmosphere, 1e3)
    well = FREEZING + state[y.HOTWELL_ENERGY] / (max(state[y.HOTWELL_MASS], 1e-3) * WATER_HEAT)
    margin = suction_margin(well, feed.pump_suction_lift, atmosphere)
    supply = supply_fraction(state[y.HOTWELL_MASS])
    drawn_share = suction_fraction(margin) * supply * 1000.0
    pumped = drawn_share * engine_pump_delivery(
        feed, reading[r.SHAFT_SPEED], settings.engine_pump_health, state[y.ENGINE_PUMP_WEAR]
    )
    to_boiler = pumped * (1.0 - settings.bypass)
    stroke = feed.hand_pump_displacement * feed.hand_pump_delivery_fraction * settings.hand_pump_health
    asked = settings.hand_pump_hotwell_rate + settings.hand_pump_lake_rate
    most = hand_stroke_limit(
        gauge, feed.hand_pump_displacement, feed.hand_pump_lever_travel, state[y.PUMPING_TIME]
    )
    able = min(1.0, most / max(asked, 1e-9))
    hand_hot = stroke * settings.hand_pump_hotwell_rate * able * drawn_share
    hand_lake = stroke * settings.hand_pump_lake_rate * able * 1000.0
    lake_enthalpy = WATER_HEAT * (settings.lake_temperature - FREEZING)
    well_enthalpy = WATER_HEAT * (well - FREEZING)
    hot_source = feed.injector_from_hotwell > 0.5
    flux = choked_steam_flux(pressure, reading[r.VAPOUR_VOLUME])
    source_temperature = well if hot_source else settings.lake_temperature
    steam, lifted = injector_flows(
        feed, gauge, pressure, flux, source_temperature, settings.injector, supply if hot_source else 1.0
    )
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
    lake_water = hand_lake + (0.0 if hot_source else lifted)
    rate[y.TOTAL_FEED_ENGINE_PUMP] = to_boiler
    rate[y.TOTAL_FEED_HAND_PUMP_HOTWELL] = hand_hot
    rate[y.TOTAL_FEED_HAND_PUMP_LAKE] = hand_lake
    rate[y.TOTAL_FEED_INJECTOR] = lifted
    rate[y.TOTAL_INJECTOR_STEAM] = steam
    rate[y.TOTAL_LAKE_WATER] = lake_water
    rate[y.TOTAL_LAKE_WATER_HEAT] = lake_water * lake_enthalpy
    rate[y.TOTAL_FEED_PUMP_WORK] = reading[r.FEED_PUMP_POWER]
    rate[y.TOTAL_HAND_WORK] = hand_work
    reading[r.HAND_PUMP_STROKE_RATE] = asked * able
    rate[y.TOTAL_STROKES_HOTWELL] = settings.hand_pump_hotwell_rate * able
    rate[y.TOTAL_STROKES_LAKE] = settings.hand_pump_lake_rate * able
    rate[y.PUMPING_TIME] = 1.0 if asked > 0.0 else -state[y.PUMPING_TIME] / RECOVERY_TIME
    rate[y.ENGINE_PUMP_WEAR] = wear_rate(state[y.ENGINE_PUMP_WEAR], settings.engine_pump_wear_rate)
    rate[y.TOTAL_HOTWELL_DRAWN_HEAT] = reading[r.DRAWN_HOTWELL_FLOW] * well_enthalpy
    rate[y.TOTAL_CHECK_LEAK_HEAT] = leak * reading[r.LIQUID_ENTHALPY]
    blown_in = reading[r.STEAM_TO_HOTWELL_FLOW]
    rate[y.HOTWELL_MASS] = leak + blown_in - reading[r.DRAWN_HOTWELL_FLOW]
    rate[y.HOTWELL_ENERGY] = (
        blown_in * reading[r.STEAM_ENTHALPY]
        + leak * reading[r.LIQUID_ENTHALPY]
        - reading[r.DRAWN_HOTWELL_FLOW] * well_enthalpy
    )
    # what is dissolved in the hot well's water, and the oil: oil floats, and the suction is below it
    drawn = reading[r.DRAWN_HOTWELL_FLOW] / max(state[y.HOTWELL_MASS], 1e-3)
    solids, oil = drawn * state[y.HOTWELL_SOLIDS], drawn * OIL_DRAWN_SHARE * state[y.HOTWELL_OIL]
    lake_solids = feed.lake_solids_fraction
    leaked = leak * 1e-6
    rate[y.BOILER_SOLIDS] = solids + lake_solids * lake_water
    rate[y.HOTWELL_SOLIDS] = leaked * reading[r.BOILER_SOLIDS] - solids
    rate[y.BOILER_OIL] = oil
    rate[y.HOTWELL_OIL] = leaked * reading[r.BOILER_OIL] - oil


@kernel
def wear_rate(wear: float, asked: float) -> float:
    """Growth of the feed pump's slip [1/s], held between none and all of its delivery.

    Parameters: wear [0-1]; asked [1/s, below zero while it is repacked].
    Notes: the last tenth of a repair fades in (judgement), slowly enough for any step not to overshoot it.

    >>> wear_rate(0.5, 1e-3), wear_rate(1.0, 1e-3), wear_rate(0.05, -1e-3)
    (0.001, 0.0, -0.0005)
    """
    if asked >= 0.0:
        return asked if wear < 1.0 else 0.0
    return asked * min(1.0, max(0.0, wear / 0.1))


@kernel
def exhaust_now(
    state: Vector, plant: PlantParameters, settings: Settings, rate: Vector, reading: Vector
) -> None:
    """Feed coil, condenser, separator and hot well (conservation)."""
    exhaust = plant.exhaust
    held = max(state[y.CONDENSATE_HELD], 0.0)
    flooded = flooded_fraction(exhaust, held)
    clear = 1.0 - flooded
    flow, enthalpy = reading[r.EXHAUST_FLOW], reading[r.EXHAUST_ENTHALPY]
    back = state[y.BACK_PRESSURE]
    steam_temperature, _, _, _, _, liquid_enthalpy, vapour_enthalpy = saturation(back)
    metal = FREEZING + state[y.CONDENSER_ENERGY] / exhaust.condenser_heat_capacity
    coil_feed = reading[r.COIL_FEED_FLOW]
    entering = FREEZING + reading[r.COIL_FEED_HEAT_RATE] / max(coil_feed * WATER_HEAT, 1e-6)
    coil = coil_heat(exhaust.coil_conductance * clear, steam_temperature, coil_feed, entering)
    keel = 0.0
    if exhaust.keel_conductance_moving > 0.0:
        keel = exhaust.steam_side_conductance * clear * max(0.0, steam_temperature - metal)
    condensed, heat, coil, keel = condense(
        flow, enthalpy, liquid_enthalpy, WATER_HEAT * (entering - FREEZING), WATER_HEAT * (metal - FREEZING),
        coil, keel,
    )  # fmt: skip
    to_lake = keel_conductance(exhaust, state[y.BOAT_SPEED], settings.condenser_health)
    to_lake *= clear * (metal - settings.lake_temperature)
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
    reading[r.CONDENSER_FLOOD_FRACTION] = flooded
    latent = vapour_enthalpy - liquid_enthalpy
    settled = settled_back_pressure(
        exhaust, flow, max(0.0, flow - coil / latent), metal, latent, reading[r.SHAFT_SPEED],
        settings.atmosphere_absolute, clear, settings.condensate_drain,
    )  # fmt: skip
    drained = condensate_drain_flow(
        exhaust, settings.condensate_drain, held, back - settings.atmosphere_absolute
    )
    drained_heat = drained * state[y.CONDENSATE_ENERGY] / max(held, 1e-6)
    rate[y.CONDENSATE_HELD] = condensed - drained
    rate[y.CONDENSATE_ENERGY] = heat - drained_heat
    rate[y.BACK_PRESSURE] = (settled - back) / exhaust.back_pressure_lag
    rate[y.CONDENSER_ENERGY] = keel - to_lake
    rate[y.TOTAL_CONDENSER_HEAT] = to_lake
    rate[y.TOTAL_COIL_HEAT] = coil
    rate[y.TOTAL_CONDENSATE_HEAT] = drained_heat
    own_steam = reading[r.INJECTOR_STEAM_FLOW] * reading[r.STEAM_ENTHALPY]
    rate[y.TOTAL_FEED_HEAT] = reading[r.FEED_HEAT_RATE] - own_steam
    rate[y.TOTAL_EXHAUST_LOST] = lost
    rate[y.TOTAL_EXHAUST_LOST_HEAT] = flow * enthalpy - coil - keel - heat
    separator_and_hotwell(state, plant, settings, rate, reading, drained, drained_heat)
    carried = condensed / flow if flow > 1e-9 else 0.0
    separate_oil(state, plant, settings, rate, reading, carried)


@kernel
def separator_and_hotwell(
    state: Vector, plant: PlantParameters, settings: Settings, rate: Vector, reading: Vector,
    drained: float, drained_heat: float,
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
    leak = hotwell_leak(settings.hotwell_leak_rate, state[y.HOTWELL_MASS])
    loss = exhaust.hotwell_conductance * (well - settings.air_temperature)
    loss *= supply_fraction(state[y.HOTWELL_MASS])
    arrives = 1.0 - settings.condensate_leak_fraction
    rate[y.SEPARATOR_MASS] = drained * arrives - passed
    rate[y.SEPARATOR_ENERGY] = drained_heat * arrives - passed_heat
    rate[y.HOTWELL_MASS] += passed - overflow - leak
    rate[y.HOTWELL_ENERGY] += passed_heat - (overflow + leak) * specific - loss
    rate[y.TOTAL_OVERFLOW] = overflow + leak + drained * (1.0 - arrives)
    rate[y.TOTAL_HOTWELL_LOSS] = loss
    rate[y.TOTAL_WATER_LOST_HEAT] += (overflow + leak) * specific + drained_heat * (1.0 - arrives)
    lost_share = (overflow + leak) / well_mass
    rate[y.HOTWELL_OIL] -= lost_share * state[y.HOTWELL_OIL]
    rate[y.TOTAL_OIL_OUT] += lost_share * state[y.HOTWELL_OIL]
    rate[y.HOTWELL_SOLIDS] -= lost_share * state[y.HOTWELL_SOLIDS]
    rate[y.TOTAL_SOLIDS_OUT] += lost_share * state[y.HOTWELL_SOLIDS]


@kernel
def separate_oil(
    state: Vector, plant: PlantParameters, settings: Settings, rate: Vector, reading: Vector, carried: float
) -> None:
    """Cylinder oil in the exhaust: what the condensate carries to the cloth, and what gets past it.

    Parameters: carried [0-1, share of the exhaust that condensed; oil in the rest is lost with it].
    """
    exhaust = plant.exhaust
    oil = rate[y.TOTAL_OIL_USED]
    caught = (
        oil
        * carried
        * separator_catch(
            exhaust.separator_catch_fraction, state[y.SEPARATOR_OIL], exhaust.separator_cloth_capacity
        )
    )
    rate[y.SEPARATOR_OIL] = caught
    rate[y.HOTWELL_OIL] += oil * carried - caught
    rate[y.TOTAL_OIL_OUT] += oil * (1.0 - carried)
    reading[r.SEPARATOR_LOAD_FRACTION] = state[y.SEPARATOR_OIL] / exhaust.separator_cloth_capacity
