"""``eyewrap nest`` as it is run; its files read back by GDAL and measured with Shapely."""

from __future__ import annotations

import json
import math
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from itertools import combinations
from pathlib import Path

import ezdxf
import pyogrio
import pytest
import shapely
from running import everything, run, shell

from patterns import cut_set
from patterns.contour import Contour, Vertex
from patterns.cut_set import CutSet, Item
from patterns.drawing import Drawing, Purpose, Stroke
from patterns.units import MM_PER_INCH
from patterns.writers import dxf

# by hand: a half disc of 60 on a plate of 60 x 30, with a hole of 16
TOMB = Contour((Vertex(0, 0), Vertex(60, 0), Vertex(60, 30, 1.0), Vertex(0, 30)))
TOMB_AREA = 60 * 30 + math.pi * 900 / 2 - math.pi * 64
HOOK = Contour.polygon([(0, 0), (80, 0), (80, 20), (20, 20), (20, 60), (0, 60)])
BLANK = Contour.rectangle(0, 0, 30, 50.8)

GOOD = ("--sheet", "12 x 8 in", "--spacing", "3 mm", "--margin", "5 mm")


@pytest.fixture(autouse=True)
def _fine_arcs() -> Iterator[None]:
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": "0.1"})
    yield
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": None})


@pytest.fixture
def parts(tmp_path: Path) -> Path:
    folder = tmp_path / "parts"
    folder.mkdir()
    mark = Stroke(Contour.line((10, 5), (50, 5)), Purpose.MARK)
    hole = Stroke(Contour.circle(30, 30, 8).reversed(), Purpose.CUT)
    for name, strokes in (
        ("tomb", (Stroke(TOMB, Purpose.CUT), hole, mark)),
        ("hook", (Stroke(HOOK, Purpose.CUT),)),
        ("blank", (Stroke(BLANK, Purpose.CUT),)),
    ):
        drawing = Drawing(name, name, strokes)
        (folder / f"{name}.dxf").write_bytes(dxf.write(drawing, "in"))
    return folder


def listed(folder: Path, *items: Item) -> Path:
    (folder / cut_set.NAME).write_bytes(cut_set.as_json(CutSet("Trial", "1a2b", items)))
    return folder


def item(name: str, quantity: int, thickness: float = 1.5, **more: object) -> Item:
    stock = str(more.get("stock", f"sheet {thickness:g} mm"))
    along = bool(more.get("along", False))
    return Item(f"{name}.dxf", name, quantity, "laser", thickness, stock, along)


def cut(path: Path, scale: float) -> tuple[list[shapely.Polygon], list[shapely.Polygon], int]:
    """Outlines and holes [mm] as GDAL reads them, and the number of marks."""
    _, _, shapes, fields = pyogrio.raw.read(path, columns=["Layer"])
    lines = [shapely.transform(line, lambda xy: xy * scale) for line in shapely.from_wkb(shapes)]
    rings = [
        shapely.Polygon(line.coords)
        for line, layer in zip(lines, fields[0], strict=True)
        if layer == "CUT"
    ]
    inner = [r for r in rings if any(o is not r and o.contains(r) for o in rings)]
    outer = [r for r in rings if not any(r is i for i in inner)]
    return outer, inner, sum(layer == "MARK" for layer in fields[0])


def test_what_is_written(parts: Path, tmp_path: Path) -> None:
    to = tmp_path / "nested"
    done = run("nest", f"{parts}/tomb.dxf=3", f"{parts}/hook.dxf=4", *GOOD, "--thickness", "2 mm",
               "--to", to)  # fmt: skip
    assert done.code == 0, done.text
    assert sorted(each.name for each in to.iterdir()) == [
        "nest-1-in.dxf",
        "nest-1.svg",
        "nest.json",
        "parts.json",
    ]
    assert run("check", to, "--process", "waterjet").code == 2  # which cannot mark
    assert run("check", to / "nest-1-in.dxf").code == 0
    outer, inner, marks = cut(to / "nest-1-in.dxf", MM_PER_INCH)
    assert (len(outer), len(inner), marks) == (7, 3, 3)
    # GDAL's chords of 0.1 degrees in the arc of 30 stand 1e-5 off it
    for one, other in combinations(outer, 2):
        assert one.distance(other) >= 3.0 - 1e-4
    room = shapely.box(5, 5, 12 * MM_PER_INCH - 5, 8 * MM_PER_INCH - 5).buffer(1e-4)
    assert all(room.covers(shape) for shape in outer)
    areas = sorted(shape.area for shape in outer)
    whole = 1800 + math.pi * 450
    assert areas == pytest.approx([2400] * 4 + [whole] * 3, rel=1e-5)
    # turned, never mirrored: the hook's inner corner is the right one
    for hook in [shape for shape in outer if shape.area < 2500]:
        ring = shapely.get_coordinates(shapely.normalize(hook.simplify(1e-3)))[:-1]
        sides = sorted(math.dist(a, b) for a, b in zip(ring, [*ring[1:], ring[0]], strict=True))
        assert sides == pytest.approx([20, 20, 40, 60, 60, 80], abs=1e-3)
        assert _hand(ring) == _hand([(v.x, v.y) for v in HOOK.vertices])
    data = json.loads((to / "nest.json").read_text())
    (sheet,) = data["sheets"]
    metal = 4 * 2400 + 3 * TOMB_AREA
    assert sheet["used_area"] == pytest.approx(metal)
    assert sheet["used_share"] == pytest.approx(metal / (12 * 8 * MM_PER_INCH**2))
    assert sheet["mass"] == pytest.approx(metal * 2 * 7.85e-3)
    assert sheet["reach"] == pytest.approx(max(shape.bounds[2] for shape in outer), abs=1e-3)
    around = 4 * (2 * 80 + 2 * 60) + 3 * (60 + 30 + 30 + math.pi * 30 + math.pi * 16)
    assert sheet["cut_length"] == pytest.approx(around)
    (left,) = [r for r in sheet["remnants"] if r["y"] == 0.0]
    assert left["x"] >= sheet["reach"] + 3.0 - 1e-6
    assert left["x"] + left["length"] == pytest.approx(12 * MM_PER_INCH)
    assert "7 parts on 1 sheet" in done.out
    assert "3 x tomb" in done.out
    root = ET.fromstring((to / "nest-1.svg").read_text())
    assert root.get("width", "").endswith("mm")
    assert float(root.get("width", "0mm")[:-2]) > 12 * MM_PER_INCH


def _hand(ring: object) -> list[float]:
    """Lengths of the sides counter-clockwise, from the longest on."""
    points = [tuple(p) for p in ring]  # type: ignore[attr-defined]
    if shapely.LinearRing(points).is_ccw is False:
        points.reverse()
    sides = [
        round(math.dist(a, b), 2) for a, b in zip(points, [*points[1:], points[0]], strict=True)
    ]
    first = sides.index(max(sides))
    return sides[first:] + sides[:first]


def test_the_same_again_to_the_byte(parts: Path, tmp_path: Path) -> None:
    for name in ("one", "two"):
        done = run("nest", f"{parts}/hook.dxf=3", f"{parts}/blank.dxf=2", "--sheet", "12 x 8 in",
                   "--spacing", "3 mm", "--margin", "5 mm", "--seed", "7", "--to",
                   tmp_path / name)  # fmt: skip
        assert done.code == 0
    assert everything(tmp_path / "one") == everything(tmp_path / "two")


def test_a_set_says_how_many_and_which_way(parts: Path, tmp_path: Path) -> None:
    listed(parts, item("hook", 2), item("blank", 3, along=True))
    done = run("nest", f"{parts}=2", "--sheet", "400 x 200 mm", "--units", "mm", "--seconds", "0",
               "--to", tmp_path / "to")  # fmt: skip
    assert done.code == 0, done.text
    data = json.loads((tmp_path / "to/nest.json").read_text())
    assert {p["name"]: p["quantity"] for p in data["parts"]} == {"hook": 4, "blank": 6}
    turns = {p["turn"] for p in data["sheets"][0]["placed"] if p["part"] == "blank"}
    assert turns <= {0.0, 180.0}
    outer, _, _ = cut(tmp_path / "to/nest-1-mm.dxf", 1.0)
    blanks = [shape.bounds for shape in outer if shape.area < 2000]
    assert len(blanks) == 6
    assert all(b[2] - b[0] == pytest.approx(30.0) for b in blanks)
    assert data["sheet"]["thickness"] == 1.5
    from patterns.processes import rules

    asked = rules("laser", 1.5)
    assert (data["spacing"], data["sheet"]["margin_ends"]) == (asked.spacing, asked.margin)


def test_several_sheets_each_have_a_file(parts: Path, tmp_path: Path) -> None:
    to = tmp_path / "to"
    asked = ["nest", f"{parts}/hook.dxf=5", "--spacing", "3 mm", "--margin", "5 mm", "--seconds",
             "0", "--to", str(to)]  # fmt: skip
    done = run(*asked, "--sheet", "120 x 100 mm")
    assert done.code == 0
    sheets = json.loads((to / "nest.json").read_text())["sheets"]
    assert len(sheets) > 1
    assert sum(len(cut(to / sheet["file"], MM_PER_INCH)[0]) for sheet in sheets) == 5
    # a later nest of one sheet leaves none of these under a name that misleads
    assert run(*asked, "--sheet", "500 x 100 mm").code == 0
    assert [p.name for p in to.glob("nest-*-in.dxf")] == ["nest-1-in.dxf"]
    assert (to / "nest-2-in-earlier.dxf").is_file()
    before = everything(to)
    stopped = run(*asked, "--sheet", "120 x 100 mm", "--sheets", "1")
    assert stopped.code == 1
    assert "take" in stopped.err
    assert everything(to) == before


def test_a_bar_has_margins_at_its_ends_only(parts: Path, tmp_path: Path) -> None:
    done = run("nest", f"{parts}/blank.dxf=6", "--bar", "2 in x 12 in", "--turns", "half",
               "--spacing", "2 mm", "--margin", "10 mm", "--to", tmp_path / "to")  # fmt: skip
    assert done.code == 0, done.text
    outer, _, _ = cut(tmp_path / "to/nest-1-in.dxf", MM_PER_INCH)
    lefts = sorted(shape.bounds[0] for shape in outer)
    assert lefts == pytest.approx([10 + 32 * i for i in range(6)], abs=1e-3)
    assert "at the ends only" in done.out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("hook.dxf", "--sheet", "big", *GOOD[2:]), "--sheet"),
        (("hook.dxf", "--sheet", "0 x 4 in", *GOOD[2:]), "--sheet"),
        (("hook.dxf", "--bar", "36 in x 2 in", *GOOD[2:]), "--bar"),
        (("hook.dxf", "--bar", "1 in x 36 in", *GOOD[2:]), "hook: given 3 5/32 in x 2 23/64 in"),
        (("hook.dxf", "--sheet", "3 x 2 in", *GOOD[2:]), "hook"),
        (("hook.dxf=0", *GOOD), "quantity"),
        (("hook.dxf=many", *GOOD), "quantity"),
        (("hook.dxf=1500", "blank.dxf=700", *GOOD), "2200 parts"),
        (("nothing.dxf", *GOOD), "nothing.dxf"),
        (("hook.dxf", *GOOD[:2], "--spacing", "-3 mm", "--margin", "5 mm"), "--spacing"),
        (("hook.dxf", *GOOD[:2], "--spacing", "0 mm", "--margin", "5 mm"), "--spacing"),
        (("hook.dxf", *GOOD[:2], "--spacing", "3", "--margin", "5 mm"), "--spacing"),
        (("hook.dxf", *GOOD[:2], "--spacing", "3 mm", "--margin", "4 in"), "--margin"),
        (("hook.dxf", *GOOD[:2]), "--spacing: given nothing"),
        (("hook.dxf", *GOOD, "--thickness", "0 mm"), "--thickness"),
        (("hook.dxf", *GOOD, "--process", "teeth"), "--process"),
        (("hook.dxf", *GOOD, "--turns", "sideways"), "--turns"),
        (("hook.dxf", *GOOD, "--seed", "-1"), "--seed"),
        (("hook.dxf", *GOOD, "--seed", "x"), "--seed"),
        (("hook.dxf", *GOOD, "--sheets", "0"), "--sheets"),
        (("hook.dxf", *GOOD, "--seconds", "nan"), "--seconds"),
        (("hook.dxf", *GOOD, "--units", "ell"), "--units"),
        (("hook.dxf", *GOOD, "--layers", "none.csv"), "none.csv"),
        (("hook.dxf", *GOOD[:2], "--process", "laser", "--thickness", "90 mm"), "--thickness"),
    ],
)
def test_bad_input_is_named_and_writes_nothing(
    parts: Path, tmp_path: Path, arguments: tuple[str, ...], said: str,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    monkeypatch.chdir(parts)
    done = run("nest", *arguments, "--to", tmp_path / "to")
    assert done.code == 2, done.text
    assert "nothing was written" in done.err
    assert said in done.err
    assert "Traceback" not in done.text
    assert not (tmp_path / "to").exists()


def test_every_fault_is_told_at_once(parts: Path, tmp_path: Path) -> None:
    done = run("nest", f"{parts}/hook.dxf=0", "--sheet", "wide", "--spacing", "-1 mm", "--margin",
               "x", "--seed", "y", "--to", tmp_path / "to")  # fmt: skip
    assert done.code == 2
    assert done.err.startswith("5 faults")


def test_stocks_and_thicknesses_do_not_share_a_sheet(parts: Path, tmp_path: Path) -> None:
    listed(parts, item("hook", 2), item("blank", 3, 6.0, stock="1084 bar"))
    asked = ["nest", str(parts), "--sheet", "12 x 8 in", "--seconds", "0", "--to",
             str(tmp_path / "to")]  # fmt: skip
    done = run(*asked)
    assert done.code == 2
    assert "sheet 1.5 mm; 1084 bar" in done.err
    assert run(*asked, "--stock", "1084 BAR").code == 0
    data = json.loads((tmp_path / "to/nest.json").read_text())
    assert [p["name"] for p in data["parts"]] == ["blank"]
    assert run(*asked, "--stock", "brass").code == 2
    assert run(*asked, "--stock", "1084 bar", "--thickness", "2 mm").code == 2


def test_a_file_without_a_closed_contour(parts: Path, tmp_path: Path) -> None:
    import ezdxf

    document = ezdxf.new("R2000", units=4)
    document.modelspace().add_lwpolyline([(0, 0), (10, 0), (10, 10)], dxfattribs={"layer": "CUT"})
    document.saveas(parts / "open.dxf")
    done = run("nest", f"{parts}/open.dxf", *GOOD, "--to", tmp_path / "to")
    assert done.code == 2
    assert "no closed contour" in done.err


def test_in_a_process_of_its_own(parts: Path, tmp_path: Path) -> None:
    done = shell("nest", "hook.dxf=2", *GOOD, "--to", tmp_path / "to", cwd=parts)
    assert done.code == 0, done.text
    assert done.err == ""


def test_contours_that_were_moved_for_the_kerf_are_refused(parts: Path, tmp_path: Path) -> None:
    listed(parts, Item("hook.dxf", "hook", 1, "laser", 1.5, "sheet", False, 0.2))
    done = run("nest", parts, *GOOD, "--to", tmp_path / "to")
    assert done.code == 2
    assert "nominal contours" in done.err


def test_a_lead_in_is_not_lost_without_a_word(parts: Path, tmp_path: Path) -> None:
    import ezdxf

    # an open polyline that comes from the scrap and ends where it met the part
    document = ezdxf.new("R2000", units=4)
    run_in = [(-5, -5), (0, 0), (40, 0), (40, 30), (0, 30), (0, 0)]
    document.modelspace().add_lwpolyline(run_in, dxfattribs={"layer": "CUT"})
    document.saveas(parts / "led.dxf")
    done = run("nest", parts / "led.dxf", *GOOD, "--to", tmp_path / "to")
    assert done.code == 2
    assert "lead-ins" in done.err


def test_a_nest_for_a_table_of_ones_own(parts: Path, tmp_path: Path) -> None:
    """Kerf, lead-ins and an old version, on the nest as a whole: each path in scrap of its own."""
    to = tmp_path / "nested"
    asked = ("--process", "plasma", "--thickness", "3/16 in", "--kerf", "1.5 mm", "--offset",
             "--lead", "4 mm", "--dxf", "R12", "--units", "mm")  # fmt: skip
    done = run("nest", f"{parts}/tomb.dxf=3", f"{parts}/hook.dxf=4", "--sheet", "20 x 12 in",
               *asked, "--to", to)  # fmt: skip
    assert done.code == 0, done.text
    path = to / "nest-1-kerf-1.50-with-leads-mm.dxf"
    _, _, shapes, fields = pyogrio.raw.read(path, columns=["Layer"])
    runs = [shape for shape, layer in zip(shapely.from_wkb(shapes), fields[0], strict=True)
            if layer == "CUT"]  # fmt: skip
    assert len(runs) == 7 + 3
    assert not any(run.is_closed for run in runs)
    # no path comes nearer to another than the spacing of 10 mm less a kerf and two leads
    outlines = [run for run in runs if run.length > 100]
    assert min(a.distance(b) for a, b in combinations(outlines, 2)) > 10 - 1.5 - 2 * 4
    checked = run("check", to)
    assert checked.out.count("fault") == 2  # in the verdict, and the marks, which are not plasma's
    assert "marks, which the process cannot make" in checked.out
    assert run("proof", to, "--to", tmp_path / "proof", "--no-pdf").code == 0


def test_a_stock_may_be_said_in_short(parts: Path, tmp_path: Path) -> None:
    listed(parts, item("tomb", 1, stock="sheet steel"), item("blank", 2, 6.35, stock="1084 bar"))
    done = run("nest", parts, "--stock", "1084", *GOOD, "--to", tmp_path / "to")
    assert done.code == 0, done.text
    assert "2 parts on 1 sheet" in done.out
    none = run("nest", parts, "--stock", "brass", *GOOD, "--to", tmp_path / "to")
    assert none.code == 2
    assert "sheet steel; 1084 bar" in none.err


@pytest.mark.parametrize(
    ("spoilt", "says"),
    [
        ("spline", "spline"),
        ("text", "text"),
        ("block", "block"),
        ("frozen", "frozen"),
        ("raised", "above or below"),
        ("unknown", "no known use: 0"),
        ("twice", "twice"),
    ],
)
def test_nothing_of_a_file_is_left_out_without_a_word(
    spoilt: str, says: str, tmp_path: Path
) -> None:
    doc = ezdxf.new("R2000", units=4)
    space, layer = doc.modelspace(), {"layer": "CUT"}
    doc.layers.add("CUT")
    plate = space.add_lwpolyline([(0, 0), (60, 0), (60, 40), (0, 40)], close=True, dxfattribs=layer)
    space.add_circle((20, 20), 8, dxfattribs=layer)
    if spoilt == "spline":
        space.add_spline([(40, 10), (50, 20), (40, 30)], dxfattribs=layer)
    elif spoilt == "text":
        space.add_text("TOP", height=5, dxfattribs=layer)
    elif spoilt == "block":
        doc.blocks.new("HOLE").add_circle((0, 0), 4, dxfattribs=layer)
        space.add_blockref("HOLE", (45, 20))
    elif spoilt == "frozen":
        doc.layers.add("SLOT").freeze()
        space.add_circle((45, 20), 4, dxfattribs={"layer": "SLOT"})
    elif spoilt == "raised":
        plate.dxf.elevation = 5
    elif spoilt == "unknown":
        space.add_circle((45, 20), 4, dxfattribs={"layer": "0"})
    else:
        space.add_circle((20, 20), 8, dxfattribs=layer)
    file, to = tmp_path / "plate.dxf", tmp_path / "nested"
    doc.saveas(file)
    done = run("nest", file, *GOOD, "--to", to)
    assert done.code == 2, done.text
    assert says in done.err
    assert not to.exists()
