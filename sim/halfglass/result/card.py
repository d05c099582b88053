"""Minutes available after each failure at each speed, for the boathouse card. Plain frozen values."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple


class AtSpeed(NamedTuple):
    """The boat steaming steadily with the glass and the pressure held, before anything fails."""

    name: str  # "slow"
    throttle: float  # 0-1
    boat_speed: float  # m/s through still water
    steam: float  # kg/s to the engine
    water_to_quarter: float  # kg from the held glass to a quarter, at this swell
    water_to_nut: float  # kg from the held glass to the bottom nut


class After(NamedTuple):
    """Seconds from a failure to each mark; None: not within the time looked ahead, or not before the nut."""

    quarter: float | None
    bottom_nut: float | None
    no_reversing: float | None  # the engine could no longer turn the screw astern at that speed
    no_steaming: float | None
    watched: float  # s, how far the run went


@dataclass(frozen=True)
class FailureRow:
    """One failure: what marks it is told by, and the times at each speed, in the order of the speeds."""

    failure: str
    remark: str
    tells_water: bool
    tells_pressure: bool
    after: tuple[After, ...]


@dataclass(frozen=True)
class FailureTable:
    """All failures of one boat; `uncertainty_fraction` (0-1) is the honest spread of every time."""

    glass: float  # 0-1, held before the failure
    pressure: float  # Pa gauge, held before the failure
    looked_ahead: float  # s
    uncertainty_fraction: float
    speeds: tuple[AtSpeed, ...]
    rows: tuple[FailureRow, ...]
    assumed: tuple[str, ...]
