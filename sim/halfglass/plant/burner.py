"""The liquid-fuel burner: tank, its air, the vaporiser, and the heat released."""

from __future__ import annotations

import math

from halfglass.plant.compile import kernel
from halfglass.plant.parameters import Burner


@kernel
def tank_pressure(burner: Burner, tank_fuel: float, tank_air: float) -> float:
    """Absolute pressure of the air in the tank [Pa]: p V constant while no air is pumped (Boyle).

    Parameters: tank_fuel [kg]; tank_air [J, pressure times volume].
    """
    air_volume = burner.tank_volume * 1.02 - tank_fuel / burner.fuel_density
    return tank_air / max(air_volume, 1e-4)


@kernel
def fuel_flow(
    burner: Burner, rate: float, tank_gauge: float, tank_fuel: float, vaporiser_temperature: float
) -> float:
    """Fuel burnt.

    Parameters: rate [0-1, as set]; tank_gauge [Pa above atmosphere]; tank_fuel [kg];
    vaporiser_temperature [K].
    Returns: kg/s: jet law sqrt(pressure), none from a cold vaporiser, none from an empty tank.
    """
    if rate <= 0.0 or tank_gauge <= 0.0:
        return 0.0
    hot = min(1.0, max(0.0, (vaporiser_temperature - burner.vaporiser_lowest) / 40.0 + 0.5))
    supply = min(1.0, max(0.0, tank_fuel / 0.05))
    return burner.fuel_rate * rate * math.sqrt(tank_gauge / burner.reference_pressure) * hot * supply
