"""What a hand does to fire, burner, hot well and oil, and what the skipper's own orders have done."""

from __future__ import annotations

from collections.abc import Callable, Generator
from typing import TYPE_CHECKING, Any

import simpy

from halfglass.day.feeding import CONTROL as HAND_PUMPS
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
TRYING_GLASS = 20.0
CLEANING = 180.0
PREHEAT = 420.0
"""s for a hand's chores, and of spirit flame under a burner's vaporiser (common practice, no source)."""
DOOR_BEFORE = 0.4
"""Share of the time of a firing before the charge is on (common practice, no source)."""
PREHEAT_AFTER = 30.0
"""s the spirit burns on beside the lit burner (common practice, no source)."""
TANK_LOW, TANK_FULL = 0.85, 1.05
"""Of a burner tank's reference pressure: where it is pumped up, and to what (common practice, no source)."""
BALED = 6.0
"""kg of lake water baled into the hot well at one go (common practice, no source)."""
BALE_BELOW = 0.3
"""Share of the hot well below which it is made up (common practice, no source)."""
RAKED_OUT = 0.9
"""Share of the ash that comes out with rake and slice (common practice, no source)."""
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
    yield from crew.task("firing", crew.takes(DOOR_BEFORE * day.scenario.crew.firing_takes))
    day.clock.do(day.clock.plant.put_on(day.charge(day.scenario.firing.charge)))
    day.clock.set(fire_door=0.0)
    yield from crew.task("firing", crew.takes((1.0 - DOOR_BEFORE) * day.scenario.crew.firing_takes))


def light_burner(day: Day) -> Process:
    """Warm the vaporiser with spirit, then turn the burner on."""
    clock = day.clock
    clock.set(burner_preheat=1.0)
    yield clock.timeout(PREHEAT)
    clock.set(burner_rate=day.crew.ordered("burner_rate", day.scenario.firing.burner_rate))
    day.burner_lit = True
    yield clock.timeout(PREHEAT_AFTER)
    clock.set(burner_preheat=0.0)


def relight(day: Day) -> Process:
    """Light a burner that went out."""
    day.log("crew", "fire", "relighting", "The burner is out: vaporiser being warmed.")
    try:
        yield from light_burner(day)
        day.log("crew", "fire", "burner lit again", f"Burner alight again at {day.show(r.BOILER_PRESSURE)}.")
    except simpy.Interrupt:
        day.burner_lit = False
    day.relighting = None


def round_of_chores(day: Day, seen: Observation) -> Process:
    """Hot well, burner, tank and lubricator."""
    crew, plant = day.crew, day.clock.plant
    if seen.hotwell_fraction < BALE_BELOW:
        yield from bale(day)
    burner = day.parameters.burner
    is_burner = burner.fuel_rate > 0.0
    if is_burner and seen.tank_pressure < TANK_LOW * burner.reference_pressure:
        yield from crew.task("pumping up the tank", crew.takes(TANK_PUMPING))
        day.clock.do(plant.pump_tank_air(TANK_FULL * burner.reference_pressure))
    if is_burner and day.fuel_left:
        mind_the_burner(day, seen)
    if seen.oil_fraction < 0.1:
        yield from crew.task("oiling", crew.takes(OILING))
        day.clock.do(plant.refill_lubricator())
        day.log("crew", "oil", "lubricator filled", "Lubricator filled.")


def mind_the_burner(day: Day, seen: Observation) -> None:
    """Notice that the burner is out, and relight it; one that needs putting right first is left."""
    if day.burner_lit and not seen.flame:
        day.burner_lit = False
        day.clock.set(burner_rate=0.0)
        if not day.burner_sound:
            day.log("crew", "fire", "burner will not light", "The burner is out and needs putting right.")
    wants_flame = not day.burner_lit and not day.crew.banked and day.burner_sound
    if wants_flame and day.relighting is None:
        day.relighting = day.clock.process(relight(day))


def try_glass(day: Day, why: str) -> Process:
    """Open and shut the cocks of the gauge glass in turn; a cock found shut is opened."""
    yield from day.crew.task("trying the glass", day.crew.takes(TRYING_GLASS))
    day.crew.glass_tried_at = day.clock.now
    if day.instruments.is_glass_true:
        if why:
            day.log("crew", "water", "glass tried", f"{why}: cocks tried, the glass is true.")
        return
    before = day.show(r.GLASS_FRACTION)
    day.instruments.open_cock()
    text = f"A cock of the glass was shut: it showed {before}, and shows {day.show(r.GLASS_FRACTION)}."
    day.log("crew", "water", "false glass found", text)


def clean_grate(day: Day) -> Process:
    """Fire door open, clinker sliced off the bars, ash raked out."""
    day.clock.set(fire_door=1.0)
    yield from day.crew.task("cleaning the grate", day.crew.takes(CLEANING))
    day.clock.do(day.clock.plant.clean_grate(RAKED_OUT))
    day.clock.set(fire_door=0.0, clinker_fraction=0.0)
    day.log("crew", "fire", "grate cleaned", f"Grate sliced and raked, {day.show(r.BOILER_PRESSURE)}.")


def bale(day: Day) -> Process:
    """Bale lake water into the hot well, no more than half of what it holds."""
    mass = min(BALED, 0.5 * day.parameters.exhaust.hotwell_capacity)
    yield from day.crew.task("baling", day.crew.takes(BALING))
    day.clock.do(day.clock.plant.make_up_hotwell(mass))
    text = f"{mass:.0f} kg of lake water baled into the hot well."
    day.log("crew", "hotwell", "hot well made up", text)


def blow_down(day: Day, seconds: float) -> Process:
    """Open the blow-down cock for a while; shut it at once if the glass is seen to get low."""
    clock = day.clock
    before = day.show(r.GLASS_FRACTION)
    clock.set(blow_down=1.0)
    working = clock.process(day.crew.task("blowing down", seconds))
    yield day.instruments.when_glass_shows_less(LOWEST_AFTER_BLOW_DOWN) | working
    clock.set(blow_down=0.0)
    after = day.show(r.GLASS_FRACTION)
    day.log("crew", "water", events.BLOWN_DOWN, f"Blown down from glass {before} to {after}.")
    if not working.triggered:
        yield working


def obey(day: Day, order: Order, was_at: dict[str, float]) -> Process:
    """Do what an own order says; `was_at` keeps where a control stood before."""
    clock, feeding = day.clock, day.crew.feeding
    if order.do in CONTROL:
        control = CONTROL[order.do]
        was_at[order.name] = getattr(clock.plant.controls, control)
        if control != "burner_rate" or day.burner_lit:
            clock.set(**{control: order.to if order.to is not None else 0.0})
    elif order.do == "injector":
        yield from feeding.start_injector(order.name)
    elif order.do in HAND_PUMPS:
        feeding.man(order.do, day.show(r.GLASS_FRACTION))
    else:
        yield from ONCE[order.do](day)


def undo(day: Day, order: Order, was_at: dict[str, float]) -> None:
    """Put back what an own order moved, stop what it put on."""
    feeding = day.crew.feeding
    if order.do in CONTROL:
        control, before = CONTROL[order.do], was_at.pop(order.name, None)
        movable = {"throttle": day.crew.under_way, "burner_rate": day.burner_lit}.get(control, True)
        if before is not None and movable:
            day.clock.set(**{control: before})
    elif order.do == "injector" and feeding.is_injecting:
        feeding.stop_injector()
    elif order.do in feeding.pumping:
        feeding.stop_pump(order.do)
        text = f"{order.do[:1].upper()}{order.do[1:]} left, glass {day.show(r.GLASS_FRACTION)}."
        day.log("crew", "feed", "hand pump left", text)


def change_cloth(day: Day) -> Process:
    """Put a clean cloth into the oil separator."""
    yield from day.crew.task("changing the cloth", day.crew.takes(CLOTH))
    day.clock.do(day.clock.plant.change_cloth())
    day.log("crew", "oil", "cloth changed", "A clean cloth in the oil separator.")


ONCE: dict[str, Callable[[Day], Process]] = {
    "bale into the hot well": bale,
    "blow down": lambda day: blow_down(day, BLOW_DOWN_TIME),
    "change the cloth": change_cloth,
    "clean the grate": clean_grate,
    "try the glass": lambda day: try_glass(day, "As ordered"),
}
"""Own orders that are done and over."""
