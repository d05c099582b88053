"""How the entries of boat and stores go together: conflicts no single table can see (the day: `day_checks`).

Every conflict found is reported, each with the entry it is about and the one it conflicts with.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from halfglass.scenario.boat import Boat
from halfglass.scenario.catalogue import hull_and_screw
from halfglass.scenario.catalogue.boiler_shapes import formed, misfits
from halfglass.scenario.day_models import Scenario
from halfglass.scenario.route_steps import RaiseSteam
from halfglass.scenario.toml_places import KeyPath
from halfglass.vocabulary import units
from halfglass.vocabulary.errors import quoted


@dataclass(frozen=True)
class Conflict:
    """One thing that does not go together: the entry, a sentence, and the other entry if there is one."""

    path: KeyPath
    message: str
    second: KeyPath | None = None
    on: str = "value"


def conflicts_of_boat_and_stores(scenario: Scenario) -> tuple[Conflict, ...]:
    """Everything that does not go together about the boat and what it carries."""
    found = [*_boiler(scenario.boat), *_valves(scenario.boat), *_machinery(scenario.boat)]
    return (*found, *_pressures(scenario), *_stores(scenario))


def _boiler(boat: Boat) -> Iterator[Conflict]:
    shape, at = boat.boiler, ("boat", "boiler")
    glass = shape.glass
    if glass.top_nut <= glass.bottom_nut:
        yield Conflict(
            (*at, "glass", "top_nut"),
            "the top nut must be above the bottom nut",
            (*at, "glass", "bottom_nut"),
        )
    wrong = misfits(shape)
    for misfit in wrong:
        yield Conflict((*at, misfit.key), misfit.message, (*at, misfit.second))
    if wrong:
        return
    form = formed(shape)
    if glass.top_nut >= form.top_height:
        yield Conflict(
            (*at, "glass", "top_nut"),
            "the glass reaches above the shell, which ends at " + _shown(form.top_height, "length"),
            (*at, form.top_key),
        )
    if form.crown_height >= glass.bottom_nut:
        yield Conflict(
            (*at, "glass", "bottom_nut"),
            "the crown is above the bottom nut: it would be bare with water still in the glass",
            (*at, form.crown_key),
        )
    room = form.largest_grate
    if boat.fire is not None and room is not None and boat.fire.grate_area > room:
        yield Conflict(
            ("boat", "fire", "grate_area"),
            "the furnace has no room for so large a grate, only for " + _shown(room, "area"),
            at,
        )


def _valves(boat: Boat) -> Iterator[Conflict]:
    for index, valve in enumerate(boat.safety_valve):
        at = ("boat", "safety_valve", index)
        if valve.reseat_pressure >= valve.set_pressure:
            yield Conflict(
                (*at, "reseat_pressure"),
                "a safety valve must shut below the pressure it lifts at",
                (*at, "set_pressure"),
            )
    if len(boat.safety_valve) == 2 and boat.safety_valve[1].set_pressure < boat.safety_valve[0].set_pressure:
        yield Conflict(
            ("boat", "safety_valve", 1, "set_pressure"),
            "give the valve that lifts first first",
            ("boat", "safety_valve", 0, "set_pressure"),
        )


def _machinery(boat: Boat) -> Iterator[Conflict]:
    if boat.fire is not None and boat.burner is not None:
        yield Conflict(
            ("boat", "burner"), "a boat has a fire on a grate or a burner, not both", ("boat", "fire"), "key"
        )
    if boat.fire is None and boat.burner is None:
        yield Conflict(("boat",), "this boat has neither 'fire' nor 'burner'")
    engine = boat.engine
    if engine.kind == "compound" and (engine.low_pressure_bore or 0.0) <= engine.bore:
        yield Conflict(
            ("boat", "engine", "low_pressure_bore"),
            "a compound wants a low-pressure bore larger than its bore",
            ("boat", "engine", "bore"),
        )
    if engine.kind != "compound" and engine.low_pressure_bore is not None:
        yield Conflict(
            ("boat", "engine", "low_pressure_bore"),
            "only a compound has a low-pressure cylinder",
            ("boat", "engine", "kind"),
        )
    if engine.mid_gear_cut_off > engine.cut_off:
        yield Conflict(
            ("boat", "engine", "mid_gear_cut_off"),
            "steam enters for longest with the gear right over",
            ("boat", "engine", "cut_off"),
        )
    if (boat.lubricator.at_speed is None) == (boat.lubricator.kind == "mechanical"):
        is_needed = boat.lubricator.kind == "mechanical"
        yield Conflict(
            ("boat", "lubricator") if is_needed else ("boat", "lubricator", "at_speed"),
            "a mechanical lubricator wants 'at_speed'"
            if is_needed
            else "only a mechanical one follows the engine",
        )
    for fault in hull_and_screw.measured_faults(boat.hull, boat.propeller):
        yield Conflict(("boat", "hull", "measured"), fault, ("boat", "propeller"))
    wanted = {
        "keel condenser": ("keel",),
        "feed-heating condenser": ("coil",),
        "both in series": ("coil", "keel"),
    }
    for part in wanted.get(boat.exhaust.kind, ()):
        if getattr(boat.exhaust, part) <= 0.0:
            yield Conflict(
                ("boat", "exhaust", part),
                f"this kind of exhaust wants a conductance for its {part}",
                ("boat", "exhaust", "kind"),
            )


def _pressures(scenario: Scenario) -> Iterator[Conflict]:
    valve = scenario.boat.safety_valve[0].set_pressure
    valve_at: KeyPath = ("boat", "safety_valve", 0, "set_pressure")
    if scenario.firing.working_pressure >= valve:
        yield Conflict(
            ("firing", "working_pressure"),
            "the first safety valve is set below this working pressure, at "
            + _shown(valve, "gauge_pressure"),
            valve_at,
        )
    for index, step in enumerate(scenario.route):
        if isinstance(step, RaiseSteam) and step.until >= valve:
            yield Conflict(
                ("route", index, "until"), "the first safety valve lifts before this pressure", valve_at
            )


def _stores(scenario: Scenario) -> Iterator[Conflict]:
    aboard, boat = scenario.aboard, scenario.boat
    is_paraffin = aboard.fuel == "paraffin"
    if boat.burner is not None and boat.fire is None and not is_paraffin:
        yield Conflict(
            ("aboard", "fuel"), "this boat has a burner, which burns 'paraffin'", ("boat", "burner")
        )
    if boat.burner is None and boat.fire is not None and is_paraffin:
        yield Conflict(
            ("aboard", "fuel"), "this boat has a grate, which does not burn paraffin", ("boat", "fire")
        )
    suits = boat.fire is not None and not is_paraffin or boat.burner is not None and is_paraffin
    if boat.burner is not None and aboard.tank_fuel > boat.burner.tank_volume:
        yield Conflict(
            ("aboard", "tank_fuel"), "this is more than the tank holds", ("boat", "burner", "tank_volume")
        )
    if aboard.hotwell > boat.exhaust.hotwell_capacity:
        yield Conflict(
            ("aboard", "hotwell"),
            "this is more than the hot well holds",
            ("boat", "exhaust", "hotwell_capacity"),
        )
    if not suits:
        return
    carried_at: KeyPath = ("aboard", "tank_fuel" if is_paraffin else "fuel_mass")
    carried = aboard.fuel_mass
    if is_paraffin:
        carried = aboard.tank_fuel * (boat.burner.density if boat.burner is not None else 800.0)
    if carried <= 0.0:
        yield Conflict(carried_at, f"no {aboard.fuel} is carried; give {quoted(str(carried_at[1]))}")
    elif aboard.fuel_reserve >= carried:
        yield Conflict(
            ("aboard", "fuel_reserve"),
            "the reserve is no less than all that is carried, " + _shown(carried, "mass"),
            carried_at,
        )


def _shown(value: float, kind: str) -> str:
    return units.show(value, kind)
