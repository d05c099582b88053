"""Which units the answers are in: a system by name, and single units picked over it.

A choice is written as text, in a scenario and on the command line alike: ``"trade"``, or
``"trade, pressure=bar, speed=kn"``.  `chosen` is what everything that shows a value goes by.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType

from halfglass.vocabulary.errors import listed, nearest, quoted
from halfglass.vocabulary.unit_table import KINDS, SYSTEMS, USES, find_unit

# What a unit may be picked for, and the kinds and uses of `unit_table` shown in it.
PICKS: Mapping[str, tuple[str, ...]] = MappingProxyType({
    "pressure": ("gauge_pressure",),
    "draught": ("pressure_difference",),
    "temperature": ("temperature", "temperature_difference"),
    "level": ("level",),
    "distance": ("distance",),
    "speed": ("speed",),
    "mass": ("mass",),
    "volume": ("volume",),
    "mass_flow": ("mass_flow",),
    "volume_flow": ("volume_flow",),
    "power": ("power",),
    "heat_rate": ("heat_rate",),
    "energy": ("energy",),
    "length": ("length",),
    "area": ("area",),
})  # fmt: skip


def canonical(text: str, base: str = "metric") -> str:
    """A choice of units, checked and written plainly.

    text: a system, single units as ``name=unit``, or both, with commas between.  base: the choice that
    single units without a system are picked over.  Raises ValueError with a sentence for people.

    >>> canonical("pressure=kPa,speed=mph", "trade, speed=kn")
    'trade, pressure=kPa gauge, speed=mph'
    """
    entries = [entry.strip() for entry in text.split(",")]
    first = entries[0] if "=" not in entries[0] else ""
    if first and first not in SYSTEMS:
        near = nearest(first, SYSTEMS)
        hint = f"; did you mean {quoted(near)}?" if near else f"; there are {listed(SYSTEMS)}"
        raise ValueError(f"{quoted(first)} is not a system of units{hint}")
    picked = {} if first or base in SYSTEMS else _picked(base.split(",")[1:])
    picked |= _picked(entries[1:] if first else entries)
    system = first or base.partition(",")[0]
    in_order = [f"{name}={picked[name]}" for name in PICKS if name in picked]
    return ", ".join([system, *in_order])


@lru_cache(maxsize=64)
def chosen(choice: str) -> Mapping[str, str]:
    """The unit every kind and use is shown in under a choice of units, by its name in `unit_table`.

    >>> chosen("trade")["speed"], chosen("trade, pressure=bar")["gauge_pressure"]
    ('kn', 'bar gauge')
    """
    system, *picks = canonical(choice).split(", ")
    shown = {**SYSTEMS[system], **{use: units[system] for use, (_, units) in USES.items()}}
    for name, unit in _picked(picks).items():
        shown |= dict.fromkeys(PICKS[name], unit)
    return MappingProxyType(shown)


def _picked(entries: list[str]) -> dict[str, str]:
    """The symbol of the unit picked for each name."""
    picked = {}
    for entry in entries:
        name, equals, unit_text = (part.strip() for part in entry.partition("="))
        if not equals:
            raise ValueError(
                f"{quoted(entry)} does not pick a unit; write a system first, then such as 'pressure=bar'"
            )
        if name not in PICKS:
            near = nearest(name, PICKS)
            hint = f"did you mean {quoted(near)}?" if near else f"there are {listed(PICKS)}"
            raise ValueError(f"no unit can be picked for {quoted(name)}; {hint}")
        kind = USES[PICKS[name][0]][0] if PICKS[name][0] in USES else PICKS[name][0]
        unit = find_unit(kind, unit_text)
        if unit is None:
            known = listed(unit.symbol for unit in KINDS[kind].units)
            raise ValueError(f"{quoted(unit_text)} is not a unit of {name}; there are {known}")
        picked[name] = unit.symbol
    return picked
