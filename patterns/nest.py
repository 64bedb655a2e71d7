"""Parts laid on sheets or bars: as few sheets as can be found, and the last as short as can be.

Parts are turned and moved, never mirrored: what is marked on a face stays on it. Three ways are
tried and the best is taken: bounding boxes in *rows*, bounding *boxes* each in the narrowest room
left, both also of pairs, and a *search* with the true outlines (:mod:`strip`). So a nest
is never worse than rows.

For the search arcs are flattened on the outside of the metal. Whatever was found is then checked
on outlines that are flattened far finer, again on the outside: parts of a nest that is handed out
stand at least the spacing apart, and the margin off the edges.
"""

from __future__ import annotations

import math
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any

from . import strip
from .contour import SAGITTA, Bounds, Contour, Piece, Point
from .cut_file import CutFile
from .drawing import Drawing, Purpose, Stroke
from .errors import Fault
from .part import Part
from .units import length as shown

TURNS: dict[str, tuple[float, ...]] = {
    "free": tuple(5.0 * i for i in range(72)),
    "quarter": (0.0, 90.0, 180.0, 270.0),
    "half": (0.0, 180.0),
    "none": (0.0,),
}
"""Turns [degrees] that a part may take; ``half`` keeps its x along the sheet, as rolled."""

SECONDS = 10.0
"""What the search may take in all, if nothing else is said."""
MOST_PARTS = 2000
LEAST_SPACING = 0.1
"""No narrower cut is made [mm]; parts closer than this would share an edge."""

COARSE = 0.1
"""How far outside an arc the search's outline may stand [mm]."""
TRUE = 1e-6
"""Spacing and margin are kept to this [mm]: the rounding of figures in a file."""

_STEPS = (300, 2)
"""Steps that a search may take, and more for each part: 5 to 12 s for 50 parts on two cores."""
_STALLED = 12
"""Steps without gain after which a choice of parts is held not to fit a sheet."""
_TRIALS = 5
_FULLEST, _FILL, _MORE, _LESS = 0.97, 0.86, 0.03, 0.04
"""Shares of a sheet's room, spacing counted: above the first no search is tried; a sheet is first
tried with the second; then with more, or with less."""
_MOST_BOXES = 400
"""Above so many parts only rows are laid: boxes would take longer than they gain."""
_SAVES = 0.97
"""A pair that takes more than this share of two boxes is not worth its while."""
_GRAIN = 1e-9


@dataclass(frozen=True)
class Wanted:
    """A part, how many of it, and the turns [degrees, counter-clockwise] that it may take."""

    name: str
    part: Part
    quantity: int = 1
    turns: tuple[float, ...] = TURNS["quarter"]

    @property
    def area(self) -> float:
        """Metal of one part [mm2]: its windows are not in it."""
        return metal(self.part)


@dataclass(frozen=True)
class Stock:
    """A sheet or bar [mm]: its length along x, as it was rolled, and its width.

    ``ends`` is the margin at its two ends, ``sides`` that along its two long edges.
    """

    length: float
    width: float
    ends: float
    sides: float

    @property
    def room(self) -> tuple[float, float]:
        """Length and width within the margins."""
        return self.length - 2.0 * self.ends, self.width - 2.0 * self.sides


@dataclass(frozen=True)
class Placed:
    """One copy of a wanted part: turned about the origin of its file, then moved [mm].

    ``wanted`` is its number in the list, ``copy`` counts from 1.
    """

    wanted: int
    copy: int
    turn: float
    x: float
    y: float


@dataclass(frozen=True)
class Sheet:
    """What lies on one sheet, by which ``way`` it was laid: rows, boxes or search.

    ``reach`` and ``across`` are how far from the sheet's lower left corner the parts reach, along
    it and across [mm].
    """

    placed: tuple[Placed, ...]
    way: str
    reach: float
    across: float


@dataclass(frozen=True)
class Nest:
    """Every wanted part on as many sheets as it takes.

    ``cut_short``: the clock stopped the search, so that another run may find another nest.
    """

    stock: Stock
    spacing: float
    wanted: tuple[Wanted, ...]
    sheets: tuple[Sheet, ...]
    cut_short: bool = False

    def part(self, placed: Placed) -> Part:
        """A part where it lies, turned and moved."""
        return _turned(self.wanted[placed.wanted].part, placed.turn).moved(placed.x, placed.y)

    def drawing(self, sheet: Sheet, name: str, title: str) -> Drawing:
        """What is cut and marked on a sheet, from its lower left corner; not the sheet itself."""
        parts = [self.part(each) for each in sheet.placed]
        return Drawing(
            name,
            title,
            tuple(stroke for part in parts for stroke in part.drawing("", "").strokes),
            tuple(label for part in parts for label in part.labels),
        )


@dataclass(frozen=True)
class _Box:
    """A rectangle with a part in it, or two, from its lower left corner [mm]."""

    width: float
    height: float
    placed: tuple[Placed, ...]


_Unit = list[_Box]
"""What is laid as one, in the boxes that it may take."""

Watch = Callable[[int, int, float], None]
"""Told of the sheet's number, the parts tried on it and how long they lie so far [mm]."""


# Parts -------------------------------------------------------------------------------------------


def parts_of(file: CutFile) -> tuple[Part, ...]:
    """The parts of a file: each outside contour with the windows and marks within it.

    What stands inside a window is a part of its own. Open runs to cut, lead-ins and marks outside
    every part are left out: the file's check names them.
    """
    import shapely

    cuts = [run.contour for run in file.runs if run.role in ("outside", "inside")]
    cuts = [cut for cut in cuts if cut.closed and len(cut.points()) > 2 and abs(cut.area) > 0.0]
    shapes = [shapely.Polygon(cut.points()) for cut in cuts]
    inner = [shape.representative_point() for shape in shapes]
    holders: list[list[int]] = []
    for i, point in enumerate(inner):
        around = [j for j, shape in enumerate(shapes)
                  if abs(cuts[j].area) > abs(cuts[i].area) and shape.contains(point)]  # fmt: skip
        holders.append(sorted(around, key=lambda j: abs(cuts[j].area)))
    outer = [i for i, around in enumerate(holders) if len(around) % 2 == 0]
    marks: dict[int, list[Stroke]] = {i: [] for i in outer}
    for run in file.runs:
        if run.role != "mark" or not run.contour.pieces:
            continue
        middle = shapely.Point(run.contour.pieces[len(run.contour.pieces) // 2].at(0.5))
        on = [i for i, shape in enumerate(shapes) if shape.covers(middle)]
        nearest = min(on, key=lambda i: abs(cuts[i].area), default=-1)
        if nearest in marks:  # not in a window
            marks[nearest].append(Stroke(run.contour, Purpose.MARK))
    found = list[Part]()
    for i in outer:
        holes = [j for j, around in enumerate(holders) if len(around) % 2 and around[0] == i]
        contours = [_winding(cuts[i], 1.0), *(_winding(cuts[j], -1.0) for j in holes)]
        name = file.name.rpartition(".")[0] or file.name
        if len(outer) > 1:
            name = f"{name}, {len(found) + 1} of {len(outer)}"
        found.append(Part(name, tuple(contours), tuple(marks[i])))
    return tuple(found)


def _winding(contour: Contour, sign: float) -> Contour:
    return contour if contour.area * sign > 0.0 else contour.reversed()


def metal(part: Part) -> float:
    """Area of a part without its windows [mm2]."""
    first, *others = part.cuts
    return abs(first.area) - sum(abs(other.area) for other in others)


def _turned(part: Part, degrees: float) -> Part:
    if degrees == 0.0:
        return part
    angle = math.radians(degrees)
    c, s = math.cos(angle), math.sin(angle)
    return replace(
        part,
        cuts=tuple(cut.turned(angle) for cut in part.cuts),
        marks=tuple(replace(m, contour=m.contour.turned(angle)) for m in part.marks),
        labels=tuple(
            replace(one, x=c * one.x - s * one.y, y=s * one.x + c * one.y,
                    angle=(one.angle + degrees) % 360.0)
            for one in part.labels
        ),
    )  # fmt: skip


def outside(contour: Contour, sagitta: float = COARSE) -> list[Point]:
    """A counter-clockwise contour flattened so that no metal lies outside the polygon [mm].

    An arc that bulges out is replaced by tangents, one that bulges in by chords; neither stands
    further than ``sagitta`` off.

    >>> round(max(math.hypot(*p) for p in outside(Contour.circle(0, 0, 10), 0.1)), 2)
    10.09
    """
    found: list[Point] = []
    for piece in contour.pieces:
        if piece.is_line or piece.bulge < 0.0:
            found += piece.points(sagitta)
            continue
        found.append((piece.x0, piece.y0))
        found += _tangents(piece, sagitta)
    return found


def _tangents(piece: Piece, sagitta: float) -> Iterator[Point]:
    """Where the tangents at evenly spaced points of an arc meet."""
    radius, sweep = piece.radius, abs(piece.sweep)
    if radius * (1.0 / math.cos(min(sweep, 3.0) / 2.0) - 1.0) < 1e-9:
        return
    half = math.acos(radius / (radius + sagitta))
    steps = max(math.ceil(sweep / (2.0 * half)), math.ceil(sweep / 2.0))
    cx, cy = piece.centre
    far = 1.0 / math.cos(sweep / steps / 2.0)
    for step in range(steps):
        x, y = piece.at((step + 0.5) / steps)
        yield cx + far * (x - cx), cy + far * (y - cy)


@lru_cache(maxsize=20_000)
def _box(contour: Contour, turn: float) -> Bounds:
    """Bounds of a contour turned about the origin, exactly."""
    return contour.turned(math.radians(turn)).bounds if turn else contour.bounds


# What cannot be laid -------------------------------------------------------------------------


def too_large(
    wanted: Sequence[Wanted], stock: Stock, units: str, name: str = "sheet"
) -> list[Fault]:  # fmt: skip
    """A fault for each part that has no room on the sheet in any turn that it may take."""
    long, wide = stock.room
    size = f"{shown(stock.length, units)} x {shown(stock.width, units)}"
    faults = []
    for each in wanted:
        boxes = [_box(each.part.cuts[0], turn) for turn in each.turns]
        if any(box.width <= long + TRUE and box.height <= wide + TRUE for box in boxes):
            continue
        given = f"{shown(boxes[0].width, units)} x {shown(boxes[0].height, units)}"
        room = f"{shown(max(long, 0.0), units)} x {shown(max(wide, 0.0), units)}"
        change = f"take a larger {name}, or a smaller margin"
        if len(each.turns) < 4:
            change += "; it may not be turned a quarter"
        faults.append(
            Fault(
                each.name, given, f"up to {room} within the margins of a {name} of {size}", change
            )
        )
    return faults


# The nest ----------------------------------------------------------------------------------------


def nest(
    wanted: Sequence[Wanted], stock: Stock, spacing: float, *, seconds: float = SECONDS,
    seed: int = 1, patient: bool = False, watch: Watch = lambda sheet, parts, length: None,
) -> Nest:  # fmt: skip
    """All parts on as few sheets as are found, the last one as short as is found.

    ``seconds`` is the most that the search may take; with 0 there is none, and boxes and rows
    stand. ``patient``: it goes on until then. One seed gives one nest, on any machine, unless the
    clock stopped it.

    Raises :class:`ValueError` for a part that has no room on the sheet: ask :func:`too_large`
    first.
    """
    wanted = tuple(wanted)
    if too_large(wanted, stock, "mm"):
        raise ValueError("a part has no room on the sheet")
    copies = [i for i, each in enumerate(wanted) for _ in range(each.quantity)]
    copies.sort(key=lambda i: (-abs(wanted[i].part.cuts[0].area), i))
    work = _Work(wanted, stock, spacing, seed, patient, time.monotonic() + seconds, watch)
    ways = [work.boxed(copies)]
    if seconds > 0.0 and copies:
        ways.append(work.searched(copies))
    best = min(ways, key=work.worth)
    return Nest(stock, spacing, wanted, tuple(_numbered(best)), work.cut_short)


def _numbered(sheets: Sequence[Sheet]) -> Iterator[Sheet]:
    """The copies of each part counted through, along the sheets."""
    count: Counter[int] = Counter()
    for sheet in sheets:
        placed = []
        for each in sorted(sheet.placed, key=lambda p: p.wanted):
            count[each.wanted] += 1
            placed.append(replace(each, copy=count[each.wanted]))
        yield replace(sheet, placed=tuple(placed))


@dataclass
class _Work:
    """One nest under way."""

    wanted: tuple[Wanted, ...]
    stock: Stock
    spacing: float
    seed: int
    patient: bool
    end: float
    watch: Watch
    cut_short: bool = False
    _single: dict[int, _Unit] = field(default_factory=dict)
    _pair: dict[int, _Unit] = field(default_factory=dict)

    # Measures ------------------------------------------------------------------------------

    def outline(self, i: int) -> Contour:
        return self.wanted[i].part.cuts[0]

    def worth(self, sheets: Sequence[Sheet]) -> tuple[float, ...]:
        """The fewer sheets, the better; then the shorter the last one lies."""
        return len(sheets), sheets[-1].reach if sheets else 0.0, sum(s.across for s in sheets)

    def taken(self, i: int) -> float:
        """Room that a part takes up with half the spacing round it [mm2], about."""
        contour = self.outline(i)
        return abs(contour.area) + contour.length * self.spacing / 2.0

    @property
    def room(self) -> float:
        long, wide = self.stock.room
        return (long + self.spacing) * (wide + self.spacing)

    def sheet(self, way: str, placed: Sequence[Placed]) -> Sheet:
        boxes = [_box(self.outline(p.wanted), p.turn) for p in placed]
        return Sheet(
            tuple(placed),
            way,
            max(box.right + p.x for box, p in zip(boxes, placed, strict=True)),
            max(box.top + p.y for box, p in zip(boxes, placed, strict=True)),
        )

    def sound(self, placed: Sequence[Placed]) -> bool:
        """Whether the parts keep spacing and margin."""
        import shapely

        stock, shapes = self.stock, []
        for each in placed:
            box = _box(self.outline(each.wanted), each.turn)
            if (
                box.left + each.x < stock.ends - TRUE
                or box.right + each.x > stock.length - stock.ends + TRUE
                or box.bottom + each.y < stock.sides - TRUE
                or box.top + each.y > stock.width - stock.sides + TRUE
            ):
                return False
            turned = self.outline(each.wanted).turned(math.radians(each.turn))
            shapes.append(shapely.Polygon(outside(turned.moved(each.x, each.y), SAGITTA)))
        return not too_close(shapes, self.spacing - TRUE)

    # Boxes -----------------------------------------------------------------------------------

    def boxed(self, copies: Sequence[int]) -> list[Sheet]:
        """The best of rows and boxes, of single parts and of pairs."""
        long, wide = self.stock.room
        best: list[Sheet] | None = None

        def tried(found: list[Sheet] | None) -> None:
            nonlocal best
            if found is not None and (best is None or self.worth(found) < self.worth(best)):
                best = found

        single = [self.single(i) for i in copies]
        for pick in (lambda unit: unit[0], _low, _tall):
            units = [[pick(unit)] for unit in single]
            tried(self._laid(_rows(units, long, wide, self.spacing), "rows"))
        if len(copies) <= _MOST_BOXES:
            paired = self.paired(copies)
            for units in (single, paired) if len(paired) < len(single) else (single,):
                for order in (_by_area, _by_side):
                    for least in (_leftmost, _tightest):
                        tried(
                            self._laid(
                                _boxes(sorted(units, key=order, reverse=True), long, wide,
                                       self.spacing, least), "boxes",
                            )
                        )  # fmt: skip
            if len(paired) < len(single):
                for pick in (_low, _tall):
                    units = [[pick(unit)] for unit in paired]
                    tried(self._laid(_rows(units, long, wide, self.spacing), "rows"))
        assert best is not None
        return best

    def has_room(self, width: float, height: float) -> bool:
        long, wide = self.stock.room
        return width <= long + TRUE and height <= wide + TRUE

    def single(self, i: int) -> _Unit:
        """A part's boxes in the turns that have room, no two alike."""
        if i not in self._single:
            square = [turn for turn in self.wanted[i].turns if turn % 90.0 == 0.0]
            found: dict[tuple[float, float], _Box] = {}
            for turn in (*square, *self.wanted[i].turns):
                if found and turn % 90.0:  # a slanting turn serves where no other does
                    break
                box = _box(self.outline(i), turn)
                if self.has_room(box.width, box.height):
                    placed = (Placed(i, 0, turn, -box.left, -box.bottom),)
                    key = round(box.width, 6), round(box.height, 6)
                    found.setdefault(key, _Box(box.width, box.height, placed))
            self._single[i] = list(found.values())
        return self._single[i]

    def paired(self, copies: Sequence[int]) -> list[_Unit]:
        """The parts two and two, each with its like turned half round, where that saves room."""
        units = list[_Unit]()
        for i, count in sorted(Counter(copies).items()):
            pair = self.pair(i) if count > 1 else []
            units += [pair] * (count // 2) if pair else []
            units += [self.single(i)] * (count % 2 if pair else count)
        return units

    def pair(self, i: int) -> _Unit:
        """Boxes of two of a part, the second turned half round; none where that saves no room."""
        if i not in self._pair:
            turns = self.wanted[i].turns
            least = 2.0 * min(box.width * box.height for box in self.single(i))
            found = list[_Box]()
            if 2.0 * abs(self.outline(i).area) < _SAVES * least:
                for turn in (0.0, 90.0):
                    for box in _pairs(self.outline(i), i, turn, self.spacing):
                        found += [
                            each
                            for each in (box, _quarter(box))
                            if all(placed.turn in turns for placed in each.placed)
                        ]
            found = [box for box in found if self.has_room(box.width, box.height)
                     and box.width * box.height < _SAVES * least]  # fmt: skip
            self._pair[i] = found
        return self._pair[i]

    def _laid(self, sheets: Sequence[Sequence[tuple[_Box, Point]]], way: str) -> list[Sheet] | None:
        """Boxes as sheets; None if a pair in them should turn out not to be sound."""
        stock, found = self.stock, []
        for boxes in sheets:
            placed = [
                replace(each, x=stock.ends + x + each.x, y=stock.sides + y + each.y)
                for box, (x, y) in boxes
                for each in box.placed
            ]
            if any(len(box.placed) > 1 for box, _ in boxes) and not self.sound(placed):
                return None
            found.append(self.sheet(way, placed))
        return found

    # The search ------------------------------------------------------------------------------

    def searched(self, copies: Sequence[int]) -> list[Sheet]:
        """Sheet after sheet: each as full as can be found, until the rest lies on the last."""
        left, sheets = list(copies), list[Sheet]()
        while left:
            number = len(sheets) + 1
            taken = sum(self.taken(i) for i in left)
            last = None
            if taken <= _FULLEST * self.room:
                last = self.shortest(left, number, self.end)
            best = last or self.fullest(left, number, taken)
            plain = self.boxed(left)[0]
            if best is None or self.value(plain) < self.value(best):
                best = plain
            sheets.append(best)
            gone = Counter(each.wanted for each in best.placed)
            rest = []
            for i in left:
                if gone[i]:
                    gone[i] -= 1
                else:
                    rest.append(i)
            left = rest
        return sheets

    def value(self, sheet: Sheet) -> tuple[float, float]:
        """The more of the parts, the better; then the shorter they lie."""
        filled = sum(abs(self.outline(each.wanted).area) for each in sheet.placed)
        return -round(filled, 6), sheet.reach

    def fullest(self, left: Sequence[int], number: int, taken: float) -> Sheet | None:
        """The fullest of some choices of parts that were found to fit one sheet."""
        share, best, failed = _FILL, None, False
        sheets_left = max(math.ceil(taken / (_FILL * self.room)), 1)
        now = time.monotonic()
        end = now + (self.end - now) / sheets_left
        for _ in range(_TRIALS):
            chosen = self.chosen(left, share)
            if not chosen:
                break
            if len(chosen) == len(left) and share > _FILL:
                break
            found = self.shortest(chosen, number, end, fit=True)
            if found is not None:
                best = found
                if failed or share + _MORE > 1.0:
                    break
                share += _MORE
            else:
                if best is not None:
                    break
                failed = True
                share -= _LESS
        return best

    def chosen(self, left: Sequence[int], share: float) -> list[int]:
        """The largest parts first, up to a share of the room; then what smaller ones still fit."""
        room, found = share * self.room, []
        for i in left:
            if (taken := self.taken(i)) <= room:
                room -= taken
                found.append(i)
        return found

    def shortest(
        self, copies: Sequence[int], number: int, end: float, fit: bool = False
    ) -> Sheet | None:
        """The parts on one sheet, as short as is found; None if they were not found to fit it.

        With ``fit``, any length that fits will do.
        """
        seconds = end - time.monotonic()
        long, wide = self.stock.room
        if seconds <= 0.0:
            self.cut_short = True
            return None
        counts = sorted(Counter(copies).items())
        middles, outlines = [], []
        for i, count in counts:
            box = self.outline(i).bounds
            middle = (box.left + box.right) / 2.0, (box.bottom + box.top) / 2.0
            middles.append(middle)
            points = outside(self.outline(i).moved(-middle[0], -middle[1]))
            outlines.append(strip.Outline(tuple(_simple(points)), count, self.wanted[i].turns))
        found = strip.shortest(
            outlines, wide, self.spacing, seed=self.seed, seconds=seconds,
            steps=10**9 if self.patient and not fit else _STEPS[0] + _STEPS[1] * len(copies),
            patient=self.patient and not fit,
            stalled=_STALLED if fit else strip.STALLED, enough=long if fit else 0.0,
            watch=lambda length, steps: self.watch(number, len(copies), length),
        )  # fmt: skip
        if found is None:
            return None
        if found.ended == "time":
            self.cut_short = True
        if found.length > long + strip.SLACK or len(found.placed) != len(copies):
            return None
        return self._tidied(found, counts, middles)

    def _tidied(
        self, found: strip.Strip, counts: Sequence[tuple[int, int]], middles: Sequence[Point]
    ) -> Sheet | None:
        """A strip as a sheet, pushed into the sheet's corner; None if it is not sound."""
        stock = self.stock
        placed = []
        for k, turn, x, y in found.placed:
            i = counts[k][0]
            turn = min(self.wanted[i].turns, key=lambda t: abs((t - turn + 180.0) % 360.0 - 180.0))
            angle, (mx, my) = math.radians(turn), middles[k]
            c, s = math.cos(angle), math.sin(angle)
            placed.append(Placed(i, 0, turn, x - (c * mx - s * my), y - (s * mx + c * my)))
        boxes = [_box(self.outline(p.wanted), p.turn) for p in placed]
        left = min(b.left + p.x for b, p in zip(boxes, placed, strict=True))
        low = min(b.bottom + p.y for b, p in zip(boxes, placed, strict=True))
        moved = []
        for box, each in zip(boxes, placed, strict=True):
            x, y = each.x - left + stock.ends, each.y - low + stock.sides
            # the search is allowed a hair more than the room, and keeps a hair more spacing
            x = min(x, stock.length - stock.ends - box.right)
            y = min(y, stock.width - stock.sides - box.top)
            moved.append(replace(each, x=x, y=y))
        return self.sheet("search", moved) if self.sound(moved) else None


def too_close(shapes: Sequence[Any], spacing: float) -> bool:
    """Whether any two of the polygons lie nearer to each other than ``spacing`` [mm]."""
    import numpy as np
    import shapely

    tree = shapely.STRtree(shapes)
    one, other = tree.query(shapes, predicate="dwithin", distance=spacing)
    pairs = one < other
    return bool(np.any(pairs))


def _simple(points: Sequence[Point]) -> list[Point]:
    """The polygon itself, or what it encloses where tangents have crossed in a narrow corner."""
    import shapely

    shape = shapely.Polygon(points)
    if shape.is_valid:
        return list(points)
    around = shapely.make_valid(shape).buffer(COARSE, join_style="mitre")
    if around.geom_type != "Polygon":
        around = around.convex_hull
    ring = shapely.geometry.polygon.orient(shapely.Polygon(around.exterior)).exterior
    return [(x, y) for x, y in ring.coords[:-1]]


# Rows and boxes ------------------------------------------------------------------------------


def _low(unit: _Unit) -> _Box:
    return min(unit, key=lambda box: box.width)


def _tall(unit: _Unit) -> _Box:
    return min(unit, key=lambda box: box.height)


def _by_area(unit: _Unit) -> float:
    return unit[0].width * unit[0].height


def _by_side(unit: _Unit) -> float:
    return max(unit[0].width, unit[0].height)


def _rows(
    units: Sequence[_Unit], long: float, wide: float, spacing: float
) -> list[list[tuple[_Box, Point]]]:
    """Boxes side by side in rows across the sheet, deep rows first; sheet after sheet."""
    sheets: list[list[tuple[_Box, Point]]] = []
    filled: list[float] = []
    rows: list[list[float]] = []  # sheet, x, depth, next y
    for box in sorted((unit[0] for unit in units), key=lambda box: -box.width):
        row = next(
            (r for r in rows if r[3] + box.height <= wide + TRUE and box.width <= r[2] + TRUE), None
        )
        if row is None:
            number = next(
                (n for n, x in enumerate(filled) if x + box.width <= long + TRUE), len(filled)
            )
            if number == len(filled):
                filled.append(0.0)
                sheets.append([])
            row = [number, filled[number], box.width, 0.0]
            filled[number] += box.width + spacing
            rows.append(row)
        sheets[int(row[0])].append((box, (row[1], row[3])))
        row[3] += box.height + spacing
    return sheets


_Free = tuple[float, float, float, float]


def _leftmost(free: _Free, w: float, h: float) -> tuple[float, ...]:
    return free[0] + w, free[1]


def _tightest(free: _Free, w: float, h: float) -> tuple[float, ...]:
    return min(free[2] - free[0] - w, free[3] - free[1] - h), free[0] + w


def _boxes(
    units: Sequence[_Unit], long: float, wide: float, spacing: float,
    least: Callable[[_Free, float, float], tuple[float, ...]],
) -> list[list[tuple[_Box, Point]]]:  # fmt: skip
    """Each box in one of the largest free rectangles, whichever is least by ``least``."""
    sheets: list[list[tuple[_Box, Point]]] = []
    free: list[list[_Free]] = []
    # with a spacing added to every box and to the room, boxes may touch
    for unit in units:
        for number in range(len(sheets) + 1):
            if number == len(sheets):
                sheets.append([])
                free.append([(0.0, 0.0, long + spacing + TRUE, wide + spacing + TRUE)])
            best = min(
                (
                    (least(room, box.width + spacing, box.height + spacing), room[:2], k)
                    for room in free[number]
                    for k, box in enumerate(unit)
                    if box.width + spacing <= room[2] - room[0]
                    and box.height + spacing <= room[3] - room[1]
                ),
                default=None,
            )
            if best is None:
                continue
            _, (x, y), k = best
            box = unit[k]
            sheets[number].append((box, (x, y)))
            taken = (x, y, x + box.width + spacing, y + box.height + spacing)
            free[number] = _without(free[number], taken)
            break
    return sheets


def _without(free: Sequence[_Free], box: _Free) -> list[_Free]:
    """The largest free rectangles after a box has been laid."""
    kept, parts = list[_Free](), list[_Free]()
    left, low, right, high = box
    for room in free:
        a, b, c, d = room
        if left >= c - _GRAIN or right <= a + _GRAIN or low >= d - _GRAIN or high <= b + _GRAIN:
            kept.append(room)
            continue
        parts += [
            each
            for each, is_one in (
                ((a, b, left, d), left > a + _GRAIN),
                ((right, b, c, d), right < c - _GRAIN),
                ((a, b, c, low), low > b + _GRAIN),
                ((a, high, c, d), high < d - _GRAIN),
            )
            if is_one
        ]
    found = list(kept)
    for n, each in enumerate(parts):
        others = [*kept, *parts[:n], *(p for p in parts[n + 1 :] if p != each)]
        if not any(
            o[0] <= each[0] and o[1] <= each[1] and o[2] >= each[2] and o[3] >= each[3]
            for o in others
        ):
            found.append(each)
    return found


# Pairs -------------------------------------------------------------------------------------------

_PLACES, _FINER = 160, 3
_WHISKER = 1e-7  # mm
_HAIR = 2e-3  # mm that a pair is further apart than the spacing: its round corners are polygons


def _pairs(outline: Contour, i: int, turn: float, spacing: float) -> Iterator[_Box]:
    """The least boxes of a part and its like turned half round, the second one above the first.

    For a shift along x, the second comes down until it stands the spacing off the first, or is
    level with it. Shifts are tried all along, then finer about the best. Slanting sides may slide
    along each other at no cost, so of equals the lowest and the narrowest are given.
    """
    import shapely

    first = shapely.Polygon(outside(outline.turned(math.radians(turn)), SAGITTA))
    left, low, right, high = first.bounds
    upper = _profile(first.buffer((spacing + _HAIR) / math.cos(math.pi / 64.0), quad_segs=16), 1.0)
    lower = _profile(shapely.affinity.scale(first, -1.0, -1.0, origin=(0, 0)), -1.0)
    for standing in (False, True):

        def tried(dx: float, standing: bool = standing) -> tuple[float, float, float]:
            """What the best box is worth, and the shift."""
            best = (math.inf, dx, 0.0)
            contact = _contact(upper, lower, dx)
            for dy in (max(contact, low + high), contact):
                if not math.isfinite(dy):
                    continue
                wide = max(right, dx - left) - min(left, dx - right)
                tall = max(high, dy - low) - min(low, dy - high)
                more = (wide if standing else tall) / (wide + tall)
                best = min(best, (wide * tall * (1.0 + 0.02 * more), dx, dy))
            return best

        step = 2.0 * (right - left + spacing) / _PLACES
        middle, found = left + right, (math.inf, 0.0, 0.0)
        for _ in range(_FINER):
            places = [middle + step * (k - _PLACES / 2) for k in range(_PLACES + 1)]
            found = min(found, *(tried(dx) for dx in places))
            middle, step = found[1], 4.0 * step / _PLACES
        _, dx, dy = found
        half = (turn + 180.0) % 360.0
        one, other = _box(outline, turn), _box(outline, half)
        x, y = min(one.left, other.left + dx), min(one.bottom, other.bottom + dy)
        placed = (Placed(i, 0, turn, -x, -y), Placed(i, 0, half, dx - x, dy - y))
        yield _Box(max(one.right, other.right + dx) - x, max(one.top, other.top + dy) - y, placed)


def _quarter(box: _Box) -> _Box:
    """A box turned a quarter."""
    placed = tuple(
        replace(each, turn=(each.turn + 90.0) % 360.0, x=box.height - each.y, y=each.x)
        for each in box.placed
    )
    return _Box(box.height, box.width, placed)


_Line = tuple[Any, Any]


def _profile(shape: Any, sign: float) -> _Line:
    """The upper side of a polygon, or with -1 the lower one: its corners' x and y.

    A corner stands a whisker to each side of itself, so that an upright edge has both its ends.
    """
    import numpy as np
    import shapely

    points = shapely.get_coordinates(shape)
    x = np.unique(np.concatenate([points[:, 0] - _WHISKER, points[:, 0] + _WHISKER]))
    (x0, y0), (x1, y1) = points[:-1, :, None].swapaxes(0, 1), points[1:, :, None].swapaxes(0, 1)
    with np.errstate(divide="ignore", invalid="ignore"):
        y = sign * (y0 + (y1 - y0) * (x - x0) / (x1 - x0))
    on = (np.minimum(x0, x1) <= x) & (x <= np.maximum(x0, x1)) & (x0 != x1)
    y = np.where(on, y, -np.inf).max(axis=0)
    there = np.isfinite(y)
    return x[there], sign * y[there]


def _contact(upper: _Line, lower: _Line, dx: float) -> float:
    """How far up a lower side, moved by dx, must be to clear an upper one; -inf beside it."""
    import numpy as np

    (ux, uy), (lx, ly) = upper, (lower[0] + dx, lower[1])
    x = np.concatenate([ux, lx])
    x = x[(x >= max(ux[0], lx[0])) & (x <= min(ux[-1], lx[-1]))]
    if not len(x):
        return -math.inf
    return float((np.interp(x, ux, uy) - np.interp(x, lx, ly)).max())
