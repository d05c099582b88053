"""The work of a spread leaves nothing of its days behind: memory stays flat however many there are."""

from __future__ import annotations

import gc
from pathlib import Path

import numpy as np

from halfglass.day.outing import Day
from halfglass.scenario.load import load
from halfglass.study.ensemble import Task, work

DAY = Path(__file__).parents[2] / "scenarios" / "03-burner-boat.toml"


def days() -> list[Day]:
    """Every day that has not been let go."""
    return [one for one in gc.get_objects() if isinstance(one, Day)]


def test_no_day_is_left_after_its_part() -> None:
    before = days()  # of other tests, kept alive here so that none of the new can pass for one of them
    task = Task(0, 0, load(DAY).base, (), np.empty((3, 0)), (1, 2, 3), 30000.0)
    gc.disable()
    try:
        work(task)
        assert [one for one in days() if not any(one is other for other in before)] == []
    finally:
        gc.enable()
