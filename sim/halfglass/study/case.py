"""What the sanity table is made from: one boat, its fire at full draught, and the boat at cruising."""

from __future__ import annotations

import math
from dataclasses import dataclass

from halfglass.plant.feed import WATER_HEAT
from halfglass.plant.steam import FREEZING
from halfglass.scenario.catalogue.fuels import FUELS
from halfglass.scenario.day_models import Scenario
from halfglass.scenario.route_steps import Leg
from halfglass.study.steady import CRUISE_SETTLES, Boat, Fire, UnderWay

FROM_AND_AT = 970.4 * 2326.0
"""J/kg to evaporate from and at 212 °F (Babcock & Wilcox 1919: 970.4 Btu/lb)."""
THROTTLES = (0.2, 0.4, 0.6, 0.8, 1.0)
CRUISING_SHARE, CRUISING_SPEED = 2.0 / 3.0, 0.9
"""A boat without a route is taken to cruise with this share of the steam her fire can make, or at this share
of her hull speed if that takes less (judgement)."""
HALVINGS = 9
ENDLESS = float("inf")


@dataclass(frozen=True)
class Case:
    """One boat as the lines of the table see it."""

    scenario: Scenario
    boat: Boat
    full: Fire  # damper or burner fully open, natural draught
    hardest: Fire  # with the steam blower as well
    speeds: tuple[UnderWay, ...]
    cruise: UnderWay
    cruising_fire: Fire
    is_alone: bool  # a boat file without a scenario

    @property
    def feed_enthalpy(self) -> float:
        """Of the feed at cruising [J/kg]."""
        return WATER_HEAT * (self.cruise.feed_temperature - FREEZING)

    @property
    def evaporation(self) -> float:
        """Steam the fire makes at full draught from feed as warm as at cruising [kg/s]."""
        return max(self.full.net_heat, 1.0) / (self.boat.vapour_enthalpy - self.feed_enthalpy)

    @property
    def heating_surface(self) -> float:
        """Furnace and tubes [m²]."""
        boiler = self.boat.parameters.boiler
        return boiler.radiant_area + boiler.convective_area

    def water_between(self, low: float, high: float) -> float:
        """Boiler water between two heights above the lowest water space [kg], without bubbles."""
        return self.boat.water_below(high) - self.boat.water_below(low)

    @property
    def ordered_height(self) -> float:
        """Height of the water the crew hold [m]."""
        boiler = self.boat.parameters.boiler
        span = boiler.top_nut_height - boiler.bottom_nut_height
        return boiler.bottom_nut_height + self.scenario.orders.glass * span


def study(scenario: Scenario, is_alone: bool = False) -> Case:
    """Bring a boat to the steady states its table needs.

    Parameters: scenario; is_alone, that its day is made up around a boat file.
    """
    boat = Boat(scenario)
    full = boat.fires()
    hardest = boat.fires(blower=1.0) if scenario.aboard.fuel in FUELS else full
    gear = gear_of(scenario)
    speeds = tuple(boat.steams(each, gear, CRUISE_SETTLES) for each in THROTTLES)
    if is_alone:
        heat, speed = CRUISING_SHARE * full.net_heat, CRUISING_SPEED * hull_speed(scenario)
        throttle = throttle_for(boat, gear, heat, speed, ENDLESS)
    else:
        throttle = cruising_throttle(boat)
    cruise = boat.steams(throttle, gear, CRUISE_SETTLES)
    fire = _fire_for(boat, needed(boat, cruise), full)
    return Case(scenario, boat, full, hardest, speeds, cruise, fire, is_alone)


def longest_leg(scenario: Scenario) -> Leg | None:
    """The longest leg of the route, whose throttle counts as cruising."""
    legs = [step for step in scenario.route if isinstance(step, Leg)]
    return max(legs, key=lambda leg: leg.distance, default=None)


def gear_of(scenario: Scenario) -> float:
    """Reversing gear of the longest leg [0-1]."""
    leg = longest_leg(scenario)
    return leg.reversing_gear if leg is not None else 1.0


def cruising_throttle(boat: Boat) -> float:
    """Throttle of the longest leg [0-1], or that which gives its speed or turns; open without a leg."""
    leg = longest_leg(boat.scenario)
    if leg is not None and leg.throttle is not None:
        return leg.throttle
    speed = leg.speed if leg is not None and leg.speed is not None else ENDLESS
    turns = leg.turns if leg is not None and leg.turns is not None else ENDLESS
    return throttle_for(boat, gear_of(boat.scenario), ENDLESS, speed, turns)


def needed(boat: Boat, way: UnderWay) -> float:
    """Heat that makes the steam used from the feed it gets [W]."""
    return way.steam * (boat.vapour_enthalpy - WATER_HEAT * (way.feed_temperature - FREEZING))


def hull_speed(scenario: Scenario) -> float:
    """Speed at which a boat's own wave is as long as she is [m/s]: 1.34 root LWL, kn and ft."""
    return 1.34 * math.sqrt(scenario.boat.hull.waterline_length / 0.3048) * 1852.0 / 3600.0


def throttle_for(boat: Boat, gear: float, heat: float, speed: float, turns: float) -> float:
    """The throttle [0-1] that asks for this heat [W] or gives this speed [m/s] or turns [rev/s]: halving."""
    low, high = 0.0, 1.0
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        way = boat.steams(middle, gear, CRUISE_SETTLES)
        if needed(boat, way) < heat and way.boat_speed < speed and way.shaft_speed < turns:
            low = middle
        else:
            high = middle
    return high


def _fire_for(boat: Boat, heat: float, full: Fire) -> Fire:
    """The fire that keeps up with a need [W], damper or burner found by halving; or else the full one."""
    if full.net_heat <= heat:
        return full
    low, high, best = 0.0, 1.0, full
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        found = boat.fires(opening=middle)
        if found.net_heat < heat:
            low = middle
        else:
            high, best = middle, found
    return best
