"""Layouts worked by hand, from geometry alone, for the ways of folding a bar.

All have a round eye, ``d`` across, because then everything is arcs and can be done on paper. The
wall is a ring, ``t`` thick. What closes it takes a length ``f`` of the eye's circle, which is the
angle ``f / (d / 2)``; so the wall turns through ``a = 2 pi - 2 f / d`` and its middle line, which
keeps its length (Pappus: neutral line at half the thickness), is ``a (d + t) / 2`` long. That is
also the ring's area over its thickness, ``a / 2 ((d / 2 + t)^2 - (d / 2)^2) / t``.

The bar is as high as the finished head all along (no ears, level lines from poll to edge), so
that heights fall out: a strap ``run`` long and ``t`` thick came from ``run t / T`` of a bar ``T``
thick, and from more by the share that the fire leaves.

No number below comes from this program.
"""

from __future__ import annotations

import math
from typing import Any

import pytest
from designs import Raw, changed, inch, mm, planned

from patterns.errors import BadInputError

WIDE = mm(32)
"""Width of the bar, and height of the head at the eye."""


def ring(d: float, t: float, f: float) -> float:
    """Middle line of a wall round an eye ``d`` across, ``f`` of which is closed by other metal."""
    return (2.0 * math.pi - 2.0 * f / d) * (d + t) / 2.0


def raw(thick: Any, wall: Any, eye: Any, wide: Any = WIDE, **changes: Any) -> Raw:
    """A head with nothing but level lines round its eye; a cold fire that takes nothing."""
    table: Raw = {
        "name": "Layout",
        "bar": {"section": (thick, wide)},
        "fold": {},
        "wall": {"thickness": wall},
        "eye": {"form": "circle", "length": eye},
        "ears": {"form": "none"},
        "poll": {},
        "blade": {
            "reach": mm(80), "toe": wide / 2, "heel": wide / 2, "neck_above": wide / 2,
            "neck_below": wide / 2, "edge_radius": mm(120), "edge_angle": 25,
            "stations": [(mm(9), mm(11)), (mm(70), mm(4))],
            "top": {"form": "line"}, "bottom": {"form": "line"},
        },
        "bit": {"stock": (mm(5), mm(25)), "thickness": mm(3), "insertion": mm(25),
                "scarf": mm(8), "tip": mm(1)},
        "allowances": {"heats": 0, "bit_heats": 0, "scale_per_heat": "0 %"},
    }  # fmt: skip
    return changed(table, **changes)


# The rule itself ---------------------------------------------------------------------------------


@pytest.mark.parametrize(("d", "t", "f"), [(25.4, 3.175, 6.35), (18.3, 3.0, 6.0), (30, 5, 0)])
def test_the_middle_line_is_the_rings_area(d: float, t: float, f: float) -> None:
    """By sectors of two discs, and by adding up chords of the middle line."""
    turned = 2.0 * math.pi - 2.0 * f / d
    area = turned / 2.0 * ((d / 2.0 + t) ** 2 - (d / 2.0) ** 2)
    assert ring(d, t, f) == pytest.approx(area / t, rel=1e-12)
    chords, middle = 100_000, (d + t) / 2.0
    assert ring(d, t, f) == pytest.approx(
        chords * 2.0 * middle * math.sin(turned / chords / 2.0), rel=1e-9
    )


def test_what_the_paper_says() -> None:
    """The sums below, done with pencil: 5 783 thousandths of a radian, and so on.

    round, 1 in eye, 1/4 in bar, 1/8 in wall: f = 2 (1/4 - 1/8) = 1/4 in; a = 6.2832 - 0.5 = 5.7832;
    (1 + 1/8) / 2 = 0.5625 in; 5.7832 x 0.5625 = 3.2530 in = 82.627 mm; of bar half, 41.314.
    closed, the same: f = 1/4 in before and behind; each side turns 3.1416 - 0.5 = 2.6416;
    x 0.5625 = 1.4859 in = 37.742 mm.
    one-sided, 1 in eye, 1/2 in bar, 3/16 in wall: f = 5/16 in; a = 6.2832 - 0.625 = 5.6582;
    (1 + 3/16) / 2 = 0.59375; 3.3595 in = 85.332 mm; lap 1 1/2 x 3/16 = 9/32 in = 7.144.
    cheeks, 1 in eye, 1/4 in plate, 3/16 in wall, 1/4 in insert: f = 2/16 + 1/4 = 3/8 in;
    a = 6.2832 - 0.75 = 5.5332; x 0.59375 = 3.2853 in = 83.447 mm.
    """
    assert ring(1.0, 0.125, 0.25) == pytest.approx(3.2530, abs=5e-5)
    assert ring(1.0, 0.125, 0.5) / 2.0 == pytest.approx(1.4859, abs=5e-5)
    assert ring(1.0, 0.1875, 0.3125) == pytest.approx(3.3595, abs=5e-5)
    assert ring(1.0, 0.1875, 0.375) == pytest.approx(3.2853, abs=5e-5)


# Round: the strap runs through -------------------------------------------------------------------

# Compared: twice plan.strap.drawn_length, for the run goes from shoulder to shoulder; the way
# between the shoulder marks, plan.shoulders, which is all raw strap; plan.poll, which is nothing.


def test_round() -> None:
    """82.627 mm of strap, out of 41.314 mm of bar."""
    plan = planned(raw(inch("1/4"), inch("1/8"), inch("1"), fold__form="round"))
    assert 2.0 * plan.strap.drawn_length == pytest.approx(82.627, abs=0.001)
    assert 2.0 * plan.strap.raw_length == pytest.approx(41.314, abs=0.001)
    assert plan.shoulders == pytest.approx(41.314, abs=0.001)
    assert plan.poll == pytest.approx(0.0, abs=1e-9)


def test_round_through_the_fire() -> None:
    """Eight heats at 1.5 % leave 0.985^8 = 0.88611; 41.314 / 0.88611 = 46.623 mm of bar."""
    design = changed(
        raw(inch("1/4"), inch("1/8"), inch("1"), fold__form="round"),
        allowances__heats=8, allowances__scale_per_heat="1.5 %",
    )  # fmt: skip
    plan = planned(design)
    assert 2.0 * plan.strap.drawn_length == pytest.approx(82.627, abs=0.001)
    assert plan.shoulders == pytest.approx(46.623, abs=0.002)


def test_a_published_round_poll() -> None:
    """A page on a small round-poll hatchet (beavertooth.co.uk, mini rap-around hawk).

    Bar 130 x 30 x 6 mm; its middle was drawn to 60 x 30 x 3. By volume that took 30 mm of bar, and
    the piece was then 130 - 30 + 60 = 160 mm long. The page does not give the eye. By geometry the
    60 mm close round one of d, where (2 pi - 12 / d) (d + 3) / 2 = 60, for the steps close
    2 (6 - 3) mm of it: 6.28319 d^2 - 113.150 d - 36 = 0, d = (113.150 + sqrt(13 707.8)) / 12.5664
    = 18.3212 mm, a handle of 3/4 in less the drift's play.
    """
    assert ring(18.3212, 3.0, 6.0) == pytest.approx(60.0, abs=0.001)
    plan = planned(raw(mm(6), mm(3), mm("18.3212"), wide=mm(30), fold__form="round"))
    assert 2.0 * plan.strap.drawn_length == pytest.approx(60.0, abs=0.002)
    assert plan.shoulders == pytest.approx(30.0, abs=0.002)
    longer = 2.0 * (plan.strap.drawn_length - plan.strap.raw_length)
    assert 130.0 + longer == pytest.approx(160.0, abs=0.002)


# Closed: the back cut nearly through and folded shut ---------------------------------------------

# Compared: plan.strap.plain_length, each strap by the middle line, which has no say in what fills
# the corners at the poll; plan.strap.drawn_length, near it; and the block in the middle of the
# bar, plan.poll, which is both poll pieces. Both faces of the poll are the bar's own, so that
# it is 2 T wide, plan.head.plan.poll_width.


def test_closed() -> None:
    """37.742 mm of strap on each side by the middle line; poll 1/2 in wide.

    The metal may be a little more or less than the middle line's, as the poll's square front is
    drawn. Less: where it stands at the back of the eye, it cuts off what of the ring lies behind,
    from the step at 0.25 rad to where the ring's outside, 15.875 from the middle, comes back to
    12.7: at acos 0.8 = 0.6435 rad. That is 1/2 (15.875^2 x 0.3935 - 12.7^2 (0.75 - 0.2553)) =
    9.69 mm2, 3.05 mm of strap. More: what fills the corner beside the poll is less than a square
    of the wall's thickness, 3.175 mm of strap.
    """
    design = raw(
        inch("1/4"), inch("1/8"), inch("1"), fold__form="closed", poll__thickness=inch("3/4")
    )
    plan = planned(design)
    assert plan.head.plan.poll_width == pytest.approx(12.7, abs=1e-6)
    assert plan.strap.plain_length == pytest.approx(37.742, abs=0.002)
    assert 37.742 - 3.06 <= plan.strap.drawn_length <= 37.742 + 3.175


def test_a_published_closed_poll() -> None:
    """Bar 1/2 x 3 in, 9 in long, cut from the back at mid-length until 1/8 in is left, thinned from
    3/4 in on each side of the middle (americanlongrifles.org, topic 49792).

    So the poll is 2 x 1/2 = 1 in wide and 3/4 in deep, its two pieces take 1 1/2 in of the bar
    before the fire, and the web is a quarter of the bar. A poll 3/4 in deep therefore asks for
    3/4 + 3/4 in, cold; that twice the poll's depth is left thick is also what a second smith says
    (muzzleloadingforum.com, thread 98229: depressions at "the desired poll height x2").
    """
    design = raw(
        inch("1/2"), inch("1/4"), inch("1 3/8"), wide=inch("3"), fold__form="closed",
        poll__thickness=inch("3/4"), blade__toe=mm(45), blade__heel=mm(50),
        blade__reach=mm(120), blade__edge_angle=32,
        blade__stations=[(mm(12), mm(24)), (mm(60), mm(13)), (mm(110), mm(4))],
    )  # fmt: skip
    plan = planned(design)
    assert plan.head.plan.poll_width == pytest.approx(25.4, abs=1e-6)
    assert plan.head.plan.poll_thickness == pytest.approx(19.05, abs=1e-6)
    assert plan.poll == pytest.approx(38.1, abs=0.01)


# One-sided: a tongue round the drift -------------------------------------------------------------

# Compared: plan.strap.drawn_length, here the whole tongue, from the body's shoulder round the eye
# and over the lap; plan.strap.raw_length, the bar that it is drawn from. The lap's scarf runs out
# to nothing, so that it holds half of what it would at full thickness.


@pytest.mark.parametrize(
    ("lap", "whole", "bar"), [("9/32", 92.476, 33.339), ("5/8", 101.207, 34.976)]
)
def test_one_sided(lap: str, whole: float, bar: float) -> None:
    """85.332 mm round the eye, and the lap.

    1 1/2 times the thickness, 9/32 in = 7.144 mm, is what Googerty gives for a scarf (1915, lap
    welding: "perhaps 1 1/2 times the thickness"): 92.476 mm, of (85.332 + 7.144 / 2) x 3/8 = 33.339
    mm of bar. With 5/8 in, 15.875 mm: 101.207, and (85.332 + 15.875 / 2) x 3/8 = 34.976.
    """
    design = raw(inch("1/2"), inch("3/16"), inch("1"), fold__form="one-sided", fold__lap=inch(lap))
    plan = planned(design)
    assert plan.strap.drawn_length == pytest.approx(whole, abs=0.002)
    assert plan.strap.raw_length == pytest.approx(bar, abs=0.002)


# Cheeks: a preform narrow in the middle, and an insert -------------------------------------------

# Compared: twice plan.strap.drawn_length, from shoulder to shoulder; plan.shoulders, the way along
# the preform over which it is as narrow as fold.waist.


def test_cheeks() -> None:
    """83.447 mm from shoulder to shoulder: the insert's back closes the front with the two steps.

    Cut to 20 mm at the waist out of plate 1/4 in thick, and drawn to 3/16 in thick and 32 mm high,
    it would take 83.447 x (3/16) / (1/4) x 32 / 20 = 100.137 mm of the preform, more than it gives:
    no plate is drawn stouter, and that is refused. Cut to 32 mm it takes 62.586 of it.
    """
    for waist, along in ((mm(20), None), (mm(32), 62.586)):
        design = raw(
            inch("1/4"), inch("3/16"), inch("1"), fold__form="cheeks", fold__waist=waist,
            poll__height=mm(32), bit__thickness=inch("1/4"), bit__tip=inch("1/4"),
            bit__stock=(inch("1/4"), mm(30)), blade__stations=[(mm(9), mm(15)), (mm(70), mm(8))],
        )  # fmt: skip
        if along is None:
            with pytest.raises(BadInputError, match="no waist gains section"):
                planned(design)
            continue
        plan = planned(design)
        assert 2.0 * plan.strap.drawn_length == pytest.approx(83.447, abs=0.002)
        assert plan.shoulders == pytest.approx(along, abs=0.003)


# Block: the same eye, as it stands ---------------------------------------------------------------

# Compared: plan.strap.plain_length. Here as a control on the reading of the rule.


def test_block() -> None:
    """(p - f + a K t - P) / 2: 79.796 - 6.350 + 5.7832 x 1.5875 - 31.750 = 50.877; half, 25.439.

    P = 25.4 + 2 x 3.175 = 31.75 mm. The middle line as published for the polled wrap; the corners
    come on top.
    """
    design = raw(inch("1/4"), inch("1/8"), inch("1"))
    del design["fold"]
    plan = planned(design)
    assert plan.strap.plain_length == pytest.approx(25.439, abs=0.002)
