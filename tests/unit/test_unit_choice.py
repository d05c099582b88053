"""The units of the answers: what may be chosen, what is refused, and that everything shown follows."""

from __future__ import annotations

from pathlib import Path

import pytest
import synthetic
from click.testing import CliRunner

from halfglass import cli
from halfglass.report import page
from halfglass.report.terminal import summary
from halfglass.result import timeline
from halfglass.vocabulary import quantities, units
from halfglass.vocabulary.unit_choice import PICKS, canonical, chosen
from halfglass.vocabulary.unit_table import KINDS, SYSTEMS, USES

TRADE_BUT_BAR = "trade, pressure=bar gauge, speed=mph"


@pytest.mark.parametrize(
    ("written", "base", "plainly"),
    [
        ("metric", "trade", "metric"),
        ("trade", "metric, speed=mph", "trade"),
        ("trade,speed=mph , pressure = bar", "metric", TRADE_BUT_BAR),
        ("speed=mph", "trade, pressure=bar", TRADE_BUT_BAR),
        ("speed=kn", "trade, speed=mph", "trade, speed=kn"),
        ("trade, volume=US gal", "metric", "trade, volume=US gal"),
        ("temperature=degC", "trade", "trade, temperature=°C"),
        ("speed=knots,speed=km/h", "metric", "metric, speed=km/h"),
    ],
)
def test_a_choice_is_read_and_read_again(written: str, base: str, plainly: str) -> None:
    assert canonical(written, base) == plainly
    assert canonical(plainly) == plainly


@pytest.mark.parametrize(
    ("written", "words"),
    [
        ("", "'' does not pick a unit; write a system first, then such as 'pressure=bar'"),
        ("Trade", "'Trade' is not a system of units; did you mean 'trade'?"),
        ("imperial", "'imperial' is not a system of units; there are 'metric' or 'trade'"),
        ("trade, metric", "'metric' does not pick a unit; write a system first, then such as 'pressure=bar'"),
        ("trade,", "'' does not pick a unit"),
        ("sped=kn", "no unit can be picked for 'sped'; did you mean 'speed'?"),
        ("xyzzy=kn", "no unit can be picked for 'xyzzy'; there are 'pressure', 'draught', 'temperature'"),
        ("speed=", "'' is not a unit of speed; there are 'm/s', 'kn', 'mph'"),
        ("volume=gal", "'gal' is not a unit of volume; there are 'L'"),
        ("pressure=psia", "'psia' is not a unit of pressure; there are 'bar gauge', 'psi gauge'"),
    ],
)
def test_a_choice_that_cannot_be_is_refused(written: str, words: str) -> None:
    with pytest.raises(ValueError) as caught:
        canonical(written)
    assert words in str(caught.value)


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", PICKS)
def test_every_unit_that_can_be_picked_is_shown_and_nothing_else_changes(system: str, name: str) -> None:
    before = chosen(system)
    for unit in KINDS[units.kind_of(PICKS[name][0])].units:
        after = chosen(f"{system}, {name}={unit.symbol}")
        assert all(after[use] == unit.symbol for use in PICKS[name])
        assert all(after[use] == before[use] for use in after if use not in PICKS[name])
    assert set(before) == set(KINDS) | set(USES)


@pytest.mark.parametrize(
    ("kind", "spellings"),
    [
        ("gauge_pressure", ("psi", "bar", "kPa", "inHg")),
        ("mass", ("lb", "kg", "cwt")),
        ("volume", ("imp gal", "US gal", "L")),
        ("length", ("mile", "mi", "km", "nautical mile")),
        ("speed", ("kn", "mph", "km/h")),
        ("temperature", ("°C", "°F")),
        ("rotation", ("rpm",)),
        ("stroke_rate", ("strokes/min",)),
    ],
)
def test_the_units_of_the_trade_are_read(kind: str, spellings: tuple[str, ...]) -> None:
    for spelling in spellings:
        assert units.parse(f"10 {spelling}", kind) == pytest.approx(units.to_si(10.0, kind, spelling))


@pytest.mark.parametrize(
    ("name", "choice", "unit"),
    [
        ("boat_speed", "metric", "kn"),
        ("boat_speed", "metric, speed=km/h", "km/h"),
        ("water_level", "trade", "in"),
        ("water_level", "trade, level=cm", "cm"),
        ("water_level", "trade, length=m", "in"),
        ("distance", "trade, distance=nmi", "nmi"),
        ("heat_release_rate", "trade, power=kW", "Btu/h"),
        ("shaft_power", "trade, power=kW", "kW"),
        ("heat_release_rate", "trade, heat_rate=kW", "kW"),
        ("boiler_pressure", "metric, pressure=inHg", "inHg gauge"),
    ],
)
def test_readings_follow(name: str, choice: str, unit: str) -> None:
    assert quantities.shown_in(name, choice) == unit
    assert quantities.header(name, choice) == f"{name} [{unit}]"


def test_summary_report_and_tables_follow(tmp_path: Path) -> None:
    outing = synthetic.outing(units=TRADE_BUT_BAR, hours=7.0)
    told = summary([outing], 100, False)
    assert "bar gauge" in told and "psi" not in told
    text = page.render([outing])
    assert "bar gauge" in text and "psi gauge" not in text and "mph" in text
    path, *_ = timeline.write_csv(outing, tmp_path)
    header = path.read_text(encoding="utf-8")
    assert "boiler_pressure [bar gauge]" in header and "boat_speed [mph]" in header and "[psi" not in header


def test_a_scenario_may_choose(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    runner = CliRunner()
    day = runner.invoke(cli.commands, ["new", "scenario", "-"]).output
    Path("day.toml").write_text(
        day.replace('# units = "metric"', 'units = "trade, pressure=kPa"'), encoding="utf-8"
    )
    written = runner.invoke(cli.commands, ["check", "day.toml"]).stdout
    assert "552 kPa" in written and "fuel mass 110 lb" in written
    asked = runner.invoke(cli.commands, ["check", "day.toml", "--units", "mass=cwt"]).stdout
    assert "552 kPa" in asked and "fuel mass 0.984 cwt" in asked
