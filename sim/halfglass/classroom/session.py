"""A plant worked live. A session is a list of moves and the day they make; everything else follows from it.

To go back, to try again from there, to come back after a stop, or to hand the session on, the day is built
anew and the moves are made again: they fall on the same ticks, so they come to the same bits.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Protocol

import simpy

from halfglass.classroom import record
from halfglass.classroom.branch import COLUMNS, Branch, Written, as_columns, thinned
from halfglass.classroom.controls import Control, controls_of
from halfglass.classroom.critical import FEEDS, Critical, critical
from halfglass.classroom.drag import Drag
from halfglass.classroom.flows import Flow, flows
from halfglass.classroom.memory import Memory
from halfglass.day.by_hand import TICK, ByHand, ticks
from halfglass.day.outing import Day
from halfglass.day.record import marks_of
from halfglass.plant import reading as r
from halfglass.plant.marcher import ChatterError, MarchFailedError
from halfglass.result.clock import stamp
from halfglass.result.records import LogEntry, Marks
from halfglass.scenario.by_hand_models import Move, wrong_by_hand
from halfglass.scenario.day_models import Scenario
from halfglass.scenario.load import Story, load
from halfglass.scenario.route_steps import ByHand as ByHandStep
from halfglass.vocabulary.errors import Fault, HalfglassFailure, ScenarioError, nearest
from halfglass.vocabulary.quantities import QUANTITIES

LONGEST = 12 * 3600.0
"""s a session can last."""
GETTING_READY = ("raise steam", "warm through", "take on fuel", "take on water")
"""Steps a day without a step by hand begins with, before it is handed over."""
MOST_BRANCHES = 100
PIECE = 40
"""Ticks made again at a time: a few milliseconds."""
MOST_MOVES = 4500
"""Moves of one branch: a record has to be a scenario that can be read."""


class Lesson(Protocol):
    """What a session wants of a lesson: the day it begins with."""

    @property
    def day(self) -> Story: ...


class Session:
    """A scenario opened up to its last step by hand, then driven live.

    Parameters: opened, a story or a lesson; seed of the crew's times before the hand-over.
    Notes: times are seconds since the hand-over and fall on ticks. What the step by hand of the file lists
    is done when its time comes. Raises ScenarioError if the day ends before it is handed over.
    """

    def __init__(self, opened: Story | Lesson, seed: int = 0) -> None:
        self.story = opened if isinstance(opened, Story) else opened.day
        self.seed = seed
        self.scenario, script = _up_to_the_hand(self.story)
        self.controls = controls_of(self.scenario)
        self._named = {control.name: control for control in self.controls}
        self.branches = [Branch(0)]
        self._at = 0
        self._script = [(0, tick, written) for tick, written in script]
        self._open(0)
        self._prompt()

    @classmethod
    def from_record(cls, path: str | Path, seed: int = 0) -> Session:
        """A session as its record tells it: gone on to where it stopped, its other branches as they were."""
        story = load(path)
        session = cls(story, seed)
        record.restore(session, story)
        return session

    @property
    def branch(self) -> Branch:
        """The branch that is being driven."""
        return self.branches[self._at]

    @property
    def tick(self) -> int:
        """Ticks since the hand-over."""
        return self._hand.tick

    @property
    def now(self) -> float:
        """Seconds since the hand-over."""
        return self._hand.tick * TICK

    @property
    def clock_text(self) -> str:
        """The time of day."""
        return stamp(self.day.started, self.day.clock.now)

    @property
    def ended(self) -> str | None:
        """The sentence with which the model, or the day, ended; None while it goes on."""
        if self.day.outcome is not None:
            return self.day.outcome.sentence
        return "A session lasts twelve hours at most." if self.now >= LONGEST else None

    @property
    def values(self) -> dict[str, float]:
        """Where each lever, switch and pump stands [SI]; a fault is 1 while it is at work."""
        at_work = {fault.kind for fault in self.day.faults_at_work}
        levers = self._hand.levers
        return {
            name: levers[name] if name in levers else float(name in at_work)
            for name, control in self._named.items()
            if control.kind != "push"
        }

    def set(self, name: str, value: float) -> None:
        """Put a control somewhere, as near as it goes; a fault begins (1) or is put right (0).

        Raises ValueError for a name no control has.
        """
        control = self._control(name)
        if control.kind == "push":
            raise ValueError(f"{name!r} is done, not put somewhere")
        value = control.nearest(value)
        if self.ended is None and value != control.nearest(self.values[name]):
            self._make(_said(control, value))

    def push(self, name: str, amount: float | None = None, choice: str | None = None) -> None:
        """Do one thing: a charge of `amount` [kg] of the fuel `choice`, or one done once, or a lasting fault.

        Raises ValueError for a name no control has, and for a choice it does not offer.
        """
        control = self._control(name)
        if control.kind != "push":
            raise ValueError(f"{name!r} is put somewhere, not done")
        if choice is not None and choice not in control.choices:
            raise ValueError(f"{name!r} is not of {choice!r}")
        if self.ended is not None:
            return
        if name == "charge":
            mass = control.nearest(amount if amount is not None else control.amount)
            self._make({"charge": f"{mass:.6g} kg"} | ({"fuel": choice} if choice is not None else {}))
        else:
            self._make({"goes_wrong" if name in wrong_by_hand() else "do": name})

    def follow(self, moves: Iterable[Written]) -> None:
        """Let moves, written as in a scenario, be made by themselves, their times counted from now."""
        begun = self.tick
        checked = [(move, Move.model_validate(move)) for move in moves]
        self._script += [(begun, begun + ticks(move.after), written) for written, move in checked]
        self._prompt()

    def advance(self, seconds: float) -> None:
        """Go on by so much, to the next tick; stops where the model ends."""
        self.advance_to(self.now + seconds)

    def advance_to(self, time: float) -> None:
        """Go on to the tick at or after a time; no further than where the model ends."""
        goal = ticks(min(time, LONGEST))
        while self.tick < goal and self.day.outcome is None:
            self._step()
            self._prompt()

    def rewind(self, time: float) -> None:
        """Leave the present branch as it is, and begin another at a tick of it with the moves before that."""
        for _ in self.going_back(time):
            pass

    def going_back(self, time: float) -> Iterator[float]:
        """The same in pieces of some milliseconds; yields what share is done.

        Between two pieces the session stands at a tick on the way, and must not be driven.
        """
        tick = max(0, min(ticks(time), self.tick))
        if len(self.branches) >= MOST_BRANCHES:
            raise ValueError(f"a session has {MOST_BRANCHES} branches at most")
        left = self.branch
        kept = [move for move in left.moves if ticks(Move.model_validate(move).after) < tick]
        self.branches.append(Branch(len(self.branches), left.number, tick * TICK, kept))
        self._at = self.branches[-1].number
        self._script = [entry for entry in self._script if entry[0] <= tick]  # what was not yet asked for
        yield from self._opening(tick)
        self._prompt()

    def shown(self) -> dict[str, float]:
        """Every reading now [SI], with what glass and gauge show beside what is so."""
        found = {name: self.day.clock.reading(r.INDEX[name]) for name in r.NAMES if name in QUANTITIES}
        instruments = self.day.instruments
        found["glass_shown"] = instruments.glass
        found["pressure_shown"] = instruments.pressure
        found["feed"] = self._column("feed")
        if self.day.solid_fuel:
            thrown = self.day.charge(1.0)
            found["fuel_moisture"] = thrown.moisture / thrown.mass
        found["heel"] = self.day.clock.plant.controls.heel
        found["lubricator_fraction"] = (
            found["lubricator_oil"] / self.day.parameters.engine.lubricator_capacity
        )
        found["vaporiser_temperature"] = self.day.clock.reading(r.VAPORISER_TEMPERATURE)
        return found

    def glass_now(self) -> dict[str, float]:
        """For the picture of the glass, in parts of its length: what it shows, the water, and its swell."""
        reading, length = self.day.clock.reading, self.marks.glass_length
        return {
            "shown": self.day.instruments.glass,
            "true": reading(r.GLASS_FRACTION),
            "swell": reading(r.SWELL) / length,
        }

    def flows(self) -> tuple[Flow, ...]:
        """Water [kg/s] and heat [W] between the vessels now; the same names every time."""
        return flows(self.day, self._memory)

    def critical(self) -> tuple[Critical, ...]:
        """What is critical, or will be at the present rates, most pressing first."""
        return critical(self.day, self.marks, self._memory)

    @property
    def is_settling(self) -> bool:
        """Whether something was moved so lately that rates cannot be told yet."""
        return self._memory.is_settling

    def history(self, since: float = -TICK) -> dict[str, list[float]]:
        """The columns of the present branch after a time, tick by tick."""
        first = max(0, ticks(since + TICK))
        return as_columns(self.branch.rows[first:], first)

    def history_of(self, number: int, pieces: int = 150) -> dict[str, list[float]]:
        """The columns of a branch, thinned; every lowest and highest is kept."""
        return thinned(self.branches[number].rows, pieces)

    @property
    def told_so_far(self) -> int:
        """Lines of the log so far."""
        return len(self.day.entries)

    def last_told(self, many: int) -> list[LogEntry]:
        """The last lines of the log, the newest first; the hand-over is the first of all."""
        return self.day.entries[max(self._first_told, self.told_so_far - many) :][::-1]

    def log_since(self, count: int = 0) -> list[LogEntry]:
        """The lines of the log from the hand-over on, without the first `count`."""
        return [entry for entry in self.day.entries if entry.time >= self.began_at][count:]

    def record(self) -> str:
        """The session as a scenario: the present branch, and every other as a plan."""
        return record.text(self)

    def csv(self) -> str:
        """The present branch at every tick, with the clock, in the units of the day."""
        return record.csv_text(self)

    def reopen(self, tries: list[tuple[list[Written], float]]) -> None:
        """Take on what a record tells: the moves and the length [s] of each try, the present one last."""
        self._script = []
        self.branches = []
        for moves, lasted in tries:
            self._at = len(self.branches)
            self.branches.append(Branch(self._at, moves=list(moves)))
            self._open(ticks(lasted))

    def _open(self, tick: int) -> None:
        """Build the day anew and go on to a tick, making the moves of the branch again."""
        for _ in self._opening(tick):
            pass

    def _opening(self, tick: int) -> Iterator[float]:
        """The same in pieces; yields what share is done."""
        self._drag: Drag | None = None
        moves = tuple(Move.model_validate(move) for move in self.branch.moves)
        step = ByHandStep.model_validate({"step": "by hand", "for": f"{LONGEST / 3600.0:g} h"})
        step = step.model_copy(update={"moves": moves})
        route = (*self.scenario.route, step)
        self.day = Day(self.scenario.model_copy(update={"route": route}), self.seed)
        self._over: simpy.Event = self.day.begin()
        hand = self.day.by_hand
        while (hand is None or hand.step is not step) and not self._over.processed:
            self.day.clock.step()
            hand = self.day.by_hand
        if hand is None:
            why = self.day.outcome.sentence if self.day.outcome else "it never came to that"
            told = f"this day ends before anybody can take over: {why}"
            raise ScenarioError([Fault(self.story.file, 0, 0, "route", told)])
        self._hand: ByHand = hand
        self.began_at = self.day.clock.now
        self._first_told = self.told_so_far - 1
        self.marks: Marks = marks_of(self.day, "")
        self._memory = Memory(self.day)
        self.branch.rows.clear()
        self._sample()
        while self.tick < tick and self.day.outcome is None:
            self._step()
            if self.tick % PIECE == 0:
                yield self.tick / tick
        self._memory.moved()
        self._sample()

    def _step(self) -> None:
        """One tick on; or to the end of the day, whatever else happens at that moment included."""
        was = self.tick
        try:
            while self.tick == was and not self._over.processed:
                self.day.clock.step()
        except (MarchFailedError, ChatterError) as error:
            raise HalfglassFailure(
                str(error),
                f"{self.scenario.title!r} by hand, seed {self.seed}, {self.now:g} s after the hand-over",
                f"halfglass run RECORD --seed {self.seed}, with the record of the session",
            ) from error
        self._sample()

    def _sample(self) -> None:
        """Keep the readings of this tick; what has changed at the same tick takes the place of what was."""
        self._memory.keep()
        rows = self.branch.rows
        del rows[self.tick :]
        rows.append(tuple(self._column(name) for name in COLUMNS))

    def _column(self, name: str) -> float:
        if name == "feed":
            return sum(self.day.clock.reading(place) for place in FEEDS)
        if name == "glass_shown":
            return self.day.instruments.glass
        return self.day.clock.reading(r.INDEX[name])

    def _prompt(self) -> None:
        """Make the moves whose time has come by themselves."""
        for _, tick, written in self._script:
            if tick == self.tick and self.day.outcome is None:
                self._make({key: value for key, value in written.items() if key != "after"})

    def _make(self, written: Written) -> None:
        move = {"after": f"{self.now:.1f} s", **written}
        if len(self.branch.moves) >= MOST_MOVES:
            raise ValueError(f"a session has {MOST_MOVES} moves at most; go back, or begin anew")
        self.branch.moves.append(move)
        before, told = Drag.begun(self._hand, written), self._told
        self._hand.do(Move.model_validate(move))
        self._drag = self._gone_on(before) if told == self._told else None
        self._memory.moved()
        self._sample()

    @property
    def _told(self) -> tuple[int, int]:
        """Changes with every line of the log and every guard crossed."""
        return len(self.day.entries), self.day.clock.crossings

    def _gone_on(self, last: Drag | None) -> Drag | None:
        """A drag with its last move; one that went on within its tick is kept as a single move.

        Only where nothing was told and no guard crossed on the way, and it does not end where it began: then
        the one move alone comes to the same bits.
        """
        drag = self._drag
        if last is None or drag is None or (drag.name, drag.tick) != (last.name, last.tick):
            return last
        if self._hand.levers[drag.name] == drag.began_at:
            return last
        del self.branch.moves[-2]
        self.day.clock.plant.marcher.as_one(drag.mark)
        return drag

    def _control(self, name: str) -> Control:
        if name not in self._named:
            raise ValueError(f"no control is called {name!r}; nearest: {nearest(name, self._named)}")
        return self._named[name]


WORDS = {"lines": ("let go", "made fast"), "spirit_cup": ("out", "alight")}
"""How a switch that is no valve is written: off, on."""


def _said(control: Control, value: float) -> Written:
    """A control put somewhere, as a scenario has it."""
    if control.group == "faults":
        return {"goes_wrong" if value > 0.5 else "put_right": control.name}
    if control.kind == "switch":
        return {control.name: WORDS.get(control.name, ("shut", "open"))[value > 0.5]}
    return {control.name: f"{value * control.shown_scale:.6g} {control.unit}"}


def _up_to_the_hand(story: Story) -> tuple[Scenario, list[tuple[int, Written]]]:
    """The day before the hand-over, and what its last step by hand lists: ticks and the moves as written."""
    day = story.base
    script: list[tuple[int, Written]] = []
    ready = next((i for i, step in enumerate(day.route) if step.step not in GETTING_READY), len(day.route))
    for index, step in enumerate(day.route):
        if isinstance(step, ByHandStep):
            ready, written = index, record.written_moves(story, index)
            script = list(zip([ticks(move.after) for move in step.moves], written, strict=True))
    before = day.model_copy(update={"route": day.route[:ready]})
    faults = tuple(day.fault[index] for index in record.faults_that_can_come(story, before))
    return before.model_copy(update={"fault": faults}), script
