"""Where a contour is narrower than a tool or a sheet allows.

A circle as wide as the least width is rolled about in an opening. What it does not reach is

- a *tip*, where it lies against two flanks that go on past it to where the opening is wider still:
  the point of a notch, a corner. It is left out: the tool comes to where the opening is as wide as
  its own cut. So is a nick, which is less than :data:`NICK` of its mouth deep;
- a *throat*, where two straight flanks close in on it, and more of the opening lies behind: as a
  relief at the point of a notch. The tool passes, if it is as wide as its own cut;
- *too narrow*, where it rests on the corners of a mouth, where it finds more of the opening behind
  a narrow stretch, where the narrow stretch keeps its width, or where it does not go in at all.

So a notch is measured straight across its mouth, from corner to corner, and a slot all along. Metal
is tried in the same way: a point of metal is a tip, a tongue or a neck is too narrow. All in mm.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING, Any, NamedTuple

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
NICK = 0.4
"""What is less deep, as a share of its mouth, is a nick in an edge and no notch."""
_CLOSING = math.radians(8.0)
"""Flanks that close in by less are those of a slot."""


class Narrow(NamedTuple):
    """A narrow place, how wide it is [mm], and whether it is a mere throat."""

    at: Point
    width: float
    throat: bool = False


def narrow_places(polygon: Polygon, least: float, within: bool = True) -> list[Narrow]:
    """Places narrower than ``least`` [mm] and how wide each is there, tips left out.

    ``within`` tries what the polygon's outline surrounds, otherwise what lies about it. Holes are
    taken as the polygon has them.

    >>> from shapely import Polygon, box
    >>> [place.width for place in narrow_places(box(0, 0, 40, 3), 5.0)]
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
        self._segments = shapely.linestrings(pairs)
        self._tree = shapely.STRtree(self._segments)
        self._pairs = pairs
        ends = np.cumsum([len(run) - 1 for run in runs])
        first = np.concatenate([[0], ends[:-1]])
        self._ring_of = np.repeat(np.arange(len(runs)), np.diff([0, *ends]))
        self._rings = list(zip(first.tolist(), ends.tolist(), strict=True))

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

    def flank_end(self, at: Any, away: Any, most: float) -> Any:
        """The first corner along the edge from a place on it, away from another near by.

        None if the edge goes on for ``most`` [mm] without one.
        """
        import shapely

        place = shapely.Point(at)
        number = int(self._tree.nearest(place))
        first, end = self._rings[self._ring_of[number]]
        start, stop = self._pairs[number]
        onwards = float((stop - start) @ (at - away)) > 0.0
        step = 1 if onwards else -1
        walked = float(math.dist(at, stop if onwards else start))
        angle = float(self._angles[number])
        while walked < most:
            corner = self._pairs[number][1 if onwards else 0]
            number = first + (number - first + step) % (end - first)
            if abs(math.remainder(float(self._angles[number]) - angle, math.tau)) > _CORNER:
                return corner
            walked += float(math.dist(*self._pairs[number]))
        return None


def _widest(region: Any) -> Narrow:
    """Centre and diameter [mm] of the largest circle in something narrow."""
    import shapely

    way = shapely.maximum_inscribed_circle(region, tolerance=0.002)
    (x, y), _ = shapely.get_coordinates(way)
    return Narrow(_placed((x, y)), round(2.0 * float(way.length), 2))


def _narrow(rest: Polygon, edge: _Edge, least: float) -> Narrow | None:
    """What the circle does not reach, judged; None for a mere tip or nick."""
    import numpy as np
    import shapely

    points = shapely.get_coordinates(rest.exterior)[:-1]
    free = edge.off(points)
    if free.all():
        return None
    if not free.any():  # cut off from all that the circle reaches
        place = _widest(rest)
        return place if place.width < least - SLACK else None
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
        throat = any(_closing(points, arc, edge, least) for arc in arcs)
        at = _placed(shapely.get_coordinates(way).mean(axis=0))
        return Narrow(at, round(float(way.length), 2), throat)
    (side,), (arc,) = sides, arcs
    return _blind(rest, edge, least, points[side], points[arc])


def _blind(rest: Polygon, edge: _Edge, least: float, side: Any, arc: Any) -> Narrow | None:
    """A place that the circle looks into from one side only."""
    import numpy as np
    import shapely

    ends = [side[-1], side[0]]
    corners = [edge.corner(at, _BESIDE * least) for at in ends]
    if any(corners) and not all(corners):  # a mouth is measured from corner to corner
        k = corners.index(False)
        inner = side[max(-len(side), -2)] if k == 0 else side[min(len(side) - 1, 1)]
        end = edge.flank_end(ends[k], inner, 2.0 * least)
        if end is None:
            corners = [False, False]
        else:
            ends[k] = end
    mouth = float(np.hypot(*(ends[1] - ends[0])))
    resting = any(corners) and mouth < least - SLACK
    chord = shapely.LineString(ends)
    depth = float(shapely.distance(shapely.points(side), chord).max())
    reach = shapely.distance(
        shapely.points(side), shapely.LineString(arc) if len(arc) > 1 else shapely.Point(arc[0])
    )
    deep = float(reach.max())
    if deep > 0.5 * least and rest.area > 0.65 * deep * min(mouth, least):
        return _widest(rest)
    if resting and depth > NICK * mouth:
        return Narrow(_placed((ends[0] + ends[1]) / 2.0), round(mouth, 2))
    return None


def _closing(points: Any, arc: Any, edge: _Edge, least: float) -> bool:
    """Whether the flanks that an arc of the circle touches are straight and close in on it."""
    import numpy as np

    count = len(points)
    first, last = (arc[0] - 1) % count, (arc[-1] + 1) % count
    if any(edge.corner(points[at], _BESIDE * least) for at in (first, last)):
        return False
    # inwards from both ends of the arc
    one = points[(first - 1) % count] - points[first]
    other = points[(last + 1) % count] - points[last]
    lengths = [float(np.hypot(*flank)) for flank in (one, other)]
    if min(lengths) < 0.1 * least:
        return False
    cosine = float(one @ other) / lengths[0] / lengths[1]
    return math.acos(max(-1.0, min(1.0, cosine))) > _CLOSING


def _placed(at: Any) -> Point:
    return round(float(at[0]), 3), round(float(at[1]), 3)
