"""A scenario or boat file with a comment on every key, for `new`: made from a template and the tables.

The values stand in `templates/`; what is said of each key is what the tables say of it (`key_facts`). A key
the template leaves out stands as a comment with its default.
"""

from __future__ import annotations

import re
import textwrap
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from halfglass.scenario.boat import Boat
from halfglass.scenario.boat_alone import load_boat
from halfglass.scenario.day_models import Scenario
from halfglass.scenario.fields import Table
from halfglass.scenario.key_facts import KeyFacts, choice_of, facts, said, told_of, typed
from halfglass.scenario.search import SAMPLES, find_boat, sample_boats
from halfglass.vocabulary import units
from halfglass.vocabulary.errors import Fault, ScenarioError, quoted

WIDTH = 100
SAMPLE = "teal"
_DAY = SAMPLES.parent / "day.toml"
_BOAT_HEAD = """\
A boat file: everything the simulation wants to know of a boat, in measurements one can take.
Copied from the sample boat {name}, which is invented: put in what yours has, line by line, then try
`halfglass check` on this file. A line that begins with '#' is a comment; a key left out has its default.\
"""
_DAY_HEAD = """\
A scenario: a day, the boat it is spent in, and the plans to compare. Boat, waters and people are invented.
It runs as it is: `halfglass check` shows what would be done, `halfglass run` does it.
A line that begins with '#' is a comment; a key left out has its default.\
"""


def boiler_kinds() -> dict[str, str]:
    """The sample boat for each shape of boiler."""
    kinds = {}
    for name in sample_boats():
        kinds[str(_values(SAMPLES / f"{name}.toml")["boiler"]["kind"])] = name
    return kinds


def new_boat(kind: str) -> str:
    """The text of a commented boat file; `kind` is one of `boiler_kinds`."""
    values = _values(SAMPLES / f"{boiler_kinds()[kind]}.toml")
    head = _BOAT_HEAD.format(name=values["name"])
    return _file([*_comment(head), "", *_section(Boat, values, ())])


def new_scenario(boat: str = SAMPLE, beside: Path = Path()) -> str:
    """The text of a commented scenario.

    boat: as the scenario names it.  beside: where the scenario will stand, from where the boat is looked for.
    Raises `ScenarioError` if there is no such boat, or it is refused.
    """
    where, missing = find_boat(boat, beside)
    if where is None:
        raise ScenarioError([Fault(boat, 0, 0, "", missing)])
    values = _values(_DAY)
    values["boat"] = boat
    _fit(values, where)
    return _file([*_comment(_DAY_HEAD), "", *_section(Scenario, values, ())])


def _fit(values: dict[str, Any], boat: Path) -> None:
    """Let the day suit the boat: its pressures, its fuel, its ways of feeding."""
    day = load_boat(boat)
    working = day.firing.working_pressure
    values["firing"]["working_pressure"] = units.show(working, "gauge_pressure", "psi", 2)
    for step in values["route"]:
        if "until" in step:
            step["until"] = units.show(0.9 * working, "gauge_pressure", "psi", 2)
    if day.boat.burner is not None:
        values["aboard"] |= {"fuel": "paraffin", "tank_fuel": units.show(day.aboard.tank_fuel, "volume", "L")}
        del values["aboard"]["fuel_mass"], values["aboard"]["fuel_reserve"]
    values["aboard"]["hotwell"] = units.show(day.aboard.hotwell, "volume", "L", 2)
    feeding = [way for way in values["orders"]["low_glass"] if way in day.boat.feed_sources]
    values["orders"]["low_glass"] = feeding
    if day.boat.feed.engine_pump is None:
        del values["fault"]
    for plan in values["plan"]:
        wanted = plan.get("change", {}).get("orders", {}).get("low_glass", [])
        if not set(wanted) <= set(day.boat.feed_sources):
            plan["change"] = {"crew": {"hands": 2}}


def _values(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text(encoding="utf-8"))


def _file(lines: list[str]) -> str:
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _section(table: type[Table], values: Mapping[str, Any], path: tuple[str, ...]) -> Iterator[str]:
    """The keys of a table, plain ones first, then the tables in it under their own headings."""
    inside = []
    for fact in facts(table):
        if fact.tables and not isinstance(values.get(fact.key), str):
            inside.append(fact)
        else:
            yield from _key(fact, values)
    for fact in inside:
        here = (*path, fact.key)
        if fact.is_list:
            yield from _list(fact, values.get(fact.key), here)
            continue
        given = values.get(fact.key)
        chosen = _chosen(fact.tables, given or {})
        lines = [f"[{'.'.join(here)}]", *_section(chosen, given or {}, here)]
        is_out = given is None and fact.told_default and not _has_defaults(chosen)
        yield ""
        yield from _comment(told_of(chosen))
        yield from (_out(line) for line in lines) if is_out else lines


def _key(fact: KeyFacts, values: Mapping[str, Any]) -> Iterator[str]:
    """One plain key: what is said of it, and its line."""
    told = "; ".join(filter(None, (fact.rule, fact.told_default)))
    yield from _comment(f"{said(fact.effect)} {told[0].upper()}{told[1:]}.")
    if fact.key in values:
        yield f"{fact.key} = {_toml(values[fact.key])}"
    else:
        yield f"# {fact.key} = {fact.default or '…'}"


def _list(fact: KeyFacts, given: list[dict[str, Any]] | None, path: tuple[str, ...]) -> Iterator[str]:
    """A list of tables: each kind explained where it first stands, the kinds not used named after it."""
    heading, seen = f"[[{'.'.join(path)}]]", []
    told: set[str] = set()
    yield ""
    yield from _comment(f"{heading}: {said(fact.effect)}")
    if given is None and len(fact.tables) == 1:
        yield f"# {heading}"
        yield from (_out(line) for line in _item(fact.tables[0], {}, told))
    for item in given or []:
        chosen = _chosen(fact.tables, item)
        yield ""
        yield heading
        if chosen not in seen and choice_of(chosen):
            yield from _comment(told_of(chosen))
        yield from _item(chosen, item, told)
        seen.append(chosen)
    others = [table for table in fact.tables if table not in seen]
    if others and len(fact.tables) > 1:
        yield ""
        yield from _comment("There are also, each with keys of its own (see `halfglass schema`):")
        for table in others:
            yield from _comment(f"{choice_of(table)}: {told_of(table)}", "  ")


def _item(table: type[Table], item: Mapping[str, Any], told: set[str]) -> Iterator[str]:
    """One table of a list, its own tables written on one line; what was told before is not told again."""
    for fact in facts(table):
        given = fact.key in item
        is_new = f"{fact.key}: {fact.effect}" not in told
        told.add(f"{fact.key}: {fact.effect}")
        if given and (not is_new or fact.key in ("kind", "step")):
            yield f"{fact.key} = {_toml(item[fact.key])}"
        elif is_new and not fact.tables:
            yield from _key(fact, item)
        elif is_new:
            yield from _comment(" ".join((said(fact.effect), said(fact.told_default))))
            for inside in facts(fact.tables[0]) if given else ():
                yield from _comment(f"{inside.key}: {inside.effect}", "  ")
            empty = "[ … ]" if fact.is_list else "{ … }"
            yield f"{fact.key} = {_toml(item[fact.key])}" if given else f"# {fact.key} = {empty}"


def _chosen(tables: tuple[type[Table], ...], given: Mapping[str, Any]) -> type[Table]:
    """Which of several tables is meant, by the key that chooses."""
    if len(tables) == 1:
        return tables[0]
    return next(table for table in tables if choice_of(table) in (given.get("kind"), given.get("step")))


def _has_defaults(table: type[Table]) -> bool:
    return all(fact.default is not None for fact in facts(table))


def _out(line: str) -> str:
    """A line as a comment."""
    return line if line.startswith("#") or not line else f"# {line}"


def _comment(text: str, indent: str = "") -> Iterator[str]:
    """Text as comment lines, a number kept with its unit."""
    for line in re.sub(r"(?<=\d) (?=[^\s\d])", "\N{NO-BREAK SPACE}", text).split("\n"):
        for short in textwrap.wrap(
            line, WIDTH, initial_indent=f"# {indent}", subsequent_indent=f"# {indent}"
        ):
            yield short.replace("\N{NO-BREAK SPACE}", " ")


def _toml(value: Any) -> str:
    """A value as it is typed, tables on one line."""
    if isinstance(value, dict):
        return f"{{ {', '.join(f'{key} = {_toml(inside)}' for key, inside in _dotted(value))} }}"
    if isinstance(value, list):
        return f"[{', '.join(_toml(item) for item in value)}]"
    return typed(value) or quoted(str(value)).replace("'", '"')


def _dotted(table: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    """The entries of a table, those of tables inside it under dotted names."""
    for key, value in table.items():
        if isinstance(value, dict):
            yield from ((f"{key}.{inner}", inside) for inner, inside in _dotted(value))
        else:
            yield key, value
