"""Causes, nearest limits, hands and arrivals of real runs, each against another way to the same figure."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest

from halfglass.day.outing import run
from halfglass.result import events, limits
from halfglass.result.causes import NONE
from halfglass.result.records import Outing
from halfglass.result.timeline import log_entries
from halfglass.scenario.load import load

SCENARIOS = Path(__file__).parents[2] / "scenarios"
PUMPING = ("hand pump on hot well", "hand pump on lake")
CRUISE = """
title = "Two days to the upper lake"
boat = "boats/sedge.toml"
light_up = 08:15:00
crew = { hands = 2 }
aboard = { fuel = "steam coal", fuel_mass = "60 kg", fuel_reserve = "10 kg", hotwell = "8 L" }
firing = { working_pressure = "78 psi", charge = "0.8 kg" }
route = [
  { step = "raise steam", until = "70 psi" },
  { step = "leg", to = "Mill", distance = "6 km", throttle = "26 %" },
  { step = "come alongside", at = "Mill" },
  { step = "take on fuel", mass = "40 kg" },
  { step = "night halt", until = 07:00:00 },
  { step = "raise steam", until = "70 psi" },
  { step = "leg", to = "Upper lake", distance = "6 km", throttle = "26 %" },
  { step = "come alongside", at = "Upper lake" },
  { step = "shut down" },
]
"""


def reading_between(outing: Outing, name: str, start: float, end: float) -> float:
    """Integral of a reading over a time, added up from the timeline."""
    table = outing.timeline
    inside = table[(table.time >= start) & (table.time <= end)]
    return float(np.trapezoid(inside[name], inside.time))


def test_every_crossing_has_a_reason_with_numbers_or_says_there_is_none(outing: Outing) -> None:
    for item in outing.verdict.critical:
        assert re.search(r"\d", item.because) or item.because.endswith(NONE), item
        assert not re.search(r"\b(should|must|try|ought|nan|inf|unlimited)\b", item.because), item


@pytest.mark.parametrize("plan", ["feed left alone", "single-handed, hand pump"])
def test_the_water_told_of_is_the_water_that_went(shipped: Callable[..., Outing], plan: str) -> None:
    """Steam and feed from the fault to the empty glass: against the timeline and the mass lost."""
    outing = shipped("02", plan)
    item = next(i for i in outing.verdict.critical if i.severity == "danger")
    words = r"in (\d+) min the engine took (\d+) kg of steam and feed brought ([\d.]+ kg|nothing)"
    told = re.search(words, item.because)
    assert told is not None, item.because
    start, end = item.first_at - 60.0 * float(told[1]), item.first_at
    steam = reading_between(outing, "steam_flow_boiler_engine", start, end)
    assert float(told[2]) == pytest.approx(steam, abs=1.0)
    feed = 0.0 if told[3] == "nothing" else float(told[3].split()[0])
    brought = sum(
        reading_between(outing, name, start, end)
        for name in ("feed_flow_engine_pump", "feed_flow_hand_pump_hotwell")
    )
    assert feed == pytest.approx(brought, abs=0.6)
    mass = np.interp([start, end], outing.timeline.time, outing.timeline.boiler_water_mass)
    assert float(told[2]) - feed == pytest.approx(mass[0] - mass[1], abs=2.0)


def test_nearest_is_the_extreme_of_the_timeline_while_steaming(outing: Outing) -> None:
    table = outing.timeline
    spans = limits.STEAMING.spans(log_entries(outing.log), float(table.time.iloc[-1]))
    inside = np.zeros(len(table), dtype=bool)
    for start, end in spans:
        inside |= ((table.time >= start) & (table.time <= end)).to_numpy()
    lowest = next(n for n in outing.verdict.nearest if n.item == "too low to steam")
    assert lowest.value == pytest.approx(float(table.boiler_pressure[inside].min()), rel=1e-3)
    assert lowest.margin == pytest.approx(lowest.value - lowest.limit)


def test_spells_of_the_hands_add_up_to_the_hands_busy(outing: Outing) -> None:
    """Spells are put down where a task ends, the count of busy hands by the resource itself."""
    assert outing.occupation is not None
    told = sum(spell.end - spell.start for spell in outing.occupation.spells)
    counted = reading_between(outing, "hands_busy", 0.0, float(outing.timeline.time.iloc[-1]))
    assert told == pytest.approx(counted, rel=0.03)
    assert all(0.0 <= share <= 1.0 + 1e-9 for share in outing.occupation.busy_under_way)


def test_hours_pumped_are_the_hours_the_pump_gave_water(outing: Outing) -> None:
    assert outing.occupation is not None
    pumped = sum(task.seconds for task in outing.occupation.tasks if task.task in PUMPING)
    assert outing.totals["hand_pumping_s"] == pytest.approx(pumped)
    table = outing.timeline
    rate = table.hand_pump_stroke_rate.to_numpy()
    pumps = rate > 0.0
    times = [outing.log.time[outing.log.event == event] for event in (events.BY_HAND, events.HANDED_BACK)]
    for begun, ended in zip(*times, strict=True):  # who works by hand is not of the crew
        pumps &= ~table.time.between(begun, ended).to_numpy()
    ran = float(np.trapezoid(pumps.astype(float), table.time))
    assert pumped == pytest.approx(ran, rel=0.1, abs=1.0)


@pytest.fixture(scope="module")
def cruise(tmp_path_factory: pytest.TempPathFactory) -> Outing:
    """A day, a night and a morning."""
    folder = tmp_path_factory.mktemp("cruise")
    shutil.copytree(SCENARIOS / "boats", folder / "boats")
    path = folder / "cruise.toml"
    path.write_text(CRUISE, encoding="utf-8")
    return run(load(path).base)


def test_a_night_ashore_is_no_lack_of_steam(cruise: Outing) -> None:
    assert cruise.verdict.outcome.kind == "arrived"
    assert {events.NIGHT, events.MORNING, events.UNDER_WAY} <= set(cruise.log.event)
    asleep = cruise.log.time[cruise.log.event == events.NIGHT].iloc[0]
    awake = cruise.log.time[cruise.log.event == events.UNDER_WAY].iloc[1]
    steaming = ("too low to steam", "too low for the injector")
    for found in (*cruise.verdict.critical, *cruise.verdict.nearest):
        at = getattr(found, "first_at", None) or getattr(found, "at", 0.0)
        assert found.item not in steaming or not asleep < at < awake


def test_arrivals_and_stores_of_two_days(cruise: Outing) -> None:
    assert [arrival.place for arrival in cruise.arrivals] == ["Mill", "Upper lake"]
    morning = cruise.marks.started + timedelta(seconds=cruise.arrivals[1].at)
    assert (morning.date() - cruise.marks.started.date()).days == 1
    assert cruise.totals["fuel_taken_kg"] == pytest.approx(40.0)
    assert cruise.totals["blown_down_kg"] == 0.0


def test_solids_of_the_feed_by_another_balance(outing: Outing) -> None:
    """B/(S + B) is Cf/Cb, and feed of which a part is lake water holds no more than all of it would."""
    found = outing.solids
    assert found is not None
    assert found.blow_down_fraction == pytest.approx(found.feed / found.limit)
    assert 0.0 < found.feed < found.limit
    assert found.at_end == pytest.approx(float(outing.timeline.boiler_solids.iloc[-1]))
