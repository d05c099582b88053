"""Faults of TOML grammar in plain words: what is wrong, where, and what to write instead."""

from __future__ import annotations

import re

from halfglass.scenario.toml_places import find_places, key_text
from halfglass.vocabulary.errors import Fault, Place, quoted

_AT = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")
_TWICE = re.compile(r"Cannot overwrite|Cannot declare|Cannot mutate|Duplicate inline|Can not")
_VALUE_WITH_UNIT = re.compile(r"[+-]?[\d.]+\s*[A-Za-z%°µ]")
_OTHER_WORDS = {"yes": "true", "no": "false", "on": "true", "off": "false", "True": "true", "False": "false",
                "TRUE": "true", "FALSE": "false"}


def syntax_fault(text: str, file: str, said: str) -> Fault:
    """The fault for what `tomllib` said of a text: its place, and words for the common causes."""
    lines = text.split("\n")
    line, column = _position(lines, said)
    message = _AT.sub("", said)
    if _TWICE.match(message):
        return _written_twice(text, file, lines, (line, column))
    if "nterminated string" in message or message.startswith("Expected \"'"):
        line, column = _open_quote(lines, line, column)
    source = lines[line - 1] if line <= len(lines) else ""
    words, column = _cause(source, column, message)
    return Fault(file, line, column, "", words, source)


def _position(lines: list[str], said: str) -> tuple[int, int]:
    found = _AT.search(said)
    if found is not None and found.group(1):
        return int(found.group(1)), int(found.group(2))
    last = len(lines) - 1 if len(lines) > 1 and not lines[-1] else len(lines)
    return last, len(lines[last - 1]) + 1


def _written_twice(text: str, file: str, lines: list[str], at: tuple[int, int]) -> Fault:
    """The fault for a key given twice, with both places where they can be told."""
    for path, (line, column), (again, again_column) in find_places(text).twice:
        if again == at[0]:
            first = Place(file, line, column, lines[line - 1])
            return Fault(file, again, again_column, key_text(path), "this is given twice; keep one of them",
                         lines[again - 1], first)
    return Fault(file, *at, "", "this is given twice, or is used both as a table and as a value",
                 lines[at[0] - 1])


def _open_quote(lines: list[str], line: int, column: int) -> tuple[int, int]:
    """Where an unclosed quote opens: the first line whose value starts with one and never ends it."""
    for number, source in enumerate(lines, start=1):
        if "#" in source.split("=")[0] or "=" not in source:
            continue
        value = source.split("=", 1)[1].strip()
        for mark in ('"""', "'''", '"', "'"):
            if value.startswith(mark):
                later = lines[number:] if len(mark) > 1 else []
                if not any(mark in rest for rest in (value[len(mark):], *later)):
                    return number, source.index(mark) + 1
                break
    return line, column


def _cause(source: str, column: int, message: str) -> tuple[str, int]:
    """Words for the likely cause, and the column the caret should point at."""
    before = source[: column - 1]
    typographic = re.search("[“”„‘’‚]", source)
    if typographic and ("Invalid value" in message or "Expected" in message):
        return "typographic quotes are not read; use straight ones, \"…\"", typographic.start() + 1
    if message.startswith("Expected '=' after a key"):
        return _no_equals(source, column)
    if message.startswith(("Expected ']'", "Expected ']]'")):
        return f"the heading is not closed; write {_closed_heading(source)}", column
    if message.startswith(("Unclosed array", "Invalid initial character for a key part")) and \
            "{" not in source and "[" not in source:
        return "a list '[' above is not closed with ']'", column
    if message.startswith("Invalid initial character") and before.rstrip().endswith((",", "{")):
        return "an inline table { … } must stay on one line, without a comma before its end", column
    if message.startswith("Unescaped"):
        return "a backslash in double quotes must be doubled: \\\\", column
    start = _value_start(source, column)
    value = re.split(r"\s#", source[start:])[0].rstrip()
    if start and value:
        words = _bad_value(source, start, value)
        if words:
            return words, start + 1
    if start and not value and message.startswith("Invalid value"):
        return "there is no value after '='", column
    return _plainly(message), column


def _no_equals(source: str, column: int) -> tuple[str, int]:
    found = re.match(r"\s*([\w-]+(?:[ \t]+[\w-]+)+)\s*=", source)
    if found:
        name = found.group(1)
        return f"a name may not have a space; write {quoted('_'.join(name.split()))}", found.start(1) + 1
    found = re.match(r"\s*([\w.-]+)\s*:", source)
    if found:
        return f"write '=' between name and value, not ':'; {quoted(found.group(1) + ' = …')}", found.end()
    return "a line must read 'name = value', or be a [heading] or a # comment", column


def _closed_heading(source: str) -> str:
    name = source.strip().strip("[]").split("#")[0].strip()
    double = source.strip().startswith("[[")
    return quoted(f"[[{name}]]" if double else f"[{name}]")


def _value_start(source: str, column: int) -> int:
    """Where the value around `column` begins: after the last '=' outside quotes before it, or 0."""
    start, quote = 0, ""
    for index, ch in enumerate(source[: max(0, column - 1)]):
        if quote:
            quote = "" if ch == quote else quote
        elif ch in "\"'":
            quote = ch
        elif ch == "=":
            start = index + 1
    while 0 < start < len(source) and source[start] in " \t":
        start += 1
    return start


def _bad_value(source: str, start: int, value: str) -> str:
    """Words for a value that TOML cannot read, or nothing when the cause is not plain."""
    in_table = "{" in source[:start]
    ends = r"[,}\]]" if in_table else r"[\]}]"
    piece = value if value[0] in "\"'[" else re.split(ends, value)[0].strip()
    if piece[:1] in ('"', "'"):
        mark = piece[0]
        if piece.count(mark) % 2:
            return f"the closing quote {mark} is missing"
        return "there is something after the closing quote; put the whole value in one pair of quotes"
    if piece in _OTHER_WORDS:
        return f"write {_OTHER_WORDS[piece]} instead of {piece}"
    if re.fullmatch(r"[+-]?\d+,\d+", piece):
        return "a decimal comma is not read; write a point, and the value with its unit in quotes"
    if re.fullmatch(r"\d{1,2}:\d{2}", piece):
        return f"a time of day is written with seconds: {piece.zfill(5)}:00"
    if re.fullmatch(r"\d:\d{2}:\d{2}", piece):
        return f"a time of day is written with two figures for the hour: 0{piece}"
    if piece.endswith(('"', "'")) and piece[0] not in "[{":
        return f"the opening quote {piece[-1]} is missing"
    if _VALUE_WITH_UNIT.match(piece):
        return f"a value with a unit goes in quotes: \"{piece[:40]}\""
    if re.fullmatch(r"[+-]?[\d.]+", piece) and not re.fullmatch(r"[+-]?(0|[1-9]\d*)(\.\d+)?", piece):
        return "a number is written like 12 or 0.5: no leading zero, and figures on both sides of the point"
    if re.match(r"[^\W\d]", piece):
        return f"text goes in quotes: \"{piece[:40]}\""
    return ""


def _plainly(message: str) -> str:
    """What the reader said, for causes without words of their own."""
    if message.endswith(r"character '\n'"):
        return "the closing quote is missing on this line"
    known = {
        "Expected newline or end of document after a statement": "there is something more after the value",
        "Invalid value": "this value cannot be read; text goes in quotes, a plain number stands bare",
        "Invalid statement": "a line must read 'name = value', or be a [heading] or a # comment",
        "Unclosed array": "a list '[' is not closed with ']'",
        "Unclosed inline table": "an inline table '{' is not closed with '}'",
        "Unterminated string": "the closing quote is missing",
        "Invalid date or datetime": "there is no such date or time",
    }
    return known.get(message, f"this is not well-formed TOML: {message[:1].lower()}{message[1:]}")
