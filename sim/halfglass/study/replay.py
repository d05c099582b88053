"""A boat's plant driven by what her log says was done: nobody decides anything, and nothing is drawn.

So what it shows changes smoothly with the numbers of the boat, as a fit needs. For the same reason the safety
valves do not pop here: over the last 3 % below the pressure at which they lift, where others simmer, they
open in proportion, which lets out the same steam on the mean.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from halfglass.day.chores import (
    CLEANING,
    DOOR_BEFORE,
    PREHEAT,
    PREHEAT_AFTER,
    RAKED_OUT,
    TANK_FULL,
    TANK_LOW,
)
from halfglass.day.crew import VENT_SHUT
from halfglass.day.instruments import TURNING
from halfglass.day.route import FIRST_TURNS, KINDLING, LIT_TEMPERATURE, WARM_ENOUGH
from halfglass.plant import reading as r
from halfglass.plant.steamplant import SteamPlant
from halfglass.scenario.catalogue.fuels import FUELS, charge
from halfglass.scenario.catalogue.reduce import WATER_DENSITY, initial_state, plant_parameters
from halfglass.scenario.day_models import Scenario
from halfglass.study.owner_log import CONTROLS, Array, OwnerLog

PLENTY = 1e4
"""kg in the bunker: the log says what was burnt."""


class Act(NamedTuple):
    """Something done to the plant at a moment [s]."""

    time: float
    do: Callable[[], object]


def replay(day: Scenario, log: OwnerLog, done_at: Array | None = None) -> dict[str, Array]:
    """What a boat would have shown at each line of a log, had that been done to her.

    Parameters: day, whose boat, weather and stores before lighting up count; log; done_at [s, rising], when
    what each line says was done really was, if not at the time of the line.
    Returns: every column seen in the log, by name [SI]; nan from where the crown is bare, as the model ends.
    Raises: MarchFailedError if the plant cannot be integrated.
    """
    return _Replay(day, log, log.time if done_at is None else done_at).run()


class _Replay:
    """One run of one plant."""

    def __init__(self, day: Scenario, log: OwnerLog, done_at: Array) -> None:
        self.day, self.log, self.done_at = day, log, done_at
        parameters = plant_parameters(day.boat)
        valves = replace(parameters.valves, first_simmer_fraction=1.0, second_simmer_fraction=1.0)
        start = initial_state(day)
        if day.aboard.fuel in FUELS:
            start = replace(start, fuel_mass=PLENTY)
        self.plant = SteamPlant(parameters._replace(valves=valves), start, record_every=0.0)
        self.plant.marcher.arm(r.CROWN_COVER, 0.0, -1)
        self.is_lit = self.is_bare = False
        self.turning_since: float | None = None

    def run(self) -> dict[str, Array]:
        """Follow the log."""
        seen = self.log.seen
        shown = {name: np.full(self.log.time.size, np.nan) for name in seen}
        acts = sorted(self._acts(), key=lambda act: act.time)
        done = 0
        for line, time in enumerate(self.log.time):
            while done < len(acts) and acts[done].time < time:
                self._to(acts[done].time)
                acts[done].do()
                done += 1
            self._to(float(time))
            if self.is_bare:
                break
            for name in seen:
                shown[name][line] = self.plant.reading(name)
            self._mind()
        return shown

    def _acts(self) -> Iterator[Act]:
        """All that the log says was done, and what goes with it."""
        log, plant = self.log, self.plant
        for line, time in enumerate(self.done_at):
            settings = {c.name: float(log.noted(c.name)[line]) for c in CONTROLS}
            settings = {name: value for name, value in settings.items() if math.isfinite(value)}
            if "throttle" in settings and "moored" not in log.columns:
                settings["moored"] = 0.0 if settings["throttle"] > 0.0 else 1.0
            if "injector" in settings and self.plant.parameters.feed.injector_steam_area <= 0.0:
                del settings["injector"]
            yield Act(_after(time), _setting(plant, settings))
            if settings.get("burner_rate", 0.0) > 0.0:
                yield from self._preheats(line, float(time))
            yield from self._doings(line, float(time))

    def _preheats(self, line: int, time: float) -> Iterator[Act]:
        """A burner that was out is warmed first."""
        before = self.log.noted("burner_rate")[:line]
        before = before[np.isfinite(before)]
        if before.size == 0 or before[-1] == 0.0:
            yield Act(max(0.0, time - PREHEAT), _setting(self.plant, {"burner_preheat": 1.0}))
            yield Act(time + PREHEAT_AFTER, _setting(self.plant, {"burner_preheat": 0.0}))

    def _doings(self, line: int, time: float) -> Iterator[Act]:
        """What was done once in a line."""
        plant, log = self.plant, self.log

        def much(name: str) -> float:
            value = float(log.noted(name)[line])
            return value if math.isfinite(value) else 0.0

        if (fuel := much("fuel_added")) > 0.0:
            yield from self._fires(fuel, time)
        if (water := much("water_added")) > 0.0:
            yield Act(_after(time), lambda: plant.make_up_hotwell(water * WATER_DENSITY))
        if (seconds := much("blow_down")) > 0.0:
            yield Act(_after(time), _setting(plant, {"blow_down": 1.0}))
            yield Act(time + seconds, _setting(plant, {"blow_down": 0.0}))
        if much("grate_cleaned") > 0.0:
            yield Act(max(0.0, time - CLEANING), _setting(plant, {"fire_door": 1.0}))
            yield Act(_after(time), lambda: plant.clean_grate(RAKED_OUT))
            yield Act(_after(time), _setting(plant, {"fire_door": 0.0}))
        began = float(self.done_at[line - 1]) if line else 0.0
        for name, control in (("strokes_hotwell", "hand_pump_hotwell_rate"),
                              ("strokes_lake", "hand_pump_lake_rate")):  # fmt: skip
            if (strokes := much(name)) > 0.0 and time > began:
                yield Act(_after(began), _setting(plant, {control: strokes / (time - began)}))
                yield Act(_before(time), _setting(plant, {control: 0.0}))

    def _fires(self, mass: float, time: float) -> Iterator[Act]:
        """Fuel onto the fire, the first on kindling; or into the tank."""
        plant, aboard = self.plant, self.day.aboard
        if aboard.fuel not in FUELS:
            yield Act(_after(time), lambda: plant.take_fuel(mass))
            return
        fuel = charge(aboard.fuel, mass, aboard.fuel_moisture, aboard.fuel_ash)
        if not self.is_lit:
            self.is_lit = True
            kindling = charge("air-dry wood", KINDLING)
            yield Act(_after(time), lambda: plant.light(fuel, kindling, LIT_TEMPERATURE))
            return
        opened = DOOR_BEFORE * self.day.crew.firing_takes
        yield Act(_after(time), _setting(plant, {"fire_door": 1.0}))
        yield Act(_after(time + opened), lambda: plant.put_on(fuel))
        yield Act(_after(time + opened), _setting(plant, {"fire_door": 0.0}))

    def _to(self, time: float) -> None:
        """On to a moment, or to where the crown is bare."""
        while self.plant.time < time and not self.is_bare:
            self.plant.marcher.advance(time)
            self.is_bare = self.plant.reading("crown_cover") < 0.0

    def _mind(self) -> None:
        """Do at a line what goes without saying: tank air; vent and drains the log has no columns for."""
        plant, columns = self.plant, self.log.columns
        if (
            "vent" not in columns
            and plant.controls.vent > 0.0
            and plant.reading("boiler_pressure") > VENT_SHUT
        ):
            plant.set(vent=0.0)
        if "cylinder_drains" not in columns and plant.controls.cylinder_drains > 0.0:
            self._shut_drains()
        burner = plant.parameters.burner
        is_low = plant.reading("burner_tank_pressure") < TANK_LOW * burner.reference_pressure
        if burner.fuel_rate > 0.0 and is_low:
            plant.pump_tank_air(TANK_FULL * burner.reference_pressure)

    def _shut_drains(self) -> None:
        plant = self.plant
        if abs(plant.reading("shaft_speed")) < TURNING:
            self.turning_since = None
        elif self.turning_since is None:
            self.turning_since = plant.time
        elif plant.time >= self.turning_since + FIRST_TURNS and (
            plant.reading("engine_heat_deficit") < WARM_ENOUGH
        ):
            plant.set(cylinder_drains=0.0)


def _setting(plant: SteamPlant, settings: dict[str, float]) -> Callable[[], object]:
    return lambda: plant.set(**settings)


def _after(time: float) -> float:
    """Just after a line was read: what was seen stands before what was done."""
    return float(time) + 1e-3


def _before(time: float) -> float:
    """Just before a line is read."""
    return float(time) - 1e-3
