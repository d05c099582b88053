"""Days drawn from a seeded source of chance: any boat, any route, any crew and orders, and up to four faults.

A day is drawn as a user would write it, as the text of a boat file and of a scenario; so its number makes it
again, and the text shows what failed. What does not go together is left out, as a user would who is told so.
"""

from __future__ import annotations

import datetime
import math
import random
import re
import tomllib
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from types import UnionType
from typing import Any, Literal, Union, get_args, get_origin

from scenario_grammar import as_toml, limits_of
from scenario_numbers import entries, is_allowed
from strategies import HEIGHTS, PRESSURES, SCENARIOS

from halfglass.scenario.boat import Boat
from halfglass.scenario.boat_alone import load_boat
from halfglass.scenario.by_hand_models import Move
from halfglass.scenario.day_models import Crew, Firing, Scenario, Weather
from halfglass.scenario.fault_models import FaultEntry
from halfglass.scenario.fields import QuantityText, Table, _parts
from halfglass.scenario.load import Story, load
from halfglass.scenario.order_models import Order, Orders, Seen
from halfglass.scenario.route_steps import Step
from halfglass.scenario.search import SAMPLES
from halfglass.vocabulary import units
from halfglass.vocabulary.errors import ScenarioError
from halfglass.vocabulary.unit_table import KINDS

Chance = random.Random
Values = dict[str, Any]

PARTS = ("boiler", "engine", "lubricator", "exhaust", "feed", "chimney")
"""Parts of a boat that another boat's may stand in for; fire or burner, and hull and screw, go together."""
SPREADS = (0.0, 0.05, 0.15, 0.3)
"""How far the numbers of a boat are taken: e to the power of ± this."""
OFTEN, SELDOM = 0.3, 0.03
"""How often a key that may be left out is given, and how often a number is anywhere in its range."""
MOST_FAULTS, MOST_STOPS = 4, 6
REDRAWS = 60
"""How often what does not go together is drawn anew before it counts as a fault of this file."""
PLACES = ("Alder jetty", "The weir", "Lower lock", "Größte Insel", "Boathouse")
USUAL = {
    "distance": "1.5 km", "for": "6 min", "at_most": "2 h", "look_every": "3 min", "takes": "5 min",
    "wait": "8 min", "repaired_after": "15 min", "plus": "5 min", "kettle": "3 min", "after": "6 min",
    "gone_after": "30 min", "throttle": "30 %", "turns": "250 rpm", "speed": "4.5 kn", "mass": "10 kg",
    "volume": "8 L", "charge": "1 kg", "bed_depth": "100 mm", "to": "8 deg", "try_glass_every": "1 h",
    "look_takes": "8 s", "firing_takes": "50 s", "rate": "2 L/min", "oil": "20 g", "by": "2 m/s",
    "stream": "0.4 m/s", "headwind": "4 m/s",
}  # fmt: skip
"""About how much a key has on a day one could live through, where its example does not say."""


def number_text(chance: Chance, value: float, kind: str) -> str:
    """A quantity in any unit of its kind."""
    unit = chance.choice(KINDS[kind].units).symbol
    return f"{units.significant(units.convert(value, kind, unit), 7)} {unit}".strip()


def anywhere(chance: Chance, low: float, high: float) -> float:
    """A number of a range, small ones as likely as large ones."""
    if low >= 0.0 and high > 0.0:
        least = max(low, high * 1e-6)
        return math.exp(chance.uniform(math.log(least), math.log(high)))
    return chance.uniform(low, high)


def quantity(chance: Chance, text: QuantityText, about: float) -> str:
    """A quantity about as large as given, once in a while anywhere in its range or at its end."""
    ends = [bound for bound in (text.lowest, text.highest) if bound is not None]
    low = next((b for b in (text.lowest, text.above) if b is not None), -abs(about) * 10.0)
    high = next((b for b in (text.highest, text.below) if b is not None), abs(about) * 100.0)
    for _ in range(REDRAWS):
        value = about * math.exp(chance.uniform(-1.0, 1.0))
        if low < 0.0 and chance.random() < 0.4:
            value = -value
        if chance.random() < SELDOM:
            value = chance.choice([*ends, anywhere(chance, low, high)])
        written = number_text(chance, value, text.kind)
        if is_of(written, text):
            return written
    return text.example


def is_of(written: str, text: QuantityText) -> bool:
    """Whether a quantity is of a kind and within its range."""
    try:
        return text.allows(units.parse(written, text.kind))
    except units.UnitError:
        return False


def table(chance: Chance, model: type[Table], **given: Any) -> Values:
    """Values for one table: what must be given, some of what may be, and what is given here as it is."""
    made: Values = {}
    for name, info in model.model_fields.items():
        key = info.alias or name
        if key in given:
            made[key] = given[key]
        elif key != "name" and (info.is_required() or chance.random() < OFTEN):
            made[key] = value(chance, info.annotation, [*info.metadata], key, info.default)
    return made


def value(chance: Chance, kind: Any, metadata: list[Any], key: str, default: Any) -> Any:
    """A value of a type, within the limits its annotations set."""
    text = next((part for part in metadata if isinstance(part, QuantityText)), None)
    if text is not None:
        is_default = isinstance(default, float) and default > 0.0
        about = default if is_default else units.parse(text.example, text.kind)
        usual = USUAL.get(key)
        if usual is not None:
            about = units.parse(usual, text.kind) if is_of(usual, text) else about
        return quantity(chance, text, about)
    origin, parts = get_origin(kind), get_args(kind)
    if origin is Literal:
        return chance.choice(parts)
    if hasattr(kind, "__metadata__"):  # Annotated
        return value(chance, kind.__origin__, [*metadata, *kind.__metadata__], key, default)
    if origin in (Union, UnionType):
        return value(chance, chance.choice([p for p in parts if p is not type(None)]), [], key, default)
    if origin is tuple:
        return [value(chance, parts[0], [], key, None) for _ in range(chance.randint(1, 4))]
    if issubclass(kind, Table):
        return table(chance, kind)
    return plain(chance, kind, limits_of(metadata))


def plain(chance: Chance, kind: type, bounds: dict[str, float]) -> Any:
    """Yes or no, numbers, names, times and dates."""
    low, high = bounds.get("low", 0.0), bounds.get("high", 10.0)
    makers: dict[type, Callable[[], Any]] = {
        bool: lambda: chance.random() < 0.5,
        int: lambda: chance.randint(int(low), int(high)),
        float: lambda: round(chance.uniform(low, high), 4),
        str: lambda: chance.choice(PLACES),
        datetime.time: lambda: datetime.time(*(chance.randrange(most) for most in (24, 60, 60))),
        datetime.date: lambda: datetime.date(2030, 1, 1) + datetime.timedelta(chance.randrange(4000)),
    }  # fmt: skip
    return makers[kind]()


@cache
def boat_files() -> tuple[Values, ...]:
    """Every shipped boat, and those `new boat` writes."""
    paths = sorted([*(SCENARIOS / "boats").glob("*.toml"), *SAMPLES.glob("*.toml")])
    return tuple(tomllib.loads(path.read_text(encoding="utf-8")) for path in paths)


def boat(chance: Chance, path: Path) -> Boat:
    """Write a boat that is accepted, and give it as it is read."""
    for _ in range(REDRAWS):
        values = _mixed(chance)
        path.write_text(as_toml(values), encoding="utf-8")
        try:
            read = load_boat(path).boat
        except ScenarioError:
            continue
        _vary(chance, values, read)
        for _ in range(REDRAWS):
            path.write_text(as_toml(values), encoding="utf-8")
            try:
                return load_boat(path).boat
            except ScenarioError as error:
                if not mended(values, error):
                    break
    raise AssertionError("no boat is accepted")


def _mixed(chance: Chance) -> Values:
    """A boat with parts of other boats, and without some."""
    mixed = _copy(chance.choice(boat_files()))
    if chance.random() < 0.4:
        return mixed
    for part in PARTS:
        if chance.random() < 0.3:
            mixed[part] = _copy(chance.choice(boat_files())[part])
    for group in (("fire", "burner"), ("hull", "propeller")):
        other = chance.choice(boat_files())
        for part in group:
            mixed.pop(part, None)
            if part in other:
                mixed[part] = _copy(other[part])
    for source in ("engine_pump", "hand_pump", "injector"):
        if chance.random() < 0.2:
            mixed["feed"].pop(source, None)
    if chance.random() < 0.2:
        del mixed["safety_valve"][1:]
    if chance.random() < 0.3:
        mixed["exhaust"]["kind"] = chance.choice(
            ("keel condenser", "feed-heating condenser", "both in series", "none")
        )
    for key in ("air_pump", "up_chimney"):
        if chance.random() < 0.2:
            mixed["exhaust"][key] = True
    return mixed


def _vary(chance: Chance, values: Values, read: Boat) -> None:
    """Draw the numbers of a boat anew: all a little, and now and then one or two anywhere in their range."""
    spread = chance.choice(SPREADS)
    heights, pressures = (math.exp(chance.uniform(-spread, spread) * 0.6) for _ in range(2))
    numbers = [e for e in entries(read) if type(e.value) in (int, float) and e.path[-1] != "pitch_ratio"]
    strays = chance.sample(range(len(numbers)), chance.choice((0, 0, 1, 2)))
    for place, entry in enumerate(numbers):
        text = next((part for part in _parts(entry.info) if isinstance(part, QuantityText)), None)
        factor = math.exp(chance.uniform(-spread, spread))
        factor = {**dict.fromkeys(HEIGHTS, heights), **dict.fromkeys(PRESSURES, pressures)}.get(
            str(entry.path[-1]), factor
        )
        drawn = entry.value * factor
        if place in strays and text is not None:
            written: Any = quantity(
                chance, text, anywhere(chance, abs(entry.value) / 30.0, abs(entry.value) * 30.0)
            )
        elif text is not None:
            written = number_text(chance, drawn, text.kind)
            if not is_of(written, text):
                continue
        else:
            written = max(1, round(drawn)) if isinstance(entry.value, int) else drawn
            if not is_allowed(entry.info, written):
                continue
        inside: Any = values
        for part in entry.path[:-1]:
            inside = inside[part] if isinstance(part, int) else inside.setdefault(part, {})
        inside[entry.info.alias or entry.path[-1]] = written


def _copy(values: Any) -> Any:
    if isinstance(values, dict):
        return {key: _copy(inner) for key, inner in values.items()}
    return [_copy(inner) for inner in values] if isinstance(values, list) else values


STEPS = {get_args(step.model_fields["step"].annotation)[0]: step for step in get_args(get_args(Step)[0])}
FAULTS = {
    get_args(kind.model_fields["kind"].annotation)[0]: kind for kind in get_args(get_args(FaultEntry)[0])
}
STOPS = tuple(kind for kind in STEPS if kind not in ("raise steam", "leg", "shut down", "night halt"))


def route(chance: Chance, read: Boat, working: float) -> list[Values]:
    """Steam up, legs with stops between them, perhaps a night, and mostly shut down."""

    def steam_up() -> Values:
        until = working * chance.uniform(0.3, 1.0)
        return table(chance, STEPS["raise steam"], until=number_text(chance, until, "gauge_pressure"))

    steps = [steam_up()]
    if chance.random() < 0.7:
        steps.append(table(chance, STEPS["warm through"]))
    for _ in range(chance.randint(1, MOST_STOPS)):
        if chance.random() < 0.75:
            held = chance.choice(("throttle", "throttle", "turns", "speed"))
            leg = table(chance, STEPS["leg"])
            steps.append({key: v for key, v in leg.items() if key not in ("throttle", "turns", "speed")})
            steps[-1][held] = value(chance, *_field(STEPS["leg"], held))
        steps += [stop(chance, chance.choice(STOPS), read) for _ in range(chance.randint(0, 2))]
        if chance.random() < 0.06:
            steps += [table(chance, STEPS["night halt"]), steam_up()]
    if chance.random() < 0.8:
        steps.append(table(chance, STEPS["shut down"]))
    return steps


def _field(model: type[Table], name: str) -> tuple[Any, list[Any], str, Any]:
    info = model.model_fields[name]
    return info.annotation, [*info.metadata], name, info.default


def stop(chance: Chance, kind: str, read: Boat) -> Values:
    """A step that is no leg."""
    if kind == "by hand":
        lasts = chance.uniform(60.0, 3600.0)
        after = sorted(round(chance.uniform(0.0, lasts - 1.0)) for _ in range(chance.randint(0, 12)))
        moves = [_move(chance, seconds) for seconds in after]
        return {"step": kind, "for": f"{lasts:.0f} s", "moves": moves}
    if kind == "take on fuel":
        if read.burner is not None:
            share = read.burner.tank_volume * chance.random()
            return {"step": kind, "volume": number_text(chance, share + 1e-6, "volume")}
        return {"step": kind, "mass": quantity(chance, _text(STEPS[kind], "mass"), 10.0)}
    if kind == "take on water":
        share = read.exhaust.hotwell_capacity * chance.random()
        return table(chance, STEPS[kind], volume=number_text(chance, share, "volume"))
    return table(chance, STEPS[kind])


def _text(model: type[Table], name: str) -> QuantityText:
    return next(part for part in _parts(model.model_fields[name]) if isinstance(part, QuantityText))


def _move(chance: Chance, after: float) -> Values:
    """One thing moved or done by hand."""
    key = chance.choice([name for name in Move.model_fields if name not in ("after", "fuel")])
    return {"after": f"{after} s", key: value(chance, *_field(Move, key))}


def fault(chance: Chance, kind: str, places: list[str], light_up: datetime.time, working: float) -> Values:
    """A fault of a kind, at any of the moments one can name."""
    moment = chance.choice(("clock", "leaving", "arriving", "pressure_below", "glass_below"))
    at: Values = {moment: chance.choice(places)} if places else {}
    if moment in ("leaving", "arriving") and places and chance.random() < 0.6:
        at["plus"] = number_text(chance, anywhere(chance, 0.0, 3600.0), "time")
    if moment == "clock" or not at:
        start = datetime.datetime.combine(datetime.date(2030, 6, 15), light_up)
        at = {"clock": (start + datetime.timedelta(seconds=chance.randrange(6 * 3600))).time()}
    elif moment == "pressure_below":
        at = {moment: number_text(chance, working * chance.uniform(0.1, 1.0), "gauge_pressure")}
    elif moment == "glass_below":
        at = {moment: f"{chance.uniform(5.0, 70.0):.1f} %"}
    return table(chance, FAULTS[kind], at=at)


def own_order(chance: Chance, number: int, working: float) -> Values:
    """A standing order of the skipper's own."""

    def seen() -> Values:
        keys = chance.sample(list(Seen.model_fields), chance.choice((1, 1, 2)))
        said = {key: value(chance, *_field(Seen, key)) for key in keys}
        for key in ("pressure_below", "pressure_above"):
            if key in said:
                said[key] = number_text(chance, working * chance.uniform(0.2, 1.2), "gauge_pressure")
        return said

    made = table(chance, Order, name=f"order {number}", when=seen())
    made.pop("to", None)
    if str(made["do"]).startswith("set "):
        made["to"] = f"{chance.randrange(101)} %"
    if "until" in made:
        made["until"] = seen()
    return made


def document(chance: Chance, read: Boat, boat_file: str) -> Values:
    """A day for a boat."""
    valve = read.safety_valve[0].set_pressure
    working = valve * chance.uniform(0.4, 0.99)
    light_up = datetime.time(chance.randrange(24), chance.randrange(60))
    steps = route(chance, read, working)
    places = [step[key] for step in steps for key in ("to", "at") if key in step]
    sources = chance.sample(read.feed_sources, chance.randint(0, len(read.feed_sources)))
    burner = read.burner
    hotwell = read.exhaust.hotwell_capacity * chance.choice((0.0, 1.0, chance.random(), chance.random()))
    aboard: Values = {"glass": f"{chance.uniform(2.0, 100.0):.2f} %", "hotwell": f"{hotwell * 1e3:.5g} L"}
    if burner is not None:
        aboard |= {"fuel": "paraffin"}
        aboard["tank_fuel"] = f"{burner.tank_volume * chance.uniform(0.02, 1.0) * 1e6:.5f} mL"
    else:
        fuel = chance.choice(("air-dry wood", "charcoal", "anthracite", "steam coal"))
        aboard |= {"fuel": fuel, "fuel_mass": f"{anywhere(chance, 3.0, 150.0):.4g} kg"}
        aboard |= {"fuel_reserve": "1 kg"} if chance.random() < 0.3 else {}
    drawn = table(chance, Scenario.model_fields["aboard"].annotation, **aboard)  # type: ignore[arg-type]
    kept = {
        key: v
        for key, v in drawn.items()
        if key in aboard or key not in ("fuel_mass", "tank_fuel", "fuel_reserve")
    }
    made: Values = {
        "title": "A day drawn at random", "boat": boat_file, "light_up": light_up, "route": steps,
        "crew": table(chance, Crew), "weather": table(chance, Weather), "aboard": kept,
        "firing": table(chance, Firing, working_pressure=number_text(chance, working, "gauge_pressure")),
        "orders": table(chance, Orders, low_glass=sources) if chance.random() < 0.8 else {},
        "order": [own_order(chance, number, working) for number in range(chance.choice((0, 0, 1, 3)))],
        "fault": [
            fault(chance, chance.choice(list(FAULTS)), places, light_up, working)
            for _ in range(chance.randint(0, MOST_FAULTS))
        ],
    }  # fmt: skip
    if chance.random() < 0.3:
        made["units"] = chance.choice(("trade", "metric", "trade, pressure=bar, speed=mph"))
    return made


def mended(values: Values, error: ScenarioError) -> bool:
    """Leave out what does not go together, or say that it cannot be left out; as a user would who is told."""
    for place in sorted(
        {_entry(list(_path(fault.key))) for fault in error.faults}, key=_in_order, reverse=True
    ):
        inside: Any = values
        for part in place[:-1]:
            inside = inside[part] if isinstance(part, int) else inside.get(part, {})
        if place == ("route", 0) or len(place) < 2 or _is_absent(inside, place[-1]):
            return False
        del inside[place[-1]]
    return True


def _entry(path: list[str | int]) -> tuple[str | int, ...]:
    """What is left out for a fault at a place: a key, or all of a step, a move, an order or a fault."""
    path = path[path[:1] == ["boat"] :]
    is_listed = path[:1] in (["route"], ["order"], ["fault"])
    return tuple(path[: 4 if path[2:3] == ["moves"] else 2] if is_listed else path)


def _in_order(path: tuple[str | int, ...]) -> list[tuple[int, str]]:
    return [(part, "") if isinstance(part, int) else (0, part) for part in path]


def _is_absent(inside: Any, part: str | int) -> bool:
    return part >= len(inside) if isinstance(part, int) else part not in inside


def _path(key: str) -> Iterator[str | int]:
    for name, place in re.findall(r"([^.\[\]]+)|\[(\d+)\]", key):
        yield int(place) - 1 if place else name


def day(number: int, folder: Path) -> Story:
    """Write the day of a number with its boat into a folder, and read it."""
    chance = random.Random(f"day {number}")
    read = boat(chance, folder / "boat.toml")
    path = folder / "day.toml"
    for _ in range(REDRAWS):
        values = document(chance, read, "boat.toml")
        for _ in range(REDRAWS):
            path.write_text(as_toml(values), encoding="utf-8")
            try:
                return load(path)
            except ScenarioError as error:
                if not mended(values, error):
                    break
    raise AssertionError("no day is accepted")
