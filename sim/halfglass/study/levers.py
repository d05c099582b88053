"""What may be chosen in a day: levers, each a key (or several) of the scenario with a row of settings.

Settings are round values in the unit the key is written in, as a person would set them, and the value as
written is always one of them. A lever is added in `LEVERS`: a function of the day that yields it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from halfglass.scenario.day_checks import conflicts
from halfglass.scenario.day_models import EASE_MARGIN, Scenario
from halfglass.scenario.dotted import at, field, paths, put_in, quantity_of
from halfglass.scenario.idle_keys import idle_keys
from halfglass.scenario.load import Story
from halfglass.scenario.route_steps import Leg, TakeFuel
from halfglass.scenario.toml_places import KeyPath
from halfglass.scenario.written_plan import WrittenPlan, written_plan
from halfglass.study.settings import Lever, Setting, chosen, ranged
from halfglass.vocabulary.errors import quoted

MOST_LEGS = 12
"""Legs that have a lever each; with more, those that are written alike share one."""
LOWEST_SHARE, HIGHEST_SHARE = 1.0 / 3.0, 2.0
"""Range looked over, of the value as written, where the boat or practice names none (judgement)."""
LEFT_OUT = "left out"
GIVEN = ("boat", "weather", "fault", "title", "story", "units", "date", "light_up", "plan", "uncertain")
"""What a plan is not free to choose: how the boat is built, what the day brings."""


class LeverError(ValueError):
    """A lever asked for that cannot be; the message says why."""


@dataclass(frozen=True)
class Bench:
    """The day under a plan with its levers: lays settings in."""

    day: Scenario
    plan: WrittenPlan
    levers: tuple[Lever, ...]

    @property
    def as_written(self) -> tuple[int, ...]:
        """The place of every lever as written."""
        return tuple(lever.written for lever in self.levers)

    def laid(self, places: Sequence[int]) -> Scenario | None:
        """The day with every lever at a place; None if they do not go together."""
        day, dropped = self.day, set()
        for lever, place in zip(self.levers, places, strict=True):
            if place == lever.written:
                continue
            value = lever.settings[place].value
            for path in lever.paths:
                if value is None:
                    dropped.add(path[1])
                else:
                    day = put_in(day, path, value)
        if dropped:
            route = tuple(step for number, step in enumerate(day.route) if number not in dropped)
            day = day.model_copy(update={"route": route})
        return None if any(conflicts(day)) else day

    def raw_plan(self, places: Sequence[int], name: str, about: str) -> dict[str, Any]:
        """The plan that does the same, as raw values (see `written_plan`)."""
        values: list[tuple[KeyPath, Any]] = []
        dropped: list[str] = []
        for lever, place in zip(self.levers, places, strict=True):
            setting = lever.settings[place]
            if place == lever.written:
                continue
            if setting.value is None:
                dropped += [str(self.day.route[int(path[1])].name) for path in lever.paths]
            else:
                values += [(path, setting.typed) for path in lever.paths]
        return self.plan.changed(name, about, values, dropped)


def bench(story: Story, plan: str, choose: Sequence[str] = (), fix: Sequence[str] = ()) -> Bench:
    """The day of a plan with what may be chosen in it.

    Parameters: choose, levers asked for as ``KEY=LOW..HIGH`` or ``KEY=VALUE|VALUE``, in place of any found
    for the same key; fix, keys that stay as written. Raises `LeverError`.
    """
    day, raw = story.for_plan(plan), written_plan(story, plan)
    asked = [_asked(day, raw, text) for text in choose]
    kept: list[KeyPath] = [path for lever in asked for path in lever.paths]
    if len(set(kept)) < len(kept):
        raise LeverError("two of the levers asked for are the same key")
    for key in fix:
        places = _places(day, key)
        if any(path in kept for path in places):
            raise LeverError(f"{quoted(key)} is both to be chosen and fixed")
        kept += places
    found = [lever for look in LEVERS for lever in look(day, raw)]
    free = (*asked, *(lever for lever in found if not any(path in kept for path in lever.paths)))
    levers = tuple(lever for lever in free if len(lever.settings) > 1)
    if not levers:
        raise LeverError("nothing is left to choose; take away a --fix or add a --choose")
    return Bench(day, raw, levers)


def _asked(day: Scenario, raw: WrittenPlan, text: str) -> Lever:
    """A lever as it is asked for on the command line."""
    key, _, rest = (part.strip() for part in text.partition("="))
    if not key or not rest:
        raise LeverError(f"{quoted(text)} is no lever; give it as KEY=LOW..HIGH or KEY=VALUE|VALUE")
    places = _places(day, key)
    low, dots, high = (part.strip() for part in rest.partition(".."))
    try:
        if dots:
            return ranged(day, raw, key, key, places, low, high)
        return chosen(day, raw, key, places, [part.strip() for part in rest.split("|")])
    except ValueError as error:
        raise LeverError(f"{key}: {error}") from None


def _places(day: Scenario, key: str) -> tuple[KeyPath, ...]:
    """Where a key stands, if a plan may choose it and the day uses it."""
    if key.partition(".")[0].partition("[")[0] in GIVEN:
        raise LeverError(f"{quoted(key)} is given, not chosen: a plan works the boat and the day as they are")
    try:
        found = paths(day, key, by_place=True)
        if key != "orders.low_glass":
            field(day, key, by_place=True)
    except ValueError as error:
        raise LeverError(str(error)) from None
    for path in found:
        if at(day, path) is None:
            raise LeverError(f"{key} is not written on this day, so there is nothing to choose from there")
        idle = idle_keys(put_in(day, path, at(day, path)))  # which tells only of what is written
        if path in idle:
            raise LeverError(f"{key}: nothing uses this: {idle[path]}")
    return found


def _about(
    day: Scenario, raw: WrittenPlan, key: str, name: str, low: float, high: float,
    places: tuple[KeyPath, ...] = (),
) -> Lever:  # fmt: skip
    """A lever over a range in SI, held to what the key's table allows and to the value as written."""
    places = places or paths(day, key, by_place=True)
    info, value = field(day, key, by_place=True), float(at(day, places[0]))
    text = quantity_of(info)
    low, high = min(low, value), max(high, value)
    if text is not None:
        low = max(low, text.lowest if text.lowest is not None else low)
        high = min(high, text.highest if text.highest is not None else high)
    return ranged(day, raw, key, name, places, low, high)


def _of_legs(day: Scenario, raw: WrittenPlan) -> Iterator[Lever]:
    """What each leg holds: throttle, revolutions or speed."""
    legs = [(number, step) for number, step in enumerate(day.route) if isinstance(step, Leg)]
    groups: dict[Any, list[tuple[int, Leg]]] = {}
    for number, leg in legs:
        holds = next(key for key in ("throttle", "turns", "speed") if getattr(leg, key) is not None)
        alike = (holds, getattr(leg, holds)) if len(legs) > MOST_LEGS else number
        groups.setdefault((holds, alike), []).append((number, leg))
    met: dict[str, int] = {}
    for (holds, _), members in groups.items():
        number, leg = members[0]
        value = float(getattr(leg, holds))
        to = leg.to if len(members) == 1 else f"{leg.to} and {len(members) - 1} more"
        met[to] = met.get(to, 0) + 1
        name = f"{HELD[holds]} to {to}{f' ({met[to]})' if met[to] > 1 else ''}"
        high = 1.0 if holds == "throttle" else FASTER * value
        places: tuple[KeyPath, ...] = tuple(("route", place, holds) for place, _ in members)
        key = f"route[{number + 1}].{holds}"
        yield _about(day, raw, key, name, LOWEST_SHARE * value, high, places)


HELD = {"throttle": "throttle", "turns": "revolutions", "speed": "speed"}
FASTER = 1.5
"""Highest speed or revolutions asked for, of those written (judgement): few hulls go faster still."""


def _of_firing(day: Scenario, raw: WrittenPlan) -> Iterator[Lever]:
    """Working pressure, and the bed and charge of a grate or the rate of a burner.

    The pressure stays as far under that at which the fire is eased as that is under the safety valves, and
    at or above what the first step raises. How fast steam is raised is left alone, to spare the boiler.
    """
    firing = day.firing
    raised = max((step.until for step in day.route if step.step == "raise steam"), default=0.0)
    top = day.ease_fire_above - EASE_MARGIN
    yield _about(day, raw, "firing.working_pressure", "working pressure", raised, top)
    if day.boat.fire is not None:
        for key, name in (("bed_depth", "depth of the fire"), ("charge", "charge at one firing")):
            value = float(getattr(firing, key))
            yield _about(day, raw, f"firing.{key}", name, LOWEST_SHARE * value, HIGHEST_SHARE * value)
    if day.boat.burner is not None:
        yield _about(day, raw, "firing.burner_rate", "burner setting", LOWEST_SHARE, 1.0)


LOWEST_GLASS, LOW_GLASS, HIGHEST_GLASS, BETWEEN = 0.35, 0.25, 0.70, 0.05
"""Levels a crew would hold, and act at, in shares of the glass (judgement: from the working low up)."""


def _of_orders(day: Scenario, raw: WrittenPlan) -> Iterator[Lever]:
    """Level held, level acted at, and which way of feeding is tried first."""
    orders, feed = day.orders, day.boat.feed
    if feed.engine_pump is not None:
        yield _about(day, raw, "orders.glass", "glass held", LOWEST_GLASS, HIGHEST_GLASS)
    if not orders.low_glass:
        return
    top = orders.stop_above - BETWEEN
    yield _about(day, raw, "orders.act_below", "glass acted at", LOW_GLASS, top)
    has = tuple(way for way in orders.low_glass if way in day.boat.feed_sources)
    orderings = [(way, *(other for other in has if other != way)) for way in has]
    settings = [Setting(list(ways), ways, f"{ways[0]} first") for ways in orderings if ways != has]
    first = Setting(list(has), orders.low_glass, f"{has[0]} first")
    path: KeyPath = ("orders", "low_glass")
    yield Lever("orders.low_glass", "order of feeding", (path,), (first, *settings), 0, False)


def _of_stops(day: Scenario, raw: WrittenPlan) -> Iterator[Lever]:
    """How much fuel is taken on at each stop; one that has a name, which a plan can drop, may be left out."""
    holds = "mass" if day.boat.burner is None else "volume"
    most = math.inf if day.boat.burner is None else day.boat.burner.tank_volume
    beside = {step.get(side) for step in raw.plan.get("step", ()) for side in ("before", "after")}
    stops = [(number, step) for number, step in enumerate(day.route) if isinstance(step, TakeFuel)]
    for count, (number, step) in enumerate(stops, start=1):
        value = float(getattr(step, holds))
        called = f" ({step.name or count})" if step.name or len(stops) > 1 else ""
        lever = _about(
            day, raw, f"route[{number + 1}].{holds}", f"fuel taken on{called}",
            LOWEST_SHARE * value, min(most, HIGHEST_SHARE * value),
        )  # fmt: skip
        if step.name and step.name not in beside and not raw.is_of_plan(("route", number)):
            settings = (Setting(None, None, LEFT_OUT), *lever.settings)
            lever = replace(lever, settings=settings, written=lever.written + 1)
        yield lever


LEVERS: tuple[Callable[[Scenario, WrittenPlan], Iterator[Lever]], ...] = (
    _of_legs, _of_firing, _of_orders, _of_stops,
)  # fmt: skip
"""Where levers are found, in the order they are told."""
