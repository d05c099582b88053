"""A classroom session: what is done live is what its record does again, to the last bit."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import halfglass
from halfglass.classroom import branch
from halfglass.classroom.session import LONGEST, MOST_BRANCHES, MOST_MOVES, Session
from halfglass.day.record import columns
from halfglass.plant.marcher import MarchFailedError
from halfglass.result.records import Outing
from halfglass.scenario.load import Story, load
from halfglass.vocabulary.errors import HalfglassFailure, ScenarioError

LAKE = load("scenarios/02-engine-pump-stops.toml")
BURNER = load("scenarios/03-burner-boat.toml")
SHRINK = load("scenarios/10-shrink-and-swell.toml")
COLUMNS = branch.COLUMNS


def lively(session: Session) -> None:
    """Some minutes in which everything is moved, some things at the same tick or while time stands."""
    session.set("lines", 0.0)
    session.set("throttle", 0.57)
    session.advance(7.3)
    session.set("throttle", 0.33)
    session.set("throttle", 0.29)
    session.push("charge", 1.3, "anthracite")
    session.set("damper", 0.65)
    session.advance(95.0)
    session.set("engine pump stops delivering", 1.0)
    session.set("injector_water", 1.0)
    session.set("injector_steam", 1.0)
    session.advance(61.0)
    session.set("whistle", 1.0)
    session.advance(0.5)
    session.set("whistle", 0.0)
    session.set("injector_steam", 0.0)
    session.set("hand_pump_on_lake", 26.0 / 60.0)
    session.set("engine pump stops delivering", 0.0)
    session.set("glass cock shut", 1.0)
    session.advance(200.0)
    session.push("try the glass")
    session.set("reversing_gear", -1.0)
    session.advance(33.5)


def recorded(session: Session, folder: Path) -> tuple[Path, Outing]:
    """The record in a file, and what `run` makes of it."""
    path = folder / "record.toml"
    path.write_text(session.record(), encoding="utf-8")
    return path, halfglass.run(halfglass.load(path))


def same_to_the_last_bit(session: Session, outing: Outing) -> None:
    """Every row and every line of the log of a session is that of the run of its record."""
    live, table = columns(session.day), outing.timeline
    end = session.day.clock.now
    until, run_until = live["time"] < end, table["time"].to_numpy() < end
    assert table["time"].to_numpy()[-1] == end and np.count_nonzero(until) > 100
    readings = [name for name in live if name not in ("time", "hands_busy")]
    last = np.array([live[name][-1] for name in readings])
    at_end = np.array([table[name].to_numpy()[~run_until] for name in readings]).T
    assert any(np.array_equal(last, row) for row in at_end)  # before the pumps are left at the end of the run
    for name, values in live.items():
        assert np.array_equal(values[until], table[name].to_numpy()[run_until], equal_nan=True), name
    entries = [(e.time, e.who, e.event, e.text) for e in session.day.entries]
    told = list(outing.log[["time", "who", "event", "text"]].itertuples(index=False, name=None))
    assert told[: len(entries)] == entries


def test_a_session_is_what_run_makes_of_its_record(tmp_path: Path) -> None:
    session = Session(SHRINK)
    lively(session)
    _, outing = recorded(session, tmp_path)
    same_to_the_last_bit(session, outing)


def test_a_lever_dragged_within_a_tick_is_one_move(tmp_path: Path) -> None:
    """What is told or crossed on the way is kept: through nothing, past nothing, and back to where it was."""
    session = Session(SHRINK)
    session.set("lines", 0.0)
    session.advance(5.0)
    for share in (0.1, 0.2, 0.3, 0.4):
        session.set("throttle", share)
    assert [move["throttle"] for move in session.branch.moves[1:]] == ["10 %", "40 %"]  # opened is told
    session.advance(20.0)
    for share in (0.9, 0.2, 0.6):
        session.set("damper", share)
        session.set("throttle", share)  # two hands: neither goes on by itself
    assert len(session.branch.moves) == 3 + 6
    session.advance(3.0)
    for share in (0.5, 0.7, 0.6):
        session.set("bypass", share)
    assert len(session.branch.moves) == 9 + 2
    session.advance(3.0)
    for gear in (0.8, -0.4, -0.6, -1.0, 0.5, 0.4):
        session.set("reversing_gear", gear)
    for strokes in (10, 0, 20, 30):
        session.set("hand_pump_on_lake", strokes / 60.0)
    session.advance(10.0)
    for share in (0.5, 0.6, 0.0, 0.3, 0.25):
        session.set("throttle", share)
    session.advance(60.0)
    path, outing = recorded(session, tmp_path)
    same_to_the_last_bit(session, outing)
    assert Session.from_record(path).branch.rows == session.branch.rows


def test_a_record_is_taken_up_where_it_ended(tmp_path: Path) -> None:
    session = Session(LAKE)
    lively(session)
    session.rewind(80.0)
    session.set("throttle", 0.9)
    session.advance(20.0)
    path, _ = recorded(session, tmp_path)
    again = Session.from_record(path)
    assert (again.now, again.values, again.branch.rows) == (session.now, session.values, session.branch.rows)
    assert [b.rows for b in again.branches] == [b.rows for b in session.branches]
    played = Session(halfglass.load(path))  # or watched from the beginning: the moves make themselves
    played.advance(session.now)
    assert played.branch.rows == session.branch.rows
    for one in (session, again):
        one.push("charge")
        one.advance(30.0)
    assert again.branch.rows == session.branch.rows
    assert halfglass.load(path).plan_names == ("the last try", "try 1")


def test_going_back_is_beginning_anew_with_the_moves_before() -> None:
    session, fresh = Session(SHRINK), Session(SHRINK)
    lively(session)
    session.rewind(100.0)
    assert session.now == 100.0 and session.branch.moves[-1]["damper"] == "65 %"
    for _ in (fresh.set("lines", 0.0), fresh.set("throttle", 0.57), fresh.advance(7.5)):
        pass
    fresh.set("throttle", 0.33)
    fresh.set("throttle", 0.29)
    fresh.push("charge", 1.3, "anthracite")
    fresh.set("damper", 0.65)
    fresh.advance(92.5)
    for one in (session, fresh):
        one.set("throttle", 0.8)
        one.advance(45.0)
    assert session.branch.rows == fresh.branch.rows
    assert np.array_equal(session.day.clock.plant.marcher.state, fresh.day.clock.plant.marcher.state)
    assert [(b.number, b.source, b.from_time) for b in session.branches] == [(0, None, 0.0), (1, 0, 100.0)]


def test_going_back_to_a_move_leaves_it_to_be_made_otherwise() -> None:
    session = Session(SHRINK)
    session.advance(10.0)
    session.set("throttle", 0.5)
    session.advance(10.0)
    session.rewind(10.0)
    assert session.values["throttle"] == 0.0 and session.branch.moves == []


def test_in_one_go_or_in_small_steps_it_is_the_same() -> None:
    slow, quick = Session(SHRINK), Session(SHRINK)
    for one in (slow, quick):
        one.set("lines", 0.0)
        one.set("throttle", 0.4)
    for _ in range(120):
        slow.advance(0.5)
        slow.shown(), slow.flows(), slow.critical(), slow.glass_now(), slow.history(slow.now - 1.0)
    quick.advance(60.0)
    assert slow.branch.rows == quick.branch.rows


def test_a_move_is_felt_at_once_though_time_stands() -> None:
    session = Session(SHRINK)
    session.set("lines", 0.0)
    session.advance(5.0)
    before = session.shown()["steam_flow_boiler_engine"]
    session.set("throttle", 0.5)
    assert session.shown()["steam_flow_boiler_engine"] > before
    assert session.history()["steam_flow_boiler_engine"][-1] > before
    assert session.history()["time"][-1] == session.now == 5.0


def test_values_are_clamped_to_what_the_control_can_do() -> None:
    session = Session(SHRINK)
    session.set("throttle", 7.0)
    session.set("reversing_gear", -7.0)
    session.set("hand_pump_on_lake", 1e9)
    session.push("charge", 1e9, "charcoal")
    assert session.values["throttle"] == 1.0
    assert session.values["reversing_gear"] == -1.0
    assert session.values["hand_pump_on_lake"] == pytest.approx(1.0)
    assert session.branch.moves[-1]["charge"] == "5 kg"


@pytest.mark.parametrize(
    "wrong",
    [
        lambda s: s.set("trottle", 0.5),
        lambda s: s.set("charge", 0.5),
        lambda s: s.push("throttle"),
        lambda s: s.push("blow the house down"),
        lambda s: s.push("charge", 1.0, "hay"),
        lambda s: s.set("burner_rate", 1.0),
    ],
)
def test_what_no_control_does_is_refused(wrong) -> None:  # type: ignore[no-untyped-def]
    session = Session(SHRINK)
    with pytest.raises(ValueError):
        wrong(session)
    assert session.branch.moves == []


def test_a_record_with_as_many_moves_as_there_can_be_is_still_read(tmp_path: Path) -> None:
    session = Session(SHRINK)
    for most in (500, 50, MOST_MOVES):
        while len(session.branch.moves) < most:
            session.set("cylinder_drains", 1.0 - session.values["cylinder_drains"])
        if most < MOST_MOVES:
            session.advance(1.0)
            session.rewind(0.0)
    with pytest.raises(ValueError, match="moves at most"):
        session.set("throttle", 0.5)
    path, _ = recorded(session, tmp_path)
    assert halfglass.load(path).plan_names == ("the last try", "try 2")  # there is no room for the first


def test_where_a_control_stands_already_nothing_is_written_down() -> None:
    session = Session(SHRINK)
    session.set("throttle", session.values["throttle"])
    assert session.branch.moves == []


def test_the_session_ends_where_the_model_ends_and_can_go_back() -> None:
    session = Session(SHRINK)
    session.set("bypass", 1.0)
    session.set("blow_down", 1.0)
    session.advance(3600.0)
    assert session.ended is not None and session.now < 3600.0
    assert session.day.outcome is not None and session.day.outcome.kind in ("low-water drill", "crown bare")
    moves = len(session.branch.moves)
    session.set("throttle", 1.0)
    session.push("charge")
    session.advance(60.0)
    assert len(session.branch.moves) == moves
    session.rewind(0.0)
    assert session.ended is None


def test_no_session_and_no_list_of_branches_is_without_end() -> None:
    session = Session(SHRINK)
    for _ in range(MOST_BRANCHES - 1):
        session.rewind(0.0)
    with pytest.raises(ValueError):
        session.rewind(0.0)
    assert LONGEST == 12 * 3600.0


def test_moves_make_themselves_when_their_time_has_come() -> None:
    session = Session(SHRINK)
    session.advance(3.0)
    session.follow([{"after": "0 s", "lines": "let go"}, {"after": "10 s", "throttle": "40 %"}])
    assert session.values["lines"] == 0.0
    session.advance(9.5)
    assert session.values["throttle"] == 0.0
    session.advance(0.5)
    assert session.values["throttle"] == 0.4
    assert session.branch.moves[-1] == {"after": "13.0 s", "throttle": "40 %"}
    session.rewind(5.0)
    session.advance(20.0)
    assert session.values["throttle"] == 0.4
    session.rewind(2.0)  # before they were asked for
    session.advance(20.0)
    assert session.values["throttle"] == 0.0 and session.values["lines"] == 1.0


def test_a_day_without_a_step_by_hand_is_handed_over_with_steam_up() -> None:
    session = Session(LAKE)
    assert session.shown()["boiler_pressure"] > 4e5 and session.values["lines"] == 1.0
    assert session.scenario.route == LAKE.base.route[:2]
    assert session.log_since()[-1].event == "by hand"


def test_a_day_that_ends_before_anybody_can_take_over_is_refused() -> None:
    never = LAKE.base.route[0].model_copy(update={"at_most": 60.0})
    base = LAKE.base.model_copy(update={"route": (never, *LAKE.base.route[1:])})
    story = Story(LAKE.file, LAKE.files, LAKE.plans, base, LAKE.days)
    with pytest.raises(ScenarioError, match="ends before anybody can take over"):
        Session(story)


def test_a_failure_of_the_model_says_how_to_see_it_again(monkeypatch: pytest.MonkeyPatch) -> None:
    session = Session(SHRINK, seed=4)
    session.set("throttle", 0.2)
    session.advance(2.0)

    def fail() -> None:
        raise MarchFailedError("no number")

    monkeypatch.setattr(session.day.clock, "step", fail)
    with pytest.raises(HalfglassFailure, match="no number") as failure:
        session.advance(1.0)
    assert "2 s after the hand-over" in failure.value.simulating and "--seed 4" in failure.value.reproduce
    assert 'throttle = "20 %"' in session.record()
    session.rewind(1.0)
    session.advance(3.0)
    assert session.now == 4.0


def test_a_boat_has_the_controls_it_has() -> None:
    coal, burner = (Session(story).controls for story in (SHRINK, BURNER))
    names = {control.name for control in coal}
    assert {"throttle", "damper", "charge", "fire_door", "injector_steam"} <= names
    assert not names & {"burner_rate", "spirit_cup", "pump up the tank", "burner goes out"}
    names = {control.name for control in burner}
    assert {"burner_rate", "spirit_cup", "burner goes out"} <= names
    assert not names & {"damper", "charge", "fire_door", "wet fuel", "injector_steam", "injector_water"}
    for controls in (coal, burner):
        keys = [control.key for control in controls if control.key]
        assert len(keys) == len(set(keys))
        assert all(control.key for control in controls if control.group != "faults")


def test_a_burner_boat_too_is_what_its_record_says(tmp_path: Path) -> None:
    session = Session(BURNER)
    session.set("lines", 0.0)
    session.set("throttle", 0.4)
    session.advance(60.0)
    session.set("burner goes out", 1.0)
    session.advance(20.0)
    session.set("burner goes out", 0.0)
    session.set("spirit_cup", 1.0)
    session.push("pump up the tank")
    session.advance(500.0)
    session.set("burner_rate", 0.8)
    session.advance(60.0)
    assert session.shown()["burning_rate"] > 0.0
    path, outing = recorded(session, tmp_path)
    assert outing.timeline["boiler_pressure"].to_numpy()[-1] == session.shown()["boiler_pressure"]
    assert Session.from_record(path).branch.rows == session.branch.rows
