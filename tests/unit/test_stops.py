"""What a boat's people do at the ends of a leg: bring up, lie, take stores, halt overnight, start again."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from pydantic import TypeAdapter

from halfglass.day.outing import Day, run
from halfglass.plant import reading as r
from halfglass.plant import state as y
from halfglass.result import events
from halfglass.result.records import Outing
from halfglass.scenario.day_models import Scenario
from halfglass.scenario.load import load
from halfglass.scenario.route_steps import Step

LAKE_DAY = Path(__file__).resolve().parents[2] / "scenarios" / "01-quiet-lake-day.toml"
STEPS: TypeAdapter[tuple[Step, ...]] = TypeAdapter(tuple[Step, ...])
STEAM = {"step": "raise steam", "until": "70 psi"}
WARM = {"step": "warm through", "for": "6 min"}
OUT = {"step": "leg", "to": "Alder jetty", "distance": "2 km", "throttle": "26 %"}
SHUT = {"step": "shut down"}


def lake_day(*steps: dict[str, Any], **crew: Any) -> Scenario:
    """The quiet lake day with another route, and other keys of its crew."""
    day = load(LAKE_DAY).base
    route = STEPS.validate_python(steps)
    return day.model_copy(update={"route": route, "crew": day.crew.model_copy(update=crew)})


def told(outing: Outing, event: str) -> list[float]:
    """When an event was logged [s]."""
    return [float(time) for time in outing.log.loc[outing.log.event == event, "time"]]


def at(outing: Outing, name: str, time: float) -> float:
    return float(np.interp(time, outing.timeline.time, outing.timeline[name]))


@pytest.mark.parametrize(
    "step",
    [
        {"step": "lie", "for": "5 min"},
        {"step": "lie", "for": "5 min", "at_anchor": True},
        {"step": "passengers", "aboard": 2},
        {"step": "take on fuel", "mass": "10 kg"},
        {"step": "take on water", "volume": "5 L"},
        {"step": "night halt", "until": datetime.time(6)},
    ],
    ids=lambda step: " ".join(map(str, step.values())),
)
def test_she_is_brought_up_before_she_lies(step: dict[str, Any]) -> None:
    """No boat stops dead because the next step is done lying still: she is stopped with the engine astern."""
    outing = run(lake_day(STEAM, WARM, OUT, step, SHUT))
    (there,) = told(outing, events.REACHED)
    (astern,) = told(outing, events.REVERSAL_WANTED)
    assert at(outing, "boat_speed", there) > 2.0
    assert there < astern < there + 60.0
    table = outing.timeline
    stopped = table.time[(table.time > there) & (table.boat_speed < 0.15)].iloc[0]
    assert 3.0 < stopped - astern < 60.0


def test_a_lock_at_the_end_of_a_leg_is_reached_once() -> None:
    lock = {"step": "lock", "at": "Nether lock", "wait": "5 min"}
    outing = run(
        lake_day(STEAM, WARM, OUT | {"to": "Nether lock"}, lock, OUT, lock | {"at": "Top lock"}, SHUT)
    )
    texts = outing.log.text[outing.log.event == events.REACHED]
    assert [text.split(":")[0] for text in texts] == ["Nether lock", "Alder jetty", "Top lock"]


def test_all_the_fuel_is_told_though_a_charge_goes_on_meanwhile() -> None:
    outing = run(lake_day(STEAM, {"step": "take on fuel", "mass": "25 kg", "takes": "15 min"}, SHUT))
    (text,) = outing.log.text[outing.log.event == events.FUEL_TAKEN]
    assert text == "25.0 kg of fuel taken on."
    assert outing.totals["fuel_taken_kg"] == 25.0


def test_a_cold_engine_is_drained_before_it_starts() -> None:
    """Water that would fill the clearance runs out of the drains; they are shut once she is warm."""
    scenario = lake_day(STEAM, WARM, OUT, {"step": "lie", "for": "50 min", "fire": "banked"}, OUT, SHUT)
    day = Day(scenario)
    day.run()
    entries = [e for e in day.entries if e.event in ("drains opened", "warmed through", "cast off")]
    assert [e.event for e in entries] == ["warmed through", "cast off", "drains opened", "warmed through"]
    opened, shut = entries[-2].time, entries[-1].time
    assert 20.0 < shut - opened < 600.0
    assert day.clock.plant.controls.cylinder_drains == 0.0
    assert day.clock.plant.marcher.state[y.TOTAL_DRAINED] > day.parameters.engine.clearance_water_mass
    outing = run(scenario)
    assert not [item for item in outing.verdict.critical if item.subject == "engine"]


def test_a_warm_engine_is_not_drained() -> None:
    outing = run(lake_day(STEAM, WARM, OUT, {"step": "come alongside"}, OUT, SHUT))
    assert told(outing, "drains opened") == []


def test_the_night_is_not_steaming() -> None:
    """The boiler gets cold overnight, which is no pressure too low to steam with."""
    halt = {"step": "night halt", "until": datetime.time(7, 30)}
    outing = run(lake_day(STEAM, WARM, OUT, halt, STEAM, WARM, OUT, SHUT))
    night, morning = told(outing, events.NIGHT)[0], told(outing, events.MORNING)[0]
    assert at(outing, "boiler_pressure", morning - 1.0) < 0.0 < at(outing, "boiler_pressure", night)
    assert len(told(outing, events.UNDER_WAY)) == 2
    assert "too low to steam" not in [item.item for item in outing.verdict.critical]


def test_one_hand_alone_looks_while_warming_through() -> None:
    outing = run(lake_day(STEAM, WARM | {"for": "12 min"}, OUT, SHUT, hands=1))
    assert told(outing, events.TASK_OVERDUE) == []


def test_what_is_done_lying_still_is_told() -> None:
    steps = ({"step": "lie", "for": "30 min", "kettle": "10 min"}, {"step": "whistle", "for": "4 s"})
    outing = run(lake_day(STEAM, WARM, OUT, *steps, SHUT))
    ((lying,), (kettle,), (whistle,)) = (told(outing, event) for event in ("lying", "kettle", "whistle"))
    assert lying <= kettle < whistle == pytest.approx(lying + 1800.0, abs=1.0)


def test_priming_is_told_by_spells() -> None:
    """A safety valve that blows off and shuts again draws water over each time: one spell, not ten."""
    day = Day(lake_day(STEAM, {"step": "lie", "for": "20 min"}, SHUT))
    guards, machinery = day.clock, day.machinery

    def splash() -> Any:
        for _ in range(5):
            yield guards.timeout(20.0)
            machinery._priming()
            yield guards.timeout(2.0)
            machinery._dry_again()
        yield guards.timeout(300.0)
        machinery._priming()

    day.clock.process(splash())
    day.run()
    spells = [(e.event, e.time) for e in day.entries if e.event in (events.PRIMING, events.PRIMING_OVER)]
    assert spells[:3] == [
        (events.PRIMING, 20.0), (events.PRIMING_OVER, 110.0), (events.PRIMING, 410.0)
    ]  # fmt: skip
    assert day.clock.reading(r.BOILER_PRESSURE) > 0.0
