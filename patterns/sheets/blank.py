"""Sheet 1: the bar, full size, with the marks of each face on a strip of its own."""

from __future__ import annotations

from ..blank import ForgePlan
from ..contour import Contour
from ..drawing import Drawing, Purpose
from ..lettering import plain, width
from ..units import fine, length, section
from .layout import CAUTION, FIGURE, NOTE, TITLE, Board, flag_mark, wedge_mark
from .words import AID, HOT_WORK

NAME = "blank"
TITLE_TEXT = "Blank: the bar and its marks"
RECIPE = 7.5


def draw(plan: ForgePlan, units: str) -> Drawing:
    """The outer face above, the inner face below, on one centre line."""
    board = Board(units)
    bar = plan.design.bar
    half, wide = plan.cut_length / 2.0, bar.width
    poll, shoulder = plan.poll / 2.0, plan.shoulders / 2.0

    # inner face, its lower edge at y = 0
    board.add(Contour.rectangle(-half, 0.0, half, wide), Purpose.OUTLINE)
    for x in (-shoulder, shoulder):
        board.line(Purpose.MARK, (x, 0.0), (x, wide))
        board.add(flag_mark(x, -0.8, x), Purpose.MARK)
    board.text("INNER FACE", -half, wide + 2.2, TITLE, bold=True)
    for left, right in ((-half, -shoulder), (shoulder, half)):
        _inside(board, "HALF", left, right, 3.0)
    _inside(board, "STRAP", -shoulder, 0.0, 3.0)
    _inside(board, "thin here", 0.0, shoulder, 3.0)
    level = -11.0
    board.across(-shoulder, shoulder, level, f"S  {board.measure(plan.shoulders)}",
                 starts=(-5.5, -5.5), bold=True)  # fmt: skip
    board.across(-half, half, level - 11.0, f"L  cut  {board.measure(plan.cut_length)}",
                 starts=(0.0, 0.0), bold=True)  # fmt: skip

    # outer face, above
    base = wide + 10.0
    board.add(Contour.rectangle(-half, base, half, base + wide), Purpose.OUTLINE)
    for x in (-poll, poll):
        board.line(Purpose.MARK, (x, base), (x, base + wide))
        board.add(wedge_mark(x, base + wide + 0.8, down=True), Purpose.MARK, filled=True)
    size = min(TITLE, TITLE * (half - poll - 4.0) / width("OUTER FACE", TITLE))
    board.text("OUTER FACE", -half, base + wide + 2.2, size, bold=True)
    _inside(board, "POLL", -poll, 0.0, base + 3.0)
    _inside(board, "thick", 0.0, poll, base + 3.0)
    top = base + wide + 10.0
    board.across(-poll, poll, top, f"P  {board.measure(plan.poll)}",
                 starts=(top - 6.0, top - 6.0), bold=True)  # fmt: skip
    board.line(Purpose.CENTRE, (0.0, -3.0), (0.0, top + 3.0))

    recipe = f"{section(bar.section)}   cut {length(plan.cut_length, units)}"
    board.text(recipe, -half, top + 7.5, RECIPE, bold=True)
    broad = max(2.0 * half, 190.0)
    y = board.paragraph(
        f"From the centre line: poll marks {length(poll, units)} ({fine(poll, units)}), shoulder "
        f"marks {length(shoulder, units)} ({fine(shoulder, units)}), ends {length(half, units)} "
        f"({fine(half, units)}). Solid points: OUTER face. Open flags: INNER face. Punch deep; "
        f"chalk does not survive the fire. Steel: {plain(bar.steel)}.",
        -half, level - 11.0 - 7.0, broad, NOTE,
    )  # fmt: skip
    board.paragraph(f"{HOT_WORK} {AID}", -half, y - 1.0, broad, CAUTION)
    return board.drawing(NAME, TITLE_TEXT)


def _inside(board: Board, text: str, left: float, right: float, y: float) -> None:
    """A word in the middle between two lines of the strip, if there is room for it."""
    size = next((s for s in (FIGURE, NOTE) if board.fits(text, right - left - 2.0, s)), None)
    if size is not None:
        board.text(text, (left + right) / 2.0, y, size, "middle")
