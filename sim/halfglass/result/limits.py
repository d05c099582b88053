"""What counts as critical: one row per limit. To add a critical item, add a row here.

Sources of the choices
  Half and quarter glass as working marks, "out of sight" as the end of steaming: common practice, no source.
  Safety valves pass the rated flow within 6 % over the set pressure in several US state codes and
  within 10 % in European practice; both are taken from the highest set pressure of the boat.
  Dissolved solids: 3500 ppm, the limit of the published blow-down examples; oil in the boiler: a judgement.
  Hot well empty below 1 % and overflowing above 99.9 % of its capacity: a judgement, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from halfglass.result import events
from halfglass.result.records import LogEntry, Marks, Severity, Subject
from halfglass.result.spells import between


@dataclass(frozen=True)
class Window:
    """When a limit applies: between two log events; `open_at_start` and `pauses` as in spells.between."""

    begins: str
    ends: str
    open_at_start: bool = False
    pauses: str | None = None

    def spans(self, log: Sequence[LogEntry], last: float) -> list[tuple[float, float]]:
        """Its times [s] on a day; one still open ends at `last`."""
        return between(log, self.begins, self.ends, last, self.open_at_start, self.pauses)


LIT = Window(events.LIGHT_UP, events.SHUT_DOWN, open_at_start=True)
STEAMING = Window(events.UNDER_WAY, events.SHUT_DOWN, pauses=events.NIGHT)
REVERSING = Window(events.REVERSAL_WANTED, events.REVERSAL_DONE)


@dataclass(frozen=True)
class Limit:
    """A reading that becomes critical on one side of a value; a value of None means: not on this boat."""

    subject: Subject
    item: str
    severity: Severity
    quantity: str
    below: bool
    value: Callable[[Marks], float | None]
    while_: Window
    event: str | None = None  # log event of the crossing, for a day that ends on the crossing itself
    nearness: tuple[str, Callable[[Marks], float | None]] | None = None
    """Another reading and its limit by which the way to this one is measured, for what comes all at once."""

    def measured(self, marks: Marks) -> tuple[str, float] | None:
        """The reading and the value by which its nearness is told; None where it does not apply."""
        quantity, value_of = self.nearness or (self.quantity, self.value)
        value = value_of(marks)
        return None if value is None or self.value(marks) is None else (quantity, value)


@dataclass(frozen=True)
class Condition:
    """A state of affairs told by the log alone; its measure is how long the longest spell lasted."""

    subject: Subject
    item: str
    severity: Severity
    while_: Window


def _accumulation(fraction: float) -> Callable[[Marks], float | None]:
    def pressure(marks: Marks) -> float | None:
        valves = marks.safety_valve_pressures
        return (1.0 + fraction) * max(valves) if valves else None

    return pressure


BELOW, ABOVE = True, False
MODEL_ENDS = "crown bare"  # nothing is said about what anybody does beyond it
MOST_SOLIDS = 3500.0  # mg/kg, of the published blow-down examples
MOST_OIL = 200.0  # mg/kg (judgement): doubles the foam in the carry-over rule
FULL = "full to the top"  # the model ends here too
PRIMING, NO_FEED = "priming", "no working source"

LIMITS: tuple[Limit, ...] = (
    Limit("water", "working low: below a quarter glass", "act", "glass_fraction", BELOW, lambda m: 0.25, LIT),
    Limit(
        "water",
        "out of sight below the bottom nut",
        "danger",
        "glass_fraction",
        BELOW,
        lambda m: 0.0,
        LIT,
        events.BOTTOM_NUT,
    ),
    Limit(
        "water",
        MODEL_ENDS,
        "danger",
        "water_level",
        BELOW,
        lambda m: m.crown_level,
        LIT,
        events.CROWN_BARE,
    ),
    Limit("water", "out of sight above the top nut", "act", "glass_fraction", ABOVE, lambda m: 1.0, LIT),
    Limit(
        "pressure",
        "safety valves blowing",
        "watch",
        "safety_valve_flow",
        ABOVE,
        lambda m: m.blowing_flow,
        LIT,
        nearness=("boiler_pressure", lambda m: min(m.safety_valve_pressures, default=None)),
    ),
    Limit(
        "pressure", "6 % over the safety valves", "act", "boiler_pressure", ABOVE, _accumulation(0.06), LIT
    ),
    Limit(
        "pressure",
        "10 % over the safety valves",
        "danger",
        "boiler_pressure",
        ABOVE,
        _accumulation(0.10),
        LIT,
    ),
    Limit(
        "pressure",
        "too low to steam",
        "act",
        "boiler_pressure",
        BELOW,
        lambda m: m.steaming_pressure,
        STEAMING,
    ),
    Limit(
        "pressure",
        "too low for the injector",
        "watch",
        "boiler_pressure",
        BELOW,
        lambda m: m.injector_lowest_pressure,
        STEAMING,
    ),
    Limit(
        "reversing",
        "too low to go astern when wanted",
        "act",
        "reversing_margin",
        BELOW,
        lambda m: 1.0,
        REVERSING,
    ),
    Limit(
        "engine",
        "water fills the clearance",
        "danger",
        "cylinder_water",
        ABOVE,
        lambda m: m.clearance_water,
        STEAMING,
    ),
    Limit(
        "oil",
        "lubricator nearly empty",
        "watch",
        "lubricator_oil",
        BELOW,
        lambda m: 0.05 * m.lubricator_capacity,
        STEAMING,
    ),
    Limit(
        "oil",
        "cloth full: oil reaches the hot well",
        "watch",
        "separator_load_fraction",
        ABOVE,
        lambda m: 1.0,
        LIT,
    ),
    Limit("oil", "oil in the boiler", "act", "boiler_oil", ABOVE, lambda m: MOST_OIL, LIT),
    Limit("solids", "blow-down due", "watch", "boiler_solids", ABOVE, lambda m: MOST_SOLIDS, LIT),
    Limit("fuel", "into the reserve", "watch", "fuel_on_board", BELOW, lambda m: m.fuel_reserve, LIT),
    Limit("fuel", "none left on board", "act", "fuel_on_board", BELOW, lambda m: 1e-3 * m.fuel_capacity, LIT),
    Limit("hotwell", "low", "watch", "hotwell_mass", BELOW, lambda m: m.hotwell_low, STEAMING),
    Limit("hotwell", "empty", "act", "hotwell_mass", BELOW, lambda m: 0.01 * m.hotwell_capacity, STEAMING),
    Limit(
        "hotwell",
        "overflowing",
        "watch",
        "hotwell_mass",
        ABOVE,
        lambda m: 0.999 * m.hotwell_capacity,
        STEAMING,
    ),
    Limit(
        "hotwell", "too hot to pump", "act", "hotwell_temperature", ABOVE, lambda m: m.hotwell_hot, STEAMING
    ),
)

CONDITIONS: tuple[Condition, ...] = (
    Condition("water", FULL, "danger", Window(events.BOILER_FULL, events.SHUT_DOWN)),
    Condition("water", PRIMING, "act", Window(events.PRIMING, events.PRIMING_OVER)),
    Condition("feed", NO_FEED, "act", Window(events.NO_WORKING_FEED, events.FEED_RESTORED)),
    Condition("crew", "a task overdue", "watch", Window(events.TASK_OVERDUE, events.OVERDUE_TASK_DONE)),
)

ANSWERS: dict[Subject, tuple[str, ...]] = {
    "water": ("water", "feed"),
    "pressure": ("pressure", "fire", "feed"),
    "reversing": ("reversing", "engine", "pressure", "fire"),
    "fuel": ("fuel", "fire"),
    "feed": ("feed", "water"),
    "hotwell": ("hotwell", "feed"),
    "engine": ("engine",),
    "oil": ("oil",),
    "solids": ("water", "solids"),
    "crew": ("crew",),
}
"""Log subjects that count as having tried something about a critical subject."""
