"""Lead-ins: where a cutting torch pierces, and how it comes from there to the contour.

A pierce blows a hole that is wider than the cut, so it lies in the scrap: outside an outline,
inside a hole. From there the torch comes to the contour by a quarter of a circle that ends tangent
to it, or straight and square to it, and goes round to where it came in.

The swirl of the gas leaves the cut squarer on the right-hand side of its travel. So an outline is
cut clockwise and a hole counter-clockwise: the part is always on the right, the scrap on the left.
That is common practice, and what the handbooks of hand and machine torches say.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np

from .contour import Contour, Piece, Point, Vertex
from .offset import distances

FORMS = ("arc", "straight")

PIERCE = 2.0
"""How far, over the clearance, a pierce lies off the contour at least: with half a kerf for the
clearance, a kerf. Common practice wants the pierce's own crater clear of the part."""
SHORTER = (1.0, 0.75, 0.5)
"""Shares of the length that are tried, where there is less room than asked."""
CORNER = math.radians(20.0)
"""A turn of more than this is a corner that a cut may begin at."""
_TANGENT = math.radians(0.1)
_LOOKS = np.linspace(0.0, 1.0, 65)
"""Shares of a lead at which its distances are measured, from the pierce on."""


class LeadError(ValueError):
    """There is no room for a lead-in; ``at`` is a place of the contour [mm]."""

    def __init__(self, reason: str, at: Point) -> None:
        self.reason, self.at = reason, at
        super().__init__(f"{reason} (at {at[0]:.2f}, {at[1]:.2f} mm)")


class Led(NamedTuple):
    """An open lead, from the pierce to the contour's first vertex, and the contour from there on.

    The contour runs clockwise if it is an outline and counter-clockwise if it is a hole.
    """

    lead: Contour
    contour: Contour

    @property
    def pierce(self) -> Point:
        first = self.lead.vertices[0]
        return first.x, first.y

    @property
    def path(self) -> Contour:
        """What the torch does, as one open run: the lead, and all the way round."""
        start = self.contour.vertices[0]
        vertices = (*self.lead.vertices[:-1], *self.contour.vertices, Vertex(start.x, start.y))
        return Contour(vertices, closed=False)


def with_lead(
    contour: Contour, *, inside: bool, length: float, clearance: float = 0.0,
    obstacles: Sequence[Contour] = (), form: str = "arc",
) -> Led:  # fmt: skip
    """A lead of ``length`` [mm] for a closed contour, which is an outline, or a hole (``inside``).

    The cut begins at the middle of a long line where it can, else at a corner of the part, else on
    an arc; never at a notch's point. ``clearance`` [mm], half a kerf, is how near the lead may come
    to the ``obstacles``: other contours, marks, the sheet's edge. The pierce lies at least
    :data:`PIERCE` times as far from the contour itself. Where there is no room, the lead is made
    shorter, to half; in a hole it comes from the middle then, straight, if that is far enough from
    the contour.

    Raises :class:`LeadError` where there is no room, :class:`ValueError` for an open contour.

    >>> led = with_lead(Contour.rectangle(0, 0, 40, 20), inside=False, length=6.0, form="straight")
    >>> led.pierce, led.contour.vertices[0][:2], led.contour.area
    ((20.0, 26.0), (20.0, 20.0), -800.0)
    >>> hole = with_lead(Contour.circle(0, 0, 3), inside=True, length=6.0, clearance=0.75)
    >>> hole.pierce, round(hole.lead.length, 9)
    ((0.0, 0.0), 3.0)
    """
    if not contour.closed:
        raise ValueError("the contour is open; a lead-in needs a closed one")
    if form not in FORMS:
        raise ValueError(f"the lead's form is {form!r}; it may be arc or straight")
    if not (length > 0.0 and math.isfinite(length) and clearance >= 0.0):
        raise ValueError(
            f"length {length!r} and clearance {clearance!r} must be more than 0, and 0"
        )
    if (contour.area > 0.0) != inside:
        contour = contour.reversed()
    pieces = contour.pieces
    walls = [piece for other in obstacles for piece in other.pieces if piece.chord > 0.0]
    starts = list(_starts(pieces, length))
    for share in SHORTER:
        for number, at in starts:
            lead = _lead(pieces[number], at, length * share, form)
            if _clear(lead, contour, walls, clearance, inside):
                return Led(lead, _from(contour, number, at))
    if inside:
        found = _from_middle(contour, length, walls, clearance)
        if found is not None:
            return found
    first = contour.vertices[0]
    room = "the hole is too small for" if inside else "there is no room outside the contour for"
    raise LeadError(f"{room} a lead-in of {SHORTER[-1] * length:.2f} mm or more",
                    (first.x, first.y))  # fmt: skip


def _starts(pieces: tuple[Piece, ...], length: float) -> Iterator[tuple[int, float]]:
    """Where a cut may begin, the best first: a piece's number and the share of its length."""
    by_length = sorted(range(len(pieces)), key=lambda i: (-round(pieces[i].length, 6), i))
    lines = [i for i in by_length if pieces[i].is_line]
    long = [i for i in lines if pieces[i].length >= length]
    for share in (0.5, 0.25, 0.75):
        yield from ((i, share) for i in long)
    turns = [
        math.remainder(piece.angle_at(0.0) - before.angle_at(1.0), math.tau)
        for before, piece in zip(pieces[-1:] + pieces[:-1], pieces, strict=True)
    ]
    yield from ((i, 0.0) for i in by_length if turns[i] < -CORNER)  # the part is on the right
    for i in by_length:
        if not pieces[i].is_line:
            yield i, 0.0 if abs(turns[i]) < _TANGENT else 0.5
    yield from ((i, 0.5) for i in lines if i not in long)


def _lead(piece: Piece, share: float, length: float, form: str) -> Contour:
    """The lead to a place on a piece, from its left."""
    (x, y), angle = piece.at(share), piece.angle_at(share)
    tx, ty = math.cos(angle), math.sin(angle)
    if form == "straight":
        return Contour.line((x - length * ty, y + length * tx), (x, y))
    radius = length / (math.pi / 2.0)
    quarter = math.tan(math.pi / 8.0)
    start = Vertex(x - radius * (ty + tx), y + radius * (tx - ty), quarter)
    return Contour((start, Vertex(x, y)), closed=False)


def _clear(
    lead: Contour, contour: Contour, walls: Sequence[Piece], clearance: float, inside: bool
) -> bool:
    """Whether a lead touches the contour at its end alone, from the right side, and keeps away from
    everything else."""
    import shapely

    (piece,) = lead.pieces
    points = np.array([piece.at(share) for share in _LOOKS.tolist()])
    if walls and float(distances(points, walls).min()) < clearance:
        return False
    off = distances(points[:-1], contour.pieces)
    if off[0] < PIERCE * clearance:
        return False
    # how far a straight contour would be off; a hollow one may come as near as a third of it
    left = piece.length * (1.0 - _LOOKS[:-1])
    free = left if piece.is_line else piece.radius * (1.0 - np.cos(left / piece.radius))
    if (off < free / 3.0).any():
        return False
    area = shapely.Polygon(contour.points())
    return bool(area.contains(shapely.Point(points[0])) == inside)


def _from_middle(
    contour: Contour, length: float, walls: Sequence[Piece], clearance: float
) -> Led | None:
    """A straight lead from the widest place of a hole to the nearest point of its contour."""
    import shapely

    fine = 1e-3
    line = shapely.maximum_inscribed_circle(shapely.Polygon(contour.points(fine)), fine)
    cx, cy = (float(c) for c in line.coords[0])
    best = None
    for number, piece in enumerate(contour.pieces):
        share = _nearest(piece, (cx, cy))
        away = math.dist(piece.at(share), (cx, cy))
        if best is None or away < best[0] - fine:
            best = away, number, share
    if best is None:
        return None
    away, number, share = best
    if away <= 0.0 or away < PIERCE * clearance:
        return None
    x, y = contour.pieces[number].at(share)
    part = min(1.0, length / away)
    lead = Contour.line((x + (cx - x) * part, y + (cy - y) * part), (x, y))
    if not _clear(lead, contour, walls, clearance, inside=True):
        return None
    return Led(lead, _from(contour, number, share))


def _nearest(piece: Piece, point: Point) -> float:
    """Share of a piece's length that lies nearest to a point."""
    x, y = point
    if piece.is_line:
        dx, dy = piece.x1 - piece.x0, piece.y1 - piece.y0
        share = ((x - piece.x0) * dx + (y - piece.y0) * dy) / (dx * dx + dy * dy)
        return min(1.0, max(0.0, share))
    (cx, cy), (mx, my) = piece.centre, piece.at(0.5)
    ux, uy, vx, vy = mx - cx, my - cy, x - cx, y - cy
    turn = math.atan2(ux * vy - uy * vx, ux * vx + uy * vy)
    return min(1.0, max(0.0, 0.5 + turn / piece.sweep))


def _from(contour: Contour, number: int, share: float) -> Contour:
    """The contour begun at a share of one of its pieces."""
    pieces = contour.pieces
    if share * pieces[number].length < 1e-6:
        return Contour(contour.vertices[number:] + contour.vertices[:number])
    if (1.0 - share) * pieces[number].length < 1e-6:
        number = (number + 1) % len(pieces)
        return Contour(contour.vertices[number:] + contour.vertices[:number])
    cut = pieces[number]
    first, last = cut.part(share, 1.0), cut.part(0.0, share)
    return Contour.of_pieces([first, *pieces[number + 1 :], *pieces[:number], last])
