"""Hull and screw of a boat as the plain numbers of the plant, with what was left out worked out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfglass.plant import parameters as plant
from halfglass.scenario import hull_models as written
from halfglass.scenario.catalogue import hulls, screws

AIR_DENSITY = 1.225


@dataclass(frozen=True)
class Form:
    """What the boat file gives or leaves to be worked out: one number for each."""

    wetted_surface: float  # m²
    windage: float  # m²
    wake: float
    thrust_deduction: float


def form(hull: written.Hull, screw: written.Propeller) -> Form:
    """Wetted surface, windage, wake and thrust deduction, as given or by the defaults their keys state."""
    length, mass = hull.waterline_length, hull.displacement
    beam = hull.beam if hull.beam is not None else length / hulls.LENGTH_BEAM
    draught = hull.draught if hull.draught is not None else hulls.draught_of(beam)
    block = hulls.block_coefficient(length, beam, draught, mass)
    wake = screw.wake if screw.wake is not None else hulls.wake_of(block)
    deduction = screw.thrust_deduction
    surface, windage = hull.wetted_surface, hull.windage
    return Form(
        wetted_surface=surface if surface is not None else hulls.wetted_surface(length, mass, draught),
        windage=windage if windage is not None else hulls.WINDAGE_HEIGHT * beam**2,
        wake=wake,
        thrust_deduction=deduction if deduction is not None else hulls.thrust_deduction_of(wake),
    )


def propeller(hull: written.Hull, screw: written.Propeller) -> plant.Propeller:
    """The screw as the plant sees it."""
    made = form(hull, screw)
    thrust, torque = screws.tables(screw.series, screw.pitch_ratio)
    return plant.Propeller(
        diameter=screw.diameter,
        thrust_table=thrust,
        torque_table=torque,
        wake_fraction=made.wake,
        thrust_deduction_fraction=made.thrust_deduction,
        shaft_efficiency=screw.shaft_efficiency,
    )


def reduced_hull(hull: written.Hull, screw: written.Propeller) -> plant.Hull:
    """The hull as the plant sees it; with measured runs its resistance is scaled to give them."""
    top_speed, friction, residuary = _as_described(hull, screw)
    if hull.measured:
        speeds, wanted = _measured_resistance(hull, screw)
        nodes = np.linspace(0.0, top_speed, plant.SPEED_NODES)
        scale = np.interp(nodes, speeds, wanted / np.interp(speeds, nodes, friction + residuary))
        friction, residuary = friction * scale, residuary * scale
    return plant.Hull(
        displaced_mass=hull.displacement,
        added_mass_fraction=hull.added_mass,
        table_top_speed=top_speed,
        friction_table=friction,
        residuary_table=residuary,
        astern_factor=hull.astern_factor,
        windage_area=form(hull, screw).windage,
    )


def _as_described(
    hull: written.Hull, screw: written.Propeller
) -> tuple[float, NDArray[np.float64], NDArray[np.float64]]:
    """Top speed of the tables, friction and residuary resistance, before measured runs are looked at."""
    factor, series = hull.residuary_factor, hull.series
    if series == "by slenderness":
        factor *= hulls.slenderness_factor(hull.waterline_length, hull.displacement)
        series = "A"
    return hulls.resistance_tables(
        series, hull.waterline_length, hull.displacement, form(hull, screw).wetted_surface, factor
    )


def _measured_resistance(
    hull: written.Hull, screw: written.Propeller
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Speeds of the measured runs [m/s], rising, and the resistance of the water that each implies [N].

    Notes: thrust at those turns and that speed less thrust deduction and the wind of her own way.
    """
    made = form(hull, screw)
    thrust, _ = screws.tables(screw.series, screw.pitch_ratio)
    runs = sorted(hull.measured, key=lambda run: run.speed)
    speeds = np.array([run.speed for run in runs])
    pushed = np.array(
        [
            screws.thrust_at(
                thrust, screw.diameter, run.turns, run.speed * (1.0 - made.wake), hulls.WATER_DENSITY
            )
            for run in runs
        ]
    )
    wind = 0.5 * AIR_DENSITY * made.windage * speeds**2
    return speeds, pushed * (1.0 - made.thrust_deduction) - wind


def measured_faults(hull: written.Hull, screw: written.Propeller) -> Iterator[str]:
    """What cannot be among the measured runs, in words; nothing if they can be used."""
    if not hull.measured:
        return
    top_speed, _, _ = _as_described(hull, screw)
    speeds, wanted = _measured_resistance(hull, screw)
    if speeds[-1] > top_speed:
        yield "the fastest measured speed is beyond what such a length can be driven at"
    elif np.any(np.diff(speeds) <= 0.0):
        yield "two measured runs have the same speed"
    elif np.any(wanted <= 0.0):
        yield "at one of the measured runs this screw would push nothing: too fast for its revolutions"
    else:
        made = reduced_hull(hull, screw)
        if np.any(np.diff(made.friction_table + made.residuary_table) <= 0.0):
            yield "the measured runs together would have the resistance fall as the speed rises"
