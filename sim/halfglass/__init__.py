"""Halfglass: a rehearsal, ashore, of a day out in a small steam launch.

`load` reads a scenario file, `run` simulates it under one of its plans, `compare` lays plans side by side,
`spread` runs the day many times over what is uncertain, `limit` searches how far a number may go, `propose`
searches for another plan, `fit` fits its boat to the owner's log. All fetch what they need when called, so
that `import halfglass` costs nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from halfglass.result.comparison import Comparison
    from halfglass.result.fitted import FitResult
    from halfglass.result.limit_found import LimitAnswer
    from halfglass.result.proposed import Proposal
    from halfglass.result.records import Outing
    from halfglass.result.spread_records import SpreadResult
    from halfglass.scenario.load import Story

__all__ = ["__version__", "compare", "fit", "limit", "load", "propose", "run", "spread"]


def load(path: str | Path) -> Story:
    """Read a scenario file with the boat it names; raises ScenarioError with every fault found."""
    from halfglass.scenario.load import load as read

    return read(path)


def run(story: Story, plan: str | None = None, seed: int = 0) -> Outing:
    """Simulate the day under one plan, the first one if none is named.

    `seed` (>= 0) draws the crew's variation; the same story, plan and seed give the same outing.
    """
    from halfglass.day.outing import run as simulate

    name = story.plan_names[0] if plan is None else plan
    return simulate(story.for_plan(name), name, seed, files=story.files)


def compare(*stories: Story, plans: Sequence[str] = (), seed: int = 0) -> Comparison:
    """Simulate the plans of a story, or of several, and lay them side by side.

    `plans` only those; all if none is named. `seed` (>= 0) as in `run`. The result has `rows` (figures),
    `inputs` (what differs), `advice`, `outings`. Raises ValueError if that leaves fewer than two outings.
    """
    from halfglass.report.style import letter
    from halfglass.study.advice import Member
    from halfglass.study.comparison import compare as laid_out

    chosen = [(story, name) for story in stories for name in story.plan_names if not plans or name in plans]
    if len(chosen) < 2:
        raise ValueError("there are fewer than two plans, and nothing to compare")
    return laid_out(
        [
            Member(letter(number), run(story, name, seed), story.for_plan(name))
            for number, (story, name) in enumerate(chosen)
        ]
    )


def spread(
    story: Story,
    members: int = 200,
    plans: Sequence[str] = (),
    sampling: str = "latin hypercube",
    seed: int = 0,
    jobs: int = 1,
    folder: str | Path | None = None,
    resume: bool = False,
) -> SpreadResult:
    """Run the day many times over with what is uncertain in it drawn anew, under every plan.

    `plans` only those; all if none is named. `members` days (>= 2), the same under each; `sampling` "latin
    hypercube", "sobol" or "sobol indices"; `seed` (>= 0) draws them; `jobs` processes; `folder` keeps the
    days, and `resume` goes on with those in it; left out, none is kept. Raises MembersError for members that
    do not suit the sampling, and FolderRefusedError for a folder that may not be used.
    """
    from pathlib import Path
    from tempfile import TemporaryDirectory

    from halfglass.study.spread import Asked
    from halfglass.study.spread import spread as drawn

    asked = Asked(members, seed, sampling, tuple(plans) or story.plan_names)
    with TemporaryDirectory() as passing:
        return drawn(story, asked, Path(passing if folder is None else folder), jobs, is_resumed=resume)


def limit(
    story: Story,
    key: str,
    low: str,
    high: str,
    criterion: str,
    plan: str | None = None,
    days: int = 1,
    share: float = 0.95,
    seed: int = 0,
    jobs: int = 1,
) -> LimitAnswer:
    """Search how far a number of the story may go, from `low` to `high`, while a criterion holds.

    `key` as in "crew.look_every", ends with their units, `criterion` in the words of the command. One of the
    `days` is the day as written, more are drawn as by `spread`; `share` (0-1) of them must hold. `seed`
    (>= 0) draws them; `jobs` processes. Raises ValueError for a key, value or criterion that will not do.
    """
    from halfglass.study.limit import Asked
    from halfglass.study.limit import limit as search

    name = story.plan_names[0] if plan is None else plan
    return search(story, Asked(name, key, low, high, criterion, seed, days, share), jobs)


def propose(
    story: Story,
    plan: str | None = None,
    goal: str = "soonest",
    limits: str | None = None,
    days: int = 400,
    jobs: int = 1,
    **more: Any,
) -> Proposal:
    """Search for a plan that does better than one of the story's, the first if none is named.

    `goal` "soonest" or "least fuel"; `limits` in the words of the command `limit`; `days` that may be
    simulated; `jobs` processes. `more`: seed, seeds, further, choose, fix, as `study.propose.Asked` has them.
    Raises ValueError for what cannot be searched.
    """
    from halfglass.study.propose import Asked
    from halfglass.study.propose import propose as search

    name = story.plan_names[0] if plan is None else plan
    return search(story, Asked(name, goal, limits, days, **more), jobs)


def fit(story: Story, log: str | Path, plan: str | None = None, seed: int = 0) -> FitResult:
    """Fit the boat of a story to the owner's log, a CSV file.

    `log` is its path, or its name beside the scenario or in `logs` there. `plan` names whose boat and stores
    count, the first if none is named; `seed` (>= 0) draws where the search begins. The result's `boat` is the
    text of the new boat file. Raises ScenarioError with every fault found in the log, and NothingToFitError
    if it holds too little.
    """
    from halfglass.scenario.search import find_log
    from halfglass.study.fit import fit as fitted
    from halfglass.study.owner_log import read_log

    name = story.plan_names[0] if plan is None else plan
    return fitted(story, read_log(find_log(log, story.file), story.for_plan(name).light_up), name, seed)


def __getattr__(name: str) -> Any:
    """Look up `__version__` when it is asked for: reading the installed metadata takes time."""
    if name != "__version__":
        raise AttributeError(f"module 'halfglass' has no attribute {name!r}")
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("halfglass")
    except PackageNotFoundError:
        return "not installed"
