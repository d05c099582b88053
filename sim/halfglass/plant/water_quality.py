"""What is dissolved in the boiler water: how fast it gathers and how much must be blown down."""

from __future__ import annotations

import math


def blow_down_needed(steam: float, feed_solids: float, highest_boiler_solids: float) -> float:
    """Water to blow down so that the boiler water stays at its limit.

    Parameters: steam drawn [kg or kg/s, >= 0]; feed_solids, highest_boiler_solids [mg/kg, >= 0].
    Returns: in the unit of `steam`; infinite if the feed is no purer than the limit.
    Notes: B = S Cf/(Cb - Cf): what the feed S + B brings in goes out with B (conservation; marine and
    stationary practice works it the same way).

    >>> round(100.0 * blow_down_needed(1.0, 100.0, 3500.0), 2)
    2.94
    """
    if feed_solids <= 0.0:
        return 0.0
    if highest_boiler_solids <= feed_solids:
        return math.inf
    return steam * feed_solids / (highest_boiler_solids - feed_solids)


def solids_rise_rate(feed_flow: float, feed_solids: float, water_mass: float) -> float:
    """How fast dissolved solids gather in a boiler that gives off only dry steam.

    Parameters: feed_flow [kg/s]; feed_solids [mg/kg]; water_mass in the boiler [kg, > 0].
    Returns: mg/kg per second.
    Notes: all that the feed brings stays behind, d(C)/dt = m Cf/M at a steady level.

    >>> round(solids_rise_rate(40.0 / 3600.0, 150.0, 60.0) * 3600.0, 6)
    100.0
    """
    return feed_flow * feed_solids / water_mass
