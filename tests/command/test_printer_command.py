"""``eyewrap printer``, and what ``draw`` and ``shelf`` make of papers and a printer's file."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path

import pikepdf
import pypdfium2
import pytest
from running import GOOD, everything, run

from patterns.writers import pdf

MEASURED = ("--level", "7 15/32 in", "--upright", "9 7/8 in")


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    Path("trial.toml").write_text(GOOD, encoding="utf-8")
    return tmp_path


def sizes(path: Path) -> list[list[float]]:
    with pikepdf.open(path) as opened:
        return [[float(v) * 25.4 / 72.0 for v in page.MediaBox][2:] for page in opened.pages]


def fields(text: str) -> list[str]:
    return re.findall(r"^  (\S.*): given", text, re.M)


def test_the_test_page(here: Path) -> None:
    done = run("printer", "Shop Laser")
    assert (done.code, done.err) == (0, "")
    assert "100 %" in done.out
    path = here / "output/printer/shop-laser.pdf"
    assert sizes(path) == [pytest.approx([215.9, 279.4], abs=1e-3)]
    text = pypdfium2.PdfDocument(path)[0].get_textpage().get_text_bounded()
    for said in ("PRINTER TEST PAGE", "7 1/2 in (190.5 mm)", "10 in (254.0 mm)",
                 'eyewrap printer "Shop Laser" --paper letter', "--file "
                 "shop-laser.toml"):  # fmt: skip
        assert said in text
    first = path.read_bytes()
    run("printer", "Shop Laser")
    assert path.read_bytes() == first
    done = run("printer", "shop", "--paper", "A4", "--units", "mm", "--to", "elsewhere")
    assert done.code == 0
    assert sizes(here / "elsewhere/shop.pdf") == [pytest.approx([210.0, 297.0], abs=1e-3)]


def test_the_file_and_the_drawing(here: Path) -> None:
    done = run("printer", "shop laser", *MEASURED, "--file", "laser.toml")
    assert (done.code, done.err) == (0, "")
    held = tomllib.loads(Path("laser.toml").read_text(encoding="utf-8"))
    assert held["printer"] == {"name": "shop laser", "paper": "letter"}
    assert held["level"] == {"drawn": "7.5 in", "measured": "7 15/32 in"}
    assert held["upright"] == {"drawn": "10 in", "measured": "9 7/8 in"}
    # by hand: 7.5 / 7.46875 = 1.004184, 10 / 9.875 = 1.012658
    for words in ("x 1.0042", "x 1.0127", "1.25 % short"):
        assert words in done.out
    assert run("draw", "trial.toml", "--to", "plain").code == 0
    done = run("draw", "trial.toml", "--to", "true", "--printer", "laser.toml")
    assert done.code == 0
    assert "Corrected for shop laser" in done.out
    assert "PDF alone" in done.out
    for size in sizes(here / "true/trial.pdf"):
        assert size == pytest.approx([215.9, 279.4], abs=1e-3)
    document = pypdfium2.PdfDocument(here / "true/trial.pdf")
    for page in document:
        said = "".join(page.get_textpage().get_text_bounded().split())
        assert "levelx1.0042,uprightx1.0127" in said
    # everything but the PDF is as without
    plain, corrected = everything(here / "plain"), everything(here / "true")
    assert {name for name in plain if plain[name] != corrected[name]} == {"trial.pdf"}
    assert set(plain) == set(corrected)
    assert json.loads((here / "true/plan.json").read_text(encoding="utf-8"))


def test_the_paper_that_was_measured_is_the_one_that_is_drawn_on(here: Path) -> None:
    given = ("--level", "179 mm", "--upright", "268 mm")
    assert run("printer", "mill", "--paper", "a4", *given, "--file", "mill.toml").code == 0
    assert run("draw", "trial.toml", "--to", "out", "--printer", "mill.toml").code == 0
    for size in sizes(here / "out/trial.pdf"):
        assert size == pytest.approx([210.0, 297.0], abs=1e-3)
    before = everything(here)
    done = run("draw", "trial.toml", "--to", "out", "--printer", "mill.toml", "--paper", "letter")
    assert (done.code, fields(done.err)) == (2, ["--paper"])
    assert "a4, which mill was measured on" in done.err
    assert everything(here) == before
    again = run("draw", "trial.toml", "--printer", "mill.toml", "--margin", "1/2 in")
    assert again.code == 0  # another margin is the same paper


def test_a_leaning_print_is_a_doubt_and_no_fault(here: Path) -> None:
    given = (*MEASURED, "--rising", "12 7/16 in", "--falling", "12 5/16 in")
    done = run("printer", "laser", *given, "--file", "laser.toml")
    assert done.code == 0
    assert "Doubt" in done.out
    assert "out of square by" in " ".join(done.out.split())
    done = run("draw", "trial.toml", "--to", "out", "--printer", "laser.toml")
    assert "Doubt: skew" in done.out
    given = (*MEASURED, "--rising", "12 3/8 in", "--falling", "12 3/8 in")
    done = run("printer", "laser", *given, "--file", "laser.toml")
    assert "Square" in done.out
    assert "Doubt" not in done.out


@pytest.mark.parametrize(
    ("arguments", "named"),
    [
        (["shop", "--paper", "foolscap"], ["--paper"]),
        (["shop", "--paper", "5x7in"], ["--paper"]),
        (["shop", "--paper", "8x8in"], ["--paper"]),
        (["  "], ["NAME"]),
        (["x" * 41], ["NAME"]),
        (["斧"], ["NAME"]),
        (["shop", "--to", " "], ["--to"]),
        (["shop", "--units", "ft", "--paper", "x"], ["--units", "--paper"]),
        (["shop", "--level", "7.5 in"], ["--file", "--upright"]),
        (["shop", "--rising", "12 in"], ["--file", "--level", "--upright"]),
        (["shop", "--file", "new.toml"], ["--level", "--upright"]),
        (["shop", *MEASURED], ["--file"]),
        (["shop", *MEASURED, "--file", "trial.toml"], ["--file"]),
        (["shop", *MEASURED, "--file", "no/where.toml"], ["--file"]),
        (["shop", *MEASURED, "--file", ""], ["--file"]),
        (["shop", *MEASURED, "--file", "new.toml", "--to", "out"], ["--to"]),
        (["shop", "--level", "7 in", "--upright", "10 in", "--file", "new.toml"], ["--level"]),
        (["shop", "--level", "7.5", "--upright", "11 in", "--file", "trial.toml", "--paper", "a4"],
         ["--file", "--level", "--upright"]),
    ],
)  # fmt: skip
def test_faults(here: Path, arguments: list[str], named: list[str]) -> None:
    before = everything(here)
    done = run("printer", *arguments)
    assert (done.code, done.out) == (2, "")
    assert fields(done.err) == named
    assert everything(here) == before
    assert "Traceback" not in done.err


def test_what_is_scaled_to_fit_is_refused_and_told_what_to_look_for(here: Path) -> None:
    given = ("--level", "7 1/8 in", "--upright", "9 1/2 in")
    done = run("printer", "shop", *given, "--file", "shop.toml")
    assert done.code == 2
    assert done.err.count("fit to page") == 2
    assert not Path("shop.toml").exists()


def test_only_a_printers_file_is_written_over(here: Path) -> None:
    assert run("printer", "a", *MEASURED, "--file", "a.toml").code == 0
    given = ("--level", "7 1/2 in", "--upright", "10 in")
    assert run("printer", "a", *given, "--file", "a.toml").code == 0
    assert 'measured = "10 in"' in Path("a.toml").read_text(encoding="utf-8")
    # one that a hand has spoilt may be written anew
    spoilt = Path("a.toml").read_text(encoding="utf-8").replace('"10 in"', '"12 in"')
    Path("a.toml").write_text(spoilt, encoding="utf-8")
    assert run("draw", "tomahawk", "--printer", "a.toml").code == 2
    assert run("printer", "a", *MEASURED, "--file", "a.toml").code == 0
    for name in ("notes.txt", "folder"):
        path = Path(name)
        path.write_text("mine") if "." in name else path.mkdir()
        done = run("printer", "a", *MEASURED, "--file", name)
        assert (done.code, fields(done.err)) == (2, ["--file"])
    assert Path("notes.txt").read_text() == "mine"


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("[", ["--printer"]),
        ("", ["--printer"]),
        ('name = "A hatchet"\n[eye]\nform = "circle"\n', ["--printer"]),
        ('[printer]\nname="日本"\npaper="letter"\n[level]\ndrawn="100 in"\nmeasured="100 in"\n'
         '[upright]\ndrawn="10 in"\nmeasured="10 in"\n',
         ["--printer, level.drawn", "--printer, printer.name"]),
        ('[printer]\nname="a"\npaper="b9"\n[level]\ndrawn="7.5 in"\nmeasured="7 in"\n[upright]\n'
         'drawn="10 in"\nmeasured=10\n', ["--printer, upright.measured",
         "--printer, level.measured", "--printer, printer.paper"]),
    ],
)  # fmt: skip
def test_faults_of_a_printers_file(here: Path, text: str, named: list[str]) -> None:
    Path("p.toml").write_text(text, encoding="utf-8")
    before = everything(here)
    done = run("draw", "trial.toml", "--printer", "p.toml")
    assert (done.code, done.out) == (2, "")
    assert sorted(fields(done.err)) == sorted(named)
    assert everything(here) == before


@pytest.mark.parametrize(
    ("arguments", "named"),
    [
        (["--paper", "4x6in"], ["--paper"]),
        (["--paper", "999in"], ["--paper"]),
        (["--margin", "5 in"], ["--margin"]),
        (["--margin", "-1 mm", "--overlap", "1 m"], ["--margin", "--overlap"]),
        (["--overlap", "7 in"], ["--overlap"]),
        (["--paper", "quarto", "--margin", "?", "--printer", "none.toml"],
         ["--printer", "--paper", "--margin"]),
    ],
)  # fmt: skip
def test_bad_papers_are_told_at_once(here: Path, arguments: list[str], named: list[str]) -> None:
    before = everything(here)
    for units in ("in", "mm"):
        done = run("draw", "trial.toml", "--units", units, *arguments)
        assert (done.code, done.out) == (2, "")
        assert fields(done.err) == named
    assert everything(here) == before


def test_rolls_and_sizes_of_ones_own(here: Path) -> None:
    assert run("draw", "trial.toml", "--paper", "36in", "--to", "roll").code == 0
    for size in sizes(here / "roll/trial.pdf"):
        assert any(side == pytest.approx(914.4, abs=1e-3) for side in size)
    given = ("--paper", "18 x 24in", "--margin", "1/2 in", "--overlap", "20 mm")
    assert run("draw", "trial.toml", *given, "--to", "own").code == 0
    for size in sizes(here / "own/trial.pdf"):
        assert sorted(size) == pytest.approx([457.2, 609.6], abs=1e-3)
    assert run("shelf", "trial.toml", "--paper", "24in", "--to", "shelf").code == 0
    ((wide, high),) = sizes(here / "shelf/shelf-1-to-4.pdf")
    assert wide == pytest.approx(609.6, abs=1e-3)
    assert high < 300.0
    given = ("--paper", "A3", "--margin", "20 mm")
    assert run("shelf", "trial.toml", *given, "--to", "shelf").code == 0


def test_without_cairo_there_is_no_test_page(here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def none(*_: object) -> bytes:
        raise pdf.MissingLibraryError("no cairo here")

    monkeypatch.setattr(pdf, "write", none)
    before = everything(here)
    done = run("printer", "shop")
    assert done.code == 1
    assert "no cairo here" in done.err
    assert everything(here) == before


def test_the_examples_of_the_help(here: Path) -> None:
    import shlex

    text = run("printer", "--help").out
    examples = re.findall(r"^ +eyewrap (.+)$", text, re.M)
    assert len(examples) == 3
    for line in examples:
        assert run(*shlex.split(line)).code == 0
