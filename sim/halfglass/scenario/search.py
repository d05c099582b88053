"""Where scenario and boat files are looked for when only their name is given.

A scenario: the current folder, ``scenarios/`` in it, the folders of the environment variable HALFGLASS_PATH,
and last the days that come with the program. A boat: beside the scenario, ``boats/`` there, the same two for
each folder of HALFGLASS_PATH, and last the boats that come with the program. A name may leave out
``.toml``; a path that is absolute or begins with a dot is taken as it stands. An owner's log: where its path
leads, or else beside the scenario and in ``logs/`` there.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from pathlib import Path

from halfglass.vocabulary.errors import Fault, ScenarioError, nearest, quoted

SAMPLES = Path(__file__).parent / "templates" / "boats"
_PACKED = Path(__file__).parent / "shipped"
SHIPPED = _PACKED if _PACKED.is_dir() else Path(__file__).parents[3] / "scenarios"
"""The days that come with the program: a wheel has them packed in here, a checkout in its `scenarios`."""
VARIABLE = "HALFGLASS_PATH"
_CALLED = {
    SHIPPED: "the days that come with halfglass",
    **dict.fromkeys((SHIPPED / "boats", SAMPLES), "the boats that come with halfglass"),
}


def find_scenario(name: str | Path) -> Path:
    """The file of a scenario, by its path or its bare name.

    Raises `ScenarioError` naming all places looked in; a path with a folder in it is returned as it is.
    """
    path = Path(name)
    if path.name != str(name) or _exists(path):
        return path
    places = [Path(), Path("scenarios"), *_folders(), SHIPPED]
    found = _first(path, places)
    if found is None:
        raise ScenarioError([Fault(str(name), 0, 0, "", missing(path, places))])
    return found


def find_boat(name: str, scenario: Path) -> tuple[Path | None, str]:
    """The boat file a scenario names, or None with a sentence that says where it was looked for."""
    beside, path = scenario.parent, Path(name)
    if path.is_absolute() or name.startswith("."):
        places = [beside]
    else:
        shared = [place for folder in _folders() for place in (folder, folder / "boats")]
        places = [beside, beside / "boats", *shared, SHIPPED, SHIPPED / "boats", SAMPLES]
    found = _first(path, places)
    return found, "" if found is not None else missing(path, places)


def find_log(name: str | Path, scenario: str | Path) -> Path:
    """The file of an owner's log: its path, or if nothing is there, beside the scenario or in its `logs`."""
    path, beside = Path(name), find_scenario(scenario).parent
    return next((place for place in (path, beside / path, beside / "logs" / path) if is_file(place)), path)


def sample_boats() -> tuple[str, ...]:
    """The names of the sample boats that come with the program, in order."""
    return tuple(sorted(path.stem for path in SAMPLES.glob("*.toml")))


def missing(path: Path, places: Sequence[Path]) -> str:
    """The sentence for a file that is in none of the places, with the nearest name there is."""
    names = _names(place / path.parent for place in places)
    if path.suffix != ".toml":
        names = [Path(name).stem for name in names]
    likely = nearest(path.name, names)
    hint = f"; did you mean {quoted(likely)}?" if likely else "."
    looked = ", ".join(dict.fromkeys(_CALLED.get(place) or f"'{place}'" for place in places))
    more = "" if os.environ.get(VARIABLE) else f"; {VARIABLE} may name more folders"
    return f"there is no such file{hint} Looked in {looked}{more}"


def _folders() -> list[Path]:
    return [Path(folder) for folder in os.environ.get(VARIABLE, "").split(os.pathsep) if folder]


def _first(path: Path, places: Sequence[Path]) -> Path | None:
    """The first ordinary file of that name in the places, or else whatever has that very name in one."""
    names = (
        [path] if path.suffix == ".toml" else [path, path.with_name(f"{path.name}.toml")] if path.name else []
    )
    candidates = [place / name for place in places for name in names]
    exact = [candidate for candidate in candidates if is_file(candidate)]
    return next(iter(exact or [candidate for candidate in candidates if _exists(candidate)]), None)


def _names(folders: Iterable[Path]) -> list[str]:
    names: list[str] = []
    for folder in folders:
        try:
            names += sorted(entry.name for entry in folder.iterdir() if entry.suffix == ".toml")
        except (OSError, ValueError):
            continue
    return names


def is_file(path: Path) -> bool:
    """Whether an ordinary file is there; a name the system cannot use is none."""
    try:
        return path.is_file()
    except (OSError, ValueError):
        return False


def _exists(path: Path) -> bool:
    """Whether anything is there; a name the system cannot use counts, so that reading it says why."""
    try:
        return path.exists()
    except (OSError, ValueError):
        return True
