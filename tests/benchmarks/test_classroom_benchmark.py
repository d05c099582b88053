"""The classroom at 60 times life: frames a second of a slow page, and what the server takes of a core."""

from __future__ import annotations

import os
import sys
import time
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "browser"))
from classroom import DAY, Classroom, opening, put, until  # noqa: E402

pytestmark = pytest.mark.benchmarks

THROTTLED = 6  # times slower than this machine
SECONDS = 10.0

FRAMES = """seconds => new Promise(done => {
  const spaces = [], end = performance.now() + 1000 * seconds;
  let before = performance.now();
  const look = now => {
    spaces.push(now - before);
    before = now;
    if (now < end) requestAnimationFrame(look); else done(spaces.slice(1));
  };
  requestAnimationFrame(look);
})"""


def cpu(process: int) -> float:
    """Seconds of processor time a process has taken."""
    fields = Path(f"/proc/{process}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def frames(page: Any) -> list[float]:
    """How far apart a page's frames are [ms], in order of size, with the processor slowed."""
    session = page.context.new_cdp_session(page)
    session.send("Emulation.setCPUThrottlingRate", {"rate": THROTTLED})
    spaces = sorted(page.evaluate(FRAMES, SECONDS))
    session.send("Emulation.setCPUThrottlingRate", {"rate": 1})
    return spaces


def work(page: Any) -> float:
    """What the page's main thread takes of a core, unslowed; by its processor time, whatever else runs."""
    session = page.context.new_cdp_session(page)
    session.send("Performance.enable", {"timeDomain": "threadTicks"})

    def taken() -> float:
        metrics = session.send("Performance.getMetrics")["metrics"]
        return float(next(one["value"] for one in metrics if one["name"] == "ThreadTime"))

    before = taken()
    page.wait_for_timeout(1000 * SECONDS)
    return (taken() - before) / SECONDS


def rate(spaces: list[float]) -> float:
    """Frames a second."""
    return 1000.0 * len(spaces) / sum(spaces)


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="processor time is read from /proc")
@pytest.mark.parametrize("width", [1280, 1920])
def test_sixty_times_life(browser: Any, tmp_path: Path, width: int) -> None:
    """Prints figures; asserts only that time went and the charts were drawn."""
    room = Classroom(tmp_path)
    address = room.start(DAY)
    with opening(browser) as open_window:
        page = open_window(address, width)
        put(page, "lines", False)
        put(page, "damper", 40)
        put(page, "throttle", 20)
        page.locator("#speed").fill("6")
        page.click("#run")
        page.wait_for_timeout(10_000)  # ten minutes in: the charts are full
        page.locator("#span").select_option("600")
        page.locator("#plots").scroll_into_view_if_needed()
        clock, began, taken = page.inner_text("#clock"), time.monotonic(), cpu(room.process.pid)
        spaces = frames(page)
        share = (cpu(room.process.pid) - taken) / (time.monotonic() - began)
        busy = work(page)
        until(page, "before => document.getElementById('clock').textContent > before", clock)
        assert page.locator(".plot canvas").count() == 6
        blank = page.context.new_page()
        empty = frames(blank)
    room.stop()
    slowest = spaces[int(0.95 * len(spaces))]
    print(
        f"\nclassroom at 60 x, {width} px wide: {rate(spaces):.0f} frames/s with the processor {THROTTLED} x "
        f"slowed, an empty page {rate(empty):.0f} (95 of 100 within {slowest:.0f} ms);"
        f" its main thread {100 * busy:.0f} % of a core unslowed;"
        f" server {100 * share:.0f} % of a core; load {os.getloadavg()[0]:.1f}"
    )
