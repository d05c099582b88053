"""Which page of a lesson is open: story, prediction, run, comparison, check; and what is on it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from halfglass.classroom.branch import COLUMNS
from halfglass.classroom.journal import Line
from halfglass.classroom.session import Session
from halfglass.classroom.shown_table import Scale
from halfglass.day.by_hand import TICK

if TYPE_CHECKING:
    from halfglass.classroom.lesson import Lesson

PAGES = ("story", "predict", "run", "compare", "check")
BEFORE_RUN = PAGES[:2]
"""Pages on which the boat waits as she is."""
OTHER_EVERY = 4
"""Ticks between two points of a way the same minutes might have gone."""
LEFT = "free"
"""No page any more: the lesson is left, and the boat worked freely."""


class Refused(Exception):
    """A wish that cannot be met now, in a sentence for whoever wished it."""


class LessonPage:
    """A lesson and the page of it that is open; what follows only from what was done to it."""

    def __init__(self, lesson: Lesson, number: int, of: int, next_lesson: tuple[str, str] | None) -> None:
        self.lesson, self._number, self._of, self._next = lesson, number, of, next_lesson
        self.stage = PAGES[0]
        self._begun: float | None = None  # s since the session began
        self._prediction: list[list[float]] | None = None
        self._judged: dict[str, Any] | None = None
        self._explanation: list[str] | None = None
        self._other: list[list[float]] | None = None

    def open(self, session: Session, scales: Mapping[str, Scale]) -> None:
        """The axis of the curve, in the units of the answers, from where the boat stands."""
        axis = self.lesson.axis
        by = scales[axis.reading]
        self._scale = by
        self._ends = by.shown(axis.low), by.shown(axis.high)
        self._axis = {
            "column": axis.reading,
            "label": by.label,
            "unit": by.unit,
            "low": by.shown(axis.low),
            "high": by.shown(axis.high),
            "duration": self.lesson.duration,
            "start": by.shown(session.branch.rows[-1][COLUMNS.index(axis.reading)]),
        }

    def may_time_go(self) -> None:
        """Refuse while the lesson waits for its question; her controls wait too."""
        if self.stage in BEFORE_RUN:
            raise Refused("The boat waits: first the question, then the run.")

    def run_ends(self) -> float | None:
        """When the run is over [s]; None while there is none."""
        return self._begun + self.lesson.duration if self.stage == "run" and self._begun is not None else None

    def run_is_over(self, session: Session) -> None:
        """What came is laid over what was expected, and explained with its numbers."""
        if self.stage != "run" or self._begun is None:
            return
        self.stage = "compare"
        self._explain(session)

    def earliest(self) -> float:
        """How far time may go back [s]: to the beginning of the run, which the curve counts from."""
        return self._begun or 0.0

    def rewound(self, time: float) -> None:
        """Time went back: into the run, which is made again from there."""
        if self.stage in PAGES[2:] and time < self.earliest() + self.lesson.duration:
            self.stage, self._judged, self._explanation = "run", None, None

    def since_run(self, now: float) -> float | None:
        """How long the run has lasted [s]."""
        return None if self._begun is None else max(0.0, now - self._begun)

    def done(self, session: Session) -> list[bool]:
        """Of each thing asked for in the run, whether it is done; empty outside it."""
        return self.lesson.done(session, self.earliest()) if self.stage == "run" else []

    def checked(self, line: Line) -> Line:
        """A line as it will be written down; `Refused` if its page is not open."""
        kind = line["do"]
        if kind == "stage":
            self._may_turn_to(line["to"])
        if kind == "predict":
            if self.stage != "predict":
                raise Refused("The question is not open.")
            low, high = sorted(self._ends)
            given: list[list[float]] = line["points"]
            points = sorted(
                [min(max(t, 0.0), self.lesson.duration), min(max(v, low), high)] for t, v in given
            )
            return {**line, "points": points}
        if kind == "answer" and (self.stage != "check" or self._judged is not None):
            raise Refused("The check is not open.")
        return line

    def _may_turn_to(self, page: str) -> None:
        turns = {
            ("story", "predict"),
            ("predict", "run"),
            ("compare", "check"),
            ("predict", "story"),
            ("check", "compare"),
        }
        if page != LEFT and (self.stage, page) not in turns:
            raise Refused("The lesson is not at that page yet.")
        if page == "run" and self._prediction is None:
            raise Refused("First draw what you expect.")

    def do(self, line: Line, session: Session) -> None:
        """Do a line that has been checked."""
        match line["do"]:
            case "stage":
                self.stage = line["to"]
                if self.stage == "run":
                    self._begun = session.now
                    session.follow(self.lesson.moves)
            case "predict":
                self._prediction = line["points"]
            case "answer":
                right, text = self.lesson.judge(line["answer"], session, self.earliest())
                self._judged = {"answer": line["answer"], "right": right, "text": text}

    def _explain(self, session: Session) -> None:
        self._explanation = self.lesson.explanation(session, self.earliest())
        rows = self.lesson.other(session, self.earliest()) or []
        place = COLUMNS.index(self.lesson.axis.reading)
        self._other = [[tick * TICK, self._scale.shown(row[place])] for tick, row in enumerate(rows)][
            ::OTHER_EVERY
        ]

    def told(self) -> dict[str, Any] | None:
        """For the page; None once the lesson is left."""
        if self.stage == LEFT:
            return None
        lesson, check = self.lesson, self.lesson.check
        return {
            "name": lesson.name,
            "number": self._number,
            "of": self._of,
            "title": lesson.title,
            "aim": lesson.aim,
            "story": lesson.story,
            "question": lesson.question,
            "axis": self._axis,
            "duration": lesson.duration,
            "happens": lesson.happens,
            "asked": self._asked(),
            "closed": self.is_closed,
            "stage": self.stage,
            "begun": self._begun,
            "prediction": self._prediction,
            "explanation": self._explanation,
            "other": None if self._other is None else {"name": lesson.other_name, "points": self._other},
            "check": {"question": check.question, "choices": check.choices, "unit": check.unit},
            "judged": self._judged,
            "next": None if self._next is None else {"name": self._next[0], "title": self._next[1]},
        }

    def _asked(self) -> list[dict[str, Any]]:
        """What the student is asked to do: when [s after the run began], in words, and by which controls."""
        return [
            {"after": one["after"], "text": one["text"], "controls": _controls_of(one["move"] or {})}
            for one in self.lesson.asked
        ]

    @property
    def is_closed(self) -> bool:
        """Whether only the glass is to be looked at: it will lie, and the boiler cut open would tell."""
        lies = any(move.get("goes_wrong") == "glass cock shut" for move in self.lesson.moves)
        return lies and self.stage in PAGES[:3]


def _controls_of(move: Mapping[str, Any]) -> list[str]:
    """The controls a move as written is made with."""
    named = [str(move[key]) for key in ("do", "goes_wrong", "put_right") if key in move]
    return named + [key for key in move if key not in ("after", "fuel", "do", "goes_wrong", "put_right")]
