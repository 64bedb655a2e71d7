"""The contact sheet: several heads beside each other at one scale, a quarter of full size.

The only drawing here that is not full size. It says so in its heading, in its footer and by scale
bars of its own. The scale is the same for every head, on every paper: what does not fit goes on to
another sheet.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from . import lettering
from .contour import Contour
from .derived import poll_height
from .drawing import Drawing, Purpose
from .errors import BadInputError, Fault
from .head import Head
from .lettering import plain
from .pages import Legend, Paper, as_paper, room
from .report import revision
from .sheets.layout import NOTE, TITLE, Board
from .units import MM_PER_INCH, length, mass, section
from .views import bevel_line, eye_lines, plan_contour

SCALE = 4
"""Full size over the size of the picture."""

NAME = f"shelf-1-to-{SCALE}"
TITLE_TEXT = f"Heads at 1 : {SCALE}, not full size"
NO_PATTERN = "Pictures to choose by, not patterns: lay no iron against them."
WORDS = f"Print at 100 %. The bars here are full size; the heads are not, but 1 : {SCALE}."

GAP = 8.0
"""White between two columns, and between two rows [mm]."""

NARROWEST = 56.0
"""Narrowest column, so that the lines under a head can be read [mm]."""

VIEWS = 4.0
"""White between a head's plan view and its side view [mm]."""

NAMES, FIGURES = 3.2, 2.3
"""Heights of the capitals under a head [mm]."""

WIDE = 250.0
"""Width of the sheet that has no paper [mm]: as wide as letter paper, lying."""

_BARS = ((8.0 * MM_PER_INCH, "8 in of head"), (200.0, "200 mm of head"))


@dataclass(frozen=True)
class Shown:
    """A head with the name that commands know it by."""

    slug: str
    head: Head


def legend(heads: Sequence[Shown], date: str | None = None) -> Legend:
    """What stands at the foot of every page; the revision changes with that of any head."""
    revisions = " ".join(revision(shown.head.design) for shown in heads)
    short = hashlib.sha256(revisions.encode()).hexdigest()[:8]
    return Legend("Shelf of heads", NO_PATTERN, short, date, WORDS)


def whole(heads: Sequence[Shown], units: str) -> Drawing:
    """All heads on one sheet, as tall as they need."""
    rows = _rows(heads, units, WIDE)
    (drawing,) = _laid(rows, units, WIDE, float("inf"))
    return drawing


def paged(
    heads: Sequence[Shown], units: str, foot: Legend, paper: Paper | str
) -> tuple[bool, list[Drawing]]:
    """Whether the paper lies, and the drawing of each sheet: the way that takes fewer sheets.

    A roll stands upright and is cut off below the last row.

    Raises :class:`BadInputError` if a head is too tall for the paper.
    """
    ways: list[tuple[bool, list[Drawing]]] = []
    paper = as_paper(paper)
    for lying in (False,) if paper.roll else (False, True):
        width, height = room(TITLE_TEXT, foot, paper, lying)
        rows = _rows(heads, units, width)
        if max(row.height for row in rows) + _heading_height(width, units) <= height:
            ways.append((lying, list(_laid(rows, units, width, height))))
    if not ways:
        raise BadInputError([Fault("--paper", repr(paper.name),
                                   "a paper on which each head has room",
                                   "take a larger one: no picture is shrunk to fit")])  # fmt: skip
    return min(ways, key=lambda way: len(way[1]))


# Rows --------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Cell:
    """A head's place in a row: how far from the left, and how wide [mm]."""

    shown: Shown
    x: float
    width: float


@dataclass(frozen=True)
class _Row:
    """Heads beside each other, their centre lines level [mm]."""

    cells: tuple[_Cell, ...]
    plan: float
    above: float
    below: float
    caption: float

    @property
    def height(self) -> float:
        return self.plan + VIEWS + self.above + self.below + self.caption


def _rows(heads: Sequence[Shown], units: str, width: float) -> list[_Row]:
    """From the lightest head to the heaviest, in columns of one width; a long head takes two."""
    columns = max(1, int((width + GAP) // (NARROWEST + GAP)))
    pitch = (width + GAP) / columns
    rows: list[list[_Cell]] = []
    taken = columns
    for shown in sorted(heads, key=lambda shown: shown.head.mass):
        long = shown.head.side.contour.bounds.width / SCALE
        wants = min(columns, math.ceil((long + GAP) / pitch - 1e-9))
        if taken + wants > columns:
            rows.append([])
            taken = 0
        rows[-1].append(_Cell(shown, taken * pitch, wants * pitch - GAP))
        taken += wants
    return [_row(tuple(cells), units) for cells in rows]


def _row(cells: tuple[_Cell, ...], units: str) -> _Row:
    boxes = [cell.shown.head.side.contour.bounds for cell in cells]
    return _Row(
        cells,
        max(plan_contour(cell.shown.head).bounds.height for cell in cells) / SCALE,
        max(box.top for box in boxes) / SCALE,
        max(-box.bottom for box in boxes) / SCALE,
        max(-_caption(Board(units), cell, 0.0) for cell in cells),
    )


def _laid(rows: Sequence[_Row], units: str, width: float, height: float) -> Iterator[Drawing]:
    """The rows on as many sheets as they need, each under its heading."""
    board, level = Board(units), 0.0
    for i, row in enumerate(rows):
        if i and level - row.height < -height:
            yield board.drawing(NAME, TITLE_TEXT)
            board, level = Board(units), 0.0
        if level == 0.0:
            level = _heading(board, width)
        for cell in row.cells:
            _picture(board, row, cell, level)
        level -= row.height + GAP
    yield board.drawing(NAME, TITLE_TEXT)


# On the sheet ------------------------------------------------------------------------------------


def _heading(board: Board, width: float) -> float:
    """Title, warning and scale bars; returns the level [mm] at which the first row begins."""
    board.text(f"HEADS AT 1 : {SCALE}", 0.0, -TITLE, TITLE, bold=True)
    names = [f"{name}, 1 : {SCALE}" for _, name in _BARS]
    words = max(lettering.width(name, NOTE) for name in names)
    left = width - words - 2.5 - max(long for long, _ in _BARS) / SCALE
    for row, ((long, _), name) in enumerate(zip(_BARS, names, strict=True)):
        low = -TITLE - 5.5 * row
        _scale_bar(board, left, low, long / SCALE)
        board.text(name, width - words, low, NOTE)
    low = board.paragraph(NO_PATTERN, 0.0, -TITLE - 11.0, width, NOTE) + NOTE
    board.line(Purpose.DIMENSION, (0.0, low), (width, low))
    return low - 5.0


def _heading_height(width: float, units: str) -> float:
    return -_heading(Board(units), width)


def _scale_bar(board: Board, x: float, y: float, long: float) -> None:
    """Four parts, every other one filled: not to be taken for a check bar, which is solid."""
    part, tall = long / 4.0, 2.4
    for i in range(4):
        box = Contour.rectangle(x + i * part, y, x + (i + 1) * part, y + tall)
        board.add(box, Purpose.DIMENSION, filled=i % 2 == 0)
        board.add(box, Purpose.DIMENSION)


def _picture(board: Board, row: _Row, cell: _Cell, top: float) -> None:
    """Plan view above, side view below it with eye and plate, name and figures at the foot."""
    head, x, small = cell.shown.head, cell.x, 1.0 / SCALE
    view = head.plan
    middle = top - row.plan / 2.0
    board.add(plan_contour(head).scaled(small), Purpose.THIN, at=(x, middle))
    eye = head.eye.contour.moved(view.eye_back, 0.0)
    board.add(eye.scaled(small), Purpose.THIN, at=(x, middle))
    level = top - row.plan - VIEWS - row.above
    board.add(head.side.contour.scaled(small), Purpose.OUTLINE, at=(x, level))
    board.add(bevel_line(head).scaled(small), Purpose.DIMENSION, at=(x, level))
    plate, poll = head.design.plate.thickness, poll_height(head.design) / 2.0
    if plate is not None:
        for y, half in ((middle, view.poll_width / 2.0), (level, poll)):
            at, reach = x + plate * small, half * small
            board.line(Purpose.DIMENSION, (at, y - reach), (at, y + reach))
    for line in eye_lines(head):
        board.add(line.scaled(small), Purpose.HIDDEN, at=(x, level))
    _caption(board, cell, level - row.below)


def _caption(board: Board, cell: _Cell, y: float) -> float:
    """Name and figures under a head; returns the level of what is free below [mm]."""
    head, units, x, width = cell.shown.head, board.units, cell.x, cell.width
    name = plain(head.design.name) or "?"
    low = board.paragraph(name, x, y - 3.0 - NAMES, width, NAMES)
    for line in (
        f"{plain(cell.shown.slug)}; fold: {head.design.fold.form}",
        f"{mass(head.mass, units).split(' (')[0]}, bar {section(head.design.bar.section)}",
        f"edge {length(head.edge_length, units)}, {length(head.length, units)} long",
    ):
        low = board.paragraph(line, x, low, width, FIGURES)
    return low + FIGURES
