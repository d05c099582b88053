"""Water and steam at saturation, and two-phase equilibrium in a rigid vessel.

The properties are cubic splines in ln p through IAPWS R7-97(2012) values from 0.62 kPa to 2.5 MPa
absolute (see data/make_steam_table.py). Outside that range each property goes on as a straight line
in ln p, so that nothing becomes NaN. Internal energies follow from u = h - p v.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import NamedTuple

import numpy as np

from halfglass.plant.compile import kernel

with np.load(Path(__file__).with_name("data") / "steam_table.npz") as _stored:
    _LN_PRESSURE = _stored["ln_pressure"]
    _COEFFICIENTS = np.ascontiguousarray(_stored["coefficients"].reshape(-1, 20))

_INTERVALS = len(_LN_PRESSURE) - 1
_FIRST = float(_LN_PRESSURE[0])
_PER_LN = _INTERVALS / float(_LN_PRESSURE[-1] - _LN_PRESSURE[0])

CRITICAL_TEMPERATURE = 647.096  # K
FREEZING = 273.15  # K
AIR_GAS_CONSTANT = 287.05  # J/(kg K)
AIR_HEAT_CAPACITY = 718.0  # J/(kg K), at constant volume

# Search range of ln p for temperatures and equilibria: 50 Pa to 10 MPa.
_LOWEST_LN = math.log(50.0)
_HIGHEST_LN = math.log(1.0e7)
# Beyond this share of the volume the liquid is compressed (see `equilibrium`).
_FULL_FRACTION = 0.985


@kernel
def _place(ln_p: float) -> tuple[int, float, float]:
    """Return interval number, place inside it (0 to 1), and distance beyond the table's ends."""
    x = (ln_p - _FIRST) * _PER_LN
    if x >= _INTERVALS:
        return _INTERVALS - 1, 1.0, x - _INTERVALS
    if x >= 0.0:
        i = int(x)
        return i, x - i, 0.0
    # Not a number ends here too and passes through as the distance.
    return 0, 0.0, x


@kernel
def _value(i: int, k: int, s: float, beyond: float) -> float:
    """Return property k in interval i at place s, carried on straight beyond the table."""
    c1 = float(_COEFFICIENTS[i, k + 1])
    c2 = float(_COEFFICIENTS[i, k + 2])
    c3 = float(_COEFFICIENTS[i, k + 3])
    value = float(_COEFFICIENTS[i, k]) + s * (c1 + s * (c2 + s * c3))
    if beyond != 0.0:
        value += beyond * (c1 + s * (2.0 * c2 + s * 3.0 * c3))
    return value


@kernel
def _slope(i: int, k: int, s: float) -> float:
    """Return the derivative of property k with respect to ln p."""
    c2 = float(_COEFFICIENTS[i, k + 2])
    c3 = float(_COEFFICIENTS[i, k + 3])
    return _PER_LN * (float(_COEFFICIENTS[i, k + 1]) + s * (2.0 * c2 + s * 3.0 * c3))


@kernel
def saturation(pressure_absolute: float) -> tuple[float, float, float, float, float, float, float]:
    """Return the saturation properties of water and steam at a pressure.

    Parameters: pressure_absolute [Pa], 620 to 2.5e6 (straight in ln p outside, never below 1 Pa).
    Returns: temperature [K], v_liquid, v_vapour [m3/kg], u_liquid, u_vapour, h_liquid, h_vapour
    [J/kg].
    Source: IAPWS R7-97(2012).

    >>> temperature, *_, h_liquid, h_vapour = saturation(800e3)
    >>> round(temperature - 273.15, 2), round(h_liquid / 1e3, 1), round(h_vapour / 1e3, 1)
    (170.41, 721.0, 2768.3)
    """
    p = pressure_absolute
    if p < 1.0:
        p = 1.0
    i, s, beyond = _place(math.log(p))
    temperature = _value(i, 0, s, beyond)
    v_liquid = _value(i, 4, s, beyond)
    pv_vapour = _value(i, 8, s, beyond)
    h_liquid = _value(i, 12, s, beyond)
    h_vapour = _value(i, 16, s, beyond)
    u_liquid = h_liquid - p * v_liquid
    return temperature, v_liquid, pv_vapour / p, u_liquid, h_vapour - pv_vapour, h_liquid, h_vapour


Slopes = tuple[float, float, float, float, float, float, float, float, float, float]


@kernel
def saturation_with_slopes(ln_p: float) -> Slopes:
    """Return saturation properties and their derivatives with respect to ln p.

    Parameters: ln_p, natural logarithm of the absolute pressure in Pa; tabled from 0.62 kPa to 2.5 MPa.
    Returns: temperature [K], v_liquid, v_vapour [m3/kg], u_liquid, u_vapour [J/kg], then the
    derivatives of these five with respect to ln p in the same units. Source: [IF97].

    >>> found = saturation_with_slopes(math.log(101325.0))
    >>> round(found[0], 2), round(found[2], 4), round(found[5], 2)
    (373.12, 1.6733, 28.02)
    """
    i, s, beyond = _place(ln_p)
    p = math.exp(ln_p)
    v_liquid = _value(i, 4, s, beyond)
    v_liquid_slope = _slope(i, 4, s)
    pv_vapour = _value(i, 8, s, beyond)
    pv_vapour_slope = _slope(i, 8, s)
    v_vapour = pv_vapour / p
    return (
        _value(i, 0, s, beyond),
        v_liquid,
        v_vapour,
        _value(i, 12, s, beyond) - p * v_liquid,
        _value(i, 16, s, beyond) - pv_vapour,
        _slope(i, 0, s),
        v_liquid_slope,
        pv_vapour_slope / p - v_vapour,
        _slope(i, 12, s) - p * (v_liquid + v_liquid_slope),
        _slope(i, 16, s) - pv_vapour_slope,
    )


@kernel
def saturation_temperature(pressure_absolute: float) -> float:
    """Return the boiling temperature [K] at an absolute pressure [Pa, tabled from 620 to 2.5e6].

    >>> round(saturation_temperature(1.0e6), 2)
    453.04
    """
    p = pressure_absolute
    if p < 1.0:
        p = 1.0
    i, s, beyond = _place(math.log(p))
    return _value(i, 0, s, beyond)


@kernel
def saturation_pressure(temperature: float) -> float:
    """Return the absolute pressure [Pa] at which water boils at a temperature.

    Parameters: temperature [K], about 239 to 560; held to that range.
    Notes: Newton's search for ln p on the spline of `saturation_temperature`, so that each is the
    other's inverse [IF97]; it starts from an Antoine form within 5 % of the table.

    >>> round(saturation_pressure(373.15) / 1e3, 2)
    101.42
    """
    low, high = _LOWEST_LN, _HIGHEST_LN
    ln_p = 23.26 - 3853.0 / (max(temperature, 150.0) - 45.0)
    for _ in range(60):
        if not low <= ln_p <= high:
            ln_p = 0.5 * (low + high)
        i, s, beyond = _place(ln_p)
        error = _value(i, 0, s, beyond) - temperature
        if error > 0.0:
            high = ln_p
        else:
            low = ln_p
        step = error / _slope(i, 0, s)
        ln_p -= step
        if not abs(step) > 1.0e-8:
            break
    return math.exp(min(max(ln_p, _LOWEST_LN), _HIGHEST_LN))


@kernel
def latent_heat(pressure_absolute: float) -> float:
    """Return the heat of evaporation [J/kg] at an absolute pressure [Pa]: h_vapour - h_liquid [IF97].

    Tabled from 620 Pa to 2.5 MPa.

    >>> round(latent_heat(101325.0) / 1e3, 1)
    2256.5
    """
    p = pressure_absolute
    if p < 1.0:
        p = 1.0
    i, s, beyond = _place(math.log(p))
    return _value(i, 16, s, beyond) - _value(i, 12, s, beyond)


@kernel
def surface_tension(temperature: float) -> float:
    """Return the surface tension of water against its vapour.

    Parameters: temperature [K], 273 to 647; zero above the critical point.
    Returns: surface tension [N/m].
    Notes: sigma = 0.2358 tau^1.256 (1 - 0.625 tau), tau = 1 - T/647.096 K.
    Source: IAPWS R1-76(2014).

    >>> round(surface_tension(373.15), 5)
    0.05891
    """
    tau = max(1.0 - temperature / CRITICAL_TEMPERATURE, 0.0)
    return 0.2358 * math.pow(tau, 1.256) * (1.0 - 0.625 * tau)


class Equilibrium(NamedTuple):
    """What `equilibrium` finds in a vessel."""

    steam_pressure_absolute: float  # Pa, of the steam alone
    temperature: float  # K
    liquid_mass: float  # kg
    vapour_mass: float  # kg
    liquid_volume: float  # m3
    vapour_volume: float  # m3
    air_pressure: float  # Pa, partial pressure to be added to the steam's
    hydraulic_pressure: float  # Pa, to be added when the vessel is nearly full of liquid


@kernel
def _contents(ln_p: float, mass: float, volume: float) -> tuple[Slopes, float, float, float]:
    """Return properties at ln p, the vapour mass that fills the volume, and its derivatives.

    Returns: properties; vapour mass [kg]; its derivatives by ln p [kg] and by the mass.
    """
    state = saturation_with_slopes(ln_p)
    v_liquid, v_vapour, v_liquid_slope, v_vapour_slope = state[1], state[2], state[6], state[7]
    difference = v_vapour - v_liquid
    vapour = (volume - mass * v_liquid) / difference
    least = (1.0 - _FULL_FRACTION) * volume / v_vapour
    if vapour < least:
        return state, least, -least * v_vapour_slope / v_vapour, 0.0
    if vapour > mass:
        return state, mass, 0.0, 1.0
    slope = -(mass * v_liquid_slope + vapour * (v_vapour_slope - v_liquid_slope)) / difference
    return state, vapour, slope, -v_liquid / difference


@kernel
def equilibrium(
    mass: float,
    energy: float,
    volume: float,
    metal_heat_capacity: float,
    air_mass: float,
    pressure_guess: float,
) -> Equilibrium:
    """Find the two-phase equilibrium of water, steam, metal and shut-in air in a rigid vessel.

    Parameters: mass of water and steam [kg]; energy [J], internal energy of water and steam (IF97
    zero) plus metal and air counted from 273.15 K; volume [m3]; metal_heat_capacity [J/K];
    air_mass [kg]; pressure_guess, absolute steam pressure to start from [Pa] (any).
    Returns: `Equilibrium`. When liquid_mass is 0 the vessel has boiled dry: then the pressure is a
    rough one, of superheated steam with p v as at saturation.
    Notes: one unknown, ln p. The vapour mass follows from the volume, V = Ml vl + Mv vv, and ln p
    from the energy (conservation), U = Ml ul + Mv uv + (C + 718 ma)(T - 273.15), by Newton's steps inside a
    bracket, stopped by the step's size, so the guess does not show in the result. When the
    liquid would pass 98.5 % of the volume the vapour keeps 1.5 % of it and the surplus shows as a
    hydraulic pressure 3 MPa ((fill - 0.985)/0.015)^2, a soft stop of our own in place of the
    liquid's compressibility.

    >>> found = equilibrium(100.0, 6.0e7, 0.15, 3.0e4, 0.0, 1.0e5)
    >>> round(found.steam_pressure_absolute / 1e3, 1), round(found.temperature, 1)
    (295.1, 406.1)
    """
    capacity = metal_heat_capacity + air_mass * AIR_HEAT_CAPACITY
    low, high = _LOWEST_LN, _HIGHEST_LN
    ln_p = math.log(max(pressure_guess, 1.0))
    last = 2.0 * (high - low)
    for _ in range(100):
        if not low <= ln_p <= high:
            ln_p = 0.5 * (low + high)
        state, vapour, vapour_slope, _ = _contents(ln_p, mass, volume)
        u_liquid, u_vapour = state[3], state[4]
        error = (mass - vapour) * u_liquid + vapour * u_vapour + capacity * (state[0] - FREEZING) - energy
        slope = (
            (mass - vapour) * state[8]
            + vapour * state[9]
            + vapour_slope * (u_vapour - u_liquid)
            + capacity * state[5]
        )
        if error > 0.0:
            high = ln_p
        else:
            low = ln_p
        step = error / slope
        if abs(step) > 0.5 * last:  # Newton goes round a kink (nearly full, dry): halve instead
            step = ln_p - 0.5 * (low + high)
        last = abs(step)
        ln_p -= step
        if not last > 1.0e-7:
            break
    ln_p = min(max(ln_p, _LOWEST_LN), _HIGHEST_LN)
    state, vapour, _, _ = _contents(ln_p, mass, volume)
    liquid = mass - vapour
    liquid_volume = liquid * state[1]
    vapour_volume = max(volume - liquid_volume, (1.0 - _FULL_FRACTION) * volume)
    over = max(liquid_volume / volume - _FULL_FRACTION, 0.0) / (1.0 - _FULL_FRACTION)
    return Equilibrium(
        math.exp(ln_p) * min(1.0, vapour * state[2] / vapour_volume),
        state[0],
        liquid,
        vapour,
        liquid_volume,
        vapour_volume,
        air_mass * AIR_GAS_CONSTANT * state[0] / vapour_volume,
        3.0e6 * over * over,
    )


@kernel
def equilibrium_rates(
    mass: float,
    volume: float,
    metal_heat_capacity: float,
    air_mass: float,
    steam_pressure_absolute: float,
    mass_rate: float,
    energy_rate: float,
) -> tuple[float, float]:
    """Return how fast pressure changes and water evaporates in a vessel at equilibrium.

    Parameters: as for `equilibrium`, with its steam_pressure_absolute [Pa]; mass_rate [kg/s], all
    water and steam coming in less going out; energy_rate [W], their enthalpies and all heat.
    Returns: steam_pressure_rate [Pa/s]; vapour_mass_rate [kg/s], of the steam in the vessel. Steam
    drawn off is part of mass_rate, so evaporation = vapour_mass_rate + steam drawn - steam let in.
    Notes: the volume and energy balances of `equilibrium` (conservation), differentiated and solved together
    for both rates (the shortcut that holds the steam mass still is 8 to 45 % off). For a wet vessel.

    >>> pressure, vapour = equilibrium_rates(100.0, 0.15, 3.0e4, 0.0, 295.08e3, 0.0, 1.0e4)
    >>> round(pressure, 1), round(1e6 * vapour, 1)
    (188.7, 38.3)
    """
    ln_p = math.log(max(steam_pressure_absolute, 1.0))
    # From the volume balance: vapour_mass_rate = by_mass * mass_rate + vapour_slope * d(ln p)/dt.
    state, vapour, vapour_slope, by_mass = _contents(ln_p, mass, volume)
    capacity = metal_heat_capacity + air_mass * AIR_HEAT_CAPACITY
    latent = state[4] - state[3]
    stored = (mass - vapour) * state[8] + vapour * state[9] + vapour_slope * latent + capacity * state[5]
    ln_p_rate = (energy_rate - mass_rate * (state[3] + by_mass * latent)) / stored
    return math.exp(ln_p) * ln_p_rate, by_mass * mass_rate + vapour_slope * ln_p_rate
