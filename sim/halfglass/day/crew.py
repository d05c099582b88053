"""The people: hands as SimPy resources, looks, firing, pumping, and acting on the standing orders."""

from __future__ import annotations

import random
from collections.abc import Generator
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import simpy

from halfglass.day.orders import Decision, Memory, Observation, decide_fire
from halfglass.plant import reading as r
from halfglass.result import events
from halfglass.scenario.catalogue.fuels import charge

if TYPE_CHECKING:
    from halfglass.day.outing import Day

Process = Generator[simpy.Event, Any, None]

MANOEUVRE, STEER, QUICK, PUMP = 0, 1, 2, 3
"""Priorities of the hands: a task is interrupted only by one with a smaller number."""
STOP = "stop"
INJECTOR_START = 25.0
TANK_PUMPING = 60.0
BALING = 45.0
RAISING_DAMPER = 0.15
"""Steam is raised gently from cold, to spare tubes and seams (common practice, no source)."""
BALED = 6.0
"""kg of lake water baled into the hot well at one go (common practice, no source)."""


class Crew:
    """One or two hands working the boat. Everything they do takes a hand and time."""

    def __init__(self, day: Day, seed: int) -> None:
        self.day = day
        self.clock = day.clock
        self.orders = day.scenario
        self.dice = random.Random(seed)
        self.hands = simpy.PreemptiveResource(day.clock, capacity=day.scenario.crew.hands)
        self.memory = Memory()
        self.pumping: dict[str, simpy.Process] = {}
        self.busy: list[tuple[float, int]] = [(0.0, 0)]
        self.banked = False
        self.fire_worked = False
        self.raising = False
        self.under_way = False
        self.eased_from: float | None = None
        self.no_feed = False

    def takes(self, seconds: float) -> float:
        """A time as it falls out this once: within the scenario's variation."""
        spread = self.orders.crew.variation
        return seconds * self.dice.uniform(1.0 - spread, 1.0 + spread)

    def note(self) -> None:
        """Record how many hands are busy now."""
        self.busy.append((self.clock.now, self.hands.count))

    def task(self, seconds: float, priority: int = QUICK) -> Process:
        """Hold one hand for a time; called away by something more pressing, finish afterwards."""
        left = seconds
        while left > 0.0:
            with self.hands.request(priority=priority) as hand:
                begun = None
                try:
                    yield hand
                    self.note()
                    begun = self.clock.now
                    yield self.clock.timeout(left)
                    left = 0.0
                except simpy.Interrupt:
                    left -= self.clock.now - begun if begun is not None else 0.0
            self.note()

    def watch(self) -> Process:
        """Look at glass, gauge and fire again and again, and act on the standing orders."""
        while True:
            yield self.clock.timeout(self.takes(self.orders.crew.look_every))
            due = self.clock.now
            yield from self.task(self.takes(self.orders.crew.look_takes))
            overdue = due + self.orders.crew.look_every
            if self.clock.now > overdue:
                self.day.log(
                    events.DAY, "crew", events.TASK_OVERDUE, "A look is overdue: hands full.", overdue
                )
                self.day.log(events.DAY, "crew", events.OVERDUE_TASK_DONE, "Looked at last.")
            yield from self.act(self.observe())

    def observe(self) -> Observation:
        """What the instruments show now."""
        look = self.clock.reading
        fraction = look(r.GLASS_FRACTION)
        engine = self.day.parameters.engine
        return Observation(
            time=self.clock.now,
            glass=fraction if 0.0 <= fraction <= 1.0 else None,
            glass_empty=fraction < 0.0,
            pressure=look(r.BOILER_PRESSURE),
            bed_depth=look(r.BED_DEPTH),
            hotwell_mass=look(r.HOTWELL_MASS),
            engine_turning=abs(look(r.SHAFT_SPEED)) > 0.2,
            tank_pressure=look(r.BURNER_TANK_PRESSURE),
            oil_fraction=look(r.LUBRICATOR_OIL) / engine.lubricator_capacity,
        )

    def act(self, seen: Observation) -> Process:
        """Do what the orders ask after a look."""
        if not self.fire_worked:
            return
        feed, self.memory = self.day.feed_orders(seen, self.memory)
        if feed.fire_out:
            self.day.low_water_drill()
            return
        fire = decide_fire(seen, self.orders, self.banked)
        self.set_controls(seen, feed, fire)
        if feed.take_off:
            self.stop_feeding(made_good=True)
        injector = self.clock.plant.controls.injector > 0.0
        if feed.cool and not injector and "injector" in self.orders.orders.low_glass:
            yield from self.start_injector("near the safety valves with the engine stopped")
        if feed.cooled and injector:
            self.clock.set(injector=0.0)
            self.day.log(
                "crew", "feed", "injector off", f"Injector off at {self.day.show(r.BOILER_PRESSURE)}."
            )
        for source in feed.put_on:
            yield from self.put_on_source(source)
        if fire.charge and self.day.solid_fuel and self.clock.reading(r.FUEL_ON_BOARD) > 0.0:
            yield from self.fire_up()
        yield from self.chores(seen)

    def set_controls(self, seen: Observation, feed: Decision, fire: Decision) -> None:
        """Damper, burner, bypass and vent: a touch in passing."""
        changes: dict[str, float] = {}
        if self.day.solid_fuel and fire.damper is not None:
            changes["damper"] = min(fire.damper, RAISING_DAMPER) if self.raising else fire.damper
        if self.day.solid_fuel:
            self.set_blower(0.0 if self.raising else fire.blower)
        if not self.day.solid_fuel and fire.burner_rate is not None and self.day.burner_lit:
            changes["burner_rate"] = fire.burner_rate
        if feed.bypass is not None:
            changes["bypass"] = feed.bypass
        if self.clock.plant.controls.vent > 0.0 and seen.pressure > 2.0e4:
            changes["vent"] = 0.0
            self.day.log("crew", "pressure", "vent shut", "Steam at the vent: vent shut.")
        damper = self.clock.plant.controls.damper
        if changes.get("damper") == 0.0 and damper > 0.0 and seen.pressure > self.orders.ease_fire_above:
            self.day.log(
                "crew", "pressure", "fire eased", f"Gauge at {self.day.show(r.BOILER_PRESSURE)}: damper shut."
            )
        ease = self.orders.orders.throttle_when_low
        if ease is not None and self.under_way and self.memory.low and self.eased_from is None:
            self.eased_from = self.clock.plant.controls.throttle
            changes["throttle"] = min(self.eased_from, ease)
            self.day.log(
                "crew", "water", "throttle eased", f"Glass {self.day.show(r.GLASS_FRACTION)}: throttle eased."
            )
        if self.eased_from is not None and not self.memory.low:
            changes["throttle"] = self.eased_from
            self.eased_from = None
        self.clock.set(**changes)

    def set_blower(self, opening: float) -> None:
        """Open or shut the blower, and say so if that is a change."""
        if opening == self.clock.plant.controls.blower:
            return
        self.clock.set(blower=opening)
        how = "opened" if opening > 0.0 else "shut"
        self.day.log("crew", "fire", f"blower {how}", f"Blower {how} at {self.day.show(r.BOILER_PRESSURE)}.")

    def put_on_source(self, source: str) -> Process:
        """Put a feed source on, or find that it will not."""
        shown = self.day.show(r.GLASS_FRACTION)
        if source == "none left":
            if not self.no_feed:
                self.no_feed = True
                self.day.log(
                    events.DAY,
                    "feed",
                    events.NO_WORKING_FEED,
                    f"Glass {shown} and falling with all that feeds.",
                )
            return
        if source == "engine pump":
            self.day.log(
                "crew",
                "feed",
                "engine pump on",
                f"Glass {shown}: bypass shut, all of the engine pump's water.",
            )
            self.clock.set(bypass=0.0)
        elif source == "injector":
            yield from self.start_injector(f"glass {shown}")
        else:
            reading = "hand_pump_hotwell_rate" if source.endswith("hot well") else "hand_pump_lake_rate"
            if reading not in self.pumping:
                self.day.log("crew", "feed", f"{source} on", f"Glass {shown}: {source} manned.")
                self.pumping[reading] = self.clock.process(self.pump(reading))

    def start_injector(self, reason: str) -> Process:
        """Try the injector, if the boat has one; log what it does."""
        feed = self.day.parameters.feed
        if feed.injector_steam_area <= 0.0:
            return
        yield from self.task(self.takes(INJECTOR_START))
        pressure = self.clock.reading(r.BOILER_PRESSURE)
        if not self.day.injector_sound:
            self.day.log("crew", "feed", "injector would not start", "It blew steam and would not pick up.")
        elif not feed.injector_starting_pressure <= pressure <= feed.injector_highest_pressure:
            at = self.day.show(r.BOILER_PRESSURE)
            self.day.log(
                "crew", "feed", "injector would not start", f"Pressure {at} is outside what it works with."
            )
        elif self.clock.reading(r.INJECTOR_MARGIN) <= 0.0:
            self.day.log("crew", "feed", "injector would not start", "The water is too hot for it.")
        else:
            self.clock.set(injector=1.0)
            self.day.log("crew", "feed", "injector on", f"Injector started: {reason}.")

    def pump(self, control: str) -> Process:
        """Work a hand pump until told to stop; give way to anything more pressing."""
        while True:
            with self.hands.request(priority=PUMP) as hand:
                try:
                    yield hand
                    self.note()
                    alone = self.orders.crew.hands == 1 and self.under_way
                    share = self.orders.crew.pumping_at_helm if alone else 1.0
                    self.clock.set(**{control: self.orders.crew.strokes * share})
                    yield self.clock.timeout(24 * 3600.0)
                except simpy.Interrupt as interrupt:
                    if interrupt.cause == STOP:
                        return
                finally:
                    self.clock.set(**{control: 0.0})
            self.note()

    def stop_feeding(self, made_good: bool) -> None:
        """Stop pumps and injector, because the glass is made good or because the day ends."""
        running = bool(self.pumping) or self.clock.plant.controls.injector > 0.0
        for process in self.pumping.values():
            if process.is_alive:
                process.interrupt(STOP)
        self.pumping.clear()
        self.clock.set(injector=0.0)
        if running:
            why = "made good" if made_good else "pumps and injector off"
            self.day.log("crew", "feed", "extra feed off", f"Glass {self.day.show(r.GLASS_FRACTION)}: {why}.")
        if self.no_feed and made_good:
            self.no_feed = False
            self.day.log(events.DAY, "feed", events.FEED_RESTORED, "The glass is rising again.")

    def fire_up(self) -> Process:
        """One firing: door open, a charge, door shut."""
        self.clock.set(fire_door=1.0)
        yield from self.task(self.takes(0.4 * self.orders.crew.firing_takes))
        self.clock.do(self.clock.plant.put_on(charge(self.orders.aboard.fuel, self.orders.firing.charge)))
        self.clock.set(fire_door=0.0)
        yield from self.task(self.takes(0.6 * self.orders.crew.firing_takes))

    def chores(self, seen: Observation) -> Process:
        """Hot well, burner tank and lubricator."""
        capacity = self.day.parameters.exhaust.hotwell_capacity
        if seen.hotwell_mass < 0.3 * capacity:
            yield from self.task(self.takes(BALING))
            self.clock.do(self.clock.plant.make_up_hotwell(min(BALED, 0.5 * capacity)))
            self.day.log(
                "crew", "hotwell", "hot well made up", f"Hot well low: {BALED:.0f} kg of lake water baled in."
            )
        burner = self.day.parameters.burner
        if burner.fuel_rate > 0.0 and seen.tank_pressure < 0.85 * burner.reference_pressure:
            yield from self.task(self.takes(TANK_PUMPING))
            self.clock.do(self.clock.plant.pump_tank_air(1.05 * burner.reference_pressure))
        if seen.oil_fraction < 0.1:
            yield from self.task(self.takes(60.0))
            self.clock.do(self.clock.plant.refill_lubricator())
            self.day.log("crew", "oil", "lubricator filled", "Lubricator filled.")


def feed_left_alone(seen: Observation, memory: Memory) -> tuple[Decision, Memory]:
    """Nobody touches the feed: what `if nothing is done` means."""
    return Decision(), replace(memory, low=False)
