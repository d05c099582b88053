"""From a scenario file to a checked story: the day as written, and as each plan changes it.

All faults of the scenario, its boat file and every plan are found before anything is refused.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from types import MappingProxyType
from typing import Any

from pydantic import ValidationError

from halfglass.scenario.day_checks import conflicts
from halfglass.scenario.day_models import MOST_PLANS, Plan, Scenario
from halfglass.scenario.faults import MOST_TOLD, faults_from_validation
from halfglass.scenario.idle_keys import idle_keys
from halfglass.scenario.plans import Planned, with_plan
from halfglass.scenario.search import SAMPLES, SHIPPED, find_boat, find_scenario
from halfglass.scenario.toml_places import KeyPath
from halfglass.scenario.toml_text import Document, from_bytes, read
from halfglass.vocabulary.errors import Fault, ScenarioError, quoted


@dataclass(frozen=True)
class Story:
    """A loaded scenario file.

    `file` is its path as given, `files` the bytes of every file read by the name shown for it, `plans`
    the plans in file order, `base` the day as written, `days` the day under each plan; `written_at` where
    the list entries of each of those days stand in the file, or in its plan.
    """

    file: str
    files: Mapping[str, bytes]
    plans: tuple[Plan, ...]
    base: Scenario
    days: Mapping[str, Scenario]
    written_at: Mapping[str, Mapping[KeyPath, KeyPath]] = field(default_factory=dict)

    @property
    def plan_names(self) -> tuple[str, ...]:
        """The names of the plans, in file order."""
        return tuple(plan.name for plan in self.plans)

    def for_plan(self, name: str) -> Scenario:
        """The day under a plan; `name` must be one of `plan_names`."""
        return self.days[name]

    def in_units(self, choice: str) -> Story:
        """The same story with its answers in other units (see `unit_choice`)."""
        days = {name: day.model_copy(update={"units": choice}) for name, day in self.days.items()}
        base = self.base.model_copy(update={"units": choice})
        return replace(self, base=base, days=MappingProxyType(days))


def load(path: str | Path) -> Story:
    """Read, check and freeze a scenario file with its boat file and plans.

    path: of the file, or its bare name (see `search`).
    Raises `ScenarioError` with every fault found, each at its place.
    """
    where = find_scenario(path)
    is_by_name = where != Path(path)
    written = _document(where, is_by_name)
    reading = _Reading(where, is_by_name, {written.file: where.read_bytes()})
    faults = reading.faults
    document = _with_boat(written, reading)
    base = validated(document, faults)
    days: dict[str, Scenario] = {}
    written_at: dict[str, Mapping[KeyPath, KeyPath]] = {}
    for index in range(_plan_count(written) if len(faults) < MOST_TOLD else 0):
        changed = _planned(written, document, index, reading)
        planned = _checked(changed, faults, index) if changed is not None else None
        if planned is not None:
            name = planned.day.plan[index].name
            days.setdefault(name, planned.day)
            written_at.setdefault(name, planned.written_at)
    if base is not None and not faults:
        faults += _idle(document, base, days)
    if faults or base is None:
        raise ScenarioError(_once(faults))
    if not days:
        days = {plan.name: base for plan in base.plan}
    file = str(path if _is_shipped(where, is_by_name) else where)
    return Story(file, MappingProxyType(reading.files), base.plan, base, MappingProxyType(days), written_at)


@dataclass(frozen=True)
class _Reading:
    """One scenario being read: its file and whether a bare name led there, what was read, what is wrong."""

    scenario: Path
    is_by_name: bool
    files: dict[str, bytes]
    faults: list[Fault] = field(default_factory=list)


def _is_shipped(where: Path, is_by_name: bool) -> bool:
    """Whether a name, and no path of the user's own, led to a file that comes with the program."""
    return is_by_name and (SHIPPED in where.parents or where.parent == SAMPLES)


def _document(where: Path, is_by_name: bool) -> Document:
    """A file as read; one that comes with the program has a name that does not depend on where that is."""
    if not _is_shipped(where, is_by_name):
        return read(where)
    shown = where.relative_to(SHIPPED) if SHIPPED in where.parents else Path("boats", where.name)
    return from_bytes(where.read_bytes(), f"halfglass/{shown.as_posix()}")


def _idle(document: Document, base: Scenario, days: Mapping[str, Scenario]) -> list[Fault]:
    """Faults for keys that nothing uses: of the day under every plan, of a plan's changes under that plan."""
    found = idle_keys(base)
    for index, plan in enumerate(base.plan if days else ()):
        idle = idle_keys(days[plan.name])
        written = [key for key in idle if _at(plan.change, key) is not None and key not in found]
        found = {key: why for key, why in found.items() if key in idle}
        found |= {("plan", index, "change", *key): idle[key] for key in written}
    return [document.fault(key, f"nothing uses this: {why}", "key") for key, why in found.items()]


def _plan_count(document: Document) -> int:
    """How many plans stand in the file, if they have the right shape at all."""
    plans = document.values.get("plan")
    if not isinstance(plans, list) or not all(isinstance(plan, dict) for plan in plans):
        return 0
    return min(len(plans), MOST_PLANS)


def _planned(
    written: Document, document: Document, index: int, reading: _Reading
) -> Document | None:
    """The document with the changes of one plan laid in; None if they are not a table.

    A plan that names another boat file starts from the scenario without its own boat.
    """
    change = written.values["plan"][index].get("change", {})
    origin: KeyPath = ("plan", index, "change")
    if not isinstance(change, dict):
        return None  # refused with the day as written
    if "plan" in change:
        refused = written.fault((*origin, "plan"), "a plan cannot change the plans", "key")
        reading.faults.append(refused)
        return None
    if isinstance(change.get("boat"), str):
        return _with_boat(_changed(written, written, (), origin, change), reading)
    return _changed(document, written, (), origin, change)


def validated(document: Document, faults: list[Fault]) -> Scenario | None:
    """The scenario of a document; what is wrong with it is added to `faults`."""
    planned = _checked(document, faults)
    return None if planned is None else planned.day


def _checked(document: Document, faults: list[Fault], plan: int | None = None) -> Planned | None:
    """As `validated`, under a plan if given, with where its entries were written."""
    values = document.values
    is_boat_refused = isinstance(values.get("boat"), str)
    if is_boat_refused:
        values = {key: value for key, value in values.items() if key != "boat"}
    try:
        scenario = Scenario.model_validate(values)
    except ValidationError as error:
        found = faults_from_validation(error, document)
        faults += [fault for fault in found if not (is_boat_refused and fault.key == "boat")]
        return None
    planned = Planned(scenario, {}, ()) if plan is None else with_plan(scenario, plan)
    place = planned.place
    clashes = [
        document.fault(
            place(clash.path), clash.message, clash.on, place(clash.second) if clash.second else None
        )
        for clash in (*planned.conflicts, *conflicts(planned.day))
    ]
    faults += clashes
    return None if clashes else planned


def _with_boat(document: Document, reading: _Reading) -> Document:
    """The document with its boat file, if it names one, laid in under ``boat``."""
    name = document.values.get("boat")
    if not isinstance(name, str):
        return document
    faults = reading.faults
    where, missing = find_boat(name, reading.scenario)
    if where is None:
        faults.append(document.fault(("boat",), f"{quoted(name)}: {missing}"))
        return document
    if _is_same_file(where, reading.scenario):
        faults.append(document.fault(("boat",), "this names the scenario itself as its boat file"))
        return document
    try:
        is_own = SHIPPED in reading.scenario.parents and where.parent != SAMPLES
        boat = _document(where, reading.is_by_name or not is_own)
    except ScenarioError as error:
        refused = error.faults[0]
        if refused.line:
            faults += error.faults
        else:
            faults.append(document.fault(("boat",), f"{quoted(name)}: {refused.message}"))
        return document
    if "boat" in boat.values or "route" in boat.values:
        key = "boat" if "boat" in boat.values else "route"
        faults.append(
            document.fault(("boat",), f"{quoted(name)} is a scenario, not a boat: it has a {quoted(key)}")
        )
        return document
    reading.files[boat.file] = where.read_bytes()
    return document.grafted(("boat",), boat)


def _is_same_file(one: Path, other: Path) -> bool:
    """Whether two names are of one file; a name that cannot be one is refused when it is read."""
    try:
        return one.samefile(other)
    except (OSError, ValueError):
        return False


def _changed(
    document: Document, plans: Document, path: KeyPath, origin: KeyPath, change: Mapping[str, Any]
) -> Document:
    """The document with a plan's changes laid over it; tables are entered, all else is replaced whole."""
    for key, value in change.items():
        here = (*path, key)
        if isinstance(value, dict) and isinstance(_at(document.values, here), dict):
            document = _changed(document, plans, here, (*origin, key), value)
        else:
            document = document.grafted(here, plans, (*origin, key))
    return document


def _at(values: Any, path: KeyPath) -> Any:
    for part in path:
        values = values.get(part) if isinstance(values, dict) else None
    return values


def _once(faults: list[Fault]) -> list[Fault]:
    """Each fault once, though every plan meets those of the day as written again."""
    return list(dict.fromkeys(faults))
