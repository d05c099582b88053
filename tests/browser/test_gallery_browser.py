"""The gallery in a real browser: every page, the boathouse cards on one sheet of paper, the route strips."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from opening import barriers, crowded, opened, overlapping, too_wide

ROOT = Path(__file__).parents[2]
GALLERY = ROOT / "reports" / "gallery"
CARDS = sorted(GALLERY.glob("*-card.html"))


@pytest.mark.parametrize("card", CARDS, ids=lambda path: path.stem)
def test_card_is_one_sheet_with_drawn_pictures(browser: Any, card: Path) -> None:
    page, complaints = opened(browser, card, script=False)
    paper = page.pdf(prefer_css_page_size=True)
    assert complaints == []
    assert len(re.findall(rb"/Type\s*/Page\b", paper)) == 1
    assert b"/Subtype /Image" not in paper


@pytest.mark.parametrize("width", [1280, 768, 400])
def test_card_fits_its_screen(browser: Any, width: int) -> None:
    for card in CARDS:
        page, _ = opened(browser, card, width, script=False)
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert page.locator("svg:visible").count() == 1
        assert overlapping(page) == []


@pytest.mark.parametrize("path", sorted(GALLERY.glob("*.html")), ids=lambda path: path.stem)
@pytest.mark.parametrize("width", [pytest.param(1280, marks=pytest.mark.long), 400])
def test_every_page_of_the_gallery_opens_clean_for_everybody(browser: Any, path: Path, width: int) -> None:
    page, complaints = opened(browser, path, width)
    assert barriers(page) == []
    assert complaints == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert too_wide(page, width) == []
    assert crowded(page) == []


@pytest.mark.parametrize("width", [1280, 400])
def test_words_of_the_route_strips_do_not_overlap(browser: Any, tmp_path: Path, width: int) -> None:
    strips = [path.read_text(encoding="utf-8") for path in sorted(GALLERY.glob("*-route.svg"))]
    sheet = tmp_path / "strips.html"
    sheet.write_text('<meta charset="utf-8">' + "".join(strips), encoding="utf-8")
    page, _ = opened(browser, sheet, width, script=False)
    assert page.locator("svg text").count() > 10 * len(strips)
    assert overlapping(page) == []
    sheet.write_text(re.sub(r"(<text .*?</text>)", r"\1\1", strips[0], flags=re.S), encoding="utf-8")
    doubled, _ = opened(browser, sheet, width, script=False)
    assert overlapping(doubled) != []  # so the check does see an overlap
