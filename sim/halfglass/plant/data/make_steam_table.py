"""Make steam_table.npz: saturation properties of water as cubic splines in the logarithm of pressure.

Run with ``python -m halfglass.plant.data.make_steam_table``; needs CoolProp and scipy, which the
running plant does not. Source of the properties: IAPWS R7-97(2012), "IF97", as coded in CoolProp.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

NODES = 129
LOWEST_PRESSURE = 620.0
HIGHEST_PRESSURE = 2.5e6
TABLE = Path(__file__).with_name("steam_table.npz")


def saturation_from_if97(pressure_absolute: float) -> tuple[float, float, float, float, float]:
    """Return what one node of the table holds.

    Parameters: pressure_absolute [Pa], 611.7 to 16.5e6.
    Returns: temperature [K], liquid volume [m3/kg], vapour volume times pressure [J/kg],
    liquid enthalpy [J/kg], vapour enthalpy [J/kg]. The product p*v varies by a third over the
    table where v itself varies three thousandfold, so it makes the better spline.
    """
    import CoolProp.CoolProp as coolprop

    water = coolprop.AbstractState("IF97", "Water")
    water.update(coolprop.PQ_INPUTS, pressure_absolute, 0.0)
    temperature, v_liquid, h_liquid = water.T(), 1.0 / water.rhomass(), water.hmass()
    water.update(coolprop.PQ_INPUTS, pressure_absolute, 1.0)
    return temperature, v_liquid, pressure_absolute / water.rhomass(), h_liquid, water.hmass()


def make_table() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the nodes and the spline coefficients.

    Returns: logarithms of the node pressures, (129,); coefficients (128, 5, 4): interval, property,
    rising powers of the place in the interval (0 to 1). Not-a-knot splines.
    """
    from scipy.interpolate import CubicSpline

    logarithms = np.linspace(np.log(LOWEST_PRESSURE), np.log(HIGHEST_PRESSURE), NODES)
    values = np.array([saturation_from_if97(p) for p in np.exp(logarithms)])
    spline = CubicSpline(np.arange(NODES), values, bc_type="not-a-knot")
    return logarithms, np.ascontiguousarray(spline.c[::-1].transpose(1, 2, 0))


def main() -> None:
    """Write the table beside this script."""
    logarithms, coefficients = make_table()
    np.savez(TABLE, ln_pressure=logarithms, coefficients=coefficients)


if __name__ == "__main__":
    main()
