"""The search of `limit` on the plant itself, against sums by hand: minutes to the bottom nut, strokes."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from steaming import EVERY, PSI, sedge, steady

from halfglass.plant import state as y
from halfglass.plant.steam import saturation
from halfglass.plant.steamplant import SteamPlant
from halfglass.scenario.catalogue.reduce import initial_state, plant_parameters
from halfglass.study.limit import edges_of

STROKE, LAKE_WATER = 60e-6, 1000.0
"""m³ and kg/m³: the hand pump as Sedge's file has it, on cold water."""
ANSWERS = 12.0
"""J of heat given for each Pa that the pressure is short: about what it takes."""


@cache
def begun() -> SteamPlant:
    """Sedge settled at half a glass with the throttle little open."""
    return steady(75.0 * PSI, throttle=0.2)


def after(seconds: float, strokes: float = 0.0) -> SteamPlant:
    """The boat so long after the engine pump stopped, lake water being pumped at so many strokes a second.

    The pressure is held, as a fire would that answers at once, so that the draw is constant.
    """
    first = begun()
    plant = SteamPlant(plant_parameters(sedge().boat), initial_state(sedge()), record_every=0.0)
    plant.marcher.state[:] = first.marcher.state
    plant.set(**{**vars_of(first), "engine_pump_health": 0.0, "hand_pump_lake_rate": strokes})
    while plant.time < seconds:
        plant.marcher.advance(min(seconds, plant.time + EVERY))
        short = first.reading("boiler_pressure") - plant.reading("boiler_pressure")
        plant.marcher.state[y.BOILER_ENERGY] += ANSWERS * short
        plant.marcher.changed()
    return plant


def vars_of(plant: SteamPlant) -> dict[str, float]:
    """Every control as it stands."""
    return {name: float(getattr(plant.controls, name)) for name in type(plant.controls).__dataclass_fields__}


def draw(plant: SteamPlant, seconds: float) -> float:
    """Steam to engine and glands in that time, all the boiler gave [kg/s]."""
    return (plant.state("total_engine_steam") - begun().state("total_engine_steam")) / seconds


def test_minutes_to_the_bottom_nut_at_a_constant_draw() -> None:
    """By hand: water between where it stands and the nut, its bubbles apart, over what the engine takes."""
    boiler = begun().parameters.boiler
    even = draw(after(300.0), 300.0)
    assert draw(after(1800.0), 1800.0) == pytest.approx(even, rel=0.01)  # the draw is constant
    found = edges_of(lambda minutes: after(60.0 * minutes).reading("glass_fraction") > 0.0, 0.0, 60.0).edges
    assert len(found) == 1 and found[0].holds_below
    volumes = np.linspace(0.0, boiler.volume, len(boiler.height_table))
    at_nut = float(np.interp(boiler.bottom_nut_height, boiler.height_table, volumes))
    _, liquid, vapour, *_ = saturation(begun().reading("boiler_pressure") + 101325.0)
    water = at_nut - after(60.0 * found[0].safe).state("steam_under_surface")
    mass = water / liquid + (boiler.volume - water) / vapour
    by_hand = (begun().state("boiler_mass") - mass) / even / 60.0
    assert found[0].safe == pytest.approx(by_hand, rel=0.01)


def test_strokes_that_balance_steaming() -> None:
    """By hand: what the engine takes, over what a stroke delivers."""
    seconds, start = 600.0, begun().state("boiler_mass")
    found = edges_of(
        lambda strokes: after(seconds, strokes / 60.0).state("boiler_mass") >= start, 0.0, 40.0
    ).edges
    assert len(found) == 1 and not found[0].holds_below
    stroke = STROKE * begun().parameters.feed.hand_pump_delivery_fraction * LAKE_WATER
    even = draw(after(seconds, found[0].safe / 60.0), seconds)
    assert found[0].safe == pytest.approx(60.0 * even / stroke, rel=0.01)
