"""The answer of `fit` in words: for the terminal, and the phrases its page shares."""

from __future__ import annotations

import math
from collections.abc import Iterator

from halfglass.report.terminal import fold
from halfglass.result import shown
from halfglass.result.clock import clock
from halfglass.result.fitted import FitResult, FittedNumber, Series
from halfglass.vocabulary.units import significant

CAUTION = (
    "Model estimate, not operating instruction and not a safety device. Low water: act on the boat, never "
    "wait for a program."
)
NAMES = {
    "boiler_pressure": "boiler pressure", "glass_fraction": "water in the glass",
    "shaft_speed": "revolutions", "boat_speed": "speed through the water",
    "ground_speed": "speed over the ground",
}  # fmt: skip


def fit_text(result: FitResult, width: int) -> str:
    """The summary printed by `fit`, in lines of at most `width` cells."""
    lines = [f"{result.title}: fitted to {result.log_name}", *fold(CAUTION, width, "", ""), ""]
    told = [one for one in result.numbers if one.is_told]
    lines.append("Told by the log (90 % interval; with the others as written in the boat file)")
    lines += [line for one in told for line in fold(f"{key(one)} {found(one)}", width, "  ", "    ")]
    lines += [] if told else ["  none of the numbers"]
    untold = [one for one in result.numbers if not one.is_told]
    lines += ["", "Not identifiable from this log, left as written"] if untold else []
    lines += [line for one in untold for line in fold(f"{key(one)} {left(one)}", width, "  ", "    ")]
    pairs = [together(*pair) for pair in result.together]
    lines += ["", "Told only together"] if pairs else []
    lines += [line for pair in pairs for line in fold(pair, width, "  ", "    ")]
    lines += ["", f"What the model misses by (root mean square); held back from {held_from(result)} on"]
    lines += [line for told in misses(result) for line in fold(told, width, "  ", "    ")]
    lines += ["", *fold(verdict(result), width, "", "")]
    return "\n".join(lines)


def key(one: FittedNumber) -> str:
    """A number's key within the boat file."""
    return one.key.removeprefix("boat.")


def found(one: FittedNumber) -> str:
    """What was found of a number: ``0.74 (0.71 to 0.77), was 0.8``."""
    texts = one.texts
    return f"{texts['value']} ({texts['low']} to {texts['high']}), was {texts['written']}"


def left(one: FittedNumber) -> str:
    """Why a number was left as it is."""
    return f"{one.texts['written']}: {one.why}; somewhere from {one.texts['low']} to {one.texts['high']}"


def together(one: str, other: str, how: float) -> str:
    """A pair of numbers that the log hardly tells apart."""
    names = f"{one.removeprefix('boat.')} and {other.removeprefix('boat.')}"
    way = "if one is more, so is the other" if how > 0.0 else "if one is more, the other is less"
    return f"{names}: {way} (correlation {how:+.2f})"


def held_from(result: FitResult) -> str:
    """Clock time at which the part held back begins."""
    return clock(result.started, result.held_from)


def miss(one: Series, which: str, held: bool, units: str) -> str:
    """What the model misses one quantity by, with its unit; "-" without readings."""
    value = one.miss(which, held)
    return shown.margin(one.quantity, value, units) if math.isfinite(value) else "-"


def misses(result: FitResult) -> Iterator[str]:
    """Each quantity: before and after, in the part fitted to and in the part held back."""
    for one in result.series:
        parts = []
        for part, held in (("fitted", False), ("held back", True)):
            before, after = (miss(one, which, held, result.units) for which in ("before", "after"))
            count = int((one.is_held if held else one.is_fitted).sum())
            parts.append(f"{part} {before} before, {after} after ({count} readings)")
        yield f"{NAMES[one.quantity]}: {'; '.join(parts)}"


def verdict(result: FitResult) -> str:
    """Whether the part held back bears the fit out."""
    before, after = result.overall("before", True), result.overall("after", True)
    if not math.isfinite(before):
        return "There are no readings in the part held back: nothing bears the fit out."
    told = f"{significant(before, 2)} times its noise before and {significant(after, 2)} times after"
    if after < before:
        return f"The part held back bears the fit out: it is missed by {told}."
    return (
        f"The part held back does not bear the fit out: it is missed by {told}. Do not use the fitted boat."
    )
