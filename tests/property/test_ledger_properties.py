"""Whatever boat and whatever hands: nothing is lost or made, nothing falls below none, no march fails."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from strategies import Act, Watch, plants, settings_left_out, stocks_are_there, watch

from halfglass.plant import reading as r
from halfglass.plant import state as y
from halfglass.plant.assembly import rates
from halfglass.plant.steamplant import SteamPlant

CLOSES = 1e-9
"""Relative error of a ledger: rounding, over what moved or the least amounts below."""
LEAST_MASS, LEAST_ENERGY = 1.0, 1e6
"""kg and J taken as moved in an hour in which next to nothing did."""
FLOWS = (
    r.STEAM_FLOW_BOILER_ENGINE, r.SAFETY_VALVE_FLOW, r.SERVICE_FLOW, r.VENT_FLOW, r.BLOW_DOWN_FLOW,
    r.CHECK_LEAK_FLOW, r.FEED_FLOW_ENGINE_PUMP, r.FEED_FLOW_HAND_PUMP_HOTWELL, r.FEED_FLOW_HAND_PUMP_LAKE,
    r.FEED_FLOW_INJECTOR, r.BYPASS_FLOW, r.CONDENSATE_FLOW, r.EXHAUST_LOST_FLOW, r.GLAND_FLOW, r.DRAIN_FLOW,
    r.DRAWN_HOTWELL_FLOW, r.INJECTOR_STEAM_FLOW, r.INJECTOR_WATER_FLOW, r.AIR_FLOW, r.BURNING_RATE,
)  # fmt: skip
"""Flows that go one way only."""


def flows_go_one_way(plant: SteamPlant) -> None:
    """Every one-way flow, a check valve's among them, is never negative."""
    for place in FLOWS:
        assert plant.marcher.readings[place] >= -1e-9, r.NAMES[place]


def heat_runs_downhill(plant: SteamPlant) -> None:
    """Casing, engine, condenser and hot well lose heat to what is colder, and gain it from what is hotter."""
    marcher, controls = plant.marcher, plant.controls
    rate, reading = np.zeros(y.COUNT), marcher.readings.copy()
    rates(marcher.time, marcher.state, marcher.plant, marcher.settings, rate, reading)
    for lost, hot, cold in (
        (y.TOTAL_CASING_LOSS, reading[r.BOILER_TEMPERATURE], controls.air_temperature),
        (y.TOTAL_ENGINE_LOSS, reading[r.CYLINDER_TEMPERATURE], controls.air_temperature),
        (y.TOTAL_CONDENSER_HEAT, reading[r.CONDENSER_TEMPERATURE], controls.lake_temperature),
        (y.TOTAL_HOTWELL_LOSS, reading[r.HOTWELL_TEMPERATURE], controls.air_temperature),
        (y.TOTAL_FURNACE_LOSS, reading[r.FIRE_TEMPERATURE], controls.air_temperature),
    ):
        assert rate[lost] * (hot - cold) >= -1e-6, y.NAMES[lost]
    plate = reading[r.BOILER_TEMPERATURE] + 10.0
    assert reading[r.HEAT_TO_BOILER_RATE] * (reading[r.FIRE_TEMPERATURE] - plate) >= -1e-6
    assert reading[r.COIL_HEAT_RATE] >= 0.0


def ledgers_close(plant: SteamPlant) -> None:
    """Water, energy, oil and dissolved solids: what came is kept or went."""
    for sides, least in ((plant.mass_sides(), LEAST_MASS), (plant.energy_sides(), LEAST_ENERGY)):
        came, went, kept = (sum(sides[side].values()) for side in ("in", "out", "kept"))
        moved = max(least, sum(abs(amount) for side in sides.values() for amount in side.values()))
        assert abs(came - went - kept) / moved < CLOSES
    gain = plant.marcher.state - plant.start_state
    kept = gain[y.SEPARATOR_OIL] + gain[y.HOTWELL_OIL] + gain[y.BOILER_OIL] + gain[y.TOTAL_OIL_OUT]
    assert gain[y.TOTAL_OIL_USED] == pytest.approx(kept, rel=CLOSES, abs=1e-12)
    came = gain[y.TOTAL_LAKE_WATER] * plant.parameters.feed.lake_solids_fraction
    kept = gain[y.BOILER_SOLIDS] + gain[y.HOTWELL_SOLIDS] + gain[y.TOTAL_SOLIDS_OUT]
    assert came == pytest.approx(kept, rel=CLOSES, abs=1e-12)


def everything_holds(plant: SteamPlant, within: bool) -> None:
    """All that must hold at every stop, the boiler being within what the model can say or not."""
    stocks_are_there(plant, within)
    if within:
        flows_go_one_way(plant)
        heat_runs_downhill(plant)


@given(plants(), watch())
def test_nothing_is_lost_whatever_the_boat_and_the_hands(plant: SteamPlant, movements: list[Act]) -> None:
    Watch(plant, everything_holds).work(movements)
    ledgers_close(plant)


def test_random_hands_move_every_setting() -> None:
    """A newly added setting needs its row in `strategies.HANDS`."""
    assert settings_left_out() == set()
