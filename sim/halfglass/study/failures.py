"""How long a steady boat lasts after a failure: minutes to each mark, by failure and speed.

The boat is held at her working pressure and ordered glass, fire and engine settled; then one thing fails,
nobody does anything about it, and the plant's own march is read until a mark is passed.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from halfglass.day.outing import UNCERTAINTY
from halfglass.plant import state as y
from halfglass.plant.feed import WATER_HEAT
from halfglass.plant.steam import FREEZING
from halfglass.plant.steamplant import SteamPlant
from halfglass.plant.steamplant import initial_state as plant_state
from halfglass.result.card import After, AtSpeed, FailureRow, FailureTable
from halfglass.scenario.catalogue.fuels import FUELS, charge
from halfglass.scenario.catalogue.reduce import initial_state
from halfglass.scenario.day_models import Scenario
from halfglass.study.case import cruising_throttle, gear_of
from halfglass.study.moment_of_failure import SLOW
from halfglass.study.steady import EVERY, PLENTY, Boat

LOOKED_AHEAD = 2 * 3600.0
SETTLES = 2400.0
"""s for fire, engine, hot well and the held glass to settle (judgement: a few times their lag)."""
STEP = 5.0
"""s between two readings; a crossing between them is found by straight line."""
QUARTER = 0.25
STEAMS_TO = 0.25
"""Share of the working pressure below which the engine cannot drive the boat, as the verdict takes it."""
STOKING_BAND = 0.3e5
"""Pa under the working pressure at which whoever stokes has the damper fully open (judgement)."""
STOKING_SHARE = 0.05
"""Of the heat still missing that a settling damper is moved by at each touch (judgement)."""
FULL_THROTTLE = 1.0


@dataclass(frozen=True)
class Failure:
    """What fails: controls put so at that moment, and what goes on as before."""

    name: str
    remark: str
    controls: dict[str, float] = field(default_factory=dict)
    injector: bool = False  # put on, and off again above the held glass
    fire_out: bool = False
    tells_water: bool = True
    tells_pressure: bool = False


def failures(scenario: Scenario) -> tuple[Failure, ...]:
    """What can fail on this boat, in the order of the card."""
    sources = scenario.boat.feed_sources
    found = []
    if "engine pump" in sources:
        stopped = {"engine_pump_health": 0.0}
        if "injector" in sources:
            found += [
                Failure("Engine pump stopped, injector put on", "", stopped, injector=True),
                Failure("Engine pump stopped, injector will not start", "Nothing feeds.", stopped),
            ]
        else:
            found.append(Failure("Engine pump stopped", "Nothing feeds.", stopped))
        lost = "Condenser or its pipe lost: the pump feeds until the hot well is empty; nobody makes it up."
        found.append(Failure("Nothing comes back to the hot well", lost, {"condensate_leak_fraction": 1.0}))
    else:
        found.append(Failure("Nothing feeds", "The boat has no engine pump."))
    feed = "Fire kept up, feed left as it was." if "engine pump" in sources else "Fire kept up, no feed."
    found.append(
        Failure("Safety valve stuck open", feed, {"first_safety_valve_stuck": 1.0}, tells_pressure=True)
    )
    out = "Burner out" if scenario.aboard.fuel not in FUELS else "Fire lost"
    found.append(
        Failure(
            out, "Throttle and feed left as they were.", fire_out=True, tells_water=False, tells_pressure=True
        )
    )
    return tuple(found)


class Steady:
    """One boat at one throttle, brought to a steady state that a failure can begin from."""

    def __init__(self, boat: Boat, throttle: float, gear: float) -> None:
        self.boat, self.throttle, self.gear = boat, throttle, gear
        self.scenario = boat.scenario
        self.held = self.scenario.orders.glass
        self.solid = self.scenario.aboard.fuel in FUELS
        self.opening = 0.7
        boiler = boat.parameters.boiler
        self.glass_volume = boiler.volume * 0.15  # m³, a first guess that only sets how fast it settles
        self.liquid = 0.0

    def settle(self) -> SteamPlant:
        """The plant after fire, engine and glass have come to rest, pressure held."""
        plant = self.boat.plant()
        hot = replace(
            initial_state(self.scenario), boiler_temperature=self.boat.temperature, boiler_air=False
        )
        self.liquid = hot.boiler_liquid_volume
        self.boat.get_under_way(plant, self.throttle, self.gear)
        self.boat.light(plant)
        while plant.time < SETTLES:
            missed = self.held - plant.reading("glass_fraction")
            self.liquid += 0.1 * self.glass_volume * min(0.5, max(-0.5, missed))
            stocks = plant_state(self.boat.parameters, replace(hot, boiler_liquid_volume=self.liquid))
            for place in (y.BOILER_MASS, y.BOILER_ENERGY):
                plant.marcher.state[place] = stocks[place]
            plant.marcher.state[y.BOILER_AIR] = 0.0
            self.boat.keep_fed(plant)
            self._balance(plant)
            self.tend(plant)
            plant.marcher.advance(plant.time + EVERY)
        return plant

    def _balance(self, plant: SteamPlant) -> None:
        """Move the damper, or the burner, towards the fire that makes the steam used from its feed."""
        water = WATER_HEAT * (plant.reading("hotwell_temperature") - FREEZING)
        need = plant.reading("steam_flow_boiler_engine") * (self.boat.vapour_enthalpy - water)
        short = 1.0 - plant.reading("heat_to_boiler_rate") / max(need, 1.0)
        self._open(plant, self.opening + STOKING_SHARE * min(1.0, max(-1.0, short)))

    def _open(self, plant: SteamPlant, opening: float) -> None:
        self.opening = min(1.0, max(0.0, opening))
        plant.set(**{"damper" if self.solid else "burner_rate": self.opening})

    def tend(self, plant: SteamPlant) -> None:
        """Keep the bed, the tank and its air as they should be."""
        plant.marcher.state[y.BUNKER_FUEL] = PLENTY if self.solid else plant.marcher.state[y.BUNKER_FUEL]
        plant.marcher.state[y.TANK_FUEL] = plant.start_state[y.TANK_FUEL]
        plant.marcher.state[y.TANK_AIR] = plant.start_state[y.TANK_AIR]
        if self.solid:
            plant.clean_grate(1.0)
            if plant.reading("bed_depth") < self.scenario.firing.bed_depth:
                plant.put_on(charge(self.scenario.aboard.fuel, self.scenario.firing.charge))
        plant.marcher.changed()

    def stoke(self, plant: SteamPlant, opening: float) -> None:
        """Open up by how far the pressure has fallen, from the opening that kept it."""
        short = self.scenario.firing.working_pressure - plant.reading("boiler_pressure")
        self._open(plant, opening + short / STOKING_BAND)
        self.tend(plant)

    def fail(self, failure: Failure) -> tuple[AtSpeed, After]:
        """Settle, let it fail, and read until the nut or the last mark asked for is passed."""
        plant = self.settle()
        before = self._before(plant)
        opening, begun = self.opening, plant.time
        plant.set(**failure.controls)
        if failure.fire_out:
            self._put_out(plant)
        marks = _marks(self.scenario)
        found: dict[str, float] = {}
        last = {name: plant.reading(reading) for name, (reading, _) in marks.items()}
        found.update({name: 0.0 for name, (_, value) in marks.items() if last[name] < value})
        while plant.time - begun < LOOKED_AHEAD and not _all_told(failure, found):
            if not failure.fire_out:
                self.stoke(plant, opening)
            self._work_valves(plant)
            if failure.injector:
                self._inject(plant)
            plant.marcher.advance(plant.time + STEP)
            for name, (reading, value) in marks.items():
                now = plant.reading(reading)
                if name not in found and now < value:
                    found[name] = plant.time - begun - STEP * _past(last[name], now, value)
                last[name] = now
        return before, After(
            found.get("quarter"),
            found.get("nut"),
            found.get("astern"),
            found.get("steam"),
            plant.time - begun,
        )

    def _put_out(self, plant: SteamPlant) -> None:
        plant.set(damper=0.0, burner_rate=0.0, blower=0.0)
        if self.solid:
            plant.draw_fire()

    def _work_valves(self, plant: SteamPlant) -> None:
        """Lift and seat the safety valves, which the day does at their crossings."""
        valves, pressure = self.boat.parameters.valves, plant.reading("boiler_pressure")
        for name, pop, seat in (
            ("first_safety_valve", valves.first_set_pressure, valves.first_reseat_pressure),
            ("second_safety_valve", valves.second_set_pressure, valves.second_reseat_pressure),
        ):
            if pressure >= pop or pressure <= seat:
                plant.set(**{name: float(pressure >= pop)})

    def _inject(self, plant: SteamPlant) -> None:
        """Injector on below the held glass and off a tenth above it, as far as its pressure lets it."""
        feed, glass = self.boat.parameters.feed, plant.reading("glass_fraction")
        pressure = plant.reading("boiler_pressure")
        if glass >= self.held + 0.1 or pressure > feed.injector_highest_pressure:
            plant.set(injector=0.0)
        elif glass < self.held and pressure >= feed.injector_starting_pressure:
            plant.set(injector=1.0)

    def _before(self, plant: SteamPlant) -> AtSpeed:
        """The boat as the failure finds her, with the water in the glass at the swell she has."""
        boiler = self.boat.parameters.boiler
        span, bottom = boiler.top_nut_height - boiler.bottom_nut_height, boiler.bottom_nut_height
        swell = plant.reading("swell")
        heights = [bottom + share * span - swell for share in (self.held, QUARTER, 0.0)]
        held, quarter, nut = (self.boat.water_below(height) for height in heights)
        return AtSpeed(
            "", self.throttle, plant.reading("boat_speed"), plant.reading("steam_flow_boiler_engine"),
            held - quarter, held - nut,
        )  # fmt: skip


def _marks(scenario: Scenario) -> dict[str, tuple[str, float]]:
    """The marks: reading, and the value below which it is passed."""
    return {
        "quarter": ("glass_fraction", QUARTER),
        "nut": ("glass_fraction", 0.0),
        "astern": ("reversing_margin", 1.0),
        "steam": ("boiler_pressure", STEAMS_TO * scenario.firing.working_pressure),
    }


def _past(before: float, now: float, value: float) -> float:
    """Share [0-1] of a step that was left when a falling reading passed a value, by straight line.

    >>> _past(0.3, 0.2, 0.225)
    0.25
    """
    return round((value - now) / (before - now), 9)


def _all_told(failure: Failure, found: dict[str, float]) -> bool:
    """Whether nothing more is asked: the nut ends every run, for nothing is told beyond it."""
    return "nut" in found or (failure.tells_pressure and not failure.tells_water and "steam" in found)


def throttles(boat: Boat) -> Iterator[tuple[str, float]]:
    """The three speeds by name with their throttle: cruising is the longest leg's."""
    cruise = cruising_throttle(boat)
    yield "slow", SLOW * cruise
    yield "cruising", cruise
    if cruise < FULL_THROTTLE:
        yield "full", FULL_THROTTLE


def failure_table(scenario: Scenario) -> FailureTable:
    """Every failure at every speed of one boat with the stores and weather of a scenario."""
    boat = Boat(scenario)
    chosen = list(throttles(boat))
    speeds: dict[str, AtSpeed] = {}
    rows = []
    for failure in failures(scenario):
        after = []
        for name, throttle in chosen:
            before, times = Steady(boat, throttle, gear_of(boat.scenario)).fail(failure)
            speeds.setdefault(name, before._replace(name=name))
            after.append(times)
        rows.append(
            FailureRow(
                failure.name, failure.remark, failure.tells_water, failure.tells_pressure, tuple(after)
            )
        )
    return FailureTable(
        scenario.orders.glass, scenario.firing.working_pressure, LOOKED_AHEAD, UNCERTAINTY,
        tuple(speeds.values()), tuple(rows), ASSUMED,
    )  # fmt: skip


ASSUMED = (
    "Steady in still water at working pressure with the ordered glass, when one thing fails and nobody does "
    "anything about it; only the fire is kept up to hold the pressure, as far as it can.",
    f"Slow is {SLOW:g} of the cruising throttle, cruising that of the longest leg, full is wide open.",
    "Nothing is told beyond the bottom nut: there the model's use ends.",
)
