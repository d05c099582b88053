"""The edges of a criterion in words and as one object."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from statistics import median

from halfglass.report.terminal import fold
from halfglass.result.limit_found import Limit

CAUTION = (
    "A rehearsal, not a permission: the model is simpler than the boat. If the glass is empty the fire comes "
    "out and the engine stops, whatever stands here."
)


def limit_text(
    found: Sequence[Limit], words: str, key: str, show: Callable[[float], str], often: Sequence[float],
    width: int = 80,
) -> str:  # fmt: skip
    """The answer for people; `show` tells a value [SI] with its unit, `often` held in 95 % of the seeds."""
    first = found[0]
    low, high = first.tried[0][0], first.tried[-1][0]
    lines = [f"{words!r} over {key} from {show(low)} to {show(high)}"]
    for limit in found:
        lines += [f"seed {limit.seed}: {sentence}" for sentence in _told(limit, show)]
    early = [value for limit in found for value in limit.unfinished]
    if early:
        lines.append(
            f"CAUTION: at {len(early)} of the days where it held, from {show(min(early))} to "
            f"{show(max(early))}, the boat did not arrive; the day ended early. "
            "Add 'and arrives' to count those out."
        )
    if len(found) > 1:
        firsts = [limit.edges[0].safe for limit in found if limit.edges]
        if firsts:
            lines.append(
                f"first edge over {len(found)} seeds: {show(min(firsts))} to {show(max(firsts))}, "
                f"middle {show(median(firsts))}"
            )
        held = f"from {show(often[0])} to {show(often[-1])}" if often else "at none of them"
        gaps = " (not at all between)" if len(often) > 1 and not _is_unbroken(often, first.step) else ""
        lines.append(f"values of the scan that held in 95 % of the seeds: {held}{gaps}")
    lines.append(
        f"{sum(limit.runs for limit in found)} days run; the scan stepped by {show(first.step)}: a "
        "coming and going within one step goes unseen. The crew act at looks, so an edge may move "
        "with where a look falls."
    )
    lines.append(CAUTION)
    return "\n".join(line for text in lines for line in fold(text, width, "", "  "))


def _told(limit: Limit, show: Callable[[float], str]) -> list[str]:
    if not limit.edges:
        where = "everywhere" if limit.tried[0][1] else "nowhere"
        return [f"holds {where} it was tried"]
    told = [
        f"{'holds up to' if edge.holds_below else 'holds from'} {show(edge.safe)} "
        f"(edge between {show(edge.below)} and {show(edge.above)})"
        for edge in limit.edges
    ]
    if len(told) > 1:
        told.append(f"the answer changes {len(told)} times: there is no single limit")
    return told


def _is_unbroken(values: Sequence[float], step: float) -> bool:
    return all(abs(b - a - step) < 1e-6 * abs(step) for a, b in zip(values, values[1:], strict=False))


def limit_object(found: Sequence[Limit], words: str, key: str, often: Sequence[float]) -> dict[str, object]:
    """The answer as one JSON object, values in SI."""
    return {
        "criterion": words,
        "key": key,
        "runs": sum(limit.runs for limit in found),
        "held_in_95_percent": list(often),
        "seeds": [
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
            for limit in found
        ],
    }
