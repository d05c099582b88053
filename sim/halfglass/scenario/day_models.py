"""The day as it is written in a scenario file: crew, weather, stores, orders, route, faults and plans."""

from __future__ import annotations

import datetime
from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from halfglass.scenario.boat import Boat
from halfglass.scenario.fields import (
    BarometerPressure,
    Duration,
    Fraction,
    GaugePressure,
    Length,
    Mass,
    Name,
    Speed,
    StrokeRate,
    Table,
    VolumeFlow,
    complaint,
    quantity,
)

AirTemperature = Annotated[float, quantity("temperature", lowest="-30 °C", highest="50 °C")]
WaterTemperature = Annotated[float, quantity("temperature", lowest="0 °C", highest="40 °C")]
Hold = Annotated[float, quantity("time", above=0.0)]
Stored = Annotated[float, quantity("mass", lowest=0.0)]
StoredVolume = Annotated[float, quantity("volume", lowest=0.0)]
Opening = Annotated[float, quantity("fraction", above="0 %", highest="100 %")]
FeedSource = Literal["engine pump", "injector", "hand pump on hot well", "hand pump on lake"]
FuelName = Literal["air-dry wood", "charcoal", "anthracite", "steam coal", "paraffin"]
MINUTE = 60.0
PSI = 6894.757293168
EASE_MARGIN = 5.0 * PSI
"""The fire is eased this far under the first safety valve unless the orders say otherwise."""


class Crew(Table):
    """Who is aboard, and how long things take them."""

    hands: Annotated[int, Field(ge=1, le=2)] = Field(
        default=1, description="people who can work: one must steer under way"
    )
    look_every: Hold = Field(default=3 * MINUTE, description="time between looks at glass and gauge")
    look_takes: Duration = Field(default=8.0, description="time one look takes")
    firing_takes: Duration = Field(default=50.0, description="time one firing takes, with the fire door open")
    variation: Fraction = Field(
        default=0.2, description="crew times vary by up to this either way, from the seed"
    )
    strokes: StrokeRate = Field(default=0.5, description="strokes on a hand pump that one person keeps up")
    pumping_at_helm: Fraction = Field(
        default=0.5, description="share of the time a single hand can pump while steering"
    )


class Weather(Table):
    """Air and water along the route; a leg may have its own wind and stream."""

    air_temperature: AirTemperature = Field(default=288.15, description="heat losses, draught")
    water_temperature: WaterTemperature = Field(default=288.15, description="condenser and cold feed")
    headwind: Speed = Field(
        default=0.0, description="wind over the ground against the course, minus from astern"
    )
    stream: Speed = Field(default=0.0, description="of the water along the course; plus helps, minus is foul")
    barometer: BarometerPressure = Field(default=101325.0, description="pressure of the air")


class Aboard(Table):
    """What is carried and how the boat stands before lighting up."""

    fuel: FuelName = Field(description="what is burnt")
    fuel_mass: Stored = Field(default=0.0, description="solid fuel in the bunker")
    fuel_reserve: Stored = Field(default=0.0, description="fuel that should still be there at the end")
    tank_fuel: StoredVolume = Field(default=0.0, description="paraffin in the tank")
    glass: Fraction = Field(default=0.5, description="water in the glass before lighting up")
    hotwell: StoredVolume = Field(default=0.010, description="water in the hot well before lighting up")
    boiler_solids: Annotated[float, quantity("dissolved_solids", lowest=0.0)] = Field(
        default=150.0, description="dissolved solids in the boiler water before lighting up"
    )
    cloth_oil: Stored = Field(default=0.0, description="oil already in the separator's cloth")


class Firing(Table):
    """How the fire is kept."""

    working_pressure: GaugePressure = Field(description="boiler pressure held by damper or burner")
    bed_depth: Length = Field(default=0.10, description="depth of fire kept on the grate")
    charge: Mass = Field(default=1.0, description="fuel thrown on at one firing")
    burner_rate: Opening = Field(default=1.0, description="burner setting, of its full rate")


class Orders(Table):
    """Standing orders: what the crew do about what they see."""

    glass: Fraction = Field(default=0.5, description="level held with the bypass of the engine pump")
    low_glass: tuple[FeedSource, ...] = Field(
        default=("engine pump", "injector", "hand pump on hot well", "hand pump on lake"),
        description="ways of feeding tried in this order when the glass is low; an empty list leaves it be",
    )
    act_below: Fraction = Field(default=0.35, description="level below which the glass is low")
    stop_above: Fraction = Field(default=0.55, description="level at which the extra feeding stops")
    condensate_drain: Opening = Field(
        default=1.0, description="how far the condensate drain valve is kept open"
    )
    throttle_when_low: Opening | None = Field(
        default=None, description="throttle eased to this while the glass is low"
    )
    blower_below: GaugePressure | None = Field(
        default=None,
        description="pressure below which the blower is opened while the fire is worked; left out: never",
    )
    ease_fire_above: GaugePressure | None = Field(
        default=None,
        description="pressure above which the damper is shut; left out: 5 psi under the first safety valve",
    )


class RaiseSteam(Table):
    """Light up and raise steam to a pressure."""

    step: Literal["raise steam"] = Field(description="what is done")
    until: GaugePressure = Field(description="pressure that ends the step")
    give_up_after: Hold = Field(
        default=120 * MINUTE, description="the day ends here if the pressure has not come"
    )


class WarmThrough(Table):
    """Warm the engine through with the drains open."""

    step: Literal["warm through"] = Field(description="what is done")
    for_: Hold = Field(default=5 * MINUTE, alias="for", description="how long steam is let through")


class Leg(Table):
    """Steam a distance."""

    step: Literal["leg"] = Field(description="what is done")
    to: Name = Field(description="where it ends; faults may name it")
    distance: Length = Field(description="over the ground")
    throttle: Opening = Field(description="opening of the throttle")
    reversing_gear: Opening = Field(
        default=1.0, description="how far over the gear is: 1 is the longest cut-off"
    )
    headwind: Speed | None = Field(default=None, description="on this leg, in place of the weather's")
    stream: Speed | None = Field(default=None, description="on this leg, in place of the weather's")
    give_up_after: Hold | None = Field(
        default=None, description="the day ends here if the place is not reached"
    )


class ComeAlongside(Table):
    """Ease down, stop with the engine astern, make fast."""

    step: Literal["come alongside"] = Field(description="what is done")
    at: Name | None = Field(default=None, description="the place, for reports and faults")


class Movement(Table):
    """One engine movement."""

    gear: Literal["ahead", "astern", "stop"] = Field(description="where the reversing gear is put")
    throttle: Fraction = Field(default=0.0, description="opening of the throttle")
    for_: Hold = Field(alias="for", description="how long")


class Manoeuvre(Table):
    """A run of engine movements, as in a lock or a narrow harbour."""

    step: Literal["manoeuvre"] = Field(description="what is done")
    movements: Annotated[tuple[Movement, ...], Field(min_length=1)] = Field(description="one after another")


class Lie(Table):
    """Lie alongside."""

    step: Literal["lie"] = Field(description="what is done")
    for_: Hold = Field(alias="for", description="how long")
    fire: Literal["kept up", "banked"] = Field(
        default="kept up", description="whether the fire is worked or banked"
    )


class BlowDown(Table):
    """Blow some boiler water down, to be rid of what is dissolved in it."""

    step: Literal["blow down"] = Field(description="what is done")
    for_: Hold = Field(10.0, alias="for", description="how long the blow-down cock is open")


class ShutDown(Table):
    """Let the fire die, shut the boat down: the end of the day."""

    step: Literal["shut down"] = Field(description="what is done")


Step = Annotated[
    RaiseSteam | WarmThrough | Leg | ComeAlongside | Manoeuvre | Lie | BlowDown | ShutDown,
    Field(discriminator="step"),
]


class FaultAt(Table):
    """When a fault begins: at a clock time, at a place, or when a reading first falls below a value."""

    clock: datetime.time | None = Field(default=None, description="a time of day")
    leaving: Name | None = Field(default=None, description="when the boat leaves this place")
    arriving: Name | None = Field(default=None, description="when the boat reaches this place")
    plus: Duration = Field(default=0.0, description="this much after leaving or arriving")
    pressure_below: GaugePressure | None = Field(
        default=None, description="when boiler pressure, once up, falls below this"
    )
    glass_below: Fraction | None = Field(default=None, description="when the glass falls below this")

    @model_validator(mode="after")
    def _one_moment(self) -> FaultAt:
        names = ("clock", "leaving", "arriving", "pressure_below", "glass_below")
        given = [name for name in names if getattr(self, name) is not None]
        if len(given) > 1:
            raise complaint("a fault begins at one moment only; keep one of these", given[1], given[0])
        if not given:
            raise complaint(
                "this says no moment; give one of 'clock', 'leaving', 'arriving', 'pressure_below', "
                "'glass_below'"
            )
        if "plus" in self.model_fields_set and given[0] not in ("leaving", "arriving"):
            raise complaint("'plus' goes with 'leaving' or 'arriving' only", "plus", given[0])
        return self


class _Fault(Table):
    at: FaultAt = Field(description="when it begins")
    repaired_after: Hold | None = Field(
        default=None, description="put right after this long; left out: never"
    )


class EnginePumpStops(_Fault):
    """The engine pump turns but delivers nothing."""

    kind: Literal["engine pump stops delivering"] = Field(description="what goes wrong")


class CheckValveLeaks(_Fault):
    """Boiler water blows back through the feed check valve while no pump works against it."""

    kind: Literal["check valve leaks"] = Field(description="what goes wrong")
    area: Annotated[float, quantity("area", above=0.0, highest="100 mm2", example="1 mm2")] = Field(
        default=1e-6, description="of the leak"
    )


class InjectorWillNotStart(_Fault):
    """The injector blows steam and does not pick up."""

    kind: Literal["injector will not start"] = Field(description="what goes wrong")


class HandPumpWorn(_Fault):
    """The hand pump slips."""

    kind: Literal["hand pump leathers worn"] = Field(description="what goes wrong")
    share_lost: Fraction = Field(default=0.5, description="share of its delivery lost")


class SafetyValveWeeps(_Fault):
    """The first safety valve no longer shuts tight."""

    kind: Literal["safety valve weeps"] = Field(description="what goes wrong")
    share: Fraction = Field(default=0.02, description="of its full flow that it always passes")


class EnginePumpSlipGrows(_Fault):
    """The packing of the engine pump goes: it delivers less and less."""

    kind: Literal["engine pump packing going"] = Field(description="what goes wrong")
    gone_after: Hold = Field(default=2 * 3600.0, description="time until it delivers nothing")


class SafetyValveSticksShut(_Fault):
    """The first safety valve does not lift."""

    kind: Literal["safety valve sticks shut"] = Field(description="what goes wrong")


class SafetyValveSticksOpen(_Fault):
    """The first safety valve does not shut."""

    kind: Literal["safety valve sticks open"] = Field(description="what goes wrong")


class CondenserFouls(_Fault):
    """The keel condenser takes less heat."""

    kind: Literal["condenser fouls"] = Field(description="what goes wrong")
    share_lost: Fraction = Field(default=0.5, description="share of its duty lost")


class ClinkeredGrate(_Fault):
    """Clinker shuts part of the grate."""

    kind: Literal["clinkered grate"] = Field(description="what goes wrong")
    share: Annotated[float, quantity("fraction", lowest="0 %", highest="95 %")] = Field(
        default=0.4, description="share of the grate shut"
    )


class HotwellWaterLost(_Fault):
    """The hot well leaks."""

    kind: Literal["hot well water lost"] = Field(description="what goes wrong")
    rate: VolumeFlow = Field(description="water lost")


FaultEntry = Annotated[
    EnginePumpStops
    | CheckValveLeaks
    | InjectorWillNotStart
    | HandPumpWorn
    | SafetyValveWeeps
    | EnginePumpSlipGrows
    | SafetyValveSticksShut
    | SafetyValveSticksOpen
    | CondenserFouls
    | ClinkeredGrate
    | HotwellWaterLost,
    Field(discriminator="kind"),
]


class Plan(Table):
    """One way of working the day: a name and what it changes."""

    name: Name = Field(description="what the plan is called")
    about: Annotated[str, Field(max_length=2000)] = Field(default="", description="a sentence about the plan")
    change: dict[str, Any] = Field(
        default_factory=dict,
        description="keys of the scenario with the values they have "
        "under this plan; dotted names reach inside",
    )


class Scenario(Table):
    """A whole day: boat, people, stores, route, faults and the plans to compare."""

    title: Name = Field(description="what the day is called in reports")
    story: Annotated[str, Field(max_length=4000)] = Field(default="", description="what happens, for readers")
    units: Literal["metric", "trade"] = Field(default="metric", description="units of the reports")
    light_up: datetime.time = Field(description="time of day at which the fire is lit: the start")
    date: datetime.date = Field(
        default=datetime.date(2030, 6, 15), description="the day, for the clock in reports"
    )
    boat: Boat = Field(description="the boat: a boat file's path, or the tables themselves")
    crew: Crew = Field(default_factory=Crew, description="who is aboard")
    weather: Weather = Field(default_factory=Weather, description="air and water")
    aboard: Aboard = Field(description="stores, and how the boat stands")
    firing: Firing = Field(description="how the fire is kept")
    orders: Orders = Field(default_factory=Orders, description="standing orders")
    route: Annotated[tuple[Step, ...], Field(min_length=1)] = Field(description="what is done, in order")
    fault: tuple[FaultEntry, ...] = Field(default=(), description="what goes wrong")
    plan: Annotated[tuple[Plan, ...], Field(min_length=1)] = Field(
        default=(Plan(name="as written"),), description="plans to compare; left out: the day as written"
    )

    @property
    def ease_fire_above(self) -> float:
        """Gauge pressure above which the damper is shut [Pa]: as ordered, or 5 psi under the first valve."""
        if self.orders.ease_fire_above is not None:
            return self.orders.ease_fire_above
        return self.boat.safety_valve[0].set_pressure - EASE_MARGIN

    @property
    def places(self) -> tuple[str, ...]:
        """The places on the route, in order, each once."""
        named = [
            step.to if isinstance(step, Leg) else step.at
            for step in self.route
            if isinstance(step, Leg | ComeAlongside)
        ]
        return tuple(dict.fromkeys(name for name in named if name))
