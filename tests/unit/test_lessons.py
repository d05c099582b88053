"""The shipped lessons: what each says of its run is so. Lesson files at fault: each told at its place."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path

import pytest

from halfglass.classroom.branch import COLUMNS
from halfglass.classroom.lesson import LESSONS, Lesson, is_lesson, lessons, load_lesson
from halfglass.classroom.lesson_told import BESIDES, CUT_SHORT
from halfglass.classroom.session import Session
from halfglass.vocabulary.errors import Fault, ScenarioError

NAMES = [name for name, _ in lessons()]


@pytest.fixture(scope="module", params=NAMES)
def made(request: pytest.FixtureRequest) -> tuple[Lesson, Session]:
    """A lesson, and its run made as it is asked for."""
    lesson = load_lesson(request.param)
    return lesson, lesson.run_as_asked()


def column(session: Session, name: str) -> list[float]:
    return [row[COLUMNS.index(name)] for row in session.branch.rows]


def other(lesson: Lesson, session: Session, name: str) -> list[float]:
    rows = lesson.other(session, 0.0)
    assert rows is not None
    return [row[COLUMNS.index(name)] for row in rows]


def test_every_thing_a_lesson_says_of_its_run_is_so(made: tuple[Lesson, Session]) -> None:
    lesson, session = made
    assert session.ended is None and session.now == lesson.duration
    found = lesson.numbers(session, 0.0)
    for paragraph in lesson.written.explanation:
        assert lesson.holds(paragraph.when, found), paragraph.text
    told = lesson.explanation(session, 0.0)
    assert len(told) == len(lesson.written.explanation)
    assert not any(re.search(r"[{}]|nan|not known", text) for text in told)


def test_the_water_is_never_out_of_sight_in_a_lesson(made: tuple[Lesson, Session]) -> None:
    _, session = made
    assert min(column(session, "glass_fraction")) > 0.15 and max(column(session, "glass_fraction")) < 0.95


def test_the_curve_fits_the_axis_it_is_drawn_on(made: tuple[Lesson, Session]) -> None:
    lesson, session = made
    axis, values = lesson.axis, column(session, lesson.axis.reading)
    assert axis.low <= min(values) and max(values) <= axis.high
    assert max(values) - min(values) < (axis.high - axis.low)
    assert axis.duration == lesson.duration


def test_the_check_is_answered_by_the_run(made: tuple[Lesson, Session]) -> None:
    lesson, session = made
    check = lesson.check
    if check.choices:
        right = [lesson.judge(number, session, 0.0)[0] for number in range(len(check.choices))]
        assert right.count(True) == 1
        assert lesson.judge(check.choices[right.index(True)], session, 0.0)[0]
        assert not lesson.judge("something else", session, 0.0)[0]
    else:
        number = lesson.written.check.number
        assert number is not None
        said = lesson.judge(1e9, session, 0.0)[1]
        value = float(re.findall(r"-?\d+\.?\d*", said.replace("\N{MINUS SIGN}", "-"))[0])
        assert lesson.judge(value, session, 0.0)[0]
        assert not lesson.judge(3.0 * value, session, 0.0)[0]
        assert not lesson.judge("words", session, 0.0)[0]


def test_nothing_done_is_told_apart_from_what_was_asked(made: tuple[Lesson, Session]) -> None:
    lesson, _ = made
    idle = Session(lesson)
    idle.follow(lesson.moves)
    idle.advance(lesson.duration)
    told = lesson.explanation(idle, 0.0)
    found = lesson.numbers(idle, 0.0)
    untrue = [p for p in lesson.written.explanation if not lesson.holds(p.when, found)]
    needs_a_hand = any(one["move"] is not None for one in lesson.asked)
    assert bool(untrue) == needs_a_hand
    for paragraph in untrue:
        start = paragraph.text.partition("{")[0]
        assert not any(
            text.startswith(start) and text == lesson.filled(paragraph.text, found) for text in told
        )
    assert not any("nan" in text or "not known" in text for text in told)
    right, said = lesson.judge(0.0, idle, 0.0)
    if needs_a_hand:  # no number that means nothing: it is said that it was not done
        assert right is None and not re.search(r"\b0\b", said)
        assert all(one["text"] in said for one in lesson.asked if one["move"])
        assert len(told) == 1 and all(one["text"] in told[0] for one in lesson.asked if one["move"])
    else:
        assert right is not None


def test_what_was_asked_and_stands_so_already_counts_as_done() -> None:
    lesson = load_lesson("3")
    asked = {"after": "10 s", "damper": "40 %", "feed_check": "open"}
    lesson = replace(lesson, _asked=[asked] * len(lesson._asked))
    session = Session(lesson)
    assert lesson.not_done(session, 0.0)
    session.set("damper", 0.4)
    session.rewind(0.0)
    assert lesson.not_done(session, 0.0)
    session.set("damper", 0.4)
    later = session.now + 1.0
    session.advance(lesson.duration)
    assert session.values["damper"] == 0.4 and not lesson.not_done(session, later)


def test_what_is_asked_is_done_once_it_stands_near_it(made: tuple[Lesson, Session]) -> None:
    lesson, as_asked = made
    wanted = [one["move"] is not None for one in lesson.asked]
    assert lesson.done(as_asked, 0.0) == wanted
    assert not any(lesson.done(Session(lesson.day), 0.0))


def test_two_thirds_is_near_three_fifths_and_two_fifths_is_not() -> None:
    lesson = load_lesson("1")
    session = Session(lesson.day)
    for throttle, is_done in ((0.4, False), (0.63, True), (0.2, False)):
        session.set("throttle", throttle)
        assert lesson.done(session, 0.0) == [is_done]


def test_with_everything_moved_besides_nothing_is_laid_to_the_lesson(made: tuple[Lesson, Session]) -> None:
    lesson, _ = made
    session = Session(lesson)
    session.follow(lesson.moves)
    session.advance(2.0)
    if "blower" in session.values:
        session.set("blower", 1.0)
    session.set("cylinder_drains", 1.0)
    session.set("throttle", 1.0)
    session.advance(lesson.duration - 2.0)
    told = lesson.explanation(session, 0.0)
    if session.ended is None:
        assert told[0].startswith(BESIDES.partition("{")[0]) and "cylinder drains" in told[0]
        assert not any("nan" in text or "not known" in text for text in told)
        assert len(told) >= 2


def test_a_run_the_model_ended_is_not_explained() -> None:
    lesson = load_lesson("05-engine-pump-stopped")
    session = Session(lesson)
    session.set("bypass", 1.0)
    session.set("blow_down", 1.0)
    session.advance(lesson.duration)
    assert session.ended is not None
    assert lesson.explanation(session, 0.0) == [session.ended, CUT_SHORT]
    assert lesson.judge(0.0, session, 0.0) == (False, CUT_SHORT)


def test_a_run_begun_later_is_told_from_its_own_beginning() -> None:
    lesson = load_lesson("1")
    session = Session(lesson)
    session.advance(30.0)
    session.follow([one["move"] for one in lesson.asked])
    session.advance(lesson.duration)
    found = lesson.numbers(session, 30.0)
    assert found["before"] == session.branch.rows[60][0]
    assert 10.0 < found["top_at"] < 60.0


# What each lesson teaches, asked of the readings themselves and not of the lesson's own conditions.


def test_throttle_opened() -> None:
    session = load_lesson("throttle-opened").run_as_asked()
    glass, water, swell = (column(session, n) for n in ("glass_shown", "boiler_water_mass", "swell"))
    assert max(glass) > glass[0] + 0.03 and water[-1] < water[0] and max(swell) > 3.0 * swell[0]


def test_throttle_shut() -> None:
    session = load_lesson("throttle-shut").run_as_asked()
    glass, water, pressure = (
        column(session, n) for n in ("glass_shown", "boiler_water_mass", "boiler_pressure")
    )
    assert min(glass) < glass[0] - 0.03 and water[-1] >= water[0] and pressure[-1] > pressure[0]


def test_cold_feed() -> None:
    lesson = load_lesson("cold-feed")
    session = lesson.run_as_asked()
    pressure, alone = column(session, "boiler_pressure"), other(lesson, session, "boiler_pressure")
    water, swell = column(session, "boiler_water_mass"), column(session, "swell")
    assert pressure[-1] < alone[-1] - 3e4 and water[-1] > water[0] + 3.0 and min(swell) < 0.9 * swell[0]


def test_hot_feed() -> None:
    lesson = load_lesson("hot-feed")
    session = lesson.run_as_asked()
    hot, cold = column(session, "boiler_pressure"), other(lesson, session, "boiler_pressure")
    fed, fed_cold = column(session, "boiler_water_mass"), other(lesson, session, "boiler_water_mass")
    assert hot[-1] > cold[-1] + 1e4 and fed[-1] - fed[0] == pytest.approx(
        fed_cold[-1] - fed_cold[0], rel=0.05
    )
    # the same from the books: the heat the hot water brought, over the heat capacity seen by the cold
    warmth = column(session, "feed_temperature")[-1] - other(lesson, session, "feed_temperature")[-1]
    assert warmth > 40.0


def test_engine_pump_stopped() -> None:
    lesson = load_lesson("engine-pump-stopped")
    session = lesson.run_as_asked()
    glass, pressure = column(session, "glass_shown"), column(session, "boiler_pressure")
    assert glass[-1] < glass[0] - 0.2 and pressure[-1] > other(lesson, session, "boiler_pressure")[-1]
    assert column(session, "feed")[60] == 0.0


def test_lying_with_a_hot_fire() -> None:
    lesson = load_lesson("lying-with-a-hot-fire")
    session = lesson.run_as_asked()
    valve, shut = column(session, "safety_valve_flow"), other(lesson, session, "safety_valve_flow")
    first, later = (next(i for i, flow in enumerate(flows) if flow > 0.02) for flows in (valve, shut))
    assert 60 < first < later and max(column(session, "boiler_pressure")) < 1.06 * 6.9e5
    assert column(session, "boiler_water_mass")[-1] < column(session, "boiler_water_mass")[0] - 1.0


def test_injector_at_a_stop() -> None:
    lesson = load_lesson("injector-at-a-stop")
    session = lesson.run_as_asked()
    assert column(session, "glass_shown")[-1] > column(session, "glass_shown")[0] + 0.04
    assert column(session, "feed_temperature")[-1] > other(lesson, session, "feed_temperature")[-1] + 15.0
    assert max(column(session, "shaft_speed")) < 0.2


def test_wood_or_anthracite() -> None:
    lesson = load_lesson("wood-or-anthracite")
    session = lesson.run_as_asked()
    wood, coal = column(session, "heat_to_boiler_rate"), other(lesson, session, "heat_to_boiler_rate")
    assert max(wood) > wood[0] + 1e4 and wood[-1] < max(wood) - 5e3 and max(coal[60:]) < coal[0]
    assert column(session, "bed_fuel_mass")[-1] < other(lesson, session, "bed_fuel_mass")[-1] - 0.5


def test_glass_cock_shut() -> None:
    session = load_lesson("glass-cock-shut").run_as_asked()
    shown, true = column(session, "glass_shown"), column(session, "glass_fraction")
    before, after = 2 * 400, 2 * 430
    assert shown[before] == shown[60] and true[before] < shown[before] - 0.08
    assert shown[after] == true[after]


def test_astern_at_low_pressure() -> None:
    session = load_lesson("astern-at-low-pressure").run_as_asked()
    shaft, margin, speed = (column(session, n) for n in ("shaft_speed", "reversing_margin", "boat_speed"))
    gear = column(session, "reversing_gear")
    over = next(i for i, value in enumerate(gear) if value < 0.0)
    assert margin[over - 1] < 1.0 and shaft[over + 2] > 0.0 and min(shaft) < -1.0 and speed[-1] < 0.0


def test_burner_shut_off() -> None:
    """The heat is gone within a minute; a bed of coal with the damper shut still gives most of its own."""
    lesson = load_lesson("burner-shut-off")
    session = lesson.run_as_asked()
    pressure, heat = column(session, "boiler_pressure"), column(session, "heat_to_boiler_rate")
    assert pressure[-1] < pressure[0] - 0.8e5 < other(lesson, session, "boiler_pressure")[-1] - 0.7e5
    assert heat[2 * 40] < 0.6 * heat[0] and column(session, "burning_rate")[2 * 11] == 0.0
    coal = Session(load_lesson("lying-with-a-hot-fire"))
    coal.set("damper", 0.0)
    coal.advance(40.0)
    assert column(coal, "heat_to_boiler_rate")[-1] > 0.6 * column(coal, "heat_to_boiler_rate")[0]
    assert 20.0 < column(session, "boiler_water_mass")[0] < 30.0


def test_boat_lies_over() -> None:
    """By geometry: the glass stands 150 mm to one side, 100 mm long; the other way it is as much less."""
    session = load_lesson("boat-lies-over").run_as_asked()
    glass, water = column(session, "glass_shown"), column(session, "boiler_water_mass")
    lean = 0.150 * math.tan(math.radians(8.0)) / 0.100
    assert glass[2 * 40] - glass[2 * 15] == pytest.approx(lean, rel=0.06)
    assert abs(water[2 * 80] - water[0]) < 0.2 and glass[-1] == pytest.approx(glass[0], abs=0.02)
    upright = session.day.instruments.glass
    session.day.clock.set(heel=math.radians(-8.0))
    assert upright - session.day.instruments.glass == pytest.approx(lean, rel=0.06)


# Lesson files that are at fault.


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A lesson with its day, to be changed."""
    (tmp_path / "days").mkdir()
    (tmp_path / "days" / "under-way.toml").write_bytes((LESSONS / "days" / "under-way.toml").read_bytes())
    (tmp_path / "mine.toml").write_bytes((LESSONS / "03-cold-feed.toml").read_bytes())
    return tmp_path


def refused(path: Path) -> tuple[Fault, ...]:
    with pytest.raises(ScenarioError) as refusal:
        load_lesson(path)
    return refusal.value.faults


BAD = (
    ("misspelt key", "aim = ", "aims = ", "aims", "did you mean 'aim'?", "aims"),
    ("unknown reading", 'axis = { reading = "boiler_pressure"', 'axis = { reading = "boiler_presure"',
     "question.axis.reading", "a session keeps no reading 'boiler_presure'; did you mean 'boiler_pressure'?",
     '"boiler_presure"'),
    ("unknown number in a text", "The pressure went from {before}", "The pressure went from {befor}",
     "explanation[1].text", "no number is called 'befor'; did you mean 'before'?", '"The pressure went'),
    ("unknown number in a condition", '{ number = "cost", below = "-0.1 bar" }',
     '{ number = "price", below = "-0.1 bar" }', "explanation[1].when[1].number",
     "no number is called 'price'", '"price"'),
    ("a unit that does not fit", '{ number = "cost", below = "-0.1 bar" }',
     '{ number = "cost", below = "-0.1 kg" }', "explanation[1].when[1].below", "is a mass", '"-0.1 kg"'),
    ("an axis in the wrong unit", 'lowest = "4 bar"', 'lowest = "4 kg"', "question.axis.lowest", "is a mass",
     '"4 kg"'),
    ("a move after the end", 'move = { after = "15 s"', 'move = { after = "15 min"',
     "run.asked[1].move.after", "this comes after the run has ended", '"15 min"'),
    ("a control that is none", "hand_pump_on_lake = ", "hand_pump_on_sea = ",
     "run.asked[1].move.hand_pump_on_sea", "did you mean 'hand_pump_on_lake'?", "hand_pump_on_sea"),
    ("a part the boat has not", 'hand_pump_on_lake = "40 strokes/min"', 'burner_rate = "40 %"',
     "run.asked[1].move.burner_rate", "the boat of this day has no burner", '"40 %"'),
    ("a number taken off that stands later", 'minus = "pressure_else"', 'minus = "water"',
     "numbers.cost.minus", "a number taken off must stand before it", '"water"'),
    ("a level for what has none", 'water = { reading = "boiler_water_mass", take = "change" }',
     'water = { reading = "boiler_water_mass", take = "change", level = "3 kg" }', "numbers.water.take",
     "'level' goes with 'first above' and 'first below', and both want it", '"change"'),
    ("a day that is not there", 'day = "under-way"', 'day = "under-wey"', "day", "did you mean 'under-way'?",
     '"under-wey"'),
    ("a condition that asks nothing", '{ number = "cost", below = "-0.1 bar" }', '{ number = "cost" }',
     "explanation[1].when[1]", "this asks for nothing; give 'above', 'below' or both", "{ number"),
    ("a check that asks twice", 'because = "The pressure ended',
     'number = "cost"\nbecause = "The pressure ended',
     "check", "a check asks for a 'number' or has 'choice's: give one of them", "check]"),
    ("nothing to compare with", '[compared]\nname = "nothing more fed"\n', "", "numbers.pressure_else.of",
     "this lesson has no 'compared'", '"the other"'),
)  # fmt: skip


@pytest.mark.parametrize(("what", "old", "new", "key", "says", "names"), BAD, ids=lambda v: str(v)[:30])
def test_what_is_wrong_with_a_lesson_is_told_at_its_place(
    folder: Path, what: str, old: str, new: str, key: str, says: str, names: str
) -> None:
    path = folder / "mine.toml"
    text = path.read_text(encoding="utf-8")
    assert old in text, what
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    fault = next(fault for fault in refused(path) if fault.key == key)
    assert says in fault.message
    assert fault.source_line[fault.column - 1 :].startswith(names)


def test_a_day_at_fault_is_told_with_the_lesson(folder: Path) -> None:
    day = folder / "days" / "under-way.toml"
    day.write_text(
        day.read_text(encoding="utf-8").replace('glass = "40 %"', 'glas = "40 %"'), encoding="utf-8"
    )
    faults = refused(folder / "mine.toml")
    assert [fault.key for fault in faults] == ["orders.glas"] and faults[0].file.endswith("under-way.toml")


def test_lessons_are_found_by_name_number_and_path() -> None:
    names = {load_lesson(name).name for name in ("01-throttle-opened", "1", "throttle-opened", NAMES[0])}
    assert names == {NAMES[0]}
    assert load_lesson(LESSONS / f"{NAMES[0]}.toml").name == NAMES[0]
    with pytest.raises(ScenarioError, match="there is no such lesson; did you mean '02-throttle-shut'"):
        load_lesson("02-throttle-shot")
    assert is_lesson(LESSONS / f"{NAMES[0]}.toml") and not is_lesson("scenarios/02-engine-pump-stops.toml")


def test_there_are_the_lessons_there_ought_to_be() -> None:
    assert len(NAMES) >= 10
    assert [int(name.partition("-")[0]) for name in NAMES] == list(range(1, len(NAMES) + 1))
    assert len({title for _, title in lessons()}) == len(NAMES)


def test_the_example_of_the_readme_is_a_lesson(folder: Path) -> None:
    text = (LESSONS / "README.md").read_text(encoding="utf-8")
    (folder / "whistle.toml").write_text(text.partition("```toml\n")[2].partition("```")[0], encoding="utf-8")
    lesson = load_lesson(folder / "whistle.toml")
    session = lesson.run_as_asked()
    (told,) = lesson.explanation(session, 0.0)
    assert told.startswith("The pressure fell by 0.")


def test_more_steam_same_bypass() -> None:
    lesson = load_lesson("more-steam-same-bypass")
    session = lesson.run_as_asked()
    turns, steam, feed = (column(session, n) for n in ("shaft_speed", "steam_flow_boiler_engine", "feed"))
    assert steam[120] / steam[0] > 1.3 * turns[120] / turns[0] and steam[120] > feed[120]
    water, kept = column(session, "boiler_water_mass"), other(lesson, session, "boiler_water_mass")
    assert water[-1] < water[0] - 1.0 and kept[-1] > kept[0] - 0.5
