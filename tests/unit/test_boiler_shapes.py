"""Every boiler shape: volume and surfaces by plain geometry, level, zones, and parts that do not fit."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from halfglass.plant.parameters import LEVEL_NODES
from halfglass.scenario.catalogue import boiler_shapes
from halfglass.scenario.catalogue.boiler_shapes import (
    AnyBoiler,
    HorizontalDryBack,
    Locomotive,
    VerticalFireTube,
    WaterTube,
)
from halfglass.scenario.day_checks import conflicts
from halfglass.scenario.load import load

SCENARIOS = Path(__file__).parents[2] / "scenarios"


def shipped(number: str) -> AnyBoiler:
    (path,) = SCENARIOS.glob(f"{number}-*.toml")
    return load(path).base.boat.boiler


BOILERS: dict[str, AnyBoiler] = {
    name: shipped(number)
    for name, number in (
        ("sedge", "01"), ("dabchick", "03"), ("wigeon", "04"), ("goosander", "05"), ("pochard", "06"),
    )
}  # fmt: skip
EVERY = pytest.mark.parametrize("name", BOILERS)


def changed(name: str, **changes: Any) -> AnyBoiler:
    return BOILERS[name].model_copy(update=changes)


def loco(**changes: Any) -> Locomotive:
    made = changed("goosander", **changes)
    assert isinstance(made, Locomotive)
    return made


def dry_back(**changes: Any) -> HorizontalDryBack:
    made = changed("pochard", **changes)
    assert isinstance(made, HorizontalDryBack)
    return made


def tubes_volume(shape: AnyBoiler, length: float, diameter: float) -> float:
    return shape.tubes * math.pi / 4 * diameter**2 * length


def volume_by_hand(shape: AnyBoiler) -> float:
    """Water and steam together by plain geometry [m³]; a locomotive's crown flat or a half round."""
    if isinstance(shape, VerticalFireTube):
        whole = math.pi / 4 * shape.shell_diameter**2 * shape.shell_height
        whole -= math.pi / 4 * shape.firebox_diameter**2 * shape.firebox_height
        return whole - tubes_volume(shape, shape.shell_height - shape.firebox_height, shape.tube_diameter)
    if isinstance(shape, WaterTube):
        bore = shape.tube_diameter - 2 * shape.tube_thickness
        drum = math.pi / 4 * shape.drum_diameter**2 * shape.drum_length
        return drum + tubes_volume(shape, shape.tube_length, bore) + shape.bottom_volume
    if isinstance(shape, HorizontalDryBack):
        across = math.pi / 4 * (shape.shell_diameter**2 - shape.furnace_diameter**2)
        return across * shape.shell_length - tubes_volume(shape, shape.shell_length, shape.tube_diameter)
    barrel = math.pi / 4 * shape.barrel_diameter**2
    legs = shape.barrel_diameter - shape.firebox_width
    shell = (shape.barrel_diameter * shape.barrel_axis + 0.5 * barrel) * (shape.firebox_length + legs)
    box = shape.firebox_width * (shape.firebox_height - shape.crown_rise)
    if shape.crown_rise > 0.0:
        assert shape.crown_rise == pytest.approx(0.5 * shape.firebox_width)
        box += math.pi / 8 * shape.firebox_width**2
    taken = box * shape.firebox_length
    taken += tubes_volume(shape, shape.barrel_length + 0.5 * legs, shape.tube_diameter)
    return shell + barrel * shape.barrel_length - taken


@EVERY
def test_volume_is_that_of_plain_geometry(name: str) -> None:
    made = boiler_shapes.reduced(BOILERS[name])
    assert made.volume == pytest.approx(volume_by_hand(BOILERS[name]), rel=0.003)


@EVERY
def test_level_rises_with_volume_and_the_surface_is_its_slope(name: str) -> None:
    made = boiler_shapes.reduced(BOILERS[name])
    assert made.height_table.size == made.area_table.size == LEVEL_NODES
    assert np.all(np.diff(made.height_table) > 0.0)
    assert np.all(made.area_table > 0.0)
    assert made.height_table[0] == 0.0
    assert made.height_table[-1] == pytest.approx(boiler_shapes.formed(BOILERS[name]).top_height)
    by_slope = made.volume / (LEVEL_NODES - 1) / np.diff(made.height_table)
    between = 0.5 * (made.area_table[1:] + made.area_table[:-1])
    smooth = np.abs(np.diff(made.area_table)) < 0.1 * between
    assert smooth.mean() > 0.9
    assert by_slope[smooth] == pytest.approx(between[smooth], rel=0.06)


@EVERY
def test_heights_stand_in_order(name: str) -> None:
    shape, form = BOILERS[name], boiler_shapes.formed(BOILERS[name])
    assert 0.0 < form.crown_height < shape.glass.bottom_nut < shape.glass.top_nut < form.top_height
    for lowest, highest in (form.radiant_zone, form.convective_zone):
        assert 0.0 <= lowest < highest <= form.top_height
    assert form.radiant_zone[1] <= form.crown_height
    for area in (form.radiant_area, form.convective_area, form.gas_passage, form.lagged_area):
        assert area > 0.0
    assert 0.0 <= form.crown_area < form.radiant_area
    assert form.gas_rise >= 0.0
    assert 20.0 < form.metal_volume * 7850.0 < 500.0, "kg of steel, of boilers for open launches"
    assert getattr(shape, form.top_key) > 0.0
    assert getattr(shape, form.crown_key) > 0.0


@EVERY
def test_what_is_shipped_fits(name: str) -> None:
    assert boiler_shapes.misfits(BOILERS[name]) == ()


def test_surfaces_of_the_locomotive_boiler() -> None:
    """Goosander by hand: box 500 x 400 x 500 mm, 44 tubes of 36 mm, 2 mm thick, through 650 + 50 mm."""
    form = boiler_shapes.formed(loco())
    holes = 44 * math.pi / 4 * 0.036**2
    box = 2 * 0.5 * 0.4 + 2 * 0.5 * 0.5 - holes + 0.5 * 0.4
    assert form.radiant_area == pytest.approx(box, rel=2e-3)
    assert form.crown_area == pytest.approx(0.5 * 0.4)
    assert form.convective_area == pytest.approx(44 * math.pi * 0.032 * 0.700)
    assert form.gas_passage == pytest.approx(44 * math.pi / 4 * 0.032**2)
    assert form.largest_grate == pytest.approx(0.5 * 0.4)
    # legs 50 mm: shell 500 mm and barrel 650 mm, the crown's middle 250 mm from the back of 1150 mm
    assert form.crown_fore_and_aft == pytest.approx(0.250 - 0.575)
    barrel, shell = math.pi * 0.6 * 0.65, (2 * 0.48 + math.pi * 0.3) * 0.5
    back = 0.6 * 0.48 + math.pi / 8 * 0.6**2
    throat = back - math.pi / 4 * 0.6**2
    assert form.lagged_area == pytest.approx(barrel + shell + back + throat)


def test_surfaces_of_the_dry_back_boiler() -> None:
    """Pochard by hand: furnace 330 mm by 850 mm, upper half; 30 tubes of 32 mm, 2 mm thick."""
    form = boiler_shapes.formed(dry_back())
    assert form.radiant_area == pytest.approx(0.5 * math.pi * 0.33 * 0.85)
    assert form.convective_area == pytest.approx(30 * math.pi * 0.028 * 0.85)
    assert form.gas_passage == pytest.approx(30 * math.pi / 4 * 0.028**2)
    assert form.largest_grate == pytest.approx(0.33 * 0.85)
    end = math.pi / 4 * (0.72**2 - 0.33**2 - 30 * 0.032**2)
    shell = math.pi * 0.72 * 0.85
    assert form.lagged_area == pytest.approx(shell + 2 * end)
    tubes = 30 * math.pi * 0.030 * 0.002 * 0.85
    steel = (shell + math.pi * 0.33 * 0.85 + 2 * end) * 0.007 + tubes
    assert form.metal_volume == pytest.approx(steel)


def test_a_half_round_crown() -> None:
    """Narrower box, so that the arc clears the shell: half a circle of 400 mm over plumb sides."""
    round_top = loco(firebox_width=0.4, firebox_height=0.69, crown_rise=0.2, highest_tube=0.48)
    assert boiler_shapes.misfits(round_top) == ()
    form = boiler_shapes.formed(round_top)
    assert boiler_shapes.reduced(round_top).volume == pytest.approx(volume_by_hand(round_top), rel=0.003)
    assert form.crown_area == pytest.approx(math.pi * 0.2 * 0.4)
    assert form.crown_half_breadth == pytest.approx(0.0)
    assert form.radiant_zone[1] == pytest.approx(0.49)


MISFITS: list[tuple[str, dict[str, Any], str, str]] = [
    ("sedge", {"tube_thickness": 0.016}, "tube_thickness", "no bore"),
    ("sedge", {"firebox_diameter": 0.64}, "firebox_diameter", "narrower than the shell"),
    ("sedge", {"firebox_height": 0.93}, "firebox_height", "lower than the shell"),
    ("sedge", {"tubes": 160}, "tubes", "do not fit in the crown"),
    ("dabchick", {"tube_length": 0.30}, "tube_length", "too short"),
    ("goosander", {"firebox_width": 0.60}, "firebox_width", "narrower than the barrel"),
    ("goosander", {"barrel_axis": 0.29}, "barrel_axis", "hangs lower"),
    ("goosander", {"firebox_height": 0.79}, "firebox_height", "lower than the top of the shell"),
    ("goosander", {"crown_rise": 0.26}, "crown_rise", "half its width"),
    ("goosander", {"firebox_height": 0.70}, "firebox_height", "corners reach through"),
    ("goosander", {"highest_tube": 0.51}, "highest_tube", "below the firebox crown"),
    ("goosander", {"lowest_tube": 0.17}, "lowest_tube", "below the barrel"),
    ("goosander", {"lowest_tube": 0.46}, "highest_tube", "no room for a tube"),
    ("goosander", {"tubes": 70}, "tubes", "do not fit between"),
    ("pochard", {"furnace_diameter": 0.69}, "furnace_diameter", "does not fit into the shell"),
    ("pochard", {"lowest_tube": 0.36}, "lowest_tube", "above the furnace"),
    ("pochard", {"highest_tube": 0.73}, "highest_tube", "above the shell"),
    ("pochard", {"highest_tube": 0.40}, "highest_tube", "no room for a tube"),
    ("pochard", {"tubes": 34}, "tubes", "do not fit between"),
]


@pytest.mark.parametrize(("name", "changes", "key", "words"), MISFITS)
def test_what_does_not_fit(name: str, changes: dict[str, Any], key: str, words: str) -> None:
    found = boiler_shapes.misfits(changed(name, **changes))
    assert any(misfit.key == key and words in misfit.message for misfit in found), found
    assert all(misfit.second in type(BOILERS[name]).model_fields for misfit in found)


def scenario_with(number: str, **changes: Any) -> Any:
    (path,) = SCENARIOS.glob(f"{number}-*.toml")
    base = load(path).base
    return base.model_copy(update={"boat": base.boat.model_copy(update=changes)})


@pytest.mark.parametrize(
    ("number", "room"), [("01", math.pi / 4 * 0.52**2), ("05", 0.5 * 0.4), ("06", 0.33 * 0.85)]
)
def test_a_grate_larger_than_the_furnace_is_told(number: str, room: float) -> None:
    fire = scenario_with(number).boat.fire
    told = [
        conflict.path
        for area in (0.999 * room, 1.001 * room)
        for conflict in conflicts(scenario_with(number, fire=fire.model_copy(update={"grate_area": area})))
    ]
    assert told == [("boat", "fire", "grate_area")]


@pytest.mark.parametrize(("number", "key"), [("05", "firebox_height"), ("06", "highest_tube")])
def test_a_crown_above_the_bottom_nut_is_told(number: str, key: str) -> None:
    boiler = scenario_with(number).boat.boiler
    crown = boiler_shapes.formed(boiler).crown_height
    glass = boiler.glass.model_copy(update={"bottom_nut": crown - 0.001})
    lowered = boiler.model_copy(update={"glass": glass})
    (conflict,) = conflicts(scenario_with(number, boiler=lowered))
    assert conflict.path == ("boat", "boiler", "glass", "bottom_nut")
    assert conflict.second == ("boat", "boiler", key)


@settings(deadline=None)
@given(
    diameter=st.floats(0.3, 1.0),
    width=st.floats(0.5, 0.95),
    length=st.floats(0.2, 1.0),
    axis=st.floats(0.5, 1.2),
    crown=st.floats(-0.4, 0.25),
    barrel=st.floats(0.2, 1.5),
    lowest=st.floats(0.05, 0.3),
    filled=st.floats(0.05, 0.9),
)
def test_any_locomotive_boiler_that_fits_holds_its_volume(
    diameter: float, width: float, length: float, axis: float, crown: float, barrel: float, lowest: float,
    filled: float,
) -> None:  # fmt: skip
    """All but the lengths as shares of the barrel's diameter; tubes from `lowest` to just under the crown."""
    height = (axis + 0.5 * crown) * diameter
    bottom = (axis - 0.5 + lowest) * diameter
    room = (height - bottom) * diameter * 0.6
    shape = loco(
        barrel_diameter=diameter, firebox_width=width * diameter, firebox_length=length,
        firebox_height=height, barrel_axis=axis * diameter, barrel_length=barrel, lowest_tube=bottom,
        highest_tube=height - 0.001, tubes=max(1, int(filled * 0.6 * room / 0.036**2)),
    )  # fmt: skip
    assume(not boiler_shapes.misfits(shape))
    made = boiler_shapes.reduced(shape)
    assert made.volume == pytest.approx(volume_by_hand(shape), rel=0.005)
    assert np.all(np.diff(made.height_table) > 0.0)


@settings(deadline=None)
@given(
    diameter=st.floats(0.4, 1.2),
    length=st.floats(0.4, 2.0),
    furnace=st.floats(0.2, 0.55),
    bottom=st.floats(0.02, 0.1),
    lowest=st.floats(0.01, 0.2),
    highest=st.floats(0.5, 0.95),
    filled=st.floats(0.02, 0.5),
)
def test_any_dry_back_boiler_that_fits_holds_its_volume(
    diameter: float,
    length: float,
    furnace: float,
    bottom: float,
    lowest: float,
    highest: float,
    filled: float,
) -> None:
    """All but the length as shares of the shell's diameter."""
    low = (furnace + bottom + lowest) * diameter
    high = low + highest * (diameter - low)
    shape = dry_back(
        shell_diameter=diameter, shell_length=length, furnace_diameter=furnace * diameter,
        furnace_bottom=bottom * diameter, lowest_tube=low, highest_tube=high,
        tubes=max(1, int(filled * 0.6 * (high - low) * diameter / 0.032**2)),
    )  # fmt: skip
    assume(not boiler_shapes.misfits(shape))
    made = boiler_shapes.reduced(shape)
    assert made.volume == pytest.approx(volume_by_hand(shape), rel=0.005)
    assert np.all(np.diff(made.height_table) > 0.0)


def numbers(made: Any) -> list[float]:
    """Every number of a reduced boiler, tables and all."""
    return [float(x) for value in vars(made).values() for x in np.ravel(value)]


KEYS = [
    (name, key)
    for name, shape in BOILERS.items()
    for key, value in shape.model_dump().items()
    if isinstance(value, (int, float))
]
GLASS_KEYS = [(name, key) for name in BOILERS for key in BOILERS[name].glass.model_dump()]


@pytest.mark.parametrize(("name", "key"), KEYS)
def test_every_key_moves_something(name: str, key: str) -> None:
    """Five in a thousand less (or one tube): it still fits, and some number of the boiler is another."""
    before = getattr(BOILERS[name], key)
    after = before - 1 if isinstance(before, int) else 0.995 * before if before else 0.01
    other = changed(name, **{key: after})
    if key == "crown_rise":
        other = other.model_copy(update={"highest_tube": 0.48})
        assert numbers(boiler_shapes.reduced(other)) != numbers(
            boiler_shapes.reduced(loco(highest_tube=0.48))
        )
    assert boiler_shapes.misfits(other) == ()
    assert numbers(boiler_shapes.reduced(other)) != numbers(boiler_shapes.reduced(BOILERS[name]))


@pytest.mark.parametrize(("name", "key"), GLASS_KEYS)
def test_every_key_of_the_glass_moves_something(name: str, key: str) -> None:
    glass = BOILERS[name].glass
    moved = glass.model_copy(update={key: getattr(glass, key) + 0.01})
    other = changed(name, glass=moved)
    assert numbers(boiler_shapes.reduced(other)) != numbers(boiler_shapes.reduced(BOILERS[name]))
