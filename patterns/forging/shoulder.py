"""The shoulder step, and what the finishing drift does to the wall behind it.

The straps are thinned from the bar ``T`` to the wall ``t`` and leave a step on the inner face, the
*shoulder*. Folded, the two shoulders meet and close the front of the eye: the *front cap*. *Step*
is the length of the shoulder's face over its height: 1 for a square one, more for a ramp.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from .common import positive


@dataclass(frozen=True)
class Wall:
    """A wall of the eye, laid straight.

    Attributes
    ----------
    length
        Length along the strap [mm].
    thickness
        Thickness [mm].
    """

    length: float
    thickness: float


def _step(step: float) -> None:
    if not (step >= 1.0 and math.isfinite(step)):
        raise ValueError(
            f"the shoulder's face is at least as long as the shoulder is high; not {step:g} of it"
        )


def _stretch(stretch: float) -> None:
    if not (stretch >= 0.0 and math.isfinite(stretch)):
        raise ValueError(f"a drift cannot shorten a wall; its stretch is {100.0 * stretch:g} %")


def step_of_ramp(angle: float) -> float:
    """Length of a shoulder's face over its height, from the slope of the ramp.

    Parameters
    ----------
    angle : float
        Angle between the shoulder's face and the face of the bar [rad]; a right angle is square.

    Returns
    -------
    float
        Step [-], 1 or more.

    Raises
    ------
    ValueError
        If the angle is not between 0 and 90 degrees.

    Notes
    -----
    ``c = 1 / sin(a)``, for a flat face. A hollow of a quarter circle, as a fuller leaves it, is
    ``pi / 2`` = 1.57 of its height.

    Examples
    --------
    A ramp of 45 degrees:

    >>> from math import radians
    >>> round(step_of_ramp(radians(45.0)), 2)
    1.41
    """
    if not 0.0 < angle <= math.pi / 2.0 * (1.0 + 1e-12):
        raise ValueError(
            f"a shoulder slopes by more than 0 and at most 90 degrees; not {math.degrees(angle):g}"
        )
    return 1.0 / math.sin(min(angle, math.pi / 2.0))


def step_face(*, bar_thickness: float, wall: float, step: float = 1.0) -> float:
    """Length of the face of one shoulder.

    Parameters
    ----------
    bar_thickness : float
        Thickness of the bar behind the shoulder [mm].
    wall : float
        Thickness of the wall before it [mm].
    step : float, optional
        Length of the face over its height [-].

    Returns
    -------
    float
        Length [mm]; 0 where the wall is as thick as the bar.

    Raises
    ------
    ValueError
        If a size is not more than 0, if the wall is thicker than the bar, or if the step is less
        than 1.

    Notes
    -----
    ``c (T - t)``.

    Examples
    --------
    Bar 1/2 in, wall 1/4 in, square, in inches:

    >>> round(step_face(bar_thickness=12.7, wall=6.35) / 25.4, 3)
    0.25
    """
    positive(bar_thickness=bar_thickness, wall=wall)
    if wall > bar_thickness:
        raise ValueError(
            f"there is no shoulder: the wall of {wall:g} mm is thicker than the bar, "
            f"{bar_thickness:g} mm"
        )
    _step(step)
    return step * (bar_thickness - wall)


def cap_of_eye(*, bar_thickness: float, wall: float, step: float = 1.0) -> float:
    """Length of the eye's front that the two shoulders close.

    Parameters
    ----------
    bar_thickness : float
        Thickness of the bar behind the shoulders [mm].
    wall : float
        Thickness of the wall [mm].
    step : float, optional
        Length of a shoulder's face over its height [-].

    Returns
    -------
    float
        Front cap, along the eye's contour [mm].

    Raises
    ------
    ValueError
        As :func:`step_face`.

    Notes
    -----
    ``f = 2 c (T - t)``: one face from each side. Counted along the contour and not straight
    across, since a pointed eye is narrow for most of its length.

    Examples
    --------
    Bar 3/8 in, wall 3/16 in, square, in inches:

    >>> round(cap_of_eye(bar_thickness=9.525, wall=4.7625) / 25.4, 3)
    0.375
    """
    return 2.0 * step_face(bar_thickness=bar_thickness, wall=wall, step=step)


def drifted(*, length: float, thickness: float, stretch: float) -> Wall:
    """What a finishing drift makes of a wall.

    Parameters
    ----------
    length : float
        Length of the strap before drifting [mm].
    thickness : float
        Thickness before [mm].
    stretch : float
        Share by which the drift lengthens the wall [-].

    Returns
    -------
    Wall
        Length and thickness after.

    Raises
    ------
    ValueError
        If a size is not more than 0, or if the stretch is negative.

    Notes
    -----
    ``l (1 + e)`` and ``t / (1 + e)``, from the volume, with the height kept. A wall that nothing
    holds would give as much of its height as of its thickness, ``(1 + e)^(-1/2)`` of each, and so
    stay thicker by half of what is reckoned here. The whole wall is taken to stretch alike; where
    it is hotter or thinner it gives first.

    Examples
    --------
    A strap of 1 3/4 in, 1/4 in thick, drifted 3 % larger:

    >>> wall = drifted(length=44.45, thickness=6.35, stretch=0.03)
    >>> round(wall.length, 2), round(wall.thickness, 2)
    (45.78, 6.17)
    """
    positive(length=length, thickness=thickness)
    _stretch(stretch)
    grown = 1.0 + stretch
    return Wall(length * grown, thickness / grown)


def before_drifting(*, length: float, thickness: float, stretch: float) -> Wall:
    """What to draw, so that the drift makes the wanted wall of it.

    Parameters
    ----------
    length : float
        Length wanted when drifted [mm].
    thickness : float
        Thickness wanted when drifted [mm].
    stretch : float
        Share by which the drift lengthens the wall [-].

    Returns
    -------
    Wall
        Length to set the dividers to, and thickness to draw to.

    Raises
    ------
    ValueError
        If a size is not more than 0, or if the stretch is negative.

    Notes
    -----
    ``l / (1 + e)`` and ``t (1 + e)``, the inverse of :func:`drifted`.

    Examples
    --------
    For a wall of 1/4 in, 1 3/4 in long, with 3 % left to the drift:

    >>> strap = before_drifting(length=44.45, thickness=6.35, stretch=0.03)
    >>> round(strap.length, 2), round(strap.thickness, 2)
    (43.16, 6.54)
    """
    positive(length=length, thickness=thickness)
    _stretch(stretch)
    grown = 1.0 + stretch
    return Wall(length / grown, thickness * grown)


def cap_after_drifting(
    *, bar_thickness: float, wall: float, stretch: float, step: float = 1.0
) -> float:
    """Front cap of an eye once its walls are drifted thinner.

    Parameters
    ----------
    bar_thickness : float
        Thickness of the bar behind the shoulders [mm].
    wall : float
        Thickness of the wall before drifting [mm].
    stretch : float
        Share by which the drift lengthens the walls [-].
    step : float, optional
        Length of a shoulder's face over its height [-].

    Returns
    -------
    float
        Front cap, along the eye's contour [mm].

    Raises
    ------
    ValueError
        If a size is not more than 0, if the stretch is negative, or as :func:`step_face`.

    Notes
    -----
    ``f = 2 c (T - t / (1 + e))``: the wall thins and the bar behind the shoulder does not, so the
    step grows higher and the cap longer.

    Examples
    --------
    Bar 3/8 in, wall 3/16 in, drifted 4 % larger, in inches; it was 0.375:

    >>> round(cap_after_drifting(bar_thickness=9.525, wall=4.7625, stretch=0.04) / 25.4, 3)
    0.389
    """
    positive(wall=wall)
    _stretch(stretch)
    return cap_of_eye(bar_thickness=bar_thickness, wall=wall / (1.0 + stretch), step=step)
