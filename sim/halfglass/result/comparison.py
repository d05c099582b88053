"""The records of a comparison: outings side by side, what differs between them, what the figures favour."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from halfglass.result.records import Outing

Difference = Literal["same", "level", "differs"]


@dataclass(frozen=True)
class Cell:
    """One figure of one outing: in words, and its value in SI where it is a number."""

    text: str
    value: float | None = None


@dataclass(frozen=True)
class Row:
    """One figure of every outing, in their order.

    `unit` is that of the values; two values no more than `level_within` apart are level, as far as the
    model can tell. `tells_most` marks the rows that a short answer shows.
    """

    group: str
    name: str
    unit: str
    cells: tuple[Cell, ...]
    level_within: float = 0.0
    tells_most: bool = True

    @property
    def difference(self) -> Difference:
        """Whether the outings say the same, are level within the model's uncertainty, or differ."""
        if len({cell.text for cell in self.cells}) == 1:
            return "same"
        values = [cell.value for cell in self.cells if cell.value is not None]
        is_told = self.level_within > 0.0 and len(values) == len(self.cells)
        return "level" if is_told and max(values) - min(values) <= self.level_within else "differs"


@dataclass(frozen=True)
class InputRow:
    """One input that is not the same for all: the key or entry, and what each outing has there."""

    key: str
    cells: tuple[str, ...]


@dataclass(frozen=True)
class Advice:
    """What the figures favour among outings that meet the same day: letters, a sentence, and why.

    `recommended` is empty where nothing can be; several letters are level. `excluded` are never recommended.
    """

    among: tuple[str, ...]
    recommended: tuple[str, ...]
    excluded: tuple[str, ...]
    sentence: str
    reasons: tuple[str, ...]


@dataclass(frozen=True)
class Comparison:
    """Several outings side by side; `letters` and `names` go with `outings`."""

    letters: tuple[str, ...]
    names: tuple[str, ...]
    outings: tuple[Outing, ...]
    rows: tuple[Row, ...]
    inputs: tuple[InputRow, ...]
    advice: tuple[Advice, ...]


def as_object(comparison: Comparison, timelines: tuple[str, ...]) -> dict[str, object]:
    """The object printed by `compare --json`, schema version 1: SI inside; null: not a number."""
    return {
        "schema_version": 1,
        "plans": [
            {
                "letter": letter,
                "name": name,
                "scenario": outing.marks.title,
                "plan": outing.marks.plan_name,
                "outcome": outing.verdict.outcome.kind,
                "holds_water": outing.verdict.holds_water,
                "sentence": outing.verdict.sentence,
                "timeline": timeline,
                "provenance": {k: v for k, v in outing.provenance.items() if k != "plan"},
            }
            for letter, name, outing, timeline in zip(
                comparison.letters, comparison.names, comparison.outings, timelines, strict=True
            )
        ],
        "figures": [
            {
                "group": row.group,
                "name": row.name,
                "unit": row.unit or None,
                "difference": row.difference,
                "values": [cell.value for cell in row.cells],
                "texts": [cell.text for cell in row.cells],
            }
            for row in comparison.rows
        ],
        "inputs": [{"key": row.key, "values": list(row.cells)} for row in comparison.inputs],
        "advice": [
            {
                "among": list(advice.among),
                "recommended": list(advice.recommended),
                "excluded": list(advice.excluded),
                "sentence": advice.sentence,
                "reasons": list(advice.reasons),
            }
            for advice in comparison.advice
        ],
    }
