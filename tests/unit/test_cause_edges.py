"""From where on a cause is told: each threshold from either side, over made-up stretches worked by hand."""

from __future__ import annotations

import numpy as np
import pytest
import synthetic
from test_cause_shares import AT, END, falling, fault, share_of, shares, steps, stretch
from test_causes import TIME, WAY, day, step

from halfglass.result import causes_boiler as boiler
from halfglass.result.causes import sentence
from halfglass.result.stretch import Cause, Stretch

BALANCE = 0.01 * (2.1e6 + 4.2e3 * 108.0)
"""W that 10 g/s of steam take, fed with water 108 K below the boiler's: 25.5 kW."""


def told(found: list[Cause], words: str) -> bool:
    return any(words in cause.text for cause in found)


def test_three_causes_at_most_and_none_under_fifteen_hundredths() -> None:
    small = [Cause(0.5, "A"), Cause(0.155, "B"), Cause(0.145, "C")]
    assert sentence("it fell", small) == "it fell because A, and B"
    assert sentence("it fell", [Cause(0.15, "A")]) == "it fell because A"
    many = [Cause(0.2, "A"), Cause(0.3, "B"), Cause(0.24, "C"), Cause(0.22, "D")]
    assert sentence("it fell", many) == "it fell because B, C, and D"


@pytest.mark.parametrize("over", [200.4, 199.6])
def test_less_than_two_hundred_watts_of_imbalance_say_nothing(over: float) -> None:
    falls = boiler.pressure_low(stretch(heat_to_boiler_rate=[(0.0, BALANCE - over)]))
    rises = boiler.pressure_high(stretch(heat_to_boiler_rate=[(0.0, BALANCE + over)]))
    for found in (falls, rises):
        assert [cause.share for cause in found] == ([pytest.approx(1.0)] if over > 200.0 else [])


@pytest.mark.parametrize(("grams", "is_told"), [(0.102, True), (0.09, False)])
def test_a_change_of_less_than_two_hundred_watts_is_no_cause(grams: float, is_told: bool) -> None:
    """2.1 MJ/kg: 0.102 g/s of steam are 214 W, 0.09 g/s 189 W; the fire's 9 kW are the whole but for that."""
    steam, fire = steps(0.01, 0.01 + grams / 1e3), steps(26e3, 17e3)
    found = boiler.pressure_low(stretch(steam_flow_boiler_engine=steam, heat_to_boiler_rate=fire))
    assert told(found, "the engine drew") == is_told
    steam, fire = steps(0.01, 0.01 - grams / 1e3), steps(26e3, 35e3)
    found = boiler.pressure_high(stretch(steam_flow_boiler_engine=steam, heat_to_boiler_rate=fire))
    assert told(found, "less steam than before") == is_told
    assert share_of(found, "more than before") > 0.9


@pytest.mark.parametrize("watts", [150.0, 350.0])
def test_what_was_out_of_balance_all_along_is_told_from_two_hundred_watts(watts: float) -> None:
    """The fire changed by 2 kW; the rest of the imbalance was there before, and is told if it is more."""
    less = boiler.pressure_low(stretch(heat_to_boiler_rate=steps(BALANCE - watts, BALANCE - watts - 2e3)))
    more = boiler.pressure_high(stretch(heat_to_boiler_rate=steps(BALANCE + watts, BALANCE + watts + 2e3)))
    assert told(less, "all along") == told(more, "while steam and feed took") == (watts > 200.0)
    assert share_of(less, "less than before") == pytest.approx(2e3 / (2e3 + watts), rel=0.01)
    assert share_of(more, "more than before") == pytest.approx(2e3 / (2e3 + watts), rel=0.01)
    if watts > 200.0:
        assert share_of(less, "all along") == pytest.approx(watts / (2e3 + watts), rel=0.03)
        assert share_of(more, "while steam and feed") == pytest.approx(watts / (2e3 + watts), rel=0.03)


@pytest.mark.parametrize(
    ("bed", "words"),
    [(3.1, ""), (0.02, ", while the bed was thin (0.020 kg)"), (0.009, ", with no fire on the grate")],
)
def test_a_bed_is_thin_under_six_tenths_and_gone_under_ten_grams(bed: float, words: str) -> None:
    assert boiler.thin_bed(stretch(bed_fuel_mass=step(AT, 5.0, bed, 4010.0))) == words


def test_only_a_bed_that_burns_tells_what_is_usual() -> None:
    """Ten kilograms lay unlit but for the 1100 s of the fire: five alight are no thin bed."""
    alight = (TIME >= 2900.0) & (TIME <= END)
    laid = day() | {
        "bed_fuel_mass": np.where(alight, 5.0, 10.0), "burning_rate": np.where(alight, 0.002, 0.0)
    }  # fmt: skip
    assert boiler.thin_bed(Stretch(laid, WAY, synthetic.MARKS, AT, END)) == ""
    assert boiler.thin_bed(stretch(burning_rate=[(0.0, 0.0)])) == ""
    # oil burns without any bed, and a small fire has a small one
    assert boiler.thin_bed(stretch(bed_fuel_mass=[(0.0, 0.0)])) == ""
    small = boiler.thin_bed(stretch(bed_fuel_mass=step(AT, 0.8, 0.4, 4010.0)))
    assert small == ", while the bed was thin (0.40 kg)"


@pytest.mark.parametrize(("drawn", "kelvin"), [(0.0215, 150.0), (0.0225, 120.0)])
def test_an_injector_drinks_from_the_hot_well_if_more_is_drawn_than_the_pumps_put_in(
    drawn: float, kelvin: float
) -> None:
    """Pumps 20 g/s: up to a tenth more drawn is their own slip, beyond it the injector's."""
    s = stretch(
        feed_flow_engine_pump=[(0.0, 0.01)], feed_flow_hand_pump_hotwell=[(0.0, 0.01)],
        feed_flow_hand_pump_lake=[(0.0, 0.01)], feed_flow_injector=[(0.0, 0.01)],
        drawn_hotwell_flow=[(0.0, drawn)],
    )  # fmt: skip
    assert boiler._chill(s, "feed_flow_injector") == pytest.approx(4.2e3 * kelvin)


@pytest.mark.parametrize(
    ("left", "words"),
    [
        (0.048, "the engine stood and took no steam (36 kg/h before)"),
        (0.052, "the engine drew 34 kg/h less steam than before"),
    ],
)
def test_an_engine_stands_under_a_twentieth_of_its_steam(left: float, words: str) -> None:
    assert told(boiler.pressure_high(stretch(steam_flow_boiler_engine=steps(0.01, 0.01 * left))), words)


@pytest.mark.parametrize(("usual", "words"), [(0.052, ", the burner at 2.0 %"), (0.048, "")])
def test_a_burner_that_hardly_burnt_before_did_not_weaken(usual: float, words: str) -> None:
    s = stretch(burner_rate=steps(usual, 0.02), damper=[(0.0, 0.0)])
    assert boiler._weak_fire(s) == words


@pytest.mark.parametrize(
    ("bypass", "words"),
    [(0.5, ", the engine pump giving next to nothing"), (0.52, ", with the engine pump's bypass open")],
)
def test_a_bypass_is_open_beyond_half(bypass: float, words: str) -> None:
    s = stretch(feed_flow_engine_pump=[(0.0, 0.0)], bypass=[(0.0, bypass)])
    assert boiler._why_no_feed(s, 10.0) == words


def test_ten_grams_through_the_hot_well_are_its_steam_and_less_is_the_whistles() -> None:
    """10 g in the 1000 s of the stretch are 0.01 g/s."""
    for flow, words in ((1.2e-5, "blew out through the hot well"), (0.8e-5, "whistle, blower or kettle")):
        s = stretch(service_flow=steps(0.0, 0.01), steam_to_hotwell_flow=[(0.0, flow)])
        assert words in boiler._blown(s, "service_flow")


def test_feed_that_keeps_up_with_all_that_goes_did_not_lower_the_glass() -> None:
    """3 kg blown down: 2.9 kg of feed over the steam leave it the cause, 3.1 kg do not."""
    for spare, share in ((0.0029, 1.0), (0.0031, 0.0)):
        s = falling(feed_flow_engine_pump=steps(0.01, 0.01 + spare), blow_down_flow=steps(0.0, 0.003))
        assert share_of(boiler.water_low(s), "3.0 kg was blown down") == pytest.approx(share, abs=0.01)


def test_a_glass_that_rose_shrank_by_no_bubbles() -> None:
    rose = boiler.water_low(falling(drop=-0.05, swell=[(0.0, 0.02), (AT, 0.02), (END, 0.01)]))
    assert share_of(rose, "as bubbles went") == 0.0
    fell = stretch(
        glass_level=[(0.0, 0.1), (AT, 0.1), (END, 0.05)], swell=[(0.0, 0.0), (AT, 0.0), (END, 0.01)]
    )
    assert share_of(boiler.water_high(fell), "bubbles swelled") == 0.0


def test_bubbles_explain_no_more_than_the_whole() -> None:
    """They went down or up by 10 mm, the glass by 5 mm: something else worked the other way."""
    fell = boiler.water_low(
        falling(drop=0.005, swell=[(0.0, 0.02), (AT, 0.02), (END, 0.01)], blow_down_flow=steps(0.0, 0.003))
    )
    assert share_of(fell, "the water shrank by 10 mm as bubbles went") == 1.0
    assert share_of(fell, "was blown down") == 0.0
    rose = boiler.water_high(falling(drop=-0.005, swell=[(0.0, 0.0), (AT, 0.0), (END, 0.01)]))
    assert share_of(rose, "bubbles swelled the water by 10 mm") == 1.0


def test_half_a_kilogram_of_feed_raises_the_glass_and_a_boiler_that_loses_water_gains_by_warmth_alone() -> (
    None
):
    s = stretch(
        glass_level=[(0.0, 0.05), (AT, 0.05), (END, 0.15)], feed_flow_injector=steps(0.0, 0.0005),
        boiler_water_mass=[(0.0, 60.0), (AT, 60.0), (END, 60.5)],
    )  # fmt: skip
    found = boiler.water_high(s)
    # the step of the made-up curve takes 5 s of the 1000
    assert share_of(
        found, "feed brought 0.50 kg more than the engine took in 17 min, most by the engine"
    ) == (pytest.approx(1.0))
    warm = boiler.water_high(
        stretch(
            glass_level=[(0.0, 0.05), (AT, 0.05), (END, 0.15)],
            feed_flow_injector=steps(0.0, 0.001),
            boiler_temperature=[(0.0, 377.0), (AT, 377.0), (END, 427.0)],
            boiler_water_mass=[(0.0, 66.0), (AT, 66.0), (END, 60.0)],
        )  # fmt: skip
    )
    assert share_of(warm, "it grew in warming from 104 °C to 154 °C") == pytest.approx(1.0)
    assert share_of(warm, "feed brought") == 0.0
    unknown = day(glass_level=[(0.0, 0.05), (AT, 0.05), (END, 0.15)], feed_flow_injector=steps(0.0, 0.001))
    del unknown["boiler_water_mass"]
    found = boiler.water_high(Stretch(unknown, WAY, synthetic.MARKS, AT, END))
    assert share_of(found, "feed brought") == 0.0


def test_priming_without_a_steam_room_is_told_by_what_is_known() -> None:
    readings = day(water_level=[(0.0, 0.16)])
    del readings["steam_room"]
    s = Stretch(readings, WAY, synthetic.MARKS, AT, END)
    assert shares(boiler.priming(s)) == {"the water stood 10 mm above the top nut": pytest.approx(1.0)}


def test_carry_over_counts_from_the_first_to_the_last_row_of_the_stretch() -> None:
    """10 g/s with a tenth of water over 1000 s of the stretch, and as much before and after it: 1.0 kg."""
    s = stretch(cylinder_water=[(0.0, 0.0), (AT, 0.0), (END, 2.0)], carry_over_fraction=[(0.0, 0.1)])
    assert shares(boiler.engine_water(s)) == {
        "1.0 kg of water came over with the steam in 17 min": pytest.approx(0.5),
        "steam condensed on cylinders at 127 °C": pytest.approx(0.5),
    }
    more = stretch(cylinder_water=[(0.0, 0.0), (AT, 0.0), (END, 0.5)], carry_over_fraction=[(0.0, 0.1)])
    assert [cause.share for cause in boiler.engine_water(more)] == [1.0, 0.0]
    none = Stretch(day(), WAY, synthetic.MARKS, 3001.0, 3004.0)  # no row lies within
    assert [cause.share for cause in boiler.engine_water(none)] == [0.0, 1.0]


@pytest.mark.parametrize(
    ("seconds", "words"), [(0.0, "1 min"), (80.0, "1 min"), (100.0, "2 min"), (3660.0, "61 min")]
)
def test_a_feed_took_whole_minutes_and_one_at_least(seconds: float, words: str) -> None:
    assert boiler._minutes(seconds) == words


def test_a_stuck_valve_is_all_of_a_rise_by_itself() -> None:
    stuck = fault(2000.0, "pressure", "The first safety valve is stuck shut.")
    open_ = fault(2000.0, "pressure", "The first safety valve is stuck open.")
    even = [(0.0, BALANCE)]
    assert shares(boiler.pressure_high(stretch([stuck], heat_to_boiler_rate=even))) == {
        "the first safety valve is stuck shut (08:48)": 1.0
    }
    assert boiler.pressure_high(stretch([open_], heat_to_boiler_rate=even)) == []


def test_a_boat_that_lies_over_from_the_first_moment_of_the_stretch_counts() -> None:
    over = [fault(time, "water", "The boat lies over.") for time in (AT, END + 15.0, END + 16.0)]
    assert shares(boiler._heel(stretch(over))) == {
        "the boat lies over (09:05)": 0.3, "the boat lies over (09:21)": 0.3
    }  # fmt: skip


def test_a_short_steam_space_counts_by_its_square() -> None:
    """2 % at 12 s, a quarter of it at 16 s: as much as a millimetre over the nut; none from 20 s."""
    s = stretch(steam_room=[(0.0, 16.0)], water_level=[(0.0, 0.151)])
    assert [cause.share for cause in boiler.priming(s)] == pytest.approx([0.5, 0.5])
    roomy = stretch(steam_room=[(0.0, 20.1)], water_level=[(0.0, 0.151)])
    assert shares(boiler.priming(roomy)) == {"the water stood 1.0 mm above the top nut": pytest.approx(1.0)}


def test_a_glass_that_rises_with_nothing_fed_and_nothing_drawn_was_not_fed() -> None:
    still = stretch(
        glass_level=[(0.0, 0.05), (AT, 0.05), (END, 0.15)], steam_flow_boiler_engine=[(0.0, 0.0)],
        feed_flow_engine_pump=[(0.0, 0.0)], boiler_water_mass=[(0.0, 60.0), (AT, 60.0), (END, 61.0)],
    )  # fmt: skip
    assert not told(boiler.water_high(still), "feed brought")
