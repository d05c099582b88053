"""The liquid-fuel burner: tank, its air, the vaporiser, and the heat released."""

from __future__ import annotations

import math

from halfglass.plant.compile import kernel
from halfglass.plant.parameters import Burner

FULL_TANK_AIR = 0.02
"""Air space left over a tank filled to its stated volume, as share of it (judgement)."""
HEATING_SPREAD = 40.0
"""K over which a warming vaporiser goes from giving nothing to giving all (judgement)."""
LAST_FUEL = 0.05
"""kg in the tank below which the pipe begins to draw air (judgement)."""


@kernel
def tank_air_volume(burner: Burner, tank_fuel: float) -> float:
    """Volume of the air in the tank [m³].

    Parameters: tank_fuel [kg, 0 to full].
    Notes: 2 % of the volume is air over a full tank (judgement); never less than 0.1 L.
    """
    volume = burner.tank_volume * (1.0 + FULL_TANK_AIR) - tank_fuel / burner.fuel_density
    return max(volume, 1e-4)


@kernel
def tank_pressure(burner: Burner, tank_fuel: float, tank_air: float) -> float:
    """Absolute pressure of the air in the tank [Pa].

    Parameters: tank_fuel [kg, from 0 to the tank's]; tank_air [J, pressure times volume, above 0].
    Notes: p V constant while no air is pumped (Boyle): the pressure falls as the fuel goes.
    """
    return tank_air / tank_air_volume(burner, tank_fuel)


@kernel
def fuel_flow(
    burner: Burner, rate: float, tank_gauge: float, tank_fuel: float, vaporiser_temperature: float
) -> float:
    """Fuel burnt.

    Parameters: rate [0-1 of all heads, as set]; tank_gauge [Pa above atmosphere]; tank_fuel [kg];
    vaporiser_temperature [K].
    Returns: kg/s, none from a cold vaporiser, none from an empty tank.
    Notes: jet law, m = m0 r sqrt(p/p0). A jet weaker than lowest_share of all heads goes out, over the tenth
    below it: with two heads that is half the share it is of one (form: judgement).
    """
    if rate <= 0.0 or tank_gauge <= 0.0 or burner.fuel_rate <= 0.0:
        return 0.0
    jet = rate * math.sqrt(tank_gauge / burner.reference_pressure)
    hot = min(1.0, max(0.0, (vaporiser_temperature - burner.vaporiser_lowest) / HEATING_SPREAD + 0.5))
    supply = min(1.0, max(0.0, tank_fuel / LAST_FUEL))
    lit = min(1.0, max(0.0, 10.0 * jet / burner.lowest_share - 9.0)) if burner.lowest_share > 0.0 else 1.0
    return burner.fuel_rate * jet * hot * supply * lit
