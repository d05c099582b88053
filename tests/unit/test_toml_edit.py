"""Values put into a TOML text in place: nothing else moves, and what has no place is refused."""

from __future__ import annotations

import tomllib

import pytest

from halfglass.scenario.toml_edit import NoPlaceError, with_values

BOAT = """# mine
name = "Hern"   # she

[engine]  # the old one
throttle = "60 mm2"  # by rule
missing_quantity = 6.0

[feed]
engine_pump = { bore = "22 mm", delivery = "80 %" } # ram
[[valve]]
set = '1 psi'
"""


def test_values_are_put_in_place_and_all_else_stands() -> None:
    values = {
        ("engine", "throttle"): '"52.1 mm2"', ("engine", "missing_quantity"): "7.25",
        ("feed", "engine_pump", "delivery"): '"74 %"', ("valve", 0, "set"): '"2 psi"',
    }  # fmt: skip
    wanted = BOAT
    for old, new in [
        ('"60 mm2"', '"52.1 mm2"'),
        ("6.0", "7.25"),
        ('"80 %"', '"74 %"'),
        ("'1 psi'", '"2 psi"'),
    ]:
        wanted = wanted.replace(old, new)
    assert with_values(BOAT, values) == wanted


def test_a_key_that_is_not_there_goes_before_its_kin() -> None:
    text = with_values(BOAT, {("engine", "friction"): '"30 kPa"', ("feed", "engine_pump", "lift"): '"0.1 m"'})
    assert '[engine]  # the old one\nfriction = "30 kPa"\nthrottle' in text
    assert 'engine_pump = { lift = "0.1 m", bore = "22 mm"' in text
    assert tomllib.loads(text)["engine"]["friction"] == "30 kPa"


@pytest.mark.parametrize(
    "path", [("hull", "beam"), ("feed", "hand_pump", "delivery"), ("feed", "engine_pump")]
)
def test_a_key_without_a_place_is_refused(path: tuple[str, ...]) -> None:
    with pytest.raises(NoPlaceError, match=path[0]):
        with_values(BOAT, {path: '"1 m"'})
