"""Field types for scenario tables, and the tables themselves.

A dimensional field is text with a unit (``"25 L"``) on the page and a float in SI in the program:

    class Tank(Table):
        volume: Volume
        filled: Annotated[float, quantity("fraction", lowest="0 %", highest="100 %")] = 1.0

Limits may be given as text with a unit or as SI numbers; a refusal tells them in the unit the user
wrote.  Numbers, text and yes-or-no are taken strictly: ``"2"`` is not 2 and ``true`` is not 1.  Lists
become tuples, so list fields are written ``tuple[X, ...]``.

A rule between entries is written in a model validator that raises `complaint`, which names the keys
it is about.  `faults.faults_from_validation` turns whatever pydantic found into located faults.
"""

from __future__ import annotations

import datetime
import re
from dataclasses import dataclass
from typing import Annotated, Any, Literal, get_args, get_origin

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    GetJsonSchemaHandler,
    ValidationError,
    ValidatorFunctionWrapHandler,
    model_validator,
)
from pydantic.fields import FieldInfo
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import InitErrorDetails, PydanticCustomError, core_schema

from halfglass.scenario.faults import faults_from_validation as faults_from_validation
from halfglass.vocabulary import units
from halfglass.vocabulary.errors import quoted
from halfglass.vocabulary.unit_choice import canonical
from halfglass.vocabulary.unit_table import KINDS

Bound = float | str | None


@dataclass(frozen=True)
class QuantityText:
    """How one dimensional field is read: its kind, limits [SI] and example; made by `quantity`."""

    kind: str
    example: str
    lowest: float | None = None
    above: float | None = None
    highest: float | None = None
    below: float | None = None

    def read(self, text: object) -> float:
        """The SI value of what was written, or a pydantic error that says why not."""
        try:
            given = units.read(text, self.kind, self.example)
        except units.UnitError as error:
            raise PydanticCustomError("quantity", "{message}", {"message": error.message}) from None
        if not self.allows(given.value):
            message = f"{quoted(str(text))} is out of range; this must be {self.range_text(given.unit)}"
            raise PydanticCustomError("quantity", "{message}", {"message": message})
        return given.value

    def range_text(self, unit: str | None = None) -> str:
        """The allowed range in words, in a unit of the kind: ``from 0 psi to 300 psi``."""
        low = self._bound(self.lowest, unit) if self.lowest is not None else ""
        high = self._bound(self.highest, unit) if self.highest is not None else ""
        if low and high:
            return f"from {low} to {high}"
        parts = [
            f"at least {low}" if low else "",
            f"more than {self._bound(self.above, unit)}" if self.above is not None else "",
            f"at most {high}" if high else "",
            f"less than {self._bound(self.below, unit)}" if self.below is not None else "",
        ]
        return " and ".join(part for part in parts if part)

    def allows(self, value: float) -> bool:
        """Whether an SI value is within the limits."""
        return not ((self.lowest is not None and value < self.lowest)
                    or (self.above is not None and value <= self.above)
                    or (self.highest is not None and value > self.highest)
                    or (self.below is not None and value >= self.below))

    def _bound(self, bound: float, unit: str | None) -> str:
        """A limit in a unit, to four figures, rounded so that it is accepted when typed back."""
        unit = unit or units.display_unit(self.kind)
        nearest = units.significant(units.convert(bound, self.kind, unit), 4)
        decimals = len(nearest.partition(".")[2])
        is_open = bound in (self.above, self.below)
        for nudge in (0.0, 10.0**-decimals, -(10.0**-decimals)):
            number = _trimmed(f"{float(nearest) + nudge:.{decimals}f}")
            if is_open or self.allows(units.to_si(float(number), self.kind, unit)):
                return f"{number} {unit}".strip()
        return f"{nearest} {unit}".strip()

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, schema: core_schema.CoreSchema, handler: Any) -> JsonSchemaValue:
        kind = KINDS[self.kind]
        limits = self.range_text()
        return {
            "type": "string",
            "pattern": units.pattern(self.kind),
            "examples": [self.example],
            "description": f"{kind.noun} as text with its unit, such as \"{self.example}\""
                           + (f"; {limits}" if limits else ""),
        }


def quantity(kind: str, lowest: Bound = None, above: Bound = None, highest: Bound = None,
             below: Bound = None, example: str | None = None) -> QuantityText:
    """The annotation of a dimensional field: ``Annotated[float, quantity("volume", above="0 L")]``.

    kind: a name in `unit_table.KINDS`.  lowest, highest: limits that are themselves allowed; above,
    below: limits that are not; each as text with a unit or as an SI number.  example: shown in
    refusals and to editors; it must itself be acceptable.
    """
    limits = (units.parse(bound, kind) if isinstance(bound, str) else bound
              for bound in (lowest, above, highest, below))
    made = QuantityText(kind, example or KINDS[kind].example, *limits)
    if not made.allows(units.parse(made.example, kind)):
        raise ValueError(f"the example {made.example!r} is outside its own range, {made.range_text()}")
    return made


Length = Annotated[float, quantity("length", above=0.0)]
# Limits from here on are far beyond any small steam launch (judgement): past them the equations mean nothing.
Size = Annotated[float, quantity("length", above=0.0, highest="30 m", example="650 mm")]
Area = Annotated[float, quantity("area", above=0.0, highest="100 m2")]
SteamArea = Annotated[float, quantity("area", above=0.0, highest="50 cm2", example="12 mm2")]
SmallArea = Annotated[float, quantity("area", lowest=0.0, highest="5 cm2", example="12 mm2")]
Volume = Annotated[float, quantity("volume", above=0.0, highest="50 m3")]
Mass = Annotated[float, quantity("mass", above=0.0, highest="50000 kg")]
PartMass = Annotated[float, quantity("mass", lowest="1 kg", highest="5000 kg", example="25 kg")]
Lag = Annotated[float, quantity("time", lowest="1 s", highest="1 h", example="2 min")]
Duration = Annotated[float, quantity("time", lowest=0.0)]
Hold = Annotated[float, quantity("time", above=0.0)]
Speed = Annotated[float, quantity("speed")]
Wind = Annotated[float, quantity("speed", lowest="-60 m/s", highest="60 m/s")]
Stream = Annotated[float, quantity("speed", lowest="-10 m/s", highest="10 m/s")]
GaugePressure = Annotated[float, quantity("gauge_pressure", lowest="0 psi", highest="300 psi")]
AbsolutePressure = Annotated[float, quantity("absolute_pressure", above=0.0)]
BarometerPressure = Annotated[float, quantity("barometer_pressure", lowest="500 hPa", highest="1100 hPa")]
PressureDifference = Annotated[float, quantity("pressure_difference", lowest="-300 psi", highest="300 psi")]
Temperature = Annotated[float, quantity("temperature")]
TemperatureDifference = Annotated[float, quantity("temperature_difference")]
Fraction = Annotated[float, quantity("fraction", lowest="0 %", highest="100 %")]
SignedFraction = Annotated[float, quantity("fraction", lowest="-100 %", highest="100 %")]
MassFlow = Annotated[float, quantity("mass_flow", lowest=0.0)]
VolumeFlow = Annotated[float, quantity("volume_flow", lowest=0.0, highest="6000 L/h")]
Power = Annotated[float, quantity("power", lowest=0.0)]
Energy = Annotated[float, quantity("energy", lowest=0.0)]
HeatPerMass = Annotated[float, quantity("heat_per_mass", above=0.0, highest="150 MJ/kg")]
Rotation = Annotated[float, quantity("rotation")]
StrokeRate = Annotated[float, quantity("stroke_rate", lowest=0.0, highest="120 strokes/min")]
Force = Annotated[float, quantity("force", lowest=0.0)]
Torque = Annotated[float, quantity("torque", lowest=0.0)]
Density = Annotated[float, quantity("density", lowest="300 kg/m3", highest="2000 kg/m3")]
HeatTransferCoefficient = Annotated[
    float, quantity("heat_transfer_coefficient", lowest=0.0, highest="1000 W/m2 K")
]
Conductance = Annotated[float, quantity("conductance", lowest=0.0, highest="10000 W/K")]
SpecificHeat = Annotated[float, quantity("specific_heat", above=0.0)]
GrateLoading = Annotated[float, quantity("grate_loading", above=0.0)]
DissolvedSolids = Annotated[float, quantity("dissolved_solids", lowest=0.0, highest="50000 ppm")]
Inertia = Annotated[float, quantity("inertia", lowest=0.0)]
Angle = Annotated[float, quantity("angle")]

@dataclass(frozen=True)
class UnitChoiceText:
    """A field that says which units the answers are in (see `unit_choice`)."""

    def read(self, text: object) -> str:
        """The choice written plainly, or a pydantic error that says why not."""
        try:
            if not isinstance(text, str):
                raise ValueError("this wants text in quotes, such as 'trade' or 'metric, speed=km/h'")
            return canonical(text)
        except ValueError as error:
            raise PydanticCustomError("quantity", "{message}", {"message": str(error)}) from None

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, schema: core_schema.CoreSchema, handler: Any) -> JsonSchemaValue:
        return {"type": "string", "examples": ["metric", "trade", "trade, pressure=bar, speed=kn"]}


UnitChoice = Annotated[str, UnitChoiceText()]
Text = Annotated[str, Field(min_length=1, max_length=2000)]
_NOT_IN_A_NAME = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")


def _one_line(name: str) -> str:
    """A name as it is, or an error: it stands in lines of the log and the terminal."""
    found = _NOT_IN_A_NAME.search(name)
    if found is None:
        return name
    message = f"this has a line break or another character that cannot be seen (U+{ord(found.group()):04X})"
    raise PydanticCustomError("quantity", "{message}", {"message": message + "; a name stands on one line"})


Name = Annotated[str, Field(min_length=1, max_length=80), AfterValidator(_one_line)]


def complaint(message: str, *keys: str | int | tuple[str | int, ...]) -> PydanticCustomError:
    """An error for a model validator to raise about entries of its own table.

    keys: the entry it is about, then the one it conflicts with, if any; a path inside the table is
    given as a tuple.  Without keys the fault is placed at the table.

    ``raise complaint("this is more than the tank holds", "fuel", ("tank", "volume"))``
    """
    paths = tuple(key if isinstance(key, tuple) else (key,) for key in keys)
    return PydanticCustomError("complaint", "{message}", {"message": message, "keys": paths})


_WRITTEN = {
    str: "text in quotes",
    int: "a whole number",
    float: "a number",
    bool: "true or false",
    datetime.time: "a time of day such as 08:15:00, without quotes",
    datetime.date: "a date such as 2001-06-30, without quotes",
}


class Table(BaseModel):
    """The base of every scenario table: frozen, strict, and closed to keys it does not know."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True, allow_inf_nan=False)

    @model_validator(mode="wrap")
    @classmethod
    def _explain(cls, data: Any, handler: ValidatorFunctionWrapHandler) -> Any:
        """Take lists as tuples; add to each refusal what only this table knows: its keys and choices."""
        if isinstance(data, dict):
            data = {key: _as_tuple(value) for key, value in data.items()}
        try:
            return handler(data)
        except ValidationError as error:
            lines = [_explained(cls, dict(line)) for line in error.errors(include_url=False)]
            raise ValidationError.from_exception_data(error.title, lines) from None

    @classmethod
    def __get_pydantic_json_schema__(cls, schema: core_schema.CoreSchema,
                                     handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        """The JSON Schema of the table, with defaults of dimensional fields as text, as they are typed."""
        made = handler(schema)
        properties = handler.resolve_ref_schema(made).get("properties", {})
        for name, info in cls.model_fields.items():
            shown = properties.get(_key_of(name, info), {})
            text = next((part for part in _parts(info) if isinstance(part, QuantityText)), None)
            if text is not None and isinstance(shown.get("default"), float):
                number, _, unit = units.show(shown["default"], text.kind, digits=6).partition(" ")
                shown["default"] = f"{_trimmed(number)} {unit}".strip()
        return made


def _explained(table: type[Table], line: dict[str, Any]) -> InitErrorDetails:
    """One pydantic error, with the allowed keys, the example or the choices put in its context."""
    kind, loc = line["type"], line["loc"]
    known = {"message": line["msg"], **line.get("ctx", {})}
    if kind == "extra_forbidden" and len(loc) == 1:
        known["allowed"] = tuple(_key_of(name, info) for name, info in table.model_fields.items())
    elif kind == "missing" and len(loc) == 1:
        known["wants"] = _wants(table, str(loc[0]))
    elif kind in ("union_tag_not_found", "union_tag_invalid") and "choices" not in known:
        key = str(known.get("discriminator", "")).strip("'")
        fields = [info for name, info in table.model_fields.items() if _key_of(name, info) == loc[0]]
        known["choices"] = tuple(choice for info in fields for choice in _choices(info.annotation, key))
    return InitErrorDetails(type=PydanticCustomError(kind, "{message}", known), loc=loc, input=line["input"])


def _key_of(name: str, info: FieldInfo) -> str:
    return info.alias or name


def _wants(table: type[Table], key: str) -> str:
    """What a missing key should hold, in words; empty when there is nothing better than its name.

    A dimensional field is told by its kind and example, a choice by its choices, all else by its
    shape and description.
    """
    for name, info in table.model_fields.items():
        if _key_of(name, info) != key:
            continue
        for part in _parts(info):
            if isinstance(part, QuantityText):
                return f"{KINDS[part.kind].noun} such as {quoted(part.example)}"
        if get_origin(info.annotation) is Literal:
            return "one of " + ", ".join(quoted(str(value)) for value in get_args(info.annotation))
        return ": ".join(filter(None, (_shape(info.annotation), info.description)))
    return ""


def _shape(annotation: Any) -> str:
    """How a field is written: with which heading, or as what plain value; empty if it may be several."""
    if get_origin(annotation) is tuple and _holds_tables(get_args(annotation)[0]):
        return "one or more tables [[…]]"
    if _holds_tables(annotation):
        return "a table […]"
    return _WRITTEN.get(annotation, "")


def _holds_tables(annotation: Any) -> bool:
    """Whether a field's type is a table, or a choice of several."""
    if isinstance(annotation, type):
        return issubclass(annotation, Table)
    parts = [part for part in get_args(annotation) if not isinstance(part, FieldInfo)]
    return bool(parts) and all(_holds_tables(part) for part in parts)


def _parts(info: FieldInfo) -> list[Any]:
    """What a field's type says of it: its annotations, also inside ``X | None``."""
    inner = [part for arg in get_args(info.annotation) for part in getattr(arg, "__metadata__", ())]
    return [*info.metadata, *inner]


def _choices(annotation: Any, key: str) -> tuple[str, ...]:
    """Every value the discriminating key may have among the tables a field's type is made of."""
    if isinstance(annotation, type) and issubclass(annotation, Table):
        info = annotation.model_fields.get(key)
        return tuple(str(value) for value in get_args(info.annotation)) if info is not None else ()
    return tuple(choice for part in get_args(annotation) for choice in _choices(part, key))


def _as_tuple(value: Any) -> Any:
    return tuple(_as_tuple(item) for item in value) if isinstance(value, list) else value


def _trimmed(number: str) -> str:
    return number.rstrip("0").rstrip(".") if "." in number else number
