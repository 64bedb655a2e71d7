"""Fair curves, laid down as arcs.

A curve through given points with given directions at its ends is the clamped cubic spline of its
chord lengths, whose curvature runs on without a jump. It is then replaced by pairs of arcs that
share a tangent (biarcs), as many as keep within a stated distance.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence

from .contour import STRAIGHT, Piece, Point

TOLERANCE = 0.008
"""Largest distance [mm] between a fair curve and its arcs at the places that are tried; between
them it may be a sixth more, which stays under 0.01 mm."""

_WITNESSES = (0.25, 0.375, 0.625, 0.75, 0.125, 0.875)
"""Where along a pair of arcs its distance from the curve is looked at, likeliest faults first."""

Tangent = Callable[[float], tuple[float, float, float]]
"""From a parameter (0 to 1) to x, y and the direction of travel [rad]."""


def arc(start: Point, end: Point, hollow: float) -> Piece:
    """The arc whose middle lies ``hollow`` [mm] to the right of the chord from start to end.

    >>> round(arc((0, 0), (10, 0), 1.0).at(0.5)[1], 9)
    -1.0
    """
    chord = math.dist(start, end)
    return Piece(*start, *end, 2.0 * hollow / chord)


def _bulge(turn: float) -> float:
    """Bulge of an arc that turns by an angle [rad]; none where rounding alone may have bent it."""
    bulge = math.tan(turn / 4.0)
    return 0.0 if abs(bulge) < STRAIGHT else bulge


def _turn(angle: float) -> float:
    """The same angle between -pi and pi."""
    return math.remainder(angle, math.tau)


def biarc(start: Point, start_angle: float, end: Point, end_angle: float) -> tuple[Piece, Piece]:
    """Two arcs with a common tangent, from one point and direction [rad] to another.

    Of the one-parameter family the pair with equal tangent lengths is taken; but where that would
    bend both ways although a convex pair exists, a line and one arc.
    """
    vx, vy = end[0] - start[0], end[1] - start[1]
    ax, ay = math.cos(start_angle), math.sin(start_angle)
    bx, by = math.cos(end_angle), math.sin(end_angle)
    sx, sy = ax + bx, ay + by
    vv, vs = vx * vx + vy * vy, vx * sx + vy * sy
    lean = 2.0 * (1.0 - (ax * bx + ay * by))
    # the root written so that it stays exact as the directions become equal
    d = vv / (vs + math.sqrt(vs * vs + lean * vv))
    mx = (start[0] + end[0] + d * (ax - bx)) / 2.0
    my = (start[1] + end[1] + d * (ay - by)) / 2.0
    first = _turn(math.atan2(my - start[1], mx - start[0]) - start_angle)
    second = _turn(end_angle - math.atan2(end[1] - my, end[0] - mx))
    pair = (
        Piece(*start, mx, my, _bulge(2.0 * first)),
        Piece(mx, my, *end, _bulge(2.0 * second)),
    )
    if pair[0].bulge * pair[1].bulge >= 0.0:
        return pair
    turn, lean = _turn(end_angle - start_angle), _turn(math.atan2(vy, vx) - start_angle)
    if 0.05 * turn * turn < lean * turn < 0.95 * turn * turn and abs(turn) < 3.0:
        # the two tangents' lengths as far as where they meet; the arc takes the shorter of each,
        # and must have some length to turn in
        ahead = math.sqrt(vv) * math.sin(turn - lean) / math.sin(turn)
        behind = math.sqrt(vv) * math.sin(lean) / math.sin(turn)
        bulge = _bulge(turn)
        if ahead > behind:
            mx, my = start[0] + (ahead - behind) * ax, start[1] + (ahead - behind) * ay
            return Piece(*start, mx, my), Piece(mx, my, *end, bulge)
        mx, my = end[0] - (behind - ahead) * bx, end[1] - (behind - ahead) * by
        return Piece(*start, mx, my, bulge), Piece(mx, my, *end)
    return pair


def _distance(p: Piece) -> Callable[[float, float], float]:
    """The distance of points from an arc's whole circle, or from the endless line."""
    if p.chord == 0.0:
        return lambda x, y: math.inf
    if p.is_line:
        ux, uy = (p.x1 - p.x0) / p.chord, (p.y1 - p.y0) / p.chord
        return lambda x, y: abs(ux * (y - p.y0) - uy * (x - p.x0))
    (cx, cy), radius = p.centre, p.radius
    return lambda x, y: abs(math.hypot(x - cx, y - cy) - radius)


def _keeps(
    pair: tuple[Piece, Piece], curve: Tangent, t0: float, t1: float, tolerance: float
) -> bool:
    """Whether two arcs keep near a curve between two parameters."""
    first, second = _distance(pair[0]), _distance(pair[1])
    for share in _WITNESSES:
        x, y, _ = curve(t0 + (t1 - t0) * share)
        if first(x, y) > tolerance and second(x, y) > tolerance:
            return False
    return True


def laid(curve: Tangent, tolerance: float = TOLERANCE, pairs: int = 2) -> list[Piece]:
    """A smooth curve as pairs of arcs, none further than ``tolerance`` [mm] from it.

    The parameter's range is first cut into ``pairs`` equal spans; a span whose arcs stand too far
    off is cut again.
    """
    steps = [(i / pairs, curve(i / pairs)) for i in range(pairs + 1)]
    spans = list(itertools.pairwise(steps))[::-1]
    pieces: list[Piece] = []
    while spans:
        (t0, a), (t1, b) = spans.pop()
        pair = biarc(a[:2], a[2], b[:2], b[2])
        if t1 - t0 > 1e-4 and not _keeps(pair, curve, t0, t1, tolerance):
            middle = ((t0 + t1) / 2.0, curve((t0 + t1) / 2.0))
            spans += [(middle, (t1, b)), ((t0, a), middle)]
        else:
            pieces += [piece for piece in pair if piece.chord > 1e-9]
    return pieces


def bezier(p0: Point, p1: Point, p2: Point, p3: Point) -> Tangent:
    """A cubic of four control points [mm] as a curve with its direction."""
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = p0, p1, p2, p3
    u0, u1, u2 = x1 - x0, x2 - x1, x3 - x2
    v0, v1, v2 = y1 - y0, y2 - y1, y3 - y2

    def at(t: float) -> tuple[float, float, float]:
        s = 1.0 - t
        e, f, g = s * s, 2.0 * s * t, t * t
        a, b, c, d = s * e, 3.0 * t * e, 3.0 * s * g, t * g
        return (
            a * x0 + b * x1 + c * x2 + d * x3,
            a * y0 + b * y1 + c * y2 + d * y3,
            math.atan2(e * v0 + f * v1 + g * v2, e * u0 + f * u1 + g * u2),
        )

    return at


def smooth(points: Sequence[Point], start_angle: float, end_angle: float | None) -> list[Piece]:
    """A fair curve through points [mm], leaving and arriving at given directions [rad].

    Without an ``end_angle`` the curve ends as a plain arc would: with two points its direction at
    the end mirrors that at the start about the chord; with more it ends without curvature.
    """
    chords = [math.dist(a, b) for a, b in itertools.pairwise(points)]
    if len(points) == 2 and end_angle is None:
        along = math.atan2(points[1][1] - points[0][1], points[1][0] - points[0][0])
        end_angle = along - _turn(start_angle - along)
    slopes = [
        _slopes(
            [p[axis] for p in points],
            chords,
            trig(start_angle),
            None if end_angle is None else trig(end_angle),
        )
        for axis, trig in ((0, math.cos), (1, math.sin))
    ]
    pieces: list[Piece] = []
    for i, chord in enumerate(chords):
        (x0, y0), (x1, y1) = points[i], points[i + 1]
        third = chord / 3.0
        pieces += laid(
            bezier(
                (x0, y0),
                (x0 + third * slopes[0][i], y0 + third * slopes[1][i]),
                (x1 - third * slopes[0][i + 1], y1 - third * slopes[1][i + 1]),
                (x1, y1),
            )
        )
    return pieces


def _slopes(
    values: Sequence[float], chords: Sequence[float], first: float, last: float | None
) -> list[float]:
    """Slopes of a cubic spline at its points: clamped at the start, clamped or free at the end."""
    n = len(values)
    diagonal, upper, right = [1.0], [0.0], [first]
    for i in range(1, n):
        h0 = chords[i - 1]
        rise0 = (values[i] - values[i - 1]) / h0
        if i < n - 1:
            h1 = chords[i]
            rise1 = (values[i + 1] - values[i]) / h1
            low, mid, high = h1, 2.0 * (h0 + h1), h0
            rhs = 3.0 * (h1 * rise0 + h0 * rise1)
        elif last is not None:
            low, mid, high, rhs = 0.0, 1.0, 0.0, last
        else:
            low, mid, high, rhs = 1.0, 2.0, 0.0, 3.0 * rise0
        factor = low / diagonal[-1]
        diagonal.append(mid - factor * upper[-1])
        upper.append(high)
        right.append(rhs - factor * right[-1])
    slopes = [right[-1] / diagonal[-1]]
    for i in range(n - 2, -1, -1):
        slopes.append((right[i] - upper[i] * slopes[-1]) / diagonal[i])
    return slopes[::-1]


def swept(
    start: Point, start_angle: float, corner: Point, end: Point, fullness: float
) -> list[Piece]:
    """A curve that leaves ``start``, swings round inside ``corner`` and arrives at ``end``.

    ``fullness`` (0 to 1) says how near it comes to the corner: 0.55 is about a quarter ellipse.
    """
    reach = math.dist(start, corner) * fullness
    return laid(
        bezier(
            start,
            (start[0] + reach * math.cos(start_angle), start[1] + reach * math.sin(start_angle)),
            (end[0] + (corner[0] - end[0]) * fullness, end[1] + (corner[1] - end[1]) * fullness),
            end,
        )
    )
