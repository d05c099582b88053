"""The owner's log: a CSV file of clock times, with what was done and what was seen at each.

Headers are a column's name with its unit in square brackets, as in the timeline of a run:
``boiler_pressure [bar gauge]``. A line may leave any cell empty. Lines that begin with # are comments. What
is seen in a line was seen before what is done in it; a clock that falls back by more than half a day has
passed midnight.
"""

from __future__ import annotations

import csv
import datetime
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from halfglass.result.clock import since_midnight
from halfglass.scenario.faults import MOST_TOLD
from halfglass.vocabulary import units
from halfglass.vocabulary.errors import Fault, ScenarioError, listed, nearest, quoted
from halfglass.vocabulary.quantities import QUANTITIES
from halfglass.vocabulary.unit_table import KINDS, find_unit

Array = NDArray[np.float64]

CLOCK = "clock"
HALF_A_DAY, A_DAY = 43200.0, 86400.0
LARGEST_LOG = 4_000_000
"""Bytes; a day written down every ten seconds is a tenth of that."""
CLOCK_DIVISIONS = (300.0, 60.0, 30.0, 10.0, 5.0, 1.0, 0.0)
WORDS = {"yes": 1.0, "no": 0.0}


@dataclass(frozen=True)
class Column:
    """A column a log may have: the kind of its unit ("word": yes or no), and its range [SI]."""

    name: str
    kind: str
    lowest: float
    highest: float


def _seen(name: str) -> Column:
    quantity = QUANTITIES[name]
    return Column(name, quantity.kind, quantity.lowest, quantity.highest)


SEEN = (
    _seen("boiler_pressure"), Column("glass_fraction", "fraction", 0.0, 1.0), _seen("shaft_speed"),
    _seen("boat_speed"), _seen("ground_speed"),
)  # fmt: skip
"""What was read off an instrument."""
CONTROLS = (
    Column("throttle", "fraction", 0.0, 1.0),
    Column("reversing_gear", "fraction", -1.0, 1.0),
    Column("damper", "fraction", 0.0, 1.0),
    Column("blower", "fraction", 0.0, 1.0),
    Column("bypass", "fraction", 0.0, 1.0),
    Column("burner_rate", "fraction", 0.0, 1.0),
    Column("condensate_drain", "fraction", 0.0, 1.0),
    Column("injector", "word", 0.0, 1.0),
    Column("cylinder_drains", "word", 0.0, 1.0),
    Column("vent", "word", 0.0, 1.0),
    Column("moored", "word", 0.0, 1.0),
    Column("headwind", "speed", -60.0, 60.0),
    Column("stream", "speed", -10.0, 10.0),
)
"""What stands as it was put until another line says otherwise."""
DOINGS = (
    Column("fuel_added", "mass", 0.0, 500.0),
    Column("water_added", "volume", 0.0, 1.0),
    Column("strokes_hotwell", "count", 0.0, 5000.0),
    Column("strokes_lake", "count", 0.0, 5000.0),
    Column("blow_down", "time", 0.0, 300.0),
    Column("grate_cleaned", "word", 0.0, 1.0),
)
"""What was done once: fuel onto the fire or into the tank, lake water into the hot well, strokes of the hand
pump since the line before."""
COLUMNS = {column.name: column for column in (*SEEN, *CONTROLS, *DOINGS)}


@dataclass(frozen=True)
class OwnerLog:
    """A log as read: `time` [s since lighting up], and columns by name [SI, nan where a cell is empty]."""

    file: str
    content: bytes
    time: Array
    columns: Mapping[str, Array]

    def noted(self, name: str) -> Array:
        """A column; nothing noted anywhere if the log does not have it."""
        return self.columns.get(name, np.full(self.time.size, np.nan))

    @property
    def clock_division(self) -> float:
        """To how many seconds the clock was read: the coarsest division all times stand on."""
        return next(each for each in CLOCK_DIVISIONS if each == 0.0 or np.all(self.time % each == 0.0))

    @property
    def seen(self) -> tuple[str, ...]:
        """The names of what was read, in the order of `SEEN`."""
        return tuple(c.name for c in SEEN if np.isfinite(self.noted(c.name)).any())


def read_log(path: Path, light_up: datetime.time) -> OwnerLog:
    """Read a log.

    Parameters: path; light_up, the scenario's time of day at which the clock of the day starts.
    Raises: ScenarioError with every fault found, each with its line.
    """
    try:
        with path.open("rb") as stream:
            content = stream.read(LARGEST_LOG + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "its name cannot be used"
        raise _refused(str(path), f"this log cannot be read: {reason}") from None
    return parse_log(content, str(path), light_up)


def parse_log(content: bytes, file: str, light_up: datetime.time) -> OwnerLog:
    """A log from the bytes of a file shown under the name `file`; see `read_log`."""
    if len(content) > LARGEST_LOG:
        raise _refused(file, f"this log is larger than {LARGEST_LOG // 1000} kB")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise _refused(file, "this log is not UTF-8 text; save it as CSV in UTF-8") from None
    if "\0" in text:
        raise _refused(file, "this is no text")
    return _Reading(file, text.splitlines()).log(content, light_up)


def _refused(file: str, message: str) -> ScenarioError:
    return ScenarioError([Fault(file, 0, 0, "", message)])


class _Reading:
    """One pass over the lines of a log, keeping every fault met."""

    def __init__(self, file: str, lines: list[str]) -> None:
        self.file, self.lines = file, lines
        self.faults: list[Fault] = []

    def log(self, content: bytes, light_up: datetime.time) -> OwnerLog:
        rows = list(self._rows())
        if not rows:
            raise _refused(self.file, "this log is empty; it begins with a line of headers such as "
                           "'clock,boiler_pressure [bar gauge],throttle [%]'")  # fmt: skip
        number, headers = rows[0]
        wanted = self._headers(number, headers)
        times: list[float] = []
        columns: dict[str, list[float]] = {column.name: [] for column, _ in wanted.values()}
        for number, cells in rows[1:]:
            if len(cells) > len(headers):
                self._refuse(number, cells, len(headers), "", "there is no header for this cell")
            time = self._clock(number, cells, headers, times, light_up)
            values = {
                c.name: self._value(number, cells, place, c, unit) for place, (c, unit) in wanted.items()
            }
            if time is not None:
                times.append(time)
                for name, value in values.items():
                    columns[name].append(value)
        if not self.faults:
            self._require_something(times, columns)
        if self.faults:
            raise ScenarioError(self.faults[:MOST_TOLD])
        kept = {name: np.array(values) for name, values in columns.items() if np.isfinite(values).any()}
        return OwnerLog(self.file, content, np.array(times), kept)

    def _rows(self) -> Iterator[tuple[int, list[str]]]:
        """Number and cells of every line that is no comment and not empty."""
        for number, line in enumerate(self.lines, start=1):
            if line.strip(" ,\t") and not line.lstrip().startswith("#"):
                yield number, [cell.strip() for cell in next(csv.reader([line]))]

    def _refuse(self, number: int, cells: list[str], place: int, key: str, message: str) -> None:
        """A fault at a cell; the column of the file is that of a line without quotes."""
        column = 1 + sum(len(cell) + 1 for cell in cells[:place])
        line = self.lines[number - 1]
        self.faults.append(Fault(self.file, number, min(column, len(line) + 1), key, message, line))

    def _headers(self, number: int, headers: list[str]) -> dict[int, tuple[Column, str]]:
        """Which column and which unit stands at each place but the clock's."""
        found: dict[int, tuple[Column, str]] = {}
        for place, header in enumerate(headers):
            parts = re.fullmatch(r"([^\[\]]*?)\s*(?:\[([^\[\]]*)\])?", header)
            name, unit = (parts[1], parts[2] or "") if parts else (header, "")
            if name == CLOCK or not header:
                continue
            column = COLUMNS.get(name)
            if column is None:
                near = nearest(name, (CLOCK, *COLUMNS))
                hint = f"did you mean {quoted(near)}?" if near else f"there are {listed((CLOCK, *COLUMNS))}"
                self._refuse(number, headers, place, "", f"no column is called {quoted(name)}; {hint}")
            elif any(column is other for other, _ in found.values()):
                self._refuse(number, headers, place, name, "this column stands here twice")
            elif not _is_unit(column.kind, unit):
                known = listed(
                    f"{name} [{one.symbol}]".replace(" []", "") for one in KINDS[column.kind].units
                )
                self._refuse(number, headers, place, name, f"this wants its unit, as in {known}")
            else:
                found[place] = column, unit
        if headers.count(CLOCK) != 1:
            self._refuse(number, headers, 0, "", f"one column, and one only, is called {quoted(CLOCK)}; "
                         "cells are parted by commas")  # fmt: skip
        return found

    def _clock(
        self, number: int, cells: list[str], headers: list[str], times: list[float], light_up: datetime.time
    ) -> float | None:
        """Seconds since lighting up, or None after a fault."""
        place = headers.index(CLOCK) if CLOCK in headers else -1
        if place < 0:
            return None
        written = cells[place] if place < len(cells) else ""
        clock = written.partition("T")[2] or written
        try:
            moment = datetime.time.fromisoformat(clock if re.match(r"\d\d", clock) else f"0{clock}")
        except ValueError:
            message = f"{quoted(written)} is no clock time such as '08:15' or '08:15:30'"
            self._refuse(number, cells, max(place, 0), CLOCK, message)
            return None
        since = since_midnight(moment) - since_midnight(light_up)
        before = times[-1] if times else 0.0
        time = since + A_DAY * round((before - since) / A_DAY)
        if time < before:
            than = "the line above" if times else f"lighting up at {light_up.isoformat('minutes')}"
            self._refuse(number, cells, place, CLOCK, f"{quoted(written)} is earlier than {than}")
            return None
        return time

    def _value(self, number: int, cells: list[str], place: int, column: Column, unit: str) -> float:
        """One cell in SI; nan if it is empty or refused."""
        written = cells[place] if place < len(cells) else ""
        if not written:
            return float("nan")
        try:
            if column.kind == "word":
                if written.lower() not in WORDS:
                    raise ValueError(f"{quoted(written)} is neither 'yes' nor 'no'")
                return WORDS[written.lower()]
            value = float(units.parse(f"{written} {unit}".strip(), column.kind))
            if not column.lowest <= value <= column.highest:
                ends = [units.show(end, column.kind, unit) for end in (column.lowest, column.highest)]
                raise ValueError(f"{quoted(written)} is out of range; this is from {ends[0]} to {ends[1]}")
            return value
        except units.UnitError as error:
            message = error.message
        except ValueError as error:
            message = str(error)
        self._refuse(number, cells, place, column.name, message)
        return float("nan")

    def _require_something(self, times: list[float], columns: Mapping[str, list[float]]) -> None:
        """A log without times or readings is of no use."""
        told = None
        if len(times) < 2:
            told = "this log has fewer than two lines"
        elif not any(np.isfinite(columns.get(column.name, [np.nan])).any() for column in SEEN):
            told = f"nothing was seen in this log; it wants one of {listed(c.name for c in SEEN)}"
        if told is not None:
            self.faults.append(Fault(self.file, 0, 0, "", told))


def _is_unit(kind: str, unit: str) -> bool:
    """Whether a header's unit is one of its column's kind; parts of a whole such as 1/2 go without."""
    if kind == "word" or not unit:
        return kind in ("word", "fraction", "count") and not unit
    return find_unit(kind, unit) is not None
