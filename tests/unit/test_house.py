"""How the house is kept: no circles of imports, short files and functions, no logic twice, lint, types.

What may import what stands in test_layers.py, what the plant's docstrings say in test_model_documentation.py,
names in test_names.py. These are beside the other unit tests, because nothing runs them but `pytest`.
"""

from __future__ import annotations

import ast
import subprocess
import sys
from collections import defaultdict
from collections.abc import Iterator
from functools import cache
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import grimp
import pytest

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "sim" / "halfglass"
MOST_LINES = 400
MOST_IN_FUNCTION = 50
LEAST_ALIKE = 4
"""Lines from which two functions that do the same are one too many."""

ONE_LIST_OF_FLOWS = "one list of flows, each booked at both ends; cut in two, half would stand out of sight"
LONG_FUNCTIONS = {
    "plant/boiler_balance.py: boiler_balance": ONE_LIST_OF_FLOWS,
    "plant/engine_balance.py: steam_balance_engine": ONE_LIST_OF_FLOWS,
    "plant/fire_balance.py: fire_now": ONE_LIST_OF_FLOWS,
    "plant/water_balance.py: exhaust_now": ONE_LIST_OF_FLOWS,
    "plant/water_balance.py: feed_now": ONE_LIST_OF_FLOWS,
}
TABLE_OF_CASES = "a table of cases"
CASES_BY_HAND = "cases worked by hand, one after another"
LONG_FILES = {
    "tests/property/random_days.py": "one grammar of a day",
    "tests/unit/test_components_by_hand.py": CASES_BY_HAND,
    "tests/unit/test_march.py": CASES_BY_HAND,
    "tests/unit/test_plant_flows.py": CASES_BY_HAND,
    "tests/unit/test_verdict.py": CASES_BY_HAND,
    "tests/golden/test_every_number_matters.py": TABLE_OF_CASES,
    "tests/unit/test_bad_days.py": TABLE_OF_CASES,
    "tests/unit/test_classroom_server.py": "by three lines",
    "tests/unit/test_faults.py": "by five lines",
}
WRITTEN_IN = {".py", ".js", ".css", ".html", ".j2"}

Function = ast.FunctionDef | ast.AsyncFunctionDef


def written() -> Iterator[Path]:
    """Every file that somebody writes by hand."""
    for folder in (PACKAGE, ROOT / "tests", ROOT / "scenarios"):
        for path in sorted(folder.rglob("*")):
            if path.suffix in WRITTEN_IN and "vendor" not in path.parts:
                yield path


@cache
def functions(path: Path) -> tuple[Function, ...]:
    return tuple(_functions(path))


def _functions(path: Path) -> Iterator[Function]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, Function):
            yield node


def body_of(function: Function) -> list[ast.stmt]:
    """What a function does, without what it says."""
    return function.body[1:] if ast.get_docstring(function) is not None else function.body


def code_lines(function: Function, lines: list[str]) -> int:
    """Lines of code: docstrings and comments explain, and are not to be kept short for this."""
    body = body_of(function)
    kept = lines[body[0].lineno - 1 : function.end_lineno] if body else []
    return sum(1 for line in kept if line.strip() and not line.strip().startswith("#"))


def test_no_modules_import_each_other_in_a_circle() -> None:
    """Wherever in a file the import stands; those for the type checker alone do not run."""
    graph = grimp.build_graph("halfglass", exclude_type_checking_imports=True, cache_dir=None)
    imports = {name: graph.find_modules_directly_imported_by(name) for name in graph.modules}
    assert len(imports) > 200
    try:
        TopologicalSorter(imports).prepare()
    except CycleError as error:
        pytest.fail(f"a circle of imports: {' <- '.join(error.args[1])}")


def test_no_file_is_long() -> None:
    long = {
        path.relative_to(ROOT).as_posix()
        for path in written()
        if len(path.read_text(encoding="utf-8").splitlines()) > MOST_LINES
    }
    assert long == set(LONG_FILES)


def test_no_function_is_long() -> None:
    long = set()
    for path in written():
        if path.suffix == ".py" and PACKAGE in path.parents:
            lines = path.read_text(encoding="utf-8").splitlines()
            for function in functions(path):
                if code_lines(function, lines) > MOST_IN_FUNCTION:
                    long.add(f"{path.relative_to(PACKAGE).as_posix()}: {function.name}")
    assert long == set(LONG_FUNCTIONS)


def test_lines_are_counted_without_what_is_said() -> None:
    text = 'def f():\n    """Say.\n\n    More.\n    """\n    # why\n    a = 1\n\n    return a\n'
    (function,) = ast.parse(text).body
    assert isinstance(function, ast.FunctionDef) and code_lines(function, text.splitlines()) == 2


def test_no_two_functions_do_the_same() -> None:
    """Word for word but for comments and docstrings."""
    places: dict[str, list[str]] = defaultdict(list)
    for path in PACKAGE.rglob("*.py"):
        lines = path.read_text(encoding="utf-8").splitlines()
        for function in functions(path):
            if code_lines(function, lines) >= LEAST_ALIKE:
                done = "\n".join(ast.dump(statement) for statement in body_of(function))
                places[done].append(f"{path.relative_to(PACKAGE).as_posix()}: {function.name}")
    assert len(places) > 500
    assert [where for where in places.values() if len(where) > 1] == []


def ran(*command: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-m", *command], cwd=ROOT, capture_output=True, text=True)


def test_ruff_finds_nothing() -> None:
    done = ran("ruff", "check", "--no-cache", ".")
    assert done.returncode == 0, done.stdout


@pytest.mark.long
def test_mypy_finds_nothing() -> None:
    """Strictly, by the settings of pyproject.toml."""
    done = ran("mypy")
    assert done.returncode == 0, done.stdout
