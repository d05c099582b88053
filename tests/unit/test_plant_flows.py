"""One moment of every shipped boat: single flows, heats and lags worked by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from moments import BOATS, BUSY, Moment, days, moment, named

from halfglass.plant import state as y
from halfglass.plant.assembly import rates
from halfglass.plant.boiler import bubble_rise_speed, carry_over_fraction
from halfglass.plant.boiler_balance import AIR_HEAT
from halfglass.plant.compile import to_record
from halfglass.plant.engine import engine_at_speed, friction_torque
from halfglass.plant.feed import WATER_HEAT
from halfglass.plant.fire import air_flows
from halfglass.plant.hull import water_resistance, wind_force
from halfglass.plant.orifice import steam_flow
from halfglass.plant.propeller import propeller_loads
from halfglass.plant.steam import FREEZING, equilibrium, latent_heat, saturation, saturation_temperature
from halfglass.scenario.catalogue.reduce import plant_parameters


@pytest.fixture(scope="module", params=BOATS)
def busy(request: pytest.FixtureRequest) -> Moment:
    """Every shipped boat in turn."""
    return named(request.param)


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
    light = moment(headwind=0.0, stream=0.0, load=-0.95 * hull.displaced_mass)
    pull = light["thrust"] - water_resistance(to_record(hull), 2.0, 1.0) * 0.1 ** (2.0 / 3.0)
    pull -= wind_force(to_record(hull), 2.0, 0.0)
    assert light.rate[y.BOAT_SPEED] * 0.1 * hull.displaced_mass * (
        1.0 + hull.added_mass_fraction
    ) == pytest.approx(pull)
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
    only_first = moment()
    assert only_first["safety_valve_flow"] == pytest.approx(
        valves.discharge_coefficient * valves.first_area * flux, rel=1e-9
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


def test_air_goes_with_every_draw_and_comes_in_by_an_open_vent() -> None:
    """Air leaves in the proportion it has in the steam space; Torricelli's law for what is drawn in."""
    now = moment()
    flux = 0.635462 * math.sqrt((now["boiler_pressure"] + 99e3) / now["vapour_volume"])
    through = now.parameters.boiler.vent_area * 0.1 * flux
    share = 1e-4 / (now["vapour_mass"] + 1e-4)
    assert now["vent_flow"] == pytest.approx(through * (1.0 - share), rel=1e-9)
    drawn = through + sum(
        now[name] for name in ("safety_valve_flow", "service_flow", "steam_to_hotwell_flow")
    )
    drawn += now["steam_flow_boiler_engine"]
    assert (
        now["air_vent_flow"]
        == pytest.approx(drawn * share, rel=1e-9)
        == pytest.approx(-now.rate[y.BOILER_AIR])
    )
    cold = moment(states={y.BOILER_ENERGY: 0.5 * now.state[y.BOILER_ENERGY]}, throttle=0.0)
    gauge = cold["boiler_pressure"]
    assert gauge < -1e4
    drawn_in = cold.parameters.boiler.vent_area * 0.1 * math.sqrt(2.0 * 1.2 * -gauge)
    assert cold["air_vent_flow"] == pytest.approx(-drawn_in, rel=1e-9)
    assert cold["air_vent_heat_rate"] == pytest.approx(
        -drawn_in * 1005.0 * (cold["boiler_temperature"] - 273.15), rel=1e-9
    )
    for name in (
        "safety_valve_flow",
        "service_flow",
        "blow_down_flow",
        "check_leak_flow",
        "steam_to_hotwell_flow",
    ):
        assert cold[name] == 0.0, name
    assert (
        moment(states={y.BOILER_ENERGY: 0.5 * now.state[y.BOILER_ENERGY]}, vent=0.0)["air_vent_flow"] >= 0.0
    )


def test_bubbles_settle_in_the_time_they_take_to_rise(busy: Moment) -> None:
    """A tenth of a litre of bubbles more goes off in the time it takes to rise."""
    boiler = busy.parameters.boiler
    rise = bubble_rise_speed(busy["boiler_temperature"], busy["liquid_volume"], busy["vapour_volume"])
    settles = max(boiler.rise_depth / rise, 1.0)
    empty = moment_like(busy, {y.STEAM_UNDER_SURFACE: 0.0})
    fuller = moment_like(busy, {y.STEAM_UNDER_SURFACE: 1e-4})
    # the area of the surface and so what settles hardly changes with a tenth of a litre
    assert empty.rate[y.STEAM_UNDER_SURFACE] - fuller.rate[y.STEAM_UNDER_SURFACE] == pytest.approx(
        1e-4 / settles, rel=0.2
    )


def moment_like(now: Moment, states: dict[int, float]) -> Moment:
    """The same plant at the same moment but for some states."""
    state, rate, reading = now.state.copy(), np.zeros(y.COUNT), now.reading.copy()
    for place, value in states.items():
        state[place] = value
    marcher = now.plant.marcher
    rates(marcher.time, state, marcher.plant, marcher.settings, rate, reading)
    return Moment(now.plant, state, rate, reading)


def test_what_is_dissolved_goes_with_the_water(busy: Moment) -> None:
    """Concentration times water: by blow-down, over with the steam, back past the check valve, and spilt."""
    wet = busy["carry_over_fraction"] * (
        busy["steam_flow_boiler_engine"] + busy["safety_valve_flow"] + busy["service_flow"]
        + busy["steam_to_hotwell_flow"] + busy["injector_steam_flow"]
    )  # fmt: skip
    lost = wet + busy["blow_down_flow"] + busy["check_leak_flow"]
    held = busy.state[y.HOTWELL_MASS]
    drawn = busy["drawn_hotwell_flow"] / held
    spilt = (0.05 / 2.0 + 0.01) / held  # overflow over two seconds, and the leak
    lake = busy.parameters.feed.lake_solids_fraction * busy.rate[y.TOTAL_LAKE_WATER]
    water = busy["boiler_water_mass"]
    into, out = drawn * 0.004 + lake, lost * 0.05 / water
    assert busy.rate[y.BOILER_SOLIDS] == pytest.approx(into - out, rel=1e-9, abs=1e-15)
    leaked = busy["check_leak_flow"] / water
    assert busy.rate[y.HOTWELL_SOLIDS] == pytest.approx(leaked * 0.05 - (drawn + spilt) * 0.004, rel=1e-9)
    # oil floats: half as much is drawn as its mean in the hot well (judgement)
    oil = 0.5 * drawn * 0.002
    assert busy.rate[y.BOILER_OIL] == pytest.approx(oil - lost * 0.004 / water, rel=1e-9, abs=1e-15)


def test_hot_well_and_separator_by_hand(busy: Moment) -> None:
    """Overflow over two seconds, a leak, a tenth of the condensate gone before it arrives."""
    exhaust = busy.parameters.exhaust
    assert busy.rate[y.TOTAL_OVERFLOW] == pytest.approx(0.05 / 2.0 + 0.01 + 0.1 * drained(busy), rel=1e-9)
    passed = 0.5 / exhaust.separator_lag
    assert busy.rate[y.SEPARATOR_MASS] == pytest.approx(0.9 * drained(busy) - passed, rel=1e-9)
    assert busy.rate[y.SEPARATOR_ENERGY] == pytest.approx(
        0.9 * busy.rate[y.TOTAL_CONDENSATE_HEAT] - passed * 4186.0 * 60.0, rel=1e-9
    )
    assert busy["separator_load_fraction"] == pytest.approx(0.3)
    assert busy.rate[y.ENGINE_PUMP_WEAR] == 1e-5


def drained(now: Moment) -> float:
    """Condensate through the drain valve [kg/s]: what condensed and does not gather."""
    return now["condensate_flow"] - float(now.rate[y.CONDENSATE_HELD])


def test_the_lags_by_hand(busy: Moment) -> None:
    """Chimney, vaporiser: a first-order lag goes by what is left over its time."""
    fire, burner = busy.parameters.fire, busy.parameters.burner
    flue = busy["flue_temperature"]
    assert busy.rate[y.CHIMNEY_TEMPERATURE] == pytest.approx((flue - 560.0) / fire.chimney_lag)
    if burner.fuel_rate > 0.0:
        assert busy["burner_tank_pressure"] == pytest.approx(3.0e5 - 99e3)
        assert busy.rate[y.VAPORISER_TEMPERATURE] == pytest.approx((850.0 - 830.0) / burner.vaporiser_lag)
        warming = moment("Dabchick", burner_rate=0.0, burner_preheat=1.0)
        assert warming.rate[y.VAPORISER_TEMPERATURE] == pytest.approx((720.0 - 830.0) / burner.vaporiser_lag)
        off = moment("Dabchick", burner_rate=0.0)
        assert off.rate[y.VAPORISER_TEMPERATURE] == pytest.approx((283.0 - 830.0) / burner.vaporiser_lag)


def test_the_bed_by_hand() -> None:
    """As fuel catches, each part of the green charge goes in proportion, the moisture ahead of the rest."""
    now = moment()
    rate, state = now.rate, now.state
    catches = -rate[y.GREEN_MOISTURE] / state[y.GREEN_MOISTURE]
    freed = catches / (1.0 + 6.0 * 0.2 / (0.6 + 1.2))
    for place in (y.GREEN_VOLATILE, y.GREEN_VOLATILE_HEAT, y.GREEN_CHAR, y.GREEN_VOLUME, y.GREEN_CHAR_VOLUME):
        assert -rate[place] / state[place] == pytest.approx(freed, rel=1e-9), y.NAMES[place]
    leaving = (catches * 0.2 + freed * 1.8) / 2.0
    assert -rate[y.GREEN_LAG_MASS] / state[y.GREEN_LAG_MASS] == pytest.approx(leaving, rel=1e-9)
    burnt = freed * 1.2 - rate[y.BURNING_CHAR]
    assert now["burning_rate"] == pytest.approx(burnt + freed * 0.6 + catches * 0.2, rel=1e-9)
    assert rate[y.CHAR_VOLUME] == pytest.approx(freed * 0.004 - burnt * 0.012 / 4.0, rel=1e-9)
    assert now["bed_fuel_mass"] == pytest.approx(4.0 + 1.2 + 0.6 + 0.2)
    grate = now.parameters.fire.grate_area
    assert now["bed_depth"] == pytest.approx((0.002 + 0.004 + 0.012) / grate)
    chemical = freed * (2e7 + 1.2 * 32.8e6) + (burnt - freed * 1.2) * 32.8e6
    released = now["heat_release_rate"] + now["unburnt_heat_rate"]
    assert released == pytest.approx(chemical, rel=1e-9)
    assert now["fire_temperature"] == pytest.approx(288.15 + 850.0)


def test_air_through_bed_and_ash() -> None:
    """Half a kilogram of ash of 700 kg/m³ in bulk lies on the grate (value from memory)."""
    now = moment(clinker_fraction=0.2)
    fire, grate = to_record(now.parameters.fire), now.parameters.fire.grate_area
    flows = air_flows(fire, now["draught"], 0.7, 0.1, 0.018 / grate, 0.5 / 700.0 / grate, 0.2)
    assert now["air_flow"] == pytest.approx(sum(flows), rel=1e-9)


def test_draught_of_chimney_furnace_blower_and_blast() -> None:
    """0.8 g H p/R (1/T - 1/T1) of each hot column; the blower's as far as there are 4 bar; the blast's."""
    now = moment()
    fire = now.parameters.fire

    def column(height: float, temperature: float) -> float:
        return 0.8 * 9.80665 * height * 99e3 / 287.05 * (1.0 / 283.0 - 1.0 / temperature)

    natural = column(fire.chimney_height, 560.0) + column(fire.furnace_rise, 288.15 + 850.0)
    blown = fire.blower_pressure * 0.3 * min(1.0, now["boiler_pressure"] / 4.0e5)
    assert now["draught"] == pytest.approx(natural + blown, rel=1e-9)
    exhaust = replace(
        now.parameters.exhaust, up_chimney=1.0, keel_conductance_moving=0.0, coil_conductance=0.0
    )
    fire = replace(fire, blast_coefficient=1.5e5)
    puffing = moment(parts={"exhaust": exhaust, "fire": fire})
    lost = puffing["exhaust_lost_flow"]
    assert lost == pytest.approx(puffing["exhaust_flow"]) and lost > 0.0
    assert puffing["draught"] == pytest.approx(natural + blown + 1.5e5 * lost**2, rel=1e-9)
    weak = moment(states={y.BOILER_ENERGY: 0.8 * now.state[y.BOILER_ENERGY]})
    assert 0.0 < weak["boiler_pressure"] < 2.0e5
    blown *= weak["boiler_pressure"] / min(4.0e5, now["boiler_pressure"])
    assert weak["draught"] == pytest.approx(natural + blown, rel=1e-9)


def test_the_engine_pump_works_against_the_boiler(busy: Moment) -> None:
    """Its power is the water it puts in, by volume, times the boiler's pressure."""
    work = busy["feed_flow_engine_pump"] / 1000.0 * busy["boiler_pressure"]
    assert busy["feed_pump_power"] == pytest.approx(work, rel=1e-6)


def test_at_rest_with_the_throttle_shut_nothing_turns() -> None:
    still = moment(states={y.BOAT_SPEED: 0.0}, throttle=0.0)
    for name in (
        "shaft_speed",
        "indicated_power",
        "shaft_power",
        "friction_power",
        "feed_pump_power",
        "thrust",
    ):
        assert still[name] == 0.0, name


def test_what_boils_off(busy: Moment) -> None:
    """Steam made is steam drawn, dry, and what the steam space gained, by the equilibrium a moment on."""
    boiler, seconds = busy.parameters.boiler, 0.05
    held = [
        equilibrium(
            busy.state[y.BOILER_MASS] + share * busy.rate[y.BOILER_MASS],
            busy.state[y.BOILER_ENERGY] + share * busy.rate[y.BOILER_ENERGY],
            boiler.volume, boiler.metal_heat_capacity,
            busy.state[y.BOILER_AIR], busy["steam_pressure_absolute"],
        ).vapour_mass
        for share in (-seconds, seconds)
    ]  # fmt: skip
    gained = (held[1] - held[0]) / (2.0 * seconds)
    names = ("steam_flow_boiler_engine", "safety_valve_flow", "service_flow", "steam_to_hotwell_flow")
    dry = (1.0 - busy["carry_over_fraction"]) * (sum(busy[n] for n in names) + busy["injector_steam_flow"])
    assert busy["evaporation_rate"] == pytest.approx(gained + dry + busy["vent_flow"], rel=1e-3)


@pytest.mark.parametrize(("metal", "drain"), [(20.0, 2e-4), (120.0, 2e-4), (157.0, 2e-4), (157.0, 1e-7)])
def test_where_the_engines_steam_goes(metal: float, drain: float) -> None:
    """Glands, warming, drains and water by hand, with the caps on steam that does no work (judgements)."""
    boat = days()["Sedge"].boat
    made = replace(plant_parameters(boat).engine, gland_flow_fraction=0.02, drain_area=drain)
    now = moment(
        states={y.ENGINE_ENERGY: made.metal_heat_capacity * metal, y.CYLINDER_WATER: 0.04},
        parts={"engine": made},
        cylinder_drains=0.5,
    )
    absolute, turns = now["boiler_pressure"] + 99e3, now["shaft_speed"]
    carry, flow, steam = now["carry_over_fraction"], now["steam_flow_boiler_engine"], now["steam_enthalpy"]
    chest = now["chest_pressure"] + 99e3
    deficit = now["boiler_temperature"] - 15.0 - (273.15 + metal)
    latent = now["vapour_enthalpy"] - now["liquid_enthalpy"]
    dry, idle = engine_at_speed(
        to_record(made), absolute, now["vapour_volume"], latent, now.state[y.BACK_PRESSURE], 0.5, 0.9, 0.5,
        deficit, turns,
    )[2:]  # fmt: skip
    assert flow * (1.0 - carry) == pytest.approx(dry, rel=1e-6)
    gland = 0.02 * flow
    spare = flow * idle * (1.0 - carry - 0.02)
    boils = saturation_temperature(chest)
    warming = min(
        made.warming_conductance * max(0.0, boils - 273.15 - metal), 0.65 * spare * latent_heat(chest)
    )
    volume = now["vapour_volume"] * now["steam_pressure_absolute"] / chest
    drains = min(0.3 * spare, steam_flow(0.5 * drain, chest, 99e3, volume))
    condensed = warming / latent_heat(chest) + flow * carry
    drained, swept = 0.04 / 4.0 * 0.5, 0.04 / 20.0 * min(1.0, turns)
    assert now["gland_flow"] == pytest.approx(gland)
    assert now["drain_flow"] == pytest.approx(drains + drained, rel=1e-6)
    assert now.rate[y.CYLINDER_WATER] == pytest.approx(condensed - drained - swept, rel=1e-6)
    exhaust = flow - gland - drains - condensed + swept
    assert now["exhaust_flow"] == pytest.approx(exhaust, rel=1e-6)
    heat = (flow - gland - drains) * steam - now["indicated_power"] - warming - (condensed - swept) * 419.1e3
    carried = min(max(heat, 0.3e6 * exhaust), 3.2e6 * exhaust)
    assert now["exhaust_enthalpy"] == pytest.approx(carried / exhaust, rel=1e-6)
    assert now["engine_heat_deficit"] == pytest.approx(boils - 273.15 - metal)
    casing = made.casing_conductance * (273.15 + metal - 283.0)
    assert now.rate[y.ENGINE_ENERGY] == pytest.approx(warming + heat - carried - casing, rel=1e-6, abs=1e-3)


def test_steam_room_and_the_water_over_the_nuts(busy: Moment) -> None:
    """Steam space over the volume drawn: a puff of the whistle or a safety valve is no steady draw."""
    boiler = busy.parameters.boiler
    steady = busy["steam_flow_boiler_engine"] * (1.0 - busy["carry_over_fraction"]) + busy["service_flow"]
    steady += busy["steam_to_hotwell_flow"] - busy["whistle_flow"]
    room = busy["steam_space"] / (steady * busy["vapour_volume"])
    assert busy["steam_room"] == pytest.approx(room, rel=1e-6)
    length = boiler.top_nut_height - boiler.bottom_nut_height
    assert busy["carry_over_fraction"] == pytest.approx(
        carry_over_fraction(busy["water_level"], length, room, busy["boiler_solids"], busy["boiler_oil"])
    )
    assert busy["glass_fraction"] == pytest.approx(busy["glass_level"] / length)


def test_leaning_the_water_stands_higher_on_the_low_side(busy: Moment) -> None:
    """The surface stays level: tan of heel and trim times where glass and crown lie; the glass by weight."""
    boiler = busy.parameters.boiler
    heel, trim = math.tan(0.05), math.tan(0.02)
    height = busy["water_level"] + boiler.bottom_nut_height
    corner = boiler.crown_half_breadth * heel + boiler.crown_half_length * trim
    middle = height + boiler.crown_fore_and_aft * trim
    assert busy["crown_cover"] == pytest.approx(middle - corner - boiler.crown_height)
    at_glass = height + boiler.glass_athwartships * heel + boiler.glass_fore_and_aft * trim
    void = 1e-3 / (1e-3 + busy["boiler_water_mass"] * busy["liquid_volume"])
    warm = busy["boiler_temperature"] - 273.15
    warm -= boiler.glass_water_cooling_fraction * (busy["boiler_temperature"] - 283.0)
    cooled = 1001.7 - 0.1616 * warm - 0.002622 * warm**2
    shown = (at_glass - boiler.bottom_nut_height) * (1.0 - void) / busy["liquid_volume"] / cooled
    assert busy["glass_level"] == pytest.approx(shown, rel=1e-9)


def test_power_of_engine_and_screw(busy: Moment) -> None:
    """Torque by 2π turns; the thrust less the hull's own suction; friction with the shaft's losses."""
    screw, turns = busy.parameters.propeller, busy["shaft_speed"]
    thrust, torque = propeller_loads(to_record(screw), turns, 2.0, 999.0)
    assert busy["thrust"] == pytest.approx((1.0 - screw.thrust_deduction_fraction) * thrust, rel=1e-9)
    assert busy["shaft_power"] == pytest.approx(2.0 * math.pi * turns * torque, rel=1e-9)
    rubs = friction_torque(to_record(busy.parameters.engine), turns, 0.0)
    rubs += torque / screw.shaft_efficiency - torque
    assert busy["friction_power"] == pytest.approx(2.0 * math.pi * turns * rubs, rel=1e-9)
    dry = moment(states={y.LUBRICATOR_OIL: 0.0})
    oiled = moment()
    assert dry["shaft_speed"] < oiled["shaft_speed"]
    half = moment(states={y.LUBRICATOR_OIL: 0.5e-3})
    assert dry["shaft_speed"] < half["shaft_speed"] < oiled["shaft_speed"]
    stuck = moment(on_dead_centre=1.0, states={y.BOAT_SPEED: 0.0})
    assert stuck["indicated_power"] == 0.0 == pytest.approx(stuck["shaft_speed"], abs=1e-6)


def test_what_is_carried_and_how_the_controls_stand(busy: Moment) -> None:
    state = busy.state
    assert busy["fuel_on_board"] == pytest.approx(state[y.BUNKER_FUEL] + state[y.TANK_FUEL])
    for name in ("hotwell_mass", "cylinder_water", "lubricator_oil", "vaporiser_temperature", "boat_speed"):
        assert busy[name] == pytest.approx(state[y.INDEX[name]]), name
    assert busy["back_pressure"] == pytest.approx(state[y.BACK_PRESSURE] - 99e3)
    for name in ("throttle", "reversing_gear", "damper", "bypass", "burner_rate"):
        assert busy[name] == BUSY[name], name
    assert moment(states={y.DISTANCE: 7.0, y.CRANK_TURNS: 0.3})["distance"] == 7.0


def test_an_empty_hot_well_has_a_temperature_and_gives_nothing() -> None:
    """Its heat is reckoned on no less than a gram of water; the pumps and live steam find none."""
    dry = moment(states={y.HOTWELL_MASS: 0.0, y.HOTWELL_ENERGY: 0.0})
    assert dry["hotwell_temperature"] == pytest.approx(273.15)
    for name in ("feed_flow_engine_pump", "feed_flow_hand_pump_hotwell", "drawn_hotwell_flow"):
        assert dry[name] == 0.0, name
    assert dry["steam_to_hotwell_flow"] == 0.0
    gram = moment(states={y.HOTWELL_MASS: 0.0, y.HOTWELL_ENERGY: 4.186 * 20.0})
    assert gram["hotwell_temperature"] == pytest.approx(293.15)
    assert np.isfinite(dry.rate).all() and np.isfinite(gram.rate).all()
    half = moment(states={y.HOTWELL_MASS: 0.25, y.HOTWELL_ENERGY: 0.25 * 4186.0 * 35.0})
    feed = half.parameters.feed
    swept = feed.engine_pump_displacement * half["shaft_speed"] * feed.engine_pump_delivery_fraction
    assert half["feed_flow_engine_pump"] == pytest.approx(0.5 * 1000.0 * swept * 0.9 * 0.9 * 0.8)
