"""The sanity table: figures against formulas worked here by hand, and plain words where a boat is wrong."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest

from halfglass.cli import _exit_code
from halfglass.report.sanity_text import sanity_object, sanity_text
from halfglass.result.sanity import Sanity
from halfglass.scenario.boat_alone import is_boat, load_boat
from halfglass.scenario.day_models import Scenario
from halfglass.scenario.load import load
from halfglass.study.case import Case, needed, study
from halfglass.study.check import sanity
from halfglass.study.steady import CRUISE_SETTLES
from halfglass.vocabulary.errors import ScenarioError

SCENARIOS = Path(__file__).parents[2] / "scenarios"
DAYS, BOATS = sorted(SCENARIOS.glob("*.toml")), sorted((SCENARIOS / "boats").glob("*.toml"))
AGAIN = [pytest.param(day, marks=pytest.mark.long) for day in DAYS[6:]]
"""Days with the boats and fuels of those before them."""
GRADES = {"in proportion", "small", "large", "out of proportion"}
POUND, INCH, PSI, FOOT = 0.45359237, 0.0254, 6894.757293168, 0.3048


def day_of(path: Path) -> Scenario:
    """A shipped day as written, or a boat alone."""
    return load_boat(path) if is_boat(path) else load(path).base


@pytest.fixture(scope="module")
def sedge() -> Scenario:
    """The lake day."""
    return load(DAYS[0]).base


@pytest.fixture(scope="module")
def case(sedge: Scenario) -> Case:
    """Its steady states."""
    return study(sedge)


@pytest.fixture(scope="module")
def table(sedge: Scenario) -> Sanity:
    """Its table."""
    return sanity(sedge)


def changed(scenario: Scenario, part: str, **values: Any) -> Scenario:
    """The scenario with something about a part of its boat changed (checked values, SI)."""
    boat = scenario.boat
    if part == "safety_valve":
        new: Any = tuple(valve.model_copy(update=values) for valve in boat.safety_valve)
    elif "." in part:
        outer, inner = part.split(".")
        holder = getattr(boat, outer)
        new = holder.model_copy(update={inner: getattr(holder, inner).model_copy(update=values)})
        part = outer
    else:
        new = getattr(boat, part).model_copy(update=values)
    return scenario.model_copy(update={"boat": boat.model_copy(update={part: new})})


@pytest.mark.parametrize("path", [*DAYS[:6], *AGAIN, *BOATS], ids=lambda path: path.stem)
def test_shipped_boats_are_in_proportion(path: Path) -> None:
    """Nothing out of proportion in a shipped boat; what is small or large is said and stands in the text."""
    found = sanity(day_of(path), is_boat(path))
    assert {line.grade for line in found.lines} <= GRADES - {"out of proportion"}
    assert all(line.remark for line in found.lines if line.grade != "in proportion")
    told = sanity_text(found, 80)
    assert max(len(line) for line in told.splitlines()) <= 80
    flat = " ".join(told.split())
    for line in found.lines:
        assert line.quantity in flat and line.usual in flat


def test_every_line_names_its_source(table: Sanity) -> None:
    marks = ("BW", "STE", "BOU", "LIN", "ETB", "Gerr", "Cyclopedia", "no source", "judgement", "practice",
             "hull speed")  # fmt: skip
    assert all(any(mark in line.usual for mark in marks) for line in table.lines)
    assert len({line.key for line in table.lines}) == len(table.lines)


def test_evaporation_by_hand(case: Case, table: Sanity) -> None:
    """Steam tables (value from memory): h_g 2756 kJ/kg at 6 bar absolute, 2760 at 6.5; here 6.39 bar."""
    feed = 4.186e3 * (case.cruise.feed_temperature - 273.15)
    by_hand = (case.full.heat - case.full.casing) / (2759.0e3 - feed)
    assert table.line("evaporation").number == pytest.approx(by_hand, rel=0.003)
    pounds = case.full.net_heat / 1055.06 / 970.4 * 3600.0 / (case.heating_surface / FOOT**2)
    assert f"{pounds:.1f} lb/ft2 h" in table.line("heating_surface_rate").value


def test_heating_surface_and_grate_by_hand(table: Sanity) -> None:
    """Sedge: 80 tubes 28 mm bore and 570 mm long, firebox 520 by 350 mm, grate 0.2 m²."""
    tubes = 80 * math.pi * 0.028 * 0.570
    firebox = math.pi * 0.52 * 0.35 + math.pi / 4 * (0.52**2 - 80 * 0.032**2)
    assert table.line("surface_over_grate").number == pytest.approx((tubes + firebox) / 0.2, rel=1e-3)


def test_safety_valves_by_napier(case: Case, table: Sanity) -> None:
    """Two valves of 20 mm lifting 1.5 mm, coefficient 0.7, at 106 psi: W = p a/70 lb/s."""
    area = 2 * math.pi * 0.020 * 0.0015 / INCH**2
    pounds = 0.7 * area * (106.0 + 101325.0 / PSI) / 70.0
    greatest = case.hardest.net_heat / 2.045e6  # latent heat at 8.3 bar absolute, steam tables
    assert table.line("safety_valve_capacity").number == pytest.approx(pounds * POUND / greatest, rel=0.005)


def test_feed_by_hand(case: Case, table: Sanity) -> None:
    """Engine pump 22 by 32 mm at 80 %; hand pump 60 mL at 90 %, 30/min; injector 90 kg/h at 75 psi."""
    used = case.cruise.steam * 60.0  # L/min
    pump = math.pi / 4 * 0.22**2 * 0.32 * 0.8 * case.cruise.shaft_speed * 60.0
    assert table.line("engine_pump").number == pytest.approx(pump / used, rel=1e-6)
    assert table.line("hand_pump").number == pytest.approx(0.060 * 0.96 * 30.0 / used, rel=1e-6)
    assert table.line("injector").number == pytest.approx(90.0 / 60.0 / used, rel=0.03)


def test_water_in_glass_by_hand(case: Case, table: Sanity) -> None:
    """From half glass 100 mm down to the nut, between shell 630 mm and 80 tubes of 32 mm; 1.099 L/kg."""
    surface = math.pi / 4 * (0.63**2 - 80 * 0.032**2)
    seconds = surface * 0.100 / 1.0998e-3 / case.cruise.steam
    assert table.line("water_in_glass").number == pytest.approx(seconds, rel=0.01)
    assert table.line("glass_over_crown").number == pytest.approx(0.180)


def test_condenser_by_hand(case: Case, table: Sanity) -> None:
    """900 W/K to the lake in series with 3000 W/K from the steam, 100 °C over a lake of 15 °C."""
    duty = 85.0 / (1.0 / 900.0 + 1.0 / 3000.0)
    assert table.line("condenser").number == pytest.approx(duty / case.cruise.exhaust_heat, rel=1e-6)
    lying = 85.0 / (1.0 / 360.0 + 1.0 / 3000.0)
    assert table.line("condenser_lying").number == pytest.approx(lying / case.cruise.exhaust_heat, rel=1e-6)


def test_steam_room_by_hand(case: Case, table: Sanity) -> None:
    """Space over half glass in seconds of steam; bubbles under the water take up to a tenth of it."""
    surface = math.pi / 4 * (0.63**2 - 80 * 0.032**2)
    still = surface * (0.92 - 0.63) / (case.cruise.steam * case.boat.vapour_volume)
    assert 0.85 * still < table.line("steam_room").number < still
    hourly = case.cruise.steam * 3.6  # m³ of water in an hour, at 1 kg/L
    assert table.line("steam_space_over_water").number == pytest.approx(
        surface * (0.92 - 0.63) / hourly, rel=0.01
    )


def test_cruising_fire_keeps_up(case: Case) -> None:
    """The fire found for cruising makes what is used, and burns less than the full one."""
    want = needed(case.boat, case.cruise)
    assert case.cruising_fire.net_heat == pytest.approx(want, rel=0.02)
    assert case.cruising_fire.fuel < case.full.fuel


def test_steady_is_steady(case: Case) -> None:
    """Twice the time to settle moves steam and speed by less than half a per cent."""
    longer = case.boat.steams(case.cruise.throttle, 1.0, 2.0 * CRUISE_SETTLES)
    assert longer.steam == pytest.approx(case.cruise.steam, rel=0.005)
    assert longer.boat_speed == pytest.approx(case.cruise.boat_speed, rel=0.005)


BOILER = "boiler.glass"


@pytest.mark.parametrize(
    ("part", "values", "key", "said"),
    [
        ("safety_valve", {"bore": 0.006, "lift": 0.0006}, "safety_valve_capacity", "cannot carry off"),
        ("feed.engine_pump", {"stroke": 0.006}, "engine_pump", "too small"),
        ("feed.hand_pump", {"stroke_volume": 20e-6}, "hand_pump", "too small"),
        ("exhaust", {"keel": 250.0}, "condenser", "part of the exhaust is lost"),
        (BOILER, {"bottom_nut": 0.355}, "glass_over_crown", "all but bare"),
        (BOILER, {"bottom_nut": 0.70, "top_nut": 0.90}, "steam_room", "water will come over"),
        ("fire", {"grate_area": 0.05}, "evaporation", "pressure falls"),
        ("fire", {"grate_area": 0.03}, "surface_over_grate", "do not belong together"),
        ("hull", {"displacement": 9000.0, "wetted_surface": 25.0, "waterline_length": 16.0},
         "speed_over_hull_speed", "faster"),
    ],
)  # fmt: skip
def test_a_wrong_boat_is_told(
    sedge: Scenario, part: str, values: dict[str, float], key: str, said: str
) -> None:
    line = sanity(changed(sedge, part, **values)).line(key)
    assert said in line.remark, (line.grade, line.value, line.remark)
    assert line.grade == ("small" if key == "speed_over_hull_speed" else "out of proportion")


def test_short_of_fuel_for_the_route(sedge: Scenario) -> None:
    aboard = sedge.aboard.model_copy(update={"fuel_mass": 20.0})
    line = sanity(sedge.model_copy(update={"aboard": aboard})).line("endurance")
    assert line.grade == "out of proportion" and "not enough for the route" in line.remark


def test_boat_alone_states_what_it_takes() -> None:
    table = sanity(load_boat(BOATS[-1]), is_alone=True)
    assert any("No scenario" in sentence for sentence in table.assumed)
    assert "no route" in table.line("endurance").usual


def test_a_scenario_is_no_boat() -> None:
    assert [is_boat(path) for path in (*DAYS[:1], *BOATS[:1])] == [False, True]


def test_faults_of_a_boat_alone_have_their_place(tmp_path: Path) -> None:
    """The crown above the bottom nut, told at its line of the boat file."""
    text = (SCENARIOS / "boats" / "sedge.toml").read_text().replace('"530 mm"', '"300 mm"')
    boat = tmp_path / "low.toml"
    boat.write_text(text)
    with pytest.raises(ScenarioError) as refused:
        load_boat(boat)
    (fault,) = refused.value.faults
    wanted = next(n for n, line in enumerate(text.splitlines(), 1) if "300 mm" in line)
    assert "crown is above the bottom nut" in fault.message and fault.line == wanted
    assert _exit_code(["check", str(boat)]) == 2


def test_check_prints_the_table(capsys: pytest.CaptureFixture[str]) -> None:
    assert _exit_code(["check", str(BOATS[-1])]) == 0
    told = capsys.readouterr().out
    assert "Safety valves:" in told and "lb/ihp h" in told and "Usual:" in told
    assert max(len(line) for line in told.splitlines()) <= 80


def test_check_as_json(capsys: pytest.CaptureFixture[str], table: Sanity) -> None:
    assert _exit_code(["check", "--json", str(DAYS[0])]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told == json.loads(json.dumps(sanity_object(table)))
    assert {line["grade"] for line in told["lines"]} <= GRADES and len(told["speeds"]) == 5


def test_more_throttle_more_steam(table: Sanity) -> None:
    steam = [row.steam for row in table.speeds]
    assert steam == sorted(steam) and len(set(steam)) == 5


def test_steady_state_is_what_the_day_sees(case: Case, sedge: Scenario) -> None:
    """Against the lake day's longest leg, with following wind and wandering pressure: 15 % (judgement)."""
    from halfglass.day.outing import run

    outing = run(sedge)
    flow, table = outing.energy_flow, outing.timeline
    assert flow is not None
    rows = table[(table["time"] >= flow.began) & (table["time"] <= flow.ended)]
    assert case.cruise.steam == pytest.approx(rows["steam_flow_boiler_engine"].mean(), rel=0.15)
    assert case.cruise.boat_speed == pytest.approx(rows["boat_speed"].mean(), rel=0.05)
    assert case.cruise.hotwell_temperature == pytest.approx(rows["hotwell_temperature"].mean(), abs=15.0)
