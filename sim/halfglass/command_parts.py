"""What every command needs: files and units as asked for, plans by name, one outing, the two outputs."""

from __future__ import annotations

import contextlib
import os
import shlex
import sys
from collections.abc import Iterator, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from halfglass.vocabulary.errors import HalfglassFailure, ScenarioError, listed, nearest, quoted

if TYPE_CHECKING:
    from halfglass.result.records import Outing
    from halfglass.scenario.load import Story


class FileName(click.Path):
    """A path, refused in words if it is none at all."""

    def convert(self, value: Any, parameter: click.Parameter | None, context: click.Context | None) -> Any:
        """The path."""
        try:
            return super().convert(value, parameter, context)
        except ValueError as error:
            self.fail(f"{quoted(str(value))} cannot be a name: {error}", parameter, context)


scenario_argument = click.argument("scenario", type=FileName(path_type=Path))
seed_option = partial(click.option, "--seed", type=click.IntRange(min=0), default=0, show_default=True)
"""With what it draws as its `help`."""
out_option = partial(click.option, "--out", type=FileName(path_type=Path), metavar="FOLDER")
"""With what goes there, and where by default, as its `help`."""
jobs_option = click.option(
    "--jobs", type=click.IntRange(min=1), help="Processes at work.  [default: one a core]"
)
json_option = click.option(
    "--json", "as_json", is_flag=True, help="Print one JSON object in place of the summary."
)
units_option = click.option("--units", metavar="UNITS",
                      help="Units of the answers, over the scenario's: metric or trade, and single ones, "
                      "as in trade,pressure=bar,speed=mph.")  # fmt: skip


def chosen_plans(story: Story, wanted: Sequence[str]) -> list[str]:
    """The plans to run, in the order asked for, each once; all of them if none is named."""
    require_known(wanted, story.plan_names)
    return list(dict.fromkeys(wanted)) or list(story.plan_names)


def require_known(wanted: Sequence[str], known: Sequence[str]) -> None:
    """Refuse a plan that is not there, with the nearest that is."""
    for name in wanted:
        if name not in known:
            near = nearest(name, known)
            hint = f"did you mean {quoted(near)}?" if near else f"it has {listed(known)}."
            raise click.UsageError(f"the scenario has no plan {quoted(name)}; {hint}")


def require_writable(folder: Path) -> None:
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


def in_units(story: Story, wanted: str | None) -> Story:
    """The story in the units asked for, over those written in it."""
    if wanted is None:
        return story
    from halfglass.vocabulary.unit_choice import canonical

    try:
        return story.in_units(canonical(wanted, story.base.units))
    except ValueError as error:
        raise click.UsageError(f"--units: {error}") from None


def outing_of(story: Story, plan: str, seed: int) -> Outing:
    """Simulate one plan; a failure says which and how to see it again."""
    from halfglass.day.outing import run

    prepare()
    with simulating(
        f"{story.file}, plan {quoted(plan)}, seed {seed}",
        "run", story.file, "--plan", plan, "--seed", str(seed),
    ):  # fmt: skip
        return run(story.for_plan(plan), plan, seed, files=story.files)


@contextlib.contextmanager
def simulating(what: str, *arguments: str) -> Iterator[None]:
    """A failure of ours in here says what was simulated, and the arguments with which to see it again."""
    reproduce = shlex.join(["halfglass", *arguments])
    try:
        yield
    except (ScenarioError, click.ClickException):
        raise
    except HalfglassFailure as error:
        raise HalfglassFailure(error.what, error.simulating or what, error.reproduce or reproduce) from error
    except Exception as error:
        raise as_failure(error, what, reproduce) from error


@contextlib.contextmanager
def writing(where: Path) -> Iterator[None]:
    """Alone in a folder; what cannot be written in here is refused in words."""
    from halfglass.result.whole import alone_in

    try:
        with alone_in(where):
            yield
    except OSError as error:
        raise click.UsageError(
            f"cannot write {error.filename or where}: {error.strerror or error}"
        ) from error


def write_tables(outings: Sequence[Outing], folder: Path) -> list[Path]:
    """Write the tables of each outing; returns the timelines."""
    from halfglass.result.timeline import stems, write_csv

    return [write_csv(outing, folder, stem)[0] for outing, stem in zip(outings, stems(outings), strict=True)]


def prepare() -> None:
    """Say so if the plant's equations must be compiled first."""
    from halfglass.plant.compile import is_prepared

    if not is_prepared("march_day"):
        tell("preparing the plant (first run only, about 25 s) …")


def width() -> int:
    """Cells in a line of the answer."""
    import shutil

    return shutil.get_terminal_size().columns if sys.stdout.isatty() else 80


def as_failure(error: Exception, simulating: str = "", reproduce: str = "") -> HalfglassFailure:
    return HalfglassFailure(f"{type(error).__name__}: {error}", simulating, reproduce)


def tell(text: str) -> None:
    """To stderr; a stderr nobody reads any more is no reason to stop."""
    with contextlib.suppress(OSError):
        click.echo(text, err=True)


def say(text: str) -> None:
    """To stdout; if whoever read it has had enough, the rest goes nowhere."""
    try:
        sys.stdout.write(text + "\n")
        sys.stdout.flush()
    except BrokenPipeError:
        # the interpreter flushes once more at its end, and must not meet the closed pipe then
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def say_json(told: object) -> None:
    """The answer as one JSON object to stdout."""
    import json

    say(json.dumps(told, indent=2, ensure_ascii=False, allow_nan=False))
