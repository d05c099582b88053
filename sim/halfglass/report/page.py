"""The report: one self-contained HTML page for all plans of a scenario; it reads without script."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

from markupsafe import Markup

from halfglass.report import cursor, details, energy_picture, glass, pictures, sheet, told
from halfglass.report.route_strip import LEGEND, route_strip
from halfglass.report.scene import Plan, Scene, scene
from halfglass.result import events, ledger, limits, shown, verdict
from halfglass.result.clock import clock, duration
from halfglass.result.records import CriticalItem, LedgerRow, LogEntry, Nearest, Outing
from halfglass.vocabulary import sources, units

PRINTED_LINES = 10  # of the log on paper: what fits beside the ledger on the third sheet
TRIED_SHOWN = 3
PRINTED_ROWS = 4  # of nearest limits and of tasks on paper: the rest are far off or short
PRINTED_ITEM = 0.04  # of the largest item: lesser ones of the ledger are left out on paper
FIRE_OUT = 100.0  # W of fuel, below which shares of its heat say nothing


def render(outings: Sequence[Outing]) -> str:
    """The whole page as text; the same outings give the same text."""
    if not outings:
        raise ValueError("a report needs at least one outing")
    whole = scene(outings)
    first = outings[0]
    groups = [
        (group, [glass.strip(group), *(draw(group) for draw in pictures.OVERLAYS)])
        for group in whole.groups()
    ]
    alone = [whole.alone(plan) for plan in whole.plans]
    own = [(one, [draw(one) for draw in details.DETAILS]) for one in alone]
    shown_on = [(picture, of) for of, drawn in (*groups, *own) for picture in drawn]
    return sheet.template("report").render(
        css=Markup(sheet.style_sheet("report") + cursor.look()),
        policy=cursor.policy(),
        script=Markup(cursor.script()),
        data=cursor.as_json(cursor.data(whole, shown_on)),
        route=_route(whole),
        title=first.marks.title,
        date=f"{whole.origin.day} {whole.origin:%B %Y}",
        several=len(outings) > 1,
        plans=[_plan(plan, whole, drawn) for plan, (_, drawn) in zip(whole.plans, own, strict=True)],
        critical=[_critical(item, plan) for plan, item in _gravest_first(whole)],
        groups=[_group(group, whole, drawn) for group, drawn in groups],
        assumptions=_once(text for outing in outings for text in outing.assumptions),
        cautions=sheet.CAUTIONS,
        sources=[sources.cite(key) for key in _once(key for outing in outings for key in outing.sources)],
        provenance=sheet.provenance({k: v for k, v in first.provenance.items() if k != "plan"}),
    )


def _route(whole: Scene) -> dict[str, Any]:
    """The route strip, its drawings as markup."""
    route = route_strip(whole)
    return {**vars(route), "legend": LEGEND, "svg": Markup(route.svg), "narrow": Markup(route.narrow)}


def _plan(plan: Plan, whole: Scene, drawn: Sequence[pictures.Picture]) -> dict[str, Any]:
    """What the page says about one plan."""
    outing = plan.outing
    log, nothing_done, books = _log(plan), outing.if_nothing_done, outing.ledger
    return {
        **sheet.badge(plan),
        **sheet.verdict_of(plan),
        "if_nothing_done": nothing_done and verdict.if_nothing_done_sentence(nothing_done, outing.marks),
        "notes": [
            line
            for line in (told.reached(outing), told.hands(outing), told.stores(outing), told.solids(outing))
            if line
        ],
        "printed": PRINTED_ROWS,
        "item": f"{100 * PRINTED_ITEM:g} %",
        "nearest": [_nearest(near, outing) for near in outing.verdict.nearest],
        "tasks": _tasks(outing),
        "pictures": [sheet.drawn(picture, several=False) for picture in drawn],
        "energy": _energy(plan, whole.units),
        "log": log,
        "left_out": sum("off-paper" in line["classes"] for line in log),
        "totals": [
            (*shown.total(key, value, whole.units), value == 0.0) for key, value in outing.totals.items()
        ],
        "ledgers": [
            _ledger("Mass", "mass", books.mass, books.mass_error_kg, books.mass_relative, whole.units),
            _ledger(
                "Energy", "energy", books.energy, books.energy_error_J, books.energy_relative, whole.units
            ),
        ],
    }


def _nearest(near: Nearest, outing: Outing) -> dict[str, str]:
    """One line of the table of nearest approaches."""
    system, margin = outing.marks.units, told.margin(near, outing)
    return {
        "what": told.item(near),
        "limit": shown.text(near.quantity, near.limit, system),
        "nearest": shown.text(near.quantity, near.value, system),
        "margin": f"crossed by {margin}" if near.margin_fraction <= -told.REACHED else margin,
        "when": f"{told.when(near, outing)}, {near.place}",
    }


def _tasks(outing: Outing) -> list[tuple[str, str, str, int]]:
    """What the hands were at: task, time, of it under way, how often."""
    tasks = () if outing.occupation is None else outing.occupation.tasks
    return [(task.task, duration(task.seconds), duration(task.under_way), task.times) for task in tasks]


def _energy(plan: Plan, system: str) -> dict[str, Any] | None:
    """The energy flow of the longest leg; None if no leg was long enough to settle or the fire was out."""
    flow, started = plan.outing.energy_flow, plan.outing.marks.started
    if flow is None or flow.fuel_power < FIRE_OUT:
        return None
    first, last = clock(started, flow.began), clock(started, flow.ended)
    return {
        "caption": f"Mean powers on the leg to {flow.heading}, {first} to {last}. Bands are as wide as the "
        f"power they carry; what is under {100 * energy_picture.SEEN:g} % of the fuel's heat, and lake water "
        "to the hot well, stand in the table only. Kept or given up is what a vessel holds more "
        "or less at the end. Heat of water is counted from 0 °C. The wash is what is "
        "left of the shaft's work; all else is added up by itself.",
        "svg": Markup(energy_picture.draw(flow, system, f"energy-{plan.letter}")),
        "rows": energy_picture.table(flow, system),
        "closes": f"{flow.worst_error:.0e} of the fuel's heat at the worst vessel, "
        f"{flow.total_error:.0e} in all",
    }


def _group(group: Scene, whole: Scene, drawn: Sequence[pictures.Picture]) -> dict[str, Any]:
    """The plans that share pictures: all of them, or six at a time."""
    several = len(whole.plans) > 1
    letters = ", ".join(plan.letter for plan in group.plans)
    return {
        "of": f", plans {letters}" if several else "",
        "plans": [sheet.badge(plan) for plan in group.plans],
        "glass": sheet.drawn(drawn[0], several),
        "pictures": [sheet.drawn(picture, several) for picture in drawn[1:]],
    }


def _gravest_first(whole: Scene) -> list[tuple[Plan, CriticalItem]]:
    found = [(plan, item) for plan in whole.plans for item in plan.outing.verdict.critical]
    rank = verdict.SEVERITIES.index
    return sorted(found, key=lambda pair: (rank(pair[1].severity), pair[1].first_at + pair[0].offset))


def _critical(item: CriticalItem, plan: Plan) -> dict[str, str]:
    """One line of the table of what became critical."""
    marks = plan.outing.marks
    worst = shown.text(item.quantity, item.worst, marks.units)
    if item.quantity == "glass_fraction":
        worst += f", give or take {shown.glass(marks.level_uncertainty / marks.glass_length)}"
    times = f" in {item.spells} spells" if item.spells > 1 else ""
    return {
        "letter": plan.letter,
        "severity": item.severity,
        "what": f"{shown.subject(item.subject).capitalize()}: {item.item}",
        "first": clock(marks.started, item.first_at),
        "after_fault": _after(item),
        "lasted": duration(item.lasted) + times,
        "worst": f"{worst}, {clock(marks.started, item.worst_at)}",
        "tried": _tried(item, plan),
        "because": item.because,
    }


def _after(item: CriticalItem) -> str:
    """From the fault to the first spell after it, marked if there was one before."""
    if item.after_fault is None:
        return ""
    return f"{'again ' if item.is_again else ''}{duration(item.after_fault)}"


def _tried(item: CriticalItem, plan: Plan) -> str:
    if item.item == limits.MODEL_ENDS:
        return "the model ends here"
    if not item.tried:
        return "nothing logged"
    acts = [
        f"{clock(plan.outing.marks.started, entry.time)} {entry.who} {entry.event}"
        for entry in item.tried[:TRIED_SHOWN]
    ]
    more = len(item.tried) - len(acts)
    return "; ".join(acts) + (f"; and {more} more in the log" if more else "")


def _log(plan: Plan) -> list[dict[str, str]]:
    """The log for screen; lines that paper has no room for are classed `off-paper`."""
    order = sorted(range(len(plan.log)), key=lambda index: (_routine(plan.log[index]), index))
    on_paper = {index for index in order[:PRINTED_LINES] if plan.log[index].event != events.LOOK}
    lines = []
    for index, entry in enumerate(plan.log):
        classes = [
            name
            for name, holds in (
                ("look", entry.event == events.LOOK),
                ("mark", _routine(entry) == 0),
                ("off-paper", index not in on_paper),
            )
            if holds
        ]
        lines.append(
            {
                "at": clock(plan.outing.marks.started, entry.time, with_seconds=True),
                "who": entry.who,
                "subject": shown.subject(entry.subject),
                "event": entry.event,
                "text": entry.text,
                "classes": " ".join(classes),
            }
        )
    return lines


def _routine(entry: LogEntry) -> int:
    """How little would be missed on paper: faults and crossings 0, day and plant 1, hands 2, looks 3."""
    if entry.event in (events.FAULT, events.FAULT_REPAIRED):
        return 0
    if entry.event in (events.BOTTOM_NUT, events.CROWN_BARE, events.BOILER_FULL):
        return 0
    if entry.event == events.LOOK:
        return 3
    return 1 if entry.who in (events.DAY, events.PLANT) else 2


def _ledger(
    title: str, kind: str, rows: tuple[LedgerRow, ...], error: float, relative: float, system: str
) -> dict[str, Any]:
    """One of the two ledgers, in the units of the answers."""
    unit = units.display_unit(kind, system)
    amounts = [float(units.convert(row.amount, kind, unit)) for row in rows]
    largest = max((abs(amount) for amount in amounts), default=1.0) or 1.0
    decimals = max(0, 3 - math.floor(math.log10(largest)))  # four figures of the largest, all alike
    return {
        "title": title,
        "unit": unit,
        "error": f"{abs(units.convert(error, kind, unit)):.1e} {unit}",
        "relative": f"{relative:.1e}",
        "rows": [
            {
                "side": row.side,
                "name": row.name,
                "amount": f"{amount:z.{decimals}f}",
                "share": f"{100 * ledger.share(rows, row):z.1f}",
                "is_nothing": abs(amount) < PRINTED_ITEM * largest,
            }
            for row, amount in zip(rows, amounts, strict=True)
        ],
    }


def _once(texts: Iterable[str]) -> list[str]:
    """In order, without repeats."""
    return list(dict.fromkeys(texts))
