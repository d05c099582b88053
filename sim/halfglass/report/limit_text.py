"""The answer of `limit` in words, and the phrases its page shares."""

from __future__ import annotations

from collections.abc import Iterator
from statistics import median

from halfglass.report.terminal import fold
from halfglass.result.limit_found import Limit, LimitAnswer
from halfglass.vocabulary import units

CAUTION = (
    "A rehearsal, not a permission: the model is simpler than the boat. If the glass is empty the fire comes "
    "out and the engine stops, whatever stands here."
)


def limit_text(answer: LimitAnswer, width: int = 80) -> str:
    """The summary printed by `limit`, in lines of at most `width` cells."""
    lines = [question(answer), *sentences(answer), *notes(answer), CAUTION]
    return "\n".join(line for text in lines for line in fold(text, width, "", "  "))


def value(answer: LimitAnswer, in_si: float, digits: int = 4) -> str:
    """A value of the number with its unit, as it is typed: ``1 min``, not ``1.000 min``."""
    number, space, unit = units.show(in_si, answer.kind, answer.unit, digits).partition(" ")
    return (number.rstrip("0").rstrip(".") if "." in number else number) + space + unit


def question(answer: LimitAnswer) -> str:
    """What was asked."""
    over = f"{answer.key} from {value(answer, answer.low)} to {value(answer, answer.high)}"
    return f"{answer.words!r} over {over}, under {answer.plan!r}"


def sentences(answer: LimitAnswer) -> Iterator[str]:
    """The answer: of the one day, or of all days together."""
    if len(answer.limits) == 1:
        yield from edges(answer, answer.limits[0])
        return
    days, share = len(answer.limits), f"{100 * answer.share:g} %"
    if not answer.held:
        yield f"Nowhere did it hold on {share} of the {days} days."
    for low, high in answer.held:
        yield f"It held on {share} of the {days} days from {value(answer, low)} to {value(answer, high)}."
    if answer.firm is not None:
        ends = " and ".join(value(answer, end) for end in answer.firm)
        yield f"That end lies between {ends}, with 90 % confidence; more days would sharpen it."
    if len(answer.held) > 1:
        yield "It comes and goes: there is no single limit."
    firsts = [limit.edges[0].safe for limit in answer.limits if limit.edges]
    if firsts:
        least, middle, most = (value(answer, of(firsts)) for of in (min, median, max))
        yield f"The first edge of the {len(firsts)} days that have one: {least} to {most}, middle {middle}."


def edges(answer: LimitAnswer, limit: Limit) -> list[str]:
    """Every edge of one day."""
    if not limit.edges:
        return [f"holds {'everywhere' if limit.tried[0][1] else 'nowhere'} it was tried"]
    told = [
        f"{'holds up to' if edge.holds_below else 'holds from'} {value(answer, edge.safe)} "
        f"(edge between {value(answer, edge.below)} and {value(answer, edge.above)})"
        for edge in limit.edges
    ]
    if len(told) > 1:
        told.append(f"the answer changes {len(told)} times: there is no single limit")
    return told


def notes(answer: LimitAnswer) -> Iterator[str]:
    """What a reader of the answer must know."""
    early = [one for limit in answer.limits for one in limit.unfinished]
    if early:
        yield (
            f"CAUTION: at {len(early)} of the days where it held, from {value(answer, min(early))} to "
            f"{value(answer, max(early))}, the boat did not arrive; the day ended early. "
            "Add 'and arrives' to count those out."
        )
    if answer.failed:
        yield f"{answer.failed} of the days drawn could not be run at every value and count in no figure."
    if answer.uncertain:
        told = "; ".join(f"{key} {words}" for key, words in answer.uncertain)
        yield f"Drawn anew for every day, with the crew's times: {told}."
    elif len(answer.limits) > 1:
        yield "Drawn anew for every day: the crew's times."
    step = answer.limits[0].step
    yield (
        f"{answer.runs} days run; the scan stepped by {value(answer, step)}: a coming and going within one "
        "step goes unseen. The crew act at looks, so an edge may move with where a look falls."
    )
