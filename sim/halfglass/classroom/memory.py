"""What a session remembers of the last half minute: readings for rates, books for the flow of heat."""

from __future__ import annotations

from collections import deque

import numpy as np
from numpy.typing import NDArray

from halfglass.day.by_hand import TICK
from halfglass.day.energy_account import Books, look
from halfglass.day.outing import Day

RATE_OVER = 20.0
"""s over which a rate is taken."""
SETTLED = 3.0
"""s after a move before a rate is told again."""
HEAT_OVER = 5.0
"""s over which the flow of heat is taken."""


class Memory:
    """Readings and books of the last ticks."""

    def __init__(self, day: Day) -> None:
        self._day = day
        self._readings: deque[tuple[float, NDArray[np.float64]]] = deque(maxlen=round(RATE_OVER / TICK) + 1)
        self._books: deque[Books] = deque(maxlen=round(HEAT_OVER / TICK) + 1)

    def keep(self) -> None:
        """Remember how things stand now; once a tick, the last time counts."""
        plant = self._day.clock.plant
        if self._readings and self._readings[-1][0] == plant.time:
            self._readings.pop()
        if self._books and self._books[-1].time == plant.time:
            self._books.pop()
        self._readings.append((plant.time, plant.marcher.readings.copy()))
        self._books.append(look(plant))

    def moved(self) -> None:
        """Something was moved: rates from before it count no more."""
        self._readings.clear()

    @property
    def is_settling(self) -> bool:
        """Whether no rate can be told yet."""
        return not self._readings or self._readings[-1][0] - self._readings[0][0] < SETTLED

    def rate(self, place: int) -> float | None:
        """How fast a reading changes now [SI/s]; None until it can be told."""
        if self.is_settling:
            return None
        (first, before), (last, now) = self._readings[0], self._readings[-1]
        return float(now[place] - before[place]) / (last - first)

    def booked(self, place: int) -> float:
        """What went into a total in the last tick [SI/s]; none at the start."""
        if len(self._books) < 2:
            return 0.0
        before, now = self._books[-2], self._books[-1]
        return float(now.state[place] - before.state[place]) / (now.time - before.time)

    @property
    def stretch(self) -> tuple[Books, Books] | None:
        """The books at both ends of the last few seconds; None at the start."""
        first, last = self._books[0], self._books[-1]
        return (first, last) if last.time > first.time else None
