"""A shipped boat brought to steady steaming by a plain rule, without crew or route."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from halfglass.plant import state as y
from halfglass.plant.steamplant import SteamPlant
from halfglass.scenario.catalogue.fuels import charge
from halfglass.scenario.catalogue.reduce import initial_state, plant_parameters
from halfglass.scenario.day_models import Scenario
from halfglass.scenario.load import load

SCENARIOS = Path(__file__).parents[2] / "scenarios"
PSI = 6894.757293168
BED = 12.0
"""kg of fuel on Sedge's grate, about 90 mm (common practice, no source)."""
EVERY = 10.0
"""s between the touches of the rule that steadies the plant."""


@cache
def sedge() -> Scenario:
    """The lake day with Sedge, its first plan."""
    story = load(SCENARIOS / "01-quiet-lake-day.toml")
    return story.for_plan(story.plan_names[0])


def cold(scenario: Scenario) -> SteamPlant:
    """The boat before lighting up."""
    return SteamPlant(plant_parameters(scenario.boat), initial_state(scenario))


def stoke(plant: SteamPlant, scenario: Scenario) -> None:
    """Make the bed up to its weight with what has burnt away."""
    short = BED - plant.reading("bed_fuel_mass")
    if short > 0.0:
        plant.put_on(charge(scenario.aboard.fuel, short))


def tend(plant: SteamPlant, scenario: Scenario, pressure: float, glass: float) -> None:
    """One touch: bed to its weight, damper by the gauge, bypass by the glass."""
    stoke(plant, scenario)
    plant.set(
        damper=min(1.0, max(0.05, 0.4 + (pressure - plant.reading("boiler_pressure")) / (10.0 * PSI))),
        bypass=min(1.0, max(0.0, 0.6 + 4.0 * (plant.reading("glass_fraction") - glass))),
    )


def steady(pressure: float = 75.0 * PSI, throttle: float = 0.35, glass: float = 0.5) -> SteamPlant:
    """Sedge under way and settled: pressure [Pa above atmosphere], throttle [0-1], glass [0-1].

    Steam is raised from cold with the throttle shut, then the plant is tended until nothing drifts.
    """
    scenario = sedge()
    plant = cold(scenario)
    plant.light(charge(scenario.aboard.fuel, 2.0), charge("air-dry wood", 2.0), 950.0)
    plant.set(damper=0.3, moored=0.0, cylinder_drains=0.0)
    while plant.reading("boiler_pressure") < pressure:
        if plant.time > 3.0 * 3600.0:
            raise AssertionError(f"no steam: {plant.reading('boiler_pressure'):.0f} Pa after three hours")
        if plant.reading("boiler_pressure") > 2.0e4:
            plant.set(vent=0.0)
        stoke(plant, scenario)
        plant.marcher.advance(plant.time + EVERY)
    plant.set(throttle=throttle, bypass=0.5)
    ends = plant.time + 3600.0
    while plant.time < ends:
        plant.marcher.state[y.BUNKER_FUEL] = scenario.aboard.fuel_mass
        tend(plant, scenario, pressure, glass)
        plant.marcher.advance(plant.time + EVERY)
    return plant


def follow(
    plant: SteamPlant,
    seconds: float,
    names: tuple[str, ...],
    each: Callable[[], None] | None = None,
    every: float = 1.0,
) -> dict[str, NDArray[np.float64]]:
    """Let time pass: the named readings at equal steps [s] with `time` from now; `each` follows a step."""
    begun = plant.time
    rows = [(0.0, *(plant.reading(name) for name in names))]
    for step in range(1, round(seconds / every) + 1):
        plant.marcher.advance(begun + step * every)
        rows.append((step * every, *(plant.reading(name) for name in names)))
        if each is not None:
            each()
    table = np.array(rows)
    return {name: table[:, column] for column, name in enumerate(("time", *names))}
