"""The resolved day: steps, orders and faults in words, in the chosen units; what each plan makes of it."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from halfglass.cli import _resolved
from halfglass.day import route as day_route
from halfglass.scenario import route_steps
from halfglass.scenario.load import Story, load
from halfglass.scenario.resolved import resolved

SCENARIOS = Path(__file__).parents[2] / "scenarios"
STEPS = {
    'step = "raise steam"\nuntil = "50 psi"\nat_most = "90 min"\nif_never = "go on"': (
        "until 50 psi; if not within 1 h 30 min: go on"
    ),
    'step = "warm through"': "for 5 min",
    'step = "leg"\nto = "Weir"\ndistance = "8 km"\nturns = "200 rpm"\nstream = "-1 kn"\nheadwind = "4 m/s"': (
        "to Weir, 4.97 mile, holding 200 rpm, headwind 7.78 kn, stream -1 kn; "
        "if not within 12 h: give up the day"
    ),
    'step = "leg"\nname = "slow"\nto = "Reeds"\ndistance = "1 mi"\nspeed = "3 kn"\nat_most = "1 h"': (
        "to Reeds, 1 mile, holding 3 kn; if not within 1 h: give up the day (called 'slow')"
    ),
    'step = "come alongside"\nat = "Reeds"': "at Reeds",
    'step = "manoeuvre"\nmovements = [{ gear = "astern", throttle = "30 %", for = "20 s" }, '
    '{ gear = "stop", for = "1 min" }]': "astern 30 % for 20 s, then stop for 1 min",
    'step = "lock"\nat = "Mill lock"\nwait = "15 min"': (
        "at Mill lock, waits 15 min for the gates, takes 8 min"
    ),
    'step = "lie"\nfor = "40 min"\nfire = "banked"\nat_anchor = true\nkettle = "4 min"': (
        "for 40 min, fire banked, at anchor, steam to the kettle for 4 min"
    ),
    'step = "passengers"\naboard = -3': "3 go ashore, takes 3 min",
    'step = "take on fuel"\nmass = "1 cwt"': "112 lb, takes 10 min",
    'step = "take on water"\nvolume = "10 L"\ntakes = "6 min"': "2.2 imp gal, takes 6 min",
    'step = "whistle"': "for 3 s",
    'step = "blow down"\nfor = "12 s"': "for 12 s",
    'step = "night halt"\nuntil = 07:30:00\nfire = "banked"': "until 07:30, fire banked",
    'step = "by hand"\nfor = "5 min"\nmoves = [{ after = "10 s", throttle = "60 %", whistle = "open" }, '
    '{ after = "2 min", charge = "1 kg", fuel = "anthracite" }]': (
        "for 5 min, after 10 s throttle 60 %, whistle open, then after 2 min charge 2.2 lb, fuel anthracite"
    ),
    'step = "by hand"\nfor = "5 min"\nmoves = [' + '{ after = "1 s", do = "try the glass" }, ' * 21 + "]": (
        "for 5 min, 21 moves"
    ),
    'step = "shut down"': "",
}
FAULTS = {
    'kind = "wind gets up"\nby = "5 m/s"\nat = { clock = 09:30:00, day = 2 }': (
        "wind gets up, by 9.72 kn: at 09:30 on day 2; not put right"
    ),
    'kind = "clinkered grate"\nname = "clinker"\nshare = "30 %"\nat = { arriving = "Weir" }\n'
    'repaired_after = "20 min"': (
        "clinkered grate, share 30 %: arriving at Weir; put right after 20 min (called 'clinker')"
    ),
    'kind = "safety valve weeps"\nat = { pressure_below = "4 bar" }': (
        "safety valve weeps: once pressure below 58 psi; not put right"
    ),
    'kind = "one of the crew ashore"\nname = "ashore"\nat = { leaving = "Mill lock", plus = "5 min" }': (
        "one of the crew ashore: 5 min after leaving Mill lock; not put right (called 'ashore')"
    ),
}
ORDER = """
[[order]]
name = "fire in"
when = { pressure_above = "85 psi", glass_below = "60 %" }
for = "3 min"
do = "set damper"
to = "5 %"
until = { bed_below = "50 mm" }
"""
PLANS = """
[[plan]]
name = "all of it"
about = "Everything a plan can do."
drop = ["fire in", "ashore"]

[plan.change]
crew.hands = 1
crew.skill = "practised"
weather.air_temperature = "10 °C"
boat.feed.hand_pump.stroke_volume = "40 mL"

[[plan.step]]
after = "slow"
does = { step = "whistle" }

[[plan.order]]
name = "bale"
when = { hotwell_below = "10 %" }
do = "bale into the hot well"

[[plan.fault]]
kind = "boat heels"
to = "5 deg"
at = { glass_below = "1/4" }

[[plan]]
name = "the day itself"
"""


def words(story: Story) -> list[str]:
    """The resolved day, each line as one run of words."""
    return [" ".join(f"{left} {text}".split()) for left, text in resolved(story)]


@pytest.fixture
def story(tmp_path: Path) -> Story:
    text = (SCENARIOS / "01-quiet-lake-day.toml").read_text(encoding="utf-8")
    head = text[: text.index("[[route]]")].replace("light_up", 'units = "trade"\nlight_up')
    steps = "".join(f"[[route]]\n{step}\n\n" for step in STEPS)
    faults = "".join(f"[[fault]]\n{fault}\n\n" for fault in FAULTS)
    shutil.copytree(SCENARIOS / "boats", tmp_path / "boats")
    (tmp_path / "day.toml").write_text(head + steps + faults + ORDER + PLANS, encoding="utf-8")
    return load(tmp_path / "day.toml")


def test_every_kind_of_step_is_told(story: Story) -> None:
    told = words(story)
    kinds = [step.step for step in story.base.route]
    assert set(kinds) == {_kind(step) for step in _steps()}
    for number, (kind, said) in enumerate(zip(kinds, STEPS.values(), strict=True), start=1):
        assert f"{number}. {kind} {said}".strip() in told
    assert day_route.LONGEST_LEG == route_steps.LONGEST_LEG


def _steps() -> tuple[type, ...]:
    return tuple(route_steps.Step.__origin__.__args__)  # type: ignore[attr-defined]


def _kind(step: type) -> str:
    return str(step.model_fields["step"].annotation.__args__[0])  # type: ignore[attr-defined]


def test_orders_and_faults_are_told(story: Story) -> None:
    told = words(story)
    assert (
        "own order 'fire in': glass below 60 % and pressure above 85 psi for 3 min: set damper to 5 %, "
        "until bed below 1.97 in" in told
    )
    for said in FAULTS.values():
        assert f"fault {said}" in told


def test_what_a_plan_changes_adds_and_drops_is_told(story: Story) -> None:
    told = words(story)
    after = told[told.index("plan: all of it") :]
    assert after[: after.index("plan: the day itself")] == [
        "plan: all of it",
        "Everything a plan can do.",
        "changes crew.hands: 1 (was 2)",
        "changes crew.skill: practised (was ordinary)",
        "changes weather.air_temperature: 50 °F (was 60.8 °F)",
        "changes boat.feed.hand_pump.stroke_volume: 0.0088 imp gal (was 0.0132 imp gal)",
        "drops fire in",
        "drops ashore",
        "adds after slow: whistle for 3 s",
        "adds order 'bale': hotwell below 10 %: bale into the hot well, until that has passed",
        "adds fault boat heels, to 5 deg: once glass below 25 %; not put right",
    ]
    assert after[-3:] == ["plan: the day itself", "the day as written", "nothing wrong found"]


@pytest.mark.parametrize("choice", ["metric", "trade", "trade, pressure=kPa, mass=cwt"])
@pytest.mark.parametrize("path", sorted(SCENARIOS.glob("*.toml")), ids=lambda path: path.stem)
def test_every_shipped_day_is_told_in_80_columns(path: Path, choice: str) -> None:
    text = _resolved(load(path).in_units(choice))
    assert max(len(line) for line in text.splitlines()) <= 80
    assert text.rstrip().endswith("nothing wrong found")
    assert "None" not in text and "  ," not in text
