"""Refusals of a scenario-like set of tables: each located, in plain words, all at once."""

from __future__ import annotations

import datetime
import pickle
from typing import Annotated, Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import Field, ValidationError, model_validator

from halfglass.scenario.fields import (
    Duration,
    Fraction,
    Length,
    Name,
    Table,
    Text,
    Volume,
    complaint,
    faults_from_validation,
    quantity,
)
from halfglass.scenario.toml_text import Document, from_text
from halfglass.vocabulary.errors import Fault


class Until(Table):
    pressure_above: Annotated[
        float, quantity("gauge_pressure", lowest=0.0, highest="300 psi", example="70 psi")
    ]


class RaiseSteam(Table):
    step: Literal["raise steam"]
    until: Until


class Leg(Table):
    step: Literal["leg"]
    to: Name
    distance: Length
    throttle: Fraction = 1.0
    leg: int = 0


class Lie(Table):
    step: Literal["lie"]
    for_: Duration = Field(alias="for")
    fire: Literal["banked", "kept up"] = "banked"


class Crew(Table):
    hands: Annotated[int, Field(ge=1, le=4)]
    skill: float = 1.0
    look_every: Duration = 180.0


class Tank(Table):
    volume: Volume
    fuel: Volume | None = None

    @model_validator(mode="after")
    def _fits(self) -> Tank:
        if self.fuel is not None and self.fuel > self.volume:
            raise complaint("this is more than the tank holds", "fuel", "volume")
        return self


class Day(Table):
    title: Text
    light_up: datetime.time
    crew: Crew
    route: Annotated[
        tuple[Annotated[RaiseSteam | Leg | Lie, Field(discriminator="step")], ...], Field(min_length=1)
    ]
    orders: Text | tuple[Text, ...] = ()
    carried: Volume | Literal["full"] = "full"
    is_windy: bool = False
    tank: Tank | None = None

    @model_validator(mode="after")
    def _ends_well(self) -> Day:
        if self.title == "nameless":
            raise ValueError("a day must have a name of its own")
        return self


GOOD = """\
title = "Quiet lake"
light_up = 08:15:00
orders = ["injector", "hand pump"]
[crew]
hands = 2
look_every = "3 min"
[[route]]
step = "raise steam"
until = { pressure_above = "70 psi" }
[[route]]
step = "leg"
to = "Alder jetty"
distance = "3.2 km"
[[route]]
step = "lie"
for = "25 min"
[tank]
volume = "25 L"
fuel = "20 L"
"""


def faults_in(text: str, table: type[Table] = Day) -> list[Fault]:
    document = from_text(text, "lake.toml")
    with pytest.raises(ValidationError) as caught:
        table.model_validate(document.values)
    return list(faults_from_validation(caught.value, document))


def only_fault(old: str, new: str) -> tuple[int, int, str, str]:
    """The one fault of the good file with one thing changed: line, column, key, message."""
    assert GOOD.count(old) == 1
    (fault,) = faults_in(GOOD.replace(old, new))
    return fault.line, fault.column, fault.key, fault.message


def test_a_good_file_becomes_si_and_stays_frozen() -> None:
    day = Day.model_validate(from_text(GOOD, "lake.toml").values)
    assert day.crew.look_every == 180.0
    assert (
        isinstance(day.route[0], RaiseSteam)
        and isinstance(day.route[1], Leg)
        and isinstance(day.route[2], Lie)
    )
    assert day.route[0].until.pressure_above == pytest.approx(482633.0, abs=1.0)
    assert (day.route[1].distance, day.route[1].throttle, day.route[2].for_) == (3200.0, 1.0, 1500.0)
    assert day.orders == ("injector", "hand pump")
    with pytest.raises(ValidationError):
        day.title = "other"  # type: ignore[misc]
    assert pickle.loads(pickle.dumps(day)) == day


ROUTE_CHOICES = "one of 'raise steam', 'leg', 'lie'"
DAY_KEYS = "'carried', 'crew', 'is_windy', 'light_up', 'orders', 'route', 'tank', 'title'"


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        (
            '"3.2 km"',
            '"25 kg"',
            (13, 12, "route[2].distance", "'25 kg' is a mass; this wants a length such as '3.2 km'"),
        ),
        (
            '"3.2 km"',
            "3.2",
            (
                13,
                12,
                "route[2].distance",
                "3.2 is a bare number; this wants a length such as '3.2 km', in quotes",
            ),
        ),
        (
            '"3.2 km"',
            '"0 km"',
            (13, 12, "route[2].distance", "'0 km' is out of range; this must be more than 0 km"),
        ),
        (
            '"70 psi"',
            '"25 bar"',
            (
                9,
                28,
                "route[1].until.pressure_above",
                "'25 bar' is out of range; this must be from 0 bar to 20.68 bar",
            ),
        ),
        (
            '"70 psi"',
            '"85 psia"',
            (
                9,
                28,
                "route[1].until.pressure_above",
                "'85 psia' is an absolute pressure; this wants a gauge pressure such as '70 psi' (a "
                "gauge reads above the air outside, so take off the air's pressure, about 14.7 psi or "
                "1.013 bar)",
            ),
        ),
        (
            "to = ",
            "too = ",
            (
                12,
                1,
                "route[2].too",
                "there is no such key here; did you mean 'to'? Here may stand: "
                "'distance', 'leg', 'step', 'throttle', 'to'",
            ),
        ),
        (
            'for = "25 min"',
            "",
            (14, 3, "route[3].for", "this is missing; it wants a length of time such as '25 min'"),
        ),
        (
            'step = "lie"',
            'step = "lye"',
            (
                15,
                8,
                "route[3].step",
                f"'lye' is not known here; did you mean 'lie'? This wants {ROUTE_CHOICES}",
            ),
        ),
        (
            'step = "lie"',
            'step = "steer"',
            (15, 8, "route[3].step", f"'steer' is not known here; this wants {ROUTE_CHOICES}"),
        ),
        (
            'step = "lie"',
            "step = 3",
            (15, 8, "route[3].step", f"this wants {ROUTE_CHOICES}, not the number 3"),
        ),
        (
            'step = "lie"',
            'stp = "lie"',
            (14, 3, "route[3].step", f"this is missing; it wants {ROUTE_CHOICES}"),
        ),
        (
            'for = "25 min"',
            'for = "25 min"\nfire = "bankd"',
            (
                17,
                8,
                "route[3].fire",
                "'bankd' is not known here; did you mean 'banked'? This wants one of 'banked', 'kept up'",
            ),
        ),
        ('to = "Alder jetty"', 'to = ""', (12, 6, "route[2].to", "this may not be empty")),
        (
            'to = "Alder jetty"',
            "to = 3\nleg = 1",
            (12, 6, "route[2].to", "this wants text in quotes, not the number 3"),
        ),
        (
            'to = "Alder jetty"',
            'to = "x"\nleg = "y"',
            (13, 7, "route[2].leg", "this wants a whole number, not the text 'y'"),
        ),
        (
            "hands = 2",
            "hands = 9",
            (5, 9, "crew.hands", "the number 9 is out of range; this must be at most 4"),
        ),
        ("hands = 2", 'hands = "2"', (5, 9, "crew.hands", "this wants a whole number, not the text '2'")),
        ("hands = 2", "hands = true", (5, 9, "crew.hands", "this wants a whole number, not true")),
        ("hands = 2", "hands = 2.5", (5, 9, "crew.hands", "this wants a whole number, not the number 2.5")),
        (
            "hands = 2",
            "hands = 2\nskill = nan",
            (6, 9, "crew.skill", "this must be an ordinary number, not nan"),
        ),
        (
            "hands = 2",
            "hnds = 2",
            (
                5,
                1,
                "crew.hnds",
                "there is no such key here; did you mean 'hands'? Here may stand: "
                "'hands', 'look_every', 'skill'",
            ),
        ),
        (
            "08:15:00",
            '"08:15"',
            (
                2,
                12,
                "light_up",
                "this wants a time of day such as 08:15:00, without quotes, not the text '08:15'",
            ),
        ),
        (
            '["injector", "hand pump"]',
            "3",
            (3, 10, "orders", "this wants text in quotes or a list [ … ], not the number 3"),
        ),
        (
            '["injector", "hand pump"]',
            '["injector", 3]',
            (3, 23, "orders[2]", "this wants text in quotes, not the number 3"),
        ),
        (
            'title = "Quiet lake"',
            'title = "x"\nis_windy = "no"',
            (2, 12, "is_windy", "this wants true or false, not the text 'no'"),
        ),
        (
            'title = "Quiet lake"',
            'title = "x"\ncarried = "5 kg"',
            (
                2,
                11,
                "carried",
                "'5 kg' is a mass; this wants a volume such as '25 L'; or else "
                "'5 kg' is not known here; this wants 'full'",
            ),
        ),
        (
            'title = "Quiet lake"',
            'title = "x"\nzzz = 1',
            (2, 1, "zzz", f"there is no such key here. Here may stand: {DAY_KEYS}"),
        ),
        ('title = "Quiet lake"', 'title = "nameless"', (0, 0, "", "a day must have a name of its own")),
        (
            'until = { pressure_above = "70 psi" }',
            "until = 3",
            (9, 9, "route[1].until", "this wants a table { … }, not the number 3"),
        ),
        (
            'until = { pressure_above = "70 psi" }',
            "until = {}",
            (
                9,
                1,
                "route[1].until.pressure_above",
                "this is missing; it wants a gauge pressure such as '70 psi'",
            ),
        ),
    ],
)
def test_one_fault_at_its_place(old: str, new: str, expected: tuple[int, int, str, str]) -> None:
    assert only_fault(old, new) == expected


def test_an_empty_list_that_must_have_entries() -> None:
    text = 'title = "x"\nlight_up = 08:15:00\ncrew = { hands = 1 }\nroute = []\n'
    (fault,) = faults_in(text)
    assert (fault.line, fault.column, fault.message) == (
        4,
        9,
        "this list must have at least 1 entry; it has 0",
    )


def test_a_conflict_shows_both_places() -> None:
    (fault,) = faults_in(GOOD.replace('"20 L"', '"30 L"'))
    assert (fault.line, fault.column, fault.key) == (19, 8, "tank.fuel")
    assert fault.second_place is not None and (fault.second_place.line, fault.second_place.column) == (18, 10)
    assert fault.render().endswith('  volume = "25 L"\n           ^')


def test_all_faults_at_once_in_file_order() -> None:
    text = (
        GOOD.replace("hands = 2", "hands = 0")
        .replace('"3.2 km"', '"25 kg"')
        .replace('"25 min"', "25")
        .replace('"70 psi"', '"1,5 bar"')
        .replace("[tank]", "[tnk]")
    )
    assert [(f.line, f.key) for f in faults_in(text)] == [
        (5, "crew.hands"),
        (9, "route[1].until.pressure_above"),
        (13, "route[2].distance"),
        (16, "route[3].for"),
        (17, "tnk"),
    ]


def test_missing_at_the_top_and_in_a_grafted_file() -> None:
    assert {f.key for f in faults_in("is_windy = true\n")} == {"title", "light_up", "crew", "route"}
    lake = from_text(GOOD.replace('[tank]\nvolume = "25 L"\nfuel = "20 L"\n', ""), "lake.toml")
    document: Document = lake.grafted(("tank",), from_text('# a tank\nfuel = "5 kg"\n', "tank.toml"))
    with pytest.raises(ValidationError) as caught:
        Day.model_validate(document.values)
    places = [(f.file, f.line, f.column, f.key) for f in faults_from_validation(caught.value, document)]
    assert places == [("tank.toml", 0, 0, "tank.volume"), ("tank.toml", 2, 8, "tank.fuel")]


@given(
    st.recursive(
        st.one_of(st.integers(), st.floats(), st.booleans(), st.text(max_size=8), st.times()),
        lambda inner: st.one_of(
            st.lists(inner, max_size=3), st.dictionaries(st.sampled_from(["step", "until", "to", "x"]), inner)
        ),
        max_leaves=6,
    ),
    st.sampled_from(["title", "light_up", "crew", "route", "orders", "carried", "tank", "is_windy", "zzz"]),
)
def test_any_value_anywhere_is_taken_or_gets_faults(value: object, key: str) -> None:
    document = from_text(GOOD, "lake.toml")
    changed = Document("lake.toml", GOOD, {**document.values, key: value})
    try:
        Day.model_validate(changed.values)
    except ValidationError as error:
        faults = faults_from_validation(error, changed)
        assert faults and all(fault.render() for fault in faults)
        assert all(fault.line >= 1 or key not in document.values for fault in faults)
        assert all("pydantic" not in fault.message for fault in faults)
