"""What the crew can see: gauge glass, gauge, fire, hot well. Instruments can lie; the crew never see more."""

from __future__ import annotations

from dataclasses import dataclass

from halfglass.day.clock import PlantClock
from halfglass.plant import reading as r
from halfglass.plant.parameters import PlantParameters

TURNING = 0.2
"""rev/s from which an engine is seen to turn."""
FILLING = 600.0
"""s in which a glass whose top cock is shut fills with what condenses in it (judgement)."""


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


class Instruments:
    """Gauge glass and pressure gauge, as true as their cocks and springs."""

    def __init__(self, clock: PlantClock, parameters: PlantParameters) -> None:
        self._clock = clock
        self._parameters = parameters
        self.gauge_error = 0.0  # Pa, added by a gauge that is out
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
        return min(1.0, self._stuck_at + (self._clock.now - self._fills_from) / FILLING)

    @property
    def pressure(self) -> float:
        """What the gauge shows [Pa above atmosphere]; it does not go below nothing."""
        return max(0.0, self._clock.reading(r.BOILER_PRESSURE) + self.gauge_error)

    def look(self) -> Observation:
        """Everything a look shows now."""
        read = self._clock.reading
        glass = self.glass
        return Observation(
            time=self._clock.now,
            glass=glass if 0.0 <= glass <= 1.0 else None,
            glass_empty=glass < 0.0,
            pressure=self.pressure,
            bed_depth=read(r.BED_DEPTH),
            hotwell_fraction=read(r.HOTWELL_MASS) / self._parameters.exhaust.hotwell_capacity,
            hotwell_temperature=read(r.HOTWELL_TEMPERATURE),
            engine_turning=abs(read(r.SHAFT_SPEED)) > TURNING,
            tank_pressure=read(r.BURNER_TANK_PRESSURE),
            oil_fraction=read(r.LUBRICATOR_OIL) / self._parameters.engine.lubricator_capacity,
            flame=read(r.BURNING_RATE) > 0.0,
        )
