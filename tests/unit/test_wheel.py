"""What is installed: wheel and sdist hold all they must, and the wheel alone does the main job.

The quick tests build both and look inside. The long one installs the wheel into an environment of its own
and works from a folder where there is no checkout.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import tarfile
import venv
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from halfglass.result.provenance import scenario_hash
from halfglass.scenario.load import load

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "sim" / "halfglass"
SHIPPED = "halfglass/scenario/shipped"
CACHES = {"__pycache__", ".mypy_cache", ".ruff_cache"}


def run(
    *command: str | Path, cwd: Path, extra: dict[str, str] | None = None
) -> subprocess.CompletedProcess[str]:
    """A command in a folder, knowing nothing of this checkout."""
    kept = {key: value for key, value in os.environ.items() if key not in ("PYTHONPATH", "HALFGLASS_PATH")}
    return subprocess.run(
        [str(part) for part in command],
        cwd=cwd,
        env={**kept, **(extra or {})},
        capture_output=True,
        text=True,
    )


def build(project: Path, kind: str, folder: Path) -> Path:
    """A wheel or an sdist of a project, built without fetching anything."""
    folder.mkdir(parents=True, exist_ok=True)
    done = run(sys.executable, "-m", "hatchling", "build", "-t", kind, "-d", folder, cwd=project)
    assert done.returncode == 0, done.stderr
    (made,) = folder.iterdir()
    return made


def names_in(wheel: Path) -> set[str]:
    with zipfile.ZipFile(wheel) as packed:
        return {name for name in packed.namelist() if ".dist-info/" not in name}


def files_of(folder: Path) -> Iterator[str]:
    for path in folder.rglob("*"):
        if path.is_file() and not CACHES & set(path.parts):
            yield path.relative_to(folder).as_posix()


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return build(ROOT, "wheel", tmp_path_factory.mktemp("wheel"))


@pytest.fixture(scope="module")
def unpacked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sdist, unpacked where nothing else is."""
    folder = tmp_path_factory.mktemp("sdist")
    with tarfile.open(build(ROOT, "sdist", folder / "built")) as packed:
        packed.extractall(folder, filter="data")
    (project,) = (path for path in folder.iterdir() if path.name.startswith("halfglass-"))
    return project


def test_the_wheel_has_the_package_and_the_shipped_days_and_nothing_else(wheel: Path) -> None:
    package = {f"halfglass/{name}" for name in files_of(PACKAGE)}
    shipped = {f"{SHIPPED}/{name}" for name in files_of(ROOT / "scenarios")}
    assert {f"{SHIPPED}/01-quiet-lake-day.toml", "halfglass/plant/data/steam_table.npz"} < package | shipped
    assert names_in(wheel) == package | shipped


def test_the_sdist_has_what_a_clone_has(unpacked: Path) -> None:
    """Someone with the sdist can run both commands of the README, and build the very same wheel."""
    for folder in ("sim", "scenarios", "tests", ".ci"):
        assert set(files_of(unpacked / folder)) == set(files_of(ROOT / folder))
    kept = {"README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", "reports/gallery/README.md"}
    assert [name for name in kept if not (unpacked / name).is_file()] == []


def test_sdist_and_checkout_build_the_same_wheel(wheel: Path, unpacked: Path, tmp_path: Path) -> None:
    again = build(unpacked, "wheel", tmp_path / "again")
    with zipfile.ZipFile(wheel) as one, zipfile.ZipFile(again) as other:
        assert one.namelist() == other.namelist()
        assert [name for name in one.namelist() if one.read(name) != other.read(name)] == []


def test_what_is_told_of_the_package_is_true(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as packed:
        (about,) = (packed.read(name).decode() for name in packed.namelist() if name.endswith("/METADATA"))
        licences = [name for name in packed.namelist() if "LICENSE" in name and "/licenses/" in name]
    for version in ("3.11", "3.12", "3.13"):
        assert f"Classifier: Programming Language :: Python :: {version}\n" in about
    assert "Requires-Python: >=3.11\n" in about and "License-Expression: MIT\n" in about
    assert len(licences) == 2


@pytest.mark.long
def test_the_wheel_alone_does_the_main_job(
    wheel: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In a clean environment without extras, far from the checkout. Fetches what the package depends on."""
    home, away = tmp_path / "venv", tmp_path / "away"
    away.mkdir()
    monkeypatch.chdir(away)
    venv.create(home, with_pip=True)
    scripts = home / ("Scripts" if os.name == "nt" else "bin")
    installed = run(scripts / "pip", "install", "-q", wheel, cwd=away)
    assert installed.returncode == 0, installed.stderr
    cache = {"XDG_CACHE_HOME": str(tmp_path / "cache")}

    def halfglass(*arguments: str) -> subprocess.CompletedProcess[str]:
        return run(scripts / "halfglass", *arguments, cwd=away, extra=cache)

    assert "classroom" in halfglass("--help").stdout
    where = run(scripts / "python", "-c", "import halfglass; print(halfglass.__file__)", cwd=away).stdout
    assert where.startswith(str(home))

    ran = halfglass("run", "01-quiet-lake-day", "--json")
    assert ran.returncode == 0, ran.stderr
    told = json.loads(ran.stdout)
    assert told["plans"][0]["outcome"]["kind"] == "arrived"
    assert told["provenance"]["scenario_sha256"] == scenario_hash(load("01-quiet-lake-day").files)
    assert (away / "reports" / "01-quiet-lake-day" / "report.html").stat().st_size > 100_000

    assert halfglass("new", "boat", "mine.toml").returncode == 0
    assert halfglass("new", "scenario", "day.toml", "--boat", "mine").returncode == 0
    own = halfglass("run", "day.toml")
    assert own.returncode == 0, own.stderr

    refused = halfglass("classroom")
    assert refused.returncode == 2 and "pip install 'halfglass[classroom]'" in refused.stderr
    assert sorted(path.name for path in away.iterdir()) == ["day.toml", "mine.toml", "reports"]
    shutil.rmtree(home)
