"""Values as TOML: what is read with `tomllib` and written here is read as the same again."""

from __future__ import annotations

import datetime
import json
import re
from typing import Any


def is_tables(value: Any) -> bool:
    """Whether a value is a list of tables, and not an empty one."""
    return isinstance(value, list) and bool(value) and all(isinstance(entry, dict) for entry in value)


def written_value(value: Any) -> str:
    """A value, tables on one line.

    >>> print(written_value({"after": "2 min", "do": "clean the grate", "at": [1, 2.5]}))
    { after = "2 min", do = "clean the grate", at = [1, 2.5] }
    """
    if isinstance(value, dict):
        parts = (f"{written_key(key)} = {written_value(part)}" for key, part in value.items())
        return f"{{ {', '.join(parts)} }}"
    if isinstance(value, list):
        return f"[{', '.join(written_value(part) for part in value)}]"
    if isinstance(value, str):
        # JSON's strings are TOML's, but for one character
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    return repr(value)


def written_key(key: str) -> str:
    """A key, in quotes if it is no bare one."""
    return key if re.fullmatch(r"[A-Za-z0-9_-]+", key) else written_value(key)
