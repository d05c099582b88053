"""Going astern under way: at once at working pressure, not before the boat has slowed at low pressure."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from steaming import PSI, SCENARIOS, follow, steady

from halfglass.day.outing import Day
from halfglass.result import events
from halfglass.result.records import LogEntry
from halfglass.scenario.load import load

KNOT = 1852.0 / 3600.0
ASTERN = -0.2
"""rev/s beyond which the crew see the engine going astern."""


def reversed_at(pressure: float, throttle: float = 1.0) -> tuple[dict[str, NDArray[np.float64]], float]:
    """Gear over to astern at full speed: what follows, and seconds until the engine turns (or infinite)."""
    plant = steady(pressure, throttle=1.0)
    plant.set(reversing_gear=-1.0, throttle=throttle)
    trace = follow(
        plant, 90.0, ("shaft_speed", "boat_speed", "reversing_margin", "boiler_pressure"), every=0.5
    )
    astern = np.flatnonzero(trace["shaft_speed"] < ASTERN)
    return trace, float(trace["time"][astern[0]]) if astern.size else np.inf


def test_at_working_pressure_astern_at_once() -> None:
    trace, seconds = reversed_at(75.0 * PSI)
    assert trace["boiler_pressure"][0] > 65.0 * PSI
    assert trace["boat_speed"][0] > 5.0 * KNOT
    assert trace["reversing_margin"][1] > 1.0
    assert seconds <= 1.5
    assert trace["shaft_speed"][20] < -1.5


def test_astern_stops_the_boat() -> None:
    """From full speed she is stopped within 5 to 60 s (common practice, no source)."""
    trace, _ = reversed_at(75.0 * PSI)
    stopped = trace["time"][np.flatnonzero(trace["boat_speed"] <= 0.0)]
    assert stopped.size and 5.0 < stopped[0] < 60.0
    coasting = steady(75.0 * PSI, throttle=1.0)
    coasting.set(throttle=0.0)
    assert follow(coasting, float(stopped[0]), ("boat_speed",))["boat_speed"][-1] > 0.5 * KNOT


def test_at_low_pressure_the_screw_holds_the_engine_ahead() -> None:
    """At 15 psi and the speed that gives, the engine is held until the boat has lost some of her way."""
    trace, seconds = reversed_at(15.0 * PSI)
    assert trace["boiler_pressure"][0] < 25.0 * PSI
    assert trace["reversing_margin"][1] < 1.0
    assert 2.0 < seconds < 60.0
    before = trace["time"] < seconds - 0.5
    assert trace["shaft_speed"][before].min() > ASTERN
    at = int(np.searchsorted(trace["time"], seconds))
    assert trace["boat_speed"][at] < 0.85 * trace["boat_speed"][0]


def test_the_lower_the_pressure_the_longer_the_wait() -> None:
    waits = [reversed_at(pressure * PSI)[1] for pressure in (75.0, 30.0, 15.0)]
    assert waits[0] <= waits[1] <= waits[2]
    assert waits[2] > waits[0] + 2.0


def test_throttle_nearly_shut_is_low_chest_pressure() -> None:
    """Full steam in the boiler does not help behind a throttle opened a crack."""
    _, wide = reversed_at(75.0 * PSI, throttle=1.0)
    _, crack = reversed_at(75.0 * PSI, throttle=0.02)
    assert wide + 2.0 < crack


ROUTE = """
[[route]]
step = "raise steam"
until = "{pressure} psi"
at_most = "3 h"
[[route]]
step = "leg"
to = "Narrows"
distance = "1.5 km"
throttle = "100 %"
[[route]]
step = "manoeuvre"
movements = [ {{ gear = "astern", throttle = "{astern}", for = "60 s" }} ]
"""


def day_with(pressure: int, folder: Path, astern: str = "100 %") -> Day:
    """Sedge at a working pressure [psi], full ahead for 1.5 km, then astern with a throttle."""
    text = (SCENARIOS / "01-quiet-lake-day.toml").read_text(encoding="utf-8")
    head = text[: text.index("[[route]]")]
    head = re.sub(r'working_pressure = "[^"]*"', f'working_pressure = "{pressure} psi"', head)
    (folder / "boats").mkdir(parents=True)
    (folder / "boats" / "sedge.toml").write_bytes((SCENARIOS / "boats" / "sedge.toml").read_bytes())
    path = folder / f"astern-{pressure}.toml"
    path.write_text(head + ROUTE.format(pressure=pressure, astern=astern), encoding="utf-8")
    story = load(path)
    day = Day(story.for_plan(story.plan_names[0]))
    day.run()
    return day


def entries(day: Day, event: str) -> list[LogEntry]:
    return [entry for entry in day.entries if entry.event == event]


def test_crew_go_astern_at_the_first_try(tmp_path: Path) -> None:
    day = day_with(75, tmp_path)
    assert day.outcome is not None and day.outcome.kind == "arrived"
    (wanted,), (done,) = entries(day, events.REVERSAL_WANTED), entries(day, events.REVERSAL_DONE)
    assert not entries(day, "would not go astern")
    assert done.time - wanted.time <= 5.0
    assert "tries" not in done.text


def test_crew_wait_for_the_boat_to_slow_and_the_log_says_why(tmp_path: Path) -> None:
    """15 psi in the boiler and the throttle opened a crack: low pressure at the chest."""
    day = day_with(15, tmp_path, astern="5 %")
    assert day.outcome is not None and day.outcome.kind == "arrived"
    (wanted,), (done,) = entries(day, events.REVERSAL_WANTED), entries(day, events.REVERSAL_DONE)
    (refused,) = entries(day, "would not go astern")
    assert wanted.time < refused.time < done.time
    assert re.search(r"\d[\d.]* bar gauge", refused.text)
    torque = re.search(r"can give ([\d.]+) of the torque", refused.text)
    assert torque and 0.0 < float(torque.group(1)) < 1.0
    speeds = [re.search(r"([\d.]+) kn", entry.text) for entry in (wanted, refused, done)]
    knots = [float(speed.group(1)) for speed in speeds if speed]
    assert len(knots) == 3 and knots[0] >= knots[1] > knots[2]
    assert re.search(r"after \d+ s", done.text)


@pytest.mark.parametrize("pressure", [15, 75])
def test_the_boat_is_going_astern_in_the_end(tmp_path: Path, pressure: int) -> None:
    """A minute of steam astern after the engine took it: the boat has sternway."""
    day = day_with(pressure, tmp_path)
    assert day.clock.plant.reading("boat_speed") < -0.2 * KNOT
