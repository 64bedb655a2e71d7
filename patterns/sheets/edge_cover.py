"""The edge's cover: panel and welt with their holes, and the strap."""

from __future__ import annotations

from ..blank import ForgePlan
from ..contour import Contour, Point, Vertex
from ..drawing import Drawing, Purpose
from ..edge_cover import BEYOND, END, LAPPED, LEATHER, PITCH, EdgeCover, edge_cover
from ..units import MM_PER_INCH, fine, length
from .layout import CAUTION, NOTE, TITLE, Board
from .words import AID

NAME = "edge-cover"
TITLE_TEXT = "Edge cover: panel and welt"
STRAP_TITLE = "Edge cover: strap, and how it is sewn"

HEADING = 6.5
WIDE = 180.0
"""Width of the words [mm]: a sheet of letter or A4, upright."""
APART = 12.0
"""From the panel to the welt [mm]."""
NAMED = 52.0
"""Room for the words over a piece [mm]."""
HOLE = 0.6
"""Radius of a hole as drawn [mm]."""
OUNCE = MM_PER_INCH / 64.0
"""Thickness of leather to the ounce [mm]: common practice."""

WORN = (
    "A cover guards skin and edge; it is no lock. Look at stitches and snap each time: sew anew "
    "what is worn. Put it on and off with the hand behind the edge. Common practice: never store "
    "a damp head in leather; dry and oil it, and leave the cover off."
)
HANDS = "Put it on and off with the hand behind the edge; look at stitches and snap each time."


def draw(plan: ForgePlan, units: str) -> tuple[Drawing, ...]:
    """Panel and welt on one sheet, the strap on another."""
    cover = edge_cover(plan.head, pitch=PITCH[units])
    return _pieces(plan, cover, units), _strap(cover, units)


def _pieces(plan: ForgePlan, cover: EdgeCover, units: str) -> Drawing:
    board = Board(units)
    box, welt = cover.panel.bounds, cover.welt.bounds
    at = (-box.left, 0.0)
    beside = max(box.width, NAMED) + APART - welt.left

    board.add(cover.panel, Purpose.OUTLINE, at=at)
    board.add(cover.blade, Purpose.HIDDEN, at=at)
    board.add(cover.stitch, Purpose.THIN, at=at)
    board.line(Purpose.CENTRE, (box.left + at[0] - 4.0, 0.0), (box.right + at[0] + 4.0, 0.0))
    _dots(board, cover.holes, at)
    _dots(board, cover.sewn, at)
    x, y = cover.snap
    board.add(Contour.circle(x + at[0], y, 2.0), Purpose.THIN)
    board.add(cover.welt, Purpose.OUTLINE, at=(beside, 0.0))
    _dots(board, cover.holes, (beside, 0.0))

    for x, name, many in (
        (0.0, "PANEL", "cut 2, one turned over"),
        (beside + welt.left, "WELT", "cut 1, between the panels"),
    ):
        board.text(name, x, box.top + 9.0, TITLE, bold=True)
        board.text(many, x, box.top + 3.5, NOTE)
    board.across(0.0, box.width, box.bottom - 8.0, length(box.width, units),
                 starts=(box.bottom, box.bottom), height=NOTE)  # fmt: skip
    starts = [
        min(v.x for v in cover.panel.vertices if abs(v.y - level) < 1e-6) - box.left
        for level in (box.bottom, box.top)
    ]
    board.upright(box.bottom, box.top, -7.0, length(box.height, units), starts=starts,
                  height=NOTE)  # fmt: skip

    board.text("EDGE COVER  leather or canvas", -12.0, box.top + 18.5, HEADING, bold=True)
    foot = box.bottom - 13.5
    foot = board.paragraph(_figures(cover, units), -12.0, foot, WIDE, NOTE)
    if not cover.snap_clear:
        foot = board.paragraph(
            "DOUBT: on this blade the snap would lie on the bevel. Nothing hard may lie there: "
            "leave it out, and tie the strap by a thong through its place.",
            -12.0, foot, WIDE, NOTE,
        )  # fmt: skip
    board.paragraph(f"{HANDS} {AID}", -12.0, foot, WIDE, CAUTION)
    return board.drawing(NAME, TITLE_TEXT)


def _dots(board: Board, holes: tuple[Point, ...], at: Point) -> None:
    for x, y in holes:
        board.add(Contour.circle(x + at[0], y + at[1], HOLE), Purpose.OUTLINE, filled=True)


def _figures(cover: EdgeCover, units: str) -> str:
    return (
        f"{len(cover.holes)} holes, {fine(cover.pitch, units)} apart along the line, the end ones "
        f"{length(END, units)} from the back. Broken: the blade. Four holes: strap, on one panel; "
        "circle: snap, on the other."
    )


def _room(cover: EdgeCover, units: str) -> str:
    """What the cover is made for."""
    return (
        f"For leather {length(LEATHER, units)} thick, about {LEATHER / OUNCE:.0f} oz (common "
        f"practice). The stitches stand {length(cover.margin, units)} inside the border and "
        f"{length(cover.from_edge, units)} off the blade: {length(cover.allowance, units)} for "
        f"clearance and half of its rim of {length(cover.rim, units)}, and half of the welt."
    )


# Strap -------------------------------------------------------------------------------------------


def _strap(cover: EdgeCover, units: str) -> Drawing:
    """Half of the strap, to be cut on the fold."""
    board = Board(units)
    half, out = cover.strap_length / 2.0, cover.strap_width / 2.0
    turn = 0.41421356237309503  # a quarter circle's bulge
    shape = Contour(
        (
            Vertex(0.0, -out), Vertex(half - out, -out, turn), Vertex(half, 0.0, turn),
            Vertex(half - out, out), Vertex(0.0, out),
        ),
        closed=False,
    )  # fmt: skip
    board.add(shape, Purpose.OUTLINE)
    board.line(Purpose.CENTRE, (0.0, -out - 4.0), (0.0, out + 4.0))
    snap = half - BEYOND
    board.add(Contour.circle(snap, 0.0, 2.0), Purpose.THIN)
    # the strap's own end lies foremost: places on the panel count from its back
    _dots(board, tuple((half - LAPPED + x - cover.back, y - cover.strap_at)
                       for x, y in cover.sewn), (0.0, 0.0))  # fmt: skip
    board.line(Purpose.HIDDEN, (half - LAPPED, -out), (half - LAPPED, out))
    board.text("FOLD", 2.0, out + 2.0, NOTE, bold=True)
    board.across(0.0, half, -out - 9.0, f"half: {length(half, units)}", starts=(-out, 0.0),
                 height=NOTE)  # fmt: skip
    board.upright(-out, out, half + 6.0, length(2.0 * out, units), starts=(half - out, half - out),
                  height=NOTE)  # fmt: skip
    top = out + 10.0
    top = board.paragraph(
        f"Cut 1, {board.measure(cover.strap_length)} long in all: half is drawn, lay its FOLD on "
        f"the fold of the leather. It goes round behind the poll, {length(cover.girth, units)} "
        f"from back to back of the panels, and lies {length(LAPPED, units)} on each (broken line).",
        0.0, top, WIDE, NOTE, upwards=True,
    )  # fmt: skip
    board.text("EDGE COVER  strap", 0.0, top + 1.0, HEADING, bold=True)
    y = -out - 18.0
    for line in (
        _room(cover, units),
        "1 Cut panels and welt; canvas is cut double, its welt is still leather. 2 Sew the strap "
        "to one panel by its four holes, and set the snap's lower part in the other, before the "
        "panels are joined. 3 Glue the welt between them. 4 Pierce the holes through all three; "
        "sew with waxed thread, a needle at each end, and go back two holes at both ends.",
        "5 Slip the cover on from the front, draw the strap round behind the poll and set the snap "
        "where it pulls snug: leather stretches. Without a snap: a thong through the two "
        "places instead.",
    ):
        y = board.paragraph(line, 0.0, y, WIDE, NOTE) - 1.0
    board.paragraph(f"{WORN} {AID}", 0.0, y, WIDE, CAUTION)
    return board.drawing(f"{NAME}-strap", STRAP_TITLE)
