"""Lessons in their files: found, read, and checked for what does not go together."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from halfglass.classroom.branch import COLUMNS
from halfglass.classroom.lesson_models import Condition, LessonTable, Number
from halfglass.classroom.lesson_told import PLACE
from halfglass.classroom.lesson_told import Lesson as Lesson
from halfglass.classroom.numbers import kind_of, shown_as
from halfglass.scenario.by_hand_parts import lacking_parts
from halfglass.scenario.faults import faults_from_validation
from halfglass.scenario.load import Story, load
from halfglass.scenario.search import missing
from halfglass.scenario.toml_places import KeyPath
from halfglass.scenario.toml_text import Document, read
from halfglass.vocabulary import units
from halfglass.vocabulary.errors import Fault, ScenarioError, listed, nearest, quoted

LESSONS = Path(__file__).parent / "lessons"


def lessons() -> tuple[tuple[str, str], ...]:
    """The lessons that come with the program, in order: name and title."""
    files = sorted(LESSONS.glob("*.toml"))
    return tuple((path.stem, str(read(path).values.get("title", path.stem))) for path in files)


def load_lesson(name: str | Path) -> Lesson:
    """A lesson by its name, its number, or the path of a file.

    Raises ScenarioError with every fault found, each at its place.
    """
    path = _find(name)
    document = read(path)
    faults: list[Fault] = []
    table = _validated(document, faults)
    if table is None:
        raise ScenarioError(faults)
    day = _day(document, path, table.day, faults)
    faults += _conflicts(document, table, day)
    if faults or day is None:
        raise ScenarioError(faults)
    run, other = document.values["run"], document.values.get("compared", {})
    asked = [one.get("move") for one in run.get("asked", [])]
    return Lesson(path.stem, table, day, list(run.get("moves", [])), asked, list(other.get("moves", [])))


def is_lesson(path: str | Path) -> bool:
    """Whether a file holds a lesson and not a day; raises `ScenarioError` if it is unreadable."""
    values = read(path).values
    return "question" in values and "route" not in values


def _find(name: str | Path) -> Path:
    path = Path(name)
    if path.suffix == ".toml" and path.is_file():
        return path
    shipped = {shipped.stem: shipped for shipped in sorted(LESSONS.glob("*.toml"))}
    numbered = {stem.partition("-")[0].lstrip("0"): shipped for stem, shipped in shipped.items()}
    plain = {stem.partition("-")[2]: shipped for stem, shipped in shipped.items()}
    found = shipped.get(path.stem) or numbered.get(str(name)) or plain.get(path.stem)
    if found is None:
        near = nearest(str(name), list(shipped))
        hint = f"did you mean {quoted(near)}?" if near else f"there are {listed(shipped)}"
        raise ScenarioError([Fault(str(name), 0, 0, "", f"there is no such lesson; {hint}")])
    return found


def _validated(document: Document, faults: list[Fault]) -> LessonTable | None:
    try:
        return LessonTable.model_validate(document.values)
    except ValidationError as error:
        faults += faults_from_validation(error, document)
        return None


def _day(document: Document, path: Path, name: str, faults: list[Fault]) -> Story | None:
    places = [path.parent / "days", path.parent]
    file = next(
        (p for place in places if (p := place / f"{name.removesuffix('.toml')}.toml").is_file()), None
    )
    try:
        if file is None and not Path(name).is_file():
            faults.append(document.fault(("day",), f"{quoted(name)}: {missing(Path(name), places)}"))
            return None
        return load(file if file is not None else name)
    except ScenarioError as error:
        faults += error.faults
        return None


def _conflicts(document: Document, table: LessonTable, day: Story | None) -> Iterator[Fault]:
    """What does not go together: readings nobody keeps, numbers nobody took, moves after the end."""
    for path, reading in _readings(table):
        if reading not in COLUMNS:
            near = nearest(reading, COLUMNS)
            hint = f"did you mean {quoted(near)}?" if near else f"there are {listed(COLUMNS)}"
            yield document.fault(path, f"a session keeps no reading {quoted(reading)}; {hint}")
    for path, name in _names(table):
        if name not in table.numbers:
            near = nearest(name, table.numbers)
            hint = f"did you mean {quoted(near)}?" if near else f"there are {listed(table.numbers)}"
            yield document.fault(path, f"no number is called {quoted(name)}; {hint}")
    yield from _wrong_spans(document, table)
    moves: list[tuple[KeyPath, Any]] = [(("run", "moves", i), move) for i, move in enumerate(table.run.moves)]
    moves += [
        (("run", "asked", i, "move"), a.move) for i, a in enumerate(table.run.asked) if a.move is not None
    ]
    if table.compared is not None:
        moves += [(("compared", "moves", i), move) for i, move in enumerate(table.compared.moves)]
    for path, move in moves:
        if move.after > table.run.for_:
            yield document.fault(
                (*path, "after"), "this comes after the run has ended", second=("run", "for")
            )
        for key, part in lacking_parts(move, day.base.boat) if day is not None else ():
            yield document.fault((*path, key), f"the boat of this day has no {part}", second=("day",))
    for name, number in table.numbers.items():
        if number.of == "the other" and table.compared is None:
            yield document.fault(("numbers", name, "of"), "this lesson has no 'compared'")
        if number.minus is not None and number.minus not in _before(table.numbers, name):
            yield document.fault(("numbers", name, "minus"), "a number taken off must stand before it")


def _readings(table: LessonTable) -> Iterator[tuple[KeyPath, str]]:
    yield ("question", "axis", "reading"), table.question.axis.reading
    for name, number in table.numbers.items():
        yield ("numbers", name, "reading"), number.reading


def _names(table: LessonTable) -> Iterator[tuple[KeyPath, str]]:
    """Every place a number is named at."""
    for i, paragraph in enumerate(table.explanation):
        for key in ("text", "otherwise"):
            for name, _ in PLACE.findall(getattr(paragraph, key)):
                yield ("explanation", i, key), name
        for j, condition in enumerate(paragraph.when):
            yield ("explanation", i, "when", j, "number"), condition.number
    check = table.check
    if check.number is not None:
        yield ("check", "number"), check.number
    for i, choice in enumerate(check.choice):
        for j, condition in enumerate(choice.when):
            yield ("check", "choice", i, "when", j, "number"), condition.number
    for name, _ in PLACE.findall(check.because):
        yield ("check", "because"), name


def _wrong_spans(document: Document, table: LessonTable) -> Iterator[Fault]:
    """Texts with a unit that do not fit the reading they go with."""
    axis = table.question.axis
    spans: list[tuple[KeyPath, str, str]] = []
    if axis.reading in COLUMNS:
        kind = kind_of(axis.reading)
        spans += [(("question", "axis", end), getattr(axis, end), kind) for end in ("lowest", "highest")]
    conditions: list[tuple[KeyPath, Condition]] = []
    for i, paragraph in enumerate(table.explanation):
        conditions += [(("explanation", i, "when", j), c) for j, c in enumerate(paragraph.when)]
    for i, choice in enumerate(table.check.choice):
        conditions += [(("check", "choice", i, "when", j), c) for j, c in enumerate(choice.when)]
    for path, condition in conditions:
        number = table.numbers.get(condition.number)
        if number is None or number.reading not in COLUMNS:
            continue
        kind = kind_of(*shown_as(number))
        given = ((key, getattr(condition, key)) for key in ("above", "below"))
        spans += [((*path, key), text, kind) for key, text in given if text is not None]
    for name, number in table.numbers.items():
        if number.level is not None and number.reading in COLUMNS:
            spans.append((("numbers", name, "level"), number.level, kind_of(number.reading)))
    for path, text, kind in spans:
        try:
            units.parse(text, kind)
        except units.UnitError as error:
            yield document.fault(path, error.message)


def _before(numbers: Mapping[str, Number], name: str) -> list[str]:
    names = list(numbers)
    return names[: names.index(name)]
