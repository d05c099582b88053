"""Why pressure and water went where they went: balances of heat and of water over the stretch before.

Shares are of the imbalance: what a flow changed against the time before, over what all of them changed
(judgement). Latent heat 2.1 MJ/kg and 4.2 kJ/(kg K): IF97 at 5 bar, rounded; nothing but shares and powers
told to two figures hangs on them.
"""

from __future__ import annotations

import math

import numpy as np

from halfglass.result.stretch import LEAST_MASS, ROW, Cause, Stretch

LATENT, WATER_HEAT = 2.1e6, 4.2e3
LEAST_POWER = 200.0
"""W of imbalance below which nothing is said (judgement)."""
THIN = 0.6
"""A bed with less than this share of its usual fuel is called thin (judgement)."""
EXPANSION = 4.6e-6
"""1/K²: liquid water grows by this times the square of its distance from 4 °C (IF97: 4.3 % at 100 °C)."""

FEED = {
    "feed_flow_engine_pump": "by the engine pump",
    "feed_flow_hand_pump_hotwell": "from the hot well by hand pump",
    "feed_flow_hand_pump_lake": "from the lake by hand pump",
    "feed_flow_injector": "by the injector",
}
STEAM = "steam_flow_boiler_engine"
OTHER_STEAM = ("safety_valve_flow", "service_flow", "steam_to_hotwell_flow")


def pressure_low(s: Stretch) -> list[Cause]:
    """What took heat, or what gave too little, while the pressure fell."""
    more = {name: LATENT * (s.mean(name) - s.usual(name)) for name in (STEAM, *OTHER_STEAM)}
    more |= {name: _chill(s, name) * (s.mean(name) - s.usual(name)) for name in FEED}
    more["heat_to_boiler_rate"] = s.usual("heat_to_boiler_rate") - s.mean("heat_to_boiler_rate")
    gave, took = s.mean("heat_to_boiler_rate"), _taken(s)
    whole = max(took - gave, sum(change for change in more.values() if change > 0.0))
    if whole < LEAST_POWER:
        return []
    causes = [Cause(change / whole, _taker(s, name)) for name, change in more.items() if change > LEAST_POWER]
    steady = whole - sum(change for change in more.values() if change > 0.0)
    if steady > LEAST_POWER:
        text = (
            f"the fire gave {s.say(gave, 'power')} and steam and feed took {s.say(took, 'power')} all along"
        )
        causes.append(Cause(steady / whole, text))
    return causes


def pressure_high(s: Stretch) -> list[Cause]:
    """What gave heat, or what stopped taking it, while the pressure rose."""
    stuck = [Cause(1.0, s.told(f)) for f in s.faults("pressure") if "stuck shut" in f.text]
    less = {STEAM: LATENT * (s.usual(STEAM) - s.mean(STEAM))}
    less |= {name: _chill(s, name) * (s.usual(name) - s.mean(name)) for name in FEED}
    less["heat_to_boiler_rate"] = s.mean("heat_to_boiler_rate") - s.usual("heat_to_boiler_rate")
    gave, took = s.mean("heat_to_boiler_rate"), _taken(s)
    whole = max(gave - took, sum(change for change in less.values() if change > 0.0))
    if whole < LEAST_POWER:
        return stuck
    causes = [Cause(change / whole, _giver(s, name)) for name, change in less.items() if change > LEAST_POWER]
    steady = whole - sum(change for change in less.values() if change > 0.0)
    if steady > LEAST_POWER:
        idle = "no steam was drawn" if s.mean(STEAM) < 1e-5 else f"steam and feed took {s.say(took, 'power')}"
        fire = f"the fire gave {s.say(gave, 'power')}{_set(s, ' with the ')}"
        causes.append(Cause(steady / whole, f"{fire} while {idle}"))
    return stuck + causes


def thin_bed(s: Stretch) -> str:
    """A clause where the bed was thinner than it usually was that day; else nothing."""
    bed, burning = s.reading("bed_fuel_mass"), s.reading("burning_rate")
    kept = bed[(bed > 0.0) & (burning > 0.0)]
    if not kept.size:
        return ""
    usual, now = float(np.median(kept)), s.mean("bed_fuel_mass")
    if now <= LEAST_MASS:
        return ", with no fire on the grate"
    return f", while the bed was thin ({s.mass(now)})" if now < THIN * usual else ""


def _taken(s: Stretch) -> float:
    """Mean heat that steam and cold feed took [W]."""
    steam = LATENT * sum(s.mean(name) for name in (STEAM, *OTHER_STEAM))
    return steam + sum(_chill(s, name) * s.mean(name) for name in FEED)


def _chill(s: Stretch, name: str) -> float:
    """Heat it takes to bring a kilogram of feed up to the boiler [J/kg]."""
    cold = s.mean("feed_temperature") if name in list(FEED)[:2] else s.marks.lake_temperature
    if name == "feed_flow_injector" and s.mean("drawn_hotwell_flow") > 1.1 * sum(
        s.mean(other) for other in list(FEED)[:2]
    ):
        cold = s.mean("hotwell_temperature")
    return WATER_HEAT * max(0.0, s.mean("boiler_temperature") - cold)


def _taker(s: Stretch, name: str) -> str:
    if name in FEED:
        cold = "cold lake water" if name == "feed_flow_hand_pump_lake" else "water"
        mass = s.amount(name)
        way = "by hand pump" if name == "feed_flow_hand_pump_lake" else FEED[name]
        return f"{s.water(mass)} of {cold} went in {way} within {_minutes(s.longest_on(name))}"
    if name == STEAM:
        more = s.say(s.mean(STEAM) - s.usual(STEAM), "mass_flow")
        if s.usual(STEAM) < 1e-5:
            return f"the engine began to draw steam, {s.say(s.mean(STEAM), 'mass_flow')}"
        return f"the engine drew {s.say(s.mean(STEAM), 'mass_flow')} of steam, {more} more than before"
    if name in OTHER_STEAM:
        return _blown(s, name)
    less = s.usual(name) - s.mean(name)
    return f"the fire gave {s.say(less, 'power')} less than before{_weak_fire(s)}"


def _blown(s: Stretch, name: str) -> str:
    """Steam that went neither to the engine nor round with the feed."""
    amount = s.mass(s.amount(name))
    if name == "safety_valve_flow":
        return f"the safety valves blew off {amount} in {s.span}{_struck(s, 'safety valve')}"
    if name == "steam_to_hotwell_flow":
        return f"{amount} of live steam blew into the hot well in {s.span}{s.behind(s.faults('hotwell'))}"
    if s.amount("steam_to_hotwell_flow") > LEAST_MASS:
        return f"{amount} of steam blew out through the hot well in {s.span}"
    return f"whistle, blower or kettle took {amount} in {s.span}"


def _struck(s: Stretch, part: str) -> str:
    """The last fault in force on a part, in brackets; nothing if there is none."""
    faults = [fault for fault in s.faults("feed", "pressure") if part in fault.text]
    return s.behind(faults)


def _giver(s: Stretch, name: str) -> str:
    if name == STEAM:
        if s.mean(STEAM) < 0.05 * s.usual(STEAM):
            return f"the engine stood and took no steam ({s.say(s.usual(STEAM), 'mass_flow')} before)"
        return f"the engine drew {s.say(s.usual(STEAM) - s.mean(STEAM), 'mass_flow')} less steam than before"
    if name in FEED:
        return f"{s.say(s.usual(name) - s.mean(name), 'mass_flow')} less feed came {FEED[name]}"
    more = s.mean(name) - s.usual(name)
    return f"the fire gave {s.say(more, 'power')} more than before{_set(s, ', the ')}"


def _set(s: Stretch, joint: str) -> str:
    """How burner or damper stood on the mean."""
    for name, text in (("burner_rate", "burner at {}"), ("damper", "damper {} open")):
        if s.mean(name) > 0.0:
            return joint + text.format(s.say(s.mean(name), "fraction"))
    return ""


def _weak_fire(s: Stretch) -> str:
    """Why a fire gave less, as far as the readings tell."""
    faults = s.faults("fire")
    if faults:
        return s.behind(faults)
    if s.usual("burner_rate") > 0.05 and s.mean("burner_rate") < 0.7 * s.usual("burner_rate"):
        return f", the burner at {s.say(s.mean('burner_rate'), 'fraction')}"
    damper, usual = s.mean("damper"), s.usual("damper")
    if damper < 0.7 * usual:
        return (
            f", the damper {s.say(damper, 'fraction')} open on the mean ({s.say(usual, 'fraction')} before)"
        )
    return ""


def water_low(s: Stretch) -> list[Cause]:
    """Where the water went while the glass fell."""
    fed = sum(s.amount(name) for name in FEED)
    steam = s.amount(STEAM)
    gone = {
        "short": max(0.0, steam - fed),
        **{name: s.amount(name) for name in OTHER_STEAM},
        "blow_down_flow": s.amount("blow_down_flow"),
        "check_leak_flow": s.amount("check_leak_flow"),
    }
    spare = max(0.0, fed - steam)
    whole = sum(gone.values())
    drop = s.at("glass_level", s.start) - s.at("glass_level", s.end)
    shrunk = s.at("swell", s.start) - s.at("swell", s.end)
    bubbles = min(1.0, max(0.0, shrunk / drop)) if drop > 0.0 else 0.0
    weight = (1.0 - bubbles) / whole if whole > spare else 0.0
    texts = {
        "short": f"in {s.span} the engine took {s.mass(steam)} of steam and feed brought "
        f"{s.mass(fed)}{_why_no_feed(s, steam)}",
        **{name: _blown(s, name) for name in OTHER_STEAM},
        "blow_down_flow": f"{s.mass(gone['blow_down_flow'])} was blown down in {s.span}",
        "check_leak_flow": f"{s.mass(gone['check_leak_flow'])} leaked back past the check valve "
        f"in {s.span}{_struck(s, 'check valve')}",
    }
    causes = [Cause(amount * weight, texts[name]) for name, amount in gone.items()]
    causes.append(
        Cause(bubbles, f"the water shrank by {s.show('swell', max(0.0, shrunk), 2)} as bubbles went")
    )
    return causes + _heel(s)


def _why_no_feed(s: Stretch, steam: float) -> str:
    """What held the feed back, as far as the log and the readings tell."""
    faults = s.faults("feed")
    if faults:
        return s.behind(faults)
    spoilt = s.behind(s.faults("hotwell"))
    if s.at("hotwell_mass", s.end) < 0.02 * s.marks.hotwell_capacity:
        return f", with the hot well empty{spoilt}"
    if s.mean("hotwell_temperature") > s.marks.hotwell_hot:
        return f", with the hot well too hot to pump{spoilt}"
    if s.amount("feed_flow_engine_pump") > 0.1 * steam:
        return ""
    if s.mean("bypass") > 0.5:
        return ", with the engine pump's bypass open"
    return ", the engine pump giving next to nothing"


def _heel(s: Stretch) -> list[Cause]:
    leaning = [f for f in s.faults("water", slack=ROW) if f.time >= s.start and "lies over" in f.text]
    return [Cause(0.3, s.told(f)) for f in leaning]


def water_high(s: Stretch) -> list[Cause]:
    """What raised the glass: feed above steam, warmth, bubbles."""
    rise = s.at("glass_level", s.end) - s.at("glass_level", s.start)
    grown = s.at("swell", s.end) - s.at("swell", s.start)
    bubbles = min(1.0, max(0.0, grown / rise)) if rise > 0.0 else 0.0
    fed = {name: s.amount(name) for name in FEED}
    excess = sum(fed.values()) - s.amount(STEAM)
    first, last = (s.at("boiler_temperature", t) for t in (s.start, s.end))
    warmed = EXPANSION * ((last - 277.0) ** 2 - (first - 277.0) ** 2) if last > first else 0.0
    began, ended = (s.at("boiler_water_mass", t) for t in (s.start, s.end))
    gained = math.log(ended / began) if ended > began > 0.0 else 0.0
    whole = max(gained + warmed, 1e-9)
    causes = [Cause(bubbles, f"bubbles swelled the water by {s.show('swell', max(0.0, grown), 2)}")]
    warm = f"it grew in warming from {s.say(first, 'temperature')} to {s.say(last, 'temperature')}"
    causes.append(Cause((1.0 - bubbles) * warmed / whole, warm))
    if excess > 0.0:
        most = max(fed, key=lambda name: fed[name])
        text = f"feed brought {s.mass(excess)} more than the engine took in {s.span}, most {FEED[most]}"
        causes.append(Cause((1.0 - bubbles) * gained / whole, text))
    return causes + _heel(s)


def priming(s: Stretch) -> list[Cause]:
    """What carried water over in the minute after the stretch; weights of the boiler's carry-over rule."""
    time = s.worst_after("carry_over_fraction")
    above = s.at("water_level", time) - s.marks.glass_length
    room = s.at("steam_room", time) if "steam_room" in s.readings else math.inf
    oil, solids = s.at("boiler_oil", time), s.at("boiler_solids", time)
    foam = {"oil": oil / 200.0, "solids": max(0.0, solids - 3500.0) / 1500.0}
    parts = {"high": 5.0 * max(0.0, above), "room": 0.02 * (max(0.0, 20.0 - room) / 8.0) ** 2}
    plain = sum(parts.values())
    parts |= {name: (plain + 0.004) * part for name, part in foam.items()}
    whole = max(sum(parts.values()), 1e-12)
    texts = {
        "high": f"the water stood {s.show('water_level', max(0.0, above), 2)} above the top nut",
        "room": f"the steam space held only {min(room, 1e4):.0f} s of the steam drawn",
        "oil": f"the boiler water held {s.say(oil, 'dissolved_solids')} of oil",
        "solids": f"it held {s.say(solids, 'dissolved_solids')} of solids",
    }
    return [Cause(part / whole, texts[name]) for name, part in parts.items() if part > 1e-9]


def engine_water(s: Stretch) -> list[Cause]:
    """How water came into the cylinders: over with the steam, or condensed on cold metal."""
    time, steam = s.reading("time"), s.reading(STEAM) * s.reading("carry_over_fraction")
    inside = (time >= s.start) & (time <= s.end)
    over = float(np.trapezoid(steam[inside], time[inside]))
    gained = max(s.at("cylinder_water", s.end) - s.at("cylinder_water", s.start), 1e-9)
    cold = s.at("cylinder_temperature", s.start)
    share = min(1.0, over / gained)
    return [
        Cause(share, f"{s.mass(over)} of water came over with the steam in {s.span}"),
        Cause(1.0 - share, f"steam condensed on cylinders at {s.say(cold, 'temperature')}"),
    ]


def _minutes(seconds: float) -> str:
    return f"{max(1, round(seconds / 60.0))} min"
