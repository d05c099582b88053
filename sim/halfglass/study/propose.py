"""`propose`: a plan that arrives soonest, or burns least, within limits; and the front between the aims.

Whole days are tried, on the same seeds for all; the best is then checked on further seeds, which had no part
in finding it. What is answered is the best of the days tried, never an optimum.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from halfglass.day.outing import run
from halfglass.plant.compile import is_compiled
from halfglass.result import provenance
from halfglass.result.comparison import Row
from halfglass.result.proposed import Check, DayTried, LeverTold, Proposal, Tried
from halfglass.scenario.load import Story
from halfglass.scenario.written_plan import plan_toml
from halfglass.study.criteria import criterion
from halfglass.study.executors import Progress, executor, silent
from halfglass.study.figures import figures
from halfglass.study.front import BESIDES, GOALS, Aim, best, front, rank
from halfglass.study.levers import Bench, bench
from halfglass.study.seeking import evolve, first_ones, refine, simplify
from halfglass.study.settings import Lever
from halfglass.study.trials import Trials

STRICT, LENIENT = "no act and arrives and keeps the reserve", "no danger and arrives and keeps the reserve"
"""Limits if none are asked for: no graver than the plan as written, which decides between the two."""
ARRIVES = "arrives"
SURE = 0.95
"""Share of the further seeds on which a plan must keep to the limits to be taken at once (judgement)."""
FINALISTS = 3
"""Whole checks besides that of the plan as written that days are kept for."""
BATCH = 5
"""Further days between two looks at whether a finalist can still be sure (judgement)."""
APART = 0.005
"""Least step of rank from one finalist to the next (judgement, about 2 % of the time): a plan that is not
sure stands too near a limit, and so do its neighbours."""
FIRST, ASKED, BESIDE, MOST_KEPT = 0.12, 0.45, 0.06, 0.25
"""Shares of the days for the first candidates, what is asked, each other aim, and at most for tidying up at
the end (judgement)."""
LEAST_CANDIDATES = 12
STRIDE = 4


class RefusedError(ValueError):
    """What is asked cannot be searched for: words, levers or days; the message says why."""


@dataclass(frozen=True)
class Asked:
    """What is asked of a search.

    `goal` is one of `front.GOALS`; `words` the limits, None for the usual ones; `days` that may be simulated
    in all; `seed`, of the search and the first of `seeds` days every candidate meets; `further`, how many
    more seeds check the best;
    `choose` and `fix` as `levers.bench` takes them.
    """

    plan: str
    goal: str = "soonest"
    words: str | None = None
    days: int = 400
    seed: int = 0
    seeds: int = 2
    further: int = 20
    choose: tuple[str, ...] = ()
    fix: tuple[str, ...] = ()


def propose(story: Story, asked: Asked, jobs: int = 1, progress: Progress = silent) -> Proposal:
    """Search for a plan; the answer is the same whatever the number of jobs.

    Raises: RefusedError for words that are no criterion, levers that cannot be, too few days.
    """
    try:
        words = None if asked.words is None else with_arrival(asked.words)
        on = bench(story, asked.plan, asked.choose, asked.fix)
    except ValueError as error:
        raise RefusedError(str(error)) from None
    search = asked.days - asked.further * (1 + FINALISTS)
    least = asked.days - search + LEAST_CANDIDATES * asked.seeds
    if asked.days < least:
        raise RefusedError(
            f"{asked.days} days are too few: with {asked.seeds} seeds a candidate and {asked.further} "
            f"further ones, {least} are the fewest"
        )
    seeds = range(asked.seed, asked.seed + asked.seeds)
    further = range(seeds.stop, seeds.stop + asked.further)
    with executor(jobs) as (made, workers):
        trials = Trials(
            on, words or STRICT, seeds, search, made, workers, lambda done: progress(done, asked.days)
        )
        progress(0, asked.days)
        trials.of([on.as_written])
        if words is None and not trials.tried[0].holds:
            trials.ask_anew(LENIENT)
        aim, settled, found = seek(trials, asked)
        checks, chosen = check(trials, aim, found, further)
        progress(trials.days, trials.days)
    return _answer(story, asked, trials, aim, chosen, checks, settled is not None and settled is chosen)


def with_arrival(words: str) -> str:
    """The limits with "arrives" among them: a plan that does not get home is none."""
    parts = criterion(words).parts
    return " and ".join(parts if ARRIVES in parts else (*parts, ARRIVES))


def seek(trials: Trials, asked: Asked) -> tuple[Aim, Tried | None, Tried | None]:
    """Try candidates until the days for it are used.

    Returns the aim, the candidate around which every single step was tried without gain (if that was come
    to), and the best within the limits, None if there is none.
    """
    rng = np.random.default_rng(np.random.SeedSequence([asked.seed]))
    whole = trials.most_days
    first_ones(trials, max(LEAST_CANDIDATES, int(FIRST * whole / asked.seeds)) - 1, rng)
    scale = _scale(trials.tried)
    aim = GOALS[asked.goal](scale)
    others = [make for goal, make in GOALS.items() if goal != asked.goal]
    evolve(trials, aim, int(ASKED * whole), rng)
    for make in (*others, *BESIDES):
        evolve(trials, make(scale), int(BESIDE * whole), rng)
    one = best(trials.tried, aim)[0]
    kept = min(int(MOST_KEPT * whole), 2 * (len(trials.bench.levers) + 1) * asked.seeds)
    one, settled = refine(trials, aim, one, trials.days_left - kept, STRIDE)
    simple = simplify(trials, aim, one)
    if simple is not one:
        one, settled = refine(trials, aim, simple, trials.days_left, 1)
    return aim, one if settled else None, one if one.holds else None


def check(
    trials: Trials, aim: Aim, found: Tried | None, further: Sequence[int]
) -> tuple[tuple[Check, ...], Tried | None]:
    """The plan as written and the best candidates on further seeds; the first that is sure is taken.

    One that can no more be sure is given up early, for one further from the best, and so likelier further
    from the limit. If none is sure, the one that held on the largest share is taken, the plan as written
    among them.
    """
    written = trials.tried[0]
    checks = [Check(0, trials.further(written, further))]
    if found is None:
        return tuple(checks), None
    order, used = [found], 0
    for one in best([trials.tried[number] for number in front(trials.tried)], aim):
        if rank(one, aim) > rank(order[-1], aim) + APART:
            order.append(one)
    for one in order:
        if used + len(further) > FINALISTS * len(further):
            break
        if one is not written:
            checks.append(Check(one.number, _until_unsure(trials, one, further)))
            used += len(checks[-1].days)
        if _is_sure(next(check for check in checks if check.number == one.number), further):
            return tuple(checks), one
    rivals = [one for one in checks if one.number or written.holds]
    surest = max(rivals, key=lambda one: (one.held / len(one.days), len(one.days), -rivals.index(one)))
    return tuple(checks), trials.tried[surest.number]


def _until_unsure(trials: Trials, one: Tried, further: Sequence[int]) -> tuple[DayTried, ...]:
    """A candidate on further seeds, until it can no more be sure."""
    days: tuple[DayTried, ...] = ()
    while len(days) < len(further):
        days += trials.further(one, further[len(days) : len(days) + BATCH])
        if sum(not day.holds for day in days) > (1.0 - SURE) * len(further):
            break
    return days


def _is_sure(one: Check, further: Sequence[int]) -> bool:
    return len(one.days) == len(further) and one.held >= SURE * len(further)


def _scale(tried: Sequence[Tried]) -> tuple[float, float]:
    """A usual time of arrival [s] and fuel burnt [kg]: of the plan as written, or of any that arrived."""
    for one in (*tried, None):
        if one is not None and one.arrival > 0.0 and one.fuel > 0.0:
            return one.arrival, one.fuel
    return 3600.0, 1.0


def _answer(
    story: Story, asked: Asked, trials: Trials, aim: Aim, chosen: Tried | None, checks: tuple[Check, ...],
    is_settled: bool,
) -> Proposal:  # fmt: skip
    on, written = trials.bench, trials.tried[0]
    day, name = on.day, f"proposed, {asked.goal}"
    while name in story.plan_names:
        name += " again"
    raw = on.raw_plan(chosen.places, name, _about(asked, trials)) if chosen not in (None, written) else None
    origin = dict(provenance.gather(story.files, asked.plan, asked.seed, day.units, is_compiled()))
    nearest = None if chosen is not None else best(trials.tried, aim)[0].number
    return Proposal(
        title=day.title,
        plan=asked.plan,
        started=datetime.combine(day.date, day.light_up),
        units=day.units,
        goal=asked.goal,
        parts=criterion(trials.words).parts,
        levers=tuple(_lever(lever) for lever in on.levers),
        tried=tuple(trials.tried),
        front=front(trials.tried),
        chosen=chosen.number if chosen is not None else None,
        nearest=nearest,
        checks=checks,
        at_ends=tuple(_at_ends(on, chosen)) if chosen is not None else (),
        is_settled=is_settled,
        days=trials.days,
        seeds=tuple(trials.seeds),
        further_seeds=tuple(range(asked.seed + asked.seeds, asked.seed + asked.seeds + asked.further)),
        rows=_rows(story, asked, on, chosen) if raw is not None and chosen is not None else (),
        name=name,
        toml=_toml(story, raw) if raw is not None else "",
        notes=tuple(_notes(asked, trials)),
        provenance=origin | {"optimiser": provenance.versions(("scipy",))},
    )


def _about(asked: Asked, trials: Trials) -> str:
    return f"Found by search from {asked.plan!r}: {asked.goal}, while {trials.words}."


def _toml(story: Story, raw: dict[str, object]) -> str:
    """The plan to be pasted; a file without plans keeps the day as written beside it."""
    before = "" if story.base.model_fields_set & {"plan"} else f'[[plan]]\nname = "{story.plan_names[0]}"\n\n'
    return before + plan_toml(raw) + "\n"


def _lever(lever: Lever) -> LeverTold:
    texts = [setting.text for setting in lever.settings]
    return LeverTold(lever.key, lever.name, texts[0], texts[-1], texts[lever.written], len(texts))


def _at_ends(on: Bench, chosen: Tried) -> Iterator[str]:
    """Levers moved to an end of their range, in words."""
    for lever, place in zip(on.levers, chosen.places, strict=True):
        measured = [n for n, setting in enumerate(lever.settings) if setting.value is not None]
        if lever.is_ordered and place != lever.written and place in (measured[0], measured[-1]):
            end = "lowest" if place == measured[0] else "highest"
            yield f"{lever.name} at {lever.settings[place].text}, the {end} looked at"


def _rows(story: Story, asked: Asked, on: Bench, chosen: Tried) -> tuple[Row, ...]:
    """The plan as written and the proposed one side by side, on the first seed."""
    days = [on.day, on.laid(chosen.places)]
    outings = [run(day, asked.plan, asked.seed, files=story.files) for day in days if day is not None]
    return figures(outings)


def _notes(asked: Asked, trials: Trials) -> Iterator[str]:
    """What a reader of the figures must know."""
    yield (
        f"Every candidate met the same {asked.seeds} {'days' if asked.seeds > 1 else 'day'} (seeds of the "
        "crew's times); one that broke a limit on the first was not tried on the rest. Times and fuel are "
        "means of those days, water and limits are those of the worst."
    )
    yield (
        "The best of the days tried is no optimum: other settings, or other seeds, may do better. Nobody but "
        "the skipper knows whether a throttle or a fire like that suits the boat."
    )
