"""The README against the program: its commands, its table of keys, its figures, its files;
and the modules of DEVELOPERS.md against the list that the layers are tested by.

``python tests/test_readme.py`` prints what the README should hold for the table and the summary.
"""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest
from test_layers import LAYERS

from patterns import blank, cli, nest, profiles, report
from patterns.parameters import specs
from patterns.schema import Spec
from patterns.sources import cited

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
ORDER = ROOT / "output" / "examples" / "hearth-hatchet.toml"

PREPARE = (
    "$(command -v sudo) sh -c 'apt-get update && apt-get install -y python3-venv {}' "
    "&& python3 -m venv .venv && .venv/bin/pip install {}"
)
INSTALL = [
    PREPARE.format("libcairo2", ".") + " && .venv/bin/eyewrap draw belt-hatchet",
    PREPARE.format("libcairo2 chromium", "'.[test]'") + " && .venv/bin/python -m pytest",
]


def row(key: str, spec: Spec) -> str:
    """One row of the table: key, label, default, limits, help."""
    default = "*required*" if spec.required else spec.default_text or "none"
    limits = spec.limits("in").split(", written with")[0]
    return f"| `{key}` | {spec.label} | {default} | {limits} | {spec.help} |"


def table() -> list[str]:
    head = ["| key | label | default | limits | help |", "|---|---|---|---|---|"]
    return head + [row(key, spec) for key, spec in specs()]


def summary() -> list[str]:
    return report.summary(blank.plan(profiles.load(str(ORDER)).design), "in")


def commands(text: str) -> list[str]:
    """Every ``eyewrap`` command line in the blocks of shell commands."""
    blocks = re.findall(r"^```sh\n(.*?)^```", text, re.M | re.S)
    return [line for block in blocks for line in block.splitlines() if line.startswith("eyewrap ")]


@pytest.mark.parametrize("line", INSTALL)
def test_install_commands_stand_there_on_one_line(line: str) -> None:
    assert [text.strip() for text in README.splitlines()].count(line) == 1


def test_first_paragraph_then_the_commands() -> None:
    blocks = [block for block in README.split("\n\n") if not block.startswith("#")]
    assert "wrapped-eye" in blocks[0]
    places = [README.index(line) for line in INSTALL]
    assert places == sorted(places)
    assert places[-1] < README.index("\n## ")


@pytest.mark.parametrize(("key", "spec"), list(specs()), ids=[key for key, _ in specs()])
def test_table_has_the_key(key: str, spec: Spec) -> None:
    assert row(key, spec) in README.splitlines(), "python tests/test_readme.py prints the table"


def test_table_has_nothing_else() -> None:
    shown = README.split("<!-- keys:")[1].split("-->\n", 1)[1].split("<!-- end of keys -->")[0]
    assert shown.strip().splitlines() == table()


def test_a_missing_key_would_be_seen() -> None:
    key, spec = specs()[0]
    changed = Spec(spec.kind, spec.label + "s", spec.help, spec.low, spec.high, required=True)
    assert row(key, spec) in README
    assert row(key, changed) not in README
    assert row("name.of", spec) not in README


@pytest.mark.parametrize("line", commands(README))
def test_command_runs(
    line: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """All are cheap enough to run, in a folder of their own; but a nest is searched for in few
    steps, as it is only to run here."""
    monkeypatch.setattr(nest, "_STEPS", (20, 0))
    (tmp_path / ORDER.parent.relative_to(ROOT)).mkdir(parents=True)
    for example in (ORDER, *ORDER.parent.glob("*.csv")):
        shutil.copy(example, tmp_path / example.relative_to(ROOT))
    monkeypatch.chdir(tmp_path)
    for option, maker, what in (
        ("--smith", " learn ", ".toml"), ("--printer ", " printer ", ".toml"),
        ("-to-cut", " template ", "belt-hatchet"),
    ):  # fmt: skip
        if option in line and maker not in line:  # the file that another line writes
            made = next(x for x in commands(README) if maker in x and what in x)
            assert cli.main(shlex.split(made)[1:]) == 0
    if " page" in line:  # it goes on until it is ended
        assert "The page is at http://127.0.0.1:" in opened(line)
        return
    assert cli.main(shlex.split(line)[1:]) == 0
    assert capsys.readouterr().out


def opened(line: str) -> str:
    """What the page's command says first, as a process of its own; the page is then there."""
    arguments = [*shlex.split(line)[1:], "--no-browser", "--port", "0"]
    with subprocess.Popen(
        [sys.executable, "-m", "patterns.cli", *arguments], stdout=subprocess.PIPE, text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": "1"},
    ) as process:  # fmt: skip
        assert process.stdout is not None
        said = process.stdout.readline()
        try:
            with urllib.request.urlopen(said.split()[-1], timeout=30) as page:
                assert b"<title>" in page.read()
        finally:
            process.terminate()
    return said


def test_commands_were_found() -> None:
    kinds = {line.split()[1] for line in commands(README)}
    assert kinds == {
        "draw", "plan", "list", "keys", "predict", "choose", "cut", "learn", "hot", "even",
        "steels", "new", "shelf", "printer", "template", "processes", "check", "nest", "proof",
        "page",
    }  # fmt: skip
    assert commands("```sh\neyewrap x\nls\n```\n```text\neyewrap y\n```\n") == ["eyewrap x"]


def test_files_are_the_files(tmp_path: Path) -> None:
    assert cli.main(["draw", str(ORDER), "--to", str(tmp_path)]) == 0
    written = {path.name for path in tmp_path.iterdir()}
    files = README.split("\n## Files\n")[1].split("\n## ")[0]
    named = re.findall(r"`([\w-]+\.(?:pdf|svg|dxf|json))`", files)
    assert {name.replace("PROFILE", ORDER.stem) for name in named} == written


def test_the_figures_of_the_order_are_what_the_program_says() -> None:
    """Guards against change only: the pictures are to be made anew with the figures."""
    block = README.split("<!-- summary -->\n```text\n")[1].split("```")[0]
    assert block.splitlines() == summary()
    kept = ORDER.with_name("summary.txt").read_text(encoding="utf-8")
    assert kept.splitlines() == summary()


def test_the_quoted_profile_is_the_profile() -> None:
    quoted = README.split("```toml\n")[1].split("```")[0]
    assert quoted in ORDER.read_text(encoding="utf-8")


def test_every_link_leads_somewhere() -> None:
    targets = re.findall(r"\]\(([^)]+)\)", README)
    anchors = {
        "#" + re.sub(r"[^\w -]", "", title).strip().lower().replace(" ", "-")
        for title in re.findall(r"^#+ (.+)$", README, re.M)
    }
    assert len(targets) > 8
    lost = [t for t in targets if t not in anchors and not (ROOT / t).is_file()]
    assert lost == []


def test_pictures_are_small_and_all_are_shown() -> None:
    pictures = sorted(ORDER.parent.glob("*.png"))
    assert len(pictures) > 3
    for picture in pictures:
        assert picture.stat().st_size < 150_000
        assert f"(output/examples/{picture.name})" in README


def test_every_work_is_named() -> None:
    works = {constant.work for constant in cited() if constant.work}
    assert [str(work) for work in works if f"- {work}" not in README] == []
    plain = [constant.name for constant in cited() if constant.work is None]
    assert [name for name in plain if name not in README.replace("\n", " ")] == []


def test_modules_stand_in_order() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    rows = text.split("| module |")[1].split("\n\n")[0].splitlines()[2:]
    named = [re.match(r"\| `([\w/.]+)` \|", line)[1] for line in rows]
    assert [name.replace("/", ".*") for name in named] == LAYERS


if __name__ == "__main__":
    print("\n".join([*table(), "", *summary()]))
