"""The upright boiler: a round firebox below, tubes from its crown to the top plate."""

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
    disc,
    tube_metal,
)
from halfglass.scenario.fields import Size


class VerticalFireTube(BoilerTable):
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

    def misfits(self) -> Iterator[Misfit]:
        """Firebox and tubes must fit into the shell."""
        if self.firebox_diameter >= self.shell_diameter:
            yield Misfit("firebox_diameter", "the firebox must be narrower than the shell", "shell_diameter")
        if self.firebox_height >= self.shell_height:
            yield Misfit("firebox_height", "the firebox must be lower than the shell", "shell_height")
        if self.tubes * self.tube_diameter**2 >= TUBES_FILL * self.firebox_diameter**2:
            yield Misfit("tubes", "so many tubes do not fit in the crown", "firebox_diameter")

    def form(self) -> Form:
        """Firebox walls and crown are radiant, the tubes above convective.

        The round crown leans like the square about it: a little soon bare when the boat both heels and trims.
        """
        shell, firebox = disc(self.shell_diameter), disc(self.firebox_diameter)
        holes = self.tubes * disc(self.tube_diameter)
        inside = self.tube_diameter - 2 * self.tube_thickness
        length = self.shell_height - self.firebox_height
        heights = np.linspace(0.0, self.shell_height, FINE_NODES)
        walls = math.pi * self.firebox_diameter * self.firebox_height
        outside = math.pi * self.shell_diameter * self.shell_height
        plates = (outside + walls + 2 * (shell - holes)) * self.plate_thickness
        return Form(
            heights=heights,
            areas=np.where(heights < self.firebox_height, shell - firebox, shell - holes),
            top_key="shell_height",
            crown_height=self.firebox_height,
            crown_key="firebox_height",
            crown_half_breadth=0.5 * self.firebox_diameter,
            crown_half_length=0.5 * self.firebox_diameter,
            crown_fore_and_aft=0.0,
            crown_depth=FLAT_CROWN_DEPTH,
            radiant_area=walls + firebox - holes,
            crown_area=firebox - holes,
            radiant_zone=(0.0, self.firebox_height),
            convective_area=self.tubes * math.pi * inside * length,
            convective_zone=(self.firebox_height, self.shell_height),
            gas_passage=self.tubes * disc(inside),
            gas_rise=self.shell_height - 0.5 * self.firebox_height,
            metal_volume=plates + tube_metal(self.tubes, self.tube_diameter, self.tube_thickness, length),
            lagged_area=outside + shell - holes,
            largest_grate=firebox,
        )
