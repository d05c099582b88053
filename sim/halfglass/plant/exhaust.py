"""Exhaust: back pressure, keel condenser, what condenses and what leaves."""

from __future__ import annotations

from typing import NamedTuple

from halfglass.plant.compile import kernel
from halfglass.plant.orifice import steam_flow, water_flow
from halfglass.plant.parameters import Exhaust
from halfglass.plant.steam import saturation, saturation_pressure


class Outlet(NamedTuple):
    """What a condenser has to get rid of, and how it can."""

    load: float  # kg/s of exhaust
    metal_temperature: float  # K
    latent_heat: float  # J/kg
    surface: float  # W/K, exhaust to metal, as far as it is not flooded
    drain_area: float  # m², as opened
    atmosphere_absolute: float  # Pa


@kernel
def keel_conductance(exhaust: Exhaust, boat_speed: float, health: float) -> float:
    """Condenser metal to lake [W/K].

    Parameters: boat_speed [m/s]; health [0-1, fouling].
    Notes: lying still it keeps keel_conductance_lying_fraction of its duty, 1 : 2.5 [GERR], rising
    linearly to full at the reference speed.
    """
    lying = exhaust.keel_conductance_lying_fraction
    way = min(1.0, abs(boat_speed) / exhaust.keel_reference_speed)
    return exhaust.keel_conductance_moving * health * (lying + (1.0 - lying) * way)


@kernel
def condense(
    flow: float,
    enthalpy: float,
    liquid_enthalpy: float,
    entering_enthalpy: float,
    metal_enthalpy: float,
    coil: float,
    keel: float,
) -> tuple[float, float, float, float]:
    """Share the exhaust between condensate and steam that leaves.

    Parameters: exhaust flow [kg/s, >= 0] and enthalpy [J/kg]; liquid_enthalpy saturated at the back pressure;
    entering_enthalpy, metal_enthalpy of water as cold as the feed that enters the coil and as the condenser
    metal; coil and keel: heat on offer [W].
    Returns: (condensate kg/s, its heat flow W, heat really taken by the coil W, by the keel metal W).
    Notes: the coil takes no more than cools all of the exhaust to the feed that enters it, then the condenser
    no more than cools it to the metal's temperature, so heat runs downhill only.

    >>> [round(value, 4) for value in condense(0.02, 2.6e6, 4.2e5, 1.2e5, 0.9e5, 5e3, 20e3)]
    [0.0115, 4816.5138, 5000.0, 20000.0]
    """
    if flow <= 1e-9:
        return 0.0, 0.0, 0.0, 0.0
    coil = min(coil, flow * max(0.0, enthalpy - min(entering_enthalpy, liquid_enthalpy)))
    most = flow * (enthalpy - min(metal_enthalpy, liquid_enthalpy)) - coil
    keel = min(keel, max(0.0, most))
    taken = coil + keel
    condensed = min(flow, taken / max(enthalpy - liquid_enthalpy, 1.0))
    heat = flow * enthalpy - taken if condensed >= flow else condensed * liquid_enthalpy
    return condensed, heat, coil, keel


@kernel
def separator_catch(catch_fraction: float, caught: float, capacity: float) -> float:
    """Share of the oil that the separator's cloth still catches.

    Parameters: catch_fraction of a clean cloth [0-1]; caught so far, capacity of the cloth [kg].
    Notes: falls with the square of the load to nothing at the capacity (judgement).

    >>> separator_catch(0.95, 0.1, 0.2)
    0.7124999999999999
    """
    load = min(1.0, max(0.0, caught / capacity))
    return catch_fraction * (1.0 - load * load)


@kernel
def flooded_fraction(exhaust: Exhaust, held: float) -> float:
    """Share of the condensing surface that stands under its own condensate [0-1]; held [kg]."""
    return min(1.0, max(0.0, held / exhaust.condensate_capacity))


@kernel
def condensate_drain_flow(exhaust: Exhaust, opening: float, held: float, back_gauge: float) -> float:
    """Condensate through the drain valve [kg/s].

    Parameters: opening [0-1]; held [kg behind it]; back_gauge [Pa above atmosphere; below it an air pump
    draws the water off].
    Notes: orifice under the back pressure and 0.1 m of head; fades out over the last 0.5 kg (judgement).
    """
    head = max(0.0, back_gauge) + 1.0e3
    return water_flow(exhaust.drain_area * opening, head, 1.0e-3) * min(1.0, max(0.0, held / 0.5))


@kernel
def settled_back_pressure(
    exhaust: Exhaust,
    flow: float,
    load: float,
    metal_temperature: float,
    latent_heat: float,
    shaft_speed: float,
    atmosphere_absolute: float,
    clear: float,
    drain: float,
) -> float:
    """Back pressure the exhaust settles at [Pa absolute].

    Parameters: flow [kg/s]; load [kg/s of it that the feed coil leaves to be condensed]; metal_temperature of
    the condenser [K]; latent_heat [J/kg]; shaft_speed [rev/s]; clear [0-1 of the condensing surface not
    flooded]; drain [0-1, condensate drain valve].
    Notes: open to the air: atmosphere plus pipe friction, and as much more as it takes until the steam that
    finds no surface left to condense on gets out through the drain valve. With an air pump: the pressure at
    which the condenser takes just this flow, plus the air left; it fades to the open value as the engine
    stops. Surface halved at one duty: 60 °C becomes 105 °C over a lake at 15 °C (computed, IAPWS R7-97).
    """
    friction = exhaust.pipe_resistance * flow * flow
    opened = atmosphere_absolute + friction
    surface = max(exhaust.steam_side_conductance * clear, 1.0)
    if exhaust.up_chimney <= 0.0 and exhaust.keel_conductance_moving > 0.0:
        outlet = Outlet(
            load, metal_temperature, latent_heat, surface, exhaust.drain_area * drain, atmosphere_absolute
        )
        opened = pent_up_pressure(outlet, opened)
    if exhaust.vacuum <= 0.0:
        return opened
    steam_temperature = min(metal_temperature + load * latent_heat / surface, 450.0)
    closed = saturation_pressure(steam_temperature) + exhaust.air_pressure_absolute + friction
    pumping = min(1.0, abs(shaft_speed))
    return opened + (min(closed, opened) - opened) * pumping


@kernel
def pent_up_pressure(outlet: Outlet, opened: float) -> float:
    """Back pressure of a condenser whose only outlet is the drain valve [Pa absolute], by halving.

    Parameters: opened [Pa absolute, above 0, with the outlet wide].
    Returns: opened, or the pressure at which what condenses and what the valve passes make up the load; at
    most 1 MPa (judgement), if it is not more opened; found within 0.1 Pa.
    """
    low, high = opened, 1.0e6
    if low >= high or outlet_shortage(outlet, low) <= 0.0:
        return opened
    for _ in range(40):
        middle = 0.5 * (low + high)
        if outlet_shortage(outlet, middle) > 0.0:
            low = middle
        else:
            high = middle
        if high - low < 0.1:
            break
    return 0.5 * (low + high)


@kernel
def outlet_shortage(outlet: Outlet, pressure_absolute: float) -> float:
    """Exhaust that neither condenses nor gets out at a back pressure [kg/s]; falls as the pressure rises.

    Parameters: pressure_absolute [Pa, above 0]. Returns: below 0 where more could leave than comes.
    """
    temperature, _, vapour_volume, _, _, _, _ = saturation(pressure_absolute)
    condensed = outlet.surface * max(0.0, temperature - outlet.metal_temperature) / outlet.latent_heat
    passed = steam_flow(outlet.drain_area, pressure_absolute, outlet.atmosphere_absolute, vapour_volume)
    return outlet.load - condensed - passed
