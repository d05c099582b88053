"""Spreads as they are run: by whom, in what order, killed and gone on with, refused."""

from __future__ import annotations

import hashlib
import json
import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from halfglass.day.outing import run
from halfglass.report.sheet import CAUTIONS
from halfglass.report.spread_page import render
from halfglass.report.spread_text import spread_text
from halfglass.result.spread_json import as_object
from halfglass.scenario.load import Story, load
from halfglass.scenario.uncertain import with_values
from halfglass.study import ensemble, executors
from halfglass.study import spread as spreading
from halfglass.study.run_folder import FolderRefusedError, RunFolder
from halfglass.study.sampling import draw, values
from halfglass.study.spread import Asked, spread
from halfglass.vocabulary.errors import HalfglassFailure

SCENARIOS = Path(__file__).parents[2] / "scenarios"
MEMBERS, KILLED = 12, 24
END = """
[[route]]
step = "come alongside"
at = "Alder jetty"

[[route]]
step = "shut down"
"""
UNCERTAIN = """
[[uncertain]]
key = "crew.look_every"
kind = "uniform"
lowest = "2 min"
highest = "9 min"

[[uncertain]]
key = "aboard.fuel_mass"
kind = "one of"
values = ["24 kg", "40 kg"]

[[plan]]
name = "as written"

[[plan]]
name = "one hand"
change.crew.hands = 1
"""


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("day")
    shutil.copytree(SCENARIOS / "boats", folder / "boats")
    text = (SCENARIOS / "01-quiet-lake-day.toml").read_text(encoding="utf-8")
    text = text[: text.index('[[route]]\nstep = "leg"\nto = "Heron point"')]  # out to the jetty only
    (folder / "day.toml").write_text(text + END + UNCERTAIN, encoding="utf-8")
    return folder / "day.toml"


@pytest.fixture(scope="module")
def story(file: Path) -> Story:
    return load(file)


def asked(
    members: int = MEMBERS, seed: int = 4, plans: tuple[str, ...] = ("as written", "one hand")
) -> Asked:
    return Asked(members, seed, "latin hypercube", plans)


def contents(folder: Path) -> dict[str, str]:
    return {
        path.name: hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted((folder / "parts").iterdir())
    }


@pytest.fixture(scope="module")
def whole(story: Story, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, object]:
    """A run by one process, one day after another: what all others must come to."""
    folder = tmp_path_factory.mktemp("whole")
    return folder, spread(story, asked(), folder)


def test_a_pool_comes_to_the_same(story: Story, whole, tmp_path: Path) -> None:
    made = spread(story, asked(), tmp_path, jobs=2)
    assert contents(tmp_path) == contents(whole[0])
    assert as_object(made) == as_object(whole[1])


def test_a_dask_cluster_comes_to_the_same(story: Story, whole, tmp_path: Path) -> None:
    distributed = pytest.importorskip("distributed", reason="the extra 'cluster' is not installed")
    with distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster:
        made = spread(story, asked(), tmp_path, cluster=cluster.scheduler_address)
    assert contents(tmp_path) == contents(whole[0])
    assert as_object(made) == as_object(whole[1])


def test_the_order_does_not_matter(
    story: Story, whole, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    tasks = spreading.tasks
    monkeypatch.setattr(spreading, "tasks", lambda *given: tasks(*given)[::-1])
    made = spread(story, asked(), tmp_path)
    assert contents(tmp_path) == contents(whole[0])
    assert as_object(made) == as_object(whole[1])


def test_plans_meet_the_same_days(story: Story) -> None:
    """Part for part, both plans are given the same draws and the same seeds."""
    spreads = spreading.spreads_of(story, "as written")
    draws = draw(MEMBERS, len(spreads), 4, "latin hypercube")
    made = spreading.tasks(story, asked(), spreads, draws, 3600.0)
    for plan in (0, 1):
        mine = [task for task in made if task.plan == plan]
        assert np.array_equal(np.vstack([task.points for task in mine]), draws.points)
        assert sum((task.seeds for task in mine), ()) == draws.seeds
        assert all(task.day == story.for_plan(asked().plans[plan]) for task in mine)


def _identity(story: Story, folder: Path) -> dict[str, object]:
    with sqlite3.connect(folder / "ledger.sqlite") as base:
        return {name: json.loads(value) for name, value in base.execute("select name, value from identity")}


def test_a_day_of_a_spread_is_the_day_run_alone(story: Story, whole) -> None:
    """The third day, run by hand from its draw and seed, ends with the same fuel at the same time."""
    spreads = spreading.spreads_of(story, "one hand")
    draws = draw(MEMBERS, len(spreads), 4, "latin hypercube")
    outing = run(
        with_values(story.for_plan("one hand"), values(spreads, draws.points[2])), "x", draws.seeds[2]
    )
    with RunFolder(whole[0], _identity(story, whole[0]), True) as kept:
        part = next(kept.parts(1))
    assert part["fuel_left"][2] == outing.timeline["fuel_on_board"].iloc[-1]
    assert part["ended_at"][2] == outing.verdict.outcome.at
    assert part["lowest_glass"][2] == outing.verdict.lowest_glass_fraction
    first = {
        (item.subject, item.item, item.severity): item.first_at for item in outing.verdict.critical
    }  # fmt: skip
    told = {
        item: at for item, at in zip(ensemble.ITEMS, part["first_at"][2], strict=True) if np.isfinite(at)
    }  # fmt: skip
    assert told == first


@pytest.mark.parametrize("other", [asked(seed=5), asked(members=13), asked(plans=("one hand",))])
def test_different_runs_are_not_mixed(story: Story, whole, other: Asked) -> None:
    with pytest.raises(FolderRefusedError, match="holds a run of another (seed|number of members|plans)"):
        spread(story, other, whole[0], is_resumed=True)


def test_another_scenario_or_version_is_not_mixed(
    story: Story, whole, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = replace(story, files={"day.toml": b"another"})
    with pytest.raises(FolderRefusedError, match="another scenario"):
        spread(other, asked(), whole[0], is_resumed=True)
    monkeypatch.setattr(spreading.provenance, "_version", lambda name: "0.0.0")
    with pytest.raises(FolderRefusedError, match="another version"):
        spread(story, asked(), whole[0], is_resumed=True)


def test_a_run_is_gone_on_with_only_if_asked(story: Story, whole) -> None:
    before = contents(whole[0])
    with pytest.raises(FolderRefusedError, match="--resume goes on with it"):
        spread(story, asked(), whole[0])
    assert as_object(spread(story, asked(), whole[0], is_resumed=True)) == as_object(whole[1])
    assert contents(whole[0]) == before


def test_two_runs_at_once_are_refused(whole, story: Story) -> None:
    identity = _identity(story, whole[0])
    with (
        RunFolder(whole[0], identity, True),
        pytest.raises(FolderRefusedError, match="another run is working"),
    ):
        RunFolder(whole[0], identity, True)


def test_a_part_that_was_changed_is_seen(whole, story: Story, tmp_path: Path) -> None:
    shutil.copytree(whole[0], tmp_path / "run")
    part = next((tmp_path / "run" / "parts").iterdir())
    part.write_bytes(part.read_bytes()[:-1] + b"x")
    with pytest.raises(HalfglassFailure, match="is not as it was written"):
        spread(story, asked(), tmp_path / "run", is_resumed=True)


def test_what_a_kill_leaves_is_swept_away(whole, story: Story, tmp_path: Path) -> None:
    """A part without its line in the ledger, and half a part, go; the run is done anew there."""
    run = tmp_path / "run"
    shutil.copytree(whole[0], run)
    with sqlite3.connect(run / "ledger.sqlite") as base:
        base.execute("delete from part where plan = 1 and first = 8")
    base.close()
    (run / "parts" / ".plan-01-day-0000000.npz.99.part").write_bytes(b"half")
    assert as_object(spread(story, asked(), run, is_resumed=True)) == as_object(whole[1])
    assert contents(run) == contents(whole[0])


def test_parquet_parts_say_the_same(story: Story, whole, tmp_path: Path) -> None:
    pytest.importorskip("pyarrow", reason="the extra 'parquet' is not installed")
    with RunFolder(whole[0], _identity(story, whole[0]), True) as kept:
        rows = [*kept.parts(1)]
    with RunFolder(tmp_path, {}, False, "parquet") as kept:
        for number, part in enumerate(rows):
            kept.keep(1, number, part)
        again = [*kept.parts(1)]
    assert {Path(name).suffix for name in contents(tmp_path)} == {".parquet"}
    for part, other in zip(rows, again, strict=True):
        assert part.keys() == other.keys()
        for name in part:
            assert np.array_equal(part[name], other[name], equal_nan=name != "outcome"), name


def test_few_tasks_are_under_way_at_a_time() -> None:
    """Memory stays flat: no more work is drawn than twice the workers, ahead of what is done."""
    drawn = 0

    def tasks() -> Iterator[int]:
        nonlocal drawn
        for number in range(12):
            drawn += 1
            yield number

    got = executors.results(executors.Here(), 2, lambda number: number, tasks())
    begun = next(got)
    assert drawn <= executors.AHEAD * 2
    assert sorted([begun, *got]) == [*range(12)]
    assert drawn == 12


def test_a_failed_day_counts_in_no_figure(
    story: Story, whole, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Days the model breaks on are told and left out of every figure; the others are all one day."""
    with RunFolder(whole[0], _identity(story, whole[0]), True) as kept:
        sound = {name: column[0] for name, column in next(kept.parts(0)).items()}

    def broken(scenario, seed, grid):
        is_broken = scenario.crew.hands == 1 and scenario.aboard.fuel_mass < 30.0
        return ensemble._failed(ensemble.FAILED, grid) if is_broken else sound

    monkeypatch.setattr(ensemble, "row", broken)
    made = spread(story, asked(), tmp_path)
    assert [plan.failed for plan in made.plans] == [0, MEMBERS // 2]
    assert [plan.days for plan in made.plans] == [MEMBERS, MEMBERS // 2]
    assert made.plans[1].outcomes == {str(sound["outcome"]): MEMBERS // 2}
    assert not made.differences
    assert "could not be finished by the model" in " ".join(spread_text(made, 80).split())


def command(file: Path, folder: Path, *more: str) -> list[str]:
    text = "import sys\nfrom halfglass.cli import main\nif __name__ == '__main__':\n    main()\n"
    return [sys.executable, "-c", text, "spread", str(file), "--members", str(KILLED), "--plan", "as written",
            "--seed", "4", "--out", str(folder), "--json", *more]  # fmt: skip


def kill_and_resume(file: Path, folder: Path, kills: int, jobs: str, chance: random.Random | None) -> str:
    """Kill a spread so many times, at random or once a part is there; returns what the last one printed."""
    parts, resume = folder / "parts", ()
    for _ in range(kills):
        known = len([*parts.iterdir()]) if parts.exists() else 0
        process = subprocess.Popen(
            command(file, folder, "--jobs", jobs, *resume),
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        until = time.monotonic() + (60.0 if chance is None else chance.uniform(0.5, 5.0))
        while process.poll() is None and time.monotonic() < until:
            if chance is None and parts.exists() and len([*parts.iterdir()]) > known:
                break
            time.sleep(0.002)
        process.send_signal(signal.SIGKILL)
        process.wait()
        resume = ("--resume",) if (folder / "ledger.sqlite").exists() else ()
    done = subprocess.run(command(file, folder, "--jobs", jobs, *resume), capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return done.stdout


def uninterrupted(story: Story, folder: Path) -> dict[str, object]:
    return as_object(spread(story, asked(KILLED, plans=("as written",)), folder))


def test_killed_once_and_gone_on_with(file: Path, story: Story, tmp_path: Path) -> None:
    printed = kill_and_resume(file, tmp_path / "killed", 1, "1", None)
    assert json.loads(printed) == json.loads(json.dumps(uninterrupted(story, tmp_path / "whole")))
    assert contents(tmp_path / "killed") == contents(tmp_path / "whole")


@pytest.mark.long
def test_killed_nine_times_and_gone_on_with(file: Path, story: Story, tmp_path: Path) -> None:
    seed = int.from_bytes(os.urandom(4), "big")
    print(f"kills drawn with {seed}")
    printed = kill_and_resume(file, tmp_path / "killed", 9, "2", random.Random(seed))
    assert json.loads(printed) == json.loads(json.dumps(uninterrupted(story, tmp_path / "whole")))
    assert contents(tmp_path / "killed") == contents(tmp_path / "whole")


def test_the_page_says_what_a_reader_must_find(whole) -> None:
    result = whole[1]
    page = render(result)
    assert page == render(result)
    for text in (result.title, "crew.look_every", "one hand", "How likely", "Bands over time", *CAUTIONS):
        assert text.replace("'", "&#39;") in page, text
    assert "<script" not in page and "http://" not in page.replace("http://www.w3.org", "")
    for chance in result.plans[0].chances:
        assert chance.item in page


def test_the_summary_keeps_its_width(whole) -> None:
    for width in (60, 80, 120):
        assert max(map(len, spread_text(whole[1], width).splitlines())) <= width
