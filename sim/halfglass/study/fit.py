"""`fit`: find the numbers of a boat that make the model agree with her owner's log.

The plant is driven by what the log says was done (`replay`), and the numbers that bring what it shows nearest
to what was read are sought (`estimate`). The last part of the log is held back, to see if they hold there.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from halfglass.plant.compile import is_compiled
from halfglass.plant.marcher import ChatterError, MarchFailedError
from halfglass.result import provenance
from halfglass.result.fitted import FitResult, FittedNumber, Series
from halfglass.scenario.day_models import Scenario
from halfglass.scenario.dotted import paths
from halfglass.scenario.load import Story
from halfglass.scenario.toml_edit import with_values
from halfglass.study.estimate import Estimate, estimate
from halfglass.study.fit_numbers import SPAN, Fitted, numbers_of, with_numbers
from halfglass.study.owner_log import Array, OwnerLog
from halfglass.study.replay import replay

HELD_BACK = 0.3
"""Share of the log's time, at its end, that is held back."""
EXPECTED = {
    "boiler_pressure": 1e4, "glass_fraction": 0.03, "shaft_speed": 0.1,
    "boat_speed": 0.1, "ground_speed": 0.1,
}  # fmt: skip
"""Deviation of readings from a model that is right, before the log itself has told [SI] (judgement)."""
NEAR_LIFTING = 0.97
"""Of the pressure at which a safety valve shuts: from there on pressure tells of the valve, not the fire."""
SETTLES, EARLY = 180.0, 60.0
"""s after a movement of throttle, gear or lines, and before it as the clock is read to the minute, in which
readings tell nothing (judgement)."""
SHAKES = 32
"""Replays with the doings at other times that the log's clock allows for."""
FEWEST = 8
"""Readings in the part fitted to, below which nothing is fitted."""
LIBRARIES = ("scipy",)


class NothingToFitError(Exception):
    """A log or boat that leaves nothing to be fitted; the message says what is lacking."""


def fit(
    story: Story, log: OwnerLog, plan: str | None = None, seed: int = 0,
    progress: Callable[[int], None] = lambda _runs: None,
) -> FitResult:  # fmt: skip
    """Fit the boat of a story to a log.

    Parameters: story; log, as `owner_log.read_log` gives it; plan, whose boat and stores count, the first
    if none is named; seed of the starting points; progress, called with the runs of the plant so far.
    Raises: NothingToFitError; NoPlaceError if a value cannot be put into the boat file.
    """
    day = story.for_plan(plan or story.plan_names[0])
    boat_file, boat_text = boat_of(story, day)
    numbers = numbers_of(day, tomllib.loads(boat_text))
    held_from = float(log.time[0] + (1.0 - HELD_BACK) * (log.time[-1] - log.time[0]))
    fitted = {name: used & (log.time < held_from) for name, used in usable(day, log).items()}
    fitted = {name: used for name, used in fitted.items() if used.any()}
    if sum(int(used.sum()) for used in fitted.values()) < FEWEST:
        raise NothingToFitError(f"the first part of this log has fewer than {FEWEST} readings to fit to")
    replayed = Replays(day, log, numbers, fitted)
    expected = [EXPECTED[name] for name in fitted]
    found = estimate(replayed.errors, len(numbers), expected, seed, replayed.shaken, progress)
    tuned = with_numbers(day, numbers, found.put)
    told = told_numbers(numbers, found)
    return FitResult(
        title=day.title,
        log_name=Path(log.file).name,
        started=datetime.combine(day.date, day.light_up),
        units=day.units,
        numbers=told,
        series=tuple(_series(day, tuned, log, fitted, held_from, found)),
        correlation=found.correlation,
        strength=found.strength,
        directions=found.directions,
        held_from=held_from,
        ends=float(log.time[-1]),
        boat_name=fitted_name(story, plan or story.plan_names[0]),
        boat=boat_text_of(day, boat_file, boat_text, told, log),
        runs=found.runs,
        notes=tuple(_notes(log, numbers, replay(tuned, log))),
        provenance=_provenance(story, log, day, seed),
    )


def boat_of(story: Story, day: Scenario) -> tuple[str, str]:
    """Name and text of the file the boat of a day stands in."""
    for file, content in list(story.files.items())[1:]:
        text = content.decode("utf-8-sig").replace("\r\n", "\n")
        if tomllib.loads(text).get("name") == day.boat.name:
            return file, text
    raise NothingToFitError(
        "the boat stands in the scenario itself; put it into a boat file, which `fit` can copy"
    )


def fitted_name(story: Story, plan: str) -> str:
    """Name of the new boat file."""
    return f"{Path(boat_of(story, story.for_plan(plan))[0]).stem}-fitted.toml"


def usable(day: Scenario, log: OwnerLog) -> dict[str, NDArray[np.bool_]]:
    """Which readings of each column tell of the boat: chosen by the log alone, so that a fit moves none."""
    shuts = min(valve.reseat_pressure for valve in day.boat.safety_valve)
    moved = np.zeros(log.time.size, dtype=bool)
    for name in ("throttle", "reversing_gear", "moored"):
        moved |= np.isfinite(log.noted(name))
    gaps = log.time[:, None] - log.time[moved][None, :]
    is_settled = ~np.any((gaps >= -EARLY) & (gaps <= SETTLES), axis=1)
    chosen = {}
    for name in log.seen:
        read = log.noted(name)
        is_good = np.isfinite(read)
        if name == "boiler_pressure":
            is_good &= (read > 0.0) & (read < NEAR_LIFTING * shuts)
        chosen[name] = is_good & is_settled
    return chosen


@dataclass(frozen=True)
class Replays:
    """What `estimate` wants of a log: the errors of each series, for given numbers."""

    day: Scenario
    log: OwnerLog
    numbers: tuple[Fitted, ...]
    used: Mapping[str, NDArray[np.bool_]]

    def errors(self, z: Array, done_at: Array | None = None) -> list[Array]:
        """What each reading used is missed by, infinite if the plant cannot be integrated."""
        try:
            shown = replay(with_numbers(self.day, self.numbers, z), self.log, done_at)
        except (MarchFailedError, ChatterError):
            return [np.full(int(which.sum()), np.inf) for which in self.used.values()]
        return [shown[name][which] - self.log.noted(name)[which] for name, which in self.used.items()]

    def shaken(self, z: Array) -> Iterator[list[Array]]:
        """The same with each line's doings at other times the clock allows for: it was read to a division."""
        dice = np.random.default_rng(SHAKES)
        half = 0.5 * self.log.clock_division
        for _ in range(SHAKES if half > 0.0 else 0):
            done_at = self.log.time + dice.uniform(-half, half, self.log.time.size)
            yield self.errors(z, np.maximum.accumulate(np.maximum(done_at, 0.0)))


def told_numbers(numbers: tuple[Fitted, ...], found: Estimate) -> tuple[FittedNumber, ...]:
    """What was found of each number, and of those the log does not tell why."""
    told = []
    for place, one in enumerate(numbers):
        z, reach = float(found.z[place]), float(found.reach[place] * found.deviation[place])
        values = {
            "written": one.written, "value": one.value(float(found.put[place])),
            "low": one.value(z - reach), "high": one.value(z + reach),
            "least": one.value(-SPAN), "most": one.value(SPAN),
        }  # fmt: skip
        texts = {name: one.show(value) for name, value in values.items()}
        why = "" if found.told[place] else _why(place, numbers, found)
        told.append(
            FittedNumber(
                key=one.number.key, about=one.number.about, unit=one.unit, is_told=bool(found.told[place]),
                why=why, texts=texts, **values,
            )
        )  # fmt: skip
    return tuple(told)


def _why(place: int, numbers: tuple[Fitted, ...], found: Estimate) -> str:
    """Why the log does not tell a number."""
    if found.alone[place] > 0.99:
        return "nothing in this log depends on it"
    others = [abs(value) if other != place else 0.0 for other, value in enumerate(found.correlation[place])]
    nearest = int(np.argmax(others))
    if others[nearest] < 0.3:
        return "what it does is lost in the noise of the readings"
    return f"what it does is small, or {numbers[nearest].number.key.removeprefix('boat.')} does the same"


def _series(
    day: Scenario, tuned: Scenario, log: OwnerLog, fitted: Mapping[str, NDArray[np.bool_]], held_from: float,
    found: Estimate,
) -> Iterator[Series]:  # fmt: skip
    """Every series that was fitted to, with its readings, before and after."""
    before, after = replay(day, log), replay(tuned, log)
    good = usable(day, log)
    for noise, (name, used) in zip(found.noise, fitted.items(), strict=True):
        read = log.noted(name)
        was = np.isfinite(read)
        is_held = good[name] & (log.time >= held_from) & np.isfinite(before[name]) & np.isfinite(after[name])
        is_fitted = used & np.isfinite(before[name]) & np.isfinite(after[name])
        yield Series(name, log.time[was], read[was], before[name][was], after[name][was], is_fitted[was],
                     is_held[was], noise.deviation, noise.lasting)  # fmt: skip


def boat_text_of(
    day: Scenario, file: str, text: str, numbers: tuple[FittedNumber, ...], log: OwnerLog
) -> str:
    """The owner's boat file with the numbers that were told put in place, and a heading that says so."""
    name = Path(log.file).name
    told = [one for one in numbers if one.is_told]
    lines = [
        f"# A copy of {Path(file).name}, fitted by `halfglass fit` to {name}, of {day.date.isoformat()}.",
        "# Model estimate, no measurement. Put in place, with 90 % intervals:",
    ]
    lines += [
        f"#   {one.key.removeprefix('boat.')}: {one.texts['value']} "
        f"({one.texts['low']} to {one.texts['high']}), was {one.texts['written']}"
        for one in told
    ]
    lines += [] if told else ["#   nothing: the log tells none of the numbers"]
    values = {paths(day, one.key)[0][1:]: _literal(one) for one in told}
    return "\n".join(lines) + "\n" + with_values(text, values)


def _literal(one: FittedNumber) -> str:
    return f'"{one.texts["value"]}"' if one.unit else one.texts["value"]


def _notes(log: OwnerLog, numbers: tuple[Fitted, ...], after: Mapping[str, Array]) -> Iterator[str]:
    """What a reader of the figures must know."""
    yield (
        "Intervals hold the true number with 90 % confidence if the model is right, the log is true, and "
        "each number was beforehand as uncertain as stated. Their width follows from how the readings miss "
        "the fit, and allows for errors that last from one reading to the next, for doings at other times "
        "than the log's clock was read to, and for what the log does not tell."
    )
    yield (
        "Left out of the fit: pressures before the gauge moved and near the safety valves' lifting, and all "
        "just after a movement of throttle, gear or lines."
    )
    lacking = [name for name in ("damper", "burner_rate") if name in log.columns]
    if not lacking:
        yield "The log notes neither damper nor burner: they were taken as they stand at the start, all day."
    if "fuel_added" not in log.columns and "burner_rate" not in log.columns:
        yield "The log notes no fuel: without it nothing can be said of the fire."
    if any(np.isnan(shown).any() for shown in after.values()):
        yield "In the model the crown would have been bare before the log ends; nothing after that was used."


def _provenance(story: Story, log: OwnerLog, day: Scenario, seed: int) -> dict[str, Any]:
    files = {**story.files, Path(log.file).name: log.content}
    origin = dict(provenance.gather(files, "", seed, day.units, is_compiled()))
    del origin["plan"]
    return {**origin, "fitted with": provenance.versions(LIBRARIES)}
