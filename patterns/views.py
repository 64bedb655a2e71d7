"""Lines of the finished head that more than one sheet draws."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np

from .contour import Contour, Piece
from .graph import Array
from .head import Head, heights_at
from .outline import Edge

BEYOND = math.radians(25.0)
"""How far beyond toe and heel a line across the blade is followed, at least."""


def eye_lines(head: Head) -> tuple[Contour, Contour]:
    """From the side, where the eye begins and ends behind the wall, over its height."""
    ends = head.plan.eye_back, head.plan.eye_front
    high, low = heights_at(head, ends)
    back, front = (
        Contour.line((x, float(a)), (x, float(b))) for x, a, b in zip(ends, low, high, strict=True)
    )
    return back, front


def bevel_line(head: Head) -> Contour:
    """Where the ground bevel ends, from heel to toe."""
    blade, edge = head.blade, head.side.edge
    turn = _directions(edge)
    ring = blade.bevel_ring(turn)
    # behind the arc's centre the depth no longer changes, and the line runs on beside it
    behind = np.linspace(blade.start, edge.x, 13)
    beside = np.maximum(edge.radius - blade.bevelled(behind), 0.0)
    return _across_blade(head, turn, ring, behind, beside)


def bit_line(head: Head) -> Contour:
    """Where the bit ends inside the blade: it never reaches behind the arc's centre."""
    blade, edge = head.blade, head.side.edge
    turn = _directions(edge)
    radius = max(edge.radius - blade.bit.depth, 0.0)
    ring = np.full_like(turn, radius)
    found = _across_blade(head, turn, ring, np.array([edge.x]), np.array([edge.radius]))
    places = [(v.x - edge.x, v.y - edge.y) for v in found.vertices]
    if any(abs(math.hypot(*place) - radius) > 0.1 for place in places):
        return found
    heel, toe = (math.atan2(y, x) for x, y in (places[0], places[-1]))
    low, high = (
        (edge.x + radius * math.cos(a), edge.y + radius * math.sin(a)) for a in (heel, toe)
    )
    bulge = math.tan((toe - heel) / 4.0)
    return Contour.of_pieces([Piece(*low, *high, bulge)], closed=False)


def _directions(edge: Edge) -> Array:
    """Directions from the arc's centre [rad], from beyond the heel to beyond the toe."""
    heel, toe = (math.atan2(y - edge.y, x - edge.x) for x, y in (edge.heel, edge.toe))
    more = max(BEYOND, (toe - heel) / 2.0)
    quarter = math.pi / 2.0
    return np.linspace(max(heel - more, -quarter), min(toe + more, quarter), 61)


def _across_blade(head: Head, turn: Array, ring: Array, x: Array, beside: Array) -> Contour:
    """A line across the blade, as far as the outline: round the arc's centre at the distances
    ``ring`` in the directions ``turn``, and at the places x behind it so far ``beside`` it."""
    import shapely

    edge = head.side.edge
    points = np.column_stack([edge.x + ring * np.cos(turn), edge.y + ring * np.sin(turn)])
    lower = np.column_stack([x, edge.y - beside])
    upper = np.column_stack([x, edge.y + beside])[::-1]
    run = shapely.LineString(np.concatenate([lower, points, upper]))
    cut = run.intersection(head.side.flat)
    parts = [part for part in getattr(cut, "geoms", [cut]) if part.length > 1.0]
    longest = max(parts, key=lambda part: part.length, default=run)
    return Contour.line(*map(tuple, shapely.get_coordinates(longest).tolist()))


def blade_section(head: Head, start: float) -> tuple[Array, Array, Array]:
    """The blade cut level through the edge's foremost point: x, and z on either side [mm].

    From ``start`` to the edge, with a point at every corner and enough of a convex bevel.
    """
    blade, end = head.blade, head.length
    corner = end - blade.bevel_width
    places = [start, *(x for x, _ in blade.stations if start < x < corner), corner, end]
    if blade.bevel.reach < math.inf:
        places += np.linspace(corner, end, 16)[1:-1].tolist()
    x = np.array(sorted(places))
    thick = blade.thickness(x, np.full_like(x, head.side.edge.y))
    middle = blade.middle(thick)
    return x, middle - thick / 2.0, middle + thick / 2.0


def plan_contour(head: Head) -> Contour:
    """The outside from above, closed at the edge."""
    x, low, high = blade_section(head, head.blade.start)
    upper = [*head.plan.skin, *_run(x, high)]
    lower = [*(p.flipped() for p in head.plan.skin), *_run(x, low)]
    return Contour.of_pieces([*lower, *(p.backwards() for p in reversed(upper))])


def _run(x: Array, z: Array) -> list[Piece]:
    return [Piece(*a, *b) for a, b in pairwise(zip(x.tolist(), z.tolist(), strict=True))]


def edge_silhouette(head: Head) -> Contour:
    """The blade seen along the head, from the edge: how far it stands out at each height."""
    import shapely

    box = head.side.contour.bounds
    blade = head.blade
    heights = np.linspace(box.bottom, box.top, 72)
    left, right = _reach(shapely.get_coordinates(head.side.flat), heights, blade.start)
    met = left < right
    x = np.linspace(left[met], right[met], 30, axis=1)
    thick = blade.thickness(x, heights[met, None])
    middle = blade.middle(thick)
    tall = heights[met].tolist()
    near = zip((middle + thick / 2.0).max(axis=1).tolist(), tall, strict=True)
    far = zip((middle - thick / 2.0).min(axis=1).tolist(), tall, strict=True)
    points = [*near, *reversed(list(far))]
    return Contour.polygon(p for i, p in enumerate(points) if p != points[i - 1])


def _reach(outline: Array, heights: Array, start: float) -> tuple[Array, Array]:
    """From where to where an outline's points hold metal ahead of ``start``, at each height; the
    same place twice where they hold none."""
    x, y = outline.T
    onward_x, onward_y = np.roll(x, -1), np.roll(y, -1)
    across = (y <= heights[:, None]) != (onward_y <= heights[:, None])
    rise = np.where(onward_y == y, 1.0, onward_y - y)
    met = x + (onward_x - x) * (heights[:, None] - y) / rise
    met = np.where(across & (met > start), met, np.nan)
    many = np.isfinite(met).sum(axis=1)
    low = np.fmin.reduce(met, axis=1, initial=math.inf)
    high = np.fmax.reduce(met, axis=1, initial=start)
    return np.where(many % 2 == 1, start, np.where(many == 0, start, low)), high
