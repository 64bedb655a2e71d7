"""Fair outlines: curvature measured on the curves as drawn and on the arcs as they are cut.

The *bend* of a line is its curvature, one over the radius [1/mm], positive where it turns
counter-clockwise; top and bottom both run from the poll to the edge with outwards positive, so that
a hollow line is positive in both. The bend of a curve is worked out here from the derivatives of
its Bernstein polynomials, by NumPy, and that of the arcs as turn over length within a window.

That curvature ought to run on, and no line bend back without need, is common practice in drawing
fair lines; no source stands behind the limits, each has its reason beside it.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
import shapely
from designs import LOPSIDED, Raw, designs, examples, planned
from hypothesis import given
from hypothesis import strategies as st
from numpy.polynomial import Polynomial

from patterns import curves, profiles, shape, sources
from patterns.blank import ForgePlan, plan
from patterns.contour import Piece
from patterns.derived import eye_size, poll_height
from patterns.outline import blade_curves, blade_lines, edge_of, eye_curves
from patterns.parameters import Curve, Design

SHIPPED = sorted(profiles.shipped())
SIDES = ("top", "bottom")
STRAIGHT = 1e-5
"""What bends less than this [1/mm], a radius of 100 m, is straight."""


# Measuring ---------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Part:
    """One curve of an outline's side: its true course, and the arcs that it was laid down as."""

    name: str
    course: curves.Span | Piece

    def sample(self, count: int = 401) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Points [mm], direction [rad] and bend [1/mm] along the true course."""
        if isinstance(self.course, Piece):
            shares = np.linspace(0.0, 1.0, count)
            points = np.array([self.course.at(s) for s in shares])
            angles = np.array([self.course.angle_at(s) for s in shares])
            return points, angles, np.full(count, self.course.sweep / self.course.length)
        n, u = len(self.course) - 1, np.linspace(0.0, 1.0, count)
        t, rest = Polynomial([0.0, 1.0]), Polynomial([1.0, -1.0])
        x, y = (
            sum(
                (
                    math.comb(n, i) * p[axis] * t**i * rest ** (n - i)
                    for i, p in enumerate(self.course)
                ),
                Polynomial([0.0]),
            )
            for axis in (0, 1)
        )
        dx, dy, ddx, ddy = x.deriv()(u), y.deriv()(u), x.deriv(2)(u), y.deriv(2)(u)
        points = np.stack([x(u), y(u)], axis=1)
        return points, np.arctan2(dy, dx), (dx * ddy - dy * ddx) / np.hypot(dx, dy) ** 3


def side(design: Design, name: str) -> list[Part]:
    """The curves of the top or the bottom from the back of the eye to the edge."""
    lines, which = blade_lines(design.blade), SIDES.index(name)
    ear = (design.ears.above, design.ears.below)[which]
    eye = eye_curves(
        -eye_size(design.eye)[0], poll_height(design) / 2.0, design.ears, ear,
        (lines.top, lines.bottom)[which][0], lines.bends[which],
    )  # fmt: skip
    blade = blade_curves(design.blade, edge_of(design.blade))[which]
    feet = ("eye",) if len(eye) == 1 else ("behind the ear", "ahead of the ear")
    return [
        *(Part(foot, each) for foot, each in zip(feet, eye, strict=True)),
        *(Part("blade", each) for each in blade),
    ]


@dataclass(frozen=True)
class Joint:
    """Where two curves meet: how far direction [rad] and bend [1/mm] jump; the bend near by."""

    where: tuple[str, str]
    turn: float
    jump: float
    near: float


def joints(parts: Sequence[Part]) -> list[Joint]:
    """Every joint of a side, the first of them where the poll's level ends."""
    level = Part("poll", Piece(parts[0].course[0][0] - 10.0, 0.0, parts[0].course[0][0], 0.0))
    found = []
    for a, b in itertools.pairwise([level, *parts]):
        (_, before, bend), (_, after, onward) = a.sample(), b.sample()
        turn = abs(math.remainder(after[0] - before[-1], math.tau))
        near = float(max(np.abs(bend).max(), np.abs(onward).max()))
        found.append(Joint((a.name, b.name), turn, abs(float(onward[0] - bend[-1])), near))
    return found


def bends_back(bend: np.ndarray) -> int:
    """How often a bend changes its sign."""
    clear = bend[np.abs(bend) > STRAIGHT]
    return int((np.diff(np.sign(clear)) != 0).sum())


def must_bend_back(part: Part) -> int:
    """How often a curve with given directions and bends at its ends has to change its bend.

    A curve leaves its chord to one side and comes back to it from one side: if these are two
    sides, it changes over between them, and so it does if it sets out along the chord itself.
    Besides, it changes wherever the bend at its end is against the side that it lies on.
    """
    points, angles, bend = part.sample()
    chord = math.atan2(*(points[-1] - points[0])[::-1])
    leave = math.remainder(chord - angles[0], math.tau)
    arrive = math.remainder(angles[-1] - chord, math.tau)
    if max(abs(leave), abs(arrive)) < 1e-9:
        return 0
    leave = -arrive if abs(leave) < 1e-9 else leave
    arrive = -leave if abs(arrive) < 1e-9 else arrive
    against = [
        abs(at) > STRAIGHT and at * way < 0.0 for at, way in ((bend[0], leave), (bend[-1], arrive))
    ]
    return int(leave * arrive < 0.0) + sum(against)


def dip(bend: np.ndarray) -> float:
    """How much less than on both sides a line bends in between, as a share of its greatest bend."""
    size = np.abs(bend)
    lesser = np.minimum(np.maximum.accumulate(size), np.maximum.accumulate(size[::-1])[::-1])
    return float((lesser - size).max() / max(size.max(), STRAIGHT))


def mean_bend(run: Sequence[Piece], place: float, window: float) -> float:
    """Turn over length [1/mm] of laid arcs between a place along them and a window further."""
    low, high = sorted((place, place + window))
    at = turn = 0.0
    for piece in run:
        inside = min(high, at + piece.length) - max(low, at)
        if inside > 0.0:
            turn += piece.sweep * inside / piece.length
        at += piece.length
    return turn / (high - low)


def laid_jump(run: Sequence[Piece], place: float, window: float) -> float:
    """How far the bend of laid arcs jumps at a place along them [1/mm].

    On either side the bends of two windows are carried on to the place along a straight line.
    """

    def limit(step: float) -> float:
        near, far = mean_bend(run, place, step), mean_bend(run, place + step, step)
        return 1.5 * near - 0.5 * far

    return abs(limit(window) - limit(-window))


# Shipped heads -----------------------------------------------------------------------------------


def pointed(design: Design, joint: Joint) -> bool:
    """The one place where a smith wants a corner."""
    return design.ears.form == "pointed" and joint.where == ("behind the ear", "ahead of the ear")


@pytest.mark.parametrize("name", SHIPPED)
def test_nothing_jumps_on_a_shipped_head(name: str) -> None:
    """Direction and curvature run on from the poll's level to the edge, but at pointed tips.

    A curve is drawn with the bend it is given, so that rounding alone is left: a millionth of the
    greatest bend near by is far more than that, and far less than any eye or hand can tell.
    """
    design = profiles.load(name).design
    for which in SIDES:
        found = joints(side(design, which))
        assert ("ahead of the ear", "blade") in [
            j.where for j in found
        ] or design.ears.form == "none"
        for joint in found:
            if pointed(design, joint) and design.ears.form == "pointed":
                continue
            assert joint.turn < 1e-9, joint
            assert joint.jump < 1e-6 * joint.near + 1e-12, joint


@pytest.mark.parametrize("name", SHIPPED)
def test_no_shipped_line_bends_back_without_need(name: str) -> None:
    """Pointed ears and blades: none at all. A rounded ear changes over once on either flank."""
    design = profiles.load(name).design
    for which in SIDES:
        for part in side(design, which):
            once = part.name != "blade" and design.ears.form != "pointed"
            bend = part.sample()[2]
            assert bends_back(bend) == must_bend_back(part) == int(once), (which, part.name)
            # nor a nook tighter than a fuller of 8 mm radius would leave
            assert float(np.abs(bend).max()) < 1.0 / 8.0, (which, part.name)


@pytest.mark.parametrize("name", SHIPPED)
def test_no_flat_in_a_shipped_blade(name: str) -> None:
    """Between two places that bend, none bends less than three quarters of what the lesser does.

    A plain curve that turns alike at both ends has a dip of a sixth; a flat is one of the whole.
    """
    design = profiles.load(name).design
    for which in SIDES:
        for part in side(design, which):
            if part.name == "blade":
                assert dip(part.sample()[2]) < 0.25, which


WINDOW = 2.0
"""Over how much of an outline the bend of its arcs is told [mm]."""

SEEN = 0.35
"""Of the greatest bend near by: a jump above it is taken for one. Arcs have one bend each, and so
jump by as much as the bend of the curve changes over one of them; the shipped heads' arcs next to
the neck are a few millimetres long. A flank that ends as an arc jumps by nearly all its bend."""


def laid_side(forge: ForgePlan, which: str) -> list[Piece]:
    found = getattr(forge.head.fore.side, which)
    return list(found) if which == "top" else [p.flipped() for p in found]


def neck_of(run: Sequence[Piece]) -> float:
    """How far along a side the front of the eye lies [mm]."""
    return sum(p.length for p in run if p.x1 <= 1e-9)


@pytest.mark.parametrize("name", SHIPPED)
def test_the_arcs_that_are_cut_keep_it(name: str) -> None:
    """Next to the neck the laid arcs' bend jumps little, and they lie on the curves as drawn."""
    design = profiles.load(name).design
    forge = plan(design)
    for which in SIDES:
        run, parts = laid_side(forge, which), side(design, which)
        near = max(float(np.abs(part.sample()[2]).max()) for part in parts[-2:])
        assert laid_jump(run, neck_of(run), WINDOW) <= SEEN * near
        line = shapely.LineString([q for p in run for q in (*p.points(1e-4), p.at(1.0))])
        for part in parts:
            points = shapely.points(part.sample()[0])
            assert float(shapely.distance(points, line).max()) < 0.01


# Planted faults ----------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["belt-hatchet", "camp-axe", "carving-axe"])
def test_a_flank_that_takes_no_heed_of_the_blade_is_caught(name: str) -> None:
    """An ear drawn by its directions alone meets the blade with a jump of nearly all its bend."""
    design = profiles.load(name).design
    for which in SIDES:
        *_, ahead, blade = side(design, which)
        tip, neck = (ahead.course[0][:2], ahead.course[-1][:2])
        onward = blade.sample()[1][0]
        if design.ears.form == "pointed":
            (back,) = curves.smooth([neck, tip], onward + math.pi, None)
            flank = back[::-1]
        else:
            (flank,) = curves.smooth([tip, neck], 0.0, onward)
        planted = [Part("ahead of the ear", flank), blade]
        joint = joints(planted)[-1]
        assert joint.turn < 1e-9
        assert joint.jump > 0.5 * joint.near
        run = curves.arcs([part.course for part in planted])
        assert laid_jump(run, neck_of(run), WINDOW) > 1.5 * SEEN * joint.near


def test_a_kink_a_flat_and_a_wiggle_are_caught() -> None:
    top = side(profiles.load("belt-hatchet").design, "top")
    *_, blade = top
    first, second, third, last = blade.course
    # the second control point half a degree off the neck's direction
    lean = math.tan(math.radians(0.5)) * (second[0] - first[0])
    kinked = Part("blade", (first, (second[0], second[1] + lean), third, last))
    assert joints([*top[:-1], kinked])[-1].turn == pytest.approx(math.radians(0.5), rel=0.01)
    # the third on the first's direction: straight where it leaves the neck
    flat = Part("blade", (first, second, tuple(2.0 * np.array(second) - np.array(first)), last))
    assert joints([*top[:-1], flat])[-1].jump > 0.1 * joints(top)[-1].near
    # a hollow with a level bottom: bends down, runs flat, bends up
    way = [(0.0, 20.0), (20.0, 14.0), (50.0, 14.0), (70.0, 20.0)]
    spans = curves.smooth(way, -0.5, 0.5)
    assert dip(np.concatenate([Part("blade", span).sample()[2] for span in spans])) > 0.5
    # the third pulled in beyond the chord
    wavy = Part("blade", (first, second, (third[0], first[1] - 5.0), last))
    assert bends_back(wavy.sample()[2]) == 1
    assert bends_back(blade.sample()[2]) == 0


# Any head ----------------------------------------------------------------------------------------


@examples(80)
@given(designs())
def test_nothing_jumps_on_any_head(drawn: tuple[Raw, ForgePlan]) -> None:
    """As far as the neck nothing jumps on any head, nor at the points of a smooth blade."""
    _, forge = drawn
    design = forge.design
    for which in SIDES:
        curve: Curve = getattr(design.blade, which)
        for joint in joints(side(design, which)):
            if pointed(design, joint) or (joint.where[0] == "blade" and curve.form == "line"):
                continue
            assert joint.turn < 1e-9, joint
            assert joint.jump < 1e-6 * max(joint.near, 1e-3), joint


@examples(80)
@given(designs())
def test_no_line_bends_back_without_need(drawn: tuple[Raw, ForgePlan]) -> None:
    """A blade that leaves the neck the wrong way about makes an ear give way to it, and back.

    Blades through points are passed over, for the points say how they bend; and a blade that
    leaves the neck tighter than 10 mm, to which no ear can be fair.
    """
    _, forge = drawn
    design = forge.design
    for which in SIDES:
        parts = side(design, which)
        onward = abs(float(parts[-1].sample()[2][0]))
        for part in parts:
            needed = must_bend_back(part)
            if part.name == "blade":
                if not getattr(design.blade, which).through:
                    assert bends_back(part.sample()[2]) <= needed
            elif onward < 0.1:
                spare = int(part.name == "eye" and needed > 0)
                assert bends_back(part.sample()[2]) <= needed + spare


@given(
    st.floats(-1.2, 1.2), st.floats(0.02, 1.4), st.floats(0.02, 1.4), st.booleans(),
    st.floats(15.0, 120.0),
)  # fmt: skip
def test_two_points_bend_one_way(
    lean: float, leave: float, arrive: float, left: bool, chord: float
) -> None:
    """However unequally a curve turns off its chord at its ends, it bends one way if it can."""
    sign = 1.0 if left else -1.0
    start, end = (3.0, 4.0), (3.0 + chord * math.cos(lean), 4.0 + chord * math.sin(lean))
    first, last = lean - sign * leave, lean + sign * arrive
    (span,) = curves.smooth([start, end], first, last)
    points, angles, bend = Part("blade", span).sample()
    assert math.remainder(angles[0] - first, math.tau) == pytest.approx(0.0, abs=1e-9)
    assert math.remainder(angles[-1] - last, math.tau) == pytest.approx(0.0, abs=1e-9)
    assert bend.min() * sign > 0.0 if left else bend.max() * sign > 0.0
    laid = curves.arcs([span])
    line = shapely.LineString([q for p in laid for q in (*p.points(1e-4), p.at(1.0))])
    assert float(shapely.distance(shapely.points(points), line).max()) < 0.01


# Beards and welds --------------------------------------------------------------------------------


def lap_of(design: Design) -> float:
    """What a lap weld's scarf would be on the bit [mm]: one and a half times its thickness.

    Shop Practice, "Lap Welding", as kept in ``sources``.
    """
    return float(sources.SCARF_SHARE.value) * design.bit.thickness


LEAST_COVER = 0.75
"""Share of the edge behind which the body must cover the bit: common practice, no source."""


@pytest.mark.parametrize("name", [n for n in SHIPPED if profiles.load(n).design.bit.form != "none"])
def test_no_heel_undercuts_the_weld(name: str) -> None:
    """Behind three quarters of the edge the halves cover the bit by a scarf's length.

    And where the bit ends, the halves are welded over more than the height of the neck.
    """
    design = profiles.load(name).design
    fore = plan(design).head.fore
    blade, view = fore.part.blade, fore.side
    assert shape.covered(view, blade, lap_of(design)) > LEAST_COVER
    y = np.linspace(view.edge.heel[1], view.edge.toe[1], 2001)
    end = shapely.LineString(np.stack([blade.at_depth(design.bit.insertion, y), y], axis=1))
    behind = end.intersection(view.flat)
    assert behind.geom_type == "LineString"  # in one: nothing cuts in between
    assert behind.length > design.blade.neck_above + design.blade.neck_below


@pytest.mark.parametrize("name", [n for n in SHIPPED if profiles.load(n).design.blade.beard])
def test_a_beard_hangs_forward_of_its_root(name: str) -> None:
    """Its back runs on towards the edge all the way down: no hook that a hammer cannot reach."""
    for part in side(profiles.load(name).design, "bottom"):
        assert (np.diff(part.sample()[0][:, 0]) > 0.0).all()


def test_a_narrow_beard_undercuts_the_weld() -> None:
    """Ever narrower, it leaves ever more of the bit bare, until the rule is broken."""
    design = profiles.load("carving-axe").design
    found = []
    for beard in (45.0, 35.0, 25.0, 18.0, 12.0):
        fore = plan(replace(design, blade=replace(design.blade, beard=beard))).head.fore
        found.append(shape.covered(fore.side, fore.part.blade, lap_of(design)))
    assert found == sorted(found, reverse=True)
    assert found[0] > LEAST_COVER > found[-1]


@pytest.mark.parametrize("name", LOPSIDED)
def test_cover_by_shapely(name: str) -> None:
    """The same share from lengths: the parallel of the edge within the outline over all of it."""
    design = planned(LOPSIDED[name]).design
    fore = plan(design).head.fore
    edge, lap = fore.side.edge, lap_of(design)
    radius = edge.radius - design.bit.thickness / (
        2.0 * math.tan(math.radians(design.blade.edge_angle) / 2.0)
    ) - lap  # fmt: skip
    ends = [math.atan2(y - edge.y, x - edge.x) for x, y in (edge.heel, edge.toe)]
    turn = np.linspace(*ends, 4001)
    parallel = shapely.LineString(
        np.stack([edge.x + radius * np.cos(turn), edge.y + radius * np.sin(turn)], axis=1)
    )
    share = parallel.intersection(fore.side.flat).length / parallel.length
    # told at 400 places along the edge
    assert shape.covered(fore.side, fore.part.blade, lap) == pytest.approx(share, abs=2.0 / 400)
    assert shape.covered(fore.side, fore.part.blade, edge.radius) == 0.0


# Pictures ----------------------------------------------------------------------------------------

TEETH = 60
LONG = 200.0
"""Length of a tooth [mm] for a bend of one over a millimetre: 4 mm at a radius of 50 mm."""


def comb(design: Design) -> str:
    """Outline, edge and curvature comb as an SVG of true size; teeth of hollows stand outwards."""
    fore = plan(design).head.fore
    bounds = fore.side.contour.bounds.grown(30.0)
    lines, tips = [], []
    for which, up in zip(SIDES, (-1.0, 1.0), strict=True):
        for part in side(design, which):
            points, angles, bend = part.sample(TEETH)
            feet = points * (1.0, up)
            normals = np.stack([-np.sin(angles), np.cos(angles) * up], axis=1)
            ends = feet + LONG * bend[:, None] * normals
            lines.append(feet)
            tips.append((feet, ends))
    edge = np.array(list(fore.side.edge.piece.points(0.02))) * (1.0, -1.0)

    def path(points: np.ndarray, stroke: str) -> str:
        d = " ".join(f"{x:.3f},{y:.3f}" for x, y in points)
        return f'<polyline points="{d}" fill="none" stroke="{stroke}" stroke-width="0.3"/>'

    drawn = [path(line, "black") for line in [*lines, edge]]
    for feet, ends in tips:
        drawn.append(path(ends, "firebrick"))
        drawn += [path(np.array(pair), "darkgrey") for pair in zip(feet, ends, strict=True)]
    box = f"{bounds.left} {-bounds.top} {bounds.width} {bounds.height}"
    size = f'width="{bounds.width}mm" height="{bounds.height}mm"'
    inside = "\n".join(drawn)
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="{box}">\n{inside}\n</svg>\n'


@pytest.mark.parametrize("name", SHIPPED)
def test_comb(name: str, tmp_path: Path) -> None:
    """A picture to look at; only that every tooth is drawn is asserted."""
    file = tmp_path / f"{name}.svg"
    design = profiles.load(name).design
    file.write_text(comb(design), encoding="utf-8")
    lines = list(ElementTree.parse(file).getroot())
    parts = sum(len(side(design, which)) for which in SIDES)
    assert len(lines) == parts * (TEETH + 2) + 1
