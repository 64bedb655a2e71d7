"""Drawing out: how much of the thinning goes into width and how much into length.

*Bite* is the length of bar, measured along it, that hammer and anvil squeeze at one blow.
*Spread* is the coefficient ``s``: 0 when the bar only lengthens, 1 when it only widens.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..sources import (
    BITE_SHARE_LEAST,
    BITE_SHARE_MOST,
    SPREAD_CONSTANT,
    SPREAD_LINEAR,
    SPREAD_QUADRATIC,
)
from .common import positive


@dataclass(frozen=True)
class Drawn:
    """A length of bar after drawing out.

    Attributes
    ----------
    thickness
        Thickness [mm].
    width
        Width [mm].
    length
        Length along the bar [mm].
    """

    thickness: float
    width: float
    length: float

    @property
    def volume(self) -> float:
        """Volume [mm3]."""
        return self.thickness * self.width * self.length


def coefficient_of_spread(*, bite: float, width: float) -> float:
    """Coefficient of spread of a flat hammer on a hot bar.

    Parameters
    ----------
    bite : float
        Length of contact along the bar [mm].
    width : float
        Width of the bar before the blow [mm].

    Returns
    -------
    float
        Coefficient of spread ``s`` [-].

    Raises
    ------
    ValueError
        If bite over width lies outside 0.25 to 2, where the equation was not tried; beyond 3.33
        it would even fall.

    Notes
    -----
    ``s = 0.14 + 0.36 (b/w) - 0.054 (b/w)^2``. The coefficients are from memory and their
    attribution is unconfirmed: a starting value, to be adjusted to trial pieces. For hot steel
    between flat tools; a peen or a fuller is no flat tool.

    References
    ----------
    A. Tomlinson and J. D. Stringer, Journal of the Iron and Steel Institute 193 (1959), 157-162.

    Examples
    --------
    A 1 in bite on a bar 1 1/2 in wide:

    >>> round(coefficient_of_spread(bite=25.4, width=38.1), 3)
    0.356
    """
    positive(bite=bite, width_of_the_bar=width)
    share = bite / width
    least, most = BITE_SHARE_LEAST.value, BITE_SHARE_MOST.value
    if not least <= share <= most:
        raise ValueError(
            f"a bite of {bite:.1f} mm on a bar {width:.1f} mm wide is {share:.2f} of the width; "
            f"the spread is known from {least:g} to {most:g}, that is for bites of "
            f"{least * width:.1f} to {most * width:.1f} mm"
        )
    return SPREAD_CONSTANT.value + SPREAD_LINEAR.value * share + SPREAD_QUADRATIC.value * share**2


def bite_clamped_to_limits(*, bite: float, width: float) -> float:
    """The bite nearest to the one wanted for which the spread is known.

    Parameters
    ----------
    bite : float
        Bite wanted [mm].
    width : float
        Width of the bar before the blow [mm].

    Returns
    -------
    float
        Bite between 0.25 and 2 widths [mm]; whoever asks should say that it was changed.

    Raises
    ------
    ValueError
        If a size is not more than 0.

    Examples
    --------
    A 1/4 in peen on a bar 1 1/2 in wide is reckoned as 3/8 in:

    >>> bite_clamped_to_limits(bite=6.35, width=38.1)
    9.525
    """
    positive(bite=bite, width_of_the_bar=width)
    return min(max(bite, BITE_SHARE_LEAST.value * width), BITE_SHARE_MOST.value * width)


def symmetric_spread(*, bite: float, width: float) -> float:
    """Coefficient of spread if the metal beside the bite did not hold it back.

    Parameters
    ----------
    bite : float
        Length of contact along the bar [mm].
    width : float
        Width of the bar before the blow [mm].

    Returns
    -------
    float
        Coefficient of spread ``s`` [-].

    Raises
    ------
    ValueError
        If a size is not more than 0.

    Notes
    -----
    ``s = b / (b + w)``: a squeezed pad moves towards its nearer sides, and a square pad moves
    both ways alike. A derivation from symmetry, kept apart from
    :func:`coefficient_of_spread` as a check: for a square bite the cold metal on either side
    makes the true spread less than one half.

    Examples
    --------
    >>> symmetric_spread(bite=25.4, width=25.4)
    0.5
    """
    positive(bite=bite, width_of_the_bar=width)
    return bite / (bite + width)


def drawn(
    *,
    thickness_before: float,
    thickness_after: float,
    width: float,
    length: float,
    spread: float,
) -> Drawn:
    """Width and length of a piece of bar once it is drawn thinner.

    Parameters
    ----------
    thickness_before, thickness_after : float
        Thickness before and after [mm].
    width : float
        Width before [mm].
    length : float
        Length before [mm].
    spread : float
        Coefficient of spread [-], 0 (only longer) to 1 (only wider).

    Returns
    -------
    Drawn
        The piece after drawing; its volume is that before.

    Raises
    ------
    ValueError
        If a size is not more than 0, if the piece would grow thicker, or if the spread is
        outside 0 to 1.

    Notes
    -----
    ``w1/w0 = (h0/h1)^s`` and ``l1/l0 = (h0/h1)^(1 - s)``; the definition of the coefficient,
    with the volume kept. No scale is taken off.

    Examples
    --------
    A bar 1/2 x 1 1/2 in thinned to 1/4 in with 1 in bites, each inch of it:

    >>> strap = drawn(thickness_before=12.7, thickness_after=6.35, width=38.1, length=25.4,
    ...               spread=coefficient_of_spread(bite=25.4, width=38.1))
    >>> round(strap.width, 1), round(strap.length, 1)
    (48.8, 39.7)
    """
    positive(
        thickness_before=thickness_before,
        thickness_after=thickness_after,
        width=width,
        length=length,
    )
    if thickness_after > thickness_before:
        raise ValueError(
            f"drawing makes a bar thinner; {thickness_before:g} mm cannot be drawn to "
            f"{thickness_after:g} mm"
        )
    if not 0.0 <= spread <= 1.0:
        raise ValueError(f"the spread lies between 0 and 1; it is {spread:g}")
    ratio = thickness_before / thickness_after
    return Drawn(thickness_after, width * ratio**spread, length * ratio ** (1.0 - spread))


def spread_needed(
    *,
    thickness_before: float,
    thickness_after: float,
    width_before: float,
    width_after: float,
) -> float:
    """Coefficient of spread that a wanted width asks for.

    Parameters
    ----------
    thickness_before, thickness_after : float
        Thickness before and after [mm].
    width_before, width_after : float
        Width before and after [mm].

    Returns
    -------
    float
        Coefficient of spread [-]. Below 0 the bar must be set in on its edges; above 1 it would
        have to grow shorter.

    Raises
    ------
    ValueError
        If a size is not more than 0, or if the piece does not grow thinner.

    Notes
    -----
    ``s = ln(w1/w0) / ln(h0/h1)``, the inverse of :func:`drawn`.

    Examples
    --------
    Ears of 2 in from a bar 1 1/2 in wide that is thinned from 3/8 to 3/16 in:

    >>> round(spread_needed(thickness_before=9.525, thickness_after=4.7625,
    ...                     width_before=38.1, width_after=50.8), 3)
    0.415
    """
    positive(
        thickness_before=thickness_before,
        thickness_after=thickness_after,
        width_before=width_before,
        width_after=width_after,
    )
    if thickness_after >= thickness_before:
        raise ValueError(
            f"no width is gained without thinning; {thickness_before:g} mm does not grow thinner "
            f"at {thickness_after:g} mm"
        )
    return math.log(width_after / width_before) / math.log(thickness_before / thickness_after)
