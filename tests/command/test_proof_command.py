"""``eyewrap proof``: a file or a set proved, at true size; faults named, and nothing written."""

from __future__ import annotations

import re
from pathlib import Path

import ezdxf
import pypdfium2
import pytest
from running import everything, run

from patterns.contour import Contour
from patterns.cut_set import NAME, CutSet, Item, as_json
from patterns.drawing import Drawing, Purpose, Stroke
from patterns.writers import dxf

PLATE = (Contour.rectangle(0, 0, 70, 40), Contour.circle(50, 20, 6).reversed())
SLOTTED = Contour.polygon(
    [(0, 0), (60, 0), (60, 30), (31, 30), (31, 10), (30, 10), (30, 30), (0, 30)]
)


def write(folder: Path, name: str, *contours: Contour) -> Path:
    strokes = tuple(Stroke(contour, Purpose.CUT) for contour in contours or PLATE)
    path = folder / name
    path.write_bytes(dxf.write(Drawing(path.stem, "Plate", strokes), path.stem[-2:]))
    return path


PLASMA = ("--process", "plasma", "--thickness", "3/16 in")


def test_a_file(tmp_path: Path) -> None:
    path = write(tmp_path, "plate-in.dxf")
    done = run("proof", path, *PLASMA, "--to", tmp_path / "proofs")
    assert done.code == 0
    assert "1 outline, 1 hole." in done.out
    assert "2 pierces" in done.out
    assert sorted(everything(tmp_path / "proofs")) == ["plate-in-proof.pdf", "plate-in-proof.svg"]
    pdf = pypdfium2.PdfDocument(tmp_path / "proofs" / "plate-in-proof.pdf")
    assert sorted(pdf[0].get_size()) == pytest.approx([612.0, 792.0], abs=0.1)
    text = pdf[0].get_textpage().get_text_range()
    assert "PROOF" in text
    assert "plate-in.dxf" in text


def test_it_lies_beside_the_file_if_nothing_else_is_said(tmp_path: Path) -> None:
    path = write(tmp_path, "plate-mm.dxf")
    assert run("proof", path, "--kerf", "0.2 mm", "--no-pdf", "--units", "mm").code == 0
    assert sorted(everything(tmp_path)) == ["plate-mm-proof.svg", "plate-mm.dxf"]


@pytest.mark.parametrize("units", ["in", "mm"])
def test_the_size_is_true_whatever_the_unit(tmp_path: Path, units: str) -> None:
    """The black round the plate: its outline's own vertices in the SVG, in mm."""
    path = write(tmp_path, f"plate-{units}.dxf")
    run("proof", path, "--kerf", "1 mm", "--no-pdf")
    text = (tmp_path / f"plate-{units}-proof.svg").read_text()
    art = text[text.index('id="art"') :]
    cut = art[art.index('id="cut"') :]
    corners = re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", cut[: cut.index("</g>")])
    xs = sorted({round(float(x), 3) for x, _ in corners})
    # edges of the part 70 apart, and a kerf outside each
    assert xs[-1] - xs[0] == pytest.approx(72.0, abs=1e-3)
    assert any(abs(b - a - 70.0) < 1e-3 for a in xs for b in xs)


def test_a_set(tmp_path: Path) -> None:
    """Each by its own process and kerf; one allows for its kerf already."""
    for name in ("plate-in.dxf", "other-in.dxf"):
        write(tmp_path, name)
    items = (
        Item("plate-in.dxf", "Plate", 1, "plasma", 4.7625, "sheet"),
        Item("other-in.dxf", "Other", 2, "laser", 1.5, "sheet", kerf=0.3),
    )
    (tmp_path / NAME).write_bytes(as_json(CutSet("Trial", "1", items)))
    for given in (tmp_path, tmp_path / NAME):
        done = run("proof", given, "--to", tmp_path / "proofs", "--units", "mm")
        assert done.code == 0
        assert len(everything(tmp_path / "proofs")) == 4
    text = (tmp_path / "proofs" / "other-in-proof.svg").read_text()
    assert "0.30 mm" in text
    assert "on the line" in text
    assert "on the line" not in (tmp_path / "proofs" / "plate-in-proof.svg").read_text()


def test_what_cannot_be_cut_stops_the_work(tmp_path: Path) -> None:
    path = write(tmp_path, "slot-in.dxf", SLOTTED)
    done = run("proof", path, "--kerf", "1.6 mm", "--units", "mm", "--no-pdf")
    assert done.code == 1
    assert "cannot be made" in done.err
    assert "1.00 mm wide" in done.err
    assert (tmp_path / "slot-in-proof.svg").exists()
    assert run("proof", path, "--kerf", "0.9 mm", "--no-pdf").code == 0


def test_many_sheets_are_told(tmp_path: Path) -> None:
    path = write(tmp_path, "sheet-in.dxf", Contour.rectangle(0, 0, 1200, 1000))
    done = run("proof", path, "--kerf", "1.6 mm")
    assert done.code == 0
    assert re.search(r"\d\d sheets of letter: a roll takes fewer", done.out)
    pages = len(pypdfium2.PdfDocument(tmp_path / "sheet-in-proof.pdf"))
    assert f"{pages} sheets" in done.out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((), "--process: given nothing"),
        (("--process", "plasma"), "--thickness: given nothing"),
        (("--thickness", "3/16 in"), "--process: given nothing"),
        (("--process", "axe", "--thickness", "3/16 in"), "--process: given 'axe'"),
        (("--process", "plasma", "--thickness", "0 in"), "--thickness"),
        (("--process", "plasma", "--thickness", "thick"), "--thickness: given 'thick'"),
        (("--kerf", "0 mm"), "--kerf: given '0 mm'"),
        (("--kerf", "wide"), "--kerf: given 'wide'"),
        (("--kerf", "1 ft"), "--kerf"),
        (("--kerf", "1 mm", "--paper", "napkin"), "--paper"),
        (("--kerf", "1 mm", "--to", " "), "--to"),
        (("--kerf", "1 mm", "--units", "ft"), "--units"),
        (("--kerf", "1 mm", "--layers", "none.csv"), "none.csv"),
    ],
)
def test_what_is_at_fault(tmp_path: Path, arguments: tuple[str, ...], said: str) -> None:
    path = write(tmp_path, "plate-in.dxf")
    before = everything(tmp_path)
    done = run("proof", path, *arguments)
    assert done.code == 2
    assert said in done.err
    assert "Traceback" not in done.text
    assert everything(tmp_path) == before


def test_every_fault_at_once(tmp_path: Path) -> None:
    done = run("proof", tmp_path / "none.dxf", "--process", "axe", "--thickness", "thin",
               "--units", "ft", "--paper", "napkin", "--to", "")  # fmt: skip
    assert done.code == 2
    for option in ("--units", "--paper", "--to", "--thickness", str(tmp_path / "none.dxf")):
        assert f"{option}: given" in done.err


@pytest.mark.parametrize("content", [b"", b"no drawing\n", bytes(range(256)) * 20, b"0\nSECTION\n"])
def test_no_such_file(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "odd-in.dxf"
    path.write_bytes(content)
    for given in (path, tmp_path / "nowhere.dxf"):
        done = run("proof", given, "--kerf", "1 mm")
        assert done.code == 2
        assert given.name in done.err
    assert sorted(everything(tmp_path)) == ["odd-in.dxf"]


def test_a_set_at_fault(tmp_path: Path) -> None:
    done = run("proof", tmp_path)
    assert done.code == 2
    items = (
        Item("gone-in.dxf", "Gone", 1, "plasma", 4.7625, "sheet"),
        Item("plate-in.dxf", "Plate", 1, "lasso", 1.5, "sheet"),
    )
    (tmp_path / NAME).write_bytes(as_json(CutSet("Trial", "1", items)))
    before = everything(tmp_path)
    done = run("proof", tmp_path)
    assert done.code == 2
    for word in ("lasso", "process of plate-in.dxf", "gone-in.dxf"):
        assert word in done.err
    assert everything(tmp_path) == before


def test_a_file_with_nothing_in_it(tmp_path: Path) -> None:
    import ezdxf

    empty = ezdxf.new("R2000", units=4)
    empty.saveas(tmp_path / "empty-mm.dxf")
    done = run("proof", tmp_path / "empty-mm.dxf", "--kerf", "1 mm")
    assert done.code == 2
    assert "nothing to cut or to mark" in done.err


def test_contours_that_hold_nothing_or_cross_themselves_are_drawn_and_told(tmp_path: Path) -> None:
    doc = ezdxf.new("R2000", units=4)
    space, layer = doc.modelspace(), {"layer": "CUT"}
    space.add_lwpolyline([(0, 0), (80, 0), (80, 50), (0, 50)], close=True, dxfattribs=layer)
    space.add_circle((20, 20), 0, dxfattribs=layer)
    space.add_lwpolyline([(40, 10), (70, 10)], close=True, dxfattribs=layer)
    space.add_lwpolyline([(30, 20), (70, 40), (70, 20), (30, 40)], close=True, dxfattribs=layer)
    space.add_circle((60, 30), 2, dxfattribs=layer)
    path = tmp_path / "plate.dxf"
    doc.saveas(path)
    done = run("proof", path, "--kerf", "1 mm", "--to", tmp_path)
    assert done.code == 1, done.text
    assert done.err.count("cannot be made") == 3
    assert (tmp_path / "plate-proof.svg").exists()
