"""Pappus' theorem on solids of revolution, and Steiner's on parallel curves.

Both are theorems; the values beside them come from the closed forms of ring, torus and cone, and
from offsets made by Shapely.
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon

from patterns.contour import Contour, Vertex
from patterns.forging.bend import bend_length, wrapped_strap


def test_strap_bent_half_round_holds_half_a_ring() -> None:
    # wall 6 mm, 50 mm high, round a 9 mm radius: half the ring from 9 to 15 mm,
    # pi/2 (225 - 81) 50 = 3600 pi = 11 309.7336 mm3
    ring = Contour.circle(0, 0, 15.0).area - Contour.circle(0, 0, 9.0).area
    length = bend_length(turning=math.pi, inside_radius=9.0, thickness=6.0)
    assert length * 6.0 * 50.0 == pytest.approx(3600.0 * math.pi, rel=1e-14)
    assert ring / 2.0 * 50.0 == pytest.approx(3600.0 * math.pi, rel=1e-14)


def test_only_the_middle_line_keeps_the_volume() -> None:
    for neutral in (0.45, 0.55):
        length = bend_length(turning=math.pi, inside_radius=9.0, thickness=6.0, neutral=neutral)
        assert abs(length * 300.0 - 3600.0 * math.pi) > 200.0


def test_torus() -> None:
    # 2 pi^2 R r^2 with R = 30 and r = 5
    ring = Contour.circle(30.0, 4.0, 5.0)
    assert math.tau * ring.centroid[0] * ring.area == pytest.approx(
        2.0 * math.pi**2 * 30.0 * 25.0, rel=1e-12
    )


def test_cone_and_dome() -> None:
    # a right triangle turned about its leg: pi r^2 h / 3
    cone = Contour.polygon([(0, 0), (7, 0), (0, 12)])
    assert math.tau * cone.centroid[0] * cone.area == pytest.approx(
        math.pi * 49.0 * 12.0 / 3.0, rel=1e-12
    )
    # a quarter disc turned about its edge: half a ball, 2/3 pi r^3
    dome = Contour((Vertex(0, 0), Vertex(7, 0, math.tan(math.pi / 8)), Vertex(0, 7)))
    assert math.tau * dome.centroid[0] * dome.area == pytest.approx(
        2.0 / 3.0 * math.pi * 343.0, rel=1e-12
    )


def lopsided_eye() -> Contour:
    """Convex, smooth, no symmetry: three arcs of 3, 8 and 13 mm and the lines that touch them."""
    circles = [(0.0, 0.0, 8.0), (40.0, -4.0, 3.0), (15.0, 9.0, 13.0)]
    vertices = []
    normals = []
    for (x0, y0, r0), (x1, y1, r1) in zip(circles, circles[1:] + circles[:1], strict=True):
        along = math.atan2(y1 - y0, x1 - x0)
        # both circles lie to the left of their outer tangent; its normal points right
        lean = math.acos((r0 - r1) / math.hypot(x1 - x0, y1 - y0))
        normals.append(along - lean)
    for k, (x, y, r) in enumerate(circles):
        before, after = normals[k - 1], normals[k]
        turn = (after - before) % math.tau
        start = (x + r * math.cos(before), y + r * math.sin(before))
        end = (x + r * math.cos(after), y + r * math.sin(after))
        vertices += [Vertex(*start, math.tan(turn / 4.0)), Vertex(*end)]
    return Contour(tuple(vertices))


def test_the_lopsided_eye_is_what_it_says() -> None:
    eye = lopsided_eye()
    assert sum(p.sweep for p in eye.pieces) == pytest.approx(math.tau, rel=1e-12)
    outline = Polygon(eye.points(1e-6))
    assert outline.is_valid
    assert outline.convex_hull.area == pytest.approx(outline.area, rel=1e-6)


@pytest.mark.parametrize("wall", [3.0, 4.7625, 9.0])
def test_whole_wrap_is_the_offset_curve(wall: float) -> None:
    """P' = P + 2 pi d: the strip's middle line against the offset that Shapely makes.

    The eye is flattened to 1e-5 mm and the offset's corners to 1/1000 of a quarter turn: what is
    lost is below 1e-6 of the length.
    """
    eye = lopsided_eye()
    middle = Polygon(eye.points(1e-5)).buffer(wall / 2.0, quad_segs=1000).exterior.length
    strip = wrapped_strap(perimeter=eye.length, cap=0.0, turning=math.tau, wall=wall)
    assert strip == pytest.approx(middle, rel=1e-6)


def test_wrap_round_a_circle_is_the_ring_rule() -> None:
    # the whole ring, pi (d + t); and a quarter left open, three quarters of that
    assert wrapped_strap(
        perimeter=20.0 * math.pi, cap=0.0, turning=math.tau, wall=4.0
    ) == pytest.approx(24.0 * math.pi, rel=1e-14)
    assert wrapped_strap(
        perimeter=20.0 * math.pi, cap=5.0 * math.pi, turning=1.5 * math.pi, wall=4.0
    ) == pytest.approx(18.0 * math.pi, rel=1e-14)


def test_eye_two_by_five_eighths_by_hand() -> None:
    """Eye 2 x 5/8 in, round 5/16 in behind and 0.07 in at the nose; shoulders over 3/8 in.

    Centres 1.6175 in apart, radii 0.2425 different: the tangents lean by asin(0.14992) =
    0.15049 rad and are 1.59922 long. Behind, the circle turns pi + 0.30098 = 3.44257; in front
    pi - 0.30098 = 2.84061, an arc of 0.19884 in, shorter than the 3/8 in cap. So the cap takes
    all of the front arc and the wall turns by 3.44257 only.
    p = 2 x 1.59922 + 0.3125 x 3.44257 + 0.07 x 2.84061 = 4.47308;
    2 l + P = 4.47308 - 0.375 + 3.44257 x 3/32 = 4.42082; less a poll of 1 in, half: 1.7104 in.
    """
    strip = wrapped_strap(
        perimeter=4.47308 * 25.4, cap=0.375 * 25.4, turning=3.44257, wall=25.4 * 3 / 16
    )
    assert (strip / 25.4 - 1.0) / 2.0 == pytest.approx(1.7104, abs=0.00005)


@given(st.floats(60.0, 200.0), st.floats(0.0, 20.0), st.floats(3.0, math.tau), st.floats(2.0, 12.0))
def test_scaling_the_eye_scales_the_strip(
    perimeter: float, cap: float, turning: float, wall: float
) -> None:
    one = wrapped_strap(perimeter=perimeter, cap=cap, turning=turning, wall=wall)
    two = wrapped_strap(perimeter=2 * perimeter, cap=2 * cap, turning=turning, wall=2 * wall)
    assert two == pytest.approx(2.0 * one, rel=1e-12)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"cap": 100.0}, "less than its perimeter"),
        ({"cap": -1.0}, "less than its perimeter"),
        ({"turning": 7.0}, "0 to 360 degrees"),
        ({"turning": math.nan}, "0 to 360 degrees"),
        ({"wall": 0.0}, "wall must be more than 0"),
        ({"neutral": -0.1}, "inside the bar"),
    ],
)
def test_wraps_that_cannot_be(change: dict[str, float], words: str) -> None:
    good = {"perimeter": 100.0, "cap": 10.0, "turning": 3.4, "wall": 5.0}
    assert wrapped_strap(**good) > 0.0
    with pytest.raises(ValueError, match=words):
        wrapped_strap(**(good | change))
