"""The object of `run --json`: exactly the promised shape, strict JSON, SI with units named."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
import synthetic

from halfglass.result import ledger, provenance
from halfglass.result.json_form import as_object


def test_shape_is_exactly_the_promised_one() -> None:
    found = as_object([synthetic.outing(), synthetic.outing("none", holds=False)], [Path("a.csv"), None])
    assert list(found) == ["schema_version", "scenario", "plans", "provenance"]
    assert found["schema_version"] == 1
    assert found["scenario"] == synthetic.MARKS.title
    plan = found["plans"][1]
    assert list(plan) == [
        "name",
        "outcome",
        "critical",
        "nearest",
        "arrivals",
        "occupation",
        "solids",
        "totals",
        "ledger",
        "timeline",
        "energy_flow",
    ]
    assert list(plan["outcome"]) == ["kind", "at", "sentence"]
    assert list(plan["critical"][0]) == [
        "subject",
        "item",
        "severity",
        "first_at",
        "first_s",
        "lasted_s",
        "worst",
        "unit",
        "after_fault_s",
        "because",
    ]
    assert list(plan["nearest"][0]) == [
        "subject",
        "item",
        "reading",
        "unit",
        "limit",
        "nearest",
        "margin",
        "margin_fraction",
        "at",
        "at_s",
        "place",
    ]
    assert list(plan["occupation"]) == [
        "tasks",
        "under_way_s",
        "busy_under_way_fraction",
        "overdue",
        "worst_overdue_s",
    ]
    assert plan["arrivals"] == [{"place": "Alder jetty", "at": "2026-06-06T12:45:00.000", "at_s": 16200.0}]
    assert plan["solids"] == {
        "at_end_mg_per_kg": 2100.0,
        "feed_mg_per_kg": 150.0,
        "limit_mg_per_kg": 3500.0,
        "blow_down_fraction": 0.045,
    }
    assert list(plan["ledger"]) == ["mass_error_kg", "energy_error_J", "mass_relative", "energy_relative"]
    assert [p["timeline"] for p in found["plans"]] == ["a.csv", None]
    assert "plan" not in found["provenance"]


def test_values_are_those_of_the_verdict() -> None:
    outing = synthetic.outing(holds=False)
    plan = as_object([outing], [None])["plans"][0]
    for told, item in zip(plan["critical"], outing.verdict.critical, strict=True):
        assert (told["first_s"], told["lasted_s"], told["worst"]) == (item.first_at, item.lasted, item.worst)
    assert {c["item"]: c["unit"] for c in plan["critical"]}["crown bare"] == "m"
    assert plan["totals"]["bottom_nut_if_nothing_done_s"] == pytest.approx(14.2 * 60)
    assert plan["totals"]["fuel_used_kg"] == 52.0


def test_it_is_strict_json_even_when_a_number_is_not_known() -> None:
    outing = synthetic.outing()
    outing = replace(outing, totals={"fuel_used_kg": float("nan"), "distance_m": float("inf")})
    text = json.dumps(as_object([outing], [None]), allow_nan=False)
    assert json.loads(text)["plans"][0]["totals"]["fuel_used_kg"] is None


def test_a_plan_count_that_differs_from_the_paths_is_an_error() -> None:
    with pytest.raises(ValueError, match="shorter|longer"):
        as_object([synthetic.outing()], [])


def test_the_ledger_shows_what_does_not_close() -> None:
    books = ledger.close({"in": {"lake": 10.0}, "out": {"steam": 7.0}, "kept": {"boiler": 2.0}}, {})
    assert (books.mass_error_kg, books.mass_relative) == (1.0, pytest.approx(0.1))
    assert (books.energy_error_J, books.energy_relative) == (0.0, 0.0)
    assert ledger.share(books.mass, books.mass[1]) == pytest.approx(0.7)


def test_provenance_tells_scenarios_apart_and_nothing_about_the_machine() -> None:
    files = {"day.toml": b"x", "boat.toml": b"y"}
    record = provenance.gather(files, "hand pump", 0, "metric", compiled=True)
    again = provenance.gather(dict(reversed(files.items())), "hand pump", 0, "metric", compiled=True)
    assert record == again
    assert record["scenario_sha256"] != provenance.scenario_hash({"day.toml": b"xboat.tomly"})
    assert provenance.scenario_hash({"a": b"bc"}) != provenance.scenario_hash({"ab": b"c"})
    text = json.dumps(record)
    assert str(Path.cwd()) not in text and str(Path.home()) not in text
