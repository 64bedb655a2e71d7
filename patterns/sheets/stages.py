"""A pattern for every stage of the work, full size, with what to do and what to measure.

One drawing a stage. The words come from :mod:`patterns.stages`, what each check may be off by from
:mod:`patterns.tolerances`; here is only what the iron looks like.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from itertools import product
from typing import TypeAlias

from ..bar_views import (
    bar_face,
    drawn_edge,
    joined,
    part_face,
    strap_face,
    strip_edges,
    towards_thick,
    waist_at,
)
from ..blank import ForgePlan
from ..card import readings
from ..contour import Contour, Point, Vertex
from ..derived import eye_heights, poll_height
from ..drawing import Drawing, Purpose
from ..fire import STATED
from ..halves import bit_outline, forged_outline, half_outline, spread_half, uncovered
from ..head import heights_at
from ..lettering import width
from ..rounding import hit
from ..stages import FULLER_LEFT, Stage
from ..tolerances import tolerance
from ..units import length, mass, offness, temperature
from ..views import bevel_line, blade_section, plan_contour
from .common import best, passes
from .layout import CAUTION, FIGURE, NOTE, TITLE, Board, flag_mark, wedge_mark
from .words import AID, GRINDING, HOT_WORK, WELDING, hanging

NAME = "stages"
HEADING = 6.5
BROAD = (184.0, 250.0)
"""How wide words may run on one page of letter and of A4, upright and lying [mm]."""
FIRST = 150.0
"""How wide they may run so that they stay on the first page of several [mm]."""
_KEEPS = {"our own": "our choice", "heats": "one heat"}
GAP = 4.0
"""Between two columns of the table [mm]."""

View: TypeAlias = Callable[[Board, ForgePlan], str]
"""Draws what the iron looks like, and returns what must be said of it."""


def draw(plan: ForgePlan, units: str) -> tuple[Drawing, ...]:
    """One drawing for each stage, in the order of the work."""
    stages = [stage for stage in plan.stages if stage.name in _VIEWS]
    return tuple(
        _sheet(plan, stage, number, len(stages), units) for number, stage in enumerate(stages, 1)
    )


def _sheet(plan: ForgePlan, stage: Stage, number: int, of: int, units: str) -> Drawing:
    """The view in the middle, what to do above it, what to measure below.

    With all that there is to see, upright and in large letters, if that fits a page; else in the
    first way that does.
    """
    name = _named(plan, stage)
    weighs = mass(stage.mass, units).split(" (")[0]
    words = f"{NAME}-{number:02d}-{stage.name.replace(' ', '-')}"
    title = f"STAGE {number}  {name.upper()}   {weighs}"

    def tried(views: Sequence[View], broad: Sequence[float]) -> Iterator[Drawing]:
        for view in views:
            seen = Board(units)
            note = view(seen, plan)
            picture = seen.drawing("view", "")
            for wide, size in product(broad, (FIGURE, NOTE, CAUTION)):
                board = _around(plan, stage, picture, note, wide, size, units)
                letters = min(HEADING, HEADING * wide / width(title, HEADING))
                top = max(label.y + label.height for label in board.labels)
                board.text(title, picture.bounds.left, top + 3.4, letters, bold=True)
                yield board.drawing(words, f"Stage {number} of {of}: {name}")

    found = best(tried(_VIEWS[stage.name], BROAD), units)
    if passes(found) > 0.0:  # on several pages: the words on the first
        found = best(tried(_VIEWS[stage.name][-1:], (FIRST,)), units)
    return found


def _around(
    plan: ForgePlan, stage: Stage, seen: Drawing, note: str, broad: float, size: float, units: str
) -> Board:  # fmt: skip
    """A view with its words; ``broad`` is how wide they may run, ``size`` the table's letters at
    most [mm]."""
    board = Board(units)
    board.strokes += seen.strokes
    board.labels += seen.labels
    box = seen.bounds
    board.paragraph(stage.doing, box.left, box.top + 6.5, broad, NOTE, upwards=True)
    y = box.bottom - 7.4
    if note:
        y = board.paragraph(note, box.left, y, broad, NOTE) - 2.6
    y = _checks(board, plan, stage, box.left, y, broad, size)
    board.paragraph(f"{_caution(plan, stage)} {AID}".lstrip(), box.left, y - 1.0, broad, CAUTION)
    return board


def _caution(plan: ForgePlan, stage: Stage) -> str:
    match stage.name:
        case "marked":
            return ""
        case "welded":
            return WELDING
        case "ground":
            return f"{GRINDING} {hanging(plan)}"
    return HOT_WORK


def _named(plan: ForgePlan, stage: Stage) -> str:
    """The stage in the fold's own words."""
    fold = plan.fold
    if plan.undrawn and stage.name == "straps drawn":
        return "plate cut"
    if plan.design.ears.form == "none" and stage.name == "ears spread":
        return "edges dressed"
    strap = fold.strap if fold.straps == 1 or fold.waisted else f"{fold.strap}s"
    return stage.name.replace("straps", strap).replace("halves", fold.both)


def _checks(
    board: Board, plan: ForgePlan, stage: Stage, x: float, y: float, broad: float, most: float
) -> float:  # fmt: skip
    """The table of what to measure; returns the next free baseline."""
    inch = "inches" if board.units == "in" else "mm"
    rows = [[f"MEASURE, {inch}", "with", "cold", "may be off", "keeps"]]
    if not stage.cold:
        rows[0].insert(3, f"hot, {temperature(STATED, board.units).split(' (')[0]}")
    for check in stage.checks:
        off = tolerance(plan, check)
        cold, warm = readings(plan, stage, check, board.units)
        row = [check.what, check.tool, cold]
        if not stage.cold:
            row.append(warm)
        keeps = _KEEPS.get(off.keeps, off.keeps)
        if off.to is not None:
            keeps += f" to {length(off.to, board.units)}".removesuffix(f" {board.units}")
        may = offness(off.under, off.over, check.unit, board.units)
        rows.append([*row, may.replace(f" {board.units}", ""), keeps])
    sizes = (most, 3.3, NOTE)
    size = next((s for s in sizes if board.table_width(rows, s, GAP) <= broad), CAUTION)
    return board.table(rows, x, y, size, GAP)


# The bar -----------------------------------------------------------------------------------------


def _marked_inside(board: Board, plan: ForgePlan) -> str:
    """The inner face alone, if there is nothing to mark on the other."""
    bare = not any(mark.face == "outer" for mark in plan.marks)
    note = _marked(board, plan, ("inner",) if bare else ("outer", "inner"))
    return "OUTER FACE: no marks." if bare else note


def _marked(
    board: Board, plan: ForgePlan, faces: Sequence[str] = ("outer", "inner")
) -> str:  # fmt: skip
    """Both faces, the outer one above as if the bar were rolled towards you."""
    wide = plan.design.bar.width
    start, end = plan.parts[0].start, plan.parts[-1].end
    outer = [mark for mark in plan.marks if mark.face == "outer"]
    base = wide + (19.0 if outer else 9.0)
    for face in faces:
        low = base if face == "outer" else 0.0
        board.add(bar_face(plan), Purpose.OUTLINE, at=(0.0, low + wide / 2.0))
        for mark in plan.marks:
            if mark.face != face:
                continue
            foot, head = strip_edges(plan, mark.x)
            board.line(Purpose.MARK, (mark.x, low + foot), (mark.x, low + head))
            if face == "outer":
                sign = wedge_mark(mark.x, low + head + 0.8, down=True)
                board.add(sign, Purpose.MARK, filled=True)
            else:
                sign = flag_mark(mark.x, low + foot - 0.8, towards_thick(plan, mark))
                board.add(sign, Purpose.MARK)
        name = "OUTER FACE" if face == "outer" else "INNER FACE"
        if face == "outer" and not outer:
            board.text("no marks", start + 3.0, low + (wide - FIGURE) / 2.0, FIGURE)
        room = min((mark.x for mark in outer), default=end) - start - 4.0
        over = face == "outer" and not board.fits(name, room, TITLE)
        level = low + wide + (7.5 if over else 2.2)
        board.text(name, start, level, TITLE, bold=True)
    if plan.fold.halves == 2:
        top = (base if "outer" in faces else 0.0) + wide
        board.line(Purpose.CENTRE, (0.0, -3.0), (0.0, top + 3.0))
    # on the inner face each kind of mark has a line of its own, the nearer ones first
    kinds = list(dict.fromkeys(
        mark.kind for mark in sorted(plan.marks, key=lambda mark: abs(mark.x))
        if mark.face == "inner" and mark.x
    ))  # fmt: skip
    for mark in plan.marks:
        level = base - 6.0
        if mark.face == "inner":
            level = -11.0 - 7.5 * (kinds.index(mark.kind) if mark.x else 0)
        if mark.x:
            text = hit(plan, f"{mark.kind} mark", board.units)
            from_line = base if mark.face == "outer" else -5.6
            board.across(0.0, mark.x, level, text, starts=(from_line, from_line))
    datum = 0.0 if plan.fold.halves == 2 else end
    board.across(
        start,
        datum,
        -10.5 - 7.5 * max(len(kinds), 1),
        hit(plan, "end", board.units),
        starts=(0.0, -7.0),
    )
    return "Both faces as if the bar were rolled over on its long edge: left stays left."


def _fullered(board: Board, plan: ForgePlan) -> str:
    """The bar from its edge, with a groove beside each mark."""
    thick = plan.design.bar.thickness
    start, end = plan.parts[0].start, plan.parts[-1].end
    board.add(_grooved(plan), Purpose.OUTLINE)
    if plan.fold.halves == 2:
        board.line(Purpose.CENTRE, (0.0, -5.0), (0.0, thick + 5.0))
    right = end - width("outer face", FIGURE) - 2.4
    for name, level in (("outer face", thick + 2.2), ("inner face", -FIGURE - 2.2)):
        board.word(name, [(start + 2.4, level), (right, level), (end + 16.0, level)])
    inner = [mark.x for mark in plan.marks if mark.face == "inner" and mark.kind == "shoulder"]
    ends = inner if len(inner) == 2 else [start, *inner]
    apart = hit(plan, "shoulders" if len(inner) == 2 else "shoulder mark", board.units)
    board.across(ends[0], ends[-1], -13.5, apart,
                 starts=(0.0, 0.0), bold=True)  # fmt: skip
    if plan.poll:
        half, face = plan.poll / 2.0, plan.fold.back == "block"
        level, edge = (thick + 9.5, thick) if face else (-22.5, 0.0)
        board.across(-half, half, level, hit(plan, "poll", board.units), starts=(edge, edge),
                     bold=True)  # fmt: skip
    board.upright(0.0, thick, end + 6.0, length(thick, board.units), starts=(end, end))
    return "The bar from its edge. Each groove's plumb side stands on the mark."


def _grooved(plan: ForgePlan) -> Contour:
    """The edge view after fullering: each groove plumb on its mark, round on the strap's side."""
    thick = plan.design.bar.thickness
    start, end = plan.parts[0].start, plan.parts[-1].end
    raw = plan.strap.raw_length
    deep = max(thick - plan.strap.drawn_thickness - FULLER_LEFT, 0.1 * thick)
    deep = min(deep, thick - plan.strap.drawn_thickness, 0.9 * thick)
    wide = min(2.0 * deep, 0.45 * raw)
    low, high = [Vertex(start, 0.0)], [Vertex(end, thick)]
    for mark in sorted(plan.marks, key=lambda mark: mark.x):
        if mark.face == "inner":
            to = -towards_thick(plan, mark)
            run = [Vertex(mark.x, 0.0), Vertex(mark.x, deep), Vertex(mark.x + to * wide, 0.0)]
            low += _rounded(run, to > 0.0)
    for mark in sorted(plan.marks, key=lambda mark: -mark.x):
        if mark.face == "outer" and mark.kind == "poll":
            to = -towards_thick(plan, mark)
            up = thick - deep
            run = [Vertex(mark.x, thick), Vertex(mark.x, up), Vertex(mark.x + to * wide, thick)]
            high += _rounded(run, to < 0.0)
    return Contour((*low, Vertex(end, 0.0), *high, Vertex(start, thick)))


def _rounded(run: list[Vertex], onwards: bool) -> list[Vertex]:
    """A groove in the order of the outline, its slope hollow as the fuller leaves it."""
    first, foot, last = run
    bulge = math.tan(math.radians(40.0) / 4.0)
    if onwards:
        return [first, Vertex(foot.x, foot.y, bulge), last]
    return [Vertex(last.x, last.y, bulge), foot, first]


def _edge(board: Board, plan: ForgePlan, base: float) -> None:
    """The drawn bar from its edge, its faces named."""
    edge = drawn_edge(plan).moved(0.0, base)
    wall, first = plan.strap.drawn_thickness, plan.drawn_parts[0]
    board.add(edge, Purpose.OUTLINE)
    board.text("outer face", first.start, base + wall + 2.0, NOTE)
    straps = [part for part in plan.drawn_parts if part.kind == "strap"]
    board.text("inner face", straps[-1].start + 2.0, base - NOTE - 2.0, NOTE)
    if plan.fold.halves == 2:
        board.line(Purpose.CENTRE, (0.0, base - 3.0), (0.0, edge.bounds.top + 3.0))


def _bar(board: Board, plan: ForgePlan, faces: list[list[Point]]) -> float:
    """The drawn bar from its face and from its edge; returns the lowest of the face."""
    for outline in faces:
        board.add(Contour.polygon(outline), Purpose.OUTLINE)
    parts, thick = plan.drawn_parts, plan.design.bar.thickness
    every = [y for outline in faces for _, y in outline]
    low, high = min(every), max(every)
    board.line(Purpose.CENTRE, (parts[0].start, 0.0), (parts[-1].end, 0.0))
    _edge(board, plan, high + 6.5 + thick)
    for part in parts:
        if part.kind == "strap":
            long = hit(plan, "dividers", board.units)
            starts = [_foot(faces, x) for x in (part.start, part.end)]
            board.across(part.start, part.end, low - 9.5, long, starts=starts, bold=True)
    return low


def _foot(faces: list[list[Point]], x: float) -> float:
    """The lowest corner at a place; extension lines begin there."""
    return min((y for face in faces for a, y in face if abs(a - x) < 1e-6), default=0.0)


def _straps_drawn(board: Board, plan: ForgePlan) -> str:
    """The straps as drawing leaves them: straight edges, as high as they come."""
    if plan.undrawn:
        return _plate_cut(board, plan)
    tall = plan.spread.natural_height / 2.0
    if plan.spread.edges == "dressed":
        tall = plan.strap.mean_height / 2.0
    ears = {
        part: [(part.start, -tall), (part.end, -tall), (part.end, tall), (part.start, tall)]
        for part in plan.drawn_parts
        if part.kind == "strap"
    }
    _bar(board, plan, [part_face(plan, part, ears) for part in plan.drawn_parts])
    return ""


def _plate_cut(board: Board, plan: ForgePlan) -> str:
    """A plate of which nothing is drawn: as it is cut, from its face and from its edge."""
    face, thick, half = bar_face(plan), plan.design.bar.thickness, plan.shoulders / 2.0
    box = face.bounds
    board.add(face, Purpose.OUTLINE)
    board.line(Purpose.CENTRE, (box.left, 0.0), (box.right, 0.0))
    base = box.top + 11.0
    board.add(Contour.rectangle(box.left, base, box.right, base + thick), Purpose.OUTLINE)
    board.text("outer face", box.left, base + thick + 2.0, NOTE)
    board.text("inner face", 2.0, base - NOTE - 2.0, NOTE)
    for at in (box.bottom - 3.0, base - 3.0):
        top = box.top + 3.0 if at < 0.0 else base + thick + 3.0
        board.line(Purpose.CENTRE, (0.0, at), (0.0, top))
    low = {x: waist_at(plan, x)[0] for x in (0.0, half)}
    for sign in (-1.0, 1.0):
        starts = [low[0.0], low[half]] if sign > 0.0 else [low[half], low[0.0]]
        board.across(0.0, sign * half, box.bottom - 9.5, length(half, board.units),
                     starts=starts, bold=True)  # fmt: skip
    return "The plate as cut, from its edge and from its face."


def _ears_spread(board: Board, plan: ForgePlan) -> str:
    straps = [part for part in plan.drawn_parts if part.kind == "strap"]
    ears = {part: strap_face(plan, part) for part in straps}
    faces = [part_face(plan, part, ears) for part in plan.drawn_parts]
    _bar(board, plan, joined(plan, faces))
    tip = max(ears[straps[-1]], key=lambda point: point[1])
    foot = min(ears[straps[-1]], key=lambda point: point[1])
    end = plan.drawn_parts[-1].end
    above, below = eye_heights(plan.design)  # as the checks have it; the outline is flattened
    board.upright(0.0, tip[1], end + 3.5, length(above, board.units), starts=(end, tip[0]))
    board.upright(foot[1], 0.0, end + 3.5, length(below, board.units), starts=(foot[0],))
    return ""


# The halves --------------------------------------------------------------------------------------


def _halves_spread(board: Board, plan: ForgePlan) -> str:
    """One half from its outer face, over what it was."""
    half, wide = spread_half(plan), plan.design.bar.width / 2.0
    board.add(half.contour, Purpose.OUTLINE)
    before = Contour.rectangle(0.0, -wide, plan.half, wide)
    if plan.fold.waisted:
        cheek = plan.drawn_parts[-1]
        before = Contour.polygon(part_face(plan, cheek, {})).moved(-cheek.start, 0.0)
    board.add(before, Purpose.HIDDEN)
    box = half.contour.bounds
    board.line(Purpose.CENTRE, (-5.0, 0.0), (box.right + 5.0, 0.0))
    board.across(0.0, half.length, box.bottom - 8.0, length(half.length, board.units),
                 starts=(-wide, box.bottom), bold=True)  # fmt: skip
    board.upright(box.bottom, box.top, box.right + 9.0, length(box.height, board.units),
                  starts=(box.right, box.right))  # fmt: skip
    board.text("shoulder", 2.0, 2.0, NOTE)
    board.text("TOE", box.right + 5.0, box.top + 2.0, FIGURE)
    board.text("HEEL", box.right + 5.0, box.bottom - 2.0 - FIGURE, FIGURE)
    turn = " Turn the pattern over for the other one." if plan.fold.halves == 2 else ""
    return f"Broken line: the {plan.fold.half} before it is spread.{turn}"


def _bit_in_place(board: Board, plan: ForgePlan) -> str:
    """The bit where it lies on one half, or over the edge."""
    bit, start = plan.bit, -plan.head.plan.eye_front
    assert bit is not None
    if bit.overlaid:
        board.add(forged_outline(plan), Purpose.OUTLINE, at=(start, 0.0))
    else:
        board.add(half_outline(plan), Purpose.HIDDEN, at=(start, 0.0))
        for part in uncovered(plan):
            board.add(part, Purpose.OUTLINE, at=(start, 0.0))
    laid = bit_outline(plan).moved(start, 0.0)
    board.add(laid, Purpose.OUTLINE)
    board.hatch(laid, gap=4.0)
    edge = laid.bounds
    board.line(Purpose.CENTRE, (-5.0, 0.0), (edge.left - 1.0, 0.0))
    board.leader(edge.left + 0.25 * edge.width, edge.top - 0.2 * edge.height,
                 (edge.right + 5.0, edge.top - 4.0), "bit, hatched")  # fmt: skip
    deep = length(bit.depth, board.units)
    if bit.overlaid:
        return f"The legs reach {deep} back from the edge on both faces."
    return (
        f"The bit's back lies {deep} behind the edge. Broken line: the end of the {plan.fold.half} "
        "under it."
    )


# The head ----------------------------------------------------------------------------------------


def _folded(board: Board, plan: ForgePlan) -> str:
    """From above: the walls round the drift, the halves ahead as they lie before the weld."""
    head = plan.head
    view, half = head.plan, spread_half(plan)
    board.add(view.outside, Purpose.OUTLINE)
    eye = head.eye.contour.moved(view.eye_back, 0.0)
    board.add(eye, Purpose.OUTLINE)
    for wall in (view.wall_half, view.wall_half.flipped()):
        board.add(wall, Purpose.THIN)
        board.hatch(wall, gap=2.2)
    board.hatch(eye, gap=4.5, angle=-45.0)
    start = head.blade.start
    end = view.eye_front + half.length
    between = 0.0
    if plan.bit is not None and not plan.bit.overlaid:
        between = plan.bit.thickness
        back = max(end - plan.bit.overlap, start)
        out = head.length + plan.design.allowances.trimming
        board.add(
            Contour.rectangle(back, -between / 2.0, max(out, back + 1.0), between / 2.0),
            Purpose.THIN,
        )
    if plan.fold.halves == 2:
        for sign in (1.0, -1.0):
            inside, outside = sign * between / 2.0, sign * (between / 2.0 + half.thickness)
            board.add(
                Contour.rectangle(start, min(inside, outside), end, max(inside, outside)),
                Purpose.OUTLINE,
            )
    else:
        t = half.thickness / 2.0
        board.add(Contour.rectangle(start, -t, end, t), Purpose.OUTLINE)
    wide = view.form.width + 2.0 * view.wall
    low = -max(view.width / 2.0, between / 2.0 + half.thickness)
    widest = view.eye_back + head.eye.length / 4.0
    board.upright(-wide / 2.0, wide / 2.0, -9.0, length(wide, board.units), starts=(widest, widest))
    eye_long = f"eye {length(head.eye.length, board.units)}"
    board.across(view.eye_back, view.eye_front, low - 8.0, eye_long, starts=(0.0, 0.0), bold=True)
    top = view.width / 2.0
    board.leader((view.eye_back + view.eye_front) / 2.0, 0.0, (view.eye_front + 8.0, top + 8.0),
                 "DRIFT in the eye")  # fmt: skip
    how = "inner faces together" if plan.fold.halves == 2 else "the tongue round the drift"
    return f"From above, at mid-height: the {plan.fold.both} ahead, {how}. Hatched: walls, drift."


def _side(board: Board, plan: ForgePlan, outline: Contour) -> None:
    """The head from the side, with the eye behind it."""
    head, view = plan.head, plan.head.plan
    board.add(outline, Purpose.OUTLINE)
    for x in (view.eye_back, view.eye_front):
        (high,), (low,) = heights_at(head, [x])
        board.line(Purpose.HIDDEN, (x, low), (x, high))


def _welded(board: Board, plan: ForgePlan) -> str:
    """The side view with the order of the welding heats, from the eye to the edge.

    Lettered, since stations are numbered.
    """
    head = plan.head
    _side(board, plan, forged_outline(plan))
    _stations(board, plan, 1)
    start, end, heats = head.plan.eye_front, head.length, 3
    if plan.strap.lap and plan.bit is None:  # nothing but the lap is welded
        end, heats = head.plan.shoulder[0] + plan.strap.lap, 1
    first = head.blade.stations[0][0]
    step = (end - start) / heats
    middle = head.side.edge.y
    for i in range(heats):
        x = start + (i + 0.5) * step
        if abs(x - first) < 6.0:  # clear of the station's line
            x = first + math.copysign(6.0, x - first)
        y = middle * (i + 0.5) / heats
        board.add(Contour.circle(x, y, 4.6), Purpose.THIN)
        board.text("ABC"[i], x, y - 2.4, 4.8, "middle", bold=True)
        if i + 1 < heats:
            at = x + 4.6
            to = start + (i + 1.5) * step - 4.6
            then = middle * (i + 1.5) / heats
            board.line(Purpose.DIMENSION, (at + 1.0, y), (to - 1.0, then))
            board.arrow(to - 1.0, then, math.atan2(then - y, to - at))
    where = (
        "A: where the lap is welded."
        if heats == 1
        else "A, B, C: where the welding heats are taken, one after the other."
    )
    return (
        f"{where} Station 1: {length(first - head.plan.eye_front, board.units)} ahead of the eye."
    )


def _stations(board: Board, plan: ForgePlan, most: int = 3) -> None:
    """Where the blade's thickness is measured, numbered from the eye."""
    head = plan.head
    for number, (x, _) in enumerate(head.blade.stations[:most], 1):
        if x >= head.length:
            continue
        low, high = _span(plan, x)
        board.line(Purpose.THIN, (x, low), (x, high))
        near = [_span(plan, a)[1] for a in (x - 2.5, x + 2.5) if a < head.length]
        over = max(high, *near) + plan.design.allowances.trimming + 4.0
        board.text(f"{number}", x, over, FIGURE, "middle", bold=True)
        board.line(Purpose.DIMENSION, (x, high + 1.2), (x, over - 1.0))


def _corners(board: Board, plan: ForgePlan) -> None:
    """The edge's two corners by their names, in the blade, where they take no room."""
    import shapely

    head, out = plan.head, plan.design.allowances.trimming + 3.0
    edge, inside = head.side.edge, head.side.flat.buffer(-1.0)
    middle = (head.plan.eye_front + head.length) / 2.0
    for name, (x, y) in (("TOE", edge.toe), ("HEEL", edge.heel)):
        wide, far = width(name, NOTE), math.dist((x, y), (middle, edge.y))
        shares = [off / far for off in range(9, max(int(far), 10), 2)]
        tried = [
            (x + t * (middle - x) - wide / 2.0, y + t * (edge.y - y) - NOTE / 2.0) for t in shares
        ]
        places = [
            (a, b) for a, b in tried if inside.contains(shapely.box(a, b, a + wide, b + NOTE))
        ]
        for off in (1.8, out):
            level = y + off if y > edge.y else y - off - NOTE
            places += [(x - wide, level), (x - wide - 6.0, level)]
        board.word(name, [*places, (x + out, y)], NOTE)


def _span(plan: ForgePlan, x: float) -> tuple[float, float]:
    """The outline's lowest and highest at a place in the blade."""
    import shapely

    flat, box = plan.head.side.flat, plan.head.side.contour.bounds
    cut = shapely.LineString([(x, box.bottom - 1.0), (x, box.top + 1.0)]).intersection(flat)
    _, low, _, high = cut.bounds
    return float(low), float(high)


def _forged(board: Board, plan: ForgePlan) -> str:
    """The side view as forged, with the finished outline inside it."""
    _side(board, plan, forged_outline(plan))
    board.add(plan.head.side.contour, Purpose.HIDDEN)
    _stations(board, plan)
    _corners(board, plan)
    front = plan.head.plan.eye_front
    places = [length(x - front, board.units) for x, _ in plan.head.blade.stations[:3]]
    return (
        "Broken line: the finished outline; thick line: as forged, with what is trimmed off. "
        f"Stations 1, 2, 3: {', '.join(places)} ahead of the eye."
    )


def _ground(board: Board, plan: ForgePlan) -> str:
    """The finished side view with its bevel, and the head from above over it."""
    head = plan.head
    note = _ground_side(board, plan)
    base = head.side.contour.bounds.top + 7.0 + head.plan.width / 2.0
    board.add(plan_contour(head).moved(0.0, base), Purpose.OUTLINE)
    board.add(head.eye.contour, Purpose.OUTLINE, at=(head.plan.eye_back, base))
    x, low, high = blade_section(head, head.blade.start)
    tip = (float(x[-1]), base + float(low[-1] + high[-1]) / 2.0)
    how = "on one face" if plan.design.blade.bevel == "one" else "in all"
    angle = f"{plan.design.blade.edge_angle:g} degrees {how}"
    board.leader(tip[0] - 1.0, tip[1], (tip[0] + 5.0, tip[1] + 6.0), angle)
    return note


def _ground_side(board: Board, plan: ForgePlan) -> str:
    """The finished side view with its bevel."""
    head = plan.head
    _side(board, plan, head.side.contour)
    board.add(bevel_line(head), Purpose.THIN)
    _corners(board, plan)
    box, poll = head.side.contour.bounds, poll_height(plan.design) / 2.0
    board.across(0.0, box.right, box.bottom - 8.0, length(box.right, board.units),
                 starts=(-poll, head.side.edge.y), bold=True)  # fmt: skip
    return "Thin line: where the bevel ends."


_VIEWS: dict[str, tuple[View, ...]] = {
    "marked": (_marked, _marked_inside),
    "fullered": (_fullered,),
    "straps drawn": (_straps_drawn,),
    "ears spread": (_ears_spread,),
    "halves spread": (_halves_spread,),
    "bit in place": (_bit_in_place,),
    "folded": (_folded,),
    "welded": (_welded,),
    "forged": (_forged,),
    "ground": (_ground, _ground_side),
}
"""How each stage is drawn, with less to see if more does not fit; a stage that is not here is a
cut, or has a sheet of its own."""
