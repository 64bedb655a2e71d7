"""The package as a whole: its version, its shipped designs, what it carries."""

from __future__ import annotations

import re
import tomllib
from importlib import metadata
from pathlib import Path

import pytest

import patterns
from patterns import blank, profiles

ROOT = Path(__file__).parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))

SHIPPED = sorted(path.stem for path in (ROOT / "profiles").glob("*.toml"))


def test_the_version_is_told_in_one_place() -> None:
    assert re.fullmatch(r"\d+\.\d+\.\d+", patterns.__version__)
    assert "version" in PROJECT["project"]["dynamic"]
    assert (ROOT / PROJECT["tool"]["hatch"]["version"]["path"]).samefile(patterns.__file__)


def test_the_installed_version_is_this_one() -> None:
    try:
        installed = metadata.version("eyewrap")
    except metadata.PackageNotFoundError:
        pytest.skip("the package is not installed here")
    assert installed == patterns.__version__


def test_the_wheel_is_told_to_carry_the_profiles() -> None:
    (target,) = PROJECT["tool"]["hatch"]["build"]["targets"]["wheel"]["force-include"].items()
    source, inside = target
    assert (ROOT / source).samefile(ROOT / "profiles")
    # the folder that profiles.shelf() looks for beside the modules
    assert inside == "patterns/shelf"
    assert not (ROOT / inside).exists()
    assert profiles.shelf().samefile(ROOT / "profiles")


def test_a_shelf_beside_the_modules_is_used(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "shelf").mkdir()
    (tmp_path / "shelf" / "lath-hatchet.toml").write_text("")
    monkeypatch.setattr(profiles, "__file__", str(tmp_path / "profiles.py"))
    assert list(profiles.shipped()) == ["lath-hatchet"]


def test_there_are_designs_and_all_are_found_by_name() -> None:
    assert len(SHIPPED) >= 3
    assert list(profiles.shipped()) == SHIPPED
    for name in SHIPPED:
        assert profiles.slug(name) == name


@pytest.mark.parametrize("name", SHIPPED)
def test_every_shipped_design_can_be_forged(name: str) -> None:
    profile = profiles.load(name)
    forge = blank.plan(profile.design)
    assert not forge.stopped
    assert profile.design.note
    assert profile.slug == name


def test_the_command_is_declared() -> None:
    module, _, function = PROJECT["project"]["scripts"]["eyewrap"].partition(":")
    assert module == "patterns.cli"
    from patterns import cli

    assert callable(getattr(cli, function))
