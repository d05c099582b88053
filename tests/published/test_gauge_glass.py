"""What the gauge glass shows of the boiler's water."""

from __future__ import annotations

from dataclasses import replace

import pytest
from scripted_day import sedge

from halfglass.plant import boiler, steam
from halfglass.plant.compile import to_record


def test_glass_reads_low() -> None:
    # Computed with IAPWS R7-97(2012): 300 mm at 170 degrees C shows 281 mm, glass at 100, C; 0.3 % of 281.
    made = replace(sedge().parameters.boiler, glass_water_cooling_fraction=70.0 / 155.0)
    v_liquid = steam.saturation(steam.saturation_pressure(443.15))[1]
    shown = boiler.glass_level(to_record(made), made.bottom_nut_height + 0.300, 0.0, v_liquid, 443.15, 288.15)
    assert shown * 1000.0 == pytest.approx(281.0, abs=0.9)
