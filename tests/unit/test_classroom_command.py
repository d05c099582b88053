"""The command that opens the classroom: what it says, and what it refuses in one sentence."""

from __future__ import annotations

import json
import socket
import webbrowser
from pathlib import Path
from typing import Any

import pytest

from halfglass import classroom_commands, cli

SCENARIOS = Path(__file__).parents[2] / "scenarios"


@pytest.fixture
def served(monkeypatch: pytest.MonkeyPatch) -> list[Any]:
    """The command up to where it would serve: the rooms it would have served."""
    rooms: list[Any] = []

    def serve(room: Any, token: str, listener: socket.socket, tell: Any) -> None:
        rooms.append((room, token, listener.getsockname()))
        room.close()

    monkeypatch.setattr("halfglass.classroom.server.serve", serve)
    monkeypatch.setattr(webbrowser, "open", lambda address: True)
    monkeypatch.setenv("DISPLAY", ":0")
    return rooms


def run(*arguments: object) -> int:
    with pytest.raises(SystemExit) as left:
        cli.main(["classroom", "--port", "0", *map(str, arguments)])
    assert isinstance(left.value.code, int)
    return left.value.code


def opened(folder: Path) -> list[str]:
    lines = (folder / "session.jsonl").read_text(encoding="utf-8").splitlines()
    return [line["open"] for line in map(json.loads, lines) if "open" in line]


def test_without_arguments_the_first_lesson_opens(
    served: list[Any], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("--out", tmp_path) == 0
    (room, token, (host, port)), told = served[0], capsys.readouterr()
    assert room.play.page.lesson.name.startswith("01-") and room.play.stage == "story"
    assert told.out == f"http://127.0.0.1:{port}/#token={token}\n"
    assert host == "127.0.0.1" and "on this machine only" in told.err and "No browser" not in told.err


def test_a_lesson_by_number_or_name_and_a_scenario_by_name_or_path(
    served: list[Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(SCENARIOS.parent)
    wanted = ["3", "cold-feed", "10-shrink-and-swell", "scenarios/02-engine-pump-stops.toml"]
    for name in wanted:
        assert run(name, "--out", tmp_path) == 0
    names = [Path(name).stem for name in opened(tmp_path)]
    assert names == [
        "03-cold-feed",
        "10-shrink-and-swell",
        "02-engine-pump-stops",
    ]  # 3 is cold-feed: it went on
    assert run("--out", tmp_path) == 0
    assert len(opened(tmp_path)) == 3 and served[-1][0].play.name.endswith("02-engine-pump-stops.toml")


@pytest.mark.parametrize("name", ["no-such-lesson", "nowhere.toml", "99", "../lessons/01"])
def test_an_unknown_name_is_refused(
    served: list[Any], tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    assert run(name, "--out", tmp_path / "kept") == 2
    assert name in capsys.readouterr().err
    assert served == [] and not (tmp_path / "kept").exists()


def test_a_port_in_use_is_one_sentence(
    served: list[Any], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        assert run("--port", port, "--out", tmp_path / "kept") == 2
    told = capsys.readouterr().err
    assert f"port {port} cannot be had" in told and "--port" in told
    assert not (tmp_path / "kept").exists()


def test_a_missing_extra_is_one_sentence(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(classroom_commands, "find_spec", lambda name: None)
    assert run("--out", tmp_path) == 2
    assert "pip install 'halfglass[classroom]'" in capsys.readouterr().err


def test_no_browser_is_one_sentence(
    served: list[Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(webbrowser, "open", lambda address: False)
    assert run("--out", tmp_path) == 0
    assert "No browser could be opened from here" in capsys.readouterr().err
    monkeypatch.delenv("DISPLAY")
    monkeypatch.delenv("WAYLAND_DISPLAY", raising=False)
    monkeypatch.setattr(
        webbrowser, "open", lambda address: pytest.fail("a text browser would take the terminal")
    )
    monkeypatch.setattr("sys.platform", "linux")
    assert run("--out", tmp_path) == 0
    assert run("--no-browser", "--out", tmp_path) == 0


def test_a_session_that_cannot_go_on_is_one_sentence(
    served: list[Any], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "session.jsonl").write_text(
        '{"open": "01-throttle-opened"}\n{"do": "set"}\n', encoding="utf-8"
    )
    assert run("--out", tmp_path) == 2
    told = capsys.readouterr().err
    assert "cannot be gone on with" in told and "session.jsonl" in told
    assert "Traceback" not in told and served == []


def test_two_classrooms_do_not_share_a_folder(
    served: list[Any], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    pytest.importorskip("fcntl")
    from halfglass.classroom.journal import Journal

    held = Journal(tmp_path)
    assert run("--out", tmp_path) == 2
    assert "another classroom is open" in capsys.readouterr().err
    held.close()
