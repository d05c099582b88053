"""What the plant shows at one moment: one place per quantity, SI. Guards, crew and timeline use these.

Pressures here are above the atmosphere unless the name says absolute.
"""

from __future__ import annotations

from itertools import count

_place = count().__next__

BOILER_PRESSURE = _place()  # Pa above atmosphere
BOILER_TEMPERATURE = _place()  # K
WATER_LEVEL = _place()  # m above the bottom nut, true surface
GLASS_LEVEL = _place()  # m above the bottom nut, as the glass shows it (unclipped)
GLASS_FRACTION = _place()  # 0 bottom nut, 1 top nut
SWELL = _place()  # m, surface raised by bubbles
BOILER_WATER_MASS = _place()  # kg
EVAPORATION_RATE = _place()  # kg/s
BOILER_SOLIDS = _place()  # mg/kg
BOILER_OIL = _place()  # mg/kg
FIRE_TEMPERATURE = _place()  # K
BED_DEPTH = _place()  # m
BED_FUEL_MASS = _place()  # kg, green and burning, without ash
BURNING_RATE = _place()  # kg/s of fuel gone to gas
HEAT_RELEASE_RATE = _place()  # W
HEAT_TO_BOILER_RATE = _place()  # W
FLUE_TEMPERATURE = _place()  # K
DRAUGHT = _place()  # Pa
AIR_FLOW = _place()  # kg/s
FUEL_ON_BOARD = _place()  # kg, bunker or tank
BURNER_TANK_PRESSURE = _place()  # Pa above atmosphere
SHAFT_SPEED = _place()  # rev/s, + ahead
CHEST_PRESSURE = _place()  # Pa above atmosphere
BACK_PRESSURE = _place()  # Pa above atmosphere
STEAM_FLOW_BOILER_ENGINE = _place()  # kg/s
INDICATED_POWER = _place()  # W
SHAFT_POWER = _place()  # W, delivered to the screw
CYLINDER_TEMPERATURE = _place()  # K
CYLINDER_WATER = _place()  # kg
BOAT_SPEED = _place()  # m/s through the water
GROUND_SPEED = _place()  # m/s
DISTANCE = _place()  # m over the ground
THRUST = _place()  # N on the hull: less thrust deduction
REVERSING_MARGIN = _place()  # torque the engine can give astern over that of the screw held still
CONDENSER_TEMPERATURE = _place()  # K, its metal
CONDENSATE_FLOW = _place()  # kg/s condensed, before the drain valve
CONDENSER_FLOOD_FRACTION = _place()  # share of the condensing surface under water
EXHAUST_LOST_FLOW = _place()  # kg/s
HOTWELL_MASS = _place()  # kg
HOTWELL_TEMPERATURE = _place()  # K
SEPARATOR_LOAD_FRACTION = _place()  # oil in the separator's cloth over what loads it fully
FEED_FLOW_ENGINE_PUMP = _place()  # kg/s into the boiler
FEED_FLOW_HAND_PUMP_HOTWELL = _place()  # kg/s into the boiler
FEED_FLOW_HAND_PUMP_LAKE = _place()  # kg/s into the boiler
FEED_FLOW_INJECTOR = _place()  # kg/s of water and its own steam, into the boiler
FEED_TEMPERATURE = _place()  # K at the boiler
HAND_PUMP_STROKE_RATE = _place()  # strokes/s really made, both hand pumps
BYPASS_FLOW = _place()  # kg/s back to the hot well
SAFETY_VALVE_FLOW = _place()  # kg/s
THROTTLE = _place()  # as set, 0-1
REVERSING_GEAR = _place()  # as set, -1 to 1
DAMPER = _place()  # as set, 0-1
BYPASS = _place()  # as set, 0-1
BURNER_RATE = _place()  # as set, 0-1
CROWN_COVER = _place()  # m of water above crown or top tube
STEAM_ROOM = _place()  # s of steam in the steam space at the engine's draw
CARRY_OVER_FRACTION = _place()  # water in the steam leaving the boiler
STEAM_PRESSURE_ABSOLUTE = _place()  # Pa, of the steam alone
INJECTOR_MARGIN = _place()  # K between the feed water and the hottest the injector takes
SUCTION_MARGIN = _place()  # m of suction lift in hand at the hot well's temperature
VAPORISER_TEMPERATURE = _place()  # K
LUBRICATOR_OIL = _place()  # kg
CRANK_TURNS = _place()  # turns since the start, + ahead
ENGINE_HEAT_DEFICIT = _place()  # K the cylinder metal is below the steam
# what the vessels' balances need, worked out once per moment
LIQUID_VOLUME = _place()  # m³/kg at boiler pressure
VAPOUR_VOLUME = _place()  # m³/kg
LIQUID_ENTHALPY = _place()  # J/kg
VAPOUR_ENTHALPY = _place()  # J/kg
STEAM_SPACE = _place()  # m³
VAPOUR_MASS = _place()  # kg
SURFACE_AREA = _place()  # m²
STEAM_ENTHALPY = _place()  # J/kg of the steam drawn, with the water it carries
EXHAUST_FLOW = _place()  # kg/s from the cylinders
EXHAUST_ENTHALPY = _place()  # J/kg
FRICTION_POWER = _place()  # W
FEED_PUMP_POWER = _place()  # W
GLAND_FLOW = _place()  # kg/s
DRAIN_FLOW = _place()  # kg/s, cylinder drains
STEAM_TO_HOTWELL_FLOW = _place()  # kg/s of live steam that condenses in the hot well
SERVICE_FLOW = _place()  # kg/s, whistle, blower, heating steam
WHISTLE_FLOW = _place()  # kg/s of that, the whistle
VENT_FLOW = _place()  # kg/s of steam
GAS_TO_VENT_FLOW = _place()  # kg/s of steam and air
AIR_VENT_FLOW = _place()  # kg/s of air leaving the boiler
AIR_VENT_HEAT_RATE = _place()  # W that air carries
BLOW_DOWN_FLOW = _place()  # kg/s
CHECK_LEAK_FLOW = _place()  # kg/s back from the boiler to the hot well
DRAWN_HOTWELL_FLOW = _place()  # kg/s out of the hot well, all pumps
INJECTOR_STEAM_FLOW = _place()  # kg/s
INJECTOR_WATER_FLOW = _place()  # kg/s
FEED_HEAT_RATE = _place()  # W carried into the boiler by all feed
COIL_HEAT_RATE = _place()  # W from exhaust to feed
COIL_FEED_FLOW = _place()  # kg/s of feed through the coil
COIL_FEED_HEAT_RATE = _place()  # W that feed carries before the coil
UNBURNT_HEAT_RATE = _place()  # W
FLUE_HEAT_RATE = _place()  # W

COUNT = _place()
NAMES = tuple(name.lower() for name in list(globals()) if name.isupper() and name != "COUNT")
INDEX = {name: place for place, name in enumerate(NAMES)}
