"""Sheet 7: the log to fill in at the anvil, with what the plan expects beside it.

A row for each heading of the log, in the order in which a smith measures; a column for each piece.
The headings are the file's own, units and all, so that what is written here can be typed as it
stands.
"""

from __future__ import annotations

from dataclasses import dataclass

from .. import rounding
from ..blank import ForgePlan
from ..contour import Contour
from ..derived import eye_heights
from ..drawing import Drawing, Purpose
from ..units import GRAMS_PER_POUND, inches, section
from .layout import CAUTION, NOTE, TITLE, Board
from .words import AID, HOT_WORK

NAME = "log"
TITLE_TEXT = "Log: to fill in at the anvil"

PIECES = 8
LABEL = 67.0
"""Width of the column of headings [mm]."""
PLAN = 27.0
"""Width of the column of what is planned [mm]."""
BOX = 18.0
"""Width of a box to write in [mm]."""
TALL = 5.4
"""Height of a box [mm]."""
HINT = 2.1
"""Letters of the hints beside the headings [mm]."""


@dataclass(frozen=True)
class Line:
    """One row of the sheet: the file's heading, a hint how to measure, what the plan expects."""

    heading: str
    hint: str
    planned: str


def draw(plan: ForgePlan, units: str) -> tuple[Drawing, ...]:
    """Three groups of rows: before the fire, at the fire, after it."""
    board = Board(units)
    right = LABEL + PLAN + PIECES * BOX
    board.text("LOG OF PIECES", 0.0, 2.5, TITLE, bold=True)
    y = _row(board, 0.0, Line("name", "of the piece", "planned"), right)
    for title, lines_of in lines(plan, units).items():
        board.text(title, 1.6, y - TALL + (TALL - NOTE) / 2.0, NOTE, bold=True)
        y -= TALL
        board.line(Purpose.THIN, (0.0, y), (right, y))
        for line in lines_of:
            y = _row(board, y, line, right)
    for x in (LABEL, *(LABEL + PLAN + i * BOX for i in range(PIECES + 1))):
        board.line(Purpose.THIN, (x, 0.0), (x, y))
    board.add(Contour.rectangle(0.0, y, right, 0.0), Purpose.OUTLINE)
    text = (
        "Fill in what you measure; leave the rest empty. Then type it into a CSV file with these "
        "headings, a row for each piece, and: eyewrap learn LOG --smith FILE."
    )
    if not plan.fold.logged:
        text = "For your own book: eyewrap learn reads no pieces of this fold."
    y = board.paragraph(text, 0.0, y - 5.5, right, NOTE)
    board.paragraph(f"{HOT_WORK} {AID}", 0.0, y - 1.0, right, CAUTION)
    return (board.drawing(NAME, TITLE_TEXT),)


def _row(board: Board, y: float, line: Line, right: float) -> float:
    """Heading, hint and plan of a row whose top is at y, and the rule below; returns its foot."""
    base, foot = y - TALL + (TALL - NOTE) / 2.0, y - TALL
    board.text(line.heading, 2.0, base, NOTE)
    board.text(line.hint, LABEL - 1.5, base, HINT, "right")
    sizes = (2.4, 2.2) if "/" in line.planned else (NOTE, 2.6, 2.2)  # clear of the rules
    size = next((s for s in sizes if board.fits(line.planned, PLAN - 3.0, s)), 1.8)
    level = foot + (TALL - size) / 2.0
    board.text(line.planned, LABEL + PLAN - 1.5, level, size, "right")
    board.line(Purpose.THIN, (0.0, foot), (right, foot))
    return foot


def lines(plan: ForgePlan, units: str) -> dict[str, list[Line]]:
    """The rows of each group, by when they are measured."""
    design, strap, a = plan.design, plan.strap, plan.design.allowances
    bar, eye = design.bar, plan.head.eye
    masses = {stage.name: stage.mass for stage in plan.stages}

    def size(heading: str, hint: str, mm: float) -> Line:
        shown = inches(mm) if units == "in" else f"{mm:.1f}"
        return Line(f"{heading} [{units}]", hint, shown)

    def ruled(heading: str, hint: str, name: str) -> Line:
        shown = rounding.hit(plan, name, units).removesuffix(f" {units}")
        return Line(f"{heading} [{units}]", hint, shown)

    def weight(heading: str, hint: str, grams: float) -> Line:
        if units == "in":
            return Line(f"{heading} [oz]", hint, f"{grams / GRAMS_PER_POUND * 16.0:.1f}")
        return Line(f"{heading} [g]", hint, f"{grams:.0f}")

    logged = plan.fold.logged
    drawn = [ruled(f"drawn {side}", "cold", "dividers") for side in ("left", "right")]
    if plan.fold.straps == 1:
        drawn = [ruled("drawn", "the tongue, cold", "dividers")]
    steel = masses.get("bit cut", 0.0) + masses.get("plate cut", 0.0)
    return {
        "BEFORE THE FIRE": [
            Line("fold", "", plan.fold.name),
            Line("section", "of the bar", section(bar.section)),
            ruled("length", "as cut", "cut"),
            *([ruled("poll", "mark to mark", "poll")] if logged else []),
            ruled(
                "shoulders",
                "mark to mark" if plan.fold.halves == 2 else "of the tongue",
                "shoulders",
            ),
            weight("mass in", "as cut", masses["bar cut"]),
            *([weight("bit mass", "plate and all", steel)] if steel else []),
        ],
        "AT THE FIRE": [
            size("bite", "under one blow", design.hand.bite),
            Line("heats", "a stroke for each", f"{a.heats}"),
            *([Line("bit heats", "a stroke for each", f"{a.bit_heats}")] if steel else []),
            *drawn,
        ],
        "FORGED, BEFORE GRINDING": [
            size("wall", "mean of both", strap.wall),
            size("ears", "tip to tip", sum(eye_heights(design))),
            Line("edges", "free, dressed or peened", plan.spread.edges),
            Line("drift stretch", "of the walls", f"{a.drift_stretch * 100:g} %"),
            Line("eye form", "", design.eye.form),
            size("eye length", "at mid-height", eye.length),
            size("eye width", "at mid-height", eye.width),
            size("eye perimeter", "or by strip", eye.perimeter),
            Line("eye ratio", "with the strip", f"{eye.length / eye.width:.2f}"),
            weight("mass out", "brushed clean", masses["forged"]),
        ],
    }
