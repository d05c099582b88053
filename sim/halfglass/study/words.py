"""How the lines of the sanity table are worded and graded.

The bounds at which a line is called small, large or out of proportion are our judgement wherever the usual
rate beside them does not name them.
"""

from __future__ import annotations

from halfglass.result.sanity import Grade, Line
from halfglass.vocabulary import units

NO_SOURCE = "common practice, no source"


def graded(
    number: float, small: float, large: float, *, least: float = 0.0, most: float = float("inf")
) -> Grade:
    """Where a number stands: below `small`, above `large`, and out of proportion beyond `least` or `most`.

    >>> graded(2.0, 1.5, 4.0, least=1.0), graded(1.2, 1.5, 4.0, least=1.0), graded(0.9, 1.5, 4.0, least=1.0)
    ('in proportion', 'small', 'out of proportion')
    """
    if not least <= number <= most:
        return "out of proportion"
    if number < small:
        return "small"
    return "large" if number > large else "in proportion"


def shown(value: float, kind: str, system: str, digits: int = 3) -> str:
    """An SI value in the units of the answers."""
    return units.show(value, units.kind_of(kind), units.display_unit(kind, system), digits)


def line(
    key: str, quantity: str, value: str, number: float, unit: str, usual: str, grade: Grade,
    **remarks: str,
) -> Line:  # fmt: skip
    """A line with the remark for its grade.

    Parameters: remarks by grade with underscores (`small`, `large`, `out_of_proportion`); none says nothing.
    """
    return Line(
        key, quantity, value, float(number), unit, usual, grade, remarks.get(grade.replace(" ", "_"), "")
    )
