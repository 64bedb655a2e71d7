"""Contours of lines and true arcs.

A contour is a run of vertices. Each vertex carries the *bulge* of the piece that leaves it:
``bulge = tan(sweep / 4)``, the sweep counted counter-clockwise, so 0 is a straight line, 1 a half
circle to the left-hand centre, and a negative bulge turns clockwise. It is the definition that
the DXF format uses; nothing is converted on the way out.

Areas, lengths, centroids and bounds are exact for the lines and arcs. Only :meth:`Contour.points`
flattens, and it says how far a chord may stand off its arc (the *sagitta*).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

Point = tuple[float, float]

_QUARTER = math.pi / 2.0
_AXES = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))

SAGITTA = 0.005
"""Largest distance [mm] between an arc and its chord wherever an arc is flattened."""


STRAIGHT = 1e-9
"""A bulge smaller than this is taken for none: half of it, times the chord, is the sagitta."""

_FEW_TERMS = 0.03
"""Half a sweep [rad] below which a series is nearer to the truth than a difference."""


class Piece(NamedTuple):
    """One line or arc from ``(x0, y0)`` to ``(x1, y1)``; ``bulge`` as in the module's head."""

    x0: float
    y0: float
    x1: float
    y1: float
    bulge: float = 0.0

    @property
    def chord(self) -> float:
        return math.hypot(self.x1 - self.x0, self.y1 - self.y0)

    @property
    def sweep(self) -> float:
        """Angle turned along the piece [rad], counter-clockwise positive; 0 for a line."""
        return 4.0 * math.atan(self.bulge)

    @property
    def is_line(self) -> bool:
        return abs(self.bulge) < STRAIGHT

    @property
    def radius(self) -> float:
        """Radius [mm], positive; infinite for a line."""
        x0, y0, x1, y1, bulge = self
        if bulge == 0.0:
            return math.inf
        b = abs(bulge)
        return math.hypot(x1 - x0, y1 - y0) * (1.0 + b * b) / (4.0 * b)

    @property
    def centre(self) -> Point:
        """Centre of the arc [mm]; an error for a line."""
        x0, y0, x1, y1, bulge = self
        if bulge == 0.0:
            raise ValueError("a straight line has no centre")
        k = (1.0 - bulge * bulge) / (4.0 * bulge)
        return (x0 + x1) / 2.0 - k * (y1 - y0), (y0 + y1) / 2.0 + k * (x1 - x0)

    @property
    def length(self) -> float:
        return self.chord if self.is_line else self.radius * abs(self.sweep)

    @property
    def reach(self) -> float:
        """No point of the piece lies further than this from the middle of its chord [mm]."""
        # up to a half circle, an arc lies within the circle on its chord
        return (self.chord if abs(self.bulge) <= 1.0 else self.length) / 2.0

    def moved(self, dx: float, dy: float = 0.0) -> Piece:
        """Carried to another place."""
        x0, y0, x1, y1, bulge = self
        return Piece(x0 + dx, y0 + dy, x1 + dx, y1 + dy, bulge)

    def angle_at(self, share: float) -> float:
        """Direction of travel [rad] at a share (0 to 1) of the piece's length."""
        along = math.atan2(self.y1 - self.y0, self.x1 - self.x0)
        return along + self.sweep * (share - 0.5)

    def at(self, share: float) -> Point:
        """Point at a share (0 to 1) of the piece's length."""
        if share == 0.0:
            return self.x0, self.y0
        if share == 1.0:
            return self.x1, self.y1
        x0, y0, x1, y1, bulge = self
        vx, vy = x1 - x0, y1 - y0
        if abs(bulge) < STRAIGHT:
            return x0 + share * vx, y0 + share * vy
        # the chord turned and shortened: the centre of a flat arc is too far away to start from
        half = 2.0 * math.atan(bulge)
        part = half * share
        turn, shorter = part - half, math.sin(part) / math.sin(half)
        c, s = math.cos(turn) * shorter, math.sin(turn) * shorter
        return x0 + c * vx - s * vy, y0 + s * vx + c * vy

    @property
    def segment(self) -> tuple[float, float]:
        """What lies between arc and chord, to the right of the chord where the bulge is positive.

        Its area [mm2], signed as the bulge is, and the distance of its centre from the chord [mm].
        """
        if self.is_line:
            return 0.0, 0.0
        half, chord = abs(self.sweep) / 2.0, self.chord
        ratio = half / math.sin(half)
        if half < _FEW_TERMS:
            # r^2 (sweep - sin sweep)/2 and 4 r sin^3(half) / (3 (sweep - sin sweep)) - r cos(half)
            area = chord**2 * half * ratio**2 / 6.0 * (1.0 - half**2 / 5.0 + 2.0 * half**4 / 105.0)
            off = chord * half * ratio / 10.0 * (1.0 - 13.0 / 210.0 * half**2)
        else:
            radius = self.radius
            area = radius**2 * (2.0 * half - math.sin(2.0 * half)) / 2.0
            off = chord**3 / 12.0 / area - radius * math.cos(half)
        return math.copysign(area, self.bulge), off

    @property
    def under(self) -> float:
        """Area between the piece and the x axis [mm2]; negative where it runs backwards."""
        return (self.x1 - self.x0) * (self.y0 + self.y1) / 2.0 - self.segment[0]

    def backwards(self) -> Piece:
        """The same piece run the other way."""
        return Piece(self.x1, self.y1, self.x0, self.y0, -self.bulge)

    def flipped(self) -> Piece:
        """Mirrored in the x axis (y becomes -y)."""
        return Piece(self.x0, -self.y0, self.x1, -self.y1, -self.bulge)

    def part(self, first: float, last: float) -> Piece:
        """The piece between two shares of its length."""
        (x0, y0), (x1, y1) = self.at(first), self.at(last)
        return Piece(x0, y0, x1, y1, math.tan(self.sweep * (last - first) / 4.0))

    def shares_at_x(self, x: float) -> list[float]:
        """Shares of the length, strictly inside the piece, at which it crosses a vertical line."""
        if self.is_line:
            if self.x0 == self.x1:
                return []
            found = [(x - self.x0) / (self.x1 - self.x0)]
        else:
            cx, cy = self.centre
            ratio = (x - cx) / self.radius
            if abs(ratio) >= 1.0:
                return []
            start = math.atan2(self.y0 - cy, self.x0 - cx)
            lean = math.acos(ratio)
            sign = 1.0 if self.bulge > 0 else -1.0
            found = [
                (sign * (angle - start)) % math.tau / abs(self.sweep) for angle in (lean, -lean)
            ]
        return sorted(share for share in found if 1e-12 < share < 1.0 - 1e-12)

    def extremes(self) -> Iterator[Point]:
        """The ends, and the points of an arc where it runs level or plumb."""
        yield self.x0, self.y0
        yield self.x1, self.y1
        if self.is_line:
            return
        along, half = self.angle_at(0.5) / _QUARTER, abs(self.sweep) / 2.0 / _QUARTER
        for quarter in range(math.ceil(along - half), math.floor(along + half) + 1):
            (cx, cy), (ux, uy) = self.centre, _AXES[quarter % 4]
            right = math.copysign(self.radius, self.bulge)
            yield cx + right * uy, cy - right * ux

    def points(self, sagitta: float = SAGITTA) -> Iterator[Point]:
        """Points along the piece, without the last, no arc further than ``sagitta`` off."""
        yield self.x0, self.y0
        b = abs(self.bulge)
        if b <= 1.0 and b * self.chord / 2.0 <= sagitta:
            return
        ratio, sweep = min(1.0, sagitta / self.radius), self.sweep
        steps = math.ceil(abs(sweep) / (2.0 * math.acos(1.0 - ratio)))
        cx, cy = self.centre
        dx, dy = self.x0 - cx, self.y0 - cy
        for step in range(1, steps):
            turn = sweep * (step / steps)
            c, s = math.cos(turn), math.sin(turn)
            yield cx + c * dx - s * dy, cy + s * dx + c * dy


@dataclass(frozen=True)
class Bounds:
    """Smallest upright rectangle round something [mm]."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.top - self.bottom

    @classmethod
    def around(cls, points: Iterable[Point]) -> Bounds:
        xs, ys = zip(*points, strict=True)
        return cls(min(xs), min(ys), max(xs), max(ys))

    def joined(self, other: Bounds) -> Bounds:
        return Bounds(
            min(self.left, other.left),
            min(self.bottom, other.bottom),
            max(self.right, other.right),
            max(self.top, other.top),
        )

    def meets(self, other: Bounds) -> bool:
        """Whether the two have a point in common."""
        return not (
            other.left > self.right or other.right < self.left
            or other.bottom > self.top or other.top < self.bottom
        )  # fmt: skip

    def grown(self, by: float) -> Bounds:
        return Bounds(self.left - by, self.bottom - by, self.right + by, self.top + by)


class Vertex(NamedTuple):
    x: float
    y: float
    bulge: float = 0.0


@dataclass(frozen=True)
class Contour:
    """A run of lines and arcs, closed or open. Counter-clockwise is positive.

    A closed contour does not repeat its first vertex. The bulge on the last vertex of an open one
    is not used.

    >>> square = Contour.polygon([(0, 0), (10, 0), (10, 10), (0, 10)])
    >>> square.area, square.length
    (100.0, 40.0)
    >>> round(Contour.circle(0, 0, 10).area / math.pi, 12)
    100.0
    """

    vertices: tuple[Vertex, ...]
    closed: bool = True

    # Making ----------------------------------------------------------------------------------

    @classmethod
    def polygon(cls, points: Iterable[Point]) -> Contour:
        return cls(tuple(Vertex(x, y) for x, y in points))

    @classmethod
    def rounded(cls, corners: Iterable[tuple[float, float, float]]) -> Contour:
        """A polygon whose corners are rounded, each by its own radius [mm]; 0 leaves it sharp.

        Raises :class:`ValueError` where a side is too short for the rounding at its ends.

        >>> plate = Contour.rounded([(0, 0, 0), (40, 0, 5), (40, 30, 5), (0, 30, 0)])
        >>> round(1200 - plate.area, 6) == round(2 * (25 - 25 * math.pi / 4), 6)
        True
        """
        given = list(corners)
        vertices, taken = list[Vertex](), [0.0] * len(given)
        for i, (x, y, radius) in enumerate(given):
            (ax, ay, _), (bx, by, _) = given[i - 1], given[(i + 1) % len(given)]
            before, after = math.hypot(x - ax, y - ay), math.hypot(bx - x, by - y)
            if radius <= 0.0 or not before or not after:
                vertices.append(Vertex(x, y))
                continue
            ux, uy = (x - ax) / before, (y - ay) / before
            vx, vy = (bx - x) / after, (by - y) / after
            turn = math.atan2(ux * vy - uy * vx, ux * vx + uy * vy)
            back = radius * math.tan(abs(turn) / 2.0)
            taken[i] = back
            vertices.append(Vertex(x - back * ux, y - back * uy, math.tan(turn / 4.0)))
            vertices.append(Vertex(x + back * vx, y + back * vy))
        for i, (x, y, _) in enumerate(given):
            bx, by, _ = given[(i + 1) % len(given)]
            if taken[i] + taken[(i + 1) % len(given)] > math.hypot(bx - x, by - y) + 1e-9:
                raise ValueError(f"the side from {x:.2f}, {y:.2f} mm is too short to be rounded")
        return cls.of_pieces(cls(tuple(vertices)).pieces)

    @classmethod
    def line(cls, *points: Point) -> Contour:
        """An open run of straight lines."""
        return cls(tuple(Vertex(x, y) for x, y in points), closed=False)

    @classmethod
    def rectangle(cls, left: float, bottom: float, right: float, top: float) -> Contour:
        return cls.polygon([(left, bottom), (right, bottom), (right, top), (left, top)])

    @classmethod
    def circle(cls, x: float, y: float, radius: float) -> Contour:
        return cls((Vertex(x + radius, y, 1.0), Vertex(x - radius, y, 1.0)))

    @classmethod
    def of_pieces(cls, pieces: Iterable[Piece], closed: bool = True) -> Contour:
        """Join pieces that follow one another; pieces without length are left out."""
        kept = [piece for piece in pieces if piece.chord > 1e-9]
        vertices = [Vertex(piece.x0, piece.y0, piece.bulge) for piece in kept]
        if not closed and kept:
            vertices.append(Vertex(kept[-1].x1, kept[-1].y1))
        return cls(tuple(vertices), closed)

    # Reading ---------------------------------------------------------------------------------

    @cached_property
    def pieces(self) -> tuple[Piece, ...]:
        v = self.vertices
        following = v[1:] + v[:1] if self.closed else v[1:]
        return tuple(Piece(a.x, a.y, b.x, b.y, a.bulge) for a, b in zip(v, following, strict=False))

    @property
    def length(self) -> float:
        return sum(piece.length for piece in self.pieces)

    @cached_property
    def area(self) -> float:
        """Area [mm2], negative for a clockwise contour."""
        return -sum(piece.under for piece in self.pieces)

    @property
    def centroid(self) -> Point:
        """Centre of the area [mm]."""
        area = mx = my = 0.0
        for p in self.pieces:
            cross = p.x0 * p.y1 - p.x1 * p.y0
            area += cross / 2.0
            mx += cross * (p.x0 + p.x1) / 6.0
            my += cross * (p.y0 + p.y1) / 6.0
            if not p.is_line:
                segment, off = p.segment
                off = math.copysign(off, p.bulge) / p.chord
                area += segment
                mx += segment * ((p.x0 + p.x1) / 2.0 + off * (p.y1 - p.y0))
                my += segment * ((p.y0 + p.y1) / 2.0 - off * (p.x1 - p.x0))
        return mx / area, my / area

    @property
    def straight(self) -> bool:
        """Whether there is no arc in it."""
        return not any(v.bulge for v in self.vertices)

    @cached_property
    def bounds(self) -> Bounds:
        if self.straight:
            return Bounds.around([(v.x, v.y) for v in self.vertices])
        return Bounds.around([point for piece in self.pieces for point in piece.extremes()])

    def points(self, sagitta: float = SAGITTA) -> list[Point]:
        """Flattened: no arc further than ``sagitta`` [mm] from its chord."""
        if self.straight:
            return [(v.x, v.y) for v in self.vertices]
        found = [point for piece in self.pieces for point in piece.points(sagitta)]
        if not self.closed:
            found.append((self.vertices[-1].x, self.vertices[-1].y))
        return found

    # Moving ----------------------------------------------------------------------------------

    def moved(self, dx: float, dy: float) -> Contour:
        return replace(
            self, vertices=tuple(Vertex(v.x + dx, v.y + dy, v.bulge) for v in self.vertices)
        )

    def scaled(self, factor: float) -> Contour:
        """Made larger or smaller about the origin; an arc keeps its sweep, and so its bulge.

        >>> Contour.circle(0, 0, 10).scaled(0.25).bounds
        Bounds(left=-2.5, bottom=-2.5, right=2.5, top=2.5)
        """
        if not factor > 0.0:
            raise ValueError(f"the factor is {factor!r}; it must be more than 0")
        return replace(
            self,
            vertices=tuple(Vertex(v.x * factor, v.y * factor, v.bulge) for v in self.vertices),
        )

    def turned(self, angle: float) -> Contour:
        """Turned about the origin by ``angle`` [rad], counter-clockwise."""
        c, s = math.cos(angle), math.sin(angle)
        return replace(
            self,
            vertices=tuple(
                Vertex(c * v.x - s * v.y, s * v.x + c * v.y, v.bulge) for v in self.vertices
            ),
        )

    def flipped(self) -> Contour:
        """Mirrored in the x axis (y becomes -y)."""
        return replace(self, vertices=tuple(Vertex(v.x, -v.y, -v.bulge) for v in self.vertices))

    def reversed(self) -> Contour:
        """The same line run the other way."""
        back = [p.backwards() for p in reversed(self.pieces)]
        return Contour.of_pieces(back, self.closed)


def around(contours: Sequence[Contour]) -> Bounds:
    """Smallest upright rectangle round some contours, at least one [mm].

    >>> around([Contour.rectangle(0, 0, 2, 1), Contour.line((3, 0), (3, 5))])
    Bounds(left=0, bottom=0, right=3, top=5)
    """
    box = contours[0].bounds
    for contour in contours[1:]:
        box = box.joined(contour.bounds)
    return box
