"""Saturation properties against IAPWS-IF97 and independent libraries."""

from __future__ import annotations

import math

import numpy as np
import pytest

from halfglass.plant import steam
from halfglass.plant.data import make_steam_table

PRESSURES = np.exp(np.linspace(math.log(620.0), math.log(2.5e6), 701))


@pytest.mark.parametrize(("temperature", "kilopascals"), [(300.0, 3.53658941)])
def test_saturation_pressure_of_the_published_check_table(temperature: float, kilopascals: float) -> None:
    # IAPWS R7-97(2012), verification values of the saturation equation (500 and 600 K lie above our table).
    assert steam.saturation_pressure(temperature) == pytest.approx(kilopascals * 1e3, rel=1e-7)


@pytest.mark.parametrize(("megapascals", "kelvin"), [(0.1, 372.755919), (1.0, 453.035632)])
def test_saturation_temperature_of_the_published_check_table(megapascals: float, kelvin: float) -> None:
    # IAPWS R7-97(2012), verification values of the backward saturation equation.
    assert steam.saturation_temperature(megapascals * 1e6) == pytest.approx(kelvin, rel=1e-8)


@pytest.mark.parametrize(
    ("kelvin", "megapascals"), [(300.0, 3.53658941e-3), (500.0, 2.63889776), (600.0, 12.3443146)]
)
def test_the_back_end_is_if97(kelvin: float, megapascals: float) -> None:
    # IAPWS R7-97(2012), verification values of the saturation equation, asked of the table's back end.
    import CoolProp.CoolProp as coolprop

    assert coolprop.PropsSI("P", "T", kelvin, "Q", 0, "IF97::Water") == pytest.approx(
        megapascals * 1e6, rel=1e-8
    )


def test_the_back_end_in_region_one() -> None:
    # IAPWS R7-97(2012), verification values of region 1 at 300 K, 3 MPa.
    import CoolProp.CoolProp as coolprop

    for key, value in {
        "D": 1.0 / 1.00215168e-3,
        "H": 115331.273,
        "U": 112324.818,
        "S": 392.294792,
        "C": 4173.01218,
    }.items():
        assert coolprop.PropsSI(key, "T", 300.0, "P", 3e6, "IF97::Water") == pytest.approx(value, rel=1e-8)


@pytest.mark.parametrize(
    ("kilopascals", "celsius", "h_liquid", "h_vapour", "v_liquid", "v_vapour", "u_liquid", "u_vapour"),
    [
        (101.325, 99.9743, 418.991, 2675.531, 0.0010434, 1.673295, 418.885, 2505.985),
        (500.0, 151.8362, 640.185, 2748.108, 0.0010926, 0.374804, 639.639, 2560.705),
        (800.0, 170.4135, 721.018, 2768.302, 0.0011148, 0.240328, 720.126, 2576.040),
    ],
)
def test_saturation_rows_computed_with_iapws(
    kilopascals: float,
    celsius: float,
    h_liquid: float,
    h_vapour: float,
    v_liquid: float,
    v_vapour: float,
    u_liquid: float,
    u_vapour: float,
) -> None:
    # Computed with the `iapws` library from IAPWS R7-97(2012); printed to these figures.
    found = steam.saturation(kilopascals * 1e3)
    assert found[0] - 273.15 == pytest.approx(celsius, abs=1e-4)
    assert found[1] == pytest.approx(v_liquid, abs=5.1e-8)
    assert found[2] == pytest.approx(v_vapour, abs=6e-7)
    for value, printed in zip(found[3:], (u_liquid, u_vapour, h_liquid, h_vapour), strict=True):
        assert value / 1e3 == pytest.approx(printed, abs=6e-4)


@pytest.mark.parametrize("kilopascals", [0.7, 2.0, 10.0, 60.0, 101.325, 300.0, 800.0, 1500.0, 2400.0])
def test_properties_against_iapws(kilopascals: float) -> None:
    # Computed here with the `iapws` library, IAPWS R7-97(2012).
    iapws = pytest.importorskip("iapws")
    found = steam.saturation(kilopascals * 1e3)
    liquid = iapws.IAPWS97(P=kilopascals / 1e3, x=0.0)
    vapour = iapws.IAPWS97(P=kilopascals / 1e3, x=1.0)
    assert found[0] == pytest.approx(liquid.T, abs=1e-5)
    assert found[1:3] == pytest.approx((liquid.v, vapour.v), rel=2e-7)
    theirs = np.array([liquid.u, vapour.u, liquid.h, vapour.h])
    assert np.abs(np.array(found[3:]) / 1e3 - theirs).max() < 1e-3
    assert steam.surface_tension(found[0]) == pytest.approx(liquid.sigma, rel=1e-4)


def test_worst_error_of_the_spline_between_nodes() -> None:
    # IAPWS R7-97(2012) as coded in CoolProp, at 701 pressures across the table.
    worst = np.zeros(5)
    for p in PRESSURES:
        temperature, v_liquid, pv_vapour, h_liquid, h_vapour = make_steam_table.saturation_from_if97(p)
        found = steam.saturation(p)
        errors = (
            found[0] - temperature,
            found[1] / v_liquid - 1.0,
            found[2] * p / pv_vapour - 1.0,
            found[5] - h_liquid,
            found[6] - h_vapour,
        )
        worst = np.maximum(worst, np.abs(errors))
    assert (worst < [1e-6, 5e-8, 5e-8, 0.03, 0.05]).all(), worst


def test_the_shipped_table_is_what_the_script_makes() -> None:
    # IAPWS R7-97(2012) as coded in CoolProp; the script is halfglass/plant/data/make_steam_table.py.
    logarithms, coefficients = make_steam_table.make_table()
    with np.load(make_steam_table.TABLE) as shipped:
        assert np.allclose(shipped["ln_pressure"], logarithms, rtol=1e-14, atol=0.0)
        size = np.abs(coefficients[:, :, :1])
        assert (np.abs(shipped["coefficients"] - coefficients) <= 1e-9 * size).all()


def test_slope_of_the_saturation_line_follows_clapeyron() -> None:
    # Clapeyron: dT/dp = T (vg - vf)/(hg - hf), with IAPWS R7-97(2012) properties.
    for p in PRESSURES:
        temperature, v_liquid, v_vapour, *_, temperature_slope, _, _, _, _ = steam.saturation_with_slopes(
            math.log(p)
        )
        clapeyron = temperature * (v_vapour - v_liquid) / steam.latent_heat(p)
        assert temperature_slope / p == pytest.approx(clapeyron, rel=7e-5)


@pytest.mark.parametrize(("kelvin", "millinewtons"), [(300.0, 71.6859625), (450.0, 42.8914992)])
def test_surface_tension_of_the_published_check_table(kelvin: float, millinewtons: float) -> None:
    # IAPWS R1-76(2014) table 1, as the `iapws` library's manual quotes it.
    assert steam.surface_tension(kelvin) * 1e3 == pytest.approx(millinewtons, rel=1e-8)
