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
from halfglass.vocabulary.errors import HalfglassFailure

HEAVY = ("numpy", "pandas", "numba", "matplotlib", "CoolProp", "scipy", "pydantic", "rich", "simpy")
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
def command() -> Command:
    """The command line in this process; returns its exit code."""

    def call(*arguments: object) -> int:
        with pytest.raises(SystemExit) as left:
            cli.main([str(argument) for argument in arguments])
        assert isinstance(left.value.code, int)
        return left.value.code

    return call


@pytest.fixture
def day(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> SimpleNamespace:
    """Stands in for scenario and day: `ran` lists what was simulated, `raises` makes the day fail."""
    state = SimpleNamespace(ran=[], raises=None, prepared=True)
    story = SimpleNamespace(plan_names=("hand pump", "injector"), files={}, for_plan=lambda name: name)

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
    assert "boat: Sedge" in told and "leg (Alder jetty)" in told and "plan: injector" in told
    flat = " ".join(told.split())
    assert "hands: 1; faults: engine pump stops delivering; when the glass is low: injector" in flat
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
