"""A session as a scenario that `run` and `check` take, back from it, and as a CSV file."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

import numpy as np

from halfglass.classroom.branch import COLUMNS, Branch, Written, like
from halfglass.day.by_hand import TICK
from halfglass.result.clock import stamp
from halfglass.scenario.day_models import Scenario
from halfglass.scenario.load import Story
from halfglass.scenario.toml_write import is_tables, written_key, written_value
from halfglass.vocabulary import quantities

if TYPE_CHECKING:
    from halfglass.classroom.session import Session

HEAD = """\
# A session in the classroom, as it went. `halfglass run` does it again, `halfglass classroom` plays it live.
# The route before the step "by hand" is what the crew did; the moves are what was done at the controls.
"""
MOST_RECORDED = 4600
"""Moves in a record, of all branches told (a scenario has room for no more)."""
PRESENT = "the last try"
STEP = "by hand"


def values_of(story: Story) -> dict[str, Any]:
    """The entries of a story's file with its boat's laid in, as they are written."""
    names = list(story.files)
    values = tomllib.loads(story.files[names[0]].decode("utf-8-sig"))
    if isinstance(values.get("boat"), str):
        values["boat"] = tomllib.loads(story.files[names[1]].decode("utf-8-sig"))
    return values


def faults_that_can_come(story: Story, until_the_hand: Scenario) -> list[int]:
    """Which faults of a story are left when its route ends at the hand-over: not those of a later place."""
    places = {*until_the_hand.places, None}
    has_lock = any(step.step == "lock" for step in until_the_hand.route)
    return [
        index
        for index, fault in enumerate(story.base.fault)
        if {fault.at.leaving, fault.at.arriving} <= places
        and (has_lock or fault.kind != "long wait at the lock")
        and fault.at.day <= until_the_hand.nights + 1
    ]


def written_moves(story: Story, index: int) -> list[Written]:
    """The moves of a step of the route, as they are written."""
    return list(values_of(story)["route"][index].get("moves", []))


def text(session: Session) -> str:
    """The record as TOML."""
    values = values_of(session.story)
    for key in ("plan", "uncertain"):
        values.pop(key, None)
    if "fault" in values:
        values["fault"] = [
            values["fault"][index] for index in faults_that_can_come(session.story, session.scenario)
        ]
    before = values["route"][: len(session.scenario.route)]
    values["route"] = [*before, _step(session.branch)]
    others = _that_fit([b for b in session.branches if b is not session.branch and b.rows], session.branch)
    if others:
        values["plan"] = [{"name": PRESENT, "about": _about(session.branch)}]
        values["plan"] += [
            {"name": f"try {b.number + 1}", "about": _about(b), "change": {"route": [*before, _step(b)]}}
            for b in others
        ]
    return HEAD + "\n".join(_lines(values)) + "\n"


def _that_fit(others: list[Branch], present: Branch) -> list[Branch]:
    """The latest other branches whose moves a scenario has room for besides the present one's."""
    left, found = MOST_RECORDED - len(present.moves), []
    for branch in reversed(others):
        left -= len(branch.moves)
        if left < 0:
            break
        found.append(branch)
    return found[::-1]


def restore(session: Session, story: Story) -> None:
    """Bring a session just opened from a record to where the record ends, its branches behind it."""
    present = _branch_of(story.base)
    others = [_branch_of(story.for_plan(plan.name)) for plan in story.plans if "route" in plan.change]
    values = values_of(story)
    raw = [plan["change"]["route"] for plan in values.get("plan", []) if "route" in plan.get("change", {})]
    written = [list(route[-1].get("moves", [])) for route in raw]
    session.reopen(
        [(w, end) for w, end in zip(written, others, strict=True)]
        + [(list(values["route"][len(session.scenario.route)].get("moves", [])), present)]
    )


def csv_text(session: Session) -> str:
    """The present branch tick by tick, in the units of the day."""
    system, started = session.scenario.units, session.day.started
    heads = [_header(name, system) for name in COLUMNS]
    lines = [",".join(["clock", "time [s]", *heads])]
    shown = np.array(session.branch.rows)
    for place, name in enumerate(COLUMNS):
        shown[:, place] = quantities.convert(shown[:, place], like(name), system)
    figures = ",".join(["%.7g"] * len(COLUMNS))
    for number, row in enumerate(shown.tolist()):
        time = number * TICK
        lines.append(f"{stamp(started, session.began_at + time)},{time:.1f},{figures % tuple(row)}")
    return "\n".join(lines) + "\n"


def _header(name: str, system: str) -> str:
    return f"{name} [{quantities.header(like(name), system).partition('[')[2]}"


def _branch_of(day: Any) -> float:
    """How long the last step of a day lasts [s]."""
    return float(day.route[-1].for_)


def _about(branch: Branch) -> str:
    if branch.source is None:
        return "From the beginning."
    return f"Left try {branch.source + 1} after {branch.from_time:g} s."


def _step(branch: Branch) -> dict[str, Any]:
    lasted = max(branch.reached, TICK)
    return {"step": STEP, "for": f"{lasted:.1f} s", "moves": list(branch.moves)}


def _lines(values: Mapping[str, Any], path: str = "") -> Iterator[str]:
    """TOML: plain keys first, then tables and lists of tables under their headings."""
    later = []
    for key, value in values.items():
        if isinstance(value, dict) or is_tables(value):
            later.append((key, value))
        else:
            yield f"{written_key(key)} = {written_value(value)}"
    for key, value in later:
        here = f"{path}.{key}" if path else key
        if key == "moves" and path:
            yield "moves = ["
            yield from (f"    {written_value(move)}," for move in value)
            yield "]"
        elif isinstance(value, dict):
            yield from ("", f"[{here}]", *_lines(value, here))
        else:
            for item in value:
                yield from ("", f"[[{here}]]", *_lines(item, here))
