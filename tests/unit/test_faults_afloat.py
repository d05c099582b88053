"""Faults of feed and hot well on a day afloat: what the readings show of each, and how the crew deal with
it.
"""

from __future__ import annotations

import numpy as np
import pytest
from trouble import Lived, fault, lived, orders

from halfglass.result import events

QUIET = orders("low_glass = []\nclean_grate = false")
"""Orders that leave the glass be: the fingerprint is that of the fault alone."""


def delivered(day: Lived, start: float, end: float) -> float:
    """What the engine pump delivers for a turn of the engine, to the boiler and back by the bypass [kg]."""
    water = day.mean("feed_flow_engine_pump", start, end) + day.mean("bypass_flow", start, end)
    return water / day.mean("shaft_speed", start, end)


def arrives_unhurt(day: Lived) -> bool:
    """Whether the day ended as planned and the glass never emptied."""
    return day.outcome == "arrived" and not day.told(events.BOTTOM_NUT)


def test_engine_pump_stops() -> None:
    """Nothing for a turn of the engine; without feed the glass lasts what stood above the nut over the
    steaming.
    """
    alone = lived(fault("engine pump stops delivering"), QUIET)
    at = alone.fault_at
    assert delivered(lived(QUIET), at + 60.0, at + 600.0) > 0.008
    assert alone.between("feed_flow_engine_pump", at + 1.0, at + 3000.0).max() == 0.0
    lost = alone.reading("boiler_water_mass", at) - alone.reading("boiler_water_mass", at + 1200.0)
    assert lost == pytest.approx(1200.0 * alone.mean("steam_flow_boiler_engine", at, at + 1200.0), rel=0.08)
    assert alone.outcome == "low-water drill"


def test_engine_pump_stops_and_the_injector_takes_over() -> None:
    dealt = lived(fault("engine pump stops delivering"))
    assert dealt.order(events.FAULT, "engine pump on", "injector on")
    assert arrives_unhurt(dealt)


def test_engine_pump_stops_and_is_put_right() -> None:
    """At a time of day, and mended after twenty minutes: it delivers as before."""
    mended = lived(fault("engine pump stops delivering", "{ clock = 09:20:00 }", repaired_after="20 min"))
    at = mended.fault_at
    assert at == pytest.approx(80.0 * 60.0)
    assert mended.at(events.FAULT_REPAIRED) == pytest.approx(at + 1200.0)
    ratio = delivered(mended, at + 1210.0, at + 1500.0) / delivered(mended, at - 300.0, at - 10.0)
    assert ratio == pytest.approx(1.0, abs=0.02)
    assert arrives_unhurt(mended)


def test_packing_going() -> None:
    """Gone in 30 min: three quarters are left after 7.5, half after 15, a quarter after 22.5, none after
    30.
    """
    going = lived(fault("engine pump packing going", gone_after="30 min"), QUIET)
    at = going.fault_at
    whole = delivered(going, at - 300.0, at - 5.0)
    for minutes, left in ((7.5, 0.75), (15.0, 0.5), (22.5, 0.25), (31.0, 0.0)):
        middle = at + 60.0 * minutes
        assert delivered(going, middle - 30.0, middle + 30.0) / whole == pytest.approx(left, abs=0.02)


def test_packing_going_is_repacked_at_the_lock() -> None:
    """Repacked in a minute or two, half an hour later."""
    repacked = lived(fault("engine pump packing going", gone_after="30 min", repaired_after="40 min"))
    assert arrives_unhurt(repacked) and repacked.told("injector on")
    at, home = repacked.fault_at, repacked.at("through the lock") + 300.0
    whole = delivered(repacked, at - 300.0, at - 5.0)
    assert delivered(repacked, home, home + 200.0) / whole == pytest.approx(1.0, abs=0.03)


def test_check_valve_leaks() -> None:
    """0.62 A sqrt(2 dp rho) through 0.3 mm2 at 5.5 bar is about 21 kg/h of boiling water into the hot well.

    It warms 15 to 25 kg there by the 4.2 kJ/kg K of water against 115 K: 30 to 60 K in half an hour, less
    what the condensate of 40 kg/h cools, and it costs the boiler as much water: the bypass is shut further.
    """
    leaking, sound = lived(fault("check valve leaks", area="0.3 mm2"), QUIET), lived(QUIET)
    at = leaking.fault_at
    pair = [day.reading("hotwell_temperature", at + 1800.0) for day in (leaking, sound)]
    assert 8.0 < pair[0] - pair[1] < 60.0
    feeds = [day.mean("feed_flow_engine_pump", at + 300.0, at + 1800.0) for day in (leaking, sound)]
    assert 8.0 / 3600.0 < feeds[0] - feeds[1] < 25.0 / 3600.0


def test_a_bad_leak_at_the_check_valve_is_fed_against() -> None:
    """1 mm2 passes some 70 kg/h, more than the engine draws, and boils the hot well until the pump loses it.

    That is past holding even with the injector's 90 kg/h; in the twenty minutes until it is mended the
    injector buys what is wanted.
    """
    unmended = lived(fault("check valve leaks"))
    assert unmended.told("injector on") and unmended.outcome == "low-water drill"
    at = unmended.fault_at
    lost = unmended.reading("boiler_water_mass", at + 720.0) - unmended.reading(
        "boiler_water_mass", at + 1020.0
    )
    steam = unmended.mean("steam_flow_boiler_engine", at + 720.0, at + 1020.0)
    fed = unmended.mean("feed_flow_engine_pump", at + 720.0, at + 1020.0)
    assert 60.0 < (lost / 300.0 - steam + fed) * 3600.0 < 80.0
    dealt = lived(fault("check valve leaks", repaired_after="20 min"))
    assert dealt.told("injector on") and arrives_unhurt(dealt)


def test_injector_will_not_start() -> None:
    """Together with a stopped pump: tried, given up at once, and the hand pump manned in its place."""
    both = lived(fault("engine pump stops delivering"), fault("injector will not start"))
    (refused, *_) = both.told("injector would not start")
    manned = both.at("hand pump on hot well on")
    assert 0.0 <= manned - refused.time < 5.0
    assert "injector on" not in {entry.event for entry in both.day.entries}
    assert both.between("feed_flow_injector", both.fault_at, both.time[-1]).max() == 0.0
    assert arrives_unhurt(both)


def test_injector_mended_is_used_again() -> None:
    """At the lock, near the safety valves, the crew feed with it once it is sound."""
    mended = lived(fault("injector will not start", '{ arriving = "Lock" }', repaired_after="15 min"))
    refused, started = mended.at("injector would not start"), mended.at("injector on")
    assert refused < mended.at(events.FAULT_REPAIRED) < started
    assert len(mended.told("injector would not start")) <= 4  # not at every look: it is left to cool


def test_hand_pump_leathers_worn() -> None:
    """Half of a stroke's 60 mL slips back; the pace is the arm's as before."""
    by_hand = orders('low_glass = ["hand pump on lake"]')
    stopped = fault("engine pump stops delivering")
    worn, sound = (lived(stopped, by_hand, *more) for more in ((fault("hand pump leathers worn"),), ()))
    per_stroke = []
    for day in (worn, sound):
        pumping = day.readings["hand_pump_stroke_rate"] > 0.1
        water, strokes = day.readings["feed_flow_hand_pump_lake"], day.readings["hand_pump_stroke_rate"]
        per_stroke.append(float(np.median(water[pumping] / strokes[pumping])))
    assert per_stroke[0] / per_stroke[1] == pytest.approx(0.5, abs=0.01)
    lowest = [day.between("glass_fraction", day.fault_at, day.time[-1]).min() for day in (worn, sound)]
    assert lowest[0] < 0.18 < lowest[1]
    assert worn.told(events.NO_WORKING_FEED) and not sound.told(events.NO_WORKING_FEED)


def test_a_worn_hand_pump_is_eked_out_by_easing_the_engine() -> None:
    """Half the water does for a third of the throttle, which takes well under half the steam."""
    eased = orders('low_glass = ["hand pump on lake"]\nthrottle_when_low = "8 %"\nact_below = "45 %"')
    dealt = lived(fault("engine pump stops delivering"), fault("hand pump leathers worn"), eased)
    assert dealt.told("throttle eased") and arrives_unhurt(dealt)
    assert dealt.between("glass_fraction", dealt.fault_at, dealt.time[-1]).min() > 0.25


def test_condenser_fouls() -> None:
    """A tenth of the duty left: less is condensed, and what is not leaves up the funnel."""
    fouled, clean = lived(fault("condenser fouls", share_lost="90 %"), QUIET), lived(QUIET)
    at = fouled.fault_at
    names = ("condensate_flow", "exhaust_lost_flow", "hotwell_mass")
    wet, lost, well = ([day.mean(name, at + 900.0, at + 1500.0) for day in (fouled, clean)] for name in names)
    assert 0.2 < wet[0] / wet[1] < 0.8
    assert lost[0] - lost[1] == pytest.approx(wet[1] - wet[0], rel=0.25)
    assert well[0] < well[1] - 1.0


def test_a_fouled_condenser_is_made_up_for_by_baling() -> None:
    dealt, clean = lived(fault("condenser fouls", share_lost="90 %")), lived()
    assert len(dealt.told("hot well made up")) > len(clean.told("hot well made up"))
    assert arrives_unhurt(dealt)


def test_condenser_leaks() -> None:
    """Half the condensate goes overboard: the hot well gains so much less."""
    leaking, tight = lived(fault("condenser leaks"), QUIET), lived(QUIET)
    at, end = leaking.fault_at, leaking.fault_at + 900.0
    lost = 0.5 * leaking.mean("condensate_flow", at, end) * 900.0
    gains = [day.reading("hotwell_mass", end) - day.reading("hotwell_mass", at) for day in (leaking, tight)]
    drawn = [day.mean("feed_flow_engine_pump", at, end) * 900.0 for day in (leaking, tight)]
    assert gains[1] + drawn[1] - gains[0] - drawn[0] == pytest.approx(lost, rel=0.15)


def test_a_leaking_condenser_is_put_right() -> None:
    dealt = lived(fault("condenser leaks", share_lost="80 %", repaired_after="45 min"))
    assert dealt.told("hot well made up")[-1].time < dealt.at(events.FAULT_REPAIRED) + 600.0
    assert arrives_unhurt(dealt)


def test_hot_well_water_lost() -> None:
    """60 L/h out of the hot well is 10 kg in ten minutes, baled in again in sixes as it gets low."""
    losing, tight = lived(fault("hot well water lost", rate="60 L/h")), lived()
    at = losing.fault_at
    fallen = [
        day.reading("hotwell_mass", at + 300.0) - day.reading("hotwell_mass", at) for day in (losing, tight)
    ]
    assert fallen[1] - fallen[0] == pytest.approx(5.0, abs=0.5)
    assert len(losing.told("hot well made up")) >= 4
    assert np.mean(losing.between("hotwell_mass", at, losing.time[-1])) > 4.0
    assert arrives_unhurt(losing)


def test_hot_well_lost_faster_than_it_can_be_baled() -> None:
    """Dry well, dry pump: the crew see the glass fall and take the injector, which draws from the lake."""
    losing = lived(fault("hot well water lost", rate="600 L/h"))
    assert losing.between("hotwell_mass", losing.fault_at + 600.0, losing.fault_at + 2400.0).min() < 1.0
    assert losing.order(events.FAULT, "injector on")
    assert arrives_unhurt(losing)


def test_hot_well_overheated() -> None:
    """3 mm2 of live steam at 6.5 bar absolute, 9.6e-4 kg/(s mm2) by Napier, brings about 2.7 MJ a kg.

    That is 7 kW less what cools and overflows: 20 kg warm by some 60 K in a quarter of an hour.
    """
    heated, cool = lived(fault("hot well overheated"), QUIET), lived(QUIET)
    at = heated.fault_at
    rise = [
        day.reading("hotwell_temperature", at + 900.0) - day.reading("hotwell_temperature", at)
        for day in (heated, cool)
    ]
    assert 10.0 < rise[0] - rise[1] < 75.0


def test_an_engine_pump_that_lost_its_suction_is_left_for_the_injector() -> None:
    """Once the well is too hot the bypass is shut in vain; the injector draws the lake."""
    heated = lived(fault("hot well overheated", area="8 mm2", repaired_after="50 min"))
    at = heated.fault_at
    assert heated.between("hotwell_temperature", at, at + 3000.0).max() > 273.15 + 85.0
    assert heated.between("feed_flow_engine_pump", at + 1200.0, at + 2000.0).min() < 1e-3
    assert heated.order(events.FAULT, "injector on") and arrives_unhurt(heated)


def test_a_well_that_loses_its_bottom_is_dry_and_no_less() -> None:
    """The largest leak there can be, 6000 L/h, would be through what is left in a fraction of a step."""
    day = lived(fault("hot well water lost", rate="6000 L/h"), QUIET)
    after = day.between("hotwell_mass", day.fault_at + 60.0, day.fault_at + 1800.0)
    assert 0.0 <= after.min() < 0.1
    assert day.between("hotwell_mass", 0.0, day.time[-1]).min() >= 0.0
    assert day.between("hotwell_temperature", day.fault_at, day.fault_at + 1800.0).min() > 273.0
