"""Hand-fired boiler trials, "Steam, its Generation and Use", 35th ed. 1919, table 59 (S), by one set of constants.

A trial boiler is a boat's boiler and fire put through the ordinary reduction, with the trial's grate, heating
surface and steam pressure; everything else is a rule for all rows (see `trial`), none is set for a row. The
draught is that which burns the printed rate; the fire is the steady state of `plant.steady_fire`.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import pytest
from scripted_day import sedge

from halfglass.plant.parameters import FuelCharge, PlantParameters
from halfglass.plant.steady_fire import SteadyFire, steady_fire_at_rate
from halfglass.plant.steam import saturation_temperature
from halfglass.scenario import boat as written
from halfglass.scenario.catalogue.fuels import CHAR_HEAT, FUELS, MOISTURE_HEAT, Fuel, charge
from halfglass.scenario.catalogue.reduce import plant_parameters
from halfglass.scenario.load import load
from scripted_day import SCENARIO

PSI = 6894.757293168
POUND = 0.45359237
FOOT = 0.3048
BTU_PER_POUND = 2326.0
FROM_AND_AT = 970.4 * BTU_PER_POUND
RATE = POUND / FOOT**2 / 3600.0
"""1 lb/(h ft²) in kg/(s m²)."""
BED = 0.15
"""m: six inches of fire, in the usual range for hand firing on natural draught (common practice, no source)."""
LOSS = 40.0
"""W/K of furnace walls for each m² of grate, as on the shipped coal boat (judgement): about 6 % of the heat,
where the book's heat balances leave 5-8 % to radiation and what is unaccounted for (from memory)."""
PASSAGE = 1.0 / 6.0
"""Area between the tubes over the grate: the old rule for the calorimeter (common practice, no source)."""
TUBE, LENGTH = 4.0 / 12.0 * FOOT, 18.0 * FOOT
"""m: the make's usual tubes (from memory)."""


class Trial(NamedTuple):
    """One row of table 59. Shares are of dry coal."""

    number: int
    coal: str
    grate: float  # ft²
    gauge: float  # psi
    draught: float  # in of water in the furnace
    moisture: float
    rate: float  # lb of dry coal/(h ft²)
    volatile: float
    ash: float
    refuse: float  # ash and what burns in it; nan: not printed
    heat: float  # Btu/lb of dry coal
    evaporation: float  # from and at 212 °F, lb/(h ft²) of heating surface
    evaporated: float  # the same in all, lb/h
    flue: float  # °F
    efficiency: float  # %, of boiler, furnace and grate
