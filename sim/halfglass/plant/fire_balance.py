"""Fire or burner, furnace, tubes and chimney in the whole."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from halfglass.plant import boiler as water_side
from halfglass.plant import reading as r
from halfglass.plant import state as y
from halfglass.plant.burner import fuel_flow, tank_pressure
from halfglass.plant.compile import kernel
from halfglass.plant.fire import (
    AIR_HEAT,
    BED_HEAT,
    MOISTURE_HEAT,
    REFERENCE_TEMPERATURE,
    air_flows,
    burning_above,
    char_burning,
    gas_heat,
    gas_pass,
    ignition_rate,
    radiation,
    stack_draught,
)
from halfglass.plant.parameters import PlantParameters, Settings

Vector = NDArray[np.float64]

PLATE_EXCESS = 10.0
"""K by which the plate is hotter than the boiler water (value from memory)."""


@kernel
def fire_now(
    state: Vector, plant: PlantParameters, settings: Settings, rate: Vector, reading: Vector
) -> None:
    """Draught, bed or burner, furnace, tubes and chimney.

    Notes: ash of 700 kg/m³ in bulk (from memory); the blower gives its full draught from 4 bar (judgement).
    Heat is booked at both ends (conservation).
    """
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
        fire,
        draught,
        settings.damper,
        settings.fire_door,
        depth,
        ash / 700.0 / grate,
        settings.clinker_fraction,
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
    covered = water_side.convective_covered_fraction(boiler, height)
    radiant_covered = water_side.radiant_covered_fraction(boiler, height, settings.heel, settings.trim)
    radiant = radiation(boiler.radiant_area * radiant_covered, fire.emissivity, furnace, plate)
    flue = gas_pass(boiler, gas, furnace, plate, covered)
    leaving = gas * gas_heat(flue)
    convected = gas * gas_heat(furnace) - leaving
    loss = fire.furnace_loss_conductance * (furnace - air)
    flue_heat = leaving + moisture_heat
    air_heat = (under + over + oil_air) * AIR_HEAT * (air - REFERENCE_TEMPERATURE)
    rate[y.FIRE_ENERGY] = released + air_heat - moisture_heat - convected - leaving - radiant - loss
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

    Parameters: furnace [K, mean]; char_depth [m]; under, over [kg/s of air].
    Returns: (kg/s gone to gas, W released, W unburnt, kg/s of gas with its air, W taken by moisture).
    Notes: volatiles and char of a charge wait for it to dry: they go slower by 1 + 6 kg of moisture a kg of
    the rest (judgement).
    """
    moisture, volatile, char = state[y.GREEN_MOISTURE], state[y.GREEN_VOLATILE], state[y.GREEN_CHAR]
    green = moisture + volatile + char
    share = ignition_rate(green, state[y.GREEN_LAG_MASS], furnace, char_depth)
    # volatiles wait for the charge to dry
    dryness = 1.0 / (1.0 + 6.0 * moisture / max(volatile + char, 1e-9))
    freed = share * dryness
    volatile_heat = state[y.GREEN_VOLATILE_HEAT] * freed
    burnt, used, in_bed, monoxide_heat = char_burning(state[y.BURNING_CHAR], char_depth, under, furnace)
    above = burning_above(volatile_heat, monoxide_heat, over + under - used)
    released = in_bed + above
    unburnt = volatile_heat + monoxide_heat - above
    dried = share * moisture
    rate[y.GREEN_MOISTURE] = -dried
    rate[y.GREEN_VOLATILE] = -freed * volatile
    rate[y.GREEN_VOLATILE_HEAT] = -volatile_heat
    rate[y.GREEN_CHAR] = -freed * char
    # the mean lag of what is left stays what it was, whether water, gas or char leaves
    leaving = (dried + freed * (volatile + char)) / max(green, 1e-9)
    rate[y.GREEN_LAG_MASS] = -leaving * state[y.GREEN_LAG_MASS]
    rate[y.GREEN_VOLUME] = -freed * state[y.GREEN_VOLUME]
    rate[y.GREEN_CHAR_VOLUME] = -freed * state[y.GREEN_CHAR_VOLUME]
    rate[y.BURNING_CHAR] = freed * char - burnt
    rate[y.CHAR_VOLUME] = freed * state[y.GREEN_CHAR_VOLUME] - burnt * state[y.CHAR_VOLUME] / max(
        state[y.BURNING_CHAR], 1e-6
    )
    gone = burnt + freed * volatile + dried
    return gone, released, unburnt, under + over + gone, dried * MOISTURE_HEAT


@kernel
def burn_oil(
    state: Vector, plant: PlantParameters, settings: Settings, rate: Vector
) -> tuple[float, float, float]:
    """The liquid burner. Returns: (kg/s of fuel, kg/s of its air, tank pressure above atmosphere [Pa]).

    Notes: the vaporiser goes to 850 K alight, to 720 K over the spirit cup (judgement), else to the air's.
    """
    burner = plant.burner
    gauge = 0.0
    flow = 0.0
    if burner.fuel_rate > 0.0:
        gauge = tank_pressure(burner, state[y.TANK_FUEL], state[y.TANK_AIR]) - settings.atmosphere_absolute
        flow = fuel_flow(
            burner, settings.burner_rate, gauge, state[y.TANK_FUEL], state[y.VAPORISER_TEMPERATURE]
        )
        target = settings.air_temperature
        if settings.burner_preheat > 0.0:
            target = 720.0
        if flow > 0.0:
            target = 850.0
        rate[y.VAPORISER_TEMPERATURE] = (target - state[y.VAPORISER_TEMPERATURE]) / burner.vaporiser_lag
    rate[y.TANK_FUEL] = -flow
    return flow, flow * burner.air_ratio, gauge
