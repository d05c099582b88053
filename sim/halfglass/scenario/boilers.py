"""The boiler as it is written in a boat file: one table for each shape.

What a shape comes to, and whether its parts fit, stands in `catalogue/boiler_shapes/`. Heights are above the
lowest water space.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from halfglass.scenario.fields import (
    Area,
    Fraction,
    HeatTransferCoefficient,
    Size,
    SmallArea,
    Table,
    Volume,
    quantity,
)

Share = Annotated[float, quantity("fraction", above="0 %", highest="100 %")]
Height = Annotated[float, quantity("length", lowest=0.0)]
Offset = Annotated[float, quantity("length", lowest="-3 m", highest="3 m", example="0.2 m")]
Tubes = Annotated[int, Field(ge=1, le=2000)]


class Glass(Table):
    """The gauge glass."""

    bottom_nut: Size = Field(
        description="height of the lowest water that can be seen, above the lowest water "
        "space; below it the level is out of sight"
    )
    top_nut: Size = Field(
        description="height of the highest water that can be seen; above it steam carries water"
    )
    water_cooling: Fraction = Field(
        default=0.25,
        description="how far the water in the glass is cooled from boiler to air "
        "temperature: a cooler glass shows less than the boiler holds",
    )
    athwartships: Offset = Field(
        default=0.0,
        description="where the glass sits to starboard of the middle of the boiler, minus to port: "
        "what it shows when the boat heels",
    )
    fore_and_aft: Offset = Field(
        default=0.0,
        description="where the glass sits forward of the middle of the boiler, minus aft: "
        "what it shows when the boat is out of trim",
    )


class _Boiler(Table):
    glass: Glass = Field(description="where the gauge glass sits")
    plate_thickness: Size = Field(
        default=0.006, description="of shell and fire plates; more metal takes longer to heat"
    )
    lagging: HeatTransferCoefficient = Field(
        default=2.0,
        description="heat lost through the lagged outside for each square "
        "metre and degree; about 17 W/m2 K if bare",
    )
    blow_down: SmallArea = Field(default=60e-6, description="free area of the blow-down cock")
    vent: SmallArea = Field(
        default=12e-6, description="free area of the vent, which lets the air out while steam is raised"
    )


class VerticalFireTube(_Boiler):
    """An upright shell with a round firebox below and tubes from its crown to the top plate."""

    kind: Literal["vertical fire-tube"] = Field(description="the shape of the boiler")
    shell_diameter: Size = Field(description="inside diameter of the shell: width of the water")
    shell_height: Size = Field(description="from the bottom of the water leg to the top tube plate")
    firebox_diameter: Size = Field(
        description="outside diameter of the firebox: what is left is the water leg"
    )
    firebox_height: Size = Field(description="from the bottom of the water leg to the crown")
    tubes: Tubes = Field(description="number of tubes")
    tube_diameter: Size = Field(description="outside diameter of a tube")
    tube_thickness: Size = Field(default=0.002, description="wall of a tube")


class Locomotive(_Boiler):
    """A firebox with water legs, aft, and a barrel full of fire tubes forward of it.

    The outside of the firebox is as wide as the barrel and round on top, flush with it.
    """

    kind: Literal["locomotive"] = Field(description="the shape of the boiler")
    firebox_width: Size = Field(
        description="outside width of the firebox: half of what is left of the barrel's diameter is the "
        "water leg, alike on all four sides"
    )
    firebox_length: Size = Field(description="outside length of the firebox, fore and aft")
    firebox_height: Size = Field(description="from the bottom of the water legs to the top of the crown")
    crown_rise: Height = Field(
        default=0.0,
        description="how much the crown is arched above the firebox sides: nothing if flat, half the "
        "width if it is a half round",
    )
    barrel_diameter: Size = Field(description="inside diameter of the barrel")
    barrel_length: Size = Field(description="inside length of the barrel, from its throat to the smokebox")
    barrel_axis: Size = Field(description="height of the barrel's axis above the bottom of the water legs")
    tubes: Tubes = Field(description="number of tubes")
    tube_diameter: Size = Field(description="outside diameter of a tube")
    tube_thickness: Size = Field(default=0.002, description="wall of a tube")
    lowest_tube: Size = Field(description="height of the underside of the lowest tubes")
    highest_tube: Size = Field(description="height of the top of the highest tubes")


class HorizontalDryBack(_Boiler):
    """A round shell lying down, a plain furnace tube through it, and tubes back over it to the front.

    Behind the shell the gas turns in a chamber of brick.
    """

    kind: Literal["horizontal dry-back"] = Field(description="the shape of the boiler")
    shell_diameter: Size = Field(description="inside diameter of the shell")
    shell_length: Size = Field(description="between the end plates: length of furnace and tubes")
    furnace_diameter: Size = Field(description="outside diameter of the furnace tube, which holds the grate")
    furnace_bottom: Size = Field(description="height of the furnace's underside: the water below it")
    tubes: Tubes = Field(description="number of return tubes")
    tube_diameter: Size = Field(description="outside diameter of a tube")
    tube_thickness: Size = Field(default=0.002, description="wall of a tube")
    lowest_tube: Size = Field(description="height of the underside of the lowest tubes")
    highest_tube: Size = Field(description="height of the top of the highest tubes")


class WaterTube(_Boiler):
    """A horizontal drum, fore and aft, over a nest of water tubes around the fire."""

    kind: Literal["water-tube"] = Field(description="the shape of the boiler")
    drum_diameter: Size = Field(description="inside diameter of the drum: room for water and steam")
    drum_length: Size = Field(description="inside length of the drum: width of the water surface")
    tubes: Tubes = Field(description="number of tubes under the drum")
    tube_diameter: Size = Field(description="outside diameter of a tube")
    tube_thickness: Size = Field(default=0.002, description="wall of a tube")
    tube_length: Size = Field(description="length of a tube that the gas sweeps")
    tube_rise: Size = Field(description="height of the drum's lowest inside above the lowest water space")
    bottom_volume: Volume = Field(description="water in bottom headers and downcomers")
    radiant_fraction: Fraction = Field(
        default=0.2, description="share of the tube surface that sees the fire"
    )
    gas_passage: Area = Field(description="free area between the tubes for the gas")
    casing_area: Area = Field(description="outside area of drum and casing, through which heat is lost")


AnyBoiler = VerticalFireTube | Locomotive | HorizontalDryBack | WaterTube
BoilerKind = Annotated[AnyBoiler, Field(discriminator="kind")]
