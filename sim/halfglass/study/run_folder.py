"""A run folder: a ledger of what is done (SQLite) and the rows themselves in part files.

A part file appears whole or not at all, and counts only once the ledger names it, so that a kill at any
moment loses no more than the parts under way. One process at a time holds a folder.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import json
import sqlite3
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, Literal

import numpy as np

from halfglass.result.whole import write_whole
from halfglass.study.ensemble import Part
from halfglass.vocabulary.errors import HalfglassFailure

LEDGER, PARTS = "ledger.sqlite", "parts"
Form = Literal["npz", "parquet"]
_TABLES = """
create table if not exists identity (name text primary key, value text not null);
create table if not exists part (
    plan integer not null, first integer not null, file text not null, sha256 text not null,
    primary key (plan, first)
);
"""


class FolderRefusedError(Exception):
    """A folder that may not be used; the message says why and what to do."""


class RunFolder:
    """An open run folder; use as a context."""

    def __init__(self, path: Path, identity: Mapping[str, Any], is_resumed: bool, form: Form = "npz") -> None:
        """Open or begin a folder.

        Parameters: identity, all that the rows depend on, as JSON values; is_resumed, whether work that is
        there already is meant to be gone on with; form of new part files.
        Raises: FolderRefusedError if there is other work, or any unless resumed.
        """
        self.path, self.form = path, form
        with _refusing(path):
            path.mkdir(parents=True, exist_ok=True)
            self.base = sqlite3.connect(path / LEDGER, isolation_level=None, timeout=0.0)
        try:
            with _refusing(path):
                self._hold()
                self._identify(
                    {name: json.dumps(value, sort_keys=True) for name, value in identity.items()}, is_resumed
                )
        except BaseException:
            self.base.close()
            raise
        self._sweep()

    def __enter__(self) -> RunFolder:
        return self

    def __exit__(self, *_: object) -> None:
        self.base.close()

    def _hold(self) -> None:
        """Keep everybody else out until this process ends."""
        try:
            self.base.execute("pragma locking_mode = exclusive")
            self.base.execute("begin exclusive")
            for statement in _TABLES.split(";"):
                self.base.execute(statement)
            self.base.execute("commit")
        except sqlite3.OperationalError as error:
            if "locked" in str(error):
                raise FolderRefusedError(f"another run is working in {self.path}") from None
            raise
        except sqlite3.DatabaseError as error:
            raise FolderRefusedError(f"{self.path / LEDGER} is not a ledger of ours: {error}") from None

    def _identify(self, identity: Mapping[str, str], is_resumed: bool) -> None:
        found = dict(self.base.execute("select name, value from identity").fetchall())
        if not found:
            self.base.execute("begin immediate")
            self.base.executemany("insert into identity values (?, ?)", identity.items())
            self.base.execute("commit")
            return
        other = sorted(
            name for name in identity.keys() | found.keys() if identity.get(name) != found.get(name)
        )
        if other:
            raise FolderRefusedError(
                f"{self.path} holds a run of another {', another '.join(other)}; different runs are not "
                "mixed: choose another folder"
            )
        if not is_resumed:
            raise FolderRefusedError(f"{self.path} holds this run already; --resume goes on with it")

    def _sweep(self) -> None:
        """Take away what a killed run left half done or without its line in the ledger."""
        known = {file for (file,) in self.base.execute("select file from part")}
        for file in (self.path / PARTS).glob("*") if (self.path / PARTS).exists() else ():
            if file.name not in known:
                file.unlink()

    def done(self) -> set[tuple[int, int]]:
        """Plan and first day of every part there is."""
        return set(self.base.execute("select plan, first from part").fetchall())

    def keep(self, plan: int, first: int, rows: Part) -> None:
        """Write a part: the file first, then its line in the ledger."""
        content = _packed(rows, self.form)
        name = f"plan-{plan:02d}-day-{first:07d}.{self.form}"
        line = (plan, first, name, hashlib.sha256(content).hexdigest())
        with _refusing(self.path):
            write_whole(self.path / PARTS / name, content)
            self.base.execute("insert into part values (?, ?, ?, ?)", line)

    def parts(self, plan: int) -> Iterator[Part]:
        """The parts of a plan in the order of their days, one in memory at a time."""
        lines = self.base.execute(
            "select file, sha256 from part where plan = ? order by first", (plan,)
        ).fetchall()
        for name, digest in lines:
            content = (self.path / PARTS / name).read_bytes()
            if hashlib.sha256(content).hexdigest() != digest:
                raise HalfglassFailure(
                    f"{self.path / PARTS / name} is not as it was written; begin in a new folder"
                )
            yield _unpacked(content, Path(name).suffix)


@contextlib.contextmanager
def _refusing(folder: Path) -> Iterator[None]:
    """A disk that is full, or a folder that may not be written, is no failure of ours."""
    try:
        yield
    except (OSError, sqlite3.OperationalError) as error:
        raise FolderRefusedError(f"cannot write into {folder}: {error}") from error


def _packed(rows: Part, form: Form) -> bytes:
    out = io.BytesIO()
    if form == "npz":
        np.savez(out, **rows)  # type: ignore[arg-type]
    else:
        import pyarrow
        from pyarrow import parquet

        table = pyarrow.table({name: pyarrow.array(column.tolist()) for name, column in rows.items()})
        parquet.write_table(table, out)
    return out.getvalue()


def _unpacked(content: bytes, suffix: str) -> Part:
    if suffix == ".npz":
        with np.load(io.BytesIO(content)) as stored:
            return {name: stored[name] for name in stored.files}
    from pyarrow import parquet

    table = parquet.read_table(io.BytesIO(content))
    return {name: np.array(table[name].to_pylist()) for name in table.column_names}
