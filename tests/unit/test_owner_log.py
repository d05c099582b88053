"""The owner's log: clocks, units, empty cells; and every fault of it at once, each with its line."""

from __future__ import annotations

import datetime
from pathlib import Path

import numpy as np
import pytest

from halfglass.study.owner_log import OwnerLog, parse_log, read_log
from halfglass.vocabulary.errors import ScenarioError

LIGHT_UP = datetime.time(8, 15)


def parsed(text: str, light_up: datetime.time = LIGHT_UP) -> OwnerLog:
    return parse_log(text.encode(), "log.csv", light_up)


def refused(text: str, light_up: datetime.time = LIGHT_UP) -> str:
    with pytest.raises(ScenarioError) as error:
        parsed(text, light_up)
    return error.value.render()


def test_a_log_is_read_in_any_units() -> None:
    log = parsed(
        "# a comment\nclock,boiler_pressure [psi],glass_fraction,fuel_added [lb],injector,shaft_speed [rpm]\n"
        "8:15,,1/2,10,no,\n\n08:45:30,15,3/4,,yes,300\n"
    )
    assert log.time.tolist() == [0.0, 1830.0]
    assert log.noted("boiler_pressure")[1] == pytest.approx(15 * 6894.757, rel=1e-6)
    assert np.isnan(log.noted("boiler_pressure")[0])
    assert log.noted("glass_fraction").tolist() == [0.5, 0.75]
    assert log.noted("fuel_added")[0] == pytest.approx(4.5359237)
    assert log.noted("injector").tolist() == [0.0, 1.0]
    assert log.noted("shaft_speed")[1] == pytest.approx(5.0)
    assert log.seen == ("boiler_pressure", "glass_fraction", "shaft_speed")
    assert np.isnan(log.noted("damper")).all()


def test_headers_and_clocks_of_a_timeline_are_understood() -> None:
    log = parsed("clock,boiler_pressure [bar gauge]\n2030-06-15T08:15:00.000,0\n2030-06-15T08:15:10.000,1\n")
    assert log.time.tolist() == [0.0, 10.0]


def test_a_clock_that_falls_back_past_midnight_goes_on() -> None:
    log = parsed("clock,boiler_pressure [bar]\n22:30,5\n23:50,5\n00:20,5\n", datetime.time(22))
    assert log.time.tolist() == [1800.0, 6600.0, 8400.0]


@pytest.mark.parametrize(
    ("times", "division"),
    [(("08:15", "08:20", "08:30"), 300.0), (("08:15", "08:21"), 60.0), (("08:15:30", "08:21"), 30.0),
     (("08:15:07", "08:21"), 1.0), (("08:15:07.5", "08:21"), 0.0)],
)  # fmt: skip
def test_to_what_the_clock_was_read_is_seen(times: tuple[str, ...], division: float) -> None:
    text = "clock,boiler_pressure [bar]\n" + "".join(f"{time},1\n" for time in times)
    assert parsed(text).clock_division == division


def test_all_faults_are_told_at_once_each_with_its_line() -> None:
    told = refused(
        "clock,boiler_presure [bar],glass_fraction [%],fuel_added,injector,glass_fraction [%]\n"
        "08:20,1,120,3,maybe,50\n"
        "08:10,1,50,3,no,50,7\n"
        'noon,1,"1,5",3,no,50\n'
    )
    assert "log.csv:1:7: no column is called 'boiler_presure'; did you mean 'boiler_pressure'?" in told
    assert "log.csv:1:" in told and "fuel_added: this wants its unit, as in 'fuel_added [kg]'" in told
    assert "glass_fraction: this column stands here twice" in told
    assert "'120' is out of range; this is from" in told
    assert "'maybe' is neither 'yes' nor 'no'" in told
    assert "log.csv:3:1: clock: '08:10' is earlier than the line above" in told
    assert "there is no header for this cell" in told
    assert "log.csv:4:1: clock: 'noon' is no clock time" in told


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "this log is empty"),
        ("# nothing\n", "this log is empty"),
        ("clock,boiler_pressure [bar]\n08:15,1\n", "fewer than two lines"),
        ("clock,throttle [%]\n08:15,1\n08:20,2\n", "nothing was seen in this log"),
        ("time,boiler_pressure [bar]\n08:15,1\n", "one column, and one only, is called 'clock'"),
        ("clock;boiler_pressure [bar]\n08:15;1\n", "cells are parted by commas"),
        ("clock,boiler_pressure [bar]\n08:00,1\n08:20,1\n", "earlier than lighting up at 08:15"),
        ("clock,boiler_pressure [bar]\n08:15,5 %\n08:20,1\n", "boiler_pressure: "),
        ("clock,boiler_pressure [bar]\n08:15,\0\n", "this is no text"),
    ],
)
def test_what_is_no_log_is_refused(text: str, message: str) -> None:
    assert message in refused(text)


def test_what_cannot_be_read_is_refused(tmp_path: Path) -> None:
    (tmp_path / "latin.csv").write_bytes("clock,glass_fraction [%]\n08:15,½\n".encode("latin-1"))
    (tmp_path / "large.csv").write_bytes(b"#" * 4_000_001)
    for name, message in [
        ("latin.csv", "not UTF-8"),
        ("large.csv", "larger than"),
        ("none.csv", "cannot be read"),
    ]:
        with pytest.raises(ScenarioError, match=message):
            read_log(tmp_path / name, LIGHT_UP)
