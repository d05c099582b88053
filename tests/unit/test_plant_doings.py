"""What is done to the plant at one stroke: where the mass and the heat of it go, worked by hand."""

from __future__ import annotations

import math

import pytest
from steaming import SCENARIOS, cold, sedge

from halfglass.plant import state as y
from halfglass.plant.fire import BED_HEAT, CHAR_HEAT
from halfglass.plant.steam import saturation
from halfglass.plant.steamplant import SteamPlant, bed_heat
from halfglass.scenario.catalogue.fuels import charge
from halfglass.scenario.catalogue.reduce import initial_state, plant_parameters
from halfglass.scenario.load import load


@pytest.fixture
def plant() -> SteamPlant:
    """Sedge, cold, with nothing on the grate."""
    return cold(sedge())


@pytest.fixture
def burner_boat() -> SteamPlant:
    """The boat with a burner, before it is lit."""
    day = load(SCENARIOS / "03-burner-boat.toml").base
    return SteamPlant(plant_parameters(day.boat), initial_state(day))


def test_a_charge_goes_from_the_bunker_to_the_bed(plant: SteamPlant) -> None:
    coal = charge("steam coal", 2.0)
    before = plant.state("bunker_fuel")
    plant.put_on(coal)
    assert before - plant.state("bunker_fuel") == pytest.approx(2.0)
    bed = [plant.state(f"green_{part}") for part in ("moisture", "volatile", "volatile_heat", "char")]
    assert bed == pytest.approx([coal.moisture, coal.volatile, coal.volatile_heat, coal.char])
    assert plant.state("ash") == pytest.approx(coal.ash)
    parts = sum(bed[i] for i in (0, 1, 3)) + coal.ash + coal.riddled
    assert parts == pytest.approx(2.0)
    assert plant.state("green_lag_mass") == pytest.approx((bed[0] + bed[1] + bed[3]) * coal.ignition_lag)
    assert plant.state("green_char_volume") == pytest.approx(coal.char_volume)
    volume = plant.state("green_volume") + plant.state("green_char_volume")
    assert volume == pytest.approx(max(coal.green_volume, coal.char_volume))
    assert plant.heat_put_on - plant.ash_heat_removed == pytest.approx(bed_heat(plant.marcher.state))
    assert plant.ash_heat_removed == pytest.approx(coal.riddled * CHAR_HEAT)
    assert bed_heat(plant.marcher.state) == pytest.approx(coal.volatile_heat + coal.char * CHAR_HEAT)


def test_a_bunker_nearly_empty_gives_what_it_has(plant: SteamPlant) -> None:
    coal = charge("steam coal", 2.0)
    plant.marcher.state[y.BUNKER_FUEL] = 0.5
    plant.put_on(coal)
    assert plant.state("bunker_fuel") == pytest.approx(0.0, abs=1e-12)
    assert plant.state("green_char") == pytest.approx(0.25 * coal.char)
    plant.put_on(coal)
    assert plant.state("green_char") == pytest.approx(0.25 * coal.char)


def test_lighting_up_burns_half_the_kindling_and_heats_the_furnace(plant: SteamPlant) -> None:
    coal, wood = charge("steam coal", 2.0), charge("air-dry wood", 1.0)
    before = plant.state("bunker_fuel")
    plant.light(coal, wood, 900.0)
    assert before - plant.state("bunker_fuel") == pytest.approx(2.0)  # kindling comes from ashore
    assert plant.state("burning_char") == pytest.approx(0.5 * wood.char)
    assert plant.state("char_volume") == pytest.approx(0.5 * wood.char_volume)
    assert plant.state("green_char") == pytest.approx(0.5 * wood.char + coal.char)
    capacity = plant.parameters.fire.furnace_heat_capacity
    capacity += BED_HEAT * (plant.state("burning_char") + plant.state("ash"))
    assert plant.state("fire_energy") == pytest.approx(capacity * (900.0 - 288.15))
    assert plant.reading("fire_temperature") == pytest.approx(900.0)
    assert plant.state("chimney_temperature") == pytest.approx(340.0)
    kept = plant.state("fire_energy") + bed_heat(plant.marcher.state)
    assert plant.heat_put_on - plant.ash_heat_removed == pytest.approx(kept)
    # lighting a fire that is hotter already adds no heat, and cools no chimney
    plant.marcher.state[y.CHIMNEY_TEMPERATURE] = 500.0
    plant.light(coal, wood, 300.0)
    assert plant.state("chimney_temperature") == 500.0
    kept = plant.state("fire_energy") + bed_heat(plant.marcher.state)
    assert plant.heat_put_on - plant.ash_heat_removed == pytest.approx(kept)


def test_ash_raked_and_a_fire_drawn_take_their_heat_along(plant: SteamPlant) -> None:
    state = plant.marcher.state
    capacity = plant.parameters.fire.furnace_heat_capacity
    state[y.BURNING_CHAR], state[y.ASH], state[y.GREEN_CHAR], state[y.GREEN_VOLATILE_HEAT] = (
        3.0,
        2.0,
        1.0,
        1e7,
    )
    state[y.FIRE_ENERGY] = (capacity + BED_HEAT * 5.0) * 700.0
    plant.clean_grate(0.25)
    assert plant.state("ash") == pytest.approx(1.5)
    raked = BED_HEAT * 0.5 * 700.0
    assert plant.ash_heat_removed == pytest.approx(raked)
    assert plant.state("fire_energy") == pytest.approx((capacity + BED_HEAT * 4.5) * 700.0)
    plant.draw_fire()
    assert not state[y.GREEN_MOISTURE : y.ASH + 1].any()
    assert plant.state("fire_energy") == pytest.approx(capacity * 700.0)
    assert plant.ash_heat_removed == pytest.approx(raked + BED_HEAT * 4.5 * 700.0 + 4.0 * CHAR_HEAT + 1e7)


def test_fuel_taken_on(plant: SteamPlant, burner_boat: SteamPlant) -> None:
    before = plant.state("bunker_fuel")
    plant.take_fuel(5.0)
    assert plant.state("bunker_fuel") - before == pytest.approx(5.0)
    assert (plant.tank_fuel_taken, plant.state("total_fuel_taken")) == (0.0, 5.0)
    burner = burner_boat.parameters.burner
    full = burner.tank_volume * burner.fuel_density
    burner_boat.marcher.state[y.TANK_FUEL] = full - 3.0
    burner_boat.take_fuel(2.0)
    assert burner_boat.state("tank_fuel") == pytest.approx(full - 1.0)
    assert burner_boat.reading("burner_tank_pressure") == pytest.approx(0.0, abs=1e-6)  # its air let out
    burner_boat.take_fuel(2.0)
    assert burner_boat.state("tank_fuel") == pytest.approx(full)  # no more than it holds
    assert (
        burner_boat.tank_fuel_taken
        == pytest.approx(3.0)
        == pytest.approx(burner_boat.state("total_fuel_taken"))
    )


def test_pumping_up_the_tank(burner_boat: SteamPlant) -> None:
    burner_boat.pump_tank_air(1.5e5)
    assert burner_boat.reading("burner_tank_pressure") == pytest.approx(1.5e5)
    burner = burner_boat.parameters.burner  # a full tank keeps 2 % of its volume of air (judgement)
    room = 1.02 * burner.tank_volume - burner_boat.state("tank_fuel") / burner.fuel_density
    absolute = 1.5e5 + burner_boat.controls.atmosphere_absolute
    assert burner_boat.state("tank_air") == pytest.approx(absolute * room)


def test_barring_over_takes_the_engine_off_its_dead_centre(plant: SteamPlant) -> None:
    plant.marcher.state[y.CRANK_TURNS] = 0.0
    plant.set(damper=0.31)
    stands = plant.parameters.engine.dead_angle > 0.0
    assert plant.is_on_dead_centre == stands
    plant.set(throttle=0.2)
    assert plant.controls.on_dead_centre == float(stands)
    plant.bar_over()
    assert plant.state("crank_turns") == 0.25
    assert plant.controls.on_dead_centre == 0.0
    assert not plant.is_on_dead_centre


def test_water_baled_in_oil_and_cloths(plant: SteamPlant) -> None:
    mass, heat = plant.state("hotwell_mass"), plant.state("hotwell_energy")
    solids = plant.state("hotwell_solids")
    plant.make_up_hotwell(4.0)
    warm = 4.0 * 4186.0 * (plant.controls.lake_temperature - 273.15)
    assert plant.state("hotwell_mass") - mass == pytest.approx(4.0) == plant.state("total_lake_water")
    assert plant.state("hotwell_energy") - heat == pytest.approx(warm) == plant.state("total_lake_water_heat")
    dissolved = 4.0 * plant.parameters.feed.lake_solids_fraction
    assert plant.state("hotwell_solids") - solids == pytest.approx(dissolved)
    plant.foul_with_oil(0.003)
    plant.foul_with_oil(0.001)
    assert plant.state("boiler_oil") == pytest.approx(0.004) == pytest.approx(plant.oil_let_in)
    plant.marcher.state[y.SEPARATOR_OIL], plant.marcher.state[y.TOTAL_OIL_OUT] = 0.02, 0.01
    plant.change_cloth()
    assert (plant.state("separator_oil"), plant.state("total_oil_out")) == (0.0, pytest.approx(0.03))
    plant.marcher.state[y.LUBRICATOR_OIL] = 0.0
    plant.refill_lubricator()
    assert plant.state("lubricator_oil") == plant.parameters.engine.lubricator_capacity > 0.0


def test_before_lighting_up_all_is_at_rest(plant: SteamPlant) -> None:
    """Water, steam and air share the boiler at the temperature of the day and one atmosphere."""
    day = sedge()
    start = initial_state(day)
    boiler, controls = plant.parameters.boiler, plant.controls
    assert plant.reading("boiler_pressure") == pytest.approx(0.0, abs=1.0)
    assert plant.reading("boiler_temperature") == pytest.approx(start.boiler_temperature, abs=1e-6)
    pressure = plant.reading("steam_pressure_absolute")
    _, v_liquid, v_vapour, *_ = saturation(pressure)
    space = boiler.volume - start.boiler_liquid_volume
    assert plant.state("boiler_mass") == pytest.approx(
        start.boiler_liquid_volume / v_liquid + space / v_vapour, rel=1e-9
    )
    air = (controls.atmosphere_absolute - pressure) * space / (287.05 * start.boiler_temperature)
    assert plant.state("boiler_air") == pytest.approx(air, rel=1e-4)
    assert plant.reading("cylinder_temperature") == pytest.approx(controls.air_temperature)
    assert plant.reading("condenser_temperature") == pytest.approx(controls.lake_temperature)
    assert plant.reading("hotwell_temperature") == pytest.approx(controls.air_temperature)
    assert plant.state("separator_mass") == plant.parameters.exhaust.separator_hold_up
    warm = plant.state("separator_energy") / plant.state("separator_mass") / 4186.0
    assert warm == pytest.approx(controls.air_temperature - 273.15)
    assert plant.reading("back_pressure") == pytest.approx(0.0, abs=1e-6)
    assert plant.reading("cylinder_water") == 0.0
    ppm = start.boiler_solids_fraction * 1e6
    assert plant.reading("boiler_solids") == pytest.approx(ppm, rel=1e-6)
    hotwell = start.hotwell_mass * plant.parameters.feed.lake_solids_fraction
    assert plant.state("hotwell_solids") == pytest.approx(hotwell)
    assert plant.state("bunker_fuel") == pytest.approx(day.aboard.fuel_mass)
    assert math.isclose(plant.state("vaporiser_temperature"), controls.air_temperature)
    assert math.isclose(plant.state("chimney_temperature"), controls.air_temperature)
