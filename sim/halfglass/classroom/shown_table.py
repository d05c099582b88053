"""What the classroom's page shows, by what name and in which unit; and what answers each control first.

Feed is shown in litres a minute as if a litre weighed a kilogram, which cold water all but does.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from halfglass.vocabulary import units

FEED = "feed"
"""Kind of a flow of water fed: L/min in every choice of units."""
_LITRES_A_MINUTE = 60.0

READINGS: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "boiler_pressure": ("pressure in the boiler", "gauge_pressure"),
        "pressure_shown": ("pressure gauge", "gauge_pressure"),
        "evaporation_rate": ("steam made", "mass_flow"),
        "steam_flow_boiler_engine": ("steam to the engine", "mass_flow"),
        "safety_valve_flow": ("safety valves", "mass_flow"),
        "service_flow": ("whistle and blower", "mass_flow"),
        "carry_over_fraction": ("water in the steam", "fraction"),
        "boiler_water_mass": ("water in the boiler", "mass"),
        "blow_down_flow": ("blown down", FEED),
        "shaft_speed": ("revolutions", "rotation"),
        "boat_speed": ("boat", "speed"),
        "ground_speed": ("over the ground", "speed"),
        "chest_pressure": ("steam chest", "gauge_pressure"),
        "back_pressure": ("back pressure", "gauge_pressure"),
        "shaft_power": ("power to the screw", "power"),
        "glands and drains": ("glands and drains", "mass_flow"),
        "reversing_margin": ("power to go astern", "ratio"),
        "cylinder_water": ("water in the cylinders", "mass"),
        "lubricator_fraction": ("oil in the lubricator", "fraction"),
        "fire_temperature": ("fire", "temperature"),
        "bed_depth": ("bed", "level"),
        "bed_fuel_mass": ("fuel on the bars", "mass"),
        "burning_rate": ("fuel burning", "mass_flow"),
        "heat_to_boiler_rate": ("heat to the boiler", "heat_rate"),
        "flue_temperature": ("funnel gas", "temperature"),
        "draught": ("draught", "pressure_difference"),
        "air_flow": ("air through the fire", "mass_flow"),
        "fuel_on_board": ("fuel in the bunker", "mass"),
        "fuel_moisture": ("water in what is fired", "fraction"),
        "burner_tank_pressure": ("air in the tank", "gauge_pressure"),
        "vaporiser_temperature": ("vaporiser", "temperature"),
        "feed": ("feed", FEED),
        "feed_flow_engine_pump": ("engine pump", FEED),
        "feed_flow_hand_pump_hotwell": ("hand pump, hot well", FEED),
        "feed_flow_hand_pump_lake": ("hand pump, lake", FEED),
        "feed_flow_injector": ("injector", FEED),
        "bypass_flow": ("back by the bypass", FEED),
        "feed_temperature": ("feed at the boiler", "temperature"),
        "injector_margin": ("injector, in hand", "temperature_difference"),
        "check_leak_flow": ("back through the check valve", FEED),
        "boiler_oil": ("oil in the boiler", "dissolved_solids"),
        "separator_load_fraction": ("oil in the separator's cloth", "fraction"),
        "hot well overflow and leaks": ("lost at the hot well", FEED),
        "steam_to_hotwell_flow": ("live steam to the hot well", "mass_flow"),
        "condenser_temperature": ("condenser's metal", "temperature"),
        "hotwell_mass": ("hot well", "mass"),
        "hotwell_temperature": ("hot well", "temperature"),
        "condenser_flood_fraction": ("condenser flooded", "fraction"),
        "glass_shown": ("gauge glass", "glass"),
        "glass_fraction": ("true level", "glass"),
        "water_level": ("water above the bottom nut", "level"),
        "swell": ("swell", "level"),
        "heel": ("she lies over", "angle"),
        "throttle": ("throttle", "fraction"),
        "reversing_gear": ("reversing gear", "fraction"),
        "damper": ("damper", "fraction"),
        "bypass": ("bypass", "fraction"),
        "burner_rate": ("burner", "fraction"),
    }
)
"""What a reading or flow is called beside its number; its kind: of `unit_table`, `FEED`, "glass", "ratio"."""

GROUPS = (
    (
        "Steam",
        [
            "evaporation_rate",
            "steam_flow_boiler_engine",
            "safety_valve_flow",
            "service_flow",
            "carry_over_fraction",
        ],
    ),
    (
        "Feed",
        [
            "feed_flow_engine_pump",
            "feed_flow_hand_pump_hotwell",
            "feed_flow_hand_pump_lake",
            "feed_flow_injector",
            "bypass_flow",
            "feed_temperature",
        ],
    ),
    ("Engine and boat", ["shaft_speed", "boat_speed", "shaft_power", "back_pressure"]),
    ("Fire", ["draught", "burning_rate", "heat_to_boiler_rate", "flue_temperature", "fuel_on_board"]),
)
"""Headings of the list of readings, and what stands under each."""

ANSWERS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "throttle": ("steam_flow_boiler_engine",),
        "reversing_gear": ("shaft_speed",),
        "cylinder_drains": ("glands and drains",),
        "lines": ("boat_speed",),
        "fill the lubricator": ("lubricator_fraction",),
        "whistle": ("service_flow",),
        "damper": ("draught", "air_flow"),
        "fire_door": ("burning_rate", "air_flow"),
        "blower": ("draught", "service_flow"),
        "burner_rate": ("burning_rate",),
        "spirit_cup": ("vaporiser_temperature",),
        "pump up the tank": ("burner_tank_pressure",),
        "charge": ("bed_fuel_mass",),
        "clean the grate": ("bed_depth", "air_flow"),
        "draw the fire": ("bed_fuel_mass",),
        "bypass": ("bypass_flow", "feed_flow_engine_pump"),
        "feed_check": ("feed",),
        "hand_pump_on_hot_well": ("feed_flow_hand_pump_hotwell",),
        "hand_pump_on_lake": ("feed_flow_hand_pump_lake",),
        "injector_water": ("feed_flow_injector",),
        "injector_steam": ("feed_flow_injector",),
        "blow_down": ("blow_down_flow",),
        "condensate_drain": ("condenser_flood_fraction",),
        "bale into the hot well": ("hotwell_mass",),
        "change the cloth": ("separator_load_fraction",),
        "try the glass": ("glass_shown",),
        "engine pump stops delivering": ("feed_flow_engine_pump",),
        "engine pump packing going": ("feed_flow_engine_pump",),
        "check valve leaks": ("check_leak_flow",),
        "injector will not start": ("feed_flow_injector",),
        "hand pump leathers worn": ("feed_flow_hand_pump_hotwell", "feed_flow_hand_pump_lake"),
        "safety valve weeps": ("safety_valve_flow",),
        "safety valve sticks shut": ("safety_valve_flow", "boiler_pressure"),
        "safety valve sticks open": ("safety_valve_flow", "boiler_pressure"),
        "wet fuel": ("fuel_moisture",),
        "clinkered grate": ("air_flow",),
        "burner goes out": ("burning_rate",),
        "condenser fouls": ("condenser_temperature", "back_pressure"),
        "condenser leaks": ("hot well overflow and leaks", "hotwell_mass"),
        "hot well water lost": ("hot well overflow and leaks", "hotwell_mass"),
        "hot well overheated": ("steam_to_hotwell_flow", "hotwell_temperature"),
        "glass cock shut": ("glass_shown", "glass_fraction"),
        "gauge reads wrong": ("pressure_shown", "boiler_pressure"),
        "oily feed": ("boiler_oil", "carry_over_fraction"),
        "boat heels": ("heel", "glass_shown"),
        "stream turns": ("ground_speed",),
        "wind gets up": ("boat_speed", "shaft_speed"),
    }
)
"""The readings that answer a control, or a fault, first: they stand beside it."""


@dataclass(frozen=True)
class Chart:
    """One chart: its title, and its lines as (column, label); each is compared between branches.

    `lowest` and `highest` [SI] it shows at least; `least` [SI] its scale spans, so that noise stays small.
    """

    title: str
    lines: tuple[tuple[str, str], ...]
    lowest: float | None
    highest: float | None
    least: float


CHARTS = (
    Chart("Gauge glass", (("glass_shown", "glass"),), 0.0, 1.0, 1.0),
    Chart("Boiler pressure", (("boiler_pressure", "pressure"),), None, None, 5e4),
    Chart(
        "Steam drawn and feed",
        (("steam_flow_boiler_engine", "steam to the engine"), ("feed", "feed")),
        0.0,
        None,
        1e-2,
    ),
    Chart("Heat to the boiler", (("heat_to_boiler_rate", "heat"),), 0.0, None, 5e3),
    Chart("Hot well", (("hotwell_temperature", "temperature"),), None, None, 10.0),
    Chart("Revolutions", (("shaft_speed", "revolutions"),), None, None, 1.0),
)
"""The charts of the last minutes; all lines of one in the unit of its first."""
COLUMNS = tuple(column for chart in CHARTS for column, _ in chart.lines)

FLOWS: Mapping[str, tuple[str, str, tuple[str, ...]]] = MappingProxyType(
    {
        "fuel": ("heat of the fuel burning", "heat", ("fuel burnt",)),
        "flue": ("up the funnel", "heat", ("flue gas", "unburnt gas")),
        "fire_boiler": ("fire to boiler", "heat", ("heat to the boiler",)),
        "casing": ("lost at the casing", "heat", ("boiler casing",)),
        "blown": ("safety valves, whistle, blower", "water", ("safety valves", "whistle and blower", "vent")),
        "steam": ("steam to the engine", "water", ("steam to the engine",)),
        "shaft": ("work to the screw", "work", ("shaft work",)),
        "exhaust": ("exhaust to the condenser", "water", ("exhaust",)),
        "lost": ("exhaust lost", "water", ("exhaust not condensed",)),
        "well_lost": ("lost at the hot well", "feed", ("hot well overflow and leaks",)),
        "lake_heat": ("condenser to the lake", "heat", ("condenser to the lake",)),
        "condensate": ("condensate to the hot well", "water", ("condensate",)),
        "feed": ("drawn from the hot well", "feed", ("drawn from the hot well",)),
        "bypass": ("back by the bypass", "feed", ("returned by the bypass",)),
        "lake_feed": ("fed from the lake", "feed", ("drawn from the lake",)),
        "blow_down": ("blown down", "feed", ("blow-down",)),
    }
)
"""Arrows of the diagram: in words, what they carry, and the flows of the session that make them up."""


@dataclass(frozen=True)
class Scale:
    """How a reading's SI value becomes the number shown: times `factor`, plus `offset`; its unit and name."""

    label: str
    unit: str
    factor: float
    offset: float = 0.0

    def shown(self, value: float) -> float:
        """The number shown."""
        return value * self.factor + self.offset


def scale(name: str, system: str) -> Scale:
    """How a reading is shown under a choice of units.

    >>> scale("feed", "metric").shown(0.02), scale("glass_fraction", "metric").shown(0.5)
    (1.2, 50.0)
    >>> scale("boiler_pressure", "metric").unit
    'bar'
    """
    label, kind = READINGS[name]
    if kind == FEED:
        return Scale(label, "L/min", _LITRES_A_MINUTE)
    if kind == "glass":
        return Scale(label, "% of the glass", 100.0)
    if kind == "ratio":
        return Scale(label, "of what it takes", 1.0)
    unit = units.display_unit(kind, system)
    zero, one = (float(units.convert(value, units.kind_of(kind), unit)) for value in (0.0, 1.0))
    return Scale(label, (unit or "").replace(" gauge", ""), one - zero, zero)


@dataclass(frozen=True)
class FlowScale:
    """How a flow of the diagram is shown; `width`, what one of its unit is in kW or kg/h."""

    unit: str
    factor: float
    width: float

    def shown(self, value: float) -> float:
        """The number shown."""
        return value * self.factor


def flow_scale(carries: str, system: str) -> FlowScale:
    """How what an arrow carries is shown: heat and work [W], water and feed [kg/s].

    >>> flow_scale("feed", "metric").shown(0.01), flow_scale("heat", "metric").unit
    (0.6, 'kW')
    """
    if carries == FEED:
        return FlowScale("L/min", _LITRES_A_MINUTE, 60.0)
    kind, plain = {"water": ("mass_flow", 3600.0), "heat": ("heat_rate", 1e-3), "work": ("power", 1e-3)}[
        carries
    ]
    unit = units.display_unit(kind, system)
    factor = float(units.convert(1.0, units.kind_of(kind), unit))
    return FlowScale(unit, factor, plain / factor)
