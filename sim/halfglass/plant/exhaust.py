"""Exhaust: back pressure, keel condenser, what condenses and what leaves."""

from __future__ import annotations

from halfglass.plant.compile import kernel
from halfglass.plant.parameters import Exhaust
from halfglass.plant.steam import saturation_pressure


@kernel
def keel_conductance(exhaust: Exhaust, boat_speed: float, health: float) -> float:
    """Condenser metal to lake [W/K].

    Parameters: boat_speed [m/s]; health [0-1, fouling].
    Notes: lying still it keeps keel_conductance_lying_fraction of its duty, 1 : 2.5 (Gerr, Boat Mechanical
    Systems Handbook, table 8-1), rising linearly to full at the reference speed.
    """
    lying = exhaust.keel_conductance_lying_fraction
    way = min(1.0, abs(boat_speed) / exhaust.keel_reference_speed)
    return exhaust.keel_conductance_moving * health * (lying + (1.0 - lying) * way)


@kernel
def condense(
    flow: float, enthalpy: float, liquid_enthalpy: float, coldest_enthalpy: float, coil: float, keel: float
) -> tuple[float, float, float, float]:
    """Share the exhaust between condensate and steam that leaves.

    Parameters: exhaust flow [kg/s] and enthalpy [J/kg]; liquid_enthalpy saturated at the back pressure;
    coldest_enthalpy of water at the condenser metal's temperature; coil and keel: heat on offer [W].
    Returns: (condensate kg/s, its heat flow W, heat really taken by the coil W, by the keel metal W).
    Notes: takes no more than cools all of the exhaust to the metal's temperature, so heat runs downhill only.
    """
    if flow <= 1e-9:
        return 0.0, 0.0, 0.0, 0.0
    most = flow * max(0.0, enthalpy - min(coldest_enthalpy, liquid_enthalpy))
    wanted = coil + keel
    share = 1.0 if wanted <= most or wanted <= 0.0 else most / wanted
    taken = wanted * share
    condensed = min(flow, taken / max(enthalpy - liquid_enthalpy, 1.0))
    heat = flow * enthalpy - taken if condensed >= flow else condensed * liquid_enthalpy
    return condensed, heat, coil * share, keel * share


@kernel
def settled_back_pressure(
    exhaust: Exhaust,
    flow: float,
    metal_temperature: float,
    latent_heat: float,
    shaft_speed: float,
    atmosphere_absolute: float,
) -> float:
    """Back pressure the exhaust settles at [Pa absolute].

    Parameters: flow [kg/s]; metal_temperature of the condenser [K]; latent_heat [J/kg]; shaft_speed [rev/s].
    Notes: open to the air: atmosphere plus pipe friction. With an air pump: the pressure at which the
    condenser takes just this flow, plus the air left; it fades to the open value as the engine stops.
    """
    friction = exhaust.pipe_resistance * flow * flow
    opened = atmosphere_absolute + friction
    if exhaust.vacuum <= 0.0:
        return opened
    steam_temperature = metal_temperature + flow * latent_heat / max(exhaust.steam_side_conductance, 1.0)
    closed = saturation_pressure(min(steam_temperature, 400.0)) + exhaust.air_pressure_absolute + friction
    pumping = min(1.0, abs(shaft_speed))
    return opened + (min(closed, opened) - opened) * pumping
