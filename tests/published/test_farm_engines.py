"""Working practice against Stephenson, Farm Engines and How to Run Them, and Maggard, Rough and Tumble
Engineering. Raising steam and the water rate of the shipped days are in golden/test_magnitudes.py."""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scripted_day import SCENARIO
from steaming import follow, steady

from halfglass.day.outing import run
from halfglass.scenario.load import load
from halfglass.scenario.route_steps import BlowDown

PSI = 6894.757293168
INCH = 0.0254


def test_blowing_down() -> None:
    # Stephenson: blow down for less than a minute and at most 2.5 in of glass, S. Sedge at 75 psi, cock full
    # open for as long as the step of the route lasts when a scenario says nothing.
    seconds: float = BlowDown.model_fields["for_"].default
    assert seconds < 60.0
    plant = steady()
    plant.set(blow_down=1.0)
    level = follow(plant, seconds, ("glass_level",))["glass_level"]
    assert 0.0 < level[0] - level[-1] <= 2.5 * INCH


def firing_intervals(path: Path) -> tuple[NDArray[np.float64], float]:
    """A day under way to the first stop: minutes between charges, lowest gauge pressure [psi]."""
    story = load(path)
    plan = story.plan_names[0]
    outing = run(story.for_plan(plan), plan, 0, story.files)
    log, rows = outing.log, outing.timeline
    start = float(log.loc[log.event == "under way", "time"].iloc[0]) + 600.0
    end = float(log.loc[log.event == "reversal wanted", "time"].iloc[0])
    rows = rows[(rows.time >= start) & (rows.time <= end)]
    thrown = np.diff(rows.fuel_on_board.to_numpy())
    times = rows.time.to_numpy()[1:][thrown < -0.1]
    return np.diff(times) / 60.0, float(rows.boiler_pressure.min()) / PSI


def test_light_firing() -> None:
    # Maggard: small grate, light firing every 3-5 min with one small shovel, S: the lake day as shipped.
    minutes, lowest = firing_intervals(SCENARIO)
    assert len(minutes) > 10
    assert 3.0 <= np.median(minutes) <= 5.0
    assert lowest > 60.0


def test_thick_bed(tmp_path: Path) -> None:
    # Steam, its Generation and Use: a thick bed wants firing every 10-20 min, S: the lake day with a bed of
    # 150 mm, half as thick again, and 2 kg at a time (judgement); it keeps steam as well.
    shutil.copytree(SCENARIO.parent / "boats", tmp_path / "boats")
    text = SCENARIO.read_text(encoding="utf-8")
    for old, new in (
        ('bed_depth = "100 mm"', 'bed_depth = "150 mm"'),
        ('charge = "0.8 kg"', 'charge = "2 kg"'),
    ):
        assert old in text
        text = text.replace(old, new)
    path = tmp_path / "thick-bed.toml"
    path.write_text(text, encoding="utf-8")
    minutes, lowest = firing_intervals(path)
    assert len(minutes) >= 3
    assert 10.0 <= np.median(minutes) <= 20.0
    assert lowest > 60.0


def test_injector_on_cold_feed() -> None:
    # Maggard: cold feed, 2 ft lift, starts at 25 psi and works to 150, S: no shipped injector claims more.
    injector = load(SCENARIO).base.boat.feed.injector
    assert injector is not None
    assert injector.starting_pressure >= 25.0 * PSI * (1.0 - 1e-9)
    assert injector.highest_pressure <= 150.0 * PSI * (1.0 + 1e-9)
    assert injector.starting_pressure < injector.highest_pressure


def test_displacement_lubricator() -> None:
    # Displacement lubricator, 2-3 drops a minute, S; a drop of 0.05 mL of oil at 900 kg/m3 (common practice).
    lubricator = load(SCENARIO).base.boat.lubricator
    drops = lubricator.rate * 60.0 / 900.0 / 0.05e-6
    assert 2.0 <= drops <= 3.0
