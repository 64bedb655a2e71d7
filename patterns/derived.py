"""What follows from the parameters alone, before anything is drawn."""

from __future__ import annotations

import math
from functools import lru_cache

from .eye import length_for, perimeter_of
from .forging import spread
from .forging.scale import fraction_left
from .parameters import Blade, Design, Eye, Hand


@lru_cache(256)
def eye_size(eye: Eye) -> tuple[float, float]:
    """Length and width of the eye [mm], found from the handle's perimeter where that was given.

    Raises :class:`ValueError` if neither pair is given.
    """
    if eye.perimeter is not None:
        ratio = 1.0 if eye.form == "circle" or eye.ratio is None else eye.ratio

        def measure(length: float) -> float:
            # a teardrop's nose is given as a radius; a trial eye may be too small for it
            nose = min(eye.front_radius, length / ratio / 2.0)
            return perimeter_of(eye.form, length, length / ratio, nose, eye.exponent)

        found = length_for(eye.perimeter, measure)
        return found, found / ratio
    if eye.length is None:
        raise ValueError("the eye has neither a length nor a perimeter")
    return eye.length, eye.length if eye.width is None else eye.width


def left_of_bar(design: Design) -> float:
    """Share of the bar that the fire leaves."""
    a = design.allowances
    return fraction_left(a.heats, loss_per_heat=a.scale_per_heat)


def poll_height(design: Design) -> float:
    """Height of the poll or of the eye's back [mm]: as asked for, or the bar's width."""
    return design.bar.width if design.poll.height is None else design.poll.height


def poll_left(design: Design) -> float:
    """Thickness of poll that the block of bar leaves after scale, at the poll's height [mm]."""
    bar = design.bar
    return bar.thickness * left_of_bar(design) * bar.width / poll_height(design)


@lru_cache(256)
def edge_arc(blade: Blade) -> tuple[float, float]:
    """Radius of the edge, and the height of its foremost point [mm].

    As asked for, the height half-way from toe to heel if it was not; or of the arc on which toe and
    heel lie as far back as was asked. With ``d`` the height of either corner from the foremost
    point and ``b`` how far it lies back, ``d^2 = 2 R b - b^2``.

    Raises :class:`ValueError` if the edge has neither a radius nor both corners, or if no arc that
    is foremost between them has these.
    """
    if blade.edge_radius is not None:
        half_way = (blade.toe - blade.heel) / 2.0
        return blade.edge_radius, half_way if blade.edge_centre is None else blade.edge_centre
    if blade.toe_back is None or blade.heel_back is None:
        raise ValueError("the edge has neither a radius nor both its corners' places")
    backs, tall = (blade.toe_back, blade.heel_back), blade.toe + blade.heel

    def reached(radius: float) -> tuple[float, ...]:
        return tuple(math.sqrt(max(2.0 * radius * back - back**2, 0.0)) for back in backs)

    low, high = max(backs), tall**2 / min(backs) + max(backs)
    if sum(reached(low)) > tall:
        raise ValueError("the corners lie further back than an arc between them turns")
    for _ in range(200):
        radius = (low + high) / 2.0
        low, high = (radius, high) if sum(reached(radius)) < tall else (low, radius)
        if high - low < 1e-13 * high:
            break
    radius = (low + high) / 2.0
    return radius, blade.toe - reached(radius)[0]


def eye_heights(design: Design) -> tuple[float, float]:
    """How far the wall stands above and below the centre line, at its highest [mm]."""
    half, ears = poll_height(design) / 2.0, design.ears
    if ears.form == "none" or ears.above is None or ears.below is None:
        return max(half, design.blade.neck_above), max(half, design.blade.neck_below)
    return ears.above, ears.below


def eye_leans(design: Design) -> tuple[float, float]:
    """How far each side of the eye leans out for each millimetre of height, below and above.

    A taper leans it one way from bottom to top; a flare out both ways from the middle.
    """
    above, below = eye_heights(design)
    taper, flare = design.eye.taper / 2.0 / (above + below), design.eye.flare / 2.0
    return taper - flare / below, taper + flare / above


def highest_ears(design: Design) -> float:
    """Height from tip to tip that no strap of this bar can pass [mm].

    Drawing only makes a section less: nowhere can a strap have more of it than fire leaves of the
    bar's.
    """
    wide = design.bar.width if design.fold.waist is None else design.fold.waist
    return design.bar.thickness * wide * left_of_bar(design) / design.wall.thickness


def hand_spread(width: float, hand: Hand) -> tuple[float, float]:
    """The bite that the spread is reckoned for [mm], and this hand's coefficient of spread.

    The bite is the nearest to the hand's own for which the spread is known on a bar of the width.
    """
    bite = spread.bite_clamped_to_limits(bite=hand.bite, width=width)
    known = spread.coefficient_of_spread(bite=bite, width=width)
    return bite, min(hand.spread * known, 1.0)


def mean_height(width: float, tips: float) -> float:
    """Of a strap whose flanks run straight from the bar's width to the tips of its ears [mm]."""
    return (width + tips) / 2.0


def tips_of(width: float, height: float) -> float:
    """From tip to tip, for a mean height; a strap drawn in has no ears, and is as high as it is.

    >>> tips_of(32.0, mean_height(32.0, 50.0)), tips_of(32.0, 24.0)
    (50.0, 24.0)
    """
    return max(2.0 * height - width, height)
