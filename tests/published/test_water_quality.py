"""Dissolved solids: blow-down and how they gather."""

from __future__ import annotations

import numpy as np
import pytest
from scripted_day import sedge

from halfglass.plant import state as y
from halfglass.plant.assembly import rates
from halfglass.plant.reading import NAMES
from halfglass.plant.water_quality import blow_down_needed, solids_rise_rate


@pytest.mark.parametrize(("feed_ppm", "per_cent"), [(100.0, 2.94), (350.0, 11.11)])
def test_blow_down(feed_ppm: float, per_cent: float) -> None:
    # B = S Cf/(Cb - Cf), limit 3500 ppm, S; last printed digit.
    assert 100.0 * blow_down_needed(1.0, feed_ppm, 3500.0) == pytest.approx(per_cent, abs=0.0051)


def test_accumulation_example() -> None:
    # 40 kg/h of feed with 150 ppm into 60 kg of water: +100 ppm/h, C.
    assert solids_rise_rate(40.0 / 3600.0, 150.0, 60.0) * 3600.0 == pytest.approx(100.0, rel=1e-9)


def test_accumulation_in_the_plant() -> None:
    # The same example through Sedge's own balance: the hand pump draws 40 kg/h of lake water with 150 ppm.
    plant = sedge()
    feed = plant.parameters.feed
    stroke = feed.hand_pump_displacement * feed.hand_pump_delivery_fraction * 1000.0
    plant.set(hand_pump_lake_rate=40.0 / 3600.0 / stroke)
    marcher = plant.marcher
    rate, reading = np.zeros(y.COUNT), np.zeros(len(NAMES))
    reading[:] = marcher.readings
    rates(0.0, marcher.state, marcher.plant, marcher.settings, rate, reading)
    assert rate[y.BOILER_SOLIDS] / 60.0 * 1e6 * 3600.0 == pytest.approx(100.0, rel=1e-9)
