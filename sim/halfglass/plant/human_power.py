"""What a person can do at a hand pump: power that falls as they tire, and the force on the lever."""

from __future__ import annotations

import math

from halfglass.plant.compile import kernel

HORSEPOWER = 745.7
"""W."""
LEVER_EFFICIENCY = 0.85
"""Share of the work at the lever that reaches the water (judgement)."""
LIGHT_FORCE, HEAVY_FORCE, TOO_HEAVY = 45.0, 95.0, 150.0
"""N at the lever: up to which 50 strokes a minute, at which 20, and beyond which none are made."""
LIGHT_STROKES, HEAVY_STROKES = 50.0 / 60.0, 20.0 / 60.0
"""strokes/s (20 heavy or 50 light strokes a minute, force 90 to 100 N: value from memory)."""
RECOVERY_TIME = 600.0
"""s in which rest takes away 63 % of the weariness (judgement)."""


@kernel
def sustained_human_power(minutes: float) -> float:
    """Power a person keeps up for a time.

    Parameters: minutes of unbroken work [> 0; below 0.1 it stays at the value there].
    Returns: W, not below 0.05 hp.
    Notes: hp = 0.35 - 0.092 log10(t/min) (Krendel's rule, value from memory) [KREN].

    >>> [round(sustained_human_power(minutes) / HORSEPOWER, 3) for minutes in (12.0, 240.0)]
    [0.251, 0.131]
    """
    return HORSEPOWER * max(0.05, 0.35 - 0.092 * math.log10(max(minutes, 0.1)))


@kernel
def lever_force(pressure_gauge: float, stroke_volume: float, lever_travel: float) -> float:
    """Mean force on a pump lever over a delivering stroke [N].

    Parameters: pressure_gauge pumped against [Pa above atmosphere]; stroke_volume [m³]; lever_travel [m the
    hand moves]. Notes: work in is work out, F s η = p V (conservation of energy), η = 0.85.

    >>> round(lever_force(517e3, 60e-6, 0.5))
    73
    """
    return max(0.0, pressure_gauge) * stroke_volume / (LEVER_EFFICIENCY * lever_travel)


@kernel
def hand_stroke_limit(
    pressure_gauge: float, stroke_volume: float, lever_travel: float, pumping_time: float
) -> float:
    """Most strokes a person can make against a boiler.

    Parameters: pressure_gauge [Pa above atmosphere]; stroke_volume [m³]; lever_travel [m the hand moves for
    a stroke]; pumping_time [s already at it, less what rest has taken away].
    Returns: strokes/s.
    Notes: work of a stroke W = p V/0.85; the lever's force W/travel sets a pace (50 a minute light, 20 at
    95 N, none at 150 N: value from memory), sustained power over W another; the slower counts.

    >>> round(hand_stroke_limit(5.17e5, 60e-6, 0.5, 60.0) * 60.0, 1)
    33.2
    """
    force = lever_force(pressure_gauge, stroke_volume, lever_travel)
    work = force * lever_travel
    if force <= HEAVY_FORCE:
        eased = min(1.0, max(0.0, (HEAVY_FORCE - force) / (HEAVY_FORCE - LIGHT_FORCE)))
        pace = HEAVY_STROKES + (LIGHT_STROKES - HEAVY_STROKES) * eased
    else:
        pace = HEAVY_STROKES * max(0.0, (TOO_HEAVY - force) / (TOO_HEAVY - HEAVY_FORCE))
    return min(pace, sustained_human_power(pumping_time / 60.0) / max(work, 1e-6))
