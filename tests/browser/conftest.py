"""The browser of these tests; without one they are left out, and say so."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

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


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """Chromium, started once for all pages."""
    playwright = pytest.importorskip(
        "playwright.sync_api", reason="playwright is not installed: browser tests left out"
    )
    if not CHROMIUM.exists():
        pytest.skip(f"no browser at {CHROMIUM}: browser tests left out")
    with playwright.sync_playwright() as play:
        started = play.chromium.launch(executable_path=str(CHROMIUM), args=ARGUMENTS)
        yield started
        started.close()
