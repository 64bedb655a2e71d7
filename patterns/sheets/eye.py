"""Sheet 5: sections of the eye, to test a drift or a handle against."""

from __future__ import annotations

from ..blank import ForgePlan
from ..drawing import Drawing, Purpose
from ..lettering import width
from ..units import length
from .layout import CAUTION, FIGURE, NOTE, TITLE, Board
from .words import AID, HANGING

NAME = "eye"
TITLE_TEXT = "Eye and drift: sections to test against"


def draw(plan: ForgePlan, units: str) -> Drawing:
    """Three sections in a row, and the eye's perimeter as a straight line."""
    board = Board(units)
    head, eye = plan.head, plan.design.eye
    wide = head.eye.length
    sections = head.eye_sections
    top = max(contour.bounds.top for _, _, contour in sections)
    low = min(contour.bounds.bottom for _, _, contour in sections)
    x = 0.0
    for name, y, contour in sections:
        box = contour.bounds
        middle = x + wide / 2.0
        board.add(contour, Purpose.OUTLINE, at=(x, 0.0))
        board.line(Purpose.CENTRE, (x + box.left - 4.0, 0.0), (x + box.right + 4.0, 0.0))
        board.line(Purpose.CENTRE, (middle, low - 3.0), (middle, top + 3.0))
        board.text(name.upper(), middle, top + 10.5, TITLE, "middle", bold=True)
        side = "above" if y > 0 else "below"
        where = f"{length(abs(y), units)} {side}" if y else "on the centre line"
        board.text(where, middle, top + 5.0, NOTE, "middle")
        board.across(x + box.left, x + box.right, low - 9.0, length(box.width, units),
                     starts=(0.0, 0.0))  # fmt: skip
        board.upright(box.bottom, box.top, x + box.right + 8.0, length(box.height, units),
                      starts=(middle, middle))  # fmt: skip
        x += wide + 28.0

    strip = low - 27.0
    around = head.eye.perimeter
    board.text("Paper strip round handle or drift, at the middle of the eye:", 0.0, strip + 6.0,
               FIGURE)  # fmt: skip
    board.line(Purpose.OUTLINE, (0.0, strip), (around, strip))
    for end in (0.0, around):
        board.line(Purpose.OUTLINE, (end, strip - 3.0), (end, strip + 3.0))
    board.across(0.0, around, strip - 9.0, f"perimeter {board.measure(around)}",
                 starts=(strip - 3.0, strip - 3.0), bold=True)  # fmt: skip

    # a figure that stands upright above its dimension must clear this row
    tallest = max(width(length(c.bounds.height, units), FIGURE) for _, _, c in sections)
    row = top + max(18.0, tallest + 5.0)
    size = f"{length(head.eye.length, units)} x {length(head.eye.width, units)}"
    board.text(f"EYE  {eye.form}, {size}", 0.0, row + 8.0, 6.5, bold=True)
    thinnest, thickest = head.wall_range
    if eye.taper:
        wider = "top" if eye.taper > 0 else "bottom"
        text = f"Tapered: {length(abs(eye.taper), units)} wider at the {wider} of the ears. "
        text += f"Wall {length(thinnest, units)} to {length(thickest, units)}."
    else:
        text = "Straight: the same section from top to bottom. "
        text += f"Wall {board.measure(plan.strap.wall)}."
    board.text(f"{text}  Cold sizes: a drift at red heat stands larger.", 0.0, row, NOTE)
    board.paragraph(f"{HANGING} {AID}", 0.0, strip - 17.0, 200.0, CAUTION)
    return board.drawing(NAME, TITLE_TEXT)
