"""The boathouse card: one page for the wall, and the same as terminal text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from markupsafe import Markup

from halfglass.report import sheet, told
from halfglass.report.route_strip import route_strip
from halfglass.report.scene import scene
from halfglass.report.terminal import CAUTION, fold
from halfglass.result import shown
from halfglass.result.card import After, FailureRow, FailureTable
from halfglass.result.clock import clock, duration
from halfglass.result.loading import Loading, loading
from halfglass.result.records import Nearest, Outing
from halfglass.result.route import stops
from halfglass.result.whole import write_whole
from halfglass.vocabulary import units

WATCHED = 5
"""Limits told under what to watch."""
LABEL, COLUMN = 25, 15
"""Cells of a line of the table of failures in a terminal; a narrower one gets sentences."""
ALREADY, NOT_BEFORE = "already", "–"
CAUTIONS = (
    CAUTION,
    "The minutes say how little time there is, not what to do with it: local law and codes, the maker's "
    "instructions, the certificate and your training say that, and they win over this card.",
    "Times are a model's for a boat in good order. Yours may be shorter.",
)


def card_text(outing: Outing, table: FailureTable, width: int = 80) -> str:
    """The card in lines of at most `width` cells (at least 24)."""
    width = min(max(width, 24), 110)
    marks = outing.marks
    lines = [*fold(f"{marks.title}: boathouse card", width), *fold(_heading(outing), width), ""]
    lines += fold(outing.verdict.sentence, width, "  ")
    lines += ["", "The plan"]
    rows = plan_rows(outing)
    column = max(len(times) for _, _, times, _ in rows) + 2
    for place, run, times, done in rows:
        hang = f"  {times:<{column}}"
        lines += fold(f"{place}, {run}: {done}", width, hang, " " * len(hang))
    for head, told_lines in (("To load", loading_lines(outing)), ("To watch", watch_lines(outing))):
        lines += ["", head]
        for line in told_lines:
            lines += fold(line, width, "  ", "    ")
    lines += ["", *fold(failure_heading(outing, table), width), *_failures(outing, table, width), ""]
    for line in (*table_notes(table), *CAUTIONS):
        lines += fold(line, width)
    return "\n".join(lines)


def card_html(outing: Outing, table: FailureTable) -> str:
    """The card as one self-contained page for A4; the same outing gives the same text."""
    strip = route_strip(scene([outing]))
    return sheet.template("card").render(
        title=outing.marks.title,
        heading=_heading(outing),
        sentence=outing.verdict.sentence,
        plan=plan_rows(outing),
        strip=Markup(strip.svg),
        narrow=Markup(strip.narrow),
        crossed=[f"{row.what}, {row.when}" for row in strip.moments],
        loading=loading_lines(outing),
        watch=watch_lines(outing),
        failure_heading=failure_heading(outing, table),
        speeds=speed_heads(outing, table),
        failures=[(row.failure, row.remark, list(failure_lines(row, table))) for row in table.rows],
        notes=table_notes(table),
        cautions=CAUTIONS,
    )


def write_card(outing: Outing, table: FailureTable, path: Path) -> None:
    """Write the page whole or not at all."""
    write_whole(path, card_html(outing, table).encode())


def _heading(outing: Outing) -> str:
    marks, found = outing.marks, stops(outing)
    day = f"{marks.started.day} {marks.started:%B %Y}"
    parts = [f"plan {marks.plan_name}", day, f"fire lit {clock(marks.started, 0.0)}"]
    if found[0].left is not None:
        parts.append(f"cast off {clock(marks.started, found[0].left)}")
    if len(found) > 1:
        parts.append(f"at {found[-1].place} {clock(marks.started, found[-1].arrived)}")
    return "; ".join(parts)


def plan_rows(outing: Outing) -> list[tuple[str, str, str, str]]:
    """Places in order: name, distance run, times, what is done there."""
    started, system = outing.marks.started, outing.marks.units
    rows = []
    for number, stop in enumerate(stops(outing)):
        times = clock(started, stop.arrived)
        if stop.left is not None and (left := clock(started, stop.left)) != times:
            times += f" to {left}"
        done = ", ".join(stop.kinds) or ("light up, raise steam" if number == 0 else "passed")
        rows.append((stop.place, shown.text("distance", stop.distance, system), times, done))
    return rows


def loading_lines(outing: Outing) -> list[str]:
    """Fuel and water to load, with how well they are known."""
    load, system = loading(outing), outing.marks.units
    lines = [_fuel(load, system)]
    if load.fuel_taken > 0.0:
        lines.append(f"Taken on the way: {_mass(load.fuel_taken, system)} of fuel.")
    if load.ran_out:
        lines.append("The bunker or tank was empty on the way: this plan needs more than was aboard.")
    if outing.verdict.outcome.kind != "arrived":
        lines.append("The day did not run to its end: what is told is what was used until then.")
    lines.append(
        f"Water: boiler {_mass(load.boiler_water, system)}, hot well {_mass(load.hotwell_water, system)} "
        f"before lighting up; {_mass(load.water_drawn, system)} more from lake or wharf on the way, or as "
        "much to carry where the water alongside will not do."
    )
    return lines


def _fuel(load: Loading, system: str) -> str:
    return (
        f"Fuel: {_mass(load.fuel_to_load, system)}, which is {_mass(load.drawn_down, system)} used and "
        f"{_mass(load.reserve, system)} in reserve, give or take {_mass(load.fuel_spread, system)} "
        f"(judgement); the scenario loads {_mass(load.fuel_aboard, system)}."
    )


def _mass(value: float, system: str) -> str:
    return units.show(value, "mass", units.display_unit("mass", system), 3)


def watch_lines(outing: Outing) -> list[str]:
    """The limits that were crossed or came nearest, with when and where."""
    lines = []
    for near in outing.verdict.nearest[:WATCHED]:
        lines.append(
            f"{told.item(near).capitalize()}: {_margin(near, outing)}, "
            f"{told.when(near, outing)}, {near.place}."
        )
    return lines


def _margin(near: Nearest, outing: Outing) -> str:
    """How far a limit was off: to spare, just reached, or crossed."""
    if abs(near.margin_fraction) < told.REACHED:
        return "just reached"
    left = told.margin(near, outing)
    return f"crossed by {left}" if near.margin_fraction < 0.0 else f"{left} to spare"


def failure_heading(outing: Outing, table: FailureTable) -> str:
    """What the minutes are counted from."""
    pressure = shown.text("boiler_pressure", table.pressure, outing.marks.units)
    glass = "half glass" if abs(table.glass - 0.5) < 1e-9 else f"{shown.glass(table.glass)} of the glass"
    spread = f"{100 * table.uncertainty_fraction:.0f} %"
    return f"Minutes available from {glass} and {pressure}, give or take {spread}"


def speed_heads(outing: Outing, table: FailureTable) -> list[tuple[str, str, str]]:
    """Each speed: its name, the boat's speed, the steam used."""
    system = outing.marks.units
    flow = units.display_unit("mass_flow", system)
    return [
        (
            f"{speed.name} {100 * speed.throttle:.0f} %",
            shown.text("boat_speed", speed.boat_speed, system),
            units.show(speed.steam, "mass_flow", flow, 2),
        )
        for speed in table.speeds
    ]


def failure_lines(row: FailureRow, table: FailureTable) -> Iterator[tuple[str, list[str]]]:
    """A failure's marks, and the minutes to each at every speed."""
    marks: list[tuple[str, str]] = []
    if row.tells_water:
        marks += [("to a quarter glass", "quarter"), ("to the bottom nut", "bottom_nut")]
    if row.tells_pressure:
        marks += [("too low to go astern", "no_reversing"), ("too low to steam", "no_steaming")]
    for label, name in marks:
        yield label, [minutes(after, name, table) for after in row.after]


def minutes(after: After, mark: str, table: FailureTable) -> str:
    """Whole minutes to a mark, rounded down; words where it never came or was there before."""
    seconds = getattr(after, mark)
    if seconds is None:
        long = f"over {table.looked_ahead / 60:.0f}"
        return long if after.watched >= table.looked_ahead else NOT_BEFORE
    if seconds == 0.0:
        return ALREADY
    return "under 1" if seconds < 60.0 else f"{int(seconds // 60)}"


def table_notes(table: FailureTable) -> list[str]:
    """What the table's entries mean and what was assumed."""
    return [
        f"Over {table.looked_ahead / 60:.0f}: not within the {duration(table.looked_ahead)} looked ahead. "
        f"{ALREADY.capitalize()}: so before the failure, at that speed. "
        f"{NOT_BEFORE}: not before the run ended.",
        *table.assumed,
    ]


def _failures(outing: Outing, table: FailureTable, width: int) -> Iterator[str]:
    """The failures for a terminal: a table where there is room, or else sentences."""
    heads = speed_heads(outing, table)
    wide = LABEL + COLUMN * len(heads) <= width
    for line in zip(*heads, strict=True) if wide else ():
        yield _cells("", line)
    for row in table.rows:
        yield from fold(f"{row.failure}. {row.remark}", width, "  ")
        for label, cells in failure_lines(row, table):
            if wide:
                yield _cells(f"    {label}", cells)
            else:
                told_cells = zip(heads, cells, strict=True)
                each = ", ".join(f"{head[0]} throttle {cell}" for head, cell in told_cells)
                yield from fold(f"{label}: {each}", width, "    ", "      ")


def _cells(label: str, cells: Sequence[str]) -> str:
    return f"{label:<{LABEL}}" + "".join(f"{cell:>{COLUMN}}" for cell in cells)
