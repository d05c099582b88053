"""The boat as it is written in a boat file: every table and key, with what it is and what it changes.

Only the shape of the entries is settled here; `checks` looks at how they go together and
`catalogue.reduce` turns them into the numbers the plant equations use.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from halfglass.scenario.catalogue.boiler_shapes import BoilerKind
from halfglass.scenario.fields import (
    Area,
    Conductance,
    Density,
    DissolvedSolids,
    Fraction,
    GaugePressure,
    HeatPerMass,
    Lag,
    Mass,
    Name,
    PartMass,
    PressureDifference,
    Size,
    SmallArea,
    SteamArea,
    Table,
    Text,
    Volume,
    quantity,
)
from halfglass.scenario.hull_models import Hull, Propeller

Share = Annotated[float, quantity("fraction", above="0 %", highest="100 %")]
CutOff = Annotated[float, quantity("fraction", above="0 %", highest="95 %")]
Lift = Annotated[float, quantity("length", lowest="-5 m", highest="5 m", example="0.3 m")]
Turns = Annotated[float, quantity("rotation", above="0 rpm", highest="3000 rpm")]
PositiveFlow = Annotated[float, quantity("mass_flow", above=0.0, highest="10000 kg/h")]
ExhaustFlow = Annotated[float, quantity("mass_flow", lowest="2 kg/h", highest="10000 kg/h")]
BackPressure = Annotated[
    float, quantity("pressure_difference", lowest="0 kPa", highest="100 kPa", example="5 kPa")
]
ValvePressure = Annotated[float, quantity("gauge_pressure", lowest="10 psi", highest="300 psi")]
PositivePressure = Annotated[float, quantity("gauge_pressure", above="0 psi", highest="300 psi")]
Factor = Annotated[float, Field(gt=0.0, le=20.0)]


class SafetyValve(Table):
    """One spring-loaded safety valve."""

    set_pressure: ValvePressure = Field(description="at which it pops")
    reseat_pressure: PositivePressure = Field(description="at which it shuts again")
    bore: Size = Field(description="diameter of the seat: how much steam it passes")
    lift: Size = Field(
        default=0.0015, description="of the valve when open; with the bore it gives the flow area"
    )
    simmer: Fraction = Field(
        default=0.01, description="share of its full flow that it passes just before it pops"
    )


class Chimney(Table):
    """The chimney, which makes the draught."""

    height: Size = Field(description="above the tubes; a taller one draws more")
    diameter: Size = Field(description="inside diameter")
    lag: Lag = Field(default=120.0, description="time it takes to warm up to the gas")


class Fire(Table):
    """A solid-fuel fire on a grate."""

    grate_area: Area = Field(description="area of the grate")
    ash_pit_opening: Area = Field(description="free area of the fully open damper")
    damper_leak: Fraction = Field(
        default=0.04, description="share of its air that a shut damper still passes"
    )
    over_fire_opening: Fraction = Field(
        default=0.0174,
        description="free area of the openings above the fire, as share of the grate (2.5 square inches for "
        "each square foot): air that burns the gas; too little leaves it unburnt, too much cools it",
    )
    fire_door: Area = Field(description="free area of the open fire door: cold air while firing")
    furnace_mass: PartMass = Field(
        default=25.0, description="bars and brick that glow with the fire and keep its heat"
    )
    furnace_loss: Conductance = Field(
        default=8.0, description="heat lost from ash pit and door for each degree"
    )
    emissivity: Share = Field(default=0.9, description="of the fire as the plate sees it")
    ash_choking_depth: Size = Field(
        default=0.04, description="depth of ash that doubles the resistance of the bed"
    )
    blower_draught: PressureDifference = Field(
        default=120.0, description="draught of the steam blower, full open"
    )
    blower_jet: SmallArea = Field(
        default=1.5e-6, description="area of the blower's steam jet: the steam it costs"
    )


class Burner(Table):
    """A burner for paraffin, fed from a tank under air pressure."""

    heads: Annotated[int, Field(ge=1, le=2)] = Field(
        default=1, description="burner heads; with two the burner can be turned lower, to one head alone"
    )
    fuel_rate: PositiveFlow = Field(
        description="fuel burnt by each head at full rate and the tank's reference pressure"
    )
    lowest_rate: Share = Field(
        default=0.15, description="share of one head's full rate below which its flame goes out"
    )
    tank_volume: Volume = Field(description="of the fuel tank, full")
    tank_pressure: PositivePressure = Field(
        default=20.0 * 6894.757, description="air pressure in the tank for the full rate"
    )
    net_heat: HeatPerMass = Field(
        default=43.8e6, description="net heat of the fuel (paraffin: IPCC 2006, value from memory)"
    )
    density: Density = Field(default=800.0, description="of the fuel: kg in a litre of tank")
    air_ratio: Annotated[float, Field(ge=14.7, le=60.0)] = Field(
        default=20.0,
        description="kg of air drawn in for each kg of fuel; more air carries more heat up the chimney",
    )
    burnt: Share = Field(default=0.98, description="share of the fuel's heat set free in the furnace")
    vaporiser_lag: Lag = Field(default=90.0, description="time the vaporiser takes to heat up or cool")
    vaporiser_lowest: Annotated[float, quantity("temperature", example="250 °C")] = Field(
        default=523.15, description="below this it burns yellow and goes out"
    )
    furnace_mass: PartMass = Field(default=8.0, description="brick and casing that glow with the flame")
    furnace_loss: Conductance = Field(
        default=3.0, description="heat lost from the furnace casing for each degree"
    )
    emissivity: Share = Field(default=0.5, description="of flame and brick as the tubes see them")


class Engine(Table):
    """A double-acting engine with slide valves and reversing gear."""

    kind: Literal["single", "twin", "compound"] = Field(
        description="one cylinder, two alike, or high and low"
    )
    bore: Size = Field(description="of each cylinder; of a compound, of the high-pressure one")
    low_pressure_bore: Size | None = Field(default=None, description="of a compound's low-pressure cylinder")
    stroke: Size = Field(description="of the pistons")
    cut_off: CutOff = Field(
        default=0.65, description="share of the stroke during which steam enters, gear right over"
    )
    mid_gear_cut_off: CutOff = Field(default=0.2, description="the same with the gear nearly in the middle")
    clearance: Share = Field(
        default=0.08, description="volume left at the end of the stroke, as share of the stroke volume"
    )
    compression: Fraction = Field(default=0.1, description="share of the stroke left when the exhaust shuts")
    diagram_factor: Share = Field(
        default=0.82, description="area of the real indicator diagram over the theoretical one"
    )
    missing_quantity: Annotated[float, Field(ge=0.0, le=30.0)] = Field(
        default=7.0, description="Cotterill's coefficient: steam condensed on the cylinder walls"
    )
    leakage: SmallArea = Field(default=0.6e-6, description="leakage of pistons and valves as one hole")
    friction: PressureDifference = Field(
        default=25e3, description="mean pressure on the pistons that friction uses up"
    )
    throttle: SteamArea = Field(default=80e-6, description="effective steam area of the throttle, full open")
    drains: SmallArea = Field(default=15e-6, description="area of all cylinder drains, open")
    metal: PartMass = Field(default=25.0, description="iron of cylinders and covers, to be warmed through")
    warming: Conductance = Field(
        default=60.0, description="heat from steam to cylinder metal for each degree"
    )
    casing: Conductance = Field(
        default=4.0, description="heat from cylinder metal to the air for each degree"
    )
    gland_loss: Fraction = Field(default=0.01, description="share of the steam lost at the glands")
    highest_speed: Turns = Field(default=15.0, description="no load drives it faster than this")


class Lubricator(Table):
    """The cylinder lubricator."""

    kind: Literal["mechanical", "displacement"] = Field(
        default="mechanical",
        description="driven by the engine, or fed drop by drop by condensing steam while steam is on",
    )
    capacity: Mass = Field(description="oil it holds")
    rate: PositiveFlow = Field(description="oil it gives, a mechanical one at the speed below")
    at_speed: Turns | None = Field(
        default=None, description="speed at which a mechanical one gives that rate; it follows the engine"
    )


class Exhaust(Table):
    """Where the exhaust goes: feed coil, keel condenser or chimney, then separator and hot well."""

    kind: Literal["keel condenser", "feed-heating condenser", "both in series", "none"] = Field(
        description="what condenses the exhaust: pipes along the keel, only the feed that is warmed by it, "
        "first the one and then the other, or nothing"
    )
    coil: Conductance = Field(
        default=0.0,
        description="exhaust to feed water in a coil or feed-heating condenser, for each degree; "
        "any kind may have one",
    )
    keel: Conductance = Field(
        default=0.0, description="keel condenser to the water under way, for each degree"
    )
    keel_lying: Share = Field(default=0.4, description="share of that when lying still")
    keel_speed: Annotated[float, quantity("speed", above=0.0)] = Field(
        default=2.0, description="speed from which it does its full duty"
    )
    steam_side: Conductance = Field(default=3000.0, description="exhaust to condenser metal, for each degree")
    condenser_metal: PartMass = Field(default=8.0, description="copper of the condenser")
    condensate_drain: SteamArea = Field(
        default=150e-6, description="of the condensate drain valve, full open; shut in, water floods the coil"
    )
    condensate_room: Volume = Field(
        default=2e-3, description="condensate that covers all of the condensing surface"
    )
    back_pressure: BackPressure = Field(
        default=5e3, description="friction of the exhaust pipe at the flow below"
    )
    back_pressure_flow: ExhaustFlow = Field(
        default=80.0 / 3600.0, description="steam flow that gives that back pressure"
    )
    air_pump: bool = Field(
        default=False, description="true if an air pump keeps a vacuum while the engine turns"
    )
    air_left: PressureDifference = Field(
        default=10e3, description="pressure of the air an air pump leaves in the condenser"
    )
    up_chimney: bool = Field(
        default=False, description="true if steam not condensed goes up the chimney and adds draught"
    )
    blast_draught: PressureDifference = Field(
        default=40.0, description="draught of that steam at the flow above"
    )
    separator: PartMass = Field(default=3.0, description="water held in the oil separator")
    separator_lag: Lag = Field(default=60.0, description="time water takes through the separator")
    oil_caught: Fraction = Field(
        default=0.95, description="share of the oil a clean separator keeps out of the hot well"
    )
    cloth_capacity: Mass = Field(
        default=0.4, description="oil with which the separator's cloth is full and catches no more"
    )
    hotwell_capacity: Volume = Field(description="hot well, brim full; more runs overboard")
    hotwell_loss: Conductance = Field(
        default=3.0, description="heat from the hot well to the air, for each degree"
    )


class EnginePump(Table):
    """The feed pump driven by the engine, a plain ram."""

    bore: Size = Field(description="of the ram")
    stroke: Size = Field(description="of the ram")
    strokes_per_turn: Factor = Field(default=1.0, description="strokes for each turn of the engine")
    delivery: Share = Field(default=0.8, description="share of the swept volume really delivered")
    lift: Lift = Field(
        default=0.0, description="height of the pump above the hot well's water, minus if below"
    )


class HandPump(Table):
    """The hand pump, which can draw from the hot well or the lake."""

    stroke_volume: Volume = Field(description="swept by one stroke")
    delivery: Share = Field(default=0.96, description="share really delivered: packed pumps slip 3 to 5 %")
    lever_travel: Size = Field(
        default=0.5, description="way the hand goes for one stroke: a short lever is heavy"
    )


class Injector(Table):
    """The injector, which needs steam but no engine."""

    delivery: PositiveFlow = Field(description="water it feeds at the pressure below")
    at_pressure: PositivePressure = Field(description="boiler pressure for that delivery")
    starting_pressure: GaugePressure = Field(description="lowest boiler pressure at which it works")
    highest_pressure: PositivePressure = Field(description="highest boiler pressure at which it works")
    draws: Literal["hot well", "lake"] = Field(default="lake", description="where its water comes from")


class Feed(Table):
    """What can put water into the boiler; leave out what the boat does not have."""

    engine_pump: EnginePump | None = Field(default=None, description="the pump driven by the engine")
    hand_pump: HandPump | None = Field(default=None, description="the hand pump")
    injector: Injector | None = Field(default=None, description="the injector")
    lake_solids: DissolvedSolids = Field(
        default=150.0, description="dissolved solids in lake water, which stay in the boiler"
    )


class Boat(Table):
    """A boat: hull, boiler, engine and everything between them."""

    name: Name = Field(description="what the boat is called in reports")
    about: Text | None = Field(default=None, description="a sentence or two about the boat")
    boiler: BoilerKind = Field(description="the boiler")
    safety_valve: Annotated[tuple[SafetyValve, ...], Field(min_length=1, max_length=2)] = Field(
        description="one or two safety valves, the one that lifts first first"
    )
    valve_discharge: Share = Field(default=0.7, description="share of the ideal flow a safety valve passes")
    chimney: Chimney = Field(description="the chimney")
    fire: Fire | None = Field(default=None, description="a grate for solid fuel, or")
    burner: Burner | None = Field(default=None, description="a burner for paraffin")
    engine: Engine = Field(description="the engine")
    lubricator: Lubricator = Field(description="the cylinder lubricator")
    propeller: Propeller = Field(description="the screw")
    hull: Hull = Field(description="the hull")
    exhaust: Exhaust = Field(description="condenser, separator and hot well")
    feed: Feed = Field(description="pumps and injector")

    @property
    def feed_sources(self) -> tuple[str, ...]:
        """The names a standing order may use for the ways this boat can feed."""
        sources: list[str] = []
        if self.feed.engine_pump is not None:
            sources.append("engine pump")
        if self.feed.injector is not None:
            sources.append("injector")
        if self.feed.hand_pump is not None:
            sources += ["hand pump on hot well", "hand pump on lake"]
        return tuple(sources)
