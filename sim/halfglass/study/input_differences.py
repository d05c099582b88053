"""What differs in the inputs of several days: keys by dotted names; steps, orders and faults as said."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Any

from halfglass.result.comparison import InputRow
from halfglass.scenario.day_models import Scenario
from halfglass.scenario.fields import Table
from halfglass.scenario.resolved import fault_told, order_told, step_told, value

LACKING = "not there"
BY_DEFAULT = "none given"
_ASIDE = ("title", "story", "plan", "units", "route", "order", "fault")


def input_differences(days: Sequence[Scenario]) -> tuple[InputRow, ...]:
    """Every input whose value is not the same on all the days, in the units of the first; defaults count."""
    choice = days[0].units
    told = [dict(_all(day, choice)) for day in days]
    keys = dict.fromkeys(key for one in told for key in one)
    topics = list(dict.fromkeys(_topic(key) for key in keys))
    in_order = sorted(
        keys, key=lambda key: topics.index(_topic(key))
    )  # what only one day has stays by its like
    rows = (InputRow(key, tuple(one.get(key, LACKING) for one in told)) for key in in_order)
    return tuple(row for row in rows if len(set(row.cells)) > 1)


def _topic(key: str) -> str:
    """What a key is about: its table, or what kind of entry it is."""
    if " " in key:
        return key.partition(" ")[0]
    return ".".join(key.split(".")[:2]) if key.startswith("boat.") else key.partition(".")[0]


def _all(day: Scenario, choice: str) -> Iterator[tuple[str, str]]:
    yield from _keys(day, "", choice)
    yield from _entries((f"step {_named(step)}", step_told(step, choice)) for step in day.route)
    yield from _entries((f"own order '{order.name}'", order_told(order, choice)) for order in day.order)
    yield from _entries((f"fault {fault.kind}", fault_told(fault, choice)) for fault in day.fault)


def _keys(table: Table, at: str, choice: str) -> Iterator[tuple[str, str]]:
    """Every key of a table with its value in words, whether given or by default."""
    for name, info in type(table).model_fields.items():
        key, given = info.alias or name, getattr(table, name)
        here = f"{at}.{key}" if at else key
        if (not at and key in _ASIDE) or here == "boat.about":
            continue
        if isinstance(given, Table):
            yield from _keys(given, here, choice)
        elif isinstance(given, tuple) and any(isinstance(entry, Table) for entry in given):
            for number, entry in enumerate(given, start=1):
                yield from _keys(entry, f"{here}.{number}", choice)
        else:
            yield here, value(table, key, choice) or BY_DEFAULT


def _entries(told: Iterator[tuple[str, str]]) -> Iterator[tuple[str, str]]:
    """Entries under names that are each their own: the second of a name says so."""
    met: Counter[str] = Counter()
    for name, text in told:
        met[name] += 1
        yield (f"{name} ({met[name]})" if met[name] > 1 else name), text or "as by default"


def _named(step: Any) -> str:
    """What a step is called by: its kind and its place."""
    place = getattr(step, "to", None) or getattr(step, "at", None)
    return f"{step.step}{f', {place}' if place else ''}"
