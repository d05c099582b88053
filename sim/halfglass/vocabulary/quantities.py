"""Every reading the simulation records: its one name, unit, plausible range and meaning.

The names are the columns of the timeline.  A pressure named without a suffix is gauge.  `lowest` and
`highest` are the range within which a value makes sense at all [SI]; a reading outside it is a fault
in the model, not a danger on the boat.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from halfglass.vocabulary import units
from halfglass.vocabulary.errors import nearest
from halfglass.vocabulary.unit_table import KINDS


@dataclass(frozen=True)
class Quantity:
    """One reading: name, kind (of `unit_table`), SI unit, meaning, and plausible range [SI]."""

    name: str
    kind: str
    si_unit: str
    meaning: str
    lowest: float
    highest: float


def _reading(name: str, kind: str, lowest: float, highest: float, meaning: str) -> Quantity:
    return Quantity(name, kind, KINDS[kind].si_unit, meaning, lowest, highest)


_DAY, _WARM, _COLD = 7 * 86400.0, 2500.0, 230.0

_ALL = (
    _reading("time", "time", 0.0, _DAY, "time since the start of the scenario"),
    # Boiler
    _reading("boiler_pressure", "gauge_pressure", -1.1e5, 2.4e6,
             "steam pressure in the boiler, as a true pressure gauge shows it"),
    _reading("boiler_temperature", "temperature", _COLD, 520.0, "temperature of the boiler water"),
    _reading("water_level", "length", -2.0, 3.0,
             "true height of the water, steam bubbles and all, above the bottom nut of the glass"),
    _reading("glass_level", "length", -2.0, 3.0,
             "height of water the gauge glass would show above its bottom nut if the glass had no ends"),
    _reading("glass_fraction", "fraction", -20.0, 20.0,
             "water in the gauge glass: 0 at the bottom nut, 1 at the top nut, out of sight beyond"),
    _reading("swell", "length", 0.0, 1.5, "how much steam bubbles in the water raise its level"),
    _reading("boiler_water_mass", "mass", 0.0, 2e4, "water in the boiler"),
    _reading("evaporation_rate", "mass_flow", -2.0, 5.0, "steam made in the boiler"),
    _reading("boiler_solids", "dissolved_solids", 0.0, 3e5, "dissolved solids in the boiler water"),
    _reading("boiler_oil", "dissolved_solids", 0.0, 3e5, "oil that came into the boiler with the feed"),
    _reading("carry_over_fraction", "fraction", 0.0, 1.0, "water carried over in the steam drawn"),
    _reading("steam_room", "time", 0.0, 1e9, "how long the steam space would last at the present draw"),
    _reading("blow_down_flow", "mass_flow", 0.0, 10.0, "water blown down from the boiler"),
    _reading("check_leak_flow", "mass_flow", 0.0, 5.0,
             "water leaking back from the boiler to the hot well"),
    _reading("service_flow", "mass_flow", 0.0, 5.0, "steam to whistle, blower and kettle"),
    # Fire
    _reading("fire_temperature", "temperature", _COLD, _WARM, "temperature of the fire"),
    _reading("bed_depth", "length", 0.0, 1.5, "depth of the fire bed on the grate"),
    _reading("bed_fuel_mass", "mass", 0.0, 500.0, "unburnt fuel in the fire bed"),
    _reading("burning_rate", "mass_flow", 0.0, 0.5, "fuel gone to gas, its moisture with it"),
    _reading("heat_release_rate", "power", 0.0, 1e7, "heat set free by the fire"),
    _reading("heat_to_boiler_rate", "power", -1e6, 1e7, "heat taken up by the boiler"),
    _reading("flue_temperature", "temperature", _COLD, _WARM,
             "temperature of the gases entering the funnel"),
    _reading("draught", "pressure_difference", -200.0, 2000.0, "pull of funnel, blower and blast together"),
    _reading("air_flow", "mass_flow", 0.0, 10.0, "air through the fire"),
    _reading("fuel_on_board", "mass", 0.0, 2e4, "fuel left in the bunker and the tank"),
    _reading("burner_tank_pressure", "gauge_pressure", 0.0, 1.5e6,
             "air pressure in the burner's fuel tank"),
    # Engine
    _reading("shaft_speed", "rotation", -40.0, 40.0, "speed of the propeller shaft, astern negative"),
    _reading("chest_pressure", "gauge_pressure", -1.1e5, 2.4e6, "steam pressure in the steam chest"),
    _reading("back_pressure", "gauge_pressure", -1.1e5, 1e6, "pressure the engine exhausts against"),
    _reading("steam_flow_boiler_engine", "mass_flow", 0.0, 5.0, "steam from the boiler to the engine"),
    _reading("indicated_power", "power", -1e6, 1e6, "power of the steam on the pistons"),
    _reading("shaft_power", "power", -1e6, 1e6, "power at the propeller shaft"),
    _reading("cylinder_temperature", "temperature", _COLD, 520.0, "temperature of the cylinder metal"),
    _reading("cylinder_water", "mass", 0.0, 20.0, "water lying in the cylinder"),
    _reading("lubricator_oil", "mass", 0.0, 50.0, "oil left in the lubricator"),
    # Boat
    _reading("boat_speed", "speed", -10.0, 15.0, "speed of the boat through the water, astern negative"),
    _reading("ground_speed", "speed", -15.0, 20.0, "speed of the boat over the ground"),
    _reading("distance", "length", -1e5, 1e6, "distance gone over the ground"),
    _reading("thrust", "force", -1e5, 1e5, "thrust of the propeller on the hull, astern negative"),
    _reading("reversing_margin", "ratio", 0.0, 1e6,
             "turning effort the engine can give astern at this boiler pressure over what the trailing "
             "screw needs at this speed; at 1 or more she will reverse"),
    # Exhaust
    _reading("condenser_temperature", "temperature", _COLD, 520.0,
             "temperature of the condenser's metal"),
    _reading("condensate_flow", "mass_flow", 0.0, 5.0, "exhaust condensed, on its way to the hot well"),
    _reading("condenser_flood_fraction", "fraction", 0.0, 1.0,
             "share of the condensing surface that stands under condensate"),
    _reading("separator_load_fraction", "fraction", 0.0, 100.0,
             "oil in the separator's cloth over what fills it"),
    _reading("exhaust_lost_flow", "mass_flow", 0.0, 5.0,
             "exhaust steam and water lost overboard or up the funnel"),
    _reading("hotwell_mass", "mass", 0.0, 5e3, "water in the hot well"),
    _reading("hotwell_temperature", "temperature", _COLD, 400.0,
             "temperature of the water in the hot well"),
    _reading("drawn_hotwell_flow", "mass_flow", 0.0, 5.0, "water drawn from the hot well by all that feeds"),
    _reading("steam_to_hotwell_flow", "mass_flow", 0.0, 5.0, "live steam blown into the hot well"),
    # Feed and safety
    _reading("feed_flow_engine_pump", "mass_flow", 0.0, 5.0,
             "feed into the boiler from the engine-driven pump"),
    _reading("feed_flow_hand_pump_hotwell", "mass_flow", 0.0, 5.0,
             "feed into the boiler from the hand pump on the hot well"),
    _reading("feed_flow_hand_pump_lake", "mass_flow", 0.0, 5.0,
             "feed into the boiler from the hand pump on the lake"),
    _reading("feed_flow_injector", "mass_flow", 0.0, 5.0, "feed into the boiler from the injector"),
    _reading("hand_pump_stroke_rate", "stroke_rate", 0.0, 5.0, "strokes really made at the hand pumps"),
    _reading("feed_temperature", "temperature", _COLD, 520.0,
             "temperature of the feed where it enters the boiler"),
    _reading("bypass_flow", "mass_flow", 0.0, 5.0,
             "water the engine pump returns to the hot well by the bypass"),
    _reading("safety_valve_flow", "mass_flow", 0.0, 10.0, "steam blown off by the safety valves"),
    # Controls as set, and hands
    _reading("throttle", "fraction", 0.0, 1.0, "throttle as set: 0 shut, 1 wide open"),
    _reading("reversing_gear", "fraction", -1.0, 1.0,
             "reversing gear as set: 1 full ahead, 0 mid gear, -1 full astern"),
    _reading("damper", "fraction", 0.0, 1.0, "damper as set: 0 shut, 1 wide open"),
    _reading("bypass", "fraction", 0.0, 1.0,
             "bypass of the engine pump as set: 0 shut, all water to the boiler; 1 open, all back to the "
             "hot well"),
    _reading("burner_rate", "fraction", 0.0, 1.0, "burner as set: 0 out, 1 full"),
    _reading("hands_busy", "count", 0.0, 10.0, "hands occupied"),
)

QUANTITIES: Mapping[str, Quantity] = MappingProxyType({quantity.name: quantity for quantity in _ALL})

# Readings shown as a use of their kind (`unit_table.USES`).
_USE: Mapping[str, str] = MappingProxyType({
    **dict.fromkeys(("water_level", "glass_level", "swell", "bed_depth"), "level"),
    "distance": "distance",
    **dict.fromkeys(("heat_release_rate", "heat_to_boiler_rate"), "heat_rate"),
})


def lookup(name: str) -> Quantity:
    """The quantity of that name; an unknown name raises KeyError naming the nearest.

    >>> lookup("draught").si_unit
    'Pa'
    """
    if name not in QUANTITIES:
        raise KeyError(f"no reading is called {name!r}; nearest: {nearest(name, QUANTITIES)}")
    return QUANTITIES[name]


def shown_in(name: str, system: str = "metric") -> str:
    """The unit a reading is shown in under a choice of units; empty for a plain number.

    >>> shown_in("boat_speed"), shown_in("distance", "trade")
    ('kn', 'mile')
    """
    return units.display_unit(_USE.get(name, lookup(name).kind), system)


def convert(value_si: Any, name: str, system: str = "metric") -> Any:
    """An SI value (or numpy array) of a reading in the unit it is shown in; see `units.convert`.

    >>> convert(0.5, "glass_fraction")
    50.0
    """
    return units.convert(value_si, lookup(name).kind, shown_in(name, system))


def show(value_si: float, name: str, system: str = "metric", digits: int = 3) -> str:
    """An SI value of a reading as text in the unit it is shown in; see `units.show`.

    >>> show(0.0825, "water_level"), show(4200.0, "distance", "trade")
    ('82.5 mm', '2.61 mile')
    """
    return units.show(value_si, lookup(name).kind, shown_in(name, system), digits)


def header(name: str, system: str = "metric") -> str:
    """The column header of a reading: its name, and the unit in brackets.

    >>> header("boiler_pressure"), header("hands_busy")
    ('boiler_pressure [bar gauge]', 'hands_busy [count]')
    """
    return f"{name} [{shown_in(name, system) or lookup(name).kind}]"
