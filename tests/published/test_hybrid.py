"""The march against hybrid systems with known crossing times."""

from __future__ import annotations

import math

import numpy as np
import pytest

from halfglass.plant.compile import is_compiled, kernel
from halfglass.plant.marcher import ChatterError, Marcher, march_for

FINE = {"relative_tolerance": 1e-8, "crossing_width": 1e-9}


@kernel
def falling(t, state, plant, settings, derivative_out, readings_out):
    derivative_out[0] = state[1]
    derivative_out[1] = -9.81
    readings_out[0] = state[0]


@kernel
def draining(t, state, plant, settings, derivative_out, readings_out):
    """A tank of 1 m2 through a hole of 1e-3 m2, Torricelli."""
    derivative_out[0] = -1.0e-3 * math.sqrt(2.0 * 9.81 * max(state[0], 0.0))
    readings_out[0] = state[0]


@kernel
def filling(t, state, plant, settings, derivative_out, readings_out):
    derivative_out[0] = 0.02 * settings[0] - 0.01 * state[0]
    readings_out[0] = state[0]


@kernel
def decaying(t, state, plant, settings, derivative_out, readings_out):
    derivative_out[0] = -state[0] / plant[0]
    readings_out[0] = state[0]


@kernel
def two_state(t, state, plant, settings, derivative_out, readings_out):
    derivative_out[0] = 2.7e6 * (state[1] + settings[0] - state[0])
    derivative_out[1] = 3.5651205 * (settings[1] - state[1])
    readings_out[0] = state[0]


@kernel
def lithium_clusters(t, state, plant, settings, derivative_out, readings_out):
    r, m, f = state[0], state[1], state[2]
    derivative_out[0] = -0.1 * r + m * f
    derivative_out[1] = 0.1 * r - m + 0.1 * f * f - m * f
    derivative_out[2] = 0.1 * r + 2.0 * m - m * f - 0.2 * f * f - 1000.0 * f
    readings_out[0] = f


MARCHES = {
    f.__name__: march_for(f, f.__name__)
    for f in (falling, draining, filling, decaying, two_state, lithium_clusters)
}


def marcher(name: str, state: list[float], tolerance: list[float], **options: object) -> Marcher:
    settings = options.pop("settings", (0.0,))
    plant = options.pop("plant", (0.0,))
    options = {**FINE, **options}
    return Marcher(MARCHES[name], np.array(state), plant, settings, ["level"], np.array(tolerance), **options)


def bounce(ball: Marcher) -> float:
    ball.advance(100.0)
    ball.state[0] = 0.0
    ball.state[1] *= -0.8
    ball.changed()
    return ball.time


def test_bouncing_ball_impacts() -> None:
    # Closed form: 10 m, g 9.81, e 0.8: t1 = sqrt(2h/g), then flights of 2 e^n sqrt(2h/g).
    ball = marcher("falling", [10.0, 0.0], [1e-9, 1e-9])
    ball.arm(0, 0.0, -1)
    times = [bounce(ball) for _ in range(3)]
    assert times == pytest.approx([1.4278431229, 3.7123921196, 5.5400313170], abs=1e-8)


def test_bouncing_ball_at_production_tolerance() -> None:
    # Closed form, as above; crossings wanted to < 0.05 s, found to the bracket's width.
    ball = marcher("falling", [10.0, 0.0], [1e-4, 1e-4], relative_tolerance=1e-5, crossing_width=1e-4)
    ball.arm(0, 0.0, -1)
    times = [bounce(ball) for _ in range(3)]
    assert times == pytest.approx([1.4278431229, 3.7123921196, 5.5400313170], abs=5e-4)


def test_bouncing_ball_accumulates_without_an_endless_loop() -> None:
    # Closed form: the impacts accumulate at 12.8505881063 s. A guard that chatters is an error.
    ball = marcher("falling", [10.0, 0.0], [1e-9, 1e-9])
    ball.arm(0, 0.0, -1)
    with pytest.raises(ChatterError, match="level crossed 0 more than 50 times"):
        for _ in range(1000):
            bounce(ball)
    assert ball.time == pytest.approx(12.8505881063, abs=1e-3)
    assert ball.time <= 12.8505881063 + 1e-6


def test_bouncing_ball_with_a_mode_for_rest() -> None:
    # Closed form: accumulation at 12.8505881063 s; the last flights, below 1 mm/s, in closed form.
    ball = marcher("falling", [10.0, 0.0], [1e-9, 1e-9], crossing_width=1e-12)
    ball.arm(0, 0.0, -1)
    while bounce(ball) < 100.0 and ball.state[1] > 0.05:
        pass
    rest = ball.time + 2.0 * ball.state[1] / 9.81 / (1.0 - 0.8)
    assert rest == pytest.approx(12.8505881063, abs=1e-6)


def test_draining_tank() -> None:
    # Torricelli, closed form: h = (1 - t/T)^2 with T = 451.5236 s.
    tank = marcher("draining", [1.0], [1e-10], step_cap=5.0)
    tank.arm(0, 0.25, -1)
    assert tank.advance(1000.0) == (0,)
    assert tank.time == pytest.approx(225.7618, abs=1e-4)
    tank.arm(0, 1e-9, -1)
    assert tank.advance(1000.0) == (1,)
    # Empty to 1e-9 m comes sqrt(1e-9) = 3.2e-5 of the whole time before empty.
    assert tank.time == pytest.approx(451.5236 * (1.0 - math.sqrt(1e-9)), abs=2e-2)
    assert tank.advance(1000.0) == ()
    assert abs(tank.state[0]) < 1e-6


def test_hysteresis_switches_at_exact_times() -> None:
    # Closed form: dh/dt = 0.02 [on] - 0.01 h, on at 0.5, off at 1.0: 40.54651 s on, 69.31472 s off.
    tank = marcher("filling", [0.5], [1e-9], settings=(1.0,))
    above, _ = tank.arm(0, 1.0, 1)
    below, already = tank.arm(0, 0.5, -1)
    assert not already
    expected, time = 0.0, 0.0
    for cycle in range(20):
        on = cycle % 2 == 0
        expected = 40.54651081 if on else 69.31471806
        assert tank.advance(1e5) == ((above,) if on else (below,))
        assert tank.time - time == pytest.approx(expected, abs=1e-5)
        time = tank.time
        tank.settings = (0.0,) if on else (1.0,)
        assert tank.changed() == ()


def test_impulses_into_a_decay() -> None:
    # Closed form: impulse D every tau ln 2 into a decay of time constant tau: peaks tend to 2 D.
    tau, dose = 30.0, 3.0
    body = marcher("decaying", [0.0], [1e-9], plant=(tau,))
    peak = 0.0
    for k in range(1, 31):
        body.state[0] += dose
        body.changed()
        peak = 0.5 * peak + dose
        assert body.state[0] == pytest.approx(peak, rel=1e-7)
        body.advance(k * tau * math.log(2.0))
        assert body.time == k * tau * math.log(2.0)
    assert peak == pytest.approx(2.0 * dose, rel=1e-8)


EVENTS = [1.108306167771131, 2.129685355154714, 3.054152906995719, 4.075532094379302, 4.999999646220308]


def two_state_events(**options: float) -> tuple[list[float], Marcher]:
    tolerance = [options.pop("absolute", 1e-9)] * 2
    model = marcher("two_state", [4.2, 0.3], tolerance, settings=(0.4, 5.5), smallest_step=1e-13, **options)
    states = {True: ((0.4, 5.5), (5.8, 1)), False: ((-0.3, 2.73), (2.5, -1))}
    first, times = True, []
    guard, _ = model.arm(0, *states[first][1])
    while model.advance(5.0) == (guard,):
        times.append(model.time)
        first = not first
        model.settings = states[first][0]
        model.changed()
        model.disarm(guard)
        guard, already = model.arm(0, *states[first][1])
        assert not already
    return times, model


@pytest.mark.skipif(not is_compiled(), reason="five million steps: too slow in plain Python")
def test_argesim_c5_two_state_model() -> None:
    # ARGESIM comparison C5, two-state model (definition from memory), solved to 40 digits.
    times, model = two_state_events(crossing_width=1e-13, relative_tolerance=1e-12, absolute=1e-12)
    assert times == pytest.approx(EVENTS, abs=2e-10)
    assert model.state[1] == pytest.approx(5.399997, abs=1e-6)
    # y1 is falling by 7e5 per second at the end, just after the last event.
    assert model.state[0] == pytest.approx(5.369312, abs=2e-10 * 7e5)


@pytest.mark.skipif(not is_compiled(), reason="five million steps: too slow in plain Python")
def test_argesim_c5_at_production_tolerance() -> None:
    # ARGESIM comparison C5, as above. Error at this tolerance: 0.3 to 1.3 ms, wanted < 0.05 s.
    times, _ = two_state_events(crossing_width=1e-4, relative_tolerance=1e-5, absolute=1e-5)
    assert times[:4] == pytest.approx(EVENTS[:4], abs=2e-3)


@pytest.mark.parametrize(
    ("relative", "error"), [(1e-8, 1e-6), (1e-5, 5e-5)], ids=["tight tolerance", "production tolerance"]
)
def test_argesim_c1_lithium_cluster_dynamics(relative: float, error: float) -> None:
    # ARGESIM comparison C1, lithium cluster dynamics under electron bombardment.
    tolerance = [relative, relative, 1e-3 * relative]
    model = marcher("lithium_clusters", [84.99, 1.674, 9.975], tolerance, relative_tolerance=relative)
    model.advance(1.0)
    assert model.state == pytest.approx([76.98218, 5.637955, 0.01886460], rel=error)
    model.advance(10.0)
    assert model.state == pytest.approx([31.75561, 3.479671, 0.01010072], rel=error)
