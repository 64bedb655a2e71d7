"""Files read back: every form that a contour may have in a DXF, second readers, and bad files."""

from __future__ import annotations

import contextlib
import io
import logging
import math
import random
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pyogrio
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from patterns import templates
from patterns.blank import plan
from patterns.contour import Contour, Vertex
from patterns.cut_check import check
from patterns.cut_file import CutFile, read
from patterns.drawing import Drawing
from patterns.errors import BadInputError
from patterns.layers import Layer, Layers
from patterns.processes import find, rules
from patterns.profiles import load, shipped
from patterns.writers import dxf

sys.path.insert(0, str(Path(__file__).parent.parent / "model"))
from designs import examples, planned_or_dropped, raws

SCALE = {"in": 25.4, "mm": 1.0}


@pytest.fixture(scope="module", autouse=True)
def _fine_arcs() -> Iterator[None]:
    """GDAL flattens arcs, to 4 degrees unless told otherwise."""
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": "0.1"})
    yield
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": None})


def document(version: str = "R2000", units: int = 4) -> Any:
    logging.getLogger("ezdxf").setLevel(logging.ERROR)  # R12 has no unit: it says so
    doc = ezdxf.new(version, units=units)
    doc.layers.add("CUT")
    doc.layers.add("MARK")
    return doc


def saved(doc: Any, folder: Path, name: str = "part.dxf") -> Path:
    doc.saveas(folder / name)
    return folder / name


def text_of(doc: Any) -> bytes:
    out = io.StringIO()
    doc.write(out)
    return doc.encode(out.getvalue())


# One contour, every form -------------------------------------------------------------------------


def as_light(doc: Any, contour: Contour) -> None:
    doc.modelspace().add_lwpolyline([tuple(v) for v in contour.vertices], format="xyb",
                                    close=contour.closed, dxfattribs={"layer": "CUT"})  # fmt: skip


def as_light_unflagged(doc: Any, contour: Contour) -> None:
    points = [tuple(v) for v in contour.vertices]
    doc.modelspace().add_lwpolyline([*points, points[0]], format="xyb",
                                    dxfattribs={"layer": "CUT"})  # fmt: skip


def as_old(doc: Any, contour: Contour) -> None:
    doc.modelspace().add_polyline2d([tuple(v) for v in contour.vertices], format="xyb",
                                    close=contour.closed, dxfattribs={"layer": "CUT"})  # fmt: skip


def as_loose(doc: Any, contour: Contour) -> None:
    """Lines and arcs in any order, each either way round."""
    rng = random.Random(len(contour.vertices))
    pieces = list(contour.pieces)
    rng.shuffle(pieces)
    space = doc.modelspace()
    for piece in pieces:
        if piece.is_line:
            ends = [(piece.x0, piece.y0), (piece.x1, piece.y1)]
            rng.shuffle(ends)
            space.add_line(*ends, dxfattribs={"layer": "CUT"})
        else:
            x, y = piece.centre
            angles = [math.degrees(math.atan2(b - y, a - x))
                      for a, b in ((piece.x0, piece.y0), (piece.x1, piece.y1))]  # fmt: skip
            if piece.bulge < 0.0:
                angles.reverse()
            space.add_arc((x, y), piece.radius, *angles, dxfattribs={"layer": "CUT"})


FORMS: dict[str, Callable[[Any, Contour], None]] = {
    "light polyline": as_light, "light polyline, not flagged": as_light_unflagged,
    "old polyline": as_old, "loose lines and arcs": as_loose,
}  # fmt: skip


@st.composite
def contours(draw: Callable[[Any], Any]) -> Contour:
    """A star-shaped contour of lines and arcs: lopsided, never crossing itself."""
    count = draw(st.integers(3, 9))
    turn = draw(st.integers(0, 359)) / 57.0
    radii = draw(st.lists(st.integers(200, 600), min_size=count, max_size=count))
    bulges = draw(st.lists(st.integers(-12, 30), min_size=count, max_size=count))
    cx, cy = draw(st.integers(-5000, 5000)) / 10.0, draw(st.integers(-5000, 5000)) / 10.0
    found = []
    for k, (radius, bulge) in enumerate(zip(radii, bulges, strict=True)):
        angle = turn + math.tau * k / count
        x, y = cx + radius / 10.0 * math.cos(angle), cy + radius / 10.0 * math.sin(angle)
        found.append(Vertex(x, y, bulge / 100.0 if abs(bulge) > 2 else 0.0))
    return Contour(tuple(found))


def middles(contour: Contour) -> list[tuple[float, float]]:
    """The corners and the middle of every piece, in no order."""
    found = [(p.x0, p.y0) for p in contour.pieces] + [p.at(0.5) for p in contour.pieces]
    return sorted((round(x, 4) + 0.0, round(y, 4) + 0.0) for x, y in found)


def near(one: list[tuple[float, float]], other: list[tuple[float, float]]) -> bool:
    """Whether each point of one list has its like in the other."""
    if len(one) != len(other):
        return False
    tree = shapely.STRtree(shapely.points(other))
    _, gaps = tree.query_nearest(shapely.points(one), return_distance=True, all_matches=False)
    return bool(gaps.max() < 0.001)


@examples(40)
@given(contour=contours(), units=st.sampled_from(["in", "mm"]),
       version=st.sampled_from(["R12", "R2000", "R2018"]))  # fmt: skip
@pytest.mark.parametrize("form", FORMS)
def test_a_contour_comes_back_the_same(
    form: str, contour: Contour, units: str, version: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    if version == "R12" and form.startswith("light"):
        form = "old polyline"
    doc = document(version, {"in": 1, "mm": 4}[units])
    FORMS[form](doc, contour.scaled(1.0 / SCALE[units]))
    found = read(saved(doc, tmp_path_factory.mktemp("form"), f"p-{units}.dxf"))
    assert found.units == units
    assert found.declared == ("name" if version == "R12" else "header")
    assert found.others == ()
    (run,) = found.runs
    assert run.role == "outside"
    assert run.contour.closed
    assert abs(run.contour.area) == pytest.approx(abs(contour.area), abs=1e-4)
    assert run.contour.length == pytest.approx(contour.length, abs=1e-4)
    assert near(middles(run.contour), middles(contour))


@pytest.mark.parametrize("sweep", [10.0, 180.0, 200.0, 359.0])
def test_an_arc_runs_through_its_middle(sweep: float, tmp_path: Path) -> None:
    doc = document()
    doc.modelspace().add_arc((3, 4), 10, 30, 30 + sweep, dxfattribs={"layer": "MARK"})
    (run,) = read(saved(doc, tmp_path)).runs
    assert run.contour.length == pytest.approx(10 * math.radians(sweep))
    for piece in run.contour.pieces:
        assert piece.centre == pytest.approx((3, 4))
    angle = math.radians(30 + sweep / 2)
    middle = (3 + 10 * math.cos(angle), 4 + 10 * math.sin(angle))
    line = shapely.LineString(run.contour.points())
    assert line.distance(shapely.Point(middle)) < 0.01


def test_a_circle_and_its_role_by_nesting(tmp_path: Path) -> None:
    doc = document(units=1)
    doc.modelspace().add_circle((1, 2), 0.5, dxfattribs={"layer": "cut"})
    doc.modelspace().add_circle((1, 2), 2.0, dxfattribs={"layer": "CUT"})
    doc.modelspace().add_circle((1, 2), 0.1, dxfattribs={"layer": "CUT"})
    found = read(saved(doc, tmp_path)).runs
    assert [run.role for run in found] == ["inside", "outside", "outside"]
    assert found[0].contour.area == pytest.approx(math.pi * 12.7**2)


def test_an_outline_drawn_twice_makes_no_part_of_a_hole(tmp_path: Path) -> None:
    doc = document()
    corners = [(0, 0), (100, 0), (100, 60), (0, 60)]
    for start in (0, 2):
        points = corners[start:] + corners[:start]
        doc.modelspace().add_lwpolyline(points, close=True, dxfattribs={"layer": "CUT"})
    doc.modelspace().add_circle((20, 30), 5, dxfattribs={"layer": "CUT"})
    file = read(saved(doc, tmp_path))
    assert [run.role for run in file.runs] == ["outside", "outside", "inside"]
    assert [finding.name for finding in check(file).findings] == ["twice"]


def test_roles_by_layers_of_their_own(tmp_path: Path) -> None:
    doc = document()
    for layer in ("OUT", "IN", "PEN", "CUT"):
        doc.modelspace().add_circle((0, 0), 5, dxfattribs={"layer": layer})
    layers = Layers(Layer("Out", 1), Layer("In", 2), Layer("Pen", 3))
    found = read(saved(doc, tmp_path), layers).runs
    assert [run.role for run in found] == ["outside", "inside", "mark", ""]


def test_a_lead_in_before_a_whole_contour(tmp_path: Path) -> None:
    doc = document()
    points = [(-5, -3), (0, 0), (30, 0), (30, 20), (0, 20), (0, 0)]
    for layer in ("CUT", "MARK"):
        doc.modelspace().add_lwpolyline(points, dxfattribs={"layer": layer})
    cut, mark = read(saved(doc, tmp_path)).runs
    assert cut.contour.closed
    assert cut.contour.area == 600.0
    assert cut.lead is not None
    assert cut.lead.vertices == (Vertex(-5, -3), Vertex(0, 0))
    # a letter may look so: it stays as it is drawn
    assert not mark.contour.closed
    assert mark.lead is None


def test_a_line_drawn_twice_does_not_keep_the_rest_from_joining(tmp_path: Path) -> None:
    doc = document()
    corners = [(0, 0), (30, 0), (30, 20), (0, 20)]
    for start, end in pairwise([*corners, corners[0]]):
        doc.modelspace().add_line(start, end, dxfattribs={"layer": "CUT"})
    doc.modelspace().add_line((30, 0), (0, 0), dxfattribs={"layer": "CUT"})
    found = read(saved(doc, tmp_path)).runs
    assert [run.contour.closed for run in found] == [True, False]


@pytest.mark.parametrize(("gap", "closed"), [(0.009, True), (0.011, False)])
def test_how_near_ends_must_be_to_join(gap: float, closed: bool, tmp_path: Path) -> None:
    doc = document()
    for start, end in (((0, 0), (30, 0)), ((30, 0), (30, 20)), ((30, 20), (0, gap))):
        doc.modelspace().add_line(start, end, dxfattribs={"layer": "CUT"})
    (run,) = read(saved(doc, tmp_path)).runs
    assert run.contour.closed is closed


@pytest.mark.parametrize(("code", "name", "side"), [
    (1, "in", 25.4), (2, "ft", 304.8), (4, "mm", 1.0), (5, "cm", 10.0), (6, "m", 1000.0),
    (10, "yd", 914.4), (0, "", 1.0), (20, "unit 20", 1.0),
])  # fmt: skip
def test_units(code: int, name: str, side: float, tmp_path: Path) -> None:
    doc = document(units=code)
    doc.modelspace().add_line((0, 0), (2, 0), dxfattribs={"layer": "MARK"})
    found = read(saved(doc, tmp_path))
    assert found.units == name
    assert found.runs[0].contour.length == pytest.approx(2.0 * side)


# Files of our own --------------------------------------------------------------------------------


def by_gdal(file: Path) -> list[tuple[str, Any]]:
    meta, _, shapes, fields = pyogrio.raw.read(file)
    layers = fields[list(meta["fields"]).index("Layer")]
    return list(zip(layers, shapely.from_wkb(shapes), strict=True))


def compare(found: CutFile, file: Path, units: str) -> None:
    """With two readers that share no code with ezdxf: extents, lengths, areas, arcs, counts."""
    import trimesh

    scale = SCALE[units]
    theirs = by_gdal(file)
    assert Counter(layer for layer, _ in theirs) == Counter(run.layer for run in found.runs)
    for layer in ("CUT", "MARK"):
        ours = [run.contour for run in found.runs if run.layer == layer]
        other = [shape for name, shape in theirs if name == layer]
        if not ours:
            continue
        boxes = [contour.bounds for contour in ours]
        sides = np.array([(box.left, box.bottom, box.right, box.top) for box in boxes])
        assert np.allclose(shapely.bounds(other) * scale, sides, rtol=0.0, atol=2e-4)
        lengths = [contour.length for contour in ours]
        assert np.allclose(shapely.length(other) * scale, lengths, rtol=1e-5, atol=0.0)
        for contour, shape in zip(ours, other, strict=True):
            if contour.closed:
                area = shapely.Polygon(shape.coords).area * scale**2
                assert area == pytest.approx(abs(contour.area), rel=1e-5)
    with file.open("rb") as stream:
        drawing = trimesh.load_path(stream, file_type="dxf")
    arcs = sum(type(each).__name__ == "Arc" for each in drawing.entities)
    assert arcs == sum(not p.is_line for run in found.runs for p in run.contour.pieces)
    boxes = [run.contour.bounds for run in found.runs]
    low = (min(box.left for box in boxes), min(box.bottom for box in boxes))
    assert [c * scale for c in drawing.bounds[0]] == pytest.approx(low, abs=1e-3)


@cache
def parts_of(name: str) -> list[Drawing]:
    made = templates.templates(plan(load(name).design), templates.usual_way("in"))
    return [template.drawing() for template in made.made]


RARE = ("plate",)
"""What one head alone has."""


def written_in(name: str, units: str) -> list[Drawing]:
    """The parts of a head that are written in these units: every other one, which are the others
    with its neighbour on the shelf, and what is rare."""
    first = list(shipped()).index(name) + ("in", "mm").index(units)
    return [part for i, part in enumerate(parts_of(name), first) if i % 2 or part.name in RARE]


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("name", shipped())
def test_files_of_every_profile(name: str, units: str, tmp_path: Path) -> None:
    """Every part of every head; each in one of the units, and each kind of part in both."""
    for drawing in written_in(name, units):
        file = tmp_path / f"{drawing.name}-{units}.dxf"
        file.write_bytes(dxf.write(drawing, units))
        found = read(file)
        assert (found.units, found.declared, found.others) == (units, "header", ())
        compare(found, file, units)
        assert [each.name for each in check(found).findings if each.severity == "fault"] == []


def test_every_part_is_written_in_both_units() -> None:
    written: dict[str, set[str]] = {units: set() for units in SCALE}
    for name in shipped():
        ours = {units: {part.name for part in written_in(name, units)} for units in SCALE}
        assert ours["in"] | ours["mm"] == {part.name for part in parts_of(name)}
        for units in SCALE:
            written[units] |= ours[units]
    assert written["in"] == written["mm"]


@examples(4)
@given(raw=raws())
def test_files_of_unseen_heads(raw: Any, tmp_path_factory: pytest.TempPathFactory) -> None:
    folder = tmp_path_factory.mktemp("unseen")
    made = templates.templates(planned_or_dropped(raw), templates.usual_way("mm"))
    for template in made.made:
        file = folder / "part.dxf"
        file.write_bytes(dxf.write(template.drawing(), "mm"))
        found = read(file)
        compare(found, file, "mm")
        assert [each.name for each in check(found).findings if each.severity == "fault"] == []


@pytest.mark.parametrize(("process", "thickness"), [
    ("laser", 1.519), ("plasma", 4.7625), ("waterjet", 3.175), ("hand", 1.519),
])  # fmt: skip
@pytest.mark.parametrize("name", list(shipped())[::4])
def test_what_is_sized_for_a_process_keeps_its_rules(
    name: str, process: str, thickness: float, tmp_path: Path
) -> None:
    """Two roads to the same rules: the templates are sized by them, the check measures them."""
    way = templates.way_of(rules(process, thickness), None, "mm")
    made = templates.templates(plan(load(name).design), way).made
    assert made
    for template in made:
        if find(process).cuts(template.thickness):  # a bit's own stock may be too thick for it
            file = tmp_path / f"{template.name}.dxf"
            file.write_bytes(dxf.write(template.drawing(), "mm"))
            found = check(read(file), rules(process, template.thickness))
            assert [each for each in found.findings if each.severity == "fault"] == []


# What no cutter should meet ----------------------------------------------------------------------


def plate(doc: Any) -> Any:
    as_light(doc, Contour.rectangle(0, 0, 100, 60))
    return doc.modelspace()


def _block(doc: Any) -> None:
    doc.blocks.new("hole").add_circle((0, 0), 3)
    plate(doc).add_blockref("hole", (30, 30))


def _with_layer(change: str) -> Callable[[Any], None]:
    def made(doc: Any) -> None:
        getattr(doc.layers.add("SPARE"), change)()
        plate(doc).add_circle((30, 30), 5, dxfattribs={"layer": "SPARE"})

    return made


def _on_paper(doc: Any) -> None:
    plate(doc)
    doc.layout("Layout1").add_circle((30, 30), 5)


def _hatch(doc: Any) -> None:
    plate(doc).add_hatch().paths.add_polyline_path([(10, 10), (20, 10), (20, 20)])


def _wide(doc: Any) -> None:
    plate(doc).add_linear_dim((0, -10), (0, 0), (100, 0)).render()


def _spline(doc: Any) -> None:
    plate(doc).add_spline([(20, 20, 0), (40, 30, 0), (60, 20, 0)])


def _fitted(doc: Any) -> None:
    plate(doc).add_polyline2d([(20, 20), (40, 30), (60, 20)]).dxf.flags = 4


def _add(kind: str, *arguments: Any, **attributes: Any) -> Callable[[Any], None]:
    def made(doc: Any) -> None:
        getattr(plate(doc), f"add_{kind}")(*arguments, dxfattribs=attributes)

    return made


ODD: dict[str, tuple[str, Callable[[Any], None]]] = {
    "text": ("text", _add("text", "hello")),
    "paragraph": ("text", _add("mtext", "hello")),
    "spline": ("spline", _spline),
    "fitted polyline": ("spline", _fitted),
    "ellipse": ("ellipse", _add("ellipse", (50, 30), (10, 0), 0.5)),
    "block": ("block", _block),
    "hatch": ("hatch", _hatch),
    "dimension": ("dimension", _wide),
    "point": ("point", _add("point", (50, 30))),
    "face": ("in space", _add("3dface", [(10, 10), (20, 10), (20, 20)])),
    "polyline in space": ("in space", _add("polyline3d", [(10, 10, 0), (20, 10, 5)])),
    "solid": ("other kind", _add("solid", [(10, 10), (20, 10), (20, 20)])),
    "ray": ("other kind", _add("ray", (10, 10), (1, 0))),
    "layer off": ("layer off", _with_layer("off")),
    "layer frozen": ("layer frozen", _with_layer("freeze")),
    "paper": ("on paper", _on_paper),
    "hidden": ("hidden", _add("circle", (30, 30), 5, layer="CUT", invisible=1)),
    "thick": ("thick", _add("circle", (30, 30), 5, layer="CUT", thickness=2)),
    "raised circle": ("raised", _add("circle", (30, 30, 1), 5, layer="CUT")),
    "raised line": ("raised", _add("line", (30, 30, 0), (40, 30, 2), layer="MARK")),
    "raised polyline": ("raised", _add("lwpolyline", [(30, 30), (40, 30)], layer="MARK",
                                       elevation=3)),
    "from behind": ("turned", _add("circle", (-30, 30), 5, layer="CUT", extrusion=(0, 0, -1))),
    "layer of no known use": ("unknown layer", _add("circle", (30, 30), 5, layer="NOTES")),
}  # fmt: skip


@pytest.mark.parametrize("what", ODD)
def test_what_no_cutter_should_meet_is_named_and_nothing_else(what: str, tmp_path: Path) -> None:
    name, make = ODD[what]
    doc = document("R2010")
    make(doc)
    found = check(read(saved(doc, tmp_path)))
    assert [each.name for each in found.findings] == [name]


@pytest.mark.parametrize(
    ("name", "change"),
    [
        ("raised", lambda plate: plate.dxf.set("elevation", 5)),
        ("thick", lambda plate: plate.dxf.set("thickness", 2)),
        ("hidden", lambda plate: plate.dxf.set("invisible", 1)),
        ("turned", lambda plate: plate.dxf.set("extrusion", (0, 0, -1))),
    ],
)
def test_an_outline_at_fault_is_told_and_not_what_hangs_on_it(
    name: str, change: Callable[[Any], None], tmp_path: Path
) -> None:
    """The mark and the hole stand in no part only because the outline is at fault."""
    doc, layer = document(), {"layer": "CUT"}
    space = doc.modelspace()
    change(space.add_lwpolyline([(0, 0), (90, 0), (90, 60), (0, 60)], close=True, dxfattribs=layer))
    space.add_circle((20, 30), 5, dxfattribs=layer)
    space.add_line((40, 30), (80, 30), dxfattribs={"layer": "MARK"})
    found = check(read(saved(doc, tmp_path)), rules("laser", 1.5))
    assert [each.name for each in found.findings] == [name]


def _code(code: int) -> bytes:
    doc = document(units=code)
    plate(doc)
    return text_of(doc)


def _sized(side: float) -> bytes:
    doc = document()
    as_light(doc, Contour.rectangle(0, 0, side, side / 2))
    return text_of(doc)


def _far() -> bytes:
    doc = document()
    as_light(doc, Contour.rectangle(50_000, 0, 50_100, 60))
    return text_of(doc)


def _nothing() -> bytes:
    doc = document()
    doc.modelspace().add_line((0, 0), (30, 0), dxfattribs={"layer": "MARK"})
    return text_of(doc)


FILES: dict[str, tuple[str, bytes]] = {
    "no unit": ("no unit", _code(0)), "cm": ("odd unit", _code(5)), "m": ("odd unit", _code(6)),
    "large": ("size absurd", _sized(3500)), "small": ("size absurd", _sized(2.5)),
    "far": ("far from the origin", _far()), "only marks": ("nothing to cut", _nothing()),
}  # fmt: skip


@pytest.mark.parametrize("what", FILES)
def test_what_is_wrong_with_a_whole_file(what: str, tmp_path: Path) -> None:
    name, data = FILES[what]
    file = tmp_path / "part.dxf"
    file.write_bytes(data)
    names = [each.name for each in check(read(file)).findings]
    # metres make a large part of an ordinary one
    assert set(names) - ({"size absurd", "far from the origin"} if what == "m" else set()) == {name}


def test_a_name_with_another_unit_than_the_header(tmp_path: Path) -> None:
    (tmp_path / "part-in.dxf").write_bytes(_code(4))
    assert [each.name for each in check(read(tmp_path / "part-in.dxf")).findings] == [
        "units at odds"
    ]


# Bad files ---------------------------------------------------------------------------------------

GOOD = _code(4)


def million() -> bytes:
    line = b"  0\nLINE\n  8\nCUT\n 10\n0.0\n 20\n0.0\n 11\n1.0\n 21\n1.0\n"
    return b"  0\nSECTION\n  2\nENTITIES\n" + line * 1_000_000 + b"  0\nENDSEC\n  0\nEOF\n"


BAD: dict[str, tuple[bytes, str]] = {
    "empty": (b"", "empty"),
    "blank": (b"\n \n", "empty"),
    "prose": (b"This is no drawing.\n", "no DXF"),
    "numbers": (b"1\n2\n3\n4\n", "no sections"),
    "zeros": (b"\0" * 4000, "not text"),
    "binary": (b"AutoCAD Binary DXF\r\n\x1a\x00" + b"\0" * 100, "binary"),
    "cut short": (GOOD[: len(GOOD) // 2], "cut short"),
    "without EOF": (GOOD.rstrip().removesuffix(b"EOF").rstrip().removesuffix(b"0"), "cut short"),
    "a group that is none": (GOOD.replace(b"ENTITIES", b"ENTITIES\nLINE", 1), "no group"),
    "no section of entities": (GOOD.replace(b"ENTITIES", b"NOTHING"), "without a section"),
    "a number that is none": (GOOD.replace(b"\n100.0\n", b"\nwide\n"), "broken"),
    "not a number": (GOOD.replace(b"\n100.0\n", b"\nnan\n"), "nan"),
    "infinite": (GOOD.replace(b"\n100.0\n", b"\n1e400\n"), "inf"),
    "beyond any sheet": (GOOD.replace(b"\n100.0\n", b"\n1e200\n"), "1e+200"),
    "a million entities": (million(), "more than 100000 entities"),
}


@pytest.mark.parametrize("what", BAD)
def test_bad_files_are_named(what: str, tmp_path: Path) -> None:
    data, says = BAD[what]
    file = tmp_path / "bad.dxf"
    file.write_bytes(data)
    with pytest.raises(BadInputError) as caught:
        read(file)
    (fault,) = caught.value.faults
    assert says in fault.given
    assert "given" not in fault.given  # a fault within a fault
    assert fault.field == str(file)
    assert fault.allowed
    assert fault.change


def test_what_is_no_file(tmp_path: Path) -> None:
    (tmp_path / "folder.dxf").mkdir()
    for path in (tmp_path / "none.dxf", tmp_path / "folder.dxf", Path("a\0b.dxf")):
        with pytest.raises(BadInputError):
            read(path)


def test_a_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(*_: Any, **__: Any) -> None:
        raise PermissionError(13, "Permission denied")

    file = tmp_path / "part.dxf"
    file.write_bytes(GOOD)
    monkeypatch.setattr(Path, "open", refused)
    with pytest.raises(BadInputError, match="Permission denied"):
        read(file)


def _mangled(rng: random.Random) -> bytes:
    data = bytearray(GOOD)
    lines = bytes(data).split(b"\n")
    first = next(i for i, line in enumerate(lines) if line.strip() == b"ENTITIES")
    match rng.randrange(4):
        case 0:
            for _ in range(rng.randrange(1, 9)):
                data[rng.randrange(len(data))] = rng.randrange(256)
            return bytes(data)
        case 1:
            return bytes(data[: rng.randrange(len(data))])
        case 2:
            for _ in range(rng.randrange(1, 4)):
                lines[rng.randrange(first, len(lines))] = rng.choice(
                    [b"nan", b"-1e400", b"abc", b"", b"  0", b"VERTEX", b"SEQEND", b"ENDSEC",
                     b"999999999999", b"\xff\xfe"]
                )  # fmt: skip
        case _:
            at = rng.randrange(len(lines))
            del lines[at : at + rng.randrange(1, 9)]
    return b"\n".join(lines)


@pytest.mark.parametrize("seed", range(60))
def test_no_mangled_file_ends_in_anything_but_words(
    seed: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "mangled.dxf"
    file.write_bytes(_mangled(random.Random(seed)))
    with contextlib.suppress(BadInputError):
        check(read(file))
    assert capsys.readouterr() == ("", "")
