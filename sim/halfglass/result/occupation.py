"""What the hands were at: hours by task, and how busy each hand was while the boat was under way."""

from __future__ import annotations

from collections.abc import Sequence

from halfglass.result import events
from halfglass.result.records import LogEntry, Occupation, TaskSpell, TaskTime
from halfglass.result.spells import Array, Spell, beyond

UNDER_WAY = 0.2
"""m/s through the water from which the boat counts as under way (judgement)."""


def occupation(
    spells: Sequence[TaskSpell], hands: int, time: Array, boat_speed: Array, log: Sequence[LogEntry]
) -> Occupation:
    """The occupation of a day.

    Parameters: spells of the hands, in any order; hands aboard; time [s] and boat_speed [m/s] of the
    timeline; the log, which tells what was overdue.
    """
    ordered = tuple(sorted(spells, key=lambda spell: (spell.start, spell.end, spell.task)))
    way = beyond(time, boat_speed, UNDER_WAY, below=False)
    under_way = sum(b - a for a, b, _, _ in way)
    busy = [sum(_shared(spell, way) for spell in mine) for mine in share_out(ordered, hands)]
    late = _lateness(log)
    return Occupation(
        spells=ordered,
        tasks=_tasks(ordered, way),
        under_way=under_way,
        busy_under_way=tuple(sorted((part / max(under_way, 1e-9) for part in busy), reverse=True)),
        overdue=len(late),
        worst_overdue=max(late, default=0.0),
    )


def share_out(spells: Sequence[TaskSpell], hands: int) -> list[list[TaskSpell]]:
    """The spells of each hand: each goes to the first hand that is free when it begins.

    >>> one, two = share_out([TaskSpell("steering", 0.0, 9.0), TaskSpell("firing", 2.0, 3.0)], 2)
    >>> one[0].task, two[0].task
    ('steering', 'firing')
    """
    mine: list[list[TaskSpell]] = [[] for _ in range(hands)]
    for spell in spells:
        free = [hand for hand in mine if not hand or hand[-1].end <= spell.start + 1e-6]
        (free or mine)[0].append(spell)
    return mine


def _tasks(spells: Sequence[TaskSpell], way: Sequence[Spell]) -> tuple[TaskTime, ...]:
    names = dict.fromkeys(spell.task for spell in spells)
    found = []
    for name in names:
        own = [spell for spell in spells if spell.task == name]
        lasted = sum(spell.end - spell.start for spell in own)
        found.append(TaskTime(name, lasted, sum(_shared(spell, way) for spell in own), len(own)))
    return tuple(sorted(found, key=lambda task: (-task.seconds, task.task)))


def _shared(spell: TaskSpell, way: Sequence[Spell]) -> float:
    """How much of a spell fell into the times under way [s]."""
    return sum(max(0.0, min(spell.end, b) - max(spell.start, a)) for a, b, _, _ in way)


def _lateness(log: Sequence[LogEntry]) -> list[float]:
    """How late each overdue task was done [s], in order; one never done is late until the log ends."""
    late, due = [], []
    for entry in log:
        if entry.event == events.TASK_OVERDUE:
            due.append(entry.time)
        elif entry.event == events.OVERDUE_TASK_DONE and due:
            late.append(entry.time - due.pop(0))
    return late + [log[-1].time - time for time in due]
