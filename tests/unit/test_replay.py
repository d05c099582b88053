"""A log replayed on a bare plant: what a day with a crew showed, from what they noted; each doing counts."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from halfglass.scenario.load import load
from halfglass.study.fit import EXPECTED, usable
from halfglass.study.invented_log import invented_log
from halfglass.study.owner_log import OwnerLog, parse_log
from halfglass.study.replay import replay

SCENARIOS = Path(__file__).parents[2] / "scenarios"


def logged(text: str, scenario: str = "01-quiet-lake-day") -> tuple[object, OwnerLog]:
    day = load(SCENARIOS / f"{scenario}.toml").base
    return day, parse_log(text.encode(), "log.csv", day.light_up)


@pytest.mark.parametrize(
    "scenario", ["01-quiet-lake-day", "04-wood-to-the-mill", "06-anthracite-and-patience"]
)
def test_a_crewed_day_is_seen_again(scenario: str) -> None:
    """The errors left are those of a clock read to the minute, of divisions, and of the eye."""
    day = load(SCENARIOS / f"{scenario}.toml").base
    log = parse_log(invented_log(day, {}, 1).encode(), "log.csv", day.light_up)
    shown = replay(day, log)
    for name, used in usable(day, log).items():
        assert used.sum() >= 6
        missed = np.sqrt(np.mean((shown[name] - log.noted(name))[used] ** 2))
        assert missed < 2.0 * EXPECTED[name], (name, missed)


FIRE = (
    "clock,boiler_pressure [bar],glass_fraction [%],{head}\n"
    "08:15,0,50,{first}\n08:16,0,50,{then}\n10:15,,,{last}\n10:20,5,60,\n"
)
BASE = {"head": "fuel_added [kg],damper [%]", "first": "6,15", "then": "3,15", "last": ","}


def shown(**changes: str) -> dict[str, float]:
    day, log = logged(FIRE.format(**{**BASE, **changes}))
    return {name: float(values[-1]) for name, values in replay(day, log).items()}  # type: ignore[arg-type]


def test_what_was_done_moves_what_is_shown() -> None:
    plain = shown()
    assert 1e5 < plain["boiler_pressure"] < 7.1e5
    assert shown(then="1,15")["boiler_pressure"] < plain["boiler_pressure"] - 1e4
    assert shown(first="6,5", then="3,5")["boiler_pressure"] < plain["boiler_pressure"] - 1e4
    pumped = shown(head="fuel_added [kg],damper [%],strokes_lake", first="6,15,", then="3,15,", last=",,120")
    assert pumped["glass_fraction"] > plain["glass_fraction"] + 0.02
    blown = shown(head="fuel_added [kg],damper [%],blow_down [s]", first="6,15,", then="3,15,", last=",,10")
    assert blown["glass_fraction"] < plain["glass_fraction"] - 0.02
    steamed = shown(head="fuel_added [kg],damper [%],throttle [%]", first="6,15,", then="3,15,", last=",,30")
    assert steamed["boiler_pressure"] < plain["boiler_pressure"] - 1e4


def test_safety_valves_hold_the_pressure_without_a_step() -> None:
    """Ever bigger fires: pressure rises to the valves, and goes on rising within the band they open in."""
    text = "clock,boiler_pressure [bar],fuel_added [kg],damper [%]\n08:15,0,{0},100\n08:45,,{0},\n09:15,5,,\n"
    day, _ = logged(text.format(5))
    lifts = day.boat.safety_valve[0].set_pressure  # type: ignore[attr-defined]
    pressures = np.array(
        [
            replay(*logged(text.format(mass)))["boiler_pressure"][-1]  # type: ignore[arg-type]
            for mass in np.linspace(2.5, 9.0, 14)
        ]
    )
    held = pressures[pressures > 0.97 * lifts]
    assert held.size >= 10 and pressures[0] < 0.5 * lifts
    assert held.max() < lifts
    assert (np.diff(pressures) > 0.0).all()


def test_nothing_is_shown_once_the_crown_is_bare() -> None:
    text = (
        "clock,glass_fraction [%],fuel_added [kg],damper [%],blow_down [s]\n"
        "08:15,50,6,15,\n08:16,50,3,,\n10:15,,,,240\n10:30,,,,\n"
    )
    day, log = logged(text)
    level = replay(day, log)["glass_fraction"]  # type: ignore[arg-type]
    assert np.isfinite(level[:3]).all()
    assert np.isnan(level[3])
