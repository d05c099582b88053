"""What `propose` prints with --json (schema version 1, SI inside), and its table of all candidates."""

from __future__ import annotations

import csv
import io
import math
from typing import Any

from halfglass.result import shown
from halfglass.result.clock import clock, stamp
from halfglass.result.proposed import Check, Proposal, Tried

SCHEMA_VERSION = 1
FUEL, WATER = "fuel_on_board", "glass_fraction"
"""Readings in whose units fuel burnt and the lowest glass are shown."""


def as_object(found: Proposal) -> dict[str, Any]:
    """The whole answer as one object; null where a number is not known."""
    return {
        "schema_version": SCHEMA_VERSION,
        "scenario": found.title,
        "plan": found.plan,
        "started": stamp(found.started, 0.0),
        "goal": found.goal,
        "limits": list(found.parts),
        "levers": [
            {
                "key": lever.key, "name": lever.name, "lowest": lever.lowest, "highest": lever.highest,
                "written": lever.written, "settings": lever.settings,
            }
            for lever in found.levers
        ],
        "days": found.days,
        "seeds": list(found.seeds),
        "further_seeds": list(found.further_seeds),
        "written": 0,
        "chosen": found.chosen,
        "nearest": found.nearest,
        "front": list(found.front),
        "at_ends": list(found.at_ends),
        "every_single_step_tried": found.is_settled,
        "candidates": [_candidate(one, found) for one in found.tried],
        "checks": [_check(one, found) for one in found.checks],
        "proposed_plan": {"name": found.name, "toml": found.toml} if found.toml else None,
        "notes": list(found.notes),
        "provenance": dict(found.provenance),
    }  # fmt: skip


def _candidate(one: Tried, found: Proposal) -> dict[str, Any]:
    return {
        "number": one.number,
        "within_limits": one.holds,
        "arrival_s": _number(one.arrival),
        "fuel_used_kg": _number(one.fuel),
        "lowest_glass_fraction": _number(one.margin),
        "shortfall": _number(one.shortfall),
        "outcomes": [day.outcome for day in one.days],
        "crossed": sorted({item for day in one.days for item in day.crossed}),
        "settings": {lever.key: text for lever, text in zip(found.levers, one.settings, strict=True)},
    }


def _check(one: Check, found: Proposal) -> dict[str, Any]:
    return {
        "number": one.number,
        "held": one.held,
        "of": len(one.days),
        "not_kept": dict(zip(found.parts, one.broke, strict=True)),
        "arrival_s": [_number(day.arrival) for day in one.days],
        "fuel_used_kg": [_number(day.fuel) for day in one.days],
        "lowest_glass_fraction": [_number(day.margin) for day in one.days],
    }


def _number(value: float) -> float | None:
    return value if math.isfinite(value) else None


def candidates_csv(found: Proposal) -> str:
    """Every candidate in a row, in the units of the answers: figures, how it kept to the limits, settings."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    fuel = shown.unit(FUEL, found.units)
    writer.writerow([
        "candidate", "within limits", "on the front", "held on further seeds", "arrival", "arrival [s]",
        f"fuel burnt [{fuel}]", f"lowest glass [{shown.unit(WATER, found.units)}]", "shortfall", "crossed",
        *(lever.key for lever in found.levers),
    ])  # fmt: skip
    for one in found.tried:
        check = found.check(one.number)
        is_timed = math.isfinite(one.arrival)
        writer.writerow([
            one.number, "yes" if one.holds else "no", "yes" if one.number in found.front else "no",
            f"{check.held} of {len(check.days)}" if check is not None else "",
            clock(found.started, one.arrival) if is_timed else "",
            f"{one.arrival:.1f}" if is_timed else "",
            shown.bare(FUEL, one.fuel, found.units, 4), shown.bare(WATER, one.margin, found.units),
            f"{one.shortfall:.4g}", "; ".join(sorted({item for day in one.days for item in day.crossed})),
            *one.settings,
        ])  # fmt: skip
    return text.getvalue()
