"""Faults of fire, valves and instruments on a day afloat: what the readings show, and how the crew deal
with it.
"""

from __future__ import annotations

import numpy as np
import pytest
from trouble import DAY, ROUTE, fault, lived, orders, own

from halfglass.plant.steam import saturation
from halfglass.result import events

PSI = 6894.757293168
UNTENDED = orders("clean_grate = false")
BURNER_DAY = DAY.replace(
    'fuel = "steam coal"\nfuel_mass = "80 kg"\nhotwell = "15 L"',
    'fuel = "paraffin"\ntank_fuel = "25 L"\nhotwell = "8 L"',
).replace('charge = "0.8 kg"', "")
BURNER_ROUTE = ROUTE.replace('throttle = "26 %"', 'throttle = "50 %"')


def full_flow(pressure: float) -> float:
    """Steam through one of Sedge's valves at full lift [kg/s]: pi 20 mm 1.5 mm of curtain, coefficient
    0.7.
    """
    absolute = pressure + 101325.0
    flux = 0.6356 * np.sqrt(absolute / saturation(absolute)[2])  # ISO 4126 form, k = 1.135
    return float(np.pi * 0.020 * 0.0015 * flux * 0.7)


def test_safety_valve_weeps() -> None:
    """It always passes 5 % of its full flow, at whatever pressure there is, and that is fuel gone."""
    weeping, tight = lived(fault("safety valve weeps", share="5 %")), lived()
    at = weeping.fault_at
    flow = weeping.mean("safety_valve_flow", at + 60.0, at + 600.0)
    pressure = weeping.mean("boiler_pressure", at + 60.0, at + 600.0)
    assert flow == pytest.approx(0.05 * full_flow(pressure), rel=0.05)
    used = [day.readings["fuel_on_board"][0] - day.readings["fuel_on_board"][-1] for day in (weeping, tight)]
    assert used[0] > used[1] + 1.0


def test_a_weeping_valve_is_fed_and_fired_against() -> None:
    dealt = lived(fault("safety valve weeps", share="5 %"))
    assert (
        dealt.outcome == "arrived"
        and dealt.between("glass_fraction", dealt.fault_at, dealt.time[-1]).min() > 0.2
    )


def test_safety_valve_sticks_shut() -> None:
    """The first does not lift at 100 psi; the second does at 102, and its 3 % are not nearly reached."""
    stuck = lived(fault("safety valve sticks shut"))
    later = [entry.text for entry in stuck.told("safety valve lifted") if entry.time > stuck.fault_at]
    assert later and all(text.startswith("Second") for text in later)
    highest = stuck.between("boiler_pressure", stuck.fault_at, stuck.time[-1]).max()
    assert 101.9 * PSI < highest < 105.0 * PSI
    assert stuck.outcome == "arrived"


def test_a_stuck_valve_that_comes_free_above_its_pressure_lifts_at_once() -> None:
    """At Quay, with a fire for steaming and the engine stopped, pressure stands between 100 and 102 psi."""
    shut = lived(fault("safety valve sticks shut", '{ arriving = "Quay" }'))
    above = shut.time[(shut.time > shut.fault_at) & (shut.readings["boiler_pressure"] > 100.5 * PSI)]
    wait = float(above[0] - shut.fault_at) + 0.5
    freed = lived(fault("safety valve sticks shut", '{ arriving = "Quay" }', repaired_after=f"{wait:.0f} s"))
    mended = freed.at(events.FAULT_REPAIRED)
    assert freed.reading("boiler_pressure", mended) >= 100.0 * PSI
    (first, *_) = [entry for entry in freed.told("safety valve lifted") if entry.time >= mended - 1.0]
    assert first.text.startswith("First") and first.time == pytest.approx(mended, abs=0.1)


def test_stuck_valve_and_a_hot_fire_at_a_stop() -> None:
    """Both valves' work falls to one, which passes more than the fire makes: 6 % over the set pressure is
    not reached.
    """
    hot = orders('ease_fire_above = "99 psi"')
    both = lived(
        fault("safety valve sticks shut", '{ arriving = "Lock" }'),
        fault("long wait at the lock", wait="30 min"),
        hot,
    )
    lying = both.between("boiler_pressure", both.at("waiting at the lock"), both.at("in the lock"))
    assert 102.0 * PSI <= lying.max() < 1.06 * 100.0 * PSI
    assert both.outcome == "arrived"


def test_safety_valve_sticks_open() -> None:
    """All of its flow at once, about 0.07 kg/s: the boiler falls from 78 psi to under 40 in a few minutes."""
    stuck = lived(fault("safety valve sticks open", repaired_after="4 min"))
    at = stuck.fault_at
    flow, pressure = (
        stuck.reading("safety_valve_flow", at + 20.0),
        stuck.reading("boiler_pressure", at + 20.0),
    )
    assert flow == pytest.approx(full_flow(pressure), rel=0.06)
    assert stuck.reading("boiler_pressure", at + 239.0) < 0.75 * stuck.reading("boiler_pressure", at - 1.0)


def test_a_valve_freed_in_time_lets_the_pressure_come_back() -> None:
    freed = lived(fault("safety valve sticks open", repaired_after="4 min"))
    mended = freed.at(events.FAULT_REPAIRED)
    assert (
        freed.reading("boiler_pressure", mended + 1500.0)
        > freed.reading("boiler_pressure", mended) + 10.0 * PSI
    )
    assert freed.outcome == "arrived"


def test_a_valve_that_stays_open_ends_the_steaming() -> None:
    """Nothing can be done afloat: what the fire makes goes out of the valve, and the boat loses her way."""
    open_for_good = lived(fault("safety valve sticks open"))
    at = open_for_good.fault_at
    assert open_for_good.reading("boiler_pressure", at + 1800.0) < 25.0 * PSI
    assert open_for_good.reading("boat_speed", at + 1800.0) < 0.75 * open_for_good.reading(
        "boat_speed", at - 5.0
    )


def test_wet_fuel() -> None:
    """At 45 % water a kilogram holds 0.6 of the heat, less the steam's: more is fired for as much steam."""
    wet, dry = lived(fault("wet fuel", moisture="45 %")), lived()
    fired = [
        day.reading("fuel_on_board", wet.fault_at) - day.readings["fuel_on_board"][-1] for day in (wet, dry)
    ]
    heat = [day.mean("heat_to_boiler_rate", wet.fault_at, day.time[-1]) * day.time[-1] for day in (wet, dry)]
    assert 1.15 < (fired[0] / heat[0]) / (fired[1] / heat[1]) < 2.2


def test_wet_fuel_is_burnt_with_more_draught() -> None:
    wet, dry = lived(fault("wet fuel", moisture="45 %")), lived()
    start, end = wet.fault_at + 900.0, dry.at("waiting at the lock")
    assert wet.mean("damper", start, end) > dry.mean("damper", start, end)
    assert wet.outcome == "arrived"


def test_clinkered_grate() -> None:
    """Three quarters of the grate shut: less air through the fire for the draught there is, and less heat."""
    dull, bright = lived(fault("clinkered grate", share="75 %"), UNTENDED), lived(UNTENDED)
    at = dull.fault_at
    passed = [
        day.mean("air_flow", at, at + 120.0) / max(day.mean("damper", at, at + 120.0), 0.01)
        for day in (dull, bright)
    ]
    assert passed[0] < 0.9 * passed[1]
    low = [day.between("boiler_pressure", at + 600.0, at + 2100.0).mean() for day in (dull, bright)]
    assert low[0] < low[1] - 2.0 * PSI


def test_a_clinkered_grate_is_sliced() -> None:
    """Seen at the next look, cleaned with the door open in three minutes or so, give or take a fifth."""
    sliced, left = (
        lived(fault("clinkered grate", share="75 %")),
        lived(fault("clinkered grate", share="75 %"), UNTENDED),
    )
    at = sliced.fault_at
    assert 140.0 < sliced.at("grate cleaned") - at < 600.0
    assert not left.told("grate cleaned")
    late = [day.mean("boiler_pressure", at + 900.0, at + 2100.0) for day in (sliced, left)]
    assert late[0] > late[1] + 2.0 * PSI


def test_ash_is_raked_out_on_a_long_day() -> None:
    """Ash of a day's coal lies 2 cm deep and more under the fire by the afternoon, unless it is raked out."""
    long_day = ROUTE.replace('distance = "8 km"', 'distance = "60 km"')
    raked, left = lived(route=long_day), lived(UNTENDED, route=long_day)
    assert raked.told("grate cleaned") and not left.told("grate cleaned")
    ash = [day.day.clock.plant.state("ash") for day in (raked, left)]
    assert ash[0] < 0.6 * ash[1]


def test_burner_goes_out() -> None:
    """No flame from one moment to the next: pressure falls until the crew have lit it again."""
    out = lived(fault("burner goes out"), day=BURNER_DAY, route=BURNER_ROUTE, boat="dabchick")
    at, relit = out.fault_at, out.at("burner lit again")
    assert out.between("burning_rate", at + 5.0, relit - 60.0).max() == 0.0
    assert out.reading("boiler_pressure", relit - 60.0) < out.reading("boiler_pressure", at) - 5.0 * PSI
    assert 420.0 < relit - at < 420.0 + 30.0 + 300.0  # the vaporiser's seven minutes, and a look before
    assert out.reading("burning_rate", relit + 60.0) > 0.0
    assert out.outcome == "arrived"


def test_a_burner_that_needs_putting_right_is_left_until_it_is() -> None:
    broken = lived(
        fault("burner goes out", repaired_after="25 min"), day=BURNER_DAY, route=BURNER_ROUTE, boat="dabchick"
    )
    assert broken.order(
        events.FAULT, "burner will not light", events.FAULT_REPAIRED, "relighting", "burner lit again"
    )
    assert len(broken.told("burner will not light")) == 1
    at, mended = broken.fault_at, broken.at(events.FAULT_REPAIRED)
    assert broken.between("burning_rate", at + 5.0, mended).max() == 0.0


def test_bottom_cock_of_the_glass_shut() -> None:
    """The glass stands still while the water goes: with the pump stopped too, nobody does anything about
    it.
    """
    blind = orders('try_glass_every = "24 h"')
    both = lived(fault("glass cock shut"), fault("engine pump stops delivering"), blind)
    shown = both.day.instruments.glass
    assert shown == pytest.approx(both.reading("glass_fraction", both.fault_at), abs=0.01)
    assert both.told(events.BOTTOM_NUT)
    assert not [
        entry for entry in both.day.entries if entry.time > both.fault_at and "hand pump" in entry.event
    ]
    assert both.outcome in ("crown bare", "out of time") or both.told(events.CROWN_BARE)


def test_a_false_glass_is_found_by_trying_its_cocks() -> None:
    """Tried every half hour, the glass tells the truth again in time for the injector."""
    both = lived(
        fault("glass cock shut"), fault("engine pump stops delivering"), orders('try_glass_every = "15 min"')
    )
    assert both.order(events.FAULT, "false glass found", "injector on")
    assert both.outcome == "arrived" and not both.told(events.BOTTOM_NUT)


def test_top_cock_of_the_glass_shut() -> None:
    """It fills in ten minutes; the crew see no level, shut the feed, ease her and try the cocks."""
    full = lived(fault("glass cock shut", cock="top"))
    assert full.order(events.FAULT, "false glass found")
    found = full.at("false glass found")
    assert 200.0 < found - full.fault_at < 600.0 + 400.0
    assert full.outcome == "arrived"


def test_gauge_reads_wrong() -> None:
    """Ten psi too high: the fire is kept for 78 on the gauge, so 68 are in the boiler, give or take the
    damper's band.
    """
    high, true, low = (
        lived(*(fault("gauge reads wrong", by=by),) if by else (), UNTENDED)
        for by in ("10 psi", "", "-10 psi")
    )
    start, end = high.fault_at + 900.0, true.at("waiting at the lock") - 60.0
    means = [day.mean("boiler_pressure", start, end) for day in (high, true, low)]
    assert means[1] - means[0] == pytest.approx(10.0 * PSI, abs=5.0 * PSI)
    assert means[2] - means[1] == pytest.approx(10.0 * PSI, abs=6.0 * PSI)


def test_a_gauge_that_is_out_fools_them_about_steam_up() -> None:
    """Fifteen psi too low from the start: 70 on the gauge is 85 in the boiler, and steam is late."""
    early = "{ clock = 08:05:00 }"
    out, true = lived(fault("gauge reads wrong", early, by="-15 psi")), lived()
    up, right = out.at("steam up"), true.at("steam up")
    assert up > right + 60.0
    assert out.reading("boiler_pressure", up) == pytest.approx(85.0 * PSI, abs=0.5 * PSI)
    put_right = lived(fault("gauge reads wrong", early, by="-15 psi", repaired_after="20 min"))
    assert put_right.reading("boiler_pressure", put_right.at("steam up")) == pytest.approx(
        70.0 * PSI, abs=0.5 * PSI
    )


def test_a_gauge_that_is_out_keeps_a_good_injector_from_being_tried() -> None:
    """It shows no more than 30 psi, even with the valves blowing at 100, and the injector wants 35: the
    hand pump is manned instead.
    """
    fooled = lived(fault("gauge reads wrong", by="-70 psi"), fault("engine pump stops delivering"))
    (entry, *_) = fooled.told("injector would not start")
    assert "not tried" in entry.text and fooled.told("hand pump on hot well on")


def test_oily_feed() -> None:
    """60 g in 90 kg of water are 670 mg/kg, which foams: water comes over where a clean boiler's steam is
    dry.
    """
    oily, clean = lived(fault("oily feed", oil="60 g")), lived()
    at = oily.fault_at
    water = oily.reading("boiler_water_mass", at)
    assert oily.reading("boiler_oil", at + 12.0) - oily.reading("boiler_oil", at - 12.0) == pytest.approx(
        0.060 / water * 1e6, rel=0.03
    )
    wet = [day.mean("carry_over_fraction", at + 60.0, at + 900.0) for day in (oily, clean)]
    assert wet[0] > wet[1] + 0.01


def test_oil_is_blown_down() -> None:
    """An own order at the lock: every blow-down takes its share of the oil, and clean feed makes it up."""
    blowing = own(
        "surface", 'engine = "stopped", glass_above = "1/2"', "blow down", until='engine = "turning"'
    )
    dealt, left = (lived(fault("oily feed", oil="60 g"), *more) for more in ((blowing,), ()))
    assert len(dealt.told(events.BLOWN_DOWN)) >= 2
    assert dealt.readings["boiler_oil"][-1] < 0.9 * left.readings["boiler_oil"][-1]
    assert dealt.outcome == "arrived"


def test_boat_heels() -> None:
    """Pochard's glass stands 150 mm to starboard: 4 degrees to starboard show 10.5 mm more, 0.10 of the
    glass.
    """
    day = DAY.replace('"steam coal"', '"anthracite"').replace("[aboard]", '[aboard]\nglass = "1/2"')
    slow = ROUTE.replace('throttle = "26 %"', 'throttle = "18 %"')
    heeled = lived(
        fault("boat heels", to="4 deg", repaired_after="20 min"), day=day, route=slow, boat="pochard"
    )
    at, righted = heeled.fault_at, heeled.at(events.FAULT_REPAIRED)
    for moment, sign in ((at, 1.0), (righted, -1.0)):
        step = heeled.reading("glass_level", moment + 11.0) - heeled.reading("glass_level", moment - 11.0)
        assert step == pytest.approx(sign * 0.150 * np.tan(np.radians(4.0)) * 0.95, abs=0.002)
    assert heeled.outcome == "arrived"
