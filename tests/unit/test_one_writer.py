"""Files are written in one way only (`result/whole.py`): whole or not at all. The source is looked over."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

SOURCE = Path(__file__).parents[2] / "sim" / "halfglass"
OTHERWISE = {
    "result/whole.py": "the writer itself",
    "classroom/journal.py": "a line is added at a time; half a last line is cut off at the next start",
    "plant/compile.py": "only folders, for compiled code; numba writes it, whole or not at all",
    "plant/data/make_steam_table.py": "a tool of ours, for a file under version control",
    "scenario/schema_text.py": "a tool of ours, for a file under version control",
    "study/run_folder.py": "the ledger is SQLite's, with a journal of its own; rows are packed in memory",
    "report/drawing.py": "drawn into memory",
    "command_parts.py": "stdout after the reader has gone; a nameless file to see whether a folder takes any",
}
"""Modules that may call what writes, each with the reason."""
WRITES = {
    "write_text", "write_bytes", "to_csv", "to_json", "to_parquet", "savefig", "savez", "savetxt", "dump",
    "mkstemp", "NamedTemporaryFile", "TemporaryFile", "fdopen", "copyfile", "copytree", "copy2", "move",
    "write_table", "connect", "symlink_to", "hardlink_to", "touch", "rename",
}  # fmt: skip
OPENS_OF_OUR_OWN = ("self.", "shelf", "page")
"""Methods called `open` that open no file: a place in a lesson, a page of it."""


def writing_calls(path: Path) -> Iterator[str]:
    """Every call in a module that may write a file."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if not isinstance(node, ast.Call):
            continue
        called = ast.unparse(node.func)
        name = called.rpartition(".")[2]
        owner = called.rpartition(".")[0]
        opens = name == "open" and not _only_reads(node, owner)
        if opens or name in WRITES or called in ("os.replace", "os.link"):
            yield f"line {node.lineno}: {called}"


def _only_reads(node: ast.Call, owner: str) -> bool:
    if owner == "webbrowser" or any(word in owner + "." for word in OPENS_OF_OUR_OWN):
        return "self.path" not in owner
    place = 0 if owner and owner != "os" else 1
    modes = [*node.args[place : place + 1], *(k.value for k in node.keywords if k.arg == "mode")]
    told = [mode.value for mode in modes if isinstance(mode, ast.Constant) and isinstance(mode.value, str)]
    return owner != "os" and not modes or bool(told) and set(told[0]) <= set("rbt")


MODULES = sorted(path.relative_to(SOURCE).as_posix() for path in SOURCE.rglob("*.py"))


@pytest.mark.parametrize("name", [name for name in MODULES if name not in OTHERWISE])
def test_only_the_writer_writes(name: str) -> None:
    assert [*writing_calls(SOURCE / name)] == []


@pytest.mark.parametrize("name", OTHERWISE)
def test_every_exception_is_one(name: str) -> None:
    assert name in MODULES and (name == "plant/compile.py" or [*writing_calls(SOURCE / name)])


def test_what_writes_is_seen(tmp_path: Path) -> None:
    module = tmp_path / "module.py"
    for line in ('open("x", "w")', 'path.open(mode="ab")', "path.write_text('')", "table.to_csv(path)",
                 "os.open(p, 1)", "open(p, how)", "numpy.savez(path)"):  # fmt: skip
        module.write_text(line)
        assert [*writing_calls(module)], line
    for line in ("open(p)", 'p.open("rb")', 'open(p, "r")', 'text.replace("a", "b")', "webbrowser.open(a)"):
        module.write_text(line)
        assert not [*writing_calls(module)], line
