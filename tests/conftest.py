"""What the tests share: how many examples the property tests try, the command line, and the browser.

`pytest` tries few examples, the same every time; `pytest -m long`, or HALFGLASS_EXAMPLES=long, thousands.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
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
    "steady", max_examples=80, derandomize=True, deadline=None, database=None, suppress_health_check=_QUIET
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


@pytest.fixture
def command() -> Callable[..., int]:
    """The command line in this process; returns its exit code."""
    from halfglass import cli

    def call(*arguments: object) -> int:
        with pytest.raises(SystemExit) as left:
            cli.main([str(argument) for argument in arguments])
        assert isinstance(left.value.code, int)
        return left.value.code

    return call


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


@pytest.fixture
def windows(browser: Any) -> Iterator[Any]:
    """Opens windows of the classroom."""
    import classroom

    with classroom.opening(browser) as open_window:
        yield open_window


@pytest.fixture(scope="module")
def free(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    """A classroom in which a scenario is worked freely."""
    from classroom import DAY, Classroom

    room = Classroom(tmp_path_factory.mktemp("free"))
    room.start(DAY)
    yield room
    assert room.stop() == 0
