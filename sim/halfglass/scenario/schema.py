"""The JSON Schema of scenario files, for editors."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from halfglass.scenario.day_models import Scenario
from halfglass.scenario.fields import Table
from halfglass.scenario.key_facts import facts, said, told_of


def json_schema() -> dict[str, Any]:
    """The JSON Schema of a scenario file: keys as typed, each with effect, range and default in words.

    A boat may be a file's path or name. There is no ``$id``: the schema is named by where it is kept.
    """
    schema = Scenario.model_json_schema(by_alias=True)
    for table in all_tables(Scenario):
        made = schema if table is Scenario else schema["$defs"][table.__name__]
        made["description"] = told_of(table)
        for fact in facts(table):
            told = "; ".join(filter(None, (fact.rule, fact.told_default)))
            made["properties"][fact.key]["description"] = f"{said(fact.effect)} {told[0].upper()}{told[1:]}."
    boat = schema["properties"]["boat"]
    description = boat.pop("description", "")
    schema["properties"]["boat"] = {
        "anyOf": [
            {"type": "string", "minLength": 1, "description": "path or name of a boat file"},
            boat,
        ],
        "description": description,
    }
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    return schema


def all_tables(root: type[Table]) -> Iterator[type[Table]]:
    """A table and every table in it, each once, in the order they first stand."""
    seen: dict[type[Table], None] = {}
    waiting = [root]
    while waiting:
        table = waiting.pop(0)
        if table not in seen:
            seen[table] = None
            waiting = [inside for fact in facts(table) for inside in fact.tables] + waiting
    return iter(seen)
