"""Condenser, coil and separator: heat runs downhill, entropy never falls, water only condenses."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import boats, share

from halfglass.plant import exhaust as side
from halfglass.plant.compile import to_record
from halfglass.plant.feed import WATER_HEAT, coil_heat
from halfglass.plant.steam import FREEZING, saturation
from halfglass.scenario.boat import Boat
from halfglass.scenario.catalogue.reduce import _exhaust

ATMOSPHERE = 101325.0
STEAM_HEAT = 2000.0
"""J/(kg K) of superheated steam near atmospheric pressure (value from memory); it enters the entropy only."""
flow = st.floats(1e-5, 0.1)
back = st.floats(8e3, 3e5)
more = st.floats(1.0, 3.0)


@given(boats(), st.floats(-5.0, 5.0), share, more)
def test_keel_condenser_gains_by_way_on(boat: Boat, speed: float, health: float, factor: float) -> None:
    made = _exhaust(boat.exhaust)
    record = to_record(made)
    duty = side.keel_conductance(record, speed, health)
    assert 0.0 <= duty <= made.keel_conductance_moving * (1.0 + 1e-12)
    assert side.keel_conductance(record, speed * factor, health) >= duty * (1.0 - 1e-12)
    assert side.keel_conductance(record, -speed, health) == duty
    assert side.keel_conductance(record, speed, 0.0) == 0.0


def entropy(enthalpy: float, pressure: float) -> float:
    """Specific entropy of exhaust, counted from water at 0 °C [J/(kg K)]: wet, dry or superheated."""
    boiling, _, _, _, _, liquid, vapour = saturation(pressure)
    if enthalpy < liquid:
        return water_entropy(FREEZING + enthalpy / WATER_HEAT)
    found = water_entropy(FREEZING + liquid / WATER_HEAT) + (min(enthalpy, vapour) - liquid) / boiling
    if enthalpy > vapour:
        found += STEAM_HEAT * math.log(1.0 + (enthalpy - vapour) / STEAM_HEAT / boiling)
    return found


def water_entropy(temperature: float) -> float:
    return WATER_HEAT * math.log(temperature / FREEZING)


@given(flow, back, share, share, st.floats(0.0, 0.1), share, st.floats(0.0, 2e3), st.floats(0.0, 5e3))
def test_second_law_in_coil_and_condenser(
    steam: float, pressure: float, wetness: float, metal_share: float, feed: float, feed_share: float,
    coil: float, surface: float,
) -> None:  # fmt: skip
    """Energy is kept, no condensate is colder than the metal, and entropy of all together never falls."""
    boiling, _, _, _, _, liquid, vapour = saturation(pressure)
    enthalpy = liquid + (vapour - liquid) * (0.5 + 0.6 * wetness)
    metal = 275.0 + metal_share * (boiling - 275.0)
    entering = 275.0 + feed_share * (boiling - 275.0)
    offered = coil_heat(coil, boiling, feed, entering)
    keel = surface * max(0.0, boiling - metal)
    coldest = WATER_HEAT * (min(metal, entering, boiling) - FREEZING)
    condensed, heat, to_feed, to_metal = side.condense(
        steam, enthalpy, liquid, WATER_HEAT * (entering - FREEZING), WATER_HEAT * (metal - FREEZING),
        offered, keel,
    )  # fmt: skip
    assert 0.0 <= condensed <= steam
    assert 0.0 <= to_feed <= offered
    assert 0.0 <= to_metal <= keel
    lost = steam - condensed
    left = steam * enthalpy - heat - to_feed - to_metal
    if lost > 1e-9 * steam:
        assert left / lost >= liquid * (1.0 - 1e-9)
    else:
        assert left == pytest.approx(0.0, abs=1e-9 * steam * enthalpy)
    if condensed > 0.0:
        assert heat / condensed >= min(coldest, liquid) - 1e-6 * liquid
    before = steam * entropy(enthalpy, pressure)
    after = to_metal / metal
    if condensed > 0.0:
        after += condensed * entropy(heat / condensed, pressure)
    if lost > 1e-9 * steam:
        after += lost * entropy(left / lost, pressure)
    if to_feed > 0.0:
        leaving = entering + to_feed / feed / WATER_HEAT
        assert leaving <= boiling * (1.0 + 1e-12)
        after += feed * (water_entropy(leaving) - water_entropy(entering))
    assert after >= before * (1.0 - 1e-6)


@given(boats(), st.floats(0.0, 5.0), share, st.floats(-9e4, 2e5), more, st.floats(0.0, 1e5))
def test_flooding_and_its_drain(
    boat: Boat, held: float, opening: float, gauge: float, factor: float, extra: float
) -> None:
    """More behind the valve covers more; more back pressure, a wider valve or more water drains more."""
    record = to_record(_exhaust(boat.exhaust))
    flooded = side.flooded_fraction(record, held)
    assert 0.0 <= flooded <= side.flooded_fraction(record, held * factor) <= 1.0
    drained = side.condensate_drain_flow(record, opening, held, gauge)
    assert drained >= 0.0
    assert side.condensate_drain_flow(record, opening, held, gauge + extra) >= drained
    assert side.condensate_drain_flow(record, opening, held * factor, gauge) >= drained
    assert side.condensate_drain_flow(record, min(1.0, opening * factor), held, gauge) >= drained
    assert side.condensate_drain_flow(record, opening, 0.0, gauge) == 0.0


@given(boats(), flow, share, st.floats(276.0, 370.0), share, share, st.floats(0.0, 10.0), more)
def test_back_pressure_rises_with_what_stands_in_the_way(
    boat: Boat, steam: float, condensing: float, metal: float, clear: float, drain: float, speed: float,
    factor: float,
) -> None:  # fmt: skip
    """More steam, a warmer condenser, less surface, a valve further shut: none lowers the back pressure."""
    record = to_record(_exhaust(boat.exhaust))
    latent = 2.25e6

    def settled(flow: float, metal: float, clear: float, drain: float) -> float:
        return float(
            side.settled_back_pressure(
                record, flow, condensing * flow, metal, latent, speed, ATMOSPHERE, clear, drain
            )
        )

    found = settled(steam, metal, clear, drain)
    assert 0.0 < found <= 1.0e6 + 2.0 * record.pipe_resistance * steam * steam + ATMOSPHERE
    grip = 1.0
    assert settled(steam * factor, metal, clear, drain) >= found - grip
    assert settled(steam, min(372.0, metal * factor), clear, drain) >= found - grip
    assert settled(steam, metal, clear / factor, drain) >= found - grip
    assert settled(steam, metal, clear, drain / factor) >= found - grip


@given(share, st.floats(0.0, 2.0), st.floats(0.01, 2.0), more)
def test_cloth_catches_ever_less(clean: float, caught: float, capacity: float, factor: float) -> None:
    catch = side.separator_catch(clean, caught, capacity)
    assert 0.0 <= catch <= clean
    assert side.separator_catch(clean, caught * factor, capacity) <= catch
    assert side.separator_catch(clean, caught, capacity * factor) >= catch
    assert caught < capacity or catch == 0.0
