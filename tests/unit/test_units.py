"""Text to SI and back: what is read, what is refused and in which words, and that nothing hangs."""

from __future__ import annotations

import math
import re
import string
import subprocess
import sys
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfglass.vocabulary import units
from halfglass.vocabulary.unit_table import AMBIGUOUS, KINDS, SYSTEMS
from halfglass.vocabulary.units import UnitError, parse, show

EVERY_UNIT = [(kind.name, unit) for kind in KINDS.values() for unit in kind.units]
EVERY_SPELLING = [(k, s) for k, unit in EVERY_UNIT for s in (unit.symbol, *unit.aliases)]


def refusal(text: object, kind: str) -> str:
    with pytest.raises(UnitError) as caught:
        parse(text, kind)
    assert str(caught.value) == caught.value.message
    return caught.value.message


# Values by definition of the units (no measurement): see the head of unit_table.
@pytest.mark.parametrize(
    ("text", "kind", "expected"),
    [
        ("25 L", "volume", 0.025),
        ("25L", "volume", 0.025),
        ("1 imp gal", "volume", 4.54609e-3),
        ("1 US gal", "volume", 3.785411784e-3),
        ("8 imp pints", "volume", 4.54609e-3),
        ("75 psi", "gauge_pressure", 517106.8),
        ("75 psig", "gauge_pressure", 517106.8),
        ("5 bar gauge", "gauge_pressure", 5e5),
        ("5 bar (gauge)", "gauge_pressure", 5e5),
        ("20 inHg vacuum", "gauge_pressure", -67727.77),
        ("90 psia", "absolute_pressure", 620528.16),
        ("29.92 inHg", "barometer_pressure", 101320.7),
        ("12 mm water", "pressure_difference", 117.6798),
        ("0.67 in water", "pressure_difference", 166.88957),
        ("15 °C", "temperature", 288.15),
        ("212 F", "temperature", 373.15),
        ("9 °F", "temperature_difference", 5.0),
        ("60 %", "fraction", 0.6),
        ("1/2", "fraction", 0.5),
        ("3 / 4", "fraction", 0.75),
        ("1 h 30 min", "time", 5400.0),
        ("1h30min", "time", 5400.0),
        ("2 h 5 min 30 s", "time", 7530.0),
        ("-1 h 30 min", "time", -5400.0),
        ("90 s", "time", 90.0),
        ("0.5 h", "time", 1800.0),
        ("22 ft 6 in", "length", 6.858),
        ("5 ft 6 1/2 in", "length", 1.6891),
        ("1 1/2 in", "length", 0.0381),
        ("1½ in", "length", 0.0381),
        ("3 cwt 56 lb", "mass", 392 * 0.45359237),
        ("1 long ton", "mass", 1016.0469088),
        ("6 kn", "speed", 3.0866667),
        ("240 rpm", "rotation", 4.0),
        ("17 W/(m²·K)", "heat_transfer_coefficient", 17.0),
        ("1 Btu/(h ft2 °F)", "heat_transfer_coefficient", 5.678263),
        ("\u22122.5 °C", "temperature", 270.65),
        ("1e3 L", "volume", 1.0),
        (".5 L", "volume", 5e-4),
        ("+5 m", "length", 5.0),
    ],
)
def test_reads(text: str, kind: str, expected: float) -> None:
    assert parse(text, kind) == pytest.approx(expected, rel=2e-6)


@pytest.mark.parametrize(
    ("text", "kind", "sentence"),
    [
        ("25 kg", "volume", "'25 kg' is a mass; this wants a volume such as '25 L'"),
        ("25", "volume", "'25' has no unit; this wants a volume such as '25 L'"),
        (25, "volume", "25 is a bare number; this wants a volume such as '25 L', in quotes"),
        (2.5, "volume", "2.5 is a bare number; this wants a volume such as '25 L', in quotes"),
        ("1,5 L", "volume", "'1,5 L' has a decimal comma; write it with a point, '1.5 L'"),
        ("25 m", "time", "'25 m' is a length; this wants a length of time such as '25 min'"),
        ("75 psi", "volume", "'75 psi' is a pressure; this wants a volume such as '25 L'"),
        ("", "mass", "there is nothing here; this wants a mass such as '40 kg'"),
        ("1" * 81, "mass",
         f"'{'1' * 39}…' is too long to be a value with a unit; this wants a mass such as '40 kg'"),
        ("1,000 kg", "mass",
         "'1,000 kg' has a comma; write '1000 kg' for thousands, or '1.000 kg' with a decimal point"),
        ("1e99 kg", "mass", "'1e99 kg' has an exponent beyond all sense; this wants a mass such as '40 kg'"),
        ("5 gal", "volume",
         "'5 gal' can mean two things: a gallon is imperial or US: write '5 imp gal' or '5 US gal'"),
        (True, "mass", "true is not a value with a unit; this wants a mass such as '40 kg', in quotes"),
        ("-300 °C", "temperature", "'-300 °C' is impossible: that is below absolute zero, -273.15 °C"),
    ],
)
def test_refuses_in_these_words(text: object, kind: str, sentence: str) -> None:
    assert refusal(text, kind) == sentence


@pytest.mark.parametrize(
    ("text", "kind", "part"),
    [
        ("90 psia", "gauge_pressure", "a gauge reads above the air outside"),
        ("6 bar abs", "gauge_pressure", "is an absolute pressure"),
        ("75 psi", "absolute_pressure", "say absolute as 'psia'"),
        ("1,000 L", "volume", "write '1000 L' for thousands, or '1.000 L' with a decimal point"),
        ("1,000,000 J", "energy", "write '1000000 J' for thousands"),
        ("1,5,5 L", "volume", "has commas"),
        ("25 gal", "volume", "write '25 imp gal' or '25 US gal'"),
        ("5 ton", "mass", "'5 long ton' for 2240 lb or '5 t' for 1000 kg"),
        ("25 litters", "volume", "did you mean 'liters'?"),
        ("3 KW", "power", "did you mean 'kW'?"),
        ("60 parrots", "mass", "in 'kg', 'g', 't', 'lb', 'cwt' or 'long ton'"),
        ("nan L", "volume", "not a number"),
        ("-inf L", "volume", "not a number"),
        ("1e999 L", "volume", "exponent"),
        ("1e-99999999 L", "volume", "exponent"),
        ("1:30", "time", "clock reading"),
        ("1 h 90 min", "time", "go down in steps"),
        ("30 min 1 h", "time", "go down in steps"),
        ("1 h 1 h", "time", "go down in steps"),
        ("1.5 h 30 min", "time", "fraction before its last part"),
        ("1h30", "time", "'1h30' has no unit"),
        ("1 m 20 cm", "length", "not used in steps"),
        ("1 2 L", "volume", "two numbers in a row"),
        ("5 * 3/4 in", "length", "unknown unit"),
        ("1/0 L", "volume", "makes no sense"),
        ("1 5/4 in", "length", "makes no sense"),
        ("L", "volume", "does not begin with a number"),
        ("25 (kg", "mass", "unknown unit"),
        ("0.6", "fraction", "has no unit"),
        ("9**9**9 m", "length", "unknown unit"),
        ("__import__('os')", "length", "does not begin with a number"),
        ("٣ m", "length", "does not begin with a number"),
        ("1 m" + " " * 5000, "length", "too long"),
        (True, "volume", "true is not a value"),
        (None, "volume", "this is not text"),
        (["25 L"], "volume", "this is a list"),
        ({"a": 1}, "volume", "this is a table"),
        (2**60, "volume", "huge bare number"),
        (b"25 L", "volume", "this is not text"),
        ("-1 psia", "absolute_pressure", "cannot be below nothing"),
    ],
)
def test_refusal_says_why(text: object, kind: str, part: str) -> None:
    assert part in refusal(text, kind)


def test_the_example_given_by_a_field_is_the_one_shown() -> None:
    with pytest.raises(UnitError, match=r"such as '4 imp pint'$"):
        parse("x", "volume", example="4 imp pint")


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_reads_its_own_example_and_is_shown_in_every_system(kind: str) -> None:
    row = KINDS[kind]
    value = parse(row.example, kind)
    assert row.noun.split()[0] in ("a", "an")
    for system in SYSTEMS:
        unit = units.display_unit(kind, system)
        assert unit in [u.symbol for u in row.units]
        assert parse(show(value, kind, unit, digits=9), kind) == pytest.approx(value, rel=1e-7)


def test_no_spelling_means_two_units_of_one_kind() -> None:
    seen: dict[tuple[str, str], int] = {}
    for key in EVERY_SPELLING:
        seen[key] = seen.get(key, 0) + 1
    assert [key for key, times in seen.items() if times > 1] == []
    assert [key for key in seen if key[1] in AMBIGUOUS] == []


@pytest.mark.parametrize("kind", KINDS)
def test_the_si_unit_of_a_kind_has_factor_one(kind: str) -> None:
    row = KINDS[kind]
    if row.si_unit != "1":
        spelt = {"gauge_pressure": "Pa gauge", "absolute_pressure": "Pa abs", "stroke_rate": "strokes/s"}
        assert units.to_si(1.0, kind, spelt.get(kind, row.si_unit)) == 1.0


@given(st.sampled_from(EVERY_SPELLING), st.floats(1e-4, 1e6))
def test_text_to_si_and_back(unit: tuple[str, str], number: float) -> None:
    kind, symbol = unit
    row = KINDS[kind]
    text = f"{number:.9f} {symbol}"
    if units.to_si(number, kind, symbol) < row.lowest:
        return
    value = parse(text, kind)
    assert units.convert(value, kind, symbol) == pytest.approx(float(f"{number:.9f}"), rel=1e-9, abs=1e-9)
    assert re.match(units.pattern(kind), text)


@given(st.floats(-1e7, 1e7, allow_nan=False), st.sampled_from(sorted(KINDS)), st.integers(1, 8))
def test_what_is_shown_can_be_read_and_is_that_close(value: float, kind: str, digits: int) -> None:
    shown = show(value, kind, digits=digits)
    assert "e" not in shown.split()[0]
    if value < KINDS[kind].lowest:
        return
    back, unit = parse(shown, kind), units.display_unit(kind)
    if kind == "time":
        assert abs(back - value) <= 30.01 if abs(value) >= 3600 else abs(back - value) <= 0.51
    else:
        was = units.convert(value, kind, unit)
        assert abs(units.convert(back, kind, unit) - was) <= 0.51 * 10 ** (1 - digits) * abs(was) + 0.51e-12


@given(
    st.one_of(st.text(max_size=120), st.text("0123456789.,eE+-/ hmin%°²½*()_", max_size=90)),
    st.sampled_from(sorted(KINDS)),
)
def test_any_text_is_read_or_refused(text: str, kind: str) -> None:
    try:
        assert math.isfinite(parse(text, kind))
    except UnitError as error:
        assert error.message.isprintable()
        assert len(error.message) < 400


@given(
    st.one_of(
        st.integers(),
        st.floats(),
        st.booleans(),
        st.none(),
        st.binary(),
        st.lists(st.integers()),
        st.dictionaries(st.text(), st.integers()),
        st.times(),
    ),
    st.sampled_from(sorted(KINDS)),
)
def test_anything_but_text_is_refused(given_value: object, kind: str) -> None:
    with pytest.raises(UnitError):
        parse(given_value, kind)


@pytest.mark.parametrize(
    "text",
    [
        "9**9**9 m",
        "9" * 1_000_000 + " m",
        "(" * 500_000,
        "1 " * 40,
        "1/1 " * 20,
        "1" * 39 + "/" + "1" * 39 + " m",
        " " * 1_000_000,
        "1 h " * 20,
        "1e" + "9" * 70 + " m",
        "\x00 m",
        "\ud800 m",
        "1 m\n\n2 m",
        "-" * 80,
        "1,1" * 26,
    ],
    ids=lambda text: ascii(text[:12]),
)
def test_hostile_text_is_refused_at_once(text: str) -> None:
    started = time.perf_counter()
    for kind in KINDS:
        try:
            parse(text, kind)
        except UnitError:
            continue
    assert time.perf_counter() - started < 1.0


def test_special_values_are_shown_in_words() -> None:
    assert show(math.nan, "mass") == "not known"
    assert show(math.inf, "mass") == "unlimited"
    assert show(-0.0, "mass") == "0 kg"
    assert show(-1e-30, "length") == "0 m"


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (0.0, "0 s"),
        (45.0, "45 s"),
        (4.52, "4.5 s"),
        (59.7, "1 min"),
        (90.0, "1 min 30 s"),
        (3599.9, "1 h"),
        (5400.0, "1 h 30 min"),
        (-5400.0, "-1 h 30 min"),
        (93600.0, "26 h"),
    ],
)
def test_times_are_shown_as_people_say_them(seconds: float, text: str) -> None:
    assert show(seconds, "time") == text


def test_a_unit_may_be_asked_for_by_any_spelling_but_not_of_another_kind() -> None:
    assert show(517106.8, "gauge_pressure", "psig") == "75.0 psig"
    with pytest.raises(UnitError):
        units.convert(1.0, "mass", "L")


def test_convert_takes_arrays() -> None:
    numpy = pytest.importorskip("numpy")
    assert units.convert(numpy.array([273.15, 373.15]), "temperature", "°C").tolist() == [0.0, 100.0]


def test_vocabulary_needs_only_the_standard_library() -> None:
    code = (
        "import sys; from halfglass.vocabulary import units, quantities, errors, sources;"
        "print(sorted({m.split('.')[0] for m in sys.modules} - set(sys.stdlib_module_names)))"
    )
    run = subprocess.run(
        [sys.executable, "-I", "-S", "-c", f"import sys; sys.path[:] = {sys.path!r}; {code}"],
        capture_output=True,
        text=True,
        check=True,
    )
    loaded = set(re.findall(r"'(\w+)'", run.stdout)) - {"__main__", "__mp_main__"}
    assert loaded == {"halfglass"}


def test_letters_alone_are_never_a_value() -> None:
    for word in string.ascii_letters:
        assert "does not begin with a number" in refusal(word, "mass")
