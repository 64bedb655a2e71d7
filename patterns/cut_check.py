"""What is wrong with a file to cut, and what it comes to.

A *fault* makes a file unfit to cut; a *doubt* is told and stops nothing. Contours are exact for
sizes, lengths and areas; where they are laid against each other they are flattened to
:data:`~patterns.contour.SAGITTA`. Pairs are found by a tree over short stretches of each contour,
so that the time grows little faster than the number of pieces.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from . import iso_9013
from .contour import SAGITTA, Bounds, Contour, Piece, Point, Vertex, around
from .cut_file import CutFile, Other, Run
from .narrow import SLACK, Narrow, narrow_places
from .processes import Rules
from .sources import STEEL_DENSITY
from .units import fine

if TYPE_CHECKING:
    from shapely import LineString, Polygon

NONE = 0.001
"""A piece shorter than this [mm] has no length."""
TINY = 0.1
"""A shorter piece [mm] makes many a machine's control stutter: common practice."""
TOUCH = 2.0 * SAGITTA
"""Contours nearer than this [mm] touch: each is flattened to half of it."""
LARGEST, SMALLEST = 3000.0, 3.0
"""No file of ours is larger or smaller over all [mm]; the longest common sheet is 3 m or 10 ft."""
FAR = 10_000.0
"""What lies further from the origin [mm] is hard to find on a screen, and loses digits."""
LEFT_OVER = 0.05
"""An inside corner that comes out short by less [mm] is not worth a word."""
_SPIKE = math.radians(0.2)
_CHUNK = 8  # segments


@dataclass(frozen=True)
class Kind:
    """A kind of finding: how grave, what is said of it and what to change.

    Figures stand in braces; all are lengths, written in the user's units, but ``of``, a name.
    """

    severity: str
    what: str
    change: str


def _fault(what: str, change: str) -> Kind:
    return Kind("fault", what, change)


def _doubt(what: str, change: str) -> Kind:
    return Kind("doubt", what, change)


KINDS: dict[str, Kind] = {
    # the file
    "no unit": _fault(
        "the file declares no unit: it is {as_inches} over all if it means inches, {as_mm} if mm",
        "set the drawing's units and save it anew",
    ),
    "odd unit": _fault(
        "the file's unit is {of}: many programs take it for inches or mm",
        "save it in inches or mm",
    ),
    "units at odds": _doubt(
        "the file's name ends in another unit than its header has: {of}",
        "name the file by its unit",
    ),
    "size absurd": _fault(
        "it is {longest} over all: inches may have been taken for mm, or mm for inches",
        "compare it with the part, and set the unit",
    ),
    "far from the origin": _doubt(
        "it lies up to {distance} from the origin", "move it to the origin"
    ),
    "nothing to cut": _fault(
        "no contour lies on a layer that is cut", "see the names of the layers, or use --layers"
    ),
    # what no cutter should meet
    "text": _fault("text, which is left out or cut in some other shape", "draw it as lines"),
    "spline": _fault("a spline or fitted curve", "draw it as arcs and lines"),
    "ellipse": _fault("an ellipse", "draw it as arcs and lines"),
    "block": _fault("a block put in, which is left out or comes in another size",
                    "take it apart into its lines"),
    "hatch": _fault("a hatch", "take it out"),
    "dimension": _fault("a dimension or leader", "take it out"),
    "point": _fault("a point, where a machine may pierce", "take it out"),
    "in space": _fault("something in space, not in the plane", "draw it flat"),
    "other kind": _fault("something that is no line or arc: {of}", "take it out"),
    "on paper": _doubt("something on the paper of a layout, which no machine sees",
                       "take it out, or check that it is not meant to be cut"),
    "layer off": _fault("something on a layer that is off: it may be cut, or may not: {of}",
                        "take it out, or turn the layer on"),
    "layer frozen": _fault("something on a layer that is frozen: it may be cut, or may not: {of}",
                           "take it out, or thaw the layer"),
    "hidden": _fault("something hidden: it may be cut, or may not", "take it out, or show it"),
    "thick": _fault("something drawn with a thickness", "draw it flat, without thickness"),
    "raised": _fault("something above or below the plane z = 0", "put it at z = 0"),
    "turned": _fault("something drawn on a plane seen from behind or aslant: it may come mirrored",
                     "draw it in the plane, seen from above"),
    "unknown layer": _fault("a contour on a layer of no known use: {of}",
                            "move it to CUT or MARK, or name the file's own layers in a table for "
                            "--layers: a row such as outside,0,7 under what,name,colour"),
    # one contour
    "no length": _fault("a piece without length", "take it out"),
    "repeated corner": _fault("the same corner twice running", "take one out"),
    "tiny piece": _doubt("pieces so short that a machine may stutter: the shortest is {shortest}",
                         "draw fewer and longer pieces"),
    "doubled back": _fault("a line that turns and runs back on itself", "take the spike out"),
    "no area": _fault("a closed contour without area", "take it out, or draw it as a mark"),
    "open": _fault("an open contour: the widest gap is {gap}", "join its ends"),
    "crosses itself": _fault("a contour that crosses or touches itself", "draw it anew there"),
    # contours and contours
    "cross": _fault("contours that cross or touch each other", "move them apart, or unite them"),
    "twice": _fault("the same contour twice: it would be cut twice", "take one out"),
    "double line": _fault("contours that share a line, which would be cut twice over {shared}",
                          "take one out, or move them apart"),
    "mark twice": _doubt("the same mark twice", "take one out"),
    "wrong layer": _fault("a contour on the wrong layer: {of}",
                          "move it to the other layer"),
    "hole outside": _fault("a hole that lies in no part", "move it, or take it out"),
    "mark off the part": _fault("a mark that runs off the part", "move it, or take it out"),
    # rules of the process
    "hole too small": _fault("a hole of {width}; the process makes none under {least}",
                             "make it larger, or mark its centre and drill it"),
    "kerf wider": _fault("an opening of {width}; the kerf alone is {least}",
                         "make it wider, or leave it out"),
    "slot too narrow": _fault("a slot or notch only {width} wide; the process makes none under "
                              "{least}", "make it wider"),
    "thin web": _fault("only {width} of metal between two openings; the process asks for {least}",
                       "move them apart"),
    "thin edge": _fault("only {width} of metal between an opening and the outline; the process "
                        "asks for {least}", "move the opening inwards"),
    "thin metal": _fault("a tongue or neck of metal only {width} wide; the process asks for "
                         "{least}", "make it wider"),
    "parts too near": _fault("parts only {width} apart; the process asks for {least}",
                             "move them apart"),
    "part too small": _doubt("a part only {width} long may tip or fall through; under {least} it "
                             "wants holding", "ask the shop, or leave a tab"),
    "inside corner": _doubt("inside corners that come out with a radius of about {radius}, their "
                            "points up to {short} short", "file them out, or draw them round"),
    "cannot mark": _fault("marks, which the process cannot make without cutting through",
                          "take them out, or cut the letters as a stencil"),
}  # fmt: skip
"""Every kind of finding, in the order in which they are told, faults before doubts."""

_BY_KIND = {
    "TEXT": "text", "MTEXT": "text", "ATTDEF": "text", "ATTRIB": "text", "RTEXT": "text",
    "SPLINE": "spline", "HELIX": "spline", "ELLIPSE": "ellipse", "INSERT": "block",
    "HATCH": "hatch", "MPOLYGON": "hatch", "DIMENSION": "dimension", "LEADER": "dimension",
    "MULTILEADER": "dimension", "MLEADER": "dimension", "TOLERANCE": "dimension",
    "ARC_DIMENSION": "dimension", "LARGE_RADIAL_DIMENSION": "dimension", "POINT": "point",
    "3DFACE": "in space", "3DSOLID": "in space", "MESH": "in space", "BODY": "in space",
    "REGION": "in space", "SURFACE": "in space",
}  # fmt: skip
_BY_WHY = {
    "paper": "on paper", "off": "layer off", "frozen": "layer frozen", "hidden": "hidden",
    "thick": "thick", "raised": "raised", "turned": "turned", "fitted": "spline",
    "space": "in space",
}  # fmt: skip


_HANGING = ("nothing to cut", "hole outside", "mark off the part", "part too small")
"""What may only be so because an outline is none yet: told once that is mended."""


def _may_be_an_edge(other: Other) -> bool:
    """Whether it may be the outline of a part, were it drawn as it should be."""
    return other.why not in ("", "paper") or other.kind in ("SPLINE", "ELLIPSE", "INSERT")


@dataclass(frozen=True)
class Finding:
    """One kind of finding with every place [mm] where it was met.

    ``figures`` are the worst of them [mm]; ``sizes``, where there are any, go with the places.
    """

    name: str
    places: tuple[Point, ...] = ()
    figures: Mapping[str, float] | None = None
    of: str = ""
    sizes: tuple[float, ...] = ()
    count: int = 1

    @property
    def severity(self) -> str:
        return KINDS[self.name].severity

    def words(self, units: str = "in") -> str:
        """What is wrong, in the user's units.

        >>> Finding("hole too small", figures={"width": 3.0, "least": 7.14}).words("mm")
        'a hole of 3.00 mm; the process makes none under 7.14 mm'
        """
        shown = {name: fine(value, units) for name, value in (self.figures or {}).items()}
        return KINDS[self.name].what.format(of=self.of, **shown)

    @property
    def change(self) -> str:
        return KINDS[self.name].change


@dataclass(frozen=True)
class Length:
    """A length that matters, and by how much the process may miss it [mm]; None: no figure."""

    what: str
    nominal: float
    deviation: float | None
    count: int = 1


@dataclass(frozen=True)
class Figures:
    """What a file comes to: mm, mm2, g, s; None where the process or thickness is not known.

    ``bounds`` is round all cuts and marks; ``counts`` are runs by role. ``time`` is of cutting and
    piercing alone: no marking, no way from contour to contour.
    """

    bounds: Bounds | None
    counts: Mapping[str, int]
    cut_length: float
    mark_length: float
    pierces: int
    parts: int
    area: float
    mass: float | None
    time: float | None
    lengths: tuple[Length, ...]


@dataclass(frozen=True)
class Checked:
    """A file with what was found in it."""

    file: CutFile
    rules: Rules | None
    findings: tuple[Finding, ...]
    figures: Figures

    @property
    def fit(self) -> bool:
        """Whether it may go to the cutter: no finding is a fault."""
        return not any(finding.severity == "fault" for finding in self.findings)


def check(found: CutFile, rules: Rules | None = None, kerf: float = 0.0) -> Checked:
    """All that is wrong with a file, and what it comes to.

    ``rules`` are those of the process for the sheet's thickness; without them the form alone is
    checked. ``kerf`` [mm] is the width of cut that the contours already allow for.
    """
    findings = [*_file(found), *_others(found.others), *faults(found.runs, rules, kerf)]
    if not any(run.role in ("outside", "inside", "") for run in found.runs):
        findings.append(Finding("nothing to cut"))
    if any(_may_be_an_edge(other) for other in found.others):
        findings = [each for each in findings if each.name not in _HANGING]
    order = list(KINDS)
    findings.sort(key=lambda each: (each.severity != "fault", order.index(each.name)))
    return Checked(found, rules, tuple(findings), figures(found.runs, rules))


# The file ----------------------------------------------------------------------------------------


def _file(found: CutFile) -> Iterator[Finding]:
    box = _around(run.contour for run in found.runs)
    longest = max(box.width, box.height) if box else 0.0
    if not found.units:
        yield Finding("no unit", figures={"as_inches": longest * 25.4, "as_mm": longest})
    elif found.units not in ("in", "mm"):
        yield Finding("odd unit", of=found.units)
    stem = found.name.lower().rsplit(".", 1)[0]
    for unit, other in (("in", "mm"), ("mm", "in")):
        if found.declared == "header" and found.units == unit and stem.endswith(f"-{other}"):
            yield Finding("units at odds", of=f"{other} in the name, {unit} in the header")
    if box is None:
        return
    if longest > LARGEST or longest < SMALLEST:
        if found.units:
            yield Finding("size absurd", (_middle(box),), {"longest": longest})
    elif (away := max(map(abs, (box.left, box.right, box.bottom, box.top)))) > FAR:
        yield Finding("far from the origin", (_middle(box),), {"distance": away})


def _around(contours: Iterable[Contour]) -> Bounds | None:
    found = list(contours)
    return around(found) if found else None


def _middle(box: Bounds) -> Point:
    return (box.left + box.right) / 2.0, (box.bottom + box.top) / 2.0


def _others(others: Sequence[Other]) -> Iterator[Finding]:
    found = _Findings()
    for other in others:
        name = _BY_WHY.get(other.why) or _BY_KIND.get(other.kind, "other kind")
        of = ""
        if name == "other kind":
            of = other.kind
        elif name.startswith("layer"):
            of = other.layer
        found.add(name, other.at, of=_plain(of))
    yield from found


def _plain(name: str) -> str:
    """A name out of a file as it can be printed."""
    return "".join(sign if sign.isprintable() else "?" for sign in name)[:60]


class _Findings:
    """Findings gathered by name; of every figure the worst is kept."""

    def __init__(self) -> None:
        self._found: dict[tuple[str, str], list[tuple[Point | None, float | None]]] = {}
        self._figures: dict[tuple[str, str], dict[str, float]] = defaultdict(dict)

    def add(
        self, name: str, at: Point | None = None, size: float | None = None, *, of: str = "",
        most: Mapping[str, float] | None = None, least: Mapping[str, float] | None = None,
    ) -> None:  # fmt: skip
        """One more of a kind; of the figures in ``most`` the largest is told, else the least."""
        self._found.setdefault((name, of), []).append((at, size))
        kept = self._figures[name, of]
        for key, value in (most or {}).items():
            kept[key] = max(value, kept.get(key, value))
        for key, value in (least or {}).items():
            kept[key] = min(value, kept.get(key, value))

    def __iter__(self) -> Iterator[Finding]:
        for (name, of), met in self._found.items():
            sizes = [size for at, size in met if at is not None and size is not None]
            yield Finding(
                name, tuple(at for at, _ in met if at is not None), self._figures[name, of], of,
                tuple(sizes), len(met),
            )  # fmt: skip


# Contours ----------------------------------------------------------------------------------------


@dataclass
class _Cut:
    """A contour that is cut, flattened; ``parent`` is the one that it lies in next."""

    run: Run
    contour: Contour
    line: LineString
    polygon: Polygon | None = None
    sound: bool = True
    copy: bool = False
    depth: int = 0
    parent: int | None = None

    @property
    def ring(self) -> bool:
        """Whether it can stand for an edge of a part."""
        return self.polygon is not None and self.sound and not self.copy


def faults(
    runs: Sequence[Run], rules: Rules | None = None, kerf: float = 0.0
) -> tuple[Finding, ...]:  # fmt: skip
    """What is wrong with the contours themselves, faults and doubts, wherever they come from.

    >>> plate = Run(Contour.rectangle(0, 0, 30, 20), "CUT", "outside")
    >>> [each.name for each in faults([plate, plate])]
    ['twice']
    """
    found = _Findings()
    cuts, marks = list[_Cut](), list[Run]()
    for run in runs:
        if run.role == "mark":
            marks.append(run)
        elif run.role:
            cuts += _cut(run, found)
        else:
            found.add("unknown layer", _start(run.contour), of=_plain(run.layer))
    opened = [i for i, cut in enumerate(cuts) if not cut.contour.closed]
    _simple(cuts, found)
    touching, covered = _pairs(cuts, found)
    _open(cuts, [i for i in opened if i not in covered and not cuts[i].copy], found)
    _nest(cuts)
    _layers(cuts, touching, found)
    _marks(marks, cuts, found)
    if rules is not None:
        if marks and not rules.marks:
            for run in marks:
                found.add("cannot mark", _start(run.contour))
        _by_rules(cuts, touching, _allowing(rules, kerf), found)
    return tuple(found)


def _start(contour: Contour) -> Point:
    vertex = contour.vertices[0]
    return vertex.x, vertex.y


def _cut(run: Run, found: _Findings) -> list[_Cut]:
    """A contour as it is checked on, without what was found fault with; none if nothing is left."""
    import shapely

    contour = run.contour
    pieces = contour.pieces
    if not any(_has_length(piece) for piece in pieces):
        found.add("no length", _start(contour))
        return []
    for piece in pieces:
        if not _has_length(piece):
            found.add("repeated corner", (piece.x0, piece.y0))
        elif piece.chord < TINY and piece.length < TINY:
            found.add("tiny piece", (piece.x0, piece.y0), piece.length,
                      least={"shortest": piece.length})  # fmt: skip
    kept, spikes = _without_spikes([piece for piece in pieces if _has_length(piece)],
                                   contour.closed)  # fmt: skip
    for at in spikes:
        found.add("doubled back", at)
    if not kept:
        return []
    contour = _of(kept, contour.closed)
    points = contour.points()
    flat = len(points) < 3 or abs(contour.area) < NONE * contour.length
    if contour.closed and flat and not _lemniscate(points):
        found.add("no area", _start(contour))
        return []
    line = shapely.LinearRing(points) if contour.closed else shapely.LineString(points)
    return [_Cut(run, contour, line)]


def _lemniscate(points: Sequence[Point]) -> bool:
    """Whether a contour without area has some after all, of both signs, and so crosses itself."""
    import shapely

    return len(points) > 2 and shapely.make_valid(shapely.Polygon(points)).area > NONE


def _has_length(piece: Piece) -> bool:
    return piece.chord >= NONE


def _of(pieces: Sequence[Piece], closed: bool) -> Contour:
    vertices = [Vertex(piece.x0, piece.y0, piece.bulge) for piece in pieces]
    if not closed:
        vertices.append(Vertex(pieces[-1].x1, pieces[-1].y1))
    return Contour(tuple(vertices), closed)


def _without_spikes(pieces: list[Piece], closed: bool) -> tuple[list[Piece], list[Point]]:
    """The pieces without lines that turn and run back, and where these turn."""
    spikes: list[Point] = []
    kept: list[Piece] = []
    for piece in pieces:
        next_piece: Piece | None = piece
        while next_piece is not None and kept and _turns_back(kept[-1], next_piece):
            spikes.append((next_piece.x0, next_piece.y0))
            next_piece = _rest(kept.pop(), next_piece)
        if next_piece is not None:
            kept.append(next_piece)
    while closed and len(kept) > 2 and _turns_back(kept[-1], kept[0]):
        spikes.append((kept[0].x0, kept[0].y0))
        rest = _rest(kept.pop(), kept.pop(0))
        if rest is not None:
            kept.append(rest)
    return kept, spikes


def _turns_back(one: Piece, other: Piece) -> bool:
    if not (one.is_line and other.is_line):
        return False
    turn = other.angle_at(0.0) - one.angle_at(1.0)
    return abs(math.remainder(turn - math.pi, math.tau)) < _SPIKE


def _rest(one: Piece, other: Piece) -> Piece | None:
    """What is left of a line that turns back; None if it comes back to where it began."""
    rest = Piece(one.x0, one.y0, other.x1, other.y1)
    return rest if _has_length(rest) else None


def _simple(cuts: Sequence[_Cut], found: _Findings) -> None:
    """Tell what crosses itself; a closed contour that does not becomes a polygon."""
    import shapely

    if not cuts:
        return
    for cut, simple in zip(cuts, shapely.is_simple([cut.line for cut in cuts]), strict=True):
        if not simple:
            cut.sound = False
            for at in _crossings(cut):
                found.add("crosses itself", at)
        elif cut.contour.closed:
            cut.polygon = shapely.Polygon(cut.line)


def _crossings(cut: _Cut) -> list[Point]:
    """Where a line meets itself; its start if no single place can be told."""
    import numpy as np
    import shapely

    points = shapely.get_coordinates(cut.line)
    pieces = shapely.linestrings(np.stack([points[:-1], points[1:]], axis=1))
    one, other = shapely.STRtree(pieces).query(pieces, predicate="intersects")
    last = len(pieces) - 1
    apart = (other - one > 1) & ~((one == 0) & (other == last) & cut.contour.closed)
    met = shapely.intersection(pieces[one[apart]], pieces[other[apart]])
    places = {
        (round(float(x), 3), round(float(y), 3))
        for x, y in shapely.get_coordinates(shapely.point_on_surface(met))
    }
    return sorted(places) or [_start(cut.contour)]


# Contours and contours ---------------------------------------------------------------------------


@dataclass(frozen=True)
class _Near:
    """Two contours that come near each other, where, how near, and which stretches do."""

    distance: float
    at: Point
    stretches: tuple[tuple[Any, ...], tuple[Any, ...]]


class _Stretches:
    """Every contour in stretches of a few segments, in one tree."""

    def __init__(self, lines: Sequence[LineString]) -> None:
        import numpy as np
        import shapely

        made, owners = [], []
        for number, line in enumerate(lines):
            points = shapely.get_coordinates(line)
            for start in range(0, len(points) - 1, _CHUNK):
                made.append(shapely.linestrings(points[start : start + _CHUNK + 1]))
                owners.append(number)
        self._made, self._owners = np.array(made, dtype=object), np.array(owners, dtype=int)
        self._tree = shapely.STRtree(self._made)

    def near(self, distance: float) -> dict[tuple[int, int], _Near]:
        """Pairs of contours within a distance [mm] of each other, the earlier one first."""
        import shapely

        if not len(self._made):
            return {}
        one, other = self._tree.query(self._made, predicate="dwithin", distance=distance)
        kept = self._owners[one] < self._owners[other]
        one, other = one[kept], other[kept]
        gaps = shapely.distance(self._made[one], self._made[other])
        by_pair: dict[tuple[int, int], list[int]] = defaultdict(list)
        for k in range(len(one)):
            by_pair[int(self._owners[one[k]]), int(self._owners[other[k]])].append(k)
        found = {}
        for pair, these in by_pair.items():
            k = min(these, key=lambda each: float(gaps[each]))
            way = shapely.shortest_line(self._made[one[k]], self._made[other[k]])
            (x0, y0), (x1, y1) = shapely.get_coordinates(way)
            at = (float(x0 + x1) / 2.0, float(y0 + y1) / 2.0)
            stretches = (
                tuple(self._made[i] for i in sorted({one[each] for each in these})),
                tuple(self._made[i] for i in sorted({other[each] for each in these})),
            )
            found[pair] = _Near(float(gaps[k]), at, stretches)
        return found


def _pairs(cuts: Sequence[_Cut], found: _Findings) -> tuple[set[tuple[int, int]], set[int]]:
    """Tell what crosses, touches or covers; which pairs do, and which runs are covered whole."""
    near = _Stretches([cut.line for cut in cuts]).near(TOUCH)
    lying: dict[int, float] = defaultdict(float)
    for (i, j), pair in near.items():
        one, other = cuts[i], cuts[j]
        if _same(one, other):
            if not other.copy:
                other.copy = True
                found.add("twice", _start(other.contour))
            continue
        if one.copy or other.copy:
            continue
        shared = _shared(pair)
        if shared >= min(5.0, 0.5 * one.contour.length, 0.5 * other.contour.length):
            found.add("double line", pair.at, shared, most={"shared": shared})
            for number in (i, j):
                lying[number] += shared
        else:
            found.add("cross", pair.at)
    covered = {i for i, shared in lying.items() if shared > 0.99 * cuts[i].contour.length - TOUCH}
    return set(near), covered


def _same(one: _Cut, other: _Cut) -> bool:
    """Whether two contours are one line, wherever they begin and whichever way they run."""
    import shapely

    a, b = one.contour.bounds, other.contour.bounds
    gaps = (a.left - b.left, a.right - b.right, a.bottom - b.bottom, a.top - b.top)
    if max(map(abs, gaps)) > TOUCH:
        return False
    if abs(one.contour.length - other.contour.length) > 0.001 * one.contour.length + TOUCH:
        return False
    return bool(shapely.hausdorff_distance(one.line, other.line, densify=0.25) <= 2.0 * TOUCH)


def _shared(pair: _Near) -> float:
    """Over what length [mm] the nearer stretches of one contour lie on the other."""
    import shapely

    one, other = pair.stretches
    band = shapely.union_all(other).buffer(TOUCH, cap_style="flat")
    return float(shapely.length(shapely.intersection(list(one), band)).sum())


def _open(cuts: Sequence[_Cut], opened: Sequence[int], found: _Findings) -> None:
    """Tell the gaps of open contours: from each end to the nearest other end."""
    import shapely

    if not opened:
        return
    ends = [
        shapely.Point(vertex.x, vertex.y)
        for i in opened
        for vertex in (cuts[i].contour.vertices[0], cuts[i].contour.vertices[-1])
    ]
    tree = shapely.STRtree(ends)
    (which, _), gaps = tree.query_nearest(
        ends, exclusive=True, return_distance=True, all_matches=False
    )
    gap = dict(zip(which.tolist(), gaps.tolist(), strict=True))
    for k, i in enumerate(opened):
        widest = max(gap.get(2 * k, 0.0), gap.get(2 * k + 1, 0.0))
        found.add("open", _start(cuts[i].contour), widest, most={"gap": widest})


def _nest(cuts: Sequence[_Cut]) -> None:
    """Count in how many others each closed contour lies, and which of them is the next."""
    import numpy as np
    import shapely

    rings = [i for i, cut in enumerate(cuts) if cut.ring]
    if not rings:
        return
    polygons = np.array([cuts[i].polygon for i in rings], dtype=object)
    areas = np.array([abs(cuts[i].contour.area) for i in rings])
    tree = shapely.STRtree(shapely.point_on_surface(polygons))
    outer, inner = tree.query(polygons, predicate="contains")
    larger = areas[outer] > areas[inner] * (1.0 + 1e-6)
    for a, b in zip(outer[larger].tolist(), inner[larger].tolist(), strict=True):
        cut = cuts[rings[b]]
        cut.depth += 1
        if cut.parent is None or areas[a] < abs(cuts[cut.parent].contour.area):
            cut.parent = rings[a]


def _layers(cuts: Sequence[_Cut], touching: set[tuple[int, int]], found: _Findings) -> None:
    """Tell what lies where its layer does not belong."""
    met = {i for pair in touching for i in pair if not (cuts[pair[0]].copy or cuts[pair[1]].copy)}
    for i, cut in enumerate(cuts):
        if not cut.ring or i in met:
            continue
        odd = cut.depth % 2 == 1
        if cut.run.role == "outside" and odd:
            of = f"an opening on the layer of outlines, {_plain(cut.run.layer)}"
            found.add("wrong layer", _start(cut.contour), of=of)
        elif cut.run.role == "inside" and not odd:
            if any(not other.ring and not other.copy for other in cuts) and cut.depth == 0:
                continue  # the part that it lies in is told already
            if cut.depth == 0:
                found.add("hole outside", _start(cut.contour))
            else:
                of = f"a part on the layer of openings, {_plain(cut.run.layer)}"
                found.add("wrong layer", _start(cut.contour), of=of)


def _parts(cuts: Sequence[_Cut]) -> dict[int, list[int]]:
    """Outlines by number, each with its openings."""
    found: dict[int, list[int]] = {
        i: [] for i, cut in enumerate(cuts) if cut.ring and cut.depth % 2 == 0
    }
    for i, cut in enumerate(cuts):
        if cut.ring and cut.parent in found and i not in found:
            found[cut.parent].append(i)
    return found


def _marks(marks: Sequence[Run], cuts: Sequence[_Cut], found: _Findings) -> None:
    """Tell marks that have no length, are there twice, or run off the part."""
    import shapely

    lines, kept, seen = [], [], set()
    for run in marks:
        if not any(_has_length(piece) for piece in run.contour.pieces):
            found.add("no length", _start(run.contour))
            continue
        key = _key(run.contour)
        if key in seen:
            found.add("mark twice", _start(run.contour))
        seen.add(key)
        points = run.contour.points()
        lines.append(shapely.LineString(points + points[:1] if run.contour.closed else points))
        kept.append(run)
    if not lines:
        return
    metal = []
    for outline, openings in _parts(cuts).items():
        shell = cuts[outline].line
        metal.append(shapely.Polygon(shell, [cuts[hole].line for hole in openings]).buffer(TOUCH))
    # a part that is at fault itself is not there to be missed
    metal += [cut.line.convex_hull.buffer(TOUCH) for cut in cuts if not cut.ring]
    if not metal:
        return
    _, held = shapely.STRtree(lines).query(metal, predicate="covers")
    for i in sorted(set(range(len(lines))) - set(held.tolist())):
        found.add("mark off the part", _start(kept[i].contour))


def _key(contour: Contour) -> tuple[Any, ...]:
    """The same for the same line, whichever way it runs and, if closed, wherever it begins."""

    def rounded(piece: Piece) -> tuple[float, ...]:
        ends = sorted(((round(piece.x0, 3), round(piece.y0, 3)),
                       (round(piece.x1, 3), round(piece.y1, 3))))  # fmt: skip
        return (*ends[0], *ends[1], *(round(c, 2) for c in piece.at(0.5)))

    return (contour.closed, *sorted(rounded(piece) for piece in contour.pieces))


# The rules of the process ------------------------------------------------------------------------


def _allowing(rules: Rules, kerf: float) -> Rules:
    """The rules for contours that are already moved by half the kerf, away from the part."""
    if kerf == 0.0:
        return rules
    return replace(
        rules, hole=max(0.0, rules.hole - kerf), slot=max(0.0, rules.slot - kerf),
        kerf=max(0.0, rules.kerf - kerf), web=rules.web + kerf, edge=rules.edge + kerf,
        spacing=max(0.0, rules.spacing - kerf), inside_radius=0.0,
    )  # fmt: skip


def _by_rules(
    cuts: Sequence[_Cut], touching: set[tuple[int, int]], rules: Rules, found: _Findings
) -> None:  # fmt: skip
    tried = _Tried()
    for cut in cuts:
        if cut.ring:
            _widths(cut, rules, tried, found)
            _corners(cut, rules, found)
    _distances(cuts, touching, rules, found)


class _Tried:
    """Narrow places; a contour that is another one moved is not tried again."""

    def __init__(self) -> None:
        self._known: dict[tuple[Any, ...], list[Narrow]] = {}

    def __call__(self, cut: _Cut, least: float, within: bool) -> list[Narrow]:
        x0, y0, _ = cut.contour.vertices[0]
        shape = tuple(
            (round(x - x0, 6), round(y - y0, 6), round(b, 9)) for x, y, b in cut.contour.vertices
        )
        key = (shape, least, within)
        if key not in self._known:
            assert cut.polygon is not None
            places = narrow_places(cut.polygon, least, within)
            self._known[key] = [_moved(place, -x0, -y0) for place in places]
        return [_moved(place, x0, y0) for place in self._known[key]]


def _moved(place: Narrow, dx: float, dy: float) -> Narrow:
    return place._replace(at=(place.at[0] + dx, place.at[1] + dy))


def _widths(cut: _Cut, rules: Rules, tried: _Tried, found: _Findings) -> None:
    """Tell openings and metal that are narrower along one contour than the process allows."""
    opening = cut.depth % 2 == 1
    across = diameter(cut.contour)
    if across is not None:
        if opening and across < rules.hole - SLACK:
            at = cut.contour.centroid
            if across < rules.kerf - SLACK:
                found.add("kerf wider", at, across, least={"width": across},
                          most={"least": rules.kerf})  # fmt: skip
            else:
                found.add("hole too small", at, across, least={"width": across},
                          most={"least": rules.hole})  # fmt: skip
        elif not opening and across < rules.web - SLACK:
            found.add("thin metal", cut.contour.centroid, across, least={"width": across},
                      most={"least": rules.web})  # fmt: skip
    else:
        for within in (True, False):
            metal = opening != within
            least = rules.web if metal else rules.slot
            for at, width, throat in tried(cut, least, within):
                if metal:
                    name, limit = "thin metal", least
                elif width < rules.kerf - SLACK:
                    name, limit = "kerf wider", rules.kerf
                elif throat:
                    continue  # the tool passes
                else:
                    name, limit = "slot too narrow", least
                found.add(name, at, width, least={"width": width}, most={"least": limit})
    if not opening:
        box = cut.contour.bounds
        longest = max(box.width, box.height)
        if longest < rules.smallest_part - SLACK:
            found.add("part too small", _middle(box), longest, least={"width": longest},
                      most={"least": rules.smallest_part})  # fmt: skip


def diameter(contour: Contour) -> float | None:
    """Diameter of a contour that is one whole circle [mm]; None for any other.

    >>> diameter(Contour.circle(3, 4, 5)), diameter(Contour.rectangle(0, 0, 3, 4))
    (10.0, None)
    """
    pieces = contour.pieces
    if not contour.closed or any(piece.is_line for piece in pieces):
        return None
    x, y = pieces[0].centre
    radius = pieces[0].radius
    near = 1e-4 * radius + NONE
    for piece in pieces:
        if math.dist(piece.centre, (x, y)) > near or abs(piece.radius - radius) > near:
            return None
    if abs(abs(sum(piece.sweep for piece in pieces)) - math.tau) > 1e-3:
        return None
    return 2.0 * radius


def _corners(cut: _Cut, rules: Rules, found: _Findings) -> None:
    """Tell inside corners that the tool's own radius leaves short, and by how much."""
    radius = max(rules.inside_radius, rules.kerf / 2.0)
    if diameter(cut.contour) is not None:
        return
    contour = cut.contour
    metal_left = (contour.area > 0.0) != (cut.depth % 2 == 1)
    pieces = contour.pieces if metal_left else contour.reversed().pieces
    for piece, following in pairwise((*pieces, pieces[0])):
        turn = math.remainder(following.angle_at(0.0) - piece.angle_at(1.0), math.tau)
        half = (math.pi + turn) / 2.0  # of the angle between the flanks of the opening
        if turn < 0.0 and half > 0.0:
            short = radius * (1.0 / math.sin(half) - 1.0)
            _short_corner((following.x0, following.y0), short, radius, found)
    for piece in pieces:
        if piece.bulge < 0.0 and not piece.is_line and piece.radius < radius - SLACK:
            half = max((math.pi - abs(piece.sweep)) / 2.0, 0.1)
            short = (radius - piece.radius) * (1.0 / math.sin(half) - 1.0)
            _short_corner(piece.at(0.5), short, radius, found)


def _short_corner(at: Point, short: float, radius: float, found: _Findings) -> None:
    if short > LEFT_OVER:
        found.add("inside corner", at, short, most={"short": short, "radius": radius})


def _distances(
    cuts: Sequence[_Cut], touching: set[tuple[int, int]], rules: Rules, found: _Findings
) -> None:  # fmt: skip
    """Tell contours that stand too near each other: web, edge, spacing."""
    rings = [i for i, cut in enumerate(cuts) if cut.ring]
    reach = max(rules.web, rules.edge, rules.spacing) - SLACK
    if len(rings) < 2 or reach <= 0.0:
        return
    for (a, b), pair in _Stretches([cuts[i].line for i in rings]).near(reach).items():
        i, j = rings[a], rings[b]
        if (i, j) in touching:
            continue
        name, least = _between(cuts[i], cuts[j], i, j, rules)
        if name and pair.distance < least - SLACK:
            found.add(name, pair.at, pair.distance, least={"width": pair.distance},
                      most={"least": least})  # fmt: skip


def _between(one: _Cut, other: _Cut, i: int, j: int, rules: Rules) -> tuple[str, float]:
    """What lies between two contours, and how much of it there must be."""
    openings = one.depth % 2 + other.depth % 2
    if openings == 2:
        return ("thin web", rules.web) if one.parent == other.parent else ("", 0.0)
    if openings == 0:
        return ("parts too near", rules.spacing) if one.parent == other.parent else ("", 0.0)
    opening, k, outline, m = (one, i, other, j) if one.depth % 2 else (other, j, one, i)
    if opening.parent == m:
        return "thin edge", rules.edge
    if outline.parent == k:
        return "parts too near", rules.spacing
    return "", 0.0


# Figures -----------------------------------------------------------------------------------------


def figures(runs: Sequence[Run], rules: Rules | None = None) -> Figures:
    """What runs come to; areas, lengths and mass are exact for lines and arcs.

    >>> plate = Run(Contour.rectangle(0, 0, 30, 20), "CUT", "outside")
    >>> hole = Run(Contour.circle(10, 10, 5), "CUT", "inside")
    >>> found = figures([plate, hole])
    >>> round(found.area, 2), found.pierces, found.parts  # 600 - 25 pi
    (521.46, 2, 1)
    """
    counts: dict[str, int] = defaultdict(int)
    for run in runs:
        counts[run.role or "unknown"] += 1
    cuts = [run for run in runs if run.role in ("outside", "inside")]
    whole = _sound(cuts)
    outlines = [cut for cut in whole if cut.depth % 2 == 0]
    area = sum(abs(cut.contour.area) * (1 if cut.depth % 2 == 0 else -1) for cut in whole)
    length = sum(run.contour.length + (run.lead.length if run.lead else 0.0) for run in cuts)
    mass = time = None
    if rules is not None:
        mass = area * rules.thickness * STEEL_DENSITY.value / 1e6  # kg/m3 is g/mm3 over a million
        time = length / rules.feed + len(cuts) * rules.pierce
    return Figures(
        bounds=_around(run.contour for run in runs if run.role),
        counts=dict(counts),
        cut_length=length,
        mark_length=sum(run.contour.length for run in runs if run.role == "mark"),
        pierces=len(cuts),
        parts=len(outlines),
        area=area,
        mass=mass,
        time=time,
        lengths=_lengths(whole, rules),
    )


def _sound(cuts: Sequence[Run]) -> list[_Cut]:
    """The closed contours, each once, with their depths."""
    found, nothing = list[_Cut](), _Findings()
    for run in cuts:
        if run.contour.closed:
            found += _cut(run, nothing)
    _simple(found, nothing)
    _pairs(found, nothing)
    found = [cut for cut in found if cut.ring]
    _nest(found)
    return found


def _lengths(whole: Sequence[_Cut], rules: Rules | None) -> tuple[Length, ...]:
    """Length and width of each part, diameters of holes, sizes of other openings."""
    found: dict[tuple[str, float], int] = defaultdict(int)
    for cut in whole:
        opening, across = cut.depth % 2 == 1, diameter(cut.contour)
        if across is not None:
            found["hole, diameter" if opening else "part, diameter", round(across, 3)] += 1
            continue
        box = cut.contour.bounds
        name = "opening" if opening else "part"
        found[f"{name}, along x", round(box.width, 3)] += 1
        found[f"{name}, along y", round(box.height, 3)] += 1
    return tuple(
        Length(what, nominal, _deviation(nominal, rules), count)
        for (what, nominal), count in sorted(found.items(), key=lambda each: (
            not each[0][0].startswith("part"), each[0]))
    )  # fmt: skip


def _deviation(nominal: float, rules: Rules | None) -> float | None:
    if rules is None:
        return None
    if rules.tolerance_class is None:
        return rules.deviation
    return iso_9013.deviation(nominal, rules.thickness, rules.tolerance_class)
