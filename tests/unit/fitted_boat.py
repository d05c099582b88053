"""A fit that never happened, for its page and words: two numbers, one told, and three quantities."""

from __future__ import annotations

from datetime import datetime

import numpy as np

from halfglass.result.fitted import FitResult, FittedNumber, Series

TIME = np.arange(0.0, 6000.0, 300.0)
HELD_FROM = 4200.0


def _number(key: str, is_told: bool, about: str = "slip and all") -> FittedNumber:
    values = {
        "written": 0.8,
        "value": 0.74 if is_told else 0.8,
        "low": 0.71,
        "high": 0.78,
        "least": 0.65,
        "most": 0.9,
    }
    texts = {name: f"{100 * value:.1f} %" for name, value in values.items()}
    why = "" if is_told else "nothing in this log depends on it"
    return FittedNumber(key, about, "%", *values.values(), is_told, why, texts)


def _series(quantity: str, level: float, rise: float) -> Series:
    read = level + rise * np.sin(TIME / 900.0)
    is_good = TIME > 600.0
    is_fitted, is_held = is_good & (TIME < HELD_FROM), is_good & (TIME >= HELD_FROM)
    return Series(quantity, TIME, read, read + rise, read + 0.2 * rise, is_fitted, is_held, 0.1 * rise, 1.3)


def fitted_boat(about: str = "slip and all") -> FitResult:
    """The answer; `about` is said of a number, and may be anything."""
    return FitResult(
        title="A made-up outing",
        log_name="log.csv",
        started=datetime(2030, 6, 15, 8, 15),
        units="metric",
        numbers=(
            _number("boat.feed.engine_pump.delivery", True, about),
            _number("boat.feed.hand_pump.delivery", False),
        ),
        series=(
            _series("boiler_pressure", 5e5, 5e4), _series("glass_fraction", 0.5, 0.1),
            _series("shaft_speed", 5.0, 0.3), _series("boat_speed", 2.5, 0.2),
        ),
        correlation=np.array([[1.0, -0.9], [-0.9, 1.0]]),
        strength=np.array([12.0, 0.2]),
        directions=np.eye(2),
        held_from=HELD_FROM,
        ends=float(TIME[-1]),
        boat_name="boat-fitted.toml",
        boat="name = 'made up'\n",
        runs=100,
        notes=("A note.",),
        provenance={"seed": 0},
    )  # fmt: skip
