"""Readings as people want them: converted to the units of the answers, with the unit beside them."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from halfglass.result.clock import duration
from halfglass.vocabulary import quantities, units


def text(name: str, in_si: float, system: str, digits: int = 3) -> str:
    """A reading's SI value with its unit, as the trade would say it.

    >>> text("boiler_pressure", 6.9e5, "metric"), text("water_level", -0.02, "metric")
    ('6.90 bar gauge', '20.0 mm below the bottom nut')
    """
    if name in _SAID and math.isfinite(in_si):
        return _SAID[name](in_si)
    if name in ("water_level", "glass_level") and math.isfinite(in_si):
        side = "below" if in_si < 0 else "above"
        return f"{quantities.show(abs(in_si), name, system, digits)} {side} the bottom nut"
    return quantities.show(in_si, name, system, digits)


def _glass(fraction: float) -> str:
    """The trade speaks of half a glass, not of 50 %."""
    if fraction < 0.0:
        return f"{-fraction:.2f} of a glass below the bottom nut"
    if fraction > 1.0:
        return f"{fraction - 1.0:.2f} of a glass above the top nut"
    return f"{fraction:.2f} of the glass"


_SAID: dict[str, Callable[[float], str]] = {
    "glass_fraction": _glass,
    "reversing_margin": lambda ratio: f"{ratio:.2f} of the effort needed",
    "time": duration,
}


def on_scale(name: str, in_si: Any, system: str) -> Any:
    """SI values (a number or an array) as a picture's scale has them: the glass as a fraction.

    >>> on_scale("glass_fraction", 0.5, "metric"), on_scale("distance", 1500.0, "metric")
    (0.5, 1.5)
    """
    return in_si if name == "glass_fraction" else quantities.convert(in_si, name, system)


def bare(name: str, in_si: float, system: str, digits: int = 3) -> str:
    """A reading's SI value as shown, without its unit; "-" where it is not known."""
    if name == "glass_fraction" and math.isfinite(in_si):
        return f"{in_si:.2f}"
    number = float(quantities.convert(in_si, name, system))
    return units.significant(number, digits) if math.isfinite(number) else "-"


def margin(name: str, in_si: float, system: str, digits: int = 2) -> str:
    """How far a reading is from a limit: a difference, so without "gauge" and without the ice point.

    >>> margin("boiler_pressure", 5.6e4, "metric"), margin("hotwell_temperature", 30.0, "trade")
    ('0.56 bar', '54 °F')
    """
    if name == "glass_fraction":
        return f"{in_si:.2f} of the glass"
    if name == "reversing_margin":
        return f"{in_si:.2f} of the effort needed"
    kind = quantities.lookup(name).kind
    if kind == "temperature":
        unit_shown = units.display_unit("temperature_difference", system)
        return units.show(in_si, "temperature_difference", unit_shown, digits)
    return quantities.show(in_si, name, system, digits).replace(" gauge", "")


def si_unit(name: str) -> str:
    """The SI unit of a reading in words that leave no doubt between gauge and absolute.

    >>> si_unit("boiler_pressure")
    'Pa gauge'
    """
    quantity = quantities.lookup(name)
    return f"{quantity.si_unit} gauge" if quantity.kind == "gauge_pressure" else quantity.si_unit


def unit(name: str, system: str) -> str:
    """The unit a reading is shown in by `bare`, for an axis or a heading."""
    if name == "glass_fraction":
        return "of the glass"
    return quantities.shown_in(name, system)


def subject(name: str) -> str:
    """The subject of a critical item or a log entry, in words."""
    return {"hotwell": "hot well", "reversing": "going astern"}.get(name, name)


_KIND_OF_SUFFIX = {
    "kg": "mass",
    "m": "length",
    "m3": "volume",
    "s": "time",
    "J": "energy",
    "W": "power",
    "K": "temperature",
    "Pa": "gauge_pressure",
}


def total(key: str, in_si: float, system: str) -> tuple[str, str]:
    """The name and the shown value of a total whose key ends in its SI unit.

    >>> total("fuel_used_kg", 21.4, "metric"), total("hand_pumping_s", 5400.0, "metric")
    (('fuel used', '21.4 kg'), ('hand pumping', '1 h 30 min'))
    """
    name, _, suffix = key.rpartition("_")
    if suffix not in _KIND_OF_SUFFIX:
        return key.replace("_", " "), units.significant(in_si, 3)
    label = name.replace("_", " ")
    if name in quantities.QUANTITIES:
        return label, text(name, in_si, system)
    kind = _KIND_OF_SUFFIX[suffix]
    unit_shown = None if kind == "time" else units.display_unit(kind, system)
    return label, units.show(in_si, kind, unit_shown)
