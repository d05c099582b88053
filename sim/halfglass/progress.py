"""How far a long command is, on stderr: days done and the time left."""

from __future__ import annotations

import contextlib
import sys
import time
from collections.abc import Callable

import click

from halfglass.result.clock import duration

WIDE = 60  # cells wiped when a line is written over


def progress() -> Callable[[int, int], None]:
    """What to call with days done and days in all: on a terminal one line, elsewhere a line each tenth."""
    begun, is_seen = time.monotonic(), sys.stderr.isatty()
    found: list[int] = []  # days done already at the first call, and the tenth told last

    def at(done: int, whole: int) -> None:
        if not found:
            found.extend((done, -1))
        tenth = 10 * done // max(whole, 1)
        if is_seen or tenth > found[1]:
            found[1] = tenth
            line = told(done, whole, done - found[0], time.monotonic() - begun)
            with contextlib.suppress(OSError):
                click.echo(
                    f"\r{line:<{WIDE}}" if is_seen else line, nl=not is_seen or done == whole, err=True
                )

    return at


def told(done: int, whole: int, made: int, seconds: float) -> str:
    """The line: `made` of the days done took these seconds, the others were there.

    >>> told(120, 400, 100, 50.0), told(0, 400, 0, 0.1), told(400, 400, 400, 9.0)
    ('120 of 400 days done, 2 min 20 s left', '0 of 400 days done', '400 of 400 days done')
    """
    left = f", {duration(seconds * (whole - done) / made)} left" if made and done < whole else ""
    return f"{done} of {whole} days done{left}"
