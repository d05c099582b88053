"""`spread`: the same day many times over with what is uncertain drawn anew, under every plan.

`run` does the days into a run folder, `gather` reads the answer off it; `spread` does both.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np

from halfglass.day.outing import Day
from halfglass.plant.compile import is_compiled
from halfglass.result import provenance
from halfglass.result.spread_records import ANSWERS, BANDS, Array, PlanSpread, SpreadResult
from halfglass.scenario.load import Story
from halfglass.scenario.uncertain import DIFFERENCE, Spread, read_spread
from halfglass.study import spread_statistics as statistics
from halfglass.study.ensemble import FAILED, NUMBERS, Part, Task, work
from halfglass.study.executors import Progress, executor, results, silent
from halfglass.study.run_folder import Form, RunFolder
from halfglass.study.sampling import Draws, draw
from halfglass.vocabulary import units

CHUNK = 8
"""Days in a part: the same whoever works, so that the parts of any two runs are the same."""
ROOM = 1.15
"""The grid of time ends this much later than the longest day as written."""
LIBRARIES = ("scipy",)


@dataclass(frozen=True)
class Asked:
    """What is asked of a spread: days, master seed, sampling and plans."""

    members: int
    seed: int
    sampling: str
    plans: tuple[str, ...]


def spread(
    story: Story,
    asked: Asked,
    folder: Path,
    jobs: int = 1,
    cluster: str | None = None,
    is_resumed: bool = False,
    form: Form = "npz",
    progress: Progress = silent,
) -> SpreadResult:
    """Run a spread and read its answer.

    Parameters: story; asked; folder of the run; jobs [processes, >= 1], or cluster, the address of a dask
    scheduler; is_resumed, whether to go on with work found in the folder; form of part files.
    Raises: MembersError for members that do not suit the sampling; FolderRefusedError.
    """
    spreads = spreads_of(story, asked.plans[0])
    draws = draw(asked.members, len(spreads), asked.seed, asked.sampling)
    horizon = horizon_of(story, asked.plans)
    with RunFolder(folder, identity(story, asked, horizon), is_resumed, form) as kept:
        with executor(jobs, cluster) as (made, workers):
            run(tasks(story, asked, spreads, draws, horizon), kept, made, workers, progress)
        return gather(story, asked, spreads, draws, horizon, kept)


def spreads_of(story: Story, plan: str) -> tuple[Spread, ...]:
    """The uncertain keys of a day, the same under every plan."""
    day = story.for_plan(plan)
    return tuple(read_spread(day, entry) for entry in day.uncertain)


def horizon_of(story: Story, plans: Sequence[str]) -> float:
    """End of the grid of time [s]: a little past the longest of the days as written, in minutes."""
    longest = 0.0
    for plan in plans:
        day = Day(story.for_plan(plan))
        day.run()
        longest = max(longest, day.clock.now)
    return 60.0 * math.ceil(ROOM * longest / 60.0)


def identity(story: Story, asked: Asked, horizon: float) -> dict[str, Any]:
    """All that the rows of a run depend on; a folder holds one identity only."""
    origin = provenance.gather(story.files, "", asked.seed, "", is_compiled())
    return {
        "scenario": origin["scenario_sha256"],
        "seed": asked.seed,
        "number of members": asked.members,
        "sampling": asked.sampling,
        "plans": list(asked.plans),
        "version": [
            origin["halfglass"],
            origin["python"],
            origin["libraries"],
            provenance.versions(LIBRARIES),
        ],
        "plant": origin["plant"],
        "grid of time": horizon,
    }


def tasks(
    story: Story, asked: Asked, spreads: tuple[Spread, ...], draws: Draws, horizon: float
) -> tuple[Task, ...]:
    """All the work, in the order of plans and days."""
    days = [story.for_plan(plan) for plan in asked.plans]
    return tuple(
        Task(number, first, day, spreads, draws.points[first : first + CHUNK],
             draws.seeds[first : first + CHUNK], horizon)
        for number, day in enumerate(days)
        for first in range(0, len(draws.seeds), CHUNK)
    )  # fmt: skip


def run(work_to_do: Sequence[Task], kept: RunFolder, made: Any, workers: int, progress: Progress) -> None:
    """Do what is not done yet and keep it as it comes."""
    done = kept.done()
    lengths = {(task.plan, task.first): len(task.seeds) for task in work_to_do}
    whole, days = sum(lengths.values()), sum(lengths[part] for part in done)
    progress(days, whole)
    left = (task for task in work_to_do if (task.plan, task.first) not in done)
    for plan, first, rows in results(made, workers, work, left):
        kept.keep(plan, first, rows)
        days += lengths[plan, first]
        progress(days, whole)


def gather(
    story: Story, asked: Asked, spreads: tuple[Spread, ...], draws: Draws, horizon: float, kept: RunFolder
) -> SpreadResult:
    """The answer of a finished run."""
    day = story.for_plan(asked.plans[0])
    held = [_columns(kept.parts(number)) for number in range(len(asked.plans))]
    keys = [spread.key for spread in spreads]
    plans = []
    for number, (name, columns) in enumerate(zip(asked.plans, held, strict=True)):
        parts = partial(kept.parts, number)
        bands = [statistics.band(quantity, parts, draws.independent, horizon) for quantity in BANDS]
        plans.append(_plan(name, columns, keys, draws, bands))
    alone = [{key: value[: draws.independent] for key, value in columns.items()} for columns in held]
    sound = np.all([columns["outcome"] != FAILED for columns in alone], axis=0)
    differences = statistics.differences(
        asked.plans,
        [columns["first_at"][sound] for columns in alone],
        [{answer: columns[answer][sound] for answer in ANSWERS} for columns in alone],
        lambda answer: ANSWERS[answer][1],
    )
    origin = dict(provenance.gather(story.files, "", asked.seed, day.units, is_compiled()))
    del origin["plan"]
    return SpreadResult(
        day.title, datetime.combine(day.date, day.light_up), day.units, asked.sampling, asked.members,
        asked.seed, tuple((spread.key, in_words(spread)) for spread in spreads), tuple(plans), differences,
        tuple(notes(story, asked, draws)), origin,
    )  # fmt: skip


def _columns(parts: Iterator[Part]) -> dict[str, Any]:
    """What is kept of every day but its bands, joined."""
    wanted = (*NUMBERS, "outcome", "first_at", "worst")
    rows = [{name: part[name] for name in wanted} for part in parts]
    return {name: np.concatenate([one[name] for one in rows]) for name in wanted}


def _plan(
    name: str, columns: Mapping[str, Any], keys: Sequence[str], draws: Draws, bands: Sequence[Any]
) -> PlanSpread:
    alone = {key: value[: draws.independent] for key, value in columns.items()}
    sound = alone["outcome"] != FAILED
    answers: dict[str, Array] = {answer: columns[answer] for answer in ANSWERS}
    return PlanSpread(
        name=name,
        days=int(sound.sum()),
        failed=int((~sound).sum()),
        outcomes=dict(Counter(str(kind) for kind in alone["outcome"][sound]).most_common()),
        answers={key: statistics.quantiles(value[: draws.independent]) for key, value in answers.items()},
        chances=statistics.chances(alone["first_at"][sound]),
        drivers=statistics.drivers(keys, draws.points, answers, draws.independent),
        bands=tuple(bands),
    )


def in_words(spread: Spread) -> str:
    """A spread as one would say it: ``from 2 min to 12 min, any as likely``."""
    told = [_told(value, spread.quantity) for value in spread.values]
    if spread.shape == "uniform":
        return f"from {told[0]} to {told[1]}, any as likely"
    if spread.shape == "triangular":
        return f"from {told[0]} to {told[2]}, likeliest {told[1]}"
    if spread.shape == "normal":
        kind = spread.quantity
        deviation = _told(spread.values[1], kind and DIFFERENCE.get(kind, kind))
        return f"about {told[0]}, standard deviation {deviation}, cut off at three"
    return f"one of {', '.join(told)}"


def _told(value: Any, kind: str | None) -> str:
    if kind is not None:
        return units.show(float(value), kind, digits=3)
    return f"{value:g}" if isinstance(value, float) else str(value)


def notes(story: Story, asked: Asked, draws: Draws) -> Iterator[str]:
    """What a reader of the figures must know."""
    yield (
        f"Each plan met the same {asked.members} days: the same draws and the same crew times. Intervals "
        "hold the true figure of this model with 90 % confidence; that the model is right they do not say."
    )
    if asked.sampling == "latin hypercube":
        yield "A Latin hypercube covers the ranges evenly, so its intervals are, if anything, too wide."
    if len(draws.seeds) > draws.independent:
        yield f"{len(draws.seeds) - draws.independent} more days a plan served the Sobol indices only."
    if not story.base.uncertain:
        yield "The scenario has no [[uncertain]] entries: only the crew's times vary."
