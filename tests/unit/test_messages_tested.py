"""Every sentence that refuses a scenario stands in a test: none is written that nobody has ever seen."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SOURCE = ROOT / "sim" / "halfglass"
SAY = [
    *(SOURCE / "scenario" / f"{name}.py" for name in (
        "by_hand_models", "by_hand_parts",
        "checks", "day_checks", "plans", "load", "search", "order_models", "fault_models", "route_steps",
        "fields", "faults", "toml_text", "toml_syntax",
    )),
    *(SOURCE / "scenario" / "catalogue" / "boiler_shapes").glob("*.py"),
    SOURCE / "vocabulary" / "units.py",
    SOURCE / "vocabulary" / "unit_choice.py",
]  # fmt: skip

NAMES = ("hand pump on lake", "hand pump on hot well")


def constants(tree: ast.AST) -> Iterator[str]:
    """Every text in a program but docstrings, patterns, choices, what keys do and what the log says."""
    for node in ast.iter_child_nodes(tree):
        is_docstring = isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
        is_pattern = isinstance(node, ast.Call) and ast.unparse(node.func).startswith(("re.", "Field"))
        is_match = isinstance(node, ast.Call) and ast.unparse(node.func).endswith(".startswith")
        is_choice = isinstance(node, ast.Subscript) and ast.unparse(node.value) == "Literal"
        is_log = isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "sentence"
        if is_docstring or is_pattern or is_match or is_choice or is_log:
            continue
        if isinstance(node, ast.Dict):  # what is looked up by is said by nobody
            for said in node.values:
                yield from constants(ast.Expression(said))
            continue
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node.value
        yield from constants(node)


def sentences(path: Path) -> list[str]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return [text for text in constants(tree) if text.strip().count(" ") >= 3 and text not in NAMES]


@pytest.fixture(scope="module")
def tested() -> list[str]:
    """What the unit tests hold messages against: pieces of two words or more."""
    texts: list[str] = []
    for path in (ROOT / "tests" / "unit").glob("test_*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                texts.append(node.value)
    return [text for text in texts if " " in text.strip() and len(text) >= 10]


@pytest.mark.parametrize("path", SAY, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_every_sentence_stands_in_a_test(path: Path, tested: list[str]) -> None:
    untested = [
        sentence
        for sentence in sentences(path)
        if not any(piece in sentence or sentence.strip() in piece for piece in tested)
    ]
    assert untested == []
