"""Candidates tried: whole days with their crew on the same seeds, each once, within a number of days."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, field

from halfglass.day.outing import run
from halfglass.result import shown
from halfglass.result.proposed import DayTried, Tried
from halfglass.scenario.day_models import Scenario
from halfglass.study.criteria import criterion
from halfglass.study.ensemble import FAILED
from halfglass.study.executors import results
from halfglass.study.levers import Bench
from halfglass.vocabulary.errors import HalfglassFailure

Places = tuple[int, ...]
BEYOND = 10.0
"""Shortfall of a day the model could not finish, in each part: more than that of any that ended."""


@dataclass(frozen=True)
class Task:
    """One day for one worker; `at` is where its answer belongs."""

    at: int
    day: Scenario
    seed: int
    words: str


def rehearse(task: Task) -> tuple[int, DayTried]:
    """Simulate one day and see how it keeps to the limits."""
    wanted = criterion(task.words)
    try:
        outing = run(task.day, "", task.seed, asks_nothing_done=False)
    except HalfglassFailure:
        short = tuple(BEYOND for _ in wanted.parts)
        return task.at, DayTried(FAILED, math.nan, math.nan, math.nan, short)
    verdict = outing.verdict
    crossed = tuple(
        f"{item.severity}: {shown.subject(item.subject)}: {item.item}"
        for item in verdict.critical
        if item.severity != "watch"
    )
    return task.at, DayTried(
        verdict.outcome.kind,
        verdict.outcome.at if verdict.outcome.kind == "arrived" else math.nan,
        outing.totals["fuel_used_kg"], verdict.lowest_glass_fraction, wanted.shortfalls(outing), crossed,
    )  # fmt: skip


@dataclass
class Trials:
    """All that has been tried so far, and what may still be.

    Parameters: bench, the day and its levers; words of the limits; seeds every candidate meets; most_days
    that may be simulated; made, workers, the executor; told, called with the days done.
    """

    bench: Bench
    words: str
    seeds: Sequence[int]
    most_days: int
    made: Executor
    workers: int
    told: Callable[[int], None] = lambda _done: None
    days: int = 0
    tried: list[Tried] = field(default_factory=list)
    known: dict[Places, Tried] = field(default_factory=dict)

    @property
    def days_left(self) -> int:
        """Days that may still be simulated."""
        return self.most_days - self.days

    def ask_anew(self, words: str) -> None:
        """Other limits from now on; what was tried is forgotten, its days stay counted."""
        self.words = words
        self.tried.clear()
        self.known.clear()

    def of(self, batch: Sequence[Places]) -> list[Tried | None]:
        """What each candidate comes to; None for those there were no days left for.

        The answer depends on what was asked before, never on who works it out or in what order.
        """
        new = [places for places in dict.fromkeys(batch) if places not in self.known]
        new = new[: max(0, self.days_left) // len(self.seeds)]
        laid = {places: self.bench.laid(places) for places in new}
        days: dict[Places, list[DayTried]] = {places: [] for places in new}
        sound = [places for places in new if laid[places] is not None]
        for seeds in (self.seeds[:1], self.seeds[1:]):
            holding = [places for places in sound if all(day.holds for day in days[places])]
            jobs = [(places, seed) for places in holding for seed in seeds]
            for (places, _), day in zip(jobs, self._run([(laid[p], s) for p, s in jobs]), strict=True):
                days[places].append(day)
        for places in new:
            told = tuple(
                lever.settings[place].text for lever, place in zip(self.bench.levers, places, strict=True)
            )
            self.known[places] = Tried(len(self.tried), places, told, tuple(days[places]))
            self.tried.append(self.known[places])
        return [self.known.get(places) for places in batch]

    def further(self, one: Tried, seeds: Sequence[int]) -> tuple[DayTried, ...]:
        """A candidate on other seeds."""
        laid = self.bench.laid(one.places)
        return tuple(self._run([(laid, seed) for seed in seeds]))

    def _run(self, days: Sequence[tuple[Scenario | None, int]]) -> list[DayTried]:
        tasks: Iterator[Task] = (
            Task(number, day, seed, self.words) for number, (day, seed) in enumerate(days) if day is not None
        )
        done = {}
        for at, day in results(self.made, self.workers, rehearse, tasks):
            done[at] = day
            self.days += 1
            self.told(self.days)
        return [done[number] for number in range(len(days))]
