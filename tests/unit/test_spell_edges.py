"""Where spells, windows and stretches begin and end, to the second; each case worked by hand."""

from __future__ import annotations

import numpy as np
import pytest
import synthetic
from test_cause_shares import END, fault, stretch
from test_causes import TIME, TOO_LOW, WAY, day, why

from halfglass.result import causes, events
from halfglass.result.limits import LIMITS, LIT, Limit
from halfglass.result.records import LogEntry
from halfglass.result.spells import Spell, between, beyond, cut, total
from halfglass.result.stretch import Stretch, before

ROWS = np.array([0.0, 10.0, 20.0, 30.0])
VALUES = np.array([0.0, 1.0, 3.0, 2.0])


def test_a_cut_fills_its_ends_in_and_takes_no_more_than_there_is() -> None:
    cases = {
        (5.0, 25.0): ([5.0, 10.0, 20.0, 25.0], [0.5, 1.0, 3.0, 2.5]),
        (10.0, 20.0): ([10.0, 20.0], [1.0, 3.0]),
        (12.0, 18.0): ([12.0, 18.0], [1.4, 2.6]),
        (-9.0, 99.0): ([0.0, 10.0, 20.0, 30.0], [0.0, 1.0, 3.0, 2.0]),
        (0.0, 4.0): ([0.0, 4.0], [0.0, 0.4]),
        (26.0, 30.0): ([26.0, 30.0], [2.4, 2.0]),
        (20.0, 20.0): ([], []),
        (40.0, 50.0): ([], []),
        (25.0, 5.0): ([], []),
    }
    for window, (time, value) in cases.items():
        found = cut(ROWS, VALUES, window)
        assert found[0].tolist() == time, window
        assert found[1].tolist() == pytest.approx(value), window


def test_spells_beyond_a_limit_to_the_second() -> None:
    """0 to 1 to 3 to 2: above 2.5 from 17.5 s to 25 s, above 1.5 from 12.5 s to the end, below 0.5 to 5 s."""
    assert beyond(ROWS, VALUES, 2.5, below=False) == [Spell(17.5, 25.0, 3.0, 20.0)]
    assert beyond(ROWS, VALUES, 1.5, below=False) == [Spell(12.5, 30.0, 3.0, 20.0)]
    assert beyond(ROWS, VALUES, 0.5, below=True) == [Spell(0.0, 5.0, 0.0, 0.0)]
    assert beyond(ROWS, VALUES, 2.5, below=True) == [Spell(0.0, 17.5, 0.0, 0.0), Spell(25.0, 30.0, 2.0, 30.0)]
    assert beyond(ROWS, VALUES, 3.0, below=False) == beyond(ROWS, VALUES, 0.0, below=True) == []
    assert total(beyond(ROWS, VALUES, 2.5, below=True)) == pytest.approx(22.5)


def test_a_window_is_never_shorter_than_nothing_and_pauses_end_it() -> None:
    def log(*marks: tuple[float, str]) -> list[LogEntry]:
        return [LogEntry(time, "plant", "crew", event, "") for time, event in marks]

    assert between(log((12.0, "a")), "a", "b", 9.0) == [(12.0, 12.0)]
    paused = log((1.0, "a"), (2.0, "p"), (4.0, "a"), (6.0, "b"))
    assert between(paused, "a", "b", 9.0, pauses="p") == [(1.0, 2.0), (4.0, 6.0)]
    assert between(paused, "a", "b", 9.0) == [(1.0, 9.0)]  # begun twice, ended once
    assert between(log((5.0, "a"), (7.0, "b")), "a", "b", 9.0, open_at_start=True) == [(5.0, 7.0)]
    thrice = log((1.0, "a"), (2.0, "a"), (3.0, "b"), (4.0, "b"), (5.0, "b"), (6.0, "a"), (7.0, "b"))
    assert between(thrice, "a", "b", 9.0) == [(1.0, 4.0), (6.0, 7.0)]


def test_the_turn_is_sought_half_an_hour_back_for_pressure_and_an_hour_for_water() -> None:
    """Of a steady fall the first twentieth counts as the turn: 1710 s of half an hour, 3420 s of an hour."""
    falls = day(boiler_pressure=[(0.0, 7e5), (7200.0, 1e5)], heat_to_boiler_rate=[(0.0, 1e4)])
    assert why(TOO_LOW, falls, 6000.0).startswith("pressure fell by 1.43 bar in 28 min because")
    low = day(
        glass_fraction=[(0.0, 0.6), (7200.0, 0.2)], glass_level=[(0.0, 0.09), (7200.0, 0.03)],
        blow_down_flow=[(0.0, 0.01)],
    )  # fmt: skip
    assert "was blown down in 57 min" in why("working low: below a quarter glass", low, 6300.0)


@pytest.mark.parametrize(
    ("begins", "ends", "is_told"), [(3.0, 23.1, True), (3.0, 23.0, False), (0.0, 900.0, False)]
)
def test_what_was_so_when_it_first_counted_is_told_if_it_lasted(
    begins: float, ends: float, is_told: bool
) -> None:
    rule = next(rule for rule in LIMITS if rule.item == "low")
    readings = day(hotwell_mass=[(0.0, 4.0), (3000.0, 6.0)])
    told = causes.because(rule, Spell(begins, ends, 4.0, begins), readings, WAY, synthetic.MARKS)
    assert told == ("it was so already at the start: 4.00 kg" if is_told else causes.NONE)


def test_a_stretch_of_fifteen_seconds_says_nothing() -> None:
    for seconds, words in ((15.0, causes.NONE), (30.0, "hot well fell")):
        sinks = day(hotwell_mass=[(0.0, 20.0), (3000.0, 20.0), (3000.0 + seconds, 7.9)])
        rule = next(rule for rule in LIMITS if rule.item == "low")
        crossed = 3000.0 + seconds
        told = causes.because(rule, Spell(crossed, crossed + 10.0, 7.9, crossed), sinks, WAY, synthetic.MARKS)
        assert words in told


def test_faults_to_the_second() -> None:
    """In force at the stretch, from 3000 s to 4000 s; what is put right at its start is not."""
    leak, stop = fault(4000.0, "feed", "The valve leaks."), fault(2000.0, "feed", "The pump stops.")

    def mended(time: float, text: str = "Put right: the pump stops.") -> LogEntry:
        return LogEntry(time, events.DAY, "feed", events.FAULT_REPAIRED, text)

    assert stretch([leak]).faults("feed") == [leak]
    assert stretch([fault(4001.0, "feed", "The valve leaks.")]).faults("feed") == []
    assert stretch([fault(4015.0, "feed", "Late.")]).faults("feed", slack=15.0) != []
    assert stretch([fault(4016.0, "feed", "Late.")]).faults("feed", slack=15.0) == []
    assert stretch([stop, mended(3000.0)]).faults("feed") == []
    assert stretch([stop, mended(3001.0)]).faults("feed") == [stop]
    assert stretch([mended(1999.0), stop]).faults("feed") == [stop]
    assert stretch([stop, mended(2500.0, "Put right: the valve leaks.")]).faults("feed") == [stop]
    again = fault(2600.0, "feed", "The pump stops.")
    assert stretch([stop, mended(2500.0), again]).faults("feed") == [again]
    assert stretch([stop, mended(2500.0), mended(3500.0)]).faults("feed") == []
    assert stretch([stop, leak]).behind([stop, leak]) == " (the valve leaks, 09:21)"


def test_a_stretch_is_drawn_from_the_last_fault_that_leaves_twenty_seconds() -> None:
    one, two = fault(3200.0, "fire", "The fuel is wet."), fault(3979.0, "fire", "The door is open.")
    assert stretch([one, two]).since_fault("fire").start == 3979.0
    late = fault(3981.0, "fire", "The door is open.")
    assert stretch([one, late]).since_fault("fire").start == 3200.0
    assert stretch([fault(3000.0, "fire", "The fuel is wet.")]).since_fault("fire").start == 3000.0
    assert stretch([one]).since_fault("fire").end == END


def test_what_ran_and_when_it_was_worst() -> None:
    s = stretch(check_leak_flow=[(0.0, 0.0)])
    assert s.longest_on("check_leak_flow") == 0.0
    rises = stretch(carry_over_fraction=[(0.0, 0.0), (END, 0.1), (END + 60.0, 0.4), (END + 65.0, 0.9)])
    assert rises.worst_after("carry_over_fraction") == END + 60.0
    falls = stretch(carry_over_fraction=[(0.0, 0.9), (END - 5.0, 0.9), (END, 0.2), (END + 60.0, 0.1)])
    assert falls.worst_after("carry_over_fraction") == END
    end = Stretch(day(service_flow=[(0.0, 0.0), (7200.0, 7.2)]), WAY, synthetic.MARKS, 7200.0, 7200.0)
    assert end.mean("service_flow") == pytest.approx(7.2)
    first = Stretch(day(service_flow=[(0.0, 3.0)]), WAY, synthetic.MARKS, 0.0, 60.0)
    assert first.usual("service_flow") == 3.0


def test_less_than_ten_grams_are_nothing_and_water_is_told_by_volume() -> None:
    s = stretch()
    assert (s.mass(0.0101), s.mass(0.0099)) == ("0.010 kg", "nothing")
    assert s.water(9.99) == "10 L"  # 999 kg/m³
    assert s.water(5.994) == "6.0 L"


def test_a_stretch_begins_on_the_right_side_of_its_reading() -> None:
    """Up until 2000 s, then down: the fall begins at 2000 s, the rise at its foot."""
    hill = day(boiler_pressure=[(0.0, 1e5), (2000.0, 6e5), (3000.0, 1e5)])
    fell = before(hill, WAY, synthetic.MARKS, "boiler_pressure", 3000.0, True, 1800.0)
    assert fell.start == pytest.approx(2050.0, abs=5.0)
    rose = before(hill, WAY, synthetic.MARKS, "boiler_pressure", 2000.0, False, 1800.0)
    assert rose.start == pytest.approx(290.0, abs=5.0)
    gap = day(boiler_pressure=[(0.0, 6e5), (2000.0, 6e5), (3000.0, 1e5)])
    gap["boiler_pressure"][(TIME > 1500.0) & (TIME < 1900.0)] = np.nan
    assert before(gap, WAY, synthetic.MARKS, "boiler_pressure", 3000.0, True, 1800.0).start == pytest.approx(
        2050.0, abs=5.0
    )
    none = before(hill, WAY, synthetic.MARKS, "boiler_pressure", 9000.0, True, 100.0)
    assert (none.start, none.end, none.seconds) == (9000.0, 9000.0, 0.0)


def test_a_fault_that_struck_on_the_way_is_where_the_fall_is_told_from() -> None:
    """Pressure falls from 3000 s to 3360 s; wet fuel from 3200 s on."""
    falls = day(boiler_pressure=[(0.0, 6e5), (3000.0, 6e5), (3360.0, 1.4e5)])
    wet = fault(3200.0, "fire", "What is fired from now on is wet.")
    assert " in 2 min 40 s" in why(TOO_LOW, falls, 3360.0, [*WAY, wet])
    assert " in 5 min 45 s" in why(TOO_LOW, falls, 3360.0, [*WAY, fault(3200.0, "oil", "Oil is spilt.")])


def test_what_went_which_way_is_told_first() -> None:
    """By the words of the item or of its reading; a reading that has none is told by its name."""
    rises = [(0.0, 5e5), (3000.0, 5e5), (3600.0, 6.9e5)]
    up = [(0.0, 10.0), (3000.0, 10.0), (3600.0, 39.97)]
    down = [(0.0, 10.0), (3000.0, 10.0), (3600.0, 7.9)]
    for item, told, curves in (
        ("safety valves blowing", "pressure rose by 1.8", {"boiler_pressure": rises}),
        ("overflowing", "the hot well filled", {"hotwell_mass": up}),
        ("low", "the hot well fell", {"hotwell_mass": down}),
        ("out of sight above the top nut", "the water rose", {"glass_fraction": [(0.0, 0.5), (3600.0, 1.0)]}),
        ("priming", "water came over with the steam", {"water_level": [(0.0, 0.19)]}),
    ):
        assert why(item, day(**curves), 3600.0).startswith(told), item
    thin = Limit("fire", "thin", "act", "bed_fuel_mass", True, lambda m: 2.0, LIT)
    burns = day(bed_fuel_mass=[(0.0, 5.0), (3000.0, 5.0), (3600.0, 2.0)])
    told = causes.because(thin, Spell(3600.0, 3700.0, 1.0, 3700.0), burns, WAY, synthetic.MARKS)
    assert told == "bed fuel mass fell; no single cause stands out"
