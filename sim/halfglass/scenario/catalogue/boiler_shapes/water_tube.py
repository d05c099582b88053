"""The water-tube boiler: a drum, fore and aft, over a nest of tubes with the water inside."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from halfglass.scenario.boilers import WaterTube
from halfglass.scenario.catalogue.boiler_shapes.geometry import (
    FINE_NODES,
    FLAT_CROWN_DEPTH,
    Form,
    Misfit,
    chord,
    disc,
)


def misfits(shape: WaterTube) -> Iterator[Misfit]:
    """A tube can be longer than its rise, but hardly shorter."""
    if shape.tube_length < shape.tube_rise:
        yield Misfit("tube_length", "the tubes are too short to reach up to the drum", "tube_rise")


def form(shape: WaterTube) -> Form:
    """Tubes and headers as one column of even width up to the drum; all tube surface between 0 and the drum.

    The part that dries first is the line along the drum's lowest inside, where the tubes end.
    """
    inside = shape.tube_diameter - 2 * shape.tube_thickness
    surface = shape.tubes * math.pi * shape.tube_diameter * shape.tube_length
    below = shape.bottom_volume + shape.tubes * disc(inside) * shape.tube_length
    heights = np.linspace(0.0, shape.tube_rise + shape.drum_diameter, FINE_NODES)
    width = chord(shape.drum_diameter, heights - shape.tube_rise - 0.5 * shape.drum_diameter)
    drum = math.pi * shape.drum_diameter * shape.drum_length + math.pi / 2 * shape.drum_diameter**2
    return Form(
        heights=heights,
        areas=np.where(
            heights < shape.tube_rise, below / shape.tube_rise, np.maximum(width * shape.drum_length, 1e-3)
        ),
        top_key="drum_diameter",
        crown_height=shape.tube_rise,
        crown_key="tube_rise",
        crown_half_breadth=0.0,
        crown_half_length=0.5 * shape.drum_length,
        crown_fore_and_aft=0.0,
        crown_depth=FLAT_CROWN_DEPTH,
        radiant_area=surface * shape.radiant_fraction,
        crown_area=0.0,
        radiant_zone=(0.0, shape.tube_rise),
        convective_area=surface * (1.0 - shape.radiant_fraction),
        convective_zone=(0.0, shape.tube_rise),
        gas_passage=shape.gas_passage,
        gas_rise=shape.tube_rise,
        metal_volume=drum * shape.plate_thickness + surface * shape.tube_thickness,
        lagged_area=shape.casing_area,
        largest_grate=None,
    )
