"""What the benchmarks time with: the shortest of several runs, programs of their own, memory at its worst."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def best(times: int, action: Callable[[], object]) -> float:
    """Shortest of several runs [s]: what is left when others leave the machine alone."""
    found = []
    for _ in range(times):
        begun = time.perf_counter()
        action()
        found.append(time.perf_counter() - begun)
    return min(found)


def program(*arguments: str, **changes: str) -> str:
    """Run Python on the source tree; returns what it printed."""
    paths = os.pathsep.join(str(ROOT / part) for part in ("sim", "tests/unit", "tests/benchmarks"))
    done = subprocess.run(
        [sys.executable, "-W", "ignore", *arguments], check=True, capture_output=True, text=True, cwd=ROOT,
        env={**os.environ, "PYTHONPATH": paths, **changes},
    )  # fmt: skip
    return done.stdout


def command(*arguments: str, **changes: str) -> str:
    """Run the command line in a process of its own."""
    return program("-c", "from halfglass.cli import main; main()", *arguments, **changes)


def most_memory(*arguments: str) -> str:
    """The most memory the command took, in words; only Linux tells a process's own."""
    if not Path("/proc/self/status").exists():
        return "unknown"
    text = (
        "from pathlib import Path\n"
        "from halfglass.cli import main\n"
        "try:\n    main()\nexcept SystemExit:\n    pass\n"
        "told = Path('/proc/self/status').read_text()\n"
        "print('\\n' + told.split('VmHWM:')[1].split()[0])"
    )
    return f"{int(program('-c', text, *arguments).splitlines()[-1]) / 1e3:.0f} MB"
