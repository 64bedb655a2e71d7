"""Area, centroid and length of contours against other libraries and closed forms.

No shape here is symmetrical about anything that would let a wrong place pass.
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon

from patterns.contour import Contour, Vertex

POLYGON = [(0, 0), (120, 0), (150, 30), (150, 70), (60, 60), (0, 50)]


def test_polygon_by_hand() -> None:
    """A hatchet's side view as six points: Green's theorem, cross products of neighbours.

    0, 3600, 6000, 4800, 3000, 0: area 17 400 / 2. First moments, cross x (sum of neighbours):
    3600 x 270 + 6000 x 300 + 4800 x 210 + 3000 x 60 = 3 960 000, over 6: 660 000 = 8700 x 75.862;
    3600 x 30 + 6000 x 100 + 4800 x 130 + 3000 x 110 = 1 662 000, over 6: 277 000 = 8700 x 31.839.
    """
    shape = Contour.polygon(POLYGON)
    assert shape.area == 8700.0
    assert shape.centroid == pytest.approx((660000 / 8700, 277000 / 8700), rel=1e-13)
    # sides 120, 30 sqrt 2, 40, sqrt 8200, sqrt 3700, 50
    length = 210.0 + 30.0 * math.sqrt(2.0) + math.sqrt(8200.0) + math.sqrt(3700.0)
    assert shape.length == pytest.approx(length, rel=1e-13)


def test_polygon_against_sectionproperties() -> None:
    """The sectionproperties library meshes the shape and sums finite elements: exact for area.

    It is in the extra `opinions`: its mesher must be compiled. Without it the test is skipped.
    """
    analysis = pytest.importorskip("sectionproperties.analysis")
    pre = pytest.importorskip("sectionproperties.pre")
    geometry = pre.Geometry(Polygon(POLYGON))
    geometry.create_mesh(mesh_sizes=[0])
    section = analysis.Section(geometry)
    section.calculate_geometric_properties()
    shape = Contour.polygon(POLYGON)
    assert shape.area == pytest.approx(section.get_area(), rel=1e-9)
    assert shape.centroid == pytest.approx(tuple(map(float, section.get_c())), rel=1e-9)


@pytest.mark.parametrize("degrees", [10.0, 75.0, 180.0, 250.0, 340.0])
@pytest.mark.parametrize("lean", [0.0, 0.7, 3.9])
def test_circular_segment(degrees: float, lean: float) -> None:
    """Segment of angle a and radius R: area R^2 (a - sin a)/2, centroid 4 R sin^3(a/2) / (3 (a -
    sin a)) from the centre, length R a + 2 R sin(a/2); closed forms of any mechanics text."""
    radius, a = 37.0, math.radians(degrees)
    x, y = -12.0, 55.0
    start = (x + radius * math.cos(lean - a / 2), y + radius * math.sin(lean - a / 2))
    end = (x + radius * math.cos(lean + a / 2), y + radius * math.sin(lean + a / 2))
    segment = Contour((Vertex(*start, math.tan(a / 4)), Vertex(*end)))
    off = 4.0 * radius * math.sin(a / 2) ** 3 / (3.0 * (a - math.sin(a)))
    # for 10 degrees a - sin a loses four digits in both
    assert segment.area == pytest.approx(radius**2 * (a - math.sin(a)) / 2, rel=1e-10)
    assert segment.length == pytest.approx(radius * a + 2 * radius * math.sin(a / 2), rel=1e-12)
    assert segment.centroid == pytest.approx(
        (x + off * math.cos(lean), y + off * math.sin(lean)), rel=1e-8
    )


def rounded(points: list[tuple[float, float]], radius: float) -> Contour:
    """A convex counter-clockwise polygon with a rim ``radius`` wide all round it, as true arcs."""
    count = len(points)
    normals = []
    for k in range(count):
        (x0, y0), (x1, y1) = points[k], points[(k + 1) % count]
        normals.append(math.atan2(y1 - y0, x1 - x0) - math.pi / 2)
    vertices = []
    for k, (x, y) in enumerate(points):
        before, after = normals[k - 1], normals[k]
        turn = (after - before) % math.tau
        vertices += [
            Vertex(
                x + radius * math.cos(before), y + radius * math.sin(before), math.tan(turn / 4)
            ),
            Vertex(x + radius * math.cos(after), y + radius * math.sin(after)),
        ]
    return Contour(tuple(vertices))


CONVEX = [(0.0, 0.0), (90.0, -20.0), (110.0, 15.0), (60.0, 70.0), (5.0, 40.0)]


def test_rim_by_steiner_and_shapely() -> None:
    """Area A + P r + pi r^2 and length P + 2 pi r (Steiner); Shapely with 2000 sides a quarter."""
    core = Contour.polygon(CONVEX)
    shape = rounded(CONVEX, 9.0)
    assert shape.area == pytest.approx(core.area + 9.0 * core.length + 81.0 * math.pi, rel=1e-13)
    assert shape.length == pytest.approx(core.length + 18.0 * math.pi, rel=1e-13)
    fine = Polygon(CONVEX).buffer(9.0, quad_segs=2000)
    # a chord of 1/2000 of a quarter turn cuts 1e-7 of the arc
    assert shape.area == pytest.approx(fine.area, rel=1e-7)
    assert shape.length == pytest.approx(fine.exterior.length, rel=1e-7)
    assert shape.centroid == pytest.approx((fine.centroid.x, fine.centroid.y), rel=1e-7)
    bounds = shape.bounds
    assert (bounds.left, bounds.bottom, bounds.right, bounds.top) == pytest.approx(fine.bounds)


def test_coarse_rims_of_polygons_are_seen() -> None:
    # the usual sixteen sides a quarter are too few: the comparison above can fail
    coarse = Polygon(CONVEX).buffer(9.0, quad_segs=16)
    assert rounded(CONVEX, 9.0).area != pytest.approx(coarse.area, rel=1e-6)


def test_hollow_arc_by_taking_away() -> None:
    """A plate 100 x 60 with a round bite of 15 mm out of its upper side at x = 70.

    Plate 6000 at (50, 30), less a half disc of 112.5 pi, its centroid 4 x 15 / (3 pi) = 20/pi
    below the edge at (70, 60 - 20/pi).
    """
    bitten = Contour(
        (Vertex(0, 0), Vertex(100, 0), Vertex(100, 60), Vertex(85, 60, -1.0), Vertex(55, 60),
         Vertex(0, 60))
    )  # fmt: skip
    disc = 112.5 * math.pi
    area = 6000.0 - disc
    assert bitten.area == pytest.approx(area, rel=1e-13)
    assert bitten.centroid == pytest.approx(
        (
            (6000.0 * 50.0 - disc * 70.0) / area,
            (6000.0 * 30.0 - disc * (60.0 - 20.0 / math.pi)) / area,
        ),
        rel=1e-12,
    )
    assert bitten.length == pytest.approx(2 * 160.0 - 30.0 + 15.0 * math.pi, rel=1e-13)


def test_flattening_errs_by_no_more_than_the_sagitta() -> None:
    shape = rounded(CONVEX, 9.0)
    for sagitta in (0.1, 0.005, 0.0001):
        loss = shape.area - Contour.polygon(shape.points(sagitta)).area
        assert 0.0 < loss < 18.0 * math.pi * sagitta


SHAPES = [
    Contour.polygon(POLYGON),
    rounded(CONVEX, 9.0),
    Contour(
        (Vertex(0, 0, 0.3), Vertex(80, 10), Vertex(95, 60, -0.4), Vertex(40, 55), Vertex(-5, 30))
    ),
]


@pytest.mark.parametrize("shape", SHAPES)
def test_the_other_way_round_only_the_sign_turns(shape: Contour) -> None:
    back = shape.reversed()
    assert back.area == pytest.approx(-shape.area, rel=1e-12)
    assert back.length == pytest.approx(shape.length, rel=1e-12)
    assert back.centroid == pytest.approx(shape.centroid, rel=1e-12)


@pytest.mark.parametrize("shape", SHAPES)
def test_mirrored(shape: Contour) -> None:
    mirror = shape.flipped()
    x, y = shape.centroid
    assert mirror.area == pytest.approx(-shape.area, rel=1e-12)
    assert mirror.centroid == pytest.approx((x, -y), rel=1e-12)
    assert mirror.bounds.top == pytest.approx(-shape.bounds.bottom, abs=1e-12)


@pytest.mark.parametrize("shape", SHAPES)
@given(st.floats(-500, 500), st.floats(-500, 500), st.floats(-7, 7))
def test_moved_and_turned(shape: Contour, dx: float, dy: float, angle: float) -> None:
    x, y = shape.centroid
    c, s = math.cos(angle), math.sin(angle)
    there = shape.turned(angle).moved(dx, dy)
    assert there.area == pytest.approx(shape.area, rel=1e-9)
    assert there.length == pytest.approx(shape.length, rel=1e-9)
    assert there.centroid == pytest.approx((c * x - s * y + dx, s * x + c * y + dy), abs=1e-6)


@pytest.mark.parametrize("shape", SHAPES)
def test_against_a_fine_polygon(shape: Contour) -> None:
    """Shapely on the flattened shape: chords of 1e-6 mm sagitta lose at most that times length."""
    fine = Polygon(shape.points(1e-6))
    assert fine.is_valid
    assert shape.area == pytest.approx(fine.area, abs=shape.length * 1e-6)
    assert shape.length == pytest.approx(fine.exterior.length, rel=1e-6)
    assert shape.centroid == pytest.approx((fine.centroid.x, fine.centroid.y), abs=1e-5)


@pytest.mark.parametrize("shape", SHAPES)
def test_twice_the_size(shape: Contour) -> None:
    large = Contour(tuple(Vertex(2 * v.x, 2 * v.y, v.bulge) for v in shape.vertices))
    x, y = shape.centroid
    assert large.area == pytest.approx(4.0 * shape.area, rel=1e-12)
    assert large.length == pytest.approx(2.0 * shape.length, rel=1e-12)
    assert large.centroid == pytest.approx((2.0 * x, 2.0 * y), rel=1e-12)
