"""How the entries of a scenario go together: conflicts no single table can see.

Every conflict found is reported, each with the entry it is about and the one it conflicts with.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from halfglass.scenario.boat import Boat
from halfglass.scenario.catalogue import hull_and_screw
from halfglass.scenario.catalogue.boiler_shapes import crown_height, top_height
from halfglass.scenario.day_models import Leg, RaiseSteam, Scenario
from halfglass.scenario.toml_places import KeyPath
from halfglass.vocabulary import units
from halfglass.vocabulary.errors import listed, nearest, quoted


@dataclass(frozen=True)
class Conflict:
    """One thing that does not go together: the entry, a sentence, and the other entry if there is one."""

    path: KeyPath
    message: str
    second: KeyPath | None = None
    on: str = "value"


def conflicts(scenario: Scenario) -> tuple[Conflict, ...]:
    """Everything about a scenario that does not go together, boat first."""
    found = [*_boiler(scenario.boat), *_valves(scenario.boat), *_machinery(scenario.boat)]
    found += [*_pressures(scenario), *_stores(scenario), *_orders(scenario), *_route(scenario)]
    return tuple(found) + tuple(_faults(scenario)) + tuple(_plans(scenario))


def _boiler(boat: Boat) -> Iterator[Conflict]:
    shape, at = boat.boiler, ("boat", "boiler")
    glass = shape.glass
    if glass.top_nut <= glass.bottom_nut:
        yield Conflict(
            (*at, "glass", "top_nut"),
            "the top nut must be above the bottom nut",
            (*at, "glass", "bottom_nut"),
        )
    if glass.top_nut >= top_height(shape):
        top = "shell_height" if shape.kind == "vertical fire-tube" else "drum_diameter"
        yield Conflict(
            (*at, "glass", "top_nut"),
            "the glass reaches above the shell, which ends at " + _shown(top_height(shape), "length"),
            (*at, top),
        )
    if crown_height(shape) >= glass.bottom_nut:
        crown = "firebox_height" if shape.kind == "vertical fire-tube" else "tube_rise"
        yield Conflict(
            (*at, "glass", "bottom_nut"),
            "the crown is above the bottom nut: it would be bare with water still in the glass",
            (*at, crown),
        )
    if shape.tube_thickness * 2 >= shape.tube_diameter:
        yield Conflict((*at, "tube_thickness"), "the wall leaves no bore in the tube", (*at, "tube_diameter"))
    if shape.kind == "vertical fire-tube":
        if shape.firebox_diameter >= shape.shell_diameter:
            yield Conflict(
                (*at, "firebox_diameter"),
                "the firebox must be narrower than the shell",
                (*at, "shell_diameter"),
            )
        if shape.firebox_height >= shape.shell_height:
            yield Conflict(
                (*at, "firebox_height"), "the firebox must be lower than the shell", (*at, "shell_height")
            )
        if shape.tubes * shape.tube_diameter**2 >= 0.6 * shape.firebox_diameter**2:
            yield Conflict((*at, "tubes"), "so many tubes do not fit in the crown", (*at, "firebox_diameter"))


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
    for fault in hull_and_screw.measured_faults(boat.hull, boat.propeller):
        yield Conflict(("boat", "hull", "measured"), fault, ("boat", "propeller"))
    for part in ("coil", "keel"):
        if part in boat.exhaust.kind and getattr(boat.exhaust, part) <= 0.0:
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


def _orders(scenario: Scenario) -> Iterator[Conflict]:
    orders, has = scenario.orders, scenario.boat.feed_sources
    if "low_glass" in orders.model_fields_set:
        for index, action in enumerate(orders.low_glass):
            if action not in has:
                can = f"; it can feed by {listed(has)}" if has else "; it has no way of feeding"
                yield Conflict(
                    ("orders", "low_glass", index),
                    f"this boat has no {action.partition(' on ')[0]}{can}",
                    ("boat", "feed"),
                )
    if orders.stop_above <= orders.act_below:
        yield Conflict(
            ("orders", "stop_above"),
            "feeding must stop above the level at which it starts",
            ("orders", "act_below"),
        )


def _route(scenario: Scenario) -> Iterator[Conflict]:
    if scenario.route[0].step != "raise steam":
        yield Conflict(
            ("route", 0, "step"), "the boiler is cold at the start; the first step is 'raise steam'"
        )
    for index, step in enumerate(scenario.route[:-1]):
        if step.step == "shut down":
            yield Conflict(
                ("route", index, "step"), "nothing can follow 'shut down'", ("route", index + 1, "step")
            )
    for index, step in enumerate(scenario.route):
        stream = scenario.weather.stream if not isinstance(step, Leg) or step.stream is None else step.stream
        if isinstance(step, Leg) and stream < -4.0:
            yield Conflict(("route", index), "no boat of this kind makes way against such a stream")


def _faults(scenario: Scenario) -> Iterator[Conflict]:
    places = scenario.places
    for index, entry in enumerate(scenario.fault):
        for when in ("leaving", "arriving"):
            place = getattr(entry.at, when)
            if place is not None and place not in places:
                near = nearest(place, places)
                hint = (
                    f"did you mean {quoted(near)}?"
                    if near
                    else (f"it has {listed(places)}" if places else "it names none")
                )
                yield Conflict(
                    ("fault", index, "at", when), f"{quoted(place)} is not on the route; {hint}", ("route",)
                )


def _plans(scenario: Scenario) -> Iterator[Conflict]:
    first: dict[str, int] = {}
    for index, plan in enumerate(scenario.plan):
        if plan.name in first:
            yield Conflict(
                ("plan", index, "name"), "another plan has this name", ("plan", first[plan.name], "name")
            )
        first.setdefault(plan.name, index)


def _shown(value: float, kind: str) -> str:
    return units.show(value, kind)
