"""What the machinery does by itself, and where the model ends: guards and what happens at their crossing."""

from __future__ import annotations

import math
from collections.abc import Generator
from functools import partial
from typing import TYPE_CHECKING, Any

import simpy

from halfglass.day.record import marks_of
from halfglass.plant import reading as r
from halfglass.result import events, limits

if TYPE_CHECKING:
    from halfglass.day.outing import Day

PRIMING, DRY_AGAIN = 0.05, 0.04
"""Share of water in the steam from which it counts as priming, and below which as dry again (judgement)."""
DRY_FOR = 180.0
"""s without carry-over after which priming is called over: closer spells are one in the log (judgement)."""
QUIET_LIFTS = 300.0
"""s within which a safety valve that goes on lifting gets no further line in the log."""
FULL_STEAM_SPACE = 0.015
"""Share of the boiler's volume; with less steam than that the day ends (judgement). From there on the soft
stop of a full vessel (`steam.equilibrium`), which is no steam, would show as pressure and drive an engine."""
FULL = "Boiler full to the top: outside what this model can say."
BARE = "The crown is bare: outside what this model can say."
KNOCKS_OFF_AT = 0.8
"""Share of its starting pressure at which a running injector knocks off (common practice, no source)."""


class Machinery:
    """Safety valves, injector and the ends of the model, moved by the plant itself."""

    def __init__(self, day: Day) -> None:
        self.day = day
        self.clock = day.clock
        self._last_lift: dict[str, float] = {}
        self._is_priming = False
        self._dry_since = math.inf
        self._arm_valves()
        self._arm_water()
        self._arm_injector()
        self._mark_limits()

    def _arm_valves(self) -> None:
        valves, clock = self.day.parameters.valves, self.clock
        for name, popping, reseating, area, word in (
            ("first_safety_valve", valves.first_set_pressure, valves.first_reseat_pressure,
             valves.first_area, "First"),
            ("second_safety_valve", valves.second_set_pressure, valves.second_reseat_pressure,
             valves.second_area, "Second"),
        ):  # fmt: skip
            if area <= 0.0:
                continue
            clock.guard(r.BOILER_PRESSURE, popping, +1, partial(self._lift, name, word))
            clock.guard(r.BOILER_PRESSURE, reseating, -1, partial(self._reseat, name))

    def _arm_water(self) -> None:
        clock, volume = self.clock, self.day.parameters.boiler.volume
        clock.guard(r.GLASS_FRACTION, 0.0, -1, self._glass_empty)
        clock.guard(r.CROWN_COVER, 0.0, -1, self._crown_bare)
        clock.guard(r.STEAM_SPACE, FULL_STEAM_SPACE * volume, -1, self._boiler_full)
        clock.process(self._watch_carry_over())

    def _mark_limits(self) -> None:
        """Stop at every limit of the verdict: a row of the timeline then stands exactly at each crossing."""
        marks = marks_of(self.day, "")
        for limit in limits.LIMITS:
            value = limit.value(marks)
            if value is not None:
                for direction in (+1, -1):
                    self.clock.mark(r.INDEX[limit.quantity], value, direction)

    def _arm_injector(self) -> None:
        feed = self.day.parameters.feed
        if feed.injector_steam_area <= 0.0:
            return
        lowest = KNOCKS_OFF_AT * feed.injector_starting_pressure
        guard = self.clock.guard
        guard(r.INJECTOR_MARGIN, 0.0, -1, partial(self._knock_off, "the water is too hot for it"))
        guard(r.BOILER_PRESSURE, lowest, -1, partial(self._knock_off, "the pressure is too low for it"))
        guard(
            r.BOILER_PRESSURE, feed.injector_highest_pressure, +1,
            partial(self._knock_off, "the pressure is too high for it"),
        )  # fmt: skip

    def _lift(self, name: str, word: str) -> None:
        controls = self.clock.plant.controls
        if getattr(controls, name) > 0.5 or getattr(controls, f"{name}_stuck") < -0.5:
            return
        if self.clock.now - self._last_lift.get(name, -QUIET_LIFTS) >= QUIET_LIFTS:
            self.day.log(events.PLANT, "pressure", "safety valve lifted", f"{word} safety valve lifted.")
        self._last_lift[name] = self.clock.now
        self.clock.set(**{name: 1.0})

    def free_valve(self) -> None:
        """The first safety valve moves again: it lifts at once if it should have lifted."""
        if self.clock.reading(r.BOILER_PRESSURE) >= self.day.parameters.valves.first_set_pressure:
            self._lift("first_safety_valve", "First")

    def _reseat(self, name: str) -> None:
        self.clock.set(**{name: 0.0})

    def _glass_empty(self) -> None:
        text = "Water out of sight below the bottom nut."
        self.day.log(events.PLANT, "water", events.BOTTOM_NUT, text)
        if self.day.is_left_alone:
            self.day.finish("low-water drill", "The glass is empty.")

    def _crown_bare(self) -> None:
        self.day.log(events.PLANT, "water", events.CROWN_BARE, BARE)
        self.day.finish("crown bare", BARE)

    def _boiler_full(self) -> None:
        self.day.log(events.PLANT, "water", events.BOILER_FULL, FULL)
        self.day.finish(events.BOILER_FULL, FULL)

    def _watch_carry_over(self) -> Generator[simpy.Event, Any, None]:
        """One guard at a time: steam that stays about one of the two would cross it many times a second."""
        while True:
            yield self.clock.when(r.CARRY_OVER_FRACTION, PRIMING, +1)
            self._priming()
            yield self.clock.when(r.CARRY_OVER_FRACTION, DRY_AGAIN, -1)
            self._dry_again()

    def _priming(self) -> None:
        self._dry_since = math.inf
        if not self._is_priming:
            self._is_priming = True
            self.day.log(events.PLANT, "water", events.PRIMING, "Water comes over with the steam.")

    def _dry_again(self) -> None:
        self._dry_since = self.clock.now
        self.clock.process(self._stay_dry(self.clock.now))

    def _stay_dry(self, since: float) -> Generator[simpy.Event, Any, None]:
        """Call priming over as of `since` [s], if no water has come over for a while after."""
        yield self.clock.timeout(DRY_FOR)
        if self._dry_since == since:
            self._is_priming = False
            self.day.log(events.PLANT, "water", events.PRIMING_OVER, "Steam dry again.", at=since)

    def _knock_off(self, reason: str) -> None:
        if self.clock.plant.controls.injector > 0.0:
            self.day.crew.feeding.lose_injector()
            text = f"Injector knocked off: {reason}."
            self.day.log(events.PLANT, "feed", "injector knocked off", text)
