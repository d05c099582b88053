"""A scripted day on the demo boat Sedge, and a plain scipy integrator that can stand in for the marcher.

The script is invented: every movement at a set time, nobody who decides anything, so that the same day can
be run by any integrator and only the integration differs.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from halfglass.plant import reading as r
from halfglass.plant import state as y
from halfglass.plant.assembly import rates
from halfglass.plant.steamplant import _TOLERANCE, SteamPlant
from halfglass.scenario.catalogue.fuels import charge
from halfglass.scenario.catalogue.reduce import initial_state, plant_parameters
from halfglass.scenario.load import load

SCENARIO = Path(__file__).resolve().parents[2] / "scenarios" / "01-quiet-lake-day.toml"
FUEL = "steam coal"
END = 6300.0
"""s: steam from cold, an hour's steaming, the fire damped down under a closed throttle."""

Action = tuple[float, str, dict[str, float]]
SCRIPT: tuple[Action, ...] = (
    (0.0, "set", {"damper": 0.5, "vent": 1.0}),
    (0.0, "light", {"charge": 2.4, "kindling": 2.0}),
    (420.0, "charge", {"mass": 1.0}),
    (900.0, "charge", {"mass": 1.0}),
    (1200.0, "set", {"damper": 1.0}),
    (1300.0, "set", {"vent": 0.0}),
    (1400.0, "charge", {"mass": 1.0}),
    (1700.0, "charge", {"mass": 1.0}),
    (2000.0, "charge", {"mass": 1.0}),
    (2300.0, "set", {"cylinder_drains": 1.0, "throttle": 0.06}),
    (2500.0, "set", {"cylinder_drains": 0.0, "throttle": 0.0, "moored": 0.0, "headwind": 2.0}),
    (2510.0, "set", {"throttle": 0.26, "damper": 0.5}),
    (2700.0, "charge", {"mass": 1.0}),
    (2900.0, "set", {"bypass": 0.3}),
    (3100.0, "charge", {"mass": 1.0}),
    (3200.0, "set", {"throttle": 0.33, "damper": 0.9, "headwind": 4.0}),
    (3400.0, "charge", {"mass": 1.0}),
    (3500.0, "set", {"bypass": 0.0}),
    (3700.0, "charge", {"mass": 1.0}),
    (3800.0, "set", {"hand_pump_hotwell_rate": 0.6}),
    (3950.0, "set", {"hand_pump_hotwell_rate": 0.0, "bypass": 1.0}),
    (4000.0, "charge", {"mass": 1.0}),
    (4200.0, "charge", {"mass": 1.0}),
    (4300.0, "set", {"throttle": 0.0, "reversing_gear": -1.0}),
    (4306.0, "set", {"throttle": 0.5}),
    (4330.0, "set", {"throttle": 0.0, "reversing_gear": 1.0}),
    (4340.0, "set", {"moored": 1.0, "damper": 1.0}),
    (4900.0, "set", {"injector": 1.0}),
    (5000.0, "bale", {"mass": 6.0}),
    (5050.0, "set", {"injector": 0.0, "damper": 0.3}),
    (5300.0, "set", {"damper": 0.0, "moored": 0.0, "headwind": -1.0, "bypass": 0.5}),
    (5310.0, "set", {"throttle": 0.2}),
    (5900.0, "set", {"throttle": 0.0}),
)

GUARDS: tuple[tuple[int, int, tuple[float, ...]], ...] = (
    (r.BOILER_PRESSURE, +1, (2e4, 5e4, 1e5, 2e5, 3e5, 4e5, 5e5, 5.4e5, 6e5, 6.6e5)),
    (r.BOILER_PRESSURE, -1, (6e5, 5.6e5, 5.2e5, 5e5, 4.6e5, 4e5, 3e5)),
    (r.GLASS_FRACTION, +1, (0.52, 0.55, 0.6, 0.65)),
    (r.GLASS_FRACTION, -1, (0.6, 0.55, 0.5, 0.45, 0.4, 0.35, 0.3, 0.25)),
    (r.DISTANCE, +1, (10.0, 100.0, 500.0, 1000.0, 2000.0, 3000.0, 4000.0)),
    (r.HOTWELL_MASS, -1, (14.0, 12.0, 10.0, 8.0, 6.0)),
    (r.HOTWELL_MASS, +1, (9.0, 12.0, 15.0, 18.0)),
    (r.BOAT_SPEED, +1, (0.5, 1.0, 1.5, 2.0, 2.3, 2.6)),
    (r.BOAT_SPEED, -1, (2.5, 2.0, 1.5, 1.0, 0.5, 0.1)),
)


SAME = 1e-6  # s, between two finds of one crossing


class Crossing(NamedTuple):
    """One guard crossed."""

    reading: str
    threshold: float
    direction: int
    time: float


class ScipyMarcher:
    """Stands where a `Marcher` stands, and integrates with scipy's solve_ivp and its own event search.

    Parameters: marcher, whose present state, plant and settings are taken over; method, relative and
    absolute tolerance and longest step [s] for solve_ivp.
    """

    def __init__(
        self, marcher: Any, method: str, relative: float, absolute: NDArray[np.float64], longest: float
    ) -> None:
        self.state = marcher.state.copy()
        self.readings = np.array(marcher.readings)
        self.plant, self.settings = marcher.plant, marcher.settings
        self.time = marcher.time
        self.calls = 0
        self._options = {"method": method, "rtol": relative, "atol": absolute, "max_step": longest}
        self._guards: list[list[Any]] = []
        self._seen: tuple[float, bytes] | None = None
        self._probe = self.readings.copy()
        self._rate = np.zeros(len(self.state))

    def arm(self, reading: int, threshold: float, direction: int) -> tuple[int, bool]:
        """Watch a reading; says whether it is beyond the threshold already."""
        beyond = direction * (self.readings[reading] - threshold) > 0.0
        self._guards.append([reading, threshold, direction, beyond])
        return len(self._guards) - 1, beyond

    def changed(self) -> tuple[int, ...]:
        """Look anew after a change from outside; returns the guards it took over."""
        self._evaluate(self.time, self.state)
        self.readings[:] = self._probe
        newly = []
        for number, guard in enumerate(self._guards):
            beyond = guard[2] * (self.readings[guard[0]] - guard[1]) > 0.0
            if beyond and not guard[3]:
                newly.append(number)
            guard[3] = beyond
        return tuple(newly)

    def advance(self, until: float) -> tuple[int, ...]:
        """Go on to a time or to the first crossing."""
        from scipy.integrate import solve_ivp

        while self.time < until:
            events = [self._event(number) for number in range(len(self._guards))]
            found = solve_ivp(self._slope, (self.time, until), self.state, events=events, **self._options)
            if found.status < 0:
                raise RuntimeError(found.message)
            self.time = float(found.t[-1])
            self.state[:] = found.y[:, -1]
            self._evaluate(self.time, self.state)
            self.readings[:] = self._probe
            crossed = []
            for number, times in enumerate(found.t_events or ()):
                if len(times):
                    self._guards[number][3] = not self._guards[number][3]
                    if self._guards[number][3]:
                        crossed.append(number)
            if crossed:
                return tuple(crossed)
        return ()

    def _evaluate(self, time: float, state: NDArray[np.float64]) -> None:
        rates(time, state, self.plant, self.settings, self._rate, self._probe)
        self.calls += 1
        self._seen = None

    def _slope(self, time: float, state: NDArray[np.float64]) -> NDArray[np.float64]:
        self._evaluate(time, state)
        return self._rate.copy()

    def _event(self, number: int) -> Callable[..., float]:
        """Terminal event: forward while the guard waits, backward while it is beyond.

        The way back, which nobody is told of, ends a hair behind the threshold: a search that starts
        on the threshold itself would find it again.
        """
        reading, threshold, direction, beyond = self._guards[number]
        hair = 1e-9 * abs(threshold) if beyond else 0.0

        def excess(time: float, state: NDArray[np.float64]) -> float:
            key = (time, state.tobytes())
            if key != self._seen:
                self._evaluate(time, np.ascontiguousarray(state))
                self._seen = key
            return float(direction * (self._probe[reading] - threshold)) + hair

        excess.terminal = True  # type: ignore[attr-defined]
        excess.direction = -1.0 if beyond else 1.0  # type: ignore[attr-defined]
        return excess


def tolerances(share: float) -> NDArray[np.float64]:
    """Absolute tolerances: a share of the production ones; totals, which nothing reads, are left alone."""
    wide = {"distance": 1e-2, "green_volatile_heat": 1e4, "green_volume": 1e-7, "green_char_volume": 1e-7,
            "char_volume": 1e-7}  # fmt: skip
    found = np.full(y.COUNT, 1e-4)
    for place, name in enumerate(y.NAMES):
        found[place] = _TOLERANCE.get(place, wide.get(name, 1e-4))
    found *= share
    found[[name.startswith("total_") for name in y.NAMES]] = 1e6
    return found


def sedge(**options: float) -> SteamPlant:
    """Sedge's plant, cold, as the quiet lake day starts."""
    day = load(SCENARIO).base
    return SteamPlant(plant_parameters(day.boat), initial_state(day), **options)


def with_scipy(plant: SteamPlant, method: str, relative: float, share: float, longest: float) -> SteamPlant:
    """The same plant from its present moment on, moved by solve_ivp."""
    plant.marcher = ScipyMarcher(plant.marcher, method, relative, tolerances(share), longest)  # type: ignore[assignment]
    return plant


def run(plant: SteamPlant, until: float = END, script: Sequence[Action] = SCRIPT) -> list[Crossing]:
    """Do what the script says from the plant's present time on; returns the crossings in order.

    The safety valves are modes: lifted and dropped at their crossings.
    """
    marcher, valves = plant.marcher, plant.parameters.valves
    armed = [(reading, threshold, way) for reading, way, values in GUARDS for threshold in values]
    moves: dict[tuple[int, float, int], dict[str, float]] = {}
    for name, popping, reseating in (
        ("first_safety_valve", valves.first_set_pressure, valves.first_reseat_pressure),
        ("second_safety_valve", valves.second_set_pressure, valves.second_reseat_pressure),
    ):
        for threshold, way, lifted in ((popping, +1, 1.0), (reseating, -1, 0.0)):
            if math.isfinite(threshold):
                moves[(r.BOILER_PRESSURE, threshold, way)] = {name: lifted}
    armed += list(moves)
    number_of = {marcher.arm(*guard)[0]: guard for guard in armed}
    crossings: list[Crossing] = []

    def note(numbers: Sequence[int]) -> None:
        for number in numbers:
            reading, threshold, way = number_of[number]
            crossing = Crossing(r.NAMES[reading], threshold, way, marcher.time)
            # scipy's root may lie a hair on the near side, so that its next stretch finds it once more
            if not any(c[:3] == crossing[:3] and crossing.time - c.time < SAME for c in crossings[-8:]):
                crossings.append(crossing)
        for number in numbers:
            if number_of[number] in moves:
                note(plant.set(**moves[number_of[number]]))

    def go_on(target: float) -> None:
        while marcher.time < target:
            note(marcher.advance(target))

    start = marcher.time
    for time, what, amounts in script:
        if time < start or time >= until:
            continue
        go_on(time)
        note(_do(plant, what, amounts))
    go_on(until)
    return crossings


def _do(plant: SteamPlant, what: str, amounts: dict[str, float]) -> tuple[int, ...]:
    if what == "set":
        return plant.set(**amounts)
    if what == "charge":
        return plant.put_on(charge(FUEL, amounts["mass"]))
    if what == "bale":
        return plant.make_up_hotwell(amounts["mass"])
    return plant.light(charge(FUEL, amounts["charge"]), charge("air-dry wood", amounts["kindling"]), 950.0)
