"""What the crew can see: gauge glass, gauge, fire, hot well. Instruments can lie; the crew never see more.

What is decided at a look is decided from an `Observation`, read as a person reads it: to the divisions below.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import simpy

from halfglass.day.clock import PlantClock
from halfglass.plant import reading as r
from halfglass.plant.parameters import PlantParameters

TURNING = 0.2
"""rev/s from which an engine is seen to turn."""
FILLING = 600.0
"""s in which a glass whose top cock is shut fills with what condenses in it (judgement)."""
GLASS_DIVISION = 1.0 / 20.0
"""Of a glass, to which its level is read by eye."""
PRESSURE_DIVISION = 5.0e3
"""Pa, about 1 psi, to which a gauge is read."""
DEPTH_DIVISION = 0.01
"""m to which the depth of a fire or of the ash under it is judged."""
WELL_DIVISION = 1.0 / 20.0
"""Of hot well and lubricator."""
TEMPERATURE_DIVISION = 1.0
"""K, by thermometer. All five: common practice, no source."""
ASH_DENSITY = 700.0
"""kg/m³ of ash on the bars, as the plant takes it."""


@dataclass(frozen=True)
class Observation:
    """What a look shows; never more than the instruments do. SI."""

    time: float
    glass: float | None  # 0-1, None: no level in sight
    glass_empty: bool  # out of sight at the bottom
    pressure: float  # Pa above atmosphere, by the gauge
    bed_depth: float  # m
    hotwell_fraction: float  # 0-1 of its capacity, by its own gauge
    hotwell_temperature: float  # K, by hand or thermometer
    engine_turning: bool
    tank_pressure: float  # Pa above atmosphere
    oil_fraction: float
    flame: bool  # burner: whether it burns
    ash_depth: float = 0.0  # m, felt with the slice
    dark_fraction: float = 0.0  # 0-1 of the grate that clinker keeps dark


def to_division(value: float, division: float) -> float:
    """A value as read off a scale.

    Parameters: value; division of the scale in the same unit [> 0].
    Returns: the nearest whole number of divisions; exact fractions come out exact.

    >>> to_division(0.337, 0.05), to_division(5.17e5, 5e3)
    (0.35, 515000.0)
    """
    if division < 1.0:
        return round(value / division) / round(1.0 / division)
    return round(value / division) * division


class Instruments:
    """Gauge glass and pressure gauge, as true as their cocks and springs."""

    def __init__(self, clock: PlantClock, parameters: PlantParameters) -> None:
        self._clock = clock
        self._parameters = parameters
        self._gauge_error = 0.0  # Pa, added by a gauge that is out
        self._awaited: dict[simpy.Event, float] = {}  # gauge pressures somebody waits for
        self._guards: list[int] = []
        self._stuck_at: float | None = None
        self._fills_from: float | None = None

    def shut_cock(self, cock: str) -> None:
        """Shut the top or the bottom cock of the glass."""
        self._stuck_at = self.glass
        self._fills_from = self._clock.now if cock == "top" else None

    def open_cock(self) -> None:
        """Open it again: the glass tells the truth."""
        self._stuck_at = self._fills_from = None

    @property
    def is_glass_true(self) -> bool:
        """Whether both cocks of the glass are open."""
        return self._stuck_at is None

    @property
    def glass(self) -> float:
        """Level the glass shows: 0 bottom nut, 1 top nut, beyond either out of sight."""
        if self._stuck_at is None:
            return self._clock.reading(r.GLASS_FRACTION)
        if self._fills_from is None:
            return self._stuck_at
        filled = self._stuck_at + (self._clock.now - self._fills_from) / FILLING
        return math.nextafter(1.0, 2.0) if filled >= 1.0 else filled

    @property
    def glass_read(self) -> float:
        """That level as the crew read it; below 0 or above 1 it is out of sight."""
        glass = self.glass
        return to_division(glass, GLASS_DIVISION) if 0.0 <= glass <= 1.0 else glass

    @property
    def pressure(self) -> float:
        """What the gauge shows [Pa above atmosphere]; it does not go below nothing."""
        return max(0.0, self._clock.reading(r.BOILER_PRESSURE) + self._gauge_error)

    @property
    def pressure_read(self) -> float:
        """That pressure as the crew read it."""
        return to_division(self.pressure, PRESSURE_DIVISION)

    def put_gauge_out(self, by: float) -> None:
        """Make the gauge read higher by so much [Pa], or lower; whoever waits waits for what it shows."""
        self._gauge_error += by
        self._watch_gauge()

    def when_gauge_shows(self, pressure: float) -> simpy.Event:
        """An event that comes when the gauge shows this pressure [Pa above atmosphere] or more."""
        event = self._clock.event()
        self._awaited[event] = pressure
        self._watch_gauge()
        return event

    def when_glass_shows_less(self, level: float) -> simpy.Event:
        """An event that comes when the glass falls below a level; one that is stuck above it never does."""
        if self._stuck_at is None:
            return self._clock.when(r.GLASS_FRACTION, level, -1)
        event = self._clock.event()
        return event.succeed() if self.glass < level else event

    def _watch_gauge(self) -> None:
        for number in self._guards:
            self._clock.disarm(number)
        self._guards = []
        self._tell()  # whoever sees it already waits no longer
        self._guards = [
            self._clock.guard(r.BOILER_PRESSURE, pressure - self._gauge_error, +1, self._tell)
            for pressure in tuple(self._awaited.values())
        ]

    def _tell(self) -> None:
        for event, pressure in list(self._awaited.items()):
            if self._clock.reading(r.BOILER_PRESSURE) + self._gauge_error >= pressure - 1.0:
                del self._awaited[event]
                event.succeed()
        if not self._awaited:
            for number in self._guards:
                self._clock.disarm(number)
            self._guards = []

    def look(self) -> Observation:
        """Everything a look shows now, each to the division it is read to."""
        read, plant = self._clock.reading, self._clock.plant
        glass, fire = self.glass_read, self._parameters.fire
        in_sight = 0.0 <= glass <= 1.0
        ash = plant.state("ash") / ASH_DENSITY / fire.grate_area if fire.grate_area > 0.0 else 0.0
        well = read(r.HOTWELL_MASS) / self._parameters.exhaust.hotwell_capacity
        oil = read(r.LUBRICATOR_OIL) / self._parameters.engine.lubricator_capacity
        return Observation(
            time=self._clock.now,
            glass=glass if in_sight else None,
            glass_empty=glass < 0.0,
            pressure=self.pressure_read,
            bed_depth=to_division(read(r.BED_DEPTH), DEPTH_DIVISION),
            hotwell_fraction=to_division(well, WELL_DIVISION),
            hotwell_temperature=to_division(read(r.HOTWELL_TEMPERATURE), TEMPERATURE_DIVISION),
            engine_turning=abs(read(r.SHAFT_SPEED)) > TURNING,
            tank_pressure=to_division(read(r.BURNER_TANK_PRESSURE), PRESSURE_DIVISION),
            oil_fraction=to_division(oil, WELL_DIVISION),
            flame=read(r.BURNING_RATE) > 0.0,
            ash_depth=to_division(ash, DEPTH_DIVISION),
            dark_fraction=to_division(plant.controls.clinker_fraction, GLASS_DIVISION),
        )
