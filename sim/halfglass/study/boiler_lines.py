"""The sanity table's lines about fire, boiler, glass and safety valves."""

from __future__ import annotations

from collections.abc import Iterator

from halfglass.plant.steam import saturation
from halfglass.result.sanity import Line
from halfglass.study.case import FROM_AND_AT, Case
from halfglass.study.words import NO_SOURCE, graded, line, shown
from halfglass.vocabulary import units

POUND, INCH, PSI, FOOT = 0.45359237, 0.0254, 6894.757293168, 0.3048
ACCUMULATION = 0.06
"""Rise over the set pressure allowed by several US state codes."""


def boiler_lines(case: Case) -> Iterator[Line]:
    """Fire and boiler, in the order of the table."""
    yield evaporation(case)
    yield heating_surface(case)
    if case.scenario.boat.fire is not None:
        yield grate_rate(case)
        yield grate_ratio(case)
    yield safety_valves(case)
    yield from steam_room(case)
    yield from glass(case)


def evaporation(case: Case) -> Line:
    """Steam made at full natural draught against what cruising takes."""
    system, made = case.scenario.units, case.evaporation
    share = case.cruise.steam / made
    source = "burner full on" if case.scenario.boat.fire is None else "damper open, no blower"
    equal = shown(case.full.net_heat / FROM_AND_AT, "mass_flow", system)
    return line(
        "evaporation", f"Steam the fire can make ({source})",
        f"{shown(made, 'mass_flow', system)}, equal to {equal} from and at 100 °C; "
        f"cruising takes {100 * share:.0f} % of it",
        made, "kg/s", "cruising takes a half to nine tenths (judgement)",
        graded(share, 0.35, 0.9, most=1.0),
        small="the boiler is far larger than the engine needs",
        large="little is left for feeding or a headwind",
        out_of_proportion="the fire cannot keep up with the engine: pressure falls",
    )  # fmt: skip


def heating_surface(case: Case) -> Line:
    """Heat through each square metre at full draught."""
    rate = case.full.net_heat / case.heating_surface
    pounds = case.full.net_heat / FROM_AND_AT / case.heating_surface / (POUND / FOOT**2) * 3600.0
    return line(
        "heating_surface_rate", "Heat through the heating surface at full draught",
        f"{rate / 1e3:.1f} kW/m2 over {shown(case.heating_surface, 'area', case.scenario.units)}, "
        f"{pounds:.1f} lb/ft2 h from and at 212 °F",
        rate, "W/m2",
        "9-13 kW/m2, 2.9-4.2 lb/ft2 h in large brick-set boilers (BW table 59); launches up to about twice "
        f"that ({NO_SOURCE})",
        graded(rate, 6e3, 26e3, most=60e3),
        small="much surface for the fire: heavy, but thrifty",
        large="little surface for the fire: hot flue gas, wasteful",
        out_of_proportion="no natural-draught boiler is driven so hard",
    )  # fmt: skip


def grate_rate(case: Case) -> Line:
    """Fuel burnt on each unit of grate at full draught."""
    rate = case.full.fuel / case.boat.parameters.fire.grate_area
    pounds = float(units.convert(rate, "grate_loading", "lb/ft2 h"))
    return line(
        "grate_rate", "Fuel burnt on the grate at full draught",
        f"{rate * 3600:.0f} kg/m2 h, {pounds:.1f} lb/ft2 h", rate, "kg/m2 s",
        "10-12 lb/ft2 h on ordinary natural draught (STE), 15-25 in marine practice (Cyclopedia of "
        "Mechanical Engineering 4)",
        graded(pounds, 8.0, 27.0, least=3.0, most=60.0),
        small="poor draught, or a chimney too short",
        large="more than natural draught usually burns",
        out_of_proportion="no grate works so on natural draught",
    )  # fmt: skip


def grate_ratio(case: Case) -> Line:
    """Heating surface for each unit of grate."""
    ratio = case.heating_surface / case.boat.parameters.fire.grate_area
    return line(
        "surface_over_grate", "Heating surface over grate area", f"{ratio:.0f} to 1", ratio, "1",
        f"15-40 to 1 ({NO_SOURCE})", graded(ratio, 15.0, 40.0, least=5.0, most=120.0),
        small="a large grate for the surface: much heat goes up the chimney",
        large="a small grate for the surface",
        out_of_proportion="grate and boiler do not belong together",
    )  # fmt: skip


def valve_capacity(case: Case) -> tuple[float, float]:
    """What the safety valves pass at the accumulation pressure [kg/s], and that pressure [Pa gauge].

    Notes: Napier's W = p a/70 lb/s, p psia, a in² (Babcock & Wilcox 1919, eq. 49), times the valves'
    coefficient of discharge; 6 % over the first valve's set pressure.
    """
    valves = case.boat.parameters.valves
    gauge = valves.first_set_pressure * (1.0 + ACCUMULATION)
    area = valves.first_area + (valves.second_area if valves.second_set_pressure <= gauge else 0.0)
    pounds = (gauge + case.boat.atmosphere) / PSI * area / INCH**2 / 70.0
    return pounds * POUND * valves.discharge_coefficient, gauge


def safety_valves(case: Case) -> Line:
    """Safety valves against the greatest evaporation."""
    system = case.scenario.units
    capacity, gauge = valve_capacity(case)
    *_, liquid, vapour = saturation(gauge + case.boat.atmosphere)
    greatest = case.hardest.net_heat / (vapour - liquid)
    ratio = capacity / greatest
    hardest = "with the burner full on" if case.scenario.boat.fire is None else "with damper and blower open"
    return line(
        "safety_valve_capacity", "Safety valves",
        f"pass {shown(capacity, 'mass_flow', system)} at {shown(gauge, 'gauge_pressure', system)}; the fire "
        f"can make {shown(greatest, 'mass_flow', system)} {hardest} and no feed: {ratio:.2f} times",
        ratio, "1",
        "more than 1 with pressure 6 % over the set pressure (several US state codes), by Napier's rule "
        "(BW eq. 49)",
        graded(ratio, 1.1, 8.0, least=1.0),
        small="hardly more than the fire can make",
        large="they lose much water each time they lift",
        out_of_proportion="the valves cannot carry off what the fire makes: pressure would go on rising",
    )  # fmt: skip


def steam_room(case: Case) -> Iterator[Line]:
    """Room above the water, as seconds of steam and by Bourne's rule."""
    seconds = case.cruise.steam_room
    yield line(
        "steam_room", "Steam room at cruising", f"{seconds:.0f} s of steam", seconds, "s",
        "20 s suffices, 12 s may carry over (Cyclopedia of Mechanical Engineering 4)",
        graded(seconds, 20.0, 240.0, least=12.0),
        small="water may come over with the steam when the throttle is opened quickly",
        large="more room than is any use",
        out_of_proportion="water will come over with the steam",
    )  # fmt: skip
    boiler = case.boat.parameters.boiler
    full = case.water_between(0.0, case.ordered_height) * case.boat.liquid_volume
    feet = (boiler.volume - full) / (case.cruise.steam * 3600.0 * 1e-3)
    yield line(
        "steam_space_over_water", "Steam space for the water evaporated in an hour",
        f"{feet:.1f} ft3 for each ft3", feet, "1", "1-2 ft3 for each ft3 (BOU Q292)",
        graded(feet, 1.0, 6.0, least=0.3),
        small="less than the old rule asks for",
        large="far more than the old rule asks for",
        out_of_proportion="hardly any steam space",
    )  # fmt: skip


def glass(case: Case) -> Iterator[Line]:
    """The glass against the crown, and how long the water lasts without feed."""
    boiler, system = case.boat.parameters.boiler, case.scenario.units
    cover = boiler.bottom_nut_height - boiler.crown_height
    yield line(
        "glass_over_crown", "Bottom nut above the crown",
        shown(cover, "level", system), cover, "m",
        f"50 mm (2 in) or more ({NO_SOURCE})", graded(cover, 0.05, 0.3, least=0.02),
        small="little water is left over the crown when the glass is empty",
        large="the lower part of the water is never seen",
        out_of_proportion="the crown is all but bare when the glass is empty",
    )  # fmt: skip
    start = case.ordered_height
    nut = case.water_between(boiler.bottom_nut_height, start) / case.cruise.steam
    crown = case.water_between(boiler.crown_height, start) / case.cruise.steam
    looks = nut / case.scenario.crew.look_every
    yield line(
        "water_in_glass", "Steaming at cruising with no feed, from the level held",
        f"{nut / 60:.0f} min to the bottom nut, {crown / 60:.0f} min to the crown (still water)", nut, "s",
        f"time for three looks at the glass, here {looks:.1f} (judgement)",
        graded(looks, 3.0, float("inf"), least=1.0),
        small="the glass can empty within three looks",
        out_of_proportion="the glass can empty between two looks",
    )  # fmt: skip
