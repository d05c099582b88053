"""The search for a plan: known answers, the front, limits first, the same whoever works, what is told."""

from __future__ import annotations

import json
import math
import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfglass import propose as propose_in_python
from halfglass.day.outing import Day, run
from halfglass.plant.marcher import ChatterError
from halfglass.report.propose_page import render
from halfglass.report.propose_text import MOST_OF_FRONT, propose_text, told_front
from halfglass.report.sheet import CAUTIONS
from halfglass.result.proposed import DayTried, Proposal, Tried
from halfglass.result.proposed_files import as_object, candidates_csv
from halfglass.scenario.load import Story, load
from halfglass.study import seeking
from halfglass.study.criteria import criterion
from halfglass.study.front import GOALS, best, front, rank
from halfglass.study.limit import Asked as SoughtLimit
from halfglass.study.limit import limit
from halfglass.study.propose import LENIENT, STRICT, Asked, RefusedError, check, propose, with_arrival
from halfglass.study.scenario_numbers import find, written

SCENARIOS = Path(__file__).parents[2] / "scenarios"
THROTTLE = "route[3].throttle"
OTHERS = (
    "firing.working_pressure", "firing.bed_depth", "firing.charge", "orders.glass", "orders.act_below",
    "orders.low_glass",
)  # fmt: skip
END = '\n[[route]]\nstep = "come alongside"\nat = "Alder jetty"\n\n[[route]]\nstep = "shut down"\n'
ASKED = Asked("as written", days=28, seeds=1, further=2)
SCALE = (3600.0, 10.0)


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three kilometres out to the jetty in an hour at most: a short day."""
    folder = tmp_path_factory.mktemp("day")
    shutil.copytree(SCENARIOS / "boats", folder / "boats")
    text = (SCENARIOS / "01-quiet-lake-day.toml").read_text(encoding="utf-8")
    text = text[: text.index('[[route]]\nstep = "leg"\nto = "Heron point"')]
    text = text.replace('distance = "9 km"', 'distance = "3 km"\nat_most = "25 min"')
    (folder / "day.toml").write_text(text + END, encoding="utf-8")
    return folder / "day.toml"


@pytest.fixture(scope="module")
def story(file: Path) -> Story:
    return load(file)


@pytest.fixture(scope="module")
def found(story: Story) -> Proposal:
    return propose(story, ASKED)


def one_lever(goal: str, low: str, high: str, words: str | None = None) -> Asked:
    """A search over one throttle only."""
    choose = (f"{THROTTLE}={low}..{high}",)
    return replace(ASKED, goal=goal, words=words, days=40, choose=choose, fix=OTHERS)


def test_soonest_by_one_throttle_is_the_best_of_all_there_are(story: Story) -> None:
    """Every setting run by itself: the search must come to the soonest of them."""
    answer = propose(story, one_lever("soonest", "20 %", "40 %"))
    number = find(story.for_plan("as written"), THROTTLE, "20 %")
    arrivals = {}
    for percent in range(20, 41):
        day = written(story.for_plan("as written"), number, percent / 100.0)
        outcome = run(day, "x", ASKED.seed).verdict.outcome
        arrivals[f"{percent} %"] = outcome.at if outcome.kind == "arrived" else math.inf
    assert answer.chosen is not None
    chosen = answer.tried[answer.chosen]
    assert chosen.settings == (min(arrivals, key=lambda text: arrivals[text]),)
    assert chosen.arrival == arrivals[chosen.settings[0]]
    assert answer.is_settled
    assert (chosen.settings == ("40 %",)) == (len(answer.at_ends) == 1)


def test_least_fuel_stands_at_the_edge_that_limit_finds(file: Path) -> None:
    """On a burner slower burns less, until the leg is not done in time: `limit` says where that is."""
    text = (SCENARIOS / "03-burner-boat.toml").read_text(encoding="utf-8")
    text = text[: text.index('[[route]]\nstep = "come alongside"')]
    text = text.replace('distance = "24 km"', 'distance = "3 km"\nat_most = "25 min"')
    short = file.with_name("burner.toml")
    short.write_text(text + END, encoding="utf-8")
    story = load(short)
    edge = limit(story, SoughtLimit("as written", THROTTLE, "5 %", "80 %", "arrives")).limits[0].edges[0]
    assert not edge.holds_below
    free = one_lever("least fuel", "5 %", "80 %", words="arrives")
    answer = propose(story, replace(free, fix=("firing.working_pressure", "firing.burner_rate", *OTHERS[3:])))
    assert answer.chosen is not None
    throttle = float(answer.tried[answer.chosen].settings[0].removesuffix(" %")) / 100.0
    assert edge.below < throttle <= edge.safe + 0.02  # the next setting


@pytest.mark.long
def test_the_answer_is_the_same_whoever_works(story: Story, found: Proposal) -> None:
    assert as_object(propose(story, ASKED, jobs=2)) == as_object(found)


@pytest.mark.long
def test_another_seed_searches_otherwise(story: Story, found: Proposal) -> None:
    other = propose(story, replace(ASKED, seed=3))
    assert [one.places for one in other.tried] != [one.places for one in found.tried]


def test_it_stays_within_its_days_and_tries_nothing_twice(found: Proposal) -> None:
    counted = sum(len(one.days) for one in found.tried) + sum(len(one.days) for one in found.checks)
    assert counted == found.days <= ASKED.days
    assert len({one.places for one in found.tried}) == len(found.tried)
    assert found.checks[0].number == 0


def test_nothing_within_the_limits_betters_the_answer(found: Proposal) -> None:
    assert found.chosen is not None
    sure = found.tried[found.chosen]
    assert sure.holds and sure.arrival <= found.tried[0].arrival
    further = found.check(found.chosen)
    assert further is not None and further.held == 2


def test_the_plan_pasted_gives_the_same_figures(found: Proposal, file: Path) -> None:
    assert found.chosen and found.toml
    pasted = file.with_name("pasted.toml")
    pasted.write_text(file.read_text(encoding="utf-8") + "\n" + found.toml, encoding="utf-8")
    story = load(pasted)
    assert story.plan_names == ("as written", found.name)
    outing = run(story.for_plan(found.name), found.name, ASKED.seed)
    chosen = found.tried[found.chosen]
    assert outing.verdict.outcome.at == chosen.arrival
    assert outing.totals["fuel_used_kg"] == chosen.fuel
    assert outing.verdict.lowest_glass_fraction == chosen.margin


def test_nothing_within_impossible_limits_is_said(story: Story) -> None:
    answer = propose(story, replace(ASKED, words="glass above 90 %"))
    assert answer.chosen is None and answer.front == () and answer.toml == "" and answer.rows == ()
    nearest = answer.tried[answer.nearest or 0]
    assert nearest.shortfall == min(one.shortfall for one in answer.tried)
    text = propose_text(answer, 2000)
    assert "Nothing within the limits was found" in text and "not kept: 'glass above 90 %'" in text
    assert "No candidate kept to the limits" in render(answer)
    assert as_object(answer)["proposed_plan"] is None


def test_a_day_the_model_cannot_finish_is_no_answer(story: Story, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every day with much throttle fails: the search goes on, and proposes none of them."""
    whole = Day.run

    def failing(day: Day) -> None:
        if day.scenario.route[2].throttle > 0.3:
            raise ChatterError("on purpose")
        whole(day)

    monkeypatch.setattr(Day, "run", failing)
    answer = propose(story, one_lever("soonest", "20 %", "40 %"))
    assert answer.chosen is not None
    assert answer.tried[answer.chosen].settings == ("30 %",)
    assert {day.outcome for one in answer.tried for day in one.days} == {"arrived", "failed"}


def test_limits_left_out_are_no_graver_than_the_plan_as_written(story: Story, found: Proposal) -> None:
    assert found.parts == criterion(STRICT).parts
    low = load(SCENARIOS / "10-shrink-and-swell.toml")  # its first plan has the glass below a quarter
    act = propose(low, Asked(low.plan_names[0], days=16, seeds=1, further=1))
    assert act.parts == criterion(LENIENT).parts


def test_a_plan_must_arrive() -> None:
    assert with_arrival("no danger") == "no danger and arrives"
    assert with_arrival("arrives and no act") == "arrives and no act"


def test_too_few_days_are_refused_with_the_fewest(story: Story) -> None:
    with pytest.raises(RefusedError, match="104 are the fewest"):
        propose(story, replace(ASKED, days=103, seeds=2, further=20))


def made(number: int, arrival: float, fuel: float, margin: float, short: float = 0.0) -> Tried:
    return Tried(number, (number,), ("x",), (DayTried("arrived", arrival, fuel, margin, (short,)),))


candidates = st.lists(
    st.tuples(*(st.integers(0, 4) for _ in range(3)), st.sampled_from([0.0, 0.0, 0.5, 2.0])), max_size=30
).map(lambda rows: [made(n, 3600.0 + a, 5.0 + b, 0.1 * c, d) for n, (a, b, c, d) in enumerate(rows)])


@given(candidates)
def test_the_front_is_what_nothing_within_the_limits_betters(tried: list[Tried]) -> None:
    numbers = front(tried)
    kept = [tried[number] for number in numbers]
    sides = [(one.arrival, one.fuel, -one.margin) for one in kept]
    assert sides == sorted(set(sides))
    assert all(one.holds for one in kept)
    for one in tried:
        mine = (one.arrival, one.fuel, -one.margin)
        bettered = any(
            other != mine and all(a <= b for a, b in zip(other, mine, strict=True))
            for other in ((o.arrival, o.fuel, -o.margin) for o in tried if o.holds)
        )
        assert (mine in sides) == (not bettered) or not one.holds


@given(candidates, st.sampled_from(sorted(GOALS)))
def test_limits_come_first_whatever_the_aim(tried: list[Tried], goal: str) -> None:
    aim = GOALS[goal](SCALE)
    order = best(tried, aim)
    held = [one.holds for one in order]
    assert held == sorted(held, reverse=True)
    short = [one.shortfall for one in order if not one.holds]
    assert short == sorted(short)
    for one, after in zip(order, order[1:], strict=False):
        if one.holds and after.holds:
            first, second = ("arrival", "fuel") if goal == "soonest" else ("fuel", "arrival")
            assert getattr(one, first) / 3600.0 <= getattr(after, first) / 3600.0 * 1.02
            assert getattr(one, first) != getattr(after, first) or getattr(one, second) <= getattr(
                after, second
            )


def test_a_candidate_not_tried_ranks_last() -> None:
    aim = GOALS["soonest"](SCALE)
    assert rank(None, aim) == rank(Tried(1, (0,), ("x",), ()), aim) == math.inf
    assert rank(made(0, math.nan, 5.0, 0.2), aim) == 1.0


@pytest.mark.parametrize(
    ("held", "takes", "days"),
    [
        ({1: 20, 0: 20}, 1, {0: 20, 1: 20}),
        ({1: 19, 0: 20}, 1, {0: 20, 1: 20}),
        ({1: 2, 3: 19, 0: 20}, 3, {0: 20, 1: 5, 3: 20}),  # not 2, which is all but the same as 1
        ({1: 2, 3: 7, 4: 20, 0: 20}, 4, {0: 20, 1: 5, 3: 10, 4: 20}),
        ({1: 2, 3: 7, 4: 4, 5: 8, 0: 14}, 5, {0: 20, 1: 5, 3: 10, 4: 10, 5: 10}),
        ({1: 2, 3: 7, 4: 4, 5: 8, 0: 20}, 0, {0: 20, 1: 5, 3: 10, 4: 10, 5: 10}),
    ],
)
def test_the_first_that_is_sure_is_taken(held: dict[int, int], takes: int, days: dict[int, int]) -> None:
    """Further seeds decide: a plan that held on few of them gives way to one further from the limits."""
    tried = [
        made(n, 3600.0 * hours, 20.0 - n, 0.3) for n, hours in enumerate((2.0, 1.0, 1.001, 1.1, 1.2, 1.3))
    ]
    tried[0] = made(0, 7200.0, 10.0, 0.3)

    def further(one: Tried, seeds: range) -> tuple[DayTried, ...]:
        return tuple(made(0, 3600.0, 20.0, 0.3, float(seed >= held[one.number])).days[0] for seed in seeds)

    stand_in = SimpleNamespace(tried=tried, further=further)
    checks, chosen = check(stand_in, GOALS["soonest"](SCALE), tried[1], range(20))  # type: ignore[arg-type]
    assert chosen is tried[takes]
    assert {one.number: len(one.days) for one in checks} == days


def test_changes_that_help_one_lever_do_not_undo_another() -> None:
    one = replace(made(0, 3600.0, 5.0, 0.2), places=(5, 5, 5))
    better = replace(one, places=(6, 5, 5)), replace(one, places=(4, 5, 5)), replace(one, places=(5, 5, 9))
    assert seeking._joined(one, better) == (6, 5, 9)


def test_shortfalls_are_nothing_just_where_a_criterion_holds(story: Story) -> None:
    pumps = load(SCENARIOS / "02-engine-pump-stops.toml")
    days = [run(story.for_plan("as written"), "x"), *(run(pumps.for_plan(n), n) for n in pumps.plan_names)]
    for words in ("holds the water", "no danger", "no act", "arrives", "reverses", "keeps the reserve",
                  "glass above 20 %", "fuel left above 20 kg", "pressure above 4 bar"):  # fmt: skip
        wanted = criterion(words)
        held = [wanted.holds(outing) for outing in days]
        assert held == [wanted.shortfalls(outing) == (0.0,) for outing in days]
        assert all(short >= 0.0 for outing in days for short in wanted.shortfalls(outing))
    water = [outing.verdict.holds_water for outing in days]
    assert [criterion("holds the water").holds(outing) for outing in days] == water
    assert len(set(water)) == 2
    worse, bad = (criterion(f"glass above {share} %").shortfalls(days[0])[0] for share in (90, 70))
    assert worse > bad > 0.0


def test_text_page_and_table_tell_it_all(found: Proposal) -> None:
    text, narrow, page = propose_text(found, 100), propose_text(found, 40), render(found)
    told = narrow.partition("To be pasted")[0]
    assert max(len(line) for line in told.splitlines()) <= 40
    assert "the best of" in text and "days tried" in text and "no optimum" in text
    assert "Held on 2 of 2 further seeds" in text
    for part in (*CAUTIONS, found.name, *(lever.key for lever in found.levers)):
        assert part.split("'")[0] in page
    assert page == render(found)
    assert "NaN" not in page and "nan<" not in page
    rows = candidates_csv(found).splitlines()
    assert len(rows) == 1 + len(found.tried)
    assert sum(",yes,yes," in row for row in rows) == len(found.front)
    assert found.chosen in told_front(found)
    assert set(told_front(found)) <= {*found.front, found.chosen}
    json.dumps(as_object(found), allow_nan=False)


def test_ends_of_the_front_alike_do_not_keep_the_rest_from_being_told(found: Proposal) -> None:
    """The soonest is proposed and has the most water but for a hair: the middle is told all the same."""
    tried = [made(n, 3600.0 + 600.0 * n, 20.0 - n, 0.4 - 0.01 * n) for n in range(20)]
    tried.append(made(20, 3601.0, 20.0, 0.4001))
    wide = replace(found, tried=tuple(tried), front=front(tried), chosen=0)
    assert len(told_front(wide)) == MOST_OF_FRONT
    assert {0, 19} <= set(told_front(wide)) and 20 not in told_front(wide)


def test_from_python(story: Story, found: Proposal) -> None:
    assert propose_in_python(story, days=28, seeds=1, further=2).chosen == found.chosen


def test_the_command_writes_page_plan_and_table(
    command: Callable[..., int],
    file: Path,
    found: Proposal,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    few = ("--days", 28, "--seeds", 1, "--further", 2, "--jobs", 1)
    assert command("propose", file, *few, "--out", tmp_path, "--json") == 0
    told = json.loads(capsys.readouterr().out)
    assert told["schema_version"] == 1 and told["chosen"] == found.chosen
    assert (tmp_path / "plan.toml").read_text(encoding="utf-8") == told["proposed_plan"]["toml"]
    assert (tmp_path / "report.html").read_text(encoding="utf-8") == render(found)
    assert (tmp_path / "candidates.csv").read_text(encoding="utf-8") == candidates_csv(found)
    hopeless = ("--while", "glass above 90 %")
    assert command("propose", file, *few, *hopeless, "--out", tmp_path, "--units", "trade") == 0
    assert "Nothing within the limits" in capsys.readouterr().out
    assert not (tmp_path / "plan.toml").exists()  # that of the earlier search


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("--for", "fastest"), "'soonest', 'least fuel'"),
        (("--while", "no dangr"), "did you mean 'no danger'"),
        (("--plan", "as writen"), "did you mean 'as written'"),
        (("--choose", "firing.charge"), "KEY=LOW..HIGH"),
        (("--fix", "firing.chrge"), "did you mean 'charge'"),
        (("--days", "20"), "104 are the fewest"),
        (("--days", "0"), "--days"),
        (("--units", "imperial"), "--units"),
        (("--jobs", "0"), "--jobs"),
    ],
)
def test_wrong_arguments_are_refused(
    command: Callable[..., int], file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str],
    arguments: tuple[str, ...], says: str,
) -> None:  # fmt: skip
    assert command("propose", file, "--out", tmp_path / "out", *arguments) == 2
    told = capsys.readouterr()
    assert says in told.err and told.out == ""
    assert "Traceback" not in told.err
    assert not (tmp_path / "out").exists()
