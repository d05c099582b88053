"""The lessons of the classroom in a real browser, from story to check, and how the page fits its window."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from classroom import SOON, Classroom, begin, checked, draw, until
from opening import overlapping, too_wide


@pytest.fixture(scope="module")
def lessons(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Classroom]:
    """What opens without arguments."""
    room = Classroom(tmp_path_factory.mktemp("lessons"))
    room.start()
    yield room
    assert room.stop() == 0


def test_the_first_lesson_by_its_one_button_alone(windows: Any, lessons: Classroom) -> None:
    """Nobody reads anything: at each page there is one thing to do next, and it leads on to the end."""
    page = windows(lessons.address)
    begin(page)
    action = page.locator(".main-action")
    assert action.inner_text() == "Go to the question" and action.is_enabled()
    assert page.locator("#run").is_disabled()
    action.click()
    page.wait_for_selector("#room[data-stage=predict]")
    assert action.is_disabled() and "draw" in page.inner_text("#lesson-hint")
    draw(page)
    assert action.is_enabled()
    action.click()
    page.wait_for_selector("#room[data-stage=run]")
    asked = page.locator(".asked input[type=range]")
    assert asked.is_visible() and asked.is_enabled()
    page.locator("#speed").fill("6")
    page.wait_for_selector(".task.due")
    go_on = page.get_by_role("button", name="Go on with the run")
    go_on.wait_for()  # time waits for whoever is slow
    assert "until you have done it" in page.inner_text("#lesson-hint")
    asked.fill("60")
    page.wait_for_selector(".task.done")
    assert page.inner_text(".task").startswith("Done:")
    assert "until you go on" in page.inner_text("#lesson-hint")
    go_on.click()
    page.wait_for_selector("#room[data-stage=compare]", timeout=SOON)
    assert page.locator("#lesson-after p").count() >= 2 and "%" in page.inner_text("#lesson-after")
    lines = "[...document.querySelectorAll('.curve-picture > path')].slice(-2)"
    drawn, came = page.evaluate(f"{lines}.map(line => line.getAttribute('d').length)")
    assert drawn > 200 and came > 200
    action.click()
    page.wait_for_selector("#room[data-stage=check]")
    assert action.is_disabled()
    page.get_by_label("There was less of it.").check()
    action.click()
    page.wait_for_selector(".verdict.right")
    assert action.inner_text().startswith("Next lesson")
    assert "bubbles hold the water up" in page.inner_text("#lesson-after")  # what to keep, and not before
    assert page.inner_text("#lesson-hint") == "This lesson is done."
    until(page, "document.querySelector('#lessons li').textContent.endsWith('done')")
    make_it_again_and_do_nothing(page)
    action.click()
    page.wait_for_selector("#room[data-stage=story]")
    assert page.inner_text("#lesson-number").startswith("Lesson 2 of")


def make_it_again_and_do_nothing(page: Any) -> None:
    """From the beginning of the run, held again where something is asked: it has no answer."""
    page.get_by_role("button", name="Make the run again").click()
    page.wait_for_selector("#room[data-stage=run]")
    assert page.inner_text(".task").startswith("In ")
    page.locator("#speed").fill("6")
    page.get_by_role("button", name="Go on with the run").click()
    page.wait_for_selector("#room[data-stage=compare]", timeout=SOON)
    assert "not done in this run" in page.inner_text("#lesson-after")
    page.click(".main-action")
    page.get_by_label("There was less of it.").check()
    page.click(".main-action")
    page.wait_for_selector(".verdict:has-text('No answer')")


def test_a_prediction_is_drawn_by_keyboard(windows: Any, lessons: Classroom) -> None:
    page = windows(lessons.address)
    begin(page)
    page.keyboard.press("Tab")
    page.locator(".main-action").focus()
    page.keyboard.press("Enter")
    curve = page.locator(".curve-picture[role=slider]")
    curve.focus()
    start = float(curve.get_attribute("aria-valuenow"))
    for key in ("End", "ArrowUp", "ArrowUp", "PageUp"):
        page.keyboard.press(key)
    assert float(curve.get_attribute("aria-valuenow")) > start
    assert "after 2 min" in curve.get_attribute("aria-valuetext")
    assert page.locator(".main-action").is_enabled()
    page.locator(".main-action").focus()
    page.keyboard.press("Enter")
    page.wait_for_selector("#room[data-stage=run]")
    page.wait_for_selector(".asked input[type=range]")


def test_two_windows_one_steers_the_other_predicts_for_itself(windows: Any, lessons: Classroom) -> None:
    first = windows(lessons.address)
    begin(first)
    second = windows(lessons.address)  # takes the controls at once, so first watches now
    first.wait_for_selector("#take")
    assert first.locator("#room").get_attribute("data-stage") == "story"
    second.click(".main-action")
    first.wait_for_selector("#room[data-stage=predict]")
    assert not first.locator(".main-action").is_visible()
    draw(first, 0.9)
    draw(second, 0.1)
    mine = "[...document.querySelectorAll('.curve-picture > path')].at(-2).getAttribute('d')"
    own = first.evaluate(mine)
    second.click(".main-action")
    first.wait_for_selector("#room[data-stage=run]")
    assert first.evaluate(mine) == own != second.evaluate(mine)
    first.click("#take")
    second.wait_for_selector("#take")
    first.locator(".asked input[type=range]").fill("55")
    until(second, "document.querySelector('.asked input[type=range]').value === '55'")
    if first.inner_text("#run") != "Run":  # on a slow machine the lesson holds time before we do
        first.click("#run")
    until(second, "document.getElementById('run').textContent === 'Run'")
    first.context.close()
    second.wait_for_selector("#take")
    assert "Nobody steers" in second.inner_text("#steering")


@pytest.mark.parametrize("width", [1920, 1280, 768, 400])
def test_nothing_stands_out_and_the_checker_finds_nothing(
    windows: Any, lessons: Classroom, width: int
) -> None:
    page = windows(lessons.address, width)
    begin(page)
    for stage in ("story", "predict", "run"):
        page.wait_for_selector(f"#room[data-stage={stage}]")
        assert page.evaluate("document.documentElement.scrollWidth") <= width, stage
        assert too_wide(page, width) == []
        assert overlapping(page, ".dial svg, .glass svg, .curve svg") == []
        if width in (1280, 400):
            assert checked(page) == [], stage
        if stage == "predict":
            draw(page)
        if stage != "run":
            page.click(".main-action")
    page.evaluate("document.querySelectorAll('.controls details').forEach(one => { one.open = true; })")
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert too_wide(page, width) == []
    if width in (1280, 400):
        assert checked(page) == []


@pytest.mark.long
def test_no_words_of_any_lesson_stand_over_one_another(windows: Any, lessons: Classroom) -> None:
    page = windows(lessons.address)
    for number in range(1, page.locator("#lessons li").count() + 1):
        begin(page, number)
        page.click(".main-action")
        page.wait_for_selector("#room[data-stage=predict]")
        assert overlapping(page, ".dial svg, .glass svg, .curve svg") == [], number


def test_cautions_are_on_the_page(windows: Any, lessons: Classroom) -> None:
    page = windows(lessons.address)
    text = page.inner_text("body")
    assert "not operating instruction and not a safety device" in text
    assert "Low water: act on the boat, never wait for a program" in text
    assert "governed by local law" in text
    assert "inspector" in text
