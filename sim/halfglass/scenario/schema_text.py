"""The reference in ``scenarios/README.md``: every table and key, written from the schema.

``python -m halfglass.scenario.schema_text scenarios/README.md`` writes it between its markers; a test tells
if that was forgotten.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from halfglass.scenario.boat import Boat
from halfglass.scenario.day_models import Scenario
from halfglass.scenario.fields import Table
from halfglass.scenario.key_facts import KeyFacts, choice_of, facts, said, told_of
from halfglass.scenario.schema import all_tables
from halfglass.vocabulary.unit_choice import PICKS
from halfglass.vocabulary.unit_table import KINDS

BEGIN = "<!-- reference: written by `python -m halfglass.scenario.schema_text scenarios/README.md` -->"
END = "<!-- /reference -->"


@dataclass(frozen=True)
class Section:
    """One table of the reference: its heading, what it is, and its keys."""

    heading: str
    told: str
    keys: tuple[KeyFacts, ...]


def reference() -> str:
    """The reference as Markdown, without its markers."""
    of_boat = set(all_tables(Boat))
    lines = ["### Units", "", *_units(), "", "### The day", ""]
    day = Section("the top of the file", told_of(Scenario), facts(Scenario))
    for section in (day, *_sections(Scenario, "", set(of_boat))):
        lines += [*_written(section), ""]
    lines += ["### The boat", ""]
    boat = Section("the top of a boat file", told_of(Boat), facts(Boat))
    for section in (boat, *_sections(Boat, "", {Boat})):
        lines += [*_written(section), ""]
    return "\n".join(lines)


def with_reference(text: str) -> str:
    """A README with the reference between its markers written anew."""
    before, rest = text.split(BEGIN)
    after = rest.split(END)[1]
    return f"{before}{BEGIN}\n\n{reference()}\n{END}{after}"


def _units() -> Iterator[str]:
    yield "| what | is written in |"
    yield "|---|---|"
    for kind in KINDS.values():
        symbols = [unit.symbol for unit in kind.units if unit.symbol]
        if symbols:
            name = kind.noun.partition(" ")[2]
            yield f"| {name} | {', '.join(f'`{symbol}`' for symbol in symbols)} |"
    yield ""
    yield (
        "A pressure in `bar` or `psi` is gauge where a gauge pressure is wanted. Units of the answers "
        f"can be picked for {', '.join(f'`{name}`' for name in PICKS)}."
    )


def _sections(
    root: type[Table], at: str, told: set[type[Table]], is_inline: bool = False
) -> Iterator[Section]:
    """Every table inside another, in order, each where it first stands; `told` grows."""
    for fact in facts(root):
        new = [table for table in fact.tables if table not in told]
        told |= set(new)
        here = f"{at}.{fact.key}" if at else fact.key
        common = _common(fact.tables) if len(new) > 1 else ()
        if common:
            chooser = "step" if fact.key == "route" else "kind"
            yield Section(f"every {_heading(here, fact, is_inline)}", f"has a `{chooser}`, and", common)
        for table in new:
            chosen = choice_of(table)
            heading = f'"{chosen}"' if len(fact.tables) > 1 else _heading(here, fact, is_inline)
            own = tuple(one for one in facts(table) if one not in common and not (chosen and _chooses(one)))
            yield Section(heading, told_of(table), own)
        for table in new:
            yield from _sections(table, here, told, is_inline or fact.is_list)


def _common(tables: tuple[type[Table], ...]) -> tuple[KeyFacts, ...]:
    """The keys that all of several tables have alike."""
    return tuple(one for one in facts(tables[0]) if all(one in facts(table) for table in tables))


def _chooses(fact: KeyFacts) -> bool:
    return fact.key in ("kind", "step") and not fact.tables


def _heading(here: str, fact: KeyFacts, is_inline: bool) -> str:
    if is_inline and not fact.is_list:
        return f"`{here} = {{ … }}`"
    return f"`[[{here}]]`" if fact.is_list else f"`[{here}]`"


def _written(section: Section) -> Iterator[str]:
    told = section.told
    yield f"**{section.heading}**{' ' if told.startswith('has') else ': '}{told}"
    if section.keys:
        yield ""
        yield "| key | is | default | does |"
        yield "|---|---|---|---|"
    for fact in section.keys:
        yield f"| `{fact.key}` | {_cell(fact.rule)} | {_default(fact)} | {_cell(said(fact.effect))} |"


def _default(fact: KeyFacts) -> str:
    if fact.default is None:
        return "must be given"
    return f"`{fact.default}`" if fact.default else "-"


def _cell(text: str) -> str:
    return text.replace("|", "\\|")


def main(path: str) -> None:
    """Write the reference of a README anew."""
    readme = Path(path)
    readme.write_text(with_reference(readme.read_text(encoding="utf-8")), encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1])
