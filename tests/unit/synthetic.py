"""Outings made up for the tests of verdict, report and files. Drawn curves, no physics: not results."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import numpy as np

from halfglass.result import events, ledger
from halfglass.result.nearest import arrivals
from halfglass.result.occupation import occupation
from halfglass.result.records import IfNothingDone, LogEntry, Marks, Outcome, Outing, Solids, TaskSpell
from halfglass.result.timeline import frame, log_frame
from halfglass.result.verdict import judge
from halfglass.vocabulary.quantities import QUANTITIES

HOUR = 3600.0
FAULT_AT = 3.5 * HOUR

SPELLS = (
    TaskSpell("steering", 2 * HOUR, 4.5 * HOUR),
    TaskSpell("hand pump on hot well", FAULT_AT + 200, FAULT_AT + 4000),
    TaskSpell("lines", 5.0 * HOUR, 5.0 * HOUR + 200.0),
    TaskSpell("steering", 5.2 * HOUR, 6.8 * HOUR),
    TaskSpell("firing", 5.5 * HOUR, 5.5 * HOUR + 50.0),
)

MARKS = Marks(
    title="Pump stopped past the alders (synthetic)",
    plan_name="hand pump",
    started=datetime(2026, 6, 6, 8, 15),
    units="metric",
    glass_length=0.15,
    crown_level=-0.06,
    level_uncertainty=0.01,
    working_pressure=6.5e5,
    safety_valve_pressures=(6.9e5, 7.1e5),
    steaming_pressure=1.5e5,
    reversing_pressure=2.6e5,
    injector_lowest_pressure=2.0e5,
    fuel_capacity=80.0,
    fuel_reserve=12.0,
    hotwell_capacity=40.0,
    hotwell_low=8.0,
    hotwell_hot=350.0,
    clearance_water=0.05,
    lubricator_capacity=0.25,
    blowing_flow=1e-3,
    hands=2,
    lake_temperature=288.0,
    arrival_due=6.5 * HOUR,
)


def marks(**changes: object) -> Marks:
    """The made-up boat with some marks changed."""
    return replace(MARKS, **changes)  # type: ignore[arg-type]


def outing(plan: str = "hand pump", holds: bool = True, hours: float = 10.0, **changes: object) -> Outing:
    """A made-up day: two hours to raise steam, under way with one stop, a fault at 3.5 h, shut down."""
    mark = marks(plan_name=plan, **changes)
    columns = _columns(hours, holds)
    log = _log(hours, holds)
    kind, sentence = (
        ("arrived", "Alongside at Alder jetty.")
        if holds
        else ("low-water drill", "The crew found no water in the glass, drew the fire and stopped.")
    )
    verdict = judge(columns, log, mark, Outcome(kind, 6.8 * HOUR, sentence), FAULT_AT, SPELLS)
    return Outing(
        marks=mark,
        timeline=frame(columns),
        log=log_frame(log),
        verdict=verdict,
        ledger=_ledger(),
        provenance={
            "halfglass": "0",
            "seed": 0,
            "plan": plan,
            "scenario_sha256": "0" * 64,
            "libraries": {"numpy": "x"},
        },
        totals={
            "fuel_used_kg": 52.0,
            "distance_m": 21500.0,
            "hand_pumping_s": 5400.0,
            "evaporated_kg": 310.0,
        },
        assumptions=("Wind and stream are steady along each leg.", "Invented boat and waters."),
        sources=("IF97", "BW"),
        occupation=occupation(SPELLS, mark.hands, columns["time"], columns["boat_speed"], log),
        arrivals=arrivals(log),
        solids=Solids(2100.0, 150.0, 3500.0, 0.045),
        if_nothing_done=IfNothingDone("engine pump stops delivering", FAULT_AT, 14.2 * 60, 2 * HOUR, 0.2),
    )


def _columns(hours: float, holds: bool) -> dict[str, np.ndarray]:
    time = np.unique(np.concatenate([np.arange(0.0, hours * HOUR + 1, 6.0), [FAULT_AT + 1.25]]))
    way = ((time > 2 * HOUR) & (time < 4.5 * HOUR)) | ((time > 5.2 * HOUR) & (time < 6.8 * HOUR))
    after = np.clip(time - FAULT_AT, 0, None)
    raised = np.clip(time / (2 * HOUR), 0, 1)
    ripple = np.sin(time / 611) + 0.5 * np.sin(time / 97)
    depth = 0.35 if holds else 1.15
    glass = 0.5 + 0.08 * ripple * raised - depth * np.exp(-(((after - 2400) / 1500) ** 2)) * (after > 0)
    pressure = np.where(
        time < 7 * HOUR,
        6.2e5 * raised**3 + 0.5e5 * ripple * raised,
        6.2e5 * np.exp(-(time - 7 * HOUR) / 5000),
    ).clip(0)
    columns = {name: np.zeros_like(time) for name in QUANTITIES}
    pump = way & (time < FAULT_AT)
    hand = (time > FAULT_AT + 200) & (time < FAULT_AT + 4000) & ((time % 900) < 500)
    columns |= {
        "time": time,
        "glass_fraction": glass,
        "glass_level": glass * MARKS.glass_length,
        "swell": 0.012 * way * (1 + 0.2 * ripple),
        "water_level": glass * MARKS.glass_length + 0.006 * way,
        "boiler_pressure": pressure,
        "safety_valve_flow": np.where(pressure > 6.85e5, 4e-3, 0.0),
        "fuel_on_board": 80 - 52 * np.clip((time - 600) / (6.2 * HOUR), 0, 1),
        "reversing_margin": pressure / 2.6e5,
        "lubricator_oil": np.full_like(time, 0.2),
        "hotwell_mass": 24 + 10 * np.sin(time / 5000),
        "hotwell_temperature": 300 + 40 * raised + 6 * ripple,
        "boat_speed": 2.4 * way + 0.1 * ripple * way,
        "ground_speed": 2.3 * way,
        "distance": np.cumsum(2.3 * way) * 6.0,
        "shaft_speed": 5.5 * way,
        "feed_flow_engine_pump": 0.014 * pump * (1 + 0.1 * ripple),
        "feed_flow_hand_pump_hotwell": 0.02 * hand,
        "feed_flow_injector": 0.05 * ((time > 5.6 * HOUR) & (time < 5.75 * HOUR)),
        "evaporation_rate": 0.013 * way,
        "bed_fuel_mass": 4 + 1.5 * ((time % 700) / 700) * (time < 6.8 * HOUR),
        "burning_rate": 0.0023 * raised * (time < 6.8 * HOUR),
        "hands_busy": ((time % 180) < 40) * 1.0 + hand,
    }
    return columns


def _log(hours: float, holds: bool) -> list[LogEntry]:
    log = [
        LogEntry(0.0, events.DAY, "fire", events.LIGHT_UP, "The fire is lit."),
        LogEntry(2 * HOUR, events.DAY, "route", events.UNDER_WAY, "Under way for Alder jetty."),
        LogEntry(FAULT_AT, events.DAY, "feed", events.FAULT, "The engine pump stops delivering."),
        LogEntry(
            FAULT_AT + 200, "skipper", "feed", "starts pumping", "Glass below a quarter: takes the hand pump."
        ),
        LogEntry(FAULT_AT + 2300, "hand", "feed", "takes over the pump", "The skipper is tired."),
        LogEntry(4.4 * HOUR, "skipper", "reversing", events.REVERSAL_WANTED, "Astern to come alongside."),
        LogEntry(4.4 * HOUR + 8, events.PLANT, "reversing", events.REVERSAL_DONE, "The engine goes astern."),
        LogEntry(4.5 * HOUR, events.DAY, "route", events.REACHED, "Alder jetty: glass 50 %."),
        LogEntry(5.0 * HOUR, events.PLANT, "crew", events.TASK_OVERDUE, "Firing is overdue."),
        LogEntry(5.0 * HOUR + 240, events.PLANT, "crew", events.OVERDUE_TASK_DONE, "Firing is done."),
        LogEntry(6.9 * HOUR, events.DAY, "route", events.SHUT_DOWN, "Fire drawn, damper shut."),
    ]
    log += [
        LogEntry(t, "hand", "water", events.LOOK, f"Glass at {0.5:.2f}, steady.")
        for t in np.arange(300.0, 6.8 * HOUR, 400.0)
    ]
    log += [
        LogEntry(t, "hand", "fire", "fires", "One shovel of coal.")
        for t in np.arange(700.0, 6.5 * HOUR, 900.0)
    ]
    return sorted(log, key=lambda e: e.time)


def _ledger() -> ledger.Ledger:
    mass = {
        "in": {"feed from the hot well": 300.0, "fuel": 52.0},
        "out": {"steam to the engine": 310.0, "ash": 4.0},
        "kept": {"boiler": 38.0, "hot well": -1e-7},
    }
    energy = {
        "in": {"fuel": 1.5e9},
        "out": {"stack": 4e8, "shaft": 5e7, "exhaust": 8e8},
        "kept": {"boiler": 2.5e8},
    }
    return ledger.close(mass, energy)  # type: ignore[arg-type]
