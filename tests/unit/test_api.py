"""What `import halfglass` offers: each call does what its command does."""

from __future__ import annotations

import inspect
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

import halfglass
from halfglass.study import limit as limit_study

STORY = halfglass.load(Path(__file__).parents[2] / "scenarios" / "02-engine-pump-stops.toml")
TWO = ("injector", "feed left alone")


def test_every_call_says_what_it_takes() -> None:
    for name in halfglass.__all__:
        call = getattr(halfglass, name)
        if callable(call):
            said = call.__doc__ or ""
            unsaid = [one for one in inspect.signature(call).parameters if f"`{one}`" not in said]
            assert set(unsaid) <= {"story", "stories", "path", "more", "plan"}, name


def test_importing_it_imports_nothing() -> None:
    heavy = "('numpy', 'pandas', 'simpy', 'pydantic', 'numba', 'matplotlib', 'scipy')"
    look = f"import sys, halfglass; print([name for name in {heavy} if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", look], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_it_can_be_run_as_a_module() -> None:
    done = subprocess.run([sys.executable, "-m", "halfglass", "--version"], capture_output=True, text=True)
    assert done.returncode == 0 and done.stdout.startswith("halfglass ")


def test_compare_lays_the_plans_asked_for_side_by_side() -> None:
    found = halfglass.compare(STORY, plans=TWO)
    assert found.letters == ("A", "B") and found.names == TWO
    alone = halfglass.run(STORY, "injector")
    assert found.outings[0].timeline.equals(alone.timeline)
    assert {row.name for row in found.rows} >= {"lowest glass"}


def test_compare_wants_two() -> None:
    with pytest.raises(ValueError, match="fewer than two plans"):
        halfglass.compare(STORY, plans=["injector"])


def test_spread_keeps_its_days_where_it_is_told_and_goes_on_with_them(tmp_path: Path) -> None:
    first = halfglass.spread(STORY, 2, ["injector"], folder=tmp_path / "days")
    again = halfglass.spread(STORY, 2, ["injector"], folder=tmp_path / "days", resume=True)
    passing = halfglass.spread(STORY, 2, ["injector"])
    for one in (again, passing):
        assert (one.members, one.plans[0].outcomes) == (2, first.plans[0].outcomes)
        assert [*one.plans[0].answers["lowest_glass"]] == [*first.plans[0].answers["lowest_glass"]]


def test_limit_asks_what_the_command_asks(monkeypatch: pytest.MonkeyPatch) -> None:
    heard: list[Any] = []
    monkeypatch.setattr(limit_study, "limit", lambda *asked: heard.append(asked))
    halfglass.limit(
        STORY, "crew.look_every", "1 min", "40 min", "holds the water", "injector", days=3, jobs=2
    )
    asked = limit_study.Asked("injector", "crew.look_every", "1 min", "40 min", "holds the water", days=3)
    assert heard == [(STORY, asked, 2)]


def test_limit_refuses_in_words() -> None:
    with pytest.raises(ValueError, match="two ends are the same"):
        halfglass.limit(STORY, "crew.look_every", "3 min", "3 min", "holds the water")
