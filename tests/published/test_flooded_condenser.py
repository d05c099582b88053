"""A condenser half under its own condensate. Row computed outside the project from IAPWS R7-97 (C)."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from halfglass.plant.compile import to_record
from halfglass.plant.exhaust import settled_back_pressure
from halfglass.plant.steam import latent_heat, saturation_pressure
from halfglass.scenario.catalogue.reduce import plant_parameters
from halfglass.scenario.load import load

SCENARIO = Path(__file__).parents[2] / "scenarios" / "01-quiet-lake-day.toml"
LAKE = 288.15
DUTY = 30e3


def test_half_the_area_at_one_duty_60_becomes_105_degrees() -> None:
    """Lake 15 °C, condensing 60 °C; half flooded: 105 °C, 1.21 bar absolute (to the digits printed)."""
    keel, steam_side = 900.0, 3000.0
    # one conductance lake to steam of DUTY/45 K, split between the two sides as on the boat
    scale = DUTY / 45.0 / (1.0 / (1.0 / keel + 1.0 / steam_side))
    boat = load(SCENARIO).for_plan("as written").boat
    written = replace(
        plant_parameters(boat).exhaust, keel_conductance_moving=keel * scale,
        steam_side_conductance=steam_side * scale, pipe_resistance=0.0, vacuum=0.0,
    )  # fmt: skip
    exhaust = to_record(written)
    for clear, celsius in ((1.0, 60.0), (0.5, 105.0)):
        metal = LAKE + DUTY / (keel * scale * clear)
        heat = latent_heat(1.2e5)
        atmosphere = 1.0e4  # so that the condenser's own pressure shows
        found = settled_back_pressure(
            exhaust, DUTY / heat, DUTY / heat, metal, heat, 0.0, atmosphere, clear, 0.0
        )
        assert found == pytest.approx(saturation_pressure(celsius + 273.15), rel=2e-4)
    assert found / 1e5 == pytest.approx(1.21, abs=0.005)
