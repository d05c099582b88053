"""The engine: steam chest behind the throttle, the indicator diagram, condensation and friction."""

from __future__ import annotations

import math

from halfglass.plant.compile import kernel
from halfglass.plant.orifice import CRITICAL_RATIO, choked_steam_flux, steam_flow
from halfglass.plant.parameters import Engine

FEET_PER_METRE = 3.28084


@kernel
def cut_off(engine: Engine, reversing_gear: float) -> float:
    """Cut-off as a fraction of the stroke for a place of the reversing gear (linear in the gear).

    Parameters: reversing_gear [-1 to 1]. Returns: mid_gear_cut_off .. full_gear_cut_off.
    """
    place = min(1.0, abs(reversing_gear))
    return engine.mid_gear_cut_off + (engine.full_gear_cut_off - engine.mid_gear_cut_off) * place


@kernel
def forward_pressure_ratio(cut: float, clearance: float) -> float:
    """Mean forward pressure over initial pressure, expansion as pv constant.

    Parameters: cut [0-1]; clearance [0-1 of the stroke volume].
    Notes: e + (e + c) ln((1 + c)/(e + c)) [MR70].

    >>> round(forward_pressure_ratio(0.5, 0.07), 3)
    0.859
    """
    return cut + (cut + clearance) * math.log((1.0 + clearance) / (cut + clearance))


@kernel
def mean_back_pressure(engine: Engine, back_absolute: float) -> float:
    """Mean pressure on the exhaust side of the piston with compression [Pa absolute].

    Parameters: back_absolute [Pa, above 0].
    Notes: p_b [(1 - k) + (c + k) ln((c + k)/c)], compression as pv constant (law of Boyle) over the last
    share k of the stroke into the clearance c.
    """
    k = engine.compression_fraction
    c = engine.clearance_fraction
    return back_absolute * ((1.0 - k) + (c + k) * math.log((c + k) / c))


@kernel
def missing_quantity_ratio(engine: Engine, cut: float, shaft_speed: float) -> float:
    """Steam condensed on the cylinder walls over the steam the diagram shows.

    Parameters: cut [0-1]; shaft_speed [rev/s].
    Returns: ratio, finite at rest.
    Notes: C ln r / (d sqrt N), d in ft, N in rev/min (Cotterill's rule) [LIN]; N + 4 keeps it finite.
    """
    expansion = (1.0 + engine.clearance_fraction) / (cut + engine.clearance_fraction)
    speed = math.sqrt(abs(shaft_speed) * 60.0 + 4.0)
    return engine.missing_quantity_coefficient * math.log(expansion) / (engine.bore * FEET_PER_METRE * speed)


@kernel
def steam_chest(
    engine: Engine,
    pressure_absolute: float,
    vapour_volume: float,
    throttle: float,
    demand: float,
    cushion: float,
) -> tuple[float, float]:
    """Chest pressure and steam flow where the throttle passes just what the cylinders take.

    Parameters: boiler pressure_absolute [Pa]; vapour_volume there [m³/kg]; throttle [0-1]; demand [kg/s taken
    if the chest stood at boiler pressure]; cushion [kg/s saved by compression].
    Returns: (chest pressure absolute [Pa], flow [kg/s]).
    Notes: cylinders take demand·r - cushion, r = chest/boiler pressure (throttled steam keeps its temperature
    nearly, so density goes as pressure); the throttle passes choked flow below r_c and the ellipse above; the
    meeting point is the root of a quadratic.
    """
    passed = engine.throttle_area * throttle * choked_steam_flux(pressure_absolute, vapour_volume)
    if passed <= 0.0:
        ratio = min(1.0, cushion / max(demand, 1e-12))
        return pressure_absolute * ratio, 0.0
    if demand * CRITICAL_RATIO - cushion >= passed:
        return pressure_absolute * (passed + cushion) / demand, passed
    span = 1.0 - CRITICAL_RATIO
    slope = demand * span
    start = demand * CRITICAL_RATIO - cushion
    square = passed * passed + slope * slope
    root = slope * slope * start * start + square * (passed * passed - start * start)
    place = min(1.0, max(0.0, (math.sqrt(max(0.0, root)) - slope * start) / square))
    ratio = CRITICAL_RATIO + span * place
    return pressure_absolute * ratio, max(0.0, demand * ratio - cushion)


@kernel
def engine_at_speed(
    engine: Engine,
    pressure_absolute: float,
    vapour_volume: float,
    latent_heat: float,
    back_absolute: float,
    throttle: float,
    reversing_gear: float,
    drains: float,
    metal_deficit: float,
    shaft_speed: float,
) -> tuple[float, float, float, float]:
    """The engine running at a given speed.

    Parameters: boiler steam pressure_absolute [Pa], vapour_volume [m³/kg], latent_heat [J/kg]; back_absolute
    [Pa]; throttle [0-1]; reversing_gear [-1..1]; drains [0-1]; metal_deficit [K cylinder metal is below
    what counts as warm]; shaft_speed [rev/s, + ahead].
    Returns: (indicated torque [N·m, + drives ahead], chest pressure absolute [Pa], steam flow [kg/s],
    share of that flow that does no work on the pistons: leakage, drains, warming).
    Notes: below a fifth of the gear the drive fades with it (judgement). With the throttle shut there is no
    torque; turned against its gear the engine takes steam for leaks only and its pressure is not below zero.
    """
    side = 1.0 if reversing_gear >= 0.0 else -1.0
    in_gear = min(1.0, abs(reversing_gear) / 0.2)
    cut = cut_off(engine, reversing_gear)
    c = engine.clearance_fraction
    turning = max(0.0, shaft_speed * side) * in_gear
    density = 1.0 / vapour_volume
    wall = 1.0 + missing_quantity_ratio(engine, cut, shaft_speed)
    working = turning * engine.swept_volume * wall * (cut + c) * density
    kept = turning * engine.swept_volume * (c + engine.compression_fraction) * density * back_absolute
    open_area = engine.leakage_area + engine.drain_area * drains
    idle = steam_flow(open_area, pressure_absolute, back_absolute, vapour_volume)
    idle += engine.warming_conductance * max(0.0, metal_deficit) / latent_heat
    chest, flow = steam_chest(
        engine, pressure_absolute, vapour_volume, throttle, working + idle, kept / pressure_absolute
    )
    effective = chest * forward_pressure_ratio(cut, c) - mean_back_pressure(engine, back_absolute)
    effective *= engine.diagram_factor
    if throttle <= 0.0:
        effective = 0.0
    elif turning <= 0.0:
        effective = max(effective, 0.0)
    torque = side * in_gear * effective * engine.swept_volume / (2.0 * math.pi)
    return torque, chest, flow, idle / max(working + idle, 1e-12)


@kernel
def friction_torque(engine: Engine, shaft_speed: float, dryness: float) -> float:
    """Friction of pistons, glands and bearings [N·m], always against the motion; smooth through rest.

    Parameters: shaft_speed [rev/s, either way]; dryness [0 to 1: 0 oiled, 1 no oil left: half as much
    again, a judgement].
    """
    pressure = engine.friction_pressure * (1.0 + 0.5 * dryness)
    return pressure * engine.swept_volume / (2.0 * math.pi) * math.tanh(shaft_speed / 0.05)


@kernel
def is_dead_centre(dead_angle: float, crank_turns: float) -> bool:
    """Whether a crank at rest stands so near a dead centre that steam cannot start it.

    Parameters: dead_angle [rad either side, at most π/2, 0 for engines with two cranks]; crank_turns [turns
    from a dead centre].
    Notes: steam on a piston at a crank angle θ turns the shaft with about sin θ of its greatest effort;
    within the dead angle friction holds it (common practice, no source for the angle).

    >>> is_dead_centre(0.2, 3.01), is_dead_centre(0.2, 3.25), is_dead_centre(0.2, 3.49)
    (True, False, True)
    """
    return abs(math.sin(2.0 * math.pi * crank_turns)) < math.sin(dead_angle)


@kernel
def oil_use(engine: Engine, shaft_speed: float, chest_gauge: float, oil: float) -> float:
    """Cylinder oil used [kg/s].

    Parameters: shaft_speed [rev/s]; chest_gauge [Pa above atmosphere]; oil left in the lubricator [kg].
    Notes: a mechanical lubricator gives so much each revolution, a displacement one so many drops a minute
    while there is steam on it, fading below 0.2 bar (judgement); the last gram fades out, so that oil never
    runs below nothing.
    """
    wanted = engine.oil_per_revolution * abs(shaft_speed)
    wanted += engine.oil_rate * min(1.0, max(0.0, chest_gauge / 2.0e4))
    return wanted * min(1.0, max(0.0, oil / 1e-3))
