"""The comparison in a real browser: from disk, offline, with and without script, wide and narrow."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import synthetic
from opening import NASTY, opened, too_wide

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
    assert page.locator("b, script").count() == 0
    assert page.get_by_text(NASTY, exact=True).count() >= 1


def test_without_script_the_whole_answer_is_there(browser: Any, page_path: Path) -> None:
    page, _ = opened(browser, page_path, script=False)
    text = page.inner_text("main")
    for part in ("What the figures favour", "B is never recommended", "lowest glass", "Cautions", "strokes"):
        assert part in text
    assert page.locator("figure svg:visible").count() == 6


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
