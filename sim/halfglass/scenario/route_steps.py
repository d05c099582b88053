"""The steps of a route as they are written: what is held, until when, and what if that never comes."""

from __future__ import annotations

import datetime
from typing import Annotated, Literal

from pydantic import Field, model_validator

from halfglass.scenario.by_hand_models import Move
from halfglass.scenario.fields import (
    Duration,
    Fraction,
    GaugePressure,
    Hold,
    Name,
    Stream,
    Table,
    Wind,
    complaint,
    quantity,
)

MINUTE = 60.0
LONGEST_LEG = 12 * 3600.0
"""How long a leg is steamed for unless it says 'at_most' [s]."""
Opening = Annotated[float, quantity("fraction", above="0 %", highest="100 %")]
Turns = Annotated[float, quantity("rotation", above="0 rpm", highest="1500 rpm")]
WaySpeed = Annotated[float, quantity("speed", above=0.0)]
Distance = Annotated[float, quantity("length", above=0.0, highest="1000 km")]
Stored = Annotated[float, quantity("mass", lowest=0.0, highest="50000 kg")]
StoredVolume = Annotated[float, quantity("volume", lowest=0.0, highest="50 m3")]
IfNever = Literal["give up", "go on"]
FireHeld = Literal["kept up", "banked"]


class _Step(Table):
    name: Name | None = Field(
        default=None, description="what a plan may call this step by, to drop it or to put another beside it"
    )


class RaiseSteam(_Step):
    """Light up, or pull a banked fire forward, and raise steam to a pressure."""

    step: Literal["raise steam"] = Field(description="what is done")
    until: GaugePressure = Field(description="pressure that ends the step")
    at_most: Hold = Field(default=120 * MINUTE, description="how long the pressure is waited for")
    if_never: IfNever = Field(
        default="give up", description="end the day if it has not come by then, or go on with what there is"
    )


class WarmThrough(_Step):
    """Warm the engine through with the drains open."""

    step: Literal["warm through"] = Field(description="what is done")
    for_: Hold = Field(default=5 * MINUTE, alias="for", description="how long steam is let through")


class Leg(_Step):
    """Steam a distance, holding a throttle, revolutions or a speed."""

    step: Literal["leg"] = Field(description="what is done")
    to: Name = Field(description="where it ends; faults may name it")
    distance: Distance = Field(description="over the ground")
    throttle: Opening | None = Field(default=None, description="opening of the throttle, left alone; or")
    turns: Turns | None = Field(
        default=None, description="engine speed, held with the throttle as far as the steam allows; or"
    )
    speed: WaySpeed | None = Field(
        default=None, description="speed through the water, held with the throttle as far as the steam allows"
    )
    reversing_gear: Opening = Field(
        default=1.0, description="how far over the gear is: 1 is the longest cut-off"
    )
    headwind: Wind | None = Field(default=None, description="on this leg, in place of the weather's")
    stream: Stream | None = Field(default=None, description="on this leg, in place of the weather's")
    at_most: Hold | None = Field(default=None, description="how long it is steamed for; left out: 12 h")
    if_never: IfNever = Field(
        default="give up", description="end the day if it is not reached by then, or turn to the next step"
    )

    @model_validator(mode="after")
    def _holds_one_thing(self) -> Leg:
        names = ("throttle", "turns", "speed")
        given = [name for name in names if getattr(self, name) is not None]
        if len(given) > 1:
            raise complaint("a leg holds one thing only; keep one of these", given[1], given[0])
        if not given:
            raise complaint("this holds nothing; give one of 'throttle', 'turns', 'speed'")
        return self


class ComeAlongside(_Step):
    """Ease down, stop with the engine astern, make fast."""

    step: Literal["come alongside"] = Field(description="what is done")
    at: Name | None = Field(default=None, description="the place, for reports and faults")


class Movement(Table):
    """One engine movement."""

    gear: Literal["ahead", "astern", "stop"] = Field(description="where the reversing gear is put")
    throttle: Fraction = Field(default=0.0, description="opening of the throttle")
    for_: Hold = Field(alias="for", description="how long")


class Manoeuvre(_Step):
    """A run of engine movements, as in a narrow harbour."""

    step: Literal["manoeuvre"] = Field(description="what is done")
    movements: Annotated[tuple[Movement, ...], Field(min_length=1, max_length=200)] = Field(
        description="one after another"
    )


class Lock(_Step):
    """Come into a lock, wait, go through on the lines, and out again."""

    step: Literal["lock"] = Field(description="what is done")
    at: Name = Field(description="the lock's name, for reports and faults")
    wait: Duration = Field(default=0.0, description="for the gates, made fast below or above")
    takes: Hold = Field(
        default=8 * MINUTE, description="time in the chamber, one hand on the lines all the while"
    )


class Lie(_Step):
    """Lie alongside or at anchor."""

    step: Literal["lie"] = Field(description="what is done")
    for_: Hold = Field(alias="for", description="how long")
    fire: FireHeld = Field(default="kept up", description="whether the fire is worked or banked")
    at_anchor: bool = Field(
        default=False, description="let go and weigh an anchor: a hand is busy with it at either end"
    )
    kettle: Duration = Field(default=0.0, description="steam to the kettle for this long, at the start")


class Passengers(_Step):
    """Passengers come aboard or go ashore; the boat must be made fast."""

    step: Literal["passengers"] = Field(description="what is done")
    aboard: Annotated[int, Field(ge=-30, le=30)] = Field(
        description="how many come aboard, minus if they go ashore; 75 kg each"
    )
    takes: Duration = Field(default=3 * MINUTE, description="time it takes")


class TakeFuel(_Step):
    """Take fuel on, of the kind that is burnt."""

    step: Literal["take on fuel"] = Field(description="what is done")
    mass: Stored = Field(default=0.0, description="solid fuel into the bunker")
    volume: StoredVolume = Field(default=0.0, description="paraffin into the tank, no more than it holds")
    takes: Duration = Field(default=10 * MINUTE, description="time it takes one hand")


class TakeWater(_Step):
    """Fill the hot well from ashore or from the lake."""

    step: Literal["take on water"] = Field(description="what is done")
    volume: StoredVolume = Field(description="into the hot well, no more than it holds")
    takes: Duration = Field(default=5 * MINUTE, description="time it takes one hand")


class Whistle(_Step):
    """Blow the whistle."""

    step: Literal["whistle"] = Field(description="what is done")
    for_: Hold = Field(default=3.0, alias="for", description="how long")


class NightHalt(_Step):
    """Made fast for the night; nobody looks until the morning."""

    step: Literal["night halt"] = Field(description="what is done")
    until: datetime.time = Field(description="time of day at which the crew turn out again")
    fire: Literal["drawn", "banked"] = Field(
        default="drawn", description="taken out in the evening, or banked with the damper shut"
    )


class BlowDown(_Step):
    """Blow some boiler water down, to be rid of what is dissolved in it."""

    step: Literal["blow down"] = Field(description="what is done")
    for_: Hold = Field(10.0, alias="for", description="how long the blow-down cock is open")


class ByHand(_Step):
    """Nobody but the moves listed touches the plant; the crew look, and obey no orders."""

    step: Literal["by hand"] = Field(description="what is done")
    for_: Annotated[float, quantity("time", above=0.0, highest="12 h")] = Field(
        alias="for", description="how long"
    )
    moves: Annotated[tuple[Move, ...], Field(max_length=5000)] = Field(
        default=(), description="what is done at controls and plant, in order of time"
    )

    @model_validator(mode="after")
    def _moves_in_time(self) -> ByHand:
        last = 0.0
        for number, move in enumerate(self.moves):
            if move.after < last:
                raise complaint(
                    "moves are written in order of time; this is earlier than the one before",
                    ("moves", number, "after"),
                )
            if move.after > self.for_:
                raise complaint("this comes after the step has ended", ("moves", number, "after"), "for")
            last = move.after
        return self


class ShutDown(_Step):
    """Let the fire die, shut the boat down: the end of the day."""

    step: Literal["shut down"] = Field(description="what is done")


Step = Annotated[
    RaiseSteam
    | WarmThrough
    | Leg
    | ComeAlongside
    | Manoeuvre
    | Lock
    | Lie
    | Passengers
    | TakeFuel
    | TakeWater
    | Whistle
    | NightHalt
    | BlowDown
    | ByHand
    | ShutDown,
    Field(discriminator="step"),
]
