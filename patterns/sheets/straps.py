"""Sheet 2: the bar with its straps drawn, from the edge and from the face, with the dividers."""

from __future__ import annotations

from ..blank import ForgePlan
from ..contour import Contour
from ..derived import poll_height
from ..drawing import Drawing, Purpose
from ..head import heights_at
from ..lettering import width
from ..sensitivity import sensitivity
from ..units import change, fine, length, mass_change
from .layout import CAUTION, FIGURE, NOTE, Board
from .words import AID, HOT_WORK, doubts

NAME = "straps"
TITLE_TEXT = "Straps: drawn, and set with the dividers"
BIG = 7.0


def draw(plan: ForgePlan, units: str) -> Drawing:
    """Edge view above, face view with its ears below."""
    board = Board(units)
    bar, strap = plan.design.bar, plan.strap
    poll, drawn = plan.poll / 2.0, strap.divider
    end = poll + drawn + plan.half
    thick, wall = bar.thickness, strap.drawn_thickness

    # face view, its centre line at y = 0
    tall, block = bar.width / 2.0, poll_height(plan.design) / 2.0
    board.add(Contour.rectangle(-poll, -block, poll, block), Purpose.OUTLINE)
    ears = _ears(plan)
    for side in (-1.0, 1.0):
        run = [(side * x, y) for x, y in ears]
        board.add(Contour.polygon(_with_half(run, side, poll + drawn, end, tall)), Purpose.OUTLINE)
    above, below = max(y for _, y in ears), -min(y for _, y in ears)
    low = -max(below, tall, block)
    board.line(Purpose.CENTRE, (-end, 0.0), (end, 0.0))
    tip = max(ears, key=lambda point: point[1])[0]
    foot = min(ears, key=lambda point: point[1])[0]
    for left, right, starts in (
        (poll, poll + drawn, (-block, -tall)),
        (-poll - drawn, -poll, (-tall, -block)),
    ):
        board.across(left, right, low - 8.0, f"strap  {length(drawn, units)}", starts=starts,
                     bold=True)  # fmt: skip
    board.across(-end, end, low - 17.5, f"over all  {board.measure(2.0 * end)}",
                 starts=(-tall, -tall))  # fmt: skip
    board.upright(-below, above, end + 5.0, f"ears {length(above + below, units)}",
                  starts=(foot, tip))  # fmt: skip
    if board.fits("POLL", poll - 3.0, NOTE):
        board.text("POLL", -poll + 1.5, block - NOTE - 2.0, NOTE)
    for side in (-1.0, 1.0):
        board.text("STRAP", side * (poll + drawn / 2.0), 2.0, FIGURE, "middle")
        board.text("HALF", side * (poll + drawn + plan.half / 2.0), 2.0, FIGURE, "middle")

    # edge view: poll block up on the outer face, halves down on the inner
    base = max(above, tall, block) + 7.5 + thick
    board.add(_edge(poll, drawn, end, thick, wall).moved(0.0, base), Purpose.OUTLINE)
    board.line(Purpose.CENTRE, (0.0, low - 3.0), (0.0, base + thick + 1.5))
    board.text("outer face", -end, base + wall + 2.0, NOTE)
    board.text("inner face", poll + 1.0, base - NOTE - 1.5, NOTE)
    setting = f"DIVIDERS  {length(drawn, units)}  each strap"
    board.text(setting, -end, base + thick + 6.5, BIG, bold=True)
    middle, clear = poll + drawn / 2.0, width(setting, BIG) - end
    board.leader(middle, base + wall, (max(middle + 7.0, clear), base + thick + 3.5),
                 f"{board.measure(wall)} thick")  # fmt: skip
    board.upright(base + wall - thick, base + wall, end + 5.0, length(thick, units),
                  starts=(end, end))  # fmt: skip

    broad = max(2.0 * end + 12.0, 215.0)
    rows = _slips(plan, units)
    table = broad - board.table_width(rows, CAUTION)
    top = low - 17.5 - 6.0
    y = board.paragraph(
        f"Draw each strap, mark to mark, until the dividers step it: {fine(drawn, units)}. The "
        "length makes the eye fit; the thickness is then what is left. "
        f"Ears: {length(strap.mean_height, units)} high on the mean, "
        f"{length(plan.spread.natural_height, units)} by drawing alone; {plan.spread.verdict}. "
        f"Trial pieces may ask for {length(strap.shortest, units)} (poll corners left round, bent "
        f"cold) to {length(strap.longest, units)} (corners forged full and square).",
        -end, top, table - 6.0, NOTE,
    )  # fmt: skip
    y = min(y, board.table(rows, table - end, top, CAUTION))
    for doubt in doubts(plan, "wall", "ears", "poll", "hand"):
        y = board.paragraph(doubt, -end, y, broad, NOTE)
    board.paragraph(f"{HOT_WORK} {AID}", -end, y - 1.0, broad, CAUTION)
    return board.drawing(NAME, TITLE_TEXT)


def _slips(plan: ForgePlan, units: str) -> list[tuple[str, ...]]:
    """Which measure to guard, where the dividers are not used: a table."""
    rows: list[tuple[str, ...]] = [("Drawn by thickness alone", "eye round", "reach", "head")]
    for effect in sensitivity(plan, units):
        eye, reach = (
            "-" if by is None else change(by, units) for by in (effect.eye, effect.reach)
        )  # fmt: skip
        rows.append((effect.slip, eye, reach, mass_change(effect.mass, units)))
    return rows


def _ears(plan: ForgePlan) -> list[tuple[float, float]]:
    """One strap from the face, closed: upper side outwards from the poll, lower side back.

    The wall's height beside each point of the eye, laid out along the strap.
    """
    head, poll, drawn = plan.head, plan.poll / 2.0, plan.strap.divider
    walls = head.plan.eye_wall
    around = sum(p.length for p in walls)
    steps = 48
    first = poll / (poll + drawn)
    places = []
    for i in range(steps + 1):
        share = first + (1.0 - first) * i / steps
        left = share * around
        for piece in walls:
            if left <= piece.length or piece is walls[-1]:
                places.append(piece.at(min(left / piece.length, 1.0))[0])
                break
            left -= piece.length
    up, down = heights_at(head, places)
    xs = [poll + drawn * i / steps for i in range(steps + 1)]
    return [*zip(xs, up, strict=True), *reversed(list(zip(xs, down, strict=True)))]


def _with_half(
    run: list[tuple[float, float]], side: float, start: float, end: float, tall: float
) -> list[tuple[float, float]]:
    """Strap and half as one outline: the half is as wide as the bar."""
    upper, lower = run[: len(run) // 2], run[len(run) // 2 :]
    half = [(side * start, tall), (side * end, tall), (side * end, -tall), (side * start, -tall)]
    points = [*upper, *half, *lower]
    return points if side < 0 else points[::-1]


def _edge(poll: float, drawn: float, end: float, thick: float, wall: float) -> Contour:
    """The edge view; the straps' inner face lies at z = 0."""
    shoulder = poll + drawn
    right = [
        (shoulder, 0.0), (shoulder, wall - thick), (end, wall - thick), (end, wall), (poll, wall),
        (poll, thick),
    ]  # fmt: skip
    left = [(-x, z) for x, z in reversed(right)]
    return Contour.polygon([*right, *left])
