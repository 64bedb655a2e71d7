"""Head and handle together, against published pendulums, theorems, solids and slices of wood."""

from __future__ import annotations

import dataclasses
import json
import math
from functools import cache
from typing import Any

import numpy as np
import pytest
import shapely
from designs import LOPSIDED, Raw, changed, designs, examples, mirrored, mm, planned, read, scaled
from hypothesis import assume, given
from hypothesis import strategies as st
from solid import Solid

from patterns import consistency, profiles, report, sources
from patterns import head as heads
from patterns.blank import plan
from patterns.derived import eye_heights
from patterns.errors import BadInputError
from patterns.hang import (
    Body,
    Hang,
    data,
    hang,
    head_body,
    period,
    rod,
    second_sums,
    string_length,
    together,
    touching,
)
from patterns.head import Head
from patterns.outline import Edge
from patterns.parameters import Handle

HEADS = [*LOPSIDED, *profiles.shipped()]


@cache
def finished(name: str) -> Head:
    design = read(LOPSIDED[name]).design if name in LOPSIDED else profiles.load(name).design
    return heads.finish(design)


def hung(head: Head, **handle: Any) -> Hang:
    design = dataclasses.replace(head.design, handle=Handle(**handle))
    found = hang(dataclasses.replace(head, design=design))
    assert found is not None
    return found


# Pendulums ---------------------------------------------------------------------------------------


def test_rod_of_one_metre() -> None:
    """A rod 1 m long, hung from its end: q = 2/3 m, T = 2 pi sqrt(2/3 / 9.80665) = 1.638226 s.

    The formulas q = I/(m x), T = 2 pi sqrt(I/(m g x)) as in the pages on swords of the Technical
    Faculty of Kiel University; the figures reckoned from them outside this project.
    """
    q = string_length(rod(0.3, 0.0, -1000.0), (0.0, 0.0))
    assert q == pytest.approx(666.6667, abs=1e-4)
    assert period(q) == pytest.approx(1.638226, abs=1e-6)


def test_point_head_on_an_even_haft() -> None:
    """Head 1.6 kg at 0.72 m, haft 0.7 kg and 0.75 m: x .61500, I .960690, q .67917, T 1.65352.

    By the same formulas. By hand: I = 1.6 x .72^2 + .7 x .75^2 / 3 = .82944 + .13125 kg m2, and
    m x = 1.6 x .72 + .7 x .375 = 1.4145 kg m.
    """
    whole = together([Body(1600.0, 0.0, 720.0), rod(700.0, 0.0, 750.0)])
    assert whole.y == pytest.approx(615.00, abs=0.005)
    assert whole.about((0.0, 0.0)) / 1e9 == pytest.approx(0.960690, abs=5e-7)
    q = string_length(whole, (0.0, 0.0))
    assert q == pytest.approx(679.17, abs=0.005)
    assert period(q) == pytest.approx(1.65352, abs=5e-6)


def test_seconds_pendulum() -> None:
    """A plain pendulum that beats seconds is 993.6 mm long where g is the standard's: g / pi^2."""
    assert period(9806.65 / math.pi**2) == pytest.approx(2.0, rel=1e-12)


masses, places = st.floats(1.0, 5000.0), st.floats(-300.0, 300.0)
bodies = st.builds(Body, masses, places, places, st.floats(0.0, 1e7))


@given(st.lists(bodies, min_size=1, max_size=5), places, places)
def test_parallel_axes(parts: list[Body], x: float, y: float) -> None:
    """The sum of the parts' moments about any place is the whole's (Huygens and Steiner)."""
    whole = together(parts)
    about = sum(part.about((x, y)) for part in parts)
    assert whole.about((x, y)) == pytest.approx(about, rel=1e-9, abs=1e-6)


@given(st.lists(bodies, min_size=2, max_size=5))
def test_huygens_pendulum_turned_round(parts: list[Body]) -> None:
    """Hung from its centre of oscillation a body keeps the same time (Huygens, 1673)."""
    whole, pivot = together(parts), (0.0, -500.0)
    q, away = string_length(whole, pivot), math.dist((whole.x, whole.y), pivot)
    assume(q > away * 1.0001)
    far = (whole.x * q / away, -500.0 + (whole.y + 500.0) * q / away)
    assert string_length(whole, far) == pytest.approx(q, rel=1e-6)


# The head's own inertia --------------------------------------------------------------------------


@pytest.mark.parametrize("name", HEADS)
def test_inertia_against_a_solid(name: str) -> None:
    """Sums of 1, x, y and x2 + y2 against trimesh's solids of tests/model/solid.py, plumb eye.

    Tolerance as in test_solid.py for volumes, 3e-4, doubled for the second moments, in which an
    error of the outline counts by the square of its distance.
    """
    head = finished(name)
    solid = Solid(head)
    want = np.zeros(4)
    for part in (solid.behind, solid.blade):
        size, (cx, cy, _) = part.volume, part.center_mass
        about_own = part.moment_inertia[2][2]  # about the axis across the head, density 1
        want += [size, size * cx, size * cy, about_own + size * (cx * cx + cy * cy)]
    volume, x, y, second = second_sums(head)
    assert volume == pytest.approx(want[0], rel=3e-4)
    assert x == pytest.approx(want[1], rel=3e-4)
    assert y == pytest.approx(want[2], abs=3e-4 * volume * head.side.contour.bounds.height)
    assert second == pytest.approx(want[3], rel=6e-4)
    own = second - (x * x + y * y) / volume
    want_own = want[3] - (want[1] ** 2 + want[2] ** 2) / want[0]
    assert own == pytest.approx(want_own, rel=2e-3)  # a difference: 3e-4 of x2 against k2
    # the side view as a plate of even thickness is another thing: the comparison can fail
    plate = shapely.Polygon(head.side.contour.points(0.01))
    assert head_body(head).inertia / head.mass == pytest.approx(want_own / want[0], rel=2e-3)
    assert polar(plate) / plate.area != pytest.approx(want_own / want[0], rel=2e-2)


def polar(plate: shapely.Polygon) -> float:
    """Polar second moment about the own centre, by Green's theorem [mm4]."""
    points = np.array(plate.exterior.coords) - np.array(plate.centroid.coords[0])
    (x0, y0), (x1, y1) = points[:-1].T, points[1:].T
    cross = x0 * y1 - x1 * y0
    square = x0 * x0 + x0 * x1 + x1 * x1 + y0 * y0 + y0 * y1 + y1 * y1
    return abs(float(np.dot(cross, square))) / 12.0


@examples(40)
@given(designs())
def test_sums_agree_with_the_head(drawn: tuple[Raw, object]) -> None:
    """Volume and first moments again, by another division of the head than its zones.

    Both sum a blade with kinks in its thickness: on blades much longer than their edge's radius
    either may be some 5e-4 off. A zone left out or counted twice would be a hundredth or more.
    """
    raw, _ = drawn
    head = planned(changed(raw, eye__taper=mm(0))).head
    volume, x, y, _ = second_sums(head)
    assert volume == pytest.approx(head.volume, rel=1.5e-3)
    assert x == pytest.approx(head.whole.x, rel=2e-3)
    assert y == pytest.approx(head.whole.y, abs=5e-4 * volume * head.side.contour.bounds.height)


@examples(25)
@given(designs())
def test_upside_down_the_inertia_is_the_same(drawn: tuple[Raw, object]) -> None:
    raw, _ = drawn
    assume("beard" not in raw["blade"])
    one = head_body(planned(raw).head)
    other = head_body(planned(mirrored(raw)).head)
    assert (other.mass, other.x, -other.y) == pytest.approx((one.mass, one.x, one.y), abs=1e-6)
    assert other.inertia == pytest.approx(one.inertia, rel=1e-6)


@pytest.mark.parametrize("name", ["stadium", "circle", "bearded"])
def test_twice_the_size(name: str) -> None:
    """Double lengths: masses eightfold, strings double, swings slower by the root of two."""
    small, large = finished(name), planned(scaled(LOPSIDED[name], 2)).head
    one = hung(small, length=420.0, grip=60.0)
    two = hung(large, length=840.0, grip=120.0)
    # fair curves are laid to the same tolerance in mm, so that the two are not quite similar
    assert two.mass == pytest.approx(8.0 * one.mass, rel=1e-4)
    assert two.balance == pytest.approx([2.0 * x for x in one.balance], abs=0.01)
    assert two.string == pytest.approx(2.0 * one.string, rel=1e-4)
    assert two.period == pytest.approx(math.sqrt(2.0) * one.period, rel=1e-4)
    assert two.striking == pytest.approx(2.0 * one.striking, abs=0.02)
    assert two.touch == pytest.approx(one.touch, abs=1e-9)
    assert two.edge_line == pytest.approx(2.0 * one.edge_line, abs=1e-6)


# Head and handle ---------------------------------------------------------------------------------


@pytest.mark.parametrize("name", HEADS)
def test_head_and_handle_slice_by_slice(name: str) -> None:
    """The handle cut into 20 000 discs, the head as trimesh's solid, all put together by sums.

    The handle begins at the top of the eye, fills it, and below it has ``share`` of the section.
    The solid's tolerance, 3e-4, rules. It has a plumb eye, so the head is taken with one.
    """
    leaning = finished(name).design
    plumb = dataclasses.replace(leaning.eye, taper=0.0, flare=0.0)
    head = heads.finish(dataclasses.replace(leaning, eye=plumb))
    found = hung(head, length=480.0, grip=70.0, share=0.8, density=700.0)
    solid = Solid(head)
    above, below = eye_heights(head.design)
    end = above - 480.0
    pivot = end + 70.0
    step = 480.0 / 20000
    y = end + step * (np.arange(20000) + 0.5)
    disc = 0.0007 * head.eye.area * step * np.where(y < -below, 0.8, 1.0)
    wood = float(disc.sum())
    mass, ahead, up = wood, 0.0, float(np.dot(disc, y))
    inertia = float(np.dot(disc, (y - pivot) ** 2))
    for part in (solid.behind, solid.blade):
        steel, (x, at, _) = 0.00785 * part.volume, part.center_mass
        x -= head.eye_centre
        mass, ahead, up = mass + steel, ahead + steel * x, up + steel * at
        own = 0.00785 * part.moment_inertia[2][2]
        inertia += own + steel * (x * x + (at - pivot) ** 2)
    assert found.handle_mass == pytest.approx(wood, rel=1e-4)
    assert found.mass == pytest.approx(mass, rel=4e-4)
    assert found.balance == pytest.approx((-up / mass, ahead / mass), abs=0.06)
    away = math.hypot(ahead / mass, up / mass - pivot)
    assert found.string == pytest.approx(inertia / mass / away, rel=3e-4)
    assert found.grip == pytest.approx(-pivot, rel=1e-12)


def edge_place(head: Head, share: float) -> tuple[float, float]:
    """A place on the edge from the handle's line and the eye's middle, by turning about its arc."""
    edge = head.side.edge
    low = math.atan2(edge.heel[1] - edge.y, edge.heel[0] - edge.x)
    high = math.atan2(edge.toe[1] - edge.y, edge.toe[0] - edge.x)
    angle = low + share * (high - low)
    x, y = edge.radius * math.cos(angle), edge.radius * math.sin(angle)
    return edge.x + x - head.eye_centre, edge.y + y


@pytest.mark.parametrize("name", HEADS)
@pytest.mark.parametrize("length", [360.0, 450.0, 620.0])
def test_a_blow_at_the_striking_point_leaves_the_hand_at_rest(name: str, length: float) -> None:
    """A free body struck there, square to the line from hand to centre of mass: Newton and Euler.

    The blow gives the centre J/m and the turn J r / I; at the hand the two cancel. Struck at the
    far end of the edge instead, they do not.
    """
    head = finished(name)
    found = hung(head, length=length, grip=75.0)
    above, below = eye_heights(head.design)
    wood = 881e-6 * head.eye.area
    end = above - length
    whole = together(
        [head_body(head), rod(wood * (above + below), -below, above),
         rod(0.875 * wood * (length - above - below), end, -below)]
    )  # fmt: skip
    hand = np.array([0.0, end + 75.0])
    centre = np.array([whole.x, whole.y])
    line = (centre - hand) / np.linalg.norm(centre - hand)
    blow = np.array([-line[1], line[0]])

    def speed_of_hand(place: np.ndarray) -> float:
        arm = place - centre
        turn = (arm[0] * blow[1] - arm[1] * blow[0]) / whole.inertia
        here = hand - centre
        moved = blow / whole.mass + turn * np.array([-here[1], here[0]])
        return float(np.dot(moved, blow)) * whole.mass

    middle = np.array(edge_place(head, 0.5))
    assert speed_of_hand(middle + found.striking * line) == pytest.approx(0.0, abs=1e-9)
    if found.striking_share is not None:
        struck = np.array(edge_place(head, found.striking_share))
        assert speed_of_hand(struck) == pytest.approx(0.0, abs=1e-9)
        other = np.array(edge_place(head, 1.0 if found.striking_share < 0.5 else 0.0))
        assert abs(speed_of_hand(other)) > 0.01
    else:
        toe, heel = (speed_of_hand(np.array(edge_place(head, s))) for s in (1.0, 0.0))
        assert toe * heel > 0.0  # no sign change on the edge: the point lies past its end


def test_a_heavier_handle_brings_the_striking_point_nearer_the_hand() -> None:
    """An even rod strikes best at two thirds of its length, a bare head at the head."""
    head = finished("camp-axe")
    points = [hung(head, length=610.0, density=d).striking for d in (300.0, 600.0, 900.0, 1200.0)]
    assert points == sorted(points, reverse=True)
    assert len(set(points)) == 4


@examples(60)
@given(
    st.sampled_from(HEADS), st.floats(150.0, 1200.0), st.floats(20.0, 500.0),
    st.floats(0.4, 1.6), st.floats(300.0, 1200.0), st.none() | st.floats(15.0, 100.0),
)  # fmt: skip
def test_any_handle_that_is_allowed(
    name: str, length: float, grip: float, share: float, density: float, depth: float | None
) -> None:
    """The centre of percussion lies beyond the centre of mass; the whole balances on the handle."""
    head = finished(name)
    handle = Handle(length=length, grip=grip, share=share, density=density, depth=depth)
    design = dataclasses.replace(head.design, handle=handle)
    assume(not consistency.faults(design, "mm"))
    found = hang(dataclasses.replace(head, design=design))
    assert found is not None
    down, ahead = found.balance
    assert found.string > math.hypot(found.grip - down, ahead)
    assert -eye_heights(design)[0] < down < length
    assert found.grip > down
    assert 0.0 <= found.touch <= 1.0
    assert all(math.isfinite(x) for x in (found.striking, found.edge_line, found.period))
    assert len(json.dumps(data(found), allow_nan=False)) > 0


# The table ---------------------------------------------------------------------------------------


def touched(head: Head, end: tuple[float, float]) -> tuple[float, float]:
    """Where a table under the handle's end meets the head: the hull's next corner, by Shapely."""
    outline = np.array(head.side.contour.points(1e-4)) - (head.eye_centre, 0.0)
    hull = shapely.MultiPoint([*outline, end]).convex_hull
    ring = np.array(shapely.geometry.polygon.orient(hull).exterior.coords)[:-1]
    (at,) = np.flatnonzero(np.hypot(*(ring - end).T) < 1e-9)
    x, y = ring[(at + 1) % len(ring)]
    return float(x), float(y)


@examples(40)
@given(designs(), st.integers(350, 900), st.integers(15, 60))
def test_touching_against_a_hull(drawn: tuple[Raw, object], length: int, depth: int) -> None:
    """The whole outline, flattened to 1e-4 mm, with the handle's end: nothing else touches first.

    A hull's corner is a point of the flattened arc: right to one of its chords, 2 sqrt(2 r s).
    """
    raw, _ = drawn
    head = planned(raw).head
    end = (depth / 2.0, eye_heights(head.design)[0] - length)
    share = touching(head.side.edge.moved(-head.eye_centre), end)
    chord = 2.0 * math.sqrt(2.0 * head.side.edge.radius * 1e-4)
    assert math.dist(edge_place(head, share), touched(head, end)) <= chord


@pytest.mark.parametrize("name", HEADS)
@pytest.mark.parametrize("depth", [None, 25.0])
def test_the_end_stands_out_by_half_its_depth(name: str, depth: float | None) -> None:
    """The hull again, laid to half the depth given; to half the eye's length where none is."""
    head = finished(name)
    end = ((depth or head.eye.length) / 2.0, eye_heights(head.design)[0] - 640.0)
    share = hung(head, length=640.0, depth=depth).touch
    chord = 2.0 * math.sqrt(2.0 * head.side.edge.radius * 1e-4)
    assert math.dist(edge_place(head, share), touched(head, end)) <= chord


def test_touching_by_hand() -> None:
    """A circle of radius 50 about (0, 0), the end at (50, -100): the tangent is plumb, at (50, 0).

    From heel at -30 degrees to toe at 60 that is a third. From (0, -100) the tangent's foot lies 30
    degrees below the level, since its sine is 50/100: at the heel.
    """

    def at(angle: float) -> tuple[float, float]:
        return 50.0 * math.cos(math.radians(angle)), 50.0 * math.sin(math.radians(angle))

    edge = Edge(0.0, 0.0, 50.0, at(60.0), at(-30.0))
    assert touching(edge, (50.0, -100.0)) == pytest.approx(1.0 / 3.0, abs=1e-12)
    assert touching(edge, (0.0, -100.0)) == pytest.approx(0.0, abs=1e-12)
    # further back the tangent would touch below the heel: the heel's corner touches
    assert touching(edge, (-20.0, -100.0)) == 0.0
    assert touching(edge, (0.0, -20.0)) == 0.0  # from inside the circle there is no tangent
    short = Edge(0.0, 0.0, 50.0, at(-5.0), at(-30.0))
    assert touching(short, (50.0, -100.0)) == 1.0


@pytest.mark.parametrize("name", HEADS)
def test_edge_line(name: str) -> None:
    """The chord carried on: its foot, toe and heel lie in one line, at the handle's end's level."""
    head = finished(name)
    found = hung(head, length=500.0)
    foot = shapely.Point(found.edge_line, eye_heights(head.design)[0] - 500.0)
    toe, heel = (shapely.Point(x - head.eye_centre, y)
                 for x, y in (head.side.edge.toe, head.side.edge.heel))  # fmt: skip
    bent = foot.distance(heel) + heel.distance(toe) - foot.distance(toe)
    assert bent == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize(
    ("touch", "words"),
    [(0.2, "nearer the heel"), (0.24, "near the third"), (0.43, "near the third"),
     (0.5, "nearer the toe")],
)  # fmt: skip
def test_verdict(touch: float, words: str) -> None:
    """One third from the heel: Weisgerber and Vachowski, An Ax to Grind, 1999, fig. 32.

    How near is near is our own.
    """
    found = dataclasses.replace(hung(finished("camp-axe"), length=600.0), touch=touch)
    assert found.verdict.startswith(words)


def test_a_deeper_end_moves_the_touching_place_towards_the_toe() -> None:
    head = finished("camp-axe")
    places = [hung(head, length=600.0, depth=d).touch for d in (20.0, 40.0, 60.0)]
    assert places == sorted(places)
    assert len(set(places)) == 3


# Parameters and report ---------------------------------------------------------------------------


def test_defaults_are_the_sources() -> None:
    """55 lb/ft3 is 881 kg/m3 (pound and foot by definition), to the whole number."""
    assert pytest.approx(sources.HANDLE_DENSITY.inside * 1e6, abs=0.5) == Handle().density
    assert pytest.approx(55.0 * 0.45359237 / 0.3048**3, abs=0.5) == Handle().density
    assert Handle().share == sources.HANDLE_SHARE.value
    assert pytest.approx(sources.GRIP_HEIGHT.inside, rel=1e-12) == Handle().grip


def test_share_between_even_and_twice_as_deep() -> None:
    """Spons: at the eye up to twice as deep. Even thickness, straight taper: mean of 1 and 1/2."""
    deepest = np.trapezoid(np.linspace(1.0, 0.5, 101), dx=0.01)
    assert sources.HANDLE_SHARE.value == pytest.approx((1.0 + deepest) / 2.0, rel=1e-12)


@pytest.mark.parametrize(
    ("handle", "field", "allowed"),
    [
        ({"depth": mm(30)}, "handle.length", "150.0 mm"),
        ({"length": mm(150)}, "handle.length", "lowest of the head"),
        ({"length": mm(300), "grip": mm(151)}, "handle.grip", "150.0 mm"),
        ({"length": mm(1201)}, "handle.length", "1200.0 mm"),
    ],
)
def test_a_handle_that_cannot_be_held(handle: Raw, field: str, allowed: str) -> None:
    with pytest.raises(BadInputError) as caught:
        read({**LOPSIDED["stadium"], "handle": handle})
    (fault,) = caught.value.faults
    assert fault.field == field
    assert allowed in fault.allowed


def test_no_handle_no_hang() -> None:
    profile = read(LOPSIDED["stadium"])
    made = plan(profile.design, "mm")
    assert hang(made.head) is None
    assert report.data(profile, made)["hang"] is None
    assert not [row for row in report.summary(made, "mm") if row.startswith(("Hang", "Swing"))]


@pytest.mark.parametrize("name", profiles.shipped())
def test_the_report_tells_the_hang(name: str) -> None:
    profile = profiles.load(name)
    made = plan(profile.design)
    found = hang(made.head)
    assert found is not None
    told = json.loads(report.as_json(profile, made))["hang"]
    assert told["mass"] == found.mass
    assert told["striking_above_edge_middle"] == found.striking
    assert told["swing_seconds"] == pytest.approx(
        2.0 * math.pi * math.sqrt(told["string_length"] / 9806.65), rel=1e-12
    )
    rows = {row[:11].strip(): row[11:] for row in report.summary(made, "mm")}
    assert f"{found.balance[0]:.1f} mm" in rows["Hang"]
    assert f"{10.0 * found.period:.1f} s" in rows["Swing"]
    assert f"{100.0 * found.touch:.0f} %" in rows["Edge line"]
    assert "An Ax to Grind" in rows["Edge line"]
