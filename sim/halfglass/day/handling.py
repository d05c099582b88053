"""Handling the boat: casting off, bringing up, going astern."""

from __future__ import annotations

from collections.abc import Generator
from typing import TYPE_CHECKING, Any

import simpy

from halfglass.day.crew import MANOEUVRE
from halfglass.plant import reading as r
from halfglass.result import events

if TYPE_CHECKING:
    from halfglass.day.outing import Day

Process = Generator[simpy.Event, Any, None]

CASTING_OFF = 30.0
WHISTLE_AREA, WHISTLE_TIME = 2.0e-5, 2.0
"""m² and s of the toot on casting off (common practice, no source)."""
EASING = 30.0
REVERSAL_LOOK = 1.0
"""s after which the crew hear whether the engine has gone astern."""
REVERSAL_PATIENCE = 180.0
"""s for which the gear is held astern while the boat slows."""


def cast_off(day: Day, bound_for: str) -> Process:
    """Let go, with a toot; nothing to do for a boat that is already under way."""
    clock = day.clock
    if clock.plant.controls.moored <= 0.5:
        day.log("crew", "route", "next leg", f"On towards {bound_for}.")
        return
    yield from day.crew.task("lines", CASTING_OFF, MANOEUVRE)
    yield from blow_whistle(day, WHISTLE_TIME)
    if day.been_under_way:
        day.log("crew", "route", "cast off", f"Cast off for {bound_for}.")
    else:
        day.log(events.DAY, "route", events.UNDER_WAY, f"Under way for {bound_for}.")
        day.been_under_way = True


def blow_whistle(day: Day, seconds: float) -> Process:
    """Whistle open for a while [s]."""
    day.clock.set(whistle_area=WHISTLE_AREA)
    yield day.clock.timeout(seconds)
    day.clock.set(whistle_area=0.0)


def lie_still(day: Day) -> Process:
    """Bring the boat up if she is still under way: nothing is done alongside or at anchor before that."""
    day.leave_the_helm()
    if day.clock.plant.controls.moored <= 0.5:
        yield from bring_up(day)


def bring_up(day: Day) -> Process:
    """Ease down, stop the boat with the engine astern, make fast: a hand is at it all the while."""
    clock, crew = day.clock, day.crew
    with crew.hands.request(priority=MANOEUVRE) as hand:
        yield hand
        crew.note()
        begun = clock.now
        clock.set(throttle=min(0.15, clock.plant.controls.throttle))
        if "damper" not in crew.held:
            clock.set(damper=0.0)
        yield clock.timeout(crew.takes(EASING))
        clock.set(throttle=0.0)
        yield from go_astern(day, 0.5)
        stopped = clock.when(r.BOAT_SPEED, 0.1, -1)
        yield stopped | clock.timeout(300.0)
        clock.set(throttle=0.0, reversing_gear=1.0, moored=1.0)
        crew.spent("coming alongside", begun)
    crew.note()


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
