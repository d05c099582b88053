"""Field types: what they accept, how they tell their limits, and what editors are told of them."""

from __future__ import annotations

import json
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import Field, ValidationError

from halfglass.scenario import fields
from halfglass.scenario.fields import Duration, Fraction, QuantityText, Table, Volume, quantity
from halfglass.vocabulary import units


class Stop(Table):
    for_: Duration = Field(alias="for")
    look_every: Duration = 180.0
    damper: Fraction = 0.125
    tank: Volume | None = None


def test_a_table_reads_its_fields_into_si() -> None:
    stop = Stop.model_validate({"for": "1 h 30 min", "tank": "25 L"})
    assert (stop.for_, stop.look_every, stop.damper, stop.tank) == (5400.0, 180.0, 0.125, 0.025)
    assert hash(stop) == hash(Stop.model_validate({"for": "90 min", "tank": "0.025 m3"}))
    with pytest.raises(ValidationError):
        Stop.model_validate({"for": 5400.0})


FIELD_TYPES = {
    name: next(part for part in value.__metadata__ if isinstance(part, QuantityText))
    for name, value in vars(fields).items()
    if any(isinstance(part, QuantityText) for part in getattr(value, "__metadata__", ()))
}


@pytest.mark.parametrize("name", FIELD_TYPES)
def test_each_field_type_takes_its_example_and_tells_it_to_editors(name: str) -> None:
    field = FIELD_TYPES[name]
    assert field.read(field.example) == units.parse(field.example, field.kind)

    class One(Table):
        value: getattr(fields, name)  # type: ignore[valid-type]

    schema = One.model_json_schema()["properties"]["value"]
    assert schema["type"] == "string" and schema["examples"] == [field.example]
    assert re.search(schema["pattern"], field.example) and not re.search(schema["pattern"], "12 parrots")
    assert f'as text with its unit, such as "{field.example}"' in schema["description"]


def test_schema_defaults_are_written_as_they_are_typed() -> None:
    schema = Stop.model_json_schema(by_alias=True)
    json.dumps(schema)
    defaults = {key: entry.get("default") for key, entry in schema["properties"].items()}
    assert defaults == {"for": None, "look_every": "3 min", "damper": "12.5 %", "tank": None}
    assert schema["required"] == ["for"]
    assert schema["additionalProperties"] is False


@given(st.floats(0.01, 1e4), st.sampled_from(["bar", "psi", "kPa", "psig"]), st.booleans())
def test_a_limit_told_in_any_unit_is_accepted_when_typed_back(
    limit: float, unit: str, is_highest: bool
) -> None:
    field = QuantityText("gauge_pressure", "1 psi", **{"highest" if is_highest else "lowest": limit * 1e3})
    told = field.range_text(unit).removeprefix("at most ").removeprefix("at least ")
    assert field.read(told) == pytest.approx(limit * 1e3, rel=2e-3)


def test_limits_with_open_ends_are_told_and_kept() -> None:
    field = quantity("length", above="2 ft", below="10 ft", example="5 ft")
    assert field.range_text("ft") == "more than 2 ft and less than 10 ft"
    for text, is_allowed in [("2 ft", False), ("2.01 ft", True), ("9.99 ft", True), ("10 ft", False)]:
        if is_allowed:
            field.read(text)
        else:
            with pytest.raises(ValueError, match="out of range"):
                field.read(text)


def test_an_example_outside_its_range_is_a_mistake_of_ours() -> None:
    with pytest.raises(ValueError, match="outside its own range"):
        quantity("volume", highest="1 L", example="2 L")
