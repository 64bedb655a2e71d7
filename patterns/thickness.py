"""How thick the blade is, over its side view, and what follows: volume, bit, areas.

The blade's thickness at a point is the lesser of two: the straight taper between the thickness
stations, and the bevel, ``2 d tan(edge angle / 2)`` at a distance ``d`` from the edge. The bit is a
plate inside it, as thick as it was forged and thinned by its scarf at the back.

Sums over the side view are taken round its outline (Green's theorem): the sum of ``f`` over the
area is the sum of ``F dy`` round the contour, where ``F`` is the sum of ``f`` along x up to the
point. ``F`` is found by Gauss's rule between the places where ``f`` has a kink.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from .contour import Piece
from .graph import Array, along
from .outline import Edge

_AROUND, _AROUND_WEIGHTS = np.polynomial.legendre.leggauss(4)
_ALONG, _ALONG_WEIGHTS = np.polynomial.legendre.leggauss(5)
WIDEST_TURN = math.radians(12.0)
"""Arcs of the outline are cut into parts that turn no further than this before they are summed."""


@dataclass(frozen=True)
class Moments:
    """Sums over an area: of the thickness [mm3], and of the thickness times x and y [mm4]."""

    volume: float
    x: float = 0.0
    y: float = 0.0

    def __add__(self, other: Moments) -> Moments:
        return Moments(self.volume + other.volume, self.x + other.x, self.y + other.y)

    def __sub__(self, other: Moments) -> Moments:
        return self + other.times(-1.0)

    def moved(self, by: float) -> Moments:
        """The same sums with the origin of x set back."""
        return Moments(self.volume, self.x + by * self.volume, self.y)

    def times(self, factor: float) -> Moments:
        return Moments(factor * self.volume, factor * self.x, factor * self.y)


@dataclass(frozen=True)
class BitSection:
    """The bit across the edge, as it lies in the blade [mm]; ``depth`` counts from the edge."""

    thickness: float
    depth: float
    scarf: float
    tip: float

    @property
    def area(self) -> float:
        """Area of the section before the edge is formed [mm2]."""
        return (
            self.thickness * (self.depth - self.scarf)
            + (self.thickness + self.tip) * self.scarf / 2.0
        )


@dataclass(frozen=True)
class BladeSums:
    """Sums over the blade ahead of the first station."""

    steel: Moments
    bit: Moments
    area: float
    """Side-view area [mm2]."""
    bit_area: float
    """Area over which the bit shows on the face [mm2]."""
    rim: float
    """Sum of the thickness along top and bottom [mm2], bit and body."""
    rim_bit: float

    def moved(self, by: float) -> BladeSums:
        """The same sums with the origin of x set back."""
        return replace(self, steel=self.steel.moved(by), bit=self.bit.moved(by))


@dataclass(frozen=True)
class Blade:
    """The blade's thickness: stations (x, thickness), edge, bevel, bit."""

    stations: tuple[tuple[float, float], ...]
    edge: Edge
    edge_angle: float
    bit: BitSection

    def moved(self, by: float) -> Blade:
        """Carried along the head."""
        stations = tuple((x + by, t) for x, t in self.stations)
        return replace(self, stations=stations, edge=self.edge.moved(by))

    @property
    def start(self) -> float:
        """x of the first station [mm]."""
        return self.stations[0][0]

    @property
    def slope(self) -> float:
        """Thickness gained for each millimetre from the edge, in the bevel."""
        return 2.0 * math.tan(self.edge_angle / 2.0)

    @cached_property
    def _table(self) -> Array:
        return np.array(self.stations).T

    def taper(self, x: Array) -> Array:
        """Thickness by the stations alone [mm]; level beyond the last."""
        places, thicknesses = self._table
        return np.asarray(np.interp(x, places, thicknesses))

    def depth(self, x: Array, y: Array) -> Array:
        """Distance from the edge [mm], 0 outside; behind the arc's centre it no longer changes."""
        ahead = np.maximum(x - self.edge.x, 0.0)
        return np.maximum(self.edge.radius - np.hypot(ahead, y - self.edge.y), 0.0)

    def thickness(self, x: Array, y: Array) -> Array:
        """Thickness of the finished blade [mm]."""
        return np.minimum(self.taper(x), self.slope * self.depth(x, y))

    def bit_thickness(self, x: Array, y: Array) -> Array:
        """Thickness of the bit inside the blade [mm]; it never reaches behind the arc's centre."""
        b = self.bit
        d = self.depth(x, y)
        plate = np.interp(d, (0.0, b.depth - b.scarf, b.depth), (b.thickness, b.thickness, b.tip))
        there = (d < b.depth) & (x >= self.edge.x)
        return np.where(there, np.minimum(plate, self.thickness(x, y)), 0.0)

    def at_depth(self, d: float | Array, y: Array) -> Array:
        """x at which the depth behind the edge is ``d``, at height y [mm]."""
        inside = (self.edge.radius - d) ** 2 - (y - self.edge.y) ** 2
        return self.edge.x + np.sqrt(np.maximum(inside, 0.0))

    def bevel_line(self, y: Array) -> Array:
        """x at which bevel and taper meet, at height y [mm]."""
        before = self.at_depth(0.0, y)
        x = self.at_depth(self.taper(before) / self.slope, y)
        moved = x - before
        for _ in range(4):  # the secant's rule on the step that a plain repeat would take
            step = self.at_depth(self.taper(x) / self.slope, y) - x
            fall = moved - step
            ahead = np.divide(
                step * (x - before), fall, out=step.copy(), where=np.abs(fall) > 1e-12
            )
            before, x, moved = x, x + ahead, step
        return x

    @property
    def bevel_width(self) -> float:
        """Width of the ground bevel at the edge's foremost point [mm]."""
        y = np.array([self.edge.y])
        return float(self.at_depth(0.0, y)[0] - self.bevel_line(y)[0])

    def sums(self, rims: Sequence[Piece]) -> BladeSums:
        """Add up the blade ahead of the first station.

        ``rims`` are the outline's bottom and top, run counter-clockwise as it is; the edge, and the
        first station where nothing is left to sum, close it.
        """
        b = self.bit
        # heights at which a kink comes to lie at the arc's centre, and its line runs level
        bevel = float(self.taper(np.array(self.edge.x))) / self.slope
        rings = (b.depth, b.depth - b.scarf, b.thickness / self.slope, bevel)
        level = [self.edge.y + side * (self.edge.radius - d) for d in rings for side in (-1.0, 1.0)]
        places = [s[0] for s in self.stations]
        rim = _samples(rims, places, self.start, level)
        edge = _samples([self.edge.piece], places, self.start, level)
        x, y, _, dy = np.concatenate([rim, edge], axis=1)
        knee = self.at_depth(b.thickness / self.slope, y)
        kinks = [self.at_depth(b.depth, y), self.at_depth(b.depth - b.scarf, y), knee,
                 self.bevel_line(y)]  # fmt: skip
        cuts = np.stack([np.full_like(y, s[0]) for s in self.stations] + kinks + [x], axis=1)
        cuts = np.sort(np.clip(cuts, self.start, x[:, None]), axis=1)
        spans = np.diff(cuts, axis=1)
        within = cuts[:, :-1, None] + spans[:, :, None] * ((_ALONG + 1.0) / 2.0)
        weights = spans[:, :, None] * (_ALONG_WEIGHTS / 2.0)
        depth = self.depth(within, y[:, None, None])
        steel = np.minimum(self.taper(within), self.slope * depth)
        plate = np.interp(
            depth, (0.0, b.depth - b.scarf, b.depth), (b.thickness, b.thickness, b.tip)
        )
        there = (depth < b.depth) & (within >= self.edge.x)
        bit = np.where(there, np.minimum(plate, steel), 0.0)

        def moments(field: Array) -> Moments:
            along = (field * weights).sum(axis=(1, 2))
            along_x = (field * within * weights).sum(axis=(1, 2))
            return Moments(
                float(np.dot(along, dy)), float(np.dot(along_x, dy)), float(np.dot(along * y, dy))
            )

        rx, ry, rdx, rdy = rim
        run = np.hypot(rdx, rdy)
        return BladeSums(
            moments(steel),
            moments(bit),
            float(np.dot(x - self.start, dy)),
            float(np.dot(np.maximum(x - np.maximum(knee, self.start), 0.0), dy)),
            float(np.dot(self.thickness(rx, ry), run)),
            float(np.dot(self.bit_thickness(rx, ry), run)),
        )


def _samples(
    pieces: Sequence[Piece], cuts: Sequence[float], start: float, heights: Sequence[float] = ()
) -> tuple[Array, Array, Array, Array]:
    """Places on the pieces ahead of ``start``, with the weighted steps dx and dy there.

    The pieces are cut where they cross the places ``cuts`` and the ``heights``.
    """
    whole: list[Piece] = []
    parts: list[tuple[float, float]] = []
    for p in pieces:
        if max(p.x0, p.x1) < start and (p.bulge == 0.0 or abs(p.sweep) < math.pi / 2):
            continue
        reach, turn = p.reach, abs(p.sweep)
        shares = [0.0, 1.0]
        middle = (p.x0 + p.x1) / 2.0
        for place in cuts:
            if abs(place - middle) <= reach:
                shares += p.shares_at_x(place)
        middle = (p.y0 + p.y1) / 2.0
        for height in heights:
            if abs(height - middle) <= reach:
                shares += Piece(p.y0, p.x0, p.y1, p.x1, -p.bulge).shares_at_x(height)
        for a, b in itertools.pairwise(sorted(set(shares))):
            count = max(1, math.ceil(turn * (b - a) / WIDEST_TURN))
            width = (b - a) / count
            parts += [(a + width * i, width) for i in range(count)]
            whole += [p] * count
    first, width = (column[:, None] for column in np.array(parts).T)
    x, y, dx, dy = along(whole, first + width * ((_AROUND + 1.0) / 2.0))
    weights = width * (_AROUND_WEIGHTS / 2.0)
    ahead = x.mean(axis=1) >= start  # no part crosses it: it is one of the cuts
    x, y, dx, dy = (field[ahead].ravel() for field in (x, y, dx * weights, dy * weights))
    return x, y, dx, dy
