"""Days whose entries do not go together: each rule of route, orders, faults, plans and boat at its place.

Each row changes or adds to one of the shipped files. The caret must stand under what is named, and where two
entries conflict, the other one is shown as well.
"""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from pathlib import Path

import pytest

from halfglass.scenario.faults import MOST_TOLD
from halfglass.scenario.load import load
from halfglass.scenario.toml_text import MOST_ENTRIES
from halfglass.vocabulary.errors import Fault, ScenarioError

SCENARIOS = Path(__file__).parents[2] / "scenarios"
LAKE, PUMP, BURNER = "01-quiet-lake-day.toml", "02-engine-pump-stops.toml", "03-burner-boat.toml"
SEDGE, DABCHICK, WIGEON = "boats/sedge.toml", "boats/dabchick.toml", "boats/wigeon.toml"
GOOSANDER, COMPOUND, WOOD = "boats/goosander.toml", "05-compound-and-vacuum.toml", "04-wood-to-the-mill.toml"
LAST = '[[route]]\nstep = "shut down"\n'
LEG_HOLDS = 'distance = "9 km"\nthrottle = "26 %"'


@dataclass(frozen=True)
class Bad:
    """What is changed, and what must be said: of which key, in which words, the caret under which text.

    Without `old` the new text is added at the end of the file. `second` is the text under the second caret.
    """

    what: str
    scenario: str
    file: str
    old: str
    new: str
    key: str
    says: str
    names: str
    second: str = ""


def step(text: str) -> str:
    """A route step put before the end of the day."""
    return f"[[route]]\n{text}\n\n{LAST}"


def by_hand(moves: str) -> str:
    """Five minutes by hand before the end of the day."""
    return step(f'step = "by hand"\nfor = "5 min"\nmoves = [{moves}]')


def order(text: str) -> str:
    return f'\n[[order]]\nname = "mine"\n{text}\n'


def fault(kind: str, more: str = "at = { clock = 10:00:00 }") -> str:
    return f'\n[[fault]]\nkind = "{kind}"\n{more}\n'


def uncertain(key: str, kind: str, values: str) -> str:
    return f'\n[[uncertain]]\nkey = "{key}"\nkind = "{kind}"\n{values}\n'


def plan(text: str) -> str:
    return f'\n[[plan]]\nname = "another"\n{text}\n'


ROUTE = [
    Bad("a leg that holds nothing", LAKE, LAKE, LEG_HOLDS, 'distance = "9 km"', "route[3]",
        "this holds nothing; give one of 'throttle', 'turns', 'speed'", "route]]"),
    Bad("a leg that holds two things", LAKE, LAKE, LEG_HOLDS, LEG_HOLDS + '\nturns = "200 rpm"',
        "route[3].turns", "a leg holds one thing only; keep one of these", '"200 rpm"', '"26 %"'),
    Bad("a first step on a cold boiler", LAKE, LAKE,
        'step = "raise steam"\nuntil = "70 psi"\nat_most = "2 h 30 min"',
        'step = "warm through"', "route[1].step",
        "the boiler is cold at the start; the first step is 'raise steam'", '"warm through"'),
    Bad("a move that moves nothing", LAKE, LAKE, LAST, by_hand('{ after = "1 min" }'), "route[9].moves[1]",
        "this moves nothing; give a control and where it is put", "{ after"),
    Bad("moves out of order", LAKE, LAKE, LAST, by_hand(
        '{ after = "2 min", damper = "5 %" }, { after = "1 min", damper = "9 %" }'),
        "route[9].moves[2].after", "moves are written in order of time; this is earlier than the one before",
        '"1 min"'),
    Bad("a move after the end of the step", LAKE, LAKE, LAST, by_hand('{ after = "6 min", damper = "5 %" }'),
        "route[9].moves[1].after", "this comes after the step has ended", '"6 min"', '"5 min"'),
    Bad("a fuel without a charge", LAKE, LAKE, LAST, by_hand('{ after = "1 s", fuel = "charcoal" }'),
        "route[9].moves[1].fuel", "'fuel' goes with 'charge' only", '"charcoal"'),
    Bad("oil taken out again", LAKE, LAKE, LAST, by_hand('{ after = "1 s", put_right = "oily feed" }'),
        "route[9].moves[1].put_right", "this cannot be put right under way", '"oily feed"'),
    Bad("the damper of a burner boat by hand", BURNER, BURNER, LAST,
        by_hand('{ after = "1 s", damper = "5 %" }'),
        "route[8].moves[1].damper", "this boat has no fire on a grate", '"5 %"'),
    Bad("a fault of what the boat has not", BURNER, BURNER, LAST, by_hand(
        '{ after = "1 s", goes_wrong = "injector will not start" }'),
        "route[8].moves[1].goes_wrong", "this boat has no injector", '"injector will not start"'),
    Bad("something after the end", LAKE, LAKE, LAST, LAST + '[[route]]\nstep = "whistle"\n', "route[9].step",
        "nothing can follow 'shut down'", '"shut down"', '"whistle"'),
    Bad("a stream nobody can stem", LAKE, LAKE, LEG_HOLDS, LEG_HOLDS + '\nstream = "-10 kn"',
        "route[3].stream",
        "no boat of this kind makes way against such a stream", '"-10 kn"'),
    Bad("under way after a night without a fire", LAKE, LAKE, LAST, step(
        'step = "night halt"\nuntil = 07:00:00\n\n[[route]]\nstep = "leg"\nto = "Weir"\n'
        'distance = "1 km"\nthrottle = "20 %"'),
        "route[10].step", "after a night the next thing to do under way is 'raise steam'", '"leg"'),
    Bad("a pressure the valve lifts before", LAKE, LAKE, 'until = "70 psi"', 'until = "120 psi"',
        "route[1].until",
        "the first safety valve lifts before this pressure", '"120 psi"', '"100 psi"'),
    Bad("coal by the litre", LAKE, LAKE, LAST, step('step = "take on fuel"\nmass = "5 kg"\nvolume = "5 L"'),
        "route[9].volume", "this boat's fuel is taken on by mass", '"5 L"', '"boats/sedge.toml"'),
    Bad("no fuel taken on", LAKE, LAKE, LAST, step('step = "take on fuel"'), "route[9]",
        "no fuel is taken on; give 'mass'", "route]]"),
    Bad("more paraffin than the tank holds", BURNER, BURNER, LAST, step(
        'step = "take on fuel"\nvolume = "90 L"'),
        "route[8].volume", "this is more than the tank holds", '"90 L"', '"25 L"'),
    Bad("more water than the hot well holds", LAKE, LAKE, LAST, step(
        'step = "take on water"\nvolume = "90 L"'),
        "route[9].volume", "this is more than the hot well holds", '"90 L"', '"25 L"'),
    Bad("an entry without a step", LAKE, LAKE, LAST, '[[route]]\nfor = "3 min"\n\n' + LAST, "route[9].step",
        "this is missing; it wants one of 'raise steam', 'warm through', 'leg'", "route]]"),
    Bad("a date in quotes", LAKE, LAKE, "light_up", 'date = "tomorrow"\nlight_up', "date",
        "this wants a date such as 2001-06-30, without quotes, not the text 'tomorrow'", '"tomorrow"'),
    Bad("a title without end", LAKE, LAKE, 'title = "', 'title = "' + "Day " * 40, "title",
        "this is longer than 80 characters", '"Day'),
    Bad("a name used twice", LAKE, LAKE, LAST, step('step = "whistle"\nname = "toot"') + order(
        'when = { glass_below = "1/4" }\ndo = "injector"').replace("mine", "toot"),
        "order[1].name", "something else has this name", '"toot"', '"toot"'),
]  # fmt: skip

ORDERS = [
    Bad("an order that sees nothing", LAKE, LAKE, "", order('when = {}\ndo = "injector"'), "order[1].when",
        "this sees nothing; give one of 'glass_below', 'glass_above', 'pressure_below'", "{}"),
    Bad("an order that can never be", LAKE, LAKE, "", order(
        'when = { glass_above = "60 %", glass_below = "40 %" }\ndo = "injector"'),
        "order[1].when.glass_above",
        "nothing is above the one and below the other", '"60 %"', '"40 %"'),
    Bad("a setting without where", LAKE, LAKE, "", order(
        'when = { glass_below = "1/4" }\ndo = "set throttle"'),
        "order[1]", "'set throttle' wants 'to': where the control is set", "order]]"),
    Bad("where, but no setting", LAKE, LAKE, "", order(
        'when = { glass_below = "1/4" }\ndo = "injector"\nto = "5 %"'), "order[1].to",
        "'to' goes with the 'set' actions only", '"5 %"', '"injector"'),
    Bad("an order undone by what asks for it", LAKE, LAKE, "", order(
        'when = { glass_below = "1/4" }\ndo = "injector"\nuntil = { glass_below = "1/4" }'), "order[1].until",
        "this is undone by the same that asks for it; leave a gap", "{ glass", "{ glass"),
    Bad("a way of feeding the boat has not", WOOD, WOOD, "", order(
        'when = { glass_below = "1/4" }\ndo = "injector"'),
        "order[1].do", "this boat has no injector; it can feed by 'engine pump', 'hand pump on hot well'",
        '"injector"', "feed.engine_pump]"),
    Bad("a burner the boat has not", LAKE, LAKE, "", order(
        'when = { glass_below = "1/4" }\ndo = "set burner"\nto = "5 %"'), "order[1].do",
        "this boat has no burner", '"set burner"'),
    Bad("a damper the boat has not", BURNER, BURNER, "", order(
        'when = { glass_below = "1/4" }\ndo = "set damper"\nto = "5 %"'), "order[1].do",
        "this boat has no damper", '"set damper"'),
    Bad("a bed the boat has not", BURNER, BURNER, "", order(
        'when = { bed_below = "5 cm" }\ndo = "stop the engine"'), "order[1].when.bed_below",
        "this boat has no fire on a grate", '"5 cm"'),
    Bad("a misspelt thing to see", LAKE, LAKE, "", order('when = { glas_below = "1/4" }\ndo = "injector"'),
        "order[1].when.glas_below", "did you mean 'glass_below'?", "glas_below"),
    Bad("a misspelt thing to do", LAKE, LAKE, "", order('when = { glass_below = "1/4" }\ndo = "injecter"'),
        "order[1].do", "did you mean 'injector'?", '"injecter"'),
    Bad("feeding that stops below where it starts", LAKE, LAKE, 'stop_above = "55 %"', 'stop_above = "20 %"',
        "orders.stop_above", "feeding must stop above the level at which it starts", '"20 %"', '"1/3"'),
]  # fmt: skip

FAULTS = [
    Bad("no moment", LAKE, LAKE, "", fault("condenser fouls", "at = {}"), "fault[1].at",
        "this says no moment; give one of 'clock', 'leaving', 'arriving', 'pressure_below', 'glass_below'",
        "{}"),
    Bad("two moments", LAKE, LAKE, "", fault(
        "condenser fouls", 'at = { clock = 10:00:00, glass_below = "1/4" }'), "fault[1].at.glass_below",
        "a fault begins at one moment only; keep one of these", '"1/4"', "10:00:00"),
    Bad("later than a clock time", LAKE, LAKE, "", fault(
        "condenser fouls", 'at = { clock = 10:00:00, plus = "5 min" }'), "fault[1].at.plus",
        "'plus' goes with 'leaving' or 'arriving' only", '"5 min"', "10:00:00"),
    Bad("the day of a place", LAKE, LAKE, "", fault(
        "condenser fouls", 'at = { leaving = "Alder jetty", day = 1 }'), "fault[1].at.day",
        "'day' goes with 'clock' only", "1 }", '"Alder jetty"'),
    Bad("a day the outing has not", LAKE, LAKE, "", fault(
        "condenser fouls", "at = { clock = 10:00:00, day = 2 }"), "fault[1].at.day",
        "the outing has no day 2; it has 0 nights", "2 }", "route]]"),
    Bad("a place far from the route", LAKE, LAKE, "", fault("condenser fouls", 'at = { leaving = "Xyzzy" }'),
        "fault[1].at.leaving",
        "'Xyzzy' is not on the route; it has 'Alder jetty', 'Heron point' or 'Boathouse'",
        '"Xyzzy"', "route]]"),
    Bad("only one aboard", LAKE, LAKE, "hands = 2", "hands = 1", "fault[1].kind", "there is only one aboard",
        '"one of the crew ashore"', "1"),
    Bad("no lock", LAKE, LAKE, "", fault("long wait at the lock",
        'at = { clock = 10:00:00 }\nwait = "9 min"'),
        "fault[1].kind", "there is no lock on the route", '"long wait', "route]]"),
    Bad("a misspelt key of a fault", LAKE, LAKE, "", fault("clinkered grate",
        "at = { clock = 10:00:00 }\nshar = 3"),
        "fault[1].shar", "there is no such key here; did you mean 'share'?", "shar"),
    *[
        Bad(f"{kind}: the boat has none", scenario, scenario, "", fault(kind), "fault[{n}].kind",
            f"this boat has no {part}", f'"{kind}"', "")
        for kind, scenario, part in (
            ("injector will not start", WOOD, "injector"),
            ("wet fuel", BURNER, "fire on a grate"),
            ("clinkered grate", BURNER, "fire on a grate"),
            ("burner goes out", LAKE, "burner"),
        )
    ],
    *[
        Bad(f"{kind}: taken out of the boat", LAKE, SEDGE, table, "", "fault[1].kind",
            f"this boat has no {part}", f'"{kind}"', "")
        for kind, part, table in (
            ("engine pump stops delivering", "engine pump", "[feed.engine_pump]"),
            ("engine pump packing going", "engine pump", "[feed.engine_pump]"),
            ("hand pump leathers worn", "hand pump", "[feed.hand_pump]"),
        )
    ],
    Bad("no keel condenser", LAKE, SEDGE, 'kind = "both in series"\ncoil = "120 W/K"\nkeel = "900 W/K"',
        'kind = "feed-heating condenser"\ncoil = "120 W/K"', "fault[1].kind",
        "this boat has no keel condenser",
        '"condenser fouls"'),
]  # fmt: skip

PLANS = [
    Bad("a drop of nothing there", PUMP, PUMP, "", plan('drop = ["pump"]'), "plan[5].drop[1]",
        "nothing is called 'pump'; nothing has a name; give it one with 'name'", '"pump"'),
    Bad("a drop misspelt", PUMP, PUMP, 'kind = "engine pump stops delivering"',
        'name = "pump stops"\nkind = "engine pump stops delivering"', "plan[5].drop[1]",
        "nothing is called 'pump stop'; did you mean 'pump stops'?", '"pump stop"'),
    Bad("a drop far from any name", PUMP, PUMP, 'kind = "engine pump stops delivering"',
        'name = "pump stops"\nkind = "engine pump stops delivering"', "plan[5].drop[1]",
        "nothing is called 'Xyzzy'; there are 'pump stops'", '"Xyzzy"'),
    Bad("a step that goes nowhere", PUMP, PUMP, "", plan('[[plan.step]]\ndoes = { step = "whistle" }'),
        "plan[5].step[1]", "say where the step goes: give 'before' or 'after', one of them", "step]]"),
    Bad("a step that goes to two places", PUMP, PUMP, "", plan(
        '[[plan.step]]\nbefore = "a"\nafter = "b"\ndoes = { step = "whistle" }'),
        "plan[5].step[1]", "say where the step goes: give 'before' or 'after', one of them", "step]]"),
    Bad("a step beside nothing there", PUMP, PUMP, "", plan(
        '[[plan.step]]\nafter = "lunch"\ndoes = { step = "whistle" }'), "plan[5].step[1].after",
        "nothing is called 'lunch'; nothing has a name; give it one with 'name'", '"lunch"'),
    Bad("a misspelt step of a plan", PUMP, PUMP, "", plan(
        '[[plan.step]]\nafter = "lunch"\ndoes = { step = "wistle" }'), "plan[5].step[1].does.step",
        "'wistle' is not known here; did you mean 'whistle'?", '"wistle"'),
    Bad("a misspelt key of a plan's step", PUMP, PUMP, "", plan(
        '[[plan.step]]\nafter = "lunch"\ndoes = { step = "whistle", fr = "3 s" }'), "plan[5].step[1].does.fr",
        "there is no such key here; did you mean 'for'?", "fr"),
    Bad("a misspelt key of a plan's order", PUMP, PUMP, "", plan(
        '[[plan.order]]\nname = "x"\nwhen = { glass_below = "1/4" }\ndo = "injector"\nutil = {}'),
        "plan[5].order[1].util", "there is no such key here; did you mean 'until'?", "util"),
    Bad("a plan's order that wants 'to'", PUMP, PUMP, "", plan(
        '[[plan.order]]\nname = "x"\nwhen = { glass_below = "1/4" }\ndo = "set damper"'), "plan[5].order[1]",
        "'set damper' wants 'to'", "order]]"),
    Bad("a burner that a plan's order wants", PUMP, PUMP, "", plan(
        '[[plan.order]]\nname = "x"\nwhen = { glass_below = "1/4" }\ndo = "set burner"\nto = "5 %"'),
        "plan[5].order[1].do", "this boat has no burner", '"set burner"'),
    Bad("a misspelt key of a plan's fault", PUMP, PUMP, "", plan(
        '[[plan.fault]]\nkind = "clinkered grate"\nat = { clok = 10:00:00 }'), "plan[5].fault[1].at.clok",
        "there is no such key here; did you mean 'clock'?", "clok"),
    Bad("a plan's fault at a place not on the route", PUMP, PUMP, "", plan(
        '[[plan.fault]]\nkind = "clinkered grate"\nat = { leaving = "Alder jety" }'),
        "plan[5].fault[1].at.leaving",
        "'Alder jety' is not on the route; did you mean 'Alder jetty'?", '"Alder jety"', "route]]"),
    Bad("a wrong unit in a plan's fault", PUMP, PUMP, "", plan(
        '[[plan.fault]]\nkind = "wind gets up"\nat = { clock = 10:00:00 }\nby = "3 kg"'),
        "plan[5].fault[1].by",
        "'3 kg' is a mass; this wants a speed such as '6 kn'", '"3 kg"'),
    Bad("more water than fits, in a plan's step", PUMP, PUMP, 'step = "warm through"',
        'name = "warm"\nstep = "warm through"', "plan[5].step[1].does.volume",
        "this is more than the hot well holds", '"90 L"', '"25 L"'),
    Bad("a plan that changes the plans", PUMP, PUMP, "", plan("change = { plan = [] }"),
        "plan[5].change.plan",
        "a plan cannot change the plans", "plan"),
    Bad("units nobody knows", PUMP, PUMP, "light_up", 'units = "imperial"\nlight_up', "units",
        "'imperial' is not a system of units; there are 'metric' or 'trade'", '"imperial"'),
    Bad("a unit of another kind", PUMP, PUMP, "light_up", 'units = "trade, speed=bar"\nlight_up', "units",
        "'bar' is not a unit of speed; there are 'm/s', 'kn', 'mph', 'km/h'", '"trade, speed=bar"'),
    Bad("units that are no text", PUMP, PUMP, "light_up", "units = 3\nlight_up", "units",
        "this wants text in quotes, such as 'trade' or 'metric, speed=km/h'", "3"),
]  # fmt: skip
TAILS = {
    "a drop misspelt": plan('drop = ["pump stop"]'),
    "a drop far from any name": plan('drop = ["Xyzzy"]'),
    "more water than fits, in a plan's step": plan(
        '[[plan.step]]\nafter = "warm"\ndoes = { step = "take on water", volume = "90 L" }'
    ),
    "only one aboard": fault("one of the crew ashore"),
    "no keel condenser": fault("condenser fouls"),
    **{bad.what: fault(bad.what.partition(":")[0]) for bad in FAULTS if "taken out" in bad.what},
}
"""What stands at the end of the scenario besides the change."""

LOOKS = 'lowest = "2 min"\nhighest = "9 min"'
UNCERTAIN = [
    Bad("an uncertain key misspelt", LAKE, LAKE, "", uncertain("crew.look_evry", "uniform", LOOKS),
        "uncertain[1].key", "nothing is called 'look_evry' here; did you mean 'look_every'?",
        '"crew.look_evry"'),
    Bad("an uncertain key far from any", LAKE, LAKE, "", uncertain("zzzzzz.x", "uniform", LOOKS),
        "uncertain[1].key", "nothing is called 'zzzzzz' here; there are ", '"zzzzzz.x"'),
    Bad("an uncertain key of a part left out", LAKE, LAKE, "", uncertain("boat.burner.net_heat", "uniform",
        LOOKS),
        "uncertain[1].key", "leads nowhere: 'boat.burner' is left out on this boat or day",
        '"boat.burner.net_heat"'),
    Bad("an uncertain key beyond a number", LAKE, LAKE, "", uncertain("crew.hands.left", "uniform", LOOKS),
        "uncertain[1].key", "leads nowhere: 'crew.hands' holds nothing further", '"crew.hands.left"'),
    Bad("an uncertain table", LAKE, LAKE, "", uncertain("weather", "uniform", LOOKS),
        "uncertain[1].key", "'weather' holds no number and no choice, so it cannot be uncertain",
        '"weather"'),
    Bad("an uncertain step", LAKE, LAKE, "", uncertain("route.leg", "uniform", LOOKS),
        "uncertain[1].key", "'route.leg' is a whole table; name a key of it", '"route.leg"'),
    Bad("an uncertain fault of none", LAKE, LAKE, "", uncertain("fault.leak.rate", "uniform", LOOKS),
        "uncertain[1].key", "leads nowhere: 'fault' has no entries with a name", '"fault.leak.rate"'),
    Bad("an uncertain step misspelt", LAKE, LAKE, "", uncertain("route.legg.throttle", "uniform", LOOKS),
        "uncertain[1].key", "no entry is called 'legg'; did you mean 'leg'?", '"route.legg.throttle"'),
    Bad("an uncertain step far from any", LAKE, LAKE, "", uncertain("route.zzzzzz.throttle", "uniform",
        LOOKS),
        "uncertain[1].key", "no entry is called 'zzzzzz'; there are ", '"route.zzzzzz.throttle"'),
    Bad("an uncertain value in another unit", LAKE, LAKE, "",
        uncertain("crew.look_every", "uniform", 'lowest = "3 kg"\nhighest = "9 min"'),
        "uncertain[1].lowest", "min", '"3 kg"'),
    Bad("an uncertain value out of range", LAKE, LAKE, "",
        uncertain("crew.look_every", "uniform", 'lowest = "3 min"\nhighest = "3 h"'),
        "uncertain[1].highest", "'3 h' is out of range; this must be from", '"3 h"'),
    Bad("an uncertain number as text", LAKE, LAKE, "",
        uncertain("aboard.hull_fouling", "uniform", 'lowest = "clean"\nhighest = 1.5'),
        "uncertain[1].lowest", "this wants a number, not the text 'clean'", '"clean"'),
    Bad("one of them out of range", LAKE, LAKE, "", uncertain("crew.hands", "one of", "values = [1, 3]"),
        "uncertain[1].values[2]", "the number 3 is out of range; this must be at most 2", "3"),
    Bad("hands spread evenly", LAKE, LAKE, "", uncertain("crew.hands", "uniform", "lowest = 1\nhighest = 2"),
        "uncertain[1].kind", "'crew.hands' is chosen, not measured; only 'one of' suits it", '"uniform"'),
    Bad("an uncertain value that goes down", LAKE, LAKE, "",
        uncertain("crew.look_every", "triangular",
        'lowest = "3 min"\nlikeliest = "9 min"\nhighest = "6 min"'),
        "uncertain[1].highest", "the values must go up from the lowest to the highest", '"6 min"', '"3 min"'),
    Bad("no deviation", LAKE, LAKE, "",
        uncertain("crew.look_every", "normal", 'mean = "3 min"\ndeviation = "0 s"'),
        "uncertain[1].deviation", "a deviation must be more than nothing", '"0 s"'),
    Bad("a deviation out of the range", LAKE, LAKE, "",
        uncertain("crew.look_every", "normal", 'mean = "3 min"\ndeviation = "1 min"'),
        "uncertain[1].deviation", "three deviations from the mean: ", '"1 min"'),
    Bad("a deviation in words", LAKE, LAKE, "",
        uncertain("aboard.hull_fouling", "normal", 'mean = 1.5\ndeviation = "some"'),
        "uncertain[1].deviation", "this wants a number", '"some"'),
    Bad("a key uncertain twice", LAKE, LAKE, "",
        uncertain("crew.look_every", "uniform", LOOKS) + uncertain("crew.look_every", "uniform", LOOKS),
        "uncertain[2].key", "this key is uncertain already", '"crew.look_every"', '"crew.look_every"'),
]

BOATS = [
    Bad("tubes that are all wall", LAKE, SEDGE, 'tube_thickness = "2 mm"', 'tube_thickness = "16 mm"',
        "boat.boiler.tube_thickness", "the wall leaves no bore in the tube", '"16 mm"', '"32 mm"'),
    Bad("tubes that do not reach the drum", WOOD, WIGEON, 'tube_length = "700 mm"', 'tube_length = "500 mm"',
        "boat.boiler.tube_length", "the tubes are too short to reach up to the drum", '"500 mm"', '"520 mm"'),
    Bad("a simple engine with a low-pressure cylinder", LAKE, SEDGE, 'bore = "2.75 in"',
        'bore = "2.75 in"\nlow_pressure_bore = "5 in"', "boat.engine.low_pressure_bore",
        "only a compound has a low-pressure cylinder", '"5 in"', '"twin"'),
    Bad("a cut-off longer in mid gear", LAKE, SEDGE, 'cut_off = "70 %"',
        'cut_off = "70 %"\nmid_gear_cut_off = "80 %"',
        "boat.engine.mid_gear_cut_off", "steam enters for longest with the gear right over", '"80 %"',
        '"70 %"'),
    Bad("a mechanical lubricator without its speed", LAKE, SEDGE, 'kind = "displacement"',
        'kind = "mechanical"',
        "boat.lubricator", "a mechanical lubricator wants 'at_speed'", "lubricator]"),
    Bad("a displacement lubricator with a speed", LAKE, SEDGE, 'kind = "displacement"',
        'kind = "displacement"\nat_speed = "200 rpm"', "boat.lubricator.at_speed",
        "only a mechanical one follows the engine", '"200 rpm"'),
    Bad("a feed-heating condenser without its coil", LAKE, SEDGE, 'coil = "120 W/K"', 'coil = "0 W/K"',
        "boat.exhaust.coil", "this kind of exhaust wants a conductance for its coil", '"0 W/K"',
        '"both in series"'),
    Bad("a grate and paraffin", LAKE, LAKE, 'fuel = "steam coal"', 'fuel = "paraffin"', "aboard.fuel",
        "this boat has a grate, which does not burn paraffin", '"paraffin"', "fire]"),
    Bad("a burner and coal", BURNER, BURNER, 'fuel = "paraffin"', 'fuel = "steam coal"', "aboard.fuel",
        "this boat has a burner, which burns 'paraffin'", '"steam coal"', "burner]"),
    Bad("no coal", LAKE, LAKE, 'fuel_mass = "60 kg"', 'fuel_mass = "0 kg"', "aboard.fuel_mass",
        "no steam coal is carried; give 'fuel_mass'", '"0 kg"'),
    Bad("no paraffin", BURNER, BURNER, 'tank_fuel = "25 L"', "", "aboard.tank_fuel",
        "no paraffin is carried; give 'tank_fuel'", "aboard]"),
    Bad("a reserve of more than all", LAKE, LAKE, 'fuel_reserve = "10 kg"', 'fuel_reserve = "70 kg"',
        "aboard.fuel_reserve", "the reserve is no less than all that is carried, 60.0 kg", '"70 kg"',
        '"60 kg"'),
    Bad("a second valve that is not there", BURNER, BURNER, "",
        fault("safety valve sticks open", 'at = { clock = 10:00:00 }\nvalve = "second"'), "fault[{n}].valve",
        "this boat has one safety valve", '"second"'),
    Bad("more water than the hot well holds at the start", LAKE, LAKE, 'hotwell = "8 L"', 'hotwell = "35 L"',
        "aboard.hotwell", "this is more than the hot well holds", '"35 L"', '"25 L"'),
    Bad("more paraffin than the tank holds at the start", BURNER, BURNER, 'tank_fuel = "25 L"',
        'tank_fuel = "26 L"',
        "aboard.tank_fuel", "this is more than the tank holds", '"26 L"', '"25 L"'),
    Bad("a run faster than she can be driven", LAKE, SEDGE, 'series = "A"',
        'series = "A"\nmeasured = [{ turns = "900 rpm", speed = "40 kn" }]', "boat.hull.measured",
        "the fastest measured speed is beyond what such a length can be driven at", "[{", "propeller]"),
    Bad("two runs of one speed", LAKE, SEDGE, 'series = "A"', 'series = "A"\nmeasured = ['
        '{ turns = "200 rpm", speed = "3.8 kn" }, { turns = "210 rpm", speed = "3.8 kn" }]',
        "boat.hull.measured",
        "two measured runs have the same speed", "[{", "propeller]"),
    Bad("a resistance that falls", LAKE, SEDGE, 'series = "A"', 'series = "A"\nmeasured = ['
        '{ turns = "400 rpm", speed = "3 kn" }, { turns = "200 rpm", speed = "3.1 kn" }]',
        "boat.hull.measured",
        "the measured runs together would have the resistance fall as the speed rises", "[{", "propeller]"),
]  # fmt: skip


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return Path(shutil.copytree(SCENARIOS, tmp_path / "scenarios"))


def change(folder: Path, bad: Bad) -> None:
    """Make the change of a row."""
    path = folder / bad.file
    text = path.read_text(encoding="utf-8")
    if bad.old.startswith("[feed."):  # the whole table goes
        start = text.index(bad.old)
        rest = text[start + 1 :]
        path.write_text(text[:start] + (rest[rest.index("\n[") :] if "\n[" in rest else ""), encoding="utf-8")
    elif bad.old:
        assert bad.old in text, f"{bad.file} no longer has {bad.old}"
        head, _, tail = text.rpartition(bad.old) if bad.old == LAST else text.partition(bad.old)
        path.write_text(head + bad.new + tail, encoding="utf-8")
    else:
        path.write_text(text + bad.new, encoding="utf-8")
    with (folder / bad.scenario).open("a", encoding="utf-8") as stream:
        stream.write(TAILS.get(bad.what, ""))


def refused(path: Path) -> tuple[Fault, ...]:
    with pytest.raises(ScenarioError) as caught:
        load(path)
    return caught.value.faults


@pytest.mark.parametrize(
    "bad", [*ROUTE, *ORDERS, *FAULTS, *PLANS, *UNCERTAIN, *BOATS], ids=lambda bad: bad.what
)
def test_refused_at_its_place(bad: Bad, folder: Path) -> None:
    change(folder, bad)
    faults = refused(folder / bad.scenario)
    assert len(faults) == 1, [fault.render() for fault in faults]
    (fault,) = faults
    assert bad.says in fault.message
    count = (folder / bad.scenario).read_text(encoding="utf-8").count("[[fault]]")
    assert fault.key == bad.key.replace("{n}", str(count))
    assert fault.source_line[fault.column - 1 :].startswith(bad.names), fault.render()
    assert fault.source_line == Path(fault.file).read_text(encoding="utf-8").split("\n")[fault.line - 1]
    if bad.second:
        other = fault.second_place
        assert other is not None, fault.render()
        assert other.source_line[other.column - 1 :].startswith(bad.second), fault.render()


def test_a_boat_without_any_way_of_feeding(folder: Path) -> None:
    text = (folder / SEDGE).read_text(encoding="utf-8")
    (folder / SEDGE).write_text(text[: text.index("[feed.engine_pump]")] + "[feed]\n", encoding="utf-8")
    change(folder, Bad("", LAKE, LAKE, "[orders]", '[orders]\nlow_glass = ["injector"]', "", "", ""))
    (fault,) = refused(folder / LAKE)
    assert fault.message == "this boat has no injector; it has no way of feeding"


def test_a_plan_that_drops_the_whole_route(folder: Path) -> None:
    text = (folder / LAKE).read_text(encoding="utf-8")
    start = text.index("[[route]]")
    only = '[[route]]\nname = "all"\nstep = "raise steam"\nuntil = "70 psi"\n' + plan('drop = ["all"]')
    (folder / LAKE).write_text(text[:start] + only, encoding="utf-8")
    (fault,) = refused(folder / LAKE)
    assert (fault.key, fault.message) == ("plan[1].drop", "this leaves nothing of the route")


def test_a_fault_on_a_route_that_names_no_place(folder: Path) -> None:
    text = (folder / LAKE).read_text(encoding="utf-8")
    start = text.index("[[route]]")
    only = '[[route]]\nstep = "raise steam"\nuntil = "70 psi"\n' + fault(
        "condenser fouls", 'at = { leaving = "A" }'
    )
    (folder / LAKE).write_text(text[:start] + only, encoding="utf-8")
    (found,) = refused(folder / LAKE)
    assert found.message == "'A' is not on the route; it names none"


def test_a_file_with_more_entries_than_any_day_has(folder: Path) -> None:
    lines = "".join(f"k{number} = {number}\n" for number in range(MOST_ENTRIES + 2))
    (folder / LAKE).write_text(lines, encoding="utf-8")
    (found,) = refused(folder / LAKE)
    assert found.message == f"this file has more than {MOST_ENTRIES} entries, too many for a scenario"


def test_of_very_many_faults_the_first_are_told_and_the_rest_counted(folder: Path) -> None:
    text = (folder / LAKE).read_text(encoding="utf-8")
    wrong = "".join(f"k{number} = {number}\n" for number in range(MOST_TOLD + 40))
    (folder / LAKE).write_text(wrong + text, encoding="utf-8")
    found = refused(folder / LAKE)
    assert len(found) == MOST_TOLD + 1
    assert found[-1].message.startswith("there is more, ")
    assert found[-1].message.endswith(" faults or so; mend these first")
