"""The command that opens the classroom.

What it needs is imported inside it, so that --help is quick and works without the extra.
"""

from __future__ import annotations

import os
import sys
import webbrowser
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

import click

from halfglass.command_parts import FileName, prepare, require_writable, say, simulating, tell
from halfglass.vocabulary.errors import ScenarioError

if TYPE_CHECKING:
    import socket

    from halfglass.classroom.room import Room
    from halfglass.classroom.shelf import Shelf

PORT = 8460
NEEDS = ("starlette", "uvicorn", "websockets")


@click.command("classroom")
@click.argument("wanted", metavar="[SCENARIO]", required=False)
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=PORT,
    show_default=True,
    help="Port on this machine; 0 takes any that is free.",
)
@click.option("--no-browser", is_flag=True, help="Only print the address; open no browser.")
@click.option(
    "--out",
    type=FileName(path_type=Path),
    metavar="FOLDER",
    default=Path("reports/classroom"),
    show_default=True,
    help="Where the session is kept; with the same folder it goes on.",
)
def classroom_command(wanted: str | None, port: int, no_browser: bool, out: Path) -> None:
    """Work a boat's plant live in a browser, on this machine only: lessons, or a SCENARIO worked freely.

    SCENARIO is a file, the name of a scenario, or the name or number of a lesson; left out, the session
    that is kept goes on, or the first lesson begins.
    """
    missing = [name for name in NEEDS if find_spec(name) is None]
    if missing:
        raise click.UsageError("the classroom wants an extra: pip install 'halfglass[classroom]'")
    require_writable(out)
    from halfglass.classroom.security import kept_token
    from halfglass.classroom.server import serve
    from halfglass.classroom.shelf import Shelf

    shelf = Shelf()
    name = None if wanted is None else _named(wanted, shelf)
    listener = _listener(port)
    with listener:
        prepare()
        room = _room(shelf, out, name)
        token = kept_token(out)
        address = f"http://127.0.0.1:{listener.getsockname()[1]}/#token={token}"
        say(address)
        tell(f"The classroom is open on this machine only; kept in {out}. Ctrl+C closes it.")
        if not no_browser and not _show(address):
            tell("No browser could be opened from here: open the address above in one.")
        serve(room, token, listener, tell)
    tell(f"closed; start again with --out {out} to go on")


def _named(wanted: str, shelf: Shelf) -> str:
    """The name of a lesson, or the path of a file to open."""
    from halfglass.classroom.lesson import load_lesson
    from halfglass.scenario.search import find_scenario

    path = Path(wanted)
    if path.suffix != ".toml" and not path.exists():
        try:
            return load_lesson(wanted).name
        except ScenarioError:
            if not _may_be_scenario(path):
                raise
    return str(find_scenario(path).absolute())


def _may_be_scenario(path: Path) -> bool:
    """Whether a scenario is found by that name."""
    from halfglass.scenario.search import find_scenario

    try:
        return find_scenario(path).exists()
    except ScenarioError:
        return False


def _listener(port: int) -> socket.socket:
    from halfglass.classroom.server import listening

    try:
        return listening(port)
    except OSError as error:
        raise click.UsageError(
            f"port {port} cannot be had ({error.strerror or error}): is a classroom open already? "
            "Give another with --port, or 0 for any that is free."
        ) from None


def _room(shelf: Shelf, out: Path, name: str | None) -> Room:
    """The room, with what was kept in the folder done again."""
    from halfglass.classroom.journal import InUse, Journal
    from halfglass.classroom.room import Room, Stale

    out.mkdir(parents=True, exist_ok=True)
    try:
        journal = Journal(out)
    except InUse:
        raise click.UsageError(f"another classroom is open on {out}: give this one another --out") from None
    with simulating(f"classroom {name or ''}", "classroom", *([name] if name else []), "--out", str(out)):
        try:
            return Room(shelf, journal, name)
        except Stale as error:
            raise click.UsageError(
                f"the session kept in {journal.path} cannot be gone on with: {error}. "
                "Move that file away, or give another --out."
            ) from None


def _show(address: str) -> bool:
    """Open a browser with a window; a text browser would take the terminal."""
    has_screen = sys.platform in ("win32", "darwin") or any(
        map(os.environ.get, ("DISPLAY", "WAYLAND_DISPLAY"))
    )
    try:
        return has_screen and webbrowser.open(address)
    except (webbrowser.Error, OSError):
        return False


CLASSROOM_COMMANDS = (classroom_command,)
