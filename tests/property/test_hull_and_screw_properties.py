"""What any hull and any screw that a boat file may describe must do, whatever the numbers."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import way
from hypothesis import given, settings
from hypothesis import strategies as st

from halfglass.plant.compile import to_record
from halfglass.plant.hull import water_resistance, wind_force
from halfglass.plant.parameters import Propeller
from halfglass.plant.propeller import propeller_loads
from halfglass.scenario.catalogue import hull_and_screw, hulls, screws

EXAMPLES = settings(deadline=None)

lengths = st.floats(4.0, 12.0)
series = st.sampled_from(sorted(screws.SCREWS))
pitches = st.floats(screws.LOWEST_PITCH, screws.HIGHEST_PITCH)
turns = st.floats(-12.0, 12.0)
speeds = st.floats(-5.0, 6.0)


@st.composite
def hull_keys(draw: st.DrawFn) -> dict[str, Any]:
    """A hull of any slenderness from tubby to racing, some keys left out."""
    length = draw(lengths)
    mass = min(49e3, hulls.WATER_DENSITY * (length / draw(st.floats(3.2, 9.5))) ** 3)
    beam = length / draw(st.floats(2.2, 7.0))
    keys: dict[str, Any] = {
        "waterline_length": f"{length} m",
        "displacement": f"{mass} kg",
        "series": draw(st.sampled_from(["A", "B", "by slenderness"])),
        "residuary_factor": draw(st.floats(0.3, 4.0)),
        "astern_factor": draw(st.floats(1.0, 3.0)),
    }
    if draw(st.booleans()):
        keys["beam"] = f"{beam} m"
    if draw(st.booleans()):
        keys["draught"] = f"{beam / draw(st.floats(2.0, 8.0))} m"
    return keys


@st.composite
def screw_keys(draw: st.DrawFn) -> dict[str, Any]:
    """A screw of any series, pitch and size, wake given or not."""
    keys: dict[str, Any] = {
        "series": draw(series),
        "diameter": f"{draw(st.floats(0.2, 1.2))} m",
        "pitch_ratio": draw(pitches),
    }
    if draw(st.booleans()):
        keys["wake"] = draw(st.floats(0.0, 0.45))
    return keys


def record_of(keys: dict[str, Any]) -> Any:
    """The plant's record of a hull, with a screw of no account."""
    screw = way.screw(series="B3-50", diameter="0.5 m", pitch_ratio=1.2)
    return to_record(hull_and_screw.reduced_hull(way.hull(**keys), screw))


def open_water(kind: str, pitch: float, diameter: float) -> Any:
    """The plant's record of a screw in open water."""
    thrust, torque = screws.tables(kind, pitch)
    return to_record(Propeller(diameter, thrust, torque, 0.0, 0.0, 1.0))


@EXAMPLES
@given(hull_keys(), st.floats(1.0, 2.0))
def test_resistance_rises_with_speed_and_opposes_it(keys: dict[str, Any], fouling: float) -> None:
    hull = record_of(keys)
    ahead = np.linspace(0.0, 1.6 * hull.table_top_speed, 300)
    forces = np.array([water_resistance(hull, speed, fouling) for speed in ahead])
    assert forces[0] == 0.0
    assert np.all(np.diff(forces) > 0.0)
    # no jump, at the end of the table or elsewhere: a step never more than a few times the one before
    steps = np.diff(forces)[3:]
    assert np.all(steps[1:] < 4.0 * steps[:-1])
    for speed, force in zip(ahead[1::40], forces[1::40], strict=True):
        astern = water_resistance(hull, -float(speed), fouling)
        assert astern < 0.0 and math.isclose(-astern, force * hull.astern_factor, rel_tol=1e-12)


@EXAMPLES
@given(hull_keys(), st.floats(0.2, 5.0))
def test_fouling_never_helps(keys: dict[str, Any], speed: float) -> None:
    hull = record_of(keys)
    assert water_resistance(hull, speed, 1.3) > water_resistance(hull, speed, 1.0)


@EXAMPLES
@given(hull_keys(), st.floats(-4.0, 4.0), st.floats(-15.0, 15.0))
def test_wind_pushes_the_way_it_blows(keys: dict[str, Any], ground: float, headwind: float) -> None:
    force = wind_force(record_of(keys), ground, headwind)
    assert force * (ground + headwind) >= 0.0


@EXAMPLES
@given(series, pitches, st.floats(0.2, 1.2), turns, speeds)
def test_a_screw_never_gives_more_than_it_takes(
    kind: str, pitch: float, diameter: float, shaft: float, speed: float
) -> None:
    thrust, torque = propeller_loads(open_water(kind, pitch, diameter), shaft, speed, 999.0)
    lost = torque * 2.0 * math.pi * shaft - thrust * speed
    assert lost >= 0.0
    if abs(speed) > 0.1 or abs(shaft) > 0.1:
        assert lost > 0.0


@EXAMPLES
@given(series, pitches, st.floats(0.5, 5.0))
def test_a_screw_held_still_drags_and_is_driven_on(kind: str, pitch: float, speed: float) -> None:
    thrust, torque = propeller_loads(open_water(kind, pitch, 0.5), 0.0, speed, 999.0)
    assert thrust < 0.0 and torque < 0.0
    thrust, torque = propeller_loads(open_water(kind, pitch, 0.5), 0.0, -speed, 999.0)
    assert thrust > 0.0 and torque > 0.0


@EXAMPLES
@given(series, pitches, st.floats(0.5, 12.0))
def test_a_screw_turned_on_the_spot_pushes_and_is_heavy(kind: str, pitch: float, shaft: float) -> None:
    for way_round in (1.0, -1.0):
        thrust, torque = propeller_loads(open_water(kind, pitch, 0.5), way_round * shaft, 0.0, 999.0)
        assert thrust * way_round > 0.0 and torque * way_round > 0.0


@EXAMPLES
@given(series, pitches)
def test_coefficients_have_no_jump(kind: str, pitch: float) -> None:
    """From one half degree to the next never more than a twelfth of the greatest; the circle closes."""
    for table in screws.tables(kind, pitch):
        assert table[0] == table[-1] or math.isclose(table[0], table[-1], rel_tol=1e-9)
        assert np.max(np.abs(np.diff(table))) < np.max(np.abs(table)) / 12.0


@EXAMPLES
@given(series, st.floats(screws.LOWEST_PITCH, screws.HIGHEST_PITCH - 0.05))
def test_coarser_pitch_pushes_harder_and_is_heavier_on_the_spot(kind: str, pitch: float) -> None:
    fine, coarse = screws.tables(kind, pitch), screws.tables(kind, pitch + 0.05)
    assert coarse[0][0] > fine[0][0] and coarse[1][0] > fine[1][0]


@EXAMPLES
@given(hull_keys(), screw_keys(), st.floats(60.0, 500.0))
def test_more_turns_more_speed_less_than_no_slip(
    keys: dict[str, Any], driven: dict[str, Any], revolutions: float
) -> None:
    boat, screw = way.hull(**keys), way.screw(**driven)
    slow, fast = way.steady(boat, screw, revolutions), way.steady(boat, screw, 1.1 * revolutions)
    assert 0.0 < slow.speed < fast.speed
    wake = hull_and_screw.propeller(boat, screw).wake_fraction
    assert slow.speed * (1.0 - wake) < 1.1 * screw.pitch_ratio * screw.diameter * revolutions / 60.0
    assert slow.power > 0.0


@EXAMPLES
@given(hull_keys(), st.floats(0.5, 5.0))
def test_coasting_never_reverses(keys: dict[str, Any], speed: float) -> None:
    hull = record_of(keys)
    mass = float(hull.displaced_mass) * (1.0 + float(hull.added_mass_fraction))
    before = speed
    for _ in range(500):
        slowing = (water_resistance(hull, before, 1.0) + wind_force(hull, before, 0.0)) / mass
        after = before - min(1.0, 0.1 * before / slowing) * slowing  # a step short of the time constant
        assert 0.0 < after < before
        before = after
