"""Drawing out: how much of the thinning goes into width and how much into length.

*Bite* is the length of bar, measured along it, that hammer and anvil squeeze at one blow.
*Spread* is the coefficient ``s``: 0 when the bar only lengthens, 1 when it only widens. A flat face
moves metal all round; a peen moves it at right angles to its own length, so that a peen held across
the bar draws and one held along the bar spreads.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..sources import (
    BITE_SHARE_LEAST,
    BITE_SHARE_MOST,
    PEEN_NARROWEST,
    PEEN_WIDEST,
    SCALE_PER_HEAT_MOST,
    SPREAD_CONSTANT,
    SPREAD_LINEAR,
    SPREAD_QUADRATIC,
)
from .common import positive

MEASURING = 0.05
"""Share of a volume that rule and callipers may be out before a trial is refused: our own margin.

A 64th of an inch on a quarter is 6 %; callipers on cold steel do better.
"""


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


@dataclass(frozen=True)
class Trial:
    """What a trial piece showed.

    Attributes
    ----------
    spread
        Coefficient of spread, from width and length together [-].
    by_width
        The same from width and thickness alone [-].
    by_length
        The same from length and thickness alone [-].
    kept
        Volume after over volume before [-].
    """

    spread: float
    by_width: float
    by_length: float
    kept: float


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


def coefficient_of_peen(
    *, peen_width: float, peen_length: float, bar_width: float, along: bool
) -> float:
    """Coefficient of spread of a cross or straight peen on a hot bar.

    Parameters
    ----------
    peen_width : float
        Width of the peen, the narrow way [mm].
    peen_length : float
        Length of the peen [mm].
    bar_width : float
        Width of the bar before the blow [mm].
    along : bool
        Whether the peen is held along the bar, to spread it; else across, to draw it.

    Returns
    -------
    float
        Coefficient of spread ``s`` [-]: an estimate, over one half along the bar, under it across.

    Raises
    ------
    ValueError
        If a size is not more than 0, if the peen is narrower than 3/8 in or wider than 3/4 in, if
        it is no longer than wide, or if the bar is narrower than the peen.

    Notes
    -----
    ``s = b / (b + w)`` on the patch that the peen covers, ``b`` along the bar and ``w`` across:
    the symmetric estimate of :func:`symmetric_spread`, derived, its use for a peen not tried. That
    the metal moves at right angles to the peen is published; no figure for it is. A sharper peen
    leaves fissures that fold in, a wider one is a small face. A peen that is rounded touches with
    less than its width and works more strongly than this. Put in your own from a trial piece:
    :func:`spread_from_trial`.

    References
    ----------
    Controlled Hand Forging, lesson 18: using the peen.

    Examples
    --------
    A peen 1/2 in wide and 1 1/4 in long on a bar 1 1/2 in wide, along it and across it:

    >>> peen = {"peen_width": 12.7, "peen_length": 31.75, "bar_width": 38.1}
    >>> round(coefficient_of_peen(**peen, along=True), 2)
    0.71
    >>> round(coefficient_of_peen(**peen, along=False), 2)
    0.29
    """
    positive(peen_width=peen_width, peen_length=peen_length, width_of_the_bar=bar_width)
    least, most = PEEN_NARROWEST.inside, PEEN_WIDEST.inside
    if not least * (1.0 - 1e-9) <= peen_width <= most * (1.0 + 1e-9):
        raise ValueError(
            f"a peen {peen_width:g} mm wide is reckoned neither as a peen nor as a face; a "
            f"forging hammer's peen is {least:g} to {most:g} mm wide"
        )
    if peen_length <= peen_width:
        raise ValueError(
            f"a peen is longer than wide; {peen_length:g} mm by {peen_width:g} mm is a face"
        )
    if bar_width < peen_width:
        raise ValueError(
            f"the bar, {bar_width:g} mm wide, is narrower than the peen of {peen_width:g} mm"
        )
    if along:
        return symmetric_spread(bite=peen_length, width=peen_width)
    return symmetric_spread(bite=peen_width, width=min(peen_length, bar_width))


def thickness_to_peen_from(
    *,
    thickness_before: float,
    thickness_after: float,
    needed: float,
    face: float,
    peen: float,
) -> float:
    """Thickness at which to change from face to peen, so that a wanted width comes out.

    Parameters
    ----------
    thickness_before, thickness_after : float
        Thickness before and after both [mm].
    needed : float
        Coefficient of spread that the width asks for, as from :func:`spread_needed` [-].
    face : float
        Coefficient of spread of the face [-].
    peen : float
        Coefficient of spread of the peen [-], more or less than that of the face.

    Returns
    -------
    float
        Thickness at which to take up the peen [mm].

    Raises
    ------
    ValueError
        If a size is not more than 0, if the piece does not grow thinner, or if neither tool nor
        the two together give the spread that is needed.

    Notes
    -----
    ``h = h1 (h0/h1)^x`` with ``x = (s - s_face) / (s_peen - s_face)``: the widenings of the two
    tools multiply, so their coefficients mix by the logarithms of the thinning. By the same law
    the order does not matter to the width.

    Examples
    --------
    From 3/8 to 3/16 in, where 0.415 is needed, the face gives 0.306 and the peen 0.714; in inches:

    >>> round(thickness_to_peen_from(thickness_before=9.525, thickness_after=4.7625, needed=0.415,
    ...                              face=0.306, peen=0.714) / 25.4, 3)
    0.226
    """
    positive(thickness_before=thickness_before, thickness_after=thickness_after)
    if thickness_after >= thickness_before:
        raise ValueError(
            f"no width is gained without thinning; {thickness_before:g} mm does not grow thinner "
            f"at {thickness_after:g} mm"
        )
    low, high = min(face, peen), max(face, peen)
    if not (low <= needed <= high and low < high):
        raise ValueError(
            f"face and peen give a spread of {low:.2f} to {high:.2f}; {needed:.2f} is needed"
        )
    share = (needed - face) / (peen - face)
    return float(thickness_after * (thickness_before / thickness_after) ** share)


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


def spread_from_trial(
    *,
    thickness_before: float,
    thickness_after: float,
    width_before: float,
    width_after: float,
    length_before: float,
    length_after: float,
    heats: int = 1,
) -> Trial:
    """Coefficient of spread that a trial piece showed.

    Parameters
    ----------
    thickness_before, thickness_after : float
        Thickness before and after [mm].
    width_before, width_after : float
        Width before and after [mm].
    length_before, length_after : float
        Length between two marks before and after [mm].
    heats : int, optional
        Number of heats that the piece took; 0 for one drawn without scaling, as clay is.

    Returns
    -------
    Trial
        The coefficient, the two of the thickness beside it, and the share of the volume kept.

    Raises
    ------
    ValueError
        If a size is not more than 0, if the number of heats is negative, if the piece does not
        grow thinner, if it gained metal or lost more than scale can account for, or if it grew
        neither longer nor wider.

    Notes
    -----
    ``s = ln(w1/w0) / (ln(w1/w0) + ln(l1/l0))``, the inverse of :func:`drawn` by the two measures
    that a rule takes best: scale lies on the thickness most. From the thickness, ``s_w = ln(w1/w0)
    / ln(h0/h1)`` and ``s_l = 1 - ln(l1/l0) / ln(h0/h1)``; they part where metal was lost, by
    ``ln(kept) / ln(h0/h1)``. Kept may be anything between what is left after every heat took 3 %,
    and all; 5 % on either side are given to the measuring, a margin of our own. Measure cold.

    Examples
    --------
    A bar 1/2 x 1 1/2 in thinned to 1/4 in; 4 in became 6 3/16 in, and 1 29/32 in wide:

    >>> trial = spread_from_trial(thickness_before=12.7, thickness_after=6.35, width_before=38.1,
    ...                           width_after=48.42, length_before=101.6, length_after=157.16)
    >>> round(trial.spread, 2), round(trial.kept, 3)
    (0.35, 0.983)
    """
    positive(
        thickness_before=thickness_before,
        thickness_after=thickness_after,
        width_before=width_before,
        width_after=width_after,
        length_before=length_before,
        length_after=length_after,
    )
    if heats < 0:
        raise ValueError(f"the number of heats cannot be negative; it is {heats}")
    if thickness_after >= thickness_before:
        raise ValueError(
            f"a trial of drawing grows thinner; this one was {thickness_before:g} mm and is "
            f"{thickness_after:g} mm"
        )
    wider = math.log(width_after / width_before)
    longer = math.log(length_after / length_before)
    thinner = math.log(thickness_before / thickness_after)
    kept = math.exp(wider + longer - thinner)
    least = (1.0 - SCALE_PER_HEAT_MOST.inside) ** heats - MEASURING
    if kept > 1.0 + MEASURING:
        raise ValueError(
            f"the piece has gained {100.0 * (kept - 1.0):.1f} % of metal; measure it again"
        )
    if kept < least:
        raise ValueError(
            f"the piece has lost {100.0 * (1.0 - kept):.1f} % of its metal; at {heats} "
            f"heat{'' if heats == 1 else 's'} it may be {100.0 * (1.0 - least):.1f} %, measuring "
            "included: measure it again"
        )
    if wider + longer <= 0.0:
        raise ValueError("the piece grew neither longer nor wider: too little to tell a spread by")
    return Trial(wider / (wider + longer), wider / thinner, 1.0 - longer / thinner, kept)
