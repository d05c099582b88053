"""The object printed by `spread --json`, schema version 1. SI inside, units named; null where not known."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from halfglass.result import shown
from halfglass.result.clock import stamp
from halfglass.result.spread_records import ANSWERS, LEVEL, QUANTILES, Chance, PlanSpread, SpreadResult

SCHEMA_VERSION = 1


def as_object(result: SpreadResult) -> dict[str, Any]:
    """The whole answer as one object."""
    return {
        "schema_version": SCHEMA_VERSION,
        "scenario": result.title,
        "started": stamp(result.started, 0.0),
        "sampling": result.sampling,
        "members": result.members,
        "seed": result.seed,
        "confidence": LEVEL,
        "quantiles": list(QUANTILES),
        "uncertain": [{"key": key, "spread": told} for key, told in result.uncertain],
        "plans": [_plan(plan) for plan in result.plans],
        "differences": [
            {
                "plan": one.plan, "other": one.other, "what": one.what,
                "unit": None if one.quantity is None else shown.si_unit(one.quantity),
                "value": _number(one.value), "low": _number(one.low), "high": _number(one.high),
                "clear": one.is_clear,
            }
            for one in result.differences
        ],
        "notes": list(result.notes),
        "provenance": dict(result.provenance),
    }  # fmt: skip


def _plan(plan: PlanSpread) -> dict[str, Any]:
    return {
        "name": plan.name,
        "days": plan.days,
        "failed": plan.failed,
        "outcomes": dict(plan.outcomes),
        "answers": {
            name: {"unit": shown.si_unit(ANSWERS[name][1]), "values": _numbers(values)}
            for name, values in plan.answers.items()
        },
        "chances": [_chance(chance) for chance in plan.chances],
        "drivers": [
            {
                "key": one.key, "answer": one.answer, "rank_correlation": _number(one.rank_correlation),
                "clear": one.is_clear, "first_order": _number(one.first_order), "total": _number(one.total),
            }
            for one in plan.drivers
        ],
        "bands": [
            {
                "reading": band.quantity, "unit": shown.si_unit(band.quantity), "time_s": _numbers(band.time),
                "values": [_numbers(row) for row in band.rows], "days_going": _numbers(band.going),
            }
            for band in plan.bands
        ],
    }  # fmt: skip


def _chance(chance: Chance) -> dict[str, Any]:
    return {
        "subject": chance.subject,
        "item": chance.item,
        "severity": chance.severity,
        "days": chance.days,
        "of": chance.of,
        "share": chance.share,
        "low": chance.low,
        "high": chance.high,
        "first_s": _numbers(chance.first_at),
    }


def _numbers(values: Any) -> list[float | None]:
    return [_number(value) for value in np.ravel(values).tolist()]


def _number(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else float(value)
