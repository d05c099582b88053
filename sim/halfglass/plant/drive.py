"""Engine, shaft and screw in balance: the shaft turns at the speed where the torques cancel.

The shaft's own inertia dies away in about 0.2 s, far below what the rest of the day notices, so its speed
is solved for and not integrated.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from halfglass.plant.compile import kernel
from halfglass.plant.engine import engine_at_speed, friction_torque
from halfglass.plant.parameters import Engine, Feed, Propeller, Settings
from halfglass.plant.propeller import propeller_loads

WATER_DENSITY = 999.0
SPEED_TOLERANCE = 1e-9
"""rev/s: width of the bracket at which the search for the shaft speed stops."""


class Running(NamedTuple):
    """What the shaft has to be balanced under."""

    pressure_absolute: float  # Pa, boiler
    vapour_volume: float  # m³/kg there
    latent_heat: float  # J/kg there
    back_absolute: float  # Pa
    metal_deficit: float  # K the cylinder metal is below the steam
    boat_speed: float  # m/s through the water
    dryness: float  # 0-1, want of cylinder oil
    pumped_share: float  # of the feed pump's displacement that goes into the boiler


@kernel
def shaft_torque_surplus(
    engine: Engine, propeller: Propeller, feed: Feed, settings: Settings, now: Running, shaft_speed: float
) -> float:
    """Engine torque left over at a shaft speed [N·m]; falls as the speed rises, zero where the shaft runs.

    Parameters: shaft_speed [rev/s, either way].
    """
    torque = engine_at_speed(
        engine, now.pressure_absolute, now.vapour_volume, now.latent_heat, now.back_absolute,
        settings.throttle, settings.reversing_gear, settings.cylinder_drains, now.metal_deficit, shaft_speed,
    )[0] * (1.0 - settings.on_dead_centre)  # fmt: skip
    screw = propeller_loads(propeller, shaft_speed, now.boat_speed, WATER_DENSITY)[1]
    screw = screw_at_engine(propeller, screw, shaft_speed)
    lifted = now.pressure_absolute - settings.atmosphere_absolute
    pump = feed_pump_torque(feed, now.pumped_share, lifted, shaft_speed)
    return torque - friction_torque(engine, shaft_speed, now.dryness) - pump - screw


@kernel
def screw_at_engine(propeller: Propeller, screw_torque: float, shaft_speed: float) -> float:
    """Torque at the engine coupling for a torque at the screw [N·m]: the shaft's losses either way."""
    if screw_torque * shaft_speed >= 0.0:
        return screw_torque / propeller.shaft_efficiency
    return screw_torque * propeller.shaft_efficiency


@kernel
def feed_pump_torque(feed: Feed, pumped_share: float, lifted: float, shaft_speed: float) -> float:
    """Mean torque the engine-driven feed pump asks for [N·m], against the motion.

    Parameters: pumped_share [0-1 of its displacement that goes into the boiler]; lifted [Pa above
    atmosphere]; shaft_speed [rev/s].
    Notes: work of a turn is volume times pressure (by definition); what slips, goes back by the bypass or
    never came costs nothing. Smooth through rest (tanh over 0.05 rev/s).
    """
    work = feed.engine_pump_displacement * pumped_share * max(0.0, lifted)
    return work / (2.0 * math.pi) * math.tanh(shaft_speed / 0.05)


@kernel
def shaft_balance(
    engine: Engine, propeller: Propeller, feed: Feed, settings: Settings, now: Running, guess: float
) -> float:
    """Shaft speed at which the torques balance [rev/s].

    Parameters: guess [rev/s, any], where to look first.
    Notes: widens a bracket about the guess, then Chandrupatla's search (inverse quadratic or halving),
    stopped on the width of the bracket. Held to ± engine.highest_speed.
    """
    if settings.throttle <= 0.0 and abs(now.boat_speed) < 1e-9:
        return 0.0
    top = engine.highest_speed
    a = guess if -top <= guess <= top else 0.0  # the first guess of all is no number
    fa = shaft_torque_surplus(engine, propeller, feed, settings, now, a)
    step = 0.02 if fa > 0.0 else -0.02
    b, fb = a, fa
    for _ in range(12):
        a, fa = b, fb
        b = min(max(b + step, -top), top)
        step *= 3.0
        fb = shaft_torque_surplus(engine, propeller, feed, settings, now, b)
        if not fa * fb > 0.0:
            break
    if not fa * fb <= 0.0:
        return b
    c, fc = a, fa
    share = 0.5
    for _ in range(80):
        x = a + share * (b - a)
        fx = shaft_torque_surplus(engine, propeller, feed, settings, now, x)
        if (fx > 0.0) == (fa > 0.0):
            c, fc = a, fa
        else:
            c, fc = b, fb
            b, fb = a, fa
        a, fa = x, fx
        width = abs(b - a)
        if width < SPEED_TOLERANCE or fx == 0.0:
            break
        least = 0.5 * SPEED_TOLERANCE / width
        xi = (a - b) / (c - b)
        phi = (fa - fb) / (fc - fb)
        if phi * phi < xi and (1.0 - phi) * (1.0 - phi) < 1.0 - xi:
            share = fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
        else:
            share = 0.5
        share = min(1.0 - least, max(least, share))
    return a if abs(fa) < abs(fb) else b


@kernel
def reversing_margin(engine: Engine, propeller: Propeller, now: Running) -> float:
    """Torque the engine can give the other way over what the way of the boat asks of it.

    Parameters: now, of which the boat's speed [m/s, either way] and the steam count.
    Returns: engine torque at rest, gear right over and throttle open, cylinders warm, less friction, over the
    torque of the screw held still at this speed; capped at 99. Below 1 the engine will not turn against the
    screw. Notes: a ratio of torques, by definition.
    """
    torque = engine_at_speed(
        engine, now.pressure_absolute, now.vapour_volume, now.latent_heat, now.back_absolute, 1.0, 1.0, 0.0,
        0.0, 0.0,
    )[0]  # fmt: skip
    screw = propeller_loads(propeller, 0.0, now.boat_speed, WATER_DENSITY)[1]
    friction = engine.friction_pressure * engine.swept_volume / (2.0 * math.pi)
    return min(99.0, max(0.0, torque - friction) / max(abs(screw), 1e-3))
