"""A classroom in a process of its own, and how its windows are opened and handled in the tests."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import halfglass

AXE = Path(__file__).parent / "vendor" / "axe.min.js"
SOURCE = str(Path(halfglass.__file__).parents[1])
DAY = str(Path(__file__).parents[2] / "scenarios" / "10-shrink-and-swell.toml")
MAIN = "from halfglass.cli import main; main()"
SOON = 15_000
"""ms a page may take for anything but the answer of a control."""


class Classroom:
    """The command in a process of its own, started and stopped as a trainer would."""

    def __init__(self, out: Path) -> None:
        self.out, self.port, self.address = out, 0, ""

    def start(self, *arguments: str) -> str:
        """Open it; the address it prints."""
        command = [
            sys.executable,
            "-c",
            MAIN,
            "classroom",
            "--no-browser",
            "--port",
            str(self.port),
            "--out",
            str(self.out),
        ]
        self.process = subprocess.Popen(
            [*command, *arguments],
            env={**os.environ, "PYTHONPATH": SOURCE},
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        assert self.process.stdout is not None
        self.address = self.process.stdout.readline().strip()
        assert self.address.startswith("http://127.0.0.1:"), (
            self.process.stderr and self.process.stderr.read()
        )
        self.port = int(self.address.split(":")[2].split("/")[0])
        return self.address

    def stop(self, how: int = signal.SIGINT) -> int:
        """Close it; its exit code."""
        self.process.send_signal(how)
        self.process.communicate(timeout=30)
        return self.process.returncode


@contextmanager
def opening(browser: Any) -> Iterator[Any]:
    """Opens windows, closes them at the end; what they complain of, or fetch elsewhere, fails the test."""
    opened, complaints = [], []

    def open_window(address: str, width: int = 1280, **options: Any) -> Any:
        context = browser.new_context(
            viewport={"width": width, "height": 900}, accept_downloads=True, **options
        )
        page = context.new_page()
        own = address.split("/#")[0]
        page.on("console", lambda message: complaints.append(message.text))
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on(
            "request", lambda r: None if r.url.startswith((own, "blob:" + own)) else complaints.append(r.url)
        )
        page.on(
            "websocket",
            lambda w: None if w.url.startswith(own.replace("http", "ws")) else complaints.append(w.url),
        )
        page.goto(address)
        until(page, "document.getElementById('clock').textContent !== '--:--'")
        if page.locator("#take").is_visible():
            page.click("#take")
            page.wait_for_selector("#steering", state="hidden")
        opened.append(context)
        return page

    yield open_window
    for context in opened:
        context.close()
    assert [text for text in complaints if "ERR_CONNECTION_REFUSED" not in text] == []


def until(page: Any, expression: str, arg: Any = None) -> None:
    """Wait until something is so; looked at from outside, since the page's policy forbids eval in it."""
    last = time.monotonic() + SOON / 1000.0
    while not page.evaluate(expression, arg):
        assert time.monotonic() < last, f"never came: {expression}"
        page.wait_for_timeout(30)


def begin(page: Any, lesson: int = 1) -> None:
    """Open a lesson anew."""
    page.click(f"#lessons button >> nth={lesson - 1}")
    page.wait_for_selector("#room[data-stage=story]", timeout=SOON)
    page.evaluate("scrollTo(0, 0)")


def draw(page: Any, end: float = 0.3) -> None:
    """Draw a prediction with the pointer, from the middle to a height at the right edge."""
    box = page.locator(".curve-picture").bounding_box()

    def at(x: float, y: float) -> tuple[float, float]:
        return box["x"] + box["width"] * x / 400, box["y"] + box["height"] * y / 250

    page.mouse.move(*at(46, 120))
    page.mouse.down()
    page.mouse.move(*at(388, 214 - end * 202), steps=30)
    page.mouse.up()


def told(page: Any, reading: str) -> float:
    """The number that stands beside a control or in the list."""
    text = page.locator(f"[data-reading='{reading}'], [data-answer='{reading}'] b").first.inner_text()
    return float(text.replace("\u2212", "-").replace("\u2013", "nan"))


def put(page: Any, control: str, value: float | bool) -> None:
    """Put a control somewhere, and wait until the classroom has it."""
    place = page.locator(f"[data-control='{control}'] input")
    place.set_checked(value) if isinstance(value, bool) else place.fill(str(value))


def checked(page: Any) -> list[Any]:
    """What the accessibility checker finds; by CDP, since the page lets no script of ours in."""
    page.evaluate(AXE.read_text(encoding="utf-8"))
    found = page.evaluate("async () => (await axe.run()).violations")
    return [(v["id"], v["impact"], [n["html"][:120] for n in v["nodes"]][:3]) for v in found]
