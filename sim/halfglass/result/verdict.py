"""From a finished timeline and log to the verdict: what became critical, and one plain sentence.

Everything here states what happened in the model. Nothing here advises anybody.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from halfglass.result import events, limits, shown
from halfglass.result.causes import because
from halfglass.result.clock import clock, duration
from halfglass.result.nearest import nearest_approaches
from halfglass.result.records import (
    CriticalItem,
    IfNothingDone,
    LogEntry,
    Marks,
    Outcome,
    Solids,
    Subject,
    TaskSpell,
    Verdict,
)
from halfglass.result.spells import Array, Spell, beyond, cut, total
from halfglass.vocabulary import units

OUTSIDE = "outside what this model can say"
SEVERITIES = ("danger", "act", "watch")


def judge(
    timeline: Mapping[str, Any],
    log: Sequence[LogEntry],
    marks: Marks,
    outcome: Outcome,
    fault_at: float | None = None,
    spells: Sequence[TaskSpell] = (),
) -> Verdict:
    """The verdict on one outing.

    `timeline` maps reading names to equally long arrays in SI (a DataFrame will do), with rows in order
    of time and one exactly at each crossing; `fault_at` [s] is when the first fault struck, if any;
    `spells` tell what the hands were at. Readings that only causes need may be missing.
    """
    readings = {str(name): np.asarray(timeline[name], dtype=float) for name in timeline}
    critical = critical_items(readings, log, marks, fault_at, spells)
    near = nearest_approaches(readings, log, marks)
    time, glass = _during(readings, "glass_fraction", log, limits.LIT)
    lowest = int(np.nanargmin(glass))
    holds = not any(i.subject == "water" and i.severity == "danger" for i in critical)
    verdict = Verdict(outcome, "", holds, float(glass[lowest]), float(time[lowest]), critical)
    sentence = _sentence(verdict, readings, log, marks, fault_at)
    return replace(verdict, sentence=sentence, nearest=near)


def critical_items(
    readings: Mapping[str, Array],
    log: Sequence[LogEntry],
    marks: Marks,
    fault_at: float | None,
    hands: Sequence[TaskSpell] = (),
) -> tuple[CriticalItem, ...]:
    """Every limit crossed, gravest first, then in order of time."""
    last = float(readings["time"][-1])
    items = []
    for limit in limits.LIMITS:
        value = limit.value(marks)
        if value is None:
            continue
        spells = []
        for window in limit.while_.spans(log, last):
            spells += beyond(*cut(readings["time"], readings[limit.quantity], window), value, limit.below)
        if not spells and limit.event is not None:
            spells = [Spell(e.time, e.time, value, e.time) for e in log if e.event == limit.event]
        if spells:
            worst = (min if limit.below else max)(spells, key=lambda s: s.worst)
            why = because(limit, spells[0], readings, log, marks)
            items.append(_item(limit, limit.quantity, spells, worst, log, fault_at, why))
    for condition in limits.CONDITIONS:
        spells = [Spell(a, b, b - a, b) for a, b in condition.while_.spans(log, last)]
        if spells:
            worst = max(spells, key=lambda s: s.worst)
            why = because(condition, spells[0], readings, log, marks, hands)
            items.append(_item(condition, "time", spells, worst, log, fault_at, why))
    return tuple(sorted(items, key=lambda i: (SEVERITIES.index(i.severity), i.first_at, i.item)))


def if_nothing_done_sentence(record: IfNothingDone, marks: Marks) -> str:
    """What becomes of the water when nobody answers the fault, with its spread."""
    opening = f"If nobody answered the fault at {clock(marks.started, record.fault_at)}"
    if record.bottom_nut_after is None:
        return f"{opening}, water would still show in the glass {duration(record.looked_ahead)} later."
    after, spread = record.bottom_nut_after, record.uncertainty_fraction
    return (
        f"{opening}, the glass would be empty after {duration(after)} "
        f"(between {duration(after * (1 - spread))} and {duration(after * (1 + spread))})."
    )


def solids_sentence(solids: Solids, marks: Marks) -> str:
    """What the solids of boiler and feed ask for, as a fact."""
    unit = units.display_unit("dissolved_solids", marks.units)
    told, most = (units.show(value, "dissolved_solids", unit) for value in (solids.at_end, solids.limit))
    share = units.significant(100.0 * solids.blow_down_fraction, 2)
    return (
        f"Solids {told} at the end: to stay under {most} for good, about {share} % of the feed would have "
        "to be blown down (B = S·Cf/(Cb − Cf))."
    )


def _during(
    readings: Mapping[str, Array], name: str, log: Sequence[LogEntry], window: limits.Window
) -> tuple[Array, Array]:
    """Times and values of a reading within all windows, joined; the whole reading if there is none."""
    time, value = readings["time"], readings[name]
    parts = [cut(time, value, span) for span in window.spans(log, float(time[-1]))]
    parts = [part for part in parts if part[0].size] or [(time, value)]
    return np.concatenate([t for t, _ in parts]), np.concatenate([v for _, v in parts])


def _item(
    rule: limits.Limit | limits.Condition,
    quantity: str,
    spells: Sequence[Spell],
    worst: Spell,
    log: Sequence[LogEntry],
    fault_at: float | None,
    why: str,
) -> CriticalItem:
    after = [s.start - fault_at for s in spells if fault_at is not None and s.start >= fault_at]
    return CriticalItem(
        subject=rule.subject,
        item=rule.item,
        severity=rule.severity,
        first_at=spells[0].start,
        lasted=total(spells),
        spells=len(spells),
        worst=worst.worst,
        worst_at=worst.worst_at,
        quantity=quantity,
        after_fault=after[0] if after else None,
        is_again=len(after) < len(spells),
        tried=() if rule.item == limits.MODEL_ENDS else _tried(rule.subject, log, spells),
        because=why,
    )


def _tried(subject: Subject, log: Sequence[LogEntry], spells: Sequence[Spell]) -> tuple[LogEntry, ...]:
    """What the crew did about a subject from its first crossing until the last spell ended."""
    about = limits.ANSWERS.get(subject, (subject,))
    start, end = spells[0].start, spells[-1].end
    return tuple(
        entry
        for entry in log
        if start <= entry.time <= end
        and entry.subject in about
        and entry.who not in (events.PLANT, events.DAY)
        and entry.event != events.LOOK
    )


def _sentence(
    verdict: Verdict,
    readings: Mapping[str, Array],
    log: Sequence[LogEntry],
    marks: Marks,
    fault_at: float | None,
) -> str:
    parts = [_water_clause(verdict, log, marks, fault_at)]
    parts += [
        f"{shown.subject(item.subject)}: {item.item} at {clock(marks.started, item.first_at)}"
        for item in verdict.critical
        if item.severity == "danger" and item.subject != "water"
    ]
    steaming = limits.STEAMING.spans(log, float(readings["time"][-1]))
    if steaming:
        parts.append(_pressure_clause(readings, log, marks))
    due, outcome = marks.arrival_due, verdict.outcome
    if due is not None and outcome.kind == "arrived":
        late = outcome.at - due
        side = "after" if late > 0 else "before"
        parts.append(f"arrives at {clock(marks.started, outcome.at)}, {duration(abs(late))} {side} it is due")
    return "; ".join(parts) + "."


def _water_clause(verdict: Verdict, log: Sequence[LogEntry], marks: Marks, fault_at: float | None) -> str:
    at = clock(marks.started, verdict.lowest_glass_at)
    lowest = f"lowest glass {shown.glass(verdict.lowest_glass_fraction)} at {at}"
    items = {item.item: item for item in verdict.critical if item.subject == "water"}
    gone = items.get(_name("glass_fraction", "danger"))
    bare = items.get(_name("water_level", "danger"))
    full = items.get(limits.FULL)
    if full:
        return f"The boiler is full to the top at {clock(marks.started, full.first_at)}: {OUTSIDE}"
    if gone or bare:
        return _lost_clause(gone, bare, log, marks, fault_at)
    margin = marks.level_uncertainty / marks.glass_length
    if verdict.lowest_glass_fraction < margin:
        doubt = "Whether the plan holds the water is within the model's error"
        return f"{doubt}: {lowest}, give or take {shown.glass(margin)}"
    low = items.get(_name("glass_fraction", "act"))
    if low:
        return f"The plan holds the water but works low: {lowest}, below a quarter for {duration(low.lasted)}"
    return f"The plan holds the water: {lowest}"


def _lost_clause(
    gone: CriticalItem | None,
    bare: CriticalItem | None,
    log: Sequence[LogEntry],
    marks: Marks,
    fault_at: float | None,
) -> str:
    parts = []
    if gone:
        when = f"at {clock(marks.started, gone.first_at)}"
        if gone.after_fault is None:
            parts.append(f"The water is below the bottom nut {when}")
        else:
            faults = [e.text for e in log if e.event == events.FAULT and e.time == fault_at]
            told = f" ({_inside(faults[0])})" if faults else ""
            after = f"{duration(gone.after_fault)} after the fault{told}"
            parts.append(f"The water is below the bottom nut {after}, {when}")
    if bare:
        when = clock(marks.started, bare.first_at)
        parts.append(f"{'the' if parts else 'The'} crown is bare at {when}: {OUTSIDE}")
    return "; ".join(parts)


def _inside(sentence: str) -> str:
    """A sentence as part of another: no full stop, no capital."""
    return (sentence[:1].lower() + sentence[1:]).rstrip(".")


def _pressure_clause(readings: Mapping[str, Array], log: Sequence[LogEntry], marks: Marks) -> str:
    _, pressure = _during(readings, "boiler_pressure", log, limits.STEAMING)
    low = shown.bare("boiler_pressure", float(np.nanmin(pressure)), marks.units)
    high = shown.text("boiler_pressure", float(np.nanmax(pressure)), marks.units)
    left = shown.text("fuel_on_board", float(readings["fuel_on_board"][-1]), marks.units)
    return f"pressure under way between {low} and {high}; fuel left {left}"


def _name(quantity: str, severity: str) -> str:
    """The item that watches a reading from below; the rows of the table stay the only spelling."""
    return next(
        limit.item
        for limit in limits.LIMITS
        if (limit.quantity, limit.severity, limit.below) == (quantity, severity, True)
    )
