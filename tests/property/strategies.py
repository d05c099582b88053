"""Random boats and random hands: what the properties of the plant are tried on.

A boat starts from a shipped one; every number of it is varied within its own range, parts are left out,
kinds are exchanged, and what does not go together (`checks.conflicts`) is thrown away. A number drawn as 0
is the shipped boat's, so that a failing example shrinks towards a shipped boat.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from hypothesis import assume
from hypothesis import strategies as st
from scenario_numbers import entries, is_allowed, with_value

from halfglass.plant import reading as r
from halfglass.plant import state as y
from halfglass.plant.boiler import surface_height
from halfglass.plant.compile import to_record
from halfglass.plant.parameters import InitialState, Settings
from halfglass.plant.steam import saturation_temperature
from halfglass.plant.steamplant import _TOLERANCE, SteamPlant
from halfglass.scenario.boat import Boat
from halfglass.scenario.catalogue.fuels import FUELS, charge
from halfglass.scenario.catalogue.reduce import initial_state, plant_parameters
from halfglass.scenario.day_checks import conflicts
from halfglass.scenario.day_models import Scenario
from halfglass.scenario.load import load

SCENARIOS = Path(__file__).parents[2] / "scenarios"
SPREAD = 0.25
"""How far a single number of a boat is taken from the shipped boat's: e to the power of ± this."""
HEIGHTS = ("shell_height", "firebox_height", "tube_rise", "drum_diameter", "bottom_nut", "top_nut")
"""Heights in a boiler, which only go together if they are scaled together."""
PRESSURES = ("set_pressure", "reseat_pressure")
FULL = 0.97
"""Share of a boiler's volume from which it counts as solid-full, the end of what the model can say."""
share = st.floats(0.0, 1.0)


@cache
def shipped_days() -> tuple[Scenario, ...]:
    """The first day with each shipped boat."""
    days: dict[str, Scenario] = {}
    for path in sorted(SCENARIOS.glob("*.toml")):
        story = load(path)
        for day in story.days.values():
            days.setdefault(day.boat.name, day)
    return tuple(days.values())


@cache
def shipped_boats() -> tuple[Boat, ...]:
    """Every shipped boat."""
    return tuple(day.boat for day in shipped_days())


def _varied(draw: Callable[..., Any], boat: Boat) -> Boat:
    """The boat with every number off by a little, heights of the boiler and valve settings in step."""
    heights = math.exp(draw(st.floats(-0.15, 0.15)))
    pressures = math.exp(draw(st.floats(-0.2, 0.2)))
    for entry in list(entries(boat)):
        if isinstance(entry.value, bool) or not isinstance(entry.value, (int, float)):
            continue
        name = entry.path[-1]
        if name in HEIGHTS:
            factor = heights * math.exp(draw(st.floats(-0.015, 0.015)))
        elif name in PRESSURES:
            factor = pressures
        elif name == "pitch_ratio":
            factor = 1.0
        else:
            factor = math.exp(SPREAD * draw(st.floats(-1.0, 1.0)))
        value = entry.value * factor
        value = max(1, round(value)) if isinstance(entry.value, int) else value
        if is_allowed(entry.info, value):
            boat = with_value(boat, entry.path, value)
    return boat


def _mixed(draw: Callable[..., Any], boat: Boat) -> Boat:
    """The boat with parts exchanged for those of other shipped boats, left out, or of another kind."""
    boats = shipped_boats()
    other = st.sampled_from((boat, *boats))
    furnace = draw(other)
    boat = boat.model_copy(update={"fire": furnace.fire, "burner": furnace.burner})
    for part in ("boiler", "engine", "exhaust", "hull", "propeller", "lubricator"):
        boat = boat.model_copy(update={part: getattr(draw(other), part)})
    injectors = [b.feed.injector for b in boats if b.feed.injector is not None]
    changes: dict[str, Any] = {}
    for part in ("engine_pump", "hand_pump", "injector"):
        if not draw(st.booleans()):
            changes[part] = injectors[0] if part == "injector" else getattr(boat.feed, part)
    feed = boat.feed.model_copy(update=changes)
    if draw(st.booleans()):
        left_out = draw(st.sampled_from(("engine_pump", "hand_pump", "injector")))
        feed = feed.model_copy(update={left_out: None})
    if feed.injector is not None:
        draws = draw(st.sampled_from(("lake", "hot well")))
        feed = feed.model_copy(update={"injector": feed.injector.model_copy(update={"draws": draws})})
    exhaust = boat.exhaust.model_copy(
        update={
            "kind": draw(
                st.sampled_from((boat.exhaust.kind, "keel condenser", "feed-heating condenser", "none"))
            ),
            "air_pump": draw(st.booleans()),
            "up_chimney": draw(st.booleans()),
        }
    )
    kind = draw(st.sampled_from((boat.engine.kind, "single", "twin", "compound")))
    low = boat.engine.bore * draw(st.floats(1.5, 2.2)) if kind == "compound" else None
    engine = boat.engine.model_copy(update={"kind": kind, "low_pressure_bore": low})
    is_mechanical = draw(st.booleans())
    lubricator = boat.lubricator.model_copy(
        update={
            "kind": "mechanical" if is_mechanical else "displacement",
            "at_speed": (boat.lubricator.at_speed or 4.0) if is_mechanical else None,
        }
    )
    valves = boat.safety_valve[: draw(st.integers(1, len(boat.safety_valve)))]
    return boat.model_copy(
        update={
            "feed": feed, "exhaust": exhaust, "engine": engine, "lubricator": lubricator,
            "safety_valve": valves,
        }
    )  # fmt: skip


@st.composite
def boats(draw: Callable[..., Any]) -> Boat:
    """A random boat of which every number is allowed and everything goes together."""
    boat = draw(st.sampled_from(shipped_boats()))
    if draw(st.booleans()):
        boat = _mixed(draw, boat)
    boat = _varied(draw, boat)
    day = shipped_days()[0].model_copy(update={"boat": boat})
    assume(not [clash for clash in conflicts(day) if clash.path[0] == "boat"])
    return boat


@st.composite
def plants(draw: Callable[..., Any], boat: st.SearchStrategy[Boat] | None = None) -> SteamPlant:
    """A random boat's plant as the day begins: from cold, or with steam up and no fire yet."""
    made = draw(boats() if boat is None else boat)
    base = shipped_days()[0]
    aboard = base.aboard.model_copy(
        update={
            "glass": draw(share),
            "hotwell": draw(share) * made.exhaust.hotwell_capacity,
            "tank_fuel": draw(share) * made.burner.tank_volume if made.burner is not None else 0.0,
        }
    )
    weather = base.weather.model_copy(
        update={
            "air_temperature": 273.15 + draw(st.floats(-10.0, 40.0)),
            "water_temperature": 273.15 + draw(st.floats(0.0, 30.0)),
            "barometer": draw(st.floats(80e3, 105e3)),
        }
    )
    day = base.model_copy(update={"boat": made, "aboard": aboard, "weather": weather})
    start = initial_state(day)
    if draw(st.booleans()):
        hottest = 0.97 * made.safety_valve[0].set_pressure
        start = hot(start, draw(st.floats(0.2, 1.0)) * hottest)
    return SteamPlant(plant_parameters(made), start)


def hot(start: InitialState, pressure: float) -> InitialState:
    """The same start with steam up at a pressure [Pa above atmosphere], vent and drains shut."""
    temperature = saturation_temperature(pressure + start.settings.atmosphere_absolute)
    settings = replace(start.settings, vent=0.0, cylinder_drains=0.0, moored=0.0)
    return replace(start, boiler_temperature=temperature, boiler_air=False, settings=settings)


HANDS: dict[str, st.SearchStrategy[float]] = {
    "throttle": share, "reversing_gear": st.floats(-1.0, 1.0), "damper": share, "fire_door": share,
    "blower": share, "burner_rate": share, "burner_preheat": st.sampled_from((0.0, 1.0)), "bypass": share,
    "hand_pump_hotwell_rate": st.floats(0.0, 1.0), "hand_pump_lake_rate": st.floats(0.0, 1.0),
    "injector": st.sampled_from((0.0, 1.0)), "cylinder_drains": share,
    "condensate_drain": share, "whistle_area": st.floats(0.0, 5e-5),
    "heating_steam_area": st.floats(0.0, 2e-5), "blow_down": share, "vent": share,
    "moored": st.sampled_from((0.0, 1.0)), "on_dead_centre": st.sampled_from((0.0, 1.0)),
    "first_safety_valve": st.sampled_from((0.0, 1.0)), "second_safety_valve": st.sampled_from((0.0, 1.0)),
    "stream": st.floats(-2.0, 2.0), "headwind": st.floats(-12.0, 12.0),
    "air_temperature": st.floats(263.15, 313.15), "lake_temperature": st.floats(273.15, 303.15),
    "atmosphere_absolute": st.floats(80e3, 105e3), "engine_pump_health": share,
    "engine_pump_wear_rate": st.floats(-1.0 / 60.0, 1.0 / 600.0), "hand_pump_health": share,
    "check_valve_leak_area": st.floats(0.0, 5e-6), "safety_valve_weep_fraction": st.floats(0.0, 0.3),
    "first_safety_valve_stuck": st.sampled_from((-1.0, 0.0, 1.0)),
    "second_safety_valve_stuck": st.sampled_from((-1.0, 0.0, 1.0)), "condenser_health": share,
    "clinker_fraction": st.floats(0.0, 0.95), "hull_fouling": st.floats(1.0, 3.0),
    "hotwell_leak_rate": st.floats(0.0, 1.7), "hotwell_steam_area": st.floats(0.0, 5e-6),
    "condensate_leak_fraction": share, "load": st.floats(-150.0, 500.0), "heel": st.floats(-0.15, 0.15),
    "trim": st.floats(-0.1, 0.1),
}  # fmt: skip
"""Whatever hands, weather and faults can set, and how far."""

DEEDS: dict[str, st.SearchStrategy[float]] = {
    "put_on": st.floats(0.1, 3.0), "light": st.floats(0.5, 3.0), "clean_grate": share,
    "draw_fire": st.just(0.0), "pump_tank_air": st.floats(0.0, 3e5), "bar_over": st.just(0.0),
    "change_cloth": st.just(0.0), "make_up_hotwell": st.floats(0.0, 10.0), "refill_lubricator": st.just(0.0),
}  # fmt: skip
"""What hands do at one stroke: the plant's doing words, with an amount."""


@dataclass(frozen=True)
class Act:
    """Something done, and the seconds that pass after it."""

    what: str
    amount: float
    then: float
    fuel: str = "steam coal"


@st.composite
def acts(draw: Callable[..., Any]) -> Act:
    """One random movement."""
    what = draw(st.sampled_from((*HANDS, *DEEDS)))
    amount = draw((HANDS | DEEDS)[what])
    return Act(what, amount, draw(st.floats(0.0, 300.0)), draw(st.sampled_from(tuple(FUELS))))


def watch() -> st.SearchStrategy[list[Act]]:
    """An hour or so of random movements."""
    return st.lists(acts(), min_size=12, max_size=40)


class Watch:
    """Works a plant through movements; safety valves pop and reseat by themselves.

    `each` is called at every stop with the plant and whether the boiler is within what the model can say:
    above the bare crown and below solid-full, never having been beyond.
    """

    def __init__(self, plant: SteamPlant, each: Callable[[SteamPlant, bool], None]) -> None:
        self.plant, self.each = plant, each
        self.within = True
        boiler = plant.parameters.boiler
        full = surface_height(to_record(boiler), FULL * boiler.volume) - boiler.bottom_nut_height
        self.ends = {
            plant.marcher.arm(r.CROWN_COVER, 0.0, -1)[0],
            plant.marcher.arm(r.WATER_LEVEL, full, +1)[0],
        }
        valves = plant.parameters.valves
        self.moves: dict[int, dict[str, float]] = {}
        for name, popping, reseating in (
            ("first_safety_valve", valves.first_set_pressure, valves.first_reseat_pressure),
            ("second_safety_valve", valves.second_set_pressure, valves.second_reseat_pressure),
        ):
            for threshold, way, lifted in ((popping, +1, 1.0), (reseating, -1, 0.0)):
                number, _ = plant.marcher.arm(r.BOILER_PRESSURE, threshold, way)
                self.moves[number] = {name: lifted}

    def work(self, movements: list[Act]) -> None:
        """Do all of them."""
        for act in movements:
            self._valves(self._do(act))
            until = self.plant.time + act.then
            while self.plant.time < until:
                self._valves(self.plant.marcher.advance(until))
                self.each(self.plant, self.within)

    def _valves(self, crossed: tuple[int, ...]) -> None:
        for number in crossed:
            if number in self.ends:
                self.within = False
            else:
                self._valves(self.plant.set(**self.moves[number]))

    def _do(self, act: Act) -> tuple[int, ...]:
        plant = self.plant
        if act.what in HANDS:
            return plant.set(**{act.what: act.amount})
        if act.what in ("put_on", "light") and plant.parameters.fire.grate_area <= 0.0:
            return ()
        if act.what == "put_on":
            return plant.put_on(charge(act.fuel, act.amount))
        if act.what == "light":
            return plant.light(charge(act.fuel, act.amount), charge("air-dry wood", 1.0), 950.0)
        if act.what == "pump_tank_air" and plant.parameters.burner.fuel_rate <= 0.0:
            return ()
        amounts = (act.amount,) if act.what in ("clean_grate", "pump_tank_air", "make_up_hotwell") else ()
        crossed: tuple[int, ...] = getattr(plant, act.what)(*amounts)
        return crossed


STOCKS = tuple(
    name
    for name in y.NAMES
    if name
    in (
        "boiler_mass", "boiler_air", "boiler_solids", "boiler_oil", "green_moisture", "green_volatile",
        "green_char", "burning_char", "char_volume", "ash", "bunker_fuel", "tank_fuel", "cylinder_water",
        "lubricator_oil", "condensate_held", "separator_mass", "separator_oil", "hotwell_mass", "hotwell_oil",
        "hotwell_solids", "engine_pump_wear", "pumping_time",
    )
)  # fmt: skip
"""What there cannot be less than none of."""


BELOW_NONE = 5.0
"""Times the step's absolute tolerance by which a stock may be read below none."""
BOILER = ("boiler_mass", "boiler_air")
"""Stocks nothing is said of once the crown is bare or the boiler solid-full."""
OTHER_STOCKS = 1e-6
"""kg or other unit, for stocks the step is not controlled by: what is dissolved follows the water's error."""


def stocks_are_there(plant: SteamPlant, within: bool) -> None:
    """No stock below none by more than the step's tolerance, and only numbers everywhere."""
    state, readings = plant.marcher.state, plant.marcher.readings
    assert np.isfinite(state).all(), [y.NAMES[i] for i in np.flatnonzero(~np.isfinite(state))]
    assert np.isfinite(readings).all(), [r.NAMES[i] for i in np.flatnonzero(~np.isfinite(readings))]
    for name in STOCKS:
        if not within and name in BOILER:
            continue
        assert state[y.INDEX[name]] >= -below_none(name), name


def below_none(name: str) -> float:
    """How far below none a stock may be read: what one step may be off [SI]."""
    place = y.INDEX.get(name, -1)
    return max(BELOW_NONE * _TOLERANCE.get(place, 0.0), OTHER_STOCKS)


def settings_left_out() -> set[str]:
    """Settings of the plant that no random hand moves: none, or a test says so."""
    return {field.name for field in fields(Settings)} - set(HANDS)
