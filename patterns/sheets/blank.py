"""Sheet 1: the bar, full size, with the marks of each face on a strip of its own."""

from __future__ import annotations

from .. import rounding
from ..bar_views import bar_face, strip_edges, towards_thick
from ..blank import ForgePlan
from ..contour import Contour
from ..drawing import Drawing, Purpose
from ..lettering import plain, width
from ..units import fine, length, section
from .common import best
from .layout import CAUTION, FIGURE, NOTE, TITLE, Board, flag_mark, wedge_mark
from .words import AID, HOT_WORK

NAME = "blank"
TITLE_TEXT = "Blank: the bar and its marks"
RECIPE = 7.5


def draw(plan: ForgePlan, units: str) -> tuple[Drawing, ...]:
    """The outer face above, if it has marks, and the inner face below, on one datum."""
    tight = 5.6 if rounding.note(plan, units) else 7.0  # so that the note still fits on the page
    ways = ((184.0, tight), (250.0, tight), (250.0, 5.6))
    return (best((_sheet(plan, units, broad, gap) for broad, gap in ways), units),)


def _sheet(plan: ForgePlan, units: str, broad: float, gap: float) -> Drawing:
    """Both faces with words that run as wide as told, so far under the lowest dimension [mm]."""
    board = Board(units)
    wide = plan.design.bar.width
    start, end = plan.parts[0].start, plan.parts[-1].end
    level = _inner_face(board, plan)
    top = wide + 2.2 + TITLE
    if any(mark.face == "outer" for mark in plan.marks):
        top = _outer_face(board, plan, wide + 10.0)
    if plan.fold.halves == 2:
        board.line(Purpose.CENTRE, (0.0, -3.0), (0.0, top + 3.0))

    cut = rounding.hit(plan, "cut", units)
    recipe = f"BAR  {section(plan.design.bar.section)}, cut {cut}"
    board.text(recipe, start, top + 7.5, RECIPE, bold=True)
    broad = max(end - start, broad)
    note = rounding.note(plan, units)
    y = board.paragraph(_words(plan, units), start, level - gap, broad, NOTE)
    text = f"{note} {HOT_WORK} {AID}".lstrip()
    board.paragraph(text, start, y - 1.0, broad, CAUTION)
    return board.drawing(NAME, TITLE_TEXT)


def _inner_face(board: Board, plan: ForgePlan) -> float:
    """The strip with its lower edge at y = 0; returns the height of its lowest dimension."""
    wide, start, end = plan.design.bar.width, plan.parts[0].start, plan.parts[-1].end

    board.add(bar_face(plan), Purpose.OUTLINE, at=(0.0, wide / 2.0))
    for mark in plan.marks:
        if mark.face == "inner":
            low, high = strip_edges(plan, mark.x)
            board.line(Purpose.MARK, (mark.x, low), (mark.x, high))
            board.add(flag_mark(mark.x, low - 0.8, towards_thick(plan, mark)), Purpose.MARK)
    if plan.fold.halves == 2 and not plan.poll:
        board.add(Contour.circle(0.0, wide / 2.0, 1.2), Purpose.MARK, filled=True)
    board.text("INNER FACE", start, wide + 2.2, TITLE, bold=True)
    fold, level = plan.fold, 3.0
    for part in plan.parts:
        match part.kind:
            case "half":
                at = (wide - FIGURE) / 2.0 if fold.waisted else level
                _inside(board, fold.half.upper(), part.start, part.end, at)
            case "strap":
                thin = "" if plan.undrawn else " thin"
                at = (wide - FIGURE) / 2.0 if fold.waisted else level
                _inside(board, f"{fold.strap.upper()}{thin}", part.start, part.end, at)
            case "poll" if fold.back == "cut":
                _inside(board, "POLL", part.start, 0.0, level)
                _inside(board, "thick", 0.0, part.end, level)
    level = -15.0 if fold.back == "cut" else -11.0  # flags stand over the figure
    if fold.halves == 1:
        half = plan.half
        board.across(start, half, level, _figure(board, plan, fold.half, "shoulder mark", half),
                     starts=(0.0, -5.5), bold=True)  # fmt: skip
        board.across(half, end, level, _figure(board, plan, fold.strap, "shoulders", end - half),
                     starts=(-5.5, 0.0), bold=True)  # fmt: skip
    else:
        shoulder = plan.shoulders / 2.0
        told = _figure(board, plan, "S", "shoulders", plan.shoulders)
        board.across(-shoulder, shoulder, level, told,
                     starts=(-5.5, -5.5), bold=True)  # fmt: skip
        if fold.back == "cut":  # above, clear of the other figures
            board.across(-plan.poll / 2.0, plan.poll / 2.0, wide + 4.5,
                         _figure(board, plan, "P", "poll", plan.poll), starts=(wide, wide),
                         bold=True)  # fmt: skip
    level -= 11.0
    board.across(start, end, level, _figure(board, plan, "L  cut", "cut", end - start),
                 starts=(0.0, 0.0), bold=True)  # fmt: skip
    if fold.waisted:
        low, high = strip_edges(plan, 0.0)
        board.upright(low, high, end + 7.0, f"middle {board.measure(high - low)}",
                      starts=(0.0, 0.0))  # fmt: skip
    return level


def _figure(board: Board, plan: ForgePlan, word: str, name: str, room: float) -> str:
    """A dimension's text: where the exact figure has no room beside a rounded one, the words below
    tell it."""
    told = f"{word}  {rounding.beside(plan, name, board.units)}"
    if rounding.rule_of(plan, board.units).told and not board.fits(told, room - 3.0, FIGURE):
        return f"{word}  {rounding.hit(plan, name, board.units)}"
    return told


def _outer_face(board: Board, plan: ForgePlan, base: float) -> float:
    """The strip with its lower edge at ``base``; returns the height of its highest dimension."""
    wide, start = plan.design.bar.width, plan.parts[0].start
    board.add(bar_face(plan), Purpose.OUTLINE, at=(0.0, base + wide / 2.0))
    marks = [mark.x for mark in plan.marks if mark.face == "outer"]
    for x in marks:
        board.line(Purpose.MARK, (x, base), (x, base + wide))
        board.add(wedge_mark(x, base + wide + 0.8, down=True), Purpose.MARK, filled=True)
    room = max(min(abs(x) for x in marks), 10.0)
    size = min(TITLE, TITLE * (-start - room - 4.0) / width("OUTER FACE", TITLE))
    board.text("OUTER FACE", start, base + wide + 2.2, size, bold=True)
    top = base + wide + 10.0
    if plan.fold.back == "cut":
        hinge = length(plan.design.fold.hinge, board.units)
        end = plan.parts[-1].end
        _inside(board, "CUT the back here", 0.0, end, base + wide - 3.0 - FIGURE)
        _inside(board, f"to {hinge} of the inner face", 0.0, end, base + 3.0)
        return top - 4.0
    poll = plan.poll / 2.0
    _inside(board, "POLL", -poll, 0.0, base + 3.0)
    _inside(board, "thick", 0.0, poll, base + 3.0)
    board.across(-poll, poll, top, _figure(board, plan, "P", "poll", plan.poll),
                 starts=(top - 6.0, top - 6.0), bold=True)  # fmt: skip
    return top


def _words(plan: ForgePlan, units: str) -> str:
    fold = plan.fold

    def at(name: str) -> str:
        exact = rounding.figures(plan, units)[name].exact
        return f"{rounding.hit(plan, name, units)} ({fine(exact, units)})"

    if fold.halves == 1:
        where = (
            f"From the end of the {fold.half}: shoulder mark {at('shoulder mark')}, end of the "
            f"{fold.strap} {at('end')}. The {fold.strap} is drawn from the mark on, thinned on the "
            f"inner face; its last {at('lap')}, when drawn, is scarfed for the lap."
        )
    else:
        kinds = {mark.kind for mark in plan.marks}
        told = [f"{kind} marks {at(f'{kind} mark')}" for kind in ("poll", "shoulder")
                if kind in kinds]  # fmt: skip
        where = f"From the centre line: {', '.join(told)}, ends {at('end')}."
    match fold.back:
        case "block":
            signs = "Solid points: OUTER face. Open flags: INNER face."
        case "cut":
            signs = (
                "Solid point: the cut, OUTER face. Open flags: INNER face; they fly to where the "
                "bar stays thick. Cut from the outer face and fold the inner faces together."
            )
        case _:
            signs = (
                "OUTER face: no marks. Open flags: INNER face; they fly to where the bar stays "
                "thick."
            )
    if fold.waisted:
        signs = f"Cut the plate to its outline. {signs}"
    if plan.undrawn:
        signs = (
            "Cut the plate to its outline: the waist follows the wall's own height. OUTER FACE: no "
            f"marks. No face is drawn; scale and the peen bring the waist to "
            f"{fine(plan.strap.wall, units)}."
        )
    if fold.halves == 2 and not plan.poll:
        signs += " Punch the centre too: the dividers step from it."
    return (
        f"{where} {signs} Punch deep; chalk does not survive the fire. Steel: "
        f"{plain(plan.design.bar.steel)}."
    )


def _inside(board: Board, text: str, left: float, right: float, y: float) -> None:
    """A word in the middle between two lines of the strip, or its first part, if there is room."""
    for words in dict.fromkeys((text, text.split(" ")[0])):
        for size in (FIGURE, NOTE):
            if board.fits(words, right - left - 2.0, size):
                board.text(words, (left + right) / 2.0, y, size, "middle")
                return
