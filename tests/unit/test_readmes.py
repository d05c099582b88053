"""What the READMEs show is true: the example scenario loads, the links lead somewhere."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from halfglass.scenario.load import load

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
