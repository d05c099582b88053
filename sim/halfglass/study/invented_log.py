"""Invents an owner's log: a day with a crew, on a boat whose hidden numbers are not those of her boat file.

What was done is noted to the minute, what was seen to the divisions of the instruments and with an eye that
errs. `python -m halfglass.study.invented_log SCENARIO` prints the log that is shipped.
"""

from __future__ import annotations

import sys
from collections.abc import Mapping
from functools import partial
from typing import Any

import numpy as np

from halfglass.day.outing import Day
from halfglass.plant.parameters import Settings
from halfglass.plant.steamplant import SteamPlant
from halfglass.result.clock import stamp
from halfglass.scenario.day_models import Scenario
from halfglass.scenario.dotted import laid_in
from halfglass.scenario.load import load
from halfglass.study.owner_log import COLUMNS, CONTROLS
from halfglass.vocabulary import units

HIDDEN = {
    "boat.fire.ash_pit_opening": 0.0255,
    "boat.fire.over_fire_opening": 0.0205,
    "boat.engine.throttle": 52e-6,
    "boat.engine.diagram_factor": 0.86,
    "boat.engine.missing_quantity": 7.1,
    "boat.feed.engine_pump.delivery": 0.74,
    "boat.boiler.lagging": 3.6,
}
"""What the shipped log's boat really is [SI]; her boat file says otherwise."""
SEED = 1
UNITS = {
    "boiler_pressure": "bar gauge", "glass_fraction": "%", "shaft_speed": "rpm", "boat_speed": "kn",
    "throttle": "%", "damper": "%", "blower": "%", "bypass": "%", "reversing_gear": "%", "headwind": "m/s",
    "stream": "m/s", "burner_rate": "%", "condensate_drain": "%", "fuel_added": "kg", "water_added": "L",
}  # fmt: skip
"""As the shipped log is written; the other columns of what was done have none."""
ERRS = {"boiler_pressure": 3e3, "glass_fraction": 0.015, "shaft_speed": 2 / 60, "boat_speed": 0.03}
"""Standard deviation of the eye [SI], before it picks a division (judgement)."""
DIVISIONS = {
    "boiler_pressure": 5e3,
    "glass_fraction": 0.05,
    "shaft_speed": 5 / 60,
    "boat_speed": 0.1852 / 3.6,
}
"""Of gauge, glass, counted revolutions and a speed to 0.1 kn [SI]."""
READ_EVERY, SPEED_EVERY = 180.0, 480.0
"""s at least between readings of gauge and glass, and of revolutions and speed."""
MINUTE = 60.0


def invented_log(day: Scenario, hidden: Mapping[str, float], seed: int) -> str:
    """A log of a day, as text.

    Parameters: day, as its scenario says; hidden, the numbers by dotted key [SI] that the boat really has;
    seed of the crew's times and the eye's errors.
    """
    for key, value in hidden.items():
        day = laid_in(day, key, value)
    happened, done = _watched(Day(day, seed))
    return _Writing(happened, done, seed).text()


def _watched(day: Day) -> tuple[Day, list[tuple[float, str, float]]]:
    """A day that has happened, and what of it a log has columns for: time [s], column, value [SI]."""
    done: list[tuple[float, str, float]] = []
    plant = day.clock.plant
    settings = {column.name for column in CONTROLS} & set(Settings.__dataclass_fields__)

    def note(name: str, really: Any, *args: Any, **changes: float) -> Any:
        at = plant.time
        if name == "set":
            done.extend((at, key, value) for key, value in changes.items() if key in settings)
        else:
            how_much = {"make_up_hotwell": 1e-3, "clean_grate": 1.0}
            column = {"make_up_hotwell": "water_added", "clean_grate": "grate_cleaned"}.get(
                name, "fuel_added"
            )
            done.append((at, column, args[0] * how_much[name] if name in how_much else args[0].mass))
        return really(*args, **changes)

    for name in ("set", "put_on", "make_up_hotwell", "clean_grate"):
        setattr(plant, name, partial(note, name, getattr(plant, name)))
    plant.light = partial(_light, plant, done)  # type: ignore[method-assign]
    day.run()
    return day, done


def _light(plant: SteamPlant, done: list[tuple[float, str, float]], charge: Any, *how: Any) -> Any:
    """Lighting up puts kindling and the first charge on by itself: only the charge is fuel from aboard."""
    before = len(done)
    result = SteamPlant.light(plant, charge, *how)
    del done[before:]
    done.append((plant.time, "fuel_added", charge.mass))
    return result


class _Writing:
    """What an owner writes down of a day."""

    def __init__(self, day: Day, done: list[tuple[float, str, float]], seed: int) -> None:
        self.day, self.done = day, done
        self.dice = np.random.default_rng(np.random.SeedSequence([seed, 1]))
        marcher = day.clock.plant.marcher
        rows = marcher.rows()
        self.time = rows[:, 0]
        self.readings = {n: rows[:, marcher.reading_names.index(n) + 1] for n in ERRS}

    def text(self) -> str:
        """The whole log."""
        lines = self._lines()
        start = vars(Settings())
        names = [
            n for n in COLUMNS if any(line.get(n, start.get(n)) != start.get(n) for line in lines.values())
        ]
        headers = [f"{name} [{UNITS[name]}]" if name in UNITS else name for name in names]
        told = [
            "# An invented log: no such boat, water or day exists. Made by halfglass.study.invented_log from",
            "# a boat whose numbers are not those of her boat file; `halfglass fit` is to find them.",
            ",".join(["clock", *headers]),
        ]
        for minute, line in sorted(lines.items()):
            clock = stamp(self.day.started, minute * MINUTE)[11:16]
            told.append(",".join([clock, *(self._cell(name, line.get(name)) for name in names)]))
        return "\n".join(told) + "\n"

    def _lines(self) -> dict[int, dict[str, float]]:
        """Columns by the minute: the last setting, the sum of what was put on, and readings now and then."""
        lines: dict[int, dict[str, float]] = {}
        settings: dict[str, float] = {}
        for time, name, value in self.done:
            line = lines.setdefault(round(time / MINUTE), {})
            if name in ("fuel_added", "water_added"):
                line[name] = line.get(name, 0.0) + value
            elif name == "grate_cleaned" or settings.get(name) != value:
                line[name] = settings[name] = 1.0 if name == "grate_cleaned" else value
        last_minute = int(self.time[-1] / MINUTE)
        lines = {minute: line for minute, line in lines.items() if line and minute <= last_minute}
        read, sped = -READ_EVERY, -SPEED_EVERY
        for minute in sorted(lines):
            time = minute * MINUTE
            if time - read >= READ_EVERY:
                read = time
                self._read(lines[minute], minute, ("boiler_pressure", "glass_fraction"))
            if time - sped >= SPEED_EVERY and self._at("boat_speed", time) > 0.5:
                sped = time
                self._read(lines[minute], minute, ("shaft_speed", "boat_speed"))
        return lines

    def _at(self, name: str, time: float) -> float:
        return float(np.interp(time, self.time, self.readings[name]))

    def _read(self, line: dict[str, float], minute: int, names: tuple[str, ...]) -> None:
        """Read instruments at a minute, to their divisions; a level out of sight is not noted."""
        for name in names:
            seen = self._at(name, minute * MINUTE) + self.dice.normal(0.0, ERRS[name])
            told = DIVISIONS[name] * round(seen / DIVISIONS[name])
            if name != "glass_fraction" or 0.0 <= told <= 1.0:
                line[name] = max(0.0, told)

    @staticmethod
    def _cell(name: str, value: float | None) -> str:
        if value is None:
            return ""
        column = COLUMNS[name]
        if column.kind == "word":
            return "yes" if value > 0.5 else "no"
        return f"{float(units.convert(value, column.kind, UNITS[name])):.4g}"


if __name__ == "__main__":
    sys.stdout.write(invented_log(load(sys.argv[1]).base, HIDDEN, SEED))
