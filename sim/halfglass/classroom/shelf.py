"""The lessons of a classroom, in order, and how one of them, or a scenario, is opened."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path
from typing import Any

from halfglass.classroom.lesson import is_lesson, lessons, load_lesson
from halfglass.classroom.lesson_page import LessonPage
from halfglass.classroom.play import Play
from halfglass.classroom.session import Session
from halfglass.scenario.load import load


class Shelf:
    """What can be opened: lessons by their names, and whatever scenario the command named, by its path."""

    def __init__(self) -> None:
        self.titles = dict(lessons())

    @property
    def first(self) -> str:
        """The lesson to begin with."""
        return next(iter(self.titles))

    def open(self, name: str) -> Play:
        """A lesson by its name or path, or a scenario by its path; ScenarioError if that is at fault."""
        if name not in self.titles and not is_lesson(name):
            return Play(name, Session(load(Path(name))), None)
        lesson = load_lesson(name)
        names = list(self.titles)
        place = names.index(name) + 1 if name in self.titles else 0
        following = names[place] if 0 < place < len(names) else None
        page = LessonPage(
            lesson, place, len(names), (following, self.titles[following]) if following else None
        )
        return Play(name, Session(lesson), page)

    def told(self, done: Collection[str]) -> dict[str, Any]:
        """For the page: the list of lessons, and which of them are done."""
        return {"lessons": [{"name": n, "title": t, "done": n in done} for n, t in self.titles.items()]}

    def worksheet(self, name: str) -> str | None:
        """The printable page of a lesson; None if there is no such lesson."""
        if name not in self.titles:
            return None
        from halfglass.classroom import worksheet  # templates are read only when a sheet is asked for

        return worksheet.page(load_lesson(name))
