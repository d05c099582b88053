"""Speed, as ratios in one run: `pytest -m benchmarks -s tests/benchmarks`. No time is asserted."""

from __future__ import annotations

import dataclasses
import json
import os
from collections.abc import Mapping
from pathlib import Path
from time import perf_counter
from typing import Any

import baseline
import numpy as np
import pytest
from scripted_day import END, SCENARIO, run, sedge
from timing import ROOT, best, command, most_memory, program

from halfglass.classroom.session import Session
from halfglass.day import outing
from halfglass.day.outing import Day
from halfglass.plant.compile import is_compiled
from halfglass.report import page
from halfglass.scenario.load import load
from halfglass.study.ensemble import GRID, row
from halfglass.study.spread import horizon_of

pytestmark = [
    pytest.mark.benchmarks,
    pytest.mark.skipif(not is_compiled(), reason="compares the compiled plant with plain Python"),
]

# Twenty minutes: the valves lifting at the jetty, casting off, and steaming with damper and throttle moved.
START, UNTIL = 2290.0, 3490.0
SEEDS = range(10)
MINUTES = 10  # of a session
GOALS = {  # design's goals: s, but days a second
    "a whole day as a row of a spread": 1.0 / 20.0,
    "--help": 0.15,
    "run to the finished report, warm": 2.0,
    "the same on a fresh install": 20.0,
}
CLOSE = 2e-3


def whole_day() -> tuple[float, float]:
    """The shipped lake day with its crew: seconds for one, and hours simulated."""
    day = load(SCENARIO).base
    Day(day).run()
    hours = 0.0
    begun = perf_counter()
    for seed in SEEDS:
        made = Day(day, seed)
        made.run()
        assert made.outcome is not None and made.outcome.kind == "arrived"
        hours += made.clock.now / 3600.0
    return (perf_counter() - begun) / len(SEEDS), hours / len(SEEDS)


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
    ours = min((baseline.run_slice(baseline.OURS, stored) for _ in range(5)), key=seconds)
    found = {baseline.OURS.name: ours}
    for way in baseline.WAYS:
        plain = {"HALFGLASS_PLAIN": "1"} if way.is_plain else {}
        found[way.name] = json.loads(program(str(Path(baseline.__file__)), way.name, str(file), **plain))
    return found


def parts_of_the_day() -> dict[str, float]:
    """What the parts of the program take for the lake day [s], all loaded."""
    story = load(SCENARIO)
    plan = story.plan_names[0]
    day, grid = story.for_plan(plan), np.linspace(0.0, horizon_of(story, [plan]), GRID)
    whole = outing.run(day, plan)
    page.render([whole])
    session = Session(story)

    def steps() -> None:
        """As many ticks of a session as make so many minutes, each looked at as the page does."""
        for _ in range(2 * 60 * MINUTES):
            session.advance(0.5)
        session.critical()
        session.flows()

    return {
        "a whole day as a row of a spread": best(10, lambda: row(day, 0, grid)),
        "a whole day drawn up, with its tables": best(3, lambda: outing.run(day, plan)),
        "its report": best(3, lambda: page.render([whole])),
        f"the classroom, {MINUTES} min in steps of 0.5 s": best(3, steps),
    }


def commands(folder: Path) -> dict[str, float]:
    """What the commands take, with a cache for compiled code that starts empty [s]."""
    fresh = {"XDG_CACHE_HOME": str(folder / "cache")}
    (folder / "cache").mkdir()
    whole = ("run", str(SCENARIO), "--out", str(folder / "out"))
    found = {"the same on a fresh install": best(1, lambda: command(*whole, **fresh))}
    assert (folder / "out" / "report.html").exists()
    found["run to the finished report, warm"] = best(3, lambda: command(*whole, **fresh))
    found["check"] = best(3, lambda: command("check", str(SCENARIO), **fresh))
    found["--help"] = best(7, lambda: command("--help"))
    assert "Usage" in command("--help")
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
    ours = ways[baseline.OURS.name]
    per_slice = hours * 3600.0 / (UNTIL - START)
    lines = [
        "",
        f"the plant alone, scripted day, scaled to 8 h {plant_day:8.3f} s",
        f"a whole lake day with crew, {hours:.2f} h          {day:8.3f} s     load {os.getloadavg()[0]:.1f}",
        "",
        f"{'that day by':<30}{'s':>9}{'÷ whole day':>13}{'goal':>7}{'÷ same slice':>14}{'calls':>8}",
    ]
    for way in (baseline.OURS, *baseline.WAYS):
        took = seconds(ways[way.name]) * per_slice
        goal = f"≥ {way.goal:.0f}" if way.goal else ""
        share = seconds(ways[way.name]) / seconds(ours)
        lines.append(
            f"{way.name:<30}{took:9.2f}{took / day:13.1f}{goal:>7}{share:14.0f}{ways[way.name]['calls']:8d}"
        )
    if not baseline.IS_THERE:
        lines.append("CVODE is left out: pip install 'halfglass[benchmarks]'")
    lines += ["", f"{'':<42}{'s':>8}{'÷ whole day':>13}{'goal':>9}"]
    for name, took in (parts_of_the_day() | commands(tmp_path)).items():
        goal = f"< {GOALS[name]:.2f} s" if name in GOALS else ""
        lines.append(f"{name:<42}{took:8.3f}{took / day:13.1f}{goal:>9}")
    two_days = str(ROOT / "scenarios" / "07-two-days-and-two-locks.toml")
    used = {
        "--help": most_memory("--help"),
        "run to the report": most_memory("run", str(SCENARIO), "--out", str(tmp_path / "out")),
        "two days, three plans": most_memory("run", two_days, "--out", str(tmp_path / "7")),
    }
    lines += ["", "most memory: " + ", ".join(f"{name} {memory}" for name, memory in used.items())]
    with capsys.disabled():
        print("\n".join(lines))
    for way in baseline.WAYS:
        # at a baseline's tolerance a valve cycle that only just touches a guard may come out either way
        assert abs(ways[way.name]["crossings"] - ours["crossings"]) <= 3, way
        for name in ("boiler_pressure", "glass_fraction", "distance"):
            assert ways[way.name][name] == pytest.approx(ours[name], rel=CLOSE), (way, name)
            if way.integrator == "ours":
                assert ways[way.name][name] == pytest.approx(ours[name], rel=1e-7), name
