"""How far a ram pump lifts hot water, against engineeringtoolbox.com."""

from __future__ import annotations

import pytest

from halfglass.plant import feed


@pytest.mark.parametrize(("celsius", "lift"), [(55.0, 3.0), (77.0, 0.6), (87.0, -1.5), (99.0, -4.5)])
def test_highest_lift(celsius: float, lift: float) -> None:
    # engineeringtoolbox.com, hot-water suction table, S; 0.6 m.
    assert feed.suction_margin(celsius + 273.15, 0.0, 101325.0) == pytest.approx(lift, abs=0.6)
