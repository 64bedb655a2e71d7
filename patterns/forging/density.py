"""Density: what a piece of steel weighs, and how long a bar of that weight is."""

from __future__ import annotations

import math

from ..sources import STEEL_DENSITY, WROUGHT_IRON_DENSITY
from .common import positive


def steel_mass(volume: float) -> float:
    """Mass of a volume of steel.

    Parameters
    ----------
    volume : float
        Volume [mm3].

    Returns
    -------
    float
        Mass [g].

    Raises
    ------
    ValueError
        If the volume is negative or no finite number.

    Notes
    -----
    Density 7850 kg/m3, at every temperature.

    References
    ----------
    EN 1993-1-2:2005, 3.2.2.

    Examples
    --------
    8 in of 1/2 x 1 1/2 in:

    >>> round(steel_mass(12.7 * 38.1 * 203.2))
    772
    """
    if not (volume >= 0.0 and math.isfinite(volume)):
        raise ValueError(f"the volume cannot be less than 0; it is {volume:g} mm3")
    return volume * STEEL_DENSITY.inside


def wrought_iron_mass(volume: float) -> float:
    """Mass of a volume of wrought iron.

    Parameters
    ----------
    volume : float
        Volume [mm3].

    Returns
    -------
    float
        Mass [g].

    Raises
    ------
    ValueError
        If the volume is negative or no finite number.

    Notes
    -----
    Density 480 lb per cubic foot, 2 % less than steel for the slag in it.

    References
    ----------
    Shop Practice, vol. 2 (after J. L. Bacon), "Weight of Forging".

    Examples
    --------
    8 in of 1/2 x 1 1/2 in:

    >>> round(wrought_iron_mass(12.7 * 38.1 * 203.2))
    756
    """
    if not (volume >= 0.0 and math.isfinite(volume)):
        raise ValueError(f"the volume cannot be less than 0; it is {volume:g} mm3")
    return volume * WROUGHT_IRON_DENSITY.inside


def bar_mass(*, thickness: float, width: float, length: float) -> float:
    """Mass of a flat or square bar of steel.

    Parameters
    ----------
    thickness : float
        Thickness [mm].
    width : float
        Width [mm].
    length : float
        Length [mm].

    Returns
    -------
    float
        Mass [g].

    Raises
    ------
    ValueError
        If a size is not more than 0.

    Notes
    -----
    Sharp corners and nominal sizes; rolled bar is a little rounded and may be over or under.

    References
    ----------
    As :func:`steel_mass`.

    Examples
    --------
    A foot of 2 x 3 in, in lb; dealers list 20.4:

    >>> round(bar_mass(thickness=50.8, width=76.2, length=304.8) / 453.59237, 1)
    20.4
    """
    positive(thickness=thickness, width=width, length=length)
    return steel_mass(thickness * width * length)


def bar_length(*, mass: float, thickness: float, width: float) -> float:
    """Length of flat or square steel bar that has a given mass.

    Parameters
    ----------
    mass : float
        Mass [g].
    thickness : float
        Thickness of the bar [mm].
    width : float
        Width of the bar [mm].

    Returns
    -------
    float
        Length [mm].

    Raises
    ------
    ValueError
        If the mass or a size is not more than 0.

    Notes
    -----
    The inverse of :func:`bar_mass`; nothing is added for scale.

    References
    ----------
    As :func:`steel_mass`.

    Examples
    --------
    What 1 1/2 lb is of 1/2 x 1 1/2 in, in inches:

    >>> round(bar_length(mass=1.5 * 453.59237, thickness=12.7, width=38.1) / 25.4, 2)
    7.05
    """
    positive(mass=mass, thickness=thickness, width=width)
    return mass / (STEEL_DENSITY.inside * thickness * width)
