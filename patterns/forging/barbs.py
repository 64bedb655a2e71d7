"""Barbs: burrs raised with a chisel on the faces of a bit, so that it stays put when it is set.

A bit that is driven cold between hot halves slips out again, or shifts, before the first welding
heat has taken. Burrs that point back towards the edge dig into the halves and hold it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..sources import BARB_HEIGHT_MOST, BARB_HEIGHT_SHARE, BARB_PITCH_LEAST, BARB_PITCH_SHARE
from .common import positive


@dataclass(frozen=True)
class Barbs:
    """One row of barbs on each face; the rows are staggered by half a pitch.

    Attributes
    ----------
    near, far
        Places along the bit, from its end [mm], on the near face and on the far one.
    pitch
        From barb to barb [mm].
    height
        How far a barb stands out of the face [mm].
    """

    near: tuple[float, ...]
    far: tuple[float, ...]
    pitch: float
    height: float

    @property
    def count(self) -> int:
        """On both faces."""
        return len(self.near) + len(self.far)


def barbs(*, length: float, thickness: float) -> Barbs:
    """Barbs for a bit.

    Parameters
    ----------
    length : float
        Length of the bit along the edge [mm].
    thickness : float
        Thickness of the bit [mm].

    Returns
    -------
    Barbs
        Rows, even about the middle of the bit.

    Raises
    ------
    ValueError
        If a size is not more than 0.

    Notes
    -----
    The pitch is four thicknesses, but no less than 3/8 in; the row stands at least half a pitch
    inside both ends. A barb is a third of the thickness high, 1/16 in at most: a burr that a
    chisel raises without cutting the bit weak. Handbooks name the barbs but give no figures; these
    are our own, to be laid out with a rule and a chisel.

    References
    ----------
    T. F. Googerty, Practical Forging and Art Smithing, 1915, split welding: little beards cut with
    a chisel hold the pieces in position when heating.

    Examples
    --------
    A bit 4 in long of 3/16 in:

    >>> row = barbs(length=101.6, thickness=4.7625)
    >>> len(row.near), len(row.far), round(row.pitch, 2), round(row.height, 2)
    (5, 4, 19.05, 1.59)
    """
    positive(length=length, thickness=thickness)
    pitch = max(BARB_PITCH_SHARE.value * thickness, BARB_PITCH_LEAST.inside)
    count = max(math.floor((length - pitch) / pitch) + 1, 1)
    first = (length - (count - 1) * pitch) / 2.0
    near = tuple(first + i * pitch for i in range(count))
    far = tuple(a + pitch / 2.0 for a in near[:-1])
    height = min(BARB_HEIGHT_SHARE.value * thickness, BARB_HEIGHT_MOST.inside)
    return Barbs(near, far, pitch, height)
