"""Sheet 4: the bit as cut, as forged, and where it lies in the blade."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from ..blank import ForgePlan
from ..contour import Contour, Point
from ..drawing import Drawing, Purpose
from ..graph import Array
from ..heat_treatment import card_lines
from ..lettering import plain
from ..outline import SideView
from ..units import length, mass, section
from ..views import bevel_line, bit_line
from .layout import CAUTION, NOTE, TITLE, Board
from .words import AID, QUENCHING, WELDING, doubts

NAME = "bit"
TREATMENT = 90.0
"""Least width of the words on heat treatment, beside the blade [mm]."""
TITLE_TEXT = "Bit: as cut, as forged, in the blade"


def draw(plan: ForgePlan, units: str) -> Drawing:
    """Blank and forged bit to the left, the blade with the bit in it to the right."""
    board = Board(units)
    bit = plan.bit

    # as cut: face, and end beside it
    wide = bit.stock[1]
    board.text("AS CUT", 0.0, 3.0, TITLE, bold=True)
    board.add(Contour.rectangle(0.0, -wide, bit.cut_length, 0.0), Purpose.OUTLINE)
    end = bit.cut_length + 28.0
    board.add(Contour.rectangle(end, -wide, end + bit.stock[0], 0.0), Purpose.OUTLINE)
    foot = -wide - 8.2
    board.across(0.0, bit.cut_length, foot, length(bit.cut_length, units), starts=(-wide, -wide),
                 bold=True)  # fmt: skip
    board.upright(-wide, 0.0, end - 7.0, length(wide, units), starts=(end, end))
    board.across(end, end + bit.stock[0], foot, length(bit.stock[0], units), starts=(-wide, -wide))

    # as forged: face, and section beside it
    top = foot - 10.0
    board.text("AS FORGED", 0.0, top + 3.0, TITLE, bold=True)
    low = top - bit.depth
    board.add(Contour.rectangle(0.0, low, bit.length, top), Purpose.OUTLINE)
    board.line(Purpose.THIN, (0.0, top - bit.scarf), (bit.length, top - bit.scarf))
    middle = bit.length / 2.0
    if bit.scarf > NOTE + 2.0 and board.fits("scarf, to the eye", bit.length - 4.0, NOTE):
        board.text("scarf, to the eye", middle, top - (bit.scarf + NOTE) / 2.0, NOTE, "middle")
    board.text("edge", middle, low + 1.6, NOTE, "middle")
    foot = low - 8.2
    board.across(0.0, bit.length, foot, board.measure(bit.length), starts=(low, low), bold=True)
    side = bit.length + 28.0
    board.add(_section(bit.thickness, bit.depth, bit.scarf, bit.tip), Purpose.OUTLINE, (side, low))
    board.upright(low, top, side - 7.0, length(bit.depth, units), starts=(side, side))
    outer = side + bit.thickness
    board.upright(top - bit.scarf, top, outer + 7.0, length(bit.scarf, units),
                  starts=(outer, side + bit.thickness / 2.0))  # fmt: skip
    board.across(side, outer, foot, length(bit.thickness, units), starts=(low, low))

    # in the blade: the section below, the side view to the right
    foot = _section_of_blade(board, plan, foot - 10.0)
    column = max(end + bit.stock[0] + 20.0, outer + 28.0)
    low, right = _side_of_blade(board, plan, column)
    lines = [x for x in card_lines(plan.design.bit.steel, units) if not x.startswith("Normalise")]
    treatment = ". ".join(line.rstrip(".") for line in lines)
    right = max(right, column + TREATMENT)
    low = board.paragraph(f"{plain(treatment)}.", column, low - 4.6, right - column, CAUTION)

    steel = plain(plan.design.bit.steel)
    board.text(f"BIT  {section(bit.stock)}, cut {length(bit.cut_length, units)}, {steel}",
               0.0, 16.5, 6.5, bold=True)  # fmt: skip
    masses = {stage.name: stage.mass for stage in plan.stages}
    board.text(f"{mass(masses['bit cut'], units)} as cut, {mass(masses['bit forged'], units)} as "
               f"forged.  Thin end of the scarf {length(bit.tip, units)}.", 0.0, 9.4,
               NOTE)  # fmt: skip
    text = f"{WELDING} {QUENCHING} {AID}"
    y = min(low + 0.2, foot - 7.0)
    for doubt in doubts(plan, "bit"):
        y = board.paragraph(doubt, 0.0, y, max(right, 190.0), NOTE)
    board.paragraph(text, 0.0, y, max(right, 190.0), CAUTION)
    return board.drawing(NAME, TITLE_TEXT)


def _section(thick: float, deep: float, scarf: float, tip: float) -> Contour:
    """The forged bit across its length: the edge below, the scarf's thin end above."""
    middle = thick / 2.0
    return Contour.polygon(
        [
            (0.0, 0.0), (thick, 0.0), (thick, deep - scarf), (middle + tip / 2.0, deep),
            (middle - tip / 2.0, deep), (0.0, deep - scarf),
        ]
    )  # fmt: skip


def _side_of_blade(board: Board, plan: ForgePlan, left: float) -> tuple[float, float]:
    """The blade from the side with the bit in it; returns its lowest and its rightmost [mm]."""
    head = plan.head
    start = max(head.blade.start, head.length - 1.6 * plan.bit.insertion)
    front = _front(head.side, start)
    shift, low = left - start, -front.bounds.top
    board.text("IN THE BLADE", left, 3.0, TITLE, bold=True)
    board.add(front.moved(shift, low), Purpose.OUTLINE)
    board.add(bevel_line(head), Purpose.THIN, at=(shift, low))
    board.add(bit_line(head), Purpose.HIDDEN, at=(shift, low))
    return low + front.bounds.bottom, shift + front.bounds.right


def _section_of_blade(board: Board, plan: ForgePlan, top: float) -> float:
    """The blade cut through the edge's foremost point; returns the lowest y [mm]."""
    head = plan.head
    board.text("IN THE BLADE, cut level", 0.0, top + 3.0, TITLE, bold=True)
    half = head.blade.stations[0][1] / 2.0
    base, shift = top - half, -head.blade.start
    body, insert = _sections(plan)
    board.add(body.moved(shift, base), Purpose.OUTLINE)
    board.add(insert.moved(shift, base), Purpose.THIN)
    board.hatch(insert, at=(shift, base), gap=1.3)
    end = head.length + shift
    board.across(end - plan.bit.insertion, end, base - half - 7.0,
                 board.measure(plan.bit.insertion), starts=(base - 2.0, base))  # fmt: skip
    return base - half - 7.0


def _front(side: SideView, x: float) -> Contour:
    """The outline ahead of x, for a picture."""
    import shapely

    box = side.contour.bounds
    cut = side.flat.intersection(shapely.box(x, box.bottom - 1, box.right + 1, box.top + 1))
    parts = list(getattr(cut, "geoms", [cut]))
    ring = max(parts, key=lambda part: part.area).exterior.coords[:-1]
    return Contour.polygon((float(a), float(b)) for a, b in ring)


def _sections(plan: ForgePlan) -> tuple[Contour, Contour]:
    """Blade and bit cut level through the edge's foremost point."""
    head = plan.head
    blade = head.blade
    y = head.side.edge.y

    def skin(thickness: Callable[[Array, Array], Array], places: list[float]) -> Contour:
        x = np.array(places)
        half = thickness(x, np.full_like(x, y)) / 2.0
        upper: list[Point] = [(float(a), float(b)) for a, b in zip(x, half, strict=True)]
        lower = [(a, -b) for a, b in reversed(upper) if b > 0.0]
        return Contour.polygon([*lower, *upper] if lower else upper)

    end = head.length
    stations = [x for x, _ in blade.stations if x < end - blade.bevel_width]
    bit = blade.bit
    knee = bit.thickness / blade.slope
    inside = sorted({end - d for d in (bit.depth - 1e-6, bit.depth - bit.scarf, knee, 0.0)})
    return (
        skin(blade.thickness, [*stations, end - blade.bevel_width, end]),
        skin(blade.bit_thickness, inside),
    )
