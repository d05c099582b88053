"""The records a simulated outing leaves behind. Plain frozen values; nothing here computes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Literal, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Mapping

    from pandas import DataFrame

    from halfglass.result.energy_flow import EnergyFlow

Severity = Literal["watch", "act", "danger"]
Subject = Literal[
    "water", "pressure", "fuel", "feed", "hotwell", "reversing", "engine", "oil", "solids", "crew"
]
Side = Literal["in", "out", "kept"]


@dataclass(frozen=True)
class Marks:
    """What pictures and verdict must know about the boat and the day, in SI units.

    Pressures are gauge [Pa]; levels are heights above the bottom nut of the gauge glass [m], so the
    crown of the firebox is negative; masses [kg]; temperatures [K]; times [s] since `started`.
    A mark that is None does not exist on this boat or day, and nothing is judged against it.
    """

    title: str
    plan_name: str
    started: datetime  # clock time of second 0
    units: str  # unit system the answers are shown in
    glass_length: float  # bottom nut to top nut
    crown_level: float
    level_uncertainty: float  # half width of what the model can say about the level in the glass
    working_pressure: float
    safety_valve_pressures: tuple[float, ...]
    steaming_pressure: float  # below this the engine cannot drive the boat
    reversing_pressure: float | None
    injector_lowest_pressure: float | None
    fuel_capacity: float
    fuel_reserve: float
    hotwell_capacity: float
    hotwell_low: float
    hotwell_hot: float  # above this the pumps lose their water
    clearance_water: float  # water that fills a clearance space of the engine
    lubricator_capacity: float
    blowing_flow: float  # a safety valve that passes more has lifted
    hands: int
    lake_temperature: float
    arrival_due: float | None = None


@dataclass(frozen=True)
class LogEntry:
    """One line of the log: at `time` [s] `who` (a hand, "plant" or "day") met `event`."""

    time: float
    who: str
    subject: str
    event: str
    text: str


@dataclass(frozen=True)
class Outcome:
    """How the outing ended: a kind such as "arrived", the time [s] and one plain sentence."""

    kind: str
    at: float
    sentence: str


@dataclass(frozen=True)
class CriticalItem:
    """One limit that was crossed: when first, for how long in all, and how far."""

    subject: Subject
    item: str
    severity: Severity
    first_at: float  # [s]
    lasted: float  # [s], all spells together
    spells: int
    worst: float  # in the SI unit of `quantity`
    worst_at: float  # [s]
    quantity: str  # name of a reading
    after_fault: float | None  # [s] from the fault to the first spell that begins after it
    is_again: bool  # whether there were spells before the fault too
    tried: tuple[LogEntry, ...]  # what the crew did about it while it lasted
    because: str  # one sentence with numbers of this run: why the first spell began


@dataclass(frozen=True)
class Nearest:
    """How near a reading came to a limit that applied, crossed or not; SI of `quantity`.

    `margin` is what was left, negative where the limit was crossed; `margin_fraction` is that over what the
    reading usually spans on this boat, so that margins of different kinds can be put in order.
    """

    subject: Subject
    item: str
    severity: Severity
    quantity: str
    limit: float
    below: bool  # whether the limit is a lowest value
    value: float
    margin: float
    margin_fraction: float
    at: float  # [s]
    place: str  # "at Alder jetty", "after Alder jetty", "before casting off"


@dataclass(frozen=True)
class TaskSpell:
    """One hand at one task, from `start` to `end` [s]."""

    task: str
    start: float
    end: float


class TaskTime(NamedTuple):
    """How long a task took in all [s], under way [s], and how often it was taken up."""

    task: str
    seconds: float
    under_way: float
    times: int


@dataclass(frozen=True)
class Occupation:
    """What the hands were at: hours by task, how busy each was under way, and what was late.

    `busy_under_way` has one share (0-1) a hand, the busiest first: a task goes to the first hand that is
    free. One alone steers besides, which is not counted.
    """

    spells: tuple[TaskSpell, ...]
    tasks: tuple[TaskTime, ...]  # longest first
    under_way: float  # [s]
    busy_under_way: tuple[float, ...]
    overdue: int
    worst_overdue: float  # [s] past the time a task was due to be done


class Arrival(NamedTuple):
    """A place reached, at [s] since lighting up."""

    place: str
    at: float


@dataclass(frozen=True)
class Solids:
    """Dissolved solids of boiler water at the end and of the feed [mg/kg], and what they ask for.

    `blow_down_fraction` of the feed would have to be blown down to stay under `limit` for good.
    """

    at_end: float
    feed: float
    limit: float
    blow_down_fraction: float


class LedgerRow(NamedTuple):
    """One line of a ledger: what came in, went out, or is kept (gained by a vessel) [kg or J]."""

    side: Side
    name: str
    amount: float


@dataclass(frozen=True)
class Ledger:
    """Mass [kg] and energy [J] over the whole outing, and by how much they fail to close."""

    mass_error_kg: float
    energy_error_J: float
    mass_relative: float
    energy_relative: float
    mass: tuple[LedgerRow, ...]
    energy: tuple[LedgerRow, ...]


@dataclass(frozen=True)
class Verdict:
    """The answer: how it ended, whether the plan holds the water, and every limit crossed."""

    outcome: Outcome
    sentence: str
    holds_water: bool
    lowest_glass_fraction: float
    lowest_glass_at: float  # [s]
    critical: tuple[CriticalItem, ...]
    nearest: tuple[Nearest, ...] = ()  # one per limit that applied, the nearest first


@dataclass(frozen=True)
class IfNothingDone:
    """What the same day does when nobody answers the fault.

    `bottom_nut_after` [s] from the fault to the empty glass, or None if that did not come within
    `looked_ahead` [s]; `uncertainty_fraction` (0-1) is the honest spread of that time.
    """

    fault: str
    fault_at: float
    bottom_nut_after: float | None
    looked_ahead: float
    uncertainty_fraction: float


@dataclass(frozen=True)
class Outing:
    """The result of one scenario under one operating plan."""

    marks: Marks
    timeline: DataFrame
    log: DataFrame
    verdict: Verdict
    ledger: Ledger
    provenance: Mapping[str, object]
    totals: Mapping[str, float]  # SI, unit at the end of the key: "fuel_used_kg"
    assumptions: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    if_nothing_done: IfNothingDone | None = None
    occupation: Occupation | None = None
    arrivals: tuple[Arrival, ...] = ()
    solids: Solids | None = None
    energy_flow: EnergyFlow | None = None  # of the longest leg, None if no leg was long enough to settle
