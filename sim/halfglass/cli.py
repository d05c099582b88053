"""The commands. The only printer: stdout carries the answer, stderr progress and complaints.

Exit codes: 0 ran; 1 our failure; 2 usage or scenario; 3 a limit was crossed (with --fail-on only);
130 interrupted. What a command needs is imported inside it, so that --help is quick.
"""

from __future__ import annotations

import contextlib
import os
import shlex
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from halfglass.vocabulary.errors import HalfglassFailure, ScenarioError, listed, nearest, quoted

if TYPE_CHECKING:
    from halfglass.result.comparison import Comparison
    from halfglass.result.records import Outing
    from halfglass.result.spread_records import SpreadResult
    from halfglass.scenario.load import Story

FAILED, REFUSED, LIMIT_CROSSED, INTERRUPTED = 1, 2, 3, 130
BOILERS = ("vertical fire-tube", "horizontal dry-back", "locomotive", "water-tube")
SEVERITIES = ("watch", "act", "danger")  # mildest first


class FileName(click.Path):
    """A path, refused in words if it is none at all."""

    def convert(self, value: Any, parameter: click.Parameter | None, context: click.Context | None) -> Any:
        """The path."""
        try:
            return super().convert(value, parameter, context)
        except ValueError as error:
            self.fail(f"{quoted(str(value))} cannot be a name: {error}", parameter, context)


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line and leave with its exit code."""
    sys.exit(_exit_code(arguments))


def _exit_code(arguments: Sequence[str] | None) -> int:
    try:
        code = commands.main(args=arguments, prog_name="halfglass", standalone_mode=False)
        return code if isinstance(code, int) else 0
    except click.ClickException as error:
        error.show()
        return REFUSED
    except ScenarioError as error:
        _tell(error.render())
        return REFUSED
    except (click.Abort, KeyboardInterrupt):
        _tell("interrupted")
        return INTERRUPTED
    except Exception as error:
        if os.environ.get("HALFGLASS_DEBUG") == "1":
            raise
        failure = error if isinstance(error, HalfglassFailure) else _as_failure(error)
        _tell(failure.render())
        _tell("  HALFGLASS_DEBUG=1 shows where in the program.")
        return FAILED


def _show_version(context: click.Context, _option: click.Parameter, wanted: bool) -> None:
    if wanted and not context.resilient_parsing:
        from halfglass import __version__

        _print(f"halfglass {__version__}")
        context.exit()


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.option(
    "--version",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_show_version,
    help="Show the version and exit.",
)
def commands() -> None:
    """Rehearse, ashore, a day's outing in a small steam launch."""


_scenario = click.argument("scenario", type=FileName(path_type=Path))
_units = click.option("--units", metavar="UNITS",
                      help="Units of the answers, over the scenario's: metric or trade, and single ones, "
                      "as in trade,pressure=bar,speed=mph.")  # fmt: skip


@commands.command("run")
@_scenario
@click.option("--plan", "plans", multiple=True, metavar="NAME", help="Only this plan; may be repeated.")
@click.option("--out", type=FileName(path_type=Path), metavar="FOLDER",
              help="Where report and tables go.  [default: reports/<scenario>]")
@click.option("--seed", type=click.IntRange(min=0), default=0, show_default=True,
              help="Draws the crew's variation.")
@_units
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object in place of the summary.")
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

    story = _in_units(load(scenario), units)
    names = _chosen_plans(story, plans)
    folder = out if out is not None else Path("reports") / scenario.stem
    _require_writable(folder)
    outings = []
    for number, name in enumerate(names, start=1):
        _tell(f"running plan {number} of {len(names)}: {name} …")
        outings.append(_outing(story, name, seed))
    tables = _write(outings, folder)
    _answer(outings, tables, as_json)
    return LIMIT_CROSSED if fail_on is not None and _crossed(outings, fail_on) else 0


@commands.command("compare")
@click.argument("scenarios", nargs=-1, required=True, metavar="SCENARIO…", type=FileName(path_type=Path))
@click.option("--plan", "plans", multiple=True, metavar="NAME", help="Only this plan; may be repeated.")
@click.option(
    "--out",
    type=FileName(path_type=Path),
    metavar="FOLDER",
    help="Where page and tables go.  [default: reports/<scenarios>]",
)
@click.option(
    "--seed", type=click.IntRange(min=0), default=0, show_default=True, help="Draws the crew's variation."
)
@_units
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object in place of the summary.")
def compare_command(
    scenarios: tuple[Path, ...], plans: tuple[str, ...], out: Path | None, seed: int, units: str | None,
    as_json: bool,
) -> None:  # fmt: skip
    """Lay the plans of a SCENARIO, or of several, side by side: figures, inputs, what they favour."""
    from halfglass.scenario.load import load

    stories = [_in_units(load(scenario), units) for scenario in scenarios]
    stories = [story.in_units(stories[0].base.units) for story in stories]
    chosen = _plans_to_compare(stories, plans)
    folder = out if out is not None else Path("reports") / "-and-".join(path.stem for path in scenarios)
    _require_writable(folder)
    from halfglass.report.style import letter
    from halfglass.study.advice import Member
    from halfglass.study.comparison import compare

    members = []
    for number, (story, name) in enumerate(chosen):
        _tell(f"running plan {number + 1} of {len(chosen)}: {name} …")
        members.append(Member(letter(number), _outing(story, name, seed), story.for_plan(name)))
    comparison = compare(members)
    tables = _write_comparison(comparison, folder)
    if as_json:
        import json

        from halfglass.result.comparison import as_object

        told = as_object(comparison, tuple(str(path) for path in tables))
        _print(json.dumps(told, indent=2, ensure_ascii=False, allow_nan=False))
        return
    from halfglass.report.comparison_text import comparison_text

    _print(comparison_text(comparison, _width()))


@commands.command("check")
@click.argument("file", metavar="SCENARIO", type=FileName(path_type=Path))
@_units
@click.option("--json", "as_json", is_flag=True, help="Print the sanity table as one JSON object.")
def check_command(file: Path, units: str | None, as_json: bool) -> None:
    """Look SCENARIO, or a boat file, over without running it: what would be done; is she in proportion?"""
    from halfglass.scenario.boat_alone import alone_story, is_boat
    from halfglass.scenario.load import load
    from halfglass.scenario.search import find_scenario

    file = find_scenario(file)
    alone = is_boat(file)
    story = _in_units(alone_story(file) if alone else load(file), units)
    day = story.base
    _prepare()
    from halfglass.report.sanity_text import sanity_object, sanity_text
    from halfglass.study.check import sanity

    try:
        table = sanity(day, is_alone=alone)
    except Exception as error:
        raise _as_failure(error, f"{file}, steady", shlex.join(["halfglass", "check", str(file)])) from error
    if as_json:
        import json

        _print(json.dumps(sanity_object(table), indent=2, ensure_ascii=False, allow_nan=False))
        return
    if not alone:
        _print(_resolved(story))
    _print(sanity_text(table, _width()))


@commands.command("card")
@_scenario
@click.option("--plan", metavar="NAME", help="The plan to put on the card.  [default: the first]")
@click.option(
    "--out",
    type=FileName(path_type=Path),
    metavar="FILE",
    help="Where the page goes.  [default: reports/<scenario>/card.html]",
)
@_units
def card_command(scenario: Path, plan: str | None, out: Path | None, units: str | None) -> None:
    """One page for the boathouse wall: SCENARIO's plan, stores, and minutes available for each failure."""
    from halfglass.scenario.load import load

    story = _in_units(load(scenario), units)
    name = _chosen_plans(story, () if plan is None else (plan,))[0]
    page = out if out is not None else Path("reports") / scenario.stem / "card.html"
    _require_writable(page.parent)
    outing = _outing(story, name, 0)
    from halfglass.report.card_page import card_text, write_card
    from halfglass.study.failures import failure_table

    try:
        table = failure_table(story.for_plan(name))
    except Exception as error:
        raise _as_failure(
            error, f"{story.file}, plan {quoted(name)}, failures from a steady boat",
            shlex.join(["halfglass", "card", story.file, "--plan", name]),
        ) from error  # fmt: skip
    try:
        write_card(outing, table, page)
    except OSError as error:
        raise click.UsageError(f"cannot write {page}: {error.strerror or error}") from error
    _tell(f"card: {page}")
    _print(card_text(outing, table, _width()))


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
        _print(text.rstrip("\n"))
        return
    try:
        with path.open("x", encoding="utf-8", newline="\n") as stream:
            stream.write(text)
    except FileExistsError:
        raise click.UsageError(f"{path} is there already; nothing was written") from None
    except OSError as error:
        raise click.UsageError(f"cannot write {path}: {error.strerror or error}") from None
    _tell(f"written: {path}")


@commands.command("schema")
def schema_command() -> None:
    """Print the JSON Schema of scenario files, for editors."""
    import json

    from halfglass.scenario.schema import json_schema

    _print(json.dumps(json_schema(), indent=2, ensure_ascii=False))


def _chosen_plans(story: Story, wanted: Sequence[str]) -> list[str]:
    """The plans to run, in the order asked for, each once; all of them if none is named."""
    _require_known(wanted, story.plan_names)
    return list(dict.fromkeys(wanted)) or list(story.plan_names)


def _require_known(wanted: Sequence[str], known: Sequence[str]) -> None:
    """Refuse a plan that is not there, with the nearest that is."""
    for name in wanted:
        if name not in known:
            near = nearest(name, known)
            hint = f"did you mean {quoted(near)}?" if near else f"it has {listed(known)}."
            raise click.UsageError(f"the scenario has no plan {quoted(name)}; {hint}")


def _plans_to_compare(stories: Sequence[Story], wanted: Sequence[str]) -> list[tuple[Story, str]]:
    """Every story with its plans, or with those wanted that it has; two at least."""
    known = tuple(dict.fromkeys(name for story in stories for name in story.plan_names))
    _require_known(wanted, known)
    chosen = [(story, name) for story in stories for name in story.plan_names if not wanted or name in wanted]
    if len(chosen) < 2:
        raise click.UsageError("there is only one plan, and nothing to compare it with")
    return chosen


def _require_writable(folder: Path) -> None:
    """Refuse an output folder that could not be written, before any work and without making it."""
    import tempfile

    standing = folder.absolute()
    try:
        while not standing.exists() and not standing.is_symlink():
            standing = standing.parent
        if not standing.is_dir():
            raise NotADirectoryError(f"{standing} is not a folder")
        with tempfile.TemporaryFile(dir=standing):
            pass
    except OSError as error:
        raise click.UsageError(f"cannot write into {folder}: {error.strerror or error}") from None


def _in_units(story: Story, wanted: str | None) -> Story:
    """The story in the units asked for, over those written in it."""
    if wanted is None:
        return story
    from halfglass.vocabulary.unit_choice import canonical

    try:
        return story.in_units(canonical(wanted, story.base.units))
    except ValueError as error:
        raise click.UsageError(f"--units: {error}") from None


def _outing(story: Story, plan: str, seed: int) -> Outing:
    """Simulate one plan; a failure says which and how to see it again."""
    from halfglass.day.outing import run

    _prepare()
    simulating = f"{story.file}, plan {quoted(plan)}, seed {seed}"
    reproduce = shlex.join(["halfglass", "run", story.file, "--plan", plan, "--seed", str(seed)])
    try:
        return run(story.for_plan(plan), plan, seed, files=story.files)
    except ScenarioError:
        raise
    except HalfglassFailure as error:
        raise HalfglassFailure(
            error.what, error.simulating or simulating, error.reproduce or reproduce
        ) from error
    except Exception as error:
        raise _as_failure(error, simulating, reproduce) from error


def _prepare() -> None:
    """Say so if the plant's equations must be compiled first."""
    from halfglass.plant.compile import is_prepared

    if not is_prepared("march_day"):
        _tell("preparing the plant (first run only, about 20 s) …")


def _width() -> int:
    """Cells in a line of the answer."""
    import shutil

    return shutil.get_terminal_size().columns if sys.stdout.isatty() else 80


def _write(outings: Sequence[Outing], folder: Path) -> list[Path]:
    """Write report and tables; returns each plan's timeline file."""
    from halfglass.report import write_report
    from halfglass.result.timeline import stems, write_csv

    report = folder / "report.html"
    try:
        timelines = [
            write_csv(outing, folder, stem)[0] for outing, stem in zip(outings, stems(outings), strict=True)
        ]
        write_report(outings, report)
    except OSError as error:
        raise click.UsageError(
            f"cannot write {error.filename or folder}: {error.strerror or error}"
        ) from error
    _tell(f"report: {report}")
    _tell(f"tables: {folder}{os.sep}*.csv")
    return timelines


def _write_comparison(comparison: Comparison, folder: Path) -> list[Path]:
    """Write page and tables; returns each outing's timeline file."""
    from halfglass.report.comparison_page import write_comparison
    from halfglass.result.timeline import stems, write_csv

    page, outings = folder / "comparison.html", comparison.outings
    try:
        tables = [
            write_csv(outing, folder, stem)[0] for outing, stem in zip(outings, stems(outings), strict=True)
        ]
        write_comparison(comparison, page)
    except OSError as error:
        raise click.UsageError(
            f"cannot write {error.filename or folder}: {error.strerror or error}"
        ) from error
    _tell(f"comparison: {page}")
    _tell(f"tables: {folder}{os.sep}*.csv")
    return tables


def _answer(outings: Sequence[Outing], timelines: Sequence[Path], as_json: bool) -> None:
    """Print the summary, or the JSON object."""
    if as_json:
        import json

        from halfglass.result.json_form import as_object

        _print(json.dumps(as_object(outings, timelines), indent=2, ensure_ascii=False, allow_nan=False))
        return
    from halfglass.report.terminal import summary, wants_colour

    _print(summary(outings, _width(), wants_colour(sys.stdout, os.environ)))


def _answer_spread(result: SpreadResult, folder: Path, as_json: bool) -> None:
    """Write the report of a spread and print its summary, or the JSON object."""
    from halfglass.report import write_spread_report

    write_spread_report(result, folder / "report.html")
    _tell(f"report: {folder / 'report.html'}")
    if as_json:
        import json

        from halfglass.result.spread_json import as_object

        _print(json.dumps(as_object(result), indent=2, ensure_ascii=False, allow_nan=False))
        return
    from halfglass.report.spread_text import spread_text

    _print(spread_text(result, _width()))


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
        told += fold(text, _width(), hang, " " * len(hang)) if text else [left]
    return "\n".join([*told, ""])


def _as_failure(error: Exception, simulating: str = "", reproduce: str = "") -> HalfglassFailure:
    return HalfglassFailure(f"{type(error).__name__}: {error}", simulating, reproduce)


def _tell(text: str) -> None:
    """To stderr; a stderr nobody reads any more is no reason to stop."""
    with contextlib.suppress(OSError):
        click.echo(text, err=True)


def _print(text: str) -> None:
    """To stdout; if whoever read it has had enough, the rest goes nowhere."""
    try:
        sys.stdout.write(text + "\n")
        sys.stdout.flush()
    except BrokenPipeError:
        # the interpreter flushes once more at its end, and must not meet the closed pipe then
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
