"""How thick the blade is, over its side view, and what follows: volume, bit, areas.

The blade's thickness at a point is the lesser of two: the straight taper between the thickness
stations, and the bevel at a distance ``d`` from the edge. A flat bevel on both faces is
``2 d tan(a / 2)`` thick, ``a`` the edge angle, and ``d tan(a)`` on one face; a convex one begins at
the same angle and rounds into the cheek, ``s d (1 - d / 2 D)`` with ``s = 2 tan(a / 2)``, and ``D``
such that where the rounding ends it leans as the cheek does. The bit is a plate inside the blade,
or two outside it, as thick in all as it was forged and thinned by its scarf at the back.

Sums over the side view are taken round its outline (Green's theorem): the sum of ``f`` over the
area is the sum of ``F dy`` round the contour, where ``F`` is the sum of ``f`` along x up to the
point. ``F`` is found by Gauss's rule between the places where ``f`` has a kink.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from .contour import Piece
from .graph import Array, along
from .outline import Edge

_AROUND, _AROUND_WEIGHTS = np.polynomial.legendre.leggauss(4)
_ALONG, _ALONG_WEIGHTS = np.polynomial.legendre.leggauss(5)
TOUCH = 0.05
"""Over what length the lean of a cheek is taken [mm]."""
STEEPEST = 0.8
"""Taper between stations over the bevel's own, above which there is no bevel left."""
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
    """The bit across the edge, as it lies in the blade [mm]; ``depth`` counts from the edge.

    ``thickness`` and ``tip`` are of both legs together where it is ``overlaid``: then it shows on
    the faces as far as it reaches, and otherwise only where the bevel bares it.
    """

    thickness: float
    depth: float
    scarf: float
    tip: float
    overlaid: bool = False

    def plate(self, depth: Array) -> Array:
        """Thickness at places behind the edge [mm], its end not yet cut off."""
        from_edge = (0.0, self.depth - self.scarf, self.depth)
        return np.asarray(np.interp(depth, from_edge, (self.thickness, self.thickness, self.tip)))


NO_BIT = BitSection(0.0, 0.0, 0.0, 0.0)
"""Where the body's own steel hardens."""


@dataclass(frozen=True)
class Bevel:
    """The bevel behind the edge: thickness gained for each millimetre at the edge itself.

    A convex one is rounded as far back as its ``reach`` [mm], by a parabola that would be level at
    ``apex``; a flat one runs on. One on ``one_face`` leaves the other face flat as far as the edge.
    """

    slope: float
    reach: float = math.inf
    apex: float = math.inf
    one_face: bool = False

    def thickness(self, depth: Array) -> Array:
        """Thickness behind the edge [mm]; infinite beyond the reach."""
        if self.reach == math.inf:
            return np.asarray(self.slope * depth)
        rounded = self.slope * depth * (1.0 - depth / (2.0 * self.apex))
        return np.where(depth <= self.reach, rounded, math.inf)

    def depth(self, thickness: Array) -> Array:
        """How far behind the edge the bevel is so thick [mm]; infinite where it never is."""
        if self.reach == math.inf:
            return np.asarray(thickness / self.slope)
        left = 1.0 - 2.0 * thickness / (self.slope * self.apex)
        met = self.apex * (1.0 - np.sqrt(np.maximum(left, 0.0)))
        return np.where((left >= 0.0) & (met <= self.reach), met, math.inf)


def bevel_of(form: str, angle: float) -> Bevel:
    """The bevel of a form: both, one, or convex before it is rounded; the edge angle [rad]."""
    if form == "one":
        return Bevel(math.tan(angle), one_face=True)
    return Bevel(2.0 * math.tan(angle / 2.0))


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
    bevel: Bevel
    bit: BitSection

    def moved(self, by: float) -> Blade:
        """Carried along the head."""
        stations = tuple((x + by, t) for x, t in self.stations)
        return replace(self, stations=stations, edge=self.edge.moved(by))

    @property
    def start(self) -> float:
        """x of the first station [mm]."""
        return self.stations[0][0]

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
        return np.minimum(self.taper(x), self.bevel.thickness(self.depth(x, y)))

    def middle(self, thickness: Array) -> Array:
        """How far the middle of a section so thick lies off the head's middle plane [mm].

        With the bevel on one face the other is flat from the first station to the edge, and is
        drawn on the negative side.
        """
        if not self.bevel.one_face:
            return np.zeros_like(thickness)
        return (thickness - self.stations[0][1]) / 2.0

    def bit_thickness(self, x: Array, y: Array) -> Array:
        """Thickness of the bit inside the blade [mm]; it never reaches behind the arc's centre."""
        d = self.depth(x, y)
        return self._bit(x, d, np.minimum(self.taper(x), self.bevel.thickness(d)))

    def _bit(self, x: Array, depth: Array, steel: Array) -> Array:
        b = self.bit
        if b.depth == 0.0:
            return np.zeros_like(steel)
        there = (depth < b.depth) & (x >= self.edge.x)
        return np.where(there, np.minimum(b.plate(depth), steel), 0.0)

    def at_depth(self, d: float | Array, y: Array) -> Array:
        """x at which the depth behind the edge is ``d``, at height y [mm]."""
        inside = (self.edge.radius - d) ** 2 - (y - self.edge.y) ** 2
        return self.edge.x + np.sqrt(np.maximum(inside, 0.0))

    def bevel_line(self, y: Array) -> Array:
        """x at which bevel and taper meet, at height y [mm]; at the arc's centre where nowhere
        ahead of it they do."""
        edge = self.at_depth(0.0, y)
        return _meeting(lambda x: self.at_depth(self.bevelled(x), y), self.edge.x, edge)

    def bevel_ring(self, turn: Array) -> Array:
        """How far from the arc's centre bevel and taper meet, in directions from it [mm, rad]."""
        edge, level = self.edge, np.cos(turn)

        def met(r: Array) -> Array:
            return np.maximum(edge.radius - self.bevelled(edge.x + r * level), 0.0)

        return _meeting(met, 0.0, np.full_like(turn, edge.radius))

    def rounded(self, reach: float | None) -> Blade:
        """The blade with its flat bevel made convex, as far back as asked or as need be."""
        if reach is None:
            reach = self.rounds_in or self.edge.foremost - self.start
        slope, lean = self.bevel.slope, float(self._lean(np.array(reach)))
        return replace(self, bevel=Bevel(slope, reach, slope * reach / (slope - lean)))

    def _lean(self, depth: Array) -> Array:
        """Thickness that the cheek gains for each millimetre behind a depth, at the edge's foremost
        point; between none and what a shape may have beside the bevel's own."""
        x = self.edge.foremost - depth
        gained = (self.taper(x - TOUCH) - self.taper(x)) / TOUCH
        return np.clip(gained, 0.0, STEEPEST * self.bevel.slope)

    @cached_property
    def rounds_in(self) -> float | None:
        """The least that a convex bevel must reach back to be as thick as the cheek everywhere
        along the edge [mm]; None if ahead of the first station it never is."""
        y = np.linspace(self.edge.heel[1], self.edge.toe[1], 33)
        depths = np.linspace(0.0, self.edge.foremost - self.start, 257)[1:]
        cheek = self.taper(self.at_depth(depths[:, None], y)).max(axis=1)
        # s d (1 - d / 2 D) at d, with D from the cheek's lean there
        meets = depths * (self.bevel.slope + self._lean(depths)) / 2.0 >= cheek
        return float(depths[np.argmax(meets)]) if meets.any() else None

    def bevelled(self, x: Array) -> Array:
        """How far behind the edge the bevel is as thick as the taper is at x, or as it reaches."""
        return np.minimum(self.bevel.depth(self.taper(x)), self.bevel.reach)

    @property
    def bevel_width(self) -> float:
        """Width of the ground bevel at the edge's foremost point [mm]."""
        y = np.array([self.edge.y])
        return float(self.at_depth(0.0, y)[0] - self.bevel_line(y)[0])

    @property
    def cover(self) -> float:
        """How far behind the edge the bevel is as thick as the bit, so that body is left [mm]; the
        whole depth of a bit that no bevel is as thick as."""
        met = float(self.bevel.depth(np.array(self.bit.thickness)))
        return min(met, self.bit.depth)

    @property
    def _bared(self) -> float:
        """How far behind the edge the bit shows on the faces [mm]."""
        return self.bit.depth if self.bit.overlaid else self.cover

    def sums(self, rims: Sequence[Piece]) -> BladeSums:
        """Add up the blade ahead of the first station.

        ``rims`` are the outline's bottom and top, run counter-clockwise as it is; the edge, and the
        first station where nothing is left to sum, close it.
        """
        b = self.bit
        # heights at which a kink comes to lie at the arc's centre, and its line runs level
        bared = self._bared
        bevel = float(self.bevel.depth(self.taper(np.array(self.edge.x))))
        rings = [b.depth, b.depth - b.scarf, bared, bevel, self.bevel.reach]
        level = [self.edge.y + side * (self.edge.radius - d) for d in rings for side in (-1.0, 1.0)
                 if d < self.edge.radius]  # fmt: skip
        places = [s[0] for s in self.stations]
        rim = _samples(rims, places, self.start, level)
        edge = _samples([self.edge.piece], places, self.start, level)
        x, y, _, dy = np.concatenate([rim, edge], axis=1)
        knee = self.at_depth(bared, y)
        full = self.at_depth(self.cover, y)
        kinks = [self.at_depth(b.depth, y), self.at_depth(b.depth - b.scarf, y), full,
                 self.bevel_line(y)]  # fmt: skip
        cuts = np.stack([np.full_like(y, s[0]) for s in self.stations] + kinks + [x], axis=1)
        cuts = np.sort(np.clip(cuts, self.start, x[:, None]), axis=1)
        spans = np.diff(cuts, axis=1)
        within = cuts[:, :-1, None] + spans[:, :, None] * ((_ALONG + 1.0) / 2.0)
        weights = spans[:, :, None] * (_ALONG_WEIGHTS / 2.0)
        depth = self.depth(within, y[:, None, None])
        steel = np.minimum(self.taper(within), self.bevel.thickness(depth))
        bit = self._bit(within, depth, steel)

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


def _meeting(step: Callable[[Array], Array], low: float, edge: Array) -> Array:
    """Where ``step`` leads back to the same place: sought from the edge inwards, as far as ``low``.

    Of where the taper is taken, ``step`` tells where the bevel would be as thick.
    """
    before, x = edge, step(edge)
    moved = x - before
    for _ in range(4):  # the secant's rule on the step that a plain repeat would take
        left = step(x) - x
        fall = moved - left
        ahead = np.divide(left * (x - before), fall, out=left.copy(), where=np.abs(fall) > 1e-12)
        before, x, moved = x, x + ahead, left
    lost = np.abs(step(x) - x) > 1e-6
    if lost.any():  # where the depth turns too fast for it: halve what is left
        back, high = np.full_like(edge, low), edge
        for _ in range(40):
            half = (back + high) / 2.0
            met = step(half) >= half
            back, high = np.where(met, half, back), np.where(met, high, half)
        x = np.where(lost, high, x)
    return x


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
