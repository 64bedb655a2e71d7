"""The finished head from the side: one closed contour of lines and true arcs.

x runs from the back of the poll towards the edge; y along the handle from the centre line, up.
The top and the bottom are built alike, in a frame in which outwards is positive; the bottom is
then flipped over.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Any

from .contour import Contour, Piece, Point
from .curves import arc, smooth, swept
from .parameters import Blade, Curve, Ears

BEARD_FULLNESS = 0.86
"""How near a beard's curve comes to the corner that it swings round: drawn by eye."""


@dataclass(frozen=True)
class Frame:
    """The places along the head that the side view and the plan view share [mm]."""

    eye_back: float
    eye_front: float
    poll_height: float


@dataclass(frozen=True)
class Edge:
    """The cutting edge: an arc about ``(x, y)``."""

    x: float
    y: float
    radius: float
    toe: Point
    heel: Point

    @property
    def piece(self) -> Piece:
        """The arc from heel to toe."""
        half = math.asin(min(1.0, math.dist(self.heel, self.toe) / 2.0 / self.radius))
        return Piece(*self.heel, *self.toe, math.tan(half / 2.0))

    @property
    def length(self) -> float:
        return self.piece.length

    @property
    def foremost(self) -> float:
        """x of the edge's foremost point [mm]: between toe and heel, or one of them."""
        if self.heel[1] <= self.y <= self.toe[1]:
            return self.x + self.radius
        return max(self.heel[0], self.toe[0])


@dataclass(frozen=True)
class SideView:
    """The outline: its top and bottom run from the poll's back to toe and heel."""

    top: tuple[Piece, ...]
    bottom: tuple[Piece, ...]
    edge: Edge

    @cached_property
    def flat(self) -> Any:
        """The outline as shapely's polygon, flattened to 0.05 mm, for pictures."""
        import shapely

        return shapely.polygons(self.contour.points(0.05))

    @cached_property
    def contour(self) -> Contour:
        """Closed, counter-clockwise, from the lower corner of the poll's back."""
        back = [p.backwards() for p in reversed(self.top)]
        first, last = self.bottom[0], self.top[0]
        closing = Piece(last.x0, last.y0, first.x0, first.y0)
        return Contour.of_pieces([*self.bottom, self.edge.piece, *back, closing])


def edge_of(blade: Blade, frame: Frame) -> Edge:
    """The edge's arc; toe and heel lie on it at their heights."""
    middle = blade.edge_centre if blade.edge_centre is not None else (blade.toe - blade.heel) / 2.0
    radius = blade.edge_radius
    x = frame.eye_front + blade.reach - radius

    def on_edge(y: float) -> Point:
        return x + math.sqrt(max(radius**2 - (y - middle) ** 2, 0.0)), y

    return Edge(x, middle, radius, on_edge(blade.toe), on_edge(-blade.heel))


def side_view(frame: Frame, ears: Ears, blade: Blade) -> SideView:
    """Build the outline of poll, ears, neck, blade and edge."""
    edge = edge_of(blade, frame)
    heel = (edge.heel[0], -edge.heel[1])
    top_blade = _blade_line(blade.top, (frame.eye_front, blade.neck_above), edge.toe)
    neck = (frame.eye_front, blade.neck_below)
    if blade.beard is None:
        bottom_blade = _blade_line(blade.bottom, neck, heel)
    else:
        leave = math.radians(blade.bottom.leave)
        root = edge.x + math.sqrt(edge.radius**2 - (-blade.neck_below - edge.y) ** 2) - blade.beard
        corner = (root, neck[1] + (root - neck[0]) * math.tan(leave))
        bottom_blade = swept(neck, leave, corner, heel, BEARD_FULLNESS)
    top = _eye_zone(frame, ears, ears.above, top_blade[0]) + top_blade
    bottom = _eye_zone(frame, ears, ears.below, bottom_blade[0]) + bottom_blade
    flipped = [p.flipped() for p in bottom]
    return SideView(tuple(top), tuple(flipped), edge)


def _blade_line(curve: Curve, neck: Point, corner: Point) -> list[Piece]:
    """From the neck at the front of the eye to toe or heel, outwards positive."""
    way = [neck, *((neck[0] + x, y) for x, y in curve.through), corner]
    match curve.form:
        case "line":
            return [Piece(*a, *b) for a, b in pairwise(way)]
        case "arc":
            return [arc(neck, corner, curve.hollow)]
    arrive = None if curve.arrive is None else math.radians(curve.arrive)
    return smooth(way, math.radians(curve.leave), arrive)


def _eye_zone(frame: Frame, ears: Ears, height: float | None, blade: Piece) -> list[Piece]:
    """From the back of the poll over the ear to the neck, outwards positive.

    The neck is met in the direction in which the blade leaves it.
    """
    half = frame.poll_height / 2.0
    corner = (frame.eye_back, half)
    neck = (blade.x0, blade.y0)
    onward = blade.angle_at(0.0)
    poll = [Piece(0.0, half, *corner)]
    if ears.form == "none" or height is None:
        return poll + smooth([corner, neck], 0.0, onward)
    tip = (frame.eye_back + ears.place * (frame.eye_front - frame.eye_back), height)
    if ears.form == "rounded":
        return poll + smooth([corner, tip], 0.0, 0.0) + smooth([tip, neck], 0.0, onward)
    from_neck = smooth([neck, tip], onward + math.pi, None)
    front = [p.backwards() for p in reversed(from_neck)]
    return poll + smooth([corner, tip], 0.0, None) + front
