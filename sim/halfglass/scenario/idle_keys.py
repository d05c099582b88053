"""Keys that are written but that nothing uses: of a part the boat, or the movement, does not have.

A key of the day as written may be there for one plan only, which takes another boat; it is refused if it is
idle under every plan.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from halfglass.scenario.day_models import Scenario
from halfglass.scenario.route_steps import Manoeuvre
from halfglass.scenario.toml_places import KeyPath

GRATE = (
    ("aboard", "fuel_mass"), ("aboard", "fuel_moisture"), ("aboard", "fuel_ash"), ("crew", "firing_takes"),
    ("firing", "raising_damper"), ("firing", "bed_depth"), ("firing", "charge"),
)  # fmt: skip
BURNER = (("aboard", "tank_fuel"), ("firing", "burner_rate"))
HAND_PUMP = (("crew", "strokes"), ("crew", "pumping_at_helm"))
KEEL = (("boat", "exhaust", "keel_lying"), ("boat", "exhaust", "keel_speed"))

AIR = (("boat", "exhaust", "air_left"),)
BLAST = (("boat", "exhaust", "blast_draught"),)


def idle_keys(scenario: Scenario) -> dict[KeyPath, str]:
    """The keys written in a day, or its boat, that nothing uses there, each with the reason."""
    boat = scenario.boat
    lacking: list[tuple[bool, tuple[KeyPath, ...], str]] = [
        (boat.fire is None, GRATE, "this boat has no grate"),
        (boat.burner is None, BURNER, "this boat has no burner"),
        (boat.feed.hand_pump is None, HAND_PUMP, "this boat has no hand pump"),
        (boat.exhaust.keel <= 0.0, KEEL, "this boat has no keel condenser"),
        (not boat.exhaust.air_pump, AIR, "this boat has no air pump"),
        (not boat.exhaust.up_chimney, BLAST, "no steam goes up the chimney"),
    ]
    found = {key: why for is_so, keys, why in lacking if is_so for key in keys if _is_written(scenario, key)}
    return found | dict(_stopped(scenario))


def _is_written(scenario: Scenario, key: KeyPath) -> bool:
    """Whether a key is given and says more than nothing."""
    table: Any = scenario
    for part in key[:-1]:
        table = getattr(table, str(part))
    name = str(key[-1])
    return name in table.model_fields_set and bool(getattr(table, name))


def _stopped(scenario: Scenario) -> Iterator[tuple[KeyPath, str]]:
    for index, step in enumerate(scenario.route):
        for number, movement in enumerate(step.movements if isinstance(step, Manoeuvre) else ()):
            if movement.gear == "stop" and movement.throttle > 0.0:
                key = ("route", index, "movements", number, "throttle")
                yield key, "the throttle is shut while the engine is stopped"
