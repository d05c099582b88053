"""One moment of every shipped boat: what is booked at one end is booked at the other, by the rates."""

from __future__ import annotations

import numpy as np
import pytest
from moments import BOATS, Moment, days, flooded, moment, named

from halfglass.day.energy_account import Books, Stretch, energy_flow
from halfglass.plant import state as y
from halfglass.plant.steamplant import SteamPlant

ROUNDING = 1e-9

@pytest.fixture(scope="module", params=BOATS)
def busy(request: pytest.FixtureRequest) -> Moment:
    """Every shipped boat in turn."""
    return named(request.param)


def a_second_on(now: Moment) -> SteamPlant:
    """The plant with a second's worth of every rate added to its state: exact, as ledgers are sums."""
    now.plant.marcher.state[:] = now.state + now.rate
    return now.plant


def test_water_and_energy_close(busy: Moment) -> None:
    plant = a_second_on(busy)
    for sides in (plant.mass_sides(), plant.energy_sides()):
        came, went, kept = (sum(sides[side].values()) for side in ("in", "out", "kept"))
        moved = sum(abs(amount) for side in sides.values() for amount in side.values())
        assert abs(came - went - kept) < ROUNDING * moved


def test_every_vessel_closes(busy: Moment) -> None:
    plant = busy.plant
    last = Books(1.0, busy.state + busy.rate, 0.0, 0.0)
    flow = energy_flow(plant, Stretch("", Books(0.0, busy.state, 0.0, 0.0), last))
    moved = sum(abs(link.power) for link in flow.links)
    for node in flow.nodes:
        assert abs(node.error) < ROUNDING * moved, node.name


def test_oil_and_solids_close(busy: Moment) -> None:
    rate = busy.rate
    kept = rate[[y.SEPARATOR_OIL, y.HOTWELL_OIL, y.BOILER_OIL, y.TOTAL_OIL_OUT]].sum()
    assert rate[y.TOTAL_OIL_USED] > 0.0
    assert (
        rate[y.TOTAL_OIL_USED] == pytest.approx(kept, rel=ROUNDING) == pytest.approx(-rate[y.LUBRICATOR_OIL])
    )
    came = rate[y.TOTAL_LAKE_WATER] * busy.parameters.feed.lake_solids_fraction
    solids = rate[[y.BOILER_SOLIDS, y.HOTWELL_SOLIDS, y.TOTAL_SOLIDS_OUT]]
    assert came == pytest.approx(solids.sum(), abs=ROUNDING * np.abs(solids).sum())


COUNTED = {
    "total_feed_engine_pump": "feed_flow_engine_pump",
    "total_feed_hand_pump_hotwell": "feed_flow_hand_pump_hotwell",
    "total_feed_hand_pump_lake": "feed_flow_hand_pump_lake",
    "total_feed_injector": "injector_water_flow",
    "total_injector_steam": "injector_steam_flow",
    "total_engine_steam": "steam_flow_boiler_engine",
    "total_safety_valve_steam": "safety_valve_flow",
    "total_service_steam": "service_flow",
    "total_gland_steam": "gland_flow",
    "total_exhaust_lost": "exhaust_lost_flow",
    "total_drained": "drain_flow",
    "total_blow_down": "blow_down_flow",
    "total_vented": "vent_flow",
    "total_fire_heat": "heat_release_rate",
    "total_unburnt_heat": "unburnt_heat_rate",
    "total_heat_to_boiler": "heat_to_boiler_rate",
    "total_indicated_work": "indicated_power",
    "total_friction_work": "friction_power",
    "total_shaft_work": "shaft_power",
    "total_feed_pump_work": "feed_pump_power",
    "total_coil_heat": "coil_heat_rate",
    "total_revolutions": "shaft_speed",
    "total_fuel_burnt": "burning_rate",
    "crank_turns": "shaft_speed",
    "distance": "ground_speed",
}
"""Totals and the reading each of them adds up."""


def test_a_total_adds_up_its_reading(busy: Moment) -> None:
    rates = {total: busy.rate[y.INDEX[total]] for total in COUNTED}
    assert rates == pytest.approx({total: busy[reading] for total, reading in COUNTED.items()}, rel=1e-12)


def test_on_one_boat_or_another_everything_moves() -> None:
    """The moment is worth asking: only what hands put somewhere, and the tank's air, rest on all boats."""
    rates_of_change = np.array([moment(boat).rate for boat in days()] + [flooded().rate])
    still = {name for name in y.NAMES if not rates_of_change[:, y.INDEX[name]].any()}
    assert still == {"bunker_fuel", "ash", "tank_air", "total_fuel_taken"}
