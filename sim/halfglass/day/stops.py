"""What is done lying still: locks, lying alongside or at anchor, stores, nights, and shutting down."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Generator
from typing import TYPE_CHECKING, Any

import simpy

from halfglass.day import chores, handling
from halfglass.day.crew import MANOEUVRE
from halfglass.day.orders import Memory
from halfglass.plant import reading as r
from halfglass.result import events

if TYPE_CHECKING:
    from halfglass.day.outing import Day

Process = Generator[simpy.Event, Any, None]

RAISING_FIRE = 600.0
"""s before the end of a lie with banked fire at which the fire is pulled forward."""
ANCHORING, WEIGHING = 90.0, 240.0
"""s a hand is busy letting go and weighing the anchor (common practice, no source)."""
KETTLE_AREA = 1.5e-6
"""m² of the steam cock of the kettle (common practice, no source)."""
PASSENGER = 75.0
"""kg (common practice, no source)."""
COOLING = 300.0


def lock(day: Day, step: Any) -> Process:
    """Come in and make fast, wait for the gates, go through with one hand on the lines."""
    clock, crew = day.clock, day.crew
    yield from handling.lie_still(day)
    day.reach(step.at, is_told=step.at != day.place)
    wait = step.wait + day.lock_delay
    day.lock_delay = 0.0
    if wait > 0.0:
        day.log("crew", "route", "waiting at the lock", f"{step.at}: waiting for the gates.")
        yield clock.timeout(wait)
    day.log("crew", "route", "in the lock", f"{step.at}: in the chamber, {day.state_of_things()}.")
    yield from crew.task("lines", crew.takes(step.takes), MANOEUVRE)
    day.log("crew", "route", "through the lock", f"{step.at}: through, {day.state_of_things()}.")


def lie(day: Day, step: Any) -> Process:
    """Lie made fast or at anchor, the fire worked or banked."""
    clock, crew = day.clock, day.crew
    yield from handling.lie_still(day)
    if step.at_anchor:
        yield from crew.task("anchor", crew.takes(ANCHORING))
        day.log("crew", "route", "at anchor", f"At anchor, {day.state_of_things()}.")
    elif step.fire == "kept up":
        day.log("crew", "route", "lying", f"Lying with the fire kept up, {day.state_of_things()}.")
    ends = clock.now + step.for_
    if step.kettle > 0.0:
        clock.process(boil_the_kettle(day, step.kettle))
    if step.fire == "banked":
        yield from bank(day)
        yield clock.timeout(step.for_ - min(RAISING_FIRE, 0.4 * step.for_))
        yield from pull_forward(day)
    yield clock.timeout(max(0.0, ends - clock.now))
    if step.at_anchor:
        yield from crew.task("anchor", crew.takes(WEIGHING))
        day.log("crew", "route", "anchor weighed", "Anchor up.")


def bank(day: Day) -> Process:
    """Bank the fire: damper shut, or burner out."""
    day.log("crew", "fire", "fire banked", f"Fire banked, {day.show(r.BOILER_PRESSURE)}.")
    day.crew.banked = True
    day.clock.set(damper=0.0, burner_rate=0.0, blower=0.0)
    day.burner_lit = False
    yield day.clock.timeout(0.0)


def pull_forward(day: Day) -> Process:
    """Pull a banked fire forward and open the damper, or light the burner again."""
    day.crew.banked = False
    day.log("crew", "fire", "fire pulled forward", f"Fire pulled forward, {day.show(r.BOILER_PRESSURE)}.")
    if day.solid_fuel:
        day.clock.set(damper=1.0)
        return
    yield from chores.light_burner(day)


def boil_the_kettle(day: Day, seconds: float) -> Process:
    """Steam to the kettle for a while [s]."""
    day.clock.set(heating_steam_area=KETTLE_AREA)
    day.log("crew", "route", "kettle", f"Steam to the kettle, {day.show(r.BOILER_PRESSURE)}.")
    yield day.clock.timeout(seconds)
    day.clock.set(heating_steam_area=0.0)


def passengers(day: Day, step: Any) -> Process:
    """People come aboard or go ashore: the boat floats deeper or higher."""
    yield from handling.lie_still(day)
    yield from day.crew.task("passengers", day.crew.takes(step.takes))
    load = day.clock.plant.controls.load + step.aboard * PASSENGER
    day.clock.set(load=load)
    what = f"{step.aboard} come aboard" if step.aboard >= 0 else f"{-step.aboard} go ashore"
    day.log("crew", "route", "passengers", f"{what}.")


def take_fuel(day: Day, step: Any) -> Process:
    """Fuel into bunker or tank."""
    plant = day.clock.plant
    yield from handling.lie_still(day)
    yield from day.crew.task("taking fuel", day.crew.takes(step.takes))
    before = day.clock.reading(r.FUEL_ON_BOARD)
    day.clock.do(plant.take_fuel(step.mass if day.solid_fuel else step.volume * day.fuel_density))
    taken = day.clock.reading(r.FUEL_ON_BOARD) - before
    day.log("crew", "fuel", events.FUEL_TAKEN, f"{taken:.1f} kg of fuel taken on.")


def take_water(day: Day, step: Any) -> Process:
    """Water into the hot well, as much as it holds."""
    yield from handling.lie_still(day)
    yield from day.crew.task("taking water", day.crew.takes(step.takes))
    room = day.parameters.exhaust.hotwell_capacity - day.clock.reading(r.HOTWELL_MASS)
    mass = min(room, step.volume * 999.0)
    if mass > 0.0:
        day.clock.do(day.clock.plant.make_up_hotwell(mass))
    day.log("crew", "hotwell", events.WATER_TAKEN, f"{max(0.0, mass):.1f} kg of water into the hot well.")


def whistle(day: Day, step: Any) -> Process:
    """Blow the whistle."""
    day.log("crew", "route", "whistle", f"Whistle, {day.show(r.BOILER_PRESSURE)}.")
    yield from handling.blow_whistle(day, step.for_)


def night_halt(day: Day, step: Any) -> Process:
    """Fire drawn or banked, everybody below, until the morning."""
    clock, crew = day.clock, day.crew
    yield from handling.lie_still(day)
    crew.feeding.stop(made_good=False)
    clock.set(bypass=1.0, blower=0.0)
    day.been_under_way = False
    day.log("crew", "route", events.NIGHT, f"Made fast for the night, {day.state_of_things()}.")
    if step.fire == "banked":
        yield from bank(day)
    else:
        crew.banked, day.burner_lit = True, False
        clock.set(damper=0.0, burner_rate=0.0)
        if day.solid_fuel:
            clock.do(clock.plant.draw_fire())
        day.log("crew", "fire", "fire drawn", "Fire drawn.")
        crew.fire_worked = False
    crew.turn_in()
    yield clock.timeout(until_clock(day, step.until))
    crew.asleep = False
    day.log("crew", "route", events.MORNING, f"Turned out, {day.state_of_things()}.")
    if day.instruments.look().glass_empty:
        day.low_water_drill()


def until_clock(day: Day, wanted: datetime.time) -> float:
    """Seconds from now to the next time the clock shows this."""
    now = day.started + datetime.timedelta(seconds=day.clock.now)
    due = datetime.datetime.combine(now.date(), wanted)
    return (due - now).total_seconds() % 86400.0


def blow_down(day: Day, step: Any) -> Process:
    """Open the blow-down cock for a while."""
    yield from chores.blow_down(day, step.for_)


def shut_down(day: Day, step: Any) -> Process:
    """Shut off, let the fire go, end of the day."""
    del step
    yield from handling.lie_still(day)
    day.crew.banked = True
    day.burner_lit = False
    day.crew.feeding.stop(made_good=False)
    day.crew.memory = Memory()
    day.clock.set(damper=0.0, burner_rate=0.0, bypass=1.0, blower=0.0)
    day.log("crew", "fire", "fire let go", f"Steam shut off and the fire let go: {day.state_of_things()}.")
    yield day.clock.timeout(COOLING)
    if day.instruments.look().glass_empty:
        day.low_water_drill()
        return
    day.log(events.DAY, "route", events.SHUT_DOWN, f"Shut down: {day.state_of_things()}.")
    day.finish("arrived", f"The day ends as planned with {day.state_of_things()}.")


STEPS: dict[str, Callable[[Any, Any], Process]] = {
    "lock": lock,
    "lie": lie,
    "passengers": passengers,
    "take on fuel": take_fuel,
    "take on water": take_water,
    "whistle": whistle,
    "night halt": night_halt,
    "blow down": blow_down,
    "shut down": shut_down,
}
