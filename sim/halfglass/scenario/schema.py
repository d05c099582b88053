"""The JSON Schema of scenario files, for editors."""

from __future__ import annotations

from typing import Any

from halfglass.scenario.day_models import Scenario


def json_schema() -> dict[str, Any]:
    """The JSON Schema of a scenario file: keys as typed, every key described; a boat may be a file's path."""
    schema = Scenario.model_json_schema(by_alias=True)
    boat = schema["properties"]["boat"]
    description = boat.pop("description", "")
    schema["properties"]["boat"] = {
        "anyOf": [
            {"type": "string", "minLength": 1, "description": "path of a boat file, from this file"},
            boat,
        ],
        "description": description,
    }
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    return schema
