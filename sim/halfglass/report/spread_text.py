"""The answer of `spread` in words: for the terminal, and the phrases its page shares."""

from __future__ import annotations

import math
from collections.abc import Iterator

from halfglass.report.terminal import CAUTION, fold
from halfglass.result import shown
from halfglass.result.clock import clock, duration
from halfglass.result.spread_records import ANSWERS, Chance, Difference, Driver, PlanSpread, SpreadResult

MOST_DRIVERS = 3
MIDDLE, LOWEST, HIGHEST = 2, 0, 4
"""Places of the median and the ends among the quantiles."""


def spread_text(result: SpreadResult, width: int) -> str:
    """The summary printed by `spread`, in lines of at most `width` cells."""
    lines = [result.title, *fold(CAUTION, width, "", ""), ""]
    lines += [line for key, told in result.uncertain for line in fold(f"{key}: {told}", width, "", "  ")]
    for plan in result.plans:
        lines += ["", *_plan(plan, result, width)]
    clear = [difference(one, result) for one in result.differences if one.is_clear]
    lines += ["", "Differences between the plans, day by day"] if len(result.plans) > 1 else []
    if len(result.plans) > 1 and not clear:
        lines.append("  none that stands out of chance")
    lines += [line for told in clear for line in fold(told, width, "  ", "    ")]
    lines += [""] + [line for note in result.notes for line in fold(note, width, "", "")]
    return "\n".join(lines)


def _plan(plan: PlanSpread, result: SpreadResult, width: int) -> Iterator[str]:
    yield f"{plan.name}: {outcomes(plan)}"
    for name in ANSWERS:
        yield from fold(f"{ANSWERS[name][0]}: {answer(plan, name, result)}", width, "  ", "    ")
    if not plan.chances:
        yield "  no limit was crossed on any day"
    for chance in plan.chances:
        told = f"{chance.severity}: {item(chance)} {share(chance)}; first {first(chance, result)}"
        yield from fold(told, width, "  ", "    ")
    for name in ANSWERS:
        told = ", ".join(driver(one) for one in strongest(plan, name))
        if told:
            yield from fold(f"{ANSWERS[name][0]} goes with {told}", width, "  ", "    ")


def outcomes(plan: PlanSpread) -> str:
    """How the days ended: ``196 arrived, 4 gave up``, and how many the model could not finish."""
    told = [f"{count} {kind}" for kind, count in plan.outcomes.items()]
    told += (
        [f"{plan.failed} could not be finished by the model and count in no figure"] if plan.failed else []
    )
    return ", ".join(told)


def answer(plan: PlanSpread, name: str, result: SpreadResult) -> str:
    """Median of an answer and the range that nine days of ten keep."""
    low, middle, high = (
        value(name, plan.answers[name][place], result) for place in (LOWEST, MIDDLE, HIGHEST)
    )
    return "not known" if middle == "-" else f"{middle} on the middle day; nine days of ten {low} to {high}"


def value(name: str, in_si: float, result: SpreadResult) -> str:
    """One value of an answer with its unit; "-" where it is not known."""
    if not math.isfinite(in_si):
        return "-"
    if name == "arrival":
        return clock(result.started, in_si)
    return shown.text(ANSWERS[name][1], float(in_si), result.units)


def item(chance: Chance) -> str:
    """A critical item with its subject."""
    return f"{shown.subject(chance.subject)}: {chance.item}"


def share(chance: Chance) -> str:
    """Share of days with its interval: ``on 12 % of days (9 to 16 %)``."""
    return f"on {percent(chance.share)} % of days ({percent(chance.low)} to {percent(chance.high)} %)"


def percent(fraction: float) -> str:
    """A share as a number of hundredths; one below ten has a decimal.

    >>> [percent(f) for f in (0.0, 0.034, 0.5)]
    ['0', '3.4', '50']
    """
    hundredths = 100.0 * fraction
    return f"{hundredths:.1f}" if 0.0 < hundredths < 9.95 else f"{hundredths:.0f}"


def first(chance: Chance, result: SpreadResult) -> str:
    """When an item first came on the days it did."""
    times = chance.first_at
    earliest = clock(result.started, float(times[0]))
    if times.size == 1:
        return f"at {earliest}"
    middle, latest = (clock(result.started, float(times[place])) for place in (times.size // 2, -1))
    return f"between {earliest} and {latest}, the middle one at {middle}"


def strongest(plan: PlanSpread, name: str) -> list[Driver]:
    """What clearly goes with an answer, the strongest first."""
    return [one for one in plan.drivers if one.answer == name and one.is_clear][:MOST_DRIVERS]


def driver(one: Driver) -> str:
    """A driver with its rank correlation, and its share of the spread where that is known."""
    told = f"{one.key} ({one.rank_correlation:+.2f}"
    return told + (
        f", in all {percent(max(0.0, one.total))} % of the spread)" if one.total is not None else ")"
    )


def difference(one: Difference, result: SpreadResult) -> str:
    """A difference between two plans with its interval."""
    if one.quantity is None:
        more = "more" if one.value > 0.0 else "fewer"
        low, high = sorted((abs(one.low), abs(one.high)))
        return (
            f"{one.plan}: {one.what}, on {percent(abs(one.value))} in a hundred days {more} than {one.other} "
            f"({percent(low)} to {percent(high)})"
        )
    low, high = sorted((abs(one.low), abs(one.high)))
    told = [_amount(one.quantity, amount, result) for amount in (abs(one.value), low, high)]
    side = _side(one)
    return f"{one.plan}: {ANSWERS[one.what][0]} {told[0]} {side} than {one.other} ({told[1]} to {told[2]})"


def _side(one: Difference) -> str:
    if one.what == "arrival":
        return "later" if one.value > 0.0 else "earlier"
    return "more" if one.value > 0.0 else "less"


def _amount(quantity: str, in_si: float, result: SpreadResult) -> str:
    return duration(in_si) if quantity == "time" else shown.margin(quantity, in_si, result.units, 3)
