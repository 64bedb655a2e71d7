"""DXF read by ezdxf (entities, header) and by GDAL (extents, areas), its own reader."""

from __future__ import annotations

import io
import math
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import ezdxf
import pyogrio
import pytest
import shapely
from ezdxf.document import Drawing as Document
from readers import HOLE, PLATE, PLATE_AREA, PLATE_BOX, plate

from patterns import to_cut
from patterns.contour import Contour, Vertex
from patterns.drawing import Drawing, Label, Purpose, Stroke
from patterns.writers import dxf

SCALE = {"mm": 1.0, "in": 25.4}


@pytest.fixture(scope="module", autouse=True)
def _fine_arcs() -> Iterator[None]:
    """GDAL flattens arcs, to 4 degrees unless told otherwise."""
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": "0.1"})
    yield
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": None})


def document(data: bytes) -> Document:
    return ezdxf.read(io.StringIO(data.decode("cp1252").replace("\r\n", "\n")))


def by_gdal(data: bytes, folder: Path) -> list[tuple[str, shapely.Geometry]]:
    """Layer and shape of every entity."""
    file = folder / "pattern.dxf"
    file.write_bytes(data)
    meta, _, shapes, fields = pyogrio.raw.read(file)
    layers = fields[list(meta["fields"]).index("Layer")]
    return list(zip(layers, shapely.from_wkb(shapes), strict=True))


def check_plate(data: bytes, units: str, folder: Path) -> None:
    """Two rings to cut, with the size, place and area worked out by hand."""
    scale = SCALE[units]
    rings = [shape for layer, shape in by_gdal(data, folder) if layer == "CUT"]
    assert len(rings) == 2
    for ring in rings:
        assert ring.is_closed
        assert ring.is_simple
    outer, inner = sorted(rings, key=lambda ring: -ring.length)
    box = [side * scale for side in outer.bounds]
    wanted = (PLATE_BOX.left, PLATE_BOX.bottom, PLATE_BOX.right, PLATE_BOX.top)
    assert box == pytest.approx(wanted, abs=1e-4)
    # steps of 0.1 degree: an arc's segment is short of its area by a share of 5e-7
    area = shapely.Polygon(outer.coords).area * scale**2
    assert area == pytest.approx(PLATE_AREA, abs=0.01)
    hole = shapely.Polygon(inner.coords).area * scale**2
    assert hole == pytest.approx(math.pi * HOLE[2] ** 2, abs=0.001)
    middle = shapely.Polygon(inner.coords).centroid
    assert (middle.x * scale, middle.y * scale) == pytest.approx(HOLE[:2], abs=1e-4)


@pytest.mark.parametrize("units", ["mm", "in"])
def test_gdal_reads_sizes_and_areas(units: str, tmp_path: Path) -> None:
    check_plate(dxf.write(plate(Purpose.CUT), units), units, tmp_path)


def test_a_vertex_moved_a_tenth_of_a_millimetre_is_seen(tmp_path: Path) -> None:
    with pytest.raises(AssertionError):
        check_plate(dxf.write(plate(Purpose.CUT, moved=0.1), "mm"), "mm", tmp_path)


def test_a_file_scaled_by_one_per_cent_is_seen(tmp_path: Path) -> None:
    doc = document(dxf.write(plate(Purpose.CUT), "in"))
    for entity in doc.modelspace():
        entity.scale_uniform(1.01) if hasattr(entity, "scale_uniform") else entity.scale(
            1.01, 1.01, 1.01
        )
    out = io.StringIO()
    doc.write(out)
    with pytest.raises(AssertionError):
        check_plate(doc.encode(out.getvalue()), "in", tmp_path)


def test_only_polylines_on_two_layers_and_nothing_elsewhere() -> None:
    doc = document(dxf.write(plate(Purpose.CUT), "mm"))
    assert doc.dxfversion == "AC1015"
    assert {entity.dxftype() for entity in doc.modelspace()} == {"LWPOLYLINE"}
    assert {entity.dxf.layer for entity in doc.modelspace()} == {"CUT", "MARK"}
    for entity in doc.modelspace():
        assert entity.dxf.get("color", 256) == 256  # by layer
    for layout in doc.layouts:
        if layout.name != "Model":
            assert not [e for e in layout if e.dxftype() != "VIEWPORT"]
    assert {block.name for block in doc.blocks} <= {"*Model_Space", "*Paper_Space"}


def test_ezdxf_finds_nothing_to_mend() -> None:
    auditor = document(dxf.write(plate(Purpose.CUT), "in")).audit()
    assert not auditor.errors
    assert not auditor.fixes


def test_corners_and_bulges_are_the_plates_own() -> None:
    doc = document(dxf.write(plate(Purpose.CUT), "mm"))
    outer = next(e for e in doc.modelspace() if e.dxf.layer == "CUT")
    assert outer.closed
    assert [tuple(p) for p in outer.get_points("xyb")] == [
        pytest.approx((v.x, v.y, v.bulge), abs=1e-9) for v in PLATE.vertices
    ]


def test_marks_are_open_unless_they_are_rings() -> None:
    doc = document(dxf.write(plate(Purpose.CUT, labels=False), "mm"))
    marks = [e for e in doc.modelspace() if e.dxf.layer == "MARK"]
    assert len(marks) == 4
    assert not any(e.closed for e in marks)
    lettered = document(dxf.write(plate(Purpose.CUT), "mm"))
    assert sum(e.dxf.layer == "MARK" for e in lettered.modelspace()) > 4 + 15


@pytest.mark.parametrize(("units", "insert", "metric"), [("in", 1, 0), ("mm", 4, 1)])
def test_header_states_units_and_extents(units: str, insert: int, metric: int) -> None:
    header = document(dxf.write(plate(Purpose.CUT), units)).header
    assert header["$INSUNITS"] == insert
    assert header["$MEASUREMENT"] == metric
    scale = SCALE[units]
    low = (PLATE_BOX.left / scale, PLATE_BOX.bottom / scale)
    high = (PLATE_BOX.right / scale, PLATE_BOX.top / scale)
    assert tuple(header["$EXTMIN"])[:2] == pytest.approx(low, abs=1e-9)
    assert tuple(header["$EXTMAX"])[:2] == pytest.approx(high, abs=1e-9)
    assert tuple(header["$LIMMIN"]) == pytest.approx(low, abs=1e-9)
    assert tuple(header["$LIMMAX"]) == pytest.approx(high, abs=1e-9)


def test_two_runs_are_equal_and_ezdxf_is_left_as_it_was() -> None:
    before = ezdxf.options.write_fixed_meta_data_for_testing
    assert dxf.write(plate(Purpose.CUT), "in") == dxf.write(plate(Purpose.CUT), "in")
    assert ezdxf.options.write_fixed_meta_data_for_testing is before is False
    with pytest.raises(ValueError, match="no lettering"):
        dxf.write(replace(plate(Purpose.CUT), labels=(Label("斧", 70, 40),)), "in")
    assert ezdxf.options.write_fixed_meta_data_for_testing is False


def test_other_units_are_refused() -> None:
    with pytest.raises(ValueError, match="in or mm"):
        dxf.write(plate(Purpose.CUT), "cm")


# What must not reach a cutting table -------------------------------------------------------------

SQUARE = Contour.rectangle(0, 0, 40, 30)


def drawn(*contours: Contour, marks: tuple[Contour, ...] = ()) -> Drawing:
    return Drawing(
        "p",
        "P",
        tuple(Stroke(c, Purpose.CUT) for c in contours)
        + tuple(Stroke(c, Purpose.MARK) for c in marks),
    )


SPOILED = {
    "is open": drawn(replace(SQUARE, closed=False)),
    "crosses or touches itself": drawn(Contour.polygon([(0, 0), (40, 30), (40, 0), (0, 20)])),
    "without length": drawn(Contour((Vertex(0, 0), Vertex(0, 0), Vertex(40, 0), Vertex(40, 30)))),
    "there twice": drawn(SQUARE, SQUARE.reversed()),
    "there twice, begun elsewhere": drawn(
        SQUARE, Contour(SQUARE.vertices[2:] + SQUARE.vertices[:2])
    ),
    "crosses or touches another": drawn(SQUARE, Contour.circle(40, 15, 4)),
    "touching from inside": drawn(SQUARE, Contour.circle(36, 15, 4)),
    "no area": drawn(Contour((Vertex(0, 0), Vertex(40, 0)))),
    "runs off the plate": drawn(SQUARE, marks=(Contour.line((20, 15), (20, 31)),)),
    "nothing to cut": drawn(marks=(Contour.line((20, 15), (20, 31)),)),
    "neither cut nor mark": Drawing(
        "p", "P", (Stroke(SQUARE, Purpose.CUT), Stroke(Contour.circle(9, 9, 2), Purpose.OUTLINE))
    ),
    "is filled": Drawing("p", "P", (Stroke(SQUARE, Purpose.CUT, filled=True),)),
    "letters off the plate": replace(drawn(SQUARE), labels=(Label("far", 36, 10, 3),)),
}
SAYS = {
    "is open": "an open contour: the widest gap is 30.00 mm",
    "crosses or touches itself": "crosses or touches itself, at 16.00, 12.00 mm",
    "without length": "the same corner twice running",
    "there twice": "the same contour twice",
    "there twice, begun elsewhere": "the same contour twice",
    "crosses or touches another": "contours that cross or touch each other",
    "touching from inside": "contours that cross or touch each other",
    "no area": "runs back on itself",
    "runs off the plate": "a mark that runs off the part",
    "letters off the plate": "a mark that runs off the part",
}


@pytest.mark.parametrize("what", SPOILED)
def test_a_drawing_that_is_unfit_to_cut_is_refused(what: str) -> None:
    with pytest.raises(ValueError, match=SAYS.get(what, what)):
        dxf.write(SPOILED[what], "mm")


def test_all_faults_are_told_at_once() -> None:
    bad = drawn(replace(SQUARE, closed=False), SQUARE.moved(100, 0), SQUARE.moved(100, 0))
    assert len(to_cut.lint(bad)) == 2


def test_sound_plates_pass() -> None:
    hole, far = Contour.circle(20, 15, 5), SQUARE.moved(60, 0)
    mark = Contour.line((5, 5), (5, 30))  # up to the very edge
    assert to_cut.lint(drawn(SQUARE, hole, far, marks=(mark,))) == []
