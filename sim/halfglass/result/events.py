"""Names of the log events the verdict and the report depend on; any other event is free text."""

from __future__ import annotations

LIGHT_UP = "light up"
UNDER_WAY = "under way"
CAST_OFF = "cast off"  # of every start after the first
SHUT_DOWN = "shut down"

BOTTOM_NUT = "water below the bottom nut"
CROWN_BARE = "crown bare"
BOILER_FULL = "boiler full"

FAULT = "fault"
FAULT_REPAIRED = "fault repaired"

REVERSAL_WANTED = "reversal wanted"
REVERSAL_DONE = "reversal done"

NO_WORKING_FEED = "no working feed"
FEED_RESTORED = "feed restored"

ON_DEAD_CENTRE = "on dead centre"
BARRED_OVER = "barred over"

PRIMING = "priming"
PRIMING_OVER = "priming over"

TASK_OVERDUE = "task overdue"
OVERDUE_TASK_DONE = "overdue task done"

BLOWN_DOWN = "blown down"
FUEL_TAKEN = "fuel taken on"
WATER_TAKEN = "water taken on"
REACHED = "reached"
NIGHT = "night halt"
MORNING = "turned out"

BY_HAND = "by hand"  # somebody who is not of the crew works the plant
HANDED_BACK = "handed back"

LOOK = "look"  # somebody looked at an instrument: routine, and not an answer to trouble

PLANT = "plant"  # `who` of what the machinery does by itself
DAY = "day"  # `who` of the route, the weather and the faults
