"""Volumes and centres of mass against solids made by Shapely, trimesh and Manifold.

The second model is built in solid.py from the parameters. Where it and the package differ:

- arcs of the side view are flattened to 0.002 mm, always inside on a convex outline: up to
  0.002 mm x outline / area, about 1e-4 of the volume;
- ellipses and superellipses are biarcs in the package, up to 0.002 mm off, and true here: the
  wall is some 5 mm thick, so up to 4e-4 of the walls' area;
- cones and plates have 4000 facets, 3e-7 of the radius off: nothing to the rest;
- the package sums the blade with Gauss's rule between the kinks of its thickness.

Each tolerance below is one of these, doubled. A factor of two, a mirrored axis or a zone's
boundary in the wrong place is hundreds of times larger.
"""

from __future__ import annotations

import dataclasses
from functools import cache

import numpy as np
import pytest
import shapely
from designs import LOPSIDED, read
from solid import Solid, eye_points, superellipse_area

from patterns import head, profiles
from patterns.derived import eye_size
from patterns.head import Head

HEADS = [*LOPSIDED, *profiles.shipped()]

SUMS = 3e-4
BIT = 6e-4
"""The plate's inner edge may run along the outline, where the sums have a root to follow."""


@cache
def model(name: str) -> Solid:
    design = read(LOPSIDED[name]).design if name in LOPSIDED else profiles.load(name).design
    return Solid(head.finish(design))


@cache
def void(name: str) -> tuple[float, float, float]:
    solid = model(name)
    return solid.taper_void() if solid.head.design.eye.taper else (0.0, 0.0, 0.0)


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
    assert solid.head.balance == pytest.approx((centre[0] - middle, centre[1]), abs=0.003)
    # lopsided: a balance turned round or measured from the poll would be far away
    assert abs(centre[1]) > 0.1
    assert abs(centre[0] - middle) > 1.0


@pytest.mark.parametrize("name", HEADS)
def test_zones(name: str) -> None:
    solid, volumes = model(name), model(name).head.volumes
    block = shapely.box(0.0, -solid.half_width, solid.back, solid.half_width)
    walls = solid.upright(solid.walls).volume - void(name)[0]
    # the block is bounded by lines and the outline's top and bottom alone
    assert volumes["poll"] == pytest.approx(solid.upright(block).volume, rel=SUMS)
    assert volumes["walls"] == pytest.approx(walls, rel=4e-4)
    assert volumes["bit"] == pytest.approx(solid.bit.volume, rel=BIT)
    rest = solid.behind.volume - solid.upright(block).volume - walls - void(name)[0]
    blade = rest + solid.blade.volume - solid.bit.volume
    assert volumes["blade"] == pytest.approx(blade, rel=4e-4)


@pytest.mark.parametrize("name", HEADS)
def test_bit(name: str) -> None:
    """Plate between two turned surfaces, inside the ground blade; its centre within 0.02 mm."""
    solid = model(name)
    ahead = solid.head.ahead
    assert ahead.steel.volume == pytest.approx(solid.blade.volume, rel=SUMS)
    assert ahead.bit.volume == pytest.approx(solid.bit.volume, rel=BIT)
    centre = (ahead.bit.x / ahead.bit.volume, ahead.bit.y / ahead.bit.volume)
    assert centre == pytest.approx(tuple(solid.bit.center_mass[:2]), abs=0.02)


@pytest.mark.parametrize("name", ["stadium", "bearded", "circle"])
def test_bit_point_by_point(name: str) -> None:
    """The bit and the areas once more by brute force: a grid of 0.1 mm over the side view.

    Whether a cell counts is told by its middle, so along the outline half a cell is right or wrong
    at random: some 3000 cells of 600 000, and an error of about sqrt(3000)/2 cells, 1e-4; taken
    tenfold.
    """
    solid = model(name)
    h, design = solid.head, solid.head.design
    outline = shapely.Polygon(h.side.contour.points(0.002))
    _, low, right, high = outline.bounds
    step = 0.1
    x, y = np.meshgrid(
        np.arange(solid.start + step / 2.0, right, step), np.arange(low + step / 2.0, high, step)
    )
    inside = shapely.contains_xy(outline, x.ravel(), y.ravel()).reshape(x.shape)
    edge, blade, bit = h.side.edge, design.blade, design.bit
    front = solid.back + eye_size(design.eye)[0]
    places, thick = zip(*sorted((front + at, t) for at, t in blade.stations), strict=True)
    depth = edge.radius - np.hypot(np.maximum(x - edge.x, 0.0), y - edge.y)
    steel = np.minimum(
        np.interp(x, places, thick), 2.0 * depth * np.tan(np.radians(blade.edge_angle) / 2.0)
    )
    scarf = np.clip((bit.insertion - depth) / bit.scarf, 0.0, 1.0)
    plate = bit.tip + (bit.thickness - bit.tip) * scarf
    reaches = (depth < bit.insertion) & (x >= edge.x)
    steel, plate = np.where(inside, steel, 0.0), np.where(inside & reaches, plate, 0.0)
    cell = step * step
    assert h.ahead.steel.volume == pytest.approx(steel.sum() * cell, rel=1e-3)
    assert h.ahead.bit.volume == pytest.approx(np.minimum(plate, steel).sum() * cell, rel=1e-3)
    assert h.ahead.area == pytest.approx(inside.sum() * cell, rel=1e-3)
    # where the ground bevel has cut through the body, the bit shows
    shows = inside & reaches & (steel < plate)
    assert h.ahead.bit_area == pytest.approx(shows.sum() * cell, rel=5e-3)


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
