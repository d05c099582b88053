"""How faults and failures are printed, and how names are matched."""

from __future__ import annotations

import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfglass.vocabulary.errors import (
    Fault,
    HalfglassFailure,
    Place,
    ScenarioError,
    listed,
    nearest,
    printable,
    quoted,
)

MASS = Fault(
    "lake.toml",
    12,
    10,
    "boat.tank.volume",
    "'25 kg' is a mass; this wants a volume such as '25 L'",
    'volume = "25 kg"',
)


def test_a_fault_shows_place_key_sentence_line_and_caret() -> None:
    assert MASS.render() == (
        "lake.toml:12:10: boat.tank.volume: '25 kg' is a mass; this wants a volume such as '25 L'\n"
        '  volume = "25 kg"\n'
        "           ^"
    )


def test_a_fault_of_a_whole_file_has_no_line() -> None:
    assert (
        Fault("lake.toml", 0, 0, "", "there is no such file").render() == "lake.toml: there is no such file"
    )


def test_both_places_are_shown_when_two_entries_conflict() -> None:
    fault = Fault("a.toml", 3, 1, "x", "this is given twice", "x = 2", Place("b.toml", 1, 1, "x = 1"))
    assert fault.render().splitlines() == [
        "a.toml:3:1: x: this is given twice",
        "  x = 2",
        "  ^",
        "  the other entry is at b.toml:1:1:",
        "  x = 1",
        "  ^",
    ]


def test_an_error_shows_all_its_faults_and_survives_pickling() -> None:
    error = ScenarioError([MASS, MASS])
    assert str(error) == f"{MASS.render()}\n{MASS.render()}"
    assert pickle.loads(pickle.dumps(error)).faults == (MASS, MASS)


def test_a_failure_says_what_was_simulated_and_how_to_see_it_again() -> None:
    failure = HalfglassFailure(
        "the step became too small", "plan 'hand pump' at 10:42", "run lake.toml --seed 7"
    )
    text = str(pickle.loads(pickle.dumps(failure)))
    assert text.splitlines() == [
        "halfglass failed: the step became too small",
        "  while simulating: plan 'hand pump' at 10:42",
        "  to reproduce: run lake.toml --seed 7",
        "  This is a fault in the program, not in your files.",
    ]


@given(st.text(st.characters(exclude_characters="\n", exclude_categories=["Cs"]), max_size=400), st.data())
def test_the_caret_stands_under_the_column(line: str, data: st.DataObject) -> None:
    column = data.draw(st.integers(1, len(line) + 1))
    source, caret = Fault("f", 1, column, "", "m", line).render().split("\n")[1:]
    assert caret.strip() == "^"
    assert source.isprintable()
    assert printable(line.replace("\t", " "))[:1] in ("", source[2:3]) or source.startswith("  …")
    if column <= len(line):
        assert source[caret.index("^") :].startswith(printable(line[column - 1].replace("\t", " "))[:1])


def test_terminal_escapes_are_spelt_out() -> None:
    assert "\x1b" not in Fault("f\x1b[2J", 1, 1, "k\x1b", "m\x1b", "\x1b[31m").render()
    assert quoted("a\u202eb\x07") == "'a\\u202eb\\x07'"
    assert quoted("x" * 100) == f"'{'x' * 39}…'"


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("distence", "distance"),
        ("look every", "look_every"),
        ("LOOK-EVERY", "look_every"),
        ("zzz", None),
        ("", None),
        ("throtle" + "x" * 10_000, None),
    ],
)
def test_nearest(name: str, expected: str | None) -> None:
    assert nearest(name, ["distance", "look_every", "throttle"]) == expected


def test_listed() -> None:
    assert [listed([]), listed(["a"]), listed(["a", "b", "c"])] == ["", "'a'", "'a', 'b' or 'c'"]
