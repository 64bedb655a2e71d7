"""The finished head from the side: one closed contour of lines and true arcs.

x runs towards the edge; y along the handle from the centre line, up. The top and the bottom are
built alike, in a frame in which outwards is positive; the bottom is then flipped over. All is built
with x from the front of the eye, where the bar has no say in it, and then carried to its place
ahead of the poll.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Any

from .contour import Contour, Piece, Point
from .curves import arc, smooth, swept
from .derived import edge_arc
from .parameters import Blade, Curve, Ears

BEARD_FULLNESS = 0.86
"""How near a beard's curve comes to the corner that it swings round: drawn by eye."""


@dataclass(frozen=True)
class Edge:
    """The cutting edge: an arc about ``(x, y)``."""

    x: float
    y: float
    radius: float
    toe: Point
    heel: Point

    def moved(self, by: float) -> Edge:
        """Carried along the head."""
        (tx, ty), (hx, hy) = self.toe, self.heel
        return Edge(self.x + by, self.y, self.radius, (tx + by, ty), (hx + by, hy))

    @cached_property
    def piece(self) -> Piece:
        """The arc from heel to toe."""
        half = math.asin(min(1.0, math.dist(self.heel, self.toe) / 2.0 / self.radius))
        return Piece(*self.heel, *self.toe, math.tan(half / 2.0))

    @cached_property
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
    """The outline: its top and bottom run from the poll's or the eye's back to toe and heel."""

    top: tuple[Piece, ...]
    bottom: tuple[Piece, ...]
    edge: Edge

    def behind_poll(self, thickness: float) -> SideView:
        """The outline with the poll's block before it, x from the poll's back."""
        by = thickness - self.top[0].x0

        def run(pieces: tuple[Piece, ...]) -> tuple[Piece, ...]:
            carried = [p.moved(by) for p in pieces]
            x, level = carried[0].x0, carried[0].y0
            return Piece(0.0, level, x, level), *carried

        return SideView(run(self.top), run(self.bottom), self.edge.moved(by))

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


def edge_of(blade: Blade) -> Edge:
    """The edge's arc; toe and heel lie on it at their heights; x from the front of the eye."""
    radius, middle = edge_arc(blade)
    x = blade.reach - radius

    def on_edge(y: float) -> Point:
        return x + math.sqrt(max(radius**2 - (y - middle) ** 2, 0.0)), y

    return Edge(x, middle, radius, on_edge(blade.toe), on_edge(-blade.heel))


@dataclass(frozen=True)
class BladeLines:
    """Top and bottom of the blade from the neck to toe and heel, outwards positive, and the edge.

    x counts from the front of the eye.
    """

    top: tuple[Piece, ...]
    bottom: tuple[Piece, ...]
    edge: Edge

    @property
    def rims(self) -> tuple[Piece, ...]:
        """Bottom and top, run counter-clockwise, as the outline has them."""
        below = (p.flipped() for p in self.bottom)
        return *below, *(p.backwards() for p in reversed(self.top))


def blade_lines(blade: Blade) -> BladeLines:
    """The lines of the blade ahead of the eye."""
    edge = edge_of(blade)
    heel = (edge.heel[0], -edge.heel[1])
    top = _blade_line(blade.top, (0.0, blade.neck_above), edge.toe)
    neck = (0.0, blade.neck_below)
    if blade.beard is None:
        bottom = _blade_line(blade.bottom, neck, heel)
    else:
        leave = math.radians(blade.bottom.leave)
        root = edge.x + math.sqrt(edge.radius**2 - (-blade.neck_below - edge.y) ** 2) - blade.beard
        corner = (root, neck[1] + root * math.tan(leave))
        bottom = swept(neck, leave, corner, heel, BEARD_FULLNESS)
    return BladeLines(tuple(top), tuple(bottom), edge)


def side_view(eye_length: float, poll_height: float, ears: Ears, lines: BladeLines) -> SideView:
    """The outline from the back of the eye on; x from the front of the eye."""

    def run(ear: float | None, blade: tuple[Piece, ...]) -> tuple[Piece, ...]:
        return *_eye_zone(-eye_length, poll_height / 2.0, ears, ear, blade[0]), *blade

    below = run(ears.below, lines.bottom)
    return SideView(run(ears.above, lines.top), tuple(p.flipped() for p in below), lines.edge)


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


def _eye_zone(
    eye_back: float, poll: float, ears: Ears, ear: float | None, blade: Piece
) -> list[Piece]:  # fmt: skip
    """From the back of the eye over the ear to the neck, outwards positive.

    The neck is met in the direction in which the blade leaves it.
    """
    corner = (eye_back, poll)
    neck = (blade.x0, blade.y0)
    onward = blade.angle_at(0.0)
    if ears.form == "none" or ear is None:
        return smooth([corner, neck], 0.0, onward)
    tip = ((1.0 - ears.place) * eye_back, ear)
    if ears.form == "rounded":
        return smooth([corner, tip], 0.0, 0.0) + smooth([tip, neck], 0.0, onward)
    from_neck = smooth([neck, tip], onward + math.pi, None)
    front = [p.backwards() for p in reversed(from_neck)]
    return smooth([corner, tip], 0.0, None) + front
