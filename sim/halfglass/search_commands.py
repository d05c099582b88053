"""The command that searches for a plan: propose.

What a command needs is imported inside it, so that --help is quick.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

import click

from halfglass.command_parts import (
    chosen_plans,
    in_units,
    jobs_option,
    json_option,
    out_option,
    prepare,
    require_writable,
    say,
    say_json,
    scenario_argument,
    seed_option,
    simulating,
    tell,
    units_option,
    width,
    writing,
)
from halfglass.vocabulary.errors import quoted

if TYPE_CHECKING:
    from halfglass.result.proposed import Proposal


@click.command("propose")
@scenario_argument
@click.option("--plan", metavar="NAME", help="The plan to begin from.  [default: the first]")
@click.option(
    "--for",
    "goal",
    type=click.Choice(["soonest", "least fuel"]),
    default="soonest",
    show_default=True,
    help="What is wanted.",
)
@click.option(
    "--while",
    "words",
    metavar="CRITERION",
    help="Limits, in the words of `limit`.  [default: 'no act and arrives and keeps the reserve', or with "
    "'no danger' if the plan as written has an act]",
)
@click.option(
    "--choose",
    multiple=True,
    metavar="KEY=LOW..HIGH",
    help="Choose this key, from a range or as KEY=VALUE|VALUE; may be repeated.",
)
@click.option("--fix", multiple=True, metavar="KEY", help="Leave this key as written; may be repeated.")
@click.option(
    "--days",
    type=click.IntRange(min=1),
    default=400,
    show_default=True,
    help="Whole days that may be simulated.",
)
@seed_option(help="Of the search; the first day's.")
@click.option(
    "--seeds",
    type=click.IntRange(1, 50),
    default=2,
    show_default=True,
    help="Days every candidate meets, one a seed.",
)
@click.option(
    "--further",
    type=click.IntRange(1, 200),
    default=20,
    show_default=True,
    help="More seeds on which the best are checked.",
)
@jobs_option
@out_option(help="Where report, plan and table go.  [default: reports/<scenario>-proposed]")
@units_option
@json_option
def propose_command(
    scenario: Path, plan: str | None, goal: str, words: str | None, choose: tuple[str, ...],
    fix: tuple[str, ...], days: int, seed: int, seeds: int, further: int, jobs: int | None, out: Path | None,
    units: str | None, as_json: bool,
) -> None:  # fmt: skip
    """Search for a plan of SCENARIO: throttle of each leg, firing, feeding and fuel stops, within limits."""
    from halfglass.scenario.load import load

    story = in_units(load(scenario), units)
    name = chosen_plans(story, () if plan is None else (plan,))[0]
    folder = out if out is not None else Path("reports") / f"{scenario.stem}-proposed"
    require_writable(folder)
    prepare()
    from halfglass.progress import progress
    from halfglass.study.propose import Asked, RefusedError, propose

    asked = Asked(name, goal, words, days, seed, seeds, further, choose, fix)
    repeated = [part for key in choose for part in ("--choose", key)]
    repeated += [part for key in fix for part in ("--fix", key)]
    repeated += [] if words is None else ["--while", words]
    with simulating(
        f"{story.file}, plan {quoted(name)}, a search of {days} days for {goal}, seed {seed}",
        "propose", story.file, "--plan", name, "--for", goal, "--days", str(days),
        "--seed", str(seed), "--seeds", str(seeds), "--further", str(further), *repeated,
    ):  # fmt: skip
        try:
            found = propose(story, asked, jobs or os.cpu_count() or 1, progress())
        except RefusedError as error:
            raise click.UsageError(str(error)) from None
    _answer(found, folder, as_json)


def _answer(found: Proposal, folder: Path, as_json: bool) -> None:
    """Write page, plan and table, and print the summary, or the JSON object."""
    from halfglass.report import write_proposal

    with writing(folder):
        files = write_proposal(found, folder)
    for what, file in files.items():
        tell(f"{what}: {file}")
    if as_json:
        from halfglass.result.proposed_files import as_object

        say_json(as_object(found))
        return
    from halfglass.report.propose_text import propose_text

    say(propose_text(found, width()))


SEARCH_COMMANDS = (propose_command,)
"""In the order of the README."""
