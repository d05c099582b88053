"""Flow of steam and hot water through openings: throttle, safety valves, whistle, drains, blow-down."""

from __future__ import annotations

import math

from halfglass.plant.compile import kernel

CRITICAL_RATIO = 0.545
"""Pressure ratio at which the flow of saturated steam begins to fall off: a fitted start of the ellipse.

Babcock & Wilcox 1919 (eq. 49-50) changes from Napier's rule to the unchoked form at 0.58. An ellipse that
starts there stands 3 to 5 % above the unchoked form over 0.8; starting at 0.545 it has lost 0.3 % at 0.58 and
stays within 1.9 % of the form all the way up.
"""
CHOKED_COEFFICIENT = 1.135
"""Exponent k for saturated steam in the choked-flow form of ISO 4126-1 (value from memory)."""


@kernel
def choked_steam_flux(pressure_absolute: float, vapour_volume: float) -> float:
    """Choked flow of saturated steam through unit area.

    Parameters: pressure_absolute [Pa, > 0]; vapour_volume [m³/kg, > 0].
    Returns: kg/(s·m²).
    Notes: G = C sqrt(p/v), C = sqrt(k) (2/(k+1))^((k+1)/(2(k-1))), k = 1.135 (ISO 4126-1 form, from memory).

    >>> round(choked_steam_flux(8.0e5, 0.240328), 1)
    1159.4
    """
    return 0.635462 * math.sqrt(pressure_absolute / vapour_volume)


@kernel
def steam_flow(
    area: float, upstream_absolute: float, downstream_absolute: float, vapour_volume: float
) -> float:
    """Steam from one pressure to a lower one through an effective area; nothing flows back.

    Parameters: area [m², >= 0]; pressures [Pa]; vapour_volume upstream [m³/kg].
    Returns: kg/s.
    Notes: choked below the ratio r_c, above it the ellipse sqrt(1 - ((r - r_c)/(1 - r_c))²), which joins
    smoothly and stands within 1.9 % of the unchoked form with its short-pipe coefficient 0.93
    [BW], eq. 50.

    >>> round(steam_flow(1e-4, 8.0e5, 1.0e5, 0.240328), 5)
    0.11594
    """
    if area <= 0.0 or upstream_absolute <= downstream_absolute:
        return 0.0
    ratio = downstream_absolute / upstream_absolute
    flow = area * choked_steam_flux(upstream_absolute, vapour_volume)
    if ratio > CRITICAL_RATIO:
        shortfall = (ratio - CRITICAL_RATIO) / (1.0 - CRITICAL_RATIO)
        flow *= math.sqrt(max(0.0, 1.0 - shortfall * shortfall))
    return flow


@kernel
def water_flow(area: float, pressure_drop: float, liquid_volume: float) -> float:
    """Liquid through an opening: m = 0.62 A sqrt(2 Δp / v) (law of Torricelli, sharp edge).

    Parameters: area [m²]; pressure_drop [Pa]; liquid_volume [m³/kg].
    Returns: kg/s, 0 when the drop is not positive.

    >>> round(water_flow(1e-5, 5.0e5, 0.00109), 4)
    0.1878
    """
    if pressure_drop <= 0.0:
        return 0.0
    return 0.62 * area * math.sqrt(2.0 * pressure_drop / liquid_volume)
