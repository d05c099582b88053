"""Feeding by hand: the sources the orders name, the injector, and the pumps somebody stands at."""

from __future__ import annotations

from collections.abc import Generator
from typing import TYPE_CHECKING, Any

import simpy

from halfglass.day.orders import Decision
from halfglass.plant import reading as r
from halfglass.result import events

if TYPE_CHECKING:
    from halfglass.day.crew import Crew
    from halfglass.day.outing import Day

Process = Generator[simpy.Event, Any, None]

PUMP = 3
"""Priority of pumping: anything else calls a hand away from it."""
STOP = "stop"
INJECTOR_START = 25.0
"""s to start an injector (common practice, no source)."""
LONG = 7 * 86400.0
CONTROL = {"hand pump on hot well": "hand_pump_hotwell_rate", "hand pump on lake": "hand_pump_lake_rate"}


class Feeding:
    """What the crew have put on to feed the boiler besides the engine pump."""

    def __init__(self, day: Day, crew: Crew) -> None:
        self.day = day
        self.crew = crew
        self.clock = day.clock
        self.pumping: dict[str, simpy.Process] = {}
        self.no_feed = False

    @property
    def is_injecting(self) -> bool:
        """Whether the injector is running."""
        return self.clock.plant.controls.injector > 0.0

    def follow(self, asked: Decision) -> Process:
        """Do what the usual orders ask; leave what an own order holds alone."""
        held = self.crew.held
        if asked.take_off:
            self.stop(made_good=True)
        if "injector" not in held:
            if asked.cool and not self.is_injecting and "injector" in self.day.scenario.orders.low_glass:
                yield from self.start_injector("near the safety valves with the engine stopped")
            if asked.cooled and self.is_injecting:
                self.stop_injector()
        for source in asked.put_on:
            thing = "hand pump" if source in CONTROL else source
            if thing not in held:
                yield from self.put_on(source)

    def put_on(self, source: str) -> Process:
        """Put a feed source on, or find that it will not."""
        shown = self.day.show(r.GLASS_FRACTION)
        if source == "none left":
            if not self.no_feed:
                self.no_feed = True
                self.day.log(
                    events.DAY, "feed", events.NO_WORKING_FEED,
                    f"Glass {shown} and falling with all that feeds.",
                )  # fmt: skip
        elif source == "engine pump":
            self.day.log(
                "crew", "feed", "engine pump on",
                f"Glass {shown}: bypass shut, all of the engine pump's water.",
            )  # fmt: skip
            self.clock.set(bypass=0.0)
        elif source == "injector":
            yield from self.start_injector(f"glass {shown}")
        elif source not in self.pumping:
            self.day.log("crew", "feed", f"{source} on", f"Glass {shown}: {source} manned.")
            self.pumping[source] = self.clock.process(self.pump(source))

    def start_injector(self, reason: str) -> Process:
        """Try the injector, if the boat has one; log what it does."""
        feed, day = self.day.parameters.feed, self.day
        if feed.injector_steam_area <= 0.0:
            return
        yield from self.crew.task("injector", self.crew.takes(INJECTOR_START))
        pressure = self.clock.reading(r.BOILER_PRESSURE)
        if not day.injector_sound:
            refused = "It blew steam and would not pick up."
        elif not feed.injector_starting_pressure <= pressure <= feed.injector_highest_pressure:
            refused = f"Pressure {day.show(r.BOILER_PRESSURE)} is outside what it works with."
        elif self.clock.reading(r.INJECTOR_MARGIN) <= 0.0:
            refused = "The water is too hot for it."
        else:
            self.clock.set(injector=1.0)
            day.log("crew", "feed", "injector on", f"Injector started: {reason}.")
            return
        day.log("crew", "feed", "injector would not start", refused)

    def stop_injector(self) -> None:
        """Shut the injector off."""
        self.clock.set(injector=0.0)
        at = self.day.show(r.BOILER_PRESSURE)
        self.day.log("crew", "feed", "injector off", f"Injector off at {at}.")

    def pump(self, source: str) -> Process:
        """Work a hand pump until told to stop; give way to anything more pressing."""
        crew, control = self.crew, CONTROL[source]
        while True:
            with crew.hands.request(priority=PUMP) as hand:
                begun = None
                try:
                    yield hand
                    crew.note()
                    begun = self.clock.now
                    at_helm = crew.is_alone and crew.under_way
                    share = crew.scenario.crew.pumping_at_helm if at_helm else 1.0
                    self.clock.set(**{control: crew.scenario.crew.strokes * share})
                    yield self.clock.timeout(LONG)
                except simpy.Interrupt as interrupt:
                    if interrupt.cause == STOP:
                        return
                finally:
                    crew.spent(source, begun)
                    self.clock.set(**{control: 0.0})
            crew.note()

    def stop_pump(self, source: str) -> None:
        """Leave a hand pump."""
        process = self.pumping.pop(source, None)
        if process is not None and process.is_alive:
            process.interrupt(STOP)

    def stop(self, made_good: bool) -> None:
        """Stop pumps and injector, because the glass is made good or because the day ends."""
        held = self.crew.held if made_good else frozenset()
        sources = [] if "hand pump" in held else list(self.pumping)
        running = bool(sources) or (self.is_injecting and "injector" not in held)
        for source in sources:
            self.stop_pump(source)
        if "injector" not in held:
            self.clock.set(injector=0.0)
        if running:
            why = "made good" if made_good else "pumps and injector off"
            self.day.log("crew", "feed", "extra feed off", f"Glass {self.day.show(r.GLASS_FRACTION)}: {why}.")
        if self.no_feed and made_good:
            self.no_feed = False
            self.day.log(events.DAY, "feed", events.FEED_RESTORED, "The glass is rising again.")
