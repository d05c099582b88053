"""Every shipped scenario under every one of its plans, run once for all golden tests."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from halfglass.day.outing import run
from halfglass.result.records import Outing
from halfglass.scenario.day_models import Scenario
from halfglass.scenario.load import Story, load

FOLDER = Path(__file__).parents[2] / "scenarios"
FILES = sorted(FOLDER.glob("*.toml"))


def pytest_addoption(parser: pytest.Parser) -> None:
    """The one way in which golden files are written: `pytest tests/golden --rewrite-days`."""
    parser.addoption(
        "--rewrite-days", action="store_true", default=False, help="write tests/golden/days/*.json anew"
    )


@cache
def story_of(path: Path) -> Story:
    """A shipped scenario, read once."""
    return load(path)


@cache
def outing_of(path: Path, plan: str) -> Outing:
    """What a shipped scenario comes to under a plan, seed 0."""
    story = story_of(path)
    return run(story.for_plan(plan), plan, 0, story.files)


def scenario_of(outing: Outing) -> Scenario:
    """The day behind an outing, as its plan has it; titles are unique among the shipped days."""
    (story,) = (story for story in map(story_of, FILES) if story.base.title == outing.marks.title)
    return story.for_plan(outing.marks.plan_name)


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """A test that asks for `outing` runs for every plan; one with `pump_plan` for those of scenario 02."""
    if "outing" in metafunc.fixturenames:
        cases = [(path, plan) for path in FILES for plan in story_of(path).plan_names]
        names = [f"{path.stem}, {plan}" for path, plan in cases]
        metafunc.parametrize("outing", cases, indirect=True, ids=names)
    if "pump_plan" in metafunc.fixturenames:
        metafunc.parametrize("pump_plan", story_of(shipped_file("02")).plan_names)


def shipped_file(number: str) -> Path:
    """The scenario file whose name begins with a number."""
    (path,) = FOLDER.glob(f"{number}-*.toml")
    return path


@pytest.fixture
def outing(request: pytest.FixtureRequest) -> Outing:
    """One shipped outing."""
    return outing_of(*request.param)


@pytest.fixture
def shipped() -> Callable[..., Outing]:
    """A function giving the outing of a scenario by number, and by plan where it has several."""

    def give(number: str, plan: str | None = None) -> Outing:
        path = shipped_file(number)
        return outing_of(path, story_of(path).plan_names[0] if plan is None else plan)

    return give


@pytest.fixture
def story() -> Callable[[str], Story]:
    """A function giving a shipped scenario by number."""
    return lambda number: story_of(shipped_file(number))
