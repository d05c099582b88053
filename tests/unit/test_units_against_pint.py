"""Conversion factors and temperatures against the pint library, which has its own unit tables."""

from __future__ import annotations

import pint
import pytest

from halfglass.vocabulary.unit_table import KINDS
from halfglass.vocabulary.units import UnitError, parse

EVERY_UNIT = [(kind.name, unit) for kind in KINDS.values() for unit in kind.units]

PINT_NAME = {
    "L": "liter",
    "mL": "milliliter",
    "imp gal": "imperial_gallon",
    "US gal": "gallon",
    "imp pint": "imperial_pint",
    "in3": "inch**3",
    "ft3": "foot**3",
    "m3": "m**3",
    "cm3": "cm**3",
    "m2": "m**2",
    "cm2": "cm**2",
    "mm2": "mm**2",
    "ft2": "foot**2",
    "in2": "inch**2",
    "mile": "mile",
    "nmi": "nautical_mile",
    "yd": "yard",
    "in": "inch",
    "ft": "foot",
    "h": "hour",
    "min": "minute",
    "kn": "knot",
    "mph": "mile/hour",
    "km/h": "km/hour",
    "ft/s": "foot/s",
    "m/min": "m/minute",
    "lb": "pound",
    "cwt": "112*pound",
    "long ton": "long_ton",
    "t": "tonne",
    "kg/h": "kg/hour",
    "kg/min": "kg/minute",
    "lb/h": "pound/hour",
    "lb/min": "pound/minute",
    "psi gauge": "psi",
    "psia": "psi",
    "bar gauge": "bar",
    "bar abs": "bar",
    "kPa gauge": "kPa",
    "kPa abs": "kPa",
    "MPa gauge": "MPa",
    "MPa abs": "MPa",
    "Pa gauge": "Pa",
    "Pa abs": "Pa",
    "inHg gauge": "inHg",
    "inHg abs": "inHg",
    "mmHg abs": "mmHg",
    "kg/cm2 gauge": "kgf/cm**2",
    "inHg vacuum": "-1*inHg",
    "mm water": "1000*kg/m**3*standard_gravity*mm",
    "in water": "1000*kg/m**3*standard_gravity*inch",
    "m water": "1000*kg/m**3*standard_gravity*m",
    "ft water": "1000*kg/m**3*standard_gravity*foot",
    "hp": "horsepower",
    "Btu/h": "Btu_it/hour",
    "Btu": "Btu_it",
    "Btu/lb": "Btu_it/pound",
    "kWh/kg": "kWh/kg",
    "L/min": "liter/minute",
    "L/h": "liter/hour",
    "L/s": "liter/s",
    "mL/h": "milliliter/hour",
    "m3/h": "m**3/hour",
    "m3/s": "m**3/s",
    "imp gal/h": "imperial_gallon/hour",
    "imp gal/min": "imperial_gallon/minute",
    "US gal/h": "gallon/hour",
    "US gal/min": "gallon/minute",
    "lbf": "pound_force",
    "kgf": "kgf",
    "N m": "newton*m",
    "lbf ft": "pound_force*foot",
    "lbf in": "pound_force*inch",
    "kg/m3": "kg/m**3",
    "kg/L": "kg/liter",
    "g/cm3": "g/cm**3",
    "lb/ft3": "pound/foot**3",
    "lb/imp gal": "pound/imperial_gallon",
    "W/m2 K": "W/m**2/K",
    "kW/m2 K": "kW/m**2/K",
    "Btu/h ft2 °F": "Btu_it/hour/foot**2/delta_degF",
    "W/m2": "W/m**2",
    "kW/m2": "kW/m**2",
    "Btu/h ft2": "Btu_it/hour/foot**2",
    "W/m K": "W/m/K",
    "W/K": "W/K",
    "kW/K": "kW/K",
    "Btu/h °F": "Btu_it/hour/delta_degF",
    "J/kg K": "J/kg/K",
    "kJ/kg K": "kJ/kg/K",
    "Btu/lb °F": "Btu_it/pound/delta_degF",
    "kg/m2 h": "kg/m**2/hour",
    "kg/m2 s": "kg/m**2/s",
    "lb/ft2 h": "pound/foot**2/hour",
    "kg m2": "kg*m**2",
    "lb ft2": "pound*foot**2",
    "deg": "degree",
    "%": "percent",
}


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry:
    return pint.UnitRegistry()


UNKNOWN_TO_PINT = {"rotation", "stroke_rate", "dissolved_solids", "ratio", "count"}


@pytest.mark.parametrize(
    ("kind", "symbol", "factor"),
    [
        (kind, unit.symbol, unit.factor)
        for kind, unit in EVERY_UNIT
        if kind not in UNKNOWN_TO_PINT and "temperature" not in kind
    ],
)
def test_factors_against_pint(kind: str, symbol: str, factor: float, registry: pint.UnitRegistry) -> None:
    si_name = KINDS[kind].si_unit
    one = registry.parse_expression(PINT_NAME.get(symbol, symbol))
    si = registry.parse_expression(PINT_NAME.get(si_name, si_name)) if si_name != "1" else 1
    ratio = (one / si).to_base_units()
    assert ratio.dimensionless
    assert factor == pytest.approx(float(ratio.magnitude), rel=1e-6)


@pytest.mark.parametrize(("symbol", "name"), [("°C", "degC"), ("°F", "degF"), ("K", "kelvin")])
@pytest.mark.parametrize("number", [-40.0, 15.0, 170.4, 459.67])
def test_temperatures_against_pint(
    symbol: str, name: str, number: float, registry: pint.UnitRegistry
) -> None:
    if symbol == "K" and number < 0:
        with pytest.raises(UnitError, match="absolute zero"):
            parse(f"{number} K", "temperature")
        return
    expected = registry.Quantity(number, name).to("kelvin").magnitude
    assert parse(f"{number} {symbol}", "temperature") == pytest.approx(expected, abs=1e-9)
    step = registry.Quantity(number, f"delta_{name}" if symbol != "K" else name).to("kelvin").magnitude
    assert parse(f"{number} {symbol}", "temperature_difference") == pytest.approx(step, abs=1e-9)
