"""Where each key and value of a TOML text stands, from its syntax tree.

The tree comes from tree-sitter, imported here and nowhere else; only faults need places, so a good
file never pays for it.  A path is a tuple of keys and list indices (from 0).
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from halfglass.vocabulary.errors import quoted

if TYPE_CHECKING:
    from tree_sitter import Node

KeyPath = tuple[str | int, ...]
Position = tuple[int, int]

_NAMES = ("bare_key", "quoted_key")
_MARKS = ("[", "]", "{", "}", ",", "comment", "ERROR")
# How a path is used (an entry, a step of a dotted name, a heading, a step of a heading, a list of
# tables), and which earlier uses forbid it.
_CLASHES = {
    "entry": {"entry", "dotted", "heading", "implied", "list"},
    "dotted": {"entry", "heading", "list"},
    "heading": {"entry", "dotted", "heading", "list"},
    "implied": {"entry"},
    "list": {"entry", "dotted", "heading", "implied"},
}


@dataclass
class Places:
    """Positions of key and value by path, and keys written twice: path, first and second place."""

    places: dict[KeyPath, tuple[Position, Position]] = field(default_factory=dict)
    twice: list[tuple[KeyPath, Position, Position]] = field(default_factory=list)


def find_places(text: str) -> Places:
    """Walk a TOML text and note every key and value; places count from 1, columns in characters."""
    import tree_sitter_toml
    from tree_sitter import Language, Parser

    root = Parser(Language(tree_sitter_toml.language())).parse(text.encode("utf-8")).root_node
    return _Walk(text).over(root)


def key_text(path: KeyPath) -> str:
    """The dotted name of an entry, list items counted from 1.

    >>> key_text(("route", 2, "distance"))
    'route[3].distance'
    """
    text = ""
    for part in path:
        if isinstance(part, int):
            text += f"[{part + 1}]"
        else:
            plain = part.replace("_", "").replace("-", "")
            name = part if plain.isalnum() else quoted(part)
            text += f".{name}" if text else name
    return text


class _Walk:
    """One pass over the tree, in file order, without recursion."""

    def __init__(self, text: str) -> None:
        self.lines = [line.encode("utf-8") for line in text.split("\n")]
        self.found = Places()
        self.list_lengths: dict[KeyPath, int] = {}
        self.roles: dict[KeyPath, str] = {}

    def over(self, root: Node) -> Places:
        waiting: list[tuple[Node, KeyPath]] = [(root, ())]
        while waiting:
            node, path = waiting.pop()
            waiting += reversed(list(self._enter(node, path)))
        return self.found

    def _enter(self, node: Node, path: KeyPath) -> Iterator[tuple[Node, KeyPath]]:
        """Note what this node names, and give the nodes inside it with their paths."""
        if node.type in ("table", "table_array_element"):
            inside = self._header(node)
            for child in node.children:
                if child.type in ("pair", "ERROR"):
                    yield child, inside
        elif node.type == "pair":
            yield from self._pair(node, path)
        elif node.type == "array":
            items = [child for child in node.children if child.type not in _MARKS]
            for index, child in enumerate(items):
                at = self._position(child)
                self.found.places[(*path, index)] = (at, at)
                yield child, (*path, index)
        elif node.type in ("document", "inline_table", "ERROR"):
            for child in node.children:
                yield child, path

    def _pair(self, node: Node, path: KeyPath) -> Iterator[tuple[Node, KeyPath]]:
        parts = list(_key_parts(node.children[0])) if node.children else []
        values = [child for child in node.children[1:] if child.type not in ("=", "comment")]
        if not parts or not values:
            return
        value_at = self._position(values[0])
        for length, (name, key_node) in enumerate(parts, start=1):
            path = (*path, name)
            key_at = self._position(key_node)
            is_last = length == len(parts)
            self._note(path, key_at, value_at if is_last else key_at, "entry" if is_last else "dotted")
        yield values[0], path

    def _header(self, node: Node) -> KeyPath:
        """The path of a ``[table]`` or ``[[list of tables]]`` header, through the latest list items."""
        path: KeyPath = ()
        parts = [part for child in node.children if child.type in (*_NAMES, "dotted_key")
                 for part in _key_parts(child)]
        for length, (name, key_node) in enumerate(parts, start=1):
            path = (*path, name)
            at = self._position(key_node)
            is_last = length == len(parts)
            if is_last and node.type == "table_array_element":
                self._note(path, at, at, "list")
                self.list_lengths[path] = self.list_lengths.get(path, 0) + 1
                path = (*path, self.list_lengths[path] - 1)
                self._note(path, at, at, "heading")
            else:
                self._note(path, at, at, "heading" if is_last else "implied")
                if path in self.list_lengths:
                    path = (*path, self.list_lengths[path] - 1)
        return path

    def _note(self, path: KeyPath, key: Position, value: Position, role: str) -> None:
        """Keep the first place of a path, and note a second use that TOML does not allow."""
        before = self.roles.get(path)
        if before is not None and before in _CLASHES[role]:
            self.found.twice.append((path, self.found.places[path][0], key))
        elif before is None or (before == "implied" and role == "heading"):
            self.found.places[path] = (key, value)
            self.roles[path] = role

    def _position(self, node: Node) -> Position:
        row, byte = node.start_point
        line = self.lines[row] if row < len(self.lines) else b""
        return row + 1, len(line[:byte].decode("utf-8", "replace")) + 1


def _key_parts(node: Node) -> Iterator[tuple[str, Node]]:
    """The names of a key from left to right; a dotted key nests to the left, however deep."""
    leaves: list[Node] = []
    waiting = [node]
    while waiting:
        current = waiting.pop()
        if current.type in _NAMES:
            leaves.append(current)
        elif current.type == "dotted_key":
            waiting += [child for child in current.children if child.type != "."]
    for leaf in reversed(leaves):
        text = (leaf.text or b"").decode("utf-8", "replace")
        yield (_unquoted(text) if leaf.type == "quoted_key" else text), leaf


def _unquoted(text: str) -> str:
    """A quoted key as TOML reads it, or as written when it is itself faulty."""
    try:
        return next(iter(tomllib.loads(f"{text} = 0")))
    except (tomllib.TOMLDecodeError, StopIteration):
        return text
