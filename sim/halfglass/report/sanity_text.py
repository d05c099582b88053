"""The sanity table of a boat as plain text and as an object for programs."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

from halfglass.report.terminal import CAUTION, fold
from halfglass.result.sanity import AtThrottle, Sanity
from halfglass.vocabulary import units

_GRADE_WIDTH = 19
_ORDER = ("out of proportion", "large", "small")


def sanity_text(table: Sanity, width: int = 80) -> str:
    """The table in lines of at most `width` cells."""
    width = min(max(width, 48), 110)
    lines = [*fold(f"{table.boat}, looked over", width), ""]
    for sentence in table.assumed:
        lines += fold(sentence, width, "  ")
    lines += ["", *_speeds(table), ""]
    for line in table.lines:
        lines += _entry(line.grade, f"{line.quantity}: {line.value}.", width)
        if line.remark:
            lines += fold(f"{line.remark[0].upper()}{line.remark[1:]}.", width, " " * _GRADE_WIDTH)
        lines += fold(f"Usual: {line.usual}.", width, " " * _GRADE_WIDTH)
    return "\n".join([*lines, "", *fold(_summary(table), width), *fold(CAUTION, width)])


def _entry(grade: str, text: str, width: int) -> list[str]:
    """A grade in its column and the text beside it."""
    first, *rest = fold(text, width, " " * _GRADE_WIDTH)
    return [f"{grade:<{_GRADE_WIDTH}}{first.strip()}", *rest]


def _speeds(table: Sanity) -> Iterable[str]:
    """The boat at several throttles, in the units of the answers."""
    system = table.units
    shown = {kind: units.display_unit(kind, system) for kind in ("speed", "mass_flow")}
    heads = (
        "throttle",
        "rpm",
        shown["speed"],
        f"steam {shown['mass_flow']}",
        "ihp",
        "lb/ihp h",
        "of the fire",
    )
    widths = [max(8, len(head)) for head in heads]
    yield "  " + "  ".join(f"{head:>{room}}" for head, room in zip(heads, widths, strict=True))
    for row in table.speeds:
        cells = _cells(row, shown)
        yield "  " + "  ".join(f"{cell:>{room}}" for cell, room in zip(cells, widths, strict=True))


def _cells(row: AtThrottle, shown: dict[str, str]) -> tuple[str, ...]:
    return (
        f"{100 * row.throttle:.0f} %",
        f"{60 * row.shaft_speed:.0f}",
        f"{units.convert(row.boat_speed, 'speed', shown['speed']):.1f}",
        f"{units.convert(row.steam, 'mass_flow', shown['mass_flow']):.1f}",
        f"{units.convert(row.indicated_power, 'power', 'hp'):.2f}",
        f"{row.water_rate:.0f}",
        f"{100 * row.of_capacity:.0f} %",
    )


def _summary(table: Sanity) -> str:
    told = []
    for grade in _ORDER:
        names = [line.quantity for line in table.lines if line.grade == grade]
        told += [f"{grade}: {', '.join(name[0].lower() + name[1:] for name in names)}"] if names else []
    if not told:
        return f"All {len(table.lines)} quantities are in proportion."
    return f"Of {len(table.lines)} quantities {'; '.join(told)}. The others are in proportion."


def sanity_object(table: Sanity) -> dict[str, Any]:
    """The table as one object, SI inside; null where a number is not finite."""
    return {
        "schema_version": 1,
        "boat": table.boat,
        "assumed": list(table.assumed),
        "speeds": [
            {
                "throttle": row.throttle,
                "shaft_speed_rev_per_s": row.shaft_speed,
                "boat_speed_m_per_s": row.boat_speed,
                "steam_kg_per_s": row.steam,
                "indicated_power_W": row.indicated_power,
                "water_rate_lb_per_ihp_h": row.water_rate,
                "of_capacity": row.of_capacity,
            }
            for row in table.speeds
        ],
        "lines": [
            {**line._asdict(), "number": line.number if math.isfinite(line.number) else None}
            for line in table.lines
        ],
    }
