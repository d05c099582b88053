"""The model's documentation is complete and true to names: sim/README.md and the docstrings of plant/."""

from __future__ import annotations

import ast
import dataclasses
import importlib
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


RANGE = re.compile(
    r"\bfrom [\d.]|\d (?:to|-|–) ?-?\d|\d-\d|[<>]=? ?-?\d|0/1|\d or \d"
    r"|\b(?:any|never|none|between|either way|positive|negative)\b"
    r"|\b(?:below|above|at most|at least|highest|lowest|up to|no less|no more)\b"
)
"""How a docstring says for what a formula holds, or what it comes to at most."""
WHOLE_STATE = {
    "rates_of", "openings_now", "burn", "burn_oil", "bed_heat", "pump_share", "hotwell_steam", "boxes",
    "to_box", "march",
}  # fmt: skip
"""On state and controls, whose ranges stand in `vocabulary/quantities.py` and `plant/parameters.py`."""
INSIDE = {
    "crown_tilt", "tank_air_volume", "screw_at_engine", "feed_pump_torque", "mean_back_pressure",
    "steam_chest", "pent_up_pressure", "outlet_shortage", "injector_grip", "load_factor",
}  # fmt: skip
"""On a boat's record, and called by one formula each, which has its numbers in the tests."""
TESTS = "".join(
    path.read_text(encoding="utf-8") for path in (ROOT / "tests").rglob("*.py") if path != Path(__file__)
)


def _formulas() -> dict[str, ast.FunctionDef]:
    """Those that take quantities."""
    known = NO_UNITS_OF_THEIR_OWN | WHOLE_STATE
    return {where: node for where, node in FUNCTIONS.items() if node.args.args and node.name not in known}


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


@pytest.mark.parametrize("where", _formulas())
def test_docstring_says_for_what_range(where: str) -> None:
    assert RANGE.search((ast.get_docstring(FUNCTIONS[where]) or "").split(">>>")[0]), "no range"


@pytest.mark.parametrize("where", _formulas())
def test_a_formula_has_a_worked_number(where: str) -> None:
    """A formula of plain numbers in its docstring, run with the tests; one on a boat's record in a test."""
    node = FUNCTIONS[where]
    if {ast.unparse(one.annotation) for one in node.args.args if one.annotation} <= {"float"}:
        assert ">>>" in (ast.get_docstring(node) or ""), "no worked number"
    elif node.name not in INSIDE:
        assert re.search(rf"\b{node.name}\b", TESTS), "in no test"


@pytest.mark.parametrize("where", FUNCTIONS)
def test_constants_have_a_source(where: str) -> None:
    node = FUNCTIONS[where]
    constants = _constants(node)
    if not constants or node.name in WITHOUT_FIGURES:
        return
    said = " ".join((ast.get_docstring(node) or "").split())
    cited = set(re.findall(r"\[([A-Z][A-Z0-9]+)\]", said)) & set(sources.SOURCES)
    assert cited or any(phrase in said for phrase in PHRASES), f"no source for {sorted(constants)}"


QUOTED = {
    "boiler.DRIFT_PROFILE": "½ j/(1.2 j + v)",
    "boiler.FLASH_SHARE": "e_h + 0.7 (e − e_h)",
    "boiler_balance.SIMMER_BELOW": "p_gauge/p_set − 0.97)/0.03",
    "boiler_balance.LEAST_WATER": "in no less than 0.5 kg of water",
    "boiler_balance.AIR_HEAT": "1005 J/(kg K)",
    "steam._FULL_FRACTION": "(f − 0.985)/0.015",
    "steam.AIR_HEAT_CAPACITY": "718 m_air",
    "steam.AIR_GAS_CONSTANT": "m_air 287.05 T",
    "orifice.CRITICAL_RATIO": "r_c = 0.545",
    "orifice.CHOKED_COEFFICIENT": "k = 1.135",
    "fire.OXYGEN_DEPTH": "d/(d + 25 mm)",
    "fire.MONOXIDE_FROM": "(d − 76 mm)/150 mm",
    "fire.MONOXIDE_DEPTH": "(d − 76 mm)/150 mm",
    "fire.MONOXIDE_HIGHEST": "s = 0.6 (1 −",
    "fire.MONOXIDE_BURNT": "at most 0.9 of the monoxide",
    "fire.CATCHING_DEPTH": "e^(−d/10 mm)",
    "fire.CATCHING_DEAD": "L(T_f; 400, 900 K)",
    "fire.CATCHING_BRIGHT": "L(T_f; 400, 900 K)",
    "fire.GLOWING_DEAD": "L(T_f; 310, 450 K)",
    "fire.GLOWING_BRIGHT": "L(T_f; 310, 450 K)",
    "fire.AIR_PER_CHAR": "11.52 (1 − s/2)",
    "fire.CHAR_HEAT": "32.8 MJ/kg, less 0.70",
    "fire.CARBON_MONOXIDE_HEAT_SHARE": "32.8 MJ/kg, less 0.70",
    "fire.MOISTURE_HEAT": "moisture × 2.44 MJ/kg",
    "fire.VOLATILE_AIR_PER_JOULE": "0.33 kg for each MJ",
    "fire.GAS_HEAT_AT_ZERO": "c = 952 + 0.234 T̄",
    "fire.GAS_HEAT_SLOPE": "c = 952 + 0.234 T̄",
    "fire.BED_HEAT": "1100 (char + ash)",
    "fire_balance.PLATE_EXCESS": "T_p = water + 10 K",
    "burner.FULL_TANK_AIR": "1.02 V_tank",
    "burner.HEATING_SPREAD": "over 40 K",
    "burner.LAST_FUEL": "over the last 50 g",
    "feed.SUCTION_LOSS_HEAD": "− 5.45 m − lift",
    "feed.WATER_HEAT": "c = 4186 J/(kg K)",
    "human_power.LEVER_EFFICIENCY": "(0.85 · travel)",
    "human_power.LIGHT_FORCE": "50/min to 45 N",
    "human_power.HEAVY_FORCE": "20/min at 95 N",
    "human_power.TOO_HEAVY": "none at 150 N",
    "human_power.RECOVERY_TIME": "a time of 600 s",
    "drive.WATER_DENSITY": "ρ = 999 kg/m³",
    "drive.SPEED_TOLERANCE": "stopped at 1e-9 rev/s",
    "hull.AIR_DENSITY": "½ · 1.225",
    "water_balance.OIL_DRAWN_SHARE": "oil drawn = ½",
}
"""Constants of the plant and the words of sim/README.md that quote them."""
SCALES = (1.0, 1e3, 1e-6, 1e6)
"""A constant may be quoted in thousandths (mm, g) or millions (MJ)."""
HALVES = str.maketrans({"½": " 0.5 "})


@pytest.mark.parametrize("constant", QUOTED)
def test_constants_quoted_are_those_of_the_code(constant: str) -> None:
    file, name = constant.split(".")
    value = float(getattr(importlib.import_module(f"halfglass.plant.{file}"), name))
    words = QUOTED[constant]
    assert words in README
    numbers = [float(number) for number in re.findall(r"\d+\.?\d*(?:e-\d+)?", words.translate(HALVES))]
    known = [scale * value for scale in SCALES] + [1.0 - value, 1.0 + value]
    assert any(number == pytest.approx(each, rel=1e-9) for number in numbers for each in known)


WITHOUT_FIGURES = {
    "march",  # numbers of the method, named at the head of its file
    "march_for",  # length of a name
    "shaft_balance",  # numbers of a search
    "user_cache_folder",  # rights of a folder
}
