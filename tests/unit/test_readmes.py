"""What the READMEs show is true: the example scenario loads, the links lead somewhere."""

from __future__ import annotations

import re
import shutil
from pathlib import Path
from typing import Any

import pytest

from halfglass.scenario.boat import Boat
from halfglass.scenario.day_models import Scenario
from halfglass.scenario.key_facts import facts
from halfglass.scenario.load import load
from halfglass.scenario.schema import all_tables, json_schema
from halfglass.scenario.schema_text import reference, with_reference

ROOT = Path(__file__).parents[2]
FOLDERS = ("sim", "scenarios", "tests", "reports")
READMES = [*ROOT.glob("*.md"), *(ROOT / folder / "README.md" for folder in FOLDERS)]


def test_example_scenario_loads(tmp_path: Path) -> None:
    text = (ROOT / "scenarios" / "README.md").read_text(encoding="utf-8")
    example = re.search(r"```toml\n(.*?)```", text, re.DOTALL)
    assert example is not None
    shutil.copytree(ROOT / "scenarios" / "boats", tmp_path / "boats")
    path = tmp_path / "example.toml"
    path.write_text(example.group(1), encoding="utf-8")
    story = load(path)
    assert story.plan_names == ("as written", "a friend comes too")
    assert story.for_plan("a friend comes too").crew.hands == 2


def test_every_shipped_scenario_is_listed() -> None:
    text = (ROOT / "scenarios" / "README.md").read_text(encoding="utf-8")
    missing = [path.name for path in (ROOT / "scenarios").glob("*.toml") if f"`{path.name}`" not in text]
    assert missing == []


@pytest.mark.parametrize("readme", READMES, ids=lambda path: str(path.relative_to(ROOT)))
def test_links_lead_somewhere(readme: Path) -> None:
    links = re.findall(r"\]\(([^)#:]+)\)", readme.read_text(encoding="utf-8"))
    assert [link for link in links if not (readme.parent / link).exists()] == []


def snippets() -> list[str]:
    text = (ROOT / "scenarios" / "README.md").read_text(encoding="utf-8")
    return re.findall(r"```toml\n(.*?)```", text, re.DOTALL)


def test_every_piece_of_the_tutorial_is_a_day_together(tmp_path: Path) -> None:
    """The whole scenario with leg, lock, moves, night, own order and plan shown after it."""
    whole, river, night, by_hand, order, plan, hull = snippets()
    lunch = '[[route]]\nstep = "lie"\nname = "lunch"\nfor = "30 min"\n\n'
    end = '[[route]]\nstep = "shut down"\n'
    assert end in whole
    day = whole.replace(end, lunch + river + by_hand + night + end) + order + plan
    shutil.copytree(ROOT / "scenarios" / "boats", tmp_path / "boats")
    boat = (tmp_path / "boats" / "sedge.toml").read_text(encoding="utf-8")
    start, after = boat.index("[hull]"), boat.index("[exhaust]")
    (tmp_path / "boats" / "sedge.toml").write_text(
        boat[:start] + hull + "\n" + boat[after:], encoding="utf-8"
    )
    (tmp_path / "day.toml").write_text(day, encoding="utf-8")
    story = load(tmp_path / "day.toml")
    planned = story.for_plan("no lunch, water from the lake")
    assert [step.name for step in planned.route if step.name] == ["up river"]
    assert "take on water" in [step.step for step in planned.route]
    assert [one.name for one in planned.order] == ["bale when low", "damper in before the valves lift"]
    assert [one.kind for one in planned.fault] == ["engine pump stops delivering", "clinkered grate"]
    assert (story.base.nights, planned.crew.hands, len(story.base.boat.hull.measured)) == (1, 2, 2)


def test_the_reference_is_what_the_tables_say_now() -> None:
    text = (ROOT / "scenarios" / "README.md").read_text(encoding="utf-8")
    assert with_reference(text) == text, "run: python -m halfglass.scenario.schema_text scenarios/README.md"


@pytest.fixture(scope="module")
def language() -> tuple[str, dict[str, Any]]:
    """Reference and schema, written once."""
    return reference(), json_schema()


@pytest.mark.parametrize("table", [*all_tables(Scenario)], ids=lambda table: table.__name__)
def test_every_key_is_told_in_reference_and_schema(table: type, language: tuple[str, dict[str, Any]]) -> None:
    text, schema = language
    keys = schema["properties"] if table is Scenario else schema["$defs"][table.__name__]["properties"]
    assert {fact.key for fact in facts(table)} == set(keys)
    for fact in facts(table):
        assert fact.effect, f"{table.__name__}.{fact.key} says nothing of what it does"
        told = keys[fact.key]["description"]
        if fact.key not in ("kind", "step"):
            assert f"| `{fact.key}` | {fact.rule} |" in text
        if not fact.tables:
            assert fact.rule[1:] in told and fact.told_default in told
        if fact.default:
            assert fact.default in told
    assert Boat in set(all_tables(Scenario))
