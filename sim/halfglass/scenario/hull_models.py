"""Screw and hull as they are written in a boat file: every key, with what it is and what it changes."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from halfglass.scenario.fields import Fraction, Size, Table, quantity

ScrewShare = Annotated[float, quantity("fraction", above="0 %", highest="100 %")]
PartOfOne = Annotated[float, Field(ge=0.0, lt=0.6)]
ResistanceFactor = Annotated[float, Field(gt=0.0, le=20.0)]
WindageArea = Annotated[float, quantity("area", lowest=0.0, highest="100 m2")]
WaterlineLength = Annotated[float, quantity("length", lowest="1 m", highest="30 m", example="6.4 m")]
Displacement = Annotated[float, quantity("mass", lowest="20 kg", highest="50000 kg", example="1100 kg")]
Breadth = Annotated[float, quantity("length", lowest="10 cm", highest="10 m", example="1.6 m")]
Draught = Annotated[float, quantity("length", lowest="1 cm", highest="5 m", example="0.35 m")]
WettedSurface = Annotated[float, quantity("area", lowest="0.5 m2", highest="200 m2", example="8 m2")]
MeasuredTurns = Annotated[float, quantity("rotation", above="0 rpm")]
MeasuredSpeed = Annotated[float, quantity("speed", above=0.0)]


class Propeller(Table):
    """The screw, as one of a published series of model screws."""

    series: Literal["B2-38", "B3-35", "B3-50", "B3-65", "B4-40", "B4-55", "B4-70"] = Field(
        description="blades, and blade area in hundredths of the disc, of the model screw it is like. B3-65, "
        "B4-40 and B4-70 were tested going ahead and astern, the others are worked out from them"
    )
    diameter: Size = Field(description="of the screw")
    pitch_ratio: Annotated[float, Field(ge=0.5, le=2.0)] = Field(
        description="pitch over diameter: a coarser screw turns slower. Tested: B4-70 from 1.0 to 1.4, the "
        "others 1.0; else worked out from those"
    )
    wake: PartOfOne | None = Field(
        default=None,
        description="share by which the hull slows the water at the screw. If left out, Harvald's "
        "0.5 C - 0.05, C being the block coefficient (volume over length, beam and draught)",
    )
    thrust_deduction: PartOfOne | None = Field(
        default=None,
        description="share of the thrust lost in drawing the hull back. If left out, Harvald's "
        "0.6 wake + 0.01",
    )
    shaft_efficiency: ScrewShare = Field(
        default=0.96, description="share of the engine's torque left after stern gland and bearings"
    )


class Measured(Table):
    """One run of the boat herself in still water and no wind."""

    turns: MeasuredTurns = Field(description="revolutions she was steadily driven at")
    speed: MeasuredSpeed = Field(description="speed she reached; scales her resistance so that she does")


class Hull(Table):
    """The hull and what holds on the wind. Length, displacement and beam are enough."""

    waterline_length: WaterlineLength = Field(
        description="length on the water: sets the speed at which waves grow"
    )
    displacement: Displacement = Field(description="mass of the loaded boat with crew")
    beam: Breadth | None = Field(
        default=None,
        description="greatest breadth on the water: through the defaults of draught, wetted surface, windage "
        "and wake. If left out, a quarter of the waterline length",
    )
    draught: Draught | None = Field(
        default=None,
        description="of the hull without keel: wetted surface and wake. If left out, beam / 4.24",
    )
    wetted_surface: WettedSurface | None = Field(
        default=None,
        description="of the hull under water: friction. If left out, "
        "1.7 x length x draught + volume / draught",
    )
    series: Literal["A", "B", "by slenderness"] = Field(
        default="by slenderness",
        description="which of two published towing-tank models it is most like: A lean and even, B fuller "
        "and shorter for its weight; or A with its waves made smaller or greater as the boat is leaner or "
        "fuller for her length",
    )
    residuary_factor: ResistanceFactor = Field(
        default=1.0, description="wave resistance over that of the model"
    )
    measured: Annotated[tuple[Measured, ...], Field(max_length=20)] = Field(
        default=(),
        description="revolutions and speeds the owner has measured: resistance is scaled to give just these, "
        "between them in proportion, beyond them as at the nearest",
    )
    added_mass: Fraction = Field(
        default=0.08, description="water that moves with the boat, as share of its mass"
    )
    astern_factor: ResistanceFactor = Field(
        default=1.5, description="resistance going astern over that going ahead"
    )
    windage: WindageArea | None = Field(
        default=None,
        description="frontal area times drag coefficient: force of a headwind. If left out, "
        "0.5 x beam x beam",
    )
