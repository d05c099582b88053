"""The report in a real browser: from disk, offline, with and without script, on screen and on paper."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import synthetic

from halfglass.report import write_report

CHROMIUM = Path("/usr/bin/chromium")
ARGUMENTS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
NASTY = "<script>document.title='caught'</script><b>bold</b>"

playwright = pytest.importorskip(
    "playwright.sync_api", reason="playwright is not installed: browser tests left out"
)
if not CHROMIUM.exists():
    pytest.skip(f"no browser at {CHROMIUM}: browser tests left out", allow_module_level=True)


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with playwright.sync_playwright() as play:
        started = play.chromium.launch(executable_path=str(CHROMIUM), args=ARGUMENTS)
        yield started
        started.close()


@pytest.fixture(scope="module")
def reports(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("reports")
    days = {
        "one": [synthetic.outing()],
        "days": [synthetic.outing(hours=60.0)],
        "several": [synthetic.outing(NASTY), synthetic.outing("nobody " + "verylong" * 30, holds=False)],
    }
    for name, outings in days.items():
        write_report(outings, folder / f"{name}.html")
    return {name: folder / f"{name}.html" for name in days}


def opened(browser: Any, path: Path, width: int = 1280, script: bool = True) -> tuple[Any, list[str]]:
    """The report in a page that may not reach any network, and everything it complained about."""
    context = browser.new_context(
        viewport={"width": width, "height": 900}, offline=True, java_script_enabled=script
    )
    page, complaints = context.new_page(), []
    page.on("console", lambda message: complaints.append(message.text))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.on(
        "request", lambda request: None if request.url.startswith("file:") else complaints.append(request.url)
    )
    page.goto(path.as_uri())
    return page, complaints


@pytest.mark.parametrize("name", ["one", "several"])
@pytest.mark.parametrize("width", [1280, 768, 400])
def test_opens_offline_with_a_clean_console_and_nothing_overflows(
    browser: Any, reports: dict[str, Path], name: str, width: int
) -> None:
    page, complaints = opened(browser, reports[name], width)
    assert complaints == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    wide = page.evaluate(
        """width => [...document.querySelectorAll('h1,h2,h3,p,li,figure,figcaption,svg,dd')]
           .filter(e => !e.closest('.scroll') && e.getClientRects().length)
           .filter(e => e.getBoundingClientRect().right > width + 0.5).map(e => e.outerHTML.slice(0, 80))""",
        width,
    )
    assert wide == []


def test_markup_in_a_name_is_text(browser: Any, reports: dict[str, Path]) -> None:
    page, _ = opened(browser, reports["several"])
    assert page.title() != "caught"
    assert page.locator("b, script").count() == 0
    assert page.get_by_text(NASTY, exact=True).count() >= 1


@pytest.mark.parametrize("name", ["several", "days"])
@pytest.mark.parametrize("width", [1280, 400])
def test_words_in_a_picture_do_not_overlap(
    browser: Any, reports: dict[str, Path], name: str, width: int
) -> None:
    page, _ = opened(browser, reports[name], width)
    overlaps = page.evaluate(
        """() => [...document.querySelectorAll('figure svg')].filter(s => s.getClientRects().length)
           .flatMap(svg => {
             const boxes = [...svg.querySelectorAll('text')];
             const place = boxes.map(text => text.getBoundingClientRect());
             const frame = svg.getBoundingClientRect(), found = [];
             place.forEach((p, i) => {
               const told = boxes[i].textContent;
               if (p.left < frame.left - 1 || p.right > frame.right + 1) found.push(told + ' leaves');
               if (p.top < frame.top - 1 || p.bottom > frame.bottom + 1) found.push(told + ' leaves');
               place.slice(0, i).forEach((q, j) => {
                 const x = Math.min(p.right, q.right) - Math.max(p.left, q.left);
                 const y = Math.min(p.bottom, q.bottom) - Math.max(p.top, q.top);
                 if (x > 1 && y > 0.35 * Math.min(p.height, q.height))
                   found.push(told + ' / ' + boxes[j].textContent);
               });
             });
             return found; })"""
    )
    assert overlaps == []


def test_without_script_the_whole_answer_is_there(browser: Any, reports: dict[str, Path]) -> None:
    page, _ = opened(browser, reports["one"], script=False)
    text = page.inner_text("main")
    for part in ("The plan holds the water", "What became critical", "Boiler pressure", "Ledger", "Cautions"):
        assert part in text
    assert page.locator("figure svg:visible").count() == 8


def test_one_plan_prints_on_at_most_three_sheets_with_drawn_pictures(
    browser: Any, reports: dict[str, Path]
) -> None:
    page, _ = opened(browser, reports["one"])
    paper = page.pdf(prefer_css_page_size=True)
    assert 1 <= len(re.findall(rb"/Type\s*/Page\b", paper)) <= 3
    assert b"/Subtype /Image" not in paper


def test_every_box_that_scrolls_can_be_reached_by_keyboard(browser: Any, reports: dict[str, Path]) -> None:
    page, _ = opened(browser, reports["several"], 400)
    stuck = page.evaluate(
        """() => [...document.querySelectorAll('.scroll')]
           .filter(e => e.scrollWidth > e.clientWidth + 1 || e.scrollHeight > e.clientHeight + 1)
           .filter(e => e.tabIndex < 0).map(e => e.innerText.slice(0, 60))"""
    )
    assert stuck == []
