"""The energy flow of every shipped leg: it closes, it notices a wrong total, and the picture tells it."""

from __future__ import annotations

import html
import re
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from halfglass.day.energy_account import Stretch, energy_flow
from halfglass.day.outing import Day
from halfglass.plant import state as y
from halfglass.report import energy_picture
from halfglass.result.energy_flow import OUTSIDE, EnergyFlow
from halfglass.result.json_form import as_object
from halfglass.result.records import Outing
from halfglass.scenario.load import Story
from halfglass.vocabulary import units

ASKED = 1e-3
"""Closing error asked for, of the fuel's heat."""
ROUNDING = 1e-9
"""What the books really come to: totals and stocks are integrated by the same steps."""


def flow_of(outing: Outing) -> EnergyFlow:
    """The flow of an outing; every shipped plan has a leg long enough."""
    assert outing.energy_flow is not None
    return outing.energy_flow


def test_every_vessel_closes(outing: Outing) -> None:
    flow = flow_of(outing)
    assert ROUNDING < ASKED
    for node in flow.nodes:
        came = sum(link.power for link in flow.links if link.target == node.name)
        went = sum(link.power for link in flow.links if link.source == node.name)
        assert abs(came - went - node.stored) < ROUNDING * flow.fuel_power, node.name
    assert flow.worst_error < ROUNDING and flow.total_error < ROUNDING


def test_the_boat_closes_as_a_whole(outing: Outing) -> None:
    flow = flow_of(outing)
    came = sum(link.power for link in flow.links if link.source == OUTSIDE)
    went = sum(link.power for link in flow.links if link.target == OUTSIDE)
    assert came - went - sum(node.stored for node in flow.nodes) == pytest.approx(
        0.0, abs=ROUNDING * flow.fuel_power
    )


@pytest.mark.parametrize(
    ("name", "reading"),
    [
        ("heat to the boiler", "heat_to_boiler_rate"),
        ("indicated work", "indicated_power"),
        ("shaft work", "shaft_power"),
    ],
)
def test_links_are_the_mean_of_what_the_timeline_shows(outing: Outing, name: str, reading: str) -> None:
    """Rows stand 10 s apart or closer, so steps between them are smeared: 3 %."""
    flow, table = flow_of(outing), outing.timeline
    rows = table[(table["time"] >= flow.began) & (table["time"] <= flow.ended)]
    mean = np.trapezoid(rows[reading], rows["time"]) / (flow.ended - flow.began)
    assert flow.power(name) == pytest.approx(mean, rel=0.03)


@pytest.fixture(scope="module")
def lake_day() -> tuple[Day, Stretch]:
    """The lake day as run, with the books of its longest leg."""
    from conftest import shipped_file, story_of

    story = story_of(shipped_file("01"))
    day = Day(story.for_plan(story.plan_names[0]))
    day.run()
    assert day.longest is not None
    return day, day.longest


UNNOTICED = {
    "total_fire_heat",  # released inside the fire, handed on to nobody
    "total_propulsive_work",  # the wash is what is left of the shaft's work
    "total_lake_water",  # only shares out the heat of lake water
    "total_lake_water_heat",
}


@pytest.mark.parametrize(
    "name",
    [
        name
        for name in y.NAMES
        if name.startswith("total_") and name.endswith(("_heat", "_loss", "_work")) and name not in UNNOTICED
    ],
)
def test_a_doctored_total_is_noticed(lake_day: tuple[Day, Stretch], name: str) -> None:
    day, stretch = lake_day
    sound = energy_flow(day.clock.plant, stretch)
    amount = 0.01 * sound.fuel_power * stretch.duration
    doctored = stretch.last.state.copy()
    doctored[y.INDEX[name]] += amount
    flow = energy_flow(day.clock.plant, replace(stretch, last=replace(stretch.last, state=doctored)))
    assert flow.worst_error == pytest.approx(0.01, rel=1e-6)


@pytest.mark.parametrize("name", ["boiler_energy", "fire_energy", "hotwell_energy", "condenser_energy"])
def test_a_doctored_stock_is_noticed(lake_day: tuple[Day, Stretch], name: str) -> None:
    day, stretch = lake_day
    doctored = stretch.last.state.copy()
    doctored[y.INDEX[name]] += 0.01 * energy_flow(day.clock.plant, stretch).fuel_power * stretch.duration
    flow = energy_flow(day.clock.plant, replace(stretch, last=replace(stretch.last, state=doctored)))
    assert flow.worst_error == pytest.approx(0.01, rel=1e-6)
    assert flow.total_error == pytest.approx(0.01, rel=1e-6)


def words(svg: str) -> str:
    """All that is written in a picture, one blank between pieces."""
    shown = re.sub(r"<(title|desc)[^>]*>.*?</\1>", "", svg, flags=re.S)
    return " ".join(html.unescape(piece) for piece in re.findall(r"<text[^>]*>([^<]*)</text>", shown))


@pytest.mark.parametrize("system", ["metric", "trade"])
def test_picture_and_table_tell_the_same(outing: Outing, system: str) -> None:
    flow = flow_of(outing)
    told = words(energy_picture.draw(flow, system, "k"))
    rows = energy_picture.table(flow, system)
    powers = {amount for *_, amount, _ in rows}
    unit = re.escape(units.display_unit("heat_rate", system))
    in_picture = re.findall(rf"[\d.]+ {unit}", told)
    assert len(in_picture) > 12 and set(in_picture) <= powers
    for name in ("fuel burnt", "heat to the boiler", "steam to the engine", "exhaust steam", "flue gas"):
        (amount, percent) = next((row[3], row[4]) for row in rows if row[2] == name)
        assert re.search(rf"{name}:? {re.escape(amount)}, {re.escape(percent)}", told), name


def test_bands_are_as_wide_as_the_power(outing: Outing) -> None:
    """Each drawn link has a band whose fill is its width less the edge; the widest stands for `FULL`."""
    flow = flow_of(outing)
    svg = energy_picture.draw(flow, "metric", "k")
    widths = [float(text) for text in re.findall(r'<path[^>]*stroke-width="([\d.]+)"', svg)]
    scale = energy_picture.FULL / max(node.inflow for node in flow.nodes)
    for link in flow.links:
        if link.power > 0.01 * flow.fuel_power and link.target in (
            "",
            "boiler",
            "engine",
            "exhaust",
        ):
            assert (
                min(abs(link.power * scale - 0.4 - width) for width in widths) < 0.02
                or link.source == "screw"
            )


def test_json_has_it(outing: Outing) -> None:
    flow = flow_of(outing)
    told = as_object([outing], [None])["plans"][0]["energy_flow"]
    assert told["heading"] == flow.heading
    assert [link["W"] for link in told["links"]] == [link.power for link in flow.links]
    assert told["links"][0]["from"] is None and told["worst_relative"] < ROUNDING


def test_longest_leg_is_taken(shipped: Callable[..., Outing], story: Callable[[str], Story]) -> None:
    legs = [step for step in story("01").base.route if step.step == "leg"]
    assert flow_of(shipped("01")).heading == max(legs, key=lambda leg: leg.distance).to
