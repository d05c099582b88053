"""How cost grows with hours, hands, plans and members, as lines: `pytest -m benchmarks -s tests/benchmarks`.

Costs are the processor's time of this process, so that others at work on the machine count less. Nothing is
asserted of them; what can be counted is asserted in `tests/golden/test_work_counted.py`.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
import pytest

from halfglass.day import outing
from halfglass.day.outing import Day
from halfglass.plant.compile import is_compiled
from halfglass.report import page
from halfglass.scenario.load import load
from halfglass.study.ensemble import Task, work
from halfglass.study.executors import executor, results

pytestmark = [
    pytest.mark.benchmarks,
    pytest.mark.skipif(not is_compiled(), reason="times the compiled plant"),
]
LAKE = load(Path(__file__).parents[2] / "scenarios" / "01-quiet-lake-day.toml").base


def least(action: Callable[[], object], times: int = 3) -> float:
    """Processor time of the shortest of several runs [s]."""
    found = []
    for _ in range(times):
        begun = time.process_time()
        action()
        found.append(time.process_time() - begun)
    return min(found)


def line(what: str, unit: str, amounts: Sequence[float], costs: Sequence[float]) -> str:
    """The costs, the straight line through them, and how far the worst lies off it."""
    slope, start = np.polyfit(amounts, costs, 1)
    off = max(abs(start + slope * a - c) / c for a, c in zip(amounts, costs, strict=True))
    pairs = ", ".join(f"{a:g}: {c:.3f}" for a, c in zip(amounts, costs, strict=True))
    straight = f"line {start:.3f} + {slope:.4f} a {unit}, worst {100 * off:.0f} % off"
    return f"{what:<26} [{unit}: s] {pairs}; {straight}"


def days_of(rounds: int) -> Day:
    """The lake's first leg, out and lying, so many times over, with coal enough."""
    raising, warming, leg, bend, alongside, lie, *_, last = LAKE.route
    aboard = LAKE.aboard.model_copy(update={"fuel_mass": 30.0 * (rounds + 1)})
    route = (raising, warming, *(leg, bend, alongside, lie) * rounds, last)
    return Day(LAKE.model_copy(update={"route": route, "aboard": aboard}))


def test_hours(capsys: pytest.CaptureFixture[str]) -> None:
    hours, costs, calls = [], [], []
    days_of(1).run()
    for rounds in (1, 2, 4, 8):
        day = days_of(rounds)
        day.run()
        hours.append(round(day.clock.now / 3600.0, 2))
        calls.append(day.clock.plant.marcher.counters.rates_calls / 1e3)
        costs.append(least(lambda rounds=rounds: days_of(rounds).run()))
    with capsys.disabled():
        print("\n" + line("a day", "hour", hours, costs))
        print(line("thousand right-hand sides", "hour", hours, calls).replace(": s]", ": 10³]"))
    assert hours[-1] > 4 * hours[0]


def test_hands(capsys: pytest.CaptureFixture[str]) -> None:
    told = []
    for hands in (1, 2):
        day = LAKE.model_copy(update={"crew": LAKE.crew.model_copy(update={"hands": hands})})
        Day(day).run()
        told.append(f"{hands}: {least(lambda day=day: Day(day).run()):.3f}")
    with capsys.disabled():
        print(f"\n{'a day, by hands aboard':<26} [hands: s] {', '.join(told)}")


def test_plans(capsys: pytest.CaptureFixture[str]) -> None:
    counts, costs, reports, sizes = (1, 2, 4, 8, 16), [], [], []
    for count in counts:
        made = [outing.run(LAKE, f"plan {number}") for number in range(count)]
        costs.append(least(lambda n=count: [outing.run(LAKE, f"plan {i}") for i in range(n)], 2))
        reports.append(least(lambda made=made: page.render(made), 2))
        sizes.append(len(page.render(made)) / 1e6)
    with capsys.disabled():
        print("\n" + line("outings", "plan", counts, costs))
        print(line("their report", "plan", counts, reports))
        print(line("its size", "plan", counts, sizes).replace(": s]", ": MB]"))


def test_members(capsys: pytest.CaptureFixture[str]) -> None:
    counts, costs = (8, 16, 32, 64), []

    def spread(members: int) -> None:
        tasks = [Task(0, at, LAKE, (), np.empty((4, 0)), tuple(range(at, at + 4)), 30000.0)
                 for at in range(0, members, 4)]  # fmt: skip
        with executor(1) as (made, workers):
            rows = [part["outcome"].size for _, _, part in results(made, workers, work, iter(tasks))]
        assert sum(rows) == members

    spread(4)
    for members in counts:
        costs.append(least(lambda members=members: spread(members), 2))
    with capsys.disabled():
        print("\n" + line("a spread", "member", counts, costs))
