"""Perimeters and areas of eyes against closed forms and other people's numerics."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.special import ellipe
from shapely import Point, unary_union

from patterns.eye import (
    CURVE_TOLERANCE,
    EyeForm,
    circle,
    ellipse_perimeter,
    length_for,
    perimeter_of,
    stadium,
    superellipse,
    superellipse_perimeter,
    teardrop,
)

# Ellipse -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("length", "width"),
    [(4.0, 2.0), (57.15, 19.05), (63.5, 19.05), (64.0, 20.0), (30.0, 29.99), (200.0, 2.0)],
)
def test_ellipse_against_scipy(length: float, width: float) -> None:
    """scipy.special.ellipe takes the parameter m = 1 - b^2/a^2; another algorithm than ours."""
    exact = 2.0 * length * float(ellipe(1.0 - (width / length) ** 2))
    assert ellipse_perimeter(length, width) == pytest.approx(exact, rel=1e-13)


def test_ellipse_from_the_printed_integral() -> None:
    # Abramowitz and Stegun, Handbook of Mathematical Functions, 1964, table 17.1 (from memory):
    # E(0.5) = 1.35064 388, E(0.75) = 1.21105 603; a = 1 and b = sqrt(1/2) or 1/2
    assert ellipse_perimeter(2.0, math.sqrt(2.0)) == pytest.approx(4 * 1.35064388, abs=2.1e-8)
    assert ellipse_perimeter(2.0, 1.0) == pytest.approx(4 * 1.21105603, abs=2.1e-8)


@pytest.mark.parametrize(("a", "b"), [(1.1, 1.0), (2.0, 1.0), (30.0, 10.0)])
def test_ellipse_by_the_series_of_gauss_and_kummer(a: float, b: float) -> None:
    """P = pi (a + b) sum of C(1/2, n)^2 h^n, h = ((a - b)/(a + b))^2: a textbook series.

    h is at most 1/4 here, so that after forty terms less than 1e-24 is left.
    """
    h = ((a - b) / (a + b)) ** 2
    total, term = 0.0, 1.0
    for n in range(40):
        total += term**2 * h**n
        term *= (0.5 - n) / (n + 1)
    exact = math.pi * (a + b) * total
    assert ellipse_perimeter(2.0 * a, 2.0 * b) == pytest.approx(exact, rel=1e-14)


def test_ellipse_limits() -> None:
    assert ellipse_perimeter(10.0, 10.0) == pytest.approx(10.0 * math.pi, rel=1e-15)
    # pressed flat: twice the length
    assert ellipse_perimeter(10.0, 1e-6) == pytest.approx(20.0, rel=1e-9)
    assert ellipse_perimeter(3.0, 8.0) == ellipse_perimeter(8.0, 3.0)


# Superellipse ------------------------------------------------------------------------------------


def by_quadrature(a: float, b: float, n: float) -> tuple[float, float]:
    """Perimeter and area by scipy's adaptive rule, in x and y instead of our polar angle.

    The quarter is cut where x/a = y/b = 2^(-1/n): up to there y is a smooth function of x, and
    beyond it x of y.
    """
    cut = 2.0 ** (-1.0 / n)

    def part(along: float, across: float) -> float:
        def speed(x: float) -> float:
            u = x / along
            slope = across / along * u ** (n - 1) * (1.0 - u**n) ** (1.0 / n - 1.0)
            return math.hypot(1.0, slope)

        return float(quad(speed, 0.0, along * cut, epsabs=0.0, epsrel=1e-12)[0])

    area = quad(
        lambda x: b * (1.0 - (x / a) ** n) ** (1.0 / n), 0.0, a * cut, epsabs=0.0, epsrel=1e-12
    )[0]
    area += quad(
        lambda y: a * (1.0 - (y / b) ** n) ** (1.0 / n), 0.0, b * cut, epsabs=0.0, epsrel=1e-12
    )[0]
    return 4.0 * (part(a, b) + part(b, a)), 4.0 * (float(area) - a * b * cut * cut)


@pytest.mark.parametrize("n", [2.0, 2.5, 3.0, 4.0, 6.0])
@pytest.mark.parametrize(("a", "b"), [(1.0, 1.0), (2.0, 1.0), (28.575, 9.525), (31.75, 7.9)])
def test_superellipse_against_scipy(a: float, b: float, n: float) -> None:
    perimeter, area = by_quadrature(a, b, n)
    # the module promises 1e-8 for exponents from 2 to 6
    assert superellipse_perimeter(2 * a, 2 * b, n) == pytest.approx(perimeter, rel=1e-8)
    assert superellipse(2 * a, 2 * b, n).area == pytest.approx(area, rel=1e-10)


def test_superellipse_of_two_is_the_ellipse() -> None:
    assert superellipse_perimeter(64.0, 20.0, 2.0) == pytest.approx(
        ellipse_perimeter(64.0, 20.0), rel=1e-8
    )


# Straight lines and true arcs --------------------------------------------------------------------


def test_stadium() -> None:
    # half circles of 10 mm and sides of 30 mm: 20 pi + 60 and 100 pi + 600
    eye = stadium(50.0, 20.0)
    assert eye.perimeter == pytest.approx(20.0 * math.pi + 60.0, rel=1e-14)
    assert eye.area == pytest.approx(100.0 * math.pi + 600.0, rel=1e-14)
    assert eye.contour.length == pytest.approx(20.0 * math.pi + 60.0, rel=1e-13)
    assert eye.contour.area == pytest.approx(100.0 * math.pi + 600.0, rel=1e-13)


def test_pointed_teardrop() -> None:
    """Circle of 10 mm and a point 30 mm from its centre, by trigonometry.

    Tangents sqrt(900 - 100); they leave the circle acos(1/3) off the axis. Perimeter
    2 sqrt(800) + 10 (2 pi - 2 acos(1/3)); area 10 sqrt(800) + 100 (pi - acos(1/3)).
    """
    eye = teardrop(40.0, 20.0, 0.0)
    angle, side = math.acos(1.0 / 3.0), math.sqrt(800.0)
    perimeter = 2.0 * side + 10.0 * (math.tau - 2.0 * angle)
    area = 10.0 * side + 100.0 * (math.pi - angle)
    assert eye.perimeter == pytest.approx(perimeter, rel=1e-13)
    assert eye.area == pytest.approx(area, rel=1e-13)
    assert eye.contour.length == pytest.approx(perimeter, rel=1e-13)
    assert eye.contour.area == pytest.approx(area, rel=1e-13)


@pytest.mark.parametrize(
    ("length", "width", "nose"), [(50.8, 15.875, 1.778), (60.0, 22.0, 4.0), (45.0, 24.0, 9.0)]
)
def test_teardrop_is_the_hull_of_two_circles(length: float, width: float, nose: float) -> None:
    """Shapely's hull of two polygons of 80 000 sides.

    Their area is low by (2 pi / 80 000)^2 / 6 = 1.03e-9, and as much again is lost where the
    tangents touch between two corners: 4e-9 in all.
    """
    rear = Point(width / 2.0, 0.0).buffer(width / 2.0, quad_segs=20000)
    front = Point(length - nose, 0.0).buffer(nose, quad_segs=20000)
    hull = unary_union([rear, front]).convex_hull
    eye = teardrop(length, width, nose)
    assert eye.perimeter == pytest.approx(hull.exterior.length, rel=4e-9)
    assert eye.area == pytest.approx(hull.area, rel=4e-9)
    assert eye.contour.length == pytest.approx(hull.exterior.length, rel=4e-9)
    assert eye.contour.area == pytest.approx(hull.area, rel=4e-9)
    assert eye.contour.centroid[0] == pytest.approx(hull.centroid.x, rel=1e-8)


# The contour laid down for an eye ----------------------------------------------------------------


@pytest.mark.parametrize(
    "eye",
    [
        superellipse(57.15, 19.05, 2.0),
        superellipse(63.5, 19.05, 2.5),
        superellipse(50.0, 22.0, 4.0),
        circle(31.75),
    ],
    ids=["ellipse", "superellipse 2.5", "superellipse 4", "circle"],
)
def test_contour_stands_for_the_curve(eye: EyeForm) -> None:
    """Arcs within d of a convex curve change its length by at most 2 pi d and its area by p d.

    That is Steiner's theorem: of two convex curves the inner is the shorter, and the one d
    further out is longer by 2 pi d.
    """
    contour = eye.contour
    assert contour.length == pytest.approx(eye.perimeter, abs=math.tau * CURVE_TOLERANCE)
    assert contour.area == pytest.approx(eye.area, abs=eye.perimeter * CURVE_TOLERANCE)
    bounds = contour.bounds
    assert (bounds.left, bounds.right) == pytest.approx((0.0, eye.length), abs=CURVE_TOLERANCE)
    assert (bounds.bottom, bounds.top) == pytest.approx(
        (-eye.width / 2.0, eye.width / 2.0), abs=CURVE_TOLERANCE
    )


@pytest.mark.parametrize("n", [2.0, 3.0])
def test_every_point_of_the_arcs_lies_on_the_curve(n: float) -> None:
    # |x/a|^n + |y/b|^n - 1 over its slope is the distance from the curve, to first order; arcs are
    # tried against the curve at a few places only, so 5 % more is allowed between them
    a, b = 30.0, 9.0
    for x, y in superellipse(2 * a, 2 * b, n).contour.points(0.0002):
        u, v = abs(x - a) / a, abs(y) / b
        slope = math.hypot(n * u ** (n - 1) / a, n * v ** (n - 1) / b)
        assert abs(u**n + v**n - 1.0) / slope < 1.05 * CURVE_TOLERANCE


@settings(max_examples=50)
@given(
    st.sampled_from(["teardrop", "stadium", "circle", "ellipse", "superellipse"]),
    st.floats(30.0, 80.0),
    st.floats(0.25, 0.9),
)
def test_double_size_is_double_perimeter(form: str, length: float, ratio: float) -> None:
    width = length * ratio
    one = perimeter_of(form, length, width, 0.2 * width, 3.0)
    two = perimeter_of(form, 2.0 * length, 2.0 * width, 0.4 * width, 3.0)
    assert two == pytest.approx(2.0 * one, rel=1e-12)
    # longer than there and back, shorter than the box round it
    assert 2.0 * length < one < 2.0 * length + 2.0 * max(width, length * (form == "circle"))


def test_length_for_a_measured_perimeter() -> None:
    # paper strip round a handle: 20 pi + 60 mm for an oval 20 mm wide is 50 mm long
    found = length_for(
        20.0 * math.pi + 60.0, lambda length: perimeter_of("stadium", length, 20.0, 0.0, 0.0)
    )
    assert found == pytest.approx(50.0, abs=1e-6)
