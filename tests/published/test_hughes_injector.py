"""The injector against Hughes, The Steam Injector, 1912, and Modern Mechanism."""

from __future__ import annotations

import pytest

from halfglass.plant import feed, steam

PSI = 6894.757


def kelvin(fahrenheit: float) -> float:
    return (fahrenheit - 32.0) / 1.8 + 273.15


@pytest.mark.parametrize(("psia", "ratio"), [(65.0, 20.0), (90.0, 17.0)])
def test_water_for_each_pound_of_steam(psia: float, ratio: float) -> None:
    # Hughes, chapter VIII, S; no tolerance printed, a twentieth.
    assert feed.injector_water_ratio(psia * PSI) == pytest.approx(ratio, abs=0.05)


@pytest.mark.parametrize(
    ("psig", "lowest", "highest"),
    [(50.0, 130.0, 133.0), (85.0, 130.0, 133.0), (105.0, 122.0, 122.0), (150.0, 100.0, 104.0)],
)
def test_hottest_feed_water(psig: float, lowest: float, highest: float) -> None:
    # Modern Mechanism, highest feed temperature, degrees F, S; half a degree for the units.
    found = (feed.injector_hottest_water(psig * PSI) - 273.15) * 1.8 + 32.0
    assert lowest - 0.5 <= found <= highest + 0.5


def test_worked_balance() -> None:
    # Hughes: 324 degrees F steam, 13 : 1, 97 to 175 degrees F, S; its losses can only take heat away.
    steam_enthalpy = steam.saturation(steam.saturation_pressure(kelvin(324.0)))[6]
    water = steam.saturation(steam.saturation_pressure(kelvin(97.0)))[5]
    mixed = (steam_enthalpy + 13.0 * water) / 14.0
    delivered = steam.saturation(steam.saturation_pressure(kelvin(175.0)))[5]
    assert 0.0 < (mixed - delivered) * 14.0 < 0.04 * steam_enthalpy
