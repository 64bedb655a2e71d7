"""The shop card: the whole recipe on two pages to carry."""

from __future__ import annotations

from dataclasses import replace

from ..blank import ForgePlan
from ..card import Card, Notes, Section, Table, card
from ..drawing import Drawing, Purpose
from ..lettering import plain, width
from .layout import BROAD, FIGURE, NOTE, Board, Part, flow
from .words import AID, hanging

NAME = "card"
SMALL = 2.4
"""Letters of the checks [mm]."""
LOG_ROW = 6.0
"""Height of a line to write on [mm]."""


def draw(plan: ForgePlan, units: str) -> tuple[Drawing, ...]:
    """Two pages, more if doubts ask for them."""
    found = card(plan, units)
    *sections, grind, hang = found.front
    words = f"{hanging(plan)} {AID}"
    front: list[Part] = [
        lambda board, y: _heading(board, found, y),
        *(_part(section) for section in sections),
        lambda board, y: _beside(board, grind, hang, y),
    ]
    back: list[Part] = [
        lambda board, y: _checks(board, found.checks, y),
        *(_part(section) for section in found.back),
        lambda board, y: board.paragraph(words, 0.0, y, BROAD, SMALL),
    ]
    pages = [*flow(units, front), *flow(units, back, 2.4)]
    title = f"Shop card of {plain(found.title)}"
    return tuple(
        board.drawing(f"{NAME}-{number}", f"{title}, page {number} of {len(pages)}")
        for number, board in enumerate(pages, 1)
    )


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
    y -= size + 7.0
    if found.order:
        y = board.paragraph(f"Order: {plain(found.order)}", 0.0, y, BROAD, FIGURE)
    y = board.paragraph(plain(found.recipe), 0.0, y, BROAD, NOTE)
    return y + 1.5


def _named(board: Board, title: str, x: float, y: float) -> float:
    """A section's title under its top, if it has one; returns the baseline of what follows."""
    if not title:
        return y - 2.6
    board.text(plain(title), x, y - NOTE, NOTE, bold=True)
    return y - NOTE - 5.2


def _table(board: Board, table: Table, x: float, y: float, size: float) -> float:
    rows = [table.head, *table.rows]
    rows = [tuple(plain(cell) for cell in row) for row in rows]
    while board.table_width(rows, size) > BROAD and size > 2.2:
        size -= 0.1
    return board.table(rows, x, _named(board, table.title, x, y), size) + size


def _notes(board: Board, notes: Notes, x: float, y: float, broad: float) -> float:
    y, size = (
        _named(board, notes.title, x, y),
        SMALL if notes.title in ("CAUTIONS", "HANG") else 2.6,
    )
    text = " ".join(line if line.endswith(".") else f"{line}." for line in notes.lines)
    return board.paragraph(plain(text), x, y + 0.4, broad, size) + size


def _beside(board: Board, grind: Section, hang: Section, y: float) -> float:
    """A table with notes to the right of it."""
    assert isinstance(grind, Table)
    assert isinstance(hang, Notes)
    low = _table(board, grind, 0.0, y, 2.6)
    left = board.table_width([grind.head, *grind.rows], 2.6) + 8.0
    return min(low, _notes(board, hang, left, y, BROAD - left))


def _checks(board: Board, table: Table, y: float) -> float:
    """In two columns, no stage broken; a stage's name over its rows. Hot readings are left to the
    stages' own sheets."""
    table = replace(
        table, head=table.head[:3] + table.head[4:],
        rows=tuple(row[:3] + row[4:] for row in table.rows),
    )  # fmt: skip
    y = _named(board, table.title, 0.0, y)
    stages: list[list[tuple[str, ...]]] = []
    for row in table.rows:
        if not any(row[1:]):
            stages.append([])
        stages[-1].append(row)
    tall = [len(stage) + 0.5 for stage in stages]
    first = min(range(len(stages) + 1), key=lambda i: max(sum(tall[:i]), sum(tall[i:])))
    broad = (BROAD - 8.0) / 2.0
    feet = [
        _column(board, table.head, column, i * (broad + 8.0), y, broad)
        for i, column in enumerate((stages[:first], stages[first:]))
    ]
    return min(feet)


def _column(
    board: Board, head: tuple[str, ...], stages: list[list[tuple[str, ...]]], x: float, y: float,
    broad: float,
) -> float:  # fmt: skip
    rows = [head, *(row for stage in stages for row in stage[1:])]
    sizes = (SMALL, 2.2, 2.0)
    size = next((s for s in sizes if board.table_width(rows, s, 2.0) <= broad), 1.8)
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
    y = _named(board, table.title, 0.0, y) - 1.0
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
