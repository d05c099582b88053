"""Studies leave nothing of their days behind: memory stays flat however many there are."""

from __future__ import annotations

import gc
from pathlib import Path

import numpy as np

from halfglass.day.outing import Day
from halfglass.scenario.load import load
from halfglass.study.ensemble import Task, work
from halfglass.study.executors import executor, results

DAY = Path(__file__).parents[2] / "scenarios" / "03-burner-boat.toml"


def days() -> list[Day]:
    """Every day that has not been let go."""
    return [one for one in gc.get_objects() if isinstance(one, Day)]


def test_no_day_is_left_after_its_task() -> None:
    before = days()  # of other tests, kept alive here so that none of the new can pass for one of them
    base = load(DAY).base
    tasks = [Task(0, at, base, (), np.empty((1, 0)), (at,), 30000.0) for at in range(3)]
    gc.disable()
    try:
        with executor(1) as (made, workers):
            assert len([*results(made, workers, work, iter(tasks))]) == 3
            left = [one for one in days() if not any(one is other for other in before)]
    finally:
        gc.enable()
    assert left == []
    assert gc.get_freeze_count() == 0, "the collector sees again what it saw before"
