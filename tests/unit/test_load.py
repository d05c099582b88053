"""Loading scenarios: boat files, plans, and every conflict refused at its place."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from halfglass.scenario.boat_alone import load_boat
from halfglass.scenario.load import Story, load
from halfglass.scenario.schema import json_schema
from halfglass.vocabulary.errors import Fault, ScenarioError

SCENARIOS = Path(__file__).parents[2] / "scenarios"
LAKE, PUMP, BURNER = "01-quiet-lake-day.toml", "02-engine-pump-stops.toml", "03-burner-boat.toml"
MANOEUVRE = 'step = "manoeuvre"\nmovements = [{ gear = "ahead", for = "3 s", throttle = "5 %" }, ' + (
    '{ gear = "stop", for = "3 s", throttle = "5 %" }]'
)
SEDGE, DABCHICK = "boats/sedge.toml", "boats/dabchick.toml"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return Path(shutil.copytree(SCENARIOS, tmp_path / "scenarios"))


def edit(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def refused(path: Path) -> tuple[Fault, ...]:
    with pytest.raises(ScenarioError) as caught:
        load(path)
    return caught.value.faults


@pytest.mark.parametrize("path", sorted(SCENARIOS.glob("*.toml")), ids=lambda path: path.stem)
def test_shipped_scenarios_load_under_every_plan(path: Path) -> None:
    story = load(path)
    assert isinstance(story, Story)
    for name in story.plan_names:
        assert story.for_plan(name).title == story.base.title


def test_files_are_kept_for_provenance(folder: Path) -> None:
    story = load(folder / LAKE)
    assert {Path(name).name for name in story.files} == {LAKE, "sedge.toml"}
    assert story.files[str(folder / LAKE)] == (folder / LAKE).read_bytes()


def test_plans_change_the_day_and_only_that() -> None:
    story = load(SCENARIOS / PUMP)
    assert story.base.crew.hands == 1
    eased = story.for_plan("two aboard, eased and pumping")
    assert eased.crew.hands == 2
    assert eased.crew.strokes == story.base.crew.strokes
    assert eased.orders.throttle_when_low == pytest.approx(0.15)
    assert story.for_plan("feed left alone").orders.low_glass == ()


def test_no_plan_is_one_plan_as_written() -> None:
    story = load(SCENARIOS / LAKE)
    assert story.plan_names == ("as written",)
    assert story.for_plan("as written") == story.base


def test_a_plan_reaches_into_the_boat_file(folder: Path) -> None:
    edit(folder / PUMP, 'orders.low_glass = ["injector"]', 'boat.feed.hand_pump.stroke_volume = "40 mL"')
    story = load(folder / PUMP)
    changed = story.for_plan("injector").boat.feed.hand_pump
    assert changed is not None
    assert changed.stroke_volume == pytest.approx(40e-6)
    written = story.base.boat.feed.hand_pump
    assert written is not None
    assert written.stroke_volume == pytest.approx(60e-6)


def test_a_plan_may_name_another_boat_file(folder: Path) -> None:
    text = (folder / SEDGE).read_text(encoding="utf-8").replace('name = "Sedge"', 'name = "Reed"')
    (folder / "boats/reed.toml").write_text(text, encoding="utf-8")
    edit(folder / PUMP, 'orders.low_glass = ["injector"]', 'boat = "boats/reed.toml"')
    story = load(folder / PUMP)
    assert story.for_plan("injector").boat.name == "Reed"
    assert story.base.boat.name == "Sedge"


def test_an_unknown_key_in_a_plan_is_refused_in_place(folder: Path) -> None:
    edit(folder / PUMP, "orders.throttle_when_low", "orders.throtle_when_low")
    (fault,) = refused(folder / PUMP)
    assert "did you mean 'throttle_when_low'" in fault.message
    assert "orders.throtle_when_low" in fault.source_line
    assert fault.source_line[fault.column - 1 :].startswith("throtle_when_low")


def test_a_wrong_value_in_a_plan_is_refused_in_place(folder: Path) -> None:
    edit(folder / PUMP, "crew.hands = 2", "crew.hands = 3")
    (fault,) = refused(folder / PUMP)
    assert "crew.hands = 3" in fault.source_line


def test_a_plan_cannot_change_the_plans(folder: Path) -> None:
    edit(folder / PUMP, 'orders.low_glass = ["injector"]', "plan = []")
    (fault,) = refused(folder / PUMP)
    assert "cannot change the plans" in fault.message


def test_faults_of_scenario_boat_and_plans_come_at_once(folder: Path) -> None:
    edit(folder / PUMP, 'strokes = "26 strokes/min"', 'strokes = "26"')
    edit(folder / PUMP, "crew.hands = 2", "crew.hands = 3")
    edit(folder / SEDGE, 'grate_area = "0.2 m2"', 'grate_area = "0.2 m"')
    faults = refused(folder / PUMP)
    assert {fault.key for fault in faults} == {"crew.strokes", "crew.hands", "boat.fire.grate_area"}
    assert len(faults) == 3


def test_a_missing_boat_file_is_named_where_it_is_asked_for(folder: Path) -> None:
    edit(folder / LAKE, "boats/sedge.toml", "boats/sege.toml")
    edit(folder / LAKE, "hands = 2", "hands = 5")
    faults = refused(folder / LAKE)
    assert [fault.key for fault in faults] == ["boat", "crew.hands"]
    assert "sedge.toml" in faults[0].message


def test_a_scenario_that_names_itself_as_its_boat(folder: Path) -> None:
    edit(folder / LAKE, "boats/sedge.toml", LAKE)
    (fault,) = refused(folder / LAKE)
    assert "names the scenario itself" in fault.message


def test_a_scenario_in_place_of_a_boat(folder: Path) -> None:
    edit(folder / LAKE, "boats/sedge.toml", BURNER)
    (fault,) = refused(folder / LAKE)
    assert "is a scenario, not a boat" in fault.message


def test_a_boat_of_the_wrong_type(folder: Path) -> None:
    edit(folder / LAKE, '"boats/sedge.toml"', "7")
    (fault,) = refused(folder / LAKE)
    assert fault.key == "boat"


def test_no_route(folder: Path) -> None:
    text = (folder / LAKE).read_text(encoding="utf-8")
    (folder / LAKE).write_text(text[: text.index("[[route]]")], encoding="utf-8")
    (fault,) = refused(folder / LAKE)
    assert fault.key == "route"


CONFLICTS = [
    (LAKE, SEDGE, 'top_nut = "730 mm"', 'top_nut = "930 mm"', "boat.boiler.glass.top_nut", "above the shell"),
    (
        LAKE,
        SEDGE,
        'top_nut = "730 mm"',
        'top_nut = "510 mm"',
        "boat.boiler.glass.top_nut",
        "above the bottom nut",
    ),
    (
        LAKE,
        SEDGE,
        'firebox_height = "350 mm"',
        'firebox_height = "550 mm"',
        "boat.boiler.glass.bottom_nut",
        "crown",
    ),
    (
        LAKE,
        SEDGE,
        'firebox_diameter = "520 mm"',
        'firebox_diameter = "640 mm"',
        "boat.boiler.firebox_diameter",
        "narrower",
    ),
    (LAKE, SEDGE, "tubes = 80", "tubes = 900", "boat.boiler.tubes", "do not fit"),
    (
        LAKE,
        SEDGE,
        'reseat_pressure = "96.5 psi"',
        'reseat_pressure = "101 psi"',
        "boat.safety_valve[1].reseat_pressure",
        "must shut below",
    ),
    (
        LAKE,
        SEDGE,
        'set_pressure = "102 psi"',
        'set_pressure = "99 psi"',
        "boat.safety_valve[2].set_pressure",
        "lifts first",
    ),
    (
        LAKE,
        SEDGE,
        'series = "A"',
        'series = "A"\nmeasured = [{ turns = "200 rpm", speed = "9 kn" }]',
        "boat.hull.measured",
        "push nothing",
    ),
    (LAKE, SEDGE, 'kind = "twin"', 'kind = "compound"', "boat.engine.low_pressure_bore", "low-pressure bore"),
    (LAKE, SEDGE, 'keel = "900 W/K"', 'keel = "0 W/K"', "boat.exhaust.keel", "conductance"),
    (
        LAKE,
        LAKE,
        'working_pressure = "78 psi"',
        'working_pressure = "110 psi"',
        "firing.working_pressure",
        "set below this working pressure",
    ),
    (LAKE, LAKE, 'until = "70 psi"', 'until = "120 psi"', "route[1].until", "lifts before"),
    (LAKE, LAKE, 'fuel_reserve = "10 kg"', 'fuel_reserve = "70 kg"', "aboard.fuel_reserve", "reserve"),
    (LAKE, LAKE, 'hotwell = "8 L"', 'hotwell = "35 L"', "aboard.hotwell", "hot well holds"),
    (LAKE, LAKE, 'stop_above = "55 %"', 'stop_above = "20 %"', "orders.stop_above", "above the level"),
    (
        LAKE,
        LAKE,
        'step = "raise steam"\nuntil = "70 psi"\nat_most = "2 h 30 min"',
        'step = "shut down"',
        "route[1].step",
        "raise steam",
    ),
    (BURNER, BURNER, 'fuel = "paraffin"', 'fuel = "steam coal"', "aboard.fuel", "burner"),
    (BURNER, BURNER, 'tank_fuel = "25 L"', 'tank_fuel = "26 L"', "aboard.tank_fuel", "tank holds"),
    (
        BURNER,
        BURNER,
        'glass = "1/2"\nact',
        'low_glass = ["injector"]\nact',
        "orders.low_glass[1]",
        "no injector",
    ),
    (PUMP, PUMP, 'leaving = "Alder jetty"', 'leaving = "Alder jety"', "fault[1].at.leaving", "'Alder jetty'"),
    (PUMP, PUMP, 'name = "injector"', 'name = "feed left alone"', "plan[4].name", "another plan"),
    (PUMP, PUMP, "{ leaving", '{ arriving = "Boathouse", leaving', "fault[1].at.arriving", "one moment"),
]


@pytest.mark.parametrize(
    ("scenario", "file", "old", "new", "key", "words"),
    CONFLICTS,
    ids=[f"{row[4]}: {row[5]}" for row in CONFLICTS],
)
def test_conflicts_are_refused_at_their_place(
    folder: Path, scenario: str, file: str, old: str, new: str, key: str, words: str
) -> None:
    edit(folder / file, old, new)
    faults = refused(folder / scenario)
    matching = [fault for fault in faults if fault.key == key and words in fault.message]
    assert matching, [fault.render() for fault in faults]
    assert matching[0].line > 0
    assert Path(matching[0].file).name == Path(file).name


def test_a_boat_with_neither_grate_nor_burner(folder: Path) -> None:
    text = (folder / DABCHICK).read_text(encoding="utf-8")
    start, end = text.index("[burner]"), text.index("[engine]")
    (folder / DABCHICK).write_text(text[:start] + text[end:], encoding="utf-8")
    assert any("neither 'fire' nor 'burner'" in fault.message for fault in refused(folder / BURNER))


def test_a_boat_with_both(folder: Path) -> None:
    edit(
        folder / DABCHICK,
        "[engine]",
        '[fire]\ngrate_area = "0.1 m2"\nash_pit_opening = "0.01 m2"\nfire_door = "0.01 m2"\n\n[engine]',
    )
    fault = next(fault for fault in refused(folder / BURNER) if "not both" in fault.message)
    assert fault.key == "boat.burner"
    assert fault.second_place is not None


@pytest.mark.parametrize(
    "text",
    [
        '[plan]\nname = "x"',
        '[[plan]]\nname = "x"\nchange = 3',
        "[[plan]]\nchange = { crew = 4 }",
        '[[plan]]\nname = "x"\nchange = { boat = [] }',
    ],
)
def test_plans_of_the_wrong_shape_are_refused_with_a_place(folder: Path, text: str) -> None:
    with (folder / LAKE).open("a", encoding="utf-8") as stream:
        stream.write("\n" + text + "\n")
    assert all(fault.line > 0 for fault in refused(folder / LAKE))


@pytest.mark.parametrize("name", ["x" * 300, "\\u0000", "", ".", "/", "boats/sedge.toml/x", "~"])
def test_names_that_cannot_be_a_boat_file(folder: Path, name: str) -> None:
    edit(folder / LAKE, '"boats/sedge.toml"', f'"{name}"')
    (fault,) = refused(folder / LAKE)
    assert fault.key == "boat"
    assert fault.line > 0


@pytest.mark.parametrize("more", ["[[fault]]\n", "[x{}]\n", "[[plan]]\n", "[[route]]\nstep = 'x'\n"])
def test_ten_thousand_faults_are_not_all_told(folder: Path, more: str) -> None:
    with (folder / LAKE).open("a", encoding="utf-8") as stream:
        stream.write("".join(more.format(number) for number in range(9_000)))
    faults = refused(folder / LAKE)
    assert 100 <= len(faults) <= 102
    assert "there is more" in faults[-1].message


def test_more_entries_than_any_scenario_has(folder: Path) -> None:
    with (folder / LAKE).open("a", encoding="utf-8") as stream:
        stream.write("[[fault]]\n" * 21_000)
    (fault,) = refused(folder / LAKE)
    assert "more than 20000 entries" in fault.message


@pytest.mark.parametrize(
    ("name", "old", "new", "key"),
    [
        (BURNER, 'burner_rate = "100 %"', 'charge = "1 kg"', "firing.charge"),
        (BURNER, 'tank_fuel = "25 L"', 'tank_fuel = "25 L"\nfuel_mass = "60 kg"', "aboard.fuel_mass"),
        (LAKE, 'charge = "0.8 kg"', 'burner_rate = "50 %"', "firing.burner_rate"),
        (LAKE, 'step = "warm through"', MANOEUVRE + '\n[[route]]\nstep = "warm through"',
         "route[2].movements[2].throttle"),
    ],
)  # fmt: skip
def test_a_key_that_nothing_uses_is_refused(folder: Path, name: str, old: str, new: str, key: str) -> None:
    edit(folder / name, old, new)
    (fault,) = refused(folder / name)
    assert (fault.key, fault.line > 0) == (key, True)
    assert fault.message.startswith("nothing uses this: ")


def test_a_change_that_nothing_uses_is_refused(folder: Path) -> None:
    with (folder / BURNER).open("a", encoding="utf-8") as stream:
        stream.write('\n[[plan]]\nname = "x"\nchange.firing.charge = "1 kg"\n')
    (fault,) = refused(folder / BURNER)
    assert (fault.key, fault.source_line) == ("plan[1].change.firing.charge", 'change.firing.charge = "1 kg"')


def test_a_key_that_nothing_uses_in_a_boat_alone(folder: Path) -> None:
    edit(folder / SEDGE, "[exhaust]", '[exhaust]\nair_left = "5 kPa"')
    with pytest.raises(ScenarioError) as caught:
        load_boat(folder / SEDGE)
    assert caught.value.faults[0].key == "exhaust.air_left"


def test_a_key_that_only_a_plan_uses_may_stand(folder: Path) -> None:
    with (folder / LAKE).open("a", encoding="utf-8") as stream:
        stream.write('[[plan]]\nname = "as written"\n[[plan]]\nname = "paraffin"\n')
        stream.write('change.boat = "boats/dabchick.toml"\n')
        stream.write('change.aboard = { fuel = "paraffin", tank_fuel = "20 L", fuel_reserve = "1 kg" }\n')
    edit(folder / LAKE, 'charge = "0.8 kg"', 'charge = "0.8 kg"\nburner_rate = "90 %"')
    assert load(folder / LAKE).for_plan("paraffin").firing.burner_rate == pytest.approx(0.9)


def test_the_schema_takes_a_boat_file_and_describes_every_key() -> None:
    schema = json_schema()
    assert schema["properties"]["boat"]["anyOf"][0]["type"] == "string"
    assert "for" in schema["$defs"]["Lie"]["properties"]
    for name, table in schema["$defs"].items():
        for key, entry in table.get("properties", {}).items():
            assert entry.get("description"), f"{name}.{key}"
