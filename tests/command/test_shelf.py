"""``eyewrap shelf``: what it writes, what it says, how it ends."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

import pypdfium2
import pytest
from running import GOOD, everything, run

from patterns.head import finish
from patterns.profiles import load, shipped
from patterns.writers import pdf

NAMES = ["shelf-1-to-4.pdf", "shelf-1-to-4.svg"]


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def words(path: Path) -> list[str]:
    document = pypdfium2.PdfDocument(path)
    return [page.get_textpage().get_text_bounded() for page in document]


def test_all_that_are_shipped_are_pictured(here: Path) -> None:
    done = run("shelf")
    assert (done.code, done.err) == (0, "")
    assert [name for name in everything(here) if name.endswith(("svg", "pdf"))] == [
        f"output/shelf/{name}" for name in NAMES
    ]
    assert f"{len(shipped())} heads at 1 : 4" in done.out
    text = "\n".join(words(here / "output/shelf" / NAMES[0]))
    for name in shipped():
        form = load(name).design.fold.form
        assert re.search(rf"^{name}; fold: {form}\s*$", text, re.M), name


def test_every_page_says_that_it_is_no_pattern(here: Path) -> None:
    Path("trial.toml").write_text(GOOD, encoding="utf-8")
    for i in range(20):
        Path(f"trial-{i}.toml").write_text(GOOD.replace("Trial", f"Trial {i}"), encoding="utf-8")
    done = run("shelf", *(f"trial-{i}.toml" for i in range(20)), "--to", "out", "--paper", "a4")
    assert done.code == 0
    pages = words(here / "out" / NAMES[0])
    assert len(pages) > 1
    assert f"on {len(pages)} sheets" in done.out
    for number, page in enumerate(pages, 1):
        for said in ("HEADS AT 1 : 4", "not patterns: lay no iron against them", "not full size",
                     "8 in of head, 1 : 4", "200 mm of head, 1 : 4", "the heads are not",
                     f"{number} of {len(pages)}"):  # fmt: skip
            assert said in page, said
        assert "actual size" not in page
    text = "\n".join(pages)
    assert [text.count(f"\nTrial {i} hatchet") for i in range(20)] == [1] * 20


def test_the_svg_is_at_true_scale_too(here: Path) -> None:
    run("shelf", "belt-hatchet", "--to", "out")
    root = ElementTree.parse(here / "out" / NAMES[1]).getroot()
    width, height = (float(root.get(side).removesuffix("mm")) for side in ("width", "height"))
    assert [float(x) for x in root.get("viewBox").split()] == [0.0, 0.0, width, height]


def test_own_profiles_paper_units_and_date(here: Path) -> None:
    Path("Trial Axe.toml").write_text(GOOD, encoding="utf-8")
    done = run("shelf", "Trial Axe.toml", "camp-axe", "--units", "mm", "--paper", "A3", "--date")
    assert done.code == 0
    document = pypdfium2.PdfDocument(here / "output/shelf" / NAMES[0])
    size = sorted(side / 72.0 * 25.4 for side in document[0].get_size())
    assert size == pytest.approx([297.0, 420.0], abs=0.2)
    (text,) = words(here / "output/shelf" / NAMES[0])
    assert "trial-axe" in text
    assert "camp-axe" in text
    grams = finish(load("camp-axe").design).mass
    assert re.search(rf"^{grams:.0f} g, bar", text, re.M)
    assert re.search(r"20\d\d-\d\d-\d\d", text)


def test_the_same_input_gives_the_same_bytes(here: Path) -> None:
    run("shelf", "--to", "one")
    run("shelf", "--to", "two")
    one, two = (everything(here / name) for name in ("one", "two"))
    assert one == two


@pytest.mark.parametrize(
    ("arguments", "fields"),
    [
        (["nothing"], ["nothing, profile"]),
        (["--paper", "a9"], ["--paper"]),
        (["--to", " "], ["--to"]),
        (["--units", "cm"], ["--units"]),
        (["bad.toml", "worse.toml", "camp-axe", "--units", "cm", "--paper", "a9"],
         ["--units", "--paper", "bad.toml, wall.thickness", "worse.toml, profile"]),
        ([f"{i}.toml" for i in range(61)], ["PROFILE"]),
    ],
)  # fmt: skip
def test_faults_are_told_at_once_and_nothing_is_written(
    here: Path, arguments: list[str], fields: list[str]
) -> None:
    Path("bad.toml").write_text(GOOD.replace('"3/16 in"\n', '"9 in"\n', 1), encoding="utf-8")
    Path("worse.toml").write_text("[", encoding="utf-8")
    before = everything(here)
    done = run("shelf", *arguments)
    assert (done.code, done.out) == (2, "")
    assert re.findall(r"^  (\S.*): given", done.err, re.M)[: len(fields)] == fields
    assert everything(here) == before


def test_without_cairo_the_picture_is_still_made(
    here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    run("shelf", "--to", "out")

    def none(*_: object) -> bytes:
        raise pdf.MissingLibraryError("no cairo here")

    monkeypatch.setattr(pdf, "write", none)
    done = run("shelf", "--to", "out")
    assert done.code == 1
    assert "no cairo here" in done.err
    assert sorted(everything(here / "out")) == ["shelf-1-to-4-earlier.pdf", NAMES[1]]
