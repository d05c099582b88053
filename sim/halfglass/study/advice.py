"""What the figures favour among outings that meet the same day, computed from their records.

Water first: an outing that loses sight of the water, crosses any danger limit, ends in anything but its
arrival, or comes nearer to the empty glass than the model can tell, is never recommended. The rest are
sifted in the order of `SIEVES`; what is level within the model's uncertainty goes on to the next. The order
and the widths are judgements. Nothing here says what to do when the water is low.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from halfglass.result import limits, shown
from halfglass.result.clock import clock, duration
from halfglass.result.comparison import Advice
from halfglass.result.records import CriticalItem, Marks, Nearest, Outing
from halfglass.scenario.day_models import Scenario
from halfglass.scenario.resolved import value
from halfglass.study.figures import CLOSE, is_doubtful, level_total, level_within, under_way
from halfglass.vocabulary import units

LEVELLED = ("glass_fraction", "boiler_pressure", "reversing_margin", "hotwell_temperature", "boiler_oil")
"""Readings that can miss a limit by little; a store that is empty, or an event, is never by little."""
BLOWN = "steam_lost_safety_valves_kg"
LEAST_BLOWN = 1.0  # kg: less is not worth a word (judgement)
_ERRAND = {
    "leg": ("to", "distance", "headwind", "stream"),
    "come alongside": ("at",),
    "lock": ("at", "wait", "takes"),
    "lie": ("for",),
    "passengers": ("aboard",),
    "night halt": ("until",),
}
"""Steps and their keys that are the errand and its waters; all else in a step is how it is worked."""


@dataclass(frozen=True)
class Member:
    """One outing with its letter and the day's inputs behind it."""

    letter: str
    outing: Outing
    day: Scenario


@dataclass(frozen=True)
class Sieve:
    """One thing outings are told apart by: the lower measure is better, and level within `within`."""

    measure: Callable[[Member], float]
    within: Callable[[Sequence[Member]], float]
    told: Callable[[Member, Member], str]  # why the first falls behind the second


def advise(members: Sequence[Member]) -> tuple[Advice, ...]:
    """One piece of advice for every set of outings that meet the same errand, weather and faults."""
    lots: dict[Any, list[Member]] = {}
    for member in members:
        lots.setdefault(circumstances(member.day), []).append(member)
    alone = [lot[0] for lot in lots.values() if len(lot) == 1]
    choices = [_choice(lot) for lot in lots.values() if len(lot) > 1]
    return (*choices, *([_apart(alone)] if alone else []))


def circumstances(day: Scenario) -> tuple[Any, ...]:
    """What nobody aboard chooses: errand, weather, faults. When a fault is put right is not counted."""
    errand = tuple(
        (step.step, *(value(step, key, "metric") for key in _ERRAND[step.step]))
        for step in day.route
        if step.step in _ERRAND
    )
    faults = sorted(repr(f.model_copy(update={"name": None, "repaired_after": None})) for f in day.fault)
    return errand, day.weather, tuple(faults)


def _choice(lot: Sequence[Member]) -> Advice:
    among = tuple(member.letter for member in lot)
    excluded, reasons = _refused(lot)
    sound = [member for member in lot if member.letter not in excluded]
    if not sound:
        held = any(_holds(member) for member in lot)
        what = "comes home without crossing a danger limit" if held else "holds the water"
        sentence = f"None of {_listed(among)} {what}: none is recommended."
        return Advice(among, (), excluded, sentence, tuple(reasons))
    left, behind = _sift(sound)
    best = tuple(member.letter for member in left)
    reasons += behind
    reasons += [_trade(left[0], other) for other in sound if other is not left[0]]
    reasons += [line for member in left if (line := _marred(member))]
    if len(sound) == 1:
        is_water = not any(_holds(member) for member in lot if member is not sound[0])
        only = "holds the water" if is_water else "comes home without crossing a danger limit"
        sentence = f"Of {_listed(among)} only {best[0]} {only}: the figures favour {best[0]}."
    elif len(best) > 1:
        sentence = (
            f"{_listed(best)} are level as far as the model can tell: nothing here decides between them."
        )
    else:
        sentence = f"Of {_listed(among)} the figures favour {best[0]}."
    return Advice(among, best, excluded, sentence, tuple(reasons))


def _apart(alone: Sequence[Member]) -> Advice:
    """Those whose errand, weather or faults no other meets."""
    letters = tuple(member.letter for member in alone)
    excluded, reasons = _refused(alone)
    each = "each meet" if len(letters) > 1 else "meets"
    own = "their" if len(letters) > 1 else "its"
    sentence = (
        f"{_listed(letters)} {each} an errand, weather or faults of {own} own: there is nothing to choose "
        f"{'between them' if len(letters) > 1 else 'it against'}."
    )
    held = tuple(member.letter for member in alone if _holds(member))
    if held:
        reasons.append(f"{_listed(held)} {'hold' if len(held) > 1 else 'holds'} the water.")
    return Advice(letters, (), excluded, sentence, tuple(reasons))


def _refused(lot: Sequence[Member]) -> tuple[tuple[str, ...], list[str]]:
    """The letters that are never recommended, and why."""
    refused = {m.letter: why for m in lot if (why := unsound(m.outing))}
    return tuple(refused), [f"{letter} is never recommended: {why}." for letter, why in refused.items()]


def _holds(member: Member) -> bool:
    return member.outing.verdict.holds_water and not is_doubtful(member.outing)


def unsound(outing: Outing) -> str:
    """Why an outing is never recommended; empty if it may be."""
    marks, verdict = outing.marks, outing.verdict
    dangers = [item for item in verdict.critical if item.severity == "danger"]
    if dangers:
        return "; ".join(_when(item, marks) for item in dangers)
    if verdict.outcome.kind != "arrived":
        return f"it ends in '{verdict.outcome.kind}' at {clock(marks.started, verdict.outcome.at)}"
    if is_doubtful(outing):
        return (
            f"whether it holds the water is within the model's error (lowest glass "
            f"{shown.glass(verdict.lowest_glass_fraction)}, give or take "
            f"{shown.glass(level_within('glass_fraction', marks))})"
        )
    return ""


def _when(item: CriticalItem, marks: Marks) -> str:
    """A limit crossed, with its first time."""
    after = f", {duration(item.after_fault)} after the fault" if item.after_fault is not None else ""
    return f"{shown.subject(item.subject)}: {item.item} at {clock(marks.started, item.first_at)}{after}"


def _sift(sound: Sequence[Member]) -> tuple[list[Member], list[str]]:
    """Those that no sieve takes out, and a sentence on each that one did."""
    left, behind = list(sound), []
    for sieve in SIEVES:
        best = min(left, key=sieve.measure)
        within = sieve.within(left)
        for member in left:
            if sieve.measure(member) > sieve.measure(best) + within:
                behind.append(f"{member.letter} falls behind {best.letter}: {sieve.told(member, best)}.")
        left = [member for member in left if sieve.measure(member) <= sieve.measure(best) + within]
    return left, behind


def graver(member: Member) -> list[CriticalItem]:
    """The limits of severity "act" crossed by more than the model's uncertainty."""
    return [i for i in member.outing.verdict.critical if i.severity == "act" and not _is_by_little(i, member)]


def _is_by_little(item: CriticalItem, member: Member) -> bool:
    if item.quantity not in LEVELLED:
        return False
    limit = next(limit for limit in limits.LIMITS if (limit.subject, limit.item) == (item.subject, item.item))
    at, marks = limit.value(member.outing.marks), member.outing.marks
    return at is not None and abs(item.worst - at) <= level_within(item.quantity, marks)


def _marred(member: Member) -> str:
    """What the recommended one meets all the same."""
    marks = member.outing.marks
    told = [
        f"{_named(i, member)}, first at {clock(marks.started, i.first_at)}"
        + (", by no more than the model's uncertainty" if _is_by_little(i, member) else "")
        for i in member.outing.verdict.critical
        if i.severity == "act"
    ]
    return f"{member.letter} is not without fault: {'; '.join(told)}." if told else ""


def _named(item: CriticalItem, member: Member) -> str:
    """A limit crossed, with how far or for how long."""
    told = f"{shown.subject(item.subject)}: {item.item}"
    if item.quantity in LEVELLED:
        return f"{told} (worst {shown.text(item.quantity, item.worst, member.outing.marks.units)})"
    return f"{told} (for {duration(item.lasted)})"


def _acts_told(member: Member, best: Member) -> str:
    kept = {(item.subject, item.item) for item in graver(best)}
    told = [_named(i, member) for i in graver(member) if (i.subject, i.item) not in kept]
    return f"{'; '.join(told)}, which {best.letter} does not meet"


def _glass(member: Member) -> float:
    return member.outing.verdict.lowest_glass_fraction


def _glass_within(members: Sequence[Member]) -> float:
    return max(level_within("glass_fraction", m.outing.marks) for m in members)


def _glass_told(member: Member, best: Member) -> str:
    mine, other, within = map(shown.glass, (_glass(member), _glass(best), _glass_within((member, best))))
    return f"its lowest glass is {mine} against {other}, each give or take {within}"


def _tightest(member: Member) -> Nearest | None:
    """The nearest approach to a limit of severity act or danger that held, the low glass apart."""
    for near in member.outing.verdict.nearest:
        is_low_glass = near.quantity == "glass_fraction" and near.below
        if near.severity != "watch" and near.margin >= 0.0 and not is_low_glass:
            return near
    return None


def _tightness(member: Member) -> float:
    near = _tightest(member)
    return -min(CLOSE, near.margin_fraction) if near is not None else -CLOSE


def _tight_told(member: Member, best: Member) -> str:
    near = _tightest(member)
    assert near is not None  # or it could not have fallen behind
    spare = shown.margin(near.quantity, near.margin, member.outing.marks.units)
    return f"it comes within {spare} of '{shown.subject(near.subject)}: {near.item}'"


def _total(key: str) -> Callable[[Member], float]:
    return lambda member: member.outing.totals.get(key, 0.0)


def _is_same_fuel(members: Sequence[Member]) -> bool:
    return len({member.day.aboard.fuel for member in members}) == 1


def _fuel_within(members: Sequence[Member]) -> float:
    """The last charge may fall either side of the end; masses of different fuels are not weighed at all."""
    totals = [_total("fuel_used_kg")(member) for member in members]
    charge = max(member.day.firing.charge for member in members)
    return level_total(totals) + charge if _is_same_fuel(members) else max(totals)


def _blown_within(members: Sequence[Member]) -> float:
    return max(LEAST_BLOWN, level_total([_total(BLOWN)(member) for member in members]))


def _fuel_told(member: Member, best: Member) -> str:
    extra = _total("fuel_used_kg")(member) - _total("fuel_used_kg")(best)
    return f"it burns {_mass(extra, member)} more {member.day.aboard.fuel}"


def _mass(kilograms: float, member: Member) -> str:
    unit = units.display_unit("mass", member.outing.marks.units)
    return units.show(kilograms, "mass", unit, 2)


def _ended(member: Member) -> float:
    return member.outing.verdict.outcome.at


def _time_within(members: Sequence[Member]) -> float:
    return level_total([_ended(member) for member in members])


def _time_told(member: Member, best: Member) -> str:
    return f"it takes {duration(_ended(member) - _ended(best))} longer"


def _strokes_within(members: Sequence[Member]) -> float:
    return level_total([_total("hand_pump_strokes")(member) for member in members])


def _strokes_told(member: Member, best: Member) -> str:
    strokes = _total("hand_pump_strokes")
    return f"it asks {strokes(member):.0f} strokes at the hand pump against {strokes(best):.0f}"


SIEVES = (
    Sieve(lambda m: len(graver(m)), lambda _: 0.5, _acts_told),
    Sieve(lambda m: -_glass(m), _glass_within, _glass_told),
    Sieve(_tightness, lambda _: 0.05, _tight_told),
    Sieve(_total("fuel_used_kg"), _fuel_within, _fuel_told),
    Sieve(_ended, _time_within, _time_told),
    Sieve(_total("hand_pump_strokes"), _strokes_within, _strokes_told),
)
"""Graver limits crossed, lowest glass, other margins, fuel, time, strokes."""

_TRADED: tuple[tuple[Callable[[Member], float], Any, str, Callable[[float, Member], str]], ...] = (
    (_total("fuel_used_kg"), _fuel_within, "fuel", lambda d, m: f"{_mass(d, m)} of {m.day.aboard.fuel}"),
    (_ended, _time_within, "time", lambda d, m: duration(d)),
    (_total("hand_pump_strokes"), _strokes_within, "strokes", lambda d, m: f"{d:.0f} strokes"),
    (_total(BLOWN), _blown_within, "", lambda d, m: f"{_mass(d, m)} of steam at the safety valves"),
)
"""Totals told beside another: measure, width of level, name where level counts, how it is said."""


def _trade(best: Member, other: Member) -> str:
    """What the favoured outing keeps, spares and costs beside another, and in what they are level."""
    pair = (best, other)
    keeps: list[str] = []
    spares: list[str] = []
    costs: list[str] = []
    level: list[str] = []
    glass = _glass(best) - _glass(other)
    if abs(glass) <= _glass_within(pair):
        level.append("the water")
    else:
        water = _mass(abs(_water(best) - _water(other)), best)
        side = "more" if glass > 0 else "less"
        keeps.append(f"keeps {shown.glass(abs(glass))} of the glass {side} at its lowest ({water} of water)")
    for measure, within, name, said in _TRADED:
        more = measure(best) - measure(other)
        if name == "fuel" and not _is_same_fuel(pair):
            continue
        if abs(more) <= within(pair):
            level += [name] if name else []
        else:
            (costs if more > 0 else spares).append(said(abs(more), best))
    parts = [*keeps]
    parts += [f"spares {_listed(spares)}"] if spares else []
    parts += [f"costs {_listed(costs)}"] if costs else []
    parts += _beside(best, other)
    parts += [f"level in {_listed(level)}"] if level else []
    return f"{best.letter} beside {other.letter}: {'; '.join(parts)}."


def _beside(best: Member, other: Member) -> list[str]:
    """Pressure that falls lower, and hands."""
    told, name = [], "boiler_pressure"
    lower = under_way(other.outing, name)[0] - under_way(best.outing, name)[0]
    if abs(lower) > max(level_within(name, member.outing.marks) for member in (best, other)):
        by = shown.margin(name, abs(lower), best.outing.marks.units)
        told.append(f"lets the pressure fall {by} {'lower' if lower > 0 else 'less far'} under way")
    hands, others = best.outing.marks.hands, other.outing.marks.hands
    if hands != others:
        told.append(f"has {hands} aboard where {other.letter} has {others}")
    return told


def _water(member: Member) -> float:
    """Water in the boiler when the glass was lowest [kg]."""
    table = member.outing.timeline
    at = member.outing.verdict.lowest_glass_at
    return float(
        np.interp(at, table["time"].to_numpy(dtype=float), table["boiler_water_mass"].to_numpy(dtype=float))
    )


def _listed(texts: Sequence[str]) -> str:
    """Texts in a sentence: A; A and B; A, B and C."""
    return " and ".join(part for part in (", ".join(texts[:-1]), texts[-1]) if part) if texts else ""
