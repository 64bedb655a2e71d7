"""Where a contour is narrower than a tool or a sheet allows.

A circle as wide as the least width is rolled about in an opening. What it does not reach is

- a *tip*, where it lies against two flanks that go on past it to where the opening is wider still:
  the point of a notch, a corner. It is left out: the tool comes to where the opening is as wide as
  its own cut;
- *too narrow*, where it rests on the two corners of a mouth, where it finds more of the opening
  behind the narrow place, where the narrow stretch keeps its width, or where it does not go in at
  all.

So a notch is measured at its mouth, a slot all along. Metal is tried in the same way: a point of
metal is a tip, a tongue or a neck is too narrow. All lengths in mm.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from .contour import Point

if TYPE_CHECKING:
    from shapely import Polygon

SLACK = 0.02
"""By so much [mm] a width may miss the least one: what is flattened is that true."""
_ON = 2e-3  # no further from the edge [mm], a point is on it
_QUARTER = 24  # segments of the circle in a quarter turn
_CORNER = math.radians(20.0)
"""An edge that turns by more within :data:`_BESIDE` of the least width has a corner there."""
_BESIDE = 0.03


def narrow_places(
    polygon: Polygon, least: float, within: bool = True
) -> list[tuple[Point, float]]:  # fmt: skip
    """Places narrower than ``least`` [mm] and how wide each is there, tips left out.

    ``within`` tries what the polygon's outline surrounds, otherwise what lies about it. Holes are
    taken as the polygon has them.

    >>> from shapely import Polygon, box
    >>> [width for _, width in narrow_places(box(0, 0, 40, 3), 5.0)]
    [3.0]
    >>> narrow_places(Polygon([(0, 0), (40, 0), (20, 40)]), 5.0)
    []
    """
    import shapely

    circle = least / 2.0 - SLACK / 2.0
    if circle <= 0.0:
        return []
    region: Any = polygon
    if not within:
        hull = polygon.convex_hull
        if hull.area - polygon.area < 1e-9 * hull.area:
            return []
        left, bottom, right, top = polygon.bounds
        grow = 3.0 * least
        region = shapely.box(left - grow, bottom - grow, right + grow, top + grow) - polygon
    reached = region.buffer(-circle, quad_segs=_QUARTER)
    if reached.is_empty:
        return [_widest(region)]
    opened = reached.buffer(circle + SLACK / 4.0, quad_segs=_QUARTER)
    rests = [rest for rest in shapely.get_parts(region - opened)
             if rest.area >= 0.002 * least * least]  # fmt: skip
    if not rests:
        return []
    edge = _Edge(region)
    found = []
    for rest in rests:
        place = _narrow(rest, edge, least)
        if place is not None:
            found.append(place)
    return found


class _Edge:
    """The edge of an opening, in a tree of its segments."""

    def __init__(self, region: Any) -> None:
        import numpy as np
        import shapely

        self._line = region.boundary
        shapely.prepare(self._line)
        runs = [shapely.get_coordinates(line) for line in shapely.get_parts(self._line)]
        pairs = np.concatenate([np.stack([run[:-1], run[1:]], axis=1) for run in runs])
        steps = pairs[:, 1] - pairs[:, 0]
        self._angles = np.arctan2(steps[:, 1], steps[:, 0])
        self._tree = shapely.STRtree(shapely.linestrings(pairs))

    def off(self, points: Any) -> Any:
        """Which of some points are not on the edge."""
        import shapely

        return ~shapely.dwithin(self._line, shapely.points(points), _ON)

    def corner(self, at: Any, step: float) -> bool:
        """Whether the edge turns sharply within a step of a place on it."""
        import shapely

        these = self._tree.query(shapely.Point(at), predicate="dwithin", distance=step)
        angles = self._angles[these]
        return any(
            abs(math.remainder(float(angle - angles[0]), math.tau)) > _CORNER
            for angle in angles[1:]
        )


def _widest(region: Any) -> tuple[Point, float]:
    """Centre and diameter [mm] of the largest circle in something narrow."""
    import shapely

    way = shapely.maximum_inscribed_circle(region, tolerance=0.002)
    (x, y), _ = shapely.get_coordinates(way)
    return _placed((x, y)), round(2.0 * float(way.length), 2)


def _narrow(rest: Polygon, edge: _Edge, least: float) -> tuple[Point, float] | None:
    """Where and how wide [mm] a place is that the circle does not reach; None for a mere tip."""
    import numpy as np
    import shapely

    points = shapely.get_coordinates(rest.exterior)[:-1]
    free = edge.off(points)
    if free.all():
        return None
    if not free.any():  # cut off from all that the circle reaches
        place = _widest(rest)
        return place if place[1] < least - SLACK else None
    # turn the list so that it begins on the edge, at the end of an arc, then part it
    begin = int(np.flatnonzero(~free & np.roll(free, 1))[0])
    points, free = np.roll(points, -begin, axis=0), np.roll(free, -begin)
    spans = np.split(np.arange(len(points)), np.flatnonzero(free[1:] != free[:-1]) + 1)
    sides, arcs = spans[0::2], spans[1::2]
    if len(arcs) > 1:  # more of the opening lies behind
        flanks = [
            shapely.LineString(points[side]) if len(side) > 1 else shapely.Point(points[side[0]])
            for side in sides
        ]
        ways = [shapely.shortest_line(a, b) for a, b in pairwise((*flanks, flanks[0]))]
        way = min((way for way in ways if way.length > _ON), key=lambda way: way.length,
                  default=None)  # fmt: skip
        if way is None or way.length >= least - SLACK:
            return None
        return _placed(shapely.get_coordinates(way).mean(axis=0)), round(float(way.length), 2)
    (side,), (arc,) = sides, arcs
    first, last = points[side[-1]], points[side[0]]
    mouth = float(np.hypot(*(last - first)))
    corners = any(edge.corner(at, _BESIDE * least) for at in (first, last))
    reach = shapely.distance(shapely.points(points), shapely.LineString(points[arc])
                             if len(arc) > 1 else shapely.Point(points[arc[0]]))  # fmt: skip
    depth = float(reach.max())
    keeps = rest.area > 0.65 * depth * mouth
    if keeps and depth > 0.5 * mouth and (corners or depth > 0.5 * least):
        at, width = _widest(rest)
        return at, min(width, round(mouth, 2))
    return (_placed((first + last) / 2.0), round(mouth, 2)) if corners else None


def _placed(at: Any) -> Point:
    return round(float(at[0]), 3), round(float(at[1]), 3)
