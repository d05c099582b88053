"""The balance of vessels over a stretch of steaming: what came, went and stayed, and the worst left over."""

from __future__ import annotations

import pytest

from halfglass.result.energy_flow import BOILER, FIRE, FUEL, OUTSIDE, EnergyFlow, Link, Node, draw

LINKS = (
    Link(FUEL, OUTSIDE, FIRE, 1000.0),
    Link("chimney", FIRE, OUTSIDE, 280.0),
    Link("through the plates", FIRE, BOILER, 700.0),
    Link("steam", BOILER, OUTSIDE, 650.0),
)


def drawn(links: tuple[Link, ...] = LINKS, fire: float = 10.0, boiler: float = 30.0) -> EnergyFlow:
    """Two vessels and what they kept [W]."""
    return draw("Mill", 60.0, 660.0, FUEL, links, {FIRE: fire, BOILER: boiler})


def test_each_vessel_is_balanced_and_the_worst_of_them_told() -> None:
    """Fire 1000 - 980 - 10, boiler 700 - 650 - 30; the whole 1000 - 930 - 40; all over 1000 W of fuel."""
    flow = drawn()
    assert flow.nodes == (Node(FIRE, 1000.0, 980.0, 10.0, 10.0), Node(BOILER, 700.0, 650.0, 30.0, 20.0))
    assert (flow.worst_error, flow.total_error) == pytest.approx((0.02, 0.03))
    assert (flow.heading, flow.began, flow.ended, flow.fuel_power) == ("Mill", 60.0, 660.0, 1000.0)
    over = drawn(fire=20.0, boiler=90.0)  # more is kept than came
    assert [node.error for node in over.nodes] == [0.0, -40.0]
    assert (over.worst_error, over.total_error) == pytest.approx((0.04, 0.04))
    assert (drawn(fire=20.0, boiler=50.0).worst_error, drawn(fire=20.0, boiler=50.0).total_error) == (
        0.0,
        0.0,
    )


def test_what_left_the_boat_is_told_largest_first() -> None:
    flow = drawn()
    assert [link.name for link in flow.lost()] == ["steam", "chimney"]
    assert flow.power("through the plates") == 700.0


def test_without_a_fire_errors_are_told_in_watts() -> None:
    cold = drawn((LINKS[0]._replace(power=0.0),), fire=-0.25, boiler=0.0)
    assert (cold.worst_error, cold.total_error) == (0.25, 0.25)
