"""One quantity, one name: the words of `vocabulary/quantities.py`, the endings of DEVELOPERS.md.

Looked at: parameters of the plant's public functions, fields of its records, readings (which head the columns
of the tables), scenario keys, keys of JSON objects and totals.
"""

from __future__ import annotations

import ast
import dataclasses
import re
from collections.abc import Iterator
from pathlib import Path
from typing import get_type_hints

import pytest

from halfglass.plant import parameters
from halfglass.scenario.day_models import Scenario
from halfglass.scenario.key_facts import KeyFacts, facts
from halfglass.scenario.schema import all_tables
from halfglass.vocabulary.quantities import QUANTITIES, header

PACKAGE = Path(__file__).parents[2] / "sim" / "halfglass"
SHORTENED = {
    "temp", "pres", "press", "lvl", "vol", "cfg", "num", "qty", "amt", "eff", "coeff", "coef", "param",
    "params", "idx", "spd", "vel", "dia", "cond", "init", "calc", "val", "vals", "evap", "atm", "gov", "dt",
    "len", "avg", "std", "max", "min", "pct", "hw", "rev", "rpm", "eng", "cyl", "dist", "freq", "opts",
    "info", "func", "arr",
}  # fmt: skip
"""What the trade does not say; parts of a name between its underscores."""
ENDINGS = {
    "_pressure": {"gauge_pressure"},
    "_temperature": {"temperature"},
    "_mass": {"mass"},
    "_power": {"power"},
    "_level": {"length"},
    "_depth": {"length"},
    "_speed": {"speed", "rotation"},
    "_flow": {"mass_flow"},
    "_fraction": {"fraction"},
    "_rate": {"mass_flow", "power", "stroke_rate"},
}
"""What a reading with such an ending is."""
BEYOND = {
    "glass_fraction": "out of sight at either end is a fraction too",
    "separator_load_fraction": "a cloth takes up more than fills it",
}
SHARE_OF_A_RATE = {"burner_rate"}
"""The burner's setting is a share of its full rate, and that is what its maker calls it."""
TWO_MEANINGS = {
    ("Engine", "throttle"): "the throttle's area in a boat file; its opening everywhere else",
    ("Hull", "draught"): "the trade's word for how deep a hull floats, and for the pull of a funnel",
}
"""A name that is not one quantity's alone, told apart by the table it stands in."""


def tables() -> Iterator[tuple[str, KeyFacts]]:
    for table in all_tables(Scenario):
        for fact in facts(table):
            yield table.__name__, fact


def plant_functions() -> Iterator[ast.FunctionDef]:
    for path in sorted((PACKAGE / "plant").glob("*.py")):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                yield node


def plant_records() -> dict[str, type]:
    components = get_type_hints(parameters.PlantParameters)
    return {**components, "settings": parameters.Settings, "charge": parameters.FuelCharge}


def json_keys() -> set[str]:
    """Keys written out in the modules that make JSON objects, and those of the totals of a day."""
    files = [
        *PACKAGE.glob("result/*json*.py"),
        PACKAGE / "result" / "fitted.py",
        PACKAGE / "day" / "record.py",
    ]
    keys = set()
    for path in files:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Dict):
                keys |= {key.value for key in node.keys if isinstance(key, ast.Constant)}
    return {key for key in keys if isinstance(key, str) and re.fullmatch(r"\w+", key)}


def names() -> dict[str, set[str]]:
    """Every public name by where it stands."""
    return {
        "parameters of the plant": {arg.arg for node in plant_functions() for arg in node.args.args},
        "records of the plant": {
            field.name for record in plant_records().values() for field in dataclasses.fields(record)
        },
        "readings": set(QUANTITIES),
        "keys of a scenario": {fact.key for _, fact in tables()},
        "keys of JSON": json_keys(),
    }


@pytest.mark.parametrize("where", list(names()))
def test_no_word_is_shortened(where: str) -> None:
    found = names()[where]
    assert len(found) > 40
    assert {name for name in found if SHORTENED & set(name.lower().split("_"))} == set()


@pytest.mark.parametrize("name", list(QUANTITIES))
def test_a_reading_is_what_its_ending_says(name: str) -> None:
    quantity = QUANTITIES[name]
    for ending, kinds in ENDINGS.items():
        if name.endswith(ending) and name not in SHARE_OF_A_RATE:
            assert quantity.kind in kinds
    if quantity.kind == "gauge_pressure":
        assert name.endswith("_pressure"), "a pressure is called one"
    if name.endswith("_fraction") and name not in BEYOND:
        assert (quantity.lowest, quantity.highest) == (0.0, 1.0)
    assert re.fullmatch(rf"{name} \[.+\]", header(name))


def test_flows_read_from_and_to() -> None:
    """A flow between two of the plant's own parts names both, in that order; others say what flows."""
    ends = "boiler|engine|hotwell|condenser|lake"
    between = [name for name in QUANTITIES if len(re.findall(ends, name)) > 1 and "flow" in name]
    assert between and all(
        re.search(rf"flow_(?:{ends})_(?:{ends}|pump)|_to_|^feed_flow_", name) for name in between
    )


def test_a_key_that_is_a_reading_is_of_its_kind() -> None:
    """`throttle` is set in a scenario and read in the tables: one quantity, one name."""
    words = {"gauge_pressure": "pressure", "mass_flow": "flow", "fraction": "fraction"}
    shared = [(table, fact) for table, fact in tables() if fact.key in QUANTITIES and not fact.tables]
    assert {fact.key for _, fact in shared} >= {"throttle", "damper", "bypass", "boiler_solids", "distance"}
    for table, fact in shared:
        kind = QUANTITIES[fact.key].kind
        meant = words.get(kind, kind.replace("_", " "))
        is_said = meant.split()[-1] in fact.holds or fact.holds.startswith(("a plain number", "'"))
        assert is_said != ((table, fact.key) in TWO_MEANINGS), (table, fact.key, fact.holds, kind)


def test_pressures_in_a_scenario_are_gauge() -> None:
    pressures = [(table, fact) for table, fact in tables() if re.search(r"pressure$|^pressure_", fact.key)]
    assert len(pressures) > 8
    odd = [(t, f.key, f.holds) for t, f in pressures if "pressure" not in f.holds or "absolute" in f.holds]
    assert odd == []


def test_an_absolute_pressure_says_so() -> None:
    """In the records of the plant: beside each pressure its comment tells which it is."""
    text = (PACKAGE / "plant" / "parameters.py").read_text(encoding="utf-8")
    fields = re.findall(r"^    (\w+): float(?: = [\w.]+)?  # (.*)$", text, re.MULTILINE)
    told = {name: comment for name, comment in fields if re.match(r"Pa\b", comment)}
    assert len(told) > 6
    for name, comment in told.items():
        assert ("absolute" in comment) <= name.endswith("_absolute"), name
        assert ("above atmosphere" in comment) <= (not name.endswith("_absolute")), name


def test_totals_end_with_their_unit() -> None:
    text = (PACKAGE / "day" / "record.py").read_text(encoding="utf-8")
    totals = re.search(r"^def totals\(.*?^    return \{(.*?)^    \}", text, re.MULTILINE | re.DOTALL)
    assert totals is not None
    keys = re.findall(r'^        "(\w+)":', totals.group(1), re.MULTILINE)
    assert len(keys) > 12
    assert [key for key in keys if not re.search(r"_(?:kg|m|J|s|strokes)$", key)] == []


def test_a_shortened_word_would_be_found() -> None:
    assert SHORTENED & {"boiler", "temp"} and not SHORTENED & {"boiler", "temperature"}
