"""No scenario text, however spoilt, gives a traceback, hangs, or has a key that is silently ignored.

Every shipped scenario and boat file is spoilt in ways drawn from a seeded source of chance: the name of a
failing case (file and number) makes it again. What still loads is run now and then.
"""

from __future__ import annotations

import datetime
import math
import random
import re
import shutil
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from mutations import QUANTITIES, spoil
from scenario_grammar import as_toml, documents, places
from scenario_text import loaded, loaded_boat, ran

from halfglass import cli
from halfglass.scenario.load import load
from halfglass.vocabulary import units
from halfglass.vocabulary.errors import ScenarioError
from halfglass.vocabulary.unit_table import KINDS

SCENARIOS = Path(__file__).parents[2] / "scenarios"
FILES = sorted(str(path.relative_to(SCENARIOS)) for path in SCENARIOS.rglob("*.toml"))
FEW, MANY = 40, 1100
"""Cases for each file in the usual run and in the long one."""
RUN_ONE_IN = 20
DRAWN = settings(max_examples=max(25, settings.default.max_examples // 4))
"""A drawn document takes long to draw."""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The shipped scenarios in a folder of their own, where they may be spoilt."""
    return Path(shutil.copytree(SCENARIOS, tmp_path / "scenarios"))


def user_of(folder: Path, name: str) -> Path:
    """The scenario that a file is loaded through: itself, or one that names it as its boat."""
    if not name.startswith("boats/"):
        return folder / name
    for path in sorted(folder.glob("*.toml")):
        if f'"{name}"' in path.read_text(encoding="utf-8"):
            return path
    return folder / name


def check_case(folder: Path, name: str, number: int, counts: Counter[str]) -> None:
    """Spoil a file as its number says, load it and perhaps run it."""
    chance = random.Random(f"{name} {number}")
    spoilt = spoil(chance, (SCENARIOS / name).read_text(encoding="utf-8"))
    (folder / name).write_bytes(spoilt.data)
    scenario = user_of(folder, name)
    day = loaded_boat(folder / name) if name.startswith("boats/") else None
    story = loaded(scenario)
    counts["refused" if story is None else "loaded"] += 1
    assert not (spoilt.must_refuse and story), "a key that no table knows was taken"
    assert not (spoilt.must_refuse and day), "a key that no table knows was taken in a boat"
    if story is not None and chance.randrange(RUN_ONE_IN) == 0:
        plan = story.plan_names[0]
        counts[ran(story.for_plan(plan), plan).verdict.outcome.kind] += 1


def check_cases(folder: Path, name: str, cases: int) -> None:
    counts: Counter[str] = Counter()
    for number in range(cases):
        try:
            check_case(folder, name, number, counts)
        except BaseException as error:
            error.add_note(f"case {number} of {name}")
            raise
    print(f"{name}: {dict(counts)}")
    assert counts["loaded"] >= cases // 12, "the mutations are too rough to tell anything of what loads"
    assert counts["refused"] >= cases // 12, "the mutations are too gentle"


@pytest.mark.parametrize("name", FILES)
def test_spoilt_text(name: str, folder: Path) -> None:
    check_cases(folder, name, FEW)


@pytest.mark.long
@pytest.mark.parametrize("name", FILES)
def test_much_spoilt_text(name: str, folder: Path) -> None:
    check_cases(folder, name, MANY)


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder of shipped scenarios in which drawn ones are written."""
    return Path(shutil.copytree(SCENARIOS, tmp_path_factory.mktemp("text") / "scenarios"))


@DRAWN
@given(document=documents())
def test_drawn_from_the_tables(document: dict[str, Any], shared: Path) -> None:
    """Every entry by itself is right: none may be refused as unknown, of the wrong kind or out of range."""
    path = shared / "drawn.toml"
    path.write_text(as_toml(document), encoding="utf-8")
    try:
        load(path)
    except ScenarioError as error:
        for fault in error.faults:
            assert not re.search("no such key|out of range|this wants|is missing", fault.message), fault
    loaded(path)


@DRAWN
@given(document=documents(), data=st.data())
def test_drawn_with_one_key_too_many(document: dict[str, Any], data: st.DataObject, shared: Path) -> None:
    """A key that no table knows is refused wherever it is put, at its place."""
    tables = [place for place in places(document) if isinstance(at(document, place), dict)]
    place = data.draw(st.sampled_from(tables))
    at(document, place)["strange_thing"] = data.draw(st.sampled_from([1, True, "1 kg", [], {}]))
    path = shared / "drawn.toml"
    path.write_text(as_toml(document), encoding="utf-8")
    with pytest.raises(ScenarioError) as caught:
        load(path)
    told = [fault for fault in caught.value.faults if "strange_thing" in fault.key]
    assert told and all("strange_thing" in fault.source_line for fault in told)
    assert loaded(path) is None


@DRAWN
@given(document=documents(), data=st.data())
def test_drawn_with_one_wrong_value(document: dict[str, Any], data: st.DataObject, shared: Path) -> None:
    """A value of no use to any key is refused wherever it is put."""
    place = data.draw(st.sampled_from([p for p in places(document) if p and p[-1] != "change"]))
    table, key = at(document, place[:-1]), place[-1]
    table[key] = data.draw(
        st.sampled_from([float("nan"), 10**30, datetime.datetime(2030, 1, 1), {"a": 1}, [[]], ""])
    )
    path = shared / "drawn.toml"
    path.write_text(as_toml(document), encoding="utf-8")
    is_free_text = table[key] == "" and key in ("story", "about")
    assert (loaded(path) is None) or is_free_text


def at(value: Any, place: tuple[str | int, ...]) -> Any:
    for part in place:
        value = value[part]
    return value


SYMBOLS = sorted({unit.symbol for kind in KINDS.values() for unit in kind.units})
PIECES = st.sampled_from(
    [*SYMBOLS, *QUANTITIES, "1", "1/2", "1e3", " ", "-", "+", ".", ",", "/", "½", "٣", "\x00"]
)


@given(
    text=st.one_of(
        st.text(max_size=90), st.lists(PIECES, max_size=6).map(" ".join), st.lists(PIECES).map("".join)
    ),
    kind=st.sampled_from(sorted(KINDS)),
)
def test_any_text_as_a_quantity(text: str, kind: str) -> None:
    """A finite number, or one line that says what is wanted."""
    try:
        value = units.parse(text, kind)
    except units.UnitError as error:
        assert error.message.isprintable() and 0 < len(error.message) < 500
    else:
        assert math.isfinite(value)


ONE_CAPTURE = settings(
    max_examples=100, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow]
)
ODD = ["", " ", "-", "--", "--plan", "\x00", "as written",
       "AS WRITTEN", "x" * 5000, "\u202e", "-1", "1e9", "0x1",
       "NaN", "9" * 40, "..", "/", "é", "--seed=0"]  # fmt: skip


@ONE_CAPTURE
@given(
    option=st.sampled_from(["--plan", "--seed", "--units", "--fail-on", "--out", "--jsn", "-p", ""]),
    value=st.one_of(st.sampled_from(ODD), st.text(max_size=12)),
)
def test_odd_arguments(option: str, value: str, shared: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Whatever is given beside a scenario that is refused: words, code 2, no traceback."""
    bad = shared / "bad.toml"
    bad.write_text("title = 1\n", encoding="utf-8")
    with pytest.raises(SystemExit) as left:
        cli.main(["run", str(bad), *filter(None, [option]), value])
    said = capsys.readouterr()
    assert left.value.code in (0, 2), said.err
    assert "Traceback" not in said.err and "halfglass failed" not in said.err


@settings(ONE_CAPTURE, max_examples=40)
@given(name=st.one_of(st.sampled_from(ODD), st.text(max_size=12)))
def test_odd_plan_names(name: str, shared: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A plan that the scenario does not have is refused in words, nothing is run."""
    assume(name != "as written")
    with pytest.raises(SystemExit) as left:
        cli.main(
            ["run", str(shared / "01-quiet-lake-day.toml"), f"--plan={name}", "--out", str(shared / "out")]
        )
    said = capsys.readouterr()
    assert left.value.code == 2
    assert "the scenario has no plan" in said.err and "Traceback" not in said.err
