"""Heats of the fuels and the air they need."""

from __future__ import annotations

import pytest

from halfglass.plant import fire
from halfglass.scenario.catalogue.fuels import FUELS, MOISTURE_HEAT


def test_net_heat_of_wood() -> None:
    # NCV0 (1 - w) - 2.44 w MJ/kg, NCV0 18.5-19.0, w on the wet basis, S.
    wood = FUELS["air-dry wood"]
    dry = (wood.net_heat + MOISTURE_HEAT * wood.moisture) / (1.0 - wood.moisture)
    assert 18.5e6 <= dry <= 19.0e6


def test_charcoal() -> None:
    # Charcoal 29-30 MJ/kg, S.
    assert 29e6 <= FUELS["charcoal"].net_heat <= 30e6


@pytest.mark.parametrize(
    ("fuel", "gross"),
    [("anthracite", 29.18e6), ("steam coal", 28.99e6)],
)
def test_net_heat_is_below_gross(fuel: str, gross: float) -> None:
    # 40 CFR 98 table C-1, gross heat of anthracite and bituminous coal, S.
    assert FUELS[fuel].net_heat <= gross


@pytest.mark.parametrize(("fuel", "air"), [("anthracite", 11.7), ("steam coal", 11.6), ("air-dry wood", 6.0)])
def test_air_needed(fuel: str, air: float) -> None:
    # Babcock & Wilcox 1919, table 32, lb of air per lb of dry fuel, S; no tolerance printed, a tenth.
    row = FUELS[fuel]
    volatile_heat = row.net_heat - row.fixed_carbon * fire.CHAR_HEAT + MOISTURE_HEAT * row.moisture
    found = row.fixed_carbon * fire.AIR_PER_CHAR + volatile_heat * fire.VOLATILE_AIR_PER_JOULE
    assert found / (1.0 - row.moisture) == pytest.approx(air, rel=0.1)
