"""The indicator diagram and indicated power against "Steam Engines", Machinery's Reference Series 70."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest
from scripted_day import SCENARIO, sedge
from steaming import steady

from halfglass.day.outing import run
from halfglass.plant import engine, steam
from halfglass.plant.compile import to_record
from halfglass.plant.parameters import Engine
from halfglass.scenario.load import load

PSI = 6894.757
HORSEPOWER = 745.69987


@pytest.mark.parametrize(
    ("clearance", "cut", "ratio"),
    [
        (0.03, 1 / 4, 0.61),
        (0.03, 1 / 3, 0.71),
        (0.03, 1 / 2, 0.85),
        (0.03, 3 / 4, 0.96),
        (0.07, 1 / 4, 0.63),
        (0.07, 1 / 3, 0.73),
        (0.07, 1 / 2, 0.86),
        (0.07, 3 / 4, 0.97),
    ],
)
def test_mean_forward_pressure(clearance: float, cut: float, ratio: float) -> None:
    # Machinery's Reference 70, table II, S; printed truncated, 0.010.
    assert engine.forward_pressure_ratio(cut, clearance) == pytest.approx(ratio, abs=0.010)


def test_mean_effective_pressure_example() -> None:
    # Machinery's Reference 70, example: 3 %, cut-off 1/3, 90 psig, 17 psia back: 57.5 psi, S; 105 x 0.010.
    found = 105.0 * engine.forward_pressure_ratio(1 / 3, 0.03) - 17.0
    assert found == pytest.approx(57.5, abs=1.05)


def square_diagram(bore: float, swept_volume: float) -> Engine:
    """An engine that takes steam for the whole stroke and loses nothing: its MEP is pressure less back."""
    return replace(
        sedge().parameters.engine,
        bore=bore,
        swept_volume=swept_volume,
        full_gear_cut_off=1.0,
        compression_fraction=0.0,
        diagram_factor=1.0,
        leakage_area=0.0,
        throttle_area=10.0,
    )


@pytest.mark.parametrize(
    ("area", "stroke", "turns_per_minute", "psi", "horsepower", "error"),
    [(math.pi * 36.0, 1.5, 300.0, 40.0, 123.0, 0.5), (400.0, 5.5, 40.0, 39.81, 212.3, 0.1)],
    ids=["12 x 18 in", "400 in2"],
)
def test_indicated_power(
    area: float, stroke: float, turns_per_minute: float, psi: float, horsepower: float, error: float
) -> None:
    # Machinery's Reference 70 and another, ihp = P L A N/33000: 123 and 212.3 hp, S; half a unit printed.
    made = square_diagram(math.sqrt(area * 4.0 / math.pi) * 0.0254, 2.0 * area * 0.0254**2 * stroke * 0.3048)
    back = 17.0 * PSI
    pressure = back + psi * PSI
    speed = turns_per_minute / 60.0
    torque, _, _, _ = engine.engine_at_speed(
        to_record(made), pressure, steam.saturation(pressure)[2], 2.1e6, back, 1.0, 1.0, 0.0, 0.0, speed
    )
    assert torque * 2.0 * math.pi * speed / HORSEPOWER == pytest.approx(horsepower, abs=error)


def test_diagram_factor() -> None:
    # Machinery's Reference 70: diagram factor 0.75-0.90, S.
    assert 0.75 <= sedge().parameters.engine.diagram_factor <= 0.90


def diagram(cut: float, compression: float) -> tuple[float, float]:
    """Mean effective pressure [psi] and steam shown [lb/ihp-h]: 75 psig, clearance 7 %, 17 psia back."""
    made = replace(
        square_diagram(12.0 * 0.0254, 0.05),
        full_gear_cut_off=cut,
        clearance_fraction=0.07,
        compression_fraction=compression,
        missing_quantity_coefficient=0.0,
    )
    supply, back, speed = 89.7 * PSI, 17.0 * PSI, 5.0
    torque, _, flow, _ = engine.engine_at_speed(
        to_record(made), supply, steam.saturation(supply)[2], 2.1e6, back, 1.0, 1.0, 0.0, 0.0, speed
    )
    power = torque * 2.0 * math.pi * speed
    return power / (made.swept_volume * speed) / PSI, flow / 0.45359237 * 3600.0 / (power / HORSEPOWER)


COMPRESSION = 0.32
"""Of the stroke: the one value that comes nearest to all four figures below."""


@pytest.mark.parametrize(
    ("cut", "psi"),
    [
        pytest.param(0.75, 64.6, marks=pytest.mark.xfail(strict=True, reason="63.9 psi (-1.1 %)")),
        pytest.param(0.50, 53.4, marks=pytest.mark.xfail(strict=True, reason="54.1 psi (+1.3 %)")),
    ],
)
def test_pressure_shown_by_the_diagram(cut: float, psi: float) -> None:
    # Computed outside the project, C; 0.5 %. The row states no compression. Without any the diagram is 69.8
    # and 60.0 psi; 64.6 wants 0.296 of the stroke and 53.4 wants 0.343, so no one value meets both.
    assert diagram(cut, COMPRESSION)[0] == pytest.approx(psi, rel=5e-3)


@pytest.mark.parametrize(
    ("cut", "pounds"),
    [
        pytest.param(0.75, 32.3, marks=pytest.mark.xfail(strict=True, reason="32.7 lb/ihp-h (+1.2 %)")),
        pytest.param(0.50, 25.5, marks=pytest.mark.xfail(strict=True, reason="25.7 lb/ihp-h (+0.7 %)")),
    ],
)
def test_steam_shown_by_the_diagram(cut: float, pounds: float) -> None:
    # The same row, C; 0.5 %. With its own compression for each cut-off it reads 32.5 and 25.8: the cushion is
    # counted at p v constant (0.62 kg/m3 at 17 psia) where saturated steam has 0.68.
    assert diagram(cut, COMPRESSION)[1] == pytest.approx(pounds, rel=5e-3)


def test_mechanical_efficiency() -> None:
    # Machinery's Reference 70: mechanical efficiency 0.80-0.90, S: Sedge at 75 psi, throttle 0.35.
    plant = steady()
    assert 0.80 <= plant.reading("shaft_power") / plant.reading("indicated_power") <= 0.90


def medium_speed(back_psia: float) -> float:
    """lb/ihp-h of a 12 x 18 in engine at 300 rev/min, 90 psig, cut-off 1/3, the rest in mid-range."""
    made = replace(
        square_diagram(12.0 * 0.0254, 2.0 * math.pi / 4.0 * 0.3048**2 * 0.4572),
        full_gear_cut_off=1.0 / 3.0,
        clearance_fraction=0.05,
        compression_fraction=0.1,
        diagram_factor=0.85,
        missing_quantity_coefficient=7.0,
    )
    supply, speed = 104.7 * PSI, 5.0
    torque, _, flow, _ = engine.engine_at_speed(
        to_record(made),
        supply,
        steam.saturation(supply)[2],
        2.1e6,
        back_psia * PSI,
        1.0,
        1.0,
        0.0,
        0.0,
        speed,
    )
    return flow / 0.45359237 * 3600.0 / (torque * 2.0 * math.pi * speed / HORSEPOWER)


@pytest.mark.parametrize(
    ("back", "pounds"),
    [
        pytest.param(17.0, 30.0, marks=pytest.mark.xfail(strict=True, reason="34.2 lb/ihp-h (+14 %)")),
        pytest.param(3.0, 23.0, marks=pytest.mark.xfail(strict=True, reason="28.2 lb/ihp-h (+23 %)")),
    ],
    ids=["non-condensing", "condensing"],
)
def test_water_rate_of_a_medium_speed_engine(back: float, pounds: float) -> None:
    # Machinery's Reference 70: simple medium-speed engines, 30 non-condensing, 23 condensing, S. It states
    # neither size nor cut-off nor a tolerance: a tenth. A larger cylinder condenses less.
    assert medium_speed(back) == pytest.approx(pounds, rel=0.10)


def back_pressure_psia(path: Path) -> float:
    """Mean over the first hour under way, settled [psi absolute]."""
    story = load(path)
    plan = story.plan_names[0]
    outing = run(story.for_plan(plan), plan, 0, story.files)
    start = float(outing.log.loc[outing.log.event == "under way", "time"].iloc[0])
    rows = outing.timeline
    rows = rows[(rows.time > start + 900.0) & (rows.time < start + 3600.0)]
    return (float(rows.back_pressure.mean()) + 101325.0) / PSI


def test_back_pressure_non_condensing() -> None:
    # Machinery's Reference 70: 17 psia non-condensing, S; a short pipe has less: the lake day, whose
    # exhaust is open to the air.
    assert 14.7 < back_pressure_psia(SCENARIO) <= 17.0


def test_back_pressure_condensing() -> None:
    # Machinery's Reference 70: 3 psia condensing, S; no tolerance printed, a tenth. Goosander has an air pump
    # and a condenser of ordinary size; the small burner boat's, with 5.3 psia, is a small one.
    found = back_pressure_psia(SCENARIO.with_name("05-compound-and-vacuum.toml"))
    assert found == pytest.approx(3.0, rel=0.10)
