"""``--handle`` and ``--length``: what they stand for, and whom a bad value is laid to."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from running import run

from patterns.sheets import EVERYDAY


def drawn(folder: Path, *arguments: str) -> tuple[set[str], dict[str, object]]:
    result = run("draw", "belt-hatchet", "--to", folder, *arguments)
    assert result.code == 0, result.text
    files = {path.name for path in folder.iterdir()}
    return files, json.loads((folder / "plan.json").read_text(encoding="utf-8"))


def test_they_stand_for_set(tmp_path: Path) -> None:
    """The same revision and the same drawing as by --set, which they come after."""
    short = ("--handle", "curved", "--length", "19 in")
    files, plan = drawn(tmp_path / "a", *short, "--set", "handle.length=20 in")
    named, other = drawn(
        tmp_path / "b", "--set", "handle.form=curved", "--set", "handle.length=19 in",
        "--sheets", ",".join([*EVERYDAY, "handle"]),
    )  # fmt: skip
    assert plan == other
    assert {name for name in named if "figures" not in name} == set(files)
    (outline,) = (name for name in files if name.endswith("-handle-outline.svg"))
    texts = [(tmp_path / folder / outline).read_text(encoding="utf-8") for folder in "ab"]
    assert texts[0] == texts[1]


def test_the_handles_sheet_comes_with_them(tmp_path: Path) -> None:
    def handles(*arguments: str) -> bool:
        files, _ = drawn(tmp_path / "-".join(["x", *arguments]).replace(" ", ""), *arguments)
        return any("handle" in name for name in files)

    assert not handles()
    assert handles("--length", "16 in")
    assert handles("--handle", "straight")
    assert not handles("--handle", "straight", "--sheets", "bit")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--handle", "bent"), ("--handle", "straight, curved")),
        (("--handle", ""), ("--handle", "straight, curved")),
        (("--length", "19"), ("--length", "in")),
        (("--length", "4 in"), ("--length", "in")),
        (("--length", "3 m"), ("--length", "mm")),
        (("--length", " "), ("--length", "mm")),
        (("--length", "6 in"), ("--length", "at least")),
    ],
)
def test_a_bad_value_names_its_option(
    tmp_path: Path, arguments: tuple[str, str], words: tuple[str, ...]
) -> None:
    result = run("draw", "camp-axe", "--to", tmp_path / "set", *arguments)
    assert result.code == 2
    assert all(word in result.err for word in words)
    assert "handle." not in result.err
    assert not (tmp_path / "set").exists()


def test_a_bad_value_of_the_key_names_the_key(tmp_path: Path) -> None:
    result = run("draw", "camp-axe", "--to", tmp_path / "set", "--set", "handle.form=bent")
    assert result.code == 2
    assert "handle.form" in result.err
    assert "--handle" not in result.err


def test_all_faults_at_once(tmp_path: Path) -> None:
    result = run("draw", "camp-axe", "--to", tmp_path / "set", "--handle", "bent",
                 "--length", "", "--sheets", "no-such")  # fmt: skip
    assert result.code == 2
    assert all(option in result.err for option in ("--handle", "--length", "--sheets"))
