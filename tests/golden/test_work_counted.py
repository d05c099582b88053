"""How much work a day is, counted: no more right-hand sides, marches or memory than when last written.

A clock would tell the machine's mood; these are the same on every machine but for rounding. Fewer is welcome:
then write `data/work.json` anew with `pytest tests/golden/test_work_counted.py --rewrite-days`.
"""

from __future__ import annotations

import gc
import json
import sys
import tracemalloc
from pathlib import Path

import pytest

from halfglass.day.outing import Accuracy, Day
from halfglass.plant.compile import is_compiled
from halfglass.scenario.load import load

pytestmark = pytest.mark.skipif(not is_compiled(), reason="counts what the compiled plant leaves to Python")

FOLDER = Path(__file__).parents[2] / "scenarios"
FILE = Path(__file__).parent / "data" / "work.json"
DAYS = ("01-quiet-lake-day", "03-burner-boat", "05-compound-and-vacuum", "08-lock-flight")
MORE = {"right_hand_sides": 1.03, "steps": 1.03, "marches": 1.05, "blocks_kept": 1.3, "most_megabytes": 1.15}
"""How many times the written count is still the same: rounding, or another version of Python or SimPy."""


def counted(name: str) -> dict[str, float]:
    """One day's work: what the march did, and what Python held at its worst and at its end."""
    scenario = load(FOLDER / f"{name}.toml").base
    Day(scenario).run()  # what is made once, and kept, is not this day's
    gc.collect()
    day = Day(scenario)
    marcher = day.clock.plant.marcher
    marches = 0
    call = marcher._call

    def counting(until: float) -> int:
        nonlocal marches
        marches += 1
        return call(until)

    marcher._call = counting  # type: ignore[method-assign]
    blocks = sys.getallocatedblocks()
    tracemalloc.start()
    try:
        day.run()
        _, most = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    blocks = sys.getallocatedblocks() - blocks
    work = marcher.counters
    return {
        "right_hand_sides": work.rates_calls, "steps": work.steps, "marches": marches,
        "blocks_kept": blocks, "most_megabytes": round(most / 1e6, 2),
    }  # fmt: skip


@pytest.mark.parametrize("name", DAYS)
def test_a_day_is_no_more_work_than_it_was(name: str, request: pytest.FixtureRequest) -> None:
    written = json.loads(FILE.read_text(encoding="utf-8")) if FILE.exists() else {}
    now = counted(name)
    if request.config.getoption("--rewrite-days"):
        written[name] = now
        FILE.write_text(json.dumps(written, indent=1) + "\n", encoding="utf-8")
    for what, most in MORE.items():
        assert now[what] <= most * written[name][what], (what, now, written[name])


def test_a_tighter_tolerance_would_be_seen() -> None:
    """The count can fail: a tenth of the tolerance is more than the margin allows."""
    scenario = load(FOLDER / f"{DAYS[0]}.toml").base
    day = Day(scenario, accuracy=Accuracy(tolerance_factor=0.1))
    day.run()
    written = json.loads(FILE.read_text(encoding="utf-8"))[DAYS[0]]["right_hand_sides"]
    assert day.clock.plant.marcher.counters.rates_calls > MORE["right_hand_sides"] * written
