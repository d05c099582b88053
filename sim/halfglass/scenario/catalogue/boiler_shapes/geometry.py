"""What every boiler shape comes to, and the plain geometry the shapes share."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from halfglass.plant.parameters import LEVEL_NODES

STEEL_DENSITY = 7850.0
STEEL_HEAT = 490.0
"""J/(kg K), value from memory."""
FINE_NODES = 4001
TUBES_FILL = 0.6
"""Greatest share of a tube plate that tubes take up, as squares of their diameter (judgement: 1.3 diameters
between centres)."""
FLAT_CROWN_DEPTH = 0.01
"""m of falling water over which a flat crown dries (judgement)."""


class Misfit(NamedTuple):
    """Parts of a boiler that do not fit: the key at fault, a sentence, and the key it does not go with."""

    key: str
    message: str
    second: str


@dataclass(frozen=True)
class Form:
    """The geometry of a boiler. Heights [m] are above the lowest water space; zones are (lowest, highest)."""

    heights: NDArray[np.float64]  # m, rising from 0 to the highest inside
    areas: NDArray[np.float64]  # m², of the water surface at each height
    top_key: str  # the key that settles where the shell ends
    crown_height: float  # m, the highest heated part
    crown_key: str  # the key that settles it
    crown_half_breadth: float  # m, of the part that dries first
    crown_half_length: float  # m
    crown_fore_and_aft: float  # m, its middle forward of the middle of the water surface
    crown_depth: float  # m of falling water over which the crown dries
    radiant_area: float  # m², with the crown
    crown_area: float  # m² of crown that dries all at once
    radiant_zone: tuple[float, float]  # m, of the rest of the radiant area
    convective_area: float  # m²
    convective_zone: tuple[float, float]  # m
    gas_passage: float  # m²
    gas_rise: float  # m, through which furnace-hot gas rises before the chimney
    metal_volume: float  # m³ of steel
    lagged_area: float  # m²
    largest_grate: float | None  # m² that the furnace has room for; None: outside the boiler's own walls

    @property
    def top_height(self) -> float:
        """Height of the highest inside of the boiler [m]."""
        return float(self.heights[-1])

    @property
    def heating_surface(self) -> float:
        """All surface with fire or gas on one side and water on the other [m²]."""
        return self.radiant_area + self.convective_area


def level_tables(
    heights: NDArray[np.float64], areas: NDArray[np.float64]
) -> tuple[float, NDArray[np.float64], NDArray[np.float64]]:
    """Volume, and height and surface at equal steps of volume, from areas at many heights.

    Parameters: heights [m, rising from 0]; areas [m², > 0, of the water surface there].
    Returns: (volume [m³], heights [m] and areas [m²] at LEVEL_NODES equal steps of volume).
    """
    steps = 0.5 * (areas[1:] + areas[:-1]) * np.diff(heights)
    volumes = np.concatenate(([0.0], np.cumsum(steps)))
    nodes = np.linspace(0.0, volumes[-1], LEVEL_NODES)
    at_nodes = np.interp(nodes, volumes, heights)
    return float(volumes[-1]), at_nodes, np.interp(at_nodes, heights, areas)


def disc(diameter: float) -> float:
    """Area of a circle [m²]."""
    return math.pi / 4 * diameter**2


def chord(diameter: float, above_axis: NDArray[np.float64]) -> NDArray[np.float64]:
    """Width of a lying cylinder at heights above its axis [m], nothing outside it."""
    return 2.0 * np.sqrt(np.maximum(0.25 * diameter**2 - above_axis**2, 0.0))


def within(heights: NDArray[np.float64], lowest: float, highest: float) -> NDArray[np.float64]:
    """1 between two heights, 0 outside."""
    return ((heights >= lowest) & (heights < highest)).astype(np.float64)


def segment_area(diameter: float, below: float, above: float) -> float:
    """Area of a circle between two heights above its centre [m²].

    >>> round(segment_area(2.0, -1.0, 1.0), 4), round(segment_area(2.0, 0.0, 1.0), 4)
    (3.1416, 1.5708)
    """
    radius = 0.5 * diameter

    def under(height: float) -> float:
        held = min(max(height, -radius), radius)
        return held * math.sqrt(radius**2 - held**2) + radius**2 * math.asin(held / radius)

    return under(above) - under(below)


def tube_metal(tubes: int, diameter: float, thickness: float, length: float) -> float:
    """Steel in a nest of tubes [m³]."""
    return tubes * math.pi * (diameter - thickness) * thickness * length
