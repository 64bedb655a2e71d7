"""Sheet 2: the bar with its straps drawn, from the edge and from the face, with the dividers."""

from __future__ import annotations

from .. import rounding
from ..bar_views import drawn_edge, joined, part_face, strap_face
from ..blank import ForgePlan
from ..contour import Contour, Point
from ..derived import eye_heights, poll_height
from ..drawing import Drawing, Purpose
from ..lettering import width
from ..sensitivity import sensitivity
from ..units import change, length, mass_change
from .layout import CAUTION, FIGURE, NOTE, Board
from .words import AID, HOT_WORK, doubts

NAME = "straps"
TITLE_TEXT = "Straps: drawn, and set with the dividers"
BIG = 7.0


def draw(plan: ForgePlan, units: str) -> tuple[Drawing, ...]:
    """Edge view above, face view with its ears below."""
    board = Board(units)
    bar, strap, fold = plan.design.bar, plan.strap, plan.fold
    parts = plan.drawn_parts
    start, end = parts[0].start, parts[-1].end
    thick, wall = bar.thickness, strap.drawn_thickness
    straps = [part for part in parts if part.kind == "strap"]
    last = straps[-1]

    # face view, its centre line at y = 0
    ears = {part: strap_face(plan, part) for part in straps}
    drawn = [part_face(plan, part, ears) for part in parts]
    for outline in joined(plan, drawn):
        board.add(Contour.polygon(outline), Purpose.OUTLINE)
    every = [point for outline in drawn for point in outline]
    top, low = max(y for _, y in every), min(y for _, y in every)
    board.line(Purpose.CENTRE, (start, 0.0), (end, 0.0))
    tip = max(ears[last], key=lambda point: point[1])
    foot = min(ears[last], key=lambda point: point[1])
    lap = end - strap.lap
    if strap.lap:  # where the scarf begins
        ends = [y for x, y in ears[last] if abs(x - lap) < 1e-6]
        board.line(Purpose.THIN, (lap, min(ends)), (lap, max(ends)))
    for part in straps:
        starts = [_lowest(drawn, x) for x in (part.start, part.end)]
        long = f"{_side(plan)}  {rounding.hit(plan, 'dividers', units)}"
        board.across(part.start, part.end, low - 8.0, long,
                     starts=starts, bold=True)  # fmt: skip
    board.across(start, end, low - 17.5, f"over all  {rounding.beside(plan, 'over all', units)}",
                 starts=(_lowest(drawn, start), _lowest(drawn, end)))  # fmt: skip
    tall = f"{_tall(plan)} {length(sum(eye_heights(plan.design)), units)}"
    board.upright(foot[1], tip[1], end + 3.5, tall,
                  starts=(foot[0], tip[0]))  # fmt: skip
    words = {"strap": fold.strap.upper(), "half": fold.half.upper(), "poll": "POLL"}
    for part in parts:
        if part.kind == "poll":
            if board.fits("POLL", part.length / 2.0 - 3.0, NOTE):
                height = poll_height(plan.design) / 2.0
                board.text("POLL", part.start + 1.5, height - NOTE - 2.0, NOTE)
        elif board.fits(words[part.kind], part.length - 2.0, FIGURE):
            board.text(words[part.kind], (part.start + part.end) / 2.0, 2.0, FIGURE, "middle")

    # edge view: the outer face up, a block on it; the halves down on the inner
    base = top + 7.5 + max(thick, 11.0 if strap.lap else 0.0)
    edge = drawn_edge(plan)
    board.add(edge.moved(0.0, base), Purpose.OUTLINE)
    if fold.halves == 2:
        board.line(Purpose.CENTRE, (0.0, low - 3.0), (0.0, base + edge.bounds.top + 1.5))
    if strap.lap:
        board.across(lap, end, base - 5.5, f"lap {rounding.hit(plan, 'lap', units)}",
                     starts=(base, base + wall))  # fmt: skip
    high = base + max(edge.bounds.top, thick, wall + NOTE)
    board.text("outer face", start, base + wall + 2.0, NOTE)
    board.text("inner face", last.start + 1.0, base - NOTE - 1.5, NOTE)
    setting = f"DIVIDERS  {rounding.hit(plan, 'dividers', units)}  {_each(plan)}"
    board.text(setting, start, high + 6.5, BIG, bold=True)
    middle, clear = (last.start + last.end) / 2.0, width(setting, BIG) + start + 4.0
    board.leader(middle, base + wall, (max(middle + 7.0, clear), high + 3.5),
                 f"{board.measure(wall)} thick")  # fmt: skip
    side = start if fold.waisted or fold.halves == 1 else end
    board.upright(base + wall - thick, base + wall, side + (5.0 if side == end else -5.0),
                  length(thick, units), starts=(side, side))  # fmt: skip

    broad = max(end - start + 12.0, 235.0)
    rows = _slips(plan, units)
    odd = doubts(plan, "wall", "ears", "poll", "hand", "fold")
    table = broad - board.table_width(rows, CAUTION)
    y = board.paragraph(_words(plan, units), start, low - 23.5, table - 6.0, NOTE)
    under = board.table(rows, start + table, low - 23.5, CAUTION)
    if note := rounding.note(plan, units):
        under = board.paragraph(note, start + table, under - 1.5, broad - table, CAUTION)
        under -= 1.2 if odd else 0.0  # clear of the larger letters below
    y = min(y, under)
    for doubt in odd:
        y = board.paragraph(doubt, start, y, broad, NOTE)
    board.paragraph(f"{HOT_WORK} {AID}", start, y - 1.0, broad, CAUTION)
    title = "Plate: its waist and its ears" if fold.waisted else TITLE_TEXT
    return (board.drawing(NAME, title),)


def _tall(plan: ForgePlan) -> str:
    return "walls" if plan.design.ears.form == "none" else "ears"


def _side(plan: ForgePlan) -> str:
    """What the length of one strap is called."""
    return "side" if plan.fold.waisted else plan.fold.strap


def _each(plan: ForgePlan) -> str:
    if plan.fold.laps:
        return plan.fold.strap
    return "each side" if plan.fold.waisted else "each strap"


def _words(plan: ForgePlan, units: str) -> str:
    strap, fold = plan.strap, plan.fold
    dividers = rounding.stepped(plan, "dividers", units)
    trial = (
        f"Trial pieces may ask for {length(strap.shortest, units)} (poll corners left round, bent "
        f"cold) to {length(strap.longest, units)} (corners forged full and square)."
    )
    if fold.back != "block":
        trial = (
            f"Trial pieces may ask for {length(strap.shortest, units)} (bent cold) to "
            f"{length(strap.longest, units)}."
        )
    ears = f"Walls: {length(strap.mean_height, units)} high on the mean"
    if plan.undrawn:
        return (
            f"The plate is not drawn: from the centre to each {fold.half} is "
            f"{dividers}, as cut. {ears}; {plan.spread.verdict}. {trial}"
        )
    if fold.waisted:
        return (
            "Thin the waist on the inner face and draw each side, from the centre to its "
            f"{fold.half}, until the dividers step it: {dividers}. {ears}, "
            f"{length(plan.spread.natural_height, units)} by drawing alone; {plan.spread.verdict}. "
            f"{trial}"
        )
    what = "Draw each strap, mark to mark," if fold.straps == 2 else "Draw the tongue"
    if fold.straps == 2 and not plan.poll:
        what = "Draw each strap, from the centre to its mark,"
    lap = ""
    if fold.laps:
        lap = (
            f"Its last {rounding.hit(plan, 'lap', units)}, counted in it, is scarfed to nothing on "
            "the face that lies on the cheek, and welded there. "
        )
    return (
        f"{what} until the dividers step it: {dividers}. The length makes the "
        f"eye fit; the thickness is then what is left. {lap}{ears}, "
        f"{length(plan.spread.natural_height, units)} by drawing alone; {plan.spread.verdict}. "
        f"{trial}"
    )


def _slips(plan: ForgePlan, units: str) -> list[tuple[str, ...]]:
    """Which measure to guard, where the dividers are not used: a table."""
    what = "If it comes out off" if plan.undrawn else "Drawn by thickness alone"
    rows: list[tuple[str, ...]] = [(what, "eye round", "reach", "head")]
    for effect in sensitivity(plan, units):
        eye, reach = (
            "-" if by is None else change(by, units) for by in (effect.eye, effect.reach)
        )  # fmt: skip
        rows.append((effect.slip, eye, reach, mass_change(effect.mass, units)))
    return rows


def _lowest(outlines: list[list[Point]], x: float) -> float:
    """The lowest corner that the drawn outlines have at a place; extension lines begin there."""
    return min(y for outline in outlines for a, y in outline if abs(a - x) < 1e-6)
