"""A lesson as it is written: story, question, run, numbers, explanation and check."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from halfglass.scenario.by_hand_models import Move
from halfglass.scenario.fields import Duration, Fraction, Hold, Name, Table, complaint

Said = Annotated[str, Field(min_length=1, max_length=1500)]
Key = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*$", max_length=40)]
Span = Annotated[str, Field(min_length=1, max_length=40)]
"""Text with a unit, of the kind of the reading it goes with."""
Take = Literal[
    "start", "end", "highest", "lowest", "mean", "change", "rise", "fall",
    "time of highest", "time of lowest", "first above", "first below",
]  # fmt: skip
DIFFERENCES = ("change", "rise", "fall")
CROSSINGS = ("first above", "first below")
TIMES = ("time of highest", "time of lowest", *CROSSINGS)


class Axis(Table):
    """What the student draws a curve of: a reading over the time of the run."""

    reading: Name = Field(description="one of the readings a session keeps")
    lowest: Span = Field(description="lower end of the axis")
    highest: Span = Field(description="upper end of the axis")


class Question(Table):
    """What the student is asked before the run."""

    text: Said = Field(description="the question")
    axis: Axis = Field(description="axis on which the answer is drawn")


class Asked(Table):
    """One thing the student is asked to do in the run."""

    text: Said = Field(description="what is asked, in words")
    move: Move | None = Field(
        default=None, description="the same as a move; left out: there is nothing to move"
    )


class Run(Table):
    """The minutes the question is about."""

    for_: Hold = Field(alias="for", description="how long")
    speed: Annotated[float, Field(ge=1.0, le=120.0)] = Field(
        default=1.0, description="times real time that suit it"
    )
    happens: Annotated[str, Field(max_length=500)] = Field(
        default="", description="what happens by itself, in words"
    )
    moves: Annotated[tuple[Move, ...], Field(max_length=100)] = Field(
        default=(), description="what happens by itself"
    )
    asked: Annotated[tuple[Asked, ...], Field(max_length=20)] = Field(
        default=(), description="what the student is asked to do"
    )


class Compared(Table):
    """The same minutes gone another way, made by the lesson itself, to hold beside the run."""

    name: Name = Field(description="what it is called")
    moves: Annotated[tuple[Move, ...], Field(max_length=100)] = Field(
        default=(), description="what happens in it"
    )


class Number(Table):
    """One number of the run that the explanation and the check speak of."""

    reading: Name = Field(description="one of the readings a session keeps")
    take: Take = Field(
        description="what is taken of it; rise and fall are from the start to the highest and lowest, "
        "'first above' and 'first below' the time at which it first passes the level"
    )
    level: Span | None = Field(
        default=None, description="that level; only with 'first above' and 'first below'"
    )
    since: Duration = Field(default=0.0, description="from this long after the run began")
    until: Hold | None = Field(default=None, description="to this long after; left out: its end")
    of: Literal["the run", "the other"] = Field(default="the run", description="which way it went")
    minus: Key | None = Field(default=None, description="another number, taken off this one")

    @model_validator(mode="after")
    def _level_goes_with_first(self) -> Number:
        if (self.take in CROSSINGS) != (self.level is not None):
            raise complaint("'level' goes with 'first above' and 'first below', and both want it", "take")
        return self


class Condition(Table):
    """What must be so in this run for a paragraph to be true."""

    number: Key = Field(description="which number")
    above: Span | None = Field(default=None, description="it is above this, or")
    below: Span | None = Field(default=None, description="it is below this")

    @model_validator(mode="after")
    def _says_something(self) -> Condition:
        if self.above is None and self.below is None:
            raise complaint("this asks for nothing; give 'above', 'below' or both")
        return self


class Paragraph(Table):
    """A paragraph of the explanation, told only if it is true of this run."""

    text: Said = Field(description="with {numbers} of the run, {number:size} without its sign")
    when: Annotated[tuple[Condition, ...], Field(max_length=10)] = Field(
        default=(), description="what must all be so"
    )
    otherwise: Annotated[str, Field(max_length=1500)] = Field(
        default="", description="what is said if it is not so; left out: nothing"
    )


class Choice(Table):
    """One of the answers to choose from; the first whose `when` holds is right."""

    text: Said = Field(description="the answer")
    when: Annotated[tuple[Condition, ...], Field(max_length=10)] = Field(
        default=(), description="what must all be so; left out: right if none before it is"
    )


class Check(Table):
    """A question at the end; the run itself says what is right."""

    text: Said = Field(description="the question")
    number: Key | None = Field(default=None, description="the number asked for, or")
    within: Fraction = Field(default=0.1, description="share of it the answer may be off")
    choice: Annotated[tuple[Choice, ...], Field(max_length=6)] = Field(
        default=(), description="the answers to choose from"
    )
    because: Said = Field(description="why, with {numbers} of the run")

    @model_validator(mode="after")
    def _one_way_of_answering(self) -> Check:
        if (self.number is None) == (not self.choice):
            raise complaint("a check asks for a 'number' or has 'choice's: give one of them")
        return self


class LessonTable(Table):
    """A lesson file."""

    title: Name = Field(description="what the lesson is called")
    aim: Said = Field(description="what one knows afterwards, in a sentence")
    story: Said = Field(description="where the boat is and what is about to happen")
    day: Name = Field(
        description="scenario whose route makes the starting state: beside the lesson, or found as by `run`"
    )
    question: Question = Field(description="what is asked before")
    run: Run = Field(description="what is then done and seen")
    compared: Compared | None = Field(default=None, description="another way the same minutes might go")
    numbers: dict[Key, Number] = Field(default_factory=dict, description="numbers of this run, by name")
    explanation: Annotated[tuple[Paragraph, ...], Field(min_length=1, max_length=20)] = Field(
        description="what was seen and why"
    )
    check: Check = Field(description="what is asked after")
