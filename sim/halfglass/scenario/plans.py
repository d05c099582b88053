"""Operating plans that add or leave out: steps, orders and faults by their names.

The keys a plan changes are laid into the text before it is checked (`load`); what it adds or drops is put
together here, from entries already checked, and remembers where each entry was written.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from halfglass.scenario.checks import Conflict
from halfglass.scenario.day_models import Plan, Scenario
from halfglass.scenario.toml_places import KeyPath
from halfglass.vocabulary.errors import listed, nearest, quoted

Placed = list[tuple[KeyPath, Any]]
"""Entries of a list with the place each was written at."""


@dataclass(frozen=True)
class Planned:
    """A day under one plan: the day, where its list entries were written, and what does not go together."""

    day: Scenario
    written_at: dict[KeyPath, KeyPath]
    conflicts: tuple[Conflict, ...]

    def place(self, path: KeyPath) -> KeyPath:
        """Where an entry of this day was written."""
        return (*self.written_at.get(path[:2], path[:2]), *path[2:])


def with_plan(day: Scenario, index: int) -> Planned:
    """The day with what its plan of that index adds and drops; its changed keys must be in it already."""
    plan, at = day.plan[index], ("plan", index)
    wrong: list[Conflict] = []
    lists = {kind: _placed(getattr(day, kind), (kind,)) for kind in ("route", "order", "fault")}
    known = [entry.name for entries in lists.values() for _, entry in entries if entry.name]
    for number, name in enumerate(plan.drop):
        if name not in known:
            wrong.append(Conflict((*at, "drop", number), _unknown(name, known)))
    lists = {kind: [(p, e) for p, e in entries if e.name not in plan.drop] for kind, entries in lists.items()}
    _add_steps(lists["route"], plan, at, wrong)
    lists["order"] = _placed(plan.order, (*at, "order")) + lists["order"]
    lists["fault"] += _placed(plan.fault, (*at, "fault"))
    if not lists["route"]:
        wrong.append(Conflict((*at, "drop"), "this leaves nothing of the route"))
        lists["route"] = _placed(day.route, ("route",))  # so that all else can still be looked at
    changed = {kind: tuple(entry for _, entry in entries) for kind, entries in lists.items()}
    places: dict[KeyPath, KeyPath] = {
        (kind, number): path for kind, entries in lists.items() for number, (path, _) in enumerate(entries)
    }
    return Planned(day.model_copy(update=changed), places, tuple(wrong))


def _placed(entries: Sequence[Any], at: KeyPath) -> Placed:
    return [((*at, number), entry) for number, entry in enumerate(entries)]


def _add_steps(route: Placed, plan: Plan, at: KeyPath, wrong: list[Conflict]) -> None:
    """Put the plan's steps where they belong; a step may go beside one that was put in before it."""
    for number, added in enumerate(plan.step):
        here = (*at, "step", number)
        if (added.before is None) == (added.after is None):
            wrong.append(Conflict(here, "say where the step goes: give 'before' or 'after', one of them"))
            continue
        key = "before" if added.before is not None else "after"
        beside = added.before if added.before is not None else added.after
        found = [place for place, (_, step) in enumerate(route) if step.name == beside]
        if not found:
            names = [step.name for _, step in route if step.name]
            wrong.append(Conflict((*here, key), _unknown(str(beside), names)))
            continue
        route.insert(found[0] + (key == "after"), ((*here, "does"), added.does))


def _unknown(name: str, known: Sequence[str]) -> str:
    near = nearest(name, known)
    if near:
        hint = f"did you mean {quoted(near)}?"
    else:
        hint = f"there are {listed(known)}" if known else "nothing has a name; give it one with 'name'"
    return f"nothing is called {quoted(name)}; {hint}"
