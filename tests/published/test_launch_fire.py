"""Catching of fuel and rates of burning, on the shipped coal boat."""

from __future__ import annotations

import numpy as np
import pytest
from steaming import PSI, sedge, steady, stoke

from halfglass.plant import state as y
from halfglass.plant.boiler import convective_covered_fraction
from halfglass.plant.compile import to_record
from halfglass.plant.fire import stack_draught
from halfglass.plant.fire_balance import burn
from halfglass.plant.parameters import Boiler
from halfglass.plant.steady_fire import SteadyFire, steady_fire
from halfglass.plant.steamplant import SteamPlant, records
from halfglass.scenario.catalogue.fuels import FUELS, charge
from halfglass.scenario.catalogue.reduce import plant_parameters

POUND, FOOT = 0.45359237, 0.3048
BRIGHT = 1250.0
"""K of a bright furnace (common practice, no source)."""
THICK = 0.10
ASH = 0.010
"""m of ash on the bars in ordinary running, between clean and choked (common practice, no source)."""


def half_caught(
    fuel: str, furnace: float = BRIGHT, depth: float = THICK, moisture: float | None = None
) -> float:
    """Time in which half of a 0.5 kg charge on Sedge's glowing bed has given off its volatiles [s].

    The bed is held as it is, the charge alone goes: the rates are those of the plant's own bed.
    """
    plant = records(plant_parameters(sedge().boat))
    made = charge(fuel, 0.5, moisture)
    state = np.zeros(y.COUNT)
    state[y.BURNING_CHAR] = depth * plant.fire.grate_area * 650.0
    state[y.CHAR_VOLUME] = depth * plant.fire.grate_area
    state[y.GREEN_MOISTURE], state[y.GREEN_VOLATILE] = made.moisture, made.volatile
    state[y.GREEN_VOLATILE_HEAT], state[y.GREEN_CHAR] = made.volatile_heat, made.char
    state[y.GREEN_LAG_MASS] = (made.moisture + made.volatile + made.char) * made.ignition_lag
    rate, green = np.zeros(y.COUNT), slice(y.GREEN_MOISTURE, y.GREEN_LAG_MASS + 1)
    time, step = 0.0, 1.0
    while state[y.GREEN_VOLATILE] > 0.5 * made.volatile:
        if time > 4.0 * 3600.0:
            return float("inf")
        burn(state, plant, rate, furnace, depth, 0.02, 0.01)
        state[green] += rate[green] * step
        time += step
    return time


@pytest.mark.parametrize(
    ("fuel", "shortest", "longest"),
    [
        ("air-dry wood", 1.0, 3.0),
        ("anthracite", 10.0, 20.0),
        ("charcoal", 3.0, 6.0),
        ("steam coal", 3.0, 8.0),
    ],
)
def test_time_to_catch(fuel: str, shortest: float, longest: float) -> None:
    # Values from memory: wood splits 1-3 min to flame, anthracite 10-20, charcoal 3-6, volatiles of coal 3-8.
    # Measured: half the charge caught, bright bed of 100 mm.
    assert shortest <= half_caught(fuel) / 60.0 <= longest


@pytest.mark.parametrize("fuel", FUELS)
def test_dull_thin_and_wet_are_slower(fuel: str) -> None:
    """Direction only (design of the bed): a colder or a thinner bed and wetter fuel catch later."""
    usual = half_caught(fuel)
    assert half_caught(fuel, furnace=700.0) > 1.3 * usual
    assert half_caught(fuel, depth=0.01) > 1.3 * usual
    assert half_caught(fuel, moisture=FUELS[fuel].moisture + 0.2) > 1.3 * usual
    assert half_caught(fuel, furnace=390.0) == float("inf")


def covered(boiler: Boiler, glass: float = 0.5) -> float:
    """Share of the tube surface with water behind it; a vertical boiler's tubes go on through its steam."""
    height = boiler.bottom_nut_height + glass * (boiler.top_nut_height - boiler.bottom_nut_height)
    return float(convective_covered_fraction(to_record(boiler), height))


def launch_fire(damper: float, blower: float = 0.0, fuel: str = "steam coal") -> SteadyFire:
    """Sedge's fire, 100 mm of it, at 75 psi and half a glass in the draught of its own chimney.

    Draught makes the fire and the fire draught: found by going round between the two.
    """
    plant = plant_parameters(sedge().boat)
    draught = 10.0
    for _ in range(40):
        found = steady_fire(
            plant, charge(fuel, 1.0), draught, 433.0, bed_depth=THICK, damper=damper, ash_depth=ASH,
            covered=covered(plant.boiler),
        )  # fmt: skip
        rise = stack_draught(plant.fire.chimney_height, found.flue_temperature, 288.15, 101325.0)
        rise += stack_draught(plant.fire.furnace_rise, found.fire_temperature, 288.15, 101325.0)
        draught = 0.5 * (draught + rise + blower * plant.fire.blower_pressure)
    return found


def grate_rate(found: SteadyFire) -> float:
    """lb/(h ft²)."""
    grate = sedge().boat.fire
    assert grate is not None
    return found.fuel_rate / grate.grate_area * 3600.0 / POUND * FOOT**2


def test_rate_on_natural_draught() -> None:
    # Stephenson 1903, S: 10-12 lb/(h ft²) on ordinary natural draught. Sedge's chimney, damper wide open.
    assert 10.0 <= grate_rate(launch_fire(1.0)) <= 12.0


@pytest.mark.parametrize("blower", [0.15, 0.4])
def test_rate_with_the_blower(blower: float) -> None:
    # Cyclopedia of Mechanical Engineering, S: marine boilers 15-25 lb/(h ft²); here with the blower cracked
    # and not quite half open.
    assert 15.0 <= grate_rate(launch_fire(1.0, blower=blower)) <= 25.0


@pytest.mark.parametrize("fuel", ["steam coal", "anthracite", "charcoal"])
@pytest.mark.parametrize("damper", [0.3, 0.6, 1.0])
def test_efficiency_of_a_small_boiler(fuel: str, damper: float) -> None:
    # Small launch boilers 55-65 % (value from memory), here of the gross heat fired.
    row = FUELS[fuel]
    assert 0.55 <= launch_fire(damper, fuel=fuel).efficiency * row.net_heat / row.gross_heat <= 0.65


def fired_by_hand(plant: SteamPlant, minutes: float) -> dict[str, float]:
    """Means over a stretch of firing every 10 s at a steady damper, pressure and glass held."""
    names = ("heat_to_boiler_rate", "flue_temperature", "fire_temperature", "air_flow", "bed_depth",
             "draught", "boiler_temperature", "glass_fraction")  # fmt: skip
    sums = dict.fromkeys(names, 0.0)
    steps = round(minutes * 6)
    for _ in range(steps):
        stoke(plant, sedge())
        plant.marcher.state[y.BUNKER_FUEL] = 60.0
        over = plant.reading("boiler_pressure") / PSI - 75.0
        plant.set(
            throttle=min(1.0, max(0.05, plant.controls.throttle + 0.001 * over)),
            bypass=min(1.0, max(0.0, 0.6 + 4.0 * (plant.reading("glass_fraction") - 0.5))),
        )
        plant.marcher.advance(plant.time + 10.0)
        for name in sums:
            sums[name] += plant.reading(name) / steps
    return sums


def test_steady_fire_is_where_the_marched_fire_settles() -> None:
    """The same fire two ways: marched for 40 min under a fixed damper, and worked out at once; 3 %, 5 K."""
    plant = steady()
    plant.set(damper=0.5)
    fired_by_hand(plant, 20.0)
    seen = fired_by_hand(plant, 20.0)
    grate, boiler = plant.parameters.fire.grate_area, plant.parameters.boiler
    found = steady_fire(
        plant.parameters, charge("steam coal", 1.0), seen["draught"], seen["boiler_temperature"],
        bed_depth=seen["bed_depth"], char_depth=plant.state("char_volume") / grate,
        covered=covered(boiler, seen["glass_fraction"]), damper=0.5,
        ash_depth=plant.state("ash") / 700.0 / grate, air_temperature=plant.controls.air_temperature,
    )  # fmt: skip
    assert found.heat_to_boiler == pytest.approx(seen["heat_to_boiler_rate"], rel=0.03)
    assert found.fire_temperature == pytest.approx(seen["fire_temperature"], abs=8.0)
    assert found.flue_temperature == pytest.approx(seen["flue_temperature"], abs=8.0)
    assert found.air_flow == pytest.approx(seen["air_flow"], rel=0.03)
