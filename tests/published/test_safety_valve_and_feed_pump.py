"""Sedge's safety valves, feed pump and keel condenser against published practice."""

from __future__ import annotations

import pytest
from scripted_day import sedge


@pytest.mark.parametrize("valve", ["first", "second"])
def test_blowdown_of_the_safety_valves(valve: str) -> None:
    # US Navy training text: at most 2 psi or 4 %, whichever is greater, S.
    valves = sedge().parameters.valves
    opens: float = getattr(valves, f"{valve}_set_pressure")
    shuts: float = getattr(valves, f"{valve}_reseat_pressure")
    assert opens - shuts <= max(2.0 * 6894.757, 0.04 * opens)


def test_engine_pump_delivery() -> None:
    # Rose: engine pumps deliver 70-85 % of displacement, S.
    assert 0.70 <= sedge().parameters.feed.engine_pump_delivery_fraction <= 0.85


def test_keel_condenser_lying_to_moving() -> None:
    # Gerr, Boat Mechanical Systems Handbook, table 8-1: duty lying : moving = 1 : 2.5, S.
    fraction = sedge().parameters.exhaust.keel_conductance_lying_fraction
    assert abs(1.0 / fraction - 2.5) < 0.01
