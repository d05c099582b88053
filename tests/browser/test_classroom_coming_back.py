"""The classroom stopped and started again under an open page, strangers, and what it hands over."""

from __future__ import annotations

import signal
from pathlib import Path
from typing import Any

import pytest
from classroom import DAY, SOON, Classroom, put, until


@pytest.mark.parametrize(
    "how",
    [signal.SIGKILL, pytest.param(signal.SIGINT, marks=pytest.mark.long)],
    ids=["killed", "closed"],
)
def test_the_server_comes_back_with_the_session(windows: Any, tmp_path: Path, how: int) -> None:
    room = Classroom(tmp_path)
    room.start(DAY)
    page = windows(room.address)
    put(page, "throttle", 35)
    page.locator("#speed").fill("6")
    page.click("#run")
    page.wait_for_timeout(2500)
    page.click("#run")
    until(page, "document.getElementById('run').textContent === 'Run'")
    page.wait_for_timeout(300)
    before = (
        page.inner_text("#clock"),
        page.inner_text("#glass-told"),
        page.locator("#control-throttle").input_value(),
    )
    room.stop(how)
    page.wait_for_selector("#notice:visible", timeout=SOON)
    assert "comes back by itself" in page.inner_text("#notice")
    assert page.locator("#control-throttle").is_disabled()
    room.start()
    until(page, "document.getElementById('notice').textContent.includes('is back')")
    until(page, "document.getElementById('glass-told').textContent.includes('%')")
    until(page, "before => document.getElementById('clock').textContent === before", before[0])
    after = (
        page.inner_text("#clock"),
        page.inner_text("#glass-told"),
        page.locator("#control-throttle").input_value(),
    )
    assert after == before
    page.wait_for_selector("#steering", state="hidden")  # it steers again, being the one that did
    page.click("#run")
    until(page, "before => document.getElementById('clock').textContent > before", before[0])
    assert room.stop() == 0


def test_a_page_with_another_token_is_told_what_to_do(browser: Any, free: Classroom) -> None:
    context = browser.new_context()
    for end, words in (("#token=" + "z" * 43, "another token"), ("", "the address that the terminal shows")):
        page = context.new_page()
        page.goto(free.address.split("#")[0] + end)
        page.wait_for_selector("#notice:visible", timeout=SOON)
        assert words in page.inner_text("#notice")
    context.close()


def test_record_and_readings_are_handed_over(windows: Any, free: Classroom, tmp_path: Path) -> None:
    page = windows(free.address)
    for button, ending, start in (
        ("#export-toml", ".toml", "# A session"),
        ("#export-csv", ".csv", "clock,"),
    ):
        with page.expect_download() as handed:
            page.click(button)
        assert handed.value.suggested_filename.endswith(ending)
        assert Path(handed.value.path()).read_text(encoding="utf-8").startswith(start)


def test_the_worksheet_opens_with_its_own_style(windows: Any, tmp_path: Path) -> None:
    room = Classroom(tmp_path)
    page = windows(room.start("1"))
    with page.context.expect_page() as opened:
        page.click("#worksheet")
    sheet = opened.value
    sheet.wait_for_load_state()
    assert sheet.evaluate("getComputedStyle(document.querySelector('.line')).height") != "auto"
    assert sheet.evaluate("getComputedStyle(document.querySelector('h1')).margin") == "0px"
    assert room.stop() == 0
