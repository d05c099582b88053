"""Working the plant by hand: the levers as they stand, and what each move does. Nobody else touches anything.

Time goes in ticks, and what is done is done on a tick: so a session driven live and a day that does the same
moves again march in the same pieces and come to the same bits.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Generator
from typing import TYPE_CHECKING, Any

import simpy

from halfglass.day import chores, faults
from halfglass.day.feeding import INJECTOR_COOLS
from halfglass.day.handling import WHISTLE_AREA
from halfglass.plant import reading as r
from halfglass.result import events
from halfglass.scenario.by_hand_models import CONTROLS, FOR_GOOD, Move, usual_fault
from halfglass.scenario.catalogue.fuels import charge

if TYPE_CHECKING:
    from halfglass.day.outing import Day

Process = Generator[simpy.Event, Any, None]

TICK = 0.5
"""s between moments at which something can be moved."""
DOOR_OPEN = 20.0
"""s for which the fire door stands open for a charge (common practice, no source)."""
SLOW_ENOUGH = 0.3
"""m/s at which lines can be made fast (judgement)."""
HANDED_OVER = 1.0
"""s between looks whether the crew are done with what they were at."""
ON = {"open", "alight", "made fast"}
OFF = {"shut", "out", "let go"}
FEED = (
    "bypass", "feed_check", "hand_pump_on_hot_well", "hand_pump_on_lake", "injector_water", "injector_steam",
)  # fmt: skip
PLAIN = {
    "reversing_gear": "reversing_gear", "cylinder_drains": "cylinder_drains", "damper": "damper",
    "blower": "blower", "burner_rate": "burner_rate", "spirit_cup": "burner_preheat",
    "blow_down": "blow_down", "condensate_drain": "condensate_drain",
}  # fmt: skip
"""Levers that are one setting of the plant each."""
SUBJECT = {
    "throttle": "engine", "reversing_gear": "reversing", "cylinder_drains": "engine", "whistle": "route",
    "lines": "route", "damper": "fire", "fire_door": "fire", "blower": "fire", "burner_rate": "fire",
    "spirit_cup": "fire", "blow_down": "water", "condensate_drain": "hotwell",
    **dict.fromkeys(FEED, "feed"),
}  # fmt: skip


def stands_at(to: float | str) -> float:
    """Where a lever is put by a move, whose words for a switch count as full on or off."""
    return 1.0 if to in ON else 0.0 if to in OFF else float(to)


def ticks(seconds: float) -> int:
    """Ticks until a time [s] has come: to the next one, but for rounding."""
    return math.ceil(seconds / TICK - 1e-6)


def by_hand(day: Day, step: Any) -> Process:
    """Hand the plant over, and do the moves on their ticks until the time is up."""
    while day.crew.acting or day.relighting is not None:
        yield day.clock.timeout(HANDED_OVER)
    day.crew.feeding.stop(made_good=False)
    day.crew.eased_from = None
    hand = day.by_hand = ByHand(day, step)
    day.log(events.DAY, "route", events.BY_HAND, f"Worked by hand from now on: {day.state_of_things()}.")
    due: dict[int, list[Move]] = {}
    for move in step.moves:
        due.setdefault(ticks(move.after), []).append(move)
    last = ticks(step.for_)
    for hand.tick in range(last + 1):
        next_tick = day.clock.timeout(TICK) if hand.tick < last else None
        hand.mind()
        for move in due.get(hand.tick, ()):
            hand.do(move)
        if next_tick is None or day.outcome is not None:
            break
        yield next_tick
    hand.give_back()
    day.by_hand = None
    day.log(events.DAY, "route", events.HANDED_BACK, f"Handed back to the crew: {day.state_of_things()}.")


class ByHand:
    """The levers as they stand: 0 to 1 (the gear -1 to 1; pumps in strokes/s), with what hangs on them.

    Whoever works them is not of the crew: their hours at a pump are not the crew's.
    """

    def __init__(self, day: Day, step: Any = None) -> None:
        self.day = day
        self.step = step
        self.tick = 0
        self._door_shuts = 0  # tick
        self._going_astern = False
        now = day.clock.plant.controls
        self.levers: dict[str, float] = {name: getattr(now, setting) for name, setting in PLAIN.items()}
        self.levers |= {
            "throttle": now.throttle,
            "whistle": float(now.whistle_area > 0.0),
            "lines": float(now.moored > 0.5),
            "fire_door": now.fire_door,
            "bypass": now.bypass,
            "feed_check": 1.0,
            "hand_pump_on_hot_well": 0.0,
            "hand_pump_on_lake": 0.0,
            "injector_water": 0.0,
            "injector_steam": 0.0,
        }
        self._special: dict[str, Callable[[float], None]] = {
            "throttle": self._throttle,
            "reversing_gear": self._gear,
            "whistle": lambda to: self._set(whistle_area=WHISTLE_AREA * to),
            "lines": self._lines,
            "fire_door": lambda to: self._door(),
            "bypass": lambda to: self._feed(),
            "feed_check": lambda to: self._check(),
            "hand_pump_on_hot_well": lambda to: self._pump("hand_pump_on_lake"),
            "hand_pump_on_lake": lambda to: self._pump("hand_pump_on_hot_well"),
            "injector_water": lambda to: self._injector(),
            "injector_steam": lambda to: self._injector(),
        }
        self._once: dict[str, Callable[[], None]] = {
            "bar over": self._bar_over,
            "bale into the hot well": self._bale,
            "change the cloth": lambda: self._do(day.clock.plant.change_cloth(), "oil", "cloth changed"),
            "clean the grate": self._clean,
            "draw the fire": lambda: self._do(day.clock.plant.draw_fire(), "fire", "fire drawn"),
            "fill the lubricator": lambda: self._do(
                day.clock.plant.refill_lubricator(), "oil", "lubricator filled"
            ),
            "pump up the tank": self._pump_up,
            "try the glass": self._try_glass,
        }

    def do(self, move: Move) -> None:
        """Do all of one move at the present time."""
        alone = self.day.is_left_alone
        for name in CONTROLS:
            to = getattr(move, name)
            if to is not None and not (alone and name in FEED):
                self._move(name, stands_at(to))
        if move.charge is not None:
            self._fire_up(move.charge, move.fuel)
        if move.do is not None:
            self._once[move.do]()
        at_work = {fault.kind: fault for fault in self.day.faults_at_work}
        if move.goes_wrong is not None and (move.goes_wrong not in at_work or move.goes_wrong in FOR_GOOD):
            faults.strike(self.day, usual_fault(move.goes_wrong))
            if move.goes_wrong == "burner goes out":
                self.levers["burner_rate"] = self.levers["spirit_cup"] = 0.0
        if move.put_right in at_work:
            faults.put_right(self.day, at_work[move.put_right])

    def mind(self) -> None:
        """What happens by itself at a tick: the door shut behind a charge, the engine heard going astern."""
        if self._door_shuts and self.tick >= self._door_shuts:
            self._door_shuts = 0
            self._door()
        if self._going_astern and self.day.clock.reading(r.SHAFT_SPEED) < -0.05:
            self._end_reversal("Engine astern")

    def give_back(self) -> None:
        """The time is up: pumps are left, what stands open by hand is shut; all else stays for the crew."""
        if self._going_astern:
            self._end_reversal("Left with the gear astern")
        day, now = self.day, self.day.clock.plant.controls
        self._door_shuts = 0
        self.levers |= {"hand_pump_on_hot_well": 0.0, "hand_pump_on_lake": 0.0, "feed_check": 1.0}
        self._feed()
        day.clock.set(fire_door=0.0, whistle_area=0.0, blow_down=0.0, burner_preheat=0.0)
        day.crew.feeding.injector_let_go = False
        day.crew.banked = False
        day.burner_lit = not day.solid_fuel and now.burner_rate > 0.0

    def _move(self, name: str, to: float) -> None:
        was = self.levers[name]
        if was == to:
            return
        self.levers[name] = to
        if (was == 0.0) != (to == 0.0) and name not in ("reversing_gear", "lines"):
            self._told(SUBJECT[name], name.replace("_", " ") + (" opened" if to else " shut"))
        if name in self._special:
            self._special[name](to)
        else:
            self._set(**{PLAIN[name]: to})

    def _set(self, **changes: float) -> None:
        self.day.clock.set(**changes)

    def _do(self, crossed: tuple[int, ...], subject: str, event: str) -> None:
        self.day.clock.do(crossed)
        self._told(subject, event)

    def _told(self, subject: str, event: str, text: str = "") -> None:
        text = text or f"{event[:1].upper()}{event[1:]}: {self.day.state_of_things()}."
        self.day.log("hand", subject, event, text)

    def _throttle(self, to: float) -> None:
        self._set(throttle=to)
        if self.day.clock.plant.controls.on_dead_centre > 0.5 and to > 0.0:
            told = "The engine stands on a dead centre and will not start: shut the throttle and bar it over."
            self._told("engine", events.ON_DEAD_CENTRE, told)

    def _gear(self, to: float) -> None:
        is_ahead = self.day.clock.reading(r.SHAFT_SPEED) > 0.05
        self._set(reversing_gear=to)
        if to < 0.0 and not self._going_astern and is_ahead:
            self._going_astern = True
            at = self.day.show(r.BOAT_SPEED)
            self._told("reversing", events.REVERSAL_WANTED, f"Gear astern at {at}.")
        elif to >= 0.0 and self._going_astern:
            self._end_reversal("Gear ahead again")

    def _end_reversal(self, what: str) -> None:
        self._going_astern = False
        text = f"{what} at {self.day.show(r.BOAT_SPEED)}."
        self._told("reversing", events.REVERSAL_DONE, text)

    def _lines(self, to: float) -> None:
        if not to:
            first = not self.day.been_under_way
            self.day.been_under_way = True
            self._set(moored=0.0)
            self._told("route", events.UNDER_WAY if first else events.CAST_OFF, "Lines let go.")
        elif abs(self.day.clock.reading(r.BOAT_SPEED)) > SLOW_ENOUGH:
            self.levers["lines"] = 0.0
            self._told("route", "too fast", f"Too fast to make fast: {self.day.show(r.BOAT_SPEED)}.")
        else:
            self._set(moored=1.0)
            self._told("route", "made fast", "Made fast.")

    def _door(self) -> None:
        self._set(fire_door=max(self.levers["fire_door"], float(self._door_shuts > 0)))

    def _check(self) -> None:
        self._feed()
        self._injector()

    def _pump(self, other: str) -> None:
        """One pump: it draws from one or the other."""
        self.levers[other] = 0.0
        self._feed()

    def _feed(self) -> None:
        """Engine and hand pump; with the feed shut its relief sends all back to the hot well."""
        levers = self.levers
        is_open = levers["feed_check"]
        self._set(
            bypass=levers["bypass"] if is_open else 1.0,
            hand_pump_hotwell_rate=levers["hand_pump_on_hot_well"] * is_open,
            hand_pump_lake_rate=levers["hand_pump_on_lake"] * is_open,
        )

    def _injector(self) -> None:
        """Water first, then steam: steam with no water to meet, or too hot, blows through and heats it."""
        levers, feeding = self.levers, self.day.crew.feeding
        steam, has_way = levers["injector_steam"], levers["injector_water"] and levers["feed_check"]
        if not steam or not has_way:
            was_running = feeding.is_injecting
            self._set(injector=0.0)
            if steam:
                feeding.injector_cool_at = self.day.clock.now + INJECTOR_COOLS
            if was_running:
                self._told("feed", "injector off")
            elif steam:
                text = "Steam with no water to meet: it blows and gets hot."
                self._told("feed", "injector would not start", text)
            return
        if feeding.is_injecting:
            return
        refused = feeding.injector_refuses()
        if refused is None:
            self._set(injector=1.0)
            self._told("feed", "injector on")
            return
        feeding.injector_cool_at = self.day.clock.now + INJECTOR_COOLS
        text = f"It blew steam and would not pick up{refused}."
        self._told("feed", "injector would not start", text)

    def _fire_up(self, mass: float, fuel: str | None) -> None:
        """One charge through the door, which stands open for it."""
        day = self.day
        is_own = fuel is None or fuel == day.scenario.aboard.fuel
        thrown = day.charge(mass) if is_own else charge(str(fuel), mass)
        day.clock.do(day.clock.plant.put_on(thrown))
        self._door_shuts = self.tick + ticks(DOOR_OPEN)
        self._door()
        text = f"{mass:.2g} kg of {fuel or day.scenario.aboard.fuel} put on: {day.state_of_things()}."
        self._told("fire", "fired", text)

    def _bar_over(self) -> None:
        if self.day.clock.plant.controls.throttle > 0.0:
            self._told("engine", "not barred over", "Nobody bars an engine over with the throttle open.")
        elif self.day.clock.plant.controls.on_dead_centre > 0.5:
            self.day.clock.do(self.day.clock.plant.bar_over())
            self._told("engine", events.BARRED_OVER, "Barred over by hand.")
        else:
            self._told("engine", "not barred over", "She is on no dead centre: nothing to bar over.")

    def _bale(self) -> None:
        capacity = self.day.parameters.exhaust.hotwell_capacity
        room = capacity - self.day.clock.reading(r.HOTWELL_MASS)
        mass = min(chores.BALED, 0.5 * capacity, room)
        if mass > 0.0:
            text = f"{mass:.1f} kg of lake water baled into the hot well."
            self.day.clock.do(self.day.clock.plant.make_up_hotwell(mass))
            self._told("hotwell", "hot well made up", text)
        else:
            self._told("hotwell", "hot well full", "The hot well is full: nothing baled.")

    def _clean(self) -> None:
        self.day.clock.do(self.day.clock.plant.clean_grate(chores.RAKED_OUT))
        self._set(clinker_fraction=0.0)
        self._told("fire", "grate cleaned")

    def _pump_up(self) -> None:
        pressure = chores.TANK_FULL * self.day.parameters.burner.reference_pressure
        self._do(self.day.clock.plant.pump_tank_air(pressure), "fire", "tank pumped up")

    def _try_glass(self) -> None:
        """Each cock opened and shut in turn; one found shut is opened."""
        before = self.day.show(r.GLASS_FRACTION)
        wrong = [fault for fault in self.day.faults_at_work if fault.kind == "glass cock shut"]
        for fault in wrong:
            faults.put_right(self.day, fault)
        after = self.day.show(r.GLASS_FRACTION)
        true = f"Cocks tried: the glass is true, {after}."
        false = f"A cock of the glass was shut: it showed {before}, and shows {after}."
        self._told("water", "false glass found" if wrong else "glass tried", false if wrong else true)
