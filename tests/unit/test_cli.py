"""The commands: what they print where, what they write, and the code they leave with.

The day itself is replaced by made-up outings here; whole days are run in the scenario tests.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from types import ModuleType, SimpleNamespace

import pytest
import synthetic

import halfglass
from halfglass import cli
from halfglass.scenario.commented import boiler_kinds
from halfglass.scenario.load import load
from halfglass.vocabulary.errors import HalfglassFailure

HEAVY = (
    "numpy", "pandas", "numba", "matplotlib", "CoolProp", "scipy", "pydantic", "rich", "simpy", "starlette",
    "uvicorn",
)  # fmt: skip
SOURCE = str(Path(halfglass.__file__).parents[1])
Command = Callable[..., int]


def interpreter(code: str, **options: object) -> subprocess.CompletedProcess[str]:
    """Run code in a fresh interpreter that finds this source first."""
    path = os.pathsep.join(filter(None, [SOURCE, os.environ.get("PYTHONPATH", "")]))
    return subprocess.run(
        [sys.executable, "-c", code],
        env={**os.environ, "PYTHONPATH": path},
        capture_output=True,
        text=True,
        timeout=60,
        **options,
    )  # type: ignore[call-overload, no-any-return]


@pytest.fixture
def day(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> SimpleNamespace:
    """Stands in for scenario and day: `ran` lists what was simulated, `raises` makes the day fail."""
    state = SimpleNamespace(ran=[], raises=None, prepared=True)
    story = SimpleNamespace(
        file="lake.toml", plan_names=("hand pump", "injector"), files={}, for_plan=lambda name: name
    )

    def run(scenario: str, plan: str, seed: int, *, files: object) -> object:
        if state.raises is not None:
            raise state.raises
        state.ran.append((plan, seed))
        return synthetic.outing(plan, holds=plan == "injector", hours=8.0)

    for name, content in {
        "halfglass.scenario.load": {"load": lambda path: story},
        "halfglass.day.outing": {"run": run},
        "halfglass.plant.compile": {"is_prepared": lambda name: state.prepared},
    }.items():
        module = ModuleType(name)
        module.__dict__.update(content)
        monkeypatch.setitem(sys.modules, name, module)
    if "halfglass.day" not in sys.modules:
        monkeypatch.setitem(sys.modules, "halfglass.day", ModuleType("halfglass.day"))
    monkeypatch.chdir(tmp_path)
    return state


@pytest.mark.parametrize("arguments", [["--help"], ["run", "--help"], ["--version"]])
def test_help_imports_nothing_heavy(arguments: list[str]) -> None:
    code = (
        "import sys\nfrom halfglass import cli\n"
        f"try:\n    cli.main({arguments})\n"
        "except SystemExit as left:\n    assert left.code == 0, left.code\n"
        f"print([name for name in {HEAVY} if name in sys.modules])"
    )
    done = interpreter(code)
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines()[-1] == "[]"


def test_run_writes_report_and_tables(
    command: Command, day: SimpleNamespace, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    assert command("run", "lake.toml", "--seed", 7) == 0
    told = capsys.readouterr()
    assert day.ran == [("hand pump", 7), ("injector", 7)]
    assert "hand pump" in told.out and "Model estimate" in told.out
    assert "preparing" not in told.err
    assert f"report: {Path('reports/lake/report.html')}" in told.err
    assert sorted(path.name for path in (tmp_path / "reports/lake").iterdir()) == [
        "hand-pump-hands.csv",
        "hand-pump-log.csv",
        "hand-pump-timeline.csv",
        "injector-hands.csv",
        "injector-log.csv",
        "injector-timeline.csv",
        "report.html",
    ]


def test_json_alone_is_on_stdout(
    command: Command, day: SimpleNamespace, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    assert command("run", "lake.toml", "--json", "--plan", "injector", "--out", tmp_path / "deep/er") == 0
    answer = json.loads(capsys.readouterr().out)
    assert [plan["name"] for plan in answer["plans"]] == ["injector"]
    assert Path(answer["plans"][0]["timeline"]).is_file()


def test_first_run_says_that_it_prepares(
    command: Command, day: SimpleNamespace, capsys: pytest.CaptureFixture[str]
) -> None:
    day.prepared = False
    command("run", "lake.toml")
    assert "preparing the plant (first run only" in capsys.readouterr().err


def test_fail_on_counts_graver_limits_only(command: Command, day: SimpleNamespace) -> None:
    grave = {item.severity for item in synthetic.outing("hand pump", holds=False).verdict.critical}
    assert "danger" in grave
    mild = {item.severity for item in synthetic.outing("injector", holds=True, hours=8.0).verdict.critical}
    assert "danger" not in mild
    assert command("run", "lake.toml", "--plan", "hand pump") == 0
    assert command("run", "lake.toml", "--plan", "hand pump", "--fail-on", "watch") == 3
    assert command("run", "lake.toml", "--plan", "hand pump", "--fail-on", "danger") == 3
    assert command("run", "lake.toml", "--plan", "injector", "--fail-on", "danger") == 0


def test_unknown_plan_names_the_nearest(
    command: Command, day: SimpleNamespace, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    assert command("run", "lake.toml", "--plan", "injectr") == 2
    assert "did you mean 'injector'?" in capsys.readouterr().err
    assert day.ran == [] and list(tmp_path.iterdir()) == []


def test_unwritable_folder_is_refused_before_any_work(
    command: Command, day: SimpleNamespace, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    (tmp_path / "taken").write_text("a file")
    assert command("run", "lake.toml", "--out", tmp_path / "taken" / "below") == 2
    told = capsys.readouterr()
    assert told.err.count("cannot write into") == 1 and "Traceback" not in told.err
    assert day.ran == [] and told.out == ""


def test_failure_says_what_and_how_to_see_it_again(
    command: Command, day: SimpleNamespace, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    day.raises = ZeroDivisionError("no flow")
    assert command("run", "lake.toml", "--seed", 3) == 1
    told = capsys.readouterr()
    assert "ZeroDivisionError: no flow" in told.err and "Traceback" not in told.err
    assert "halfglass run lake.toml --plan 'hand pump' --seed 3" in told.err
    assert told.out == "" and list(tmp_path.iterdir()) == []


def test_own_failure_keeps_its_words(
    command: Command, day: SimpleNamespace, capsys: pytest.CaptureFixture[str]
) -> None:
    day.raises = HalfglassFailure("the march stood still")
    assert command("run", "lake.toml") == 1
    told = capsys.readouterr().err
    assert "the march stood still" in told and "lake.toml, plan 'hand pump', seed 0" in told


def test_debug_shows_the_place(
    command: Command, day: SimpleNamespace, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HALFGLASS_DEBUG", "1")
    day.raises = ZeroDivisionError("no flow")
    with pytest.raises(HalfglassFailure):
        cli.main(["run", "lake.toml"])


def test_interrupt_leaves_nothing(
    command: Command, day: SimpleNamespace, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    day.raises = KeyboardInterrupt()
    assert command("run", "lake.toml") == 130
    assert "interrupted" in capsys.readouterr().err and list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "arguments", [["sail"], ["run"], ["run", "x", "--seed", "-1"], ["run", "--fail-on", "x", "y"]]
)
def test_usage_errors(command: Command, capsys: pytest.CaptureFixture[str], arguments: list[str]) -> None:
    assert command(*arguments) == 2
    assert capsys.readouterr().out == ""


@pytest.mark.parametrize("verb", ["run", "check"])
def test_missing_file(
    command: Command, capsys: pytest.CaptureFixture[str], verb: str, tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)
    assert command(verb, "nowhere.toml") == 2
    told = capsys.readouterr()
    assert "nowhere.toml" in told.err and "Traceback" not in told.err
    assert told.out == "" and list(tmp_path.iterdir()) == []


def test_check_tells_what_would_be_run(command: Command, capsys: pytest.CaptureFixture[str]) -> None:
    assert command("check", Path(SOURCE).parent / "scenarios" / "02-engine-pump-stops.toml") == 0
    told = capsys.readouterr().out
    flat = " ".join(told.split())
    for words in (
        "boat Sedge",
        "1. raise steam until 4.83 bar; if not within 2 h 30 min: give up the day",
        "3. leg to Alder jetty, 3.2 km, throttle 26 %; if not within 12 h: give up the day",
        "fault engine pump stops delivering: 10 min after leaving Alder jetty; not put right",
        "plan: two aboard, eased and pumping",
        "changes crew.hands: 2 (was 1)",
        "changes orders.throttle_when_low: 15 %",
        "Sedge, looked over",
    ):
        assert words in flat, words
    assert flat.index("nothing wrong found") < flat.index("Sedge, looked over")
    assert max(len(line) for line in told.splitlines()) <= 80


def test_schema_is_json(command: Command, capsys: pytest.CaptureFixture[str]) -> None:
    assert command("schema") == 0
    schema = json.loads(capsys.readouterr().out)
    assert {"title", "light_up", "boat", "route"} <= set(schema["required"])


def test_closed_pipe_is_no_failure() -> None:
    """Output far larger than a pipe holds, to a reader that is gone."""
    code = (
        "import os, sys\nfrom halfglass import cli\n"
        "reader, writer = os.pipe()\nos.close(reader)\nos.dup2(writer, 1)\ncli.main(['schema'])"
    )
    done = interpreter(code)
    assert (done.returncode, done.stderr) == (0, "")


def test_check_in_other_units(command: Command, capsys: pytest.CaptureFixture[str]) -> None:
    file = Path(SOURCE).parent / "scenarios" / "02-engine-pump-stops.toml"
    assert command("check", file, "--units", "trade,pressure=kPa,speed=mph") == 0
    flat = " ".join(capsys.readouterr().out.split())
    assert "fuel mass 132 lb" in flat and "working pressure 538 kPa" in flat and "3.2 km" not in flat
    assert "headwind 4.47 mph" in flat and "throttle rpm mph steam lb/h" in flat


@pytest.mark.parametrize(
    ("wanted", "words"),
    [
        ("imperial", "--units: 'imperial' is not a system of units; there are 'metric' or 'trade'"),
        ("trade,speed=bar", "'bar' is not a unit of speed; there are 'm/s', 'kn', 'mph', 'km/h'"),
        ("pressur=bar", "no unit can be picked for 'pressur'; did you mean 'pressure'?"),
        ("trade,metric", "'metric' does not pick a unit; write a system first, then such as 'pressure=bar'"),
    ],
)
def test_units_that_cannot_be(
    command: Command, capsys: pytest.CaptureFixture[str], wanted: str, words: str, tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)
    file = Path(SOURCE).parent / "scenarios" / "01-quiet-lake-day.toml"
    for verb in ("run", "check"):
        assert command(verb, file, "--units", wanted) == 2
        told = capsys.readouterr()
        assert words in told.err and told.out == ""
    assert list(tmp_path.iterdir()) == []


def test_new_knows_every_boiler() -> None:
    assert set(cli.BOILERS) == set(boiler_kinds())


@pytest.mark.parametrize("kind", cli.BOILERS)
def test_a_new_boat_and_a_day_for_it_run_as_they_are(
    kind: str, command: Command, capsys: pytest.CaptureFixture[str], tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)
    assert command("new", "boat", "mine.toml", "--kind", kind) == 0
    assert command("new", "scenario", "day.toml", "--boat", "mine") == 0
    assert capsys.readouterr().err == "written: mine.toml\nwritten: day.toml\n"
    assert command("check", "mine.toml") == 0
    table = capsys.readouterr().out
    assert "looked over" in table and "\nout of proportion " not in table
    assert command("check", "day") == 0
    assert load("day").base.boat.boiler.kind == kind
    capsys.readouterr()
    assert command("run", "day", "--plan", "as it should be", "--json", "--units", "trade,pressure=kPa") == 0
    answer = json.loads(capsys.readouterr().out)
    (plan,) = answer["plans"]
    assert answer["provenance"]["units"] == "trade, pressure=kPa gauge"
    assert " kPa" in plan["outcome"]["sentence"] and "psi" not in plan["outcome"]["sentence"]
    assert plan["totals"]["fuel_used_kg"] > 0.0
    assert plan["outcome"]["kind"] == "arrived", plan["outcome"]


def test_new_to_stdout_is_what_goes_into_the_file(
    command: Command, capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for what in ("boat", "scenario"):
        assert command("new", what, "-") == 0
        printed = capsys.readouterr()
        assert printed.err == ""
        assert list(tmp_path.iterdir()) == []
        assert command("new", what, "it.toml") == 0
        assert Path("it.toml").read_text(encoding="utf-8") == printed.out
        capsys.readouterr()
        Path("it.toml").unlink()


@pytest.mark.parametrize("what", ["boat", "scenario"])
def test_new_writes_over_nothing(
    what: str, command: Command, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    (tmp_path / "old.toml").write_text("mine")
    assert command("new", what, tmp_path / "old.toml") == 2
    assert "is there already; nothing was written" in capsys.readouterr().err
    assert (tmp_path / "old.toml").read_text() == "mine"
    assert command("new", what, tmp_path / "none" / "old.toml") == 2
    assert "cannot write" in capsys.readouterr().err


def test_new_scenario_for_a_boat_that_is_not_there(
    command: Command, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    assert command("new", "scenario", tmp_path / "day.toml", "--boat", "teel") == 2
    assert "teel: there is no such file; did you mean 'teal'? Looked in " in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_run_finds_a_scenario_by_its_name(
    command: Command, capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shelf, here = tmp_path / "shelf", tmp_path / "here"
    here.mkdir()
    (shelf / "boats").mkdir(parents=True)
    monkeypatch.chdir(here)
    monkeypatch.setenv("HALFGLASS_PATH", os.pathsep.join([str(tmp_path / "gone"), str(shelf)]))
    command("new", "boat", shelf / "boats" / "mine.toml")
    command("new", "scenario", shelf / "quiet.toml", "--boat", "mine")
    command("new", "scenario", here / "near.toml", "--boat", "mine")
    capsys.readouterr()
    assert command("check", "quiet") == 0
    assert command("check", "near") == 0
    capsys.readouterr()
    assert command("check", "quite") == 2
    said = capsys.readouterr().err
    assert "quite: there is no such file; did you mean 'quiet'?" in said
    assert all(f"'{place}'" in said for place in (".", "scenarios", tmp_path / "gone", shelf))


def test_a_folder_name_that_cannot_be_is_refused(
    command: Command, day: SimpleNamespace, capsys: pytest.CaptureFixture[str]
) -> None:
    assert command("run", "lake.toml", "--out", "no\x00where") == 2
    assert "cannot be a name" in capsys.readouterr().err
