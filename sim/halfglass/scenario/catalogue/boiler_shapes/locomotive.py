"""The locomotive boiler: a firebox with water legs and a barrel of fire tubes forward of it.

The outer shell over the firebox is as wide as the barrel, its sides plumb below the barrel's axis, its top
flush with the barrel. The water legs are alike on all four sides. No dome.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import Field

from halfglass.scenario.boilers import BoilerTable, Height, Tubes
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


class Locomotive(BoilerTable):
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

    def misfits(self) -> Iterator[Misfit]:
        """The firebox must fit into its shell, the barrel stand above the legs, the tubes fit into both."""
        radius = 0.5 * self.barrel_diameter
        if self.firebox_width >= self.barrel_diameter:
            yield Misfit("firebox_width", "the firebox must be narrower than the barrel", "barrel_diameter")
        if self.barrel_axis < radius:
            yield Misfit("barrel_axis", "the barrel hangs lower than the water legs", "barrel_diameter")
        if self.firebox_height >= self.barrel_axis + radius:
            told = "the crown must be lower than the top of the shell"
            yield Misfit("firebox_height", told, "barrel_diameter")
        if self.crown_rise > min(0.5 * self.firebox_width, self.firebox_height):
            yield Misfit("crown_rise", "a crown cannot rise by more than half its width", "firebox_width")
        if _crown_pokes_through(self):
            yield Misfit("firebox_height", "the crown's corners reach through the shell", "firebox_width")
        if self.highest_tube > self.firebox_height - self.crown_rise:
            yield Misfit("highest_tube", "the tubes must end below the firebox crown", "firebox_height")
        if self.lowest_tube <= self.barrel_axis - radius:
            yield Misfit("lowest_tube", "the tubes reach below the barrel", "barrel_axis")
        if self.highest_tube - self.lowest_tube < self.tube_diameter:
            yield Misfit("highest_tube", "there is no room for a tube below this height", "lowest_tube")
        elif self.tubes * self.tube_diameter**2 >= TUBES_FILL * _tube_plate(self):
            yield Misfit("tubes", "so many tubes do not fit between lowest and highest", "barrel_diameter")

    def form(self) -> Form:
        """Firebox sides, ends and crown are radiant, the tubes convective, each over its own heights.

        Tubes run from the firebox's front plate through the front leg and the barrel; over their heights they
        take up water evenly.
        """
        diameter, radius, axis = self.barrel_diameter, 0.5 * self.barrel_diameter, self.barrel_axis
        leg = 0.5 * (diameter - self.firebox_width)
        shell_length = self.firebox_length + 2.0 * leg
        tube_length = self.barrel_length + leg
        inside = self.tube_diameter - 2 * self.tube_thickness
        holes = self.tubes * disc(self.tube_diameter)
        heights = np.linspace(0.0, axis + radius, FINE_NODES)
        barrel_width = chord(diameter, heights - axis)
        shell_width = np.where(heights < axis, diameter, barrel_width)
        areas = shell_width * shell_length + barrel_width * self.barrel_length
        areas -= _firebox_width(self, heights) * self.firebox_length
        nest = self.highest_tube - self.lowest_tube
        areas -= within(heights, self.lowest_tube, self.highest_tube) * holes * tube_length / nest
        arc = _arc_length(self.firebox_width, self.crown_rise)
        end_plate = float(np.trapezoid(_firebox_width(self, heights), heights))
        sides = 2.0 * (self.firebox_height - self.crown_rise) * self.firebox_length
        crown = arc * self.firebox_length
        walls = sides + 2.0 * end_plate - holes
        back = diameter * axis + 0.5 * disc(diameter)
        throat = max(back - disc(diameter), 0.0)
        outside = (2.0 * axis + math.pi * radius) * shell_length + math.pi * diameter * self.barrel_length
        plates = (outside + back + throat + disc(diameter) - holes + walls + crown) * self.plate_thickness
        tubes = tube_metal(self.tubes, self.tube_diameter, self.tube_thickness, tube_length)
        overall = shell_length + self.barrel_length
        return Form(
            heights=heights,
            areas=np.maximum(areas, 1e-3),
            top_key="barrel_diameter",
            crown_height=self.firebox_height,
            crown_key="firebox_height",
            # an arched crown dries along its middle first; how much narrower is a judgement
            crown_half_breadth=0.5 * self.firebox_width - self.crown_rise,
            crown_half_length=0.5 * self.firebox_length,
            crown_fore_and_aft=0.5 * shell_length - 0.5 * overall,
            crown_depth=FLAT_CROWN_DEPTH + self.crown_rise,
            radiant_area=walls + crown,
            crown_area=crown,
            radiant_zone=(0.0, self.firebox_height - self.crown_rise),
            convective_area=self.tubes * math.pi * inside * tube_length,
            convective_zone=(self.lowest_tube, self.highest_tube),
            gas_passage=self.tubes * disc(inside),
            gas_rise=max(0.0, 0.5 * (self.lowest_tube + self.highest_tube - self.firebox_height)),
            metal_volume=plates + tubes,
            lagged_area=outside + back + throat,
            largest_grate=self.firebox_width * self.firebox_length,
        )


def _crown_pokes_through(shape: Locomotive) -> bool:
    sides = shape.firebox_height - shape.crown_rise - shape.barrel_axis
    corner = math.hypot(0.5 * shape.firebox_width, max(sides, 0.0))
    return shape.firebox_width < shape.barrel_diameter and corner >= 0.5 * shape.barrel_diameter


def _tube_plate(shape: Locomotive) -> float:
    """Area of the barrel's cross-section between lowest and highest tube [m²]."""
    return segment_area(
        shape.barrel_diameter, shape.lowest_tube - shape.barrel_axis, shape.highest_tube - shape.barrel_axis
    )


def _firebox_width(shape: Locomotive, heights: NDArray[np.float64]) -> NDArray[np.float64]:
    """Outside width of the firebox at heights: plumb sides, then the arc of the crown."""
    half, rise = 0.5 * shape.firebox_width, shape.crown_rise
    if rise <= 0.0:
        return shape.firebox_width * within(heights, 0.0, shape.firebox_height)
    radius = (half**2 + rise**2) / (2.0 * rise)
    arc = chord(2.0 * radius, heights - (shape.firebox_height - radius))
    sides = shape.firebox_height - rise
    return np.where(heights < sides, shape.firebox_width, arc * within(heights, sides, shape.firebox_height))


def _arc_length(width: float, rise: float) -> float:
    """Length of the crown across the firebox [m]: the width if flat.

    >>> round(_arc_length(2.0, 0.0), 4), round(_arc_length(2.0, 1.0), 4)
    (2.0, 3.1416)
    """
    if rise <= 0.0:
        return width
    radius = ((0.5 * width) ** 2 + rise**2) / (2.0 * rise)
    return 2.0 * radius * math.asin(min(1.0, 0.5 * width / radius))
