"""The boiler as a closed rigid vessel, against figures computed outside the project."""

from __future__ import annotations

import pytest

from halfglass.plant import steam

VOLUME = 0.100
LIQUID = 70.0
METAL = 200.0 * 490.0
FEED_ENTHALPY = 62981.0 + 800.0  # water at 15 degrees C, IF97, brought to 8 bar


def contents(temperature: float, air_mass: float = 0.0) -> tuple[float, float]:
    """Return mass and energy with 70 kg of liquid at this temperature."""
    _, v_liquid, v_vapour, u_liquid, u_vapour, _, _ = steam.saturation(steam.saturation_pressure(temperature))
    vapour = (VOLUME - LIQUID * v_liquid) / v_vapour
    metal = (METAL + 718.0 * air_mass) * (temperature - 273.15)
    return LIQUID + vapour, LIQUID * u_liquid + vapour * u_vapour + metal


def at_8_bar() -> tuple[float, float]:
    return contents(steam.saturation_temperature(800e3))


def test_two_kilograms_of_dry_steam_drawn() -> None:
    # Computed with IAPWS R7-97(2012): closed rigid vessel, exact two-phase equilibrium.
    mass, energy = at_8_bar()
    pressure = 800e3
    steps = 2000
    for _ in range(steps):
        _, _, _, _, _, _, h_vapour = steam.saturation(pressure)
        half_energy = energy - 0.5 * 2.0 / steps * h_vapour
        middle = steam.equilibrium(mass - 1.0 / steps, half_energy, VOLUME, METAL, 0.0, pressure)
        mass -= 2.0 / steps
        energy -= 2.0 / steps * steam.saturation(middle.steam_pressure_absolute)[6]
        pressure = steam.equilibrium(mass, energy, VOLUME, METAL, 0.0, pressure).steam_pressure_absolute
    assert pressure == pytest.approx(619.32e3, rel=1e-3)


def test_two_kilograms_of_cold_feed_added() -> None:
    # Computed with IAPWS R7-97(2012): closed rigid vessel, exact two-phase equilibrium.
    mass, energy = at_8_bar()
    found = steam.equilibrium(mass + 2.0, energy + 2.0 * FEED_ENTHALPY, VOLUME, METAL, 0.0, 800e3)
    assert found.steam_pressure_absolute == pytest.approx(741.46e3, rel=1e-3)


@pytest.mark.parametrize(
    ("mass_rate", "energy_rate", "kilopascals_per_minute"),
    [
        (-0.01, -0.01 * 2768302.0, -58.59),
        (0.01, 0.01 * FEED_ENTHALPY, -18.45),
        (0.0, 10e3, 28.49),
    ],
    ids=["steam drawn", "feed", "heat"],
)
def test_initial_pressure_rates(mass_rate: float, energy_rate: float, kilopascals_per_minute: float) -> None:
    # Computed with IAPWS R7-97(2012): closed rigid vessel, exact two-phase equilibrium.
    mass, _ = at_8_bar()
    rate, _ = steam.equilibrium_rates(mass, VOLUME, METAL, 0.0, 800e3, mass_rate, energy_rate)
    assert rate * 60.0 / 1e3 == pytest.approx(kilopascals_per_minute, rel=1e-3)


@pytest.mark.parametrize(
    ("kelvin", "megajoules", "volume_factor"),
    [(373.15, 33.28, 1.042), (steam.saturation_temperature(800e3), 61.40, 1.112)],
    ids=["to 100 degrees C", "to 8 bar"],
)
def test_cold_start(kelvin: float, megajoules: float, volume_factor: float) -> None:
    # Computed with IAPWS R7-97(2012): the same vessel heated from 15 degrees C, C; 0.1 %, last digit.
    mass, energy = contents(288.15)
    _, v_liquid, v_vapour, u_liquid, u_vapour, _, _ = steam.saturation(steam.saturation_pressure(kelvin))
    vapour = (VOLUME - mass * v_liquid) / (v_vapour - v_liquid)
    needed = (mass - vapour) * u_liquid + vapour * u_vapour + METAL * (kelvin - 273.15) - energy
    assert needed / 1e6 == pytest.approx(megajoules, rel=1e-3)
    cold = steam.equilibrium(mass, energy, VOLUME, METAL, 0.0, 1e5)
    hot = steam.equilibrium(mass, energy + needed, VOLUME, METAL, 0.0, 1e5)
    assert hot.temperature == pytest.approx(kelvin, abs=1e-3)
    assert hot.liquid_volume / cold.liquid_volume == pytest.approx(volume_factor, abs=6e-4)


def test_air_shut_in_cold() -> None:
    # Computed (ideal gas, IAPWS R7-97(2012)): the 29.9 L above 70 kg at 15 degrees C hold air at 101.325 kPa;
    # it adds 213 kPa at 170.4 degrees C, C; last digit.
    space = VOLUME - LIQUID * steam.saturation(steam.saturation_pressure(288.15))[1]
    assert space * 1e3 == pytest.approx(29.9, abs=0.051)
    air = 101325.0 * space / (287.05 * 288.15)
    mass, energy = contents(steam.saturation_temperature(800e3), air)
    hot = steam.equilibrium(mass, energy, VOLUME, METAL, air, 1e5)
    assert hot.temperature - 273.15 == pytest.approx(170.4, abs=0.05)
    assert hot.air_pressure / 1e3 == pytest.approx(213.0, abs=0.51)
