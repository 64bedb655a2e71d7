"""The shop card: the whole recipe on two pages to carry, and every figure of the plan behind."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from ..blank import ForgePlan
from ..card import Card, Notes, Section, Table, card
from ..drawing import Drawing, Purpose
from ..lettering import plain, width
from .layout import FIGURE, NOTE, Board
from .words import AID, HOT_WORK, hanging

NAME = "card"
BROAD, TALL = 184.0, 228.0
"""A page, so that it fits letter and A4, upright [mm]."""
SMALL = 2.4
"""Letters of the checks [mm]."""
FINE = 2.1
"""Letters of the plan's figures [mm]."""
GAP = 4.0
"""Between two sections [mm]."""
LOG_ROW = 7.0
"""Height of a line to write on [mm]."""

Part = Callable[[Board, float], float]
"""Draws itself below a height, and returns the next free one."""


def draw(plan: ForgePlan, units: str) -> tuple[Drawing, ...]:
    """Two pages, more if the doubts ask for them, and the figures."""
    found = card(plan, units)
    *sections, grind, hang, cautions = found.front
    words = f"{HOT_WORK} {hanging(plan)} {AID}"
    front: list[Part] = [
        lambda board, y: _heading(board, found, y),
        *(_part(section) for section in sections),
        lambda board, y: _beside(board, grind, hang, y),
        _part(cautions),
        lambda board, y: board.paragraph(words, 0.0, y, BROAD, SMALL),
    ]
    back: list[Part] = [lambda board, y: _checks(board, found.checks, y)]
    back += [_part(section) for section in found.back]
    figures = [_figures(note) for note in found.figures]
    pages = [*_flow(units, front), *_flow(units, back)]
    listed = _flow(units, [lambda board, y: _title(board, found, y), *figures])
    name = plain(found.title)
    return (
        *(
            board.drawing(f"{NAME}-{number}", f"Shop card of {name}, page {number} of {len(pages)}")
            for number, board in enumerate(pages, 1)
        ),
        *(
            board.drawing(f"{NAME}-figures-{number}", f"Every figure of the plan, page {number}")
            for number, board in enumerate(listed, 1)
        ),
    )


def _flow(units: str, parts: Sequence[Part]) -> list[Board]:
    """The parts one below the other, on as many pages as they need."""
    pages, y = [Board(units)], 0.0
    for part in parts:
        below = part(Board(units), y)
        if below < -TALL and y < 0.0:
            pages.append(Board(units))
            y = 0.0
        y = part(pages[-1], y) - GAP
    return pages


def _part(section: Section) -> Part:
    if isinstance(section, Notes):
        return lambda board, y: _notes(board, section, 0.0, y, BROAD)
    if section.blank:
        return lambda board, y: _log(board, section, y)
    size = FIGURE if section.title == "MARKS" else NOTE
    return lambda board, y: _table(board, section, 0.0, y, size)


def _heading(board: Board, found: Card, y: float) -> float:
    """Name, order and recipe."""
    title = f"SHOP CARD  {plain(found.title)}"
    size = min(6.5, 6.5 * BROAD / width(title, 6.5))
    board.text(title, 0.0, y - size, size, bold=True)
    y -= size + 5.5
    if found.order:
        y = board.paragraph(f"Order: {plain(found.order)}", 0.0, y, BROAD, FIGURE)
    y = board.paragraph(plain(found.recipe), 0.0, y, BROAD, NOTE)
    return y + 1.5


def _title(board: Board, found: Card, y: float) -> float:
    board.text(f"FIGURES of {plain(found.title)}"[:60], 0.0, y - 5.0, 5.0, bold=True)
    return board.paragraph(
        "Every figure of the plan, as plan.json has it: mm, mm2, mm3, g, degrees, deg C.",
        0.0, y - 10.5, BROAD, SMALL,
    )  # fmt: skip


def _named(board: Board, title: str, x: float, y: float) -> float:
    """A section's title under its top; returns the baseline of what follows."""
    board.text(plain(title), x, y - NOTE, NOTE, bold=True)
    return y - NOTE - 5.2


def _table(board: Board, table: Table, x: float, y: float, size: float) -> float:
    rows = [table.head, *table.rows]
    rows = [tuple(plain(cell) for cell in row) for row in rows]
    while board.table_width(rows, size) > BROAD and size > 2.2:
        size -= 0.1
    return board.table(rows, x, _named(board, table.title, x, y), size) + size


def _notes(board: Board, notes: Notes, x: float, y: float, broad: float) -> float:
    y = _named(board, notes.title, x, y)
    text = " ".join(line if line.endswith(".") else f"{line}." for line in notes.lines)
    return board.paragraph(plain(text), x, y + 0.4, broad, 2.6) + 2.6


def _beside(board: Board, grind: Section, hang: Section, y: float) -> float:
    """A table with notes to the right of it."""
    assert isinstance(grind, Table)
    assert isinstance(hang, Notes)
    low = _table(board, grind, 0.0, y, 2.6)
    left = board.table_width([grind.head, *grind.rows], 2.6) + 8.0
    return min(low, _notes(board, hang, left, y, BROAD - left))


def _checks(board: Board, table: Table, y: float) -> float:
    """In two columns, no stage broken; a stage's name over its rows."""
    y = _named(board, table.title, 0.0, y)
    stages: list[list[tuple[str, ...]]] = []
    for row in table.rows:
        if not any(row[1:]):
            stages.append([])
        stages[-1].append(row)
    most = (len(table.rows) + 2 * len(stages)) / 2.0
    columns: list[list[list[tuple[str, ...]]]] = [[], []]
    taken = 0.0
    for stage in stages:
        column = 0 if not columns[1] and taken + (len(stage) + 1) / 2.0 <= most else 1
        columns[column].append(stage)
        taken += len(stage) + 1
    broad = (BROAD - 8.0) / 2.0
    feet = [
        _column(board, table.head, column, i * (broad + 8.0), y, broad)
        for i, column in enumerate(columns)
    ]
    return min(feet)


def _column(
    board: Board, head: tuple[str, ...], stages: list[list[tuple[str, ...]]], x: float, y: float,
    broad: float,
) -> float:  # fmt: skip
    rows = [head, *(row for stage in stages for row in stage[1:])]
    size, gap = SMALL, 2.6
    while board.table_width(rows, size, gap) > broad and size > 2.0:
        size -= 0.1
    widths = [max(width(row[i], size) for row in rows) for i in range(len(head))]
    spare = (broad - sum(widths)) / (len(head) - 1)
    ends = [x + sum(widths[: i + 1]) + spare * i for i in range(len(head))]

    def put(row: tuple[str, ...], level: float) -> None:
        board.text(row[0], x, level, size)
        for cell, end in zip(row[1:], ends[1:], strict=True):
            board.text(cell, end, level, size, "right")

    put(head, y)
    board.line(Purpose.DIMENSION, (x, y - 1.4), (x + broad, y - 1.4))
    y -= 6.2
    for stage in stages:
        board.text(stage[0][0], x, y, size, bold=True)
        y -= 1.75 * size
        for row in stage[1:]:
            y -= 0.1 * size if any("/" in cell for cell in row) else 0.0
            put(row, y)
            y -= (1.85 if any("/" in cell for cell in row) else 1.7) * size
        y -= 0.5 * size
    return y + size


def _log(board: Board, table: Table, y: float) -> float:
    """Lines to write on, under their headings."""
    y = _named(board, table.title, 0.0, y)
    shares = (20.0, 16.0, 14.0, 24.0, 24.0, 24.0, 62.0)
    ends = [sum(shares[: i + 1]) for i in range(len(shares))]
    for name, end, wide in zip(table.head, ends, shares, strict=True):
        board.text(name, end - wide + 1.5, y, SMALL)
    top, foot = y + 4.6, y - 1.8 - LOG_ROW * len(table.rows)
    for i in range(len(table.rows) + 1):
        level = y - 1.8 - LOG_ROW * i
        board.line(Purpose.THIN, (0.0, level), (BROAD, level))
    for end in (0.0, *ends):
        board.line(Purpose.THIN, (end, top), (end, foot))
    board.line(Purpose.THIN, (0.0, top), (BROAD, top))
    return foot


def _figures(notes: Notes) -> Part:
    def put(board: Board, y: float) -> float:
        board.text(plain(notes.title), 0.0, y - FINE, FINE, bold=True)
        return (
            board.paragraph(plain(" ".join(notes.lines)), 0.0, y - FINE - 3.8, BROAD, FINE) + FINE
        )

    return put
