"""Halfglass: a rehearsal, ashore, of a day out in a small steam launch.

`load` reads a scenario file, `run` simulates it under one of its plans, `propose` searches for another plan,
`fit` fits its boat to the owner's log. All fetch what they need when called, so that `import halfglass` costs
nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pathlib import Path

    from halfglass.result.fitted import FitResult
    from halfglass.result.proposed import Proposal
    from halfglass.result.records import Outing
    from halfglass.scenario.load import Story

__all__ = ["__version__", "fit", "load", "propose", "run"]


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

    `plan` names whose boat and stores count, the first if none is named; `seed` (>= 0) draws where the search
    begins. The result's `boat` is the text of the new boat file. Raises ScenarioError with every fault found
    in the log, and NothingToFitError if it holds too little.
    """
    from pathlib import Path

    from halfglass.study.fit import fit as fitted
    from halfglass.study.owner_log import read_log

    name = story.plan_names[0] if plan is None else plan
    return fitted(story, read_log(Path(log), story.for_plan(name).light_up), name, seed)


def __getattr__(name: str) -> Any:
    """Look up `__version__` when it is asked for: reading the installed metadata takes time."""
    if name != "__version__":
        raise AttributeError(f"module 'halfglass' has no attribute {name!r}")
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("halfglass")
    except PackageNotFoundError:
        return "not installed"
