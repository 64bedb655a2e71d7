"""A cover for the edge: two panels, a welt between them, a stitch line with holes, a strap.

The blade lies between two panels that are sewn together over a strip, the *welt*, which follows
heel, edge and toe and keeps the edge off the thread. The cover is open behind, at its *back*, a
plumb line that stands behind the bevel; a strap from there goes round behind the poll.

It must slip on from the front. So the room inside is not the blade's outline but its shadow towards
the back: at each height as far as the blade reaches there, and from there straight back to the
opening. What is hollow in the outline, such as the root of a beard, is closed by that.

From the blade outwards there follow, at equal distances all round: the *allowance*, the welt's
inner border, the stitch line in the middle of the welt, and the border of panel and welt. The
allowance is the clearance and half of the blade's greatest thickness on its rim, since the leather
has to climb from the middle of the head to the cheek. Offsets are Shapely's, rounded at corners, of
outlines flattened to :data:`SAGITTA`; all that is drawn is a polygon.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import shapely
from shapely.geometry.polygon import orient

from .contour import SAGITTA, Contour, Point
from .head import Head
from .units import MM_PER_INCH
from .views import plan_contour

LEATHER = 3.0
"""Thickness of the leather [mm]: common practice, about 8 oz; an ounce of leather is said to be
1/64 in."""

CLEARANCE = 2.0
"""From the blade's outline to the welt, besides what its thickness asks [mm]: our own choice."""

WELT = 10.0
"""Width of the welt [mm]: our own choice."""

HELD = 20.0
"""How far behind the bevel the cover reaches [mm]: our own choice."""

OFF_EYE = 6.0
"""Its back stays so far ahead of the eye, clear of a handle that is stouter there [mm]: our own
choice."""

PITCH = {"in": 3.0 / 16.0 * MM_PER_INCH, "mm": 5.0}
"""Distance of two stitches, as near as it goes up evenly [mm]: our own choice."""

END = 5.0
"""From the back to the first and the last stitch, along the line [mm]: our own choice."""

STRAP = 3.0 / 4.0 * MM_PER_INCH
"""Width of the strap [mm]: our own choice; less where the back is lower."""

LAPPED = 25.0
"""How far each end of the strap lies on its panel [mm]: our own choice."""

BEYOND = 12.0
"""From the snap to the end of the strap, to take hold of [mm]: our own choice."""

SNAP = 12.0
"""Room that a snap takes on the inside of a panel, across [mm]: our own choice."""

SEWN = 6.0
"""From the strap's end and the panel's back to the holes by which the strap is sewn on, and from
its sides as far as its width lets them be [mm]: our own choice."""

_QUARTER = 48
"""Sides of a quarter circle in the offsets: on 20 mm a chord stands 0.003 mm off."""


@dataclass(frozen=True)
class EdgeCover:
    """A cover, where it lies on the head: x from the back of the poll, y from the centre line [mm].

    ``blade`` is the outline ahead of the back, open; ``room`` is what the blade needs; ``panel``
    and ``welt`` are cut; ``stitch`` is an open line from below the heel round to above the toe.
    ``asked`` is the distance of stitches aimed at, ``allowance`` the distance from room to welt,
    ``rim`` the greatest thickness that it allows for. ``girth`` is from the back of one panel round
    behind the poll to that of the other; ``strap_at`` is the strap's height, and ``bevel_gap`` how
    far the cover reaches behind the bevel.
    """

    back: float
    blade: Contour
    room: Contour
    panel: Contour
    welt: Contour
    stitch: Contour
    asked: float
    allowance: float
    welt_width: float
    rim: float
    girth: float
    strap_at: float
    strap_width: float
    bevel_gap: float

    @property
    def margin(self) -> float:
        """From the stitch line to the border of the panel, and to the welt's inside [mm]."""
        return self.welt_width / 2.0

    @property
    def from_edge(self) -> float:
        """The least distance of the stitch line from the blade's outline [mm]."""
        return self.allowance + self.margin

    @cached_property
    def _line(self) -> Any:
        return shapely.linestrings([(v.x, v.y) for v in self.stitch.vertices])

    @property
    def gaps(self) -> int:
        """Stitches from the first hole to the last."""
        return max(round((self.stitch.length - 2.0 * END) / self.asked), 1)

    @property
    def pitch(self) -> float:
        """Distance of two holes along the line [mm]."""
        return (self.stitch.length - 2.0 * END) / self.gaps

    @cached_property
    def holes(self) -> tuple[Point, ...]:
        """Places of the holes, from below the heel to above the toe [mm]."""
        along = END + self.pitch * np.arange(self.gaps + 1)
        points = shapely.line_interpolate_point(self._line, along)
        return tuple((float(x), float(y)) for x, y in shapely.get_coordinates(points))

    @property
    def snap(self) -> Point:
        """Where the snap sits on the one panel [mm]; the strap is sewn to the other."""
        return self.back + LAPPED - BEYOND, self.strap_at

    @property
    def sewn(self) -> tuple[Point, ...]:
        """The four holes by which the strap is sewn on [mm]."""
        half = max(self.strap_width / 2.0 - SEWN, self.strap_width / 4.0)
        return tuple(
            (self.back + x, self.strap_at + y) for x in (SEWN, LAPPED - SEWN) for y in (-half, half)
        )

    @property
    def snap_clear(self) -> bool:
        """Whether snap and sewing lie behind the bevel, on the cheek."""
        return self.bevel_gap >= max(LAPPED - SEWN, LAPPED - BEYOND + SNAP / 2.0)

    @property
    def strap_length(self) -> float:
        """Length of the strap [mm]: round behind, and what of it lies on the panels.

        It turns half round, and its middle lies half of its thickness further out than the head.
        """
        return self.girth + math.pi * LEATHER / 2.0 + 2.0 * LAPPED


def edge_cover(
    head: Head, *, pitch: float = PITCH["mm"], clearance: float = CLEARANCE
) -> EdgeCover:
    """The cover for a head's edge.

    Parameters
    ----------
    head : Head
    pitch : float
        Distance of two stitches that is aimed at [mm].
    clearance : float
        From the blade's outline to the welt, besides half of the blade's thickness [mm].

    Examples
    --------
    >>> from patterns import head, profiles
    >>> cover = edge_cover(head.finish(profiles.load("belt-hatchet").design))
    >>> len(cover.holes) == cover.gaps + 1, round(cover.from_edge - cover.allowance, 3)
    (True, 5.0)
    """
    outline = shapely.polygons(head.side.contour.points(SAGITTA))
    back, bevel = _back(head)
    room = _shadow(outline, back, head)
    blade = _front(outline, back)
    rim = _rim(head, blade)
    allowance = clearance + rim / 2.0
    outer = _ahead(_grown(room, allowance + WELT), back)
    inner = _grown(room, allowance)
    welt = outer.difference(inner)
    welt = max(shapely.get_parts(welt), key=lambda part: part.area)
    stitch = _front(_grown(room, allowance + WELT / 2.0), back)
    low, high = _open(outline, back)
    at = (
        min(max(0.0, low + STRAP / 2.0), high - STRAP / 2.0)
        if high - low > STRAP
        else ((low + high) / 2.0)
    )
    return EdgeCover(
        back=back, blade=Contour.line(*map(_point, blade)),
        room=_contour(room), panel=_contour(outer), welt=_contour(welt),
        stitch=Contour.line(*map(_point, stitch)), asked=pitch, allowance=allowance,
        welt_width=WELT, rim=rim, girth=_girth(head, back), strap_at=at,
        strap_width=min(STRAP, high - low), bevel_gap=bevel - back,
    )  # fmt: skip


def _point(at: Any) -> Point:
    return float(at[0]), float(at[1])


def _contour(polygon: Any) -> Contour:
    """A polygon without holes as a contour, counter-clockwise; points of no length left out."""
    coords = [_point(at) for at in orient(polygon).exterior.coords[:-1]]
    kept = [p for i, p in enumerate(coords) if math.dist(p, coords[i - 1]) > 1e-6]
    return Contour.polygon(kept)


def _back(head: Head) -> tuple[float, float]:
    """x of the cover's back, and of the hindmost of the bevel [mm]."""
    edge, blade = head.side.edge, head.blade
    y = np.linspace(edge.heel[1], edge.toe[1], 65)
    bevel = float(blade.bevel_line(y).min())
    corner = min(edge.heel[0], edge.toe[0])
    eye = head.plan.eye_front + OFF_EYE
    return min(max(bevel - HELD, eye), corner - HELD / 2.0), bevel


def _shadow(outline: Any, back: float, head: Head) -> Any:
    """The blade ahead of the back and all that lies straight behind it, as far as the back."""
    edge = shapely.Point(head.side.edge.piece.at(0.5))
    blade = min(shapely.get_parts(_ahead(outline, back)), key=edge.distance)
    ring = np.array(blade.exterior.coords)
    quads = [
        shapely.Polygon([(x0, y0), (x1, y1), (back, y1), (back, y0)])
        for (x0, y0), (x1, y1) in itertools.pairwise(ring)
        if abs(y1 - y0) > 1e-9 and max(x0, x1) > back + 1e-9
    ]
    whole = shapely.union_all([blade, *(shapely.make_valid(quad) for quad in quads)])
    largest = max(shapely.get_parts(whole), key=lambda part: part.area)
    return shapely.Polygon(largest.exterior)


def _grown(room: Any, by: float) -> Any:
    """The room offset outwards, rounded; holes and gaps in it closed."""
    return shapely.Polygon(shapely.buffer(room, by, quad_segs=_QUARTER).exterior)


def _ahead(shape: Any, back: float) -> Any:
    """What of a shape lies ahead of the back."""
    _, low, right, high = shape.bounds
    return shapely.intersection(shape, shapely.box(back, low - 1.0, right + 1.0, high + 1.0))


def _front(shape: Any, back: float) -> Any:
    """The border of a shape ahead of the back, from its lower end to its upper one."""
    kept = max(shapely.get_parts(_ahead(shape, back)), key=lambda part: part.area)
    ring = np.array(orient(kept).exterior.coords[:-1])
    on_back = np.abs(ring[:, 0] - back) < 1e-9
    first = int(np.flatnonzero(on_back)[np.argmin(ring[on_back, 1])])
    run = np.roll(ring, -first, axis=0)
    last = int(np.flatnonzero(np.abs(run[1:, 0] - back) < 1e-9)[0]) + 1
    return run[: last + 1]


def _rim(head: Head, blade: Any) -> float:
    """The blade's greatest thickness along its outline ahead of the back [mm]."""
    x, y = shapely.get_coordinates(shapely.segmentize(shapely.linestrings(blade), 1.0)).T
    return float(head.blade.thickness(x, y).max())


def _open(outline: Any, back: float) -> tuple[float, float]:
    """How far the blade reaches down and up at the back [mm]: of what crosses it, the largest."""
    _, low, _, high = outline.bounds
    cut = outline.intersection(shapely.LineString([(back, low - 1.0), (back, high + 1.0)]))
    part = max(shapely.get_parts(cut), key=lambda part: part.length)
    return float(part.bounds[1]), float(part.bounds[3])


def _girth(head: Head, back: float) -> float:
    """From the back round behind the poll to the back, a tape drawn taut round the plan view."""
    whole = shapely.polygons(plan_contour(head).points(SAGITTA))
    left, low, _, high = whole.bounds
    behind = shapely.intersection(whole, shapely.box(left - 1.0, low - 1.0, back, high + 1.0))
    hull = behind.convex_hull
    across = hull.intersection(shapely.LineString([(back, low - 1.0), (back, high + 1.0)]))
    return float(hull.length - across.length)
