"""What of a head the bar has no say in: the outline ahead of the poll, the blade, and their sums.

Everything here counts x from the front of the eye. It is a function of a few parameters alone and
is kept, so that one head is not drawn anew for every bar that it might be forged from.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property, lru_cache

from . import shape
from .contour import Piece
from .errors import Fault
from .graph import Graph
from .outline import BladeLines, SideView, blade_lines, side_view
from .parameters import Bit, Ears
from .parameters import Blade as BladeDesign
from .sources import SCARF_SHARE
from .thickness import NO_BIT, BitSection, Blade, BladeSums, bevel_of

KEPT = 256
"""How many are kept."""


@dataclass(frozen=True)
class BladePart:
    """The blade's lines and its thickness; its sums when they are asked for."""

    lines: BladeLines
    blade: Blade

    @cached_property
    def sums(self) -> BladeSums:
        return self.blade.sums(self.lines.rims)


@dataclass(frozen=True)
class Forepart:
    """Outline and blade from the back of the eye on, with the faults of their shape."""

    side: SideView
    part: BladePart
    faults: tuple[Fault, ...]

    @cached_property
    def weld_cover(self) -> float:
        """Share of the edge behind which bit and body lie together over a scarf's length."""
        bit = self.part.blade.bit
        leg = bit.thickness / 2.0 if bit.overlaid else bit.thickness
        return shape.covered(self.side, self.part.blade, SCARF_SHARE.value * leg)

    @cached_property
    def top(self) -> Graph:
        """Height of the outline as far as the first station."""
        return Graph(_until(self.side.top, self.part.blade.start))

    @cached_property
    def bottom(self) -> Graph:
        return Graph(_until(self.side.bottom, self.part.blade.start))


@lru_cache(KEPT)
def blade_part(blade: BladeDesign, bit: Bit) -> BladePart:
    lines = blade_lines(blade)
    stations = tuple(sorted(blade.stations))
    bevel = bevel_of(blade.bevel, math.radians(blade.edge_angle))
    thick = Blade(stations, lines.edge, bevel, bit_section(bit))
    if blade.bevel == "convex":
        thick = thick.rounded(blade.grind)
    return BladePart(lines, thick)


def bit_section(bit: Bit) -> BitSection:
    """The bit in the blade; both legs together where it is overlaid."""
    if bit.form == "none" or bit.thickness is None or bit.insertion is None:
        return NO_BIT
    legs = 2.0 if bit.form == "overlaid" else 1.0
    return BitSection(
        legs * bit.thickness, bit.insertion, bit.scarf, legs * bit.tip, bit.form == "overlaid"
    )


@lru_cache(KEPT)
def forepart(
    eye_length: float, poll_height: float, ears: Ears, blade: BladeDesign, bit: Bit, units: str
) -> Forepart:  # fmt: skip
    """Draw what lies ahead of the poll, and look at its shape; faults in ``units``."""
    part = blade_part(blade, bit)
    side = side_view(eye_length, poll_height, ears, part.lines)
    half = poll_height / 2.0
    levels = (
        max(half, blade.neck_above, ears.above or 0.0),
        max(half, blade.neck_below, ears.below or 0.0),
    )
    bearded = blade.beard is not None
    faults = shape.after(side, part.blade, blade.edge_angle, levels, bearded, units)
    return Forepart(side, part, tuple(faults))


def _until(pieces: tuple[Piece, ...], end: float) -> list[Piece]:
    """The leading pieces, as far as the one that crosses ``end``."""
    kept: list[Piece] = []
    for piece in pieces:
        kept.append(piece)
        if piece.x1 >= end:
            break
    return kept
