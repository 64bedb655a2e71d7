"""The edge's cover: the edge away from the thread, the holes evenly apart, the blade's way in free.

The edge is taken from the circle that it lies on, and distances by Shapely; both know nothing of
the offsets by which the cover was made.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import shapely
from designs import examples, wide_designs
from hypothesis import given
from numpy.typing import NDArray

from patterns import profiles
from patterns.contour import Contour
from patterns.edge_cover import (
    CLEARANCE,
    END,
    HELD,
    LAPPED,
    LEATHER,
    OFF_EYE,
    PITCH,
    WELT,
    EdgeCover,
    edge_cover,
)
from patterns.head import Head, finish
from patterns.views import plan_contour

NAMES = list(profiles.shipped())
HEADS = {name: finish(profiles.load(name).design) for name in NAMES}
COVERS = {name: edge_cover(head) for name, head in HEADS.items()}

NEAR = 0.01
"""Flattening of outline and offsets [mm], together."""


def edge_points(head: Head, count: int = 400) -> NDArray[np.float64]:
    """Points of the edge from heel to toe, by the angle on its circle [mm]."""
    edge = head.side.edge
    ends = [math.atan2(y - edge.y, x - edge.x) for x, y in (edge.heel, edge.toe)]
    turn = np.linspace(*ends, count)
    return np.column_stack(
        [edge.x + edge.radius * np.cos(turn), edge.y + edge.radius * np.sin(turn)]
    )


def area(cover_part: object) -> shapely.Polygon:
    return shapely.Polygon(cover_part.points())  # type: ignore[attr-defined]


def thread(cover: EdgeCover) -> shapely.LineString:
    return shapely.LineString([(v.x, v.y) for v in cover.stitch.vertices])


def faults(head: Head, cover: EdgeCover, wanted: float) -> list[str]:
    """What is wrong with a cover for a head whose edge shall stand ``wanted`` off the thread."""
    found = []
    points = shapely.points(edge_points(head))
    panel, welt, line = area(cover.panel), area(cover.welt), thread(cover)
    if shapely.distance(points, line).min() < wanted - NEAR:
        found.append("the edge is too near the thread")
    if not shapely.contains(panel, points).all():
        found.append("the edge stands out of the panel")
    if shapely.intersects(welt, points).any():
        found.append("the welt lies on the edge")
    for name, shape in (("panel", panel), ("welt", welt), ("room", area(cover.room))):
        if not shape.is_valid or shape.interiors:
            found.append(f"the {name} is not simple")
    if not line.is_simple:
        found.append("the thread crosses itself")
    if not panel.buffer(1e-6).covers(welt):
        found.append("the welt is larger than the panel")
    for x, y in cover.holes:
        hole = shapely.Point(x, y)
        if min(hole.distance(panel.exterior), hole.distance(welt.exterior)) < WELT / 2.0 - NEAR:
            found.append(f"a hole at {x:.1f}, {y:.1f} is near a border")
        if not welt.contains(hole):
            found.append(f"a hole at {x:.1f}, {y:.1f} misses the welt")
    return found


def wanted(head: Head) -> float:
    """Clearance, half of the welt, and half of the blade's thickness on its rim ahead of the back,
    looked up along top and bottom."""
    back = edge_cover(head).back
    places = [
        p.at(share)
        for p in (*head.side.top, *head.side.bottom)
        for share in np.linspace(0.0, 1.0, 40)
    ]
    x, y = np.array([place for place in places if place[0] >= back] or [head.side.edge.toe]).T
    return CLEARANCE + WELT / 2.0 + float(head.blade.thickness(x, y).max()) / 2.0


# The edge ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
def test_the_edge_is_kept_off_the_thread(name: str) -> None:
    head, cover = HEADS[name], COVERS[name]
    assert faults(head, cover, cover.from_edge) == []
    assert cover.from_edge >= wanted(head) - 0.05
    # it stands no further off than told, so that the figure is the figure
    points = shapely.points(edge_points(head))
    assert shapely.distance(points, thread(cover)).min() == pytest.approx(
        cover.from_edge, abs=2.0 * NEAR
    )


@pytest.mark.parametrize("name", NAMES)
def test_a_smaller_allowance_is_seen(name: str) -> None:
    head, cover = HEADS[name], COVERS[name]
    tight = edge_cover(head, clearance=CLEARANCE - 0.1)
    assert "the edge is too near the thread" in faults(head, tight, cover.from_edge)
    bare = edge_cover(head, clearance=-cover.rim / 2.0 - 1.0)
    assert "the welt lies on the edge" in faults(head, bare, 0.0)


@examples(120)
@given(wide_designs())
def test_any_design(found: tuple[object, object]) -> None:
    head: Head = found[1].head  # type: ignore[attr-defined]
    cover = edge_cover(head)
    assert faults(head, cover, cover.from_edge) == []
    assert cover.from_edge >= CLEARANCE + WELT / 2.0
    count_and_pitch(cover)
    slips_on(head, cover)


@pytest.mark.parametrize("name", NAMES)
def test_the_welt_stands_before_the_edge_from_heel_to_toe(name: str) -> None:
    """Straight out from every point of the edge there is the welt, all of its width."""
    head, cover = HEADS[name], COVERS[name]
    edge, welt = head.side.edge, area(cover.welt)
    for x, y in edge_points(head, 60):
        ux, uy = (x - edge.x) / edge.radius, (y - edge.y) / edge.radius
        reach = cover.allowance + WELT + 5.0
        ray = shapely.LineString([(x, y), (x + reach * ux, y + reach * uy)])
        met = ray.intersection(welt)
        assert met.length == pytest.approx(WELT, abs=0.02)
        assert shapely.Point(x, y).distance(met) == pytest.approx(cover.allowance, abs=0.02)
        assert ray.intersects(thread(cover))


# The way in --------------------------------------------------------------------------------------


def slips_on(head: Head, cover: EdgeCover) -> None:
    """Whatever of the blade is ahead of the back lies in the room, all the way in."""
    room = shapely.buffer(area(cover.room), NEAR)
    outline = shapely.Polygon(head.side.contour.points(0.01))
    ahead = shapely.box(cover.back, -1e3, 1e3, 1e3)
    edge = shapely.Point(head.side.edge.piece.at(0.5))
    blade = min(shapely.get_parts(outline.intersection(ahead)), key=edge.distance)
    reach = head.length - cover.back
    for share in (0.0, 0.2, 0.45, 0.7, 0.95):
        inside = shapely.affinity.translate(blade, -share * reach).intersection(ahead)
        assert room.covers(inside), share


@pytest.mark.parametrize("name", NAMES)
def test_it_slips_on_from_the_front(name: str) -> None:
    slips_on(HEADS[name], COVERS[name])


def test_a_room_that_is_the_blades_own_outline_would_catch_a_beard() -> None:
    """The check itself: the outline ahead of the back, without its shadow, does not let it in."""
    head, cover = HEADS["northern-axe"], COVERS["northern-axe"]
    blade = Contour.polygon((v.x, v.y) for v in cover.blade.vertices)
    with pytest.raises(AssertionError):
        slips_on(head, replace(cover, room=blade))


@pytest.mark.parametrize("name", NAMES)
def test_its_back_is_behind_the_bevel_and_ahead_of_the_eye(name: str) -> None:
    head, cover = HEADS[name], COVERS[name]
    heights = np.linspace(head.side.edge.heel[1], head.side.edge.toe[1], 200)
    assert cover.back <= head.blade.bevel_line(heights).min() - HELD + 0.01
    assert cover.back >= head.plan.eye_front + OFF_EYE
    for part in (cover.panel, cover.welt, cover.stitch, cover.room):
        assert part.bounds.left == pytest.approx(cover.back, abs=1e-9)


# Stitches ----------------------------------------------------------------------------------------


def count_and_pitch(cover: EdgeCover) -> None:
    """By walking along the flattened line once more."""
    line = [(v.x, v.y) for v in cover.stitch.vertices]
    run = np.concatenate([[0.0], np.cumsum([math.dist(a, b) for a, b in pairwise(line)])])
    count = round((run[-1] - 2.0 * END) / cover.asked) + 1
    assert len(cover.holes) == count
    assert cover.pitch == pytest.approx((run[-1] - 2.0 * END) / (count - 1))
    assert abs(cover.pitch - cover.asked) <= cover.asked / (2.0 * (count - 1)) + 1e-9
    places = []
    for hole in cover.holes:
        for i, (a, b) in enumerate(pairwise(line)):
            if math.dist(a, hole) + math.dist(hole, b) <= math.dist(a, b) + 1e-9:
                places.append(run[i] + math.dist(a, hole))
                break
    assert len(places) == count
    assert np.diff(places) == pytest.approx(cover.pitch, abs=1e-5)
    assert places[0] == pytest.approx(END, abs=1e-5)
    assert run[-1] - places[-1] == pytest.approx(END, abs=1e-5)


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("name", NAMES)
def test_holes_are_evenly_apart(name: str, units: str) -> None:
    cover = edge_cover(HEADS[name], pitch=PITCH[units])
    count_and_pitch(cover)
    assert cover.asked == {"in": 25.4 * 3.0 / 16.0, "mm": 5.0}[units]


@pytest.mark.parametrize("name", NAMES)
def test_panels_turned_over_meet_hole_on_hole(name: str) -> None:
    """Turned about the level line both are the same: the holes of one lie on those of the other."""
    cover = COVERS[name]
    turned = area(cover.panel.flipped())
    assert turned.area == pytest.approx(area(cover.panel).area)
    over = shapely.affinity.scale(turned, 1.0, -1.0, origin=(0.0, 0.0))
    assert over.symmetric_difference(area(cover.panel)).area < 1e-6
    for x, y in cover.holes:
        assert shapely.Point(x, -y).distance(turned.exterior) >= WELT / 2.0 - NEAR


# Strap -------------------------------------------------------------------------------------------


def taut(points: NDArray[np.float64]) -> float:
    """Length of a tape round points: the mean width times pi (Cauchy)."""
    turn = np.linspace(0.0, math.pi, 3601)[:-1]
    along = points @ np.stack([np.cos(turn), np.sin(turn)])
    return float((along.max(axis=0) - along.min(axis=0)).mean() * math.pi)


@pytest.mark.parametrize("name", NAMES)
def test_the_strap_goes_round_behind(name: str) -> None:
    head, cover = HEADS[name], COVERS[name]
    points = np.array(plan_contour(head).points(0.01))
    thick = float(head.blade.thickness(np.array(cover.back), np.array(head.side.edge.y)))
    middle = float(head.blade.middle(np.array(thick)))
    ends = [(cover.back, middle + side * thick / 2.0) for side in (-1.0, 1.0)]
    behind = np.vstack([points[points[:, 0] < cover.back], ends])
    assert cover.girth == pytest.approx(taut(behind) - thick, rel=1e-4)
    assert cover.girth > 2.0 * cover.back
    assert cover.strap_length == pytest.approx(cover.girth + math.pi * LEATHER / 2.0 + 2.0 * LAPPED)


@examples(60)
@given(wide_designs())
def test_strap_and_snap_lie_on_the_panel(found: tuple[object, object]) -> None:
    cover = edge_cover(found[1].head)  # type: ignore[attr-defined]
    inside = shapely.Polygon(cover.panel.points())
    for x, y in (*cover.sewn, cover.snap):
        assert cover.back < x < cover.back + LAPPED
        assert inside.contains(shapely.Point(x, y))
        assert abs(y - cover.strap_at) <= cover.strap_width / 2.0
    if cover.snap_clear:
        assert cover.snap[0] + 6.0 <= cover.back + cover.bevel_gap
