"""Compiling the plant: one source, run by numba or, with HALFGLASS_PLAIN=1, as plain Python.

numba notices that a kernel's own file changed but not that a kernel it calls, in another file, did.
So compiled code is kept in a folder named after all of the plant's sources, the data they freeze in,
and the versions that made it; any change opens a new folder, and the two last used are kept.
"""

from __future__ import annotations

import contextlib
import dataclasses
import hashlib
import os
import shutil
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import numpy as np

Function = TypeVar("Function", bound=Callable[..., Any])

_PLAIN = os.environ.get("HALFGLASS_PLAIN", "") == "1"
_FOLDERS_KEPT = 2


def is_compiled() -> bool:
    """Tell whether kernels are compiled (True) or plain Python (False, HALFGLASS_PLAIN=1)."""
    return not _PLAIN


def user_cache_folder() -> Path:
    """Return a folder for compiled code that this user can write, made if need be."""
    if os.environ.get("XDG_CACHE_HOME"):
        base = Path(os.environ["XDG_CACHE_HOME"])
    elif sys.platform == "win32":
        base = Path(os.environ.get("LOCALAPPDATA", tempfile.gettempdir()))
    elif sys.platform == "darwin":
        base = Path("~/Library/Caches").expanduser()
    else:
        base = Path("~/.cache").expanduser()
    owner = os.getuid() if hasattr(os, "getuid") else 0
    for folder in (base / "halfglass", Path(tempfile.gettempdir()) / f"halfglass-{owner}"):
        try:
            folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            # Cached code is loaded unread: a folder planted by someone else must not be trusted.
            foreign = hasattr(os, "getuid") and folder.stat().st_uid != owner
            if os.access(folder, os.W_OK | os.X_OK) and not foreign:
                return folder
        except OSError:
            continue
    return Path(tempfile.mkdtemp(prefix="halfglass-"))


def _fingerprint() -> str:
    """Return a short hash of everything that compiled code depends on."""
    import llvmlite.binding
    import numba

    digest = hashlib.sha256()
    digest.update(repr((numba.__version__, sys.version, llvmlite.binding.get_host_cpu_name())).encode())
    here = Path(__file__).resolve().parent
    for path in sorted((*here.glob("*.py"), *here.glob("data/*.npz"), *here.glob("data/*.csv"))):
        digest.update(path.name.encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()[:16]


def _open_cache() -> Path:
    """Return the folder for this version's compiled code; drop all but the last used ones."""
    base = user_cache_folder()
    folder = base / _fingerprint()
    with contextlib.suppress(OSError):
        folder.mkdir(exist_ok=True)
        os.utime(folder)
        used = sorted((p for p in base.iterdir() if p.is_dir()), key=lambda p: p.stat().st_mtime)
        for old in used[:-_FOLDERS_KEPT]:
            shutil.rmtree(old, ignore_errors=True)
    return folder


if _PLAIN:
    _CACHE: Path | None = None

    def kernel(function: Function) -> Function:
        """Return the function as it is: plain mode."""
        return function

    inlined = kernel

else:
    import numba

    _CACHE = _open_cache()

    def kernel(function: Function) -> Function:
        """Compile a plant function at its first call, keeping the machine code for later runs."""
        before = numba.config.CACHE_DIR  # type: ignore[attr-defined]
        # Read once, while decorating; what else uses numba in this process keeps its own folder.
        numba.config.CACHE_DIR = str(_CACHE)  # type: ignore[attr-defined]
        try:
            compiled: Any = numba.njit(cache=True, fastmath=False, error_model="numpy", nogil=True)(function)
        finally:
            numba.config.CACHE_DIR = before  # type: ignore[attr-defined]
        compiled._cache.save_overload = _if_it_can(compiled._cache.save_overload)
        return compiled  # type: ignore[no-any-return]

    def _if_it_can(save: Callable[..., None]) -> Callable[..., None]:
        """Keep compiled code if there is room: a full disk costs the next start some seconds, no more."""

        def save_if_it_can(*compiled: Any) -> None:
            with contextlib.suppress(OSError):
                save(*compiled)

        return save_if_it_can

    def inlined(function: Function) -> Function:
        """Have a helper's text copied into the kernels that call it, so that it is compiled only there.

        Worth it for helpers that call something large: each kernel compiles all that it calls anew.
        """
        copied: Any = numba.njit(inline="always", error_model="numpy")(function)
        return copied  # type: ignore[no-any-return]


def is_prepared(name: str = "march") -> bool:
    """Tell whether a kernel with this in its name is already compiled, so that no wait is due.

    Parameters: name, part of the kernel's name; the default finds any bound march.
    Returns: True in plain mode, where nothing needs compiling.
    """
    return _CACHE is None or any(_CACHE.glob(f"*/*{name}*.nbi"))


def _layout(thing: Any) -> np.dtype[Any]:
    """Return the record layout of a dataclass of numbers, number arrays and such dataclasses."""
    fields: list[tuple[Any, ...]] = []
    for field in dataclasses.fields(thing):
        value = getattr(thing, field.name)
        if isinstance(value, (bool, np.bool_)):
            fields.append((field.name, np.bool_))
        elif isinstance(value, (int, np.integer)):
            fields.append((field.name, np.int64))
        elif isinstance(value, (float, np.floating)):
            fields.append((field.name, np.float64))
        elif isinstance(value, np.ndarray) and value.dtype == np.float64 and value.size:
            fields.append((field.name, np.float64, value.shape))
        elif dataclasses.is_dataclass(value):
            fields.append((field.name, _layout(value)))
        else:
            raise TypeError(f"{type(thing).__name__}.{field.name}: {value!r} cannot go into a record")
    return np.dtype(fields, align=True)


def _values(thing: Any) -> tuple[Any, ...]:
    """Return the field values of a dataclass, nested dataclasses as tuples."""
    values = (getattr(thing, field.name) for field in dataclasses.fields(thing))
    return tuple(_values(v) if dataclasses.is_dataclass(v) else v for v in values)


def to_record(thing: Any) -> Any:
    """Turn a dataclass into what kernels read by attribute.

    Parameters: thing, a dataclass of floats, ints, bools, float arrays of fixed size, or dataclasses.
    Returns: a numpy record with the same field names; in plain mode the dataclass itself.
    """
    return thing if _PLAIN else to_box(thing).view(np.recarray)[0]


def to_box(thing: Any) -> Any:
    """Turn a dataclass into a box of one, which kernels open with ``[0]``.

    Parameters: as for `to_record`.
    Returns: an array of one record; in plain mode a list of the dataclass itself.
    Notes: numba takes an array from Python some ten times quicker than a record (measured: a march of the
    plant spent 18 µs a call on ten records).
    """
    if _PLAIN:
        return [thing]
    box = np.zeros(1, dtype=_layout(thing))
    box[0] = _values(thing)
    return box
