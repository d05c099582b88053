"""Feeding by hand: the sources the orders name, the injector, and the pumps somebody stands at."""

from __future__ import annotations

from collections.abc import Generator
from typing import TYPE_CHECKING, Any

import simpy

from halfglass.day.instruments import Observation
from halfglass.day.orders import Decision, Memory, next_way
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
INJECTOR_COOLS = 300.0
"""s in which an injector that blew steam is cool enough to pick up again (common practice, no source)."""
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
        self.injector_cool_at = 0.0  # s
        self.injector_let_go = False  # it knocked off, and nobody has done anything about it yet

    @property
    def is_injecting(self) -> bool:
        """Whether the injector is running."""
        return self.clock.plant.controls.injector > 0.0

    def follow(self, asked: Decision, seen: Observation) -> Process:
        """Do what the usual orders ask; leave what an own order holds alone."""
        crew, orders = self.crew, self.day.scenario.orders
        if asked.take_off:
            self.stop(made_good=True)
        if "injector" not in crew.held:
            wants = asked.cool and not self.is_injecting and "injector" in orders.low_glass
            if wants and self.clock.now >= self.injector_cool_at:
                yield from self.start_injector("near the safety valves with the engine stopped")
            if asked.cooled and self.is_injecting:
                self.stop_injector()
        way = asked.put_on
        if way is None and crew.memory.low and self.injector_let_go:
            way, crew.memory = next_way(crew.memory, self.day.scenario, seen)
        self.injector_let_go = False
        while way is not None and not (yield from self.put_on(way)):
            way, crew.memory = next_way(crew.memory, self.day.scenario, seen)
        if asked.none_left and not self.no_feed:
            self.no_feed = True
            glass = self.day.show(r.GLASS_FRACTION)
            text = f"Glass {glass} and falling with all that feeds."
            self.day.log(events.DAY, "feed", events.NO_WORKING_FEED, text)

    def put_on(self, way: str) -> Generator[simpy.Event, Any, bool]:
        """Put a way of feeding on; False if it will not, or is another order's business."""
        shown = self.day.show(r.GLASS_FRACTION)
        if ("hand pump" if way in CONTROL else "bypass" if way == "engine pump" else way) in self.crew.held:
            return False
        if way == "engine pump":
            return self.put_on_engine_pump(shown)
        if way == "injector":
            return (yield from self.start_injector(f"glass {shown}"))
        self.man(way, shown)
        return True

    def put_on_engine_pump(self, shown: str) -> bool:
        """Give the boiler all of the engine pump's water; no use with the engine stopped."""
        if not self.day.instruments.look().engine_turning:
            return False
        text = f"Glass {shown}: bypass shut, all of the engine pump's water."
        self.day.log("crew", "feed", "engine pump on", text)
        self.clock.set(bypass=0.0)
        return True

    def man(self, pump: str, shown: str) -> None:
        """Put a hand to the pump, on hot well or lake: it draws from one or the other."""
        if pump in self.pumping:
            return
        for other in list(self.pumping):
            self.stop_pump(other)
            text = f"{other[:1].upper()}{other[1:]} left: the glass does not rise with it."
            self.day.log("crew", "feed", "hand pump left", text)
        self.day.log("crew", "feed", f"{pump} on", f"Glass {shown}: {pump} manned.")
        self.pumping[pump] = self.clock.process(self.pump(pump))

    def start_injector(self, reason: str) -> Generator[simpy.Event, Any, bool]:
        """Try the injector, if the boat has one; log what it does. Whether it runs then."""
        feed, day = self.day.parameters.feed, self.day
        if self.is_injecting or feed.injector_steam_area <= 0.0:
            return self.is_injecting
        seen = day.instruments.look()
        if not feed.injector_starting_pressure <= seen.pressure <= feed.injector_highest_pressure:
            text = f"Gauge at {day.gauge(seen)}: outside what it works with, so it was not tried."
            self.injector_cool_at = self.clock.now + INJECTOR_COOLS
            day.log("crew", "feed", "injector would not start", text)
            return False
        yield from self.crew.task("injector", self.crew.takes(INJECTOR_START))
        refused = self.injector_refuses()
        if refused is None:
            self.clock.set(injector=1.0)
            day.log("crew", "feed", "injector on", f"Injector started: {reason}.")
            return True
        self.injector_cool_at = self.clock.now + INJECTOR_COOLS
        day.log("crew", "feed", "injector would not start", f"It blew steam and would not pick up{refused}.")
        return False

    def keep_injecting(self) -> Process:
        """Start an injector again that an own order wants running, once it is cool."""
        if not self.is_injecting and self.clock.now >= self.injector_cool_at:
            yield from self.start_injector("as ordered")

    def injector_refuses(self) -> str | None:
        """Why the injector does not pick up now; None if it does. Its own business: no gauge is asked."""
        feed, pressure = self.day.parameters.feed, self.clock.reading(r.BOILER_PRESSURE)
        if not self.day.injector_sound:
            return ""
        if self.clock.now < self.injector_cool_at:
            return ": it is still hot"
        if pressure < feed.injector_starting_pressure:
            return ": the pressure is too low for it"
        if pressure > feed.injector_highest_pressure:
            return ": the pressure is too high for it"
        return ": the water is too hot for it" if self.clock.reading(r.INJECTOR_MARGIN) <= 0.0 else None

    def lose_injector(self) -> None:
        """It knocked off: it blows steam, gets hot, and somebody hears it."""
        self.injector_let_go = True
        self.injector_cool_at = self.clock.now + INJECTOR_COOLS
        self.clock.set(injector=0.0)

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
                    self.clock.set(**{control: self.strokes})
                    yield self.clock.timeout(LONG)
                except simpy.Interrupt as interrupt:
                    if interrupt.cause == STOP:
                        return
                finally:
                    crew.spent(source, begun)
                    self.clock.set(**{control: 0.0})
            crew.note()

    @property
    def strokes(self) -> float:
        """Strokes a second that whoever pumps makes now: fewer for one who steers as well."""
        crew = self.crew.scenario.crew
        return crew.strokes * (crew.pumping_at_helm if self.crew.is_alone and self.crew.under_way else 1.0)

    def change_pace(self) -> None:
        """Let whoever is pumping go on as the helm now leaves them free."""
        if self.day.by_hand is not None:
            return
        for control in CONTROL.values():
            if getattr(self.clock.plant.controls, control) > 0.0:
                self.clock.set(**{control: self.strokes})

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
        if not made_good:
            self.crew.memory = Memory()
        if self.no_feed and made_good:
            self.no_feed = False
            self.day.log(events.DAY, "feed", events.FEED_RESTORED, "The glass is rising again.")
