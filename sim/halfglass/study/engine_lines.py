"""The sanity table's lines about engine, feed, exhaust, fuel and boiler water."""

from __future__ import annotations

import math
from collections.abc import Iterator

from halfglass.day.record import hottest_pumped
from halfglass.plant.feed import injector_water_ratio
from halfglass.plant.human_power import sustained_human_power
from halfglass.plant.orifice import choked_steam_flux
from halfglass.plant.water_quality import blow_down_needed, solids_rise_rate
from halfglass.result.sanity import Line
from halfglass.scenario.catalogue.fuels import FUELS
from halfglass.scenario.route_steps import Leg
from halfglass.study.case import Case, hull_speed
from halfglass.study.steady import UnderWay
from halfglass.study.words import NO_SOURCE, graded, line, shown
from halfglass.vocabulary import units

POUND, HORSE_POWER = 0.45359237, 745.69987
BOILING = 373.15
MOST_SOLIDS = 3500.0
"""mg/kg allowed in the boiler."""
KEPT_UP = sustained_human_power(240.0)
"""W a person keeps up for four hours."""


def engine_lines(case: Case) -> Iterator[Line]:
    """Engine and what goes with it, in the order of the table."""
    yield water_rate_line(case)
    yield speed_line(case)
    yield from feed_lines(case)
    yield from condenser(case)
    yield endurance(case)
    yield solids(case)


def water_rate(way: UnderWay) -> float:
    """Steam for the work done [lb for each indicated horse-power and hour]."""
    return way.steam / POUND * 3600.0 / max(way.indicated_power / HORSE_POWER, 1e-9)


def water_rate_line(case: Case) -> Line:
    """Steam for each horse-power at cruising."""
    rate = water_rate(case.cruise)
    return line(
        "water_rate", "Steam for the work at cruising", f"{rate:.0f} lb/ihp h", rate, "lb/ihp h",
        "25-60 for working engines (STE); 41-50 computed for a 3 in engine (LIN p. 884)",
        graded(rate, 20.0, 60.0, least=12.8),
        small="less than small engines manage",
        large="a thirsty engine, or throttled far down",
        out_of_proportion="less than the ideal engine between 75 psi and a good vacuum",
    )  # fmt: skip


def speed_line(case: Case) -> Line:
    """Speed at cruising over the speed at which her own wave is as long as she is."""
    share = case.cruise.boat_speed / hull_speed(case.scenario)
    return line(
        "speed_over_hull_speed", "Speed at cruising in still water",
        f"{shown(case.cruise.boat_speed, 'speed', case.scenario.units)} at "
        f"{case.cruise.shaft_speed * 60:.0f} rpm, {100 * share:.0f} % of the hull speed",
        share, "1", f"hull speed is 1.34 root LWL in ft; cruising at 60-95 % of it ({NO_SOURCE})",
        graded(share, 0.55, 0.98, least=0.2, most=1.4),
        small="she could go faster for little more steam",
        large="she is driven up her own wave: dear in steam",
        out_of_proportion="engine, screw and hull do not belong together",
    )  # fmt: skip


def feed_lines(case: Case) -> Iterator[Line]:
    """Each way of feeding against the steam used at cruising."""
    boat, used = case.scenario.boat.feed, case.cruise.steam
    feed, system = case.boat.parameters.feed, case.scenario.units
    if boat.engine_pump is not None:
        pumped = feed.engine_pump_displacement * feed.engine_pump_delivery_fraction * case.cruise.shaft_speed
        yield _feed_line(
            "engine_pump", "Engine pump at cruising revolutions", pumped, used, system, "",
            f"3.5 times by the old rule (BOU Q175), later 1.5-2 times ({NO_SOURCE})",
        )  # fmt: skip
        yield hot_well(case)
    if boat.hand_pump is not None:
        rate = case.scenario.crew.strokes
        pumped = feed.hand_pump_displacement * feed.hand_pump_delivery_fraction * rate
        work = pumped * case.scenario.firing.working_pressure
        yield _feed_line(
            "hand_pump", f"Hand pump at {rate * 60:.0f} strokes/min", pumped, used, system,
            f"; {work:.0f} W of work, {KEPT_UP:.0f} W (1/8 hp) can be kept up for 4 h",
            f"holds the water alone: 1 or more ({NO_SOURCE})",
        )  # fmt: skip
    if boat.injector is not None:
        steam = feed.injector_steam_area * choked_steam_flux(case.boat.pressure, case.boat.vapour_volume)
        lifted = steam * injector_water_ratio(case.boat.pressure)
        yield _feed_line(
            "injector", "Injector at working pressure", lifted * 1e-3, used, system,
            f"; starts at {shown(feed.injector_starting_pressure, 'gauge_pressure', system)}",
            f"1.5-2 times, as for a pump ({NO_SOURCE})",
        )  # fmt: skip
    ways = sum(each is not None for each in (boat.engine_pump, boat.hand_pump, boat.injector))
    yield line(
        "ways_of_feeding", "Ways of feeding", str(ways), ways, "1",
        f"two that do not depend on each other, one of them without the engine turning ({NO_SOURCE})",
        graded(ways, 2, 3, least=1),
        small="if it fails, nothing feeds the boiler",
        out_of_proportion="nothing feeds the boiler",
    )  # fmt: skip


def _feed_line(key: str, name: str, flow: float, used: float, system: str, more: str, usual: str) -> Line:
    """A source's flow [m³/s] over the steam used [kg/s]."""
    ratio = flow * 1e3 / used
    return line(
        key, name, f"{shown(flow, 'volume_flow', system)}, {ratio:.2f} times the steam used{more}",
        ratio, "1", usual, graded(ratio, 1.25, 6.0, least=1.0),
        small="little in hand to bring a low glass up",
        large="much of it goes back by the bypass",
        out_of_proportion="too small: the water falls at cruising with this alone",
    )  # fmt: skip


def hot_well(case: Case) -> Line:
    """Hot well at cruising against the hottest water the pump can draw."""
    lift, system = case.boat.parameters.feed.pump_suction_lift, case.scenario.units
    hottest = hottest_pumped(lift, case.boat.atmosphere)
    margin = hottest - case.cruise.hotwell_temperature
    return line(
        "hot_well", "Hot well at cruising",
        f"{shown(case.cruise.hotwell_temperature, 'temperature', system)}; the pump loses its water above "
        f"{shown(hottest, 'temperature', system)}",
        margin, "K", "suction of hot water falls off as in the table of engineeringtoolbox.com (ETB)",
        graded(margin, 10.0, float("inf"), least=0.0),
        small="the pump is near to losing its water",
        out_of_proportion="the hot well is too hot for the pump",
    )  # fmt: skip


def condenser(case: Case) -> Iterator[Line]:
    """What the keel condenser can take under way and lying, against the exhaust at cruising."""
    exhaust, system = case.boat.parameters.exhaust, case.scenario.units
    lost = case.cruise.exhaust_lost / max(case.cruise.exhaust, 1e-9)
    if exhaust.keel_conductance_moving <= 0.0:
        yield line(
            "condenser", "Exhaust condensed at cruising", f"{100 * (1 - lost):.0f} %, no keel condenser",
            1.0 - lost, "1",
            "a feed coil alone takes about a seventh (15 to 95 °C is 14.8 % of the latent heat, computed)",
            "in proportion",
        )  # fmt: skip
        return
    fall = BOILING - case.scenario.weather.water_temperature
    for key, name, share in (
        ("condenser", "Keel condenser under way", 1.0),
        ("condenser_lying", "Keel condenser lying still", exhaust.keel_conductance_lying_fraction),
    ):
        keel = exhaust.keel_conductance_moving * share
        duty = fall / (1.0 / keel + 1.0 / exhaust.steam_side_conductance)
        ratio = duty / case.cruise.exhaust_heat
        lying = key == "condenser_lying"
        yield line(
            key, name,
            f"can take {shown(duty, 'power', system)} with steam at 100 °C, {ratio:.2f} times the exhaust's "
            "heat at cruising",
            ratio, "1",
            "lying : under way = 1 : 2.5 (Gerr table 8-1)" if lying else f"1.1-2 times ({NO_SOURCE})",
            graded(ratio, 0.2, 9.0) if lying else graded(ratio, 1.1, 4.0, least=1.0),
            small="soon overwhelmed if much steam is used alongside" if lying else "nothing in hand",
            large="more than is needed",
            out_of_proportion="part of the exhaust is lost: the hot well must be made up with lake water",
        )  # fmt: skip


def endurance(case: Case) -> Line:
    """How far the fuel goes at cruising."""
    aboard, system = case.scenario.aboard, case.scenario.units
    rate, solid = max(case.cruising_fire.fuel, 1e-9), aboard.fuel in FUELS
    carried = aboard.fuel_mass if solid else aboard.tank_fuel * case.boat.parameters.burner.fuel_density
    hours = (carried - aboard.fuel_reserve) / rate / 3600.0
    way = hours * 3600.0 * case.cruise.boat_speed
    legs = sum(step.distance for step in case.scenario.route if isinstance(step, Leg))
    burns = f"{shown(rate, 'mass_flow', system)} of {aboard.fuel} at cruising"
    if case.is_alone:
        what = "full tank" if not solid else "load assumed"
        told = f"{burns}; {hours:.1f} h, {way / 1e3:.0f} km on the {what}"
        return line("endurance", "Fuel", told, hours * 3600.0, "s", "no route is given to compare with",
                    "in proportion")  # fmt: skip
    told = f"{burns}; without the reserve {hours:.1f} h, {way / 1e3:.0f} km"
    return line(
        "endurance", "Fuel", told, hours * 3600.0, "s",
        f"the route's {legs / 1e3:.0f} km with a quarter in hand (judgement); raising steam is extra",
        graded(way / legs if legs else 9.0, 1.25, float("inf"), least=1.0),
        small="little in hand for raising steam, headwind and waiting",
        out_of_proportion="not enough for the route",
    )  # fmt: skip


def solids(case: Case) -> Line:
    """How quickly dissolved solids gather from make-up water, and the blow-down that holds them.

    Notes: B = S Cf/(Cb - Cf), of the feed; with make-up for losses only, Cf is the lake's times their share.
    """
    parts = case.scenario.boat.feed.lake_solids
    water = case.water_between(0.0, case.ordered_height)
    share = min(1.0, (case.cruise.exhaust_lost + case.cruise.gland) / case.cruise.steam)
    steam = case.cruise.steam
    gained = solids_rise_rate(share * steam, parts, water) * 3600.0
    hours = MOST_SOLIDS / gained if gained > 0.0 else math.inf
    blown = blow_down_needed(steam, parts * share, MOST_SOLIDS) / steam
    worst = blow_down_needed(steam, parts, MOST_SOLIDS) / steam
    return line(
        "solids", "Dissolved solids",
        f"lost steam made up from a lake of {parts:.0f} ppm ({100 * share:.0f} % of the feed) adds "
        f"{units.significant(gained, 2)} ppm/h: {_hours(hours)} of steaming to {MOST_SOLIDS:.0f} ppm; "
        f"blow-down {100 * blown:.2f} % of the feed, {100 * worst:.1f} % if all came from the lake",
        gained, "mg/kg h", f"{MOST_SOLIDS:.0f} ppm, B = S Cf/(Cb - Cf) ({NO_SOURCE})",
        graded(hours, 8.0, float("inf")),
        small="blow down every day",
    )  # fmt: skip


def _hours(hours: float) -> str:
    return "more than 1000 h" if hours > 1000.0 else f"{hours:.0f} h"
