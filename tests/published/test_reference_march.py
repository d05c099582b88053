"""Crossings of a scripted day against a tight integration by scipy (test only).

Source of the reference: scipy's solve_ivp, DOP853 (Hairer, Norsett & Wanner, Solving Ordinary
Differential Equations I, 2nd ed. 1993, II.5) with its own event search, over the same segments and
the same equations.
"""

from __future__ import annotations

import pytest
from scripted_day import SCRIPT, Crossing, run, sedge, with_scipy

from halfglass.plant import reading as r
from halfglass.plant.compile import is_compiled

pytest.importorskip("scipy")
pytestmark = pytest.mark.skipif(not is_compiled(), reason="the tight reference takes minutes in plain Python")

CLOSE = 0.05  # s


@pytest.fixture(scope="module")
def reference() -> list[Crossing]:
    return run(with_scipy(sedge(), "DOP853", relative=1e-10, share=1e-5, longest=1.0))


def test_every_crossing_is_within_a_twentieth_of_a_second(reference: list[Crossing]) -> None:
    found = run(sedge())
    assert [crossing[:3] for crossing in found] == [crossing[:3] for crossing in reference]
    errors = [abs(ours.time - tight.time) for ours, tight in zip(found, reference, strict=True)]
    worst = max(range(len(errors)), key=errors.__getitem__)
    print(f"\n{len(errors)} crossings; worst {errors[worst]:.4f} s: {reference[worst]}")
    assert errors[worst] < CLOSE


def test_the_script_asks_enough(reference: list[Crossing]) -> None:
    """The day meets every kind of crossing, and the valves lift and drop many times."""
    at_set_times = {time for time, _, _ in SCRIPT}
    marched = [crossing for crossing in reference if crossing.time not in at_set_times]
    ways = {(crossing.reading, crossing.direction) for crossing in marched}
    levels = ("boiler_pressure", "glass_fraction", "hotwell_mass", "boat_speed")
    assert ways == {(name, way) for name in levels for way in (+1, -1)} | {("distance", +1)}
    popping = sedge().parameters.valves.first_set_pressure
    lifts = [c for c in marched if c[:3] == (r.NAMES[r.BOILER_PRESSURE], popping, +1)]
    assert len(lifts) > 10


def test_the_reference_is_tighter_than_what_it_judges(reference: list[Crossing]) -> None:
    """A hundred times looser and by another method, the reference moves by a fraction of the limit."""
    looser = run(with_scipy(sedge(), "LSODA", relative=1e-8, share=1e-3, longest=0.7))
    assert [crossing[:3] for crossing in looser] == [crossing[:3] for crossing in reference]
    assert max(abs(a.time - b.time) for a, b in zip(looser, reference, strict=True)) < 0.1 * CLOSE
