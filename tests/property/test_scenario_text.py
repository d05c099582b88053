"""No scenario text, however spoilt, gives a traceback, hangs, or has a key that is silently ignored.

Every shipped scenario and boat file is spoilt in ways drawn from a seeded source of chance: the name of a failing
case (file and number) makes it again. What still loads is run now and then.
"""

from __future__ import annotations

import random
import shutil
from collections import Counter
from pathlib import Path

import pytest
from mutations import spoil
from scenario_text import loaded, loaded_boat, ran

SCENARIOS = Path(__file__).parents[2] / "scenarios"
FILES = sorted(str(path.relative_to(SCENARIOS)) for path in SCENARIOS.rglob("*.toml"))
FEW, MANY = 60, 2000
"""Cases for each file in the usual run and in the long one."""
RUN_ONE_IN = 20


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The shipped scenarios in a folder of their own, where they may be spoilt."""
    return Path(shutil.copytree(SCENARIOS, tmp_path / "scenarios"))


def user_of(folder: Path, name: str) -> Path:
    """The scenario that a file is loaded through: itself, or one that names it as its boat."""
    if not name.startswith("boats/"):
        return folder / name
    for path in sorted(folder.glob("*.toml")):
        if f'"{name}"' in path.read_text(encoding="utf-8"):
            return path
    return folder / name


def check_case(folder: Path, name: str, number: int, counts: Counter[str]) -> None:
    """Spoil a file as its number says, load it and perhaps run it."""
    chance = random.Random(f"{name} {number}")
    spoilt = spoil(chance, (SCENARIOS / name).read_text(encoding="utf-8"))
    (folder / name).write_bytes(spoilt.data)
    scenario = user_of(folder, name)
    day = loaded_boat(folder / name) if name.startswith("boats/") else None
    story = loaded(scenario)
    counts["refused" if story is None else "loaded"] += 1
    assert not (spoilt.must_refuse and story), "a key that no table knows was taken"
    assert not (spoilt.must_refuse and day), "a key that no table knows was taken in a boat"
    if story is not None and chance.randrange(RUN_ONE_IN) == 0:
        plan = story.plan_names[0]
        counts[ran(story.for_plan(plan), plan).verdict.outcome.kind] += 1


def check_cases(folder: Path, name: str, cases: int) -> None:
    counts: Counter[str] = Counter()
    for number in range(cases):
        try:
            check_case(folder, name, number, counts)
        except BaseException as error:
            error.add_note(f"case {number} of {name}")
            raise
    print(f"{name}: {dict(counts)}")
    assert counts["loaded"] > cases // 10, "the mutations are too rough to tell anything of what loads"
    assert counts["refused"] > cases // 10, "the mutations are too gentle"


@pytest.mark.parametrize("name", FILES)
def test_spoilt_text(name: str, folder: Path) -> None:
    check_cases(folder, name, FEW)


@pytest.mark.long
@pytest.mark.parametrize("name", FILES)
def test_much_spoilt_text(name: str, folder: Path) -> None:
    check_cases(folder, name, MANY)
