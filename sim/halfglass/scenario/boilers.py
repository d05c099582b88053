"""The boiler as it is written in a boat file: what all shapes have in common.

The table of each shape stands in its own file in `catalogue/boiler_shapes/`. Heights are above the lowest
water space.
"""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from halfglass.scenario.fields import (
    Fraction,
    HeatTransferCoefficient,
    Size,
    SmallArea,
    Table,
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


class BoilerTable(Table):
    """What every boiler is told."""

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
