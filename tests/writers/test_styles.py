"""The styles a file to cut may be asked for in, read back by ezdxf, GDAL and trimesh."""

from __future__ import annotations

import io
import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import ezdxf
import pyogrio
import pytest
import shapely
import trimesh
from cases import FOLDED

from patterns import blank, profiles, templates
from patterns.contour import Contour
from patterns.cut_file import read
from patterns.drawing import Drawing, Purpose, Stroke
from patterns.errors import BadInputError, NotFitToCutError
from patterns.layers import Layer, Layers, load
from patterns.to_cut import Style, file_name, styled, to_cut
from patterns.writers import dxf

SCALE = {"mm": 1.0, "in": 25.4}
PLATE = Contour.rounded([(0, 0, 0), (80, 0, 12), (80, 50, 0), (0, 50, 5)])
HOLE = Contour.circle(30, 25, 6).reversed()
SLOT = Contour.rectangle(50, 20, 70, 23).reversed()  # 3 mm wide


def plate(*more: Contour) -> Drawing:
    cuts = tuple(Stroke(cut, Purpose.CUT) for cut in (PLATE, HOLE, *more))
    return Drawing("plate", "Plate", (*cuts, Stroke(Contour.line((5, 5), (5, 15)), Purpose.MARK)))


@pytest.fixture(scope="module", autouse=True)
def _fine_arcs() -> Iterator[None]:
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": "0.1"})
    yield
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": None})


def by_gdal(path: Path) -> list[tuple[str, shapely.Geometry]]:
    meta, _, shapes, fields = pyogrio.raw.read(path)
    layers = fields[list(meta["fields"]).index("Layer")]
    return list(zip(layers, shapely.from_wkb(shapes), strict=True))


def written(style: Style, folder: Path, units: str = "mm", drawing: Drawing | None = None) -> Path:
    path = folder / file_name("plate", units, style)
    path.write_bytes(dxf.write(drawing or plate(), units, style))
    return path


def area(shape: shapely.Geometry) -> float:
    return float(shapely.Polygon(shape.coords).area)


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("version", ["R2000", "R12"])
def test_both_versions_hold_the_same_plate(version: str, units: str, tmp_path: Path) -> None:
    path = written(Style(version), tmp_path, units)
    doc = ezdxf.readfile(path)
    assert doc.dxfversion == {"R2000": "AC1015", "R12": "AC1009"}[version]
    kinds = {entity.dxftype() for entity in doc.modelspace()}
    assert kinds == {"LWPOLYLINE" if version == "R2000" else "POLYLINE"}
    rings = [shape for layer, shape in by_gdal(path) if layer == "CUT"]
    scale = SCALE[units]
    assert all(ring.is_closed for ring in rings)
    # by hand: 80 x 50 less what rounding takes of a corner, r^2 (1 - pi/4)
    whole = 80 * 50 - (12**2 + 5**2) * (1 - math.pi / 4)
    assert sorted(area(ring) * scale**2 for ring in rings) == pytest.approx(
        [36 * math.pi, whole], rel=2e-6
    )
    found = read(path)
    assert found.units == units
    assert [run.role for run in found.runs] == ["outside", "inside", "mark"]
    assert found.runs[0].contour.area == pytest.approx(whole, rel=1e-9)


@pytest.mark.parametrize("version", ["R2000", "R12"])
def test_trimesh_reads_the_same_size(version: str, tmp_path: Path) -> None:
    path = written(Style(version, segments=0.001), tmp_path)
    with path.open("rb") as stream:
        found = trimesh.load_path(stream, file_type="dxf")
    assert found.bounds.tolist() == [pytest.approx([0, 0]), pytest.approx([80, 50])]
    lengths = sorted(entity.length(found.vertices) for entity in found.entities)
    assert lengths == pytest.approx([10.0, 12 * math.pi, PLATE.length], rel=1e-3)


@pytest.mark.parametrize("within", [0.5, 0.05, 0.005])
def test_segments_stand_no_further_off_than_asked(within: float, tmp_path: Path) -> None:
    path = written(Style(segments=within), tmp_path)
    doc = ezdxf.readfile(path)
    for entity in doc.modelspace():
        assert not any(bulge for *_, bulge in entity.get_points("xyb"))
    fine = shapely.LineString([*PLATE.points(1e-5), PLATE.points(1e-5)[0]])
    (ring,) = [s for _, s in by_gdal(path) if s.is_closed and area(s) > 1000]
    off = shapely.hausdorff_distance(shapely.LineString(ring.coords), fine, densify=0.05)
    assert off <= within + 1e-4
    assert off > within / 20.0  # and not finer than it need be


def test_a_round_hole_in_segments_still_takes_its_pin(tmp_path: Path) -> None:
    for style in (Style(segments=0.1), Style(segments=0.1, lead=3.0)):
        hole = next(run for run in read(written(style, tmp_path)).runs if run.role == "inside")
        ring = shapely.Polygon(hole.contour.points())
        middle = shapely.Point(30, 25)
        assert ring.exterior.distance(middle) == pytest.approx(6.0, abs=1e-6)
        assert max(middle.distance(shapely.Point(p)) for p in ring.exterior.coords) <= 6.1 + 1e-6


def test_the_shops_own_layers(tmp_path: Path) -> None:
    table = tmp_path / "shop.csv"
    table.write_text("what,name,colour\noutside,Profile,2\ninside,Holes,3\nmark,Scribe,4\n")
    layers = load(table)
    path = written(Style(layers=layers), tmp_path)
    doc = ezdxf.readfile(path)
    on = {entity.dxf.layer for entity in doc.modelspace()}
    assert on == {"Profile", "Holes", "Scribe"}
    assert [doc.layers.get(name).color for name in ("Profile", "Holes", "Scribe")] == [2, 3, 4]
    assert [run.role for run in read(path, layers).runs] == ["outside", "inside", "mark"]
    assert {run.role for run in read(path).runs} == {""}  # under other names they are unknown


# The kerf ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("kerf", [0.2, 1.5, 3.0])
def test_a_kerf_grows_outlines_and_shrinks_holes_exactly(kerf: float, tmp_path: Path) -> None:
    """By Steiner: a convex outline gains P b + pi b^2; a circle of 6 becomes one of 6 - b."""
    path = written(Style(kerf=kerf), tmp_path)
    b = kerf / 2.0
    assert path.name == f"plate-kerf-{kerf:.2f}-mm.dxf"
    whole, hole = sorted((area(s) for layer, s in by_gdal(path) if layer == "CUT"), reverse=True)
    assert whole == pytest.approx(PLATE.area + PLATE.length * b + math.pi * b * b, rel=1e-6)
    assert hole == pytest.approx(math.pi * (6 - b) ** 2, rel=1e-6)
    fine = shapely.Polygon(PLATE.points(1e-4)).buffer(b, quad_segs=400)
    outline = read(path).runs[0].contour
    assert (
        shapely.hausdorff_distance(
            shapely.Polygon(outline.points(1e-4)).exterior, fine.exterior, densify=0.05
        )
        < 5e-4
    )


def test_a_kerf_keeps_lines_and_arcs(tmp_path: Path) -> None:
    outline = read(written(Style(kerf=1.5), tmp_path)).runs[0].contour
    radii = sorted(round(piece.radius, 6) for piece in outline.pieces if not piece.is_line)
    assert radii == [0.75, 0.75, 5.75, 12.75]  # two sharp corners, two that were round


def test_a_slot_that_the_kerf_closes_is_refused() -> None:
    assert to_cut(plate(SLOT), Style(kerf=2.8))
    with pytest.raises(NotFitToCutError, match=r"3\.000 mm wide"):
        to_cut(plate(SLOT), Style(kerf=3.2))


def test_an_outline_that_runs_into_another_is_refused() -> None:
    other = Stroke(PLATE.moved(82.0, 0.0), Purpose.CUT)
    near = replace(plate(), strokes=(*plate().strokes, other))
    assert to_cut(near, Style(kerf=1.5))
    with pytest.raises(NotFitToCutError, match="cross or touch"):
        to_cut(near, Style(kerf=2.5))


def test_the_name_tells_the_kerf() -> None:
    assert file_name("bit", "mm", Style()) == "bit-mm.dxf"
    assert file_name("bit", "in", Style(kerf=0.25 * 25.4)) == "bit-kerf-0.250-in.dxf"


# Lead-ins ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("kerf", [0.0, 1.5])
@pytest.mark.parametrize("segments", [None, 0.01])
def test_leads_come_from_the_scrap_and_go_all_round(
    kerf: float, segments: float | None, tmp_path: Path
) -> None:
    style = Style(lead=4.0, kerf=kerf, segments=segments)
    path = written(style, tmp_path)
    assert path.name.endswith("-with-leads-mm.dxf")
    plain = {run.role: run for run in to_cut(plate(), Style(kerf=kerf))}
    metal = shapely.Polygon(plain["outside"].contour.points(0.001))
    hole = shapely.Polygon(plain["inside"].contour.points(0.001))
    paths = [shape for layer, shape in by_gdal(path) if layer == "CUT"]
    assert len(paths) == 2
    assert not any(shape.is_closed for shape in paths)
    for shape in paths:
        pierce = shapely.Point(shape.coords[0])
        inside = shape.length < 100
        if inside:
            assert hole.contains(pierce)
            assert hole.exterior.distance(pierce) > 1.4
        else:
            assert not metal.intersects(pierce)
            assert metal.distance(pierce) > 1.4
    found = {run.role: run for run in read(path).runs}
    for role in ("outside", "inside"):
        assert found[role].lead is not None
        assert found[role].contour.closed
        off = abs(found[role].contour.area) / abs(plain[role].contour.area) - 1.0
        assert abs(off) < (1e-6 if segments is None else 3e-3)


def test_leads_without_room_are_refused() -> None:
    tight = replace(
        plate(), strokes=(*plate().strokes, Stroke(Contour.circle(30, 42.5, 0.3), Purpose.CUT))
    )
    with pytest.raises(NotFitToCutError, match="lead-in"):
        to_cut(tight, Style(lead=4.0, kerf=0.5))


def test_parts_in_the_hardest_style_are_read_back_true(tmp_path: Path) -> None:
    """The whole road, for a head of each fold: for an old program and a table of one's own. By
    turns of the parts, so that each kind is read back from some heads."""
    style = Style("R12", 0.02, Layers(Layer("A", 1), Layer("B", 2), Layer("C", 3)), 0.3, 3.0)
    seen, kinds = Counter[str](), set[str]()
    for turn, name in enumerate(FOLDED):
        plan = blank.plan(profiles.load(name).design)
        made = templates.templates(plan, templates.usual_way("in")).made
        kinds |= {template.name for template in made}
        for template in made[turn % 2 :: 2]:
            path = tmp_path / file_name(f"{name}-{template.name}", "in", style)
            try:
                path.write_bytes(dxf.write(template.drawing(), "in", style))
            except NotFitToCutError as error:
                assert "lead-in" in str(error) or "offset" in str(error)  # noqa: PT017
                continue
            box = template.part.cuts[0].bounds
            found = read(path, style.layers)
            outline = next(run for run in found.runs if run.role == "outside")
            assert outline.contour.bounds.width == pytest.approx(box.width + 0.3, abs=0.05)
            assert outline.contour.bounds.height == pytest.approx(box.height + 0.3, abs=0.05)
            seen[template.name] += 1
    assert set(seen) == kinds
    assert seen.total() > 15


def test_runs_that_are_styled_keep_their_order_and_roles() -> None:
    runs = to_cut(plate(), Style())
    again = styled(runs, Style(kerf=1.0), "plate")
    assert [run.role for run in again] == [run.role for run in runs]


# The table of layers -----------------------------------------------------------------------------

BAD_TABLES = {
    "what,name,colour\nmark,CUT,5\n": "a layer of its own for marks",
    "what,name,colour\noutside,A B,5\n": "letters, digits",
    "what,name,colour\noutside,A,5\noutside,B,5\n": "each once",
    "what,name,colour\noutside,A,5\ninside,A,6\n": "as of the same layer",
    "what,name,colour\nscribe,A,5\n": "outside, inside",
    "what,name,colour\nmark,A,300\n": "1 to 255",
    "what,name,colour\nmark,,3\n": "name",
    "": "headings",
    "layer,name\nmark,A\n": "what",
}


@pytest.mark.parametrize("text", BAD_TABLES)
def test_a_bad_table_is_told(text: str, tmp_path: Path) -> None:
    table = tmp_path / "shop.csv"
    table.write_text(text)
    with pytest.raises(BadInputError, match=BAD_TABLES[text]):
        load(table)


def test_the_same_input_gives_the_same_bytes() -> None:
    style = Style("R12", 0.01, kerf=1.0, lead=3.0)
    assert dxf.write(plate(), "in", style) == dxf.write(plate(), "in", style)
    with pytest.raises(ValueError, match="R2000 or R12"):
        dxf.write(plate(), "in", Style("R14"))
    assert io.BytesIO(dxf.write(plate(), "in")).read(3) == b"  0"
