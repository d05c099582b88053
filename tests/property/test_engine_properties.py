"""Engine and shaft: pressures in order, steam one way, torques that balance, no more work than Rankine's."""

from __future__ import annotations

import math
from functools import cache
from typing import Any

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from strategies import boats, share

from halfglass.plant import drive
from halfglass.plant import engine as works
from halfglass.plant.compile import to_record
from halfglass.plant.parameters import Engine, Settings
from halfglass.plant.steam import latent_heat, saturation
from halfglass.scenario.boat import Boat
from halfglass.scenario.catalogue.reduce import _engine, plant_parameters

ATMOSPHERE = 101325.0
absolute = st.floats(1.2e5, 1.6e6)
back = st.floats(8e3, 2.5e5)
gear = st.floats(-1.0, 1.0)
deficit = st.floats(-50.0, 200.0)
speed = st.floats(-8.0, 8.0)
more = st.floats(1.0, 2.5)


def engine_of(boat: Boat) -> Engine:
    return _engine(boat.engine, boat.lubricator)


def at_speed(
    engine: Engine, pressure: float, back: float, throttle: float, gear: float, drains: float,
    deficit: float, speed: float,
) -> tuple[float, float, float, float]:  # fmt: skip
    """Torque [N·m], chest [Pa absolute], steam [kg/s] and idle share with saturated steam."""
    found: tuple[float, float, float, float] = works.engine_at_speed(
        to_record(engine), pressure, saturation(pressure)[2], latent_heat(pressure), back, throttle, gear,
        drains, deficit, speed,
    )  # fmt: skip
    return found


@given(boats(), absolute, back, share, gear, share, deficit, speed)
def test_pressures_stand_in_order(
    boat: Boat, pressure: float, back: float, throttle: float, gear: float, drains: float, deficit: float,
    speed: float,
) -> None:  # fmt: skip
    """Chest never above the boiler; above the exhaust whenever the engine drives; steam goes in only."""
    torque, chest, flow, idle = at_speed(
        engine_of(boat), pressure, back, throttle, gear, drains, deficit, speed
    )
    assert 0.0 <= chest <= pressure * (1.0 + 1e-12)
    assert flow >= 0.0
    assert 0.0 <= idle <= 1.0 + 1e-12
    ahead = 1.0 if gear >= 0.0 else -1.0
    if torque * ahead > 1e-9:
        assert chest > back
    if throttle == 0.0:
        assert flow == 0.0


@given(boats(), absolute, back, share, gear, share, deficit, st.floats(0.0, 8.0), more)
def test_more_boiler_pressure_never_less_torque_or_steam(
    boat: Boat, pressure: float, back: float, throttle: float, gear: float, drains: float, deficit: float,
    speed: float, factor: float,
) -> None:  # fmt: skip
    side = 1.0 if gear >= 0.0 else -1.0
    rest = (back, throttle, gear, drains, deficit, speed * side)
    engine = engine_of(boat)
    low, high = at_speed(engine, pressure, *rest), at_speed(engine, pressure * factor, *rest)
    if low[0] * side > 0.0:  # driven with its throttle all but shut it pumps: another matter
        assert high[0] * side >= low[0] * side - 1e-6 * (1.0 + abs(low[0]))
    assert high[2] >= low[2] * (1.0 - 1e-9)
    if low[1] > back:
        assert high[1] >= low[1] * (1.0 - 1e-9)


@given(boats(), absolute, back, share, gear, share, deficit, st.floats(0.0, 8.0), more)
def test_a_wider_throttle_never_gives_less(
    boat: Boat, pressure: float, back: float, throttle: float, gear: float, drains: float, deficit: float,
    speed: float, factor: float,
) -> None:  # fmt: skip
    side = 1.0 if gear >= 0.0 else -1.0
    engine = engine_of(boat)
    narrow, wide = (
        at_speed(engine, pressure, back, opening, gear, drains, deficit, speed * side)
        for opening in (throttle, min(1.0, throttle * factor))
    )
    assert wide[0] * side >= narrow[0] * side - 1e-9 * (1.0 + abs(narrow[0]))
    assert wide[1] >= narrow[1] * (1.0 - 1e-9)
    assert wide[2] >= narrow[2] * (1.0 - 1e-9)


@cache
def liquid_entropies() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """ln p and entropy of boiling water above the first, from T ds = dh - v dp along the boiling line."""
    logs = np.linspace(math.log(5e3), math.log(2.4e6), 4001)
    rows = np.array([saturation(math.exp(x)) for x in logs])
    temperature, volume, enthalpy, pressure = rows[:, 0], rows[:, 1], rows[:, 5], np.exp(logs)
    mean = 0.5 * (temperature[1:] + temperature[:-1])
    steps = (np.diff(enthalpy) - 0.5 * (volume[1:] + volume[:-1]) * np.diff(pressure)) / mean
    return logs, np.concatenate(([0.0], np.cumsum(steps)))


def rankine_work(pressure: float, back: float) -> float:
    """Work of a kilogram of dry steam expanded without loss from one pressure to another [J/kg]."""
    logs, entropies = liquid_entropies()
    hot, cold = saturation(pressure), saturation(back)
    start = float(np.interp(math.log(pressure), logs, entropies)) + (hot[6] - hot[5]) / hot[0]
    dryness = (start - float(np.interp(math.log(back), logs, entropies))) / ((cold[6] - cold[5]) / cold[0])
    return float(hot[6] - (cold[5] + dryness * (cold[6] - cold[5])))


def test_rankine_work_against_steam_tables() -> None:
    """1.0 MPa dry to 0.1 MPa: s 6.585 kJ/kg K, h 2777.1; 6.585 = 1.3028 + x 6.0561, h2 = 417.5 + x 2257.4.

    Figures of IAPWS R7-97, from memory.
    """
    assert abs(rankine_work(1e6, 1e5) - (2777.1 - 417.5 - 5.282 / 6.0561 * 2257.4) * 1e3) < 1500.0


@given(boats(), absolute, back, share, gear, share, deficit, st.floats(0.0, 15.0))
def test_never_more_work_than_rankines(
    boat: Boat, pressure: float, back: float, throttle: float, gear: float, drains: float, deficit: float,
    speed: float,
) -> None:  # fmt: skip
    side = 1.0 if gear >= 0.0 else -1.0
    torque, _, flow, _ = at_speed(
        engine_of(boat), pressure, back, throttle, gear, drains, deficit, speed * side
    )
    power = torque * 2.0 * math.pi * speed * side
    if power > 0.0 and pressure > back:
        assert power <= flow * rankine_work(pressure, back) * (1.0 + 1e-6)


def running(boat: Boat, pressure: float, back: float, deficit: float, way: float, dry: float) -> Any:
    volume, latent = saturation(pressure)[2], latent_heat(pressure)
    return drive.Running(pressure, volume, latent, back, deficit, way, dry, 0.6)


@given(boats(), absolute, back, share, gear, share, deficit, st.floats(-4.0, 4.0), share, speed, share)
def test_the_shaft_balances(
    boat: Boat, pressure: float, back: float, throttle: float, gear: float, drains: float, deficit: float,
    way: float, dry: float, guess: float, bypass: float,
) -> None:  # fmt: skip
    """At the speed found the torques cancel: a hair slower leaves some over, a hair faster too little."""
    made = plant_parameters(boat)
    settings = to_record(
        Settings(throttle=throttle, reversing_gear=gear, cylinder_drains=drains, bypass=bypass)
    )
    engine, propeller, feed = (to_record(part) for part in (made.engine, made.propeller, made.feed))
    now = running(boat, pressure, back, deficit, way, dry)
    found = drive.shaft_balance(engine, propeller, feed, settings, now, guess)
    top = made.engine.highest_speed
    assert -top <= found <= top
    if throttle == 0.0 and abs(way) < 1e-9:
        assert found == 0.0
        return
    hair = 2.0 * drive.SPEED_TOLERANCE

    def surplus(shaft: float) -> float:
        return float(drive.shaft_torque_surplus(engine, propeller, feed, settings, now, shaft))

    assert found <= -top or surplus(found - hair) >= 0.0
    assert found >= top or surplus(found + hair) <= 0.0


@given(boats(), speed, share)
def test_friction_is_against_the_motion(boat: Boat, shaft: float, dry: float) -> None:
    engine = to_record(engine_of(boat))
    torque = works.friction_torque(engine, shaft, dry)
    assert torque * shaft >= 0.0
    assert abs(works.friction_torque(engine, shaft, 1.0)) >= abs(torque)


@given(boats(), speed, st.floats(-1e5, 1e6), st.floats(0.0, 1.0), more)
def test_oil_is_used_while_there_is_any(
    boat: Boat, shaft: float, chest: float, oil: float, factor: float
) -> None:
    engine = to_record(engine_of(boat))
    used = works.oil_use(engine, shaft, chest, oil)
    assert used >= 0.0
    assert works.oil_use(engine, shaft, chest, 0.0) == 0.0
    assert works.oil_use(engine, shaft * factor, chest, oil) >= used


@given(boats(), share, share)
def test_gear_further_over_cuts_off_later(boat: Boat, one: float, other: float) -> None:
    engine = engine_of(boat)
    near, far = sorted((one, other))
    record = to_record(engine)
    first, last = works.cut_off(record, near), works.cut_off(record, far)
    assert 0.0 < first <= last < 1.0
    assert works.cut_off(record, -far) == last
    early, late = (works.forward_pressure_ratio(cut, engine.clearance_fraction) for cut in (first, last))
    assert 0.0 < early <= late <= 1.0 + 1e-12
    assert works.missing_quantity_ratio(record, first, 3.0) >= works.missing_quantity_ratio(record, last, 3.0)


@given(boats(), st.floats(0.0, 100.0), st.integers(-50, 50))
def test_dead_centres_come_twice_a_turn(boat: Boat, turns: float, halves: int) -> None:
    angle = engine_of(boat).dead_angle
    near = min(turns % 0.5, 0.5 - turns % 0.5) * 2.0 * math.pi
    if abs(near - angle) > 1e-6:
        assert works.is_dead_centre(angle, turns) == (near < angle)
        assert works.is_dead_centre(angle, turns + halves * 0.5) == (near < angle)
