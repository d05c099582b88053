"""What was done in a classroom, line by line: with it the session is built again after a stop.

A line is one JSON object. The file is only ever added to, each line before the thing is done; one torn by a
sudden end is left out and cut off.
"""

from __future__ import annotations

import contextlib
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any, BinaryIO

NAME = "session.jsonl"

Line = dict[str, Any]


class InUse(Exception):
    """Another classroom writes this journal."""


class Journal:
    """The journal in a folder of records."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / NAME
        self._file = self.path.open("ab")
        _lock(self._file)
        lines, whole = _read(self.path)
        self.lines = lines
        """What was in it when it was opened."""
        if self._file.tell() > whole:
            self._file.truncate(whole)
            self._file.seek(whole)

    def add(self, line: Line) -> None:
        """Write a line down at once."""
        self._file.write(json.dumps(line, ensure_ascii=False, allow_nan=False).encode() + b"\n")
        self._file.flush()

    def last_opened(self) -> list[Line]:
        """The lines since a day or lesson was last opened, that line first; none in a new journal."""
        starts = [place for place, line in enumerate(self.lines) if "open" in line]
        return self.lines[starts[-1] :] if starts else []

    def close(self) -> None:
        """Let go of the file."""
        self._file.close()


def _lock(file: BinaryIO) -> None:
    """Keep others out, where the system can: two servers on one journal would spoil it."""
    with contextlib.suppress(ImportError):
        import fcntl

        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            file.close()
            raise InUse from None


def _read(path: Path) -> tuple[list[Line], int]:
    """The whole lines of a journal, and how many bytes they take."""
    lines, whole = [], 0
    for raw in _whole_lines(path.read_bytes()):
        try:
            line = json.loads(raw)
        except ValueError:
            break
        if not isinstance(line, dict) or not isinstance(line.get("open", ""), str):
            break
        lines.append(line)
        whole += len(raw)
    return lines, whole


def _whole_lines(data: bytes) -> Iterator[bytes]:
    for raw in data.splitlines(keepends=True):
        if raw.endswith(b"\n"):
            yield raw
