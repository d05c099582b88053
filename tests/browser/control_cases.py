"""What each control of the classroom's page is asked: where it stands, what is done, and what must answer.

A number goes up (`UP`) or down (`DOWN`) beside the control; where no number can, words stand there. What
moves slowly in the boat is watched at 60 times her time: 0.3 s are 18 s of hers.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

UP, DOWN = +1, -1
TEN, SIXTY = 3, 6
"""Places of the speed slider."""
UNDER_WAY: Mapping[str, float | bool] = MappingProxyType(
    {
        "lines": False,
        "throttle": 30,
        "reversing_gear": 100,
        "damper": 20,
        "fire_door": 0,
        "blower": 0,
        "bypass": 50,
        "hand_pump_on_hot_well": 0,
        "hand_pump_on_lake": 0,
        "condensate_drain": 100,
        "cylinder_drains": False,
        "whistle": False,
        "feed_check": True,
        "injector_steam": False,
        "injector_water": False,
        "blow_down": False,
        "clinkered grate": False,
    }
)
"""How a grate boat's controls stand before each case, but for what the case says."""


@dataclass(frozen=True)
class Case:
    """One control: moved from `at` to `to` and back (a push: done twice), each with its answer.

    An answer is the name of a reading beside the control and its way, or a pattern the words beside it must
    match. `ready` is what else stands differently; `between` what is moved after the first answer; `waits`
    [ms] how long the boat needs until the answer can be looked for.
    """

    control: str
    answer: tuple[str, int] | str
    back: tuple[str, int] | str = ""
    at: float | bool | None = None
    to: float | bool | None = None
    ready: Mapping[str, float | bool] = field(default_factory=dict)
    between: Mapping[str, float | bool] = field(default_factory=dict)
    speed: int = TEN
    waits: int = 200


def lever(name: str, reading: str, way: int, at: float, to: float, **more: object) -> Case:
    """A lever or a pump, there and back."""
    return Case(name, (reading, way), (reading, -way), at, to, **more)  # type: ignore[arg-type]


def switch(name: str, reading: str, way: int, on: bool = True, **more: object) -> Case:
    """A switch or a fault, on (or off) and back."""
    return Case(name, (reading, way), (reading, -way), not on, on, **more)  # type: ignore[arg-type]


def words(name: str, first: str, then: str, **more: object) -> Case:
    """A fault that tells itself in words, coming and going."""
    return Case(name, first, then, False, True, **more)  # type: ignore[arg-type]


def push(name: str, answer: tuple[str, int] | str, again: tuple[str, int] | str, **more: object) -> Case:
    """A thing done once; done again it has an answer of its own."""
    return Case(name, answer, again, **more)  # type: ignore[arg-type]


MADE_FAST = {"lines": True, "throttle": 0}
INJECTING = {"injector_water": True, "injector_steam": True}
GRATE_BOAT = (
    # as she is handed over, made fast and blowing off
    switch("safety valve sticks shut", "safety_valve_flow", DOWN, ready=MADE_FAST, speed=0),
    Case("lines", "Lines let go", "Made fast", True, False, ready=MADE_FAST),
    Case("lines", ("boat_speed", UP), "Too fast", True, False),
    push("bar over", "Nobody bars", "Nobody bars"),
    lever("throttle", "steam_flow_boiler_engine", UP, 20, 60),
    lever("reversing_gear", "shaft_speed", DOWN, 100, -100),
    switch("cylinder_drains", "glands and drains", UP),
    switch("whistle", "service_flow", UP),
    push("fill the lubricator", ("lubricator_fraction", UP), "Lubricator filled"),
    lever("damper", "air_flow", UP, 20, 100),
    lever("fire_door", "burning_rate", DOWN, 0, 100, waits=500),
    lever("blower", "draught", UP, 0, 100),
    push("charge", ("bed_fuel_mass", UP), ("bed_fuel_mass", UP)),
    push("clean the grate", ("air_flow", UP), "Grate cleaned", ready={"clinkered grate": True}),
    lever("bypass", "bypass_flow", UP, 0, 100),
    switch("feed_check", "feed", DOWN, on=False),
    lever("hand_pump_on_hot_well", "feed_flow_hand_pump_hotwell", UP, 0, 30),
    lever("hand_pump_on_lake", "feed_flow_hand_pump_lake", UP, 0, 30),
    Case("injector will not start", ("feed_flow_injector", DOWN), "Put right", False, True, ready=INJECTING),
    switch("injector_steam", "feed_flow_injector", UP, ready={"injector_water": True}),
    Case("injector_water", ("feed_flow_injector", DOWN), "would not pick up", True, False, ready=INJECTING),
    lever("condensate_drain", "condenser_flood_fraction", UP, 100, 0, waits=500),
    push("bale into the hot well", ("hotwell_mass", UP), ("hotwell_mass", UP)),
    push("change the cloth", ("separator_load_fraction", DOWN), "Cloth changed"),
    switch("blow_down", "blow_down_flow", UP),
    push("try the glass", "the glass is true", "the glass is true"),
    # faults
    switch("engine pump stops delivering", "feed_flow_engine_pump", DOWN),
    switch("engine pump packing going", "feed_flow_engine_pump", DOWN, speed=SIXTY),
    switch("check valve leaks", "check_leak_flow", UP),
    switch(
        "hand pump leathers worn", "feed_flow_hand_pump_hotwell", DOWN, ready={"hand_pump_on_hot_well": 30}
    ),
    switch("safety valve weeps", "safety_valve_flow", UP),
    switch("safety valve sticks open", "safety_valve_flow", UP),
    switch("wet fuel", "fuel_moisture", UP),
    switch("clinkered grate", "air_flow", DOWN),
    switch("condenser fouls", "condenser_temperature", UP),
    switch("condenser leaks", "hot well overflow and leaks", UP),
    switch("hot well water lost", "hot well overflow and leaks", UP),
    switch("hot well overheated", "steam_to_hotwell_flow", UP),
    Case(
        "glass cock shut",
        "cock of the gauge glass",
        ("glass_shown", UP),
        False,
        True,
        between={"throttle": 70},
    ),
    switch("gauge reads wrong", "pressure_shown", UP),
    push("oily feed", ("boiler_oil", UP), ("boiler_oil", UP)),
    switch("boat heels", "heel", UP),
    switch("stream turns", "ground_speed", DOWN),
    switch("wind gets up", "boat_speed", DOWN, speed=SIXTY),
    push("draw the fire", ("bed_fuel_mass", DOWN), "Fire drawn"),
)
"""Every control of a boat with a grate, an engine pump, a hand pump, an injector and a keel condenser."""
BURNER_BOAT = (
    lever("burner_rate", "burning_rate", UP, 40, 100),
    push("pump up the tank", ("burner_tank_pressure", UP), "Tank pumped up"),
    Case("burner goes out", ("burning_rate", DOWN), "Put right", False, True, ready={"burner_rate": 80}),
    # a vaporiser that has cooled for two minutes and a half
    switch("spirit_cup", "vaporiser_temperature", UP, ready={"burner_rate": 0}, speed=SIXTY, waits=2500),
)
"""What only a burner boat has."""
