"""Speed, as ratios in one run: `pytest -m benchmarks -s tests/benchmarks`. No time is asserted."""

from __future__ import annotations

import dataclasses
import json
import os
import subprocess
import sys
import time
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import baseline
import pytest
from scripted_day import END, SCENARIO, run, sedge

from halfglass.day.outing import Day
from halfglass.plant.compile import is_compiled
from halfglass.scenario.load import load

pytestmark = [
    pytest.mark.benchmarks,
    pytest.mark.skipif(not is_compiled(), reason="compares the compiled plant with plain Python"),
]

ROOT = SCENARIO.parents[1]
# Twenty minutes: the valves lifting at the jetty, casting off, and steaming with damper and throttle moved.
START, UNTIL = 2290.0, 3490.0
SEEDS = range(10)
GOAL_PROPS, GOAL_STATE, GOAL_OUTINGS = 500.0, 90.0, 20.0
GOAL_HELP, GOAL_WARM, GOAL_FIRST = 0.15, 2.0, 20.0  # s
CLOSE = 2e-3


def best(times: int, action: Callable[[], object]) -> float:
    """Shortest of several runs [s]: what is left when others leave the machine alone."""
    found = []
    for _ in range(times):
        begun = time.perf_counter()
        action()
        found.append(time.perf_counter() - begun)
    return min(found)


def program(*arguments: str, **changes: str) -> str:
    """Run Python on the source tree; returns what it printed."""
    paths = os.pathsep.join(str(ROOT / part) for part in ("sim", "tests/unit"))
    done = subprocess.run(
        [sys.executable, "-W", "ignore", *arguments], check=True, capture_output=True, text=True, cwd=ROOT,
        env={**os.environ, "PYTHONPATH": paths, **changes},
    )  # fmt: skip
    return done.stdout


def command(*arguments: str, **changes: str) -> str:
    return program("-c", "from halfglass.cli import main; main()", *arguments, **changes)


def run_commands(folder: Path) -> dict[str, float]:
    """Time the commands, with a cache for compiled code that starts empty [s]."""
    fresh = {"XDG_CACHE_HOME": str(folder / "cache")}
    (folder / "cache").mkdir()
    report = folder / "out"
    whole = ("run", str(SCENARIO), "--out", str(report))
    found = {"first": best(1, lambda: command(*whole, **fresh))}
    assert (report / "report.html").exists()
    found["warm"] = best(3, lambda: command(*whole, **fresh))
    found["help"] = best(7, lambda: command("--help"))
    assert "Usage" in command("--help")
    return found


def whole_day() -> tuple[float, float]:
    """The shipped lake day with its crew: seconds for one, and hours simulated."""
    story = load(SCENARIO)
    day = story.for_plan(story.plan_names[0])
    Day(day).run()
    hours = 0.0
    begun = time.perf_counter()
    for seed in SEEDS:
        outing = Day(day, seed)
        outing.run()
        assert outing.outcome is not None and outing.outcome.kind == "arrived"
        hours += outing.clock.now / 3600.0
    return (time.perf_counter() - begun) / len(SEEDS), hours / len(SEEDS)


def slices(folder: Path) -> dict[str, dict[str, Any]]:
    """The same twenty minutes every way, ours compiled among them."""
    plant = sedge()
    run(plant, START)
    stored = {
        "state": plant.marcher.state.tolist(), "controls": dataclasses.asdict(plant.controls),
        "start": START, "until": UNTIL,
    }  # fmt: skip
    file = folder / "slice.json"
    file.write_text(json.dumps(stored), encoding="utf-8")
    found = {"compiled": min((baseline.run_slice("our march", stored) for _ in range(5)), key=seconds)}
    here = str(Path(baseline.__file__))
    for way in baseline.WAYS:
        found[way] = json.loads(program(here, way, str(file), HALFGLASS_PLAIN="1"))
    return found


def seconds(result: Mapping[str, Any]) -> float:
    return float(result["seconds"])


def test_speed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    pytest.importorskip("scipy")
    pytest.importorskip("CoolProp")
    run(sedge())
    plant_day = best(5, lambda: run(sedge())) * 8.0 * 3600.0 / END
    day, hours = whole_day()
    ways = slices(tmp_path)
    commands = run_commands(tmp_path)
    ours = ways["compiled"]
    per_slice = hours * 3600.0 / (UNTIL - START)
    lines = [
        "",
        f"plant alone, scripted day, scaled to 8 h      {plant_day:9.3f} s",
        f"whole lake day with crew, {hours:.2f} h simulated  {day:9.3f} s",
        "",
        f"{'that day by':<34}{'s':>9}{'÷ whole day':>13}{'goal':>7}{'÷ same slice':>14}{'calls':>8}",
    ]
    goals = {"PropsSI": GOAL_PROPS, "AbstractState": GOAL_STATE}
    names = {"our march": "our march, plain Python", "splines": "solve_ivp LSODA + our splines"}
    for way in baseline.WAYS:
        took = seconds(ways[way]) * per_slice
        goal = f"≥ {goals[way]:.0f}" if way in goals else ""
        name = names.get(way, f"solve_ivp LSODA + {way}")
        share = seconds(ways[way]) / seconds(ours)
        lines.append(f"{name:<34}{took:9.1f}{took / day:13.0f}{goal:>7}{share:14.0f}{ways[way]['calls']:8d}")
    lines += [
        "",
        f"whole outings per second per core {1.0 / day:9.1f}     goal ≥ {GOAL_OUTINGS:.0f}",
        f"--help                            {commands['help']:9.2f} s   goal < {GOAL_HELP} s",
        f"warm run to finished report       {commands['warm']:9.2f} s   goal < {GOAL_WARM} s",
        f"first run, nothing compiled       {commands['first']:9.2f} s   goal < {GOAL_FIRST} s",
    ]
    with capsys.disabled():
        print("\n".join(lines))
    for way in baseline.WAYS:
        # at a baseline's tolerance a valve cycle that only just touches a guard may come out either way
        assert abs(ways[way]["crossings"] - ours["crossings"]) <= 3, way
        for name in ("boiler_pressure", "glass_fraction", "distance"):
            assert ways[way][name] == pytest.approx(ours[name], rel=CLOSE), (way, name)
    for name in ("boiler_pressure", "glass_fraction", "distance"):
        assert ways["our march"][name] == pytest.approx(ours[name], rel=1e-7), name
