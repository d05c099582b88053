"""What must hold of any scenario text: a story that ignores nothing of it, or a refusal in plain words."""

from __future__ import annotations

import contextlib
import re
import signal
from collections.abc import Iterator, Mapping
from pathlib import Path
from types import FrameType
from typing import Any

import numpy as np

from halfglass.day.outing import run
from halfglass.result.records import Outing
from halfglass.scenario.boat import Boat
from halfglass.scenario.boat_alone import load_boat
from halfglass.scenario.day_models import Scenario
from halfglass.scenario.fields import QuantityText, Table
from halfglass.scenario.load import Story, load
from halfglass.scenario.toml_text import read
from halfglass.vocabulary import units
from halfglass.vocabulary.errors import Fault, ScenarioError

LONGEST = 5.0
"""Processor seconds that loading, or a run of one plan, may take before it counts as hanging."""
OUTCOMES = {"arrived", "gave up", "out of time", "low-water drill", "crown bare", "boiler full"}
CLOSES = 1e-6
NO_MASS, NO_ENERGY = 1e-6, 1.0
"""kg and J: an error this small is none, also on a day on which next to nothing moved."""
PYTHON_WORDS = re.compile(
    r"Traceback|NoneType|pydantic|Error\b|Exception|<class|object at 0x|\b(dict|tuple|float|int|str|bool|"
    r"Literal|Union|None|True|False|datetime|input_value|model_type)\b"
)
_QUOTES = re.compile(r"'[^']*'|\"[^\"]*\"")


class HungError(Exception):
    """Something took longer than it may."""


@contextlib.contextmanager
def no_longer_than(seconds: float) -> Iterator[None]:
    """Give up after so many seconds of processor time, so that a busy machine does not matter."""

    def hung(_number: int, _frame: FrameType | None) -> None:
        raise HungError(f"more than {seconds} s of processor time")

    before = signal.signal(signal.SIGVTALRM, hung)
    signal.setitimer(signal.ITIMER_VIRTUAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0.0)
        signal.signal(signal.SIGVTALRM, before)


def loaded(path: Path) -> Story | None:
    """The story of a file; None if it was refused, and then every fault was a good one."""
    try:
        with no_longer_than(LONGEST):
            story = load(path)
    except ScenarioError as error:
        assert error.faults, "refused without a fault"
        for fault in error.faults:
            assert not wrong_with(fault, path), (wrong_with(fault, path), fault)
        assert error.render().isprintable() or "\n" in error.render()
        return None
    assert not ignored(story), ignored(story)
    return story


def loaded_boat(path: Path) -> Scenario | None:
    """The boat of a file by itself; None if it was refused, and then every fault was a good one."""
    try:
        with no_longer_than(LONGEST):
            day = load_boat(path)
    except ScenarioError as error:
        for fault in error.faults:
            assert not wrong_with(fault, path), (wrong_with(fault, path), fault)
        return None
    lost = list(_unread(read(path).values, day.boat, ()))
    assert not lost, lost
    return day


def wrong_with(fault: Fault, path: Path) -> str:
    """What is wrong with a fault as told to the user; empty if nothing is."""
    message = fault.message
    if not message or len(message) > 2500:
        return "nothing, or far too much, is said"
    if not message.isprintable() or not fault.key.isprintable():
        return "more than one line, or what cannot be printed"
    text = Path(fault.file).read_bytes().decode("utf-8", "replace") if Path(fault.file).is_file() else ""
    for word in PYTHON_WORDS.finditer(_QUOTES.sub("''", message)):
        if word.group() not in fault.source_line:
            return f"the word {word.group()!r}"
    if any(not line.isprintable() for line in fault.render().split("\n")):
        return "cannot be printed"
    if not fault.key and _is_toml(fault.file) and not message.startswith("there is more"):
        return "no key, though the file can be read"
    if fault.line == 0:
        return "" if fault.column == 0 and _has_no_place(fault) else "no line"
    lines = text.lstrip("\ufeff").replace("\r\n", "\n").split("\n")
    if fault.line > len(lines):
        return "a line beyond the end of the file"
    if (
        fault.source_line.lstrip("\ufeff") != lines[fault.line - 1].lstrip("\ufeff")
        and "UTF-8" not in message
    ):
        return "another source line"
    return "" if 1 <= fault.column <= len(fault.source_line) + 1 else "a column outside its line"


def _is_toml(file: str) -> bool:
    try:
        read(file)
    except ScenarioError:
        return False
    return True


def _has_no_place(fault: Fault) -> bool:
    """Whether the file does not even have the table that the fault is about."""
    if not fault.key:
        return True
    values = read(fault.file).values
    first = fault.key.removeprefix("boat.").partition(".")[0].partition("[")[0].strip("'")
    return first not in values


def ignored(story: Story) -> list[str]:
    """Entries of the text that did not come into the day, or into the day of their plan."""
    written = read(story.file).values
    lost = list(_unread({k: v for k, v in written.items() if k != "boat"}, story.base, ()))
    if isinstance(written.get("boat"), str):
        boat = read(Path(story.file).parent / written["boat"]).values
        lost += list(_unread(boat, story.base.boat, ("boat",)))
    elif "boat" in written:
        lost += list(_unread(written["boat"], story.base.boat, ("boat",)))
    for plan, entry in zip(story.plans, written.get("plan", []), strict=len(written.get("plan", [])) > 0):
        day = story.for_plan(plan.name)
        change = dict(entry.get("change", {}))
        if plan.drop or plan.step or plan.order or plan.fault:
            change = {key: value for key, value in change.items() if key not in ("route", "order", "fault")}
        if isinstance(change.get("boat"), str):
            boat = read(Path(story.file).parent / change.pop("boat")).values
            lost += list(_unread(boat, day.boat, ("plan", plan.name, "boat")))
        lost += list(_unread(change, day, ("plan", plan.name)))
        lost += _not_added(story, plan.name)
    return lost


def _not_added(story: Story, name: str) -> list[str]:
    """What a plan adds or drops without effect."""
    day = story.for_plan(name)
    plan = next(plan for plan in story.plans if plan.name == name)
    named = [entry.name for kind in (day.route, day.order, day.fault) for entry in kind]
    added = {entry.name for entry in (*plan.order, *plan.fault)} | {step.does.name for step in plan.step}
    lost = [f"{name} drops {dropped}" for dropped in plan.drop if dropped in named and dropped not in added]
    lost += [f"{name} adds order {order.name}" for order in plan.order if order not in day.order]
    lost += [f"{name} adds fault {fault.kind}" for fault in plan.fault if fault not in day.fault]
    lost += [f"{name} adds step {s.does.step}" for s in plan.step if s.does not in day.route]
    return lost


def _unread(value: Any, model: Any, path: tuple[str | int, ...]) -> Iterator[str]:
    """The places of a text whose value is not that of the model."""
    if isinstance(model, Table) and isinstance(value, Mapping):
        fields = {info.alias or name: (name, info) for name, info in type(model).model_fields.items()}
        for key, inner in value.items():
            name, info = fields.get(key, (None, None))
            if name is None or name not in model.model_fields_set:
                yield ".".join(map(str, (*path, key)))
                continue
            text = next((p for p in _parts(info) if isinstance(p, QuantityText)), None)
            held = getattr(model, name)
            if text is not None:
                if units.read(inner, text.kind).value != held:
                    yield f"{'.'.join(map(str, (*path, key)))} = {inner!r} became {held!r}"
            else:
                yield from _unread(inner, held, (*path, key))
    elif isinstance(value, list) and isinstance(model, tuple | list) and len(value) == len(model):
        for index, (inner, held) in enumerate(zip(value, model, strict=True)):
            yield from _unread(inner, held, (*path, index))
    elif value != model:
        yield f"{'.'.join(map(str, path))} = {value!r} became {model!r}"


def _parts(info: Any) -> list[Any]:
    from typing import get_args

    return [*info.metadata, *(p for a in get_args(info.annotation) for p in getattr(a, "__metadata__", ()))]


def ran(day: Scenario, plan: str) -> Outing:
    """The outing of a day under a plan: a named outcome, ledgers closed, numbers everywhere."""
    with no_longer_than(LONGEST):
        outing = run(day, plan)
    sound(outing)
    return outing


def sound(outing: Outing) -> None:
    """A named outcome, ledgers closed, numbers everywhere."""
    assert outing.verdict.outcome.kind in OUTCOMES, outing.verdict.outcome
    ledger = outing.ledger
    assert ledger.mass_relative < CLOSES or abs(ledger.mass_error_kg) < NO_MASS, ledger
    assert ledger.energy_relative < CLOSES or abs(ledger.energy_error_J) < NO_ENERGY, ledger
    lacking = [name for name, column in outing.timeline.items() if not np.isfinite(column).all()]
    assert not lacking, f"no numbers for {lacking}"


__all__ = ["Boat", "HungError", "ignored", "loaded", "loaded_boat", "ran", "sound", "wrong_with"]
