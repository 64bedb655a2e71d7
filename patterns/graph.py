"""A run of lines and arcs that never turns back in x, as a function of x; and sums along x."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from .contour import Piece

Array = NDArray[np.float64]

_STRAIGHT = 1e-9
"""A piece that turns less [rad] is taken for a line."""

GAUSS_NODES, GAUSS_WEIGHTS = np.polynomial.legendre.leggauss(12)
# x = cos(pi s) crowds the nodes towards the ends of a span, where an arc may stand plumb and its
# height has a square root: in s the sum is smooth again.
_S = (GAUSS_NODES + 1.0) / 2.0
_SPREAD = (1.0 - np.cos(np.pi * _S)) / 2.0
_SPREAD_WEIGHTS = GAUSS_WEIGHTS / 2.0 * np.pi / 2.0 * np.sin(np.pi * _S)


def along(pieces: Sequence[Piece], share: Array) -> tuple[Array, Array, Array, Array]:
    """Places on pieces at shares of their lengths, and how fast they run there.

    ``share`` has one row for each piece; so have x, y [mm], dx/d(share) and dy/d(share) [mm].

    >>> [column.tolist() for column in along([Piece(0, 0, 10, 5)], np.array([[0.2]]))]
    [[[2.0]], [[1.0]], [[10.0]], [[5.0]]]
    """
    rows = np.array([(p.x0, p.y0, p.x1 - p.x0, p.y1 - p.y0, p.sweep) for p in pieces])
    x0, y0, vx, vy, sweep = (column[:, None] for column in rows.T)
    # A point of an arc: the chord turned and shortened. sin(a)/sin(b) tends to a/b for a line.
    half, part = sweep / 2.0, sweep * share / 2.0
    straight = np.abs(sweep) < _STRAIGHT
    safe = np.where(straight, 1.0, np.sin(half))
    stretch = np.where(straight, share, np.sin(part) / safe)
    turn = part - half
    c, s = np.cos(turn) * stretch, np.sin(turn) * stretch
    x, y = x0 + c * vx - s * vy, y0 + s * vx + c * vy
    length = np.where(straight, 1.0, half / safe)
    heading = 2.0 * part - half
    c, s = np.cos(heading) * length, np.sin(heading) * length
    return x, y, c * vx - s * vy, s * vx + c * vy


class TurnsBackError(ValueError):
    """A run of pieces comes back in x, so that it has more than one height there."""


class Graph:
    """Heights of a run of pieces that goes from left to right.

    >>> Graph([Piece(0, 0, 10, 5)])(np.array([4.0])).tolist()
    [2.0]
    """

    def __init__(self, pieces: Iterable[Piece]) -> None:
        kept = [p for p in pieces if p.x1 != p.x0]
        if any(p.x1 < p.x0 for p in kept):
            raise TurnsBackError("the line turns back")
        self.breaks: Array = np.array([p.x0 for p in kept] + [kept[-1].x1])
        self.pieces = tuple(kept)

    @cached_property
    def _rows(self) -> Array:
        rows = []
        for p in self.pieces:
            slope = (p.y1 - p.y0) / (p.x1 - p.x0)
            if abs(p.bulge) < 1e-9:
                rows.append((p.x0, p.y0, slope, 0.0, 0.0))
            else:
                cx, cy = p.centre
                rows.append((cx, cy, 0.0, p.radius**2, 1.0 if p.bulge < 0 else -1.0))
        return np.array(rows).T

    def __call__(self, x: Array) -> Array:
        """Heights [mm] at places x [mm] within the run."""
        # the piece of each place is told by the breaks inside the run
        i = np.searchsorted(self.breaks[1:-1], x, side="right")
        cx, cy, slope, square, sign = self._rows.take(i, axis=1)
        u = x - cx
        return np.asarray(cy + slope * u + sign * np.sqrt(np.maximum(square - u * u, 0.0)))


def nodes(breaks: Sequence[Array], low: float, high: float) -> tuple[Array, Array]:
    """Places and weights for sums from ``low`` to ``high`` that respect every break [mm]."""
    every = np.concatenate([*breaks, [low, high]])
    every = every[(every >= low) & (every <= high)]
    every.sort()
    spans = every[1:] - every[:-1]
    kept = spans > 0.0
    every, spans = every[:-1][kept], spans[kept]
    x = every[:, None] + spans[:, None] * _SPREAD
    return x.ravel(), (spans[:, None] * _SPREAD_WEIGHTS).ravel()


def integral(
    f: Callable[[Array], Array], breaks: Sequence[Array], low: float, high: float
) -> float:
    """The sum of ``f(x) dx`` from ``low`` to ``high``.

    >>> quarter = Graph([Piece(-1, 0, 0, 1, -0.41421356237309503)])
    >>> round(4 * integral(quarter, [], -1, 0), 9)
    3.141592654
    """
    x, weights = nodes(breaks, low, high)
    return float(np.dot(f(x), weights))
