"""The four ways of feeding: engine-driven pump, hand pumps on hot well and lake, injector."""

from __future__ import annotations

import math

from halfglass.plant.compile import kernel
from halfglass.plant.parameters import Feed
from halfglass.plant.steam import FREEZING, saturation_pressure

GRAVITY = 9.80665
WATER_HEAT = 4186.0
"""J/(kg K), liquid water from 0 to 100 °C."""
SUCTION_LOSS_HEAD = 5.45
"""m of head a ram pump needs for valves and acceleration: within 0.6 m of all of engineeringtoolbox.com's
table (with 5.5, as the law is usually given, 99 °C stands 0.63 m off)."""


@kernel
def suction_margin(temperature: float, lift: float, atmosphere_absolute: float) -> float:
    """Head in hand on the suction side.

    Parameters: water temperature [K]; lift of the pump above the water [m]; atmosphere_absolute [Pa].
    Returns: m; below zero the pump loses its water.
    Notes: z = (p_atm - p_sat)/(ρ g) - 5.45 m [ETB], ± 0.6 m; density a fit to [IF97] from 0 to 100 °C.

    >>> round(suction_margin(328.15, 0.0, 101325.0), 1)
    3.4
    """
    density = 1000.0 - 0.0036 * (temperature - 277.0) ** 2
    return (
        (atmosphere_absolute - saturation_pressure(temperature)) / (density * GRAVITY)
        - SUCTION_LOSS_HEAD
        - lift
    )


@kernel
def suction_fraction(margin: float) -> float:
    """Share of its water a ram pump still draws: 1 with 0.5 m in hand, 0 when 0.5 m short, smooth between.

    Parameters: margin [m], from `suction_margin`. Notes: s²(3 - 2s) (judgement).

    >>> suction_fraction(0.5), suction_fraction(0.0), suction_fraction(-0.5)
    (1.0, 0.5, 0.0)
    """
    share = min(1.0, max(0.0, margin + 0.5))
    return share * share * (3.0 - 2.0 * share)


@kernel
def supply_fraction(mass: float) -> float:
    """Share of its water a pump still draws from a hot well nearly dry: falls to 0 over the last 0.5 kg.

    Parameters: mass [kg, >= 0]. Notes: straight (judgement).

    >>> supply_fraction(0.25)
    0.5
    """
    return min(1.0, max(0.0, mass / 0.5))


@kernel
def hotwell_leak(rate: float, mass: float) -> float:
    """Water a leaking hot well loses [kg/s]: none once it is dry, however large the leak.

    Parameters: rate [kg/s, of a full well]; mass [kg].
    Notes: fades as `supply_fraction`, a large leak over the last 5 s of it (judgement), slowly enough for any
    step not to draw from an empty well.

    >>> hotwell_leak(0.05, 0.25), hotwell_leak(1.0, 2.5)
    (0.025, 0.5)
    """
    return rate * min(1.0, max(0.0, mass / max(0.5, 5.0 * rate)))


@kernel
def injector_water_ratio(pressure_absolute: float) -> float:
    """kg of water an injector lifts for each kg of steam.

    Parameters: steam pressure_absolute [Pa].
    Notes: 20 at 65 psia, 17 at 90 psia [HUG], chapter VIII, linear, not below 6 nor above 24 (judgement).

    >>> round(injector_water_ratio(448159.0), 1)
    20.0
    """
    return min(24.0, max(6.0, 20.0 - 0.12 * (pressure_absolute / 6894.757 - 65.0)))


@kernel
def injector_hottest_water(pressure_gauge: float) -> float:
    """Hottest feed water with which an injector works [K].

    Parameters: pressure_gauge [Pa above atmosphere].
    Notes: 133 °F up to 50 psig, 130 at 85, 122 at 105, 102 at 150 [MM], linear between and beyond.

    >>> round(injector_hottest_water(5.0e5) - 273.15, 1)
    55.0
    """
    psi = pressure_gauge / 6894.757
    if psi <= 50.0:
        fahrenheit = 133.0
    elif psi <= 85.0:
        fahrenheit = 133.0 - 3.0 * (psi - 50.0) / 35.0
    elif psi <= 105.0:
        fahrenheit = 130.0 - 8.0 * (psi - 85.0) / 20.0
    else:
        fahrenheit = 122.0 - 20.0 * (psi - 105.0) / 45.0
    return (fahrenheit - 32.0) / 1.8 + 273.15


@kernel
def injector_grip(feed: Feed, pressure_gauge: float, water_temperature: float) -> float:
    """Share of its duty an injector holds near its limits, 0 beyond them.

    Parameters: pressure_gauge [Pa above atmosphere]; water_temperature [K] of what it draws.
    Notes: one that runs lets go between 0.8 and 0.7 of its starting pressure, between its highest pressure
    and 5 % over, and between the hottest water it takes and 5 K over (common practice, no source).
    """
    low = (pressure_gauge / max(feed.injector_starting_pressure, 1.0) - 0.7) / 0.1
    high = (1.05 - pressure_gauge / max(feed.injector_highest_pressure, 1.0)) / 0.05
    hot = (injector_hottest_water(pressure_gauge) + 5.0 - water_temperature) / 5.0
    return min(1.0, max(0.0, low)) * min(1.0, max(0.0, high)) * min(1.0, max(0.0, hot))


@kernel
def injector_flows(
    feed: Feed,
    pressure_gauge: float,
    pressure_absolute: float,
    steam_flux: float,
    water_temperature: float,
    running: float,
    water_left: float,
) -> tuple[float, float]:
    """Steam taken and water lifted by the injector.

    Parameters: pressure_gauge, pressure_absolute of the boiler [Pa]; steam_flux, choked [kg/(s·m²)];
    water_temperature [K]; running [0/1]; water_left [0-1, supply].
    Returns: (steam kg/s, water kg/s), none outside what `injector_grip` allows.
    """
    if running <= 0.0:
        return 0.0, 0.0
    grip = injector_grip(feed, pressure_gauge, water_temperature)
    steam = feed.injector_steam_area * steam_flux * running * water_left * grip
    return steam, steam * injector_water_ratio(pressure_absolute)


@kernel
def engine_pump_delivery(feed: Feed, shaft_speed: float, health: float, wear: float) -> float:
    """Water the engine-driven ram would deliver with a full suction [m³/s].

    Parameters: shaft_speed [rev/s, either way]; health [0-1, 0 after its valves failed]; wear [0-1, share
    lost by a worn packing].
    Notes: bore² π/4 × stroke × speed × delivery; 70 to 85 % of the displacement is delivered [ROSE].
    """
    swept = feed.engine_pump_displacement * abs(shaft_speed)
    return swept * feed.engine_pump_delivery_fraction * health * max(0.0, 1.0 - wear)


@kernel
def coil_heat(
    conductance: float, steam_temperature: float, feed_flow: float, feed_temperature: float
) -> float:
    """Heat the exhaust gives the feed in the coil [W].

    Parameters: conductance [W/K, >= 0]; steam_temperature [K]; feed_flow [kg/s, >= 0]; feed_temperature [K].
    Notes: condensing side at one temperature: ε = 1 - exp(-NTU), conservation of heat along the coil.

    >>> round(coil_heat(20.0, 375.15, 0.02, 315.15))
    1067
    """
    if feed_flow <= 1e-9 or steam_temperature <= feed_temperature:
        return 0.0
    capacity = feed_flow * WATER_HEAT
    return -math.expm1(-conductance / capacity) * capacity * (steam_temperature - feed_temperature)


@kernel
def injector_delivery_temperature(
    steam_enthalpy: float, water_ratio: float, water_temperature: float
) -> float:
    """Temperature of the water an injector delivers [K], before its own losses.

    Parameters: steam_enthalpy [J/kg]; water_ratio [kg of water for each kg of steam, >= 0];
    water_temperature [K, 273 to 373].
    Notes: energy balance, h = (h_steam + r h_water)/(1 + r), with liquid water of constant specific heat.

    >>> round(injector_delivery_temperature(2.760e6, 13.0, 309.26) - 273.15, 1)
    80.6
    """
    water_enthalpy = WATER_HEAT * (water_temperature - FREEZING)
    mixed = (steam_enthalpy + water_ratio * water_enthalpy) / (1.0 + water_ratio)
    return FREEZING + mixed / WATER_HEAT
