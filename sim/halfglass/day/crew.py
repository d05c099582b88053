"""The people: hands as SimPy resources, looks, and acting on the standing orders."""

from __future__ import annotations

import random
from collections.abc import Generator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import simpy

from halfglass.day import chores
from halfglass.day.feeding import Feeding
from halfglass.day.instruments import Observation
from halfglass.day.orders import Decision, Memory, decide_fire
from halfglass.day.own_orders import FEEDS, HOLDS, Asked, Standing, decide
from halfglass.plant import reading as r
from halfglass.result import events

if TYPE_CHECKING:
    from halfglass.day.outing import Day

Process = Generator[simpy.Event, Any, None]

ABSENT, MANOEUVRE, STEER, QUICK, PUMP = -1, 0, 1, 2, 3
"""Priorities of the hands: a task is interrupted only by one with a smaller number."""
STOP = "stop"
SKILL = {"learning": 1.5, "ordinary": 1.0, "practised": 0.8}
"""Times of a task by skill (common practice, no source)."""
FULL_EASES = 0.5
"""Share of the throttle left open while water stands out of sight at the top (common practice, no source)."""
TRY_AGAIN = 600.0
"""s after which a glass still out of sight is tried once more (common practice, no source)."""
VENT_SHUT = 2.0e4
"""Pa above atmosphere at which steam blows from the vent and it is shut (common practice, no source)."""


@dataclass(frozen=True)
class Spell:
    """One hand at one task, from start to end [s]."""

    task: str
    start: float
    end: float


class Crew:
    """One or two hands working the boat. Everything they do takes a hand and time."""

    def __init__(self, day: Day, seed: int) -> None:
        self.day = day
        self.clock = day.clock
        self.scenario = day.scenario
        self.dice = random.Random(seed)
        self.hands = simpy.PreemptiveResource(day.clock, capacity=day.scenario.crew.hands)
        self.memory = Memory()
        self.standing: tuple[Standing, ...] = tuple(Standing() for _ in day.scenario.order)
        self.was_at: dict[str, float] = {}  # where a control stood before an own order moved it
        self.held: frozenset[str] = frozenset()
        self.feeding = Feeding(day, self)
        self.busy: list[tuple[float, int]] = [(0.0, 0)]
        self.spells: list[Spell] = []
        self.banked = False
        self.asleep = False
        self.acting = False
        self.fire_worked = False
        self.raising = False
        self.under_way = False
        self.one_ashore = False
        self.eased_from: float | None = None
        self.glass_tried_at = 0.0  # s

    @property
    def is_alone(self) -> bool:
        """Whether there is only one to do everything."""
        return self.scenario.crew.hands - self.one_ashore == 1

    def takes(self, seconds: float) -> float:
        """A time as it falls out this once: by skill, within the scenario's variation."""
        spread = self.scenario.crew.variation
        return seconds * SKILL[self.scenario.crew.skill] * self.dice.uniform(1.0 - spread, 1.0 + spread)

    def note(self) -> None:
        """Record how many hands are busy now."""
        self.busy.append((self.clock.now, self.hands.count - self.one_ashore))
        self.clock.plant.marcher.snapshot()

    def task(self, what: str, seconds: float, priority: int = QUICK) -> Process:
        """Hold one hand for a time; called away by something more pressing, finish afterwards."""
        left = seconds
        while left > 0.0:
            with self.hands.request(priority=priority) as hand:
                begun = None
                try:
                    yield hand
                    self.note()
                    begun = self.clock.now
                    yield self.clock.timeout(left)
                    left = 0.0
                except simpy.Interrupt:
                    left -= self.clock.now - begun if begun is not None else 0.0
                finally:
                    self.spent(what, begun)
            self.note()

    def spent(self, what: str, begun: float | None) -> None:
        """Put down that a hand was at a task from `begun` until now."""
        if begun is not None and self.clock.now > begun:
            self.spells.append(Spell(what, begun, self.clock.now))

    def watch(self) -> Process:
        """Look at glass, gauge and fire again and again, and act on the standing orders."""
        look_every = self.scenario.crew.look_every
        while True:
            yield self.clock.timeout(self.takes(look_every))
            if self.asleep:
                continue
            due = self.clock.now
            yield from self.task("looking", self.takes(self.scenario.crew.look_takes))
            if self.asleep:
                continue
            overdue = due + look_every
            if self.clock.now > overdue:
                self.day.log(
                    events.DAY, "crew", events.TASK_OVERDUE, "A look is overdue: hands full.", overdue
                )
                self.day.log(events.DAY, "crew", events.OVERDUE_TASK_DONE, "Looked at last.")
            self.acting = True
            yield from self.act(self.day.instruments.look())
            self.acting = False

    def act(self, seen: Observation) -> Process:
        """Do what the orders ask after a look."""
        if not self.fire_worked:
            return
        if self.day.by_hand is not None:  # they look on, unless no water is in sight
            if seen.glass_empty:
                self.day.low_water_drill()
            return
        seen = yield from self.make_sure(seen)
        feed, self.memory = self.day.feed_orders(seen, self.memory)
        if feed.fire_out:
            self.day.low_water_drill()
            return
        asked, self.standing = decide(self.scenario.order, self.standing, seen)
        self.held = asked.held
        yield from self.obey(asked, seen)
        fire = decide_fire(seen, self.scenario, self.banked)
        self.set_controls(seen, feed, fire)
        yield from self.feeding.follow(feed, seen)
        if fire.clean:
            yield from chores.clean_grate(self.day)
        if fire.charge and self.day.solid_fuel and self.day.fuel_left:
            yield from chores.fire_up(self.day)
        yield from chores.round_of_chores(self.day, seen)

    def make_sure(self, seen: Observation) -> Generator[simpy.Event, Any, Observation]:
        """Try the glass when it is time to, or when no water is in sight above; what is seen then."""
        since = seen.time - self.glass_tried_at
        too_full = seen.glass is None and not seen.glass_empty and seen.engine_turning
        if not (since >= self.scenario.orders.try_glass_every or (too_full and since >= TRY_AGAIN)):
            return seen
        yield from chores.try_glass(self.day, "Water out of sight at the top" if too_full else "")
        return self.day.instruments.look()

    def obey(self, asked: Asked, seen: Observation) -> Process:
        """Begin and undo what the skipper's own orders ask for."""
        for order in asked.undo:
            self.day.log("crew", "orders", "order undone", f"{order.name}: no longer. {self.day.sight(seen)}")
            chores.undo(self.day, order, self.was_at)
        alone = self.day.is_left_alone
        for order in asked.begin + asked.again:
            if alone and HOLDS.get(order.do) in FEEDS:
                continue
            to = f" to {100.0 * order.to:.0f} %" if order.to is not None else ""
            held = f" for {order.for_ / 60.0:.0f} min" if order.for_ else ""
            text = f"{order.name}: {order.do}{to}. Seen{held}: {self.day.sight(seen)}"
            self.day.log("crew", "orders", "order obeyed", text)
            yield from chores.obey(self.day, order, self.was_at)
        if "injector" in asked.held and not alone:
            yield from self.feeding.keep_injecting()

    def ordered(self, control: str, otherwise: float) -> float:
        """Where an own order that is being obeyed wants a control; if none holds it, otherwise."""
        for order, standing in zip(self.scenario.order, self.standing, strict=True):
            if standing.active and chores.CONTROL.get(order.do) == control:
                return order.to if order.to is not None else 0.0
        return otherwise

    def opening(self, wanted: float) -> float:
        """Throttle for a leg that wants so much: what the orders leave of it, kept for when they are over."""
        for order, standing in zip(self.scenario.order, self.standing, strict=True):
            if standing.active and chores.CONTROL.get(order.do) == "throttle":
                self.was_at[order.name] = wanted
                return self.ordered("throttle", wanted)
        if self.eased_from is None:
            return wanted
        self.eased_from = wanted
        return min(wanted, self.scenario.orders.throttle_when_low or FULL_EASES * wanted)

    def set_controls(self, seen: Observation, feed: Decision, fire: Decision) -> None:
        """Damper, burner, bypass and vent: a touch in passing. What an own order holds is left alone."""
        changes: dict[str, float] = {}
        controls = self.clock.plant.controls
        if self.day.solid_fuel and fire.damper is not None and "damper" not in self.held:
            most = self.scenario.firing.raising_damper if self.raising else 1.0
            changes["damper"] = min(fire.damper, most)
        if self.day.solid_fuel and "blower" not in self.held:
            self.set_blower(0.0 if self.raising else fire.blower)
        is_burning = not self.day.solid_fuel and self.day.burner_lit and seen.flame
        if is_burning and fire.burner_rate is not None and "burner" not in self.held:
            changes["burner_rate"] = fire.burner_rate
        if feed.bypass is not None and "bypass" not in self.held:
            changes["bypass"] = feed.bypass
        if controls.vent > 0.0 and seen.pressure > VENT_SHUT:
            changes["vent"] = 0.0
            self.day.log("crew", "pressure", "vent shut", "Steam at the vent: vent shut.")
        eases = changes.get("damper") == 0.0 and controls.damper > 0.0
        if eases and seen.pressure > self.scenario.ease_fire_above:
            self.day.log("crew", "pressure", "fire eased", f"Gauge at {self.day.gauge(seen)}: damper shut.")
        changes |= self.ease_throttle(seen, feed.too_full)
        self.clock.set(**changes)

    def set_blower(self, opening: float) -> None:
        """Open or shut the blower, and say so if that is a change."""
        if opening == self.clock.plant.controls.blower:
            return
        self.clock.set(blower=opening)
        how = "opened" if opening > 0.0 else "shut"
        self.day.log("crew", "fire", f"blower {how}", f"Blower {how} at {self.day.show(r.BOILER_PRESSURE)}.")

    def ease_throttle(self, seen: Observation, too_full: bool) -> dict[str, float]:
        """Throttle eased while the glass is low, if the orders say so, or too full; opened again after."""
        if "throttle" in self.held:
            return {}
        low = self.scenario.orders.throttle_when_low if self.memory.low else None
        now = self.clock.plant.controls.throttle
        ease = FULL_EASES * now if too_full else low
        if ease is not None and self.under_way and self.eased_from is None and now > 0.0:
            self.eased_from = now
            self.day.log("crew", "water", "throttle eased", f"{self.day.sight(seen)} Throttle eased.")
            return {"throttle": min(now, ease)}
        if self.eased_from is not None and not self.memory.low and not too_full:
            eased, self.eased_from = self.eased_from, None
            return {"throttle": eased} if self.under_way else {}
        return {}

    def turn_in(self) -> None:
        """Nobody looks any more until the morning; what the own orders had moved is put back or shut."""
        self.asleep = True
        self.memory = Memory()
        for order, standing in zip(self.scenario.order, self.standing, strict=True):
            if standing.active and order.do == "set condensate drain":
                chores.undo(self.day, order, self.was_at)
        self.was_at.clear()
        self.standing = tuple(Standing() for _ in self.scenario.order)
        self.held = frozenset()
        self.eased_from = None

    def absent(self, comes_back: simpy.Event) -> Process:
        """One hand is not there, until the event; the other never leaves the boat."""
        if self.one_ashore:
            return
        self.one_ashore = True
        self.day.leave_the_helm_to_one()
        self.feeding.change_pace()
        with self.hands.request(priority=ABSENT) as hand:
            yield hand
            self.note()
            yield comes_back
        self.one_ashore = False
        self.note()
        if self.under_way:
            self.day.take_the_helm()


def feed_left_alone(seen: Observation, memory: Memory) -> tuple[Decision, Memory]:
    """Nobody touches the feed: what `if nothing is done` means."""
    return Decision(), replace(memory, low=False)
