"""Sentences about one outing that terminal and page share: places reached, hands, stores, nearest limits."""

from __future__ import annotations

from halfglass.report.style import letter
from halfglass.result import shown, verdict
from halfglass.result.clock import clock, duration
from halfglass.result.records import Nearest, Outing

CLOSE = 0.25
"""Share of a reading's span within which a limit that held is worth a line (judgement)."""
CLOSEST = 3
TASKS_TOLD = 3
REACHED = 1e-4
"""Share of a reading's span within which a limit counts as reached and no more (judgement)."""
SOLIDS_TOLD = 0.5
"""Share of the limit from which the solids get a sentence (judgement)."""
LEAST_TOLD = 0.05
"""kg taken on from which it is told (judgement)."""
CARRIED = (("fuel_taken_kg", "fuel"), ("hotwell_made_up_kg", "water into the hot well"))


def reached(outing: Outing) -> str:
    """Places with their clock times; empty if none was reached."""
    told = [f"{arrival.place} {clock(outing.marks.started, arrival.at)}" for arrival in outing.arrivals]
    return f"Reached {'; '.join(told)}." if told else ""


def hands(outing: Outing) -> str:
    """What took the hands longest, how busy they were under way, what was late."""
    found = outing.occupation
    if found is None or not found.tasks:
        return ""
    tasks = ", ".join(f"{task.task} {duration(task.seconds)}" for task in found.tasks[:TASKS_TOLD])
    parts = [f"Hands: {tasks}"]
    if found.under_way > 0.0:
        shares = " and ".join(f"{100.0 * share:.0f} %" for share in found.busy_under_way)
        alone = " besides steering" if len(found.busy_under_way) == 1 else ""
        parts.append(f"busy {shares} of {duration(found.under_way)} under way{alone}")
    if found.overdue:
        times = "once" if found.overdue == 1 else f"{found.overdue} times"
        parts.append(f"late for a look {times}, at worst by {duration(found.worst_overdue)}")
    return "; ".join(parts) + "."


def stores(outing: Outing) -> str:
    """Fuel and water taken on, water blown down; empty if there was none of it."""
    system = outing.marks.units
    parts = [
        f"{shown.total(key, outing.totals[key], system)[1]} of {what}"
        for key, what in CARRIED
        if outing.totals.get(key, 0.0) > LEAST_TOLD
    ]
    lines = [f"Taken on: {' and '.join(parts)}."] if parts else []
    if outing.totals.get("blown_down_kg", 0.0) > 0.0:
        lines.append(
            f"Blown down: {shown.total('blown_down_kg', outing.totals['blown_down_kg'], system)[1]}."
        )
    return " ".join(lines)


def solids(outing: Outing) -> str:
    """The sentence on solids, where they matter."""
    found = outing.solids
    if found is None or found.at_end < SOLIDS_TOLD * found.limit:
        return ""
    return verdict.solids_sentence(found, outing.marks)


def closest(outing: Outing) -> list[str]:
    """The limits that held by the least, a line each."""
    held: dict[tuple[str, bool], Nearest] = {}  # the first of a kind stands for those beyond it
    for near in outing.verdict.nearest:
        if REACHED <= near.margin_fraction < CLOSE:
            held.setdefault((near.quantity, near.below), near)
    told = list(held.values())[:CLOSEST]
    return [f"{item(n)}: {margin(n, outing)} to spare at {when(n, outing)}, {n.place}" for n in told]


def item(near: Nearest) -> str:
    """Subject and item in words."""
    return f"{shown.subject(near.subject)}: {near.item}"


def margin(near: Nearest, outing: Outing) -> str:
    """How far a limit was off, with its unit; just reached is told as that."""
    if abs(near.margin_fraction) < REACHED:
        return "nothing: just reached"
    return shown.margin(near.quantity, abs(near.margin), outing.marks.units)


def when(near: Nearest, outing: Outing) -> str:
    """Clock time of the nearest approach."""
    return clock(outing.marks.started, near.at)


def by_plan(index: int, outing: Outing, several: bool) -> str:
    """A plan's head line."""
    return f"{letter(index)}  {outing.marks.plan_name}" if several else outing.marks.plan_name
