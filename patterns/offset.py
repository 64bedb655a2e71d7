"""Exact parallel contours: what a cutter's middle runs along, half a kerf off the line.

The pieces are shifted along their normals: a line stays a line, an arc an arc about the same
centre. Where a corner opens they are joined, where it closes they are cut off at each other; what
comes nearer to the contour than asked is left out, as a fillet that is smaller than the offset.

A corner that opens is joined by an arc about it: the tool's middle goes round at the same distance,
its edge turns on the corner, and the corner stays sharp with no more metal taken beyond it than
needed. The other way, ``corners="sharp"``, runs both neighbours on until they meet; it serves for
drawing, and for a shape that is to come back to itself.

Everything is refused in which the parallel contour would not be the same shape, only larger or
smaller: an opening that closes, a neck that parts, a contour that vanishes.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .contour import Contour, Piece, Point, Vertex

Array = NDArray[np.float64]

LIMIT = 4.0
"""How far, over the offset, a sharp corner may stand off the contour's own; it is rounded past it,
which is keener than 29 degrees."""
DEEPEST = 4.0
"""How far, over the offset, pieces that vanish may lie from where their neighbours then meet:
deeper, they were a slot, and not a corner."""

_SAME = 1e-6
"""Points nearer than this [mm] are one."""
_NEARER = 1e-6
"""What comes nearer to the contour than the offset less this [mm] is left out."""
_TRUE = 1e-4
"""How far [mm] the finished contour may be off its distance."""
_FLAT = 2e-4
"""Sagitta [mm] of what is looked at by Shapely."""
_TANGENT = 1e-6
"""Two pieces that turn by less [rad] are tangent."""
_BLUNT = 5e-7
"""A corner that a join would round by less than this [mm] gets none."""
_CUSP = 1e-5
"""A corner that lacks less than this [rad] of turning back is looked at beside its point."""


class OffsetError(ValueError):
    """There is no parallel contour of the same shape.

    ``reason`` says what happens, ``at`` where [mm], ``width`` how wide the narrowest place found is
    [mm], or None where there is none to speak of.
    """

    def __init__(self, reason: str, at: Point, width: float | None, by: float) -> None:
        self.reason, self.at = reason, (float(at[0]), float(at[1]))
        self.width = None if width is None else float(width)
        wide = "" if width is None else f"; it is {width:.3f} mm wide there"
        super().__init__(
            f"{reason} at {at[0]:.2f}, {at[1]:.2f} mm{wide}, and the offset is {abs(by):.3f} mm "
            "on each side"
        )


@dataclass(frozen=True)
class _Element:
    """A shifted piece, or the join at a corner, and what it was shifted from.

    ``place`` is the number of the contour's piece, and a half more for the join after it. ``tight``
    are a join and an arc about a convex bend no larger than the offset.
    """

    piece: Piece
    place: float
    tight: bool


@dataclass(frozen=True)
class _Kept:
    """What stays of an element: between two shares of its length."""

    element: _Element
    first: float
    last: float

    @property
    def piece(self) -> Piece:
        if (self.first, self.last) == (0.0, 1.0):
            return self.element.piece
        return self.element.piece.part(self.first, self.last)

    @property
    def length(self) -> float:
        return self.element.piece.length * (self.last - self.first)


def parallel(contour: Contour, by: float, *, corners: str = "round") -> Contour:
    """The contour that lies ``by`` [mm] outside a closed one, or inside it where ``by`` is less
    than 0; run the same way round.

    The contour's own direction does not matter for what is outside. For a kerf k the outside of a
    part is offset by k/2, its holes by -k/2.

    ``corners`` are ``"round"``, joined by an arc about the corner, or ``"sharp"`` as far as
    :data:`LIMIT`, past which they are rounded.

    Raises :class:`OffsetError` where an opening closes, a neck parts, all of it vanishes, or the
    contour itself is not simple; :class:`ValueError` for an open contour.

    >>> square = Contour.rectangle(0, 0, 30, 20)
    >>> round(parallel(square, 2.0).area - (600 + 2 * 100 + math.pi * 4), 9)  # Steiner
    0.0
    >>> parallel(square, -2.0).bounds
    Bounds(left=2.0, bottom=2.0, right=28.0, top=18.0)
    >>> parallel(Contour.rectangle(0, 0, 30, 1.2), -0.75)
    Traceback (most recent call last):
    ...
    patterns.offset.OffsetError: all of it closes at 15.00, 0.60 mm; it is 1.200 mm wide there, \
and the offset is 0.750 mm on each side
    """
    if not contour.closed:
        raise ValueError("the contour is open; a parallel one needs an area")
    if corners not in ("round", "sharp"):
        raise ValueError(f"corners are {corners!r}; they may be round or sharp")
    if not math.isfinite(by):
        raise ValueError(f"the offset is {by!r}")
    pieces = [piece for piece in contour.pieces if piece.chord > 1e-9]
    _sound(contour, by)
    if by == 0.0:
        return contour
    right = by if contour.area > 0.0 else -by
    elements = _elements(pieces, right, corners)
    kept = _kept(elements, pieces, abs(by))
    if not kept:
        raise _narrow(contour, by)
    run = _chained(kept, abs(by))
    if run is None:
        raise _narrow(contour, by)
    for one, other in zip(run, run[1:] + run[:1], strict=True):
        _worn(one, other, pieces, right)
    made = _joined(run)
    _verified(contour, made, by, corners)
    return made


def _sound(contour: Contour, by: float) -> None:
    """Refuse a contour that is not simple in itself."""
    import shapely

    at = (contour.vertices[0].x, contour.vertices[0].y) if contour.vertices else (0.0, 0.0)
    points = contour.points(_FLAT)
    if len(points) < 3 or contour.area == 0.0:
        raise OffsetError("the contour has no area", at, None, by)
    reason = shapely.is_valid_reason(shapely.Polygon(points))
    if reason != "Valid Geometry":
        inside = reason.partition("[")[2].rstrip("]").split()
        if len(inside) == 2:
            at = (float(inside[0]), float(inside[1]))
        raise OffsetError("the contour crosses or touches itself", at, None, by)


# Shifting ----------------------------------------------------------------------------------------


def _shifted(piece: Piece, right: float) -> Piece | None:
    """A piece carried to its right; None for an arc that vanishes by it."""
    if not piece.is_line:
        radius = piece.radius + (right if piece.bulge > 0.0 else -right)
        if radius < _SAME / 10.0:
            return None
    first, last = piece.angle_at(0.0), piece.angle_at(1.0)
    return Piece(
        piece.x0 + right * math.sin(first),
        piece.y0 - right * math.cos(first),
        piece.x1 + right * math.sin(last),
        piece.y1 - right * math.cos(last),
        0.0 if piece.is_line else piece.bulge,
    )


def _turn(one: Piece, other: Piece) -> float:
    """By how much the line turns from one piece to the next [rad], left positive."""

    def between(last: float, first: float) -> float:
        return math.remainder(other.angle_at(first) - one.angle_at(last), math.tau)

    turn = between(1.0, 0.0)
    if math.pi - abs(turn) < _CUSP:  # on which side it turns back, the pieces tell beside the point
        near = min(one.length, other.length) / 100.0
        turn = math.copysign(math.pi, between(1.0 - near / one.length, near / other.length))
    return turn


def _elements(pieces: Sequence[Piece], right: float, corners: str) -> list[_Element]:
    """Every piece shifted, joined where a corner opens, in the contour's order."""
    shifted = [_shifted(piece, right) for piece in pieces]
    joins: dict[int, Piece] = {}
    count = len(pieces)
    for i, piece in enumerate(pieces):
        j = (i + 1) % count
        turn = _turn(piece, pieces[j])
        one, other = shifted[i], shifted[j]
        if _tangent(turn, right, one, other):
            if one is not None and other is not None:
                middle = ((one.x1 + other.x0) / 2.0, (one.y1 + other.y0) / 2.0)
                shifted[i], shifted[j] = _ending(one, middle), _starting(other, middle)
        elif turn * right > 0.0:
            met = None
            if corners == "sharp" and one is not None and other is not None:
                met = _mitre(one, other, (piece.x1, piece.y1), LIMIT * abs(right))
            if met is not None and one is not None and other is not None:
                shifted[i], shifted[j] = _ending(one, met), _starting(other, met)
            else:
                last, first = piece.angle_at(1.0), piece.angle_at(1.0) + turn
                joins[i] = Piece(
                    piece.x1 + right * math.sin(last),
                    piece.y1 - right * math.cos(last),
                    piece.x1 + right * math.sin(first),
                    piece.y1 - right * math.cos(first),
                    math.tan(turn / 4.0),
                )
    found = []
    for i, moved in enumerate(shifted):
        source = pieces[i]
        if moved is not None:
            convex = not source.is_line and source.bulge * right > 0.0
            found.append(_Element(moved, i, convex and source.radius <= abs(right)))
        if i in joins:
            found.append(_Element(joins[i], i + 0.5, True))
    return found


def _tangent(turn: float, right: float, one: Piece | None, other: Piece | None) -> bool:
    """Whether a corner is too blunt for a join, or to be cut off."""
    if abs(turn) < _TANGENT:
        return True
    gap = abs(right * turn)
    if gap * abs(turn) / 8.0 > _BLUNT or one is None or other is None:
        return False
    return min(one.length, other.length) > 10.0 * gap


def _ending(piece: Piece, end: Point) -> Piece:
    """The piece run on, or cut off, to another end on its own line or circle."""
    x, y = end
    if piece.is_line:
        return piece._replace(x1=x, y1=y)
    (cx, cy), sign = piece.centre, math.copysign(1.0, piece.bulge)
    ux, uy, vx, vy = piece.x1 - cx, piece.y1 - cy, x - cx, y - cy
    more = sign * math.atan2(ux * vy - uy * vx, ux * vx + uy * vy)
    return Piece(piece.x0, piece.y0, x, y, math.tan((piece.sweep + sign * more) / 4.0))


def _starting(piece: Piece, start: Point) -> Piece:
    return _ending(piece.backwards(), start).backwards()


def _mitre(one: Piece, other: Piece, corner: Point, limit: float) -> Point | None:
    """Where two pieces that are run on meet, near their corner; None if they do not within the
    limit [mm]."""
    met = [
        point
        for point in _meetings(one, other)
        if math.dist(point, corner) <= limit and _onward(one, point) and _onward(other, point, True)
    ]
    return min(met, key=lambda point: math.dist(point, corner), default=None)


def _onward(piece: Piece, point: Point, before: bool = False) -> bool:
    """Whether a point lies past the piece's end, or before its start."""
    if before:
        piece = piece.backwards()
    angle = piece.angle_at(1.0)
    dx, dy = point[0] - piece.x1, point[1] - piece.y1
    return dx * math.cos(angle) + dy * math.sin(angle) > -_SAME


# Crossings ---------------------------------------------------------------------------------------


def _meetings(one: Piece, other: Piece) -> list[Point]:
    """Where the lines or circles that two pieces lie on meet, or very nearly touch."""
    if one.is_line and other.is_line:
        ax, ay, bx, by = one.x1 - one.x0, one.y1 - one.y0, other.x1 - other.x0, other.y1 - other.y0
        cross = ax * by - ay * bx
        if abs(cross) <= 1e-12 * one.chord * other.chord:
            return []
        share = ((other.x0 - one.x0) * by - (other.y0 - one.y0) * bx) / cross
        return [(one.x0 + share * ax, one.y0 + share * ay)]
    if one.is_line or other.is_line:
        line, arc = (one, other) if one.is_line else (other, one)
        (cx, cy), radius = arc.centre, arc.radius
        ux, uy = (line.x1 - line.x0) / line.chord, (line.y1 - line.y0) / line.chord
        along = (cx - line.x0) * ux + (cy - line.y0) * uy
        off = (cx - line.x0) * uy - (cy - line.y0) * ux
        half = _half_chord(radius, off)
        if half is None:
            return []
        return [
            (line.x0 + share * ux, line.y0 + share * uy) for share in (along - half, along + half)
        ]
    (ax, ay), (bx, by), r, q = one.centre, other.centre, one.radius, other.radius
    apart = math.hypot(bx - ax, by - ay)
    if apart < 1e-12:
        return []
    ux, uy = (bx - ax) / apart, (by - ay) / apart
    along = (apart + (r - q) * (r + q) / apart) / 2.0
    half = _half_chord(r, along)
    if half is None:
        return []
    return [(ax + along * ux - side * uy, ay + along * uy + side * ux) for side in (half, -half)]


def _half_chord(radius: float, off: float) -> float | None:
    """Half of what a line so far off the centre lies in a circle; 0 where it all but touches."""
    if abs(off) > radius + _SAME:
        return None
    return math.sqrt(max(0.0, (radius - off) * (radius + off)))


def _share(piece: Piece, point: Point) -> float | None:
    """At which share of its length a piece passes a point of its line or circle; None if not."""
    x, y = point
    slack = 1e-9 / max(piece.length, 1e-9)
    if piece.is_line:
        dx, dy = piece.x1 - piece.x0, piece.y1 - piece.y0
        share = ((x - piece.x0) * dx + (y - piece.y0) * dy) / (dx * dx + dy * dy)
    else:
        (cx, cy), sign = piece.centre, math.copysign(1.0, piece.bulge)
        ux, uy, vx, vy = piece.x0 - cx, piece.y0 - cy, x - cx, y - cy
        turn = sign * math.atan2(ux * vy - uy * vx, ux * vx + uy * vy)
        sweep = abs(piece.sweep)
        if turn < 0.0 and -turn / sweep > slack:
            turn += math.tau
        share = turn / sweep
    return min(1.0, max(0.0, share)) if -slack <= share <= 1.0 + slack else None


def _boxes(elements: Sequence[_Element]) -> Array:
    """Left, bottom, right and top of each, a little wider."""
    boxes = []
    for element in elements:
        xs, ys = zip(*element.piece.extremes(), strict=True)
        boxes.append((min(xs) - _SAME, min(ys) - _SAME, max(xs) + _SAME, max(ys) + _SAME))
    return np.array(boxes)


def _crossings(elements: Sequence[_Element]) -> Iterator[tuple[int, float, int, float]]:
    """Where two elements meet: number and share of each."""
    box = _boxes(elements)
    for i, element in enumerate(elements):
        rest = box[i + 1 :]
        near = (
            (rest[:, 0] <= box[i, 2]) & (rest[:, 2] >= box[i, 0])
            & (rest[:, 1] <= box[i, 3]) & (rest[:, 3] >= box[i, 1])
        )  # fmt: skip
        for j in (np.flatnonzero(near) + i + 1).tolist():
            other = elements[j]
            for point in _meetings(element.piece, other.piece):
                s, t = _share(element.piece, point), _share(other.piece, point)
                if s is not None and t is not None:
                    yield i, s, j, t


# Distances ---------------------------------------------------------------------------------------


def distances(points: Array, pieces: Sequence[Piece]) -> Array:
    """The distance of each point (n x 2) from the nearest of the pieces [mm], exact for arcs.

    >>> ring = Contour.circle(0, 0, 10).pieces
    >>> distances(np.array([[3.0, 4.0], [0.0, 12.0]]), ring).tolist()
    [5.0, 2.0]
    """
    found = np.full(len(points), np.inf)
    lines = np.array([piece for piece in pieces if piece.is_line])
    x, y = points[:, :1], points[:, 1:]
    if len(lines):
        x0, y0 = lines[:, 0], lines[:, 1]
        dx, dy = lines[:, 2] - x0, lines[:, 3] - y0
        share = ((x - x0) * dx + (y - y0) * dy) / (dx * dx + dy * dy)
        share = np.clip(share, 0.0, 1.0)
        away = np.hypot(x - x0 - share * dx, y - y0 - share * dy)
        found = np.minimum(found, away.min(axis=1))
    arcs = [piece for piece in pieces if not piece.is_line]
    if arcs:
        ends = np.array(arcs)
        centre, radius = np.array([a.centre for a in arcs]), np.array([a.radius for a in arcs])
        half = np.array([abs(a.sweep) / 2.0 for a in arcs])
        middle = np.array([a.at(0.5) for a in arcs]) - centre
        vx, vy = x - centre[:, 0], y - centre[:, 1]
        cross, dot = middle[:, 0] * vy - middle[:, 1] * vx, middle[:, 0] * vx + middle[:, 1] * vy
        within = np.abs(np.arctan2(cross, dot)) <= half
        near = np.where(within, np.abs(np.hypot(vx, vy) - radius), np.inf)
        near = np.minimum(near, np.hypot(x - ends[:, 0], y - ends[:, 1]))
        near = np.minimum(near, np.hypot(x - ends[:, 2], y - ends[:, 3]))
        found = np.minimum(found, near.min(axis=1))
    return found


# Keeping -----------------------------------------------------------------------------------------


def _kept(elements: Sequence[_Element], pieces: Sequence[Piece], by: float) -> list[_Kept]:
    """What of the elements is no nearer to the contour than the offset, in their order."""
    if not elements:
        return []
    cuts: list[set[float]] = [{0.0, 1.0} for _ in elements]
    for i, s, j, t in _crossings(elements):
        cuts[i].add(s)
        cuts[j].add(t)
    parts = [
        (element, first, last)
        for element, shares in zip(elements, cuts, strict=True)
        for first, last in _steps(sorted(shares), element.piece.length)
    ]
    if not parts:
        return []
    middles = np.array([e.piece.at((first + last) / 2.0) for e, first, last in parts])
    fine = distances(middles, pieces) >= by - _NEARER
    found: list[_Kept] = []
    before = False
    for (element, first, last), stays in zip(parts, fine.tolist(), strict=True):
        if stays and before and found[-1].element is element and found[-1].last == first:
            found[-1] = replace(found[-1], last=last)
        elif stays:
            found.append(_Kept(element, first, last))
        before = stays
    return found


def _steps(shares: list[float], length: float) -> Iterator[tuple[float, float]]:
    """From one share to the next, those that are too near each other taken for one."""
    first = shares[0]
    for share in shares[1:-1]:
        if (share - first) * length > _SAME and (1.0 - share) * length > _SAME:
            yield first, share
            first = share
    if (shares[-1] - first) * length > _SAME / 10.0:
        yield first, shares[-1]


def _chained(kept: list[_Kept], by: float) -> list[_Kept] | None:
    """What is kept, each cut off where the next begins; None if they do not follow one another."""
    run = list(kept)
    little = 0.01 * by + 1e-3
    i, left = 0, 4 * len(run) + 4
    while i < len(run) and left:
        left -= 1
        j = (i + 1) % len(run)
        one, other = run[i], run[j]
        if _together(one.piece, other.piece):
            i += 1
            continue
        trimmed = _trimmed(one, other, little)
        if trimmed is not None:
            run[i], run[j] = trimmed
            i += 1
        elif len(run) > 2 and min(one.length, other.length) < little:
            # a remnant as short as this can be a hair within the offset and not be seen to be
            del run[j if other.length < one.length else i]
            i = max(0, i - 2)
        else:
            return None
    closed = all(_together(a.piece, b.piece) for a, b in zip(run, run[1:] + run[:1], strict=True))
    return run if closed else None


def _together(one: Piece, other: Piece) -> bool:
    return math.hypot(other.x0 - one.x1, other.y0 - one.y1) < _SAME


def _trimmed(one: _Kept, other: _Kept, little: float) -> tuple[_Kept, _Kept] | None:
    """Both cut off where they cross, little before the end of one and after the other's start."""
    best = None
    for point in _meetings(one.element.piece, other.element.piece):
        s, t = _share(one.element.piece, point), _share(other.element.piece, point)
        if s is None or t is None or not one.first < s <= one.last:
            continue
        if not other.first <= t < other.last:
            continue
        lost = one.element.piece.length * (one.last - s)
        lost += other.element.piece.length * (t - other.first)
        if lost < little and (best is None or lost < best[0]):
            best = lost, replace(one, last=s), replace(other, first=t)
    return None if best is None else best[1:]


def _joined(run: Sequence[_Kept]) -> Contour:
    """The pieces as one contour, each pair of ends drawn together."""
    pieces = [kept.piece for kept in run]
    vertices = []
    for before, piece in zip(pieces[-1:] + pieces[:-1], pieces, strict=True):
        bulge = 0.0 if piece.is_line else piece.bulge
        x, y = (before.x1 + piece.x0) / 2.0, (before.y1 + piece.y0) / 2.0
        vertices.append(Vertex(x, y, bulge))
    return Contour(tuple(vertices))


# Refusing ----------------------------------------------------------------------------------------


def _foot(kept: _Kept, end: bool, pieces: Sequence[Piece], right: float) -> Point:
    """The point of the contour that an end of what is kept belongs to."""
    place = kept.element.place
    if place != int(place):
        source = pieces[int(place)]
        return source.x1, source.y1
    angle = kept.piece.angle_at(1.0 if end else 0.0)
    x, y = kept.piece.at(1.0 if end else 0.0)
    return x - right * math.sin(angle), y + right * math.cos(angle)


def _worn(one: _Kept, other: _Kept, pieces: Sequence[Piece], right: float) -> None:
    """Refuse where what has vanished between two neighbours was an opening, and not a corner."""
    count = len(pieces)
    between = (other.element.place - one.element.place) % count
    gone = []
    number = math.floor(one.element.place) + 1
    while number - one.element.place < between:
        gone.append(pieces[number % count])
        number += 1
    if not gone:
        return
    p, q = _foot(one, True, pieces, right), _foot(other, False, pieces, right)
    met = one.piece.at(1.0)
    if one.element.tight and other.element.tight and math.dist(p, q) > _SAME:
        middle = ((p[0] + q[0]) / 2.0, (p[1] + q[1]) / 2.0)
        raise OffsetError("an opening closes", middle, math.dist(p, q), right)
    deepest = max(math.dist(met, piece.at(share)) for piece in gone for share in (0.0, 0.5, 1.0))
    if deepest > DEEPEST * abs(right):
        first, last = one.element.place, other.element.place
        walls = [pieces[math.floor(first)], *gone, pieces[math.ceil(last) % count]]
        at, width = _facing(walls, p, q)
        raise OffsetError("a slot closes", at, width, right)


def _facing(walls: Sequence[Piece], p: Point, q: Point) -> tuple[Point, float]:
    """The narrowest place between pieces that face each other, with its width [mm]."""
    best = ((p[0] + q[0]) / 2.0, (p[1] + q[1]) / 2.0), math.dist(p, q)
    for i, one in enumerate(walls):
        for other in walls[i + 2 :]:
            for share in np.linspace(0.0, 1.0, 33).tolist():
                away = math.remainder(one.angle_at(share) - other.angle_at(0.5), math.tau)
                if math.pi - abs(away) > math.radians(45.0):
                    continue
                a = one.at(share)
                width = float(distances(np.array([a]), [other])[0])
                if width < best[1]:
                    best = _towards(a, other, width), width
    return best


def _towards(point: Point, piece: Piece, width: float) -> Point:
    """Half way from a point to the nearest point of a piece."""
    shares = np.linspace(0.0, 1.0, 65).tolist()
    x, y = min((piece.at(share) for share in shares), key=lambda one: math.dist(one, point))
    return (point[0] + x) / 2.0, (point[1] + y) / 2.0


def _narrow(contour: Contour, by: float) -> OffsetError:
    """What happens to a contour with no parallel one of its own shape, as Shapely sees it."""
    import shapely

    size = abs(by)
    region = shapely.Polygon(contour.points(min(0.001, size / 100.0)))
    if by > 0.0:
        region = shapely.box(*region.bounds).buffer(3.0 * size + 1.0).difference(region)

    def parts_of(area: Any, off: float) -> list[Any]:
        left = area.buffer(-off, quad_segs=32)
        return [part for part in getattr(left, "geoms", [left]) if part.area > 1e-6]

    def parts(off: float) -> list[Any]:
        return parts_of(region, off)

    left = parts(size)
    if not left:
        half = shapely.maximum_inscribed_circle(region).length
        middle = max(parts(half * 0.998), key=lambda part: part.area, default=region).centroid
        return OffsetError("all of it closes", (middle.x, middle.y), 2.0 * half, by)
    if len(left) > 1:
        low, high = 0.0, size
        while high - low > 1e-4 * size:
            half = (low + high) / 2.0
            low, high = (low, half) if len(parts(half)) > 1 else (half, high)
        apart = parts(high)
        hair = shapely.union_all(parts(low)).difference(
            shapely.union_all(apart).buffer(3.0 * (high - low))
        )

        def reach(sliver: Any) -> float:  # to the farther of the two parts that it joins
            return float(sorted(shapely.distance(sliver, apart))[1])

        slivers = [part for part in getattr(hair, "geoms", [hair]) if not part.is_empty]
        neck = min(slivers, key=reach, default=None)
        if neck is None:  # two corners face each other
            neck = shapely.shortest_line(apart[0], shapely.union_all(apart[1:]))
        x, y = neck.centroid.coords[0]
        reason = "a neck parts, and the contour falls in two," if by < 0.0 else "an opening closes"
        return OffsetError(reason, (float(x), float(y)), 2.0 * high, by)
    # as wide as the offset takes to a hair: a little more shows where
    wider = 1.002 * size
    where = region.difference(region.buffer(-wider, quad_segs=32).buffer(wider + _TRUE))
    lost = max(getattr(where, "geoms", [where]), key=lambda part: part.area)
    if lost.is_empty:
        middle = region.representative_point()
        return OffsetError("the parallel contour crosses itself", (middle.x, middle.y), None, by)
    half = shapely.maximum_inscribed_circle(lost).length
    middle = max(parts_of(lost, half * 0.998), key=lambda part: part.area, default=lost).centroid
    return OffsetError("a slot closes", (middle.x, middle.y), 2.0 * half, by)


def _verified(contour: Contour, made: Contour, by: float, corners: str) -> None:
    """Refuse what is not simple, runs the other way round, or is not as far off as asked."""
    import shapely

    points = made.points(_FLAT)
    if len(points) < 3 or made.area * contour.area <= 0.0:
        raise _narrow(contour, by)
    if not shapely.Polygon(points).is_valid:
        raise _narrow(contour, by)
    pieces = [piece for piece in contour.pieces if piece.chord > 1e-9]
    tried = np.array([piece.at(share) for piece in made.pieces for share in _LOOKED_AT])
    off = distances(tried, pieces)
    most = abs(by) * (1.0 if corners == "round" else LIMIT) + _TRUE
    wrong = np.flatnonzero((off < abs(by) - _TRUE) | (off > most))
    if len(wrong):
        x, y = tried[wrong[0]].tolist()
        raise OffsetError("the parallel contour is not at its distance", (x, y), None, by)


_LOOKED_AT = (0.0, 0.1, 0.3, 0.5, 0.7, 0.9)
"""Shares of each piece of the finished contour at which its distance is measured."""
