"""The water-tube boiler: a drum, fore and aft, over a nest of tubes with the water inside."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Literal

import numpy as np
from pydantic import Field

from halfglass.scenario.boilers import BoilerTable, Tubes
from halfglass.scenario.catalogue.boiler_shapes.geometry import (
    FINE_NODES,
    FLAT_CROWN_DEPTH,
    Form,
    Misfit,
    chord,
    disc,
)
from halfglass.scenario.fields import Area, Fraction, Size, Volume


class WaterTube(BoilerTable):
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

    def misfits(self) -> Iterator[Misfit]:
        """A tube can be longer than its rise, but hardly shorter."""
        if self.tube_length < self.tube_rise:
            yield Misfit("tube_length", "the tubes are too short to reach up to the drum", "tube_rise")

    def form(self) -> Form:
        """Tubes and headers as one column of even width up to the drum, all tube surface along it.

        The part that dries first is the line along the drum's lowest inside, where the tubes end.
        """
        inside = self.tube_diameter - 2 * self.tube_thickness
        surface = self.tubes * math.pi * self.tube_diameter * self.tube_length
        below = self.bottom_volume + self.tubes * disc(inside) * self.tube_length
        heights = np.linspace(0.0, self.tube_rise + self.drum_diameter, FINE_NODES)
        width = chord(self.drum_diameter, heights - self.tube_rise - 0.5 * self.drum_diameter)
        drum = math.pi * self.drum_diameter * self.drum_length + math.pi / 2 * self.drum_diameter**2
        return Form(
            heights=heights,
            areas=np.where(
                heights < self.tube_rise, below / self.tube_rise, np.maximum(width * self.drum_length, 1e-3)
            ),
            top_key="drum_diameter",
            crown_height=self.tube_rise,
            crown_key="tube_rise",
            crown_half_breadth=0.0,
            crown_half_length=0.5 * self.drum_length,
            crown_fore_and_aft=0.0,
            crown_depth=FLAT_CROWN_DEPTH,
            radiant_area=surface * self.radiant_fraction,
            crown_area=0.0,
            radiant_zone=(0.0, self.tube_rise),
            convective_area=surface * (1.0 - self.radiant_fraction),
            convective_zone=(0.0, self.tube_rise),
            gas_passage=self.gas_passage,
            gas_rise=self.tube_rise,
            metal_volume=drum * self.plate_thickness + surface * self.tube_thickness,
            lagged_area=self.casing_area,
            largest_grate=None,
        )
