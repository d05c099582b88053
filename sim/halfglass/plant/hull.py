"""The hull: resistance through the water and wind."""

from __future__ import annotations

from halfglass.plant.compile import kernel
from halfglass.plant.parameters import SPEED_NODES, Hull

AIR_DENSITY = 1.225


@kernel
def water_resistance(hull: Hull, boat_speed: float, fouling: float) -> float:
    """Resistance of the water [N], against the motion.

    Parameters: boat_speed [m/s, + ahead]; fouling [>= 1, multiplies friction only].
    Notes: ITTC-57 friction and residuary resistance by Froude number, tabulated by the catalogue; beyond the
    table both grow with the square of the speed.
    """
    speed = abs(boat_speed)
    position = speed / hull.table_top_speed * (SPEED_NODES - 1)
    node = min(int(position), SPEED_NODES - 2)
    share = min(1.0, position - node)
    friction: float = hull.friction_table[node] * (1.0 - share) + hull.friction_table[node + 1] * share
    residuary: float = hull.residuary_table[node] * (1.0 - share) + hull.residuary_table[node + 1] * share
    resistance = friction * fouling + residuary
    if speed > hull.table_top_speed:
        resistance *= (speed / hull.table_top_speed) ** 2
    return resistance if boat_speed >= 0.0 else -resistance * hull.astern_factor


@kernel
def wind_force(hull: Hull, ground_speed: float, headwind: float) -> float:
    """Force of the wind against the course [N]; headwind over the ground [m/s, + against]."""
    relative = ground_speed + headwind
    return 0.5 * AIR_DENSITY * hull.windage_area * relative * abs(relative)
