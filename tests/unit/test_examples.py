"""The examples for pandas users run, and print what they quote."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "scenarios" / "examples"
SLOW = ("fit_residuals", "own_plot", "spread_days", "steam_per_mile")
NUMBER = re.compile(r"[-+]?\d+(?:\.\d+)?(?:e[-+]\d+)?")


def quoted(example: Path) -> str:
    """What a file says that it prints."""
    found = re.search(
        r"^Prints:\n(.*?)^\"\"\"", example.read_text(encoding="utf-8"), re.MULTILINE | re.DOTALL
    )
    assert found is not None, f"{example.name} does not quote what it prints"
    return found.group(1)


def last_digit(number: str) -> float:
    """What the last digit of a number as written is worth."""
    figures, _, power = number.partition("e")
    decimals = len(figures.partition(".")[2])
    return 10.0 ** (int(power or 0) - decimals)


def test_a_last_digit_is_worth_what_it_says() -> None:
    assert [last_digit(text) for text in ("12", "1.50", "2.31e+04")] == pytest.approx([1.0, 0.01, 100.0])


@pytest.mark.parametrize(
    "name",
    [
        pytest.param(path.stem, marks=[pytest.mark.long] if path.stem in SLOW else [])
        for path in sorted(EXAMPLES.glob("*.py"))
    ],
)
def test_it_prints_what_it_quotes(name: str, tmp_path: Path) -> None:
    """Word for word; a number may differ by one in its last digit, as another machine may round."""
    example = EXAMPLES / f"{name}.py"
    done = subprocess.run(
        [sys.executable, str(example)], cwd=tmp_path, capture_output=True, text=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(path for path in sys.path if path)},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    printed, told = done.stdout, quoted(example)
    assert NUMBER.sub("#", printed).split() == NUMBER.sub("#", told).split()
    for one, other in zip(NUMBER.findall(printed), NUMBER.findall(told), strict=True):
        assert float(one) == pytest.approx(float(other), abs=1.01 * last_digit(other)), (one, other)
    assert list(tmp_path.iterdir()) == []


def test_they_use_nothing_but_what_is_offered() -> None:
    for path in EXAMPLES.glob("*.py"):
        text = path.read_text(encoding="utf-8")
        assert not re.search(r"from halfglass|import halfglass\.", text), path.name
        used = set(re.findall(r"halfglass\.(\w+)", text))
        assert used <= {"load", "run", "compare", "spread", "limit", "propose", "fit"}, path.name


def test_every_example_is_listed() -> None:
    listed = set(re.findall(r"^\| `(\w+)\.py`", (EXAMPLES / "README.md").read_text("utf-8"), re.MULTILINE))
    assert listed == {path.stem for path in EXAMPLES.glob("*.py")}
