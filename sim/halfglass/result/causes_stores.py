"""Why hot well, fuel, oil, solids, the power to go astern and the crew came to their limits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from halfglass.result import events
from halfglass.result.causes_boiler import LATENT, WATER_HEAT
from halfglass.result.clock import clock, duration
from halfglass.result.occupation import UNDER_WAY
from halfglass.result.records import TaskSpell
from halfglass.result.spells import beyond, cut
from halfglass.result.stretch import ROW, Cause, Stretch

LONGEST_CHAIN = 1800.0
"""s before something was overdue up to which tasks are told (judgement)."""


def hotwell_low(s: Stretch) -> list[Cause]:
    """Where the hot well's water went."""
    drawn, came = s.amount("drawn_hotwell_flow"), s.amount("condensate_flow")
    fell = max(s.at("hotwell_mass", s.start) - s.at("hotwell_mass", s.end), 1e-6)
    short = max(0.0, drawn - came)
    lost, faults = s.amount("exhaust_lost_flow"), s.faults("hotwell")
    leaks = [fault for fault in faults if "hot well leaks" in fault.text]
    faults = [fault for fault in faults if fault not in leaks]
    text = f"the pumps drew {s.mass(drawn)} and condensate brought {s.mass(came)} in {s.span}"
    if lost > 0.2 * (came + lost):
        text += f" ({s.mass(lost)} of the exhaust was lost)"
    text += s.behind(faults)
    other = max(0.0, fell - short)
    gone = f"was lost{s.behind(leaks)}" if leaks else "was held in the oil separator, or lost"
    return [
        Cause(short / fell, text),
        Cause(other / fell, f"{s.mass(other)} {gone}"),
    ]


def hotwell_full(s: Stretch) -> list[Cause]:
    """What filled the hot well."""
    drawn, came = s.amount("drawn_hotwell_flow"), s.amount("condensate_flow")
    rose = max(s.at("hotwell_mass", s.end) - s.at("hotwell_mass", s.start), 1e-6)
    more = max(0.0, came - drawn)
    text = f"condensate brought {s.mass(came)} and the pumps drew {s.mass(drawn)} in {s.span}"
    faults = s.faults("feed")
    if faults:
        text += s.behind(faults)
    elif s.mean("hotwell_temperature") > s.marks.hotwell_hot:
        text += f", too hot to pump{s.behind(s.faults('hotwell'))}"
    elif s.mean("bypass") > 0.5 and s.mean("shaft_speed") > 0.1:
        text += ", with the bypass open"
    leaked = s.amount("check_leak_flow")
    other = max(0.0, rose - more - leaked)
    return [
        Cause(more / rose, text),
        Cause(leaked / rose, f"{s.mass(leaked)} leaked back from the boiler past the check valve"),
        Cause(other / rose, f"{s.mass(other)} came otherwise (baled, taken on or live steam)"),
    ]


def hotwell_hot(s: Stretch) -> list[Cause]:
    """What heated the hot well; its little water, where that is so."""
    live = s.amount("steam_to_hotwell_flow")
    back = s.amount("check_leak_flow")
    well = s.mean("hotwell_temperature")
    over = max(0.0, s.mean("condenser_temperature") - well)
    brought = s.amount("condensate_flow")
    heat = {
        f"{s.mass(live)} of live steam blew into it in {s.span}{s.behind(s.faults('hotwell'))}": LATENT
        * live,
        f"{s.mass(back)} leaked back from the boiler": WATER_HEAT
        * back
        * max(0.0, s.mean("boiler_temperature") - well),
        f"{s.mass(brought)} of condensate came from a condenser at "
        f"{s.say(s.mean('condenser_temperature'), 'temperature')}": WATER_HEAT * brought * over,
    }
    whole = sum(heat.values())
    causes = [Cause(part / whole, text) for text, part in heat.items() if part > 0.0]
    held = s.mean("hotwell_mass")
    if causes and held < 0.3 * s.marks.hotwell_capacity:
        causes.append(Cause(0.2, f"it held only {s.mass(held)}"))
    return causes


def fuel(s: Stretch) -> list[Cause]:
    """What the fuel went on since lighting up."""
    time, left = s.reading("time"), s.reading("fuel_on_board")
    used = np.concatenate(([0.0], np.cumsum(np.clip(-np.diff(left), 0.0, None))))
    used = np.where(time <= s.end, used, np.interp(s.end, time, used))
    whole = float(used[-1])
    if whole <= 0.0:
        return []
    steaming = [e.time for e in s.log if e.event == events.UNDER_WAY]
    raised = min([*steaming, s.end])
    way = [
        (max(a, raised), min(b, s.end))
        for a, b, _, _ in beyond(time, s.reading("boat_speed"), UNDER_WAY, False)
        if b > raised and a < s.end
    ]
    parts = {
        "raising steam": [(0.0, raised)],
        "under way": way,
    }
    found = {
        name: (sum(float(np.diff(np.interp(w, time, used))[0]) for w in spans), sum(b - a for a, b in spans))
        for name, spans in parts.items()
    }
    rest = whole - sum(mass for mass, _ in found.values())
    found["lying still"] = (rest, max(0.0, s.end - sum(span for _, span in found.values())))
    return [
        Cause(mass / whole, f"{s.mass(mass)} was used {name} ({duration(span)})")
        for name, (mass, span) in found.items()
    ]


def lubricator(s: Stretch) -> list[Cause]:
    """How the lubricator came to be empty."""
    time, oil = cut(s.reading("time"), s.reading("lubricator_oil"), (0.0, s.end))
    filled = np.flatnonzero(np.diff(oil) > 1e-6)
    since = float(time[filled[-1] + 1]) if filled.size else float(time[0])
    used = s.at("lubricator_oil", since) - s.at("lubricator_oil", s.end)
    when = clock(s.marks.started, since)
    return [Cause(1.0, f"{s.mass(used)} was used since it was last full at {when}")] if used > 0 else []


def cloth(s: Stretch) -> list[Cause]:
    """How the cloth came to be full."""
    first, turned = s.at("separator_load_fraction", 0.0), s.reading("shaft_speed")
    turns = beyond(s.reading("time"), np.abs(turned), 0.2, False)
    ran = sum(min(b, s.end) - a for a, b, _, _ in turns if a < s.end)
    causes = [Cause(first, f"it was {s.say(first, 'fraction')} full before lighting up")]
    if ran > 0.0:
        causes.append(Cause(1.0 - first, f"the engine ran {duration(ran)} on it"))
    return causes


def boiler_oil(s: Stretch) -> list[Cause]:
    """How oil came into the boiler."""
    faults = [f for f in s.faults("water", slack=ROW) if "Oil" in f.text]
    if faults:
        return [Cause(1.0, s.told(faults[-1]))]
    if s.mean("separator_load_fraction") > 0.9:
        return [Cause(1.0, "the feed carried it past a full cloth")]
    return []


def solids(s: Stretch) -> list[Cause]:
    """Where the boiler's solids came from."""
    day = replace(s, start=0.0)
    first, last = (s.at("boiler_solids", t) for t in (0.0, s.end))
    lake = {
        "by hand pump from the lake": day.amount("feed_flow_hand_pump_lake"),
        "by the injector": day.amount("feed_flow_injector"),
        "by the pumps on the hot well": day.amount("feed_flow_engine_pump")
        + day.amount("feed_flow_hand_pump_hotwell"),
    }
    whole = sum(lake.values())
    causes = [Cause(first / max(last, 1e-9), f"it began the day at {s.say(first, 'dissolved_solids')}")]
    gained = max(0.0, 1.0 - first / max(last, 1e-9))
    causes += [
        Cause(gained * mass / whole, f"{s.water(mass)} of feed went in {way}")
        for way, mass in lake.items()
        if mass > 0.0
    ]
    return causes


def reversing(s: Stretch) -> list[Cause]:
    """Why the engine could not turn the screw astern: little steam, much way."""
    pressure, speed = s.at("boiler_pressure", s.end), s.at("boat_speed", s.end)
    low = 1.0 - pressure / max(s.marks.working_pressure, 1.0)
    fastest = float(np.max(s.reading("boat_speed")))
    causes = [
        Cause(
            low,
            f"pressure was {s.show('boiler_pressure', pressure)} ({s.say(1 - low, 'fraction')} of working "
            "pressure)",
        )
    ]
    if fastest > 0.0:
        causes.append(Cause(speed / fastest, f"she still made {s.show('boat_speed', speed)}"))
    return causes


def crew(s: Stretch, spells: Sequence[TaskSpell]) -> list[Cause]:
    """What the hands were at while something was overdue, and one after the other up to then."""
    done = sorted((p for p in spells if p.task != "looking" and p.start < s.end), key=lambda p: -p.end)
    earliest, at = s.start, dict[str, float]()
    for spell in done:
        if spell.end >= earliest - 1.0 and spell.end > s.start - LONGEST_CHAIN:
            at[spell.task] = at.get(spell.task, 0.0) + min(spell.end, s.end) - spell.start
            earliest = min(earliest, spell.start)
    whole = sum(at.values())
    return [Cause(part / whole, f"{task} took {duration(part)}") for task, part in at.items()]
