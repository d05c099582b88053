"""The room: what is played, the windows that look at it, who steers, and how fast time goes.

There is no network here. A server turns the room ten times a second, hands it what the windows wish, and
sends each window what `news_for` says. Whatever is done is in the journal before it is done.
"""

from __future__ import annotations

import json
import secrets
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from halfglass.classroom import messages as said
from halfglass.classroom.journal import Journal, Line
from halfglass.classroom.play import Play, Refused
from halfglass.vocabulary.errors import HalfglassFailure, ScenarioError

if TYPE_CHECKING:
    from halfglass.classroom.shelf import Shelf

__all__ = ["Refused", "Room", "Window"]

SPEEDS = (1, 2, 5, 10, 20, 30, 60, 120)
"""Simulated seconds a second that can be chosen."""
USUAL_SPEED = 10
STEP = 1.0
"""s of a single step."""
LONGEST_TURN = 0.5
"""s of wall time that count in one turn: after a sleep of the machine time goes on, it does not jump."""
BACK_AT_ONCE, BACK_A_TURN = 0.25, 0.06
"""s of wall time spent on going back at first, and then in each turn: windows are answered meanwhile."""
MARK_EVERY = 2.0
"""s of wall time between two notes in the journal of how far time has come."""


class Stale(Exception):
    """What a journal tells cannot be done again: another program wrote it, or its lesson has changed."""


@dataclass
class _GoingBack:
    """On the way back: what is still to do, to which moment [s], what was open before."""

    pieces: Iterator[float]
    to: float
    before: tuple[str, int]
    share: float = 0.0

    def told(self) -> dict[str, Any]:
        """For the windows."""
        return {"is": "back", "to": self.to, "share": round(self.share, 2)}


@dataclass(eq=False)
class Window:
    """One window, by the name it keeps when it comes again, and what it has been told."""

    name: str
    day: int = 0
    branches: int = 0
    rows: int = 0
    told: int = 0
    lesson: int = 0
    frame: int = 0
    mine: bool = False
    letters: list[str] = field(default_factory=list)
    """What is for this window alone."""


class Room:
    """One classroom: a shelf, a journal, and a lesson or scenario wanted over what was left."""

    def __init__(self, shelf: Shelf, journal: Journal, wanted: str | None = None) -> None:
        self.shelf, self._journal = shelf, journal
        self.windows: list[Window] = []
        self.steering: Window | None = None
        self._steered = ""
        self.running = False
        self.speed: float = USUAL_SPEED
        self.done: set[str] = set()
        """Lessons whose check has been answered."""
        self._owed = 0.0  # simulated seconds that time has yet to go
        self._unmarked = 0.0
        self._day = self._branches = self._lesson = self._frame = 1
        self._news = True
        self._cached: dict[Any, str] = {}
        self._back: _GoingBack | None = None
        self.play = self._come_again(wanted)

    def _come_again(self, wanted: str | None) -> Play:
        """What was left, done again; or what is wanted, begun."""
        lines = self._journal.last_opened()
        self.done = {line["open"] for line, after in _openings(self._journal.lines) if _is_answered(after)}
        if not lines or wanted not in (None, lines[0]["open"]):
            name = wanted or self.shelf.first
            play = self.shelf.open(name)
            self._journal.add({"open": name})
            return play
        try:
            return self._redone(lines)
        except ScenarioError:
            raise
        except Exception as error:
            raise Stale(f"{type(error).__name__}: {error}") from error

    def _redone(self, lines: list[Line]) -> Play:
        """A journal's session, built again."""
        play = self.shelf.open(lines[0]["open"])
        for line in lines[1:]:
            play.advance_to(line["at"])
            play.do(line)
            self.speed = line["to"] if line["do"] == "speed" else self.speed
        return play

    # windows

    def join(self, name: str) -> Window:
        """A window more; the first steers, and one that comes again steers again if nobody else does."""
        names = {window.name for window in self.windows}
        window = Window(name if name and name not in names else secrets.token_hex(8))
        self.windows.append(window)
        if self.steering is None and (self._steered in ("", window.name) or len(self.windows) == 1):
            self._steer(window)
        self._touch()
        return window

    def leave(self, window: Window) -> None:
        """A window is gone. Nobody steers then, if it did, until another takes the controls."""
        self.windows.remove(window)
        if self.steering is window:
            self.steering = None
        self._touch()

    def _steer(self, window: Window) -> None:
        self.steering, self._steered = window, window.name

    def tell(self, window: Window, text: str) -> None:
        """Words for one window alone."""
        window.letters.append(_text({"is": "notice", "text": text}))

    # what windows wish

    def do(self, window: Window, wish: said.Wish) -> None:
        """Do what a window wishes; `Refused` with a sentence if it cannot be."""
        if isinstance(wish, said.Steer):
            self._steer(window)
        elif self._back is not None:
            raise Refused("Going back in time: one moment.")
        elif isinstance(wish, said.Export):
            window.letters.append(_text(self._exported(wish.form)))
            self._news = True
            return
        elif window is not self.steering:
            raise Refused("Another window steers: take the controls first.")
        else:
            self._steered_wish(wish)
        self._touch()

    def _steered_wish(self, wish: said.Wish) -> None:
        if isinstance(wish, said.Run):
            self._let_go(wish.on)
        elif isinstance(wish, said.Step):
            self.play.may_time_go()
            self._hold()
            self.play.advance(STEP)
            self._mark()
        elif isinstance(wish, said.Open):
            self._open(wish.lesson)
        else:
            self._write_and_do(wish.model_dump(exclude_none=True))

    def _write_and_do(self, line: Line) -> None:
        """What is part of the session: checked, written down, done."""
        if line["do"] == "speed":
            line["to"] = self.speed = min(SPEEDS, key=lambda speed: abs(speed - line["to"]))
        line = self.play.checked(line)
        self._journal.add({"at": self.play.since, **line})
        before = (self.play.stage, self.play.branch)
        if line["do"] == "rewind":
            self.running, self._owed = False, 0.0
            self._back = _GoingBack(self.play.going_back(line["to"]), line["to"], before)
            self._go_back(BACK_AT_ONCE)
            return
        self.play.do(line)
        self._turned_page(*before)
        if line["do"] == "answer":
            self.done.add(self.play.name)
            self._day += 1  # the list of lessons says so
        if line["do"] in ("predict", "answer", "stage"):
            self._lesson += 1

    def _go_back(self, at_most: float) -> None:
        """Go on going back, for so much wall time [s]."""
        back, until = self._back, time.monotonic() + at_most
        if back is None:
            return
        for share in back.pieces:
            back.share = share
            if time.monotonic() >= until:
                return
        self._back = None
        self._mark()
        self._turned_page(*back.before)

    def _turned_page(self, stage: str, branch: int) -> None:
        """What follows when the lesson came to another page, or another branch was begun."""
        if self.play.branch != branch:
            self._branches += 1
            self._lesson += 1
        if self.play.stage != stage:
            self._lesson += 1
            if self.play.stage == "run":
                self.speed = self.play.usual_speed or self.speed
                self._let_go(True)
            elif self.play.stage != "free":
                self._hold()

    def _open(self, name: str) -> None:
        if name != self.play.name and name not in self.shelf.titles:
            raise Refused(f"There is no lesson called {name}.")
        play = self.shelf.open(name)
        self._hold()
        self._journal.add({"open": name})
        self.play = play
        self._day += 1
        self.speed = USUAL_SPEED

    # time

    def _let_go(self, on: bool) -> None:
        if on:
            self.play.may_time_go()
        if self.running and not on:
            self._hold()
        self.running = on

    def _hold(self) -> None:
        self.running, self._owed = False, 0.0
        self._mark()

    def _mark(self) -> None:
        """Write down how far time has come."""
        self._unmarked = 0.0
        self._journal.add({"at": self.play.since, "do": "reached"})

    def turn(self, elapsed: float) -> None:
        """Let time go for so much wall time [s]."""
        if self._back is not None:
            self._go_back(BACK_A_TURN)
            self._touch()
        if not self.running:
            return
        elapsed = min(elapsed, LONGEST_TURN)
        self._owed += elapsed * self.speed
        self._unmarked += elapsed
        whole = int(self._owed / self.play.tick) * self.play.tick
        if whole > 0.0:
            before = (self.play.stage, self.play.branch)
            self._owed -= whole
            self.play.advance(whole)
            self._turned_page(*before)
            if self.play.ended:
                self._hold()
            self._touch()
        if self._unmarked >= MARK_EVERY:
            self._mark()

    def failed(self, error: Exception) -> str:
        """A failure of ours: time is held, every window is told; returns what the terminal should say."""
        self.running, self._owed, self._back = False, 0.0, None
        text = f"The model failed: {type(error).__name__}: {error}"
        for window in self.windows:
            self.tell(window, f"{text}. Time is held; go back in time, or open a lesson, to go on.")
        self._touch()
        seen_again = f"halfglass classroom {self.play.name}, at {self.play.since:g} s of {self._journal.path}"
        return str(HalfglassFailure(text, f"classroom {self.play.name}", seen_again))

    def close(self) -> None:
        """Write down where time stands, and let go of the journal."""
        if self._back is None:
            self._mark()
        self._journal.close()

    # what windows are told

    def _touch(self) -> None:
        self._frame += 1
        self._cached.clear()
        self._news = True

    def take_news(self) -> bool:
        """Whether anything is new since this was last asked."""
        news, self._news = self._news, False
        return news

    def news_for(self, window: Window) -> list[str]:
        """The messages a window has not had; what it was too slow for is made up in one piece."""
        texts, window.letters = window.letters, []
        if self._back is not None:
            return [*texts, _text(self._back.told())]
        play, ready = self.play, self.play.rows_ready()
        is_new_day = window.day != self._day
        if is_new_day:
            texts.append(
                _text(
                    {
                        "is": "hello",
                        "window": window.name,
                        "speeds": SPEEDS,
                        **play.hello(),
                        **self._kept(),
                        **self.shelf.told(self.done),
                    }
                )
            )
        if is_new_day or window.branches != self._branches:
            texts.append(self._branches_text())
        elif window.rows < ready:
            rows = play.rows(first=window.rows)
            texts.append(_text({"is": "rows", "branch": play.branch, "rows": rows}))
        mine = window is self.steering
        if is_new_day or window.lesson != self._lesson or window.mine != mine:
            texts.append(_text({"is": "lesson", "mine": mine, "lesson": self._lesson_told()}))
        told = play.session.told_so_far
        if is_new_day or window.branches != self._branches or window.told != told:
            texts.append(_text({"is": "log", "count": told, "lines": play.told()}))
        if is_new_day or window.frame != self._frame or window.mine != mine:
            texts.append(self._frame_text(mine))
        window.day, window.branches, window.rows, window.told = self._day, self._branches, ready, told
        window.lesson, window.frame, window.mine = self._lesson, self._frame, mine
        return texts

    def _kept(self) -> dict[str, str]:
        folder = self._journal.path.parent
        where = (
            f"All that is done is kept in {folder}; started again there, the classroom goes on where it was."
        )
        return {"kept": where, "worksheet": f"/worksheet/{self.play.name}" if self.play.page else ""}

    def _lesson_told(self) -> dict[str, Any] | None:
        told = self.play.lesson_told()
        return None if told is None else {**told, "running": self.running, "attempt": self._day}

    def _branches_text(self) -> str:
        if "branches" not in self._cached:
            self._cached["branches"] = _text({"is": "branches", "list": self.play.branches()})
        return self._cached["branches"]

    def _frame_text(self, mine: bool) -> str:
        key = (self._frame, mine)
        if key not in self._cached:
            self._cached[key] = _text(
                {
                    "is": "frame",
                    "mine": mine,
                    "steered": self.steering is not None,
                    "running": self.running,
                    "speed": self.speed,
                    "windows": len(self.windows),
                    **self.play.frame(),
                }
            )
        return self._cached[key]

    def _exported(self, form: str) -> dict[str, str]:
        text = self.play.session.record() if form == "toml" else self.play.session.csv()
        return {"is": "file", "name": f"{self.play.file_name}.{form}", "text": text}

    def worksheet(self, name: str) -> str | None:
        """The printable page of a lesson."""
        return self.shelf.worksheet(name)


def _text(message: dict[str, Any]) -> str:
    return json.dumps(message, ensure_ascii=False, separators=(",", ":"), allow_nan=False)


def _openings(lines: list[Line]) -> list[tuple[Line, list[Line]]]:
    """Each opening of a journal with what was done in it."""
    starts = [place for place, line in enumerate(lines) if "open" in line] + [len(lines)]
    return [(lines[at], lines[at + 1 : until]) for at, until in zip(starts, starts[1:], strict=False)]


def _is_answered(lines: list[Line]) -> bool:
    return any(line.get("do") == "answer" for line in lines)
