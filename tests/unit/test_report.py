"""The report and the terminal summary: one file, same bytes, names as text, colours all can tell apart."""

from __future__ import annotations

import base64
import hashlib
import re
from collections import Counter
from dataclasses import replace
from html import escape, unescape
from html.parser import HTMLParser
from io import StringIO
from pathlib import Path

import numpy as np
import pytest
import synthetic
from rich.cells import cell_len
from rich.text import Text

from halfglass.report import cursor, page, sheet, style, terminal, write_report
from halfglass.report.drawing import spread
from halfglass.report.pictures import letter_times
from halfglass.report.scene import scene
from halfglass.result import events
from halfglass.result.clock import clock, duration
from halfglass.result.records import LogEntry
from halfglass.result.timeline import log_entries, log_frame

NASTY = "<img src=x onerror=alert(1)> & $x_1$ _y"


@pytest.fixture(scope="module")
def one() -> str:
    return page.render([synthetic.outing()])


@pytest.fixture(scope="module")
def several() -> str:
    return page.render(
        [synthetic.outing(NASTY), synthetic.outing("nobody", holds=False), synthetic.outing("injector")]
    )


class Reader(HTMLParser):
    """Collects tags, ids and what refers to them."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: Counter[str] = Counter()
        self.ids: list[str] = []
        self.links: list[str] = []
        self.attributes: list[tuple[str, dict[str, str | None]]] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags[tag] += 1
        found = dict(attrs)
        self.attributes.append((tag, found))
        if found.get("id"):
            self.ids.append(str(found["id"]))
        for name in ("src", "href"):
            if found.get(name):
                self.links.append(str(found[name]))


def test_same_outings_same_bytes_and_lean(tmp_path: Path, one: str) -> None:
    write_report([synthetic.outing()], tmp_path / "day.html")
    assert (tmp_path / "day.html").read_text(encoding="utf-8") == one
    assert len(one.encode()) < 1_500_000


def test_nothing_is_fetched_and_no_script_but_ours_is_run(several: str) -> None:
    read = Reader(several)
    assert read.links and all(link.startswith("#") for link in read.links)
    assert not {"link", "iframe", "img", "object"} & set(read.tags)
    assert not re.search(r"@import|url\((?!#)", several)
    assert set(re.findall(r"https?://[\w./]+", several)) <= {
        "http://www.w3.org/2000/svg",
        "http://www.w3.org/1999/xlink",
        "https://github.com/leeoniya/uPlot",
    }
    scripts = [attributes for tag, attributes in read.attributes if tag == "script"]
    assert scripts == [{"type": "application/json", "id": "page-data"}, {}]
    run = several.rpartition("<script>")[2].partition("</script>")[0]
    digest = base64.b64encode(hashlib.sha256(run.encode()).digest()).decode()
    assert f"default-src 'none'; style-src 'unsafe-inline'; script-src 'sha256-{digest}'" in unescape(several)
    assert not re.search(r"\beval\(|new Function|innerHTML|document\.write", cursor.script())


def test_ids_are_unique_and_every_reference_is_met(several: str) -> None:
    read = Reader(several)
    assert [i for i, n in Counter(read.ids).items() if n > 1] == []
    wanted = set(re.findall(r'(?:url\(|href=")#([\w-]+)', several))
    wanted |= {i for tag, a in read.attributes for i in (a.get("aria-labelledby") or "").split()}
    assert wanted <= set(read.ids)


def test_pictures_and_tables_have_names(several: str) -> None:
    read = Reader(several)
    assert read.tags["h1"] == 1
    for tag, attributes in read.attributes:
        if tag == "svg":
            assert attributes.get("role") == "img"
            assert attributes.get("aria-label") or attributes.get("aria-labelledby")
        if tag == "th":
            assert attributes.get("scope") in ("row", "col")
    assert read.tags["caption"] == read.tags["table"]
    assert several.count("<desc") == several.count("<title") - 1 > 10


def test_names_appear_as_text(several: str) -> None:
    assert "<img" not in several
    assert "&lt;img src=x onerror=alert(1)&gt; &amp; $x_1$ _y" in several


def test_first_comes_the_verdict_then_the_glass_then_the_rest(several: str) -> None:
    headings = [
        "The gauge glass through the day",
        "Boiler pressure",
        "Fuel",
        "Hot well and make-up",
        "Speed and distance",
        "Back pressure",
        "Feed by source",
        "Fire",
        "Crew",
        "Ledger",
        "Log",
        "Assumptions",
        "Cautions",
        "Sources",
    ]
    order = [
        "<h1>",
        "Model estimate",
        "Verdict<",
        "The plan holds",
        "The water is below the bottom nut",
        "What became critical",
        *(f"{heading}</h" for heading in headings),
    ]
    body = several[several.index("<body>") :]
    places = [body.index(text) for text in order]
    assert places == sorted(places)


def test_all_cautions_are_on_every_report(one: str) -> None:
    for text in sheet.CAUTIONS:
        assert text.replace("'", "&#39;") in one


def test_lowest_and_highest_are_those_of_the_timeline_under_way(one: str) -> None:
    table = synthetic.outing().timeline
    way = table[(table.time >= 2 * 3600) & (table.time <= 6.9 * 3600)]
    low, high = (way.boiler_pressure.min() / 1e5, way.boiler_pressure.max() / 1e5)
    row = re.search(r"boiler pressure <span.*?</tr>", one)
    assert row is not None
    cells = re.findall(r"<td>([\d.]+)</td>", row[0])
    assert cells == [f"{low:.2f}", f"{high:.2f}"]


def test_more_plans_than_line_styles_share_pictures_in_lots() -> None:
    text = page.render([synthetic.outing(f"plan {i}", hours=7.0) for i in range(style.OVERLAID + 1)])
    assert text.count('<section class="strip"') == 2
    assert Counter(Reader(text).ids).most_common(1)[0][1] == 1


def test_paper_leaves_out_looks_first_and_says_so() -> None:
    outing = synthetic.outing()
    many = [LogEntry(9000.0 + t, "hand", "fire", "fires", "") for t in range(200)]
    text = page.render(
        [
            replace(
                outing,
                log=log_frame(
                    [*many, *(LogEntry(8000.0 + t, "hand", "water", events.LOOK, "") for t in range(50))]
                ),
            )
        ]
    )
    lines = re.findall(r"<tr(?: class=\"([\w -]*)\")?><td>\d\d:\d\d:\d\d", text)
    kept = [c for c in lines if "off-paper" not in c]
    assert len(lines) == 250
    assert len(kept) == page.PRINTED_LINES and not any("look" in c for c in kept)
    assert f"On paper {250 - len(kept)} of 250 lines are left out" in text


def test_a_report_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one"):
        page.render([])


def test_a_day_without_a_fault_or_a_start_still_makes_a_report() -> None:
    quiet = replace(
        synthetic.outing(hours=7.0), log=log_frame([]), if_nothing_done=None, totals={}, sources=()
    )
    assert "The gauge glass" in page.render([quiet])


@pytest.mark.filterwarnings("error")
def test_a_day_that_is_over_as_it_begins_still_makes_a_report() -> None:
    """As when the crown is bare with the fire not yet lit, because of how she lies."""
    day = synthetic.outing(hours=7.0)
    start = log_frame([entry for entry in log_entries(day.log) if entry.time == 0.0])
    over = replace(day, timeline=day.timeline.iloc[:1], log=start)
    assert "The gauge glass" in page.render([over])


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize(
    ("without", "left_out"),
    [(("bed_fuel_mass", "bed_depth"), "fire bed"), (("burner_rate",), "burner set")],
    ids=["burner boat", "coal boat"],
)
def test_readings_a_boat_does_not_have_are_left_out(without: tuple[str, ...], left_out: str) -> None:
    outing = synthetic.outing()
    timeline = outing.timeline.copy()
    timeline["burner_rate"] = 0.6
    timeline["feed_flow_injector"] = np.nan
    whole = page.render([replace(outing, timeline=timeline)])
    for name in without:
        timeline[name] = np.nan
    lacking = page.render([replace(outing, timeline=timeline)])
    assert left_out in whole
    assert left_out not in lacking
    assert "injector" not in lacking.partition("Feed by source")[2].partition("</figure>")[0].lower()


def test_the_trade_reads_its_own_units() -> None:
    text = page.render([synthetic.outing(units="trade", hours=7.0)])
    assert "[psi gauge]" in text and "[lb]" in text and "bar gauge" not in text


def _linear(colour: str) -> np.ndarray:
    """Linear RGB of a colour (IEC 61966-2-1)."""
    parts = np.array([int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)])
    return np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)


TO_XYZ = np.array(
    [[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.0721750], [0.0193339, 0.1191920, 0.9503041]]
)
SIGHT = {  # Machado, Oliveira and Fernandes 2009, severity 1.0; coefficients from memory
    "normal": np.eye(3),
    "no red cones": [
        [0.152286, 1.052583, -0.204868],
        [0.114503, 0.786281, 0.099216],
        [-0.003882, -0.048116, 1.051998],
    ],
    "no green cones": [
        [0.367322, 0.860646, -0.227968],
        [0.280085, 0.672501, 0.047413],
        [-0.011820, 0.042940, 0.968881],
    ],
    "no blue cones": [
        [1.255528, -0.076749, -0.178779],
        [-0.078411, 0.930809, 0.147602],
        [0.004733, 0.691367, 0.303900],
    ],
}


def _lab(linear: np.ndarray) -> np.ndarray:
    xyz = TO_XYZ @ np.clip(linear, 0, 1) / (TO_XYZ @ np.ones(3))
    x, y, z = np.where(xyz > 0.008856, np.cbrt(xyz), 7.787 * xyz + 16 / 116)
    return np.array([116 * y - 16, 500 * (x - y), 200 * (y - z)])


def _contrast(first: str, second: str) -> float:
    """Contrast ratio of WCAG 2."""
    light, dark = sorted((float(TO_XYZ[1] @ _linear(c)) for c in (first, second)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("sight", SIGHT)
def test_plan_colours_can_be_told_apart(sight: str) -> None:
    seen = [_lab(np.asarray(SIGHT[sight]) @ _linear(s.colour)) for s in style.STROKES]
    apart = [np.linalg.norm(a - b) for i, a in enumerate(seen) for b in seen[:i]]
    assert min(apart) > 25.0


def test_plan_colours_differ_in_grey_and_by_dash_and_stand_out_from_paper() -> None:
    greys = sorted(_lab(_linear(s.colour))[0] for s in style.STROKES)
    assert min(np.diff(greys)) > 5.5
    assert len({s.dash for s in style.STROKES}) == len(style.STROKES)
    assert all(_contrast(s.colour, "#ffffff") > 3.0 for s in style.STROKES)


def test_small_text_has_enough_contrast() -> None:
    css = (Path(page.__file__).parent / "templates" / "report.css").read_text(encoding="utf-8")
    assert f"--faint: {style.FAINT}" in css and f"--ink: {style.INK}" in css
    for colour in (style.INK, style.FAINT, style.RED_LEAD, "#8c2414"):
        assert _contrast(colour, "#ffffff") >= 4.5


def test_names_of_marks_never_cover_each_other() -> None:
    rng = np.random.default_rng(1)
    for _ in range(50):
        places = sorted(rng.random(rng.integers(1, 7)).tolist())
        moved = spread(places, 0.1)
        assert all(b - a >= 0.1 - 1e-9 for a, b in zip(moved, moved[1:], strict=False))
        assert max(moved) <= 1.0 + 1e-9
    assert spread([0.1, 0.5, 0.9], 0.1) == pytest.approx([0.1, 0.5, 0.9])


def test_no_plan_loses_its_letter_when_its_day_ends_early() -> None:
    days = [synthetic.outing(f"plan {n}", hours=hours) for n, hours in enumerate((10.0, 4.0, 4.0, 10.0, 3.0))]
    places = letter_times(scene(days))
    assert list(places) == ["A", "B", "C", "D", "E"]
    ends = {plan.letter: plan.offset + plan.reading("time")[-1] for plan in scene(days).plans}
    assert all(0.0 <= places[letter] <= ends[letter] for letter in places)
    ordered = sorted(places.values())
    assert min(np.diff(ordered)) > 0.069 * max(ends.values())


def test_letters_go_on_after_z() -> None:
    assert [style.letter(i) for i in (0, 25, 26, 51, 52, 701, 702)] == [
        "A",
        "Z",
        "AA",
        "AZ",
        "BA",
        "ZZ",
        "AAA",
    ]


@pytest.mark.parametrize("colour", [False, True])
@pytest.mark.parametrize("width", [8, 20, 40, 80, 200])
def test_the_terminal_summary_is_never_wider_than_the_terminal(width: int, colour: bool) -> None:
    day = synthetic.outing("漢字漢字漢字漢字 averyveryverylongnamewithoutanyspaces\x1b[2J\n\r", holds=False)
    text = terminal.summary([day, synthetic.outing()], width, colour)
    lines = Text.from_ansi(text).plain.splitlines() if colour else text.splitlines()
    assert max(cell_len(line) for line in lines) <= width
    assert "\x1b[2J" not in text and ("\x1b[" in text) == colour


def test_the_terminal_summary_tells_each_plan_and_the_caution() -> None:
    text = " ".join(
        terminal.summary([synthetic.outing(), synthetic.outing("nobody", holds=False)], 80).split()
    )
    for part in (
        "A hand pump",
        "B nobody",
        "The plan holds the water",
        "The water is below the bottom nut 17 min after the fault",
        "danger: water: crown bare",
        "If nobody answered the fault",
        "not operating instruction",
    ):
        assert part in text


def test_colour_is_for_terminals_that_want_it() -> None:
    class Screen(StringIO):
        def isatty(self) -> bool:
            return True

    assert terminal.wants_colour(Screen(), {})
    assert not terminal.wants_colour(Screen(), {"NO_COLOR": "1"})
    assert not terminal.wants_colour(Screen(), {"TERM": "dumb"})
    assert not terminal.wants_colour(StringIO(), {})


def test_the_page_tells_why_where_nearest_and_what_the_hands_were_at(several: str) -> None:
    outing = synthetic.outing("nobody", holds=False)
    for item in outing.verdict.critical:
        assert escape(item.because) in several
    for near in outing.verdict.nearest:
        assert f"{clock(outing.marks.started, near.at)}, {near.place}" in several
    assert outing.occupation is not None
    for task in outing.occupation.tasks:
        assert f'<th scope="row">{task.task}</th><td>{duration(task.seconds)}</td>' in several
    assert "Reached Alder jetty 12:45." in several and "crossed by" in several


def test_paper_leaves_out_far_limits_and_says_so(one: str) -> None:
    rows = one.partition('<table class="nearest">')[2].partition("</table>")[0]
    told = len(synthetic.outing().verdict.nearest)
    assert rows.count('<tr class="off-paper">') == told - page.PRINTED_ROWS
    assert f"On paper the nearest {page.PRINTED_ROWS} of {told}." in rows


def test_the_terminal_tells_each_reason_once() -> None:
    outing = synthetic.outing("nobody", holds=False)
    text = " ".join(terminal.summary([outing], 100).split())
    graver = [item for item in outing.verdict.critical if item.severity != "watch"]
    openings = {re.split(r" because |; ", item.because)[0] for item in graver}
    assert len(openings) < len(graver)
    for opening in openings:
        assert text.count(opening[:1].upper() + opening[1:]) == 1
    assert "Hands: steering" in text and "near " in text
