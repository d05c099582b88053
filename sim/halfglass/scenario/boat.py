"""The boat as it is written in a boat file: every table and key, with what it is and what it changes.

Only the shape of the entries is settled here; `checks` looks at how they go together and
`catalogue.reduce` turns them into the numbers the plant equations use.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from halfglass.scenario.fields import (
    Area,
    Conductance,
    Density,
    Duration,
    Fraction,
    GaugePressure,
    HeatPerMass,
    HeatTransferCoefficient,
    Length,
    Mass,
    Name,
    PressureDifference,
    Table,
    Text,
    Volume,
    quantity,
)

Share = Annotated[float, quantity("fraction", above="0 %", highest="100 %")]
CutOff = Annotated[float, quantity("fraction", above="0 %", highest="95 %")]
SmallArea = Annotated[float, quantity("area", lowest=0.0)]
SmallVolume = Annotated[float, quantity("volume", lowest=0.0)]
Lift = Annotated[float, quantity("length", lowest="-5 m", highest="5 m", example="0.3 m")]
Turns = Annotated[float, quantity("rotation", above="0 rpm")]
PositiveFlow = Annotated[float, quantity("mass_flow", above=0.0)]
PositivePressure = Annotated[float, quantity("gauge_pressure", above="0 psi")]
Factor = Annotated[float, Field(gt=0.0, le=20.0)]
PartOfOne = Annotated[float, Field(ge=0.0, lt=0.6)]


class Glass(Table):
    """The gauge glass."""

    bottom_nut: Length = Field(
        description="height of the lowest water that can be seen, above the lowest water "
        "space; below it the level is out of sight"
    )
    top_nut: Length = Field(
        description="height of the highest water that can be seen; above it steam carries water"
    )
    water_cooling: Fraction = Field(
        default=0.25,
        description="how far the water in the glass is cooled from boiler to air "
        "temperature: a cooler glass shows less than the boiler holds",
    )


class _Boiler(Table):
    glass: Glass = Field(description="where the gauge glass sits")
    plate_thickness: Length = Field(
        default=0.006, description="of shell and fire plates; more metal takes longer to heat"
    )
    lagging: HeatTransferCoefficient = Field(
        default=2.0,
        description="heat lost through the lagged outside for each square "
        "metre and degree; about 17 W/m2 K if bare",
    )
    blow_down: SmallArea = Field(default=60e-6, description="free area of the blow-down cock")
    vent: SmallArea = Field(
        default=12e-6, description="free area of the vent, which lets the air out while steam is raised"
    )


class VerticalFireTube(_Boiler):
    """An upright shell with a round firebox below and tubes from its crown to the top plate."""

    kind: Literal["vertical fire-tube"] = Field(description="the shape of the boiler")
    shell_diameter: Length = Field(description="inside diameter of the shell: width of the water")
    shell_height: Length = Field(description="from the bottom of the water leg to the top tube plate")
    firebox_diameter: Length = Field(
        description="outside diameter of the firebox: what is left is the water leg"
    )
    firebox_height: Length = Field(description="from the bottom of the water leg to the crown")
    tubes: Annotated[int, Field(ge=1, le=2000)] = Field(description="number of tubes")
    tube_diameter: Length = Field(description="outside diameter of a tube")
    tube_thickness: Length = Field(default=0.002, description="wall of a tube")


class WaterTube(_Boiler):
    """A horizontal drum over a nest of water tubes around the fire."""

    kind: Literal["water-tube"] = Field(description="the shape of the boiler")
    drum_diameter: Length = Field(description="inside diameter of the drum: room for water and steam")
    drum_length: Length = Field(description="inside length of the drum: width of the water surface")
    tubes: Annotated[int, Field(ge=1, le=2000)] = Field(description="number of tubes under the drum")
    tube_diameter: Length = Field(description="outside diameter of a tube")
    tube_thickness: Length = Field(default=0.002, description="wall of a tube")
    tube_length: Length = Field(description="length of a tube that the gas sweeps")
    tube_rise: Length = Field(description="height of the drum's lowest inside above the lowest water space")
    bottom_volume: Volume = Field(description="water in bottom headers and downcomers")
    radiant_fraction: Fraction = Field(
        default=0.2, description="share of the tube surface that sees the fire"
    )
    gas_passage: Area = Field(description="free area between the tubes for the gas")
    casing_area: Area = Field(description="outside area of drum and casing, through which heat is lost")


BoilerKind = Annotated[VerticalFireTube | WaterTube, Field(discriminator="kind")]


class SafetyValve(Table):
    """One spring-loaded safety valve."""

    set_pressure: PositivePressure = Field(description="at which it pops")
    reseat_pressure: PositivePressure = Field(description="at which it shuts again")
    bore: Length = Field(description="diameter of the seat: how much steam it passes")
    lift: Length = Field(
        default=0.0015, description="of the valve when open; with the bore it gives the flow area"
    )


class Chimney(Table):
    """The chimney, which makes the draught."""

    height: Length = Field(description="above the tubes; a taller one draws more")
    diameter: Length = Field(description="inside diameter")
    lag: Duration = Field(default=120.0, description="time it takes to warm up to the gas")


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
    furnace_mass: Mass = Field(
        default=25.0, description="bars and brick that glow with the fire and keep its heat"
    )
    furnace_loss: Conductance = Field(
        default=8.0, description="heat lost from ash pit and door for each degree"
    )
    emissivity: Share = Field(default=0.9, description="of the fire as the plate sees it")
    ash_choking_depth: Length = Field(
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
    vaporiser_lag: Duration = Field(default=90.0, description="time the vaporiser takes to heat up or cool")
    vaporiser_lowest: Annotated[float, quantity("temperature", example="250 °C")] = Field(
        default=523.15, description="below this it burns yellow and goes out"
    )
    furnace_mass: Mass = Field(default=8.0, description="brick and casing that glow with the flame")
    furnace_loss: Conductance = Field(
        default=3.0, description="heat lost from the furnace casing for each degree"
    )
    emissivity: Share = Field(default=0.5, description="of flame and brick as the tubes see them")


class Engine(Table):
    """A double-acting engine with slide valves and reversing gear."""

    kind: Literal["single", "twin", "compound"] = Field(
        description="one cylinder, two alike, or high and low"
    )
    bore: Length = Field(description="of each cylinder; of a compound, of the high-pressure one")
    low_pressure_bore: Length | None = Field(
        default=None, description="of a compound's low-pressure cylinder"
    )
    stroke: Length = Field(description="of the pistons")
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
    throttle: Area = Field(default=80e-6, description="effective steam area of the throttle, full open")
    drains: SmallArea = Field(default=15e-6, description="area of all cylinder drains, open")
    metal: Mass = Field(default=25.0, description="iron of cylinders and covers, to be warmed through")
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

    capacity: Mass = Field(description="oil it holds")
    rate: PositiveFlow = Field(description="oil it gives at the speed below")
    at_speed: Turns = Field(description="speed at which it gives that rate; it follows the engine")


class Propeller(Table):
    """The screw, as one of a published series of model screws."""

    series: Literal["B4-70", "B4-40", "B3-65"] = Field(
        description="blades and blade area ratio of the series"
    )
    diameter: Length = Field(description="of the screw")
    pitch_ratio: Annotated[float, Field(ge=0.3, le=2.0)] = Field(
        description="pitch over diameter: a coarser screw turns slower. B4-70 from 1.0 to 1.4, the others 1.0"
    )
    wake: PartOfOne = Field(default=0.1, description="share by which the hull slows the water at the screw")
    thrust_deduction: PartOfOne = Field(
        default=0.12, description="share of the thrust lost in drawing the hull back"
    )
    shaft_efficiency: Share = Field(
        default=0.96, description="share of the engine's torque left after stern gland and bearings"
    )


class Hull(Table):
    """The hull and what holds on the wind."""

    waterline_length: Length = Field(description="length on the water: sets the speed at which waves grow")
    displacement: Mass = Field(description="mass of the loaded boat with crew")
    wetted_surface: Area = Field(description="of the hull under water: friction")
    series: Literal["A", "B"] = Field(
        default="A",
        description="which of two published towing-tank models it is most like: "
        "A lean and even, B fuller and shorter for its weight",
    )
    residuary_factor: Factor = Field(default=1.0, description="wave resistance over that of the model")
    added_mass: Fraction = Field(
        default=0.08, description="water that moves with the boat, as share of its mass"
    )
    astern_factor: Factor = Field(default=1.5, description="resistance going astern over that going ahead")
    windage: SmallArea = Field(description="frontal area times drag coefficient: force of a headwind")


class Exhaust(Table):
    """Where the exhaust goes: feed coil, keel condenser or chimney, then separator and hot well."""

    kind: Literal["keel condenser", "keel condenser and feed coil", "feed coil", "none"] = Field(
        description="what condenses the exhaust: pipes along the keel, the feed in a coil, both, or nothing"
    )
    coil: Conductance = Field(default=0.0, description="exhaust to feed water in the coil, for each degree")
    keel: Conductance = Field(
        default=0.0, description="keel condenser to the water under way, for each degree"
    )
    keel_lying: Share = Field(default=0.4, description="share of that when lying still")
    keel_speed: Annotated[float, quantity("speed", above=0.0)] = Field(
        default=2.0, description="speed from which it does its full duty"
    )
    steam_side: Conductance = Field(default=3000.0, description="exhaust to condenser metal, for each degree")
    condenser_metal: Mass = Field(default=8.0, description="copper of the condenser")
    back_pressure: PressureDifference = Field(
        default=5e3, description="friction of the exhaust pipe at the flow below"
    )
    back_pressure_flow: PositiveFlow = Field(
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
    separator: Mass = Field(default=3.0, description="water held in the oil separator")
    separator_lag: Duration = Field(default=60.0, description="time water takes through the separator")
    oil_caught: Fraction = Field(
        default=0.95, description="share of the oil the separator keeps out of the hot well"
    )
    hotwell_capacity: Volume = Field(description="hot well, brim full; more runs overboard")
    hotwell_loss: Conductance = Field(
        default=3.0, description="heat from the hot well to the air, for each degree"
    )


class EnginePump(Table):
    """The feed pump driven by the engine, a plain ram."""

    bore: Length = Field(description="of the ram")
    stroke: Length = Field(description="of the ram")
    strokes_per_turn: Factor = Field(default=1.0, description="strokes for each turn of the engine")
    delivery: Share = Field(default=0.8, description="share of the swept volume really delivered")
    lift: Lift = Field(
        default=0.0, description="height of the pump above the hot well's water, minus if below"
    )


class HandPump(Table):
    """The hand pump, which can draw from the hot well or the lake."""

    stroke_volume: Volume = Field(description="swept by one stroke")
    delivery: Share = Field(default=0.9, description="share really delivered")


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
    lake_solids: Annotated[float, quantity("dissolved_solids", lowest=0.0)] = Field(
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
