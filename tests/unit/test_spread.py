"""What `spread` draws and says: draws against their shapes, intervals against known answers, keys laid in."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from halfglass.result.spread_records import Difference
from halfglass.scenario.dotted import laid_in, paths
from halfglass.scenario.load import load
from halfglass.scenario.uncertain import Spread, read_spread
from halfglass.scenario.uncertain_models import Normal, OneOf, Triangular, Uniform
from halfglass.study.ensemble import ITEMS
from halfglass.study.sampling import MembersError, draw, value_at, values
from halfglass.study.spread import in_words
from halfglass.study.spread_statistics import (
    CREW,
    differences,
    drivers,
    paired_share,
    rank_correlation,
    wilson,
)

SCENARIOS = Path(__file__).parents[2] / "scenarios"
TRIALS, DAYS = 1200, 200
"""How often a known answer is asked for, and of how many days each time."""
LEAST, MOST = 0.86, 0.94
"""Share of intervals of 90 % confidence that must hold the answer."""


@pytest.fixture(scope="module")
def lake():
    return load(SCENARIOS / "01-quiet-lake-day.toml").base


@pytest.fixture(scope="module")
def locks():
    return load(SCENARIOS / "08-lock-flight.toml").base


ENTRIES = [
    Uniform(kind="uniform", key="crew.look_every", lowest="2 min", highest="12 min"),
    Triangular(kind="triangular", key="weather.headwind", lowest="-1 m/s",
               likeliest="2 m/s", highest="5 m/s"),
    Normal(kind="normal", key="weather.water_temperature", mean="15 °C", deviation="2 °C"),
    OneOf(kind="one of", key="crew.skill", values=("learning", "practised")),
]  # fmt: skip
OTHERS = {
    "lowest": ("1 min", "-2 m/s"), "highest": ("20 min", "7 m/s"), "likeliest": ("", "1 m/s"),
    "mean": ("12 °C",), "deviation": ("3 °C",), "values": (("ordinary", "practised"),),
}  # fmt: skip


@pytest.mark.parametrize("entry", ENTRIES, ids=lambda entry: entry.kind)
def test_every_key_of_a_shape_moves_the_draws(entry, lake) -> None:
    """What `test_every_number_matters` asks of the keys of a day, of those only `spread` reads."""
    shares = np.linspace(0.01, 0.99, 9)
    before = [value_at(read_spread(lake, entry), share) for share in shares]
    for name in type(entry).model_fields:
        if name in OTHERS:
            place = ENTRIES.index(entry) if len(OTHERS[name]) > 1 else 0
            other = entry.model_copy(update={name: OTHERS[name][place]})
            assert [value_at(read_spread(lake, other), share) for share in shares] != before, name


def test_shapes_have_the_moments_they_should(lake) -> None:
    """Mean and variance of uniform, triangular and (cut) normal: closed forms."""
    shares = (np.arange(1000) + 0.5) / 1000
    got = {
        entry.kind: np.array([value_at(read_spread(lake, entry), u) for u in shares]) for entry in ENTRIES[:3]
    }
    assert got["uniform"].mean() == pytest.approx(420.0, rel=1e-3)
    assert got["uniform"].var() == pytest.approx(600.0**2 / 12.0, rel=1e-2)
    assert got["triangular"].mean() == pytest.approx(2.0, rel=1e-3)
    a, b, c = -1.0, 5.0, 2.0
    assert got["triangular"].var() == pytest.approx(
        (a * a + b * b + c * c - a * b - a * c - b * c) / 18.0, rel=1e-2
    )
    assert got["normal"].mean() == pytest.approx(288.15, rel=1e-6)
    # cut at 3 deviations: variance 1 - 2·3·φ(3)/(2Φ(3) - 1) = 0.9733
    assert got["normal"].var() == pytest.approx(4.0 * 0.9733, rel=1e-2)
    assert got["normal"].min() >= 282.15 and got["normal"].max() <= 294.15


def test_each_of_several_values_comes_as_often() -> None:
    one_of = Spread("k", "one of", ("a", "b", "c"), ("a", "b", "c"), None)
    got = [value_at(one_of, u) for u in np.linspace(0.0, 1.0, 300, endpoint=False)]
    assert {name: got.count(name) for name in "abc"} == {"a": 100, "b": 100, "c": 100}
    assert value_at(one_of, 1.0) == "c"


def test_a_key_reaches_every_entry_of_a_sort_or_the_one_of_a_name(locks) -> None:
    """All locks by their step; one entry by its name goes before a sort of the same word."""
    found = paths(locks, "route.lock.wait")
    assert len(found) == sum(step.step == "lock" for step in locks.route) > 1
    changed = laid_in(locks, "route.lock.wait", 777.0)
    assert {step.wait for step in changed.route if step.step == "lock"} == {777.0}
    named = (*locks.route[:-1], locks.route[-1].model_copy(update={"name": "lock"}))
    assert paths(locks.model_copy(update={"route": named}), "route.lock.name") == (
        ("route", len(named) - 1, "name"),
    )
    assert laid_in(locks, "crew.look_every", 60.0).crew.look_every == 60.0
    assert locks.crew.look_every != 60.0


def test_draws_depend_on_the_master_seed_alone() -> None:
    for sampling in ("latin hypercube", "sobol", "sobol indices"):
        one, same, other = draw(16, 3, 5, sampling), draw(16, 3, 5, sampling), draw(16, 3, 6, sampling)
        assert np.array_equal(one.points, same.points) and one.seeds == same.seeds
        assert not np.array_equal(one.points, other.points) and one.seeds != other.seeds
        assert one.points.min() >= 0.0 and one.points.max() < 1.0
    assert len(set(draw(500, 1, 0, "latin hypercube").seeds)) == 500


def test_a_latin_hypercube_has_one_draw_in_each_stratum() -> None:
    points = draw(40, 4, 1, "latin hypercube").points
    for column in points.T:
        assert sorted(np.floor(40 * column).astype(int)) == list(range(40))


@pytest.mark.parametrize(("members", "sampling", "near"), [
    (100, "sobol", "128"), (100, "sobol indices", "128"), (33, "sobol indices", "32"),
    (2, "sobol indices", "4"),
])  # fmt: skip
def test_members_that_do_not_suit_are_refused(members: int, sampling: str, near: str) -> None:
    with pytest.raises(MembersError, match=f"as {near}, not {members}"):
        draw(members, 2, 0, sampling)


@cache
def _even(trial: int) -> np.ndarray:
    """Draws of one trial that are even on 0 to 1, of `DAYS` points of two keys.

    The sum of two draws, less its whole part, goes with neither of them alone: so an even covering of each
    key makes the figure no surer, and an interval is put to its test.
    """
    return draw(DAYS, 2, trial, "latin hypercube").points.sum(axis=1) % 1.0


def _covered(answer: float, interval) -> float:
    """Share of trials whose interval holds the answer."""
    held = 0
    for trial in range(TRIALS):
        low, high = interval(_even(trial))
        held += low <= answer <= high
    return held / TRIALS


@pytest.mark.parametrize("share", [0.07, 0.2, 0.5])
def test_intervals_of_a_chance_hold_the_known_answer(share: float) -> None:
    assert LEAST <= _covered(share, lambda even: wilson(int((even < share).sum()), DAYS)) <= MOST


def test_intervals_of_a_difference_of_chances_hold_the_known_answer() -> None:
    """One plan fails below 0.3, the other between 0.2 and 0.45: 0.05 less often."""

    def interval(even):
        a, b = even < 0.3, (even > 0.2) & (even < 0.45)
        return paired_share(int((a & ~b).sum()), int((b & ~a).sum()), DAYS)[1:]

    assert LEAST <= _covered(0.05, interval) <= MOST


def test_intervals_of_a_mean_difference_hold_the_known_answer() -> None:
    nothing = np.full((DAYS, 25), np.nan)

    def interval(even):
        answers = [{"lowest_glass": even * 0.0}, {"lowest_glass": even**2}]
        (found,) = differences(("a", "b"), (nothing, nothing), answers, lambda _: "glass_fraction")
        return found.low, found.high

    assert LEAST <= _covered(1.0 / 3.0, interval) <= MOST


def test_nothing_is_called_clear_more_often_than_stated() -> None:
    """Two columns that have nothing to do with each other: one verdict of ten is wrong."""
    told = 0
    for trial in range(TRIALS):
        points = np.random.default_rng(trial).random((60, 2))
        told += rank_correlation(points[:, 0], points[:, 1])[1]
    assert 1.0 - MOST <= told / TRIALS <= 1.0 - LEAST


def test_an_even_covering_makes_intervals_too_wide_not_too_narrow() -> None:
    held = 0
    for trial in range(300):
        points = draw(DAYS, 2, trial, "latin hypercube").points
        low, high = wilson(int((points[:, 0] < 0.2).sum()), DAYS)
        held += low <= 0.2 <= high
    assert held == 300


def test_rank_correlation_is_one_for_anything_that_goes_up() -> None:
    x = np.random.default_rng(0).random(50)
    assert rank_correlation(x, np.exp(3.0 * x)) == (pytest.approx(1.0), True)
    assert rank_correlation(x, -(x**3))[0] == pytest.approx(-1.0)
    assert rank_correlation(x, np.ones(50)) == (0.0, False)
    unknown = np.where(x > 0.9, np.nan, x)
    assert rank_correlation(x, unknown)[0] == pytest.approx(1.0)


def test_sobol_indices_of_a_sum_and_of_the_crew() -> None:
    """y = 2 x1 + x2 + 2 s, s of the seed: of the variance 4, 1 and 4 ninths (closed form)."""
    draws = draw(2048, 2, 7, "sobol indices")
    luck = np.array([np.random.default_rng(seed).random() for seed in draws.seeds])
    answer = 2.0 * draws.points[:, 0] + draws.points[:, 1] + 2.0 * luck
    found = {one.key: one for one in drivers(["x1", "x2"], draws.points, {"y": answer}, draws.independent)}
    for key, share in (("x1", 4 / 9), ("x2", 1 / 9), (CREW, 4 / 9)):
        assert found[key].first_order == pytest.approx(share, abs=0.06), key
        assert found[key].total == pytest.approx(share, abs=0.06), key
    assert found[CREW].rank_correlation is None


def test_sobol_indices_are_left_out_where_an_answer_is_unknown_or_never_changes() -> None:
    draws = draw(32, 1, 0, "sobol indices")
    for answer in (np.ones(len(draws.seeds)), np.where(draws.points[:, 0] > 0.9, np.nan, 1.0)):
        found = drivers(["x"], draws.points, {"y": answer}, draws.independent)
        assert [(one.key, one.total) for one in found] == [("x", None)]


def test_a_share_of_none_and_of_all() -> None:
    assert wilson(0, 50)[0] == 0.0 and 0.0 < wilson(0, 50)[1] < 0.1
    assert wilson(50, 50)[1] == 1.0 and 0.9 < wilson(50, 50)[0] < 1.0


def test_spreads_are_told_in_words(lake) -> None:
    told = [in_words(read_spread(lake, entry)) for entry in ENTRIES]
    assert told[0] == "from 2 min to 12 min, any as likely"
    assert told[1].startswith("from -1.94 kn to 9.72 kn, likeliest 3.89 kn")
    assert told[2] == "about 15.0 °C, standard deviation 2.00 °C, cut off at three"
    assert told[3] == "one of learning, practised"


def test_a_difference_is_clear_only_without_nought() -> None:
    made = [
        Difference("b", "a", "w", None, 0.1, low, high)
        for low, high in ((-0.1, 0.3), (0.05, 0.2), (-0.2, -0.1))
    ]
    assert [one.is_clear for one in made] == [False, True, True]


def test_values_of_a_point_by_key(lake) -> None:
    spreads = [read_spread(lake, entry) for entry in (ENTRIES[0], ENTRIES[3])]
    assert values(spreads, np.array([0.5, 0.9])) == {"crew.look_every": 420.0, "crew.skill": "practised"}


def test_no_share_is_told_beyond_all_of_the_days() -> None:
    value, low, high = paired_share(60, 0, 60)
    assert value == 1.0 and 0.8 < low < 1.0 and high == 1.0
    assert paired_share(0, 60, 60)[1] == -1.0


def test_items_of_a_difference_are_named_as_everywhere() -> None:
    place = [subject for subject, _, _ in ITEMS].index("hotwell")
    never, always = np.full((40, len(ITEMS)), np.nan), np.full((40, len(ITEMS)), np.nan)
    always[:, place] = 60.0
    found = differences(("one", "other"), (never, always), ({}, {}), str)
    assert [one.what for one in found] == [f"hot well: {ITEMS[place][1]}"]
