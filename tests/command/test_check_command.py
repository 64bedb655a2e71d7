"""``eyewrap check``: verdicts, exit codes, lists, totals, bad input."""

from __future__ import annotations

import json
import math
from pathlib import Path

import ezdxf
import pytest
from running import run

from patterns import cut_set
from patterns.cut_set import CutSet, Item


def plate(file: Path, hole: float = 10.0, units: int = 4, closed: bool = True) -> Path:
    """A plate of 100 x 60 with a hole [mm]."""
    scale = {1: 25.4, 4: 1.0}[units]
    doc = ezdxf.new("R2000", units=units)
    space = doc.modelspace()
    corners = [(x / scale, y / scale) for x, y in ((0, 0), (100, 0), (100, 60), (0, 60))]
    space.add_lwpolyline(corners, close=closed, dxfattribs={"layer": "CUT"})
    space.add_circle((30 / scale, 30 / scale), hole / 2 / scale, dxfattribs={"layer": "CUT"})
    doc.saveas(file)
    return file


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A set of two files with its list."""
    plate(tmp_path / "one.dxf")
    plate(tmp_path / "two.dxf", hole=6.0, units=1)
    items = (
        Item("one.dxf", "Plate one", 3, "laser", 1.5, "sheet"),
        Item("two.dxf", "Plate two", 1, "plasma", 4.7625, "sheet"),
    )
    (tmp_path / cut_set.NAME).write_bytes(cut_set.as_json(CutSet("Trial", "0000", items)))
    return tmp_path


def test_a_good_file_is_fit_and_the_code_is_0(tmp_path: Path) -> None:
    result = run("check", plate(tmp_path / "part.dxf"), "--process", "laser",
                 "--thickness", "16 ga", "--units", "mm")  # fmt: skip
    assert result.code == 0
    assert result.err == ""
    assert "part.dxf: FIT TO CUT" in result.out
    assert "100.00 mm x 60.00 mm" in result.out
    # 320 mm round the plate and 10 pi round the hole
    assert f"{320 + 10 * math.pi:.0f} mm with 2 pierces" in result.out
    # ISO 9013 class 1, over 1 up to 3.15 mm thick: 35 to 125 and 10 to 35 (10 belongs to the upper)
    assert "100.00 mm  ± 0.25 mm" in result.out
    assert " 10.00 mm  ± 0.20 mm" in result.out


def test_a_fault_makes_it_unfit_and_the_code_2(tmp_path: Path) -> None:
    file = plate(tmp_path / "part.dxf", hole=6.0)
    result = run("check", file, "--process", "plasma", "--thickness", "3/16 in", "--units", "mm")
    assert result.code == 2
    assert "NOT FIT TO CUT; 1 fault" in result.out
    assert "a hole of 6.00 mm; the process makes none under 7.14 mm" in result.out
    assert "at x 30.00, y 30.00 mm" in result.out
    assert "change:" in result.out


def test_inches_are_printed_for_inches(tmp_path: Path) -> None:
    result = run("check", plate(tmp_path / "part.dxf", closed=False))
    assert result.code == 2
    assert "3.937 in x 2.362 in" in result.out
    assert "an open contour: the widest gap is 2.362 in" in result.out


def test_a_set_by_its_list_with_totals(folder: Path) -> None:
    result = run("check", folder, "--units", "mm")
    assert result.code == 2
    assert "one.dxf: FIT TO CUT" in result.out
    assert "Plate one, 3 of it" in result.out
    assert "two.dxf: NOT FIT TO CUT" in result.out
    assert "2 files, 4 pieces: NOT FIT TO CUT: two.dxf" in result.out


def test_json_has_all_and_is_the_same_in_any_units(folder: Path) -> None:
    result = run("check", folder, "--json")
    assert result.code == 2
    found = json.loads(result.out)
    assert result.out == run("check", folder, "--json", "--units", "mm").out
    one, two = found["files"]
    assert (one["fit"], two["fit"], found["fit"]) == (True, False, False)
    assert (one["process"], one["thickness"], one["tolerance_class"]) == ("laser", 1.5, 1)
    assert one["area"] == pytest.approx(6000 - 25 * math.pi)
    assert one["mass"] == pytest.approx((6000 - 25 * math.pi) * 1.5 * 7.85e-3)
    assert two["declared_unit"] == "in"
    (finding,) = two["findings"]
    assert (finding["name"], finding["severity"]) == ("hole too small", "fault")
    assert finding["places"] == [{"x": pytest.approx(30.0), "y": pytest.approx(30.0)}]
    assert finding["figures"]["width"] == pytest.approx(6.0)
    assert found["totals"]["cut_length"] == pytest.approx(3 * one["cut_length"] + two["cut_length"])
    assert found["totals"]["mass"] == pytest.approx(3 * one["mass"] + two["mass"])


def test_a_file_takes_its_process_from_the_list_beside_it(folder: Path) -> None:
    assert (
        json.loads(run("check", folder / "one.dxf", "--json").out)["files"][0]["thickness"] == 1.5
    )
    plate(folder / "three.dxf")
    assert (
        json.loads(run("check", folder / "three.dxf", "--json").out)["files"][0]["process"] is None
    )


def test_options_stand_above_the_list(folder: Path) -> None:
    result = run(
        "check", folder / "two.dxf", "--process", "laser", "--thickness", "1.5 mm", "--json"
    )
    assert result.code == 0


def test_a_folder_without_a_list(tmp_path: Path) -> None:
    plate(tmp_path / "a.dxf")
    plate(tmp_path / "b.DXF", closed=False)
    (tmp_path / "notes.txt").write_text("no drawing")
    result = run("check", tmp_path)
    assert result.code == 2
    assert result.out.index("a.dxf: FIT") < result.out.index("b.DXF: NOT FIT")
    assert "notes" not in result.out


def test_layers_by_a_table(tmp_path: Path) -> None:
    doc = ezdxf.new("R2000", units=4)
    doc.modelspace().add_circle((0, 0), 30, dxfattribs={"layer": "EDGE"})
    doc.saveas(tmp_path / "part.dxf")
    (tmp_path / "shop.csv").write_text("what,name,colour\noutside,EDGE,3\ninside,EDGE,3\n")
    assert run("check", tmp_path / "part.dxf").code == 2
    assert run("check", tmp_path / "part.dxf", "--layers", tmp_path / "shop.csv").code == 0


def test_every_fault_of_the_input_at_once(tmp_path: Path) -> None:
    (tmp_path / "empty.dxf").write_bytes(b"")
    (tmp_path / "nothing").mkdir()
    result = run("check", tmp_path / "empty.dxf", tmp_path / "none.dxf", tmp_path / "nothing",
                 "--process", "plasmo", "--thickness", "thick", "--units", "cm",
                 "--layers", tmp_path / "none.csv")  # fmt: skip
    assert result.code == 2
    assert result.out == ""
    assert "7 faults" in result.err
    for words in ("--units", "did you mean plasma?", "--thickness", "an empty file",
                  "No such file", "a folder without a .dxf file", "layers"):  # fmt: skip
        assert words in result.err
    assert "Traceback" not in result.err


def test_a_process_without_a_thickness(folder: Path) -> None:
    plate(folder / "three.dxf")
    result = run("check", folder / "three.dxf", "--process", "laser")
    assert result.code == 2
    assert "--thickness: given nothing" in result.err
    # with a list there is one
    assert run("check", folder / "two.dxf", "--process", "waterjet").code == 0


@pytest.mark.parametrize("thickness", ["0 mm", "-1 mm", "99 in", "nan mm", "1e9 mm", ""])
def test_a_thickness_that_nothing_cuts(thickness: str, tmp_path: Path) -> None:
    file = plate(tmp_path / "part.dxf")
    result = run("check", file, "--process", "laser", f"--thickness={thickness}")
    assert result.code == 2
    assert "--thickness" in result.err
    assert result.out == ""


def test_a_list_with_a_process_or_file_that_is_not_there(folder: Path) -> None:
    items = (
        Item("one.dxf", "Plate one", 1, "flame", 1.5, "sheet"),
        Item("gone.dxf", "Gone", 1, "laser", 1.5, "sheet"),
    )
    (folder / cut_set.NAME).write_bytes(cut_set.as_json(CutSet("Trial", "0000", items)))
    result = run("check", folder)
    assert result.code == 2
    assert "process of one.dxf: given 'flame'" in result.err
    assert "gone.dxf: given No such file" in result.err
