"""The skipper's own standing orders: what is asked at a look, and that every action does what it says."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any, get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st
from trouble import DAY, ROUTE, Lived, fault, lived, orders, own, written

from halfglass.day.feeding import INJECTOR_COOLS
from halfglass.day.instruments import (
    DEPTH_DIVISION,
    GLASS_DIVISION,
    PRESSURE_DIVISION,
    Observation,
    to_division,
)
from halfglass.day.outing import Day
from halfglass.day.own_orders import HOLDS, Asked, Standing, decide, holds
from halfglass.result import events
from halfglass.scenario.order_models import SETTING, Action, Order, Seen

STOPPED = fault("engine pump stops delivering")
BURNER_DAY = DAY.replace(
    '"steam coal"\nfuel_mass = "80 kg"\nhotwell = "15 L"', '"paraffin"\ntank_fuel = "25 L"'
).replace('charge = "0.8 kg"', "")


def seen(time: float = 0.0, glass: float | None = 0.5, **more: Any) -> Observation:
    """A look at a boiler in good order."""
    usual: dict[str, Any] = {
        "glass_empty": False, "pressure": 5.0e5, "bed_depth": 0.1, "hotwell_fraction": 0.5,
        "hotwell_temperature": 320.0, "engine_turning": True, "tank_pressure": 0.0, "oil_fraction": 1.0,
        "flame": True,
    }  # fmt: skip
    return Observation(time=time, glass=glass, **(usual | more))


def order(do: str = "injector", until: Seen | None = None, for_: float = 0.0, **when: Any) -> Order:
    """One order; `when` is a low glass unless told otherwise."""
    wanted = when or {"glass_below": 0.3}
    to = 0.5 if do in SETTING else None
    return Order.model_construct(
        name=f"{do} {wanted}", when=Seen.model_construct(**wanted), for_=for_, do=do, to=to, until=until
    )


def looks(own_orders: Sequence[Order], *observations: Observation) -> list[Asked]:
    """What is asked at each of these looks, one after the other."""
    standing = tuple(Standing() for _ in own_orders)
    asked = []
    for look in observations:
        now, standing = decide(own_orders, standing, look)
        asked.append(now)
    return asked


def test_begins_when_seen_and_is_undone_a_clear_division_later() -> None:
    """Below 0.30 it begins; 0.30 is the same to the eye; 0.35 is clearly over."""
    one = (order(),)
    asked = looks(one, *(seen(glass=glass) for glass in (0.35, 0.25, 0.30, 0.25, 0.30, 0.35, 0.35)))
    assert [len(a.begin) for a in asked] == [0, 1, 0, 0, 0, 0, 0]
    assert [len(a.undo) for a in asked] == [0, 0, 0, 0, 0, 1, 0]


def test_until_keeps_it_going() -> None:
    one = (order(until=Seen.model_construct(glass_above=0.5)),)
    asked = looks(one, *(seen(glass=glass) for glass in (0.25, 0.40, 0.50, 0.55, 0.55)))
    assert [len(a.undo) for a in asked] == [0, 0, 0, 1, 0]
    assert [bool(a.held) for a in asked] == [True, True, True, False, False]


def test_does_not_begin_while_its_until_is_seen() -> None:
    """Both hold at once: nothing is begun that would be undone at the next look."""
    one = (order(until=Seen.model_construct(glass_below=0.4), glass_below=0.6),)
    assert all(not a.begin for a in looks(one, seen(0.0, 0.3), seen(60.0, 0.3)))


def test_for_counts_from_the_first_of_unbroken_looks() -> None:
    one = (order(for_=300.0),)
    times = [(0.0, 0.2), (200.0, 0.2), (290.0, 0.35), (400.0, 0.2), (690.0, 0.2), (700.0, 0.2)]
    assert [len(a.begin) for a in looks(one, *(seen(t, g) for t, g in times))] == [0, 0, 0, 0, 0, 1]


def test_higher_goes_first_and_takes_over() -> None:
    """Two that hold the damper: the lower works until the higher is wanted, and again after it."""
    high, low = order("set damper", pressure_above=6.0e5), order("set damper", glass_below=0.3)
    asked = looks((high, low), seen(glass=0.2), seen(glass=0.2, pressure=6.5e5), seen(glass=0.2))
    assert [a.begin for a in asked] == [(low,), (high,), (low,)]
    assert [a.undo for a in asked] == [(), (low,), (high,)]
    assert [a.held for a in asked] == [frozenset({"damper"})] * 3


def test_what_is_done_and_over_is_done_again_until_its_until() -> None:
    once = order("blow down", glass_above=0.8)
    again = order("blow down", until=Seen.model_construct(glass_below=0.7), glass_above=0.8)
    asked = looks((once, again), *(seen(glass=glass) for glass in (0.9, 0.85, 0.75, 0.65)))
    assert [a.begin for a in asked] == [(once, again), (), (), ()]
    assert [a.again for a in asked] == [(), (again,), (again,), ()]
    assert all(not a.held for a in asked)


def test_no_level_in_sight_is_below_or_above_everything() -> None:
    empty = seen(glass=None, glass_empty=True)
    full = seen(glass=None)
    assert holds(Seen.model_construct(glass_below=0.0), empty) and not holds(
        Seen.model_construct(glass_above=0.0), empty
    )
    assert holds(Seen.model_construct(glass_above=1.0), full) and not holds(
        Seen.model_construct(glass_below=1.0), full
    )


LEVEL = st.none() | st.integers(0, 20).map(lambda n: n / 20)
LOOK = st.builds(
    lambda glass, empty, pressure, turning: seen(
        0.0, glass, glass_empty=empty and glass is None,
        pressure=pressure * PRESSURE_DIVISION, engine_turning=turning,
    ),
    LEVEL, st.booleans(), st.integers(0, 140), st.booleans(),
)  # fmt: skip
WANTED = st.fixed_dictionaries(
    {},
    optional={
        "glass_below": st.integers(1, 19).map(lambda n: n / 20),
        "pressure_above": st.integers(1, 130).map(lambda n: n * PRESSURE_DIVISION),
        "engine": st.sampled_from(["turning", "stopped"]),
    },
).filter(bool)
ORDERS = st.lists(
    st.builds(
        lambda do, when, until, for_: order(
            do, Seen.model_construct(**until) if until else None, for_, **when
        ),
        st.sampled_from(get_args(Action)), WANTED, st.none() | WANTED, st.sampled_from([0.0, 90.0, 400.0]),
    ),
    min_size=1, max_size=6,
)  # fmt: skip


@given(ORDERS, st.lists(LOOK, min_size=1, max_size=25))
def test_orders_are_orderly(own_orders: list[Order], seen_looks: list[Observation]) -> None:
    """At no look is an order begun and undone, begun twice over, or two of them given one thing to hold.

    What is undone had begun; what is held is what the active orders hold; `for` is kept; the same looks ask
    the same again.
    """
    timed = [Observation(**(vars(look) | {"time": 60.0 * n})) for n, look in enumerate(seen_looks)]
    active: set[int] = set()
    for look, asked in zip(timed, looks(own_orders, *timed), strict=True):
        begun, undone = {id(o) for o in asked.begin}, {id(o) for o in asked.undo}
        again = {id(o) for o in asked.again}
        assert not begun & undone and not begun & active and undone <= active and again <= active - undone
        active = (active - undone) | begun
        held = [HOLDS[o.do] for o in own_orders if id(o) in active and o.do in HOLDS]
        assert len(held) == len(set(held)) and set(held) == asked.held
        for o in asked.begin:
            assert holds(o.when, look) and (o.until is None or not holds(o.until, look))
            since = [t for t in timed if look.time - o.for_ <= t.time <= look.time]
            assert look.time >= o.for_ and all(holds(o.when, t) for t in since)
    assert looks(own_orders, *timed) == looks(own_orders, *timed)


@given(LOOK, WANTED)
def test_slack_only_widens(look: Observation, wanted: dict[str, Any]) -> None:
    when = Seen.model_construct(**wanted)
    assert holds(when, look, 1.0) or not holds(when, look)


@given(st.floats(0.0, 1.0), st.sampled_from([GLASS_DIVISION, DEPTH_DIVISION, PRESSURE_DIVISION]))
def test_reading_off_a_scale_is_within_half_a_division_and_is_read_the_same_again(
    value: float, division: float
) -> None:
    value *= 20.0 * division
    read = to_division(value, division)
    assert abs(read - value) <= 0.5 * division * (1.0 + 1e-9)
    assert to_division(read, division) == read


TURNING, STILL = 'engine = "turning"', 'engine = "stopped"'


def obeyed(
    do: str, when: str = TURNING, *more: str, boat: str = "sedge", day: str = DAY, **keys: Any
) -> Lived:
    """The day with one own order."""
    return lived(own("mine", when, do, **keys), *more, boat=boat, day=day)


def during(day: Lived, name: str) -> tuple[float, float]:
    """A reading 20 s before the order was first obeyed and a minute after."""
    at = day.at("order obeyed")
    return day.reading(name, at - 20.0), day.reading(name, at + 60.0)


@pytest.mark.parametrize(
    ("do", "reading"), [("set throttle", "throttle"), ("set damper", "damper"), ("set bypass", "bypass")]
)
def test_set_actions_move_their_control_and_put_it_back(do: str, reading: str) -> None:
    """Held at 35 % for as long as the order lasts; the usual orders keep off it meanwhile."""
    day = obeyed(
        do,
        f'pressure_above = "40 psi", glass_below = "80 %", {TURNING}',
        to="35 %",
        until='glass_above = "95 %"',
    )
    at = day.at("order obeyed")
    assert day.reading(reading, at - 15.0) != pytest.approx(0.35)
    held = day.between(reading, at + 11.0, at + 120.0)
    assert held == pytest.approx(0.35)


def test_undoing_restores() -> None:
    """The throttle goes back to where the leg had it when the glass has been made good."""
    fed = orders('low_glass = ["injector"]\nact_below = "45 %"\nstop_above = "65 %"')
    when = f'glass_below = "40 %", {TURNING}'
    day = obeyed("set throttle", when, STOPPED, fed, to="10 %", until='glass_above = "60 %"')
    undone = [entry.time for entry in day.told("order undone")]
    assert undone
    (first, *_) = [t for t in undone if day.reading("boat_speed", t) > 1.0]
    assert day.reading("throttle", first - 15.0) == pytest.approx(0.10)
    assert day.reading("throttle", first + 15.0) == pytest.approx(0.26)


def test_stop_the_engine_is_kept_over_the_start_of_the_next_leg() -> None:
    """Told at the quay with the glass low: the next leg does not open the throttle before the glass is
    good.
    """
    lie = own("wait for water", 'glass_below = "70 %"', "stop the engine", until='glass_above = "75 %"')
    day = lived(
        lie, orders('low_glass = ["injector"]\nglass = "75 %"\nact_below = "70 %"\nstop_above = "80 %"')
    )
    stages = day.at(events.UNDER_WAY)
    undone = [entry.time for entry in day.told("order undone") if entry.time > stages]
    assert undone
    assert day.between("throttle", stages + 60.0, undone[0] - 1.0).max() <= 0.06
    assert day.reading("throttle", undone[0] + 15.0) == pytest.approx(0.26)


def test_set_blower() -> None:
    """Half open for as long as the order lasts: it draws on the fire and costs steam."""
    day = obeyed("set blower", f'pressure_above = "40 psi", {TURNING}', to="50 %")
    before, after = during(day, "draught")
    assert after > before + 20.0
    assert during(day, "service_flow")[1] > 0.0


def test_set_condensate_drain() -> None:
    day = obeyed("set condensate drain", f'hotwell_above = "10 %", {TURNING}', to="1 %")
    before, after = during(day, "condenser_flood_fraction")
    flooded = day.reading("condenser_flood_fraction", day.at("order obeyed") + 900.0)
    assert max(before, after) < 0.5 < flooded


def test_set_burner() -> None:
    """Only while it is alight: nothing is set that is not burning."""
    day = obeyed("set burner", 'pressure_above = "60 psi"', boat="dabchick", day=BURNER_DAY, to="40 %")
    at = day.at("order obeyed")
    assert day.between("burner_rate", at + 11.0, at + 120.0) == pytest.approx(0.4)


def test_engine_pump() -> None:
    day = obeyed("engine pump", f'glass_below = "70 %", {TURNING}', until='glass_above = "90 %"')
    at = day.at("order obeyed")
    assert day.between("bypass", at + 11.0, at + 300.0).max() == 0.0


@pytest.mark.parametrize(
    ("do", "flow"),
    [
        ("injector", "feed_flow_injector"),
        ("hand pump on hot well", "feed_flow_hand_pump_hotwell"),
        ("hand pump on lake", "feed_flow_hand_pump_lake"),
    ],
)
def test_feeding_actions_feed_and_stop(do: str, flow: str) -> None:
    """Begun below 45 % with the pump stopped, undone above 70 %; the usual orders have nothing to feed
    with.
    """
    day = obeyed(do, 'glass_below = "45 %"', STOPPED, orders("low_glass = []"), until='glass_above = "70 %"')
    at = day.at("order obeyed")
    assert day.between(flow, at, at + 300.0).max() > 0.01
    over = [entry.time for entry in day.told("order undone")]
    assert over and day.reading(flow, over[0] + 15.0) == 0.0
    assert day.between("glass_fraction", at, day.time[-1]).min() > 0.25


def test_bale_into_the_hot_well() -> None:
    day = obeyed("bale into the hot well", 'hotwell_below = "60 %"', until='hotwell_above = "70 %"')
    assert len(day.told("hot well made up")) >= 1
    (first, *_) = day.told("hot well made up")
    gained = day.reading("hotwell_mass", first.time + 11.0) - day.reading("hotwell_mass", first.time - 11.0)
    assert gained == pytest.approx(6.0, abs=0.5)


def test_blow_down() -> None:
    day = obeyed("blow down", f'glass_above = "50 %", {STILL}, pressure_above = "50 psi"')
    (first, *_) = day.told(events.BLOWN_DOWN)
    assert (
        day.reading("boiler_water_mass", first.time - 20.0)
        - day.reading("boiler_water_mass", first.time + 1.0)
        > 2.0
    )


def test_change_the_cloth() -> None:
    day = obeyed("change the cloth", STILL, day=DAY.replace("[aboard]", '[aboard]\ncloth_oil = "0.1 kg"'))
    (first, *_) = day.told("cloth changed")
    before = day.reading("separator_load_fraction", first.time - 30.0)
    assert before > 0.1 and day.reading("separator_load_fraction", first.time + 11.0) < 0.02


def test_clean_the_grate() -> None:
    day = obeyed("clean the grate", f'{STILL}, pressure_above = "60 psi"', orders("clean_grate = false"))
    assert day.told("grate cleaned")


def test_try_the_glass() -> None:
    """At every stop: a shut cock is found at the lock."""
    shut = fault("glass cock shut", '{ leaving = "Stage", plus = "30 min" }')
    day = obeyed("try the glass", STILL, shut, orders('try_glass_every = "24 h"'))
    found = day.at("false glass found")
    assert day.at("waiting at the lock") < found < day.at("through the lock")


def test_an_injector_that_is_ordered_is_started_again_once_it_is_cool() -> None:
    """The pressure goes by a stuck valve, the injector knocks off; with steam back it must cool before it
    starts.
    """
    open_valve = fault("safety valve sticks open", repaired_after="7 min")
    day = obeyed(
        "injector", TURNING, STOPPED, open_valve, orders("low_glass = []"), until='glass_above = "95 %"'
    )
    off = day.at("injector knocked off")
    tried = [e for e in day.day.entries if e.time > off and e.event.startswith("injector ")]
    assert tried and all(entry.time - off >= INJECTOR_COOLS for entry in tried)
    assert [entry for entry in tried if entry.event == "injector on"]


def test_left_alone_means_own_orders_too() -> None:
    """In the run that asks what happens if nobody answers the fault no own order feeds either."""
    fed = own("mine", 'glass_below = "45 %"', "injector", until='glass_above = "70 %"')
    alone = Day(written(STOPPED, orders("low_glass = []"), fed), 0, feed_left_alone_after_fault=True)
    alone.run()
    assert events.BOTTOM_NUT in [entry.event for entry in alone.entries]
    assert not lived(STOPPED, orders("low_glass = []"), fed).told(events.BOTTOM_NUT)


def test_a_hot_injector_will_not_pick_up() -> None:
    happening = Day(written())
    feeding = happening.crew.feeding
    feeding.lose_injector()
    assert feeding.injector_refuses() == ": it is still hot"
    feeding.injector_cool_at = 0.0
    assert feeding.injector_refuses() == ": the pressure is too low for it"


def test_every_action_is_tested_here() -> None:
    text = Path(__file__).read_text("utf-8")
    assert [action for action in get_args(Action) if text.count(f'"{action}"') < 1] == []


def test_the_log_says_who_saw_what_and_did_what() -> None:
    day = obeyed("set damper", f'pressure_above = "70 psi", {TURNING}', to="20 %", for_="6 min")
    (line, *_) = day.told("order obeyed")
    assert line.who == "crew"
    assert line.text.startswith("mine: set damper to 20 %. Seen for 6 min: Glass ")
    assert re.search(r"Glass \d+ %, gauge \d\.\d+ bar gauge\.$", line.text)


def test_false_instruments_fool_them() -> None:
    """Fifteen psi too high on the gauge: an order for 75 psi is obeyed at 60 in the boiler."""
    wrong = fault("gauge reads wrong", "{ clock = 08:05:00 }", by="15 psi")
    day = obeyed("set damper", 'pressure_above = "80 psi"', wrong, to="0 %")
    pressure = day.reading("boiler_pressure", day.at("order obeyed")) / 6894.757
    assert 64.0 < pressure < 72.0


def test_an_order_that_cannot_be_is_refused() -> None:
    with pytest.raises(AssertionError, match="this boat has no grate"):
        written(own("rake", STILL, "clean the grate"), day=BURNER_DAY, boat="dabchick", route=ROUTE)
