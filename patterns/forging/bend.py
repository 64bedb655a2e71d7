"""Bending: how much straight bar goes into a bend.

The *neutral line* is the line through the thickness that keeps its length. Where it runs is given
as a share of the thickness, from the inside of the bend: 0.5 is the middle. Angles are the turning
of the bar [rad]; a bend that folds the bar back on itself turns it by pi.
"""

from __future__ import annotations

import math

from ..sources import (
    DIN_K_BASE,
    DIN_K_LEVEL_FROM,
    DIN_K_MOST,
    DIN_K_SLOPE,
    DIN_OPENING_MOST,
    DIN_RADIUS_LEAST,
    HOT_NEUTRAL,
)
from .common import positive


def _share(neutral: float) -> None:
    if not 0.0 <= neutral <= 1.0:
        raise ValueError(
            f"the neutral line lies inside the bar, at 0 to 1 of its thickness; not {neutral:g}"
        )


def bend_length(
    *,
    turning: float,
    inside_radius: float,
    thickness: float,
    neutral: float = HOT_NEUTRAL.value,
) -> float:
    """Straight length that goes into a round bend (bend allowance).

    Parameters
    ----------
    turning : float
        Angle by which the bar turns [rad].
    inside_radius : float
        Radius on the inside of the bend [mm]; 0 for a sharp fold.
    thickness : float
        Thickness of the bar in the bend [mm].
    neutral : float, optional
        Neutral line as a share of the thickness from the inside [-].

    Returns
    -------
    float
        Length along the neutral line [mm].

    Raises
    ------
    ValueError
        If a size is negative, or if the neutral line lies outside the bar.

    Notes
    -----
    ``L = theta (r + K t)``. With ``K = 0.5`` it is the middle line, and by Pappus' theorem the
    volume of the bend is then exactly ``L t w``: a bend that is hammered back to an even section
    takes that much bar. A cold bend thins and takes less; see :func:`cold_neutral`.

    Examples
    --------
    Half round a 3/4 in drift with a wall of 1/4 in:

    >>> from math import pi
    >>> round(bend_length(turning=pi, inside_radius=9.525, thickness=6.35), 1)
    39.9
    """
    positive(thickness=thickness)
    if not (turning >= 0.0 and inside_radius >= 0.0):
        raise ValueError(
            f"turning and inside radius cannot be negative; they are {turning:g} rad and "
            f"{inside_radius:g} mm"
        )
    _share(neutral)
    return turning * (inside_radius + neutral * thickness)


def ring_stock(
    *, inside_diameter: float, thickness: float, neutral: float = HOT_NEUTRAL.value
) -> float:
    """Length of bar for a ring, without anything for the weld.

    Parameters
    ----------
    inside_diameter : float
        Inside diameter of the ring [mm].
    thickness : float
        Thickness of the bar [mm].
    neutral : float, optional
        Neutral line as a share of the thickness from the inside [-].

    Returns
    -------
    float
        Length [mm].

    Raises
    ------
    ValueError
        If a size is not more than 0, or if the neutral line lies outside the bar.

    Notes
    -----
    ``L = pi (d + 2 K t)``; with ``K = 0.5`` the smith's rule, inside diameter and thickness
    times 3 1/7.

    References
    ----------
    T. F. Googerty, Hand-Forging and Wrought-Iron Ornamental Work, 1911, p. 69.

    Examples
    --------
    A ring 10 in inside of 1 in bar, in inches:

    >>> round(ring_stock(inside_diameter=254.0, thickness=25.4) / 25.4, 2)
    34.56
    """
    positive(inside_diameter=inside_diameter)
    return bend_length(
        turning=math.tau,
        inside_radius=inside_diameter / 2.0,
        thickness=thickness,
        neutral=neutral,
    )


def din_k(*, inside_radius: float, thickness: float) -> float:
    """DIN factor k of a cold bend.

    Parameters
    ----------
    inside_radius : float
        Radius on the inside of the bend [mm].
    thickness : float
        Thickness of the flat bar or sheet [mm].

    Returns
    -------
    float
        Factor ``k`` [-]; the neutral radius is ``r + k s / 2``.

    Raises
    ------
    ValueError
        If the radius is less than 0.65 of the thickness; that limit is from memory.

    Notes
    -----
    ``k = 0.65 + 0.5 log10(r / s)`` up to a radius of five thicknesses, and 1 above. For cold
    bending of flat steel.

    References
    ----------
    DIN 6935, as quoted in German trade tables.

    Examples
    --------
    >>> round(din_k(inside_radius=6.0, thickness=5.0), 3)
    0.69
    """
    positive(inside_radius=inside_radius, thickness=thickness)
    ratio = inside_radius / thickness
    if ratio < DIN_RADIUS_LEAST.value:
        raise ValueError(
            f"a radius of {inside_radius:.1f} mm is {ratio:.2f} of the thickness; the cold rule "
            f"begins at {DIN_RADIUS_LEAST.value:g}, that is at "
            f"{DIN_RADIUS_LEAST.value * thickness:.1f} mm ({DIN_RADIUS_LEAST.basis.value})"
        )
    if ratio > DIN_K_LEVEL_FROM.value:
        return DIN_K_MOST.value
    return min(DIN_K_MOST.value, DIN_K_BASE.value + DIN_K_SLOPE.value * math.log10(ratio))


def cold_neutral(*, inside_radius: float, thickness: float) -> float:
    """Neutral line of a cold bend, as a share of the thickness from the inside.

    Parameters
    ----------
    inside_radius : float
        Radius on the inside of the bend [mm].
    thickness : float
        Thickness of the flat bar or sheet [mm].

    Returns
    -------
    float
        Share ``K`` [-], at most 0.5: the low bound for a wrapped strap.

    Raises
    ------
    ValueError
        As :func:`din_k`.

    Notes
    -----
    ``K = k / 2``, since DIN counts k in half thicknesses and the American K factor in whole ones.

    References
    ----------
    DIN 6935, as quoted in German trade tables.

    Examples
    --------
    A wall of 3/16 in round the back of a 5/8 in eye:

    >>> round(cold_neutral(inside_radius=7.9375, thickness=4.7625), 3)
    0.38
    """
    return din_k(inside_radius=inside_radius, thickness=thickness) / 2.0


def din_shortening(
    *, opening: float, inside_radius: float, thickness: float, k: float | None = None
) -> float:
    """What to take from the sum of two outside legs to get the straight length.

    Parameters
    ----------
    opening : float
        Angle between the legs of the bent piece [rad]; pi is straight.
    inside_radius : float
        Radius on the inside of the bend [mm].
    thickness : float
        Thickness of the flat bar or sheet [mm].
    k : float, optional
        DIN factor, where a chart is read instead of the formula [-].

    Returns
    -------
    float
        Shortening ``v`` [mm]; the straight length is ``a + b - v``. Negative for sharp openings
        with a large radius.

    Raises
    ------
    ValueError
        If the opening is not between 0 and pi, or as :func:`din_k`.

    Notes
    -----
    With ``alpha = pi - beta`` the turning: ``v = 2 (r + s) - alpha (r + k s / 2)`` up to a right
    angle, the legs then measured to the outermost point of the bend;
    ``v = 2 (r + s) tan(alpha / 2) - alpha (r + k s / 2)`` up to 165 degrees, the legs measured to
    the corner of the outer faces; 0 above, where the standard neglects it (a step of about a sixth
    of the thickness). For cold bending.

    References
    ----------
    DIN 6935, as quoted in German trade tables.

    Examples
    --------
    >>> from math import radians
    >>> round(din_shortening(opening=radians(90), inside_radius=4.0, thickness=2.0), 2)
    4.46
    """
    if not 0.0 < opening <= math.pi:
        raise ValueError(
            f"the legs open by more than 0 and at most 180 degrees; not {math.degrees(opening):g}"
        )
    if k is None:
        k = din_k(inside_radius=inside_radius, thickness=thickness)
    else:
        positive(inside_radius=inside_radius, thickness=thickness)
        _share(k / 2.0)
    if opening > DIN_OPENING_MOST.inside:
        return 0.0
    turning = math.pi - opening
    legs = 2.0 * (inside_radius + thickness)
    if opening > math.pi / 2.0:
        legs *= math.tan(turning / 2.0)
    return legs - bend_length(
        turning=turning, inside_radius=inside_radius, thickness=thickness, neutral=k / 2.0
    )


def wrapped_strap(
    *,
    perimeter: float,
    cap: float,
    turning: float,
    wall: float,
    neutral: float = HOT_NEUTRAL.value,
) -> float:
    """Straight length of the strip that is wrapped round an eye.

    Parameters
    ----------
    perimeter : float
        Perimeter of the eye [mm].
    cap : float
        Arc length of the foremost part of the eye, which the two shoulders close [mm].
    turning : float
        Angle by which the eye's contour turns outside that cap [rad]; 2 pi for a whole loop.
    wall : float
        Thickness of the wall [mm].
    neutral : float, optional
        Neutral line as a share of the wall from the eye outwards [-].

    Returns
    -------
    float
        Both straps and the strip of the poll between them, ``2 l + P`` [mm].

    Raises
    ------
    ValueError
        If perimeter or wall is not more than 0, if the cap is not shorter than the perimeter, if
        the turning is not between 0 and 2 pi, or if the neutral line lies outside the wall.

    Notes
    -----
    ``2 l + P = p - f + theta K t``. A line at the distance ``K t`` outside a convex contour is
    longer by ``K t`` times the angle through which the contour turns (Steiner, for parallel
    curves); nothing else about the eye's form matters. Only the wall is counted: the poll's block
    outside it, and metal in the poll's corners, are not.

    Examples
    --------
    An eye 2 in long of perimeter 4.473 in, closed by shoulders over 3/8 in, wall 3/16 in; with a
    poll 1 in wide each strap is, in inches:

    >>> strip = wrapped_strap(perimeter=4.4731 * 25.4, cap=0.375 * 25.4, turning=3.4426,
    ...                       wall=0.1875 * 25.4)
    >>> round((strip / 25.4 - 1.0) / 2.0, 2)
    1.71
    """
    positive(perimeter=perimeter, wall=wall)
    if not 0.0 <= cap < perimeter:
        raise ValueError(
            f"the shoulders close {cap:g} mm of the eye; that must be less than its perimeter, "
            f"{perimeter:g} mm"
        )
    if not 0.0 <= turning <= math.tau * (1.0 + 1e-9):
        raise ValueError(
            f"the wall turns by 0 to 360 degrees round an eye; not {math.degrees(turning):g}"
        )
    _share(neutral)
    return perimeter - cap + turning * neutral * wall
