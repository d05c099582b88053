"""Seconds since the start, as people say them: clock times and durations."""

from __future__ import annotations

from datetime import datetime, time, timedelta


def clock(started: datetime, seconds: float, with_seconds: bool = False) -> str:
    """Clock time of a moment [s since `started`]; later days say which.

    >>> clock(datetime(2026, 6, 1, 8, 15), 3 * 3600 + 27 * 60)
    '11:42'
    >>> clock(datetime(2026, 6, 1, 22, 0), 4 * 3600)
    'day 2, 02:00'
    """
    moment = started + timedelta(seconds=int(seconds + 1e-6))  # clocks do not round up
    text = moment.strftime("%H:%M:%S" if with_seconds else "%H:%M")
    days = (moment.date() - started.date()).days
    return f"day {days + 1}, {text}" if days else text


def duration(seconds: float) -> str:
    """A length of time [s] in the units a person would use.

    >>> [duration(s) for s in (12.3, 272, 840, 7500)]
    ['12 s', '4 min 32 s', '14 min', '2 h 05 min']
    """
    whole = round(seconds)
    if whole < 60:
        return f"{whole} s"
    if whole < 600:
        return f"{whole // 60} min {whole % 60:02d} s" if whole % 60 else f"{whole // 60} min"
    minutes = round(seconds / 60)
    if minutes < 120:
        return f"{minutes} min"
    return f"{minutes // 60} h {minutes % 60:02d} min" if minutes % 60 else f"{minutes // 60} h"


def since_midnight(moment: datetime | time) -> float:
    """How far into its day a moment is [s].

    >>> since_midnight(time(8, 15, 30))
    29730.0
    """
    return moment.hour * 3600.0 + moment.minute * 60.0 + moment.second + moment.microsecond / 1e6


def stamp(started: datetime, seconds: float) -> str:
    """The full date and time of a moment, for files.

    >>> stamp(datetime(2026, 6, 1, 8, 15), 12.75)
    '2026-06-01T08:15:12.750'
    """
    return (started + timedelta(milliseconds=round(seconds * 1000))).isoformat(timespec="milliseconds")
