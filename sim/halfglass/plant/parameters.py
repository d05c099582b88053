"""What the plant equations need to know of a boat: plain numbers in SI, one record per component.

The catalogue reduces every kind (fuel, boiler shape, condenser, propeller ...) to these records before
a run, so the equations never ask what kind a thing is beyond a number here. Gauge pressures never
appear: pressures are absolute and say so.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Table = NDArray[np.float64]

LEVEL_NODES = 129
"""Nodes of the boiler's height-against-volume table."""
ANGLE_NODES = 721
"""Nodes of the propeller tables: every half degree of the advance angle, 0 to 360 inclusive."""
SPEED_NODES = 121
"""Nodes of the hull's resistance tables."""


@dataclass(frozen=True)
class Boiler:
    """A boiler shell reduced to volumes, heights and areas. Heights are above the lowest water space."""

    volume: float  # m³, water and steam space together
    height_table: Table  # m, surface height at LEVEL_NODES equal steps of volume from 0 to full
    area_table: Table  # m², water surface at the same nodes
    bottom_nut_height: float  # m, lower end of the visible gauge glass
    top_nut_height: float  # m, upper end of the visible gauge glass
    glass_athwartships: float  # m, glass to starboard of the middle of the water surface
    glass_fore_and_aft: float  # m, glass forward of it
    crown_height: float  # m, highest heated part: firebox crown or top of the highest fully heated tubes
    crown_half_breadth: float  # m
    crown_half_length: float  # m
    crown_fore_and_aft: float  # m, middle of the crown forward of the middle of the water surface
    crown_depth: float  # m of falling water over which the crown dries when the boat lies level
    metal_heat_capacity: float  # J/K, wetted metal that follows the water temperature
    casing_conductance: float  # W/K, lagged shell to still air
    radiant_area: float  # m², area through which the fire radiates to water-backed plate
    radiant_crown_fraction: float  # 0-1, share of it that is crown and dries together
    radiant_lowest_height: float  # m, the rest of it begins here
    radiant_highest_height: float  # m, and ends here
    convective_area: float  # m², tube surface swept by the gas
    convective_lowest_height: float  # m
    convective_highest_height: float  # m
    gas_passage_area: float  # m², free area of the tubes for the gas
    rise_depth: float  # m, mean path of a bubble to the surface
    glass_water_cooling_fraction: float  # 0 = glass water as hot as the boiler, 1 = at air temperature
    blow_down_area: float  # m²
    vent_area: float  # m²


@dataclass(frozen=True)
class SafetyValves:
    """Two spring-loaded valves (set the second's area to zero for a boat with one)."""

    first_set_pressure: float  # Pa above atmosphere at which it pops
    first_reseat_pressure: float  # Pa above atmosphere at which it shuts
    first_area: float  # m², flow area at full lift
    first_simmer_fraction: float  # of that area, open just below the set pressure
    second_set_pressure: float
    second_reseat_pressure: float
    second_area: float
    second_simmer_fraction: float
    discharge_coefficient: float  # 0-1


@dataclass(frozen=True)
class Fire:
    """Grate, furnace, chimney and the air that passes them (burner boats: grate_area 0)."""

    grate_area: float  # m²
    furnace_heat_capacity: float  # J/K, bars and brickwork that glow with the fire
    emissivity: float  # 0-1, of the fire seen by the plate
    furnace_loss_conductance: float  # W/K, ash-pit and door to the air
    chimney_height: float  # m
    furnace_rise: float  # m, height through which furnace-hot gas rises before the chimney
    flue_conductance: float  # kg/s per sqrt(Pa): tubes, smokebox and chimney
    damper_conductance: float  # kg/s per sqrt(Pa): damper fully open
    damper_leak_fraction: float  # 0-1, what a shut damper still passes
    bed_conductance: float  # kg/s per sqrt(Pa): clean grate with a bed of bed_reference_depth
    bed_reference_depth: float  # m
    ash_choking_depth: float  # m, depth of ash that doubles the bed's resistance
    door_conductance: float  # kg/s per sqrt(Pa): fire door open
    over_fire_conductance: float  # kg/s per sqrt(Pa): air that always enters above the bed
    blower_pressure: float  # Pa of draught with the blower full open
    blower_area: float  # m², steam jet of the blower
    blast_coefficient: float  # Pa per (kg/s)², draught from exhaust steam sent up the chimney
    chimney_lag: float  # s, warming of the chimney


@dataclass(frozen=True)
class Burner:
    """Liquid-fuel burner (fuel_rate 0: none)."""

    fuel_rate: float  # kg/s, all heads at full rate and reference tank pressure
    reference_pressure: float  # Pa above atmosphere in the tank for that rate
    net_heat: float  # J/kg
    air_ratio: float  # kg air per kg fuel actually drawn in while burning
    vaporiser_lag: float  # s
    vaporiser_lowest: float  # K, below this the burner will not burn blue and goes out
    lowest_share: float  # 0-1 of fuel_rate: a weaker jet goes out
    burnt_fraction: float  # 0-1, share of the fuel heat released
    tank_volume: float  # m³
    fuel_density: float  # kg/m³


@dataclass(frozen=True)
class Engine:
    """Double-acting engine. A compound is referred to its low-pressure cylinder by the catalogue."""

    swept_volume: float  # m³ per revolution, all cylinders, both ends
    bore: float  # m, of the cylinder that sets the condensation
    clearance_fraction: float  # of the stroke volume
    full_gear_cut_off: float  # fraction of stroke, gear right over
    mid_gear_cut_off: float  # fraction of stroke, gear near mid
    compression_fraction: float  # of the stroke left when the exhaust shuts
    diagram_factor: float  # 0-1, real diagram area over the theoretical
    missing_quantity_coefficient: float  # C of Cotterill's rule, ft·sqrt(rev/min)
    leakage_area: float  # m², valve and piston leakage as an orifice
    friction_pressure: float  # Pa, mean friction referred to the swept volume
    throttle_area: float  # m², full open, effective
    drain_area: float  # m², all cylinder drains open
    metal_heat_capacity: float  # J/K, cylinders and covers
    warming_conductance: float  # W/K, steam to cylinder metal
    casing_conductance: float  # W/K, cylinder metal to air
    clearance_water_mass: float  # kg of water that fills one clearance space: hammer beyond it
    gland_flow_fraction: float  # of the engine steam lost at glands
    oil_per_revolution: float  # kg of cylinder oil per revolution (mechanical lubricator)
    oil_rate: float  # kg/s of cylinder oil while steam is on (displacement lubricator)
    lubricator_capacity: float  # kg
    highest_speed: float  # rev/s, where the shaft balance stops looking
    dead_angle: float  # rad either side of a dead centre from which it will not start (0: starts anywhere)


@dataclass(frozen=True)
class Propeller:
    """Open-water screw in four quadrants."""

    diameter: float  # m
    thrust_table: Table  # C_T at ANGLE_NODES of the advance angle
    torque_table: Table  # C_Q at the same
    wake_fraction: float
    thrust_deduction_fraction: float
    shaft_efficiency: float  # stern gland and bearings


@dataclass(frozen=True)
class Hull:
    """Resistance against speed through the water, and what the wind holds on to."""

    displaced_mass: float  # kg
    added_mass_fraction: float
    table_top_speed: float  # m/s, speed at the last node
    friction_table: Table  # N at SPEED_NODES equal steps of speed
    residuary_table: Table  # N at the same
    astern_factor: float  # resistance astern over ahead
    windage_area: float  # m², frontal, times drag coefficient


@dataclass(frozen=True)
class Exhaust:
    """Feed coil, condenser and the way the exhaust leaves."""

    coil_conductance: float  # W/K, exhaust to feed water in the coil
    keel_conductance_moving: float  # W/K, metal to lake at reference speed and above (0: no keel condenser)
    keel_conductance_lying_fraction: float  # of the above when lying still
    keel_reference_speed: float  # m/s
    steam_side_conductance: float  # W/K, exhaust to condenser metal
    condenser_heat_capacity: float  # J/K
    condensate_capacity: float  # kg of condensate that floods all of coil and condenser
    drain_area: float  # m², condensate drain valve full open
    pipe_resistance: float  # Pa per (kg/s)², exhaust pipe
    vacuum: float  # 1 if an air pump keeps the condenser below atmosphere while the engine turns
    air_pressure_absolute: float  # Pa left by the air pump
    up_chimney: float  # 1 if uncondensed exhaust goes up the chimney, 0 if it leaves at the hot well vent
    back_pressure_lag: float  # s
    separator_hold_up: float  # kg of water held in the oil separator
    separator_lag: float  # s
    separator_catch_fraction: float  # of the oil caught by a clean cloth
    separator_cloth_capacity: float  # kg of oil with which the cloth catches no more
    hotwell_capacity: float  # kg
    hotwell_conductance: float  # W/K to the air


@dataclass(frozen=True)
class Feed:
    """The feed sources. A source a boat lacks has zero displacement or area."""

    engine_pump_displacement: float  # m³ per engine revolution
    engine_pump_delivery_fraction: float  # 0-1 (1 - slip)
    pump_suction_lift: float  # m, pump above (+) or below (-) the hot well surface
    hand_pump_displacement: float  # m³ per stroke, both hand pumps
    hand_pump_delivery_fraction: float
    hand_pump_lever_travel: float  # m the hand moves for one stroke
    injector_steam_area: float  # m², effective steam nozzle
    injector_starting_pressure: float  # Pa above atmosphere
    injector_highest_pressure: float  # Pa above atmosphere
    injector_from_hotwell: float  # 1 draws the hot well, 0 the lake
    lake_solids_fraction: float  # kg dissolved per kg lake water


class PlantParameters(NamedTuple):
    """Everything fixed about one boat for one run."""

    boiler: Boiler
    valves: SafetyValves
    fire: Fire
    burner: Burner
    engine: Engine
    propeller: Propeller
    hull: Hull
    exhaust: Exhaust
    feed: Feed


@dataclass
class Settings:
    """What hands, weather and faults have set at this moment; the only thing changed between segments."""

    # hands
    throttle: float = 0.0  # 0-1
    reversing_gear: float = 1.0  # -1 full astern ... 0 mid ... 1 full ahead
    damper: float = 1.0
    fire_door: float = 0.0
    blower: float = 0.0
    burner_rate: float = 0.0
    burner_preheat: float = 0.0  # 1 while the spirit cup burns under the vaporiser
    bypass: float = 1.0  # share of the engine pump's water sent back to the hot well
    hand_pump_hotwell_rate: float = 0.0  # strokes/s
    hand_pump_lake_rate: float = 0.0  # strokes/s
    injector: float = 0.0  # 1 while it is running
    cylinder_drains: float = 0.0
    condensate_drain: float = 1.0
    whistle_area: float = 0.0  # m²
    heating_steam_area: float = 0.0  # m², kettle and the like
    blow_down: float = 0.0
    vent: float = 0.0
    moored: float = 1.0  # 1 while made fast
    load: float = 0.0  # kg taken aboard since the start, or put ashore
    # what moves by itself (set by the clock at its crossings)
    on_dead_centre: float = 0.0  # 1 while the engine stands where steam cannot start it
    first_safety_valve: float = 0.0  # 1 open
    second_safety_valve: float = 0.0
    # weather and water
    stream: float = 0.0  # m/s, along the course, + helps
    headwind: float = 0.0  # m/s over the ground, + against
    air_temperature: float = 288.15
    lake_temperature: float = 288.15
    atmosphere_absolute: float = 101325.0
    # condition (faults)
    engine_pump_health: float = 1.0
    engine_pump_wear_rate: float = 0.0  # 1/s, growing slip; below zero while it is being repacked
    hand_pump_health: float = 1.0
    check_valve_leak_area: float = 0.0  # m²
    safety_valve_weep_fraction: float = 0.0
    first_safety_valve_stuck: float = 0.0  # 1 stuck open, -1 stuck shut
    second_safety_valve_stuck: float = 0.0
    condenser_health: float = 1.0
    condensate_leak_fraction: float = 0.0  # of the condensate, lost before the separator
    hotwell_steam_area: float = 0.0  # m², a drain that blows live steam into the hot well
    clinker_fraction: float = 0.0
    hull_fouling: float = 1.0  # multiplies the frictional resistance
    hotwell_leak_rate: float = 0.0  # kg/s
    # how the boat lies
    heel: float = 0.0  # rad, + to starboard
    trim: float = 0.0  # rad, + by the head


@dataclass(frozen=True)
class FuelCharge:
    """One shovelful or log, split into what the bed keeps account of. Masses in kg, heat in J."""

    moisture: float
    volatile: float
    volatile_heat: float
    char: float
    riddled: float  # carbon that falls through the grate
    ash: float
    ignition_lag: float  # s
    green_volume: float  # m³, as thrown on
    char_volume: float  # m³, once it glows

    @property
    def mass(self) -> float:
        """Mass as thrown on [kg]."""
        return self.moisture + self.volatile + self.char + self.riddled + self.ash


@dataclass(frozen=True)
class InitialState:
    """How the plant stands before lighting up."""

    boiler_liquid_volume: float  # m³
    boiler_temperature: float  # K
    boiler_air: bool = True
    hotwell_mass: float = 0.0  # kg
    boiler_solids_fraction: float = 0.0  # kg dissolved per kg of boiler water
    separator_oil: float = 0.0  # kg already in the separator's cloth
    crank_turns: float = 0.25  # turns past a dead centre
    fuel_mass: float = 0.0  # kg, bunker (solid)
    tank_fuel_mass: float = 0.0  # kg, burner tank
    tank_air_pressure: float = 0.0  # Pa above atmosphere
    settings: Settings = field(default_factory=Settings)
