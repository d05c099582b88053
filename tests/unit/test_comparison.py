"""Several outings side by side: the figures, the inputs, what the figures favour, page, terminal and JSON."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
import synthetic
from rich.cells import cell_len

from halfglass import cli, load, run
from halfglass.report.comparison_page import render, write_comparison
from halfglass.report.comparison_text import comparison_text
from halfglass.report.style import letter
from halfglass.result.comparison import Comparison, Row, as_object
from halfglass.result.records import Outcome, Outing
from halfglass.result.timeline import write_csv
from halfglass.study.advice import Member, advise, graver, unsound
from halfglass.study.comparison import compare
from halfglass.study.figures import level_within
from halfglass.study.input_differences import input_differences

SCENARIOS = Path(__file__).parents[2] / "scenarios"
PUMP = "02-engine-pump-stops"
NASTY = "<script>alert(1)</script> & <b>bold</b>"


@cache
def shipped(*names: str) -> Comparison:
    return compare(members(*names))


@cache
def members(*names: str) -> tuple[Member, ...]:
    stories = [load(SCENARIOS / f"{name}.toml") for name in names]
    pairs = [(story, plan) for story in stories for plan in story.plan_names]
    return tuple(
        Member(letter(i), run(story, plan), story.for_plan(plan)) for i, (story, plan) in enumerate(pairs)
    )


def made(*outings: Outing) -> list[Member]:
    day = load(SCENARIOS / "01-quiet-lake-day.toml").base
    return [Member(letter(i), outing, day) for i, outing in enumerate(outings)]


def row(comparison: Comparison, name: str) -> Row:
    return next(row for row in comparison.rows if row.name == name)


def with_total(outing: Outing, **totals: float) -> Outing:
    return replace(outing, totals={**outing.totals, **totals})


def test_figures_are_those_of_the_csv(tmp_path: Path) -> None:
    comparison = shipped(PUMP)
    for index, outing in enumerate(comparison.outings):
        table = csv.DictReader(write_csv(outing, tmp_path, f"p{index}")[0].read_text().splitlines())
        rows = list(table)
        fuel = float(rows[-1]["fuel_on_board [kg]"])
        assert row(comparison, "fuel left").cells[index].text == f"{fuel:.1f} kg"
        lowest = min(float(line["glass_fraction [%]"]) for line in rows) / 100.0
        assert row(comparison, "lowest glass").cells[index].value == pytest.approx(lowest, abs=1e-6)
        way = [
            float(line["boiler_pressure [bar gauge]"])
            for line in rows
            if float(line["boat_speed [kn]"]) > 0.5
        ]
        told = row(comparison, "lowest pressure under way").cells[index].value
        assert told is not None and told / 1e5 == pytest.approx(min(way), abs=0.005)


def test_every_plan_has_its_critical_times_and_what_is_missing_is_said() -> None:
    comparison = shipped(PUMP)
    lost = row(comparison, "danger: water: out of sight below the bottom nut")
    for cell, outing in zip(lost.cells, comparison.outings, strict=True):
        found = [i for i in outing.verdict.critical if i.item == "out of sight below the bottom nut"]
        assert cell.value == (found[0].first_at if found else None)
        assert cell.text.startswith("first" if found else "not crossed: ")
    assert "53 min after the fault" in lost.cells[0].text
    assert [c.text for c in row(comparison, "act: feed: no working source").cells][1] == "did not happen"
    assert row(comparison, "Boathouse").cells[3].text == "not reached"
    assert lost.difference == "differs"
    assert row(comparison, "late for a look").difference == "same"


def test_a_difference_within_the_uncertainty_is_level() -> None:
    outing = synthetic.outing()
    within = level_within("glass_fraction", outing.marks)
    assert within == outing.marks.level_uncertainty / outing.marks.glass_length
    for shift, found in ((0.9 * within, "level"), (1.1 * within, "differs")):
        lower = outing.verdict.lowest_glass_fraction - shift
        other = replace(outing, verdict=replace(outing.verdict, lowest_glass_fraction=lower))
        assert row(compare(made(outing, other)), "lowest glass").difference == found


def test_inputs_that_differ_are_told_with_units_and_the_rest_is_not() -> None:
    told = {r.key: r.cells for r in shipped(PUMP).inputs}
    assert told == {
        "crew.hands": ("1", "1", "2", "1"),
        "orders.low_glass": ("hand pump on hot well", "injector", "hand pump on hot well", "none"),
        "orders.throttle_when_low": ("none given", "none given", "15 %", "none given"),
    }


def test_added_and_dropped_entries_and_whole_boats_are_told() -> None:
    told = {r.key: r.cells for r in shipped("07-two-days-and-two-locks").inputs}
    assert told["step take on fuel (2)"][1] == "not there"
    assert told["fault engine pump packing going"][:2] == ("not there", "not there")
    both = {r.key: r.cells for r in shipped("01-quiet-lake-day", "05-compound-and-vacuum").inputs}
    assert both["boat.name"] == ("Sedge", "Goosander")
    assert both["firing.working_pressure"] == ("5.38 bar", "8.27 bar")


def test_every_key_that_a_plan_changes_is_found() -> None:
    for path in sorted(SCENARIOS.glob("*.toml")):
        story = load(path)
        days = [story.base, *(story.for_plan(name) for name in story.plan_names)]
        keys = " ".join(r.key for r in input_differences(days))
        for plan in story.plans:
            for key in plan.change:
                assert key in keys or getattr(story.base, key) == getattr(story.for_plan(plan.name), key)


@pytest.mark.parametrize(
    ("scenario", "among", "recommended", "excluded"),
    [
        (PUMP, "ABCD", "B", "AD"),
        ("07-two-days-and-two-locks", "AB", "A", ""),
        ("08-lock-flight", "ABC", "AB", ""),
        ("13-false-glass", "ABC", "B", "AC"),
        ("14-visitors-at-the-steps", "BC", "C", ""),
    ],
)
def test_what_the_figures_favour_on_shipped_days(
    scenario: str, among: str, recommended: str, excluded: str
) -> None:
    advice = shipped(scenario).advice[0]
    assert "".join(advice.among) == among
    assert "".join(advice.recommended) == recommended
    assert "".join(advice.excluded) == excluded


def test_nothing_unsafe_is_ever_recommended() -> None:
    for path in sorted(SCENARIOS.glob("*.toml")):
        found = members(path.stem)
        for advice in advise(found):
            for member in found:
                verdict = member.outing.verdict
                is_unsafe = verdict.outcome.kind != "arrived" or any(
                    item.severity == "danger" for item in verdict.critical
                )
                if is_unsafe:
                    assert member.letter not in advice.recommended
                    assert member.letter not in advice.among or member.letter in advice.excluded


def test_days_with_other_faults_or_another_errand_are_not_weighed_against_each_other() -> None:
    (advice,) = shipped("01-quiet-lake-day", "05-compound-and-vacuum").advice
    assert advice.recommended == ()
    assert "nothing to choose" in advice.sentence
    apart = shipped("08-lock-flight").advice[1]
    assert (apart.among, apart.recommended) == (("D",), ())


def test_when_none_holds_the_water_none_is_recommended() -> None:
    (advice,) = advise(made(synthetic.outing("a", holds=False), synthetic.outing("b", holds=False)))
    assert advice.sentence == "None of A and B holds the water: none is recommended."
    assert advice.recommended == ()
    assert len(advice.reasons) == 2


@pytest.mark.parametrize("kind", ["gave up", "out of time", "low-water drill", "crown bare"])
def test_a_day_that_does_not_arrive_is_excluded(kind: str) -> None:
    outing = synthetic.outing()
    failed = replace(outing, verdict=replace(outing.verdict, outcome=Outcome(kind, 9.0, "")))
    assert unsound(outing) == ""
    assert kind in unsound(failed)


def test_a_glass_nearer_to_the_nut_than_the_model_can_tell_is_excluded() -> None:
    outing = synthetic.outing()
    near = 0.5 * level_within("glass_fraction", outing.marks)
    doubtful = replace(outing, verdict=replace(outing.verdict, lowest_glass_fraction=near))
    assert "within the model's error" in unsound(doubtful)


def test_sieves_are_taken_in_their_order_and_level_ones_pass_on() -> None:
    outing = synthetic.outing()
    thrifty = with_total(outing, fuel_used_kg=40.0, hand_pump_strokes=900.0)
    spendthrift = with_total(outing, fuel_used_kg=52.0, hand_pump_strokes=100.0)
    (advice,) = advise(made(spendthrift, thrifty))
    assert advice.recommended == ("B",)
    assert "burns 12 kg more steam coal" in " ".join(advice.reasons)
    assert "costs 800 strokes" in " ".join(advice.reasons)
    deeper = replace(spendthrift, verdict=replace(outing.verdict, lowest_glass_fraction=0.45))
    shallow = replace(thrifty, verdict=replace(outing.verdict, lowest_glass_fraction=0.30))
    (advice,) = advise(made(shallow, deeper))
    assert advice.recommended == ("B",)
    assert "keeps 15 % of the glass more at its lowest" in " ".join(advice.reasons)
    assert "costs 12 kg of steam coal" in " ".join(advice.reasons)
    (advice,) = advise(made(outing, outing))
    assert advice.recommended == ("A", "B")
    assert "level" in advice.sentence


def test_a_limit_missed_by_less_than_the_uncertainty_does_not_decide() -> None:
    (first, *_) = members("14-visitors-at-the-steps")
    item = next(i for i in first.outing.verdict.critical if i.severity == "act")
    for worst, counted in ((0.97, 0), (0.90, 1)):
        verdict = replace(first.outing.verdict, critical=(replace(item, worst=worst),))
        assert len(graver(replace(first, outing=replace(first.outing, verdict=verdict)))) == counted


def test_fuels_of_different_kinds_are_not_weighed() -> None:
    one, two = made(
        with_total(synthetic.outing(), fuel_used_kg=20.0), with_total(synthetic.outing(), fuel_used_kg=60.0)
    )
    wood = two.day.model_copy(update={"aboard": two.day.aboard.model_copy(update={"fuel": "wood"})})
    (advice,) = advise([one, replace(two, day=wood)])
    assert advice.recommended == ("A", "B")
    assert not any("20 kg" in reason or "40 kg" in reason for reason in advice.reasons)


@pytest.mark.parametrize("names", [(PUMP,), ("01-quiet-lake-day", "05-compound-and-vacuum")])
@pytest.mark.parametrize("width", [30, 60, 80, 132, 200])
def test_terminal_text_fits_the_width(names: tuple[str, ...], width: int) -> None:
    text = comparison_text(shipped(*names), width)
    assert max(cell_len(line) for line in text.splitlines()) <= width
    assert "Low water: act on the boat" in " ".join(text.split())
    assert shipped(*names).advice[0].sentence in " ".join(text.split())


def test_page_is_the_same_bytes_again_and_holds_every_figure() -> None:
    from html import escape

    comparison = shipped(PUMP)
    page = render(comparison)
    assert page == render(compare(members(PUMP)))
    for line in comparison.rows:
        for cell in line.cells:
            assert f"<td>{escape(cell.text).replace('&#x27;', '&#39;')}</td>" in page
    assert page.count("<script") == 2


def test_markup_in_names_is_escaped() -> None:
    page = render(compare(made(synthetic.outing(NASTY), synthetic.outing("plain"))))
    assert page.count("<script") == 2 and "<script>alert" not in page and "<b>" not in page
    assert "&lt;script&gt;" in page


def test_page_tells_every_input_that_differs() -> None:
    comparison = shipped(PUMP)
    page = render(comparison).replace("<wbr>", "")
    for line in comparison.inputs:
        cells = "".join(f"<td>{text}</td>" for text in line.cells)
        assert f'<th scope="row">{line.key}</th>{cells}' in page


def test_bands_of_one_boat_are_not_passed_off_as_those_of_another() -> None:
    other = synthetic.outing(working_pressure=9e5)
    note = "Marks and bands are those of A"
    assert note in render(compare(made(synthetic.outing(), other)))
    assert note not in render(compare(made(synthetic.outing(), synthetic.outing("b"))))


def test_json_is_versioned_and_holds_no_infinities() -> None:
    comparison = shipped(PUMP)
    found = json.loads(json.dumps(as_object(comparison, ("a", "b", "c", "d")), allow_nan=False))
    assert found["schema_version"] == 1
    assert [plan["letter"] for plan in found["plans"]] == list("ABCD")
    strokes = next(figure for figure in found["figures"] if figure["name"] == "strokes")
    assert strokes["values"] == [outing.totals["hand_pump_strokes"] for outing in comparison.outings]
    assert found["advice"][0]["recommended"] == ["B"]


def test_days_on_other_dates_lie_over_each_other_by_their_clocks(tmp_path: Path) -> None:
    later = synthetic.outing("later")
    moved = replace(later, marks=replace(later.marks, started=later.marks.started.replace(day=28)))
    write_comparison(compare(made(synthetic.outing(), moved)), tmp_path / "c.html")
    assert "day 2" not in (tmp_path / "c.html").read_text()


@pytest.fixture(autouse=True)
def in_a_folder_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def test_command_writes_page_and_tables(
    command: Callable[..., int], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    scenario = SCENARIOS / f"{PUMP}.toml"
    code = command(
        "compare", scenario, "--plan", "injector", "--plan", "feed left alone", "--out", "here", "--json"
    )
    assert code == 0
    found = json.loads(capsys.readouterr().out)
    assert [plan["plan"] for plan in found["plans"]] == ["injector", "feed left alone"]
    assert all((tmp_path / plan["timeline"]).exists() for plan in found["plans"])
    assert "feed left alone" in (tmp_path / "here" / "comparison.html").read_text()


def test_command_lays_two_scenarios_side_by_side_in_one_choice_of_units(
    command: Callable[..., int], capsys: pytest.CaptureFixture[str]
) -> None:
    days = [SCENARIOS / "01-quiet-lake-day.toml", SCENARIOS / "14-visitors-at-the-steps.toml"]
    assert (
        command("compare", *days, "--plan", "as written", "--plan", "straight back", "--units", "trade") == 0
    )
    text = capsys.readouterr().out
    assert "psi" in text and " bar" not in text


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["01-quiet-lake-day"], "nothing to compare it with"),
        ([PUMP, "--plan", "injektor"], "did you mean 'injector'?"),
        ([PUMP, "--plan", "injector"], "nothing to compare it with"),
        ([PUMP, "--units", "furlongs"], "--units:"),
    ],
)
def test_command_refuses_what_cannot_be_compared(
    command: Callable[..., int], capsys: pytest.CaptureFixture[str], arguments: list[str], said: str
) -> None:
    assert command("compare", SCENARIOS / f"{arguments[0]}.toml", *arguments[1:]) == cli.REFUSED
    assert said in capsys.readouterr().err
    assert not Path("reports").exists()
