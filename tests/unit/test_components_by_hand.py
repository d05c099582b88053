"""Single parts of the plant against figures worked by hand from the law each docstring names."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import pytest
from steaming import sedge

from halfglass.plant import drive, engine, exhaust, feed, fire, hull, human_power, propeller
from halfglass.plant.boiler_balance import valve_opening
from halfglass.plant.compile import to_record
from halfglass.plant.orifice import CRITICAL_RATIO, choked_steam_flux, steam_flow, water_flow
from halfglass.plant.parameters import PlantParameters
from halfglass.plant.steady_fire import steady_fire
from halfglass.plant.steam import saturation, saturation_pressure, saturation_temperature
from halfglass.plant.water_balance import wear_rate
from halfglass.plant.water_quality import blow_down_needed
from halfglass.scenario.catalogue.fuels import charge
from halfglass.scenario.catalogue.reduce import plant_parameters

PRESSURE, BACK, AIR = 7.0e5, 1.05e5, 1.01325e5
VOLUME = saturation(PRESSURE)[2]
LATENT = saturation(PRESSURE)[6] - saturation(PRESSURE)[5]
PSI = 6894.757


@cache
def parts() -> PlantParameters:
    return plant_parameters(sedge().boat)


def test_steam_through_an_opening() -> None:
    """Choked up to 0.545; on the ellipse beyond it; nothing against the pressure or through no area."""
    flux = 0.635462 * math.sqrt(PRESSURE / VOLUME)
    for ratio, share in ((0.1, 1.0), (0.545, 1.0), (0.545 + 0.6 * 0.455, 0.8), (0.545 + 0.8 * 0.455, 0.6)):
        assert steam_flow(2e-5, PRESSURE, ratio * PRESSURE, VOLUME) == pytest.approx(
            2e-5 * flux * share, rel=1e-6
        )
    for none in ((2e-5, PRESSURE, PRESSURE), (2e-5, PRESSURE, 2.0 * PRESSURE), (0.0, PRESSURE, 0.0)):
        assert steam_flow(*none, VOLUME) == 0.0
    assert water_flow(1e-5, 0.0, 1e-3) == water_flow(1e-5, -1e5, 1e-3) == 0.0


def test_a_safety_valve_simmers_over_its_last_three_in_a_hundred() -> None:
    openings = [
        valve_opening(share * 7e5, 7e5, 0.01, 0.0, 0.0, 0.0) for share in (0.96, 0.97, 0.985, 1.0, 1.1)
    ]
    assert openings == pytest.approx([0.0, 0.0, 0.005, 0.01, 0.01])
    assert valve_opening(0.0, 7e5, 0.01, 0.0, 0.0, 0.2) == 0.2
    assert valve_opening(7e5, 7e5, 0.01, 1.0, 0.0, 0.2) == 1.0
    assert valve_opening(0.0, 7e5, 0.01, 0.0, 1.0, 0.0) == 1.0


def test_engine_in_figures() -> None:
    """Mean pressures by pv constant, Cotterill's rule, friction as a pressure on the pistons."""
    made = replace(
        parts().engine, mid_gear_cut_off=0.2, full_gear_cut_off=0.7, clearance_fraction=0.1,
        compression_fraction=0.3, missing_quantity_coefficient=7.0, bore=0.0762, friction_pressure=2e4,
        swept_volume=1e-3, oil_per_revolution=2e-6, oil_rate=3e-6,
    )  # fmt: skip
    record = to_record(made)
    cuts = [engine.cut_off(record, gear) for gear in (0.0, 0.5, -0.5, 1.0, 1.5)]
    assert cuts == pytest.approx([0.2, 0.45, 0.45, 0.7, 0.7])
    mean = 1e5 * (0.7 + 0.4 * math.log(4.0))
    assert engine.mean_back_pressure(record, 1e5) == pytest.approx(mean)
    # d = 0.25 ft, N = 296 rev/min and the 4 that keep it finite: sqrt 300
    ratio = 7.0 * math.log(1.1 / 0.6) / (0.25 * math.sqrt(300.0))
    assert engine.missing_quantity_ratio(record, 0.5, -296.0 / 60.0) == pytest.approx(ratio, rel=1e-5)
    full = 2e4 * 1e-3 / (2.0 * math.pi)
    for speed, share in ((5.0, 1.0), (-5.0, -1.0), (0.05, math.tanh(1.0)), (0.0, 0.0)):
        assert engine.friction_torque(record, speed, 0.0) == pytest.approx(full * share, rel=1e-9)
    assert engine.friction_torque(record, 5.0, 1.0) == pytest.approx(1.5 * full)
    assert engine.oil_use(record, -5.0, 0.0, 0.1) == pytest.approx(10e-6)
    assert engine.oil_use(record, 0.0, 1e4, 0.1) == pytest.approx(1.5e-6)
    assert engine.oil_use(record, 5.0, 1e5, 0.5e-3) == pytest.approx(0.5 * 13e-6)


@pytest.mark.parametrize("throttle", [0.02, 0.1, 0.3, 0.6, 1.0])
def test_the_throttle_passes_what_the_cylinders_take(throttle: float) -> None:
    """The chest stands where both flows meet, by the orifice's own law (within the step to its ellipse)."""
    record = to_record(parts().engine)
    demand, cushion = 0.03, 0.002
    chest, flow = engine.steam_chest(record, PRESSURE, VOLUME, throttle, demand, cushion)
    assert flow == pytest.approx(demand * chest / PRESSURE - cushion, rel=1e-9)
    assert flow == pytest.approx(
        steam_flow(parts().engine.throttle_area * throttle, PRESSURE, chest, VOLUME), rel=1e-6
    )
    shut, none = engine.steam_chest(record, PRESSURE, VOLUME, 0.0, demand, cushion)
    assert (shut, none) == (pytest.approx(PRESSURE * cushion / demand), 0.0)
    assert engine.steam_chest(record, PRESSURE, VOLUME, 0.0, 0.0, cushion)[0] == PRESSURE


def test_torque_and_steam_of_a_running_engine() -> None:
    """p_m V / 2π a turn; steam by what cut-off and clearance hold, the walls, and what leaks and warms."""
    made = parts().engine
    record = to_record(made)
    torque, chest, flow, idle = engine.engine_at_speed(
        record, PRESSURE, VOLUME, LATENT, BACK, 0.5, 0.8, 0.3, 20.0, 4.0
    )
    cut, c, k = engine.cut_off(record, 0.8), made.clearance_fraction, made.compression_fraction
    wall = 1.0 + engine.missing_quantity_ratio(record, cut, 4.0)
    working = 4.0 * made.swept_volume * (cut + c) / VOLUME * wall
    kept = 4.0 * made.swept_volume * (c + k) * BACK / PRESSURE / VOLUME
    leaks = steam_flow(made.leakage_area + 0.3 * made.drain_area, PRESSURE, BACK, VOLUME)
    leaks += made.warming_conductance * 20.0 / LATENT
    assert flow == pytest.approx((working + leaks) * chest / PRESSURE - kept, rel=1e-9)
    assert idle == pytest.approx(leaks / (working + leaks), rel=1e-9)
    mean = chest * engine.forward_pressure_ratio(cut, c) - engine.mean_back_pressure(record, BACK)
    assert torque == pytest.approx(made.diagram_factor * mean * made.swept_volume / (2.0 * math.pi), rel=1e-9)


@pytest.mark.parametrize(
    ("throttle", "gear", "speed", "way"),
    [(0.5, 0.8, 4.0, 1), (0.5, -0.8, -4.0, -1), (0.0, 0.8, 4.0, 0), (0.5, 0.0, 4.0, 0), (0.5, 0.8, -4.0, 1)],
)
def test_the_gear_says_which_way(throttle: float, gear: float, speed: float, way: int) -> None:
    record = to_record(parts().engine)
    torque = engine.engine_at_speed(record, PRESSURE, VOLUME, LATENT, BACK, throttle, gear, 0.0, 0.0, speed)[
        0
    ]
    assert way == (torque > 0.0) - (torque < 0.0)
    mirrored = engine.engine_at_speed(
        record, PRESSURE, VOLUME, LATENT, BACK, throttle, -gear if gear else 0.0, 0.0, 0.0, -speed
    )[0]
    assert mirrored == pytest.approx(-torque if gear else torque, abs=1e-12)
    near = [
        engine.engine_at_speed(record, PRESSURE, VOLUME, LATENT, BACK, 0.5, place, 0.0, 0.0, 0.0)[0]
        for place in (0.1, 0.2)
    ]
    full = [
        engine.forward_pressure_ratio(engine.cut_off(record, p), parts().engine.clearance_fraction)
        for p in (0.1, 0.2)
    ]
    assert near[0] < 0.5 * near[1] * full[0] / full[1] * 1.05
    # run on by the screw with the throttle nearly shut it brakes
    assert engine.engine_at_speed(record, PRESSURE, VOLUME, LATENT, BACK, 1e-3, 0.8, 0.0, 0.0, 4.0)[0] < 0.0
    # turned against its gear with next to no steam the engine pulls no vacuum
    assert engine.engine_at_speed(record, 1.1e5, 1.6, LATENT, 2e5, 0.5, 0.8, 0.0, 0.0, -4.0)[0] == 0.0


def test_torques_at_the_shaft() -> None:
    """Shaft losses either way, the feed pump's work a turn, and the margin for going astern."""
    plant = parts()
    screw = to_record(replace(plant.propeller, shaft_efficiency=0.8))
    assert drive.screw_at_engine(screw, 40.0, 3.0) == pytest.approx(50.0)
    assert drive.screw_at_engine(screw, -40.0, -3.0) == pytest.approx(-50.0)
    assert drive.screw_at_engine(screw, -40.0, 3.0) == pytest.approx(-32.0)
    pump = to_record(replace(plant.feed, engine_pump_displacement=2e-5))
    work = 2e-5 * 0.5 * 6e5 / (2.0 * math.pi)
    assert drive.feed_pump_torque(pump, 0.5, 6e5, 3.0) == pytest.approx(work)
    assert drive.feed_pump_torque(pump, 0.5, 6e5, -0.05) == pytest.approx(-work * math.tanh(1.0))
    assert drive.feed_pump_torque(pump, 0.5, -6e5, 3.0) == 0.0
    now = drive.Running(PRESSURE, VOLUME, LATENT, BACK, 0.0, 2.5, 0.0, 0.0)
    made, wheel = to_record(plant.engine), to_record(plant.propeller)
    gives = engine.engine_at_speed(made, PRESSURE, VOLUME, LATENT, BACK, 1.0, 1.0, 0.0, 0.0, 0.0)[0]
    gives -= plant.engine.friction_pressure * plant.engine.swept_volume / (2.0 * math.pi)
    asks = abs(propeller.propeller_loads(wheel, 0.0, 2.5, 999.0)[1])
    assert drive.reversing_margin(made, wheel, now) == pytest.approx(gives / asks)
    assert drive.reversing_margin(made, wheel, now._replace(boat_speed=0.0)) == 99.0
    assert drive.reversing_margin(made, wheel, now._replace(pressure_absolute=1e4)) == 0.0


def test_condenser_in_figures() -> None:
    """Heat runs downhill: the coil first, the keel what is left, the rest goes out as steam."""
    lying = replace(
        parts().exhaust, keel_conductance_moving=500.0, keel_conductance_lying_fraction=0.4,
        keel_reference_speed=2.0, condensate_capacity=5.0, drain_area=1e-5,
    )  # fmt: skip
    record = to_record(lying)
    moving = [exhaust.keel_conductance(record, speed, 0.9) for speed in (0.0, 1.0, -1.0, 2.0, 9.0)]
    assert moving == pytest.approx([180.0, 315.0, 315.0, 450.0, 450.0])
    assert [exhaust.flooded_fraction(record, held) for held in (-1.0, 1.0, 5.0, 9.0)] == [0.0, 0.2, 1.0, 1.0]
    # 0.01 kg/s of 2.6 MJ/kg, liquid 0.42: 5 kW to the coil and 10 kW to the keel condense 0.00688 kg/s
    out = exhaust.condense(0.01, 2.6e6, 0.42e6, 0.2e6, 0.1e6, 5e3, 1e4)
    assert out == pytest.approx((15e3 / 2.18e6, 15e3 / 2.18e6 * 0.42e6, 5e3, 1e4))
    # more cold than it needs: all condenses, the coil to its own feed, the keel to the metal
    assert exhaust.condense(0.01, 2.6e6, 0.42e6, 0.2e6, 0.1e6, 1e6, 1e6) == pytest.approx(
        (0.01, 1e3, 24e3, 1e3)
    )
    assert exhaust.condense(0.0, 2.6e6, 0.42e6, 0.2e6, 0.1e6, 5e3, 1e4) == (0.0, 0.0, 0.0, 0.0)
    head = 0.62 * 0.5e-5 * math.sqrt(2.0 * (2e4 + 1e3) / 1e-3)
    assert exhaust.condensate_drain_flow(record, 0.5, 3.0, 2e4) == pytest.approx(head)
    assert exhaust.condensate_drain_flow(record, 0.5, 0.25, 2e4) == pytest.approx(0.5 * head)
    alone = 0.62 * 0.5e-5 * math.sqrt(2.0 * 1e3 / 1e-3)
    assert exhaust.condensate_drain_flow(record, 0.5, 3.0, -5e4) == pytest.approx(alone)
    assert [exhaust.separator_catch(0.9, load, 0.2) for load in (0.0, 0.1, 0.2, 0.3)] == pytest.approx(
        [0.9, 0.675, 0.0, 0.0]
    )


def test_back_pressure_in_figures() -> None:
    """Pipe friction over the atmosphere; pent up until condensing and drain make up the load; vacuum."""
    plain = replace(
        parts().exhaust, pipe_resistance=1e8, steam_side_conductance=1000.0, drain_area=1e-5, vacuum=0.0,
        up_chimney=0.0, keel_conductance_moving=500.0, air_pressure_absolute=5e3,
    )  # fmt: skip
    latent = 2.25e6

    def settled(made: object, load: float, shaft: float = 3.0, clear: float = 1.0) -> float:
        return exhaust.settled_back_pressure(
            to_record(made), 0.01, load, 330.0, latent, shaft, AIR, clear, 1.0
        )

    assert settled(plain, 0.001) == pytest.approx(AIR + 1e4)
    pent = settled(plain, 0.03, clear=0.5)
    assert pent > AIR + 1e5
    condensed = 500.0 * (saturation_temperature(pent) - 330.0) / latent
    passed = steam_flow(1e-5, pent, AIR, saturation(pent)[2])
    assert condensed + passed == pytest.approx(0.03, rel=1e-5)
    assert settled(replace(plain, up_chimney=1.0), 0.03, clear=0.5) == pytest.approx(AIR + 1e4)
    assert settled(plain, 5.0) == pytest.approx(1e6, abs=0.2)
    pumped = replace(plain, vacuum=1.0)
    closed = saturation_pressure(330.0 + 0.01 * latent / 1000.0) + 5e3 + 1e4
    assert settled(pumped, 0.01) == pytest.approx(closed)
    assert settled(pumped, 0.01, -0.25) == pytest.approx(0.75 * (AIR + 1e4) + 0.25 * closed)


def test_feed_in_figures() -> None:
    """Injector: 20 kg a kg of steam at 65 psia, 17 at 90; its hottest water; its grip at the ends."""
    ratios = [feed.injector_water_ratio(psia * PSI) for psia in (10.0, 65.0, 90.0, 300.0)]
    assert ratios == pytest.approx([24.0, 20.0, 17.0, 6.0])
    # [MM]: 133 °F up to 50 psig, 130 at 85, 122 at 105, 102 at 150; half way in between by straight lines
    table = {
        30.0: 133.0,
        50.0: 133.0,
        67.5: 131.5,
        85.0: 130.0,
        95.0: 126.0,
        105.0: 122.0,
        127.5: 112.0,
        150.0: 102.0,
    }
    for psi, fahrenheit in table.items():
        kelvin = (fahrenheit - 32.0) / 1.8 + 273.15
        assert feed.injector_hottest_water(psi * PSI) == pytest.approx(kelvin, abs=1e-9)
    made = replace(
        parts().feed, injector_starting_pressure=2e5, injector_highest_pressure=8e5, injector_steam_area=4e-6,
        engine_pump_displacement=2e-5, engine_pump_delivery_fraction=0.8,
    )  # fmt: skip
    record = to_record(made)
    for gauge, grip in ((1.4e5, 0.0), (1.5e5, 0.5), (1.6e5, 1.0), (8.0e5, 1.0), (8.2e5, 0.5), (8.4e5, 0.0)):
        assert feed.injector_grip(record, gauge, 290.0) == pytest.approx(grip, abs=1e-9)
    hottest = feed.injector_hottest_water(4e5)
    for over, grip in ((-1.0, 1.0), (2.5, 0.5), (5.0, 0.0)):
        assert feed.injector_grip(record, 4e5, hottest + over) == pytest.approx(grip, abs=1e-9)
    flux = choked_steam_flux(5e5, 0.37)
    steam, water = feed.injector_flows(record, 4e5, 5e5, flux, 290.0, 1.0, 0.5)
    assert steam == pytest.approx(2e-6 * flux)
    assert water == pytest.approx(steam * feed.injector_water_ratio(5e5))
    assert feed.injector_flows(record, 4e5, 5e5, flux, 290.0, 0.0, 0.5) == (0.0, 0.0)
    assert feed.engine_pump_delivery(record, -5.0, 0.9, 0.25) == pytest.approx(2e-5 * 5.0 * 0.8 * 0.9 * 0.75)
    assert feed.engine_pump_delivery(record, 5.0, 0.9, 1.2) == 0.0
    assert feed.coil_heat(20.0, 375.0, 0.0, 315.0) == feed.coil_heat(20.0, 315.0, 0.02, 315.0) == 0.0
    assert [feed.suction_fraction(head) for head in (-1.0, -0.25, 0.25, 1.0)] == [0.0, 0.15625, 0.84375, 1.0]
    assert [feed.supply_fraction(mass) for mass in (-1.0, 0.0, 0.5, 2.0)] == [0.0, 0.0, 1.0, 1.0]
    # a pump above its water has that much less head; water of 1000 - 0.0036 (T - 277 K)² kg/m³
    low = feed.suction_margin(325.0, 0.0, AIR)
    assert feed.suction_margin(325.0, 1.5, AIR) == pytest.approx(low - 1.5)
    density = 1000.0 - 0.0036 * 48.0**2
    assert low == pytest.approx((AIR - saturation_pressure(325.0)) / (density * 9.80665) - 5.45)


def test_a_worn_packing_stops_at_none_and_all() -> None:
    assert (wear_rate(0.5, 1e-3), wear_rate(1.0, 1e-3), wear_rate(0.0, 0.0)) == (1e-3, 0.0, 0.0)
    assert [wear_rate(wear, -1e-2) for wear in (0.5, 0.1, 0.05, 0.0)] == pytest.approx(
        [-1e-2, -1e-2, -5e-3, 0.0]
    )


def test_hands_at_the_pump_in_figures() -> None:
    """50 strokes a minute up to 45 N, 20 at 95 N, none from 150 N; or what their power lasts for."""

    def limit(force: float, minutes: float = 0.5) -> float:
        return 60.0 * human_power.hand_stroke_limit(force * 0.85 * 0.5 / 6e-5, 6e-5, 0.5, 60.0 * minutes)

    assert [limit(force) for force in (1.0, 45.0, 70.0, 95.0, 122.5, 150.0, 200.0)] == pytest.approx(
        [50.0, 50.0, 35.0, 20.0, 10.0, 0.0, 0.0], abs=1e-9
    )
    # after four hours 0.131 hp, 97.9 W, over 95 N and half a metre is still more than 20 a minute
    tired = 745.7 * (0.35 - 0.092 * math.log10(240.0))
    assert limit(45.0, 1e9) == pytest.approx(min(50.0, 60.0 * 745.7 * 0.05 / 22.5))
    assert human_power.sustained_human_power(240.0) == pytest.approx(tired)
    assert human_power.sustained_human_power(1e9) == pytest.approx(0.05 * 745.7)
    assert human_power.sustained_human_power(0.0) == pytest.approx(745.7 * (0.35 + 0.092))


def test_hull_in_figures() -> None:
    made = replace(parts().hull, windage_area=1.6, displaced_mass=1000.0)
    record = to_record(made)
    assert hull.wind_force(record, 2.5, 5.0) == pytest.approx(0.5 * 1.225 * 1.6 * 7.5**2)
    assert hull.wind_force(record, 2.5, -5.0) == pytest.approx(-0.5 * 1.225 * 1.6 * 2.5**2)
    assert hull.load_factor(record, 331.0) == pytest.approx(1.1**2)
    assert hull.load_factor(record, -950.0) == pytest.approx(0.1 ** (2.0 / 3.0))
    top = made.table_top_speed
    drag = hull.water_resistance(record, top, 1.0)
    assert drag == pytest.approx(made.friction_table[-1] + made.residuary_table[-1])
    assert hull.water_resistance(record, 1.5 * top, 1.0) == pytest.approx(2.25 * drag)
    assert hull.water_resistance(record, top, 3.0) - drag == pytest.approx(2.0 * made.friction_table[-1])
    assert hull.water_resistance(record, -top, 1.0) == pytest.approx(-made.astern_factor * drag)
    node = 5.5 / (len(made.friction_table) - 1) * top
    between = sum(made.friction_table[5:7] + made.residuary_table[5:7]) / 2.0
    assert hull.water_resistance(record, node, 1.0) == pytest.approx(between)
    assert hull.water_resistance(record, 0.0, 1.0) == 0.0


def test_air_through_the_fire_by_hand() -> None:
    """Two inlets side by side, each c sqrt(Δp), in series with the flue, as conductances add."""
    made = replace(
        parts().fire, damper_conductance=0.01, damper_leak_fraction=0.1, bed_conductance=0.008,
        bed_reference_depth=0.1, ash_choking_depth=0.05, over_fire_conductance=0.001, door_conductance=0.02,
        flue_conductance=0.006,
    )  # fmt: skip
    record = to_record(made)
    under, over = fire.air_flows(record, 25.0, 0.5, 0.1, 0.05, 0.02, 0.2)
    opening = 0.01 * 0.55
    bed = 0.008 * 0.8 / math.sqrt(0.3 + 0.7 * 0.5 + 0.4)
    below = 1.0 / math.sqrt(1.0 / opening**2 + 1.0 / bed**2)
    above = 0.001 + 0.002
    whole = 5.0 / math.sqrt(1.0 / (below + above) ** 2 + 1.0 / 0.006**2)
    assert (under, over) == pytest.approx((whole * below / (below + above), whole * above / (below + above)))
    assert fire.air_flows(record, 0.0, 0.5, 0.1, 0.05, 0.02, 0.2) == (0.0, 0.0)
    faint = fire.air_flows(record, 0.25, 0.5, 0.1, 0.05, 0.02, 0.2)
    assert faint == pytest.approx((0.1 * under, 0.1 * over))
    shut = fire.air_flows(record, 25.0, -1.0, 0.0, 0.05, 0.0, 0.0)
    assert shut == fire.air_flows(record, 25.0, 0.0, 0.0, 0.05, 0.0, 0.0)
    assert fire.air_flows(record, 25.0, 2.0, 0.0, 0.05, 0.0, 0.0) == fire.air_flows(
        record, 25.0, 1.0, 0.0, 0.05, 0.0, 0.0
    )


def test_the_bed_in_figures() -> None:
    """Smooth between dead and bright; what 10 mm of glowing char lights; monoxide of a deep bed."""
    assert [fire.liveliness(t, 400.0, 900.0) for t in (300.0, 525.0, 650.0, 1000.0)] == [
        0.0,
        0.15625,
        0.5,
        1.0,
    ]
    kindled = 1.0 - math.exp(-1.0)
    assert fire.ignition_rate(2.0, 600.0, 1000.0, 0.010) == pytest.approx(kindled / 300.0)
    assert fire.ignition_rate(2.0, 600.0, 650.0, 0.010) == pytest.approx(0.5 * kindled / 300.0)
    assert fire.ignition_rate(2.0, 0.2, 1000.0, 1.0) == pytest.approx(1.0)
    assert (
        fire.ignition_rate(0.0, 600.0, 1000.0, 0.010) == fire.ignition_rate(2.0, 600.0, 1000.0, -1.0) == 0.0
    )
    assert [fire.monoxide_share(0.0), fire.monoxide_share(0.076)] == [0.0, 0.0]
    assert fire.monoxide_share(0.226) == pytest.approx(0.6 * kindled)
    # 0.2 m: 8/9 of the oxygen; heat left in the monoxide is 0.7 of its carbon's
    rate, used, heat, later = fire.char_burning(5.0, 0.2, 0.03, 1300.0)
    share = 0.6 * (1.0 - math.exp(-0.124 / 0.15))
    assert used == pytest.approx(0.03 * 8.0 / 9.0)
    assert rate == pytest.approx(used / (11.52 * (1.0 - 0.5 * share)))
    assert later == pytest.approx(rate * share * 32.8e6 * 0.7)
    assert heat + later == pytest.approx(rate * 32.8e6)
    assert fire.char_burning(0.025, 0.2, 0.03, 1300.0)[0] == pytest.approx(0.5 * rate)
    assert fire.char_burning(5.0, 0.2, 0.03, 380.0)[0] == pytest.approx(0.5 * rate)
    assert fire.char_burning(5.0, 0.2, -0.03, 1300.0) == (0.0, 0.0, 0.0, 0.0)
    # volatiles first; of the monoxide at most nine tenths, on what air is left
    assert fire.burning_above(0.0, 1e4, 10.0) == pytest.approx(0.9e4)
    need = 1e5 * 3.3e-7
    burnt = math.tanh(0.05 / need)
    left = 0.05 - need * burnt
    gas = 0.9 * math.tanh(left / (2e4 * 0.5 * 11.52 / (32.8e6 * 0.7)))
    assert fire.burning_above(1e5, 2e4, 0.05) == pytest.approx(1e5 * burnt + 2e4 * gas)
    assert fire.burning_above(1e5, 2e4, 0.0) == 0.0


def test_gas_through_the_tubes_by_hand() -> None:
    """R = 2.00 + 0.0014 W/A Btu/(h ft² °F), of 5.678263 W/(m² K): what it leaves is what it makes."""
    made = replace(parts().boiler, gas_passage_area=0.02, convective_area=2.0)
    out = fire.gas_pass(to_record(made), 0.02, 1200.0, 450.0, 0.9)
    conductance = (2.00 + 0.0014 * 737.34) * 5.678263 * 2.0 * 0.9
    heat = 952.0 + 0.5 * 0.234 * (1200.0 + out)
    assert out == pytest.approx(450.0 + 750.0 * math.exp(-conductance / (0.02 * heat)), abs=0.1)
    assert fire.gas_pass(to_record(made), 0.0, 1200.0, 450.0, 0.9) == 450.0
    assert fire.gas_pass(to_record(made), 0.02, 1200.0, 450.0, 0.0) == pytest.approx(1200.0)
    assert CRITICAL_RATIO == 0.545


def test_a_steady_fire_by_hand() -> None:
    """Its own equations hold at the temperature it settles at: heat set free is heat given off."""
    plant, coal = parts(), charge("steam coal", 1.0)
    found = steady_fire(plant, coal, 15.0, 440.0, bed_depth=0.1, damper=0.8, air_temperature=300.0)
    fired = found.fuel_rate / coal.mass
    need = fired * (coal.char * 11.52 + coal.volatile_heat * 3.3e-7)
    assert found.excess_air_fraction == pytest.approx(found.air_flow / need - 1.0)
    under, over = fire.air_flows(to_record(plant.fire), 15.0, 0.8, 0.0, 0.1, 0.0, 0.0)
    assert found.air_flow == pytest.approx(under + over)
    burnt, used, in_bed, monoxide = fire.char_burning(1e3, 0.1, under, found.fire_temperature)
    assert fired * coal.char == pytest.approx(burnt)
    volatile = fired * coal.volatile_heat
    above = fire.burning_above(volatile, monoxide, under + over - used)
    assert found.unburnt_heat == pytest.approx(volatile + monoxide - above)
    chimney = found.flue_heat + found.furnace_loss + found.heat_to_boiler
    assert in_bed + above == pytest.approx(chimney, rel=1e-4)
    assert found.furnace_loss == pytest.approx(
        plant.fire.furnace_loss_conductance * (found.fire_temperature - 300.0)
    )
    net = fired * ((coal.char + coal.riddled) * 32.8e6 + coal.volatile_heat - coal.moisture * 2.44e6)
    assert found.net_heat_fired == pytest.approx(net)
    assert found.efficiency == pytest.approx(found.heat_to_boiler / net)
    gas = under + over + fired * (coal.moisture + coal.volatile + coal.char)
    left = gas * fire.gas_heat(found.flue_temperature) + fired * coal.moisture * 2.44e6
    assert found.flue_heat == pytest.approx(left - (under + over) * 1010.0 * (300.0 - 288.15))
    plate = 450.0
    assert found.radiant_heat == pytest.approx(
        fire.radiation(plant.boiler.radiant_area, plant.fire.emissivity, found.fire_temperature, plate)
    )
    assert found.flue_temperature == pytest.approx(
        fire.gas_pass(to_record(plant.boiler), gas, found.fire_temperature, plate, 1.0)
    )
    assert found.draught == 15.0


def test_feed_as_foul_as_the_limit_cannot_be_blown_down_enough() -> None:
    """B = S Cf/(Cb - Cf): half the limit asks for as much as the steam, the limit for no end of it."""
    assert blow_down_needed(2.0, 1750.0, 3500.0) == pytest.approx(2.0)
    assert blow_down_needed(2.0, 3500.0, 3500.0) == blow_down_needed(2.0, 4000.0, 3500.0) == math.inf
    assert blow_down_needed(2.0, 0.0, 0.0) == 0.0
