"""A checked story in words: the day as it would be run, and what each plan makes of it.

Lines are pairs: what stands at the left, and the text beside it, which may be folded.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from typing import Any

from halfglass.scenario.by_hand_models import Move
from halfglass.scenario.day_models import Plan, Scenario
from halfglass.scenario.fault_models import FaultAt, FaultEntry
from halfglass.scenario.fields import Table
from halfglass.scenario.key_facts import quantity_kind, trimmed
from halfglass.scenario.load import Story
from halfglass.scenario.order_models import Order, Seen
from halfglass.scenario.route_steps import LONGEST_LEG, Movement
from halfglass.vocabulary import units

Line = tuple[str, str]
COLUMN = 22
"""Where the text beside a step begins."""
MOST_MOVES = 20
"""Moves of a step by hand that are told one by one."""
_USES = {"distance": "distance", "bed_depth": "level", "bed_below": "level"}
# How the keys of a step are said; {} is the value. What is not here is said as "key value".
_SAID = {
    "to": "to {}", "distance": "{}", "turns": "holding {}", "speed": "holding {}", "until": "until {}",
    "for": "for {}", "at": "at {}", "fire": "fire {}", "kettle": "steam to the kettle for {}", "mass": "{}",
    "volume": "{}", "wait": "waits {} for the gates", "movements": "{}", "aboard": "{} aboard, less if minus",
    "moves": "{}",
}  # fmt: skip
_APART = ("step", "kind", "name", "at_most", "if_never", "repaired_after")


def resolved(story: Story) -> list[Line]:
    """The day as written, then every plan with what it changes, adds and drops; values in the day's units."""
    day = story.base
    lines = [("", day.title), *([("  ", day.story)] if day.story else []), *_stores(day)]
    lines += [("route", ""), *_route(day), *_orders(day), *_faults(day)]
    for plan in story.plans:
        lines += _plan(plan, day, story.for_plan(plan.name))
    return [*lines, ("", "nothing wrong found")]


def value(table: Table, key: str, choice: str) -> str:
    """The value of a key in words, in the chosen units; empty for nothing."""
    name = next(name for name, info in type(table).model_fields.items() if (info.alias or name) == key)
    kind = quantity_kind(type(table).model_fields[name])
    return _told(getattr(table, name), kind and _USES.get(key, kind), choice)


def _told(given: Any, use: str | None, choice: str) -> str:
    if given is None:
        return ""
    if use is not None and isinstance(given, float):
        kind = units.kind_of(use)
        if kind == "time":
            return _time(given)
        unit = units.display_unit(use, choice)
        number = trimmed(units.significant(units.convert(given, kind, unit), 3))
        return f"{number} {unit.removesuffix(' gauge')}".strip()
    if isinstance(given, tuple) and len(given) > MOST_MOVES and isinstance(given[0], Move):
        return f"{len(given)} moves"
    if isinstance(given, tuple):
        return ", then ".join(_told(item, use, choice) for item in given) or "none"
    if isinstance(given, Movement):
        opening = f" {_told(given.throttle, 'fraction', choice)}" if given.throttle else ""
        return f"{given.gear}{opening} for {_time(given.for_)}"
    if isinstance(given, Move):
        done = (_entry(given, key, choice) for key in _given(given) if key != "after")
        return f"after {_time(given.after)} {', '.join(done)}"
    if isinstance(given, Table):
        return ", ".join(_entry(given, key, choice) for key in _given(given))
    if isinstance(given, datetime.time):
        return f"{given:%H:%M}"
    return str(given).lower() if isinstance(given, bool) else str(given)


def _time(seconds: float) -> str:
    return units.show(seconds, "time").replace(".0 s", " s")


def _entry(table: Table, key: str, choice: str) -> str:
    """One key with its value: ``glass below 30 %``."""
    return f"{key.replace('_', ' ')} {value(table, key, choice)}"


def _given(table: Table) -> list[str]:
    """The keys that were given, or have a value of their own, in the order of the table."""
    return [
        info.alias or name
        for name, info in type(table).model_fields.items()
        if getattr(table, name) is not None and (name in table.model_fields_set or info.is_required())
    ]


def _stores(day: Scenario) -> Iterator[Line]:
    yield "  boat", day.boat.name
    yield "  light up", f"{day.light_up:%H:%M} on {day.date.isoformat()}"
    for name in ("crew", "weather", "aboard", "firing"):
        table = getattr(day, name)
        told = ", ".join(_entry(table, key, day.units) for key in _given(table))
        yield f"  {name}", told or "as by default"


def _route(day: Scenario) -> Iterator[Line]:
    for number, step in enumerate(day.route, start=1):
        yield f"{number:4}. {step.step}", step_told(step, day.units)


def step_told(step: Any, choice: str) -> str:
    """What a step holds, until when, and what if that never comes."""
    told = [_said(step, key, choice) for key in _shown(step)]
    text = ", ".join(told)
    if hasattr(step, "if_never"):
        limit = value(step, "at_most", choice) or _time(LONGEST_LEG)
        otherwise = {"give up": "give up the day"}.get(step.if_never, step.if_never)
        text += f"; if not within {limit}: {otherwise}"
    return f"{text} (called '{step.name}')" if step.name else text


def _shown(step: Any) -> list[str]:
    """The keys of a step worth saying: those given, and defaults that say how long."""
    lasting = ("for", "takes")
    fields = type(step).model_fields.items()
    keys = [info.alias or name for name, info in fields if name in step.model_fields_set]
    keys += [
        key for key in (info.alias or name for name, info in fields) if key in lasting and key not in keys
    ]
    return [key for key in keys if key not in _APART and value(step, key, choice="metric")]


def _said(step: Any, key: str, choice: str) -> str:
    if key == "aboard":
        return f"{abs(step.aboard)} {'come aboard' if step.aboard >= 0 else 'go ashore'}"
    if key == "at_anchor":
        return "at anchor" if step.at_anchor else "made fast"
    return _SAID.get(key, key.replace("_", " ") + " {}").format(value(step, key, choice))


def _orders(day: Scenario) -> Iterator[Line]:
    usual, choice = day.orders, day.units
    ways = value(usual, "low_glass", choice) if usual.low_glass else "nothing is done"
    yield (
        "usual orders",
        (
            f"glass held at {value(usual, 'glass', choice)}; below {value(usual, 'act_below', choice)}: "
            f"{ways}, until {value(usual, 'stop_above', choice)}; damper shut above "
            f"{_told(day.ease_fire_above, 'gauge_pressure', choice)}"
        ),
    )
    for order in day.order:
        yield "own order", order_told(order, choice)


def order_told(order: Order, choice: str) -> str:
    """A standing order of the skipper's own in words."""
    lasting = f" for {_time(order.for_)}" if order.for_ else ""
    to = f" to {value(order, 'to', choice)}" if order.to is not None else ""
    until = _seen(order.until, choice) if order.until is not None else "that has passed"
    return f"'{order.name}': {_seen(order.when, choice)}{lasting}: {order.do}{to}, until {until}"


def _seen(seen: Seen, choice: str) -> str:
    return " and ".join(_entry(seen, key, choice) for key in _given(seen))


def _faults(day: Scenario) -> Iterator[Line]:
    for fault in day.fault:
        yield "fault", fault_told(fault, day.units)


def fault_told(fault: FaultEntry, choice: str) -> str:
    """A fault in words: what, how much, when, and whether it is put right."""
    own = [_entry(fault, key, choice) for key in _shown(fault) if key != "at"]
    repair = ""
    if "repaired_after" in type(fault).model_fields:
        after = value(fault, "repaired_after", choice)
        repair = f"; put right after {after}" if after else "; not put right"
    called = f" (called '{fault.name}')" if fault.name else ""
    return f"{', '.join([fault.kind, *own])}: {_moment(fault.at, choice)}{repair}{called}"


def _moment(at: FaultAt, choice: str) -> str:
    later = f"{_time(at.plus)} after " if at.plus else ""
    if at.clock is not None:
        return f"at {at.clock:%H:%M}" + (f" on day {at.day}" if at.day > 1 else "")
    if at.leaving is not None or at.arriving is not None:
        return (
            f"{later}leaving {at.leaving}" if at.leaving is not None else f"{later}arriving at {at.arriving}"
        )
    key = "pressure_below" if at.pressure_below is not None else "glass_below"
    return f"once {_entry(at, key, choice)}"


def _plan(plan: Plan, day: Scenario, planned: Scenario) -> Iterator[Line]:
    yield f"plan: {plan.name}", ""
    if plan.about:
        yield "  ", plan.about
    nothing = True
    for key, before, after in _changes(plan.change, day, planned, planned.units):
        nothing = False
        was = "as written" if before == after else f"was {before}"
        yield "  changes", f"{key}: {after}" + (f" ({was})" if before else "")
    for name in plan.drop:
        nothing = False
        yield "  drops", name
    for added in plan.step:
        nothing = False
        beside = f"before {added.before}" if added.before is not None else f"after {added.after}"
        yield "  adds", f"{beside}: {added.does.step} {step_told(added.does, planned.units)}"
    for order in plan.order:
        nothing = False
        yield "  adds order", order_told(order, planned.units)
    for fault in plan.fault:
        nothing = False
        yield "  adds fault", fault_told(fault, planned.units)
    if nothing:
        yield "  ", "the day as written"


def _changes(
    change: dict[str, Any], old: Any, new: Any, choice: str, at: str = ""
) -> Iterator[tuple[str, str, str]]:
    """Every key a plan changes: its dotted name, its value before, and under the plan."""
    for key, given in change.items():
        here = f"{at}.{key}" if at else key
        before, after = _inside(old, key), _inside(new, key)
        if isinstance(given, dict) and isinstance(after, Table):
            yield from _changes(given, before, after, choice, here)
        elif isinstance(after, Table) or (
            isinstance(after, tuple) and any(isinstance(i, Table) for i in after)
        ):
            yield here, "", getattr(after, "name", "") or "written anew"
        else:
            yield here, value(old, key, choice) if old is not None else "", value(new, key, choice)


def _inside(table: Any, key: str) -> Any:
    names = (name for name, info in type(table).model_fields.items() if (info.alias or name) == key)
    return getattr(table, next(names)) if table is not None else None
