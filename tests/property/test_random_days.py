"""Random boats, days and faults, run as a user would: books close, no stock is below none, every day ends.

Each day is drawn by its number (`random_days`). A failing one tells its number and the text of its files.
"""

from __future__ import annotations

import json
import math
import re
from collections import Counter
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import random_days
from scenario_text import no_longer_than, sound
from strategies import below_none, stocks_are_there

import halfglass
from halfglass.day import outing as outings
from halfglass.report import write_report
from halfglass.report.terminal import summary
from halfglass.result.json_form import as_object
from halfglass.result.records import Outing

FEW, MANY, PIECES = 12, 2000, 8
"""Days in the usual run; in the long one, and the tests they are shared out over."""
SHOWN_ONE_IN = 12
"""Days of which pictures are drawn, which takes longer than the day."""
MOST_EVENTS, MOST_CALLS = 400_000, 12_000_000
"""Events of one day, and calls of the plant's equations: several times what the busiest of 10 000 took."""
ALARM = 120.0
"""Processor seconds after which a day that is no endless loop by the counts is told all the same."""
STOCKS = ("fuel_on_board", "cylinder_water", "lubricator_oil", "boiler_solids", "boiler_oil", "bed_depth",
          "separator_load_fraction", "condenser_flood_fraction", "hands_busy")  # fmt: skip
"""Columns of the timeline that there cannot be less than none of, besides masses."""
NO_NUMBER = re.compile(r"(?<![\w-])(nan|inf)(?![\w-])")
COLD, HOT = 240.0, 3000.0
"""K between which anything aboard is."""


class Watched(outings.Day):
    """A day that is looked at between any two events."""

    busiest: Counter[str] = Counter()

    def begin(self) -> Any:
        clock, step = self.clock, self.clock.step
        events = 0

        def watched() -> None:
            nonlocal events
            events += 1
            step()
            calls = clock.plant.marcher.counters.rates_calls
            assert events < MOST_EVENTS and calls < MOST_CALLS, f"no end at {clock.now} s: {events}, {calls}"
            stocks_are_there(clock.plant, True)
            for name, most in (("events", events), ("calls", calls)):
                Watched.busiest[name] = max(Watched.busiest[name], most)

        clock.step = watched  # type: ignore[method-assign]
        return super().begin()


def check_numbers(outing: Outing) -> None:
    """Nothing kept or counted is below none, nothing is hotter or colder than can be, times are in order."""
    sound(outing)
    for name, column in outing.timeline.items():
        unit = outing.timeline.attrs["units"][name]
        values = column.to_numpy()
        if unit == "K":
            assert values.min() > COLD and values.max() < HOT, (name, values.min(), values.max())
        elif name.endswith("_mass") or name in STOCKS:
            slack = max(1e-6 * max(1.0, values.max()), below_none(name))
            assert values.min() >= -slack, (name, values.min())
    times = outing.log["time"].to_numpy()
    end = outing.verdict.outcome.at
    assert (np.diff(times) >= 0.0).all() and times[0] >= 0.0 and times[-1] <= end + 1e-6
    assert (np.diff(outing.timeline["time"]) >= 0.0).all()
    for item in outing.verdict.critical:
        assert 0.0 <= item.first_at <= end and 0.0 <= item.lasted <= end + 1e-6, item
        assert math.isfinite(item.worst) and item.because, item
    for name, total in outing.totals.items():
        assert math.isfinite(total), name
        assert total >= -1e-6 or not name.startswith(("fuel", "feed", "steam", "oil")), (name, total)


def check_day(number: int, folder: Path, counts: Counter[str]) -> None:
    """Draw a day, run it, and make of it all that can be made."""
    with no_longer_than(ALARM):
        story = random_days.day(number, folder)
        outing = halfglass.run(story, seed=number)
        check_numbers(outing)
        counts[outing.verdict.outcome.kind] += 1
        counts["faults"] += len(story.base.fault)
        counts.update(f"fault: {fault.kind}" for fault in story.base.fault)
        counts.update(f"step: {step.step}" for step in story.base.route)
        text = summary([outing], 80, False)
        assert not NO_NUMBER.search(text), text
        json.dumps(as_object([outing], [folder / "timeline.csv"]), allow_nan=False)
        if number % SHOWN_ONE_IN == 0:
            write_report([outing], folder / "report.html")
            page = re.sub(
                r"(?s)<script.*?</script>", "", (folder / "report.html").read_text(encoding="utf-8")
            )
            assert not NO_NUMBER.search(page), NO_NUMBER.search(page)


def check_days(numbers: range, folder: Path, monkeypatch: pytest.MonkeyPatch) -> Counter[str]:
    monkeypatch.setattr(outings, "Day", Watched)
    counts: Counter[str] = Counter()
    for number in numbers:
        try:
            check_day(number, folder, counts)
        except BaseException as error:
            files = [
                f"--- {path.name}\n{path.read_text(encoding='utf-8')}"
                for path in sorted(folder.glob("*.toml"))
            ]
            error.add_note("\n".join([f"random day {number}", *files]))
            raise
    print({**counts, **{f"busiest day: {name}": most for name, most in Watched.busiest.items()}})
    return counts


def test_random_days(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    check_days(range(FEW), tmp_path, monkeypatch)


@pytest.mark.long
@pytest.mark.parametrize("piece", range(PIECES))
def test_many_random_days(piece: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    share = MANY // PIECES
    counts = check_days(range(piece * share, (piece + 1) * share), tmp_path, monkeypatch)
    lacking = [kind for kind in random_days.FAULTS if not counts[f"fault: {kind}"]]
    lacking += [kind for kind in random_days.STEPS if not counts[f"step: {kind}"]]
    assert len(lacking) <= 1, f"{share} days without {lacking}"  # one that only some boats can have
