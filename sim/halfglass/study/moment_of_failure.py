"""The engine pump stops: how long the glass lasts, by the moment, the crew and what else can feed.

`python -m halfglass.study.moment_of_failure SCENARIO` prints the table for the boat, stores and weather of a
scenario; its route is put aside for a plain one on which the pump can stop at each of the moments.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from pydantic import TypeAdapter

from halfglass.day.outing import Day
from halfglass.day.record import columns
from halfglass.result import events
from halfglass.scenario.day_models import Scenario
from halfglass.scenario.fault_models import EnginePumpStops, FaultAt
from halfglass.scenario.load import load
from halfglass.scenario.order_models import FeedSource
from halfglass.scenario.route_steps import Leg, RaiseSteam, Step

BACKUPS: dict[str, tuple[FeedSource, ...]] = {
    "none": (),
    "hand pump on hot well": ("hand pump on hot well",),
    "hand pump on lake": ("hand pump on lake",),
    "injector": ("injector",),
    "all": ("injector", "hand pump on hot well", "hand pump on lake"),
}
"""What the orders name besides the engine pump, in the order in which it is tried."""
CREWS = (1, 2)


@dataclass(frozen=True)
class Moment:
    """When the pump stops, and the leg it stops on or before: share of the throttle, distance."""

    at: dict[str, str]
    share: float
    distance: str


SLOW = 0.6
"""Share of the throttle of the scenario's first leg with which the boat goes slowly."""
MOMENTS: dict[str, Moment] = {
    "under way at full speed": Moment({"leaving": "Stage", "plus": "1 min"}, 1.0, "12 km"),
    "under way slowly": Moment({"leaving": "Stage", "plus": "1 min"}, SLOW, "12 km"),
    "at the lock": Moment({"arriving": "Lock", "plus": "2 min"}, 1.0, "3 km"),
    "coming alongside": Moment({"arriving": "Quay", "plus": "20 s"}, 1.0, "3 km"),
}


@dataclass(frozen=True)
class Row:
    """One cell: what became of the water when the pump stopped at that moment."""

    moment: str
    hands: int
    backup: str
    bottom_nut_after: float | None  # s after the pump stopped; None: never
    lowest_glass: float  # from then on
    outcome: str
    tried: tuple[str, ...]  # what the crew put on, or could not

    @property
    def cells(self) -> tuple[str, ...]:
        """The row as text: minutes to the bottom nut (or "never"), lowest glass, outcome."""
        after = "never" if self.bottom_nut_after is None else f"{self.bottom_nut_after / 60.0:.1f}"
        return (self.moment, str(self.hands), self.backup, after, f"{self.lowest_glass:.2f}", self.outcome)


HEADER = ("moment", "hands", "backup", "bottom_nut_after [min]", "lowest_glass", "outcome")


def table(
    day: Scenario,
    seed: int = 0,
    moments: Iterable[str] = tuple(MOMENTS),
    crews: Iterable[int] = CREWS,
    backups: Iterable[str] = tuple(BACKUPS),
) -> tuple[Row, ...]:
    """Every cell asked for, run one after the other; a backup the boat lacks gives no row.

    Parameters: day, whose boat, stores, weather and firing are used; seed of the crew's times.
    """
    hands, ways = tuple(crews), tuple(backups)
    return tuple(row for moment in moments for row in _rows(day, seed, moment, hands, ways))


def _rows(
    day: Scenario, seed: int, moment: str, crews: Sequence[int], backups: Sequence[str]
) -> Iterator[Row]:
    for hands in crews:
        for backup in backups:
            ways = tuple(way for way in BACKUPS[backup] if way in day.boat.feed_sources)
            if ways or backup == "none":
                yield run_cell(cell(day, moment, hands, ways), seed, (moment, hands, backup))


def cell(day: Scenario, moment: str, hands: int, ways: tuple[FeedSource, ...]) -> Scenario:
    """The day with one moment, crew and set of ways of feeding."""
    when = MOMENTS[moment]
    fault = EnginePumpStops(kind="engine pump stops delivering", at=FaultAt.model_validate(when.at))
    return day.model_copy(
        update={
            "crew": day.crew.model_copy(update={"hands": hands}),
            "orders": day.orders.model_copy(update={"low_glass": ways, "throttle_when_low": None}),
            "order": (),
            "route": route_for(day, when),
            "fault": (fault,),
        }
    )


def route_for(day: Scenario, moment: Moment) -> tuple[Any, ...]:
    """Up to a stage, on to a lock and a quay, and a long way home, at the first leg's throttle."""
    raising = next(step for step in day.route if isinstance(step, RaiseSteam))
    first = next(step for step in day.route if isinstance(step, Leg))
    throttle = f"{100.0 * (first.throttle or 0.5):.4g} %"
    after = f"{100.0 * moment.share * (first.throttle or 0.5):.4g} %"
    gear = f"{100.0 * first.reversing_gear:.4g} %"
    leg = {"step": "leg", "distance": "3 km", "throttle": throttle, "reversing_gear": gear}
    written = (
        {"step": "warm through", "for": "6 min"},
        leg | {"to": "Stage"},
        leg | {"to": "Lock", "throttle": after, "distance": moment.distance},
        {"step": "lock", "at": "Lock", "wait": "15 min"},
        leg | {"to": "Quay"},
        {"step": "come alongside", "at": "Quay"},
        {"step": "lie", "for": "20 min"},
        leg | {"to": "Boathouse", "distance": "12 km"},
        {"step": "come alongside", "at": "Boathouse"},
        {"step": "shut down"},
    )
    steps = TypeAdapter(tuple[Step, ...]).validate_python(written)
    return (raising, *steps)


def run_cell(day: Scenario, seed: int, at: tuple[str, int, str]) -> Row:
    """Run one cell and read the water off it."""
    happened = Day(day, seed)
    happened.run()
    assert happened.fault_at is not None and happened.outcome is not None
    since = happened.fault_at
    empty = [e.time - since for e in happened.entries if e.event == events.BOTTOM_NUT and e.time >= since]
    readings = columns(happened)
    glass = readings["glass_fraction"][readings["time"] >= since]
    answers = [
        e.event for e in happened.entries if e.who == "crew" and e.subject == "feed" and e.time >= since
    ]
    return Row(
        *at,
        bottom_nut_after=empty[0] if empty else None,
        lowest_glass=float(glass.min()),
        outcome=happened.outcome.kind,
        tried=tuple(dict.fromkeys(answers)),
    )


def as_csv(rows: Iterable[Row]) -> str:
    """The table as text, a row a line, with a header."""
    return "".join(",".join(cells) + "\n" for cells in (HEADER, *(row.cells for row in rows)))


if __name__ == "__main__":
    story = load(sys.argv[1])
    sys.stdout.write(as_csv(table(story.for_plan(story.plan_names[0]))))
