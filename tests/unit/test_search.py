"""Where boats and scenarios are looked for, in which order, and what is said when there is none."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from halfglass.scenario.load import load
from halfglass.scenario.search import SHIPPED, find_boat, find_log, find_scenario, sample_boats
from halfglass.vocabulary.errors import ScenarioError

SCENARIOS = Path(__file__).parents[2] / "scenarios"
LAKE = "01-quiet-lake-day.toml"


@pytest.fixture
def shelf(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of HALFGLASS_PATH, with the current folder beside it, both empty."""
    for name in ("here", "shelf"):
        (tmp_path / name).mkdir()
    monkeypatch.chdir(tmp_path / "here")
    monkeypatch.setenv(
        "HALFGLASS_PATH", os.pathsep.join([str(tmp_path / "none"), "", str(tmp_path / "shelf")])
    )
    return tmp_path / "shelf"


def put(path: Path) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(path.as_posix(), encoding="utf-8")
    return path


def test_a_boat_is_found_in_the_nearest_place(shelf: Path) -> None:
    places = [
        shelf / "boats" / "teal.toml",
        shelf / "teal.toml",
        Path("days/boats/teal.toml"),
        Path("days/teal.toml"),
    ]
    sample, _ = find_boat("teal", Path("days/day.toml"))
    assert sample is not None and sample.parent.name == "boats" and "templates" in sample.parts
    for place in places:  # from the furthest to the nearest
        put(place)
        for name in ("teal", "teal.toml"):
            assert find_boat(name, Path("days/day.toml")) == (place, "")


def test_a_path_is_taken_from_the_scenario_and_a_dot_goes_nowhere_else(shelf: Path) -> None:
    put(shelf / "fleet" / "a.toml")
    put(Path("b.toml"))
    Path("days").mkdir()
    assert find_boat("fleet/a", Path("days/day.toml"))[0] == shelf / "fleet" / "a.toml"
    assert find_boat("../b.toml", Path("days/day.toml"))[0] == Path("days/../b.toml")
    assert find_boat("./teal", Path("days/day.toml"))[0] is None
    absolute = str((shelf / "fleet" / "a.toml").resolve())
    assert find_boat(absolute, Path("days/day.toml"))[0] == Path(absolute)


def test_a_missing_boat_is_told_with_every_place(shelf: Path) -> None:
    put(shelf / "boats" / "heron.toml")
    found, said = find_boat("herron", Path("days/day.toml"))
    assert found is None
    assert said.startswith("there is no such file; did you mean 'heron'?")
    for place in ("days", "days/boats", shelf, shelf / "boats"):
        assert f"'{place}'" in said
    assert said.endswith("the boats that come with halfglass")


def test_a_scenario_is_found_in_the_nearest_place(shelf: Path) -> None:
    places = [shelf / "quiet.toml", Path("scenarios/quiet.toml"), Path("quiet.toml")]
    for place in places:
        put(place)
        assert find_scenario("quiet") == place
    assert find_scenario("quiet.toml") == Path("quiet.toml")
    assert find_scenario("elsewhere/quiet.toml") == Path("elsewhere/quiet.toml")


def test_a_missing_scenario_is_told_with_every_place(shelf: Path) -> None:
    put(shelf / "quiet.toml")
    with pytest.raises(ScenarioError) as caught:
        find_scenario("quite")
    said = caught.value.render()
    assert said.startswith("quite: there is no such file; did you mean 'quiet'? Looked in '.', 'scenarios', ")
    assert said.endswith(f"'{shelf}', the days that come with halfglass")


def test_without_folders_of_ones_own_they_are_offered(shelf: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("HALFGLASS_PATH")
    with pytest.raises(ScenarioError) as caught:
        find_scenario("quiet")
    told = caught.value.render()
    assert told == (
        "quiet: there is no such file. Looked in '.', 'scenarios', the days that come with halfglass; "
        "HALFGLASS_PATH may name more folders"
    )


@pytest.mark.parametrize("name", ["01-quiet-lake-day", "01-quiet-lake-day.toml"])
def test_a_shipped_day_is_found_by_name_from_anywhere(shelf: Path, name: str) -> None:
    """What is told of it does not depend on where the program is installed."""
    story = load(name)
    assert list(story.files) == ["halfglass/01-quiet-lake-day.toml", "halfglass/boats/sedge.toml"]
    assert story.file == name
    own = load(SCENARIOS / LAKE)
    assert [*story.files.values()] == [*own.files.values()] and story.days == own.days
    assert list(own.files) == [str(SCENARIOS / LAKE), str(SCENARIOS / "boats" / "sedge.toml")]


def test_a_day_of_ones_own_may_name_a_shipped_boat(shelf: Path) -> None:
    text = (SCENARIOS / LAKE).read_text(encoding="utf-8")
    Path("day.toml").write_text(text, encoding="utf-8")
    story = load("day.toml")
    assert list(story.files) == ["day.toml", "halfglass/boats/sedge.toml"]
    assert story.days == load(SCENARIOS / LAKE).days


def test_a_day_of_ones_own_hides_the_shipped_one(shelf: Path) -> None:
    put(shelf / LAKE)
    assert find_scenario("01-quiet-lake-day") == shelf / LAKE


def test_a_mistyped_shipped_day_is_told_the_nearest(shelf: Path) -> None:
    with pytest.raises(ScenarioError, match="did you mean '03-burner-boat'"):
        find_scenario("03-burner-boats")


def test_a_log_is_found_where_its_path_leads_or_beside_the_scenario(shelf: Path) -> None:
    shipped = find_log("sedge-quiet-lake-day.csv", "01-quiet-lake-day")
    assert shipped == SHIPPED / "logs" / "sedge-quiet-lake-day.csv" and shipped.is_file()
    places = [shelf / "logs" / "mine.csv", shelf / "mine.csv", Path("mine.csv")]
    put(shelf / "day.toml")
    for place in places:
        put(place)
        assert find_log("mine.csv", "day") == place
    assert find_log("none.csv", "day") == Path("none.csv")


@pytest.mark.parametrize("name", ["x" * 5000, "a\x00b", ".", "..", "boats", ""])
def test_names_that_are_no_files_are_refused_at_their_place(name: str, tmp_path: Path) -> None:
    folder = Path(shutil.copytree(SCENARIOS, tmp_path / "scenarios"))
    text = (folder / LAKE).read_text(encoding="utf-8")
    shown = name[:900].replace("\x00", "\\u0000")
    (folder / LAKE).write_text(text.replace("boats/sedge.toml", shown), encoding="utf-8")
    with pytest.raises(ScenarioError) as caught:
        load(folder / LAKE)
    (fault,) = caught.value.faults
    assert fault.key == "boat" and fault.source_line.startswith("boat = ")


@pytest.mark.parametrize("name", sample_boats())
def test_a_sample_boat_is_shown_by_the_same_name_everywhere(name: str, tmp_path: Path) -> None:
    text = (SCENARIOS / LAKE).read_text(encoding="utf-8")
    text = (
        text.replace("boats/sedge.toml", name).replace('"78 psi"', '"70 psi"').replace('"70 psi"', '"60 psi"')
    )
    (tmp_path / "day.toml").write_text(text, encoding="utf-8")
    story = load(tmp_path / "day.toml")
    assert f"halfglass/boats/{name}.toml" in story.files
    assert story.base.boat.name.lower() == name
    assert "nvented" in (story.base.boat.about or "")
