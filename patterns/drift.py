"""The drift that makes the eye: sections along its axis, marks, volume, and the bar for it.

From its small end backwards a drift has four parts. The *lead* is the section of the next part,
drawn in evenly all round, so that it enters the loop as it was folded. The *working part* is the
eye's own section, offset: less ahead, more behind, so that at one place it is the eye itself. The
*struck end* is long enough to be held, and is as stout as the working part where that ends; the
last of it is the *bevelled top*, drawn in all round, since a square edge there turns over under the
hammer and flies off. A drift is driven from the side on which the eye is the wider. A waisted eye
is driven from both sides, by one drift if both sides lean alike.

Hot iron shrinks as it cools, so the eye must be made too large by as much. The drift is driven on
until its girth, warm as it is itself, is the hot eye's girth:

``(p + 2 pi b) (1 + e_drift) = p (1 + e_eye)``

with ``p`` the eye's perimeter, ``b`` the offset on each side and ``e`` the elongations. An offset
is no likeness: a girth that is right leaves the length a little short and the width a little over
(:attr:`Drift.unlikeness`).

Areas and volumes are closed forms. The area of a convex contour offset by ``b`` is
``A + p b + pi b^2`` (Steiner), a quadratic along every part, so that the prismoidal rule sums it
exactly.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from .contour import Contour, Vertex
from .derived import eye_heights, eye_leans
from .eye import EyeForm
from .forging.density import steel_mass
from .forging.expansion import elongation
from .forging.scale import fraction_left
from .forging.spread import bite_clamped_to_limits, coefficient_of_spread
from .head import Head, grown
from .resize import INCH_THICKNESSES, METRIC_THICKNESSES
from .units import MM_PER_INCH

LEAST_TAPER = 1.0 / 100.0
"""How much wider a working part grows for each millimetre of its length, where the eye itself has
less taper, so that it can be driven in and knocked out again: our own choice."""

MOST_OFF = 0.02
"""Share of the eye's width by which that taper may make the drift wider or narrower than the eye
at either end of the wall: our own choice."""

SAME = 0.1
"""Offsets [mm] at the ends of the wall that are taken for the same: two sides of a waisted eye that
are within it ask for one drift; an eye that opens by less on one side is driven from the other."""

FINISHING = 900.0
"""Temperature of the eye when it is drifted for the last time [deg C]: our own assumption; a
cherry, by the tables of heat colours from a dark to a bright one."""

WARM = 200.0
"""Temperature of the drift itself at that moment [deg C]: our own assumption, for one that is
cooled between the blows."""

LEAD_SHARE = 0.6
"""Size of the small end, of the section where the working part begins: our own choice."""

LEAD_LENGTHS = 1.0
"""Length of the lead, of the eye's: our own choice."""

SPARE = MM_PER_INCH / 4.0
"""Working part that is left beyond its last mark, and ahead of a waist [mm]: our own choice."""

STRUCK = 2.0 * MM_PER_INCH
"""Length of the struck end, bevel and all [mm]: our own choice, to be held in tongs."""

BEVEL_SHARE = 0.7
"""Size of the struck face, of the struck end: our own choice; at 45 degrees on the broad sides."""

DRESSED = MM_PER_INCH / 64.0
"""Left on all round in forging, to be filed and ground off [mm]: our own choice."""

HEATS = 6
"""Heats in which a drift is forged: our own estimate."""


@dataclass(frozen=True)
class Part:
    """A part of a drift from ``start`` to ``end`` [mm] along it, counted from its small end.

    The section is the eye offset by ``offsets`` [mm] and then scaled about the axis by ``shares``;
    both run evenly from the one to the other, and only one of them changes in a part.
    """

    name: str
    start: float
    end: float
    offsets: tuple[float, float]
    shares: tuple[float, float] = (1.0, 1.0)

    @property
    def length(self) -> float:
        return self.end - self.start

    def at(self, s: float) -> tuple[float, float]:
        """Offset [mm] and share of the section at a place along the drift."""
        way = (s - self.start) / (self.end - self.start)
        (o0, o1), (k0, k1) = self.offsets, self.shares
        return o0 + (o1 - o0) * way, k0 + (k1 - k0) * way


@dataclass(frozen=True)
class Mark:
    """A mark across the drift: what it is, and how far from the small end [mm]."""

    name: str
    at: float


@dataclass(frozen=True)
class Drift:
    """A drift for an eye. Lengths [mm]; places are counted from the small end.

    ``side`` is where it goes in: above, below, or both. ``middle`` is the place of the eye's own
    section, ``hot`` that of the section to drive on to. ``mouths`` are the sides on which it goes
    in, each with the height of the wall there. ``slopes`` are the offset that each side gains for
    each millimetre of length, ahead of the middle and behind it. ``net`` is by what share the drift
    must be larger than the cold eye. ``off`` is what the drift at its cold place stands out of the
    eye on each side: where its leading end leaves the wall, and at each of the mouths.
    """

    eye: EyeForm
    side: str
    parts: tuple[Part, ...]
    middle: float
    hot: float
    mouths: tuple[tuple[str, float], ...]
    slopes: tuple[float, float]
    net: float
    off: tuple[tuple[str, float], ...]

    @property
    def length(self) -> float:
        """Over all [mm]."""
        return self.parts[-1].end

    def part(self, name: str) -> Part:
        """A part by its name: lead, working (both before and behind the middle), struck, bevel."""
        return next(part for part in self.parts if part.name == name)

    @property
    def working(self) -> tuple[float, float]:
        """Where the working part begins and ends [mm]."""
        return self.part("lead").end, self.part("struck").start

    @property
    def on(self) -> float:
        """How far it is driven on beyond its cold place [mm]."""
        return self.hot - self.middle

    def form_at(self, s: float) -> tuple[float, float]:
        """Offset [mm] and share of the section at a place.

        Raises :class:`ValueError` beyond the drift's ends.
        """
        if not 0.0 <= s <= self.length:
            raise ValueError(f"a place along the drift is 0 to {self.length:g} mm; not {s:g}")
        return next(part for part in self.parts if s <= part.end).at(s)

    def section(self, s: float) -> Contour:
        """The section at a place, the axis at the origin and the nose towards positive x."""
        offset, share = self.form_at(s)
        whole = grown(self.eye.contour, offset) if offset else self.eye.contour
        half = self.eye.length / 2.0
        return Contour(
            tuple(Vertex((v.x - half) * share, v.y * share, v.bulge) for v in whole.vertices)
        )

    def size(self, s: float) -> tuple[float, float]:
        """Length and width of the section at a place [mm]."""
        offset, share = self.form_at(s)
        return (
            share * (self.eye.length + 2.0 * offset),
            share * (self.eye.width + 2.0 * offset),
        )

    def area(self, s: float, left_on: float = 0.0) -> float:
        """Area of the section at a place [mm2], with so much left on all round [mm]."""
        return _area(self.eye, *self.form_at(s), left_on)

    def girth(self, s: float) -> float:
        """Perimeter of the section at a place [mm]."""
        offset, share = self.form_at(s)
        return share * (self.eye.perimeter + math.tau * offset)

    def stations(self, step: float) -> tuple[float, ...]:
        """Places every ``step`` [mm] from the small end, and the far end."""
        count = math.floor(self.length / step + 1e-9)
        places = [step * i for i in range(count + 1)]
        return (*places, self.length) if self.length - places[-1] > 1e-6 else tuple(places)

    def volume(self, left_on: float = 0.0) -> float:
        """Volume [mm3], with so much left on all round its sides [mm]."""
        total = 0.0
        for part in self.parts:
            areas = [
                _area(self.eye, *part.at(part.start + part.length * way), left_on)
                for way in (0.0, 0.5, 1.0)
            ]
            total += prismoid(part.length, *areas)
        return total

    @cached_property
    def mass(self) -> float:
        """Mass, dressed [g]."""
        return steel_mass(self.volume())

    @property
    def greatest(self) -> float:
        """The greatest section as forged [mm2]."""
        return max(self.area(p.end, DRESSED) for p in self.parts)

    @property
    def unlikeness(self) -> tuple[float, float]:
        """How far the section at the hot mark differs in length and in width from the eye made
        larger in its own likeness [mm]; the girths are the same."""
        long, wide = self.size(self.hot)
        grow = 1.0 + self.net
        return long - grow * self.eye.length, wide - grow * self.eye.width

    @property
    def marks(self) -> tuple[Mark, ...]:
        """Marks in their order: the two middles, and where the wall's end stands for each.

        A drift inside an eye hides its middle, so that the smith reads it at the wall's end.
        """
        found = [Mark("middle", self.middle), Mark("middle, hot", self.hot)]
        for side, height in self.mouths:
            found.append(Mark(f"{side}, cold", self.middle + height))
            found.append(Mark(f"{side}, hot", self.hot + height))
        return tuple(sorted(found, key=lambda mark: mark.at))


def prismoid(length: float, first: float, middle: float, last: float) -> float:
    """Volume [mm3] of a body whose section runs as a quadratic along its length [mm].

    ``L / 6 (A0 + 4 Am + A1)``, the prismoidal rule, exact up to a cubic. A bar that goes evenly
    from 10 x 40 to 4 x 60 mm over 100 mm:

    >>> prismoid(100.0, 400.0, 350.0, 240.0)
    34000.0
    """
    return length / 6.0 * (first + 4.0 * middle + last)


def _area(eye: EyeForm, offset: float, share: float, left_on: float) -> float:
    area = share**2 * (eye.area + eye.perimeter * offset + math.pi * offset**2)
    around = share * (eye.perimeter + math.tau * offset)
    return area + around * left_on + math.pi * left_on**2


def net_growth(finishing: float = FINISHING, warm: float = WARM) -> float:
    """By what share a drift must be larger than the cold eye, when both are hot.

    Both temperatures in deg C; both follow the elongation of EN 1993-1-2, 3.4.1.1.

    >>> round(net_growth(900.0, 20.0), 4), round(net_growth(900.0, 200.0), 4)
    (0.0118, 0.0095)
    """
    return (1.0 + elongation(finishing)) / (1.0 + elongation(warm)) - 1.0


def drifts(head: Head) -> tuple[Drift, ...]:
    """The drifts that a head's eye asks for: one; or two, for a waisted eye that leans unevenly.

    >>> from patterns import head, profiles
    >>> (one,) = drifts(head.finish(profiles.load("belt-hatchet").design))
    >>> one.side, round(one.size(one.middle)[0] / 25.4, 6), one.section(one.middle).bounds.width
    ('above', 1.75, 44.45)
    """
    design = head.design
    above, below = eye_heights(design)
    low, high = eye_leans(design)
    out_below, out_above = -low * below, high * above  # how far the ends stand out of the middle
    if min(out_below, out_above) <= SAME:
        if out_above >= out_below:
            return (_through(head, "above", (low, below), (high, above)),)
        return (_through(head, "below", (-high, above), (-low, below)),)
    lean = (out_below + out_above) / (above + below)
    if max(abs(lean * above - out_above), abs(lean * below - out_below)) <= SAME:
        return (_waisted(head, "both", lean, (("above", above, high), ("below", below, -low))),)
    return (
        _waisted(head, "above", high, (("above", above, high),)),
        _waisted(head, "below", -low, (("below", below, -low),)),
    )


def least_slope(head: Head) -> float:
    """The least offset that a drift for a head gains for each millimetre of its length [-].

    Half of :data:`LEAST_TAPER`, or less where the wall is so high that :data:`MOST_OFF` would be
    passed, or the sharpest bend of the eye would come to a point.
    """
    tall = max(eye_heights(head.design))
    sharpest = min(p.radius for p in head.eye.half)
    most = min(MOST_OFF * head.eye.width / 2.0, 0.5 * sharpest)
    return min(LEAST_TAPER / 2.0, most / tall)


def _through(
    head: Head, side: str, ahead: tuple[float, float], behind: tuple[float, float]
) -> Drift:
    """A drift that goes right through; of each side of the middle, lean and height of the wall."""
    least = least_slope(head)
    slopes = (max(ahead[0], least), max(behind[0], least))
    far = "below" if side == "above" else "above"
    off = (
        (far, -(slopes[0] - ahead[0]) * ahead[1]),
        (side, (slopes[1] - behind[0]) * behind[1]),
    )
    return _drift(head, side, ahead[1], slopes, ((side, behind[1]),), off)


def _waisted(
    head: Head, side: str, lean: float, mouths: tuple[tuple[str, float, float], ...]
) -> Drift:
    """A drift that goes as far as the waist; of each mouth its side, height and lean."""
    slope = max(lean, least_slope(head))
    off = tuple((name, (slope - own) * height) for name, height, own in mouths)
    heights = tuple((name, height) for name, height, _ in mouths)
    return _drift(head, side, SPARE, (slope, slope), heights, off)


def _drift(
    head: Head, side: str, ahead: float, slopes: tuple[float, float],
    mouths: tuple[tuple[str, float], ...], off: tuple[tuple[str, float], ...],
) -> Drift:  # fmt: skip
    eye, net = head.eye, net_growth()
    on = eye.perimeter * net / math.tau / slopes[1]
    lead = LEAD_LENGTHS * eye.length
    first, last = -slopes[0] * ahead, slopes[1] * (on + max(h for _, h in mouths) + SPARE)
    middle = lead + ahead
    end = middle + last / slopes[1]
    bevel = (1.0 - BEVEL_SHARE) / 2.0 * (eye.width + 2.0 * last)
    parts = (
        Part("lead", 0.0, lead, (first, first), (LEAD_SHARE, 1.0)),
        Part("working", lead, middle, (first, 0.0)),
        Part("working", middle, end, (0.0, last)),
        Part("struck", end, end + STRUCK - bevel, (last, last)),
        Part("bevel", end + STRUCK - bevel, end + STRUCK, (last, last), (1.0, BEVEL_SHARE)),
    )
    return Drift(eye, side, parts, middle, middle + on, mouths, slopes, net, off)


# Stock -------------------------------------------------------------------------------------------

ROUND, SQUARE = "round", "square"


@dataclass(frozen=True)
class Stock:
    """A bar that a drift can be forged from: its form and size, cut length [mm], mass [g].

    ``flattens`` is how wide it comes when it is hammered down to the drift's thickness with a flat
    face, by the law of spread [mm]; ``spreads`` whether that is as wide as the drift.
    """

    form: str
    size: float
    length: float
    mass: float
    flattens: float
    spreads: bool

    @property
    def area(self) -> float:
        """Of its section [mm2]."""
        return bar_area(self.form, self.size)


def bar_area(form: str, size: float) -> float:
    """Section of a round or square bar [mm2].

    >>> round(bar_area("round", 20.0), 3), bar_area("square", 20.0)
    (314.159, 400.0)
    """
    return math.pi * size**2 / 4.0 if form == ROUND else size**2


def stock(
    drift: Drift, *, units: str = "in", loss_per_heat: float, bite: float, heats: int = HEATS,
) -> tuple[Stock, ...]:  # fmt: skip
    """Bars as sold whose section is at least the drift's greatest, least section first.

    Of each form those sizes are given that lie between the least by section and the least that
    spreads to the drift's width by itself, at most :data:`SHOWN` of them. Drawing down lengthens;
    no bar is upset.

    Parameters
    ----------
    drift : Drift
    units : str
        ``"in"`` or ``"mm"``: of the sizes as sold.
    loss_per_heat : float
        Share lost to scale in one heat [-].
    bite : float
        Length of bar under one blow [mm].
    heats : int
        In how many heats the drift is forged.
    """
    sizes = INCH_THICKNESSES if units == "in" else METRIC_THICKNESSES
    volume = drift.volume(DRESSED) / fraction_left(heats, loss_per_heat=loss_per_heat)
    found: list[Stock] = []
    for form in (ROUND, SQUARE):
        found += _of_form(drift, form, sizes, volume, bite)
    return tuple(sorted(found, key=lambda bar: bar.area))


SHOWN = 4
"""Sizes of each form that are shown at the most."""


def _of_form(
    drift: Drift, form: str, sizes: tuple[float, ...], volume: float, bite: float
) -> Iterator[Stock]:
    long, wide = (size + 2.0 * DRESSED for size in drift.size(drift.working[1]))
    shown = 0
    for size in sizes:
        area = bar_area(form, size)
        if area < drift.greatest:
            continue
        flattens = flattened(math.sqrt(area), wide, bite)
        length = volume / area
        yield Stock(form, size, length, steel_mass(volume), flattens, flattens >= long)
        shown += 1
        if flattens >= long or shown == SHOWN:
            return


def flattened(side: float, thickness: float, bite: float) -> float:
    """How wide a square bar comes when it is hammered down to a thickness [mm].

    ``w1 = w0 (h0/h1)^s`` by the coefficient of spread, whose figures are from memory
    (:func:`forging.spread.coefficient_of_spread`); a round bar goes by the square of its section.

    >>> flattened(20.0, 25.0, 19.05)
    20.0
    """
    if thickness >= side:
        return side
    spread = coefficient_of_spread(bite=bite_clamped_to_limits(bite=bite, width=side), width=side)
    return float(side * (side / thickness) ** spread)
