"""Timeline and log as pandas DataFrames, as CSV files, and thinned for drawing."""

from __future__ import annotations

import csv
import io
import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from halfglass.result import shown
from halfglass.result.clock import stamp
from halfglass.result.records import LogEntry, Occupation, Outing
from halfglass.result.whole import write_whole
from halfglass.vocabulary import quantities

if TYPE_CHECKING:
    from pandas import DataFrame

LOG_COLUMNS = ("time", "who", "subject", "event", "text")


def frame(columns: Mapping[str, NDArray[np.float64]]) -> DataFrame:
    """A timeline from its columns in SI; the unit of each stands in `attrs["units"]`."""
    import pandas

    table = pandas.DataFrame(dict(columns))
    table.attrs["units"] = {name: shown.si_unit(name) for name in columns}
    return table


def log_frame(entries: Iterable[LogEntry]) -> DataFrame:
    """The log as a table; times in seconds."""
    import pandas

    rows = [(e.time, e.who, e.subject, e.event, e.text) for e in entries]
    table = pandas.DataFrame(rows, columns=list(LOG_COLUMNS)).astype({"time": float})
    table.attrs["units"] = {"time": "s"}
    return table


def log_entries(log: DataFrame) -> list[LogEntry]:
    """The records behind a log table."""
    return [LogEntry(*row) for row in log[list(LOG_COLUMNS)].itertuples(index=False, name=None)]


def write_csv(outing: Outing, folder: Path, stem: str | None = None) -> tuple[Path, ...]:
    """Write timeline, log and, if known, what the hands were at, in the units of the outing.

    `stem` names the files (see `stems` for several plans of one scenario). Headers read
    "boiler_pressure [bar gauge]"; each line also carries the clock time. Same outing, same bytes.
    Returns the paths in that order.
    """
    stem = stem or stems([outing])[0]
    timeline, log = folder / f"{stem}-timeline.csv", folder / f"{stem}-log.csv"
    write_whole(timeline, _timeline_text(outing).encode())
    write_whole(log, _log_text(outing).encode())
    if outing.occupation is None:
        return timeline, log
    hands = folder / f"{stem}-hands.csv"
    write_whole(hands, _hands_text(outing, outing.occupation).encode())
    return timeline, log, hands


def stems(outings: Sequence[Outing]) -> list[str]:
    """A file name for each plan: its letters and digits, told apart by number where two agree."""
    names: list[str] = []
    for outing in outings:
        plain = unicodedata.normalize("NFKD", outing.marks.plan_name).encode("ascii", "ignore").decode()
        name = re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-")[:48].strip("-") or "plan"
        number, candidate = 2, name
        while candidate in names:
            number, candidate = number + 1, f"{name}-{number}"
        names.append(candidate)
    return names


def thin(time: NDArray[np.float64], values: NDArray[np.float64], pieces: int) -> NDArray[np.intp]:
    """Rows to draw so that the picture is the same: of each of `pieces` equal stretches of time the
    first, the last, the lowest and the highest, so no dip or peak is lost however short. Rows that are
    not numbers are left out except where they begin a gap.
    """
    if time.size <= 4 * pieces:
        return np.arange(time.size)
    edges = np.searchsorted(time, np.linspace(time[0], time[-1], pieces + 1)[1:-1], side="left")
    starts = np.unique(np.concatenate(([0], edges)))
    starts = starts[starts < time.size]
    ends = np.append(starts[1:], time.size)
    finite = np.isfinite(values)
    low, high = np.where(finite, values, np.inf), np.where(finite, values, -np.inf)
    rows = [starts, ends - 1]
    rows.append(np.array([a + np.argmin(low[a:b]) for a, b in zip(starts, ends, strict=True)]))
    rows.append(np.array([a + np.argmax(high[a:b]) for a, b in zip(starts, ends, strict=True)]))
    rows.append(np.flatnonzero(finite[:-1] != finite[1:]))
    rows.append(np.flatnonzero(finite[:-1] != finite[1:]) + 1)
    return np.unique(np.concatenate(rows))


def _timeline_text(outing: Outing) -> str:
    table, system = outing.timeline, outing.marks.units
    names = [str(name) for name in table.columns]
    headers = [quantities.header(name, system) for name in names]
    columns = [quantities.convert(table[name].to_numpy(dtype=float), name, system).tolist() for name in names]
    clocks = [stamp(outing.marks.started, t) for t in table["time"]]
    line = ",".join(["%s"] + ["%.3f" if name == "time" else "%.7g" for name in names]) + "\n"
    body = "".join(line % row for row in zip(clocks, *columns, strict=True))
    return ",".join(["clock", *headers]) + "\n" + re.sub(r"\bnan\b", "", body)


def _log_text(outing: Outing) -> str:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(["clock", quantities.header("time", outing.marks.units), *LOG_COLUMNS[1:]])
    for entry in log_entries(outing.log):
        at = stamp(outing.marks.started, entry.time)
        writer.writerow([at, f"{entry.time:.3f}", entry.who, entry.subject, entry.event, entry.text])
    return text.getvalue()


def _hands_text(outing: Outing, found: Occupation) -> str:
    """One line a spell of a hand at a task."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(["from", "to", "start [s]", "end [s]", "task"])
    started = outing.marks.started
    for spell in found.spells:
        ends = [stamp(started, spell.start), stamp(started, spell.end)]
        writer.writerow([*ends, f"{spell.start:.3f}", f"{spell.end:.3f}", spell.task])
    return text.getvalue()
