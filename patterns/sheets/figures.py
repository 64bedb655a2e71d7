"""Every figure of the plan on paper, as ``plan.json`` has it: for the file."""

from __future__ import annotations

from ..blank import ForgePlan
from ..card import Notes, card
from ..drawing import Drawing
from ..lettering import plain
from .layout import BROAD, Board, Part, flow

NAME = "figures"
LETTERS = 2.1
"""Height of the letters [mm]."""


def draw(plan: ForgePlan, units: str) -> tuple[Drawing, ...]:
    """The groups of the plan one below the other, on as many pages as they need."""
    found = card(plan, units)

    def heading(board: Board, y: float) -> float:
        board.text("FIGURES OF THE PLAN", 0.0, y - 6.5, 6.5, bold=True)
        return board.paragraph("In mm, mm2, mm3, g, degrees and deg C, as plan.json has them.",
                               0.0, y - 12.5, BROAD)  # fmt: skip

    pages = flow(units, [heading, *(_group(notes) for notes in found.figures)], 1.5)
    return tuple(
        board.drawing(f"{NAME}-{number}", f"Figures of the plan, page {number} of {len(pages)}")
        for number, board in enumerate(pages, 1)
    )


def _group(notes: Notes) -> Part:
    def put(board: Board, y: float) -> float:
        board.text(plain(notes.title), 0.0, y - LETTERS, LETTERS, bold=True)
        text = plain(" ".join(notes.lines))
        return board.paragraph(text, 0.0, y - LETTERS - 3.8, BROAD, LETTERS) + LETTERS

    return put
