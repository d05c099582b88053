"""Mass and energy over every shipped day, and that the ledger would notice what it should notice."""

from __future__ import annotations

from collections.abc import Callable, Generator
from typing import Any

import numpy as np
import pytest
from conftest import scenario_of

from halfglass.day.outing import Day
from halfglass.plant import state as y
from halfglass.result import events
from halfglass.result.ledger import close
from halfglass.result.records import Ledger, Outing
from halfglass.scenario.load import Story

CLOSES = 1e-6
"""Relative error allowed, cold start to shut-down (the project's own limit)."""


def test_mass_closes(outing: Outing) -> None:
    assert outing.ledger.mass_relative < CLOSES
    assert sum(row.amount for row in outing.ledger.mass if row.side == "out") > 1.0


def test_energy_closes(outing: Outing) -> None:
    assert outing.ledger.energy_relative < CLOSES
    assert sum(row.amount for row in outing.ledger.energy if row.side == "in") > 50e6


@pytest.mark.parametrize(
    ("total", "flow"),
    [
        ("steam_used_by_engine_kg", "steam_flow_boiler_engine"),
        ("feed_engine_pump_kg", "feed_flow_engine_pump"),
        ("feed_hand_pump_hotwell_kg", "feed_flow_hand_pump_hotwell"),
        ("indicated_work_J", "indicated_power"),
        ("heat_to_boiler_J", "heat_to_boiler_rate"),
        ("distance_m", "ground_speed"),
    ],
)
def test_totals_are_the_sum_of_the_flows_shown(outing: Outing, total: str, flow: str) -> None:
    """The totals are integrated with the plant; the timeline's flows are added up here, apart from it.

    Rows stand 10 s apart or closer, so steps between them are smeared: 3 % and a little for a short flow.
    """
    table = outing.timeline
    added = np.trapezoid(table[flow].to_numpy(), table["time"].to_numpy())
    largest = float(table[flow].abs().max())
    assert outing.totals[total] == pytest.approx(added, rel=0.03, abs=30.0 * largest)


NET_HEAT = {"paraffin": (43e6, 45e6), "steam coal": (26e6, 33e6), "anthracite": (26e6, 33e6)}
"""J/kg, values from memory."""
DRY_WOOD = (18.5e6, 19.0e6)
"""J/kg net of dry wood (values from memory); the heat that dries wet wood is booked with the flue."""
LIGHTING = (28e6, 50e6)
"""J at each lighting up of a fire: 2 kg of kindling, paper and rag (common practice, no source)."""


def test_heat_in_is_the_fuel_used(outing: Outing) -> None:
    """Heat put in is the net heat of the fuel used, as wet as it is, and that of lighting up."""
    came = {row.name: row.amount for row in outing.ledger.energy if row.side == "in"}
    aboard = scenario_of(outing).aboard
    if aboard.fuel == "air-dry wood":
        wet = 0.20 if aboard.fuel_moisture is None else aboard.fuel_moisture
        low, high = (dry * (1.0 - wet) for dry in DRY_WOOD)
    else:
        low, high = NET_HEAT[aboard.fuel]
    is_burner = aboard.fuel == "paraffin"
    heat = came["burner fuel"] if is_burner else came["fuel and kindling put on"]
    lit = 0 if is_burner else int((outing.log.event == events.LIGHT_UP).sum())
    used = outing.totals["fuel_used_kg"]
    assert low * used + lit * LIGHTING[0] < heat < high * used + lit * LIGHTING[1]


def test_nothing_negative_goes_out(outing: Outing) -> None:
    """Water and steam only leave; rounding aside."""
    assert min(row.amount for row in outing.ledger.mass if row.side != "kept") > -1e-9


def tampered(story: Story, place: int, amount: float) -> Ledger:
    """The lake day with one stock altered by hand in the first hour, behind the plant's back."""
    day = Day(story.for_plan(story.plan_names[0]))

    def tamper() -> Generator[Any, Any, None]:
        yield day.clock.timeout(3000.0)
        day.clock.plant.marcher.state[place] += amount
        day.clock.plant.marcher.changed()

    day.clock.process(tamper())
    day.run()
    plant = day.clock.plant
    return close(plant.mass_sides(), plant.energy_sides())


@pytest.mark.parametrize(
    ("place", "amount"),
    [
        (y.BOILER_MASS, 0.02),
        (y.HOTWELL_MASS, -0.02),
        (y.TOTAL_EXHAUST_LOST, 0.02),
        (y.TOTAL_LAKE_WATER, 0.02),
    ],
    ids=lambda value: y.NAMES[value] if isinstance(value, int) else f"{value} kg",
)
def test_mass_ledger_notices_a_cupful(story: Callable[[str], Story], place: int, amount: float) -> None:
    ledger = tampered(story("01"), place, amount)
    assert ledger.mass_relative > 10.0 * CLOSES
    assert abs(ledger.mass_error_kg) == pytest.approx(abs(amount), rel=1e-6)


@pytest.mark.parametrize(
    ("place", "amount"),
    [(y.BOILER_ENERGY, 2e5), (y.HOTWELL_ENERGY, 2e5), (y.FIRE_ENERGY, 2e5), (y.TOTAL_FLUE_HEAT, -2e5)],
    ids=lambda value: y.NAMES[value] if isinstance(value, int) else f"{value:.0f} J",
)
def test_energy_ledger_notices_a_trifle(story: Callable[[str], Story], place: int, amount: float) -> None:
    ledger = tampered(story("01"), place, amount)
    assert ledger.energy_relative > 10.0 * CLOSES
    assert abs(ledger.energy_error_J) == pytest.approx(abs(amount), rel=1e-4)
