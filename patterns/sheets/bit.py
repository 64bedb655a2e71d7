"""Sheet 4: the hardenable steel as cut, as forged, and where it lies in the blade."""

from __future__ import annotations

import numpy as np

from .. import rounding
from ..bar_plan import BitPlan, PlatePlan
from ..blank import ForgePlan
from ..contour import Contour, Point
from ..drawing import Drawing, Purpose
from ..heat_treatment import card_lines
from ..lettering import plain, width
from ..outline import SideView
from ..units import length, mass, section
from ..views import bevel_line, bit_line, blade_section
from .common import best, passes, usual
from .layout import CAUTION, NOTE, TITLE, Board
from .words import AID, QUENCHING, WELDING, doubts

NAME = "bit"
TITLE_TEXT = "Bit: as cut, as forged, in the blade"
CUT_TEXT = "Bit: as cut and as forged"
EDGE_TEXT = "Edge: the body's own steel hardens"
APART, CLOSE = 11.5, 10.0
"""From a dimension to the next part under it, or where there is little room [mm]."""
BESIDE = 225.0
"""As far as which the plate still stands beside the blade, on one sheet of letter [mm]."""
TREATMENT = 90.0
"""Least width of the words on heat treatment, beside the blade [mm]."""
BARB = 2.4
"""Size of the sign of a barb [mm]."""


def draw(plan: ForgePlan, units: str) -> tuple[Drawing, ...]:
    """Blanks and forged bit to the left, the blade with the bit in it to the right; on two drawings
    if one page has no room for both."""
    whole = best((_sheet(plan, units, apart) for apart in (APART, CLOSE)), units)
    if plan.bit is None or passes(whole, usual(units)) == 0.0:
        return (whole,)
    first, second = Board(units), Board(units)
    foot, end = _as_cut(first, "AS CUT", (0.0, 0.0), plan.bit, rounding.hit(plan, "bit", units))
    foot, beside = _as_forged(first, plan.bit, foot - APART)
    end = max(end, beside)
    if plan.plate is not None:
        foot = _plate(first, plan, plan.plate, (8.0, foot - APART))
    _words(first, plan, foot - 8.5, min(max(end, 168.0), 184.0), f"{WELDING} {AID}")
    foot = _section_of_blade(second, plan, 0.0)
    low, end = _side_of_blade(second, plan, plan.head.length - _start(plan) + 30.0)
    low = second.paragraph(_treatment(plan, units), 0.0, min(foot, low) - 8.0, max(end, 168.0),
                           NOTE)  # fmt: skip
    second.paragraph(f"{QUENCHING} {AID}", 0.0, low - 1.0, max(end, 168.0), CAUTION)
    second.text("BIT  in the blade, and its heat treatment", 0.0, 12.0, 6.5, bold=True)
    parts = (
        first.drawing(NAME, CUT_TEXT),
        second.drawing(f"{NAME}-blade", "Bit: in the blade, and its heat treatment"),
    )
    return parts if all(passes(part, usual(units)) == 0.0 for part in parts) else (whole,)


def _sheet(plan: ForgePlan, units: str, apart: float) -> Drawing:
    """All on one drawing."""
    board = Board(units)
    foot, right = 0.0, plan.head.length - _start(plan) + 36.0
    if plan.bit is not None:
        cut = rounding.hit(plan, "bit", units)
        foot, right = _as_cut(board, "AS CUT", (0.0, 0.0), plan.bit, cut)
        foot, beside = _as_forged(board, plan.bit, foot - apart)
        foot, right = foot - apart, max(right, beside)

    # in the blade: the section below, the side view to the right
    foot = _section_of_blade(board, plan, foot)
    low, end = _side_of_blade(board, plan, right)
    plate = plan.plate
    beside = plate is not None and end + plate.cut_length <= BESIDE
    if plate is not None and beside:
        low = min(low, _plate(board, plan, plate, (end + 18.0, 0.0)))
        end += 18.0 + plate.cut_length
    end = max(end, right + TREATMENT)
    low = board.paragraph(_treatment(plan, units), right, low - 4.6, end - right, CAUTION)
    if plate is not None and not beside:
        low = _plate(board, plan, plate, (right, low - 6.0)) - 6.0

    text = f"{WELDING} {QUENCHING} {AID}"
    _words(board, plan, min(low + 0.2, foot - 7.0), max(end, 184.0), text)
    return board.drawing(NAME, TITLE_TEXT if plan.bit is not None else EDGE_TEXT)


def _words(board: Board, plan: ForgePlan, y: float, broad: float, text: str) -> None:
    """Heading and what stands under it; from a baseline on, doubts and cautions."""
    units = board.units
    title, under = _titles(plan, units)
    above = board.paragraph(under, 0.0, 10.7, broad, NOTE, upwards=True)
    size = min(6.5, 6.5 * broad / width(title, 6.5))
    board.text(title, 0.0, above + 1.25, size, bold=True)
    if plan.bit is not None and plan.bit.barbs is not None:
        y = board.paragraph(_barbs(plan.bit, units), 0.0, y - 1.8, broad, NOTE)
    for doubt in doubts(plan, "bit", "plate", "bar"):
        y = board.paragraph(doubt, 0.0, y, broad, NOTE)
    board.paragraph(text, 0.0, y, broad, CAUTION)


def _titles(plan: ForgePlan, units: str) -> tuple[str, str]:
    masses = {stage.name: stage.mass for stage in plan.stages}
    design, bit, plate = plan.design, plan.bit, plan.plate
    poll = ""
    if plate is not None:
        cut = f"{section(plate.stock)}, cut {rounding.hit(plan, 'plate', units)}"
        size = f"{length(plate.width, units)} x {length(plate.height, units)}"
        long, wide = (length(x, units) for x in (plate.forged_width, plate.forged_height))
        poll = (
            f"Plate of {plain(design.plate.steel)}, {cut}; forged to {long} x {wide}, "
            f"{length(plate.forged_thickness, units)} thick; ground on the poll to {size}, "
            f"{length(plate.thickness, units)} thick."
        )
    if bit is None:
        return (
            f"EDGE of {plain(design.bar.steel)}",
            f"No bit: the edge is of the body's own steel. {poll}".rstrip(),
        )
    stock = f"{section(bit.stock)}, cut {rounding.hit(plan, 'bit', units)}"
    under = (
        f"{mass(masses['bit cut'], units)} as cut, {mass(masses['bit forged'], units)} as "
        f"forged. Thin end of the scarf {length(bit.tip, units)}. {poll}"
    )
    return f"BIT  {stock}, {plain(design.bit.steel)}", under.rstrip()


def _treatment(plan: ForgePlan, units: str) -> str:
    design = plan.design
    steels = [design.bar.steel if plan.bit is None else design.bit.steel]
    if plan.plate is not None and design.plate.steel not in steels:
        steels.append(design.plate.steel)
    lines = [x for steel in steels for x in card_lines(steel, units)]
    kept = [line for line in dict.fromkeys(lines) if not line.startswith("Normalise")]
    return plain(". ".join(line.rstrip(".") for line in kept) + ".")


def _barbs(bit: BitPlan, units: str) -> str:
    barbs = bit.barbs
    assert barbs is not None
    return (
        f"Barbs: {len(barbs.near)} on the near face, {len(barbs.far)} on the far one, "
        f"{length(barbs.pitch, units)} apart, the first {length(barbs.near[0], units)} from the "
        f"end, {length(bit.barb_row, units)} from the back. Raise each "
        f"{length(barbs.height, units)} at a dull red heat, its point towards the edge; dress the "
        "scarf clean before the bit is set."
    )


def _as_cut(
    board: Board, title: str, at: Point, bit: BitPlan, said: str
) -> tuple[float, float]:  # fmt: skip
    """A blank's face from its upper left corner, and its end beside it; ``said`` is its length.

    Returns the lowest y, and what is free beside."""
    (left, top), (thick, wide), cut = at, bit.stock, bit.cut_length
    board.text(title, left, top + 3.0, TITLE, bold=True)
    low = top - wide
    board.add(Contour.rectangle(left, low, left + cut, top), Purpose.OUTLINE)
    end = left + cut + 28.0
    board.add(Contour.rectangle(end, low, end + thick, top), Purpose.OUTLINE)
    foot = low - 8.2
    board.across(left, left + cut, foot, said, starts=(low, low), bold=True)
    board.upright(low, top, end - 7.0, length(wide, board.units), starts=(end, end))
    board.across(end, end + thick, foot, length(thick, board.units), starts=(low, low))
    return foot, end + thick + 20.0


def _as_forged(board: Board, bit: BitPlan, top: float) -> tuple[float, float]:
    """The bit's face, and its section beside it; an overlaid one flat, before it is folded."""
    units = board.units
    board.text("AS FORGED, flat" if bit.overlaid else "AS FORGED", 0.0, top + 3.0, TITLE, bold=True)
    tall = 2.0 * bit.depth if bit.overlaid else bit.depth
    low, middle = top - tall, bit.length / 2.0
    board.add(_face(bit, low, top), Purpose.OUTLINE)
    root = _half_width(bit, bit.scarf)
    level = top - bit.scarf
    board.line(Purpose.THIN, (middle - root, level), (middle + root, level))
    name = "scarf" if bit.overlaid else "scarf, to the eye"
    if not board.fits(name, bit.back - 4.0, NOTE):
        name = "scarf"
    if bit.scarf > NOTE + 2.0 and board.fits(name, bit.back - 4.0, NOTE):
        board.text(name, middle, top - (bit.scarf + NOTE) / 2.0, NOTE, "middle")
    if bit.overlaid:
        board.line(Purpose.THIN, (0.0, low + bit.scarf), (bit.length, low + bit.scarf))
        board.line(Purpose.CENTRE, (-4.0, low + bit.depth), (bit.length + 4.0, low + bit.depth))
        board.text("fold here, over the edge", middle, low + bit.depth + 1.6, NOTE, "middle")
    else:
        board.text("edge", middle, low + 2.4, NOTE, "middle")
    if bit.barbs is not None:
        start = middle - _half_width(bit, bit.barb_row)
        for face, places in ((True, bit.barbs.near), (False, bit.barbs.far)):
            for x in places:
                board.add(_barb(start + x, top - bit.barb_row), Purpose.MARK, filled=face)
    foot, side = low - 8.2, bit.length + 28.0
    board.across(0.0, bit.length, foot, board.measure(bit.length), starts=(low, low), bold=True)
    if bit.back < bit.length:
        half = bit.back / 2.0
        board.across(middle - half, middle + half, top - bit.scarf - 9.0,
                     f"back {length(bit.back, units)}", starts=(top, top))  # fmt: skip
    board.add(_section(bit, tall), Purpose.OUTLINE, (side, low))
    board.upright(low, top, side - 7.0, length(tall, units), starts=(side, side))
    outer = side + bit.thickness
    board.upright(top - bit.scarf, top, outer + 7.0, length(bit.scarf, units),
                  starts=(outer, side + bit.thickness / 2.0))  # fmt: skip
    board.across(side, outer, foot, length(bit.thickness, units), starts=(low, low))
    return foot, outer + 28.0


def _half_width(bit: BitPlan, from_back: float) -> float:
    """Half of how wide the forged bit is at a distance from its back [mm]."""
    share = min(from_back / bit.depth, 1.0)
    return (bit.back + (bit.length - bit.back) * share) / 2.0


def _face(bit: BitPlan, low: float, top: float) -> Contour:
    """The forged bit from its face, its edge below; its back is narrower between two cheeks."""
    middle, back = bit.length / 2.0, bit.back / 2.0
    return Contour.polygon(
        [(0.0, low), (bit.length, low), (middle + back, top), (middle - back, top)]
    )


def _barb(x: float, y: float) -> Contour:
    """The sign of a barb whose point is towards the edge."""
    return Contour.polygon([(x - BARB / 2.0, y), (x, y - BARB), (x + BARB / 2.0, y)])


def _plate(board: Board, plan: ForgePlan, plate: PlatePlan, at: Point) -> float:
    """The face of the poll's plate as cut, from its upper left corner; returns the lowest y."""
    (left, top), (_, wide), units = at, plate.stock, board.units
    board.text("PLATE, AS CUT", left, top + 3.0, TITLE, bold=True)
    low = top - wide
    board.add(Contour.rectangle(left, low, left + plate.cut_length, top), Purpose.OUTLINE)
    board.across(left, left + plate.cut_length, low - 8.2, rounding.hit(plan, "plate", units),
                 starts=(low, low), bold=True)  # fmt: skip
    board.upright(low, top, left - 6.0, length(wide, units), starts=(left, left))
    return low - 8.2


def _section(bit: BitPlan, tall: float) -> Contour:
    """The forged bit across its length: the edge below, the scarf's thin end above."""
    middle, half, tip = bit.thickness / 2.0, bit.thickness / 2.0, bit.tip / 2.0
    right = [(half, tall - bit.scarf), (tip, tall)]
    right = [(half, bit.scarf), *right] if bit.overlaid else [(half, 0.0), *right]
    if bit.overlaid:
        right.insert(0, (tip, 0.0))
    left = [(-x, y) for x, y in reversed(right)]
    return Contour.polygon((middle + x, y) for x, y in [*right, *left])


def _side_of_blade(board: Board, plan: ForgePlan, left: float) -> tuple[float, float]:
    """The blade from the side with the bit in it; returns its lowest and its rightmost [mm]."""
    head = plan.head
    start = _start(plan)
    if plan.bit is not None:  # of a bit that runs back to the eye
        start = max(min(start, bit_line(head).bounds.left - 3.0), head.plan.eye_front - 12.0)
    front = _front(head.side, start)
    shift, low = left - start, -front.bounds.top
    board.text("IN THE BLADE" if plan.bit is not None else "THE BLADE", left, 3.0, TITLE, bold=True)
    board.add(front.moved(shift, low), Purpose.OUTLINE)
    board.add(bevel_line(head), Purpose.THIN, at=(shift, low))
    if plan.bit is not None:
        board.add(bit_line(head), Purpose.HIDDEN, at=(shift, low))
    return low + front.bounds.bottom, shift + front.bounds.right


def _start(plan: ForgePlan) -> float:
    """From where on the blade is shown: a little behind the bit, or all of it [mm]."""
    start = plan.head.blade.start
    if plan.bit is None:
        return start
    return max(start, plan.head.length - 1.6 * plan.bit.insertion)


def _section_of_blade(board: Board, plan: ForgePlan, top: float) -> float:
    """The blade cut through the edge's foremost point; returns the lowest y [mm]."""
    head = plan.head
    board.text("THE BLADE, cut level", 0.0, top + 3.0, TITLE, bold=True)
    start = _start(plan)
    x, low, high = blade_section(head, start)
    half = max(float(high[0]), -float(low[0]))
    base, shift = top - half, -start
    body = [*zip(x, low, strict=True), *reversed(list(zip(x, high, strict=True)))]
    board.add(_polygon(body).moved(shift, base), Purpose.OUTLINE)
    if plan.bit is None:
        end, bevel = head.length + shift, head.blade.bevel_width
        foot = base - half - 7.0
        board.across(end - bevel, end, foot, f"bevel {length(bevel, board.units)}",
                     starts=(base - 2.0, base))  # fmt: skip
        board.upright(float(low[0]) + base, float(high[0]) + base, -7.0,
                      length(float(high[0] - low[0]), board.units), starts=(0.0, 0.0))  # fmt: skip
        return foot
    for steel in _steel_in_section(plan):
        board.add(steel.moved(shift, base), Purpose.THIN)
        board.hatch(steel, at=(shift, base), gap=1.3)
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


def _steel_in_section(plan: ForgePlan) -> list[Contour]:
    """The bit cut level through the edge's foremost point: one piece, or two legs."""
    head = plan.head
    blade, end, bit = head.blade, head.length, head.blade.bit
    depths = [bit.depth - 1e-6, bit.depth - bit.scarf, blade.cover, 0.0]
    if blade.bevel.reach < np.inf:
        depths += np.linspace(0.0, min(bit.depth, blade.bevel_width), 16)[1:-1].tolist()
    corner = [d for d in (blade.bevel_width,) if d < bit.depth]
    x = np.array(sorted({end - d for d in (*depths, *corner)}))
    y = np.full_like(x, head.side.edge.y)
    whole, steel = blade.thickness(x, y), blade.bit_thickness(x, y)
    middle = blade.middle(whole)
    if not bit.overlaid:
        return [_band(x, middle - steel / 2.0, middle + steel / 2.0)]
    outer, inner = whole / 2.0, (whole - steel) / 2.0
    return [_band(x, middle + inner, middle + outer), _band(x, middle - outer, middle - inner)]


def _band(x: np.ndarray, low: np.ndarray, high: np.ndarray) -> Contour:
    """What lies between two lines over the same places, the last of which they share."""
    return _polygon([*zip(x, low, strict=True), *reversed(list(zip(x, high, strict=True)))])


def _polygon(points: list[tuple[float, float]]) -> Contour:
    """A closed contour through points, each corner once."""
    kept: list[Point] = []
    for a, b in points:
        if not kept or abs(a - kept[-1][0]) + abs(b - kept[-1][1]) > 1e-9:
            kept.append((float(a), float(b)))
    if abs(kept[0][0] - kept[-1][0]) + abs(kept[0][1] - kept[-1][1]) <= 1e-9:
        kept.pop()
    return Contour.polygon(kept)
