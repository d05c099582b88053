"""Spoilt lessons, their days and owner's logs: taken, or refused in plain words at their place."""

from __future__ import annotations

import datetime
import random
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from mutations import spoil
from scenario_text import LONGEST, no_longer_than, wrong_with

from halfglass.classroom import lesson as lessons
from halfglass.scenario.load import load
from halfglass.study.owner_log import parse_log
from halfglass.vocabulary.errors import ScenarioError

LOG = Path(__file__).parents[2] / "scenarios" / "logs" / "sedge-quiet-lake-day.csv"
FILES = sorted(path.relative_to(lessons.LESSONS).as_posix() for path in lessons.LESSONS.rglob("*.toml"))
FEW, MANY = 6, 400
"""Cases for each file in the usual run and in the long one."""


def check(what: str, cases: int, case: Callable[[random.Random], None]) -> None:
    for number in range(cases):
        try:
            with no_longer_than(2.0 * LONGEST):
                case(random.Random(f"{what} {number}"))
        except BaseException as error:
            error.add_note(f"case {number} of {what}")
            raise


def lesson_cases(name: str, folder: Path, cases: int) -> None:
    shelf = Path(shutil.copytree(lessons.LESSONS, folder / "lessons"))
    text = (lessons.LESSONS / name).read_text(encoding="utf-8")
    read: Callable[[Path], object] = load if "/" in name else lessons.load_lesson

    def case(chance: random.Random) -> None:
        spoilt = spoil(chance, text)
        (shelf / name).write_bytes(spoilt.data)
        try:
            read(shelf / name)
        except ScenarioError as error:
            assert error.faults
            for fault in error.faults:
                assert not wrong_with(fault, shelf / name), (wrong_with(fault, shelf / name), fault)

    check(name, cases, case)


def log_cases(cases: int) -> None:
    text = LOG.read_text(encoding="utf-8")

    def case(chance: random.Random) -> None:
        rows = text.split("\n")
        for _ in range(chance.randint(1, 4)):
            place, other = chance.randrange(len(rows)), chance.randrange(len(rows))
            cells = rows[place].split(",")
            cells[chance.randrange(len(cells))] = chance.choice(
                ("", "nan", "-inf", "1e999", "9" * 400, "1,5", '"', "é", "08:99", "open", "-1", "=1+1", " ")
            )
            rows[place] = chance.choice(
                (",".join(cells), rows[other], rows[place][:9], "", rows[place] + ",")
            )
        data = "\n".join(rows).encode()
        if chance.random() < 0.3:
            data = spoil(chance, "\n".join(rows)).data
        try:
            log = parse_log(data, "log.csv", datetime.time(8, 15))
        except ScenarioError as error:
            assert error.faults and all(f.message and f.message.isprintable() for f in error.faults)
        else:
            assert log is not None

    check("log", cases, case)


@pytest.mark.parametrize("name", FILES)
def test_spoilt_lesson(name: str, tmp_path: Path) -> None:
    lesson_cases(name, tmp_path, FEW)


def test_spoilt_log() -> None:
    log_cases(4 * FEW)


@pytest.mark.long
@pytest.mark.parametrize("name", FILES)
def test_much_spoilt_lesson(name: str, tmp_path: Path) -> None:
    lesson_cases(name, tmp_path, MANY)


@pytest.mark.long
def test_much_spoilt_log() -> None:
    log_cases(MANY)
