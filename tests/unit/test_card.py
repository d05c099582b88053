"""The boathouse card: stores add up, marks are worded, nothing is wider than the terminal, names are text."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
import synthetic
from rich.cells import cell_len

from halfglass import cli
from halfglass.report.card_page import CAUTIONS, card_html, card_text, minutes
from halfglass.report.terminal import CAUTION
from halfglass.result.card import After, AtSpeed, FailureRow, FailureTable
from halfglass.result.loading import loading
from halfglass.result.records import Outing
from halfglass.result.route import stops

BURNER = Path(__file__).parents[2] / "scenarios" / "03-burner-boat.toml"
NASTY = "<img src=x onerror=alert(1)> & $x_1$"


def made_up(plan: str = "hand pump", holds: bool = True) -> Outing:
    """A made-up day with the totals the card reads."""
    day = synthetic.outing(plan, holds=holds)
    totals = {"fuel_used_kg": 31.0, "fuel_taken_kg": 4.0, "lake_water_taken_kg": 12.0}
    return replace(day, totals={**day.totals, **totals})


def table() -> FailureTable:
    after = (After(1325.0, 2650.0, None, None, 2650.0), After(59.0, 119.0, 0.0, None, 7200.0))
    speeds = (AtSpeed("slow", 0.2, 2.0, 0.01, 10.0, 20.0), AtSpeed("cruising", 0.4, 3.0, 0.02, 10.0, 20.0))
    rows = (FailureRow("Pump stopped", "Nothing feeds.", True, True, after),)
    return FailureTable(0.5, 5.0e5, 7200.0, 0.2, speeds, rows, ("Assumed thus.",))


def test_minutes_are_rounded_down_and_what_never_came_is_said() -> None:
    shown, (slow, cruising) = table(), table().rows[0].after
    assert [minutes(slow, mark, shown) for mark in ("quarter", "bottom_nut")] == ["22", "44"]
    assert minutes(slow, "no_steaming", shown) == "–"
    assert [minutes(cruising, mark, shown) for mark in ("quarter", "bottom_nut")] == ["under 1", "1"]
    assert minutes(cruising, "no_reversing", shown) == "already"
    assert minutes(cruising, "no_steaming", shown) == "over 120"


def test_fuel_to_load_is_what_was_drawn_down_and_the_reserve() -> None:
    day = made_up()
    load = loading(day)
    lowest = float(day.timeline["fuel_on_board"].min())
    assert load.fuel_to_load == pytest.approx(day.marks.fuel_capacity - lowest + day.marks.fuel_reserve)
    assert 0.0 < load.fuel_spread < load.fuel_used
    assert f"{load.fuel_to_load:.1f} kg" in card_text(day, table(), 110)


@pytest.mark.parametrize("width", [24, 40, 60, 80, 200])
def test_no_line_is_wider_than_the_terminal(width: int) -> None:
    text = card_text(made_up(NASTY, holds=False), table(), width)
    assert max(cell_len(line) for line in text.splitlines()) <= min(width, 110)


def test_text_and_page_say_the_same_and_carry_the_cautions() -> None:
    day = made_up()
    text, page = card_text(day, table(), 110), card_html(day, table())
    for part in (*(stop.place for stop in stops(day)), "give or take 20 %", "Pump stopped", "Nothing feeds."):
        assert part in text and part in page
    assert CAUTION in CAUTIONS
    assert all(line.split(":")[0] in text for line in CAUTIONS)
    assert page.count("<p>Model estimate, not operating instruction.") == 1


def test_page_is_whole_offline_and_the_same_every_time() -> None:
    page = card_html(made_up(NASTY), table())
    assert page == card_html(made_up(NASTY), table())
    assert "<img" not in page and "<script" not in page and "<link" not in page
    assert page.count("http") == page.count("http://www.w3.org/")


def test_a_day_that_broke_off_says_so() -> None:
    text = card_text(made_up(holds=False), table(), 110)
    assert "did not run to its end" in text
    assert "did not run to its end" not in card_text(made_up(), table(), 110)


def test_the_command_prints_the_card_and_writes_the_page(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    page = tmp_path / "card.html"
    with pytest.raises(SystemExit) as left:
        cli.main(["card", str(BURNER), "--out", str(page), "--units", "trade"])
    told = capsys.readouterr()
    assert left.value.code == 0
    assert "Burner out" in told.out and "psi" in told.out and " bar" not in told.out
    assert f"card: {page}" in told.err
    assert "Burner out" in page.read_text(encoding="utf-8")


def test_the_command_refuses_a_plan_it_has_not(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        cli.main(["card", str(BURNER), "--plan", "no such"])
    assert left.value.code == 2
    assert "no plan 'no such'" in capsys.readouterr().err
