"""Compiling and records."""

from __future__ import annotations

import dataclasses
import json
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from halfglass.plant.compile import is_compiled, kernel, to_record

SOURCE = Path(__file__).resolve().parents[2] / "sim"


@dataclasses.dataclass(frozen=True)
class Glass:
    bottom_nut: float
    heights: np.ndarray


@dataclasses.dataclass(frozen=True)
class Shape:
    grate_area: float
    tubes: int
    lagged: bool
    volumes: np.ndarray
    glass: Glass


@kernel
def read_all(shape, i):
    held = shape.grate_area * shape.tubes + shape.volumes[i] + shape.glass.heights[i]
    return held + shape.glass.bottom_nut + (100.0 if shape.lagged else 0.0)


@kernel
def read_pair(pair):
    return pair[0].grate_area + pair[1].bottom_nut


def shape() -> Shape:
    return Shape(0.5, 3, True, np.array([1.0, 2.0]), Glass(0.25, np.array([10.0, 20.0, 30.0])))


def test_kernels_read_records_by_attribute_nested_and_tables() -> None:
    record = to_record(shape())
    assert read_all(record, 1) == 0.5 * 3 + 2.0 + 20.0 + 0.25 + 100.0
    assert record.tubes == 3 and record.glass.heights[2] == 30.0
    assert read_pair((record, to_record(shape().glass))) == 0.75


def test_what_is_not_a_number_cannot_go_into_a_record() -> None:
    if is_compiled():
        with pytest.raises(TypeError, match=r"Glass\.heights"):
            to_record(Glass(0.0, "tall"))  # type: ignore[arg-type]
    else:
        assert to_record(shape().glass).bottom_nut == 0.25


PROGRAM = """
import json
from halfglass.plant import steam
from halfglass.plant.compile import is_prepared
before = is_prepared("saturation_pressure"), is_prepared("march_falling")
import falling
height = falling.height()
kernels = [steam.saturation_pressure, falling.rates, falling.MARCH]
print(json.dumps([
    sum(sum(k.stats.cache_hits.values()) for k in kernels),
    sum(sum(k.stats.cache_misses.values()) for k in kernels),
    before,
    height,
]))
"""

FALLING = """
import numpy as np
from halfglass.plant import marcher, steam
from halfglass.plant.compile import kernel

@kernel
def rates(t, state, plant, settings, derivative_out, readings_out):
    derivative_out[0] = -plant[0] * state[0]
    readings_out[0] = steam.saturation_pressure(373.0 + state[0])

MARCH = marcher.march_for(rates, "falling")

def height():
    m = marcher.Marcher(MARCH, np.array([FIRST]), (1.0,), (0.0,), ["pressure"], np.array([1e-9]))
    m.advance(1.0)
    return m.state[0]
"""


def run_again(folder: Path, first: float) -> list[object]:
    (folder / "falling.py").write_text(FALLING.replace("FIRST", str(first)))
    environment = {**os.environ, "XDG_CACHE_HOME": str(folder), "PYTHONPATH": f"{SOURCE}{os.pathsep}{folder}"}
    environment.pop("HALFGLASS_PLAIN", None)
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM], env=environment, capture_output=True, text=True, check=True
    )
    return json.loads(done.stdout)


@pytest.mark.skipif(not is_compiled(), reason="plain Python has no cache")
def test_a_second_process_compiles_nothing_and_a_changed_kernel_is_seen(tmp_path: Path) -> None:
    first = run_again(tmp_path, 2.0)
    assert first[0] == 0 and first[1] == 3 and first[2] == [False, False]
    second = run_again(tmp_path, 2.0)
    # The march comes with all it calls in it, so it is all that a second process loads.
    assert second[0] == 1 and second[1] == 0 and second[2] == [True, True]
    assert second[3] == first[3] == pytest.approx(2.0 * np.exp(-1.0), rel=1e-4)
    changed = run_again(tmp_path, 4.0)
    assert changed[3] == pytest.approx(4.0 * np.exp(-1.0), rel=1e-4)


CACHE_ONLY = "from halfglass.plant import compile; print(compile._CACHE)"


@pytest.mark.skipif(not is_compiled(), reason="plain Python has no cache")
def test_old_cache_folders_are_dropped_but_the_last_two(tmp_path: Path) -> None:
    for age, name in enumerate(["older", "old", "recent"]):
        folder = tmp_path / "halfglass" / name
        folder.mkdir(parents=True)
        os.utime(folder, (1e9 + age, 1e9 + age))
    environment = {**os.environ, "XDG_CACHE_HOME": str(tmp_path), "PYTHONPATH": str(SOURCE)}
    done = subprocess.run(
        [sys.executable, "-c", CACHE_ONLY], env=environment, capture_output=True, text=True, check=True
    )
    current = Path(done.stdout.strip())
    assert {p.name for p in (tmp_path / "halfglass").iterdir()} == {"recent", current.name}
