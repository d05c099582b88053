"""Putting a mutant into the running program: no file is touched, and a forked process ends with it.

A function's code is exchanged wherever the function is held (by modules, tables, classes, closures or
copies). An assignment outside all functions is done again and its names set in every module that imported
them.
"""

from __future__ import annotations
import __future__

import ast
import gc
import sys
from pathlib import Path
from types import CodeType, FunctionType, ModuleType

from mutants import Mutant

_LAZY = __future__.annotations.compiler_flag


def codes_in(code: CodeType) -> list[CodeType]:
    """A code and all that is nested in it, in order."""
    nested = [part for part in code.co_consts if isinstance(part, CodeType)]
    return [code, *(inner for part in nested for inner in codes_in(part))]


def put_in(mutant: Mutant, path: Path) -> bool:
    """Make the program behave as the mutant does; False if nothing that lives was changed."""
    old = codes_in(compile(path.read_text(), str(path), "exec", dont_inherit=True))
    new = codes_in(compile(mutant.tree, str(path), "exec", dont_inherit=True))
    if mutant.names:
        return _assign(mutant, path)
    if len(old) != len(new):
        raise ValueError(f"{mutant}: functions came or went")
    changed = {a: b for a, b in zip(old[1:], new[1:], strict=True) if a != b}
    found = False
    for function in [thing for thing in gc.get_objects() if isinstance(thing, FunctionType)]:
        if function.__code__.co_filename == str(path) and function.__code__ in changed:
            function.__code__ = changed[function.__code__]
            found = True
    return found


def _assign(mutant: Mutant, path: Path) -> bool:
    """Do a changed assignment again, and all after it in its module that name what it bound."""
    (home,) = (m for m in list(sys.modules.values()) if getattr(m, "__file__", None) == str(path))
    for statement, targets in depending(mutant.tree, mutant.names, mutant.line):
        before = {name: home.__dict__.get(name) for name in targets}
        exec(compile(ast.Module([statement], []), str(path), "exec", _LAZY, dont_inherit=True), home.__dict__)
        for name, value in before.items():
            _hand_on(home, name, value)
    return True


def depending(tree: ast.Module, names: tuple[str, ...], line: int) -> list[tuple[ast.stmt, list[str]]]:
    """The assignment on a line and those that use what it bound, each with the names it binds."""
    stale, found = set(names), []
    for statement in tree.body:
        if not isinstance(statement, (ast.Assign, ast.AnnAssign)):
            continue
        parts = [node for node in ast.walk(statement) if isinstance(node, ast.Name)]
        targets = [node.id for node in parts if isinstance(node.ctx, ast.Store)]
        if statement.lineno == line or stale & {n.id for n in parts if isinstance(n.ctx, ast.Load)}:
            stale |= set(targets)
            found.append((statement, targets))
    return found


def _hand_on(home: ModuleType, name: str, before: object) -> None:
    """Set a name in every module that took it from its home."""
    for module in list(sys.modules.values()):
        held = getattr(module, "__dict__", {})
        if module is not home and name in held and held[name] is before:
            held[name] = home.__dict__[name]
