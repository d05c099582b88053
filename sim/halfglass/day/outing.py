"""One day under one plan: put the plant, the crew, the route and the faults together, run, and report."""

from __future__ import annotations

import datetime
from collections.abc import Generator, Mapping
from dataclasses import asdict, dataclass
from functools import partial
from typing import Any

import simpy

from halfglass.day import faults, route
from halfglass.day.clock import PlantClock
from halfglass.day.crew import Crew, feed_left_alone
from halfglass.day.orders import Decision, Memory, Observation, decide_feed
from halfglass.day.record import draw_up, marks_of
from halfglass.plant import reading as r
from halfglass.plant.marcher import ChatterError, MarchFailedError
from halfglass.plant.steamplant import RECORD_EVERY, SteamPlant
from halfglass.result import events, limits
from halfglass.result.records import IfNothingDone, LogEntry, Outcome, Outing
from halfglass.scenario.catalogue.fuels import FUELS
from halfglass.scenario.catalogue.reduce import initial_state, plant_parameters
from halfglass.scenario.day_models import Scenario
from halfglass.vocabulary import quantities
from halfglass.vocabulary.errors import HalfglassFailure

LONGEST_DAY = 36 * 3600.0
BARRING = 20.0
"""s to bar an engine over (common practice, no source)."""
QUIET_LIFTS = 300.0
"""s within which a safety valve that goes on lifting gets no further line in the log."""
UNCERTAINTY = 0.2
"""Spread stated for the time to the bottom nut: geometry, steaming rate and swell together (a judgement)."""


@dataclass(frozen=True)
class Accuracy:
    """How closely the plant is integrated and recorded: not the default in studies of accuracy only."""

    tolerance_factor: float = 1.0  # times the production tolerance
    record_every: float = RECORD_EVERY  # s between rows


PRODUCTION = Accuracy()


class Day:
    """Everything that is going on. Processes share it; `run` makes one per plan."""

    def __init__(
        self,
        scenario: Scenario,
        seed: int = 0,
        feed_left_alone_after_fault: bool = False,
        accuracy: Accuracy = PRODUCTION,
    ) -> None:
        self.scenario = scenario
        self.parameters = plant_parameters(scenario.boat)
        plant = SteamPlant(self.parameters, initial_state(scenario), **asdict(accuracy))
        self.clock = PlantClock(plant)
        self.entries: list[LogEntry] = []
        self.outcome: Outcome | None = None
        self.over = self.clock.event()
        self.place: str | None = None
        self.been_under_way = False
        self.fault_at: float | None = None
        self.injector_sound = True
        self.burner_lit = False
        self.solid_fuel = scenario.aboard.fuel in FUELS
        self.left_alone = feed_left_alone_after_fault
        self._passings: dict[tuple[str, str], simpy.Event] = {}
        self._helm: simpy.Process | None = None
        self._last_lift: dict[str, float] = {}
        self.crew = Crew(self, seed)
        self._arm_guards()

    def run(self) -> None:
        """Let the day happen."""
        self.clock.process(route.follow(self))
        self.clock.process(self.crew.watch())
        for fault in self.scenario.fault:
            self.clock.process(faults.happen(self, fault))
        self.clock.run(until=self.over | self.clock.timeout(LONGEST_DAY))
        if self.outcome is None:
            self.finish("out of time", "The day did not end within a day and a half.")

    def log(self, who: str, subject: str, event: str, text: str, at: float | None = None) -> None:
        """Write a line of the log at the present time, or at an earlier one that only now is known [s]."""
        self.entries.append(LogEntry(self.clock.now if at is None else at, who, subject, event, text))
        if at is not None:
            self.entries.sort(key=lambda entry: entry.time)

    def show(self, place: int) -> str:
        """A reading as the crew would say it."""
        if place == r.GLASS_FRACTION and not 0.0 <= self.clock.reading(place) <= 1.0:
            return "out of sight " + ("low" if self.clock.reading(place) < 0.0 else "high")
        name = r.NAMES[place]
        return quantities.show(self.clock.reading(place), name, self.scenario.units, 2)

    def finish(self, kind: str, sentence: str) -> None:
        """End the day; the first ending counts."""
        if self.outcome is None:
            self.outcome = Outcome(kind, self.clock.now, sentence)
            if not self.over.triggered:
                self.over.succeed()

    def passing(self, kind: str, place: str) -> simpy.Event:
        """The event of leaving or arriving at a place for the first time."""
        return self._passings.setdefault((kind, place), self.clock.event())

    def pass_place(self, kind: str, place: str) -> None:
        """Tell whoever waits that the boat leaves or reaches a place."""
        event = self.passing(kind, place)
        if not event.triggered:
            event.succeed()

    def take_the_helm(self) -> None:
        """Under way from now on."""
        self.crew.under_way = True
        if self._helm is None and self.scenario.crew.hands > 1:
            self._helm = self.clock.process(route.hold_helm(self))

    def leave_the_helm(self) -> None:
        """No longer under way."""
        self.crew.under_way = False
        if self._helm is not None and self._helm.is_alive:
            self._helm.interrupt("stop")
        self._helm = None

    def feed_orders(self, seen: Observation, memory: Memory) -> tuple[Decision, Memory]:
        """The standing orders on feeding, or nothing at all when this run asks what happens then."""
        if self.left_alone and self.fault_at is not None:
            return feed_left_alone(seen, memory)
        return decide_feed(seen, memory, self.scenario)

    def low_water_drill(self) -> None:
        """Glass empty at a look: fire out, engine stopped, the run ends."""
        self.crew.stop_feeding(made_good=False)
        self.clock.set(throttle=0.0, damper=0.0, burner_rate=0.0, blower=0.0)
        if self.solid_fuel:
            self.clock.do(self.clock.plant.draw_fire())
        self.log("crew", "water", "low-water drill", "No water in the glass: fire out, engine stopped.")
        self.finish(
            "low-water drill", "The glass was found empty: fire out, engine stopped, the run ends there."
        )

    def steam_on(self, throttle: float) -> Generator[simpy.Event, Any, None]:
        """Open the throttle; an engine that stands on a dead centre has to be barred over first."""
        self.clock.set(throttle=throttle)
        if self.clock.plant.controls.on_dead_centre < 0.5:
            return
        self.log(
            "crew", "engine", events.ON_DEAD_CENTRE, "The engine stands on a dead centre and will not start."
        )
        self.clock.set(throttle=0.0)
        yield from self.crew.task(self.crew.takes(BARRING))
        self.clock.do(self.clock.plant.bar_over())
        self.log("crew", "engine", events.BARRED_OVER, "Barred over by hand.")
        self.clock.set(throttle=throttle)

    def _arm_guards(self) -> None:
        """What the machinery does by itself, and the limits of the model."""
        valves, clock = self.parameters.valves, self.clock
        feed = self.parameters.feed
        for name, popping, reseating, word in (
            ("first_safety_valve", valves.first_set_pressure, valves.first_reseat_pressure, "First"),
            ("second_safety_valve", valves.second_set_pressure, valves.second_reseat_pressure, "Second"),
        ):
            clock.guard(r.BOILER_PRESSURE, popping, +1, partial(self._lift, name, word))
            clock.guard(r.BOILER_PRESSURE, reseating, -1, partial(self._reseat, name))
        clock.guard(r.GLASS_FRACTION, 0.0, -1, self._glass_empty)
        clock.guard(r.CROWN_COVER, 0.0, -1, self._crown_bare)
        clock.guard(r.CARRY_OVER_FRACTION, 0.05, +1, lambda: self._priming(events.PRIMING))
        clock.guard(r.CARRY_OVER_FRACTION, 0.04, -1, lambda: self._priming(events.PRIMING_OVER))
        self._mark_limits()
        if feed.injector_steam_area <= 0.0:
            return
        clock.guard(r.INJECTOR_MARGIN, 0.0, -1, lambda: self._knock_off("the water is too hot for it"))
        lowest = 0.8 * feed.injector_starting_pressure
        clock.guard(r.BOILER_PRESSURE, lowest, -1, lambda: self._knock_off("the pressure is too low for it"))
        highest = feed.injector_highest_pressure
        clock.guard(
            r.BOILER_PRESSURE, highest, +1, lambda: self._knock_off("the pressure is too high for it")
        )

    def _mark_limits(self) -> None:
        """Stop at every limit of the verdict: a row of the timeline then stands exactly at each crossing."""
        marks = marks_of(self, "")
        for limit in limits.LIMITS:
            value = limit.value(marks)
            if value is not None:
                for direction in (+1, -1):
                    self.clock.guard(r.INDEX[limit.quantity], value, direction, lambda: None)

    def _lift(self, name: str, word: str) -> None:
        controls = self.clock.plant.controls
        if getattr(controls, name) < 0.5 and getattr(controls, f"{name}_stuck") > -0.5:
            if self.clock.now - self._last_lift.get(name, -QUIET_LIFTS) >= QUIET_LIFTS:
                self.log(events.PLANT, "pressure", "safety valve lifted", f"{word} safety valve lifted.")
            self._last_lift[name] = self.clock.now
            self.clock.set(**{name: 1.0})

    def _reseat(self, name: str) -> None:
        self.clock.set(**{name: 0.0})

    def _glass_empty(self) -> None:
        self.log(events.PLANT, "water", events.BOTTOM_NUT, "Water out of sight below the bottom nut.")
        if self.left_alone and self.fault_at is not None:
            self.finish("low-water drill", "The glass is empty.")

    def _crown_bare(self) -> None:
        self.log(events.PLANT, "water", events.CROWN_BARE, "Crown bare: outside what this model can say.")
        self.finish("crown bare", "The crown is bare: outside what this model can say.")

    def _priming(self, event: str) -> None:
        if event == events.PRIMING_OVER and not any(e.event == events.PRIMING for e in self.entries):
            return
        words = {events.PRIMING: "Water comes over with the steam.", events.PRIMING_OVER: "Steam dry again."}
        self.log(events.PLANT, "water", event, words[event])

    def _knock_off(self, reason: str) -> None:
        if self.clock.plant.controls.injector > 0.0:
            self.clock.set(injector=0.0)
            self.log(events.PLANT, "feed", "injector knocked off", f"Injector knocked off: {reason}.")


def run(
    scenario: Scenario,
    plan_name: str = "as written",
    seed: int = 0,
    files: Mapping[str, bytes] | None = None,
    accuracy: Accuracy = PRODUCTION,
) -> Outing:
    """Run one day under one plan.

    Parameters: scenario as `Story.for_plan` gives it; plan_name for the report; seed of the crew's times;
    files, the scenario's files by name, for the provenance; accuracy of integration and of the timeline.
    Raises: HalfglassFailure when the model itself breaks, saying what was being simulated.
    """
    day = _simulate(scenario, plan_name, seed, False, accuracy)
    nothing = None
    if day.fault_at is not None:
        alone = _simulate(scenario, plan_name, seed, True, accuracy)
        nothing = if_nothing_done(alone)
    return draw_up(day, plan_name, seed, dict(files or {}), nothing)


def if_nothing_done(alone: Day) -> IfNothingDone | None:
    """When the glass empties on the same day if nobody touches the feed after the fault."""
    fault_at = alone.fault_at
    if fault_at is None:
        return None
    empty = [e.time - fault_at for e in alone.entries if e.event == events.BOTTOM_NUT and e.time >= fault_at]
    told = next(e.text for e in alone.entries if e.event == events.FAULT)
    return IfNothingDone(told, fault_at, empty[0] if empty else None, alone.clock.now - fault_at, UNCERTAINTY)


def _simulate(scenario: Scenario, plan_name: str, seed: int, left_alone: bool, accuracy: Accuracy) -> Day:
    day = Day(scenario, seed, left_alone, accuracy)
    try:
        day.run()
    except (MarchFailedError, ChatterError) as error:
        at = datetime.timedelta(seconds=round(day.clock.now))
        raise HalfglassFailure(
            str(error), f"{scenario.title!r} under plan {plan_name!r}, seed {seed}, {at} after lighting up",
            f"halfglass run SCENARIO --plan {plan_name!r} --seed {seed}",
        ) from error  # fmt: skip
    return day


__all__: list[Any] = ["Accuracy", "Day", "if_nothing_done", "run"]
