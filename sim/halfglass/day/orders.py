"""Standing orders: what the crew decide from what they saw at a look. Pure functions of plain data."""

from __future__ import annotations

from dataclasses import dataclass, replace

from halfglass.day.instruments import GLASS_DIVISION, Observation
from halfglass.scenario.day_models import Scenario

PSI = 6894.757293168
HALF_BAND = 0.25
"""Glass either side of the ordered level over which the bypass goes from shut to open (common practice)."""

COOL_BELOW, COOL_ABOVE = 0.6, 0.7
"""Glass below which feed may be used to hold the pressure down, and at which that stops (common practice)."""
NO_BETTER = 600.0
"""s without a rise after which a way of feeding is thought no help (common practice, no source)."""
CHOKED, CHOKED_AT_A_STOP = 0.03, 0.02
"""m of ash at which the grate is cleaned under way, and made fast (common practice, no source)."""
DARK = 0.2
"""Share of the grate dark with clinker at which it is sliced (common practice, no source)."""


@dataclass(frozen=True)
class Memory:
    """What the crew carry from one look to the next."""

    low: bool = False  # the glass was called low and has not been made good
    tried: int = 0  # how many of the ordered ways of feeding have been put on
    mark: float = 1.0  # highest glass since the last of them was put on
    marked_at: float = 0.0  # s, when it stood there first


@dataclass(frozen=True)
class Decision:
    """What is to be done after a look; None leaves a control alone."""

    damper: float | None = None
    burner_rate: float | None = None
    blower: float = 0.0
    bypass: float | None = None
    put_on: str | None = None  # way of feeding to start
    none_left: bool = False  # the glass falls with all that feeds
    take_off: bool = False  # stop the extra feeding
    cool: bool = False  # engine stopped and pressure near the safety valves: feed to hold it down
    cooled: bool = False  # no longer
    charge: bool = False
    clean: bool = False  # rake and slice the grate
    fire_out: bool = False
    too_full: bool = False  # water out of sight at the top


def notch(value: float) -> float:
    """A hand sets a control in tenths."""
    return round(min(1.0, max(0.0, value)) * 10.0) / 10.0


def next_way(memory: Memory, day: Scenario, seen: Observation) -> tuple[str | None, Memory]:
    """The next of the ordered ways of feeding, if there is one that has not been tried."""
    ways = day.orders.low_glass
    if memory.tried >= len(ways):
        return None, memory
    glass = seen.glass if seen.glass is not None else memory.mark
    return ways[memory.tried], Memory(True, memory.tried + 1, glass, seen.time)


def decide_feed(seen: Observation, memory: Memory, day: Scenario) -> tuple[Decision, Memory]:
    """Feeding: the bypass in ordinary working, the ordered ways of feeding when the glass is low."""
    orders = day.orders
    if seen.glass is None:
        if seen.glass_empty:
            return Decision(fire_out=True), memory
        return Decision(bypass=1.0, take_off=True, too_full=True), Memory()
    bypass = notch(0.5 + 0.5 * (seen.glass - orders.glass) / HALF_BAND) if seen.engine_turning else None
    if seen.pressure > day.ease_fire_above and seen.glass < 0.85:
        bypass = 0.0 if seen.engine_turning else None
    if memory.low and seen.glass > orders.stop_above:
        return Decision(bypass=bypass, take_off=True), Memory()
    if not memory.low and seen.glass >= orders.act_below:
        hot = seen.pressure > day.ease_fire_above and not seen.engine_turning and seen.glass < COOL_BELOW
        cooled = seen.pressure < day.firing.working_pressure or seen.glass > COOL_ABOVE or seen.engine_turning
        return Decision(bypass=bypass, cool=hot, cooled=cooled), Memory()
    bypass = 0.0 if seen.engine_turning else None
    put_on, none_left, memory = _make_good(seen, seen.glass, memory, day)
    return Decision(bypass=bypass, put_on=put_on, none_left=none_left), memory


def _make_good(
    seen: Observation, glass: float, memory: Memory, day: Scenario
) -> tuple[str | None, bool, Memory]:
    """Put on a way of feeding, the next one, or find that none is left.

    The next comes when the glass has fallen by a division since the last was put on, or has not risen for
    `NO_BETTER`; none is left when it has fallen by two with all of them on. Then they begin anew.
    """
    if not memory.low:
        way, after = next_way(memory, day, seen)
        return way, False, replace(after, low=True, mark=glass, marked_at=seen.time)
    if glass > memory.mark:
        return None, False, replace(memory, mark=glass, marked_at=seen.time)
    fallen = memory.mark - glass
    if fallen > 0.5 * GLASS_DIVISION or seen.time - memory.marked_at >= NO_BETTER:
        way, after = next_way(memory, day, seen)
        if way is not None:
            return way, False, after
    if fallen > 1.5 * GLASS_DIVISION and day.orders.low_glass:
        return None, True, Memory(True, 0, glass, seen.time)
    return None, False, memory


def decide_fire(seen: Observation, day: Scenario, banked: bool) -> Decision:
    """Firing: damper (or burner) by the gauge, a charge when the bed is thin, the grate when it is choked."""
    working, ease = day.firing.working_pressure, day.ease_fire_above
    choked = seen.ash_depth >= (CHOKED if seen.engine_turning else CHOKED_AT_A_STOP)
    clean = day.orders.clean_grate and (choked or seen.dark_fraction >= DARK)
    if banked:
        return Decision(damper=0.0, burner_rate=0.0)
    if seen.pressure > ease:
        return Decision(damper=0.0, burner_rate=0.2, clean=clean)
    want = 0.5 + (working - seen.pressure) / (12.0 * PSI)
    rate = day.firing.burner_rate * min(1.0, max(0.3, 1.0 + (working - seen.pressure) / (8.0 * PSI)))
    charge = seen.bed_depth < day.firing.bed_depth
    below = day.orders.blower_below
    blower = 1.0 if below is not None and seen.pressure < below else 0.0
    return Decision(
        damper=max(0.1, notch(want)), burner_rate=rate, blower=blower, charge=charge, clean=clean
    )
