"""The page of a search for a plan in a real browser: offline, small screens, no word over another."""

from __future__ import annotations

import random
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from opening import NASTY, barriers, opened, overlapping, too_wide

from halfglass.report.propose_page import render
from halfglass.result.comparison import Cell, Row
from halfglass.result.proposed import Check, DayTried, LeverTold, Proposal, Tried
from halfglass.study.front import front

LEVERS = (
    LeverTold("route[3].throttle", f"throttle to {NASTY}", "10 %", "100 %", "26 %", 46),
    LeverTold("firing.working_pressure", "working pressure", "70 psi", "90 psi", "78 psi", 21),
)


def made_up(seed: int, many: int, wide: float = 7200.0) -> Proposal:
    """A search that never happened: candidates about a curve, a third of them outside the limits."""
    rng = random.Random(seed)
    tried = []
    for number in range(many):
        slow = rng.random() ** 2
        arrival = 18000.0 + wide * slow + 600.0 * rng.random()
        fuel = 30.0 + 20.0 / (1.0 + 3.0 * slow) + 4.0 * rng.random()
        short = 0.5 if number and rng.random() < 0.33 else 0.0
        day = DayTried("arrived", arrival, fuel, 0.3 + 0.2 * rng.random(), (short, 0.0))
        settings = (f"{10 + number} %", "78 psi" if rng.random() < 0.5 else "80 psi")
        tried.append(Tried(number, (number, 0), settings, (day, day)))
    numbers = front(tried)
    chosen = numbers[0] if numbers else None
    checks = [
        Check(number, (tried[number].days[0],) * 20)
        for number in dict.fromkeys((0, chosen))
        if number is not None
    ]
    rows = (Row("stores", f"fuel {NASTY}", "kg", (Cell("44 kg", 44.0), Cell("48 kg", 48.0))),)
    return Proposal(
        f"A day {NASTY}", "as written", datetime(2030, 6, 15, 8, 15), "metric", "soonest",
        ("no danger", "arrives"), LEVERS, tuple(tried), numbers, chosen, None if numbers else 0,
        tuple(checks),
        ("throttle at 100 %, the highest looked at",), False, 2 * many, (0, 1), tuple(range(2, 22)), rows,
        "proposed, soonest", f'[[plan]]\nname = "{NASTY}"\n', (f"A note {NASTY}",), {"seed": 0},
    )  # fmt: skip


@cache
def rendered(seed: int, many: int, wide: float) -> str:
    return render(made_up(seed, many, wide))


@pytest.mark.parametrize("width", [1280, 768, 400])
def test_page_fits_and_no_word_covers_another(browser: Any, tmp_path: Path, width: int) -> None:
    shapes = [(seed, 150, 7200.0) for seed in range(3)] + [(7, 1, 7200.0), (8, 12, 1.0), (9, 60, 90000.0)]
    for seed, many, wide in shapes:
        path = tmp_path / f"{seed}.html"
        path.write_text(rendered(seed, many, wide), encoding="utf-8")
        page, complaints = opened(browser, path, width, script=False)
        assert complaints == []
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert too_wide(page, width) == []
        assert overlapping(page) == [], (seed, many)
        assert page.locator("svg").count() == 1
        page.context.close()


def test_names_are_text_and_the_plan_can_be_copied(browser: Any, tmp_path: Path) -> None:
    path, found = tmp_path / "page.html", made_up(1, 40)
    path.write_text(render(found), encoding="utf-8")
    page, complaints = opened(browser, path)
    assert complaints == []
    assert page.title() == f"{found.title}: a plan proposed · Halfglass"
    assert page.locator("script").count() == 0 and page.locator("b").count() == 0
    assert page.locator("pre").inner_text().strip() == found.toml.strip()


def test_the_accessibility_checker_finds_nothing(browser: Any, tmp_path: Path) -> None:
    path = tmp_path / "page.html"
    path.write_text(render(made_up(2, 120)), encoding="utf-8")
    page, _ = opened(browser, path, 400)
    assert barriers(page) == []
