"""The sanity table of a boat, alone or in a scenario."""

from __future__ import annotations

from halfglass.result.sanity import AtThrottle, Sanity
from halfglass.scenario.catalogue.fuels import FUELS
from halfglass.scenario.day_models import Scenario
from halfglass.study.boiler_lines import boiler_lines
from halfglass.study.case import CRUISING_SHARE, CRUISING_SPEED, Case, longest_leg, study
from halfglass.study.engine_lines import engine_lines, water_rate
from halfglass.study.steady import UnderWay
from halfglass.study.words import shown


def sanity(scenario: Scenario, is_alone: bool = False) -> Sanity:
    """Look a boat over without running a day.

    Parameters: scenario, checked; is_alone, that its day is made up around a boat file.
    """
    case = study(scenario, is_alone)
    return Sanity(
        boat=scenario.boat.name,
        units=scenario.units,
        assumed=tuple(_assumed(case)),
        speeds=tuple(_at(case, way) for way in case.speeds),
        lines=(*boiler_lines(case), *engine_lines(case)),
    )


def _at(case: Case, way: UnderWay) -> AtThrottle:
    return AtThrottle(
        way.throttle, way.shaft_speed, way.boat_speed, way.steam, way.indicated_power, water_rate(way),
        way.steam / case.evaporation,
    )  # fmt: skip


def _assumed(case: Case) -> list[str]:
    scenario, system = case.scenario, case.scenario.units
    pressure = shown(scenario.firing.working_pressure, "gauge_pressure", system)
    throttle = f"{100 * case.cruise.throttle:.0f} %"
    said = [
        f"Steady in still water at {pressure}, air at "
        f"{shown(scenario.weather.air_temperature, 'temperature', system)}, lake at "
        f"{shown(scenario.weather.water_temperature, 'temperature', system)}."
    ]
    if case.is_alone:
        fuel = scenario.aboard.fuel
        kept = f"a bed of {fuel} {1e3 * scenario.firing.bed_depth:.0f} mm deep"
        speed, steam = f"{100 * CRUISING_SPEED:.0f} %", f"{100 * CRUISING_SHARE:.0f} %"
        said.append(
            "No scenario: working pressure 20 % under the first safety valve, "
            f"{kept if fuel in FUELS else 'a full tank'}, and as cruising a throttle of {throttle}, which "
            f"gives {speed} of the hull speed or takes {steam} of the steam the fire can make, whichever "
            "comes first (judgement)."
        )
    else:
        leg = longest_leg(scenario)
        if leg is not None:
            gear = "" if leg.reversing_gear == 1.0 else f", reversing gear {100 * leg.reversing_gear:.0f} %"
            said.append(f"Cruising is the longest leg, to {leg.to}: throttle {throttle}{gear}.")
        else:
            said.append(f"The route has no leg; cruising is taken as throttle {throttle}.")
    said.append("Bounds that no source beside them gives are judgement.")
    return said
