"""The page in front of a set: what is in it and where, how tiles lie, how to check scale."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import groupby
from typing import TypeAlias

from . import report
from .blank import ForgePlan
from .contour import Contour
from .drawing import Drawing, Purpose
from .lettering import plain, width, wrapped
from .pages import Page
from .sheets.layout import BROAD, CAUTION, FIGURE, NOTE, TALL, TITLE, Board
from .sheets.words import AID
from .units import mass

NAME = "contents"
SCALES = (2, 5, 10)
"""The picture is one of these times smaller than the head: ISO 5455."""
PICTURE = (80.0, 45.0)
"""Room for the picture [mm]."""
CELL = 7.0
"""Width of one sheet of paper in the map of a sheet's tiles, at most [mm]."""
LINES = ((NOTE, 5.6), (2.6, 4.9), (2.4, 4.3), (2.2, 3.8))
"""Height of the letters, and from line to line of the contents [mm]."""

CHECKING = (
    "Print at 100 %, actual size; turn off whatever fits, shrinks or centres. On the first page "
    "out, lay a steel rule on the three bars: 100 mm across, 4 in across, 100 mm up. If one is "
    "off by more than the width of its line, do not use the paper: print again, or let eyewrap "
    "printer correct for your printer. Paper swells in damp: check again on the day."
)
JOINING = (
    "A sheet on several pages: names run by row and column from the upper left, A1, A2, B1. Trim "
    "and glue as each edge says, cross on cross, and measure a bar that runs over the join."
)


Laid: TypeAlias = Sequence[tuple[Drawing, Sequence[Page]]]
"""Drawings with the pages that show them."""


def draw(plan: ForgePlan, units: str, laid: Laid) -> Drawing:
    """The contents of what is laid out, page numbers counted with this page itself in front.

    One page: the longer the list, the closer its lines.
    """
    for letters, row in LINES:
        drawing = _page(plan, units, laid, letters, row)
        if drawing.bounds.height <= TALL:
            break
    return drawing


def _page(plan: ForgePlan, units: str, laid: Laid, letters: float, row: float) -> Drawing:
    board = Board(units)
    name = plain(plan.design.name)
    beside = BROAD - PICTURE[0] - 8.0
    size = min(9.0, 9.0 * beside / width(name, 9.0))
    board.text(name, 0.0, -size, size, bold=True)
    told = f"{report.recipe(plan, units)}. {mass(plan.head.mass, units)} finished."
    y = board.paragraph(told, 0.0, -size - 9.5, beside, FIGURE)
    if plan.design.order:
        y = board.paragraph(f"Order: {plain(plan.design.order)}", 0.0, y - 1.0, beside, FIGURE)
    y = min(y, _picture(board, plan, BROAD - PICTURE[0], -4.0)) - 6.0
    board.text("CONTENTS", 0.0, y, TITLE, bold=True)
    board.text("PDF page", BROAD - 44.0, y, letters, "right")
    y -= 3.0
    board.line(Purpose.DIMENSION, (0.0, y), (BROAD, y))
    y -= 1.8 + letters * 1.2
    number = 2
    for title, pages in _lines(laid):
        first, *rest = wrapped(title, BROAD - 66.0, letters)
        board.text(first, 0.0, y, letters)
        last = number + len(pages) - 1
        told = f"{number}" if last == number else f"{number} to {last}"
        board.text(told, BROAD - 44.0, y, letters, "right")
        if pages[0].tiled:
            y = _map(board, pages, BROAD - 38.0, y, row)
        else:
            y -= row
        for each in rest:
            board.text(each, 4.0, y, letters)
            y -= row
        number = last + 1
    y = board.paragraph(CHECKING, 0.0, y - 3.0, BROAD, letters)
    if any(pages[0].tiled for _, pages in laid):
        y = board.paragraph(JOINING, 0.0, y - 1.0, BROAD, letters)
    board.paragraph(AID, 0.0, y - 1.0, BROAD, min(CAUTION, letters))
    return board.drawing(NAME, f"Contents of {name}")


def _lines(laid: Laid) -> list[tuple[str, Sequence[Page]]]:
    """A line for each drawing; those that belong together, and are not tiled, share one."""
    found: list[tuple[str, Sequence[Page]]] = []

    def kind(each: tuple[Drawing, Sequence[Page]]) -> str:
        drawing, pages = each
        return drawing.name if pages[0].tiled else re.sub(r"\d+", "#", drawing.title.split(":")[0])

    for _, group in groupby(laid, kind):
        drawings = list(group)
        found.append((_title([drawing.title for drawing, _ in drawings]),
                      [page for _, pages in drawings for page in pages]))  # fmt: skip
    return found


def _title(titles: Sequence[str]) -> str:
    """One title of several: the first and the last of what is counted, or what each shows.

    >>> _title(["Drift: views", "Drift: sections"])
    'Drift: views; sections'
    >>> _title(["Stage 1 of 9: marked", "Stage 2 of 9: cut", "Stage 3 of 9: ground"])
    'Stages 1 to 3 of 9: marked to ground'
    >>> _title(["Figures, page 1 of 2", "Figures, page 2 of 2"])
    'Figures'
    """
    if len(titles) == 1:
        return titles[0]
    (start, *said), (end, *told) = (titles[i].split(": ", 1) for i in (0, -1))
    counted = re.fullmatch(r"Stage (\d+) of (\d+)", start)
    last = re.fullmatch(r"Stage (\d+) of \d+", end)
    if counted is not None and last is not None:
        return f"Stages {counted[1]} to {last[1]} of {counted[2]}: {said[0]} to {told[0]}"
    each = dict.fromkeys(title.split(": ", 1)[1] for title in titles if ": " in title)
    if each:
        return f"{start}: {'; '.join(each)}"
    return re.sub(r", page \d+ of \d+", "", titles[0])


def _map(board: Board, pages: Sequence[Page], x: float, y: float, row: float) -> float:
    """The tiles of one sheet as they lie, each with its name, the upper ones beside the baseline
    y; returns the next free baseline."""
    places = {page.name: (page.window.left, -page.window.top) for page in pages}
    across = sorted({round(left, 3) for left, _ in places.values()})
    down = sorted({round(up, 3) for _, up in places.values()})
    wide, tall = min(CELL, 38.0 / len(across)), 0.88 * row
    top = y + row / 3.0 + tall / 2.0 - 0.4
    for name, (left, up) in places.items():
        x0 = x + across.index(round(left, 3)) * wide
        y0 = top - (down.index(round(up, 3)) + 1) * tall
        board.add(Contour.rectangle(x0, y0, x0 + wide, y0 + tall), Purpose.THIN)
        size = min(2.4, tall - 1.6, 2.4 * (wide - 1.6) / width(name, 2.4))
        board.text(name, x0 + wide / 2.0, y0 + (tall - size) / 2.0, size, "middle")
    return y - row - (len(down) - 1) * tall - 0.1 * row


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
