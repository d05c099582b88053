"""The committed gallery: lists every shipped scenario, stays small, and is what the command makes."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from halfglass import gallery
from halfglass.scenario.load import load

ROOT = Path(__file__).parents[2]
SCENARIOS, GALLERY = ROOT / "scenarios", ROOT / "reports" / "gallery"
STEMS = sorted(path.stem for path in SCENARIOS.glob("*.toml"))
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
HAIR = 1.0
"""pt by which a line may lie elsewhere: plain and compiled equations differ by rounding."""
MOST = 6e6
"""Bytes of the whole gallery."""


PATH = re.compile(r'(?<=\sd=")[^"]*(?=")')


def reach(path: str) -> str:
    """How far a path reaches, in place of its points: which of them thinning keeps hangs on rounding."""
    points = [float(number) for number in NUMBER.findall(path)]
    return " ".join(f"{end(points[axis::2] or [0.0])}" for axis in (0, 1) for end in (min, max))


def same(kept: str, made: str) -> bool:
    """Whether two pictures have the same words and shapes, every number within a hair."""
    kept, made = (PATH.sub(lambda path: reach(path[0]), text) for text in (kept, made))
    if NUMBER.sub("#", kept) != NUMBER.sub("#", made):
        return False
    pairs = zip(NUMBER.findall(kept), NUMBER.findall(made), strict=True)
    return all(abs(float(a) - float(b)) <= HAIR for a, b in pairs)


def test_index_lists_every_shipped_scenario_with_its_pictures() -> None:
    text = (GALLERY / "README.md").read_text(encoding="utf-8")
    assert re.findall(r"`(\d\d-[a-z0-9-]+)\.toml`", text) == STEMS
    links = re.findall(r"\]\(([^)]+)\)", text)
    assert [link for link in links if not (GALLERY / link).exists()] == []
    kept = {path.name for path in GALLERY.iterdir()} - {"README.md"}
    assert kept == {link for link in links if link != "../README.md"}
    assert {*gallery.REPORTS, *gallery.CARDS, *(day for day, _ in gallery.STUDIES.values())} <= set(STEMS)


def test_gallery_stays_small() -> None:
    assert sum(path.stat().st_size for path in GALLERY.iterdir()) < MOST


@pytest.mark.parametrize("stem", ["03-burner-boat", "05-compound-and-vacuum"])
def test_kept_files_are_what_the_command_makes(stem: str, tmp_path: Path) -> None:
    story = load(SCENARIOS / f"{stem}.toml")
    outings = gallery.outings_of(story)
    made = gallery.write_day(stem, story, outings, tmp_path)
    assert len(made) == 2 + (stem in gallery.CARDS)
    for path in made:
        assert same((GALLERY / path.name).read_text(encoding="utf-8"), path.read_text(encoding="utf-8"))
    assert gallery.entry(stem, story, outings) in (GALLERY / "README.md").read_text(encoding="utf-8")


def test_a_picture_of_another_day_is_not_the_same() -> None:
    one, other = (
        (GALLERY / f"{stem}-route.svg").read_text(encoding="utf-8")
        for stem in ("03-burner-boat", "05-compound-and-vacuum")
    )
    assert same(one, one) and not same(one, other)


@pytest.mark.long
def test_the_whole_gallery_twice_gives_the_same_bytes(tmp_path: Path) -> None:
    first, again = (gallery.make(SCENARIOS, tmp_path / name) for name in ("first", "again"))
    assert [path.read_bytes() for path in first] == [path.read_bytes() for path in again]
    for path in first:
        if path.suffix != ".html" or "-card" in path.name:  # the others name versions of Python and libraries
            assert same((GALLERY / path.name).read_text("utf-8"), path.read_text("utf-8")), path.name
