"""The route strip: stops and critical moments stand where the timeline says, and nothing covers anything."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
import synthetic

from halfglass.report.route_strip import GAP, Label, route_strip, route_strip_svg, tiers
from halfglass.report.scene import scene
from halfglass.result import shown
from halfglass.result.route import run_at, stops

NASTY = "<img src=x onerror=alert(1)> & $x_1$"


def test_stops_have_their_places_distances_and_times() -> None:
    day = synthetic.outing()
    found = stops(day)
    assert [stop.place for stop in found] == ["start", *(arrival.place for arrival in day.arrivals)]
    for stop, arrival in zip(found[1:], day.arrivals, strict=True):
        assert stop.arrived == arrival.at
        time, run = day.timeline["time"], day.timeline["distance"]
        assert stop.distance == pytest.approx(np.interp(arrival.at, time, run))
    assert all(stop.left is None or stop.left >= stop.arrived for stop in found)


def test_every_critical_item_is_on_the_track_and_in_the_table() -> None:
    day = synthetic.outing(holds=False)
    strip = route_strip(scene([day]))
    assert len(strip.moments) == len(day.verdict.critical) > 1
    for number, row in enumerate(strip.moments, start=1):
        assert row.what.startswith(f"{number} ")
        assert f">{number}<" in strip.svg and f">{number}<" in strip.narrow
    first = min(day.verdict.critical, key=lambda item: item.first_at)
    assert first.severity in strip.moments[0].what
    shown = f"{run_at(day, first.first_at) / 1000:.1f}"
    assert float(strip.moments[0].where.split()[0]) == pytest.approx(float(shown), abs=0.06)


def test_what_came_and_went_in_a_moment_at_the_start_is_told_once() -> None:
    day = synthetic.outing(holds=False)
    first = min(day.verdict.critical, key=lambda item: item.first_at)
    day.timeline.loc[:, "distance"] = -0.2  # the stream set her back before she was under way
    at_once = replace(day.verdict, critical=(replace(first, worst_at=first.first_at),))
    row = route_strip(scene([replace(day, verdict=at_once)])).moments[0]
    assert row.where == "0 km" and row.remark.endswith(" there and then")


def test_axis_has_its_unit_and_other_units_change_it() -> None:
    for choice in ("metric", "metric, distance=nmi"):
        unit = shown.unit("distance", choice)
        assert f"distance run [{unit}]" in route_strip_svg([synthetic.outing(units=choice)])
    assert shown.unit("distance", "metric") == "km" != unit


def test_plans_differ_by_letter_and_dash_and_names_are_text() -> None:
    outings = [synthetic.outing(NASTY), synthetic.outing("nobody", holds=False)]
    strip = route_strip(scene(outings))
    assert {row.letter for row in strip.stops} == {"A", "B"}
    assert "stroke-dasharray" in strip.svg
    assert "<img" not in strip.svg + strip.narrow


def test_same_outings_same_bytes() -> None:
    assert route_strip_svg([synthetic.outing()]) == route_strip_svg([synthetic.outing()])
    ids = re.findall(r' id="([^"]+)"', route_strip_svg([synthetic.outing()]))
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize("width", [300.0, 760.0])
def test_words_never_cover_each_other(width: float) -> None:
    draw = np.random.default_rng(1)
    labels = [Label(float(at), ("x" * int(draw.integers(2, 16)),)) for at in draw.uniform(0, width, 25)]
    count = tiers(labels, width)
    assert count > 1
    for tier in range(count):
        row = sorted((label for label in labels if label.tier == tier), key=lambda label: label.left)
        assert all(b.left - a.left >= a.width + GAP for a, b in zip(row, row[1:], strict=False))
    assert all(label.left >= 0.0 and label.left + label.width <= width + 1e-9 for label in labels)
