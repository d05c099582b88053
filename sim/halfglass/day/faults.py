"""Faults: when they come, what they do, their repair. To add a fault, add a row to EFFECTS."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Generator
from typing import TYPE_CHECKING, Any

import simpy

from halfglass.plant import reading as r
from halfglass.result import events

if TYPE_CHECKING:
    from halfglass.day.outing import Day

Effect = Callable[[Any], dict[str, float]]

EFFECTS: dict[str, tuple[str, str, Effect, dict[str, float]]] = {
    # kind: (subject, sentence, settings while it lasts, settings when repaired)
    "engine pump stops delivering": (
        "feed", "The engine-driven pump stops delivering.",
        lambda fault: {"engine_pump_health": 0.0}, {"engine_pump_health": 1.0},
    ),
    "check valve leaks": (
        "feed", "The feed check valve leaks back.",
        lambda fault: {"check_valve_leak_area": fault.area}, {"check_valve_leak_area": 0.0},
    ),
    "injector will not start": (
        "feed", "The injector will not pick up.",
        lambda fault: {"injector": 0.0}, {},
    ),
    "hand pump leathers worn": (
        "feed", "The hand pump's leathers are worn.",
        lambda fault: {"hand_pump_health": 1.0 - fault.share_lost}, {"hand_pump_health": 1.0},
    ),
    "safety valve weeps": (
        "pressure", "The first safety valve weeps.",
        lambda fault: {"safety_valve_weep_fraction": fault.share}, {"safety_valve_weep_fraction": 0.0},
    ),
    "engine pump packing going": (
        "feed", "The engine-driven pump's packing is going.",
        lambda fault: {"engine_pump_wear_rate": 1.0 / fault.gone_after},
        {"engine_pump_wear_rate": -1.0 / 60.0},
    ),
    "safety valve sticks shut": (
        "pressure", "The first safety valve is stuck shut.",
        lambda fault: {"first_safety_valve_stuck": -1.0}, {"first_safety_valve_stuck": 0.0},
    ),
    "safety valve sticks open": (
        "pressure", "The first safety valve is stuck open.",
        lambda fault: {"first_safety_valve_stuck": 1.0}, {"first_safety_valve_stuck": 0.0},
    ),
    "condenser fouls": (
        "hotwell", "The keel condenser is fouled.",
        lambda fault: {"condenser_health": 1.0 - fault.share_lost}, {"condenser_health": 1.0},
    ),
    "clinkered grate": (
        "fire", "Clinker shuts part of the grate.",
        lambda fault: {"clinker_fraction": fault.share}, {"clinker_fraction": 0.0},
    ),
    "hot well water lost": (
        "hotwell", "The hot well leaks.",
        lambda fault: {"hotwell_leak_rate": fault.rate * 999.0}, {"hotwell_leak_rate": 0.0},
    ),
}  # fmt: skip


def happen(day: Day, fault: Any) -> Generator[simpy.Event, Any, None]:
    """Wait for the moment, do the harm, and put it right after a while if the scenario says so."""
    yield moment(day, fault.at)
    if fault.at.plus:
        yield day.clock.timeout(fault.at.plus)
    subject, sentence, effect, repaired = EFFECTS[fault.kind]
    day.log(events.DAY, subject, events.FAULT, sentence)
    if day.fault_at is None:
        day.fault_at = day.clock.now
    is_injector = fault.kind == "injector will not start"
    day.injector_sound = day.injector_sound and not is_injector
    day.clock.set(**effect(fault))
    if fault.repaired_after is not None:
        yield day.clock.timeout(fault.repaired_after)
        day.injector_sound = day.injector_sound or is_injector
        day.clock.set(**repaired)
        day.log(
            events.DAY, subject, events.FAULT_REPAIRED, f"Put right: {sentence[:1].lower()}{sentence[1:]}"
        )


def moment(day: Day, at: Any) -> simpy.Event:
    """The event at which a fault's clock time, place or condition comes."""
    if at.clock is not None:
        date = day.scenario.date
        due = datetime.datetime.combine(date, at.clock) - datetime.datetime.combine(
            date, day.scenario.light_up
        )
        return day.clock.timeout(due.total_seconds() % 86400.0)
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
