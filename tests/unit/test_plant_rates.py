"""One moment of the whole plant: what is booked at one end is booked at the other, and single flows by hand.

Every shipped boat stands with everything open and something in every stock, as no day would have it, so that
no flow is zero. No time passes: what is asked is asked of the rates of change themselves.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from steaming import SCENARIOS

from halfglass.day.energy_account import Books, Stretch, energy_flow
from halfglass.plant import reading as r
from halfglass.plant import state as y
from halfglass.plant.assembly import rates
from halfglass.plant.boiler_balance import AIR_HEAT
from halfglass.plant.feed import WATER_HEAT
from halfglass.plant.parameters import PlantParameters, Settings
from halfglass.plant.steam import FREEZING, saturation
from halfglass.plant.steamplant import SteamPlant
from halfglass.scenario.catalogue.reduce import initial_state, plant_parameters
from halfglass.scenario.day_models import Scenario
from halfglass.scenario.load import load

ROUNDING = 1e-9
BUSY: dict[str, float] = {
    "throttle": 0.5, "reversing_gear": 0.9, "damper": 0.7, "fire_door": 0.1, "blower": 0.3,
    "burner_rate": 0.8, "bypass": 0.2, "hand_pump_hotwell_rate": 0.2, "hand_pump_lake_rate": 0.1,
    "injector": 1.0,
    "cylinder_drains": 0.2, "condensate_drain": 0.6, "whistle_area": 3e-6, "heating_steam_area": 2e-6,
    "blow_down": 0.1, "vent": 0.1, "moored": 0.0, "first_safety_valve": 1.0, "stream": 0.3, "headwind": 3.0,
    "air_temperature": 283.0, "lake_temperature": 288.0, "atmosphere_absolute": 99e3,
    "engine_pump_health": 0.9, "hand_pump_health": 0.8, "check_valve_leak_area": 1e-6,
    "condenser_health": 0.9,
    "hotwell_leak_rate": 0.01, "hotwell_steam_area": 1e-6, "condensate_leak_fraction": 0.1, "load": 80.0,
    "engine_pump_wear_rate": 1e-5,
}  # fmt: skip


@cache
def days() -> dict[str, Scenario]:
    """The first day with each shipped boat."""
    found: dict[str, Scenario] = {}
    for path in sorted(SCENARIOS.glob("*.toml")):
        found.setdefault(load(path).base.boat.name, load(path).base)
    return found


@dataclass
class Moment:
    """A plant, its parameters, settings, and the rates of change and readings at one moment."""

    plant: SteamPlant
    state: Any
    rate: Any
    reading: Any

    @property
    def parameters(self) -> PlantParameters:
        return self.plant.parameters

    @property
    def settings(self) -> Settings:
        return self.plant.controls

    def __getitem__(self, name: str) -> float:
        return float(self.reading[r.INDEX[name]])


def moment(boat: str = "Sedge", states: dict[int, float] | None = None, **settings: float) -> Moment:
    """A boat with steam up, a fire in her, and something in every stock; `states` and `settings` as given."""
    day = days()[boat]
    parameters = plant_parameters(day.boat)
    begun = replace(initial_state(day), boiler_temperature=430.0, boiler_air=False)
    plant = SteamPlant(parameters, begun)
    state = plant.marcher.state
    fire, exhaust, burner = parameters.fire, parameters.exhaust, parameters.burner
    state[y.BOILER_AIR] += 1e-4
    state[y.BOILER_SOLIDS], state[y.BOILER_OIL] = 0.05, 0.004
    state[y.STEAM_UNDER_SURFACE] = 1e-3
    if fire.grate_area > 0.0:
        state[y.GREEN_MOISTURE : y.ASH + 1] = (0.2, 0.6, 2e7, 1.2, 600.0, 0.002, 0.004, 4.0, 0.012, 0.5)
    state[y.FIRE_ENERGY] = (fire.furnace_heat_capacity + 1100.0 * 4.5) * 850.0
    state[y.CHIMNEY_TEMPERATURE] = 560.0
    if burner.fuel_rate > 0.0:
        state[y.TANK_FUEL] = 0.5 * burner.tank_volume * burner.fuel_density
        state[y.TANK_AIR] = 3.0e5 * plant.tank_air_volume
        state[y.VAPORISER_TEMPERATURE] = 830.0
    state[y.ENGINE_ENERGY] = parameters.engine.metal_heat_capacity * 95.0
    state[y.CYLINDER_WATER] = 0.03
    state[y.BOAT_SPEED] = 2.0
    state[y.CONDENSER_ENERGY] = exhaust.condenser_heat_capacity * 35.0
    state[y.CONDENSATE_HELD], state[y.CONDENSATE_ENERGY] = 0.4, 0.4 * WATER_HEAT * 70.0
    state[y.SEPARATOR_MASS] = exhaust.separator_hold_up + 0.5
    state[y.SEPARATOR_ENERGY] = state[y.SEPARATOR_MASS] * WATER_HEAT * 60.0
    state[y.SEPARATOR_OIL] = 0.3 * exhaust.separator_cloth_capacity
    state[y.HOTWELL_MASS] = exhaust.hotwell_capacity + 0.05
    state[y.HOTWELL_ENERGY] = state[y.HOTWELL_MASS] * WATER_HEAT * 35.0
    state[y.HOTWELL_OIL], state[y.HOTWELL_SOLIDS] = 0.002, 0.004
    state[y.ENGINE_PUMP_WEAR], state[y.PUMPING_TIME] = 0.1, 200.0
    for place, value in (states or {}).items():
        state[place] = value
    plant.start_state = state.copy()
    plant.set(**{**BUSY, **settings})
    marcher, rate = plant.marcher, np.zeros(y.COUNT)
    reading = marcher.readings.copy()
    rates(marcher.time, state, marcher.plant, marcher.settings, rate, reading)
    return Moment(plant, state.copy(), rate, reading)


def flooded() -> Moment:
    """Sedge with her condenser full of its own condensate: no surface is left, and the exhaust is lost."""
    return moment(
        states={y.CONDENSATE_HELD: 2.0 * plant_parameters(days()["Sedge"].boat).exhaust.condensate_capacity}
    )


@pytest.fixture(scope="module", params=(*sorted(days()), "flooded"))
def busy(request: pytest.FixtureRequest) -> Moment:
    """Every shipped boat in turn."""
    return flooded() if request.param == "flooded" else moment(request.param)


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


def test_pressure_and_temperature_of_the_boiler(busy: Moment) -> None:
    """Steam and air as in an ideal mixture, at one temperature; gauge is above the day's barometer."""
    absolute = busy["steam_pressure_absolute"]
    temperature, v_liquid, v_vapour, _, _, h_liquid, h_vapour = saturation(absolute)
    space = busy["vapour_mass"] * v_vapour
    air = 1e-4 * 287.05 * temperature / space
    assert busy["boiler_pressure"] == pytest.approx(absolute + air - 99e3, rel=1e-6)
    assert busy["boiler_temperature"] == pytest.approx(temperature, rel=1e-9)
    water = busy["boiler_water_mass"] * v_liquid
    assert water + space == pytest.approx(busy.parameters.boiler.volume, rel=1e-6)
    assert busy["steam_space"] == pytest.approx(busy.parameters.boiler.volume - water - 1e-3, rel=1e-6)
    assert (busy["liquid_enthalpy"], busy["vapour_enthalpy"]) == pytest.approx((h_liquid, h_vapour))
    assert busy["swell"] == pytest.approx(1e-3 / busy["surface_area"], rel=0.02)
    for name, place in (("boiler_solids", y.BOILER_SOLIDS), ("boiler_oil", y.BOILER_OIL)):
        assert busy[name] == pytest.approx(busy.state[place] / busy["boiler_water_mass"] * 1e6)


def test_what_flows_off_carries_its_heat(busy: Moment) -> None:
    """Heat is mass times enthalpy, water's reckoned from 0 °C with 4186 J/(kg K)."""
    rate = busy.rate
    lake = 4186.0 * (288.0 - 273.15)
    steam, vapour, liquid = busy["steam_enthalpy"], busy["vapour_enthalpy"], busy["liquid_enthalpy"]
    assert rate[y.TOTAL_LAKE_WATER_HEAT] == pytest.approx(rate[y.TOTAL_LAKE_WATER] * lake)
    assert rate[y.TOTAL_BLOW_DOWN_HEAT] == pytest.approx(busy["blow_down_flow"] * liquid)
    assert rate[y.TOTAL_ENGINE_STEAM_HEAT] == pytest.approx(busy["steam_flow_boiler_engine"] * steam)
    assert rate[y.TOTAL_HOTWELL_STEAM_HEAT] == pytest.approx(busy["steam_to_hotwell_flow"] * steam)
    assert rate[y.TOTAL_CHECK_LEAK_HEAT] == pytest.approx(busy["check_leak_flow"] * liquid)
    assert rate[y.TOTAL_HOTWELL_DRAWN_HEAT] == pytest.approx(busy["drawn_hotwell_flow"] * 4186.0 * 35.0)
    air = busy["air_vent_flow"] * AIR_HEAT * (busy["boiler_temperature"] - FREEZING)
    lost = (busy["safety_valve_flow"] + busy["service_flow"]) * steam + busy["vent_flow"] * vapour + air
    assert rate[y.TOTAL_STEAM_LOST_HEAT] - rate[y.TOTAL_GLAND_HEAT] == pytest.approx(lost)
    water = busy["drain_flow"] - rate[y.TOTAL_GLAND_HEAT] / steam + busy["gland_flow"]
    assert rate[y.TOTAL_DRAIN_HEAT] == pytest.approx(water * 419.1e3, rel=1e-6)
    carry = busy["carry_over_fraction"]
    assert steam == pytest.approx((1.0 - carry) * vapour + carry * liquid)


def test_losses_by_hand(busy: Moment) -> None:
    """Newton's law of cooling at every casing, and the vessels' temperatures behind it."""
    boiler, engine, exhaust = busy.parameters.boiler, busy.parameters.engine, busy.parameters.exhaust
    rate = busy.rate
    air = 283.0
    assert rate[y.TOTAL_CASING_LOSS] == pytest.approx(
        boiler.casing_conductance * (busy["boiler_temperature"] - air)
    )
    assert busy["cylinder_temperature"] == pytest.approx(273.15 + 95.0)
    assert rate[y.TOTAL_ENGINE_LOSS] == pytest.approx(engine.casing_conductance * (368.15 - air))
    assert busy["hotwell_temperature"] == pytest.approx(273.15 + 35.0)
    assert rate[y.TOTAL_HOTWELL_LOSS] == pytest.approx(exhaust.hotwell_conductance * (308.15 - air))
    furnace = busy["fire_temperature"]
    assert rate[y.TOTAL_FURNACE_LOSS] == pytest.approx(
        busy.parameters.fire.furnace_loss_conductance * (furnace - air)
    )
    assert busy["condenser_temperature"] == pytest.approx(273.15 + 35.0)


def test_pumps_by_hand() -> None:
    """Volume times strokes, turns and what is left of them, 1000 kg/m³ of water."""
    now = moment(condenser_health=1.0)
    feed = now.parameters.feed
    turns = now["shaft_speed"]
    swept = feed.engine_pump_displacement * turns * feed.engine_pump_delivery_fraction * 0.9 * (1.0 - 0.1)
    assert now["feed_flow_engine_pump"] == pytest.approx(1000.0 * swept * (1.0 - 0.2), rel=1e-9)
    assert now["bypass_flow"] == pytest.approx(1000.0 * swept * 0.2, rel=1e-9)
    stroke = 1000.0 * feed.hand_pump_displacement * feed.hand_pump_delivery_fraction * 0.8
    assert now["hand_pump_stroke_rate"] == pytest.approx(0.3)
    assert now["feed_flow_hand_pump_hotwell"] == pytest.approx(0.2 * stroke)
    assert now["feed_flow_hand_pump_lake"] == pytest.approx(0.1 * stroke)
    assert now.rate[y.TOTAL_STROKES_HOTWELL] == pytest.approx(0.2)
    assert now.rate[y.TOTAL_STROKES_LAKE] == pytest.approx(0.1)
    assert now.rate[y.PUMPING_TIME] == 1.0
    work = 0.3 * stroke * 1.0e-3 * now["boiler_pressure"]
    assert now.rate[y.TOTAL_HAND_WORK] == pytest.approx(work)
    rested = moment(hand_pump_hotwell_rate=0.0, hand_pump_lake_rate=0.0)
    assert -200.0 / rested.rate[y.PUMPING_TIME] == pytest.approx(600.0, rel=1.0)
    assert rested.rate[y.PUMPING_TIME] < 0.0


def test_way_of_the_boat_by_hand() -> None:
    """Force over mass, the water's own added; made fast her way dies in two seconds."""
    now = moment(headwind=0.0, stream=0.0)
    hull = now.parameters.hull
    assert now["ground_speed"] == now["boat_speed"] == 2.0
    mass = (hull.displaced_mass + 80.0) * (1.0 + hull.added_mass_fraction)
    against = now["thrust"] - now.rate[y.BOAT_SPEED] * mass
    blown = moment(headwind=5.0, stream=0.0)
    force = (now.rate[y.BOAT_SPEED] - blown.rate[y.BOAT_SPEED]) * mass
    assert against > 0.0 and force > 0.0
    fouled = moment(headwind=0.0, stream=0.0, hull_fouling=2.0)
    assert fouled["thrust"] - fouled.rate[y.BOAT_SPEED] * mass > against
    carried = moment(stream=0.5)
    assert carried["ground_speed"] == pytest.approx(2.5) == pytest.approx(carried.rate[y.DISTANCE])
    fast = moment(moored=1.0)
    assert fast.rate[y.BOAT_SPEED] == pytest.approx(-1.0)
    assert fast.rate[y.DISTANCE] == fast["ground_speed"] == fast.rate[y.TOTAL_PROPULSIVE_WORK] == 0.0
    assert now.rate[y.TOTAL_PROPULSIVE_WORK] == pytest.approx(now["thrust"] * 2.0)


def test_safety_valves_by_hand() -> None:
    """Choked steam C·A·0.635 sqrt(p/v), both valves lifted; with one stuck shut half of it or so."""
    now = moment(second_safety_valve=1.0)
    valves = now.parameters.valves
    absolute = now["boiler_pressure"] + 99e3
    flux = 0.635462 * math.sqrt(absolute / now["vapour_volume"])
    area = valves.first_area + valves.second_area
    assert now["safety_valve_flow"] == pytest.approx(valves.discharge_coefficient * area * flux, rel=1e-9)
    stuck = moment(second_safety_valve=1.0, first_safety_valve_stuck=-1.0)
    assert stuck["safety_valve_flow"] == pytest.approx(
        valves.discharge_coefficient * valves.second_area * flux, rel=1e-9
    )
    assert now["whistle_flow"] == pytest.approx(3e-6 * flux, rel=1e-9)
    blower = now.parameters.fire.blower_area * 0.3
    condensing = 1e-6 * flux
    assert now["steam_to_hotwell_flow"] == pytest.approx(condensing, rel=1e-9)
    assert now["service_flow"] == pytest.approx((3e-6 + 2e-6 + blower) * flux, rel=1e-9)
    hot = moment(states={y.HOTWELL_ENERGY: now.state[y.HOTWELL_MASS] * WATER_HEAT * 96.0})
    assert hot["steam_to_hotwell_flow"] == pytest.approx(0.5 * condensing, rel=1e-6)
    assert hot["service_flow"] == pytest.approx((3e-6 + 2e-6 + blower + 0.5e-6) * flux, rel=1e-6)
    open_ = now.parameters.boiler.blow_down_area * 0.1
    blown = 0.62 * open_ * math.sqrt(2.0 * now["boiler_pressure"] / now["liquid_volume"])
    assert now["blow_down_flow"] == pytest.approx(blown, rel=1e-9)
    leak = 0.62 * 1e-6 * math.sqrt(2.0 * now["boiler_pressure"] / now["liquid_volume"])
    assert now["check_leak_flow"] == pytest.approx(leak, rel=1e-9)
