"""Steam room and feed pumps against Bourne, A Catechism of the Steam Engine."""

from __future__ import annotations

import pytest
from steaming import steady

from halfglass.plant import boiler, steam

PSI = 6894.757293168


@pytest.mark.parametrize("psig", [50.0, 75.0, 100.0])
def test_bournes_steam_room_in_seconds(psig: float) -> None:
    # Bourne question 292: 1-2 ft3 of steam room for each ft3 of water evaporated per hour, S. In seconds of
    # steam that must span the 12 s that may carry over (Cyclopedia of Mechanical Engineering 4, S).
    volume = steam.saturation((psig + 14.7) * PSI)[2]
    flow = 999.0 / 3600.0
    least, ample = (boiler.steam_room_seconds(room, flow, volume) for room in (1.0, 2.0))
    assert least < 12.0 * 1.4
    assert ample > 12.0


def test_steam_room_of_sedge() -> None:
    # Bourne question 292, as above: Sedge at 75 psi, throttle 0.35, glass at half.
    plant = steady()
    an_hour = plant.reading("steam_flow_boiler_engine") * 3600.0 / 999.0
    assert 1.0 <= plant.reading("steam_space") / an_hour <= 2.0
