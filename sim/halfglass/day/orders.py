"""Standing orders: what the crew decide from what they saw at a look. Pure functions of plain data."""

from __future__ import annotations

from dataclasses import dataclass

from halfglass.day.instruments import Observation
from halfglass.scenario.day_models import Scenario

PSI = 6894.757293168
HALF_BAND = 0.25
"""Glass either side of the ordered level over which the bypass goes from shut to open (common practice)."""

COOL_BELOW, COOL_ABOVE = 0.6, 0.7
"""Glass below which feed may be used to hold the pressure down, and at which that stops (common practice)."""


@dataclass(frozen=True)
class Memory:
    """What the crew carry from one look to the next."""

    last_glass: float = 1.0
    low: bool = False  # the glass was called low and has not been made good
    tried: int = 0  # how many of the ordered sources have been put on
    falls: int = 0  # looks in a row at which a low glass had fallen further


@dataclass(frozen=True)
class Decision:
    """What is to be done after a look; None leaves a control alone."""

    damper: float | None = None
    burner_rate: float | None = None
    blower: float = 0.0
    bypass: float | None = None
    put_on: tuple[str, ...] = ()  # feed sources to start
    take_off: bool = False  # stop the extra feeding
    cool: bool = False  # engine stopped and pressure near the safety valves: feed to hold it down
    cooled: bool = False  # no longer
    charge: bool = False
    fire_out: bool = False


def notch(value: float) -> float:
    """A hand sets a control in tenths."""
    return round(min(1.0, max(0.0, value)) * 10.0) / 10.0


def decide_feed(seen: Observation, memory: Memory, day: Scenario) -> tuple[Decision, Memory]:
    """Feeding: the bypass in ordinary working, the ordered sources when the glass is low."""
    orders = day.orders
    if seen.glass_empty or seen.glass is None:
        if seen.glass_empty:
            return Decision(fire_out=True), memory
        return Decision(bypass=1.0, take_off=True), Memory(1.0, False, 0)
    bypass = notch(0.5 + 0.5 * (seen.glass - orders.glass) / HALF_BAND) if seen.engine_turning else None
    if seen.pressure > day.ease_fire_above and seen.glass < 0.85:
        bypass = 0.0 if seen.engine_turning else None
    if memory.low and seen.glass > orders.stop_above:
        return Decision(bypass=bypass, take_off=True), Memory(seen.glass, False, 0)
    low = memory.low or seen.glass < orders.act_below
    if not low:
        hot = seen.pressure > day.ease_fire_above and not seen.engine_turning and seen.glass < COOL_BELOW
        cooled = seen.pressure < day.firing.working_pressure or seen.glass > COOL_ABOVE or seen.engine_turning
        return Decision(bypass=bypass, cool=hot, cooled=cooled), Memory(seen.glass, False, 0)
    tried = memory.tried
    put_on: tuple[str, ...] = ()
    falling = seen.glass < memory.last_glass - 0.004
    if orders.low_glass and (not memory.low or falling) and tried < len(orders.low_glass):
        put_on = (orders.low_glass[tried],)
        tried += 1
    elif memory.low and falling and memory.falls >= 1 and orders.low_glass:
        put_on = (
            "none left",
        )  # at two looks running: one alone may be the level settling as the engine stops
    return Decision(bypass=0.0 if seen.engine_turning else None, put_on=put_on), Memory(
        seen.glass, True, tried, memory.falls + 1 if falling else 0
    )


def decide_fire(seen: Observation, day: Scenario, banked: bool) -> Decision:
    """Firing: damper (or burner) by the gauge, a charge when the bed is thin."""
    working, ease = day.firing.working_pressure, day.ease_fire_above
    if banked:
        return Decision(damper=0.0, burner_rate=0.0)
    if seen.pressure > ease:
        return Decision(damper=0.0, burner_rate=0.2)
    want = 0.5 + (working - seen.pressure) / (12.0 * PSI)
    rate = day.firing.burner_rate * min(1.0, max(0.3, 1.0 + (working - seen.pressure) / (8.0 * PSI)))
    charge = seen.bed_depth < day.firing.bed_depth and seen.pressure < ease
    below = day.orders.blower_below
    blower = 1.0 if below is not None and seen.pressure < below else 0.0
    return Decision(damper=max(0.1, notch(want)), burner_rate=rate, blower=blower, charge=charge)
