"""Heats of the fuels and the air they need."""

from __future__ import annotations

import pytest

from halfglass.plant import fire
from halfglass.scenario.boat import Burner
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


@pytest.mark.parametrize(
    ("fuel", "lowest", "highest"), [("anthracite", 26.7e6, 28.4e6), ("charcoal", 29.0e6, 30.0e6)]
)
def test_net_heat(fuel: str, lowest: float, highest: float) -> None:
    # IPCC 2006 V2 table 1.2, values from memory: anthracite 26.7 MJ/kg, charcoal 29.5; the upper figure of
    # anthracite is its gross 29.18 (40 CFR 98, S) less the heat of its water.
    assert lowest <= FUELS[fuel].net_heat <= highest


def test_gross_heat() -> None:
    # 40 CFR 98 table C-1, S: anthracite 29.18 MJ/kg. Dry wood 19.3-21.3: Babcock & Wilcox 1919, table 41, S.
    wood = FUELS["air-dry wood"]
    assert FUELS["anthracite"].gross_heat == pytest.approx(29.18e6, rel=0.01)
    assert 19.3e6 <= wood.gross_heat / (1.0 - wood.moisture) <= 21.3e6


@pytest.mark.parametrize(
    ("fuel", "lowest", "highest"), [("anthracite", 28.6e6, 31.3e6), ("steam coal", 28.0e6, 34.0e6)]
)
def test_gross_heat_of_dry_coal(fuel: str, lowest: float, highest: float) -> None:
    # Babcock & Wilcox 1919, table 59, S: least and greatest of the analyses of its kind.
    row = FUELS[fuel]
    assert lowest <= row.gross_heat / (1.0 - row.moisture) <= highest


@pytest.mark.parametrize("moisture", [0.1, 0.35, 0.5])
def test_wet_wood(moisture: float) -> None:
    # NCV0 (1 - w) - 2.44 w MJ/kg, NCV0 18.5-19.0, S, at any moisture.
    wet = FUELS["air-dry wood"].at_moisture(moisture)
    lowest, highest = (dry * (1.0 - moisture) - 2.44e6 * moisture for dry in (18.5e6, 19.0e6))
    assert lowest <= wet.net_heat <= highest


def test_paraffin() -> None:
    # Gross 37.63 MJ/L (40 CFR 98, S), 790-800 kg/m³ (S), hydrogen 14 % (value from memory); net 43.8 MJ/kg
    # (IPCC 2006, value from memory): the boat's default, within 1 %.
    fields = Burner.model_fields
    density, net = fields["density"].default, fields["net_heat"].default
    assert 790.0 <= density <= 800.0
    assert net == pytest.approx(37.63e9 / density - 2.44e6 * 9.0 * 0.14, rel=0.01)
    assert net == pytest.approx(43.8e6, rel=1e-3)


def test_air_of_paraffin() -> None:
    # Babcock & Wilcox 1919, table 32, S: oil 14.3 lb/lb. No burner of a boat can be set to less.
    (least,) = (mark.ge for mark in Burner.model_fields["air_ratio"].metadata if hasattr(mark, "ge"))
    assert least >= 14.3


def test_heat_capacity_of_flue_gas() -> None:
    """The straight line against the parts of the gas: coal of 80 % carbon and 4 % hydrogen, half as much air
    again as it needs (as worked out here); ideal-gas heats from CoolProp. 2 %."""
    properties = pytest.importorskip("CoolProp.CoolProp")
    air = 1.5 * (11.52 * 0.80 + 34.56 * 0.04)
    parts = {
        "CO2": 0.80 * 44.0 / 12.0,
        "H2O": 0.04 * 9.0,
        "O2": 0.232 * air / 3.0,
        "N2": 0.768 * air,
    }
    for temperature in (400.0, 600.0, 800.0, 1000.0, 1200.0, 1500.0):
        heat = sum(
            mass * properties.PropsSI("CP0MASS", "T", temperature, "P", 101325.0, part)
            for part, mass in parts.items()
        ) / sum(parts.values())
        slope = (fire.gas_heat(temperature + 1.0) - fire.gas_heat(temperature - 1.0)) / 2.0
        assert slope == pytest.approx(heat, rel=0.02)
