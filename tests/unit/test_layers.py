"""The layers hold: what may import what is written in pyproject.toml and checked here."""

from __future__ import annotations

from pathlib import Path

import pytest
from importlinter.cli import lint_imports

PROJECT = Path(__file__).parents[2] / "pyproject.toml"


def test_every_contract_is_kept(capsys: pytest.CaptureFixture[str]) -> None:
    code = lint_imports(config_filename=str(PROJECT), no_cache=True)
    assert code == 0, capsys.readouterr().out


def test_a_broken_contract_is_seen(tmp_path: Path) -> None:
    """The check above can fail: forbid an import that is there."""
    config = tmp_path / "pyproject.toml"
    config.write_text(
        '[tool.importlinter]\nroot_package = "halfglass"\n'
        '[[tool.importlinter.contracts]]\nname = "wrong on purpose"\ntype = "forbidden"\n'
        'source_modules = ["halfglass.result"]\nforbidden_modules = ["halfglass.vocabulary"]\n'
    )
    assert lint_imports(config_filename=str(config), no_cache=True) != 0
