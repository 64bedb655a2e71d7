"""Parallel contours against Steiner's formula, Shapely's buffer and shapes worked by hand."""

from __future__ import annotations

import math
from itertools import product

import numpy as np
import pytest
import shapely
from designs import examples
from hypothesis import assume, given
from hypothesis import strategies as st

from patterns import offset, profiles
from patterns.blank import ForgePlan, plan
from patterns.contour import Contour, Piece, Vertex
from patterns.eye import EyeForm, circle, eye_form, stadium
from patterns.gauges import gauges
from patterns.offset import OffsetError, parallel
from patterns.templates import blank_part, usual_way

NAMES = list(profiles.shipped())
PLANS: dict[str, ForgePlan] = {}

FINE = 1e-4
"""Sagitta [mm] of what is handed to Shapely; two flattened lines may differ by a few of them."""


def planned(name: str) -> ForgePlan:
    if name not in PLANS:
        PLANS[name] = plan(profiles.load(name).design, "in")
    return PLANS[name]


def flat(contour: Contour) -> shapely.Polygon:
    return shapely.Polygon(contour.points(FINE))


def apart(made: Contour, contour: Contour, by: float, corners: str = "round") -> float:
    """How far the contour lies from Shapely's buffer of the first one [mm]."""
    join = "round" if corners == "round" else "mitre"
    wanted = flat(contour).buffer(by, quad_segs=256, join_style=join, mitre_limit=offset.LIMIT)
    assert wanted.geom_type == "Polygon"
    assert not wanted.interiors
    return float(shapely.hausdorff_distance(flat(made).exterior, wanted.exterior))


def tried(contour: Contour, by: float) -> tuple[Contour | None, OffsetError | None]:
    """The parallel contour, or why there is none."""
    try:
        return parallel(contour, by), None
    except OffsetError as error:
        return None, error


def same_line(one: Contour, other: Contour, within: float) -> bool:
    """Whether two contours are the same line, wherever each begins."""
    a, b = flat(one).exterior, flat(other).exterior
    return float(shapely.hausdorff_distance(a, b, densify=0.02)) < within


# Closed forms ------------------------------------------------------------------------------------


@pytest.mark.parametrize("by", [0.15, 0.75, 6.0])
@pytest.mark.parametrize(
    "convex",
    [
        Contour.circle(3.0, -2.0, 10.0),
        Contour.rectangle(-4.0, 1.0, 26.0, 21.0),
        stadium(50.0, 20.0).contour,
        Contour.polygon([(0.0, 0.0), (40.0, -3.0), (31.0, 22.0), (4.0, 17.0)]),
        Contour((Vertex(0.0, 0.0, 0.3), Vertex(30.0, 0.0, 0.0), Vertex(18.0, 25.0, 0.5))),
    ],
)  # fmt: skip
def test_steiner(convex: Contour, by: float) -> None:
    """Steiner 1840: a convex area grows to A + P b + pi b^2, its perimeter to P + 2 pi b."""
    made = parallel(convex, by)
    wanted = convex.area + convex.length * by + math.pi * by * by
    assert made.area == pytest.approx(wanted, rel=1e-9)
    assert made.length == pytest.approx(convex.length + math.tau * by, rel=1e-9)
    back = parallel(convex.reversed(), by)
    assert back.area == pytest.approx(-wanted, rel=1e-9)


FORMS: list[EyeForm] = [
    eye_form(form, length, width, front, exponent)
    for form, (length, width, front, exponent) in product(
        ("teardrop", "stadium", "circle", "ellipse", "superellipse"),
        ((50.8, 15.875, 1.8, 2.5), (63.5, 22.0, 4.0, 4.0)),
    )
]


@pytest.mark.parametrize("by", [0.1, 0.5, 1.2])
@pytest.mark.parametrize("form", FORMS)
def test_eyes(form: EyeForm, by: float) -> None:
    """Eyes are convex and smooth: Steiner's formula outwards, and inwards with the sign turned,
    as no arc of theirs is smaller than the offset. Against the form's own perimeter and area, by
    quadrature, as near as its arcs lie to it; against those of its arcs to the last digits."""
    eye = form.contour
    least = min(piece.radius for piece in eye.pieces)
    for sign in (1.0, -1.0):
        if sign < 0.0 and least <= by:
            continue
        made = parallel(eye, sign * by)
        grown = eye.area + sign * eye.length * by + math.pi * by * by
        # joins that turn by less than a thousandth are no corner: second order of the turn
        assert made.area == pytest.approx(grown, rel=1e-7)
        assert len(made.pieces) == len(eye.pieces)
        true = form.area + sign * form.perimeter * by + math.pi * by * by
        assert made.area == pytest.approx(true, abs=0.004 * form.perimeter)
        for old, new in zip(eye.pieces, made.pieces, strict=True):
            if not old.is_line:
                assert new.radius == pytest.approx(old.radius + sign * by, abs=1e-4)
                assert new.centre == pytest.approx(old.centre, abs=1e-4)


def test_two_half_arcs() -> None:
    made = parallel(Contour.circle(0.0, 0.0, 5.0), -0.4)
    assert [round(p.radius, 9) for p in made.pieces] == [4.6, 4.6]
    assert made.bounds.width == pytest.approx(9.2)
    hole = parallel(Contour.circle(0.0, 0.0, 5.0).reversed(), -0.4)
    assert hole.area == pytest.approx(-math.pi * 4.6**2)


def test_inside_corners_stay_sharp_and_outside_ones_are_gone_round() -> None:
    """An L: five corners open by a quarter turn, one closes."""
    ell = Contour.polygon([(0, 0), (30, 0), (30, 10), (10, 10), (10, 30), (0, 30)])
    made = parallel(ell, 2.0)
    arcs = [piece for piece in made.pieces if not piece.is_line]
    assert len(arcs) == 5
    assert all(arc.radius == pytest.approx(2.0) for arc in arcs)
    assert any(math.dist((v.x, v.y), (12.0, 12.0)) < 1e-9 for v in made.vertices)
    # grown by hand: 500 + 120 * 2, less a square of 2 at the closing corner counted twice, and
    # five quarter circles
    assert made.area == pytest.approx(500.0 + 240.0 - 4.0 + 5.0 * math.pi)
    sharp = parallel(ell, 2.0, corners="sharp")
    assert sharp.straight
    assert sharp.area == pytest.approx(500.0 + 240.0 - 4.0 + 5.0 * 4.0)


def test_a_keen_corner_is_rounded_past_the_limit() -> None:
    """At 1 : 8 the corner is 14 degrees: its sides meet 8 offsets away, so an arc goes round it."""
    keen = Contour.polygon([(0.0, -5.0), (40.0, 0.0), (0.0, 5.0)])
    made = parallel(keen, 1.0, corners="sharp")
    assert sum(not piece.is_line for piece in made.pieces) == 1
    assert made.bounds.right == pytest.approx(41.0)


# Pieces that vanish ------------------------------------------------------------------------------


def ell_with_fillet(radius: float) -> Contour:
    r, quarter = radius, math.tan(math.pi / 8.0)
    return Contour.of_pieces(
        [
            Piece(0, 0, 30, 0), Piece(30, 0, 30, 10), Piece(30, 10, 10 + r, 10),
            Piece(10 + r, 10, 10, 10 + r, -quarter), Piece(10, 10 + r, 10, 30),
            Piece(10, 30, 0, 30), Piece(0, 30, 0, 0),
        ]
    )  # fmt: skip


def test_a_small_fillet_is_swallowed() -> None:
    """The neighbours meet where they would without it; a larger one is left with what remains."""
    bare = parallel(ell_with_fillet(0.0), 2.0)
    gone = parallel(ell_with_fillet(1.5), 2.0)
    assert same_line(bare, gone, 1e-6)
    assert len(gone.vertices) == len(bare.vertices)
    stays = parallel(ell_with_fillet(3.0), 2.0)
    assert any(p.bulge < 0.0 and p.radius == pytest.approx(1.0) for p in stays.pieces)
    just = parallel(ell_with_fillet(2.0), 2.0)
    assert same_line(bare, just, 1e-6)


def test_the_flat_of_a_blunt_notch_vanishes() -> None:
    """Two pieces meet that were not neighbours; where, by hand: y = 6 - 0.5 / tan(half) ..."""
    notch = [(20.0, 20.0), (16.2, 5.0), (15.8, 5.0), (12.0, 20.0)]
    plate = Contour.polygon([(0, 0), (40, 0), (40, 20), *notch, (0, 20)])
    made = parallel(plate, 1.0)
    half = math.atan2(3.8, 15.0)
    tip = 5.0 - 0.2 / math.tan(half)  # where the notch's sides would meet
    deepest = [v.y for v in made.vertices if abs(v.x - 16.0) < 1e-9]
    assert deepest == [pytest.approx(tip + 1.0 / math.sin(half))]
    assert apart(made, plate, 1.0) < 1e-3


def test_a_step_lower_than_the_offset() -> None:
    """The arc round its upper corner meets the lower line: sqrt(2^2 - (2 - 0.5)^2) before it."""
    step = Contour.polygon([(0, 0), (40, 0), (40, 10), (20, 10), (20, 9.5), (0, 9.5)])
    made = parallel(step, 2.0)
    x = 20.0 - math.sqrt(2.0**2 - 1.5**2)
    assert any(math.dist((v.x, v.y), (x, 11.5)) < 1e-9 for v in made.vertices)
    assert apart(made, step, 2.0) < 1e-3


@pytest.mark.parametrize("turn", [1e-7, 1e-9, -1e-7, 3e-5, -3e-5, 1e-3, -1e-3])
def test_joins_that_are_nearly_tangent(turn: float) -> None:
    """A side that is bent by a hair is shifted without a splinter, a spike or a gap."""
    bent = Contour.polygon([(0, 0), (15, 15 * math.tan(turn)), (30, 0), (30, 20), (0, 20)])
    for by in (0.75, -0.75):
        made = parallel(bent, by)
        assert min(piece.length for piece in made.pieces) > 0.5
        assert apart(made, bent, by) < 1e-3


def test_noise_in_the_last_digits_changes_nothing() -> None:
    rng = np.random.default_rng(5)
    eye = stadium(50.0, 20.0).contour
    for _ in range(20):
        shaken = Contour(
            tuple(
                Vertex(v.x + a, v.y + b, v.bulge)
                for v, (a, b) in zip(eye.vertices, rng.normal(0, 1e-8, (99, 2)), strict=False)
            )
        )
        for by in (1.5, -1.5):
            made = parallel(shaken, by)
            assert len(made.pieces) == len(eye.pieces)
            assert made.area == pytest.approx(parallel(eye, by).area, abs=1e-5)


# There and back ----------------------------------------------------------------------------------


BLUNT = Contour.polygon([(0, 0), (40, 0), (43, 12), (40, 25), (26, 18), (3, 25)])


@pytest.mark.parametrize("by", [0.15, 0.75, 1.6])
def test_there_and_back(by: float) -> None:
    """Out and in again gives the outline where nothing was rounded on the way back."""
    eye = stadium(50.0, 20.0).contour
    assert same_line(parallel(parallel(eye, by), -by), eye, 1e-6)
    assert same_line(parallel(parallel(eye, -by), by), eye, 1e-6)
    # arcs round the corners shrink to nothing again; only the corner that closed comes back round
    convex = Contour.polygon([(0, 0), (40, 0), (43, 12), (40, 25), (3, 25)])
    assert same_line(parallel(parallel(convex, by), -by), convex, 1e-6)
    sharp = parallel(parallel(BLUNT, by, corners="sharp"), -by, corners="sharp")
    assert same_line(sharp, BLUNT, 1e-6)
    assert not same_line(parallel(parallel(BLUNT, by), -by), BLUNT, 1e-3)


@pytest.mark.parametrize("by", [0.6, -0.6])
def test_it_moves_with_the_contour(by: float) -> None:
    """Turned, moved, mirrored or scaled before or after is the same."""
    base = ell_with_fillet(3.0)
    made = parallel(base, by)
    turned = base.turned(0.7).moved(311.0, -57.0)
    assert same_line(parallel(turned, by), made.turned(0.7).moved(311.0, -57.0), 1e-6)
    assert same_line(parallel(base.flipped(), by), made.flipped(), 1e-6)
    assert same_line(parallel(base.scaled(3.0), 3.0 * by), made.scaled(3.0), 1e-6)
    assert same_line(parallel(base.reversed(), by), made.reversed(), 1e-6)
    later = Contour(base.vertices[3:] + base.vertices[:3])
    assert same_line(parallel(later, by), made, 1e-6)


# Against Shapely ---------------------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
def test_heads(name: str) -> None:
    outline = planned(name).head.side.contour
    for by in (0.1, 0.75, 1.5, -0.1, -0.75, -1.5):
        made = parallel(outline, by)
        assert made.area * outline.area > 0.0
        assert apart(made, outline, by) < 1e-3, by


@pytest.mark.parametrize("name", NAMES[::2])
def test_blanks_with_sharp_corners(name: str) -> None:
    """Straight all round, where Shapely's mitre is the same; round too."""
    cut = blank_part(planned(name), usual_way("in")).cuts[0]
    for by, corners in product((0.1, 0.45, -0.1, -0.45), ("round", "sharp")):
        made = parallel(cut, by, corners=corners)
        if cut.straight or corners == "round":
            assert apart(made, cut, by, corners) < 1e-3, (by, corners)


@pytest.mark.parametrize("name", NAMES[::4])
def test_gauges(name: str) -> None:
    """What is cut of the gauges: as Shapely has it, or refused where Shapely finds it in pieces
    or a slot lost."""
    done = refused = 0
    for gauge in gauges(planned(name), "in"):
        for number, cut in enumerate(gauge.cuts):
            for half in (0.1, 0.45, 1.5):
                by = -half if number else half
                made, error = tried(cut, by)
                if error is not None:
                    refused += 1
                    assert error.width is not None
                    assert error.width <= 2.0 * half + 1e-3
                    # what Shapely grows and shrinks again is not what it was
                    back = flat(cut).buffer(by, quad_segs=64).buffer(-by, quad_segs=64)
                    assert back.symmetric_difference(flat(cut)).area > 1e-3
                    continue
                assert made is not None
                done += 1
                assert apart(made, cut, by) < 1e-3
    assert done > 10
    assert refused > 0


@st.composite
def outlines(draw: st.DrawFn) -> Contour:
    """A run of lines and arcs round the origin, simple by its first look at Shapely."""
    count = draw(st.integers(3, 9))
    radii = draw(st.lists(st.floats(8.0, 40.0), min_size=count, max_size=count))
    bulges = draw(
        st.lists(
            st.one_of(st.just(0.0), st.floats(-0.7, 0.7)), min_size=count, max_size=count
        )
    )  # fmt: skip
    start = draw(st.floats(0.0, 1.0))
    vertices = [
        Vertex(r * math.cos(a), r * math.sin(a), 0.0 if abs(b) < 1e-3 else b)
        for r, b, a in zip(
            radii, bulges, [(start + i) * math.tau / count for i in range(count)], strict=True
        )
    ]
    contour = Contour(tuple(vertices))
    assume(shapely.Polygon(contour.points(FINE)).is_valid)
    assume(contour.area > 50.0)
    # flattened, a needle's two sides may seem apart where the arcs cross
    ends = zip(contour.pieces, contour.pieces[1:] + contour.pieces[:1], strict=True)
    turns = [math.remainder(b.angle_at(0.0) - a.angle_at(1.0), math.tau) for a, b in ends]
    assume(max(map(abs, turns)) < math.radians(177.0))
    return contour if draw(st.booleans()) else contour.reversed()


@examples(150)
@given(outlines(), st.floats(0.05, 4.0), st.booleans())
def test_random_outlines(contour: Contour, size: float, outwards: bool) -> None:
    by = size if outwards else -size
    ring = flat(contour)
    wanted = ring.buffer(by, quad_segs=256)
    whole = wanted.geom_type == "Polygon" and not wanted.is_empty and not wanted.interiors
    made, error = tried(contour, by)
    if error is not None:
        assert "crosses itself" not in str(error)
        assert "not at its distance" not in str(error)
        # in pieces, or something deeper than a corner is lost: grown back it misses a good deal
        back = wanted.buffer(-by, quad_segs=64)
        lost = ring.symmetric_difference(back)
        assert not whole or shapely.hausdorff_distance(lost, back.boundary) > 0.2 * size
        return
    assert whole
    assert made is not None
    assert made.area * contour.area > 0.0
    assert apart(made, contour, by) < 2e-3
    again = [piece for piece in made.pieces if not piece.is_line]
    radii = {round(p.radius, 5) for p in contour.pieces if not p.is_line}
    for piece in again:  # arcs stay arcs, about their own centres, or are joins of the offset
        near = [abs(piece.radius - size)] + [abs(abs(piece.radius - r) - size) for r in radii]
        assert min(near) < 1e-3


# Refused -----------------------------------------------------------------------------------------


def dumb_bell(neck: float) -> Contour:
    half = neck / 2.0
    return Contour.polygon(
        [
            (0, -10), (20, -10), (20, -half), (40, -half), (40, -12), (64, -12), (64, 12),
            (40, 12), (40, half), (20, half), (20, 10), (0, 10),
        ]
    )  # fmt: skip


def test_a_neck_that_parts() -> None:
    assert parallel(dumb_bell(2.1), -1.0).area > 0.0
    for neck in (2.0, 1.9, 0.3):
        with pytest.raises(OffsetError) as caught:
            parallel(dumb_bell(neck), -1.0)
        assert caught.value.width == pytest.approx(neck, abs=0.01)
        assert 20.0 <= caught.value.at[0] <= 40.0
        assert abs(caught.value.at[1]) < neck
    with pytest.raises(OffsetError, match=r"in two, at 3\d\.\d\d|in two, at 2\d\.\d\d"):
        parallel(dumb_bell(1.9), -1.0)


def slotted(width: float, depth: float = 12.0) -> Contour:
    return Contour.polygon(
        [
            (0, 0), (40, 0), (40, 20), (18 + width, 20), (18 + width, 20 - depth),
            (18, 20 - depth), (18, 20), (0, 20),
        ]
    )  # fmt: skip


@pytest.mark.parametrize("depth", [0.7, 3.0, 12.0])
def test_a_slot_narrower_than_the_kerf(depth: float) -> None:
    assert parallel(slotted(1.6, depth), 0.75).area > 0.0
    for width in (1.5, 1.4, 0.5) if depth > 0.75 else (1.4, 0.5):
        with pytest.raises(OffsetError, match="closes") as caught:
            parallel(slotted(width, depth), 0.75)
        assert caught.value.width == pytest.approx(width, abs=0.01)
        assert caught.value.at[0] == pytest.approx(18.0 + width / 2.0, abs=0.1)
        assert 20.0 - depth <= caught.value.at[1] <= 20.1


def test_a_slot_with_a_mouth_well_rounded() -> None:
    """The arcs at the mouth are larger than the kerf, so a dent stays; the slot is gone all the
    same."""
    quarter = math.tan(math.pi / 8.0)
    plate = Contour.of_pieces(
        [
            Piece(0, 0, 40, 0), Piece(40, 0, 40, 20), Piece(40, 20, 23.5, 20),
            Piece(23.5, 20, 20.5, 17, quarter), Piece(20.5, 17, 20.5, 5),
            Piece(20.5, 5, 19.5, 5, -1.0), Piece(19.5, 5, 19.5, 17),
            Piece(19.5, 17, 16.5, 20, quarter), Piece(16.5, 20, 0, 20), Piece(0, 20, 0, 0),
        ]
    )  # fmt: skip
    assert parallel(plate, 0.45).area > plate.area
    with pytest.raises(OffsetError, match="a slot closes") as caught:
        parallel(plate, 0.75)
    assert caught.value.width == pytest.approx(1.0, abs=0.01)
    assert caught.value.at[0] == pytest.approx(20.0, abs=0.01)


def test_a_keyhole_closes_at_its_neck() -> None:
    """The slot is 1 wide, the hole behind it 8: the hole would be cut off."""
    key = Contour.polygon(
        [
            (0, 0), (40, 0), (40, 30), (20.5, 30), (20.5, 18), (24, 18), (24, 10), (16, 10),
            (16, 18), (19.5, 18), (19.5, 30), (0, 30),
        ]
    )  # fmt: skip
    with pytest.raises(OffsetError, match="an opening closes") as caught:
        parallel(key, 0.75)
    assert caught.value.width == pytest.approx(1.0, abs=0.01)
    assert 18.0 <= caught.value.at[1] <= 30.1


def test_all_of_a_hole_closes() -> None:
    hole = Contour.circle(7.0, -3.0, 0.6)
    assert parallel(hole, -0.59).area == pytest.approx(math.pi * 1e-4)
    for by in (-0.6, -0.75, -5.0):
        with pytest.raises(OffsetError, match=r"all of it closes at 7\.00, -3\.00 mm") as caught:
            parallel(hole.reversed(), by)
        assert caught.value.width == pytest.approx(1.2, abs=0.01)
    slot = Contour.rectangle(0.0, 0.0, 30.0, 1.5)
    for by in (-0.75, -0.8):
        with pytest.raises(OffsetError, match=r"at 15\.00, 0\.75 mm; it is 1\.500 mm wide"):
            parallel(slot, by)


def test_what_cannot_be_offset() -> None:
    with pytest.raises(ValueError, match="open"):
        parallel(Contour.line((0, 0), (1, 0)), 1.0)
    with pytest.raises(ValueError, match="round or sharp"):
        parallel(Contour.circle(0, 0, 1), 1.0, corners="bevel")
    for by in (math.nan, math.inf):
        with pytest.raises(ValueError, match="the offset is"):
            parallel(Contour.circle(0, 0, 1), by)
    bow = Contour.polygon([(0, 0), (10, 10), (10, 0), (0, 12)])
    with pytest.raises(OffsetError, match="crosses or touches itself at"):
        parallel(bow, 0.5)
    with pytest.raises(OffsetError, match="no area"):
        parallel(Contour.polygon([(0, 0), (10, 0)]), 0.5)
    assert parallel(BLUNT, 0.0) is BLUNT


@pytest.mark.parametrize("number", range(5))
def test_a_wrong_contour_would_be_seen(number: int) -> None:
    """The last look at the finished contour: one vertex 0.01 mm off, or run the other way."""
    made = parallel(circle(30.0).contour, 0.75)
    v = made.vertices
    if number < 4:
        spoiled = Contour(
            tuple(w._replace(x=w.x * 1.002) if abs(w.x) > 1 and i == number else w
                  for i, w in enumerate(v))
        )  # fmt: skip
        assert spoiled != made or abs(v[number].x) <= 1
    else:
        spoiled = made.reversed()
    if spoiled != made:
        with pytest.raises(OffsetError):
            offset._verified(circle(30.0).contour, spoiled, 0.75, "round")
    offset._verified(circle(30.0).contour, made, 0.75, "round")


def test_distances_are_exact() -> None:
    """Against Shapely, at many points about lines and arcs both ways round."""
    outline = ell_with_fillet(3.0)
    points = np.random.default_rng(1).uniform(-10.0, 40.0, (500, 2))
    line = flat(outline).exterior
    wanted = shapely.distance(shapely.points(points), line)
    assert np.abs(offset.distances(points, outline.pieces) - wanted).max() < 2.0 * FINE
