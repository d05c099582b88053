"""The boiler: more water stands higher and shows higher, more heat is more pressure, nothing is negative."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import boats, share

from halfglass.plant import boiler as water_side
from halfglass.plant.compile import to_record
from halfglass.plant.steam import equilibrium, equilibrium_rates, saturation
from halfglass.scenario.boat import Boat
from halfglass.scenario.catalogue.boiler_shapes import reduced

GLASS_TEMPERATURES = st.floats(283.15, 460.0)


@given(boats(), share, share)
def test_more_water_stands_higher(boat: Boat, one: float, other: float) -> None:
    """Volume under the surface, height, glass: each rises with the one before."""
    made = reduced(boat.boiler)
    record = to_record(made)
    low, high = sorted((one * made.volume, other * made.volume))
    heights = [water_side.surface_height(record, volume) for volume in (low, high)]
    assert 0.0 <= heights[0] <= heights[1]
    assert all(water_side.surface_area(record, volume) > 0.0 for volume in (low, high))
    shown = [water_side.glass_level(record, height, 0.1, 1.1e-3, 440.0, 288.0) for height in heights]
    assert shown[0] <= shown[1]
    for covered in (
        [water_side.convective_covered_fraction(record, height) for height in heights],
        [water_side.radiant_covered_fraction(record, height, 0.02, -0.01) for height in heights],
    ):
        assert 0.0 <= covered[0] <= covered[1] <= 1.0


@given(boats())
def test_volume_is_area_times_height(boat: Boat) -> None:
    """The two tables of a shape describe one vessel, wherever its surface may stand: above the crown."""
    made = reduced(boat.boiler)
    rise = made.height_table[1:] - made.height_table[:-1]
    mean_area = 0.5 * (made.area_table[1:] + made.area_table[:-1])
    assert (rise > 0.0).all()
    above = made.height_table[:-1] >= made.crown_height
    volume = above.sum() * made.volume / (len(made.height_table) - 1)
    assert above.sum() > 10
    assert float((rise * mean_area)[above].sum()) == pytest.approx(volume, rel=0.02)


@given(boats(), share, share, GLASS_TEMPERATURES)
def test_bubbles_lower_what_a_height_shows(boat: Boat, height: float, void: float, hot: float) -> None:
    """Bubbles lighten the column, a cooler glass shows less; the bottom nut is the bottom nut."""
    made = reduced(boat.boiler)
    record = to_record(made)
    surface = made.bottom_nut_height + height * (made.top_nut_height - made.bottom_nut_height)
    liquid = saturation(_pressure(hot))[1]
    solid = water_side.glass_level(record, surface, 0.0, liquid, hot, 288.0)
    assert 0.0 <= water_side.glass_level(record, surface, 0.9 * void, liquid, hot, 288.0) <= solid
    assert water_side.glass_level(record, surface, 0.0, liquid, hot, 273.0) <= solid
    assert water_side.glass_level(record, made.bottom_nut_height, void, liquid, hot, 288.0) == 0.0


def _pressure(temperature: float) -> float:
    from halfglass.plant.steam import saturation_pressure

    return float(saturation_pressure(temperature))


@given(st.floats(-0.2, 0.4), st.floats(0.0, 999.0), st.floats(0.0, 2e4), st.floats(0.0, 1e3), share)
def test_water_carried_over(height: float, room: float, solids: float, oil: float, step: float) -> None:
    """Never none, never above its bound, and not less for higher, more cramped, fouler water."""
    carry = water_side.carry_over_fraction(height, 0.2, room, solids, oil)
    assert 0.0 < carry <= 0.6
    assert water_side.carry_over_fraction(height + step, 0.2, room, solids, oil) >= carry
    assert water_side.carry_over_fraction(height, 0.2, room * (1.0 - step), solids, oil) >= carry
    assert water_side.carry_over_fraction(height, 0.2, room, solids * (1.0 + step), oil) >= carry
    assert water_side.carry_over_fraction(height, 0.2, room, solids, oil * (1.0 + step)) >= carry


@given(boats(), share, st.floats(-0.05, 0.05), st.floats(1.0, 3.0), st.floats(1e4, 1.5e6))
def test_more_boiling_more_bubbles(
    boat: Boat, fill: float, boiling: float, factor: float, pressure: float
) -> None:
    made = reduced(boat.boiler)
    temperature, liquid, vapour, *_ = saturation(pressure)
    rise = water_side.bubble_rise_speed(temperature, liquid, vapour)
    water = (0.1 + 0.8 * fill) * made.volume
    area = water_side.surface_area(to_record(made), water)
    settled = [
        water_side.settled_bubble_volume(to_record(made), water, area, rate, rise, vapour)
        for rate in (boiling, boiling * factor if boiling > 0.0 else boiling / factor)
    ]
    assert 0.0 <= settled[0] <= settled[1] * (1.0 + 1e-12)  # a factor a rounding above 1 is within it
    assert settled[1] <= water
    assert rise > 0.0
    assert settled[0] > 0.0 or boiling <= 1e-9


vessels = st.tuples(st.floats(0.05, 0.97), st.floats(280.0, 480.0), st.floats(0.0, 1.0))


@given(vessels, st.floats(1e2, 1e6))
def test_more_heat_more_pressure(vessel: tuple[float, float, float], heat: float) -> None:
    """In a shut vessel; and liquid and steam together are all of the water."""
    fill, temperature, air = vessel
    volume, metal = 0.2, 6e4
    pressure = _pressure(temperature)
    _, v_liquid, v_vapour, u_liquid, u_vapour, _, _ = saturation(pressure)
    liquid, vapour = fill * volume / v_liquid, (1.0 - fill) * volume / v_vapour
    air_mass = air * 0.2
    energy = liquid * u_liquid + vapour * u_vapour + (metal + 718.0 * air_mass) * (temperature - 273.15)
    cold = equilibrium(liquid + vapour, energy, volume, metal, air_mass, pressure)
    warm = equilibrium(liquid + vapour, energy + heat, volume, metal, air_mass, pressure)
    assert cold.liquid_mass + cold.vapour_mass == pytest.approx(liquid + vapour, rel=1e-12)
    assert cold.liquid_mass >= 0.0
    assert cold.vapour_mass > 0.0
    assert warm.steam_pressure_absolute >= cold.steam_pressure_absolute
    assert warm.temperature >= cold.temperature
    shut_in = [found.air_pressure + found.steam_pressure_absolute for found in (cold, warm)]
    assert shut_in[0] <= shut_in[1]


@given(vessels, st.floats(-0.05, 0.05), st.floats(-5e4, 5e4))
def test_rates_are_those_of_the_equilibrium(
    vessel: tuple[float, float, float], mass_rate: float, energy_rate: float
) -> None:
    """Pressure and evaporation rates against the equilibrium a little later."""
    fill, temperature, _ = vessel
    volume, metal, little = 0.2, 6e4, 1e-3
    pressure = _pressure(temperature)
    _, v_liquid, v_vapour, u_liquid, u_vapour, _, _ = saturation(pressure)
    mass = fill * volume / v_liquid + (1.0 - fill) * volume / v_vapour
    vapour = (1.0 - fill) * volume / v_vapour
    energy = (mass - vapour) * u_liquid + vapour * u_vapour + metal * (temperature - 273.15)
    ends = [
        equilibrium(mass + way * little * mass_rate, energy + way * little * energy_rate, volume, metal, 0.0,
                    pressure)
        for way in (-1.0, +1.0)
    ]  # fmt: skip
    pressure_rate, vapour_rate = equilibrium_rates(mass, volume, metal, 0.0, pressure, mass_rate, energy_rate)
    found = (ends[1].steam_pressure_absolute - ends[0].steam_pressure_absolute) / (2.0 * little)
    assert pressure_rate == pytest.approx(found, rel=1e-3, abs=1e-6 * pressure)
    evaporated = (ends[1].vapour_mass - ends[0].vapour_mass) / (2.0 * little)
    assert vapour_rate == pytest.approx(evaporated, rel=1e-3, abs=1e-6)
