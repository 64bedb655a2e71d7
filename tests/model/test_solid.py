"""Volumes and centres of mass against solids made by Shapely, trimesh and Manifold.

The second model is built in solid.py from the parameters. Where it and the package differ:

- arcs of the side view are flattened to 0.002 mm, always inside on a convex outline: up to
  0.002 mm x outline / area, about 1e-4 of the volume;
- ellipses and superellipses are biarcs in the package, up to 0.002 mm off, and true here: the
  wall is some 5 mm thick, so up to 4e-4 of the walls' area;
- cones and plates have 1000 facets, 5e-6 of the radius off: nothing to the rest;
- the package sums the blade with Gauss's rule between the kinks of its thickness;
- the lean of a tapered or flared eye is taken at the height that stands over each place of the eye,
  an effect of second order (see test_taper): half a percent of the metal that the lean moves.

Each tolerance below is one of these, doubled. A factor of two, a mirrored axis or a zone's
boundary in the wrong place is hundreds of times larger.
"""

from __future__ import annotations

import dataclasses
from functools import cache

import cases
import numpy as np
import pytest
import shapely
from designs import FOLDED, LOPSIDED, Raw, changed, examples, mm, read, wide_designs
from hypothesis import given
from solid import Solid, columns, eye_points, superellipse_area

from patterns import head, profiles
from patterns.blank import ForgePlan
from patterns.derived import eye_size
from patterns.folds import FOLDS
from patterns.head import Head

SHAPES = {**LOPSIDED, **FOLDED}
HEADS = [*SHAPES, *(profiles.shipped() if cases.soaked() else cases.FOLDED)]
"""Odd heads, and a shipped one of each fold."""

SUMS = 3e-4
LEAN = 0.005
BIT = 6e-4
"""The plate's inner edge may run along the outline, where the sums have a root to follow."""


@cache
def model(name: str) -> Solid:
    design = read(SHAPES[name]).design if name in SHAPES else profiles.load(name).design
    return Solid(head.finish(design))


@cache
def void(name: str) -> tuple[float, float, float]:
    solid = model(name)
    eye = solid.head.design.eye
    return solid.taper_void() if eye.taper or eye.flare else (0.0, 0.0, 0.0)


@pytest.mark.parametrize("name", HEADS)
def test_volume(name: str) -> None:
    solid = model(name)
    whole = solid.behind.volume + solid.blade.volume - void(name)[0]
    assert solid.head.volume == pytest.approx(whole, rel=SUMS)


@pytest.mark.parametrize("name", HEADS)
def test_centre_of_mass(name: str) -> None:
    """In mm from the middle of the eye: 0.003 mm is some 5e-5 of the head's half length."""
    solid = model(name)
    out, along, lift = void(name)
    moment = sum(s.volume * s.center_mass[:2] for s in (solid.behind, solid.blade))
    centre = (moment - np.array([along, lift])) / (solid.behind.volume + solid.blade.volume - out)
    middle = solid.back + eye_size(solid.head.design.eye)[0] / 2.0
    slack = 0.003 + LEAN * solid.leaning * solid.head.eye.length / solid.head.volume
    assert solid.head.balance == pytest.approx((centre[0] - middle, centre[1]), abs=slack)
    # lopsided: a balance turned round or measured from the poll would be far away
    assert abs(centre[1]) > 0.1
    assert abs(centre[0] - middle) > 1.0


@pytest.mark.parametrize("name", HEADS)
def test_zones(name: str) -> None:
    solid, volumes = model(name), model(name).head.volumes
    design = solid.head.design
    plate = design.plate.thickness or 0.0
    poll = 0.0
    if solid.half_width:
        # the block is bounded by lines and the outline's top and bottom alone
        front = shapely.box(plate, -solid.half_width, solid.back, solid.half_width)
        poll = solid.upright(front).volume
        assert volumes["poll"] == pytest.approx(poll, rel=SUMS)
    if plate:
        cut = shapely.box(0.0, -solid.half_width, plate, solid.half_width)
        poll += solid.upright(cut).volume
        assert volumes["plate"] == pytest.approx(solid.upright(cut).volume, rel=SUMS)
    walls = solid.upright(solid.walls).volume - void(name)[0]
    lean = LEAN * solid.leaning
    assert volumes["walls"] == pytest.approx(walls, abs=4e-4 * walls + lean)
    bit = columns(solid)["bit"] if design.bit.form == "overlaid" else 0.0
    bit = solid.bit.volume if design.bit.form == "inserted" else bit
    rest = solid.behind.volume - poll - walls - void(name)[0]
    blade = rest + solid.blade.volume - bit - volumes.get("lap", 0.0)
    near = 1e-3 if design.bit.form == "overlaid" else 4e-4  # of columns, not of solids
    assert volumes["blade"] == pytest.approx(blade, abs=near * blade + lean)
    zones = {"poll", "walls", "blade"} if solid.half_width else {"walls", "blade"}
    zones |= {"plate"} if plate else set()
    zones |= {"lap"} if design.fold.form == "one-sided" else set()
    zones |= {"bit"} if design.bit.form != "none" else set()
    assert set(volumes) == zones


def test_lap() -> None:
    """The scarf on one cheek: a wedge from the wall's thickness, at the shoulder, to nothing.

    As a solid: its section along the head, carried along the handle and cut to the side view. The
    package takes the neck's height for what reaches past the first station: 1 %.
    """
    solid = model("one-sided")
    design = solid.head.design
    lap, wall = design.fold.lap, design.wall.thickness
    assert lap is not None
    start = solid.head.plan.shoulder[0]
    wedge = shapely.Polygon([(start, 0.0), (start, wall), (start + lap, 0.0)])
    assert solid.head.volumes["lap"] == pytest.approx(solid.upright(wedge).volume, rel=0.01)
    assert solid.head.volumes["lap"] > 100.0


@pytest.mark.parametrize("name", HEADS)
def test_bit(name: str) -> None:
    """Plate between two turned surfaces, inside the ground blade; its centre within 0.02 mm."""
    solid = model(name)
    ahead, form = solid.head.ahead, solid.head.design.bit.form
    assert ahead.steel.volume == pytest.approx(solid.blade.volume, rel=SUMS)
    if form == "none":
        assert (ahead.bit.volume, ahead.rim_bit) == (0.0, 0.0)
        assert ahead.bit_area == pytest.approx(0.0, abs=1e-9)
    if form == "inserted":
        assert ahead.bit.volume == pytest.approx(solid.bit.volume, rel=BIT)
        centre = (ahead.bit.x / ahead.bit.volume, ahead.bit.y / ahead.bit.volume)
        assert centre == pytest.approx(tuple(solid.bit.center_mass[:2]), abs=0.02)


@pytest.mark.parametrize("name", ["stadium", "bearded", "circle", *FOLDED])
def test_blade_and_bit_column_by_column(name: str) -> None:
    """Blade, bit and their areas once more by brute force: a grid of 0.1 mm over the side view.

    Whether a cell counts is told by its middle, so along the outline half a cell is right or wrong
    at random: some 3000 cells of 600 000, and an error of about sqrt(3000)/2 cells, 1e-4; taken
    tenfold.
    """
    found, ahead = columns(model(name)), model(name).head.ahead
    assert ahead.steel.volume == pytest.approx(found["steel"], rel=1e-3)
    assert ahead.area == pytest.approx(found["area"], rel=1e-3)
    assert ahead.bit.volume == pytest.approx(found["bit"], rel=1e-3)
    assert ahead.bit_area == pytest.approx(found["shows"], rel=5e-3, abs=1e-9)


@pytest.mark.parametrize(
    ("angle", "radius", "toe", "heel"), [(50, 27, 16, 30), (54, 29, 20, 24), (58, 27, 18, 22)]
)
def test_a_bevel_that_ends_beside_the_arcs_centre(
    angle: int, radius: int, toe: int, heel: int
) -> None:
    """Short arc, blunt convex bevel: it ends where, behind the arc's centre, its line runs level.

    The blade has a step there, and sums that went across it were up to 1.5 % of the blade off.
    """
    raw = changed(
        LOPSIDED["stadium"],
        blade__bevel="convex", blade__edge_angle=angle, blade__edge_radius=mm(radius),
        blade__toe=mm(toe), blade__heel=mm(heel),
    )  # fmt: skip
    raw["blade"].pop("edge_centre")
    solid = Solid(head.finish(read(raw).design))
    blade = solid.head.blade
    level = blade.edge.radius - blade.bevel.reach
    assert 0.0 < level < min(blade.edge.toe[1] - blade.edge.y, blade.edge.y - blade.edge.heel[1])
    assert solid.head.ahead.steel.volume == pytest.approx(solid.blade.volume, rel=SUMS)


@pytest.mark.parametrize("fold", FOLDS)
def test_random_heads(fold: str) -> None:
    """Heads that nobody chose. A small one has more outline for its volume: three times SUMS."""

    @examples(2)
    @given(wide_designs(fold=fold))
    def run(drawn: tuple[Raw, ForgePlan]) -> None:
        found = drawn[1].head
        solid = Solid(found)
        eye = found.design.eye
        out = solid.taper_void(200)[0] if eye.taper or eye.flare else 0.0
        whole = solid.behind.volume + solid.blade.volume - out
        near = 3.0 * SUMS * whole + LEAN * solid.leaning
        assert found.volume == pytest.approx(whole, abs=near)
        walls = solid.upright(solid.walls).volume - out
        assert found.walls.volume == pytest.approx(walls, abs=1e-3 * walls + LEAN * solid.leaning)

    run()


# Controls: a fault that was put in must be seen ---------------------------------------------------

SEEN = 10.0
"""A fault must stand out by at least as many times the tolerance."""


@pytest.mark.parametrize("name", FOLDED)
def test_a_wrong_bevel_is_seen(name: str) -> None:
    """The blade ground with each other bevel, and with half the angle's tangent."""
    solid = model(name)
    own, steel = solid.head.design.blade.bevel, solid.head.ahead.steel.volume
    for other in {"both", "one", "convex", "bent"} - {own} - ({"bent"} if own == "one" else set()):
        if other == "convex" and solid.head.blade.bevel.reach == np.inf:
            continue  # it has no reach
        # a convex bevel takes little more than a flat one: 0.2 % of these blades
        assert abs(solid.ground(other).volume - steel) > 6.0 * SUMS * steel, other
    # on one face it makes no odds whether the metal stands on one side or on both
    if own == "one":
        assert solid.ground("bent").volume == pytest.approx(steel, rel=SUMS)


@pytest.mark.parametrize("name", FOLDED)
def test_a_wrong_hole_is_seen(name: str) -> None:
    """The eye taken out twice or not at all; its taper and flare forgotten; a wall left out."""
    solid = model(name)
    whole = solid.behind.volume + solid.blade.volume - void(name)[0]
    hole = solid.upright(solid.eye).volume
    volume = solid.head.volume
    for wrong in (whole - hole, whole + hole, whole - solid.upright(solid.walls).volume / 2.0):
        assert abs(volume - wrong) > SEEN * SUMS * whole
    if solid.head.design.eye.flare:  # it opens both ways; a taper by itself hardly weighs
        assert abs(volume - whole - void(name)[0]) > 2.0 * SUMS * whole


@pytest.mark.parametrize("name", ["block", "closed"])
def test_a_forgotten_plate_is_seen(name: str) -> None:
    """Plate and poll are one block of the solid: without its plate the head is lighter by it."""
    solid = model(name)
    plate = solid.head.design.plate.thickness
    assert plate is not None
    whole = solid.behind.volume + solid.blade.volume - void(name)[0]
    lacking = whole - solid.head.plate.volume
    assert abs(solid.head.volume - lacking) > SEEN * SUMS * whole
    cut = solid.upright(shapely.box(0.0, -solid.half_width, plate, solid.half_width))
    assert cut.volume == pytest.approx(
        2.0 * solid.half_width * plate * (solid.head.design.poll.height or 0.0), rel=1e-6
    )


def test_a_wrong_bit_is_seen() -> None:
    """One leg of an overlaid bit for both; a bit as if inserted; no scarf."""
    solid = model("block")
    found, ahead = columns(solid), solid.head.ahead
    assert solid.head.design.bit.form == "overlaid"
    inner = solid.bit.volume  # a plate of one leg's thickness in the middle
    assert abs(ahead.bit.volume - inner) > SEEN * 1e-3 * inner
    assert abs(ahead.bit.volume - found["bit"] / 2.0) > SEEN * 1e-3 * inner
    # it shows as far as it reaches; an inserted one of both its legs only where it is bared
    bit = solid.head.design.bit
    assert bit.thickness is not None
    thick = {"thickness": 2.0 * bit.thickness, "tip": 2.0 * bit.tip}
    inserted = dataclasses.replace(bit, form="inserted", **thick)
    other = head.finish(dataclasses.replace(solid.head.design, bit=inserted)).ahead
    assert other.bit.volume == pytest.approx(ahead.bit.volume, rel=1e-9)
    assert ahead.bit_area > 1.5 * other.bit_area


@pytest.mark.parametrize("name", ["round", "one-sided", "cheeks"])
def test_a_wrong_shoulder_is_seen(name: str) -> None:
    """What closes the nose: as of another fold, the walls' area would be off by far more."""
    solid = model(name)
    found = solid.head.plan.wall_area
    design = solid.head.design
    for form in {"round", "one-sided", "cheeks"} - {name}:
        fold = dataclasses.replace(design.fold, form=form)
        if form == "cheeks" and design.bit.form != "inserted":
            continue
        other = Solid(
            dataclasses.replace(solid.head, design=dataclasses.replace(design, fold=fold))
        )
        assert abs(other.walls.area - found) > SEEN * 2e-4 * found, form


@pytest.mark.parametrize("name", HEADS)
def test_plan_areas(name: str) -> None:
    solid = model(name)
    plan = solid.head.plan
    assert plan.wall_area == pytest.approx(solid.walls.area, rel=2e-4)
    # 0.002 mm round the eye against its area
    off = 0.002 * solid.eye.length / solid.eye.area
    assert solid.head.eye.contour.area == pytest.approx(solid.eye.area, rel=2.0 * off)
    length = 2.0 * shapely.LineString(solid.upper_eye).length
    assert solid.head.eye.perimeter == pytest.approx(length, rel=1e-6)
    assert plan.width == pytest.approx(solid.plan.bounds[3] - solid.plan.bounds[1], abs=0.004)


def test_superellipse_area() -> None:
    """Two ways to the area of the second model's own eye, so that it is not wrong by itself."""
    eye = read(LOPSIDED["superellipse"]).design.eye
    upper = eye_points(eye)
    area = 2.0 * shapely.Polygon(upper).area
    assert area == pytest.approx(superellipse_area(*eye_size(eye), eye.exponent), rel=1e-5)


# Taper -------------------------------------------------------------------------------------------

TAPERED = [("stadium", 1.9), ("stadium", -1.9), ("superellipse", 1.5), ("bearded", -2.6)]


@pytest.mark.parametrize(("name", "taper"), TAPERED)
def test_taper(name: str, taper: float) -> None:
    """The eye offset layer by layer along the handle, 600 layers, against one sum along x.

    The package takes each place of the eye at the height that stands over it; where the outline
    slopes, the offset also leans towards a lower or higher place, an effect of second order in the
    taper. So the void is compared to 3 % of the metal that the taper moves up or down, and the
    head's volume, as everywhere, to 3e-4.
    """
    plumb = model(name).head.design
    design = dataclasses.replace(plumb, eye=dataclasses.replace(plumb.eye, taper=taper))
    leaning: Head = head.finish(design)
    straight: Head = model(name).head
    solid = Solid(leaning)
    out, along, lift = solid.taper_void()
    whole = solid.behind.volume + solid.blade.volume - out
    assert leaning.volume == pytest.approx(whole, rel=SUMS)
    # moved: half the perimeter x taper/2 x half the height, up and down
    moved = abs(taper) / 8.0 * leaning.eye.perimeter * leaning.side.contour.bounds.height
    assert straight.volume - leaning.volume == pytest.approx(out, abs=0.03 * moved)
    assert straight.whole.x - leaning.whole.x == pytest.approx(
        along, abs=0.03 * moved * leaning.eye_centre
    )
    assert straight.whole.y - leaning.whole.y == pytest.approx(lift, rel=0.03)
    # wider above: metal is lost above the centre line and kept below it
    assert (lift > 0.0) == (taper > 0.0)
    assert leaning.poll.volume == pytest.approx(straight.poll.volume, rel=1e-12)


@pytest.mark.parametrize(("name", "taper"), TAPERED)
def test_tapered_eye_sections(name: str, taper: float) -> None:
    """Top and bottom are Shapely's offsets of the middle section; 0.01 mm covers its chords."""
    plumb = model(name).head.design
    design = dataclasses.replace(plumb, eye=dataclasses.replace(plumb.eye, taper=taper))
    sections = {label: (y, c) for label, y, c in head.finish(design).eye_sections}
    above, below = sections["top"][0], -sections["bottom"][0]
    middle = shapely.Polygon(sections["middle"][1].points(1e-4))
    for label, (y, contour) in sections.items():
        want = middle.buffer(taper / 2.0 * y / (above + below), quad_segs=200)
        assert shapely.Polygon(contour.points(1e-4)).hausdorff_distance(want) < 0.01, label
    wide = [2.0 * sections[label][1].bounds.top for label in ("top", "bottom")]
    assert wide[0] - wide[1] == pytest.approx(taper, abs=1e-9)
