"""Density: what a piece of steel weighs."""

from __future__ import annotations

import math

from ..sources import STEEL_DENSITY


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
    Density 7850 kg/m3, at every temperature; wrought iron weighs about 2 % less.

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
