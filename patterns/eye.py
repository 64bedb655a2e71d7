"""The forms of the eye: half a contour of lines and arcs, and the exact perimeter and area.

An eye lies along x from its back (0, 0) to its nose (length, 0) and is the same on both sides of
the x axis; only the half with positive y is kept. Every form is convex and smooth.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, lru_cache

from .contour import Contour, Piece
from .curves import laid

CURVE_TOLERANCE = 0.004
"""Largest distance [mm] between an ellipse or superellipse and its arcs."""


@dataclass(frozen=True)
class EyeForm:
    """Half an eye, from its back over the side to its nose, with its exact measures [mm, mm2]."""

    half: tuple[Piece, ...]
    length: float
    width: float
    perimeter: float
    area: float

    @cached_property
    def contour(self) -> Contour:
        """The whole eye, closed, counter-clockwise, its back at the origin."""
        other = [p.flipped() for p in self.half]
        back = [p.backwards() for p in reversed(self.half)]
        return Contour.of_pieces(other + back)


def ellipse_perimeter(length: float, width: float) -> float:
    """Perimeter of an ellipse by its complete elliptic integral, from the two axes.

    ``4 a E(m)`` with ``m = 1 - b^2/a^2``; E by the arithmetic-geometric mean (Abramowitz and
    Stegun, Handbook of Mathematical Functions, 1964, 17.6), to the last digit in six steps.

    >>> round(ellipse_perimeter(4.0, 2.0), 10)
    9.6884482205
    """
    a, b = max(length, width) / 2.0, min(length, width) / 2.0
    x, y, power, total = 1.0, b / a, 0.5, 0.5 * (1.0 - (b / a) ** 2)
    while x - y > 1e-15:
        x, y, gap = (x + y) / 2.0, math.sqrt(x * y), (x - y) / 2.0
        power *= 2.0
        total += power * gap * gap
    return 4.0 * a * math.pi / (2.0 * x) * (1.0 - total)


def _superellipse_radius(angle: float, a: float, b: float, n: float) -> tuple[float, float]:
    """Distance from the centre and its change with the polar angle."""
    c, s = abs(math.cos(angle)) / a, abs(math.sin(angle)) / b
    total = c**n + s**n
    r = total ** (-1.0 / n)
    # d(total)/d(angle) over the first quarter
    change = n * (-(c ** (n - 1)) * math.sin(angle) / a + s ** (n - 1) * math.cos(angle) / b)
    return r, -r / (n * total) * change


def superellipse_perimeter(length: float, width: float, exponent: float) -> float:
    """Perimeter of ``|x/a|^n + |y/b|^n = 1`` by Gauss's rule on the polar angle.

    Good to 1e-8 relative for exponents from 2 to 6.

    >>> round(superellipse_perimeter(4.0, 2.0, 3.0), 6)
    10.291164
    """
    a, b = length / 2.0, width / 2.0
    # the turn is sharp where the corner lies, so the quarter is cut there and towards its ends
    corner = math.atan2(b, a)
    cuts = [0.0]
    for low, high in ((0.0, corner), (corner, math.pi / 2.0)):
        cuts += [low + (high - low) * share for share in (0.02, 0.1, 0.3, 0.5, 0.7, 0.9, 0.98, 1.0)]
    total = 0.0
    for low, high in itertools.pairwise(cuts):
        half = (high - low) / 2.0
        for node, weight in _GAUSS:
            r, change = _superellipse_radius(low + half * (1.0 + node), a, b, exponent)
            total += weight * half * math.hypot(r, change)
    return 4.0 * total


_GAUSS = tuple(
    (sign * node, weight)
    for node, weight in (
        (0.1834346424956498, 0.3626837833783620),
        (0.5255324099163290, 0.3137066458778873),
        (0.7966664774136267, 0.2223810344533745),
        (0.9602898564975363, 0.1012285362903763),
    )
    for sign in (-1.0, 1.0)
)
"""Eight-point rule of Gauss and Legendre (Abramowitz and Stegun, 1964, table 25.4)."""


def teardrop(length: float, width: float, front_radius: float) -> EyeForm:
    """The hull of a circle of the width behind and one of ``front_radius`` at the nose.

    >>> round(teardrop(2.0, 0.625, 0.07).perimeter, 4)
    4.4731
    """
    if length - width < 1e-9:  # the rear circle is the whole eye
        return circle(length)
    R, r = width / 2.0, front_radius
    apart = length - R - r
    lean = math.acos((R - r) / apart)  # from the nose's direction to the common tangent's points
    straight = math.sqrt(apart**2 - (R - r) ** 2)
    c, s = math.cos(lean), math.sin(lean)
    half = (
        Piece(0.0, 0.0, R + R * c, R * s, -math.tan((math.pi - lean) / 4.0)),
        Piece(R + R * c, R * s, length - r + r * c, r * s),
        Piece(length - r + r * c, r * s, length, 0.0, -math.tan(lean / 4.0)),
    )
    perimeter = 2.0 * (R * (math.pi - lean) + straight + r * lean)
    area = R**2 * (math.pi - lean) + straight * (R + r) + r**2 * lean
    return EyeForm(tuple(p for p in half if p.chord > 1e-9), length, width, perimeter, area)


def stadium(length: float, width: float) -> EyeForm:
    """Two half circles of the width and straight sides; a circle where both are equal.

    >>> round(stadium(50.0, 20.0).perimeter, 6)
    122.831853
    """
    return teardrop(length, width, width / 2.0) if length > width else circle(length)


def circle(diameter: float) -> EyeForm:
    """A round eye."""
    r = diameter / 2.0
    quarter = -math.tan(math.pi / 8.0)
    half = (Piece(0.0, 0.0, r, r, quarter), Piece(r, r, diameter, 0.0, quarter))
    return EyeForm(half, diameter, diameter, math.pi * diameter, math.pi * r * r)


def superellipse(length: float, width: float, exponent: float) -> EyeForm:
    """``|x/a|^n + |y/b|^n = 1``: an ellipse for n = 2, nearer a rectangle as n grows."""
    a, b, n = length / 2.0, width / 2.0, exponent
    power = 1.0 / (n - 1.0)

    def quarter(t: float) -> tuple[float, float, float]:
        # the parameter runs evenly in the direction of the normal, where the arcs want it; the
        # normal (x^(n-1)/a^n, y^(n-1)/b^n) fixes the point
        turned = t * math.pi / 2.0
        u, v = math.cos(turned) * a, math.sin(turned) * b
        if t in (0.0, 1.0):
            return (0.0, 0.0, math.pi / 2.0) if t == 0.0 else (a, b, 0.0)
        us, vs = u**power, v**power
        total = (u * us + v * vs) ** (-1.0 / n)
        return a - a * us * total, b * vs * total, math.pi / 2.0 - turned

    back = laid(quarter, CURVE_TOLERANCE, 3)
    front = [Piece(length - p.x1, p.y1, length - p.x0, p.y0, p.bulge) for p in reversed(back)]
    area = (
        4.0 * a * b * math.gamma(1.0 + 1.0 / n) ** 2 / math.gamma(1.0 + 2.0 / n)
    )  # Gradshteyn and Ryzhik, by way of the beta function
    perimeter = (
        ellipse_perimeter(length, width)
        if n == 2.0
        else superellipse_perimeter(length, width, exponent)
    )
    return EyeForm((*back, *front), length, width, perimeter, area)


@lru_cache(256)
def eye_form(
    form: str, length: float, width: float, front_radius: float, exponent: float
) -> EyeForm:
    """An eye by the name of its form; ``front_radius`` and ``exponent`` where the form has them."""
    match form:
        case "teardrop":
            return teardrop(length, width, front_radius)
        case "stadium":
            return stadium(length, width)
        case "circle":
            return circle(length)
        case "ellipse":
            return superellipse(length, width, 2.0)
    return superellipse(length, width, exponent)


def perimeter_of(
    form: str, length: float, width: float, front_radius: float, exponent: float
) -> float:
    """The exact perimeter alone, without laying down the curve."""
    match form:
        case "ellipse":
            return ellipse_perimeter(length, width)
        case "superellipse":
            return superellipse_perimeter(length, width, exponent)
    return eye_form(form, length, width, front_radius, exponent).perimeter


def length_for(perimeter: float, measure: Callable[[float], float]) -> float:
    """The length at which ``measure`` (perimeter of a length, growing) gives the perimeter.

    >>> round(length_for(10 * math.pi, lambda d: math.pi * d), 9)
    10.0
    """
    low, high = 0.0, perimeter / 2.0
    for _ in range(200):
        middle = (low + high) / 2.0
        if measure(middle) < perimeter:
            low = middle
        else:
            high = middle
        if high - low < 1e-13 * perimeter:
            break
    return (low + high) / 2.0
