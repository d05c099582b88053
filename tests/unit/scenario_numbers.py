"""Every entry of a scenario or a boat, found by walking the tables: nothing has to be listed by hand."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from halfglass.scenario.fields import QuantityText, _parts

Path = tuple[str | int, ...]


class Entry(NamedTuple):
    """One entry: where it stands, the table it belongs to, what it holds, and how it is described."""

    path: Path
    table: type[BaseModel]
    value: Any
    info: FieldInfo

    @property
    def key(self) -> str:
        """Its name for messages: the table's class and the key in it."""
        return f"{self.table.__name__}.{self.path[-1]}"


def entries(table: BaseModel, at: Path = ()) -> Iterator[Entry]:
    """Every entry of a table and of the tables in it that is no table itself."""
    for name, info in type(table).model_fields.items():
        value = getattr(table, name)
        if isinstance(value, BaseModel):
            yield from entries(value, (*at, name))
        elif isinstance(value, tuple) and value and isinstance(value[0], BaseModel):
            for place, item in enumerate(value):
                yield from entries(item, (*at, name, place))
        else:
            yield Entry((*at, name), type(table), value, info)


def with_value(table: Any, path: Path, value: Any) -> Any:
    """The table with one entry put in place of another; nothing is checked."""
    head, *rest = path
    if isinstance(table, tuple):
        inner = with_value(table[int(head)], tuple(rest), value) if rest else value
        return (*table[: int(head)], inner, *table[int(head) + 1 :])
    inner = with_value(getattr(table, str(head)), tuple(rest), value) if rest else value
    return table.model_copy(update={str(head): inner})


def is_allowed(info: FieldInfo, value: float) -> bool:
    """Whether a number is within the range its field states."""
    for part in _parts(info):
        if isinstance(part, QuantityText) and not part.allows(value):
            return False
        if any(
            not holds
            for holds in (
                getattr(part, "gt", None) is None or value > part.gt,
                getattr(part, "ge", None) is None or value >= part.ge,
                getattr(part, "lt", None) is None or value < part.lt,
                getattr(part, "le", None) is None or value <= part.le,
            )
        ):
            return False
    return True
