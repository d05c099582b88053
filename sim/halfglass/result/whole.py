"""The one way in which files are written: whole or not at all, and no two runs' files in among each other."""

from __future__ import annotations

import contextlib
import errno
import os
import time
from collections.abc import Iterator
from pathlib import Path

STALE = 3600.0
"""s after which what a killed run left half written is taken away: no file takes so long to write."""


def write_whole(path: Path, content: bytes, *, is_new: bool = False, mode: int = 0o666) -> None:
    """Write a file so that a reader, or a kill, never meets half of it; what was there stays until then.

    Parameters: is_new, never over one that is there; mode, who may read it, less the umask.
    Raises: OSError, of the file itself, if it cannot be written.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    if path.exists() and not path.is_file():
        raise OSError(errno.EINVAL, "it is there and is not an ordinary file", str(path))
    _sweep(path.parent)
    # not named after the file, whose name may be as long as a name can be
    part = path.with_name(f".halfglass-{os.getpid()}.part")
    try:
        part.unlink(missing_ok=True)
        with os.fdopen(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode), "wb") as stream:
            stream.write(content)
        if is_new and os.path.lexists(path):
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(path))
        os.replace(part, path)
    except BaseException as error:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)
        if isinstance(error, OSError) and error.errno is not None:  # the part is nobody's business
            raise OSError(error.errno, error.strerror, str(path)) from error
        raise


def _sweep(folder: Path) -> None:
    """Take away what killed runs left."""
    with contextlib.suppress(OSError):
        for left in folder.glob(".halfglass-*.part"):
            if time.time() - left.stat().st_mtime > STALE:
                left.unlink()


@contextlib.contextmanager
def alone_in(folder: Path) -> Iterator[None]:
    """Keep other runs from writing into a folder meanwhile, where the system can; they wait."""
    folder.mkdir(parents=True, exist_ok=True)
    with contextlib.ExitStack() as held:
        with contextlib.suppress(ImportError, OSError):
            import fcntl

            handle = os.open(folder, os.O_RDONLY)
            held.callback(os.close, handle)
            fcntl.flock(handle, fcntl.LOCK_EX)
        yield
