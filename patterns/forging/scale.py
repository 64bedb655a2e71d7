"""Scale: what the fire takes from the bar.

Two ways that share no number: a share lost in every heat, from practice or from weighing, and the
growth of the oxide with time and temperature, which tells a thin bar from a stout one.
"""

from __future__ import annotations

import math

from ..sources import (
    GAS_CONSTANT,
    OXIDE_COLDEST,
    OXIDE_ENERGY,
    OXIDE_HOTTEST,
    OXIDE_RATE,
    OXIDE_SWELLING,
    SCALE_PER_HEAT,
)
from .common import positive

KELVIN_AT_ZERO_CELSIUS = 273.15  # exact: the definition of the Celsius temperature


def fraction_left(heats: int, *, loss_per_heat: float = SCALE_PER_HEAT.inside) -> float:
    """Share of the metal that is left after a number of heats.

    Parameters
    ----------
    heats : int
        Number of heats.
    loss_per_heat : float, optional
        Share lost in one heat [-].

    Returns
    -------
    float
        Share left [-].

    Raises
    ------
    ValueError
        If the number of heats is negative, or the loss is not between 0 and 1.

    Notes
    -----
    ``(1 - s)^n``: every heat scales what the last one left. The default loss is second-hand; weigh
    a bar before and after and put in your own.

    Examples
    --------
    Eight heats at 1.5 %:

    >>> round(fraction_left(8), 3)
    0.886
    """
    if heats < 0:
        raise ValueError(f"the number of heats cannot be negative; it is {heats}")
    if not 0.0 <= loss_per_heat < 1.0:
        raise ValueError(
            f"a heat takes between 0 and 100 % of the metal; not {100.0 * loss_per_heat:g} %"
        )
    return float((1.0 - loss_per_heat) ** heats)


def loss_from_weighing(*, before: float, after: float, heats: int) -> float:
    """Share of the metal that one heat took, from weighing a piece before and after.

    Parameters
    ----------
    before, after : float
        Mass before and after [g], or both in any other unit; scale brushed off.
    heats : int
        Number of heats between.

    Returns
    -------
    float
        Share lost in one heat [-].

    Raises
    ------
    ValueError
        If a mass is not more than 0, if the number of heats is less than 1, or if the piece grew
        heavier.

    Notes
    -----
    ``s = 1 - (m1/m0)^(1/n)``, the inverse of :func:`fraction_left`. What was cut or ground off
    counts as scale here; weigh it too, or put it back on the balance.

    Examples
    --------
    A bar of 772 g is a head of 680 g eight heats later:

    >>> round(loss_from_weighing(before=772.0, after=680.0, heats=8), 4)
    0.0157
    """
    positive(mass_before=before, mass_after=after)
    if heats < 1:
        raise ValueError(f"it takes one heat or more to lose metal to the fire; not {heats}")
    if after > before:
        raise ValueError(
            f"a piece of {before:g} cannot weigh {after:g} after the fire; weigh it again"
        )
    return float(1.0 - (after / before) ** (1.0 / heats))


def oxide_thickness(*, temperature: float, minutes: float) -> float:
    """Thickness of the scale that grows on clean iron held hot in air.

    Parameters
    ----------
    temperature : float
        Temperature [deg C].
    minutes : float
        Time held [min].

    Returns
    -------
    float
        Thickness of the oxide [mm]; right to the order of magnitude, half to twice.

    Raises
    ------
    ValueError
        If the temperature is outside 700 to 1250 deg C, or the time is not more than 0.

    Notes
    -----
    ``x^2 = kp t`` with ``kp = 6.1 exp(-169452 / (R T))`` [cm2/s]; coefficients from memory. On the
    one measured scale at hand it is right to a tenth, where heating and cooling are counted in;
    another published model gives nearly three times as much. A fire short of air scales less;
    scale that is knocked off grows again faster.

    References
    ----------
    R. Y. Chen and W. Y. D. Yuen, Oxidation of Metals 59 (2003), 433-468.

    Examples
    --------
    Five minutes at a bright orange:

    >>> round(oxide_thickness(temperature=1100.0, minutes=5.0), 2)
    0.26
    """
    positive(time=minutes)
    coldest, hottest = OXIDE_COLDEST.value, OXIDE_HOTTEST.value
    if not coldest <= temperature <= hottest:
        raise ValueError(
            f"growth of scale is known from {coldest:g} to {hottest:g} deg C; not at "
            f"{temperature:g} deg C"
        )
    kelvin = temperature + KELVIN_AT_ZERO_CELSIUS
    rate = OXIDE_RATE.inside * math.exp(-OXIDE_ENERGY.inside / (GAS_CONSTANT.inside * kelvin))
    return math.sqrt(rate * minutes * 60.0)


def metal_lost(*, oxide: float, thickness: float, width: float) -> float:
    """Share of a flat bar that has turned to scale of a given thickness.

    Parameters
    ----------
    oxide : float
        Thickness of the scale [mm].
    thickness : float
        Thickness of the bar [mm].
    width : float
        Width of the bar [mm].

    Returns
    -------
    float
        Share of the section lost [-].

    Raises
    ------
    ValueError
        If a size is not more than 0, or if no iron would be left.

    Notes
    -----
    Scale is thicker than the iron in it by 1.77 (wustite, from memory), so the iron eaten is
    ``0.565 x`` on every face: share lost = ``0.565 x (perimeter / area)``. For skins that are thin
    beside the bar; the corners are counted twice and the ends not at all.

    Examples
    --------
    A quarter of a millimetre on 1/2 x 1 1/2 in:

    >>> round(metal_lost(oxide=0.25, thickness=12.7, width=38.1), 4)
    0.0297
    """
    positive(scale=oxide, thickness=thickness, width=width)
    eaten = oxide / OXIDE_SWELLING.value
    if 2.0 * eaten >= min(thickness, width):
        raise ValueError(
            f"scale of {oxide:g} mm would leave no iron in a bar of {thickness:g} x {width:g} mm"
        )
    return eaten * 2.0 * (thickness + width) / (thickness * width)


def loss_in_heat(*, temperature: float, minutes: float, thickness: float, width: float) -> float:
    """Share of a flat bar that one heat takes, from its temperature and time.

    Parameters
    ----------
    temperature : float
        Temperature [deg C].
    minutes : float
        Time at it, in the fire and on the anvil [min].
    thickness : float
        Thickness of the bar [mm].
    width : float
        Width of the bar [mm].

    Returns
    -------
    float
        Share of the section lost [-]; right to the order of magnitude, half to twice.

    Raises
    ------
    ValueError
        As :func:`oxide_thickness` and :func:`metal_lost`.

    Notes
    -----
    :func:`metal_lost` of :func:`oxide_thickness`. Every heat begins with clean iron, since the
    scale falls off under the hammer; so equal heats multiply, as in :func:`fraction_left`.

    Examples
    --------
    Five minutes at 1000 deg C take of 1/2 x 1 1/2 in, and of a wall of 3/16 in:

    >>> heat = {"temperature": 1000.0, "minutes": 5.0, "width": 38.1}
    >>> round(loss_in_heat(**heat, thickness=12.7), 3)
    0.017
    >>> round(loss_in_heat(**heat, thickness=4.7625), 3)
    0.038
    """
    oxide = oxide_thickness(temperature=temperature, minutes=minutes)
    return metal_lost(oxide=oxide, thickness=thickness, width=width)
