"""Reports for people: terminal text, pictures, one self-contained HTML page. Reads results only."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from halfglass.result.records import Outing
from halfglass.result.spread_records import SpreadResult


def write_report(outings: Sequence[Outing], path: Path) -> None:
    """Write one HTML file for all plans of a scenario; same outings, same bytes."""
    from halfglass.report.page import render
    from halfglass.result.timeline import write_whole

    write_whole(path, render(outings).encode())


def write_spread_report(result: SpreadResult, path: Path) -> None:
    """Write one HTML file for a spread; same answer, same bytes."""
    from halfglass.report.spread_page import render
    from halfglass.result.timeline import write_whole

    write_whole(path, render(result).encode())
