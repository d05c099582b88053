"""Reports for people: terminal text, pictures, one self-contained HTML page. Reads results only."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from halfglass.result.records import Outing


def write_report(outings: Sequence[Outing], path: Path) -> None:
    """Write one HTML file for all plans of a scenario; same outings, same bytes."""
    from halfglass.report.page import render
    from halfglass.result.timeline import write_whole

    write_whole(path, render(outings).encode())
