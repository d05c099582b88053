"""The mutation testing itself, and (`-m long`) a small fixed sample that must be noticed."""

from __future__ import annotations

import ast
import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import mutants
import pytest
import swap

HERE = Path(__file__).parent
NOTICED = 0.8
"""Share of the faults of the small sample that must be noticed; what was found is in tests/README.md."""

SOURCE = '''
HEAT = 4.0
TWICE = 2.0 * HEAT

def feed(mass, rise):
    """Heat [J]."""
    if mass <= 0.0:
        return 0.0
    return min(mass, 9.0) * HEAT * rise
'''


def kinds(source: str) -> list[str]:
    """What can be done to a source, told as the changed statements."""
    tree = ast.parse(source)
    sites = mutants.sites_of(tree)
    return [
        mutants.mutant_at("m", tree, site, which).after
        for site in sites
        for which in range(len(site.changes))
    ]


def test_faults_of_every_kind_are_found() -> None:
    found = kinds(SOURCE)
    for after in (
        "HEAT = 4.4", "TWICE = 2.0 / HEAT", "if mass < 0.0:", "if mass >= 0.0:", "if not mass <= 0.0:",
        "return 1.0", "return max(mass, 9.0) * HEAT * rise", "return min(mass, 9.0) * HEAT / rise",
        "return min(mass, 9.0) * HEAT * rise * 1.1", "return min(mass, -9.0) * HEAT * rise",
    ):  # fmt: skip
        assert after in found, after
    booked = kinds(
        "def f(rate, flow, g):\n    rate[r.FED] += flow\n    rate[r.OUT] = g(flow, -rate[r.FED]) and flow\n"
    )
    for after in (
        "pass", "rate[r.OUT] += flow", "rate[r.FED] -= flow", "rate[r.OUT] = g(-rate[r.FED], flow) and flow",
        "rate[r.OUT] = g(flow, rate[r.FED]) and flow", "rate[r.OUT] = g(flow, -rate[r.FED]) or flow",
    ):  # fmt: skip
        assert after in booked, after


def test_texts_annotations_and_classes_are_left_alone() -> None:
    assert (
        kinds('class A:\n    x: float = 1.0\n\ndef f(a: Literal[1] = 2) -> None:\n    return "a" + a\n') == []
    )


@pytest.fixture
def home(tmp_path: Path) -> Iterator[ModuleType]:
    """A module made of SOURCE, and one that took a name from it."""
    file = tmp_path / "mutation_home.py"
    file.write_text(SOURCE)
    module = ModuleType("mutation_home")
    module.__file__ = str(file)
    exec(compile(SOURCE, str(file), "exec", dont_inherit=True), module.__dict__)
    guest = ModuleType("mutation_guest")
    guest.HEAT = module.HEAT  # type: ignore[attr-defined]
    sys.modules.update({"mutation_home": module, "mutation_guest": guest})
    yield module
    del sys.modules["mutation_home"], sys.modules["mutation_guest"]


def put_in(home: ModuleType, after: str) -> None:
    """Put the fault in that makes a statement so."""
    path = Path(str(home.__file__))
    tree = mutants.read(path)
    for site in mutants.sites_of(tree):
        for which in range(len(site.changes)):
            fault = mutants.mutant_at("mutation_home", tree, site, which)
            if fault.after == after:
                assert swap.put_in(fault, path)
                return
    raise AssertionError(f"no such fault: {after}")


def test_a_function_changes_wherever_it_is_held(home: ModuleType) -> None:
    held = home.feed
    assert held(2.0, 3.0) == 24.0
    put_in(home, "return min(mass, 9.0) * HEAT / rise")
    assert held(2.0, 3.0) == pytest.approx(8.0 / 3.0)
    assert held(0.0, 3.0) == 0.0


def test_a_constant_changes_with_what_is_made_of_it_and_where_it_was_imported(home: ModuleType) -> None:
    put_in(home, "HEAT = 4.4")
    guest = sys.modules["mutation_guest"]
    assert pytest.approx([8.8, 4.4]) == [home.TWICE, guest.HEAT]
    assert home.feed(1.0, 1.0) == pytest.approx(4.4)


def test_known_equivalent_faults_are_still_in_the_code() -> None:
    """A line of `equivalent.txt` that matches no fault any more is to be taken out, or written anew."""
    import run

    known = run.known_equivalent()
    assert all(known.values()), "a reason is missing"
    paths = {path.stem: path for paths in run.MODULES.values() for path in paths}
    for key in known:
        module, _, _, before, after = key.split(" | ")
        statements = {
            mutants.in_one_line(node)
            for node in ast.walk(mutants.read(paths[module]))
            if isinstance(node, ast.stmt)
        }
        assert before != after and any(before in statement for statement in statements), key


@pytest.mark.long
@pytest.mark.parametrize("package", ["plant", "result"])
def test_a_small_sample_is_noticed(package: str, tmp_path: Path) -> None:
    out = tmp_path / "told.json"
    command = [sys.executable, str(HERE / "run.py"), "--package", package, "--sample", "40", "--seed", "7"]
    done = subprocess.run([*command, "--out", str(out)], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout[-3000:] + done.stderr[-3000:]
    rows = [row for row in json.loads(out.read_text()) if row["result"] != "equivalent"]
    survived = [row["fault"] for row in rows if row["result"] == "survived"]
    assert len(survived) <= (1.0 - NOTICED) * len(rows), "\n".join(survived)
