"""Faults of water, weather and people on a day afloat, and troubles that come together."""

from __future__ import annotations

from pathlib import Path

import pytest
from trouble import DAY, ROUTE, fault, lived, orders, own, written

from halfglass.result import events
from halfglass.scenario.fault_models import FAULTS

ONE = DAY.replace("hands = 2", "hands = 1")
HELD = ROUTE.replace('distance = "8 km"\nthrottle = "26 %"', 'distance = "8 km"\nspeed = "4.5 kn"')


def test_every_kind_of_fault_has_its_tests() -> None:
    """Each kind is written in at least two tests of these files, or more are wanted."""
    text = "".join(path.read_text("utf-8") for path in Path(__file__).parent.glob("test_faults_*.py"))
    few = [kind for kind in FAULTS if text.count(f'fault("{kind}"') + text.count(f'"{kind}",') < 2]
    assert few == []


def test_stream_turns() -> None:
    """A knot of foul stream is a knot off the speed over the ground, and nothing off that through the
    water.
    """
    foul, slack = lived(fault("stream turns", by="-1 kn")), lived()
    at, knot = foul.fault_at, 1852.0 / 3600.0
    over = [day.mean("ground_speed", at + 120.0, at + 900.0) for day in (foul, slack)]
    through = [day.mean("boat_speed", at + 120.0, at + 900.0) for day in (foul, slack)]
    assert over[1] - over[0] == pytest.approx(knot, abs=0.05)
    assert through[0] == pytest.approx(through[1], abs=0.05)


def test_the_stream_is_stemmed_and_the_boat_comes_late() -> None:
    """Some 5.4 km are left at Stage and ten minutes; at 3.8 instead of 4.8 kn they take 1.26 times as
    long.
    """
    foul, slack = lived(fault("stream turns", by="-1 kn")), lived()
    lock = [day.at("waiting at the lock") - foul.fault_at for day in (foul, slack)]
    assert 1.18 < lock[0] / lock[1] < 1.35
    assert foul.outcome == "arrived"
    turned = lived(fault("stream turns", by="-1 kn", repaired_after="10 min"))
    assert turned.reading("ground_speed", turned.at(events.FAULT_REPAIRED) + 30.0) == pytest.approx(
        turned.reading("boat_speed", turned.at(events.FAULT_REPAIRED) + 30.0), abs=0.02
    )


def test_wind_gets_up() -> None:
    """10 m/s ahead on 1.6 m2: 0.5 x 1.2 x 1.6 (12.5^2 - 2.5^2) is some 140 N of her 250 N, so half a knot
    and more.
    """
    blown, calm = lived(fault("wind gets up", by="10 m/s")), lived()
    at = blown.fault_at
    through = [day.mean("boat_speed", at + 120.0, at + 900.0) for day in (blown, calm)]
    assert 0.25 < through[1] - through[0] < 1.0
    assert blown.outcome == "arrived"


def test_a_speed_is_held_against_the_wind_with_the_throttle() -> None:
    blown, calm = lived(fault("wind gets up", by="7 m/s"), route=HELD), lived(route=HELD)
    at = blown.fault_at
    speeds, throttles = (
        [day.mean(name, at + 300.0, at + 900.0) for day in (blown, calm)]
        for name in ("boat_speed", "throttle")
    )
    assert speeds[0] == pytest.approx(speeds[1], rel=0.04)
    assert throttles[0] > 1.1 * throttles[1]


def test_long_wait_at_the_lock() -> None:
    """The gates open so much later, to the second; the next lock is no slower for it."""
    late, early = lived(fault("long wait at the lock", '{ leaving = "Stage" }', wait="40 min")), lived()
    waits = [day.at("in the lock") - day.at("waiting at the lock") for day in (late, early)]
    assert waits == pytest.approx([3000.0, 600.0], abs=0.01)
    assert late.day.lock_delay == 0.0


def test_pressure_and_water_are_kept_through_a_long_wait() -> None:
    """The damper is shut and the injector takes up some of the heat the bed still gives; the rest blows
    off.
    """
    late = lived(fault("long wait at the lock", '{ leaving = "Stage" }', wait="40 min"))
    start, end = late.at("waiting at the lock"), late.at("in the lock")
    assert late.between("glass_fraction", start, end).min() > 0.3
    heat = late.mean("heat_to_boiler_rate", start, end)
    assert late.mean("safety_valve_flow", start, end) * 2.05e6 < 0.8 * heat  # J/kg to make steam at 7 bar
    assert late.told("injector on")[0].time < end
    assert late.outcome == "arrived"


PUMPED = orders('low_glass = ["hand pump on lake"]')
STOPPED = fault("engine pump stops delivering")
PACED = DAY.replace("hands = 2", 'hands = 2\nstrokes = "16 strokes/min"')


def test_one_of_the_crew_ashore() -> None:
    """Two become one while pumping under way: the helm takes half of the pace; and two again, all of it."""
    away = fault("one of the crew ashore", '{ leaving = "Stage", plus = "35 min" }', repaired_after="6 min")
    alone = lived(STOPPED, away, PUMPED, day=PACED)
    (_, gone) = alone.told(events.FAULT)
    back = alone.at(events.FAULT_REPAIRED)
    assert alone.at("hand pump on lake on") < gone.time and back < alone.at("waiting at the lock")

    def pace(start: float, end: float) -> float:
        return float(alone.between("hand_pump_stroke_rate", start, end).max()) * 60.0

    assert pace(gone.time - 200.0, gone.time - 1.0) == pytest.approx(16.0, abs=0.1)
    assert pace(gone.time + 1.0, back - 1.0) == pytest.approx(8.0, abs=0.1)
    assert pace(back + 1.0, back + 200.0) == pytest.approx(16.0, abs=0.1)


def test_one_of_the_crew_ashore_for_good_costs_the_water() -> None:
    """What two hold with a hand pump one cannot, as in the table of the stopped pump."""
    far = ROUTE.replace('distance = "8 km"', 'distance = "16 km"')
    two = lived(STOPPED, PUMPED, route=far)
    one = lived(STOPPED, fault("one of the crew ashore"), PUMPED, route=far)
    assert two.outcome == "arrived" and one.outcome == "low-water drill"


def test_two_of_them_ashore_one_after_the_other() -> None:
    """The first comes back, and later goes again: each absence has its own end."""
    first = fault("one of the crew ashore", repaired_after="10 min")
    second = fault("one of the crew ashore", '{ arriving = "Quay" }', repaired_after="20 min")
    day = lived(first, second)
    assert len(day.told(events.FAULT_REPAIRED)) == 2 and not day.day.crew.one_ashore
    assert day.outcome == "arrived"


def test_alone_with_pump_injector_and_glass_all_out_of_order() -> None:
    """Three at once, single-handed: the glass lies, so nobody looks for water until the cocks are tried."""
    troubles = (STOPPED, fault("injector will not start"), fault("glass cock shut"))
    blind = lived(*troubles, orders('try_glass_every = "24 h"'), day=ONE)
    assert blind.told(events.BOTTOM_NUT) and blind.outcome == "crown bare"
    tried = lived(*troubles, orders('try_glass_every = "10 min"'), day=ONE)
    assert tried.order("false glass found", "injector would not start", "hand pump on hot well on")
    assert tried.outcome in ("arrived", "low-water drill")


def test_stop_the_engine_is_what_holds_the_water_with_nothing_to_feed() -> None:
    """Own orders: at two fifths of the glass the engine is stopped and the damper shut.

    What the bed still makes blows off, some 5 kg of the 12 above the nut; then the water stays for hours.
    """
    nothing = orders("low_glass = []")
    stopping = own("lie to", 'glass_below = "40 %"', "stop the engine", until='glass_above = "1/2"')
    shutting = own("shut in", 'glass_below = "40 %"', "set damper", until='glass_above = "1/2"', to="0 %")
    stopped, steaming = lived(STOPPED, nothing, stopping, shutting), lived(STOPPED, nothing)
    assert steaming.outcome == "low-water drill"
    asked = stopped.at("order obeyed")
    assert stopped.between("steam_flow_boiler_engine", asked + 60.0, asked + 1800.0).max() == 0.0
    assert steaming.at(events.BOTTOM_NUT) < asked + 1200.0
    for minutes in (30, 60, 100):
        assert stopped.reading("glass_fraction", asked + 60.0 * minutes) > 0.07


def test_when_the_pressure_or_the_glass_falls() -> None:
    """Faults may come by a condition: the first time pressure, once up, falls below; or the glass."""
    low = lived(fault("wind gets up", '{ pressure_below = "70 psi" }', by="3 m/s"))
    assert low.reading("boiler_pressure", low.fault_at) == pytest.approx(70.0 * 6894.757, abs=50.0)
    thin = lived(fault("injector will not start", '{ glass_below = "40 %" }'), STOPPED)
    (_, second) = thin.told(events.FAULT)
    assert thin.reading("glass_fraction", second.time) == pytest.approx(0.40, abs=0.002)
    assert thin.told("injector would not start")


def test_a_repair_that_makes_no_sense_cannot_be_asked_for() -> None:
    """Oil does not leave the boiler again by itself, nor is a wait put right: the key is refused, not
    ignored.
    """
    for entry in (
        fault("oily feed", oil="10 g", repaired_after="10 min"),
        fault("long wait at the lock", '{ leaving = "Stage" }', wait="5 min", repaired_after="10 min"),
    ):
        with pytest.raises(AssertionError, match="repaired_after"):
            written(entry)
