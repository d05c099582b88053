"""How fast a spread is: `pytest -m benchmarks -s tests/benchmarks/test_spread_benchmark.py`. Asserts no time.

A member is timed by the processor time its process used, so that others at work on the machine do not count;
parallel efficiency is by the clock, and only means something on a quiet machine.
"""

from __future__ import annotations

import os
import time
from pathlib import Path

import numpy as np
import pytest

from halfglass.plant.compile import is_compiled
from halfglass.scenario.load import load
from halfglass.study.ensemble import GRID, row, work
from halfglass.study.executors import executor, results
from halfglass.study.run_folder import RunFolder
from halfglass.study.sampling import draw
from halfglass.study.spread import Asked, gather, horizon_of, identity, tasks

pytestmark = [
    pytest.mark.benchmarks,
    pytest.mark.skipif(not is_compiled(), reason="times the compiled plant"),
]
SCENARIO = Path(__file__).parents[2] / "scenarios" / "01-quiet-lake-day.toml"
GOAL = 20.0  # members per second and core
MEMBERS, PARALLEL, MANY = 30, 48, 800


def test_spread_speed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    story = load(SCENARIO)
    plan = story.plan_names[0]
    day, cores = story.for_plan(plan), os.cpu_count() or 1
    grid = np.linspace(0.0, horizon_of(story, [plan]), GRID)
    row(day, 0, grid)
    begun, hours = time.process_time(), 0.0
    for seed in range(MEMBERS):
        hours += float(row(day, seed, grid)["ended_at"]) / 3600.0 / MEMBERS
    rate = MEMBERS / (time.process_time() - begun)
    alone = _seconds(story, plan, 1)
    lines = [
        "",
        f"members per second and core      {rate:8.1f}   goal ≥ {GOAL:.0f}   ({hours:.1f} h each, with crew)",
    ]
    if cores > 1:
        together = _seconds(story, plan, cores)
        efficiency = alone / together / cores
        lines.append(
            f"parallel efficiency, {cores} processes  {100 * efficiency:8.0f} %"
            f"   load {os.getloadavg()[0]:.1f}"
        )
    lines.append(_memory(story, plan, tmp_path))
    with capsys.disabled():
        print("\n".join(lines))


def _seconds(story, plan: str, jobs: int) -> float:
    """By the clock, for the same days with so many workers that have had their first day already."""
    asked = Asked(PARALLEL, 0, "latin hypercube", (plan,))
    made = tasks(story, asked, (), draw(PARALLEL, 0, 0, asked.sampling), horizon_of(story, [plan]))
    with executor(jobs) as (pool, workers):
        [*results(pool, workers, work, iter(made[: 2 * workers]))]
        begun = time.perf_counter()
        [*results(pool, workers, work, iter(made))]
        return time.perf_counter() - begun


def _memory(story, plan: str, folder: Path) -> str:
    """What reading the answer off many days takes at its worst; the days are one day over and over."""
    import tracemalloc

    horizon = horizon_of(story, [plan])
    one = row(story.for_plan(plan), 0, np.linspace(0.0, horizon, GRID))
    told = []
    for members in (MANY // 4, MANY):
        asked = Asked(members, 0, "latin hypercube", (plan,))
        draws = draw(members, 0, 0, asked.sampling)
        with RunFolder(folder / str(members), identity(story, asked, horizon), False) as kept:
            for task in tasks(story, asked, (), draws, horizon):
                kept.keep(
                    0, task.first, {name: np.stack([value] * len(task.seeds)) for name, value in one.items()}
                )
            tracemalloc.start()
            gather(story, asked, (), draws, horizon, kept)
            told.append(f"{members} days {tracemalloc.get_traced_memory()[1] / 1e6:.1f} MB")
            tracemalloc.stop()
    return "reading the answer takes         " + ", ".join(told)
