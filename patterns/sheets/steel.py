"""The proof sheet that shows the blank's template, as it will be cut."""

from __future__ import annotations

from .. import templates
from ..blank import ForgePlan
from ..drawing import Drawing
from ..errors import BadInputError
from .layout import CAUTION, NOTE, Board

NAME = "steel"
TITLE_TEXT = "Steel pattern of the blank: proof"
WIDE = 225.0
"""How wide its words run [mm]."""


def draw(plan: ForgePlan, units: str) -> tuple[Drawing, ...]:
    """The blank's template as it comes with the set, for the file."""
    board = Board(units)
    try:
        cut = templates.blank_part(plan, templates.usual_way(units)).drawing(NAME, TITLE_TEXT)
    except BadInputError as error:
        board.text("NO STEEL PATTERN OF THE BLANK", 0.0, 0.0, 6.5, bold=True)
        board.paragraph(" ".join(map(str, error.faults)), 0.0, -8.0, WIDE, NOTE)
        return (board.drawing(NAME, TITLE_TEXT),)
    board.strokes += cut.strokes
    board.labels += cut.labels
    box = cut.bounds
    board.text("STEEL PATTERN OF THE BLANK", box.left, box.top + 18.0, 6.5, bold=True)
    board.paragraph(
        templates.notches_said(plan), box.left, box.top + 6.0, WIDE, NOTE, upwards=True
    )  # fmt: skip
    board.paragraph(
        "Cut from the file of the same revision, not from this sheet. Nominal size: the cutter "
        "offsets the kerf. Break the sharp edges before the pattern is handled.",
        box.left, box.bottom - 8.0, WIDE, CAUTION,
    )  # fmt: skip
    return (board.drawing(NAME, TITLE_TEXT),)
