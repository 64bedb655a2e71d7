"""``eyewrap draw --sheets``: which sheets are made, their names, their faults; contents."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pypdfium2
import pytest
from running import ROOT, run, shell

from patterns.build import NAMES
from patterns.sheets import EVERYDAY, SHEETS


def text_of(pdf: Path, number: int) -> str:
    page = pypdfium2.PdfDocument(pdf)[number]
    return str(page.get_textpage().get_text_range())


def test_all_sheets_with_contents_in_front(tmp_path: Path) -> None:
    arguments = ("--sheets", "all", "--to", tmp_path, "--card", "txt")
    done = shell("draw", "tomahawk", *arguments, cwd=tmp_path)
    assert (done.code, done.err) == (0, "")
    names = sorted(path.name for path in tmp_path.iterdir())
    for number, sheet in enumerate(SHEETS, 1):
        assert any(name.startswith(f"{number}-{sheet.NAME}") for name in names), sheet.NAME
    assert "0-contents.svg" in names
    assert "card.txt" in names
    pdf = tmp_path / "tomahawk.pdf"
    # what the contents say of a page is what stands on it
    contents = " ".join(text_of(pdf, 0).split())
    for title in ("Head: finished, to lay the iron against", "Log: to fill in at the anvil"):
        page = int(re.search(rf"{re.escape(title)} (\d+)", contents)[1])  # type: ignore[index]
        assert title in text_of(pdf, page - 1)
        assert title not in text_of(pdf, page)
    assert "CONTENTS" not in text_of(pdf, 1)


def test_chosen_sheets_keep_their_numbers(tmp_path: Path) -> None:
    done = run("draw", "tomahawk", "--sheets", "Log, eye", "--to", tmp_path)
    assert done.code == 0
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        "5-eye.svg", "7-log.svg", "plan.json", "tomahawk.pdf",
    ]  # fmt: skip
    assert len(pypdfium2.PdfDocument(tmp_path / "tomahawk.pdf")) == 2


def test_a_card_by_name_brings_the_figures(tmp_path: Path) -> None:
    assert run("draw", "tomahawk", "--sheets", "card", "--to", tmp_path).code == 0
    names = {path.name for path in tmp_path.iterdir()}
    assert any(name.startswith("9-figures") for name in names)


def test_the_everyday_sheets_are_sheets() -> None:
    assert set(EVERYDAY) <= set(NAMES)
    assert len(set(NAMES)) == len(NAMES) == len(SHEETS) + 1


@pytest.mark.parametrize("given", ["stagess", "all,eye", "", "blank,,bit", "stages;gauges", "7"])
def test_unknown_sheets_are_named(given: str, tmp_path: Path) -> None:
    done = run(
        "draw",
        "tomahawk",
        "--sheets",
        given,
        "--to",
        tmp_path / "set",
        "--card",
        "pdf",
    )
    assert done.code == 2
    assert "--sheets" in done.err
    assert "--card" in done.err  # every fault at once
    assert "Traceback" not in done.err
    assert not (tmp_path / "set").exists()
    if given == "stagess":
        assert "did you mean stages?" in done.err


def test_a_terminal_is_told_what_is_made_and_a_file_is_not(tmp_path: Path) -> None:
    """Standard error on a terminal of its own; then on none."""
    pty = pytest.importorskip("pty")
    ours, theirs = pty.openpty()
    command = [sys.executable, "-m", "patterns.cli", "draw", "tomahawk", "--sheets", "all"]
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "TERM": "xterm-256color"}
    with subprocess.Popen(
        [*command, "--to", str(tmp_path / "a")], stdout=subprocess.PIPE, stderr=theirs,
        cwd=tmp_path, env=environment,
    ) as child:  # fmt: skip
        os.close(theirs)
        told = b""
        while True:
            try:
                told += (got := os.read(ours, 65536))
            except OSError:  # the other end is closed
                break
            if not got:
                break
        assert child.wait() == 0
    os.close(ours)
    assert b"0:00:0" in told  # how long it has taken
    assert any(word in told for word in (b"Stage", b"Gauge", b"Drift", b".svg", b".pdf"))
    silent = run("draw", "tomahawk", "--sheets", "all", "--to", tmp_path / "b")
    assert (silent.code, silent.err) == (0, "")


def test_sheets_of_another_revision_are_put_aside(tmp_path: Path) -> None:
    """What the first run drew and the second did not, and nothing else that lies in the folder."""
    folder = tmp_path / "set"
    assert run("draw", "tomahawk", "--to", folder, "--card", "md").code == 0
    before = {path.name for path in folder.iterdir()}
    (folder / "1-photo.svg").write_text("mine")
    (folder / "mine-in.dxf").write_text("mine")
    again = run("draw", "tomahawk", "--sheets", "eye", "--to", folder)
    assert (again.code, again.err) == (0, "")  # of the same revision: nothing to say
    other = ("--set", "bit.tip=3/64 in", "--sheets", "eye", "--to", folder)
    done = run("draw", "tomahawk", *other)
    assert done.code == 0
    now = {path.name for path in folder.iterdir()}
    anew = {"5-eye.svg", "plan.json", "tomahawk.pdf"}
    stale = before - anew
    assert now == anew | {"1-photo.svg", "mine-in.dxf"} | {
        "-earlier.".join(name.rsplit(".", 1)) for name in stale
    }
    assert all("-earlier.".join(name.rsplit(".", 1)) in done.err for name in stale)
    # what is put aside already stays as it is
    third = ("--set", "bit.tip=1/16 in", "--sheets", "eye", "--to", folder)
    assert run("draw", "tomahawk", *third).code == 0
    assert {path.name for path in folder.iterdir()} == now


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize(
    ("given", "pattern"),
    [
        (("--overlap", "1 mm"), r"allowed: +(.+?) \(.* or more"),
        (("--margin", "1 mm"), r"allowed: +(.+?) \(.* or more"),
        (("--margin", "9 in"), r" to (.+?) \("),
        (("--overlap", "9 in"), r" to (.+?) \("),
    ],
)
def test_a_limit_may_be_typed_back(
    given: tuple[str, str], pattern: str, units: str, tmp_path: Path
) -> None:
    """What a message says is allowed is allowed."""
    here = ("draw", "tomahawk", "--sheets", "eye", "--units", units, "--to", tmp_path / "set")
    done = run(*here, *given)
    assert done.code == 2
    limit = re.search(pattern, done.err)
    assert limit is not None, done.err
    assert run(*here, given[0], limit[1]).code == 0, limit[1]


def test_margin_and_overlap_are_found_together(tmp_path: Path) -> None:
    done = run("draw", "tomahawk", "--margin", "6in", "--overlap", "12in")
    assert done.code == 2
    assert "--margin" in done.err
    assert "--overlap" in done.err
    bare = run("draw", "tomahawk", "--paper", "18 x 24")
    assert "put its unit behind it" in bare.err
