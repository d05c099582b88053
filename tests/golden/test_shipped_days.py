"""Every shipped day under every plan comes out as it did when its golden file was last written.

`pytest tests/golden --rewrite-days` writes the files anew; look at their differences before you keep them.

Tolerances. The crew act at looks, so what happens is settled by the seed and the times move only with the
plant's crossings. Integrated with a tenth of the production tolerance every shipped day keeps its events in
their order, no line of the log moves by more than 0.11 s, no total by more than 3e-4 of itself, no worst
value by more than 1.2e-2. Allowed are about four times those figures; what lasts beyond a limit moved by
0.4 s (one safety valve, simmering at its limit between two rows, by 9 s), and has a second and a hundredth.
"""

from __future__ import annotations

import copy
import difflib
import json
import math
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

import pytest
from conftest import FILES, outing_of, story_of

from halfglass.result.clock import clock
from halfglass.result.records import Outing

DAYS = Path(__file__).parent / "days"
TIME = 0.5
"""s a line of the log, or the first crossing of a limit, may move."""
LASTING = (1.0, 0.01)
"""s, and share of it, by which the time beyond a limit may change."""
TOTAL = (1e-3, 1e-3)
"""Share of itself by which a total may change, and a rest for those that are next to nothing."""
WORST = (0.05, 1e-3)
LOWEST = 1e-3
"""Of the glass."""
AROUND = 3
"""Lines of the log shown before and after the first one that differs."""
MOST_LINES = 120
"""A day is described in fewer lines than that."""

Golden = dict[str, Any]


def golden(outing: Outing) -> Golden:
    """What is remembered of an outing; SI, times from lighting up."""
    verdict, nothing = outing.verdict, outing.if_nothing_done
    return {
        "ends": [verdict.outcome.kind, _round(verdict.outcome.at)],
        "lowest glass": [_round(verdict.lowest_glass_fraction, 4), _round(verdict.lowest_glass_at)],
        "glass empty if nothing is done": None if nothing is None else _round(nothing.bottom_nut_after),
        "verdict": [
            [i.severity, i.subject, i.item, _round(i.first_at), _round(i.lasted), _significant(i.worst)]
            for i in verdict.critical
        ],
        "totals": {name: _significant(value) for name, value in outing.totals.items()},
        "log": [[_round(time), who, event] for time, who, event in _lines(outing)],
    }


def differences(was: Golden, now: Golden, at: Callable[[float], str]) -> list[str]:
    """What is not as it was, in sentences; `at` gives the time of day of a second."""
    found = _log_differences(was["log"], now["log"], at)
    if was["ends"][0] != now["ends"][0]:
        found.append(f"ends {now['ends'][0]!r}, was {was['ends'][0]!r}")
    elif abs(was["ends"][1] - now["ends"][1]) > TIME:
        found.append(f"ends at {at(now['ends'][1])}, was {at(was['ends'][1])}")
    (glass_was, _), (glass_now, _) = was["lowest glass"], now["lowest glass"]
    if abs(glass_was - glass_now) > LOWEST:
        found.append(f"lowest glass {glass_now}, was {glass_was}")
    empty_was, empty_now = (day["glass empty if nothing is done"] for day in (was, now))
    if (empty_was is None) != (empty_now is None) or (
        empty_was is not None and abs(empty_was - empty_now) > TIME
    ):
        found.append(f"with nothing done the glass empties after {empty_now} s, was {empty_was} s")
    return found + _verdict_differences(was["verdict"], now["verdict"], at) + _total_differences(was, now)


def _log_differences(was: Sequence[Any], now: Sequence[Any], at: Callable[[float], str]) -> list[str]:
    """The first line that is another event, with its surroundings; or every line that has moved."""
    kinds_was, kinds_now = ([(who, event) for _, who, event in log] for log in (was, now))
    if kinds_was == kinds_now:
        moved = [(a, b) for a, b in zip(was, now, strict=True) if abs(a[0] - b[0]) > TIME]
        told = [
            f"log: {b[2]!r} at {at(b[0])}, was {at(a[0])} ({b[0] - a[0]:+.1f} s)" for a, b in moved[:AROUND]
        ]
        return told + ([f"log: and {len(moved) - AROUND} more lines moved"] if len(moved) > AROUND else [])
    first = next(
        (n for n, (a, b) in enumerate(zip(kinds_was, kinds_now, strict=False)) if a != b),
        min(len(was), len(now)),
    )
    window = slice(max(0, first - AROUND), first + AROUND)
    told = ["log: other events from here on (- was, + is)"]
    matcher = difflib.SequenceMatcher(None, kinds_was[window], kinds_now[window], autojunk=False)
    for tag, a, b, c, d in matcher.get_opcodes():
        if tag != "equal":
            told += [_shown("-", line, at) for line in was[window][a:b]]
        told += [_shown(" " if tag == "equal" else "+", line, at) for line in now[window][c:d]]
    return told


def _shown(mark: str, line: Sequence[Any], at: Callable[[float], str]) -> str:
    time, who, event = line
    return f"    {mark} {at(time)} {who}: {event}"


def _verdict_differences(was: Sequence[Any], now: Sequence[Any], at: Callable[[float], str]) -> list[str]:
    by_name_was, by_name_now = ({tuple(item[:3]): item[3:] for item in items} for items in (was, now))
    found = [f"verdict: no longer {' '.join(name)}" for name in by_name_was if name not in by_name_now]
    found += [f"verdict: now also {' '.join(name)}" for name in by_name_now if name not in by_name_was]
    for name in by_name_was.keys() & by_name_now.keys():
        (first_a, lasted_a, worst_a), (first_b, lasted_b, worst_b) = by_name_was[name], by_name_now[name]
        what = f"verdict: {' '.join(name)}"
        if abs(first_a - first_b) > TIME:
            found.append(f"{what}: first at {at(first_b)}, was {at(first_a)}")
        if not _near(lasted_a, lasted_b, share=LASTING[1], rest=LASTING[0]):
            found.append(f"{what}: lasts {lasted_b} s, was {lasted_a} s")
        if not _near(worst_a, worst_b, share=WORST[0], rest=WORST[1]):
            found.append(f"{what}: worst {worst_b}, was {worst_a}")
    return found


def _total_differences(was: Golden, now: Golden) -> list[str]:
    totals_was: Mapping[str, float] = was["totals"]
    totals_now: Mapping[str, float] = now["totals"]
    found = [f"totals: {name} has come or gone" for name in totals_was.keys() ^ totals_now.keys()]
    for name in totals_was.keys() & totals_now.keys():
        if not _near(totals_was[name], totals_now[name], share=TOTAL[0], rest=TOTAL[1]):
            found.append(f"totals: {name} {totals_now[name]}, was {totals_was[name]}")
    return found


def _near(was: float, now: float, share: float, rest: float) -> bool:
    return abs(was - now) <= rest + share * abs(was)


def _lines(outing: Outing) -> list[tuple[float, str, str]]:
    log = outing.log
    return list(zip(log["time"].tolist(), log["who"].tolist(), log["event"].tolist(), strict=True))


def _round(value: float | None, places: int = 2) -> float | None:
    return None if value is None else round(value, places)


def _significant(value: float) -> float:
    return float(f"{value:.6g}") if math.isfinite(value) else value


def written(days: Mapping[str, Golden]) -> str:
    """A golden file: JSON, one line for each line of the log, so that changes can be read."""
    return _block({plan: _block({k: _listed(v) for k, v in day.items()}, 1) for plan, day in days.items()}, 0)


def _block(entries: Mapping[str, str], depth: int) -> str:
    inside = ",\n".join(f"{' ' * (depth + 1)}{json.dumps(key)}: {text}" for key, text in entries.items())
    return "{\n" + inside + "\n" + " " * depth + "}"


def _listed(value: Any) -> str:
    if isinstance(value, list) and value and isinstance(value[0], list):
        return "[\n" + ",\n".join(f"   {json.dumps(row)}" for row in value) + "\n  ]"
    if isinstance(value, dict):
        return _block({key: json.dumps(amount) for key, amount in value.items()}, 2)
    return json.dumps(value)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_day_as_it_was(path: Path, request: pytest.FixtureRequest) -> None:
    """Events exact in kind and order; times, totals and verdict within the tolerances above."""
    outings = {plan: outing_of(path, plan) for plan in story_of(path).plan_names}
    now = {plan: golden(outing) for plan, outing in outings.items()}
    file = DAYS / f"{path.stem}.json"
    if request.config.getoption("rewrite_days", default=False):
        file.write_text(written(now) + "\n", encoding="utf-8")
        pytest.skip(f"{file.name} written anew")
    assert file.exists(), f"{path.name} has no golden file yet: pytest tests/golden --rewrite-days"
    was = json.loads(file.read_text(encoding="utf-8"))
    assert list(was) == list(now), "other plans than in the golden file"
    told = []
    for plan, outing in outings.items():

        def at(time: float, started: Any = outing.marks.started) -> str:
            return clock(started, time)

        told += [f"{plan}: {line}" for line in differences(was[plan], now[plan], at)]
    if told:
        pytest.fail(f"{path.name} is not as it was\n" + "\n".join(told), pytrace=False)


def test_every_shipped_day_has_a_golden_file_and_no_other() -> None:
    assert [path.stem for path in FILES] == sorted(path.stem for path in DAYS.glob("*.json"))


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_day_opens_as_the_tutorial_does(path: Path) -> None:
    """Number and title, *Shows* and *Story*, that it is invented; and it is short."""
    text = path.read_text(encoding="utf-8")
    comment = "\n".join(line for line in text.splitlines()[:8] if line.startswith("#"))
    assert comment.startswith(f"# {path.stem[:2]} · ")
    assert "\n# Shows: " in comment and "\n# Story: " in comment and "invented." in comment
    assert len(text.splitlines()) < MOST_LINES


def test_at_least_twelve_are_shipped_and_numbered_on() -> None:
    assert [path.stem[:2] for path in FILES] == [f"{n + 1:02d}" for n in range(len(FILES))]
    assert len(FILES) >= 12


def fixed(time: float) -> str:
    return f"{time:.0f} s"


@pytest.fixture
def remembered() -> Golden:
    """What is remembered of the quiet lake day."""
    path = FILES[0]
    return golden(outing_of(path, story_of(path).plan_names[0]))


def test_a_day_is_like_itself(remembered: Golden) -> None:
    again = json.loads(written({"as written": remembered}))["as written"]
    assert differences(remembered, again, fixed) == []


def test_a_small_change_passes_and_a_greater_is_told(remembered: Golden) -> None:
    """Each kind of change beyond its tolerance gives a sentence; within it none."""
    for wide, expected in ((0.4, 0), (3.0, 5)):
        now = copy.deepcopy(remembered)
        now["log"][5][0] += wide * TIME
        now["ends"][1] += wide * TIME
        now["lowest glass"][0] += wide * LOWEST
        now["totals"]["fuel_used_kg"] *= 1.0 + wide * TOTAL[0]
        now["verdict"][0][3] += wide * TIME
        told = differences(remembered, now, fixed)
        assert len(told) == expected, told


def test_another_event_is_shown_with_its_surroundings(remembered: Golden) -> None:
    now = copy.deepcopy(remembered)
    now["log"].insert(8, [now["log"][8][0], "crew", "tea made"])
    told = differences(remembered, now, fixed)
    assert told[0] == "log: other events from here on (- was, + is)"
    assert [line for line in told if line.lstrip().startswith("+")] == [
        f"    + {fixed(now['log'][8][0])} crew: tea made"
    ]
    assert 4 <= len(told) <= 2 * AROUND + 3


def test_what_the_verdict_says_is_compared(remembered: Golden) -> None:
    now = copy.deepcopy(remembered)
    gone = now["verdict"].pop()
    now["verdict"].append(["danger", "water", "crown bare", 1.0, 1.0, 0.0])
    told = differences(remembered, now, fixed)
    assert told == [
        f"verdict: no longer {gone[0]} {gone[1]} {gone[2]}", "verdict: now also danger water crown bare"
    ]  # fmt: skip
