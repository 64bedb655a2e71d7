"""The finished head from the side: one closed contour of lines and true arcs.

x runs towards the edge; y along the handle from the centre line, up. The top and the bottom are
built alike, in a frame in which outwards is positive; the bottom is then flipped over. All is built
with x from the front of the eye, where the bar has no say in it, and then carried to its place
ahead of the poll.

The blade's line is drawn first. From the poll's level to the neck the outline then takes it up with
its direction and its curvature, so that nothing jumps but at the tips of pointed ears.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Any

from .contour import Contour, Piece, Point
from .curves import Span, arc, arcs, eased, first_bend, flank, smooth, swept
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

    x counts from the front of the eye. ``bends`` are the curvatures [1/mm] with which top and
    bottom leave the neck.
    """

    top: tuple[Piece, ...]
    bottom: tuple[Piece, ...]
    edge: Edge
    bends: tuple[float, float]

    @property
    def rims(self) -> tuple[Piece, ...]:
        """Bottom and top, run counter-clockwise, as the outline has them."""
        below = (p.flipped() for p in self.bottom)
        return *below, *(p.backwards() for p in reversed(self.top))


Line = Sequence[Span | Piece]
"""Spans and pieces that follow one another, outwards positive: a line before it is laid as arcs."""


def blade_curves(blade: Blade, edge: Edge) -> tuple[Line, Line]:
    """Top and bottom of the blade from the neck on, before they are laid as arcs."""
    heel = (edge.heel[0], -edge.heel[1])
    top = _blade_curve(blade.top, (0.0, blade.neck_above), edge.toe)
    neck = (0.0, blade.neck_below)
    if blade.beard is None:
        return top, _blade_curve(blade.bottom, neck, heel)
    leave = math.radians(blade.bottom.leave)
    root = edge.x + math.sqrt(edge.radius**2 - (-blade.neck_below - edge.y) ** 2) - blade.beard
    corner = (root, neck[1] + root * math.tan(leave))
    return top, [swept(neck, leave, corner, heel, BEARD_FULLNESS)]


def blade_lines(blade: Blade) -> BladeLines:
    """The lines of the blade ahead of the eye."""
    edge = edge_of(blade)
    top, bottom = blade_curves(blade, edge)
    return BladeLines(arcs(top), arcs(bottom), edge, (first_bend(top[0]), first_bend(bottom[0])))


def side_view(eye_length: float, poll_height: float, ears: Ears, lines: BladeLines) -> SideView:
    """The outline from the back of the eye on; x from the front of the eye."""

    def run(ear: float | None, blade: tuple[Piece, ...], bend: float) -> tuple[Piece, ...]:
        zone = eye_curves(-eye_length, poll_height / 2.0, ears, ear, blade[0], bend)
        return *arcs(zone), *blade

    above, below = lines.bends
    top = run(ears.above, lines.top, above)
    bottom = run(ears.below, lines.bottom, below)
    return SideView(top, tuple(p.flipped() for p in bottom), lines.edge)


def _blade_curve(curve: Curve, neck: Point, corner: Point) -> Line:
    """From the neck at the front of the eye to toe or heel, outwards positive."""
    way = [neck, *((neck[0] + x, y) for x, y in curve.through), corner]
    match curve.form:
        case "line":
            return [Piece(*a, *b) for a, b in pairwise(way)]
        case "arc":
            return [arc(neck, corner, curve.hollow)]
    arrive = None if curve.arrive is None else math.radians(curve.arrive)
    return smooth(way, math.radians(curve.leave), arrive)


def eye_curves(
    eye_back: float, poll: float, ears: Ears, ear: float | None, blade: Piece, bend: float
) -> list[Span]:
    """From the poll's level over the ear to the neck, outwards positive, before it is laid as arcs.

    It leaves the poll's level without curvature, and meets the neck in the direction and with the
    ``bend`` in which the blade leaves it.
    """
    corner = (eye_back, poll)
    neck = (blade.x0, blade.y0)
    onward = blade.angle_at(0.0)
    if ears.form == "none" or ear is None:
        return [eased(corner, 0.0, 0.0, neck, onward, bend)]
    tip = ((1.0 - ears.place) * eye_back, ear)
    if ears.form == "rounded":
        crest = _crest(_own_crest(tip, corner, 0.0), _own_crest(tip, neck, onward))
        return [
            eased(corner, 0.0, 0.0, tip, 0.0, crest),
            eased(tip, 0.0, crest, neck, onward, bend),
        ]
    front = _flank(neck, onward + math.pi, -bend, tip)
    return [_flank(corner, 0.0, 0.0, tip), front[::-1]]


def _flank(start: Point, angle: float, bend: float, tip: Point) -> Span:
    """A flank of a pointed ear, from its foot up."""
    found = flank(start, angle, bend, tip)
    if found is None:  # a tip above a steep foot
        (plain,) = smooth([start, tip], angle, None)
        arrive = math.atan2(tip[1] - plain[2][1], tip[0] - plain[2][0])
        found = eased(start, angle, bend, tip, arrive, -first_bend(plain[::-1]))
    return found


def _own_crest(tip: Point, foot: Point, angle: float) -> float:
    """The curvature [1/mm] that the cubic from a level tip to its foot has at the tip."""
    chord = math.dist(tip, foot)
    return (6.0 * (foot[1] - tip[1]) / chord - 2.0 * math.sin(angle)) / chord


def _crest(behind: float, ahead: float) -> float:
    """The curvature [1/mm] over a rounded ear that suits both of its sides.

    Their geometric mean, but no more than twice the lesser: a side that is bent much more than it
    would bend by itself has to bend back.
    """
    if behind * ahead <= 0.0:
        return 0.0
    least = min(abs(behind), abs(ahead))
    return math.copysign(min(math.sqrt(behind * ahead), 2.0 * least), behind)
