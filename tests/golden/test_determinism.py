"""The same day twice is the same day: byte for byte, and whether or not somebody watches the plant."""

from __future__ import annotations

import json
from collections.abc import Callable, Generator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from conftest import FILES, outing_of, story_of

from halfglass.day.outing import Day, run
from halfglass.plant import reading as r
from halfglass.report import write_report
from halfglass.result.json_form import as_object
from halfglass.result.records import Outing
from halfglass.result.timeline import write_csv
from halfglass.scenario.load import Story, load

PLAN = "single-handed, hand pump"

REST = [pytest.param(path, marks=pytest.mark.long) for path in FILES if path not in FILES[::3]]


def once(story: Story, seed: int) -> Outing:
    return run(story.for_plan(PLAN), PLAN, seed, story.files)


def files(outing: Outing, folder: Path) -> dict[str, bytes]:
    tables = write_csv(outing, folder, "day")
    report = folder / "report.html"
    write_report([outing], report)
    return {path.name: path.read_bytes() for path in (*tables, report)}


def test_same_seed_same_bytes(story: Callable[[str], Story], tmp_path: Path) -> None:
    """Run afresh both times: tables, log and report."""
    first = files(once(story("02"), 3), tmp_path / "first")
    second = files(once(story("02"), 3), tmp_path / "second")
    assert first.keys() == second.keys()
    assert all(len(content) > 1000 for content in first.values())
    for name, content in first.items():
        assert content == second[name], name


@pytest.mark.parametrize("path", [*FILES[::3], *REST], ids=lambda path: path.stem)
def test_every_shipped_day_gives_the_same_bytes(path: Path, tmp_path: Path) -> None:
    """Run again: JSON of all its plans; timeline and log of the last one."""
    stories = [story_of(path), load(path)]
    plans = stories[0].plan_names
    first = [outing_of(path, plan) for plan in plans]
    second = [run(stories[1].for_plan(plan), plan, 0, stories[1].files) for plan in plans]
    told = [json.dumps(as_object(outings, [None] * len(plans))) for outings in (first, second)]
    assert told[0] == told[1] and len(told[0]) > 1000
    tables = [
        [file.read_bytes() for file in write_csv(outings[-1], tmp_path / name, "day")]
        for name, outings in (("first", first), ("second", second))
    ]
    assert tables[0] == tables[1]


def test_another_seed_changes_the_crew(story: Callable[[str], Story], tmp_path: Path) -> None:
    """The dice are the crew's times: what they do comes at other times; the first minute is the same."""
    one, other = once(story("02"), 0), once(story("02"), 1)
    assert files(one, tmp_path / "one") != files(other, tmp_path / "other")
    crew = [entry.log.loc[entry.log.who == "crew", "time"].round(3).tolist() for entry in (one, other)]
    assert crew[0] != crew[1]
    tables = [outing.timeline for outing in (one, other)]
    early = [table[table.time <= 60.0].boiler_temperature.tolist() for table in tables]
    assert early[0] == early[1]


@pytest.mark.parametrize("every", [7.3, 61.0])
def test_looking_more_often_does_not_disturb(story: Callable[[str], Story], every: float) -> None:
    """A bystander reads every instrument between the crew's own looks; the day goes on as without.

    Reading stops the integration at times of its own, so steps differ within the tolerance: the log must be
    the same events in the same order, times within 2 s, and the glass within 0.01 throughout.
    """
    scenario = story("01").for_plan(story("01").plan_names[0])
    watched, alone = Day(scenario, seed=5), Day(scenario, seed=5)

    def bystander() -> Generator[Any, Any, None]:
        while True:
            yield watched.clock.timeout(every)
            assert np.isfinite(watched.clock.reading(r.GLASS_LEVEL))

    watched.clock.process(bystander())
    watched.run()
    alone.run()
    assert [(e.who, e.event) for e in watched.entries] == [(e.who, e.event) for e in alone.entries]
    times = np.array([[e.time for e in day.entries] for day in (watched, alone)])
    assert np.abs(times[0] - times[1]).max() < 2.0
    ends = [day.clock.reading(r.GLASS_FRACTION) for day in (watched, alone)]
    assert ends[0] == pytest.approx(ends[1], abs=0.01)


def test_reading_between_steps_changes_nothing(story: Callable[[str], Story]) -> None:
    """Readings taken at the crew's own moments, inside every handler of the log, change no bit."""
    scenario = story("02").for_plan(PLAN)
    quiet, nosy = Day(scenario, seed=2), Day(scenario, seed=2)
    log = nosy.log

    def look_and_log(*entry: Any, **more: Any) -> None:
        for place in range(r.COUNT):
            nosy.clock.reading(place)
        nosy.clock.plant.mass_sides()
        nosy.clock.plant.energy_sides()
        nosy.instruments.look()
        log(*entry, **more)

    nosy.log = look_and_log  # type: ignore[method-assign]
    quiet.run()
    nosy.run()
    assert quiet.entries == nosy.entries
    assert np.array_equal(quiet.clock.plant.marcher.state, nosy.clock.plant.marcher.state)
