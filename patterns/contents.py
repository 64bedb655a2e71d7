"""The page in front of a set: what is in it and where, how tiles lie, how to check scale."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import groupby
from typing import TypeAlias

from .blank import ForgePlan
from .contour import Contour
from .drawing import Drawing, Purpose
from .lettering import plain, width
from .pages import Page
from .sheets.layout import BROAD, CAUTION, FIGURE, NOTE, TALL, TITLE, Board
from .sheets.words import AID, recipe
from .units import mass

NAME = "contents"
SCALES = (2, 5, 10)
"""The picture is one of these times smaller than the head: ISO 5455."""
PICTURE = (80.0, 45.0)
"""Room for the picture [mm]."""
SIZES = ((NOTE, 5.6, 5.0), (2.6, 4.7, 3.8), (2.3, 4.1, 3.1), (2.1, 3.6, 2.6))
"""Letters of the list, from line to line, and height of a sheet in the map of its tiles [mm]: the
first that fits a page."""
CELL = 7.0
"""Width of a sheet of paper in the map [mm]."""

CHECKING = (
    "Print at 100 %, actual size; turn off whatever fits, shrinks or centres. On the first page "
    "out, lay a steel rule on the three bars: 100 mm across, 4 in across, 100 mm up. If one is "
    "off by more than the width of its line, do not use the paper: print again, or let eyewrap "
    "printer correct for your printer. Paper swells in damp: check again on the day."
)
JOINING = (
    "A sheet on several pages: names run by row and column from the upper left, A1, A2, B1. Trim "
    "and glue as each edge says, cross on cross, and measure a length that runs over a join."
)


Laid: TypeAlias = Sequence[tuple[Drawing, Sequence[Page]]]
"""Drawings with the pages that show them."""


def draw(plan: ForgePlan, units: str, laid: Laid) -> Drawing:
    """The contents of what is laid out, page numbers counted with this page itself in front."""
    made = (_drawn(plan, units, laid, *size) for size in SIZES)
    for drawing in made:
        if drawing.bounds.height <= TALL:
            break
    return drawing


def _drawn(
    plan: ForgePlan, units: str, laid: Laid, letters: float, row: float, cell: float
) -> Drawing:  # fmt: skip
    board = Board(units)
    name = plain(plan.design.name)
    size = min(9.0, 9.0 * (BROAD - PICTURE[0] - 8.0) / width(name, 9.0))
    board.text(name, 0.0, -size, size, bold=True)
    beside = BROAD - PICTURE[0] - 8.0
    told = f"{recipe(plan, units)}. {mass(plan.head.mass, units)} finished."
    y = board.paragraph(told, 0.0, -size - 9.5, beside, FIGURE)
    if plan.design.order:
        y = board.paragraph(f"Order: {plain(plan.design.order)}", 0.0, y - 1.0, beside, FIGURE)
    y = min(y, _picture(board, plan, BROAD - PICTURE[0], -4.0)) - 6.0
    board.text("CONTENTS", 0.0, y, TITLE, bold=True)
    board.text("page", BROAD - 44.0, y, NOTE, "right")
    y -= 3.0
    board.line(Purpose.DIMENSION, (0.0, y), (BROAD, y))
    y -= 2.4 + letters
    number = 2
    for title, pages in _lines(laid):
        board.text(title, 0.0, y, min(letters, letters * (BROAD - 70.0) / width(title, letters)))
        last = number + len(pages) - 1
        span = f"{number}" if last == number else f"{number} to {last}"
        board.text(span, BROAD - 44.0, y, letters, "right")
        below = y - row
        if pages[0].tiled:
            foot = _map(board, pages, BROAD - 38.0, y + letters, cell)
            below = min(below, foot - 1.2 - letters)
        y, number = below, last + 1
    notes = min(NOTE, letters + 0.4)
    y = board.paragraph(CHECKING, 0.0, y - 3.0, BROAD, notes)
    if any(pages[0].tiled for _, pages in laid):
        y = board.paragraph(JOINING, 0.0, y - 1.0, BROAD, notes)
    board.paragraph(AID, 0.0, y - 1.0, BROAD, CAUTION)
    return board.drawing(NAME, f"Contents of {name}")


def _lines(laid: Laid) -> list[tuple[str, Sequence[Page]]]:
    """A line for each drawing; those that are counted through, and not tiled, share one."""
    found: list[tuple[str, Sequence[Page]]] = []

    def kind(each: tuple[Drawing, Sequence[Page]]) -> str:
        drawing, pages = each
        return drawing.name if pages[0].tiled else re.sub(r"\d+", "#", _counted(drawing.title))

    for _, group in groupby(laid, kind):
        drawings = list(group)
        title, last = drawings[0][0].title, drawings[-1][0].title
        if len(drawings) > 1:
            title, last = _counted(title), _counted(last)
        if title != last:  # of the stages
            first, end = (re.findall(r"\d+", each)[0] for each in (title, last))
            title = f"{title.split()[0]}s {first} to {end}"
        found.append((title, [page for _, pages in drawings for page in pages]))
    return found


def _counted(title: str) -> str:
    """What a title says of its place in a row of drawings, without what is its own.

    >>> _counted("Stage 3 of 10: ears spread"), _counted("Figures, page 1 of 3")
    ('Stage 3 of 10', 'Figures')
    """
    title = re.sub(r"^(Stage \d+ of \d+): .*", r"\1", title)
    return re.sub(r", page \d+ of \d+$", "", title)


def _map(board: Board, pages: Sequence[Page], x: float, top: float, tall: float) -> float:
    """The tiles of one sheet as they lie, each with its name; returns its lower edge."""
    places = {page.name: (page.window.left, -page.window.top) for page in pages}
    across = sorted({round(left, 3) for left, _ in places.values()})
    down = sorted({round(up, 3) for _, up in places.values()})
    wide = min(CELL, 38.0 / len(across))
    for name, (left, up) in places.items():
        x0 = x + across.index(round(left, 3)) * wide
        y0 = top - (down.index(round(up, 3)) + 1) * tall
        board.add(Contour.rectangle(x0, y0, x0 + wide, y0 + tall), Purpose.THIN)
        size = min(tall - 1.2, 2.4, 2.4 * (wide - 1.6) / width(name, 2.4))
        board.text(name, x0 + wide / 2.0, y0 + (tall - size) / 2.0, size, "middle")
    return top - len(down) * tall


def _picture(board: Board, plan: ForgePlan, x: float, top: float) -> float:
    """The head from the side, smaller by a whole number that is written under it."""
    head = plan.head
    box = head.side.contour.bounds
    scale = next(
        (s for s in SCALES if box.width <= PICTURE[0] * s and box.height <= PICTURE[1] * s),
        SCALES[-1],
    )
    left, high = x - box.left / scale, top - box.top / scale
    board.add(head.side.contour.scaled(1.0 / scale), Purpose.OUTLINE, at=(left, high))
    low = high + box.bottom / scale
    board.text(f"picture at 1 : {scale}", x, low - 5.0, NOTE)
    return low - 5.0
