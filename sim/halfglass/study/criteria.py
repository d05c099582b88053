"""What a day must keep to, in a small closed list of words joined by ``and``."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from halfglass.result.limits import REVERSING, STEAMING
from halfglass.result.records import Outing
from halfglass.result.timeline import log_entries
from halfglass.study.figures import under_way
from halfglass.vocabulary import units
from halfglass.vocabulary.errors import listed, nearest, quoted


@dataclass(frozen=True)
class Criterion:
    """A checked criterion: its words, and the test of every one of them."""

    words: str
    tests: tuple[Callable[[Outing], bool], ...]

    def holds(self, outing: Outing) -> bool:
        """Whether a day keeps to all of it."""
        return all(test(outing) for test in self.tests)


def _free_of(*severities: str) -> Callable[[Outing], bool]:
    return lambda outing: not any(item.severity in severities for item in outing.verdict.critical)


def _reverses(outing: Outing) -> bool:
    """Going astern was asked for, and never with too little steam."""
    critical = any(item.subject == "reversing" for item in outing.verdict.critical)
    return bool(REVERSING.spans(log_entries(outing.log), outing.verdict.outcome.at)) and not critical


WORDS: dict[str, Callable[[Outing], bool]] = {
    "holds the water": lambda outing: outing.verdict.holds_water,
    "no danger": _free_of("danger"),
    "no act": _free_of("danger", "act"),
    "arrives": lambda outing: outing.verdict.outcome.kind == "arrived",
    "reverses": _reverses,
}


def _lowest_pressure(outing: Outing) -> float:
    """The lowest gauge pressure [Pa] while steaming; below nothing if she never got under way."""
    steamed = STEAMING.spans(log_entries(outing.log), outing.verdict.outcome.at)
    return under_way(outing, "boiler_pressure")[0] if steamed else -1.0


MEASURES: dict[str, tuple[str, Callable[[Outing], float]]] = {
    "glass": ("fraction", lambda outing: outing.verdict.lowest_glass_fraction),
    "fuel left": ("mass", lambda outing: float(outing.timeline["fuel_on_board"].iloc[-1])),
    "pressure": ("gauge_pressure", _lowest_pressure),
}


def criterion(text: str) -> Criterion:
    """A criterion read from words such as ``no danger and fuel left above 10 kg``; ValueError says why not.

    >>> criterion("no danger  and arrives").words
    'no danger and arrives'
    """
    parts = [" ".join(part.split()) for part in " ".join(text.split()).split(" and ")]
    return Criterion(" and ".join(parts), tuple(_test(part) for part in parts))


def _test(words: str) -> Callable[[Outing], bool]:
    if words in WORDS:
        return WORDS[words]
    name, above, bound = words.partition(" above ")
    if above and name in MEASURES:
        kind, measure = MEASURES[name]
        try:
            least = units.parse(bound, kind)
        except units.UnitError as error:
            raise ValueError(f"{quoted(words)}: {error.message}") from None
        return lambda outing: measure(outing) > least
    known = [*WORDS, *(f"{name} above …" for name in MEASURES)]
    near = nearest(words, WORDS)
    raise ValueError(f"{quoted(words)} is no criterion; " + (
        f"did you mean {quoted(near)}?" if near else f"there are {listed(known)}"))  # fmt: skip
