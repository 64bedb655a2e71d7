"""Sheet 5: sections of the eye, to test a drift or a handle against; what measures read hot."""

from __future__ import annotations

from .. import rounding
from ..blank import ForgePlan
from ..contour import Contour, Point
from ..drawing import Drawing, Purpose
from ..fire import hot_table, sheet_heats
from ..units import length
from .layout import CAUTION, FIGURE, NOTE, TITLE, Board
from .words import AID, doubts, hanging, slips_on

NAME = "eye"
TITLE_TEXT = "Eye and drift: sections to test against"

GAP = 28.0
"""Room between two sections, for a dimension [mm]."""
WIDEST_ROW = 250.0
"""A row of sections that is wider than this is broken in two, to stay on a sheet of letter [mm]."""
BESIDE = 14.0
"""From a section to the table of hot readings, clear of the section's dimension [mm]."""
NARROW = 112.0
"""Room for the table of hot readings [mm]."""

BY_TABLE = (
    "Chapman's colours, each at the middle of its range. Other tables have them up to 200 C "
    "(360 F) away: 4 in 1000 of a reading."
)
"""200 C times 2e-5 for each degree, the slope of the hot branch of EN 1993-1-2, is 4e-3."""


def draw(plan: ForgePlan, units: str) -> tuple[Drawing, ...]:
    """Three sections, and the eye's perimeter as a straight line."""
    board = Board(units)
    head, eye = plan.head, plan.design.eye
    sections = head.eye_sections
    tall = max(contour.bounds.height for _, _, contour in sections)
    a_row = 3 if 3.0 * (head.eye.length + GAP) <= WIDEST_ROW else 2
    low = 0.0
    for i, (name, height, contour) in enumerate(sections):
        at = ((i % a_row) * (head.eye.length + GAP), -(i // a_row) * (tall + 30.0))
        side = "above" if height > 0 else "below"
        where = f"{length(abs(height), units)} {side}" if height else "on the centre line"
        _section(board, contour, at, tall / 2.0, name.upper(), where)
        low = at[1] - tall / 2.0 - 9.0

    broad, strip = 200.0, low - 15.5
    if a_row == 2:  # there is room beside the third section
        broad = max(broad, 2.0 * (head.eye.length + GAP) + 45.0)
        beside = _hot(
            board, plan, head.eye.length + GAP + BESIDE, -tall / 2.0 - 18.0, NARROW
        )  # fmt: skip
        strip = min(strip, beside - FIGURE - 3.0)
    around = head.eye.perimeter
    board.text("Paper strip round handle or drift, at the middle of the eye:", 0.0, strip + 6.0,
               FIGURE)  # fmt: skip
    board.line(Purpose.OUTLINE, (0.0, strip), (around, strip))
    for end in (0.0, around):
        board.line(Purpose.OUTLINE, (end, strip - 3.0), (end, strip + 3.0))
    board.across(0.0, around, strip - 9.0, f"perimeter {board.measure(around)}",
                 starts=(strip - 3.0, strip - 3.0), bold=True)  # fmt: skip

    top = tall / 2.0 + 18.0
    size = f"{length(head.eye.length, units)} x {length(head.eye.width, units)}"
    thinnest, thickest = head.wall_range
    if eye.taper or eye.flare:
        text = ""
        if eye.taper:
            wider = "top" if eye.taper > 0 else "bottom"
            text = f"Tapered: {length(abs(eye.taper), units)} wider at the {wider} of the ears. "
        if eye.flare:
            text += (
                f"Waisted: {length(eye.flare, units)} wider at top and bottom than in the middle; "
                "drift from both sides. "
            )
        text += f"Wall {length(thinnest, units)} to {length(thickest, units)}."
        if head.wedge_room > 0.0 and not slips_on(plan):
            text += f" Room for the wedge: {board.measure(head.wedge_room)} at the top."
    else:
        text = "Straight: the same section from top to bottom. "
        text += f"Wall {board.measure(plan.strap.wall)}."
    text += " Cold sizes: a drift at red heat stands larger."
    above = board.paragraph(text, 0.0, top, 225.0, NOTE, upwards=True)
    board.text(f"EYE  {eye.form}, {size}", 0.0, above + 2.0, 6.5, bold=True)
    y = strip - 15.4
    if a_row == 3:
        y = _hot(board, plan, 0.0, y, 200.0) - 1.0
    for doubt in doubts(plan, "eye"):
        y = board.paragraph(doubt, 0.0, y, broad, NOTE)
    board.paragraph(f"{hanging(plan)} {AID}", 0.0, y, broad, CAUTION)
    return (board.drawing(NAME, TITLE_TEXT),)


def _hot(board: Board, plan: ForgePlan, x: float, y: float, wide: float) -> float:
    """What this head's measures read hot, a row for each heat; returns the next free baseline."""
    strap = "side" if plan.fold.waisted else plan.fold.strap
    measures = [
        *((name, rounding.aim(plan, key, board.units)) for name, key in
          ((strap, "dividers"), ("over all", "over all"))),
        ("eye long", plan.head.eye.length),
    ]  # fmt: skip
    if plan.bit is not None:
        measures.append(("bit long", plan.bit.length))
    rows = hot_table(measures, sheet_heats(), board.units, "Hot readings")
    y = board.table(list(zip(*rows, strict=True)), x, y)
    return board.paragraph(BY_TABLE, x, y - 1.0, wide, NOTE)


def _section(board: Board, contour: Contour, at: Point, half: float, name: str, where: str) -> None:
    """One section with its name above and its two dimensions."""
    moved = contour.moved(*at)
    box, y = moved.bounds, at[1]
    middle = (box.left + box.right) / 2.0
    board.add(moved, Purpose.OUTLINE)
    board.line(Purpose.CENTRE, (box.left - 4.0, y), (box.right + 4.0, y))
    board.line(Purpose.CENTRE, (middle, y - half - 3.0), (middle, y + half + 3.0))
    board.text(name, middle, y + half + 10.5, TITLE, "middle", bold=True)
    board.text(where, middle, y + half + 5.0, NOTE, "middle")
    board.across(box.left, box.right, y - half - 9.0, length(box.width, board.units),
                 starts=(y, y))  # fmt: skip
    board.upright(box.bottom, box.top, box.right + 8.0, length(box.height, board.units),
                  starts=(middle, middle))  # fmt: skip
