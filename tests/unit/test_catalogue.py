"""The catalogue: fuels, boiler shapes, screws, hulls, and the reduction of the demo boats."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from halfglass.plant.parameters import ANGLE_NODES, LEVEL_NODES, SPEED_NODES, PlantParameters
from halfglass.scenario.boat import Boat
from halfglass.scenario.catalogue import boiler_shapes, fuels, hulls, screws
from halfglass.scenario.catalogue.boiler_shapes import VerticalFireTube, WaterTube
from halfglass.scenario.catalogue.reduce import initial_state, plant_parameters
from halfglass.scenario.load import load

SCENARIOS = Path(__file__).parents[2] / "scenarios"


@pytest.fixture(scope="module")
def sedge() -> Boat:
    return load(SCENARIOS / "01-quiet-lake-day.toml").base.boat


@pytest.fixture(scope="module")
def dabchick() -> Boat:
    return load(SCENARIOS / "03-burner-boat.toml").base.boat


@pytest.mark.parametrize("name", fuels.FUELS)
def test_shares_of_a_fuel_add_up(name: str) -> None:
    fuel = fuels.FUELS[name]
    assert fuel.moisture + fuel.volatile + fuel.fixed_carbon + fuel.ash == pytest.approx(1.0)


@pytest.mark.parametrize("name", fuels.FUELS)
def test_a_charge_keeps_mass_and_net_heat(name: str) -> None:
    made = fuels.charge(name, 1.7)
    char = made.char + made.riddled
    heat = char * fuels.CHAR_HEAT + made.volatile_heat - fuels.MOISTURE_HEAT * made.moisture
    assert made.mass == pytest.approx(1.7)
    assert heat / 1.7 == pytest.approx(fuels.FUELS[name].net_heat)
    assert 0.0 < made.char_volume < made.green_volume


@pytest.mark.parametrize("name", fuels.FUELS)
def test_heat_of_volatiles_is_that_of_some_fuel_gas(name: str) -> None:
    """Between 10 and 50 MJ/kg, wood gas to methane (value from memory)."""
    made = fuels.charge(name, 1.0)
    assert 10e6 < made.volatile_heat / made.volatile < 50e6


def shape_volume(shape: VerticalFireTube | WaterTube) -> float:
    """Volume by plain geometry."""
    if isinstance(shape, VerticalFireTube):
        length = shape.shell_height - shape.firebox_height
        return (
            math.pi
            / 4
            * (
                shape.shell_diameter**2 * shape.shell_height
                - shape.firebox_diameter**2 * shape.firebox_height
                - shape.tubes * shape.tube_diameter**2 * length
            )
        )
    bore = shape.tube_diameter - 2 * shape.tube_thickness
    return (
        math.pi / 4 * (shape.drum_diameter**2 * shape.drum_length + shape.tubes * bore**2 * shape.tube_length)
        + shape.bottom_volume
    )


@pytest.mark.parametrize("boat", ["sedge", "dabchick"])
def test_boiler_tables_hold_the_volume(boat: str, request: pytest.FixtureRequest) -> None:
    shape = request.getfixturevalue(boat).boiler
    made = boiler_shapes.reduced(shape)
    assert made.volume == pytest.approx(shape_volume(shape), rel=0.005)
    assert len(made.height_table) == len(made.area_table) == LEVEL_NODES
    assert np.all(np.diff(made.height_table) > 0.0)
    assert made.height_table[0] == 0.0
    assert made.height_table[-1] == pytest.approx(boiler_shapes.formed(shape).top_height)


def test_level_tables_of_a_cylinder_are_linear() -> None:
    heights = np.linspace(0.0, 2.0, 101)
    volume, at, areas = boiler_shapes.level_tables(heights, np.full(101, 0.5))
    assert volume == pytest.approx(1.0)
    assert at == pytest.approx(np.linspace(0.0, 2.0, LEVEL_NODES))
    assert areas == pytest.approx(0.5)


def test_screw_coefficients_against_worked_values() -> None:
    """Worked from the coefficients of Roddy, Hess & Faller, NSWCCD-50-TR-2006/004."""
    thrust, torque = screws.tables("B4-70", 1.0)
    per_degree = (ANGLE_NODES - 1) // 360
    for angle, c_t, ten_c_q in ((0, 0.2369, 0.3479), (90, -0.7719, -1.1553), (150, -0.3826, -0.5893)):
        assert thrust[angle * per_degree] == pytest.approx(c_t, abs=6e-5)
        assert 10 * torque[angle * per_degree] == pytest.approx(ten_c_q, abs=6e-5)
    thrust, torque = screws.tables("B3-65", 1.0)
    for angle, c_t, ten_c_q in ((0, 0.2182, 0.3402), (90, -0.6660, -0.9619), (180, -0.2095, -0.3506)):
        assert thrust[angle * per_degree] == pytest.approx(c_t, abs=6e-5)
        assert 10 * torque[angle * per_degree] == pytest.approx(ten_c_q, abs=6e-5)


def test_pitch_is_linear_between_tested_screws() -> None:
    low, middle, high = (screws.tables("B4-70", pitch)[0] for pitch in (1.2, 1.3, 1.4))
    assert middle == pytest.approx(0.5 * (low + high))
    assert screws.tables("B4-70", 1.2)[0] == pytest.approx(low)


@pytest.mark.parametrize(("series", "pitch"), [("B4-70", 0.4), ("B4-70", 2.1), ("B3-65", 0.3)])
def test_pitch_outside_what_can_be_worked_out_is_refused(series: str, pitch: float) -> None:
    with pytest.raises(ValueError, match="pitch ratio"):
        screws.tables(series, pitch)


@pytest.mark.parametrize(
    ("series", "pitch"), [("B4-70", 1.0), ("B4-70", 1.4), ("B3-65", 1.0), ("B4-40", 1.0)]
)
def test_extension_joins_the_tested_screws(series: str, pitch: float) -> None:
    """A hair outside the tested pitches the coefficients are those of the tested screw."""
    tested = screws.tables(series, pitch)
    for other in (pitch - 1e-6, pitch + 1e-6):
        for near, at in zip(screws.tables(series, other), tested, strict=True):
            assert near == pytest.approx(at, abs=1e-5)


def test_friction_line_against_published_values() -> None:
    """ITTC-57 line, published values times 1000."""
    for reynolds, published in ((1e5, 8.333), (1e6, 4.688), (1e7, 3.000), (1e9, 1.531)):
        assert float(hulls.friction_coefficient(reynolds)) * 1000 == pytest.approx(published, abs=6e-4)


@pytest.mark.parametrize(("knots", "newtons"), [(4.03, 148.0), (5.24, 351.0), (6.04, 641.0)])
def test_resistance_of_the_model_hull(knots: float, newtons: float) -> None:
    """Hull A, 7 m, 3.14 m³, wetted 12.4 m², worked from the published curve and the ITTC-57 line."""
    top, friction, residuary = hulls.resistance_tables("A", 7.0, 3.14 * hulls.WATER_DENSITY, 12.4, 1.0)
    speeds = np.linspace(0.0, top, SPEED_NODES)
    assert np.interp(knots * 1852 / 3600, speeds, friction + residuary) == pytest.approx(newtons, rel=0.02)


@pytest.mark.parametrize("series", ["A", "B"])
def test_residuary_curve_rises_without_a_jump(series: str) -> None:
    froude = np.linspace(0.0, 0.6, 2401)
    ratio = hulls.residuary_ratio(series, froude)
    assert ratio[0] == pytest.approx(0.0, abs=1e-6)
    assert np.all(np.diff(ratio) >= 0.0)
    steps = np.diff(ratio)
    assert np.max(steps) < 0.012 * ratio[-1]
    assert ratio[-1] > 3.0 * float(hulls.residuary_ratio(series, 0.45))


def test_every_number_reduced_is_finite(sedge: Boat, dabchick: Boat) -> None:
    for made in (plant_parameters(sedge), plant_parameters(dabchick)):
        assert isinstance(made, PlantParameters)
        for record in made:
            for name, value in vars(record).items():
                assert np.all(np.isfinite(value)), name


def test_what_a_boat_lacks_is_zero(sedge: Boat, dabchick: Boat) -> None:
    coal, paraffin = plant_parameters(sedge), plant_parameters(dabchick)
    assert coal.burner.fuel_rate == 0.0
    assert paraffin.fire.grate_area == 0.0
    assert paraffin.feed.injector_steam_area == 0.0
    assert paraffin.valves.second_area == 0.0
    assert coal.valves.second_area > 0.0


def test_injector_gives_its_delivery(sedge: Boat) -> None:
    """Napier steam at 75 psi gauge and 17.04 kg of water each kg of steam (Hughes 1912) make 90 kg/h."""
    area = plant_parameters(sedge).feed.injector_steam_area
    steam = area * (89.696 / 70.0) * 0.45359237 / 0.0254**2
    assert steam * (20.0 - 0.12 * (89.696 - 65.0)) * 3600.0 == pytest.approx(90.0, rel=1e-3)


def test_compound_is_referred_to_its_low_pressure_cylinder(sedge: Boat) -> None:
    engine = sedge.engine.model_copy(update={"kind": "compound", "low_pressure_bore": 2 * sedge.engine.bore})
    made = plant_parameters(sedge.model_copy(update={"engine": engine})).engine
    assert made.swept_volume == pytest.approx(2 * math.pi / 4 * (2 * engine.bore) ** 2 * engine.stroke)
    assert made.full_gear_cut_off == pytest.approx(engine.cut_off / 4.0)


def test_sedge_has_an_hour_or_so_of_sensible_water(sedge: Boat) -> None:
    """Half glass to bottom nut holds 20 to 25 kg of hot water, the boiler 90 to 110 kg."""
    made = plant_parameters(sedge).boiler
    volumes = np.linspace(0.0, made.volume, LEVEL_NODES)
    low, half = (
        np.interp(
            [made.bottom_nut_height, 0.5 * (made.bottom_nut_height + made.top_nut_height)],
            made.height_table,
            volumes,
        )
        * 900.0
    )
    assert 20.0 < half - low < 25.0
    assert 90.0 < half < 110.0


def test_initial_state_stands_at_the_level_asked_for() -> None:
    day = load(SCENARIOS / "01-quiet-lake-day.toml").base
    state = initial_state(day)
    boiler = plant_parameters(day.boat).boiler
    volumes = np.linspace(0.0, boiler.volume, LEVEL_NODES)
    height = np.interp(state.boiler_liquid_volume, volumes, boiler.height_table)
    assert height == pytest.approx(0.5 * (boiler.bottom_nut_height + boiler.top_nut_height))
    assert state.fuel_mass == 60.0
    assert state.tank_fuel_mass == 0.0
    assert state.settings.vent == 1.0


def test_initial_state_of_a_burner_boat_has_a_pumped_up_tank() -> None:
    state = initial_state(load(SCENARIOS / "03-burner-boat.toml").base)
    assert state.tank_fuel_mass == pytest.approx(20.0)
    assert state.tank_air_pressure > 0.0
    assert state.fuel_mass == 0.0
