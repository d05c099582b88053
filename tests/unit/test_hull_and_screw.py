"""Boats described by little: defaults that move the speed, and an owner's measured runs."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
import way
from steaming import PSI, sedge

from halfglass.plant.compile import to_record
from halfglass.plant.propeller import propeller_loads
from halfglass.plant.steamplant import SteamPlant
from halfglass.scenario.catalogue import hull_and_screw, hulls
from halfglass.scenario.catalogue.fuels import charge
from halfglass.scenario.catalogue.reduce import initial_state, plant_parameters

BRIEF = {"waterline_length": "6.6 m", "displacement": "1600 kg", "beam": "1.7 m"}
SCREW = {"series": "B3-50", "diameter": "560 mm", "pitch_ratio": 1.2}
RUNS = [
    {"turns": "150 rpm", "speed": "3.2 kn"},
    {"turns": "250 rpm", "speed": "5.0 kn"},
    {"turns": "330 rpm", "speed": "6.1 kn"},
]


def knots(turns: float = 300.0, hull: dict[str, Any] | None = None, **screw: Any) -> float:
    """Speed of the brief boat with some keys changed."""
    return way.steady(way.hull(**{**BRIEF, **(hull or {})}), way.screw(**{**SCREW, **screw}), turns).knots


def test_length_displacement_and_beam_are_enough() -> None:
    """A launch of 6.6 m at 300 turns makes 0.7 to 1.1 of hull speed, 6.2 kn (common practice, no source)."""
    assert 0.7 * 6.2 < knots() < 1.1 * 6.2


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("waterline_length", "7.2 m"),
        ("displacement", "1900 kg"),
        ("beam", "2.0 m"),
        ("draught", "0.55 m"),
        ("wetted_surface", "11 m2"),
        ("series", "B"),
        ("residuary_factor", 1.3),
        ("windage", "4 m2"),
    ],
)
def test_every_key_of_the_hull_moves_the_speed(key: str, value: object) -> None:
    assert abs(knots(hull={key: value}) - knots()) > 0.005


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("series", "B2-38"),
        ("series", "B3-35"),
        ("series", "B3-65"),
        ("series", "B4-40"),
        ("series", "B4-55"),
        ("series", "B4-70"),
        ("diameter", "600 mm"),
        ("pitch_ratio", 0.9),
        ("wake", 0.3),
        ("thrust_deduction", 0.3),
    ],
)
def test_every_key_of_the_screw_moves_the_speed(key: str, value: object) -> None:
    assert abs(knots(**{key: value}) - knots()) > 0.005


def test_defaults_are_what_their_keys_say() -> None:
    made = hull_and_screw.form(way.hull(**BRIEF), way.screw(**SCREW))
    draught = 1.7 / 4.24
    volume = 1600.0 / 999.1
    wake = 0.5 * volume / (6.6 * 1.7 * draught) - 0.05
    assert made.wetted_surface == pytest.approx(1.7 * 6.6 * draught + volume / draught)
    assert made.windage == pytest.approx(0.5 * 1.7**2)
    assert made.wake == pytest.approx(wake)
    assert made.thrust_deduction == pytest.approx(0.6 * wake + 0.01)


def test_a_leaner_boat_makes_smaller_waves_for_her_weight() -> None:
    assert hulls.slenderness_factor(7.0, 1500.0) < hulls.slenderness_factor(7.0, 3137.0)
    assert hulls.slenderness_factor(7.0, 3137.0) == pytest.approx(1.0, abs=0.002)
    assert 1.0 < hulls.slenderness_factor(7.0, 4500.0) < 1.3


@pytest.mark.parametrize("count", [1, 2, 3])
def test_measured_runs_are_reached(count: int) -> None:
    boat = way.hull(**BRIEF, measured=RUNS[:count])
    for run in boat.measured:
        found = way.steady(boat, way.screw(**SCREW), 60.0 * run.turns)
        assert found.speed == pytest.approx(run.speed, rel=0.004)


def test_between_measured_runs_the_speed_lies_between() -> None:
    boat = way.hull(**BRIEF, measured=RUNS)
    speeds = [
        way.steady(boat, way.screw(**SCREW), turns).knots for turns in (150.0, 200.0, 250.0, 290.0, 330.0)
    ]
    assert speeds == sorted(speeds)
    assert 3.2 < speeds[1] < 5.0 < speeds[3] < 6.1


@pytest.mark.parametrize(
    ("runs", "words"),
    [
        ([{"turns": "200 rpm", "speed": "9 kn"}], "push nothing"),
        ([{"turns": "900 rpm", "speed": "13 kn"}], "beyond"),
        ([RUNS[1], {**RUNS[1], "turns": "260 rpm"}], "same speed"),
        ([{"turns": "400 rpm", "speed": "5.0 kn"}, {"turns": "260 rpm", "speed": "5.4 kn"}], "fall"),
    ],
)
def test_impossible_runs_are_refused(runs: list[dict[str, str]], words: str) -> None:
    (fault,) = hull_and_screw.measured_faults(way.hull(**BRIEF, measured=runs), way.screw(**SCREW))
    assert words in fault


def test_good_runs_are_not_refused() -> None:
    assert not list(hull_and_screw.measured_faults(way.hull(**BRIEF, measured=RUNS), way.screw(**SCREW)))
    assert not list(hull_and_screw.measured_faults(way.hull(**BRIEF), way.screw(**SCREW)))


def under_steam(boat: way.Hull, screw: way.Propeller) -> SteamPlant:
    """Sedge's engine and boiler, hot, in another hull: three minutes under way."""
    scenario = sedge()
    changed = scenario.boat.model_copy(update={"hull": boat, "propeller": screw})
    start = replace(initial_state(scenario), boiler_temperature=430.0, boiler_air=False)
    plant = SteamPlant(plant_parameters(changed), start)
    plant.set(vent=0.0, cylinder_drains=0.0, moored=0.0, throttle=0.3)
    plant.light(charge("steam coal", 4.0), charge("air-dry wood", 1.0), 1100.0)
    plant.marcher.advance(180.0)
    assert plant.reading("boiler_pressure") > 20.0 * PSI
    return plant


@pytest.mark.parametrize("measured", [(), RUNS], ids=["brief", "measured"])
def test_a_brief_boat_makes_her_speed_under_steam(measured: tuple[dict[str, str], ...]) -> None:
    """The whole plant's speed is that of still-water balance at its revolutions, and within hull speed."""
    boat, screw = way.hull(**BRIEF, measured=list(measured)), way.screw(**SCREW)
    plant = under_steam(boat, screw)
    turns = 60.0 * plant.reading("shaft_speed")
    assert 150.0 < turns < 450.0
    assert plant.reading("boat_speed") == pytest.approx(way.steady(boat, screw, turns).speed, rel=0.02)


def test_backing_with_way_on_asks_more_than_holding_still() -> None:
    """Sedge's own screw at 2.5 m/s: backed so that the section at 0.7 of the radius moves as fast as the
    water (110 rpm astern) it asks 1.2 to 2.5 times what holding still does; the published example of a like
    screw at the same angle, 1.9."""
    boat = sedge().boat
    plain = hull_and_screw.propeller(boat.hull, boat.propeller)
    record = to_record(plain)
    backing = 2.5 * (1.0 - plain.wake_fraction) / (0.7 * math.pi * plain.diameter)
    held, backed = (-propeller_loads(record, -turns, 2.5, 999.0)[1] for turns in (0.0, backing))
    assert held > 0.0
    assert 1.2 < backed / held < 2.5


def test_left_free_the_screw_turns_ahead_at_one_speed() -> None:
    boat = sedge().boat
    record = to_record(hull_and_screw.propeller(boat.hull, boat.propeller))
    free = [propeller_loads(record, turns / 60.0, 2.5, 999.0)[1] for turns in range(0, 301, 5)]
    assert free[0] < 0.0 < free[-1]
    assert sum(before < 0.0 <= after for before, after in zip(free, free[1:], strict=False)) == 1
