"""The answer of `propose` in words: for the terminal, and the phrases its page shares."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from halfglass.report.terminal import CAUTION, fold
from halfglass.result import shown
from halfglass.result.clock import clock, duration
from halfglass.result.proposed import Check, Proposal, Tried
from halfglass.result.proposed_files import FUEL, WATER

MOST_OF_FRONT = 9
"""Candidates of the front told in words; the table of all has the rest."""
ALIKE = 0.03
"""Distance, in shares of what the front spans, within which two candidates are told as one (judgement)."""
AS_WRITTEN, PROPOSED = "as written", "proposed"


def propose_text(found: Proposal, width: int) -> str:
    """The summary printed by `propose`, in lines of at most `width` cells."""
    lines = [found.title, *fold(CAUTION, width, "", ""), "", *fold(asked(found), width, "", "  "), ""]
    lines += [line for told in answer(found) for line in fold(told, width, "", "  ")]
    if found.chosen:
        lines.append("It sets")
        lines += [line for told in changes(found, found.chosen) for line in fold(told, width, "  ", "    ")]
    lines += [line for told in cautions(found) for line in fold(told, width, "", "  ")]
    if found.front:
        lines += ["", *fold(front_said(found), width, "", "  "), *_table(found, width)]
    lines += ["", *(line for note in found.notes for line in fold(note, width, "", "  "))]
    if found.toml:
        lines += ["", "To be pasted at the end of the scenario:", "", found.toml.rstrip("\n")]
    return "\n".join(lines)


def asked(found: Proposal) -> str:
    """What was asked."""
    return f"From plan '{found.plan}': {found.goal}, while {' and '.join(found.parts)}."


def answer(found: Proposal) -> Iterator[str]:
    """The answer in a few sentences: what is proposed, how it compares, how sure it is."""
    candidates, days = sum(bool(one.days) for one in found.tried), found.days
    if found.chosen is None:
        yield f"Nothing within the limits was found among {candidates} candidates in {days} days tried."
        yield nearest_miss(found)
        return
    chosen = found.tried[found.chosen]
    if found.chosen == 0:
        yield (
            f"The plan as written stands ({figures(chosen, found)}): among {candidates} candidates in {days} "
            "days tried nothing better was found that holds as surely."
        )
        yield held(found.checks[0], found)
        return
    check = found.check(found.chosen)
    assert check is not None, "what is chosen has been checked"
    tried = f"the best of {candidates} candidates in {days} days tried"
    yield f"Proposed: {figures(check, found)}; {tried}."
    yield against(check, found.checks[0], found)
    yield held(check, found)
    written = found.checks[0]
    yield f"As written: {figures(written, found)}. {held(written, found)}"


def figures(one: Tried | Check, found: Proposal) -> str:
    """Arrival, fuel and water of a candidate."""
    at = clock(found.started, one.arrival) if math.isfinite(one.arrival) else ""
    burnt = shown.text(FUEL, one.fuel, found.units) if math.isfinite(one.fuel) else "an unknown mass"
    water = shown.text(WATER, one.margin, found.units) if math.isfinite(one.margin) else "not known"
    return f"{f'arrives {at}' if at else 'does not arrive'}, burns {burnt}, lowest glass {water}"


def against(check: Check, written: Check, found: Proposal) -> str:
    """How much sooner, and on how much less fuel, on the same further seeds."""
    same = Check(0, written.days[: len(check.days)])
    if not math.isfinite(same.arrival):
        return "The plan as written does not arrive."
    sooner, less = same.arrival - check.arrival, same.fuel - check.fuel
    told = [
        f"{duration(abs(sooner))} {'sooner' if sooner >= 0.0 else 'later'}",
        f"{shown.margin(FUEL, abs(less), found.units)} {'less' if less >= 0.0 else 'more'} fuel",
    ]
    return f"That is {' and on '.join(told)} than as written, on the same {len(check.days)} further seeds."


def held(check: Check, found: Proposal) -> str:
    """On how many further seeds a candidate kept to the limits, and what it broke on the others."""
    told = f"Held on {check.held} of {len(check.days)} further seeds"
    broke = [f"'{part}' on {count}" for part, count in zip(found.parts, check.broke, strict=True) if count]
    if not broke:
        return f"{told}."
    items = sorted({item for day in check.days if not day.holds for item in day.crossed})
    because = f" (among what was crossed: {', '.join(items)})" if items else ""
    return f"{told}; not kept: {', '.join(broke)}{because}."


def nearest_miss(found: Proposal) -> str:
    """The candidate that came closest, and the limits that stood in its way."""
    assert found.nearest is not None, "there is one unless something was chosen"
    one = found.tried[found.nearest]
    if not one.days:
        return "No settings tried go together with the day."
    worst = max(one.days, key=lambda day: sum(day.shortfalls))
    broke = [f"'{part}'" for part, short in zip(found.parts, worst.shortfalls, strict=True) if short]
    items = f" (crossed: {', '.join(worst.crossed)})" if worst.crossed else ""
    name = "the plan as written" if one.number == 0 else f"candidate {one.number}"
    sentence = (
        f"The nearest miss is {name}: {figures(one, found)}, the day ended '{worst.outcome}'; not kept: "
        f"{', '.join(broke)}{items}."
    )
    moved = "; ".join(changes(found, one.number))
    return f"{sentence} It sets {moved}." if moved else sentence


def changes(found: Proposal, number: int) -> list[str]:
    """What a candidate sets otherwise than written."""
    return [
        f"{lever.name}: {setting} (as written {lever.written})" for lever, setting in found.changes(number)
    ]


def cautions(found: Proposal) -> Iterator[str]:
    """What to mind about the chosen plan: how sure it is, what it crosses, ends of ranges, untried steps."""
    check = None if found.chosen is None else found.check(found.chosen)
    if check is not None and len(check.days) - check.held > 1:
        yield "Mind: it did not hold on several of the further seeds, and no candidate checked was surer."
    if found.chosen:
        yield from crossed_anew(found)
    if found.at_ends:
        ends = "; ".join(found.at_ends)
        yield f"At an end of its range: {ends}. Beyond there may be better, or the boat may not."
    if found.chosen is None:
        return
    if found.is_settled:
        yield "Every lever was moved from there by a single step either way: none of that pays."
    else:
        yield "Not every single step away from it was tried: more days (--days) may find better."


def crossed_anew(found: Proposal) -> Iterator[str]:
    """Limits crossed, on more of the further seeds than as written, that what was asked for allows."""
    chosen, written = found.check(found.chosen or 0), found.checks[0]
    assert chosen is not None, "what is chosen has been checked"
    for item in sorted({item for day in chosen.days for item in day.crossed}):
        now = sum(item in day.crossed and day.holds for day in chosen.days)
        before = sum(item in day.crossed for day in written.days)
        if now > before:
            yield (
                f"Mind: '{item}' is crossed on {now} of {len(chosen.days)} further seeds, as written on "
                f"{before}; what was asked for allows it ('no act' would not)."
            )


def front_said(found: Proposal) -> str:
    """How many candidates are on the front, how many of them are told, and whether the proposed one is."""
    many, told = len(found.front), sum(number in found.front for number in told_front(found))
    shown_of = f", {told} of them here" if told < many else ""
    noun = "candidate" if many == 1 else "candidates"
    sentence = (
        f"The front between time, fuel and water: {many} {noun} that no other within the limits betters in "
        f"all three{shown_of}."
    )
    if found.chosen is None or found.chosen in found.front:
        return sentence
    return f"{sentence} What is proposed is bettered by next to nothing, by candidates that change more."


def told_front(found: Proposal) -> tuple[int, ...]:
    """The proposed plan and some of the front, the soonest first: its ends, then always the farthest off."""
    points = _scaled(found)
    picked = [] if found.chosen is None else [found.chosen]
    wanted = [min(points, key=lambda number: points[number][side]) for side in range(3 if points else 0)]
    while points and len(picked) < MOST_OF_FRONT:
        far = {n: min((math.dist(points[n], points[o]) for o in picked), default=math.inf) for n in points}
        is_end = bool(wanted)
        number = wanted.pop(0) if is_end else max(far, key=lambda number: far[number])
        if far[number] > ALIKE:
            picked.append(number)
        elif not is_end:
            break
    return tuple(sorted(picked, key=lambda number: (found.tried[number].arrival, number)))


def _scaled(found: Proposal) -> dict[int, tuple[float, ...]]:
    """Arrival, fuel and water of the front and the proposed plan, as shares of what they span."""
    numbers = dict.fromkeys((*found.front, *(n for n in (found.chosen,) if n is not None)))
    rows = [(found.tried[n].arrival, found.tried[n].fuel, -found.tried[n].margin) for n in numbers]
    columns = list(zip(*rows, strict=True))
    ends = [(min(column), (max(column) - min(column)) or 1.0) for column in columns]
    return {
        number: tuple((value - low) / span for value, (low, span) in zip(row, ends, strict=True))
        for number, row in zip(numbers, rows, strict=True)
    }


def front_row(found: Proposal, number: int) -> tuple[str, str, str, str, str]:
    """A row of the front: its name, arrival, fuel, lowest glass, and how it held on further seeds."""
    one, check = found.tried[number], found.check(number)
    return (
        label(found, number), clock(found.started, one.arrival), shown.text(FUEL, one.fuel, found.units),
        shown.glass(one.margin), f"{check.held} of {len(check.days)}" if check is not None else "not checked",
    )  # fmt: skip


def label(found: Proposal, number: int) -> str:
    """What a candidate goes by."""
    if number == found.chosen and number:
        return f"{number}, {PROPOSED}"
    return f"{number}, {AS_WRITTEN}" if number == 0 else str(number)


HEADS = ("candidate", "arrives", "burns", "glass", "further seeds")


def _table(found: Proposal, width: int) -> list[str]:
    """The front as a table, or in lines where the terminal is narrow."""
    rows = [HEADS, *(front_row(found, number) for number in told_front(found))]
    wide = [max(len(row[column]) for row in rows) for column in range(len(HEADS))]
    if sum(wide) + 2 * len(wide) > width:
        return [line for row in rows[1:] for line in fold(", ".join(row), width, "  ", "    ")]
    return ["  " + "  ".join(_cells(row, wide)).rstrip() for row in rows]


def _cells(row: Sequence[str], wide: Sequence[int]) -> Iterator[str]:
    for cell, room in zip(row, wide, strict=True):
        yield f"{cell:<{room}}"
