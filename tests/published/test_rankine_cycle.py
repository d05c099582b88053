"""The ideal engine between two pressures, from the shipped steam table."""

from __future__ import annotations

import pytest

from halfglass.plant import steam

PSI = 6894.757293168
HORSEPOWER = 745.69987
POUND = 0.45359237


def steam_for_a_horsepower_hour(supply_absolute: float, exhaust_absolute: float) -> float:
    """Steam of the Rankine engine without superheat [lb/hp-h], from our own saturation table.

    The table holds no entropy: along the saturation line ds_liquid = (dh - v dp)/T, and evaporation adds
    latent heat over temperature.
    """
    steps = 4000
    ratio = (supply_absolute / exhaust_absolute) ** (1.0 / steps)
    rise, pressure = 0.0, exhaust_absolute
    last = steam.saturation(pressure)
    for _ in range(steps):
        following = pressure * ratio
        now = steam.saturation(following)
        warmed = now[5] - last[5] - 0.5 * (now[1] + last[1]) * (following - pressure)
        rise += warmed / (0.5 * (now[0] + last[0]))
        pressure, last = following, now
    hot, *_, h_liquid_hot, h_vapour_hot = steam.saturation(supply_absolute)
    cold, *_, h_liquid, h_vapour = steam.saturation(exhaust_absolute)
    latent = h_vapour - h_liquid
    dryness = (rise + (h_vapour_hot - h_liquid_hot) / hot) * cold / latent
    return HORSEPOWER * 3600.0 / (h_vapour_hot - h_liquid - dryness * latent) / POUND


@pytest.mark.parametrize(
    ("supply", "exhaust", "pounds"), [(89.7, 14.7, 19.23), (89.7, 5.0, 12.79), (114.7, 14.7, 16.94)]
)
def test_rankine_reference(supply: float, exhaust: float, pounds: float) -> None:
    # Computed with IAPWS R7-97(2012): Rankine cycle, lb/hp-h, C; 0.2 %.
    assert steam_for_a_horsepower_hour(supply * PSI, exhaust * PSI) == pytest.approx(pounds, rel=2e-3)
