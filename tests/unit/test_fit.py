"""`fit`: the hidden numbers of the shipped log are found again, and what it does not tell is said so.

One fit of the shipped log (half a minute) serves all that looks at an answer.
"""

from __future__ import annotations

import json
import tomllib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

import halfglass
from halfglass import study_commands
from halfglass.cli import commands
from halfglass.report.fit_page import render
from halfglass.report.fit_text import fit_text
from halfglass.result.fitted import FitResult, as_object
from halfglass.scenario.boat_alone import load_boat
from halfglass.scenario.load import Story, load
from halfglass.study import fit as study
from halfglass.study.fit_numbers import NUMBERS, numbers_of, with_numbers
from halfglass.study.invented_log import HIDDEN, SEED, invented_log
from halfglass.study.owner_log import parse_log
from halfglass.vocabulary import units
from halfglass.vocabulary.errors import ScenarioError

SCENARIOS = Path(__file__).parents[2] / "scenarios"
QUIET, LOG = SCENARIOS / "01-quiet-lake-day.toml", SCENARIOS / "logs" / "sedge-quiet-lake-day.csv"
SEDGE = SCENARIOS / "boats" / "sedge.toml"


@pytest.fixture(scope="module")
def story() -> Story:
    return load(QUIET)


@pytest.fixture(scope="module")
def result(story: Story) -> FitResult:
    return halfglass.fit(story, LOG)


def test_the_shipped_log_is_what_its_module_invents(story: Story) -> None:
    assert LOG.read_text(encoding="utf-8") == invented_log(story.base, HIDDEN, SEED)


def test_hidden_numbers_lie_within_their_intervals(story: Story, result: FitResult) -> None:
    """Nine of ten would do for one log in the long run; of this one, all are."""
    written = {one.number.key: one.written for one in numbers_of(story.base, {})}
    assert set(HIDDEN) <= set(written)
    for one in result.numbers:
        true = HIDDEN.get(one.key, written[one.key])
        assert one.low <= true <= one.high, one.key
    told = {one.key: one for one in result.numbers if one.is_told}
    for key in ("boat.fire.ash_pit_opening", "boat.engine.throttle", "boat.feed.engine_pump.delivery"):
        one = told[key]
        assert not one.low <= one.written <= one.high, f"{key}: what the file says is ruled out"
        assert abs(one.value - HIDDEN[key]) < 0.5 * abs(one.written - HIDDEN[key])


def test_what_the_log_does_not_tell_is_said(result: FitResult) -> None:
    untold = {one.key: one.why for one in result.numbers if not one.is_told}
    assert untold["boat.feed.hand_pump.delivery"] == "nothing in this log depends on it"
    assert "boat.engine.friction" in untold
    for one in result.numbers:
        assert one.is_told or one.value == pytest.approx(one.written, rel=1e-9)


def test_the_part_held_back_is_better_met(result: FitResult) -> None:
    assert result.overall("after", True) < 0.5 * result.overall("before", True)
    for one in result.series:
        assert one.is_held.sum() >= 5
        assert not (one.is_held & one.is_fitted).any()
        assert one.time[one.is_held].min() >= result.held_from > one.time[one.is_fitted].max()
        assert one.miss("after", True) < one.miss("before", True), one.quantity


def test_the_new_boat_file_is_the_owners_with_new_numbers(result: FitResult, tmp_path: Path) -> None:
    (tmp_path / result.boat_name).write_text(result.boat, encoding="utf-8")
    load_boat(tmp_path / result.boat_name)
    before, after = tomllib.loads(SEDGE.read_text(encoding="utf-8")), tomllib.loads(result.boat)
    for one in result.numbers:
        old, new = before, after
        for part in one.key.split(".")[1:]:
            old, new = old.get(part, {}), new.get(part, {})
        if one.is_told:
            in_si = units.parse(new, _kind(one.key)) if isinstance(new, str) else new
            assert in_si == pytest.approx(one.value, rel=5e-3), one.key
        else:
            assert new == old, one.key
    kept = [line for line in SEDGE.read_text(encoding="utf-8").splitlines() if line.startswith("#")]
    assert all(line in result.boat for line in kept)
    assert result.boat.startswith(
        "# A copy of sedge.toml, fitted by `halfglass fit` to sedge-quiet-lake-day.csv"
    )


def _kind(key: str) -> str:
    return "fraction" if key.endswith(("delivery", "over_fire_opening", "diagram_factor")) else "area"


def test_the_answer_in_words_on_the_page_and_as_an_object(result: FitResult) -> None:
    words, page = fit_text(result, 80), render(result)
    assert max(map(len, words.splitlines())) <= 80
    assert "Not identifiable from this log" in words and "bears the fit out" in words
    for told in ("Model estimate, not operating instruction", "held back", "feed.engine_pump.delivery"):
        assert told in words.replace("\n", " ") or told in page
    assert "Boilers are governed by local law and codes" in page
    assert page == render(result)
    found = json.loads(json.dumps(as_object(result), allow_nan=False))
    assert found["schema_version"] == 1
    assert {one["key"] for one in found["numbers"]} == {one.key for one in result.numbers}
    assert len(found["identifiability"]["singular_values"]) == len(result.numbers)
    correlation = np.array(found["identifiability"]["correlation"])
    assert np.allclose(np.diag(correlation), 1.0) and np.allclose(correlation, correlation.T)


def test_a_fit_that_does_not_hold_is_not_recommended(result: FitResult) -> None:
    worse = tuple(replace(one, before=one.after, after=one.before) for one in result.series)
    assert "Do not use the fitted boat" in fit_text(replace(result, series=worse), 200)


def test_the_command_writes_once_and_never_over(
    result: FitResult, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(study, "fit", lambda *_: result)
    monkeypatch.setattr(study_commands, "prepare", lambda: None)
    arguments = ["fit", str(QUIET), str(LOG), "--out", str(tmp_path / "out")]
    first = CliRunner().invoke(commands, arguments)
    assert first.exit_code == 0, first.output
    assert "Told by the log" in first.stdout
    assert {path.name for path in (tmp_path / "out").iterdir()} == {"report.html", "sedge-fitted.toml"}
    again = CliRunner().invoke(commands, arguments)
    assert again.exit_code == 2
    assert "is there already" in again.output
    elsewhere = CliRunner().invoke(commands, [*arguments[:-1], str(tmp_path / "json"), "--json"])
    assert json.loads(elsewhere.stdout)["boat_file"] == "sedge-fitted.toml"


def test_a_faulty_log_is_refused_before_any_work(tmp_path: Path) -> None:
    (tmp_path / "log.csv").write_text("clock,presure [bar]\n08:15,5\n", encoding="utf-8")
    story = load(QUIET)
    with pytest.raises(ScenarioError, match="no column is called 'presure'"):
        halfglass.fit(story, tmp_path / "log.csv")


def test_too_short_a_log_and_a_boat_without_a_file_are_refused(story: Story, tmp_path: Path) -> None:
    log = parse_log(b"clock,glass_fraction [%]\n08:15,50\n09:15,60\n", "log.csv", story.base.light_up)
    with pytest.raises(study.NothingToFitError, match="fewer than 8 readings"):
        study.fit(story, log)
    inline = QUIET.read_text(encoding="utf-8").replace('boat = "boats/sedge.toml"\n', "")
    boat = SEDGE.read_text(encoding="utf-8").replace("[[safety_valve]]", "[[boat.safety_valve]]")
    for table in ("boiler", "chimney", "fire", "engine", "lubricator", "propeller", "hull", "exhaust"):
        boat = boat.replace(f"[{table}]", f"[boat.{table}]")
    (tmp_path / "day.toml").write_text(inline + "\n[boat]\n" + boat.replace("[feed.", "[boat.feed."))
    with pytest.raises(study.NothingToFitError, match="put it into a boat file"):
        study.fit(load(tmp_path / "day.toml"), log)


def test_numbers_are_those_a_boat_has(story: Story) -> None:
    burner = load(SCENARIOS / "03-burner-boat.toml").base
    coal = {one.number.key for one in numbers_of(story.base, {})}
    paraffin = {one.number.key for one in numbers_of(burner, {})}
    assert "boat.burner.fuel_rate" in paraffin - coal
    assert "boat.fire.ash_pit_opening" in coal - paraffin
    assert coal | paraffin == {number.key for number in NUMBERS}


def test_scaling_goes_there_and_back(story: Story) -> None:
    numbers = numbers_of(story.base, {"boiler": {"lagging": "0.5 Btu/h ft2 °F"}})
    for one in numbers:
        assert one.value(0.0) == pytest.approx(one.written)
        assert one.z(one.value(1.3)) == pytest.approx(1.3)
        assert one.value(3.0) < 1.0 or one.number.scale == "size"
    assert next(one for one in numbers if one.number.key == "boat.boiler.lagging").unit == "Btu/h ft2 °F"
    moved = with_numbers(story.base, numbers, [1.0] * len(numbers))
    assert moved.boat.engine.throttle > story.base.boat.engine.throttle
