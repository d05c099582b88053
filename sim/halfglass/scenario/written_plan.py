"""A plan as it is written in its file: raw values behind a day, and the text of a new plan made from it.

A plan changes keys of tables by their names; what changes in an entry of a list (a leg, an order) is written
by giving the whole list anew, since entries need have no name.
"""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from halfglass.scenario.load import Story
from halfglass.scenario.toml_places import KeyPath
from halfglass.scenario.toml_write import is_tables, written_key, written_value

LISTS = ("route", "order", "fault")
"""Lists of a day whose entries may be written in the file or in the plan."""


@dataclass(frozen=True)
class WrittenPlan:
    """The raw values of a scenario file and of one plan in it, and where the entries of its day stand."""

    file: Mapping[str, Any]
    plan: Mapping[str, Any]  # empty for a file without plans
    written_at: Mapping[KeyPath, KeyPath]

    def origin(self, path: KeyPath) -> KeyPath:
        """Where what stands at a path of the day is written: below ``route`` of the file, or in its plan."""
        return (*self.written_at.get(path[:2], path[:2]), *path[2:])

    def is_of_plan(self, path: KeyPath) -> bool:
        """Whether an entry was put in by the plan itself."""
        return self.origin(path)[0] == "plan"

    def value(self, path: KeyPath) -> Any:
        """The value written for a path of the day, in its own unit; None where the default stands."""
        origin = _written(self.origin(path))
        if origin[0] == "plan":
            return _at(self.plan, origin[2:])
        if origin[0] in LISTS:
            return _at(self._list(str(origin[0])), origin[1:])
        changed = _at(self.plan.get("change", {}), origin)
        return _at(self.file, origin) if changed is None else changed

    def _list(self, kind: str) -> Any:
        """A list of the file, or the one the plan has in its place."""
        return self.plan.get("change", {}).get(kind, self.file.get(kind, []))

    def changed(
        self, name: str, about: str, values: Sequence[tuple[KeyPath, Any]], drop: Sequence[str] = ()
    ) -> dict[str, Any]:
        """The plan with other values, as raw values under a new name.

        Parameters: values as they are typed, by the paths of the day; drop, names left out besides.
        """
        made = copy.deepcopy(dict(self.plan))
        made |= {"name": name, "about": about}
        if drop:
            made["drop"] = [*made.get("drop", []), *drop]
        for path, value in values:
            origin = _written(self.origin(path))
            if origin[0] == "plan":
                _put(made, origin[2:], value)
                continue
            change = made.setdefault("change", {})
            if origin[0] in LISTS:
                change.setdefault(origin[0], copy.deepcopy(self._list(str(origin[0]))))
            _put(change, origin, value)
        return made


def written_plan(story: Story, name: str) -> WrittenPlan:
    """A plan of a loaded story as it is written in its file."""
    values = tomllib.loads(next(iter(story.files.values())).decode("utf-8-sig"))
    plans: list[dict[str, Any]] = values.get("plan", [])
    plan = next((plan for plan in plans if plan["name"] == name), {})
    return WrittenPlan(values, plan, story.written_at.get(name, {}))


def plan_toml(plan: Mapping[str, Any]) -> str:
    """A plan as a ``[[plan]]`` to be pasted at the end of a scenario file.

    >>> print(plan_toml({"name": "slow", "change": {"firing": {"charge": "1 kg"}}, "drop": ["coal"]}))
    [[plan]]
    name = "slow"
    drop = ["coal"]
    <BLANKLINE>
    [plan.change]
    firing.charge = "1 kg"
    """
    tables = {key: value for key, value in plan.items() if is_tables(value)}
    lines = ["[[plan]]"]
    lines += [_line(key, value) for key, value in plan.items() if key != "change" and key not in tables]
    if plan.get("change"):
        lines += ["", "[plan.change]", *(_line(key, value) for key, value in _flat(plan["change"]))]
    for key, entries in tables.items():
        for entry in entries:
            lines += ["", f"[[plan.{key}]]", *(_line(part, value) for part, value in entry.items())]
    return "\n".join(lines)


def _written(path: KeyPath) -> KeyPath:
    """A path by the keys as they are typed: a field whose key is a word of Python ends in an underscore."""
    return tuple(part.removesuffix("_") if isinstance(part, str) else part for part in path)


def _at(values: Any, path: KeyPath) -> Any:
    for part in path:
        if isinstance(part, int):
            values = values[part] if isinstance(values, list) and part < len(values) else None
        else:
            values = values.get(part) if isinstance(values, dict) else None
    return values


def _put(values: Any, path: KeyPath, value: Any) -> None:
    for part in path[:-1]:
        values = values[part] if isinstance(part, int) else values.setdefault(part, {})
    values[path[-1]] = value


def _flat(table: Mapping[str, Any], at: str = "") -> Iterator[tuple[str, Any]]:
    """The keys of nested tables by dotted names."""
    for key, value in table.items():
        name = f"{at}{written_key(key)}"
        if isinstance(value, dict) and value:
            yield from _flat(value, f"{name}.")
        else:
            yield name, value


def _line(key: str, value: Any) -> str:
    """One key with its value; a list of tables has a line for each."""
    if is_tables(value):
        rows = "".join(f"    {written_value(entry)},\n" for entry in value)
        return f"{key} = [\n{rows}]"
    return f"{key} = {written_value(value)}"
