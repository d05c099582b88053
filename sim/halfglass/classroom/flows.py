"""Where water and heat go now: links between the vessels, with numbers, for the diagram."""

from __future__ import annotations

from typing import Literal, NamedTuple

from halfglass.classroom.memory import Memory
from halfglass.day.energy_account import Stretch, energy_flow
from halfglass.day.outing import Day
from halfglass.plant import reading as r
from halfglass.plant import state as y
from halfglass.result.energy_flow import BOILER, ENGINE, EXHAUST, FEED, HOTWELL, OUTSIDE


class Flow(NamedTuple):
    """One link: water or steam [kg/s], or heat [W], from vessel to vessel (either may be `OUTSIDE`)."""

    name: str
    source: str
    target: str
    kind: Literal["water", "heat"]
    number: float


def flows(day: Day, memory: Memory) -> tuple[Flow, ...]:
    """Water from the readings now; heat as the mean of the last seconds, from the books: it closes."""
    return (*water(day), lost_at_the_hotwell(memory), *heat(day, memory))


def water(day: Day) -> tuple[Flow, ...]:
    """Water and steam now; what the boiler is in at and out of is complete."""
    now = day.clock.reading
    hot_injector = day.parameters.feed.injector_from_hotwell > 0.5
    lifted = now(r.INJECTOR_WATER_FLOW)
    links = (
        ("engine pump's feed", FEED, BOILER, now(r.FEED_FLOW_ENGINE_PUMP)),
        ("hand pump's feed", FEED, BOILER,
         now(r.FEED_FLOW_HAND_PUMP_HOTWELL) + now(r.FEED_FLOW_HAND_PUMP_LAKE)),
        ("injector's feed", FEED, BOILER, lifted),
        ("drawn from the hot well", HOTWELL, FEED, now(r.DRAWN_HOTWELL_FLOW)),
        ("drawn from the lake", OUTSIDE, FEED,
         now(r.FEED_FLOW_HAND_PUMP_LAKE) + (0.0 if hot_injector else lifted)),
        ("returned by the bypass", FEED, HOTWELL, now(r.BYPASS_FLOW)),
        ("steam to the engine", BOILER, ENGINE, now(r.STEAM_FLOW_BOILER_ENGINE)),
        ("exhaust", ENGINE, EXHAUST, now(r.EXHAUST_FLOW)),
        ("glands and drains", ENGINE, OUTSIDE, now(r.GLAND_FLOW) + now(r.DRAIN_FLOW)),
        ("condensate", EXHAUST, HOTWELL, now(r.CONDENSATE_FLOW)),
        ("exhaust not condensed", EXHAUST, OUTSIDE, now(r.EXHAUST_LOST_FLOW)),
        ("safety valves", BOILER, OUTSIDE, now(r.SAFETY_VALVE_FLOW)),
        ("whistle and blower", BOILER, OUTSIDE, now(r.SERVICE_FLOW)),
        ("vent", BOILER, OUTSIDE, now(r.VENT_FLOW)),
        ("blow-down", BOILER, OUTSIDE, now(r.BLOW_DOWN_FLOW)),
        ("check valve leak", BOILER, HOTWELL, now(r.CHECK_LEAK_FLOW)),
        ("live steam into the hot well", BOILER, HOTWELL, now(r.STEAM_TO_HOTWELL_FLOW)),
    )  # fmt: skip
    return tuple(Flow(name, source, target, "water", number) for name, source, target, number in links)


def lost_at_the_hotwell(memory: Memory) -> Flow:
    """Overflow, leaks and condensate that never came so far, in the last tick, from the books."""
    return Flow("hot well overflow and leaks", HOTWELL, OUTSIDE, "water", memory.booked(y.TOTAL_OVERFLOW))


def heat(day: Day, memory: Memory) -> tuple[Flow, ...]:
    """Heat and work; nothing until some time has passed."""
    ends = memory.stretch
    if ends is None:
        return ()
    links = energy_flow(day.clock.plant, Stretch("now", *ends)).links
    return tuple(Flow(link.name, link.source, link.target, "heat", link.power) for link in links)
