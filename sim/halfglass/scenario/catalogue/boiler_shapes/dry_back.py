"""The horizontal dry-back boiler: a plain furnace tube through a round shell, and return tubes over it."""

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
    TUBES_FILL,
    Form,
    Misfit,
    chord,
    disc,
    segment_area,
    tube_metal,
    within,
)
from halfglass.scenario.fields import Size


class HorizontalDryBack(BoilerTable):
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

    def misfits(self) -> Iterator[Misfit]:
        """Furnace and tubes must fit into the shell, the tubes over the furnace."""
        furnace_top = self.furnace_bottom + self.furnace_diameter
        if furnace_top >= self.shell_diameter:
            yield Misfit("furnace_diameter", "the furnace does not fit into the shell", "shell_diameter")
        if self.lowest_tube <= furnace_top:
            yield Misfit("lowest_tube", "the return tubes must lie above the furnace", "furnace_diameter")
        if self.highest_tube >= self.shell_diameter:
            yield Misfit("highest_tube", "the tubes reach above the shell", "shell_diameter")
        if self.highest_tube - self.lowest_tube < self.tube_diameter:
            yield Misfit("highest_tube", "there is no room for a tube below this height", "lowest_tube")
        elif self.tubes * self.tube_diameter**2 >= TUBES_FILL * _tube_plate(self):
            yield Misfit("tubes", "so many tubes do not fit between lowest and highest", "shell_diameter")

    def form(self) -> Form:
        """The upper half of the furnace, over the grate, is radiant; the return tubes are convective.

        The brick at the back is lagged with the rest and carries no heat to the water. Over their heights the
        tubes take up water evenly; their nest is as wide as their number asks (see TUBES_FILL).
        """
        diameter, length = self.shell_diameter, self.shell_length
        inside = self.tube_diameter - 2 * self.tube_thickness
        holes = self.tubes * disc(self.tube_diameter)
        heights = np.linspace(0.0, diameter, FINE_NODES)
        furnace_axis = self.furnace_bottom + 0.5 * self.furnace_diameter
        nest = self.highest_tube - self.lowest_tube
        areas = chord(diameter, heights - 0.5 * diameter) * length
        areas -= chord(self.furnace_diameter, heights - furnace_axis) * length
        areas -= within(heights, self.lowest_tube, self.highest_tube) * holes * length / nest
        nest_width = self.tubes * self.tube_diameter**2 / TUBES_FILL / nest
        shell = math.pi * diameter * length
        end = disc(diameter) - disc(self.furnace_diameter) - holes
        plates = shell + math.pi * self.furnace_diameter * length + 2.0 * end
        tubes = tube_metal(self.tubes, self.tube_diameter, self.tube_thickness, length)
        return Form(
            heights=heights,
            areas=np.maximum(areas, 1e-3),
            top_key="shell_diameter",
            crown_height=self.highest_tube,
            crown_key="highest_tube",
            crown_half_breadth=0.5 * nest_width,
            crown_half_length=0.5 * length,
            crown_fore_and_aft=0.0,
            crown_depth=FLAT_CROWN_DEPTH,
            radiant_area=0.5 * math.pi * self.furnace_diameter * length,
            crown_area=0.0,
            radiant_zone=(furnace_axis, self.furnace_bottom + self.furnace_diameter),
            convective_area=self.tubes * math.pi * inside * length,
            convective_zone=(self.lowest_tube, self.highest_tube),
            gas_passage=self.tubes * disc(inside),
            gas_rise=0.5 * (self.lowest_tube + self.highest_tube) - furnace_axis,
            metal_volume=plates * self.plate_thickness + tubes,
            lagged_area=shell + 2.0 * end,
            largest_grate=self.furnace_diameter * length,
        )


def _tube_plate(shape: HorizontalDryBack) -> float:
    """Area of the shell's cross-section between lowest and highest tube [m²]."""
    axis = 0.5 * shape.shell_diameter
    return segment_area(shape.shell_diameter, shape.lowest_tube - axis, shape.highest_tube - axis)
