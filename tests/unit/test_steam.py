"""Steam properties and vessel equilibrium: inner consistency."""

from __future__ import annotations

import math

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from halfglass.plant import steam

IN_TABLE = st.floats(math.log(620.0), math.log(2.5e6))
ANYWHERE = st.floats(math.log(60.0), math.log(9.0e6))


@settings(deadline=None)
@given(ANYWHERE)
def test_slopes_match_differences(ln_p: float) -> None:
    here = steam.saturation_with_slopes(ln_p)
    step = 1.0e-4
    above, below = (steam.saturation_with_slopes(ln_p + d) for d in (step, -step))
    for k in range(5):
        difference = (above[k] - below[k]) / (2.0 * step)
        assert here[5 + k] == pytest.approx(difference, rel=1e-4, abs=1e-6 * abs(here[k]))


@settings(deadline=None)
@given(ANYWHERE)
def test_both_lookups_agree(ln_p: float) -> None:
    plain = steam.saturation(math.exp(ln_p))
    sloped = steam.saturation_with_slopes(ln_p)
    assert plain[:5] == pytest.approx(sloped[:5], rel=1e-11)
    assert steam.saturation_temperature(math.exp(ln_p)) == plain[0]
    assert steam.latent_heat(math.exp(ln_p)) == pytest.approx(plain[6] - plain[5], rel=1e-12)


@settings(deadline=None)
@given(ANYWHERE)
def test_pressure_and_temperature_are_inverse(ln_p: float) -> None:
    pressure = math.exp(ln_p)
    assert steam.saturation_pressure(steam.saturation_temperature(pressure)) == pytest.approx(
        pressure, rel=1e-12
    )


@settings(deadline=None)
@given(IN_TABLE, st.floats(1e-3, 0.5))
def test_properties_rise_and_fall_as_they_should(ln_p: float, more: float) -> None:
    low = steam.saturation(math.exp(ln_p))
    high = steam.saturation(math.exp(min(ln_p + more, math.log(2.5e6))))
    assert high[0] >= low[0] and high[3] >= low[3] and high[5] >= low[5] and high[6] >= low[6]
    assert high[2] <= low[2]


@pytest.mark.parametrize("pressure", [-1.0, 0.0, 1e-9, 50.0, 611.0, 2.6e6, 1e7, 1e9])
def test_outside_the_table_stays_finite_and_ordered(pressure: float) -> None:
    temperature, v_liquid, v_vapour, *energies = steam.saturation(pressure)
    assert all(map(math.isfinite, (temperature, v_liquid, v_vapour, *energies)))
    assert temperature > 0.0 and v_liquid > 0.0


@pytest.mark.parametrize("temperature", [0.0, 200.0, 600.0, 5000.0])
def test_pressure_outside_the_table_stays_finite(temperature: float) -> None:
    assert 49.0 < steam.saturation_pressure(temperature) < 1.01e7


def test_not_a_number_passes_through_without_an_exception() -> None:
    assert math.isnan(steam.saturation(math.nan)[0])
    assert math.isnan(steam.saturation_with_slopes(math.nan)[0])


def test_surface_tension_vanishes_at_the_critical_point() -> None:
    assert steam.surface_tension(647.096) == 0.0
    assert steam.surface_tension(700.0) == 0.0


VESSEL = {
    "fill": st.floats(0.001, 1.0),
    "temperature": st.floats(274.15, 494.0),
    "metal": st.floats(0.0, 1.0e6),
    "air": st.floats(0.0, 0.15),
    "guess": st.floats(1.0e-3, 1.0e8),
}


CYCLING = {"fill": 0.005769534746597196, "temperature": 493.4928786093566, "metal": 1e4, "guess": 4.3}


def energy_of(fill: float, temperature: float, metal: float, air: float) -> tuple[float, float]:
    """Return mass and energy of a 0.1 m3 vessel with this share of liquid."""
    _, v_liquid, v_vapour, u_liquid, u_vapour, _, _ = steam.saturation(steam.saturation_pressure(temperature))
    liquid, vapour = 0.1 * fill / v_liquid, 0.1 * (1.0 - fill) / v_vapour
    solid = (metal + 718.0 * air) * (temperature - 273.15)
    return liquid + vapour, liquid * u_liquid + vapour * u_vapour + solid


@settings(deadline=None, max_examples=300)
@given(**VESSEL)
@example(**CYCLING, air=0.0)  # where Newton's steps alone go round and round
def test_equilibrium_finds_the_state_again_whatever_the_guess(
    fill: float, temperature: float, metal: float, air: float, guess: float
) -> None:
    mass, energy = energy_of(min(fill, 0.98), temperature, metal, air)
    found = steam.equilibrium(mass, energy, 0.1, metal, air, guess)
    again = steam.equilibrium(mass, energy, 0.1, metal, air, 1.0e5)
    assert found.steam_pressure_absolute == pytest.approx(again.steam_pressure_absolute, rel=1e-12)
    assert found.temperature == pytest.approx(temperature, abs=1e-8)
    assert found.liquid_volume == pytest.approx(0.1 * min(fill, 0.98), rel=1e-7)
    assert found.liquid_mass + found.vapour_mass == pytest.approx(mass, rel=1e-14)
    assert found.hydraulic_pressure == 0.0
    air_pressure = air * 287.05 * found.temperature / found.vapour_volume
    assert found.air_pressure == pytest.approx(air_pressure, rel=1e-12)


@settings(deadline=None, max_examples=200)
@given(over=st.floats(0.9, 1.2), temperature=st.floats(274.15, 490.0), guess=st.floats(1.0, 1.0e7))
def test_a_nearly_full_vessel_stays_finite_and_pushes_back(
    over: float, temperature: float, guess: float
) -> None:
    _, v_liquid, _, u_liquid, *_ = steam.saturation(steam.saturation_pressure(temperature))
    mass = 0.1 * over / v_liquid
    found = steam.equilibrium(mass, mass * u_liquid, 0.1, 9.8e4, 0.001, guess)
    assert all(map(math.isfinite, found))
    again = steam.equilibrium(mass, mass * u_liquid, 0.1, 9.8e4, 0.001, 1.0e5)
    assert found.steam_pressure_absolute == pytest.approx(again.steam_pressure_absolute, rel=1e-12)
    assert found.vapour_volume >= 0.1 * 0.015 * (1.0 - 1e-12)
    if found.liquid_volume > 0.0986:
        assert found.hydraulic_pressure == pytest.approx(
            3e6 * ((found.liquid_volume / 0.1 - 0.985) / 0.015) ** 2
        )
        assert found.hydraulic_pressure > 0.0


@settings(deadline=None, max_examples=100)
@given(
    fill=st.floats(0.3, 1.05),
    temperature=st.floats(290.0, 480.0),
    air=st.floats(0.0, 0.05),
    mass_rate=st.floats(-0.02, 0.02),
    energy_rate=st.floats(-5e4, 5e4),
)
def test_rates_are_the_derivative_of_equilibrium(
    fill: float, temperature: float, air: float, mass_rate: float, energy_rate: float
) -> None:
    mass, energy = energy_of(fill, temperature, 9.8e4, air)
    if abs(fill - 0.985) < 1e-3:
        return  # the floor under the vapour volume is a kink
    here = steam.equilibrium(mass, energy, 0.1, 9.8e4, air, 1e5)
    step = 1.0e-2
    after, before = (
        steam.equilibrium(mass + d * mass_rate, energy + d * energy_rate, 0.1, 9.8e4, air, 1e5)
        for d in (step, -step)
    )
    pressure = here.steam_pressure_absolute
    rate, vapour_rate = steam.equilibrium_rates(mass, 0.1, 9.8e4, air, pressure, mass_rate, energy_rate)
    slope = (after.steam_pressure_absolute - before.steam_pressure_absolute) / (2.0 * step)
    vapour_slope = (after.vapour_mass - before.vapour_mass) / (2.0 * step)
    assert rate == pytest.approx(slope, rel=2e-4, abs=1e-5 * pressure * abs(energy_rate) / 1e6 + 1e-6)
    assert vapour_rate == pytest.approx(vapour_slope, rel=2e-3, abs=1e-9 + 1e-5 * abs(mass_rate))


@settings(deadline=None)
@given(dryness=st.floats(0.05, 0.999), temperature=st.floats(300.0, 490.0), guess=st.floats(1.0, 1.0e7))
def test_a_vessel_boiled_dry_falls_in_pressure_without_a_jump(
    dryness: float, temperature: float, guess: float
) -> None:
    pressure = steam.saturation_pressure(temperature)
    _, _, v_vapour, _, u_vapour, _, _ = steam.saturation(pressure)
    mass = dryness * 0.1 / v_vapour
    found = steam.equilibrium(mass, mass * u_vapour + 9.8e4 * (temperature - 273.15), 0.1, 9.8e4, 0.0, guess)
    assert found.liquid_mass == 0.0
    assert found.vapour_volume == 0.1
    assert found.temperature == pytest.approx(temperature, abs=1e-6)
    assert found.steam_pressure_absolute == pytest.approx(dryness * pressure, rel=1e-7)


def test_energy_beyond_reason_is_held_at_the_ends() -> None:
    assert steam.equilibrium(70.0, 1e12, 0.1, 0.0, 0.0, 1e5).steam_pressure_absolute == pytest.approx(1e7)
    assert steam.equilibrium(70.0, -1e12, 0.1, 0.0, 0.0, 1e5).steam_pressure_absolute == pytest.approx(50.0)
