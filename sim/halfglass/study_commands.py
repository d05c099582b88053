"""The commands that ask more than one day: comparison, card, limit, spread, fit.

What a command needs is imported inside it, so that --help is quick.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from halfglass.command_parts import (
    FileName,
    chosen_plans,
    in_units,
    jobs_option,
    json_option,
    out_option,
    outing_of,
    prepare,
    require_known,
    require_writable,
    say,
    say_json,
    scenario_argument,
    seed_option,
    simulating,
    tell,
    units_option,
    width,
    write_tables,
    writing,
)
from halfglass.vocabulary.errors import quoted

RUNS_TOLD = 50
"""Runs of the plant between two words on how far a fit is."""

if TYPE_CHECKING:
    from halfglass.result.comparison import Comparison
    from halfglass.result.fitted import FitResult
    from halfglass.result.spread_records import SpreadResult
    from halfglass.scenario.load import Story


@click.command("compare")
@click.argument("scenarios", nargs=-1, required=True, metavar="SCENARIO…", type=FileName(path_type=Path))
@click.option("--plan", "plans", multiple=True, metavar="NAME", help="Only this plan; may be repeated.")
@out_option(help="Where page and tables go.  [default: reports/<scenarios>]")
@seed_option(help="Draws the crew's variation.")
@units_option
@json_option
def compare_command(
    scenarios: tuple[Path, ...], plans: tuple[str, ...], out: Path | None, seed: int, units: str | None,
    as_json: bool,
) -> None:  # fmt: skip
    """Lay the plans of a SCENARIO, or of several, side by side: figures, inputs, what they favour."""
    from halfglass.scenario.load import load

    stories = [in_units(load(scenario), units) for scenario in scenarios]
    stories = [story.in_units(stories[0].base.units) for story in stories]
    chosen = _plans_to_compare(stories, plans)
    folder = out if out is not None else Path("reports") / "-and-".join(path.stem for path in scenarios)
    require_writable(folder)
    from halfglass.report.style import letter
    from halfglass.study.advice import Member
    from halfglass.study.comparison import compare

    members = []
    for number, (story, name) in enumerate(chosen):
        tell(f"running plan {number + 1} of {len(chosen)}: {name} …")
        members.append(Member(letter(number), outing_of(story, name, seed), story.for_plan(name)))
    comparison = compare(members)
    tables = _write_comparison(comparison, folder)
    if as_json:
        from halfglass.result.comparison import as_object

        say_json(as_object(comparison, tuple(str(path) for path in tables)))
        return
    from halfglass.report.comparison_text import comparison_text

    say(comparison_text(comparison, width()))


@click.command("card")
@scenario_argument
@click.option("--plan", metavar="NAME", help="The plan to put on the card.  [default: the first]")
@click.option(
    "--out",
    type=FileName(path_type=Path),
    metavar="FILE",
    help="Where the page goes.  [default: reports/<scenario>/card.html]",
)
@units_option
def card_command(scenario: Path, plan: str | None, out: Path | None, units: str | None) -> None:
    """One page for the boathouse wall: SCENARIO's plan, stores, and minutes available for each failure."""
    from halfglass.scenario.load import load

    story = in_units(load(scenario), units)
    name = chosen_plans(story, () if plan is None else (plan,))[0]
    page = out if out is not None else Path("reports") / scenario.stem / "card.html"
    require_writable(page.parent)
    outing = outing_of(story, name, 0)
    from halfglass.report.card_page import card_text, write_card
    from halfglass.study.failures import failure_table

    with simulating(
        f"{story.file}, plan {quoted(name)}, failures from a steady boat",
        "card", story.file, "--plan", name,
    ):  # fmt: skip
        table = failure_table(story.for_plan(name))
    with writing(page.parent):
        write_card(outing, table, page)
    tell(f"card: {page}")
    say(card_text(outing, table, width()))


@click.command("limit")
@scenario_argument
@click.argument("key")
@click.option("--from", "low", required=True, metavar="VALUE", help="One end; answers are in its unit.")
@click.option("--to", "high", required=True, metavar="VALUE", help="The other end, with its unit.")
@click.option(
    "--while",
    "words",
    required=True,
    metavar="CRITERION",
    help='What must hold, as in "holds the water and fuel left above 10 kg".',
)
@click.option("--plan", metavar="NAME", help="The plan it is asked of.  [default: the first]")
@click.option(
    "--days",
    type=click.IntRange(1, 1000),
    default=1,
    show_default=True,
    help="Days drawn as spread draws them; one is the day as written.",
)
@click.option("--share", default="95 %", show_default=True, metavar="VALUE", help="Share of days to hold on.")
@seed_option(help="Draws the days.")
@jobs_option
@out_option(help="Where the report goes.  [default: reports/<scenario>-limit]")
@json_option
def limit_command(
    scenario: Path, key: str, low: str, high: str, words: str, plan: str | None, days: int, share: str,
    seed: int, jobs: int | None, out: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """How far can the number KEY of SCENARIO go, such as crew.strokes, while a criterion holds?"""
    from halfglass.scenario.load import load
    from halfglass.vocabulary import units

    story = load(scenario)
    name = chosen_plans(story, (plan,) if plan is not None else ())[0]
    folder = out if out is not None else Path("reports") / f"{scenario.stem}-limit"
    try:
        part = units.parse(share, "fraction")
    except ValueError as error:
        raise click.UsageError(f"--share: {error}") from None
    require_writable(folder)
    prepare()
    from halfglass.progress import progress
    from halfglass.study.executors import silent
    from halfglass.study.limit import Asked, limit

    asked = Asked(name, key, low, high, words, seed, days, part)
    with simulating(
        f"{story.file}, plan {quoted(name)}, {key} between {low} and {high}",
        "limit", story.file, key, "--from", low, "--to", high, "--while", words, "--plan", name,
        "--days", str(days), "--share", share, "--seed", str(seed),
    ):  # fmt: skip
        try:
            answer = limit(
                story, asked, jobs or os.cpu_count() or 1, progress() if days > 1 else silent
            )
        except ValueError as error:
            raise click.UsageError(str(error)) from None
    from halfglass.report.limit_page import write_limit_report

    with writing(folder):
        write_limit_report(answer, folder / "report.html")
    tell(f"report: {folder / 'report.html'}")
    if as_json:
        from halfglass.result.limit_json import as_object

        say_json(as_object(answer))
        return
    from halfglass.report.limit_text import limit_text

    say(limit_text(answer, width()))


@click.command("spread")
@scenario_argument
@click.option("--plan", "plans", multiple=True, metavar="NAME", help="Only this plan; may be repeated.")
@click.option(
    "--members",
    type=click.IntRange(min=2),
    default=200,
    show_default=True,
    help="Days drawn; the same under every plan.",
)
@click.option(
    "--sampling",
    type=click.Choice(["latin hypercube", "sobol", "sobol indices"]),
    default="latin hypercube",
    show_default=True,
    help="How the draws are spread.",
)
@seed_option(help="Draws the days.")
@jobs_option
@click.option("--cluster", metavar="ADDRESS", help="Work on the dask cluster at this address instead.")
@click.option(
    "--parts",
    type=click.Choice(["npz", "parquet"]),
    default="npz",
    show_default=True,
    help="Form of the files the days are kept in.",
)
@out_option(help="Run folder, and where the report goes.  [default: reports/<scenario>-spread]")
@click.option("--resume", is_flag=True, help="Go on with the run in that folder.")
@units_option
@json_option
def spread_command(
    scenario: Path, plans: tuple[str, ...], members: int, sampling: str, seed: int, jobs: int | None,
    cluster: str | None, parts: Literal["npz", "parquet"], out: Path | None, resume: bool, units: str | None,
    as_json: bool,
) -> None:  # fmt: skip
    """Run SCENARIO many times over, with what is uncertain in it drawn anew: how likely is what?"""
    from halfglass.scenario.load import load

    story = in_units(load(scenario), units)
    names = chosen_plans(story, plans)
    folder = out if out is not None else Path("reports") / f"{scenario.stem}-spread"
    require_writable(folder)
    prepare()
    from halfglass.progress import progress
    from halfglass.study.run_folder import FolderRefusedError
    from halfglass.study.sampling import MembersError
    from halfglass.study.spread import Asked, spread

    asked = Asked(members, seed, sampling, tuple(names))
    workers = jobs or os.cpu_count() or 1
    with simulating(
        f"{story.file}, spread over {members} days, seed {seed}",
        "spread", story.file, "--members", str(members), "--sampling", sampling, "--seed", str(seed),
    ):  # fmt: skip
        try:
            result = spread(story, asked, folder, workers, cluster, resume, parts, progress())
        except (FolderRefusedError, MembersError) as error:
            raise click.UsageError(str(error)) from None
        except KeyboardInterrupt:
            tell("\nwhat is done is kept; --resume goes on with it")
            raise
    _answer_spread(result, folder, as_json)


@click.command("fit")
@scenario_argument
@click.argument("log", type=FileName(path_type=Path))
@click.option("--plan", metavar="NAME", help="The plan whose boat and stores count.  [default: the first]")
@seed_option(help="Draws where the search begins.")
@out_option(help="Where report and new boat file go.  [default: reports/<scenario>-fit]")
@units_option
@json_option
def fit_command(
    scenario: Path, log: Path, plan: str | None, seed: int, out: Path | None, units: str | None, as_json: bool
) -> None:
    """Fit SCENARIO's boat to the owner's LOG: which numbers it tells, how closely, and which it does not."""
    from halfglass.scenario.load import load

    story = in_units(load(scenario), units)
    name = chosen_plans(story, () if plan is None else (plan,))[0]
    folder = out if out is not None else Path("reports") / f"{scenario.stem}-fit"
    require_writable(folder)
    from halfglass.scenario.search import find_log
    from halfglass.scenario.toml_edit import NoPlaceError
    from halfglass.study.fit import NothingToFitError, fit, fitted_name
    from halfglass.study.owner_log import read_log

    log = find_log(log, scenario)
    read = read_log(log, story.for_plan(name).light_up)
    try:
        boat = folder / fitted_name(story, name)
    except NothingToFitError as error:
        raise click.UsageError(str(error)) from None
    if boat.exists():
        raise click.UsageError(f"{boat} is there already and not written over; move it or give another --out")
    prepare()
    with simulating(
        f"{story.file}, plan {quoted(name)}, fitted to {log}",
        "fit", story.file, str(log), "--plan", name, "--seed", str(seed),
    ):  # fmt: skip
        try:
            result = fit(story, read, name, seed, _told_runs)
        except (NothingToFitError, NoPlaceError) as error:
            raise click.UsageError(str(error)) from None
    _answer_fit(result, boat, as_json)


def _told_runs(runs: int) -> None:
    """Say now and then how often the plant has been run; how often it will be, nobody knows."""
    if runs % RUNS_TOLD == 0:
        tell(f"{runs} runs of the plant …")


def _answer_fit(result: FitResult, boat: Path, as_json: bool) -> None:
    """Write report and boat file of a fit and print its summary, or the JSON object."""
    from halfglass.report import write_fit_report
    from halfglass.result.whole import write_whole

    page = boat.parent / "report.html"
    with writing(boat.parent):
        write_fit_report(result, page)
        write_whole(boat, result.boat.encode(), is_new=True)
    tell(f"report: {page}")
    tell(f"boat file: {boat}")
    if as_json:
        from halfglass.result.fitted import as_object

        say_json(as_object(result))
        return
    from halfglass.report.fit_text import fit_text

    say(fit_text(result, width()))


def _plans_to_compare(stories: Sequence[Story], wanted: Sequence[str]) -> list[tuple[Story, str]]:
    """Every story with its plans, or with those wanted that it has; two at least."""
    known = tuple(dict.fromkeys(name for story in stories for name in story.plan_names))
    require_known(wanted, known)
    chosen = [(story, name) for story in stories for name in story.plan_names if not wanted or name in wanted]
    if len(chosen) < 2:
        raise click.UsageError("there is only one plan, and nothing to compare it with")
    return chosen


def _write_comparison(comparison: Comparison, folder: Path) -> list[Path]:
    """Write page and tables; returns each outing's timeline file."""
    from halfglass.report.comparison_page import write_comparison

    page = folder / "comparison.html"
    with writing(folder):
        tables = write_tables(comparison.outings, folder)
        write_comparison(comparison, page)
    tell(f"comparison: {page}")
    tell(f"tables: {folder}{os.sep}*.csv")
    return tables


def _answer_spread(result: SpreadResult, folder: Path, as_json: bool) -> None:
    """Write the report of a spread and print its summary, or the JSON object."""
    from halfglass.report import write_spread_report

    with writing(folder):
        write_spread_report(result, folder / "report.html")
    tell(f"report: {folder / 'report.html'}")
    if as_json:
        from halfglass.result.spread_json import as_object

        say_json(as_object(result))
        return
    from halfglass.report.spread_text import spread_text

    say(spread_text(result, width()))


STUDY_COMMANDS = (compare_command, card_command, limit_command, spread_command, fit_command)
"""In the order of the README."""
