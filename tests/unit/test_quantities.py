"""The registry of readings: complete, consistent, and with headers that say gauge."""

from __future__ import annotations

import dataclasses

import pytest

from halfglass.vocabulary import quantities, units
from halfglass.vocabulary.quantities import QUANTITIES, Quantity
from halfglass.vocabulary.sources import SOURCES, cite
from halfglass.vocabulary.unit_table import KINDS, SYSTEMS


@pytest.mark.parametrize("quantity", QUANTITIES.values(), ids=lambda q: q.name)
def test_each_reading_is_well_formed(quantity: Quantity) -> None:
    assert quantity.name.isidentifier() and quantity.name == quantity.name.lower()
    assert quantity.si_unit == KINDS[quantity.kind].si_unit
    assert quantity.lowest < quantity.highest
    assert len(quantity.meaning) > 8 and not quantity.meaning.endswith(".")
    for system in SYSTEMS:
        unit = quantities.shown_in(quantity.name, system)
        assert units.convert(units.to_si(2.0, quantity.kind, unit), quantity.kind, unit) == pytest.approx(2.0)
        assert quantities.header(quantity.name, system).startswith(f"{quantity.name} [")


def test_flows_fractions_and_pressures_are_named_by_the_rule() -> None:
    for quantity in QUANTITIES.values():
        if "_flow" in quantity.name:
            assert quantity.kind == "mass_flow"
        if quantity.name.endswith("_fraction"):
            assert quantity.kind == "fraction"
        if "pressure" in quantity.name:
            assert quantity.kind == (
                "absolute_pressure" if quantity.name.endswith("_absolute") else "gauge_pressure"
            )


@pytest.mark.parametrize(
    ("name", "system", "header"),
    [
        ("boiler_pressure", "metric", "boiler_pressure [bar gauge]"),
        ("boiler_pressure", "trade", "boiler_pressure [psi gauge]"),
        ("boat_speed", "metric", "boat_speed [kn]"),
        ("distance", "trade", "distance [mile]"),
        ("water_level", "metric", "water_level [mm]"),
        ("throttle", "metric", "throttle [%]"),
        ("reversing_margin", "metric", "reversing_margin [ratio]"),
        ("boiler_solids", "metric", "boiler_solids [ppm]"),
    ],
)
def test_headers(name: str, system: str, header: str) -> None:
    assert quantities.header(name, system) == header


def test_values_by_reading_name() -> None:
    assert quantities.convert(4.0, "shaft_speed") == pytest.approx(240.0)
    assert quantities.show(517106.8, "boiler_pressure", "trade") == "75.0 psi gauge"


def test_unknown_names_point_to_the_nearest() -> None:
    with pytest.raises(KeyError, match="boiler_pressure"):
        quantities.lookup("boiler_presure")
    with pytest.raises(KeyError, match="IF97"):
        cite("IF-97")


def test_the_registries_cannot_be_changed() -> None:
    with pytest.raises(TypeError):
        QUANTITIES["x"] = QUANTITIES["time"]  # type: ignore[index]
    with pytest.raises(dataclasses.FrozenInstanceError):
        QUANTITIES["time"].kind = "mass"  # type: ignore[misc]


def test_sources_are_keyed_by_themselves() -> None:
    assert all(key == source.key and source.citation for key, source in SOURCES.items())
    assert len({source.citation for source in SOURCES.values()}) == len(SOURCES)
