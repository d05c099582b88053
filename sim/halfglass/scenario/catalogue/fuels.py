"""Solid fuels: what they are made of, their heat, and how a charge of one goes on the fire.

Net heat is worked out, not stated: net = gross - 2.44 (9 H + w) MJ/kg, H the share of hydrogen and w that of
moisture, both of the fuel as fired. Compositions and densities are values from memory unless a source stands
beside them; figures they were held against:

- anthracite: gross 29.18 MJ/kg [CFR], net 26.7 (IPCC 2006, from memory); dry analyses 6-8 % volatile, 77-85 %
  fixed carbon, 9-15 % ash, 28.6-31.3 MJ/kg gross ([BW] table 59);
- steam coal: bituminous coal gross 28.99 MJ/kg on the mean [CFR]; dry, low in volatiles, 15-20 % volatile,
  62-76 % fixed carbon, 6-22 % ash, 28.1-34.0 MJ/kg gross ([BW] table 59);
- charcoal: 29-30 MJ/kg net; IPCC 2006 29.5 (from memory);
- wood: net 18.5-19.0 MJ/kg of dry wood, less 2.44 MJ/kg of moisture; gross 19.3-21.3 dry ([BW] table 41).

Carbon lost through the grate: refuse less ash in [BW] table 59, 5-7 % of anthracite fired by hand (one trial
15 %), 1-4 % of coal low in volatiles; charcoal and wood are judgements.

Lags: time in which half of a charge on a thick bright bed has caught (with its share of drying), wood splits
1-3 min to flame, anthracite 10-20 min, charcoal 3-6, volatiles of coal 3-8 (values from memory).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from halfglass.plant.parameters import FuelCharge

CHAR_HEAT = 32.8e6
"""J/kg of fixed carbon (value from memory)."""
MOISTURE_HEAT = 2.44e6
"""J/kg to evaporate moisture at 25 °C."""


@dataclass(frozen=True)
class Fuel:
    """One solid fuel as fired; the first four shares add up to 1."""

    name: str
    moisture: float  # share of mass
    volatile: float
    fixed_carbon: float
    ash: float
    hydrogen: float  # share of mass, that of the moisture not counted
    gross_heat: float  # J/kg as fired
    grate_loss: float  # share of mass, carbon that falls through the grate
    ignition_lag: float  # s, first-order, once dry, on a thick bright bed
    green_density: float  # kg/m³ in bulk, as thrown on
    char_density: float  # kg of char per m³ of glowing bed

    @property
    def net_heat(self) -> float:
        """Net heat as fired [J/kg]: gross less the heat of the water vapour."""
        return self.gross_heat - MOISTURE_HEAT * (9.0 * self.hydrogen + self.moisture)

    def at_ash(self, ash: float) -> Fuel:
        """The same fuel cleaner or dirtier, its moisture unchanged.

        Parameters: ash [share of mass as fired, 0 to below 1 - moisture].
        Notes: everything that burns goes by what is left beside ash and moisture.

        >>> round(FUELS["steam coal"].at_ash(0.157).net_heat / 1e6, 2)
        25.98
        """
        burns = (1.0 - self.moisture - ash) / (1.0 - self.moisture - self.ash)
        return replace(
            self,
            ash=ash,
            volatile=self.volatile * burns,
            fixed_carbon=self.fixed_carbon * burns,
            hydrogen=self.hydrogen * burns,
            gross_heat=self.gross_heat * burns,
            grate_loss=self.grate_loss * burns,
        )

    def at_moisture(self, moisture: float) -> Fuel:
        """The same fuel drier or wetter.

        Parameters: moisture [share of the wet mass, 0 to below 1].
        Notes: everything else goes by the dry mass, so net = NCV0 (1 - w) - 2.44 w.

        >>> round(FUELS["air-dry wood"].at_moisture(0.35).net_heat / 1e6, 2)
        11.27
        """
        dry = (1.0 - moisture) / (1.0 - self.moisture)
        return Fuel(
            name=self.name,
            moisture=moisture,
            volatile=self.volatile * dry,
            fixed_carbon=self.fixed_carbon * dry,
            ash=self.ash * dry,
            hydrogen=self.hydrogen * dry,
            gross_heat=self.gross_heat * dry,
            grate_loss=self.grate_loss * dry,
            ignition_lag=self.ignition_lag,
            green_density=self.green_density / dry,
            char_density=self.char_density,
        )


_ALL = (
    Fuel("air-dry wood", 0.20, 0.635, 0.155, 0.010, 0.048, 15.97e6, 0.001, 70.0, 350.0, 150.0),
    Fuel("charcoal", 0.05, 0.15, 0.77, 0.03, 0.027, 30.0e6, 0.01, 290.0, 220.0, 200.0),
    Fuel("anthracite", 0.06, 0.055, 0.80, 0.085, 0.024, 29.05e6, 0.05, 950.0, 850.0, 750.0),
    Fuel("steam coal", 0.06, 0.15, 0.72, 0.07, 0.042, 29.95e6, 0.02, 380.0, 800.0, 650.0),
)
FUELS: Mapping[str, Fuel] = MappingProxyType({fuel.name: fuel for fuel in _ALL})


def charge(fuel: str, mass: float, moisture: float | None = None, ash: float | None = None) -> FuelCharge:
    """A charge of a fuel, split into what the bed keeps account of.

    Parameters: fuel [a name in `FUELS`]; mass as thrown on [kg, > 0]; moisture [share of that mass, 0 to
    below 1; left out: that of the catalogue]; ash [share of mass at the catalogue's moisture; likewise].
    Returns: the charge. Heat of the volatiles makes up the rest of the net heat:
    net = (32.8e6 (char + riddled) + volatile_heat - 2.44e6 moisture)/mass.

    >>> made = charge("steam coal", 2.0)
    >>> heat = (made.char + made.riddled) * CHAR_HEAT + made.volatile_heat - MOISTURE_HEAT * made.moisture
    >>> round(heat / made.mass / 1e6, 2)
    28.88
    """
    row = FUELS[fuel] if ash is None else FUELS[fuel].at_ash(ash)
    row = row if moisture is None else row.at_moisture(moisture)
    volatile_heat = row.net_heat - row.fixed_carbon * CHAR_HEAT + MOISTURE_HEAT * row.moisture
    char = row.fixed_carbon - row.grate_loss
    return FuelCharge(
        moisture=row.moisture * mass,
        volatile=row.volatile * mass,
        volatile_heat=volatile_heat * mass,
        char=char * mass,
        riddled=row.grate_loss * mass,
        ash=row.ash * mass,
        ignition_lag=row.ignition_lag,
        green_volume=mass / row.green_density,
        char_volume=char * mass / row.char_density,
    )
