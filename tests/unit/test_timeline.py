"""Files and thinning: right headers, same bytes, never half a file, no dip lost."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
import synthetic
from hypothesis import given
from hypothesis import strategies as st

from halfglass.result import timeline, whole
from halfglass.vocabulary.quantities import QUANTITIES


def test_a_dip_of_six_seconds_in_ten_hours_survives_thinning() -> None:
    time = np.arange(0.0, 36000.0, 1.0)
    level = 0.5 + 0.1 * np.sin(time / 400.0)
    level[20001:20007] = 0.08
    level[30001:30007] = 0.93
    rows = timeline.thin(time, level, 260)
    assert rows.size <= 4 * 260
    assert level[rows].min() == 0.08
    assert level[rows].max() == 0.93
    assert 20001 <= time[rows][level[rows].argmin()] < 20007


@given(st.lists(st.floats(-10, 10), min_size=50, max_size=400), st.integers(2, 12))
def test_thinning_keeps_ends_and_the_extremes_of_every_stretch(values: list[float], pieces: int) -> None:
    value = np.array(values)
    time = np.arange(value.size, dtype=float)
    rows = timeline.thin(time, value, pieces)
    assert rows[0] == 0 and rows[-1] == value.size - 1
    assert (np.diff(rows) > 0).all()
    edges = np.linspace(time[0], time[-1], pieces + 1)
    edges[-1] += 1.0  # the last stretch holds its end
    for low, high in zip(edges, edges[1:], strict=False):
        whole, kept = (
            value[(time >= low) & (time < high)],
            value[rows][(time[rows] >= low) & (time[rows] < high)],
        )
        if whole.size:
            assert (kept.min(), kept.max()) == (whole.min(), whole.max())


def test_thinning_keeps_both_sides_of_a_gap() -> None:
    time, value = np.arange(2000.0), np.ones(2000)
    value[700:900] = np.nan
    rows = timeline.thin(time, value, 20)
    assert {699, 700, 899, 900} <= set(rows)


def test_headers_carry_the_unit_and_values_are_in_it(tmp_path: Path) -> None:
    outing = synthetic.outing()
    path, log, hands = timeline.write_csv(outing, tmp_path)
    table = pd.read_csv(path)
    assert list(table.columns[:3]) == ["clock", "time [s]", "boiler_pressure [bar gauge]"]
    assert len(table.columns) == 1 + len(QUANTITIES)
    assert np.allclose(
        table["boiler_pressure [bar gauge]"], outing.timeline["boiler_pressure"] / 1e5, rtol=1e-6
    )
    assert np.allclose(
        table["hotwell_temperature [°C]"], outing.timeline["hotwell_temperature"] - 273.15, rtol=1e-6
    )
    assert table["clock"][0] == "2026-06-06T08:15:00.000"
    lines = list(csv.reader(log.read_text(encoding="utf-8").splitlines()))
    assert lines[0] == ["clock", "time [s]", "who", "subject", "event", "text"]
    assert len(lines) == 1 + len(outing.log)
    lines = list(csv.reader(hands.read_text(encoding="utf-8").splitlines()))
    assert lines[0] == ["from", "to", "start [s]", "end [s]", "task"]
    assert lines[1] == [
        "2026-06-06T10:15:00.000",
        "2026-06-06T12:45:00.000",
        "7200.000",
        "16200.000",
        "steering",
    ]
    assert len(lines) == 1 + len(synthetic.SPELLS)


def test_the_trade_gets_its_own_units(tmp_path: Path) -> None:
    path, *_ = timeline.write_csv(synthetic.outing(units="trade"), tmp_path)
    header = path.read_text(encoding="utf-8").splitlines()[0]
    assert "boiler_pressure [psi gauge]" in header and "water_level [in]" in header


def test_same_outing_same_bytes(tmp_path: Path) -> None:
    first = timeline.write_csv(synthetic.outing(), tmp_path / "a")
    second = timeline.write_csv(synthetic.outing(), tmp_path / "b")
    assert [p.read_bytes() for p in first] == [p.read_bytes() for p in second]


def test_unknown_values_are_empty_cells(tmp_path: Path) -> None:
    outing = synthetic.outing()
    outing.timeline.loc[3, "back_pressure"] = np.nan
    path, *_ = timeline.write_csv(outing, tmp_path)
    assert "nan" not in path.read_text(encoding="utf-8")
    assert np.isnan(pd.read_csv(path)["back_pressure [bar gauge]"][3])


def test_a_failed_write_leaves_the_old_file_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "day.csv"
    whole.write_whole(target, b"old")
    monkeypatch.setattr(whole.os, "replace", lambda *_: (_ for _ in ()).throw(OSError("disk full")))
    with pytest.raises(OSError, match="disk full"):
        whole.write_whole(target, b"new")
    assert target.read_bytes() == b"old"
    assert [p.name for p in tmp_path.iterdir()] == ["day.csv"]


def test_file_names_are_plain_and_tell_plans_apart() -> None:
    plans = ["Hand pump, hot well", "hand pump hot well", "Élan/../../x", "漢字", "***", "a" * 300]
    stems = timeline.stems([synthetic.outing(plan, hours=7.0) for plan in plans])
    assert stems[:5] == ["hand-pump-hot-well", "hand-pump-hot-well-2", "elan-x", "plan", "plan-2"]
    assert len(set(stems)) == len(plans) and all(len(s) <= 52 for s in stems)


def test_frames_know_their_units_and_the_log_comes_back() -> None:
    outing = synthetic.outing()
    assert outing.timeline.attrs["units"]["boiler_pressure"] == "Pa gauge"
    assert outing.timeline.attrs["units"]["hotwell_temperature"] == "K"
    entries = timeline.log_entries(outing.log)
    assert timeline.log_frame(entries).equals(outing.log)
    assert timeline.log_frame([]).empty
