"""The comparison in a real browser: from disk, offline, with and without script, wide and narrow."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import synthetic
from opening import NASTY, barriers, crowded, hairs, opened, overlapping, too_wide

from halfglass import load
from halfglass.report.comparison_page import write_comparison
from halfglass.study.advice import Member
from halfglass.study.comparison import compare

DAY = Path(__file__).parents[2] / "scenarios" / "01-quiet-lake-day.toml"


@pytest.fixture(scope="module")
def page_path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    day = load(DAY).base
    outings = [synthetic.outing(NASTY), synthetic.outing("nobody " + "verylong" * 30, holds=False)]
    outings.append(synthetic.outing("by the lake"))
    path = tmp_path_factory.mktemp("compared") / "comparison.html"
    write_comparison(compare([Member("ABC"[i], o, day) for i, o in enumerate(outings)]), path)
    return path


@pytest.mark.parametrize("width", [1280, 768, 400])
def test_opens_offline_with_a_clean_console_and_nothing_overflows(
    browser: Any, page_path: Path, width: int
) -> None:
    page, complaints = opened(browser, page_path, width)
    assert complaints == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert too_wide(page, width) == []


def test_markup_in_a_name_is_text(browser: Any, page_path: Path) -> None:
    page, _ = opened(browser, page_path)
    assert page.title() != "caught"
    assert page.locator("b:not(.readout b)").count() == 0
    assert page.locator("script").count() == 2
    assert page.get_by_text(NASTY, exact=True).count() >= 1


def test_without_script_the_whole_answer_is_there(browser: Any, page_path: Path) -> None:
    page, _ = opened(browser, page_path, script=False)
    text = page.inner_text("main")
    for part in ("What the figures favour", "B is never recommended", "lowest glass", "Cautions", "strokes"):
        assert part in text
    assert page.locator("figure svg:visible").count() == 6
    assert page.locator(".cursor-bar:visible, .chart:visible, .readout:visible, .hair:visible").count() == 0


@pytest.mark.parametrize("width", [1280, 768, 400])
def test_the_cursor_moves_over_all_pictures_at_once(browser: Any, page_path: Path, width: int) -> None:
    page, complaints = opened(browser, page_path, width)
    panels = 1 + 1 + 1 + 2 + 3 + 1  # the glass, and the panels of the overlaid pictures
    over = page.locator('[data-picture="fuel-a"] .u-over')
    box = over.bounding_box()
    page.mouse.move(0, 0)
    for share in (0.25, 0.7):
        over.hover(position={"x": share * box["width"], "y": 20})
        assert hairs(page) == pytest.approx([share] * panels, abs=0.012)
    told = page.locator('[data-reading="fuel_on_board"] b').inner_text()
    assert all(letter in told for letter in "ABC")
    assert complaints == []


@pytest.mark.parametrize("width", [1280, 768, 400])
def test_the_accessibility_checker_finds_nothing(browser: Any, page_path: Path, width: int) -> None:
    page, _ = opened(browser, page_path, width)
    assert barriers(page) == []


@pytest.mark.parametrize("width", [1280, 400])
def test_words_in_a_picture_do_not_overlap(browser: Any, page_path: Path, width: int) -> None:
    still, _ = opened(browser, page_path, width, script=False)
    assert overlapping(still, "figure svg") == []
    live, _ = opened(browser, page_path, width)
    assert crowded(live) == []


def test_every_box_that_scrolls_can_be_reached_by_keyboard(browser: Any, page_path: Path) -> None:
    page, _ = opened(browser, page_path, 400)
    stuck = page.evaluate(
        """() => [...document.querySelectorAll('.scroll')]
           .filter(e => e.scrollWidth > e.clientWidth + 1)
           .filter(e => e.tabIndex < 0).map(e => e.innerText.slice(0, 60))"""
    )
    assert stuck == []


def test_names_of_figures_stay_in_sight_while_the_table_is_moved(browser: Any, page_path: Path) -> None:
    page, _ = opened(browser, page_path, 400)
    left = page.evaluate(
        """() => { const box = document.querySelector('.figures').closest('.scroll');
           box.scrollLeft = 300;
           return box.querySelector('tbody th[scope=row]').getBoundingClientRect().left
                - box.getBoundingClientRect().left; }"""
    )
    assert abs(left) < 1


def test_pictures_are_drawn_on_paper(browser: Any, page_path: Path) -> None:
    page, _ = opened(browser, page_path)
    paper = page.pdf(prefer_css_page_size=True)
    assert len(re.findall(rb"/Type\s*/Page\b", paper)) >= 1
    assert b"/Subtype /Image" not in paper
