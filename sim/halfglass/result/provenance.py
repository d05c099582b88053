"""Where a result comes from: enough to make the same bytes again, and nothing that would change them.

No time of day, host or path: the same scenario, seed and versions give the same record anywhere.
"""

from __future__ import annotations

import hashlib
import platform
from collections.abc import Iterable, Mapping
from importlib import metadata

LIBRARIES = ("numpy", "pandas", "simpy", "numba", "matplotlib")


def gather(files: Mapping[str, bytes], plan: str, seed: int, units: str, compiled: bool) -> dict[str, object]:
    """The provenance of one outing.

    `files` maps the names of the scenario and the files it draws on, as the scenario spells them, to
    their contents; `compiled` says whether the plant ran compiled or as plain Python.
    """
    return {
        "halfglass": _version("halfglass"),
        "python": platform.python_version(),
        "libraries": versions(LIBRARIES),
        "scenario_sha256": scenario_hash(files),
        "plan": plan,
        "seed": seed,
        "units": units,
        "plant": "compiled" if compiled else "plain Python",
    }


def versions(distributions: Iterable[str]) -> dict[str, str]:
    """The installed version of each distribution."""
    return {name: _version(name) for name in distributions}


def scenario_hash(files: Mapping[str, bytes]) -> str:
    """SHA-256 over names and contents, whatever order they were read in."""
    digest = hashlib.sha256()
    for name in sorted(files):
        for part in (name.encode(), files[name]):
            digest.update(len(part).to_bytes(8, "big"))  # so that no two sets of files look alike
            digest.update(part)
    return digest.hexdigest()


def _version(distribution: str) -> str:
    try:
        return metadata.version(distribution)
    except metadata.PackageNotFoundError:
        return "not installed"
