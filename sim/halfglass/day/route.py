"""The route: one process for each kind of step, from lighting up to shutting down."""

from __future__ import annotations

from collections.abc import Callable, Generator
from typing import TYPE_CHECKING, Any

import simpy

from halfglass.day.crew import MANOEUVRE, RAISING_DAMPER, STEER
from halfglass.plant import reading as r
from halfglass.result import events
from halfglass.scenario.catalogue.fuels import charge

if TYPE_CHECKING:
    from halfglass.day.outing import Day

Process = Generator[simpy.Event, Any, None]

KINDLING = 2.0
"""kg of dry kindling under the first charge (common practice, no source)."""
LIT_TEMPERATURE = 950.0
"""K to which paper, oily rag and the first sticks bring bars and bed (common practice, no source)."""
FIRST_CHARGE = 3.0
"""Charges put on the kindling at lighting up."""
PREHEAT = 420.0
"""s of spirit flame under a burner's vaporiser (common practice, no source)."""
WARMING_THROTTLE = 0.06
CASTING_OFF = 30.0
WHISTLE_AREA, WHISTLE_TIME = 2.0e-5, 2.0
"""m² and s of the toot on casting off (common practice, no source)."""
LOWEST_AFTER_BLOW_DOWN = 0.3
"""Glass at which blowing down stops whatever was asked for (common practice, no source)."""
EASING = 30.0
REVERSAL_LOOK = 1.0
"""s after which the crew hear whether the engine has gone astern."""
REVERSAL_PATIENCE = 180.0
"""s for which the gear is held astern while the boat slows."""
RAISING_FIRE = 600.0
"""s before the end of a lie with banked fire at which the fire is pulled forward."""
COOLING = 300.0


def raise_steam(day: Day, step: Any) -> Process:
    """Light up and wait for the pressure."""
    plant, clock = day.clock.plant, day.clock
    day.log("crew", "fire", events.LIGHT_UP, f"Fire lit, glass {day.show(r.GLASS_FRACTION)}.")
    if day.solid_fuel:
        clock.set(damper=RAISING_DAMPER)
        first = charge(day.scenario.aboard.fuel, FIRST_CHARGE * day.scenario.firing.charge)
        clock.do(plant.light(first, charge("air-dry wood", KINDLING), LIT_TEMPERATURE))
    else:
        yield from light_burner(day)
    day.crew.fire_worked = day.crew.raising = True
    up = clock.when(r.BOILER_PRESSURE, step.until, +1)
    yield up | clock.timeout(step.give_up_after)
    day.crew.raising = False
    if not up.triggered:
        day.finish("gave up", f"Steam did not come: {day.show(r.BOILER_PRESSURE)} after the time allowed.")
        return
    day.log("crew", "pressure", "steam up", f"Pressure at {day.show(r.BOILER_PRESSURE)}.")


def light_burner(day: Day) -> Process:
    """Warm the vaporiser with spirit, then turn the burner on."""
    clock = day.clock
    clock.set(burner_preheat=1.0)
    yield clock.timeout(PREHEAT)
    clock.set(burner_rate=day.scenario.firing.burner_rate)
    day.burner_lit = True
    yield clock.timeout(30.0)
    clock.set(burner_preheat=0.0)


def warm_through(day: Day, step: Any) -> Process:
    """Let a little steam through with drains open."""
    day.clock.set(cylinder_drains=1.0, reversing_gear=1.0)
    yield from day.steam_on(WARMING_THROTTLE)
    yield from day.crew.task(step.for_)
    if day.clock.reading(r.ENGINE_HEAT_DEFICIT) > 40.0:
        day.log(
            "crew", "engine", "engine still cool", "Cylinders not yet warm through; drains left open a while."
        )
    day.clock.set(cylinder_drains=0.0, throttle=0.0)
    day.log(
        "crew", "engine", "warmed through", f"Cylinders at {day.show(r.CYLINDER_TEMPERATURE)}, drains shut."
    )


def leg(day: Day, step: Any) -> Process:
    """Steam a distance at a throttle."""
    clock, weather = day.clock, day.scenario.weather
    if clock.plant.controls.moored > 0.5:
        yield from day.crew.task(CASTING_OFF, MANOEUVRE)
        clock.set(whistle_area=WHISTLE_AREA)
        yield clock.timeout(WHISTLE_TIME)
        clock.set(whistle_area=0.0)
        if not day.crew.under_way and not day.been_under_way:
            day.log(events.DAY, "route", events.UNDER_WAY, f"Under way for {step.to}.")
            day.been_under_way = True
        else:
            day.log("crew", "route", "cast off", f"Cast off for {step.to}.")
    else:
        day.log("crew", "route", "next leg", f"On towards {step.to}.")
    day.take_the_helm()
    clock.set(
        moored=0.0,
        stream=weather.stream if step.stream is None else step.stream,
        headwind=weather.headwind if step.headwind is None else step.headwind,
        reversing_gear=step.reversing_gear,
    )
    yield from day.steam_on(step.throttle)
    if day.place is not None:
        day.pass_place("leaving", day.place)
    there = clock.when(r.DISTANCE, clock.reading(r.DISTANCE) + step.distance, +1)
    yield there | clock.timeout(step.give_up_after if step.give_up_after is not None else 12 * 3600.0)
    if not there.triggered:
        day.finish("out of time", f"{step.to} not reached in the time allowed.")
        return
    day.place = step.to
    day.pass_place("arriving", step.to)
    day.log(
        "day",
        "route",
        "reached",
        f"{step.to}: {day.show(r.BOILER_PRESSURE)}, glass {day.show(r.GLASS_FRACTION)}.",
    )


def come_alongside(day: Day, step: Any) -> Process:
    """Ease down, go astern to stop, make fast."""
    clock = day.clock
    day.leave_the_helm()
    with day.crew.hands.request(priority=MANOEUVRE) as hand:
        yield hand
        day.crew.note()
        clock.set(throttle=min(0.15, clock.plant.controls.throttle), damper=0.0)
        yield clock.timeout(day.crew.takes(EASING))
        clock.set(throttle=0.0)
        yield from go_astern(day, 0.5)
        stopped = clock.when(r.BOAT_SPEED, 0.1, -1)
        yield stopped | clock.timeout(300.0)
        clock.set(throttle=0.0, reversing_gear=1.0, moored=1.0)
    day.crew.note()
    if step.at is not None and step.at != day.place:
        day.place = step.at
        day.pass_place("arriving", step.at)
    day.log("crew", "route", "made fast", f"Made fast{' at ' + step.at if step.at else ''}.")


def go_astern(day: Day, throttle: float) -> Process:
    """Gear astern; if the engine does not turn that way at once, hold it there until the boat has slowed."""
    clock = day.clock
    day.log("crew", "reversing", events.REVERSAL_WANTED, f"Gear astern at {day.show(r.BOAT_SPEED)}.")
    margin, began = clock.reading(r.REVERSING_MARGIN) * throttle_share(day, throttle), clock.now
    speed, pressure = day.show(r.BOAT_SPEED), day.show(r.BOILER_PRESSURE)
    clock.set(reversing_gear=-1.0)
    yield from day.steam_on(throttle)
    astern = clock.when(r.SHAFT_SPEED, -0.05, -1)
    yield astern | clock.timeout(REVERSAL_LOOK)
    if not astern.triggered:
        day.log(
            "crew", "reversing", "would not go astern",
            f"At {pressure} and {speed} the screw, dragged round by the boat's way, drives the engine: "
            f"it can give {margin:.2f} of the torque the screw asks for. Waiting for the boat to slow.",
        )  # fmt: skip
        yield astern | clock.timeout(REVERSAL_PATIENCE)
    after = f" after {clock.now - began:.0f} s" if clock.now - began > REVERSAL_LOOK else ""
    if astern.triggered:
        text = f"Engine astern{after} at {day.show(r.BOAT_SPEED)}."
    else:
        text = f"The engine never went astern; the boat lost its way, {day.show(r.BOAT_SPEED)}{after}."
    day.log("crew", "reversing", events.REVERSAL_DONE, text)


def throttle_share(day: Day, throttle: float) -> float:
    """Share [0-1] of the boiler's pressure that stands in the chest of an engine held at rest.

    The readings' reversing margin is for an open throttle; a nearly shut one passes little more than leaks.
    """
    engine = day.parameters.engine
    passed = engine.throttle_area * throttle
    return passed / max(passed + engine.leakage_area, 1e-12)


def manoeuvre(day: Day, step: Any) -> Process:
    """A run of engine movements."""
    clock = day.clock
    day.leave_the_helm()
    with day.crew.hands.request(priority=MANOEUVRE) as hand:
        yield hand
        day.crew.note()
        clock.set(moored=0.0)
        for movement in step.movements:
            if movement.gear == "astern":
                yield from go_astern(day, movement.throttle)
            else:
                ahead = movement.gear == "ahead"
                clock.set(reversing_gear=1.0)
                yield from day.steam_on(movement.throttle if ahead else 0.0)
            yield clock.timeout(movement.for_)
        clock.set(throttle=0.0, reversing_gear=1.0)
    day.crew.note()


def lie(day: Day, step: Any) -> Process:
    """Lie made fast, the fire worked or banked."""
    clock = day.clock
    day.leave_the_helm()
    clock.set(throttle=0.0, moored=1.0)
    if step.fire == "kept up":
        yield clock.timeout(step.for_)
        return
    day.log("crew", "fire", "fire banked", f"Fire banked, {day.show(r.BOILER_PRESSURE)}.")
    day.crew.banked = True
    clock.set(damper=0.0, burner_rate=0.0, blower=0.0)
    day.burner_lit = False
    ends = clock.now + step.for_
    yield clock.timeout(step.for_ - min(RAISING_FIRE, 0.4 * step.for_))
    day.crew.banked = False
    day.log("crew", "fire", "fire pulled forward", f"Fire pulled forward, {day.show(r.BOILER_PRESSURE)}.")
    if day.solid_fuel:
        clock.set(damper=1.0)
    else:
        yield from light_burner(day)
    yield clock.timeout(max(0.0, ends - clock.now))


def blow_down(day: Day, step: Any) -> Process:
    """Open the blow-down cock for a while; shut it at once if the water goes out of sight."""
    clock = day.clock
    before = day.show(r.GLASS_FRACTION)
    clock.set(blow_down=1.0)
    low = clock.when(r.GLASS_FRACTION, LOWEST_AFTER_BLOW_DOWN, -1)
    yield low | clock.process(day.crew.task(step.for_))
    clock.set(blow_down=0.0)
    day.log("crew", "water", "blown down", f"Blown down from glass {before} to {day.show(r.GLASS_FRACTION)}.")


def shut_down(day: Day, step: Any) -> Process:
    """Shut off, let the fire go, end of the day."""
    del step
    day.leave_the_helm()
    day.crew.banked = True
    day.burner_lit = False
    day.crew.stop_feeding(made_good=False)
    day.clock.set(throttle=0.0, moored=1.0, damper=0.0, burner_rate=0.0, bypass=1.0, blower=0.0)
    at = f"{day.show(r.BOILER_PRESSURE)}, glass {day.show(r.GLASS_FRACTION)}"
    day.log("crew", "fire", "fire let go", f"Steam shut off and the fire let go: {at}.")
    yield day.clock.timeout(COOLING)
    if day.crew.observe().glass_empty:
        day.low_water_drill()
        return
    at = f"{day.show(r.BOILER_PRESSURE)}, glass {day.show(r.GLASS_FRACTION)}"
    day.log(events.DAY, "route", events.SHUT_DOWN, f"Shut down: {at}.")
    day.finish("arrived", f"The day ends as planned with {at}.")


STEPS: dict[str, Callable[[Any, Any], Process]] = {
    "raise steam": raise_steam,
    "warm through": warm_through,
    "leg": leg,
    "come alongside": come_alongside,
    "manoeuvre": manoeuvre,
    "lie": lie,
    "blow down": blow_down,
    "shut down": shut_down,
}


def follow(day: Day) -> Process:
    """Do the steps of the route in order."""
    for step in day.scenario.route:
        yield day.clock.process(STEPS[step.step](day, step))
        if day.outcome is not None:
            return
    day.finish("arrived", "The route is done.")


def hold_helm(day: Day) -> Process:
    """With two aboard one of them steers while the boat is under way."""
    try:
        with day.crew.hands.request(priority=STEER) as hand:
            yield hand
            day.crew.note()
            yield day.clock.timeout(24 * 3600.0)
    except simpy.Interrupt:
        pass
    day.crew.note()
