"""The day as it is written in a scenario file: crew, weather, stores, orders, route, faults and plans."""

from __future__ import annotations

import datetime
from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import Field

from halfglass.scenario.boat import Boat
from halfglass.scenario.by_hand_models import SolidFuelName
from halfglass.scenario.fault_models import FaultEntry
from halfglass.scenario.fields import (
    BarometerPressure,
    DissolvedSolids,
    Duration,
    Fraction,
    GaugePressure,
    Mass,
    Name,
    Size,
    Stream,
    StrokeRate,
    Table,
    UnitChoice,
    Wind,
    quantity,
)
from halfglass.scenario.order_models import Opening, Order, Orders
from halfglass.scenario.route_steps import (
    MINUTE,
    ComeAlongside,
    Leg,
    Lock,
    NightHalt,
    Step,
    Stored,
    StoredVolume,
)
from halfglass.scenario.uncertain_models import Uncertain

AirTemperature = Annotated[float, quantity("temperature", lowest="-30 °C", highest="50 °C")]
WaterTemperature = Annotated[float, quantity("temperature", lowest="0 °C", highest="40 °C")]
Lean = Annotated[float, quantity("angle", lowest="-20 deg", highest="20 deg", example="3 deg")]
Moisture = Annotated[float, quantity("fraction", lowest="0 %", highest="60 %", example="35 %")]
Ash = Annotated[float, quantity("fraction", lowest="0 %", highest="30 %", example="7 %")]
if TYPE_CHECKING:
    FuelName = str
else:
    FuelName = Literal[SolidFuelName, "paraffin"]
PSI = 6894.757293168
LookEvery = Annotated[float, quantity("time", lowest="5 s", highest="2 h", example="3 min")]
MOST_PLANS = 100
EASE_MARGIN = 5.0 * PSI
"""The fire is eased this far under the first safety valve unless the orders say otherwise."""


class Crew(Table):
    """Who is aboard, and how long things take them."""

    hands: Annotated[int, Field(ge=1, le=2)] = Field(
        default=1, description="people who can work: one must steer under way"
    )
    look_every: LookEvery = Field(default=3 * MINUTE, description="time between looks at glass and gauge")
    look_takes: Duration = Field(default=8.0, description="time one look takes")
    firing_takes: Duration = Field(default=50.0, description="time one firing takes, with the fire door open")
    skill: Literal["learning", "ordinary", "practised"] = Field(
        default="ordinary",
        description="how quick they are: learning takes half as long again, practised a fifth less",
    )
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
    headwind: Wind = Field(
        default=0.0, description="wind over the ground against the course, minus from astern"
    )
    stream: Stream = Field(
        default=0.0, description="of the water along the course; plus helps, minus is foul"
    )
    barometer: BarometerPressure = Field(default=101325.0, description="pressure of the air")


class Aboard(Table):
    """What is carried and how the boat stands before lighting up."""

    fuel: FuelName = Field(description="what is burnt")
    fuel_mass: Stored = Field(default=0.0, description="solid fuel in the bunker")
    fuel_moisture: Moisture | None = Field(
        default=None,
        description="water in solid fuel as share of its wet mass: wet fuel is slow to catch and gives less "
        "heat; left out: that of the catalogue",
    )
    fuel_ash: Ash | None = Field(
        default=None,
        description="ash in solid fuel as share of its mass at the catalogue's moisture: dirtier fuel has as "
        "much less to burn, so less heat, and the grate fills sooner; left out: that of the catalogue",
    )
    fuel_reserve: Stored = Field(default=0.0, description="fuel that should still be there at the end")
    tank_fuel: StoredVolume = Field(default=0.0, description="paraffin in the tank")
    glass: Fraction = Field(default=0.5, description="water in the glass before lighting up")
    hotwell: StoredVolume = Field(default=0.010, description="water in the hot well before lighting up")
    boiler_solids: DissolvedSolids = Field(
        default=150.0, description="dissolved solids in the boiler water before lighting up"
    )
    hull_fouling: Annotated[float, Field(ge=1.0, le=3.0)] = Field(
        default=1.0, description="friction of the hull, foul as it is, over that of a clean one"
    )
    cloth_oil: Stored = Field(default=0.0, description="oil already in the separator's cloth")
    heel: Lean = Field(
        default=0.0, description="how she lies across, plus to starboard: what the glass shows, crown cover"
    )
    trim: Lean = Field(
        default=0.0,
        description="how she lies along, plus by the head: what the glass shows, crown cover",
    )


class Firing(Table):
    """How the fire is kept."""

    working_pressure: GaugePressure = Field(description="boiler pressure held by damper or burner")
    raising_damper: Opening = Field(
        default=0.15,
        description="how far the damper is open while steam is raised: gently, to spare tubes and seams",
    )
    bed_depth: Size = Field(default=0.10, description="depth of fire kept on the grate")
    charge: Mass = Field(default=1.0, description="fuel thrown on at one firing")
    burner_rate: Opening = Field(default=1.0, description="burner setting, of its full rate")


class AddedStep(Table):
    """One step that a plan puts into the route."""

    before: Name | None = Field(default=None, description="name of the step it goes before, or")
    after: Name | None = Field(default=None, description="name of the step it goes after")
    does: Step = Field(description="the step itself")


class Plan(Table):
    """One way of working the day: a name and what it changes."""

    name: Name = Field(description="what the plan is called")
    about: Annotated[str, Field(max_length=2000)] = Field(default="", description="a sentence about the plan")
    change: dict[str, Any] = Field(
        default_factory=dict,
        description="keys of the scenario with the values they have "
        "under this plan; dotted names reach inside",
    )
    drop: Annotated[tuple[Name, ...], Field(max_length=100)] = Field(
        default=(), description="names of steps, orders and faults of the day left out under this plan"
    )
    step: Annotated[tuple[AddedStep, ...], Field(max_length=100)] = Field(
        default=(), description="steps put into the route under this plan"
    )
    order: Annotated[tuple[Order, ...], Field(max_length=100)] = Field(
        default=(), description="standing orders of this plan, before those of the day"
    )
    fault: Annotated[tuple[FaultEntry, ...], Field(max_length=100)] = Field(
        default=(), description="faults that happen under this plan too"
    )


class Scenario(Table):
    """A whole day: boat, people, stores, route, faults and the plans to compare."""

    title: Name = Field(description="what the day is called in reports")
    story: Annotated[str, Field(max_length=4000)] = Field(default="", description="what happens, for readers")
    units: UnitChoice = Field(
        default="metric",
        description="units of the answers: 'metric' (bar, kg, km, kn) or 'trade' (psi, lb, miles, kn), and "
        "single units picked over it, as in 'trade, pressure=bar, speed=mph'",
    )
    light_up: datetime.time = Field(description="time of day at which the fire is lit: the start")
    date: datetime.date = Field(
        default=datetime.date(2030, 6, 15), description="the day, for the clock in reports"
    )
    boat: Boat = Field(description="the boat: a boat file's path or name, or the tables themselves")
    crew: Crew = Field(default_factory=Crew, description="who is aboard")
    weather: Weather = Field(default_factory=Weather, description="air and water")
    aboard: Aboard = Field(description="stores, and how the boat stands")
    firing: Firing = Field(description="how the fire is kept")
    orders: Orders = Field(default_factory=Orders, description="the usual standing orders")
    order: Annotated[tuple[Order, ...], Field(max_length=100)] = Field(
        default=(), description="standing orders of the skipper's own, the most pressing first"
    )
    route: Annotated[tuple[Step, ...], Field(min_length=1, max_length=500)] = Field(
        description="what is done, in order"
    )
    fault: Annotated[tuple[FaultEntry, ...], Field(max_length=100)] = Field(
        default=(), description="what goes wrong"
    )
    uncertain: Annotated[tuple[Uncertain, ...], Field(max_length=50)] = Field(
        default=(), description="what is not known for certain; only `spread` draws from it"
    )
    plan: Annotated[tuple[Plan, ...], Field(min_length=1, max_length=MOST_PLANS)] = Field(
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
            if isinstance(step, Leg | ComeAlongside | Lock)
        ]
        return tuple(dict.fromkeys(name for name in named if name))

    @property
    def nights(self) -> int:
        """How many nights the route spends on the way."""
        return sum(isinstance(step, NightHalt) for step in self.route)
