"""Boiler shapes reduced to volumes, heights and areas."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from halfglass.plant.parameters import LEVEL_NODES, Boiler
from halfglass.scenario.boat import VerticalFireTube, WaterTube

STEEL_DENSITY = 7850.0
STEEL_HEAT = 490.0
"""J/(kg K), value from memory."""
FINE_NODES = 4001


def reduced(shape: VerticalFireTube | WaterTube) -> Boiler:
    """The boiler of a boat as the plant equations want it."""
    return _vertical(shape) if isinstance(shape, VerticalFireTube) else _water_tube(shape)


def crown_height(shape: VerticalFireTube | WaterTube) -> float:
    """Height of the firebox crown, or of the top of the highest fully heated tube [m]."""
    return shape.firebox_height if isinstance(shape, VerticalFireTube) else shape.tube_rise


def top_height(shape: VerticalFireTube | WaterTube) -> float:
    """Height of the highest inside of the boiler [m]."""
    if isinstance(shape, VerticalFireTube):
        return shape.shell_height
    return shape.tube_rise + shape.drum_diameter


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


def _vertical(shape: VerticalFireTube) -> Boiler:
    shell = math.pi / 4 * shape.shell_diameter**2
    firebox = math.pi / 4 * shape.firebox_diameter**2
    holes = shape.tubes * math.pi / 4 * shape.tube_diameter**2
    inside = shape.tube_diameter - 2 * shape.tube_thickness
    length = shape.shell_height - shape.firebox_height
    heights = np.linspace(0.0, shape.shell_height, FINE_NODES)
    areas = np.where(heights < shape.firebox_height, shell - firebox, shell - holes)
    walls = math.pi * shape.firebox_diameter * shape.firebox_height
    outside = math.pi * shape.shell_diameter * shape.shell_height
    plates = (outside + walls + 2 * (shell - holes)) * shape.plate_thickness
    tubes = (
        shape.tubes * math.pi * (shape.tube_diameter - shape.tube_thickness) * shape.tube_thickness * length
    )
    return _boiler(
        shape,
        heights,
        areas,
        metal=(plates + tubes) * STEEL_DENSITY,
        outside=outside + shell - holes,
        radiant_area=walls + firebox - holes,
        convective_area=shape.tubes * math.pi * inside * length,
        gas_passage=shape.tubes * math.pi / 4 * inside**2,
        lowest=shape.firebox_height,
        highest=shape.shell_height,
    )


def _water_tube(shape: WaterTube) -> Boiler:
    inside = shape.tube_diameter - 2 * shape.tube_thickness
    tube_surface = shape.tubes * math.pi * shape.tube_diameter * shape.tube_length
    below = shape.bottom_volume + shape.tubes * math.pi / 4 * inside**2 * shape.tube_length
    radius = shape.drum_diameter / 2
    heights = np.linspace(0.0, shape.tube_rise + shape.drum_diameter, FINE_NODES)
    above = np.clip(heights - shape.tube_rise, 0.0, shape.drum_diameter)
    chord = 2 * np.sqrt(np.maximum(radius**2 - (above - radius) ** 2, 0.0))
    areas = np.where(
        heights < shape.tube_rise, below / shape.tube_rise, np.maximum(chord * shape.drum_length, 1e-3)
    )
    drum = math.pi * shape.drum_diameter * shape.drum_length + math.pi / 2 * shape.drum_diameter**2
    metal = drum * shape.plate_thickness + tube_surface * shape.tube_thickness
    return _boiler(
        shape,
        heights,
        areas,
        metal=metal * STEEL_DENSITY,
        outside=shape.casing_area,
        radiant_area=tube_surface * shape.radiant_fraction,
        convective_area=tube_surface * (1.0 - shape.radiant_fraction),
        gas_passage=shape.gas_passage,
        lowest=0.0,
        highest=shape.tube_rise,
    )


def _boiler(
    shape: VerticalFireTube | WaterTube,
    heights: NDArray[np.float64],
    areas: NDArray[np.float64],
    *,
    metal: float,
    outside: float,
    radiant_area: float,
    convective_area: float,
    gas_passage: float,
    lowest: float,
    highest: float,
) -> Boiler:
    volume, height_table, area_table = level_tables(heights, areas)
    half_glass = 0.5 * (shape.glass.bottom_nut + shape.glass.top_nut)
    return Boiler(
        volume=volume,
        height_table=height_table,
        area_table=area_table,
        bottom_nut_height=shape.glass.bottom_nut,
        top_nut_height=shape.glass.top_nut,
        crown_height=crown_height(shape),
        metal_heat_capacity=metal * STEEL_HEAT,
        casing_conductance=shape.lagging * outside,
        radiant_area=radiant_area,
        convective_area=convective_area,
        gas_passage_area=gas_passage,
        radiant_lowest_height=lowest,
        heating_highest_height=highest,
        rise_depth=0.5 * half_glass,
        glass_water_cooling_fraction=shape.glass.water_cooling,
        blow_down_area=shape.blow_down,
        vent_area=shape.vent,
    )
