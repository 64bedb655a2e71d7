"""Sheet 3: the finished head from the side, from above and along the edge, with its balance."""

from __future__ import annotations

import numpy as np

from ..blank import ForgePlan
from ..contour import Contour
from ..derived import poll_height
from ..drawing import Drawing, Purpose
from ..hang import hang
from ..lettering import width
from ..units import length, mass
from ..views import bevel_line, bit_line, edge_silhouette, eye_lines, plan_contour
from .common import best, passes, usual
from .layout import CAUTION, NOTE, Board, centre_of_mass
from .words import AID, GRINDING, doubts, hanging

NAME = "head"
TITLE_TEXT = "Head: finished, to lay the iron against"
VIEWS_TEXT = "Head: from above and from the front"

WIDEST_TEXT = 238.0
"""So that text alone never asks for a second sheet of letter paper, lying [mm]."""


def draw(plan: ForgePlan, units: str) -> tuple[Drawing, ...]:
    """Side view below, plan view above it, edge view to the right; a head that is too large for
    one page so has its side on one, and the other views on another."""
    widths = (215.0, WIDEST_TEXT)
    whole = best((_side_sheet(plan, units, broad, alone=False) for broad in widths), units)
    if passes(whole, usual(units)) == 0.0:
        return (whole,)
    side = best((_side_sheet(plan, units, broad, alone=True) for broad in (168.0, *widths)), units)
    views = _views_sheet(plan, units)
    if passes(side, usual(units)) == passes(views, usual(units)) == 0.0:
        return side, views
    return (whole,)


def _side_sheet(plan: ForgePlan, units: str, broad: float, alone: bool) -> Drawing:
    """The side view with all that is said of the head, words as wide as told at least; with the
    other views if not ``alone``."""
    board = Board(units)
    head, view = plan.head, plan.head.plan
    box = head.side.contour.bounds
    toe, heel = head.side.edge.toe, head.side.edge.heel
    poll = poll_height(plan.design) / 2.0

    board.add(head.side.contour, Purpose.OUTLINE)
    for line in eye_lines(head):
        board.add(line, Purpose.HIDDEN)
    board.line(Purpose.CENTRE, (-4.0, 0.0), (box.right + 4.0, 0.0))
    board.add(bevel_line(head), Purpose.THIN)
    if plan.bit is not None:
        board.add(bit_line(head), Purpose.HIDDEN)
    plate = plan.design.plate.thickness
    if plate is not None:
        board.line(Purpose.THIN, (plate, -poll), (plate, poll))
    ahead, above = head.balance
    for contour, filled in centre_of_mass(head.eye_centre + ahead, above):
        board.add(contour, Purpose.THIN, filled=filled)
    right = box.right + 10.0
    _corners(board, plan)
    board.upright(0.0, toe[1], right, length(toe[1], units), starts=(box.right, toe[0]))
    board.upright(heel[1], 0.0, right, length(-heel[1], units), starts=(heel[0],))
    low = box.bottom - 6.6
    board.across(0.0, box.right, low, board.measure(box.right), starts=(-poll, 0.0))
    board.upright(-poll, poll, -8.0, length(2.0 * poll, units), starts=(0.0, 0.0))

    up = box.top + 4.6
    if not alone:
        up = _above(board, plan, box.top + 8.0 + view.width / 2.0)
        _edge_view(board, plan, right + 24.0 + view.width / 2.0)
    _words(
        board,
        plan,
        up,
        low,
        broad if alone else min(max(right + 20.0 + view.width, broad), WIDEST_TEXT),
    )
    return board.drawing(NAME, TITLE_TEXT)


def _views_sheet(plan: ForgePlan, units: str) -> Drawing:
    """The head from above and along its edge, where the side view has no room for them."""
    board = Board(units)
    head, view = plan.head, plan.head.plan
    up = _above(board, plan, head.side.edge.toe[1] - view.width / 2.0)
    _edge_view(board, plan, head.length + 14.0 + view.width / 2.0)
    board.text("HEAD  from above and from the front", 0.0, up + 10.0, 6.5, bold=True)
    return board.drawing(f"{NAME}-views", VIEWS_TEXT)


def _corners(board: Board, plan: ForgePlan) -> None:
    """The edge's two corners by their names."""
    edge = plan.head.side.edge
    for name, (x, y), level in (("TOE", edge.toe, 2.0), ("HEEL", edge.heel, -2.0 - NOTE)):
        left = x - width(name, NOTE)
        board.word(name, [(left - off, y + level) for off in (0.0, 6.0, 12.0)], NOTE)


def _above(board: Board, plan: ForgePlan, base: float) -> float:
    """The plan view, its centre line at a height; returns the height of its highest dimension."""
    head, view, units = plan.head, plan.head.plan, board.units
    box = head.side.contour.bounds
    board.add(plan_contour(head).moved(0.0, base), Purpose.OUTLINE)
    board.add(head.eye.contour, Purpose.OUTLINE, at=(view.eye_back, base))
    behind = view.eye_back if plan.fold.back == "cut" else -4.0  # clear of the seam
    board.line(Purpose.CENTRE, (behind, base), (box.right + 4.0, base))
    _welds(board, plan, base)
    for wall in (view.wall_half, view.wall_half.flipped()):
        board.add(wall, Purpose.THIN, at=(0.0, base))
        board.hatch(wall, at=(0.0, base), gap=2.2)
    wide = view.poll_width < view.width - 0.2  # widest at the eye, behind which no line stands
    widest = view.eye_back + head.eye.length / 4.0 if wide else 0.0
    board.upright(base - view.width / 2.0, base + view.width / 2.0, -8.0,
                  length(view.width, units), starts=(widest, widest))  # fmt: skip
    up = base + view.width / 2.0 + 6.0
    eye = (
        f"eye {length(head.eye.length, units)} x {length(head.eye.width, units)}, wall "
        f"{length(view.wall, units)}"
    )
    board.across(view.eye_back, view.eye_front, up, eye, starts=(base, base))
    return up


def _words(board: Board, plan: ForgePlan, up: float, low: float, broad: float) -> None:
    """Heading and words over a height, cautions under another."""
    head, units = plan.head, board.units
    ahead, above = head.balance
    side = "ahead of" if ahead >= 0 else "behind"
    level = "above" if above >= 0 else "below"
    hung, handle = hang(head), ""
    if hung is not None:
        down, forward = hung.balance
        handle = (
            f"On a handle of {length(hung.length, units, 16)}: "
            f"{length(abs(down), units, 16)} {'below' if down >= 0 else 'above'} the eye's middle, "
            f"{length(abs(forward), units, 16)} {'ahead of' if forward >= 0 else 'behind'} the "
            "handle's line. "
        )
    y = board.paragraph(
        f"Balances {board.measure(abs(ahead))} {side} the eye's middle, "
        f"{length(abs(above), units)} {level} the centre line. {handle}Edge "
        f"{board.measure(head.side.edge.length)} along its arc of "
        f"{length(head.side.edge.radius, units)}, {_bevel(plan, units)}. {_lines(plan)}",
        0.0, up + 6.4, broad, NOTE, upwards=True,
    )  # fmt: skip
    board.text(f"HEAD  {mass(head.mass, units)} finished", 0.0, y + 1.5, 6.5, bold=True)
    foot = low - 5.4
    for doubt in doubts(plan, "blade"):
        foot = board.paragraph(doubt, 0.0, foot, broad, NOTE)
    board.paragraph(f"{GRINDING} {hanging(plan)} {AID}", 0.0, foot, broad, CAUTION)


def _welds(board: Board, plan: ForgePlan, base: float) -> None:
    """Seams and plate in the plan view: what is welded behind the eye and on the cheek."""
    view, half = plan.head.plan, plan.head.plan.poll_width / 2.0
    plate = plan.design.plate.thickness
    if plate is not None:
        board.line(Purpose.THIN, (plate, base - half), (plate, base + half))
    if plan.fold.back == "cut":
        board.line(Purpose.HIDDEN, (plate or 0.0, base), (view.eye_back, base))
    if plan.strap.lap:
        end = view.shoulder[0] + plan.strap.lap
        out = float(plan.head.blade.taper(np.array(end))) / 2.0
        for piece in view.skin:  # the lap may end before the first station
            if piece.x0 <= end < piece.x1:
                out = piece.at(piece.shares_at_x(end)[0])[1]
        cap, inside = view.cap
        board.line(Purpose.HIDDEN, (cap, base + inside), (end, base + out))


def _bevel(plan: ForgePlan, units: str) -> str:
    blade = plan.design.blade
    angle, width = f"{blade.edge_angle:g} degrees", length(plan.head.blade.bevel_width, units)
    match blade.bevel:
        case "one":
            return f"{angle}, all on one face"
        case "convex":
            return f"{angle}, convex, meeting the cheek {width} behind the edge"
    return f"{angle} in all"


def _lines(plan: ForgePlan) -> str:
    """What the broken lines mean."""
    said = [] if plan.bit is None else ["end of the bit"]
    if plan.fold.laps:
        said.append("scarf of the lap")
    if plan.fold.back == "cut":
        said.append("seam of the poll")
    broken = f"Broken line: {', '.join(said)}. " if said else ""
    return f"{broken}Hatched: the walls."


def _edge_view(board: Board, plan: ForgePlan, x: float) -> None:
    head = plan.head
    view = head.plan
    half = poll_height(plan.design) / 2.0
    top = max(v.y for v in head.side.contour.vertices if v.x < view.eye_front)
    low = min(v.y for v in head.side.contour.vertices if v.x < view.eye_front)
    eye_wide = head.eye.width / 2.0 + view.wall
    poll_wide = view.poll_width / 2.0
    outside = Contour.rectangle(x - eye_wide, low, x + eye_wide, top)
    board.add(outside, Purpose.THIN)
    if view.poll_width and (abs(poll_wide - eye_wide) > 0.2 or half < min(top, -low) - 0.2):
        board.add(Contour.rectangle(x - poll_wide, -half, x + poll_wide, half), Purpose.HIDDEN)
    board.add(edge_silhouette(head).moved(x, 0.0), Purpose.OUTLINE)
    edge = head.side.edge
    board.line(Purpose.CENTRE, (x, edge.heel[1] - 5.0), (x, edge.toe[1] + 5.0))
