"""Random hands at the controls: mass and heat close, and the record comes to the same bits."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from halfglass.classroom.controls import Control
from halfglass.classroom.session import Session
from halfglass.result.ledger import close
from halfglass.scenario.load import load

ROOT = Path(__file__).parents[2]
STORIES = [load(ROOT / "scenarios" / f"{name}.toml") for name in (
    "10-shrink-and-swell", "03-burner-boat", "04-wood-to-the-mill", "05-compound-and-vacuum",
)]  # fmt: skip
CONTROLS = [Session(story).controls for story in STORIES]


def moves(controls: tuple[Control, ...]) -> st.SearchStrategy[list[tuple[Control, float, float]]]:
    """Controls, how far each is put, and how long until the next [s]."""
    one = st.tuples(
        st.sampled_from(controls), st.floats(-1.2, 1.2), st.sampled_from((0.0, 0.5, 3.0, 20.0, 70.0))
    )
    return st.lists(one, min_size=3, max_size=25)


def work(session: Session, hands: list[tuple[Control, float, float]]) -> None:
    session.set("lines", 0.0)
    session.set("throttle", 0.3)
    for control, value, pause in hands:
        if control.kind == "push":
            session.push(control.name, abs(value), control.choices[0] if control.choices else None)
        else:
            session.set(control.name, value)
        session.advance(pause)


@settings(max_examples=25, deadline=None, phases=(Phase.explicit, Phase.reuse, Phase.generate))
@given(data=st.data())
def test_whatever_is_moved_the_books_close_and_the_record_is_true(data: st.DataObject) -> None:
    which = data.draw(st.integers(0, len(STORIES) - 1))
    session = Session(STORIES[which])
    work(session, data.draw(moves(CONTROLS[which])))
    plant = session.day.clock.plant
    ledger = close(plant.mass_sides(), plant.energy_sides())
    assert ledger.mass_relative < 1e-6 and ledger.energy_relative < 1e-6
    rows = list(session.branch.rows)
    assert np.isfinite(np.array(rows)).all()
    session.critical(), session.flows(), session.glass_now()
    session.rewind(session.now)  # all is done again, but for what was moved at this very tick
    assert session.branch.rows[:-1] == rows[: len(session.branch.rows) - 1]
