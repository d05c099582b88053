"""What may be chosen in a day, and a plan written with it: round settings, keys asked for, keys refused."""

from __future__ import annotations

import random
import re
import shutil
from pathlib import Path

import pytest

from halfglass.scenario.dotted import at
from halfglass.scenario.load import Story, load
from halfglass.scenario.written_plan import plan_toml, written_plan
from halfglass.study.levers import LeverError, bench
from halfglass.study.settings import FINEST, MOST_STEPS

SCENARIOS = Path(__file__).parents[2] / "scenarios"
SHIPPED = sorted(path.name for path in SCENARIOS.glob("*.toml"))
CRUISE = SCENARIOS / "07-two-days-and-two-locks.toml"
PSI = 6894.757293168


@pytest.fixture(scope="module")
def cruise() -> Story:
    return load(CRUISE)


def pasted(story: Story, text: str, folder: Path) -> Story:
    """The story with a plan at the end of its file, loaded anew."""
    if not (folder / "boats").exists():
        shutil.copytree(SCENARIOS / "boats", folder / "boats")
    whole = Path(story.file).read_text(encoding="utf-8") + "\n" + text + "\n"
    (folder / "pasted.toml").write_text(whole, encoding="utf-8")
    return load(folder / "pasted.toml")


def without_plans(story: Story, name: str) -> object:
    return story.for_plan(name).model_copy(update={"plan": ()})


@pytest.mark.parametrize("name", SHIPPED)
def test_a_plan_written_is_the_day_tried(name: str, tmp_path: Path) -> None:
    """Every lever of every shipped plan moved: what is pasted loads to the very day that was simulated."""
    story, rng = load(SCENARIOS / name), random.Random(name)
    for plan in story.plan_names:
        on = bench(story, plan)
        places = tuple(rng.randrange(len(lever.settings)) for lever in on.levers)
        laid = on.laid(places)
        assert laid is not None
        text = plan_toml(on.raw_plan(places, "pasted", "Moved."))
        again = pasted(story, text, tmp_path)
        assert without_plans(again, "pasted") == laid.model_copy(update={"plan": ()}), text


def test_as_written_changes_nothing(cruise: Story, tmp_path: Path) -> None:
    for plan in cruise.plan_names:
        on = bench(cruise, plan)
        assert on.laid(on.as_written) == cruise.for_plan(plan)
        again = pasted(cruise, plan_toml(on.raw_plan(on.as_written, "pasted", "")), tmp_path)
        assert without_plans(again, "pasted") == without_plans(cruise, plan)


def test_the_value_as_written_is_a_setting_of_every_lever(cruise: Story) -> None:
    for plan in cruise.plan_names:
        on = bench(cruise, plan)
        for lever in on.levers:
            for path in lever.paths:
                assert lever.settings[lever.written].value == pytest.approx(at(on.day, path)) or (
                    lever.settings[lever.written].value == at(on.day, path)
                )


def test_settings_go_up_in_round_steps_and_stay_in_reason(cruise: Story) -> None:
    levers = {lever.key: lever for lever in bench(cruise, "as written").levers}
    for lever in levers.values():
        values = [setting.value for setting in lever.settings if setting.value is not None]
        if lever.is_ordered:
            assert values == sorted(set(values))
            assert len(values) <= MOST_STEPS + 2
    pressure = levers["firing.working_pressure"]
    assert pressure.settings[-1].value <= (100.0 - 10.0) * PSI + 1.0  # Sedge's first valve lifts at 100 psi
    steps = [b.value - a.value for a, b in zip(pressure.settings, pressure.settings[1:], strict=False)]
    assert min(steps) >= 0.9 * FINEST["gauge_pressure"]
    assert levers["route[3].throttle"].settings[-1].value == 1.0
    assert all(re.fullmatch(r"\d+ psi", setting.text) for setting in pressure.settings)


def test_only_a_stop_with_a_name_may_be_left_out(cruise: Story) -> None:
    on = bench(cruise, "as written")
    levers = {lever.key: (place, lever) for place, lever in enumerate(on.levers)}
    assert levers["route[7].mass"][1].settings[0].value is not None
    place, lever = levers["route[21].mass"]
    assert lever.settings[0].value is None
    places = (*on.as_written[:place], 0, *on.as_written[place + 1 :])
    laid = on.laid(places)
    assert laid == cruise.for_plan("Tollgate wharf is shut").model_copy(update={"plan": laid.plan})
    assert on.raw_plan(places, "x", "")["drop"] == ["coal at Tollgate"]


def test_a_key_of_several_places_is_one_lever(cruise: Story) -> None:
    on = bench(cruise, "as written", choose=("route.leg.throttle=20 %..40 %",))
    assert [lever.key for lever in on.levers if "throttle" in lever.key] == ["route.leg.throttle"]
    assert len(on.levers[0].paths) == 8
    assert (on.levers[0].settings[0].text, on.levers[0].settings[-1].text) == ("20 %", "40 %")
    laid = on.laid((0, *on.as_written[1:]))
    assert laid is not None
    assert {step.throttle for step in laid.route if step.step == "leg"} == {0.2}


def test_legs_written_differently_can_stay_as_written() -> None:
    on = bench(
        load(SCENARIOS / "01-quiet-lake-day.toml"), "as written", choose=("route.leg.throttle=20 %..40 %",)
    )
    lever = on.levers[0]
    assert lever.settings[lever.written].text == "as written"
    assert on.laid(on.as_written) == on.day


def test_what_is_fixed_is_no_lever(cruise: Story) -> None:
    keys = [lever.key for lever in bench(cruise, "as written", fix=("route.leg.throttle",)).levers]
    assert keys and not any("throttle" in key for key in keys)


def test_words_and_yes_or_no_may_be_chosen(cruise: Story) -> None:
    on = bench(
        cruise, "as written", choose=("orders.clean_grate=true|false", "crew.skill=learning|practised")
    )
    told = [[setting.text for setting in lever.settings] for lever in on.levers[:2]]
    assert told == [["yes", "no"], ["ordinary", "learning", "practised"]]


@pytest.mark.parametrize(
    ("choose", "fix", "says"),
    [
        ("firing.charge", "", "KEY=LOW..HIGH"),
        ("firing.charge=2 kg..1 kg", "", "go up"),
        ("firing.charge=1 psi..2 psi", "", "is a pressure"),
        ("firing.charge=0 kg..2 kg", "", "out of range"),
        ("firing.chrge=1 kg..2 kg", "", "did you mean 'charge'"),
        ("crew.skill=1..2", "", "chosen, not measured"),
        ("crew.skill=clever|learning", "", "crew.skill: "),
        ("boat.engine.bore=2 in..3 in", "", "given, not chosen"),
        ("weather.headwind=0 m/s..1 m/s", "", "given, not chosen"),
        ("route[1].throttle=10 %..20 %", "", "throttle"),
        ("orders.blower_below=10 psi..20 psi", "", "not written"),
        ("firing.burner_rate=50 %..60 %", "", "no burner"),
        ("firing.charge=1 kg..2 kg", "firing.charge", "both"),
        ("title=a|b", "", "given, not chosen"),
    ],
)  # fmt: skip
def test_a_lever_that_cannot_be_is_refused(cruise: Story, choose: str, fix: str, says: str) -> None:
    with pytest.raises(LeverError) as refused:
        bench(cruise, "as written", (choose,), (fix,) if fix else ())
    assert says in str(refused.value)


def test_two_levers_on_one_key_and_none_at_all_are_refused(cruise: Story) -> None:
    twice = ("firing.charge=1 kg..2 kg", "firing.charge=1 kg..3 kg")
    with pytest.raises(LeverError, match="same key"):
        bench(cruise, "as written", twice)
    keys = [lever.key for lever in bench(cruise, "as written").levers]
    with pytest.raises(LeverError, match="nothing is left"):
        bench(cruise, "as written", fix=tuple(keys))


def test_many_legs_written_alike_share_a_lever(tmp_path: Path) -> None:
    shutil.copytree(SCENARIOS / "boats", tmp_path / "boats")
    text = (SCENARIOS / "01-quiet-lake-day.toml").read_text(encoding="utf-8")
    leg = '[[route]]\nstep = "leg"\nto = "Alder jetty"\ndistance = "9 km"\nthrottle = "26 %"\n'
    assert leg in text
    (tmp_path / "day.toml").write_text(text.replace(leg, leg * 12), encoding="utf-8")
    on = bench(load(tmp_path / "day.toml"), "as written")
    assert [len(lever.paths) for lever in on.levers if "throttle" in lever.key] == [13, 1]


def test_values_are_read_where_they_are_written(cruise: Story) -> None:
    plan = written_plan(cruise, "pump packing goes")
    assert plan.value(("firing", "working_pressure")) == "78 psi"
    assert plan.value(("orders", "low_glass")) == ["hand pump on hot well"]  # the plan's own
    assert plan.value(("route", 1, "for_")) == "6 min"
    assert plan.value(("firing", "bed_depth")) is None


def test_text_of_a_plan_is_quoted_where_it_must_be() -> None:
    text = plan_toml(
        {"name": 'a "b"\n', "change": {"x y": {"n": 1.5, "is": True}}, "order": [{"when": {"a": 1}}]}
    )
    assert text == (
        '[[plan]]\nname = "a \\"b\\"\\n"\n\n[plan.change]\n"x y".n = 1.5\n"x y".is = true\n\n'
        "[[plan.order]]\nwhen = { a = 1 }"
    )
