"""What a person at a pump lever can do, against published figures of human power."""

from __future__ import annotations

import math

import pytest
from scripted_day import SCENARIO

from halfglass.plant.human_power import HORSEPOWER, lever_force, sustained_human_power
from halfglass.scenario.load import load


@pytest.mark.parametrize(("minutes", "horsepower"), [(240.0, 1 / 8), (12.0, 1 / 4)])
def test_sustained_power(minutes: float, horsepower: float) -> None:
    # 1/8 hp for 4 h and 1/4 hp for 12 min, S; 5 %.
    assert sustained_human_power(minutes) / HORSEPOWER == pytest.approx(horsepower, rel=0.05)


@pytest.mark.parametrize("minutes", [1.0, 10.0, 100.0, 480.0])
def test_krendel(minutes: float) -> None:
    # Krendel, hp = 0.35 - 0.092 log10(t min) (value from memory).
    expected = 0.35 - 0.092 * math.log10(minutes)
    assert sustained_human_power(minutes) / HORSEPOWER == pytest.approx(expected, rel=1e-9)


def test_pumping_by_hand() -> None:
    # Lever force at most 90-100 N, 20 strokes/min heavy and 20-50 light (S, M): Sedge at working pressure.
    scenario = load(SCENARIO).base
    pump = scenario.boat.feed.hand_pump
    assert pump is not None
    force = lever_force(scenario.firing.working_pressure, pump.stroke_volume, pump.lever_travel)
    assert force <= 90.0
    assert 20.0 <= scenario.crew.strokes * 60.0 <= 50.0
    power = force * pump.lever_travel * scenario.crew.strokes
    assert power <= sustained_human_power(240.0)
