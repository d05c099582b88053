"""The object printed by `limit --json`, schema version 1. SI inside; null where not known."""

from __future__ import annotations

from halfglass.result.limit_found import LimitAnswer
from halfglass.vocabulary.unit_table import KINDS

SCHEMA_VERSION = 1


def as_object(answer: LimitAnswer) -> dict[str, object]:
    """The whole answer as one object."""
    return {
        "schema_version": SCHEMA_VERSION,
        "scenario": answer.title,
        "plan": answer.plan,
        "criterion": answer.words,
        "key": answer.key,
        "unit": KINDS[answer.kind].si_unit,
        "runs": answer.runs,
        "share": answer.share,
        "held": [list(span) for span in answer.held],
        "end_90_percent": None if answer.firm is None else list(answer.firm),
        "failed": answer.failed,
        "uncertain": [{"key": key, "spread": told} for key, told in answer.uncertain],
        "days": [
            {
                "seed": limit.seed,
                "scan_step": limit.step,
                "held_without_arriving": list(limit.unfinished),
                "edges": [
                    {"below": e.below, "above": e.above, "holds_below": e.holds_below, "safe": e.safe}
                    for e in limit.edges
                ],
                "tried": [{"value": value, "holds": holds} for value, holds in limit.tried],
            }
            for limit in answer.limits
        ],
        "provenance": dict(answer.provenance),
    }
