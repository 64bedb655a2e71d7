"""The patterns that are cut from sheet steel, and the proof sheet that shows the blank's.

On the blank's pattern the poll marks are even notches in one long edge; the shoulder marks are
notches with one upright side, like the step itself, in the other. So the pattern cannot be read the
wrong way round, and in both kinds the deepest point is the mark. A waisted plate has no notches:
its own outline shows where the waist begins. All contours are nominal: whoever cuts them offsets
the kerf.
"""

from __future__ import annotations

import shapely

from .. import report, rounding
from ..blank import ForgePlan
from ..contour import Contour, Point
from ..drawing import Drawing, Purpose
from ..lettering import plain, width
from ..units import section
from .common import bar_face, towards_thick
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


def draw(plan: ForgePlan, units: str) -> tuple[Drawing, ...]:
    """The blank's pattern as it will be cut, for the file."""
    cut = blank_pattern(plan, units)
    board = Board(units)
    board.strokes += cut.strokes
    board.labels += cut.labels
    box = cut.bounds
    board.text("STEEL PATTERN OF THE BLANK", box.left, box.top + 18.0, 6.5, bold=True)
    board.paragraph(
        _signs(plan),
        box.left, box.top + 6.0, 225.0, NOTE, upwards=True,
    )  # fmt: skip
    board.paragraph(
        "Cut from the file of the same revision, not from this sheet. Nominal size: the cutter "
        "offsets the kerf. Break the sharp edges before the pattern is handled.",
        box.left, box.bottom - 8.0, 225.0, CAUTION,
    )  # fmt: skip
    return (board.drawing(NAME, TITLE_TEXT),)


def _signs(plan: ForgePlan) -> str:
    """What the notches mean."""
    if plan.fold.waisted:
        return "The outline is the plate's own: the shoulders are where its waist begins."
    steps = "shoulder and poll marks" if plan.fold.back == "cut" else "shoulder marks"
    if plan.fold.halves == 1:
        steps = "shoulder mark"
    sides = f"Notches with an upright side: {steps}, inner face. The deepest point is the mark."
    match plan.fold.back:
        case "block":
            return f"Even notches: poll marks, outer face. {sides}"
        case "cut":
            return f"Even notch: the cut, outer face. {sides}"
    return sides


def blank_pattern(plan: ForgePlan, units: str) -> Drawing:
    """Outline with notches and hanging hole to cut; centre line and recipe to mark."""
    board = Board(units)
    wide = plan.design.bar.width
    start, end = plan.parts[0].start, plan.parts[-1].end
    depth = min(NOTCH, wide / 5.0)
    outline = bar_face(plan).moved(0.0, wide / 2.0)
    if not plan.fold.waisted:
        outline = Contour.polygon(_notched(plan, start, end, wide, depth))
    board.add(outline, Purpose.CUT)
    radius = min(HOLE, wide / 8.0)
    hole = end - 3.5 * radius
    if plan.fold.halves == 1:  # in the tongue, clear of the letters on the body
        hole = max(hole, plan.half + 3.5 * radius)
    board.add(Contour.circle(hole, wide / 2.0, radius).reversed(), Purpose.CUT)
    mark_text = report.revision(plan.design)
    board.text(mark_text, hole, wide / 2.0 - radius - 1.5 - SMALL, SMALL, "middle")
    right = hole - max(radius + 3.0, width(mark_text, SMALL) / 2.0 + 2.0)
    middle = 0.0 if plan.fold.halves == 2 else (start + right) / 2.0
    if plan.fold.halves == 2:
        half = plan.strap.raw_width / 2.0 - depth - 1.0
        board.line(Purpose.MARK, (0.0, wide / 2.0 - half), (0.0, wide / 2.0 + half))
    room = min(plan.strap.raw_width, wide) - 2.0 * (depth + 1.5)
    _letters(board, plan, units, (start + 3.0, middle - 2.0, middle + 2.0, right), wide, room)
    return board.drawing("blank", f"Blank of {plain(plan.design.name)}")


def _notched(plan: ForgePlan, start: float, end: float, wide: float, depth: float) -> list[Point]:
    """The bar's face with a notch for each mark: those of the inner face in the lower edge, plumb
    on the strap's side; those of the outer face in the upper one, even."""
    low, high = [(start, 0.0)], [(end, wide)]
    for mark in sorted(plan.marks, key=lambda mark: mark.x):
        if mark.face == "inner":
            thick = towards_thick(plan, mark)
            notch = [(mark.x, 0.0), (mark.x, depth), (mark.x + thick * 0.75 * depth, 0.0)]
            low += notch if thick > 0.0 else notch[::-1]
    half = depth / 2.0
    for mark in sorted(plan.marks, key=lambda mark: -mark.x):
        if mark.face == "outer":
            high += [(mark.x + half, wide), (mark.x, wide - depth), (mark.x - half, wide)]
    return [*low, (end, 0.0), *high, (start, wide)]


def _letters(
    board: Board, plan: ForgePlan, units: str, ends: tuple[float, float, float, float],
    wide: float, room: float,
) -> None:  # fmt: skip
    """Recipe in two columns beside the middle, clear of the notches.

    ``ends`` are where each column begins and ends, ``room`` the height that they may take [mm].
    """
    fold = plan.fold

    def hit(name: str) -> str:
        return rounding.hit(plan, name, units)

    marks = [f"S {hit('shoulders')}"]
    if plan.poll:
        marks.insert(0, f"P {hit('poll')}")
    if fold.halves == 1:
        marks = [f"{fold.half} {hit('shoulder mark')}"]
    each = "side" if fold.waisted else fold.strap
    columns = (
        (*ends[:2], [
            plain(plan.design.name),
            section(plan.design.bar.section),
            f"cut {hit('cut')}",
        ]),
        (*ends[2:], [*marks, f"{each} {hit('dividers')}"]),
    )  # fmt: skip
    size = min(LETTERS, room / (2.0 * PITCH + 1.7))
    for start, end, rows in columns:
        fit = min([size, *(size * (end - start) / width(row, size) for row in rows)])
        y = wide / 2.0 + (len(rows) - 1) / 2.0 * PITCH * fit - fit / 2.0
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


def bit_pattern(plan: ForgePlan, units: str) -> Drawing | None:
    """The bit's blank as it is cut from its stock; None if the head has none."""
    bit = plan.bit
    if bit is None:
        return None
    return _stock_pattern(
        "bit", plan, units, bit.cut_length, bit.stock, plain(plan.design.bit.steel)
    )


def plate_pattern(plan: ForgePlan, units: str) -> Drawing | None:
    """The blank of the poll's plate; None if it has none."""
    plate = plan.plate
    if plate is None:
        return None
    return _stock_pattern(
        "plate", plan, units, plate.cut_length, plate.stock, plain(plan.design.plate.steel)
    )


def _stock_pattern(
    name: str, plan: ForgePlan, units: str, cut: float, stock: tuple[float, float], steel: str
) -> Drawing:
    board = Board(units)
    board.add(Contour.rectangle(0.0, 0.0, cut, stock[1]), Purpose.CUT)
    text = f"{steel}  {section(stock)}  {report.revision(plan.design)}"
    size = min(LETTERS, LETTERS * (cut - 4.0) / width(text, LETTERS), stock[1] / 3)
    board.text(text, cut / 2.0, stock[1] / 2.0 - size / 2.0, size, "middle")
    return board.drawing(name, f"{name.title()} of {plain(plan.design.name)}")


PATTERNS = (blank_pattern, head_pattern, bit_pattern, plate_pattern)
"""What is cut; each gives None where the head has nothing of the kind."""
