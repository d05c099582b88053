"""Why a limit was crossed: made-up days whose cause is known, told with their own numbers."""

from __future__ import annotations

import re
from collections.abc import Mapping

import numpy as np
import pytest
import synthetic

from halfglass.result import causes, events, limits
from halfglass.result.causes import because
from halfglass.result.limits import CONDITIONS, LIMITS
from halfglass.result.records import LogEntry, TaskSpell
from halfglass.result.spells import Spell
from halfglass.vocabulary.quantities import QUANTITIES

TIME = np.arange(0.0, 7201.0, 5.0)
STEADY = {  # a launch steaming steadily: 36 kg/h of steam, fed as fast from the hot well
    "boiler_pressure": 6e5,
    "boiler_temperature": 438.0,
    "heat_to_boiler_rate": 26e3,
    "steam_flow_boiler_engine": 0.01,
    "evaporation_rate": 0.01,
    "feed_flow_engine_pump": 0.01,
    "drawn_hotwell_flow": 0.01,
    "condensate_flow": 0.01,
    "feed_temperature": 330.0,
    "boiler_water_mass": 60.0,
    "glass_fraction": 0.5,
    "glass_level": 0.075,
    "water_level": 0.085,
    "swell": 0.01,
    "steam_room": 60.0,
    "bed_fuel_mass": 5.0,
    "burning_rate": 0.002,
    "damper": 0.6,
    "boat_speed": 2.5,
    "shaft_speed": 5.0,
    "fuel_on_board": 50.0,
    "hotwell_mass": 20.0,
    "hotwell_temperature": 318.0,
    "condenser_temperature": 330.0,
    "cylinder_temperature": 400.0,
    "boiler_solids": 300.0,
    "lubricator_oil": 0.2,
    "reversing_margin": 2.0,
}
WAY = [LogEntry(0.0, events.DAY, "route", events.UNDER_WAY, "")]


def day(**curves: list[tuple[float, float]]) -> dict[str, np.ndarray]:
    """Two hours of steady steaming in which the named readings follow corners (time, value) instead."""
    readings = {name: np.zeros_like(TIME) for name in QUANTITIES} | {"time": TIME}
    readings |= {name: np.full_like(TIME, value) for name, value in STEADY.items()}
    for name, corners in curves.items():
        readings[name] = np.interp(TIME, *np.array(corners).T)
    return readings


def step(at: float, before: float, after: float, until: float = 7200.0) -> list[tuple[float, float]]:
    """Corners of a reading that jumps and, later, jumps back."""
    return [(at - 0.1, before), (at, after), (until, after), (until + 0.1, before)]


def why(
    item: str,
    readings: Mapping[str, np.ndarray],
    at: float,
    log: list[LogEntry] | None = None,
    **more: object,
) -> str:
    """The reason of an item whose first spell begins at a time."""
    rule = next(rule for rule in (*LIMITS, *CONDITIONS) if rule.item == item)
    spell = Spell(at, at + 300.0, 0.0, at)
    return because(rule, spell, readings, WAY if log is None else log, synthetic.MARKS, **more)  # type: ignore[arg-type]


FALLING = [(0.0, 6e5), (3000.0, 6e5), (3360.0, 1.4e5)]
RISING = [(0.0, 5e5), (3000.0, 5e5), (3600.0, 6.9e5)]
TOO_LOW, BLOWING = "too low to steam", "safety valves blowing"


def test_cold_lake_water_while_the_bed_was_thin() -> None:
    lake, bed = step(3000.0, 0.0, 0.025, 3360.0), step(2500.0, 5.0, 2.0, 3400.0)
    readings = day(boiler_pressure=FALLING, feed_flow_hand_pump_lake=lake, bed_fuel_mass=bed)
    assert re.fullmatch(
        r"pressure fell by 4\.4\d bar in 5 min 4\d s because 8\.6 L of cold lake water went in by hand pump "
        r"within 6 min, while the bed was thin \(2\.0 kg\)",
        why(TOO_LOW, readings, 3360.0),
    )


def test_a_shut_damper_an_engine_driven_harder_and_a_blowing_valve() -> None:
    weak = why(
        TOO_LOW,
        day(
            boiler_pressure=FALLING,
            heat_to_boiler_rate=step(3000.0, 26e3, 6e3),
            damper=step(3000.0, 0.6, 0.0),
        ),
        3360.0,
    )
    assert "the fire gave 20 kW less than before, the damper 0 % open" in weak
    hard = why(
        TOO_LOW, day(boiler_pressure=FALLING, steam_flow_boiler_engine=step(3000.0, 0.01, 0.02)), 3360.0
    )
    assert re.search(r"the engine drew 72 kg/h of steam, 3[56] kg/h more than before", hard)
    blown = why(TOO_LOW, day(boiler_pressure=FALLING, safety_valve_flow=step(3000.0, 0.0, 0.03)), 3360.0)
    assert re.search(r"the safety valves blew off (10|11) kg", blown)


def test_the_largest_comes_first_and_the_small_is_left_out() -> None:
    readings = day(
        boiler_pressure=FALLING,
        heat_to_boiler_rate=step(3000.0, 26e3, 20e3),
        steam_flow_boiler_engine=step(3000.0, 0.01, 0.02),
        service_flow=step(3000.0, 0.0, 0.0005),
    )
    told = why(TOO_LOW, readings, 3360.0)
    assert 0 < told.index("the engine drew") < told.index("the fire gave")
    assert "whistle" not in told


def test_wet_fuel_is_named_when_the_fire_weakens_after_it_and_not_once_put_right() -> None:
    wet = LogEntry(2900.0, events.DAY, "fire", events.FAULT, "What is fired from now on is wet.")
    dry = LogEntry(
        2950.0, events.DAY, "fire", events.FAULT_REPAIRED, "Put right: what is fired from now on is wet."
    )
    readings = day(boiler_pressure=FALLING, heat_to_boiler_rate=step(3000.0, 26e3, 6e3))
    assert "(what is fired from now on is wet, 09:03)" in why(TOO_LOW, readings, 3360.0, [*WAY, wet])
    assert "wet" not in why(TOO_LOW, readings, 3360.0, [*WAY, wet, dry])


def test_nothing_is_made_up_where_heat_and_steam_stay_in_balance() -> None:
    balanced = day(boiler_pressure=FALLING, heat_to_boiler_rate=[(0.0, 21e3 + 4.2e3 * 108 * 0.01)])
    told = why(TOO_LOW, balanced, 3360.0)
    assert told.endswith(causes.NONE) and "because" not in told


def test_pressure_rises_with_the_engine_stopped_or_the_fire_brighter() -> None:
    stopped = why(
        BLOWING,
        day(
            boiler_pressure=RISING,
            steam_flow_boiler_engine=step(3000.0, 0.01, 0.0),
            feed_flow_engine_pump=step(3000.0, 0.01, 0.0),
        ),
        3600.0,
    )
    assert re.search(r"the engine stood and took no steam \(3[56] kg/h before\)", stopped)
    bright = why(
        BLOWING,
        day(
            boiler_pressure=RISING,
            heat_to_boiler_rate=step(3000.0, 26e3, 40e3),
            damper=step(3000.0, 0.6, 1.0),
        ),
        3600.0,
    )
    assert "the fire gave 14 kW more than before, the damper 100 % open" in bright


def test_a_stuck_valve_comes_first() -> None:
    stuck = LogEntry(1000.0, events.DAY, "pressure", events.FAULT, "The first safety valve is stuck shut.")
    readings = day(boiler_pressure=RISING, steam_flow_boiler_engine=step(3000.0, 0.01, 0.0))
    told = why("6 % over the safety valves", readings, 3600.0, [*WAY, stuck])
    assert "because the first safety valve is stuck shut (08:31)" in told


GLASS = [(0.0, 0.5), (3000.0, 0.5), (4200.0, 0.25)]
LEVEL = [(0.0, 0.075), (3000.0, 0.075), (4200.0, 0.0375)]
LOW = "working low: below a quarter glass"


def falling(**more: list[tuple[float, float]]) -> dict[str, np.ndarray]:
    return day(glass_fraction=GLASS, glass_level=LEVEL, **more)


def test_a_stopped_pump_leaves_the_feed_short_of_the_steam() -> None:
    stops = LogEntry(3000.0, events.DAY, "feed", events.FAULT, "The engine-driven pump stops delivering.")
    readings = falling(feed_flow_engine_pump=step(3000.0, 0.01, 0.0))
    told = why(LOW, readings, 4200.0, [*WAY, stops])
    assert re.fullmatch(
        r"the water fell because in (19|20) min the engine took (11|12) kg of steam and feed brought "
        r"(nothing|0\.\d+ kg) \(the engine-driven pump stops delivering, 09:05\)",
        told,
    )
    assert "with the engine pump's bypass open" in why(
        LOW, falling(feed_flow_engine_pump=step(3000.0, 0.01, 0.0), bypass=step(3000.0, 0.0, 1.0)), 4200.0
    )
    assert "with the hot well empty" in why(
        LOW,
        falling(feed_flow_engine_pump=step(3000.0, 0.01, 0.0), hotwell_mass=step(2900.0, 20.0, 0.1)),
        4200.0,
    )


def test_blow_down_a_leaking_check_valve_and_shrinking_bubbles_lower_the_glass() -> None:
    assert re.search(
        r"1[12] kg was blown down", why(LOW, falling(blow_down_flow=step(3000.0, 0.0, 0.01)), 4200.0)
    )
    leak = why(LOW, falling(check_leak_flow=step(3000.0, 0.0, 0.01)), 4200.0)
    assert "leaked back past the check valve" in leak
    shrunk = why(LOW, falling(swell=[(0.0, 0.04), (3000.0, 0.04), (4200.0, 0.003)]), 4200.0)
    assert re.search(r"the water shrank by 3\d mm as bubbles went", shrunk)


def test_steam_by_other_ways_lowers_the_glass_too() -> None:
    stuck = LogEntry(3000.0, events.DAY, "pressure", events.FAULT, "The first safety valve is stuck open.")
    blown = why(LOW, falling(safety_valve_flow=step(3000.0, 0.0, 0.01)), 4200.0, [*WAY, stuck])
    assert re.search(r"blew off 1[12] kg in \d+ min \(the first safety valve is stuck open, 09:05\)", blown)
    drain = step(3000.0, 0.0, 0.01)
    live = why(LOW, falling(steam_to_hotwell_flow=drain, service_flow=drain), 4200.0)
    assert "of live steam blew into the hot well" in live and "blew out through the hot well" in live
    assert "whistle, blower or kettle took" in why(LOW, falling(service_flow=drain), 4200.0)


def test_a_hot_well_too_hot_to_pump_holds_the_feed_back() -> None:
    readings = falling(feed_flow_engine_pump=step(3000.0, 0.01, 0.004), hotwell_temperature=[(0.0, 360.0)])
    assert "with the hot well too hot to pump" in why(LOW, readings, 4200.0)


def test_a_heel_is_told() -> None:
    over = LogEntry(4000.0, events.DAY, "water", events.FAULT, "The boat lies over.")
    assert "because the boat lies over (09:21)" in why(LOW, falling(), 4200.0, [*WAY, over])


def test_feed_warmth_and_bubbles_raise_the_glass() -> None:
    up = {
        "glass_fraction": [(0.0, 0.5), (3000.0, 0.5), (4200.0, 1.0)],
        "glass_level": [(0.0, 0.075), (3000.0, 0.075), (4200.0, 0.15)],
    }
    item = "out of sight above the top nut"
    fed = day(
        **up,
        feed_flow_injector=step(3000.0, 0.0, 0.02),
        boiler_water_mass=[(0.0, 60.0), (3000.0, 60.0), (4200.0, 84.0)],
    )
    assert re.search(
        r"feed brought 2[34] kg more than the engine took .* most by the injector", why(item, fed, 4200.0)
    )
    warm = day(**up, boiler_temperature=[(0.0, 290.0), (3000.0, 290.0), (4200.0, 430.0)])
    assert "it grew in warming from" in why(item, warm, 4200.0)
    frothy = day(**up, swell=[(0.0, 0.01), (3000.0, 0.01), (4200.0, 0.085)])
    assert "bubbles swelled the water by" in why(item, frothy, 4200.0)


def test_priming_by_level_steam_room_oil_and_solids() -> None:
    high = why("priming", day(water_level=[(0.0, 0.19)]), 3000.0)
    assert "the water stood 40 mm above the top nut" in high
    assert "held only 8 s" in why("priming", day(steam_room=[(0.0, 8.0)]), 3000.0)
    oily = why("priming", day(boiler_oil=[(0.0, 400.0)]), 3000.0)
    assert "400 ppm of oil" in oily
    assert "6000 ppm of solids" in why("priming", day(boiler_solids=[(0.0, 6000.0)]), 3000.0)


def test_water_in_the_cylinders_came_over_or_condensed_there() -> None:
    item = "water fills the clearance"
    gathers = [(0.0, 0.0), (3000.0, 0.0), (3100.0, 0.05)]
    over = day(cylinder_water=gathers, carry_over_fraction=step(3000.0, 0.0, 0.1))
    assert re.search(r"0\.\d+ kg of water came over with the steam", why(item, over, 3100.0))
    cold = day(cylinder_water=gathers, cylinder_temperature=[(0.0, 288.15)])
    assert why(item, cold, 3100.0).endswith("because steam condensed on cylinders at 15 °C")


def test_going_astern_lacks_pressure_or_has_too_much_way() -> None:
    item = "too low to go astern when wanted"
    told = why(item, day(boiler_pressure=[(0.0, 1.3e5)], boat_speed=[(0.0, 3.0), (3000.0, 0.3)]), 3000.0)
    assert "pressure was 1.30 bar gauge (20 % of working pressure)" in told and "still made" not in told
    fast = why(item, day(boiler_pressure=[(0.0, 6.5e5)]), 3000.0)
    assert "she still made 4.86 kn" in fast and "pressure" not in fast


def test_hot_well_short_overflowing_and_hot() -> None:
    low = day(
        hotwell_mass=[(0.0, 20.0), (3000.0, 20.0), (4200.0, 8.0)], condensate_flow=step(3000.0, 0.01, 0.0)
    )
    assert re.search(r"the pumps drew 1[12] kg and condensate brought", why("low", low, 4200.0))
    leak = LogEntry(2999.0, events.DAY, "hotwell", events.FAULT, "The hot well leaks.")
    lost = day(hotwell_mass=[(0.0, 20.0), (3000.0, 20.0), (4200.0, 8.0)])
    assert re.search(r"11 kg was lost \(the hot well leaks, 09:04\)", why("low", lost, 4200.0, [*WAY, leak]))
    full = day(
        hotwell_mass=[(0.0, 20.0), (3000.0, 20.0), (4200.0, 40.0)],
        drawn_hotwell_flow=step(3000.0, 0.01, 0.0),
        condensate_flow=step(3000.0, 0.01, 0.0167),
    )
    assert re.search(
        r"condensate brought (19|20) kg and the pumps drew (nothing|0)", why("overflowing", full, 4200.0)
    )
    hot = day(
        hotwell_temperature=[(0.0, 318.0), (3000.0, 318.0), (4200.0, 352.0)],
        steam_to_hotwell_flow=step(3000.0, 0.0, 0.002),
    )
    assert re.search(r"2\.\d kg of live steam blew into it", why("too hot to pump", hot, 4200.0))


def test_fuel_oil_and_solids_are_told_over_the_day() -> None:
    fuel = day(fuel_on_board=[(0.0, 50.0), (3600.0, 44.0), (3600.1, 64.0), (7200.0, 12.0)])
    log = [LogEntry(3600.0, events.DAY, "route", events.UNDER_WAY, "")]
    told = why("into the reserve", fuel, 7200.0, log)
    assert told == "the fuel went down because 52 kg was used under way (60 min)"
    oil = day(lubricator_oil=[(0.0, 0.2), (3000.0, 0.05), (3000.1, 0.2), (7000.0, 0.01)])
    assert "0.19 kg was used since it was last full at 09:05" in why("lubricator nearly empty", oil, 7000.0)
    salt = day(boiler_solids=[(0.0, 300.0), (7000.0, 3600.0)], feed_flow_injector=[(0.0, 0.02)])
    assert "by the injector" in why("blow-down due", salt, 7000.0)
    assert "past a full cloth" in why("oil in the boiler", day(separator_load_fraction=[(0.0, 1.0)]), 7000.0)


def test_what_the_hands_were_at_when_a_look_came_late() -> None:
    spells = [
        TaskSpell("looking", 500.0, 900.0),
        TaskSpell("firing", 100.0, 150.0),
        TaskSpell("warming through", 900.0, 1260.0),
        TaskSpell("lines", 1260.0, 1290.0),
    ]
    rule = next(rule for rule in CONDITIONS if rule.subject == "crew")
    late = Spell(1100.0, 1290.0, 190.0, 1290.0)
    told = because(rule, late, day(), WAY, synthetic.MARKS, spells)
    assert told == "the hands were full because warming through took 6 min"
    assert because(rule, late, day(), WAY, synthetic.MARKS, ()).endswith(causes.NONE)


@pytest.mark.parametrize("rule", [*LIMITS, *CONDITIONS], ids=lambda rule: f"{rule.subject} {rule.item}")
def test_every_item_has_a_finder_and_never_coaches(rule: limits.Limit | limits.Condition) -> None:
    told = because(rule, Spell(3000.0, 3600.0, 0.0, 3000.0), day(), WAY, synthetic.MARKS)
    assert told
    assert not re.search(r"\b(should|must|try|ought|next time|advise)\b", told)
    assert len(told) < 300


def test_already_so_at_the_start_is_told_as_that() -> None:
    rule = next(rule for rule in LIMITS if rule.item == "low")
    readings = day(hotwell_mass=[(0.0, 4.0), (3000.0, 6.0)])
    told = because(rule, Spell(10.0, 3000.0, 4.0, 10.0), readings, WAY, synthetic.MARKS)
    assert told == "it was so already at the start: 4.01 kg"
