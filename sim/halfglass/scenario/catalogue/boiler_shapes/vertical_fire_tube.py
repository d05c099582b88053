"""The upright boiler: a round firebox below, tubes from its crown to the top plate."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from halfglass.scenario.boilers import VerticalFireTube
from halfglass.scenario.catalogue.boiler_shapes.geometry import (
    FINE_NODES,
    FLAT_CROWN_DEPTH,
    TUBES_FILL,
    Form,
    Misfit,
    disc,
    tube_metal,
)


def misfits(shape: VerticalFireTube) -> Iterator[Misfit]:
    """Firebox and tubes must fit into the shell."""
    if shape.firebox_diameter >= shape.shell_diameter:
        yield Misfit("firebox_diameter", "the firebox must be narrower than the shell", "shell_diameter")
    if shape.firebox_height >= shape.shell_height:
        yield Misfit("firebox_height", "the firebox must be lower than the shell", "shell_height")
    if shape.tubes * shape.tube_diameter**2 >= TUBES_FILL * shape.firebox_diameter**2:
        yield Misfit("tubes", "so many tubes do not fit in the crown", "firebox_diameter")


def form(shape: VerticalFireTube) -> Form:
    """Firebox walls and crown are radiant, the tubes above convective.

    The round crown leans like the square about it: a little soon bare when the boat both heels and trims.
    """
    shell, firebox = disc(shape.shell_diameter), disc(shape.firebox_diameter)
    holes = shape.tubes * disc(shape.tube_diameter)
    inside = shape.tube_diameter - 2 * shape.tube_thickness
    length = shape.shell_height - shape.firebox_height
    heights = np.linspace(0.0, shape.shell_height, FINE_NODES)
    walls = math.pi * shape.firebox_diameter * shape.firebox_height
    outside = math.pi * shape.shell_diameter * shape.shell_height
    plates = (outside + walls + 2 * (shell - holes)) * shape.plate_thickness
    return Form(
        heights=heights,
        areas=np.where(heights < shape.firebox_height, shell - firebox, shell - holes),
        top_key="shell_height",
        crown_height=shape.firebox_height,
        crown_key="firebox_height",
        crown_half_breadth=0.5 * shape.firebox_diameter,
        crown_half_length=0.5 * shape.firebox_diameter,
        crown_fore_and_aft=0.0,
        crown_depth=FLAT_CROWN_DEPTH,
        radiant_area=walls + firebox - holes,
        crown_area=firebox - holes,
        radiant_zone=(0.0, shape.firebox_height),
        convective_area=shape.tubes * math.pi * inside * length,
        convective_zone=(shape.firebox_height, shape.shell_height),
        gas_passage=shape.tubes * disc(inside),
        gas_rise=shape.shell_height - 0.5 * shape.firebox_height,
        metal_volume=plates + tube_metal(shape.tubes, shape.tube_diameter, shape.tube_thickness, length),
        lagged_area=outside + shell - holes,
        largest_grate=firebox,
    )
