"""The horizontal dry-back boiler: a plain furnace tube through a round shell, and return tubes over it."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from halfglass.scenario.boilers import HorizontalDryBack
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


def misfits(shape: HorizontalDryBack) -> Iterator[Misfit]:
    """Furnace and tubes must fit into the shell, the tubes over the furnace."""
    furnace_top = shape.furnace_bottom + shape.furnace_diameter
    if furnace_top >= shape.shell_diameter:
        yield Misfit("furnace_diameter", "the furnace does not fit into the shell", "shell_diameter")
    if shape.lowest_tube <= furnace_top:
        yield Misfit("lowest_tube", "the return tubes must lie above the furnace", "furnace_diameter")
    if shape.highest_tube >= shape.shell_diameter:
        yield Misfit("highest_tube", "the tubes reach above the shell", "shell_diameter")
    if shape.highest_tube - shape.lowest_tube < shape.tube_diameter:
        yield Misfit("highest_tube", "there is no room for a tube below this height", "lowest_tube")
    elif shape.tubes * shape.tube_diameter**2 >= TUBES_FILL * _tube_plate(shape):
        yield Misfit("tubes", "so many tubes do not fit between lowest and highest", "shell_diameter")


def _tube_plate(shape: HorizontalDryBack) -> float:
    """Area of the shell's cross-section between lowest and highest tube [m²]."""
    axis = 0.5 * shape.shell_diameter
    return segment_area(shape.shell_diameter, shape.lowest_tube - axis, shape.highest_tube - axis)


def form(shape: HorizontalDryBack) -> Form:
    """The upper half of the furnace, over the grate, is radiant; the return tubes are convective.

    The brick at the back is lagged with the rest and carries no heat to the water. Over their heights the
    tubes take up water evenly; their nest is as wide as their number asks (see TUBES_FILL).
    """
    diameter, length = shape.shell_diameter, shape.shell_length
    inside = shape.tube_diameter - 2 * shape.tube_thickness
    holes = shape.tubes * disc(shape.tube_diameter)
    heights = np.linspace(0.0, diameter, FINE_NODES)
    furnace_axis = shape.furnace_bottom + 0.5 * shape.furnace_diameter
    nest = shape.highest_tube - shape.lowest_tube
    areas = chord(diameter, heights - 0.5 * diameter) * length
    areas -= chord(shape.furnace_diameter, heights - furnace_axis) * length
    areas -= within(heights, shape.lowest_tube, shape.highest_tube) * holes * length / nest
    nest_width = shape.tubes * shape.tube_diameter**2 / TUBES_FILL / nest
    shell = math.pi * diameter * length
    end = disc(diameter) - disc(shape.furnace_diameter) - holes
    plates = shell + math.pi * shape.furnace_diameter * length + 2.0 * end
    tubes = tube_metal(shape.tubes, shape.tube_diameter, shape.tube_thickness, length)
    return Form(
        heights=heights,
        areas=np.maximum(areas, 1e-3),
        top_key="shell_diameter",
        crown_height=shape.highest_tube,
        crown_key="highest_tube",
        crown_half_breadth=0.5 * nest_width,
        crown_half_length=0.5 * length,
        crown_fore_and_aft=0.0,
        crown_depth=FLAT_CROWN_DEPTH,
        radiant_area=0.5 * math.pi * shape.furnace_diameter * length,
        crown_area=0.0,
        radiant_zone=(furnace_axis, shape.furnace_bottom + shape.furnace_diameter),
        convective_area=shape.tubes * math.pi * inside * length,
        convective_zone=(shape.lowest_tube, shape.highest_tube),
        gas_passage=shape.tubes * disc(inside),
        gas_rise=0.5 * (shape.lowest_tube + shape.highest_tube) - furnace_axis,
        metal_volume=plates * shape.plate_thickness + tubes,
        lagged_area=shell + 2.0 * end,
        largest_grate=shape.furnace_diameter * length,
    )
