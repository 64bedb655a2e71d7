"""Fair curves, laid down as arcs.

A curve through given points with given directions at its ends is the clamped cubic spline of its
chord lengths, whose curvature runs on without a jump; between two points it sets out less swiftly
where it would else bend both ways without need. Where it must go on from another curve it
takes that one's curvature at its end too: its *bend*, one over the radius, positive where the line
turns counter-clockwise. It is then replaced by pairs of arcs that share a tangent (biarcs), as many
as keep within a stated distance.

A *span* is one polynomial of such a curve by its control points, four or six of them.
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

_PAIRS = 3
"""Pairs of arcs that most spans of an outline are content with."""

_SHORT = 0.9
"""Of the way to where its end tangents meet, how far at most a curve's control points reach."""

_SWELL = 2.0 / 3.0
"""Of a flank: 1 would let its curvature grow all the way, 1/2 fall again before the end."""

Tangent = Callable[[float], tuple[float, float, float]]
"""From a parameter (0 to 1) to x, y and the direction of travel [rad]."""

Span = tuple[Point, ...]
"""Control points [mm] of one cubic (four) or quintic (six); the first and the last lie on it.

Taken the other way round they are the same line run backwards.
"""


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
    (x0, y0), (x1, y1) = start, end
    vx, vy = x1 - x0, y1 - y0
    ax, ay = math.cos(start_angle), math.sin(start_angle)
    bx, by = math.cos(end_angle), math.sin(end_angle)
    sx, sy = ax + bx, ay + by
    vv, vs = vx * vx + vy * vy, vx * sx + vy * sy
    lean = 2.0 * (1.0 - (ax * bx + ay * by))
    # the root written so that it stays exact as the directions become equal
    d = vv / (vs + math.sqrt(vs * vs + lean * vv))
    mx = (x0 + x1 + d * (ax - bx)) / 2.0
    my = (y0 + y1 + d * (ay - by)) / 2.0
    first = _turn(math.atan2(my - y0, mx - x0) - start_angle)
    second = _turn(end_angle - math.atan2(y1 - my, x1 - mx))
    pair = (
        Piece(x0, y0, mx, my, _bulge(2.0 * first)),
        Piece(mx, my, x1, y1, _bulge(2.0 * second)),
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
    x0, y0, x1, y1, bulge = p
    dx, dy = x1 - x0, y1 - y0
    chord = math.hypot(dx, dy)
    if chord == 0.0:
        return lambda x, y: math.inf
    if abs(bulge) < STRAIGHT:
        ux, uy = dx / chord, dy / chord
        return lambda x, y: abs(ux * (y - y0) - uy * (x - x0))
    k = 0.25 / bulge - 0.25 * bulge
    cx, cy = (x0 + x1) / 2.0 - k * dy, (y0 + y1) / 2.0 + k * dx
    radius = chord * abs(0.25 / bulge + 0.25 * bulge)
    hypot = math.hypot
    return lambda x, y: abs(hypot(x - cx, y - cy) - radius)


def _keeps(
    pair: tuple[Piece, Piece], curve: Tangent, t0: float, t1: float, tolerance: float
) -> bool:
    """Whether two arcs keep near a curve between two parameters."""
    first, second = _distance(pair[0]), _distance(pair[1])
    for share in _WITNESSES:
        x, y, _ = curve(t0 + (t1 - t0) * share)
        # the likelier of the two is asked first
        if share < 0.5:
            if first(x, y) > tolerance and second(x, y) > tolerance:
                return False
        elif second(x, y) > tolerance and first(x, y) > tolerance:
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


def along_span(span: Span) -> Tangent:
    """A span as a curve with its direction."""
    return _cubic(*span) if len(span) == 4 else _quintic(*span)


def _cubic(p0: Point, p1: Point, p2: Point, p3: Point) -> Tangent:
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


def _quintic(p0: Point, p1: Point, p2: Point, p3: Point, p4: Point, p5: Point) -> Tangent:
    (x0, y0), (x1, y1), (x2, y2), (x3, y3), (x4, y4), (x5, y5) = p0, p1, p2, p3, p4, p5
    u0, u1, u2, u3, u4 = x1 - x0, x2 - x1, x3 - x2, x4 - x3, x5 - x4
    v0, v1, v2, v3, v4 = y1 - y0, y2 - y1, y3 - y2, y4 - y3, y5 - y4

    def at(t: float) -> tuple[float, float, float]:
        s = 1.0 - t
        ss, tt, st = s * s, t * t, s * t
        a, b, c, d, e = ss * ss, 4.0 * ss * st, 6.0 * ss * tt, 4.0 * st * tt, tt * tt
        du = a * u0 + b * u1 + c * u2 + d * u3 + e * u4
        dv = a * v0 + b * v1 + c * v2 + d * v3 + e * v4
        a, b, c, d, e, f = s * a, 5.0 * t * a, s * c / 0.6, t * c / 0.6, 5.0 * s * e, t * e
        return (
            a * x0 + b * x1 + c * x2 + d * x3 + e * x4 + f * x5,
            a * y0 + b * y1 + c * y2 + d * y3 + e * y4 + f * y5,
            math.atan2(dv, du),
        )

    return at


def first_bend(part: Span | Piece) -> float:
    """Curvature [1/mm] with which a span or an arc sets out; none where it stands still.

    >>> first_bend(((0.0, 0.0), (1.0, 0.0), (2.0, 1.5), (3.0, 3.0)))
    1.0
    """
    if isinstance(part, Piece):
        return 0.0 if part.is_line else math.copysign(1.0 / part.radius, part.bulge)
    (x0, y0), (x1, y1), (x2, y2) = part[:3]
    leg = math.hypot(x1 - x0, y1 - y0)
    if leg == 0.0:
        return 0.0
    cross = (x1 - x0) * (y2 - y1) - (y1 - y0) * (x2 - x1)
    return (len(part) - 2) / (len(part) - 1) * cross / leg**3


def _reaches(start: Point, start_angle: float, end: Point, end_angle: float) -> Point:
    """How far along its tangents at start and end a curve's control points may lie [mm].

    Where both tangents meet on one side of the chord, nearly as far as that at the most, so that
    the curve bends one way only; elsewhere without end.
    """
    vx, vy = end[0] - start[0], end[1] - start[1]
    along = math.atan2(vy, vx)
    leave, arrive = _turn(along - start_angle), _turn(end_angle - along)
    turn = abs(leave + arrive)
    if leave * arrive <= 0.0 or turn > 3.0:
        return math.inf, math.inf
    reach = _SHORT * math.hypot(vx, vy) / math.sin(turn)
    return reach * math.sin(abs(arrive)), reach * math.sin(abs(leave))


def smooth(points: Sequence[Point], start_angle: float, end_angle: float | None) -> list[Span]:
    """A fair curve through points [mm], leaving and arriving at given directions [rad].

    Without an ``end_angle`` the curve ends as a plain arc would: with two points its direction at
    the end mirrors that at the start about the chord; with more it ends without curvature.
    """
    if len(points) == 2:
        (x0, y0), (x1, y1) = start, end = points
        if end_angle is None:
            along = math.atan2(y1 - y0, x1 - x0)
            end_angle = along - _turn(start_angle - along)
        third = math.dist(start, end) / 3.0
        first, last = (min(third, r) for r in _reaches(start, start_angle, end, end_angle))
        return [
            (
                start,
                (x0 + first * math.cos(start_angle), y0 + first * math.sin(start_angle)),
                (x1 - last * math.cos(end_angle), y1 - last * math.sin(end_angle)),
                end,
            )
        ]
    chords = [math.dist(a, b) for a, b in itertools.pairwise(points)]
    slopes = [
        _slopes(
            [p[axis] for p in points],
            chords,
            trig(start_angle),
            None if end_angle is None else trig(end_angle),
        )
        for axis, trig in ((0, math.cos), (1, math.sin))
    ]
    spans: list[Span] = []
    for i, chord in enumerate(chords):
        (x0, y0), (x1, y1) = points[i], points[i + 1]
        third = chord / 3.0
        spans.append(
            (
                (x0, y0),
                (x0 + third * slopes[0][i], y0 + third * slopes[1][i]),
                (x1 - third * slopes[0][i + 1], y1 - third * slopes[1][i + 1]),
                (x1, y1),
            )
        )
    return spans


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


def eased(
    start: Point, start_angle: float, start_bend: float,
    end: Point, end_angle: float, end_bend: float,
) -> Span:  # fmt: skip
    """A curve with given direction [rad] and bend [1/mm] at both ends."""
    fifth = math.dist(start, end) / 5.0
    # the second control point from either end lies twice as far along as the first
    a, b = (min(fifth, r / 2.0) for r in _reaches(start, start_angle, end, end_angle))
    (x0, y0), (x1, y1) = start, end
    c0, s0, c1, s1 = (f(d) for d in (start_angle, end_angle) for f in (math.cos, math.sin))
    aside, beside = 1.25 * start_bend * a**2, 1.25 * end_bend * b**2
    return (
        start,
        (x0 + a * c0, y0 + a * s0),
        (x0 + 2.0 * a * c0 - aside * s0, y0 + 2.0 * a * s0 + aside * c0),
        (x1 - 2.0 * b * c1 - beside * s1, y1 - 2.0 * b * s1 + beside * c1),
        (x1 - b * c1, y1 - b * s1),
        end,
    )


def flank(start: Point, angle: float, bend: float, end: Point) -> Span | None:
    """A curve that leaves in a direction [rad] with a bend [1/mm], and takes up what more it needs.

    Its curvature swells over the first part of the way and then holds; its direction at the end is
    its own. None if the end does not lie ahead.
    """
    c, s = math.cos(angle), math.sin(angle)
    dx, dy = end[0] - start[0], end[1] - start[1]
    ahead, aside = c * dx + s * dy, c * dy - s * dx
    if ahead < 0.5 * abs(aside):
        return None
    # from 0 to 1 it runs p u + (1 - p) u^2 of the way ahead, and rises as u^3
    first, second = ahead * _SWELL / 3.0, ahead * (1.0 + _SWELL) / 3.0
    rise = 1.5 * bend * first**2
    return (
        start,
        (start[0] + first * c, start[1] + first * s),
        (start[0] + second * c - rise * s, start[1] + second * s + rise * c),
        end,
    )


def swept(start: Point, start_angle: float, corner: Point, end: Point, fullness: float) -> Span:
    """A curve that leaves ``start``, swings round inside ``corner`` and arrives at ``end``.

    ``fullness`` (0 to 1) says how near it comes to the corner: 0.55 is about a quarter ellipse.
    """
    reach = math.dist(start, corner) * fullness
    return (
        start,
        (start[0] + reach * math.cos(start_angle), start[1] + reach * math.sin(start_angle)),
        (end[0] + (corner[0] - end[0]) * fullness, end[1] + (corner[1] - end[1]) * fullness),
        end,
    )


def arcs(parts: Sequence[Span | Piece]) -> tuple[Piece, ...]:
    """Spans and pieces that follow one another, laid down as lines and arcs."""
    pieces: list[Piece] = []
    for part in parts:
        if isinstance(part, Piece):
            pieces.append(part)
        else:
            pieces += laid(along_span(part), pairs=_PAIRS)
    return tuple(pieces)
