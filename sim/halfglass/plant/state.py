"""The plant's state vector: one place per quantity, SI. Equations index by these names.

Totals are states too, so that every flow that leaves one stock arrives in another or in a total, and the
ledger closes by construction whatever the step size.
"""

from __future__ import annotations

from itertools import count

_place = count().__next__

# boiler
BOILER_MASS = _place()  # kg, water and steam
BOILER_ENERGY = _place()  # J, internal energy of water, steam, air and wetted metal
BOILER_AIR = _place()  # kg
STEAM_UNDER_SURFACE = _place()  # m³, bubbles
BOILER_SOLIDS = _place()  # kg dissolved
BOILER_OIL = _place()  # kg that came with the feed
# fire bed: green (not yet alight) and burning
GREEN_MOISTURE = _place()  # kg
GREEN_VOLATILE = _place()  # kg
GREEN_VOLATILE_HEAT = _place()  # J
GREEN_CHAR = _place()  # kg
GREEN_LAG_MASS = _place()  # kg·s, green mass times its ignition lag
GREEN_VOLUME = _place()  # m³ that vanishes as the green fuel catches
GREEN_CHAR_VOLUME = _place()  # m³ of it that remains as char
BURNING_CHAR = _place()  # kg
CHAR_VOLUME = _place()  # m³
ASH = _place()  # kg on the grate
FIRE_ENERGY = _place()  # J, heat in bed, bars and brickwork above 15 °C
CHIMNEY_TEMPERATURE = _place()  # K
# fuel carried
BUNKER_FUEL = _place()  # kg
TANK_FUEL = _place()  # kg
TANK_AIR = _place()  # J, absolute pressure times volume of the air in the burner tank
VAPORISER_TEMPERATURE = _place()  # K
# engine
ENGINE_ENERGY = _place()  # J, cylinder metal above 0 °C
CYLINDER_WATER = _place()  # kg
LUBRICATOR_OIL = _place()  # kg
CRANK_TURNS = _place()  # turns since the start, + ahead: where the crank stands when the engine stops
# boat
BOAT_SPEED = _place()  # m/s through the water, + ahead
DISTANCE = _place()  # m over the ground
# exhaust and hot well
CONDENSER_ENERGY = _place()  # J, condenser metal above 0 °C
BACK_PRESSURE = _place()  # Pa absolute
CONDENSATE_HELD = _place()  # kg of water behind the condensate drain valve
CONDENSATE_ENERGY = _place()  # J above 0 °C
SEPARATOR_MASS = _place()  # kg of water
SEPARATOR_ENERGY = _place()  # J above 0 °C
SEPARATOR_OIL = _place()  # kg caught in the cloth
HOTWELL_MASS = _place()  # kg
HOTWELL_ENERGY = _place()  # J above 0 °C
HOTWELL_OIL = _place()  # kg that came past the separator and is still there
HOTWELL_SOLIDS = _place()  # kg dissolved
# wear and weariness
ENGINE_PUMP_WEAR = _place()  # 0-1, share of its delivery lost through a worn packing
PUMPING_TIME = _place()  # s at the hand pumps, forgotten as the arms rest
# water totals, kg
TOTAL_FEED_ENGINE_PUMP = _place()
TOTAL_FEED_HAND_PUMP_HOTWELL = _place()
TOTAL_FEED_HAND_PUMP_LAKE = _place()
TOTAL_FEED_INJECTOR = _place()
TOTAL_LAKE_WATER = _place()
TOTAL_ENGINE_STEAM = _place()
TOTAL_SAFETY_VALVE_STEAM = _place()
TOTAL_SERVICE_STEAM = _place()  # whistle, blower, kettle
TOTAL_GLAND_STEAM = _place()
TOTAL_EXHAUST_LOST = _place()
TOTAL_DRAINED = _place()
TOTAL_OVERFLOW = _place()
TOTAL_BLOW_DOWN = _place()
TOTAL_VENTED = _place()
# heat and work totals, J
TOTAL_FIRE_HEAT = _place()  # released by burning
TOTAL_UNBURNT_HEAT = _place()  # volatiles and carbon monoxide that left unburnt
TOTAL_FLUE_HEAT = _place()
TOTAL_FURNACE_LOSS = _place()
TOTAL_HEAT_TO_BOILER = _place()
TOTAL_CASING_LOSS = _place()
TOTAL_INDICATED_WORK = _place()
TOTAL_FRICTION_WORK = _place()
TOTAL_SHAFT_WORK = _place()  # delivered to the screw, negative while the screw drives
TOTAL_FEED_PUMP_WORK = _place()  # taken by the engine-driven pump
TOTAL_ENGINE_LOSS = _place()
TOTAL_CONDENSER_HEAT = _place()  # to the lake
TOTAL_HOTWELL_LOSS = _place()
TOTAL_LAKE_WATER_HEAT = _place()  # carried in
TOTAL_STEAM_LOST_HEAT = _place()  # safety valves, services, glands, vent, air
TOTAL_EXHAUST_LOST_HEAT = _place()
TOTAL_WATER_LOST_HEAT = _place()  # drains, overflow, blow-down, leaks
TOTAL_HAND_WORK = _place()  # hydraulic work of the hand pumps
# heat handed on within the plant, J: what leaves one vessel and arrives in another
TOTAL_ENGINE_STEAM_HEAT = _place()  # boiler to engine
TOTAL_EXHAUST_HEAT = _place()  # cylinders to exhaust pipe
TOTAL_COIL_HEAT = _place()  # exhaust to feed
TOTAL_CONDENSATE_HEAT = _place()  # condenser to separator
TOTAL_HOTWELL_DRAWN_HEAT = _place()  # hot well to the pumps
TOTAL_FEED_HEAT = _place()  # feed to boiler, without the injector's own steam
TOTAL_HOTWELL_STEAM_HEAT = _place()  # live steam blown into the hot well
TOTAL_CHECK_LEAK_HEAT = _place()  # boiler back to hot well
TOTAL_GLAND_HEAT = _place()  # glands and steam at the drains: part of the steam lost
TOTAL_DRAIN_HEAT = _place()  # water at the cylinder drains: part of the water lost
TOTAL_BLOW_DOWN_HEAT = _place()  # part of the water lost
# counts
TOTAL_REVOLUTIONS = _place()  # turns, either way
TOTAL_STROKES_HOTWELL = _place()
TOTAL_STROKES_LAKE = _place()
TOTAL_FUEL_BURNT = _place()  # kg that left the bed or the tank as gas
TOTAL_OIL_USED = _place()  # kg
TOTAL_INJECTOR_STEAM = _place()  # kg, steam that went round through the injector
TOTAL_SOLIDS_OUT = _place()  # kg, by carry-over and blow-down
TOTAL_FUEL_TAKEN = _place()  # kg taken on under way
TOTAL_OIL_OUT = _place()  # kg, overboard or up the chimney
TOTAL_PROPULSIVE_WORK = _place()  # J, thrust times speed

COUNT = _place()
NAMES = tuple(name.lower() for name in list(globals()) if name.isupper() and name != "COUNT")
INDEX = {name: place for place, name in enumerate(NAMES)}
