"""The energy flow of a stretch of the day, from the plant's totals and stocks at its two ends.

Every link is a total of its own, so a vessel that does not close shows a flow that was booked at one end
only. The one exception is the screw's wash, which is what is left of the shaft's work.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfglass.plant import state as y
from halfglass.plant.engine_balance import CYLINDER_WATER_ENTHALPY
from halfglass.plant.steamplant import SteamPlant, bed_heat
from halfglass.result.energy_flow import (
    BOILER,
    ENGINE,
    EXHAUST,
    FEED,
    FIRE,
    FUEL,
    HOTWELL,
    OUTSIDE,
    SCREW,
    SHAFT,
    EnergyFlow,
    Link,
    draw,
)


@dataclass(frozen=True)
class Books:
    """The plant's state and the heat given and taken by hand, at one moment [s]."""

    time: float
    state: NDArray[np.float64]
    heat_put_on: float  # J
    ash_heat_removed: float  # J


@dataclass(frozen=True)
class Stretch:
    """Steaming for a place between two looks at the books."""

    heading: str
    first: Books
    last: Books

    @property
    def duration(self) -> float:
        """How long it took [s]."""
        return self.last.time - self.first.time


def look(plant: SteamPlant) -> Books:
    """The books as they stand now; the plant is left as it is."""
    return Books(plant.time, plant.marcher.state.copy(), plant.heat_put_on, plant.ash_heat_removed)


def energy_flow(plant: SteamPlant, stretch: Stretch) -> EnergyFlow:
    """Mean powers over a stretch [W], which must have lasted some time."""
    gain = stretch.last.state - stretch.first.state
    hand = {
        "put on": stretch.last.heat_put_on - stretch.first.heat_put_on,
        "ash": stretch.last.ash_heat_removed - stretch.first.ash_heat_removed,
        "bed": bed_heat(stretch.last.state) - bed_heat(stretch.first.state),
    }
    time = stretch.duration
    flows = [*_fire_and_boiler(plant, gain, hand), *_work(gain), *_water(plant, gain)]
    links = [Link(name, source, target, float(energy) / time) for name, source, target, energy in flows]
    stored = {name: float(energy) / time for name, energy in _stocks(gain).items()}
    return draw(stretch.heading, stretch.first.time, stretch.last.time, FUEL, links, stored)


Flow = tuple[str, str, str, float]


def _fire_and_boiler(plant: SteamPlant, gain: NDArray[np.float64], hand: dict[str, float]) -> list[Flow]:
    """Heat from the fuel to the steam [J]; the bed's unburnt fuel counts as not yet burnt."""
    oil = -gain[y.TANK_FUEL] * plant.parameters.burner.net_heat
    blown = gain[y.TOTAL_STEAM_LOST_HEAT] - gain[y.TOTAL_GLAND_HEAT]
    return [
        (FUEL, OUTSIDE, FIRE, hand["put on"] - hand["bed"] + oil),
        ("heat to the boiler", FIRE, BOILER, gain[y.TOTAL_HEAT_TO_BOILER]),
        ("flue gas", FIRE, OUTSIDE, gain[y.TOTAL_FLUE_HEAT]),
        ("unburnt gas", FIRE, OUTSIDE, gain[y.TOTAL_UNBURNT_HEAT]),
        ("furnace and ash-pit", FIRE, OUTSIDE, gain[y.TOTAL_FURNACE_LOSS]),
        ("ash and fire drawn", FIRE, OUTSIDE, hand["ash"]),
        ("steam to the engine", BOILER, ENGINE, gain[y.TOTAL_ENGINE_STEAM_HEAT]),
        ("boiler casing", BOILER, OUTSIDE, gain[y.TOTAL_CASING_LOSS]),
        ("safety valves, whistle, blower", BOILER, OUTSIDE, blown),
        ("blow-down", BOILER, OUTSIDE, gain[y.TOTAL_BLOW_DOWN_HEAT]),
        ("live steam into the hot well", BOILER, HOTWELL, gain[y.TOTAL_HOTWELL_STEAM_HEAT]),
        ("check valve leak", BOILER, HOTWELL, gain[y.TOTAL_CHECK_LEAK_HEAT]),
    ]


def _work(gain: NDArray[np.float64]) -> list[Flow]:
    """Steam to work, and work to the water [J]."""
    wash = gain[y.TOTAL_SHAFT_WORK] - gain[y.TOTAL_PROPULSIVE_WORK]
    return [
        ("indicated work", ENGINE, SHAFT, gain[y.TOTAL_INDICATED_WORK]),
        ("exhaust steam", ENGINE, EXHAUST, gain[y.TOTAL_EXHAUST_HEAT]),
        ("glands and drains", ENGINE, OUTSIDE, gain[y.TOTAL_GLAND_HEAT] + gain[y.TOTAL_DRAIN_HEAT]),
        ("engine casing", ENGINE, OUTSIDE, gain[y.TOTAL_ENGINE_LOSS]),
        ("friction of engine and shaft", SHAFT, OUTSIDE, gain[y.TOTAL_FRICTION_WORK]),
        ("work of the engine pump", SHAFT, FEED, gain[y.TOTAL_FEED_PUMP_WORK]),
        ("shaft work", SHAFT, SCREW, gain[y.TOTAL_SHAFT_WORK]),
        ("thrust on the boat", SCREW, OUTSIDE, gain[y.TOTAL_PROPULSIVE_WORK]),
        ("wash of the screw", SCREW, OUTSIDE, wash),
    ]


def _water(plant: SteamPlant, gain: NDArray[np.float64]) -> list[Flow]:
    """Exhaust to condensate, hot well and feed [J]; lake water is as warm wherever it goes in."""
    from_lake = gain[y.TOTAL_FEED_HAND_PUMP_LAKE]
    if plant.parameters.feed.injector_from_hotwell <= 0.5:
        from_lake += gain[y.TOTAL_FEED_INJECTOR]
    lake_water = gain[y.TOTAL_LAKE_WATER]
    fed = gain[y.TOTAL_LAKE_WATER_HEAT] * (from_lake / lake_water if lake_water > 0.0 else 0.0)
    spilt = gain[y.TOTAL_WATER_LOST_HEAT] - gain[y.TOTAL_DRAIN_HEAT] - gain[y.TOTAL_BLOW_DOWN_HEAT]
    return [
        ("feed coil", EXHAUST, FEED, gain[y.TOTAL_COIL_HEAT]),
        ("condenser to the lake", EXHAUST, OUTSIDE, gain[y.TOTAL_CONDENSER_HEAT]),
        ("exhaust not condensed", EXHAUST, OUTSIDE, gain[y.TOTAL_EXHAUST_LOST_HEAT]),
        ("condensate", EXHAUST, HOTWELL, gain[y.TOTAL_CONDENSATE_HEAT]),
        ("lake water to the hot well", OUTSIDE, HOTWELL, gain[y.TOTAL_LAKE_WATER_HEAT] - fed),
        ("water drawn from the hot well", HOTWELL, FEED, gain[y.TOTAL_HOTWELL_DRAWN_HEAT]),
        ("hot well cooling", HOTWELL, OUTSIDE, gain[y.TOTAL_HOTWELL_LOSS]),
        ("hot well overflow and leaks", HOTWELL, OUTSIDE, spilt),
        ("lake water fed", OUTSIDE, FEED, fed),
        ("work of the hand pumps", OUTSIDE, FEED, gain[y.TOTAL_HAND_WORK]),
        ("feed to the boiler", FEED, BOILER, gain[y.TOTAL_FEED_HEAT]),
    ]


def _stocks(gain: NDArray[np.float64]) -> dict[str, float]:
    """What each vessel gained [J]."""
    cylinder_water = gain[y.CYLINDER_WATER] * CYLINDER_WATER_ENTHALPY
    return {
        FIRE: gain[y.FIRE_ENERGY],
        BOILER: gain[y.BOILER_ENERGY],
        ENGINE: gain[y.ENGINE_ENERGY] + cylinder_water,
        SHAFT: 0.0,
        SCREW: 0.0,
        EXHAUST: gain[y.CONDENSER_ENERGY] + gain[y.CONDENSATE_ENERGY],
        HOTWELL: gain[y.SEPARATOR_ENERGY] + gain[y.HOTWELL_ENERGY],
        FEED: 0.0,
    }
