"""What must hold of fire and burner at any setting: no flow backward, no burning beyond air, heat down."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from steaming import sedge

from halfglass.plant import fire
from halfglass.plant import state as y
from halfglass.plant.burner import fuel_flow, tank_pressure
from halfglass.plant.compile import to_record
from halfglass.plant.fire_balance import burn
from halfglass.plant.parameters import Burner, PlantParameters
from halfglass.plant.steady_fire import steady_fire
from halfglass.plant.steamplant import records
from halfglass.scenario.catalogue.fuels import FUELS, charge
from halfglass.scenario.catalogue.reduce import plant_parameters

shares = st.floats(0.0, 1.0)
draughts = st.floats(-20.0, 300.0)
depths = st.floats(0.0, 0.4)
furnaces = st.floats(260.0, 2000.0)
plates = st.floats(280.0, 470.0)
flows = st.floats(0.0, 0.2)
heats = st.floats(0.0, 5e5)
fuels = st.sampled_from(sorted(FUELS))


@cache
def boat() -> PlantParameters:
    """Sedge, as the equations read her."""
    return records(plant_parameters(sedge().boat))


@given(st.floats(0.5, 30.0), furnaces, st.floats(250.0, 320.0), st.floats(9e4, 1.06e5))
def test_hotter_gas_draws_inward(height: float, gas: float, air: float, atmosphere: float) -> None:
    draught = fire.stack_draught(height, gas, air, atmosphere)
    assert (draught > 0.0) == (gas > air) or gas == air
    assert abs(draught) < atmosphere


@given(draughts, shares, shares, depths, st.floats(0.0, 0.2), shares)
def test_air_only_comes_in(
    draught: float, damper: float, door: float, bed: float, ash: float, clinker: float
) -> None:
    under, over = fire.air_flows(boat().fire, draught, damper, door, bed, ash, clinker)
    assert under >= 0.0 and over >= 0.0
    if draught <= 0.0:
        assert under == over == 0.0
    flue = boat().fire.flue_conductance
    assert under + over <= flue * math.sqrt(max(0.0, draught)) * (1.0 + 1e-12)


@given(st.floats(0.1, 300.0), shares, shares, shares, depths, st.floats(0.0, 0.2), st.floats(0.0, 0.9))
def test_damper_draught_ash_and_clinker(
    draught: float, low: float, high: float, door: float, bed: float, ash: float, clinker: float
) -> None:
    """More damper never less air through the bed; more ash, more bed, more clinker, more door never more."""
    low, high = sorted((low, high))

    def under(damper: float = low, more: float = 0.0, opened: float = 0.0, deeper: float = 0.0) -> float:
        door_at = min(1.0, door + opened)
        return float(
            fire.air_flows(
                boat().fire, draught, damper, door_at, bed + deeper, ash + more, min(1.0, clinker + more)
            )[0]
        )

    slack = 1.0 + 1e-9
    assert under(damper=high) * slack >= under()
    assert under(more=0.05) <= under() * slack
    assert under(opened=0.5) <= under() * slack
    assert under(deeper=0.05) <= under() * slack
    stronger = fire.air_flows(boat().fire, 2.0 * draught, low, door, bed, ash, clinker)
    weaker = fire.air_flows(boat().fire, draught, low, door, bed, ash, clinker)
    assert sum(stronger) >= sum(weaker)


@given(st.floats(0.0, 20.0), depths, flows, furnaces)
def test_char_burns_within_its_air(mass: float, depth: float, air: float, furnace: float) -> None:
    rate, used, in_bed, later = fire.char_burning(mass, depth, air, furnace)
    assert min(rate, used, in_bed, later) >= 0.0
    assert used <= air
    assert in_bed + later == pytest.approx(rate * fire.CHAR_HEAT, rel=1e-12)
    # oxygen: carbon to dioxide takes AIR_PER_CHAR, to monoxide half of it
    to_monoxide = later / (fire.CHAR_HEAT * fire.CARBON_MONOXIDE_HEAT_SHARE)
    assert used == pytest.approx((rate - 0.5 * to_monoxide) * fire.AIR_PER_CHAR, rel=1e-9)


@given(heats, heats, flows)
def test_gas_burns_within_its_air(volatile: float, monoxide: float, air: float) -> None:
    above = fire.burning_above(volatile, monoxide, air)
    assert 0.0 <= above <= volatile + monoxide
    # monoxide asks the least air for its heat, 0.25 kg/MJ
    least = 0.5 * fire.AIR_PER_CHAR / (fire.CHAR_HEAT * fire.CARBON_MONOXIDE_HEAT_SHARE)
    assert above * min(least, fire.VOLATILE_AIR_PER_JOULE) <= air * (1.0 + 1e-9)
    assert fire.burning_above(volatile, monoxide, 2.0 * air) >= above * (1.0 - 1e-9)


@given(st.floats(0.0, 10.0), st.floats(1.0, 2000.0), furnaces, furnaces, depths, depths)
def test_catching(mass: float, lag: float, cold: float, hot: float, thin: float, thick: float) -> None:
    """Share a second between 0 and 1; hotter and thicker never slower."""
    cold, hot = sorted((cold, hot))
    thin, thick = sorted((thin, thick))
    slow = fire.ignition_rate(mass, mass * lag, cold, thin)
    quick = fire.ignition_rate(mass, mass * lag, hot, thick)
    assert 0.0 <= slow <= quick <= 1.0
    assert 0.0 <= fire.liveliness(cold, 400.0, 900.0) <= fire.liveliness(hot, 400.0, 900.0) <= 1.0


@given(depths, depths)
def test_shares_of_the_bed(thin: float, thick: float) -> None:
    thin, thick = sorted((thin, thick))
    assert 0.0 <= fire.oxygen_used_share(thin) <= fire.oxygen_used_share(thick) < 1.0
    assert 0.0 <= fire.monoxide_share(thin) <= fire.monoxide_share(thick) <= fire.MONOXIDE_HIGHEST


@given(flows, furnaces, plates, shares, shares)
def test_flue_between_plate_and_furnace(
    gas: float, furnace: float, plate: float, covered: float, more: float
) -> None:
    """Heat downhill, whichever is the hotter; more wetted surface never takes less."""
    covered, more = sorted((covered, more))
    out = fire.gas_pass(boat().boiler, gas, furnace, plate, covered)
    assert min(furnace, plate) - 1e-9 <= out <= max(furnace, plate) + 1e-9
    further = fire.gas_pass(boat().boiler, gas, furnace, plate, more)
    assert abs(further - plate) <= abs(out - plate) + 1e-6
    assert (fire.gas_heat(furnace) - fire.gas_heat(out)) * (furnace - plate) >= -1e-6
    assert fire.radiation(1.0, 0.9, furnace, plate) * (furnace - plate) >= 0.0


@given(fuels, st.floats(0.0, 3.0), st.floats(0.0, 15.0), furnaces, depths, flows, flows)
def test_bed_keeps_its_mass(
    fuel: str, thrown: float, glowing: float, furnace: float, depth: float, under: float, over: float
) -> None:
    """What leaves the bed is what goes to gas; nothing comes of nothing; all heat is released or unburnt."""
    state, rate = np.zeros(y.COUNT), np.zeros(y.COUNT)
    made = charge(fuel, thrown + 1e-6)
    state[y.GREEN_MOISTURE], state[y.GREEN_VOLATILE] = made.moisture, made.volatile
    state[y.GREEN_VOLATILE_HEAT], state[y.GREEN_CHAR] = made.volatile_heat, made.char
    state[y.GREEN_LAG_MASS] = (made.moisture + made.volatile + made.char) * made.ignition_lag
    state[y.BURNING_CHAR], state[y.CHAR_VOLUME] = glowing, glowing / 650.0
    gone, released, unburnt, gas, drying = burn(state, boat(), rate, furnace, depth, under, over)
    bed = (y.GREEN_MOISTURE, y.GREEN_VOLATILE, y.GREEN_CHAR, y.BURNING_CHAR)
    assert gone == pytest.approx(-sum(rate[place] for place in bed), rel=1e-9, abs=1e-15)
    assert min(gone, released, unburnt, drying) >= -1e-9
    assert gas == pytest.approx(gone + under + over, rel=1e-12)
    chemical = -rate[y.GREEN_VOLATILE_HEAT] - (rate[y.GREEN_CHAR] + rate[y.BURNING_CHAR]) * fire.CHAR_HEAT
    assert released + unburnt == pytest.approx(chemical, rel=1e-9, abs=1e-6)
    green = (y.GREEN_MOISTURE, y.GREEN_VOLATILE, y.GREEN_CHAR, y.GREEN_VOLUME, y.GREEN_LAG_MASS)
    assert all(rate[place] <= 0.0 for place in green)


@given(fuels, st.floats(2.0, 120.0), st.floats(0.02, 0.3), st.floats(0.05, 1.0), st.floats(300.0, 460.0))
def test_steady_fire_balances(fuel: str, draught: float, bed: float, damper: float, water: float) -> None:
    made = charge(fuel, 1.0)
    found = steady_fire(plant_parameters(sedge().boat), made, draught, water, bed_depth=bed, damper=damper)
    fired = found.fuel_rate / made.mass
    lost = fired * (made.riddled * fire.CHAR_HEAT - made.moisture * fire.MOISTURE_HEAT)
    out = found.heat_to_boiler + found.flue_heat + found.furnace_loss + found.unburnt_heat + lost
    assert found.net_heat_fired == pytest.approx(out, rel=1e-6)
    assert 0.0 < found.efficiency < 1.0
    assert water < found.flue_temperature < found.fire_temperature < 2300.0


@given(fuels, st.floats(0.0, 0.6), st.floats(0.01, 5.0))
def test_charge_keeps_its_mass(fuel: str, moisture: float, mass: float) -> None:
    made = charge(fuel, mass, moisture)
    assert made.mass == pytest.approx(mass)
    assert min(made.moisture, made.volatile, made.volatile_heat, made.char, made.riddled, made.ash) >= 0.0
    assert made.volatile_heat + (made.char + made.riddled) * fire.CHAR_HEAT == pytest.approx(
        (FUELS[fuel].at_moisture(moisture).net_heat + fire.MOISTURE_HEAT * moisture) * mass
    )


burners = st.builds(
    Burner,
    fuel_rate=st.floats(1e-5, 5e-3),
    reference_pressure=st.floats(3e4, 5e5),
    net_heat=st.just(43.8e6),
    air_ratio=st.just(20.0),
    vaporiser_lag=st.just(90.0),
    vaporiser_lowest=st.just(523.0),
    lowest_share=st.floats(0.0, 0.5),
    burnt_fraction=st.just(0.98),
    tank_volume=st.floats(1e-3, 0.1),
    fuel_density=st.just(800.0),
)


@given(burners, shares, shares, st.floats(-1e4, 5e5), st.floats(0.0, 1.0), st.floats(280.0, 900.0))
def test_burner_flow(
    burner: Burner, low: float, high: float, gauge: float, fuel: float, vaporiser: float
) -> None:
    """Never backward; opened further never less; no flow from a cold vaporiser, an empty or a slack tank."""
    low, high = sorted((low, high))
    record = to_record(burner)
    less, more = (fuel_flow(record, rate, gauge, fuel, vaporiser) for rate in (low, high))
    assert 0.0 <= less <= more
    assert fuel_flow(record, high, gauge, fuel, 480.0) == 0.0
    assert fuel_flow(record, high, gauge, 0.0, vaporiser) == 0.0
    assert fuel_flow(record, high, min(gauge, 0.0), fuel, vaporiser) == 0.0


@given(burners, shares, shares, st.floats(1.0, 1e5))
def test_tank_air_expands(burner: Burner, less: float, more: float, air: float) -> None:
    """The fuller the tank the higher its pressure, for the same air."""
    less, more = sorted((less, more))
    full = burner.tank_volume * burner.fuel_density
    record = to_record(burner)
    assert 0.0 < tank_pressure(record, less * full, air) <= tank_pressure(record, more * full, air)
