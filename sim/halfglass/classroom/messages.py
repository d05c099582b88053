"""What a window may say to the classroom: a closed list, each with closed fields.

Anything else is refused before it reaches the session. Numbers are finite here and clamped to their ranges
where they are used.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, TypeAdapter, ValidationError

MOST_POINTS = 60
"""Points of a predicted curve."""

Name = Annotated[str, StringConstraints(min_length=1, max_length=60)]
Number = Annotated[float, Field(allow_inf_nan=False, ge=-1e9, le=1e9)]


class _Said(BaseModel):
    model_config = ConfigDict(strict=True, extra="forbid", frozen=True)


class Hello(_Said):
    """The first message of a window: the token, and the name it kept from before if it comes again."""

    do: Literal["hello"]
    token: Annotated[str, StringConstraints(max_length=100)]
    window: Annotated[str, StringConstraints(max_length=40)] = ""


class Set(_Said):
    """Move a control."""

    do: Literal["set"]
    control: Name
    to: Number


class Push(_Said):
    """Do one thing: a charge of a fuel, a blast of the whistle."""

    do: Literal["push"]
    control: Name
    amount: Number | None = None
    choice: Name | None = None


class Run(_Said):
    """Let time go, or hold it."""

    do: Literal["run"]
    on: bool


class Speed(_Said):
    """Simulated seconds a second."""

    do: Literal["speed"]
    to: Number


class Step(_Said):
    """One tick on, and hold."""

    do: Literal["step"]


class Rewind(_Said):
    """Back to a moment [s since the session's start], and try again from there."""

    do: Literal["rewind"]
    to: Number


class Steer(_Said):
    """Take the controls."""

    do: Literal["steer"]


class Open(_Said):
    """Begin a lesson, or the same one anew."""

    do: Literal["open"]
    lesson: Name


class Stage(_Said):
    """Turn to another page of the lesson."""

    do: Literal["stage"]
    to: Literal["story", "predict", "run", "compare", "check", "free"]


class Predict(_Said):
    """The curve drawn before the run: its points [s, value], in order of time."""

    do: Literal["predict"]
    points: Annotated[
        list[Annotated[list[Number], Field(min_length=2, max_length=2)]],
        Field(min_length=2, max_length=MOST_POINTS),
    ]


class Answer(_Said):
    """The answer to the check: a number, or the place of a choice from 0."""

    do: Literal["answer"]
    answer: Number


class Export(_Said):
    """Ask for the record of the session."""

    do: Literal["export"]
    form: Literal["toml", "csv"]


Wish = Annotated[
    Set | Push | Run | Speed | Step | Rewind | Steer | Open | Stage | Predict | Answer | Export,
    Field(discriminator="do"),
]
_HELLO: TypeAdapter[Hello] = TypeAdapter(Hello)
_WISH: TypeAdapter[Wish] = TypeAdapter(Wish)


def greeting(text: str) -> Hello | None:
    """The first message; None if it is anything else."""
    try:
        return _HELLO.validate_json(text)
    except ValidationError:
        return None


def wish(text: str) -> Wish:
    """A message of a window that is in; what is not on the list raises ValueError with one sentence.

    >>> wish('{"do": "run", "on": true}').on
    True
    >>> wish('{"do": "set", "control": "throttle", "to": "wide open"}')
    Traceback (most recent call last):
    ...
    ValueError: not understood: set.to: Input should be a valid number
    """
    try:
        return _WISH.validate_json(text)
    except ValidationError as error:
        first = error.errors(include_url=False, include_context=False, include_input=False)[0]
        place = ".".join(str(part) for part in first["loc"])
        raise ValueError(f"not understood: {f'{place}: ' if place else ''}{first['msg']}") from None
