"""Cases with a hand formula, through the same code as any head.

Each formula stands in its test, worked by hand; the numbers in it come from no run of this
program.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from designs import LOPSIDED, Raw, changed, inch, mm, planned, read

from patterns import head
from patterns.contour import Piece
from patterns.eye import stadium, teardrop
from patterns.graph import Graph, integral
from patterns.outline import Edge
from patterns.plan_view import PlanView, plan_view
from patterns.thickness import BitSection, Blade, bevel_of

INCH = 25.4

# A bar that tapers in width and thickness --------------------------------------------------------


def test_wedge_along_x() -> None:
    """10 x 40 to 4 x 60 over 100 mm, both linear: V = L/6 (2 a0 b0 + a0 b1 + a1 b0 + 2 a1 b1).

    100/6 (800 + 600 + 160 + 480) = 34 000; the prismoidal formula with its middle section 7 x 50
    gives the same, 100/6 (400 + 1400 + 240). As a frustum of similar ends, 100/3 (400 + 240 +
    sqrt(96 000)) = 31 661, and by the mean area, 32 000, it would be wrong.
    """
    top, bottom = Graph([Piece(0, 25, 100, 40)]), Graph([Piece(0, -15, 100, -20)])
    across = Graph([Piece(0, 5, 100, 2)])
    volume = integral(lambda x: 2.0 * across(x) * (top(x) - bottom(x)), [], 0.0, 100.0)
    assert volume == pytest.approx(34000.0, rel=1e-12)
    for wrong in (31661.1, 32000.0):
        assert abs(volume - wrong) > 1900.0


NO_BIT = BitSection(1.0, 2.0, 1.0, 0.5)


def blunt_edge(x: float, heel: float, toe: float) -> Edge:
    """A straight end: an arc of 10 000 km about a place ahead, whose bevel takes nothing.

    Over 60 mm it stands 60^2 / 8e10 = 5e-8 mm off its chord.
    """
    return Edge(x + 500.0, 0.0, 1e10, (x, toe), (x, heel))


def test_wedge_round_the_outline() -> None:
    """The same bar as a blade's thickness over its side view, summed round its contour.

    Its centre lies at integral of x (10 - 0.06 x) (40 + 0.2 x) = x (400 - 0.4 x - 0.012 x2):
    2 000 000 - 133 333.3 - 300 000 = 1 566 666.7, over 34 000: 46.078431 from the big end. The
    side view is lopsided: from -15 to 25 at the big end, from -20 to 40 at the other; the middle of
    its height at x is 5 + 0.05 x, so the lift is 5 x 34 000 + 0.05 x 1 566 666.7.
    """
    blade = Blade(
        ((10.0, 10.0), (110.0, 4.0)),
        blunt_edge(110.0, -20.0, 40.0),
        bevel_of("both", math.radians(25.0)),
        NO_BIT,
    )
    sums = blade.sums([Piece(10, -15, 110, -20), Piece(110, 40, 10, 25)])
    assert sums.steel.volume == pytest.approx(34000.0, rel=1e-9)
    along = 2.0e6 - 4.0e5 / 3.0 - 3.0e5
    assert sums.steel.x == pytest.approx(along + 10.0 * 34000.0, rel=1e-9)
    assert sums.steel.x / sums.steel.volume - 10.0 == pytest.approx(46.078431, abs=1e-6)
    assert sums.steel.y == pytest.approx(5.0 * 34000.0 + 0.05 * along, rel=1e-9)
    assert sums.area == pytest.approx(5000.0, rel=1e-9)
    # along top and bottom the thickness is 7 in the mean
    rims = 7.0 * (math.hypot(100, 5) + math.hypot(100, 15))
    assert sums.rim == pytest.approx(rims, rel=1e-12)
    assert sums.bit.volume == 0.0


# Round blades ------------------------------------------------------------------------------------

RADIUS, THICK = 60.0, 9.0
BEVEL = bevel_of("both", math.radians(30.0))
DISC = Edge(0.0, 0.0, RADIUS, (0.0, RADIUS), (0.0, -RADIUS))


def half_disc() -> Blade:
    """A half disc ahead of its centre, level but for its bevel, with a bit 5 thick, 22 deep."""
    bit = BitSection(5.0, 22.0, 8.0, 2.0)
    return Blade(((0.0, THICK), (1.0, THICK)), DISC, BEVEL, bit)


def ring(thickness: list[tuple[float, float]]) -> tuple[float, float]:
    """Volume of half a turned plate and its moment about the diameter.

    The thickness runs straight between pairs (distance from the edge d, thickness): volume is the
    sum of pi (R - d) f(d) dd, moment that of 2 (R - d)^2 f(d) dd; polynomials, so exact here by
    Simpson's rule (two spans a pair).
    """
    volume = moment = 0.0
    for (d0, f0), (d1, f1) in itertools.pairwise(thickness):
        for d, f, weight in ((d0, f0, 1), ((d0 + d1) / 2, (f0 + f1) / 2, 4), (d1, f1, 1)):
            r = RADIUS - d
            volume += math.pi * r * f * weight * (d1 - d0) / 6.0
            moment += 2.0 * r * r * f * weight * (d1 - d0) / 6.0
    return volume, moment


def test_round_blade_and_bit() -> None:
    """Half a disc with a bevel of 30 degrees: a plate turned about the edge's centre.

    The bevel is 9 / (2 tan 15) = 16.7942 wide, the bit comes out of it at 5 / (2 tan 15) = 9.3301.
    Pappus: volume pi x sum of f(d) (60 - d) dd. By the way of the whole plate, half a cylinder
    pi/2 60^2 9 = 50 893.8 less half a ring of triangular section 9 x 16.7942 / 2 = 75.574 whose
    centre lies 60 - 16.7942/3 = 54.4019 out: pi x 54.4019 x 75.574 = 12 916.2, leaves 37 977.6.
    """
    blade = half_disc()
    sums = blade.sums([Piece(0.0, RADIUS, 0.0, -RADIUS)])
    bevel, knee = THICK / blade.bevel.slope, 5.0 / blade.bevel.slope
    assert (bevel, knee) == pytest.approx((16.7942, 9.3301), abs=5e-5)
    volume, moment = ring([(0.0, 0.0), (bevel, THICK), (RADIUS, THICK)])
    assert volume == pytest.approx(37977.6, abs=0.1)
    # the sums follow roots along the diameter's ends: 1e-4 of the blade
    assert sums.steel.volume == pytest.approx(volume, rel=1e-4)
    assert sums.steel.x == pytest.approx(moment, rel=1e-4)
    assert sums.steel.y == pytest.approx(0.0, abs=1e-6 * moment)
    bit, lever = ring([(0.0, 0.0), (knee, 5.0), (14.0, 5.0), (22.0, 2.0)])
    assert sums.bit.volume == pytest.approx(bit, rel=5e-4)
    assert sums.bit.x == pytest.approx(lever, rel=5e-4)
    # it shows as far as the knee: a half ring
    shows = math.pi / 2.0 * (RADIUS**2 - (RADIUS - knee) ** 2)
    assert sums.bit_area == pytest.approx(shows, rel=5e-4)
    assert sums.area == pytest.approx(math.pi / 2.0 * RADIUS**2, rel=1e-6)


def test_blade_longer_than_its_edges_radius_keeps_its_thickness() -> None:
    """Behind the centre of a round edge the bevel has long ended: the body is as the stations say.

    A distance from the edge's circle alone would fall again behind its centre, and thin the neck.
    """
    blade = Blade(((-70.0, THICK), (0.0, THICK)), DISC, BEVEL, NO_BIT)
    x = np.array([-70.0, -40.0, -5.0, 5.0])
    assert blade.thickness(x, np.full(4, 20.0)).tolist() == [THICK] * 4
    assert blade.thickness(np.array([60.0 - 4.0]), np.zeros(1))[0] == pytest.approx(
        8.0 * math.tan(math.radians(15.0)), rel=1e-12
    )


# Eye and wall ------------------------------------------------------------------------------------


def plan_of(sides_forward: float) -> PlanView:
    """Eye 2 x 5/8 in, round 5/16 in behind and 0.07 in at the nose; bar 3/8 in, wall 3/16 in."""
    return plan_view(
        form=teardrop(2.0, 5 / 8, 0.07),
        wall=3 / 16,
        step=3 / 16,
        poll_width=1.0,
        poll_thickness=3 / 8,
        sides_forward=sides_forward,
        station=(3.0, 0.25),
    )


def test_eye_by_hand() -> None:
    """Centres 1.6175 apart, radii 0.2425 different, so the straight sides lean by asin(0.14992) =
    0.15049 and are 1.59922 long; behind, the circle turns pi + 0.30098 = 3.44257, in front pi -
    0.30098 = 2.84061, an arc of only 0.19884. Both steps, 3/16 each, close 0.375 of the eye and so
    all of that arc: the wall turns by 3.44257.
    p = 2 x 1.59922 + 0.3125 x 3.44257 + 0.07 x 2.84061 = 4.47308.
    """
    plan = plan_of(0.125)
    assert plan.form.perimeter == pytest.approx(4.4731, abs=5e-5)
    assert plan.cap_length == pytest.approx(0.375, rel=1e-12)
    assert plan.turning == pytest.approx(3.4426, abs=5e-5)


def test_plain_strap_by_hand() -> None:
    """2 l + P = 4.47308 - 0.375 + 3.44257 x 3/32 = 4.42082 with P = 1.000: l = 1.7104 in.

    The same through a whole design.
    """
    raw = changed(
        LOPSIDED["bearded"],
        bar={"section": (inch("3/8"), inch("1 1/2"))},
        wall={"thickness": inch("3/16")},
        eye={"form": "teardrop", "length": inch("2"), "width": inch("5/8"),
             "front_radius": mm("1.778")},
        poll={},
    )  # fmt: skip
    plan = planned(raw)
    assert plan.poll / INCH == pytest.approx(1.0, rel=1e-12)
    assert plan.strap.plain_length / INCH == pytest.approx(1.7104, abs=5e-5)


def test_square_corners_by_hand() -> None:
    """Sides carried 1/8 in forward of the eye's back add about 0.1 sq in to what a plain wrap is.

    In inches, the eye's back at x = 0, its rear circle's centre at 5/16; the wall's outside is a
    circle of 1/2 about it, u = x - 5/16.
    - The plain wrap counts the poll as a strip of the wall's thickness, 1 x 3/16 = 0.1875, in
      which the real wall has only the segment behind the eye's back, cut 5/16 from the centre:
      1/4 acos(5/8) - 5/16 sqrt(1/4 - 25/256) = 0.22392 - 0.12196 = 0.10195. Gain 0.08555.
    - Between side and wall from x = 0 to 1/8, both sides: 2 (1/2 x 1/8 - area under the circle
      from u = -5/16 to -3/16); with S(u) = (u sqrt(1/4 - u2) + 1/4 asin 2u) / 2, S(-3/16) =
      -0.09151, S(-5/16) = -0.14538: 2 (0.0625 - 0.05387) = 0.01725.
    - The fall at 45 degrees, z = 5/16 - u from u = -3/16, meets the circle where 2 u2 - 5/8 u +
      25/256 - 1/4 = 0: u = (0.625 - sqrt(1.609375)) / 4 = -0.160904. Between line and circle,
      both sides: 2 (0.0266 x (0.5 + 0.473404)/2 - (S(-0.160904) - S(-3/16))) = 0.00096.
    Together 0.10377, about a tenth. Worked again below, digit by digit.
    """

    def under(u: float) -> float:
        return (u * math.sqrt(0.25 - u * u) + 0.25 * math.asin(2.0 * u)) / 2.0

    u0, u1 = -5 / 16, -3 / 16
    u2 = (0.625 - math.sqrt(0.390625 + 8.0 * 0.15234375)) / 4.0
    gain = 3 / 16 - (0.25 * math.acos(5 / 8) - 5 / 16 * math.sqrt(0.25 - 25 / 256))
    level = 2.0 * (1 / 16 - (under(u1) - under(u0)))
    fall = 2.0 * ((u2 - u1) * (0.5 + 5 / 16 - u2) / 2.0 - (under(u2) - under(u1)))
    assert (gain, level, fall) == pytest.approx((0.08555, 0.01725, 0.00096), abs=2e-5)

    plan = plan_of(1 / 8)
    plain = (4.47308 - 0.375 + 3.44257 * 3 / 32 - 1.0) * 3 / 16
    assert plan.wall_area - plain == pytest.approx(gain + level + fall, abs=2e-5)
    assert plan.wall_area - plain == pytest.approx(0.1, abs=0.01)


def test_wall_of_a_long_round_eye() -> None:
    """A stadium eye 50 x 20, wall 6, no overhang, steps 7 long, all by circles and rectangles.

    Half of it, with r = 10 and R = 16. Beside the straight sides, 30 x 6 = 180. Behind, from the
    eye's back to the centre of the rear circle: under R from -10 to 0 less a quarter of r. In
    front a ring's sector of pi/2 - 7/10 radians. In the corner the side falls at once: 45 degrees
    from (-10, 16) about that centre, z = 6 - u, and meets R where 2 u2 - 12 u + 36 - 256 = 0.
    """
    r, R = 10.0, 16.0
    plan = plan_view(
        form=stadium(50.0, 20.0), wall=6.0, step=7.0, poll_width=32.0, poll_thickness=11.0,
        sides_forward=0.0, station=(75.0, 9.0),
    )  # fmt: skip

    def under(u: float) -> float:
        return (u * math.sqrt(R * R - u * u) + R * R * math.asin(u / R)) / 2.0

    behind = under(0.0) - under(-r) - math.pi * r * r / 4.0
    u = (12.0 - math.sqrt(144.0 + 8.0 * 220.0)) / 4.0
    corner = (u + r) * (R + 6.0 - u) / 2.0 - (under(u) - under(-r))
    sector = (R * R - r * r) / 2.0 * (math.pi / 2.0 - 0.7)
    assert plan.wall_area == pytest.approx(2.0 * (180.0 + behind + corner + sector), rel=1e-9)
    assert plan.turning == pytest.approx(2.0 * math.pi - 1.4, rel=1e-12)
    # the middle line of the wall without its corners: Steiner's rule for the open band
    line = plan.form.perimeter - 14.0 + plan.turning * 3.0
    band = plan.wall_area + 2.0 * (
        R * R * math.acos(r / R) / 2.0 - r * math.sqrt(R * R - r * r) / 2
    )
    assert (band - 2.0 * corner) / 6.0 == pytest.approx(line, rel=1e-9)


# A whole head ------------------------------------------------------------------------------------


def box() -> Raw:
    """A head 40 high throughout its eye, lines only, its edge nearly straight."""
    return {
        "name": "Box",
        "bar": {"section": (mm(14), mm(36))},
        "wall": {"thickness": mm(6)},
        "eye": {"form": "stadium", "length": mm(50), "width": mm(20)},
        "ears": {"form": "none"},
        "poll": {"height": mm(40), "thickness": mm(10)},
        "blade": {
            "reach": mm(100), "toe": mm(35), "heel": mm(55), "neck_above": mm(20),
            "neck_below": mm(20), "edge_radius": mm(2000), "edge_angle": 30,
            "stations": [(mm(20), mm(16)), (mm(90), mm(9))],
            "top": {"form": "line", "through": [(mm(5), mm(20))]},
            "bottom": {"form": "line", "through": [(mm(5), mm(20))]},
        },
        "bit": {"stock": (mm(5), mm(30)), "thickness": mm(4), "insertion": mm(30),
                "scarf": mm(10), "tip": mm(1)},
        "allowances": {"heats": 0},
    }  # fmt: skip


def test_box_head() -> None:
    """Poll 32 x 10 x 40; walls their plan area times 40; blade and neck by wedges and a bevel.

    Top and bottom leave the eye's front level, 20 high, and from 5 mm on run straight to 35 and 55
    at 100 mm, less what the edge's arc falls back at its ends (45 mm from its middle, 45^2/4000 =
    0.506 mm). So the blade's height at x ahead of the eye is 40 + 50 (x - 5) / 94.494.
    Ahead of the first station the body is a wedge from 20 on: 16 - 0.1 (x - 20) thick. The bevel,
    2 tan 15 x distance from the edge, takes 9 / (2 tan 15) = 16.8 mm off its end: triangles.
    The arc is taken as its mean chord, 2/3 of 0.506 ahead of toe and heel; what that leaves out is
    below 1e-4 of the blade; the tolerance is three times as much.
    """
    found = head.finish(read(box()).design)
    assert found.poll.volume == pytest.approx(32 * 10 * 40, rel=1e-12)
    assert found.walls.volume == pytest.approx(40.0 * found.plan.wall_area, rel=1e-9)
    # walls and poll stand evenly about the centre line
    assert found.poll.y == pytest.approx(0.0, abs=1e-6)
    assert found.walls.y == pytest.approx(0.0, abs=1e-6)
    fall = 2000.0 - math.sqrt(2000.0**2 - 45.0**2)
    rise = 50.0 / (95.0 - fall)
    edge, slope = 100.0 - fall / 3.0, 2.0 * math.tan(math.radians(15.0))

    def height(x: float) -> float:
        return 40.0 + rise * (x - 5.0)

    def wedge(x0: float, t0: float, x1: float, t1: float) -> float:
        a, b = height(x0), height(x1)
        return (x1 - x0) / 6.0 * (2 * a * t0 + a * t1 + b * t0 + 2 * b * t1)

    # the bevel starts where slope (edge - x) = the body's thickness, past the last station or not
    start = (slope * edge - 18.0) / (slope - 0.1)
    assert 80.0 < start < 90.0
    thick = 18.0 - 0.1 * start
    volume = wedge(20.0, 16.0, start, thick) + wedge(start, thick, edge, 0.0)
    assert found.ahead.steel.volume == pytest.approx(volume, rel=3e-4)
