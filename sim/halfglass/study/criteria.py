"""What a day must keep to, in a small closed list of words joined by ``and``."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from halfglass.result.limits import REVERSING, STEAMING
from halfglass.result.records import CriticalItem, Outing
from halfglass.result.timeline import log_entries
from halfglass.study.figures import under_way
from halfglass.vocabulary import units
from halfglass.vocabulary.errors import listed, nearest, quoted

CROSSED = 0.1
"""Shortfall of a limit crossed by nothing worth measuring (judgement): more than none."""


@dataclass(frozen=True)
class Criterion:
    """A checked criterion: its words, and for each how far a day falls short of it (0 where it holds).

    A shortfall is in shares of what is asked or of what a reading spans, so that days that fail by more
    have more of it; it tells nothing else.
    """

    words: str
    parts: tuple[str, ...]
    tests: tuple[Callable[[Outing], float], ...]

    def holds(self, outing: Outing) -> bool:
        """Whether a day keeps to all of it."""
        return not any(test(outing) for test in self.tests)

    def shortfalls(self, outing: Outing) -> tuple[float, ...]:
        """How far a day falls short of each part, in their order."""
        return tuple(test(outing) for test in self.tests)


def _free_of(*severities: str, subject: str = "") -> Callable[[Outing], float]:
    """Limits of a severity, or of one subject, crossed: each counts by how far."""

    def short(outing: Outing) -> float:
        return sum(
            _crossed_by(item, outing)
            for item in outing.verdict.critical
            if item.severity in severities and subject in ("", item.subject)
        )

    return short


def _crossed_by(item: CriticalItem, outing: Outing) -> float:
    """How far a limit was crossed, as a share of what its reading spans; a condition by its hours."""
    if item.quantity == "time":
        return CROSSED + item.lasted / 3600.0
    near = next(
        (n for n in outing.verdict.nearest if (n.subject, n.item) == (item.subject, item.item)), None
    )
    return CROSSED + (max(0.0, -near.margin_fraction) if near is not None else 0.0)


def _arrives(outing: Outing) -> float:
    """A day that did not get home falls the less short the farther it came."""
    if outing.verdict.outcome.kind == "arrived":
        return 0.0
    return 1.0 + 1.0 / (1.0 + outing.totals.get("distance_m", 0.0) / 1000.0)


def _reverses(outing: Outing) -> float:
    """Going astern was asked for, and never with too little steam."""
    if not REVERSING.spans(log_entries(outing.log), outing.verdict.outcome.at):
        return 1.0
    return sum(_crossed_by(item, outing) for item in outing.verdict.critical if item.subject == "reversing")


WORDS: dict[str, Callable[[Outing], float]] = {
    "holds the water": _free_of("danger", subject="water"),
    "no danger": _free_of("danger"),
    "no act": _free_of("danger", "act"),
    "keeps the reserve": _free_of("watch", "act", subject="fuel"),
    "arrives": _arrives,
    "reverses": _reverses,
}


def _lowest_pressure(outing: Outing) -> float:
    """The lowest gauge pressure [Pa] while steaming; below nothing if she never got under way."""
    steamed = STEAMING.spans(log_entries(outing.log), outing.verdict.outcome.at)
    return under_way(outing, "boiler_pressure")[0] if steamed else -1.0


MEASURES: dict[str, tuple[str, Callable[[Outing], float], float]] = {
    "glass": ("fraction", lambda outing: outing.verdict.lowest_glass_fraction, 1.0),
    "fuel left": ("mass", lambda outing: float(outing.timeline["fuel_on_board"].iloc[-1]), 10.0),
    "pressure": ("gauge_pressure", _lowest_pressure, 1e5),
}
"""What can be asked to be above a value: its kind, how it is measured, and what counts as much of it [SI]."""


def criterion(text: str) -> Criterion:
    """A criterion read from words such as ``no danger and fuel left above 10 kg``; ValueError says why not.

    >>> criterion("no danger  and arrives").words
    'no danger and arrives'
    """
    parts = [" ".join(part.split()) for part in " ".join(text.split()).split(" and ")]
    return Criterion(" and ".join(parts), tuple(parts), tuple(_test(part) for part in parts))


def _test(words: str) -> Callable[[Outing], float]:
    if words in WORDS:
        return WORDS[words]
    name, above, bound = words.partition(" above ")
    if above and name in MEASURES:
        kind, measure, much = MEASURES[name]
        try:
            least = units.parse(bound, kind)
        except units.UnitError as error:
            raise ValueError(f"{quoted(words)}: {error.message}") from None
        return lambda outing: _short_of(least, measure(outing), much)
    known = [*WORDS, *(f"{name} above …" for name in MEASURES)]
    near = nearest(words, WORDS)
    raise ValueError(f"{quoted(words)} is no criterion; " + (
        f"did you mean {quoted(near)}?" if near else f"there are {listed(known)}"))  # fmt: skip


def _short_of(least: float, measured: float, much: float) -> float:
    """How far a value is from being above the least; one that is not known is far."""
    if measured > least:
        return 0.0
    return CROSSED + (least - measured) / much if math.isfinite(measured) else 1.0
