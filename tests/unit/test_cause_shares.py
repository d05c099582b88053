"""The shares behind every told cause, from balances worked by hand over made-up stretches."""

from __future__ import annotations

import math

import numpy as np
import pytest
import synthetic
from test_causes import WAY, day, step

from halfglass.result import causes_boiler as boiler
from halfglass.result import causes_stores as stores
from halfglass.result import events
from halfglass.result.records import LogEntry, TaskSpell
from halfglass.result.stretch import Cause, Stretch, before

AT, END = 3000.0, 4000.0


def stretch(log: list[LogEntry] | None = None, **curves: list[tuple[float, float]]) -> Stretch:
    """A thousand seconds in which what steps at 3000 s stays so."""
    return Stretch(day(**curves), WAY if log is None else log, synthetic.MARKS, AT, END)


def steps(before_: float, after: float) -> list[tuple[float, float]]:
    """A reading that jumps where the stretch begins."""
    return step(AT, before_, after)


def fault(time: float, subject: str, text: str) -> LogEntry:
    return LogEntry(time, events.DAY, subject, events.FAULT, text)  # type: ignore[arg-type]


def shares(found: list[Cause]) -> dict[str, float]:
    return {cause.text: cause.share for cause in found}


def share_of(found: list[Cause], words: str) -> float:
    (share,) = (cause.share for cause in found if words in cause.text)
    return share


def test_amounts_and_means_of_a_stretch() -> None:
    s = stretch(
        service_flow=steps(0.002, 0.01),
        check_leak_flow=[(3200.0, 0.0), (3201.0, 0.001), (3700.0, 0.001), (3701.0, 0.0)],
    )
    assert (s.seconds, s.span) == (1000.0, "17 min")
    assert s.amount("service_flow") == pytest.approx(10.0, rel=1e-3)
    assert (s.mean("service_flow"), s.usual("service_flow")) == pytest.approx((0.01, 0.002), rel=1e-2)
    assert s.longest_on("check_leak_flow") == pytest.approx(500.0, abs=5.0)
    assert s.at("service_flow", 2000.0) == pytest.approx(0.002)
    assert not s.reading("no such reading").any()
    short = Stretch(day(service_flow=[(0.0, 0.0), (7200.0, 7.2)]), WAY, synthetic.MARKS, 3000.0, 3005.0)
    assert short.mean("service_flow") == pytest.approx(3.0025)  # of no more than two rows, too
    early = Stretch(day(service_flow=[(0.0, 0.0), (600.0, 0.006)]), WAY, synthetic.MARKS, 600.0, 700.0)
    assert early.usual("service_flow") == pytest.approx(0.003, rel=1e-3)  # from lighting up, not before it
    ran = Stretch(day(service_flow=[(0.0, 0.0), (7200.0, 7.2)]), WAY, synthetic.MARKS, 3000.0, 3600.0)
    assert ran.usual("service_flow") == pytest.approx(2.4)  # the 1200 s before
    peak = stretch(
        carry_over_fraction=[(4000.0, 0.0), (4030.0, 0.2), (4045.0, 0.1), (4062.0, 0.1), (4070.0, 0.5)]
    )
    assert peak.worst_after("carry_over_fraction") == 4030.0
    assert Stretch(day(), WAY, synthetic.MARKS, 9000.0, 9000.0).worst_after("service_flow") == 9000.0


def test_a_stretch_begins_at_the_last_turn() -> None:
    """Within a twentieth of its way a reading still counts as at its turn."""
    falls = day(glass_level=[(0.0, 0.1), (2000.0, 0.1), (3000.0, 0.0)])
    found = before(falls, WAY, synthetic.MARKS, "glass_level", 3000.0, True, 3600.0)
    assert (found.start, found.end) == (pytest.approx(2050.0, abs=5.0), 3000.0)
    near = before(falls, WAY, synthetic.MARKS, "glass_level", 3000.0, True, 500.0)
    assert near.start == pytest.approx(2525.0, abs=5.0)
    rises = day(boiler_pressure=[(0.0, 5e5), (2000.0, 5e5), (3000.0, 6e5)])
    assert before(
        rises, WAY, synthetic.MARKS, "boiler_pressure", 3000.0, False, 1800.0
    ).start == pytest.approx(2050.0, abs=5.0)


def test_faults_count_while_they_last() -> None:
    mended = LogEntry(2500.0, events.DAY, "feed", events.FAULT_REPAIRED, "Put right: the pump stops.")
    log = [*WAY, fault(2000.0, "feed", "The pump stops."), fault(4010.0, "feed", "The valve leaks.")]
    assert [f.time for f in stretch(log).faults("feed")] == [2000.0]
    assert [f.time for f in stretch(log).faults("feed", slack=15.0)] == [2000.0, 4010.0]
    assert stretch(log).faults("fire") == []
    assert stretch([*log, mended]).faults("feed") == []
    struck = stretch([*WAY, fault(3400.0, "feed", "The pump stops.")])
    assert (struck.since_fault("feed").start, struck.since_fault("fire").start) == (3400.0, AT)
    late = stretch([*WAY, fault(3990.0, "feed", "The pump stops.")])
    assert late.since_fault("feed").start == AT  # ten seconds say nothing
    assert stretch(log).told(log[1]) == "the pump stops (08:48)"
    assert stretch(log).behind([]) == ""


def test_pressure_falling_in_shares_of_the_heat() -> None:
    """2.1 MJ a kilogram of steam: 10 g/s more is 21 kW; the fire's 9 kW less; feed as it was."""
    found = boiler.pressure_low(
        stretch(steam_flow_boiler_engine=steps(0.01, 0.02), heat_to_boiler_rate=steps(26e3, 17e3))
    )
    assert share_of(found, "the engine drew") == pytest.approx(21.0 / 30.0, abs=0.01)
    assert share_of(found, "the fire gave") == pytest.approx(9.0 / 30.0, abs=0.01)
    lake = boiler.pressure_low(
        stretch(feed_flow_hand_pump_lake=steps(0.0, 0.02), safety_valve_flow=steps(0.0, 0.003))
    )
    cold, blown = 0.02 * 4.2e3 * (438.0 - 288.0), 0.003 * 2.1e6
    taken = 0.01 * (2.1e6 + 4.2e3 * 108.0) + cold + blown - 26e3
    whole = max(taken, cold + blown)
    assert share_of(lake, "cold lake water went in by hand pump") == pytest.approx(cold / whole, rel=0.02)
    assert share_of(lake, "the safety valves blew off") == pytest.approx(blown / whole, rel=0.02)
    steady = boiler.pressure_low(stretch(heat_to_boiler_rate=[(0.0, 20e3)]))
    assert [cause.share for cause in steady] == pytest.approx([1.0])
    assert "the fire gave 20 kW and steam and feed took 26 kW all along" in steady[0].text
    assert boiler.pressure_low(stretch(heat_to_boiler_rate=[(0.0, 25.5e3)])) == []


def test_pressure_rising_in_shares_of_the_heat() -> None:
    found = boiler.pressure_high(
        stretch(
            steam_flow_boiler_engine=steps(0.01, 0.004),
            heat_to_boiler_rate=steps(26e3, 35e3),
            feed_flow_engine_pump=steps(0.01, 0.005),
        )  # fmt: skip
    )
    steam, fire, feed = 0.006 * 2.1e6, 9e3, 0.005 * 4.2e3 * 108.0
    whole = 35e3 - 0.004 * 2.1e6 - 0.005 * 4.2e3 * 108.0
    whole = max(whole, steam + fire + feed)
    assert share_of(found, "less steam than before") == pytest.approx(steam / whole, rel=0.02)
    assert share_of(found, "more than before, the damper 60 % open") == pytest.approx(fire / whole, rel=0.02)
    assert share_of(found, "less feed came by the engine pump") == pytest.approx(feed / whole, rel=0.02)
    assert any(cause.text.startswith("18 kg/h less feed came") for cause in found)
    steady = boiler.pressure_high(stretch(heat_to_boiler_rate=[(0.0, 40e3)]))
    assert [cause.share for cause in steady] == pytest.approx([1.0])
    assert "the fire gave 40 kW with the damper 60 % open while steam and feed took" in steady[0].text
    idle = boiler.pressure_high(
        stretch(
            steam_flow_boiler_engine=[(0.0, 0.0)],
            feed_flow_engine_pump=[(0.0, 0.0)],
            burner_rate=[(0.0, 0.4)],
        )
    )
    assert idle[0].text == "the fire gave 26 kW with the burner at 40 % while no steam was drawn"


def test_an_injector_on_the_hot_well_chills_less() -> None:
    """4.2 kJ/(kg K) by 150 K for lake water, 120 K for the hot well's; pumped feed comes warmed."""
    on_lake = stretch(feed_flow_injector=[(0.0, 0.02)])
    on_well = stretch(feed_flow_injector=[(0.0, 0.02)], drawn_hotwell_flow=[(0.0, 0.03)])
    chills = [boiler._chill(s, "feed_flow_injector") for s in (on_lake, on_well)]
    assert chills == pytest.approx([4.2e3 * 150.0, 4.2e3 * 120.0])
    assert boiler._chill(on_well, "feed_flow_hand_pump_lake") == pytest.approx(4.2e3 * 150.0)
    assert boiler._chill(on_well, "feed_flow_hand_pump_hotwell") == pytest.approx(4.2e3 * 108.0)
    hot = stretch(feed_temperature=[(0.0, 450.0)])
    assert boiler._chill(hot, "feed_flow_engine_pump") == 0.0


@pytest.mark.parametrize(
    ("bed", "words"),
    [(4.0, ""), (2.9, ", while the bed was thin (2.9 kg)"), (0.0, ", with no fire on the grate")],
)
def test_a_thin_bed_is_under_six_tenths_of_the_usual(bed: float, words: str) -> None:
    assert boiler.thin_bed(stretch(bed_fuel_mass=step(AT, 5.0, bed, 4010.0))) == words


def test_a_weak_fire_by_its_damper_or_burner() -> None:
    assert boiler._weak_fire(stretch(damper=steps(0.6, 0.45))) == ""
    assert "the damper 40 % open on the mean (60 % before)" in boiler._weak_fire(
        stretch(damper=steps(0.6, 0.4))
    )
    assert boiler._weak_fire(stretch(burner_rate=steps(0.8, 0.5))) == ", the burner at 50 %"
    assert boiler._weak_fire(stretch(burner_rate=steps(0.8, 0.6))) == ""


def falling(drop: float = 0.05, **curves: list[tuple[float, float]]) -> Stretch:
    return stretch(glass_level=[(0.0, 0.1), (AT, 0.1), (END, 0.1 - drop)], **curves)


def test_water_falling_in_shares_of_what_went() -> None:
    """What the engine took and feed did not bring, blow-down and leak; bubbles by their part of the drop."""
    s = falling(
        feed_flow_engine_pump=steps(0.01, 0.006), blow_down_flow=steps(0.0, 0.003),
        check_leak_flow=steps(0.0, 0.001), swell=[(0.0, 0.02), (AT, 0.02), (END, 0.01)],
    )  # fmt: skip
    found = boiler.water_low(s)
    assert share_of(found, "the water shrank by 10 mm") == pytest.approx(0.2)
    assert share_of(found, "the engine took 10 kg of steam and feed brought 6.0 kg") == pytest.approx(
        0.4, abs=0.01
    )
    assert share_of(found, "3.0 kg was blown down in 17 min") == pytest.approx(0.3, abs=0.01)
    assert share_of(found, "1.0 kg leaked back past the check valve") == pytest.approx(0.1, abs=0.01)
    ample = boiler.water_low(
        falling(feed_flow_engine_pump=steps(0.01, 0.02), blow_down_flow=steps(0.0, 0.003))
    )
    assert share_of(ample, "blown down") == 0.0  # feed made up for more than went


@pytest.mark.parametrize(
    ("curves", "words"),
    [
        ({"feed_flow_engine_pump": [(0.0, 0.0)]}, ", the engine pump giving next to nothing"),
        ({"feed_flow_engine_pump": [(0.0, 0.0009)]}, ", the engine pump giving next to nothing"),
        ({"feed_flow_engine_pump": [(0.0, 0.0011)]}, ""),
        (
            {"feed_flow_engine_pump": [(0.0, 0.0)], "bypass": [(0.0, 0.6)]},
            ", with the engine pump's bypass open",
        ),
        ({"hotwell_mass": [(0.0, 0.7)]}, ", with the hot well empty"),
        ({"hotwell_mass": [(0.0, 0.9)]}, ""),
        ({"hotwell_temperature": [(0.0, 351.0)]}, ", with the hot well too hot to pump"),
        ({"hotwell_temperature": [(0.0, 349.0)]}, ""),
    ],
)
def test_what_held_the_feed_back(curves: dict[str, list[tuple[float, float]]], words: str) -> None:
    assert boiler._why_no_feed(stretch(**curves), 10.0) == words


def test_water_rising_in_shares() -> None:
    """ln of the masses for what was fed; 4.6e-6 times the squares above 4 °C for warmth; bubbles."""
    s = stretch(
        glass_level=[(0.0, 0.05), (AT, 0.05), (END, 0.15)], swell=[(0.0, 0.0), (AT, 0.0), (END, 0.04)],
        boiler_temperature=[(0.0, 377.0), (AT, 377.0), (END, 427.0)],
        boiler_water_mass=[(0.0, 60.0), (AT, 60.0), (END, 66.0)],
        feed_flow_hand_pump_hotwell=steps(0.0, 0.006),
    )  # fmt: skip
    fed, warmed = math.log(1.1), 4.6e-6 * (150.0**2 - 100.0**2)
    found = boiler.water_high(s)
    assert share_of(found, "bubbles swelled the water by 40 mm") == pytest.approx(0.4)
    assert share_of(found, "it grew in warming") == pytest.approx(0.6 * warmed / (fed + warmed), rel=1e-6)
    assert share_of(found, "feed brought 6.0 kg more") == pytest.approx(0.6 * fed / (fed + warmed), rel=1e-6)
    assert "most by the engine pump" in " ".join(cause.text for cause in found)
    cooling = boiler.water_high(stretch(boiler_temperature=[(0.0, 427.0), (AT, 427.0), (END, 377.0)]))
    assert share_of(cooling, "it grew in warming") == 0.0


def test_priming_in_shares_of_the_carry_over_rule() -> None:
    """25 % a 50 mm above the nut; 2 % at 12 s; foam by 200 ppm of oil, 1500 ppm of solids over 3500."""
    found = boiler.priming(
        stretch(
            water_level=[(0.0, 0.17)],
            steam_room=[(0.0, 12.0)],
            boiler_oil=[(0.0, 100.0)],
            boiler_solids=[(0.0, 4250.0)],
        )
    )
    parts = [0.1, 0.02, 0.124 * 0.5, 0.124 * 0.5]
    assert [cause.share for cause in found] == pytest.approx([part / sum(parts) for part in parts])
    assert boiler.priming(stretch()) == []


def test_water_in_the_cylinders_in_shares() -> None:
    s = stretch(cylinder_water=[(0.0, 0.0), (AT, 0.0), (END, 2.0)], carry_over_fraction=[(0.0, 0.05)])
    assert [cause.share for cause in boiler.engine_water(s)] == pytest.approx([0.25, 0.75])


def test_hot_well_in_shares() -> None:
    low = stretch(
        hotwell_mass=[(0.0, 20.0), (AT, 20.0), (END, 10.0)], drawn_hotwell_flow=[(0.0, 0.01)],
        condensate_flow=[(0.0, 0.004)], exhaust_lost_flow=[(0.0, 0.002)],
    )  # fmt: skip
    found = stores.hotwell_low(low)
    assert [cause.share for cause in found] == pytest.approx([0.6, 0.4])
    assert "(2.0 kg of the exhaust was lost)" in found[0].text
    full = stretch(
        hotwell_mass=[(0.0, 10.0), (AT, 10.0), (END, 30.0)], drawn_hotwell_flow=[(0.0, 0.002)],
        condensate_flow=[(0.0, 0.012)], check_leak_flow=[(0.0, 0.004)], bypass=[(0.0, 0.6)],
    )  # fmt: skip
    found = stores.hotwell_full(full)
    assert [cause.share for cause in found] == pytest.approx([0.5, 0.2, 0.3])
    assert found[0].text.endswith(", with the bypass open")
    hot = stretch(
        steam_to_hotwell_flow=[(0.0, 0.001)], check_leak_flow=[(0.0, 0.002)], condensate_flow=[(0.0, 0.01)],
        condenser_temperature=[(0.0, 338.0)], hotwell_mass=[(0.0, 10.0)],
    )  # fmt: skip
    heats = [2.1e6 * 1.0, 4.2e3 * 2.0 * 120.0, 4.2e3 * 10.0 * 20.0]
    found = stores.hotwell_hot(hot)
    assert [cause.share for cause in found] == pytest.approx([*(heat / sum(heats) for heat in heats), 0.2])
    assert found[-1].text == "it held only 10 kg"


def test_fuel_cloth_oil_and_solids_in_shares() -> None:
    """Half an hour of raising steam, then under way but for the last quarter of an hour of it."""
    log = [LogEntry(1800.0, events.DAY, "route", events.UNDER_WAY, "")]
    speed = [(0.0, 0.0), (1800.0, 0.0), (1801.0, 2.5), (3100.0, 2.5), (3101.0, 0.0)]
    used = stretch(log, fuel_on_board=[(0.0, 50.0), (4000.0, 42.0)], boat_speed=speed)
    found = stores.fuel(used)
    assert [cause.share for cause in found] == pytest.approx([0.45, 0.325, 0.225], abs=0.002)
    assert [text.partition(" was used ")[2].split(" (")[0] for text in shares(found)] == [
        "raising steam", "under way", "lying still",
    ]  # fmt: skip
    assert stores.fuel(stretch(fuel_on_board=[(0.0, 50.0)])) == []
    turns = [
        (0.0, 0.0),
        (1000.0, 0.0),
        (1000.1, -3.0),
        (1600.0, -3.0),
        (1600.1, 0.0),
        (2200.0, 0.0),
        (2200.1, 4.0),
    ]
    full = stores.cloth(stretch(separator_load_fraction=[(0.0, 0.4), (END, 1.0)], shaft_speed=turns))
    assert [cause.share for cause in full] == pytest.approx([0.4, 0.6])
    # ten minutes astern, and half an hour until now, the engine running on
    assert full[1].text == "the engine ran 40 min on it"
    salt = stores.solids(
        stretch(
            boiler_solids=[(0.0, 900.0), (END, 3600.0)],
            feed_flow_injector=[(0.0, 0.01)],
            feed_flow_hand_pump_lake=[(0.0, 0.02)],
        )  # fmt: skip
    )
    assert share_of(salt, "it began the day at 900 ppm") == pytest.approx(0.25)
    assert share_of(salt, "by hand pump from the lake") == pytest.approx(0.375)
    assert share_of(salt, "by the injector") == pytest.approx(0.1875)
    assert share_of(salt, "by the pumps on the hot well") == pytest.approx(0.1875)
    assert stores.boiler_oil(stretch(separator_load_fraction=[(0.0, 0.8)])) == []


def test_going_astern_in_shares() -> None:
    s = stretch(boiler_pressure=[(0.0, 2.6e5)], boat_speed=[(0.0, 4.0), (AT, 1.0)])
    assert [cause.share for cause in stores.reversing(s)] == pytest.approx([0.6, 0.25])


def test_tasks_one_after_the_other_in_shares() -> None:
    """From what was done when it fell due, back to back; a gap of more than a second ends the chain."""
    spells = [
        TaskSpell("firing", 2000.0, 2400.0), TaskSpell("lines", 2500.0, 2800.0),
        TaskSpell("pump", 2800.5, 3600.0),
        TaskSpell("looking", 2400.0, 2500.0),
    ]  # fmt: skip
    found = stores.crew(stretch(), spells)
    assert {c.text.split(" took")[0]: c.share for c in found} == pytest.approx(
        {"pump": 799.5 / 1099.5, "lines": 300.0 / 1099.5}
    )
    assert np.isclose(sum(c.share for c in found), 1.0)


def test_small_amounts_are_shared_out_too() -> None:
    """Half a kilogram blown down with feed and steam in step: all of what went."""
    found = boiler.water_low(falling(blow_down_flow=steps(0.0, 0.0005)))
    assert share_of(found, "0.50 kg was blown down") == pytest.approx(1.0, abs=0.02)
    still = stores.hotwell_full(stretch(drawn_hotwell_flow=[(0.0, 0.01)], condensate_flow=[(0.0, 0.012)]))
    assert min(cause.share for cause in still) >= 0.0


def test_a_heel_counts_from_the_stretch_on_and_oil_let_in_is_the_whole_cause() -> None:
    over = fault(3500.0, "water", "The boat lies over.")
    early = fault(2000.0, "water", "The boat lies over.")
    other = fault(3500.0, "water", "The glass is false.")
    assert [cause.share for cause in boiler._heel(stretch([over]))] == [0.3]
    assert boiler._heel(stretch([early, other])) == []
    oil = stores.boiler_oil(stretch([fault(3500.0, "water", "Oil got into the boiler.")]))
    assert oil == [Cause(1.0, "oil got into the boiler (09:13)")]
    assert stores.boiler_oil(stretch(separator_load_fraction=[(0.0, 0.95)]))[0].share == 1.0


def test_an_engine_that_begins_to_draw_and_a_bypass_that_matters_only_while_it_turns() -> None:
    begun = boiler.pressure_low(stretch(steam_flow_boiler_engine=step(AT + 10.0, 0.0, 0.02)))
    assert share_of(begun, "the engine began to draw steam, 71 kg/h") > 0.5
    stands = stretch(
        hotwell_mass=[(0.0, 10.0), (AT, 10.0), (END, 30.0)], condensate_flow=[(0.0, 0.02)],
        bypass=[(0.0, 1.0)], shaft_speed=[(0.0, 0.0)],
    )  # fmt: skip
    assert "bypass" not in stores.hotwell_full(stands)[0].text
