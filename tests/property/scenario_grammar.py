"""Scenario documents drawn from the tables themselves: every key in turn left out or within its own range.

The boat is a shipped one by its file; all else is drawn. What is drawn is well-formed and in range entry by
entry, but need not go together.
"""

from __future__ import annotations

import datetime
import json
from types import UnionType
from typing import Any, Literal, Union, get_args, get_origin

from annotated_types import Ge, Gt, Le, Lt, MaxLen, MinLen
from hypothesis import strategies as st
from pydantic.fields import FieldInfo

from halfglass.scenario.boat import Boat
from halfglass.scenario.day_models import Scenario
from halfglass.scenario.fields import QuantityText, Table
from halfglass.vocabulary import units
from halfglass.vocabulary.unit_table import KINDS

BOATS = ("sedge", "dabchick", "goosander", "pochard", "wigeon")
NAMES = ("Alder jetty", "Boathouse", "The weir", "Lower lock", "first", "second", "Größte Insel")
MOST_ENTRIES = 4


def documents() -> st.SearchStrategy[dict[str, Any]]:
    """A scenario as nested values, quantities as text."""
    return tables(Scenario)


def tables(model: type[Table]) -> st.SearchStrategy[dict[str, Any]]:
    """Values for one table: keys that must be given always, the others sometimes."""
    needed: dict[str, st.SearchStrategy[Any]] = {}
    optional: dict[str, st.SearchStrategy[Any]] = {}
    for name, info in model.model_fields.items():
        drawn = values(info.annotation, [*info.metadata])
        (needed if info.is_required() else optional)[info.alias or name] = drawn
    return st.fixed_dictionaries(needed, optional=optional)


def values(annotation: Any, metadata: list[Any]) -> st.SearchStrategy[Any]:
    """Values of a type, within the limits its annotations set."""
    text = next((part for part in metadata if isinstance(part, QuantityText)), None)
    if text is not None:
        return quantities(text)
    origin, parts = get_origin(annotation), get_args(annotation)
    if annotation is Boat:
        return st.sampled_from([f"boats/{name}.toml" for name in BOATS])
    if origin is Literal:
        return st.sampled_from(parts)
    if hasattr(annotation, "__metadata__"):  # Annotated
        return values(annotation.__origin__, [*metadata, *annotation.__metadata__])
    if origin in (Union, UnionType):
        return st.one_of([values(part, []) for part in parts if part is not type(None)])
    if origin is tuple:
        limits = limits_of(metadata)
        most = min(MOST_ENTRIES, int(limits.get("most", MOST_ENTRIES)))
        return st.lists(values(parts[0], []), min_size=int(limits.get("least", 0)), max_size=most)
    if origin is dict:
        return st.just({})
    if issubclass(annotation, Table):
        return st.deferred(lambda: tables(annotation))
    return plain(annotation, limits_of(metadata))


def plain(kind: type, limits: dict[str, float]) -> st.SearchStrategy[Any]:
    """Yes or no, numbers, text, times and dates."""
    low, high = limits.get("low", 0), limits.get("high", 100)
    makers: dict[type, st.SearchStrategy[Any]] = {
        bool: st.booleans(),
        int: st.integers(int(low), int(high)),
        float: st.floats(low, high, exclude_min="above" in limits, exclude_max="below" in limits),
        str: st.sampled_from(NAMES),
        datetime.time: st.times().map(lambda time: time.replace(microsecond=0)),
        datetime.date: st.dates(),
    }  # fmt: skip
    return makers[kind]


def limits_of(metadata: list[Any]) -> dict[str, float]:
    limits: dict[str, float] = {}
    for part in metadata:
        for inner in part.metadata if isinstance(part, FieldInfo) else [part]:
            match inner:
                case Ge(ge=low):
                    limits["low"] = float(low)  # type: ignore[arg-type]
                case Gt(gt=low):
                    limits["low"] = limits["above"] = float(low)  # type: ignore[arg-type]
                case Le(le=high):
                    limits["high"] = float(high)  # type: ignore[arg-type]
                case Lt(lt=high):
                    limits["high"] = limits["below"] = float(high)  # type: ignore[arg-type]
                case MinLen(min_length=least):
                    limits["least"] = least
                case MaxLen(max_length=most):
                    limits["most"] = most
    return limits


def quantities(text: QuantityText) -> st.SearchStrategy[str]:
    """A value with any unit of its kind, mostly near the example, sometimes anywhere in its range."""
    example = units.parse(text.example, text.kind)
    low = next((bound for bound in (text.lowest, text.above) if bound is not None), -1e6)
    high = next((bound for bound in (text.highest, text.below) if bound is not None), 1e9)
    near = st.floats(0.3, 3.0).map(lambda factor: example * factor)
    anywhere = st.floats(low, high)
    symbols = st.sampled_from([unit.symbol for unit in KINDS[text.kind].units])

    def written(value: float, symbol: str) -> str:
        return f"{units.significant(units.convert(value, text.kind, symbol), 6)} {symbol}".strip()

    def is_allowed(drawn: str) -> bool:
        return text.allows(units.parse(drawn, text.kind))

    drawn = st.builds(written, st.one_of(near, near, near, anywhere), symbols)
    return st.one_of(drawn.filter(is_allowed), st.just(text.example))


def as_toml(document: dict[str, Any]) -> str:
    """The document written as TOML, everything below the top in inline tables and lists."""
    return "".join(f"{key} = {_written(value)}\n" for key, value in document.items())


def _written(value: Any) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {_written(inner)}" for key, inner in value.items()) + " }"
    if isinstance(value, list):
        return "[\n" + "".join(f"{_written(inner)},\n" for inner in value) + "]"
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    return str(value).lower() if isinstance(value, bool) else repr(value)


def places(value: Any, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    """The path of every table and every entry in a document."""
    inner: list[tuple[str | int, Any]] = []
    if isinstance(value, dict):
        inner = list(value.items())
    elif isinstance(value, list):
        inner = list(enumerate(value))
    return [path, *(place for key, item in inner for place in places(item, (*path, key)))]
