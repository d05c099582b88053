"""Steady states of a boat: boiler held at a pressure and a level, fire or engine run until nothing drifts.

The plant's own march is used, with the boiler's stocks put back to their start every few seconds; so every
figure is what a day with that boat would see.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from halfglass.plant import state as y
from halfglass.plant.feed import WATER_HEAT
from halfglass.plant.parameters import PlantParameters
from halfglass.plant.steam import FREEZING, saturation, saturation_temperature
from halfglass.plant.steamplant import SteamPlant
from halfglass.scenario.catalogue.fuels import FUELS, charge
from halfglass.scenario.catalogue.reduce import initial_state, plant_parameters
from halfglass.scenario.day_models import Scenario

EVERY = 10.0
"""s between the touches that hold the boiler, the bed and the tank."""
LIT_TEMPERATURE = 950.0
PLENTY = 1e4
"""kg of fuel in the bunker, so that it does not run out while the fire is watched."""
FIRE_SETTLES, FIRE_WATCHED = 2400.0, 1800.0
ENGINE_SETTLES = 300.0
CRUISE_SETTLES = 1500.0
"""s for hot well and feed as well (judgement: a few times their lag)."""
LEAST_HOTWELL = 2.0
"""kg kept in a hot well that starts with less, so that the pump has water."""
HELD = (y.BOILER_MASS, y.BOILER_ENERGY, y.BOILER_AIR, y.BOILER_SOLIDS)


@dataclass(frozen=True)
class Fire:
    """A steady fire: means over the time watched."""

    heat: float  # W to the boiler
    casing: float  # W lost by the boiler's casing
    fuel: float  # kg/s
    flue_temperature: float  # K

    @property
    def net_heat(self) -> float:
        """Heat left for making steam [W]."""
        return self.heat - self.casing


@dataclass(frozen=True)
class UnderWay:
    """The boat steaming steadily at one throttle."""

    throttle: float  # 0-1
    shaft_speed: float  # rev/s
    boat_speed: float  # m/s
    steam: float  # kg/s to the engine
    indicated_power: float  # W
    exhaust: float  # kg/s
    exhaust_heat: float  # W that condensing and cooling to the condenser's metal would take
    exhaust_lost: float  # kg/s not condensed
    to_lake: float  # W
    gland: float  # kg/s
    feed_temperature: float  # K
    hotwell_temperature: float  # K
    steam_room: float  # s
    back_pressure: float  # Pa gauge


class Boat:
    """One boat with the stores and the working pressure of a scenario, ready to be held steady."""

    def __init__(self, scenario: Scenario) -> None:
        self.scenario = scenario
        self.parameters: PlantParameters = plant_parameters(scenario.boat)
        self.atmosphere = scenario.weather.barometer
        self.pressure = scenario.firing.working_pressure + self.atmosphere  # Pa absolute
        self.temperature = saturation_temperature(self.pressure)
        (_, self.liquid_volume, self.vapour_volume, _, _, self.liquid_enthalpy,
         self.vapour_enthalpy) = saturation(self.pressure)  # fmt: skip

    def plant(self) -> SteamPlant:
        """The boat hot at its working pressure, without air, fire out, made fast."""
        cold = initial_state(self.scenario)
        settings = replace(cold.settings, vent=0.0, cylinder_drains=0.0, stream=0.0, headwind=0.0)
        hot = replace(
            cold, boiler_temperature=self.temperature, boiler_air=False, fuel_mass=PLENTY, settings=settings
        )
        return SteamPlant(self.parameters, hot, record_every=0.0)

    def fires(self, opening: float = 1.0, blower: float = 0.0) -> Fire:
        """The fire kept clean and to its depth, or the burner, once it is steady.

        Parameters: opening [0-1] of the damper or setting of the burner; blower [0-1] in the chimney.
        """
        plant = self.plant()
        self.light(plant)
        if self.scenario.aboard.fuel in FUELS:
            plant.set(damper=opening, blower=blower)
        else:
            plant.set(burner_rate=opening)
        self._burn(plant, FIRE_SETTLES)
        before = plant.marcher.state.copy()
        self._burn(plant, FIRE_WATCHED)
        mean = (plant.marcher.state - before) / FIRE_WATCHED
        return Fire(
            float(mean[y.TOTAL_HEAT_TO_BOILER]), float(mean[y.TOTAL_CASING_LOSS]),
            float(mean[y.TOTAL_FUEL_BURNT]), plant.reading("flue_temperature"),
        )  # fmt: skip

    def _burn(self, plant: SteamPlant, time: float) -> None:
        aboard, firing = self.scenario.aboard, self.scenario.firing
        end = plant.time + time
        while plant.time < end:
            self._hold(plant)
            plant.marcher.state[y.TANK_FUEL] = plant.start_state[y.TANK_FUEL]
            plant.marcher.state[y.TANK_AIR] = plant.start_state[y.TANK_AIR]
            if aboard.fuel in FUELS:
                plant.clean_grate(1.0)
                if plant.reading("bed_depth") < firing.bed_depth:
                    plant.put_on(charge(aboard.fuel, firing.charge))
            plant.marcher.changed()
            plant.marcher.advance(plant.time + EVERY)

    def steams(self, throttle: float, gear: float = 1.0, settles: float = ENGINE_SETTLES) -> UnderWay:
        """The boat under way in still water, the engine pump (if any) feeding just what is used.

        The hot well is kept up with lake water.

        Parameters: throttle, gear [0-1]; settles [s].
        """
        plant = self.plant()
        self.get_under_way(plant, throttle, gear)
        to_lake = 0.0
        while plant.time < settles:
            self._hold(plant)
            plant.marcher.changed()
            self.keep_fed(plant)
            before = plant.state("total_condenser_heat")
            plant.marcher.advance(plant.time + EVERY)
            to_lake = (plant.state("total_condenser_heat") - before) / EVERY
        return self._seen(plant, throttle, to_lake)

    def light(self, plant: SteamPlant) -> None:
        """Light three charges on the grate, or have the burner's vaporiser hot under an open damper."""
        if self.scenario.aboard.fuel in FUELS:
            first = charge(self.scenario.aboard.fuel, 3.0 * self.scenario.firing.charge)
            plant.light(first, charge("air-dry wood", 2.0), LIT_TEMPERATURE)
        else:
            plant.marcher.state[y.VAPORISER_TEMPERATURE] = 850.0
            plant.set(damper=1.0)

    def get_under_way(self, plant: SteamPlant, throttle: float, gear: float) -> None:
        """Off, with a warm engine and some way on, so that it is over its centres; throttle, gear [0-1]."""
        metal = self.parameters.engine.metal_heat_capacity
        plant.marcher.state[y.ENGINE_ENERGY] = metal * (self.temperature - 15.0 - FREEZING)
        plant.marcher.state[y.BOAT_SPEED] = 1.0
        plant.set(moored=0.0, throttle=throttle, reversing_gear=gear)

    def _hold(self, plant: SteamPlant) -> None:
        for place in HELD:
            plant.marcher.state[place] = plant.start_state[place]

    def water_below(self, height: float) -> float:
        """Boiler water below a height above the lowest water space [m], without bubbles [kg]."""
        boiler = self.parameters.boiler
        volumes = np.linspace(0.0, boiler.volume, len(boiler.height_table))
        return float(np.interp(height, boiler.height_table, volumes)) / self.liquid_volume

    def keep_fed(self, plant: SteamPlant) -> None:
        """Let the engine pump, if any, feed just what is used, and keep up the hot well."""
        short = max(float(plant.start_state[y.HOTWELL_MASS]), LEAST_HOTWELL) - plant.state("hotwell_mass")
        if short > 0.0:
            plant.make_up_hotwell(short)  # as hands would, with lake water for the exhaust that is lost
        pumped = plant.reading("feed_flow_engine_pump") + plant.reading("bypass_flow")
        if pumped > 0.0:
            used = plant.reading("steam_flow_boiler_engine")
            plant.set(bypass=max(0.0, 1.0 - used / pumped))

    def _seen(self, plant: SteamPlant, throttle: float, to_lake: float) -> UnderWay:
        flow, enthalpy = plant.reading("exhaust_flow"), plant.reading("exhaust_enthalpy")
        metal = max(plant.reading("condenser_temperature"), self.scenario.weather.water_temperature)
        water = WATER_HEAT * (metal - FREEZING)
        return UnderWay(
            throttle, plant.reading("shaft_speed"), plant.reading("boat_speed"),
            plant.reading("steam_flow_boiler_engine"), plant.reading("indicated_power"),
            flow, flow * (enthalpy - water), plant.reading("exhaust_lost_flow"), to_lake,
            plant.reading("gland_flow"), plant.reading("feed_temperature"),
            plant.reading("hotwell_temperature"), plant.reading("steam_room"),
            plant.reading("back_pressure"),
        )  # fmt: skip
