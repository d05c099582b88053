"""The step by hand: its moves, what each control does, and that nobody else touches anything."""

from __future__ import annotations

import numpy as np
import pytest

from halfglass.day.by_hand import TICK, ByHand
from halfglass.day.outing import Day, run
from halfglass.plant import reading as r
from halfglass.result import events
from halfglass.scenario.by_hand_models import CONTROLS, FOR_GOOD, Move, usual_fault, wrong_by_hand
from halfglass.scenario.day_models import Scenario
from halfglass.scenario.fault_models import FAULTS
from halfglass.scenario.load import load
from halfglass.scenario.route_steps import ByHand as ByHandStep

LAKE = load("scenarios/10-shrink-and-swell.toml").base
BURNER = load("scenarios/03-burner-boat.toml").base
STEAMING = {"after": "0 s", "lines": "let go", "throttle": "30 %"}


def by_hand(moves: list[dict[str, object]], lasting: str = "2 min", day: Scenario = LAKE) -> Day:
    """A day that is over: steam raised by the crew, then worked by hand."""
    step = ByHandStep.model_validate({"step": "by hand", "for": lasting, "moves": moves})
    done = Day(day.model_copy(update={"route": (*day.route[:2], step)}))
    done.run()
    return done


def still_going(moves: list[dict[str, object]], seconds: float, day: Scenario = LAKE) -> Day:
    """A day that stands so many seconds after it was handed over."""
    step = ByHandStep.model_validate({"step": "by hand", "for": "1 h", "moves": moves})
    going = Day(day.model_copy(update={"route": (*day.route[:2], step)}))
    over = going.begin()
    while not over.processed and (going.by_hand is None or going.by_hand.tick < seconds / TICK):
        going.clock.step()
    return going


def told(day: Day, event: str) -> list[str]:
    """What the log says of an event."""
    return [entry.text for entry in day.entries if entry.event == event]


def test_moves_are_done_at_their_times_and_the_step_lasts_its_time() -> None:
    day = by_hand([STEAMING, {"after": "30.2 s", "throttle": "0 %"}])
    begun = next(entry.time for entry in day.entries if entry.event == events.BY_HAND)
    opened = next(entry.time for entry in day.entries if entry.event == "throttle opened")
    shut = next(entry.time for entry in day.entries if entry.event == "throttle shut")
    assert opened == begun
    assert shut == pytest.approx(begun + 30.5)  # the next tick
    assert day.clock.now == pytest.approx(begun + 120.0)
    assert day.outcome is not None and day.outcome.kind == "arrived"


def test_nobody_but_the_moves_touches_the_plant() -> None:
    day = by_hand([STEAMING], "40 min")
    begun = next(entry.time for entry in day.entries if entry.event == events.BY_HAND)
    by_crew = [entry for entry in day.entries if entry.who == "crew" and entry.time > begun]
    assert by_crew == []
    plain = Day(LAKE)
    plain.run()
    worked = [e for e in plain.entries if e.who == "crew" and begun + 600.0 < e.time < begun + 2400.0]
    assert worked  # on the day as written they do


def test_what_the_crew_had_on_is_left_at_the_hand_over() -> None:
    ways = {"low_glass": ("hand pump on hot well",), "act_below": 0.9, "stop_above": 0.99}
    pumping = LAKE.model_copy(update={"orders": LAKE.orders.model_copy(update=ways)})
    day = still_going([], 30.0, pumping)
    begun = next(entry.time for entry in day.entries if entry.event == events.BY_HAND)
    assert any(entry.event == "hand pump on hot well on" and entry.time < begun for entry in day.entries)
    assert day.clock.reading(r.FEED_FLOW_HAND_PUMP_HOTWELL) == 0.0 and day.crew.feeding.pumping == {}


def test_a_glass_found_empty_ends_the_step_as_it_ends_a_day() -> None:
    day = by_hand(
        [STEAMING, {"after": "0 s", "bypass": "100 %"}, {"after": "1 min", "blow_down": "open"}], "30 min"
    )
    assert day.outcome is not None and day.outcome.kind in ("low-water drill", "crown bare")


def test_looking_more_often_than_recording_costs_nothing_of_the_result() -> None:
    once, again = by_hand([STEAMING]), by_hand([STEAMING])
    assert np.array_equal(once.clock.plant.marcher.rows(), again.clock.plant.marcher.rows())


MOVED = (
    ({"throttle": "60 %"}, r.STEAM_FLOW_BOILER_ENGINE, +1),
    ({"throttle": "60 %"}, r.SHAFT_SPEED, +1),
    ({"throttle": "0 %"}, r.SHAFT_SPEED, -1),
    ({"reversing_gear": "-100 %"}, r.SHAFT_SPEED, -1),
    ({"reversing_gear": "30 %"}, r.STEAM_FLOW_BOILER_ENGINE, -1),
    ({"cylinder_drains": "open"}, r.DRAIN_FLOW, +1),
    ({"whistle": "open"}, r.WHISTLE_FLOW, +1),
    ({"damper": "100 %"}, r.AIR_FLOW, +1),
    ({"fire_door": "100 %"}, r.FIRE_TEMPERATURE, -1),
    ({"blower": "100 %"}, r.DRAUGHT, +1),
    ({"bypass": "100 %"}, r.FEED_FLOW_ENGINE_PUMP, -1),
    ({"feed_check": "shut"}, r.FEED_FLOW_ENGINE_PUMP, -1),
    ({"feed_check": "shut"}, r.BYPASS_FLOW, +1),
    ({"hand_pump_on_hot_well": "30 strokes/min"}, r.FEED_FLOW_HAND_PUMP_HOTWELL, +1),
    ({"hand_pump_on_lake": "30 strokes/min"}, r.FEED_FLOW_HAND_PUMP_LAKE, +1),
    ({"injector_water": "open", "injector_steam": "open"}, r.FEED_FLOW_INJECTOR, +1),
    ({"blow_down": "open"}, r.BOILER_WATER_MASS, -1),
    ({"condensate_drain": "0 %"}, r.CONDENSER_FLOOD_FRACTION, +1),
    ({"charge": "2 kg", "fuel": "anthracite"}, r.BED_FUEL_MASS, +1),
    ({"do": "bale into the hot well"}, r.HOTWELL_MASS, +1),
)  # fmt: skip


@pytest.mark.parametrize(("move", "reading", "direction"), MOVED, ids=lambda value: str(value))
def test_every_control_moves_something_the_right_way(
    move: dict[str, str], reading: int, direction: int
) -> None:
    steaming = [STEAMING, {"after": "0 s", "cylinder_drains": "shut", "damper": "40 %"}]
    without = still_going([*steaming], 70.0)
    moved = still_going([*steaming, {"after": "60 s", **move}], 70.0)
    change = moved.clock.reading(reading) - without.clock.reading(reading)
    assert change * direction > 0.0


def test_lines_are_made_fast_only_when_she_has_all_but_stopped() -> None:
    day = by_hand([STEAMING, {"after": "60 s", "lines": "made fast"}])
    assert day.clock.plant.controls.moored == 0.0
    assert told(day, "too fast")


def test_the_injector_wants_water_before_steam() -> None:
    wrong = by_hand([
        {"after": "0 s", "injector_steam": "open"}, {"after": "5 s", "injector_water": "open"},
        {"after": "10 s", "injector_steam": "shut"}, {"after": "12 s", "injector_steam": "open"},
    ])  # fmt: skip
    assert not told(wrong, "injector on")
    assert "still hot" in told(wrong, "injector would not start")[-1]
    right = by_hand([{"after": "0 s", "injector_water": "open"}, {"after": "2 s", "injector_steam": "open"}])
    assert told(right, "injector on") and right.clock.reading(r.FEED_FLOW_INJECTOR) > 0.0
    shut = by_hand([
        {"after": "0 s", "injector_water": "open"}, {"after": "2 s", "injector_steam": "open"},
        {"after": "9 s", "feed_check": "shut"},
    ])  # fmt: skip
    assert shut.clock.reading(r.FEED_FLOW_INJECTOR) == 0.0


def test_one_hand_pump_draws_from_one_or_the_other() -> None:
    day = still_going([
        {"after": "0 s", "hand_pump_on_lake": "30 strokes/min"},
        {"after": "5 s", "hand_pump_on_hot_well": "20 strokes/min"},
    ], 10.0)  # fmt: skip
    assert day.clock.reading(r.FEED_FLOW_HAND_PUMP_LAKE) == 0.0
    assert day.clock.reading(r.FEED_FLOW_HAND_PUMP_HOTWELL) > 0.0


def test_the_door_stands_open_for_a_charge_and_shuts_behind_it() -> None:
    moves: list[dict[str, object]] = [
        {"after": "10 s", "charge": "1 kg"},
        {"after": "25 s", "charge": "1 kg"},
    ]
    door = [still_going(moves, at).clock.plant.controls.fire_door for at in (9.5, 10.0, 44.5, 45.0)]
    assert door == [0.0, 1.0, 1.0, 0.0]  # the second charge began before it was shut behind the first
    assert len(told(still_going(moves, 50.0), "fired")) == 2


def test_an_engine_on_dead_centre_is_barred_over_with_the_throttle_shut() -> None:
    stuck = LAKE.model_copy(update={"route": LAKE.route[:1]})
    step = ByHandStep.model_validate({"step": "by hand", "for": "1 min"})
    day = Day(stuck.model_copy(update={"route": (*stuck.route, step)}))
    over = day.begin()
    while day.by_hand is None and not over.processed:
        day.clock.step()
    hand: ByHand | None = day.by_hand
    assert hand is not None
    day.clock.plant.controls.on_dead_centre = 0.0
    day.clock.set(on_dead_centre=1.0, throttle=0.3)
    hand.do(Move.model_validate({"after": "0 s", "do": "bar over"}))
    assert not told(day, events.BARRED_OVER)
    hand.do(Move.model_validate({"after": "0 s", "throttle": "30 %"}))
    hand.do(Move.model_validate({"after": "0 s", "throttle": "0 %", "do": "bar over"}))
    assert told(day, events.BARRED_OVER) and day.clock.plant.controls.on_dead_centre == 0.0


def test_a_glass_tried_is_found_out() -> None:
    day = by_hand(
        [{"after": "0 s", "goes_wrong": "glass cock shut"}, {"after": "9 s", "do": "try the glass"}]
    )
    assert told(day, "false glass found") and day.instruments.is_glass_true
    assert told(by_hand([{"after": "9 s", "do": "try the glass"}]), "glass tried")


@pytest.mark.parametrize("kind", [kind for kind in wrong_by_hand() if kind != "burner goes out"])
def test_every_fault_begins_and_is_put_right(kind: str) -> None:
    moves: list[dict[str, object]] = [STEAMING, {"after": "10 s", "goes_wrong": kind}]
    if kind not in FOR_GOOD:
        moves.append({"after": "20 s", "put_right": kind})
    day = by_hand(moves, "30 s")
    assert told(day, events.FAULT) == [FAULTS[kind].sentence]
    assert len(told(day, events.FAULT_REPAIRED)) == (kind not in FOR_GOOD)
    assert [fault.kind for fault in day.faults_at_work] == ([kind] if kind in FOR_GOOD else [])


def test_a_burner_that_goes_out_is_lit_again_by_hand() -> None:
    moves = [
        {"after": "10 s", "goes_wrong": "burner goes out"}, {"after": "20 s", "put_right": "burner goes out"},
        {"after": "60 s", "spirit_cup": "alight"}, {"after": "9 min", "burner_rate": "100 %"},
        {"after": "9 min 30 s", "spirit_cup": "out"},
    ]  # fmt: skip
    burning = [
        still_going(moves, at, BURNER).clock.reading(r.BURNING_RATE) for at in (5.0, 8 * 60.0, 12 * 60.0)
    ]
    assert burning[0] > 0.0 and burning[1] == 0.0 and burning[2] > 0.0


def test_all_faults_but_those_of_route_and_people_are_offered() -> None:
    assert set(FAULTS) - set(wrong_by_hand()) == {"long wait at the lock", "one of the crew ashore"}
    assert all(usual_fault(kind).kind == kind for kind in wrong_by_hand())


def test_every_control_has_a_lever() -> None:
    day = Day(LAKE)
    assert set(ByHand(day).levers) == set(CONTROLS)


def test_without_feed_means_without_what_the_hands_do_to_it() -> None:
    """What follows if nothing is done about a fault: the moves at the feed are left out."""
    moves = [
        STEAMING, {"after": "30 s", "goes_wrong": "engine pump stops delivering"},
        {"after": "1 min", "injector_water": "open", "injector_steam": "open"},
    ]  # fmt: skip
    step = ByHandStep.model_validate({"step": "by hand", "for": "3 min", "moves": moves})
    scenario = LAKE.model_copy(update={"route": (*LAKE.route[:2], step)})
    outing = run(scenario)
    assert outing.if_nothing_done is not None
    alone = Day(scenario, 0, feed_left_alone_after_fault=True)
    alone.run()
    assert not told(alone, "injector on")
    assert any(event == "injector on" for event in outing.log["event"])


def test_what_follows_the_step_is_done_by_the_crew() -> None:
    step = ByHandStep.model_validate({"step": "by hand", "for": "5 min", "moves": [STEAMING]})
    day = Day(LAKE.model_copy(update={"route": (*LAKE.route[:2], step, *LAKE.route[-2:])}))
    day.run()
    assert day.outcome is not None and day.outcome.sentence.startswith("The day ends as planned")
    assert TICK == 0.5 and day.by_hand is None


def test_the_feed_is_open_again_when_the_step_is_over() -> None:
    day = by_hand([STEAMING, {"after": "10 s", "bypass": "40 %", "feed_check": "shut"}])
    assert day.clock.plant.controls.bypass == pytest.approx(0.4)
