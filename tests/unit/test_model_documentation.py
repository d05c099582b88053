"""The model's documentation is complete and true to names: sim/README.md and the docstrings of plant/."""

from __future__ import annotations

import ast
import dataclasses
import re
from collections.abc import Iterator
from pathlib import Path
from typing import get_type_hints

import pytest

from halfglass.plant.parameters import FuelCharge, InitialState, PlantParameters, Settings
from halfglass.plant.state import NAMES as STATES
from halfglass.vocabulary import sources
from halfglass.vocabulary.quantities import QUANTITIES

ROOT = Path(__file__).parents[2]
PLANT = ROOT / "sim" / "halfglass" / "plant"
README = (ROOT / "sim" / "README.md").read_text(encoding="utf-8")
NAMED = set(re.findall(r"`([^`\n]+)`", README))

RECORDS = {
    **get_type_hints(PlantParameters),
    "settings": Settings,
    "charge": FuelCharge,
    "initial": InitialState,
}
NO_UNITS_OF_THEIR_OWN = {
    "rates", "boiler_now", "services_now", "boiler_balance", "drive_now", "steam_balance_engine", "move_boat",
    "feed_now", "exhaust_now", "separator_and_hotwell", "separate_oil", "fire_now", "initial_state",
    "records",
    "to_record", "is_compiled", "is_prepared", "user_cache_folder", "kernel", "inlined", "march_for",
}  # fmt: skip
"""Functions on the whole state, whose units stand in state.py and reading.py, and those on no quantity."""
PLAIN = {0.0, 0.5, 1.0, 2.0, 3.0, 4.0}
"""Numbers that are part of any formula; tiny ones guard against dividing by nothing."""
TINY = 1e-3
PHRASES = (
    "common practice, no source", "common practice", "from memory", "judgement", "law of", "conservation",
    "by definition", "IAPWS",
)  # fmt: skip


def test_no_two_works_share_a_key() -> None:
    keys = [source.key for source in sources._ALL]
    assert sorted(keys) == sorted(set(keys))


def test_every_state_is_documented() -> None:
    assert [name for name in STATES if name not in NAMED] == []


@pytest.mark.parametrize("record", RECORDS)
def test_every_parameter_is_documented(record: str) -> None:
    fields = [field.name for field in dataclasses.fields(RECORDS[record])]
    assert [name for name in fields if f"{record}.{name}" not in NAMED] == []


@pytest.mark.parametrize("record", RECORDS)
def test_nothing_documented_is_gone(record: str) -> None:
    fields = {field.name for field in dataclasses.fields(RECORDS[record])}
    shown = {name.split(".")[1] for name in NAMED if re.fullmatch(rf"{record}\.[a-z_]+", name)}
    of_files = {"grate_area", "drag", "blast_draught"}  # keys of a boat file that share the record's name
    assert shown - fields - of_files - KEYS_OF_FILES.get(record, set()) == set()


KEYS_OF_FILES: dict[str, set[str]] = {
    "fire": {"py", "stack_draught", "air_flows"},
    "feed": {"py", "coil_heat", "engine_pump", "hand_pump", "injector", "lake_solids"},
    "engine": {"py", "throttle", "steam_chest"},
    "exhaust": {"py", "settled_back_pressure", "separator_catch", "blast_draught"},
    "boiler": {"py"},
    "burner": {"py"},
    "hull": {"py"},
    "propeller": {"py"},
}
"""What else is written with a record's name and a dot: files, functions, tables of a boat file."""


def test_every_reading_is_documented() -> None:
    assert [name for name in QUANTITIES if name not in NAMED] == []


def test_every_key_cited_is_a_source() -> None:
    cited = set(re.findall(r"\[([A-Z][A-Z0-9]+)\](?!\()", README))
    assert len(cited) > 15
    assert cited - set(sources.SOURCES) == set()


def test_every_section_says_its_state_and_what_it_leaves_out() -> None:
    sections = re.split(r"^## (?=\d+\. )", README, flags=re.MULTILINE)[1:]
    assert len(sections) == 30
    for section in sections[:27]:
        title = section.splitlines()[0]
        assert re.search(r"\*Sources?\*|\*Sources?:|\*Sources?\*:", section) or "geometry" in section, title
        assert "*Leaves out*" in section, title
        number = title.split(".")[0]
        numbered = re.findall(r"\((\d+)\.(\d+)\)  ?", section)
        own = [int(second) for first, second in numbered if first == number]
        assert title.startswith("2.") or own[:1] == [1], title


def _functions() -> Iterator[tuple[str, ast.FunctionDef]]:
    for path in sorted(PLANT.glob("*.py")):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            public = isinstance(node, ast.FunctionDef) and not node.name.startswith("_")
            if public and not _is_stub(node):
                yield path.name, node


def _is_stub(node: ast.FunctionDef) -> bool:
    """Whether nothing but a docstring stands in it: `march.rates`, which every march replaces."""
    return len(node.body) == 1


def _constants(node: ast.FunctionDef) -> set[float]:
    """Numbers in the body of a function that say something about the world."""
    found = set()
    for part in node.body[1:]:
        for inside in ast.walk(part):
            is_number = isinstance(inside, ast.Constant) and type(inside.value) in (int, float)
            if is_number and abs(inside.value) not in PLAIN and abs(inside.value) > TINY:
                found.add(float(inside.value))
    return found


FUNCTIONS = {f"{file}: {node.name}": node for file, node in _functions()}


@pytest.mark.parametrize("where", FUNCTIONS)
def test_docstring_says_what_and_in_which_unit(where: str) -> None:
    node = FUNCTIONS[where]
    said = ast.get_docstring(node) or ""
    assert said.split("\n")[0].endswith((".", ";", ":")) or "\n" in said, "the first line is no sentence"
    if node.name in NO_UNITS_OF_THEIR_OWN or not node.args.args:
        return
    assert re.search(r"Parameters:|Returns:|Notes:|\[[^\]]+\]", said), "neither parameters nor returns"
    assert re.search(r"\[[^\]]*\]", said), "no unit in brackets"


@pytest.mark.parametrize("where", FUNCTIONS)
def test_constants_have_a_source(where: str) -> None:
    node = FUNCTIONS[where]
    constants = _constants(node)
    if not constants or node.name in WITHOUT_FIGURES:
        return
    said = " ".join((ast.get_docstring(node) or "").split())
    cited = set(re.findall(r"\[([A-Z][A-Z0-9]+)\]", said)) & set(sources.SOURCES)
    assert cited or any(phrase in said for phrase in PHRASES), f"no source for {sorted(constants)}"


WITHOUT_FIGURES = {
    "march",  # numbers of the method, named at the head of its file
    "march_for",  # length of a name
    "shaft_balance",  # numbers of a search
    "user_cache_folder",  # rights of a folder
}
