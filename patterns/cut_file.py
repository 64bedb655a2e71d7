"""A DXF file as a cutter's program sees it, read back into lines and true arcs in millimetres.

Nothing of the model is asked: what is not in the file is not here. Polylines, lines, arcs and
circles become runs; loose lines and arcs that meet end to end are joined. Everything else that the
file holds is named in ``others``.
"""

from __future__ import annotations

from dataclasses import dataclass

from .contour import Contour, Point


@dataclass(frozen=True)
class Run:
    """A run of lines and arcs [mm] on one layer, closed or open.

    ``role`` is what the layer is for: outside, inside or mark; empty for a layer of no known name.
    ``lead`` is the open piece by which the tool comes to a closed contour, where the file has one.
    ``entities`` are the handles of what it was made from.
    """

    contour: Contour
    layer: str
    role: str
    entities: tuple[str, ...] = ()
    lead: Contour | None = None


@dataclass(frozen=True)
class Other:
    """Something in the file that no cutter should meet: its kind, layer, handle and place [mm]."""

    kind: str
    layer: str
    handle: str = ""
    at: Point | None = None


@dataclass(frozen=True)
class CutFile:
    """What a DXF holds. ``units`` are as the file declares them, ``in`` or ``mm``."""

    name: str
    version: str
    units: str
    runs: tuple[Run, ...]
    others: tuple[Other, ...] = ()
