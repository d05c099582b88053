"""The boiler in the whole: what it is doing now, its openings, and what it gains and loses."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from halfglass.plant import boiler as water_side
from halfglass.plant import reading as r
from halfglass.plant import state as y
from halfglass.plant.compile import kernel
from halfglass.plant.feed import WATER_HEAT, supply_fraction
from halfglass.plant.orifice import steam_flow, water_flow
from halfglass.plant.parameters import PlantParameters, Settings
from halfglass.plant.steam import FREEZING, equilibrium, equilibrium_rates, saturation

Vector = NDArray[np.float64]

AIR_HEAT = 1005.0
"""J/(kg K) of air leaving with the steam."""
LEAST_WATER = 0.5
"""kg: what is dissolved is told as if in no less water than this. A boiler that empties would else carry its
last solids off infinitely fast; it is far below the crown, where the model says nothing."""
SIMMER_BELOW = 0.97
"""Share of its set pressure at which a safety valve begins to simmer (common practice, no source)."""


@kernel
def valve_opening(
    pressure: float, set_pressure: float, simmer_fraction: float, lifted: float, stuck: float, weep: float
) -> float:
    """How far a safety valve is open, as share of its full area.

    Parameters: pressure, set_pressure [Pa above atmosphere]; simmer_fraction [0-1, open just below the set
    pressure]; lifted [1 after it popped until it reseats]; stuck [1 open, -1 shut, 0 free]; weep [0-1].
    Notes: pops at once to full lift and shuts at once at the reseat pressure (the clock does both); below,
    it simmers over the last 3 % of the set pressure.

    >>> valve_opening(6.9e5, 6.9e5, 0.01, 0.0, 0.0, 0.0), valve_opening(6.9e5, 6.9e5, 0.01, 1.0, -1.0, 0.0)
    (0.01, 0.0)
    """
    if stuck > 0.5 or stuck < -0.5:
        return 1.0 if stuck > 0.0 else 0.0
    near = (pressure / set_pressure - SIMMER_BELOW) / (1.0 - SIMMER_BELOW)
    return min(1.0, lifted + weep + simmer_fraction * min(1.0, max(0.0, near)))


@kernel
def boiler_now(state: Vector, plant: PlantParameters, settings: Settings, reading: Vector) -> None:
    """Pressure, temperature, level and glass from mass, energy and volume (conservation)."""
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
    heel, trim = settings.heel, settings.trim
    at_glass = water_side.height_at(height, boiler.glass_athwartships, boiler.glass_fore_and_aft, heel, trim)
    shown = water_side.glass_level(boiler, at_glass, void, v_liquid, temperature, settings.air_temperature)
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
    reading[r.CROWN_COVER] = water_side.crown_cover(boiler, height, heel, trim)
    reading[r.GLASS_LEVEL] = shown
    reading[r.GLASS_FRACTION] = shown / (boiler.top_nut_height - boiler.bottom_nut_height)
    water = max(found.liquid_mass, LEAST_WATER)
    reading[r.BOILER_SOLIDS] = state[y.BOILER_SOLIDS] / water * 1e6
    reading[r.BOILER_OIL] = state[y.BOILER_OIL] / water * 1e6


@kernel
def openings_now(state: Vector, plant: PlantParameters, settings: Settings, reading: Vector) -> None:
    """What the boiler's openings pass [kg/s]: valves, whistle, blower, heating steam, vent, blow-down.

    Notes: orifices of `orifice.py` from the boiler to the air; a boiler all but empty of pressure is held to
    1 kPa absolute (judgement), where nothing flows.
    """
    boiler, valves = plant.boiler, plant.valves
    atmosphere = settings.atmosphere_absolute
    gauge = reading[r.BOILER_PRESSURE]
    pressure = max(gauge + atmosphere, 1e3)
    volume = reading[r.VAPOUR_VOLUME]
    lift = valves.first_area * valve_opening(
        gauge, valves.first_set_pressure, valves.first_simmer_fraction, settings.first_safety_valve,
        settings.first_safety_valve_stuck, settings.safety_valve_weep_fraction,
    )  # fmt: skip
    lift += valves.second_area * valve_opening(
        gauge, valves.second_set_pressure, valves.second_simmer_fraction, settings.second_safety_valve,
        settings.second_safety_valve_stuck, 0.0,
    )  # fmt: skip
    area = settings.heating_steam_area + plant.fire.blower_area * settings.blower
    whistle = steam_flow(settings.whistle_area, pressure, atmosphere, volume)
    condensing, passing = hotwell_steam(state, settings, pressure, volume)
    blown = water_flow(boiler.blow_down_area * settings.blow_down, gauge, reading[r.LIQUID_VOLUME])
    lift *= valves.discharge_coefficient
    reading[r.SAFETY_VALVE_FLOW] = steam_flow(lift, pressure, atmosphere, volume)
    reading[r.SERVICE_FLOW] = steam_flow(area, pressure, atmosphere, volume) + passing + whistle
    reading[r.WHISTLE_FLOW] = whistle
    reading[r.STEAM_TO_HOTWELL_FLOW] = condensing
    reading[r.GAS_TO_VENT_FLOW] = steam_flow(boiler.vent_area * settings.vent, pressure, atmosphere, volume)
    reading[r.BLOW_DOWN_FLOW] = blown * supply_fraction(reading[r.BOILER_WATER_MASS])


@kernel
def services_now(
    state: Vector, plant: PlantParameters, settings: Settings, rate: Vector, reading: Vector
) -> None:
    """Book what the openings pass, with the air that goes with it.

    Notes: air leaves with every draw in the proportion it has in the steam space. Through a vent open below
    the atmosphere air of 1.2 kg/m³ is drawn in, m = A sqrt(2 ρ Δp) (law of Torricelli).
    """
    gauge = reading[r.BOILER_PRESSURE]
    safety, service = reading[r.SAFETY_VALVE_FLOW], reading[r.SERVICE_FLOW]
    to_hotwell, through_vent = reading[r.STEAM_TO_HOTWELL_FLOW], reading[r.GAS_TO_VENT_FLOW]
    blown = reading[r.BLOW_DOWN_FLOW]
    drawn = safety + service + to_hotwell + through_vent + reading[r.STEAM_FLOW_BOILER_ENGINE]
    gas = reading[r.VAPOUR_MASS] + state[y.BOILER_AIR]
    air_share = min(1.0, max(0.0, state[y.BOILER_AIR] / gas))
    drawn_in = 0.0
    if gauge < 0.0 and settings.vent > 0.0:
        drawn_in = plant.boiler.vent_area * settings.vent * math.sqrt(2.0 * 1.2 * -gauge)
    vent_steam = through_vent * (1.0 - air_share)
    reading[r.VENT_FLOW] = vent_steam
    reading[r.AIR_VENT_FLOW] = drawn * air_share - drawn_in
    reading[r.AIR_VENT_HEAT_RATE] = (
        reading[r.AIR_VENT_FLOW] * AIR_HEAT * (reading[r.BOILER_TEMPERATURE] - FREEZING)
    )
    rate[y.TOTAL_SAFETY_VALVE_STEAM] = safety
    rate[y.TOTAL_SERVICE_STEAM] = service
    rate[y.TOTAL_VENTED] = vent_steam
    rate[y.TOTAL_BLOW_DOWN] = blown
    rate[y.TOTAL_HOTWELL_STEAM_HEAT] = to_hotwell * reading[r.STEAM_ENTHALPY]
    rate[y.TOTAL_BLOW_DOWN_HEAT] = blown * reading[r.LIQUID_ENTHALPY]
    lost = (safety + service) * reading[r.STEAM_ENTHALPY] + vent_steam * reading[r.VAPOUR_ENTHALPY]
    rate[y.TOTAL_STEAM_LOST_HEAT] += lost + reading[r.AIR_VENT_HEAT_RATE]
    rate[y.TOTAL_WATER_LOST_HEAT] += blown * reading[r.LIQUID_ENTHALPY]


@kernel
def hotwell_steam(
    state: Vector, settings: Settings, pressure_absolute: float, vapour_volume: float
) -> tuple[float, float]:
    """Live steam blown into the hot well: (what condenses there, what comes off again) [kg/s].

    Notes: all condenses in cool water, none at 100 °C; it fades over the last 8 K (judgement), so the well
    never boils.
    """
    blown = steam_flow(
        settings.hotwell_steam_area, pressure_absolute, settings.atmosphere_absolute, vapour_volume
    )
    well = state[y.HOTWELL_ENERGY] / (max(state[y.HOTWELL_MASS], 1e-3) * WATER_HEAT)
    share = min(1.0, max(0.0, (100.0 - well) / 8.0)) * supply_fraction(state[y.HOTWELL_MASS])
    return blown * share, blown * (1.0 - share)


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
        + reading[r.STEAM_TO_HOTWELL_FLOW]
        + reading[r.INJECTOR_STEAM_FLOW]
    )
    water = reading[r.BLOW_DOWN_FLOW] + reading[r.CHECK_LEAK_FLOW]
    mass_rate = fed - steam - reading[r.VENT_FLOW] - water
    energy_rate = (
        reading[r.FEED_HEAT_RATE]
        + reading[r.HEAT_TO_BOILER_RATE]
        - casing
        - steam * reading[r.STEAM_ENTHALPY]
        - reading[r.VENT_FLOW] * reading[r.VAPOUR_ENTHALPY]
        - water * reading[r.LIQUID_ENTHALPY]
        - reading[r.AIR_VENT_HEAT_RATE]
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
    latent = reading[r.VAPOUR_ENTHALPY] - reading[r.LIQUID_ENTHALPY]
    heat = reading[r.HEAT_TO_BOILER_RATE] - casing
    heat += reading[r.FEED_HEAT_RATE] - fed * reading[r.LIQUID_ENTHALPY]
    by_heat = max(0.0, heat / latent)
    pressure = reading[r.BOILER_PRESSURE] + settings.atmosphere_absolute
    bubbling = by_heat + water_side.FLASH_SHARE * (boiled - by_heat)
    bubbling *= water_side.boiling_share(reading[r.STEAM_PRESSURE_ABSOLUTE], pressure)
    settled = water_side.settled_bubble_volume(
        boiler, liquid, reading[r.SURFACE_AREA], bubbling, rise, reading[r.VAPOUR_VOLUME]
    )
    rise_time = boiler.rise_depth / rise
    lost = (steam * carry + water) * 1e-6
    overboard = (
        steam * carry + reading[r.BLOW_DOWN_FLOW]
    ) * 1e-6  # a leaking check valve's is in the hot well
    reading[r.EVAPORATION_RATE] = boiled
    rate[y.BOILER_MASS] = mass_rate
    rate[y.BOILER_ENERGY] = energy_rate
    rate[y.BOILER_AIR] = -reading[r.AIR_VENT_FLOW]
    rate[y.STEAM_UNDER_SURFACE] = (settled - state[y.STEAM_UNDER_SURFACE]) / max(rise_time, 1.0)
    rate[y.BOILER_SOLIDS] -= lost * reading[r.BOILER_SOLIDS]
    rate[y.TOTAL_SOLIDS_OUT] += overboard * reading[r.BOILER_SOLIDS]
    rate[y.BOILER_OIL] -= lost * reading[r.BOILER_OIL]
    rate[y.TOTAL_OIL_OUT] += overboard * reading[r.BOILER_OIL]
    rate[y.TOTAL_CASING_LOSS] = casing
