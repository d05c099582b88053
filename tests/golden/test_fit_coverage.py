"""How often the intervals of `fit` hold the truth: crewed days on boats drawn at random, each with its log.

The set-up is that of the shipped log (scenario 01, clock to the minute, divisions of the instruments); the
hidden numbers are drawn as they are said to be beforehand, cut off at two deviations. Crew, eye and numbers
follow the seed; none of these seeds was looked at while the method was made.
"""

from __future__ import annotations

import numpy as np
import pytest

from halfglass.scenario.load import Story
from halfglass.study.fit import fit
from halfglass.study.fit_numbers import numbers_of
from halfglass.study.invented_log import invented_log
from halfglass.study.owner_log import parse_log

SEEDS = range(200, 224)


@pytest.mark.long
def test_nine_of_ten_intervals_hold_the_hidden_number(story) -> None:  # type: ignore[no-untyped-def]
    chosen: Story = story("01")
    day = chosen.base
    numbers = numbers_of(day, {})
    held, better = [], []
    for seed in SEEDS:
        z = np.clip(np.random.default_rng([seed, 99]).normal(size=len(numbers)), -2.0, 2.0)
        hidden = {one.number.key: one.value(float(place)) for one, place in zip(numbers, z, strict=True)}
        log = parse_log(invented_log(day, hidden, seed).encode(), "log.csv", day.light_up)
        result = fit(chosen, log)
        held += [one.low <= hidden[one.key] <= one.high for one in result.numbers if one.is_told]
        better.append(result.overall("after", True) < result.overall("before", True))
    assert len(held) > 5 * len(SEEDS)
    assert np.mean(held) == pytest.approx(0.90, abs=0.04), (sum(held), len(held))
    assert all(better)
