"""One of each kind is really added, by the recipe of DEVELOPERS.md, and a day is run with it.

The program is copied, the edits are made in the copy, and the day runs there as plain Python. The files
touched must be those the recipe names, neither more nor fewer.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
DAY = """
title = "Out to the steps"
boat = "teal"
light_up = 09:00:00
aboard = { fuel = "steam coal", fuel_mass = "20 kg", hotwell = "8 L" }
firing = { working_pressure = "75 psi" }
route = [
    { step = "raise steam", until = "20 psi" },
    { step = "leg", to = "The steps", distance = "600 m", throttle = "40 %" },
    { step = "shut down" },
]
"""
RUN = """
import json, sys
import halfglass
outing = halfglass.run(halfglass.load(sys.argv[1]))
print(json.dumps({
    "outcome": outing.verdict.outcome.kind,
    "critical": {item.item: item.because for item in outing.verdict.critical},
    "near": {near.item: near.margin_fraction for near in outing.verdict.nearest},
    "log": [*outing.log["text"]],
    "totals": outing.totals,
    "closes": [outing.ledger.mass_relative, outing.ledger.energy_relative],
    "columns": list(outing.timeline.columns),
}))
"""


class Copy:
    """A copy of the program in which things are added."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.package = folder / "sim" / "halfglass"
        shutil.copytree(ROOT / "sim", folder / "sim", ignore=shutil.ignore_patterns("__pycache__"))
        self.touched: set[str] = set()

    def put(self, file: str, text: str, *, after: str = "", before: str = "") -> None:
        """Put text behind, or in front of, a piece of a file that stands there once."""
        path, mark = self.package / file, after or before
        old = path.read_text(encoding="utf-8")
        assert old.count(mark) == 1, f"{file} has {mark!r} {old.count(mark)} times"
        path.write_text(old.replace(mark, mark + text if after else text + mark), encoding="utf-8")
        self.touched.add(file)

    def write(self, file: str, text: str) -> None:
        """A file that was not there."""
        assert not (self.package / file).exists()
        (self.package / file).write_text(text, encoding="utf-8")
        self.touched.add(file)

    def run(self, day: str = DAY, program: str = RUN, **beside: str) -> dict[str, Any]:
        """What came of a day; `beside` are boat files written beside it."""
        for name, text in beside.items():
            (self.folder / f"{name}.toml").write_text(text, encoding="utf-8")
        (self.folder / "day.toml").write_text(day, encoding="utf-8")
        settings = {**os.environ, "PYTHONPATH": str(self.folder / "sim"), "HALFGLASS_PLAIN": "1"}
        done = subprocess.run(
            [sys.executable, "-c", program, "day.toml"],
            cwd=self.folder, env=settings, capture_output=True, text=True,
        )  # fmt: skip
        assert done.returncode == 0, done.stderr
        told: dict[str, Any] = json.loads(done.stdout)
        return told


@pytest.fixture
def copy(tmp_path: Path) -> Copy:
    return Copy(tmp_path)


def named_in_recipe(kind: str) -> set[str]:
    """The files of the program that the recipe for a kind names."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    recipe = re.search(rf"^- \*{kind}\*: (.*?)(?=^- \*|^$)", text, re.MULTILINE | re.DOTALL)
    assert recipe is not None, f"DEVELOPERS.md does not say how to add {kind.lower()}"
    files = re.findall(r"`([a-z_/]+(?:/|\.py))`", recipe.group(1).split(" If ")[0])
    return {file for file in files if not file.startswith("tests/")}


def assert_recipe_is_exact(kind: str, copy: Copy) -> None:
    """A new file stands in the recipe as its folder."""
    named = named_in_recipe(kind)
    touched = {
        f"{Path(file).parent.as_posix()}/" if not (ROOT / "sim" / "halfglass" / file).exists() else file
        for file in copy.touched
    }
    assert touched == named


def assert_closes(told: dict[str, Any]) -> None:
    assert told["outcome"] == "arrived"
    assert max(abs(share) for share in told["closes"]) < 1e-6


def test_a_fuel(copy: Copy) -> None:
    peat = '    Fuel("peat", 0.30, 0.45, 0.20, 0.05, 0.04, 14.0e6, 0.01, 150.0, 400.0, 200.0),\n'
    copy.put("scenario/catalogue/fuels.py", peat, after="_ALL = (\n")
    told = copy.run(DAY.replace("steam coal", "peat"))
    assert_closes(told)
    assert told["totals"]["fuel_used_kg"] > 5.0
    assert_recipe_is_exact("A fuel", copy)


@pytest.mark.long
def test_a_boiler_shape(copy: Copy) -> None:
    folder = "scenario/catalogue/boiler_shapes"
    text = (ROOT / "sim" / "halfglass" / folder / "water_tube.py").read_text(encoding="utf-8")
    text = text.replace("class WaterTube", "class TwoDrum").replace('"water-tube"', '"two-drum"')
    drum = "drum = math.pi * self.drum_diameter * self.drum_length"
    assert drum in text
    copy.write(f"{folder}/two_drum.py", text.replace(drum, drum.replace("math", "2 * math")))
    module = "from halfglass.scenario.catalogue.boiler_shapes.two_drum import TwoDrum\n"
    copy.put(f"{folder}/__init__.py", module, after="import Locomotive\n")
    copy.put(f"{folder}/__init__.py", " | TwoDrum", after="AnyBoiler = VerticalFireTube")
    boat = (copy.package / "scenario" / "templates" / "boats" / "coot.toml").read_text(encoding="utf-8")
    assert 'kind = "water-tube"' in boat
    boat = boat.replace('kind = "water-tube"', 'kind = "two-drum"')
    assert_closes(copy.run(DAY.replace("teal", "raft"), raft=boat))
    assert_recipe_is_exact("A boiler shape", copy)


@pytest.mark.long
def test_a_fault(copy: Copy) -> None:
    table = '''class DamperJams(Repairable):
    """The damper jams nearly shut."""

    subject = "fire"
    sentence = "The damper is jammed."
    mended = {"damper": 1.0}
    kind: Literal["damper jams"] = Field(description="what goes wrong")

    def settings(self) -> dict[str, float]:
        return {"damper": 0.05}


'''
    copy.put("scenario/fault_models.py", table, before="class CrewAshore(")
    fault = '\n[[fault]]\nkind = "damper jams"\nat = { clock = 09:20:00 }\nrepaired_after = "2 min"\n'
    told = copy.run(DAY + fault)
    assert_closes(told)
    assert "The damper is jammed." in told["log"] and "Put right: the damper is jammed." in told["log"]
    assert_recipe_is_exact("A fault", copy)


@pytest.mark.long
def test_a_lesson(copy: Copy) -> None:
    """The lesson of `lessons/README.md`."""
    lessons = copy.package / "classroom" / "lessons"
    written = re.search(r"```toml\n(.*?)```", (lessons / "README.md").read_text(encoding="utf-8"), re.DOTALL)
    assert written is not None
    copy.write("classroom/lessons/99-whistle.toml", written.group(1))
    told = copy.run(
        program="""
import json
from halfglass.classroom.lesson import lessons, load_lesson
lesson = load_lesson("99-whistle")
session = lesson.run_as_asked()
print(json.dumps({"names": [name for name, _ in lessons()], "ended": session.ended, "now": session.now,
                  "numbers": dict(lesson.numbers(session, 0.0))}, default=str))
"""
    )
    assert told["names"][-1] == "99-whistle" and told["ended"] is None and told["now"] == 40.0
    assert float(told["numbers"]["fell"]) > 1e3  # Pa
    assert_recipe_is_exact("A lesson", copy)


@pytest.mark.long
def test_a_critical_item(copy: Copy) -> None:
    """On a reading that no other item is about."""
    row = '    Limit("engine", "racing", "watch", "shaft_speed", ABOVE, lambda m: 1.8, STEAMING),\n'
    copy.put("result/limits.py", row, after="LIMITS: tuple[Limit, ...] = (\n")
    told = copy.run()
    assert_closes(told)
    assert told["critical"]["racing"] == "shaft speed rose; no single cause stands out"
    assert told["near"]["racing"] < 0.0
    assert_recipe_is_exact("A critical item", copy)


@pytest.mark.long
def test_a_feed_source(copy: Copy) -> None:
    """A pump on the lake driven by a motor; its work is counted with that of the hands."""
    name = "motor pump on lake"
    add_motor_pump(copy, name)
    boat = (copy.package / "scenario" / "templates" / "boats" / "teal.toml").read_text(encoding="utf-8")
    boat += '\n[feed.motor_pump]\ndelivery = "120 kg/h"\n'
    # no engine pump: the bypass stays open, and the glass is low from the start
    orders = (
        f'orders = {{ low_glass = ["{name}"], glass = "0 %", act_below = "60 %", stop_above = "80 %" }}\n'
    )
    told = copy.run(DAY.replace("teal", "raft").replace("aboard =", f"{orders}aboard ="), raft=boat)
    assert_closes(told)
    fed = told["totals"]["feed_motor_pump_kg"]
    assert fed > 1.0 and told["totals"]["lake_water_taken_kg"] >= fed
    assert any(column.startswith("feed_flow_motor_pump") for column in told["columns"])
    assert_recipe_is_exact("A feed source", copy)


def add_motor_pump(copy: Copy, name: str) -> None:
    """By the recipe, file by file in its order."""
    boat = "scenario/boat.py"
    table = (
        "class MotorPump(Table):\n"
        '    """A pump on the lake driven by a motor."""\n\n'
        '    delivery: PositiveFlow = Field(description="water it feeds")\n\n\n'
    )
    copy.put(boat, table, before="class Feed(Table):")
    key = '    motor_pump: MotorPump | None = Field(default=None, description="the pump driven by a motor")\n'
    copy.put(boat, key, before="    lake_solids: DissolvedSolids")
    has = f'        if self.feed.motor_pump is not None:\n            sources.append("{name}")\n'
    copy.put(boat, has, before="        return tuple(sources)")
    copy.put(
        "scenario/order_models.py", f', "{name}"', after='FeedSource = Literal["engine pump", "injector"'
    )
    plant = "plant/parameters.py"
    copy.put(plant, "    motor_pump_delivery: float  # kg/s\n", before="    lake_solids_fraction: float")
    copy.put(
        plant, "    motor_pump: float = 0.0  # 1 while it runs\n", before="    cylinder_drains: float = 0.0"
    )
    copy.put(
        "scenario/catalogue/reduce.py",
        "        motor_pump_delivery=feed.motor_pump.delivery if feed.motor_pump else 0.0,\n",
        before="        lake_solids_fraction=",
    )
    equation = (
        "@kernel\ndef motor_pump_flow(feed: Feed, running: float) -> float:\n"
        '    """Water the motor pump feeds [kg/s], whatever the pressure."""\n'
        "    return feed.motor_pump_delivery * running\n\n\n"
    )
    copy.put("plant/feed.py", equation, before="@kernel\ndef coil_heat(")
    add_motor_pump_to_the_books(copy)
    crew = "day/feeding.py"
    on = (
        f'        if way == "{name}":\n'
        "            self.clock.set(motor_pump=1.0)\n"
        '            self.day.log("crew", "feed", "motor pump on", f"Glass {shown}: motor pump on.")\n'
        "            return True\n"
    )
    copy.put(crew, on, before="        self.man(way, shown)\n        return True")
    copy.put(
        crew, "        self.clock.set(motor_pump=0.0)\n", before="        if running:\n            why ="
    )


def add_motor_pump_to_the_books(copy: Copy) -> None:
    """Booked in the plant, and told of the day."""
    water = "plant/water_balance.py"
    copy.put(water, "    motor_pump_flow,\n", before="    suction_fraction,\n")
    flow = "    motor = motor_pump_flow(feed, settings.motor_pump)\n"
    copy.put(water, flow, before="    lake_enthalpy = WATER_HEAT")
    copy.put(water, " + motor", after="    hand_work = (hand_hot + hand_lake")
    copy.put(water, " + motor", after="    coil_feed = to_boiler + hand_hot + hand_lake")
    copy.put(water, "    coil_heat_in += motor * lake_enthalpy\n", before="    coil_heat_in += hand_work")
    booked = "    reading[r.FEED_FLOW_MOTOR_PUMP] = motor\n    rate[y.TOTAL_FEED_MOTOR_PUMP] = motor\n"
    copy.put(water, booked, before="    reading[r.FEED_FLOW_INJECTOR] = steam + lifted")
    copy.put(water, " + motor", after="    lake_water = hand_lake")
    copy.put("plant/state.py", "TOTAL_FEED_MOTOR_PUMP = _place()\n", before="TOTAL_LAKE_WATER = _place()")
    reading = "FEED_FLOW_MOTOR_PUMP = _place()  # kg/s into the boiler\n"
    copy.put("plant/reading.py", reading, before="FEED_TEMPERATURE = _place()")
    meaning = '    _reading("feed_flow_motor_pump", "mass_flow", 0.0, 5.0, "feed by the motor pump"),\n'
    copy.put("vocabulary/quantities.py", meaning, before='    _reading("hand_pump_stroke_rate"')
    record = "day/record.py"
    total = '        "feed_motor_pump_kg": float(gain[y.TOTAL_FEED_MOTOR_PUMP]),\n'
    copy.put(record, total, before='        "feed_injector_kg": float(')
    copy.put(
        record, "y.TOTAL_FEED_MOTOR_PUMP, ", before="y.TOTAL_FEED_HAND_PUMP_LAKE, y.TOTAL_FEED_INJECTOR,"
    )
    taken = "            - gain[y.TOTAL_FEED_MOTOR_PUMP]\n"
    copy.put(record, taken, before="            - (0.0 if day.parameters.feed.injector_from_hotwell")
    lake = "    from_lake += gain[y.TOTAL_FEED_MOTOR_PUMP]\n"
    copy.put(
        "day/energy_account.py", lake, before="    if plant.parameters.feed.injector_from_hotwell <= 0.5:"
    )
