"""Bad scenarios through the real command: refused at once, in plain words, at their place, leaving nothing.

Each row breaks one of the scenarios that are shipped; nothing stands in for anything here.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

import halfglass
from halfglass import cli

SOURCE = Path(halfglass.__file__).parents[1]
SCENARIOS = Path(__file__).parents[2] / "scenarios"
LAKE, PUMP, SEDGE = "01-quiet-lake-day.toml", "02-engine-pump-stops.toml", "boats/sedge.toml"
COMPOUND, GOOSANDER = "05-compound-and-vacuum.toml", "boats/goosander.toml"
TOP_NUT = 'top_nut = "730 mm"'
STEPS = "'raise steam', 'warm through', 'leg', 'come alongside', 'manoeuvre', 'lock', 'lie', 'passengers'"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The shipped scenarios in a folder of their own, where the command is run."""
    monkeypatch.chdir(shutil.copytree(SCENARIOS, tmp_path / "scenarios"))
    return Path.cwd()


@dataclass(frozen=True)
class Refused:
    """What the command said: exit code and stderr."""

    code: int
    said: str


@pytest.fixture
def refuse(folder: Path, capsys: pytest.CaptureFixture[str]) -> Callable[..., Refused]:
    """Runs the command, which must refuse: code 2, words on stderr only, nothing written anywhere."""

    def call(*arguments: str) -> Refused:
        before = sorted(folder.parent.rglob("*"))
        with pytest.raises(SystemExit) as left:
            cli.main(["run", *arguments])
        printed = capsys.readouterr()
        assert left.value.code == 2, printed
        assert printed.out == ""
        assert "Traceback" not in printed.err
        assert "running plan" not in printed.err
        assert sorted(folder.parent.rglob("*")) == before
        return Refused(2, printed.err)

    return call


def edit(name: str, old: str, new: str) -> int:
    """Change one entry of a file; returns the line it stands in."""
    path = Path(name)
    text = path.read_text(encoding="utf-8")
    assert text.count(old) >= 1, f"{name} no longer has {old}"
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    return text[: text.index(old)].count("\n") + 1


@dataclass(frozen=True)
class Bad:
    """One entry changed: which scenario is run, what is said of which key, and what help is given.

    `names` is the text of the line at which the caret must point.
    """

    what: str
    scenario: str
    file: str
    old: str
    new: str
    key: str
    help: str
    names: str


BAD = [
    Bad("syntax error", LAKE, LAKE, "hands = 2", "hands 2", "",
        "a line must read 'name = value', or be a [heading] or a # comment", "2"),
    Bad("unit without quotes", LAKE, LAKE, '"60 kg"', "60 kg", "",
        'a value with a unit goes in quotes: "60 kg"', "60 kg"),
    Bad("key given twice", LAKE, LAKE, "hands = 2", "hands = 2\nhands = 1", "crew.hands",
        "this is given twice; keep one of them", "hands = 1"),
    Bad("misspelt key", LAKE, LAKE, "fuel_mass", "feul_mass", "aboard.feul_mass",
        "did you mean 'fuel_mass'? Here may stand: 'boiler_solids', 'cloth_oil'", "feul_mass"),
    Bad("misspelt table", LAKE, LAKE, "[weather]", "[wether]", "wether",
        "did you mean 'weather'? Here may stand: 'aboard', 'boat'", "wether]"),
    Bad("misspelt table of a boat", LAKE, SEDGE, "[chimney]", "[chimny]", "boat.chimny",
        "did you mean 'chimney'?", "chimny]"),
    Bad("wrong unit", LAKE, LAKE, '"60 kg"', '"60 psi"', "aboard.fuel_mass",
        "'60 psi' is a pressure; this wants a mass such as '40 kg'", '"60 psi"'),
    Bad("bare number", LAKE, LAKE, '"60 kg"', "60", "aboard.fuel_mass",
        "60 is a bare number; this wants a mass such as '40 kg', in quotes", "60"),
    Bad("decimal comma", LAKE, LAKE, '"9 km"', '"9,5 km"', "route[3].distance",
        "write it with a point, '9.5 km'", '"9,5 km"'),
    Bad("negative mass", LAKE, LAKE, '"60 kg"', '"-60 kg"', "aboard.fuel_mass",
        "'-60 kg' is out of range; this must be from 0 kg to 50000 kg", '"-60 kg"'),
    Bad("nan in text", LAKE, LAKE, '"60 kg"', '"nan kg"', "aboard.fuel_mass",
        "'nan kg' is not a number that can be used; this wants a mass such as '40 kg'", '"nan kg"'),
    Bad("bare nan", LAKE, SEDGE, "pitch_ratio = 1.2", "pitch_ratio = nan", "boat.propeller.pitch_ratio",
        "this must be an ordinary number, not nan", "nan"),
    Bad("absolute pressure for a gauge one", LAKE, LAKE, '"78 psi"', '"78 psia"', "firing.working_pressure",
        "'78 psia' is an absolute pressure; this wants a gauge pressure such as '75 psi' "
        "(a gauge reads above the air outside", '"78 psia"'),
    Bad("time of day without seconds", LAKE, LAKE, "08:15:00", "8:15", "",
        "a time of day is written with seconds: 08:15:00", "8:15"),
    Bad("glass above the shell", LAKE, SEDGE, TOP_NUT, 'top_nut = "930 mm"', "boat.boiler.glass.top_nut",
        "the glass reaches above the shell, which ends at 0.920 m", '"930 mm"'),
    Bad("top nut under the bottom nut", LAKE, SEDGE, TOP_NUT, 'top_nut = "510 mm"',
        "boat.boiler.glass.top_nut", "the top nut must be above the bottom nut", '"510 mm"'),
    Bad("tubes above the firebox crown", COMPOUND, GOOSANDER, 'highest_tube = "485 mm"',
        'highest_tube = "510 mm"', "boat.boiler.highest_tube", "the tubes must end below the firebox crown",
        '"510 mm"'),
    Bad("grate larger than the firebox", COMPOUND, GOOSANDER, '"0.16 m2"', '"0.25 m2"',
        "boat.fire.grate_area", "the furnace has no room for so large a grate, only for 0.200 m2",
        '"0.25 m2"'),
    Bad("heel in the wrong unit", COMPOUND, COMPOUND, 'heel = "1 deg"', 'heel = "1 m"', "aboard.heel",
        "'1 m' is a length; this wants an angle such as '3 deg'", '"1 m"'),
    Bad("safety valve below the working pressure", LAKE, LAKE, '"78 psi"', '"110 psi"',
        "firing.working_pressure", "the first safety valve is set below this working pressure", '"110 psi"'),
    Bad("boat that is the scenario", LAKE, LAKE, "boats/sedge.toml", LAKE, "boat",
        "this names the scenario itself as its boat file", f'"{LAKE}"'),
    Bad("boat file that names a boat file", LAKE, SEDGE, 'name = "Sedge"', 'boat = "sedge.toml"', "boat",
        "'boats/sedge.toml' is a scenario, not a boat: it has a 'boat'", '"boats/sedge.toml"'),
    Bad("missing boat file", LAKE, LAKE, "boats/sedge.toml", "boats/sege.toml", "boat",
        "'boats/sege.toml': there is no such file; did you mean 'sedge.toml'?", '"boats/sege.toml"'),
    Bad("unknown step", LAKE, LAKE, '"warm through"', '"warm thru"', "route[2].step",
        f"did you mean 'warm through'? This wants one of {STEPS}", '"warm thru"'),
    Bad("unknown kind of fault", PUMP, PUMP, '"engine pump stops delivering"', '"engine pump stop"',
        "fault[1].kind", "did you mean 'engine pump stops delivering'? This wants one of 'engine pump",
        '"engine pump stop"'),
    Bad("fault at a place not on the route", PUMP, PUMP, 'leaving = "Alder jetty"', 'leaving = "Adler jetty"',
        "fault[1].at.leaving", "'Adler jetty' is not on the route; did you mean 'Alder jetty'?",
        '"Adler jetty"'),
    Bad("two plans of one name", PUMP, PUMP, 'name = "injector"', 'name = "feed left alone"', "plan[4].name",
        "another plan has this name", '"feed left alone"'),
    Bad("plan that changes an unknown key", PUMP, PUMP, "crew.hands", "crew.hnds", "crew.hnds",
        "there is no such key here; did you mean 'hands'? Here may stand: 'firing_takes', 'hands'", "hnds"),
    Bad("plan that changes an unknown table", PUMP, PUMP, "crew.hands", "crw.hands", "crw",
        "there is no such key here; did you mean 'crew'?", "crw"),
    Bad("plan with a wrong unit", PUMP, PUMP, '"15 %"', '"15 kg"', "orders.throttle_when_low",
        "'15 kg' is a mass; this wants a fraction such as", '"15 kg"'),
    Bad("empty route", LAKE, LAKE, "[crew]", "route = []\n[crew]", "route",
        "this list must have at least 1 entry; it has 0", "[]"),
]  # fmt: skip


@pytest.mark.parametrize("bad", BAD, ids=lambda bad: bad.what)
def test_one_wrong_entry(bad: Bad, refuse: Callable[..., Refused]) -> None:
    edit(bad.file, bad.old, bad.new)
    if bad.what == "empty route":
        _cut_route()
    said = refuse(bad.scenario, "--out", "out").said.splitlines()
    at = next(number for number, line in enumerate(said) if bad.help in line)
    place, _, rest = said[at].partition(": ")
    named, line, column = place.rsplit(":", 2)
    wanted = bad.scenario if bad.key == "boat" else bad.file
    assert named == wanted
    source = Path(wanted).read_text(encoding="utf-8").splitlines()[int(line) - 1]
    assert source[int(column) - 1 :].startswith(bad.names)
    assert rest.startswith(f"{bad.key}: " if bad.key else bad.help)
    shown, caret = said[at + 1 : at + 3]
    assert shown[caret.index("^") :].startswith(bad.names)
    files = (LAKE, PUMP, SEDGE, COMPOUND, GOOSANDER)
    assert sum(": " in line and line.startswith(files) for line in said) == 1, "one fault"


def _cut_route() -> None:
    text = Path(LAKE).read_text(encoding="utf-8")
    Path(LAKE).write_text(text[: text.index("[[route]]")], encoding="utf-8")


def test_no_route(refuse: Callable[..., Refused]) -> None:
    _cut_route()
    assert refuse(LAKE, "--out", "out").said == (
        f"{LAKE}: route: this is missing; it wants one or more tables [[…]]: what is done, in order\n"
    )


def test_what_a_boat_file_lacks_is_said_of_the_boat_file(refuse: Callable[..., Refused]) -> None:
    text = Path(SEDGE).read_text(encoding="utf-8")
    start, end = text.index("[hull]"), text.index("[exhaust]")
    Path(SEDGE).write_text(text[:start] + text[end:], encoding="utf-8")
    said = refuse(LAKE, "--out", "out").said
    assert said == f"{SEDGE}: boat.hull: this is missing; it wants a table […]: the hull\n"


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"# wide\n" * 1_500_000, "this file is larger than 1000 kB, too large for a scenario"),
        (bytes(range(256)) * 40, "this is not a text file; a scenario is plain text in TOML"),
        (b"\x89PNG\r\n\x1a\n" + bytes(range(1, 256)), "this is not a text file; a scenario is plain text"),
        ('title = "Sjö"\n'.encode("utf-16"), "this file is UTF-16 text; save it as UTF-8"),
    ],
    ids=["10 MB", "binary junk", "a picture", "UTF-16"],
)
def test_files_that_are_no_scenario(content: bytes, words: str, refuse: Callable[..., Refused]) -> None:
    Path(LAKE).write_bytes(content)
    said = refuse(LAKE, "--out", "out").said
    assert said.startswith(f"{LAKE}: {words}")
    assert len(said) < 200


def test_not_utf8(refuse: Callable[..., Refused]) -> None:
    line = edit(LAKE, 'title = "A quiet day', 'title = "Ein schöner Tag')
    text = Path(LAKE).read_text(encoding="utf-8")
    Path(LAKE).write_bytes(text.replace("·", "-").encode("latin-1"))
    said = refuse(LAKE, "--out", "out").said
    assert said.startswith(f"{LAKE}:{line}:17: this is not UTF-8 text (byte 0xf6); save the file as UTF-8\n")
    assert said.splitlines()[2].index("^") == said.splitlines()[1].index("\ufffd")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["01-quiet-lake-dy.toml"], f"there is no such file; did you mean '{LAKE}'?"),
        (["nowhere/lake.toml"], "nowhere/lake.toml: there is no such file, nor a folder 'nowhere'"),
        (["boats"], "boats: this is a folder; give a file in it, such as 'dabchick.toml'"),
        ([PUMP, "--plan", "injectr"], "the scenario has no plan 'injectr'; did you mean 'injector'?"),
        ([PUMP, "--plan", "zzz"], "no plan 'zzz'; it has 'single-handed, hand pump', 'injector'"),
        ([LAKE, "--out", f"{LAKE}/out"], f"cannot write into {LAKE}/out: "),
        ([LAKE, "--out", LAKE], f"{LAKE} is not a folder"),
        ([LAKE, "--seed", "-1"], "-1 is not in the range x>=0"),
        ([LAKE, "--fail-on", "worry"], "'worry' is not one of 'watch', 'act', 'danger'"),
        ([], "Missing argument 'SCENARIO'"),
    ],
    ids=["missing file", "missing folder", "directory", "misspelt plan", "unknown plan", "unwritable out",
         "out is a file", "seed", "severity", "no scenario"],
)  # fmt: skip
def test_wrong_calls(arguments: list[str], words: str, refuse: Callable[..., Refused]) -> None:
    assert words in refuse(*arguments).said


def test_several_at_once_are_all_told_in_file_order(refuse: Callable[..., Refused]) -> None:
    lines = [
        edit(PUMP, "hands = 1", "hands = 7"),
        edit(PUMP, '"60 kg"', "60"),
        edit(PUMP, '"3.2 km"', '"3,2 km"'),
    ]
    in_plan = edit(PUMP, "orders.throttle_when_low", "orders.throtle_when_low")
    in_boat = edit(SEDGE, TOP_NUT, "top_nut = 730")
    said = refuse(PUMP, "--out", "out").said.splitlines()
    told = [line.split(": ")[:2] for line in said if line.startswith((PUMP, SEDGE))]
    assert [(place.rsplit(":", 1)[0], key) for place, key in told] == [
        (f"{PUMP}:{lines[0]}", "crew.hands"),
        (f"{PUMP}:{lines[1]}", "aboard.fuel_mass"),
        (f"{PUMP}:{lines[2]}", "route[3].distance"),
        (f"{SEDGE}:{in_boat}", "boat.boiler.glass.top_nut"),
        (f"{PUMP}:{in_plan}", "orders.throtle_when_low"),
    ]


@pytest.mark.parametrize("verb", ["run", "check"])
def test_in_a_process_of_its_own(verb: str, folder: Path) -> None:
    edit(LAKE, "fuel_mass", "feul_mass")
    path = os.pathsep.join(filter(None, [str(SOURCE), os.environ.get("PYTHONPATH", "")]))
    done = subprocess.run(
        [sys.executable, "-c", "from halfglass.cli import main; main()", verb, LAKE],
        env={**os.environ, "PYTHONPATH": path, "HALFGLASS_DEBUG": "1"},
        capture_output=True, text=True, encoding="utf-8", timeout=60,
    )  # fmt: skip
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith(f"{LAKE}:21:1: aboard.feul_mass: there is no such key here")
    assert "Traceback" not in done.stderr
    assert not (folder / "reports").exists()
