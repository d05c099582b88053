"""Faults: when they come, what they do beside moving settings of the plant, their repair.

What a fault is called, says and sets stands in its table (`scenario/fault_models.py`).
"""

from __future__ import annotations

import datetime
from collections.abc import Callable, Generator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import simpy

from halfglass.plant import reading as r
from halfglass.result import events

if TYPE_CHECKING:
    from halfglass.day.outing import Day

Doing = Callable[[Any, Any], None]


@dataclass(frozen=True)
class More:
    """What one kind of fault does, and what putting it right does, beside its settings of the plant."""

    begin: Doing | None = None
    end: Doing | None = None


NOTHING_MORE = More()


def _burner_out(day: Day, fault: Any) -> None:
    """The flame is gone; where it needs putting right, it cannot be lit before."""
    day.burner_sound = fault.repaired_after is None
    day.clock.set(burner_rate=0.0, burner_preheat=0.0)
    if day.relighting is not None:
        day.relighting.interrupt("out again")


def _mend_burner(day: Day, fault: Any) -> None:
    day.burner_sound = True


def _stream(day: Day, by: float) -> None:
    day.stream_turned += by
    if day.crew.under_way or day.by_hand is not None:
        day.clock.set(stream=day.clock.plant.controls.stream + by)


def _wind(day: Day, by: float) -> None:
    day.wind_got_up += by
    day.clock.set(headwind=day.clock.plant.controls.headwind + by)


def _delay(day: Day, fault: Any) -> None:
    day.lock_delay += fault.wait


def _ashore(day: Day, fault: Any) -> None:
    day.back_aboard[fault] = day.clock.event()
    day.clock.process(day.crew.absent(day.back_aboard[fault]))


def _aboard(day: Day, fault: Any) -> None:
    day.back_aboard.pop(fault).succeed()


def _sound(is_sound: bool) -> Doing:
    def change(day: Day, fault: Any) -> None:
        day.injector_sound = is_sound

    return change


def _gauge(sign: float) -> Doing:
    def change(day: Day, fault: Any) -> None:
        day.instruments.put_gauge_out(sign * fault.by)

    return change


MORE: dict[str, More] = {
    "injector will not start": More(_sound(False), _sound(True)),
    "safety valve sticks shut": More(end=lambda day, fault: day.machinery.free_valve()),
    "wet fuel": More(
        lambda day, fault: setattr(day, "fuel_moisture", fault.moisture),
        lambda day, fault: setattr(day, "fuel_moisture", day.scenario.aboard.fuel_moisture),
    ),
    "burner goes out": More(_burner_out, _mend_burner),
    "glass cock shut": More(
        lambda day, fault: day.instruments.shut_cock(fault.cock),
        lambda day, fault: day.instruments.open_cock(),
    ),
    "gauge reads wrong": More(_gauge(1.0), _gauge(-1.0)),
    "oily feed": More(lambda day, fault: day.clock.do(day.clock.plant.foul_with_oil(fault.oil))),
    "boat heels": More(end=lambda day, fault: day.clock.set(heel=day.scenario.aboard.heel)),
    "stream turns": More(
        lambda day, fault: _stream(day, fault.by), lambda day, fault: _stream(day, -fault.by)
    ),
    "wind gets up": More(lambda day, fault: _wind(day, fault.by), lambda day, fault: _wind(day, -fault.by)),
    "long wait at the lock": More(_delay),
    "one of the crew ashore": More(_ashore, _aboard),
}  # fmt: skip
"""The faults that do more than move settings of the plant."""


def happen(day: Day, fault: Any) -> Generator[simpy.Event, Any, None]:
    """Wait for the moment, do the harm, and put it right after a while if the scenario says so."""
    yield moment(day, fault.at)
    if fault.at.plus:
        yield day.clock.timeout(fault.at.plus)
    strike(day, fault)
    after = getattr(fault, "repaired_after", None)
    if after is None:
        return
    yield day.clock.timeout(after)
    put_right(day, fault)


def strike(day: Day, fault: Any) -> None:
    """Let a fault begin now."""
    day.log(events.DAY, fault.subject, events.FAULT, fault.sentence)
    if day.fault_at is None:
        day.fault_at = day.clock.now
    day.faults_at_work.append(fault)
    day.clock.set(**fault.settings())
    begin = MORE.get(fault.kind, NOTHING_MORE).begin
    if begin is not None:
        begin(day, fault)


def put_right(day: Day, fault: Any) -> None:
    """End a fault, if nobody has put it right before."""
    if not any(fault is one for one in day.faults_at_work):
        return
    day.faults_at_work = [one for one in day.faults_at_work if one is not fault]
    day.clock.set(**fault.mended)
    end = MORE.get(fault.kind, NOTHING_MORE).end
    if end is not None:
        end(day, fault)
    told = f"Put right: {fault.sentence[:1].lower()}{fault.sentence[1:]}"
    day.log(events.DAY, fault.subject, events.FAULT_REPAIRED, told)


def moment(day: Day, at: Any) -> simpy.Event:
    """The event at which a fault's clock time, place or condition comes."""
    if at.clock is not None:
        due = datetime.datetime.combine(day.scenario.date, at.clock) + datetime.timedelta(days=at.day - 1)
        seconds = (due - day.started).total_seconds()
        return day.clock.timeout(seconds if seconds >= 0.0 else seconds % 86400.0)
    if at.leaving is not None:
        return day.passing("leaving", at.leaving)
    if at.arriving is not None:
        return day.passing("arriving", at.arriving)
    if at.glass_below is not None:
        return day.clock.when(r.GLASS_FRACTION, at.glass_below, -1)
    return day.clock.process(fall_after_rise(day, at.pressure_below))


def fall_after_rise(day: Day, pressure: float) -> Generator[simpy.Event, Any, None]:
    """Pressure must have been above the value before falling below it counts."""
    yield day.clock.when(r.BOILER_PRESSURE, pressure, +1)
    yield day.clock.when(r.BOILER_PRESSURE, pressure, -1)
