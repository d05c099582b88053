"""A lever dragged: what it does within one tick of a session is kept as one move."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfglass.classroom.branch import Written
from halfglass.classroom.controls import CONTROLS
from halfglass.day.by_hand import ByHand

LEVERS = frozenset(control.name for control in CONTROLS if control.kind in ("lever", "strokes"))


@dataclass(frozen=True)
class Drag:
    """A lever that is being moved within one tick: where it stood, and how all stood then."""

    name: str
    tick: int
    began_at: float
    mark: tuple[NDArray[np.float64], int]

    @classmethod
    def begun(cls, hand: ByHand, written: Written) -> Drag | None:
        """How things stand before a move of one lever; None if it is anything else."""
        name, *others = written
        if others or name not in LEVERS:
            return None
        return cls(name, hand.tick, hand.levers[name], hand.day.clock.plant.marcher.mark())
