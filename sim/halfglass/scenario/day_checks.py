"""How the entries of a day go together: orders, route, faults, plans."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from halfglass.scenario.by_hand_parts import lacking_parts
from halfglass.scenario.checks import Conflict, conflicts_of_boat_and_stores
from halfglass.scenario.day_models import Scenario
from halfglass.scenario.order_models import FEED_SOURCES
from halfglass.scenario.route_steps import ByHand, Leg, NightHalt, RaiseSteam, TakeFuel, TakeWater
from halfglass.scenario.toml_places import KeyPath
from halfglass.scenario.uncertain import conflicts_of
from halfglass.vocabulary.errors import listed, nearest, quoted


def conflicts(scenario: Scenario) -> tuple[Conflict, ...]:
    """Everything about a scenario that does not go together, boat first."""
    found = list(conflicts_of_boat_and_stores(scenario))
    for look in (
        _orders, _own_orders, _route, _by_hand, _stops, _names, _faults, _fault_parts, _plans, conflicts_of,
    ):  # fmt: skip
        found += look(scenario)
    return tuple(found)


def _no_such_feed(scenario: Scenario, source: str) -> str:
    has = scenario.boat.feed_sources
    can = f"; it can feed by {listed(has)}" if has else "; it has no way of feeding"
    return f"this boat has no {source.partition(' on ')[0]}{can}"


def _orders(scenario: Scenario) -> Iterator[Conflict]:
    orders = scenario.orders
    if "low_glass" in orders.model_fields_set:
        for index, source in enumerate(orders.low_glass):
            if source not in scenario.boat.feed_sources:
                yield Conflict(
                    ("orders", "low_glass", index), _no_such_feed(scenario, source), ("boat", "feed")
                )
    if orders.stop_above <= orders.act_below:
        yield Conflict(
            ("orders", "stop_above"),
            "feeding must stop above the level at which it starts",
            ("orders", "act_below"),
        )


def _own_orders(scenario: Scenario) -> Iterator[Conflict]:
    for index, order in enumerate(scenario.order):
        at: KeyPath = ("order", index)
        if order.do in FEED_SOURCES and order.do not in scenario.boat.feed_sources:
            yield Conflict((*at, "do"), _no_such_feed(scenario, order.do), ("boat", "feed"))
        if order.do == "set burner" and scenario.boat.burner is None:
            yield Conflict((*at, "do"), "this boat has no burner", ("boat",))
        if order.do == "set damper" and scenario.boat.fire is None:
            yield Conflict((*at, "do"), "this boat has no damper", ("boat",))
        if order.do == "clean the grate" and scenario.boat.fire is None:
            yield Conflict((*at, "do"), "this boat has no grate", ("boat",))
        if order.when.bed_below is not None and scenario.boat.fire is None:
            yield Conflict((*at, "when", "bed_below"), "this boat has no fire on a grate", ("boat",))
        if order.until is not None and order.until == order.when:
            yield Conflict(
                (*at, "until"), "this is undone by the same that asks for it; leave a gap", (*at, "when")
            )


def _route(scenario: Scenario) -> Iterator[Conflict]:
    if not isinstance(scenario.route[0], RaiseSteam):
        yield Conflict(
            ("route", 0, "step"), "the boiler is cold at the start; the first step is 'raise steam'"
        )
    is_lit = True
    for index, step in enumerate(scenario.route):
        if step.step == "shut down" and index + 1 < len(scenario.route):
            yield Conflict(
                ("route", index, "step"), "nothing can follow 'shut down'", ("route", index + 1, "step")
            )
        if isinstance(step, NightHalt):
            is_lit = False
        elif isinstance(step, RaiseSteam):
            is_lit = True
        elif isinstance(step, Leg):
            stream = scenario.weather.stream if step.stream is None else step.stream
            if stream < -4.0:
                at: KeyPath = ("weather", "stream") if step.stream is None else ("route", index, "stream")
                yield Conflict(at, "no boat of this kind makes way against such a stream")
            if not is_lit:
                yield Conflict(
                    ("route", index, "step"), "after a night the next thing to do under way is 'raise steam'"
                )
                is_lit = True


def _by_hand(scenario: Scenario) -> Iterator[Conflict]:
    for index, step in enumerate(scenario.route):
        for number, move in enumerate(step.moves if isinstance(step, ByHand) else ()):
            for key, part in lacking_parts(move, scenario.boat):
                yield Conflict(("route", index, "moves", number, key), f"this boat has no {part}", ("boat",))


def _stops(scenario: Scenario) -> Iterator[Conflict]:
    boat = scenario.boat
    for index, step in enumerate(scenario.route):
        at: KeyPath = ("route", index)
        if isinstance(step, TakeFuel):
            right, wrong = ("volume", "mass") if boat.burner is not None else ("mass", "volume")
            if getattr(step, wrong):
                yield Conflict((*at, wrong), f"this boat's fuel is taken on by {right}", ("boat",))
            elif not getattr(step, right):
                yield Conflict(at, f"no fuel is taken on; give {quoted(right)}")
            if boat.burner is not None and step.volume > boat.burner.tank_volume:
                yield Conflict(
                    (*at, "volume"), "this is more than the tank holds", ("boat", "burner", "tank_volume")
                )
        if isinstance(step, TakeWater) and step.volume > boat.exhaust.hotwell_capacity:
            yield Conflict(
                (*at, "volume"),
                "this is more than the hot well holds",
                ("boat", "exhaust", "hotwell_capacity"),
            )


def _names(scenario: Scenario) -> Iterator[Conflict]:
    first: dict[str, KeyPath] = {}
    lists: dict[str, Sequence[object]] = {
        "route": scenario.route, "order": scenario.order, "fault": scenario.fault,
    }  # fmt: skip
    for kind, entries in lists.items():
        for index, entry in enumerate(entries):
            name = getattr(entry, "name", None)
            if name is None:
                continue
            if name in first:
                yield Conflict((kind, index, "name"), "something else has this name", (*first[name], "name"))
            first.setdefault(name, (kind, index))


def _faults(scenario: Scenario) -> Iterator[Conflict]:
    places = scenario.places
    for index, entry in enumerate(scenario.fault):
        if entry.at.day > scenario.nights + 1:
            yield Conflict(
                ("fault", index, "at", "day"),
                f"the outing has no day {entry.at.day}; it has {scenario.nights} nights", ("route",),
            )  # fmt: skip
        for when in ("leaving", "arriving"):
            place = getattr(entry.at, when)
            if place is None or place in places:
                continue
            near = nearest(place, places)
            known = f"it has {listed(places)}" if places else "it names none"
            hint = f"did you mean {quoted(near)}?" if near else known
            yield Conflict(
                ("fault", index, "at", when), f"{quoted(place)} is not on the route; {hint}", ("route",)
            )


def _fault_parts(scenario: Scenario) -> Iterator[Conflict]:
    """Faults of what the boat or the day does not have."""
    boat = scenario.boat
    lacking = {
        "engine pump stops delivering": ("engine pump", boat.feed.engine_pump is None),
        "engine pump packing going": ("engine pump", boat.feed.engine_pump is None),
        "injector will not start": ("injector", boat.feed.injector is None),
        "hand pump leathers worn": ("hand pump", boat.feed.hand_pump is None),
        "wet fuel": ("fire on a grate", boat.fire is None),
        "clinkered grate": ("fire on a grate", boat.fire is None),
        "burner goes out": ("burner", boat.burner is None),
        "condenser fouls": ("keel condenser", boat.exhaust.keel <= 0.0),
    }
    for index, entry in enumerate(scenario.fault):
        part, is_lacking = lacking.get(entry.kind, ("", False))
        if is_lacking:
            yield Conflict(("fault", index, "kind"), f"this boat has no {part}", ("boat",))
        if getattr(entry, "valve", "first") == "second" and len(boat.safety_valve) < 2:
            at: KeyPath = ("fault", index, "valve")
            yield Conflict(at, "this boat has one safety valve", ("boat", "safety_valve"))
        if entry.kind == "one of the crew ashore" and scenario.crew.hands < 2:
            yield Conflict(("fault", index, "kind"), "there is only one aboard", ("crew", "hands"))
        if entry.kind == "long wait at the lock" and all(step.step != "lock" for step in scenario.route):
            yield Conflict(("fault", index, "kind"), "there is no lock on the route", ("route",))


def _plans(scenario: Scenario) -> Iterator[Conflict]:
    first: dict[str, int] = {}
    for index, plan in enumerate(scenario.plan):
        if plan.name in first:
            yield Conflict(
                ("plan", index, "name"), "another plan has this name", ("plan", first[plan.name], "name")
            )
        first.setdefault(plan.name, index)
