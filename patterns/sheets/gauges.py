"""Gauges to print or cut: edge, thicknesses and bit; plugs of the eye; the head's outline and its
window; the half before welding."""

from __future__ import annotations

from collections.abc import Sequence

from ..blank import ForgePlan
from ..contour import Bounds, Point
from ..drawing import Drawing
from ..gauges import TOLERANCE, Gauge, gauges, plug_fit
from ..halves import half_outline
from ..units import fine, length
from .common import best
from .layout import CAUTION, NOTE, Board
from .words import AID, GRINDING, HOT_WORK

NAME = "gauges"

PAPERS = ((183.0, 226.0), (252.0, 170.0))
"""Width and height that a drawing of cards may have, upright and lying [mm], on letter and A4."""
BROAD = PAPERS[0][0]
OUTSIDE = 11.0
"""How far the arrows of a short dimension stand out of it, and a little [mm]."""
WIDTHS = (150.0, BROAD, 250.0)
"""How wide words may run over and under an outline [mm]."""
ROW = 252.0
"""Plugs that stand beside one another take no more than this [mm]."""
GAP = 6.0
"""Between two cards [mm]."""
WORDS = (42.0, 33.0)
"""What heading and cautions take over and under the cards, on upright and on lying paper [mm]."""

CUTTING = (
    "Print at full size, check the bars, glue on card or sheet metal and cut to the middle of the "
    "line. Break sharp edges; gloves for sheet metal."
)


def draw(plan: ForgePlan, units: str) -> tuple[Drawing, ...]:
    """The cards, on one drawing or more; plugs; template; window; half."""
    every = gauges(plan, units)
    pages: dict[str, list[Gauge]] = {}
    for gauge in every:
        pages.setdefault(gauge.page, []).append(gauge)
    return (
        *_cards(plan, units, pages["edge"]),
        _plugs(plan, units, pages["eye"]),
        best((_go_over(plan, units, pages["head"][0], broad) for broad in WIDTHS), units),
        best((_negative(units, pages["negative"][0], broad) for broad in WIDTHS), units),
        _half(plan, units, pages["halves"][0]),
    )


def place(board: Board, gauge: Gauge, at: Point = (0.0, 0.0)) -> None:
    """A gauge as it will be cut, with all that stands on it."""
    drawing = gauge.moved(*at).drawing(gauge.name, gauge.name)
    board.strokes += drawing.strokes
    board.labels += drawing.labels


def _box(gauge: Gauge) -> Bounds:
    return gauge.cuts[0].bounds


def _heading(board: Board, title: str, text: str, x: float, y: float, wide: float) -> None:
    """Words and over them a title; ``y`` is the last baseline."""
    above = board.paragraph(text, x, y, wide, NOTE, upwards=True)
    board.text(title, x, above + 1.3, 6.5, bold=True)


# Cards -----------------------------------------------------------------------------------------


def shelves(
    cards: Sequence[Gauge], broad: float, tall: float
) -> list[list[list[Gauge]]]:  # fmt: skip
    """Cards row by row and drawing by drawing, in order, none wider or higher than it may be."""
    rows: list[list[Gauge]] = [[]]
    for card in cards:
        taken = sum(_box(other).width + GAP for other in rows[-1])
        if rows[-1] and taken + _box(card).width > broad:
            rows.append([])
        rows[-1].append(card)
    drawings: list[list[list[Gauge]]] = [[]]
    taken = 0.0
    for row in rows:
        high = max(_box(card).height for card in row) + GAP
        if drawings[-1] and taken + high - GAP > tall:
            drawings.append([])
            taken = 0.0
        drawings[-1].append(row)
        taken += high
    return drawings


def _cards(plan: ForgePlan, units: str, cards: Sequence[Gauge]) -> list[Drawing]:
    found = []
    none = "" if plan.bit is not None else " This head has no bit, and so no gauge for one."
    ways = [
        (wide, shelves(cards, wide, tall - words))
        for (wide, tall), words in zip(PAPERS, WORDS, strict=True)
    ]
    broad, drawings = min(ways, key=lambda way: len(way[1]))
    for number, rows in enumerate(drawings, 1):
        board = Board(units)
        y = 0.0
        for row in rows:
            x = 0.0
            for card in row:
                place(board, card, (x, y))
                x += _box(card).width + GAP
            y -= max(_box(card).height for card in row) + GAP
        _heading(
            board, "GAUGES  edge and thickness",
            f"{CUTTING} Slots are the iron's own size; GO and STOP are {fine(TOLERANCE, units)} "
            f"over and under it.{none}",
            0.0, 4.6, broad,
        )  # fmt: skip
        board.paragraph(
            f"For cold iron; hot, it stands larger. {GRINDING} {AID}", 0.0, y + 1.0, broad, CAUTION
        )
        name = f"{NAME}-edge" if number == 1 else f"{NAME}-edge-{number}"
        shown = ", ".join(card.name.lower() for row in rows for card in row)
        found.append(board.drawing(name, f"Gauges: {shown}"))
    return found


# Plugs -----------------------------------------------------------------------------------------


def _plugs(plan: ForgePlan, units: str, plugs: Sequence[Gauge]) -> Drawing:
    """The plugs, beside or under one another, each with its sizes."""
    board = Board(units)
    head = plan.head
    tall = max(_box(plug).height for plug in plugs)
    pitch = (head.eye.length + 34.0, tall + 26.0)
    a_row = max(1, min(3, int(ROW // pitch[0])))
    low = 0.0
    for i, plug in enumerate(plugs):
        at = (i % a_row * pitch[0], -(i // a_row) * pitch[1])
        place(board, plug, at)
        box = plug.cuts[0].moved(*at).bounds
        middle = (box.left + box.right) / 2.0
        board.text(plug.name.upper(), box.left, at[1] + tall / 2.0 + 3.0, NOTE, bold=True)
        if not any(label.text == "FRONT" for label in plug.labels):
            board.text("FRONT", box.right + 2.0, at[1] - NOTE / 2.0, NOTE)
        board.across(box.left, box.right, at[1] - tall / 2.0 - 7.0, fine(box.width, units),
                     starts=(at[1], at[1]), height=NOTE)  # fmt: skip
        board.upright(box.bottom, box.top, box.left - 5.0, fine(box.height, units),
                      starts=(middle, middle), height=NOTE)  # fmt: skip
        low = min(low, at[1] - tall / 2.0 - 7.0)
    broad = max(BROAD - 24.0, min(a_row, len(plugs)) * pitch[0] - 24.0)
    fit = plug_fit(head)
    _heading(
        board, "GAUGES  plugs for the eye",
        f"{CUTTING} Each plug is the eye's section less {fine(fit, units)} all round. Fix it level "
        "on the end of a stick.",
        -12.0, tall / 2.0 + 13.0, broad,
    )  # fmt: skip
    y = low - 9.0
    for plug in plugs:
        y = board.paragraph(f"{plug.name.upper()} {plug.use}", -12.0, y, broad, NOTE)
    board.paragraph(f"For a cold eye, drifted and dressed. {AID}", -12.0, y, broad, CAUTION)
    return board.drawing(f"{NAME}-eye", "Gauges: plugs for the eye")


# Outlines --------------------------------------------------------------------------------------


def _go_over(plan: ForgePlan, units: str, gauge: Gauge, broad: float) -> Drawing:
    board = Board(units)
    place(board, gauge)
    box = _box(gauge)
    board.across(box.left, box.right, box.bottom - 7.0, board.measure(box.width),
                 starts=(box.bottom, box.bottom))  # fmt: skip
    board.upright(box.bottom, box.top, box.right + 10.5, length(box.height, units),
                  starts=(box.right, box.right))  # fmt: skip
    broad, hole = max(box.width, broad), gauge.cuts[1].bounds.width
    _heading(board, "GAUGE  go-over template of the head", f"{CUTTING} {gauge.use}",
             box.left, box.top + 6.0, broad)  # fmt: skip
    board.paragraph(
        f"Thin lines: front and back of the eye, end of the bevel. The hole, {length(hole, units)} "
        f"wide, is to hang it by. Never lay paper on hot iron. {GRINDING} {AID}",
        box.left, box.bottom - 15.0, broad, CAUTION,
    )  # fmt: skip
    return board.drawing(f"{NAME}-head", "Gauge: head, go-over template")


def _negative(units: str, gauge: Gauge, broad: float) -> Drawing:
    board = Board(units)
    place(board, gauge)
    box = _box(gauge)
    broad = max(box.width, broad)
    _heading(board, "GAUGE  window for the head", f"{CUTTING} {gauge.use}",
             box.left, box.top + 4.6, broad)  # fmt: skip
    board.paragraph(f"{GRINDING} {AID}", box.left, box.bottom - 6.0, broad, CAUTION)
    return board.drawing(f"{NAME}-negative", "Gauge: head, window")


def _half(plan: ForgePlan, units: str, gauge: Gauge) -> Drawing:
    board = Board(units)
    place(board, gauge)
    box = _box(gauge)
    back = [v.y for v in half_outline(plan).vertices if abs(v.x - box.left) < 1e-6]
    board.across(box.left, box.right, box.bottom - 7.0, board.measure(box.width),
                 starts=(min(back), box.bottom))  # fmt: skip
    board.upright(box.bottom, box.top, box.right + 11.0, length(box.height, units),
                  starts=(box.right, box.right))  # fmt: skip
    board.upright(min(back), max(back), box.left - 7.0, length(max(back) - min(back), units),
                  starts=(box.left, box.left))  # fmt: skip
    broad = max(box.width + 24.0, BROAD)
    what = plan.fold.half if plan.fold.halves == 1 else f"two {_plural(plan.fold.half)}"
    _heading(board, f"GAUGE  outline of the {what}", f"{CUTTING} {gauge.use}",
             box.left - 12.0, max(box.top + 6.0, max(back) + OUTSIDE), broad)  # fmt: skip
    board.paragraph(
        f"Let the iron cool before card or paper touches it. {HOT_WORK} {AID}",
        box.left - 12.0, box.bottom - 15.0, broad, CAUTION,
    )  # fmt: skip
    return board.drawing(f"{NAME}-halves", f"Gauge: outline of the {what}")


def _plural(half: str) -> str:
    return "halves" if half == "half" else f"{half}s"
