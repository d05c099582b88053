"""Condensate drain, oil through the separator, dead centres, lubricators, tired arms, simmering valves."""

from __future__ import annotations

from dataclasses import replace

import pytest
from steaming import PSI, SCENARIOS, follow, sedge, stoke

from halfglass.plant import reading as r
from halfglass.plant import state as y
from halfglass.plant.boiler_balance import valve_opening
from halfglass.plant.compile import to_record
from halfglass.plant.engine import friction_torque, is_dead_centre, oil_use
from halfglass.plant.exhaust import separator_catch
from halfglass.plant.human_power import hand_stroke_limit
from halfglass.plant.parameters import InitialState, PlantParameters
from halfglass.plant.steamplant import SteamPlant
from halfglass.result.ledger import close
from halfglass.scenario.catalogue.fuels import charge
from halfglass.scenario.catalogue.reduce import initial_state, plant_parameters
from halfglass.scenario.load import load

BURNER_BOAT = SCENARIOS / "03-burner-boat.toml"


def hot(
    parameters: PlantParameters | None = None, start: InitialState | None = None, **states: float
) -> SteamPlant:
    """Sedge with steam up from the first second, fire alight, drains and vent shut, not yet turning."""
    scenario = sedge()
    begun = start if start is not None else initial_state(scenario)
    plant = SteamPlant(
        parameters or plant_parameters(scenario.boat),
        replace(begun, boiler_temperature=433.0, boiler_air=False),
    )
    for name, value in states.items():
        plant.marcher.state[y.INDEX[name]] = value
    plant.light(charge("steam coal", 4.0), charge("air-dry wood", 2.0), 1200.0)
    plant.set(vent=0.0, cylinder_drains=0.0, moored=0.0, damper=0.5)
    return plant


def steam_along(plant: SteamPlant, minutes: float, *names: str) -> dict[str, float]:
    """Under way for some minutes; the named readings at the end."""
    scenario = sedge()
    plant.set(throttle=0.4, bypass=0.3)
    follow(plant, minutes * 60.0, (), lambda: stoke(plant, scenario), every=30.0)
    return {name: plant.reading(name) for name in names}


def closes(plant: SteamPlant) -> bool:
    """Whether mass and energy close."""
    ledger = close(plant.mass_sides(), plant.energy_sides())
    return abs(ledger.mass_relative) < 1e-9 and abs(ledger.energy_relative) < 1e-9


def test_a_drain_valve_nearly_shut_floods_the_condenser_and_raises_the_back_pressure() -> None:
    names = ("condenser_flood_fraction", "back_pressure", "shaft_speed")
    wide = steam_along(hot(), 15.0, *names)
    pinched = hot()
    pinched.set(condensate_drain=0.005)
    shut_in = steam_along(pinched, 15.0, *names)
    assert wide["condenser_flood_fraction"] < 0.1 < 0.6 < shut_in["condenser_flood_fraction"]
    assert shut_in["back_pressure"] > wide["back_pressure"] + 2e4
    assert shut_in["shaft_speed"] < wide["shaft_speed"]
    pinched.set(condensate_drain=1.0)
    again = steam_along(pinched, 3.0, *names)
    assert again["condenser_flood_fraction"] < 0.1
    assert again["back_pressure"] < shut_in["back_pressure"] - 2e4
    assert closes(pinched)


def oil_in(plant: SteamPlant) -> float:
    """All the oil that left the lubricator, where it is now [kg]."""
    places = (y.SEPARATOR_OIL, y.HOTWELL_OIL, y.BOILER_OIL, y.TOTAL_OIL_OUT)
    return float(sum(plant.marcher.state[place] for place in places))


@pytest.mark.parametrize("loaded", [0.0, 0.4])
def test_oil_goes_to_the_cloth_until_it_is_full_and_then_to_the_boiler(loaded: float) -> None:
    written = plant_parameters(sedge().boat)
    oiled = written._replace(engine=replace(written.engine, oil_rate=1.4e-5))
    plant = hot(oiled, replace(initial_state(sedge()), separator_oil=loaded))
    steam_along(plant, 40.0)
    used = plant.state("total_oil_used")
    assert used > 0.01
    assert oil_in(plant) - loaded == pytest.approx(used, rel=1e-9)
    share = (plant.state("separator_oil") - loaded) / used
    assert share == pytest.approx(0.95 if loaded == 0.0 else 0.0, abs=0.03)
    assert (plant.reading("boiler_oil") > 30.0) == (loaded > 0.0)
    caught = plant.state("separator_oil")
    plant.change_cloth()
    assert plant.state("separator_oil") == 0.0
    assert plant.state("total_oil_out") >= caught


def test_a_half_loaded_cloth_catches_three_quarters_as_well() -> None:
    assert separator_catch(0.8, 0.2, 0.4) == pytest.approx(0.6)
    assert separator_catch(0.8, 9.0, 0.4) == 0.0


def burner_boat() -> SteamPlant:
    story = load(BURNER_BOAT)
    scenario = story.for_plan(story.plan_names[0])
    start = replace(initial_state(scenario), boiler_temperature=433.0, boiler_air=False, crank_turns=0.0)
    plant = SteamPlant(plant_parameters(scenario.boat), start)
    plant.set(vent=0.0, cylinder_drains=0.0, moored=0.0)
    return plant


def test_a_single_engine_on_its_dead_centre_must_be_barred_over() -> None:
    plant = burner_boat()
    plant.set(throttle=0.8)
    assert abs(follow(plant, 30.0, ("shaft_speed",))["shaft_speed"][-1]) < 1e-3
    plant.bar_over()
    assert follow(plant, 10.0, ("shaft_speed",))["shaft_speed"][-1] > 1.0
    assert closes(plant)


def test_two_cranks_start_anywhere() -> None:
    plant = hot(crank_turns=0.0)
    plant.set(throttle=0.5)
    assert follow(plant, 10.0, ("shaft_speed",))["shaft_speed"][-1] > 1.0


def test_dead_centres_are_half_a_turn_apart() -> None:
    assert [is_dead_centre(0.2, turns) for turns in (0.0, 0.1, 0.5, 0.75, -0.02)] == [
        True, False, True, False, True,
    ]  # fmt: skip


def test_a_displacement_lubricator_follows_the_steam_and_a_mechanical_one_the_engine() -> None:
    written = plant_parameters(sedge().boat).engine
    engine = to_record(replace(written, oil_per_revolution=3e-6, oil_rate=0.0))
    drops = to_record(replace(written, oil_per_revolution=0.0, oil_rate=2e-6))
    assert oil_use(engine, 0.0, 5e5, 0.2) == 0.0 < oil_use(engine, 4.0, 5e5, 0.2)
    assert oil_use(drops, 0.0, 5e5, 0.2) == oil_use(drops, 4.0, 5e5, 0.2) == 2e-6
    assert oil_use(drops, 4.0, 0.0, 0.2) == 0.0
    assert oil_use(engine, 4.0, 5e5, 0.0) == 0.0


def test_an_engine_without_oil_is_stiff() -> None:
    engine = to_record(plant_parameters(sedge().boat).engine)
    assert friction_torque(engine, 3.0, 1.0) == pytest.approx(1.5 * friction_torque(engine, 3.0, 0.0))
    oiled = steam_along(hot(), 10.0, "shaft_speed")["shaft_speed"]
    assert steam_along(hot(lubricator_oil=0.0), 10.0, "shaft_speed")["shaft_speed"] < oiled


def test_arms_tire_and_a_high_pressure_is_too_much_for_them() -> None:
    strokes = [hand_stroke_limit(psi * PSI, 60e-6, 0.5, 60.0) for psi in (0.0, 30.0, 75.0, 120.0, 250.0)]
    assert strokes == sorted(strokes, reverse=True)
    assert strokes[0] == pytest.approx(50.0 / 60.0)
    assert strokes[-1] == 0.0
    fresh, tired = (hand_stroke_limit(75.0 * PSI, 300e-6, 4.0, seconds) for seconds in (60.0, 4 * 3600.0))
    assert tired < 0.7 * fresh


def test_strokes_really_made_are_recorded_and_feed_by_them() -> None:
    plant = hot()
    plant.set(hand_pump_lake_rate=2.0)
    plant.marcher.advance(plant.time + 60.0)
    feed = plant.parameters.feed
    made = plant.reading("hand_pump_stroke_rate")
    most = hand_stroke_limit(
        plant.reading("boiler_pressure"), feed.hand_pump_displacement, feed.hand_pump_lever_travel,
        plant.state("pumping_time"),
    )  # fmt: skip
    assert made == pytest.approx(most) and made < 1.0
    fed = made * feed.hand_pump_displacement * feed.hand_pump_delivery_fraction * 1000.0
    assert plant.reading("feed_flow_hand_pump_lake") == pytest.approx(fed)


def test_a_valve_simmers_before_it_pops_and_a_stuck_one_does_neither() -> None:
    opening = [valve_opening(share * 7e5, 7e5, 0.01, 0.0, 0.0, 0.0) for share in (0.9, 0.97, 0.985, 1.0)]
    assert opening == pytest.approx([0.0, 0.0, 0.005, 0.01])
    assert valve_opening(8e5, 7e5, 0.01, 1.0, -1.0, 0.02) == 0.0
    assert valve_opening(1e5, 7e5, 0.01, 0.0, 1.0, 0.0) == 1.0


def test_packing_that_goes_takes_the_feed_with_it_and_new_packing_brings_it_back() -> None:
    plant = hot()
    plant.set(throttle=0.4, bypass=0.0, engine_pump_wear_rate=1.0 / 600.0)
    plant.marcher.advance(plant.time + 60.0)
    before = plant.reading("feed_flow_engine_pump") / plant.reading("shaft_speed")
    plant.marcher.advance(plant.time + 300.0)
    after = plant.reading("feed_flow_engine_pump") / plant.reading("shaft_speed")
    assert after / before == pytest.approx(0.4 / 0.9, rel=0.02)
    plant.set(engine_pump_wear_rate=-1.0 / 60.0)
    plant.marcher.advance(plant.time + 120.0)
    assert plant.state("engine_pump_wear") == pytest.approx(0.0, abs=1e-3)


def test_every_reading_that_the_timeline_promises_is_written() -> None:
    plant = hot()
    plant.set(throttle=0.3)
    plant.marcher.advance(60.0)
    assert all(value == value for value in plant.marcher.readings)
    assert plant.marcher.readings[r.CRANK_TURNS] > 1.0
