"""The geometry itself, measured with Shapely and SciPy."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
import shapely
from designs import LOPSIDED, Raw, designs, examples, planned
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.interpolate import CubicSpline

from patterns import curves, profiles
from patterns.blank import ForgePlan, plan
from patterns.contour import Contour, Piece, Vertex
from patterns.errors import BadInputError
from patterns.eye import eye_form
from patterns.head import finish
from patterns.parameters import Curve

FINE = 1e-4
"""Sagitta [mm] wherever an arc is flattened here."""

SLACK = 0.01
"""What an ellipse's arcs (0.002 mm), the flattening and Shapely's offsets may add up to [mm]."""


def line(pieces: tuple[Piece, ...] | list[Piece]) -> shapely.LineString:
    return shapely.LineString([*(q for p in pieces for q in p.points(FINE)), pieces[-1].at(1.0)])


def breaks(pieces: tuple[Piece, ...] | list[Piece]) -> list[float]:
    """Change of direction at each joint [rad]."""
    return [
        abs(math.remainder(b.angle_at(0.0) - a.angle_at(1.0), math.tau))
        for a, b in itertools.pairwise(pieces)
    ]


# Plan view ---------------------------------------------------------------------------------------


@examples(40)
@given(designs())
def test_wall_is_as_thick_as_stated(drawn: tuple[Raw, ForgePlan]) -> None:
    """From poll to shoulder no nearer to the eye than the wall, and somewhere just that."""
    _, plan = drawn
    view, wall = plan.head.plan, plan.design.wall.thickness
    eye, skin = line(view.eye), line(view.skin)
    outside = shapely.Polygon(view.outside.points(FINE))
    hole = shapely.Polygon([(x + view.eye_back, z) for x, z in plan.head.eye.contour.points(FINE)])
    assert outside.is_valid
    assert hole.is_valid
    assert outside.contains(hole)
    ahead = skin.intersection(shapely.box(view.eye_back, -1.0, 1000.0, 1000.0))
    assert eye.distance(ahead) > wall - SLACK
    # and from everywhere on the eye's side as far as the shoulder step
    steps = [(p, s) for p in view.eye_wall for s in (0.0, 0.3, 0.7)]
    points = shapely.points([p.at(s) for p, s in steps])
    outer = line(view.skin_wall)
    assert float(shapely.distance(points, outer).min()) == pytest.approx(wall, abs=SLACK)
    # the step stands square across the wall
    assert math.dist(view.cap, view.shoulder) == pytest.approx(wall, rel=1e-9)
    # poll and walls never stand out beyond the width that the block gives
    assert view.width >= view.poll_width - 1e-9
    assert max(y for p in view.skin_wall for _, y in p.extremes()) <= view.poll_width / 2 + 1e-6


@examples(40)
@given(designs())
def test_tapered_wall_keeps_its_least(drawn: tuple[Raw, ForgePlan]) -> None:
    """At the top and the bottom of the ears too the wall is no thinner than the range says."""
    _, plan = drawn
    head = plan.head
    thin, thick = head.wall_range
    ahead = shapely.box(head.plan.eye_back, -1.0, 1000.0, 1000.0)
    skin = line(head.plan.skin).intersection(ahead)
    bare = line(head.plan.skin_wall).intersection(ahead)  # without the cheeks, which may cover it
    found = []
    for _, _, contour in head.eye_sections:
        hole = shapely.Polygon([(x + head.plan.eye_back, z) for x, z in contour.points(FINE)])
        assert hole.is_valid
        found.append(bare.distance(hole))
        assert skin.distance(hole) > thin - SLACK
    assert min(found) == pytest.approx(thin, abs=SLACK)
    assert max(found) == pytest.approx(thick, abs=SLACK)
    assert thin <= plan.design.wall.thickness <= thick


@examples(60)
@given(
    st.sampled_from(("teardrop", "ellipse", "stadium", "superellipse")),
    st.floats(14.0, 90.0), st.floats(1.0, 4.0), st.floats(0.05, 1.0), st.floats(2.0, 6.0),
)  # fmt: skip
def test_eye_is_convex_smooth_and_closed(
    form: str, length: float, ratio: float, nose: float, exponent: float
) -> None:
    """An eye that turned back would make the wall's outside fold over itself."""
    width = length / ratio
    eye = eye_form(form, length, width, nose * width / 2.0, exponent)
    half = eye.half
    assert (half[0].x0, half[0].y0) == pytest.approx((0.0, 0.0), abs=1e-9)
    assert half[-1].at(1.0) == pytest.approx((length, 0.0), abs=1e-9)
    # clockwise all the way, from plumb up to plumb down, no corner between
    assert max(p.sweep for p in half) <= 1e-9
    assert max([*breaks(half), 0.0]) < 1e-6
    assert half[0].angle_at(0.0) == pytest.approx(math.pi / 2.0, abs=1e-6)
    assert half[-1].angle_at(1.0) == pytest.approx(-math.pi / 2.0, abs=1e-6)
    assert sum(p.sweep for p in half) == pytest.approx(-math.pi, abs=1e-5)
    assert max(y for p in half for _, y in p.extremes()) == pytest.approx(width / 2.0, abs=0.005)
    if form in ("ellipse", "superellipse"):
        n = exponent if form == "superellipse" else 2.0
        turn = np.linspace(0.0, math.pi, 301)
        c, s = np.cos(turn), np.sin(turn)
        x = length / 2.0 * (1.0 + np.sign(c) * np.abs(c) ** (2.0 / n))
        true = shapely.points(x, width / 2.0 * np.abs(s) ** (2.0 / n))
        assert float(shapely.distance(true, line(half)).max()) < SLACK


# Side view ---------------------------------------------------------------------------------------


@examples(60)
@given(designs())
def test_outline_is_simple(drawn: tuple[Raw, ForgePlan]) -> None:
    """Ears, neck, beard and all: one line that never meets itself."""
    _, plan = drawn
    head, blade = plan.head, plan.design.blade
    outline = shapely.Polygon(head.side.contour.points(FINE))
    assert outline.is_valid
    assert outline.exterior.is_simple
    assert head.side.contour.area > 0.0
    assert head.side.contour.bounds.left == pytest.approx(0.0, abs=1e-9)
    # as far as the asked-for reach ahead of the eye, where the edge's foremost point is its own
    front = head.plan.eye_front
    if head.side.edge.heel[1] <= head.side.edge.y <= head.side.edge.toe[1]:
        assert head.length == pytest.approx(front + blade.reach, rel=1e-9)
    assert head.length <= front + blade.reach + 1e-9
    assert head.side.contour.bounds.right == pytest.approx(head.length, abs=0.02)
    ears = plan.design.ears
    if ears.form != "none" and ears.above is not None and ears.below is not None:
        tip = front - plan.head.eye.length * (1.0 - ears.place)
        for y in (ears.above, -ears.below):
            assert outline.exterior.distance(shapely.Point(tip, y)) < 1e-6


@examples(40)
@given(designs())
def test_toe_and_heel_lie_on_the_edge(drawn: tuple[Raw, ForgePlan]) -> None:
    _, plan = drawn
    edge, blade = plan.head.side.edge, plan.design.blade
    assert (edge.toe[1], edge.heel[1]) == pytest.approx((blade.toe, -blade.heel), rel=1e-9)
    for x, y in (edge.toe, edge.heel):
        assert math.hypot(x - edge.x, y - edge.y) == pytest.approx(blade.edge_radius, rel=1e-9)
        assert x > edge.x
    assert plan.head.side.top[-1].at(1.0) == pytest.approx(edge.toe, abs=1e-9)
    assert plan.head.side.bottom[-1].at(1.0) == pytest.approx(edge.heel, abs=1e-9)
    # length of an arc: radius times the angle between the two ends, seen from its centre
    turn = math.atan2(edge.toe[1] - edge.y, edge.toe[0] - edge.x) - math.atan2(
        edge.heel[1] - edge.y, edge.heel[0] - edge.x
    )
    assert edge.length == pytest.approx(blade.edge_radius * turn, rel=1e-9)


@examples(60)
@given(designs())
def test_joints_are_smooth_where_they_should_be(drawn: tuple[Raw, ForgePlan]) -> None:
    """Sharp only at the tips of pointed ears and at the points of a line through points."""
    _, plan = drawn
    design, view = plan.design, plan.head.plan
    tip = view.eye_back + design.ears.place * plan.head.eye.length
    for name, run in (("top", plan.head.side.top), ("bottom", plan.head.side.bottom)):
        curve: Curve = getattr(design.blade, name)
        sharp = [tip] if design.ears.form == "pointed" else []
        if curve.form == "line" and not (name == "bottom" and design.blade.beard):
            sharp += [view.eye_front + x for x, _ in curve.through]
        for (a, b), turn in zip(itertools.pairwise(run), breaks(run), strict=True):
            assert (a.x1, a.y1) == (b.x0, b.y0)
            if not any(abs(a.x1 - x) < 1e-6 for x in sharp):
                assert turn < 1e-6, (name, a.x1)


def test_pointed_ears_are_pointed() -> None:
    """The one place that may be sharp is so: hollow flanks meet at more than 20 degrees."""
    plan = planned(LOPSIDED["stadium"])
    for run in (plan.head.side.top, plan.head.side.bottom):
        assert max(breaks(run)) > math.radians(20.0)


@pytest.mark.parametrize("name", ["bearded", "carving-axe"])
def test_beard(name: str) -> None:
    """The heel hangs free below the neck, half-way down no wider than the beard that was asked.

    The beard's width is told where it leaves the neck; from there it draws in to nothing at the
    heel. Half-way down it is less than that width (a tenth allowed for an edge that leans
    forward), and more than the 0.4 of it that a curve cut straight from neck to heel would leave.
    """
    design = planned(LOPSIDED[name]).design if name in LOPSIDED else profiles.load(name).design
    head = finish(design)
    blade, edge = design.blade, head.side.edge
    outline = shapely.Polygon(head.side.contour.points(FINE))
    assert outline.exterior.is_simple
    assert blade.beard is not None
    middle = -(blade.neck_below + blade.heel) / 2.0
    cut = outline.intersection(shapely.LineString([(0.0, middle), (head.length + 9.0, middle)]))
    left, _, right, _ = cut.bounds
    assert right == pytest.approx(
        edge.x + math.sqrt(edge.radius**2 - (middle - edge.y) ** 2), abs=SLACK
    )
    assert 0.4 * blade.beard < right - left < 1.1 * blade.beard
    # at half its depth the beard hangs free of the eye
    assert left > head.plan.eye_front + 5.0


# Curves ------------------------------------------------------------------------------------------

COORDINATE = st.floats(-12.0, 12.0)


def spline(
    points: list[tuple[float, float]], first: float, last: float | None
) -> tuple[CubicSpline, np.ndarray]:
    """SciPy's cubic spline over chord lengths, clamped at its start, clamped or free at its end."""
    knots = np.concatenate(
        [[0.0], np.cumsum([math.dist(a, b) for a, b in itertools.pairwise(points)])]
    )
    start = (1, np.array([math.cos(first), math.sin(first)]))
    end = (2, np.zeros(2)) if last is None else (1, np.array([math.cos(last), math.sin(last)]))
    return CubicSpline(knots, np.array(points), bc_type=(start, end)), knots


@examples(60)
@given(
    st.lists(COORDINATE, min_size=2, max_size=5), st.floats(-0.9, 0.9),
    st.one_of(st.none(), st.floats(-0.9, 0.9)), st.floats(15.0, 60.0),
)  # fmt: skip
def test_arcs_lie_on_the_spline(
    heights: list[float], first: float, last: float | None, step: float
) -> None:
    """No more than 0.01 mm between arcs and spline, either way; joints without a corner.

    Two points with very unequal turns at their ends are no spline of the chord: see test_fair.py.
    """
    points = [(step * i, y) for i, y in enumerate(heights)]
    if len(points) == 2 and last is not None:
        chord = math.atan2(points[1][1] - points[0][1], step)
        leave, arrive = chord - first, last - chord
        assume(leave * arrive <= 0.0 or 0.6 < leave / arrive < 1.6)
    pieces = curves.arcs(curves.smooth(points, first, last))
    if last is None and len(points) == 2:
        # as a plain arc: direction mirrored about the chord
        last = 2.0 * math.atan2(points[1][1] - points[0][1], step) - first
    curve, knots = spline(points, first, last)
    true = curve(np.linspace(0.0, knots[-1], 2000))
    laid = line(pieces)
    assert float(shapely.distance(shapely.points(true), laid).max()) < 0.01
    back = shapely.points([p.at(s) for p in pieces for s in (0.25, 0.5, 0.75)])
    fine = shapely.LineString(curve(np.linspace(0.0, knots[-1], 20000)))
    assert float(shapely.distance(back, fine).max()) < 0.01
    assert max([*breaks(pieces), 0.0]) < 1e-6
    assert pieces[0].angle_at(0.0) == pytest.approx(first, abs=1e-6)
    for x, y in points:
        assert laid.distance(shapely.Point(x, y)) < 1e-9


@given(st.floats(-1.0, 1.0), st.floats(20.0, 120.0), st.floats(-1e-9, 1e-9))
def test_a_fair_curve_that_is_straight_stays_so(lean: float, long: float, off: float) -> None:
    """Rounding alone must not bend it: the middle of an arc whose centre is lost is anywhere."""
    end = (17.3 + long * math.cos(lean), 11.1 + long * math.sin(lean))
    for last in (None, lean - off):
        pieces = curves.arcs(curves.smooth([(17.3, 11.1), end], lean + off, last))
        chord = shapely.LineString([(17.3, 11.1), end])
        points = [q for p in pieces for q in (p.at(0.3), p.at(0.9), *p.extremes())]
        assert max(chord.distance(shapely.Point(q)) for q in points) < 1e-6
        assert sum(p.length for p in pieces) == pytest.approx(long, rel=1e-9)


@pytest.mark.parametrize("bulge", [1e-8, 1e-6, -1e-4, 1e-3, -5e-3, 0.0076])
def test_flat_arcs(bulge: float) -> None:
    """A flat arc is a parabola: area 2/3 chord x sagitta, centre 2/5 of it up (Archimedes).

    Both are off by the square of the angle: 4 bulge^2 is more than enough for either.
    """
    arc = Piece(3.0, 1.0, 40.0, 9.0, bulge)
    chord, sagitta = math.hypot(37.0, 8.0), bulge * math.hypot(37.0, 8.0) / 2.0
    area, off = arc.segment
    assert area == pytest.approx(2.0 / 3.0 * chord * sagitta, rel=4.0 * bulge**2 + 1e-12)
    assert off == pytest.approx(0.4 * abs(sagitta), rel=4.0 * bulge**2 + 1e-9)
    # the middle stands the sagitta to the right of the chord; the quarters three quarters of it
    for share, part in ((0.25, 0.75), (0.5, 1.0), (0.75, 0.75)):
        x, y = arc.at(share)
        right = ((x - 3.0) * 8.0 - (y - 1.0) * 37.0) / chord
        assert right == pytest.approx(part * sagitta, rel=4.0 * bulge**2 + 1e-6, abs=1e-13)
    # part of a shape: a triangle on the chord, and the flat segment beside it
    shape = Contour((Vertex(3, 1, bulge), Vertex(40, 9), Vertex(0, 60)))
    triangle = Contour.polygon([(3, 1), (40, 9), (0, 60)])
    assert shape.area == pytest.approx(triangle.area + area, rel=1e-14)
    moved = area * (43.0 / 2.0 + math.copysign(off, bulge) * 8.0 / chord)
    assert shape.centroid[0] * shape.area == pytest.approx(
        triangle.centroid[0] * triangle.area + moved, rel=1e-13
    )


def test_a_curve_that_starts_along_its_chord_has_no_corner() -> None:
    """A chord in the very direction of its start leaves one arc no length to turn in."""
    pieces = curves.arcs(curves.smooth([(0.0, 0.0), (35.875, 0.0), (71.75, 3.0)], 0.0, None))
    assert max(breaks(pieces)) < 1e-6


def test_curvature_runs_on_at_the_points() -> None:
    """Where two spans of the spline meet, the arcs on both sides bend alike.

    The spline's curvature has no jump there; arcs stand for a stretch of it each, so they may
    differ by what it changes over the two arcs next to the point: three times the greatest change
    of the true curvature over them.
    """
    points = [(0.0, 15.0), (35.0, 17.0), (62.0, 24.0), (90.0, 41.0)]
    pieces = curves.arcs(curves.smooth(points, -0.05, 0.7))
    curve, knots = spline(points, -0.05, 0.7)

    def bend(s: np.ndarray) -> np.ndarray:
        (dx, dy), (ddx, ddy) = curve(s, 1).T, curve(s, 2).T
        return (dx * ddy - dy * ddx) / np.hypot(dx, dy) ** 3

    for place, (x, _) in zip(knots[1:-1], points[1:-1], strict=True):
        ((a, b),) = [pair for pair in itertools.pairwise(pieces) if abs(pair[0].x1 - x) < 1e-9]
        near = np.linspace(place - a.length, place + b.length, 400)
        change = float(np.ptp(bend(near)))
        jump = abs(a.sweep / a.length - b.sweep / b.length)
        assert jump < 3.0 * change + 1e-5
        # a broken spline would jump by as much as it bends
        assert change < float(np.abs(bend(np.linspace(0.0, knots[-1], 400))).max())


@pytest.mark.parametrize("beard", ["3 1/2 in", "3 9/16 in", "3 5/8 in"])
def test_a_beard_as_wide_as_the_blade_is_refused(beard: str) -> None:
    """Its curve leaves the neck so sharply bent that the flank of the ear, which takes the bend up,
    ran out by metres; 2 in of beard is a head like any other."""
    assert planned_with("2 in").head.side.contour.bounds.bottom > -80.0
    with pytest.raises(BadInputError) as error:
        planned_with(beard)
    assert {fault.field for fault in error.value.faults} == {"blade.beard"}


def planned_with(beard: str) -> ForgePlan:
    return plan(profiles.load("bow-tie-hatchet", [f"blade.beard={beard}"]).design)
