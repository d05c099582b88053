"""Boiler shapes reduced to volumes, heights and areas.

To add a shape: a file beside this one with its table, which has `form` and `misfits`, and its name in
`AnyBoiler`.
"""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from halfglass.plant.parameters import Boiler
from halfglass.scenario.catalogue.boiler_shapes.dry_back import HorizontalDryBack
from halfglass.scenario.catalogue.boiler_shapes.geometry import (
    STEEL_DENSITY,
    STEEL_HEAT,
    Form,
    Misfit,
    level_tables,
)
from halfglass.scenario.catalogue.boiler_shapes.locomotive import Locomotive
from halfglass.scenario.catalogue.boiler_shapes.vertical_fire_tube import VerticalFireTube
from halfglass.scenario.catalogue.boiler_shapes.water_tube import WaterTube

AnyBoiler = VerticalFireTube | Locomotive | HorizontalDryBack | WaterTube
BoilerKind = Annotated[AnyBoiler, Field(discriminator="kind")]


def formed(shape: AnyBoiler) -> Form:
    """The geometry of a boiler whose parts fit (see `misfits`)."""
    return shape.form()


def misfits(shape: AnyBoiler) -> tuple[Misfit, ...]:
    """Parts that do not fit into one another; without any, `formed` can be relied on."""
    found = list(shape.misfits())
    if shape.tube_thickness * 2 >= shape.tube_diameter:
        found.insert(0, Misfit("tube_thickness", "the wall leaves no bore in the tube", "tube_diameter"))
    return tuple(found)


def reduced(shape: AnyBoiler) -> Boiler:
    """The boiler of a boat as the plant equations want it."""
    form, glass = formed(shape), shape.glass
    volume, height_table, area_table = level_tables(form.heights, form.areas)
    half_glass = 0.5 * (glass.bottom_nut + glass.top_nut)
    return Boiler(
        volume=volume,
        height_table=height_table,
        area_table=area_table,
        bottom_nut_height=glass.bottom_nut,
        top_nut_height=glass.top_nut,
        glass_athwartships=glass.athwartships,
        glass_fore_and_aft=glass.fore_and_aft,
        crown_height=form.crown_height,
        crown_half_breadth=form.crown_half_breadth,
        crown_half_length=form.crown_half_length,
        crown_fore_and_aft=form.crown_fore_and_aft,
        crown_depth=form.crown_depth,
        metal_heat_capacity=form.metal_volume * STEEL_DENSITY * STEEL_HEAT,
        casing_conductance=shape.lagging * form.lagged_area,
        radiant_area=form.radiant_area,
        radiant_crown_fraction=form.crown_area / form.radiant_area,
        radiant_lowest_height=form.radiant_zone[0],
        radiant_highest_height=form.radiant_zone[1],
        convective_area=form.convective_area,
        convective_lowest_height=form.convective_zone[0],
        convective_highest_height=form.convective_zone[1],
        gas_passage_area=form.gas_passage,
        rise_depth=0.5 * half_glass,
        glass_water_cooling_fraction=glass.water_cooling,
        blow_down_area=shape.blow_down,
        vent_area=shape.vent,
    )


__all__ = [
    "AnyBoiler", "BoilerKind", "Form", "HorizontalDryBack", "Locomotive", "Misfit", "VerticalFireTube",
    "WaterTube", "formed", "level_tables", "misfits", "reduced",
]  # fmt: skip
