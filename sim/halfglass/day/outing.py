"""One day under one plan: put the plant, the crew, the route and the faults together, run, and report."""

from __future__ import annotations

import datetime
from collections.abc import Generator, Mapping
from dataclasses import asdict, dataclass
from typing import Any

import simpy

from halfglass.day import faults, route
from halfglass.day.by_hand import ByHand
from halfglass.day.clock import PlantClock
from halfglass.day.crew import Crew, feed_left_alone
from halfglass.day.energy_account import Stretch
from halfglass.day.instruments import Instruments, Observation
from halfglass.day.machinery import Machinery
from halfglass.day.orders import Decision, Memory, decide_feed
from halfglass.day.record import draw_up
from halfglass.plant import reading as r
from halfglass.plant.marcher import ChatterError, MarchFailedError
from halfglass.plant.parameters import FuelCharge
from halfglass.plant.steamplant import RECORD_EVERY, SteamPlant
from halfglass.result import events
from halfglass.result.records import IfNothingDone, LogEntry, Outcome, Outing
from halfglass.scenario.catalogue.fuels import FUELS, charge
from halfglass.scenario.catalogue.reduce import initial_state, plant_parameters
from halfglass.scenario.day_models import Scenario
from halfglass.vocabulary import quantities
from halfglass.vocabulary.errors import HalfglassFailure

LONGEST_DAY = 36 * 3600.0
"""s after which an outing without a night is cut short; each night adds a day."""
BARRING = 20.0
"""s to bar an engine over (common practice, no source)."""
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
        self.started = datetime.datetime.combine(scenario.date, scenario.light_up)
        plant = SteamPlant(self.parameters, initial_state(scenario), **asdict(accuracy))
        self.clock = PlantClock(plant)
        self.instruments = Instruments(self.clock, self.parameters)
        self.entries: list[LogEntry] = []
        self.outcome: Outcome | None = None
        self.over = self.clock.event()
        self.place: str | None = None
        self.been_under_way = False
        self.fault_at: float | None = None
        self.faults_at_work: list[Any] = []
        self.injector_sound = self.burner_sound = True
        self.burner_lit = False
        self.relighting: simpy.Process | None = None
        self.solid_fuel = scenario.aboard.fuel in FUELS
        self.fuel_moisture = scenario.aboard.fuel_moisture
        self.stream_turned = self.wind_got_up = 0.0  # m/s, what faults added
        self.lock_delay = 0.0  # s
        self.back_aboard: dict[Any, simpy.Event] = {}  # by fault
        self.left_alone = feed_left_alone_after_fault
        self.longest: Stretch | None = None
        self.by_hand: ByHand | None = None  # while nobody but its moves touches the plant
        self._passings: dict[tuple[str, str], simpy.Event] = {}
        self._helm: simpy.Process | None = None
        self.crew = Crew(self, seed)
        self.machinery = Machinery(self)

    def begin(self) -> simpy.Event:
        """Set everybody going; returns the event with which the day has ended, in good time or not."""
        self.clock.process(route.follow(self))
        self.clock.process(self.crew.watch())
        for fault in self.scenario.fault:
            self.clock.process(faults.happen(self, fault))
        return self.over | self.clock.timeout(self.longest_day)

    def run(self) -> None:
        """Let the day happen."""
        self.clock.run(until=self.begin())
        if self.outcome is None:
            hours = self.longest_day / 3600.0
            self.finish("out of time", f"The outing did not end within {hours:.0f} hours.")

    @property
    def longest_day(self) -> float:
        """How long the outing may take [s]."""
        return LONGEST_DAY + 86400.0 * self.scenario.nights

    def log(self, who: str, subject: str, event: str, text: str, at: float | None = None) -> None:
        """Write a line of the log at the present time, or at an earlier one that only now is known [s]."""
        self.entries.append(LogEntry(self.clock.now if at is None else at, who, subject, event, text))
        if at is not None:
            self.entries.sort(key=lambda entry: entry.time)

    def show(self, place: int) -> str:
        """A reading as the crew would say it: glass and pressure by their instruments."""
        name, value = r.NAMES[place], self.clock.reading(place)
        if place == r.BOILER_PRESSURE:
            value = self.instruments.pressure_read
        if place == r.GLASS_FRACTION:
            value = self.instruments.glass_read
            if not 0.0 <= value <= 1.0:
                return "out of sight " + ("low" if value < 0.0 else "high")
        return quantities.show(value, name, self.scenario.units, 2)

    def gauge(self, seen: Observation) -> str:
        """What the gauge showed at a look."""
        return quantities.show(seen.pressure, "boiler_pressure", self.scenario.units, 2)

    def sight(self, seen: Observation) -> str:
        """Glass and gauge as they were seen at a look, in a sentence."""
        if seen.glass is None:
            glass = "out of sight " + ("low" if seen.glass_empty else "high")
        else:
            glass = quantities.show(seen.glass, "glass_fraction", self.scenario.units, 2)
        return f"Glass {glass}, gauge {self.gauge(seen)}."

    def state_of_things(self) -> str:
        """Pressure and glass as the instruments show them now."""
        return f"{self.show(r.BOILER_PRESSURE)}, glass {self.show(r.GLASS_FRACTION)}"

    def finish(self, kind: str, sentence: str) -> None:
        """End the day; the first ending counts."""
        if self.outcome is None:
            self.outcome = Outcome(kind, self.clock.now, sentence)
            self.leave_the_helm()  # here and next: so that what the hands were at is put down to the end
            for source in tuple(self.crew.feeding.pumping):
                self.crew.feeding.stop_pump(source)
            if not self.over.triggered:
                self.over.succeed()

    def steamed(self, stretch: Stretch) -> None:
        """Keep the longest stretch of steady steaming, for the energy flow."""
        if stretch.duration > (self.longest.duration if self.longest is not None else 0.0):
            self.longest = stretch

    def passing(self, kind: str, place: str) -> simpy.Event:
        """The event of leaving or arriving at a place for the first time."""
        return self._passings.setdefault((kind, place), self.clock.event())

    def pass_place(self, kind: str, place: str) -> None:
        """Tell whoever waits that the boat leaves or reaches a place."""
        event = self.passing(kind, place)
        if not event.triggered:
            event.succeed()

    def reach(self, place: str, is_told: bool = True) -> None:
        """The boat is at a place."""
        self.place = place
        self.pass_place("arriving", place)
        if is_told:
            self.log(events.DAY, "route", events.REACHED, f"{place}: {self.state_of_things()}.")

    def take_the_helm(self) -> None:
        """Under way from now on; with two to do it one of them steers."""
        self.crew.under_way = True
        if self._helm is None and not self.crew.is_alone:
            self._helm = self.clock.process(route.hold_helm(self))
        self.crew.feeding.change_pace()

    def leave_the_helm(self) -> None:
        """No longer under way."""
        self.crew.under_way = False
        self.leave_the_helm_to_one()
        self.crew.feeding.change_pace()

    def leave_the_helm_to_one(self) -> None:
        """Nobody does nothing but steer any more."""
        if self._helm is not None and self._helm.is_alive:
            self._helm.interrupt("stop")
        self._helm = None

    def feed_orders(self, seen: Observation, memory: Memory) -> tuple[Decision, Memory]:
        """The standing orders on feeding, or nothing at all when this run asks what happens then."""
        if self.is_left_alone:
            return feed_left_alone(seen, memory)
        return decide_feed(seen, memory, self.scenario)

    @property
    def is_left_alone(self) -> bool:
        """Whether this is the run in which nobody touches the feed, and the fault has come."""
        return self.left_alone and self.fault_at is not None

    @property
    def fuel_left(self) -> bool:
        """Whether there is any fuel on board."""
        return self.clock.reading(r.FUEL_ON_BOARD) > 0.0

    @property
    def fuel_density(self) -> float:
        """Mass of a cubic metre of liquid fuel [kg/m³]."""
        return self.parameters.burner.fuel_density

    def charge(self, mass: float) -> FuelCharge:
        """A charge [kg] of what is burnt, as wet as it is now and as dirty as it is."""
        aboard = self.scenario.aboard
        return charge(aboard.fuel, mass, self.fuel_moisture, aboard.fuel_ash)

    def low_water_drill(self) -> None:
        """Glass empty at a look: fire out, engine stopped, the run ends."""
        self.crew.feeding.stop(made_good=False)
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
        text = "The engine stands on a dead centre and will not start."
        self.log("crew", "engine", events.ON_DEAD_CENTRE, text)
        self.clock.set(throttle=0.0)
        yield from self.crew.task("barring over", self.crew.takes(BARRING))
        self.clock.do(self.clock.plant.bar_over())
        self.log("crew", "engine", events.BARRED_OVER, "Barred over by hand.")
        self.clock.set(throttle=throttle)


def run(
    scenario: Scenario,
    plan_name: str = "as written",
    seed: int = 0,
    files: Mapping[str, bytes] | None = None,
    accuracy: Accuracy = PRODUCTION,
    asks_nothing_done: bool = True,
) -> Outing:
    """Run one day under one plan.

    Parameters: scenario as `Story.for_plan` gives it; plan_name for the report; seed of the crew's times;
    files, the scenario's files by name, for the provenance; accuracy of integration and of the timeline;
    asks_nothing_done, whether a day with a fault is run once more to see what follows if nobody acts.
    Raises: HalfglassFailure when the model itself breaks, saying what was being simulated.
    """
    day = _simulate(scenario, plan_name, seed, False, accuracy)
    nothing = None
    if day.fault_at is not None and asks_nothing_done:
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
