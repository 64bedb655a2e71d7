"""The patterns that are cut from sheet steel, and the proof sheet that shows the blank's.

On the blank's pattern the poll marks are even notches in one long edge; the shoulder marks are
notches with one upright side, like the step itself, in the other. So the pattern cannot be read the
wrong way round, and in both kinds the deepest point is the mark. All contours are nominal: whoever
cuts them offsets the kerf.
"""

from __future__ import annotations

import math

import shapely

from .. import report
from ..blank import ForgePlan
from ..contour import Contour
from ..drawing import Drawing, Purpose
from ..lettering import plain, width
from ..units import length, section
from .layout import CAUTION, NOTE, Board
from .words import recipe

NAME = "steel"
TITLE_TEXT = "Steel pattern of the blank: proof"

NOTCH = 4.0
"""Depth of the notches [mm]."""
HOLE = 3.5
"""Radius of the hanging hole [mm]."""
LETTERS = 4.0
SMALL = 2.2
"""Letters of the revision [mm]."""
PITCH = 2.0
"""Distance of two rows of letters over their height; a stacked fraction is 1.68 high."""


def draw(plan: ForgePlan, units: str) -> Drawing:
    """The blank's pattern as it will be cut, for the file."""
    cut = blank_pattern(plan, units)
    board = Board(units)
    board.strokes += cut.strokes
    board.labels += cut.labels
    box = cut.bounds
    board.text("STEEL PATTERN OF THE BLANK", box.left, box.top + 18.0, 6.5, bold=True)
    board.paragraph(
        "Even notches: poll marks, outer face. Notches with an upright side: shoulder marks, inner "
        "face. The deepest point is the mark.",
        box.left, box.top + 6.0, 225.0, NOTE, upwards=True,
    )  # fmt: skip
    board.paragraph(
        "Cut from the file of the same revision, not from this sheet. Nominal size: the cutter "
        "offsets the kerf. Break the sharp edges before the pattern is handled.",
        box.left, box.bottom - 8.0, 225.0, CAUTION,
    )  # fmt: skip
    return board.drawing(NAME, TITLE_TEXT)


def blank_pattern(plan: ForgePlan, units: str) -> Drawing:
    """Outline with notches and hanging hole to cut; centre line and recipe to mark."""
    board = Board(units)
    half, wide = plan.cut_length / 2.0, plan.design.bar.width
    poll, shoulder = plan.poll / 2.0, plan.shoulders / 2.0
    depth = min(NOTCH, wide / 5.0)
    narrow = depth / 2.0
    low = [(-half, 0.0)]
    for x in (-shoulder, shoulder):
        notch = [(x, 0.0), (x, depth), (x + math.copysign(1.5 * narrow, x), 0.0)]
        low += notch if x > 0 else notch[::-1]
    high = [(half, 0.0), (half, wide)]
    for x in (poll, -poll):
        high += [(x + narrow, wide), (x, wide - depth), (x - narrow, wide)]
    board.add(Contour.polygon([*low, *high, (-half, wide)]), Purpose.CUT)
    radius = min(HOLE, wide / 8.0)
    edge = half - 3.5 * radius
    board.add(Contour.circle(edge, wide / 2.0, radius).reversed(), Purpose.CUT)
    board.line(Purpose.MARK, (0.0, depth + 1.0), (0.0, wide - depth - 1.0))
    mark = report.revision(plan.design)
    board.text(mark, edge, wide / 2.0 - radius - 1.5 - SMALL, SMALL, "middle")
    right = edge - max(radius + 3.0, width(mark, SMALL) / 2.0 + 2.0)
    _letters(board, plan, units, -half + 3.0, -2.0, right, wide, depth)
    return board.drawing("blank", f"Blank of {plain(plan.design.name)}")


def _letters(
    board: Board, plan: ForgePlan, units: str, left: float, middle: float, right: float,
    wide: float, depth: float,
) -> None:  # fmt: skip
    """Recipe in two columns beside the centre line, clear of the notches."""
    strap = plan.strap
    columns = (
        (left, middle, [
            plain(plan.design.name),
            section(plan.design.bar.section),
            f"cut {length(plan.cut_length, units)}",
        ]),
        (2.0, right, [
            f"P {length(plan.poll, units)}",
            f"S {length(plan.shoulders, units)}",
            f"strap {length(strap.divider, units)}",
        ]),
    )  # fmt: skip
    room = wide - 2.0 * (depth + 1.5)
    size = min(LETTERS, room / (2.0 * PITCH + 1.7))
    for start, end, rows in columns:
        fit = min([size, *(size * (end - start) / width(row, size) for row in rows)])
        y = wide / 2.0 + PITCH * fit - fit / 2.0
        for row in rows:
            board.text(row, start, y, fit)
            y -= PITCH * fit


def head_pattern(plan: ForgePlan, units: str) -> Drawing:
    """The head's side outline to cut, with a hanging hole; eye, centre line and recipe to mark."""
    board = Board(units)
    head = plan.head
    board.add(head.side.contour, Purpose.CUT)
    view = head.plan
    hole = (view.eye_back + 0.5 * head.eye.length, 0.0)
    board.add(Contour.circle(*hole, HOLE).reversed(), Purpose.CUT)
    reach = min(view.poll_thickness, 8.0)
    for x in (view.eye_back, view.eye_front):
        for sign in (1.0, -1.0):
            board.line(Purpose.MARK, (x, sign * 2.0), (x, sign * (2.0 + reach)))
    mark = f"revision {report.revision(plan.design)}"
    rows = [plain(plan.design.name), recipe(plan, units), mark]
    start = view.eye_front + 4.0
    room = head.length - head.blade.bevel_width - 6.0 - start
    size = min(LETTERS, *(LETTERS * room / width(row, LETTERS) for row in rows))
    inside = shapely.Polygon(head.side.contour.points(0.05)).buffer(-1.0)
    while size > 0.5 and not inside.covers(_block(rows, start, size)):
        size *= 0.9
    for i, row in enumerate(rows):
        board.text(row, start, ((len(rows) - 1) / 2.0 - i) * PITCH * size - size / 2.0, size)
    return board.drawing("head", f"Head of {plain(plan.design.name)}")


def _block(rows: list[str], start: float, size: float) -> shapely.Polygon:
    """What rows of letters cover about the centre line; stacked fractions stand out of them."""
    half = ((len(rows) - 1) * PITCH + 1.7) * size / 2.0
    return shapely.box(start, -half, start + max(width(row, size) for row in rows), half)


def bit_pattern(plan: ForgePlan, units: str) -> Drawing:
    """The bit's blank as it is cut from its stock."""
    board = Board(units)
    bit = plan.bit
    board.add(Contour.rectangle(0.0, 0.0, bit.cut_length, bit.stock[1]), Purpose.CUT)
    steel = plain(plan.design.bit.steel)
    text = f"{steel}  {section(bit.stock)}  {report.revision(plan.design)}"
    size = min(LETTERS, LETTERS * (bit.cut_length - 4.0) / width(text, LETTERS), bit.stock[1] / 3)
    board.text(text, bit.cut_length / 2.0, bit.stock[1] / 2.0 - size / 2.0, size, "middle")
    return board.drawing("bit", f"Bit of {plain(plan.design.name)}")


PATTERNS = (blank_pattern, head_pattern, bit_pattern)
