"""One moment of the water's round: feed, coil, condenser, drain, cloth and hot well, worked by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from moments import BOATS, Moment, days, moment, named

from halfglass.plant import state as y
from halfglass.plant.human_power import hand_stroke_limit
from halfglass.plant.parameters import Exhaust, Feed
from halfglass.plant.steam import saturation, saturation_pressure, saturation_temperature
from halfglass.scenario.catalogue.reduce import plant_parameters

METAL, LAKE = 35.0, 288.0 - 273.15
"""°C of condenser metal and lake at the moment (`moments.py`)."""


@pytest.fixture(scope="module", params=BOATS)
def busy(request: pytest.FixtureRequest) -> Moment:
    """Every shipped boat in turn."""
    return named(request.param)


def clear(now: Moment) -> float:
    """Share of the condensing surface that stands above its condensate."""
    held = float(now.state[y.CONDENSATE_HELD])
    return max(0.0, 1.0 - held / now.parameters.exhaust.condensate_capacity)


def sedge(states: dict[int, float] | None = None, **exhaust: float) -> Moment:
    """Sedge with other figures of her exhaust."""
    made: Exhaust = plant_parameters(days()["Sedge"].boat).exhaust
    return moment(states=states, parts={"exhaust": replace(made, **exhaust)})


def test_the_keel_gives_the_lake_what_its_surface_and_way_allow(busy: Moment) -> None:
    """Full duty at her reference speed; of the share lying still, straight in between; 0.9 for fouling."""
    exhaust = busy.parameters.exhaust
    lying = exhaust.keel_conductance_lying_fraction
    way = min(1.0, 2.0 / exhaust.keel_reference_speed)
    duty = exhaust.keel_conductance_moving * 0.9 * (lying + (1.0 - lying) * way)
    assert busy.rate[y.TOTAL_CONDENSER_HEAT] == pytest.approx(duty * clear(busy) * (METAL - LAKE), rel=1e-9)


@pytest.mark.parametrize(("speed", "share"), [(0.0, 0.4), (1.0, 0.7), (-1.0, 0.7), (3.0, 1.0)])
def test_way_through_the_water_cools_the_keel(speed: float, share: float) -> None:
    """0.4 of its duty lying still, all of it from 2 m/s, either way; 900 W/K at full duty, 0.9 clean."""
    now = moment(states={y.BOAT_SPEED: speed})
    duty = 900.0 * 0.9 * share * clear(now)
    assert now.rate[y.TOTAL_CONDENSER_HEAT] == pytest.approx(duty * (METAL - LAKE), rel=1e-9)


def test_a_scant_surface_condenses_a_part_and_the_rest_goes_as_steam() -> None:
    """50 W/K over what is not flooded, from steam at its boiling point to metal of 35 °C."""
    now = sedge(steam_side_conductance=50.0, coil_conductance=0.0)
    boils, *_, liquid, _vapour = saturation(float(now.state[y.BACK_PRESSURE]))
    keel = 50.0 * clear(now) * (boils - 273.15 - METAL)
    assert now.rate[y.CONDENSER_ENERGY] + now.rate[y.TOTAL_CONDENSER_HEAT] == pytest.approx(keel, rel=1e-9)
    condensed = keel / (now["exhaust_enthalpy"] - liquid)
    assert 0.0 < condensed < 0.5 * now["exhaust_flow"]
    assert now["condensate_flow"] == pytest.approx(condensed, rel=1e-9)
    assert now["exhaust_lost_flow"] == pytest.approx(now["exhaust_flow"] - condensed, rel=1e-9)
    lost = now["exhaust_flow"] * now["exhaust_enthalpy"] - keel - condensed * liquid
    assert now.rate[y.TOTAL_EXHAUST_LOST_HEAT] == pytest.approx(lost, rel=1e-9)
    hot = sedge(
        {y.CONDENSER_ENERGY: 3120.0 * 110.0}, steam_side_conductance=50.0, coil_conductance=0.0
    )  # metal hotter than the steam condenses none
    assert hot["condensate_flow"] == 0.0
    none = sedge(keel_conductance_moving=0.0, coil_conductance=0.0)
    assert none["condensate_flow"] == 0.0 == none.rate[y.TOTAL_CONDENSER_HEAT]


def test_the_coil_warms_its_feed(busy: Moment) -> None:
    """1 - exp(-NTU) of the way from the mixed feed, warmed by its pumping, to the steam's boiling point."""
    hot = busy["feed_flow_engine_pump"] + busy["feed_flow_hand_pump_hotwell"]
    lake = busy["feed_flow_hand_pump_lake"]
    heat = 4186.0 * (hot * 35.0 + lake * LAKE) + busy.rate[y.TOTAL_HAND_WORK] + busy["feed_pump_power"]
    capacity = 4186.0 * (hot + lake)
    boils = saturation_temperature(float(busy.state[y.BACK_PRESSURE])) - 273.15
    conductance = busy.parameters.exhaust.coil_conductance * clear(busy)
    offered = (1.0 - math.exp(-conductance / capacity)) * capacity * (boils - entering(busy))
    assert busy["coil_heat_rate"] == pytest.approx(offered, rel=1e-9)
    warm = busy["injector_water_flow"] * 4186.0 * LAKE + busy["injector_steam_flow"] * busy["steam_enthalpy"]
    fed = hot + lake + busy["feed_flow_injector"]
    delivered = (heat + offered + warm) / (fed * 4186.0)
    assert busy["feed_temperature"] - 273.15 == pytest.approx(delivered, rel=1e-6)
    assert busy.rate[y.TOTAL_FEED_HEAT] == pytest.approx(
        heat + offered + busy["injector_water_flow"] * 4186.0 * LAKE, rel=1e-9
    )


def entering(now: Moment) -> float:
    """°C of the feed as it comes to the coil, mixed of hot well and lake and warmed by its pumping."""
    hot = now["feed_flow_engine_pump"] + now["feed_flow_hand_pump_hotwell"]
    lake = now["feed_flow_hand_pump_lake"]
    work = now.rate[y.TOTAL_HAND_WORK] + now["feed_pump_power"]
    return float((hot * 35.0 + lake * LAKE + work / 4186.0) / (hot + lake))


def test_what_all_condenses_is_cooled_to_the_metal_and_no_further() -> None:
    """The keel takes what cools 17 g/s of exhaust to water of 35 °C, less what the coil took before it."""
    now = moment()
    flow = now["exhaust_flow"]
    keel = flow * (now["exhaust_enthalpy"] - 4186.0 * METAL) - now["coil_heat_rate"]
    assert now["condensate_flow"] == flow
    assert now.rate[y.CONDENSER_ENERGY] + now.rate[y.TOTAL_CONDENSER_HEAT] == pytest.approx(keel, rel=1e-9)
    heat = now.rate[y.CONDENSATE_ENERGY] + now.rate[y.TOTAL_CONDENSATE_HEAT]
    assert heat == pytest.approx(flow * 4186.0 * METAL, rel=1e-6)


def test_a_coil_cools_a_little_exhaust_to_its_own_feed_and_no_further() -> None:
    """A trickle of steam and a large coil with no keel behind it: water as cold as the feed comes off."""
    exhaust = replace(
        plant_parameters(days()["Sedge"].boat).exhaust, coil_conductance=1e5, keel_conductance_moving=0.0
    )
    now = moment(parts={"exhaust": exhaust}, throttle=0.03, hand_pump_lake_rate=0.5)
    flow, feed = now["exhaust_flow"], entering(now)
    assert 0.0 < flow < 0.01 and now["condensate_flow"] == flow
    coil = flow * (now["exhaust_enthalpy"] - 4186.0 * feed)
    assert now["coil_heat_rate"] == pytest.approx(coil, rel=1e-9)
    heat = now.rate[y.CONDENSATE_ENERGY] + now.rate[y.TOTAL_CONDENSATE_HEAT]
    assert heat == pytest.approx(flow * 4186.0 * feed, rel=1e-6)


def test_with_no_feed_at_all_its_temperature_is_the_airs() -> None:
    still = moment(
        states={y.BOAT_SPEED: 0.0}, throttle=0.0, injector=0.0, hand_pump_hotwell_rate=0.0,
        hand_pump_lake_rate=0.0,
    )  # fmt: skip
    assert still["feed_temperature"] == 283.0
    assert still["coil_heat_rate"] == 0.0
    assert still.rate[y.TOTAL_HAND_WORK] == 0.0


def test_an_open_exhaust_settles_at_the_air_and_the_friction_of_its_pipe() -> None:
    """Resistance by the square of the flow, over two seconds' lag; her surface takes all of it."""
    now = moment()
    exhaust = now.parameters.exhaust
    settled = 99e3 + exhaust.pipe_resistance * now["exhaust_flow"] ** 2
    lag = (settled - now.state[y.BACK_PRESSURE]) / exhaust.back_pressure_lag
    assert now.rate[y.BACK_PRESSURE] == pytest.approx(lag, rel=1e-9)


@pytest.mark.parametrize("boat", ["Dabchick", "Goosander"])
def test_a_vacuum_is_where_the_condenser_takes_what_the_coil_leaves(boat: str) -> None:
    """Metal at 35 °C and as much above it as drives the heat through; air and friction on top."""
    now = moment(boat)
    exhaust = now.parameters.exhaust
    assert exhaust.vacuum == 1.0 and now["shaft_speed"] > 1.0
    *_, liquid, vapour = saturation(float(now.state[y.BACK_PRESSURE]))
    left = now["exhaust_flow"] * (vapour - liquid) - now["coil_heat_rate"]
    boils = 273.15 + METAL + left / (exhaust.steam_side_conductance * clear(now))
    settled = saturation_pressure(boils) + exhaust.air_pressure_absolute
    settled += exhaust.pipe_resistance * now["exhaust_flow"] ** 2
    lag = (settled - now.state[y.BACK_PRESSURE]) / exhaust.back_pressure_lag
    assert now.rate[y.BACK_PRESSURE] == pytest.approx(lag, rel=1e-9)


@pytest.mark.parametrize("held", [0.4, 0.25, 1.5])
def test_condensate_runs_off_by_its_head_and_the_back_pressure(held: float) -> None:
    """An orifice of 0.62 under the pressure and 0.1 m of water; fading over the last 0.5 kg; at 70 °C."""
    now = moment(states={y.CONDENSATE_HELD: held, y.CONDENSATE_ENERGY: held * 4186.0 * 70.0})
    head = float(now.state[y.BACK_PRESSURE]) - 99e3 + 1e3
    area = now.parameters.exhaust.drain_area * 0.6
    drained = 0.62 * area * math.sqrt(2.0 * head / 1e-3) * min(1.0, held / 0.5)
    assert head > 3e3
    assert now["condensate_flow"] - now.rate[y.CONDENSATE_HELD] == pytest.approx(drained, rel=1e-9)
    assert now.rate[y.TOTAL_CONDENSATE_HEAT] == pytest.approx(drained * 4186.0 * 70.0, rel=1e-9)
    dry = moment(states={y.CONDENSATE_HELD: 0.0, y.CONDENSATE_ENERGY: 0.0})
    assert dry.rate[y.TOTAL_CONDENSATE_HEAT] == 0.0
    assert dry["condenser_flood_fraction"] == 0.0 == dry.rate[y.CONDENSATE_HELD] - dry["condensate_flow"]


def test_the_cloth_catches_less_as_it_fills() -> None:
    """0.95 of the oil on a clean cloth, less the square of its load; lost steam takes its share."""
    now = sedge(steam_side_conductance=50.0, coil_conductance=0.0)
    oil = float(now.rate[y.TOTAL_OIL_USED])
    carried = now["condensate_flow"] / now["exhaust_flow"]
    assert oil > 0.0 and 0.0 < carried < 0.5
    caught = oil * carried * 0.95 * (1.0 - 0.3**2)
    assert now.rate[y.SEPARATOR_OIL] == pytest.approx(caught, rel=1e-9)
    spilt = 0.05 / 2.0 + 0.01
    held = float(now.state[y.HOTWELL_MASS])
    gone = 0.002 * (spilt + 0.5 * now["drawn_hotwell_flow"]) / held
    leaked = now["check_leak_flow"] * 0.004 / now["boiler_water_mass"]
    assert now.rate[y.HOTWELL_OIL] == pytest.approx(oil * carried - caught + leaked - gone, rel=1e-9)
    assert now.rate[y.TOTAL_OIL_OUT] > oil * (1.0 - carried)
    full = sedge({y.SEPARATOR_OIL: 0.4})
    assert full.rate[y.SEPARATOR_OIL] == 0.0 and full["separator_load_fraction"] == pytest.approx(1.0)
    none = moment(states={y.BOAT_SPEED: 0.0}, throttle=0.0)
    assert none.rate[y.SEPARATOR_OIL] == 0.0
    # towed with the throttle shut: the lubricator turns, and nothing carries its oil to the cloth
    engine = replace(plant_parameters(days()["Sedge"].boat).engine, oil_per_revolution=3e-6, oil_rate=0.0)
    towed = moment(states={y.CYLINDER_WATER: 0.0}, parts={"engine": engine}, throttle=0.0)
    assert towed["exhaust_flow"] < 1e-9 < towed.rate[y.TOTAL_OIL_USED]
    assert towed.rate[y.SEPARATOR_OIL] == 0.0


def test_a_boiler_below_the_air_draws_its_feed_in_and_asks_no_work() -> None:
    now = moment()
    cold = moment(states={y.BOILER_ENERGY: 0.5 * now.state[y.BOILER_ENERGY]}, throttle=0.0)
    assert cold["boiler_pressure"] < -1e4
    assert cold["feed_flow_hand_pump_lake"] > 0.0
    assert cold.rate[y.TOTAL_HAND_WORK] == 0.0


def with_feed(states: dict[int, float] | None = None, **feed: float) -> Moment:
    """Sedge with other figures of her feed."""
    made: Feed = plant_parameters(days()["Sedge"].boat).feed
    return moment(states=states, parts={"feed": replace(made, **feed)})


def test_arms_share_what_they_can_between_two_pumps() -> None:
    """Asked for 0.6 and 0.9 strokes a second, more than anybody makes: two parts to three of what they do."""
    now = moment(hand_pump_hotwell_rate=0.6, hand_pump_lake_rate=0.9)
    feed = now.parameters.feed
    most = hand_stroke_limit(
        now["boiler_pressure"], feed.hand_pump_displacement, feed.hand_pump_lever_travel, 200.0
    )
    assert 0.0 < most < 1.0
    assert now["hand_pump_stroke_rate"] == pytest.approx(most, rel=1e-9)
    assert now.rate[y.TOTAL_STROKES_HOTWELL] == pytest.approx(0.4 * most, rel=1e-9)
    assert now.rate[y.TOTAL_STROKES_LAKE] == pytest.approx(0.6 * most, rel=1e-9)
    stroke = 1000.0 * feed.hand_pump_displacement * feed.hand_pump_delivery_fraction * 0.8
    assert now["feed_flow_hand_pump_hotwell"] == pytest.approx(0.4 * most * stroke, rel=1e-9)
    assert now["feed_flow_hand_pump_lake"] == pytest.approx(0.6 * most * stroke, rel=1e-9)


def test_tired_arms_come_back_in_the_time_of_recovery() -> None:
    """Ten minutes' rest is a first-order lag: 200 s of pumping fade at a third of a second each second."""
    rested = moment(hand_pump_hotwell_rate=0.0, hand_pump_lake_rate=0.0)
    assert rested.rate[y.PUMPING_TIME] == pytest.approx(-200.0 / 600.0)
    assert rested["hand_pump_stroke_rate"] == 0.0


def test_an_injector_on_the_hot_well_draws_there_and_not_on_the_lake() -> None:
    lake, well = with_feed(injector_from_hotwell=0.0), with_feed(injector_from_hotwell=1.0)
    lifted = well["injector_water_flow"]
    assert lifted > 0.0
    pumped = well["feed_flow_engine_pump"] + well["feed_flow_hand_pump_hotwell"]
    assert well["drawn_hotwell_flow"] == pytest.approx(pumped + lifted, rel=1e-12)
    assert lake["drawn_hotwell_flow"] == pytest.approx(pumped, rel=1e-12)
    by_hand = well["feed_flow_hand_pump_lake"]
    assert well.rate[y.TOTAL_LAKE_WATER] == pytest.approx(by_hand, rel=1e-12)
    assert lake.rate[y.TOTAL_LAKE_WATER] == pytest.approx(by_hand + lake["injector_water_flow"], rel=1e-12)
    # the hot well of 35 °C is 20.15 K warmer than the lake: so much less in hand, so much more brought
    assert lake["injector_margin"] - well["injector_margin"] == pytest.approx(METAL - LAKE)
    brought = (
        now["feed_heat_rate"] - now["coil_heat_rate"] - now["injector_steam_flow"] * now["steam_enthalpy"]
        for now in (well, lake)
    )
    assert next(brought) - next(brought) == pytest.approx(lifted * 4186.0 * (METAL - LAKE), rel=1e-6)
    low = with_feed({y.HOTWELL_MASS: 0.25, y.HOTWELL_ENERGY: 0.25 * 4186.0 * 35.0}, injector_from_hotwell=1.0)
    assert low["injector_water_flow"] == pytest.approx(0.5 * lifted, rel=1e-9)
    dry = with_feed({y.HOTWELL_MASS: 0.25, y.HOTWELL_ENERGY: 0.25 * 4186.0 * 35.0}, injector_from_hotwell=0.0)
    assert dry["injector_water_flow"] == pytest.approx(lake["injector_water_flow"], rel=1e-9)


def test_a_separator_holds_its_water_up_and_a_hot_well_not_full_does_not_overflow() -> None:
    """Half a kilogram short of what it holds back, and a kilogram short of the brim."""
    made = plant_parameters(days()["Sedge"].boat).exhaust
    now = moment(
        states={
            y.SEPARATOR_MASS: made.separator_hold_up - 0.5,
            y.SEPARATOR_ENERGY: 4186.0 * 60.0,
            y.HOTWELL_MASS: made.hotwell_capacity - 1.0,
            y.HOTWELL_ENERGY: (made.hotwell_capacity - 1.0) * 4186.0 * 35.0,
        }  # fmt: skip
    )
    drained = now["condensate_flow"] - now.rate[y.CONDENSATE_HELD]
    assert now.rate[y.SEPARATOR_MASS] == pytest.approx(0.9 * drained, rel=1e-9)
    assert now.rate[y.TOTAL_OVERFLOW] == pytest.approx(0.01 + 0.1 * drained, rel=1e-9)
    gained = now["check_leak_flow"] + now["steam_to_hotwell_flow"] - now["drawn_hotwell_flow"] - 0.01
    assert now.rate[y.HOTWELL_MASS] == pytest.approx(gained, rel=1e-9)


def test_a_hot_well_nearly_dry_cools_and_leaks_by_what_it_still_holds() -> None:
    """A quarter of a kilogram: half of a full one's loss, and half of its leak."""
    low = moment(states={y.HOTWELL_MASS: 0.25, y.HOTWELL_ENERGY: 0.25 * 4186.0 * 35.0})
    loss = low.parameters.exhaust.hotwell_conductance * (308.15 - 283.0)
    assert low.rate[y.TOTAL_HOTWELL_LOSS] == pytest.approx(0.5 * loss, rel=1e-9)
    drained = low["condensate_flow"] - low.rate[y.CONDENSATE_HELD]
    assert low.rate[y.TOTAL_OVERFLOW] == pytest.approx(0.005 + 0.1 * drained, rel=1e-9)
    heat = 0.005 * 4186.0 * 35.0 + 0.1 * low.rate[y.TOTAL_CONDENSATE_HEAT]
    boiler = low.rate[y.TOTAL_WATER_LOST_HEAT]
    full = moment(states={y.HOTWELL_MASS: 5.0, y.HOTWELL_ENERGY: 5.0 * 4186.0 * 35.0})
    more = 0.005 * 4186.0 * 35.0  # twice the leak
    assert full.rate[y.TOTAL_WATER_LOST_HEAT] - boiler == pytest.approx(more, rel=1e-6)
    assert boiler >= heat
