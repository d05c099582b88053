"""A lesson: its texts, and the numbers of the run that was made put into them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from halfglass.classroom.branch import Rows, Written, like
from halfglass.classroom.lesson_models import Condition, LessonTable
from halfglass.classroom.numbers import in_words, kind_of, read_out, shown, shown_as, value_of
from halfglass.classroom.session import Session
from halfglass.day.by_hand import stands_at, ticks
from halfglass.scenario.by_hand_models import CONTROLS, Move
from halfglass.scenario.load import Story
from halfglass.vocabulary import quantities, units

PLACE = re.compile(r"\{([^{}:]*)(:size)?\}")


@dataclass(frozen=True)
class Drawn:
    """The axis of the question [SI]: the reading, its ends and how long it is drawn for [s]."""

    reading: str
    label: str
    low: float
    high: float
    unit: str
    duration: float


@dataclass(frozen=True)
class Checked:
    """The question at the end: `choices` to choose from, by their number from 0, or a number in `unit`."""

    question: str
    choices: tuple[str, ...]
    unit: str


@dataclass
class Lesson:
    """One lesson. `name` is that of its file, `day` the story a session of it begins with."""

    name: str
    written: LessonTable
    day: Story
    _moves: list[Written]
    _asked: list[Written | None]
    _other: list[Written]
    _compared: dict[tuple[int, int, str], Rows] = field(default_factory=dict)

    @property
    def title(self) -> str:
        """Its title."""
        return self.written.title

    @property
    def aim(self) -> str:
        """What one knows afterwards."""
        return self.written.aim

    @property
    def story(self) -> str:
        """Where the boat is and what is about to happen."""
        return self.written.story

    @property
    def question(self) -> str:
        """What is asked before the run."""
        return self.written.question.text

    @property
    def axis(self) -> Drawn:
        """The axis the answer is drawn on."""
        axis, system = self.written.question.axis, self.day.base.units
        reading = axis.reading
        ends = (units.parse(axis.lowest, kind_of(reading)), units.parse(axis.highest, kind_of(reading)))
        unit = quantities.shown_in(like(reading), system)
        return Drawn(reading, LABELS.get(reading, reading.replace("_", " ")), *ends, unit, self.duration)

    @property
    def duration(self) -> float:
        """How long the run lasts [s]."""
        return self.written.run.for_

    @property
    def speed(self) -> float:
        """Times real time that suit it."""
        return self.written.run.speed

    @property
    def moves(self) -> list[Written]:
        """What happens by itself in the run: for `Session.follow` when it begins."""
        return list(self._moves)

    @property
    def happens(self) -> str:
        """What happens by itself, in words."""
        return self.written.run.happens

    @property
    def asked(self) -> list[dict[str, Any]]:
        """What the student is asked to do: after how long [s], in words, and as a move is written."""
        return [
            {"after": 0.0 if asked.move is None else asked.move.after, "text": asked.text, "move": move}
            for asked, move in zip(self.written.run.asked, self._asked, strict=True)
        ]

    @property
    def check(self) -> Checked:
        """The question at the end."""
        check = self.written.check
        unit = (
            ""
            if check.number is None
            else shown(0.0, *shown_as(self.written.numbers[check.number]), self.day.base.units)[1]
        )
        return Checked(check.text, tuple(choice.text for choice in check.choice), unit)

    @property
    def other_name(self) -> str | None:
        """What the other way of the same minutes is called, if the lesson has one."""
        return self.written.compared.name if self.written.compared is not None else None

    def other(self, session: Session, begun: float) -> Rows | None:
        """The rows of those minutes gone the other way, from the same moment; None if there is none."""
        if self.written.compared is None:
            return None
        before = [move for move in session.branch.moves if _time(move) < begun]
        key = (session.seed, ticks(begun), repr(before))
        if key not in self._compared:
            again = Session(self.day, session.seed)
            again.reopen([(before, begun)])
            again.follow(self._other)
            again.advance(self.duration)
            self._compared = {key: again.branch.rows[ticks(begun) :]}
        return self._compared[key]

    def numbers(self, session: Session, begun: float) -> dict[str, float]:
        """The numbers of the run that began at a time [SI]; as far as it has got."""
        first, last = ticks(begun), ticks(begun + self.duration)
        rows = {
            "the run": session.branch.rows[first : last + 1],
            "the other": self.other(session, begun) or [],
        }
        found: dict[str, float] = {}
        for name, number in self.written.numbers.items():
            value = value_of(number, rows[number.of])
            found[name] = value - (found[number.minus] if number.minus is not None else 0.0)
        return found

    def explanation(self, session: Session, begun: float) -> list[str]:
        """What was seen and why: only what is true of this run. One the model ended is not explained."""
        if session.day.outcome is not None:
            return [session.day.outcome.sentence, CUT_SHORT]
        found, besides = self.numbers(session, begun), self._moved_besides(session, begun)
        told = [BESIDES.format(", ".join(besides))] if besides else []
        if undone := self.not_done(session, begun):
            return [*told, NOT_EXPLAINED.format(undone)]
        for paragraph in self.written.explanation:
            text = paragraph.text if self.holds(paragraph.when, found) else paragraph.otherwise
            if not (besides and self._compares(text)):
                told.append(self.filled(text, found))
        return [text for text in told if text]

    def _moved_besides(self, session: Session, begun: float) -> list[str]:
        """Controls moved in the run that nobody was asked to move."""
        own = {name for move in [*self._moves, *filter(None, self._asked)] for name in _moved(move)}
        return [name for name in self._moved_in(session, begun) if name not in own]

    def _moved_in(self, session: Session, begun: float) -> list[str]:
        """What was moved in the run, each once, in order."""
        made = [m for m in session.branch.moves if begun <= _time(m) < begun + self.duration]
        return list(dict.fromkeys(name for move in made for name in _moved(move)))

    def not_done(self, session: Session, begun: float) -> str:
        """What was asked for in the run, in its words, and neither done nor so already."""
        moved = set(self._moved_in(session, begun))
        texts = [one.text for one in self.written.run.asked]
        pairs = [(text, move) for text, move in zip(texts, self._asked, strict=True) if move is not None]
        undone = [(text, move) for text, move in pairs if not moved.intersection(_moved(move))]
        return " ".join(text for text, move in undone if not _stands(session, move))

    def done(self, session: Session, begun: float) -> list[bool]:
        """Of each thing asked for, whether it is done: a lever stands near it, anything else was done."""
        near = {control.name: NEAR * (control.highest - control.lowest) for control in session.controls}

        def is_done(move: Written) -> bool:
            if _is_levers(move):  # asked ten times a second: where she stands, not all that was moved
                return _stands(session, move, near)
            return set(_moved(move)).issubset(self._moved_in(session, begun))

        return [move is not None and is_done(move) for move in self._asked]

    def _compares(self, text: str) -> bool:
        """Whether a text holds the run beside the other way, which means nothing if more was moved."""
        names = [name for name, _ in PLACE.findall(text)]
        numbers = [self.written.numbers[name] for name in names]
        taken_off = [self.written.numbers[one.minus] for one in numbers if one.minus is not None]
        return any(number.of == "the other" for number in [*numbers, *taken_off])

    def judge(self, answer: float | str, session: Session, begun: float) -> tuple[bool | None, str]:
        """Whether an answer to the check (a choice or its number, a value in its unit) is right, and why.

        None where what was asked for was not done: the run then has no answer.
        """
        if session.day.outcome is not None:
            return False, CUT_SHORT
        if undone := self.not_done(session, begun):
            return None, NOT_DONE.format(undone)
        check, found = self.written.check, self.numbers(session, begun)
        because = self.filled(check.because, found)
        if check.number is None:
            holds = [self.holds(choice.when, found) for choice in check.choice]
            right = holds.index(True) if True in holds else len(holds) - 1
            words = check.choice[right].text
            is_right = answer == words if isinstance(answer, str) else round(answer) == right
            return is_right, f"{words} {because}"
        value, unit = shown(
            found[check.number], *shown_as(self.written.numbers[check.number]), self.day.base.units
        )
        is_right = not isinstance(answer, str) and abs(answer - value) <= check.within * abs(value)
        return is_right, f"It was {read_out(value, 3, unit)}. {because}"

    def filled(self, text: str, found: Mapping[str, float]) -> str:
        """A text with its numbers put in, in the units of the day."""

        def put(place: re.Match[str]) -> str:
            value = abs(found[place[1]]) if place[2] else found[place[1]]
            return in_words(value, self.written.numbers[place[1]], self.day.base.units)

        return PLACE.sub(put, text)

    def run_as_asked(self, seed: int = 0) -> Session:
        """A session in which the run is made as it is asked for, from the beginning to its end."""
        session = Session(self.day, seed)
        session.follow(sorted([*self._moves, *filter(None, self._asked)], key=_time))
        session.advance(self.duration)
        return session

    def holds(self, when: tuple[Condition, ...], found: Mapping[str, float]) -> bool:
        """Whether all conditions are so with these numbers; what is not a number is never so."""
        return all(self._is_so(condition, found) for condition in when)

    def _is_so(self, condition: Condition, found: Mapping[str, float]) -> bool:
        value, kind = found[condition.number], self._span_kind(condition.number)
        above = condition.above is None or value > units.parse(condition.above, kind)
        return above and (condition.below is None or value < units.parse(condition.below, kind))

    def _span_kind(self, name: str) -> str:
        return kind_of(*shown_as(self.written.numbers[name]))


NEAR = 0.1
"""Share of a lever's travel within which it stands where it was asked to be put."""
LABELS = {
    "glass_shown": "water in the glass",
    "glass_fraction": "water in the glass",
    "boiler_pressure": "boiler pressure",
    "feed": "feed into the boiler",
}
BESIDES = (
    "Besides what was asked you did this: {}. The numbers are those of your run, and not all they show comes "
    "from what the lesson is about."
)
NOT_EXPLAINED = (
    "This was asked for, and not done in this run: “{}” So what came is not what the lesson is about. "
    "Open the lesson anew, or go back in time with the bar at the foot, and do it when the page says so."
)
NOT_DONE = (
    "This was asked for, and not done in this run: “{}” So it has no answer. Go back in time and do it, "
    "or open the lesson anew."
)
CUT_SHORT = "The run ended there and is not explained further. Go back in time and try again, or begin anew."


def _moved(move: Written) -> list[str]:
    """What a move moves, in words: its controls, and what it does or breaks by name."""
    named = ("do", "goes_wrong", "put_right")
    return [
        str(value) if key in named else key.replace("_", " ")
        for key, value in move.items()
        if key not in ("after", "fuel")
    ]


def _is_levers(move: Written) -> bool:
    """Whether a move moves levers and switches only, which stand where they were put."""
    return set(move) <= {"after", *CONTROLS}


def _stands(session: Session, move: Written, near: Mapping[str, float] | None = None) -> bool:
    """Whether everything a move moves stands there already, or as `near` to it as each control may be."""
    wanted = Move.model_validate(move)
    levers = {name: getattr(wanted, name) for name in CONTROLS if getattr(wanted, name) is not None}
    off = {name: abs(session.values[name] - stands_at(to)) for name, to in levers.items()}
    return _is_levers(move) and all(by <= (near or {}).get(name, 0.0) + 1e-9 for name, by in off.items())


def _time(move: Written) -> float:
    return units.parse(move["after"], "time")
