"""Readings as people want them: converted to the units of the answers, with the unit beside them."""

from __future__ import annotations

import math
from collections.abc import Callable

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


def glass(fraction: float) -> str:
    """A part of the length of the glass in whole per cent: nobody reads it closer.

    >>> glass(0.5)
    '50 %'
    """
    return f"{round(100.0 * fraction)} %"


def _water(fraction: float) -> str:
    if fraction < 0.0:
        return f"{glass(-fraction)} of a glass below the bottom nut"
    if fraction > 1.0:
        return f"{glass(fraction - 1.0)} of a glass above the top nut"
    return glass(fraction)


_SAID: dict[str, Callable[[float], str]] = {
    "glass_fraction": _water,
    "reversing_margin": lambda ratio: f"{ratio:.2f} of the effort needed",
    "time": duration,
}


def bare(name: str, in_si: float, system: str, digits: int = 3) -> str:
    """A reading's SI value as shown, without its unit; "-" where it is not known."""
    if name == "glass_fraction" and math.isfinite(in_si):
        return str(round(100.0 * in_si))
    number = float(quantities.convert(in_si, name, system))
    return units.significant(number, digits) if math.isfinite(number) else "-"


def margin(name: str, in_si: float, system: str, digits: int = 2) -> str:
    """How far a reading is from a limit: a difference, so without "gauge" and without the ice point.

    >>> margin("boiler_pressure", 5.6e4, "metric"), margin("hotwell_temperature", 30.0, "trade")
    ('0.56 bar', '54 °F')
    """
    if name == "glass_fraction":
        return f"{glass(in_si)} of the glass"
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
        return "% of the glass"
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
