"""The report in a real browser: from disk, offline, with and without script, on screen and on paper."""

from __future__ import annotations

import csv
import re
from pathlib import Path
from typing import Any

import pytest
import synthetic
from opening import NASTY, barriers, crowded, hairs, opened, overlapping, too_wide

from halfglass import load, run
from halfglass.report import write_report
from halfglass.report.page import PRINTED_LINES
from halfglass.result.records import Outing
from halfglass.result.timeline import write_csv

SHIPPED = sorted((Path(__file__).parents[2] / "scenarios").glob("*.toml"))
NEAR = 90.0  # [s] the drawn row nearest to the cursor is within a stretch of what was thinned


def days() -> dict[str, list[Outing]]:
    """The made-up days the reports are of."""
    return {
        "one": [synthetic.outing()],
        "days": [synthetic.outing(hours=60.0)],
        "several": [synthetic.outing(NASTY), synthetic.outing("nobody " + "verylong" * 30, holds=False)],
    }


@pytest.fixture(scope="module")
def reports(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("reports")
    for name, outings in days().items():
        write_report(outings, folder / f"{name}.html")
    assert (folder / "one.html").stat().st_size < 1_500_000  # ten hours
    return {name: folder / f"{name}.html" for name in days()}


@pytest.mark.parametrize("name", ["one", "several"])
@pytest.mark.parametrize("width", [1280, 768, 400])
def test_opens_offline_with_a_clean_console_and_nothing_overflows(
    browser: Any, reports: dict[str, Path], name: str, width: int
) -> None:
    page, complaints = opened(browser, reports[name], width)
    assert complaints == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert too_wide(page, width) == []


def test_markup_in_a_name_is_text(browser: Any, reports: dict[str, Path]) -> None:
    page, _ = opened(browser, reports["several"])
    assert page.title() != "caught"
    assert page.locator("main b:not(.readout b)").count() == 0
    assert page.locator("script").count() == 2
    assert page.get_by_text(NASTY, exact=True).count() >= 1


@pytest.mark.parametrize("name", ["several", "days"])
@pytest.mark.parametrize("width", [1280, 400])
def test_words_in_a_picture_do_not_overlap(
    browser: Any, reports: dict[str, Path], name: str, width: int
) -> None:
    page, _ = opened(browser, reports[name], width, script=False)
    assert overlapping(page, "figure svg") == []
    live, _ = opened(browser, reports[name], width)
    assert crowded(live) == []


def test_without_script_the_whole_answer_is_there(browser: Any, reports: dict[str, Path]) -> None:
    page, _ = opened(browser, reports["one"], script=False)
    text = page.inner_text("main")
    for part in ("The plan holds the water", "What became critical", "Boiler pressure", "Ledger", "Cautions"):
        assert part in text
    assert page.locator("figure svg:visible").count() == 10
    lines = page.locator(".log tbody tr:visible")
    assert lines.count() == len(synthetic.outing().log)
    assert page.locator(".cursor-bar:visible, .chart:visible, .readout:visible, .hair:visible").count() == 0


def test_one_plan_prints_on_at_most_three_sheets_with_drawn_pictures(
    browser: Any, reports: dict[str, Path]
) -> None:
    page, _ = opened(browser, reports["one"])
    paper = page.pdf(prefer_css_page_size=True)
    assert 1 <= len(re.findall(rb"/Type\s*/Page\b", paper)) <= 3
    assert b"/Subtype /Image" not in paper


def sheets(browser: Any, outing: Outing, path: Path) -> int:
    """How many sheets of paper a day under one plan takes."""
    write_report([outing], path)
    page, _ = opened(browser, path)
    found = len(re.findall(rb"/Type\s*/Page\b", page.pdf(prefer_css_page_size=True)))
    page.close()
    return found


@pytest.mark.parametrize("day", [pytest.param(day, marks=[] if day.name[:2] == "07" else [pytest.mark.long])
                                 for day in SHIPPED], ids=lambda day: day.stem)  # fmt: skip
def test_every_plan_of_a_shipped_day_prints_on_three_sheets(browser: Any, day: Path, tmp_path: Path) -> None:
    story = load(day)
    outings = [run(story, name) for name in story.plan_names]
    assert all(1 <= sheets(browser, outing, tmp_path / "one.html") <= 3 for outing in outings)


def test_paper_shows_all_of_the_log_it_has_room_for_whatever_the_filter(
    browser: Any, reports: dict[str, Path]
) -> None:
    page, _ = opened(browser, reports["one"])
    page.get_by_label("Text").fill("no line has this")
    assert page.locator(".log tbody tr:visible").count() == 0
    page.emulate_media(media="print")
    assert page.locator(".log tbody tr:visible").count() == PRINTED_LINES
    assert page.locator(".chart:visible, .hair:visible, .readout:visible").count() == 0
    assert page.locator("figure svg:visible").count() == 10


@pytest.mark.parametrize("name", ["one", "several"])
@pytest.mark.parametrize("width", [1280, 768, 400])
def test_the_cursor_moves_over_all_pictures_at_once(
    browser: Any, reports: dict[str, Path], name: str, width: int
) -> None:
    page, complaints = opened(browser, reports[name], width)
    plans = 1 if name == "one" else 2
    lines = 1 + 1 + 1 + 2 + 3 + 1 + plans * (1 + 2 + 1)  # glass and overlays, then each plan's own
    box = page.locator('[data-picture="fuel-a"] .u-over').bounding_box()
    page.mouse.move(0, 0)
    for share in (0.25, 0.7):
        page.locator('[data-picture="fuel-a"] .u-over').hover(position={"x": share * box["width"], "y": 20})
        found = hairs(page)
        assert len(found) == lines
        assert found == pytest.approx([share] * lines, abs=0.012)
    assert complaints == []


def test_arrow_keys_move_the_cursor(browser: Any, reports: dict[str, Path]) -> None:
    page, _ = opened(browser, reports["one"])
    at = page.locator(".cursor-bar output")
    page.evaluate("document.activeElement.blur()")
    page.locator("#cursor").fill("14400")  # four hours after 08:15
    assert at.inner_text() == "12:15"
    for key, time in (("ArrowRight", "12:16"), ("Shift+ArrowRight", "12:26"), ("ArrowLeft", "12:25")):
        page.keyboard.press(key)
        assert at.inner_text() == time
    assert "12:25. Glass" in page.locator("#cursor").get_attribute("aria-valuetext")


@pytest.mark.parametrize("name", ["one", "several"])
def test_numbers_at_the_cursor_are_those_of_the_timeline_file(
    browser: Any, reports: dict[str, Path], tmp_path: Path, name: str
) -> None:
    tables = []
    for outing in days()[name]:
        with write_csv(outing, tmp_path)[0].open(encoding="utf-8") as file:
            tables.append(list(csv.DictReader(file)))
    page, _ = opened(browser, reports[name])
    for time in (9000, 13200, 20400):
        page.locator("#cursor").fill(str(time))
        for reading in ("boiler_pressure", "fuel_on_board", "boat_speed", "distance", "hotwell_temperature"):
            told = page.locator(f'[data-reading="{reading}"] b').first.inner_text().split()
            numbers = [float(word) for word in told if not word.isalpha()]
            assert len(numbers) == len(tables)
            for number, table in zip(numbers, tables, strict=True):
                column = next(head for head in table[0] if head.startswith(f"{reading} ["))
                near = [row for row in table if abs(float(row["time [s]"]) - time) <= NEAR]
                assert any(float(f"{float(row[column]):.3g}") == pytest.approx(number) for row in near)


def test_the_log_can_be_sifted(browser: Any, reports: dict[str, Path]) -> None:
    page, _ = opened(browser, reports["one"])
    log = synthetic.outing().log
    rows, count = page.locator(".log tbody tr:visible"), page.locator(".filters p")
    assert count.inner_text() == f"{len(log)} of {len(log)} lines"
    page.get_by_label("Who").select_option("skipper")
    assert rows.count() == (log.who == "skipper").sum() == 2
    page.get_by_label("Who").select_option("all")
    page.get_by_label("About").select_option("fire")
    page.get_by_label("Text").fill("SHOVEL")
    assert rows.count() == log.text.str.contains("shovel").sum() > 10
    assert count.inner_text() == f"{rows.count()} of {len(log)} lines"


@pytest.mark.parametrize("name", ["one", "several"])
@pytest.mark.parametrize("width", [1280, 400])
def test_the_accessibility_checker_finds_nothing(
    browser: Any, reports: dict[str, Path], name: str, width: int
) -> None:
    page, _ = opened(browser, reports[name], width)
    assert barriers(page) == []


def test_every_box_that_scrolls_can_be_reached_by_keyboard(browser: Any, reports: dict[str, Path]) -> None:
    page, _ = opened(browser, reports["several"], 400)
    stuck = page.evaluate(
        """() => [...document.querySelectorAll('.scroll')]
           .filter(e => e.scrollWidth > e.clientWidth + 1 || e.scrollHeight > e.clientHeight + 1)
           .filter(e => e.tabIndex < 0).map(e => e.innerText.slice(0, 60))"""
    )
    assert stuck == []
