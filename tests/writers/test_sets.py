"""Whole sets: SVG, PDF and DXF of one head agree with each other and with the model.

Each file is read by a library that its writer does not use: svgelements, pdfium, GDAL.
"""

from __future__ import annotations

import io
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pyogrio
import pypdfium2
import pytest
import shapely
import svgelements
from cases import FOLDED, soaked
from readers import PIXEL, check_bars, render

from patterns import pages, profiles, templates
from patterns.blank import ForgePlan
from patterns.build import Set, build, drawings, legend
from patterns.contour import Contour, Vertex
from patterns.drawing import Purpose

WITHIN = 0.01
"""Greatest distance [mm] between outlines that are to be one."""

# Designs that are not shipped: other eyes, bars, curves, and both unit systems.
UNSEEN: dict[str, tuple[str, tuple[str, ...]]] = {
    "stadium": (
        "belt-hatchet",
        ("eye.form=stadium", "eye.length=36 mm", "eye.width=17 mm", "bar.section=10 x 32 mm"),
    ),
    "superellipse": ("camp-axe", ("eye.form=superellipse", "eye.exponent=3", "eye.taper=0.5 mm")),
    "round": (
        "belt-hatchet",
        ("eye.form=circle", "eye.length=1 in", "eye.width=1 in", "blade.bottom.form=line",
         "blade.top.form=arc", "blade.top.hollow=1/16 in"),
    ),
}  # fmt: skip


@cache
def built(name: str) -> Set:
    base, changes = UNSEEN.get(name, (name, ()))
    return build(profiles.load(base, changes), units="mm" if name in UNSEEN else "in")


NAMES = [*(profiles.shipped() if soaked() else FOLDED), *UNSEEN]
"""A shipped head of each fold, and heads that are not shipped."""


def ring(points: list[tuple[float, float]]) -> shapely.Polygon:
    """A polygon with its lower left corner at the origin."""
    shape = shapely.Polygon(points)
    left, low, _, _ = shape.bounds
    return shapely.affinity.translate(shape, -left, -low)


def svg_rings(data: bytes, group: str) -> list[shapely.Polygon]:
    """The closed paths of a group, in mm, y upwards, each moved to the origin."""
    svg = svgelements.SVG.parse(io.BytesIO(data), reify=True, ppi=96)
    (found,) = [e for e in svg.elements() if e.id == group and isinstance(e, svgelements.Group)]
    rings = []
    for path in found.select():
        if not isinstance(path, svgelements.Path) or not isinstance(path[-1], svgelements.Close):
            continue
        points = []
        for part in path.segments():
            if isinstance(part, svgelements.Arc):
                points += [part.point(t) for t in np.linspace(0.0, 1.0, 40)]
            elif isinstance(part, svgelements.Line):
                points += [part.start, part.end]
        mm = 25.4 / 96.0
        rings.append(ring([(p.x * mm, -p.y * mm) for p in points]))
    return rings


def dxf_rings(data: bytes, tmp_path: Path, unit: str) -> list[shapely.Polygon]:
    """The closed contours of layer CUT as GDAL reads them, in mm, each moved to the origin."""
    path = tmp_path / "pattern.dxf"
    path.write_bytes(data)
    # GDAL flattens arcs at 4 degrees unless told otherwise: 0.16 mm off on a long edge
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": 0.25})
    try:
        _, _, shapes, fields = pyogrio.raw.read(path, columns=["Layer"])
    finally:
        pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": None})
    scale = {"in": 25.4, "mm": 1.0}[unit]
    rings = []
    for shape, layer in zip(shapely.from_wkb(shapes), fields[0], strict=True):
        if layer == "CUT":
            assert shape.geom_type in {"LineString", "Polygon"}
            line = shape if shape.geom_type == "LineString" else shape.exterior
            assert line.is_ring
            rings.append(ring([(x * scale, y * scale) for x, y in shapely.get_coordinates(line)]))
    return rings


def apart(one: shapely.Polygon, other: shapely.Polygon) -> float:
    """Greatest distance between two outlines [mm], looked at every 0.2 mm along both."""
    found = []
    for line, to in ((one.exterior, other.exterior), (other.exterior, one.exterior)):
        ends = shapely.get_coordinates(to)
        tree = shapely.STRtree(shapely.linestrings(np.stack([ends[:-1], ends[1:]], axis=1)))
        places = shapely.points(shapely.get_coordinates(shapely.segmentize(line, 0.2)))
        _, off = tree.query_nearest(places, return_distance=True, all_matches=False)
        found.append(float(off.max()))
    return max(found)


def largest(rings: list[shapely.Polygon]) -> shapely.Polygon:
    return max(rings, key=lambda shape: shape.area)


def model(plan: ForgePlan, number: int, unit: str = "mm") -> shapely.Polygon:
    names = [templates.PATTERNS[number]]
    (template,) = templates.templates(plan, templates.usual_way(unit), names).made
    drawing = template.drawing()
    return largest([ring(s.contour.points(0.001)) for s in drawing.strokes
                    if s.purpose is Purpose.CUT])  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_svg_dxf_and_model_agree_on_the_outlines(name: str, tmp_path: Path) -> None:
    made = built(name)
    blank, head = (model(made.plan, i) for i in range(2))
    assert apart(largest(svg_rings(made.files["6-steel.svg"], "cut")), blank) < WITHIN
    assert apart(largest(svg_rings(made.files["3-head.svg"], "outline")), head) < WITHIN
    files = {"blank": blank, "head": head}
    for i, file in ((2, "bit"), (3, "plate")):
        if f"{file}-in.dxf" in made.files:
            files[file] = model(made.plan, i)
    assert ("bit" in files) == (made.plan.bit is not None)
    assert ("plate" in files) == (made.plan.plate is not None)
    for file, wanted in files.items():
        for unit in ("in", "mm"):
            found = dxf_rings(made.files[f"{file}-{unit}.dxf"], tmp_path, unit)
            assert apart(largest(found), wanted) < WITHIN


def test_a_vertex_moved_a_tenth_of_a_millimetre_is_seen() -> None:
    made = built("belt-hatchet")
    head = model(made.plan, 1)
    contour = made.plan.head.side.contour
    moved = list(contour.vertices)
    moved[5] = Vertex(moved[5].x, moved[5].y + 0.1, moved[5].bulge)
    spoiled = ring(replace(contour, vertices=tuple(moved)).points(0.001))
    assert apart(spoiled, head) > WITHIN
    larger = ring([(x * 1.01, y * 1.01) for x, y in head.exterior.coords])
    assert apart(larger, head) > WITHIN


def test_the_head_has_true_arcs_in_dxf() -> None:
    import ezdxf

    made = built("camp-axe")
    document = ezdxf.read(io.StringIO(made.files["head-mm.dxf"].decode()))
    (outline, hole) = document.modelspace().query('LWPOLYLINE[layer=="CUT"]')
    assert outline.closed
    assert hole.closed
    bulges = [point[4] for point in outline.get_points()]
    assert sum(1 for b in bulges if b != 0.0) > 10
    edge = max(made.plan.head.side.contour.pieces, key=lambda p: p.length if p.bulge else 0.0)
    assert any(b == pytest.approx(edge.bulge, abs=1e-9) for b in bulges)


def strip_edges(page: np.ndarray, laid: pages.Page, contour: Contour) -> list[float]:
    """How far the four sides of a strip's drawn line stand from their place [mm].

    Each side is looked at where nothing else touches it, and its place is the middle of its ink.
    The level sides of a waisted plate are those of its waist, near the middle.
    """
    box = contour.bounds
    low, high, share = box.bottom, box.top, 0.06
    if len(contour.vertices) > 4:
        share = 0.45  # where the waist runs nearly level, clear of the centre line
        x = box.left + share * box.width
        line = shapely.LineString([(x, low - 1.0), (x, high + 1.0)])
        _, low, _, high = shapely.Polygon(contour.points(0.001)).intersection(line).bounds
    height = page.shape[0]
    errors = []
    for place, along, upright in (
        (box.left + laid.dx, box.bottom + laid.dy + 0.35 * box.height, True),
        (box.right + laid.dx, box.bottom + laid.dy + 0.35 * box.height, True),
        (low + laid.dy, box.left + laid.dx + share * box.width, False),
        (high + laid.dy, box.left + laid.dx + share * box.width, False),
    ):
        near = np.arange(round((place - 1.0) / PIXEL), round((place + 1.0) / PIXEL))
        if upright:
            ink = 255.0 - page[height - round(along / PIXEL), near].astype(float)
        else:
            ink = 255.0 - page[height - 1 - near, round(along / PIXEL)].astype(float)
        assert ink.sum() > 255.0 * 10  # 0.7 mm of line is 16 pixels
        errors.append(abs(((near + 0.5) * ink).sum() / ink.sum() * PIXEL - place))
    return errors


@pytest.mark.parametrize("name", NAMES)
def test_bars_and_blank_measure_true_on_every_page(name: str) -> None:
    """At 600 dpi, to half a pixel: the three bars of each page, and the strips of the blank. Every
    page of a head of each fold and of those that are not shipped; of the others the blank's, and
    the first and the last of the rest."""
    made = built(name)
    base, changes = UNSEEN.get(name, (name, ()))
    data = made.files[f"{profiles.load(base, changes).slug}.pdf"]
    units = "mm" if name in UNSEEN else "in"
    count = len(pypdfium2.PdfDocument(data))
    assert count >= 6
    whole = name in (*FOLDED, *UNSEEN) or soaked()
    for number in range(count) if whole else (0, 1, count - 1):
        check_bars(render(data, number))
    _, sheet = next(drawings(made.plan, units))
    laid = pages.lay(sheet, legend(made.plan, units))
    if len(laid) == 1:
        picture = render(data, 0)
        strips = [s.contour for s in sheet.strokes if s.purpose is Purpose.OUTLINE]
        assert len(strips) == len({mark.face for mark in made.plan.marks})
        for strip in strips:
            assert strip.bounds.width == pytest.approx(made.plan.cut_length, abs=1e-9)
            assert max(strip_edges(picture, laid[0], strip)) < PIXEL / 2
