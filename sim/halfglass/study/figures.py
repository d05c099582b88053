"""The figures of outings side by side: endings, what became critical, margins, times, stores, hands."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from halfglass.result import limits, shown
from halfglass.result.clock import clock, duration
from halfglass.result.comparison import Cell, Row
from halfglass.result.nearest import SPANS
from halfglass.result.records import CriticalItem, Marks, Nearest, Outing
from halfglass.result.spells import cut
from halfglass.result.timeline import log_entries
from halfglass.result.verdict import SEVERITIES

SHARE = 0.05
"""Share of what a reading spans, or of a total, within which two outings are level (judgement): the model's
errors are mostly common to both, so this is less than the error of either alone."""
CLOSE = 0.25
"""Share of its span within which a margin is worth telling first (judgement)."""
NOT_REACHED = "not reached"


def level_within(quantity: str, marks: Marks) -> float:
    """How far two outings may differ in a reading and still be level [SI of the reading]."""
    if quantity == "glass_fraction":
        return marks.level_uncertainty / marks.glass_length
    if quantity in ("water_level", "glass_level"):
        return marks.level_uncertainty
    return SHARE * SPANS[quantity](marks) if quantity in SPANS else 0.0


def level_total(values: Sequence[float]) -> float:
    """How far totals may differ and still be level."""
    return SHARE * max((abs(value) for value in values), default=0.0)


def figures(outings: Sequence[Outing]) -> tuple[Row, ...]:
    """All rows of the table, in the units of the first outing."""
    return tuple(
        row
        for part in (_endings, _lowest, _critical, _margins, _arrivals, _stores, _hands)
        for row in part(outings)
    )


def under_way(outing: Outing, name: str) -> tuple[float, float]:
    """Lowest and highest of a reading while steaming; of the whole day if she never got under way."""
    time = np.asarray(outing.timeline["time"], dtype=float)
    values = np.asarray(outing.timeline[name], dtype=float)
    spans = limits.STEAMING.spans(log_entries(outing.log), float(time[-1]))
    parts = [cut(time, values, span)[1] for span in spans]
    parts = [part for part in parts if part.size] or [values]
    return min(float(np.nanmin(p)) for p in parts), max(float(np.nanmax(p)) for p in parts)


def is_doubtful(outing: Outing) -> bool:
    """Whether the glass came so near the bottom nut that the model cannot say if it emptied."""
    marks, verdict = outing.marks, outing.verdict
    return verdict.holds_water and verdict.lowest_glass_fraction < level_within("glass_fraction", marks)


def _endings(outings: Sequence[Outing]) -> Iterator[Row]:
    ends = [o.verdict.outcome for o in outings]
    cells = tuple(
        Cell(f"{end.kind}, {clock(o.marks.started, end.at)}") for o, end in zip(outings, ends, strict=True)
    )
    yield Row("outcome", "ends", "", cells)
    yield Row("outcome", "holds the water", "", tuple(Cell(_held_water(o)) for o in outings))


def _held_water(outing: Outing) -> str:
    if is_doubtful(outing):
        return "within the model's error"
    return "yes" if outing.verdict.holds_water else "no"


def _lowest(outings: Sequence[Outing]) -> Iterator[Row]:
    within = max(level_within("glass_fraction", o.marks) for o in outings)
    glass = tuple(
        Cell(
            f"{shown.glass(o.verdict.lowest_glass_fraction)} "
            f"± {shown.glass(level_within('glass_fraction', o.marks))}, "
            f"{clock(o.marks.started, o.verdict.lowest_glass_at)}",
            o.verdict.lowest_glass_fraction,
        )
        for o in outings
    )
    yield Row("water and steam", "lowest glass", "1", glass, within)
    name, system = "boiler_pressure", outings[0].marks.units
    within = max(level_within(name, o.marks) for o in outings)
    for end, what in enumerate(("lowest pressure under way", "highest pressure under way")):
        values = [under_way(o, name)[end] for o in outings]
        cells = tuple(Cell(shown.text(name, value, system), value) for value in values)
        yield Row("water and steam", what, shown.si_unit(name), cells, within)


def _critical(outings: Sequence[Outing]) -> Iterator[Row]:
    """A row per limit that any of them crossed, gravest first; where it held, by how much."""
    found = [{(i.subject, i.item): i for i in o.verdict.critical} for o in outings]
    grave = sorted(
        {key: item for items in found for key, item in items.items()}.values(),
        key=lambda i: (SEVERITIES.index(i.severity), i.subject, i.item),
    )
    for item in grave:
        key = (item.subject, item.item)
        cells = tuple(
            _crossed(items[key], o) if key in items else _held(key, o)
            for items, o in zip(found, outings, strict=True)
        )
        yield Row("critical", f"{item.severity}: {shown.subject(item.subject)}: {item.item}", "s", cells)


def _crossed(item: CriticalItem, outing: Outing) -> Cell:
    marks = outing.marks
    parts = [f"first {clock(marks.started, item.first_at)}"]
    if item.after_fault is not None:
        parts.append(f"{'again ' if item.is_again else ''}{duration(item.after_fault)} after the fault")
    parts.append(f"for {duration(item.lasted)}")
    if item.quantity != "time":
        parts.append(f"worst {shown.text(item.quantity, item.worst, marks.units)}")
    return Cell(", ".join(parts), item.first_at)


def _held(key: tuple[str, str], outing: Outing) -> Cell:
    near = next((n for n in outing.verdict.nearest if (n.subject, n.item) == key), None)
    if near is not None:
        return Cell(f"not crossed: {_spare(near, outing)}")
    if key[1] in {condition.item for condition in limits.CONDITIONS}:
        return Cell("did not happen")
    return Cell("does not apply")


def _spare(near: Nearest, outing: Outing) -> str:
    system = outing.marks.units
    if near.margin < 0.0:
        return f"crossed by {shown.margin(near.quantity, -near.margin, system)}"
    at = clock(outing.marks.started, near.at)
    return f"{shown.margin(near.quantity, near.margin, system)} to spare, {at} {near.place}"


def _margins(outings: Sequence[Outing]) -> Iterator[Row]:
    """A row per limit that all held, with how near each came; those close in any of them tell most."""
    crossed = {(i.subject, i.item) for o in outings for i in o.verdict.critical}
    found = [{(n.subject, n.item): n for n in o.verdict.nearest} for o in outings]
    for key, first in {k: n for near in found for k, n in near.items()}.items():
        if key in crossed:
            continue
        near = [one.get(key) for one in found]
        cells = tuple(
            Cell("does not apply") if n is None else Cell(_spare(n, o), n.margin)
            for n, o in zip(near, outings, strict=True)
        )
        yield Row(
            "margins",
            f"{shown.subject(first.subject)}: {first.item}",
            shown.si_unit(first.quantity).removesuffix(" gauge"),
            cells,
            max(level_within(first.quantity, o.marks) for o in outings),
            any(n is not None and n.margin_fraction < CLOSE for n in near),
        )


def _arrivals(outings: Sequence[Outing]) -> Iterator[Row]:
    """A row per place and time of coming there, in the order of the first day that has it."""
    found = []
    for outing in outings:
        times: dict[tuple[str, int], float] = {}
        for place, at in outing.arrivals:
            number = 1 + sum(known == place for known, _ in times)
            times[(place, number)] = at
        found.append(times)
    for place, number in dict.fromkeys(key for times in found for key in times):
        reached = [times.get((place, number)) for times in found]
        cells = tuple(
            Cell(NOT_REACHED) if t is None else Cell(clock(o.marks.started, t), t)
            for t, o in zip(reached, outings, strict=True)
        )
        within = level_total([t for t in reached if t is not None])
        yield Row("arrivals", f"{place}{f' ({number})' if number > 1 else ''}", "s", cells, within)


def _total(outings: Sequence[Outing], key: str, name: str, group: str) -> Row:
    """One of the totals; an outing that does not tell it says so."""
    values = [o.totals.get(key) for o in outings]
    system, suffix = outings[0].marks.units, key.rpartition("_")[2]
    cells = tuple(
        Cell("not known") if value is None else Cell(shown.total(key, value, system)[1], value)
        for value in values
    )
    unit = suffix if suffix in ("kg", "s") else "1"
    return Row(group, name, unit, cells, level_total([value for value in values if value is not None]))


def _stores(outings: Sequence[Outing]) -> Iterator[Row]:
    yield _total(outings, "fuel_used_kg", "fuel used", "stores")
    if any(o.totals.get("fuel_taken_kg") for o in outings):
        yield _total(outings, "fuel_taken_kg", "fuel taken on", "stores")
    name = "fuel_on_board"
    left = [float(o.timeline[name].iloc[-1]) for o in outings]
    cells = tuple(Cell(shown.text(name, value, outings[0].marks.units), value) for value in left)
    within = max(level_within(name, o.marks) for o in outings)
    yield Row("stores", "fuel left", "kg", cells, within)
    for key, what in (("hotwell_made_up_kg", "water into the hot well"), ("blown_down_kg", "blown down")):
        if any(o.totals.get(key) for o in outings):
            yield _total(outings, key, what, "stores")


def _busy(outing: Outing) -> Sequence[float]:
    return outing.occupation.busy_under_way if outing.occupation else ()


def _hands(outings: Sequence[Outing]) -> Iterator[Row]:
    yield Row("hands", "hands aboard", "1", tuple(Cell(str(o.marks.hands), o.marks.hands) for o in outings))
    yield _total(outings, "hand_pumping_s", "hand pumping", "hands")
    yield _total(outings, "hand_pump_strokes", "strokes", "hands")
    cells = tuple(
        Cell(" and ".join(f"{100 * share:.0f} %" for share in _busy(o)), sum(_busy(o)))
        if _busy(o)
        else Cell("not known")
        for o in outings
    )
    yield Row("hands", "busy under way", "1", cells, SHARE)
    late = tuple(
        Cell(
            f"{o.occupation.overdue} times, worst {duration(o.occupation.worst_overdue)}"
            if o.occupation.overdue
            else "never",
            o.occupation.overdue,
        )
        if o.occupation
        else Cell("not known")
        for o in outings
    )
    yield Row("hands", "late for a look", "1", late)
