"""What is played in a room: a session, with its lesson if it has one, told in the units of the answers.

Everything here follows from the lines done to it and the times between them, so a journal done again makes it
again. Times are seconds since the session began.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
from numpy.typing import NDArray

from halfglass.classroom.branch import COLUMNS as KEPT
from halfglass.classroom.branch import Branch
from halfglass.classroom.controls import Control
from halfglass.classroom.journal import Line
from halfglass.classroom.lesson_page import LessonPage, Refused
from halfglass.classroom.session import MOST_BRANCHES as MOST_TRIES
from halfglass.classroom.session import Session
from halfglass.classroom.shown_table import (
    ANSWERS,
    CHARTS,
    COLUMNS,
    FLOWS,
    GROUPS,
    READINGS,
    Chart,
    flow_scale,
    scale,
)
from halfglass.day.by_hand import TICK
from halfglass.report.sheet import CAUTIONS
from halfglass.report.style import STROKES, letter
from halfglass.result import shown
from halfglass.result.clock import since_midnight

__all__ = ["Play", "Refused"]

GRID = 4
"""Ticks between two rows of the charts."""
MOST_BRANCHES = 5
"""Earlier branches in the charts; older ones stay in the record."""
MOST_TOLD = 8
"""Lines of the log on the page."""
SOON = 2 * 3600.0
"""s within which what becomes critical is told."""


class Play:
    """A session and where it stands in its lesson, by the `name` it was opened with."""

    tick = TICK

    def __init__(self, name: str, session: Session, page: LessonPage | None) -> None:
        self.name, self.session, self.page = name, session, page
        system = session.scenario.units
        self.scales = {reading: scale(reading, system) for reading in READINGS}
        self._flow_scales = {key: flow_scale(carries, system) for key, (_, carries, _) in FLOWS.items()}
        self._controls = {control.name: control for control in session.controls}
        axis = (page.lesson.axis.reading,) if page else ()
        self.columns = tuple(dict.fromkeys((*COLUMNS, *axis)))
        self._places = {name: KEPT.index(name) for name in self.columns}
        if page:
            page.open(session, self.scales)

    @property
    def since(self) -> float:
        """Now."""
        return self.session.now

    @property
    def ended(self) -> str | None:
        """The sentence with which the model ended."""
        return self.session.ended

    @property
    def stage(self) -> str:
        """The page of the lesson; "free" without one."""
        return self.page.stage if self.page else "free"

    @property
    def file_name(self) -> str:
        """For files written of it."""
        return "classroom-" + "".join(
            c if c.isalnum() else "-" for c in self.name.rpartition("/")[2].removesuffix(".toml")
        )

    def may_time_go(self) -> None:
        """Refuse while a lesson waits for its question, and after the end of the model."""
        if self.ended:
            raise Refused(self.ended)
        if self.page:
            self.page.may_time_go()

    @property
    def branch(self) -> int:
        """The number of the branch that goes on."""
        return self.session.branch.number

    @property
    def usual_speed(self) -> float | None:
        """The speed a lesson is best watched at."""
        return self.page.lesson.speed if self.page else None

    # what is done

    def checked(self, line: Line) -> Line:
        """A line as it will be written down: every number in its range; `Refused` if it cannot be done."""
        kind = line["do"]
        if self.page and kind in ("set", "push", "rewind"):
            self.page.may_time_go()
        if kind in ("set", "push"):
            control = self._controls.get(line["control"])
            if control is None or (control.kind == "push") != (kind == "push"):
                raise Refused(f"There is no such control to {kind}: {line['control']}.")
            return _clamped(control, line)
        if kind == "rewind":
            if len(self.session.branches) >= MOST_TRIES:
                raise Refused(f"{MOST_TRIES} tries are all a session keeps: open it anew.")
            return {
                **line,
                "to": min(max(line["to"], self.page.earliest() if self.page else 0.0), self.since),
            }
        if kind in ("stage", "predict", "answer"):
            if self.page is None:
                raise Refused("No lesson is open.")
            return self.page.checked(line)
        return line

    def do(self, line: Line) -> None:
        """Do a line that has been checked."""
        match line["do"]:
            case "set":
                self.session.set(line["control"], line["to"])
            case "push":
                self.session.push(line["control"], line.get("amount"), line.get("choice"))
            case "rewind":
                for _ in self.going_back(line["to"]):
                    pass
            case "stage" | "predict" | "answer" if self.page:
                self.page.do(line, self.session)

    def going_back(self, time: float) -> Iterator[float]:
        """Go back to a moment in pieces; yields what share of it is done."""
        yield from self.session.going_back(time)
        if self.page:
            self.page.rewound(self.since)

    def advance(self, seconds: float) -> None:
        """Let time go; it stops at the end of a lesson's run and of the model."""
        self.advance_to(self.since + seconds)

    def advance_to(self, time: float) -> None:
        """The same to a moment."""
        if self.page:
            end = self.page.run_ends()
            if end is not None and self.since < end <= time:
                self.session.advance_to(end)
                self.page.run_is_over(self.session)
                return
            if end is not None and self.since >= end:
                self.page.run_is_over(self.session)
        self.session.advance_to(time)
        if self.ended and self.page:
            self.page.run_is_over(self.session)

    # what is shown

    def hello(self) -> dict[str, Any]:
        """All that stays as it is while this is open."""
        session = self.session
        return {
            "name": self.name,
            "title": session.story.base.title,
            "about": f"{session.scenario.boat.name}, invented",
            "origin": self._origin(),
            "grid": GRID * TICK,
            "strokes": [s._asdict() for s in STROKES],
            "controls": [_control_told(control) for control in session.controls],
            "readings": {name: {"label": s.label, "unit": s.unit} for name, s in self.scales.items()},
            "groups": GROUPS,
            "charts": [self._chart(chart) for chart in CHARTS],
            "marks": self._marks(),
            "flows": {
                key: {"label": FLOWS[key][0], "unit": s.unit, "of": s.width}
                for key, s in self._flow_scales.items()
            },
            "cautions": CAUTIONS,
            "column": self.page.lesson.axis.reading if self.page else None,
            "lesson": self.page.lesson.name if self.page else None,
        }

    def frame(self) -> dict[str, Any]:
        """How things stand now."""
        session = self.session
        readings, glass = session.shown(), session.glass_now()
        flows: dict[tuple[str, str], float] = {}
        for flow in session.flows():
            flows[flow.kind, flow.name] = flows.get((flow.kind, flow.name), 0.0) + flow.number
        for name in ("glands and drains", "hot well overflow and leaks"):
            readings[name] = flows["water", name]
        return {
            "time": session.now,
            "values": {
                name: _round(v * self._controls[name].shown_scale) for name, v in session.values.items()
            },
            "shown": {
                name: _round(s.shown(readings[name])) for name, s in self.scales.items() if name in readings
            },
            "glow": round(readings["fire_temperature"]),
            "glass": {
                "shows": round(glass["shown"], 4),
                "level": round(glass["true"], 4),
                "swell": round(glass["swell"], 4),
            },
            "flows": {key: self._flow(key, flows) for key in FLOWS},
            "critical": self._critical(),
            "settling": session.is_settling,
            "ended": session.ended,
            "since": self.page.since_run(session.now) if self.page else None,
            "done": self.page.done(session) if self.page else [],
        }

    def branches(self) -> list[dict[str, Any]]:
        """The branches of the charts, the present one last."""
        session = self.session
        others = [one for one in session.branches if one is not session.branch and one.rows][-MOST_BRANCHES:]
        return [
            {
                "number": one.number,
                "letter": letter(one.number),
                "from": one.from_time,
                "rows": self.rows(one),
            }
            for one in (*others, session.branch)
        ]

    def told(self) -> list[dict[str, Any]]:
        """The last lines of the log, the newest first, timed as the frames are."""
        began = self.session.began_at
        return [
            {"time": entry.time - began, "text": entry.text} for entry in self.session.last_told(MOST_TOLD)
        ]

    def rows_ready(self) -> int:
        """Rows of the present branch that will not change any more."""
        return (self.session.tick + GRID - 1) // GRID

    def rows(self, branch: Branch | None = None, first: int = 0) -> dict[str, list[float]]:
        """The rows of a branch on the grid of the charts, by column."""
        wanted = branch or self.session.branch
        ready = self.rows_ready() if wanted is self.session.branch else len(wanted.rows)
        rows = wanted.rows[first * GRID : ready * GRID if wanted is self.session.branch else None : GRID]
        scales = {name: self.scales[name] for name in self._places}
        return {
            name: _rounded(np.array([row[place] for row in rows]) * scales[name].factor + scales[name].offset)
            for name, place in self._places.items()
        }

    def lesson_told(self) -> dict[str, Any] | None:
        """The page of the lesson that is open."""
        return self.page.told() if self.page else None

    def _origin(self) -> float:
        """Clock time at which the session began [s since midnight]."""
        return since_midnight(self.session.marks.started) + self.session.began_at

    def _chart(self, chart: Chart) -> dict[str, Any]:
        by = self.scales[chart.lines[0][0]]
        limits = self.session.marks
        shades, marks = [], []
        if chart.lines[0][0] == "glass_shown":
            shades, marks = [[None, 0.0], [100.0, None]], [25.0, 50.0, 75.0]
        if chart.lines[0][0] == "boiler_pressure":
            shades = [[by.shown(min(limits.safety_valve_pressures)), None]]
            marks = [by.shown(limits.working_pressure)]
        return {
            "title": chart.title,
            "unit": by.unit,
            "lines": [
                {"column": name, "label": label, "factor": by.factor / self.scales[name].factor}
                for name, label in chart.lines
            ],
            "low": None if chart.lowest is None else by.shown(chart.lowest),
            "high": None if chart.highest is None else by.shown(chart.highest),
            "least": chart.least * by.factor,
            "shades": shades,
            "marks": marks,
        }

    def _marks(self) -> dict[str, Any]:
        marks, by = self.session.marks, self.scales["boiler_pressure"]
        valves = by.shown(min(marks.safety_valve_pressures)) if marks.safety_valve_pressures else None
        major = next(
            step
            for step in (0.5, 1, 2, 5, 10, 20, 50, 100)
            if 1.3 * by.shown(marks.working_pressure) / step <= 8
        )
        highest = major * -(-1.5 * by.shown(marks.working_pressure) // major)
        well = self.scales["hotwell_mass"]
        return {
            "glass": {"crown": marks.crown_level / marks.glass_length, "mm": 1e3 * marks.glass_length},
            "pressure": {
                "unit": by.unit,
                "highest": highest,
                "major": major,
                "minor": major / 5,
                "valves": valves,
                "working": by.shown(marks.working_pressure),
                "steaming": by.shown(marks.steaming_pressure),
            },
            "hotwell": {"capacity": well.shown(marks.hotwell_capacity), "low": well.shown(marks.hotwell_low)},
            "deepest_bed": self.scales["bed_depth"].shown(0.25) if self.session.day.solid_fuel else None,
        }

    def _flow(self, key: str, flows: dict[tuple[str, str], float]) -> float:
        _, carries, names = FLOWS[key]
        kind = "heat" if carries in ("heat", "work") else "water"
        return _round(self._flow_scales[key].shown(sum(flows.get((kind, name), 0.0) for name in names)))

    def _critical(self) -> list[dict[str, Any]]:
        return [
            {
                "what": f"{shown.subject(item.subject)}: {item.item}",
                "severity": item.severity,
                "minutes": None if item.is_now else round((item.seconds or 0.0) / 60.0, 1),
            }
            for item in self.session.critical()
            if item.is_now or (item.seconds or 0.0) <= SOON
        ]


def _clamped(control: Control, line: Line) -> Line:
    """A move of a control in its own unit, from the shown one, as near as it goes."""
    if line["do"] == "set":
        return {**line, "to": control.nearest(line["to"] / control.shown_scale)}
    if line.get("choice") is not None and line["choice"] not in control.choices:
        raise Refused(f"There is no {line['choice']} to choose for: {control.label}.")
    if line.get("amount") is not None:
        return {**line, "amount": control.nearest(line["amount"] / control.shown_scale)}
    return line


def _control_told(control: Control) -> dict[str, Any]:
    by = control.shown_scale
    return {
        "name": control.name,
        "label": control.label,
        "kind": control.kind,
        "group": control.group,
        "key": control.key,
        "lowest": _round(control.lowest * by),
        "highest": _round(control.highest * by),
        "step": _round(control.step * by),
        "unit": control.unit,
        "choices": control.choices,
        "usual": _round(control.amount * by),
        "answers": ANSWERS.get(control.name, ()),
    }


def _round(value: float) -> float:
    """Four figures: all the page shows."""
    return float(f"{value:.4g}")


def _rounded(values: NDArray[np.float64]) -> list[float]:
    """The same for many, a hundred times as fast."""
    digits = 3 - np.floor(np.log10(np.maximum(np.abs(values), 1e-12))).astype(int)
    up, down = 10.0 ** np.maximum(digits, 0), 10.0 ** np.maximum(-digits, 0)
    rounded: list[float] = (np.rint(values * up / down) * down / up).tolist()
    return rounded
