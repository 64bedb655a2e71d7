"""The proof of a file to cut: what the machine will do, drawn from the file itself at true size.

The file is read back and nothing else is asked. Where its contours are nominal, the cut lies wholly
in the scrap: outside an outline, inside a hole. Where they allow for the kerf already, it lies on
the line, half to each side. What it takes is black, at its true width; what falls out is hatched.
"""

from __future__ import annotations

import hashlib
import itertools
import math
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import PurePath
from typing import Any

import numpy as np

from .contour import SAGITTA, Bounds, Contour, Point, Vertex, around
from .cut_file import CutFile, Run
from .drawing import Drawing, Purpose, Stroke
from .lettering import plain, width
from .offset import OffsetError, distances, parallel
from .pages import Legend
from .processes import Rules, write_thickness
from .sheets.layout import CAUTION, CLEAR, NOTE, Board
from .sheets.words import AID
from .units import MM_PER_INCH, counted, fine

BROAD = 183.0
BROADEST = 225.0
"""Words are set this wide [mm], or as wide as what is drawn, up to the second figure."""
FLAT = 0.002
"""Sagitta [mm] of what Shapely is asked about."""
GAP = 2.5
"""Between two lines of the hatching [mm]."""
TITLE, TITLE_LEAST = 6.5, 4.0
"""Height of the title [mm], and what it is set down to for a long name before that is cut off."""
NUMBER = 2.6
"""Height of the numbers of the order [mm]."""
WELL_CLEAR = 1.5
"""How far a number stands off lines and letters, where it can [mm]."""
_LEAST = 4.0  # scrap smaller than this is not hatched [mm2]
_CORNER = math.radians(3.0)  # a blunter corner is none


@dataclass(frozen=True)
class Cut:
    """One contour as it will be cut [mm].

    ``path`` is where the middle of the kerf runs, ``edge`` what the part is left with. ``left`` is
    the most metal that stays in an inside corner, as the cut is round. ``why`` says what is wrong
    where it cannot be cut so, ``at`` where, and ``wide`` how wide the narrowest place is; then
    there is neither path nor edge.
    """

    run: Run
    number: int
    inside: bool
    path: Contour | None = None
    edge: Contour | None = None
    left: float = 0.0
    why: str = ""
    at: Point | None = None
    wide: float | None = None


def cuts(found: CutFile, kerf: float, *, on_line: bool = False) -> tuple[Cut, ...]:
    """The closed contours of a file as a kerf [mm] will cut them, in the usual order: the holes of
    a part before its outline, so that it lies fast while they are cut.

    ``on_line`` tells that the contours allow for the kerf already, and that the middle of the cut
    follows them.

    >>> hole, outline = Contour.circle(20, 10, 4), Contour.rectangle(0, 0, 40, 20)
    >>> runs = Run(outline, "CUT", "outside"), Run(hole, "CUT", "inside")
    >>> first, last = cuts(CutFile("plate.dxf", "AC1015", "mm", runs), 1.5)
    >>> first.inside, first.path.bounds.width, last.path.bounds.width, last.edge.bounds.width
    (True, 6.5, 41.5, 40.0)
    """
    return tuple(
        _cut(run, number, kerf, on_line) for number, run in enumerate(_ordered(found.runs), 1)
    )


def _ordered(runs: Sequence[Run]) -> list[Run]:
    """Closed contours to cut, each after what lies in it: a part within a hole comes before the
    hole, and the hole before its own part."""
    import shapely

    closed = [run for run in runs if run.contour.closed and run.role in ("outside", "inside")]
    areas = [_area(run.contour) for run in closed]
    firsts = [shapely.Point(run.contour.vertices[0][:2]) for run in closed]
    tree = shapely.STRtree(areas)
    within: dict[int | None, list[int]] = defaultdict(list)
    for i, first in enumerate(firsts):
        around = [
            int(j)
            for j in tree.query(first, predicate="within")
            if j != i and areas[j].area > areas[i].area
        ]
        within[min(around, key=lambda j: float(areas[j].area), default=None)].append(i)

    def after(parent: int | None) -> Iterator[Run]:
        for i in within[parent]:
            yield from after(i)
            yield closed[i]

    return list(after(None))


def _area(contour: Contour, sagitta: float = SAGITTA) -> Any:
    """What a closed contour holds, as shapely's area: empty if it is a mere point or line, and
    sound even if it crosses itself."""
    import shapely

    points = contour.points(sagitta)
    return shapely.make_valid(shapely.Polygon(points if len(points) > 2 else None))


def _cut(run: Run, number: int, kerf: float, on_line: bool) -> Cut:
    inside = run.role == "inside"
    out, contour = (-kerf / 2.0 if inside else kerf / 2.0), run.contour
    try:
        path = contour if on_line else parallel(contour, out)
        edge = parallel(path, -out)
    except OffsetError as error:
        return Cut(run, number, inside, why=error.reason, at=error.at, wide=error.width)
    left = max(_rounds(path, kerf, inside), default=0.0)
    if not on_line:  # a fillet smaller than the kerf's own leaves metal too
        points = [piece.at(share) for piece in contour.pieces for share in (0.0, 0.5)]
        left = max(left, float(distances(np.array(points), edge.pieces).max()))
    return Cut(run, number, inside, path, edge, left if left > 1e-3 else 0.0)


def _rounds(path: Contour, kerf: float, inside: bool) -> Iterator[float]:
    """The metal left [mm] in each inside corner of the part, at which the path turns back."""
    side = 1.0 if (path.area > 0.0) != inside else -1.0
    pieces = path.pieces
    for before, piece in zip(pieces[-1:] + pieces[:-1], pieces, strict=True):
        turn = side * math.remainder(piece.angle_at(0.0) - before.angle_at(1.0), math.tau)
        if turn < -_CORNER:
            yield kerf / 2.0 * (1.0 / math.cos(turn / 2.0) - 1.0)


# Areas -------------------------------------------------------------------------------------------


def band(cut: Cut, kerf: float) -> Any:
    """What the cut takes, with its lead-in, as shapely's area [mm2]; empty where it cannot be
    cut."""
    import shapely

    if cut.path is None or cut.edge is None:
        return shapely.Polygon()
    points = cut.path.points(FLAT)
    taken = shapely.LinearRing(points).buffer(kerf / 2.0, quad_segs=_segments(kerf))
    return taken.union(_lead(cut, kerf))


def _segments(kerf: float) -> int:
    """Lines to a quarter circle of half a kerf, for the sagitta of the rest."""
    return max(4, math.ceil(math.pi / 4.0 / math.acos(max(0.0, 1.0 - 2.0 * FLAT / kerf))))


def _lead(cut: Cut, kerf: float) -> Any:
    """What the lead-in takes: nothing beyond the edge of the part."""
    import shapely

    if cut.run.lead is None or cut.edge is None:
        return shapely.Polygon()
    line = shapely.LineString(cut.run.lead.points(FLAT))
    taken = line.buffer(kerf / 2.0, quad_segs=_segments(kerf))
    part = shapely.Polygon(cut.edge.points(FLAT))
    return taken.intersection(part) if cut.inside else taken.difference(part)


def scrap(found: Sequence[Cut], kerf: float) -> list[Any]:
    """What falls out of the holes, as shapely's areas."""
    import shapely

    parts = [
        shapely.Polygon(cut.path.points(FLAT)).buffer(kerf / 2.0)
        for cut in found
        if not cut.inside and cut.path is not None
    ]
    tree = shapely.STRtree(parts)
    falls = []
    for cut in found:
        if not cut.inside or cut.path is None:
            continue
        area = shapely.Polygon(cut.path.points(FLAT))
        within = [parts[i] for i in tree.query(area, predicate="contains")]
        area = area.difference(shapely.union_all([band(cut, kerf), *within]))
        falls += [part for part in getattr(area, "geoms", [area]) if part.area > 1e-3]
    return falls


def _black(cut: Cut, kerf: float) -> Iterator[Contour]:
    """What the cut takes, as contours to be filled; with true arcs where both its edges have
    them."""
    assert cut.path is not None
    out = -kerf / 2.0 if cut.inside else kerf / 2.0
    try:
        other = parallel(cut.path, out)
    except OffsetError:  # nothing falls out, or in several pieces
        yield from _filled(band(cut, kerf))
        return
    assert cut.edge is not None
    yield _seamed(cut.edge, [other])
    yield from _filled(_lead(cut, kerf))


def _filled(area: Any) -> Iterator[Contour]:
    for part in getattr(area, "geoms", [area]):
        if part.is_empty or part.geom_type != "Polygon":
            continue
        rings = [
            Contour.polygon([(float(x), float(y)) for x, y in ring.coords[:-1]])
            for ring in (part.exterior, *part.interiors)
        ]
        yield _seamed(rings[0], rings[1:])


def _seamed(ring: Contour, others: Sequence[Contour]) -> Contour:
    """Several contours as one, by seams without width, the others run the other way round."""
    first = ring.vertices[0]
    vertices = [*ring.vertices, Vertex(first.x, first.y)]
    for other in others:
        turned = other.reversed() if other.area * ring.area > 0.0 else other
        start = turned.vertices[0]
        vertices += [*turned.vertices, Vertex(start.x, start.y), Vertex(first.x, first.y)]
    return Contour(tuple(vertices))


# The drawing -------------------------------------------------------------------------------------


def name_of(found: CutFile) -> str:
    """What the files of a proof begin with."""
    return f"{PurePath(found.name).stem}-proof"


def legend(found: CutFile, rules: Rules | None, kerf: float, units: str) -> Legend:
    """What stands at the foot of every page; the revision is the file's own."""
    mark = hashlib.sha256(repr((found, rules, kerf)).encode()).hexdigest()[:8]
    return Legend(plain(found.name), _sheet(rules, kerf, units), f"of the file {mark}")


def _sheet(rules: Rules | None, kerf: float, units: str) -> str:
    shown = f"kerf {_fine(kerf, units)}"
    if rules is None:
        return shown
    return f"{rules.process.capitalize()} in {write_thickness(rules.thickness, units)}, {shown}"


def _fine(mm: float, units: str) -> str:
    other = "mm" if units == "in" else "in"
    return f"{fine(mm, units)} ({fine(mm, other)})"


def faults(found: Sequence[Cut], units: str) -> list[str]:
    """What cannot be cut so, in words."""
    said = []
    for cut in found:
        if cut.why and cut.at is not None:
            x, y = (fine(c, units) for c in cut.at)
            wide = "" if cut.wide is None else f", {fine(cut.wide, units)} wide"
            said.append(f"cut {cut.number} cannot be made: {cut.why} at x {x}, y {y}{wide}")
    return said


def draw(
    found: CutFile, rules: Rules | None, kerf: float, units: str, *, on_line: bool = False
) -> Drawing:
    """The proof of a file, at true size.

    ``kerf`` [mm] is the width of the cut, more than 0; ``rules`` those of the process, if it is
    known; ``on_line`` as for :func:`cuts`. Raises :class:`ValueError` for a file with nothing in
    it.
    """
    if not found.runs:
        raise ValueError(f"{found.name} has nothing to cut or to mark")
    board = Board(units)
    every = cuts(found, kerf, on_line=on_line)
    for cut in every:
        if cut.path is None:
            board.add(cut.run.contour, Purpose.THIN)
            continue
        for contour in _black(cut, kerf):
            board.add(contour, Purpose.CUT, filled=True)
    for run in found.runs:
        if run.role == "mark":
            board.add(run.contour, Purpose.THIN)
        elif not run.role or not run.contour.closed:
            board.add(run.contour, Purpose.HIDDEN)
    size = _size(every) or around([run.contour for run in found.runs])
    drawn = around([s.contour for s in board.strokes])
    for cut in every:
        _pierce(board, cut, kerf)
        if cut.at is not None and not (rules is not None and rules.fitted):
            _struck(board, cut.at)
    falls = scrap(every, kerf)
    _dimensions(board, size, drawn)
    _numbered(board, every)
    low = min(around([s.contour for s in board.strokes]).bottom, drawn.bottom - 14.0)
    broad = min(max(BROAD, drawn.width), BROADEST)
    above = drawn.top + 9.0
    for text in reversed(_facts(found, every, rules, kerf, size, on_line, units)):
        above = board.paragraph(text, drawn.left, above, broad, NOTE, upwards=True)
    title = f"PROOF  {plain(found.name)}"
    high = max(TITLE_LEAST, min(TITLE, 0.99 * TITLE * broad / width(title, TITLE)))
    board.text(_shortened(title, broad, high), drawn.left, above + 2.0, high, bold=True)
    y = low - 8.0
    for text in _words(found, every, kerf, on_line, units):
        y = board.paragraph(text, drawn.left, y, broad, CAUTION)
    made = board.drawing(name_of(found), f"Proof of {plain(found.name)}")
    return Drawing(
        made.name, made.title, (*_hatched(falls, made, every, kerf), *made.strokes), made.labels
    )


def _size(every: Sequence[Cut]) -> Bounds | None:
    """Of what is left of the outlines when they are cut; None if there is none."""
    edges = [cut.edge for cut in every if not cut.inside and cut.edge is not None]
    edges += [cut.run.contour for cut in every if not cut.inside and cut.edge is None]
    return around(edges) if edges else None


def _shortened(text: str, most: float, height: float) -> str:
    while width(text, height) > most and len(text) > 12:
        text = f"{text[:-4]}..."
    return text


def _dimensions(board: Board, size: Bounds, drawn: Bounds) -> None:
    board.across(size.left, size.right, drawn.bottom - 8.0, _fine(size.width, board.units),
                 starts=(size.bottom, size.bottom))  # fmt: skip
    board.upright(size.bottom, size.top, drawn.right + 9.0, _fine(size.height, board.units),
                  starts=(size.right, size.right))  # fmt: skip


def _pierce(board: Board, cut: Cut, kerf: float) -> None:
    """A ring about the place where the cut begins, if the file says it."""
    if cut.run.lead is None:
        return
    first = cut.run.lead.vertices[0]
    board.add(Contour.circle(first.x, first.y, kerf + 0.6), Purpose.DIMENSION)


def _struck(board: Board, at: Point, arm: float = 4.0) -> None:
    """A cross over a place that cannot be cut so."""
    x, y = at
    for sign in (1.0, -1.0):
        board.line(Purpose.OUTLINE, (x - arm, y - sign * arm), (x + arm, y + sign * arm))


def _numbered(board: Board, every: Sequence[Cut]) -> None:
    """Each cut's place in the order, ringed: in its scrap, or in its metal, where it has room, else
    beside it; clear of lines, letters and each other."""
    import shapely

    lines = [_line(stroke.contour) for stroke in board.strokes]
    tree = shapely.STRtree(lines)
    shapes = {cut.number: _area(cut.run.contour, 0.05) for cut in every}
    areas = list(shapes.values())
    others = shapely.STRtree(areas)
    taken: list[Any] = []
    for cut in every:
        text = str(cut.number)
        radius = math.hypot(width(text, NUMBER), NUMBER) / 2.0 + 0.8
        shape = shapes[cut.number]
        near = [areas[i] for i in others.query(shape, predicate="contains_properly")]
        shape = shape.difference(shapely.union_all(near)) if near else shape
        every_place = list(_places(cut, shape, radius))
        for clear, (x, y) in itertools.product((WELL_CLEAR, CLEAR), every_place):
            disc = shapely.Point(x, y).buffer(radius + clear)
            if len(tree.query(disc, predicate="intersects")) == 0 and not any(
                disc.intersects(other) for other in taken
            ):
                break
        taken.append(shapely.Point(x, y).buffer(radius + CLEAR))
        board.add(Contour.circle(x, y, radius), Purpose.DIMENSION)
        board.text(text, x, y - NUMBER / 2.0, NUMBER, "middle")


def _places(cut: Cut, shape: Any, radius: float) -> Iterator[Point]:
    """Where a number may stand, the best first: within its own shape, else round about it."""
    import shapely

    fits = shape.buffer(-radius - CLEAR)
    if not fits.is_empty:
        parts = getattr(fits, "geoms", [fits])
        middle = shapely.maximum_inscribed_circle(max(parts, key=lambda p: p.area), 0.1).coords[0]
        yield float(middle[0]), float(middle[1])
        left, low, right, high = fits.bounds
        xs, ys = np.meshgrid(np.linspace(left, right, 17), np.linspace(high, low, 17))
        within = shapely.contains_xy(fits, xs, ys)
        yield from zip(xs[within].tolist(), ys[within].tolist(), strict=True)
    box = cut.run.contour.bounds
    x, y = (box.left + box.right) / 2.0, (box.bottom + box.top) / 2.0
    for far in (1.5, 3.0, 5.0, 8.0, 12.0, 17.0):
        wide, tall = box.width / 2.0 + radius + far, box.height / 2.0 + radius + far
        for right, up in ((0, 1), (1, 0), (0, -1), (-1, 0), (1, 1), (1, -1), (-1, -1), (-1, 1)):
            yield x + right * wide, y + up * tall


def _line(contour: Contour) -> Any:
    import shapely

    points = contour.points(0.05)
    return shapely.LineString([*points, points[0]] if contour.closed else points)


def _hatched(
    falls: Sequence[Any], made: Drawing, every: Sequence[Cut], kerf: float
) -> Iterator[Stroke]:
    """Thin slanting lines on what falls out, clear of letters and cuts."""
    import shapely

    boxes = [shapely.Polygon(label.outline(2.0 * CLEAR).points()) for label in made.labels]
    rings = [s.contour for s in made.strokes if s.purpose is Purpose.DIMENSION and s.contour.closed]
    boxes += [shapely.Polygon(ring.points(0.05)).buffer(CLEAR) for ring in rings]
    tree = shapely.STRtree(boxes)
    for area in falls:
        if area.area < _LEAST:
            continue
        free = area.difference(shapely.union_all([boxes[i] for i in tree.query(area)]))
        if free.is_empty:
            continue
        left, low, right, high = free.bounds
        steps = range(math.floor((left - high) / (GAP * math.sqrt(2.0))),
                      math.ceil((right - low) / (GAP * math.sqrt(2.0))) + 1)  # fmt: skip
        # x - y is the same along each line, so that neighbours' hatching is in step
        rays = [
            [(low + c, low), (high + c, high)] for c in (GAP * math.sqrt(2.0) * n for n in steps)
        ]
        lines = shapely.get_parts(shapely.intersection(shapely.linestrings(rays), free))
        for line in lines[shapely.length(lines) > 0.4]:
            ends = [(float(x), float(y)) for x, y in shapely.get_coordinates(line)]
            yield Stroke(Contour.line(*ends), Purpose.HATCH)


# Words -------------------------------------------------------------------------------------------

_UNITS = {"in": "inches", "mm": "millimetres"}


def facts(
    found: CutFile, every: Sequence[Cut], rules: Rules | None, kerf: float, units: str
) -> list[str]:  # fmt: skip
    """What a file holds, in words: counts, length of cut, process."""
    size = _size(every) or around([run.contour for run in found.runs])
    open_cuts = [r for r in found.runs if r.role in ("outside", "inside") and not r.contour.closed]
    lines = [cut.run.contour for cut in every] + [run.contour for run in open_cuts]
    leads = [cut.run.lead for cut in every if cut.run.lead is not None]
    long = sum(line.length for line in (*lines, *leads))
    marks = [run.contour for run in found.runs if run.role == "mark"]
    outlines = sum(not cut.inside for cut in every)
    declared = f"in {_UNITS.get(found.units, found.units)}" if found.units else "without a unit"
    shown = _sheet(rules, kerf, units)
    counts = ((outlines, "outline"), (len(every) - outlines, "hole"), (len(marks), "marked line"))
    things = [counted(number, one) for number, one in counts if number] or [
        "Nothing to cut or to mark"
    ]
    said = [
        f"File {declared}. {shown[:1].upper()}{shown[1:]}.",
        f"{', '.join(things)}. Overall {fine(size.width, units)} x "
        f"{fine(size.height, units)}. Cut {_long(long, units)} long, "
        f"{counted(len(lines), 'pierce')}"
        + (f", {counted(len(leads), 'lead-in')}." if leads else "."),
    ]
    if not found.units:
        said.append("STOP: the file declares no unit; drawn as if in millimetres.")
    if open_cuts:
        said.append(f"STOP: {counted(len(open_cuts), 'line')} to cut not closed; drawn dashed.")
    stray = [run for run in found.runs if run.role not in ("outside", "inside", "mark")]
    if stray:
        names = ", ".join(sorted({plain(run.layer) for run in stray})[:4])
        said.append(f"{counted(len(stray), 'line')} on other layers ({names}); drawn dashed.")
    if found.others:
        kinds = Counter(plain(other.kind) for other in found.others)
        listed = ", ".join(f"{number} {kind}" for kind, number in sorted(kinds.items())[:6])
        said.append(f"STOP: not drawn, as no cutter should meet it: {listed}.")
    return said


def _long(mm: float, units: str) -> str:
    """A length that nobody measures off."""
    return f"{mm / MM_PER_INCH:.1f} in" if units == "in" else f"{mm:.0f} mm"


def _facts(
    found: CutFile, every: Sequence[Cut], rules: Rules | None, kerf: float, size: Bounds,
    on_line: bool, units: str,
) -> list[str]:  # fmt: skip
    said = facts(found, every, rules, kerf, units)
    if rules is not None and rules.fitted:
        narrow = ", ".join(str(cut.number) for cut in every if cut.path is None)
        if narrow:
            said.append(f"Narrower than the saw somewhere: {narrow}. File there, to the line.")
        return said
    return said + [f"STOP: {fault}." for fault in faults(every, units)]


def _words(
    found: CutFile, every: Sequence[Cut], kerf: float, on_line: bool, units: str
) -> list[str]:
    where = (
        "on the line, as the file allows for it already"
        if on_line
        else "outside each outline and inside each hole"
    )
    said = [
        f"Black is what the cut takes, {_fine(kerf, units)} wide, at its true width: {where}. "
        "Hatched is what falls out. Sizes are of the part when it is cut. Ringed numbers are the "
        "usual order, holes before their outline; the machine's own program rules."
    ]
    left = max((cut.left for cut in every), default=0.0)
    if left > 0.0:
        said.append(
            f"Inside corners stay round, by half the kerf or {_fine(kerf / 2.0, units)}; at the "
            f"keenest, {_fine(left, units)} of metal is left in the corner: file it out where it "
            "matters."
        )
    if any(cut.run.lead is not None for cut in every):
        said.append("Empty rings are where the cut begins.")
    else:
        said.append("The file has no lead-ins: whoever cuts sets where to pierce, in the scrap.")
    said.append(f"Cut edges are sharp, and may be hot: gloves, and break them before use. {AID}")
    return said
