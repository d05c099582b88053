"""What a session shows: what is foretold, the diagram's flows, the glass, the charts, the table."""

from __future__ import annotations

import pytest

from halfglass.classroom.branch import COLUMNS
from halfglass.classroom.controls import controls_of
from halfglass.classroom.critical import net_water
from halfglass.classroom.session import Session
from halfglass.classroom.shown_table import ANSWERS
from halfglass.day.by_hand import TICK
from halfglass.plant import state as y
from halfglass.result.energy_flow import BOILER
from halfglass.scenario.load import load

SHRINK = load("scenarios/10-shrink-and-swell.toml")


def test_what_is_foretold_comes_when_it_was_foretold() -> None:
    """The water at the present rates: half an hour of steady steaming without feed."""
    session = Session(SHRINK)
    session.set("lines", 0.0)
    session.set("throttle", 0.2)
    session.set("damper", 0.25)
    session.set("bypass", 1.0)
    session.advance(240.0)
    told = next(c for c in session.critical() if c.item.startswith("working low"))
    assert told.seconds is not None and not told.is_now
    begun = session.now
    while session.shown()["glass_fraction"] > 0.25 and session.ended is None:
        session.advance(10.0)
    assert session.now - begun == pytest.approx(told.seconds, rel=0.2)
    assert next(c for c in session.critical() if c.item.startswith("working low")).is_now


def test_just_after_a_move_nothing_is_foretold_from_before_it() -> None:
    session = Session(SHRINK)
    session.advance(60.0)
    assert any(c.subject == "pressure" and c.seconds for c in session.critical())  # a hot fire, nothing drawn
    assert not session.is_settling
    session.set("lines", 0.0)
    session.set("throttle", 0.6)
    assert not any(c.subject == "pressure" and c.seconds for c in session.critical())
    assert session.is_settling  # which the page says, instead of "nothing"
    session.advance(4.0)
    assert not session.is_settling


def test_the_water_of_the_diagram_closes() -> None:
    session = Session(SHRINK)
    session.set("lines", 0.0)
    session.set("throttle", 0.3)
    session.set("hand_pump_on_hot_well", 0.4)
    session.set("check valve leaks", 1.0)
    session.advance(90.0)
    links = [flow for flow in session.flows() if flow.kind == "water"]
    gain = sum((f.target == BOILER) * f.number - (f.source == BOILER) * f.number for f in links)
    assert gain == pytest.approx(net_water(session.day), abs=1e-12)
    before = session.day.clock.plant.marcher.state[y.BOILER_MASS]
    session.advance(TICK)
    change = (session.day.clock.plant.marcher.state[y.BOILER_MASS] - before) / TICK
    assert gain == pytest.approx(change, rel=0.02, abs=1e-5)
    drawn = sum(f.number for f in links if f.target == "feed") - sum(
        f.number for f in links if f.source == "feed"
    )
    assert drawn == pytest.approx(
        -next(f.number for f in links if f.name == "returned by the bypass"), abs=1e-9
    )


def test_the_heat_of_the_diagram_closes() -> None:
    session = Session(SHRINK)
    assert [f for f in session.flows() if f.kind == "heat"] == []
    session.set("lines", 0.0)
    session.set("throttle", 0.3)
    session.advance(60.0)
    state = session.day.clock.plant.marcher.state
    before = state[y.BOILER_ENERGY]
    session.advance(5.0)
    gain = (state[y.BOILER_ENERGY] - before) / 5.0
    heat = [flow for flow in session.flows() if flow.kind == "heat"]
    into = sum((f.target == BOILER) * f.number - (f.source == BOILER) * f.number for f in heat)
    assert into == pytest.approx(gain, abs=1.0)  # W, of tens of thousands
    names = [f.name for f in session.flows()]
    session.set("throttle", 0.0)
    session.advance(30.0)
    assert [f.name for f in session.flows()] == names


def test_the_glass_shows_what_it_shows() -> None:
    session = Session(SHRINK)
    session.set("lines", 0.0)
    session.set("throttle", 0.3)
    session.advance(20.0)
    now = session.glass_now()
    assert now["shown"] == now["true"] and now["swell"] > 0.0
    session.set("glass cock shut", 1.0)
    session.set("throttle", 0.0)
    session.advance(30.0)
    now = session.glass_now()
    assert now["shown"] != now["true"]


def test_history_tells_what_is_new_and_keeps_every_dip() -> None:
    session = Session(SHRINK)
    session.set("lines", 0.0)
    session.advance(20.0)
    session.set("throttle", 0.6)
    session.advance(1800.0)
    new = session.history(session.now - 2.0)
    assert new["time"] == [session.now - 1.5, session.now - 1.0, session.now - 0.5, session.now]
    whole, thinned = session.history(), session.history_of(0, 50)
    assert len(thinned["time"]) < 0.8 * len(whole["time"])
    for name in ("glass_shown", "boiler_pressure", "swell"):
        assert (max(thinned[name]), min(thinned[name])) == (max(whole[name]), min(whole[name]))
    assert set(whole) == {"time", *COLUMNS}


def test_the_csv_has_every_tick_in_the_units_of_the_day() -> None:
    session = Session(SHRINK)
    session.set("lines", 0.0)
    session.advance(10.0)
    lines = session.csv().splitlines()
    assert len(lines) == 1 + 21
    heads = lines[0].split(",")
    assert heads[:3] == ["clock", "time [s]", "glass_shown [%]"] and "feed [kg/h]" in heads
    last = dict(zip(heads, lines[-1].split(","), strict=True))
    assert float(last["time [s]"]) == 10.0
    assert float(last["boiler_pressure [bar gauge]"]) == pytest.approx(
        session.shown()["boiler_pressure"] / 1e5, rel=1e-6
    )


def test_every_fault_moves_what_stands_beside_it() -> None:
    """Side by side with a session that is spared it: some number beside the fault differs at once or soon."""
    for path in ("scenarios/10-shrink-and-swell.toml", "scenarios/03-burner-boat.toml"):
        story = load(path)
        for fault in controls_of(Session(story).scenario):
            if fault.group != "faults" or fault.name in ("safety valve sticks shut", "glass cock shut"):
                continue  # seen once a valve blows, or the level has moved
            struck, spared = Session(story), Session(story)
            for session in (struck, spared):
                make_lively(session)
            if fault.kind == "push":
                struck.push(fault.name)
            else:
                struck.set(fault.name, 1.0)
            for session in (struck, spared):
                session.advance(18.0)
            told, plain = beside(struck, fault.name), beside(spared, fault.name)
            assert any(abs(a - b) > 1e-3 * abs(b) for a, b in zip(told, plain, strict=True)), fault.name
            assert struck.last_told(1)[0].text


def make_lively(session: Session) -> None:
    """Under way, with hand pump and injector at work."""
    moved = {"lines": 0.0, "throttle": 0.3, "bypass": 0.5, "damper": 0.3, "hand_pump_on_hot_well": 0.5}
    for name, to in (moved | {"injector_water": 1.0, "injector_steam": 1.0, "burner_rate": 0.8}).items():
        if name in session.values:
            session.set(name, to)
    session.advance(30.0)


def beside(session: Session, control: str) -> list[float]:
    """The numbers beside a control on the page."""
    shown = session.shown() | {flow.name: flow.number for flow in session.flows()}
    return [shown[name] for name in ANSWERS[control]]


def test_the_stream_turns_under_a_boat_worked_by_hand() -> None:
    session = Session(SHRINK)
    session.set("lines", 0.0)
    session.set("throttle", 0.3)
    session.advance(60.0)
    before = session.shown()["ground_speed"]
    session.set("stream turns", 1.0)
    assert session.shown()["ground_speed"] == pytest.approx(before - 0.5, abs=1e-6)
    session.set("stream turns", 0.0)
    assert session.shown()["ground_speed"] == pytest.approx(before, abs=1e-6)


def test_the_gauge_shows_what_it_shows_and_not_what_is_so() -> None:
    session = Session(SHRINK)
    session.set("gauge reads wrong", 1.0)
    shown = session.shown()
    assert shown["pressure_shown"] == pytest.approx(shown["boiler_pressure"] + 15 * 6894.76, rel=1e-4)


def test_what_is_lost_at_the_hot_well_is_what_the_books_say() -> None:
    session = Session(SHRINK)
    session.advance(5.0)
    session.set("hot well water lost", 1.0)
    session.advance(1.0)
    lost = next(flow for flow in session.flows() if flow.name == "hot well overflow and leaks")
    assert (lost.source, lost.number) == ("hot well", pytest.approx(1.0 / 60.0, rel=0.01))


def test_the_newest_of_the_log_and_nothing_from_before() -> None:
    session = Session(SHRINK)
    told = [entry.text for entry in session.last_told(99)]
    assert told[-1].startswith("Worked by hand from now on") and len(told) == 1
    session.push("bar over")
    session.push("bale into the hot well")
    assert [entry.event for entry in session.last_told(2)][1] in ("barred over", "not barred over")
