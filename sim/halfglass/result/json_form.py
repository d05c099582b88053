"""The object printed by `run --json`, schema version 1. SI inside, units named; null where not known."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from halfglass.result import shown
from halfglass.result.clock import stamp
from halfglass.result.energy_flow import EnergyFlow, Link, Node
from halfglass.result.records import CriticalItem, Nearest, Occupation, Outing, Solids

SCHEMA_VERSION = 1


def as_object(outings: Sequence[Outing], timeline_paths: Sequence[Path | str | None]) -> dict[str, Any]:
    """All plans of one scenario as one object; `timeline_paths` gives each plan's CSV file, or None."""
    first = outings[0]
    return {
        "schema_version": SCHEMA_VERSION,
        "scenario": first.marks.title,
        "plans": [_plan(outing, path) for outing, path in zip(outings, timeline_paths, strict=True)],
        "provenance": {k: v for k, v in first.provenance.items() if k != "plan"},
    }


def _plan(outing: Outing, path: Path | str | None) -> dict[str, Any]:
    verdict, ledger, started = outing.verdict, outing.ledger, outing.marks.started
    return {
        "name": outing.marks.plan_name,
        "outcome": {
            "kind": verdict.outcome.kind,
            "at": stamp(started, verdict.outcome.at),
            "sentence": f"{verdict.outcome.sentence} {verdict.sentence}".strip(),
        },
        "critical": [_critical(item, outing) for item in verdict.critical],
        "nearest": [_nearest(near, started) for near in verdict.nearest],
        "arrivals": [
            {"place": arrival.place, "at": stamp(started, arrival.at), "at_s": _number(arrival.at)}
            for arrival in outing.arrivals
        ],
        "occupation": _occupation(outing.occupation),
        "solids": _solids(outing.solids),
        "totals": _totals(outing),
        "ledger": {
            "mass_error_kg": _number(ledger.mass_error_kg),
            "energy_error_J": _number(ledger.energy_error_J),
            "mass_relative": _number(ledger.mass_relative),
            "energy_relative": _number(ledger.energy_relative),
        },
        "timeline": None if path is None else str(path),
        "energy_flow": _energy_flow(outing.energy_flow, started),
    }


def _critical(item: CriticalItem, outing: Outing) -> dict[str, Any]:
    return {
        "subject": item.subject,
        "item": item.item,
        "severity": item.severity,
        "first_at": stamp(outing.marks.started, item.first_at),
        "first_s": _number(item.first_at),
        "lasted_s": _number(item.lasted),
        "worst": _number(item.worst),
        "unit": shown.si_unit(item.quantity),
        "after_fault_s": _number(item.after_fault),
        "because": item.because,
    }


def _nearest(near: Nearest, started: datetime) -> dict[str, Any]:
    return {
        "subject": near.subject,
        "item": near.item,
        "reading": near.quantity,
        "unit": shown.si_unit(near.quantity),
        "limit": _number(near.limit),
        "nearest": _number(near.value),
        "margin": _number(near.margin),
        "margin_fraction": _number(near.margin_fraction),
        "at": stamp(started, near.at),
        "at_s": _number(near.at),
        "place": near.place,
    }


def _occupation(found: Occupation | None) -> dict[str, Any] | None:
    if found is None:
        return None
    tasks = [
        {"task": t.task, "s": _number(t.seconds), "under_way_s": _number(t.under_way), "times": t.times}
        for t in found.tasks
    ]
    return {
        "tasks": tasks,
        "under_way_s": _number(found.under_way),
        "busy_under_way_fraction": [_number(share) for share in found.busy_under_way],
        "overdue": found.overdue,
        "worst_overdue_s": _number(found.worst_overdue),
    }


def _solids(found: Solids | None) -> dict[str, Any] | None:
    if found is None:
        return None
    return {
        "at_end_mg_per_kg": _number(found.at_end),
        "feed_mg_per_kg": _number(found.feed),
        "limit_mg_per_kg": _number(found.limit),
        "blow_down_fraction": _number(found.blow_down_fraction),
    }


def _totals(outing: Outing) -> dict[str, float | None]:
    """The outing's totals; with a fault also how long the water lasts when nobody answers it."""
    totals = {key: _number(value) for key, value in outing.totals.items()}
    totals["lowest_glass_fraction"] = _number(outing.verdict.lowest_glass_fraction)
    if outing.if_nothing_done is not None:
        totals["bottom_nut_if_nothing_done_s"] = _number(outing.if_nothing_done.bottom_nut_after)
    return totals


def _energy_flow(flow: EnergyFlow | None, started: datetime) -> dict[str, Any] | None:
    """The mean powers of the longest leg; null if no leg was long enough to settle."""
    if flow is None:
        return None
    return {
        "heading": flow.heading,
        "from": stamp(started, flow.began),
        "to": stamp(started, flow.ended),
        "fuel_W": _number(flow.fuel_power),
        "links": [_link(link) for link in flow.links],
        "nodes": [_node(node) for node in flow.nodes],
        "worst_relative": _number(flow.worst_error),
        "total_relative": _number(flow.total_error),
    }


def _link(link: Link) -> dict[str, Any]:
    ends = {"from": link.source or None, "to": link.target or None}
    return {"name": link.name, **ends, "W": _number(link.power)}


def _node(node: Node) -> dict[str, Any]:
    powers = {"in_W": node.inflow, "out_W": node.outflow, "stored_W": node.stored, "error_W": node.error}
    return {"name": node.name, **{key: _number(value) for key, value in powers.items()}}


def _number(value: float | None) -> float | None:
    """JSON knows no infinities: what is not a number is null."""
    return float(value) if value is not None and math.isfinite(value) else None
