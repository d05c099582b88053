"""The boathouse card and the route strips in a real browser: offline, small screens, one sheet of paper."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
GALLERY = ROOT / "reports" / "gallery"
CHROMIUM = Path("/usr/bin/chromium")
CARDS = sorted(GALLERY.glob("*-card.html"))

playwright = pytest.importorskip(
    "playwright.sync_api", reason="playwright is not installed: browser tests left out"
)
if not CHROMIUM.exists():
    pytest.skip(f"no browser at {CHROMIUM}: browser tests left out", allow_module_level=True)

OVERLAPS = """() => [...document.querySelectorAll('svg')].filter(s => s.checkVisibility()).flatMap(svg => {
  const boxes = [...svg.querySelectorAll('text')], place = boxes.map(text => text.getBoundingClientRect());
  const frame = svg.getBoundingClientRect(), found = [];
  place.forEach((p, i) => {
    const told = boxes[i].textContent;
    if (p.left < frame.left - 1 || p.right > frame.right + 1) found.push(told + ' leaves');
    if (p.top < frame.top - 1 || p.bottom > frame.bottom + 1) found.push(told + ' leaves');
    place.slice(0, i).forEach((q, j) => {
      const x = Math.min(p.right, q.right) - Math.max(p.left, q.left);
      const y = Math.min(p.bottom, q.bottom) - Math.max(p.top, q.top);
      if (x > 1 && y > 0.35 * Math.min(p.height, q.height)) found.push(told + ' / ' + boxes[j].textContent);
    });
  });
  return found; })"""


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with playwright.sync_playwright() as play:
        started = play.chromium.launch(
            executable_path=str(CHROMIUM), args=["--headless", "--no-sandbox", "--disable-gpu"]
        )
        yield started
        started.close()


def opened(browser: Any, path: Path, width: int) -> tuple[Any, list[str]]:
    """A page that may reach no network and runs no script, and everything it complained about."""
    context = browser.new_context(
        viewport={"width": width, "height": 900}, offline=True, java_script_enabled=False
    )
    page, complaints = context.new_page(), []
    page.on("console", lambda message: complaints.append(message.text))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.goto(path.as_uri())
    return page, complaints


@pytest.mark.parametrize("card", CARDS, ids=lambda path: path.stem)
def test_card_is_one_sheet_with_drawn_pictures(browser: Any, card: Path) -> None:
    page, complaints = opened(browser, card, 1280)
    paper = page.pdf(prefer_css_page_size=True)
    assert complaints == []
    assert len(re.findall(rb"/Type\s*/Page\b", paper)) == 1
    assert b"/Subtype /Image" not in paper


@pytest.mark.parametrize("width", [1280, 768, 400])
def test_card_fits_its_screen(browser: Any, width: int) -> None:
    for card in CARDS:
        page, _ = opened(browser, card, width)
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert page.locator("svg:visible").count() == 1
        assert page.evaluate(OVERLAPS) == []


@pytest.mark.parametrize("width", [1280, 400])
def test_words_of_the_route_strips_do_not_overlap(browser: Any, tmp_path: Path, width: int) -> None:
    strips = [path.read_text(encoding="utf-8") for path in sorted(GALLERY.glob("*-route.svg"))]
    sheet = tmp_path / "strips.html"
    sheet.write_text('<meta charset="utf-8">' + "".join(strips), encoding="utf-8")
    page, _ = opened(browser, sheet, width)
    assert page.locator("svg text").count() > 10 * len(strips)
    assert page.evaluate(OVERLAPS) == []
    sheet.write_text(re.sub(r"(<text .*?</text>)", r"\1\1", strips[0], flags=re.S), encoding="utf-8")
    doubled, _ = opened(browser, sheet, width)
    assert doubled.evaluate(OVERLAPS) != []  # so the check does see an overlap
