"""Every entry of a scenario or boat, every figure of the catalogue: change it, and the day comes out other.

The entries are found by walking the tables, so a new key is tried as soon as it exists: on each of the
`occasions` below that has it, in turn, until one comes out differently. A key that moves nothing anywhere is
a defect. Where a key only matters on a special occasion (a fault, a foul stream), add that one.
"""

from __future__ import annotations

import csv
import datetime
from collections.abc import Iterator
from dataclasses import fields, replace
from functools import cache, partial
from importlib import resources
from pathlib import Path
from typing import Any, Literal, get_args, get_origin, get_type_hints

import numpy as np
import pytest
from pydantic import BaseModel
from scenario_numbers import Entry, entries, is_allowed, with_value

from halfglass.day import outing as simulated
from halfglass.result.records import Outing
from halfglass.scenario import day_models as models
from halfglass.scenario import fault_models as faults
from halfglass.scenario import route_steps as steps
from halfglass.scenario.catalogue import fuels, hulls, screws
from halfglass.scenario.day_checks import conflicts
from halfglass.scenario.day_models import Scenario
from halfglass.scenario.hull_models import Measured
from halfglass.scenario.load import load
from halfglass.scenario.order_models import Order
from halfglass.scenario.uncertain_models import Normal, OneOf, Triangular, Uniform

SCENARIOS = Path(__file__).parents[2] / "scenarios"
MOVES = 1e-7
"""Relative change of some figure from which a day counts as come out differently: above rounding."""
WORDS = {"name", "about", "title", "story", "to", "at", "leaving", "arriving"}
"""Keys that hold words for readers, or names that other entries refer to."""
AMOUNTS = {
    "HotwellWaterLost.rate": "0.1 L/s", "CheckValveLeaks.area": "0.1 mm2", "HotwellOverheated.area": "1 mm2",
    "GaugeReadsWrong.by": "0.4 bar", "StreamTurns.by": "-0.3 m/s", "WindGetsUp.by": "2 m/s",
    "OilyFeed.oil": "40 g", "Heels.to": "4 deg", "LockDelayed.wait": "10 min", "WetFuel.moisture": "20 %",
}  # fmt: skip
"""How bad a fault is, where the key has no default or its default ends the day at once."""
WITH = {"Lubricator.kind": ("at_speed", {"mechanical": 4.0, "displacement": None})}
"""Keys that must change together: the other key, and its value for each of the first one's."""
run = partial(simulated.run, asks_nothing_done=False)
FIRST = {
    "burner boat takes fuel": ("TakeFuel.volume",),
    "gives up a leg": ("Leg.if_never", "Leg.at_most"),
    "gives up raising steam": ("RaiseSteam.if_never",),
    "condensate drain shut in": ("EnginePump.lift",),
    "injector for low pressures": ("Injector.highest_pressure",),
    "blower": ("Fire.blower_jet", "Fire.blower_draught"),
    "up the chimney": ("Exhaust.blast_draught", "Exhaust.up_chimney"),
    "held back by its highest speed": ("Engine.highest_speed",),
    "manoeuvres and blow-down": ("VerticalFireTube.blow_down",),
    "into the reserve": ("Aboard.fuel_reserve",),
    "vacuum": ("Exhaust.air_left",),
    "heavy pump": ("HandPump.lever_travel",),
    "foul boiler": ("Aboard.boiler_solids",),
    "fault on the second day": ("FaultAt.day",),
    "12-wet-wood-and-headwind, wet wood, eased when the gauge falls": ("Seen.pressure_below",),
    "07-two-days-and-two-locks, pump packing goes": ("TakeWater.volume",),
    "04 blows down": ("WaterTube.blow_down",),
    "05 blows down": ("Locomotive.blow_down",),
    "06 blows down": ("HorizontalDryBack.blow_down",),
    "05-compound-and-vacuum, as written": ("Glass.athwartships", "Glass.fore_and_aft"),
    "slow vaporiser": ("Burner.vaporiser_lowest",),
    "03-burner-boat, as written": ("Aboard.tank_fuel", "Exhaust.steam_side", "Firing.burner_rate"),
    "arched crown": ("Locomotive.crown_rise",),
    "15-flame-out, nipple to be cleaned": ("Burner.vaporiser_lag",),
}
"""Keys that matter on a special occasion only: tried there first, to save time. Nothing depends on this."""
UNCERTAIN = {Uniform, Triangular, Normal, OneOf}
"""Tables only `spread` reads: `unit/test_spread.py` moves each of their keys."""
SHOWN_ONLY = {"Scenario.light_up", "Scenario.date"}
"""Keys that only move what the clock shows: the start of the day in the outing's marks."""


ELSEWHERE = {"Scenario.plan", "Scenario.uncertain", "Scenario.units"}
"""Plans, spreads and units: see `test_shipped_days.py`, `unit/test_spread.py`, `unit/test_unit_choice.py`."""


def shipped() -> dict[str, Scenario]:
    """Every shipped day under every plan."""
    return {
        f"{path.stem}, {plan}": day
        for path in sorted(SCENARIOS.glob("*.toml"))
        for plan, day in load(path).days.items()
    }


def edited(day: Scenario, *edits: tuple[str, Any]) -> Scenario:
    """The day with entries replaced, by dotted names."""
    for name, value in edits:
        path = tuple(int(part) if part.isdigit() else part for part in name.split("."))
        day = with_value(day, path, value)
    return day


def with_fault(day: Scenario, fault: BaseModel) -> Scenario:
    return day.model_copy(update={"fault": (fault,)})


@cache
def occasions() -> dict[str, Scenario]:
    """The shipped days, then days on which something seldom needed matters."""
    found = shipped()
    lake = found["01-quiet-lake-day, as written"]
    burner = found["03-burner-boat, as written"]
    injector = found["02-engine-pump-stops, injector"]
    pumping = found["02-engine-pump-stops, single-handed, hand pump"]
    route, clock = lake.route, datetime.time(9, 30)
    at = faults.FaultAt(clock=clock)
    here = faults.FaultAt(leaving="Alder jetty", plus="10 min")
    found["foul stream"] = edited(lake, ("weather.stream", -0.4), ("route.2.stream", -0.3))
    found["into the reserve"] = edited(lake, ("aboard.fuel_mass", 24.0), ("aboard.fuel_reserve", 20.0))
    found["burner, into the reserve"] = edited(burner, ("aboard.fuel_reserve", 15.0))
    found["loaded cloth"] = edited(lake, ("aboard.cloth_oil", 0.3))
    found["foul boiler"] = edited(lake, ("aboard.boiler_solids", 4000.0))
    found["condensate drain shut in"] = edited(lake, ("orders.condensate_drain", 0.02))
    found["gives up raising steam"] = edited(lake, ("route.0.at_most", 1500.0))
    found["gives up a leg"] = edited(lake, ("route.2.at_most", 1200.0))
    found["fire eased early"] = edited(lake, ("orders.ease_fire_above", lake.firing.working_pressure))
    found["up the chimney"] = edited(
        lake, ("boat.exhaust.kind", "none"), ("boat.exhaust.up_chimney", True), ("boat.exhaust.keel", 0.0)
    )
    found["blower"] = edited(lake, ("orders.blower_below", lake.firing.working_pressure))
    found["slow vaporiser"] = edited(burner, ("boat.burner.vaporiser_lag", 500.0))
    found["held back by its highest speed"] = edited(lake, ("boat.engine.highest_speed", 3.0))
    found["screw of pitch 1"] = edited(lake, ("boat.propeller.pitch_ratio", 1.0))
    found["injector for low pressures"] = edited(
        injector, ("boat.feed.injector.highest_pressure", 76.0 * models.PSI)
    )
    by_beam = (("wetted_surface", None), ("wake", None), ("beam", 1.7), ("draught", 0.42), ("windage", None))
    hull = lake.boat.hull.model_copy(update=dict(by_beam))
    found["hull by beam"] = edited(lake, ("boat.hull", hull), ("boat.propeller.wake", None))
    known = (("200 rpm", "3.8 kn"), ("300 rpm", "5.5 kn"))
    runs = tuple(Measured(turns=turns, speed=speed) for turns, speed in known)
    found["measured runs"] = edited(lake, ("boat.hull.measured", runs))
    found["vacuum"] = edited(lake, ("boat.exhaust.air_pump", True), ("boat.exhaust.kind", "keel condenser"))
    found["compound"] = edited(
        lake, ("boat.engine.kind", "compound"), ("boat.engine.low_pressure_bore", 0.12)
    )
    found["displacement lubricator"] = edited(
        lake, ("boat.lubricator.kind", "displacement"), ("boat.lubricator.at_speed", None)
    )
    blow_down = steps.BlowDown.model_validate({"step": "blow down", "for": "8 s"})
    movements = [{"gear": gear, "throttle": "30 %", "for": "20 s"} for gear in ("ahead", "astern", "stop")]
    found["manoeuvres and blow-down"] = lake.model_copy(
        update={
            "route": (
                *route[:3],
                blow_down,
                steps.Manoeuvre.model_validate({"step": "manoeuvre", "movements": movements}),
                *route[-2:],
            )
        }
    )
    found["burner boat blows down"] = burner.model_copy(
        update={"route": (*burner.route[:3], blow_down, *burner.route[3:])}
    )
    injector = edited(injector, ("orders.low_glass", ("injector",) * 3))
    found["hot well on injector"] = edited(injector, ("boat.feed.injector.draws", "hot well"))
    found["heavy pump"] = edited(pumping, ("boat.feed.hand_pump.lever_travel", 0.25))
    dry_back = found["06-anthracite-and-patience, as written"]
    found["tubes further apart"] = edited(dry_back, ("boat.boiler.highest_tube", 0.48))
    compound = found["05-compound-and-vacuum, as written"]
    found["arched crown"] = edited(
        compound, ("boat.boiler.crown_rise", 0.02), ("boat.boiler.highest_tube", 0.42)
    )
    for number in ("04", "05", "06"):
        day = next(day for name, day in found.items() if name.startswith(number))
        found[f"{number} blows down"] = day.model_copy(
            update={"route": (*day.route[:3], blow_down, *day.route[3:])}
        )
    found["lake pump"] = edited(pumping, ("orders.low_glass", ("hand pump on lake",)))
    early = faults.FaultAt(clock=datetime.time(8, 40))
    uneven = edited(lake, ("boat.safety_valve.1.bore", 0.015))
    for table, kind in ((faults.SafetyValveSticksShut, "shut"), (faults.SafetyValveSticksOpen, "open")):
        found[f"uneven valves, one stuck {kind}"] = with_fault(
            uneven, table(kind=f"safety valve sticks {kind}", at=early)
        )
    found["fault by pressure"] = with_fault(
        lake, faults.SafetyValveSticksOpen(kind="safety valve sticks open",
                                           at=faults.FaultAt(pressure_below="60 psi"))
    )  # fmt: skip
    found["fault by glass"] = with_fault(
        lake, faults.SafetyValveWeeps(kind="safety valve weeps", at=faults.FaultAt(glass_below="45 %"))
    )
    found |= occasions_on_the_way(lake, burner)
    found |= worked_by_hand(found["02-engine-pump-stops, injector"], burner)
    for kind in faults.FAULTS.values():
        for moment in (at, here):
            name = get_args(kind.model_fields["kind"].annotation)[0]
            amounts = {
                key: AMOUNTS[f"{kind.__name__}.{key}"]
                for key in kind.model_fields if f"{kind.__name__}.{key}" in AMOUNTS
            }  # fmt: skip
            if "repaired_after" in kind.model_fields:
                amounts["repaired_after"] = "30 min"
            fault = kind(kind=name, at=moment, **amounts)
            day = injector if "injector" in name else pumping if "hand pump" in name else lake
            day = burner if "burner" in name else found["two days"] if "lock" in name else day
            day = found["two aboard"] if "ashore" in name else day
            day = found["lying over"] if "heels" in name else day
            others = day.fault if "hand pump" in name or "injector" in name else ()
            day = day.model_copy(update={"fault": (*others, fault)})
            found[f"{name}, {moment.clock or moment.leaving}"] = day
    return found


def worked_by_hand(lake: Scenario, burner: Scenario) -> dict[str, Scenario]:
    """Days with a step by hand in which every control is moved, by a grate and by a burner."""
    shared = (
        {"after": "20 s", "lines": "let go", "throttle": "30 %", "cylinder_drains": "open"},
        {"after": "40 s", "cylinder_drains": "shut", "bypass": "40 %", "reversing_gear": "80 %"},
        {"after": "60 s", "whistle": "open", "condensate_drain": "40 %"},
        {"after": "64 s", "whistle": "shut", "blow_down": "open"},
        {"after": "68 s", "blow_down": "shut"},
        {"after": "100 s", "goes_wrong": "engine pump stops delivering"},
        {"after": "150 s", "put_right": "engine pump stops delivering", "feed_check": "shut"},
        {"after": "180 s", "feed_check": "open", "do": "bale into the hot well"},
    )
    grate = (
        {"after": "200 s", "damper": "60 %", "blower": "20 %", "fire_door": "30 %"},
        {"after": "220 s", "charge": "1 kg", "fuel": "anthracite"},
        {"after": "240 s", "hand_pump_on_hot_well": "20 strokes/min"},
        {"after": "270 s", "hand_pump_on_lake": "20 strokes/min"},
        {"after": "300 s", "injector_water": "open", "injector_steam": "open"},
    )
    flame = (
        {"after": "200 s", "burner_rate": "60 %"},
        {"after": "240 s", "spirit_cup": "alight"},
    )
    found = {}
    for name, day, moves in (("grate", lake, grate), ("burner", burner, flame)):
        by_hand = step(steps.ByHand, "by hand", **{"for": "6 min", "moves": [*shared, *moves]})
        route = (*day.route[:2], by_hand, day.route[-1])
        found[f"by hand, {name}"] = day.model_copy(update={"route": route, "fault": ()})
    return found


def step(kind: type[BaseModel], name: str, **keys: Any) -> Any:
    return kind.model_validate({"step": name, **keys})


def order(when: dict[str, Any], do: str, **keys: Any) -> Order:
    return Order.model_validate({"name": f"{do} then", "when": when, "do": do, **keys})


def occasions_on_the_way(lake: Scenario, burner: Scenario) -> dict[str, Scenario]:
    """Days with every kind of stop, a night, two aboard, and the skipper's own orders."""
    raising, warming, out, *rest = lake.route
    lock = step(steps.Lock, "lock", at="Mill lock", wait="5 min", takes="8 min")
    anchored = {"for": "20 min", "at_anchor": True, "kettle": "5 min", "fire": "banked"}
    leg = {"to": "Mill reach", "distance": "3 km"}
    stops = (
        step(steps.Whistle, "whistle", **{"for": "4 s"}),
        step(steps.Passengers, "passengers", aboard=3, takes="4 min"),
        step(steps.TakeWater, "take on water", volume="5 L", takes="3 min"),
        step(steps.Leg, "leg", turns="200 rpm", **leg),
        lock,
        step(steps.Lie, "lie", **anchored),
        step(steps.Leg, "leg", speed="2 m/s", headwind="1 m/s", **leg),
        step(steps.ComeAlongside, "come alongside", at="Mill"),
    )
    fuel = step(steps.TakeFuel, "take on fuel", mass="20 kg", takes="8 min")
    tank = step(steps.TakeFuel, "take on fuel", volume="3 L", takes="8 min")
    night = step(steps.NightHalt, "night halt", until=datetime.time(7, 0))
    route = (raising, warming, out, *stops, fuel, night, raising, out, *rest)
    days = lake.model_copy(update={"route": route})
    leak = faults.CheckValveLeaks(
        kind="check valve leaks", at=faults.FaultAt(clock=datetime.time(8, 30), day=2), area="0.5 mm2"
    )
    late = edited(days, ("route.3.for_", 5.0))
    orders = (
        order({"glass_above": "60 %", "engine": "turning"}, "set bypass", to="80 %", **{"for": "5 min"}),
        order({"pressure_above": "60 psi"}, "set damper", to="3 %", until={"pressure_below": "58 psi"}),
        order({"hotwell_above": "30 %", "glass_below": "70 %"}, "set throttle", to="20 %"),
        order({"hotwell_hotter": "25 °C"}, "set condensate drain", to="40 %"),
        order({"bed_below": "90 mm"}, "set blower", to="20 %"),
        order({"hotwell_below": "60 %", "engine": "stopped"}, "bale into the hot well"),
    )
    own = {
        f"own order {number}": lake.model_copy(update={"order": (one,)}) for number, one in enumerate(orders)
    }
    return own | {
        "two days": days,
        "two days, whistled longer": late,
        "fault on the second day": with_fault(days, leak),
        "two aboard": edited(lake, ("crew.hands", 2)),
        "burner boat takes fuel": burner.model_copy(
            update={"route": (*burner.route[:-1], tank, burner.route[-1])}
        ),
        "wet coal": edited(lake, ("aboard.fuel_moisture", 0.15)),
        "dirty coal": edited(lake, ("aboard.fuel_ash", 0.12)),
        "lying over": edited(
            lake, ("aboard.heel", 0.05), ("aboard.trim", 0.03), ("boat.boiler.glass.athwartships", 0.1),
            ("boat.boiler.glass.fore_and_aft", 0.1),
        ),
    }  # fmt: skip


def fingerprint(outing: Outing) -> tuple[dict[str, np.ndarray], list[Any]]:
    """What can be looked at: the timeline and totals as numbers, log and verdict as words."""
    numbers = {name: outing.timeline[name].to_numpy(float) for name in outing.timeline.columns}
    numbers["crown_level"] = np.array([outing.marks.crown_level])
    numbers |= {name: np.array([amount]) for name, amount in outing.totals.items()}
    words: list[Any] = [(row.event, row.text) for row in outing.log.itertuples()]
    words += [outing.verdict.sentence, outing.verdict.outcome.kind, outing.marks.units]
    words += [(item.subject, item.item, item.spells) for item in outing.verdict.critical]
    return numbers, words


def is_different(one: Outing, other: Outing) -> bool:
    """Whether anything but rounding tells two outings apart."""
    first, second = fingerprint(one), fingerprint(other)
    if first[1] != second[1]:
        return True
    for name, values in first[0].items():
        others = second[0][name]
        if values.shape != others.shape:
            return True
        scale = max(float(np.nanmax(np.abs(values), initial=0.0)), 1e-12)
        if not np.allclose(values, others, rtol=0.0, atol=MOVES * scale, equal_nan=True):
            return True
    return False


def alternatives(entry: Entry) -> Iterator[Any]:
    """Other values the entry may have: a few per cent off, the next number, the other choices."""
    value = entry.value
    if isinstance(value, bool):
        yield not value
    elif isinstance(value, int):
        yield from (value + 1, value - 1)
    elif isinstance(value, float):
        tried = (value * 1.04, value * 0.96, value + 0.05 if value == 0.0 else value * 1.3)
        yield from (other for other in tried if is_allowed(entry.info, other))
    elif isinstance(value, datetime.time):
        yield value.replace(minute=(value.minute + 7) % 60)
    elif isinstance(value, datetime.date):
        yield value + datetime.timedelta(days=1)
    elif isinstance(value, str):
        yield from (choice for choice in choices(entry.info.annotation) if choice != value)
    elif isinstance(value, tuple) and len(value) > 0:
        yield value[1:]
    elif isinstance(value, tuple):
        yield ("hand pump on hot well",)


def choices(annotation: Any) -> tuple[str, ...]:
    """The words a field allows, if it allows some words only."""
    if get_origin(annotation) is Literal:
        return get_args(annotation)
    return next(filter(None, (choices(part) for part in get_args(annotation))), ())


def is_tried(entry: Entry) -> bool:
    """Whether the entry holds something to be changed: no words, no discriminator, nothing left out."""
    is_worded = entry.path[-1] in WORDS and not isinstance(entry.value, float)
    if is_worded or entry.path[0] in ("plan", "uncertain"):
        return False
    if isinstance(entry.value, str):
        return len(choices(entry.info.annotation)) > 1
    if isinstance(entry.value, tuple) and tables(entry.info.annotation, set()):
        return False
    return entry.value is not None and next(alternatives(entry), None) is not None


@cache
def places() -> dict[str, tuple[tuple[str, Entry], ...]]:
    """Every key, with each occasion and place at which it stands."""
    found: dict[str, list[tuple[str, Entry]]] = {}
    for name, day in occasions().items():
        for entry in entries(day):
            if is_tried(entry):
                found.setdefault(entry.key, []).append((name, entry))
    first = {key: name for name, keys in FIRST.items() for key in keys}
    return {
        key: tuple(sorted(where, key=lambda place: place[0] != first.get(key)))
        for key, where in found.items()
    }


def tables_and_numbers(annotation: Any) -> set[Any]:
    """The plain types inside an annotation."""
    parts = get_args(annotation)
    return {annotation} if not parts else set().union(*(tables_and_numbers(part) for part in parts))


def tables(kind: Any, seen: set[type[BaseModel]]) -> set[type[BaseModel]]:
    """Every table that can stand in a scenario."""
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        if kind not in seen:
            seen.add(kind)
            for hint in get_type_hints(kind).values():
                tables(hint, seen)
    else:
        for part in get_args(kind):
            tables(part, seen)
    return seen


@cache
def outing_of(name: str) -> Outing:
    return run(occasions()[name])


def moved_by(name: str, entry: Entry) -> bool:
    """Whether changing the entry on this occasion makes the day come out differently."""
    for value in alternatives(entry):
        day = with_value(occasions()[name], entry.path, value)
        if entry.key in WITH:
            other_key, values = WITH[entry.key]
            day = with_value(day, (*entry.path[:-1], other_key), values[value])
        if conflicts(day):
            continue
        other = run(day)
        if entry.key in SHOWN_ONLY:
            if other.marks.started != outing_of(name).marks.started:
                return True
        elif is_different(outing_of(name), other):
            return True
    return False


def test_every_key_stands_somewhere() -> None:
    """Every key of every table that can stand in a scenario is on one of the occasions."""
    known = places()
    missing = []
    for table in tables(Scenario, set()) - {models.Plan, models.AddedStep, *UNCERTAIN}:
        for key, info in table.model_fields.items():
            is_discriminator = len(choices(info.annotation)) == 1
            inside = tables(info.annotation, set())
            name = f"{table.__name__}.{key}"
            is_worded = key in WORDS and float not in tables_and_numbers(info.annotation)
            if is_worded or is_discriminator or inside or name in ELSEWHERE:
                continue
            if name not in known:
                missing.append(name)
    assert not missing


@pytest.mark.parametrize("key", sorted(places()))
def test_key_moves_some_output(key: str) -> None:
    assert any(moved_by(name, entry) for name, entry in places()[key])


def test_nothing_moves_by_itself() -> None:
    """The comparison finds a day no different from itself, and a twenty-millionth of a number different."""
    outing = outing_of("01-quiet-lake-day, as written")
    assert not is_different(outing, run(occasions()["01-quiet-lake-day, as written"]))
    table = outing.timeline.copy()
    table.loc[5, "boiler_pressure"] += 2.0 * MOVES * table["boiler_pressure"].max()
    assert is_different(outing, replace(outing, timeline=table))


def burning(fuel: str) -> Scenario:
    """The lake day with another fuel."""
    return edited(occasions()["01-quiet-lake-day, as written"], ("aboard.fuel", fuel))


BURNT = [
    pytest.param(fuel, marks=[] if fuel == "steam coal" else pytest.mark.long) for fuel in sorted(fuels.FUELS)
]
"""The lake day's own fuel by default; its rows are those of every other."""


@cache
def burnt(fuel: str) -> Outing:
    return run(burning(fuel))


FIGURES = tuple(field.name for field in fields(fuels.Fuel) if field.name != "name")


@pytest.mark.parametrize("figure", FIGURES)
@pytest.mark.parametrize("fuel", BURNT)
def test_every_figure_of_a_fuel(fuel: str, figure: str, monkeypatch: pytest.MonkeyPatch) -> None:
    row, before = fuels.FUELS[fuel], burnt(fuel)
    changed = replace(row, **{figure: getattr(row, figure) * 1.05})
    monkeypatch.setattr(fuels, "FUELS", {**fuels.FUELS, fuel: changed})
    assert is_different(before, run(burning(fuel)))


def differ_all(days: list[Scenario]) -> bool:
    outings = [run(day) for day in days]
    return all(is_different(a, b) for i, a in enumerate(outings) for b in outings[:i])


def test_every_fuel_is_a_different_day() -> None:
    assert differ_all([burning(fuel) for fuel in fuels.FUELS])


def test_every_screw_and_hull_series_is_a_different_day() -> None:
    lake = edited(occasions()["01-quiet-lake-day, as written"], ("boat.propeller.pitch_ratio", 1.0))
    for key in ("propeller", "hull"):
        names = choices(type(getattr(lake.boat, key)).model_fields["series"].annotation)
        assert len(names) > 1
        assert differ_all([edited(lake, (f"boat.{key}.series", name)) for name in names])


def rows(name: str) -> list[dict[str, str]]:
    """A table of the catalogue."""
    data = resources.files("halfglass.scenario.catalogue.data").joinpath(name)
    return list(csv.DictReader(data.read_text(encoding="utf-8").splitlines()))


@pytest.mark.parametrize("series", sorted({row["propeller"] for row in rows("four_quadrant.csv")}))
def test_every_coefficient_of_a_screw(series: str) -> None:
    """Each published coefficient moves the tables of its screw."""
    for pitch, known in screws._series()[series].items():
        before = np.concatenate(screws.tables(series, pitch))
        for place in np.ndindex(known.shape):
            if place == (0, 1) or place == (0, 3):
                continue  # the sine of nothing
            kept = known[place]
            known[place] = kept + 1e-3
            try:
                assert np.abs(np.concatenate(screws.tables(series, pitch)) - before).max() > 1e-7, place
            finally:
                known[place] = kept


@pytest.mark.parametrize("series", sorted({row["hull"] for row in rows("residuary_resistance.csv")}))
def test_every_point_of_a_hull(series: str) -> None:
    """Each published point of the residuary curve moves the resistance of its hull."""
    known = hulls._curves()[series]
    before = hulls.resistance_tables(series, 6.6, 1600.0, 8.6, 1.0)
    for column in known:
        for place in range(len(column)):
            kept = column[place]
            column[place] = kept * 1.002
            try:
                after = hulls.resistance_tables(series, 6.6, 1600.0, 8.6, 1.0)
                assert np.abs(after[2] - before[2]).max() > 1e-6, place
            finally:
                column[place] = kept
