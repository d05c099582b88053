"""What a hand does to fire, burner, hot well and oil, and what the skipper's own orders have done."""

from __future__ import annotations

from collections.abc import Generator
from typing import TYPE_CHECKING, Any

import simpy

from halfglass.day.instruments import Observation
from halfglass.plant import reading as r
from halfglass.result import events

if TYPE_CHECKING:
    from halfglass.day.outing import Day
    from halfglass.scenario.order_models import Order

Process = Generator[simpy.Event, Any, None]

TANK_PUMPING = 60.0
BALING = 45.0
OILING = 60.0
CLOTH = 240.0
PREHEAT = 420.0
"""s for a hand's chores, and of spirit flame under a burner's vaporiser (common practice, no source)."""
BALED = 6.0
"""kg of lake water baled into the hot well at one go (common practice, no source)."""
BALE_BELOW = 0.3
"""Share of the hot well below which it is made up (common practice, no source)."""
BLOW_DOWN_TIME = 10.0
LOWEST_AFTER_BLOW_DOWN = 0.3
"""Glass at which blowing down stops whatever was asked for (common practice, no source)."""
CONTROL = {
    "set throttle": "throttle", "stop the engine": "throttle", "set damper": "damper", "set blower": "blower",
    "set bypass": "bypass", "engine pump": "bypass", "set burner": "burner_rate",
    "set condensate drain": "condensate_drain",
}  # fmt: skip


def fire_up(day: Day) -> Process:
    """One firing: door open, a charge, door shut."""
    crew = day.crew
    day.clock.set(fire_door=1.0)
    yield from crew.task("firing", crew.takes(0.4 * day.scenario.crew.firing_takes))
    day.clock.do(day.clock.plant.put_on(day.charge(day.scenario.firing.charge)))
    day.clock.set(fire_door=0.0)
    yield from crew.task("firing", crew.takes(0.6 * day.scenario.crew.firing_takes))


def light_burner(day: Day) -> Process:
    """Warm the vaporiser with spirit, then turn the burner on."""
    clock = day.clock
    clock.set(burner_preheat=1.0)
    yield clock.timeout(PREHEAT)
    clock.set(burner_rate=day.scenario.firing.burner_rate)
    day.burner_lit = True
    yield clock.timeout(30.0)
    clock.set(burner_preheat=0.0)


def relight(day: Day) -> Process:
    """Light a burner that went out."""
    day.log("crew", "fire", "relighting", "The burner is out: vaporiser being warmed.")
    yield from light_burner(day)
    day.log("crew", "fire", "burner lit again", f"Burner alight again at {day.show(r.BOILER_PRESSURE)}.")
    day.relighting = None


def round_of_chores(day: Day, seen: Observation) -> Process:
    """Hot well, burner, tank and lubricator."""
    crew, plant = day.crew, day.clock.plant
    capacity = day.parameters.exhaust.hotwell_capacity
    if seen.hotwell_fraction < BALE_BELOW:
        yield from bale(day, min(BALED, 0.5 * capacity))
    burner = day.parameters.burner
    is_burner = burner.fuel_rate > 0.0
    if is_burner and seen.tank_pressure < 0.85 * burner.reference_pressure:
        yield from crew.task("pumping up the tank", crew.takes(TANK_PUMPING))
        day.clock.do(plant.pump_tank_air(1.05 * burner.reference_pressure))
    if is_burner and day.burner_lit and not seen.flame and day.burner_sound and day.fuel_left:
        day.burner_lit = False
        day.clock.set(burner_rate=0.0)
    wants_flame = is_burner and not day.burner_lit and not crew.banked and day.burner_sound
    if wants_flame and day.relighting is None and day.fuel_left:
        day.relighting = day.clock.process(relight(day))
    if seen.oil_fraction < 0.1:
        yield from crew.task("oiling", crew.takes(OILING))
        day.clock.do(plant.refill_lubricator())
        day.log("crew", "oil", "lubricator filled", "Lubricator filled.")


def bale(day: Day, mass: float) -> Process:
    """Bale lake water [kg] into the hot well."""
    yield from day.crew.task("baling", day.crew.takes(BALING))
    day.clock.do(day.clock.plant.make_up_hotwell(mass))
    text = f"Hot well low: {mass:.0f} kg of lake water baled in."
    day.log("crew", "hotwell", "hot well made up", text)


def blow_down(day: Day, seconds: float) -> Process:
    """Open the blow-down cock for a while; shut it at once if the glass gets low."""
    clock = day.clock
    before = day.show(r.GLASS_FRACTION)
    clock.set(blow_down=1.0)
    low = clock.event()
    guard = clock.guard(r.GLASS_FRACTION, LOWEST_AFTER_BLOW_DOWN, -1, lambda: _once(low))
    working = clock.process(day.crew.task("blowing down", seconds))
    if day.instruments.is_glass_true:
        yield low | working
    else:
        yield working
    clock.disarm(guard)
    clock.set(blow_down=0.0)
    after = day.show(r.GLASS_FRACTION)
    day.log("crew", "water", events.BLOWN_DOWN, f"Blown down from glass {before} to {after}.")
    if not working.triggered:
        yield working


def _once(event: simpy.Event) -> None:
    if not event.triggered:
        event.succeed()


def obey(day: Day, order: Order, was_at: dict[str, float]) -> Process:
    """Do what an own order says; `was_at` keeps where a control stood before."""
    clock, feeding = day.clock, day.crew.feeding
    if order.do in CONTROL:
        control = CONTROL[order.do]
        was_at[order.name] = getattr(clock.plant.controls, control)
        clock.set(**{control: order.to if order.to is not None else 0.0})
    elif order.do == "injector":
        yield from feeding.start_injector(order.name)
    elif order.do in ("hand pump on hot well", "hand pump on lake"):
        yield from feeding.put_on(order.do)
    elif order.do == "bale into the hot well":
        yield from bale(day, min(BALED, 0.5 * day.parameters.exhaust.hotwell_capacity))
    elif order.do == "blow down":
        yield from blow_down(day, BLOW_DOWN_TIME)
    elif order.do == "change the cloth":
        yield from day.crew.task("changing the cloth", day.crew.takes(CLOTH))
        clock.do(clock.plant.change_cloth())


def undo(day: Day, order: Order, was_at: dict[str, float]) -> Process:
    """Put back what an own order moved, stop what it put on."""
    clock, feeding = day.clock, day.crew.feeding
    if order.do in CONTROL:
        before = was_at.pop(order.name, None)
        if before is not None and (day.crew.under_way or CONTROL[order.do] != "throttle"):
            clock.set(**{CONTROL[order.do]: before})
    elif order.do == "injector" and feeding.is_injecting:
        feeding.stop_injector()
    elif order.do in feeding.pumping:
        feeding.stop_pump(order.do)
        day.log("crew", "feed", "hand pump left", f"{order.do} left, glass {day.show(r.GLASS_FRACTION)}.")
    yield clock.timeout(0.0)
