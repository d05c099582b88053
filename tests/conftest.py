"""What the tests share: how many examples the property tests try, and the browser.

`pytest` tries few examples, the same every time; `pytest -m long`, or HALFGLASS_EXAMPLES=long, thousands.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, is_hypothesis_test, settings

LONG = 4000
"""Examples of each property in the long run."""

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

_QUIET = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much]
settings.register_profile(
    "steady", max_examples=120, derandomize=True, deadline=None, database=None, suppress_health_check=_QUIET
)
settings.register_profile(
    "long", max_examples=LONG, deadline=None, print_blob=True, suppress_health_check=_QUIET
)


def _is_long(config: pytest.Config) -> bool:
    return config.getoption("markexpr") == "long" or os.environ.get("HALFGLASS_EXAMPLES") == "long"


def pytest_configure(config: pytest.Config) -> None:
    """Choose how many examples there are."""
    settings.load_profile("long" if _is_long(config) else "steady")


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """`-m long` picks the property tests too: with thousands of examples they take minutes."""
    if config.getoption("markexpr") == "long":
        for item in items:
            if isinstance(item, pytest.Function) and is_hypothesis_test(item.obj):
                item.add_marker(pytest.mark.long)


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """Chromium, started once for a file of tests; without one the tests are left out, and say so."""
    playwright = pytest.importorskip(
        "playwright.sync_api", reason="playwright is not installed: browser tests left out"
    )
    if not CHROMIUM.exists():
        pytest.skip(f"no browser at {CHROMIUM}: browser tests left out")
    with playwright.sync_playwright() as play:
        started = play.chromium.launch(executable_path=str(CHROMIUM), args=ARGUMENTS)
        yield started
        started.close()
