"""Why a limit was crossed: one plain sentence with numbers of this run, or that no single cause stands out.

Each kind of item has a function that gives its possible causes with the share each explains; only what
explains `LEAST` or more is told, the largest first, three at most. Facts of the run, never advice.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from halfglass.result import causes_boiler as boiler
from halfglass.result import causes_stores as stores
from halfglass.result import limits, shown
from halfglass.result.limits import Condition, Limit
from halfglass.result.records import LogEntry, Marks, TaskSpell
from halfglass.result.spells import Array, Spell
from halfglass.result.stretch import SHORTEST, Cause, Stretch, before

LEAST = 0.15
"""Share of the whole below which a cause is not told (judgement)."""
MOST = 3
NONE = "no single cause stands out"
PRESSURE_BACK, LEVEL_BACK = 1800.0, 3600.0
"""s within which the turn that led to the crossing is looked for (judgement)."""

Finder = Callable[[Stretch], list[Cause]]


def because(
    rule: Limit | Condition,
    spell: Spell,
    readings: Mapping[str, Array],
    log: Sequence[LogEntry],
    marks: Marks,
    spells: Sequence[TaskSpell] = (),
) -> str:
    """Why the spell began, as one sentence without its full stop.

    Parameters: rule, the limit or condition; spell, one time beyond it; readings in SI by name; the log;
    marks of boat and day; spells, what the hands were at.
    """
    if rule.subject == "crew":
        at = Stretch(readings, log, marks, spell.start, spell.end)
        return sentence("the hands were full", stores.crew(at, spells))
    quantity, below, finder = _way(rule)
    back = PRESSURE_BACK if quantity == "boiler_pressure" else LEVEL_BACK
    stretch = before(readings, log, marks, quantity, spell.start, below, back)
    if finder in WHOLE_DAY:
        return sentence(_opening(rule, stretch, quantity), finder(stretch))
    if stretch.seconds < SHORTEST:
        started = spell.start > float(readings["time"][0]) and spell.end > spell.start + SHORTEST
        first = shown.text(quantity, stretch.at(quantity, stretch.end), marks.units)
        return f"it was so already at the start: {first}" if started else NONE
    stretch = stretch.since_fault(*STRUCK.get(quantity, ()))
    return sentence(_opening(rule, stretch, quantity), finder(stretch), _circumstance(finder, stretch))


def sentence(opening: str, found: Sequence[Cause], circumstance: str = "") -> str:
    """The opening and the causes worth telling, the largest first.

    >>> sentence("it fell", [Cause(0.2, "of A"), Cause(0.7, "of B"), Cause(0.1, "of C")])
    'it fell because of B, and of A'
    >>> sentence("it fell", [])
    'it fell; no single cause stands out'
    """
    worth = sorted((cause for cause in found if cause.share >= LEAST), key=lambda cause: -cause.share)[:MOST]
    if not worth:
        return f"{opening}; {NONE}"
    texts = [cause.text for cause in worth]
    told = texts[0] if len(texts) == 1 else f"{', '.join(texts[:-1])}, and {texts[-1]}"
    return f"{opening} because {told}{circumstance}"


WHOLE_DAY: tuple[Finder, ...] = (
    stores.fuel,
    stores.lubricator,
    stores.cloth,
    stores.boiler_oil,
    stores.solids,
    stores.reversing,
    boiler.priming,
)
"""What looks at the moment or at the whole day, and needs no turn of the reading before it."""

STRUCK: dict[str, tuple[str, ...]] = {
    "glass_fraction": ("feed", "hotwell", "pressure"),
    "water_level": ("feed", "hotwell", "pressure"),
    "boiler_pressure": ("fire", "pressure"),
    "hotwell_mass": ("hotwell", "feed"),
    "hotwell_temperature": ("hotwell",),
    "cylinder_water": (),
}
"""Subjects of the faults that may have begun what a reading tells: the balance is drawn from them on."""

_FINDERS: dict[tuple[str, bool], Finder] = {
    ("glass_fraction", True): boiler.water_low,
    ("water_level", True): boiler.water_low,
    ("glass_fraction", False): boiler.water_high,
    ("boiler_pressure", True): boiler.pressure_low,
    ("boiler_pressure", False): boiler.pressure_high,
    ("reversing_margin", True): stores.reversing,
    ("cylinder_water", False): boiler.engine_water,
    ("lubricator_oil", True): stores.lubricator,
    ("separator_load_fraction", False): stores.cloth,
    ("boiler_oil", False): stores.boiler_oil,
    ("boiler_solids", False): stores.solids,
    ("fuel_on_board", True): stores.fuel,
    ("hotwell_mass", True): stores.hotwell_low,
    ("hotwell_mass", False): stores.hotwell_full,
    ("hotwell_temperature", False): stores.hotwell_hot,
}
_CONDITIONS: dict[str, tuple[str, bool, Finder]] = {
    limits.FULL: ("glass_fraction", False, boiler.water_high),
    limits.PRIMING: ("water_level", False, boiler.priming),
    limits.NO_FEED: ("glass_fraction", True, boiler.water_low),
}


def _none_known(stretch: Stretch) -> list[Cause]:
    """For a reading whose causes nobody has worked out yet."""
    return []


def _way(rule: Limit | Condition) -> tuple[str, bool, Finder]:
    """The reading that tells of an item, the side on which it is critical, and what looks for causes."""
    if isinstance(rule, Condition):
        return _CONDITIONS[rule.item]
    quantity = "boiler_pressure" if rule.quantity == "safety_valve_flow" else rule.quantity
    return quantity, rule.below, _FINDERS.get((quantity, rule.below), _none_known)


def _opening(rule: Limit | Condition, s: Stretch, quantity: str) -> str:
    """What happened, in the words of the reading."""
    if quantity == "boiler_pressure":
        change = abs(s.at(quantity, s.end) - s.at(quantity, s.start))
        text = s.show(quantity, change).replace(" gauge", "")
        return f"pressure {'fell' if rule_below(rule) else 'rose'} by {text} in {s.span}"
    side, went = ("low", "fell") if rule_below(rule) else ("high", "rose")
    plain = f"{quantity.replace('_', ' ')} {went}"
    return _OPENINGS.get(rule.item) or _OPENINGS.get(f"{quantity} {side}", plain)


def rule_below(rule: Limit | Condition) -> bool:
    """Whether an item is critical on the low side of its reading."""
    return _way(rule)[1]


_OPENINGS = {
    "glass_fraction low": "the water fell",
    "water_level low": "the water fell",
    "glass_fraction high": "the water rose",
    "reversing_margin low": "the engine could not turn the screw astern",
    "cylinder_water high": "water gathered in the cylinders",
    "lubricator_oil low": "the lubricator ran down",
    "separator_load_fraction high": "the cloth filled",
    "boiler_oil high": "oil gathered in the boiler",
    "boiler_solids high": "solids gathered",
    "fuel_on_board low": "the fuel went down",
    "hotwell_mass low": "the hot well fell",
    "hotwell_mass high": "the hot well filled",
    "hotwell_temperature high": "the hot well warmed",
    limits.PRIMING: "water came over with the steam",
}


def _circumstance(finder: Finder, stretch: Stretch) -> str:
    return boiler.thin_bed(stretch) if finder is boiler.pressure_low else ""
