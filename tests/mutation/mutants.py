"""Small faults that can be put into a module of the program: where, which, and how they are told.

A site is a node of the module's syntax tree with the changes that make sense there. Texts, annotations,
default values and class bodies are left alone.
"""

from __future__ import annotations

import ast
import copy
import os
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

Change = tuple[str, Callable[[ast.AST], ast.AST]]
"""A word for it, and what makes the changed node of (a copy of) the node."""

ARITHMETIC = {ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Pow: ast.Mult}
BOUNDARY = {ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq}
TURNED = {ast.Lt: ast.Gt, ast.LtE: ast.GtE, ast.Gt: ast.Lt, ast.GtE: ast.LtE, ast.In: ast.NotIn}
OTHER = {"min": "max", "max": "min", "any": "all", "all": "any", "nanargmin": "nanargmax", "nanmin": "nanmax"}
SCALED = 1.1
LONGEST_TOLD = 240
"""Letters of a statement told whole."""
PLACE = re.compile(r"[A-Z][A-Z0-9_]+")


@dataclass(frozen=True)
class Mutant:
    """One fault: the statement before and after it, and the module's tree with it."""

    module: str
    function: str
    line: int
    kind: str
    before: str
    after: str
    tree: ast.Module
    names: tuple[str, ...]
    """Names bound by the statement, if it stands outside all functions."""

    @property
    def key(self) -> tuple[str, ...]:
        """What tells it from others, whatever line it stands on."""
        return self.module, self.function, self.kind, self.before, self.after

    def __str__(self) -> str:
        return " | ".join(self.key)


@dataclass(frozen=True)
class Site:
    """A place and what can be done there; `path` leads from the module to the node."""

    function: str
    statement: tuple[tuple[str, int | None], ...]
    path: tuple[tuple[str, int | None], ...]
    changes: tuple[Change, ...]
    line: int
    names: tuple[str, ...]


Path_ = tuple[tuple[str, int | None], ...]


def sites_of(tree: ast.Module) -> list[Site]:
    """Every place of a module where a fault can be put, in order."""
    return list(_walk(tree, (), "", (), 0, (), {}))


def mutant_at(module: str, tree: ast.Module, site: Site, which: int) -> Mutant:
    """The module with one of a site's changes made."""
    kind, change = site.changes[which]
    changed = copy.deepcopy(tree)
    before = in_one_line(_at(changed, site.statement))
    node = _at(changed, site.path)
    new = ast.copy_location(change(node), node)
    _put(changed, site.path, new)
    ast.fix_missing_locations(changed)
    after = in_one_line(_at(changed, site.statement))
    before, after = _near_the_difference(before, after)
    return Mutant(module, site.function, site.line, kind, before, after, changed, site.names)


def read(path: Path) -> ast.Module:
    """The syntax tree of a file."""
    return ast.parse(path.read_text(), str(path))


def in_one_line(statement: ast.AST) -> str:
    """A statement as it is told: in one line, of one with a body the first, all its quotes single.

    Python 3.12 quotes what is inside an f-string otherwise than 3.11.
    """
    text = ast.unparse(statement)
    if isinstance(statement, (ast.If, ast.While, ast.For, ast.With, ast.FunctionDef, ast.Try)):
        text = text.split("\n")[0]
    return " ".join(text.replace("\\", "").replace('"', "'").split())


def _near_the_difference(before: str, after: str) -> tuple[str, str]:
    """Two long statements, without what is alike far before and after the difference."""
    if len(before) <= LONGEST_TOLD:
        return before, after
    start = len(os.path.commonprefix((before, after)))
    end = len(os.path.commonprefix((before[start:][::-1], after[start:][::-1])))
    first = max(0, start - LONGEST_TOLD // 2)
    ends = (min(len(text), len(text) - end + LONGEST_TOLD // 4) for text in (before, after))
    one, other = (text[first:last] for text, last in zip((before, after), ends, strict=True))
    return one, other


def _at(tree: ast.AST, path: Path_) -> ast.AST:
    node = tree
    for name, place in path:
        node = getattr(node, name)
        if place is not None:
            node = node[place]  # type: ignore[index]
    return node


def _put(tree: ast.AST, path: Path_, new: ast.AST) -> None:
    parent = _at(tree, path[:-1])
    name, place = path[-1]
    if place is None:
        setattr(parent, name, new)
    else:
        getattr(parent, name)[place] = new


def _walk(
    node: ast.AST, path: Path_, function: str, statement: Path_, line: int, names: tuple[str, ...],
    places: dict[str, list[str]],
) -> Iterator[Site]:  # fmt: skip
    """Sites at and below a node."""
    if isinstance(node, ast.stmt):
        statement, line = path, node.lineno
        if not function:
            names = _bound(node)
    if isinstance(node, (ast.FunctionDef, ast.ClassDef)):
        function = f"{function}.{node.name}".lstrip(".")
    if isinstance(node, ast.FunctionDef):
        places = {"": _capitals(node)}
    changes = tuple(_changes(node, places)) if _is_in_code(node, function, names, places) else ()
    if changes:
        yield Site(function, statement, path, changes, line, names)
    for name, value in ast.iter_fields(node):
        if name in ("annotation", "returns", "decorator_list", "args" if _is_def(node) else "", "bases"):
            continue
        if isinstance(value, ast.AST):
            yield from _walk(value, (*path, (name, None)), function, statement, line, names, places)
        elif isinstance(value, list):
            for i, part in enumerate(value):
                if isinstance(part, ast.AST) and not _is_text(part):
                    yield from _walk(part, (*path, (name, i)), function, statement, line, names, places)


def _is_def(node: ast.AST) -> bool:
    return isinstance(node, (ast.FunctionDef, ast.ClassDef, ast.Lambda))


def _is_in_code(node: ast.AST, function: str, names: tuple[str, ...], places: dict[str, list[str]]) -> bool:
    """In a function, or in an assignment outside all functions and classes; never in a class body."""
    return bool(places) or (bool(names) and not function)


def _is_text(node: ast.AST) -> bool:
    return isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)


def _bound(node: ast.stmt) -> tuple[str, ...]:
    targets = node.targets if isinstance(node, ast.Assign) else [getattr(node, "target", None)]
    found = [
        name.id for target in targets if target for name in ast.walk(target) if isinstance(name, ast.Name)
    ]
    return tuple(found) if isinstance(node, (ast.Assign, ast.AnnAssign)) else ()


def _capitals(function: ast.FunctionDef) -> list[str]:
    """Named places a function uses: constants of another module (`r.DAMPER`), and names that index arrays."""
    found = {ast.unparse(node) for node in ast.walk(function) if _is_place(node)}
    slices = [node.slice for node in ast.walk(function) if isinstance(node, ast.Subscript)]
    names = {node.id for piece in slices for node in ast.walk(piece) if isinstance(node, ast.Name)}
    return sorted(found | {name for name in names if PLACE.fullmatch(name)})


def _is_place(node: ast.AST) -> bool:
    return (
        isinstance(node, ast.Attribute)
        and isinstance(node.value, ast.Name)
        and PLACE.fullmatch(node.attr) is not None
    )


def _changes(node: ast.AST, places: dict[str, list[str]]) -> Iterator[Change]:
    """What can be done to a node."""
    is_sum = isinstance(node, (ast.BinOp, ast.AugAssign)) and not _is_text_sum(node)
    if is_sum and type(node.op) in ARITHMETIC:
        yield "arithmetic", _with("op", ARITHMETIC[type(node.op)]())
    if isinstance(node, ast.Compare):
        for table, word in ((BOUNDARY, "boundary"), (TURNED, "comparison")):
            if type(node.ops[0]) in table:
                yield word, _with("ops", [table[type(node.ops[0])](), *node.ops[1:]])
    if isinstance(node, ast.Constant) and type(node.value) in (int, float):
        yield from _numbers(node.value)
    if isinstance(node, ast.BoolOp):
        yield "and/or", _with("op", ast.Or() if isinstance(node.op, ast.And) else ast.And())
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, (ast.USub, ast.Not)):
        yield "sign" if isinstance(node.op, ast.USub) else "negated", lambda old: old.operand
    if isinstance(node, (ast.If, ast.While, ast.IfExp)):
        yield "negated", _with("test", ast.UnaryOp(ast.Not(), node.test))
    if isinstance(node, ast.Call):
        yield from _calls(node)
    if isinstance(node, ast.Return) and node.value is not None and _is_number(node.value):
        yield "return scaled", _with("value", ast.BinOp(node.value, ast.Mult(), ast.Constant(SCALED)))
    if _can_go(node):
        yield "dropped", lambda old: ast.Pass()
    yield from _indices(node, places)


def _with(name: str, value: object) -> Callable[[ast.AST], ast.AST]:
    def change(node: ast.AST) -> ast.AST:
        new = copy.copy(node)
        setattr(new, name, value)
        return new

    return change


def _is_text_sum(node: ast.BinOp | ast.AugAssign) -> bool:
    """Sums of texts, lists and tuples are no arithmetic."""
    parts = [part for part in ast.walk(node) if isinstance(part, (ast.JoinedStr, ast.List, ast.Tuple))]
    return bool(parts) or any(
        isinstance(p, ast.Constant) and isinstance(p.value, str) for p in ast.walk(node)
    )


def _numbers(value: float) -> Iterator[Change]:
    others = [value + 1] if isinstance(value, int) or value == 0.0 else [value * SCALED, value + 1.0, -value]
    for other in others:
        yield "number", lambda old, other=other: ast.Constant(other)  # type: ignore[misc]


def _calls(node: ast.Call) -> Iterator[Change]:
    function = node.func
    word = function.id if isinstance(function, ast.Name) else getattr(function, "attr", "")
    if word in OTHER:
        if isinstance(function, ast.Name):
            yield "min/max", _with("func", ast.Name(OTHER[word], ast.Load()))
        else:
            yield "min/max", _with("func", ast.Attribute(function.value, OTHER[word], ast.Load()))  # type: ignore[attr-defined]
        return
    for i in range(len(node.args) - 1):
        first, second = node.args[i : i + 2]
        if any(isinstance(part, ast.Starred) for part in (first, second)):
            continue
        yield "arguments", _with("args", [*node.args[:i], second, first, *node.args[i + 2 :]])


def _is_number(node: ast.expr) -> bool:
    """An expression that is surely a number."""
    if isinstance(node, ast.Constant):
        return type(node.value) is float and node.value != 0.0
    if isinstance(node, ast.Call):
        return ast.unparse(node.func) in ("min", "max", "abs", "float", "math.sqrt", "math.exp")
    return isinstance(node, ast.BinOp) and not _is_text_sum(node)


def _can_go(node: ast.AST) -> bool:
    """A booking, a sum, or a call for its effect; no new name is left unbound."""
    if isinstance(node, ast.Assign):
        return all(isinstance(target, (ast.Subscript, ast.Attribute)) for target in node.targets)
    return isinstance(node, ast.AugAssign) or (
        isinstance(node, ast.Expr) and isinstance(node.value, ast.Call)
    )


def _indices(node: ast.AST, places: dict[str, list[str]]) -> Iterator[Change]:
    """A named place exchanged for the next of its kind in the function."""
    if not (_is_place(node) or isinstance(node, ast.Name)):
        return
    text = ast.unparse(node)
    head = text.rpartition(".")[0]
    alike = [place for place in places.get("", ()) if place.rpartition(".")[0] == head]
    if text in alike and len(alike) > 1:
        other = alike[(alike.index(text) + 1) % len(alike)]
        yield "place", lambda old: _loaded(other, old)


def _loaded(text: str, old: ast.AST) -> ast.AST:
    new = ast.parse(text, mode="eval").body
    new.ctx = getattr(old, "ctx", ast.Load())  # type: ignore[attr-defined]
    return new
