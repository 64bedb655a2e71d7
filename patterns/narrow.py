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
from collections.abc import Iterator
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
_STRAIGHT = math.cos(math.radians(2.0))
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
    region = shapely.normalize(region)  # what is open lies on the right of every edge
    opened = reached.buffer(circle + SLACK / 4.0, quad_segs=_QUARTER)
    rests = [
        rest for rest in shapely.get_parts(region - opened) if rest.area >= 2e-4 * least * least
    ]
    if not rests and len(shapely.get_parts(reached)) == 1:
        return []
    edge = _Edge(region, reached)
    found = list(edge.pinches(least))
    for rest in rests:
        place = _narrow(rest, edge, least)
        if place is not None and not any(
            math.dist(place.at, other.at) < 0.25 * least for other in found
        ):  # both sides of a neck are met
            found.append(place)
    return found


class _Edge:
    """The edge of an opening, in a tree of its segments, and what a circle's centre reaches."""

    def __init__(self, region: Any, reached: Any) -> None:
        import numpy as np
        import shapely

        self._region = region
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

        self._reached = shapely.get_parts(reached)
        self._reached_tree = shapely.STRtree(self._reached)

    def pinches(self, least: float) -> Iterator[Narrow]:
        """Short necks between the places that the circle reaches."""
        one, other = self._reached_tree.query(self._reached, predicate="dwithin", distance=least)
        for i, j in zip(one.tolist(), other.tolist(), strict=True):
            if i < j:
                place = _pinched((self._reached[i], self._reached[j]), self._region, least)
                if place is not None:
                    yield place

    def touched(self, rest: Polygon, least: float) -> bool:
        """Whether the circle comes up to something that it leaves."""
        return bool(len(self._reached_tree.query(rest, predicate="dwithin", distance=least / 2.0)))

    def off(self, points: Any) -> Any:
        """Which of some points are not on the edge."""
        import shapely

        return ~shapely.dwithin(self._line, shapely.points(points), _ON)

    def corner(self, at: Any, step: float) -> bool:
        """Whether the edge juts out sharply within a step of a place on it."""
        import shapely

        these = self._tree.query(shapely.Point(at), predicate="dwithin", distance=step)
        turned = 0.0
        for number in sorted(these.tolist()):
            following = self._next(number, 1)
            if following in these:
                turned += max(0.0, self._turn(number, following))
        return turned > _CORNER

    def _next(self, number: int, step: int) -> int:
        first, end = self._rings[self._ring_of[number]]
        return int(first + (number - first + step) % (end - first))

    def _turn(self, one: int, other: int) -> float:
        """From one segment to a later one [rad]; positive where the edge juts out."""
        return math.remainder(float(self._angles[other] - self._angles[one]), math.tau)

    def flank_end(self, at: Any, away: Any, most: float) -> Any:
        """The first jutting corner along the edge from a place on it, away from another near by.

        None if the edge goes on for ``most`` [mm] without one.
        """
        import shapely

        place = shapely.Point(at)
        number = int(self._tree.nearest(place))
        start, stop = self._pairs[number]
        onwards = float((stop - start) @ (at - away)) > 0.0
        walked = float(math.dist(at, stop if onwards else start))
        begun = number
        while walked < most:
            corner = self._pairs[number][1 if onwards else 0]
            number = self._next(number, 1 if onwards else -1)
            turn = self._turn(begun, number) if onwards else self._turn(number, begun)
            if turn > _CORNER:
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
    if not rest.exterior.is_ccw:
        points = points[::-1]  # what is open lies on the left
    free = edge.off(points)
    if free.all():
        return None
    if not free.any():  # a sliver, or cut off from all that the circle reaches
        if edge.touched(rest, least):
            return None
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


def _pinched(pair: tuple[Any, Any], region: Any, least: float) -> Narrow | None:
    """A neck so short that the circles on both sides of it overlap: as wide as the largest circle
    that passes from one side to the other; None if none passes there."""
    import shapely

    way = shapely.shortest_line(*pair)
    near = region.intersection(shapely.box(*way.bounds).buffer(least))
    sides = shapely.points(shapely.get_coordinates(way))
    low, high = 0.0, least / 2.0
    for _ in range(9):
        middle = (low + high) / 2.0
        through = shapely.get_parts(near.buffer(-middle))
        passes = shapely.dwithin(through[:, None], sides, 1e-3).all(axis=1).any()
        low, high = (middle, high) if passes else (low, middle)
    width = round(2.0 * low, 2)
    if not 0.01 * least < width < least - 2.0 * SLACK:
        return None
    return Narrow(_placed(shapely.get_coordinates(sides).mean(axis=0)), width)


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
    if deep > 0.5 * least and rest.area > 0.8 * deep * min(mouth, least):
        return _widest(rest)
    if resting and depth > max(NICK * mouth, 0.1 * least):
        return Narrow(_placed((ends[0] + ends[1]) / 2.0), round(mouth, 2))
    return None


def _closing(points: Any, arc: Any, edge: _Edge, least: float) -> bool:
    """Whether the flanks that an arc of the circle touches are straight and close in on it."""
    import numpy as np

    count = len(points)
    first, last = (arc[0] - 1) % count, (arc[-1] + 1) % count
    if any(edge.corner(points[at], _BESIDE * least) for at in (first, last)):
        return False
    flanks = []
    for at, step in ((first, -1), (last, 1)):  # inwards from both ends of the arc
        for far in (0.1, 0.25):
            for k in range(1, count):
                flank = points[(at + step * k) % count] - points[at]
                if (length := float(np.hypot(*flank))) > far * least:
                    flanks.append(flank / length)
                    break
            else:
                return False
        if float(flanks[-1] @ flanks[-2]) < _STRAIGHT:
            return False
    one, other = flanks[0], flanks[2]
    return math.acos(max(-1.0, min(1.0, float(one @ other)))) > _CLOSING


def _placed(at: Any) -> Point:
    return round(float(at[0]), 3), round(float(at[1]), 3)
