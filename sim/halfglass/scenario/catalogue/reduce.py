"""A boat and a scenario as the plain numbers the plant equations use."""

from __future__ import annotations

import math

import numpy as np

from halfglass.plant import parameters as plant
from halfglass.scenario import boat as written
from halfglass.scenario.catalogue import boiler_shapes, hull_and_screw
from halfglass.scenario.catalogue.fuels import FUELS
from halfglass.scenario.day_models import Scenario

IRON_HEAT = 490.0
"""J/(kg K), iron and steel; value from memory."""
BRICK_HEAT = 850.0
COPPER_HEAT = 390.0
GAS_DENSITY_HOT = 0.55
"""kg/m³ of flue gas near 350 °C, for the resistance of chimney and tubes."""
AIR_DENSITY = 1.22
CHIMNEY_LOSS = 1.5
TUBE_LOSS = 3.0
OPENING_LOSS = 2.0
"""Velocity heads lost in chimney, tubes and openings (common practice, no source)."""
BED_CONDUCTANCE = 0.045
"""kg/s per sqrt(Pa) and m² of grate with a clean bed 100 mm deep; set so that a warm 2.4 m chimney burns
about 55 kg/(h m²) on natural draught (common practice, no source). The furnace draughts of [BW] table 59 come
to 0.035 (fine anthracite) to 0.09 (lump) under about 150 mm of fire."""
BED_REFERENCE_DEPTH = 0.10
DEAD_ANGLE = math.radians(12.0)
"""A single-cylinder engine does not start from within this of a dead centre (judgement)."""
PSI = 6894.757293168
ATMOSPHERE = 101325.0
WATER_DENSITY = 999.0


def plant_parameters(boat: written.Boat) -> plant.PlantParameters:
    """Everything the plant equations need to know of a boat."""
    boiler = boiler_shapes.reduced(boat.boiler)
    return plant.PlantParameters(
        boiler=boiler,
        valves=_valves(boat),
        fire=_fire(boat, boiler),
        burner=_burner(boat),
        engine=_engine(boat.engine, boat.lubricator),
        propeller=hull_and_screw.propeller(boat.hull, boat.propeller),
        hull=hull_and_screw.reduced_hull(boat.hull, boat.propeller),
        exhaust=_exhaust(boat.exhaust),
        feed=_feed(boat.feed),
    )


def initial_state(scenario: Scenario) -> plant.InitialState:
    """How the plant stands before lighting up: cold, full of air, vent and drains open, made fast."""
    aboard, weather, boat = scenario.aboard, scenario.weather, scenario.boat
    boiler = boiler_shapes.reduced(boat.boiler)
    span = boiler.top_nut_height - boiler.bottom_nut_height
    volumes = np.linspace(0.0, boiler.volume, plant.LEVEL_NODES)
    # the glass is read as the boat lies; the water is reckoned from the middle of the boiler
    at_glass = boiler.bottom_nut_height + aboard.glass * span
    level = at_glass - boiler.glass_athwartships * math.tan(aboard.heel)
    level -= boiler.glass_fore_and_aft * math.tan(aboard.trim)
    is_solid = aboard.fuel in FUELS
    burner = boat.burner
    return plant.InitialState(
        boiler_liquid_volume=float(np.interp(level, boiler.height_table, volumes)),
        boiler_temperature=weather.air_temperature,
        boiler_air=True,
        hotwell_mass=aboard.hotwell * WATER_DENSITY,
        boiler_solids_fraction=aboard.boiler_solids * 1e-6,
        separator_oil=aboard.cloth_oil,
        fuel_mass=aboard.fuel_mass if is_solid else 0.0,
        tank_fuel_mass=aboard.tank_fuel * burner.density if burner is not None else 0.0,
        tank_air_pressure=burner.tank_pressure if burner is not None else 0.0,
        settings=plant.Settings(
            vent=1.0,
            cylinder_drains=1.0,
            condensate_drain=scenario.orders.condensate_drain,
            hull_fouling=aboard.hull_fouling,
            stream=weather.stream,
            headwind=weather.headwind,
            air_temperature=weather.air_temperature,
            lake_temperature=weather.water_temperature,
            atmosphere_absolute=weather.barometer,
            heel=aboard.heel,
            trim=aboard.trim,
        ),
    )


def _valves(boat: written.Boat) -> plant.SafetyValves:
    first = boat.safety_valve[0]
    second = boat.safety_valve[-1]
    has_second = len(boat.safety_valve) > 1
    return plant.SafetyValves(
        first_set_pressure=first.set_pressure,
        first_reseat_pressure=first.reseat_pressure,
        first_area=_valve_area(first),
        first_simmer_fraction=first.simmer,
        second_set_pressure=second.set_pressure,
        second_reseat_pressure=second.reseat_pressure,
        second_area=_valve_area(second) if has_second else 0.0,
        second_simmer_fraction=second.simmer,
        discharge_coefficient=boat.valve_discharge,
    )


def _valve_area(valve: written.SafetyValve) -> float:
    """The lesser of the curtain under the lifted valve and the bore [m²]."""
    return min(math.pi * valve.bore * valve.lift, _disc(valve.bore))


def _fire(boat: written.Boat, boiler: plant.Boiler) -> plant.Fire:
    grate, burner, chimney = boat.fire, boat.burner, boat.chimney
    flue = _in_series(
        _opening(_disc(chimney.diameter), GAS_DENSITY_HOT, CHIMNEY_LOSS),
        _opening(boiler.gas_passage_area, GAS_DENSITY_HOT, TUBE_LOSS),
    )
    furnace = grate if grate is not None else burner
    if furnace is None:
        raise ValueError("a boat needs a grate or a burner")
    grate_area = grate.grate_area if grate is not None else 0.0
    blast_flow = boat.exhaust.back_pressure_flow
    return plant.Fire(
        grate_area=grate_area,
        furnace_heat_capacity=furnace.furnace_mass * BRICK_HEAT,
        emissivity=furnace.emissivity,
        furnace_loss_conductance=furnace.furnace_loss,
        chimney_height=chimney.height,
        furnace_rise=boiler_shapes.formed(boat.boiler).gas_rise,
        flue_conductance=flue,
        damper_conductance=_opening(grate.ash_pit_opening, AIR_DENSITY, OPENING_LOSS) if grate else flue,
        damper_leak_fraction=grate.damper_leak if grate else 0.05,
        bed_conductance=BED_CONDUCTANCE * grate_area,
        bed_reference_depth=BED_REFERENCE_DEPTH,
        ash_choking_depth=grate.ash_choking_depth if grate else 0.04,
        door_conductance=_opening(grate.fire_door, AIR_DENSITY, OPENING_LOSS) if grate else 0.0,
        over_fire_conductance=_opening(grate.over_fire_opening * grate_area, AIR_DENSITY, OPENING_LOSS)
        if grate
        else 0.02 * flue,
        blower_pressure=grate.blower_draught if grate else 0.0,
        blower_area=grate.blower_jet if grate else 0.0,
        blast_coefficient=boat.exhaust.blast_draught / blast_flow**2 if boat.exhaust.up_chimney else 0.0,
        chimney_lag=chimney.lag,
    )


def _burner(boat: written.Boat) -> plant.Burner:
    burner = boat.burner
    if burner is None:
        return plant.Burner(
            fuel_rate=0.0,
            reference_pressure=PSI,
            net_heat=0.0,
            air_ratio=0.0,
            vaporiser_lag=60.0,
            vaporiser_lowest=500.0,
            lowest_share=0.0,
            burnt_fraction=0.0,
            tank_volume=1e-3,
            fuel_density=800.0,
        )
    return plant.Burner(
        fuel_rate=burner.heads * burner.fuel_rate,
        reference_pressure=burner.tank_pressure,
        net_heat=burner.net_heat,
        air_ratio=burner.air_ratio,
        vaporiser_lag=burner.vaporiser_lag,
        vaporiser_lowest=burner.vaporiser_lowest,
        lowest_share=burner.lowest_rate / burner.heads,
        burnt_fraction=burner.burnt,
        tank_volume=burner.tank_volume,
        fuel_density=burner.density,
    )


def _engine(engine: written.Engine, lubricator: written.Lubricator) -> plant.Engine:
    high = _disc(engine.bore) * engine.stroke * 2.0
    low = _disc(engine.low_pressure_bore or engine.bore) * engine.stroke * 2.0
    # A compound does the work of its low-pressure cylinder alone with the whole expansion (referred diagram).
    ratio = high / low
    swept = {"single": high, "twin": 2.0 * high, "compound": low}[engine.kind]
    return plant.Engine(
        swept_volume=swept,
        bore=engine.bore,
        clearance_fraction=engine.clearance * ratio,
        full_gear_cut_off=engine.cut_off * ratio,
        mid_gear_cut_off=engine.mid_gear_cut_off * ratio,
        compression_fraction=engine.compression,
        diagram_factor=engine.diagram_factor,
        missing_quantity_coefficient=engine.missing_quantity,
        leakage_area=engine.leakage,
        friction_pressure=engine.friction,
        throttle_area=engine.throttle,
        drain_area=engine.drains,
        metal_heat_capacity=engine.metal * IRON_HEAT,
        warming_conductance=engine.warming,
        casing_conductance=engine.casing,
        clearance_water_mass=engine.clearance * _disc(engine.bore) * engine.stroke * WATER_DENSITY,
        gland_flow_fraction=engine.gland_loss,
        oil_per_revolution=lubricator.rate / lubricator.at_speed if lubricator.at_speed else 0.0,
        oil_rate=0.0 if lubricator.at_speed else lubricator.rate,
        lubricator_capacity=lubricator.capacity,
        highest_speed=engine.highest_speed,
        dead_angle=DEAD_ANGLE if engine.kind == "single" else 0.0,
    )


def _exhaust(exhaust: written.Exhaust) -> plant.Exhaust:
    has_keel = exhaust.kind in ("keel condenser", "both in series")
    return plant.Exhaust(
        coil_conductance=exhaust.coil,
        keel_conductance_moving=exhaust.keel if has_keel else 0.0,
        keel_conductance_lying_fraction=exhaust.keel_lying,
        keel_reference_speed=exhaust.keel_speed,
        steam_side_conductance=exhaust.steam_side if has_keel else 0.0,
        condenser_heat_capacity=exhaust.condenser_metal * COPPER_HEAT,
        condensate_capacity=exhaust.condensate_room * WATER_DENSITY,
        drain_area=exhaust.condensate_drain,
        pipe_resistance=exhaust.back_pressure / exhaust.back_pressure_flow**2,
        vacuum=1.0 if exhaust.air_pump else 0.0,
        air_pressure_absolute=exhaust.air_left,
        up_chimney=1.0 if exhaust.up_chimney else 0.0,
        back_pressure_lag=2.0,
        separator_hold_up=exhaust.separator,
        separator_lag=exhaust.separator_lag,
        separator_catch_fraction=exhaust.oil_caught,
        separator_cloth_capacity=exhaust.cloth_capacity,
        hotwell_capacity=exhaust.hotwell_capacity * WATER_DENSITY,
        hotwell_conductance=exhaust.hotwell_loss,
    )


def _feed(feed: written.Feed) -> plant.Feed:
    pump, hand, injector = feed.engine_pump, feed.hand_pump, feed.injector
    return plant.Feed(
        engine_pump_displacement=_disc(pump.bore) * pump.stroke * pump.strokes_per_turn if pump else 0.0,
        engine_pump_delivery_fraction=pump.delivery if pump else 0.0,
        pump_suction_lift=pump.lift if pump else 0.0,
        hand_pump_displacement=hand.stroke_volume if hand else 0.0,
        hand_pump_delivery_fraction=hand.delivery if hand else 0.0,
        hand_pump_lever_travel=hand.lever_travel if hand else 1.0,
        injector_steam_area=_injector_area(injector) if injector else 0.0,
        injector_starting_pressure=injector.starting_pressure if injector else 0.0,
        injector_highest_pressure=injector.highest_pressure if injector else 0.0,
        injector_from_hotwell=1.0 if injector and injector.draws == "hot well" else 0.0,
        lake_solids_fraction=feed.lake_solids * 1e-6,
    )


def _injector_area(injector: written.Injector) -> float:
    """Steam nozzle that gives the stated delivery [m²].

    Notes: water per steam 20 at 65 psia, 17 at 90 psia (Hughes 1912); steam by Napier, p/70 lb/(s in²), psia.
    """
    pressure = (injector.at_pressure + ATMOSPHERE) / PSI
    ratio = min(24.0, max(6.0, 20.0 - 0.12 * (pressure - 65.0)))
    flux = pressure / 70.0 * 0.45359237 / 0.0254**2
    return injector.delivery / ratio / flux


def _disc(diameter: float) -> float:
    return math.pi / 4 * diameter**2


def _opening(area: float, density: float, loss: float) -> float:
    """Flow through an opening for each root of pressure drop [kg/s per sqrt(Pa)]."""
    return area * math.sqrt(2.0 * density / loss)


def _in_series(first: float, second: float) -> float:
    return 1.0 / math.sqrt(1.0 / first**2 + 1.0 / second**2)
