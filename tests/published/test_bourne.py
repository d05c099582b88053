"""Steam room and feed pumps against Bourne, A Catechism of the Steam Engine."""

from __future__ import annotations

from steaming import steady

from halfglass.plant import boiler, steam

PSI = 6894.757293168


def test_bournes_steam_room_in_seconds() -> None:
    # Bourne question 292: 1-2 ft3 of steam room for each ft3 of water evaporated per hour, S. At 75 psi it
    # spans what the Cyclopedia of Mechanical Engineering 4 says in seconds: 12 may carry over, 20 suffice, S.
    volume = steam.saturation(89.7 * PSI)[2]
    flow = 999.0 / 3600.0
    least, ample = (boiler.steam_room_seconds(room, flow, volume) for room in (1.0, 2.0))
    assert least <= 12.0 < 20.0 <= ample


def test_steam_room_of_sedge() -> None:
    # Bourne question 292, as above: Sedge at 75 psi, throttle 0.35, glass at half.
    plant = steady()
    an_hour = plant.reading("steam_flow_boiler_engine") * 3600.0 / 999.0
    assert 1.0 <= plant.reading("steam_space") / an_hour <= 2.0
