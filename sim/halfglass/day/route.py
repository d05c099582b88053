"""The route: one process for each kind of step under way; what is done lying still is in `stops`."""

from __future__ import annotations

from collections.abc import Callable, Generator
from typing import TYPE_CHECKING, Any

import simpy

from halfglass.day import by_hand, chores, stops
from halfglass.day.crew import MANOEUVRE, STEER
from halfglass.day.energy_account import Stretch, look
from halfglass.day.handling import bring_up, cast_off, go_astern
from halfglass.day.instruments import TURNING
from halfglass.plant import reading as r
from halfglass.result import events
from halfglass.scenario.catalogue.fuels import charge
from halfglass.scenario.route_steps import LONGEST_LEG

if TYPE_CHECKING:
    from halfglass.day.outing import Day

Process = Generator[simpy.Event, Any, None]

KINDLING = 2.0
"""kg of dry kindling under the first charge (common practice, no source)."""
LIT_TEMPERATURE = 950.0
"""K to which paper, oily rag and the first sticks bring bars and bed (common practice, no source)."""
FIRST_CHARGE = 3.0
"""Charges put on the kindling at lighting up."""
GLOWING = 450.0
"""K, mean of the furnace, above which a bed is still alight and need not be lit again (judgement)."""
COLD_BOILER = 1.0e4
"""Pa above atmosphere below which the vent is opened to let the air out."""
WARMING_THROTTLE = 0.06
FIRST_TURNS = 20.0
"""s for which drains left open stay so at least (common practice, no source)."""
WARM_ENOUGH = 25.0
"""K the cylinders may be below the steam when the drains are shut (common practice, no source)."""
WARMING_STRETCH = 30.0
"""s a hand is at throttle and drains at a time while warming through (common practice, no source)."""
BOILING = 373.15
"""K of the cylinders below which steam leaves water in them, and they are drained before starting."""
FIRST_THROTTLE = 0.3
"""Throttle with which a leg begins that holds revolutions or a speed."""
GOVERN_EVERY = 20.0
"""s between touches of the throttle on such a leg (common practice, no source)."""
GOVERN_DEAD_BAND = 0.03
SETTLING = 600.0
"""s of a leg after which speed, condenser and cylinders have settled (judgement)."""


def raise_steam(day: Day, step: Any) -> Process:
    """Light up, or work up a fire that was banked, and wait for the pressure."""
    clock = day.clock
    if day.instruments.pressure < COLD_BOILER:
        clock.set(vent=1.0)
    if day.solid_fuel:
        light_fire(day)
    else:
        day.log("crew", "fire", events.LIGHT_UP, f"Burner being lit, glass {day.show(r.GLASS_FRACTION)}.")
        yield from chores.light_burner(day)
    day.crew.fire_worked = day.crew.raising = True
    day.crew.banked = False
    up = day.instruments.when_gauge_shows(step.until)
    yield up | clock.timeout(step.at_most)
    day.crew.raising = False
    if up.triggered:
        day.log("crew", "pressure", "steam up", f"Pressure at {day.show(r.BOILER_PRESSURE)}.")
        return
    so_far = f"{day.show(r.BOILER_PRESSURE)} after the time allowed"
    if step.if_never == "give up":
        day.finish("gave up", f"Steam did not come: {so_far}.")
        return
    day.log("crew", "pressure", "steam not up", f"Steam did not come: {so_far}. Going on.")


def light_fire(day: Day) -> None:
    """Lay and light a fire, or pull a bed forward that is still alight."""
    clock = day.clock
    is_alight = clock.reading(r.FIRE_TEMPERATURE) > GLOWING and clock.reading(r.BED_FUEL_MASS) > 1.0
    clock.set(damper=day.scenario.firing.raising_damper)
    if is_alight:
        day.log("crew", "fire", events.LIGHT_UP, f"Fire pulled forward, glass {day.show(r.GLASS_FRACTION)}.")
        return
    day.log("crew", "fire", events.LIGHT_UP, f"Fire lit, glass {day.show(r.GLASS_FRACTION)}.")
    first = day.charge(FIRST_CHARGE * day.scenario.firing.charge)
    clock.do(clock.plant.light(first, charge("air-dry wood", KINDLING), LIT_TEMPERATURE))


def warm_through(day: Day, step: Any) -> Process:
    """Let a little steam through with drains open; leave them open if the cylinders are not warm by then.

    Whoever does it is by the boiler, and looks at the glass between one touch and the next.
    """
    clock = day.clock
    clock.set(cylinder_drains=1.0, reversing_gear=1.0)
    yield from day.steam_on(WARMING_THROTTLE)
    left = step.for_
    while left > 0.0:
        yield from day.crew.task("warming through", min(left, WARMING_STRETCH))
        left -= WARMING_STRETCH
    clock.set(throttle=0.0)
    at = f"Cylinders at {day.show(r.CYLINDER_TEMPERATURE)}"
    if clock.reading(r.BOILER_TEMPERATURE) - clock.reading(r.CYLINDER_TEMPERATURE) > WARM_ENOUGH:
        day.log("crew", "engine", "engine still cool", f"{at}: drains left open for the first turns.")
        clock.process(shut_drains_once_warm(day))
        return
    clock.set(cylinder_drains=0.0)
    day.log("crew", "engine", "warmed through", f"{at}, drains shut.")


def drain_if_cold(day: Day) -> None:
    """Open the drains for the first turns of an engine that has stood long enough to get cold."""
    clock = day.clock
    is_cold = clock.reading(r.CYLINDER_TEMPERATURE) < BOILING and clock.reading(r.SHAFT_SPEED) < TURNING
    if not is_cold or clock.plant.controls.cylinder_drains > 0.0:
        return
    clock.set(cylinder_drains=1.0)
    at = day.show(r.CYLINDER_TEMPERATURE)
    day.log("crew", "engine", "drains opened", f"Cylinders at {at}: drains open for the first turns.")
    clock.process(shut_drains_once_warm(day))


def shut_drains_once_warm(day: Day) -> Process:
    """Drains shut under way, when no more water comes from them."""
    yield day.clock.when(r.SHAFT_SPEED, TURNING, +1)
    yield day.clock.timeout(FIRST_TURNS)
    yield day.clock.when(r.ENGINE_HEAT_DEFICIT, WARM_ENOUGH, -1)
    if day.by_hand is not None:
        return
    day.clock.set(cylinder_drains=0.0)
    at = day.show(r.CYLINDER_TEMPERATURE)
    day.log("crew", "engine", "warmed through", f"Cylinders at {at}, drains shut.")


def leg(day: Day, step: Any) -> Process:
    """Steam a distance, holding a throttle, revolutions or a speed."""
    clock, weather = day.clock, day.scenario.weather
    yield from cast_off(day, step.to)
    day.take_the_helm()
    stream = weather.stream if step.stream is None else step.stream
    headwind = weather.headwind if step.headwind is None else step.headwind
    clock.set(
        moored=0.0,
        stream=stream + day.stream_turned,
        headwind=headwind + day.wind_got_up,
        reversing_gear=step.reversing_gear,
    )
    drain_if_cold(day)
    yield from day.steam_on(day.crew.opening(FIRST_THROTTLE if step.throttle is None else step.throttle))
    governing = clock.process(govern(day, step)) if step.throttle is None else None
    if day.place is not None:
        day.pass_place("leaving", day.place)
    there = clock.when(r.DISTANCE, clock.reading(r.DISTANCE) + step.distance, +1)
    out_of_time = clock.timeout(step.at_most if step.at_most is not None else LONGEST_LEG)
    yield there | out_of_time | clock.timeout(SETTLING)
    settled = look(clock.plant)
    yield there | out_of_time
    day.steamed(Stretch(step.to, settled, look(clock.plant)))
    if governing is not None and governing.is_alive:
        governing.interrupt("there")
    if not there.triggered:
        if step.if_never == "give up":
            day.finish("out of time", f"{step.to} not reached in the time allowed.")
        else:
            day.log("crew", "route", "turned back", f"{step.to} not reached in the time allowed. Going on.")
        return
    day.reach(step.to)


def govern(day: Day, step: Any) -> Process:
    """Hold revolutions or speed with the throttle, by what the helmsman counts and sees."""
    clock = day.clock
    reading, wanted = (r.SHAFT_SPEED, step.turns) if step.turns is not None else (r.BOAT_SPEED, step.speed)
    begun, told = clock.now, False
    try:
        while True:
            yield clock.timeout(GOVERN_EVERY)
            if day.crew.eased_from is not None or "throttle" in day.crew.held:
                continue
            now, throttle = clock.reading(reading), clock.plant.controls.throttle
            share = min(1.5, max(0.67, wanted / max(now, 0.05 * wanted)))
            if abs(share - 1.0) > GOVERN_DEAD_BAND:
                clock.set(throttle=min(1.0, max(0.03, throttle * share)))
            if throttle >= 1.0 and share > 1.1 and clock.now - begun > 300.0 and not told:
                told = True
                day.log(
                    "crew", "pressure", "cannot keep it up",
                    f"Throttle wide open at {day.show(r.BOILER_PRESSURE)}, and only {day.show(reading)}.",
                )  # fmt: skip
    except simpy.Interrupt:
        return


def come_alongside(day: Day, step: Any) -> Process:
    """Ease down, go astern to stop, make fast."""
    day.leave_the_helm()
    yield from bring_up(day)
    if step.at is not None and step.at != day.place:
        day.reach(step.at, is_told=False)
    day.log("crew", "route", "made fast", f"Made fast{' at ' + step.at if step.at else ''}.")


def manoeuvre(day: Day, step: Any) -> Process:
    """A run of engine movements."""
    clock = day.clock
    day.leave_the_helm()
    with day.crew.hands.request(priority=MANOEUVRE) as hand:
        yield hand
        day.crew.note()
        begun = clock.now
        clock.set(moored=0.0)
        for movement in step.movements:
            if movement.gear == "astern":
                yield from go_astern(day, movement.throttle)
            else:
                ahead = movement.gear == "ahead"
                clock.set(reversing_gear=1.0)
                if ahead:
                    drain_if_cold(day)
                yield from day.steam_on(movement.throttle if ahead else 0.0)
            yield clock.timeout(movement.for_)
        clock.set(throttle=0.0, reversing_gear=1.0)
        day.crew.spent("manoeuvring", begun)
    day.crew.note()


def follow(day: Day) -> Process:
    """Do the steps of the route in order."""
    for step in day.scenario.route:
        yield day.clock.process(STEPS[step.step](day, step))
        if day.outcome is not None:
            return
    day.finish("arrived", "The route is done.")


def hold_helm(day: Day) -> Process:
    """With two aboard one of them steers while the boat is under way."""
    begun = None
    try:
        with day.crew.hands.request(priority=STEER) as hand:
            yield hand
            day.crew.note()
            begun = day.clock.now
            yield day.clock.timeout(LONGEST_LEG)
    except simpy.Interrupt:
        pass
    day.crew.spent("steering", begun)
    day.crew.note()


STEPS: dict[str, Callable[[Any, Any], Process]] = {
    "raise steam": raise_steam,
    "warm through": warm_through,
    "leg": leg,
    "come alongside": come_alongside,
    "manoeuvre": manoeuvre,
    "by hand": by_hand.by_hand,
    **stops.STEPS,
}
"""What each step of a route does. To add a step, add its table in `route_steps` and a row here."""
