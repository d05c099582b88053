"""From where on hot well, fuel, oil, solids and hands are told as causes; stretches worked by hand."""

from __future__ import annotations

import pytest
import synthetic
from test_cause_edges import told
from test_cause_shares import AT, END, fault, share_of, shares, stretch
from test_causes import TIME, WAY, day

from halfglass.result import causes_stores as stores
from halfglass.result import events
from halfglass.result.records import LogEntry, TaskSpell
from halfglass.result.stretch import Stretch


@pytest.mark.parametrize(("lost", "is_told"), [(0.00096, False), (0.00104, True)])
def test_lost_exhaust_is_told_from_a_fifth_of_it(lost: float, is_told: bool) -> None:
    """Beside 4 kg of condensate a fifth of the exhaust is 1 kg."""
    s = stretch(
        hotwell_mass=[(0.0, 20.0), (AT, 20.0), (END, 10.0)], drawn_hotwell_flow=[(0.0, 0.01)],
        condensate_flow=[(0.0, 0.004)], exhaust_lost_flow=[(0.0, lost)],
    )  # fmt: skip
    assert told(stores.hotwell_low(s), "of the exhaust was lost") == is_told


@pytest.mark.parametrize(
    ("bypass", "turns", "is_told"), [(0.52, 0.12, True), (0.5, 0.12, False), (0.52, 0.09, False)]
)
def test_a_bypass_fills_the_hot_well_from_half_open_while_the_engine_turns(
    bypass: float, turns: float, is_told: bool
) -> None:
    s = stretch(
        hotwell_mass=[(0.0, 10.0), (AT, 10.0), (END, 30.0)], condensate_flow=[(0.0, 0.02)],
        bypass=[(0.0, bypass)], shaft_speed=[(0.0, turns)],
    )  # fmt: skip
    assert told(stores.hotwell_full(s), "with the bypass open") == is_told


def test_what_else_filled_the_hot_well_is_what_is_left() -> None:
    """10 kg more, of which condensate over the pumps 12: nothing came otherwise; a fault is told first."""
    curves = {
        "hotwell_mass": [(0.0, 10.0), (AT, 10.0), (END, 20.0)], "condensate_flow": [(0.0, 0.013)],
        "drawn_hotwell_flow": [(0.0, 0.001)], "hotwell_temperature": [(0.0, 351.0)],
    }  # fmt: skip
    found = stores.hotwell_full(stretch(**curves))
    assert [cause.share for cause in found] == pytest.approx([1.2, 0.0, 0.0])
    assert found[0].text.endswith("in 17 min, too hot to pump")
    stops = fault(2000.0, "feed", "The pump stops.")
    assert stores.hotwell_full(stretch([stops], **curves))[0].text.endswith("(the pump stops, 08:48)")


@pytest.mark.parametrize(("held", "is_told"), [(11.5, True), (12.5, False)])
def test_a_hot_well_is_low_in_water_under_three_tenths(held: float, is_told: bool) -> None:
    """Of the 40 kg it holds, 12."""
    s = stretch(
        steam_to_hotwell_flow=[(0.0, 0.001)], condensate_flow=[(0.0, 0.01)],
        condenser_temperature=[(0.0, 310.0)], hotwell_mass=[(0.0, held)],
    )  # fmt: skip
    found = stores.hotwell_hot(s)
    assert told(found, "it held only") == is_told
    assert not told(found, "condensate")  # colder than the well: it did not warm it
    assert share_of(found, "1.0 kg of live steam blew into it in 17 min") == 1.0
    cold = stretch(
        check_leak_flow=[(0.0, 0.01)], condensate_flow=[(0.0, 0.0)], boiler_temperature=[(0.0, 300.0)]
    )
    assert stores.hotwell_hot(cold) == []


@pytest.mark.parametrize(("load", "shares_"), [(0.91, [1.0]), (0.89, [])])
def test_a_cloth_lets_oil_past_from_nine_tenths(load: float, shares_: list[float]) -> None:
    found = stores.boiler_oil(stretch(separator_load_fraction=[(0.0, load)]))
    assert [cause.share for cause in found] == shares_


def test_an_engine_runs_from_a_fifth_of_a_turn_a_second() -> None:
    """600 s at 0.22 of a turn a second; 0.18 is no running."""
    turns = [(0.0, 0.0), (995.0, 0.0), (995.1, 0.22), (1600.0, 0.22), (1600.1, 0.18), (7200.0, 0.18)]
    found = stores.cloth(stretch(separator_load_fraction=[(0.0, 0.4)], shaft_speed=turns))
    assert found[1].text == "the engine ran 10 min on it"
    touch = [(0.0, 0.0), (1000.0, 0.0), (1005.0, 0.22), (1010.0, 0.0)]  # over 0.2 for ten elevenths of 1 s
    barely = stores.cloth(stretch(separator_load_fraction=[(0.0, 0.4)], shaft_speed=touch))
    assert barely[1].text == "the engine ran 1 s on it"
    stood = stores.cloth(stretch(separator_load_fraction=[(0.0, 0.4)], shaft_speed=[(0.0, 0.0)]))
    assert [cause.text for cause in stood] == ["it was 40 % full before lighting up"]


def test_fuel_before_and_after_steaming() -> None:
    """8 kg in 4000 s, never under way: all of it raised steam; with no fuel burnt there is no cause."""
    never = stores.fuel(stretch([], fuel_on_board=[(0.0, 50.0), (4000.0, 42.0)], boat_speed=[(0.0, 0.0)]))
    assert share_of(never, "8.0 kg was used raising steam (67 min)") == pytest.approx(1.0)
    assert share_of(never, "nothing was used under way (0 s)") == 0.0
    assert share_of(never, "nothing was used lying still (0 s)") == pytest.approx(0.0, abs=1e-12)
    later = stores.fuel(
        stretch(WAY, fuel_on_board=[(0.0, 50.0), (4000.0, 42.0), (7000.0, 12.0)], boat_speed=[(0.0, 2.5)])
    )
    assert share_of(later, "8.0 kg was used under way (67 min)") == pytest.approx(1.0)


def test_way_counts_from_casting_off_to_the_crossing() -> None:
    """8 kg in 4000 s; she drifts before she is under way at 1800 s, and goes on after the crossing."""
    log = [LogEntry(1800.0, events.DAY, "route", events.UNDER_WAY, "")]
    ways = ((100.0, 500.0), (2000.0, 3000.0), (5000.0, 6000.0))
    moving = sum((begins < TIME) & (ends > TIME) for begins, ends in ways)
    readings = day(fuel_on_board=[(0.0, 50.0), (4000.0, 42.0), (7000.0, 12.0)])
    readings["boat_speed"] = 2.5 * moving
    found = stores.fuel(Stretch(readings, log, synthetic.MARKS, AT, END))
    assert shares(found) == {
        "3.6 kg was used raising steam (30 min)": pytest.approx(0.45),
        "2.0 kg was used under way (17 min)": pytest.approx(0.25, abs=0.002),
        "2.4 kg was used lying still (20 min)": pytest.approx(0.3, abs=0.002),
    }


def test_half_a_kilogram_in_the_last_moment_of_the_day_is_fuel_used() -> None:
    readings = day(fuel_on_board=[(0.0, 50.0), (7195.0, 50.0), (7200.0, 49.5)])
    found = stores.fuel(Stretch(readings, WAY, synthetic.MARKS, AT, 7200.0))
    assert share_of(found, "0.50 kg was used under way (2 h)") == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("oil", "words"),
    [
        ([(0.0, 0.2), (5.0, 0.1), (4000.0, 0.04)], "0.16 kg was used since it was last full at 08:15"),
        ([(0.0, 0.2), (2000.0, 0.04)], "0.16 kg was used since it was last full at 08:15"),
        # filled up between 2930 and 2935 s, which is 09:03:55
        (
            [(0.0, 0.2), (2930.0, 0.05), (2935.0, 0.2), (4000.0, 0.04)],
            "0.16 kg was used since it was last full at 09:03",
        ),
    ],
)
def test_what_the_lubricator_used_since_it_was_full(oil: list[tuple[float, float]], words: str) -> None:
    assert shares(stores.lubricator(stretch(lubricator_oil=oil))) == {words: 1.0}


def test_a_lubricator_that_used_nothing_has_no_cause() -> None:
    assert stores.lubricator(stretch(lubricator_oil=[(0.0, 0.2)])) == []


def test_solids_of_the_feed_by_the_pumps_on_the_hot_well() -> None:
    """900 ppm of 3600 at first; 40 kg by the engine pump and 20 by hand in 4000 s."""
    found = stores.solids(
        stretch(
            boiler_solids=[(0.0, 900.0), (END, 3600.0)],
            feed_flow_engine_pump=[(0.0, 0.01)],
            feed_flow_hand_pump_hotwell=[(0.0, 0.005)],
            feed_flow_hand_pump_lake=[(0.0, 0.0)],
        )  # fmt: skip
    )
    assert shares(found) == {
        "it began the day at 900 ppm": pytest.approx(0.25),
        "60 L of feed went in by the pumps on the hot well": pytest.approx(0.75),
    }
    pure = stretch(boiler_solids=[(0.0, 0.0)], feed_flow_engine_pump=[(0.0, 0.0)],
                   feed_flow_injector=[(0.0, 0.16), (5.0, 0.0)])  # fmt: skip
    assert shares(stores.solids(pure)) == {
        "it began the day at 0 ppm": 0.0, "0.40 L of feed went in by the injector": 1.0
    }  # fmt: skip
    falls = stores.solids(stretch(boiler_solids=[(0.0, 900.0), (END, 600.0)]))
    assert [cause.share for cause in falls] == pytest.approx([1.5, 0.0])


def test_a_boat_that_never_was_fast_may_still_make_all_her_way() -> None:
    found = stores.reversing(stretch(boiler_pressure=[(0.0, 6.5e5)], boat_speed=[(0.0, 0.4)]))
    assert share_of(found, "she still made 0.778 kn") == 1.0


def test_no_way_is_no_cause_of_not_going_astern() -> None:
    found = stores.reversing(stretch(boiler_pressure=[(0.0, 3.25e5)], boat_speed=[(0.0, 0.0)]))
    assert shares(found) == {"pressure was 3.25 bar gauge (50 % of working pressure)": pytest.approx(0.5)}


def test_hands_are_followed_back_half_an_hour_and_over_gaps_of_a_second() -> None:
    """The stretch begins at 3000 s: what ended 1790 s before it counts, 1810 s does not."""
    back = [TaskSpell("firing", 1000.0, 1210.0), TaskSpell("pump", 1210.9, 3500.0)]
    assert [cause.share for cause in stores.crew(stretch(), back)] == pytest.approx(
        [2289.1 / 2499.1, 210.0 / 2499.1]
    )
    longer = [TaskSpell("firing", 1000.0, 1190.0), TaskSpell("pump", 1190.0, 3500.0)]
    assert shares(stores.crew(stretch(), longer)) == {"pump took 38 min": 1.0}
    gap = [TaskSpell("firing", 1000.0, 1210.0), TaskSpell("pump", 1211.2, 3500.0)]
    assert shares(stores.crew(stretch(), gap)) == {"pump took 38 min": 1.0}
    on = [TaskSpell("pump", 2900.0, 4600.0), TaskSpell("lines", 4000.0, 4100.0)]
    assert shares(stores.crew(stretch(), on)) == {"pump took 18 min": 1.0}


def test_what_the_pumps_drew_over_the_condensate_may_be_more_than_the_hot_well_fell() -> None:
    """10 kg drawn, 4 back: with 4 kg less in it something else came in; filling, 1 kg short is no cause."""
    curves = {"drawn_hotwell_flow": [(0.0, 0.01)], "condensate_flow": [(0.0, 0.004)]}
    fell = stretch(hotwell_mass=[(0.0, 20.0), (AT, 20.0), (END, 16.0)], **curves)
    assert [cause.share for cause in stores.hotwell_low(fell)] == pytest.approx([1.5, 0.0])
    rose = stretch(hotwell_mass=[(0.0, 10.0), (AT, 10.0), (END, 20.0)], **curves)
    assert [cause.share for cause in stores.hotwell_full(rose)] == pytest.approx([0.0, 0.0, 1.0])
    still = stretch(
        hotwell_mass=[(0.0, 10.0), (AT, 10.0), (END, 12.0)], drawn_hotwell_flow=[(0.0, 0.01)],
        condensate_flow=[(0.0, 0.013)],
    )  # fmt: skip
    assert min(cause.share for cause in stores.hotwell_low(still)) >= 0.0
    assert min(cause.share for cause in stores.hotwell_full(fell)) >= 0.0
    level = stretch(hotwell_mass=[(0.0, 10.0)])
    assert min(cause.share for cause in stores.hotwell_low(level) + stores.hotwell_full(level)) >= 0.0
