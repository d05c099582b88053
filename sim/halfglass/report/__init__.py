"""Reports for people: terminal text, pictures, one self-contained HTML page. Reads results only."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from halfglass.result.fitted import FitResult
from halfglass.result.proposed import Proposal
from halfglass.result.records import Outing
from halfglass.result.spread_records import SpreadResult


def write_report(outings: Sequence[Outing], path: Path) -> None:
    """Write one HTML file for all plans of a scenario; same outings, same bytes."""
    from halfglass.report.page import render
    from halfglass.result.whole import write_whole

    write_whole(path, render(outings).encode())


def write_spread_report(result: SpreadResult, path: Path) -> None:
    """Write one HTML file for a spread; same answer, same bytes."""
    from halfglass.report.spread_page import render
    from halfglass.result.whole import write_whole

    write_whole(path, render(result).encode())


def write_proposal(found: Proposal, folder: Path) -> dict[str, Path]:
    """Write page, table of candidates and, if there is one, the plan; returns the files by what they are."""
    from halfglass.report.propose_page import render
    from halfglass.result.proposed_files import candidates_csv
    from halfglass.result.whole import write_whole

    files = {"report": (folder / "report.html", render(found))}
    files["candidates"] = (folder / "candidates.csv", candidates_csv(found))
    if found.toml:
        files["plan"] = (folder / "plan.toml", found.toml)
    else:
        (folder / "plan.toml").unlink(missing_ok=True)  # of an earlier search
    for path, text in files.values():
        write_whole(path, text.encode())
    return {what: path for what, (path, _) in files.items()}


def write_fit_report(result: FitResult, path: Path) -> None:
    """Write one HTML file for a fit; same answer, same bytes."""
    from halfglass.report.fit_page import render
    from halfglass.result.whole import write_whole

    write_whole(path, render(result).encode())
