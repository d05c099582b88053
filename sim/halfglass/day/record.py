"""From a day that has happened to the frozen outing: timeline, log, verdict, ledger, totals, provenance."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from halfglass.day.energy_account import energy_flow
from halfglass.day.feeding import CONTROL as PUMPS
from halfglass.plant import reading as r
from halfglass.plant import state as y
from halfglass.plant.boiler import crown_cover
from halfglass.plant.compile import is_compiled, to_record
from halfglass.plant.feed import suction_margin
from halfglass.plant.orifice import steam_flow
from halfglass.plant.steam import saturation
from halfglass.plant.water_quality import blow_down_needed
from halfglass.result import provenance, timeline
from halfglass.result.ledger import close
from halfglass.result.limits import MOST_SOLIDS
from halfglass.result.nearest import arrivals
from halfglass.result.occupation import occupation
from halfglass.result.records import IfNothingDone, Marks, Outing, Solids, TaskSpell
from halfglass.result.verdict import judge
from halfglass.vocabulary.quantities import QUANTITIES

if TYPE_CHECKING:
    from halfglass.day.outing import Day

LEVEL_UNCERTAINTY = 0.010
"""m, half width of what the model can say about the level in the glass (a judgement)."""
LEAST_FED = 0.1
"""kg of feed below which nothing is said of what it brought."""
ASSUMPTIONS = (
    "Water and steam are in equilibrium throughout the boiler; the wetted metal follows the water.",
    "The shaft turns at the speed where engine and screw balance; the furnace is well stirred.",
    "Crew times, kindling and the heat that lights the fire are common practice, no source.",
    "Boat, waters and people of a shipped scenario are invented.",
)
SOURCES = (
    "IF97", "BW", "MR70", "LIN", "HUG", "MM", "RHF", "OO", "DELFT", "TUP", "PNA", "HARV", "TP139", "HAR",
    "ZF", "CYC", "ISO4126", "ETB", "ROSE", "GERR", "KREN", "BOU", "STE",
)  # fmt: skip
"""Works the equations of the plant are taken from."""


def draw_up(
    day: Day, plan_name: str, seed: int, files: dict[str, bytes], nothing: IfNothingDone | None
) -> Outing:
    """The outing of a finished day."""
    assert day.outcome is not None
    table = timeline.frame(columns(day))
    marks = marks_of(day, plan_name)
    plant = day.clock.plant
    spells = [TaskSpell(spell.task, spell.start, spell.end) for spell in day.crew.spells]
    time, speed = table["time"].to_numpy(), table["boat_speed"].to_numpy()
    return Outing(
        marks=marks,
        timeline=table,
        log=timeline.log_frame(day.entries),
        verdict=judge(table, day.entries, marks, day.outcome, day.fault_at, spells),
        ledger=close(plant.mass_sides(), plant.energy_sides()),
        provenance=provenance.gather(files, plan_name, seed, day.scenario.units, is_compiled()),
        totals=totals(day),
        assumptions=ASSUMPTIONS,
        sources=SOURCES,
        if_nothing_done=nothing,
        occupation=occupation(spells, day.scenario.crew.hands, time, speed, day.entries),
        arrivals=arrivals(day.entries),
        solids=solids(day),
        energy_flow=None if day.longest is None else energy_flow(plant, day.longest),
    )


def columns(day: Day) -> dict[str, NDArray[np.float64]]:
    """The timeline by column: rows on the grid, at crossings, either side of a change, and at the end."""
    marcher = day.clock.plant.marcher
    last = np.concatenate(([day.clock.now], marcher.readings))
    rows = np.vstack([marcher.rows(), *marcher.extra_rows, last])
    rows = rows[np.argsort(rows[:, 0], kind="stable")]
    found = {"time": rows[:, 0]}
    for place, name in enumerate(r.NAMES):
        if name in QUANTITIES:
            found[name] = rows[:, place + 1]
    times = np.array([time for time, _ in day.crew.busy])
    counts = np.array([count for _, count in day.crew.busy], dtype=float)
    found["hands_busy"] = counts[np.searchsorted(times, rows[:, 0], side="right") - 1]
    return found


def marks_of(day: Day, plan_name: str) -> Marks:
    """What pictures and verdict must know of this boat and day."""
    boiler, valves, feed = day.parameters.boiler, day.parameters.valves, day.parameters.feed
    scenario, aboard = day.scenario, day.scenario.aboard
    pressures = [valves.first_set_pressure]
    if valves.second_area > 0.0:
        pressures.append(valves.second_set_pressure)
    start = day.clock.plant.start_state
    return Marks(
        title=scenario.title,
        plan_name=plan_name,
        started=day.started,
        units=scenario.units,
        glass_length=boiler.top_nut_height - boiler.bottom_nut_height,
        crown_level=-crown_cover(to_record(boiler), boiler.bottom_nut_height, aboard.heel, aboard.trim),
        level_uncertainty=LEVEL_UNCERTAINTY,
        working_pressure=scenario.firing.working_pressure,
        safety_valve_pressures=tuple(pressures),
        steaming_pressure=0.25 * scenario.firing.working_pressure,
        reversing_pressure=None,
        injector_lowest_pressure=feed.injector_starting_pressure if feed.injector_steam_area > 0.0 else None,
        fuel_capacity=float(start[y.BUNKER_FUEL] + start[y.TANK_FUEL]),
        fuel_reserve=aboard.fuel_reserve,
        hotwell_capacity=day.parameters.exhaust.hotwell_capacity,
        hotwell_low=0.2 * day.parameters.exhaust.hotwell_capacity,
        hotwell_hot=hottest_pumped(feed.pump_suction_lift, scenario.weather.barometer),
        clearance_water=day.parameters.engine.clearance_water_mass,
        lubricator_capacity=day.parameters.engine.lubricator_capacity,
        blowing_flow=0.1 * valve_flow(day),
        hands=scenario.crew.hands,
        lake_temperature=scenario.weather.water_temperature,
    )


def valve_flow(day: Day) -> float:
    """What the first safety valve passes when it lifts [kg/s]."""
    valves, atmosphere = day.parameters.valves, day.scenario.weather.barometer
    pressure = valves.first_set_pressure + atmosphere
    area = valves.first_area * valves.discharge_coefficient
    return float(steam_flow(area, pressure, atmosphere, saturation(pressure)[2]))


def hottest_pumped(lift: float, atmosphere_absolute: float) -> float:
    """Temperature [K] at which the ram pumps lose their water, by halving."""
    low, high = 275.0, 372.0
    for _ in range(40):
        middle = 0.5 * (low + high)
        if suction_margin(middle, lift, atmosphere_absolute) > 0.0:
            low = middle
        else:
            high = middle
    return low


def solids(day: Day) -> Solids | None:
    """What the boiler's solids ask for; None if nothing was fed."""
    state = day.clock.plant.marcher.state
    gain = state - day.clock.plant.start_state
    fed = sum(
        gain[place]
        for place in (
            y.TOTAL_FEED_ENGINE_PUMP, y.TOTAL_FEED_HAND_PUMP_HOTWELL,
            y.TOTAL_FEED_HAND_PUMP_LAKE, y.TOTAL_FEED_INJECTOR,
        )
    )  # fmt: skip
    if fed < LEAST_FED:
        return None
    brought = max(0.0, gain[y.BOILER_SOLIDS] + gain[y.TOTAL_SOLIDS_OUT])
    purity = 1e6 * brought / fed
    blown = blow_down_needed(1.0, purity, MOST_SOLIDS)
    share = 1.0 if np.isinf(blown) else blown / (1.0 + blown)
    return Solids(day.clock.reading(r.BOILER_SOLIDS), float(purity), MOST_SOLIDS, float(share))


def totals(day: Day) -> dict[str, float]:
    """What the day came to, SI with the unit in the key."""
    gain = day.clock.plant.marcher.state - day.clock.plant.start_state
    burnt = gain[y.TOTAL_FUEL_TAKEN] - gain[y.BUNKER_FUEL] - gain[y.TANK_FUEL]
    return {
        "fuel_used_kg": float(burnt),
        "fuel_taken_kg": float(gain[y.TOTAL_FUEL_TAKEN]),
        "distance_m": float(gain[y.DISTANCE]),
        "steam_used_by_engine_kg": float(gain[y.TOTAL_ENGINE_STEAM]),
        "feed_engine_pump_kg": float(gain[y.TOTAL_FEED_ENGINE_PUMP]),
        "feed_hand_pump_hotwell_kg": float(gain[y.TOTAL_FEED_HAND_PUMP_HOTWELL]),
        "feed_hand_pump_lake_kg": float(gain[y.TOTAL_FEED_HAND_PUMP_LAKE]),
        "feed_injector_kg": float(gain[y.TOTAL_FEED_INJECTOR]),
        "lake_water_taken_kg": float(gain[y.TOTAL_LAKE_WATER]),
        "steam_lost_safety_valves_kg": float(gain[y.TOTAL_SAFETY_VALVE_STEAM]),
        "indicated_work_J": float(gain[y.TOTAL_INDICATED_WORK]),
        "heat_to_boiler_J": float(gain[y.TOTAL_HEAT_TO_BOILER]),
        "hotwell_made_up_kg": float(
            gain[y.TOTAL_LAKE_WATER]
            - gain[y.TOTAL_FEED_HAND_PUMP_LAKE]
            - (0.0 if day.parameters.feed.injector_from_hotwell > 0.5 else gain[y.TOTAL_FEED_INJECTOR])
        ),
        "blown_down_kg": float(gain[y.TOTAL_BLOW_DOWN]),
        "hand_pumping_s": float(sum(s.end - s.start for s in day.crew.spells if s.task in PUMPS)),
        "hand_pump_strokes": float(gain[y.TOTAL_STROKES_HOTWELL] + gain[y.TOTAL_STROKES_LAKE]),
    }
