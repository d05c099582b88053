"""Time on the classroom's page: held, stepped, taken back; its keys, and that nothing moves by itself."""

from __future__ import annotations

import re
from typing import Any

from classroom import Classroom, put, until

KEEP_LETTERS = """
window.letters = new Map();
const pen = CanvasRenderingContext2D.prototype, fillText = pen.fillText;
pen.fillText = function (text, x, y) {
  if (text === "A") letters.set(this.canvas, (letters.get(this.canvas) ?? new Set()).add(Math.round(y)));
  return fillText.call(this, text, x, y);
};
null;"""
"""How high the letter of the first try was drawn, by canvas."""


def ready(page: Any) -> None:
    """Engine turning, time going at a steady ten times."""
    page.evaluate("document.querySelectorAll('.controls details').forEach(one => { one.open = true; })")
    put(page, "lines", False)
    put(page, "throttle", 30)
    page.locator("#speed").fill("3")
    if page.inner_text("#run") == "Run":
        page.click("#run")
    page.wait_for_timeout(400)


def test_hold_step_rewind_and_branches_side_by_side(windows: Any, free: Classroom) -> None:
    page = windows(free.address)
    ready(page)
    page.keyboard.press("Escape")
    page.evaluate("document.activeElement.blur()")
    page.keyboard.press(" ")
    until(page, "document.getElementById('run').textContent === 'Run'")
    held = page.inner_text("#clock")
    page.wait_for_timeout(400)
    assert page.inner_text("#clock") == held
    page.keyboard.press(".")
    until(page, "held => document.getElementById('clock').textContent > held", held)
    branches = page.locator("#branches span").count()
    page.locator("#back").fill("2")
    assert page.locator("#rewind").is_enabled()
    page.evaluate(KEEP_LETTERS)
    page.click("#rewind")
    until(page, "many => document.querySelectorAll('#branches span').length > many", branches)
    until(page, "held => document.getElementById('clock').textContent < held", held)
    assert page.locator("#branches").is_visible() and "now" in page.inner_text("#branches")
    put(page, "throttle", 80)
    page.click("#run")
    until(page, "() => Number(document.querySelector('[data-reading=shaft_speed]').textContent) > 0")
    assert page.locator(".plot canvas").count() == 6
    page.click("#run")
    page.locator("#charts-title").scroll_into_view_if_needed()
    until(page, "document.getElementById('run').textContent === 'Run'")
    page.evaluate("letters.clear()")
    page.locator("#back").fill("1")
    canvases = "[...document.querySelectorAll('.plot canvas')]"
    lines = f"{canvases}.map(canvas => letters.get(canvas)?.size)"
    until(page, f"{lines}.some(Boolean)")
    compared = [drawn for drawn in page.evaluate(lines) if drawn]
    assert 1 in compared and 2 in compared, "each line of a chart is compared with the first try's"


def test_every_control_has_a_name_a_unit_and_a_key(windows: Any, free: Classroom) -> None:
    page = windows(free.address)
    page.evaluate("document.querySelectorAll('.controls details').forEach(one => { one.open = true; })")
    rows = page.evaluate(
        """() => [...document.querySelectorAll('.row')].map(row => ({
             name: row.dataset.control, label: (row.querySelector('label, button') || {}).textContent.trim(),
             lever: row.classList.contains('lever'), output: row.querySelector('output')?.textContent || '',
             key: row.querySelector('kbd')?.textContent || '', fault: Boolean(row.closest('.faults')) }))"""
    )
    assert len(rows) > 30
    for row in rows:
        assert row["label"], row
        assert row["fault"] or row["key"], row
        assert not row["lever"] or re.search(r"\d (%|strokes/min)$", row["output"]), row
    keys = [*(row["key"] for row in rows if row["key"]), page.inner_text(".faults kbd")]
    assert len(keys) == len(set(keys))


def test_keys_are_left_alone_when_turned_off_or_writing(windows: Any, free: Classroom) -> None:
    page = windows(free.address)
    page.evaluate("document.querySelectorAll('.controls details').forEach(one => { one.open = true; })")
    page.locator("#shortcuts").uncheck()
    page.evaluate("document.activeElement.blur()")
    page.keyboard.press("t")
    assert not page.locator("#control-throttle").evaluate("e => e === document.activeElement")
    page.locator("#shortcuts").check()
    page.locator("[data-control='charge'] input[type=number]").focus()
    page.keyboard.press("t")
    assert not page.locator("#control-throttle").evaluate("e => e === document.activeElement")


def test_nothing_moves_by_itself(windows: Any, free: Classroom) -> None:
    """Nothing is animated, so that those who want no motion see the same page as everybody."""
    page = windows(free.address)
    ready(page)
    assert page.evaluate("document.getAnimations().length") == 0
    lasting = "e => getComputedStyle(e).transitionDuration + getComputedStyle(e).animationDuration"
    assert set(page.evaluate(f"[...document.querySelectorAll('*')].map({lasting})")) == {"0s0s"}
