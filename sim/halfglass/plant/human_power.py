"""What a person can do at a pump lever, and for how long."""

from __future__ import annotations

import math

HORSEPOWER = 745.69987
"""W."""


def sustained_human_power(minutes: float) -> float:
    """Mechanical power a person keeps up until tired [W].

    Parameters: minutes of unbroken work [min, 1 to 480; held to that range].
    Notes: hp = 0.35 - 0.092 log10(t), t in minutes (Krendel, value from memory); it agrees within 5 % with
    1/4 hp for 12 min and 1/8 hp for 4 h.

    >>> round(sustained_human_power(12.0)), round(sustained_human_power(240.0))
    (187, 98)
    """
    held = min(480.0, max(1.0, minutes))
    return HORSEPOWER * (0.35 - 0.092 * math.log10(held))


def lever_force(pressure: float, stroke_volume: float, handle_travel: float, efficiency: float) -> float:
    """Mean force on a pump handle over a delivering stroke [N].

    Parameters: pressure pumped against [Pa above atmosphere]; stroke_volume [m³]; handle_travel [m];
    efficiency of pump and lever [0-1].
    Notes: work in equals work out, F s η = p V (conservation of energy).

    >>> round(lever_force(517e3, 60e-6, 0.5, 0.8))
    78
    """
    return pressure * stroke_volume / (handle_travel * efficiency)
