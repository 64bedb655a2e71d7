"""A run of lines and arcs that never turns back in x, as a function of x; and sums along x."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from .contour import Piece

Array = NDArray[np.float64]

GAUSS_NODES, GAUSS_WEIGHTS = np.polynomial.legendre.leggauss(12)
# x = cos(pi s) crowds the nodes towards the ends of a span, where an arc may stand plumb and its
# height has a square root: in s the sum is smooth again.
_S = (GAUSS_NODES + 1.0) / 2.0
_SPREAD = (1.0 - np.cos(np.pi * _S)) / 2.0
_SPREAD_WEIGHTS = GAUSS_WEIGHTS / 2.0 * np.pi / 2.0 * np.sin(np.pi * _S)


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
    def _rows(self) -> tuple[Array, ...]:
        rows = []
        for p in self.pieces:
            slope = (p.y1 - p.y0) / (p.x1 - p.x0)
            if abs(p.bulge) < 1e-9:
                rows.append((p.x0, p.y0, slope, 0.0, 0.0))
            else:
                cx, cy = p.centre
                rows.append((cx, cy, 0.0, p.radius**2, 1.0 if p.bulge < 0 else -1.0))
        return tuple(np.array(column) for column in zip(*rows, strict=True))

    def __call__(self, x: Array) -> Array:
        """Heights [mm] at places x [mm] within the run."""
        cx, cy, slope, square, sign = self._rows
        i = np.clip(np.searchsorted(self.breaks, x, side="right") - 1, 0, len(cx) - 1)
        u = x - cx[i]
        return cy[i] + slope[i] * u + sign[i] * np.sqrt(np.maximum(square[i] - u * u, 0.0))


def nodes(breaks: Sequence[Array], low: float, high: float) -> tuple[Array, Array]:
    """Places and weights for sums from ``low`` to ``high`` that respect every break [mm]."""
    every = np.unique(np.clip(np.concatenate([*breaks, [low, high]]), low, high))
    spans = np.diff(every)
    x = every[:-1, None] + spans[:, None] * _SPREAD
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
