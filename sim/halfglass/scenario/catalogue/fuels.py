"""Solid fuels: what they are made of, their heat, and how a charge of one goes on the fire."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from halfglass.plant.parameters import FuelCharge

CHAR_HEAT = 32.8e6
"""J/kg of fixed carbon (value from memory)."""
MOISTURE_HEAT = 2.44e6
"""J/kg to evaporate moisture at 25 °C."""


@dataclass(frozen=True)
class Fuel:
    """One solid fuel as fired; the four shares add up to 1. All figures are values from memory."""

    name: str
    moisture: float  # share of mass
    volatile: float
    fixed_carbon: float
    ash: float
    net_heat: float  # J/kg as fired
    ignition_lag: float  # s, for a bright fire
    green_density: float  # kg/m³ in bulk, as thrown on
    char_density: float  # kg of char per m³ of glowing bed


_ALL = (
    Fuel("air-dry wood", 0.20, 0.635, 0.155, 0.010, 14.4e6, 60.0, 350.0, 150.0),
    Fuel("charcoal", 0.05, 0.15, 0.77, 0.03, 29.0e6, 45.0, 220.0, 200.0),
    Fuel("anthracite", 0.03, 0.06, 0.84, 0.07, 30.2e6, 240.0, 850.0, 750.0),
    Fuel("steam coal", 0.02, 0.13, 0.79, 0.06, 31.5e6, 120.0, 800.0, 650.0),
)
FUELS: Mapping[str, Fuel] = MappingProxyType({fuel.name: fuel for fuel in _ALL})


def charge(fuel: str, mass: float) -> FuelCharge:
    """A charge of a fuel, split into what the bed keeps account of.

    Parameters: fuel [a name in `FUELS`]; mass as thrown on [kg, > 0].
    Returns: the charge. Heat of the volatiles makes up the rest of the net heat:
    net = (char·32.8e6 + volatile_heat - 2.44e6·moisture)/mass.

    >>> made = charge("steam coal", 2.0)
    >>> heat = made.char * CHAR_HEAT + made.volatile_heat - MOISTURE_HEAT * made.moisture
    >>> round(heat / made.mass / 1e6, 3)
    31.5
    """
    row = FUELS[fuel]
    volatile_heat = row.net_heat - row.fixed_carbon * CHAR_HEAT + MOISTURE_HEAT * row.moisture
    return FuelCharge(
        moisture=row.moisture * mass,
        volatile=row.volatile * mass,
        volatile_heat=volatile_heat * mass,
        char=row.fixed_carbon * mass,
        ash=row.ash * mass,
        ignition_lag=row.ignition_lag,
        green_volume=mass / row.green_density,
        char_volume=row.fixed_carbon * mass / row.char_density,
    )
