"""The hull: resistance through the water and wind."""

from __future__ import annotations

from halfglass.plant.compile import kernel
from halfglass.plant.parameters import SPEED_NODES, Hull

AIR_DENSITY = 1.225


@kernel
def water_resistance(hull: Hull, boat_speed: float, fouling: float) -> float:
    """Resistance of the water [N], with the sign of the speed it works against.

    Parameters: hull [its tables from 0 to table_top_speed]; boat_speed [m/s through the water, + ahead];
    fouling [>= 1, multiplies friction only].
    Notes: ITTC-57 friction 0.075/(log10 Re - 2)² on the wetted surface [TUP] and residuary resistance by
    Froude number [DELFT], tabulated by `catalogue.hulls`; beyond the table (Froude number 0.6) both grow with
    the square of the speed. Sternway multiplies by astern_factor. A worked number is the published one in
    `tests/published`: 7 m, 3.14 m³, 12.4 m² at 5.24 kn, 351 N. Left out: waves met, shallow water, trim.
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
def load_factor(hull: Hull, load: float) -> float:
    """Resistance of the boat with a load over that without.

    Parameters: load [kg, above minus the displacement].
    Notes: (displacement ratio)^(2/3), as the surface of like bodies goes (common practice, no source).
    """
    factor: float = max(0.1, 1.0 + load / hull.displaced_mass) ** (2.0 / 3.0)
    return factor


@kernel
def wind_force(hull: Hull, ground_speed: float, headwind: float) -> float:
    """Force of the wind against the course [N], ½ρ (area × drag coefficient) v|v|.

    Parameters: ground_speed [m/s, any, + ahead]; headwind over the ground [m/s, any, + against].
    Notes: 1.6 m² at 2.5 m/s into 5 m/s: ½ × 1.225 × 1.6 × 7.5² = 55 N. Wind from the side is not told apart.
    """
    relative = ground_speed + headwind
    return 0.5 * AIR_DENSITY * hull.windage_area * relative * abs(relative)
