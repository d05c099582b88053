"""What an outing asks to be loaded: fuel and water before lighting up, and what is taken on the way."""

from __future__ import annotations

from dataclasses import dataclass

from halfglass.result.records import Outing

FUEL_UNCERTAINTY = 0.15
"""Share by which the fuel of a real day may differ (judgement: stoking and weather more than the model)."""
NOTHING_LEFT = 0.05
"""kg of fuel below which the bunker counts as empty."""


@dataclass(frozen=True)
class Loading:
    """Masses [kg]. `drawn_down` is the most that was taken from what was aboard at the start, net of fuel
    taken on until then; so `fuel_to_load` brings the day through with the reserve in hand.
    """

    fuel_used: float
    fuel_taken: float
    drawn_down: float
    reserve: float
    fuel_aboard: float
    ran_out: bool
    boiler_water: float
    hotwell_water: float
    water_drawn: float  # from lake or wharf, into hot well and boiler

    @property
    def fuel_to_load(self) -> float:
        """Before lighting up [kg]."""
        return self.drawn_down + self.reserve

    @property
    def fuel_spread(self) -> float:
        """Give or take [kg]."""
        return FUEL_UNCERTAINTY * self.fuel_used


def loading(outing: Outing) -> Loading:
    """Read the stores off an outing."""
    table, totals, aboard = outing.timeline, outing.totals, outing.marks.fuel_capacity
    lowest = float(table["fuel_on_board"].min())
    return Loading(
        totals["fuel_used_kg"],
        totals["fuel_taken_kg"],
        aboard - lowest,
        outing.marks.fuel_reserve,
        aboard,
        lowest < NOTHING_LEFT,
        float(table["boiler_water_mass"].iloc[0]),
        float(table["hotwell_mass"].iloc[0]),
        totals["lake_water_taken_kg"],
    )
