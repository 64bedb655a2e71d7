"""Expansion: what a hot piece measures cold, and the other way round."""

from __future__ import annotations

from ..sources import (
    ELONGATION_COLDEST,
    ELONGATION_HOT_LINEAR,
    ELONGATION_HOT_OFFSET,
    ELONGATION_HOTTEST,
    ELONGATION_LEVEL,
    ELONGATION_LEVEL_FROM,
    ELONGATION_LEVEL_TO,
    ELONGATION_LINEAR,
    ELONGATION_OFFSET,
    ELONGATION_QUADRATIC,
)
from .common import positive


def elongation(temperature: float) -> float:
    """Elongation of steel by heat, counted from 20 deg C.

    Parameters
    ----------
    temperature : float
        Temperature [deg C].

    Returns
    -------
    float
        Share by which the steel is longer [-].

    Raises
    ------
    ValueError
        If the temperature is outside 20 to 1200 deg C.

    Notes
    -----
    ``1.2e-5 T + 0.4e-8 T^2 - 2.416e-4`` below 750 deg C, 0.011 up to 860, ``2e-5 T - 6.2e-3``
    above. As printed, the curve steps down by 8.4e-6 at 750. For structural carbon steel; steel
    for edges differs below and inside the change of structure at 700 to 860 deg C.

    References
    ----------
    EN 1993-1-2:2005, 3.4.1.1, equations 3.1a to 3.1c.

    Examples
    --------
    >>> round(elongation(1000.0), 6)
    0.0138
    """
    coldest, hottest = ELONGATION_COLDEST.value, ELONGATION_HOTTEST.value
    if not coldest <= temperature <= hottest:
        raise ValueError(
            f"elongation is known from {coldest:g} to {hottest:g} deg C; not at "
            f"{temperature:g} deg C"
        )
    if temperature < ELONGATION_LEVEL_FROM.value:
        return (
            ELONGATION_LINEAR.value * temperature
            + ELONGATION_QUADRATIC.value * temperature**2
            + ELONGATION_OFFSET.value
        )
    if temperature <= ELONGATION_LEVEL_TO.value:
        return ELONGATION_LEVEL.value
    return ELONGATION_HOT_LINEAR.value * temperature + ELONGATION_HOT_OFFSET.value


def hot_length(cold: float, *, temperature: float) -> float:
    """What a length measures hot.

    Parameters
    ----------
    cold : float
        Length at 20 deg C [mm].
    temperature : float
        Temperature of the whole piece [deg C].

    Returns
    -------
    float
        Length hot [mm].

    Raises
    ------
    ValueError
        As :func:`elongation`, or if the length is not more than 0.

    Examples
    --------
    Dividers for 8 in at an orange heat of 1000 deg C, in inches:

    >>> round(hot_length(203.2, temperature=1000.0) / 25.4, 2)
    8.11
    """
    positive(length=cold)
    return cold * (1.0 + elongation(temperature))


def cold_length(hot: float, *, temperature: float) -> float:
    """What a length measured hot will be when cold.

    Parameters
    ----------
    hot : float
        Length measured hot [mm].
    temperature : float
        Temperature of the whole piece [deg C].

    Returns
    -------
    float
        Length at 20 deg C [mm].

    Raises
    ------
    ValueError
        As :func:`elongation`, or if the length is not more than 0.

    Examples
    --------
    >>> round(cold_length(200.0, temperature=1000.0), 2)
    197.28
    """
    positive(length=hot)
    return hot / (1.0 + elongation(temperature))
