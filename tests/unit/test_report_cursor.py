"""What the page's script is given: rows of the timeline, thinned without loss; vendored files unchanged."""

from __future__ import annotations

import hashlib
import json
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import synthetic
from matplotlib.figure import Figure

from halfglass.report import cursor, page, pictures
from halfglass.report.scene import scene
from halfglass.result import events
from halfglass.result.records import LogEntry
from halfglass.result.timeline import log_entries, log_frame, thin
from halfglass.vocabulary import quantities

REPORT = Path(page.__file__).parent
BROWSER = Path(__file__).parents[1] / "browser"


@pytest.fixture(scope="module")
def one() -> str:
    return page.render([synthetic.outing()])


@pytest.mark.parametrize("folder", [REPORT / "live" / "vendor", BROWSER / "vendor"], ids=["uPlot", "axe"])
def test_what_others_wrote_is_as_they_wrote_it(folder: Path) -> None:
    head, *lines = (folder / "VENDORED").read_text(encoding="utf-8").splitlines()
    told = dict(line.split("  ")[::-1] for line in lines)
    assert re.search(r"\d+\.\d+\.\d+, (MIT|MPL-2.0)", head)
    assert set(told) == {path.name for path in folder.iterdir()} - {"VENDORED"}
    for name, digest in told.items():
        assert hashlib.sha256((folder / name).read_bytes()).hexdigest() == digest


def _lines(text: str) -> list[tuple[str, np.ndarray, np.ndarray]]:
    """Every line of the page's data: reading, times [s], values."""
    data = json.loads(text.partition('id="page-data">')[2].partition("</script>")[0])
    return [
        (panel["name"], np.cumsum(data["times"][line["t"]]), np.array(line["v"], dtype=float))
        for picture in data["pictures"].values()
        for panel in picture["panels"]
        for line in panel["lines"]
    ]


def test_lines_on_screen_are_rows_of_the_timeline(one: str) -> None:
    table = synthetic.outing().timeline
    found = _lines(one)
    assert {name for name, _, _ in found} > {"boiler_pressure", "fuel_on_board", "distance", "back_pressure"}
    for name, time, values in found:
        if name in ("hands_busy", "hotwell_mass"):  # may be derived
            continue
        rows = np.searchsorted(table.time, time)
        assert table.time.to_numpy()[rows] == pytest.approx(time, abs=1e-3)
        in_si = table[name].to_numpy()[rows]
        shown_values = quantities.convert(in_si, name, "metric")
        assert values == pytest.approx(shown_values, rel=1e-4, abs=1e-9)


@pytest.mark.parametrize("at", [1000, 3333, 5998])
def test_a_dip_of_six_seconds_is_kept_on_screen_and_on_paper(at: int) -> None:
    outing = synthetic.outing()
    timeline = outing.timeline.copy()
    timeline.loc[at, "boiler_pressure"] = -0.5e5  # one row: six seconds of ten hours
    timeline.loc[at + 1, "boiler_pressure"] = 9.5e5
    text = page.render([replace(outing, timeline=timeline)])
    values = next(values for name, _, values in _lines(text) if name == "boiler_pressure")
    assert values.min() == -0.5 and values.max() == 9.5 and values.size < 0.5 * len(timeline)
    rows = thin(timeline.time.to_numpy(), timeline.boiler_pressure.to_numpy(), pictures.PIECES)
    assert {at, at + 1} <= set(rows)


def test_make_up_is_what_was_put_into_the_hot_well_at_once() -> None:
    outing = synthetic.outing()
    timeline = outing.timeline
    at = 2000
    twice = timeline.iloc[[*range(at + 1), *range(at, len(timeline))]].reset_index(drop=True)
    twice.loc[at + 1 :, "hotwell_mass"] += 6.0
    plan = scene([replace(outing, timeline=twice)]).plans[0]
    assert pictures.make_up(plan)[[at, at + 1, -1]] == pytest.approx([0.0, 6.0, 6.0])
    assert not pictures.make_up(scene([outing]).plans[0]).any()
    assert "make-up in all" in page.render([replace(outing, timeline=twice)])


def test_the_route_goes_in_after_the_glass() -> None:
    text = page.render([synthetic.outing(hours=7.0)])
    places = [text.index(what) for what in ("The gauge glass", '<section class="route"', ">Boiler pressure<")]
    assert places == sorted(places)


def test_rounding_is_shown_as_nothing_and_near_faults_are_named_once() -> None:
    outing = synthetic.outing()
    timeline = outing.timeline.copy()
    timeline["back_pressure"] = np.where(timeline.time % 60 < 30, 4e3, 4e-6)
    log = [*log_entries(outing.log), LogEntry(synthetic.FAULT_AT + 60, "day", "feed", events.FAULT, "Again.")]
    text = page.render([replace(outing, timeline=timeline, log=log_frame(log))])
    row = re.search(r'<th scope="row">back pressure.*?</tr>', text)
    assert row is not None and row[0].count("<td>0</td>") == 1 and "0.0400" in row[0]
    fuel = text.partition('data-picture="fuel-a"')[2].partition("</figure>")[0]
    assert fuel.count(">fault<") == 1


def test_a_letter_stays_in_the_picture_where_its_line_leaves_it() -> None:
    outing = synthetic.outing(hours=7.0)
    timeline = outing.timeline.copy()
    timeline["boiler_pressure"] = -0.9e5  # vacuum of a boiler gone cold, under the scale
    several = scene([replace(outing, timeline=timeline)] * 2)
    panel = pictures.pressure(several).panels[0]
    axes = Figure().add_subplot()
    axes.set_ylim(0.0, 8.0)
    pictures.draw_letters(axes, several, panel)
    assert [text.get_position()[1] for text in axes.texts] == [0.0, 0.0]


def test_the_cursor_opens_at_the_worst_of_the_gravest_limit() -> None:
    outings = [synthetic.outing(), synthetic.outing("nobody", holds=False)]
    worst = min(
        item.worst_at for outing in outings for item in outing.verdict.critical if item.severity == "danger"
    )
    assert f'"start":{round(worst)},' in page.render(outings)


def test_data_in_the_page_cannot_end_their_element() -> None:
    assert cursor.as_json({"a": "</script><!--&"}) == '{"a":"\\u003c/script\\u003e\\u003c!--\\u0026"}'
