"""A slice of the scripted day by other ways, for the benchmark to compare with; run as a program.

    HALFGLASS_PLAIN=1 python baseline.py WAY SLICE

WAY is a name of one of `WAYS`; SLICE a JSON file with `state`, `controls`, `start` and `until` [s]. Prints
one JSON object: seconds, calls of the equations, crossings, and where the slice ended.
"""

from __future__ import annotations

import json
import math
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from cvode import IS_THERE, with_cvode
from scripted_day import SCRIPT, run, sedge, with_scipy

from halfglass.plant import steam
from halfglass.plant.steamplant import SteamPlant

FLUID = "Water"
LOWEST, HIGHEST = 620.0, 2.0e7  # Pa absolute, inside what CoolProp takes


class Way(NamedTuple):
    """A way to integrate: with which properties, compiled or not, how many times faster ours has to be."""

    name: str
    integrator: str
    is_plain: bool
    properties: str = "our splines"
    goal: float | None = None


WAYS = tuple(
    way
    for way in (
        Way("CVODE, compiled equations", "CVODE", False),
        Way("LSODA, compiled equations", "LSODA", False),
        Way("our march, plain Python", "ours", True),
        Way("CVODE, plain Python", "CVODE", True),
        Way("LSODA, our splines", "LSODA", True),
        Way("LSODA, AbstractState", "LSODA", True, "AbstractState", 90.0),
        Way("LSODA, PropsSI", "LSODA", True, "PropsSI", 500.0),
    )
    if way.integrator != "CVODE" or IS_THERE
)
OURS = Way("our march, compiled", "ours", False)


def run_slice(way: Way, stored: dict[str, Any]) -> dict[str, Any]:
    """Run the slice one way, and time it."""
    if way.properties != "our splines":
        _replace_steam(_with_abstract_state() if way.properties == "AbstractState" else _with_props())
    plant = placed(stored)
    if way.integrator == "LSODA":
        with_scipy(plant, "LSODA", relative=1e-5, share=1.0, longest=math.inf)
    elif way.integrator == "CVODE":
        with_cvode(plant, relative=1e-5, share=1.0)
    marcher: Any = plant.marcher
    before = _calls(marcher)
    begun = time.perf_counter()
    crossings = run_on(plant, stored)
    seconds = time.perf_counter() - begun
    return {
        "seconds": seconds, "calls": _calls(marcher) - before, "crossings": crossings,
        "boiler_pressure": plant.reading("boiler_pressure"),
        "glass_fraction": plant.reading("glass_fraction"), "distance": plant.reading("distance"),
    }  # fmt: skip


def _calls(marcher: Any) -> int:
    return int(marcher.calls if hasattr(marcher, "calls") else marcher.counters.rates_calls)


def placed(stored: dict[str, Any]) -> SteamPlant:
    """Sedge as she stood at the start of the slice, at time 0."""
    plant = sedge()
    plant.marcher.state[:] = np.array(stored["state"])
    plant.set(**stored["controls"])
    plant.marcher.changed()
    return plant


def run_on(plant: SteamPlant, stored: dict[str, Any]) -> int:
    """Go through the slice; returns how many crossings it met."""
    start, until = stored["start"], stored["until"]
    script = tuple((at - start, what, amounts) for at, what, amounts in SCRIPT if start <= at < until)
    return len(run(plant, until - start, script))


def _replace_steam(functions: dict[str, Callable[..., Any]]) -> None:
    """Put other property functions in the place of the plant's, wherever they were imported."""
    for name, function in functions.items():
        original = getattr(steam, name)
        for module in [m for n, m in sys.modules.items() if n.startswith("halfglass.plant")]:
            if getattr(module, name, None) is original:
                setattr(module, name, function)


def _within(pressure: float) -> float:
    return min(max(pressure, LOWEST), HIGHEST)


def _with_props() -> dict[str, Callable[..., Any]]:
    """Properties by PropsSI, one call for each."""
    from CoolProp.CoolProp import PropsSI

    def at(what: str, p: float, quality: float) -> float:
        return float(PropsSI(what, "P", _within(p), "Q", quality, FLUID))

    def saturation(p: float) -> tuple[float, ...]:
        v_liquid, v_vapour = 1.0 / at("D", p, 0.0), 1.0 / at("D", p, 1.0)
        h_liquid, h_vapour = at("H", p, 0.0), at("H", p, 1.0)
        return (at("T", p, 0.0), v_liquid, v_vapour, h_liquid - p * v_liquid, h_vapour - p * v_vapour,
                h_liquid, h_vapour)  # fmt: skip

    def saturation_with_slopes(ln_p: float) -> tuple[float, ...]:
        p = math.exp(ln_p)
        liquid, vapour = at("D", p, 0.0), at("D", p, 1.0)
        return (
            at("T", p, 0.0), 1.0 / liquid, 1.0 / vapour, at("U", p, 0.0), at("U", p, 1.0),
            p * at("d(T)/d(P)|sigma", p, 0.0),
            -p * at("d(D)/d(P)|sigma", p, 0.0) / liquid**2,
            -p * at("d(D)/d(P)|sigma", p, 1.0) / vapour**2,
            p * at("d(U)/d(P)|sigma", p, 0.0),
            p * at("d(U)/d(P)|sigma", p, 1.0),
        )  # fmt: skip

    return {
        "saturation": saturation,
        "saturation_with_slopes": saturation_with_slopes,
        "saturation_temperature": lambda p: at("T", p, 0.0),
        "saturation_pressure": lambda t: float(PropsSI("P", "T", t, "Q", 0.0, FLUID)),
        "latent_heat": lambda p: at("H", p, 1.0) - at("H", p, 0.0),
    }


def _with_abstract_state() -> dict[str, Callable[..., Any]]:
    """Properties by two AbstractState objects that are kept, one for water and one for steam."""
    from CoolProp.CoolProp import PQ_INPUTS, QT_INPUTS, AbstractState, iDmass, iP, iT, iUmass

    liquid, vapour = AbstractState("HEOS", FLUID), AbstractState("HEOS", FLUID)

    def update(p: float) -> None:
        liquid.update(PQ_INPUTS, _within(p), 0.0)
        vapour.update(PQ_INPUTS, _within(p), 1.0)

    def saturation(p: float) -> tuple[float, ...]:
        update(p)
        return (liquid.T(), 1.0 / liquid.rhomass(), 1.0 / vapour.rhomass(), liquid.umass(), vapour.umass(),
                liquid.hmass(), vapour.hmass())  # fmt: skip

    def saturation_with_slopes(ln_p: float) -> tuple[float, ...]:
        p = math.exp(ln_p)
        update(p)
        return (
            liquid.T(), 1.0 / liquid.rhomass(), 1.0 / vapour.rhomass(), liquid.umass(), vapour.umass(),
            p * liquid.first_saturation_deriv(iT, iP),
            -p * liquid.first_saturation_deriv(iDmass, iP) / liquid.rhomass() ** 2,
            -p * vapour.first_saturation_deriv(iDmass, iP) / vapour.rhomass() ** 2,
            p * liquid.first_saturation_deriv(iUmass, iP),
            p * vapour.first_saturation_deriv(iUmass, iP),
        )  # fmt: skip

    def saturation_temperature(p: float) -> float:
        liquid.update(PQ_INPUTS, _within(p), 0.0)
        return float(liquid.T())

    def saturation_pressure(temperature: float) -> float:
        liquid.update(QT_INPUTS, 0.0, temperature)
        return float(liquid.p())

    def latent_heat(p: float) -> float:
        update(p)
        return float(vapour.hmass() - liquid.hmass())

    return {
        "saturation": saturation,
        "saturation_with_slopes": saturation_with_slopes,
        "saturation_temperature": saturation_temperature,
        "saturation_pressure": saturation_pressure,
        "latent_heat": latent_heat,
    }


if __name__ == "__main__":
    wanted = next(way for way in WAYS if way.name == sys.argv[1])
    slice_of_day = json.loads(Path(sys.argv[2]).read_text(encoding="utf-8"))
    if not wanted.is_plain:
        run_slice(wanted, slice_of_day)  # compiled for the arrays this integrator hands over
    print(json.dumps(run_slice(wanted, slice_of_day)))
