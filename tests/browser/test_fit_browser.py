"""The page of a fit in a real browser: offline, without script, on any screen, for every reader."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from fitted_boat import fitted_boat
from opening import NASTY, barriers, opened, overlapping, too_wide

from halfglass.report import write_fit_report


@pytest.mark.parametrize("width", [1280, 768, 400])
def test_page_fits_its_screen(browser: Any, tmp_path: Path, width: int) -> None:
    write_fit_report(fitted_boat(), tmp_path / "fit.html")
    page, complaints = opened(browser, tmp_path / "fit.html", width, script=False)
    assert complaints == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert too_wide(page, width) == []
    assert overlapping(page) == []
    assert page.locator("svg:visible").count() == 2
    text = page.locator("body").inner_text()
    for said in (
        "74.0 %",
        "nothing in this log depends on it",
        "Boilers are governed by local law",
        "as fitted",
    ):
        assert said in text


def test_accessibility_checker_finds_nothing(browser: Any, tmp_path: Path) -> None:
    write_fit_report(fitted_boat(), tmp_path / "fit.html")
    page, _ = opened(browser, tmp_path / "fit.html")
    assert barriers(page) == []


def test_names_are_text_and_nothing_else(browser: Any, tmp_path: Path) -> None:
    write_fit_report(fitted_boat(NASTY), tmp_path / "fit.html")
    page, complaints = opened(browser, tmp_path / "fit.html")
    assert complaints == []
    assert page.title().startswith("A made-up outing")
    assert NASTY in page.locator("body").inner_text()
