"""The gallery of the shipped scenarios: pictures, cards and reports, and an index that tells of each.

`python -m halfglass.gallery [SCENARIOS [FOLDER]]` writes it anew, by default from `scenarios` to
`reports/gallery`. The same scenarios give the same bytes.
"""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory

from halfglass.day.outing import run
from halfglass.report import glass, propose_page, spread_page, write_fit_report, write_report
from halfglass.report.card_page import write_card
from halfglass.report.comparison_page import write_comparison
from halfglass.report.limit_page import write_limit_report
from halfglass.report.route_strip import route_strip
from halfglass.report.scene import scene
from halfglass.report.style import letter
from halfglass.report.terminal import CAUTION
from halfglass.result.records import Outing
from halfglass.result.whole import write_whole
from halfglass.scenario.load import Story, load
from halfglass.study import fit, limit, propose, spread
from halfglass.study.advice import Member
from halfglass.study.comparison import compare
from halfglass.study.failures import failure_table
from halfglass.study.owner_log import read_log

REPORTS = {"01-quiet-lake-day": 1, "02-engine-pump-stops": 2}
"""Days whose whole report is kept, with how many of their plans: more would make the repository heavy."""
CARDS = ("01-quiet-lake-day", "03-burner-boat", "07-two-days-and-two-locks")
JOBS = os.cpu_count() or 1


def _spread(story: Story, page: Path) -> None:
    """README: how likely is it that the coal for a long cruise runs short?"""
    asked = spread.Asked(100, 0, "latin hypercube", story.plan_names)
    with TemporaryDirectory() as folder:
        write_whole(page, spread_page.render(spread.spread(story, asked, Path(folder), JOBS)).encode())


def _limit(story: Story, page: Path) -> None:
    """README: how seldom may I look and still hold the water?"""
    asked = limit.Asked(
        "injector", "crew.look_every", "1 min", "40 min", "holds the water and arrives", days=40
    )
    write_limit_report(limit.limit(story, asked, JOBS), page)


def _comparison(story: Story, page: Path) -> None:
    """README: how does the water in the glass answer throttle, feed and fire?"""
    outings = outings_of(story)
    members = [
        Member(letter(number), outing, story.for_plan(outing.marks.plan_name))
        for number, outing in enumerate(outings)
    ]
    write_comparison(compare(members), page)


def _proposal(story: Story, page: Path) -> None:
    """README: how could the day be worked on less fuel?"""
    asked = propose.Asked("as written", "least fuel", "no act and keeps the reserve")
    write_whole(page, propose_page.render(propose.propose(story, asked, JOBS)).encode())


def _fit(story: Story, page: Path) -> None:
    """README: what does my own log say of my boat?"""
    log = Path(story.file).parent / "logs" / "sedge-quiet-lake-day.csv"
    write_fit_report(fit.fit(story, read_log(log, story.base.light_up)), page)


STUDIES: dict[str, tuple[str, Callable[[Story, Path], None]]] = {
    "spread": ("07-two-days-and-two-locks", _spread),
    "limit": ("02-engine-pump-stops", _limit),
    "comparison": ("10-shrink-and-swell", _comparison),
    "proposal": ("03-burner-boat", _proposal),
    "fit": ("01-quiet-lake-day", _fit),
}
"""The questions of the README, each with its page: the day and how it is asked of it."""
HEAD = f"""# Gallery

Every shipped scenario as the model sees it, made from `scenarios/` by one command:

```
python -m halfglass.gallery
```

How to read the pictures stands in the [guide](../README.md). {CAUTION}
Boats, waters and people are invented.
"""


def make(scenarios: Path, folder: Path) -> list[Path]:
    """Write the whole gallery; returns its files. Pictures of days that are gone are taken away."""
    days = sorted(scenarios.glob("*.toml"))
    written, told = [], [HEAD]
    for day in days:
        story = load(day)
        outings = outings_of(story)
        written += write_day(day.stem, story, outings, folder)
        written += write_studies(day.stem, story, folder)
        told.append(entry(day.stem, story, outings))
    index = folder / "README.md"
    write_whole(index, "\n".join(told).encode())
    written.append(index)
    for stale in set(folder.iterdir()) - set(written):
        if re.fullmatch(r"\d\d-[a-z0-9-]+\.(svg|html)", stale.name):
            stale.unlink()
    return written


def outings_of(story: Story) -> list[Outing]:
    """Every plan of a story, run."""
    return [run(story.for_plan(name), name, files=story.files) for name in story.plan_names]


def write_day(stem: str, story: Story, outings: Sequence[Outing], folder: Path) -> list[Path]:
    """The pictures of one scenario, and its report and card where they are kept."""
    route = route_strip(scene(outings).groups()[0])
    pictures = {"glass": glass.strip(scene(outings[:1])).narrow, "route": route.narrow}
    written = []
    for name, drawing in pictures.items():
        written.append(folder / f"{stem}-{name}.svg")
        write_whole(written[-1], standing_alone(drawing).encode())
    if stem in CARDS:
        written.append(folder / f"{stem}-card.html")
        write_card(outings[0], failure_table(story.for_plan(story.plan_names[0])), written[-1])
    if stem in REPORTS:
        written.append(folder / f"{stem}-report.html")
        write_report(outings[: REPORTS[stem]], written[-1])
    return written


def write_studies(stem: str, story: Story, folder: Path) -> list[Path]:
    """The pages of the questions asked of one scenario."""
    written = []
    for name, (day, ask) in STUDIES.items():
        if day == stem:
            written.append(folder / f"{stem}-{name}.html")
            ask(story, written[-1])
    return written


def standing_alone(drawing: str) -> str:
    """A picture of the page as a file of its own, on white paper, to a tenth of a point."""
    drawing = re.sub(r"(\d\.\d)\d+", r"\1", drawing)
    return drawing.replace("<svg ", '<svg style="background: #fff" ', 1) + "\n"


def entry(stem: str, story: Story, outings: Sequence[Outing]) -> str:
    """What the index says of one scenario."""
    return "\n".join(_entry(stem, story, outings))


def _entry(stem: str, story: Story, outings: Sequence[Outing]) -> Iterator[str]:
    day = story.base
    yield f"## {stem[:2]} · {day.title}"
    yield ""
    yield f"`{stem}.toml`: {day.story}" if day.story else f"`{stem}.toml`."
    yield ""
    for outing in outings:
        yield f"- *{outing.marks.plan_name}*: {outing.verdict.sentence}"
    yield ""
    asked = {name: (day,) for name, (day, _) in STUDIES.items()}
    pages = {"report": REPORTS, "card": CARDS, **asked}
    links = [f"[{name}]({stem}-{name}.html)" for name, days in pages.items() if stem in days]
    if links:
        yield f"Pages: {', '.join(links)}."
        yield ""
    if len(outings) > 1:
        yield f"The glass under *{outings[0].marks.plan_name}*; the route under all plans, A being the first."
        yield ""
    yield f"![The gauge glass through the day: {day.title}]({stem}-glass.svg)"
    yield f"![Along the route: {day.title}]({stem}-route.svg)"
    yield ""


if __name__ == "__main__":
    given = [Path(argument) for argument in sys.argv[1:]]
    made = make(*[*given, *(Path("scenarios"), Path("reports") / "gallery")[len(given) :]])
    sys.stdout.write(f"{len(made)} files, {sum(path.stat().st_size for path in made) / 1e6:.2f} MB\n")
