"""The SimPy clock that owns the plant: on to the next event, or to the crossing that comes first."""

from __future__ import annotations

from collections.abc import Callable

import simpy

from halfglass.plant.steamplant import SteamPlant

Handler = Callable[[], None]


class PlantClock(simpy.Environment):
    """A SimPy environment whose time passes in the plant.

    Before each event the plant is integrated up to it. A guard crossed on the way stops the clock there: its
    handler changes the plant or wakes whoever waits, and only then time goes on. At equal time the crossing
    comes before the event.
    """

    def __init__(self, plant: SteamPlant) -> None:
        super().__init__(initial_time=plant.time)
        self.plant = plant
        self._handlers: dict[int, Handler] = {}
        self.crossings = 0  # guards crossed so far

    def step(self) -> None:
        """Integrate to the next event or crossing, then let SimPy handle what is due."""
        while self.plant.time < self.peek():
            crossed = self.plant.marcher.advance(self.peek())
            self._now = self.plant.time
            if crossed:
                self.plant.marcher.snapshot()
                self._handle(crossed)
        super().step()

    def set(self, **changes: float) -> None:
        """Move controls at the present time."""
        self._handle(self.plant.set(**changes))

    def do(self, crossed: tuple[int, ...]) -> None:
        """Take note of what a doing word of the plant (`put_on`, `light` ...) crossed."""
        self._handle(crossed)

    def guard(self, reading: int, threshold: float, direction: int, handler: Handler) -> int:
        """Call the handler at every crossing, and at once if it is already so; returns a number to disarm."""
        number, already = self.plant.marcher.arm(reading, threshold, direction)
        self._handlers[number] = handler
        if already:
            handler()
        return number

    def mark(self, reading: int, threshold: float, direction: int) -> None:
        """Stop at every crossing, so that the timeline has a row there, and do nothing."""
        self.plant.marcher.arm(reading, threshold, direction, is_mark=True)

    def disarm(self, number: int) -> None:
        """Take a guard away."""
        self._handlers.pop(number)
        self.plant.marcher.disarm(number)

    def when(self, reading: int, threshold: float, direction: int) -> simpy.Event:
        """An event that comes once, at the first crossing (or now, if it is already so)."""
        event = self.event()
        number, already = self.plant.marcher.arm(reading, threshold, direction)

        def arrive() -> None:
            self.disarm(number)
            event.succeed()

        self._handlers[number] = arrive
        if already:
            arrive()
        return event

    def reading(self, place: int) -> float:
        """A reading at the present time, SI."""
        return float(self.plant.marcher.readings[place])

    def _handle(self, crossed: tuple[int, ...]) -> None:
        self.crossings += len(crossed)
        for number in crossed:
            handler = self._handlers.get(number)
            if handler is not None:
                handler()
