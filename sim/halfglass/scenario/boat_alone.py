"""A boat file by itself, with a stated day around it so that it can be looked over."""

from __future__ import annotations

from pathlib import Path

from halfglass.scenario.day_models import Scenario
from halfglass.scenario.idle_keys import idle_keys
from halfglass.scenario.load import Story, validated
from halfglass.scenario.toml_text import from_text, read
from halfglass.vocabulary.errors import Fault, ScenarioError

WORKING_SHARE = 0.8
"""Working pressure over the set pressure of the first safety valve (judgement)."""
LOAD = 40.0
"""kg of solid fuel taken to be aboard."""
_DAY = """
title = "The boat alone"
light_up = 08:00:00
firing = {{ working_pressure = "1 psi" }}
aboard = {{ fuel = "{fuel}", {load}, hotwell = "0 L" }}
route = [{{ step = "raise steam", until = "1 psi" }}]
"""


def is_boat(path: str | Path) -> bool:
    """Tell whether a file holds a boat and not a day with one; raises `ScenarioError` if unreadable."""
    values = read(path).values
    return "boiler" in values and not {"boat", "route"} & values.keys()


def alone_story(path: str | Path) -> Story:
    """A boat file as a story of one day, for what takes stories; raises `ScenarioError` as `load_boat`."""
    day = load_boat(path)
    return Story(str(path), {str(path): Path(path).read_bytes()}, day.plan, day, {day.plan[0].name: day})


def load_boat(path: str | Path) -> Scenario:
    """Read and check a boat file; the day around it is our own.

    Raises `ScenarioError` with every fault found in the boat, each at its place.
    """
    boat = read(path)
    solid = "burner" not in boat.values
    load = f'fuel_mass = "{LOAD:g} kg"' if solid else 'tank_fuel = "1 mL"'
    day = from_text(_DAY.format(fuel="steam coal" if solid else "paraffin", load=load), boat.file)
    faults: list[Fault] = []
    scenario = validated(day.grafted(("boat",), boat), faults)
    for key, why in idle_keys(scenario).items() if scenario is not None else ():
        if key[0] == "boat":
            faults.append(boat.fault(key[1:], f"nothing uses this: {why}", "key"))
    if faults or scenario is None:
        raise ScenarioError(list(dict.fromkeys(faults)))
    burner = scenario.boat.burner
    pressure = WORKING_SHARE * scenario.boat.safety_valve[0].set_pressure
    hotwell = 0.4 * scenario.boat.exhaust.hotwell_capacity
    aboard = {"hotwell": hotwell, **({"tank_fuel": burner.tank_volume} if burner is not None else {})}
    return scenario.model_copy(
        update={
            "firing": scenario.firing.model_copy(update={"working_pressure": pressure}),
            "aboard": scenario.aboard.model_copy(update=aboard),
        }
    )
