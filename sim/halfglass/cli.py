"""The commands. The only printer: stdout carries the answer, stderr progress and complaints.

Exit codes: 0 ran; 1 our failure; 2 usage or scenario; 3 a limit was crossed (with --fail-on only);
130 interrupted. What a command needs is imported inside it, so that --help is quick.
"""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from halfglass.classroom_commands import CLASSROOM_COMMANDS
from halfglass.command_parts import (
    FileName,
    as_failure,
    chosen_plans,
    in_units,
    json_option,
    out_option,
    outing_of,
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
    write_tables,
    writing,
)
from halfglass.search_commands import SEARCH_COMMANDS
from halfglass.study_commands import STUDY_COMMANDS
from halfglass.vocabulary.errors import HalfglassFailure, ScenarioError

if TYPE_CHECKING:
    from halfglass.result.records import Outing
    from halfglass.scenario.load import Story

FAILED, REFUSED, LIMIT_CROSSED, INTERRUPTED = 1, 2, 3, 130
BOILERS = ("vertical fire-tube", "horizontal dry-back", "locomotive", "water-tube")
SEVERITIES = ("watch", "act", "danger")  # mildest first


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line and leave with its exit code."""
    gc.set_threshold(50_000)  # what loads, stays: looking through it often took a twelfth of a short run
    sys.exit(_exit_code(arguments))


def _exit_code(arguments: Sequence[str] | None) -> int:
    try:
        code = commands.main(args=arguments, prog_name="halfglass", standalone_mode=False)
        return code if isinstance(code, int) else 0
    except click.ClickException as error:
        error.show()
        return REFUSED
    except ScenarioError as error:
        tell(error.render())
        return REFUSED
    except (click.Abort, KeyboardInterrupt):
        tell("interrupted")
        return INTERRUPTED
    except Exception as error:
        if os.environ.get("HALFGLASS_DEBUG") == "1":
            raise
        failure = error if isinstance(error, HalfglassFailure) else as_failure(error)
        tell(failure.render())
        tell("  HALFGLASS_DEBUG=1 shows where in the program.")
        return FAILED


def _show_version(context: click.Context, _option: click.Parameter, wanted: bool) -> None:
    if wanted and not context.resilient_parsing:
        from halfglass import __version__

        say(f"halfglass {__version__}")
        context.exit()


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.option("--version", is_flag=True, is_eager=True, expose_value=False, callback=_show_version,
              help="Show the version and exit.")
def commands() -> None:
    """Rehearse, ashore, a day's outing in a small steam launch."""


for _command in (*STUDY_COMMANDS, *SEARCH_COMMANDS, *CLASSROOM_COMMANDS):
    commands.add_command(_command)


@commands.command("run")
@scenario_argument
@click.option("--plan", "plans", multiple=True, metavar="NAME", help="Only this plan; may be repeated.")
@out_option(help="Where report and tables go.  [default: reports/<scenario>]")
@seed_option(help="Draws the crew's variation.")
@units_option
@json_option
@click.option(
    "--fail-on",
    type=click.Choice(SEVERITIES),
    help="Exit with 3 if a limit of this severity, or a graver one, was crossed.",
)
def run_command(
    scenario: Path, plans: tuple[str, ...], out: Path | None, seed: int, units: str | None, as_json: bool,
    fail_on: str | None,
) -> int:  # fmt: skip
    """Simulate SCENARIO, a file or the name of one, under its plans: verdict, report, tables."""
    from halfglass.scenario.load import load

    story = in_units(load(scenario), units)
    names = chosen_plans(story, plans)
    folder = out if out is not None else Path("reports") / scenario.stem
    require_writable(folder)
    outings = []
    for number, name in enumerate(names, start=1):
        tell(f"running plan {number} of {len(names)}: {name} …")
        outings.append(outing_of(story, name, seed))
    tables = _write(outings, folder)
    _answer(outings, tables, as_json)
    return LIMIT_CROSSED if fail_on is not None and _crossed(outings, fail_on) else 0


@commands.command("check")
@click.argument("file", metavar="SCENARIO", type=FileName(path_type=Path))
@units_option
@click.option("--json", "as_json", is_flag=True, help="Print the sanity table as one JSON object.")
def check_command(file: Path, units: str | None, as_json: bool) -> None:
    """Look SCENARIO, or a boat file, over without running it: what would be done; is she in proportion?"""
    from halfglass.scenario.boat_alone import alone_story, is_boat
    from halfglass.scenario.load import load
    from halfglass.scenario.search import find_scenario

    where = find_scenario(file)
    alone = is_boat(where)
    story = in_units(alone_story(where) if alone else load(file), units)
    day = story.base
    prepare()
    from halfglass.report.sanity_text import sanity_object, sanity_text
    from halfglass.study.check import sanity

    with simulating(f"{file}, steady", "check", str(file)):
        table = sanity(day, is_alone=alone)
    if as_json:
        say_json(sanity_object(table))
        return
    if not alone:
        say(_resolved(story))
    say(sanity_text(table, width()))


@commands.group("new")
def new_command() -> None:
    """Write a commented boat or scenario that runs as it is, to begin from."""


@new_command.command("boat")
@click.argument("path", type=click.Path(path_type=Path, allow_dash=True))
@click.option("--kind", default=BOILERS[0], show_default=True, type=click.Choice(BOILERS),
              help="Shape of the boiler.")  # fmt: skip
def new_boat_command(path: Path, kind: str) -> None:
    """Write a commented boat file to PATH, or to stdout if that is '-'."""
    from halfglass.scenario.commented import new_boat

    _write_new(path, new_boat(kind))


@new_command.command("scenario")
@click.argument("path", type=click.Path(path_type=Path, allow_dash=True))
@click.option("--boat", metavar="BOAT", default="teal", show_default=True,
              help="Boat file the day is for, as the scenario will name it.")  # fmt: skip
def new_scenario_command(path: Path, boat: str) -> None:
    """Write a commented scenario to PATH, or to stdout if that is '-'."""
    from halfglass.scenario.commented import new_scenario

    _write_new(path, new_scenario(boat, Path() if str(path) == "-" else path))


def _write_new(path: Path, text: str) -> None:
    """Write a new file, never over one that is there; '-' is stdout."""
    if str(path) == "-":
        say(text.rstrip("\n"))
        return
    from halfglass.result.whole import write_whole

    if not path.parent.is_dir():
        raise click.UsageError(f"cannot write {path}: there is no folder {path.parent}")
    try:
        write_whole(path, text.encode(), is_new=True)
    except FileExistsError:
        raise click.UsageError(f"{path} is there already; nothing was written") from None
    except OSError as error:
        raise click.UsageError(f"cannot write {path}: {error.strerror or error}") from None
    tell(f"written: {path}")


@commands.command("schema")
def schema_command() -> None:
    """Print the JSON Schema of scenario files, for editors."""
    from halfglass.scenario.schema import json_schema

    say_json(json_schema())


def _write(outings: Sequence[Outing], folder: Path) -> list[Path]:
    """Write report and tables; returns each plan's timeline file."""
    from halfglass.report import write_report

    report = folder / "report.html"
    with writing(folder):
        timelines = write_tables(outings, folder)
        write_report(outings, report)
    tell(f"report: {report}")
    tell(f"tables: {folder}{os.sep}*.csv")
    return timelines


def _answer(outings: Sequence[Outing], timelines: Sequence[Path], as_json: bool) -> None:
    """Print the summary, or the JSON object."""
    if as_json:
        from halfglass.result.json_form import as_object

        say_json(as_object(outings, timelines))
        return
    from halfglass.report.terminal import summary, wants_colour

    say(summary(outings, width(), wants_colour(sys.stdout, os.environ)))


def _crossed(outings: Sequence[Outing], mildest: str) -> bool:
    """Whether any limit of this severity or a graver one was crossed."""
    counted = SEVERITIES[SEVERITIES.index(mildest) :]
    return any(item.severity in counted for outing in outings for item in outing.verdict.critical)


def _resolved(story: Story) -> str:
    """A checked scenario in words: what would be run."""
    from halfglass.report.terminal import fold
    from halfglass.scenario.resolved import COLUMN, resolved

    told = []
    for left, text in resolved(story):
        hang = f"{left:<{COLUMN}}" if left.strip() else left
        told += fold(text, width(), hang, " " * len(hang)) if text else [left]
    return "\n".join([*told, ""])
