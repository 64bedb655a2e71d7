"""Welding and upsetting: what a weld takes up of the bar, and what it gives back.

The rules for the extra length are for lap welds in rings and bars; none was found that is given for
axes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

from ..sources import (
    SCARF_SHARE,
    UPSET_FREE,
    WELD_LAP,
    WELD_THIRD,
    WELD_UPSET,
    WELD_WASTE,
    WELD_WHOLE,
)
from .common import positive


class WeldRule(Enum):
    """A published rule for the extra length of a weld; its value is the constant with its source.

    ``THIRD`` a third of the thickness, ``WASTE`` three eighths, ``LAP`` half, ``WHOLE`` one
    thickness.
    """

    THIRD = WELD_THIRD
    WASTE = WELD_WASTE
    LAP = WELD_LAP
    WHOLE = WELD_WHOLE


@dataclass(frozen=True)
class WeldAllowance:
    """Extra length of bar for one weld.

    Attributes
    ----------
    length
        By the rule that was chosen [mm].
    least
        By the most sparing of the published rules [mm].
    most
        By the most generous of them [mm].
    """

    length: float
    least: float
    most: float


@dataclass(frozen=True)
class Upset:
    """A length of bar upset to a stouter section.

    Attributes
    ----------
    stock
        Length of bar that goes into it [mm].
    shortening
        By how much the bar grows shorter [mm].
    slenderness
        Stock over the bar's thickness [-].
    """

    stock: float
    shortening: float
    slenderness: float

    @property
    def straight(self) -> bool:
        """Whether it upsets in one go without buckling, by the rule of the upsetting machines."""
        return self.slenderness <= UPSET_FREE.value * (1.0 + 1e-9)


@dataclass(frozen=True)
class ClosedWeld:
    """Two halves and what lies between them, welded and set down.

    Attributes
    ----------
    stack
        Thickness before the weld is set down [mm].
    growth
        Face of the weld after it is set down, over that before [-].
    """

    stack: float
    growth: float


def scarf_length(*, thickness: float) -> float:
    """Length of the scarf for a lap weld.

    Parameters
    ----------
    thickness : float
        Thickness of the bar [mm].

    Returns
    -------
    float
        Length along the bar [mm].

    Raises
    ------
    ValueError
        If the thickness is not more than 0.

    Notes
    -----
    ``1 1/2 t``, for two bars of one thickness. Another handbook asks for faces at about 45
    degrees on an upset end, which is about 1 1/3 t. A bit between two cheeks is held on both sides
    and may do with less.

    References
    ----------
    Shop Practice, vol. 2 (after J. L. Bacon), "Lap Welding". T. F. Googerty, Practical Forging
    and Art Smithing, 1915, chapter 2: a little more than the thickness, perhaps 1 1/2 times.
    W. L. Ilgen, Forge Work, 1912, article 63: 45 degrees.

    Examples
    --------
    The book's bar 1/2 in thick, in inches:

    >>> round(scarf_length(thickness=12.7) / 25.4, 3)
    0.75
    """
    positive(thickness=thickness)
    return SCARF_SHARE.value * thickness


def end_for_weld(*, thickness: float) -> float:
    """Thickness that an end is upset to before it is scarfed for a lap weld.

    Parameters
    ----------
    thickness : float
        Thickness or diameter of the bar [mm].

    Returns
    -------
    float
        Thickness of the upset end [mm].

    Raises
    ------
    ValueError
        If the thickness is not more than 0.

    Notes
    -----
    ``1 1/3 t``: the metal that burns off, and what the hammer thins in welding, must be there
    beforehand. Other lessons ask for 1 1/4 t.

    References
    ----------
    T. F. Googerty, Practical Forging and Art Smithing, 1915, chapter 2: 3/4 in round is upset to
    about 1 in.

    Examples
    --------
    The book's bar 3/4 in thick, in inches:

    >>> round(end_for_weld(thickness=19.05) / 25.4, 3)
    1.0
    """
    positive(thickness=thickness)
    return WELD_UPSET.value * thickness


def weld_allowance(*, thickness: float, rule: WeldRule = WeldRule.WASTE) -> WeldAllowance:
    """Extra length of bar for one lap weld, with the range of the published rules.

    Parameters
    ----------
    thickness : float
        Thickness of the bar at the weld [mm].
    rule : WeldRule, optional
        The rule to go by.

    Returns
    -------
    WeldAllowance
        What to add, and the least and the most that any of the rules would add.

    Raises
    ------
    ValueError
        If the thickness is not more than 0.

    Notes
    -----
    The rules ask for 1/3, 3/8, 1/2 and 1 thickness. Two are given for 1 in stock alone; that they
    grow with the thickness is our reading. By volume a lap costs nothing: hammered back to the
    bar's section it gives back its length. So the allowance is for what burns and for the trimming
    of the scarfs, and a clean fire needs less of it.

    References
    ----------
    T. F. Googerty, Hand-Forging and Wrought-Iron Ornamental Work, 1911, p. 69 (3/8); the same,
    Practical Forging and Art Smithing, 1915, exercise 14 (1/2). Second-hand: The Blacksmith's
    Craft (1), and an answer in a smiths' forum (1/3).

    Examples
    --------
    The book's ring of 1 in stock, in inches:

    >>> round(weld_allowance(thickness=25.4).length / 25.4, 3)
    0.375

    Straps of 1/2 in by the most generous rule:

    >>> added = weld_allowance(thickness=12.7, rule=WeldRule.WHOLE)
    >>> round(added.length, 1), round(added.least, 1), round(added.most, 1)
    (12.7, 4.2, 12.7)
    """
    positive(thickness=thickness)
    lengths = [each.value.value * thickness for each in WeldRule]
    return WeldAllowance(rule.value.value * thickness, min(lengths), max(lengths))


def upset(*, length: float, area_before: float, area_after: float, thickness: float) -> Upset:
    """How much bar goes into a length that is upset to a stouter section.

    Parameters
    ----------
    length : float
        Length of the upset part when done [mm].
    area_before, area_after : float
        Area of the section before and after [mm2].
    thickness : float
        Thickness of the bar before, its least side or its diameter [mm].

    Returns
    -------
    Upset
        Stock taken up, shortening, and how slender the stock is.

    Raises
    ------
    ValueError
        If a size is not more than 0, if the section does not grow, or if no section of that area
        is so thick.

    Notes
    -----
    ``stock = length A1 / A0``, from the volume; scale is not counted. Up to 3 diameters of
    unsupported bar upset in one go without buckling (``straight``): a rule for upsetting machines.
    By hand the bar bends and is straightened between blows, and then more can be upset; one
    textbook upsets 5 diameters for a bolt's head.

    References
    ----------
    Forging Industry Association, Design rules for parts made by upset forging, rule 1.
    W. L. Ilgen, Forge Work, 1912, articles 55 and 74.

    Examples
    --------
    A square head 1 1/4 in wide and 5/8 in deep on a 3/4 in bolt, in inches; the book finds 2.22:

    >>> from math import pi
    >>> head = upset(length=15.875, area_before=pi / 4 * 19.05**2, area_after=31.75**2,
    ...              thickness=19.05)
    >>> round(head.stock / 25.4, 2), head.straight
    (2.21, True)
    """
    positive(
        length=length, area_before=area_before, area_after=area_after, thickness=thickness
    )  # fmt: skip
    if area_after <= area_before:
        raise ValueError(
            f"upsetting makes a bar stouter; {area_before:g} mm2 cannot be upset to "
            f"{area_after:g} mm2"
        )
    thickest = math.sqrt(4.0 * area_before / math.pi)
    if thickness > thickest * (1.0 + 1e-9):
        raise ValueError(
            f"a bar of {area_before:g} mm2 is at most {thickest:.1f} mm thick; not {thickness:g} mm"
        )
    stock = length * area_after / area_before
    return Upset(stock, stock - length, stock / thickness)


def closed_weld(*, half: float, bit: float, welded: float, loss: float = 0.0) -> ClosedWeld:
    """How thick two halves stand with the bit between them, and how the weld grows in setting down.

    Parameters
    ----------
    half : float
        Thickness of each half where they meet [mm].
    bit : float
        Thickness of the bit between them [mm]; 0 where iron meets iron.
    welded : float
        Thickness that the weld is set down to [mm].
    loss : float, optional
        Share of the metal that burns or is pressed out in welding [-].

    Returns
    -------
    ClosedWeld
        Thickness of the stack, and the growth of its face.

    Raises
    ------
    ValueError
        If a thickness is not more than 0 (the bit: less than 0), if the weld is not set down, or
        if the loss is not between 0 and 1.

    Notes
    -----
    ``stack = 2 half + bit``; ``growth = (1 - loss) stack / welded``, from the volume. Held to its
    length, the weld grows wider by the whole of it; held to its width, longer. Left free it does
    both, as in drawing. Two thicknesses lapped and hammered to one double the face of the lap.

    Examples
    --------
    Halves of 1/2 in on a bit of 1/4 in, welded down to 7/8 in:

    >>> lap = closed_weld(half=12.7, bit=6.35, welded=22.225)
    >>> lap.stack, round(lap.growth, 3)
    (31.75, 1.429)
    """
    positive(half=half, welded_thickness=welded)
    if not (bit >= 0.0 and math.isfinite(bit)):
        raise ValueError(f"the bit cannot be thinner than 0; it is {bit:g} mm")
    if not 0.0 <= loss < 1.0:
        raise ValueError(f"a weld loses between 0 and 100 % of the metal; not {100.0 * loss:g} %")
    stack = 2.0 * half + bit
    if welded > stack:
        raise ValueError(
            f"two halves of {half:g} mm and a bit of {bit:g} mm stand {stack:g} mm thick; they "
            f"cannot be set down to {welded:g} mm"
        )
    return ClosedWeld(stack, (1.0 - loss) * stack / welded)
