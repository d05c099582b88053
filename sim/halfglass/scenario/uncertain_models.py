"""What is not known for certain about a day, as it is written: a key of the scenario and how it is spread.

Only `spread` draws from these; a single run takes the values as they stand elsewhere in the file. Values are
written as the key itself would be; `uncertain` reads and checks them by the key's own field.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from halfglass.scenario.fields import Table

Written = str | int | float | bool
Key = Annotated[str, Field(min_length=3, max_length=200)]
CUT = 3.0
"""Deviations from the mean at which a normal spread is cut off (judgement)."""


class _Uncertain(Table):
    key: Key = Field(
        description="the key that is uncertain, with dots: 'crew.look_every', 'boat.hull.displacement'; "
        "an entry of a list goes by its name, or all of a sort by their 'step' or 'kind': 'route.lock.wait'"
    )


class Uniform(_Uncertain):
    """As likely anywhere between two values."""

    kind: Literal["uniform"] = Field(description="how it is spread")
    lowest: Written = Field(description="lowest value, as the key itself would be written")
    highest: Written = Field(description="highest value")


class Triangular(_Uncertain):
    """Likeliest at one value, and less and less likely towards two others."""

    kind: Literal["triangular"] = Field(description="how it is spread")
    lowest: Written = Field(description="lowest value, as the key itself would be written")
    likeliest: Written = Field(description="likeliest value")
    highest: Written = Field(description="highest value")


class Normal(_Uncertain):
    """Spread about a mean in the shape of a bell, cut off at three deviations."""

    kind: Literal["normal"] = Field(description="how it is spread")
    mean: Written = Field(description="mean, as the key itself would be written")
    deviation: Written = Field(
        description="standard deviation: two days of three are nearer to the mean than this"
    )


class OneOf(_Uncertain):
    """One of several values, all as likely."""

    kind: Literal["one of"] = Field(description="how it is spread")
    values: Annotated[tuple[Written, ...], Field(min_length=2, max_length=50)] = Field(
        description="the values, as the key itself would be written"
    )


Uncertain = Annotated[Uniform | Triangular | Normal | OneOf, Field(discriminator="kind")]
