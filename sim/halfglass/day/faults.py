"""Faults: when they come, what they do, their repair. To add a fault, add a row to EFFECTS."""

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
WATER_DENSITY = 999.0


@dataclass(frozen=True)
class Effect:
    """What one kind of fault does: controls of the plant while it lasts and after, or more than that."""

    subject: str
    sentence: str
    settings: Callable[[Any], dict[str, float]] = lambda fault: {}
    repaired: dict[str, float] | None = None
    begin: Doing | None = None
    end: Doing | None = None


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


FREE = {"first_safety_valve_stuck": 0.0, "second_safety_valve_stuck": 0.0}

EFFECTS: dict[str, Effect] = {
    "engine pump stops delivering": Effect(
        "feed", "The engine-driven pump stops delivering.",
        lambda fault: {"engine_pump_health": 0.0}, {"engine_pump_health": 1.0},
    ),
    "engine pump packing going": Effect(
        "feed", "The engine-driven pump's packing is going.",
        lambda fault: {"engine_pump_wear_rate": 1.0 / fault.gone_after},
        {"engine_pump_wear_rate": -1.0 / 60.0},
    ),
    "check valve leaks": Effect(
        "feed", "The feed check valve leaks back.",
        lambda fault: {"check_valve_leak_area": fault.area}, {"check_valve_leak_area": 0.0},
    ),
    "injector will not start": Effect(
        "feed", "The injector will not pick up.", lambda fault: {"injector": 0.0},
        begin=_sound(False), end=_sound(True),
    ),
    "hand pump leathers worn": Effect(
        "feed", "The hand pump's leathers are worn.",
        lambda fault: {"hand_pump_health": 1.0 - fault.share_lost}, {"hand_pump_health": 1.0},
    ),
    "safety valve weeps": Effect(
        "pressure", "The first safety valve weeps.",
        lambda fault: {"safety_valve_weep_fraction": fault.share}, {"safety_valve_weep_fraction": 0.0},
    ),
    "safety valve sticks shut": Effect(
        "pressure", "A safety valve is stuck shut.",
        lambda fault: {f"{fault.valve}_safety_valve_stuck": -1.0}, FREE,
        end=lambda day, fault: day.machinery.free_valve(),
    ),
    "safety valve sticks open": Effect(
        "pressure", "A safety valve is stuck open.",
        lambda fault: {f"{fault.valve}_safety_valve_stuck": 1.0}, FREE,
    ),
    "wet fuel": Effect(
        "fire", "What is fired from now on is wet.",
        begin=lambda day, fault: setattr(day, "fuel_moisture", fault.moisture),
        end=lambda day, fault: setattr(day, "fuel_moisture", day.scenario.aboard.fuel_moisture),
    ),
    "clinkered grate": Effect(
        "fire", "Clinker shuts part of the grate.",
        lambda fault: {"clinker_fraction": fault.share}, {"clinker_fraction": 0.0},
    ),
    "burner goes out": Effect("fire", "The burner goes out.", begin=_burner_out, end=_mend_burner),
    "condenser fouls": Effect(
        "hotwell", "The keel condenser is fouled.",
        lambda fault: {"condenser_health": 1.0 - fault.share_lost}, {"condenser_health": 1.0},
    ),
    "condenser leaks": Effect(
        "hotwell", "Condensate is lost on its way to the hot well.",
        lambda fault: {"condensate_leak_fraction": fault.share_lost}, {"condensate_leak_fraction": 0.0},
    ),
    "hot well water lost": Effect(
        "hotwell", "The hot well leaks.",
        lambda fault: {"hotwell_leak_rate": fault.rate * WATER_DENSITY}, {"hotwell_leak_rate": 0.0},
    ),
    "hot well overheated": Effect(
        "hotwell", "A drain blows live steam into the hot well.",
        lambda fault: {"hotwell_steam_area": fault.area}, {"hotwell_steam_area": 0.0},
    ),
    "glass cock shut": Effect(
        "water", "A cock of the gauge glass is shut.",
        begin=lambda day, fault: day.instruments.shut_cock(fault.cock),
        end=lambda day, fault: day.instruments.open_cock(),
    ),
    "gauge reads wrong": Effect(
        "pressure", "The pressure gauge reads wrong.", begin=_gauge(1.0), end=_gauge(-1.0)
    ),
    "oily feed": Effect(
        "water", "Oil gets into the boiler with the feed.",
        begin=lambda day, fault: day.clock.do(day.clock.plant.foul_with_oil(fault.oil)),
    ),
    "boat heels": Effect(
        "water", "The boat lies over.", lambda fault: {"heel": fault.to},
        end=lambda day, fault: day.clock.set(heel=day.scenario.aboard.heel),
    ),
    "stream turns": Effect(
        "route", "The stream turns.",
        begin=lambda day, fault: _stream(day, fault.by), end=lambda day, fault: _stream(day, -fault.by),
    ),
    "wind gets up": Effect(
        "route", "The wind gets up.",
        begin=lambda day, fault: _wind(day, fault.by), end=lambda day, fault: _wind(day, -fault.by),
    ),
    "long wait at the lock": Effect("route", "There is a long wait at the next lock.", begin=_delay),
    "one of the crew ashore": Effect(
        "crew", "One of the crew is no help from now on.", begin=_ashore, end=_aboard
    ),
}  # fmt: skip


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
    effect = EFFECTS[fault.kind]
    day.log(events.DAY, effect.subject, events.FAULT, effect.sentence)
    if day.fault_at is None:
        day.fault_at = day.clock.now
    day.faults_at_work.append(fault)
    day.clock.set(**effect.settings(fault))
    if effect.begin is not None:
        effect.begin(day, fault)


def put_right(day: Day, fault: Any) -> None:
    """End a fault, if nobody has put it right before."""
    if not any(fault is one for one in day.faults_at_work):
        return
    day.faults_at_work = [one for one in day.faults_at_work if one is not fault]
    effect = EFFECTS[fault.kind]
    day.clock.set(**(effect.repaired or {}))
    if effect.end is not None:
        effect.end(day, fault)
    told = f"Put right: {effect.sentence[:1].lower()}{effect.sentence[1:]}"
    day.log(events.DAY, effect.subject, events.FAULT_REPAIRED, told)


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
