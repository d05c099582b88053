"""The burner: heads, turning down, going out, and the tank's air. Ranges are the model's own unless said."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from moments import moment

from halfglass.plant import state as y
from halfglass.plant.burner import fuel_flow, tank_air_volume, tank_pressure
from halfglass.plant.compile import to_record
from halfglass.plant.parameters import Burner
from halfglass.plant.steamplant import SteamPlant
from halfglass.scenario import boat as written
from halfglass.scenario.catalogue.reduce import initial_state, plant_parameters
from halfglass.scenario.day_models import Scenario
from halfglass.scenario.load import load

SCENARIO = Path(__file__).parents[2] / "scenarios" / "03-burner-boat.toml"
HOT = 850.0


def dabchick() -> Scenario:
    return load(SCENARIO).base


def burner(**changes: object) -> Burner:
    """Dabchick's burner with some keys changed, reduced."""
    boat = dabchick().boat
    assert boat.burner is not None
    return plant_parameters(boat.model_copy(update={"burner": boat.burner.model_copy(update=changes)})).burner


def flow(made: Burner, rate: float, share_of_pressure: float = 1.0) -> float:
    """Fuel burnt [kg/s] with a hot vaporiser and plenty of fuel."""
    return float(fuel_flow(to_record(made), rate, share_of_pressure * made.reference_pressure, 5.0, HOT))


def test_two_heads_burn_twice_as_much() -> None:
    assert flow(burner(heads=2), 1.0) == pytest.approx(2.0 * flow(burner(), 1.0))


def test_two_heads_turn_lower() -> None:
    """One head goes out below its lowest rate; of two, one can burn alone at half that share of the whole."""
    low = 0.1
    assert flow(burner(lowest_rate=0.15), low) == 0.0
    assert flow(burner(lowest_rate=0.15, heads=2), low) == pytest.approx(low * 2.0 * flow(burner(), 1.0))


def test_flow_goes_by_the_root_of_the_pressure_and_stops_when_weak() -> None:
    made = burner(lowest_rate=0.3)
    assert flow(made, 1.0, 0.25) == pytest.approx(0.5 * flow(made, 1.0))
    assert flow(made, 0.4, 0.25) == 0.0


def test_a_burner_needs_its_vaporiser_hot() -> None:
    made = to_record(burner())
    assert fuel_flow(made, 1.0, made.reference_pressure, 5.0, 400.0) == 0.0
    assert fuel_flow(made, 1.0, made.reference_pressure, 5.0, HOT) > 0.0


def burning(minutes: float, **changes: object) -> SteamPlant:
    """Dabchick's plant, burner lit by the spirit cup and left alone."""
    scenario = dabchick()
    assert scenario.boat.burner is not None
    boat = scenario.boat.model_copy(update={"burner": scenario.boat.burner.model_copy(update=changes)})
    plant = SteamPlant(plant_parameters(boat), initial_state(scenario.model_copy(update={"boat": boat})))
    plant.set(burner_preheat=1.0, vent=0.0)
    plant.marcher.advance(420.0)
    plant.set(burner_rate=1.0)
    plant.marcher.advance(450.0)
    plant.set(burner_preheat=0.0)
    plant.marcher.advance(450.0 + minutes * 60.0)
    return plant


def test_tank_pressure_falls_as_the_fuel_goes() -> None:
    """By p V: what the air gains in volume it loses in pressure."""
    plant = burning(10.0)
    scenario = dabchick()
    assert scenario.boat.burner is not None
    tank = scenario.boat.burner.tank_volume * 1.02
    begun = tank - scenario.aboard.tank_fuel
    now = tank - plant.state("tank_fuel") / scenario.boat.burner.density
    expected = (scenario.boat.burner.tank_pressure + 101325.0) * begun / now - 101325.0
    assert plant.reading("burner_tank_pressure") == pytest.approx(expected, rel=1e-6)
    assert plant.reading("burning_rate") > 0.0


def test_two_heads_heat_sooner() -> None:
    one, two = burning(8.0), burning(8.0, heads=2)
    assert two.reading("boiler_temperature") > one.reading("boiler_temperature") + 10.0


def test_defaults_keep_one_head() -> None:
    assert written.Burner.model_fields["heads"].default == 1


def test_the_whole_of_a_burner_and_its_ends() -> None:
    """All of its rated fuel; half of it half warm or with half of the last fuel left (judgements)."""
    made = burner(lowest_rate=0.0)
    record, pressure = to_record(made), made.reference_pressure
    assert fuel_flow(record, 1.0, pressure, 5.0, HOT) == pytest.approx(made.fuel_rate)
    lowest = made.vaporiser_lowest
    steps = (-20.0, -10.0, 0.0, 10.0, 20.0)
    warming = [fuel_flow(record, 1.0, pressure, 5.0, lowest + step) for step in steps]
    assert warming == pytest.approx([share * made.fuel_rate for share in (0.0, 0.25, 0.5, 0.75, 1.0)])
    assert fuel_flow(record, 1.0, pressure, 0.025, HOT) == pytest.approx(0.5 * made.fuel_rate)
    for nothing in ((0.0, pressure, 5.0), (1.0, 0.0, 5.0), (1.0, pressure, 0.0), (1.0, -pressure, 5.0)):
        assert fuel_flow(record, *nothing, HOT) == 0.0
    # a jet goes out over the tenth below its lowest share of all heads
    low = burner(lowest_rate=0.3)
    shares = [flow(low, low.lowest_share * part) / flow(low, 1.0) for part in (0.9, 0.95, 1.0)]
    assert shares == pytest.approx([0.0, 0.5 * 0.95 * low.lowest_share, low.lowest_share])


def test_air_in_the_tank() -> None:
    """Boyle: fuel gone is room gained; a full tank keeps 2 % of its volume of air, at the least 0.1 L."""
    made = to_record(burner())
    volume, full = made.tank_volume, made.tank_volume * made.fuel_density
    assert tank_air_volume(made, 0.0) == pytest.approx(1.02 * volume)
    assert tank_air_volume(made, full) == pytest.approx(0.02 * volume)
    assert tank_air_volume(made, 2.0 * full) == pytest.approx(1e-4)
    assert tank_pressure(made, 0.0, 2e5 * volume) == pytest.approx(2e5 / 1.02)
    assert tank_pressure(made, full, 2e5 * 0.02 * volume) == pytest.approx(2e5)


@pytest.mark.parametrize(("left", "share"), [(0.06, 1.0), (0.025, 0.5), (0.0, 0.0)])
def test_the_last_of_the_tank_fades_out(left: float, share: float) -> None:
    """m0 r sqrt(p/p0) at 3 bar absolute over a barometer of 0.99; half of it with half of the last 50 g."""
    burner = moment("Dabchick").parameters.burner
    air = burner.tank_volume * 1.02 - left / burner.fuel_density
    now = moment(
        "Dabchick",
        states={y.TANK_FUEL: left, y.TANK_AIR: 3.0e5 * air, y.VAPORISER_TEMPERATURE: 850.0},
        burner_rate=0.8,
    )
    jet = 0.8 * math.sqrt((3.0e5 - 99e3) / burner.reference_pressure)
    assert -now.rate[y.TANK_FUEL] == pytest.approx(burner.fuel_rate * jet * share, rel=1e-9)
