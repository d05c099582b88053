"""The classroom's room, without a network: the journal, time, frames, records."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from halfglass.classroom.journal import InUse, Journal
from halfglass.classroom.messages import greeting, wish
from halfglass.classroom.play import Play, Refused, _round, _rounded
from halfglass.classroom.room import Room, Stale
from halfglass.classroom.security import kept_token
from halfglass.classroom.session import Session
from halfglass.classroom.shelf import Shelf
from halfglass.scenario.load import load

DAY = str(Path(__file__).parents[2] / "scenarios" / "10-shrink-and-swell.toml")


def lines_of(room: Room) -> list[dict[str, Any]]:
    return [json.loads(line) for line in room._journal.path.read_text(encoding="utf-8").splitlines()]


def steered(folder: Path, wanted: str | None = DAY) -> tuple[Room, Any]:
    room = Room(Shelf(), Journal(folder), wanted)
    return room, room.join("")


def do(room: Room, window: Any, **said: Any) -> None:
    room.do(window, wish(json.dumps(said)))
    while said["do"] == "rewind" and room._back:
        room.turn(0.0)


def test_a_session_goes_on_where_it_was_to_the_last_bit(tmp_path: Path) -> None:
    room, window = steered(tmp_path)
    do(room, window, do="set", control="throttle", to=40)
    do(room, window, do="speed", to=60)
    do(room, window, do="run", on=True)
    for _ in range(9):
        room.turn(0.1)
    do(room, window, do="rewind", to=31)
    do(room, window, do="push", control="charge", amount=1.2, choice="anthracite")
    do(room, window, do="set", control="damper", to=100)
    do(room, window, do="run", on=True)
    room.turn(0.3)
    kept, frame, branches = room.play.session.history(), room.play.frame(), room.play.branches()
    journal = room._journal.path.read_bytes()  # killed here: nothing is said goodbye to
    room._journal._file.close()
    assert room._owed < 0.5

    again = Room(Shelf(), Journal(tmp_path))
    again.play.advance_to(room.play.since)  # what was gone since the last note: two seconds at most
    assert again.play.session.history() == kept
    assert again.play.frame() == frame
    assert again.play.branches() == branches
    assert again.speed == 60
    assert again._journal.path.read_bytes().startswith(journal)


@pytest.mark.parametrize("line", [b'{"at": 3.0, "do": "se', b'[3.0]\n', b'{"open": ["04"]}\n'])
def test_a_torn_or_spoilt_line_is_cut_off(tmp_path: Path, line: bytes) -> None:
    room, window = steered(tmp_path)
    do(room, window, do="set", control="throttle", to=40)
    room._journal._file.write(line)
    room._journal.close()
    again = Room(Shelf(), Journal(tmp_path))
    assert again.play.session.values["throttle"] == pytest.approx(0.4)
    again.close()
    assert [line.get("do") for line in lines_of(again)] == [None, "set", "reached"]


def test_a_journal_is_written_before_the_thing_is_done(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    room, window = steered(tmp_path)

    def look(self: Play, line: dict[str, Any]) -> None:
        assert lines_of(room)[-1] == {"at": 0.0, "do": "set", "control": "throttle", "to": 0.4}
        raise Refused("looked")

    monkeypatch.setattr(Play, "do", look)
    with pytest.raises(Refused, match="looked"):
        do(room, window, do="set", control="throttle", to=40)


def test_what_cannot_be_done_again_is_said_to_be_stale(tmp_path: Path) -> None:
    room, _ = steered(tmp_path)
    room._journal.add({"at": 0.0, "do": "set", "control": "no such thing", "to": 1.0})
    room._journal.close()
    with pytest.raises(Stale, match="no such thing"):
        Room(Shelf(), Journal(tmp_path))


def test_one_journal_has_one_classroom(tmp_path: Path) -> None:
    pytest.importorskip("fcntl")
    kept = Journal(tmp_path)
    with pytest.raises(InUse):
        Journal(tmp_path)
    kept.close()
    Journal(tmp_path).close()


def test_time_goes_at_the_speed_chosen_and_does_not_jump_after_a_sleep(tmp_path: Path) -> None:
    room, window = steered(tmp_path)
    do(room, window, do="run", on=True)
    for speed in (1, 10, 120):
        do(room, window, do="speed", to=speed)
        before = room.play.since
        for _ in range(10):
            room.turn(0.1)
        assert room.play.since - before == pytest.approx(speed, abs=0.5)
    before = room.play.since
    room.turn(3600.0)
    assert room.play.since - before == pytest.approx(0.5 * 120, abs=0.5)
    do(room, window, do="step")
    assert not room.running


def test_frames_are_small(tmp_path: Path) -> None:
    room, window = steered(tmp_path)
    room.news_for(window)
    do(room, window, do="run", on=True)
    room.turn(0.1)
    texts = room.news_for(window)
    assert sum(map(len, texts)) < 6000, [len(text) for text in texts]


def test_a_window_that_was_slow_gets_what_it_missed_in_one_piece(tmp_path: Path) -> None:
    room, window = steered(tmp_path)
    room.news_for(window)
    do(room, window, do="speed", to=60)
    do(room, window, do="run", on=True)
    for _ in range(50):
        room.turn(0.1)
    told = [json.loads(text) for text in room.news_for(window)]
    assert [message["is"] for message in told] == ["rows", "frame"]
    rows = told[0]["rows"]["glass_shown"]
    assert len(rows) == room.play.rows_ready() > 100


def test_the_record_runs_as_a_scenario(tmp_path: Path) -> None:
    room, window = steered(tmp_path)
    do(room, window, do="set", control="throttle", to=40)
    room.play.advance(60.0)
    do(room, window, do="export", form="toml")
    do(room, window, do="export", form="csv")
    told = [json.loads(text) for text in room.news_for(window)]
    record, table = [message for message in told if message["is"] == "file"]
    (tmp_path / record["name"]).write_text(record["text"], encoding="utf-8")
    assert load(tmp_path / record["name"]).base.route[-1].step == "by hand"
    assert table["name"].endswith(".csv") and len(table["text"].splitlines()) == 122


def test_token_is_made_once_and_is_its_owners(tmp_path: Path) -> None:
    token = kept_token(tmp_path)
    assert len(token) >= 43 and kept_token(tmp_path) == token
    assert (tmp_path / ".token").stat().st_mode & 0o077 == 0
    assert greeting(json.dumps({"do": "hello", "token": token})) is not None


def test_both_lines_of_a_chart_are_in_its_unit(tmp_path: Path) -> None:
    """Feed is shown in L/min and steam in kg/h: one axis has room for one of them."""
    room, window = steered(tmp_path)
    do(room, window, do="set", control="lines", to=0)
    do(room, window, do="set", control="throttle", to=30)
    room.play.advance(300.0)
    hello, shown = room.play.hello(), room.play.session.shown()
    chart = next(chart for chart in hello["charts"] if len(chart["lines"]) == 2)
    assert chart["unit"] == "kg/h"
    for line, reading in zip(chart["lines"], ("steam_flow_boiler_engine", "feed"), strict=True):
        drawn = room.play.rows()[line["column"]][-1] * line["factor"]
        assert line["column"] == reading and shown[reading] > 0.0
        assert drawn == pytest.approx(shown[reading] * 3600.0, rel=0.1)


def test_lessons_are_told_as_the_page_shows_them(tmp_path: Path) -> None:
    """Every lesson: its axis has a unit the page knows, begins on it, and its controls are there."""
    shelf = Shelf()
    for name in shelf.titles:
        play = shelf.open(name)
        told, hello = play.lesson_told(), play.hello()
        assert told is not None and told["stage"] == "story"
        axis = told["axis"]
        assert axis["unit"] == hello["readings"][axis["column"]]["unit"] and axis["column"] in play.rows()
        assert min(axis["low"], axis["high"]) <= axis["start"] <= max(axis["low"], axis["high"]), name
        known = {control["name"] for control in hello["controls"]}
        assert {control for one in told["asked"] for control in one["controls"]} <= known


def test_a_lesson_page_by_page(tmp_path: Path) -> None:
    room, window = steered(tmp_path, "01-throttle-opened")

    def refused(**said: Any) -> str:
        with pytest.raises(Refused) as why:
            do(room, window, **said)
        return str(why.value)

    assert "waits" in refused(do="run", on=True) and "waits" in refused(do="set", control="throttle", to=60)
    assert "not at that page" in refused(do="stage", to="run")
    do(room, window, do="stage", to="predict")
    assert "First draw" in refused(do="stage", to="run")
    do(room, window, do="predict", points=[[0.0, 50.0], [120.0, 500.0]])
    assert room.play.lesson_told()["prediction"][-1] == [120.0, 80.0]  # type: ignore[index]  # clamped to the axis
    do(room, window, do="stage", to="run")
    assert room.running and room.speed == 2
    do(room, window, do="speed", to=120)
    do(room, window, do="set", control="throttle", to=60)
    while room.running:
        room.turn(0.1)
    told = room.play.lesson_told()
    assert told is not None and told["stage"] == "compare" and room.play.since == told["duration"]
    assert told["explanation"] and "open" in refused(do="answer", answer=1)
    do(room, window, do="stage", to="check")
    do(room, window, do="answer", answer=1)
    assert room.play.lesson_told()["judged"]["right"] is True  # type: ignore[index]
    assert room.done == {"01-throttle-opened"}
    do(room, window, do="rewind", to=30)
    assert room.play.stage == "run" and room.play.lesson_told()["judged"] is None  # type: ignore[index]
    do(room, window, do="stage", to="free")
    assert room.play.lesson_told() is None
    kept = room.play.session.history()
    room.close()
    again = Room(Shelf(), Journal(tmp_path))
    assert again.play.stage == "free" and again.play.session.history() == kept
    assert again.done == {"01-throttle-opened"}


def test_more_tries_than_a_session_keeps_are_refused_before_they_are_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What the session refuses must not stand in the journal, or it could never be done again."""
    monkeypatch.setattr("halfglass.classroom.play.MOST_TRIES", 8)
    room, window = steered(tmp_path)
    for _ in range(7):
        do(room, window, do="rewind", to=0)
    kept = lines_of(room)
    with pytest.raises(Refused, match="tries"):
        do(room, window, do="rewind", to=0)
    assert lines_of(room) == kept
    assert len(room.play.branches()) == 6 and len({one["letter"] for one in room.play.branches()}) == 6
    room._journal._file.close()
    assert len(Room(Shelf(), Journal(tmp_path)).play.session.branches) == 8


def test_windows_are_told_of_the_way_back_in_a_long_session(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A piece a turn; meanwhile nothing is steered, and a window that opens waits for the end of it."""
    for name in ("BACK_AT_ONCE", "BACK_A_TURN"):
        monkeypatch.setattr(f"halfglass.classroom.room.{name}", 0.0)
    room, window = steered(tmp_path)
    do(room, window, do="set", control="bypass", to=60)
    room.play.advance(900.0)
    room.news_for(window)
    room.do(window, wish('{"do": "rewind", "to": 700}'))
    late, shares = room.join(""), []
    while (told := json.loads(room.news_for(window)[-1]))["is"] == "back":
        shares.append(told["share"])
        assert [json.loads(text)["is"] for text in room.news_for(late)] == ["back"]
        with pytest.raises(Refused, match="Going back"):
            do(room, window, do="run", on=True)
        room.turn(0.1)
    assert len(shares) > 20 and shares == sorted(shares) and told["time"] == 700.0
    assert {json.loads(text)["is"] for text in room.news_for(late)} >= {"hello", "branches", "frame"}
    straight = Session(load(DAY))
    straight.set("bypass", 0.6)
    straight.advance(700.0)
    assert room.play.session.branch.rows == straight.branch.rows
    room.close()
    again = Room(Shelf(), Journal(tmp_path))
    assert (again.play.since, again.play.branch) == (700.0, 1)


def test_figures_of_the_charts_are_those_of_the_readings() -> None:
    values = [0.0, 1e-15, 12345.678, -0.00123456, 687051.75, 99.995, 1.0, -273.16, 0.072649]
    assert _rounded(np.array(values)) == pytest.approx([_round(value) for value in values], rel=1e-12)
    assert _rounded(np.array([])) == []
