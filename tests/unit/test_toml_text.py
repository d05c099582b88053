"""Reading TOML: places of every entry, faults of grammar in plain words, and bounded reading."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfglass.scenario import toml_text
from halfglass.scenario.toml_places import find_places
from halfglass.scenario.toml_text import Document, from_bytes, from_text, key_text, read
from halfglass.vocabulary.errors import Fault, ScenarioError

LAKE = '''\
title = "Quiet lake"
light_up = 08:15:00
crew.hands = 2
"odd key".x = [ [1, 2], { y = "é", z.w = 3 } ]  # note

[boat]
name = "Sedge"
[boat.tank]
volume = "25 L"

[[route]]
step = "raise steam"
until = { pressure_above = "70 psi" }
[[route]]
step = "leg"
\tdistance = "3.2 km"
[[route.call]]
at = "10 min"
[[route.call]]
at = "20 min"
long = """
two lines"""
[route.end]
flag = true
'''


def fault_of(text: str) -> Fault:
    with pytest.raises(ScenarioError) as caught:
        from_text(text, "f.toml")
    assert len(caught.value.faults) == 1
    return caught.value.faults[0]


@pytest.mark.parametrize(
    ("path", "key", "value"),
    [
        (("title",), (1, 1), (1, 9)),
        (("light_up",), (2, 1), (2, 12)),
        (("crew",), (3, 1), (3, 1)),
        (("crew", "hands"), (3, 6), (3, 14)),
        (("odd key", "x"), (4, 11), (4, 15)),
        (("odd key", "x", 0, 1), (4, 21), (4, 21)),
        (("odd key", "x", 1), (4, 25), (4, 25)),
        (("odd key", "x", 1, "y"), (4, 27), (4, 31)),
        (("odd key", "x", 1, "z", "w"), (4, 38), (4, 42)),
        (("boat", "tank"), (8, 7), (8, 7)),
        (("boat", "tank", "volume"), (9, 1), (9, 10)),
        (("route",), (11, 3), (11, 3)),
        (("route", 0, "until", "pressure_above"), (13, 11), (13, 28)),
        (("route", 1), (14, 3), (14, 3)),
        (("route", 1, "distance"), (16, 2), (16, 13)),
        (("route", 1, "call", 1, "at"), (20, 1), (20, 6)),
        (("route", 1, "call", 1, "long"), (21, 1), (21, 8)),
        (("route", 1, "end", "flag"), (24, 1), (24, 8)),
        (("route", 1, "missing"), (14, 3), (14, 3)),
        (("boat", "tank", "volume", "deeper"), (9, 1), (9, 1)),
        (("nothing", "here"), (0, 0), (0, 0)),
    ],
)
def test_places(path: tuple[str | int, ...], key: tuple[int, int], value: tuple[int, int]) -> None:
    document = from_text(LAKE, "lake.toml")
    assert document.position(path, "key") == key
    assert document.position(path) == value
    assert document.place(path).source_line == (LAKE.split("\n")[value[0] - 1] if value[0] else "")


def paths_of(value: Any, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    inside = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [deeper for key, child in inside for deeper in ((*path, key), *paths_of(child, (*path, key)))]


def test_every_entry_of_a_file_has_a_place() -> None:
    assert set(paths_of(from_text(LAKE, "lake.toml").values)) == set(find_places(LAKE).places)
    assert find_places(LAKE).twice == []


KEY = st.text("abc -é", min_size=1, max_size=3)
LEAF = st.one_of(st.integers(-9, 9).map(str), st.text("xyz é#=", max_size=4).map(lambda t: f'"{t}"'))
VALUE = st.recursive(
    LEAF,
    lambda inner: st.one_of(
        st.lists(inner, max_size=3).map(lambda items: f"[{', '.join(items)}]"),
        st.dictionaries(KEY, inner, max_size=3).map(
            lambda table: "{ " + ", ".join(f'"{k}" = {v}' for k, v in table.items()) + " }"
        ),
    ),
    max_leaves=8,
)


@given(st.dictionaries(KEY, VALUE, max_size=4), st.booleans(), st.booleans())
def test_every_entry_of_any_table_has_its_place(table: dict[str, str], crlf: bool, bom: bool) -> None:
    text = "[[t]]\n" + "".join(f'"{key}" = {value} # c\n' for key, value in table.items())
    data = (text.replace("\n", "\r\n") if crlf else text).encode("utf-8-sig" if bom else "utf-8")
    document = from_bytes(data, "f.toml")
    for number, (key, value) in enumerate(table.items(), start=2):
        assert document.position(("t", 0, key), "key") == (number, 1)
        assert document.position(("t", 0, key)) == (number, len(key) + 6)
        assert document.place(("t", 0, key)).source_line == f'"{key}" = {value} # c'
    for path in paths_of(document.values):
        assert path in find_places(document.text).places


@pytest.mark.parametrize(
    ("text", "line", "column", "words"),
    [
        ("a = 75 psi\n", 1, 5, 'a value with a unit goes in quotes: "75 psi"'),
        ("a = 60 %\n", 1, 5, 'a value with a unit goes in quotes: "60 %"'),
        ("x = 1\na = { b = 70 psi, c = 2 }\n", 2, 11, 'a value with a unit goes in quotes: "70 psi"'),
        ("a = banked # x\n", 1, 5, 'text goes in quotes: "banked"'),
        ('a = "75 psi\nb = 1\n', 1, 5, 'the closing quote " is missing'),
        ("a = '75 psi\nb = 2", 1, 5, "the closing quote ' is missing"),
        ('x = "fine"\na = """abc\n', 2, 5, "the closing quote"),
        ('a = 75 psi"\n', 1, 5, 'the opening quote " is missing'),
        ('a = "75 psi" gauge\n', 1, 5, "something after the closing quote"),
        ("a = “75 psi”\n", 1, 5, "typographic quotes"),
        ("a = 1,5\n", 1, 5, "a decimal comma is not read"),
        ("a = yes\n", 1, 5, "write true instead of yes"),
        ("a = False\n", 1, 5, "write false instead of False"),
        ("a = 08:15\n", 1, 5, "written with seconds: 08:15:00"),
        ("a = 8:15\n", 1, 5, "written with seconds: 08:15:00"),
        ("a = 8:15:00\n", 1, 5, "a time of day is written with two figures for the hour: 08:15:00"),
        ("a =\n", 1, 4, "there is no value after '='"),
        ("a: 3\n", 1, 2, "write '=' between name and value"),
        ("look every = 3\n", 1, 1, "a name may not have a space; write 'look_every'"),
        ("a = 08:15:00 x\n", 1, 14, "there is something more after the value"),
        ("a = [1, 2 = 3\n", 1, 11, "a list '[' is not closed with ']'"),
        ("a = { b = 2\nc = 1", 1, 12, "an inline table '{' is not closed with '}'"),
        ("a = 2001-02-30\n", 1, 5, "there is no such date or time"),
        ('a = [1, "2]\nb = 3\n', 1, 12, "the closing quote is missing on this line"),
        ("[]i]]\n", 1, 2, "this is not well-formed TOML: invalid initial character for a key part"),
        ("raise steam\n", 1, 7, "a line must read 'name = value'"),
        ("[crew\nx = 1", 1, 6, "the heading is not closed; write '[crew]'"),
        ("[[route]\nx = 1", 1, 8, "write '[[route]]'"),
        ("a = [1, 2\nb = 3\n", 2, 1, "a list '[' above is not closed"),
        ("a = { x = 1,\n y = 2}\n", 1, 13, "must stay on one line"),
        ("a = 012\n", 1, 5, "no leading zero"),
        ('a = "c:\\q"\n', 1, 10, "a backslash in double quotes must be doubled"),
        ("a = 2025-13-41\n", 1, 9, "something more after the value"),
    ],
)
def test_grammar_faults_in_plain_words(text: str, line: int, column: int, words: str) -> None:
    fault = fault_of(text)
    assert (fault.line, fault.column) == (line, column)
    assert words in fault.message
    assert fault.source_line == text.split("\n")[line - 1]


@pytest.mark.parametrize(
    ("text", "key", "first", "second"),
    [
        ("a = 1\nb = 2\na = 3\n", "a", (1, 1), (3, 1)),
        ("[c]\nx = 1\n[c]\n", "c", (1, 2), (3, 2)),
        ("a = { x = 1, x = 2 }\n", "a.x", (1, 7), (1, 14)),
        ("a.b = 1\na = 2\n", "a", (1, 1), (2, 1)),
        ("a = 1\na.b = 2\n", "a", (1, 1), (2, 1)),
        ("[[r]]\nx = 1\n[r]\n", "r", (1, 3), (3, 2)),
        ("[r]\nx = 1\n[[r]]\n", "r", (1, 2), (3, 3)),
        ("[a]\nb = 1\n[a.b]\n", "a.b", (2, 1), (3, 4)),
        ("[[r]]\nx = 1\n[[r]]\nx = 1\nx = 2\n", "r[2].x", (4, 1), (5, 1)),
        ("a = [1]\n[[a]]\n", "a", (1, 1), (2, 3)),
    ],
)
def test_both_places_of_what_is_given_twice(
    text: str, key: str, first: tuple[int, int], second: tuple[int, int]
) -> None:
    fault = fault_of(text)
    assert fault.key == key and "given twice" in fault.message
    assert (fault.line, fault.column) == second
    assert fault.second_place is not None
    assert (fault.second_place.line, fault.second_place.column) == first


@given(
    st.text(st.characters(exclude_categories=["Cs"]), max_size=60)
    | st.text("ab=[]{}\"'.,#\n 1:", max_size=60)
)
def test_any_text_is_read_or_refused_with_a_place(text: str) -> None:
    try:
        document = from_text(text, "f.toml")
    except ScenarioError as error:
        (fault,) = error.faults
        if "\r" in text and "\n" not in text:
            assert "carriage return alone" in fault.message and fault.line == 0  # of the whole file
            return
        assert 1 <= fault.line <= text.count("\n") + 1 and fault.column >= 1
        assert error.render()
    else:
        for path in paths_of(document.values):
            document.place(path)


@given(st.binary(max_size=80))
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    try:
        from_bytes(data, "f.toml")
    except ScenarioError as error:
        assert error.render()


@pytest.mark.parametrize(
    "text",
    [
        "x = " + "[" * 900,
        "a = {" * 300,
        "[\n" * 400_000,
        "=\n" * 400_000,
        "a = 1\n" * 100_000,
        "\n".join("k." + "a." * 900 + "b = 1" for _ in range(500)),
        "\n".join("[" + "a." * 900 + "b]" for _ in range(500)),
        "\n".join("x = {" + "a." * 900 + "b = 1}" for _ in range(500)),
        "a" * 1_000_000,
        '"' * 900_000,
        "'\n" * 400_000,
        "x = 1" + "0" * 1_900 + "\n" + "y = " + "9" * 1_900 + "e",
    ],
    ids=lambda text: f"{text[:8]!a}",
)
def test_hostile_text_is_refused_soon(text: str) -> None:
    started = time.process_time()  # of this process: a busy machine does not count
    with pytest.raises(ScenarioError):
        from_bytes(text.encode(), "f.toml")
    assert time.process_time() - started < 8.0


def test_a_bounded_reader_says_what_is_too_much() -> None:
    with pytest.raises(ScenarioError, match="larger than 1000 kB"):
        from_bytes(b"#" * 1_000_001, "f.toml")
    assert fault_of("# x\n#" + "y" * 2_000).message == "this line is longer than 2000 characters; break it up"
    assert "nested too deep" in fault_of("x = " + "[" * 30 + "]" * 30).message
    assert "nested too deep" in fault_of("x = " + "[" * 950 + "]" * 950).message


def test_a_number_with_too_many_digits(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("halfglass.scenario.toml_text.LONGEST_LINE", 10_000)
    assert fault_of(f"a = {'1' * 5_000}").message == "a number in this file has too many digits"


def test_a_name_no_system_takes() -> None:
    with pytest.raises(ScenarioError) as caught:
        read("a\x00b.toml")
    assert caught.value.faults[0].message == "this file cannot be read: its name cannot be used"


def test_files_that_cannot_be_used(tmp_path: Path) -> None:
    (tmp_path / "lake.toml").write_bytes(b"\xef\xbb\xbfa = 1\r\nb = 2\r\n")
    assert read(tmp_path / "lake.toml").values == {"a": 1, "b": 2}
    (tmp_path / "latin.toml").write_bytes(b"a = 1\nb = '\xb0C'\n")
    (tmp_path / "wide.toml").write_bytes("a = 1".encode("utf-16"))
    (tmp_path / "raw.toml").write_bytes(b"a = 1\x00")
    os.mkfifo(tmp_path / "pipe.toml")
    for name, words in [
        ("lke.toml", r"there is no such file; did you mean 'lake.toml'\?"),
        ("none/x.toml", "nor a folder"),
        ("", "this is a folder; give a file in it, such as 'lake.toml'"),
        ("latin.toml", "latin.toml:2:6: this is not UTF-8 text"),
        ("wide.toml", "UTF-16"),
        ("raw.toml", "not a text file"),
        ("pipe.toml", "not an ordinary file"),
        ("lake.toml/x", "cannot be read"),
        ("n" * 5000, "cannot be read"),
        ("nul\x00", "cannot be read"),
    ]:
        with pytest.raises(ScenarioError, match=words):
            read(tmp_path / name)


@pytest.mark.skipif(os.geteuid() == 0, reason="the superuser may read everything")
def test_a_file_without_leave_to_read(tmp_path: Path) -> None:
    (tmp_path / "shut.toml").write_text("a = 1")
    (tmp_path / "shut.toml").chmod(0)
    with pytest.raises(ScenarioError, match="cannot be read"):
        read(tmp_path / "shut.toml")


def grafted() -> Document:
    boat = from_text('name = "Sedge"\n[tank]\nvolume = "25 kg"\n', "sedge.toml")
    lake = from_text(
        'boat = "sedge.toml"\n[crew]\nhands = 2\n[[plan]]\nchange = { crew.hands = 9 }\n', "lake.toml"
    )
    both = lake.grafted(("boat",), boat)
    return both.grafted(("crew", "hands"), lake, ("plan", 0, "change", "crew", "hands"))


def test_grafted_entries_keep_their_own_places() -> None:
    document = grafted()
    assert document.values["boat"] == {"name": "Sedge", "tank": {"volume": "25 kg"}}
    assert document.values["crew"] == {"hands": 9}
    places = {
        path: document.place(path)
        for path in [("boat", "tank", "volume"), ("crew", "hands"), ("crew",), ("boat", "hull"), ("plan", 0)]
    }
    assert {path: (p.file, p.line, p.column) for path, p in places.items()} == {
        ("boat", "tank", "volume"): ("sedge.toml", 3, 10),
        ("crew", "hands"): ("lake.toml", 5, 25),
        ("crew",): ("lake.toml", 2, 2),
        ("boat", "hull"): ("sedge.toml", 0, 0),
        ("plan", 0): ("lake.toml", 4, 3),
    }
    fault = document.fault(("boat", "tank", "volume"), "wrong", second=("crew", "hands"))
    assert (fault.file, fault.key, fault.source_line) == (
        "sedge.toml",
        "boat.tank.volume",
        'volume = "25 kg"',
    )
    assert fault.second_place is not None and fault.second_place.line == 5


def test_grafting_leaves_the_originals_alone_and_makes_tables_on_the_way() -> None:
    lake = from_text("[[route]]\nx = 1\n[[route]]\nx = 2\n", "lake.toml")
    change = from_text("v = 3\n", "c.toml")
    changed = lake.grafted(("route", 1, "new", "x"), change, ("v",))
    assert lake.values == {"route": [{"x": 1}, {"x": 2}]}
    assert changed.values == {"route": [{"x": 1}, {"x": 2, "new": {"x": 3}}]}


def test_key_text() -> None:
    assert key_text(("route", 2, "odd key", "x_y")) == "route[3].'odd key'.x_y"


def test_a_good_file_never_loads_the_parser_of_places() -> None:
    code = (
        "import sys; sys.path[:] = " + repr(sys.path) + "; from halfglass.scenario import toml_text;"
        "toml_text.from_text('a = 1', 'f'); print('tree_sitter' in sys.modules)"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "False"
    assert toml_text.LARGEST_FILE == 1_000_000
