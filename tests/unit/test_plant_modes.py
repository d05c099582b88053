"""Compiled and plain Python are one source: ten minutes of the whole plant give the same readings."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]

SEGMENT = """
import json, sys
sys.path[:0] = [sys.argv[1], sys.argv[2]]
from steaming import PSI, cold, sedge
from halfglass.plant import reading, state
from halfglass.plant.compile import is_compiled
from halfglass.plant.steamplant import SteamPlant
from halfglass.scenario.catalogue.fuels import charge
from halfglass.scenario.catalogue.reduce import initial_state, plant_parameters
from dataclasses import replace

scenario = sedge()
start = replace(initial_state(scenario), boiler_temperature=425.0, boiler_air=False)
plant = SteamPlant(plant_parameters(scenario.boat), start)
plant.marcher.arm(reading.BOILER_PRESSURE, 60.0 * PSI, -1)
plant.set(vent=0.0, cylinder_drains=0.0, moored=float(sys.argv[3]))
plant.light(charge("steam coal", 3.0), charge("air-dry wood", 2.0), 1000.0)
script = {
    60.0: dict(throttle=0.4, moored=0.0), 150.0: dict(bypass=0.2), 240.0: dict(injector=1.0),
    300.0: dict(injector=0.0, throttle=1.0),
    360.0: dict(reversing_gear=-1.0), 400.0: dict(throttle=0.0, damper=0.2, first_safety_valve=1.0),
    450.0: dict(first_safety_valve=0.0, hand_pump_lake_rate=0.5, blow_down=0.1), 600.0: {},
}
out = []
for time, changes in script.items():
    while plant.time < time:
        plant.marcher.advance(time)
    plant.set(**changes)
    out.append({name: plant.reading(name) for name in reading.NAMES})
print(json.dumps({
    "compiled": is_compiled(), "rows": out, "state": plant.marcher.state.tolist(), "names": list(state.NAMES),
    "steps": plant.marcher.counters.steps,
}))
"""


def segment(plain: bool, moored: bool) -> dict[str, Any]:
    """The scripted ten minutes in a process of its own."""
    environment = {**os.environ, "HALFGLASS_PLAIN": "1" if plain else ""}
    done = subprocess.run(
        [sys.executable, "-c", SEGMENT, str(ROOT / "sim"), str(ROOT / "tests" / "unit"), str(int(moored))],
        env=environment, capture_output=True, text=True, timeout=600, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    found: dict[str, Any] = json.loads(done.stdout)
    return found


@pytest.mark.parametrize("moored", [True, False], ids=["made fast at first", "adrift from the first moment"])
def test_plain_and_compiled_agree(moored: bool) -> None:
    plain, compiled = segment(plain=True, moored=moored), segment(plain=False, moored=moored)
    assert compiled["compiled"] is True and plain["compiled"] is False
    assert plain["steps"] == compiled["steps"]
    for ours, theirs in zip(plain["rows"], compiled["rows"], strict=True):
        for name, value in ours.items():
            assert theirs[name] == pytest.approx(value, rel=1e-9, abs=1e-9), name
    for name, ours, theirs in zip(plain["names"], plain["state"], compiled["state"], strict=True):
        assert theirs == pytest.approx(ours, rel=1e-9, abs=1e-9), name
    last, first = plain["rows"][-1], plain["rows"][0]
    assert last["distance"] > 100.0 and last["boiler_pressure"] != first["boiler_pressure"]
