"""The whole plant's right-hand side: every flow worked out once, then added up vessel by vessel.

Each step below reads the state and the readings written before it, writes its own readings and the rates of
its own states. The order is chosen so that nothing is needed before it is known: boiler, engine and screw,
feed, exhaust and hot well, fire, and last the boiler's balance, to which all of them have contributed.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from halfglass.plant import reading as r
from halfglass.plant.boiler_balance import boiler_balance, boiler_now, openings_now, services_now
from halfglass.plant.compile import kernel
from halfglass.plant.engine_balance import drive_now
from halfglass.plant.fire_balance import fire_now
from halfglass.plant.parameters import PlantParameters, Settings
from halfglass.plant.water_balance import exhaust_now, feed_now

Vector = NDArray[np.float64]


@kernel
def rates_of(
    state: Vector, plant: PlantParameters, settings: Settings, rate: Vector, reading: Vector
) -> None:
    """Rates of change and readings [SI], with plant and settings as records.

    Parameters: as for `rates`, which opens the boxes.
    """
    for place in range(len(rate)):
        rate[place] = 0.0
    boiler_now(state, plant, settings, reading)
    openings_now(state, plant, settings, reading)
    drive_now(state, plant, settings, rate, reading)
    services_now(state, plant, settings, rate, reading)
    feed_now(state, plant, settings, rate, reading)
    exhaust_now(state, plant, settings, rate, reading)
    fire_now(state, plant, settings, rate, reading)
    boiler_balance(state, plant, settings, rate, reading)
    reading[r.THROTTLE] = settings.throttle
    reading[r.REVERSING_GEAR] = settings.reversing_gear
    reading[r.DAMPER] = settings.damper
    reading[r.BYPASS] = settings.bypass
    reading[r.BURNER_RATE] = settings.burner_rate


@kernel
def rates(time: float, state: Vector, plant: Any, settings: Any, rate: Vector, reading: Vector) -> None:
    """Rates of change of the whole plant and its readings at one moment.

    Parameters: time [s]; state [see state.py]; plant, settings [see parameters.py], each component in a box
    of one (`compile.to_box`); rate and reading are filled in. Everything in SI.
    """
    opened = PlantParameters(
        plant.boiler[0], plant.valves[0], plant.fire[0], plant.burner[0], plant.engine[0], plant.propeller[0],
        plant.hull[0], plant.exhaust[0], plant.feed[0],
    )  # fmt: skip
    rates_of(state, opened, settings[0], rate, reading)
