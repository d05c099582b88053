"""The controls of a classroom session: what there is on a boat, how far each goes, and what key moves it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from halfglass.scenario.by_hand_models import FOR_GOOD, wrong_by_hand
from halfglass.scenario.by_hand_parts import lacking
from halfglass.scenario.catalogue.fuels import FUELS
from halfglass.scenario.day_models import Scenario

Kind = Literal["lever", "switch", "push", "strokes"]
Group = Literal["engine", "fire", "feed", "boiler", "faults"]


@dataclass(frozen=True)
class Control:
    """One control: name as a move has it, words, range and step [SI], and how the number is shown.

    What is shown is the value times `shown_scale` in `unit`. `key` is what moves it from the keyboard.
    `choices` is what a push may be of; `amount` what it does if not told.
    """

    name: str
    label: str
    kind: Kind
    group: Group
    key: str
    lowest: float = 0.0
    highest: float = 1.0
    step: float = 0.01
    unit: str = ""
    shown_scale: float = 1.0
    choices: tuple[str, ...] = ()
    amount: float = 0.0

    def nearest(self, value: float) -> float:
        """The value in range, on a step, nearest to one that is asked for."""
        clamped = min(self.highest, max(self.lowest, value))
        return min(self.highest, max(self.lowest, round(clamped / self.step) * self.step))


def _lever(name: str, label: str, group: Group, key: str, lowest: float = 0.0, step: float = 0.01) -> Control:
    return Control(name, label, "lever", group, key, lowest, 1.0, step, "%", 100.0)


def _switch(name: str, label: str, group: Group, key: str) -> Control:
    return Control(name, label, "switch", group, key, step=1.0)


def _strokes(name: str, label: str, key: str) -> Control:
    return Control(name, label, "strokes", "feed", key, 0.0, 1.0, 1.0 / 60.0, "strokes/min", 60.0)


def _push(name: str, label: str, group: Group, key: str) -> Control:
    return Control(name, label, "push", group, key)


CONTROLS: tuple[Control, ...] = (
    _lever("throttle", "Throttle", "engine", "t"),
    _lever("reversing_gear", "Reversing gear", "engine", "g", -1.0, 0.05),
    _switch("cylinder_drains", "Cylinder drains", "engine", "d"),
    _switch("whistle", "Whistle", "engine", "w"),
    _switch("lines", "Mooring lines", "engine", "l"),
    _push("bar over", "Bar the engine over", "engine", "o"),
    _push("fill the lubricator", "Fill the lubricator", "engine", "y"),
    _lever("damper", "Damper", "fire", "a", step=0.05),
    _lever("fire_door", "Fire door", "fire", "f", step=0.25),
    _lever("blower", "Blower", "fire", "b", step=0.05),
    Control("charge", "Put a charge on", "push", "fire", "c", 0.1, 5.0, 0.1, "kg", choices=tuple(FUELS)),
    _push("clean the grate", "Clean the grate", "fire", "r"),
    _push("draw the fire", "Draw the fire", "fire", "x"),
    _lever("burner_rate", "Burner", "fire", "a", step=0.05),
    _switch("spirit_cup", "Spirit cup", "fire", "f"),
    _push("pump up the tank", "Pump up the tank", "fire", "c"),
    _lever("bypass", "Bypass", "feed", "p", step=0.05),
    _switch("feed_check", "Feed check", "feed", "k"),
    _strokes("hand_pump_on_hot_well", "Hand pump on the hot well", "h"),
    _strokes("hand_pump_on_lake", "Hand pump on the lake", "j"),
    _switch("injector_water", "Injector water", "feed", "i"),
    _switch("injector_steam", "Injector steam", "feed", "s"),
    _lever("condensate_drain", "Condensate drain valve", "feed", "n", step=0.05),
    _push("bale into the hot well", "Bale into the hot well", "feed", "u"),
    _push("change the cloth", "Change the separator's cloth", "feed", "v"),
    _switch("blow_down", "Blow-down", "boiler", "z"),
    _push("try the glass", "Try the glass", "boiler", "q"),
)
"""Every control; to add one, add a key to `Move`, its lever or its doing to `ByHand`, and a row here."""


def controls_of(scenario: Scenario) -> tuple[Control, ...]:
    """The controls this boat has, faults as switches at the end."""
    found = []
    for control in CONTROLS:
        if lacking(control.name, scenario.boat) is None:
            is_charge = control.name == "charge"
            found.append(_with_charge(control, scenario.firing.charge) if is_charge else control)
    for kind in wrong_by_hand():
        if lacking(kind, scenario.boat) is None:
            make = _push if kind in FOR_GOOD else _switch
            found.append(make(kind, kind[:1].upper() + kind[1:], "faults", ""))
    return tuple(found)


def _with_charge(control: Control, mass: float) -> Control:
    return replace(control, amount=control.nearest(mass))
