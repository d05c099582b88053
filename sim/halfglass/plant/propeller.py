"""The screw in four quadrants."""

from __future__ import annotations

import math

from halfglass.plant.compile import kernel
from halfglass.plant.parameters import ANGLE_NODES, Propeller


@kernel
def propeller_loads(
    propeller: Propeller, shaft_speed: float, boat_speed: float, water_density: float
) -> tuple[float, float]:
    """Thrust and torque for any speed of shaft and boat, either way.

    Parameters: shaft_speed [rev/s, + ahead]; boat_speed [m/s through the water, + ahead];
    water_density [kg/m³].
    Returns: (thrust [N, + pushes ahead, before thrust deduction], torque the shaft must supply [N·m]).
    Notes: β = atan2(V_A, 0.7 π n D), V_R² = V_A² + (0.7 π n D)², T = C_T ½ρV_R²(π/4)D²,
    Q = C_Q ½ρV_R²(π/4)D³ (Roddy, Hess & Faller, NSWCCD-50-TR-2006/004) [RHF]. V_A is the boat's speed less
    the wake; with sternway the screw leads and meets undisturbed water (judgement). A worked number is the
    published one in `tests/published`: 0.508 m, B3-65, held still at 2.5 m/s, 422 N of drag and 30.9 N·m.
    Left out: cavitation, air drawn from the surface, inertia of the water, the walk of the stern.
    """
    advance = boat_speed * (1.0 - propeller.wake_fraction) if boat_speed > 0.0 else boat_speed
    tip = 0.7 * math.pi * shaft_speed * propeller.diameter
    square = advance * advance + tip * tip
    if square < 1e-12:
        return 0.0, 0.0
    angle = math.atan2(advance, tip)
    if angle < 0.0:
        angle += 2.0 * math.pi
    position = angle * ((ANGLE_NODES - 1) / (2.0 * math.pi))
    node = min(int(position), ANGLE_NODES - 2)
    share = position - node
    thrust = propeller.thrust_table[node] * (1.0 - share) + propeller.thrust_table[node + 1] * share
    torque = propeller.torque_table[node] * (1.0 - share) + propeller.torque_table[node + 1] * share
    disc = 0.125 * math.pi * water_density * square * propeller.diameter**2
    return thrust * disc, torque * disc * propeller.diameter
