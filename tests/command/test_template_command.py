"""``eyewrap template`` as it is run: what it writes, what it refuses, what it leaves alone."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pyogrio
import pytest
import shapely
from cases import FOLDED, dealt
from running import everything, run, shell

from patterns import blank, cut_set, profiles
from patterns.cut_set import CutSet, Item
from patterns.errors import BadInputError
from patterns.layers import Layer, Layers
from patterns.templates import NAMES, USUAL


@pytest.fixture(autouse=True)
def _fine_arcs() -> Iterator[None]:
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": "0.1"})
    yield
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": None})


def largest(path: Path) -> shapely.Polygon:
    """The largest closed ring of a file, as GDAL reads it, in the file's unit."""
    shapes = shapely.from_wkb(pyogrio.raw.read(path)[2])
    rings = [shapely.Polygon(shape.coords) for shape in shapes if shape.is_closed]
    return max(rings, key=lambda ring: ring.area)


def test_a_set_for_a_laser(tmp_path: Path) -> None:
    to = tmp_path / "set"
    done = run("template", "belt-hatchet", "--to", to)
    assert done.code == 0, done.text
    names = {path.name for path in to.iterdir()}
    files = {name for name in names if name.endswith(".dxf")}
    assert names - files == {"parts.json", "for-the-cutter.txt"}
    assert {name.removesuffix("-in.dxf").rstrip("-123") for name in files} == set(USUAL) - {"plate"}
    found = cut_set.load(to)
    assert {item.file for item in found.items} == files
    assert run("check", to).code == 0
    note = (to / "for-the-cutter.txt").read_text()
    assert all(name in note for name in files)
    assert "Nominal: offset your kerf" in note
    assert "ISO 9013, class 1" in note


@pytest.mark.parametrize(
    ("name", "units"), dealt(list(profiles.shipped()), ["in", "mm"], 1, whole=FOLDED[:2])
)
def test_files_of_all_shipped_profiles_are_of_true_size(
    name: str, units: str, tmp_path: Path
) -> None:
    """By GDAL: blank as long as the cut and as wide as the bar, the head as long as the head."""
    assert run("template", name, "--units", units, "--to", tmp_path / "set").code == 0
    plan = blank.plan(profiles.load(name).design)
    scale = 1.0 if units == "mm" else 25.4
    left, bottom, right, top = largest(tmp_path / f"set/blank-{units}.dxf").bounds
    assert (right - left) * scale == pytest.approx(plan.cut_length, abs=1e-3)
    assert (top - bottom) * scale == pytest.approx(plan.design.bar.width, abs=1e-3)
    left, _, right, _ = largest(tmp_path / f"set/head-{units}.dxf").bounds
    assert (right - left) * scale == pytest.approx(plan.head.length, abs=1e-3)


def test_parts_that_plasma_cannot_make_are_named_and_the_others_written(tmp_path: Path) -> None:
    to = tmp_path / "set"
    done = run("template", "belt-hatchet", "--process", "plasma", "--thickness", "3/16 in",
               "--to", to)  # fmt: skip
    assert done.code == 1
    assert "Not made: strap-gauge: given cut true to 0.031 in by plasma" in done.err
    assert {path.name for path in to.glob("*.dxf")} == {
        "blank-in.dxf", "head-in.dxf", "bit-in.dxf",
    }  # fmt: skip
    assert run("check", to).code == 0


def test_nothing_is_written_where_nothing_can_be_made(tmp_path: Path) -> None:
    done = run("template", "belt-hatchet", "--process", "plasma", "--thickness", "3/16 in",
               "--parts", "strap-gauge", "--to", tmp_path / "set")  # fmt: skip
    assert done.code == 1
    assert "Nothing was written" in done.err
    assert not (tmp_path / "set").exists()
    done = run("template", "small-wrap", "--parts", "bit", "--to", tmp_path / "set")
    assert done.code == 1
    assert "none of the parts" in done.err


def test_files_of_an_earlier_run_are_put_aside(tmp_path: Path) -> None:
    to = tmp_path / "set"
    assert run("template", "belt-hatchet", "--to", to).code == 0
    before = (to / "strap-gauge-in.dxf").read_bytes()
    (to / "mine.dxf").write_text("of my own")
    done = run("template", "belt-hatchet", "--parts", "blank", "--to", to)
    assert done.code == 0
    assert "strap-gauge-in-earlier.dxf" in done.err
    assert (to / "strap-gauge-in-earlier.dxf").read_bytes() == before
    assert {path.name for path in to.glob("*.dxf") if "earlier" not in path.name} == {
        "blank-in.dxf", "mine.dxf",
    }  # fmt: skip
    assert len(cut_set.load(to).items) == 1


def test_one_own_table_is_told_in_names_and_note(tmp_path: Path) -> None:
    shop = tmp_path / "shop.csv"
    shop.write_text("what,name,colour\noutside,Profile,2\ninside,Holes,3\nmark,Scribe,4\n")
    to = tmp_path / "set"
    done = run("template", "camp-axe", "--process", "plasma", "--thickness", "10 ga", "--parts",
               "blank", "--offset", "--lead", "--segments", "0.05 mm", "--dxf", "r12", "--layers",
               shop, "--to", to)  # fmt: skip
    assert done.code == 0, done.text
    (item,) = cut_set.load(to).items
    assert item.file.startswith("blank-kerf-0.06")
    assert item.file.endswith("-with-leads-in.dxf")
    assert item.kerf == pytest.approx(1.53, abs=0.05)
    note = " ".join((to / "for-the-cutter.txt").read_text().split())
    for said in ("offset nothing", "lead-in, from the scrap", "R12", "Holes: cut inside, first",
                 "straight segments"):  # fmt: skip
        assert said in note
    assert run("check", to).code == 0  # the list tells the layers' names
    assert run("proof", to, "--no-pdf").code == 0


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--process", "flame"), ["--process", "laser, plasma"]),
        (("--thickness", "0"), ["--thickness"]),
        (("--thickness", "0 in"), ["--thickness"]),
        (("--thickness", "-1 mm"), ["--thickness"]),
        (("--thickness", "99 ga"), ["--thickness"]),
        (("--thickness", "nan mm"), ["--thickness"]),
        (("--thickness", "2 in"), ["--thickness", "waterjet"]),
        (("--kerf", "0 in"), ["--kerf"]),
        (("--kerf", "wide"), ["--kerf"]),
        (("--letters", "engrave"), ["--letters", "stencil"]),
        (("--process", "plasma", "--letters", "mark"), ["plasma cannot mark"]),
        (("--parts", "blank,hat"), ["--parts", "'hat'"]),
        (("--parts", ""), ["--parts"]),
        (("--segments", "0 mm"), ["--segments"]),
        (("--segments", "3 in"), ["--segments"]),
        (("--dxf", "R14"), ["--dxf", "R2000 or R12"]),
        (("--lead", "2 miles"), ["--lead"]),
        (("--process", "hand", "--lead"), ["--lead", "hand has no lead-in"]),
        (("--layers", "no.csv"), ["layers"]),
        (("--units", "cm"), ["--units"]),
        (("--set", "eye.length=900 mm"), ["eye.length"]),
        (("--process", "flame", "--thickness", "x", "--letters", "y", "--parts", "z", "--dxf",
          "R1", "--segments", "?", "--set", "eye.length=0 mm"),
         ["--process", "--thickness", "--parts", "--dxf", "--segments", "eye.length"]),
    ],
)  # fmt: skip
def test_bad_input_is_told_at_once(
    arguments: tuple[str, ...], words: list[str], tmp_path: Path
) -> None:
    done = run("template", "belt-hatchet", *arguments, "--to", tmp_path / "set")
    assert done.code == 2, done.text
    assert "nothing was written" in done.err
    for word in words:
        assert word in done.err
    assert not everything(tmp_path)


def test_every_part_can_be_asked_for_by_name(tmp_path: Path) -> None:
    done = run("template", "belt-hatchet", "--process", "hand", "--thickness", "16 ga", "--parts",
               "all", "--to", tmp_path / "set")  # fmt: skip
    stems = {path.name.removesuffix("-in.dxf").rstrip("-123456789") for path in
             (tmp_path / "set").glob("*.dxf")}  # fmt: skip
    assert stems <= set(NAMES)
    assert len(stems) >= len(NAMES) - 3, done.text


def test_in_a_shell_of_its_own(tmp_path: Path) -> None:
    done = shell("template", "tomahawk", "--parts", "blank,bit", "--to", "set", cwd=tmp_path)
    assert done.code == 0
    assert "2 parts in" in done.out


# The list of parts -------------------------------------------------------------------------------

ITEM = Item("blank-in.dxf", "Blank", 2, "laser", 1.5, "sheet", True, 0.2)
SHOP = Layers(Layer("A", 1), Layer("B", 2), Layer("C", 3))


def test_a_list_comes_back_as_it_was(tmp_path: Path) -> None:
    told = CutSet("Trial", "1a2b3c4d", (ITEM, Item("b.dxf", "", 1, "", 6.35, "bar")), SHOP)
    (tmp_path / cut_set.NAME).write_bytes(cut_set.as_json(told))
    assert cut_set.load(tmp_path) == told
    assert cut_set.load(tmp_path / cut_set.NAME) == told


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"quantity": 0}, "quantity"), ({"quantity": True}, "quantity"),
        ({"quantity": 1.5}, "quantity"), ({"thickness": 0}, "thickness"),
        ({"thickness": "3 mm"}, "thickness"), ({"file": "../x.dxf"}, "file"),
        ({"file": ""}, "file"), ({"file": None}, "file"), ({"along": 1}, "along"),
        ({"kerf": -1}, "kerf"), ({"kerf": float("inf")}, "kerf"), ({"process": 3}, "process"),
    ],
)  # fmt: skip
def test_a_spoiled_list_is_told(change: dict[str, object], word: str, tmp_path: Path) -> None:
    data = json.loads(cut_set.as_json(CutSet("Trial", "1", (ITEM,))))
    data["parts"][0] |= change
    (tmp_path / cut_set.NAME).write_text(json.dumps(data))
    with pytest.raises(BadInputError, match=f"part 1, {word}"):
        cut_set.load(tmp_path)


@pytest.mark.parametrize("text", ["", "{", "[]", "3", '{"parts": 3}', '{"parts": [3]}', "\0"])
def test_what_is_no_list_is_told(text: str, tmp_path: Path) -> None:
    (tmp_path / cut_set.NAME).write_text(text)
    with pytest.raises(BadInputError):
        cut_set.load(tmp_path)
    with pytest.raises(BadInputError):
        cut_set.load(tmp_path / "none")


def test_the_offset_goes_with_the_thickness_of_each_parts_own_stock(tmp_path: Path) -> None:
    """The bit of 5 x 30 mm beside sheet of 10 ga: the kerf is reckoned by hand from the guide's
    1.5 mm in 3 mm to 3.5 mm in 40 mm (a part maker's table of suggestions)."""
    to = tmp_path / "set"
    done = run("template", "carving-axe", "--process", "plasma", "--thickness", "10 ga", "--parts",
               "blank,bit", "--offset", "--to", to)  # fmt: skip
    assert done.code == 0, done.text
    for item in cut_set.load(to).items:
        kerf = 1.5 + 2.0 * (item.thickness - 3.0) / 37.0
        assert item.kerf == pytest.approx(kerf), item.file
        assert f"-kerf-{kerf / 25.4:.3f}-" in item.file
        _, bottom, _, top = largest(to / item.file).bounds
        if item.along:  # the stock is 5 x 30 mm
            assert item.thickness == 5.0
            assert (top - bottom) * 25.4 == pytest.approx(30.0 + kerf, abs=1e-3)
    note = " ".join((to / "for-the-cutter.txt").read_text().split())
    assert "Its contours allow for a kerf of 0.063 in, as in that stock" in note


def test_a_kerf_of_ones_own_goes_for_all_stock(tmp_path: Path) -> None:
    to = tmp_path / "set"
    done = run("template", "carving-axe", "--process", "plasma", "--thickness", "10 ga", "--parts",
               "blank,bit", "--offset", "--kerf", "1.2 mm", "--to", to)  # fmt: skip
    assert done.code == 0, done.text
    assert {item.kerf for item in cut_set.load(to).items} == {1.2}
